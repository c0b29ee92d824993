package library

import (
	"strings"

	"benchproof/compiler/quantity"
	"benchproof/compiler/trade"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// unit finds a unit by the code written.
func (b *binder) unit(n *syntax.Name) (*quantity.Unit, bool) {
	if n == nil {
		return nil, true
	}
	u, ok := quantity.LookUp(n.Text)
	if ok {
		return u, true
	}
	m := b.wrong("BP301", b.at(n), "%s is not a unit known here", quoted(n.Text))
	switch near := quantity.Nearest(n.Text); len(near) {
	case 0:
		m.Helped("a unit is spelled as in mm, N.m, degC, bar, min, rpm, Mohm")
	case 1:
		m.Helped("did you mean %s?", near[0]).Mend(b.at(n), near[0])
	default:
		m.Helped("did you mean %s?", strings.Join(near, " or "))
	}
	return nil, false
}

// quantity reads an operand that must be a number of a dimension. A unit
// given from outside (the last of a list) serves where none is written.
func (b *binder) quantity(o *syntax.Operand, fallback *syntax.Name, want ...quantity.Dimension) (quantity.Quantity, bool) {
	if o.Number == nil {
		b.wrong("BP203", b.at(o), "expected a number with its unit, found %s", quoted(o.Name.Text))
		return quantity.Quantity{}, false
	}
	v, err := quantity.ParseNumber(o.Number.Text)
	if err != nil {
		b.wrong("BP101", b.at(o.Number), "%v", err)
		return quantity.Quantity{}, false
	}
	unitName := o.Unit
	if unitName == nil {
		unitName = fallback
	}
	u, ok := b.unit(unitName)
	if !ok {
		return quantity.Quantity{}, false
	}
	q := quantity.New(v, u)
	return q, b.dimension(q, b.at(o), want...)
}

// dimension holds a quantity to one of the dimensions wanted; none: any.
func (b *binder) dimension(q quantity.Quantity, span source.Span, want ...quantity.Dimension) bool {
	if len(want) == 0 {
		return true
	}
	words := make([]string, len(want))
	for i, d := range want {
		if q.Dimension() == d {
			return true
		}
		words[i] = article(d.String())
	}
	found := article(q.Dimension().String())
	if q.Unit == nil {
		found = "a number without a unit"
	}
	b.wrong("BP302", span, "expected %s, found %s", strings.Join(words, " or "), found)
	return false
}

// value reads an operand that is a number, or a table's column of numbers.
func (b *binder) value(s *scope, o *syntax.Operand, fallback *syntax.Name, want ...quantity.Dimension) (Value, bool) {
	if o == nil {
		return Value{}, false
	}
	span := b.at(o)
	if o.Number != nil {
		q, ok := b.quantity(o, fallback, want...)
		return Value{Quantity: q, Span: span}, ok
	}
	c, ok := b.column(s, o.Name.Text, b.at(o.Name))
	if !ok {
		return Value{}, false
	}
	if c.IsThings() {
		b.wrong("BP203", span, "%s gives things; expected a value", quoted(o.Name.Text)).Relate(c.Span, "declared here")
		return Value{}, false
	}
	for i := range c.Values {
		if c.Has[i] {
			if !b.dimension(c.Values[i], span, want...) {
				return Value{}, false
			}
			break
		}
	}
	return Value{Column: c, Span: span}, true
}

// column finds `table.column`, and notes that the procedure needs the member.
func (b *binder) column(s *scope, name string, span source.Span) (*Column, bool) {
	table, _, dotted := strings.Cut(name, ".")
	if !dotted {
		if other, ok := b.known(name); ok {
			b.wrong("BP203", span, "%s is %s; expected a number with its unit, or a table's column", quoted(name), article(other.Sort())).
				Relate(other.Declared().Span, "declared here")
			b.quietUse(other, span)
			return nil, false
		}
		if len(b.lib.Tables) == 0 {
			b.wrong("BP203", span, "expected a number with its unit, found %s", quoted(name))
			return nil, false
		}
		b.unknown(name, span, "a table's column", func(Symbol) bool { return false })
		return nil, false
	}
	t, ok := findAs[*Table](b, table, source.Span{File: span.File, Start: span.Start, End: min(span.End, span.Start+len(table))}, "a table", true)
	if !ok {
		return nil, false
	}
	for _, c := range t.Columns {
		if c.Name == name {
			b.use(c, source.Span{File: span.File, Start: span.Start + len(table) + 1, End: span.End}, true)
			if s != nil && t.Variant != nil {
				s.needs(t.Variant)
			}
			return c, true
		}
	}
	names := make([]string, 0, len(t.Columns))
	for _, c := range t.Columns {
		names = append(names, c.Name)
	}
	m := b.wrong("BP201", span, "the table %s has no column %s", quoted(table), quoted(name[len(table)+1:])).Relate(t.Span, "declared here")
	offerNames(m, name, span, names)
	return nil, false
}

// rangeOf binds a range; every end must be of the reading's dimension.
func (b *binder) rangeOf(s *scope, r *syntax.Range, u *quantity.Unit) (*Range, bool) {
	if r == nil {
		return nil, false
	}
	out := &Range{Span: b.at(r), NoUpper: r.NoUpper != nil, Words: strings.Join(strings.Fields(b.at(r).Text()), " ")}
	var want []quantity.Dimension
	if u != nil {
		want = []quantity.Dimension{u.Dimension}
	}
	if r.Class != nil {
		return out, b.limits(s, r, out, want)
	}
	var fallback *syntax.Name
	if r.Low != nil && r.High != nil {
		fallback = r.High.Unit
	}
	lowOpen, highOpen := openEnds(r.Kind)
	if r.Low != nil {
		v, ok := b.value(s, r.Low, fallback, want...)
		if !ok {
			return nil, false
		}
		out.Low = &RangeEnd{Value: v, Open: lowOpen, Span: b.at(r.Low)}
	}
	if r.High != nil {
		v, ok := b.value(s, r.High, nil, want...)
		if !ok {
			return nil, false
		}
		out.High = &RangeEnd{Value: v, Open: highOpen, Span: b.at(r.High)}
	}
	return out, true
}

// openEnds tells which ends of a range are not themselves in it.
func openEnds(k syntax.RangeKind) (low, high bool) {
	switch k {
	case syntax.Above, syntax.AboveTo:
		return true, false
	case syntax.Below, syntax.FromToBelow:
		return false, true
	case syntax.AboveToBelow:
		return true, true
	}
	return false, false
}

// limits works out the ends of `limits 25 k6` after ISO 286.
func (b *binder) limits(s *scope, r *syntax.Range, out *Range, want []quantity.Dimension) bool {
	mm, _ := quantity.LookUp("mm")
	nominal := r.Low
	span := b.at(r)
	if len(want) > 0 && want[0] != quantity.Length {
		b.wrong("BP302", span, "limits of size are a length; the reading is %s", article(want[0].String()))
		return false
	}
	work := func(q quantity.Quantity) (low, high quantity.Quantity, ok bool) {
		size := q.Value
		if q.Unit != nil {
			size, _ = q.In(mm)
		}
		l, h, err := trade.Limits(size, r.Class.Text)
		if err != nil {
			b.wrong("BP203", b.at(r.Class), "%v", err)
			return low, high, false
		}
		return quantity.New(l, mm), quantity.New(h, mm), true
	}
	var low, high Value
	if nominal.Number != nil {
		q, ok := b.quantity(nominal, nil)
		if !ok || q.Unit != nil && !b.dimension(q, b.at(nominal), quantity.Length) {
			return false
		}
		l, h, ok := work(q)
		if !ok {
			return false
		}
		low, high = Value{Quantity: l, Span: span}, Value{Quantity: h, Span: span}
	} else {
		v, ok := b.value(s, nominal, nil, quantity.Length)
		if !ok {
			return false
		}
		// A column of limits is worked out beside the column of sizes.
		lc, hc := *v.Column, *v.Column
		lc.Values = append([]quantity.Quantity(nil), lc.Values...)
		hc.Values = append([]quantity.Quantity(nil), hc.Values...)
		for i := range v.Column.Values {
			if !v.Column.Has[i] {
				continue
			}
			if lc.Values[i], hc.Values[i], ok = work(v.Column.Values[i]); !ok {
				return false
			}
		}
		low, high = Value{Column: &lc, Span: span}, Value{Column: &hc, Span: span}
	}
	switch r.Kind {
	case syntax.BelowLimits:
		out.High = &RangeEnd{Value: low, Open: true, Span: span}
	case syntax.AboveLimits:
		out.Low = &RangeEnd{Value: high, Open: true, Span: span}
	default:
		out.Low, out.High = &RangeEnd{Value: low, Span: span}, &RangeEnd{Value: high, Span: span}
	}
	return true
}

// positive holds a quantity to be above zero.
func (b *binder) positive(q *quantity.Quantity, span source.Span, what string) bool {
	if q == nil || q.Value.Sign() > 0 {
		return true
	}
	b.wrong("BP203", span, "%s is above zero, not %s", what, q.String())
	return false
}
