package draft

import (
	"fmt"
	"strings"
)

// A form is one of the ways in which a range is written in the language.
type form uint8

const (
	atLeast form = iota + 1
	above
	atMost
	below
	fromTo
	aboveTo
	aboveToBelow
	fromToBelow
)

// A span is a range as said: low and high are values with or without a unit.
type span struct {
	form      form
	low, high *token
}

// text prints a span; a value without a unit gets that of the reading.
func (s span) text(unit string) string {
	v := func(t *token) string {
		u := t.unit
		if u == "" || u == degrees {
			u = unit
		}
		return t.value + " " + u
	}
	switch s.form {
	case atLeast:
		return "at least " + v(s.low)
	case above:
		return "above " + v(s.low)
	case atMost:
		return "at most " + v(s.high)
	case below:
		return "below " + v(s.high)
	case aboveTo:
		return "above " + v(s.low) + " to " + v(s.high)
	case aboveToBelow:
		return "above " + v(s.low) + " to below " + v(s.high)
	case fromToBelow:
		return "from " + v(s.low) + " to below " + v(s.high)
	}
	return "from " + v(s.low) + " to " + v(s.high)
}

// comparisons are the words of a limit, the longest first where one begins
// another.
var comparisons = []struct {
	phrase string
	form   form
}{
	{"<", below}, {">", above}, {"≤", atMost}, {"≥", atLeast},
	{"not more than", atMost}, {"no more than", atMost}, {"not over", atMost}, {"not above", atMost}, {"not greater than", atMost}, {"at most", atMost}, {"at the most", atMost}, {"up to", atMost}, {"a maximum of", atMost}, {"less than or equal to", atMost}, {"not bigger than", atMost},
	{"not less than", atLeast}, {"no less than", atLeast}, {"not under", atLeast}, {"not below", atLeast}, {"at least", atLeast}, {"at the least", atLeast}, {"a minimum of", atLeast}, {"more than or equal to", atLeast}, {"not smaller than", atLeast},
	{"less than", below}, {"smaller than", below}, {"lower than", below}, {"below", below}, {"under", below}, {"thinner than", below}, {"shorter than", below}, {"short of", below}, {"colder than", below}, {"cooler than", below}, {"looser than", below},
	{"more than", above}, {"greater than", above}, {"bigger than", above}, {"larger than", above}, {"higher than", above}, {"above", above}, {"over", above}, {"thicker than", above}, {"longer than", above}, {"exceeds", above}, {"hotter than", above}, {"warmer than", above}, {"beyond", above}, {"past", above},
}

// behindValue are limits said behind the value: "31.95 mm or more".
var behindValue = []struct {
	phrase string
	form   form
}{
	{"or more", atLeast}, {"or above", atLeast}, {"or over", atLeast}, {"or greater", atLeast}, {"or better", atLeast}, {"or bigger", atLeast}, {"or higher", atLeast}, {"and above", atLeast}, {"and up", atLeast}, {"minimum", atLeast}, {"and more", atLeast}, {"and over", atLeast}, {"or thicker", atLeast},
	{"or less", atMost}, {"or below", atMost}, {"or under", atMost}, {"or smaller", atMost}, {"or lower", atMost}, {"and below", atMost}, {"maximum", atMost}, {"and less", atMost}, {"and under", atMost}, {"or thinner", atMost}, {"tops", atMost},
}

func isValue(list []token, i int) bool {
	return i < len(list) && (list[i].kind == amount || list[i].kind == number)
}

