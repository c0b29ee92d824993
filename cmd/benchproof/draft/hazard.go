package draft

import (
	"strings"
)

// cues begin a warning. What follows the first says what is not to be done.
var cues = []string{"you have to be very careful", "you have to be careful", "you need to be careful", "you must be careful", "you should be careful", "you've got to be careful", "be very careful", "be really careful", "be careful", "very careful",
	"pay attention", "watch out", "look out", "take care", "watch your", "mind the", "mind your", "mind that", "beware of", "beware", "careful", "caution", "warning", "danger", "attention"}

// forbids begin what is not to be done.
var forbids = []string{"you must never", "you must not", "you should never", "you should not", "you shouldn't", "you mustn't", "you don't want to", "you never", "you can't", "we never", "i never", "do not", "don't", "never", "under no circumstances", "you do not", "you don't", "no one must"}

// harmless are verbs behind "don't" that forbid nothing.
var harmless = set(`lose worry forget know need have think mind want matter see care get panic ask believe feel like remember mean`)

// keeps begin what keeps a hand away.
var keeps = []string{"keep your fingers", "keep your hands", "keep your hand", "keep your head", "keep your face", "keep your feet", "keep your sleeves", "keep fingers", "keep hands", "keep clear", "keep away", "keep well clear", "keep out", "stay clear", "stay away", "stand clear", "stand back"}

func cueAt(list []token, phrases []string) int {
	n := 0
	for _, p := range phrases {
		if k := matches(list, 0, p); k > n {
			n = k
		}
	}
	return n
}

// warns tells that a run of tokens is a warning.
func warns(list []token) bool {
	list = strip(list)
	if len(list) == 0 {
		return false
	}
	if cueAt(list, cues) > 0 || cueAt(list, keeps) > 0 {
		return true
	}
	n := cueAt(list, forbids)
	if n == 0 || n >= len(list) {
		return false
	}
	w := list[n]
	if w.is("ever", "even") && n+1 < len(list) {
		w = list[n+1]
	}
	if prepositions[w.low] && list[n-1].is("never") {
		return n+1 < len(list) // "never from the inside"
	}
	return w.kind == word && !harmless[w.low] && (verbs[w.low] || !closed[w.low] && !determiners[w.low])
}

// warning makes a hazard of a warning, or adds to the one before.
func (m *maker) warning(s *sentence, c []token) {
	list := strip(c)
	h := &hazard{sentence: m.position, block: s.block, words: list, forbids: cueAt(list, cues) == 0}
	m.hazardText(h, list)
	m.alarm = nil
	if old := m.lastHazard(); old != nil && m.position-old.sentence <= 1 && (old.avoid == "" || h.avoid == "") && (old.consequence == "" || h.consequence == "") && (m.sameTalk(old) || old.avoid == "" && old.consequence == "") {
		if old.avoid == "" {
			old.avoid = h.avoid
		}
		if old.consequence == "" {
			old.consequence = h.consequence
		}
		old.sentence = m.position
		m.name(old)
		return
	}
	m.name(h)
	m.hazards = append(m.hazards, h)
	if h.avoid == "" && h.consequence == "" {
		m.alarm = h
	}
	// It belongs to the step it speaks of: the one before, where they share a
	// thing or it says what not to do there, else the one that follows.
	before := m.lastStep()
	if before != nil {
		last, _ := m.open.nodes[len(m.open.nodes)-1].(*step)
		if last == before && (before.block == s.block && !m.talk.timed || shares(before, list) || h.forbids && pointsBack(list)) {
			before.warns = append(before.warns, h)
			return
		}
		if last == before {
			h.before = before
		}
	}
	m.pending = append(m.pending, h)
}

