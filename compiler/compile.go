// Package compiler turns the sources of a library into what technicians read.
//
// Input: a folder of source files. Output: the messages of everything that can
// be known to be wrong, sorted, and a document for each procedure. The passes
// stand in Check in their order: plain functions, tree in, side tables out. Each
// returns what it could make and its messages; a later pass works on what there
// is. Equal sources give equal messages and documents, however many processors
// work on them.
package compiler

import (
	"benchproof/compiler/crew"
	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/rules"
	"benchproof/compiler/trial"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
	"context"
	"fmt"
	"runtime/debug"
	"slices"
	"strings"
)

// A Result is all that is known of a library.
type Result struct {
	Sources *Sources
	Library *library.Library
	// Messages are sorted by file, place and code.
	Messages []*message.Message
	// Judged holds, for each procedure of Library.Procedures, what holds on its
	// paths; nil where it is too broken to be judged.
	Judged []*paths.Result
	// Trials and Coverage are empty where something else is wrong.
	Trials   []*trial.Outcome
	Coverage []*trial.Coverage
	// Clean tells, for each procedure, that it was judged and tried and that no
	// message came of it.
	Clean []bool
	// Known tells, for each procedure, that it was known to be clean before and
	// was not judged again: Judged, Trials and Coverage say nothing of it.
	Known []bool
	// translated is set where the library says its texts in another language.
	translated *translated
}

// Sound tells whether documents may be made: no message is an error.
func (r *Result) Sound() bool { return !message.HasErrors(r.Messages) }

// Check runs everything that can be known about a library, trials included.
// It stops early, with the error of the context, when that is done.
func Check(ctx context.Context, src *Sources) (*Result, error) {
	return CheckKnowing(ctx, src, nil)
}

// CheckKnowing is Check with a memory. When the declarations of a library hold
// together, known is asked once which procedures are known to be clean: they are
// not judged and not tried. It may answer so of a procedure whose Reach is that
// of one that was clean.
func CheckKnowing(ctx context.Context, src *Sources, known func(*library.Library) []bool) (*Result, error) {
	return check(ctx, src, known, nil, "")
}

// check is CheckKnowing that judges only the figures that it is told to, and the
// releases of one procedure only; all where it is told nothing.
func check(ctx context.Context, src *Sources, known func(*library.Library) []bool, figure func(*library.Library, *library.Figure) bool, only string) (*Result, error) {
	r, err := bind(ctx, src)
	if err != nil {
		return nil, err
	}
	lib := r.Library
	r.pass("declarations", lib.Place, func() []*message.Message { return rules.CheckLibrary(lib) })
	r.pass("calibration", lib.Place, func() []*message.Message { return rules.CheckCalibration(lib, lib.Procedures, src.Date) })
	if figure == nil && r.Sound() {
		r.pass("translations", lib.Place, func() []*message.Message { return checkTranslations(lib, src.Translations, src.loaded) })
	}
	r.pass("figures", lib.Place, func() []*message.Message {
		judged := *lib
		if figure != nil {
			judged.Figures = nil
			for _, f := range lib.Figures {
				if figure(lib, f) {
					judged.Figures = append(judged.Figures, f)
				}
			}
		}
		return rules.CheckFigures(&judged, src.FS)
	})

	r.pass("releases", lib.Place, func() []*message.Message { return rules.CheckReleases(lib, r.Image, only) })

	// The library becomes paths, and rules look at both.
	r.Judged = make([]*paths.Result, len(lib.Procedures))
	r.Clean = make([]bool, len(lib.Procedures))
	r.Known = make([]bool, len(lib.Procedures))
	if known != nil && r.Sound() {
		copy(r.Known, known(lib))
	}
	if err := r.parallel(ctx, "paths", len(lib.Procedures), func(i int) ([]*message.Message, source.Span) {
		p := lib.Procedures[i]
		if p.Broken || r.Known[i] {
			return nil, p.Span
		}
		res := paths.Judge(lib, p)
		r.Judged[i] = res
		ms := append(res.Messages, rules.Check(lib, p, res)...)
		r.Clean[i] = len(ms) == 0
		return ms, p.Span
	}); err != nil {
		return nil, err
	}

	// Worked cases run when nothing else is wrong.
	if r.Sound() {
		r.pass("trial values", lib.Place, func() []*message.Message {
			var out []*message.Message
			for _, t := range lib.Trials {
				out = append(out, rules.CheckTrialValues(lib, t)...)
			}
			return out
		})
	}
	if r.Sound() {
		outcomes := make([][]*trial.Outcome, len(lib.Procedures))
		coverage := make([]*trial.Coverage, len(lib.Procedures))
		if err := r.parallel(ctx, "trials", len(lib.Procedures), func(i int) (ms []*message.Message, at source.Span) {
			p := lib.Procedures[i]
			if r.Judged[i] != nil {
				outcomes[i], coverage[i], ms = trial.RunAll(lib, p, r.Judged[i])
				r.Judged[i].Rest()
				r.Clean[i] = r.Clean[i] && len(ms) == 0
			}
			return ms, p.Span
		}); err != nil {
			return nil, err
		}
		for i := range outcomes {
			r.Trials = append(r.Trials, outcomes[i]...)
			if coverage[i] != nil {
				r.Coverage = append(r.Coverage, coverage[i])
			}
		}
	} else {
		clear(r.Clean) // nothing was tried
	}
	r.Messages = message.Sort(r.Messages)
	return r, nil
}

