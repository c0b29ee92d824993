package main

import (
	"fmt"
	"os"
	"path/filepath"
	"runtime/debug"
	"slices"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/dsl/message"
	"benchproof/render/pdf"
)

// buildOptions are what documents are made with.
type buildOptions struct {
	reporting
	remembering
	dating
	out     string
	to      []string
	members []string // variant=member
	// languages to make documents in; none: that of the sources.
	languages []string
	each      bool // a document for each machine
	paper     string
	draft     bool
	// released: only what somebody has released.
	released bool
	only     string // one procedure, or the index
	depfile  string
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
	for _, language := range o.languages {
		if !document.Speaks(language) || strings.Contains(language, "-") {
			return fmt.Errorf("--language %s: expected one or more of %s", language, strings.Join(document.Languages(), ", "))
		}
	}
	switch {
	case o.only != "" && o.draft:
		return fmt.Errorf("--only and --draft: a draft shows what is wrong with the whole library, so it is made of all of it")
	case o.released && o.draft:
		return fmt.Errorf("--released and --draft: a draft is never released")
	case o.depfile != "" && o.only == "":
		return fmt.Errorf("--depfile: expected --only NAME beside it")
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
values: --for size=s32 writes NAME.s32.html. Several members may be asked for, of
one family or of several; a procedure that is for none of them gets no document.

With --each, there is a document for each machine that a procedure is for, with
that machine's values alone: NAME.s32.m132.html for each combination of members of
the families that it differs by, NAME.html where it differs by none. --for leaves
only the members named. One index lists all.

Each document says on every page whether its revision is released, and by whom
(benchproof release). With --released, only the documents of released revisions are
made; one that is withdrawn is not among them, else it is made as WITHDRAWN.

With --language, documents are made in these languages: --language de writes
NAME.de.html and index.de.html of the procedures that translations/de.po has words
for, and refuses where it has not all of them.

With --only, the documents of one procedure are made, of the files that can affect
them and of no others: what is wrong elsewhere does not matter, and a folder that
holds no more than these files gives the same bytes. --depfile names them in the
form that make and ninja read. --only index.html makes the page that lists the
documents.

What a build finds and makes is kept in the user's cache folder ($` + cacheVariable + `
names another), and the next one does only what a change asks for.

With --draft, documents are made in spite of errors, to be read and not to be
worked from: NOT FOR WORK stands on every page, and there is nothing to tick.`,
		Example: "  benchproof build my-library --out documents\n  benchproof build my-library --to pdf --paper letter --for size=s32\n  benchproof build my-library --draft",
		Args:    atMostOneFolder,
		RunE: func(cmd *cobra.Command, args []string) error {
			if err := o.valid(); err != nil {
				return err
			}
			day, err := o.day()
			if err != nil {
				return err
			}
			dir := folder(args)
			m, err := openMemory(dir, o.remembering)
			if err != nil {
				return err
			}
			defer m.close()
			m.date = day
			made, procedures, err := buildFolder(cmd, m, dir, &o)
			if err != nil {
				return err
			}
			if o.counts {
				m.say(cmd.ErrOrStderr(), procedures)
			}
			if _, _, ok := terminal(cmd.OutOrStdout()); ok && o.format == "text" && o.only == "" {
				fmt.Fprintf(cmd.OutOrStdout(), "%s in %s; open %s\n", count(made.documents, "document"), o.out, filepath.Join(o.out, indexName))
			}
			return made.verdict
		},
	}
	f := cmd.Flags()
	f.StringVar(&o.out, "out", "out", "write the documents into this `folder`")
	f.StringSliceVar(&o.to, "to", formatNames(), "make these `formats`, a list")
	f.StringSliceVar(&o.members, "for", nil, "make documents for a `variant=member`, or for several of one or more families")
	f.BoolVar(&o.each, "each", false, "make a document for each machine: each combination of the members that a procedure is for")
	f.StringSliceVar(&o.languages, "language", nil, "make the documents in these `languages`, a list")
	f.BoolVar(&o.draft, "draft", false, "make documents in spite of errors, NOT FOR WORK on every page")
	f.BoolVar(&o.released, "released", false, "make the documents of released revisions only")
	f.StringVar(&o.only, "only", "", "make the documents of this `procedure` only, or index.html only")
	f.StringVar(&o.depfile, "depfile", "", "with --only: write into this `file` what the documents are made of, in the form of make")
	o.paperFlag(f)
	o.reporting.flags(f)
	o.remembering.flags(f)
	o.dating.flags(f, &o.reporting)
	return cmd
}

// made is what a build has made.
type made struct {
	documents int
	messages  []*message.Message
	unshown   []string
	files     []keptFile
	// verdict is errWrong for a draft of a library that is wrong.
	verdict error
}

// buildFolder builds a library, or does nothing where it is known that nothing
// has changed.
func buildFolder(cmd *cobra.Command, m *memory, dir string, o *buildOptions) (done made, procedures int, err error) {
	sources, err := m.read(dir)
	if err != nil {
		return made{}, 0, err
	}
	if o.only != "" {
		return buildOne(cmd, m, sources, dir, o)
	}
	key, asked := m.sourcesKey(), o.asked()+" judged on "+m.date
	if kept, known := m.recall(asked); known && !o.draft {
		done, used, err := rebuild(cmd, m, kept, sources, dir, o)
		if used || err != nil {
			return done, 0, err
		}
	}
	result, err := m.checkSources(cmd.Context(), sources)
	if err != nil {
		return made{}, 0, err
	}
	done, err = build(cmd, result, dir, o, m)
	if err == nil && done.verdict == nil && !o.draft {
		m.keep(key, sources, asked, &keptLibrary{Messages: keepMessages(done.messages), Unshown: done.unshown, Files: done.files, Documents: done.documents})
	}
	return done, len(result.Library.Procedures), err
}

// buildOne makes the documents of one procedure, or the index.
func buildOne(cmd *cobra.Command, m *memory, sources *compiler.Sources, dir string, o *buildOptions) (done made, procedures int, err error) {
	var result *compiler.Result
	if o.only == indexName {
		result, err = m.checkSources(cmd.Context(), sources)
	} else if result, _, err = m.checkOne(cmd.Context(), sources, o.only); err != nil {
		err = fmt.Errorf("--only: %w", err)
	}
	if err != nil {
		return made{}, 0, err
	}
	if done, err = build(cmd, result, dir, o, m); err != nil || o.depfile == "" {
		return done, 1, err
	}
	var from []string
	for _, f := range result.Sources.Files {
		from = append(from, f.Path)
	}
	from = append(from, m.fsys.others(sources)...)
	for i := range from {
		from[i] = filepath.Join(dir, filepath.FromSlash(from[i]))
	}
	var to []string
	for _, f := range done.files {
		to = append(to, filepath.Join(o.out, f.Name))
	}
	return done, 1, writeDepfile(o.depfile, to, from)
}

// asked gives the options that decide what is made, as a text.
func (o *buildOptions) asked() string {
	return fmt.Sprintf("for %q each %t to %q on %q released %v in %q", o.members, o.each, o.to, strings.ToLower(o.paper), o.released, o.languages)
}

// rebuild puts the documents of a library that has not changed where they
// belong. It is not used where it would have to say more than was said, or where
// documents are no longer kept.
func rebuild(cmd *cobra.Command, m *memory, kept *keptLibrary, sources *compiler.Sources, dir string, o *buildOptions) (done made, used bool, err error) {
	messages, ok := kept.messages(sources)
	if !ok || o.fails(messages) || o.strict && len(kept.Unshown) > 0 {
		return made{}, false, nil
	}
	var missing []fetched
	for _, k := range kept.Files {
		f, ok := m.fetch(k, o.out)
		if !ok {
			return made{}, false, nil
		}
		if !f.there {
			f.data = nil // not all at once
			missing = append(missing, f)
		}
	}
	m.counted.whole.Store(true)
	done = made{documents: kept.Documents}
	if len(missing) == 0 {
		return done, true, o.tell(cmd, dir, messages, kept.Unshown)
	}
	out, err := openOutput(o.out)
	if err != nil {
		return made{}, false, err
	}
	defer out.close()
	for _, f := range missing {
		data, ok := m.blob(f.keptFile)
		if !ok {
			m.counted.whole.Store(false)
			return made{}, false, nil
		}
		if err := out.write(f.Name, data); err != nil {
			return made{}, false, err
		}
		m.counted.written.Add(1)
	}
	if err := o.tell(cmd, dir, messages, kept.Unshown); err != nil {
		return made{}, false, err
	}
	if err := m.fsys.unchanged(); err != nil {
		return made{}, false, err
	}
	return done, true, out.commit()
}

// tell reports messages and what could not be shown as written.
func (o *buildOptions) tell(cmd *cobra.Command, dir string, messages []*message.Message, unshown []string) error {
	verdict := o.report(cmd, dir, messages)
	if verdict == nil && o.strict && len(unshown) > 0 {
		verdict = errWrong
	}
	for _, line := range unshown {
		fmt.Fprintf(cmd.ErrOrStderr(), "warning: %s\n", line)
	}
	return verdict
}

// build reports the messages and, where they allow it, writes the documents.
func build(cmd *cobra.Command, result *compiler.Result, dir string, o *buildOptions, m *memory) (made, error) {
	if o.fails(result.Messages) && !o.draft {
		// What is half written is not yet wrong.
		if err := m.fsys.unchanged(); err != nil {
			return made{}, err
		}
		return made{}, o.report(cmd, dir, result.Messages)
	}
	options := compiler.DocumentOptions{Draft: o.draft}
	members, err := chosenMembers(result, o.members)
	if err != nil {
		return made{}, err
	}
	options.For = members
	builders, err := o.builders(cmd, result, options, m)
	if err != nil {
		return made{}, err
	}
	out, err := openOutput(o.out)
	if err != nil {
		return made{}, err
	}
	defer out.close()
	result.Trials, result.Coverage = nil, nil // no document tells of them
	if os.Getenv("GOGC") == "" {
		// The whole library is looked through each time memory is collected, which
		// takes a fifth of the time of a large build where the heap only doubles.
		defer debug.SetGCPercent(debug.SetGCPercent(150))
	}
	var all made
	var messages []*message.Message
	for _, b := range builders {
		if err := b.render(cmd.Context(), out); err != nil {
			return made{}, err
		}
		messages = append(messages, b.messages...)
		all.documents += b.documents
		all.unshown = append(all.unshown, b.unshown...)
		all.files = append(all.files, b.files...)
	}
	// What a document makes an error of stands before the warning of the check.
	all.messages = message.Sort(append(messages, result.Messages...))
	verdict := o.tell(cmd, dir, all.messages, all.unshown)
	if verdict != nil && (!o.draft || verdict != errWrong) {
		return made{}, verdict
	}
	if err := cmd.Context().Err(); err != nil {
		return made{}, err
	}
	if err := m.fsys.unchanged(); err != nil {
		return made{}, err
	}
	m.counted.written.Add(int64(len(out.ready)))
	all.verdict = verdict
	return all, out.commit()
}

// builders gives one builder for each language that documents are asked for in.
func (o *buildOptions) builders(cmd *cobra.Command, result *compiler.Result, options compiler.DocumentOptions, m *memory) (list []*builder, err error) {
	languages := slices.Clone(o.languages)
	if len(languages) == 0 {
		languages = []string{result.Library.Language}
	}
	slices.Sort(languages)
	for _, language := range slices.Compact(languages) {
		b := &builder{formats: chosenFormats(o.to), options: options, paper: papers[strings.ToLower(o.paper)], stderr: cmd.ErrOrStderr(), memory: m, only: o.only, released: o.released, each: o.each}
		if b.result, err = result.In(cmd.Context(), language); err != nil {
			return nil, fmt.Errorf("--language %s: %w", language, err)
		}
		if b.result != result {
			b.language = language
			b.options.For = nil
			for _, x := range options.For {
				same, err := b.result.Member(x.Variant.Name, x.Name)
				if err != nil {
					return nil, err
				}
				b.options.For = append(b.options.For, same)
			}
		}
		if err := b.plan(); err != nil {
			return nil, err
		}
		list = append(list, b)
	}
	return list, nil
}
