package rules

import (
	"fmt"
	"strconv"

	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
	"benchproof/compiler/trade"
)

// massOf gives what one part weighs.
func massOf(p *library.Part) *quantity.Quantity {
	if p.Mass == nil && p.Kind != nil {
		return p.Kind.Mass
	}
	return p.Mass
}

// carriedBy gives the things that a person moves in an action.
func carriedBy(a library.Action) []library.Item {
	switch a := a.(type) {
	case *library.Remove:
		return a.Items
	case *library.Refit:
		return a.Items
	case *library.FitNew:
		return a.Items
	case *library.Clamp:
		return a.Items
	}
	return nil
}

// heavy warns of a part above the reference mass that a step moves without
// lifting it.
func (c *checker) heavy(st *library.Step, w crowd) {
	var lifted []library.Item
	for _, a := range st.Actions {
		if l, ok := a.(*library.Lift); ok {
			lifted = append(lifted, l.Items...)
		}
	}
	told := map[*library.Part]bool{}
	for _, a := range st.Actions {
		for _, it := range carriedBy(a) {
			var found findings
			c.each(w, itemVariants(append([]library.Item{it}, lifted...)...), func(as library.Assignment) {
				p, ok := it.For(as).(*library.Part)
				if !ok || massOf(p) == nil || covers(lifted, p, as) {
					return
				}
				if n, err := massOf(p).In(kilogram); err == nil && n.Cmp(trade.ReferenceMass) > 0 {
					found.add(0, as, p, fmt.Sprintf("%s weighs %s, over %s kg", quoted(p.Name), plain(*massOf(p)), trade.ReferenceMass))
				}
			})
			for _, f := range found.list {
				p := f.first.(*library.Part)
				if c.allows("BP604", st) || told[p.Place()] {
					continue
				}
				told[p.Place()] = true
				f.noted(c.wrong("BP604", it.Span, "handled without a lifting tool: %s", f.text())).
					Relate(p.Props["mass"], "its mass").Note("%s kg: reference mass of ISO 11228-1 for lifting by hand", trade.ReferenceMass).
					Helped("write in the step: lift %s with …, or allow BP604 with the reason", p.Name)
			}
		}
	}
}

// covers tells whether one of some items is the part, or has its place.
func covers(items []library.Item, p *library.Part, as library.Assignment) bool {
	for _, it := range items {
		if o, ok := it.For(as).(*library.Part); ok && (o == p || o == p.Place() || o.Place() == p) {
			return true
		}
	}
	return false
}

// lifted judges that a lifting tool carries what it lifts.
func (c *checker) lifted(a *library.Lift, w crowd) {
	if a.With.Lifts == nil {
		return // told by the tool
	}
	for _, it := range a.Items {
		var found findings
		c.each(w, itemVariants(it), func(as library.Assignment) {
			p, ok := it.For(as).(*library.Part)
			if !ok || massOf(p) == nil {
				return
			}
			mass := *massOf(p)
			mass.Value = mass.Value.Mul(quantity.NewInt(int64(it.Count)))
			if over, err := mass.Cmp(*a.With.Lifts); err == nil && over > 0 {
				what := quoted(p.Name)
				if it.Count > 1 {
					what += " x " + strconv.Itoa(it.Count)
				}
				found.add(0, as, p, fmt.Sprintf("%s weighs %s", what, plain(mass)))
			}
		})
		for _, f := range found.list {
			f.noted(c.wrong("BP607", it.Span, "the tool %s lifts %s at most: %s", quoted(a.With.Name), plain(*a.With.Lifts), f.text())).
				Relate(a.With.Props["lifts"], "what it lifts").Relate(f.first.(*library.Part).Props["mass"], "the mass")
		}
	}
}
