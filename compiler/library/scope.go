package library

import (
	"slices"
	"strconv"
	"strings"

	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

const (
	maxCount      = 10_000 // of a thing, or takings of a reading
	maxTurns      = 1_000  // of a repeat
	maxStatements = 50_000 // of a procedure with its routines set out
	maxAnswers    = 1_000
	maxMembers    = 1_000 // of a variant
	maxMarks      = 200   // of a text: what may begin or end markup
)

// A scope is the names of one procedure: what it measures, asks, drills and
// records, wherever it does so.
type scope struct {
	proc       *Procedure
	known      map[string]Symbol
	statements int
	broken     bool
	inside     []*Routine // routines being set out
	performed  map[*Routine]bool
}

// taken gives the reading or question of a name, or nil.
func (s *scope) taken(name string) Symbol {
	if s == nil {
		return nil
	}
	switch k := s.known[name].(type) {
	case *Reading, *Question:
		return k
	}
	return nil
}

// needs notes that the procedure differs by a variant: where it does not say
// to which members it applies, it applies to all.
func (s *scope) needs(v *Variant) {
	if s.proc == nil {
		return
	}
	for _, a := range s.proc.Applies {
		if a.Variant == v {
			return
		}
	}
	s.proc.Applies = append(s.proc.Applies, Applies{Variant: v, Members: slices.Clone(v.Members), Span: s.proc.Span})
}

// routines finds those that perform themselves.
func (b *binder) routines() {
	const (
		open = 1
		done = 2
	)
	state := map[*Routine]int{}
	var visit func(r *Routine)
	visit = func(r *Routine) {
		state[r] = open
		n := b.nodes[r]
		body := n.decl.(*syntax.Routine).Body
		performs(body, func(p *syntax.Perform) {
			next, ok := b.globals[p.Routine.Text].(*Routine)
			if !ok {
				return
			}
			switch state[next] {
			case 0:
				visit(next)
			case open:
				b.wrong("BP508", p.Routine.In(n.file), "the routine %s performs itself", quoted(next.Name)).
					Relate(next.Span, "declared here")
				b.recursive[next] = true
			}
			if b.recursive[next] {
				b.recursive[r] = true
			}
		})
		state[r] = done
	}
	for _, r := range b.lib.Routines {
		if state[r] == 0 {
			visit(r)
		}
	}
}

// performs calls f for each perform in a body, at any depth.
func performs(body []syntax.Statement, f func(*syntax.Perform)) {
	statements(body, func(st syntax.Statement) {
		if p, ok := st.(*syntax.Perform); ok {
			f(p)
		}
	})
}

// statements calls f for each statement of a body, at any depth.
func statements(body []syntax.Statement, f func(syntax.Statement)) {
	for _, st := range body {
		f(st)
		switch st := st.(type) {
		case *syntax.Stage:
			statements(st.Body, f)
		case *syntax.Decide:
			for _, br := range st.Branches {
				statements(br.Body, f)
			}
		case *syntax.Repeat:
			statements(st.Body, f)
			if st.Otherwise != nil {
				statements(st.Otherwise.Body, f)
			}
		}
	}
}

// gather makes known what a body takes, before anything is bound, since a
// decision may be written above its measurement (a fault told by its path).
func (b *binder) gather(s *scope, body []syntax.Statement) {
	statements(body, func(st syntax.Statement) {
		switch st := st.(type) {
		case *syntax.Step:
			for _, a := range st.Actions {
				b.gatherAction(s, a)
			}
		case *syntax.Perform:
			r, ok := b.symbol(st.Routine.Text).(*Routine)
			if !ok || b.recursive[r] || s.performed[r] {
				return
			}
			s.performed[r] = true
			n := b.nodes[r]
			file := b.file
			b.file = n.file
			b.gather(s, n.decl.(*syntax.Routine).Body)
			b.file = file
		}
	})
}

func (b *binder) gatherAction(s *scope, a syntax.Action) {
	switch a := a.(type) {
	case *syntax.Measure:
		b.gatherReading(s, a)
	case *syntax.Ask:
		b.gatherQuestion(s, a)
	case *syntax.Drill:
		b.gatherName(s, a.Hole, &Hole{Decl: b.localDecl(a.Hole)})
	case *syntax.Tap:
		b.gatherName(s, a.Hole, &Hole{Decl: b.localDecl(a.Hole)})
	case *syntax.Record:
		b.gatherName(s, a.Name, &RecordDecl{Decl: b.localDecl(a.Name)})
	}
}

func (b *binder) localDecl(n *syntax.Name) Decl {
	return Decl{Name: n.Text, Title: words(n.Text), Span: b.at(n), Whole: b.at(n)}
}

// gatherName makes a local name known and tells whether it is free for this sort.
func (b *binder) gatherName(s *scope, n *syntax.Name, sym Symbol) Symbol {
	if first, ok := s.known[n.Text]; ok {
		if first.Sort() != sym.Sort() {
			b.wrong("BP202", b.at(n), "%s is %s here and %s elsewhere in the procedure", quoted(n.Text), article(sym.Sort()), article(first.Sort())).
				Relate(first.Declared().Span, "declared here")
			s.broken = true
			return nil
		}
		b.mention(first, b.at(n))
		return first
	}
	b.checkName(n.Text, b.at(n))
	if other, ok := b.symbol(n.Text).(*Variant); ok {
		b.wrong("BP202", b.at(n), "%s is a variant; %s needs a name of its own", quoted(n.Text), article(sym.Sort())).
			Relate(other.Span, "declared here")
		s.broken = true
		return nil
	}
	s.known[n.Text] = sym
	b.mention(sym, b.at(n))
	return sym
}

// mention lists a reference once.
func (b *binder) mention(s Symbol, span source.Span) {
	if !b.seen[span] {
		b.seen[span] = true
		b.refs = append(b.refs, Reference{span, s})
	}
}

func (b *binder) gatherReading(s *scope, a *syntax.Measure) {
	r := &Reading{Decl: b.localDecl(a.Name), N: 1}
	first, ok := s.known[a.Name.Text].(*Reading)
	sym := b.gatherName(s, a.Name, r)
	if sym == nil {
		return
	}
	u, unitOK := b.unit(a.Unit)
	tool, toolOK := find[*Tool](b, a.With, "a tool")
	if !unitOK || !toolOK {
		s.broken = true
		sym.Declared().Broken = true
		return
	}
	if ok {
		if first.Broken {
			return
		}
		if first.Unit != u {
			b.wrong("BP202", b.at(a.Unit), "%s is measured in %s here and in %s elsewhere", quoted(r.Name), u.Code, first.Unit.Code).
				Relate(first.Span, "measured here")
			s.broken = true
		}
		if first.With != tool {
			b.wrong("BP202", b.at(a.With), "%s is measured with %s here and with %s elsewhere", quoted(r.Name), quoted(tool.Name), quoted(first.With.Name)).
				Relate(first.Span, "measured here")
			s.broken = true
		}
		return
	}
	r.Unit, r.With = u, tool
	if a.Of != nil {
		r.Of = a.Of.Text
		if n, ok := wholeNumber(a.Count); ok {
			r.N = n
		}
	}
	if tool.Reads != nil && tool.Reads.From.Dimension() != u.Dimension {
		b.wrong("BP302", b.at(a.Unit), "%s reads %s; %s is %s", quoted(tool.Name), article(tool.Reads.From.Dimension().String()), u.Code, article(u.Dimension.String())).
			Relate(tool.Props["reads"], "declared here")
		s.broken = true
		r.Broken = true
	}
	if tool.Broken {
		s.broken = true
	}
	if s.proc != nil {
		s.proc.Readings = append(s.proc.Readings, r)
	}
}

func (b *binder) gatherQuestion(s *scope, a *syntax.Ask) {
	q := &Question{Decl: b.localDecl(a.Name), Short: words(a.Name.Text)}
	if a.Question != nil {
		q.Title = a.Question.Value()
	}
	first, again := s.known[a.Name.Text].(*Question)
	if sym := b.gatherName(s, a.Name, q); sym == nil {
		return
	}
	known := map[string]Symbol{}
	for i, m := range a.Answers {
		an := &Answer{Decl: b.decl(m.Word, m.Title, m), Question: q, Index: i}
		if b.local(known, an) {
			an.Index = len(q.Answers)
			q.Answers = append(q.Answers, an)
		}
	}
	if len(q.Answers) < 2 || len(q.Answers) > maxAnswers {
		if f := b.trees[b.file]; f == nil || !faulty(f, b.at(a)) { // what did not parse may be answers
			b.wrong("BP405", b.at(a.Name), "the question %s offers %s; it offers 2 to %d", quoted(q.Name), plural(len(q.Answers), "answer"), maxAnswers)
		}
		s.broken = true
	}
	if again {
		same := slices.EqualFunc(first.Answers, q.Answers, func(x, y *Answer) bool { return x.Name == y.Name })
		if !same {
			b.wrong("BP202", b.at(a.Name), "the question %s offers other answers here than elsewhere", quoted(q.Name)).Relate(first.Span, "asked here")
			s.broken = true
		}
		return
	}
	if s.proc != nil {
		s.proc.Questions = append(s.proc.Questions, q)
	}
}

// wholeNumber reads a count.
func wholeNumber(n *syntax.Number) (int, bool) {
	if n == nil {
		return 0, false
	}
	return wholeText(n.Text)
}

func wholeText(s string) (int, bool) {
	v, err := strconv.Atoi(strings.TrimPrefix(s, "+"))
	return v, err == nil
}
