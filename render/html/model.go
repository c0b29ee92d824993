package html

import (
	"strconv"

	"benchproof/compiler/document"
)

// model writes what the script needs to know and the page does not show in a
// form that can be reckoned with: exact limits, scales, members, words.
func (p *page) model() {
	d := p.doc
	j := &jsonWriter{b: p.b}
	j.open('{')
	j.key("document")
	j.open('{')
	j.pair("name", d.Name)
	j.pair("number", d.Number)
	j.pair("title", d.Title)
	j.pair("revision", d.Revision)
	j.pair("date", d.Date)
	j.pair("fingerprint", d.Fingerprint)
	j.pair("language", d.Language)
	j.key("for")
	j.chosen(d.For)
	j.close('}')
	j.key("steps")
	j.int(len(d.Steps))
	j.key("families")
	j.open('[')
	for _, f := range d.AppliesTo {
		j.open('{')
		j.pair("variant", f.Variant)
		j.pair("title", f.Title)
		j.key("members")
		j.open('[')
		for _, m := range f.Members {
			j.open('{')
			j.pair("name", m.Name)
			j.pair("title", m.Title)
			j.close('}')
		}
		j.close(']')
		j.close('}')
	}
	j.close(']')
	j.key("begins")
	j.open('[')
	for _, s := range d.Begins {
		j.open('{')
		j.pair("condition", s.Condition)
		j.pair("state", s.ConditionTitle+" "+s.StateTitle)
		j.close('}')
	}
	j.close(']')
	j.key("proved")
	j.open('{')
	for _, i := range d.Isolation {
		if i.ProvedWith != nil {
			j.pair(i.State.Condition, i.ProvedWith.Title+" "+i.ProvedWith.Number)
		}
	}
	j.close('}')
	j.key("counts")
	j.open('[')
	for _, c := range d.CloseUp {
		j.int(c.Count)
	}
	j.close(']')
	p.flowModel(j)
	j.key("words")
	p.words(j)
	j.close('}')
	p.b = j.b
}

// flowModel writes readings, decisions and repeats.
func (p *page) flowModel(j *jsonWriter) {
	readings := map[string]bool{}
	j.key("readings")
	j.open('{')
	for _, s := range p.doc.Steps {
		for _, b := range s.Boxes {
			r, ok := b.(*document.ReadingBox)
			if !ok || readings[r.Reading.Name] {
				continue
			}
			readings[r.Reading.Name] = true
			j.reading(r.Reading)
		}
	}
	j.close('}')
	taken := takingsOf(p.doc.Body)
	j.key("decisions")
	j.open('{')
	for _, d := range p.doc.Decisions {
		j.key(d.ID)
		j.open('{')
		j.pair("kind", string(d.Kind))
		j.pair("on", d.On)
		j.pair("title", d.Title)
		j.key("takings")
		j.ints(taken[d.ID])
		j.key("branches")
		j.open('[')
		for _, b := range d.Branches {
			j.open('{')
			j.key("number")
			j.int(b.Number)
			j.pair("meaning", b.Meaning)
			j.pair("goes", b.Goes.Text)
			if d.Kind == document.ByReading {
				j.key("limits")
				j.limits(b.Limits)
			} else {
				j.cases(b.Cases)
			}
			j.close('}')
		}
		j.close(']')
		j.close('}')
	}
	j.close('}')
	j.key("repeats")
	j.open('{')
	p.repeatModel(j, p.doc.Body, taken)
	j.close('}')
}

func (p *page) repeatModel(j *jsonWriter, body []document.Block, taken takings) {
	for _, b := range body {
		switch b := b.(type) {
		case *document.Stage:
			p.repeatModel(j, b.Body, taken)
		case *document.Routine:
			p.repeatModel(j, b.Body, taken)
		case *document.Decision:
			for _, x := range b.Branches {
				p.repeatModel(j, x.Body, taken)
			}
		case *document.Repeat:
			j.key(b.ID)
			j.open('{')
			j.key("times")
			j.int(b.Times)
			j.pair("goes", b.OnSuccess.Text)
			if u := untilOf(b); u != nil {
				j.pair("on", u.On)
				j.key("takings")
				j.ints(taken[b.ID])
				if u.Kind == document.ByAnswer {
					j.cases(u.Cases)
					j.pair("again", u.Again.Text)
					j.pair("fails", b.OnFailure.Text)
				} else {
					j.key("limits")
					j.limits(u.Limits)
				}
			}
			j.close('}')
			p.repeatModel(j, b.Body, taken)
			p.repeatModel(j, b.Otherwise, taken)
		}
	}
}

func untilOf(r *document.Repeat) *document.Until {
	if r.Until != nil {
		return r.Until
	}
	for _, b := range r.Body {
		if u, ok := b.(*document.Until); ok {
			return u
		}
	}
	return nil
}

