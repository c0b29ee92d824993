package rules

import (
	"slices"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/trade"
	"benchproof/dsl/source"
)

// ownSigns judges that the signs of one hazard go together.
func (c *checker) ownSigns(h *library.Hazard) {
	for i, s := range h.Signs {
		for _, o := range h.Signs[:i] {
			if why, bad := trade.Contradict(o.Code, s.Code); bad {
				c.wrong("BP606", s.Span, "the signs %s and %s contradict each other: %s", o.Code, s.Code, why).
					Relate(o.Span, "the other sign")
			}
		}
	}
}

// A shown hazard is one that a step carries, with the place that brings it.
type shown struct {
	hazard *library.Hazard
	at     source.Span
	why    string
}

// carried gives the hazards of a step for one combination of members: those it
// warns of, those its tools carry, and those of a guard it removes.
func carried(st *library.Step, as library.Assignment) []shown {
	var out []shown
	add := func(h *library.Hazard, at source.Span, why string) {
		if !slices.ContainsFunc(out, func(s shown) bool { return s.hazard == h }) {
			out = append(out, shown{h, at, why})
		}
	}
	for _, a := range st.Actions {
		if warn, ok := a.(*library.Warn); ok {
			for _, h := range warn.Hazards {
				add(h.Hazard, h.Span, "the step warns of "+quoted(h.Hazard.Name))
			}
		}
		for _, it := range paths.ToolsOf(a) {
			if t, ok := it.For(as).(*library.Tool); ok {
				for _, h := range t.Carries {
					add(h, it.Span, quoted(t.Name)+" carries "+quoted(h.Name))
				}
			}
		}
		if r, ok := a.(*library.Remove); ok {
			for _, it := range r.Items {
				p, ok := it.For(as).(*library.Part)
				if !ok {
					continue
				}
				guards := p.Guards
				if p.Kind != nil {
					guards = append(guards[:len(guards):len(guards)], p.Kind.Guards...)
				}
				for _, h := range guards {
					add(h, it.Span, quoted(p.Name)+" guards against "+quoted(h.Name))
				}
			}
		}
	}
	return out
}

// signs judges that what a step shows goes together.
func (c *checker) signs(st *library.Step, w crowd) {
	var items []library.Item
	for _, a := range st.Actions {
		items = append(items, paths.ToolsOf(a)...)
	}
	type pair struct{ a, b string }
	type clash struct {
		one, other shown
		a, b       library.SignRef
		why        string
	}
	var found findings
	c.each(w, itemVariants(items...), func(as library.Assignment) {
		list := carried(st, as)
		for i, other := range list {
			for _, one := range list[:i] {
				for _, a := range one.hazard.Signs {
					for _, b := range other.hazard.Signs {
						if why, bad := trade.Contradict(a.Code, b.Code); bad {
							found.add(pair{a.Code, b.Code}, as, clash{one, other, a, b, why}, why)
						}
					}
				}
			}
		}
	})
	for _, f := range found.list {
		x := f.first.(clash)
		c.wrong("BP606", x.other.at, "the signs %s and %s contradict each other in one step: %s", x.a.Code, x.b.Code, f.text()).
			Relate(x.one.at, "%s", x.one.why).
			Relate(x.a.Span, "its sign %s", x.a.Code).Relate(x.b.Span, "%s has %s", quoted(x.other.hazard.Name), x.b.Code).
			Helped("part the step in two, or choose another protection")
	}
}
