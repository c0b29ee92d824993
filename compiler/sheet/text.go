package sheet

import (
	"bytes"
	"encoding/csv"
	"errors"
	"io"
	"strings"
	"unicode/utf8"

	"golang.org/x/text/encoding"
	"golang.org/x/text/encoding/charmap"
	"golang.org/x/text/encoding/unicode"
)

// Separators are what may part the cells of a file of text, by name.
var Separators = map[string]rune{"comma": ',', "semicolon": ';', "tab": '\t'}

// encodings are those that can be stated.
var encodings = map[string]encoding.Encoding{
	"utf-8":        unicode.UTF8BOM,
	"utf-16":       unicode.UTF16(unicode.LittleEndian, unicode.UseBOM),
	"windows-1250": charmap.Windows1250,
	"windows-1252": charmap.Windows1252,
	"iso-8859-1":   charmap.ISO8859_1,
	"iso-8859-2":   charmap.ISO8859_2,
	"iso-8859-15":  charmap.ISO8859_15,
}

// Encodings lists the names of the encodings that can be stated.
func Encodings() []string {
	return []string{"utf-8", "utf-16", "windows-1250", "windows-1252", "iso-8859-1", "iso-8859-2", "iso-8859-15"}
}

const helpEncoding = "save it as UTF-8, or state its encoding: encoding windows-1250"

// decode gives the text of a file. A mark at its start decides; else what is
// stated; else UTF-8 where the bytes are that, UTF-16 where every other byte is
// nothing; else Windows-1252, in which the printable part of ISO 8859-1 is the
// same.
func decode(data []byte, stated string) (text, guessed string, bad *Fault) {
	name := stated
	switch {
	case bytes.HasPrefix(data, []byte("\xEF\xBB\xBF")):
		name = "utf-8"
	case bytes.HasPrefix(data, []byte("\xFF\xFE")), bytes.HasPrefix(data, []byte("\xFE\xFF")):
		name = "utf-16"
	case stated != "":
	case len(data) > 3 && data[1] == 0 && data[0] != 0 && data[3] == 0:
		name = "utf-16"
	case len(data) > 3 && data[0] == 0 && data[1] != 0 && data[2] == 0:
		data = append([]byte("\xFE\xFF"), data...)
		name = "utf-16"
	case utf8.Valid(data):
		name = "utf-8"
	default:
		name, guessed = "windows-1252", "windows-1252"
	}
	if name == "utf-8" && !utf8.Valid(data) {
		return "", "", fault(helpEncoding, "the file is not UTF-8")
	}
	out, err := encodings[name].NewDecoder().Bytes(data)
	if err != nil {
		return "", "", fault(helpEncoding, "the file cannot be read as %s", name)
	}
	if i := bytes.IndexRune(out, utf8.RuneError); i >= 0 {
		f := fault(helpEncoding, "a character is no %s, or was lost when the file was saved", name)
		f.Row = 1 + bytes.Count(out[:i], []byte("\n"))
		return "", "", f
	}
	if i := bytes.IndexByte(out, 0); i >= 0 {
		f := fault(helpSave, "a NUL byte stands in the file: it is no text")
		f.Row = 1 + bytes.Count(out[:i], []byte("\n"))
		return "", "", f
	}
	return string(out), guessed, nil
}

// separator finds what parts the cells of the header: the sign of the three
// that stands there most often outside quotes.
func separator(line string) (rune, bool) {
	counts := map[rune]int{}
	quoted := false
	for _, r := range line {
		switch r {
		case '"':
			quoted = !quoted
		case ',', ';', '\t':
			if !quoted {
				counts[r]++
			}
		}
	}
	best, most, twice := ',', 0, false
	for _, r := range []rune{';', '\t', ','} {
		switch {
		case counts[r] > most:
			best, most, twice = r, counts[r], false
		case counts[r] == most && most > 0:
			twice = true
		}
	}
	return best, !twice
}

func lineOf(text string, n int) string {
	for ; n > 1; n-- {
		_, rest, ok := strings.Cut(text, "\n")
		if !ok {
			return ""
		}
		text = rest
	}
	line, _, _ := strings.Cut(text, "\n")
	return line
}

func readText(data []byte, o Options) (*Table, *Fault) {
	if o.Tab != "" {
		return nil, &Fault{Text: "a file of text has no sheets", Help: "leave the name of the sheet out", Tab: true}
	}
	text, guessed, bad := decode(data, o.Encoding)
	if bad != nil {
		return nil, bad
	}
	text = strings.ReplaceAll(text, "\r\n", "\n")
	if !strings.Contains(text, "\n") {
		text = strings.ReplaceAll(text, "\r", "\n")
	}
	skip := 0
	comma, stated := Separators[o.Separator]
	// Spreadsheets know a first line that says what parts the cells.
	if first := lineOf(text, 1); len(first) == len("sep=;") && strings.HasPrefix(strings.ToLower(first), "sep=") && !stated {
		comma, stated, skip = rune(first[4]), true, 1
		if !strings.ContainsRune(",;\t", comma) {
			return nil, fault("save it with commas, semicolons or tabs", "the first row says that %q parts the cells", string(comma))
		}
		text = text[min(len(text), len(first)+1):]
	}
	if !stated {
		var clear bool
		if comma, clear = separator(lineOf(text, max(1, o.HeaderRow-skip))); !clear {
			f := fault("state it: separator semicolon", "the header does not show what parts the cells: commas, semicolons or tabs")
			f.Row = o.HeaderRow
			return nil, f
		}
	}
	r := csv.NewReader(strings.NewReader(text))
	r.Comma, r.FieldsPerRecord, r.ReuseRecord = comma, -1, true
	t := &Table{Guessed: guessed}
	breaks, cells := 0, 0 // line breaks within cells up to here
	for {
		record, err := r.Read()
		if err == io.EOF {
			return t, nil
		}
		var p *csv.ParseError
		if errors.As(err, &p) {
			f := fault(`put a text with quotes into quotes, and double those within: "M8 ""long"""`, "the quotes of the row do not go together")
			f.Row = p.StartLine - breaks + skip
			return nil, f
		} else if err != nil {
			return nil, fault(helpSave, "the file cannot be read as CSV")
		}
		line, _ := r.FieldPos(0)
		row := Row{Number: line - breaks + skip}
		cells += len(record)
		if bad := tooMuch(row.Number, len(record), cells); bad != nil {
			return nil, bad
		}
		for _, s := range record {
			breaks += strings.Count(s, "\n")
			if len(s) > MaxText {
				f := tooLong(len(s))
				f.Row = row.Number
				return nil, f
			}
			row.Cells = append(row.Cells, textCell(strings.Clone(s)))
		}
		if row.Cells = trim(row.Cells); len(row.Cells) > 0 {
			t.Rows = append(t.Rows, row)
		}
	}
}

// tooMuch holds a sheet to its bounds.
func tooMuch(row, columns, cells int) *Fault {
	var f *Fault
	switch {
	case row > MaxRows:
		f = fault("keep in the sheet what the library needs", "the sheet goes beyond row %d", MaxRows)
		row = 0
	case columns > MaxColumns:
		f = fault("keep in the sheet what the library needs", "the row has more than %d columns", MaxColumns)
	case cells > MaxCells:
		f = fault("keep in the sheet what the library needs", "the file has more than %d cells", MaxCells)
		row = 0
	default:
		return nil
	}
	f.Row = row
	return f
}
