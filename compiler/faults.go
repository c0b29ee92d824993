package compiler

import (
	"slices"

	"benchproof/compiler/library"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// Faults gives for each of Library.Procedures the errors of what it is made of:
// of the procedure itself, of each declaration that it reaches, of its trials and
// releases. A procedure that another goes on in is not among these. An error that
// stands in no declaration is no procedure's own: what it has cost is told where
// that is named.
func (r *Result) Faults() [][]*message.Message {
	out := make([][]*message.Message, len(r.Library.Procedures))
	if r.Sound() {
		return out
	}
	reacher := NewReacher(r.Library)
	byFile := map[*source.File][]*message.Message{}
	for _, m := range r.Messages {
		if m.IsError() && m.Span.File != nil {
			byFile[m.Span.File] = append(byFile[m.Span.File], m)
		}
	}
	of := map[library.Symbol][]*message.Message{}
	faults := func(s library.Symbol) []*message.Message {
		found, known := of[s]
		if known {
			return found
		}
		whole := s.Declared().Whole
		for _, m := range byFile[whole.File] {
			if whole.Start <= m.Span.Start && m.Span.Start < max(whole.End, whole.Start+1) {
				found = append(found, m)
			}
		}
		of[s] = found
		return found
	}
	for i, p := range r.Library.Procedures {
		list, _ := reacher.declarations(p)
		for _, s := range list {
			if other, ok := s.(*library.Procedure); ok && other != p {
				continue
			}
			for _, m := range faults(s) {
				if !slices.Contains(out[i], m) {
					out[i] = append(out[i], m)
				}
			}
		}
		out[i] = message.Sort(out[i])
	}
	return out
}
