package main

import (
	"cmp"
	"errors"
	"fmt"
	"os"
	"slices"
	"strconv"
	"strings"

	"github.com/spf13/cobra"
	"github.com/spf13/pflag"

	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/compiler/uses"
	"benchproof/dsl/message"
)

// located is where a command that takes any number of names finds its library: in
// the folder that is its last name, like every command, or in the one that --in
// tells, for scripts that do not know what a name may be.
type located struct {
	in string
	// files is set where the names are files: then a name with a slash in it is no
	// folder because of that.
	files bool
}

func (l *located) flag(f *pflag.FlagSet) {
	f.StringVar(&l.in, "in", "", "the library's `folder`; every name is then a name")
}

// split parts a command line into names and the library's folder.
func (l *located) split(cmd *cobra.Command, args []string) (names []string, dir string) {
	if cmd.Flags().Changed("in") {
		return args, l.in
	}
	n := len(args)
	if n == 0 {
		return nil, "."
	}
	last := args[n-1]
	info, err := os.Stat(last)
	if err == nil && info.IsDir() || !l.files && strings.ContainsAny(last, `/\`) {
		return args[:n-1], last
	}
	return args, "."
}

// taken says, where a command line has no names, that the only one was taken for a
// folder.
func (l *located) taken(args []string, dir string) string {
	if len(args) == 1 && args[0] == dir {
		return fmt.Sprintf("; %s is taken for the library's folder, and --in says otherwise", dir)
	}
	return ""
}

// speaking is in which language a list is written.
type speaking struct{ language string }

func (s *speaking) flag(f *pflag.FlagSet) {
	f.StringVar(&s.language, "language", "", "use this `language`, of a translation of the library")
}

func (s *speaking) valid() error {
	if s.language != "" && (!document.Speaks(s.language) || strings.Contains(s.language, "-")) {
		return fmt.Errorf("--language %s: expected one of %s", s.language, strings.Join(document.Languages(), ", "))
	}
	return nil
}

// in gives a library that says its texts in the language asked for, and the fixed
// words beside them; where none is asked for, those of the library's own.
func (s *speaking) in(cmd *cobra.Command, r *compiler.Result) (*compiler.Result, *document.Words, error) {
	if s.language == "" {
		return r, document.WordsOf(r.Library.Language), nil
	}
	said, err := r.In(cmd.Context(), s.language)
	if err != nil {
		return nil, nil, fmt.Errorf("--language %s: %w", s.language, err)
	}
	return said, document.WordsOf(s.language), nil
}

// jobOptions say which jobs a list is for.
type jobOptions struct {
	located
	speaking
	members []string
	format  string
}

func (o *jobOptions) flags(f *pflag.FlagSet, formats string) {
	o.located.flag(f)
	o.speaking.flag(f)
	f.StringSliceVar(&o.members, "for", nil, "for machines that are these `variant=member`, a list")
	f.StringVar(&o.format, "format", "text", "the list as `text`, "+formats)
}

// A picking is what some jobs take, and what it is told with.
type picking struct {
	*uses.List
	result *compiler.Result // says its texts in the language asked for
	words  *document.Words
	// source is the library in the language of its sources, which names are found in.
	source *library.Library
}

// pickJobs works out what some jobs of the library in a folder take; of none
// named, all that apply. A job that is wrong, or reaches what is, is refused by
// name.
func pickJobs(cmd *cobra.Command, names []string, dir string, o *jobOptions) (*picking, error) {
	if err := o.speaking.valid(); err != nil {
		return nil, err
	}
	source, err := checkFolder(cmd.Context(), dir)
	if err != nil {
		return nil, err
	}
	result, words, err := o.speaking.in(cmd, source)
	if err != nil {
		return nil, err
	}
	members, err := chosenMembers(result, o.members)
	if err != nil {
		return nil, err
	}
	var jobs []uses.Job
	for _, name := range names {
		job, err := jobOf(source.Library, name)
		if err != nil {
			return nil, lostName(err, source)
		}
		jobs = append(jobs, job)
	}
	if len(names) == 0 {
		for i, p := range source.Library.Procedures {
			if result.Applies(i, members) && result.Speaks(i) {
				jobs = append(jobs, uses.Job{Procedure: p, Times: 1})
			}
		}
	}
	faults := source.Faults()
	var wrong []string
	var found []*message.Message
	for k, job := range jobs {
		i := slices.Index(source.Library.Procedures, job.Procedure)
		if len(faults[i]) > 0 {
			if name := job.Procedure.Name; !slices.Contains(wrong, name) {
				wrong = append(wrong, name)
			}
			found = append(found, faults[i]...)
		}
		if !result.Speaks(i) {
			return nil, fmt.Errorf("--language %s: no text of %s is translated", o.language, job.Procedure.Name)
		}
		jobs[k].Procedure = result.Library.Procedures[i]
	}
	if len(wrong) > 0 {
		return nil, refuse(cmd, dir, found, "no list is made: "+strings.Join(wrong, ", ")+" "+areWrong(len(wrong)))
	}
	picked, messages, err := uses.Pick(result, jobs, members)
	if err != nil {
		return nil, err
	}
	if len(messages) > 0 {
		return nil, refuse(cmd, dir, messages, "")
	}
	return &picking{picked, result, words, source.Library}, nil
}

func areWrong(n int) string {
	if n == 1 {
		return "has an error or reaches one"
	}
	return "have errors or reach some"
}

// refuse reports messages and why nothing came of it.
func refuse(cmd *cobra.Command, dir string, list []*message.Message, why string) error {
	if err := reportText(cmd.ErrOrStderr(), dir, message.Sort(list)); err != nil {
		return err
	}
	if why != "" {
		fmt.Fprintln(cmd.ErrOrStderr(), why)
	}
	return errWrong
}

// lostName adds to what is said of an unknown name that the library has errors:
// what they have cost cannot be named.
func lostName(err error, r *compiler.Result) error {
	if r.Sound() {
		return err
	}
	return fmt.Errorf("%w; the library has errors, and what could not be read has no name", err)
}

// mostTimes bounds how often a job is asked for.
const mostTimes = 10_000

func jobOf(lib *library.Library, arg string) (uses.Job, error) {
	name, times := arg, 1
	if before, after, ok := strings.Cut(arg, "="); ok {
		n, err := strconv.Atoi(after)
		if err != nil || n < 1 || n > mostTimes {
			return uses.Job{}, fmt.Errorf("%s: expected NAME=TIMES with a whole number from 1 to %d", arg, mostTimes)
		}
		name, times = before, n
	}
	found, near := uses.Find(lib, name)
	for _, s := range found {
		if p, ok := s.(*library.Procedure); ok {
			return uses.Job{Procedure: p, Times: times}, nil
		}
	}
	if len(found) > 0 {
		return uses.Job{}, fmt.Errorf("%s is a %s; name a procedure", name, found[0].Sort())
	}
	return uses.Job{}, unknownName(name, near)
}

// chosenMembers reads a list of variant=member.
func chosenMembers(result *compiler.Result, pairs []string) (out []*library.Member, err error) {
	for _, pair := range pairs {
		variant, member, ok := strings.Cut(pair, "=")
		if !ok || variant == "" || member == "" {
			return nil, fmt.Errorf("--for %s: expected VARIANT=MEMBER, for example size=s32", pair)
		}
		m, err := result.Member(variant, member)
		if err != nil {
			return nil, fmt.Errorf("--for %s: %w", pair, err)
		}
		if slices.Contains(out, m) {
			continue
		}
		out = append(out, m)
	}
	// Equal members, equal documents: in whichever order they are asked for.
	slices.SortStableFunc(out, func(a, b *library.Member) int {
		return cmp.Or(slices.Index(result.Library.Variants, a.Variant)-slices.Index(result.Library.Variants, b.Variant), a.Index-b.Index)
	})
	return out, nil
}

// errNoJobs asks for names.
func errNoJobs(cmd *cobra.Command, l *located, args []string, dir string) error {
	return errors.New("name the jobs: " + cmd.CommandPath() + " NAME... [DIR]" + l.taken(args, dir))
}
