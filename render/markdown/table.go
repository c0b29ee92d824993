package markdown

import (
	"bytes"
	"strings"
	"unicode/utf8"

	"github.com/mattn/go-runewidth"
)

// A table is written with its columns aligned. Its rows end with two spaces:
// a reader that knows no tables then still shows a row on a line of its own.
type table struct {
	rows [][][]byte // the first is the head
}

func (t *table) row(cells ...[]byte) { t.rows = append(t.rows, cells) }

// head sets the first row from fixed words.
func (r *renderer) head(t *table, words ...string) {
	cells := make([][]byte, len(words))
	for i, w := range words {
		cells[i] = r.plain(w)
	}
	t.row(cells...)
}

var widths = &runewidth.Condition{EastAsianWidth: false, StrictEmojiNeutral: true}

// columns tells how wide a cell shows in a terminal.
func columns(cell []byte) int {
	for _, c := range cell {
		if c >= utf8.RuneSelf {
			return widths.StringWidth(string(cell))
		}
	}
	return len(cell)
}

// filler are spaces and dashes to pad with.
var (
	spaces = bytes.Repeat([]byte{' '}, 256)
	dashes = bytes.Repeat([]byte{'-'}, 256)
)

func fill(b, with []byte, n int) []byte {
	for n > len(with) {
		b = append(b, with...)
		n -= len(with)
	}
	return append(b, with[:max(n, 0)]...)
}

// table appends a table as a block. A table with a head only is left out, and so
// is a column that has nothing under its head.
func (r *renderer) table(t *table) {
	if len(t.rows) < 2 {
		return
	}
	width := make([]int, len(t.rows[0]))
	said := make([]bool, len(width))
	for n, row := range t.rows {
		for i, cell := range row {
			width[i] = max(width[i], columns(cell), 3)
			said[i] = said[i] || i == 0 || n > 0 && len(cell) > 0
		}
	}
	r.open()
	for n, row := range t.rows {
		r.b = append(r.b, '|')
		for i, cell := range row {
			if !said[i] {
				continue
			}
			r.b = append(r.b, ' ')
			r.b = append(r.b, cell...)
			r.b = fill(r.b, spaces, width[i]-columns(cell))
			r.b = append(r.b, " |"...)
		}
		r.b = append(r.b, "  \n"...)
		if n == 0 {
			r.b = append(r.b, '|')
			for i := range row {
				if !said[i] {
					continue
				}
				r.b = append(r.b, ' ')
				r.b = fill(r.b, dashes, width[i])
				r.b = append(r.b, " |"...)
			}
			r.b = append(r.b, "  \n"...)
		}
	}
}

// blank is a box to write in.
const blank = "______"

// blanks are several.
func blanks(n int) string {
	return strings.TrimSuffix(strings.Repeat(blank+" ", n), " ")
}
