package draft

import (
	"fmt"
	"strings"

	"benchproof/compiler/quantity"
)

// steps goes through the talk and builds the procedure.
func (m *maker) steps() {
	last := -1 // the last sentence that tells what to do
	for i, s := range m.list {
		if s.role != heading && !s.question {
			for _, c := range clauses(s.tokens) {
				if startsOrder(c) {
					last = i
				}
			}
		}
	}
	for i, s := range m.list {
		m.position = i
		switch {
		case s.role == heading:
			m.open = m.root
			st := &stage{title: s.tokens[0].text}
			m.root.nodes = append(m.root.nodes, st)
			m.open = &st.body
			m.alarm = nil
		case s.question:
			m.count.left++
		default:
			m.degreesOf(s)
			m.sentence(s, i > last)
		}
	}
	m.attachRest()
}

// degreesOf tells what the degrees of a sentence are of: by the words around
// them, or as in the sentences before.
func (m *maker) degreesOf(s *sentence) {
	var open []*token
	warm, angle := false, false
	for i := range s.tokens {
		t := &s.tokens[i]
		if t.kind == amount && t.unit == degrees {
			open = append(open, t)
		}
		warm = warm || t.kind == amount && dimension(t.unit) == quantity.Temperature
		for _, w := range temperatureWords {
			warm = warm || t.kind == word && strings.HasPrefix(t.low, w)
		}
		for _, w := range angleWords {
			angle = angle || t.kind == word && strings.HasPrefix(t.low, w)
		}
	}
	if warm && !angle {
		m.heat = m.position
	}
	for _, t := range open {
		switch {
		case warm && !angle, !angle && m.position-m.heat <= 3:
			t.unit = "degC"
		case angle && !warm:
			t.unit = "deg"
		}
	}
}

// sentence makes what it can of one sentence.
func (m *maker) sentence(s *sentence, after bool) {
	if m.alarm != nil && !warns(s.tokens) && !startsOrder(s.tokens) {
		// What follows "Warning." says what can happen.
		m.hazardText(m.alarm, s.tokens)
		m.alarm.sentence = m.position
		m.alarm = nil
		return
	}
	list := clauses(s.tokens)
	made := false
	for k := 0; k < len(list); k++ {
		c := list[k]
		switch {
		case warns(c):
			// What hangs on it without an instruction of its own goes with it.
			for k+1 < len(list) && !warns(list[k+1]) && !startsOrder(list[k+1]) && !m.isCondition(list[k+1]) {
				k++
				c = append(append(append([]token(nil), c...), token{kind: mark, text: ",", low: ","}), list[k]...)
			}
			m.warning(s, c)
			made = true
		case m.isCondition(c):
			rest := list[k+1:]
			n := 0
			for n < len(rest) && !m.isCondition(rest[n]) && !warns(rest[n]) {
				n++
			}
			m.condition(s, c, rest[:n])
			k += n
			made = true
		case s.role == quote && !startsOrder(c):
			m.said(s, c)
			made = true
		default:
			if o := findOrder(c); o != nil {
				if m.safe(s, o, c) {
					made = true
					break
				}
				m.step(s, o)
				made = true
				break
			}
			made = m.statement(s, c, after) || made
		}
	}
	if !made {
		m.count.left++
	}
}

// safe takes "stand aside" behind a warning as what keeps a person safe.
func (m *maker) safe(s *sentence, o *order, c []token) bool {
	h := m.lastHazard()
	if h == nil || !avoiding[o.verb] || m.position-h.sentence > 1 || h.avoid != "" {
		return false
	}
	h.avoid = whole(o.tokens())
	h.sentence = m.position
	return true
}

func (m *maker) lastHazard() *hazard {
	if len(m.hazards) == 0 {
		return nil
	}
	return m.hazards[len(m.hazards)-1]
}

// step adds the step that an instruction makes; a long one is made two.
func (m *maker) step(s *sentence, o *order) *step {
	body, aside := tidy(withoutPointers(o.body))
	if h := m.lastHazard(); h != nil && o.verb == "wear" && h.avoid == "" && m.position-h.sentence <= 1 {
		h.avoid = whole(mine(o.tokens()))
	}
	st := &step{from: o.from, to: o.to, block: s.block}
	if len(o.ahead) > 0 {
		st.tokens = append(st.tokens, o.ahead...)
		if last := o.ahead[len(o.ahead)-1]; !(last.kind == mark && last.low == ",") {
			st.tokens = append(st.tokens, token{kind: mark, text: ",", low: ",", from: o.from, to: o.from})
		}
	}
	verbAt := len(st.tokens)
	for i, w := range strings.Fields(o.verb) {
		st.tokens = append(st.tokens, token{kind: word, text: w, low: w, from: o.from, to: o.from, glued: i < 0})
	}
	st.tokens = append(st.tokens, mine(body)...)
	if len(aside) > 3 && !(aside[0].is("you", "it", "that") && len(aside) > 1 && aside[1].is("know", "see")) {
		st.notes = append(st.notes, whole(mine(aside)))
	}
	if len(o.ahead) > 1 && o.ahead[0].is("with", "using") {
		if n, _ := readName(o.ahead, 1); n != nil && n.pronoun == "" {
			m.use(st, m.toolOf(st, n))
		}
	}
	m.effects(st, verbAt)
	for i := range st.tokens {
		if st.tokens[i].unit == degrees {
			st.check("degrees of temperature or of angle? " + st.tokens[i].value + " degC or " + st.tokens[i].value + " deg")
		}
		if w := &st.tokens[i]; w.kind == word && strings.Contains(w.low, ",") && startsDigit(w.low) {
			st.check("the comma in " + w.text + " can be read in two ways")
		}
	}
	if again(st.tokens) {
		st.check("again from where? (repeat at most … times { … until … })")
	}
	m.open.nodes = append(m.open.nodes, st)
	m.open.last = st
	m.count.steps++
	m.attach(st)
	return st
}

