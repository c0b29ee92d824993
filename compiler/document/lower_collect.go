package document

import (
	"cmp"
	"slices"
	"strings"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
)

// A use is a thing taken into the hand, used up or fitted new in a step.
type use struct {
	thing   library.Thing
	at      occurrence
	count   int
	isNew   bool
	purpose string // of a tool: what it works on or reads
}

// A move is a place emptied or filled, or a tool fitted.
type move struct {
	thing library.Thing
	at    occurrence
	count int
	kind  moveKind
}

type moveKind uint8

const (
	takenOff moveKind = iota + 1
	putBack
	fittedNew
	toolOn
)

// note keeps what an action of the step at hand needs and moves.
func (l *lowerer) note(s *Step, f *library.Step, a library.Action) {
	purpose := l.purpose(f, a)
	for _, it := range paths.ToolsOf(a) {
		for _, c := range l.itemCases(it) {
			if _, part := c.thing.(*library.Part); !part {
				l.uses = append(l.uses, use{thing: c.thing, at: l.occurs(c.members), count: it.Count, purpose: purpose})
			}
		}
	}
	moved := func(items []library.Item, kind moveKind) {
		for _, it := range items {
			for _, c := range l.itemCases(it) {
				_, tool := c.thing.(*library.Tool)
				if tool != (kind == toolOn) {
					continue // a tool taken off is what comes after it was fitted
				}
				l.moves = append(l.moves, move{c.thing, l.occurs(c.members), it.Count, kind})
				if kind == fittedNew {
					l.uses = append(l.uses, use{thing: c.thing, at: l.occurs(c.members), count: it.Count, isNew: true})
				}
			}
		}
	}
	switch a := a.(type) {
	case *library.Remove:
		moved(a.Items, takenOff)
	case *library.Refit:
		moved(a.Items, putBack)
	case *library.FitNew:
		moved(a.Items, fittedNew)
	case *library.Fit:
		moved(a.Items, toolOn)
	case *library.Make:
		l.conditions = appendNew(l.conditions, a.State.Condition)
	case *library.Verify:
		l.conditions = appendNew(l.conditions, a.State.Condition)
	case *library.Needs:
		for _, c := range a.States {
			l.conditions = appendNew(l.conditions, c.State.Condition)
		}
	}
}

// purpose says what a tool is for in an action: what it is fitted on, reads,
// holds, drills or tightens; of one that is only used, what the step moves.
func (l *lowerer) purpose(f *library.Step, a library.Action) string {
	named := func(items ...library.Item) string {
		var titles []string
		for _, it := range items {
			for _, c := range l.itemCases(it) {
				t := l.thing(c.thing)
				title := t.Title
				if it.Count > 1 && t.Plural != "" {
					title = l.w.Several(t, it.Count)
				}
				titles = appendNew(titles, title)
			}
		}
		return strings.Join(titles, ", ")
	}
	switch a := a.(type) {
	case *library.Fit:
		return named(a.On)
	case *library.Clamp:
		return named(a.Items...)
	case *library.Verify:
		return l.stateWords(stateOf(a.State))
	case *library.Measure:
		return a.Reading.Title
	case *library.Drill:
		return a.Hole.Title
	case *library.Tap:
		return a.Hole.Title
	case *library.Tighten:
		return named(a.Item)
	case *library.Heat:
		return named(a.Item)
	case *library.Lift:
		return named(a.Items...)
	case *library.Use:
		for _, other := range f.Actions {
			switch o := other.(type) {
			case *library.Remove:
				if parts := onlyParts(o.Items); len(parts) > 0 {
					return named(parts...)
				}
			case *library.Refit:
				return named(o.Items...)
			case *library.FitNew:
				return named(o.Items...)
			case *library.Tap:
				return o.Hole.Title
			case *library.Drill:
				return o.Hole.Title
			}
		}
	}
	return ""
}

func onlyParts(items []library.Item) (out []library.Item) {
	for _, it := range items {
		if _, tool := it.Thing.(*library.Tool); !tool {
			out = append(out, it)
		}
	}
	return out
}

// collect gathers what the job needs from what the steps use.
func (l *lowerer) collect() {
	l.kits()
	byThing := map[library.Thing][]use{}
	var order []library.Thing
	for _, u := range l.uses {
		if _, known := byThing[u.thing]; !known {
			order = append(order, u.thing)
		}
		byThing[u.thing] = append(byThing[u.thing], u)
	}
	totals := l.totals(l.proc.Body, l.proc, 1)
	for _, t := range order {
		n := l.need(t, byThing[t])
		switch t := t.(type) {
		case *library.Tool:
			if len(t.Kits) > 0 {
				n.Kit = l.kit(t.Kits[0])
			}
			l.doc.Tools = append(l.doc.Tools, n)
		case *library.Part:
			n.New, n.Count = true, totals[t]
			l.doc.Parts = append(l.doc.Parts, n)
		case *library.Consumable:
			l.doc.Consumables = append(l.doc.Consumables, n)
		}
	}
	byTitle := func(a, b Need) int {
		return cmp.Or(strings.Compare(strings.ToLower(a.Thing.Title), strings.ToLower(b.Thing.Title)), strings.Compare(a.Thing.Number, b.Thing.Number))
	}
	// What comes out of one box stands together, instruments after other tools.
	slices.SortStableFunc(l.doc.Tools, func(a, b Need) int {
		return cmp.Or(after(a.Thing.Instrument, b.Thing.Instrument), l.byKit(a.Kit, b.Kit), byTitle(a, b))
	})
	slices.SortStableFunc(l.doc.Parts, byTitle)
	slices.SortStableFunc(l.doc.Consumables, byTitle)
	l.hazardUses()
	l.isolation()
}

