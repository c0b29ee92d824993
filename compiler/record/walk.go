package record

import (
	"slices"
	"strconv"
	"strings"

	"benchproof/compiler/document"
	"benchproof/compiler/quantity"
)

// A taken value decides what comes after it, until it is taken again.
type taken struct {
	known   bool
	value   quantity.Number
	reading *document.Reading
	answer  string
	step    int
	turn    string
	says    string // as printed
	// at is its place among the takings, plus one; 0: nothing was typed.
	at int
	// rulings are what decisions and untils on the way said of it.
	rulings []ruling
}

// A visit is a step on the way with its boxes.
type visit struct {
	step  *document.Step
	turn  string
	boxes []box
}

// A choice is where the way parted, and which ways it did not take.
type choice struct {
	after  int // visits before it
	text   string
	aside  []document.Block
	repeat *document.Repeat // where turns came to their end
	outer  []int            // the turns around it
}

// walk goes through blocks in the order of the work; false: the way ends here,
// or it cannot be told how it goes on.
func (j *judge) walk(body []document.Block) bool {
	for _, b := range body {
		ok := true
		switch b := b.(type) {
		case *document.Stage:
			ok = j.walk(b.Body)
		case *document.Routine:
			ok = j.walk(b.Body)
		case *document.Step:
			j.visit(b)
		case *document.Decision:
			ok = j.decide(b)
		case *document.Repeat:
			ok = j.repeat(b)
		case *document.Finish:
			j.end = b
			ok = false
		}
		if !ok {
			return false
		}
	}
	return true
}

func (j *judge) visit(s *document.Step) {
	v := visit{step: s, turn: turnKey(j.turns)}
	v.boxes = j.boxesOf(s, v.turn)
	j.visits = append(j.visits, v)
	j.visited[s.Number] = true
	for _, b := range s.Boxes {
		switch b := b.(type) {
		case *document.ReadingBox:
			j.take(s, b, v.turn)
		case *document.AnswerBox:
			t := &taken{step: s.Number, turn: v.turn}
			if m := j.marks[s.BoxID(b, v.turn)]; m != nil && m.set {
				for _, a := range b.Answers {
					if a.Name == m.value {
						t.known, t.answer, t.says = true, a.Name, "“"+a.Title+"”"
					}
				}
				if !t.known {
					j.find("answer-strange", Finding{Step: s.Number, Turn: v.turn, Box: s.BoxID(b, v.turn), Entry: m.last.Number}, "%s: “%s” is no answer to “%s”", place(s.Number, v.turn), short(m.value), b.Question)
				}
			}
			j.now[b.Name] = t
			j.answers = append(j.answers, given{b.Name, t})
		}
	}
}

// take reads the places of a reading.
func (j *judge) take(s *document.Step, b *document.ReadingBox, turn string) {
	r, id := b.Reading, s.BoxID(b, turn)
	t := &taken{reading: r, step: s.Number, turn: turn}
	j.now[r.Name] = t
	n := max(1, r.Boxes)
	out := Taking{Name: r.Name, Title: r.Title, box: id, Step: s.Number, Turn: turn, Unit: r.Unit, Of: r.Of, Typed: []string{}, Limits: j.acting(r.Limits), Drawn: j.drawn(r.Limits)}
	if r.Instrument != nil {
		out.Instrument = r.Instrument.Number
		if m := j.marks["serial-"+r.Instrument.Name]; m != nil {
			out.Serial = m.value
		}
	}
	if step, ok := exactNumber(r.Step); ok {
		out.places = max(step.Places(), 0)
	}
	var values []quantity.Number
	for i := 1; i <= n; i++ {
		m := j.marks[id+"-"+strconv.Itoa(i)]
		if m == nil || !m.set {
			continue
		}
		out.Typed = append(out.Typed, m.value)
		out.At, out.Who = m.last.At, m.who
		v, fault := cell(m.value, r)
		if fault != "" {
			j.find("reading-bad", Finding{Step: s.Number, Turn: turn, Box: id, Entry: m.last.Number}, "%s, %s: %s", place(s.Number, turn), r.Title, fault)
			continue
		}
		values = append(values, v)
	}
	if len(values) == n {
		t.known, t.value = true, combine(r.Of, values)
		out.is(t.value)
		t.says = r.Title + " " + shown(t.value, r)
		if out.Limits != nil {
			out.Verdict = "outside"
			if j.within(r.Limits, t) {
				out.Verdict = "within"
			} else {
				j.find("outside", Finding{Step: s.Number, Turn: turn, Box: id}, "%s: %s is outside its limits, %s %s", place(s.Number, turn), t.says, out.Limits.Words(), r.Unit)
			}
		}
	}
	if len(out.Typed) > 0 {
		j.takings = append(j.takings, out)
		t.at = len(j.takings)
	}
	j.given = append(j.given, given{r.Name, t})
}

// shown prints a value of a reading with the decimals of its instrument.
func shown(v quantity.Number, r *document.Reading) string {
	places := v.Places()
	if step, ok := exactNumber(r.Step); ok && places >= 0 {
		places = max(places, step.Places())
	}
	text := v.String()
	if places >= 0 {
		text = v.Decimal(places)
	}
	return strings.TrimSpace(text + " " + r.Unit)
}