// danger makes a hazard of words that say what can happen, without a word of
// warning: "if the brake lets go, the rake comes down and kills somebody".
func (m *maker) danger(s *sentence, c []token) {
	if h := m.lastHazard(); h != nil && m.position-h.sentence <= 1 && h.consequence == "" && m.sameTalk(h) {
		h.consequence = whole(mine(c))
		h.sentence = m.position
		m.name(h)
		return
	}
	h := &hazard{sentence: m.position, block: s.block, words: c, consequence: whole(mine(c))}
	m.name(h)
	m.hazards = append(m.hazards, h)
	m.pending = append(m.pending, h)
}

// sameTalk tells that no step stands between a hazard and here.
func (m *maker) sameTalk(h *hazard) bool {
	for _, p := range m.pending {
		if p == h {
			return true
		}
	}
	if st := m.lastStep(); st != nil {
		for _, w := range st.warns {
			if w == h {
				return true
			}
		}
	}
	return false
}

func pointsBack(list []token) bool {
	for i := range list {
		if list[i].is("it", "them", "there", "that", "here") {
			return true
		}
	}
	return false
}

// shares tells that a warning names what a step handles or speaks of.
func shares(st *step, list []token) bool {
	have := map[string]bool{}
	for i := range st.tokens {
		if t := &st.tokens[i]; t.kind == word && len(t.low) > 3 && !closed[t.low] && !determiners[t.low] && !passing[t.low] {
			have[singular(t.low)] = true
		}
	}
	for i := range list {
		if t := &list[i]; t.kind == word && have[singular(t.low)] && !verbs[t.low] {
			return true
		}
	}
	return false
}

// hazardText takes a warning apart: what can happen, and what to do about it.
func (m *maker) hazardText(h *hazard, list []token) {
	list = trimmed(list)
	if len(list) == 0 {
		return
	}
	n := cueAt(list, cues)
	head := list[:n]
	rest := trimmed(list[n:])
	var avoid, consequence []token
	switch {
	case len(rest) == 0:
		return
	case n > 0 && (rest[0].kind == word && prepositions[rest[0].low] || list[0].is("mind", "beware") && len(head) > 1 || matches(list, 0, "watch your") > 0):
		// "Be careful with your fingers, …" and "Mind the spring, …".
		avoid = append(append([]token(nil), head...), rest...)
		avoid, consequence = partHarm(avoid)
	case warns(rest) || startsOrder(rest):
		avoid, consequence = partHarm(rest)
	default:
		consequence = rest
		if rest[0].is("here", "there", "now") {
			consequence = trimmed(rest[1:])
		}
		// Behind it may still stand what to do.
		for i := 1; i < len(rest)-1; i++ {
			if rest[i].kind == mark && (warns(rest[i+1:]) || startsOrder(rest[i+1:])) {
				consequence, avoid = trimmed(rest[:i]), trimmed(rest[i+1:])
				break
			}
		}
	}
	if len(avoid) > 0 && h.avoid == "" {
		a := strip(avoid)
		if o := findOrder(a); o != nil && !warns(a) {
			h.avoid = whole(mine(o.tokens()))
		} else {
			if k := cueAt(a, []string{"you must never", "you should never", "you never", "we never", "i never"}); k > 0 {
				a = a[k-1:]
			} else if k := cueAt(a, []string{"you must not", "you should not", "you do not", "you don't want to", "you don't", "you mustn't", "you shouldn't", "don't"}); k > 0 {
				not := token{kind: word, text: "do not", low: "do not"}
				a = append([]token{not}, a[k:]...)
			}
			h.avoid = whole(mine(a))
		}
	}
	if len(consequence) > 0 && h.consequence == "" {
		h.consequence = whole(mine(strip(consequence)))
	}
	if h.id != "" {
		m.name(h)
	}
}

