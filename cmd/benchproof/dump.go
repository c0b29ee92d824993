package main

import (
	"bufio"
	"errors"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"benchproof/compiler"
	"benchproof/dsl/message"
	"benchproof/dsl/syntax"
)

// stages are what can be looked at, in the order in which a library passes
// through them.
var stages = []string{"tokens", "tree", "library", "paths", "document", "messages", "ninja"}

func newDump() *cobra.Command {
	var stage, only string
	ninja := ninjaOptions{}
	cmd := &cobra.Command{
		Use:   "dump --stage STAGE [DIR]",
		Short: "Print what the compiler has made of a library at one stage",
		Long: `Dump prints a stage of the compiler's work, for those who work on the compiler or
wonder why it says what it says:

  tokens     the words of each file, with their places; of a sheet that a catalogue
             names, those of the declarations made of its rows
  tree       what was read of each file and each sheet
  library    what is declared, with names bound and values typed
  paths      what holds on the paths of each procedure
  document   what the documents are made from
  messages   what is known to be wrong, as JSON
  ninja      the build of its documents, for ninja to carry out; keep it as build.ninja

Stages after a mistake print what could be made of it.`,
		Example: "  benchproof dump --stage tree my-library\n  benchproof dump --stage document --only seal-change my-library\n  benchproof dump --stage ninja --out documents my-library > build.ninja",
		Args:    atMostOneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			if !slices.Contains(stages, stage) {
				return fmt.Errorf("--stage %s: expected one of %s", orNothing(stage), strings.Join(stages, ", "))
			}
			dir := folder(args)
			if stage == "ninja" {
				made := buildOptions{out: ninja.out, to: ninja.to, paper: ninja.paper, languages: ninja.languages, reporting: reporting{format: "text"}}
				if err := made.valid(); err != nil {
					return err
				}
				return writeNinja(cmd.Context(), cmd.OutOrStdout(), dir, ninja)
			}
			result, err := checkFolder(cmd.Context(), dir)
			if err != nil {
				return err
			}
			w := bufio.NewWriter(cmd.OutOrStdout())
			if err := dump(w, result, stage, only); err != nil {
				return err
			}
			return w.Flush()
		},
	}
	cmd.Flags().StringVar(&stage, "stage", "", "the `stage`: "+strings.Join(stages, ", "))
	cmd.Flags().StringVar(&only, "only", "", "paths and document: only the `procedure` of this name")
	cmd.Flags().StringVar(&ninja.out, "out", "out", "ninja: write the documents into this `folder`")
	cmd.Flags().StringSliceVar(&ninja.to, "to", formatNames(), "ninja: make these `formats`, a list")
	cmd.Flags().StringSliceVar(&ninja.languages, "language", nil, "ninja: make the documents in these `languages`, a list")
	cmd.Flags().StringVar(&ninja.paper, "paper", "A4", "ninja: `size` of the PDF's paper: A4 or letter")
	return cmd
}

func orNothing(s string) string {
	if s == "" {
		return "(none)"
	}
	return s
}

func dump(w io.Writer, r *compiler.Result, stage, only string) error {
	p := &printer{w: w}
	switch stage {
	case "tokens":
		for _, f := range r.Library.Files {
			src := f.Source
			for _, t := range syntax.Parse(src).Tokens {
				line, column := src.Position(t.Pos.Offset)
				fmt.Fprintf(w, "%s:%d:%d: %q\n", src.Path, line, column, t.Value)
			}
		}
	case "tree":
		for _, f := range r.Library.Files {
			fmt.Fprintf(w, "# %s\n", f.Source.Path)
			for _, d := range syntax.Parse(f.Source).Declarations {
				p.print(d)
			}
		}
	case "library":
		lib := *r.Library
		lib.Files = nil // those are the stages before
		p.print(&lib)
	case "paths", "document":
		found := false
		for i, proc := range r.Library.Procedures {
			if only != "" && proc.Name != only {
				continue
			}
			found = true
			fmt.Fprintf(w, "# %s\n", proc.Name)
			if stage == "paths" {
				p.print(r.Judged[i])
				continue
			}
			doc, _ := r.Document(i, compiler.DocumentOptions{Draft: !r.Sound()})
			p.print(doc)
		}
		if !found && only != "" {
			return fmt.Errorf("--only %s: no procedure has this name", only)
		}
	case "messages":
		return message.WriteJSON(w, r.Messages)
	default:
		return errors.New("a stage without a print")
	}
	return nil
}
