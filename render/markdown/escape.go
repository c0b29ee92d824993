package markdown

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// appendEscaped appends text so that a CommonMark reader, and one that knows
// GitHub's extensions, shows exactly it: nothing in it becomes emphasis, a
// link, HTML, a table's border or an address that a reader links by itself.
// Line breaks and other control characters become spaces, and so do spaces that
// do not break: who searches the text for "40 mm" must find it.
//
// At the start of a block (start is true) it also escapes what would open a
// heading, a quote, a list or a rule there.
func appendEscaped(b []byte, text string, start bool) []byte {
	if start {
		text = strings.TrimLeft(text, " \t\r\n")
		b = appendStart(b, &text)
	}
	for i := 0; i < len(text); i++ {
		plain := i
		for plain < len(text) && !special[text[plain]] {
			plain++
		}
		b = append(b, text[i:plain]...)
		if i = plain; i == len(text) {
			break
		}
		c := text[i]
		switch c {
		case '&':
			if i+1 < len(text) && (text[i+1] == '#' || isLetter(text[i+1])) {
				b = append(b, '\\')
			}
			b = append(b, c)
		case ':':
			if strings.HasPrefix(text[i:], "://") {
				b = append(b, apart...)
			}
			b = append(b, c)
		case '.':
			if hasSuffixFold(text[:i], "www") {
				b = append(b, apart...)
			}
			b = append(b, c)
		case '@':
			b = append(b, c)
			if i > 0 && i+1 < len(text) && text[i+1] != ' ' {
				b = append(b, apart...)
			}
		default:
			switch {
			case c < 0x20 || c == 0x7f:
				b = append(b, ' ')
			case c < utf8.RuneSelf:
				b = append(b, '\\', c)
			default:
				r, size := utf8.DecodeRuneInString(text[i:])
				if r >= 0x80 && r <= 0xa0 || r == 0x202f || r == 0x2028 || r == 0x2029 {
					b = append(b, ' ')
				} else {
					b = utf8.AppendRune(b, r)
				}
				i += size - 1
			}
		}
	}
	return b
}

// apart keeps two halves of an address apart: readers with GitHub's extensions
// link addresses in running text after escapes are resolved.
const apart = "<!-- -->"

// special are the bytes that appendEscaped looks at twice: some of ASCII, and
// the first bytes of what holds C1 controls, U+00A0, U+2028 and U+202F.
var special = func() (t [256]bool) {
	for c := 0; c < 0x20; c++ {
		t[c] = true
	}
	t[0x7f], t[0xc2], t[0xe2] = true, true, true
	for c := 0xf5; c <= 0xff; c++ {
		t[c] = true
	}
	for _, c := range "\\`*_[]<|~$&:.@" {
		t[c] = true
	}
	return t
}()

// appendStart escapes what only means something at the start of a block.
func appendStart(b []byte, text *string) []byte {
	s := *text
	if s == "" {
		return b
	}
	switch s[0] {
	case '#', '>', '+', '-', '=':
		*text = s[1:]
		return append(b, '\\', s[0])
	}
	n := 0
	for n < len(s) && n < 10 && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	if n > 0 && n < len(s) && (s[n] == '.' || s[n] == ')') {
		*text = s[n+1:]
		b = append(b, s[:n]...)
		return append(b, '\\', s[n])
	}
	return b
}

func isLetter(c byte) bool { return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' }

// hasSuffixFold tells whether text ends with a lower-case ASCII word, however
// its letters are written.
func hasSuffixFold(text, word string) bool {
	return len(text) >= len(word) && strings.EqualFold(text[len(text)-len(word):], word)
}

// appendCode appends a code span that shows exactly text. In a table a bar
// inside a code span means one thing to one reader and another to the next, so
// there the span is written as HTML, in which escapes hold for both.
func appendCode(b []byte, text string, inTable bool) []byte {
	text = strings.Map(func(r rune) rune {
		if r < 0x20 || r >= 0x7f && r < 0xa0 {
			return ' '
		}
		return r
	}, text)
	if strings.Trim(text, " ") == "" || inTable && strings.ContainsRune(text, '|') {
		b = append(b, "<code>"...)
		b = appendEscaped(b, text, false)
		return append(b, "</code>"...)
	}
	run, longest := 0, 0
	for i := 0; i < len(text); i++ {
		if text[i] == '`' {
			run++
			longest = max(longest, run)
		} else {
			run = 0
		}
	}
	fence := strings.Repeat("`", longest+1)
	b = append(b, fence...)
	// A span loses one space on each side where it has both: give it two.
	pad := text[0] == '`' || text[len(text)-1] == '`' || text[0] == ' ' && text[len(text)-1] == ' '
	if pad {
		b = append(b, ' ')
	}
	b = append(b, text...)
	if pad {
		b = append(b, ' ')
	}
	return append(b, fence...)
}

// appendAddress appends the address of a link.
func appendAddress(b []byte, address string) []byte {
	const hex = "0123456789ABCDEF"
	for i := 0; i < len(address); i++ {
		c := address[i]
		switch {
		case c == '&':
			b = append(b, "&amp;"...)
		case c <= ' ' || c == 0x7f || strings.IndexByte("<>()\\|\"`*_~$[]", c) >= 0:
			b = append(b, '%', hex[c>>4], hex[c&15])
		default:
			b = append(b, c)
		}
	}
	return b
}

// appendWeighted appends an already escaped inline between delimiters: ** or *.
// Where the neighbours would keep a reader from seeing them as delimiters, the
// element is written as HTML, which every reader sees alike. next is what
// follows on the line.
func appendWeighted(b []byte, inline []byte, strong bool, next []byte) []byte {
	delimiter, open, end := "*", "<em>", "</em>"
	if strong {
		delimiter, open, end = "**", "<strong>", "</strong>"
	}
	trimmed := trimSpaces(inline)
	if len(trimmed) == 0 {
		return append(b, inline...)
	}
	lead := len(inline) - len(trimSpacesLeft(inline))
	tail := inline[lead+len(trimmed):]
	b = append(b, inline[:lead]...)
	before, _ := utf8.DecodeLastRune(b)
	first, _ := utf8.DecodeRune(trimmed)
	last, _ := utf8.DecodeLastRune(trimmed)
	after := ' '
	if len(tail) == 0 && len(next) > 0 {
		after, _ = utf8.DecodeRune(next)
	}
	if len(b) == 0 {
		before = ' '
	}
	opens := !isSpace(first) && (!isPunct(first) || isSpace(before) || isPunct(before))
	closes := !isSpace(last) && (!isPunct(last) || isSpace(after) || isPunct(after))
	if opens && closes && before != '*' && after != '*' && first != '*' && last != '*' {
		b = append(b, delimiter...)
		b = append(b, trimmed...)
		b = append(b, delimiter...)
	} else {
		b = append(b, open...)
		b = append(b, trimmed...)
		b = append(b, end...)
	}
	return append(b, tail...)
}

func trimSpaces(b []byte) []byte {
	b = trimSpacesLeft(b)
	for len(b) > 0 && b[len(b)-1] == ' ' {
		b = b[:len(b)-1]
	}
	return b
}

func trimSpacesLeft(b []byte) []byte {
	for len(b) > 0 && b[0] == ' ' {
		b = b[1:]
	}
	return b
}

// isPunct and isSpace are the classes of CommonMark's rule for emphasis.
func isPunct(r rune) bool { return unicode.IsPunct(r) || unicode.IsSymbol(r) }
func isSpace(r rune) bool { return unicode.IsSpace(r) || r == '\n' }
