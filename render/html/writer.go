package html

import (
	"strconv"
	"strings"
	"unicode/utf8"
)

// markup is text that goes into the page as it stands. Only constants of this
// package become markup, because a string variable does not convert to it by
// itself: text from sources always passes through text or attr.
type markup string

// writer collects a page.
type writer struct {
	b   []byte
	err error
}

func (w *writer) raw(m markup) { w.b = append(w.b, m...) }

// text writes s as text of an element.
func (w *writer) text(s string) { w.b = appendText(w.b, s) }

// attr writes an attribute with a leading space. Name is a constant.
func (w *writer) attr(name markup, value string) {
	w.b = append(w.b, ' ')
	w.b = append(w.b, name...)
	w.b = append(w.b, '=', '"')
	w.b = appendText(w.b, value)
	w.b = append(w.b, '"')
}

func (w *writer) int(n int) { w.b = strconv.AppendInt(w.b, int64(n), 10) }

func (w *writer) fail(err error) {
	if w.err == nil {
		w.err = err
	}
}

// escapes says which bytes cannot stand in text or in an attribute between
// double quotes: markup, and the controls that HTML forbids.
var escapes = func() (t [256]bool) {
	for c := range 0x20 {
		t[c] = c != '\t' && c != '\n'
	}
	for _, c := range `&<>"'` {
		t[c] = true
	}
	for c := 0x7f; c < 256; c++ {
		t[c] = true // looked at as a rune
	}
	return t
}()

// appendText escapes s. What is no character (broken UTF-8, controls,
// noncharacters) becomes the replacement character: it is seen, not lost.
func appendText(b []byte, s string) []byte {
	from := 0
	for i := 0; i < len(s); {
		c := s[i]
		if !escapes[c] {
			i++
			continue
		}
		size, with := 1, ""
		switch c {
		case '&':
			with = "&amp;"
		case '<':
			with = "&lt;"
		case '>':
			with = "&gt;"
		case '"':
			with = "&#34;"
		case '\'':
			with = "&#39;"
		default:
			var r rune
			r, size = utf8.DecodeRuneInString(s[i:])
			if c < 0x80 || r == utf8.RuneError && size == 1 || notCharacter(r) {
				with = "\uFFFD"
			}
		}
		if with != "" {
			b = append(b, s[from:i]...)
			b = append(b, with...)
			from = i + size
		}
		i += size
	}
	return append(b, s[from:]...)
}

// clean is a text without what is no character, for writers that escape by
// themselves.
func clean(s string) string {
	bad := func(r rune) bool { return r < 0x20 && r != '\t' && r != '\n' || r == 0x7f || notCharacter(r) }
	s = strings.ToValidUTF8(s, "\uFFFD")
	if !strings.ContainsFunc(s, bad) {
		return s
	}
	return strings.Map(func(r rune) rune {
		if bad(r) {
			return '\uFFFD'
		}
		return r
	}, s)
}

// notCharacter holds for the C1 controls, the noncharacters of Unicode and the
// marks that turn the direction of what follows: text may not reorder a page.
func notCharacter(r rune) bool {
	return r >= 0x7f && r <= 0x9f || r >= 0xfdd0 && r <= 0xfdef || r&0xfffe == 0xfffe ||
		r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069
}

// appendJSON writes s as a JSON string that can stand in a script element: no
// less-than sign, no ampersand, no line separator of ECMAScript.
func appendJSON(b []byte, s string) []byte {
	const hex = "0123456789abcdef"
	b = append(b, '"')
	for i := 0; i < len(s); {
		c := s[i]
		if c >= 0x20 && c < 0x7f && c != '"' && c != '\\' && c != '<' && c != '>' && c != '&' {
			b = append(b, c)
			i++
			continue
		}
		r, size := utf8.DecodeRuneInString(s[i:])
		switch {
		case c == '"' || c == '\\':
			b = append(b, '\\', c)
		case r == utf8.RuneError && size == 1:
			b = append(b, `\ufffd`...)
		case notCharacter(r):
			b = append(b, `\ufffd`...)
		case c < 0x80 || r == '\u2028' || r == '\u2029':
			b = append(b, '\\', 'u', hex[r>>12&15], hex[r>>8&15], hex[r>>4&15], hex[r&15])
		default:
			b = append(b, s[i:i+size]...)
		}
		i += size
	}
	return append(b, '"')
}
