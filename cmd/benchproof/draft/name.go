package draft

import (
	"benchproof/compiler/quantity"
	"strconv"
	"strings"
	"unicode"
)

// A name is how a thing is called at one place of the talk: "the six old
// casing nuts, P-1008".
type name struct {
	from, to int // the tokens, the number included
	// nounTo is the token behind the words, before the number.
	nounTo int
	det    string
	count  int
	// words are its words in the singular, without qualities that pass.
	words  []string
	plural string // as said, where it was said in the plural
	fresh  bool   // called new
	old    bool
	ref    string
	// pronoun is set where it only points back.
	pronoun string
}

func (n *name) key() string { return strings.Join(n.words, " ") }

func (n *name) head() string {
	if len(n.words) == 0 {
		return ""
	}
	return n.words[len(n.words)-1]
}

// pointers are what may stand between a name and its number.
var pointers = []string{"that's number", "that is number", "this is number", "it's number", "which is number", "number", "that's tool", "that's part", "that's the", "that is", "that's", "it's", "this is", "which is", "called", "tool number", "part number", "tool", "part", "item", "no.", "is", "are", "has the number", "with the number", "they're", "these are", "those are", "was"}

// readName reads a thing's name at i, and gives the token behind it; nil where
// none stands there.
func readName(list []token, i int) (*name, int) {
	start := i
	n := &name{from: start}
	if i >= len(list) {
		return nil, i
	}
	if list[i].kind == word && pronouns[list[i].low] && !(determiners[list[i].low] && i+1 < len(list) && nounLike(list, i+1)) {
		if list[i].is("it", "them", "that", "this", "everything", "these", "those", "one", "ones") {
			n.pronoun, n.to, n.nounTo = list[i].low, i+1, i+1
			return n, i + 1
		}
		return nil, start
	}
	for i < len(list) && list[i].kind == word && (determiners[list[i].low] || list[i].is("of", "own") && i > start) {
		if list[i].is("new", "another") {
			n.fresh = true
		}
		if list[i].low != "of" && n.det == "" || list[i].is("the") {
			n.det = list[i].low
		}
		if list[i].is("another") {
			n.fresh = true
		}
		if list[i].is("both") {
			n.count = 2
		}
		i++
	}
	// "number 27", "T-0062, the seal puller" and "T-0062 seal puller".
	if i < len(list) && list[i].is("number", "tool", "part", "item") && i+1 < len(list) && list[i+1].kind == reference {
		i++
	}
	if i < len(list) && list[i].kind == reference {
		n.ref = list[i].value
		i++
		k := i
		if k < len(list) && list[k].kind == mark && list[k].low == "," {
			k++
		}
		if p := matches(list, k, "that's"); p > 0 {
			k += p
		}
		if start > 1 && list[start-1].kind == mark && list[start-1].low == "," && particles[list[start-2].low] {
			n.to, n.nounTo = i, i
			return n, i // "put the plug on, P-9105, the rubber side down"
		}
		if k > i && !(k < len(list) && list[k].kind == word && determiners[list[k].low]) {
			n.to, n.nounTo = i, i
			return n, i
		}
		if w, next := readName(list, k); w != nil && w.ref == "" && w.pronoun == "" && len(w.words) > 0 && (k > i || w.det == "" || w.det == "the") && next-k < 5 {
			w.ref, w.from = n.ref, start
			if n.fresh {
				w.fresh = true
			}
			return w, next
		}
		n.to, n.nounTo = i, i
		return n, i
	}
	if i < len(list) && list[i].kind == number && !strings.ContainsAny(list[i].value, ".-") {
		if c, err := strconv.Atoi(list[i].value); err == nil && c >= 1 && c <= 999 {
			n.count = c
		}
		i++
		if i < len(list) && list[i].is("more", "other") {
			i++
		}
	}
	if i+2 < len(list) && list[i].kind == word && portions[singular(list[i].low)] && list[i+1].is("of") && (n.det == "a" || n.det == "an" || n.det == "" || n.count > 0) && nounLike(list, i+2) {
		i += 2 // "a bit of silicone oil"
	}
	for i < len(list) {
		t := &list[i]
		if t.kind == amount && sizes[dimension(t.unit)] && i+1 < len(list) && list[i+1].kind == word && nounLike(list, i+1) {
			n.words = append(n.words, amountText(t))
			i++
			continue
		}
		if t.kind != word || !nounLike(list, i) {
			break
		}
		w := t.low
		if len(n.words) > 0 && states[w] && !(i+1 < len(list) && nounLike(list, i+1) && list[i+1].kind == word && !states[list[i+1].low]) {
			break
		}
		if len(n.words) > 0 && verbs[w] && i > 0 && list[i-1].is("and") {
			break
		}
		if len(n.words) == 0 && strings.HasSuffix(w, "ly") && len(w) > 4 && !partWords[w] {
			break
		}
		if len(n.words) > 0 && strings.HasSuffix(w, "ly") && w != "assembly" {
			break
		}
		i++
		if passing[w] && n.key() == "" {
			n.fresh = n.fresh || w == "new" || w == "fresh" || w == "spare" || w == "brand-new"
			n.old = n.old || w == "old" || w == "worn" || w == "used" || w == "damaged"
			continue
		}
		n.words = append(n.words, w)
		if len(n.words) >= 5 {
			break
		}
	}
	if len(n.words) == 0 {
		return nil, start
	}
	if len(n.words) == 1 && (states[n.words[0]] || n.det == "" && n.count == 0 && strings.HasSuffix(n.words[0], "ing") && gerundOnly(n.words[0])) {
		return nil, start
	}
	last := len(n.words) - 1
	if s := singular(n.words[last]); s != n.words[last] {
		n.plural = strings.Join(n.words, " ")
		n.words[last] = s
	}
	n.nounTo, n.to = i, i
	n.refBehind(list)
	return n, n.to
}

