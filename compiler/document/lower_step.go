package document

import (
	"slices"
	"strconv"
	"strings"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/trade"
)

// step lowers one step and notes what it needs.
func (l *lowerer) step(f *library.Step) *Step {
	n := len(l.doc.Steps) + 1
	s := &Step{Number: n, ID: "step-" + strconv.Itoa(n), Text: l.text(f.Text)}
	if len(l.loops) > 0 {
		s.Turn = l.loops[len(l.loops)-1]
		l.around[s] = slices.Clone(l.loops)
	}
	l.doc.Steps = append(l.doc.Steps, s)
	l.sources = append(l.sources, f)
	l.bars(f, &s.Changed)
	l.guards = append(l.guards, l.guard)

	s.Hazards = l.hazardsOf(f)
	said := l.mentioned(f.Text)
	for _, a := range f.Allows {
		s.Allow = append(s.Allow, a.Code+": "+a.Reason)
	}
	for _, a := range f.Actions {
		l.handled(s, a, said)
		l.note(s, f, a)
		switch a := a.(type) {
		case *library.By:
			s.By = a.Who
		case *library.Note:
			s.Notes = append(s.Notes, l.text(a.Text))
		case *library.Show:
			l.show(s, a)
		case *library.Takes:
			s.Time = l.durations(a.Time).String()
		}
	}
	l.details(s, f)
	l.boxes(s, f)
	return s
}

// --- hazards ---------------------------------------------------------------------------

// carried is a hazard that a step carries.
type carried struct {
	hazard *library.Hazard
	at     occurrence
}

// rank orders signal words, the worst first.
func rank(signal string) int {
	return slices.Index([]string{"danger", "warning", "caution", "notice"}, signal)
}

// hazardsOf gives what a step carries: what it warns of, what its tools carry,
// and that of a guard it removes; the worst first.
func (l *lowerer) hazardsOf(f *library.Step) []*Hazard {
	var list []*library.Hazard
	add := func(h *library.Hazard, c thingCase) {
		list = appendNew(list, h)
		l.carried = append(l.carried, carried{h, l.occurs(c.members)})
	}
	for _, a := range f.Actions {
		if w, ok := a.(*library.Warn); ok {
			for _, h := range w.Hazards {
				add(h.Hazard, thingCase{})
			}
		}
		for _, it := range paths.ToolsOf(a) {
			for _, c := range l.itemCases(it) {
				if t, ok := c.thing.(*library.Tool); ok {
					for _, h := range t.Carries {
						add(h, c)
					}
				}
			}
		}
		if r, ok := a.(*library.Remove); ok {
			for _, it := range r.Items {
				for _, c := range l.itemCases(it) {
					if p, ok := c.thing.(*library.Part); ok {
						for _, h := range guardsOf(p) {
							add(h, c)
						}
					}
				}
			}
		}
	}
	slices.SortStableFunc(list, func(a, b *library.Hazard) int { return rank(a.Signal) - rank(b.Signal) })
	out := make([]*Hazard, len(list))
	for i, h := range list {
		out[i] = l.hazard(h)
	}
	return out
}

func guardsOf(p *library.Part) []*library.Hazard {
	if p.Kind == nil {
		return p.Guards
	}
	return append(slices.Clone(p.Guards), p.Kind.Guards...)
}

func (l *lowerer) hazard(h *library.Hazard) *Hazard {
	if known, ok := l.hazards[h]; ok {
		return known
	}
	signal := h.Signal
	if signal == "" {
		signal = "danger" // a draft whose hazard does not say yet: the gravest until it does
	}
	out := &Hazard{Name: h.Name, Signal: signal, Title: h.Title, Consequence: h.Consequence, Avoid: h.Avoid}
	for _, s := range h.Signs {
		sign := Sign{Code: s.Code}
		if known, ok := trade.Sign(s.Code); ok {
			sign.Referent, sign.Protective = l.w.referent(s.Code, known.Referent), known.Equipment
		}
		out.Signs = append(out.Signs, sign)
	}
	l.hazards[h], l.bound[out] = out, h
	return out
}

// --- what a step handles -----------------------------------------------------------------

// mentioned gives the things that a text mentions.
func (l *lowerer) mentioned(t library.Text) map[library.Thing]bool {
	said := map[library.Thing]bool{}
	for _, s := range t.Spans {
		if s.Mention == nil {
			continue
		}
		if s.Mention.Column != nil {
			for _, c := range l.thingCases(s.Mention.Column, nil) {
				said[c.thing] = true
			}
		} else if th, ok := s.Mention.Symbol.(library.Thing); ok {
			said[th] = true
		}
	}
	return said
}

// handles gives the things an action handles, with their counts.
func handles(a library.Action) []library.Item {
	items := paths.ToolsOf(a)
	switch a := a.(type) {
	case *library.FitNew:
		items = a.Items
	case *library.Refit:
		items = a.Items
	case *library.Release:
		items = a.Items
	case *library.Clamp:
		items = append(slices.Clone(a.Items), items...)
	case *library.Tighten:
		items = append([]library.Item{a.Item}, items...)
	case *library.Heat:
		items = append([]library.Item{a.Item}, items...)
	case *library.Lift:
		items = append(slices.Clone(a.Items), items...)
	}
	return items
}

