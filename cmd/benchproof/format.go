package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"

	"github.com/spf13/cobra"

	"benchproof/compiler"
	layout "benchproof/dsl/format"
	"benchproof/dsl/message"
	"benchproof/dsl/syntax"
)

func newFormat() *cobra.Command {
	var only bool
	cmd := &cobra.Command{
		Use:   "format [FILE|DIR...]",
		Short: "Lay source files out in the one canonical way",
		Long: `Format lays files out anew: two spaces for each block, one statement a line,
properties and actions in columns. Comments stay, and so does the meaning. Of a
folder it takes every .proc file; without a name, those of the current folder.

A file is written whole or not at all. One that does not follow the grammar is
left as it is, and its messages are printed (exit status 1).

With --check nothing is written: the files that would change are listed, and
where there are any, the exit status is 1.

With -, or where nothing is named and text comes in through a pipe, format
reads standard input and writes to standard output.`,
		Example: "  benchproof format my-library\n  benchproof format --check my-library\n  benchproof format - < draft.proc",
		RunE: func(cmd *cobra.Command, args []string) error {
			if len(args) == 0 && !only && piped(cmd.InOrStdin()) || slices.Equal(args, []string{"-"}) {
				return formatInput(cmd, only)
			}
			if slices.Contains(args, "-") {
				return errors.New("-: standard input stands alone, without other files")
			}
			if len(args) == 0 {
				args = []string{"."}
			}
			return formatFiles(cmd, args, only)
		},
	}
	cmd.Flags().BoolVar(&only, "check", false, "list the files that would change and write nothing")
	return cmd
}

// piped tells whether text comes in from another program or a file. A terminal
// does not count, and neither does the empty device.
func piped(r io.Reader) bool {
	f, ok := r.(*os.File)
	if !ok {
		return true
	}
	info, err := f.Stat()
	return err == nil && info.Mode()&os.ModeCharDevice == 0
}

// A laid is a file laid out anew.
type laid struct {
	name     string // as the person knows it
	old, new []byte
	messages []*message.Message
}

func layOut(name string, old []byte) *laid {
	f, list := syntax.Load(old, filepath.ToSlash(name))
	tree := syntax.Parse(f)
	l := &laid{name: name, old: old, new: old, messages: message.Sort(append(list, tree.Messages...))}
	if len(l.messages) == 0 {
		l.new = []byte(layout.Source(tree))
	}
	return l
}

func (l *laid) changes() bool { return !bytes.Equal(l.old, l.new) }

func formatInput(cmd *cobra.Command, only bool) error {
	old, err := readText(cmd.InOrStdin())
	if err != nil {
		return fmt.Errorf("standard input cannot be read: %w", err)
	}
	l := layOut("standard input", old)
	if len(l.messages) > 0 {
		if err := reportText(cmd.ErrOrStderr(), ".", l.messages); err != nil {
			return err
		}
		if only {
			return errWrong
		}
		// An editor that puts the answer in the text's place loses nothing.
		if _, err := cmd.OutOrStdout().Write(old); err != nil {
			return err
		}
		return errWrong
	}
	if !only {
		_, err := cmd.OutOrStdout().Write(l.new)
		return err
	}
	if l.changes() {
		fmt.Fprintln(cmd.OutOrStdout(), l.name)
		return errWrong
	}
	return nil
}

// readText reads at most one byte more than a source may have.
func readText(r io.Reader) ([]byte, error) {
	return io.ReadAll(io.LimitReader(r, syntax.MaxSize+1))
}

func formatFiles(cmd *cobra.Command, args []string, only bool) error {
	names, err := sourceFiles(args)
	if err != nil {
		return err
	}
	files, err := layOutAll(cmd.Context(), names)
	if err != nil {
		return err
	}
	out := cmd.OutOrStdout()
	var messages []*message.Message
	changed := 0
	for _, l := range files {
		messages = append(messages, l.messages...)
		if !l.changes() {
			continue
		}
		changed++
		if only {
			fmt.Fprintln(out, l.name)
			continue
		}
		if err := replaceWhole(l.name, l.new); err != nil {
			return fmt.Errorf("%s cannot be written: %w", l.name, err)
		}
	}
	if _, _, ok := terminal(out); ok {
		done := "laid out anew"
		if only {
			done = "would change"
		}
		fmt.Fprintf(out, "%s, %d %s\n", count(len(files), "file"), changed, done)
	}
	if err := reportText(cmd.ErrOrStderr(), ".", messages); err != nil {
		return err
	}
	if len(messages) > 0 || only && changed > 0 {
		return errWrong
	}
	return nil
}

// layOutAll reads and lays out all files before the first is written.
func layOutAll(ctx context.Context, names []string) ([]*laid, error) {
	var files []*laid
	total := 0
	for _, name := range names {
		if err := ctx.Err(); err != nil {
			return nil, err
		}
		f, err := os.OpenFile(name, os.O_RDONLY|noWaiting, 0)
		if err != nil {
			return nil, fmt.Errorf("the file cannot be read: %w", plainPath(err))
		}
		old, err := readText(f)
		f.Close()
		if err != nil {
			return nil, fmt.Errorf("the file cannot be read: %w", plainPath(err))
		}
		if total += len(old); total > compiler.MaxTotal {
			return nil, compiler.ErrTooLarge
		}
		files = append(files, layOut(name, old))
	}
	return files, nil
}

// sourceFiles gives the files that the names of a command line mean, each once:
// a file itself, and of a folder every source under it.
func sourceFiles(args []string) (names []string, err error) {
	seen := map[string]bool{}
	add := func(name string) {
		if !seen[name] {
			seen[name] = true
			names = append(names, name)
		}
	}
	for _, arg := range args {
		info, err := os.Stat(arg)
		switch {
		case errors.Is(err, os.ErrNotExist):
			return nil, fmt.Errorf("there is no file or folder %s", arg)
		case err != nil:
			return nil, fmt.Errorf("the file cannot be read: %w", plainPath(err))
		case info.Mode().IsRegular():
			add(filepath.Clean(arg))
			continue
		case !info.IsDir():
			return nil, fmt.Errorf("%s is neither a file nor a folder", arg)
		}
		under, err := compiler.Names(os.DirFS(arg))
		if err != nil {
			return nil, fmt.Errorf("%s: %w", arg, err)
		}
		if len(under) == 0 {
			return nil, fmt.Errorf("%s: no source files (*%s) in this folder", arg, compiler.Suffix)
		}
		for _, name := range under {
			add(filepath.Join(arg, filepath.FromSlash(name)))
		}
	}
	return names, nil
}