// readSpan reads a range at i.
func readSpan(list []token, i int) (s span, next int, ok bool) {
	if i >= len(list) {
		return s, i, false
	}
	// "between A and B", "from A to B", "above A to B".
	if list[i].is("between", "from") && isValue(list, i+1) && i+2 < len(list) && list[i+2].is("and", "to", "up") {
		if isValue(list, i+3) {
			return span{fromTo, &list[i+1], &list[i+3]}, i + 4, true
		}
		if list[i+2].is("up") && i+3 < len(list) && list[i+3].is("to") && isValue(list, i+4) {
			return span{fromTo, &list[i+1], &list[i+4]}, i + 5, true
		}
		if list[i+2].is("to") && i+3 < len(list) && list[i+3].is("below", "under") && isValue(list, i+4) {
			return span{fromToBelow, &list[i+1], &list[i+4]}, i + 5, true
		}
	}
	for _, c := range comparisons {
		n := matches(list, i, c.phrase)
		if n == 0 {
			continue
		}
		k := i + n
		for k < len(list) && list[k].is("about", "around", "the", "a", "say") {
			k++
		}
		if !isValue(list, k) {
			continue
		}
		v := &list[k]
		k++
		if c.form == above && k < len(list) && (list[k].is("to", "and", "but") || list[k].kind == mark && list[k].low == "," && k+1 < len(list) && list[k+1].is("but", "and")) {
			j := k + 1
			for j < len(list) && list[j].is("but", "and", "up", "to") {
				j++
			}
			if isValue(list, j) && list[k].is("to") {
				return span{aboveTo, v, &list[j]}, j + 1, true
			}
			if up, n2, ok := readSpan(list, j); ok && (up.form == below || up.form == atMost) {
				f := aboveTo
				if up.form == below {
					f = aboveToBelow
				}
				return span{f, v, up.high}, n2, true
			}
		}
		if (c.form == below || c.form == atMost) && k < len(list) && (list[k].is("but", "and") || list[k].kind == mark && list[k].low == "," && k+1 < len(list) && list[k+1].is("but")) {
			j := k + 1
			if j < len(list) && list[j].is("but") {
				j++
			}
			if low, n2, ok := readSpan(list, j); ok && (low.form == above || low.form == atLeast) && low.high == nil {
				switch {
				case low.form == above && c.form == below:
					return span{aboveToBelow, low.low, v}, n2, true
				case low.form == above:
					return span{aboveTo, low.low, v}, n2, true
				case c.form == below:
					return span{fromToBelow, low.low, v}, n2, true
				}
				return span{fromTo, low.low, v}, n2, true
			}
		}
		return sided(c.form, v), k, true
	}
	if isValue(list, i) {
		if i+2 < len(list) && list[i+1].is("to") && isValue(list, i+2) {
			return span{fromTo, &list[i], &list[i+2]}, i + 3, true
		}
		for _, c := range behindValue {
			if n := matches(list, i+1, c.phrase); n > 0 {
				return sided(c.form, &list[i]), i + 1 + n, true
			}
		}
	}
	return s, i, false
}

func sided(f form, v *token) span {
	if f == atLeast || f == above {
		return span{form: f, low: v}
	}
	return span{form: f, high: v}
}

// opposite gives what a one-sided span leaves.
func (s span) opposite() (span, bool) {
	switch s.form {
	case atLeast:
		return span{form: below, high: s.low}, true
	case above:
		return span{form: atMost, high: s.low}, true
	case atMost:
		return span{form: above, low: s.high}, true
	case below:
		return span{form: atLeast, low: s.high}, true
	}
	return s, false
}

// conditionWords begin a condition.
func conditional(list []token) int {
	for _, p := range []string{"and if", "but if", "if", "in case", "should", "when", "as long as", "unless"} {
		if n := matches(list, 0, p); n > 0 {
			return n
		}
	}
	return 0
}

// elses begin the case that is left.
var elses = []string{"otherwise", "if not", "anything else", "in any other case", "else", "if it isn't", "if it doesn't", "if they don't", "if it's not", "or else"}

// A judged is a condition taken apart.
type judged struct {
	subject []token
	span    span
	rest    []token // what follows from it
	other   bool    // the case that is left
	asked   []token // a condition without a value
}