// words writes the words of the page.
func (p *page) words(j *jsonWriter) {
	s, w := p.w.Screen, p.w
	j.open('{')
	for _, x := range [...]struct{ name, value string }{
		{"nowAtStep", s.NowAtStep}, {"goThere", s.GoThere}, {"choose", s.Choose}, {"finished", s.Finished},
		{"turn", s.Turn}, {"turnOf", s.TurnOf}, {"chosen", s.Chosen}, {"setAside", s.SetAside},
		{"notANumber", s.NotANumber}, {"tooLong", s.TooLong}, {"outOfRange", s.OutOfRange}, {"offScale", s.OffScale}, {"noRange", s.NoRange},
		{"chooseFirst", s.ChooseFirst}, {"notAll", s.NotAll}, {"judged", s.Judged}, {"met", s.Met}, {"notMet", s.NotMet},
		{"stopWorkDone", s.StopWorkDone}, {"keptBoth", s.KeptBoth}, {"putFirstBack", s.PutFirstBack}, {"goOnWithSecond", s.GoOnWithSecond}, {"heldUp", s.HeldUp}, {"emptied", s.Emptied},
		{"startWait", s.StartWait}, {"timeLeft", s.TimeLeft}, {"waitOver", s.WaitOver},
		{"unnamedJob", s.UnnamedJob}, {"unnamedLeft", s.UnnamedLeft}, {"clearIt", s.ClearIt}, {"keepIt", s.KeepIt}, {"openJobs", s.OpenJobs}, {"goOnWithJob", s.GoOnWithJob},
		{"newJobOpen", s.NewJobOpen}, {"sameJob", s.SameJob}, {"nothingKept", s.NothingKept}, {"otherEdition", s.OtherEdition}, {"nameTheJob", s.NameTheJob},
		{"stoodStill", s.StoodStill}, {"verifyAgain", s.VerifyAgain}, {"verifiedWith", s.VerifiedWith},
		{"entries", s.Entries}, {"when", s.When}, {"what", s.What}, {"entry", s.Entry}, {"takenBack", s.TakenBack}, {"changed", s.Changed}, {"yes", s.Yes}, {"no", s.No},
		{"decimal", w.Decimal}, {"workOrder", w.WorkOrder}, {"machine", w.Machine}, {"serialNumber", w.SerialNumber}, {"who", w.Who}, {"date", w.JobDate}, {"step", w.Step},
	} {
		j.pair(x.name, x.value)
	}
	j.close('}')
}

// jsonWriter writes JSON that can stand in a script element.
type jsonWriter struct {
	b     []byte
	comma bool
}

func (j *jsonWriter) next() {
	if j.comma {
		j.b = append(j.b, ',')
	}
	j.comma = true
}

func (j *jsonWriter) open(c byte) {
	j.next()
	j.b = append(j.b, c)
	j.comma = false
}

func (j *jsonWriter) close(c byte) {
	j.b = append(j.b, c)
	j.comma = true
}

func (j *jsonWriter) key(name string) {
	j.next()
	j.b = append(appendJSON(j.b, name), ':')
	j.comma = false
}

func (j *jsonWriter) string(s string) {
	j.next()
	j.b = appendJSON(j.b, s)
}

func (j *jsonWriter) int(n int) {
	j.next()
	j.b = strconv.AppendInt(j.b, int64(n), 10)
}

func (j *jsonWriter) ints(list []int) {
	j.open('[')
	for _, n := range list {
		j.int(n)
	}
	j.close(']')
}

func (j *jsonWriter) pair(name, value string) {
	j.key(name)
	j.string(value)
}

func (j *jsonWriter) chosen(list []document.Chosen) {
	j.open('[')
	for _, c := range list {
		j.open('[')
		j.string(c.Variant)
		j.string(c.Member)
		j.close(']')
	}
	j.close(']')
}

func (j *jsonWriter) cases(list []document.Member) {
	j.key("cases")
	j.open('[')
	for _, c := range list {
		j.string(c.Name)
	}
	j.close(']')
}

func (j *jsonWriter) reading(r *document.Reading) {
	j.key(r.Name)
	j.open('{')
	j.pair("title", r.Title)
	j.pair("unit", r.Unit)
	j.pair("of", r.Of)
	j.pair("from", r.From)
	j.pair("to", r.To)
	j.pair("step", r.Step)
	j.pair("origin", r.Origin)
	j.pair("range", r.RangeText)
	if len(r.Limits) > 0 {
		j.key("limits")
		j.limits(r.Limits)
	}
	j.close('}')
}

func (j *jsonWriter) limits(list []document.MemberLimits) {
	j.open('[')
	for _, l := range list {
		j.open('{')
		j.key("for")
		j.chosen(l.Members)
		j.pair("low", l.Limits.Low)
		j.pair("high", l.Limits.High)
		j.flag("lowOpen", l.Limits.LowOpen)
		j.flag("highOpen", l.Limits.HighOpen)
		j.flag("impossible", l.Limits.Impossible)
		j.close('}')
	}
	j.close(']')
}

// flag writes what is true; what is not there is false.
func (j *jsonWriter) flag(name string, value bool) {
	if value {
		j.key(name)
		j.b = append(j.b, "true"...)
		j.comma = true
	}
}
