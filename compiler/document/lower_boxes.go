package document

import (
	"strconv"

	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
)

// boxes fills the hand's column of a step: a box for each reading, round,
// answer, hold point, record, wait and state, in the order of the actions, and
// a tick for what is fitted new. A step with nothing to tick gets "done".
func (l *lowerer) boxes(s *Step, f *library.Step) {
	b := boxer{l: l, step: s}
	for _, a := range f.Actions {
		b.action(a)
	}
	if b.ticks == 0 {
		b.tick(l.w.Done)
	}
}

type boxer struct {
	l                                   *lowerer
	step                                *Step
	ticks, states, rounds, waits, holds int
}

func (b *boxer) add(x Box) { b.step.Boxes = append(b.step.Boxes, x) }

// id names a box of the step.
func (b *boxer) id(kind string, n *int) string {
	*n++
	return b.step.ID + "-" + kind + "-" + strconv.Itoa(*n)
}

func (b *boxer) tick(label string) { b.add(&Tick{ID: b.id("tick", &b.ticks), Label: label}) }

func (b *boxer) action(a library.Action) {
	l := b.l
	switch a := a.(type) {
	case *library.FitNew:
		for _, it := range a.Items {
			b.tick(fill(l.ph.fitted, "things", l.shortThings(it)))
		}
	case *library.Measure:
		b.add(&ReadingBox{Reading: l.readingAt(a, b.step.Number)})
	case *library.Ask:
		box := &AnswerBox{Name: a.Question.Name, Question: l.text(a.Text).String()}
		if box.Question == "" {
			box.Question = a.Question.Title
		}
		for _, x := range a.Question.Answers {
			box.Answers = append(box.Answers, Member{x.Name, x.Title})
		}
		b.add(box)
	case *library.Tighten:
		b.tighten(a)
	case *library.Hold:
		b.add(&HoldBox{ID: b.id("hold", &b.holds), Who: l.text(a.Who).String(), What: l.text(a.What).String()})
	case *library.Record:
		b.add(&RecordBox{Name: a.Record.Name, Label: l.text(a.What).String()})
	case *library.Wait:
		b.wait(a)
	case *library.Make:
		st := stateOf(a.State)
		b.add(&StateBox{ID: b.id("state", &b.states), State: st, Label: l.stateWords(st)})
	case *library.Verify:
		st, t := stateOf(a.State), l.thing(a.With)
		tool := t.Number
		if tool == "" {
			tool = t.Title
		}
		b.add(&StateBox{ID: b.id("state", &b.states), State: st, Verified: true, With: t, Label: fill(l.ph.proved, "state", l.stateWords(st), "tool", tool)})
	}
}

// tighten adds a box for each round.
func (b *boxer) tighten(a *library.Tighten) {
	l := b.l
	for i := range a.To {
		label := fill(l.ph.round, "n", strconv.Itoa(i+1))
		if len(a.To) == 1 {
			label = l.ph.tightened
		}
		box := &RoundBox{ID: b.id("round", &b.rounds), Label: label, Final: i == len(a.To)-1}
		if list := l.settingCases(a, &a.To[i]); list != nil {
			for _, c := range list {
				box.Values = append(box.Values, MemberValue{chosenList(c.members), fill(l.ph.setTo, "torque", c.torque, "setting", c.setting)})
			}
		} else {
			for _, c := range l.valueCases(a.To[i]) {
				box.Values = append(box.Values, MemberValue{chosenList(c.members), c.text})
			}
		}
		b.add(box)
	}
}

func chosenList(list []*library.Member) []Chosen {
	var out []Chosen
	for _, m := range list {
		out = append(out, chosen(m))
	}
	return out
}

// wait adds a box that counts down; where the time differs by member, the
// longest is counted and all are printed.
func (b *boxer) wait(a *library.Wait) {
	n, ok := b.l.longest(a.Time)
	if !ok {
		return
	}
	if n.Places() < 0 {
		n = n.Ceil(quantity.NewInt(1))
	}
	text := b.l.valueText(a.Time).String()
	b.add(&WaitBox{ID: b.id("wait", &b.waits), Seconds: n.Exact(), Text: text, Label: fill(b.l.ph.waited, "time", text)})
}

// shortThings names things by number alone, as a box has little room:
// "P-2132 (size 32) or P-2140 (size 40)", "6 × P-1008".
func (l *lowerer) shortThings(it library.Item) string {
	cases := l.itemCases(it)
	parts := make([]string, len(cases))
	for i, c := range cases {
		t := l.thing(c.thing)
		parts[i] = t.Number
		switch {
		case t.Number == "":
			n := 0
			if it.Count > 1 {
				n = it.Count
			}
			parts[i] = l.countedTitle(t, n)
		case it.Count > 1:
			parts[i] = strconv.Itoa(it.Count) + " × " + t.Number
		}
		if len(c.members) > 0 {
			parts[i] += " (" + memberTitles(c.members) + ")"
		}
	}
	return listedWords(parts, l.ph.orList, l.ph.or)
}

// readingAt gives the reading of a taking and notes the step.
func (l *lowerer) readingAt(a *library.Measure, step int) *Reading {
	r := l.reading(a.Reading, a.Of, a.Count)
	r.Steps = appendStep(r.Steps, step)
	return r
}

func stateOf(s *library.State) State {
	return State{Condition: s.Condition.Name, State: s.Name, ConditionTitle: s.Condition.Title, StateTitle: s.Title}
}

// stateWords is a state within a line: "motor supply locked off".
func (l *lowerer) stateWords(s State) string {
	return l.inSentence(s.ConditionTitle) + " " + s.StateTitle
}
