package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"time"
	"unicode"

	"github.com/spf13/cobra"

	"benchproof/compiler"
	"benchproof/compiler/library"
	"benchproof/compiler/release"
	layout "benchproof/dsl/format"
	"benchproof/dsl/message"
	"benchproof/dsl/syntax"
)

// releasesFile is where the first release of a library is written.
const releasesFile = "releases" + compiler.Suffix

// releasing are the options of release.
type releasing struct {
	located
	by, on, reason string
	all, withdraw  bool
}

func newRelease() *cobra.Command {
	var o releasing
	cmd := &cobra.Command{
		Use:   "release NAME... [DIR]",
		Short: "Release the newest revision of procedures, or withdraw it",
		Long: `Release writes into the sources who has released the newest revision of a
procedure, on which day and over what: a fingerprint, and a mark for each step and
for everything that the documents are made of, what procedures share included.
White space, comments and the files things stand in make no difference.

From then on check refuses a procedure that is not what was released, and says what
has changed: a new revision is added, and released when it is right. The
release of the one before stays, and its documents' change bars come from it.

A revision is released after a clean check only: an error refuses it, and so does
a warning, which is mended or allowed with its reason. That another procedure is
not what was released does not matter. A revision is released once.

With --withdraw the newest revision is withdrawn: its documents are built with
WITHDRAWN on every page and nothing to tick. That needs no clean check, since it may
have to be done at once.

The statement goes where the releases of the procedure stand, else behind those of
others, else into ` + releasesFile + `. The last name may be the library's folder
(the current one where none is named); --in says the folder where every name is a
procedure.`,
		Example: `  benchproof release seal-change --by "Ada Marsh" my-library
  benchproof release --all --by "Ada Marsh" --on 2026-10-05
  benchproof release seal-change --withdraw --by "Ada Marsh" --reason "Torque under review."`,
		RunE: func(cmd *cobra.Command, args []string) error {
			names, dir := o.split(cmd, args)
			if err := o.valid(names); err != nil {
				return err
			}
			return o.run(cmd, names, dir)
		},
	}
	f := cmd.Flags()
	o.located.flag(f)
	f.StringVar(&o.by, "by", "", "the `person` who releases or withdraws")
	f.StringVar(&o.on, "on", "", "the `day`, such as 2026-10-05; today where none is given")
	f.BoolVar(&o.all, "all", false, "every procedure whose newest revision is neither released nor withdrawn")
	f.BoolVar(&o.withdraw, "withdraw", false, "withdraw instead")
	f.StringVar(&o.reason, "reason", "", "with --withdraw: why nobody may work from it, a `text`")
	return cmd
}

func (o *releasing) valid(names []string) error {
	switch {
	case len(names) == 0 && !o.all:
		return errors.New("expected the name of a procedure, or --all")
	case len(names) > 0 && o.all:
		return errors.New("--all: name no procedure beside it")
	case o.all && o.withdraw:
		return errors.New("--withdraw: name the procedures; --all is for releases")
	case o.reason != "" && !o.withdraw:
		return errors.New("--reason: expected --withdraw beside it")
	}
	var err error
	if o.by, err = written("--by", o.by, `the name of a person, such as --by "Ada Marsh"`); err != nil {
		return err
	}
	if o.withdraw {
		if o.reason, err = written("--reason", o.reason, `why, such as --reason "Torque under review."`); err != nil {
			return err
		}
	}
	if o.on == "" {
		o.on = time.Now().Format(time.DateOnly)
	}
	if _, err := time.Parse(time.DateOnly, o.on); err != nil {
		return fmt.Errorf("--on %s: expected a day of the calendar, such as 2026-10-05", o.on)
	}
	return nil
}

// written takes a text of the command line that goes into a source.
func written(flag, text, example string) (string, error) {
	text = strings.TrimSpace(text)
	switch {
	case text == "":
		return "", fmt.Errorf("%s: expected %s", flag, example)
	case strings.ContainsFunc(text, unicode.IsControl), !strings.HasPrefix(strings.ToValidUTF8(text, "\x00"), text), len(text) > 500:
		return "", fmt.Errorf("%s: expected one line of at most 500 letters", flag)
	}
	return text, nil
}

func (o *releasing) run(cmd *cobra.Command, names []string, dir string) error {
	if err := finishChange(cmd.ErrOrStderr(), dir); err != nil {
		return err
	}
	m, err := openMemory(dir, remembering{noCache: true})
	if err != nil {
		return err
	}
	defer m.close()
	sources, err := m.read(dir)
	if err != nil {
		return err
	}
	result, err := o.look(cmd.Context(), m, sources)
	if err != nil {
		return err
	}
	procedures, err := o.chosen(result.Library, names)
	if err != nil {
		return err
	}
	if len(procedures) == 0 {
		_, err := fmt.Fprintln(cmd.OutOrStdout(), "nothing to release: every newest revision is released or withdrawn")
		return err
	}
	if !o.withdraw {
		if list := against(result, procedures); len(list) > 0 {
			if err := reportText(cmd.ErrOrStderr(), dir, list); err != nil {
				return err
			}
			return errWrong
		}
	}
	texts := map[string]string{}
	for _, p := range procedures {
		if day := p.Revisions[0].Date; o.on < day {
			return fmt.Errorf("%s: revision %s is of %s, so it cannot be of an earlier day, %s", p.Name, p.Revisions[0].Name, day, o.on)
		}
		if s := release.StandingOf(result.Library, p); s.Released != nil && o.on < s.Released.Date {
			return fmt.Errorf("%s: revision %s was released on %s, so it cannot be withdrawn on an earlier day, %s", p.Name, p.Revisions[0].Name, s.Released.Date, o.on)
		}
		text := ""
		if o.withdraw {
			text = release.Withdrawal(p, o.by, o.on, o.reason)
		} else {
			text = release.Statement(p, release.Take(result.Library, p, result.Image), o.by, o.on)
		}
		file := placeFor(result.Library, p)
		texts[file] += "\n" + text
	}
	if err := m.fsys.unchanged(); err != nil {
		return err
	}
	if err := writeStatements(dir, sources, texts); err != nil {
		return err
	}
	did := "released"
	if o.withdraw {
		did = "withdrawn"
	}
	for _, p := range procedures {
		fmt.Fprintf(cmd.OutOrStdout(), "%s %s %s, written to %s\n", p.Name, p.Revisions[0].Name, did, placeFor(result.Library, p))
	}
	return nil
}