// sizes are the dimensions by which things are called: a 13 mm socket, a 230 V
// relay.
var sizes = map[quantity.Dimension]bool{quantity.Length: true, quantity.Voltage: true, quantity.Current: true, quantity.Power: true, quantity.Pressure: true}

// gerundOnly tells that a word in -ing is a verb's form and no thing.
func gerundOnly(w string) bool {
	_, is := gerund(w)
	return is && !partWords[w] && w != "packing" && w != "housing" && w != "casing"
}

// refBehind takes the number that stands behind a name.
func (n *name) refBehind(list []token) {
	if h := n.head(); noNames[h] || h == "hand" || h == "finger" {
		return
	}
	i := n.nounTo
	k := i
	bracket := false
	if k < len(list) && list[k].kind == mark && (list[k].low == "," || list[k].low == "(" || list[k].low == "–") {
		bracket = list[k].low == "("
		k++
	}
	best := 0
	for _, p := range pointers {
		if m := matches(list, k, p); m > best {
			best = m
		}
	}
	k += best
	if k < len(list) && list[k].kind == word && determiners[list[k].low] {
		return
	}
	if k >= len(list) || list[k].kind != reference {
		return
	}
	if best > 0 && !bracket && k > i+best-1 && strangers(n.head(), list[k].value) {
		return // "on the hub, that's T-0118": it is of something said before
	}
	n.ref = list[k].value
	k++
	if bracket && k < len(list) && list[k].kind == mark && list[k].low == ")" {
		k++
	} else if bracket && k < len(list) && list[k].kind == mark && list[k].low == "," {
		// "(P-5010, eight bolts)": the rest is told apart.
		for m := k; m < len(list) && m < k+8; m++ {
			if list[m].kind == mark && list[m].low == ")" {
				k = m + 1
				break
			}
		}
	} else if k < len(list) && list[k].kind == mark && list[k].low == "," && k+1 < len(list) && (list[k+1].kind == word && (particles[list[k+1].low] || prepositions[list[k+1].low])) {
		k++ // "the nut, P-1011, off the shaft"
	}
	n.to = k
}

// strangers tells that a name and a number are surely not of one thing.
func strangers(head, ref string) bool {
	switch {
	case strings.HasPrefix(ref, "T-"):
		return partWords[head] && !toolWords[head]
	case strings.HasPrefix(ref, "P-"):
		return toolWords[head] && !partWords[head]
	}
	return false
}

// nounLike tells that a word may belong to a thing's name.
func nounLike(list []token, i int) bool {
	t := &list[i]
	if t.kind == amount {
		return sizes[dimension(t.unit)] && i+1 < len(list) && list[i+1].kind == word && nounLike(list, i+1)
	}
	if t.is("inside", "outside", "through", "over", "under", "cross", "long", "wide", "thick", "deep", "back") && i > 0 && i+1 < len(list) && (determiners[list[i-1].low] || passing[list[i-1].low]) && nounLike(list, i+1) {
		return true // "the inside micrometer"
	}
	if t.kind != word || closed[t.low] || determiners[t.low] {
		return false
	}
	if subjects[t.low] || shortForms[t.low][0] != "" {
		return false
	}
	if t.is("number", "item") && i+1 < len(list) && list[i+1].kind == reference {
		return false
	}
	for _, r := range t.low {
		if unicode.IsLetter(r) {
			return true
		}
	}
	return false
}

// keepS are words that end in s in the singular.
var keepS = set(`pliers scissors tongs tweezers goggles lens chassis press glass brass jaws gas bus across grips shears snips class loss boss cross always plus this less hands series`)

func singular(w string) string {
	switch {
	case keepS[w] || len(w) < 4 || !strings.HasSuffix(w, "s") || strings.HasSuffix(w, "ss") || strings.HasSuffix(w, "us") || strings.HasSuffix(w, "is"):
		return w
	case strings.HasSuffix(w, "ies") && len(w) > 4:
		return w[:len(w)-3] + "y"
	case strings.HasSuffix(w, "ches") || strings.HasSuffix(w, "shes") || strings.HasSuffix(w, "sses") || strings.HasSuffix(w, "xes"):
		return w[:len(w)-2]
	}
	return w[:len(w)-1]
}

