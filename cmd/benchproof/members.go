package main

import (
	"encoding/csv"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/compiler/library"
	cell "benchproof/compiler/sheet"
	"benchproof/compiler/uses"
	"benchproof/dsl/message"
	"benchproof/render/list"
)

func newMembers() *cobra.Command {
	var format string
	var o speaking
	cmd := &cobra.Command{
		Use:   "members [DIR]",
		Short: "Show which procedure applies to which member of which family",
		Long: `Members shows, for the library in DIR (the current folder where none is named),
each family with its members, which procedure applies to which, and which members
no procedure is for. "yes": it applies to the member; "no": it applies to others of
the family; "any": it does not differ by the family.

A procedure that has an error, or reaches one, is left out and named (exit status 1).
--format csv and html write it for other programs and for paper. --language writes it
in another language, of a translation of the library; a title that has no translation
stands in the language of the sources. In CSV the head and yes, no and any are the
same in every language.`,
		Example: "  benchproof members my-library\n  benchproof members --format html > members.html",
		Args:    atMostOneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := oneOf("--format", format, "text", "csv", "html"); err != nil {
				return err
			}
			if err := o.valid(); err != nil {
				return err
			}
			dir := folder(args)
			source, err := checkFolder(cmd.Context(), dir)
			if err != nil {
				return err
			}
			result, words, err := o.in(cmd, source)
			if err != nil {
				return err
			}
			m := &matrix{uses.MatrixOf(result.Library), result, words}
			wrong, found := m.leaveOut(source.Faults())
			w := cmd.OutOrStdout()
			switch format {
			case "csv":
				err = m.csv(w)
			case "html":
				err = list.HTML(w, m.list())
			default:
				s := newSheet(w)
				m.text(s)
				err = s.writeTo(w)
			}
			if err != nil {
				return err
			}
			if n := m.untranslated(); n > 0 {
				fmt.Fprintf(cmd.ErrOrStderr(), "%s: not translated, and shown as in the sources: %s\n", o.language, count(n, "title"))
			}
			if len(wrong) > 0 {
				return refuse(cmd, dir, found, "left out: "+strings.Join(wrong, ", ")+" "+areWrong(len(wrong)))
			}
			return nil
		},
	}
	cmd.Flags().StringVar(&format, "format", "text", "the table as `text`, csv or html")
	o.flag(cmd.Flags())
	return cmd
}

// A matrix is which procedure is for which member, and what it is told with.
type matrix struct {
	*uses.Matrix
	result *compiler.Result
	words  *document.Words
}

// leaveOut takes the rows of procedures out that have faults; what is said of
// members without a procedure stays as it was.
func (m *matrix) leaveOut(faults [][]*message.Message) (wrong []string, found []*message.Message) {
	for i, p := range m.result.Library.Procedures {
		if len(faults[i]) == 0 {
			continue
		}
		wrong = append(wrong, p.Name)
		found = append(found, faults[i]...)
		k := slices.Index(m.Procedures, p)
		m.Procedures, m.Fits = slices.Delete(m.Procedures, k, k+1), slices.Delete(m.Fits, k, k+1)
	}
	return wrong, found
}

func (m *matrix) said(text string) string {
	plain, _ := m.result.Said(text)
	return plain
}

// saidCell is a text of a library with its language, where that is not the one that
// the library speaks.
func saidCell(r *compiler.Result, text string) list.Cell {
	plain, language := r.Said(text)
	if language == r.Library.Language {
		language = ""
	}
	return list.Cell{Text: plain, Language: language}
}

// untranslated counts the titles shown that have no translation.
func (m *matrix) untranslated() (n int) {
	titles := []string{}
	for _, v := range m.result.Library.Variants {
		titles = append(titles, v.Title)
	}
	for _, x := range m.Members {
		titles = append(titles, x.Title)
	}
	for _, p := range m.Procedures {
		titles = append(titles, p.Title)
	}
	for _, t := range titles {
		if saidCell(m.result, t).Language != "" {
			n++
		}
	}
	return n
}

// fit says how a procedure stands to a member, for a person.
func (m *matrix) fit(f uses.Fit) string {
	switch f {
	case uses.For:
		return m.words.Screen.Yes
	case uses.NotFor:
		return m.words.Screen.No
	}
	return m.words.Lists.Any
}

