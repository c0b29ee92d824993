package library

import (
	"maps"
	"slices"
	"strings"
	"time"

	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// procedure binds a procedure, its routines set out in it, into now.
func (b *binder) procedure(p, now *Procedure) *scope {
	n := b.nodes[p]
	b.file = n.file
	d := n.decl.(*syntax.Procedure)
	s := &scope{proc: now, known: map[string]Symbol{}, performed: map[*Routine]bool{}}
	b.scope = s
	b.head(s, d)
	b.headNames = maps.Clone(b.names)
	b.gather(s, d.Body)
	now.Body = b.body(s, d.Body, false)
	b.overReached(s, now)
	now.Broken = s.broken || b.syntaxBroken(s, now)
	slices.SortStableFunc(now.Applies, func(x, y Applies) int {
		return slices.Index(b.lib.Variants, x.Variant) - slices.Index(b.lib.Variants, y.Variant)
	})
	return s
}

// routine binds a routine that nobody performs by itself, for its own faults.
func (b *binder) routine(r *Routine) {
	n := b.nodes[r]
	b.file = n.file
	s := &scope{known: map[string]Symbol{}, performed: map[*Routine]bool{r: true}}
	body := n.decl.(*syntax.Routine).Body
	b.gather(s, body)
	b.body(s, body, false)
}

// syntaxBroken tells that something of the procedure or of a routine it
// performs did not parse: its paths would show what follows from that.
func (b *binder) syntaxBroken(s *scope, p *Procedure) bool {
	wholes := []Decl{p.Decl}
	for r := range s.performed {
		wholes = append(wholes, r.Decl)
	}
	for _, w := range wholes {
		if f := b.trees[w.Whole.File]; f != nil && faulty(f, w.Whole) {
			return true
		}
	}
	return false
}

func (b *binder) overReached(s *scope, p *Procedure) {
	if s.statements > maxStatements {
		b.wrong("BP508", p.Span, "with its routines set out the procedure has more than %d statements", maxStatements).
			Helped("perform fewer routines, or split the procedure")
		s.broken = true
	}
}

func (b *binder) head(s *scope, d *syntax.Procedure) {
	p := s.proc
	b.once(d.Properties)
	for _, pr := range d.Properties {
		switch pr := pr.(type) {
		case *syntax.TextProperty:
			switch pr.Key() {
			case "document":
				p.Document = textValue(pr.Text)
			case "skill":
				p.Skill = textValue(pr.Text)
			case "purpose":
				p.Purpose = textValue(pr.Text)
			}
		case *syntax.RevisionProperty:
			b.revision(p, pr)
		case *syntax.AppliesProperty:
			b.applies(s, pr)
		case *syntax.StatesProperty:
			for _, st := range pr.States {
				cs, ok := b.pair(st)
				if !ok {
					s.broken = true
					continue
				}
				list := &p.Begins
				if pr.Key() == "ends" {
					list = &p.Ends
				}
				for _, other := range *list {
					if other.State.Condition == cs.State.Condition {
						b.wrong("BP202", cs.Span, "%s is given twice", quoted(cs.State.Condition.Name)).Relate(other.Span, "given here")
					}
				}
				*list = append(*list, cs)
			}
		case *syntax.WithoutProperty:
			p.BeginsWithout = append(p.BeginsWithout, b.items(s, pr.Items, "a part", isPart)...)
		case *syntax.AllowProperty:
			p.Allows = b.allow(p.Allows, pr.Code, pr.Reason, pr)
		}
	}
	byDateNewest(p.Revisions)
}

func (b *binder) revision(p *Procedure, pr *syntax.RevisionProperty) {
	r := Revision{Name: pr.Revision.Text, Date: pr.Date.Text, Note: textValue(pr.Note), Span: b.at(pr)}
	if _, err := time.Parse(time.DateOnly, r.Date); err != nil {
		b.wrong("BP101", b.at(pr.Date), "%s is not a day of the calendar", r.Date).Helped("a date is written year-month-day: 2026-10-02")
	}
	for _, other := range p.Revisions {
		if other.Name == r.Name {
			b.wrong("BP202", b.at(pr.Revision), "revision %s is given twice", quoted(r.Name)).Relate(other.Span, "given here")
			return
		}
	}
	p.Revisions = append(p.Revisions, r)
}

func (b *binder) applies(s *scope, pr *syntax.AppliesProperty) {
	v, ok := find[*Variant](b, pr.Variant, "a variant")
	if !ok {
		s.broken = true
		return
	}
	for _, a := range s.proc.Applies {
		if a.Variant == v {
			b.wrong("BP202", b.at(pr), "%s is given twice", quoted(v.Name)).Relate(a.Span, "given here")
			return
		}
	}
	a := Applies{Variant: v, Span: b.at(pr)}
	for _, n := range pr.Members {
		m := member(v, n.Text)
		switch {
		case m == nil:
			b.unknownMember(v, n.Text, b.at(n))
			s.broken = true
		case slices.Contains(a.Members, m):
			b.wrong("BP202", b.at(n), "%s is given twice", quoted(n.Text))
		default:
			b.use(m, b.at(n), true)
			a.Members = append(a.Members, m)
		}
	}
	if len(pr.Members) == 0 {
		a.Members = slices.Clone(v.Members)
	}
	slices.SortFunc(a.Members, func(x, y *Member) int { return x.Index - y.Index })
	s.proc.Applies = append(s.proc.Applies, a)
}

// --- flow ---------------------------------------------------------------------

// body binds statements. inRepeat allows an until among them.
func (b *binder) body(s *scope, list []syntax.Statement, inRepeat bool) []Flow {
	out := make([]Flow, 0, len(list))
	for _, st := range list {
		if s.statements++; s.statements > maxStatements {
			return out
		}
		if f := b.statement(s, st, inRepeat); f != nil {
			out = append(out, f)
		} else {
			s.broken = true
		}
	}
	return out
}

func (b *binder) statement(s *scope, st syntax.Statement, inRepeat bool) Flow {
	base := Base{b.at(st)}
	switch st := st.(type) {
	case *syntax.Stage:
		return &Stage{Base: base, Title: b.text(s, st.Title), Body: b.body(s, st.Body, false)}
	case *syntax.Step:
		return b.step(s, base, st)
	case *syntax.Decide:
		return b.decide(s, base, st)
	case *syntax.Repeat:
		return b.repeat(s, base, st)
	case *syntax.Until:
		if !inRepeat {
			return nil // the parser has told of it
		}
		return b.until(s, base, st)
	case *syntax.Perform:
		return b.perform(s, base, st)
	case *syntax.Finish:
		return b.finish(s, base, st)
	}
	return nil
}

func (b *binder) step(s *scope, base Base, st *syntax.Step) Flow {
	out := &Step{Base: base, Text: b.text(s, st.Text), TextSpan: b.at(st.Text)}
	if strings.TrimSpace(textValue(st.Text)) == "" {
		b.wrong("BP101", b.at(st.Text), "the step does not say what to do")
	}
	for _, a := range st.Actions {
		if al, ok := a.(*syntax.Allow); ok {
			out.Allows = b.allow(out.Allows, al.Code, al.Reason, al)
			continue
		}
		if bound := b.action(s, a); bound != nil {
			out.Actions = append(out.Actions, bound)
		} else {
			s.broken = true
		}
	}
	return out
}

func (b *binder) decide(s *scope, base Base, st *syntax.Decide) Flow {
	out := &Decide{Base: base, OnSpan: b.at(st.On)}
	switch on := b.decidedOn(s, st.On).(type) {
	case *Reading:
		out.Reading = on
	case *Question:
		out.Question = on
	case *Variant:
		out.Variant = on
		s.needs(on)
	default:
		// The branches are bound all the same: their faults are their own.
		for _, br := range st.Branches {
			b.body(s, br.Body, false)
		}
		return nil
	}
	if len(st.Branches) == 0 {
		b.wrong("BP401", b.at(st.On), "the decision on %s has no branches", quoted(st.On.Text))
		return nil
	}
	good := true
	for _, br := range st.Branches {
		bound, ok := b.branch(s, out, br)
		if !ok {
			good = false
			continue
		}
		out.Branches = append(out.Branches, bound)
	}
	if !good {
		return nil
	}
	return out
}

// decidedOn finds what a decision or an until is taken on.
func (b *binder) decidedOn(s *scope, n *syntax.Name) Symbol {
	if sym := s.taken(n.Text); sym != nil {
		b.mention(sym, b.at(n))
		if sym.Declared().Broken {
			return nil
		}
		return sym
	}
	if sym, ok := b.known(n.Text); ok {
		if v, ok := sym.(*Variant); ok {
			b.use(v, b.at(n), true)
			return v
		}
		b.wrong("BP203", b.at(n), "%s is %s; a decision is taken on a reading, an answer or a variant", quoted(n.Text), article(sym.Sort())).
			Relate(sym.Declared().Span, "declared here")
		return nil
	}
	if b.isLost(n.Text) {
		return nil
	}
	var names []string
	for name, sym := range s.known {
		switch sym.(type) {
		case *Reading, *Question:
			names = append(names, name)
		}
	}
	for _, v := range b.lib.Variants {
		names = append(names, v.Name)
	}
	slices.Sort(names)
	m := b.wrong("BP404", b.at(n), "%s is decided, but the procedure never measures or asks it", quoted(n.Text))
	offerNames(m, n.Text, b.at(n), names)
	return nil
}

func (b *binder) branch(s *scope, d *Decide, br *syntax.Branch) (*Branch, bool) {
	out := &Branch{Span: b.at(br), Head: b.headOf(br.Range, br.Cases), Accept: br.Accept, Meaning: b.text(s, br.Meaning)}
	good := true
	switch {
	case d.Reading != nil && br.Range == nil:
		b.wrong("BP203", b.at(br), "%s is a reading: a branch gives a range of it", quoted(d.Reading.Name)).
			Helped("write a range: at least …, from … to below …")
		good = false
	case d.Reading == nil && br.Range != nil:
		b.wrong("BP203", b.at(br.Range), "only a reading has ranges; a branch names %s", offered(d))
		good = false
	case d.Reading != nil:
		out.Range, good = b.rangeOf(s, br.Range, d.Reading.Unit)
	default:
		if br.Accept {
			b.wrong("BP203", b.at(br), "accept stands before a range of a reading")
			good = false
		}
		for _, n := range br.Cases {
			good = b.branchCase(d, out, n) && good
		}
	}
	out.Body = b.body(s, br.Body, false)
	return out, good
}

func offered(d *Decide) string {
	if d.Variant != nil {
		return "members of " + quoted(d.Variant.Name)
	}
	return "answers of " + quoted(d.Question.Name)
}

func (b *binder) branchCase(d *Decide, out *Branch, n *syntax.Name) bool {
	if d.Variant != nil {
		m := member(d.Variant, n.Text)
		if m == nil {
			b.unknownMember(d.Variant, n.Text, b.at(n))
			return false
		}
		b.use(m, b.at(n), true)
		out.Members = append(out.Members, m)
		return true
	}
	a := b.answer(d.Question, n)
	if a == nil {
		return false
	}
	out.Answers = append(out.Answers, a)
	return true
}

func (b *binder) repeat(s *scope, base Base, st *syntax.Repeat) Flow {
	out := &Repeat{Base: base}
	n, ok := wholeNumber(st.Times)
	if !ok || n < 1 || n > maxTurns {
		b.wrong("BP101", b.at(st.Times), "a repeat is done at most 1 to %d times", maxTurns)
		n, ok = 1, false
	}
	out.Times = n
	// The parser has told of a repeat without its one until.
	untils := 0
	for _, inner := range st.Body {
		if _, is := inner.(*syntax.Until); is {
			untils++
		}
	}
	ok = ok && untils == 1
	out.Body = b.body(s, st.Body, true)
	if st.Otherwise != nil {
		out.HasOtherwise = true
		out.Otherwise = b.body(s, st.Otherwise.Body, false)
	}
	if !ok {
		return nil
	}
	return out
}

func (b *binder) until(s *scope, base Base, st *syntax.Until) Flow {
	out := &Until{Base: base, OnSpan: b.at(st.On), Head: b.headOf(st.Range, st.Cases)}
	switch on := b.decidedOn(s, st.On).(type) {
	case nil:
		return nil
	case *Reading:
		if st.Range == nil {
			b.wrong("BP203", out.Head, "%s is a reading: a repeat goes on until it is in a range", quoted(on.Name)).
				Helped("write a range: at most …, from … to …")
			return nil
		}
		rng, ok := b.rangeOf(s, st.Range, on.Unit)
		if !ok {
			return nil
		}
		out.Reading, out.Range = on, *rng
	case *Question:
		if st.Range != nil {
			b.wrong("BP203", out.Head, "only a reading has ranges; a repeat goes on until %s has one of its answers", quoted(on.Name)).
				Relate(on.Span, "asked here").Helped("its answers are %s", answersOf(on))
			return nil
		}
		out.Question = on
		good := true
		for _, n := range st.Cases {
			a := b.answer(on, n)
			switch {
			case a == nil:
				good = false
			case slices.Contains(out.Answers, a):
				b.wrong("BP202", b.at(n), "%s is given twice", quoted(n.Text)).Relate(out.Head, "given here")
				good = false
			default:
				out.Answers = append(out.Answers, a)
			}
		}
		if !good {
			return nil
		}
	default:
		b.wrong("BP203", b.at(st.On), "%s is %s; a repeat goes on until a reading is in its range or a question has its answer", quoted(st.On.Text), article(on.Sort())).
			Relate(on.Declared().Span, "declared here")
		return nil
	}
	return out
}

// headOf is the place of a range, or of answers or members.
func (b *binder) headOf(r *syntax.Range, cases []*syntax.Name) source.Span {
	if r != nil {
		return b.at(r)
	}
	if len(cases) == 0 {
		return source.Span{}
	}
	return b.at(cases[0]).To(b.at(cases[len(cases)-1]))
}

// answer finds an answer of a question, and tells where there is none of the
// name. A question that lacks answers has been told of.
func (b *binder) answer(q *Question, n *syntax.Name) *Answer {
	if len(q.Answers) < 2 {
		return nil
	}
	var names []string
	for _, a := range q.Answers {
		if a.Name == n.Text {
			b.mention(a, b.at(n))
			return a
		}
		names = append(names, a.Name)
	}
	m := b.wrong("BP405", b.at(n), "the question %s offers no answer %s", quoted(q.Name), quoted(n.Text)).Relate(q.Span, "asked here")
	if offerNames(m, n.Text, b.at(n), names); m.Help == "" {
		m.Helped("its answers are %s", answersOf(q))
	}
	return nil
}

func answersOf(q *Question) string {
	names := make([]string, len(q.Answers))
	for i, a := range q.Answers {
		names[i] = a.Name
	}
	return strings.Join(names, ", ")
}

func (b *binder) perform(s *scope, base Base, st *syntax.Perform) Flow {
	r, ok := find[*Routine](b, st.Routine, "a routine")
	if !ok || b.recursive[r] || slices.Contains(s.inside, r) {
		return nil
	}
	out := &Perform{Base: base, Routine: r}
	n := b.nodes[r]
	file := b.file
	b.file = n.file
	s.inside = append(s.inside, r)
	out.Body = b.body(s, n.decl.(*syntax.Routine).Body, false)
	s.inside = s.inside[:len(s.inside)-1]
	b.file = file
	return out
}

func (b *binder) finish(s *scope, base Base, st *syntax.Finish) Flow {
	out := &Finish{Base: base, Outcome: st.Outcome.Text}
	good := true
	switch out.Outcome {
	case "serviceable", "scrap", "refer":
	default:
		b.wrong("BP203", b.at(st.Outcome), "a job finishes serviceable, scrap or refer, not %s", quoted(out.Outcome))
		good = false
	}
	if st.To != nil {
		if out.Outcome != "refer" && good {
			b.wrong("BP203", b.at(st.To), "only a job that is referred goes on to another procedure").Helped("write: finish refer to %s", st.To.Text)
			good = false
		}
		p, ok := find[*Procedure](b, st.To, "a procedure")
		if !ok {
			good = false
		}
		out.To = p
	}
	if st.Text != nil {
		out.HasText, out.Text = true, b.text(s, st.Text)
	}
	for _, pr := range st.Properties {
		leaves, ok := pr.(*syntax.StatesProperty)
		if !ok {
			continue
		}
		for _, pair := range leaves.States {
			cs, ok := b.pair(pair)
			if !ok {
				good = false
				continue
			}
			out.Leaves = append(out.Leaves, cs)
		}
	}
	if !good {
		return nil
	}
	return out
}
