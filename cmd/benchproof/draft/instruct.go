package draft

import "strings"

// An order is an instruction as found in a talk: "and now I'm pulling the seal
// off" orders to pull the seal off.
type order struct {
	// ahead is the circumstance that stands before it: "when it drips".
	ahead []token
	verb  string
	// body is what follows the verb.
	body []token
	from int
	to   int
}

// tokens gives the order's own words, the verb first.
func (o *order) tokens() []token {
	v := token{kind: word, text: o.verb, low: o.verb, from: o.from, to: o.from}
	return append([]token{v}, o.body...)
}

// startsOrder tells whether an instruction may begin at the start of a run.
func startsOrder(list []token) bool {
	return findOrder(list) != nil
}

// strip takes off what is said before an instruction.
func strip(list []token) []token {
	for len(list) > 0 {
		if list[0].kind == mark && list[0].low != "(" {
			list = list[1:]
			continue
		}
		n := 0
		for _, l := range leadIns {
			if k := matches(list, 0, l); k > n {
				n = k
			}
		}
		if n == 0 || n >= len(list) {
			return list
		}
		// "right" and "well" may begin the name of a thing; behind them a comma
		// or another way to begin tells.
		list = list[n:]
	}
	return list
}

// findOrder reads the instruction that a run of tokens begins with.
func findOrder(list []token) *order { return orderIn(list, true) }

// orderIn reads an instruction; a circumstance may stand before it once.
func orderIn(list []token, circumstance bool) *order {
	all := list
	list = strip(list)
	for i := range list {
		if list[i].is("today", "tonight") {
			return nil // it tells what the talk is about
		}
	}
	if len(list) == 0 {
		return nil
	}
	o := &order{from: all[0].from, to: all[len(all)-1].to}
	// "two people lift the lid off"
	if n := people(list); n > 0 {
		you := token{kind: word, text: "you", low: "you"}
		if v, body, ok := subjectOrder(append([]token{you}, list[n:]...)); ok {
			with := append([]token(nil), list[:n]...)
			for i := range with {
				with[i].text = with[i].low
			}
			o.ahead = append([]token{{kind: word, text: "with", low: "with", from: o.from, to: o.from}}, with...)
			o.verb, o.body = v, body
			return o
		}
	}
	if list[0].kind != word {
		return behindRemark(list, o)
	}
	// A circumstance before it: "when it drips, close the vent".
	if circumstance && list[0].is("when", "once", "before", "after", "until", "while", "whenever", "with", "without", "for", "using", "as", "on", "in", "at", "from", "to", "by", "every") {
		// "to start, …": what stands before the comma is kept as it is.
		for i := 1; i < len(list) && i < 16; i++ {
			comma := list[i].kind == mark && list[i].low == ","
			if !comma && !(list[i].kind == word && subjects[list[i].low] && list[0].is("for", "with", "without", "using", "every", "from", "at", "in", "on")) {
				continue
			}
			rest := list[i:]
			if comma {
				rest = list[i+1:]
			}
			if in := orderIn(rest, false); in != nil {
				in.ahead = list[:i]
				in.from = o.from
				return in
			}
		}
		return nil
	}
	if list[0].is("stop", "carry", "go", "continue", "wait", "come") && (len(list) == 1 || len(list) == 2 && list[1].is("on", "there", "ahead", "now")) && !list[0].is("wait") {
		return nil // said to somebody at the bench
	}
	if v, n := makeSure(list); n > 0 {
		o.verb, o.body = v, list[n:]
		return o
	}
	// "the key, I take that out": what is acted on stands first.
	if t := topic(list); t != nil {
		t.from, t.to = o.from, o.to
		return t
	}
	if v, body, ok := subjectOrder(list); ok {
		o.verb, o.body = v, body
		return o
	}
	if list[0].is("do") && len(list) > 1 && list[1].is("not") || list[0].is("never", "don't") {
		return nil
	}
	if verbs[list[0].low] && !falseStart(list) {
		o.verb, o.body = list[0].low, list[1:]
		return o
	}
	if len(list) > 1 && (strings.HasSuffix(list[0].low, "ly") || list[0].is("just", "always")) && verbs[list[1].low] && !falseStart(list[1:]) {
		o.verb, o.body = list[1].low, append(list[2:len(list):len(list)], list[0])
		o.body[len(o.body)-1].text = list[0].low
		return o
	}
	if in := passive(list, o); in != nil {
		return in
	}
	return behindRemark(list, o)
}

