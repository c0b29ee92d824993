package draft

import (
	"fmt"
	"strings"
	"unicode"

	"benchproof/compiler/quantity"
	"benchproof/dsl/syntax"
)

// A maker turns sentences into the parts of a procedure.
type maker struct {
	talk *talk
	list []*sentence

	things   []*thing
	byHead   map[string][]*thing
	byNumber map[string]*thing
	// at gives the name that a reference token stands for, by sentence and token.
	named map[refPlace]*thing
	last  map[*thing]int // when a thing was last in hand, in orders
	clock int
	taken map[string]bool // identifiers
	next  map[string]int  // how many have the same words
	// byTitle and byDigits find things by their whole name and by the digits of
	// their numbers.
	byTitle  map[string]*thing
	byDigits map[string][]*thing

	root *body
	// open is the body that steps go into.
	open    *body
	hazards []*hazard
	pending []*hazard
	// alarm is a warning's bare announcement: what follows belongs to it.
	alarm *hazard

	focus    *thing // what "it" is
	focusAt  int    // the sentence that it is from
	readAt   int    // the sentence behind the last reading
	readings []*reading
	reading  *reading // the last taken
	asks     int
	torque   *thing // the last torque wrench
	inHand   *thing // the last measuring instrument
	hole     string // the last that was drilled
	heat     int    // the last sentence that spoke of temperature
	position int
	inCase   int // how many cases are open
	kept     []before

	count struct{ steps, decisions, left int }
}

type refPlace struct{ sentence, token int }

// A body is a run of nodes: the procedure's, a stage's or a branch's.
type body struct {
	nodes []node
	// last is its last step, not counting those of its stages and cases.
	last *step
}

// A node is a *step, *decide, *stage or comment.
type node any

type comment string

type stage struct {
	title string
	body  body
}

type step struct {
	tokens  []token
	from    int
	to      int
	actions []*action
	checks  []string
	notes   []string
	warns   []*hazard
	ask     *ask
	names   []use
	block   int
	// claimed are parts of which it says that they are taken for the work.
	claimed []*thing
	// away is the tool that is put back into its place.
	away *thing
}

// A use is a name in a step's text and the thing it means.
type use struct {
	n *name
	t *thing
}

type action struct {
	verb    string
	thing   *thing
	fresh   bool
	count   int
	other   *thing // on, in, with
	reading *reading
	values  []token
	extra   string // crosswise; the hole; the thread
	insert  bool
}

type reading struct {
	id      string
	words   []string
	unit    string
	guessed bool
	with    *thing
	taken   bool
}

type ask struct {
	id       string
	question string
}

type decide struct {
	reading  *reading
	ask      *ask
	branches []*branch
}

type branch struct {
	span    span
	answer  string
	accept  bool
	meaning string
	body    body
	finish  string
	text    string
}

type hazard struct {
	id, title, signal  string
	consequence, avoid string
	sentence, block    int
	// words are those of the warning, forbids tells that it says what not to
	// do, and before is the step that it was said behind.
	words   []token
	forbids bool
	before  *step
}

func newMaker(t *talk, list []*sentence) *maker {
	m := &maker{talk: t, list: list, byHead: map[string][]*thing{}, byNumber: map[string]*thing{}, named: map[refPlace]*thing{},
		last: map[*thing]int{}, taken: map[string]bool{}, next: map[string]int{}, byTitle: map[string]*thing{}, byDigits: map[string][]*thing{}, root: &body{}, heat: -10}
	m.open = m.root
	return m
}

// identifier makes a name of the language: small letters, digits, hyphens.
func identifier(words []string) string {
	var first, behind []string
	for _, w := range words {
		w = strings.Map(func(r rune) rune {
			switch {
			case unicode.IsLetter(r) || unicode.IsDigit(r):
				return unicode.ToLower(r)
			case r == '\'':
				return -1
			}
			return '-'
		}, w)
		for strings.Contains(w, "--") {
			w = strings.ReplaceAll(w, "--", "-")
		}
		if w = strings.Trim(w, "-"); w == "" {
			continue
		}
		if r := []rune(w)[0]; !unicode.IsLetter(r) {
			behind = append(behind, w)
		} else {
			first = append(first, w)
		}
	}
	s := strings.Join(append(first, behind...), "-")
	if r := []rune(s); len(r) > 48 {
		s = strings.TrimRight(string(r[:48]), "-")
	}
	if len(first) == 0 && s != "" {
		s = "no-" + s
	}
	return s
}

