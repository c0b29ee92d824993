package paths

import (
	"slices"

	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
	"benchproof/dsl/source"
)

// A fact is something that has one value at each point of each path.
type fact struct {
	kind factKind
	of   any
	with any
}

type factKind uint8

const (
	fitted   factKind = iota + 1 // of a tool: how many are fitted
	place                        // of a part's place: see count
	holding                      // of a part's place: 0 where nothing is known, or the number of the part that is or was last in it
	clamped                      // of a thing: 0, 1
	standing                     // of a condition: the index of its state
	supposed                     // of a condition: 1 where a fault was told and its state is only taken as right
	verified                     // of a condition, with a tool: 0, 1
	drilled                      // of a hole: 0, or one more than the index of the drilling
	taken                        // of a reading or question: 0, or one more than its atom or answer
	spent                        // of a reading or question: 1 where a turn of a repeat was judged by it and it was not taken since
	consumed                     // of a thing: how many have been used up or fitted new
	handled                      // of a thing that a closing text mentions: 0, 1

	// Kept only where two versions are compared; of is the name both know.
	takings    // of a reading or question: how often it has been taken
	everFitted // of a part: how many have been fitted new or refitted
	everUsed   // of a tool or consumable: 0, 1
	everMet    // of a hazard: 0, 1
	everDone   // of a step: 0, 1
	everWent   // of a branch: 0, 1
)

// count is how many of a place are off, of how many. The number a place holds
// is known once some have been removed; until then total is zero.
type count struct{ off, total int }

const countBase = 1 << 14

func (c count) value() int    { return c.off*countBase + c.total }
func countOf(value int) count { return count{value / countBase, value % countBase} }
func (c count) on() int       { return c.total - c.off }

// mended is a place about which a fault has been told: whatever is done to it
// next is taken as right, so that one cause gives one message.
var mended = count{countBase - 1, countBase - 1}

// short tells that fewer are there than asked for.
func (c count) short(want int) bool { return c != mended && c.total > 0 && c.on() < want }

// lacking tells that something is off.
func (c count) lacking() bool { return c != mended && c.off > 0 }

// wholly tells that the place is empty.
func (c count) wholly() bool { return c.total > 0 && c.off >= c.total }

// A state is the merged state at one point.
type state struct {
	facts []ref
	// where each fact got its value, for related places.
	where       []origin
	least, most quantity.Number
}

// An origin is where a fact got its value; what came later has a higher number.
type origin struct {
	at    source.Span
	order int
}

func (s *state) clone() *state {
	c := *s
	c.facts = slices.Clone(s.facts)
	c.where = slices.Clone(s.where)
	return &c
}

// index gives the place of a fact in states, making one where it is new.
func (e *engine) index(f fact) int {
	if i, ok := e.facts[f]; ok {
		return i
	}
	i := len(e.list)
	e.facts[f] = i
	e.list = append(e.list, f)
	e.begin = append(e.begin, e.initially(f))
	return i
}

// knows tells that a fact has a place in states.
func (e *engine) knows(f fact) bool {
	_, ok := e.facts[f]
	return ok
}

// initially is a fact's value at the start.
func (e *engine) initially(f fact) ref {
	switch f.kind {
	case place:
		return e.beginsOff(e.proc, f.of.(*library.Part))
	case standing:
		c := f.of.(*library.Condition)
		for _, b := range e.proc.Begins {
			if b.State.Condition == c {
				return constant(b.State.Index)
			}
		}
		if c.Begins != nil {
			return constant(c.Begins.Index)
		}
	}
	return constant(0)
}

func (e *engine) get(s *state, f fact) ref {
	i := e.index(f)
	if i >= len(s.facts) {
		return e.begin[i]
	}
	return s.facts[i]
}

func (e *engine) set(s *state, f fact, r ref, at source.Span) {
	i := e.index(f)
	for len(s.facts) <= i {
		s.facts = append(s.facts, e.begin[len(s.facts)])
		s.where = append(s.where, origin{})
	}
	s.facts[i] = r
	if !at.IsZero() {
		e.changes++
		s.where[i] = origin{at, e.changes}
	}
}

func (e *engine) whence(s *state, f fact) source.Span {
	if i := e.index(f); i < len(s.where) {
		return s.where[i].at
	}
	return source.Span{}
}

// merge brings the state of a branch, which holds under a condition, together
// with that of the others.
func (e *engine) merge(cond ref, branch, rest *state) *state {
	n := max(len(branch.facts), len(rest.facts))
	out := &state{facts: make([]ref, n), where: make([]origin, n)}
	for i := range n {
		a, b := e.begin[i], e.begin[i]
		var wa, wb origin
		if i < len(branch.facts) {
			a, wa = branch.facts[i], branch.where[i]
		}
		if i < len(rest.facts) {
			b, wb = rest.facts[i], rest.where[i]
		}
		out.facts[i] = e.space.pick(cond, a, b)
		if out.where[i] = wa; wb.order > wa.order {
			out.where[i] = wb
		}
	}
	out.least, out.most = branch.least, branch.most
	if rest.least.Cmp(out.least) < 0 {
		out.least = rest.least
	}
	if rest.most.Cmp(out.most) > 0 {
		out.most = rest.most
	}
	return out
}

// --- what had to be true to get here ------------------------------------------------

// push adds a condition to those that led here.
func (e *engine) push(cond ref) {
	e.path = append(e.path, cond)
	if cond == yes {
		return
	}
	for _, v := range e.space.variables(cond) {
		for int(v) >= len(e.touching) {
			e.touching = append(e.touching, nil)
		}
		e.touching[v] = append(e.touching[v], len(e.path)-1)
	}
}

// pop takes back all conditions from a mark on and gives what they say together.
func (e *engine) pop(mark int) ref {
	all := yes
	for i := mark; i < len(e.path); i++ {
		all = e.space.and(all, e.path[i])
	}
	for i := len(e.path) - 1; i >= mark; i-- {
		if e.path[i] == yes {
			continue
		}
		for _, v := range e.space.variables(e.path[i]) {
			e.touching[v] = e.touching[v][:len(e.touching[v])-1]
		}
	}
	e.path = e.path[:mark]
	return all
}

// together joins a condition with those that led here and share a variable
// with it, directly or through others.
func (e *engine) together(cond ref) ref {
	if cond.isConstant() {
		return cond
	}
	return e.joined(cond, e.space.variables(cond))
}

// joined joins a condition with those that led here and share a variable with
// some variables, directly or through others.
func (e *engine) joined(cond ref, from []int32) ref {
	all := cond
	seenVar := map[int32]bool{}
	seenPath := map[int]bool{}
	queue := slices.Clone(from)
	for len(queue) > 0 && all != no {
		v := queue[0]
		queue = queue[1:]
		if seenVar[v] || int(v) >= len(e.touching) {
			continue
		}
		seenVar[v] = true
		for _, i := range e.touching[v] {
			if seenPath[i] {
				continue
			}
			seenPath[i] = true
			e.space.steps++
			all = e.space.and(all, e.path[i])
			queue = append(queue, e.space.variables(e.path[i])...)
		}
	}
	return all
}

// possible tells whether a condition can hold here.
func (e *engine) possible(cond ref) bool { return e.together(cond) != no }

// everything joins a condition with all that led here.
func (e *engine) everything(cond ref) ref {
	all := cond
	for i := len(e.path) - 1; i >= 0 && all != no; i-- {
		all = e.space.and(e.path[i], all)
	}
	return all
}
