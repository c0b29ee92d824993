package message

import (
	"fmt"
	"io"
	"path"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/mattn/go-runewidth"

	"benchproof/dsl/source"
)

// TextOptions say how messages are written for a person.
type TextOptions struct {
	// Folder goes in front of each file's path, so that the place can be opened
	// from where the person stands. Empty: the paths of the library.
	Folder string
	// Colour writes the escape sequences of ECMA-48 for weight and colour.
	Colour bool
	// Width is the number of columns of the terminal: notes are wrapped and long
	// source lines cut to it. Zero: nothing is wrapped, and a source line is cut
	// at 160 columns.
	Width int
}

const (
	tabStop      = 4   // a tab of the source goes on to the next column of this
	excerptWidth = 160 // columns of source shown where no width is given
	leastWidth   = 40  // narrower than this nothing reads well
)

// The weights and colours of a terminal. What a colour says, a word says too.
const (
	styleNone    = ""
	styleError   = "\x1b[1;31m"
	styleWarning = "\x1b[1;33m"
	stylePlace   = "\x1b[1m"
	styleQuiet   = "\x1b[2m"
	styleReset   = "\x1b[0m"
)

// widths counts terminal columns alike on every machine: without it, the
// language of the environment would move the markers.
var widths = &runewidth.Condition{EastAsianWidth: false, StrictEmojiNeutral: true}

// WriteText writes messages for a person: a line `file:line:column: error
// BP401: …`, the source line, a marker under it, then related places, notes
// and help. Control characters in anything that came from a source are shown,
// never sent: a source must not be able to steer a terminal.
func WriteText(w io.Writer, list []*Message, options TextOptions) error {
	t := &textWriter{options: options}
	if t.options.Width > 0 && t.options.Width < leastWidth {
		t.options.Width = leastWidth
	}
	for i, m := range list {
		if i > 0 {
			t.b.WriteByte('\n')
		}
		t.message(m)
		if t.b.Len() > 1<<16 {
			if _, err := io.WriteString(w, t.b.String()); err != nil {
				return err
			}
			t.b.Reset()
		}
	}
	_, err := io.WriteString(w, t.b.String())
	return err
}

type textWriter struct {
	options TextOptions
	b       strings.Builder
}

func (t *textWriter) message(m *Message) {
	style := styleError
	if !m.IsError() {
		style = styleWarning
	}
	if !m.Span.IsZero() {
		t.styled(stylePlace, t.place(m.Span)+":")
		t.b.WriteByte(' ')
	}
	t.styled(style, fmt.Sprintf("%s %s:", m.Severity, m.Code))
	t.b.WriteByte(' ')
	t.styled(stylePlace, Printable(m.Text))
	t.b.WriteByte('\n')
	t.excerpt(m.Span, style, "")
	for _, r := range m.Related {
		t.b.WriteString("  ")
		t.styled(stylePlace, t.place(r.Span)+":")
		t.b.WriteString(" " + Printable(r.Text) + "\n")
		t.excerpt(r.Span, styleQuiet, "  ")
	}
	for _, n := range m.Notes {
		t.paragraph("note", n)
	}
	if m.Help != "" {
		t.paragraph("help", m.Help)
	}
}

// place gives file:line:column; of a sheet file:sheet!cell or file:cell, or
// file:row where it is no cell's.
func (t *textWriter) place(s source.Span) string {
	line, column := s.File.Position(s.Start)
	name := s.File.Path
	if t.options.Folder != "" {
		name = path.Join(t.options.Folder, name)
	}
	if s.File.Sheet != nil {
		return Printable(name) + Cell(s)
	}
	return fmt.Sprintf("%s:%d:%d", Printable(name), line, column)
}

func (t *textWriter) styled(style, text string) {
	if !t.options.Colour || style == styleNone {
		t.b.WriteString(text)
		return
	}
	t.b.WriteString(style + text + styleReset)
}

// Cell gives the place of a span of a sheet behind the name of its file: !C14 in a
// workbook, :C14 in a file of text, :14 where it is no cell's.
func Cell(s source.Span) string {
	c, ok := s.Cell()
	switch {
	case !ok:
		row, _ := s.File.Position(s.Start)
		return fmt.Sprintf(":%d", row)
	case s.File.Sheet.Tab != "":
		return "!" + c.Name
	}
	return ":" + c.Name
}