// behindRemark reads "there's two of them, you back them off" and "three more
// rings, push the gland in": what stands before the comma tells nothing to do.
func behindRemark(list []token, o *order) *order {
	for i := 1; i < len(list)-2 && i < 12; i++ {
		if list[i].kind != mark || list[i].low != "," {
			continue
		}
		rest := strip(list[i+1:])
		if len(rest) < 2 {
			return nil
		}
		if v, body, ok := subjectOrder(rest); ok {
			o.verb, o.body = v, body
			return o
		}
		if n, next := readName(list, 0); n != nil && next == i && rest[0].kind == word && verbs[rest[0].low] && !falseStart(rest) && (rest[1].kind == word && (determiners[rest[1].low] || pronouns[rest[1].low])) {
			o.verb, o.body = rest[0].low, rest[1:]
			return o
		}
		return nil
	}
	return nil
}

// people reads "two people" and "two of you", and tells how many tokens it has.
func people(list []token) int {
	if len(list) < 3 || !(list[0].kind == number || list[0].is("both")) {
		return 0
	}
	switch {
	case list[1].is("people", "men", "fitters", "persons"):
		return 2
	case list[1].is("of") && list[2].is("you", "us"):
		return 3
	}
	return 0
}

// makeSure reads "make sure" and "be sure": they say what must be so.
func makeSure(list []token) (string, int) {
	for _, p := range []string{"you make sure", "we make sure", "i make sure", "make sure", "be sure", "ensure"} {
		if n := matches(list, 0, p); n > 0 {
			return "make sure", n
		}
	}
	return "", 0
}

// falseStart tells of a verb that is the name of a thing here: "press is over
// there", "seal and sleeve".
func falseStart(list []token) bool {
	if len(list) == 1 {
		return !list[0].is("stop", "wait", "repeat", "continue")
	}
	n := &list[1]
	if n.kind == mark {
		return n.low == ":" || n.low == "(" || n.low == "," && !list[0].is("stop", "wait")
	}
	if n.is("is", "are", "was", "were", "has", "have", "can", "will", "must", "should", "of", "goes", "comes", "number", "isn't", "it's", "needs", "gets") {
		return true
	}
	return n.kind == reference
}

// subjectOrder reads "you take", "now I'm pulling", "we have to clean".
func subjectOrder(list []token) (verb string, body []token, ok bool) {
	i := 0
	helped := ""
	if s, is := shortForms[list[0].low]; is {
		helped = s[1]
		i = 1
	} else if subjects[list[0].low] {
		i = 1
	} else {
		return "", nil, false
	}
	if helped == "have" {
		return "", nil, false // done already
	}
	strong := false
	for {
		n := 0
		for _, h := range helpers {
			if k := matches(list, i, h); k > n {
				n = k
			}
		}
		if helped == "are" || helped == "am" {
			for _, h := range []string{"going to", "gonna"} {
				if k := matches(list, i, h); k > n {
					n, strong = k, true
				}
			}
		}
		if n == 0 && i < len(list) && (list[i].is("am", "are") || strings.HasSuffix(list[i].low, "ly") && list[i].kind == word) {
			if list[i].is("am", "are") {
				helped = "are"
			}
			n = 1
		}
		if n == 0 {
			break
		}
		if list[i+n-1].is("by") {
			helped = "are" // what follows ends in -ing
		}
		if list[i].is("can", "have", "need", "must", "should", "want", "will") {
			strong = true
		}
		i += n
	}
	if i >= len(list) || list[i].kind != word {
		return "", nil, false
	}
	w := list[i].low
	if base, is := gerund(w); is && (helped == "are" || helped == "am") {
		if noTask[base] {
			return "", nil, false
		}
		return base, list[i+1:], true
	}
	if (helped == "are" || helped == "am") && !strong {
		return "", nil, false
	}
	if w == "back" && i+1 < len(list) && (determiners[list[i+1].low] || list[i+1].is("it", "them")) {
		return w, list[i+1:], true // "you back the nut off"
	}
	if w == "start" && i+1 < len(list) && list[i+1].is("with", "at", "on") {
		return "", nil, false
	}
	if !verbs[w] || noTask[w] || w == "go" && !going(list[i+1:]) {
		return "", nil, false
	}
	if i+1 >= len(list) && !intransitive[w] {
		return "", nil, false
	}
	return w, list[i+1:], true
}

