package main

import (
	"embed"
	"errors"
	"fmt"
	"io/fs"

	"github.com/spf13/cobra"

	"benchproof/compiler"
)

// recipe holds what two build servers want to run ci.sh.
//
//go:embed recipe
var recipe embed.FS

// ciFiles are the files of the recipe: where each stands in the program, and where it
// goes. The first two are those of a
// new library.
var ciFiles = []struct {
	from fs.FS
	name string
	to   string
}{
	{starter, "starter/ci.sh", "ci.sh"},
	{starter, "starter/.gitignore", ".gitignore"},
	{recipe, "recipe/github.yml", ".github/workflows/library.yml"},
	{recipe, "recipe/gitlab.yml", ".gitlab-ci.yml"},
}

func newCI() *cobra.Command {
	return &cobra.Command{
		Use:   "ci [DIR]",
		Short: "Add to a library what a build server has to run",
		Long: `New ci writes into the library in DIR (the current folder where none is named):

  ci.sh                          what a change has to pass, for any build server
  .gitignore                     keeps what it makes out of version control
  .github/workflows/library.yml  runs it on GitHub Actions
  .gitlab-ci.yml                 runs it on GitLab CI

The script checks format, meaning, trials, releases and translations, names each
stage that fails, and leaves in out/report the messages as SARIF and, where BASE
names a revision, what the change means; then it makes the documents. It needs a
shell and this program, and git for the comparison. The last two files are in
general form: take the one that fits, move it to the root of the repository where
the library is not there, and delete the other. What is there already is left as
it is.`,
		Example: "  benchproof new ci my-bench\n  BASE=origin/main sh my-bench/ci.sh",
		Args:    atMostOneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			dir := folder(args)
			fsys, err := openFolder(dir)
			if err != nil {
				return err
			}
			if names, err := compiler.Names(fsys); err != nil {
				return fmt.Errorf("%s: %w", dir, err)
			} else if len(names) == 0 {
				return fmt.Errorf("%s: no source files (*%s) in this folder; benchproof new makes a library", dir, compiler.Suffix)
			}
			made := &making{}
			for _, f := range ciFiles {
				data, err := fs.ReadFile(f.from, f.name)
				if err != nil {
					return err
				}
				name, err := ownFile(dir, f.to)
				if err == nil {
					err = made.file(name, data)
				}
				switch {
				case errors.Is(err, fs.ErrExist):
					fmt.Fprintf(cmd.OutOrStdout(), "%s was there already, and is left as it is\n", name)
				case err != nil:
					made.undo()
					return fmt.Errorf("nothing is written: %w", err)
				default:
					fmt.Fprintf(cmd.OutOrStdout(), "%s is made\n", name)
				}
			}
			return nil
		},
	}
}
