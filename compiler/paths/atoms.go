package paths

import (
	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
	"benchproof/dsl/source"
)

// An atom is a run of values of a reading that no decision of the procedure
// tells apart, for any member.
type atom struct {
	set    quantity.Set
	sample quantity.Number
}

// A judged decision says which atoms lie in each of its ranges, for each
// combination of the members its limits differ by.
type judged struct {
	assignments []library.Assignment
	in          [][][]bool // by assignment, range, atom
	sets        [][]quantity.Set
}

// partition works out the atoms of every reading that is decided.
func (g *ground) partition() {
	byReading := map[*library.Reading][]*judged{}
	var order []*library.Reading
	note := func(r *library.Reading, j *judged) {
		if _, known := byReading[r]; !known {
			order = append(order, r)
		}
		byReading[r] = append(byReading[r], j)
	}
	each(g.proc.Body, func(f library.Flow) {
		switch f := f.(type) {
		case *library.Decide:
			if f.Reading == nil {
				return
			}
			j := &judged{}
			scale, _ := ScaleOf(f.Reading)
			j.assignments = g.combinations(Variants(f), f.Span)
			for _, a := range j.assignments {
				acting, _ := Acting(g.lib, f, a)
				sets := make([]quantity.Set, len(f.Branches))
				for i, x := range acting {
					if !x.Emptied {
						sets[i] = quantity.SetOf(scale, x.Range)
					}
				}
				j.sets = append(j.sets, sets)
			}
			g.decisions[f] = j
			note(f.Reading, j)
		case *library.Until:
			if f.Reading == nil {
				return
			}
			j := &judged{}
			scale, _ := ScaleOf(f.Reading)
			j.assignments = g.combinations(UntilVariants(f), f.Span)
			for _, a := range j.assignments {
				var set quantity.Set
				if x, ok := ActingUntil(g.lib, f, a); ok && !x.Emptied {
					set = quantity.SetOf(scale, x.Range)
				}
				j.sets = append(j.sets, []quantity.Set{set})
			}
			g.untils[f] = j
			note(f.Reading, j)
		}
	})
	for _, r := range order {
		g.split(r, byReading[r])
	}
}

// combinations gives every combination of the members of some variants; where
// there are too many the proof ends, and says so.
func (g *ground) combinations(variants []*library.Variant, at source.Span) []library.Assignment {
	list, ok := Assignments(g.proc, variants)
	if !ok && g.unbounded == nil {
		g.unbounded = TooMany(g.proc, at)
	}
	if g.assigned += len(list); g.assigned > maxAssigned {
		if g.unbounded == nil {
			g.unbounded = tooManyMembers(g.proc, at)
		}
		return nil
	}
	return list
}

// split cuts a reading's values into atoms and marks them in its decisions.
func (g *ground) split(r *library.Reading, list []*judged) {
	scale, _ := ScaleOf(r)
	atoms := []quantity.Set{quantity.SetOf(scale, quantity.All())}
	seen := map[string]bool{}
cutting:
	for _, j := range list {
		for _, sets := range j.sets {
			for _, set := range sets {
				key := set.Key()
				if seen[key] || set.Empty() {
					continue
				}
				seen[key] = true
				if g.cuts += len(atoms); g.cuts > maxCuts {
					if g.unbounded == nil {
						g.unbounded = tooManyLimits(g.proc, r)
					}
					break cutting
				}
				atoms = cutAt(atoms, set)
			}
		}
	}
	out := make([]atom, 0, len(atoms))
	for _, a := range atoms {
		if !a.Empty() {
			out = append(out, atom{a, a.Sample()})
		}
	}
	g.atoms[r] = out
	known := map[string][]bool{}
	for _, j := range list {
		for _, sets := range j.sets {
			in := make([][]bool, len(sets))
			for i, set := range sets {
				key := set.Key()
				if known[key] == nil {
					// No set cuts an atom: it lies in one whole, or not at all.
					known[key] = make([]bool, len(out))
					for k, a := range out {
						known[key][k] = a.set.Meets(set)
					}
				}
				in[i] = known[key]
			}
			j.in = append(j.in, in)
		}
	}
}

