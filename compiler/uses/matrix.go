package uses

import (
	"cmp"
	"slices"
	"strings"

	"benchproof/compiler/library"
)

// Fit is how a procedure stands to a member of a family.
type Fit int

// How a procedure stands to a member.
const (
	NotFor  Fit = iota // it applies to other members
	For                // it applies to the member
	Whoever            // it does not differ by the family
)

// A Matrix tells which procedure applies to which member: Fits has a row for
// each procedure, and in it one for each member.
type Matrix struct {
	Procedures []*library.Procedure
	Members    []*library.Member
	Fits       [][]Fit
	// Without are the members that no procedure names as its own.
	Without []*library.Member
}

// MatrixOf works it out: procedures by document number, members in the order of
// the library.
func MatrixOf(lib *library.Library) *Matrix {
	m := &Matrix{Procedures: slices.Clone(lib.Procedures)}
	slices.SortStableFunc(m.Procedures, func(a, b *library.Procedure) int {
		return cmp.Or(strings.Compare(a.Document, b.Document), strings.Compare(a.Name, b.Name))
	})
	for _, v := range lib.Variants {
		m.Members = append(m.Members, v.Members...)
	}
	named := map[*library.Member]bool{}
	for _, p := range m.Procedures {
		row := make([]Fit, len(m.Members))
		for i, x := range m.Members {
			row[i] = Whoever
			for _, a := range p.Applies {
				if a.Variant != x.Variant {
					continue
				}
				row[i] = NotFor
				if slices.Contains(a.Members, x) {
					row[i], named[x] = For, true
				}
			}
		}
		m.Fits = append(m.Fits, row)
	}
	for _, x := range m.Members {
		if !named[x] {
			m.Without = append(m.Without, x)
		}
	}
	return m
}
