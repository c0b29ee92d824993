package main

import (
	"encoding/json"
	"fmt"
	"io"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"benchproof/compiler/library"
	"benchproof/compiler/uses"
	"benchproof/dsl/source"
)

func newWhere() *cobra.Command {
	var format string
	var unused bool
	cmd := &cobra.Command{
		Use:   "where NAME|NUMBER [DIR]",
		Short: "Tell where a tool, part, hazard, figure or anything declared is used",
		Long: `Where tells in which steps of which procedures something is used, by its name or
its number: a tool, instrument, part, consumable, box, hazard, condition, family,
table or one of its columns (table.column), figure, video, routine or procedure of
the library in DIR (the current folder where none is named).

Steps have the numbers of the documents. Beside each stands how the thing is used
there (what only the text names is a mention), whether the work always gets there
or on which ways only, in the words of the documents, and by which routine.

With --unused it lists the tools, parts and consumables that no procedure uses,
and what boxes hold for none.

Of a library with errors it tells what resolves, says on standard error in which
procedures something may be missing, and ends with exit status 1.

With --format json the answer is a list "found" of what has the name or number:
"sort", "name", "title", "number", "declared", "replacedBy", "kits", "procedures"
and "namings" (declarations and trials that name it). A procedure has "name",
"document", "title" and "uses"; a use has "at" (step, stage, decision, until,
perform, finish or procedure), "step" (of what is no step: the one that follows),
"how", "always" or "only", "routines", "text" and "place". A place is "file",
"line" and "column". With --unused the lists are "things" and "kits".`,
		Example: "  benchproof where seal-puller my-library\n  benchproof where T-1062\n  benchproof where --unused my-library",
		Args: func(cmd *cobra.Command, args []string) error {
			switch {
			case unused && len(args) > 1:
				return fmt.Errorf("--unused: expected one folder at most")
			case !unused && (len(args) < 1 || len(args) > 2):
				return fmt.Errorf("name one thing, and its library where it is not here: %s NAME [DIR]", cmd.CommandPath())
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := oneOf("--format", format, "text", "json"); err != nil {
				return err
			}
			dir := folder(args)
			if !unused {
				dir = folder(args[1:])
			}
			lib, err := openUses(cmd, dir)
			if err != nil {
				return err
			}
			if unused {
				if err := printUnused(cmd.OutOrStdout(), lib, format); err != nil {
					return err
				}
				return notWhole(cmd, dir, lib)
			}
			found, near := uses.Find(lib.Result.Library, args[0])
			if len(found) == 0 {
				return lostName(unknownName(args[0], near), lib.Result)
			}
			var all []uses.Where
			for _, s := range found {
				all = append(all, lib.Where(s))
			}
			print := whereText
			if format == "json" {
				print = whereJSON
			}
			if err := print(cmd.OutOrStdout(), all); err != nil {
				return err
			}
			return notWhole(cmd, dir, lib)
		},
	}
	cmd.Flags().BoolVar(&unused, "unused", false, "list the tools, parts and consumables that no procedure uses")
	cmd.Flags().StringVar(&format, "format", "text", "the answer as `text`, or json for programs")
	return cmd
}

// oneOf refuses a value that an option does not know.
func oneOf(option, value string, known ...string) error {
	for _, k := range known {
		if k == value {
			return nil
		}
	}
	last := len(known) - 1
	return fmt.Errorf("%s %s: expected %s", option, value, strings.Join(known[:last], ", ")+" or "+known[last])
}

// openUses checks a library and places all its statements. Of one that is wrong
// what resolves is told, and notWhole says what may be missing.
func openUses(cmd *cobra.Command, dir string) (*uses.Library, error) {
	result, err := checkFolder(cmd.Context(), dir)
	if err != nil {
		return nil, err
	}
	lib, faults := uses.New(result)
	if len(faults) > 0 {
		return nil, refuse(cmd, dir, faults, "")
	}
	return lib, nil
}

// notWhole says of a library with errors that an answer may lack something, and
// gives the exit status for it; nothing of a sound one.
func notWhole(cmd *cobra.Command, dir string, lib *uses.Library) error {
	if lib.Sound() {
		return nil
	}
	var in []string
	for i, faults := range lib.Faults() {
		if len(faults) > 0 {
			in = append(in, lib.Result.Library.Procedures[i].Name)
		}
	}
	errors := 0
	for _, m := range lib.Messages {
		if m.IsError() {
			errors++
		}
	}
	text := fmt.Sprintf("the library has %s (benchproof check %s): what could not be understood is not told", count(errors, "error"), dir)
	if len(in) > 0 {
		text += "; it may be in " + strings.Join(in, ", ")
	}
	fmt.Fprintln(cmd.ErrOrStderr(), text)
	return errWrong
}

func unknownName(name string, near []string) error {
	if len(near) > 0 {
		return fmt.Errorf("nothing has the name or number %s; did you mean %s?", name, strings.Join(near, " or "))
	}
	return fmt.Errorf("nothing in the library has the name or number %s", name)
}

// titleOf says what something is: `tool seal-puller: seal puller T-1062`.
func titleOf(s library.Symbol) string {
	d := s.Declared()
	text := s.Sort() + " " + d.Name
	title := strings.TrimSpace(d.Title + " " + uses.NumberOf(s))
	if t, ok := s.(library.Thing); ok {
		if detail := library.CommonOf(t).Detail; detail != "" {
			title += ", " + detail
		}
	}
	if title != "" {
		text += ": " + title
	}
	return text
}

func lineOf(s source.Span) string {
	line, _ := s.File.Position(s.Start)
	return s.File.Path + ":" + strconv.Itoa(line)
}

func whereText(w io.Writer, all []uses.Where) error {
	s := newSheet(w)
	for i, x := range all {
		if i > 0 {
			s.blank()
		}
		d := x.Symbol.Declared()
		s.line(inBold, 2, titleOf(x.Symbol))
		s.line("", 4, "  declared in "+lineOf(d.Span))
		for _, k := range x.Kits {
			s.line("", 4, "  in the box "+strings.TrimSpace(k.Title+" "+k.Number))
		}
		if d.ReplacedBy != nil {
			s.line("", 4, "  replaced by "+titleOf(d.ReplacedBy))
		}
		for _, in := range x.In {
			s.blank()
			s.line(inBold, 2, strings.TrimSpace(in.Procedure.Document+" "+in.Procedure.Title)+" ("+in.Procedure.Name+")")
			var rows [][]string
			for _, u := range in.Uses {
				rows = append(rows, []string{placeOf(u), strings.Join(u.How, ", "), waysOf(u)})
			}
			s.table(2, rows)
		}
		if len(x.In) == 0 {
			s.blank()
			s.line("", 0, "No procedure uses it.")
		}
		if len(x.Namings) > 0 {
			s.blank()
			s.line("", 0, "Named in:")
			var rows [][]string
			for _, n := range x.Namings {
				what := n.Sort + " " + n.Name
				if n.Sort == "trial" {
					what = "trial of " + n.Name + ", “" + n.Title + "”"
				}
				rows = append(rows, []string{lineOf(n.Span), what})
			}
			s.table(2, rows)
		}
	}
	return s.writeTo(w)
}

// placeOf says where a use stands: "step 9", "decision before step 10".
func placeOf(u uses.Use) string {
	switch u.At {
	case "step":
		return "step " + strconv.Itoa(u.Step)
	case "procedure":
		return "head"
	}
	return u.At + " before step " + strconv.Itoa(u.Step)
}

// waysOf says on which ways the work gets to a use, and by which routines.
func waysOf(u uses.Use) string {
	text := "always"
	if !u.Always {
		text = "only " + u.Only
	}
	for i, r := range u.Routines {
		if i == 0 {
			text += "; in routine " + r.Name
		} else {
			text += ", " + r.Name
		}
	}
	return text
}

func printUnused(w io.Writer, lib *uses.Library, format string) error {
	things, kits := lib.Unused()
	if format == "json" {
		return unusedJSON(w, things, kits)
	}
	s := newSheet(w)
	if len(things) == 0 {
		s.line("", 0, "Every tool, part and consumable is used by a procedure.")
	} else {
		s.line(inBold, 0, "Used by no procedure:")
		var rows [][]string
		for _, t := range things {
			d := t.Declared()
			note := lineOf(d.Span)
			if d.ReplacedBy != nil {
				note += "; replaced by " + d.ReplacedBy.Declared().Name
			}
			rows = append(rows, []string{t.Sort(), uses.NumberOf(t), d.Name, note})
		}
		s.table(2, rows)
	}
	for _, k := range kits {
		s.blank()
		s.line(inBold, 2, "In the box "+strings.TrimSpace(k.Kit.Title+" "+k.Kit.Number)+" for no procedure:")
		var rows [][]string
		for _, t := range k.Things {
			rows = append(rows, []string{uses.NumberOf(t), t.Declared().Title})
		}
		s.table(2, rows)
	}
	return s.writeTo(w)
}

// --- for programs ------------------------------------------------------------------

type jsonPlace struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
}