// judge reads a condition at the start of a clause.
func (m *maker) judge(list []token) *judged {
	list = strip(list)
	if len(list) == 0 {
		return nil
	}
	if n := cueAt(list, elses); n > 0 && m.lastDecide() != nil {
		return &judged{other: true, rest: trimmed(list[n:])}
	}
	n := conditional(list)
	at := -1
	for i := n; i < len(list) && i < n+12; i++ {
		if list[i].kind == mark && list[i].low != "(" {
			break
		}
		s, next, ok := readSpan(list, i)
		if !ok {
			if s, next, ok = m.thatSpan(list, i); !ok {
				continue
			}
		}
		if n == 0 && !m.bareCase(list, i, &s) {
			return nil
		}
		if n > 0 && list[0].is("when") && dimension(unitOf(&s)) == dimension("min") {
			return nil
		}
		at = i
		return &judged{subject: list[n:at], span: s, rest: consequent(list[next:])}
	}
	if n == 0 || list[0].is("when", "should", "as") {
		return nil
	}
	// A condition without a value, and an instruction behind it.
	for i := n + 1; i < len(list)-1; i++ {
		if list[i].kind == mark && (list[i].low == "," || list[i].low == ":" || list[i].low == "–") || list[i].is("then") {
			return &judged{asked: list[n:i], rest: trimmed(list[i+1:])}
		}
		if i > n+1 && verbs[list[i].low] && list[i].kind == word && startsOrder(list[i:]) && !list[i-1].is("to", "a", "the", "and", "not", "you", "we", "i", "can", "doesn't", "don't", "will", "or") && !prepositions[list[i-1].low] && i+1 < len(list) && (determiners[list[i+1].low] || pronouns[list[i+1].low]) {
			return &judged{asked: list[n:i], rest: list[i:]}
		}
	}
	return &judged{asked: list[n:]}
}

func unitOf(s *span) string {
	if s.low != nil && s.low.unit != "" {
		return s.low.unit
	}
	if s.high != nil {
		return s.high.unit
	}
	return ""
}

// thatSpan reads "above that" by the last limit that was said.
func (m *maker) thatSpan(list []token, i int) (s span, next int, ok bool) {
	d := m.lastDecide()
	if d == nil || d.reading == nil || len(d.branches) == 0 || i+1 >= len(list) || !list[i+1].is("that", "this", "it") {
		return s, i, false
	}
	last := d.branches[len(d.branches)-1].span
	switch {
	case list[i].is("above", "over", "beyond", "past") && last.high != nil:
		if last.form == below || last.form == fromToBelow || last.form == aboveToBelow {
			return span{form: atLeast, low: last.high}, i + 2, true
		}
		return span{form: above, low: last.high}, i + 2, true
	case list[i].is("below", "under") && last.low != nil:
		if last.form == above || last.form == aboveTo || last.form == aboveToBelow {
			return span{form: atMost, high: last.low}, i + 2, true
		}
		return span{form: below, high: last.low}, i + 2, true
	}
	return s, i, false
}

// bareCase tells that a range without "if" is a case of the reading at hand:
// "below 2 mm: grind again", "anything over ten bar, scrap it".
func (m *maker) bareCase(list []token, i int, s *span) bool {
	if m.reading == nil {
		return false
	}
	for k := range i {
		if !list[k].is("anything", "everything", "whatever", "all", "a", "reading", "readings", "value", "values", "is", "it's", "of", "from") {
			return false
		}
	}
	if list[i].is("from") && i+4 > len(list) {
		return false
	}
	u := unitOf(s)
	if u == "" || m.reading.unit == "" {
		return true
	}
	return dimension(u) == dimension(m.reading.unit)
}

// consequent is what follows from a case, without the words between.
func consequent(list []token) []token {
	for len(list) > 0 && (list[0].kind == mark || list[0].is("then", "so", "and")) {
		list = list[1:]
	}
	return list
}

func (m *maker) isCondition(list []token) bool { return m.judge(list) != nil }