func after(a, b bool) int {
	switch {
	case a == b:
		return 0
	case b:
		return -1
	}
	return 1
}

// byKit orders tools by box; those without come last.
func (l *lowerer) byKit(a, b *Kit) int {
	place := func(k *Kit) int {
		for i := range l.doc.Kits {
			if k == &l.doc.Kits[i] {
				return i
			}
		}
		return len(l.doc.Kits)
	}
	return place(a) - place(b)
}

func (l *lowerer) need(t library.Thing, list []use) Need {
	n := Need{Thing: l.thing(t)}
	var at []occurrence
	var purposes []string
	for _, u := range list {
		n.Count = max(n.Count, u.count)
		n.Steps = appendStep(n.Steps, u.at.step)
		at = append(at, u.at)
		if u.purpose != "" {
			purposes = appendNew(purposes, u.purpose)
		}
	}
	n.Always, n.Only = l.when(at)
	const most = 3
	if len(purposes) > most {
		purposes = append(purposes[:most:most], "…")
	}
	n.For = strings.Join(purposes, ", ")
	return n
}

// appendStep adds a step to a rising list, once.
func appendStep(list []int, n int) []int {
	if len(list) > 0 && list[len(list)-1] == n {
		return list
	}
	return append(list, n)
}

// kits lists the boxes that hold something the job uses, with that.
func (l *lowerer) kits() {
	used := map[library.Thing]bool{}
	for _, u := range l.uses {
		used[u.thing] = true
	}
	for _, k := range l.lib.Kits {
		out := Kit{Name: k.Name, Title: k.Title, Number: k.Number, Detail: k.Detail}
		for i, t := range k.Holds {
			if used[t] && !slices.Contains(k.Holds[:i], t) {
				out.Holds = append(out.Holds, l.thing(t))
			}
		}
		if out.Holds == nil {
			continue
		}
		l.doc.Kits = append(l.doc.Kits, out)
	}
	slices.SortStableFunc(l.doc.Kits, func(a, b Kit) int {
		return cmp.Or(strings.Compare(a.Title, b.Title), strings.Compare(a.Number, b.Number), strings.Compare(a.Name, b.Name))
	})
}

func (l *lowerer) kit(k *library.Kit) *Kit {
	for i := range l.doc.Kits {
		if l.doc.Kits[i].Name == k.Name {
			return &l.doc.Kits[i]
		}
	}
	return nil
}

// totals counts the parts fitted new on the way that takes most of each.
func (l *lowerer) totals(list []library.Flow, here *library.Procedure, times int) map[*library.Part]int {
	sum := map[*library.Part]int{}
	add := func(more map[*library.Part]int) {
		for p, n := range more {
			sum[p] += n
		}
	}
	for _, f := range list {
		switch f := f.(type) {
		case *library.Step:
			for _, a := range f.Actions {
				fit, ok := a.(*library.FitNew)
				if !ok {
					continue
				}
				for _, it := range fit.Items {
					outer := l.here
					l.here = here
					for _, c := range l.itemCases(it) {
						if p, ok := c.thing.(*library.Part); ok {
							sum[p] += it.Count * times
						}
					}
					l.here = outer
				}
			}
		case *library.Stage:
			add(l.totals(f.Body, here, times))
		case *library.Perform:
			add(l.totals(f.Body, here, times))
		case *library.Decide:
			most := map[*library.Part]int{}
			for _, br := range f.Branches {
				inside, ok := inBranch(here, f, br)
				if !ok {
					continue
				}
				for p, n := range l.totals(br.Body, inside, times) {
					most[p] = max(most[p], n)
				}
			}
			add(most)
		case *library.Repeat:
			at := slices.IndexFunc(f.Body, func(x library.Flow) bool { _, is := x.(*library.Until); return is })
			if at < 0 {
				at = len(f.Body) - 1
			}
			add(l.totals(f.Body[:at+1], here, times*f.Times))
			if f.Times > 1 {
				// After the last failed turn the rest is skipped.
				add(l.totals(f.Body[at+1:], here, times*(f.Times-1)))
			}
			add(l.totals(f.Otherwise, here, times))
		}
	}
	return sum
}