func placeJSON(s source.Span) jsonPlace {
	line, column := s.File.Position(s.Start)
	return jsonPlace{s.File.Path, line, column}
}

type jsonNamed struct {
	Sort   string `json:"sort"`
	Name   string `json:"name"`
	Title  string `json:"title"`
	Number string `json:"number,omitempty"`
}

func namedJSON(s library.Symbol) jsonNamed {
	return jsonNamed{s.Sort(), s.Declared().Name, s.Declared().Title, uses.NumberOf(s)}
}

type jsonUse struct {
	At       string    `json:"at"`
	Step     int       `json:"step,omitempty"`
	How      []string  `json:"how"`
	Always   bool      `json:"always"`
	Only     string    `json:"only,omitempty"`
	Routines []string  `json:"routines,omitempty"`
	Text     string    `json:"text,omitempty"`
	Place    jsonPlace `json:"place"`
}

type jsonUses struct {
	Name     string    `json:"name"`
	Document string    `json:"document"`
	Title    string    `json:"title"`
	Uses     []jsonUse `json:"uses"`
}

type jsonNaming struct {
	Sort  string    `json:"sort"`
	Name  string    `json:"name"`
	Title string    `json:"title,omitempty"`
	Place jsonPlace `json:"place"`
}

type jsonWhere struct {
	jsonNamed
	Declared   jsonPlace    `json:"declared"`
	ReplacedBy *jsonNamed   `json:"replacedBy,omitempty"`
	Kits       []jsonNamed  `json:"kits"`
	Procedures []jsonUses   `json:"procedures"`
	Namings    []jsonNaming `json:"namings"`
}