// look finds what has to be known: everything for a release; what is declared,
// for a withdrawal.
func (o *releasing) look(ctx context.Context, m *memory, sources *compiler.Sources) (*compiler.Result, error) {
	if !o.withdraw {
		return m.checkSources(ctx, sources)
	}
	lib, err := compiler.Outline(ctx, sources)
	if err != nil {
		return nil, err
	}
	return &compiler.Result{Sources: sources, Library: lib}, nil
}

// chosen finds the procedures that are to be released or withdrawn.
func (o *releasing) chosen(lib *library.Library, names []string) (list []*library.Procedure, err error) {
	if o.all {
		for _, p := range lib.Procedures {
			if s := release.StandingOf(lib, p); s.Released == nil && s.Withdrawn == nil && len(p.Revisions) > 0 {
				list = append(list, p)
			}
		}
		return list, nil
	}
	for _, name := range names {
		i := slices.IndexFunc(lib.Procedures, func(p *library.Procedure) bool { return p.Name == name })
		if i < 0 {
			var all []string
			for _, p := range lib.Procedures {
				all = append(all, p.Name)
			}
			if near := message.Nearest(name, all); len(near) > 0 {
				return nil, fmt.Errorf("no procedure is called %s; did you mean %s?", name, near[0])
			}
			return nil, fmt.Errorf("no procedure is called %s", name)
		}
		p := lib.Procedures[i]
		if slices.Contains(list, p) {
			continue
		}
		if len(p.Revisions) == 0 {
			return nil, fmt.Errorf("%s states no revision: add one, such as revision A on %s \"First issue.\"", name, o.on)
		}
		s, revision := release.StandingOf(lib, p), p.Revisions[0].Name
		switch {
		case s.Withdrawn != nil:
			return nil, fmt.Errorf("revision %s of %s was withdrawn by %s on %s: add a revision", revision, name, s.Withdrawn.By, s.Withdrawn.Date)
		case s.Released != nil && !o.withdraw:
			return nil, fmt.Errorf("revision %s of %s was released by %s on %s: add a revision to release it anew", revision, name, s.Released.By, s.Released.Date)
		}
		list = append(list, p)
	}
	return list, nil
}

// against gives the messages that stand against a release: all but those that
// another procedure is not what was released.
func against(result *compiler.Result, procedures []*library.Procedure) (list []*message.Message) {
	for _, m := range result.Messages {
		other := m.Code == "BP011" && !slices.ContainsFunc(procedures, func(p *library.Procedure) bool {
			return m.Span.File == p.Whole.File && m.Span.Start >= p.Whole.Start && m.Span.End <= p.Whole.End
		})
		if !other {
			list = append(list, m)
		}
	}
	return list
}

// placeFor gives the file that a statement on a procedure goes into.
func placeFor(lib *library.Library, p *library.Procedure) string {
	place := ""
	for _, r := range lib.Releases {
		if r.Of == p {
			place = r.Whole.File.Path
		}
	}
	if place == "" && len(lib.Releases) > 0 {
		place = lib.Releases[len(lib.Releases)-1].Whole.File.Path
	}
	if place == "" {
		place = releasesFile
	}
	return place
}

// writeStatements adds texts to source files, to all of them or to none. A file that is laid out as it
// should be stays so; of another, what stands there is left as it is.
func writeStatements(dir string, sources *compiler.Sources, texts map[string]string) error {
	names := make([]string, 0, len(texts))
	for name := range texts {
		names = append(names, name)
	}
	slices.Sort(names)
	var files []rewritten
	for _, name := range names {
		path, err := ownFile(dir, name)
		if err != nil {
			return err
		}
		added := canonical(name, strings.TrimPrefix(texts[name], "\n"))
		old, err := readWhole(path, syntax.MaxSize)
		if errors.Is(err, fs.ErrNotExist) {
			files = append(files, rewritten{name: name, new: []byte(added), made: true})
			continue
		} else if err != nil {
			return err
		}
		text := string(old)
		ends := "\n"
		if strings.Contains(text, "\r\n") {
			ends = "\r\n"
		}
		if text != "" && !strings.HasSuffix(text, "\n") {
			text += ends
		}
		if strings.TrimSpace(text) != "" {
			added = "\n" + added
		}
		files = append(files, rewritten{name: name, old: old, new: []byte(text + strings.ReplaceAll(added, "\n", ends))})
	}
	if err := rewriteAll(dir, files); err != nil {
		return fmt.Errorf("nothing is written: %w", err)
	}
	return nil
}

// canonical lays statements out.
func canonical(name, text string) string {
	f, _ := syntax.Load([]byte(text), name)
	return layout.Source(syntax.Parse(f))
}
