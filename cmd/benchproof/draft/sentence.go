package draft

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// A sentence is what was said between two stops.
type sentence struct {
	tokens []token
	role   role
	level  int
	// block tells which passage of a list it belongs to, or which run of one
	// speaker.
	block int
	// question tells that it was asked, not said.
	question bool
	line     int
}

func (s *sentence) from() int { return s.tokens[0].from }
func (s *sentence) to() int   { return s.tokens[len(s.tokens)-1].to }

// sentences parts a talk. Where it has stops, these part it; captions without
// any are parted at pauses and at words that begin anew.
func sentences(t *talk) []*sentence {
	var out []*sentence
	if t.timed {
		list, bare := stream(t)
		for _, s := range cut(list, bare) {
			out = keep(out, &sentence{tokens: s, role: speech})
		}
		block := 0
		for i, s := range out {
			if i > 0 && s.tokens[0].turn {
				block++
			}
			s.block = block
		}
		return out
	}
	for i := range t.passages {
		p := &t.passages[i]
		if p.role == heading {
			out = append(out, &sentence{tokens: []token{{kind: word, text: strings.Join(strings.Fields(p.text), " "), line: p.line, from: -1, to: -1}}, role: heading, level: p.level, block: i, line: p.line})
			continue
		}
		for _, s := range cut(tokensOf(p, false), false) {
			out = keep(out, &sentence{tokens: s, role: p.role, level: p.level, block: i})
		}
	}
	return out
}

// stream joins the passages of a recording into one run of tokens, and tells
// whether it is bare of stops.
func stream(t *talk) (list []token, bare bool) {
	stops, words := 0, 0
	for i := range t.passages {
		p := &t.passages[i]
		next := tokensOf(p, true)
		if len(next) == 0 {
			continue
		}
		if i > 0 {
			before := &t.passages[i-1]
			next[0].pause = p.from-before.to >= pauseOf
			next[0].turn = p.speaker != before.speaker && p.speaker != ""
		}
		for k := range next {
			if next[k].ends() {
				stops++
			} else if next[k].kind == word {
				words++
			}
		}
		list = append(list, next...)
	}
	return list, stops*40 < words
}

// cut parts a run of tokens into sentences.
func cut(list []token, bare bool) [][]token {
	var out [][]token
	start, size := 0, 0
	end := func(i int) {
		if i > start {
			out = append(out, list[start:i:i])
		}
		start, size = i, 0
	}
	for i := range list {
		t := &list[i]
		size += len(t.text) + 1
		if i > start && (t.turn || bare && (t.pause || beginsAnew(list, i))) {
			end(i)
		}
		switch {
		case t.ends() && endsInside(list, i):
			t.low, t.text = "", ""
		case t.ends():
			end(i + 1)
		case i-start+1 >= longestSentence, size >= longestText:
			end(i + 1)
		}
	}
	end(len(list))
	return out
}

// endsInside tells of a stop after which the sentence goes on: "P. 2032", "max. 5 mm".
func endsInside(list []token, i int) bool {
	if list[i].low != "." || i == 0 || i+1 >= len(list) {
		return false
	}
	next := &list[i+1]
	if next.kind != word || next.turn {
		return false
	}
	before := &list[i-1]
	r, n := utf8.DecodeRuneInString(before.text)
	if len(before.text) == n && unicode.IsUpper(r) && r != 'I' && startsDigit(next.low) {
		return true
	}
	follows, _ := utf8.DecodeRuneInString(next.text)
	return abbreviations[before.low] && (unicode.IsLower(follows) || unicode.IsDigit(follows)) && !(i > 1 && (startsDigit(list[i-2].low) || numeral(list[i-2].low)))
}

// beginsAnew tells that in a run without stops a new sentence begins at i.
func beginsAnew(list []token, i int) bool {
	t := &list[i]
	if t.kind != word || i == 0 {
		return false
	}
	switch t.low {
	case "okay", "ok", "right", "now", "next", "anyway":
		return true
	case "then", "so", "first", "finally":
		// "and then" goes with what stands before; "then you" begins.
		if list[i-1].is("and", "if", "until", "or") {
			return false
		}
		return i+1 < len(list) && (subjects[list[i+1].low] || verbs[list[i+1].low])
	case "if", "never", "be":
		return t.low == "if" && !list[i-1].is("and", "or", "see", "as", "look", "check", "even") || t.low == "never" && !list[i-1].is("you", "and", "but", "should") || t.low == "be" && i+1 < len(list) && list[i+1].is("careful")
	}
	return false
}

// keep adds a sentence when something is left of it.
func keep(out []*sentence, s *sentence) []*sentence {
	s.line = s.tokens[0].line
	turn := s.tokens[0].turn
	if n := len(s.tokens); s.tokens[n-1].ends() {
		s.question = s.tokens[n-1].low == "?"
		for n > 0 && s.tokens[n-1].kind == mark && s.tokens[n-1].low != ")" {
			n--
		}
		s.tokens = s.tokens[:n]
	}
	kept := s.tokens[:0:0]
	for _, t := range s.tokens {
		if t.text != "" {
			kept = append(kept, t)
		}
	}
	s.tokens = numerals(clean(references(kept)))
	for len(s.tokens) > 0 && s.tokens[0].kind == mark && s.tokens[0].low != "(" {
		s.tokens = s.tokens[1:]
	}
	if len(s.tokens) == 0 {
		return out
	}
	s.tokens[0].turn = s.tokens[0].turn || turn
	return append(out, s)
}

// plain gives the words of tokens as one would write them.
func plain(list []token) string {
	var b strings.Builder
	open := true
	for i := range list {
		t := &list[i]
		text := t.text
		if t.kind == amount {
			text = amountText(t)
			if t.unit == degrees {
				text = t.value + " degrees"
			}
		}
		switch {
		case i == 0 || open || t.kind == mark && t.low != "(" && t.low != "–":
		default:
			b.WriteByte(' ')
		}
		open = t.kind == mark && t.low == "("
		b.WriteString(text)
	}
	return b.String()
}

// whole gives tokens as a sentence with a capital and a stop.
func whole(list []token) string {
	for len(list) > 0 && list[len(list)-1].kind == mark && list[len(list)-1].low != ")" {
		list = list[:len(list)-1]
	}
	return capital(plain(list)) + "."
}