// condition adds a case to the decision at hand, or begins one.
func (m *maker) condition(s *sentence, c []token, more [][]token) {
	j := m.judge(c)
	parts := more
	if len(j.rest) > 0 {
		parts = append(clauses(j.rest), more...)
	}
	switch {
	case j.other:
		m.otherCase(s, c, parts)
	case j.asked != nil:
		m.asked(s, c, j, parts)
	default:
		d := m.decisionOn(j)
		b := &branch{span: j.span}
		d.branches = append(d.branches, b)
		m.adopt(d.reading, &j.span)
		m.fill(s, b, parts)
	}
}

// adopt gives a reading the unit of the limits it is judged by.
func (m *maker) adopt(r *reading, s *span) {
	u := unitOf(s)
	if u != "" && u != degrees && (r.unit == "" || r.guessed) {
		r.unit, r.guessed = u, false
	}
}

// lastDecide gives the decision that the next case may belong to: nothing but
// comments stands behind it.
func (m *maker) lastDecide() *decide {
	for i := len(m.open.nodes) - 1; i >= 0 && i > len(m.open.nodes)-10; i-- {
		switch n := m.open.nodes[i].(type) {
		case *decide:
			return n
		case comment:
		default:
			return nil
		}
	}
	return nil
}

// decisionOn finds the decision that a case belongs to, and its reading.
func (m *maker) decisionOn(j *judged) *decide {
	r := m.reading
	for k := range j.subject {
		if n, _ := readName(j.subject, k); n != nil && n.pronoun == "" && len(n.words) > 0 && !contains(n.words, "anything") {
			words := n.words
			if len(words) == 1 && (words[0] == "reading" || words[0] == "value") {
				break
			}
			if named := m.readingOf(words); named != nil {
				r = named
			} else if r == nil || n.det != "" {
				r = m.newReading(words)
			}
			break
		}
	}
	if r == nil {
		r = m.newReading([]string{"reading"})
	}
	if d := m.lastDecide(); d != nil && d.reading == r {
		return d
	}
	d := &decide{reading: r}
	m.open.nodes = append(m.open.nodes, d)
	m.count.decisions++
	return d
}

// required reads "it should be at least 12 mm": the case in which it is good.
func (m *maker) required(s *sentence, c []token) bool {
	list := strip(c)
	at := -1
	for _, p := range []string{"you want", "we want", "i want", "you need", "we need", "you're looking for", "what you want is", "what we want is"} {
		if n := matches(list, 0, p); n > 0 {
			at = n
		}
	}
	for i := 0; i < len(list) && i < 8 && at < 0; i++ {
		if list[i].is("should", "must") || list[i].is("has", "needs", "have") && i+1 < len(list) && list[i+1].is("to") {
			at = i + 1
			break
		}
	}
	if at < 0 || m.reading == nil {
		return false
	}
	for at < len(list) && list[at].is("to", "be", "read", "measure", "show", "have", "lie", "stay", "still") {
		at++
	}
	sp, next, ok := readSpan(list, at)
	if !ok || m.reading.unit != "" && unitOf(&sp) != "" && dimension(unitOf(&sp)) != dimension(m.reading.unit) {
		return false
	}
	if u := unitOf(&sp); u == "" || dimension(u) == dimension("min") {
		return false
	}
	d := m.decisionOn(&judged{subject: list[:max(0, at-2)], span: sp})
	b := &branch{span: sp, accept: true, meaning: "As it should be."}
	d.branches = append(d.branches, b)
	m.adopt(d.reading, &sp)
	if rest := consequent(list[next:]); len(rest) > 0 {
		m.fill(s, b, clauses(rest))
	}
	return true
}

// otherCase adds what is left of a decision.
func (m *maker) otherCase(s *sentence, c []token, parts [][]token) {
	d := m.lastDecide()
	b := &branch{}
	switch {
	case d.ask != nil:
		for _, have := range d.branches {
			if have.answer == "no" && len(have.body.nodes) == 0 && have.finish == "" {
				m.fill(s, have, parts)
				return
			}
		}
		m.said(s, c)
		return
	case len(d.branches) == 1:
		o, ok := d.branches[0].span.opposite()
		if !ok {
			m.said(s, c)
			return
		}
		b.span = o
	default:
		o, ok := leftOf(d.branches)
		if !ok {
			m.said(s, c)
			return
		}
		b.span = o
	}
	d.branches = append(d.branches, b)
	m.fill(s, b, parts)
}

