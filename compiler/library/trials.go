package library

import (
	"slices"

	"benchproof/compiler/quantity"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// trial binds a worked case to its procedure, into now.
func (b *binder) trial(t, now *Trial) {
	n := b.nodes[t]
	b.file = n.file
	d := n.decl.(*syntax.Trial)
	p, ok := findAs[*Procedure](b, d.Of.Text, b.at(d.Of), "a procedure", false)
	if !ok {
		now.Broken = true
		return
	}
	now.Of = p
	given := map[string]source.Span{}
	for _, e := range d.Entries {
		if at, twice := given[e.Name.Text]; twice {
			b.wrong("BP202", b.at(e), "%s is given twice", quoted(e.Name.Text)).Relate(at, "given here")
			now.Broken = true
			continue
		}
		given[e.Name.Text] = b.at(e)
		if !b.trialEntry(now, b.units[p].scope, e) {
			now.Broken = true
		}
	}
	for _, e := range d.Expect {
		if x, ok := b.expectation(now, e); ok {
			now.Expect = append(now.Expect, x)
		} else {
			now.Broken = true
		}
	}
}

// titles refuses two trials of one title and procedure.
func (b *binder) titles() {
	type title struct {
		of   *Procedure
		text string
	}
	first := map[title]source.Span{}
	for _, t := range b.lib.Trials {
		if t.Of == nil {
			continue
		}
		key := title{t.Of, t.Title}
		if at, twice := first[key]; twice {
			b.wrong("BP202", t.Span, "the trial %s is declared twice", quoted(t.Title)).Relate(at, "declared here")
		}
		first[key] = t.Span
	}
}

func (b *binder) trialEntry(t *Trial, s *scope, e *syntax.TrialEntry) bool {
	switch sym := s.taken(e.Name.Text).(type) {
	case *Reading:
		b.mention(sym, b.at(e.Name))
		return b.trialReading(t, sym, e)
	case *Question:
		b.mention(sym, b.at(e.Name))
		return b.trialAnswers(t, sym, e)
	}
	v, ok := b.symbol(e.Name.Text).(*Variant)
	if ok {
		b.mention(v, b.at(e.Name))
		return b.trialMember(t, v, e)
	}
	if b.isLost(e.Name.Text) || t.Of.Broken {
		return false
	}
	var names []string
	for name, sym := range s.known {
		switch sym.(type) {
		case *Reading, *Question:
			names = append(names, name)
		}
	}
	for _, a := range t.Of.Applies {
		names = append(names, a.Variant.Name)
	}
	slices.Sort(names)
	m := b.wrong("BP201", b.at(e.Name), "the procedure %s takes no reading, asks no question and has no variant called %s", quoted(t.Of.Name), quoted(e.Name.Text)).
		Relate(t.Of.Span, "declared here")
	offerNames(m, e.Name.Text, b.at(e.Name), names)
	return false
}

func (b *binder) trialReading(t *Trial, r *Reading, e *syntax.TrialEntry) bool {
	out := TrialValues{Reading: r, Span: b.at(e)}
	var unit *syntax.Name
	if last := e.Values[len(e.Values)-1]; last.Unit != nil {
		unit = last.Unit
	}
	for _, o := range e.Values {
		if r.Unit == nil {
			return false
		}
		q, ok := b.quantity(o, unit, r.Unit.Dimension)
		if !ok {
			return false
		}
		out.Values = append(out.Values, Value{Quantity: q, Span: b.at(o)})
		out.Spans = append(out.Spans, b.at(o))
	}
	t.Values = append(t.Values, out)
	return true
}

func (b *binder) trialAnswers(t *Trial, q *Question, e *syntax.TrialEntry) bool {
	out := TrialValues{Question: q, Span: b.at(e)}
	for _, o := range e.Values {
		if o.Name == nil {
			b.wrong("BP203", b.at(o), "%s is a question; expected one of its answers", quoted(q.Name)).Relate(q.Span, "asked here")
			return false
		}
		if t.Of.Broken && !slices.ContainsFunc(q.Answers, func(a *Answer) bool { return a.Name == o.Name.Text }) {
			return false
		}
		answer := b.answer(q, o.Name)
		if answer == nil {
			return false
		}
		out.Answers = append(out.Answers, answer)
		out.Spans = append(out.Spans, b.at(o))
	}
	t.Values = append(t.Values, out)
	return true
}

func (b *binder) trialMember(t *Trial, v *Variant, e *syntax.TrialEntry) bool {
	o := e.Values[0]
	if len(e.Values) > 1 || o.Name == nil {
		b.wrong("BP203", b.at(e), "a trial is of one member of %s", quoted(v.Name))
		return false
	}
	m := member(v, o.Name.Text)
	if m == nil {
		b.unknownMember(v, o.Name.Text, b.at(o))
		return false
	}
	b.mention(m, b.at(o.Name))
	for _, a := range t.Of.Applies {
		if a.Variant != v {
			continue
		}
		if !slices.Contains(a.Members, m) {
			b.wrong("BP203", b.at(o), "the procedure %s does not apply to %s", quoted(t.Of.Name), quoted(m.Name)).Relate(a.Span, "it applies to these")
			return false
		}
		t.Members = append(t.Members, TrialMember{m, b.at(e)})
		return true
	}
	b.wrong("BP203", b.at(e), "the procedure %s does not differ by %s", quoted(t.Of.Name), quoted(v.Name)).Relate(t.Of.Span, "declared here")
	return false
}

func (b *binder) expectation(t *Trial, e *syntax.Expectation) (Expect, bool) {
	x := Expect{Kind: e.Verb.Text, Not: e.Not, Span: b.at(e)}
	// What a trial names is not thereby used.
	switch x.Kind {
	case "fitted":
		p, ok := findAs[*Part](b, e.Name.Text, b.at(e.Name), "a part", false)
		x.Thing = p
		return x, ok
	case "used":
		th, ok := findAs[Thing](b, e.Name.Text, b.at(e.Name), "a tool or a consumable", false)
		x.Thing = th
		return x, ok
	case "met":
		h, ok := findAs[*Hazard](b, e.Name.Text, b.at(e.Name), "a hazard", false)
		x.Hazard = h
		return x, ok
	case "finish":
		x.Outcome = e.Outcome.Text
		switch x.Outcome {
		case "serviceable", "scrap", "refer":
		default:
			b.wrong("BP203", b.at(e.Outcome), "a job finishes serviceable, scrap or refer, not %s", quoted(x.Outcome))
			return x, false
		}
		if e.Refer != nil {
			p, ok := findAs[*Procedure](b, e.Refer.Text, b.at(e.Refer), "a procedure", false)
			x.To = p
			return x, ok
		}
		return x, true
	case "time":
		u, _ := quantity.LookUp("min")
		r, ok := b.rangeOf(nil, e.Time, u)
		x.Time = r
		return x, ok
	}
	b.wrong("BP203", b.at(e), "a trial expects fitted, used, met, finish or time, not %s", quoted(x.Kind))
	return x, false
}
