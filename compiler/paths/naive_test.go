package paths_test

import (
	"fmt"
	"sort"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/quantity"
	"benchproof/compiler/trade"
)

// The naive walk: one concrete path at a time, with plain maps, written from the
// language's description alone. It stops a path at its first fault. It is
// hopeless for anything but small procedures, and that is its use: it has
// nothing in common with the walk it is compared with.

type naiveFault struct {
	code string
	at   int // offset
}

type naiveState struct {
	tools    map[*library.Tool]int
	off      map[*library.Part]int // by place: how many are off
	total    map[*library.Part]int // by place: how many there are, once known
	clamped  map[library.Thing]bool
	holding  map[*library.Part]*library.Part
	standing map[*library.Condition]*library.State
	proved   map[string]bool // condition and tool
	holes    map[*library.Hole]*library.Drill
	readings map[*library.Reading]quantity.Number
	answers  map[*library.Question]*library.Answer
	times    map[library.Symbol]int // how often each was taken
}

func copied[K comparable, V any](m map[K]V) map[K]V {
	out := make(map[K]V, len(m))
	for k, v := range m {
		out[k] = v
	}
	return out
}

func (s *naiveState) copy() *naiveState {
	return &naiveState{copied(s.tools), copied(s.off), copied(s.total), copied(s.clamped), copied(s.holding), copied(s.standing), copied(s.proved), copied(s.holes), copied(s.readings), copied(s.answers), copied(s.times)}
}

type naive struct {
	lib      *library.Library
	p        *library.Procedure
	members  library.Assignment
	values   map[*library.Reading][]quantity.Number
	faults   map[naiveFault]bool
	reached  map[int]bool // steps and branches, by offset
	branches map[int]bool
	runs     int
	// fixed values of a replayed example
	given  map[*library.Reading][]quantity.Number
	said   map[*library.Question][]*library.Answer
	taken  map[library.Symbol]int
	replay bool
}

const naiveRuns = 6_000

// enumerate walks every path. ok is false where there are too many.
func enumerate(lib *library.Library, p *library.Procedure) (n *naive, ok bool) {
	n = &naive{lib: lib, p: p, faults: map[naiveFault]bool{}, reached: map[int]bool{}, branches: map[int]bool{}, values: map[*library.Reading][]quantity.Number{}}
	for _, r := range p.Readings {
		n.values[r] = n.telling(r)
	}
	var all []*library.Variant
	for _, a := range p.Applies {
		all = append(all, a.Variant)
	}
	list, _ := paths.Assignments(p, all)
	for _, a := range list {
		n.members = a
		n.start()
	}
	return n, n.runs < naiveRuns
}

// follow walks the one path of a case.
func follow(lib *library.Library, p *library.Procedure, c paths.Case) *naive {
	n := &naive{lib: lib, p: p, faults: map[naiveFault]bool{}, reached: map[int]bool{}, branches: map[int]bool{}, replay: true,
		given: c.Values, said: c.Answers, taken: map[library.Symbol]int{}, members: c.Members}
	n.start()
	return n
}

// telling gives values of a reading on both sides of every limit in the text.
func (n *naive) telling(r *library.Reading) []quantity.Number {
	scale, _ := paths.ScaleOf(r)
	var out []quantity.Number
	add := func(v quantity.Number) {
		for _, have := range out {
			if have.Equal(v) {
				return
			}
		}
		if scale.Shows(v) {
			out = append(out, v)
		}
	}
	ends := func(rg *library.Range) {
		for _, e := range []*library.RangeEnd{rg.Low, rg.High} {
			if e == nil {
				continue
			}
			var quantities []quantity.Quantity
			if e.Value.Column != nil {
				quantities = e.Value.Column.Values
			} else {
				quantities = []quantity.Quantity{e.Value.Quantity}
			}
			for _, q := range quantities {
				v, err := q.In(r.Unit)
				if err != nil {
					continue
				}
				add(v)
				add(v.Add(scale.Step))
				add(v.Sub(scale.Step))
			}
		}
	}
	paths.Each(n.p, func(f library.Flow) {
		switch f := f.(type) {
		case *library.Decide:
			if f.Reading == r {
				for _, br := range f.Branches {
					ends(br.Range)
				}
			}
		case *library.Until:
			if f.Reading == r {
				ends(&f.Range)
			}
		}
	})
	add(scale.From)
	add(scale.To)
	return out
}

