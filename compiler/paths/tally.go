package paths

import (
	"benchproof/compiler/library"
	"benchproof/dsl/source"
)

// A Tally says how many of each thing the paths of a procedure take: parts
// fitted new, and consumables that are used by count.
type Tally struct {
	counts map[library.Thing]Count
	things []library.Thing // in the order met
	// serviceable tells that some path ends so, ended that any does.
	serviceable, ended bool
}

// A Count is the least of a thing that a path to a serviceable finish takes (a
// path to any finish, where none is serviceable), and the most that any path
// takes.
type Count struct{ Least, Most int }

// Of gives the count of a thing; zero for one that no path takes by count.
func (t *Tally) Of(th library.Thing) Count { return t.counts[th] }

// CountAll walks every path of a procedure and counts what is taken on it. ok is
// false where the procedure is beyond the bounds of the proof.
func CountAll(lib *library.Library, p *library.Procedure) (t *Tally, ok bool) {
	e := newEngine(newGround(lib, p))
	e.tally = &Tally{counts: map[library.Thing]Count{}}
	e.things()
	e.walk()
	return e.tally, !e.stopped
}

// takenBy gives the items that an action uses up.
func takenBy(a library.Action) (out []library.Item) {
	switch a := a.(type) {
	case *library.FitNew:
		return a.Items
	case *library.Use:
		for _, it := range a.Items {
			if it.Counted {
				out = append(out, it)
			}
		}
	}
	return out
}

// things finds what the procedure takes anywhere, so that a path that takes none
// counts as well.
func (e *engine) things() {
	each(e.proc.Body, func(f library.Flow) {
		st, ok := f.(*library.Step)
		if !ok {
			return
		}
		for _, a := range st.Actions {
			for _, it := range takenBy(a) {
				for _, t := range e.thingsOf(it) {
					if _, tool := t.thing.(*library.Tool); tool {
						continue
					}
					if _, known := e.tally.counts[t.thing]; !known {
						e.tally.counts[t.thing] = Count{}
						e.tally.things = append(e.tally.things, t.thing)
						e.index(fact{consumed, t.thing, nil})
					}
				}
			}
		}
	})
}

// consume counts what an action uses up.
func (e *engine) consume(a library.Action, s *state) {
	if e.tally == nil {
		return
	}
	for _, it := range takenBy(a) {
		for _, t := range e.thingsOf(it) {
			if _, known := e.tally.counts[t.thing]; !known {
				continue
			}
			f := fact{consumed, t.thing, nil}
			have := e.get(s, f)
			more := e.space.change(have, func(n int) int { return n + it.Count })
			e.set(s, f, e.space.pick(t.when, more, have), source.Span{})
		}
	}
}

// tallied takes the counts of the paths that end at a finish.
func (e *engine) tallied(outcome string, s *state) {
	t := e.tally
	if t == nil || !e.possible(yes) {
		return
	}
	good := outcome == "serviceable"
	first := good && !t.serviceable || !t.ended
	for _, th := range t.things {
		have := e.get(s, fact{consumed, th, nil})
		least, most, found := 0, 0, false
		for _, n := range e.space.values(have) {
			if !e.possible(e.space.is(have, n)) {
				continue
			}
			if !found {
				least = n
			}
			most, found = n, true
		}
		if !found {
			continue
		}
		c := t.counts[th]
		c.Most = max(c.Most, most)
		switch {
		case first:
			c.Least = least
		case good || !t.serviceable:
			c.Least = min(c.Least, least)
		}
		t.counts[th] = c
	}
	t.serviceable = t.serviceable || good
	t.ended = true
}
