package library

import (
	"strings"

	"benchproof/compiler/quantity"
	"benchproof/compiler/trade"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// tool reads what a tool can do.
func (b *binder) tool(t *Tool, d *syntax.Thing) {
	b.common(&t.Common, d)
	for _, p := range d.Properties {
		t.Props[p.Key()] = b.at(p)
		switch p := p.(type) {
		case *syntax.SpanProperty:
			from, ok1 := b.quantity(p.From, p.To.Unit)
			to, ok2 := b.quantity(p.To, nil, dimensionIf(ok1, from)...)
			if !ok1 || !ok2 {
				t.Broken = true
				continue
			}
			if c, err := from.Cmp(to); err == nil && c >= 0 {
				b.wrong("BP203", b.at(p), "%s from %s to %s holds no value", p.Key(), from, to).Helped("write the lower end first")
				t.Broken = true
				continue
			}
			if p.Key() == "sets" {
				t.Sets = &Span{from, to}
			} else {
				t.Reads = &Span{from, to}
			}
		case *syntax.OperandProperty:
			b.toolValue(t, p)
		case *syntax.UncertaintyProperty:
			q, ok := b.quantity(p.Value, nil)
			if !ok || !b.positive(&q, b.at(p.Value), words(p.Key())) {
				t.Broken = true
				continue
			}
			t.Uncertainty = &q
		case *syntax.DateProperty:
			if p.Key() == "due" {
				t.Due = p.Date.Text
			} else {
				t.Calibrated = p.Date.Text
			}
		case *syntax.ThreadProperty:
			t.Taps, t.TapsInsert = p.Thread.Text, p.Insert
			if !b.thread(p.Thread) {
				t.Broken = true
			}
		case *syntax.NamesProperty:
			if p.Key() != "carries" {
				continue
			}
			for _, n := range p.Names {
				if h, ok := find[*Hazard](b, n, "a hazard"); ok {
					t.Carries = append(t.Carries, h)
				} else {
					t.Broken = true
				}
			}
		}
	}
	if t.Due != "" && t.Due < t.Calibrated {
		b.wrong("BP028", t.Props["due"], "calibration of %s is due on %s, before it was calibrated on %s", quoted(t.Name), t.Due, t.Calibrated).
			Relate(t.Props["calibrated"], "calibrated here")
	}
	scale := t.Reads
	if scale == nil {
		scale = t.Sets
	}
	if scale == nil {
		for _, key := range []string{"resolution", "uncertainty"} {
			if at, ok := t.Props[key]; ok && !t.Broken {
				b.wrong("BP203", at, "the tool %s has %s, but does not say what it reads or sets", quoted(t.Name), article(key)).
					Helped("write: reads from … to …")
			}
		}
		return
	}
	want := scale.From.Dimension()
	if t.Resolution != nil && !b.dimension(*t.Resolution, t.Props["resolution"], want) {
		t.Resolution, t.Broken = nil, true
	}
	if t.Uncertainty != nil && !b.dimension(*t.Uncertainty, t.Props["uncertainty"], want, quantity.Ratio) {
		t.Uncertainty, t.Broken = nil, true
	}
	b.uncertaintyOf(t, d, want)
}

// uncertaintyOf settles what an uncertainty in per cent is of: the reading, or
// points of a scale that is in per cent itself.
func (b *binder) uncertaintyOf(t *Tool, d *syntax.Thing, scale quantity.Dimension) {
	if t.Uncertainty == nil {
		return
	}
	var said *syntax.UncertaintyProperty
	for _, pr := range d.Properties {
		if p, ok := pr.(*syntax.UncertaintyProperty); ok {
			said = p
		}
	}
	percent := t.Uncertainty.Dimension() == quantity.Ratio
	switch {
	case said.Of && !percent:
		b.wrong("BP302", b.at(said.Value), "%s is no share of the reading", t.Uncertainty).Helped("write it in per cent, or leave out: of reading")
		t.Uncertainty, t.Broken = nil, true
	case said.Points && (!percent || scale != quantity.Ratio):
		b.wrong("BP302", b.at(said.Value), "points are for an instrument that reads in per cent").Helped("write it in the unit of the readings, or: of reading")
		t.Uncertainty, t.Broken = nil, true
	default:
		t.Share = said.Of || percent && scale != quantity.Ratio
		t.Unsaid = percent && scale == quantity.Ratio && !said.Of && !said.Points
	}
}

func dimensionIf(ok bool, q quantity.Quantity) []quantity.Dimension {
	if !ok {
		return nil
	}
	return []quantity.Dimension{q.Dimension()}
}

func (b *binder) toolValue(t *Tool, p *syntax.OperandProperty) {
	want := map[string][]quantity.Dimension{
		"drills": {quantity.Length}, "length": {quantity.Length}, "extends": {quantity.Length}, "lead": {quantity.Count}, "lifts": {quantity.Mass},
	}[p.Key()]
	q, ok := b.quantity(p.Value, nil, want...)
	if !ok || !b.positive(&q, b.at(p.Value), words(p.Key())) {
		t.Broken = true
		return
	}
	switch p.Key() {
	case "resolution":
		t.Resolution = &q
	case "drills":
		t.Drills = &q
	case "lifts":
		t.Lifts = &q
	case "length":
		t.Length = &q
	case "extends":
		t.Extends = &q
	case "lead":
		t.Lead = &q.Value
	}
}

// thread checks a thread's designation.
func (b *binder) thread(n *syntax.Name) bool {
	_, err := trade.ParseThread(n.Text)
	if err == nil {
		return true
	}
	b.wrong("BP201", b.at(n), "%v", err)
	return false
}

// part reads what a part is and where it sits.
func (b *binder) part(p *Part, d *syntax.Thing) {
	b.common(&p.Common, d)
	for _, pr := range d.Properties {
		p.Props[pr.Key()] = b.at(pr)
		switch pr := pr.(type) {
		case *syntax.FlagProperty:
			p.SingleUse = true
		case *syntax.ThreadProperty:
			p.Thread = pr.Thread.Text
			if !b.thread(pr.Thread) {
				p.Broken, p.Thread = true, ""
			}
			if pr.Class != nil {
				p.Class = pr.Class.Text
			}
		case *syntax.OperandProperty:
			q, ok := b.quantity(pr.Value, nil, quantity.Mass)
			if ok && b.positive(&q, b.at(pr.Value), "mass") {
				p.Mass = &q
			}
		case *syntax.NamesProperty:
			b.partNames(p, pr)
		}
	}
}

func (b *binder) partNames(p *Part, pr *syntax.NamesProperty) {
	for _, n := range pr.Names {
		switch pr.Key() {
		case "kind":
			k, ok := find[*Part](b, n, "a part")
			switch {
			case !ok:
				p.Broken = true
			case k == p:
				b.wrong("BP203", b.at(n), "%s is its own kind", quoted(p.Name))
				p.Broken = true
			default:
				p.Kind = k
				k.IsKind = true
			}
		case "behind":
			if f, ok := find[*Part](b, n, "a part"); ok {
				p.Behind = append(p.Behind, f)
			} else {
				p.Broken = true
			}
		case "guards":
			if h, ok := find[*Hazard](b, n, "a hazard"); ok {
				p.Guards = append(p.Guards, h)
			} else {
				p.Broken = true
			}
		}
	}
}

// behindItself refuses parts that could never be reached, and kinds of kinds.
func (b *binder) behindItself() {
	for _, p := range b.lib.Parts {
		if p.Kind != nil && p.Kind.Kind != nil {
			b.wrong("BP203", p.Props["kind"], "%s is of the kind %s, which is itself of a kind", quoted(p.Name), quoted(p.Kind.Name)).
				Relate(p.Kind.Props["kind"], "its kind")
			p.Kind = p.Kind.Kind
			if p.Kind.Kind != nil {
				p.Kind, p.Broken = nil, true
			}
		}
	}
	const (
		open = 1
		done = 2
	)
	state := map[*Part]int{}
	var visit func(p *Part)
	visit = func(p *Part) {
		state[p] = open
		kept := p.Behind[:0]
		for _, f := range p.Behind {
			f = f.Place()
			if state[f] == open {
				b.wrong("BP203", p.Props["behind"], "%s is behind %s, which is behind %s: neither could ever come off", quoted(p.Name), quoted(f.Name), quoted(p.Name)).
					Relate(f.Props["behind"], "declared here")
				continue
			}
			kept = append(kept, f)
			if state[f] == 0 {
				visit(f)
			}
		}
		p.Behind = kept
		state[p] = done
	}
	for _, p := range b.lib.Parts {
		if state[p] == 0 {
			visit(p)
		}
	}
}

// table reads a table's columns and rows.
func (b *binder) table(t *Table, d *syntax.Thing) {
	if d.By != nil {
		t.Variant, _ = find[*Variant](b, d.By, "a variant")
	}
	known := map[string]Symbol{}
	for _, p := range d.Properties {
		n, ok := p.(*syntax.NamesProperty)
		if !ok || n.Key() != "columns" {
			continue
		}
		for _, name := range n.Names {
			c := child(b.was, t, t.Name+"."+name.Text, &Column{Decl: Decl{Name: t.Name + "." + name.Text, Title: words(name.Text), Span: b.at(name), Whole: b.at(name)}, Table: t})
			if b.local(known, c) {
				t.Columns = append(t.Columns, c)
			}
		}
	}
	if t.Variant == nil || len(t.Variant.Members) > maxMembers { // told there
		for _, c := range t.Columns {
			c.Broken = true
		}
		return
	}
	if len(t.Columns) == 0 {
		b.wrong("BP207", t.Span, "the table %s has no columns", quoted(t.Name)).Helped("name them: columns least, most")
		return
	}
	members := t.Variant.Members
	for _, c := range t.Columns {
		c.Has = make([]bool, len(members))
		c.Spans = make([]source.Span, len(members))
	}
	rows := make([]source.Span, len(members))
	for _, p := range d.Properties {
		if row, ok := p.(*syntax.RowProperty); ok {
			b.row(t, row, rows)
		}
	}
	for i, at := range rows {
		if at.IsZero() {
			b.wrong("BP207", t.Span, "the table %s has no row for %s", quoted(t.Name), quoted(members[i].Name)).
				Relate(members[i].Span, "declared here")
		}
	}
	for _, c := range t.Columns {
		for _, has := range c.Has {
			c.Broken = c.Broken || !has
		}
	}
}

func (b *binder) row(t *Table, row *syntax.RowProperty, rows []source.Span) {
	m := member(t.Variant, row.Word.Text)
	if m == nil {
		b.unknownMember(t.Variant, row.Word.Text, b.at(row.Word))
		return
	}
	if !rows[m.Index].IsZero() {
		b.wrong("BP202", b.at(row), "the row %s is given twice", quoted(m.Name)).Relate(rows[m.Index], "given here")
		return
	}
	rows[m.Index] = b.at(row)
	b.use(m, b.at(row.Word), true)
	if n := len(row.Values); n != len(t.Columns) {
		b.wrong("BP207", b.at(row), "the row %s has %s for %s", quoted(m.Name), plural(n, "value"), plural(len(t.Columns), "column"))
	}
	for i, o := range row.Values {
		if i == len(t.Columns) {
			break
		}
		c := t.Columns[i]
		c.Spans[m.Index] = b.at(o)
		if o.Name != nil {
			b.cellThing(c, m, o)
			continue
		}
		q, ok := b.quantity(o, nil)
		if !ok {
			continue
		}
		if c.Things != nil {
			b.mixed(c, o)
			continue
		}
		for j, has := range c.Has {
			if has && c.Values[j].Dimension() != q.Dimension() {
				b.wrong("BP302", b.at(o), "the column %s holds %s; found %s", quoted(c.Name), article(c.Values[j].Dimension().String()), article(q.Dimension().String())).
					Relate(c.Spans[j], "the first value")
				ok = false
				break
			}
		}
		if !ok {
			continue
		}
		if c.Values == nil {
			c.Values = make([]quantity.Quantity, len(t.Variant.Members))
		}
		c.Values[m.Index], c.Has[m.Index] = q, true
	}
}

func (b *binder) cellThing(c *Column, m *Member, o *syntax.Operand) {
	th, ok := find[Thing](b, o.Name, "a tool, a part, a consumable or a number with its unit")
	if !ok {
		return
	}
	if c.Values != nil {
		b.mixed(c, o)
		return
	}
	for i, has := range c.Has {
		if has && c.Things[i].Sort() != th.Sort() {
			b.wrong("BP203", b.at(o), "the column %s holds %ss; here stands %s", quoted(c.Name), c.Things[i].Sort(), article(th.Sort())).
				Relate(c.Spans[i], "the first value")
			return
		}
	}
	if c.Things == nil {
		c.Things = make([]Thing, len(c.Has))
	}
	c.Things[m.Index], c.Has[m.Index] = th, true
}

func (b *binder) mixed(c *Column, o *syntax.Operand) {
	b.wrong("BP203", b.at(o), "the column %s holds things in one row and numbers in another", quoted(c.Name)).Relate(c.Span, "declared here")
}

func member(v *Variant, name string) *Member {
	for _, m := range v.Members {
		if m.Name == name {
			return m
		}
	}
	return nil
}

func (b *binder) unknownMember(v *Variant, name string, span source.Span) {
	var names []string
	for _, m := range v.Members {
		names = append(names, m.Name)
	}
	m := b.wrong("BP201", span, "the variant %s has no member %s", quoted(v.Name), quoted(name)).Relate(v.Span, "declared here")
	if offerNames(m, name, span, names); m.Help == "" && len(names) > 0 {
		m.Helped("its members are %s", strings.Join(names, ", "))
	}
}