func (n *naive) start() {
	s := (&naiveState{}).copy()
	for _, c := range n.lib.Conditions {
		s.standing[c] = c.Begins
	}
	for _, b := range n.p.Begins {
		s.standing[b.State.Condition] = b.State
	}
	for _, it := range n.p.BeginsWithout {
		part := it.For(n.members).(*library.Part).Place()
		s.off[part], s.total[part] = it.Count, it.Count
	}
	if n.guarded(s) {
		n.body(n.p.Body, s, func(s *naiveState) { n.finish(nil, s) })
	}
}

// guarded tells whether nobody meets a hazard at the start, since its guard is off
// while it is not safe.
func (n *naive) guarded(s *naiveState) bool {
	for _, it := range n.p.BeginsWithout {
		place := it.For(n.members).(*library.Part).Place()
		for _, p := range n.lib.Parts {
			for _, h := range p.Guards {
				if p.Place() == place && h.Safe != nil && s.standing[h.Safe.Condition] != h.Safe {
					return n.fault("BP601", it.Span.Start)
				}
			}
		}
	}
	return true
}

// fault notes the first fault of a path; the path goes no further.
func (n *naive) fault(code string, at int) bool {
	n.faults[naiveFault{code, at}] = true
	return false
}

// body walks statements, and then does what follows them.
func (n *naive) body(list []library.Flow, s *naiveState, then func(*naiveState)) {
	if n.runs++; n.runs > naiveRuns {
		return
	}
	if len(list) == 0 {
		then(s)
		return
	}
	rest := func(s *naiveState) { n.body(list[1:], s, then) }
	n.reached[list[0].At().Start] = true
	switch f := list[0].(type) {
	case *library.Stage:
		n.body(f.Body, s, rest)
	case *library.Perform:
		n.body(f.Body, s, rest)
	case *library.Step:
		if n.hazards(f, s) {
			n.actions(f.Actions, s, rest)
		}
	case *library.Decide:
		n.decide(f, s, rest)
	case *library.Repeat:
		n.turn(f, 1, 0, s, rest)
	case *library.Finish:
		n.finish(f, s)
	default:
		panic(fmt.Sprintf("naive: %T", f))
	}
}

func (n *naive) decide(d *library.Decide, s *naiveState, rest func(*naiveState)) {
	for _, br := range d.Branches {
		hit := false
		switch {
		case d.Variant != nil:
			for _, m := range br.Members {
				hit = hit || n.members.Of(d.Variant) == m
			}
		case d.Question != nil:
			a, ok := s.answers[d.Question]
			if !ok {
				n.fault("BP404", d.OnSpan.Start)
				return
			}
			for _, x := range br.Answers {
				hit = hit || x == a
			}
		default:
			v, ok := s.readings[d.Reading]
			if !ok {
				n.fault("BP404", d.OnSpan.Start)
				return
			}
			r, ok := br.Range.For(n.members, d.Reading.Unit)
			hit = ok && r.Contains(v)
		}
		if hit {
			n.branches[br.Span.Start] = true
			n.body(br.Body, s, rest)
			return
		}
	}
}

// turn does one turn. Judged is how often what ends the repeat had been taken when
// the turn before was judged by it: a turn that has not taken it since goes by
// what was found wanting already.
func (n *naive) turn(rp *library.Repeat, count, judged int, s *naiveState, rest func(*naiveState)) {
	at := 0
	for {
		if _, is := rp.Body[at].(*library.Until); is {
			break
		}
		at++
	}
	u := rp.Body[at].(*library.Until)
	n.body(rp.Body[:at], s, func(s *naiveState) {
		ends, ok := n.ends(u, s)
		if !ok || count > 1 && s.times[u.On()] == judged {
			n.fault("BP404", u.OnSpan.Start)
			return
		}
		if ends {
			rest(s)
			return
		}
		if count == rp.Times {
			n.body(rp.Otherwise, s, rest)
			return
		}
		n.body(rp.Body[at+1:], s, func(after *naiveState) { n.turn(rp, count+1, s.times[u.On()], after, rest) })
	})
}

