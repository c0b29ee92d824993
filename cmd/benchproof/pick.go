package main

import (
	"cmp"
	"encoding/csv"
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"benchproof/compiler"
	"benchproof/compiler/library"
	"benchproof/compiler/uses"
	"benchproof/render/list"
)

// jobOptions say which jobs a list is for.
type jobOptions struct {
	dir     string
	members []string
	format  string
}

func (o *jobOptions) flags(f *pflag.FlagSet, formats string) {
	f.StringVar(&o.dir, "in", ".", "the library's `folder`")
	f.StringSliceVar(&o.members, "for", nil, "for machines that are these `variant=member`, a list")
	f.StringVar(&o.format, "format", "text", "the list as `text`, "+formats)
}

func newPick() *cobra.Command {
	var o jobOptions
	cmd := &cobra.Command{
		Use:   "pick NAME[=TIMES]...",
		Short: "Make one list of what to take for a set of jobs",
		Long: `Pick lists what a set of jobs takes: tools and instruments once each, in the number
that one step takes at once; parts that are fitted new and consumables as sums over
the jobs. A job is a procedure of the library, by its name or document number;
NAME=3 is done three times. The library is that of the current folder, or of --in.

Numbers of parts are proved over all paths: "1 to 3" says that one way to a
serviceable finish takes one, and that no way takes more than three. A consumable
that no step counts has no number. What not every job always takes says on which
ways it is taken, in the words of the documents.

--format csv, markdown and html write the list for other programs and for paper;
html prints on A4, with boxes to tick.`,
		Example: "  benchproof pick seal-change bearing-change --for size=s32 --in my-library\n  benchproof pick seal-change=3 --format html > take.html",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 {
				return fmt.Errorf("name the jobs: %s NAME...", cmd.CommandPath())
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := oneOf("--format", o.format, "text", "csv", "markdown", "html"); err != nil {
				return err
			}
			picked, result, err := pickJobs(cmd, args, &o)
			if err != nil {
				return err
			}
			w := cmd.OutOrStdout()
			switch o.format {
			case "csv":
				return pickCSV(w, picked)
			case "markdown":
				return list.Markdown(w, pickList(picked, result))
			case "html":
				return list.HTML(w, pickList(picked, result))
			}
			s := newSheet(w)
			pickText(s, picked)
			return s.writeTo(w)
		},
	}
	o.flags(cmd.Flags(), "csv, markdown or html")
	return cmd
}

// pickJobs works out what some jobs take; of none named, all of the library that
// apply.
func pickJobs(cmd *cobra.Command, args []string, o *jobOptions) (*uses.List, *compiler.Result, error) {
	result, err := checkFolder(cmd.Context(), o.dir)
	if err != nil {
		return nil, nil, err
	}
	if !result.Sound() {
		if err := reportText(cmd.ErrOrStderr(), o.dir, result.Messages); err != nil {
			return nil, nil, err
		}
		return nil, nil, errWrong
	}
	members, err := chosenMembers(result, o.members)
	if err != nil {
		return nil, nil, err
	}
	var jobs []uses.Job
	for _, arg := range args {
		job, err := jobOf(result.Library, arg)
		if err != nil {
			return nil, nil, err
		}
		jobs = append(jobs, job)
	}
	if len(args) == 0 {
		for i, p := range result.Library.Procedures {
			if result.Applies(i, members) {
				jobs = append(jobs, uses.Job{Procedure: p, Times: 1})
			}
		}
	}
	picked, faults, err := uses.Pick(result, jobs, members)
	if err != nil {
		return nil, nil, err
	}
	if len(faults) > 0 {
		if err := reportText(cmd.ErrOrStderr(), o.dir, faults); err != nil {
			return nil, nil, err
		}
		return nil, nil, errWrong
	}
	return picked, result, nil
}

// mostTimes bounds how often a job is asked for.
const mostTimes = 10_000

