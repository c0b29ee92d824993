package main

import (
	"io"
	"os"
	"strings"

	"github.com/mattn/go-runewidth"

	"benchproof/dsl/message"
)

// A sheet is text for a terminal or a file: lines of words and columns that are
// no wider than the terminal. What comes from a source is shown, never sent.
type sheet struct {
	b      strings.Builder
	width  int // columns; 0: nothing is wrapped
	colour bool
}

// The least and the usual columns of a terminal.
const (
	leastColumns = 40
	paperColumns = 80
)

// cells counts terminal columns alike on every machine.
var cells = &runewidth.Condition{StrictEmojiNeutral: true}

// newSheet makes a sheet for a writer: as wide as the terminal, and of eighty
// columns where it is a pipe or a file.
func newSheet(w io.Writer) *sheet {
	s := &sheet{width: paperColumns}
	if _, width, ok := terminal(w); ok {
		if width > 0 {
			s.width = max(width, leastColumns)
		}
		s.colour = os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb"
	}
	return s
}

func (s *sheet) writeTo(w io.Writer) error {
	_, err := io.WriteString(w, s.b.String())
	return err
}

// Weights and colours; what a colour says, a word or a sign says too.
const (
	inBold  = "\x1b[1m"
	inGrey  = "\x1b[2m"
	inRed   = "\x1b[31m"
	inGreen = "\x1b[32m"
	plainly = "\x1b[0m"
)

func (s *sheet) styled(style, text string) string {
	if !s.colour || style == "" || text == "" {
		return text
	}
	return style + text + plainly
}

// line writes a line in a style, wrapped; what follows the first line stands in
// by hang columns.
func (s *sheet) line(style string, hang int, text string) {
	for i, part := range s.wrap(message.Printable(text), s.room(0), s.room(hang)) {
		if i > 0 {
			s.b.WriteString(strings.Repeat(" ", hang))
		}
		s.b.WriteString(s.styled(style, part))
		s.b.WriteByte('\n')
	}
}

func (s *sheet) blank() { s.b.WriteByte('\n') }

// room is how many columns are left behind an indent.
func (s *sheet) room(indent int) int {
	if s.width == 0 {
		return 1 << 20
	}
	return max(s.width-indent, 16)
}

// table writes rows in columns, each as wide as its widest cell; the last one
// is wrapped beside the others.
func (s *sheet) table(indent int, rows [][]string) {
	var wide []int
	for _, r := range rows {
		for i, c := range r {
			if i == len(wide) {
				wide = append(wide, 0)
			}
			if i+1 < len(r) {
				wide[i] = max(wide[i], cells.StringWidth(message.Printable(c)))
			}
		}
	}
	// A wide first column must leave room for what it is about.
	for i := range wide {
		wide[i] = min(wide[i], max(10, s.room(indent)*2/5))
	}
	for _, r := range rows {
		at := indent
		s.b.WriteString(strings.Repeat(" ", indent))
		for i, c := range r {
			c = message.Printable(c)
			if i+1 < len(r) {
				c = cells.Truncate(c, wide[i], "…")
				s.b.WriteString(c)
				if pad := wide[i] - cells.StringWidth(c) + 2; !blankFrom(r[i+1:]) {
					s.b.WriteString(strings.Repeat(" ", pad))
				}
				at += wide[i] + 2
				continue
			}
			for k, part := range s.wrap(c, s.room(at), s.room(at)) {
				if k > 0 {
					s.b.WriteString("\n" + strings.Repeat(" ", at))
				}
				s.b.WriteString(part)
			}
		}
		s.b.WriteByte('\n')
	}
}

func blankFrom(list []string) bool { return strings.Join(list, "") == "" }

// wrap breaks a text between words: the first line is of at most first columns,
// the others of rest. A word that is wider stands alone.
func (s *sheet) wrap(text string, first, rest int) []string {
	var out []string
	line, most := "", first
	for i, word := range strings.Split(text, " ") {
		switch {
		case i == 0:
			line = word
		case cells.StringWidth(line)+1+cells.StringWidth(word) <= most:
			line += " " + word
		default:
			out = append(out, strings.TrimRight(line, " "))
			line, most = word, rest
		}
	}
	return append(out, strings.TrimRight(line, " "))
}

// cut shortens a text to some columns.
func cut(text string, columns int) string {
	return cells.Truncate(message.Printable(text), max(columns, 1), "…")
}
