package catalogue

import (
	"fmt"
	"regexp"
	"strings"
	"unicode"

	"golang.org/x/text/unicode/norm"

	"benchproof/compiler/sheet"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// A maker writes the file of one sheet.
type maker struct {
	*statement
	table *sheet.Table
	sheet *source.Sheet
	text  strings.Builder
	line  int // of the text, from one
	// faults are told when the text is whole.
	faults []cellFault
	lost   []string // names of rows that could not be taken
	// comma tells which decimal sign the numbers that are text have; known once
	// any of them shows it.
	decimals decimals
}

// A cellFault is what is wrong with a stretch of the text.
type cellFault struct {
	code       message.Code
	start, end int
	text, help string
}

// expand makes a file of a sheet; nil where its header does not fit.
func (s *statement) expand(t *sheet.Table) *syntax.File {
	m := &maker{statement: s, table: t, line: 1,
		sheet: &source.Sheet{File: s.path, Tab: t.Tab, By: s.whole(), Rows: map[int]string{}}}
	header := -1
	for i := range t.Rows {
		if t.Rows[i].Number == s.options.HeaderRow {
			header = i
		}
	}
	good := m.header(header)
	if good {
		m.decimals = m.look(t.Rows[header+1:])
		for i := range t.Rows[header+1:] {
			m.row(&t.Rows[header+1+i])
		}
	}
	f := source.NewFile(s.place(t.Tab), m.text.String())
	f.Sheet = m.sheet
	for _, x := range m.faults {
		s.wrong(x.code, f.Span(x.start, x.end), "%s", x.text).Helped("%s", x.help)
	}
	if !good {
		return s.nothing()
	}
	if t.Guessed != "" {
		s.wrong("BP026", s.pathAt, "the file is not UTF-8, and was read as %s", t.Guessed).
			Helped("state what it is: encoding %s", t.Guessed)
	}
	s.hidden(t.Rows[header+1:])
	m.zeros(f, t.Rows[header+1:])
	tree := syntax.Parse(f)
	tree.Lost = m.lost
	return tree
}

// zeros warns of numbers that may have lost zeros at their front: digits alone,
// fewer than another of the column has that begins with one.
func (m *maker) zeros(f *source.File, rows []sheet.Row) {
	digits := func(s string) bool { return s != "" && strings.Trim(s, "0123456789") == "" }
	for _, c := range m.columns {
		if c.key != "number" {
			continue
		}
		like := ""
		for i := range rows {
			if s := rows[i].Cell(c.at).Text; digits(s) && s[0] == '0' && len(s) > len(like) {
				like = s
			}
		}
		at := map[int]source.Span{}
		for _, x := range m.sheet.Cells {
			if x.Column == c.at {
				at[x.Row] = f.Span(x.Start, x.End)
			}
		}
		for i := range rows {
			if s := rows[i].Cell(c.at).Text; digits(s) && len(s) < len(like) {
				m.wrong("BP026", at[rows[i].Number], "“%s” has fewer digits than “%s”: a spreadsheet may have taken zeros from its front", s, like).
					Helped("give the column the format of a text and write the number again")
			}
		}
	}
}

// hidden warns of rows that a person does not see.
func (s *statement) hidden(rows []sheet.Row) {
	n, first := 0, 0
	for _, r := range rows {
		if r.Hidden {
			if n++; n == 1 {
				first = r.Number
			}
		}
	}
	switch {
	case n == 1:
		s.wrong("BP026", s.pathAt, "row %d is hidden in the sheet, and was read all the same", first).
			Helped("show it, or take it out")
	case n > 1:
		s.wrong("BP026", s.pathAt, "%d rows are hidden in the sheet, the first of them row %d, and were read all the same", n, first).
			Helped("show them, or take them out")
	}
}

// forward writes line breaks up to a row.
func (m *maker) forward(row int) {
	for ; m.line < row; m.line++ {
		m.text.WriteByte('\n')
	}
}

// shown gives a row as a person sees it, and where its cells stand in it.
func shown(r *sheet.Row) (line string, from, to []int) {
	var b strings.Builder
	for i, c := range r.Cells {
		if i > 0 {
			b.WriteString(" | ")
		}
		from = append(from, b.Len())
		b.WriteString(c.Text)
		to = append(to, b.Len())
	}
	return b.String(), from, to
}

// A rowText is the text of a row in the making: pieces, each of a cell.
type rowText struct {
	*maker
	row      *sheet.Row
	from, to []int
	failed   bool
	made     string // the row's name
	pieces   strings.Builder
	cells    []source.Cell
}

func (m *maker) begin(r *sheet.Row) *rowText {
	m.forward(r.Number)
	t := &rowText{maker: m, row: r}
	m.sheet.Rows[r.Number], t.from, t.to = shown(r)
	return t
}

// write adds words that are no cell's.
func (t *rowText) write(words string) { t.pieces.WriteString(words) }

// add adds words made of the cell of a column, and gives where they stand.
func (t *rowText) add(column int, words string) {
	start := t.text.Len() + t.pieces.Len()
	t.pieces.WriteString(words)
	t.cells = append(t.cells, t.cell(column, start, start+len(words)))
}

func (t *rowText) cell(column, start, end int) source.Cell {
	c := source.Cell{Start: start, End: end, Name: fmt.Sprint(sheet.ColumnName(column), t.row.Number), Row: t.row.Number, Column: column}
	if i := column - 1; i < len(t.from) {
		c.From, c.To = t.from[i], t.to[i]
	} else if n := len(t.to); n > 0 {
		c.From, c.To = t.to[n-1], t.to[n-1]
	}
	return c
}

// end puts the row into the text. Of one that cannot be taken there is a note that
// holds its place, with all its cells.
func (t *rowText) end() {
	if !t.failed {
		t.text.WriteString(t.pieces.String())
		t.sheet.Cells = append(t.sheet.Cells, t.cells...)
		return
	}
	if t.made != "" {
		t.lost = append(t.lost, t.made)
	}
	t.text.WriteByte('#')
	for c := 1; c <= max(len(t.row.Cells), t.last()); c++ {
		start := t.text.Len()
		t.text.WriteByte(' ')
		t.sheet.Cells = append(t.sheet.Cells, t.cell(c, start, start+1))
	}
}

// last is the last column that the statement names.
func (m *maker) last() (last int) {
	for _, c := range m.columns {
		last = max(last, c.at, c.to, c.unitIn)
	}
	return last
}

// fail says what is wrong with the cell of a column; the row is not taken.
func (t *rowText) fail(code message.Code, column int, help, format string, args ...any) {
	// The row's note has one byte for each cell, behind the sign that begins it.
	at := t.text.Len() + column
	t.failed = true
	if n := len(t.faults); n > 0 && t.faults[n-1].start == at {
		return // one cell, one cause
	}
	t.faults = append(t.faults, cellFault{code, at, at + 1, fmt.Sprintf(format, args...), help})
}

// header finds the columns by their headings.
func (m *maker) header(at int) bool {
	if at < 0 {
		where := m.rowAt
		if where.IsZero() {
			where = m.pathAt
		}
		m.wrong("BP022", where, "row %d of the sheet is empty: the headings are not there", m.options.HeaderRow).
			Helped("write the row of the headings: header row 3")
		return false
	}
	r := &m.table.Rows[at]
	t := m.begin(r)
	t.failed = true // the header is no declaration
	defer func() { t.end() }()
	headings := map[string][]int{}
	var names []string
	for i, c := range r.Cells {
		if c.Text != "" && c.Kind != sheet.Empty {
			h := fold(c.Text)
			headings[h] = append(headings[h], i+1)
			names = append(names, c.Text)
		}
	}
	good := true
	find := func(x *syntax.Text) int {
		if x == nil {
			return 0
		}
		list := headings[fold(x.Value())]
		span := x.In(m.file)
		switch {
		case len(list) == 1:
			return list[0]
		case len(list) > 1:
			m.wrong("BP022", span, "the heading “%s” stands in columns %s and %s of row %d", x.Value(), sheet.ColumnName(list[0]), sheet.ColumnName(list[1]), r.Number).
				Helped("give the columns headings of their own")
		default:
			msg := m.wrong("BP022", span, "row %d of the sheet has no heading “%s”", r.Number, x.Value())
			if near := message.Nearest(x.Value(), names); len(near) > 0 {
				msg.Helped("did you mean “%s”?", near[0])
				if len(near) == 1 && !strings.ContainsAny(near[0], `"\`) {
					msg.Mend(m.file.Span(span.Start+1, span.End-1), near[0])
				}
			} else if len(names) > 0 && len(names) <= 20 {
				msg.Helped("its headings are %s", strings.Join(names, ", "))
			} else {
				msg.Helped("write the row of the headings: header row 3")
			}
		}
		good = false
		return 0
	}
	for _, c := range m.columns {
		c.at, c.to, c.unitIn = find(c.node.Column), find(c.node.To), find(c.node.UnitIn)
	}
	return good
}

// fold makes headings alike that differ in blanks and capitals only.
func fold(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), " ")) }

// row makes a declaration of a row.
func (m *maker) row(r *sheet.Row) {
	filled := map[int]bool{}
	fill := func(c int) {
		if x := r.Cell(c); c > 0 && (x.Kind != sheet.Empty || x.Merged != "") {
			filled[c] = true
		}
	}
	var name, title *column
	for _, c := range m.columns {
		fill(c.at)
		fill(c.to)
		switch c.key {
		case "name":
			name = c
		case "title":
			title = c
		}
	}
	if len(filled) == 0 {
		return // a blank row, or remarks beside the columns
	}
	t := m.begin(r)
	defer t.end()
	if len(filled) == 1 && len(m.columns) > 1 {
		for c := range filled {
			t.fail("BP025", c, "fill the other columns, or move a heading between rows out of these columns",
				"the row has nothing but “%s” in the columns that are read", brief(r.Cell(c).Text))
		}
		return
	}
	label, ok := t.textOf(title.at)
	if !ok {
		return
	}
	if label == "" {
		t.fail("BP025", title.at, "write what it is called", "the row has no title")
		return
	}
	t.write(m.kind.word + " ")
	if !t.name(name, title, label) {
		return
	}
	t.write(" ")
	t.add(title.at, quote(label))
	t.write(" {")
	for _, c := range m.columns {
		if c != name && c != title && !t.property(c) {
			// The row's other cells are looked at all the same: each fault has its place.
			continue
		}
	}
	t.write(" }")
}

// name writes the name of a row: that of its column, or one made of its title.
func (t *rowText) name(name, title *column, label string) bool {
	at, from := title.at, label
	if name != nil {
		text, ok := t.textOf(name.at)
		if !ok {
			return false
		}
		if text != "" {
			at, from = name.at, text
		}
	}
	made := Name(from)
	if made == "" {
		t.fail("BP025", at, "write a name in a column of its own: letters, digits and hyphens",
			"no name can be made of “%s”", brief(from))
		return false
	}
	t.made = made
	t.add(at, made)
	return true
}

// maxName is how many characters a name may have.
const maxName = 100

// Name makes a name of the language of a text: small letters, marks left out
// where a letter is left without them, and a hyphen for all else: “Öl-Kanne 5 l”
// is ol-kanne-5-l. It is empty where that does not begin with a letter.
func Name(text string) string {
	var b strings.Builder
	gap := false
	for _, r := range norm.NFD.String(text) {
		switch {
		case unicode.Is(unicode.Mn, r) || r == '\'' || r == '’':
			continue
		case unicode.IsLetter(r) || unicode.IsDigit(r):
			if gap && b.Len() > 0 {
				b.WriteByte('-')
			}
			gap = false
			if s, ok := ligatures[r]; ok {
				b.WriteString(s)
			} else {
				b.WriteRune(unicode.ToLower(r))
			}
		default:
			gap = true
		}
	}
	made := norm.NFC.String(b.String())
	first := []rune(made + "0")[0]
	if len([]rune(made)) > maxName || !unicode.IsLetter(first) {
		return ""
	}
	for _, r := range made {
		// What has no small form, as a letter of title case, is no letter of a name.
		if !(unicode.IsLower(r) || unicode.IsDigit(r) || unicode.Is(unicode.Lo, r) || r == '-') {
			return ""
		}
	}
	return made
}

var ligatures = map[rune]string{'ß': "ss", 'æ': "ae", 'Æ': "ae", 'œ': "oe", 'Œ': "oe", 'ø': "o", 'Ø': "o", 'ł': "l", 'Ł': "l", 'đ': "d", 'Đ': "d"}

// quote writes a text of the language.
func quote(s string) string { return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"` }

func brief(s string) string {
	const most = 60
	if r := []rune(s); len(r) > most {
		return string(r[:most]) + "…"
	}
	return s
}

var word = regexp.MustCompile(`^\p{L}[\p{L}\p{N}]*(-[\p{L}\p{N}]+)*$`)