// ends tells whether what was measured or answered last ends a repeat; ok is
// false where nothing was.
func (n *naive) ends(u *library.Until, s *naiveState) (ends, ok bool) {
	if u.Reading != nil {
		v, ok := s.readings[u.Reading]
		r, known := u.Range.For(n.members, u.Reading.Unit)
		return ok && known && r.Contains(v), ok
	}
	said, ok := s.answers[u.Question]
	for _, a := range u.Answers {
		if a == said {
			return true, ok
		}
	}
	return false, ok
}

func (n *naive) things(items []library.Item, f func(library.Thing, library.Item) bool) bool {
	for _, it := range items {
		if !f(it.For(n.members), it) {
			return false
		}
	}
	return true
}

func (n *naive) hazards(st *library.Step, s *naiveState) bool {
	type carried struct {
		h  *library.Hazard
		at int
	}
	var list []carried
	add := func(h *library.Hazard, at int) {
		for _, c := range list {
			if c.h == h {
				return
			}
		}
		list = append(list, carried{h, at})
	}
	for _, a := range st.Actions {
		if w, ok := a.(*library.Warn); ok {
			for _, h := range w.Hazards {
				add(h.Hazard, h.Span.Start)
			}
		}
		for _, it := range paths.ToolsOf(a) {
			if t, ok := it.For(n.members).(*library.Tool); ok {
				for _, h := range t.Carries {
					add(h, it.Span.Start)
				}
			}
		}
		if r, ok := a.(*library.Remove); ok {
			for _, it := range r.Items {
				if p, ok := it.For(n.members).(*library.Part); ok {
					for _, h := range append(append([]*library.Hazard(nil), p.Guards...), guardsOfKind(p)...) {
						add(h, it.Span.Start)
					}
				}
			}
		}
	}
	for _, c := range list {
		safe := c.h.Safe
		if safe == nil {
			continue
		}
		brings, proves := false, false
		for _, a := range st.Actions {
			if m, ok := a.(*library.Make); ok && m.State == safe {
				brings = true
			}
			if v, ok := a.(*library.Verify); ok && v.State == safe && v.With == c.h.ProvedWith {
				proves = true
			}
		}
		if !brings && s.standing[safe.Condition] != safe {
			return n.fault("BP601", c.at)
		}
		if c.h.ProvedWith != nil && !proves && !s.proved[safe.Condition.Name+" "+c.h.ProvedWith.Name] {
			return n.fault("BP605", c.at)
		}
	}
	return true
}

func guardsOfKind(p *library.Part) []*library.Hazard {
	if p.Kind == nil {
		return nil
	}
	return p.Kind.Guards
}

// actions does the actions of a step in order; what follows gets a state of its own.
func (n *naive) actions(list []library.Action, s *naiveState, then func(*naiveState)) {
	s = s.copy()
	for i, a := range list {
		switch a := a.(type) {
		case *library.Measure:
			n.take(a.Reading, s, func(s *naiveState) { n.actions(list[i+1:], s, then) })
			return
		case *library.Ask:
			n.takeAnswer(a.Question, s, func(s *naiveState) { n.actions(list[i+1:], s, then) })
			return
		}
		if !n.action(a, s) {
			return
		}
	}
	then(s)
}

func (n *naive) take(r *library.Reading, s *naiveState, then func(*naiveState)) {
	values := n.values[r]
	if n.replay {
		i := n.taken[r]
		n.taken[r]++
		if i >= len(n.given[r]) {
			return
		}
		values = n.given[r][i : i+1]
	}
	for _, v := range values {
		c := s.copy()
		c.readings[r] = v
		c.times[r]++
		then(c)
	}
}

func (n *naive) takeAnswer(q *library.Question, s *naiveState, then func(*naiveState)) {
	answers := q.Answers
	if n.replay {
		i := n.taken[q]
		n.taken[q]++
		if i >= len(n.said[q]) {
			return
		}
		answers = n.said[q][i : i+1]
	}
	for _, a := range answers {
		c := s.copy()
		c.answers[q] = a
		c.times[q]++
		then(c)
	}
}