// cutAt parts each of some sets into what lies in another set and what does not.
func cutAt(parts []quantity.Set, set quantity.Set) []quantity.Set {
	next := parts[:0:0]
	for _, a := range parts {
		if !a.Meets(set) {
			next = append(next, a)
			continue
		}
		next = append(next, a.Intersect(set))
		if out := a.Minus(set); !out.Empty() {
			next = append(next, out)
		}
	}
	return next
}

// each calls f for every statement, at any depth.
func each(list []library.Flow, f func(library.Flow)) {
	for _, st := range list {
		f(st)
		switch st := st.(type) {
		case *library.Stage:
			each(st.Body, f)
		case *library.Decide:
			for _, br := range st.Branches {
				each(br.Body, f)
			}
		case *library.Repeat:
			each(st.Body, f)
			each(st.Otherwise, f)
		case *library.Perform:
			each(st.Body, f)
		}
	}
}

// Each calls f for every statement of a procedure, routines set out, in order.
func Each(p *library.Procedure, f func(library.Flow)) { each(p.Body, f) }

// take makes the diagram of a new taking.
func (e *engine) take(of library.Symbol, a library.Action, s *state) bool {
	f := fact{taken, of, nil}
	if used := (fact{spent, of, nil}); e.knows(used) {
		e.set(s, used, constant(0), source.Span{})
	}
	if e.given != nil {
		return e.takeGiven(f, of, a, s)
	}
	if e.both != nil {
		e.both.take(e, of, a, s)
		return true
	}
	n := 1
	switch of := of.(type) {
	case *library.Reading:
		n = max(1, len(e.atoms[of]))
	case *library.Question:
		n = len(of.Answers)
	}
	if n == 1 {
		e.set(s, f, constant(1), a.At())
		return true
	}
	v := e.space.variable(n)
	e.choices = append(e.choices, choice{of: of, at: a.At(), turns: append([]int(nil), e.turns...)})
	e.set(s, f, e.space.identity(v, 1), a.At())
	return true
}

// takeGiven takes the next value that a case gives.
func (e *engine) takeGiven(f fact, of library.Symbol, a library.Action, s *state) bool {
	if e.supply != nil {
		e.supply(of, a.At(), e.turns)
	}
	t := e.result.trace
	i := e.used[of]
	e.used[of]++
	switch of := of.(type) {
	case *library.Reading:
		list := e.given.Values[of]
		if i >= len(list) {
			t.Missing, t.MissingAt = of, a.At()
			return false
		}
		v := list[i]
		t.Taken = append(t.Taken, Taken{Of: of, Value: v, At: a.At()})
		atoms, judged := e.atoms[of]
		if !judged {
			e.set(s, f, constant(1), a.At())
			return true
		}
		for k, at := range atoms {
			if at.set.Contains(v) {
				e.set(s, f, constant(k+1), a.At())
				return true
			}
		}
		t.Outside, t.Stopped = true, a.At()
		return false
	case *library.Question:
		list := e.given.Answers[of]
		if i >= len(list) {
			t.Missing, t.MissingAt = of, a.At()
			return false
		}
		t.Taken = append(t.Taken, Taken{Of: of, Answer: list[i], At: a.At()})
		e.set(s, f, constant(list[i].Index+1), a.At())
	}
	return true
}

// leftOver notes the values of a case that the path did not take.
func (e *engine) leftOver() {
	t := e.result.trace
	for _, r := range e.proc.Readings {
		if len(e.given.Values[r]) > e.used[r] {
			t.Unused = append(t.Unused, r)
		}
	}
	for _, q := range e.proc.Questions {
		if len(e.given.Answers[q]) > e.used[q] {
			t.Unused = append(t.Unused, q)
		}
	}
}
