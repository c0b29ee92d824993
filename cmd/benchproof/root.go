package main

import (
	"fmt"
	"strings"

	"github.com/spf13/cobra"
)

// newRoot makes the command line. It is made anew for each run: nothing of one
// run is left for the next.
func newRoot() *cobra.Command {
	root := &cobra.Command{
		Use:   "benchproof",
		Short: "Checks bench repair procedures and makes work instructions of them",
		Long: `Benchproof reads a folder of procedures (files that end in .proc), proves what
can be proved about them, and makes work instructions as HTML, Markdown and PDF.

A first look:
  benchproof demo                 make the documents of the built-in library
  benchproof new my-library       make a small library to start from
  benchproof check my-library     say what is wrong, and where
  benchproof trial my-library     play its worked cases through
  benchproof build my-library     make the documents, if nothing is wrong
  benchproof preview my-library   see them in a browser while you write
  benchproof explain BP404        what a message means, with an example

Exit status: 0 nothing is wrong (warnings allowed, unless --strict),
1 the library is wrong, 2 the command could not run.

"Checked" means that the rules hold, not that the repair is right: that stays
with the people who write, release and use the procedure. Local rules and
licensed practice come first.`,
		SilenceUsage:  true,
		SilenceErrors: true,
		Args:          knownCommand,
		RunE:          func(cmd *cobra.Command, _ []string) error { return cmd.Help() },
	}
	root.AddCommand(libraryCommands()...)
	root.CompletionOptions.HiddenDefaultCmd = true
	root.SuggestionsMinimumDistance = 2
	root.SetFlagErrorFunc(func(cmd *cobra.Command, err error) error {
		return fmt.Errorf("%w (see %s --help)", err, cmd.CommandPath())
	})
	root.AddCommand(newDemo(), newCheck(), newTrial(), newBuild(), newRelease(), newCompare(), newWords(), newFormat(), newNew(), newPreview(), newDraft(), newLSP(), newRecord(), newExplain(), newDump(), newVersion())
	return root
}

// knownCommand refuses a word that is no command, and says which is near.
func knownCommand(cmd *cobra.Command, args []string) error {
	if len(args) == 0 {
		return nil
	}
	if near := cmd.SuggestionsFor(args[0]); len(near) > 0 {
		return fmt.Errorf("there is no command %s; did you mean %s?", args[0], strings.Join(near, " or "))
	}
	return fmt.Errorf("there is no command %s (see %s --help)", args[0], cmd.CommandPath())
}

// folder gives the library's folder of a command line: where none is named, the
// one the person stands in.
func folder(args []string) string {
	if len(args) == 0 {
		return "."
	}
	return args[0]
}

// atMostOneFolder accepts a command line with one folder or none.
func atMostOneFolder(_ *cobra.Command, args []string) error {
	if len(args) > 1 {
		return fmt.Errorf("one folder at a time: got %q and %q", args[0], args[1])
	}
	return nil
}

// libraryCommands are those that answer for a library as a whole.
func libraryCommands() []*cobra.Command {
	return []*cobra.Command{newWhere(), newReplace(), newPick(), newKits(), newMembers()}
}