// text writes a table for each family, of the procedures that differ by it.
func (m *matrix) text(s *sheet) {
	lib, w := m.result.Library, m.words.Lists
	if len(lib.Variants) == 0 {
		s.line("", 0, w.NoFamilies)
		return
	}
	for i, t := range m.tables() {
		if i > 0 {
			s.blank()
		}
		s.line(inBold, 2, m.said(t.of.Title)+" ("+t.of.Name+")")
		if len(t.rows) == 0 {
			s.line("", 2, "  "+w.NoneDiffers)
			continue
		}
		head := []string{""}
		for _, x := range t.of.Members {
			head = append(head, x.Name)
		}
		rows := [][]string{append(head, "")}
		for _, r := range t.rows {
			var row []string
			for _, c := range r {
				row = append(row, c.Text)
			}
			rows = append(rows, row)
		}
		s.table(2, rows)
	}
	var any [][]string
	for k, p := range m.Procedures {
		if anyMachine(m.Fits[k]) {
			any = append(any, []string{p.Document, m.said(p.Title)})
		}
	}
	if len(any) > 0 {
		s.blank()
		s.line(inBold, 0, w.AnyMachine)
		s.table(2, any)
	}
	s.blank()
	if len(m.Without) == 0 {
		s.line("", 0, w.AllHave)
		return
	}
	s.line(inBold, 0, w.NoneFor+":")
	var rows [][]string
	for _, x := range m.Without {
		rows = append(rows, []string{x.Variant.Name + "=" + x.Name, m.said(x.Title)})
	}
	s.table(2, rows)
}

func anyMachine(row []uses.Fit) bool {
	for _, f := range row {
		if f != uses.Whoever {
			return false
		}
	}
	return true
}

type matrixTable struct {
	of   *library.Variant
	rows [][]list.Cell // document number, the members, then the title of the procedure
}

// tables gives a table for each family, of the procedures that differ by it.
func (m *matrix) tables() (out []matrixTable) {
	at := 0
	for _, v := range m.result.Library.Variants {
		t := matrixTable{of: v}
		for k, p := range m.Procedures {
			fits := m.Fits[k][at : at+len(v.Members)]
			if anyMachine(fits) {
				continue
			}
			row := list.Cells(p.Document)
			for _, f := range fits {
				row = append(row, list.Cell{Text: m.fit(f)})
			}
			t.rows = append(t.rows, append(row, saidCell(m.result, p.Title)))
		}
		at += len(v.Members)
		out = append(out, t)
	}
	return out
}

var fitWords = map[uses.Fit]string{uses.For: "yes", uses.NotFor: "no", uses.Whoever: "any"}

func (m *matrix) csv(w io.Writer) error {
	head := []string{"document", "procedure", "title"}
	for _, x := range m.Members {
		head = append(head, x.Variant.Name+"="+x.Name)
	}
	rows := [][]string{head}
	for k, p := range m.Procedures {
		row := []string{p.Document, p.Name, m.said(p.Title)}
		for _, f := range m.Fits[k] {
			row = append(row, fitWords[f])
		}
		rows = append(rows, cell.CellTexts(row))
	}
	return csv.NewWriter(w).WriteAll(rows)
}

func (m *matrix) list() *list.List {
	lib, w := m.result.Library, m.words.Lists
	said := func(text string) list.Cell { return saidCell(m.result, text) }
	document := list.Column{Title: list.Cell{Text: m.words.Document}, Strong: true, Narrow: true}
	column := func(title string) list.Column { return list.Column{Title: list.Cell{Text: title}} }
	out := &list.List{Language: m.words.Tag, Title: w.ByMember, Facts: []list.Fact{{Word: w.Library, Cell: said(lib.Title)}}}
	if lib.Owner != "" {
		out.Facts = append(out.Facts, list.Fact{Word: m.words.Owner, Cell: said(lib.Owner)})
	}
	for _, t := range m.tables() {
		s := list.Section{Title: said(t.of.Title), Empty: w.NoneDiffers, Columns: []list.Column{document}, Rows: t.rows}
		for _, x := range t.of.Members {
			s.Columns = append(s.Columns, list.Column{Title: said(x.Title), Narrow: true})
		}
		s.Columns = append(s.Columns, column(w.Procedure))
		out.Sections = append(out.Sections, s)
	}
	any := list.Section{Title: list.Cell{Text: w.AnyMachine}, Empty: w.None, Columns: []list.Column{document, column(w.Procedure)}}
	for k, p := range m.Procedures {
		if anyMachine(m.Fits[k]) {
			any.Rows = append(any.Rows, []list.Cell{{Text: p.Document}, said(p.Title)})
		}
	}
	without := list.Section{Title: list.Cell{Text: w.Without}, Empty: w.None, Columns: []list.Column{column(m.words.Screen.Family), column(w.Member)}}
	for _, x := range m.Without {
		without.Rows = append(without.Rows, []list.Cell{said(x.Variant.Title), said(x.Title)})
	}
	out.Sections = append(out.Sections, any, without)
	return out
}
