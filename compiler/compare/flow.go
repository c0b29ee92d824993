package compare

import (
	"strconv"
	"strings"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/dsl/source"
)

// A line is one statement of a flow, set out in order. Routines are not set
// out: what differs in them is told once, of the routine.
type line struct {
	sort   string
	kind   Kind
	parent int // index of the statement it stands in, or -1
	depth  int
	number int // of a step, as the documents count
	last   int // index behind its last inner line
	text   []token
	items  []item
	key    string
	around string   // the keys of what it stands in
	bag    []string // what it is made of, for telling how alike two are
	flow   library.Flow
	way    source.Span // of a branch, an until and an otherwise, as paths name them
}

// weight is how much it counts that two equal lines stay where they are: what
// holds others counts more, so that a step moves and not the decision around it.
var weight = map[string]int{"stage": 9, "step": 4, "decide": 7, "branch": 7, "repeat": 7, "until": 6, "otherwise": 6, "perform": 5, "finish": 5}

// A setter sets out one flow.
type setter struct {
	n      *names
	lines  []line
	number int
}

// set sets out the flow of a procedure or routine; steps are numbered from 1,
// those of routines counted.
func (n *names) set(body []library.Flow) []line {
	s := &setter{n: n}
	s.body(body, -1, 0)
	for i := range s.lines {
		l := &s.lines[i]
		var b strings.Builder
		b.WriteString(l.sort + "\x00" + keyOf(l.text))
		for _, it := range l.items {
			b.WriteString("\x00" + it.key())
		}
		l.key = b.String()
		if l.parent >= 0 {
			l.around = s.lines[l.parent].around + "\x02" + s.lines[l.parent].key
		}
	}
	for i := range s.lines {
		l := &s.lines[i]
		for _, t := range l.text {
			l.bag = append(l.bag, strings.ToLower(strings.Trim(t.key, ".,;:")))
		}
		for _, it := range l.items {
			l.bag = append(l.bag, it.head, it.key())
			for _, f := range it.facts {
				for _, t := range f.text {
					l.bag = append(l.bag, strings.ToLower(t.key))
				}
			}
		}
		for j := i + 1; j < l.last; j++ {
			l.bag = append(l.bag, s.lines[j].key)
		}
	}
	return s.lines
}

func (s *setter) add(l line, inner func(at int)) {
	at := len(s.lines)
	s.lines = append(s.lines, l)
	if inner != nil {
		inner(at)
	}
	s.lines[at].last = len(s.lines)
}

func (s *setter) body(list []library.Flow, parent, depth int) {
	for _, f := range list {
		s.statement(f, parent, depth)
	}
}

func head(sort string, f *facts) []item {
	return []item{{kind: KindAction, head: sort, facts: f.list}}
}

