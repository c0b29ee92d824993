package draft

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// A kind says what a token is.
type kind uint8

const (
	word      kind = iota
	number         // a number without a unit
	amount         // a number with its unit
	reference      // the number by which a thing is found
	mark           // a punctuation mark
)

// A token is a word of the talk, or what several words together mean.
type token struct {
	kind  kind
	text  string // as it would be printed
	low   string // in lower case, with straight apostrophes
	value string // of a number or amount, exact
	unit  string // of an amount: a code of the language
	from  int    // in milliseconds
	to    int
	line  int
	// glued tells that no space stands before it.
	glued bool
	// pause tells that the speaker paused before it; turn, that another spoke.
	pause, turn bool
}

func (t *token) is(words ...string) bool {
	for _, w := range words {
		if t.low == w {
			return true
		}
	}
	return false
}

// sentenceEnds are the marks that end a sentence.
func (t *token) ends() bool { return t.kind == mark && (t.low == "." || t.low == "!" || t.low == "?") }

const (
	// longestWord is how many characters a word may have: what is longer was
	// said by nobody.
	longestWord = 80
	// longestSentence is how many tokens a sentence may have, and longestText
	// how many bytes; what is longer is parted.
	longestSentence = 160
	longestText     = 1500
	// pauseOf is how long a silence is that parts sentences, in milliseconds.
	pauseOf = 700
)

// tokensOf takes a passage apart. The times of its words follow from where in
// it they stand.
func tokensOf(p *passage, timed bool) []token {
	var out []token
	total := max(len(p.text), 1)
	line := p.line
	for i := 0; i < len(p.text); {
		r, n := utf8.DecodeRuneInString(p.text[i:])
		if unicode.IsSpace(r) {
			if r == '\n' {
				line++
			}
			i += n
			continue
		}
		end := i
		for end < len(p.text) {
			r, n := utf8.DecodeRuneInString(p.text[end:])
			if unicode.IsSpace(r) {
				break
			}
			end += n
		}
		start := len(out)
		out = append(out, split(p.text[i:end])...)
		for k := start; k < len(out); k++ {
			t := &out[k]
			t.line = line
			t.glued = k > start
			t.from, t.to = -1, -1
			if timed {
				t.from = p.from + int(int64(p.to-p.from)*int64(i)/int64(total))
				t.to = p.from + int(int64(p.to-p.from)*int64(end)/int64(total))
			}
		}
		i = end
	}
	return out
}

const opening = `([{"“„«‘`

// split parts a run of characters without space into a word and its marks.
func split(s string) []token {
	var out []token
	add := func(k kind, s string) {
		s = shorten(s, longestWord)
		low := strings.ToLower(strings.ReplaceAll(s, "’", "'"))
		out = append(out, token{kind: k, text: s, low: low})
	}
	for s != "" {
		r, n := utf8.DecodeRuneInString(s)
		switch {
		case strings.ContainsRune("<>≤≥", r):
			// Limits as they are written in lists: "< 40 mm".
			sign := string(r)
			if strings.HasPrefix(s[n:], "=") {
				sign, n = map[string]string{"<": "≤", ">": "≥"}[sign], n+1
			}
			if sign == "" {
				sign = string(r)
			}
			add(word, sign)
			s = s[n:]
			continue
		case strings.ContainsRune(opening, r) || r == '\'' || r == '-' && len(s) == n || r == '–' || r == '—' || r == '•':
			if r == '-' || r == '–' || r == '—' {
				add(mark, "–")
			} else if r == '(' {
				add(mark, "(")
			}
			s = s[n:]
			continue
		}
		break
	}
	// Marks behind the word, the last one first.
	var tail []token
	for s != "" {
		r, n := utf8.DecodeLastRuneInString(s)
		keep := true
		switch {
		case strings.ContainsRune(`.,;:!?`, r):
			tail = append(tail, token{kind: mark, text: string(r), low: string(r)})
		case r == '…':
			tail = append(tail, token{kind: mark, text: "…", low: "…"})
		case r == ')':
			tail = append(tail, token{kind: mark, text: ")", low: ")"})
		case r == '–' || r == '—' || r == '-' && len(s) > 1:
			tail = append(tail, token{kind: mark, text: "–", low: "–"})
		case strings.ContainsRune(`"”“»’'`, r) || r == ']' || r == '}':
		default:
			keep = false
		}
		if !keep {
			break
		}
		s = s[:len(s)-n]
	}
	// A dash inside parts two words, with no space around it or not.
	for s != "" {
		i := strings.IndexAny(s, "—–;")
		if i < 0 || isRange(s) {
			add(word, s)
			break
		}
		if i > 0 {
			add(word, s[:i])
		}
		_, n := utf8.DecodeRuneInString(s[i:])
		if s[i] == ';' {
			add(mark, ";")
		} else {
			add(mark, "–")
		}
		s = s[i+n:]
	}
	for k := len(tail) - 1; k >= 0; k-- {
		out = append(out, tail[k])
	}
	return out
}

// abbreviations are words whose full stop ends no sentence where a small letter
// or a digit follows.
var abbreviations = set(`e.g i.e approx max min no nos fig incl ca resp dia vs`)

func set(text string) map[string]bool {
	out := map[string]bool{}
	for _, w := range strings.Fields(text) {
		out[w] = true
	}
	return out
}

// isRange tells of "5–25" or "10-12".
func isRange(s string) bool {
	i := strings.IndexAny(s, "–-")
	if i <= 0 {
		return false
	}
	_, n := utf8.DecodeRuneInString(s[i:])
	return plainNumber(s[:i]) && i+n < len(s) && s[i+n] >= '0' && s[i+n] <= '9'
}