// partHarm parts "never lever it off, you will score the shaft" behind what is
// not to be done.
func partHarm(list []token) (avoid, harm []token) {
	for i := 2; i < len(list)-1; i++ {
		if list[i].kind == mark && list[i].low != "(" && list[i].low != ")" {
			next := strip(list[i+1:])
			if len(next) == 0 || warns(next) || startsOrder(next) && !determiners[next[0].low] && !pronouns[next[0].low] && !subjects[next[0].low] {
				continue
			}
			if next[0].kind == word && (determiners[next[0].low] || pronouns[next[0].low] || subjects[next[0].low] || shortForms[next[0].low][0] != "" || auxiliaries[next[0].low] || next[0].is("because", "or", "otherwise")) {
				if next[0].is("because", "or", "otherwise") {
					next = next[1:]
				}
				return list[:i], trimmed(next)
			}
		}
		// Without a comma: "… under pressure it will hit you".
		if i > 2 && list[i].is("it", "they", "you", "that", "this", "it'll", "they'll", "you'll", "they're") && i+1 < len(list) {
			if (list[i+1].is("will", "can", "may", "could", "might") || list[i].is("it'll", "they'll", "you'll", "they're")) && !list[i-1].is("if", "when", "before", "where", "what", "because", "that", "which", "until", "than", "as", "and") {
				return list[:i], list[i:]
			}
		}
		if list[i].is("because", "otherwise") {
			return trimmed(list[:i]), list[i+1:]
		}
	}
	return list, nil
}

// name gives a hazard its signal word, title and name.
func (m *maker) name(h *hazard) {
	all := strings.FieldsFunc(strings.ToLower(h.consequence+" "+h.avoid), func(r rune) bool { return r == ' ' || r == ',' || r == '.' || r == ';' || r == ':' })
	h.signal = "caution"
	kills, hurts, spoils := false, false, false
	for _, w := range all {
		kills = kills || lethal[w]
		hurts = hurts || injuring[w]
		spoils = spoils || damaging[w]
	}
	switch {
	case kills:
		h.signal = "danger"
	case hurts:
		h.signal = "warning"
	case spoils:
		h.signal = "notice"
	}
	text := h.avoid
	if text == "" {
		text = h.consequence
	}
	if text == "" {
		text = "What was warned of"
	}
	h.title = shortTitle(text)
	var key []string
	for _, w := range strings.Fields(strings.ToLower(h.title)) {
		w = strings.Trim(w, ".,;:!?()")
		if !closed[w] && !determiners[w] && !spare[w] && len(key) < 3 {
			key = append(key, w)
		}
	}
	if len(key) == 0 {
		key = []string{"hazard"}
	}
	if h.id != "" {
		delete(m.taken, h.id)
	}
	h.id = m.unique(identifier(key), "hazard")
}

// spare are words that say nothing of a hazard in its name.
var spare = set(`do be careful mind watch keep take care never pay attention ever let will get gets`)

// shortTitle cuts a sentence behind the last word that fits.
func shortTitle(s string) string {
	s = strings.TrimRight(s, ".")
	if i := strings.IndexAny(s, ",;:"); i > 12 {
		s = s[:i]
	}
	words := strings.Fields(s)
	n := 0
	for i, w := range words {
		if n += len([]rune(w)) + 1; n > 48 && i > 0 {
			return strings.Join(words[:i], " ") + " …"
		}
	}
	return strings.Join(words, " ")
}

// attach gives a step the warnings that were said before it.
func (m *maker) attach(st *step) {
	for _, h := range m.pending {
		to := st
		if h.forbids && h.before != nil && !shares(st, h.words) {
			to = h.before
		}
		to.warns = append(to.warns, h)
	}
	m.pending = nil
}

// attachRest gives warnings behind the last step to that step.
func (m *maker) attachRest() {
	if len(m.pending) == 0 {
		return
	}
	if st := lastOf(m.root); st != nil {
		m.attach(st)
	}
}

func lastOf(b *body) *step {
	for i := len(b.nodes) - 1; i >= 0; i-- {
		switch n := b.nodes[i].(type) {
		case *step:
			return n
		case *stage:
			if st := lastOf(&n.body); st != nil {
				return st
			}
		}
	}
	return nil
}
