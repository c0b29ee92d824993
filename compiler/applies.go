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
// document. The procedure must apply to the members; of one that is wrong, or
// reaches what is (Faults), there is what could be made. The messages tell of a
// fault of the compiler and, in another language than that of the sources, of
// what has no translation.
func (r *Result) Places(i int, members []*library.Member) (doc *document.Document, places []document.Place, ms []*message.Message) {
	p := r.Library.Procedures[i]
	ms = guarded("document", p.Span, func() (ms []*message.Message) {
		judged := r.Judged[i]
		if r.Known[i] {
			judged = paths.Judge(r.Library, p)
		}
		opts := document.Options{For: members, Images: r.Image}
		if r.translated != nil {
			opts.Source = r.translated.source
		}
		d, at := document.Places(r.Library, p, judged, opts)
		if r.translated != nil {
			ms = r.settle(d, false)
		}
		doc, places = d, at
		return ms
	})
	return doc, places, ms
}