// within tells whether limits take a value, or what the instrument shows of it.
func (j *judge) within(list []document.MemberLimits, t *taken) bool {
	return j.takes(list, t.value) || j.takes(list, toScale(t.value, scaleOf(t.reading)))
}

func (j *judge) decide(d *document.Decision) bool {
	var chosen *document.Branch
	says := ""
	switch d.Kind {
	case document.ByMember:
		member, known := j.members[d.On]
		if !known {
			return false // the member is missing; that is told
		}
		says = member
		chosen = branchWith(d, func(b *document.Branch) bool { return hasCase(b, member) })
	default:
		t := j.now[d.On]
		if t == nil || !t.known {
			j.want = t
			return false
		}
		says = t.says
		if d.Kind == document.ByAnswer {
			chosen = branchWith(d, func(b *document.Branch) bool { return hasCase(b, t.answer) })
			break
		}
		chosen = branchWith(d, func(b *document.Branch) bool { return j.takes(b.Limits, t.value) })
		if chosen == nil {
			shown := toScale(t.value, scaleOf(t.reading))
			chosen = branchWith(d, func(b *document.Branch) bool { return j.takes(b.Limits, shown) })
		}
		if chosen == nil {
			j.find("no-branch", Finding{Step: t.step, Turn: t.turn}, "%s: no branch takes %s", place(t.step, t.turn), says)
			return false
		}
		var accepted [][]document.MemberLimits
		for _, b := range d.Branches {
			if b.Accept {
				accepted = append(accepted, b.Limits)
			}
		}
		if len(accepted) > 0 {
			t.rulings = append(t.rulings, j.ruling(accepted, chosen.Accept))
		}
	}
	if chosen == nil {
		return false
	}
	c := choice{after: len(j.visits), text: says + " leads to " + branchName(chosen)}
	for _, b := range d.Branches {
		if b != chosen {
			c.aside = append(c.aside, b.Body...)
		}
	}
	j.choices = append(j.choices, c)
	return j.walk(chosen.Body)
}

func branchName(b *document.Branch) string {
	switch {
	case b.Meaning != "" && b.Goes.Text != "":
		return "“" + b.Meaning + "”, " + b.Goes.Text
	case b.Goes.Text != "":
		return b.Goes.Text
	}
	return "branch " + strconv.Itoa(b.Number)
}

func branchWith(d *document.Decision, is func(*document.Branch) bool) *document.Branch {
	if i := slices.IndexFunc(d.Branches, is); i >= 0 {
		return d.Branches[i]
	}
	return nil
}

func hasCase(b *document.Branch, name string) bool {
	return slices.ContainsFunc(b.Cases, func(m document.Member) bool { return m.Name == name })
}

// repeat goes through the turns. After the last until that is not met, the rest
// of the body is skipped and the work after the last turn follows.
func (j *judge) repeat(r *document.Repeat) bool {
	outer := slices.Clone(j.turns)
	j.turns = append(j.turns, 0)
	met, done := false, 0
	says := ""
	for turn := 1; turn <= r.Times && !met; turn++ {
		j.turns[len(j.turns)-1], done = turn, turn
		until := false
		for _, b := range r.Body {
			u, is := b.(*document.Until)
			if !is {
				if !j.walk([]document.Block{b}) {
					return false
				}
				continue
			}
			until = true
			t := j.now[u.On]
			if t == nil || !t.known {
				j.want = t
				return false
			}
			says = t.says
			if u.Kind == document.ByAnswer {
				met = slices.ContainsFunc(u.Cases, func(m document.Member) bool { return m.Name == t.answer })
			} else {
				met = j.within(u.Limits, t)
				t.rulings = append(t.rulings, j.ruling([][]document.MemberLimits{u.Limits}, met))
			}
			if met || turn == r.Times {
				break
			}
		}
		if !until {
			met = true // a body that nothing ends is done once
		}
	}
	j.turns = outer
	c := choice{after: len(j.visits), repeat: r, outer: outer}
	if met {
		c.text, c.aside = says+" ends the turns in turn "+strconv.Itoa(done), r.Otherwise
		j.choices = append(j.choices, c)
		return true
	}
	c.text = says + " is not good in the last turn, " + strconv.Itoa(done)
	j.choices = append(j.choices, c)
	return j.walk(r.Otherwise)
}

func turnKey(turns []int) string {
	parts := make([]string, len(turns))
	for i, n := range turns {
		parts[i] = strconv.Itoa(n)
	}
	return strings.Join(parts, ".")
}

// holdsStep tells whether a step stands somewhere in blocks.
func holdsStep(body []document.Block, number int) bool {
	return slices.ContainsFunc(body, func(b document.Block) bool {
		switch b := b.(type) {
		case *document.Step:
			return b.Number == number
		case *document.Stage:
			return holdsStep(b.Body, number)
		case *document.Routine:
			return holdsStep(b.Body, number)
		case *document.Decision:
			return slices.ContainsFunc(b.Branches, func(x *document.Branch) bool { return holdsStep(x.Body, number) })
		case *document.Repeat:
			return holdsStep(b.Body, number) || holdsStep(b.Otherwise, number)
		}
		return false
	})
}
