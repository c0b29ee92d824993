package rules

import (
	"strings"
	"unicode"
	"unicode/utf8"

	"benchproof/compiler/library"
	"benchproof/dsl/source"
)

// A word of a text. A mention with its count is one word, and so is a quantity.
type word struct {
	raw     string // as written, with its punctuation
	lower   string // without punctuation, in lower case; empty for a mention or a quantity
	span    source.Span
	mention bool
	number  bool // a quantity
	code    bool
}

// counts tells whether it is a word at all, and not a dash.
func (w *word) counts() bool {
	return w.mention || w.number || strings.IndexFunc(w.raw, func(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) }) >= 0
}

// ends gives the mark behind a word: one of . ! ? , ; : or – for a dash, and 0 for none.
func (w *word) ends() rune {
	r, _ := utf8.DecodeLastRuneInString(strings.TrimRight(w.raw, `"”’')]»`))
	switch r {
	case '.', '!', '?', ',', ';', ':':
		return r
	case '…':
		return '.'
	case '–', '—':
		return '–'
	}
	return 0
}

type sentence []word

func (s sentence) span() source.Span { return s[0].span.To(s[len(s)-1].span) }

// length counts the words of a sentence.
func (s sentence) length() int {
	n := 0
	for i := range s {
		if s[i].counts() {
			n++
		}
	}
	return n
}

// wordsOf takes a text apart.
func wordsOf(t library.Text) []word {
	spaces := 0
	for _, s := range t.Spans {
		spaces += 1 + strings.Count(s.Text, " ")
	}
	out := make([]word, 0, spaces)
	open := false // the last word may go on: no space came behind it
	add := func(w word) {
		if open && len(out) > 0 {
			last := &out[len(out)-1]
			last.raw += w.raw
			last.span.End = max(last.span.End, w.span.End)
			last.mention, last.number, last.code = last.mention || w.mention, last.number || w.number, last.code || w.code
			return
		}
		out = append(out, w)
	}
	for _, s := range t.Spans {
		switch {
		case s.Mention != nil:
			add(word{raw: "@", span: s.Span, mention: true})
			open = true
			continue
		case s.Quantity != nil:
			add(word{raw: strings.ReplaceAll(s.Text, " ", "_"), span: s.Span, number: true})
			open = true
			continue
		}
		exact := len(s.Text) == s.Span.End-s.Span.Start
		for i := 0; i < len(s.Text); {
			r, n := utf8.DecodeRuneInString(s.Text[i:])
			if unicode.IsSpace(r) {
				open = false
				i += n
				continue
			}
			end := i
			for end < len(s.Text) {
				r, n := utf8.DecodeRuneInString(s.Text[end:])
				if unicode.IsSpace(r) {
					break
				}
				end += n
			}
			at := s.Span
			if exact {
				at = source.Span{File: s.Span.File, Start: s.Span.Start + i, End: s.Span.Start + end}
			}
			add(word{raw: s.Text[i:end], span: at, code: s.Kind == library.TextCode})
			open = true
			i = end
		}
	}
	for i := range out {
		if w := &out[i]; !w.mention && !w.number && !w.code {
			w.lower = strings.ToLower(strings.TrimFunc(w.raw, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsDigit(r) }))
			w.lower = strings.ReplaceAll(w.lower, "’", "'")
		}
	}
	return out
}

// abbreviated are words whose full stop ends no sentence.
var abbreviated = wordSet(`e.g i.e approx max min no nos fig incl ca vs resp dia cf st dr mr mrs`)

// sentencesOf parts a text at full stops, question and exclamation marks.
func sentencesOf(t library.Text) []sentence {
	words := wordsOf(t)
	var out []sentence
	start := 0
	for i := range words {
		last := i == len(words)-1
		stop := words[i].ends()
		if !last {
			if stop != '.' && stop != '!' && stop != '?' || abbreviated[words[i].lower] {
				continue
			}
			next := strings.TrimLeft(words[i+1].raw, `"“‘'([«`)
			r, _ := utf8.DecodeRuneInString(next)
			if !words[i+1].mention && !unicode.IsUpper(r) && !unicode.IsDigit(r) && !isUncased(r) {
				continue
			}
		}
		out = append(out, sentence(words[start:i+1]))
		start = i + 1
	}
	return out
}

// isUncased tells that a letter's script knows no capitals.
func isUncased(r rune) bool { return unicode.Is(unicode.Lo, r) }