// --- things -----------------------------------------------------------------------

// A class is what a thing is declared as.
type class uint8

const (
	tool class = iota + 1
	part
	consumable
)

func (s class) String() string { return [...]string{"", "tool", "part", "consumable"}[s] }

// A thing is a tool, a part or a consumable of the talk.
type thing struct {
	sort    class
	words   []string
	plural  string
	numbers []string
	id      string
	mass    *token
	reads   [2]*token
	checks  []string
	// count is how many were last taken off.
	count int
	// off tells that it was taken off, fresh that a new one was taken in hand,
	// vice the tool it is clamped in.
	off, fresh bool
	// first is the sentence in which it was first named.
	first int
	// touched is the sentence in which it was first in hand; -1: none yet.
	touched int
	vice    *thing
	handled bool
	// size and thread as its name tells them.
	size   string
	thread string
}

func (t *thing) title() string { return strings.Join(t.words, " ") }

func (t *thing) head() string { return t.words[len(t.words)-1] }

// sortOf tells what a thing is from its name and number.
func sortOf(words []string, ref string) (class, string) {
	byName := class(0)
	if len(words) > 0 {
		head := words[len(words)-1]
		two := head
		if len(words) > 1 {
			two = words[len(words)-2] + "-" + head
		}
		switch {
		case toolNames[two]:
			byName = tool
		case consumableWords[head]:
			byName = consumable
		case partWords[head] && !toolNames[two]:
			byName = part
		case toolWords[head]:
			byName = tool
		}
	}
	letter, _, lettered := strings.Cut(ref, "-")
	if !lettered {
		letter = ""
	}
	switch {
	case letter == "T":
		return tool, ""
	case letter == "P":
		return part, ""
	case letter == "C":
		return consumable, ""
	case ref != "" && letter == "" && byName != consumable:
		// A bare number hangs at the tool board; parts have a letter.
		return tool, ""
	case byName != 0:
		return byName, ""
	case letter == "K":
		return tool, ""
	}
	return part, "tool, part or consumable? its name does not tell"
}

var threadWord = func(w string) bool {
	return len(w) >= 2 && len(w) <= 10 && w[0] == 'm' && w[1] >= '1' && w[1] <= '9' && strings.Trim(w[1:], "0123456789x.") == ""
}

// newThing declares a thing.
func (m *maker) newThing(words []string, ref string) *thing {
	t := &thing{words: append([]string(nil), words...), touched: -1, first: m.position}
	var doubt string
	t.sort, doubt = sortOf(words, ref)
	if len(words) == 0 {
		t.words = []string{t.sort.String()}
		words = []string{t.sort.String(), ref}
		doubt = "what is it? only its number was told"
	}
	if doubt != "" {
		t.checks = append(t.checks, doubt)
	}
	if ref != "" {
		t.numbers = []string{ref}
	}
	for i, w := range t.words {
		if v, u, ok := strings.Cut(w, " "); ok && u == "mm" {
			t.size = v + " mm"
		}
		if threadWord(w) {
			t.thread = strings.ToUpper(w[:1]) + w[1:]
			t.words[i] = t.thread
		}
	}
	id := identifier(t.words)
	if len(words) > len(t.words) {
		id = identifier(words)
	}
	t.id = m.unique(id, t.sort.String())
	m.things = append(m.things, t)
	if key := titleKey(t.words); m.byTitle[key] == nil && len(words) == len(t.words) {
		m.byTitle[key] = t
	}
	m.byHead[t.head()] = append(m.byHead[t.head()], t)
	return t
}

// find gives the thing a name means: the one with its words, else the one whose
// words hold them all, or are all held by them; of several the last in hand.
func (m *maker) find(words []string) *thing {
	if len(words) == 0 {
		return nil
	}
	if t := m.byTitle[titleKey(words)]; t != nil {
		return t
	}
	candidates := recent(m.byHead[words[len(words)-1]])
	var best *thing
	for _, t := range candidates {
		if t.first > m.position && t.sort != part {
			continue // it was not spoken of yet; a part was there all along
		}
		if subset(words, t.words) || subset(t.words, words) && len(t.words) > 1 {
			if best == nil || m.last[t] > m.last[best] {
				best = t
			}
		}
	}
	if best != nil {
		return best
	}
	// "the unit" for the rotating unit is told above; "the torque wrench" for
	// "big torque wrench" too; a one-word name that others extend stays itself.
	for _, t := range candidates {
		if len(t.words) == 1 && len(words) > 1 && len(candidates) == 1 && t.sort != tool && len(t.numbers) == 0 {
			return t
		}
	}
	return nil
}

func equalFold(a, b []string) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if !strings.EqualFold(a[i], b[i]) {
			return false
		}
	}
	return true
}

// subset tells that each word of a stands in b.
func subset(a, b []string) bool {
	for _, w := range a {
		found := false
		for _, x := range b {
			found = found || strings.EqualFold(x, w)
		}
		if !found {
			return false
		}
	}
	return true
}