// --- what is said and not meant -------------------------------------------------

// fillers are said while thinking. Those of several words stand with spaces.
var fillers = []string{
	"um", "uh", "uhm", "er", "erm", "ehm", "hmm", "mm", "ah", "eh", "oh", "you know", "you see", "sort of", "kind of",
	"basically", "actually", "literally", "obviously", "honestly", "by the way", "mind you", "please", "i guess", "if you like", "as i said", "as you can see", "of course", "let's say", "let's see", "say", "what",
}

// afterFiller are words by which a filler is none: "you know how".
var afterFiller = map[string]map[string]bool{
	"you know":  set("how what that where when why"),
	"you see":   set("the that a how what where when if"),
	"sort of":   set(""),
	"mm":        set(""),
	"let's say": set(""),
	"let's see": set("if how what where whether"),
}

// betweenCommas are fillers only where a comma stands on either side.
var betweenCommas = set("say what")

// clean takes out fillers, words said twice, and what the speaker took back.
func clean(list []token) []token {
	list = withoutFillers(list)
	list = withoutRepeats(list)
	return list
}

// matches tells how many tokens from i on are the words of a phrase; 0: none.
func matches(list []token, i int, phrase string) int {
	n := 0
	for phrase != "" {
		w, rest, _ := strings.Cut(phrase, " ")
		if i+n >= len(list) || list[i+n].kind != word || list[i+n].low != w {
			return 0
		}
		n++
		phrase = rest
	}
	return n
}

func withoutFillers(list []token) []token {
	out := list[:0:0]
	comma := func() bool { return len(out) > 0 && out[len(out)-1].kind == mark && out[len(out)-1].low == "," }
	carried := token{}
	for i := 0; i < len(list); {
		n := 0
		for _, f := range fillers {
			if k := matches(list, i, f); k > n {
				next := ""
				if i+k < len(list) {
					next = list[i+k].low
				}
				if words, ok := afterFiller[f]; ok && words[next] {
					continue
				}
				if betweenCommas[f] && !(len(out) > 0 && comma() && next == ",") {
					continue
				}
				if f == "mm" && i > 0 && (list[i-1].kind == number || startsDigit(list[i-1].low) || numeral(list[i-1].low)) {
					continue // millimetres
				}
				if f == "oh" && (spelled(list, i-1) || spelled(list, i+1)) {
					continue // a nought
				}
				n = k
			}
		}
		if n == 0 {
			t := list[i]
			t.pause, t.turn = t.pause || carried.pause, t.turn || carried.turn
			carried = token{}
			out = append(out, t)
			i++
			continue
		}
		carried.pause, carried.turn = carried.pause || list[i].pause, carried.turn || list[i].turn
		i += n
		switch {
		case i < len(list) && list[i].kind == mark && list[i].low == ",":
			if len(out) == 0 || out[len(out)-1].kind == mark || comma() {
				i++
			}
			if comma() {
				out = out[:len(out)-1]
			}
		case i < len(list) && list[i].kind == mark && comma():
			out = out[:len(out)-1] // before a full stop
		}
	}
	return out
}

func startsDigit(s string) bool { return s != "" && s[0] >= '0' && s[0] <= '9' }

// spelled tells that a token is a letter or digit of a number that is read out.
func spelled(list []token, i int) bool {
	if i < 0 || i >= len(list) {
		return false
	}
	w := list[i].low
	_, isDigit := digitWords[w]
	return isDigit && w != "oh" || w == "point" || w == "dash" || len(list[i].text) == 1 && list[i].text >= "A" && list[i].text <= "Z" ||
		w == "t" || w == "p" || w == "c" || w == "k" || startsDigit(w) || w == "oh" && (i+1 < len(list) && list[i+1].low != ",")
}

// withoutRepeats drops the first of two equal runs of up to four words: "pull
// the, pull the impeller", and a word broken off.
func withoutRepeats(list []token) []token {
	out := list[:0:0]
	for i := 0; i < len(list); {
		if n := repeated(list, i); n > 0 {
			if i+n < len(list) {
				list[i+n].pause = list[i+n].pause || list[i].pause
				list[i+n].turn = list[i+n].turn || list[i].turn
			}
			i += n
			continue
		}
		out = append(out, list[i])
		i++
	}
	return out
}

// repeated tells how many tokens from i on are said again at once.
func repeated(list []token, i int) int {
	for n := 4; n >= 1; n-- {
		if i+2*n > len(list) {
			continue
		}
		digits := true
		for k := range n {
			t := &list[i+k]
			if t.kind != word {
				digits = true
				break
			}
			if !numeral(t.low) && !startsDigit(t.low) {
				digits = false
			}
		}
		if digits {
			continue
		}
		gap := 0
		if g := &list[i+n]; g.kind == mark && (g.low == "," || g.low == "–" || g.low == "…") {
			gap = 1
		}
		if i+2*n+gap > len(list) {
			continue
		}
		if n == 1 && gap == 0 && (list[i].low == "that" || list[i].low == "had") {
			continue
		}
		same := true
		for k := range n {
			if list[i+k].low != list[i+n+gap+k].low {
				same = false
				break
			}
		}
		if same {
			return n + gap
		}
		// The last word was broken off: "the pu– the puller".
		if gap == 1 && list[i+n].low != "," && n > 1 {
			same = true
			for k := range n {
				a, b := list[i+k].low, list[i+n+gap+k].low
				if a != b && !(k == n-1 && len(a) < len(b) && strings.HasPrefix(b, a)) {
					same = false
				}
			}
			if same {
				return n + gap
			}
		}
	}
	return 0
}
