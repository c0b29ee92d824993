package rules

import (
	"fmt"

	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
	"benchproof/compiler/trade"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

var (
	millimetre, _  = quantity.LookUp("mm")
	newtonMetre, _ = quantity.LookUp("N.m")
	celsius, _     = quantity.LookUp("degC")
	kilogram, _    = quantity.LookUp("kg")
	perKelvin, _   = quantity.LookUp("um/m/K")
)

// toolDoes judges that the tool an action names does what is asked of it.
func (c *checker) toolDoes(a library.Action, w crowd) {
	switch a := a.(type) {
	case *library.Measure:
		if a.With.Reads == nil {
			c.cannot(a.At(), a.With, "reads nothing", "reads from … to …")
		}
	case *library.Drill:
		c.drills(a, w)
	case *library.Tap:
		c.taps(a)
	case *library.Tighten:
		c.tightens(a, w)
	case *library.Lift:
		if a.With.Lifts == nil {
			c.cannot(a.At(), a.With, "lifts nothing", "lifts …")
		}
	case *library.Heat:
		c.heats(a, w)
	}
}

// cannot says that a tool does not do what an action asks, and what to write
// at its declaration if it does.
func (c *checker) cannot(at source.Span, t *library.Tool, what, write string) *message.Message {
	return c.wrong("BP703", c.namedIn(at, t), "the tool %s %s", quoted(t.Name), what).
		Relate(t.Span, "declared here").
		Helped("name another tool, or write at its declaration: %s", write)
}

func (c *checker) drills(a *library.Drill, w crowd) {
	if a.With.Drills == nil {
		c.cannot(a.At(), a.With, "drills nothing", "drills …")
		return
	}
	var found findings
	c.each(w, variantsOf(a.Size), func(as library.Assignment) {
		q, ok := a.Size.For(as)
		if !ok {
			return
		}
		if cmp, err := q.Cmp(*a.With.Drills); err != nil || cmp != 0 {
			found.add(0, as, q, fmt.Sprintf("the hole is %s", plain(q)))
		}
	})
	for _, f := range found.list {
		m := f.noted(c.wrong("BP703", c.namedIn(a.At(), a.With), "the tool %s drills %s, but %s", quoted(a.With.Name), plain(*a.With.Drills), f.text())).
			Relate(a.With.Props["drills"], "what it drills")
		c.offerTool(m, func(t *library.Tool) bool {
			if t.Drills == nil {
				return false
			}
			cmp, err := f.first.(quantity.Quantity).Cmp(*t.Drills)
			return err == nil && cmp == 0
		})
	}
}

// offerTool offers the tool that does what is asked, where there is just one.
func (c *checker) offerTool(m *message.Message, does func(*library.Tool) bool) {
	var only *library.Tool
	for _, t := range c.lib.Tools {
		if t.ReplacedBy != nil || t.Broken || !does(t) {
			continue
		}
		if only != nil {
			return
		}
		only = t
	}
	if only == nil {
		return
	}
	m.Helped("%s does", quoted(only.Name))
	if only.Name != m.Span.Text() && len(m.Span.Text()) < 100 {
		m.Mend(m.Span, only.Name)
	}
}

func (c *checker) taps(a *library.Tap) {
	thread, err := trade.ParseThread(a.Thread)
	if err != nil {
		return
	}
	what := thread.String()
	if a.Insert {
		what += " for an insert"
	}
	if a.With.Taps == "" {
		c.cannot(a.At(), a.With, "taps nothing", "taps "+a.Thread)
		return
	}
	does := func(t *library.Tool) bool {
		own, err := trade.ParseThread(t.Taps)
		return err == nil && t.TapsInsert == a.Insert && own.Diameter.Equal(thread.Diameter) && own.Pitch.Equal(thread.Pitch)
	}
	if does(a.With) {
		return
	}
	has := a.With.Taps
	if a.With.TapsInsert {
		has += " for an insert"
	}
	m := c.wrong("BP703", c.namedIn(a.At(), a.With), "the tool %s taps %s, but the thread is %s", quoted(a.With.Name), has, what).
		Relate(a.With.Props["taps"], "what it taps")
	c.offerTool(m, does)
}

// tightens judges every round of a torque against what the wrench sets; with
// an extension in line, what the wrench is set to.
func (c *checker) tightens(a *library.Tighten, w crowd) {
	t := a.With
	if t.Sets == nil || t.Sets.From.Dimension() != quantity.Torque {
		c.cannot(a.At(), t, "sets no torque", "sets from … to … N.m")
		return
	}
	if a.Through != nil {
		if a.Through.Extends == nil {
			c.cannot(a.At(), a.Through, "extends nothing", "extends …")
			return
		}
		if t.Length == nil {
			c.wrong("BP703", c.namedIn(a.At(), t), "the tool %s does not say how long it is, so its setting through %s cannot be worked out", quoted(t.Name), quoted(a.Through.Name)).
				Relate(t.Span, "declared here").Helped("write at its declaration, from grip to square: length …")
			return
		}
	}
	for _, to := range a.To {
		var found findings
		c.each(w, variantsOf(to), func(as library.Assignment) {
			q, ok := to.For(as)
			if !ok {
				return
			}
			set, through := q, ""
			if a.Through != nil {
				length, err1 := t.Length.In(millimetre)
				extension, err2 := a.Through.Extends.In(millimetre)
				if err1 != nil || err2 != nil {
					return
				}
				set = quantity.New(trade.WrenchSetting(q.Value, length, extension), q.Unit)
				through = fmt.Sprintf(" through %s is a setting of %s", quoted(a.Through.Name), rounded(set))
			}
			low, err1 := set.Cmp(t.Sets.From)
			high, err2 := set.Cmp(t.Sets.To)
			if err1 != nil || err2 != nil || low >= 0 && high <= 0 {
				return
			}
			found.add(0, as, nil, plain(q)+through)
		})
		for _, f := range found.list {
			f.noted(c.wrong("BP303", to.Span, "%s sets %s to %s, but here stands %s", quoted(t.Name), plain(t.Sets.From), plain(t.Sets.To), f.text())).
				Relate(t.Props["sets"], "what it sets")
		}
	}
}

// rounded prints a worked-out value to four digits at most.
func rounded(q quantity.Quantity) string {
	places := 0
	for n := q.Value.Abs(); places < 4 && n.Cmp(quantity.NewInt(1000)) < 0; places++ {
		n = n.Mul(quantity.NewInt(10))
	}
	return plain(quantity.New(q.Value.Round(places), q.Unit))
}

// A warmth is what a hot fit needs, in degrees Celsius.
type warmth struct {
	from, need quantity.Number
	most       *quantity.Number
}

// warmthOf works out a hot fit for one combination of members.
func warmthOf(a *library.Heat, as library.Assignment) (h warmth, ok bool) {
	in := func(v *library.Value, u *quantity.Unit, otherwise quantity.Number) quantity.Number {
		if v == nil {
			return otherwise
		}
		q, has := v.For(as)
		if !has {
			ok = false
			return otherwise
		}
		n, err := q.In(u)
		if err != nil {
			ok = false
		}
		return n
	}
	ok = true
	zero := quantity.NewInt(0)
	bore, interference := in(&a.Bore, millimetre, zero), in(&a.Interference, millimetre, zero)
	clearance, alpha := in(a.Clearance, millimetre, zero), in(&a.Expansion, perKelvin, zero)
	h.from = in(a.From, celsius, trade.ReferenceTemperature)
	if a.AtMost != nil {
		n := in(a.AtMost, celsius, zero)
		h.most = &n
	}
	if !ok || bore.Sign() <= 0 || alpha.Sign() <= 0 {
		return h, false
	}
	h.need = trade.HotFit(h.from, interference, clearance, alpha, bore)
	return h, true
}

func heatVariants(a *library.Heat) []*library.Variant {
	values := []library.Value{a.Bore, a.Interference, a.Expansion}
	for _, v := range []*library.Value{a.Clearance, a.From, a.AtMost} {
		if v != nil {
			values = append(values, *v)
		}
	}
	return variantsOf(values...)
}

// heats judges that a hot fit stays below what the part may have, and that
// what it is heated with is no tool made for something else.
func (c *checker) heats(a *library.Heat, w crowd) {
	t := a.With
	if other := otherTrade(t); other != "" {
		c.wrong("BP703", c.namedIn(a.At(), t), "the tool %s %s; it does not heat", quoted(t.Name), other).Relate(t.Span, "declared here")
	}
	var tooHot, unset findings
	c.each(w, heatVariants(a), func(as library.Assignment) {
		h, ok := warmthOf(a, as)
		if !ok {
			return
		}
		needs := rounded(quantity.New(h.need, celsius))
		if h.most != nil && h.need.Cmp(*h.most) > 0 {
			q, _ := a.AtMost.For(as)
			tooHot.add(0, as, nil, fmt.Sprintf("it would need %s and may have %s at most", needs, plain(q)))
			return
		}
		if t.Sets != nil && t.Sets.From.Dimension() == quantity.Temperature {
			if to, err := t.Sets.To.In(celsius); err == nil && h.need.Cmp(to) > 0 {
				unset.add(0, as, nil, fmt.Sprintf("it would need %s, and %s sets %s at most", needs, quoted(t.Name), plain(t.Sets.To)))
			}
		}
	})
	for _, f := range tooHot.list {
		f.noted(c.wrong("BP303", a.AtMost.Span, "the part cannot be heated enough: %s", f.text())).
			Helped("ask for less clearance, or cool the shaft")
	}
	for _, f := range unset.list {
		f.noted(c.wrong("BP303", c.namedIn(a.At(), t), "the part cannot be heated enough: %s", f.text())).
			Relate(t.Props["sets"], "what it sets")
	}
}

// otherTrade says what a tool is made for where that is surely not heating.
func otherTrade(t *library.Tool) string {
	switch {
	case t.Drills != nil:
		return "drills " + plain(*t.Drills)
	case t.Taps != "":
		return "taps " + t.Taps
	case t.Lifts != nil:
		return "lifts " + plain(*t.Lifts)
	case t.Extends != nil:
		return "extends a wrench by " + plain(*t.Extends)
	case t.Sets != nil && t.Sets.From.Dimension() != quantity.Temperature:
		return "sets " + article(t.Sets.From.Dimension().String())
	case t.Sets == nil && t.Reads != nil && t.Reads.From.Dimension() != quantity.Temperature:
		return "reads " + article(t.Reads.From.Dimension().String())
	}
	return ""
}

func article(word string) string {
	switch word[0] {
	case 'a', 'e', 'i', 'o', 'u':
		return "an " + word
	}
	return "a " + word
}
