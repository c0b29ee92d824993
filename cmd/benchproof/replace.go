package main

import (
	"context"
	"errors"
	"fmt"
	"slices"
	"strings"

	"github.com/spf13/cobra"

	"benchproof/compiler"
	"benchproof/compiler/library"
	"benchproof/compiler/release"
	"benchproof/compiler/uses"
	layout "benchproof/dsl/format"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

func newReplace() *cobra.Command {
	var write, anyway, finish bool
	cmd := &cobra.Command{
		Use:   "replace OLD with NEW [DIR]",
		Short: "Put one tool, part or consumable in another's place, in all sources",
		Long: `Replace shows, and with --write makes, the edits that put the thing NEW in the
place of OLD in every source of the library in DIR (the current folder where none
is named): in actions, mentions, boxes, tables, trials and other declarations. Both
are declared already, and of one sort; each is named by its name or its number. OLD
stays declared and says that it is replaced by NEW. Everything else in the files
stays, byte for byte.

The library is checked as it would be. Where that finds an error nothing is written
(exit status 1), unless --anyway is given, too. All files are written or none.
Where the program was killed while it wrote them, no command works with the library
until the rest is written: replace --finish [DIR] does it, and so does the next
replace --write or release.

Below the edits stand the documents that change by them, those released that need
a new revision among them, and the texts that still
say the title or number of OLD, which only a person can mend.`,
		Example: "  benchproof replace seal-hook with seal-puller my-library\n  benchproof replace T-1061 with T-1062 --write",
		Args: func(cmd *cobra.Command, args []string) error {
			if finish {
				if write || anyway {
					return errors.New("--finish: expected no other option beside it")
				}
				return atMostOneFolder(cmd, args)
			}
			if len(args) < 3 || len(args) > 4 || args[1] != "with" {
				return fmt.Errorf("say what is replaced with what: %s OLD with NEW [DIR]", cmd.CommandPath())
			}
			if anyway && !write {
				return errors.New("--anyway: expected --write beside it")
			}
			return nil
		},
		RunE: func(cmd *cobra.Command, args []string) error {
			if finish {
				dir := folder(args)
				if !unfinished(dir) {
					if _, err := openFolder(dir); err != nil {
						return err
					}
					_, err := fmt.Fprintln(cmd.OutOrStdout(), "No change was interrupted; nothing is to finish.")
					return err
				}
				return finishChange(cmd.OutOrStdout(), dir)
			}
			return replaceThing(cmd, args[0], args[2], folder(args[3:]), write, anyway)
		},
	}
	cmd.Flags().BoolVar(&write, "write", false, "make the edits")
	cmd.Flags().BoolVar(&finish, "finish", false, "complete a change that was interrupted")
	cmd.Flags().BoolVar(&anyway, "anyway", false, "with --write: make them though the library would be wrong")
	return cmd
}

func replaceThing(cmd *cobra.Command, oldName, newName, dir string, write, anyway bool) error {
	if write {
		if err := finishChange(cmd.ErrOrStderr(), dir); err != nil {
			return err
		}
	}
	before, err := checkFolder(cmd.Context(), dir)
	if err != nil {
		return err
	}
	for _, f := range before.Library.Files {
		// What could not be read may name the thing as well.
		if len(f.Messages) > 0 {
			if err := reportText(cmd.ErrOrStderr(), dir, before.Messages); err != nil {
				return err
			}
			return errWrong
		}
	}
	old, err := findThing(before.Library, oldName)
	if err != nil {
		return err
	}
	by, err := findThing(before.Library, newName)
	if err != nil {
		return err
	}
	change, err := uses.Replace(before.Library, old, by)
	if err != nil {
		return err
	}
	s := newSheet(cmd.OutOrStdout())
	if len(change.Edits) == 0 {
		s.line("", 0, "Nothing names "+old.Declared().Name+" any more; nothing is to change.")
		return s.writeTo(cmd.OutOrStdout())
	}
	after, err := checkChanged(cmd.Context(), before, change)
	if err != nil {
		return err
	}
	showEdits(s, change)
	s.line("", 0, fmt.Sprintf("%s in %s.", count(len(change.Edits), "edit"), count(len(change.Files()), "file")))
	showChanged(s, before, after)
	showLeft(s, change)
	if err := s.writeTo(cmd.OutOrStdout()); err != nil {
		return err
	}
	added := newMessages(before, after)
	if err := reportText(cmd.ErrOrStderr(), dir, added); err != nil {
		return err
	}
	if !sound(after) && !(write && anyway) {
		if !message.HasErrors(added) {
			// It was wrong before, and still is.
			if err := reportText(cmd.ErrOrStderr(), dir, after.Messages); err != nil {
				return err
			}
		}
		fmt.Fprintln(cmd.ErrOrStderr(), "the library would be wrong, so nothing is written")
		return errWrong
	}
	if !write {
		_, err := fmt.Fprintln(cmd.OutOrStdout(), "Nothing is written yet; --write does it.")
		return err
	}
	if err := writeChange(dir, change); err != nil {
		return err
	}
	fmt.Fprintf(cmd.OutOrStdout(), "%s written.\n", count(len(change.Files()), "file"))
	if untidy := untidied(change); len(untidy) > 0 {
		fmt.Fprintf(cmd.OutOrStdout(), "The columns have moved in %s: benchproof format lays it out anew.\n", strings.Join(untidy, ", "))
	}
	if !sound(after) {
		return errWrong
	}
	return nil
}

// changedRelease is the code of a procedure that is no longer what was released:
// that is what a replacement does to it, and is listed beside the edits.
const changedRelease = "BP011"

// sound tells whether nothing is wrong but that released procedures have changed.
func sound(r *compiler.Result) bool {
	for _, m := range r.Messages {
		if m.IsError() && m.Code != changedRelease {
			return false
		}
	}
	return true
}

func findThing(lib *library.Library, name string) (library.Thing, error) {
	found, near := uses.Find(lib, name)
	switch len(found) {
	case 0:
		return nil, unknownName(name, near)
	case 1:
	default:
		var names []string
		for _, s := range found {
			names = append(names, s.Declared().Name)
		}
		return nil, fmt.Errorf("%s stands for several: name %s", name, strings.Join(names, " or "))
	}
	t, ok := found[0].(library.Thing)
	if !ok {
		return nil, fmt.Errorf("%s is a %s: tools, parts and consumables are replaced", name, found[0].Sort())
	}
	return t, nil
}

// checkChanged checks the library as it would be.
func checkChanged(ctx context.Context, before *compiler.Result, change *uses.Change) (*compiler.Result, error) {
	with := *before.Sources
	with.Files = slices.Clone(with.Files)
	changed := change.Files()
	for i, f := range with.Files {
		if slices.Contains(changed, f) {
			loaded, ms := syntax.Load([]byte(change.Apply(f)), f.Path)
			with.Files[i] = loaded
			with.Messages = append(slices.Clone(with.Messages), ms...)
		}
	}
	return compiler.Check(ctx, &with)
}

// showEdits shows the lines that change, as a person compares them.
func showEdits(s *sheet, change *uses.Change) {
	const context = 1
	for _, f := range change.Files() {
		s.line(inBold, 0, f.Path)
		last := 0 // the last line shown
		edits := slices.DeleteFunc(slices.Clone(change.Edits), func(e uses.Edit) bool { return e.Span.File != f })
		for i := 0; i < len(edits); {
			from, _ := f.Position(edits[i].Span.Start)
			to, _ := f.Position(edits[i].Span.End)
			n := i + 1
			for n < len(edits) {
				start, _ := f.Position(edits[n].Span.Start)
				if start > to {
					break
				}
				to, _ = f.Position(edits[n].Span.End)
				n++
			}
			if last > 0 && from-context > last+1 {
				s.line(inGrey, 0, "      …")
			}
			for k := max(from-context, last+1, 1); k < from; k++ {
				s.source(f, k)
			}
			_, start := f.Line(from)
			text, end := f.Line(to)
			end += len(text)
			var b strings.Builder
			at := start
			for _, e := range edits[i:n] {
				b.WriteString(f.Text[at:e.Span.Start])
				b.WriteString(e.Text)
				at = e.Span.End
			}
			b.WriteString(f.Text[at:end])
			for k := from; k <= to; k++ {
				text, _ := f.Line(k)
				s.line(inRed, 8, fmt.Sprintf("%5d - %s", k, text))
			}
			for _, text := range strings.Split(strings.ReplaceAll(b.String(), "\r", ""), "\n") {
				s.line(inGreen, 8, fmt.Sprintf("%5s + %s", "", text))
			}
			last = to
			next := f.Lines() + 1
			if n < len(edits) {
				next, _ = f.Position(edits[n].Span.Start)
			}
			for k := to + 1; k <= to+context && k < next && k <= f.Lines(); k++ {
				s.source(f, k)
				last = k
			}
			i = n
		}
		s.blank()
	}
}

func (s *sheet) source(f *source.File, line int) {
	if text, _ := f.Line(line); text != "" {
		s.line(inGrey, 8, fmt.Sprintf("%5d   %s", line, text))
	}
}

// showChanged names the documents that are no longer what they were.
func showChanged(s *sheet, before, after *compiler.Result) {
	if !sound(before) || !sound(after) {
		return
	}
	old := map[string]string{}
	for i, p := range before.Library.Procedures {
		if doc, _, ms := before.Places(i, nil); len(ms) == 0 {
			old[p.Name] = doc.Fingerprint
		}
	}
	var rows [][]string
	for i, p := range after.Library.Procedures {
		if doc, _, ms := after.Places(i, nil); len(ms) == 0 && old[p.Name] != doc.Fingerprint {
			revision := ""
			if len(p.Revisions) > 0 {
				revision = "revision " + p.Revisions[0].Name
			}
			if st := release.StandingOf(after.Library, p); st.Released != nil && st.Withdrawn == nil && !release.Take(after.Library, p, after.Image).Same(st.Released) {
				revision += ": released, needs a new revision"
			}
			rows = append(rows, []string{p.Document, p.Name, revision})
		}
	}
	if len(rows) == 0 {
		s.line("", 0, "No document changes.")
		return
	}
	s.line("", 0, "Documents that change:")
	s.table(2, rows)
}

func showLeft(s *sheet, change *uses.Change) {
	if len(change.Left) == 0 {
		return
	}
	s.line("", 0, "Left as they are; they still speak of "+change.Old.Declared().Name+" or its number:")
	var rows [][]string
	for _, at := range change.Left {
		rows = append(rows, []string{lineOf(at), at.Text()})
	}
	s.table(2, rows)
}

// newMessages gives what is found after a change and was not before.
func newMessages(before, after *compiler.Result) (out []*message.Message) {
	key := func(m *message.Message) string {
		file := ""
		if m.Span.File != nil {
			file = m.Span.File.Path
		}
		return string(m.Code) + "\x00" + file + "\x00" + m.Text
	}
	known := map[string]int{}
	for _, m := range before.Messages {
		known[key(m)]++
	}
	for _, m := range after.Messages {
		if m.Code == changedRelease {
			continue // told with the documents that change
		}
		if known[key(m)]--; known[key(m)] < 0 {
			out = append(out, m)
		}
	}
	return out
}

// untidied names the files that were laid out canonically and no longer are.
func untidied(change *uses.Change) (out []string) {
	tidy := func(f *source.File) bool {
		tree := syntax.Parse(f)
		return len(tree.Messages) == 0 && layout.Source(tree) == f.Text
	}
	for _, f := range change.Files() {
		if tidy(f) && !tidy(source.NewFile(f.Path, change.Apply(f))) {
			out = append(out, f.Path)
		}
	}
	return out
}

// writeChange writes all files of a change, or none. A file that is no longer
// what was read is left alone, and so are all others.
func writeChange(dir string, change *uses.Change) error {
	var files []rewritten
	for _, f := range change.Files() {
		path, err := ownFile(dir, f.Path)
		if err != nil {
			return err
		}
		old, err := readWhole(path, syntax.MaxSize)
		if err != nil {
			return err
		}
		if f.Mark > len(old) || string(old[f.Mark:]) != f.Text {
			return fmt.Errorf("%s was changed meanwhile; nothing is written", f.Path)
		}
		files = append(files, rewritten{name: f.Path, old: old, new: append(slices.Clone(old[:f.Mark]), change.Apply(f)...)})
	}
	if err := rewriteAll(dir, files); err != nil {
		return fmt.Errorf("nothing is written: %w", err)
	}
	return nil
}
