package main

import (
	"errors"
	"fmt"
	"io"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"

	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/compiler/uses"
)

func newKits() *cobra.Command {
	var o jobOptions
	var kit string
	cmd := &cobra.Command{
		Use:   "kits [NAME...] [DIR]",
		Short: "Hold the boxes against what jobs take: what is missing, what is never used",
		Long: `Kits tells for each box of the library which of its things the jobs take, and
which none of them does. Jobs are procedures by name or document number; of none
named, all are meant, with --language all that are translated. The last name may be
the library's folder (the current one where none is named); --in says the folder
where every name is a job. A job that has an error, or reaches one, is refused.

With --box NAME or NUMBER it tells of one box all that is in it, what the jobs take
and the box holds too few of or not at all, and what no job takes. A box holds a
thing as often as it is named there.`,
		Example: "  benchproof kits my-library\n  benchproof kits seal-change --box K-1012 --for size=s32 my-library",
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := oneOf("--format", o.format, "text", "json"); err != nil {
				return err
			}
			names, dir := o.split(cmd, args)
			p, err := pickJobs(cmd, names, dir, &o)
			if err != nil {
				return err
			}
			boxes := p.result.Library.Kits
			if kit != "" {
				found, near := uses.Find(p.source, kit)
				at := slices.IndexFunc(p.source.Kits, func(k *library.Kit) bool { return slices.Contains(found, library.Symbol(k)) })
				switch {
				case len(found) == 0:
					return fmt.Errorf("--box: %w", unknownName(kit, near))
				case at < 0:
					return fmt.Errorf("--box %s: it is a %s", kit, found[0].Sort())
				}
				boxes = boxes[at : at+1]
			}
			if len(boxes) == 0 {
				return errors.New("the library has no boxes (kit)")
			}
			if o.format == "json" {
				return p.kitsJSON(cmd.OutOrStdout(), boxes, kit != "")
			}
			s := newSheet(cmd.OutOrStdout())
			for i, k := range boxes {
				if i > 0 {
					s.blank()
				}
				p.boxText(s, p.Box(k), kit != "")
			}
			return s.writeTo(cmd.OutOrStdout())
		},
	}
	o.flags(cmd.Flags(), "or json")
	cmd.Flags().StringVar(&kit, "box", "", "tell all of one `box`")
	return cmd
}

func (p *picking) boxText(s *sheet, b uses.Box, whole bool) {
	w := p.words.Lists
	s.line(inBold, 2, strings.TrimSpace(b.Kit.Number+" "+p.said(b.Kit.Title))+" ("+b.Kit.Name+")")
	part := func(title string, lines []uses.Line, held bool) {
		if len(lines) == 0 {
			return
		}
		s.line("", 4, "  "+title+":")
		var rows [][]string
		for _, line := range lines {
			row := []string{line.Count(p.words), uses.NumberOf(line.Thing), p.thing(line.Thing)}
			if held {
				row[2] += "; " + document.Fill(w.BoxHolds, "count", strconv.Itoa(uses.Holds(b.Kit, line.Thing)))
			}
			if when := p.when(line); when != "" {
				row[2] += "; " + when
			}
			if !held && len(line.Kits) > 0 && uses.Holds(b.Kit, line.Thing) == 0 {
				row[2] += " (" + document.Fill(w.InBox, "boxes", p.boxesOf(line)) + ")"
			}
			rows = append(rows, row)
		}
		s.table(4, rows)
	}
	part(w.Held, b.Held, false)
	part(w.Short, b.Short, true)
	if whole {
		part(w.Missing, b.Missing, false)
	}
	if len(b.Idle) > 0 {
		s.line("", 4, "  "+w.Idle+":")
		var rows [][]string
		for _, t := range b.Idle {
			rows = append(rows, []string{"", uses.NumberOf(t), p.thing(t)})
		}
		s.table(4, rows)
	}
	if whole && len(b.Short)+len(b.Missing) == 0 {
		s.line("", 4, "  "+w.HoldsAll)
	}
}

func (p *picking) kitsJSON(w io.Writer, boxes []*library.Kit, whole bool) error {
	named := func(s library.Symbol) jsonNamed {
		n := namedJSON(s)
		n.Title = p.said(n.Title)
		return n
	}
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
		b := p.Box(k)
		lines := func(list []uses.Line) []line {
			all := []line{}
			for _, x := range list {
				all = append(all, line{named(x.Thing), x.Least, x.Most, uses.Holds(k, x.Thing), x.Always})
			}
			return all
		}
		j := box{jsonNamed: named(k), Held: lines(b.Held), Short: lines(b.Short), Idle: []jsonNamed{}}
		if whole {
			j.Missing = lines(b.Missing)
		}
		for _, t := range b.Idle {
			j.Idle = append(j.Idle, named(t))
		}
		out.Boxes = append(out.Boxes, j)
	}
	return indented(w, out)
}
