// Package catalogue makes declarations of the rows of sheets.
//
// Input: a catalogue statement of a library and the sheet that it names. Output:
// a file whose line N declares what row N of the sheet says, in the words of the
// language, so that all that follows treats it like any other; each stretch of it
// knows the cell it was made of. And the messages of what cannot be taken
// (BP021, BP022, BP023, BP025, BP026), at the statement or at the cell. Equal
// statements and sheets give equal files.
package catalogue

import (
	"fmt"
	"io/fs"
	"slices"
	"strings"

	"benchproof/compiler/quantity"
	"benchproof/compiler/rules"
	"benchproof/compiler/sheet"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// A kind is what the rows of a sheet are.
type kind struct {
	word string // tool
	ctx  syntax.Context
}

var kinds = map[string]kind{
	"tools": {"tool", syntax.InTool}, "parts": {"part", syntax.InPart}, "consumables": {"consumable", syntax.InConsumable},
}

// Is tells whether a declaration is a catalogue.
func Is(d syntax.Declaration) (*syntax.Thing, bool) {
	t, ok := d.(*syntax.Thing)
	return t, ok && t.Keyword() == "catalogue"
}

// Names gives the paths of the sheets that a file names, as written.
func Names(f *syntax.File) (names []string) {
	for _, d := range f.Declarations {
		if t, ok := Is(d); ok {
			for _, p := range t.Properties {
				if p, ok := p.(*syntax.TextProperty); ok && p.Key() == "file" {
					names = append(names, p.Text.Value())
				}
			}
		}
	}
	return names
}

const helpUnit = "a unit is spelled as in mm, N.m, degC, bar, min, rpm, Mohm"

// A statement is a catalogue as the library writes it.
type statement struct {
	file     *source.File // it stands in
	thing    *syntax.Thing
	messages []*message.Message

	kind    kind
	path    string
	pathAt  source.Span
	options sheet.Options
	tabAt   source.Span
	rowAt   source.Span
	decimal string // comma, point, or empty
	columns []*column
}

// A column is one property of the statement, and where its values stand.
type column struct {
	key  string
	node *syntax.ColumnProperty
	unit string // of all values, or empty
	// at, to and unitIn are the columns of the sheet, from one; 0: none.
	at, to, unitIn int
}

func (s *statement) wrong(code message.Code, at source.Span, format string, args ...any) *message.Message {
	m := message.New(code, at, format, args...)
	s.messages = append(s.messages, m)
	return m
}

// Expand makes a file of the sheet that a catalogue of a file names; fsys is the
// library's folder. Where nothing can be made of the sheet, the file declares
// nothing and says so (LostAll).
func Expand(fsys fs.FS, f *source.File, d *syntax.Thing) (*syntax.File, []*message.Message) {
	s := &statement{file: f, thing: d}
	if d.Broken || !s.read() {
		return s.nothing(), s.messages
	}
	data, bad := rules.ReadFile(fsys, s.path, "sheet", sheet.MaxFile)
	if bad != nil {
		m := s.wrong("BP021", s.pathAt, "%v", bad).Helped("%s", bad.Help())
		rules.OfferFile(m, fsys, s.path, s.pathAt, bad)
		return s.nothing(), s.messages
	}
	t, fault := sheet.Read(data, s.path, s.options)
	if fault != nil {
		code, at := message.Code("BP021"), s.pathAt
		if fault.Tab {
			code = "BP022"
			if !s.tabAt.IsZero() {
				at = s.tabAt
			}
		}
		if fault.Row > 0 {
			at = bare(s, fault.Row)
		}
		s.wrong(code, at, "%s", fault.Text).Helped("%s", fault.Help)
		return s.nothing(), s.messages
	}
	return s.expand(t), s.messages
}

// nothing is the file of a sheet of which nothing could be made.
func (s *statement) nothing() *syntax.File {
	line, _ := s.file.Position(s.thing.Start())
	f := source.NewFile(fmt.Sprintf("%s (catalogue on line %d)", s.file.Path, line), "")
	f.Sheet = &source.Sheet{File: s.path, By: s.whole()}
	return &syntax.File{Source: f, LostAll: true}
}

// bare gives a place in a row of a file that could not be taken.
func bare(s *statement, row int) source.Span {
	f := source.NewFile(s.place(""), strings.Repeat("\n", row))
	f.Sheet = &source.Sheet{File: s.path, By: s.whole(), Rows: map[int]string{}}
	_, start := f.Line(row)
	return f.Span(start, start)
}

func (s *statement) whole() source.Span { return s.thing.Kind.In(s.file) }

// place is the name of a sheet for messages.
func (s *statement) place(tab string) string {
	if tab == "" {
		return s.path
	}
	return s.path + ":" + tab
}

// read takes the statement apart; false where nothing can be made of it.
func (s *statement) read() bool {
	first := map[string]source.Span{}
	good := true
	s.options.HeaderRow = 1
	for _, p := range s.thing.Properties {
		at := p.In(s.file)
		if was, twice := first[p.Key()]; twice {
			s.wrong("BP202", at, "“%s” is given twice", p.Key()).Relate(was, "given here")
			good = false
			continue
		}
		first[p.Key()] = at
		switch p := p.(type) {
		case *syntax.TextProperty:
			if p.Key() == "file" {
				s.path, s.pathAt = p.Text.Value(), p.Text.In(s.file)
			} else {
				s.options.Tab, s.tabAt = p.Text.Value(), p.Text.In(s.file)
			}
		case *syntax.NamesProperty:
			good = s.choice(p) && good
		case *syntax.OperandProperty:
			n, ok := row(p.Value)
			if !ok {
				s.wrong("BP022", p.Value.In(s.file), "the header is a row from 1 to %d", sheet.MaxRows)
				good = false
			}
			s.options.HeaderRow, s.rowAt = n, p.In(s.file)
		case *syntax.ColumnProperty:
			s.columns = append(s.columns, &column{key: p.Key(), node: p})
		}
	}
	for _, need := range []struct{ key, help string }{
		{"lists", "write what its rows are: lists tools"}, {"file", `write where it is: file "sheets/tools.csv"`},
		{"title", `write where the titles stand: title column "Description"`},
	} {
		if _, ok := first[need.key]; !ok {
			s.wrong("BP022", s.whole(), "the catalogue does not say its “%s”", need.key).Helped("%s", need.help)
			good = false
		}
	}
	for _, c := range s.columns {
		good = s.fits(c) && good
	}
	return good
}

func row(o *syntax.Operand) (int, bool) {
	if o.Number == nil || o.Unit != nil || len(o.Number.Text) > 6 {
		return 0, false
	}
	n := 0
	for _, r := range o.Number.Text {
		if r < '0' || r > '9' {
			return 0, false
		}
		n = n*10 + int(r-'0')
	}
	return n, n >= 1 && n <= sheet.MaxRows
}

// choice reads a property that is one of a few words.
func (s *statement) choice(p *syntax.NamesProperty) bool {
	word := p.Names[0].Text
	var words []string
	switch p.Key() {
	case "lists":
		words = []string{"tools", "parts", "consumables"}
		s.kind = kinds[word]
	case "decimal":
		words = []string{"comma", "point"}
		s.decimal = word
	case "separator":
		words = []string{"comma", "semicolon", "tab"}
		s.options.Separator = word
	case "encoding":
		words = sheet.Encodings()
		s.options.Encoding = word
	}
	if slices.Contains(words, word) {
		return true
	}
	m := s.wrong("BP022", p.Names[0].In(s.file), "“%s” is none of %s", word, strings.Join(words, ", "))
	if near := message.Nearest(word, words); len(near) == 1 {
		m.Helped("write %s", near[0]).Mend(p.Names[0].In(s.file), near[0])
	}
	return false
}

// fits tells whether a column goes with what the sheet lists, and its unit is one.
func (s *statement) fits(c *column) bool {
	at := c.node.In(s.file)
	if s.kind.word != "" && c.key != "name" && c.key != "title" &&
		!slices.ContainsFunc(syntax.Keywords(s.kind.ctx), func(k syntax.Keyword) bool { return k.Key == c.key }) {
		s.wrong("BP022", c.node.KeyNode().In(s.file), "a %s has no “%s”", s.kind.word, c.key)
		return false
	}
	if (c.key == "reads" || c.key == "sets") && c.node.To == nil {
		s.wrong("BP022", at, "“%s” needs two columns, that of the lower end and that of the upper", c.key).
			Helped(`write both: %s column "From" to "To"`, c.key)
		return false
	}
	if c.node.Unit != nil {
		c.unit = c.node.Unit.Text
		if _, ok := quantity.LookUp(c.unit); !ok {
			m := s.wrong("BP301", c.node.Unit.In(s.file), "“%s” is not a unit known here", c.unit).Helped("%s", helpUnit)
			if near := quantity.Nearest(c.unit); len(near) == 1 {
				m.Helped("did you mean %s?", near[0]).Mend(c.node.Unit.In(s.file), near[0])
			}
			return false
		}
	}
	return true
}
