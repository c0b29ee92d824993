package syntax

import (
	"strings"
	"unicode/utf8"
)

// inner gives what stands between the quotes, and how many bytes the opening
// one has. A text left open has no closing quote.
func (t *Text) inner() (string, int) {
	raw := t.Raw
	r, n := utf8.DecodeRuneInString(raw)
	if r != '"' {
		// Other quotes have been told of; they come in pairs.
		if _, ok := quotes[r]; !ok {
			return raw, 0
		}
		_, m := utf8.DecodeLastRuneInString(raw)
		return raw[n:max(n, len(raw)-m)], n
	}
	raw = raw[n:]
	if n := len(raw); n > 0 && raw[n-1] == '"' {
		slashes := 0
		for slashes < n-1 && raw[n-2-slashes] == '\\' {
			slashes++
		}
		if slashes%2 == 0 {
			raw = raw[:n-1]
		}
	}
	return raw, 1
}

// Value gives the text meant: without quotes, `\"` as a quote and `\\` as a
// backslash. Every other backslash stays (CommonMark and `\@` need it).
func (t *Text) Value() string {
	s, _ := t.inner()
	if strings.IndexByte(s, '\\') < 0 {
		return s
	}
	var b strings.Builder
	b.Grow(len(s))
	for i := 0; i < len(s); i++ {
		if escaped(s, i) {
			i++
		}
		b.WriteByte(s[i])
	}
	return b.String()
}

// escaped tells whether an escape of two bytes stands at i.
func escaped(s string, i int) bool {
	return s[i] == '\\' && i+1 < len(s) && (s[i+1] == '"' || s[i+1] == '\\')
}

// Offset gives the offset in the source file at which byte i of Value stands;
// for an i at or beyond the end, where the text ends (before its quote).
func (t *Text) Offset(i int) int {
	s, quote := t.inner()
	at := 0
	for n := 0; n < i && at < len(s); n++ {
		if escaped(s, at) {
			at++
		}
		at++
	}
	return min(t.Start()+quote+at, t.End())
}
