package document

import "strings"

// phrases are the turns of phrase that the lowering writes in one language.
// Words in braces are filled in.
type phrases struct {
	or, and, orList, andList, andThen string
	// Limits.
	above, below, atLeast, atMost, between, betweenBelow, aboveTo, aboveToBelow, exactly, anyValue string
	scale, scaleUnit, span                                                                         string
	drawing, drawings, movedIn, movedByPart, movedOn, ofReading                                    string
	// Where the work goes on.
	step, question, theQuestion, checkOf         string
	goOn, goBack, untilElse, untilAfter, untilGo string
	untilAnswer                                  string
	untilSame, readings, reading, turns, turn    string
	whatIs, whichIs                              string
	smallest, largest, mean                      string
	// When a thing is needed.
	ifThat, ifAnswer, ifReading, ifNotGood, ifStaysBad, ifStays, somePaths string
	// Boxes.
	fitted, waited, proved, round, tightened, setTo string
	// Details of actions.
	also, hole, thread, insertThread, speed, rounds, torque, crosswise, setting, heat, heatMost, weighs, lifts, mustBe string
	atMostTimes, steps, thenNext, good, elseWord, after                                                                string
	measure, newPart                                                                                                   string
	hours, minutes, seconds                                                                                            string
	counts                                                                                                             []string
	// openers begin a clause, verbs carry it; be are those that only join the
	// two: "is". At joining words a short name of a step may end.
	openers, verbs, be, joining map[string]bool
	// covers are the words by which a part is known to be a cover; one behind a
	// star is the end of such a word.
	covers map[string]bool
	// nouns tells that nouns have a capital and that a main clause cannot stand
	// behind "if": German.
	nouns bool
}

var english = &phrases{
	or: " or ", and: " and ", orList: ", ", andList: ", ", andThen: ", then ",
	above: "above {low}", below: "below {high}", atLeast: "{low} or more", atMost: "{high} or less",
	between: "{low} to {high}", betweenBelow: "{low} to below {high}", aboveTo: "above {low} to {high}", aboveToBelow: "above {low} to below {high}",
	exactly: "{low}", anyValue: "any reading",
	scale: "to {step}", scaleUnit: "{unit}, to {step}", span: "{low} to {high}",
	drawing: " Drawing limit {limits}, moved in by {by}{on}.", drawings: " Drawing limits {limits}, moved in by {by}{on}.",
	movedIn: "the uncertainty of this measurement, {u}", movedByPart: "{r} times the uncertainty of this measurement, {u}",
	movedOn: ", and on to the next value the instrument shows", ofReading: "{u} of the limit",
	step: "step {n}", question: "“{title}”", theQuestion: "the question {question}", checkOf: "the check of the {reading}",
	goOn: "go on at {target}", goBack: "go back to {target}", untilElse: "; otherwise {again}", untilAfter: "; after {readings}, {failure}.", untilGo: "Go on at {target} when the {reading} is {limits}",
	untilAnswer: "Go on at {target} when the answer to {question} is {answer}",
	untilSame:   "go on there all the same", readings: "{n} readings", reading: "one reading", turns: "{n} turns", turn: "one turn",
	whatIs: "What is the {reading}?", whichIs: "Which {family} is it?",
	smallest: "smallest {title}", largest: "largest {title}", mean: "mean {title}",
	ifThat: "if {what}", ifAnswer: "“{answer}” in step {n}", ifReading: "{reading} is {limits}",
	ifNotGood: "the {reading} is not good at once", ifStaysBad: "the {reading} does not come right", ifStays: "{what} every time", somePaths: "on some paths only",
	fitted: "{things} fitted", waited: "{time} waited", proved: "{state}, proved with {tool}", round: "round {n}", tightened: "tightened",
	setTo: "wrench set to {setting} for {torque}",
	also:  "Also {things}.", hole: "Hole {size}, {deep} deep{speed}.", thread: "Thread {size}, {deep} deep{speed}.",
	insertThread: "Thread {size} for a thread insert, {deep} deep{speed}.", speed: ", at about {rpm} (guide value)",
	rounds: "Tighten in {n} rounds{crosswise}: {values}.", torque: "Tighten{crosswise} to {values}.", crosswise: " crosswise",
	setting: "Set the {tool} to {setting}: with the {extension} the fastener gets {torque}.",
	heat:    "Heat to about {temperature} (guide value).", heatMost: "Heat to about {temperature} (guide value), never above {most}.",
	weighs: "The {thing} weighs {mass}.", lifts: "The {tool} lifts up to {mass}.", mustBe: "{condition} must be {state}.",
	atMostTimes: "at most {n} times", good: "good", steps: "steps {n}", thenNext: "then {next}", elseWord: "else", after: "after {n}",
	measure: "Measure {title}", newPart: "New {title}",
	hours: "h", minutes: "min", seconds: "s",
	counts:  []string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"},
	openers: set("the a an it this that these those there no not nothing one two three both all some each any every something he she they you more less"),
	verbs: set("is are was were has have had can cannot can't may might must will would does do did stands goes moves holds runs turns lies sits comes leaks drips " +
		"reads shows needs fits binds rubs touches looks feels stays keeps stops works passes fails moved came went"),
	be:      set("is are"),
	joining: set("and with then until in on to from for by off at or but so while into over under after before"),
	covers:  set("cover covers guard guards lid hood shield door screen cap"),
}

