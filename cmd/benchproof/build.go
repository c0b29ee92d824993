package main

import (
	"fmt"
	"path/filepath"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"benchproof/compiler"
	"benchproof/dsl/message"
	"benchproof/render/pdf"
)

// buildOptions are what documents are made with.
type buildOptions struct {
	reporting
	out     string
	to      []string
	members []string // variant=member
	paper   string
	draft   bool
}

func (o *buildOptions) paperFlag(f *pflag.FlagSet) {
	f.StringVar(&o.paper, "paper", "A4", "`size` of the PDF's paper: A4 or letter")
}

// papers are the papers by the names of the option.
var papers = map[string]pdf.Paper{"a4": pdf.A4, "letter": pdf.Letter}

func (o *buildOptions) valid() error {
	if err := o.reporting.valid(); err != nil {
		return err
	}
	if _, ok := papers[strings.ToLower(o.paper)]; !ok {
		return fmt.Errorf("--paper %s: expected A4 or letter", o.paper)
	}
	if len(o.to) == 0 {
		return fmt.Errorf("--to: expected one or more of %s", strings.Join(formatNames(), ", "))
	}
	for _, name := range o.to {
		if !slices.Contains(formatNames(), name) {
			return fmt.Errorf("--to %s: expected one or more of %s", name, strings.Join(formatNames(), ", "))
		}
	}
	for _, pair := range o.members {
		variant, member, ok := strings.Cut(pair, "=")
		if !ok || variant == "" || member == "" {
			return fmt.Errorf("--for %s: expected VARIANT=MEMBER, for example size=s32", pair)
		}
	}
	if o.out == "" {
		return fmt.Errorf("--out: expected the name of a folder")
	}
	return nil
}

func newBuild() *cobra.Command {
	var o buildOptions
	cmd := &cobra.Command{
		Use:   "build [DIR]",
		Short: "Make the documents of a library, if nothing is wrong with it",
		Long: `Build checks the library in DIR (the current folder where none is named) and, when
nothing is wrong, writes NAME.html, NAME.md and NAME.pdf for each procedure and
an index.html. When something is wrong it writes nothing and says what.

Documents of an earlier build are replaced whole or not at all; other files in
the output folder are left alone.

With --for, each document is for one member of a family and shows only its
values: --for size=s32 writes NAME.s32.html.

With --draft, documents are made in spite of errors, to be read and not to be
worked from: NOT FOR WORK stands on every page, and there is nothing to tick.`,
		Example: "  benchproof build my-library --out documents\n  benchproof build my-library --to pdf --paper letter --for size=s32\n  benchproof build my-library --draft",
		Args:    atMostOneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := o.valid(); err != nil {
				return err
			}
			dir := folder(args)
			result, err := checkFolder(cmd.Context(), dir)
			if err != nil {
				return err
			}
			made, err := build(cmd, result, dir, &o)
			if err != nil {
				return err
			}
			if _, _, ok := terminal(cmd.OutOrStdout()); ok && o.format == "text" {
				fmt.Fprintf(cmd.OutOrStdout(), "%s in %s; open %s\n", count(made.documents, "document"), o.out, filepath.Join(o.out, indexName))
			}
			return made.verdict
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.out, "out", "out", "write the documents into this `folder`")
	f.StringSliceVar(&o.to, "to", formatNames(), "make these `formats`, a list")
	f.StringSliceVar(&o.members, "for", nil, "make documents for a `variant=member`, a list with one member of each family")
	f.BoolVar(&o.draft, "draft", false, "make documents in spite of errors, NOT FOR WORK on every page")
	o.paperFlag(f)
	o.reporting.flags(f)
	return cmd
}

// made is what a build has made.
type made struct {
	documents int
	// verdict is errWrong for a draft of a library that is wrong.
	verdict error
}

// build reports the messages and, where they allow it, writes the documents.
func build(cmd *cobra.Command, result *compiler.Result, dir string, o *buildOptions) (made, error) {
	if o.fails(result.Messages) && !o.draft {
		return made{}, o.report(cmd, dir, result.Messages)
	}
	options := compiler.DocumentOptions{Draft: o.draft}
	seen := map[string]string{}
	for _, pair := range o.members {
		variant, member, _ := strings.Cut(pair, "=")
		if other, twice := seen[variant]; twice && other != member {
			return made{}, fmt.Errorf("--for %s: one document is for one member, and %s=%s is asked for, too", pair, variant, other)
		} else if twice {
			continue
		}
		seen[variant] = member
		m, err := result.Member(variant, member)
		if err != nil {
			return made{}, fmt.Errorf("--for %s: %w", pair, err)
		}
		options.For = append(options.For, m)
	}
	b := &builder{result: result, options: options, formats: chosenFormats(o.to), paper: papers[strings.ToLower(o.paper)], stderr: cmd.ErrOrStderr()}
	if err := b.plan(); err != nil {
		return made{}, err
	}
	out, err := openOutput(o.out)
	if err != nil {
		return made{}, err
	}
	defer out.close()
	if err := b.render(cmd.Context(), out); err != nil {
		return made{}, err
	}
	verdict := o.report(cmd, dir, message.Sort(append(slices.Clone(result.Messages), b.messages...)))
	if verdict == nil && o.strict && len(b.unshown) > 0 {
		verdict = errWrong
	}
	for _, line := range b.unshown {
		fmt.Fprintf(cmd.ErrOrStderr(), "warning: %s\n", line)
	}
	if verdict != nil && (!o.draft || verdict != errWrong) {
		return made{}, verdict
	}
	if err := cmd.Context().Err(); err != nil {
		return made{}, err
	}
	return made{documents: b.documents, verdict: verdict}, out.commit()
}