// excerpt writes the line at which a span starts, and a marker under the part
// of the span that is on it.
func (t *textWriter) excerpt(s source.Span, style, indent string) {
	if s.IsZero() {
		return
	}
	number, line, from, to := s.Shown()

	gutter := fmt.Sprintf("%s%5d | ", indent, number)
	room := excerptWidth
	if t.options.Width > 0 {
		room = t.options.Width - len(gutter)
	}
	shown, mark, length := cut(line, from, to, room)
	if strings.TrimSpace(shown) == "" && length <= 1 {
		return // an empty line shows nothing
	}
	t.styled(styleQuiet, gutter)
	t.b.WriteString(strings.TrimRight(shown, " ") + "\n")
	t.styled(styleQuiet, fmt.Sprintf("%s%5s | ", indent, ""))
	t.b.WriteString(strings.Repeat(" ", mark))
	t.styled(style, strings.Repeat("^", max(length, 1)))
	t.b.WriteByte('\n')
}

// cut lays a source line out in columns and keeps at most room of them, those
// around the part from byte from up to byte to. It gives the line as shown and
// the column and length of the marker. Only what can be shown is laid out: the
// line may be megabytes long.
func cut(line string, from, to, room int) (shown string, mark, length int) {
	const before = 24 // columns of context kept in front of the marked part
	first := 0
	if columnsUpTo(line[:from], room) > room/2 {
		// Start so that some context stands in front.
		first = from
		for n := 0; n < before && first > 0; n++ {
			_, size := utf8.DecodeLastRuneInString(line[:first])
			first -= size
		}
	}
	var b strings.Builder
	column := 0
	if first > 0 {
		b.WriteString("…")
		column = 1
	}
	mark, end := -1, -1
	at := first
	for at < len(line) {
		if at >= from && mark < 0 {
			mark = column
		}
		if at >= to && end < 0 {
			end = column
		}
		r, size := utf8.DecodeRuneInString(line[at:])
		cell, width := cell(r, size, column)
		if column+width > room-1 && at+size < len(line) {
			b.WriteString("…")
			column++
			break
		}
		b.WriteString(cell)
		column += width
		at += size
	}
	if mark < 0 {
		mark = column
	}
	if end < 0 {
		end = column
	}
	return b.String(), mark, end - mark
}

// columnsUpTo counts columns of text and stops once they are more than limit.
func columnsUpTo(text string, limit int) int {
	column := 0
	for at := 0; at < len(text) && column <= limit; {
		r, size := utf8.DecodeRuneInString(text[at:])
		_, width := cell(r, size, column)
		column += width
		at += size
	}
	return column
}

// cell gives how one character of source is shown and how many columns it is.
func cell(r rune, size, column int) (string, int) {
	if r == '\t' {
		n := tabStop - column%tabStop
		return strings.Repeat(" ", n), n
	}
	if r == utf8.RuneError && size <= 1 {
		return "\uFFFD", 1
	}
	s := visible(r)
	return s, widths.StringWidth(s)
}

// visible gives a character as it may be sent to a terminal: a control
// character as its picture (U+2400 block), one that reorders or hides what
// follows as the replacement character.
func visible(r rune) string {
	switch {
	case r < 0x20:
		return string(0x2400 + r)
	case r == 0x7f:
		return "\u2421"
	case r >= 0x80 && r < 0xa0, r == 0x2028, r == 0x2029,
		r >= 0x202a && r <= 0x202e, r >= 0x2066 && r <= 0x2069, r == 0x200e, r == 0x200f, r == 0x061c:
		return "\uFFFD"
	}
	return string(r)
}

// Printable gives text on one line in which nothing steers a terminal.
func Printable(text string) string {
	clean := true
	for _, r := range text {
		if r < 0x20 || r >= 0x7f && (r == utf8.RuneError || !unicode.IsPrint(r)) {
			clean = false
			break
		}
	}
	if clean {
		return text
	}
	var b strings.Builder
	for _, r := range text {
		if r == '\n' || r == '\t' {
			b.WriteByte(' ')
			continue
		}
		b.WriteString(visible(r))
	}
	return b.String()
}

// paragraph writes "  note: text", wrapped to the terminal's width.
func (t *textWriter) paragraph(label, text string) {
	t.b.WriteString("  ")
	t.styled(stylePlace, label+":")
	indent := len(label) + 4
	column := indent - 1
	for _, word := range strings.Fields(Printable(text)) {
		width := widths.StringWidth(word)
		if t.options.Width > 0 && column+1+width > t.options.Width && column > indent {
			t.b.WriteString("\n" + strings.Repeat(" ", indent-1))
			column = indent - 1
		}
		t.b.WriteString(" " + word)
		column += 1 + width
	}
	t.b.WriteByte('\n')
}
