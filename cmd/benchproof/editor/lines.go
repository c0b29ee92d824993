package editor

import (
	"strings"
	"unicode/utf16"
	"unicode/utf8"

	"github.com/charmbracelet/x/powernap/pkg/lsp/protocol"

	"benchproof/dsl/source"
)

// lines tells positions of the protocol (line and UTF-16 code unit, from zero)
// and byte offsets of one text apart. A line ends with a line feed, a carriage
// return, or both, as the protocol says.
type lines struct {
	text   string
	starts []int
}

func linesOf(text string) *lines {
	l := &lines{text: text, starts: make([]int, 1, 2+strings.Count(text, "\n"))}
	for i := 0; i < len(text); i++ {
		switch text[i] {
		case '\r':
			if i+1 < len(text) && text[i+1] == '\n' {
				continue
			}
			l.starts = append(l.starts, i+1)
		case '\n':
			l.starts = append(l.starts, i+1)
		}
	}
	return l
}

// line gives the text of a line without its end.
func (l *lines) line(n int) string {
	end := len(l.text)
	if n+1 < len(l.starts) {
		end = l.starts[n+1]
	}
	return strings.TrimRight(l.text[l.starts[n]:end], "\r\n")
}

// position gives the position of a byte offset; beyond the end is the end,
// within a character its start, and within a line break the end of its line.
func (l *lines) position(offset int) protocol.Position {
	offset = max(0, min(offset, len(l.text)))
	for back := 1; back < utf8.UTFMax && offset >= back && offset < len(l.text); back++ {
		if _, n := utf8.DecodeRuneInString(l.text[offset-back:]); n > back {
			offset -= back
			break
		}
	}
	low, high := 0, len(l.starts)
	for high-low > 1 {
		if mid := (low + high) / 2; l.starts[mid] <= offset {
			low = mid
		} else {
			high = mid
		}
	}
	units := 0
	start := l.starts[low]
	for _, r := range l.text[start:min(offset, start+len(l.line(low)))] {
		units += width(r)
	}
	return protocol.Position{Line: uint32(low), Character: uint32(units)}
}

// width is how many UTF-16 code units a character has.
func width(r rune) int {
	if n := utf16.RuneLen(r); n > 0 {
		return n
	}
	return 1
}

// offset gives the byte offset of a position. A position beyond a line's end is
// its end, as the protocol says; one within a character is its start.
func (l *lines) offset(p protocol.Position) int {
	if uint64(p.Line) >= uint64(len(l.starts)) {
		return len(l.text)
	}
	start := l.starts[p.Line]
	line := l.line(int(p.Line))
	units := uint64(0)
	for i := 0; i < len(line); {
		r, n := utf8.DecodeRuneInString(line[i:])
		w := uint64(width(r))
		if units+w > uint64(p.Character) {
			return start + i
		}
		units += w
		i += n
	}
	return start + len(line)
}

func (l *lines) rangeOf(start, end int) protocol.Range {
	return protocol.Range{Start: l.position(start), End: l.position(end)}
}

// A positions keeps the lines of the files that one reply speaks of.
type positions map[*source.File]*lines

func (p positions) of(f *source.File) *lines {
	l := p[f]
	if l == nil {
		l = linesOf(f.Text)
		p[f] = l
	}
	return l
}

func (p positions) rangeOf(s source.Span) protocol.Range {
	return p.of(s.File).rangeOf(s.Start, s.End)
}
