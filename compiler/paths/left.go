package paths

import (
	"slices"

	"benchproof/compiler/library"
)

// A leftPlace is how many of a place are off at a finish: on any path, and for
// each member of each family, in the order in which the procedure applies; -1
// where the member does not get there.
type leftPlace struct {
	part     *library.Part
	most     int
	families [][]int
}

// left notes what a finish leaves otherwise than it was, on some path.
func (e *engine) left(f *library.Finish, s *state) {
	l := e.result.Finishes[f]
	if f == nil {
		l = e.result.RunsOff
	}
	if l == nil {
		l = &Left{}
	}
	handsOver := f != nil && f.To != nil
	for _, c := range e.lib.Conditions {
		if c.Begins == nil {
			continue
		}
		ff := fact{standing, c, nil}
		was := e.initially(ff).value()
		if handsOver {
			was = c.Begins.Index
		}
		for _, v := range e.space.values(e.get(s, ff)) {
			if v != was && v < len(c.States) && e.possible(e.space.is(e.get(s, ff), v)) {
				l.States = appendNew(l.States, c.States[v])
			}
		}
	}
	for _, i := range e.places() {
		have := e.begin[i]
		if i < len(s.facts) {
			have = s.facts[i]
		}
		off := e.lacking(have)
		if !handsOver {
			off = e.space.and(off, e.space.not(e.lacking(e.begin[i])))
		}
		if off != no && e.possible(off) {
			l.add(e.leftAt(e.list[i].of.(*library.Part), have, off))
		}
	}
	if f == nil {
		e.result.RunsOff = l
	} else {
		e.result.Finishes[f] = l
	}
}

// leftAt counts what is off of a place under a condition.
func (e *engine) leftAt(part *library.Part, have, off ref) leftPlace {
	type found struct {
		off int
		of  ref
	}
	var all []found
	out := leftPlace{part: part}
	for _, v := range e.space.values(have) {
		c := countOf(v)
		if !c.lacking() {
			continue
		}
		if of := e.space.and(off, e.space.is(have, v)); of != no && e.possible(of) {
			all = append(all, found{c.off, of})
			out.most = max(out.most, c.off)
		}
	}
	for _, a := range e.proc.Applies {
		list := make([]int, len(a.Members))
		for i, gets := range e.reaching(a, yes) {
			if !gets {
				list[i] = -1
			}
		}
		for _, x := range all {
			for i, gets := range e.reaching(a, x.of) {
				if gets {
					list[i] = max(list[i], x.off)
				}
			}
		}
		out.families = append(out.families, list)
	}
	return out
}

// reaching tells for each member of a family whether a condition can hold here
// for it.
func (e *engine) reaching(a library.Applies, cond ref) []bool {
	out := make([]bool, len(a.Members))
	which := e.members[a.Variant]
	note := func(member int) {
		if member >= 0 && member < len(out) {
			out[member] = true
		}
	}
	if which.isConstant() {
		if e.possible(cond) {
			note(which.value())
		}
		return out
	}
	v := e.space.variables(which)[0]
	all := e.joined(cond, append(slices.Clone(e.space.variables(cond)), v))
	for i, can := range e.space.supports(all, v) {
		if can {
			note(e.space.kid(which, v, i).value())
		}
	}
	return out
}

// add joins what another walk of the same finish found.
func (l *Left) add(p leftPlace) {
	for i := range l.places {
		o := &l.places[i]
		if o.part != p.part {
			continue
		}
		o.most = max(o.most, p.most)
		for k, list := range p.families {
			for j, n := range list {
				o.families[k][j] = max(o.families[k][j], n)
			}
		}
		return
	}
	l.places = append(l.places, p)
}

// Off gives the places that are empty at a finish of the procedure, on some
// path: one for all members, or one for each number that is off for some.
func (r *Result) Off(l *Left) (out []LeftOff) {
	for _, p := range l.places {
		at := slices.IndexFunc(p.families, differs)
		if at < 0 {
			out = append(out, LeftOff{Part: p.part, Count: p.most})
			continue
		}
		var counts []int
		for _, n := range p.families[at] {
			if n > 0 {
				counts = appendNew(counts, n)
			}
		}
		for _, n := range counts {
			o := LeftOff{Part: p.part, Count: n}
			for j, m := range r.Procedure.Applies[at].Members {
				if p.families[at][j] == n {
					o.Members = append(o.Members, m)
				}
			}
			out = append(out, o)
		}
	}
	return out
}

// differs tells that not all members that get there leave as many off.
func differs(list []int) bool {
	first := -1
	for _, n := range list {
		if n >= 0 && first < 0 {
			first = n
		}
		if n >= 0 && n != first {
			return true
		}
	}
	return false
}
