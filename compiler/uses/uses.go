// Package uses tells where what a library declares is used, and what a set of
// jobs takes.
//
// Input: a library that was checked; of one that is wrong, what resolves. Output: for a declared thing,
// the places of the documents where it is named, handled or carried, each with
// the ways on which the work gets there; what no procedure uses; for a set of
// jobs, one list of what they take, with the least and the most over all paths;
// which procedure applies to which member; and the edits that put one thing in
// another's place. Words of conditions are those of the document, counts those
// of the proof. Everything stands in the order of the library.
package uses

import (
	"strings"

	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/dsl/message"
)

// A Library is a checked library with every statement in its place.
type Library struct {
	*compiler.Result
	jobs []job
	// Unplaced are the procedures that are too wrong to have places.
	Unplaced []*library.Procedure
}

// A job is a procedure as its document has it.
type job struct {
	procedure *library.Procedure
	document  *document.Document
	places    []document.Place
}

// New places every statement of a library. Where it is wrong, statements that
// could not be understood have no place. The messages tell of a fault of the
// compiler.
func New(r *compiler.Result) (*Library, []*message.Message) {
	l := &Library{Result: r}
	faults := r.Faults()
	for i, p := range r.Library.Procedures {
		doc, places, ms := r.Places(i, nil)
		switch {
		case len(ms) == 0:
			l.jobs = append(l.jobs, job{p, doc, places})
		case len(faults[i]) > 0:
			l.Unplaced = append(l.Unplaced, p)
		default:
			return nil, ms
		}
	}
	return l, nil
}

// Declared lists what a library declares by names that all its files know, in
// the order of the sorts.
func Declared(lib *library.Library) (all []library.Symbol) {
	all = appendSymbols(all, lib.Variants)
	all = appendSymbols(all, lib.Conditions)
	all = appendSymbols(all, lib.Hazards)
	all = appendSymbols(all, lib.Tools)
	all = appendSymbols(all, lib.Kits)
	all = appendSymbols(all, lib.Parts)
	all = appendSymbols(all, lib.Consumables)
	all = appendSymbols(all, lib.Tables)
	all = appendSymbols(all, lib.Figures)
	all = appendSymbols(all, lib.Videos)
	all = appendSymbols(all, lib.Routines)
	return appendSymbols(all, lib.Procedures)
}

func appendSymbols[S library.Symbol](all []library.Symbol, list []S) []library.Symbol {
	for _, s := range list {
		all = append(all, s)
	}
	return all
}

// NumberOf gives the number of a thing or box, or the document number of a
// procedure; empty where it has none.
func NumberOf(s library.Symbol) string {
	switch s := s.(type) {
	case library.Thing:
		return library.CommonOf(s).Number
	case *library.Kit:
		return s.Number
	case *library.Procedure:
		return s.Document
	}
	return ""
}

// Find gives what is declared under a name or a number, in any spelling of
// large and small letters; several where a number stands for several. near are
// the names and numbers most likely meant where there is none.
func Find(lib *library.Library, name string) (found []library.Symbol, near []string) {
	var names []string
	for _, s := range Declared(lib) {
		d := s.Declared()
		if d.Name == name {
			return []library.Symbol{s}, nil
		}
		names = append(names, d.Name)
		if n := NumberOf(s); n != "" {
			if strings.EqualFold(n, name) {
				found = append(found, s)
			}
			names = append(names, n)
		}
		if t, ok := s.(*library.Table); ok {
			for _, c := range t.Columns {
				if c.Name == name {
					return []library.Symbol{c}, nil
				}
				names = append(names, c.Name)
			}
		}
	}
	if len(found) > 0 {
		return found, nil
	}
	for _, s := range Declared(lib) {
		if strings.EqualFold(s.Declared().Title, name) || s.Declared().Name == strings.ToLower(name) {
			found = append(found, s)
		}
	}
	if len(found) > 0 {
		return found, nil
	}
	return nil, message.Nearest(name, names)
}