// leftOf gives what two one-sided cases leave between them.
func leftOf(list []*branch) (span, bool) {
	if len(list) != 2 {
		return span{}, false
	}
	var low, high *span
	for _, b := range list {
		switch b.span.form {
		case below, atMost:
			low = &b.span
		case above, atLeast:
			high = &b.span
		}
	}
	if low == nil || high == nil {
		return span{}, false
	}
	f := fromTo
	switch {
	case low.form == atMost && high.form == atLeast:
		f = aboveToBelow
	case low.form == atMost:
		f = aboveTo
	case high.form == atLeast:
		f = fromToBelow
	}
	return span{f, low.high, high.low}, true
}

// asked makes a question of a condition without a value: it is put at the step
// before, and its two answers go on.
func (m *maker) asked(s *sentence, c []token, j *judged, parts [][]token) {
	does := false
	for _, p := range parts {
		does = does || startsOrder(p) || outcome(p) != ""
	}
	var before *step
	if n := len(m.open.nodes); n > 0 {
		before, _ = m.open.nodes[n-1].(*step)
	}
	if d := m.lastDecide(); before == nil && d != nil && d.ask == nil {
		before = nil
	}
	if !does {
		if harmful(c) {
			m.danger(s, c)
		} else {
			m.said(s, c)
		}
		for _, p := range parts {
			m.said(s, p)
		}
		return
	}
	if before == nil || before.ask != nil || len(j.asked) == 0 {
		// No step to ask it at: the condition stays in the text.
		for _, p := range parts {
			if o := findOrder(p); o != nil {
				o.ahead = append([]token{{kind: word, text: "if", low: "if", from: o.from, to: o.to}}, j.asked...)
				st := m.step(s, o)
				st.check("a condition without a value: ask and decide, where it is known")
			} else {
				m.said(s, p)
			}
		}
		return
	}
	m.asks++
	a := &ask{id: m.unique(fmt.Sprintf("answer-%d", m.asks), "answer"), question: "Is it so: " + plain(mine(j.asked)) + "?"}
	before.ask = a
	before.check("word the question: is it one that is answered with yes or no?")
	d := &decide{ask: a}
	m.open.nodes = append(m.open.nodes, d)
	m.count.decisions++
	yes, no := &branch{answer: "yes"}, &branch{answer: "no"}
	d.branches = []*branch{yes, no}
	m.fill(s, yes, parts)
}

// outcome tells how a case ends the job: "refer", "scrap", or not at all.
func outcome(list []token) string {
	o := findOrder(list)
	if o == nil {
		for i := range list {
			if list[i].is("scrap") && i > 0 && (list[i-1].is("is", "it's", "are", "for") || list[i-1].kind == mark) {
				return "scrap"
			}
		}
		return ""
	}
	switch o.verb {
	case "scrap", "discard", "bin":
		return "scrap"
	case "call", "inform", "refer", "report", "stop", "send":
		return "refer"
	case "tell", "ask", "get":
		for i := range o.body {
			if o.body[i].is("supervisor", "me", "us", "foreman", "boss", "office", "engineer", "manager", "electrician", "workshop") {
				return "refer"
			}
		}
	case "throw":
		for i := range o.body {
			if o.body[i].is("away") {
				return "scrap"
			}
		}
	}
	return ""
}

// goods say that a case is as it should be.
var goods = []string{"fine", "good", "okay", "ok", "can stay", "stays", "carry on", "go on", "continue", "you're done", "you are done", "happy days", "all right", "alright", "in order", "passes", "pass", "perfect", "no problem", "leave it", "leave it alone", "keep it", "reuse", "can be used again", "proceed", "move on", "accept"}

