package library

import (
	"slices"

	"benchproof/dsl/source"
)

// Named gives the references that begin within a stretch of a file, in order.
func (l *Library) Named(whole source.Span) []Reference {
	if whole.IsZero() {
		return nil
	}
	from, _ := slices.BinarySearchFunc(l.References, whole.File.Span(whole.Start, whole.Start), func(r Reference, at source.Span) int {
		if r.Span.Less(at) {
			return -1
		}
		return 1
	})
	to := from
	for to < len(l.References) && l.References[to].Span.File == whole.File && l.References[to].Span.Start < whole.End {
		to++
	}
	return l.References[from:to]
}
