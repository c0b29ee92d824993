package editor

import (
	"slices"

	"github.com/charmbracelet/x/powernap/pkg/lsp/protocol"

	"benchproof/compiler/library"
	"benchproof/dsl/source"
)

// whole is all of the scene's file.
func (sc *scene) whole() source.Span { return sc.file.Source.Span(0, len(sc.file.Source.Text)) }

// symbolAt finds what is named or declared at an offset, and where the name stands.
func (sc *scene) symbolAt(offset int) (library.Symbol, source.Span) {
	var found library.Symbol
	var at source.Span
	look := func(s library.Symbol, span source.Span) {
		if span.File == sc.file.Source && span.Contains(offset) && (found == nil || span.End-span.Start < at.End-at.Start) {
			found, at = s, span
		}
	}
	for _, r := range sc.Library.Named(sc.whole()) {
		look(r.To, r.Span)
	}
	if found == nil {
		each(sc.Library, func(s library.Symbol) { look(s, s.Declared().Span) })
	}
	return found, at
}

// each calls f for every declared thing of a library and what is declared
// within it, trials left out: their names are named nowhere.
func each(lib *library.Library, f func(library.Symbol)) {
	for _, v := range lib.Variants {
		f(v)
		for _, m := range v.Members {
			f(m)
		}
	}
	for _, c := range lib.Conditions {
		f(c)
		for _, s := range c.States {
			f(s)
		}
	}
	eachOf(lib.Hazards, f)
	eachOf(lib.Tools, f)
	eachOf(lib.Kits, f)
	eachOf(lib.Parts, f)
	eachOf(lib.Consumables, f)
	for _, t := range lib.Tables {
		f(t)
		for _, c := range t.Columns {
			f(c)
		}
	}
	eachOf(lib.Figures, f)
	eachOf(lib.Videos, f)
	eachOf(lib.Routines, f)
	for _, p := range lib.Procedures {
		f(p)
		for _, q := range p.Questions {
			for _, a := range q.Answers {
				f(a)
			}
		}
	}
}

func eachOf[T library.Symbol](list []T, f func(library.Symbol)) {
	for _, s := range list {
		f(s)
	}
}

// places gives all places where a symbol is named, its declaration among them,
// in order. What is measured or asked in a routine is a symbol of each
// procedure that performs it: those that share a place are taken together.
func (sc *scene) places(s library.Symbol) []source.Span {
	want := map[library.Symbol]bool{s: true}
	spans := map[source.Span]bool{s.Declared().Span: true}
	local := isLocal(s)
	for grown := true; grown; {
		grown = false
		sc.Library.EachReference(func(r library.Reference) {
			if want[r.To] && !spans[r.Span] {
				spans[r.Span] = true
				grown = grown || local
			}
			if local && !want[r.To] && r.To.Sort() == s.Sort() && (spans[r.Span] || spans[r.To.Declared().Span]) {
				want[r.To] = true
				spans[r.To.Declared().Span] = true
				grown = true
			}
		})
	}
	out := make([]source.Span, 0, len(spans))
	for span := range spans {
		out = append(out, span)
	}
	slices.SortFunc(out, func(a, b source.Span) int {
		if a.Less(b) {
			return -1
		}
		return 1
	})
	return out
}

// isLocal tells of a name that a procedure has to itself.
func isLocal(s library.Symbol) bool {
	switch s.(type) {
	case *library.Reading, *library.Question, *library.Answer, *library.Hole, *library.RecordDecl:
		return true
	}
	return false
}

// location is where an editor can go: of a row of a sheet, the catalogue that
// reads it.
func (sc *scene) location(s source.Span) protocol.Location {
	if s.File.Sheet != nil {
		s = s.File.Sheet.By
	}
	return protocol.Location{URI: sc.folder.uri(s.File.Path), Range: sc.pos.rangeOf(s)}
}

func (s *server) definition(p *protocol.DefinitionParams) (any, error) {
	out := []protocol.Location{}
	s.look(p.TextDocument.URI, func(sc *scene) {
		if sym, _ := sc.symbolAt(sc.lines.offset(p.Position)); sym != nil {
			out = append(out, sc.location(sym.Declared().Span))
		}
	})
	return out, nil
}

func (s *server) references(p *protocol.ReferenceParams) (any, error) {
	out := []protocol.Location{}
	s.look(p.TextDocument.URI, func(sc *scene) {
		sym, _ := sc.symbolAt(sc.lines.offset(p.Position))
		if sym == nil {
			return
		}
		for _, at := range sc.places(sym) {
			if p.Context.IncludeDeclaration || at != sym.Declared().Span {
				out = append(out, sc.location(at))
			}
		}
	})
	return out, nil
}

func (s *server) highlights(p *protocol.DocumentHighlightParams) (any, error) {
	out := []protocol.DocumentHighlight{}
	s.look(p.TextDocument.URI, func(sc *scene) {
		sym, _ := sc.symbolAt(sc.lines.offset(p.Position))
		if sym == nil {
			return
		}
		for _, at := range sc.places(sym) {
			if at.File != sc.file.Source {
				continue
			}
			kind := protocol.Read
			if at == sym.Declared().Span {
				kind = protocol.Write
			}
			out = append(out, protocol.DocumentHighlight{Range: sc.pos.rangeOf(at), Kind: kind})
		}
	})
	return out, nil
}
