package paths

import (
	"encoding/binary"
	"slices"
)

// A ref is a diagram: what a value is, for every way to get where we are. Not
// negative: a node, whose variable decides which child holds. Negative: ^ref
// is the value itself. Equal refs are equal functions.
//
// The variables are the members, and each taking of a reading or an answer, in
// the order they are met; a taking's values are the atoms of its reading.
// Facts that depend on the same taking are thereby tied, and facts that depend
// on nothing in common cost nothing together.
type ref int32

// constant makes the diagram of a value, which must not be negative.
func constant(v int) ref { return ref(^v) }

func (r ref) isConstant() bool { return r < 0 }
func (r ref) value() int       { return int(^r) }

const (
	no  = ref(^0) // the condition that never holds
	yes = ref(^1) // the condition that always holds
)

type vertex struct {
	variable int32
	kids     []ref
}

// A space holds diagrams that share their nodes.
type space struct {
	nodes   []vertex
	index   map[string]ref
	sizes   []int // by variable: how many values it has
	key     []byte
	memo    map[[4]int32]ref
	support map[ref][]int32
	// steps counts the work done, for benchmarks that must not depend on the clock:
	// one for each node made, more for one of many values.
	steps int
	// most bounds the work where it is not zero: beyond it every operation
	// panics with tooMany, for whoever set it to catch.
	most int
}

// tooMany says that diagrams have grown beyond what was allowed.
type tooMany struct{}

func newSpace() *space {
	return &space{index: map[string]ref{}, memo: map[[4]int32]ref{}, support: map[ref][]int32{}}
}

// variable makes a new variable with a number of values, behind all others.
func (s *space) variable(size int) int32 {
	s.sizes = append(s.sizes, size)
	return int32(len(s.sizes) - 1)
}

// identity is the diagram whose value is first plus the variable's own.
func (s *space) identity(v int32, first int) ref {
	kids := make([]ref, s.sizes[v])
	for i := range kids {
		kids[i] = constant(first + i)
	}
	return s.node(v, kids)
}

func (s *space) node(v int32, kids []ref) ref {
	if s.most > 0 && s.steps > s.most {
		panic(tooMany{})
	}
	same := true
	for _, k := range kids[1:] {
		if k != kids[0] {
			same = false
			break
		}
	}
	if same {
		return kids[0]
	}
	s.key = binary.LittleEndian.AppendUint32(s.key[:0], uint32(v))
	for _, k := range kids {
		s.key = binary.LittleEndian.AppendUint32(s.key, uint32(k))
	}
	if r, ok := s.index[string(s.key)]; ok {
		return r
	}
	r := ref(len(s.nodes))
	s.nodes = append(s.nodes, vertex{v, slices.Clone(kids)})
	s.index[string(s.key)] = r
	return r
}

// count notes the work on a node of so many values.
func (s *space) count(values int) { s.steps += 1 + values/16 }

// operations between two diagrams, for the memo.
const (
	opAnd = iota
	opPick
	opEqual
	opNot
	opDiffer
)

// top gives the first variable of some diagrams.
func (s *space) top(list ...ref) int32 {
	first := int32(-1)
	for _, r := range list {
		if !r.isConstant() {
			if v := s.nodes[r].variable; first < 0 || v < first {
				first = v
			}
		}
	}
	return first
}

// kid gives what is left of a diagram once a variable has a value.
func (s *space) kid(r ref, v int32, i int) ref {
	if r.isConstant() || s.nodes[r].variable != v {
		return r
	}
	return s.nodes[r].kids[i]
}

func (s *space) and(a, b ref) ref {
	switch {
	case a == no || b == no:
		return no
	case a == yes || a == b:
		return b
	case b == yes:
		return a
	}
	return s.combine(opAnd, a, b, s.and)
}

// combine makes the diagram of an operation on two others, whose order makes no
// difference, from those of their children.
func (s *space) combine(op int32, a, b ref, each func(a, b ref) ref) ref {
	if a > b {
		a, b = b, a
	}
	key := [4]int32{op, int32(a), int32(b)}
	if r, ok := s.memo[key]; ok {
		return r
	}
	v := s.top(a, b)
	s.count(s.sizes[v])
	kids := make([]ref, s.sizes[v])
	for i := range kids {
		kids[i] = each(s.kid(a, v, i), s.kid(b, v, i))
	}
	r := s.node(v, kids)
	s.memo[key] = r
	return r
}

func (s *space) not(a ref) ref {
	if a.isConstant() {
		return constant(1 - a.value())
	}
	key := [4]int32{opNot, int32(a)}
	if r, ok := s.memo[key]; ok {
		return r
	}
	n := s.nodes[a]
	s.count(len(n.kids))
	kids := make([]ref, len(n.kids))
	for i, k := range n.kids {
		kids[i] = s.not(k)
	}
	r := s.node(n.variable, kids)
	s.memo[key] = r
	return r
}

func (s *space) or(a, b ref) ref { return s.not(s.and(s.not(a), s.not(b))) }

// pick is a where the condition holds and b elsewhere.
func (s *space) pick(cond, a, b ref) ref {
	switch {
	case cond == yes || a == b:
		return a
	case cond == no:
		return b
	}
	key := [4]int32{opPick, int32(cond), int32(a), int32(b)}
	if r, ok := s.memo[key]; ok {
		return r
	}
	v := s.top(cond, a, b)
	s.count(s.sizes[v])
	kids := make([]ref, s.sizes[v])
	for i := range kids {
		kids[i] = s.pick(s.kid(cond, v, i), s.kid(a, v, i), s.kid(b, v, i))
	}
	r := s.node(v, kids)
	s.memo[key] = r
	return r
}

