package library

import (
	"cmp"
	"slices"
	"strings"
)

// Reached gives the procedure of a name and every declaration that it names,
// directly or through others, by sort and name; and the boxes that are asked
// for. Of another procedure nothing further counts.
func (l *Library) Reached(procedure string, box func(*Kit) bool) []Symbol {
	seen := map[Symbol]bool{}
	var list []Symbol
	var visit func(s Symbol)
	visit = func(s Symbol) {
		s = declaration(s)
		if s == nil || seen[s] {
			return
		}
		seen[s] = true
		list = append(list, s)
		if p, ok := s.(*Procedure); ok && p.Name != procedure {
			return
		}
		for _, r := range l.Named(s.Declared().Whole) {
			visit(r.To)
		}
	}
	for _, p := range l.Procedures {
		if p.Name == procedure {
			visit(p)
		}
	}
	for _, k := range l.Kits {
		if box(k) {
			visit(k)
		}
	}
	slices.SortStableFunc(list, func(a, b Symbol) int {
		return cmp.Or(strings.Compare(a.Sort(), b.Sort()), strings.Compare(a.Declared().Name, b.Declared().Name))
	})
	return list
}

// declaration gives the declaration that a symbol is part of; nil for what is
// declared within a procedure, whose text holds it.
func declaration(s Symbol) Symbol {
	switch s := s.(type) {
	case *Member:
		return s.Variant
	case *State:
		return s.Condition
	case *Column:
		return s.Table
	case *Reading, *Question, *Answer, *Hole, *RecordDecl, *Trial:
		return nil
	}
	return s
}
