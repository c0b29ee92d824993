package compiler

import (
	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/dsl/message"
)

// Applies tells whether the procedure at an index of Library.Procedures has a
// document for these members, without making it.
func (r *Result) Applies(i int, members []*library.Member) bool {
	return applies(r.Library.Procedures[i], members)
}

// Places gives every statement of the procedure at an index of
// Library.Procedures with its place in the document for these members, and the
// document. The library must be sound and the procedure apply to the members.
// The messages tell of a fault of the compiler alone.
func (r *Result) Places(i int, members []*library.Member) (doc *document.Document, places []document.Place, ms []*message.Message) {
	p := r.Library.Procedures[i]
	ms = guarded("document", p.Span, func() []*message.Message {
		judged := r.Judged[i]
		if r.Known[i] {
			judged = paths.Judge(r.Library, p)
		}
		doc, places = document.Places(r.Library, p, judged, document.Options{For: members, Images: r.Image})
		return nil
	})
	return doc, places, ms
}