func jobOf(lib *library.Library, arg string) (uses.Job, error) {
	name, times := arg, 1
	if before, after, ok := strings.Cut(arg, "="); ok {
		n, err := strconv.Atoi(after)
		if err != nil || n < 1 || n > mostTimes {
			return uses.Job{}, fmt.Errorf("%s: expected NAME=TIMES with a whole number from 1 to %d", arg, mostTimes)
		}
		name, times = before, n
	}
	found, near := uses.Find(lib, name)
	for _, s := range found {
		if p, ok := s.(*library.Procedure); ok {
			return uses.Job{Procedure: p, Times: times}, nil
		}
	}
	if len(found) > 0 {
		return uses.Job{}, fmt.Errorf("%s is a %s; name a procedure", name, found[0].Sort())
	}
	return uses.Job{}, unknownName(name, near)
}

// chosenMembers reads a list of variant=member.
func chosenMembers(result *compiler.Result, pairs []string) (out []*library.Member, err error) {
	for _, pair := range pairs {
		variant, member, ok := strings.Cut(pair, "=")
		if !ok || variant == "" || member == "" {
			return nil, fmt.Errorf("--for %s: expected VARIANT=MEMBER, for example size=s32", pair)
		}
		m, err := result.Member(variant, member)
		if err != nil {
			return nil, fmt.Errorf("--for %s: %w", pair, err)
		}
		if slices.Contains(out, m) {
			continue
		}
		out = append(out, m)
	}
	// Equal members, equal documents: in whichever order they are asked for.
	slices.SortStableFunc(out, func(a, b *library.Member) int {
		return cmp.Or(slices.Index(result.Library.Variants, a.Variant)-slices.Index(result.Library.Variants, b.Variant), a.Index-b.Index)
	})
	return out, nil
}

func jobTitle(j uses.Job) string {
	text := strings.TrimSpace(j.Procedure.Document + " " + j.Procedure.Title)
	if j.Times > 1 {
		text = fmt.Sprintf("%d times %s", j.Times, text)
	}
	return text
}

// takenWhen says on which ways a line is taken: nothing where some job always
// takes it.
func takenWhen(l uses.Line, jobs int) string {
	if l.Always {
		return ""
	}
	var texts []string
	for _, o := range l.Only {
		text := o.Text
		if jobs > 1 {
			text = o.Procedure.Document + ": " + text
		}
		texts = append(texts, text)
	}
	return "only " + strings.Join(texts, "; ")
}

func boxesOf(l uses.Line) string {
	var names []string
	for _, k := range l.Kits {
		names = append(names, strings.TrimSpace(k.Number+" "+k.Title))
	}
	return strings.Join(names, ", ")
}

func thingTitle(t library.Thing) string {
	c := library.CommonOf(t)
	if c.Detail != "" {
		return c.Title + ", " + c.Detail
	}
	return c.Title
}

func pickText(s *sheet, l *uses.List) {
	for _, j := range l.Jobs {
		s.line(inBold, 2, jobTitle(j))
	}
	for _, m := range l.Members {
		s.line("", 2, m.Variant.Title+": "+m.Title)
	}
	for rank, title := range uses.Sorts {
		var rows [][]string
		for _, line := range l.Lines {
			if line.Rank() == rank {
				rows = append(rows, lineRow(line, len(l.Jobs)))
			}
		}
		if len(rows) > 0 {
			s.blank()
			s.line(inBold, 0, title)
			s.table(2, rows)
		}
	}
	if len(l.Lines) == 0 {
		s.blank()
		s.line("", 0, "Nothing is taken.")
	}
}

// lineRow is a line in columns: how many, number, and what it is.
func lineRow(line uses.Line, jobs int) []string {
	text := thingTitle(line.Thing)
	if boxes := boxesOf(line); boxes != "" {
		text += " (in " + boxes + ")"
	}
	if when := takenWhen(line, jobs); when != "" {
		text += "; " + when
	}
	return []string{line.Count(), uses.NumberOf(line.Thing), text}
}

