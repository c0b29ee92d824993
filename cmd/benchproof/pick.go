package main

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"benchproof/compiler/document"
	"benchproof/compiler/library"
	cell "benchproof/compiler/sheet"
	"benchproof/compiler/uses"
	"benchproof/render/list"
)

func newPick() *cobra.Command {
	var o jobOptions
	cmd := &cobra.Command{
		Use:   "pick NAME[=TIMES]... [DIR]",
		Short: "Make one list of what to take for a set of jobs",
		Long: `Pick lists what a set of jobs takes: tools and instruments once each, in the number
that one step takes at once; parts that are fitted new and consumables as sums over
the jobs. A job is a procedure of the library, by its name or document number;
NAME=3 is done three times. The last name may be the library's folder (the current
one where none is named); --in says the folder where every name is a job.

Numbers of parts are proved over all paths: "1 to 3" says that one way to a
serviceable finish takes one, and that no way takes more than three. A consumable
that no step counts has no number. What not every job always takes says on which
ways it is taken, in the words of the documents. A job that has an error, or reaches
one, is refused; errors elsewhere in the library do no harm.

--format csv, markdown and html write the list for other programs and for paper;
html prints on A4, with boxes to tick. --language writes it in another language, of
a translation of the library. In CSV a text that a spreadsheet would take for a
formula has an apostrophe in front.`,
		Example: "  benchproof pick seal-change bearing-change --for size=s32 my-library\n  benchproof pick seal-change=3 --format html > take.html",
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := oneOf("--format", o.format, "text", "csv", "markdown", "html"); err != nil {
				return err
			}
			names, dir := o.split(cmd, args)
			if len(names) == 0 {
				return errNoJobs(cmd, &o.located, args, dir)
			}
			p, err := pickJobs(cmd, names, dir, &o)
			if err != nil {
				return err
			}
			w := cmd.OutOrStdout()
			switch o.format {
			case "csv":
				return p.csv(w)
			case "markdown":
				return list.Markdown(w, p.list())
			case "html":
				return list.HTML(w, p.list())
			}
			s := newSheet(w)
			p.text(s)
			return s.writeTo(w)
		},
	}
	o.flags(cmd.Flags(), "csv, markdown or html")
	return cmd
}

func (p *picking) jobTitle(j uses.Job) string {
	text := strings.TrimSpace(j.Procedure.Document + " " + p.said(j.Procedure.Title))
	if j.Times > 1 {
		return document.Fill(p.words.Lists.TimesJob, "times", strconv.Itoa(j.Times), "job", text)
	}
	return text
}

// said is a text of the library as it is printed. What documents do not print, such
// as the title of a box that holds none of the things, may have no translation.
func (p *picking) said(text string) string {
	plain, _ := p.result.Said(text)
	return plain
}

// cell is a text of the library with its language, where that is another.
func (p *picking) cell(text string) list.Cell { return saidCell(p.result, text) }

// when says on which ways a line is taken: nothing where some job always takes it.
func (p *picking) when(l uses.Line) string {
	if l.Always {
		return ""
	}
	return document.Fill(p.words.Lists.OnlyThat, "ways", p.ways(l, len(p.Jobs) > 1))
}

func (p *picking) ways(l uses.Line, named bool) string {
	var texts []string
	for _, o := range l.Only {
		text := o.Text
		if named {
			text = o.Procedure.Document + ": " + text
		}
		texts = append(texts, text)
	}
	return strings.Join(texts, "; ")
}

func (p *picking) boxesOf(l uses.Line) string {
	var names []string
	for _, k := range l.Kits {
		names = append(names, strings.TrimSpace(k.Number+" "+p.said(k.Title)))
	}
	return strings.Join(names, ", ")
}

func (p *picking) thing(t library.Thing) string {
	c := library.CommonOf(t)
	if c.Detail != "" {
		return p.said(c.Title) + ", " + p.said(c.Detail)
	}
	return p.said(c.Title)
}

