// Package trial runs the worked cases of a library.
//
// Input: a bound library in which nothing else is wrong, and its procedures.
// Output: for each trial what happened, whether it is what was expected
// (BP901), what it lacks (BP902), and which branches no trial takes (BP903).
// A trial that names no member of a variant is run for every one.
package trial

import (
	"fmt"
	"slices"
	"strings"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/quantity"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// An Outcome is what a trial did.
type Outcome struct {
	Trial *library.Trial
	Runs  []Run
	// Held tells whether every run did what was expected.
	Held bool
}

// A Run is a trial for one member of each variant.
type Run struct {
	Members []*library.Member
	Trace   *paths.Trace
	// Failed are the expectations that did not hold, as printed.
	Failed []string
}

// Finish prints how a run ended.
func (r Run) Finish() string {
	switch {
	case r.Trace.Missing != nil:
		return "stopped at " + r.Trace.Missing.Declared().Name
	case r.Trace.Finish != nil && r.Trace.Finish.To != nil:
		return "refer to " + r.Trace.Finish.To.Name
	case r.Trace.Finish != nil:
		return r.Trace.Finish.Outcome
	case r.Trace.RanOff:
		return "serviceable"
	}
	return "stopped"
}

// A Coverage says how many branches of a procedure the trials take.
type Coverage struct {
	Procedure  *library.Procedure
	Taken, All int
	Trials     int
	missing    []untried
}

// An untried branch and, where it is of a routine, where that is performed.
type untried struct{ at, via source.Span }

// trialsOf are the trials of each procedure.
type trialsOf map[*library.Procedure][]*library.Trial

func byProcedure(lib *library.Library) trialsOf {
	out := trialsOf{}
	for _, t := range lib.Trials {
		out[t.Of] = append(out[t.Of], t)
	}
	return out
}

// RunAll runs the trials of one procedure. res is what holds on its paths.
func RunAll(lib *library.Library, p *library.Procedure, res *paths.Result) ([]*Outcome, *Coverage, []*message.Message) {
	var out []*Outcome
	var msgs []*message.Message
	taken := map[source.Span]bool{}
	broken := false
	for _, t := range library.Derived(lib, byProcedure)[p] {
		if t.Broken {
			broken = true
			continue
		}
		o, ms := run(p, res, t)
		out = append(out, o)
		msgs = append(msgs, ms...)
		for _, r := range o.Runs {
			for _, b := range r.Trace.Branches {
				taken[b] = true
			}
		}
	}
	c := coverage(p, res, taken)
	c.Trials = len(out)
	switch {
	case broken || c.All == 0 || message.HasErrors(msgs):
	case len(out) == 0:
		msgs = append(msgs, message.New("BP903", p.Span, "the procedure %s has %d branches and no trial", quoted(p.Name), c.All).
			Helped("write a worked case: trial \"…\" of %s { … }", p.Name))
	default:
		for _, x := range c.missing {
			// A routine's branch is asked for in each procedure that performs it:
			// there it leads to other steps, and what a procedure is found to be
			// depends on its own trials alone.
			m := message.New("BP903", x.at, "no trial takes this branch").Relate(p.Span, "of this procedure")
			msgs = append(msgs, m.Relate(x.via, "the routine is performed here"))
		}
	}
	return out, c, msgs
}

func quoted(s string) string { return "“" + s + "”" }

// coverage counts the branches that can happen and those the trials took.
func coverage(p *library.Procedure, res *paths.Result, taken map[source.Span]bool) *Coverage {
	c := &Coverage{Procedure: p}
	seen := map[source.Span]bool{}
	var via source.Span
	whole := p.Declared().Whole
	inside := func(at source.Span) bool {
		return at.File == whole.File && at.Start >= whole.Start && at.End <= whole.End
	}
	count := func(at, shown source.Span) {
		if seen[at] || !res.Reached(at) {
			return
		}
		seen[at] = true
		c.All++
		if taken[at] {
			c.Taken++
		} else {
			x := untried{at: shown}
			if !inside(shown) {
				x.via = via
			}
			c.missing = append(c.missing, x)
		}
	}
	paths.Each(p, func(f library.Flow) {
		switch f := f.(type) {
		case *library.Perform:
			if inside(f.Span) {
				via = f.Span
			}
		case *library.Decide:
			for _, br := range f.Branches {
				count(br.Span, br.Head)
			}
		case *library.Repeat:
			for _, inner := range f.Body {
				if u, ok := inner.(*library.Until); ok {
					count(u.Span, u.Span)
				}
			}
			if f.HasOtherwise {
				at := paths.OtherwiseOf(f)
				shown := source.Span{File: f.Span.File, Start: f.Span.Start, End: f.Span.Start + len("repeat")}
				if i := strings.LastIndex(f.Span.Text(), "otherwise"); i >= 0 {
					shown = source.Span{File: f.Span.File, Start: f.Span.Start + i, End: f.Span.Start + i + len("otherwise")}
				}
				count(at, shown)
			}
		}
	})
	return c
}

// run follows a trial for every member it leaves open.
func run(p *library.Procedure, res *paths.Result, t *library.Trial) (*Outcome, []*message.Message) {
	o := &Outcome{Trial: t, Held: true}
	var msgs []*message.Message
	told := map[string]bool{}
	for _, members := range membersOf(p, t) {
		r, ms := once(p, res, t, members)
		o.Runs = append(o.Runs, r)
		for _, m := range ms {
			if m.IsError() {
				o.Held = false
			}
			if key := string(m.Code) + m.Text + fmt.Sprint(m.Span.Start); !told[key] {
				told[key] = true
				msgs = append(msgs, m)
			}
		}
	}
	return o, msgs
}

// most bounds how many combinations of members one trial is run for.
const most = 4096

func membersOf(p *library.Procedure, t *library.Trial) [][]*library.Member {
	out := [][]*library.Member{nil}
	for _, a := range p.Applies {
		choices := a.Members
		for _, m := range t.Members {
			if m.Member.Variant == a.Variant {
				choices = []*library.Member{m.Member}
			}
		}
		var next [][]*library.Member
		for _, have := range out {
			for _, m := range choices {
				if len(next) < most {
					next = append(next, append(have[:len(have):len(have)], m))
				}
			}
		}
		out = next
	}
	return out
}

func once(p *library.Procedure, res *paths.Result, t *library.Trial, members []*library.Member) (Run, []*message.Message) {
	c := paths.Case{Members: members, Values: map[*library.Reading][]quantity.Number{}, Answers: map[*library.Question][]*library.Answer{}}
	for _, v := range t.Values {
		if v.Question != nil {
			c.Answers[v.Question] = v.Answers
			continue
		}
		for _, val := range v.Values {
			n, err := val.Quantity.In(v.Reading.Unit)
			if err == nil {
				c.Values[v.Reading] = append(c.Values[v.Reading], n)
			}
		}
	}
	_, trace := res.Follow(c)
	r := Run{Members: members, Trace: trace}
	return r, judge(p, t, &r)
}

// judge compares what happened with what was expected.
func judge(p *library.Procedure, t *library.Trial, r *Run) []*message.Message {
	tr := r.Trace
	if tr.Missing != nil {
		word := "measured"
		if tr.Missing.Sort() == "question" {
			word = "asked"
		}
		n := 0
		for _, x := range tr.Taken {
			if x.Of == tr.Missing {
				n++
			}
		}
		m := message.New("BP902", t.Span, "the trial has no value for %s", quoted(tr.Missing.Declared().Name))
		if n > 0 {
			m = message.New("BP902", t.Span, "the trial has %d values for %s; a further one is asked for", n, quoted(tr.Missing.Declared().Name))
		}
		return []*message.Message{who(m, t, r).Relate(tr.MissingAt, "%s here", word)}
	}
	if tr.Outside {
		return nil // the value is told of by itself
	}
	// One message for one trial: the finish before the rest, since the rest
	// follows from where the path went.
	var found []*message.Message
	expect := slices.Clone(t.Expect)
	slices.SortStableFunc(expect, func(a, b library.Expect) int { return rank(a) - rank(b) })
	for _, x := range expect {
		if m := expectation(p, t, r, x); m != nil {
			found = append(found, m)
			r.Failed = append(r.Failed, strings.Join(strings.Fields(x.Span.Text()), " "))
		}
	}
	for _, u := range tr.Unused {
		at := t.Span
		for _, v := range t.Values {
			if library.Symbol(v.Reading) == u && v.Reading != nil || library.Symbol(v.Question) == u && v.Question != nil {
				at = v.Span
			}
		}
		found = append(found, message.New("BP901", at, "the trial gives %s a value that is never taken on its path", quoted(u.Declared().Name)).
			Relate(end(p, tr), "the path ends here"))
		r.Failed = append(r.Failed, u.Declared().Name+" taken")
	}
	if len(found) == 0 {
		return nil
	}
	m := who(found[0], t, r)
	for _, other := range found[1:] {
		m.Note("also: %s", other.Text)
	}
	return []*message.Message{m}
}

// rank puts the finish first.
func rank(x library.Expect) int {
	if x.Kind == "finish" {
		return 0
	}
	return 1
}

// who notes for which members a message holds where the trial leaves them open.
func who(m *message.Message, t *library.Trial, r *Run) *message.Message {
	var open []string
	for _, mem := range r.Members {
		named := false
		for _, tm := range t.Members {
			named = named || tm.Member == mem
		}
		if !named {
			open = append(open, mem.Variant.Name+" "+mem.Name)
		}
	}
	if len(open) > 0 {
		m.Note("for %s", strings.Join(open, ", "))
	}
	return m
}

func end(p *library.Procedure, tr *paths.Trace) source.Span {
	if tr.Finish != nil {
		return head(tr.Finish.Span)
	}
	return p.Span
}

// head is the first line of a place.
func head(s source.Span) source.Span {
	if i := strings.IndexByte(s.Text(), '\n'); i >= 0 {
		s.End = s.Start + i
	}
	return s
}

func expectation(p *library.Procedure, t *library.Trial, r *Run, x library.Expect) *message.Message {
	tr := r.Trace
	switch x.Kind {
	case "fitted":
		have := tr.Fitted[x.Thing] > 0
		if have == !x.Not {
			return nil
		}
		return parts(p, tr, message.New("BP901", x.Span, "expected %s, but %s is %s on this path", said(x), quoted(x.Thing.Declared().Name), was(have, "fitted")), fits(x.Thing), have)
	case "used":
		have := tr.Used[x.Thing]
		if have == !x.Not {
			return nil
		}
		return parts(p, tr, message.New("BP901", x.Span, "expected %s, but %s is %s on this path", said(x), quoted(x.Thing.Declared().Name), was(have, "used")), uses(x.Thing), have)
	case "met":
		have := tr.Met[x.Hazard]
		if have == !x.Not {
			return nil
		}
		return message.New("BP901", x.Span, "expected %s, but %s is %s on this path", said(x), quoted(x.Hazard.Name), was(have, "met"))
	case "finish":
		outcome, to := "serviceable", (*library.Procedure)(nil)
		if tr.Finish != nil {
			outcome, to = tr.Finish.Outcome, tr.Finish.To
		}
		if outcome == x.Outcome && (x.To == nil || x.To == to) {
			return nil
		}
		found := outcome
		if to != nil {
			found += " to " + to.Name
		}
		m := message.New("BP901", x.Span, "expected %s, but the job finishes %s", said(x), found).Relate(end(p, tr), "it finishes here")
		return parts(p, tr, m, finishes(x), false)
	case "time":
		rng, ok := x.Time.For(nil, minute)
		if !ok || rng.Contains(tr.Minutes) {
			return nil
		}
		return message.New("BP901", x.Span, "expected %s, but the path takes %s", said(x), quantity.New(tr.Minutes, minute)).Relate(end(p, tr), "it finishes here")
	}
	return nil
}

var minute, _ = quantity.LookUp("min")

func said(x library.Expect) string { return quoted(strings.Join(strings.Fields(x.Span.Text()), " ")) }

func was(have bool, word string) string {
	if have {
		return word
	}
	return "not " + word
}

func fits(thing library.Thing) func(library.Flow) bool {
	return onStep(func(a library.Action) []library.Item {
		switch a := a.(type) {
		case *library.FitNew:
			return a.Items
		case *library.Refit:
			return a.Items
		}
		return nil
	}, thing)
}

func uses(thing library.Thing) func(library.Flow) bool { return onStep(paths.ToolsOf, thing) }

func onStep(items func(library.Action) []library.Item, thing library.Thing) func(library.Flow) bool {
	return func(f library.Flow) bool {
		st, ok := f.(*library.Step)
		if !ok {
			return false
		}
		for _, a := range st.Actions {
			for _, it := range items(a) {
				if it.Thing == thing {
					return true
				}
				if it.Column != nil {
					for _, x := range it.Column.Things {
						if x == thing {
							return true
						}
					}
				}
			}
		}
		return false
	}
}

func finishes(x library.Expect) func(library.Flow) bool {
	return func(f library.Flow) bool {
		fin, ok := f.(*library.Finish)
		return ok && fin.Outcome == x.Outcome && (x.To == nil || fin.To == x.To)
	}
}

// parts adds where the path taken parts from one that does what is looked for.
func parts(p *library.Procedure, tr *paths.Trace, m *message.Message, looked func(library.Flow) bool, have bool) *message.Message {
	taken := map[source.Span]bool{}
	for _, b := range tr.Branches {
		taken[b] = true
	}
	var trail []*library.Branch
	var decides []*library.Decide
	done := false
	var walk func(list []library.Flow)
	walk = func(list []library.Flow) {
		for _, f := range list {
			if done {
				return
			}
			if looked(f) {
				if have {
					m.Relate(head(f.At()), "done here")
					done = true
					return
				}
				for i, br := range trail {
					if !taken[br.Span] {
						m.Relate(br.Head, "it would be in this branch")
						for _, other := range decides[i].Branches {
							if taken[other.Span] {
								m.Relate(other.Head, "the path takes this one")
							}
						}
						done = true
						return
					}
				}
			}
			switch f := f.(type) {
			case *library.Stage:
				walk(f.Body)
			case *library.Perform:
				walk(f.Body)
			case *library.Repeat:
				walk(f.Body)
				walk(f.Otherwise)
			case *library.Decide:
				for _, br := range f.Branches {
					trail, decides = append(trail, br), append(decides, f)
					walk(br.Body)
					trail, decides = trail[:len(trail)-1], decides[:len(decides)-1]
				}
			}
		}
	}
	walk(p.Body)
	return m
}