func (n *naive) action(a library.Action, s *naiveState) bool {
	switch a := a.(type) {
	case *library.Fit:
		return n.things(a.Items, func(t library.Thing, it library.Item) bool {
			if s.tools[t.(*library.Tool)] > 0 {
				return n.fault("BP503", it.Span.Start)
			}
			s.tools[t.(*library.Tool)] = it.Count
			return true
		})
	case *library.Remove:
		return n.things(a.Items, func(t library.Thing, it library.Item) bool { return n.remove(t, it, s) })
	case *library.Refit:
		return n.things(a.Items, func(t library.Thing, it library.Item) bool { return n.put(t.(*library.Part), it, s, false) })
	case *library.FitNew:
		return n.things(a.Items, func(t library.Thing, it library.Item) bool { return n.put(t.(*library.Part), it, s, true) })
	case *library.Clamp:
		return n.things(a.Items, func(t library.Thing, it library.Item) bool {
			if s.clamped[t] {
				return n.fault("BP503", it.Span.Start)
			}
			s.clamped[t] = true
			return true
		})
	case *library.Release:
		return n.things(a.Items, func(t library.Thing, it library.Item) bool {
			if !s.clamped[t] {
				return n.fault("BP501", it.Span.Start)
			}
			delete(s.clamped, t)
			return true
		})
	case *library.Make:
		return n.make(a, s)
	case *library.Verify:
		if s.standing[a.State.Condition] != a.State {
			return n.fault("BP506", a.At().Start)
		}
		s.proved[a.State.Condition.Name+" "+a.With.Name] = true
	case *library.Needs:
		for _, c := range a.States {
			if s.standing[c.State.Condition] != c.State {
				return n.fault("BP506", c.Span.Start)
			}
		}
	case *library.Drill:
		s.holes[a.Hole] = a
	case *library.Tap:
		return n.tap(a, s)
	case *library.Tighten:
		return n.things([]library.Item{a.Item}, func(t library.Thing, it library.Item) bool {
			place := t.(*library.Part).Place()
			if s.total[place] > 0 && s.total[place]-s.off[place] < it.Count {
				return n.fault("BP501", it.Span.Start)
			}
			return true
		})
	}
	return true
}

func (n *naive) front(p *library.Part, at int, s *naiveState) bool {
	list := append([]*library.Part(nil), p.Behind...)
	if p.Kind != nil {
		list = append(list, p.Kind.Behind...)
	}
	for _, f := range list {
		f = f.Place()
		if s.total[f] == 0 || s.off[f] < s.total[f] {
			return n.fault("BP510", at)
		}
	}
	return true
}

func (n *naive) remove(t library.Thing, it library.Item, s *naiveState) bool {
	if tool, ok := t.(*library.Tool); ok {
		if s.tools[tool] < it.Count {
			return n.fault("BP501", it.Span.Start)
		}
		s.tools[tool] -= it.Count
		return true
	}
	p := t.(*library.Part)
	if !n.front(p, it.Span.Start, s) {
		return false
	}
	place := p.Place()
	if p.Kind != nil && (s.total[place] == 0 || s.off[place] < s.total[place]) {
		if h := s.holding[place]; h != nil && h != p {
			return n.fault("BP501", it.Span.Start)
		}
		s.holding[place] = p
	}
	if s.total[place] == 0 {
		s.off[place], s.total[place] = it.Count, it.Count
		return true
	}
	if s.total[place]-s.off[place] < it.Count {
		return n.fault("BP501", it.Span.Start)
	}
	s.off[place] += it.Count
	return true
}

func (n *naive) put(p *library.Part, it library.Item, s *naiveState, isNew bool) bool {
	if !isNew && (p.SingleUse || p.Place().SingleUse) {
		return n.fault("BP509", it.Span.Start)
	}
	if s.clamped[p] {
		return n.fault("BP502", it.Span.Start)
	}
	if !n.front(p, it.Span.Start, s) {
		return false
	}
	place := p.Place()
	if s.off[place] < it.Count {
		return n.fault("BP503", it.Span.Start)
	}
	if p.Kind != nil {
		if s.holding[place] != p && s.off[place] < s.total[place] {
			delete(s.holding, place)
		} else {
			s.holding[place] = p
		}
	}
	s.off[place] -= it.Count
	return true
}

