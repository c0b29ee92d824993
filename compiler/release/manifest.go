// Package release says what a revision of a procedure is released over, and how
// a procedure stands: released, not released, withdrawn.
//
// Input: a bound library, one of its procedures, the files of its figures.
// Output: a Manifest: the fingerprint that the documents print, a mark for each
// step and one for everything else that the documents are made of. It is taken
// of words: white space, comments, files and the order of declarations make no
// difference. What is shared counts for each procedure that reaches it.
// Nothing here is judged; package rules does that.
package release

import (
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"hash"
	"slices"
	"strconv"
	"strings"
	"sync"

	"benchproof/compiler/library"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// Method is the number of the way in which fingerprints and marks are taken. It
// changes when equal sources come to have others.
const Method = "1"

// letters are those of marks: no word of the language is without a vowel and
// eight letters long, so a mark is never taken for one.
const letters = "bcdfghjklmnpqrstvwxz"

const markLength = 8

type digest [sha256.Size]byte

// mark writes a digest short: eight letters, some 34 bits. It tells what has
// changed; that nothing has is told by the fingerprint.
func (d digest) mark() string {
	n := binary.BigEndian.Uint64(d[:])
	var b [markLength]byte
	for i := range b {
		b[i] = letters[n%uint64(len(letters))]
		n /= uint64(len(letters))
	}
	return string(b[:])
}

// isMark tells whether a word can be a mark.
func isMark(s string) bool {
	return len(s) == markLength && strings.Trim(s, letters) == ""
}

// A Manifest is what a revision is released over.
type Manifest struct {
	// Fingerprint is twelve hexadecimal digits.
	Fingerprint string
	// Steps are all steps, routines set out, in the order of their numbers.
	Steps []Step
	// Over is everything else: the library's own declaration, the head of the
	// procedure, the order of the work, stages, decisions, repeats, routines
	// performed and finishes in their order, then declarations by sort and name.
	Over []Item
}

// A Step and its mark.
type Step struct {
	Mark  string
	Bound *library.Step
	// In is the routine that it stands in; empty: the procedure itself.
	In string
}

// An Item is a thing and its mark.
type Item struct {
	library.Stamp
	// At is where it stands; Text is what a message calls it.
	At   source.Span
	Text string
	// Bound is the statement; nil for what is none.
	Bound library.Flow
}

// The sorts of items that are no declarations.
const (
	ofLibrary = "library"
	ofHead    = "head"
	ofOrder   = "order"
)

// shared keeps the digests of declarations, which many procedures reach.
type shared struct {
	mu      sync.Mutex
	digests map[library.Symbol]digest
}

// taker takes one manifest.
type taker struct {
	lib    *library.Library
	proc   *library.Procedure
	images func(path string) ([]byte, error)
	shared *shared

	m     *Manifest
	whole hash.Hash // of everything, in full
	order hash.Hash
	// words and bytes are room for those of one thing at a time.
	words []string
	bytes []byte
}

// Take gives the manifest of a procedure that is bound wholly, or of one that is
// narrowed to some members. images reads a figure's file; one that cannot be
// read counts as empty, and is told of elsewhere.
func Take(lib *library.Library, p *library.Procedure, images func(path string) ([]byte, error)) *Manifest {
	t := &taker{lib: lib, proc: p, images: images, m: &Manifest{}, whole: sha256.New(), order: sha256.New()}
	t.shared = library.Derived(lib, func(*library.Library) *shared { return &shared{digests: map[library.Symbol]digest{}} })
	t.field(t.whole, "benchproof release", Method)
	t.item(library.Stamp{Sort: ofLibrary}, lib.Place, "the library's own declaration", t.ofLibrary())
	t.item(library.Stamp{Sort: ofHead}, p.Span, "the head of the procedure", t.ofHead())
	t.flow(p.Body, "")
	t.item(library.Stamp{Sort: ofOrder}, p.Span, "the order of the work", digest(t.order.Sum(nil)))
	for _, s := range t.reached() {
		d := s.Declared()
		text := s.Sort() + " " + d.Name
		if c, ok := s.(*library.Column); ok {
			text = "table " + c.Table.Name + " (" + strings.TrimPrefix(d.Name, c.Table.Name+".") + ")"
		}
		t.item(library.Stamp{Sort: s.Sort(), Name: d.Name}, d.Span, text, t.declared(s))
	}
	t.m.Fingerprint = hex.EncodeToString(t.whole.Sum(nil))[:12]
	return t.m
}

func (t *taker) item(stamp library.Stamp, at source.Span, text string, d digest) {
	t.field(t.whole, stamp.Sort, stamp.Name, string(d[:]))
	stamp.Mark = d.mark()
	t.m.Over = append(t.m.Over, Item{Stamp: stamp, At: at, Text: text})
}

// field adds texts so that no two lists of texts give the same bytes.
func (t *taker) field(h hash.Hash, texts ...string) { h.Write(t.pack(texts)) }

func (t *taker) pack(texts []string) []byte {
	b := strconv.AppendInt(t.bytes[:0], int64(len(texts)), 10)
	for _, t := range texts {
		b = append(b, ' ')
		b = strconv.AppendInt(b, int64(len(t)), 10)
		b = append(b, ':')
		b = append(b, t...)
	}
	t.bytes = append(b, '\n')
	return t.bytes
}

func (t *taker) digestOf(texts ...string) digest { return sha256.Sum256(t.pack(texts)) }

func (t *taker) ofLibrary() digest {
	judged := "simple"
	if t.lib.Decision.Guarded {
		judged = "guarded " + t.lib.Decision.Factor.Exact()
	}
	return t.digestOf(t.lib.Title, t.lib.Owner, t.lib.Language, judged)
}

// ofHead takes what stands before the work, and whom the document is for.
func (t *taker) ofHead() digest {
	h := sha256.New()
	var inside []source.Span
	for _, f := range t.proc.Body {
		inside = append(inside, f.At())
	}
	t.field(h, t.own(t.proc.Whole, inside)...)
	for _, a := range t.proc.Applies {
		names := []string{a.Variant.Name}
		for _, m := range a.Members {
			names = append(names, m.Name)
		}
		t.field(h, names...)
	}
	return digest(h.Sum(nil))
}

// own gives the words of a stretch without those of stretches inside it, until
// it is asked for others.
func (t *taker) own(whole source.Span, inside []source.Span) []string {
	t.words = t.words[:0]
	at := whole.Start
	for _, s := range inside {
		if s.File != whole.File || s.Start < at || s.End > whole.End {
			continue // of a routine that is performed
		}
		t.words = syntax.AppendWords(t.words, source.Span{File: whole.File, Start: at, End: s.Start})
		at = s.End
	}
	t.words = syntax.AppendWords(t.words, source.Span{File: whole.File, Start: at, End: whole.End})
	return t.words
}

// flow takes statements in the order in which their steps are numbered.
func (t *taker) flow(list []library.Flow, in string) {
	t.field(t.order, "{")
	for _, f := range list {
		switch f := f.(type) {
		case *library.Step:
			d := t.digestOf(t.own(f.Span, nil)...)
			t.field(t.whole, "step", string(d[:]))
			t.field(t.order, "step", string(d[:]))
			t.m.Steps = append(t.m.Steps, Step{d.mark(), f, in})
		case *library.Stage:
			words := t.own(f.Span, spans(f.Body))
			title := ""
			if len(words) > 1 {
				title = " " + words[1]
			}
			t.statement("stage", f, "the stage"+title, words)
			t.flow(f.Body, in)
		case *library.Decide:
			t.statement("decision", f, "the decision on "+f.OnSpan.Text(), t.own(f.Span, bodies(f)))
			for _, b := range f.Branches {
				t.flow(b.Body, in)
			}
		case *library.Repeat:
			inside := slices.Concat(spans(f.Body), spans(f.Otherwise))
			t.statement("repeat", f, "the repeat", t.own(f.Span, inside))
			t.flow(f.Body, in)
			t.flow(f.Otherwise, in)
		case *library.Until:
			t.statement("until", f, "the end of the repeat", t.own(f.Span, nil))
		case *library.Perform:
			t.statement("perform", f, "perform "+f.Routine.Name, t.own(f.Span, nil))
			t.flow(f.Body, f.Routine.Name)
		case *library.Finish:
			t.statement("finish", f, "the finish "+f.Outcome, t.own(f.Span, nil))
		}
	}
	t.field(t.order, "}")
}

func (t *taker) statement(sort string, f library.Flow, text string, words []string) {
	d := t.digestOf(words...)
	t.field(t.order, sort, string(d[:]))
	t.item(library.Stamp{Sort: sort}, f.At(), text, d)
	t.m.Over[len(t.m.Over)-1].Bound = f
}

// bodies gives where the work of a decision's branches stands.
func bodies(f *library.Decide) (inside []source.Span) {
	for _, b := range f.Branches {
		inside = append(inside, spans(b.Body)...)
	}
	return inside
}

func spans(list []library.Flow) (out []source.Span) {
	for _, f := range list {
		out = append(out, f.At())
	}
	return out
}

// declared takes a declaration. Of a procedure that the work goes on in, the
// documents say its title and number; of a figure they show the file.
func (t *taker) declared(s library.Symbol) digest {
	switch s := s.(type) {
	case *library.Procedure:
		return t.digestOf(s.Title, s.Document)
	case *library.Column:
		if s.Table.Variant == nil {
			return t.digestOf() // of a draft
		}
		words := []string{s.Table.Variant.Name}
		for i, m := range s.Table.Variant.Members {
			words = append(words, m.Name)
			if i < len(s.Spans) && !s.Spans[i].IsZero() {
				words = syntax.AppendWords(words, s.Spans[i])
			}
		}
		return t.digestOf(words...)
	case *library.Figure:
		var data []byte
		if t.images != nil {
			data, _ = t.images(s.File)
		}
		return t.digestOf(append(t.own(s.Whole, nil), string(data))...)
	}
	t.shared.mu.Lock()
	d, known := t.shared.digests[s]
	t.shared.mu.Unlock()
	if !known {
		d = t.digestOf(t.own(s.Declared().Whole, calibration(s))...)
		t.shared.mu.Lock()
		t.shared.digests[s] = d
		t.shared.mu.Unlock()
	}
	return d
}

// calibration gives where a tool says when it was and is to be calibrated: no
// document tells that, and a day that has moved on asks for no new revision.
func calibration(s library.Symbol) (list []source.Span) {
	if t, ok := s.(*library.Tool); ok {
		for _, key := range []string{"calibrated", "due"} {
			if at, said := t.Props[key]; said {
				list = append(list, at)
			}
		}
		slices.SortFunc(list, func(a, b source.Span) int { return a.Start - b.Start })
	}
	return list
}

// reached gives every declaration that the procedure names, directly or through
// others, by sort and name; boxes that hold what it uses too.
func (t *taker) reached() []library.Symbol {
	seen := map[library.Symbol]bool{}
	var list []library.Symbol
	var visit func(s library.Symbol)
	look := func(whole source.Span) {
		for _, r := range t.lib.Named(whole) {
			if s := declaration(r.To); s != nil {
				visit(s)
			}
		}
	}
	visit = func(s library.Symbol) {
		p, other := s.(*library.Procedure)
		if seen[s] || other && p.Name == t.proc.Name {
			return
		}
		seen[s] = true
		list = append(list, s)
		switch s := s.(type) {
		case *library.Procedure:
		case *library.Column: // of a table, what the procedure uses
			if s.Table.Variant != nil { // it is, in a draft of a broken library
				visit(s.Table.Variant)
			}
			for _, x := range s.Things {
				if x != nil {
					visit(x)
				}
			}
		default:
			look(s.Declared().Whole)
		}
	}
	look(t.proc.Whole)
	var boxes []*library.Kit
	for _, k := range t.lib.Kits {
		if slices.ContainsFunc(k.Holds, func(x library.Thing) bool { return seen[x] }) {
			boxes = append(boxes, k)
		}
	}
	for _, k := range boxes {
		visit(k)
	}
	slices.SortStableFunc(list, func(a, b library.Symbol) int {
		return cmp.Or(strings.Compare(a.Sort(), b.Sort()), strings.Compare(a.Declared().Name, b.Declared().Name))
	})
	return list
}

// declaration gives the declaration that a symbol is part of, or the column; nil
// for what is declared within a procedure, whose text holds it.
func declaration(s library.Symbol) library.Symbol {
	switch s := s.(type) {
	case *library.Member:
		return s.Variant
	case *library.State:
		return s.Condition
	case *library.Table, // its columns are named beside it
		*library.Reading, *library.Question, *library.Answer, *library.Hole, *library.RecordDecl, *library.Trial, *library.Released:
		return nil
	}
	return s
}
