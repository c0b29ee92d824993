package rules

import (
	"slices"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/dsl/message"
)

// A crowd is the members for whom a statement can happen: for each
// combination of the procedure's universe whether it is in. Readings and
// answers play no part in it. A nil crowd leaves nobody out.
type crowd []bool

// everybody is the crowd that begins a procedure.
func (c *checker) everybody() crowd {
	if c.universe == nil {
		return nil
	}
	w := make(crowd, len(c.universe))
	for i := range w {
		w[i] = true
	}
	return w
}

func (w crowd) nobody() bool { return w != nil && !slices.Contains(w, true) }

// of narrows a crowd to some members.
func (c *checker) of(w crowd, members []*library.Member) crowd {
	if w == nil {
		return nil
	}
	out := make(crowd, len(w))
	for i, in := range w {
		out[i] = in && slices.ContainsFunc(members, func(m *library.Member) bool { return c.universe[i].Of(m.Variant) == m })
	}
	return out
}

func (w crowd) union(o crowd) crowd {
	if w == nil || o == nil {
		return nil
	}
	out := make(crowd, len(w))
	for i := range w {
		out[i] = w[i] || o[i]
	}
	return out
}

func (c *checker) none() crowd {
	if c.universe == nil {
		return nil
	}
	return make(crowd, len(c.universe))
}

// mostWeighed bounds the combinations of members that are looked at for the
// statements of one procedure, all together.
const mostWeighed = 500_000

// each calls f for every combination of the members of some variants that a
// crowd holds, each once, in order.
func (c *checker) each(w crowd, variants []*library.Variant, f func(library.Assignment)) {
	if len(variants) == 0 {
		if !w.nobody() {
			f(nil)
		}
		return
	}
	list, ok := paths.Assignments(c.proc, variants)
	if !ok {
		c.tooMany(paths.TooMany(c.proc, c.at))
		return
	}
	if c.weighed += len(list); c.weighed > mostWeighed {
		c.tooMany(message.New("BP511", c.proc.Span, "the procedure is too intricate to be judged: its statements differ by more than %d combinations of members, all together", mostWeighed).
			Relate(c.at, "judging stopped here").
			Helped("split it, or say to which members it applies"))
		return
	}
	for _, a := range list {
		if w == nil || c.holds(w, a) {
			f(a)
		}
	}
}

// tooMany tells, once for a procedure, that a statement cannot be judged.
func (c *checker) tooMany(m *message.Message) {
	is := func(m *message.Message) bool { return m.Code == "BP511" }
	if !slices.ContainsFunc(c.messages, is) && (c.result == nil || !slices.ContainsFunc(c.result.Messages, is)) {
		c.messages = append(c.messages, m)
	}
}

func (c *checker) holds(w crowd, a library.Assignment) bool {
	if len(a) == 0 {
		return slices.Contains(w, true)
	}
	if c.having == nil {
		c.having = map[*library.Member][]int{}
		for i, u := range c.universe {
			for _, m := range u {
				c.having[m] = append(c.having[m], i)
			}
		}
	}
	for _, i := range c.having[a[0]] {
		if w[i] && !slices.ContainsFunc(a[1:], func(m *library.Member) bool { return c.universe[i].Of(m.Variant) != m }) {
			return true
		}
	}
	return false
}

// body walks statements and gives the crowd that goes on behind them. gone is
// true where nobody does.
func (c *checker) body(list []library.Flow, w crowd) (on crowd, gone bool) {
	for _, f := range list {
		if w, gone = c.statement(f, w); gone {
			return w, true
		}
	}
	return w, false
}

func (c *checker) statement(f library.Flow, w crowd) (crowd, bool) {
	c.at = f.At()
	switch f := f.(type) {
	case *library.Stage:
		return c.body(f.Body, w)
	case *library.Step:
		c.step = f
		c.checkStep(f, w)
		c.step = nil
	case *library.Decide:
		return c.decide(f, w)
	case *library.Repeat:
		return c.repeat(f, w)
	case *library.Perform:
		c.routine++
		w, gone := c.body(f.Body, w)
		c.routine--
		return w, gone
	case *library.Finish:
		c.finish(f)
		return c.none(), true
	}
	return w, false
}

func (c *checker) decide(d *library.Decide, w crowd) (crowd, bool) {
	c.checkDecide(d, w)
	on, gone := c.none(), true
	for _, br := range d.Branches {
		in := w
		if d.Variant != nil {
			if in = c.of(w, br.Members); in.nobody() {
				continue
			}
		}
		if out, ended := c.body(br.Body, in); !ended {
			on, gone = on.union(out), false
		}
	}
	return on, gone
}

func (c *checker) repeat(r *library.Repeat, w crowd) (crowd, bool) {
	c.checkRepeat(r, w)
	out, gone := w, false
	for i, f := range r.Body {
		if u, ok := f.(*library.Until); ok {
			c.checkUntil(u, w)
			c.body(r.Body[i+1:], out)
			break
		}
		if out, gone = c.statement(f, out); gone {
			return out, true
		}
	}
	if r.HasOtherwise {
		c.body(r.Otherwise, out)
	}
	return out, false
}

// checkStep puts a step to every rule that looks at one.
func (c *checker) checkStep(st *library.Step, w crowd) {
	for _, a := range st.Actions {
		c.toolDoes(a, w)
		if t, ok := a.(*library.Tighten); ok {
			c.torque(t, w)
		}
		if l, ok := a.(*library.Lift); ok {
			c.lifted(l, w)
		}
	}
	c.heavy(st, w)
	c.signs(st, w)
	c.mentions(st, w)
	c.wording(st)
}
