package paths

import (
	"slices"

	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

const (
	// maxVisits bounds the walk of one procedure, in statements visited.
	maxVisits = 200_000
	// maxWork bounds its diagrams, in operations.
	maxWork = 2_000_000
	// maxCuts bounds the cutting of readings at their limits, in pieces held against
	// a limit.
	maxCuts = 5_000_000
	// maxAssigned bounds the combinations of members in all decisions together: a
	// thousand members in a hundred decisions.
	maxAssigned = 100_000
	// maxFaults bounds the messages of one procedure.
	maxFaults = 200
	// settled is the most turns of a repeat that are walked before it is taken
	// as it is; a body that has not come to rest by then does not.
	settled = 50
)

// A ground is what a walk of a procedure stands on, whichever way it takes.
type ground struct {
	lib       *library.Library
	proc      *library.Procedure
	without   []*library.Part // places that are off at the start, for some member
	guards    map[*library.Condition][]guard
	atoms     map[library.Symbol][]atom
	decisions map[*library.Decide]*judged
	untils    map[*library.Until]*judged
	// unbounded is set where there are too many combinations of members.
	unbounded *message.Message
	cuts      int // pieces of readings' values that were held against a limit
	assigned  int // combinations of members in all decisions
}

type engine struct {
	*ground
	space  *space
	result *Result
	given  *Case  // nil: every path
	tally  *Tally // nil: nothing is counted

	facts map[fact]int
	list  []fact
	begin []ref

	members map[*library.Variant]ref
	choices []choice // by variable

	path     []ref
	touching [][]int
	turns    []int // of the repeats we are in
	visits   int
	stopped  bool

	numbers   map[*library.Part]int // of parts of a kind, from 1
	drillings []*library.Drill
	told      map[toldKey]bool
	causes    map[causeKey]*message.Message
	branches  map[source.Span]*branchSeen
	order     []source.Span // of branches
	dead      []deadSpot
	via       []source.Span // performs we are in
	used      map[library.Symbol]int
	stage     *library.Stage
	touched   map[*library.Condition]bool
	mentions  map[library.Thing]bool // in closing texts
	finished  bool
	changes   int // of facts, in order
	// supply is asked before each taking of a replayed example, and until tells
	// that the fault looked for has come.
	supply func(of library.Symbol, at source.Span, turns []int)
	until  func(*message.Message) bool
	// both is set where two versions of a procedure are walked over the same inputs.
	both *side
}

type toldKey struct {
	code message.Code
	at   source.Span
	of   any
}

// A causeKey is what caused a fault that shows at one or more finishes.
type causeKey struct{ toldKey }

type branchSeen struct {
	decide  *library.Decide
	index   int
	head    source.Span
	visited bool // the decision was reached
	taken   bool // the branch can happen
}

type deadSpot struct {
	at, end source.Span
}

// A guard is a part that keeps a hazard away whose condition can be made unsafe.
type guard struct {
	part   *library.Part
	hazard *library.Hazard
}

// A choice is what a variable stands for.
type choice struct {
	member *library.Variant
	of     library.Symbol // reading or question
	at     source.Span
	turns  []int
}

func newGround(lib *library.Library, p *library.Procedure) *ground {
	g := &ground{
		lib: lib, proc: p, guards: map[*library.Condition][]guard{},
		atoms: map[library.Symbol][]atom{}, decisions: map[*library.Decide]*judged{}, untils: map[*library.Until]*judged{},
	}
	for _, it := range p.BeginsWithout {
		for _, t := range everyThing(it) {
			if part, ok := t.(*library.Part); ok {
				g.without = appendNew(g.without, part.Place())
			}
		}
	}
	for _, h := range lib.Hazards {
		if h.Safe == nil {
			continue
		}
		c := h.Safe.Condition
		for _, part := range library.Derived(lib, guarding)[h] {
			g.guards[c] = append(g.guards[c], guard{part, h})
		}
	}
	g.partition()
	return g
}

func newEngine(g *ground) *engine {
	e := &engine{
		ground: g, space: newSpace(),
		facts: map[fact]int{}, members: map[*library.Variant]ref{},
		told: map[toldKey]bool{}, causes: map[causeKey]*message.Message{}, branches: map[source.Span]*branchSeen{}, used: map[library.Symbol]int{},
		touched: map[*library.Condition]bool{}, mentions: map[library.Thing]bool{},
		result: &Result{
			Procedure: g.proc, lib: g.lib, ground: g, reached: map[source.Span]bool{}, Holds: map[*library.Stage][]*library.State{},
			Finishes: map[*library.Finish]*Left{},
		},
	}
	if g.unbounded != nil {
		e.stopped = true
		e.result.Messages = append(e.result.Messages, g.unbounded)
	}
	return e
}

// guarded are the parts that guard against each hazard.
type guarded map[*library.Hazard][]*library.Part

func guarding(lib *library.Library) guarded {
	out := guarded{}
	for _, p := range lib.Parts {
		for i, h := range p.Guards {
			if !slices.Contains(p.Guards[:i], h) {
				out[h] = append(out[h], p)
			}
		}
	}
	return out
}

// walk does the whole procedure.
func (e *engine) walk() {
	if e.both == nil {
		e.variants()
	} else {
		e.both.share(e)
	}
	e.closing()
	s := &state{}
	for _, part := range e.without {
		e.index(fact{place, part, nil})
	}
	e.guardedAtStart(s)
	if e.body(e.proc.Body, s) && !e.stopped {
		e.finish(nil, s)
	}
	if e.given == nil {
		e.never()
	}
	e.result.Steps = e.space.steps + e.visits
}

// variants makes the first variables: which member each variant is.
func (e *engine) variants() {
	for _, a := range e.proc.Applies {
		if e.both != nil {
			e.members[a.Variant] = e.both.member(a)
			continue
		}
		if e.given != nil {
			i := -1
			for j, m := range a.Members {
				if slices.Contains(e.given.Members, m) {
					i = j
				}
			}
			e.members[a.Variant] = constant(max(i, 0))
			continue
		}
		if len(a.Members) == 0 {
			continue
		}
		v := e.space.variable(len(a.Members))
		e.choices = append(e.choices, choice{member: a.Variant})
		e.members[a.Variant] = e.space.identity(v, 0)
	}
}

// applying gives the members of a variant to which the procedure applies.
func (e *engine) applying(v *library.Variant) []*library.Member {
	for _, a := range e.proc.Applies {
		if a.Variant == v {
			return a.Members
		}
	}
	return nil
}

// isMember gives the condition that a variant is one of some members.
func (e *engine) isMember(v *library.Variant, members []*library.Member) ref {
	all := e.applying(v)
	if len(all) == 0 {
		return no
	}
	in := make(map[*library.Member]bool, len(members))
	for _, m := range members {
		in[m] = true
	}
	return e.space.where(e.members[v], func(i int) bool { return in[all[i]] })
}

func (e *engine) isAssignment(a library.Assignment) ref {
	cond := yes
	for _, m := range a {
		cond = e.space.and(cond, e.isMember(m.Variant, []*library.Member{m}))
	}
	return cond
}

// body walks statements; false: no path goes on behind them.
func (e *engine) body(list []library.Flow, s *state) bool {
	for i, f := range list {
		if e.stopped {
			return false
		}
		if !e.statement(f, s) {
			if i+1 < len(list) && !e.stopped {
				e.dead = append(e.dead, deadSpot{list[i+1].At(), f.At()})
			}
			return false
		}
	}
	return true
}

func (e *engine) statement(f library.Flow, s *state) bool {
	if e.visits++; e.visits > maxVisits || e.space.steps > maxWork {
		e.giveUp(f.At())
		return false
	}
	e.result.reached[f.At()] = true
	switch f := f.(type) {
	case *library.Stage:
		outer := e.stage
		e.stage = f
		e.holds(f, s)
		ok := e.body(f.Body, s)
		e.stage = outer
		return ok
	case *library.Step:
		return e.step(f, s)
	case *library.Decide:
		return e.decide(f, s)
	case *library.Repeat:
		return e.repeat(f, s)
	case *library.Perform:
		e.via = append(e.via, f.Span)
		ok := e.body(f.Body, s)
		e.via = e.via[:len(e.via)-1]
		return ok
	case *library.Finish:
		e.finish(f, s)
		return false
	}
	return true
}

// giveUp says that a procedure is beyond the bounds of the proof.
func (e *engine) giveUp(at source.Span) {
	if e.stopped {
		return
	}
	e.stopped = true
	e.result.Messages = append(e.result.Messages, message.New("BP511", e.proc.Span, "the procedure is too intricate to be proved").
		Relate(at, "the proof stopped here").Helped("split it, or nest fewer repeats"))
}

// --- decisions -------------------------------------------------------------------

func (e *engine) decide(d *library.Decide, s *state) bool {
	conds, ok := e.conditions(d, s)
	if !ok {
		return false
	}
	type exit struct {
		cond ref
		s    *state
	}
	var exits []exit
	out := no
	seen := make([]*branchSeen, len(d.Branches))
	for i, br := range d.Branches {
		seen[i] = e.branches[br.Span]
		if seen[i] == nil {
			seen[i] = &branchSeen{decide: d, index: i, head: br.Head}
			e.branches[br.Span] = seen[i]
			e.order = append(e.order, br.Span)
		}
		seen[i].visited = true
	}
	live := false
	for i, br := range d.Branches {
		if conds[i] == no || !e.possible(conds[i]) {
			continue
		}
		live = true
		seen[i].taken = true
		e.result.reached[br.Span] = true
		if t := e.result.trace; t != nil {
			t.Branches = append(t.Branches, br.Span)
		}
		mark := len(e.path)
		e.push(conds[i])
		bs := s.clone()
		if e.both != nil {
			e.both.went(e, br.Span, bs)
		}
		on := e.body(br.Body, bs)
		all := e.pop(mark)
		if on {
			exits = append(exits, exit{conds[i], bs})
			out = e.space.or(out, all)
		}
	}
	if t := e.result.trace; t != nil && !live {
		t.Stopped = d.OnSpan
	}
	if len(exits) == 0 {
		return false
	}
	merged := exits[0].s
	for _, x := range exits[1:] {
		merged = e.merge(x.cond, x.s, merged)
	}
	*s = *merged
	if out != yes {
		e.push(out)
	}
	return true
}

// conditions gives for each branch when it is taken.
func (e *engine) conditions(d *library.Decide, s *state) ([]ref, bool) {
	conds := make([]ref, len(d.Branches))
	switch {
	case d.Variant != nil:
		left := yes
		for i, br := range d.Branches {
			conds[i] = e.space.and(e.isMember(d.Variant, br.Members), left)
			left = e.space.and(left, e.space.not(conds[i]))
		}
	case d.Question != nil:
		r, ok := e.value(d.Question, d.OnSpan, s)
		if !ok {
			return nil, false
		}
		left := yes
		for i, br := range d.Branches {
			conds[i] = e.space.and(e.isAnswer(br.Answers, r), left)
			left = e.space.and(left, e.space.not(conds[i]))
		}
	default:
		r, ok := e.value(d.Reading, d.OnSpan, s)
		if !ok {
			return nil, false
		}
		j := e.decisions[d]
		left := yes
		for i := range d.Branches {
			conds[i] = e.space.and(e.inRange(j, i, r), left)
			left = e.space.and(left, e.space.not(conds[i]))
		}
	}
	return conds, true
}

// isAnswer gives the condition that a question's diagram is one of some answers.
func (e *engine) isAnswer(list []*library.Answer, r ref) ref {
	in := map[int]bool{}
	for _, a := range list {
		in[a.Index+1] = true
	}
	return e.space.where(r, func(v int) bool { return in[v] })
}

// inRange gives the condition that a reading's diagram lies in a range of a decision.
func (e *engine) inRange(j *judged, i int, r ref) ref {
	if len(j.assignments) == 0 {
		return no
	}
	// Assignments are in the order of the members of each of their variants, the
	// last variant's changing first.
	variants := j.assignments[0]
	var from func(depth, first, many int) ref
	from = func(depth, first, many int) ref {
		if depth == len(variants) {
			in := j.in[first][i]
			// An instrument that shows nothing at all has no atoms.
			return e.space.where(r, func(v int) bool { return v > 0 && v <= len(in) && in[v-1] })
		}
		v := variants[depth].Variant
		many /= len(e.applying(v))
		return e.space.each(e.members[v], func(value int) ref { return from(depth+1, first+value*many, many) })
	}
	return from(0, 0, len(j.assignments))
}

// value gives the diagram of a reading or question where it is decided, and
// tells where it may not have been taken.
func (e *engine) value(of library.Symbol, at source.Span, s *state) (ref, bool) {
	f := fact{taken, of, nil}
	r := e.get(s, f)
	bad := e.space.is(r, 0)
	if bad == no {
		return r, true
	}
	e.fault("BP404", at, of, bad, func() *message.Message {
		return message.New("BP404", at, "“%s” is decided before it is %s", of.Declared().Name, wordFor(of)).
			Relate(of.Declared().Span, "%s here", wordFor(of))
	})
	if e.given != nil {
		return r, false
	}
	// It goes on as if it had been taken here.
	e.take(of, &library.Measure{Act: library.Act{Span: at}}, s)
	r = e.space.pick(bad, e.get(s, f), r)
	e.set(s, f, r, source.Span{})
	return r, true
}

// wordFor says what is done with a reading or a question.
func wordFor(of library.Symbol) string {
	if of.Sort() == "question" {
		return "asked"
	}
	return "measured"
}

// --- repeats -----------------------------------------------------------------------

// anew tells where a further turn comes to its until and has not taken again what
// the repeat goes by: the turn before has judged that value already.
func (e *engine) anew(u *library.Until, s *state) {
	of := u.On()
	f := fact{spent, of, nil}
	bad := e.space.is(e.get(s, f), 1)
	if e.fault("BP404", u.OnSpan, of, bad, func() *message.Message {
		return message.New("BP404", u.OnSpan, "the repeat goes on until “%s” is right, but a further turn comes here before it is %s again", of.Declared().Name, wordFor(of)).
			Relate(of.Declared().Span, "%s here", wordFor(of)).
			Helped("let every turn take it anew")
	}) {
		e.set(s, f, constant(0), source.Span{})
	}
}

func (e *engine) repeat(rp *library.Repeat, s *state) bool {
	e.turns = append(e.turns, 0)
	mark := len(e.path)
	out, on := e.turn(rp, s, nil)
	e.turns = e.turns[:len(e.turns)-1]
	e.pop(mark)
	if on && out != yes {
		e.push(out)
	}
	return on && e.possible(yes)
}

// turn walks one turn and those after it. It gives the condition to come out
// of the repeat, relative to the turn's start, and puts the state behind the
// repeat into s.
func (e *engine) turn(rp *library.Repeat, s *state, before *state) (ref, bool) {
	n := len(e.turns) - 1
	mark := len(e.path)
	head := s.clone()
	at := 0
	for at < len(rp.Body) {
		if _, is := rp.Body[at].(*library.Until); is {
			break
		}
		at++
	}
	if !e.body(rp.Body[:at], s) || at == len(rp.Body) {
		if at+1 < len(rp.Body) && !e.stopped {
			e.dead = append(e.dead, deadSpot{rp.Body[at+1].At(), rp.Body[at].At()})
		}
		e.pop(mark)
		return no, false
	}
	u := rp.Body[at].(*library.Until)
	e.visits++
	r, ok := e.value(u.On(), u.OnSpan, s)
	if !ok {
		e.pop(mark)
		return no, false
	}
	if e.turns[n] > 0 {
		e.anew(u, s)
	}
	var met ref
	if u.Question != nil {
		met = e.isAnswer(u.Answers, r)
	} else {
		met = e.inRange(e.untils[u], 0, r)
	}
	// What the part before the until asks for holds for both ways out.
	first := yes
	for _, c := range e.path[mark:] {
		first = e.space.and(first, c)
	}
	good := e.possible(met)
	bad := e.possible(e.space.not(met))
	e.result.reached[u.Span] = true
	var success *state
	out := no
	if good {
		if t := e.result.trace; t != nil {
			t.Branches = append(t.Branches, u.Span)
		}
		success = s.clone()
		if e.both != nil {
			e.both.went(e, u.Span, success)
		}
		out = e.space.and(first, met)
	}
	if !bad {
		e.pop(mark)
		if !good {
			return no, false
		}
		*s = *success
		return out, true
	}
	inner := len(e.path)
	e.push(e.space.not(met))
	later, on, extra := e.failed(rp, u, at, s, head, before, n)
	if success != nil {
		success.most = success.most.Add(extra)
	}
	e.pop(inner)
	e.pop(mark)
	if on {
		later = e.space.and(first, e.space.and(e.space.not(met), later))
	} else {
		later = no
	}
	switch {
	case good && on:
		*s = *e.merge(met, success, s)
		return e.space.or(out, later), true
	case good:
		*s = *success
		return out, true
	}
	return later, on
}

// failed walks what follows an until that was not met: the rest of the body
// and the next turn, or what stands behind otherwise. extra is the time of
// turns that were not walked because they are like this one.
func (e *engine) failed(rp *library.Repeat, u *library.Until, at int, s, head, before *state, n int) (out ref, on bool, extra quantity.Number) {
	last := e.turns[n]+1 >= rp.Times
	atRest := e.given == nil && e.both == nil && !last && e.turns[n] >= 1 && before != nil && e.sameFacts(head, before)
	if !last && (atRest || e.given == nil && e.tally == nil && e.turns[n]+1 >= settled) {
		// Further turns begin as this one did and bring nothing new but time.
		if e.both != nil {
			e.both.unwalked = true
		}
		rest := s.clone()
		mark := len(e.path)
		if e.body(rp.Body[at+1:], rest) {
			more := quantity.NewInt(int64(rp.Times - e.turns[n] - 1))
			extra = rest.most.Sub(head.most).Mul(more)
			s.most = s.most.Add(extra)
			s.least = s.least.Add(rest.least.Sub(head.least).Mul(more))
		}
		e.pop(mark)
		last = true
	}
	if last {
		if e.both != nil {
			e.both.went(e, otherwiseOf(rp), s)
		}
		if t := e.result.trace; t != nil && rp.HasOtherwise {
			t.Branches = append(t.Branches, otherwiseOf(rp))
		}
		if !rp.HasOtherwise {
			return yes, true, extra
		}
		e.result.reached[otherwiseOf(rp)] = true
		mark := len(e.path)
		on = e.body(rp.Otherwise, s)
		return e.pop(mark), on, extra
	}
	e.set(s, fact{spent, u.On(), nil}, constant(1), source.Span{})
	mark := len(e.path)
	if !e.body(rp.Body[at+1:], s) {
		return e.pop(mark), false, extra
	}
	e.turns[n]++
	out, on = e.turn(rp, s, head)
	e.turns[n]--
	return e.space.and(e.pop(mark), out), on, extra
}

// otherwiseOf is the place by which the otherwise of a repeat is known.
func otherwiseOf(rp *library.Repeat) source.Span {
	return source.Span{File: rp.Span.File, Start: rp.Span.End, End: rp.Span.End}
}

// OtherwiseOf is the place by which Trace.Branches names a repeat that ran out.
func OtherwiseOf(rp *library.Repeat) source.Span { return otherwiseOf(rp) }

// sameFacts tells whether two states agree in all but what was taken: every turn
// takes that anew.
func (e *engine) sameFacts(a, b *state) bool {
	for i := range e.list {
		if e.list[i].kind == taken || e.list[i].kind == spent {
			continue
		}
		x, y := e.begin[i], e.begin[i]
		if i < len(a.facts) {
			x = a.facts[i]
		}
		if i < len(b.facts) {
			y = b.facts[i]
		}
		if x != y {
			return false
		}
	}
	return true
}

// holds notes the conditions that stand in one state on every path into a stage.
func (e *engine) holds(st *library.Stage, s *state) {
	var out []*library.State
	for _, c := range e.lib.Conditions {
		if !e.touched[c] {
			continue
		}
		r := e.get(s, fact{standing, c, nil})
		if r.isConstant() {
			out = append(out, c.States[r.value()])
		}
	}
	if have, again := e.result.Holds[st]; again {
		out = slices.DeleteFunc(have, func(x *library.State) bool { return !slices.Contains(out, x) })
	}
	e.result.Holds[st] = out
}
