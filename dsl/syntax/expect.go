package syntax

import (
	"errors"
	"strconv"
	"strings"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"

	"benchproof/dsl/message"
)

// What could have stood where a statement went wrong is read from the grammar
// itself: participle tells the rest of the rule in its own notation, and the
// first terms of that rest are named in the reader's words.

// termNames names what a term of the grammar is. Literals name themselves.
var termNames = map[string]string{
	"Name": "a name", "Text": "a text in double quotes", "Number": "a number", "Operand": "a number with its unit, or a name",
	"Item": "a name", "StatePair": "a condition and its state", "State": "a state", "Range": "a range such as at most 5 mm", "Answer": "an answer",
	"Class": "a tolerance class such as k6", "PropertyClass": "a property class such as 8.8", "Revision": "the revision's name",
	"Thread": "a thread such as M8", "Verb": "fitted, used, met, or not and one of these", "Quantity": "a number with its unit",
	"<date>": "a date such as 2026-10-02", "<time>": "a time such as 1:36", "Signal": "danger, warning, caution or notice",
	"Mark": "a mark of eight letters", "Procedure": "the name of a procedure",
	"Body": `"{"`, "Unit": "a unit such as mm",
}

// firstTerms lists the terms with which an expression in participle's EBNF may
// start.
func firstTerms(ebnf string) []string {
	s := &termScanner{rest: ebnf}
	terms, _ := s.alternatives()
	return terms
}

type termScanner struct{ rest string }

func (s *termScanner) peek() byte {
	s.rest = strings.TrimLeft(s.rest, " ")
	if s.rest == "" {
		return 0
	}
	return s.rest[0]
}

// alternatives gives the first terms of a | b | …, and whether it may be empty.
func (s *termScanner) alternatives() (terms []string, empty bool) {
	for {
		t, e := s.sequence()
		terms = append(terms, t...)
		empty = empty || e
		if s.peek() != '|' {
			return terms, empty
		}
		s.rest = s.rest[1:]
	}
}

func (s *termScanner) sequence() (terms []string, empty bool) {
	empty = true
	for {
		switch c := s.peek(); c {
		case 0, '|', ')', '.':
			return terms, empty
		case '(':
			look := strings.HasPrefix(s.rest, "(?")
			s.rest = strings.TrimLeft(s.rest, "(?=!")
			t, e := s.alternatives()
			s.rest = strings.TrimPrefix(s.rest, ")")
			e = s.modifier() || e
			if empty && !look {
				terms = append(terms, t...)
				empty = e
			}
		case '"':
			quoted, err := strconv.QuotedPrefix(s.rest)
			if err != nil {
				return terms, empty
			}
			s.rest = s.rest[len(quoted):]
			if e := s.modifier(); empty {
				terms = append(terms, quoted)
				empty = e
			}
		default:
			n := strings.IndexAny(s.rest, " |()?*+!")
			if n < 0 {
				n = len(s.rest)
			}
			if n == 0 {
				s.rest = s.rest[1:]
				continue
			}
			term := s.rest[:n]
			s.rest = s.rest[n:]
			if e := s.modifier(); empty {
				terms = append(terms, term)
				empty = e
			}
		}
	}
}

// modifier reads ?, *, + and tells whether what stands before may be left out.
func (s *termScanner) modifier() bool {
	if s.rest == "" {
		return false
	}
	switch s.rest[0] {
	case '?', '*':
		s.rest = s.rest[1:]
		return true
	case '+', '!':
		s.rest = s.rest[1:]
	}
	return false
}

// expectedTerms gives the terms that could have stood at an error.
func expectedTerms(err error, first func() []string) []string {
	var w *wanted
	if errors.As(err, &w) {
		return w.terms
	}
	var u *participle.UnexpectedTokenError
	if errors.As(err, &u) {
		if _, rest, ok := strings.Cut(u.Message(), "(expected "); ok {
			return firstTerms(strings.TrimSuffix(rest, ")"))
		}
		return first()
	}
	return nil
}

// literals lists the words that stand in quotes in an expression of
// participle's EBNF.
func literals(ebnf string) (words []string) {
	for {
		i := strings.IndexByte(ebnf, '"')
		if i < 0 {
			return words
		}
		quoted, err := strconv.QuotedPrefix(ebnf[i:])
		if err != nil {
			return words
		}
		words = append(words, strings.Trim(quoted, `"`))
		ebnf = ebnf[i+len(quoted):]
	}
}

// phrase joins terms for a message: `a name, "to" or "with"`.
func phrase(terms []string) string {
	var names []string
	seen := map[string]bool{}
	for _, t := range terms {
		name, ok := termNames[t]
		if !ok {
			name = t
		}
		if !seen[name] {
			seen[name] = true
			names = append(names, name)
		}
	}
	switch n := len(names); n {
	case 0:
		return "something else"
	case 1:
		return names[0]
	default:
		return strings.Join(names[:n-1], ", ") + " or " + names[n-1]
	}
}

// describe names a token for a message.
func describe(t *lexer.Token) string {
	switch {
	case t.EOF():
		return "the end of the file"
	case t.Type == StringToken:
		return "the text " + shorten(t.Value)
	case t.Type == NumberToken:
		return "the number " + shorten(t.Value)
	case t.Type == DateToken:
		return "the date " + t.Value
	case t.Type == TimeToken:
		return "the time " + t.Value
	}
	return `"` + shorten(t.Value) + `"`
}

// shorten keeps a message on one line whatever the source holds.
func shorten(s string) string {
	const most = 40
	if utf8.RuneCountInString(s) <= most {
		return s
	}
	n := 0
	for i := range s {
		if n == most-1 {
			return s[:i] + "…"
		}
		n++
	}
	return s
}

// nearest gives the word that is surely meant by a mistyped one of three
// letters or more: one letter wrong in three, two at the most, and no other
// word as close.
func nearest(word string, words []string) string {
	if len(word) > 64 {
		return ""
	}
	return message.Closest(word, words, min(2, utf8.RuneCountInString(word)/3))
}