// handled lists what an action handles and the text does not mention. A kind
// that is mentioned stands for its parts.
func (l *lowerer) handled(s *Step, a library.Action, said map[library.Thing]bool) {
	for _, it := range handles(a) {
		cases := l.itemCases(it)
		silent := false
		for _, c := range cases {
			p, part := c.thing.(*library.Part)
			if !said[c.thing] && !(part && p.Kind != nil && said[p.Kind]) {
				silent = true
			}
		}
		if !silent {
			continue
		}
		for _, c := range cases {
			said[c.thing] = true
		}
		if len(cases) == 1 {
			s.Handled = append(s.Handled, Counted{l.thing(cases[0].thing), it.Count, ""})
			continue
		}
		s.Details = append(s.Details, say(l.ph.also, map[string]Text{"things": l.itemText(it)}))
	}
}

// --- details ------------------------------------------------------------------------------

// details adds what the bench needs to know of the actions and the text does
// not say.
func (l *lowerer) details(s *Step, f *library.Step) {
	said := strings.ReplaceAll(s.Text.String(), "\u00a0", " ")
	says := func(t string) bool { return saysNumber(said, strings.ReplaceAll(t, "\u00a0", " ")) }
	saysAll := func(list []valueCase) bool {
		for _, c := range list {
			if !says(c.text) {
				return false
			}
		}
		return true
	}
	weighed := map[library.Thing]bool{}
	for _, a := range f.Actions {
		switch a := a.(type) {
		case *library.Drill:
			if a.Speed != nil || !saysAll(l.valueCases(a.Size)) || !saysAll(l.valueCases(a.Deep)) {
				s.Details = append(s.Details, l.drilling(a))
			}
		case *library.Tap:
			if a.Speed != nil || !saysAll(l.valueCases(a.Deep)) || !strings.Contains(said, l.w.Numeral(a.Thread)) {
				s.Details = append(s.Details, l.tapping(a))
			}
		case *library.Tighten:
			if len(a.To) > 1 || a.Crosswise && !strings.Contains(said, strings.TrimSpace(l.ph.crosswise)) || !saysAll(l.valueCases(a.To[0])) {
				s.Details = append(s.Details, l.tightening(a))
			}
			s.Details = append(s.Details, l.settings(a)...)
		case *library.Heat:
			if t, ok := l.heating(a); ok {
				s.Details = append(s.Details, t)
			}
		case *library.Lift:
			l.weigh(s, a.Items, weighed)
			if a.With.Lifts != nil {
				s.Details = append(s.Details, say(l.ph.lifts, map[string]Text{"tool": l.thingText(l.thing(a.With), 0), "mass": value(l.w.Numeral(a.With.Lifts.String()))}))
			}
		case *library.Remove:
			l.weigh(s, a.Items, weighed)
		case *library.Refit:
			l.weigh(s, a.Items, weighed)
		case *library.FitNew:
			l.weigh(s, a.Items, weighed)
		case *library.Needs:
			for _, c := range a.States {
				s.Details = append(s.Details, words(fill(l.ph.mustBe, "condition", upperFirst(c.State.Condition.Title), "state", c.State.Title)))
			}
		}
	}
}

// saysNumber tells whether a text holds a quantity and not one that merely
// ends or goes on like it: "5 mm" is not said by "25 mm".
func saysNumber(text, q string) bool {
	for i := 0; ; {
		at := strings.Index(text[i:], q)
		if at < 0 {
			return false
		}
		at += i
		before := at == 0 || !strings.ContainsRune("0123456789.,", rune(text[at-1]))
		end := at + len(q)
		after := end == len(text) || !(text[end] >= 'a' && text[end] <= 'z' || text[end] >= '0' && text[end] <= '9')
		if before && after {
			return true
		}
		i = at + 1
	}
}

// weigh says what a heavy thing weighs.
func (l *lowerer) weigh(s *Step, items []library.Item, done map[library.Thing]bool) {
	for _, it := range items {
		cases := l.itemCases(it)
		for _, c := range cases {
			p, ok := c.thing.(*library.Part)
			if !ok || p.Mass == nil || done[p] {
				continue
			}
			done[p] = true
			thing := words(l.thing(p).Title)
			if len(c.members) > 0 {
				thing = words(l.thing(p).Title + " (" + memberTitles(c.members) + ")")
			}
			s.Details = append(s.Details, say(l.ph.weighs, map[string]Text{"thing": thing, "mass": value(l.w.Numeral(p.Mass.String()))}))
		}
	}
}

// --- figures and videos ----------------------------------------------------------------------

func (l *lowerer) show(s *Step, a *library.Show) {
	for _, f := range a.Figures {
		s.Figures = append(s.Figures, l.shown(f))
	}
	for _, v := range a.Videos {
		s.Videos = append(s.Videos, &Video{Name: v.Name, Title: v.Title, Link: v.Link, From: v.From, To: v.To, Step: s.Number})
	}
}
