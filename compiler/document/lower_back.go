package document

import (
	"maps"
	"slices"
	"strconv"
	"strings"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
)

// finishes tells what each finish leaves otherwise than the job found it.
func (l *lowerer) finishes() {
	for _, f := range l.doc.Finishes {
		bound := l.finishOf[f]
		var left *paths.Left
		if l.res != nil {
			if left = l.res.Finishes[bound]; f.Implied {
				left = l.res.RunsOff
			}
		}
		if left == nil {
			if bound != nil {
				f.Leaves = l.leaves(bound)
			}
			continue
		}
		f.Leaves = l.ordered(left.States)
		f.Off = l.off(l.res.Off(left))
		f.On = l.leftOn(f)
	}
}

// off gives what is off in the order in which the job begins without it and
// empties it.
func (l *lowerer) off(left []paths.LeftOff) (out []Counted) {
	var places []*library.Part
	for _, it := range l.proc.BeginsWithout {
		for _, c := range l.itemCases(it) {
			if p, ok := c.thing.(*library.Part); ok {
				places = appendNew(places, p.Place())
			}
		}
	}
	for _, m := range l.moves {
		if p, ok := m.thing.(*library.Part); ok && m.kind == takenOff {
			places = appendNew(places, p.Place())
		}
	}
	for _, p := range places {
		for _, o := range left {
			if o.Part == p {
				out = append(out, Counted{l.thing(p), o.Count, memberTitles(o.Members)})
			}
		}
	}
	return out
}

// leaves gives what a finish says that it leaves, where no path was judged.
func (l *lowerer) leaves(f *library.Finish) []State {
	var states []*library.State
	for _, c := range f.Leaves {
		if l.begin(c.State.Condition) != c.State {
			states = append(states, c.State)
		}
	}
	return l.ordered(states)
}

// leftOn gives the parts that were not on the machine at the start and are on
// it at a finish, on some path.
func (l *lowerer) leftOn(f *Finish) (out []Counted) {
	end := occurrence{step: len(l.doc.Steps), guard: l.finishGuard[f]}
	for _, it := range l.proc.BeginsWithout {
		for _, c := range l.itemCases(it) {
			p, ok := c.thing.(*library.Part)
			if !ok {
				continue
			}
			var on library.Thing
			count := 0
			for _, m := range l.movesAt(p.Place()) {
				if !l.before(m.at, end) {
					continue
				}
				switch m.kind {
				case putBack, fittedNew:
					on, count = m.thing, count+m.count
				case takenOff:
					if count = max(0, count-m.count); count == 0 {
						on = nil
					}
				}
			}
			if on != nil {
				out = append(out, Counted{l.thing(on), count, memberTitles(c.members)})
			}
		}
	}
	return out
}

// movesAt gives what empties and fills a place.
func (l *lowerer) movesAt(place *library.Part) []move {
	if l.byPlace == nil {
		l.byPlace = map[*library.Part][]move{}
		for _, m := range l.moves {
			if p, ok := m.thing.(*library.Part); ok {
				l.byPlace[p.Place()] = append(l.byPlace[p.Place()], m)
			}
		}
	}
	return l.byPlace[place]
}

// before tells whether some way leads from an occurrence to a later place.
func (l *lowerer) before(o, end occurrence) bool {
	for g := o.guard; g != nil; g = g.outer {
		shared := false
		for e := end.guard; e != nil; e = e.outer {
			if e == g {
				shared = true
				break
			}
			if e.decision != nil && e.decision == g.decision {
				return false
			}
			if e.repeat != nil && e.repeat == g.repeat && g.otherwise {
				return false
			}
		}
		if !shared && !g.through {
			return false
		}
	}
	return true
}

// mostOff is how many of each place are off at once at most, on the way that
// empties it most; and how many of each part that is named itself: four bolts
// of one size and eight of another share a place, not a number.
func (l *lowerer) mostOff() map[*library.Part]int {
	most := map[*library.Part]int{}
	l.emptied(l.proc.Body, l.proc, map[*library.Part]int{}, most)
	return most
}

// emptied walks statements with the number off at each place, which it changes.
func (l *lowerer) emptied(list []library.Flow, here *library.Procedure, off, most map[*library.Part]int) {
	ways := func(bodies ...func(map[*library.Part]int)) {
		var ends []map[*library.Part]int
		for _, body := range bodies {
			end := maps.Clone(off)
			body(end)
			ends = append(ends, end)
		}
		for p := range most {
			n := 0
			for _, end := range ends {
				n = max(n, end[p])
			}
			off[p] = n
		}
	}
	for _, f := range list {
		switch f := f.(type) {
		case *library.Step:
			for _, a := range f.Actions {
				l.emptiedBy(a, here, off, most)
			}
		case *library.Stage:
			l.emptied(f.Body, here, off, most)
		case *library.Perform:
			l.emptied(f.Body, here, off, most)
		case *library.Decide:
			var bodies []func(map[*library.Part]int)
			for _, br := range f.Branches {
				inside, ok := inBranch(here, f, br)
				if ok {
					bodies = append(bodies, func(end map[*library.Part]int) {
						l.emptied(br.Body, inside, end, most)
						if !fallsThrough(br.Body) {
							clear(end)
						}
					})
				}
			}
			ways(bodies...)
		case *library.Repeat:
			l.emptied(f.Body, here, off, most)
			if f.HasOtherwise {
				ways(func(map[*library.Part]int) {}, func(end map[*library.Part]int) { l.emptied(f.Otherwise, here, end, most) })
			}
		}
	}
}

