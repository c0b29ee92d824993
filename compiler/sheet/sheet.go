// Package sheet reads the sheets that a shop keeps: workbooks (XLSX, ECMA-376)
// and files of text (CSV, RFC 4180, with the separators that spreadsheets
// write).
//
// Input: the bytes of a file and what is said of it. Output: its rows as cells
// that say what they hold, or a fault with its place. A number of a workbook is
// given as the decimal that spreadsheets show, fifteen digits at the most; the
// cell of a formula holds the value that was last worked out. Nothing that a
// file leads to is opened. What a hostile file can cost is bounded before it is
// taken apart. The package imports nothing of the project.
package sheet

import (
	"bytes"
	"fmt"
	"path"
	"strings"
	"unicode"
)

// The bounds of what is read.
const (
	// MaxFile is the largest file, in bytes.
	MaxFile = 20 << 20
	// MaxRows and MaxColumns are those of one sheet, MaxCells of all sheets of a file.
	MaxRows    = 50_000
	MaxColumns = 256
	MaxCells   = 500_000
	// MaxText is the longest text of a cell, in bytes: what spreadsheets take.
	MaxText = 4 * 32_767
	// MaxTexts is how much text all cells of a sheet hold together, in bytes: a
	// workbook keeps a text once, however many cells show it.
	MaxTexts = 64 << 20
	// maxUnpacked is the most that all parts of a workbook may unpack to, in bytes.
	maxUnpacked = 96 << 20
	maxParts    = 2_000
	maxMerges   = 2_000
	// maxMergedCells bounds merged ranges times cells: each cell looks for its range.
	maxMergedCells = 20_000_000
)

// A Kind says what a cell holds.
type Kind uint8

// The kinds.
const (
	Empty Kind = iota
	Text
	Number
	Date
	Bool
	// Error is a cell that shows an error of the spreadsheet: #REF!.
	Error
	// Unworked is a formula whose value was never worked out.
	Unworked
)

// A Cell is one cell.
type Cell struct {
	Kind Kind
	// Text is what the cell shows; of a Date the day, 2026-10-02, with the time of
	// day behind it where it has one. Blanks around it are left out.
	Text string
	// Value is the exact decimal of a Number: 0.001. Empty where the number has
	// more digits than a spreadsheet keeps, or an exponent beyond use.
	Value string
	// Percent: the Number is shown in per cent, so 0.04 is 4 %.
	Percent bool
	// Plain: the Number is shown without a format of its own.
	Plain bool
	// Merged is the range that the cell is merged into where that is more than
	// one column wide, B4:C4. Over rows, each row has the cell.
	Merged string
}

// A Row is one row; Cells stand by column, from the first.
type Row struct {
	Number int // from one
	Hidden bool
	Cells  []Cell
}

// Cell gives the cell of a column, from one; an empty one where the row is shorter.
func (r *Row) Cell(column int) Cell {
	if column < 1 || column > len(r.Cells) {
		return Cell{}
	}
	return r.Cells[column-1]
}

// A Table is one sheet. Rows that hold nothing are left out.
type Table struct {
	// Tab is the name of the sheet in its workbook, empty for a file of text.
	Tab  string
	Rows []Row
	// Guessed is the encoding that a file of text was taken to have, where neither
	// the library nor the file says so; else empty.
	Guessed string
}

// Options are what the library says of a file.
type Options struct {
	Tab       string // the sheet's name; empty: the only one
	Separator string // comma, semicolon, tab; empty: as the header shows
	Encoding  string // a name of Encodings; empty: as the bytes show
	HeaderRow int    // from one
}

// A Fault says why a file cannot be taken, and what to do.
type Fault struct {
	Text, Help string
	// Row is where, from one; 0: the whole file.
	Row int
	// Tab: it is the sheet asked for that the file does not have.
	Tab bool
}

func (f *Fault) Error() string { return f.Text }

func fault(help, format string, args ...any) *Fault {
	return &Fault{Text: fmt.Sprintf(format, args...), Help: help}
}

const (
	helpSave = "save it as XLSX or CSV"
	helpOpen = "open it in a spreadsheet program and save it again as XLSX"
)

// Read reads one sheet of a file. The name decides nothing but what a file that is
// neither is called.
func Read(data []byte, name string, o Options) (*Table, *Fault) {
	suffix := strings.ToLower(path.Ext(name))
	switch {
	case len(data) > MaxFile:
		return nil, fault("take out what is not needed, or split it", "the file has more than the %d MB a sheet may have", MaxFile>>20)
	case len(data) == 0:
		return nil, fault(helpSave, "the file is empty")
	case bytes.HasPrefix(data, []byte("\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1")):
		if bytes.Contains(data, utf16le("EncryptedPackage")) {
			return nil, fault("take the password off: what is in it cannot be checked otherwise", "the workbook is locked with a password")
		}
		return nil, fault("open it in a spreadsheet program and save it as XLSX", "the file is a workbook of the old form (XLS)")
	case bytes.HasPrefix(data, []byte("PK")):
		return readWorkbook(data, o)
	case suffix == ".csv", suffix == ".txt", suffix == ".tsv":
		return readText(data, o)
	case suffix == ".xlsx", suffix == ".xlsm":
		return nil, fault(helpOpen, "the file is no workbook, whatever its name says")
	}
	return nil, fault(helpSave, "a file called *%s is not read as a sheet", suffix)
}

func utf16le(s string) []byte {
	var b []byte
	for i := range len(s) {
		b = append(b, s[i], 0)
	}
	return b
}

// errorsShown are the errors that spreadsheets show in a cell.
var errorsShown = map[string]bool{"#REF!": true, "#N/A": true, "#VALUE!": true, "#DIV/0!": true, "#NAME?": true, "#NUM!": true,
	"#NULL!": true, "#SPILL!": true, "#CALC!": true, "#GETTING_DATA": true}

// clean leaves out blanks around a text, and what cannot be seen in it; a blank
// of another kind within is a space.
func clean(s string) string {
	s = strings.Map(func(r rune) rune {
		switch {
		case r == '\u200b', r == '\ufeff', r == '\u00ad', r == '\u2060':
			return -1
		case unicode.IsSpace(r):
			return ' '
		}
		return r
	}, s)
	return strings.TrimSpace(s)
}

// textCell makes a cell of a text.
func textCell(s string) Cell {
	s = clean(s)
	switch {
	case s == "":
		return Cell{}
	case errorsShown[s]:
		return Cell{Kind: Error, Text: s}
	}
	return Cell{Kind: Text, Text: s}
}

// trim leaves out the empty cells at a row's end.
func trim(cells []Cell) []Cell {
	for len(cells) > 0 && cells[len(cells)-1].Kind == Empty && cells[len(cells)-1].Merged == "" {
		cells = cells[:len(cells)-1]
	}
	return cells
}

// ColumnName gives the letters of a column, from one: 3 is C.
func ColumnName(n int) string {
	var b []byte
	for ; n > 0; n = (n - 1) / 26 {
		b = append([]byte{byte('A' + (n-1)%26)}, b...)
	}
	return string(b)
}