// hazardUses lists the hazards, the worst first, with the steps that carry them.
func (l *lowerer) hazardUses() {
	byHazard := map[*library.Hazard][]occurrence{}
	var order []*library.Hazard
	for _, c := range l.carried {
		if _, known := byHazard[c.hazard]; !known {
			order = append(order, c.hazard)
		}
		byHazard[c.hazard] = append(byHazard[c.hazard], c.at)
	}
	slices.SortStableFunc(order, func(a, b *library.Hazard) int { return rank(a.Signal) - rank(b.Signal) })
	for _, h := range order {
		u := HazardUse{Hazard: l.hazard(h)}
		for _, o := range byHazard[h] {
			u.Steps = appendStep(u.Steps, o.step)
		}
		u.Always, u.Only = l.when(byHazard[h])
		l.doc.Hazards = append(l.doc.Hazards, u)
	}
}

// --- conditions ------------------------------------------------------------------------------

// begin is the state of a condition at the start.
func (l *lowerer) begin(c *library.Condition) *library.State {
	for _, b := range l.proc.Begins {
		if b.State.Condition == c {
			return b.State
		}
	}
	return c.Begins
}

func (l *lowerer) end(c *library.Condition) *library.State {
	for _, e := range l.proc.Ends {
		if e.State.Condition == c {
			return e.State
		}
	}
	return c.Ends
}

// conditionsOf fills in what the machine must be like at the start, at the end
// and at each stage: the conditions that the job begins with, deals with, or
// relies on for safety.
func (l *lowerer) conditionsOf() {
	var list []*library.Condition
	for _, b := range l.proc.Begins {
		list = appendNew(list, b.State.Condition)
	}
	for _, c := range l.conditions {
		list = appendNew(list, c)
	}
	for _, c := range l.carried {
		if c.hazard.Safe != nil {
			list = appendNew(list, c.hazard.Safe.Condition)
		}
	}
	for _, e := range l.proc.Ends {
		list = appendNew(list, e.State.Condition)
	}
	l.conditions = list
	for _, c := range list {
		if s := l.begin(c); s != nil {
			l.doc.Begins = append(l.doc.Begins, stateOf(s))
		}
		if s := l.end(c); s != nil {
			l.doc.Ends = append(l.doc.Ends, stateOf(s))
		}
	}
	if l.res == nil {
		return
	}
	for _, p := range l.stageOf {
		if p.before == 0 {
			continue // what holds then stands under "before you start"
		}
		p.stage.Holds = l.ordered(l.res.Holds[p.bound])
	}
}

// ordered gives states in the order in which the job meets their conditions.
func (l *lowerer) ordered(states []*library.State) (out []State) {
	for _, c := range l.conditions {
		for _, s := range states {
			if s.Condition == c {
				out = append(out, stateOf(s))
			}
		}
	}
	return out
}

// isolation tells how the conditions are made safe that hazards rely on, that
// the job verifies, or that a step needs and the machine is not in by itself:
// by whom, where, and with what it is proved.
func (l *lowerer) isolation() {
	var states, safe []*library.State
	provedWith := map[*library.State]*library.Tool{}
	for i, f := range l.sources {
		for _, a := range f.Actions {
			switch a := a.(type) {
			case *library.Verify:
				states, safe = appendNew(states, a.State), appendNew(safe, a.State)
			case *library.Needs:
				for _, c := range a.States {
					if c.State != c.State.Condition.Begins {
						states = appendNew(states, c.State)
					}
				}
			}
		}
		for _, h := range l.doc.Steps[i].Hazards {
			if b := l.bound[h]; b.Safe != nil {
				states, safe = appendNew(states, b.Safe), appendNew(safe, b.Safe)
				if b.ProvedWith != nil && provedWith[b.Safe] == nil {
					provedWith[b.Safe] = b.ProvedWith
				}
			}
		}
	}
	// A step may also need a condition away from its safe state, as a test needs
	// its pressure: that is no isolation.
	isolated := map[*library.Condition]bool{}
	for _, s := range safe {
		isolated[s.Condition] = true
	}
	for _, s := range states {
		if isolated[s.Condition] && !slices.Contains(safe, s) {
			continue
		}
		x := Isolation{State: stateOf(s)}
		tool := provedWith[s]
		for i, f := range l.sources {
			for _, a := range f.Actions {
				switch a := a.(type) {
				case *library.Make:
					if a.State == s && x.MadeStep == 0 {
						x.MadeStep, x.MadeBy = i+1, l.doc.Steps[i].By
					}
				case *library.Verify:
					if a.State == s && x.ProvedStep == 0 && (tool == nil || tool == a.With) {
						x.ProvedStep, x.ProvedBy, tool = i+1, l.doc.Steps[i].By, a.With
					}
				}
			}
		}
		x.ProvedWith = l.thing(orNil(tool))
		l.doc.Isolation = append(l.doc.Isolation, x)
	}
	slices.SortStableFunc(l.doc.Isolation, func(a, b Isolation) int { return a.MadeStep - b.MadeStep })
}

// orNil keeps a nil tool from becoming a thing that is not nil.
func orNil(t *library.Tool) library.Thing {
	if t == nil {
		return nil
	}
	return t
}
