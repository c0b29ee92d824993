package main

import (
	"context"
	"embed"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strconv"
	"strings"
	"time"
	"unicode"
	"unicode/utf8"

	"github.com/spf13/cobra"

	"benchproof/compiler"
	"benchproof/compiler/library"
	"benchproof/compiler/uses"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// starter is the library that `new` makes: complete, commented, and without a
// message.
//
//go:embed all:starter
var starter embed.FS

func newNew() *cobra.Command {
	cmd := &cobra.Command{
		Use:   "new DIR",
		Short: "Make a small library to start from, or add a procedure to one",
		Long: `New makes a small, complete library in DIR: what a bench has, one job with its
trials, a figure, a page on how to go on, and what a build server has to run. It
passes check as it stands. DIR is made, or holds no source file yet; nothing that
is there is overwritten.

  benchproof new my-bench
  cd my-bench
  benchproof check
  benchproof new procedure change-belt
  benchproof new ci`,
		Example: "  benchproof new my-bench\n  benchproof new procedure change-belt my-bench\n  benchproof new ci my-bench",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) != 1 {
				return fmt.Errorf("name the folder to make, or add a procedure: %s, %s procedure NAME", cmd.CommandPath()+" DIR", cmd.CommandPath())
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error { return newLibrary(cmd, args[0]) },
	}
	cmd.AddCommand(newProcedure(), newCI())
	return cmd
}

func newLibrary(cmd *cobra.Command, dir string) error {
	files, err := fs.Sub(starter, "starter")
	if err != nil {
		return err
	}
	var names []string
	if err := fs.WalkDir(files, ".", func(p string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() {
			names = append(names, p)
		}
		return err
	}); err != nil {
		return err
	}
	if err := freeFolder(dir, names); err != nil {
		return err
	}
	made, out := &making{}, cmd.OutOrStdout()
	var kept []string
	for _, name := range names {
		data, err := fs.ReadFile(files, name)
		if err == nil {
			err = made.file(filepath.Join(dir, filepath.FromSlash(name)), data)
		}
		if errors.Is(err, fs.ErrExist) && !essential(name) {
			kept = append(kept, name)
			continue
		}
		if err == nil {
			err = cmd.Context().Err()
		}
		if err != nil {
			made.undo()
			return fmt.Errorf("the library cannot be made: %w", err)
		}
	}
	fmt.Fprintf(out, "A library to start from is in %s:\n", dir)
	for _, name := range names {
		if slices.Contains(kept, name) {
			name += " (was there already, and is left as it is)"
		}
		fmt.Fprintf(out, "  %s\n", name)
	}
	_, err = fmt.Fprintf(out, "Read %s, then try: benchproof check %s\n", filepath.Join(dir, "FIRST-STEPS.md"), dir)
	return err
}

// essential tells whether the library cannot do without a file. The others are
// for its surroundings, which may have their own.
func essential(name string) bool {
	return strings.HasSuffix(name, compiler.Suffix) || strings.HasPrefix(name, "figures/")
}

// freeFolder refuses a folder in which a library would get in the way.
func freeFolder(dir string, names []string) error {
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil
	case err != nil:
		return fmt.Errorf("the folder cannot be read: %w", plainPath(err))
	case !info.IsDir():
		return fmt.Errorf("%s is a file; name a folder that is new or empty", dir)
	}
	there, err := compiler.Names(os.DirFS(dir))
	if err != nil {
		return fmt.Errorf("%s: %w", dir, err)
	}
	if len(there) > 0 {
		return fmt.Errorf("%s holds a library already (%s); benchproof new procedure NAME %s adds to it", dir, there[0], dir)
	}
	for _, name := range slices.DeleteFunc(slices.Clone(names), func(name string) bool { return !essential(name) }) {
		if _, err := os.Lstat(filepath.Join(dir, filepath.FromSlash(name))); err == nil {
			return fmt.Errorf("%s stands in %s already; name a folder that is new or empty", name, dir)
		}
	}
	return nil
}