// is gives the condition that a diagram has the value.
func (s *space) is(a ref, value int) ref {
	if a.isConstant() {
		if a.value() == value {
			return yes
		}
		return no
	}
	key := [4]int32{opEqual, int32(a), int32(value)}
	if r, ok := s.memo[key]; ok {
		return r
	}
	n := s.nodes[a]
	s.count(len(n.kids))
	kids := make([]ref, len(n.kids))
	for i, k := range n.kids {
		kids[i] = s.is(k, value)
	}
	r := s.node(n.variable, kids)
	s.memo[key] = r
	return r
}

// differ gives the condition that two diagrams have not the same value.
func (s *space) differ(a, b ref) ref {
	switch {
	case a == b:
		return no
	case a.isConstant() && b.isConstant():
		return yes
	}
	return s.combine(opDiffer, a, b, s.differ)
}

// at gives the value of a diagram where every variable has the value given.
func (s *space) at(a ref, values func(v int32) int) int {
	for !a.isConstant() {
		n := s.nodes[a]
		a = n.kids[values(n.variable)]
	}
	return a.value()
}

// change puts each value of a diagram through a function.
func (s *space) change(a ref, f func(int) int) ref {
	if a.isConstant() {
		return constant(f(a.value()))
	}
	done := map[ref]ref{}
	var walk func(r ref) ref
	walk = func(r ref) ref {
		if r.isConstant() {
			return constant(f(r.value()))
		}
		if out, ok := done[r]; ok {
			return out
		}
		n := s.nodes[r]
		s.count(len(n.kids))
		kids := make([]ref, len(n.kids))
		for i, k := range n.kids {
			kids[i] = walk(k)
		}
		out := s.node(n.variable, kids)
		done[r] = out
		return out
	}
	return walk(a)
}

// each puts a condition in the place of every value of a diagram.
func (s *space) each(a ref, f func(value int) ref) ref {
	if a.isConstant() {
		return f(a.value())
	}
	n := s.nodes[a]
	kids := make([]ref, len(n.kids))
	plain := true
	for i, k := range n.kids {
		if !k.isConstant() {
			plain = false
			break
		}
		kids[i] = f(k.value())
		plain = plain && (kids[i].isConstant() || s.nodes[kids[i]].variable > n.variable)
	}
	if plain {
		s.count(len(kids))
		return s.node(n.variable, kids)
	}
	cond := no
	for _, v := range s.values(a) {
		cond = s.or(cond, s.and(s.is(a, v), f(v)))
	}
	return cond
}

// where gives the condition that a diagram's value is one that f accepts.
func (s *space) where(a ref, f func(int) bool) ref {
	return s.change(a, func(v int) int {
		if f(v) {
			return 1
		}
		return 0
	})
}

// values gives every value a diagram can have, in rising order.
func (s *space) values(a ref) []int {
	found := map[int]bool{}
	seen := map[ref]bool{}
	var walk func(r ref)
	walk = func(r ref) {
		if r.isConstant() {
			found[r.value()] = true
			return
		}
		if seen[r] {
			return
		}
		seen[r] = true
		for _, k := range s.nodes[r].kids {
			walk(k)
		}
	}
	walk(a)
	out := make([]int, 0, len(found))
	for v := range found {
		out = append(out, v)
	}
	slices.Sort(out)
	return out
}

// supports tells for each value of a variable whether a condition can hold with it.
func (s *space) supports(cond ref, v int32) []bool {
	out := make([]bool, s.sizes[v])
	seen := map[ref]bool{}
	var walk func(r ref)
	walk = func(r ref) {
		if r == no || seen[r] {
			return
		}
		seen[r] = true
		if r.isConstant() || s.nodes[r].variable > v {
			for i := range out {
				out[i] = true
			}
			return
		}
		n := s.nodes[r]
		s.count(len(n.kids))
		for i, k := range n.kids {
			switch {
			case n.variable != v:
				walk(k)
			case k != no:
				out[i] = true
			}
		}
	}
	walk(cond)
	return out
}

// variables gives the variables a diagram depends on, in rising order.
func (s *space) variables(a ref) []int32 {
	if a.isConstant() {
		return nil
	}
	if list, ok := s.support[a]; ok {
		return list
	}
	found := map[int32]bool{}
	seen := map[ref]bool{}
	var walk func(r ref)
	walk = func(r ref) {
		if r.isConstant() || seen[r] {
			return
		}
		seen[r] = true
		s.steps++
		found[s.nodes[r].variable] = true
		for _, k := range s.nodes[r].kids {
			walk(k)
		}
	}
	walk(a)
	list := make([]int32, 0, len(found))
	for v := range found {
		list = append(list, v)
	}
	slices.Sort(list)
	s.support[a] = list
	return list
}

// solve gives values of the variables under which a condition holds, fewest
// variables first; ok is false where it never does. prefer orders the values of
// a variable.
func (s *space) solve(cond ref, prefer func(v int32) []int) (map[int32]int, bool) {
	if cond == no {
		return nil, false
	}
	best := map[ref]int{}
	var length func(r ref) int
	length = func(r ref) int {
		if r == yes {
			return 0
		}
		if r == no {
			return 1 << 30
		}
		if n, ok := best[r]; ok {
			return n
		}
		n := 1 << 30
		for _, k := range s.nodes[r].kids {
			n = min(n, length(k)+1)
		}
		best[r] = n
		return n
	}
	length(cond)
	out := map[int32]int{}
	for r := cond; r != yes; {
		n := s.nodes[r]
		want := best[r] - 1
		for _, i := range prefer(n.variable) {
			if length(n.kids[i]) == want {
				out[n.variable] = i
				r = n.kids[i]
				break
			}
		}
	}
	return out, true
}
