package rules

import (
	"strings"

	"benchproof/compiler/library"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

const (
	maxWords        = 20 // of a sentence
	maxInstructions = 3  // of a step
)

// wording warns of how a step is written. The rules know English only.
func (c *checker) wording(st *library.Step) {
	if !c.english {
		return
	}
	list := sentencesOf(st.Text)
	if len(list) == 0 {
		return
	}
	c.longAndVague(list, st)
	for _, a := range st.Actions {
		if n, ok := a.(*library.Note); ok {
			c.longAndVague(sentencesOf(n.Text), st)
		}
	}
	if w := noOpening(list[0]); w != nil {
		c.warn("BP802", w.span, st, "the step does not begin with what to do, but with %s", quoted(trimmed(w.raw))).
			Helped("begin with the verb: clean, measure, tighten")
	}
	if at, said := c.person(list); said != "" {
		c.warn("BP807", at, st, "%s tells of somebody or of a later time instead of instructing", quoted(said)).
			Helped("write the instruction: tighten the nuts")
	}
	if did := instructions(list); len(did) > maxInstructions {
		words := make([]string, len(did))
		for i, w := range did {
			words[i] = w.lower
		}
		c.warn("BP804", st.TextSpan, st, "the step gives %d instructions: %s", len(did), listed(words, "and")).
			Helped("make two steps of it: each is ticked off by itself")
	}
	if at, said := lateCaution(list); said != "" {
		c.warn("BP805", at, st, "%s stands behind the action it is about", quoted(said)).
			Helped("let the step warn of a hazard, which is shown before it, or say it in a note")
	}
}

// finish warns of how a closing text is written.
func (c *checker) finish(f *library.Finish) {
	if c.english && f.HasText {
		c.longAndVague(sentencesOf(f.Text), nil)
	}
}

// warn adds a warning unless its rule is turned off.
func (c *checker) warn(code message.Code, at source.Span, st *library.Step, format string, args ...any) *message.Message {
	if c.allows(code, st) {
		return message.New(code, at, format, args...)
	}
	return c.wrong(code, at, format, args...)
}

func (c *checker) longAndVague(list []sentence, st *library.Step) {
	for _, s := range list {
		if n := s.length(); n > maxWords {
			c.warn("BP801", s.span(), st, "a sentence of %d words; up to %d are read at one look", n, maxWords).
				Helped("make two sentences or two steps of it")
		}
		if from, to, said := vagueIn(s); said != "" {
			c.warn("BP803", s[from].span.To(s[to].span), st, "%s leaves open what is meant", quoted(said)).
				Helped("say how one sees that it is right: a value, a mark, a stop")
		}
	}
}

func trimmed(raw string) string { return strings.TrimRight(raw, ",;:.!?") }

// phrases are word lists by their first word.
type phrases map[string][][]string

func phraseList(list []string) phrases {
	out := phrases{}
	for _, p := range list {
		words := strings.Fields(strings.ReplaceAll(p, ".", ""))
		out[words[0]] = append(out[words[0]], words)
	}
	return out
}

// at gives the longest phrase that stands at a place of a sentence, and nil
// where none does. A comma or stop inside parts it.
func (list phrases) at(s sentence, i int) (best []string) {
candidates:
	for _, p := range list[s[i].lower] {
		if len(p) <= len(best) || i+len(p) > len(s) {
			continue
		}
		for k, word := range p {
			if s[i+k].lower != word || k+1 < len(p) && s[i+k].ends() != 0 {
				continue candidates
			}
		}
		best = p
	}
	return best
}

// vagueIn finds the first vague word or phrase; the longest that stands there.
func vagueIn(s sentence) (from, to int, said string) {
	for i := range s {
		if p := vague.at(s, i); p != nil && !measured(s, i+len(p), p) {
			return i, i + len(p) - 1, strings.Join(p, " ")
		}
	}
	return 0, 0, ""
}

// measured tells that what follows a vague phrase says what is meant after
// all: "long enough to reach the mark", "regularly, every 10 min".
func measured(s sentence, next int, phrase []string) bool {
	if next >= len(s) {
		return false
	}
	word := s[next].lower
	switch phrase[len(phrase)-1] {
	case "enough":
		return word == "to" || word == "for" || word == "that"
	case "so":
		return phrase[0] == "or" && word == "that"
	}
	return false
}

// noOpening finds the word by which the opening of a step is known not to be an
// instruction; nil where it may be one.
func noOpening(s sentence) *word {
	first := &s[0]
	if aside[first.lower] {
		if e := first.ends(); e == ':' || e == '!' || e == '–' || len(s) > 1 && (s[1].raw == "–" || s[1].raw == "—" || s[1].raw == "-") {
			return first
		}
		if first.lower == "note" && len(s) > 1 && s[1].lower == "that" {
			return first
		}
	}
	if first.code || first.number {
		return nil
	}
	if noInstruction[first.lower] {
		return first
	}
	if len(s) > 1 && namesJob(s) {
		return first
	}
	if len(s) > 1 && first.ends() == 0 && auxiliary[s[1].lower] && s[1].lower != "can" && !openers[first.lower] {
		return first // even where it may be a verb: "grease has to be wiped off"
	}
	if openers[first.lower] || verbs[first.lower] {
		return nil
	}
	// A statement: its subject is followed by is, must, should and the like.
	for k := 1; k < len(s) && k <= 4; k++ {
		if e := s[k-1].ends(); e != 0 {
			return nil
		}
		if auxiliary[s[k].lower] {
			return first
		}
	}
	return nil
}

// namesJob tells of an opening like "Removal of the cover" or "Cleaning the
// seat" that no instruction follows.
func namesJob(s sentence) bool {
	first, next := s[0].lower, &s[1]
	if actionNouns[first] && next.lower == "of" {
		return true
	}
	if !strings.HasSuffix(first, "ing") || noGerund[first] || len(first) < 6 {
		return false
	}
	switch next.lower {
	case "the", "a", "an", "of", "all", "both", "each", "every", "":
	default:
		return false
	}
	for k := 1; k < len(s)-1; k++ {
		if s[k].ends() == ',' && verbs[s[k+1].lower] {
			return false
		}
	}
	return true
}

// instructions finds the verbs with which instructions begin.
func instructions(list []sentence) []*word {
	var out []*word
	for _, s := range list {
		for i := range s {
			if at, ok := instructionAt(s, i); ok {
				out = append(out, &s[at])
			}
		}
	}
	return out
}

// instructionAt tells whether an instruction begins at a place where one may,
// and where its verb stands.
func instructionAt(s sentence, i int) (int, bool) {
	boundary := i == 0
	if i > 0 {
		switch s[i-1].ends() {
		case ',', ';', ':', '–':
			boundary = true
		}
		switch s[i-1].lower {
		case "and", "then", "but":
			boundary = boundary || s[i-1].ends() == 0
		}
	}
	if !boundary || s[i].lower == "and" || s[i].lower == "then" || s[i].lower == "but" {
		return 0, false
	}
	at := i
	for at < len(s) && skippable[s[at].lower] && s[at].ends() == 0 {
		at++
	}
	if at > i && skippable[s[i].lower] && s[i].lower == "then" {
		return 0, false
	}
	if at >= len(s) || !verbs[s[at].lower] {
		return 0, false
	}
	if i > 0 && doubtful[s[at].lower] && !actsOn(s, at) {
		return 0, false
	}
	return at, true
}

// actsOn tells that what follows a doubtful verb is what it acts on.
func actsOn(s sentence, at int) bool {
	if s[at].ends() != 0 || at+1 >= len(s) {
		return false
	}
	next := &s[at+1]
	return next.mention || next.number || takers[next.lower]
}

// lateCaution finds a warning that stands behind an instruction.
func lateCaution(list []sentence) (at source.Span, said string) {
	for n, s := range list {
		if n > 0 && len(instructions(list[:n])) > 0 {
			if p := cautions.at(s, 0); p != nil {
				return s[0].span.To(s[len(p)-1].span), strings.Join(p, " ")
			}
			if k := harmIn(s); k > 0 {
				return s.span(), trimmed(s[k].raw)
			}
		}
		for i := 1; i < len(s); i++ {
			if cautions.at(s, i) == nil && turned.at(s, i) == nil {
				continue
			}
			mark := s[i-1].ends()
			conjunction := s[i-1].lower == "but" || s[i-1].lower == "and"
			if mark == 0 && !conjunction && s[i-1].raw != "–" && s[i-1].raw != "—" && s[i-1].raw != "-" {
				continue
			}
			if len(instructions([]sentence{s[:i]})) == 0 {
				continue
			}
			list := turned
			if mark == ';' || mark == ':' || mark == '–' || s[i-1].lower == "but" || strings.Trim(s[i-1].raw, "–—-") == "" {
				list = cautions
			}
			if p := list.at(s, i); p != nil {
				return s[i].span.To(s[i+len(p)-1].span), strings.Join(p, " ")
			}
		}
	}
	return at, ""
}

// harmIn finds what a thing may do to a person: "the spring can hurt you".
func harmIn(s sentence) int {
	may, harm := false, 0
	for i := range s {
		switch w := s[i].lower; {
		case w == "can" || w == "may" || w == "could" || w == "might" || w == "will":
			may = true
		case may && harms[w]:
			harm = i
		case harm > 0 && harmed[w]:
			return harm
		}
	}
	return 0
}

// person finds where a step tells what somebody will do or what must be done,
// instead of telling to do it. The opening of a step is judged by BP802.
func (c *checker) person(list []sentence) (at source.Span, said string) {
	for n, s := range list {
		if n == 0 && noOpening(s) != nil {
			continue
		}
		for i := range s {
			w := s[i].lower
			next := ""
			if i+1 < len(s) && s[i].ends() == 0 {
				next = s[i+1].lower
			}
			switch {
			case w == "we" || w == "i" && s[i].raw == "I" || w == "our" || w == "my":
				return s[i].span, trimmed(s[i].raw)
			case w == "you" && obliges[next], fitters[w] && i > 0 && s[i-1].lower == "the" && obliges[next]:
				return s[i].span.To(s[i+1].span), w + " " + next
			case n > 0 && passives[w] && i > 0:
				if k := doneTo(s, i+1); k > 0 {
					return s[i].span.To(s[k].span), phrase(s[i : k+1])
				}
			}
		}
	}
	return at, ""
}

// obliges are words that put a duty on somebody.
var obliges = wordSet(`should must shall have need will ought`)

// fitters are people who do the job.
var fitters = wordSet(`technician fitter mechanic worker operator installer user person`)

// passives begin what is to be done: must be tightened, has to be oiled.
var passives = wordSet(`must should shall will has have is are needs need`)

// doneTo finds the participle of "be tightened" or "to be tightened" at a place.
func doneTo(s sentence, i int) int {
	if i < len(s) && s[i].lower == "then" {
		i++
	}
	to := i < len(s) && s[i].lower == "to"
	if to {
		i++
	}
	if i >= len(s) || s[i].lower != "be" || !to && (s[i-1].lower == "is" || s[i-1].lower == "are") {
		return 0
	}
	i++
	for i < len(s) && (strings.HasSuffix(s[i].lower, "ly") || s[i].lower == "then" || s[i].lower == "now") {
		i++
	}
	if i < len(s) && participle(s[i].lower) {
		return i
	}
	return 0
}

// participle tells that a word is a verb's past participle: tightened, removed,
// fitted, dried.
func participle(w string) bool {
	stem, ok := strings.CutSuffix(w, "ed")
	if !ok || len(stem) < 2 {
		return irregular[w]
	}
	if verbs[stem] || verbs[stem+"e"] {
		return true
	}
	if y, ok := strings.CutSuffix(stem, "i"); ok && verbs[y+"y"] {
		return true
	}
	n := len(stem)
	return n > 2 && stem[n-1] == stem[n-2] && verbs[stem[:n-1]]
}

var irregular = wordSet(`cut put set let read held drawn taken written driven bent ground hung kept laid led left lit made shown sent struck swept thrown unwound wound withdrawn worn broken brought bought built caught chosen done driven`)

func phrase(s sentence) string {
	words := make([]string, len(s))
	for i := range s {
		words[i] = trimmed(s[i].raw)
	}
	return strings.Join(words, " ")
}