// withoutPointers takes out where a number is only told: "it's P-2201" behind a
// name, and a number that begins what stands in brackets.
func withoutPointers(list []token) []token {
	out := make([]token, 0, len(list))
	for i := 0; i < len(list); i++ {
		t := &list[i]
		if t.is("it's", "that's") && i > 0 && i+1 < len(list) {
			k := i + 1
			for k < len(list) && k < i+3 && list[k].is("number", "tool", "part") {
				k++
			}
			b := &list[i-1]
			if k < len(list) && list[k].kind == reference && (b.kind == word && closed[b.low] || strangers(b.low, list[k].value)) {
				i = k
				continue
			}
		}
		if t.kind == mark && t.low == "," && i > 1 && i+1 < len(list) && list[i+1].kind == reference && particles[list[i-1].low] && (list[i-2].kind == word && !closed[list[i-2].low]) {
			// "pull the seal off, P-2032"
			i++
			continue
		}
		if t.kind == mark && t.low == "(" && i > 0 && closed[list[i-1].low] && i+1 < len(list) && list[i+1].kind == reference {
			if i+2 < len(list) && list[i+2].kind == mark {
				i += 2
				if list[i].low != ")" {
					out = append(out, *t)
				}
				continue
			}
		}
		out = append(out, *t)
	}
	return out
}

// again tells of "do it again" and the like.
func again(list []token) bool {
	if len(list) == 0 || !list[0].is("do", "repeat", "start", "grind", "measure", "lap", "try") {
		return false
	}
	for i := range list {
		if list[i].is("again", "over") || list[i].is("repeat") {
			return true
		}
	}
	return false
}

// mine makes the speaker's things the reader's: "my lock" is "your lock".
func mine(list []token) []token {
	out := append([]token(nil), list...)
	for i := range out {
		t := &out[i]
		if t.kind != word {
			continue
		}
		switch t.low {
		case "my", "our":
			t.text = "your"
		case "myself", "ourselves":
			t.text = "yourself"
		case "me", "us":
			t.text = "you"
		case "i", "we":
			t.text = "you"
		case "i'm", "we're":
			t.text = "you're"
		default:
			continue
		}
		t.low = t.text
	}
	return out
}

// lastStep gives the step before, in the open body.
func (m *maker) lastStep() *step {
	return m.open.last
}

// statement makes what it can of words that are no instruction.
func (m *maker) statement(s *sentence, c []token, after bool) bool {
	if len(c) == 0 {
		return false
	}
	if m.required(s, c) {
		return true
	}
	m.spokenOf(c)
	var mass, time *token
	values := 0
	total, takes, weighs, must, about := false, false, false, false, false
	for i := range c {
		t := &c[i]
		switch {
		case t.kind == amount:
			values++
			switch dimension(t.unit) {
			case quantity.Mass:
				mass = t
			case quantity.Time:
				time = t
			}
		case t.is("all", "total", "altogether", "whole", "everything", "job"):
			total = true
		case t.is("takes", "take", "needs", "took"):
			takes = true
		case t.is("weighs", "weigh", "weight", "heavy"), t.is("it's", "that's") && i+1 < len(c) && dimension(c[i+1].unit) == quantity.Mass:
			weighs = true
		case t.is("about", "around", "roughly"):
			about = true
		case t.is("must", "should", "has", "have", "needs", "needs") && i+1 < len(c) && (c[i].is("must", "should") || c[i+1].is("to")):
			must = true
		}
	}
	if m.fragment(c) {
		return true
	}
	if h := m.lastHazard(); h != nil && m.position-h.sentence <= 1 && (s.block == h.block && !m.talk.timed || harmful(c)) && m.sameTalk(h) {
		// What is said next goes on about the danger.
		h.consequence = strings.TrimSpace(h.consequence + " " + whole(mine(c)))
		h.sentence = m.position
		m.name(h)
		return true
	}
	if hurting(c) {
		m.danger(s, c)
		return true
	}
	switch {
	case weighs && mass != nil && m.weighed(c, mass):
		return true
	case time != nil && (total || after) && (takes || about):
		m.open.nodes = append(m.open.nodes, comment("# check: the talk says that the whole takes "+amountText(time)+" (takes, at the steps)"))
		return true
	case time != nil && takes && values == 1:
		if st := m.lastStep(); st != nil && time.value != "0" {
			st.add(&action{verb: "takes", values: []token{*time}})
			return true
		}
	case must && pronouns[strip(c)[0].low]:
		if st := m.lastStep(); st != nil {
			st.notes = append(st.notes, whole(mine(strip(c))))
			return true
		}
	}
	if values > 0 || must && len(c) > 3 {
		m.said(s, c)
		return true
	}
	// A number with its name was taken note of; nothing is lost.
	for i := range c {
		if c[i].kind == reference {
			return true
		}
	}
	return false
}

