package compiler

import (
	"context"
	"slices"

	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/dsl/message"
)

// A State is what a session found of a library at one time. It goes on being told
// when the session has gone on.
type State struct {
	// Messages are sorted as those of Check; Sound: none of them is an error.
	Messages []*message.Message
	Sound    bool
	// Title is that of the library.
	Title string
	// Procedures are the names and titles of the procedures, in their order.
	Procedures [][2]string
	// Figures and Sheets are the files that the library names beside its sources.
	Figures, Sheets []string
	// Sources are the texts as they were; of figures and sheets only the names.
	Sources *Sources

	session    *Session
	generation int
}

// CheckAll finds all that can be known of the library as it now is. Where it is
// changed meanwhile the error is ErrSuperseded.
func (s *Session) CheckAll(ctx context.Context) (*State, error) {
	if err := s.Check(ctx, nil, func(map[string][]*message.Message, bool) {}); err != nil {
		return nil, err
	}
	w := &work{Session: s, ctx: ctx}
	var moved []*library.Procedure
	s.Look(func(*View) {
		w.generation = s.generation
		for _, p := range s.lib.Procedures {
			if s.binding.IsMoved(p) {
				moved = append(moved, p)
			}
		}
	})
	if err := each(w, moved, w.bind); err != nil {
		return nil, err
	}
	out := &State{session: s, generation: w.generation}
	err := w.look(func() {
		s.eachMessage(true, func(ms []*message.Message) { out.Messages = append(out.Messages, ms...) })
		out.Messages = message.Sort(out.Messages)
		out.Sound = !message.HasErrors(out.Messages)
		out.Title = s.lib.Title
		for _, p := range s.lib.Procedures {
			out.Procedures = append(out.Procedures, [2]string{p.Name, p.Title})
		}
		for _, f := range s.lib.Figures {
			out.Figures = append(out.Figures, f.File)
		}
		out.Sheets = SheetsOf(s.lib.Files)
		out.Sources = &Sources{FS: s.fsys, Translations: s.translations, loaded: s.loaded}
		for _, f := range s.lib.Files {
			if f.Source.Sheet == nil {
				out.Sources.Files = append(out.Sources.Files, f.Source)
			}
		}
	})
	return out, err
}

// Document makes the document of the procedure of a name, from the session while that
// is still of this state; made is false where it has gone on, or cannot tell.
func (t *State) Document(name string, o DocumentOptions, images func(string) ([]byte, error)) (doc *document.Document, ms []*message.Message, made bool) {
	s := t.session
	s.mu.RLock()
	defer s.mu.RUnlock()
	if s.generation != t.generation || s.bound != t.generation || s.failed != nil {
		return nil, nil, false
	}
	at := slices.IndexFunc(s.lib.Procedures, func(p *library.Procedure) bool { return p.Name == name })
	if at < 0 {
		return nil, nil, true
	}
	p := s.lib.Procedures[at]
	if s.binding.IsMoved(p) || s.binding.IsStale(p) {
		return nil, nil, false
	}
	if !applies(p, o.For) {
		return nil, nil, true
	}
	ms = guarded("document", p.Span, func() []*message.Message {
		opts := document.Options{For: o.For, Draft: o.Draft, Images: images}
		if o.Draft {
			opts.Messages = oneLine(t.Messages)
		}
		var judged *paths.Result
		if j := s.judged[p]; j != nil {
			judged = j.result
		}
		if judged == nil && !p.Broken {
			judged = paths.Judge(s.lib, p)
		}
		d, ms := document.Lower(s.lib, p, judged, opts)
		doc = d
		return ms
	})
	return doc, ms, true
}

// Result binds the texts of the state anew, for documents when the session has gone
// on and for those in other languages. Nothing is judged again: what was found is
// known. Figures and sheets are read from the file system of Sources.
func (t *State) Result(ctx context.Context) (*Result, error) {
	r, err := CheckKnowing(ctx, t.Sources, func(lib *library.Library) []bool {
		out := make([]bool, len(lib.Procedures))
		for i := range out {
			out[i] = true
		}
		return out
	})
	if err != nil {
		return nil, err
	}
	r.Messages = t.Messages
	return r, nil
}