// going tells that "go" is something to do: "go back half a turn", and no way
// to tell of what comes next.
func going(list []token) bool {
	return len(list) > 0 && (list[0].is("back", "round", "around", "forward", "over", "through", "again") || strings.HasSuffix(list[0].low, "ly") || list[0].kind == amount)
}

// intransitive are verbs that say enough alone.
var intransitive = set(`wait stop go repeat continue grind drill tap measure clean`)

// gerund gives the verb of a form in -ing.
func gerund(w string) (string, bool) {
	stem, ok := strings.CutSuffix(w, "ing")
	if !ok || len(stem) < 2 {
		return "", false
	}
	n := len(stem)
	var tries []string
	if n > 2 && stem[n-1] == stem[n-2] {
		tries = append(tries, stem[:n-1])
	}
	tries = append(tries, stem, stem+"e")
	if stem == "ty" {
		tries = append(tries, "tie")
	}
	for _, t := range tries {
		if verbs[t] {
			return t, true
		}
	}
	return "", false
}

// participle gives the verb of a form in -ed and the like.
func participle(w string) (string, bool) {
	if v, ok := participles[w]; ok {
		return v, true
	}
	stem, ok := strings.CutSuffix(w, "ed")
	if !ok || len(stem) < 2 {
		return "", false
	}
	n := len(stem)
	tries := []string{stem, stem + "e"}
	if n > 2 && stem[n-1] == stem[n-2] {
		tries = append(tries, stem[:n-1])
	}
	if strings.HasSuffix(stem, "i") {
		tries = append(tries, stem[:n-1]+"y")
	}
	for _, t := range tries {
		if verbs[t] {
			return t, true
		}
	}
	return "", false
}

// topic reads "the seat, you lap it with paste" as "lap the seat with paste".
func topic(list []token) *order {
	if !determiners[list[0].low] && list[0].kind != number {
		return nil
	}
	n, next := readName(list, 0)
	if n == nil || next >= len(list) || list[next].kind != mark || list[next].low != "," {
		return nil
	}
	verb, body, ok := subjectOrder(strip(list[next+1:]))
	if !ok {
		return nil
	}
	for i := range body {
		if body[i].is("it", "that", "them", "this") {
			out := append([]token(nil), body[:i]...)
			out = append(out, small(list[:next])...)
			return &order{verb: verb, body: append(out, body[i+1:]...)}
		}
		if i > 3 {
			break
		}
	}
	return nil
}

// small gives a name that began a sentence its small letter back.
func small(list []token) []token {
	out := append([]token(nil), list...)
	if len(out) > 0 && determiners[out[0].low] {
		out[0].text = out[0].low
	}
	return out
}

// moves are statements of where a thing goes: "the cover goes back on".
var moves = []struct{ phrase, verb, rest string }{
	{"goes back", "put", "back"}, {"go back", "put", "back"}, {"comes back", "put", "back"}, {"goes", "put", ""},
	{"comes off", "take", "off"}, {"come off", "take", "off"}, {"comes out", "take", "out"}, {"come out", "take", "out"},
}

