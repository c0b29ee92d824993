package main

import (
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"benchproof/compiler"
	"benchproof/compiler/compare"
	"benchproof/render/compared"
)

// errDiffer is what compare returns where the libraries differ: the report has
// said so already.
var errDiffer = errors.New("the libraries differ")

func newCompare() *cobra.Command {
	var only []string
	var to, out string
	var remember remembering
	cmd := &cobra.Command{
		Use:   "compare OLD NEW",
		Short: "Say how two libraries differ in what they mean",
		Long: `Compare says how the library NEW differs from OLD in meaning: steps that came,
went, moved or say something else; limits, torques, tables, hazards, conditions,
tools, parts; and for which readings and answers the two lead to another finish,
other parts, tools or hazards, each with an example. Layout, comments, the order
of declarations and the files they stand in make no difference.

OLD and NEW are folders, or revisions of the git repository that the current
folder is in: git:REV, or git:REV:FOLDER with the folder as seen from here.
Revisions are read from the repository; the work tree is left alone.

A library with errors is compared as far as it can be, and the report says so.

Exit status: 0 nothing differs, 1 something does, 2 the command could not run, or
nothing differs but not everything could be compared.`,
		Example: "  benchproof compare released my-library\n  benchproof compare git:HEAD~1 .\n  benchproof compare git:v3:procedures procedures --only seal-change --to html --out changes.html",
		Args:    cobra.ExactArgs(2),
		RunE: func(cmd *cobra.Command, args []string) error {
			if !slices.Contains([]string{"text", "json", "markdown", "html"}, to) {
				return fmt.Errorf("--to %s: expected text, json, markdown or html", to)
			}
			report, err := compareLibraries(cmd, args, only, remember)
			if err != nil {
				return err
			}
			if err := writeReport(cmd, report, to, out); err != nil {
				return err
			}
			switch {
			case !report.Empty():
				return errDiffer
			case len(report.NotCompared) > 0:
				return errors.New("nothing differs, but not everything could be compared")
			}
			return nil
		},
	}
	cmd.Flags().StringArrayVar(&only, "only", nil, "the procedure `NAME` alone, and what is shared as far as it touches it; may be given again")
	cmd.Flags().StringVar(&to, "to", "text", "the report as `text` for people, json for programs, markdown for a review, or html side by side")
	cmd.Flags().StringVar(&out, "out", "", "write the report into `FILE` instead of standard output")
	remember.flags(cmd.Flags())
	return cmd
}

func compareLibraries(cmd *cobra.Command, args, only []string, remember remembering) (*compare.Report, error) {
	var results [2]*compiler.Result
	var commits [2]string
	for i, name := range args {
		fsys, commit, err := openLibrary(cmd.Context(), name)
		if err != nil {
			return nil, err
		}
		m := newMemory(fsys, remember)
		defer m.close()
		if results[i], err = m.check(cmd.Context(), name); err != nil {
			return nil, err
		}
		if remember.counts {
			m.say(cmd.ErrOrStderr(), len(results[i].Library.Procedures))
		}
		commits[i] = commit
	}
	for _, name := range only {
		if !hasProcedure(results[0], name) && !hasProcedure(results[1], name) {
			return nil, fmt.Errorf("--only %s: neither library has a procedure of that name", name)
		}
	}
	report, err := compare.Compare(cmd.Context(), results[0], results[1], compare.Options{Only: only})
	if err != nil {
		return nil, err
	}
	report.Old.Name, report.New.Name = args[0], args[1]
	report.Old.Commit, report.New.Commit = commits[0], commits[1]
	return report, nil
}

func hasProcedure(r *compiler.Result, name string) bool {
	for _, p := range r.Library.Procedures {
		if p.Name == name {
			return true
		}
	}
	return false
}

// openLibrary opens a folder, or a revision of a git repository.
func openLibrary(ctx context.Context, name string) (fsys fs.FS, commit string, err error) {
	if strings.HasPrefix(name, revisionPrefix) {
		return openRevision(ctx, name)
	}
	fsys, err = openFolder(name)
	return fsys, "", err
}

func writeReport(cmd *cobra.Command, r *compare.Report, to, out string) error {
	var b bytes.Buffer
	var err error
	switch to {
	case "json":
		enc := json.NewEncoder(&b)
		enc.SetIndent("", "  ")
		err = enc.Encode(r)
	case "markdown":
		err = compared.Markdown(&b, r)
	case "html":
		err = compared.HTML(&b, r)
	default:
		options := compared.TextOptions{}
		if f, width, ok := terminal(cmd.OutOrStdout()); ok && out == "" {
			options.Width = width
			options.Colour = os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb" && f != nil
		}
		err = compared.Text(&b, r, options)
	}
	if err == nil {
		if out == "" {
			_, err = io.Copy(cmd.OutOrStdout(), &b)
		} else {
			err = writeWhole(out, b.Bytes())
		}
	}
	if err != nil {
		return fmt.Errorf("the report could not be written: %w", plainPath(err))
	}
	return nil
}