// inBranch gives the procedure for the members of a branch; ok is false where
// there are none.
func inBranch(here *library.Procedure, f *library.Decide, br *library.Branch) (*library.Procedure, bool) {
	if f.Variant == nil {
		return here, true
	}
	some := slices.DeleteFunc(slices.Clone(br.Members), func(m *library.Member) bool {
		return !slices.Contains(membersOf(here, f.Variant), m)
	})
	return narrow(here, some), len(some) > 0
}

func (l *lowerer) emptiedBy(a library.Action, here *library.Procedure, off, most map[*library.Part]int) {
	var items []library.Item
	sign := -1
	switch a := a.(type) {
	case *library.Remove:
		items, sign = a.Items, 1
	case *library.Refit:
		items = a.Items
	case *library.FitNew:
		items = a.Items
	}
	outer := l.here
	l.here = here
	defer func() { l.here = outer }()
	for _, it := range items {
		seen := map[*library.Part]bool{}
		for _, c := range l.itemCases(it) {
			p, ok := c.thing.(*library.Part)
			if !ok || seen[p.Place()] {
				continue
			}
			at := p.Place()
			seen[at] = true // the parts of one kind share a place
			off[at] = max(0, off[at]+sign*it.Count)
			most[at] = max(most[at], off[at])
		}
		for _, c := range l.itemCases(it) {
			if p, ok := c.thing.(*library.Part); ok && p != p.Place() {
				off[p] = max(0, off[p]+sign*it.Count)
				most[p] = max(most[p], off[p])
			}
		}
	}
}

// --- close-up -------------------------------------------------------------------------------

// closeUp counts what must be back in place when the machine goes back to work.
// What stands only on ways that end otherwise is not counted.
func (l *lowerer) closeUp() {
	if !slices.ContainsFunc(l.doc.Finishes, func(f *Finish) bool { return f.Outcome == "serviceable" }) {
		return
	}
	type group struct {
		thing library.Thing
		kind  string
		at    []occurrence
		count int
	}
	var groups []*group
	index := map[library.Thing]map[string]*group{}
	for _, m := range l.moves {
		if m.kind == takenOff || !leadsOn(m.at.guard) {
			continue
		}
		kind := map[moveKind]string{putBack: "put back", fittedNew: "new", toolOn: "tool off"}[m.kind]
		if p, ok := m.thing.(*library.Part); ok && m.kind == putBack && l.isCover(p) {
			kind = "cover"
		}
		if index[m.thing] == nil {
			index[m.thing] = map[string]*group{}
		}
		g := index[m.thing][kind]
		if g == nil {
			g = &group{thing: m.thing, kind: kind}
			index[m.thing][kind] = g
			groups = append(groups, g)
		}
		g.at = append(g.at, m.at)
		g.count = max(g.count, m.count)
	}
	most := l.mostOff()
	for _, kind := range []string{"put back", "new", "cover", "tool off"} {
		for _, g := range groups {
			if g.kind != kind {
				continue
			}
			count := g.count
			if p, ok := g.thing.(*library.Part); ok && kind != "new" {
				n, named := most[p]
				if !named {
					n = most[p.Place()] // taken off by the name of its kind
				}
				count = max(count, n)
			}
			label := l.thingText(l.thing(g.thing), 0)
			if t := l.thing(g.thing); count > 1 && t.Plural != "" {
				label[0].Text = l.w.Several(t, count)
			}
			_, only := l.when(g.at)
			l.doc.CloseUp = append(l.doc.CloseUp, CloseUp{Kind: kind, Label: label, Count: count, Only: only})
		}
	}
	made := map[*library.Condition]bool{}
	for _, f := range l.sources {
		for _, a := range f.Actions {
			if m, ok := a.(*library.Make); ok {
				made[m.State.Condition] = true
			}
		}
	}
	for _, c := range l.conditions {
		if s := l.end(c); made[c] && s != nil {
			st := stateOf(s)
			l.doc.CloseUp = append(l.doc.CloseUp, CloseUp{Kind: "state", Count: 1, Label: Text{
				{Kind: Plain, Text: st.ConditionTitle + " "}, {Kind: Strong, Text: st.StateTitle},
			}})
		}
	}
}