// starts are the words with which something may start or go on where a thing's
// name stands: no thing gets such a name.
var starts = func() map[string]bool {
	out := set("with to on in of at for from x is new crosswise through existing accept above below most least times otherwise not and limits no finish time expect")
	for _, c := range []syntax.Context{syntax.InFile, syntax.InStep, syntax.InRepeat, syntax.InProcedure} {
		for _, k := range syntax.Keywords(c) {
			word, _, _ := strings.Cut(k.Key, " ")
			out[word] = true
		}
	}
	return out
}()

// unique gives an identifier that nothing has yet and that is no keyword.
func (m *maker) unique(id, suffix string) string {
	if id == "" {
		id = suffix + "-1"
	}
	if starts[id] || m.taken[id] && id != suffix {
		id += "-" + suffix
	}
	base := id
	for m.taken[id] {
		m.next[base]++
		id = fmt.Sprintf("%s-%d", base, m.next[base]+1)
	}
	m.taken[id] = true
	return id
}

// --- names --------------------------------------------------------------------------

// names finds what each reference number is of, over the whole talk: the name
// may be said before the number or after it, and the longer name elsewhere.
func (m *maker) names() {
	type found struct {
		n    *name
		at   refPlace
		bare bool
	}
	var refs []found
	long := map[string][]string{} // by last word, the longer names, in order
	var history [][]*name
	for i, s := range m.list {
		m.position = i
		var here []*name
		if s.role == heading {
			history = append(history, here)
			continue
		}
		covered := map[int]bool{}
		for k := 0; k < len(s.tokens); {
			if opensClause(s.tokens, k) {
				k++
				continue
			}
			n, next := readName(s.tokens, k)
			if n == nil || next <= k {
				k++
				continue
			}
			if len(n.words) > 0 {
				here = append(here, n)
				if len(n.words) > 1 && n.ref == "" && len(n.words) < 4 {
					key := n.key()
					if list := long[n.head()]; len(list) < mostAlike && !contains(list, key) {
						long[n.head()] = append(list, key)
					}
				}
			}
			if n.ref != "" {
				for r := n.from; r < n.to; r++ {
					if s.tokens[r].kind == reference {
						covered[r] = true
						refs = append(refs, found{n, refPlace{i, r}, len(n.words) == 0})
					}
				}
			}
			k = next
		}
		for r := range s.tokens {
			if s.tokens[r].kind == reference && !covered[r] {
				refs = append(refs, found{&name{ref: s.tokens[r].value, from: r, to: r + 1}, refPlace{i, r}, true})
			}
		}
		history = append(history, here)
	}
	// First those with a name beside them, then the bare ones.
	for _, f := range refs {
		m.position = f.at.sentence
		if !f.bare {
			m.named[f.at] = m.numbered(f.n.words, f.n.ref, f.n.plural)
		}
	}
	for _, f := range refs {
		if !f.bare {
			continue
		}
		m.position = f.at.sentence
		if t := m.sameNumber(f.n.ref, nil); t != nil {
			m.named[f.at] = t
			continue
		}
		n := m.nameBefore(history, f.at, f.n.ref)
		if k := f.at.token; n == nil || k > 0 && m.list[f.at.sentence].tokens[k-1].is("with", "using", "by", "in", "into", "on", "onto", "from", "take", "use", "fit", "remove") {
			m.named[f.at] = m.numbered(nil, f.n.ref, "")
			continue
		}
		m.named[f.at] = m.numbered(n.words, f.n.ref, n.plural)
	}
	// One word is often the short form of a name said in full elsewhere.
	m.position = len(m.list)
	for _, t := range m.things {
		if len(t.words) != 1 {
			continue
		}
		var fuller []string
		for _, key := range long[t.words[0]] {
			if m.find(strings.Fields(key)) == t || m.find(strings.Fields(key)) == nil {
				fuller = append(fuller, key)
			}
		}
		if len(fuller) == 1 && !strings.Contains(fuller[0], " mm ") {
			m.rename(t, strings.Fields(fuller[0]))
		}
	}
}

// mostAlike is how many things of one kind are looked through for the one that
// is meant: no talk has more.
const mostAlike = 200

// recent gives the last of a long list.
func recent(list []*thing) []*thing { return list[max(0, len(list)-mostAlike):] }

// titleKey is a name as things are found by; a name without words is none.
func titleKey(words []string) string {
	if len(words) == 0 {
		return "\x00"
	}
	return strings.ToLower(strings.Join(words, " "))
}

func contains(list []string, s string) bool {
	for _, x := range list {
		if x == s {
			return true
		}
	}
	return false
}

