package compiler

import (
	"context"
	"fmt"
	"slices"

	"benchproof/compiler/library"
	"benchproof/compiler/rules"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// Outline binds sources to a library and looks no further.
func Outline(ctx context.Context, src *Sources) (*library.Library, error) {
	r, err := bind(ctx, src)
	if err != nil {
		return nil, err
	}
	return r.Library, nil
}

// CheckOne finds all that can be known of one procedure. It uses only the files
// that can affect it (Result.Sources): those that declare what all procedures
// share, and those that it reaches from its own; and only the figures that its
// document shows. A folder that holds no more than these gives the same. Known
// is asked as in CheckKnowing, and its answer counts for this procedure; no
// other is judged. The second result is its index. What only the whole library
// can tell, that nothing uses a thing, is not told.
func CheckOne(ctx context.Context, src *Sources, name string, known func(*library.Library) []bool) (*Result, int, error) {
	whole, err := Outline(ctx, src)
	if err != nil {
		return nil, 0, err
	}
	at := indexOf(whole, name)
	if at < 0 {
		return nil, 0, noSuchProcedure(whole, name)
	}
	needed := filesOf(whole, whole.Procedures[at])
	part := &Sources{FS: src.FS, Date: src.Date, Translations: src.Translations, loaded: src.loaded}
	for _, f := range src.Files {
		if needed[f] {
			part.Files = append(part.Files, f)
		}
	}
	for _, m := range src.Messages {
		if needed[m.Span.File] {
			part.Messages = append(part.Messages, m)
		}
	}
	var figures map[string]bool
	r, err := check(ctx, part, func(lib *library.Library) []bool {
		out := make([]bool, len(lib.Procedures))
		if known != nil {
			copy(out, known(lib))
		}
		for i, p := range lib.Procedures {
			out[i] = out[i] || p.Name != name
		}
		return out
	}, func(lib *library.Library, f *library.Figure) bool {
		if figures == nil {
			figures = map[string]bool{}
			if i := indexOf(lib, name); i >= 0 {
				for _, file := range NewReacher(lib).Of(i).Figures {
					figures[file] = true
				}
			}
		}
		return figures[f.File]
	}, name)
	if err != nil {
		return nil, 0, err
	}
	r.Messages = slices.DeleteFunc(r.Messages, func(m *message.Message) bool {
		return m.Code == "BP204" || m.Code == "BP027" || m.Code == "BP012" && ofAnother(r.Library, m.Span, name)
	})
	if at = indexOf(r.Library, name); at < 0 {
		return nil, 0, noSuchProcedure(r.Library, name)
	}
	r.pass("calibration", r.Library.Place, func() []*message.Message {
		return rules.CheckCalibration(r.Library, r.Library.Procedures[at:at+1], src.Date)
	})
	r.Messages = message.Sort(r.Messages)
	return r, at, nil
}

// ofAnother tells whether a place is in the release of another procedure, which
// need not be among the files.
func ofAnother(lib *library.Library, at source.Span, name string) bool {
	return slices.ContainsFunc(lib.Releases, func(r *library.Released) bool {
		return inside(at, r.Whole) && (r.Of == nil || r.Of.Name != name)
	})
}

func inside(at, whole source.Span) bool {
	return at.File == whole.File && at.Start >= whole.Start && at.End <= whole.End
}

func indexOf(lib *library.Library, name string) int {
	return slices.IndexFunc(lib.Procedures, func(p *library.Procedure) bool { return p.Name == name })
}

func noSuchProcedure(lib *library.Library, name string) error {
	var names []string
	for _, p := range lib.Procedures {
		names = append(names, p.Name)
	}
	if near := message.Nearest(name, names); len(near) > 0 {
		return fmt.Errorf("no procedure is called %s; did you mean %s?", name, near[0])
	}
	return fmt.Errorf("no procedure is called %s", name)
}

// filesOf gives the files that can affect a procedure: every file that declares
// what is not looked for by name alone (the library, families, conditions,
// hazards, things and boxes), its own and those of its trials, and every file
// that one of these names something of.
func filesOf(lib *library.Library, p *library.Procedure) map[*source.File]bool {
	leads := map[*source.File]map[*source.File]bool{}
	// What is released stands together, and names procedures that have nothing to
	// do with one another.
	released := map[*source.File][]source.Span{}
	for _, r := range lib.Releases {
		released[r.Whole.File] = append(released[r.Whole.File], r.Whole)
	}
	lib.EachReference(func(r library.Reference) {
		to := library.DeclarationOf(r.To)
		if to == nil || to.Declared().Whole.File == nil || r.Span.File == nil ||
			slices.ContainsFunc(released[r.Span.File], func(whole source.Span) bool { return inside(r.Span, whole) }) {
			return
		}
		if leads[r.Span.File] == nil {
			leads[r.Span.File] = map[*source.File]bool{}
		}
		leads[r.Span.File][to.Declared().Whole.File] = true
	})
	files := map[*source.File]bool{}
	var visit func(f *source.File)
	visit = func(f *source.File) {
		if f == nil || files[f] {
			return
		}
		files[f] = true
		for next := range leads[f] {
			visit(next)
		}
	}
	for _, f := range lib.Files {
		if f.Source.Sheet != nil {
			visit(f.Source.Sheet.By.File) // it says which sheet, and of which columns
		}
	}
	visit(p.Whole.File)
	visit(lib.Place.File)
	for _, t := range lib.Trials {
		if t.Of == p {
			visit(t.Whole.File)
		}
	}
	for _, r := range lib.ReleasesOf(p) {
		visit(r.Whole.File)
	}
	each := func(d *library.Decl) { visit(d.Whole.File) }
	for _, x := range lib.Variants {
		each(&x.Decl)
	}
	for _, x := range lib.Conditions {
		each(&x.Decl)
	}
	for _, x := range lib.Hazards {
		each(&x.Decl)
	}
	for _, x := range lib.Tools {
		each(&x.Decl)
	}
	for _, x := range lib.Kits {
		each(&x.Decl)
	}
	for _, x := range lib.Parts {
		each(&x.Decl)
	}
	for _, x := range lib.Consumables {
		each(&x.Decl)
	}
	return files
}