// isCover tells whether a part is what a technician calls a cover: it guards a
// hazard and its title says so.
func (l *lowerer) isCover(p *library.Part) bool {
	return len(guardsOf(p)) > 0 && slices.ContainsFunc(strings.Fields(strings.ToLower(p.Title)), l.ph.isCover)
}

// leadsOn tells whether a way leads from behind a guard to the end of the job.
func leadsOn(g *guard) bool {
	for ; g != nil; g = g.outer {
		if !g.leads {
			return false
		}
	}
	return true
}

// --- record --------------------------------------------------------------------------------------

// record lists what is to be written down, in the order of the work.
func (l *lowerer) record() {
	for i, f := range l.sources {
		s := l.doc.Steps[i]
		outer := l.here
		l.here = l.hereAt(l.guards[i])
		boxes := boxesOf(s)
		for _, a := range f.Actions {
			l.recordAction(s, a, &boxes)
		}
		l.here = outer
	}
}

// hereAt narrows the procedure to the members that a place is for.
func (l *lowerer) hereAt(g *guard) *library.Procedure {
	p := l.proc
	for ; g != nil; g = g.outer {
		if g.variant != nil {
			p = narrow(p, g.members)
		}
	}
	return p
}

func boxesOf(s *Step) (holds []string) {
	for _, b := range s.Boxes {
		if h, ok := b.(*HoldBox); ok {
			holds = append(holds, h.ID)
		}
	}
	return holds
}

func (l *lowerer) recordAction(s *Step, a library.Action, holds *[]string) {
	add := func(line RecordLine, members []*library.Member) {
		line.Step = s.Number
		if line.Kind == "reading" || line.Kind == "answer" || line.Kind == "record" {
			line.Turns = l.turns(s)
			line.Boxes *= max(1, len(line.Turns))
		}
		_, line.Only = l.when([]occurrence{{s.Number, l.guards[s.Number-1], members}})
		l.doc.Record = append(l.doc.Record, line)
	}
	switch a := a.(type) {
	case *library.Measure:
		r := l.reading(a.Reading, a.Of, a.Count)
		add(RecordLine{Kind: "reading", Name: r.Name, Label: r.Title, Unit: r.Unit, Boxes: r.Boxes, Of: r.Of, Limits: r.Limits}, nil)
	case *library.Tighten:
		last := a.To[len(a.To)-1]
		for _, c := range l.itemCases(a.Item) {
			n := 0
			if a.Item.Count > 1 {
				n = a.Item.Count
			}
			outer := l.here
			if len(c.members) > 0 {
				l.here = narrow(l.here, c.members)
			}
			label := l.thingText(l.thing(c.thing), n).String() + ", " + l.valueText(last).String()
			l.here = outer
			add(RecordLine{Kind: "torque", Name: c.thing.Declared().Name, Label: label, Unit: unitOf(l.valueCases(last)), Boxes: 1, Who: s.By}, c.members)
		}
	case *library.Ask:
		question := l.text(a.Text).String()
		if question == "" {
			question = a.Question.Title
		}
		add(RecordLine{Kind: "answer", Name: a.Question.Name, Label: question, Boxes: 1}, nil)
	case *library.Record:
		add(RecordLine{Kind: "record", Name: a.Record.Name, Label: l.text(a.What).String(), Boxes: 1}, nil)
	case *library.FitNew:
		for _, it := range a.Items {
			for _, c := range l.itemCases(it) {
				n := 0
				if it.Count > 1 {
					n = it.Count
				}
				add(RecordLine{Kind: "part", Name: c.thing.Declared().Name, Label: l.thingText(l.thing(c.thing), n).String(), Boxes: 1}, c.members)
			}
		}
	case *library.Hold:
		if len(*holds) > 0 {
			add(RecordLine{Kind: "hold", Name: (*holds)[0], Label: l.text(a.What).String(), Boxes: 1, Who: l.text(a.Who).String()}, nil)
			*holds = (*holds)[1:]
		}
	}
}

func unitOf(cases []valueCase) string {
	if len(cases) == 0 || cases[0].value.Unit == nil {
		return ""
	}
	return cases[0].value.Unit.Symbol
}

// turns names the turns in which a step may be done: those of the repeats
// around it, one less of each whose until stands before the step. None where
// it is done once.
func (l *lowerer) turns(s *Step) []string {
	behind := map[*Repeat]bool{}
	for g := l.guards[s.Number-1]; g != nil; g = g.outer {
		if g.repeat != nil && !g.otherwise {
			behind[g.repeat] = true
		}
	}
	var keys []string
	for _, r := range l.around[s] {
		n := r.Times
		if behind[r] {
			n = max(1, n-1)
		}
		if keys == nil {
			keys = []string{""}
		}
		var next []string
		for _, key := range keys {
			for i := 1; i <= n && len(next) < maxBoxes; i++ {
				next = append(next, strings.TrimPrefix(key+"."+strconv.Itoa(i), "."))
			}
		}
		keys = next
	}
	return keys
}

// maxBoxes bounds the boxes of one line of the record.
const maxBoxes = 1000