func pickCSV(w io.Writer, l *uses.List) error {
	out := csv.NewWriter(w)
	rows := [][]string{{"sort", "number", "name", "title", "least", "most", "always", "only", "boxes", "jobs"}}
	for _, line := range l.Lines {
		sort := line.Thing.Sort()
		if line.Instrument {
			sort = "instrument"
		}
		least, most := "", ""
		if line.Most > 0 {
			least, most = strconv.Itoa(line.Least), strconv.Itoa(line.Most)
		}
		var only, boxes, jobs []string
		if !line.Always {
			for _, o := range line.Only {
				only = append(only, o.Procedure.Document+": "+o.Text)
			}
		}
		for _, k := range line.Kits {
			boxes = append(boxes, k.Number)
		}
		for _, p := range line.Jobs {
			jobs = append(jobs, p.Document)
		}
		rows = append(rows, []string{sort, uses.NumberOf(line.Thing), line.Thing.Declared().Name, thingTitle(line.Thing), least, most,
			strconv.FormatBool(line.Always), strings.Join(only, "; "), strings.Join(boxes, "; "), strings.Join(jobs, "; ")})
	}
	return out.WriteAll(rows)
}

// pickList is the list for paper.
func pickList(l *uses.List, result *compiler.Result) *list.List {
	out := &list.List{Language: "en", Title: "Take along", Foot: "Check each document's revision before work. Local rules and licensed practice come first."}
	for _, j := range l.Jobs {
		out.Facts = append(out.Facts, list.Fact{Word: "Job", Text: jobTitle(j)})
	}
	for _, m := range l.Members {
		out.Facts = append(out.Facts, list.Fact{Word: m.Variant.Title, Text: m.Title})
	}
	out.Facts = append(out.Facts, list.Fact{Word: "Library", Text: result.Library.Title})
	for rank, title := range uses.Sorts {
		s := list.Section{Title: title, Tick: true, TickWord: "Taken", Columns: []list.Column{
			{Title: "How many", Width: list.Eighth}, {Title: "Number", Width: list.Eighth, Strong: true}, {Title: "What"}, {Title: "Box", Width: list.Fifth}, {Title: "Needed", Width: list.Quarter}}}
		for _, line := range l.Lines {
			if line.Rank() != rank {
				continue
			}
			when := takenWhen(line, len(l.Jobs))
			if when == "" {
				when = "always"
			}
			s.Rows = append(s.Rows, []string{line.Count(), uses.NumberOf(line.Thing), thingTitle(line.Thing), boxesOf(line), when})
		}
		if len(s.Rows) > 0 {
			out.Sections = append(out.Sections, s)
		}
	}
	return out
}

// --- boxes ---------------------------------------------------------------------------

func newKits() *cobra.Command {
	var o jobOptions
	var kit string
	cmd := &cobra.Command{
		Use:   "kits [NAME...]",
		Short: "Hold the boxes against what jobs take: what is missing, what is never used",
		Long: `Kits tells for each box of the library which of its things the jobs take, and
which none of them does. Jobs are procedures by name or document number; of none
named, all are meant. The library is that of the current folder, or of --in.

With --box NAME or NUMBER it tells of one box all that is in it, what the jobs take
and the box holds too few of or not at all, and what no job takes. A box holds a
thing as often as it is named there.`,
		Example: "  benchproof kits --in my-library\n  benchproof kits seal-change --box K-1012 --for size=s32",
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := oneOf("--format", o.format, "text", "json"); err != nil {
				return err
			}
			picked, result, err := pickJobs(cmd, args, &o)
			if err != nil {
				return err
			}
			boxes := result.Library.Kits
			if kit != "" {
				found, near := uses.Find(result.Library, kit)
				k, ok := oneKit(found)
				if !ok {
					if len(found) > 0 {
						return fmt.Errorf("--box %s: it is a %s", kit, found[0].Sort())
					}
					return fmt.Errorf("--box: %w", unknownName(kit, near))
				}
				boxes = []*library.Kit{k}
			}
			if len(boxes) == 0 {
				return errors.New("the library has no boxes (kit)")
			}
			if o.format == "json" {
				return kitsJSON(cmd.OutOrStdout(), picked, boxes, kit != "")
			}
			s := newSheet(cmd.OutOrStdout())
			for i, k := range boxes {
				if i > 0 {
					s.blank()
				}
				boxText(s, picked, picked.Box(k), kit != "")
			}
			return s.writeTo(cmd.OutOrStdout())
		},
	}
	o.flags(cmd.Flags(), "or json")
	cmd.Flags().StringVar(&kit, "box", "", "tell all of one `box`")
	return cmd
}

