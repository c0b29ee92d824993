package paths

import (
	"slices"
	"strconv"

	"benchproof/compiler/library"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// finish judges how a job ends; nil: the procedure runs off its end.
func (e *engine) finish(f *library.Finish, s *state) {
	at, outcome := e.proc.Span, "serviceable"
	if f != nil {
		at, outcome = f.Span, f.Outcome
		at.End = min(at.End, at.Start+len("finish ")+len(outcome))
	}
	if t := e.result.trace; t != nil {
		t.Finish, t.RanOff = f, f == nil
		t.Minutes = s.most
	}
	if e.both != nil {
		e.both.ended(e, f, s)
	}
	e.spent(s)
	e.tallied(outcome, s)
	for i := range e.list {
		if i < len(s.facts) {
			e.leftOn(i, outcome, at, s)
		}
	}
	e.conditionsAt(f, at, s)
	e.handOver(f, at, s)
	e.closed(f, s)
	e.left(f, s)
}

// spent keeps the least and the most time over all finishes.
func (e *engine) spent(s *state) {
	r := e.result
	if !e.finished || s.least.Cmp(r.Least) < 0 {
		r.Least = s.least
	}
	if !e.finished || s.most.Cmp(r.Most) > 0 {
		r.Most = s.most
	}
	e.finished = true
}

// leftOn judges one fact at a finish: nothing is fitted or clamped, and at a
// serviceable finish every place is filled that was filled at the start.
func (e *engine) leftOn(i int, outcome string, at source.Span, s *state) {
	f, have := e.list[i], s.facts[i]
	switch f.kind {
	case fitted:
		t := f.of.(*library.Tool)
		bad := e.space.where(have, func(n int) bool { return n > 0 })
		e.because("BP502", at, t, e.whence(s, f), bad, func() *message.Message {
			return message.New("BP502", at, "the tool %s is still fitted at the finish", quoted(t.Name)).
				Relate(e.whence(s, f), "fitted here").Helped("write before it: remove %s", t.Name)
		})
	case clamped:
		t := f.of.(library.Thing)
		e.because("BP502", at, t, e.whence(s, f), e.space.is(have, 1), func() *message.Message {
			return message.New("BP502", at, "%s is still clamped at the finish", quoted(nameOf(t))).
				Relate(e.whence(s, f), "clamped here").Helped("write before it: release %s", nameOf(t))
		})
	case place:
		p := f.of.(*library.Part)
		if outcome != "serviceable" {
			return
		}
		bad := e.space.and(e.lacking(have), e.space.not(e.lacking(e.begin[i])))
		e.because("BP504", at, p, e.whence(s, f), bad, func() *message.Message {
			most, total := 0, 0
			for _, v := range e.space.values(have) {
				if c := countOf(v); c != mended && c.off > most {
					most, total = c.off, c.total
				}
			}
			text := quoted(p.Name) + " is still off at the serviceable finish"
			if total > 1 {
				text = strconv.Itoa(most) + " of " + strconv.Itoa(total) + " " + quoted(p.Name) + " are still off at the serviceable finish"
			}
			item := p.Name
			if total > 1 {
				item += " x " + strconv.Itoa(most)
			}
			help := "write before it: refit " + item
			switch {
			case p.SingleUse && p.IsKind:
				help = "write before it: fit new, and one of the parts of the kind " + quoted(p.Name)
			case p.SingleUse:
				help = "write before it: fit new " + item
			}
			return message.New("BP504", at, "%s", text).Relate(e.whence(s, f), "taken off here").Helped("%s", help)
		})
	}
}

// ends is the state in which a condition must stand at a finish.
func (e *engine) ends(f *library.Finish, c *library.Condition) (*library.State, source.Span, string) {
	if f != nil {
		for _, l := range f.Leaves {
			if l.State.Condition == c {
				return l.State, l.Span, "the finish leaves it so"
			}
		}
		if f.To != nil {
			if f.To.Broken {
				return nil, source.Span{}, ""
			}
			st, at := beginState(f.To, c)
			return st, at, quoted(f.To.Name) + " begins so"
		}
	}
	for _, x := range e.proc.Ends {
		if x.State.Condition == c {
			return x.State, x.Span, "the procedure ends with it"
		}
	}
	if c.Ends == nil {
		return nil, source.Span{}, ""
	}
	return c.Ends, c.Span, "it ends " + c.Ends.Name
}

func (e *engine) conditionsAt(f *library.Finish, at source.Span, s *state) {
	for _, c := range e.lib.Conditions {
		want, place, why := e.ends(f, c)
		if want == nil {
			continue
		}
		ff := fact{standing, c, nil}
		have := e.get(s, ff)
		bad := e.space.and(e.space.not(e.space.is(have, want.Index)), e.space.is(e.get(s, fact{supposed, c, nil}), 0))
		e.because("BP507", at, c, e.whence(s, ff), bad, func() *message.Message {
			m := message.New("BP507", at, "%s is %s at the finish; it must be %s", quoted(c.Name), e.states(want, have), quoted(want.Name)).
				Relate(place, "%s", why).Relate(e.whence(s, ff), "made so here")
			if f != nil && f.To != nil {
				return m.Helped("make %s %s before it, or say in %s how it begins", c.Name, want.Name, quoted(f.To.Name))
			}
			return m.Helped("make %s %s before it, or write at the finish what it leaves", c.Name, want.Name)
		})
		e.leavesOther(f, c, place, want)
	}
}

// leavesOther tells of a finish that leaves a condition otherwise than the
// procedure begins that it hands over to.
func (e *engine) leavesOther(f *library.Finish, c *library.Condition, at source.Span, leaves *library.State) {
	if f == nil || f.To == nil || f.To.Broken {
		return
	}
	begins, place := beginState(f.To, c)
	if begins == nil || begins == leaves {
		return
	}
	e.fault("BP507", at, c, yes, func() *message.Message {
		return message.New("BP507", at, "the finish leaves %s %s, and %s begins with it %s", quoted(c.Name), quoted(leaves.Name), quoted(f.To.Name), quoted(begins.Name)).
			Relate(place, "%s begins so", quoted(f.To.Name)).
			Helped("leave it %s, or say in %s: begins %s %s", begins.Name, quoted(f.To.Name), c.Name, leaves.Name)
	})
}

// places gives the facts about places of parts, in the order of the library.
func (e *engine) places() (out []int) {
	for i, f := range e.list {
		if f.kind == place {
			out = append(out, i)
		}
	}
	order := library.Derived(e.lib, partOrder)
	slices.SortFunc(out, func(a, b int) int {
		return order[e.list[a].of.(*library.Part)] - order[e.list[b].of.(*library.Part)]
	})
	return out
}

// ordered is the place of each part in the order of the library.
type ordered map[*library.Part]int

func partOrder(lib *library.Library) ordered {
	out := make(ordered, len(lib.Parts))
	for i, p := range lib.Parts {
		out[p] = i
	}
	return out
}

func appendNew[T comparable](list []T, x T) []T {
	for _, o := range list {
		if o == x {
			return list
		}
	}
	return append(list, x)
}

// never tells of branches that no path takes and of steps that no path reaches.
func (e *engine) never() {
	if e.stopped {
		return
	}
	for _, at := range e.order {
		b := e.branches[at]
		if b.taken || !b.visited || b.emptied(e) {
			continue
		}
		e.result.Messages = append(e.result.Messages, message.New("BP403", b.head, "this branch can never happen").
			Relate(b.decide.OnSpan, "decided here").Note("what came before rules it out on every path"))
	}
	told := map[source.Span]bool{}
	for _, d := range e.dead {
		if e.result.reached[d.at] || told[d.at] {
			continue
		}
		told[d.at] = true
		e.result.Messages = append(e.result.Messages, message.New("BP505", d.at, "no path reaches this").
			Relate(lastLine(d.end), "every path has finished here"))
	}
}

// lastLine narrows a place to its first line, so that a long block does not
// fill the screen.
func lastLine(s source.Span) source.Span {
	for i := s.Start; i < s.End; i++ {
		if s.File.Text[i] == '\n' {
			return source.Span{File: s.File, Start: s.Start, End: i}
		}
	}
	return s
}

// emptied tells that the branch's own range already says that it cannot
// happen: the rules on decisions tell that, with an example.
func (b *branchSeen) emptied(e *engine) bool {
	if b.decide.Reading == nil {
		if b.repeated() {
			return true
		}
		if b.decide.Variant == nil {
			return false
		}
		for _, m := range b.decide.Branches[b.index].Members {
			for _, a := range e.proc.Applies {
				for _, have := range a.Members {
					if have == m {
						return false
					}
				}
			}
		}
		return true
	}
	j := e.decisions[b.decide]
	for k := range j.assignments {
		for _, in := range j.in[k][b.index] {
			if in {
				return e.overlapped(j, k, b.index)
			}
		}
	}
	return true
}

// repeated tells that branches above take every answer or member that a branch
// names.
func (b *branchSeen) repeated() bool {
	br, above := b.decide.Branches[b.index], b.decide.Branches[:b.index]
	for _, a := range br.Answers {
		if !slices.ContainsFunc(above, func(o *library.Branch) bool { return slices.Contains(o.Answers, a) }) {
			return false
		}
	}
	for _, m := range br.Members {
		if !slices.ContainsFunc(above, func(o *library.Branch) bool { return slices.Contains(o.Members, m) }) {
			return false
		}
	}
	return true
}

// overlapped tells that the branches above take all that a range has.
func (e *engine) overlapped(j *judged, k, index int) bool {
	for i, in := range j.in[k][index] {
		if !in {
			continue
		}
		above := false
		for b := range index {
			above = above || j.in[k][b][i]
		}
		if !above {
			return false
		}
	}
	return true
}