// bind makes a library of sources: text becomes trees, trees a library.
func bind(ctx context.Context, src *Sources) (*Result, error) {
	r := &Result{Sources: src, Messages: append([]*message.Message(nil), src.Messages...)}
	files := make([]*syntax.File, len(src.Files))
	if err := r.parallel(ctx, "parse", len(files), func(i int) ([]*message.Message, source.Span) {
		files[i] = syntax.Parse(src.Files[i])
		return files[i].Messages, src.Files[i].Span(0, 0)
	}); err != nil {
		return nil, err
	}
	r.pass("bind", source.Span{}, func() []*message.Message {
		// What could not be taken as text is a fault of the file it stands in.
		for _, f := range files {
			for _, m := range src.Messages {
				if m.Span.File == f.Source {
					f.Messages = append(f.Messages, m)
				}
			}
		}
		files, sheets := withSheets(files, func(f *syntax.File, d *syntax.Thing) expansion { return expand(src.FS, f, d) })
		lib, ms := library.Bind(files)
		r.Library = lib
		return append(sheets, ms...)
	})
	if r.Library == nil {
		r.Library = &library.Library{Files: files}
	}
	return r, nil
}

// pass runs one pass; a panic in it becomes a message that names it.
func (r *Result) pass(name string, at source.Span, f func() []*message.Message) {
	r.Messages = append(r.Messages, guarded(name, at, f)...)
}

// guarded turns a panic into a message: a fault of ours must not look like a
// library in which nothing is wrong.
func guarded(name string, at source.Span, f func() []*message.Message) (out []*message.Message) {
	defer func() {
		if p := recover(); p != nil {
			m := message.New("BP001", at, "the compiler failed in its pass %s: %v", name, p).
				Helped("this is a fault of the compiler, not of the library; please report it with the source")
			if frame := firstFrame(); frame != "" {
				m.Note("at %s", frame)
			}
			out = append(out, m)
		}
	}()
	return f()
}

// firstFrame names the function of ours in which a panic arose.
func firstFrame() string {
	for _, line := range strings.Split(string(debug.Stack()), "\n") {
		if strings.HasPrefix(line, "benchproof/") && !strings.Contains(line, "compiler.guarded") && !strings.Contains(line, "compiler.firstFrame") {
			if i := strings.LastIndexByte(line, '('); i > 0 {
				return line[:i]
			}
			return line
		}
	}
	return ""
}

// parallel runs a pass over n things on all processors and gathers the
// messages in their order.
func (r *Result) parallel(ctx context.Context, name string, n int, f func(i int) ([]*message.Message, source.Span)) error {
	found := make([][]*message.Message, n)
	err := crew.Each(ctx, n, func(i int) {
		var at source.Span
		found[i] = guarded(fmt.Sprintf("%s, number %d", name, i+1), at, func() (ms []*message.Message) {
			ms, at = f(i)
			return ms
		})
	})
	for _, ms := range found {
		r.Messages = append(r.Messages, ms...)
	}
	return err
}

// DocumentOptions choose what a document is made for.
type DocumentOptions struct {
	// For narrows a document to members of families.
	For []*library.Member
	// Draft makes a document in spite of errors, not for work.
	Draft bool
}

// Document makes the document of the procedure at an index of
// Library.Procedures. It is nil for a procedure that does not apply to the
// members asked for. Without Draft the library must be sound.
func (r *Result) Document(i int, o DocumentOptions) (*document.Document, []*message.Message) {
	p := r.Library.Procedures[i]
	if !applies(p, o.For) {
		return nil, nil
	}
	var doc *document.Document
	ms := guarded("document", p.Span, func() []*message.Message {
		opts := document.Options{For: o.For, Draft: o.Draft, Images: r.Image}
		if o.Draft {
			opts.Messages = oneLine(r.Messages)
		}
		judged := r.Judged[i]
		if r.Known[i] {
			judged = paths.Judge(r.Library, p)
		}
		if r.translated != nil {
			opts.Source = r.translated.source
		}
		d, ms := document.Lower(r.Library, p, judged, opts)
		if r.translated != nil {
			ms = append(ms, r.settle(d, o.Draft)...)
		}
		doc = d
		return ms
	})
	return doc, ms
}

// applies tells whether a procedure applies to the members asked for: of each
// family, to one of those named. A family that the procedure does not differ by
// is no objection.
func applies(p *library.Procedure, members []*library.Member) bool {
	for _, a := range p.Applies {
		asked := false
		has := false
		for _, m := range members {
			if m.Variant == a.Variant {
				asked = true
				has = has || slices.Contains(a.Members, m)
			}
		}
		if asked && !has {
			return false
		}
	}
	return true
}

// oneLine prints messages for a draft.
func oneLine(list []*message.Message) []string {
	var out []string
	for _, m := range list {
		if m.Span.File == nil {
			out = append(out, fmt.Sprintf("%s %s: %s", m.Severity, m.Code, m.Text))
			continue
		}
		line, column := m.Span.File.Position(m.Span.Start)
		out = append(out, fmt.Sprintf("%s:%d:%d: %s %s: %s", m.Span.File.Path, line, column, m.Severity, m.Code, m.Text))
	}
	return out
}

// Image reads a figure's file from the library's folder.
func (r *Result) Image(path string) ([]byte, error) {
	return readFile(r.Sources.FS, path, maxFigure)
}

// Member finds `size=s32` among the families of the library.
func (r *Result) Member(variant, member string) (*library.Member, error) {
	var names []string
	for _, v := range r.Library.Variants {
		names = append(names, v.Name)
		if v.Name != variant {
			continue
		}
		var members []string
		for _, m := range v.Members {
			members = append(members, m.Name)
			if m.Name == member {
				return m, nil
			}
		}
		return nil, fmt.Errorf("%s has no member %s: it has %s", variant, member, strings.Join(members, ", "))
	}
	if len(names) == 0 {
		return nil, fmt.Errorf("the library has no variants, so there is none called %s", variant)
	}
	return nil, fmt.Errorf("no variant is called %s: there are %s", variant, strings.Join(names, ", "))
}
