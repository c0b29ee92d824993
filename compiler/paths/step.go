package paths

import (
	"slices"
	"strconv"
	"strings"

	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// A thingWhen is a thing and the condition under which it is meant.
type thingWhen struct {
	thing library.Thing
	when  ref
}

// thingsOf gives the things an item means: one, or one for each member.
func (e *engine) thingsOf(it library.Item) []thingWhen {
	if it.Column == nil {
		return []thingWhen{{it.Thing, yes}}
	}
	var out []thingWhen
	for _, a := range e.proc.Applies {
		if a.Variant != it.Column.Table.Variant {
			continue
		}
		of := map[library.Thing][]*library.Member{}
		for _, m := range a.Members {
			t := it.For(library.Assignment{m})
			if t == nil {
				continue
			}
			if of[t] == nil {
				out = append(out, thingWhen{t, yes})
			}
			of[t] = append(of[t], m)
		}
		if len(e.members) > 0 {
			for i := range out {
				out[i].when = e.isMember(a.Variant, of[out[i].thing])
			}
		}
	}
	return out
}

// A carried hazard and under which condition, and why.
type carried struct {
	hazard *library.Hazard
	when   ref
	at     source.Span
	why    string
}

// ToolsOf gives the tools an action takes into the hand, for all members.
func ToolsOf(a library.Action) []library.Item {
	one := func(t *library.Tool) []library.Item {
		if t == nil {
			return nil
		}
		return []library.Item{{Thing: t, Count: 1, Span: a.At()}}
	}
	switch a := a.(type) {
	case *library.Use:
		return a.Items
	case *library.Fit:
		return a.Items
	case *library.Remove:
		return a.Items
	case *library.Clamp:
		return one(a.In)
	case *library.Verify:
		return one(a.With)
	case *library.Measure:
		return one(a.With)
	case *library.Drill:
		return one(a.With)
	case *library.Tap:
		return one(a.With)
	case *library.Tighten:
		return append(one(a.With), one(a.Through)...)
	case *library.Heat:
		return one(a.With)
	case *library.Lift:
		return one(a.With)
	}
	return nil
}

// carries gathers the hazards of a step: those it warns of, those its tools
// carry, and those of a guard it removes.
func (e *engine) carries(st *library.Step) []carried {
	var out []carried
	add := func(h *library.Hazard, when ref, at source.Span, why string) {
		for i := range out {
			if out[i].hazard == h {
				out[i].when = e.space.or(out[i].when, when)
				return
			}
		}
		out = append(out, carried{h, when, at, why})
	}
	for _, a := range st.Actions {
		if w, ok := a.(*library.Warn); ok {
			for _, h := range w.Hazards {
				add(h.Hazard, yes, h.Span, "the step warns of it")
			}
		}
		for _, it := range ToolsOf(a) {
			for _, t := range e.thingsOf(it) {
				if tool, ok := t.thing.(*library.Tool); ok {
					for _, h := range tool.Carries {
						add(h, t.when, it.Span, quoted(tool.Name)+" carries it")
					}
				}
			}
		}
		if r, ok := a.(*library.Remove); ok {
			for _, it := range r.Items {
				for _, t := range e.thingsOf(it) {
					if part, ok := t.thing.(*library.Part); ok {
						for _, h := range guardsOf(part) {
							add(h, t.when, it.Span, quoted(part.Name)+" guards against it")
						}
					}
				}
			}
		}
	}
	return out
}

func guardsOf(p *library.Part) []*library.Hazard {
	if p.Kind == nil {
		return p.Guards
	}
	return append(append([]*library.Hazard(nil), p.Guards...), p.Kind.Guards...)
}

func quoted(s string) string { return "“" + s + "”" }

func (e *engine) step(st *library.Step, s *state) bool {
	e.hazards(st, s)
	for _, a := range st.Actions {
		e.handle(a, s)
		if !e.action(a, s) {
			return false
		}
		e.consume(a, s)
	}
	e.time(st, s)
	if e.both != nil {
		e.both.did(e, st, s)
	}
	return true
}

// hazards judges what a step carries, as things stand at its start.
func (e *engine) hazards(st *library.Step, s *state) {
	for _, c := range e.carries(st) {
		if t := e.result.trace; t != nil && c.when == yes {
			t.Met[c.hazard] = true
		}
		if e.both != nil {
			e.both.note(e, everMet, c.hazard, c.when, 1, s)
		}
		safe := c.hazard.Safe
		if safe == nil {
			continue
		}
		brings, proves := false, false
		for _, a := range st.Actions {
			switch a := a.(type) {
			case *library.Make:
				brings = brings || a.State == safe
			case *library.Verify:
				proves = proves || a.State == safe && a.With == c.hazard.ProvedWith
			}
		}
		f := fact{standing, safe.Condition, nil}
		unsafe := no
		if !brings {
			unsafe = e.space.and(c.when, e.space.not(e.space.is(e.get(s, f), safe.Index)))
			if e.because("BP601", c.at, c.hazard, e.whence(s, f), unsafe, func() *message.Message {
				return message.New("BP601", c.at, "the step carries %s while %s is not %s", quoted(c.hazard.Name), quoted(safe.Condition.Name), quoted(safe.Name)).
					Relate(c.hazard.Span, "%s; safe when %s %s", c.why, safe.Condition.Name, safe.Name).
					Relate(e.whence(s, f), "%s changed here", safe.Condition.Name)
			}) {
				continue
			}
		}
		if c.hazard.ProvedWith == nil || proves {
			continue
		}
		v := fact{verified, safe.Condition, c.hazard.ProvedWith}
		bad := e.space.and(c.when, e.space.not(e.space.is(e.get(s, v), 1)))
		if e.because("BP605", c.at, c.hazard, e.whence(s, f), bad, func() *message.Message {
			return message.New("BP605", c.at, "the step carries %s before %s is proved with %s", quoted(c.hazard.Name), quoted(safe.Condition.Name+" "+safe.Name), quoted(c.hazard.ProvedWith.Name)).
				Relate(c.hazard.Span, "%s", c.why).
				Relate(e.whence(s, f), "%s made here, not yet proved", safe.Name).
				Helped("verify %s %s with %s first", safe.Condition.Name, safe.Name, c.hazard.ProvedWith.Name)
		}) {
			e.set(s, v, constant(1), source.Span{})
		}
	}
}

// time adds what a step takes and waits.
func (e *engine) time(st *library.Step, s *state) {
	for _, a := range st.Actions {
		var v library.Value
		switch a := a.(type) {
		case *library.Takes:
			v = a.Time
		case *library.Wait:
			v = a.Time
		default:
			continue
		}
		least, most, ok := e.minutes(v)
		if !ok {
			continue
		}
		s.least, s.most = s.least.Add(least), s.most.Add(most)
		e.result.Timed = true
		if e.result.trace != nil {
			e.result.trace.Timed = true
		}
	}
}

var minute, _ = quantity.LookUp("min")

// minutes gives the least and the most of a time over the members.
func (e *engine) minutes(v library.Value) (least, most quantity.Number, ok bool) {
	if v.Column == nil {
		n, err := v.Quantity.In(minute)
		return n, n, err == nil
	}
	first := true
	for _, a := range e.proc.Applies {
		if a.Variant != v.Column.Table.Variant {
			continue
		}
		for _, m := range a.Members {
			if e.given != nil && e.isMember(m.Variant, []*library.Member{m}) != yes {
				continue
			}
			q, has := v.For(library.Assignment{m})
			if !has {
				continue
			}
			n, err := q.In(minute)
			if err != nil {
				continue
			}
			if first || n.Cmp(least) < 0 {
				least = n
			}
			if first || n.Cmp(most) > 0 {
				most = n
			}
			first = false
		}
	}
	return least, most, !first
}

// action changes the state by one action; false: the path ends here.
func (e *engine) action(a library.Action, s *state) bool {
	if t := e.result.trace; t != nil {
		for _, it := range ToolsOf(a) {
			for _, th := range e.thingsOf(it) {
				if _, part := th.thing.(*library.Part); !part && th.when == yes {
					t.Used[th.thing] = true
				}
			}
		}
	}
	if e.both != nil {
		e.both.uses(e, a, s)
	}
	switch a := a.(type) {
	case *library.Fit:
		e.fitTool(a, s)
	case *library.FitNew:
		for _, it := range a.Items {
			e.fill(it, a, s, true)
		}
	case *library.Refit:
		for _, it := range a.Items {
			e.fill(it, a, s, false)
		}
	case *library.Remove:
		for _, it := range a.Items {
			e.remove(it, s)
		}
	case *library.Clamp:
		for _, it := range a.Items {
			e.clamp(it, s)
		}
	case *library.Release:
		for _, it := range a.Items {
			e.release(it, s)
		}
	case *library.Make:
		e.bring(a, s)
	case *library.Verify:
		e.needs(a.State, a.At(), s, "verified")
		e.set(s, fact{verified, a.State.Condition, a.With}, constant(1), a.At())
	case *library.Needs:
		for _, c := range a.States {
			e.needs(c.State, c.Span, s, "needed")
		}
	case *library.Measure:
		return e.take(a.Reading, a, s)
	case *library.Ask:
		return e.take(a.Question, a, s)
	case *library.Drill:
		e.drillings = append(e.drillings, a)
		e.set(s, fact{drilled, a.Hole, nil}, constant(len(e.drillings)), a.At())
	case *library.Tap:
		e.tap(a, s)
	case *library.Tighten:
		e.tighten(a, s)
	}
	return true
}

// --- tools ------------------------------------------------------------------------

func (e *engine) fitTool(a *library.Fit, s *state) {
	for _, it := range a.Items {
		for _, t := range e.thingsOf(it) {
			f := fact{fitted, t.thing, nil}
			have := e.get(s, f)
			bad := e.space.and(t.when, e.space.where(have, func(n int) bool { return n > 0 }))
			e.because("BP503", it.Span, t.thing, e.whence(s, f), bad, func() *message.Message {
				return message.New("BP503", it.Span, "the tool %s is fitted while it is already fitted", quoted(nameOf(t.thing))).
					Relate(e.whence(s, f), "fitted here")
			})
			e.set(s, f, e.space.pick(t.when, constant(it.Count), have), it.Span)
		}
	}
}

func nameOf(t library.Thing) string { return t.Declared().Name }

func times(n int) string {
	if n == 1 {
		return ""
	}
	return " x " + strconv.Itoa(n)
}

func (e *engine) remove(it library.Item, s *state) {
	for _, t := range e.thingsOf(it) {
		switch th := t.thing.(type) {
		case *library.Tool:
			f := fact{fitted, th, nil}
			have := e.get(s, f)
			bad := e.space.and(t.when, e.space.where(have, func(n int) bool { return n < it.Count }))
			wrong := e.because("BP501", it.Span, th, e.whence(s, f), bad, func() *message.Message {
				m := message.New("BP501", it.Span, "the tool %s is removed, but it is not fitted", quoted(th.Name)+times(it.Count))
				return m.Relate(e.whence(s, f), "%s", fitOrGone(e.space, have))
			})
			left := e.space.change(have, func(n int) int { return max(0, n-it.Count) })
			if wrong {
				left = constant(0)
			}
			e.set(s, f, e.space.pick(t.when, left, have), it.Span)
		case *library.Part:
			e.behind(th, t.when, it.Span, s, "removed")
			e.empty(th, t.when, it, s)
		}
	}
}

func fitOrGone(sp *space, have ref) string {
	if have == constant(0) {
		return "taken off here"
	}
	return "fitted here"
}

// empty takes a part off its place.
func (e *engine) empty(p *library.Part, when ref, it library.Item, s *state) {
	f := fact{place, p.Place(), nil}
	have := e.get(s, f)
	bad := e.space.and(when, e.space.where(have, func(v int) bool {
		return countOf(v).short(it.Count)
	}))
	if !e.because("BP501", it.Span, p.Place(), e.whence(s, f), bad, func() *message.Message {
		return message.New("BP501", it.Span, "%s is removed, but %s", quoted(p.Name)+times(it.Count), stillOn(e, have, it.Count)).
			Relate(e.whence(s, f), "off since here")
	}) {
		e.other(p, when, it, s)
	}
	off := e.space.change(have, func(v int) int {
		c := countOf(v)
		switch {
		case c.total == 0 || c == mended:
			return count{it.Count, it.Count}.value()
		case c.short(it.Count) && it.Count+c.total > 2:
			// How many there are is not known any more.
			return mended.value()
		}
		return count{min(c.total, c.off+it.Count), c.total}.value()
	})
	e.set(s, f, e.space.pick(when, off, have), it.Span)
}

// number tells parts that fill one place apart: 0 where the place has no kinds
// or the kind itself is meant.
func (e *engine) number(p *library.Part) int {
	if p.Kind == nil {
		return 0
	}
	if e.numbers[p] == 0 {
		if e.numbers == nil {
			e.numbers = map[*library.Part]int{}
		}
		e.numbers[p] = len(e.numbers) + 1
	}
	return e.numbers[p]
}

// other judges that what is removed is what was put there: of a kind, this part
// and not another.
func (e *engine) other(p *library.Part, when ref, it library.Item, s *state) {
	n := e.number(p)
	if n == 0 {
		return
	}
	f := fact{holding, p.Place(), nil}
	held := e.get(s, f)
	bad := e.space.and(when, e.space.where(held, func(v int) bool { return v != 0 && v != n }))
	e.because("BP501", it.Span, p, e.whence(s, f), bad, func() *message.Message {
		return message.New("BP501", it.Span, "%s is removed, but another %s is there", quoted(p.Name), quoted(p.Kind.Name)).
			Relate(e.whence(s, f), "put there here")
	})
	e.set(s, f, e.space.pick(when, constant(n), held), source.Span{})
}

// hold notes which part of a kind is in its place now. Where several are in one
// place, nothing is known.
func (e *engine) hold(p *library.Part, when ref, it library.Item, s *state, have ref) {
	n := e.number(p)
	if n == 0 {
		return
	}
	f := fact{holding, p.Place(), nil}
	held := e.get(s, f)
	alone := e.space.or(e.space.is(held, n), e.space.where(have, func(v int) bool { return countOf(v).wholly() }))
	e.set(s, f, e.space.pick(when, e.space.pick(alone, constant(n), constant(0)), held), it.Span)
}

func stillOn(e *engine, have ref, want int) string {
	most := 0
	for _, v := range e.space.values(have) {
		if c := countOf(v); c.short(want) {
			most = max(most, c.on())
		}
	}
	if most == 0 {
		return "it is not there"
	}
	return "only " + strconv.Itoa(most) + " are there"
}

// behind judges that what stands in front of a part is off.
func (e *engine) behind(p *library.Part, when ref, at source.Span, s *state, verb string) {
	fronts := p.Behind
	if p.Kind != nil {
		fronts = append(append([]*library.Part(nil), fronts...), p.Kind.Behind...)
	}
	for _, front := range fronts {
		f := fact{place, front.Place(), nil}
		have := e.get(s, f)
		bad := e.space.and(when, e.space.where(have, func(v int) bool { return !countOf(v).wholly() }))
		e.because("BP510", at, front, e.whence(s, f), bad, func() *message.Message {
			return message.New("BP510", at, "%s is %s while %s in front of it is on", quoted(p.Name), verb, quoted(front.Name)).
				Relate(p.Span, "behind %s", front.Name).
				Relate(e.whence(s, f), "%s last moved here", front.Name)
		})
		off := e.space.change(have, func(v int) int {
			if countOf(v).wholly() {
				return v
			}
			return mended.value()
		})
		if bad != no {
			e.set(s, f, e.space.pick(when, off, have), source.Span{})
		}
	}
}

// fill puts a part on its place: back, or a new one.
func (e *engine) fill(it library.Item, a library.Action, s *state, isNew bool) {
	verb := "refitted"
	if isNew {
		verb = "fitted new"
	}
	for _, t := range e.thingsOf(it) {
		p, ok := t.thing.(*library.Part)
		if !ok {
			continue
		}
		if tr := e.result.trace; tr != nil && t.when == yes {
			tr.Fitted[p] += it.Count
		}
		if e.both != nil {
			e.both.note(e, everFitted, p, t.when, it.Count, s)
		}
		if !isNew && (p.SingleUse || p.Place().SingleUse) {
			e.fault("BP509", it.Span, p, t.when, func() *message.Message {
				return message.New("BP509", it.Span, "%s is for single use and is refitted", quoted(p.Name)).
					Relate(p.Span, "single-use").Helped("write: fit new %s", p.Name)
			})
		}
		c := fact{clamped, library.Thing(p), nil}
		held := e.space.and(t.when, e.space.is(e.get(s, c), 1))
		if e.because("BP502", it.Span, p, e.whence(s, c), held, func() *message.Message {
			return message.New("BP502", it.Span, "%s is %s while it is clamped", quoted(p.Name), verb).
				Relate(e.whence(s, c), "clamped here").Helped("write before it: release %s", p.Name)
		}) {
			e.set(s, c, constant(0), source.Span{})
		}
		e.behind(p, t.when, it.Span, s, verb)
		f := fact{place, p.Place(), nil}
		have := e.get(s, f)
		bad := e.space.and(t.when, e.space.where(have, func(v int) bool { return countOf(v).off < it.Count }))
		e.because("BP503", it.Span, p.Place(), e.whence(s, f), bad, func() *message.Message {
			return message.New("BP503", it.Span, "%s is %s where %s", quoted(p.Name)+times(it.Count), verb, room(e, have, it.Count)).
				Relate(e.whence(s, f), "the place last changed here")
		})
		e.hold(p, t.when, it, s, have)
		now := e.space.change(have, func(v int) int {
			c := countOf(v)
			switch {
			case c == mended:
				return count{}.value()
			case c.off < it.Count:
				return count{0, c.total}.value()
			}
			return count{c.off - it.Count, c.total}.value()
		})
		e.set(s, f, e.space.pick(t.when, now, have), it.Span)
	}
}

func room(e *engine, have ref, want int) string {
	most := 0
	for _, v := range e.space.values(have) {
		if c := countOf(v); c.off < want {
			most = max(most, c.off)
		}
	}
	if most == 0 {
		return "the place is taken"
	}
	return "only " + strconv.Itoa(most) + " came off"
}

func (e *engine) clamp(it library.Item, s *state) {
	for _, t := range e.thingsOf(it) {
		f := fact{clamped, t.thing, nil}
		have := e.get(s, f)
		bad := e.space.and(t.when, e.space.is(have, 1))
		e.because("BP503", it.Span, t.thing, e.whence(s, f), bad, func() *message.Message {
			return message.New("BP503", it.Span, "%s is clamped while it is clamped already", quoted(nameOf(t.thing))).
				Relate(e.whence(s, f), "clamped here")
		})
		e.set(s, f, e.space.pick(t.when, constant(1), have), it.Span)
	}
}

func (e *engine) release(it library.Item, s *state) {
	for _, t := range e.thingsOf(it) {
		f := fact{clamped, t.thing, nil}
		have := e.get(s, f)
		bad := e.space.and(t.when, e.space.is(have, 0))
		e.because("BP501", it.Span, t.thing, e.whence(s, f), bad, func() *message.Message {
			return message.New("BP501", it.Span, "%s is released, but it is not clamped", quoted(nameOf(t.thing))).
				Relate(e.whence(s, f), "released here")
		})
		e.set(s, f, e.space.pick(t.when, constant(0), have), it.Span)
	}
}

// --- conditions -----------------------------------------------------------------------

func (e *engine) needs(st *library.State, at source.Span, s *state, verb string) {
	f := fact{standing, st.Condition, nil}
	have := e.get(s, f)
	bad := e.space.not(e.space.is(have, st.Index))
	if e.because("BP506", at, st.Condition, e.whence(s, f), bad, func() *message.Message {
		return message.New("BP506", at, "%s is %s to be %s, but it is %s", quoted(st.Condition.Name), verb, quoted(st.Name), e.states(st, have)).
			Relate(e.whence(s, f), "made so here")
	}) {
		e.set(s, f, constant(st.Index), source.Span{})
		// That it does not stand so at the finish follows from this.
		x := fact{supposed, st.Condition, nil}
		e.set(s, x, e.space.pick(bad, constant(1), e.get(s, x)), source.Span{})
	}
}

// states tells which other states a condition can be in.
func (e *engine) states(st *library.State, have ref) string {
	var names []string
	for _, v := range e.space.values(have) {
		if v != st.Index && v < len(st.Condition.States) {
			names = append(names, quoted(st.Condition.States[v].Name))
		}
	}
	return strings.Join(names, " or ")
}

func (e *engine) bring(a *library.Make, s *state) {
	c := a.State.Condition
	e.touched[c] = true
	f := fact{standing, c, nil}
	have := e.get(s, f)
	for _, g := range e.guards[c] {
		if g.hazard.Safe == a.State {
			continue
		}
		p := fact{place, g.part.Place(), nil}
		off := e.space.where(e.get(s, p), func(v int) bool { return countOf(v).lacking() })
		bad := e.space.and(off, e.space.is(have, g.hazard.Safe.Index))
		e.fault("BP601", a.At(), g.hazard, bad, func() *message.Message {
			return message.New("BP601", a.At(), "%s is made %s while %s, which guards against %s, is off", quoted(c.Name), quoted(a.State.Name), quoted(g.part.Name), quoted(g.hazard.Name)).
				Relate(e.whence(s, p), "taken off here").Relate(g.hazard.Span, "safe when %s %s", c.Name, g.hazard.Safe.Name)
		})
	}
	same := e.space.is(have, a.State.Index)
	for i, x := range e.list {
		if x.kind == verified && x.of == any(c) && i < len(s.facts) {
			// The proof lapses where the state changes.
			s.facts[i] = e.space.pick(same, s.facts[i], constant(0))
		}
	}
	e.set(s, f, constant(a.State.Index), a.At())
	e.set(s, fact{supposed, c, nil}, constant(0), source.Span{})
}

// guardedAtStart judges what the procedure begins with: a guard that is off
// while the condition is not the safe one.
func (e *engine) guardedAtStart(s *state) {
	e.touch()
	for _, c := range e.lib.Conditions {
		for _, g := range e.guards[c] {
			if !slices.Contains(e.without, g.part.Place()) {
				continue
			}
			off := e.lacking(e.beginsOff(e.proc, g.part.Place()))
			bad := e.space.and(off, e.space.not(e.space.is(e.get(s, fact{standing, c, nil}), g.hazard.Safe.Index)))
			at := e.withoutAt(g.part.Place())
			e.fault("BP601", at, g.hazard, bad, func() *message.Message {
				return message.New("BP601", at, "the procedure begins without %s, which guards against %s, while %s is not %s", quoted(g.part.Name), quoted(g.hazard.Name), quoted(c.Name), quoted(g.hazard.Safe.Name)).
					Relate(g.hazard.Span, "declared here")
			})
		}
	}
}

// touch notes the conditions that the procedure deals with.
func (e *engine) touch() {
	for _, b := range e.proc.Begins {
		e.touched[b.State.Condition] = true
	}
	each(e.proc.Body, func(f library.Flow) {
		st, ok := f.(*library.Step)
		if !ok {
			return
		}
		for _, a := range st.Actions {
			switch a := a.(type) {
			case *library.Make:
				e.touched[a.State.Condition] = true
			case *library.Verify:
				e.touched[a.State.Condition] = true
			case *library.Needs:
				for _, c := range a.States {
					e.touched[c.State.Condition] = true
				}
			}
		}
	})
}

// --- holes and fasteners ---------------------------------------------------------------

func (e *engine) tighten(a *library.Tighten, s *state) {
	for _, t := range e.thingsOf(a.Item) {
		p, ok := t.thing.(*library.Part)
		if !ok {
			continue
		}
		f := fact{place, p.Place(), nil}
		have := e.get(s, f)
		bad := e.space.and(t.when, e.space.where(have, func(v int) bool {
			return countOf(v).short(a.Item.Count)
		}))
		e.because("BP501", a.Item.Span, p.Place(), e.whence(s, f), bad, func() *message.Message {
			return message.New("BP501", a.Item.Span, "%s is tightened, but %s", quoted(p.Name)+times(a.Item.Count), stillOn(e, have, a.Item.Count)).
				Relate(e.whence(s, f), "off since here")
		})
	}
}
