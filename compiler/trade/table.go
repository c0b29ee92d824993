package trade

import (
	"embed"
	"encoding/csv"
	"fmt"
	"strings"

	"benchproof/compiler/quantity"
)

//go:embed data/*.csv
var files embed.FS

// table is one embedded CSV file: its header and its rows, comments left out.
type table struct {
	name   string
	column map[string]int
	header []string
	rows   [][]string
}

// load reads an embedded table. The files are part of the program and tests
// read every one, so a fault in one is a programming error.
func load(name string) table {
	data, err := files.ReadFile("data/" + name + ".csv")
	if err != nil {
		panic("trade: " + err.Error())
	}
	r := csv.NewReader(strings.NewReader(string(data)))
	r.Comment = '#'
	rows, err := r.ReadAll()
	if err != nil || len(rows) < 2 {
		panic(fmt.Sprintf("trade: table %s cannot be read: %v", name, err))
	}
	t := table{name: name, column: make(map[string]int), header: rows[0], rows: rows[1:]}
	for i, h := range t.header {
		t.column[h] = i
	}
	return t
}

// text returns a cell; an unknown column is a programming error.
func (t table) text(row int, column string) string {
	i, ok := t.column[column]
	if !ok {
		panic("trade: table " + t.name + " has no column " + column)
	}
	return t.rows[row][i]
}

// number returns a cell's value, and false where the cell is empty.
func (t table) number(row int, column string) (quantity.Number, bool) {
	s := t.text(row, column)
	if s == "" {
		return quantity.Number{}, false
	}
	return quantity.MustNumber(s), true
}

// must returns the value of a cell that is never empty.
func (t table) must(row int, column string) quantity.Number {
	return quantity.MustNumber(t.text(row, column))
}

// span finds the row whose half-open range, over (out) up to (in), holds v.
func (t table) span(v quantity.Number) (int, bool) {
	for i := range t.rows {
		if v.Cmp(t.must(i, "over")) > 0 && v.Cmp(t.must(i, "upto")) <= 0 {
			return i, true
		}
	}
	return 0, false
}

// SizeLimits are two limits of size, both still in, in mm.
type SizeLimits struct{ Lower, Upper quantity.Number }

// Verdict says where a size lies against two limits.
type Verdict int

// The verdicts of SizeLimits.Judge.
const (
	Inside Verdict = iota
	TooSmall
	TooLarge
)

func (v Verdict) String() string {
	return [...]string{"inside", "too small", "too large"}[v]
}

// Judge says whether a size lies within the limits; both ends are in.
func (l SizeLimits) Judge(size quantity.Number) Verdict {
	switch {
	case size.Cmp(l.Lower) < 0:
		return TooSmall
	case size.Cmp(l.Upper) > 0:
		return TooLarge
	}
	return Inside
}

// UnknownError says that a name is in no table, and which names are near: the
// words for a message, and the candidates for an edit.
type UnknownError struct {
	Found    string   // as written
	Expected string   // what the table has, in words
	Near     []string // nearest names first; may be empty
}

func (e *UnknownError) Error() string { return "found " + quoted(e.Found) + ", expected " + e.Expected }

// quoted puts a name into a message: long input is cut, so that no input makes
// a message unreadable.
func quoted(s string) string {
	const most = 40
	r := []rune(s)
	if len(r) > most {
		s = string(r[:most]) + "…"
	}
	return fmt.Sprintf("%q", s)
}

// list joins names for a message: "a", "a or b", "a, b or c".
func list(names []string) string {
	switch len(names) {
	case 0:
		return ""
	case 1:
		return names[0]
	}
	return strings.Join(names[:len(names)-1], ", ") + " or " + names[len(names)-1]
}
