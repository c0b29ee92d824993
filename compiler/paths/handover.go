package paths

import (
	"slices"
	"strconv"
	"strings"

	"benchproof/compiler/library"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// A finish that refers to a procedure hands the machine over as it stands: that
// procedure begins with it. So at such a finish what is off is what the next
// procedure begins without, as many of each, conditions stand as it begins, and
// it is for every member that gets there. What a family decides that this
// procedure does not have is not judged: nobody knows its member here.

// everyThing gives the things that an item means for any member at all.
func everyThing(it library.Item) []library.Thing {
	if it.Column == nil {
		return []library.Thing{it.Thing}
	}
	var out []library.Thing
	for _, t := range it.Column.Things {
		if t != nil {
			out = appendNew(out, t)
		}
	}
	return out
}

// lacking gives the condition that something of a place is off.
func (e *engine) lacking(have ref) ref {
	return e.space.where(have, func(v int) bool { return countOf(v).lacking() })
}

// beginsOff is how much of a place is off where a procedure begins, by the
// members of the procedure that is walked.
func (e *engine) beginsOff(p *library.Procedure, at *library.Part) ref {
	have := constant(0)
	for _, it := range p.BeginsWithout {
		if when := e.means(it, at); when != no {
			have = e.space.pick(when, constant(count{it.Count, it.Count}.value()), have)
		}
	}
	return have
}

// means gives the condition that an item is a part of a place.
func (e *engine) means(it library.Item, at *library.Part) ref {
	here := func(t library.Thing) bool {
		part, ok := t.(*library.Part)
		return ok && part.Place() == at
	}
	if it.Column == nil {
		if here(it.Thing) {
			return yes
		}
		return no
	}
	var of []*library.Member
	v := it.Column.Table.Variant
	for _, m := range e.applying(v) {
		if here(it.For(library.Assignment{m})) {
			of = append(of, m)
		}
	}
	if len(of) == 0 {
		return no
	}
	return e.isMember(v, of)
}

// withoutAt is where the procedure that is walked says that it begins without a
// place.
func (e *engine) withoutAt(at *library.Part) source.Span {
	for _, it := range e.proc.BeginsWithout {
		for _, t := range everyThing(it) {
			if part, ok := t.(*library.Part); ok && part.Place() == at {
				return it.Span
			}
		}
	}
	return source.Span{}
}

// beginState is the state of a condition where a procedure begins, and where it
// says so.
func beginState(p *library.Procedure, c *library.Condition) (*library.State, source.Span) {
	for _, b := range p.Begins {
		if b.State.Condition == c {
			return b.State, b.Span
		}
	}
	return c.Begins, c.Span
}

// A gap is a place that is handed over otherwise than the next job begins.
type gap struct {
	part      *library.Part
	bad       ref
	off, want int
}

// What is wrong with a hand-over.
const (
	tooMuchOff  = "off"
	tooMuchOn   = "on"
	otherNumber = "number"
)

// handOver judges the parts and members at a finish that refers to a procedure.
func (e *engine) handOver(f *library.Finish, at source.Span, s *state) {
	if f == nil || f.To == nil || f.To.Broken {
		return
	}
	mine := e.accepted(f, at)
	unknown := map[*library.Part]bool{}
	for _, it := range f.To.BeginsWithout {
		known := it.Column == nil || slices.ContainsFunc(e.proc.Applies, func(a library.Applies) bool { return a.Variant == it.Column.Table.Variant })
		for _, t := range everyThing(it) {
			if part, ok := t.(*library.Part); ok {
				e.index(fact{place, part.Place(), nil})
				unknown[part.Place()] = unknown[part.Place()] || !known
			}
		}
	}
	gaps := map[string][]gap{}
	for _, i := range e.places() {
		part := e.list[i].of.(*library.Part)
		if unknown[part] {
			continue
		}
		have, want := e.get(s, e.list[i]), e.beginsOff(f.To, part)
		for _, v := range e.space.values(want) {
			asked := countOf(v).off
			when := e.space.and(mine, e.space.is(want, v))
			for _, w := range e.space.values(have) {
				c := countOf(w)
				if c == mended || c.off == asked {
					continue
				}
				bad := e.space.and(when, e.space.is(have, w))
				if bad == no || !e.possible(bad) {
					continue
				}
				kind := otherNumber
				switch {
				case asked == 0:
					kind = tooMuchOff
				case c.off == 0:
					kind = tooMuchOn
				}
				gaps[kind] = addGap(gaps[kind], gap{part, bad, c.off, asked}, e.space.or)
			}
		}
	}
	for _, kind := range []string{tooMuchOff, tooMuchOn, otherNumber} {
		e.tellGaps(kind, gaps[kind], f.To, at, s)
	}
}

// addGap joins what is found of one place: the most that is off counts.
func addGap(list []gap, g gap, or func(a, b ref) ref) []gap {
	for i := range list {
		if o := &list[i]; o.part == g.part {
			o.bad = or(o.bad, g.bad)
			if g.off > o.off {
				o.off, o.want = g.off, g.want
			}
			return list
		}
	}
	return append(list, g)
}

// accepted gives the condition that the next procedure is for the members at
// hand, and tells where it is not.
func (e *engine) accepted(f *library.Finish, at source.Span) ref {
	all := yes
	for _, a := range e.proc.Applies {
		for _, b := range f.To.Applies {
			if a.Variant != b.Variant {
				continue
			}
			theirs := make(map[*library.Member]bool, len(b.Members))
			for _, m := range b.Members {
				theirs[m] = true
			}
			var others []*library.Member
			var names []string
			for i, gets := range e.reaching(a, yes) {
				if m := a.Members[i]; gets && !theirs[m] {
					others, names = append(others, m), append(names, m.Name)
				}
			}
			if len(others) == 0 {
				continue
			}
			bad := e.isMember(a.Variant, others)
			all = e.space.and(all, e.space.not(bad))
			place := b.Span
			if place.IsZero() {
				place = f.To.Span
			}
			e.because("BP512", at, handed{f.To, a.Variant.Name, strings.Join(names, " ")}, place, bad, func() *message.Message {
				return message.New("BP512", at, "%s is not for %s %s, with which this finish is reached", quoted(f.To.Name), a.Variant.Name, orList(names)).
					Relate(place, "it is for these").
					Helped("decide on %s before the finish, or let %s apply to %s", a.Variant.Name, quoted(f.To.Name), strings.Join(names, ", "))
			})
		}
	}
	return all
}

// handed is what a hand-over lacks: where it lacks the same at two finishes,
// the cause is one.
type handed struct {
	to         *library.Procedure
	kind, what string
}

// tellGaps tells of all places that are wrong in one way.
func (e *engine) tellGaps(kind string, list []gap, to *library.Procedure, at source.Span, s *state) {
	if len(list) == 0 {
		return
	}
	// The example shows as many at once as there is a path for.
	bad := list[0].bad
	for _, g := range list[1:] {
		if both := e.space.and(bad, g.bad); both != no && e.possible(both) {
			bad = both
		}
	}
	var names, counted, clauses []string
	for _, g := range list {
		names = append(names, quoted(g.part.Name))
		if kind == tooMuchOn {
			counted = append(counted, g.part.Name+times(g.want))
		} else {
			counted = append(counted, g.part.Name+times(g.off))
		}
		clauses = append(clauses, strconv.Itoa(g.off)+" "+quoted(g.part.Name)+" off, where it begins without "+strconv.Itoa(g.want))
	}
	are, them := "is", "it"
	if len(list) > 1 {
		are, them = "are", "them"
	}
	begin := to.Span
	if len(to.BeginsWithout) > 0 {
		begin = lastLine(to.BeginsWithout[0].Span.To(to.BeginsWithout[len(to.BeginsWithout)-1].Span))
	}
	e.because("BP512", at, handed{to, kind, strings.Join(counted, " ")}, begin, bad, func() *message.Message {
		var m *message.Message
		switch kind {
		case tooMuchOff:
			m = message.New("BP512", at, "%s %s off at the finish, and %s begins with %s on", andList(names), are, quoted(to.Name), them)
			m.Helped("put %s back before the finish, or write in %s: begins without %s", them, quoted(to.Name), strings.Join(counted, ", "))
		case tooMuchOn:
			m = message.New("BP512", at, "%s %s on at the finish, and %s begins without %s", andList(names), are, quoted(to.Name), them)
			m.Helped("take %s off before the finish, or strike %s there; what this job does not find on the machine it says itself: begins without %s", them, them, strings.Join(counted, ", "))
		default:
			m = message.New("BP512", at, "handed over to %s: %s", quoted(to.Name), strings.Join(clauses, ", "))
			m.Helped("write in %s: begins without %s", quoted(to.Name), strings.Join(counted, ", "))
		}
		m.Relate(begin, "%s begins so", quoted(to.Name))
		told := map[source.Span]bool{}
		for _, g := range list {
			from, how := e.whence(s, fact{place, g.part, nil}), "%s last moved here"
			if from.IsZero() && kind != tooMuchOn {
				from, how = e.withoutAt(g.part), "this job begins without %s"
			}
			if !told[from] {
				told[from] = true
				m.Relate(from, how, quoted(g.part.Name))
			}
		}
		return m
	})
}

func andList(names []string) string { return joined(names, "and") }
func orList(names []string) string  { return joined(names, "or") }

func joined(names []string, word string) string {
	if len(names) < 2 {
		return strings.Join(names, "")
	}
	return strings.Join(names[:len(names)-1], ", ") + " " + word + " " + names[len(names)-1]
}