func whereJSON(w io.Writer, all []uses.Where) error {
	found := []jsonWhere{}
	for _, x := range all {
		d := x.Symbol.Declared()
		out := jsonWhere{jsonNamed: namedJSON(x.Symbol), Declared: placeJSON(d.Span), Kits: []jsonNamed{}, Procedures: []jsonUses{}, Namings: []jsonNaming{}}
		if d.ReplacedBy != nil {
			by := namedJSON(d.ReplacedBy)
			out.ReplacedBy = &by
		}
		for _, k := range x.Kits {
			out.Kits = append(out.Kits, namedJSON(k))
		}
		for _, in := range x.In {
			p := jsonUses{Name: in.Procedure.Name, Document: in.Procedure.Document, Title: in.Procedure.Title}
			for _, u := range in.Uses {
				line := jsonUse{At: u.At, Step: u.Step, How: u.How, Always: u.Always, Only: u.Only, Text: u.Text, Place: placeJSON(u.Span)}
				for _, r := range u.Routines {
					line.Routines = append(line.Routines, r.Name)
				}
				p.Uses = append(p.Uses, line)
			}
			out.Procedures = append(out.Procedures, p)
		}
		for _, n := range x.Namings {
			out.Namings = append(out.Namings, jsonNaming{n.Sort, n.Name, n.Title, placeJSON(n.Span)})
		}
		found = append(found, out)
	}
	return indented(w, struct {
		Found []jsonWhere `json:"found"`
	}{found})
}

func unusedJSON(w io.Writer, things []library.Thing, kits []uses.Idle) error {
	type held struct {
		jsonNamed
		Things []jsonNamed `json:"things"`
	}
	out := struct {
		Things []jsonNamed `json:"things"`
		Kits   []held      `json:"kits"`
	}{[]jsonNamed{}, []held{}}
	for _, t := range things {
		out.Things = append(out.Things, namedJSON(t))
	}
	for _, k := range kits {
		h := held{jsonNamed: namedJSON(k.Kit)}
		for _, t := range k.Things {
			h.Things = append(h.Things, namedJSON(t))
		}
		out.Kits = append(out.Kits, h)
	}
	return indented(w, out)
}

// indented writes JSON for programs that people may read, too.
func indented(w io.Writer, v any) error {
	enc := json.NewEncoder(w)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	return enc.Encode(v)
}
