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
		s = DeclarationOf(s)
		if _, trial := s.(*Trial); trial || s == nil || seen[s] {
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