// A making is files and folders made for one command, so that all can be taken
// away again.
type making struct{ made []string }

func (m *making) file(name string, data []byte) error {
	var missing []string
	for d := filepath.Dir(name); ; d = filepath.Dir(d) {
		if _, err := os.Stat(d); err == nil || filepath.Dir(d) == d {
			break
		}
		missing = append(missing, d)
	}
	for _, d := range slices.Backward(missing) {
		if err := os.Mkdir(d, 0o777); err != nil {
			return plainPath(err)
		}
		m.made = append(m.made, d)
	}
	if err := createWhole(name, data); err != nil {
		return err
	}
	m.made = append(m.made, name)
	if filepath.Ext(name) != ".sh" {
		return nil
	}
	info, err := os.Stat(name)
	if err == nil {
		// Whoever may read it may run it.
		err = os.Chmod(name, info.Mode()|info.Mode()&0o444>>2)
	}
	return plainPath(err)
}

func (m *making) undo() {
	for _, name := range slices.Backward(m.made) {
		os.Remove(name) // a folder only where it is empty
	}
	m.made = nil
}

func newProcedure() *cobra.Command {
	return &cobra.Command{
		Use:   "procedure NAME [DIR]",
		Short: "Add a procedure to a library",
		Long: `New procedure writes NAME.proc into the library in DIR (the current folder where
none is named): a job with a few steps to fill in, a question at its end, and a
trial for each answer. It passes check as it stands. NAME is lower-case words with
hyphens, such as change-belt, and not taken; no file is overwritten.`,
		Example: "  benchproof new procedure change-belt\n  benchproof new procedure change-belt my-bench",
		Args: func(cmd *cobra.Command, args []string) error {
			if len(args) < 1 || len(args) > 2 {
				return fmt.Errorf("name the procedure, and its library where it is not here: %s NAME [DIR]", cmd.CommandPath())
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			dir := folder(args[1:])
			text, err := procedureFor(cmd.Context(), args[0], dir, time.Now())
			if err != nil {
				return err
			}
			name := filepath.Join(dir, args[0]+compiler.Suffix)
			if err := createWhole(name, []byte(text)); err != nil {
				if errors.Is(err, fs.ErrExist) {
					return fmt.Errorf("%s is there already, and is left as it is", name)
				}
				return fmt.Errorf("the procedure cannot be written: %w", err)
			}
			check := "benchproof check"
			if dir != "." {
				check += " " + dir
			}
			_, err = fmt.Fprintf(cmd.OutOrStdout(), "%s is made. Fill it in, then try: %s\n", name, check)
			return err
		},
	}
}

// procedureFor writes the text of a new procedure that the library accepts as it
// is.
func procedureFor(ctx context.Context, name, dir string, day time.Time) (string, error) {
	if err := procedureName(name); err != nil {
		return "", err
	}
	fsys, err := openFolder(dir)
	if err != nil {
		return "", err
	}
	if names, err := compiler.Names(fsys); err == nil && len(names) == 0 {
		return "", fmt.Errorf("%s holds no source file (*%s); benchproof new %s makes a library to start from", dir, compiler.Suffix, dir)
	}
	sources, err := compiler.Read(fsys)
	if err != nil {
		return "", fmt.Errorf("%s: %w", dir, err)
	}
	before, err := compiler.Check(ctx, sources)
	if err != nil {
		return "", err
	}
	for _, s := range uses.Declared(before.Library) {
		if s.Declared().Name == name {
			at := s.Declared().Span
			line, _ := at.File.Position(at.Start)
			return "", fmt.Errorf("%s is the name of a %s already (%s:%d); choose another", name, s.Sort(), path.Join(filepath.ToSlash(dir), at.File.Path), line)
		}
	}
	text := string(layOut(name, []byte(procedureText(name, day, before.Library))).new)

	// The library has the last word, whatever is declared in it.
	f, _ := syntax.Load([]byte(text), name+compiler.Suffix)
	with := *sources
	with.Files = append(slices.Clone(sources.Files), f)
	slices.SortFunc(with.Files, func(a, b *source.File) int { return strings.Compare(a.Path, b.Path) })
	after, err := compiler.Check(ctx, &with)
	if err != nil {
		return "", err
	}
	for _, m := range after.Messages {
		if m.Span.File == f {
			return "", fmt.Errorf("no procedure can be called %s in this library: %s", name, m.Text)
		}
	}
	return text, nil
}

// procedureName tells whether a name is one.
func procedureName(name string) error {
	good := name != "" && len(name) <= 100 && !strings.HasSuffix(name, "-")
	for i, r := range name {
		letter := unicode.IsLower(r) || unicode.Is(unicode.Lo, r)
		good = good && (letter || i > 0 && (unicode.IsDigit(r) || r == '-'))
	}
	if !good || !utf8.ValidString(name) {
		return fmt.Errorf("%q cannot be the name of a procedure: write lower-case words with hyphens, such as change-belt", name)
	}
	return checkName(name + compiler.Suffix)
}

// numbered is a document number that counts on at its end.
var numbered = regexp.MustCompile(`^(.*?)([0-9]{1,9})$`)

// nextDocument is the document number after the highest one of the library.
func nextDocument(lib *library.Library) string {
	prefix, width, highest := "WI-", 4, 0
	for _, p := range lib.Procedures {
		m := numbered.FindStringSubmatch(p.Document)
		if m == nil {
			continue
		}
		if n, err := strconv.Atoi(m[2]); err == nil && n > highest {
			prefix, width, highest = m[1], len(m[2]), n
		}
	}
	return fmt.Sprintf("%s%0*d", prefix, width, highest+1)
}

func procedureText(name string, day time.Time, lib *library.Library) string {
	title := strings.ReplaceAll(name, "-", " ")
	first, size := utf8.DecodeRuneInString(title)
	title = string(unicode.ToUpper(first)) + title[size:]

	// The steps below change no condition: where a machine is to be left
	// otherwise than it is found, this job says that it leaves it as found.
	var ends []string
	for _, c := range lib.Conditions {
		if c.Begins != nil && c.Ends != nil && c.Begins != c.Ends {
			ends = append(ends, c.Name+" "+c.Begins.Name)
		}
	}
	left := ""
	if len(ends) > 0 {
		left = "  ends      " + strings.Join(ends, ", ") + "\n"
	}
	document := strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(nextDocument(lib))
	return strings.NewReplacer("NAME", name, "TITLE", title, "NUMBER", document,
		"DATE", day.Format(time.DateOnly), "LEFT", left).Replace(procedureForm)
}

const procedureForm = `# @name in a text prints a thing's title and number. What a step does stands in
# braces below its text: use, remove, refit, fit new, make, warn, measure, takes.
# benchproof explain WORD says what each is for.

procedure NAME "TITLE" {
  document  "NUMBER"
  revision  A on DATE "First issue."
  skill     "Maintenance fitter"                # who may do the job
  purpose   "Keeps the machine in good order."  # what the job is good for
LEFT
  stage "Make the machine safe" {
    step "Tell the operator and stop the machine." {
      takes  5 min
    }
  }

  stage "Do the work" {
    # One instruction a step. What it names is declared first: tools, parts, hazards.
    step "Clean the machine." {
      takes  10 min
    }
  }

  stage "Put the machine back to work" {
    step "Start the machine and watch it run." {
      ask    running "Does it run as it should?" {
        yes  "yes"
        no   "no"
      }
      takes  5 min
    }
    decide running {
      yes {
        finish serviceable "Hand the machine back to the operator."
      }
      no {
        finish refer "Stop the machine and call the supervisor."
      }
    }
  }
}

# Worked cases that must hold. Each branch wants one.

trial "NAME: all in order" of NAME {
  running  yes
  expect   finish serviceable
}

trial "NAME: does not run well" of NAME {
  running  no
  expect   finish refer
}
`
