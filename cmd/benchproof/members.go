package main

import (
	"encoding/csv"
	"fmt"
	"io"

	"github.com/spf13/cobra"

	"benchproof/compiler/library"
	"benchproof/compiler/uses"
	"benchproof/dsl/message"
	"benchproof/render/list"
)

func newMembers() *cobra.Command {
	var format string
	cmd := &cobra.Command{
		Use:   "members [DIR]",
		Short: "Show which procedure applies to which member of which family",
		Long: `Members shows, for the library in DIR (the current folder where none is named),
each family with its members, which procedure applies to which, and which members
no procedure is for. "yes": it applies to the member; "no": it applies to others of
the family; "any": it does not differ by the family.

--format csv and html write it for other programs and for paper.`,
		Example: "  benchproof members my-library\n  benchproof members --format html > members.html",
		Args:    atMostOneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := oneOf("--format", format, "text", "csv", "html"); err != nil {
				return err
			}
			dir := folder(args)
			result, err := checkFolder(cmd.Context(), dir)
			if err != nil {
				return err
			}
			if message.HasErrors(result.Messages) {
				if err := reportText(cmd.ErrOrStderr(), dir, result.Messages); err != nil {
					return err
				}
				return errWrong
			}
			m, w := uses.MatrixOf(result.Library), cmd.OutOrStdout()
			switch format {
			case "csv":
				return matrixCSV(w, m)
			case "html":
				return list.HTML(w, matrixList(result.Library, m))
			}
			s := newSheet(w)
			matrixText(s, result.Library, m)
			return s.writeTo(w)
		},
	}
	cmd.Flags().StringVar(&format, "format", "text", "the table as `text`, csv or html")
	return cmd
}

var fitWords = map[uses.Fit]string{uses.For: "yes", uses.NotFor: "no", uses.Whoever: "any"}

// matrixText writes a table for each family, of the procedures that differ by it.
func matrixText(s *sheet, lib *library.Library, m *uses.Matrix) {
	if len(lib.Variants) == 0 {
		s.line("", 0, "The library has no families; each procedure is for all machines.")
		return
	}
	for i, t := range matrixTables(lib, m) {
		if i > 0 {
			s.blank()
		}
		s.line(inBold, 2, t.title)
		if len(t.rows) == 0 {
			s.line("", 2, "  No procedure differs by it.")
			continue
		}
		s.table(2, append([][]string{append(t.columns, "")}, t.rows...))
	}
	var any [][]string
	for k, p := range m.Procedures {
		if anyMachine(m.Fits[k]) {
			any = append(any, []string{p.Document, p.Title})
		}
	}
	if len(any) > 0 {
		s.blank()
		s.line(inBold, 0, "For any machine")
		s.table(2, any)
	}
	s.blank()
	if len(m.Without) == 0 {
		s.line("", 0, "Every member has a procedure of its own.")
		return
	}
	s.line(inBold, 0, "No procedure is for:")
	var rows [][]string
	for _, x := range m.Without {
		rows = append(rows, []string{x.Variant.Name + "=" + x.Name, x.Title})
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
	title   string
	columns []string
	rows    [][]string // the members, then the title of the procedure
}

// matrixTables gives a table for each family, of the procedures that differ by it.
func matrixTables(lib *library.Library, m *uses.Matrix) (out []matrixTable) {
	at := 0
	for _, v := range lib.Variants {
		t := matrixTable{title: fmt.Sprintf("%s (%s)", v.Title, v.Name), columns: []string{""}}
		for _, x := range v.Members {
			t.columns = append(t.columns, x.Name)
		}
		for k, p := range m.Procedures {
			fits := m.Fits[k][at : at+len(v.Members)]
			if anyMachine(fits) {
				continue
			}
			row := []string{p.Document}
			for _, f := range fits {
				row = append(row, fitWords[f])
			}
			t.rows = append(t.rows, append(row, p.Title))
		}
		at += len(v.Members)
		out = append(out, t)
	}
	return out
}

func matrixCSV(w io.Writer, m *uses.Matrix) error {
	head := []string{"document", "procedure", "title"}
	for _, x := range m.Members {
		head = append(head, x.Variant.Name+"="+x.Name)
	}
	rows := [][]string{head}
	for k, p := range m.Procedures {
		row := []string{p.Document, p.Name, p.Title}
		for _, f := range m.Fits[k] {
			row = append(row, fitWords[f])
		}
		rows = append(rows, row)
	}
	return csv.NewWriter(w).WriteAll(rows)
}

func matrixList(lib *library.Library, m *uses.Matrix) *list.List {
	out := &list.List{Language: "en", Title: "Procedures by member", Facts: []list.Fact{{Word: "Library", Text: lib.Title}}}
	if lib.Owner != "" {
		out.Facts = append(out.Facts, list.Fact{Word: "Owner", Text: lib.Owner})
	}
	for i, t := range matrixTables(lib, m) {
		s := list.Section{Title: lib.Variants[i].Title, Empty: "No procedure differs by it.", Columns: []list.Column{{Title: "Document", Strong: true, Narrow: true}}}
		for _, x := range lib.Variants[i].Members {
			s.Columns = append(s.Columns, list.Column{Title: x.Title, Narrow: true})
		}
		s.Columns = append(s.Columns, list.Column{Title: "Procedure"})
		s.Rows = t.rows
		out.Sections = append(out.Sections, s)
	}
	any := list.Section{Title: "For any machine", Empty: "None", Columns: []list.Column{{Title: "Document", Strong: true, Narrow: true}, {Title: "Procedure"}}}
	for k, p := range m.Procedures {
		if anyMachine(m.Fits[k]) {
			any.Rows = append(any.Rows, []string{p.Document, p.Title})
		}
	}
	without := list.Section{Title: "Members without a procedure", Empty: "None", Columns: []list.Column{{Title: "Family"}, {Title: "Member"}}}
	for _, x := range m.Without {
		without.Rows = append(without.Rows, []string{x.Variant.Title, x.Title})
	}
	out.Sections = append(out.Sections, any, without)
	return out
}