func (p *picking) text(s *sheet) {
	for _, j := range p.Jobs {
		s.line(inBold, 2, p.jobTitle(j))
	}
	for _, m := range p.Members {
		s.line("", 2, p.said(m.Variant.Title)+": "+p.said(m.Title))
	}
	for rank, title := range uses.Sorts(p.words) {
		var rows [][]string
		for _, line := range p.Lines {
			if line.Rank() == rank {
				rows = append(rows, p.row(line))
			}
		}
		if len(rows) > 0 {
			s.blank()
			s.line(inBold, 0, title)
			s.table(2, rows)
		}
	}
	if len(p.Lines) == 0 {
		s.blank()
		s.line("", 0, p.words.Lists.NothingTaken)
	}
}

// row is a line in columns: how many, number, and what it is.
func (p *picking) row(line uses.Line) []string {
	text := p.thing(line.Thing)
	if boxes := p.boxesOf(line); boxes != "" {
		text += " (" + document.Fill(p.words.Lists.InBox, "boxes", boxes) + ")"
	}
	if when := p.when(line); when != "" {
		text += "; " + when
	}
	return []string{line.Count(p.words), uses.NumberOf(line.Thing), text}
}

// csv writes the lines for programs: words that programs look for are the same in
// every language.
func (p *picking) csv(w io.Writer) error {
	rows := [][]string{{"sort", "number", "name", "title", "least", "most", "always", "only", "boxes", "jobs"}}
	for _, line := range p.Lines {
		sort := line.Thing.Sort()
		if line.Instrument {
			sort = "instrument"
		}
		least, most := "", ""
		if line.Most > 0 {
			least, most = strconv.Itoa(line.Least), strconv.Itoa(line.Most)
		}
		only := ""
		if !line.Always {
			only = p.ways(line, true)
		}
		var boxes, jobs []string
		for _, k := range line.Kits {
			boxes = append(boxes, k.Number)
		}
		for _, j := range line.Jobs {
			jobs = append(jobs, j.Document)
		}
		rows = append(rows, cell.CellTexts([]string{sort, uses.NumberOf(line.Thing), line.Thing.Declared().Name, p.thing(line.Thing), least, most,
			strconv.FormatBool(line.Always), only, strings.Join(boxes, "; "), strings.Join(jobs, "; ")}))
	}
	return csv.NewWriter(w).WriteAll(rows)
}

// list is the list for paper.
func (p *picking) list() *list.List {
	w := p.words
	out := &list.List{Language: w.Tag, Title: w.Lists.TakeAlong, Foot: w.Lists.LocalFirst}
	for _, j := range p.Jobs {
		out.Facts = append(out.Facts, list.Fact{Word: w.Job, Cell: list.Cell{Text: p.jobTitle(j)}})
	}
	for _, m := range p.Members {
		out.Facts = append(out.Facts, list.Fact{Word: p.said(m.Variant.Title), Cell: p.cell(m.Title)})
	}
	out.Facts = append(out.Facts, list.Fact{Word: w.Lists.Library, Cell: p.cell(p.result.Library.Title)})
	column := func(title string, width list.Share) list.Column {
		return list.Column{Title: list.Cell{Text: title}, Width: width}
	}
	for rank, title := range uses.Sorts(w) {
		s := list.Section{Title: list.Cell{Text: title}, Tick: true, TickWord: w.Lists.Taken, Columns: []list.Column{
			column(w.Lists.HowMany, list.Eighth), column(w.Number, list.Eighth), column(w.Lists.What, 0), column(w.Kit, list.Fifth), column(w.Lists.Needed, list.Quarter)}}
		s.Columns[1].Strong = true
		for _, line := range p.Lines {
			if line.Rank() != rank {
				continue
			}
			when := p.when(line)
			if when == "" {
				when = w.Always
			}
			s.Rows = append(s.Rows, list.Cells(line.Count(w), uses.NumberOf(line.Thing), p.thing(line.Thing), p.boxesOf(line), when))
		}
		if len(s.Rows) > 0 {
			out.Sections = append(out.Sections, s)
		}
	}
	return out
}
