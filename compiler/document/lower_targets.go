package document

import "strconv"

// afterAll is where the work goes on behind the last statement: the finish
// that is understood.
func (l *lowerer) afterAll() Target {
	if n := len(l.doc.Finishes); n > 0 && l.doc.Finishes[n-1].Implied {
		return toFinish(l.doc.Finishes[n-1])
	}
	return Target{}
}

func (l *lowerer) toStep(s *Step) Target {
	return Target{Step: s.Number, Text: fill(l.ph.step, "n", strconv.Itoa(s.Number))}
}

func toFinish(f *Finish) Target { return Target{Finish: f.ID, Text: f.Title} }

// toUntil leads to the end of a turn, where no step stands before it.
func (l *lowerer) toUntil(u *Until) Target {
	if u.Kind == ByAnswer {
		return Target{Text: fill(l.ph.theQuestion, "question", fill(l.ph.question, "title", u.Title))}
	}
	return Target{Text: fill(l.ph.checkOf, "reading", l.readingTitle(u.Reading))}
}

// resolve fills in where the work goes on in a list of blocks of which the
// work goes on at after, and gives where it begins.
func (l *lowerer) resolve(list []Block, after Target) Target {
	next := after
	for i := len(list) - 1; i >= 0; i-- {
		switch b := list[i].(type) {
		case *Step:
			next = l.toStep(b)
		case *Finish:
			next = toFinish(b)
		case *Stage:
			next = l.resolve(b.Body, next)
		case *Routine:
			next = l.resolve(b.Body, next)
		case *Decision:
			b.After = next
			for _, br := range b.Branches {
				br.Goes = l.resolve(br.Body, next)
			}
			next = Target{Decision: b.ID, Text: fill(l.ph.question, "title", b.Title)}
		case *Until:
			b.Again = next
			next = l.toUntil(b)
		case *Repeat:
			b.OnSuccess = next
			b.OnFailure = l.resolve(b.Otherwise, next)
			next = l.resolveTurns(b)
		}
	}
	return next
}

// resolveTurns fills in the body of a repeat: its end leads to its beginning.
func (l *lowerer) resolveTurns(r *Repeat) Target {
	first := l.resolve(r.Body, l.begins(r.Body))
	if r.Times <= 1 && r.Until != nil {
		r.Until.Again = Target{}
	}
	return first
}

// begins gives where a list of blocks begins without filling anything in.
func (l *lowerer) begins(list []Block) Target {
	for _, b := range list {
		switch b := b.(type) {
		case *Step:
			return l.toStep(b)
		case *Finish:
			return toFinish(b)
		case *Stage:
			if t := l.begins(b.Body); t.Text != "" {
				return t
			}
		case *Routine:
			if t := l.begins(b.Body); t.Text != "" {
				return t
			}
		case *Decision:
			return Target{Decision: b.ID, Text: fill(l.ph.question, "title", b.Title)}
		case *Until:
			return l.toUntil(b)
		case *Repeat:
			if t := l.begins(b.Body); t.Text != "" {
				return t
			}
		}
	}
	return Target{}
}
