package syntax

import (
	"fmt"
	"strings"
	"unicode/utf8"

	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// MaxSize is the largest source file that is read, in bytes. A procedure of
// thirty steps has some ten thousand.
const MaxSize = 16 << 20

// Load makes a source file of the bytes read from a file. What a source may
// not hold gets a BP101 message at its place and U+FFFD in its stead, so that
// the file returned can always be parsed: bytes that are not UTF-8, NUL and other
// control characters, those that turn the direction of writing (a text would show
// other than it is), and U+FFFD itself (some program has already put it in for a
// character it could not read). A byte-order mark is left out. A file over MaxSize comes back
// empty with one message.
func Load(text []byte, path string) (*source.File, []*message.Message) {
	if len(text) > MaxSize {
		f := source.NewFile(path, "")
		return f, []*message.Message{message.New("BP101", f.Span(0, 0),
			"the file has %s, more than the %s a source file may have", megabytes(len(text)), megabytes(MaxSize)).
			Helped("split it: all files under one folder form one library")}
	}
	s := strings.TrimPrefix(string(text), "\uFEFF")
	if utf16(s) {
		f := source.NewFile(path, "")
		return f, []*message.Message{message.New("BP101", f.Span(0, 0), "the file is UTF-16 text, expected UTF-8").
			Helped("save it as UTF-8")}
	}
	bad := findBad(s)
	if bad == nil {
		f := source.NewFile(path, s)
		f.Mark = len(text) - len(s)
		return f, nil
	}
	var b strings.Builder
	b.Grow(len(s) + 3*len(bad))
	type place struct{ start, end int }
	places := make([]place, len(bad))
	last := 0
	for i, x := range bad {
		b.WriteString(s[last:x.start])
		places[i].start = b.Len()
		b.WriteString("\uFFFD")
		places[i].end = b.Len()
		last = x.end
	}
	b.WriteString(s[last:])
	f := source.NewFile(path, b.String())
	f.Mark = len(text) - len(s)
	var list []*message.Message
	for i, x := range bad {
		if i == maxMessages {
			break
		}
		m := message.New("BP101", f.Span(places[i].start, places[i].end), "%s", x.text)
		if x.help != "" {
			m.Helped("%s", x.help)
		}
		list = append(list, m)
	}
	return f, list
}

func megabytes(n int) string { return fmt.Sprintf("%.1f MB", float64(n)/(1<<20)) }

// utf16 tells whether the text starts with a byte-order mark of UTF-16.
func utf16(s string) bool {
	return strings.HasPrefix(s, "\xFF\xFE") || strings.HasPrefix(s, "\xFE\xFF")
}

type badBytes struct {
	start, end int
	text, help string
}

// findBad lists what a source file may not hold; a run is one mistake.
func findBad(s string) (list []badBytes) {
	for i := 0; i < len(s); {
		c := s[i]
		if c >= ' ' && c < 0x7F || c == '\n' || c == '\t' || c == '\r' {
			i++
			continue
		}
		r, n := utf8.DecodeRuneInString(s[i:])
		j := i + n
		switch {
		case c == 0:
			for j < len(s) && s[j] == 0 {
				j++
			}
			list = append(list, badBytes{i, j, "a NUL byte stands in the text", "save the file as UTF-8 text"})
		case r == utf8.RuneError && n == 1:
			for j < len(s) {
				if r, n := utf8.DecodeRuneInString(s[j:]); r != utf8.RuneError || n != 1 {
					break
				}
				j++
			}
			list = append(list, badBytes{i, j, fmt.Sprintf("the byte 0x%02X is not UTF-8", c), "save the file as UTF-8"})
		case isControl(r):
			list = append(list, badBytes{i, j, fmt.Sprintf("a control character stands in the text (U+%04X)", r), "take it out; no document shows it, and a terminal obeys it"})
		case turnsWriting(r):
			list = append(list, badBytes{i, j, fmt.Sprintf("a character that turns the direction of writing stands in the text (U+%04X)", r), "take it out: what is read would not be what is written"})
		case r == utf8.RuneError:
			list = append(list, badBytes{i, j, "a character was lost here when the file was saved (U+FFFD)", "write the character again"})
		}
		i = j
	}
	return list
}

// MayStand tells whether a source may hold a character.
func MayStand(r rune) bool {
	return r == '\n' || r == '\t' || r == '\r' || !isControl(r) && !turnsWriting(r) && r != utf8.RuneError
}

func isControl(r rune) bool { return r < ' ' || r >= 0x7F && r < 0xA0 }

// turnsWriting tells of the characters by which a text is shown other than it is.
func turnsWriting(r rune) bool { return r >= 0x202A && r <= 0x202E || r >= 0x2066 && r <= 0x2069 }