// spokenOf remembers the part that a statement ends with: "it" and "those" are
// often what was spoken of last, and "the lid has eight bolts" tells how many.
func (m *maker) spokenOf(c []token) {
	var last *name
	for k := 0; k < len(c); {
		n, next := readName(c, k)
		if n == nil || next <= k {
			k++
			continue
		}
		if n.pronoun == "" && partWords[n.head()] {
			last = n
		}
		k = next
	}
	if last == nil {
		return
	}
	if t := m.thingOf(nil, last, true); t != nil && t.sort == part {
		m.focus = t
		if last.count > 1 && t.count == 0 {
			t.count = last.count
		}
	}
}

// harmful tells that words speak of what hurts or kills.
func harmful(c []token) bool {
	for i := range c {
		if lethal[c[i].low] || injuring[c[i].low] && !c[i].is("hand", "hands", "head", "foot", "face") {
			return true
		}
	}
	return false
}

// hurting tells that words say what can happen to somebody.
func hurting(c []token) bool {
	someone := false
	for i := range c {
		someone = someone || c[i].is("you", "your", "somebody", "someone", "people", "yourself", "skin", "eyes", "fingers", "hands", "arm", "lungs")
	}
	may := false
	for i := range c {
		may = may || c[i].is("can", "will", "may", "could", "might", "it'll", "they'll")
		if lethal[c[i].low] && someone && !c[i].is("live", "dead") || may && someone && harmVerbs[c[i].low] {
			return true
		}
	}
	return false
}

// fragment reads a tool that is named behind a step: "Micrometer, T-0114,
// please", "No, with the ring spanner, T-0048".
func (m *maker) fragment(c []token) bool {
	list := strip(c)
	for len(list) > 0 && (list[0].is("no", "yes", "with", "using") || list[0].kind == mark) {
		list = list[1:]
	}
	n, next := readName(list, 0)
	st := m.open.last
	if n == nil || n.ref == "" || st == nil || next < len(list) && !(list[next].kind == mark || list[next].is("always")) {
		return false
	}
	t := m.thingOf(nil, n, false)
	if t == nil || t.sort == part {
		return false
	}
	for _, a := range st.actions {
		if a.verb == "measure" && len(a.reading.with.numbers) == 0 {
			a.reading.with.handled = false
			a.reading.with, t.handled = t, true
			m.atHand(t)
			st.checks = without(st.checks, unmeasured)
			return true
		}
	}
	m.use(st, t)
	return true
}

// unmeasured asks for the instrument of a reading.
const unmeasured = "with what is it measured?"

func without(list []string, s string) []string {
	kept := list[:0:0]
	for _, x := range list {
		if x != s {
			kept = append(kept, x)
		}
	}
	return kept
}

// weighed notes how heavy a part is.
func (m *maker) weighed(c []token, mass *token) bool {
	t := m.focus
	if n, _ := readName(strip(c), 0); n != nil && n.pronoun == "" && len(n.words) > 0 {
		t = m.thingOf(nil, n, partWords[n.head()])
	}
	if t == nil || t.sort != part {
		return false
	}
	t.mass = mass
	return true
}

// said keeps words that nothing could be made of, where they belong.
func (m *maker) said(s *sentence, c []token) {
	where := ""
	if c[0].from >= 0 {
		where = " at " + clockText(c[0].from)
	} else {
		where = fmt.Sprintf(" in line %d", s.line)
	}
	m.open.nodes = append(m.open.nodes, comment("# check: said"+where+": "+oneLine(whole(c))))
}

func oneLine(s string) string { return strings.Join(strings.Fields(s), " ") }

// clockText prints a moment of the recording as the language writes it.
func clockText(ms int) string {
	s := ms / 1000
	if s >= 3600 {
		return fmt.Sprintf("%d:%02d:%02d", s/3600, s/60%60, s%60)
	}
	return fmt.Sprintf("%d:%02d", s/60, s%60)
}