func oneKit(found []library.Symbol) (*library.Kit, bool) {
	for _, s := range found {
		if k, ok := s.(*library.Kit); ok {
			return k, true
		}
	}
	return nil, false
}

func boxText(s *sheet, l *uses.List, b uses.Box, whole bool) {
	s.line(inBold, 2, strings.TrimSpace(b.Kit.Number+" "+b.Kit.Title)+" ("+b.Kit.Name+")")
	part := func(title string, lines []uses.Line, held bool) {
		if len(lines) == 0 {
			return
		}
		s.line("", 4, "  "+title)
		var rows [][]string
		for _, line := range lines {
			row := lineRow(line, len(l.Jobs))
			row[2] = thingTitle(line.Thing)
			if held {
				row[2] += fmt.Sprintf("; the box holds %d", uses.Holds(b.Kit, line.Thing))
			}
			if when := takenWhen(line, len(l.Jobs)); when != "" {
				row[2] += "; " + when
			}
			if !held && len(line.Kits) > 0 && uses.Holds(b.Kit, line.Thing) == 0 {
				row[2] += " (in " + boxesOf(line) + ")"
			}
			rows = append(rows, row)
		}
		s.table(4, rows)
	}
	part("taken, and in the box:", b.Held, false)
	part("too few in the box:", b.Short, true)
	if whole {
		part("taken, and not in the box:", b.Missing, false)
	}
	if len(b.Idle) > 0 {
		s.line("", 4, "  in the box, and taken by none of these jobs:")
		var rows [][]string
		for _, t := range b.Idle {
			rows = append(rows, []string{"", uses.NumberOf(t), thingTitle(t)})
		}
		s.table(4, rows)
	}
	if whole && len(b.Short)+len(b.Missing) == 0 {
		s.line("", 4, "  The box holds all that these jobs take.")
	}
}

func kitsJSON(w io.Writer, l *uses.List, boxes []*library.Kit, whole bool) error {
	type line struct {
		jsonNamed
		Least  int  `json:"least"`
		Most   int  `json:"most"`
		Holds  int  `json:"holds"`
		Always bool `json:"always"`
	}
	type box struct {
		jsonNamed
		Held    []line      `json:"held"`
		Short   []line      `json:"short"`
		Missing []line      `json:"missing,omitempty"`
		Idle    []jsonNamed `json:"idle"`
	}
	out := struct {
		Boxes []box `json:"boxes"`
	}{[]box{}}
	for _, k := range boxes {
		b := l.Box(k)
		lines := func(list []uses.Line) []line {
			all := []line{}
			for _, x := range list {
				all = append(all, line{namedJSON(x.Thing), x.Least, x.Most, uses.Holds(k, x.Thing), x.Always})
			}
			return all
		}
		j := box{jsonNamed: namedJSON(k), Held: lines(b.Held), Short: lines(b.Short), Idle: []jsonNamed{}}
		if whole {
			j.Missing = lines(b.Missing)
		}
		for _, t := range b.Idle {
			j.Idle = append(j.Idle, namedJSON(t))
		}
		out.Boxes = append(out.Boxes, j)
	}
	return indented(w, out)
}