func (s *setter) statement(st library.Flow, parent, depth int) {
	l := line{parent: parent, depth: depth, flow: st}
	f := &facts{n: s.n}
	switch st := st.(type) {
	case *library.Stage:
		l.sort, l.kind, l.text = "stage", KindStage, s.n.tokens(st.Title)
		s.add(l, func(at int) { s.body(st.Body, at, depth+1) })
	case *library.Step:
		s.number++
		l.sort, l.kind, l.number = "step", KindStep, s.number
		l.text, l.items = s.n.tokens(st.Text), s.n.actions(st)
		s.add(l, nil)
	case *library.Decide:
		l.sort, l.kind = "decide", KindDecision
		l.text = []token{s.on(st)}
		s.add(l, func(at int) {
			for _, br := range st.Branches {
				s.branch(br, at, depth+1)
			}
		})
	case *library.Repeat:
		l.sort, l.kind = "repeat", KindRepeat
		f.add(KindRepeat, "turns", strconv.Itoa(st.Times), "at most "+strconv.Itoa(st.Times)+" times")
		l.items = head("repeat", f)
		s.add(l, func(at int) {
			s.body(st.Body, at, depth+1)
			if st.HasOtherwise {
				s.add(line{sort: "otherwise", kind: KindRepeat, parent: at, depth: depth, way: paths.OtherwiseOf(st)}, func(at int) { s.body(st.Otherwise, at, depth+1) })
			}
		})
	case *library.Until:
		l.sort, l.kind, l.way = "until", KindRepeat, st.Span
		l.text = []token{{key: s.n.key(st.On()), show: titleOf(st.On().Declared())}}
		if st.Reading != nil {
			key, show := s.n.limits(&st.Range)
			f.add(KindLimit, "limit", key, show)
		}
		for _, a := range st.Answers {
			member(f, KindRepeat, "answer that ends it", a, s.n.key(a), titleOf(&a.Decl))
		}
		l.items = head("until", f)
		s.add(l, nil)
	case *library.Perform:
		l.sort, l.kind = "perform", KindRoutine
		l.text = []token{{key: s.n.key(st.Routine), show: titleOf(&st.Routine.Decl)}}
		s.add(l, nil)
		s.number += steps(st.Body)
	case *library.Finish:
		l.sort, l.kind = "finish", KindFinish
		f.word(KindFinish, "outcome", st.Outcome)
		if st.To != nil {
			f.add(KindFinish, "refers to", s.n.key(st.To), symbol(st.To))
		}
		for _, c := range st.Leaves {
			f.of(KindCondition, "leaves", c.State.Condition, s.n.key(c.State), titleOf(&c.State.Decl))
		}
		l.text, l.items = s.n.tokens(st.Text), head("finish", f)
		s.add(l, nil)
	}
}

// on shows what a decision is about.
func (s *setter) on(d *library.Decide) token {
	switch {
	case d.Reading != nil:
		return token{key: s.n.key(d.Reading), show: titleOf(&d.Reading.Decl)}
	case d.Question != nil:
		return token{key: s.n.key(d.Question), show: titleOf(&d.Question.Decl)}
	}
	return token{key: s.n.key(d.Variant), show: titleOf(&d.Variant.Decl)}
}

func (s *setter) branch(br *library.Branch, parent, depth int) {
	f := &facts{n: s.n}
	if br.Range != nil {
		key, show := s.n.limits(br.Range)
		f.add(KindLimit, "limit", key, show)
	}
	for _, a := range br.Answers {
		member(f, KindBranch, "answer", a, s.n.key(a), titleOf(&a.Decl))
	}
	for _, m := range br.Members {
		member(f, KindMembers, "member", m, s.n.key(m), titleOf(&m.Decl))
	}
	if br.Accept {
		f.word(KindLimit, "accepted", "accepted")
	}
	l := line{sort: "branch", kind: KindBranch, parent: parent, depth: depth, text: s.n.tokens(br.Meaning), items: head("branch", f), way: br.Span}
	s.add(l, func(at int) { s.body(br.Body, at, depth+1) })
}

// steps counts the steps of a flow, routines set out.
func steps(body []library.Flow) int {
	n := 0
	for _, st := range body {
		switch st := st.(type) {
		case *library.Stage:
			n += steps(st.Body)
		case *library.Step:
			n++
		case *library.Decide:
			for _, br := range st.Branches {
				n += steps(br.Body)
			}
		case *library.Repeat:
			n += steps(st.Body) + steps(st.Otherwise)
		case *library.Perform:
			n += steps(st.Body)
		}
	}
	return n
}

// title shows a line's head in words.
func (l *line) title() string {
	var parts []string
	for _, it := range l.items {
		if l.sort == "step" {
			break
		}
		for _, f := range it.facts {
			switch {
			case f.label == "accepted":
			case f.kind == KindCondition:
				parts = append(parts, f.label+" "+f.show)
			default:
				parts = append(parts, f.show)
			}
		}
	}
	facts := strings.Join(parts, ", ")
	text := showOf(l.text)
	switch l.sort {
	case "stage", "step", "perform":
		return text
	case "decide":
		return "decide " + text
	case "branch":
		if text != "" {
			return facts + ": " + text
		}
		return facts
	case "repeat":
		return "repeat " + facts
	case "until":
		return "until " + text + " " + facts
	case "finish":
		if text != "" {
			return "finish " + facts + ": " + text
		}
		return "finish " + facts
	}
	return l.sort
}
