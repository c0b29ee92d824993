package compiler

import "benchproof/compiler/library"

// Applies tells whether the procedure at an index of Library.Procedures has a
// document for these members, without making it.
func (r *Result) Applies(i int, members []*library.Member) bool {
	return applies(r.Library.Procedures[i], members)
}