func (n *naive) make(a *library.Make, s *naiveState) bool {
	c := a.State.Condition
	for _, h := range n.lib.Hazards {
		if h.Safe == nil || h.Safe.Condition != c || s.standing[c] != h.Safe || a.State == h.Safe {
			continue
		}
		for _, p := range n.lib.Parts {
			for _, g := range p.Guards {
				if g == h && s.off[p.Place()] > 0 {
					return n.fault("BP601", a.At().Start)
				}
			}
		}
	}
	if s.standing[c] != a.State {
		for key := range s.proved {
			if len(key) > len(c.Name) && key[:len(c.Name)+1] == c.Name+" " {
				delete(s.proved, key)
			}
		}
	}
	s.standing[c] = a.State
	return true
}

func (n *naive) tap(a *library.Tap, s *naiveState) bool {
	d, ok := s.holes[a.Hole]
	if !ok {
		if !a.Existing {
			return n.fault("BP701", a.At().Start)
		}
		return true
	}
	th, _ := trade.ParseThread(a.Thread)
	mm, _ := quantity.LookUp("mm")
	in := func(v library.Value) quantity.Number {
		q, _ := v.For(n.members)
		x, _ := q.In(mm)
		return x
	}
	if h, err := trade.TappingHole(th); err == nil && h.Judge(in(d.Size)) != trade.Inside {
		return n.fault("BP701", a.ThreadSpan.Start)
	}
	if over, ok := trade.BlindOverhang(th); ok && in(d.Deep).Cmp(in(a.Deep).Add(over)) < 0 {
		return n.fault("BP702", a.Deep.Span.Start)
	}
	return true
}

func (n *naive) finish(f *library.Finish, s *naiveState) {
	at, outcome := n.p.Span.Start, "serviceable"
	if f != nil {
		at, outcome = f.Span.Start, f.Outcome
	}
	for _, count := range s.tools {
		if count > 0 {
			n.fault("BP502", at)
		}
	}
	if len(s.clamped) > 0 {
		n.fault("BP502", at)
	}
	for place, off := range s.off {
		without := false
		for _, it := range n.p.BeginsWithout {
			without = without || it.For(n.members).(*library.Part).Place() == place
		}
		if off > 0 && outcome == "serviceable" && !without {
			n.fault("BP504", at)
		}
	}
	for c, st := range s.standing {
		want := c.Ends
		for _, x := range n.p.Ends {
			if x.State.Condition == c {
				want = x.State
			}
		}
		var next *library.State
		if f != nil && f.To != nil {
			next = c.Begins
			for _, x := range f.To.Begins {
				if x.State.Condition == c {
					next = x.State
				}
			}
			want = next
		}
		if f != nil {
			for _, x := range f.Leaves {
				if x.State.Condition == c {
					want = x.State
					if next != nil && next != want {
						n.fault("BP507", x.Span.Start)
					}
				}
			}
		}
		if st != want {
			n.fault("BP507", at)
		}
	}
	if f != nil && f.To != nil && !n.sameStart(f.To, s) {
		n.fault("BP512", at)
	}
}

// sameStart tells whether the next job would find the machine as it asks: it is
// for this member, and each place has as much off as it would have at its start.
func (n *naive) sameStart(to *library.Procedure, s *naiveState) bool {
	for _, a := range to.Applies {
		if m := n.members.Of(a.Variant); m != nil {
			found := false
			for _, x := range a.Members {
				found = found || x == m
			}
			if !found {
				return false
			}
		}
	}
	off, skip := map[*library.Part]int{}, map[*library.Part]bool{}
	for _, it := range to.BeginsWithout {
		if it.Column != nil && n.members.Of(it.Column.Table.Variant) == nil {
			// Which member it is, only the next job will know.
			for _, t := range it.Column.Things {
				skip[t.(*library.Part).Place()] = true
			}
			continue
		}
		off[it.For(n.members).(*library.Part).Place()] = it.Count
	}
	for _, p := range n.lib.Parts {
		if place := p.Place(); !skip[place] && off[place] != s.off[place] {
			return false
		}
	}
	return true
}

func (n *naive) list() []naiveFault {
	var out []naiveFault
	for f := range n.faults {
		out = append(out, f)
	}
	sort.Slice(out, func(i, j int) bool {
		if out[i].at != out[j].at {
			return out[i].at < out[j].at
		}
		return out[i].code < out[j].code
	})
	return out
}
