// Package list writes lists for the hand or the wall: what to take for a set of
// jobs, which procedure is for which member.
//
// Input: a List, every word of it as it is to be read. Output: a page that needs
// nothing but itself and prints on A4, or Markdown. It adds no word of its own.
// What comes from a source is text there, never markup.
package list

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"slices"
	"strconv"
	"strings"

	"benchproof/dsl/message"
	"benchproof/render/look"
)

// A List is what is written.
type List struct {
	Language string // BCP 47
	Title    string
	Facts    []Fact // what it is for, under the title
	Sections []Section
	Foot     string // a caution below
}

// A Fact is a word and what it stands for.
type Fact struct {
	Word string
	Cell
}

// A Cell is a text, with its language where that is not the language of the list.
type Cell struct{ Text, Language string }

// Cells are texts in the language of the list.
func Cells(texts ...string) []Cell {
	out := make([]Cell, len(texts))
	for i, t := range texts {
		out[i].Text = t
	}
	return out
}

// A Section is a table.
type Section struct {
	Title   Cell // may be empty
	Columns []Column
	Rows    [][]Cell // a cell for each column
	// Tick gives each row a box in front of it; TickWord names that column.
	Tick     bool
	TickWord string
	Empty    string // what stands where there is no row
}

// A Column of a table.
type Column struct {
	Title Cell
	// Width is its share of the line; where one column has a share, those without
	// have what is left in equal parts.
	Width Share
	// Strong sets its cells in weight, Narrow keeps them on one line.
	Strong, Narrow bool
}

// A Share of a line, in per cent.
type Share int

// The shares that a column may have; 0: as the words need.
const (
	Tenth   Share = 10
	Eighth  Share = 12
	Fifth   Share = 20
	Quarter Share = 25
)

// Even tells whether a column of the section has a share.
func (s Section) Even() bool {
	return slices.ContainsFunc(s.Columns, func(c Column) bool { return c.Width > 0 })
}

// Class is how the head of the column is set.
func (c Column) Class() string {
	var names []string
	if c.Width > 0 {
		names = append(names, "w-"+strconv.Itoa(int(c.Width)))
	}
	if c.Narrow {
		names = append(names, "narrow")
	}
	return strings.Join(names, " ")
}

// CellClass is how a cell of the column is set.
func (c Column) CellClass() string {
	var names []string
	if c.Strong {
		names = append(names, "strong")
	}
	if c.Narrow {
		names = append(names, "narrow")
	}
	return strings.Join(names, " ")
}

//go:embed assets/list.css
var sheet string

//go:embed assets/list.html
var form string

var pageStyle = template.CSS("\n" + strings.ReplaceAll(sheet, "{{grey}}", look.Grey.Hex()))

var page = template.Must(template.New("list").Funcs(template.FuncMap{"print": message.Printable}).Parse(form))

// HTML writes the page. It forbids itself the network and scripts.
func HTML(w io.Writer, l *List) error {
	sum := sha256.Sum256([]byte(pageStyle))
	var b bytes.Buffer
	if err := page.Execute(&b, struct {
		*List
		Style  template.CSS
		Policy string
	}{l, pageStyle, "default-src 'none'; style-src 'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"}); err != nil {
		return fmt.Errorf("the page cannot be made: %w", err)
	}
	_, err := w.Write(b.Bytes())
	return err
}

// escape keeps a text from being read as markup.
var escape = strings.NewReplacer(`\`, `\\`, "`", "\\`", "*", `\*`, "_", `\_`, "[", `\[`, "]", `\]`, "<", `\<`, ">", `\>`, "&", `\&`, "|", `\|`, "#", `\#`, "~", `\~`, "!", `\!`)

// Markdown writes the list as headings and tables.
func Markdown(w io.Writer, l *List) error {
	var b strings.Builder
	text := func(s string) string { return escape.Replace(message.Printable(s)) }
	fmt.Fprintf(&b, "# %s\n\n", text(l.Title))
	for _, f := range l.Facts {
		fmt.Fprintf(&b, "- %s: %s\n", text(f.Word), text(f.Text))
	}
	for _, s := range l.Sections {
		b.WriteByte('\n')
		if s.Title.Text != "" {
			fmt.Fprintf(&b, "## %s\n\n", text(s.Title.Text))
		}
		if len(s.Rows) == 0 {
			fmt.Fprintf(&b, "%s\n", text(s.Empty))
			continue
		}
		row := func(first string, cells []Cell) {
			b.WriteByte('|')
			if s.Tick {
				fmt.Fprintf(&b, " %s |", first)
			}
			for _, c := range cells {
				fmt.Fprintf(&b, " %s |", text(c.Text))
			}
			b.WriteByte('\n')
		}
		titles := make([]Cell, len(s.Columns))
		for i, c := range s.Columns {
			titles[i] = c.Title
		}
		row(text(s.TickWord), titles)
		b.WriteByte('|')
		if s.Tick {
			b.WriteString(" --- |")
		}
		b.WriteString(strings.Repeat(" --- |", len(s.Columns)) + "\n")
		for _, r := range s.Rows {
			row("☐", r)
		}
	}
	if l.Foot != "" {
		fmt.Fprintf(&b, "\n%s\n", text(l.Foot))
	}
	_, err := io.WriteString(w, b.String())
	return err
}