// passive reads "the cover goes back on" and "the seat must be cleaned".
func passive(list []token, o *order) *order {
	n, next := readName(list, 0)
	if n == nil || next >= len(list) {
		return nil
	}
	if list[next].kind == mark && list[next].low == "," && next+1 < len(list) {
		next++
	}
	name := list[n.from:n.to]
	if n.pronoun != "" {
		it := token{kind: word, text: "it", low: "it", from: o.from, to: o.to}
		if n.pronoun == "those" || n.pronoun == "these" || n.pronoun == "them" {
			it.text, it.low = "them", "them"
		}
		name = []token{it}
	}
	if v := ellipsis(list[next:]); v != "" && n.pronoun == "" && (n.det != "" || partWords[n.head()]) {
		o.verb = v
		o.body = append(small(name), list[next:]...)
		return o
	}
	if list[next].is("now", "then", "just", "also") && next+1 < len(list) {
		next++
	}
	for _, m := range moves {
		k := matches(list, next, m.phrase)
		if k == 0 {
			continue
		}
		rest := list[next+k:]
		if m.rest == "" && (len(rest) == 0 || !rest[0].is("on", "in", "into", "onto", "over", "back")) {
			continue
		}
		o.verb = m.verb
		o.body = small(name)
		if m.rest != "" {
			o.body = append(o.body, token{kind: word, text: m.rest, low: m.rest, from: o.from, to: o.to})
		}
		o.body = append(o.body, rest...)
		return o
	}
	for _, p := range []string{"has to be", "have to be", "needs to be", "need to be", "must be", "should be", "is to be", "are to be", "gets", "get"} {
		k := matches(list, next, p)
		if k == 0 || next+k >= len(list) {
			continue
		}
		v, ok := participle(list[next+k].low)
		if !ok {
			continue
		}
		o.verb = v
		o.body = append(small(name), list[next+k+1:]...)
		return o
	}
	return nil
}

// ellipsis reads what stands behind a name where the verb was left out: "guard
// back on".
func ellipsis(rest []token) string {
	end := func(n int) bool { return n >= len(rest) || rest[n].kind == mark || rest[n].is("and", "again") }
	switch {
	case rest[0].is("back") && len(rest) > 1 && rest[1].is("on", "in", "off") && end(2):
		return "put"
	case rest[0].is("off", "out") && end(1):
		return "take"
	}
	return ""
}

// clauses parts a sentence where another thing to do begins: behind "then", a
// semicolon, a dash, "but never".
func clauses(list []token) [][]token {
	var out [][]token
	start := 0
	for i := 1; i < len(list); i++ {
		at, behind := partsAt(list, i)
		if !at {
			continue
		}
		if first := list[start:i]; len(first) > 0 {
			out = append(out, trimmed(first))
		}
		start = behind
		i = behind
	}
	if start < len(list) {
		out = append(out, trimmed(list[start:]))
	}
	kept := out[:0]
	for _, c := range out {
		if len(c) > 0 {
			kept = append(kept, c)
		}
	}
	return kept
}

// partsAt tells whether a clause ends before i, and where the next begins.
func partsAt(list []token, i int) (bool, int) {
	t := &list[i]
	if t.kind == mark {
		if i+1 >= len(list) {
			return false, 0
		}
		switch t.low {
		case ";", "–", "…":
			return true, i + 1
		case ":":
			return startsOrder(list[i+1:]) || warns(list[i+1:]) || startsCase(list[i+1:]), i + 1
		case ",":
			k := i + 1
			for k < len(list) && list[k].is("and", "but", "so") {
				k++
			}
			if k >= len(list) {
				return false, 0
			}
			if list[k].is("then", "afterwards", "finally") && startsOrder(list[k:]) {
				return true, k
			}
			if (k > i+1 && list[k-1].is("but", "so")) && (startsOrder(list[k:]) || warns(list[k:])) {
				return true, k
			}
			if warns(list[k:]) || startsCase(list[k:]) {
				return true, k
			}
			if list[k].is("if") && (k > i+1 || goesOnBehind(list[k+1:])) {
				return true, k
			}
		}
		return false, 0
	}
	if i+1 < len(list) && t.is("and") && list[i+1].is("then", "finally", "now") && startsOrder(list[i+1:]) {
		return true, i + 1
	}
	if t.is("but") && i+1 < len(list) && warns(list[i+1:]) {
		return true, i + 1
	}
	if t.is("and") && i+1 < len(list) && list[i+1].is("never", "don't") && warns(list[i+1:]) {
		return true, i + 1
	}
	if t.is("then") && i+1 < len(list) && (subjects[list[i+1].low] || shortForms[list[i+1].low][0] != "") && startsOrder(list[i:]) {
		return true, i
	}
	return false, 0
}

