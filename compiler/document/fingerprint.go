package document

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"hash"
	"slices"
	"strconv"
	"strings"
	"sync"

	"benchproof/compiler/library"
	"benchproof/dsl/syntax"
)

// format is the version of what a fingerprint is made of. It changes when
// documents of unchanged sources come to say something else.
const format = "benchproof document 1"

// fingerprint tells apart documents that say different things: twelve
// hexadecimal digits of a SHA-256 over the declarations that the document is
// made of, in an order of their own. White space, comments, and in which file
// and in which place a declaration stands make no difference.
func (l *lowerer) fingerprint() string {
	h := sha256.New()
	field(h, format)
	field(h, "library", l.lib.Title, l.lib.Owner, l.lib.Language)
	if l.lib.Decision.Guarded {
		field(h, "guarded", l.lib.Decision.Factor.Exact())
	} else {
		field(h, "simple")
	}
	for _, a := range l.proc.Applies {
		names := []string{"applies", a.Variant.Name}
		for _, m := range a.Members {
			names = append(names, m.Name)
		}
		field(h, names...)
	}
	for _, s := range l.reached() {
		d := s.Declared()
		field(h, s.Sort(), d.Name)
		if p, ok := s.(*library.Procedure); ok && p.Name != l.proc.Name {
			// Of a procedure that the work goes on in, the document says only this.
			field(h, p.Title, p.Document)
			continue
		}
		h.Write(l.spelled(s))
	}
	for _, f := range l.doc.Figures {
		field(h, "image", f.File, string(f.Data))
	}
	return hex.EncodeToString(h.Sum(nil))[:12]
}

// spellings are the words of shared declarations as fields, by symbol: very many
// documents are made of the same few.
type spellings struct{ *sync.Map }

// spelled gives the words of a declaration as a field.
func (l *lowerer) spelled(s library.Symbol) []byte {
	_, alone := s.(*library.Procedure)
	if alone {
		return appendField(nil, syntax.Words(s.Declared().Whole)...)
	}
	shared := library.Derived(l.lib, func(*library.Library) spellings { return spellings{new(sync.Map)} })
	if known, ok := shared.Load(s); ok {
		return known.([]byte)
	}
	words := appendField(nil, syntax.Words(s.Declared().Whole)...)
	shared.Store(s, words)
	return words
}

// field adds texts so that no two lists of texts give the same bytes.
func field(h hash.Hash, texts ...string) { h.Write(appendField(nil, texts...)) }

func appendField(b []byte, texts ...string) []byte {
	b = strconv.AppendInt(b, int64(len(texts)), 10)
	for _, t := range texts {
		b = append(b, ' ')
		b = strconv.AppendInt(b, int64(len(t)), 10)
		b = append(b, ':')
		b = append(b, t...)
	}
	return append(b, '\n')
}

// reached gives the procedure and every declaration that it names, directly or
// through others, by sort and name; boxes that hold what it uses too.
func (l *lowerer) reached() []library.Symbol {
	seen := map[library.Symbol]bool{}
	var list []library.Symbol
	var visit func(s library.Symbol)
	visit = func(s library.Symbol) {
		s = declaration(s)
		if s == nil || seen[s] {
			return
		}
		seen[s] = true
		list = append(list, s)
		if p, ok := s.(*library.Procedure); ok && p.Name != l.proc.Name {
			return
		}
		for _, r := range l.lib.Named(s.Declared().Whole) {
			visit(r.To)
		}
	}
	for _, p := range l.lib.Procedures {
		if p.Name == l.proc.Name {
			visit(p)
		}
	}
	for _, k := range l.lib.Kits {
		if slices.ContainsFunc(l.doc.Kits, func(x Kit) bool { return x.Name == k.Name }) {
			visit(k)
		}
	}
	slices.SortStableFunc(list, func(a, b library.Symbol) int {
		return cmp.Or(strings.Compare(a.Sort(), b.Sort()), strings.Compare(a.Declared().Name, b.Declared().Name))
	})
	return list
}

// declaration gives the declaration that a symbol is part of; nil for what is
// declared within a procedure, whose text holds it.
func declaration(s library.Symbol) library.Symbol {
	switch s := s.(type) {
	case *library.Member:
		return s.Variant
	case *library.State:
		return s.Condition
	case *library.Column:
		return s.Table
	case *library.Reading, *library.Question, *library.Answer, *library.Hole, *library.RecordDecl, *library.Trial:
		return nil
	}
	return s
}