func good(list []token) bool {
	for i := range list {
		for _, g := range goods {
			if matches(list, i, g) > 0 && (i == 0 || !list[i-1].is("not", "isn't", "no", "never")) {
				return true
			}
		}
		if list[i].is("use") {
			for k := i; k < len(list); k++ {
				if list[k].is("again") {
					return true
				}
			}
		}
	}
	return false
}

// approving are verbs that say no more than that a case is good.
var approving = set(`go carry continue reuse use keep leave proceed accept move pass let`)

// fill gives a case its meaning, its steps and its end.
func (m *maker) fill(s *sentence, b *branch, parts [][]token) {
	outer, kept := m.open, len(m.kept)
	m.open = &b.body
	m.inCase++
	defer func() {
		m.open = outer
		m.inCase--
		m.restore(kept)
	}()
	var end [][]token
	for _, p := range parts {
		p = trimmed(p)
		if len(p) == 0 {
			continue
		}
		if end != nil {
			end = append(end, p)
			continue
		}
		if out := outcome(p); out != "" {
			b.finish = out
			end = append(end, p)
			continue
		}
		// "tag the casing and tell the supervisor": what is done comes first.
		if first, last := m.beforeOutcome(p); last != nil {
			if o := findOrder(first); o != nil {
				m.step(s, o)
			}
			b.finish = outcome(last)
			end = append(end, last)
			continue
		}
		if warns(p) {
			m.warning(s, p)
			continue
		}
		if o := findOrder(p); good(p) && len(b.body.nodes) == 0 && o != nil && !approving[o.verb] {
			// "grease it and reuse it" is good and something to do.
			b.accept = true
			m.step(s, o)
			continue
		}
		if good(p) && len(b.body.nodes) == 0 {
			b.accept = true
			b.meaning = meaning(p)
			continue
		}
		if o := findOrder(p); o != nil {
			// A circumstance before it is its meaning: "it's worn, take a new disc".
			m.step(s, o)
			continue
		}
		if k := orderInside(p); k > 0 {
			if b.meaning == "" {
				b.meaning = meaning(p[:k])
			}
			m.fillOne(s, b, trimmed(p[k:]))
			continue
		}
		if b.meaning == "" {
			b.meaning = meaning(p)
		} else {
			m.said(s, p)
		}
	}
	if end != nil {
		var texts []string
		for _, p := range end {
			if o := findOrder(p); o != nil {
				body, _ := tidy(o.body)
				texts = append(texts, whole(mine(append(o.tokens()[:1:1], body...))))
			} else {
				texts = append(texts, whole(mine(p)))
			}
		}
		b.text = strings.Join(texts, " ")
	}
}

func (m *maker) fillOne(s *sentence, b *branch, p []token) {
	if out := outcome(p); out != "" {
		b.finish = out
		if o := findOrder(p); o != nil {
			b.text = whole(mine(o.tokens()))
		}
		return
	}
	if o := findOrder(p); o != nil {
		m.step(s, o)
	}
}

// beforeOutcome parts an instruction before the verb that ends the job.
func (m *maker) beforeOutcome(p []token) (first, last []token) {
	if findOrder(p) == nil {
		return nil, nil
	}
	for i := 1; i < len(p)-1; i++ {
		if (p[i].is("and") || p[i].kind == mark && p[i].low == ",") && outcome(p[i+1:]) != "" {
			return trimmed(p[:i]), p[i+1:]
		}
	}
	return nil, nil
}

// orderInside finds where behind a comma an instruction begins.
func orderInside(p []token) int {
	for i := 1; i < len(p)-1; i++ {
		if (p[i].kind == mark && p[i].low == "," || p[i].is("so", "and")) && startsOrder(p[i+1:]) {
			return i + 1
		}
	}
	return 0
}

// meaning is what a case says of the thing.
func meaning(p []token) string {
	p = trimmed(mine(strip(p)))
	if len(p) == 0 {
		return ""
	}
	return whole(p)
}