// startsCase tells that a case of a decision begins: "below 59.8 …, …".
func startsCase(list []token) bool {
	i := 0
	for i < len(list) && i < 2 && list[i].is("anything", "everything", "whatever") {
		i++
	}
	if i >= len(list) || list[i].kind != word || list[i].is("up") {
		return false
	}
	_, next, ok := readSpan(list, i)
	return ok && next < len(list)
}

// goesOnBehind tells that behind a condition still stands what to do.
func goesOnBehind(list []token) bool {
	for i := range list {
		if list[i].kind == mark && list[i].low == "," || list[i].is("then") {
			return i+1 < len(list)
		}
	}
	return false
}

func trimmed(list []token) []token {
	for len(list) > 0 && list[0].kind == mark && list[0].low != "(" {
		list = list[1:]
	}
	for len(list) > 0 && list[len(list)-1].kind == mark && list[len(list)-1].low != ")" {
		list = list[:len(list)-1]
	}
	return list
}

// tidy takes from what follows the verb who does it ("and you put") and what
// only explains it (", we can't do that here"). What explains is given back.
func tidy(body []token) (kept, aside []token) {
	kept = make([]token, 0, len(body))
	for i := 0; i < len(body); i++ {
		t := &body[i]
		joint := i == 0 || body[i-1].kind == mark && body[i-1].low != "(" || body[i-1].is("and", "then", "so", "because", "or", "but", "where", "that")
		if !joint || t.kind != word {
			kept = append(kept, *t)
			continue
		}
		if (subjects[t.low] || shortForms[t.low][0] != "") && i > 0 {
			if !body[i-1].is("so", "because", "where", "that") {
				if v, rest, ok := subjectOrder(body[i:]); ok {
					vt := *t
					vt.text, vt.low = v, v
					kept = append(kept, vt)
					i = len(body) - len(rest) - 1
					continue
				}
			}
		}
		behindMark := i > 0 && body[i-1].kind == mark && body[i-1].low != "("
		if i > 0 && (behindMark || body[i-1].is("and", "so", "because", "but")) && tells(body[i:]) {
			aside = body[i:]
			if t.is("so", "because") {
				aside = body[i+1:]
			}
			for len(kept) > 0 && (kept[len(kept)-1].kind == mark && kept[len(kept)-1].low != ")" || kept[len(kept)-1].is("and", "so", "because", "but")) {
				kept = kept[:len(kept)-1]
			}
			return kept, aside
		}
		kept = append(kept, *t)
	}
	return kept, nil
}

// tells finds a clause that says how things are: "it's stainless", "we
// can't do that here", "the chips fly".
func tells(list []token) bool {
	if len(list) == 0 || list[0].kind != word {
		return false
	}
	if list[0].is("so", "because") && len(list) > 1 {
		return subjects[list[1].low] || shortForms[list[1].low][0] != "" || pronouns[list[1].low] || auxiliaries[list[1].low] || tells(list[1:])
	}
	if shortForms[list[0].low][0] != "" || list[0].is("it's", "that's", "there's", "they're", "it'll") {
		return list[0].low != "that's" || len(list) < 2 || list[1].kind != reference
	}
	if subjects[list[0].low] || list[0].is("it", "they", "that", "this", "there") {
		return len(list) > 1 && list[1].kind == word
	}
	if n, next := readName(list, 0); n != nil && next < len(list) && list[0].kind == word && determiners[list[0].low] {
		return auxiliaries[list[next].low] && list[next].kind == word
	}
	return false
}