func set(words string) map[string]bool {
	m := map[string]bool{}
	for w := range strings.FieldsSeq(words) {
		m[w] = true
	}
	return m
}

// nextBlank parts a phrase at its first blank, such as {tool}.
func nextBlank(pattern string) (before, name, rest string, found bool) {
	before, rest, found = strings.Cut(pattern, "{")
	if found {
		name, rest, found = strings.Cut(rest, "}")
	}
	return before, name, rest, found
}

// say fills a phrase in with texts.
func say(pattern string, pairs map[string]Text) Text {
	var room [usual]Span
	out := Text(room[:0])
	for pattern != "" {
		before, name, rest, found := nextBlank(pattern)
		if !found {
			break
		}
		out = appendPlain(out, before)
		for _, s := range pairs[name] {
			if s.Kind == Plain && s.Thing == nil {
				out = appendPlain(out, s.Text)
			} else {
				out = append(out, s)
			}
		}
		pattern = rest
	}
	return snug(appendPlain(out, pattern))
}

// usual is how many spans most texts have at most. A text is put together in
// room for as many and kept in as much as it takes: most of a document is texts,
// and most of those are one span.
const usual = 8

// snug gives a text of its own size; one of no spans is nil.
func snug(t Text) Text {
	if len(t) == 0 {
		return nil
	}
	out := make(Text, len(t))
	copy(out, t)
	return out
}

// fill fills a phrase in with words, given as name and word by turns. What is
// filled in is not looked at again.
func fill(pattern string, pairs ...string) string {
	var out strings.Builder
	for pattern != "" {
		before, name, rest, found := nextBlank(pattern)
		if !found {
			break
		}
		out.WriteString(before)
		for i := 0; i+1 < len(pairs); i += 2 {
			if pairs[i] == name {
				out.WriteString(pairs[i+1])
			}
		}
		pattern = rest
	}
	if out.Len() == 0 {
		return pattern
	}
	out.WriteString(pattern)
	return out.String()
}

// appendPlain adds words, to the last span where that is plain too.
func appendPlain(t Text, s string) Text {
	if s == "" {
		return t
	}
	if n := len(t); n > 0 && t[n-1].Kind == Plain && t[n-1].Thing == nil {
		t[n-1].Text += s
		return t
	}
	return append(t, Span{Kind: Plain, Text: s})
}

// words makes a text of plain words.
func words(s string) Text { return appendPlain(nil, s) }

// value makes a text of a quantity.
func value(s string) Text { return Text{{Kind: Value, Text: s}} }

// String gives a text without its markup.
func (t Text) String() string {
	var b strings.Builder
	for _, s := range t {
		b.WriteString(s.Text)
	}
	return b.String()
}

// listed joins texts: "a, b or c".
func listed(parts []Text, comma, last string) Text {
	var room [usual]Span
	out := Text(room[:0])
	for i, p := range parts {
		switch {
		case i == 0:
		case i == len(parts)-1:
			out = appendPlain(out, last)
		default:
			out = appendPlain(out, comma)
		}
		for _, s := range p {
			if s.Kind == Plain && s.Thing == nil {
				out = appendPlain(out, s.Text)
			} else {
				out = append(out, s)
			}
		}
	}
	return snug(out)
}

func listedWords(parts []string, comma, last string) string {
	texts := make([]Text, len(parts))
	for i, p := range parts {
		texts[i] = words(p)
	}
	return listed(texts, comma, last).String()
}

// isCover tells whether a word in small letters means a cover.
func (ph *phrases) isCover(word string) bool {
	if ph.covers[word] {
		return true
	}
	for c := range ph.covers {
		if end, ok := strings.CutPrefix(c, "*"); ok && strings.HasSuffix(word, end) {
			return true
		}
	}
	return false
}
