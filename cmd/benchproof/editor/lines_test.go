package editor

import (
	"testing"
	"unicode/utf16"

	"github.com/charmbracelet/x/powernap/pkg/lsp/protocol"
)

func TestPositionsCountUTF16(t *testing.T) {
	// Lengths in code units: é 1, ° 1, 😀 2 (a surrogate pair, U+1F600), line ends
	// of every kind the protocol knows.
	text := "aé°\r\n😀b\rc\n\n€"
	l := linesOf(text)
	for _, x := range []struct {
		offset          int
		line, character uint32
	}{
		{0, 0, 0}, {1, 0, 1}, {3, 0, 2}, {5, 0, 3}, {7, 1, 0}, {11, 1, 2}, {12, 1, 3}, {13, 2, 0}, {14, 2, 1}, {15, 3, 0}, {16, 4, 0}, {19, 4, 1},
	} {
		if p := l.position(x.offset); p.Line != x.line || p.Character != x.character {
			t.Errorf("offset %d is at %d:%d, not %d:%d", x.offset, x.line, x.character, p.Line, p.Character)
		}
		if o := l.offset(protocol.Position{Line: x.line, Character: x.character}); o != x.offset {
			t.Errorf("%d:%d is offset %d, not %d", x.line, x.character, x.offset, o)
		}
	}
	for _, x := range []struct {
		line, character uint32
		offset          int
	}{
		{0, 99, 5},       // beyond a line's end is its end
		{1, 1, 7},        // within a pair is its start
		{99, 0, 19},      // beyond the text is its end
		{1 << 31, 7, 19}, // whatever the number
	} {
		if o := l.offset(protocol.Position{Line: x.line, Character: x.character}); o != x.offset {
			t.Errorf("%d:%d is offset %d, not %d", x.line, x.character, x.offset, o)
		}
	}
}

func FuzzPositions(f *testing.F) {
	f.Add("aé°\r\n😀b\rc\n\n€", 3)
	f.Add("\xff\xfe", 1)
	f.Fuzz(func(t *testing.T, text string, offset int) {
		l := linesOf(text)
		p := l.position(offset)
		if back := l.offset(p); l.position(back) != p {
			t.Errorf("%q: offset %d is at %v, which is offset %d", text, offset, p, back)
		}
		// The columns of a line are the length of its UTF-16 form.
		for n := range l.starts {
			line := l.line(n)
			end := l.position(l.starts[n] + len(line))
			if want := len(utf16.Encode([]rune(line))); int(end.Character) != want {
				t.Errorf("%q: line %d has %d code units, not %d", text, n, want, end.Character)
			}
		}
	})
}
