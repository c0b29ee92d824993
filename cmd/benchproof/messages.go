package main

import (
	"fmt"
	"io"
	"os"
	"slices"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"
	"golang.org/x/term"

	"benchproof/dsl/message"
)

// reporting is how a command that checks reports: its options, and the verdict.
type reporting struct {
	format string
	strict bool
	// overdue lets a calibration that is overdue fail; strict does not, since it is
	// about the sources, which are as right on one day as on another.
	overdue bool
}

// overdueCode is the code of what only the day has brought about.
const overdueCode = "BP027"

func (r *reporting) flags(f *pflag.FlagSet) {
	f.StringVar(&r.format, "format", "text", "messages as `text` for people, or json or sarif for programs (on standard output)")
	f.BoolVar(&r.strict, "strict", false, "let a warning about the sources fail, too")
}

// valid tells whether the options make sense.
func (r *reporting) valid() error {
	switch r.format {
	case "text", "json", "sarif":
		return nil
	}
	return fmt.Errorf("--format %s: expected text, json or sarif", r.format)
}

// report writes the messages: for people to standard error, for programs to
// standard output. It gives errWrong when they make the library wrong.
func (r *reporting) report(cmd *cobra.Command, dir string, list []*message.Message) error {
	var err error
	switch r.format {
	case "json":
		err = message.WriteJSON(cmd.OutOrStdout(), list)
	case "sarif":
		err = message.WriteSARIF(cmd.OutOrStdout(), list, version())
	default:
		err = reportText(cmd.ErrOrStderr(), dir, list)
	}
	if err != nil {
		return fmt.Errorf("the messages could not be written: %w", err)
	}
	if r.fails(list) {
		return errWrong
	}
	return nil
}

func (r *reporting) fails(list []*message.Message) bool {
	return message.HasErrors(list) || slices.ContainsFunc(list, func(m *message.Message) bool {
		if m.Code == overdueCode {
			return r.overdue
		}
		return r.strict
	})
}

func reportText(w io.Writer, dir string, list []*message.Message) error {
	if len(list) == 0 {
		return nil
	}
	list = message.Gather(list)
	options := message.TextOptions{}
	if dir != "." {
		options.Folder = dir
	}
	if f, width, ok := terminal(w); ok {
		options.Width = width
		options.Colour = os.Getenv("NO_COLOR") == "" && os.Getenv("TERM") != "dumb" && f != nil
	}
	if err := message.WriteText(w, list, options); err != nil {
		return err
	}
	errors := 0
	for _, m := range list {
		if m.IsError() {
			errors++
		}
	}
	_, err := fmt.Fprintf(w, "\n%s, %s\n", count(errors, "error"), count(len(list)-errors, "warning"))
	return err
}

// count says "1 error", "2 errors".
func count(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}

// terminal tells whether a writer is a terminal, and how wide.
func terminal(w io.Writer) (f *os.File, width int, ok bool) {
	f, ok = w.(*os.File)
	if !ok || !term.IsTerminal(int(f.Fd())) {
		return nil, 0, false
	}
	width, _, err := term.GetSize(int(f.Fd()))
	if err != nil {
		width = 0
	}
	return f, width, true
}