// opensClause tells of a verb that begins a clause, which belongs to no name.
func opensClause(list []token, k int) bool {
	t := &list[k]
	if t.kind != word {
		return false
	}
	_, ing := gerund(t.low)
	if !verbs[t.low] && !ing {
		return false
	}
	if k == 0 {
		return !falseStart(list)
	}
	b := &list[k-1]
	if b.kind == mark {
		return b.low != "(" && k+1 < len(list) && list[k+1].kind == word && (determiners[list[k+1].low] || pronouns[list[k+1].low] || list[k+1].is("new", "off", "out")) || b.low == ":"
	}
	return subjects[b.low] || shortForms[b.low][0] != "" || b.is("and", "then", "now", "next", "first", "to", "can", "always", "never", "not", "don't", "just", "so", "must", "should", "okay", "right", "again") && !(ing && !b.is("and"))
}

// nameBefore looks back from a bare number for what it is of.
func (m *maker) nameBefore(history [][]*name, at refPlace, ref string) *name {
	want := class(0)
	switch letter, _, _ := strings.Cut(ref, "-"); letter {
	case "T":
		want = tool
	case "P":
		want = part
	case "C":
		want = consumable
	}
	var nearest *name
	for back := 0; back < 3 && at.sentence-back >= 0; back++ {
		list := history[at.sentence-back]
		for k := len(list) - 1; k >= 0; k-- {
			n := list[k]
			if n.ref != "" || back == 0 && n.from > at.token || junk[n.head()] {
				continue
			}
			s, doubt := sortOf(n.words, "")
			if want != 0 && s == want && doubt == "" {
				return n
			}
			if nearest == nil {
				nearest = n
			}
		}
		if nearest != nil && back == 0 {
			return nearest
		}
	}
	return nearest
}

// bare gives a number's digits without noughts before them.
func bareDigits(ref string) (letter, digits string) {
	letter, digits, ok := strings.Cut(ref, "-")
	if !ok {
		letter, digits = "", ref
	}
	return letter, strings.TrimLeft(digits, "0")
}

// sameNumber finds the thing with a number, spoken in full or without its
// letter and noughts ("number sixty-two" for T-0062, where the names agree).
func (m *maker) sameNumber(ref string, words []string) *thing {
	if t := m.byNumber[ref]; t != nil {
		return t
	}
	letter, digits := bareDigits(ref)
	for _, t := range recent(m.byDigits[digits]) {
		for _, n := range t.numbers {
			l, d := bareDigits(n)
			if d == digits && (l == letter || (l == "" || letter == "") && (len(words) == 0 || subset(words, t.words) || subset(t.words, words))) {
				return t
			}
		}
	}
	return nil
}

// numbered gives the thing of a number; a name that has one already gets a
// second, and check will say so.
func (m *maker) numbered(words []string, ref, plural string) *thing {
	if t := m.sameNumber(ref, words); t != nil {
		if len(words) > len(t.words) && subset(t.words, words) {
			m.rename(t, words)
		}
		if l, _ := bareDigits(ref); l != "" {
			for i, n := range t.numbers {
				if !strings.Contains(n, "-") && m.byNumber[ref] == nil {
					t.numbers[i] = ref
				}
			}
		}
		m.byNumber[ref] = t
		return t
	}
	_, digits := bareDigits(ref)
	if t := m.byTitle[titleKey(words)]; t != nil && len(words) > 0 {
		t.numbers = append(t.numbers, ref)
		m.byNumber[ref] = t
		m.byDigits[digits] = append(m.byDigits[digits], t)
		return t
	}
	t := m.newThing(words, ref)
	m.byDigits[digits] = append(m.byDigits[digits], t)
	if plural != "" && t.sort == part {
		t.plural = plural
	}
	m.byNumber[ref] = t
	return t
}

func (m *maker) rename(t *thing, words []string) {
	list := m.byHead[t.head()]
	for i := range list {
		if list[i] == t {
			m.byHead[t.head()] = append(list[:i:i], list[i+1:]...)
			break
		}
	}
	delete(m.taken, t.id)
	delete(m.byTitle, titleKey(t.words))
	t.words = append([]string(nil), words...)
	m.byTitle[titleKey(t.words)] = t
	t.id = m.unique(identifier(t.words), t.sort.String())
	m.byHead[t.head()] = append(m.byHead[t.head()], t)
}

// dimension of a unit; degrees have none yet.
func dimension(unit string) quantity.Dimension {
	u, ok := quantity.LookUp(unit)
	if !ok {
		return 0
	}
	return u.Dimension
}
