package library

import (
	"slices"

	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// A move is where a declaration stood in a file that has changed, and the
// symbol that says where it stands now; nil: its text has changed.
type move struct {
	start, end int
	to         Symbol
}

// Moved gives where a stretch of a file stands now that was changed in the last
// update; false where that cannot be told.
func (b *Binding) Moved(s source.Span) (source.Span, bool) {
	if s.File == nil || b.trees[s.File] != nil {
		return s, true
	}
	for _, m := range b.moves[s.File] {
		if m.start <= s.Start && s.End <= m.end {
			now := m.to.Declared().Whole
			return now.File.Span(now.Start+s.Start-m.start, now.Start+s.End-m.start), true
		}
	}
	return s, false
}

// Follow gives messages with their places as they are after the last update;
// false where that cannot be told. A message once told is not written to.
func (b *Binding) Follow(list []*message.Message) ([]*message.Message, bool) {
	var out []*message.Message
	for i, m := range list {
		good, moved := true, false
		at := func(s source.Span) source.Span {
			now, ok := b.Moved(s)
			good, moved = good && ok, moved || now != s
			return now
		}
		now := *m
		now.Span = at(m.Span)
		now.Related, now.Edits = slices.Clone(m.Related), slices.Clone(m.Edits)
		for i := range now.Related {
			now.Related[i].Span = at(now.Related[i].Span)
		}
		for i := range now.Edits {
			now.Edits[i].Span = at(now.Edits[i].Span)
		}
		if !good {
			return nil, false
		}
		if moved {
			if out == nil {
				out = slices.Clone(list)
			}
			out[i] = &now
		}
	}
	if out == nil {
		return list, true
	}
	return out, true
}

// follow brings the places that a unit names up to date.
func (b *Binding) follow(u *unit) bool {
	if !slices.ContainsFunc(u.files, func(f *source.File) bool { return b.trees[f] == nil }) {
		return len(u.messages) == 0 || b.followMessages(u)
	}
	for _, h := range u.hints {
		if b.trees[h.span.File] == nil {
			return false
		}
	}
	for i := range u.refs {
		if b.trees[u.refs[i].Span.File] != nil {
			continue
		}
		now, ok := b.Moved(u.refs[i].Span)
		if !ok {
			return false
		}
		u.refs[i].Span = now
	}
	if u.scope != nil && !b.followScope(u.scope) {
		return false
	}
	for i, f := range u.files {
		if b.trees[f] == nil {
			u.files[i] = b.moves[f][0].to.Declared().Whole.File
		}
	}
	return b.followMessages(u)
}

// followScope brings the places up to date where a procedure's own names are
// declared: in a routine, as it may be.
func (b *Binding) followScope(s *scope) bool {
	good := true
	move := func(x Symbol) {
		d := x.Declared()
		var ok1, ok2 bool
		d.Span, ok1 = b.Moved(d.Span)
		d.Whole, ok2 = b.Moved(d.Whole)
		good = good && ok1 && ok2
	}
	for _, x := range s.known {
		move(x)
		if q, ok := x.(*Question); ok {
			for _, a := range q.Answers {
				move(a)
			}
		}
	}
	return good
}

func (b *Binding) followMessages(u *unit) (ok bool) {
	u.messages, ok = b.Follow(u.messages)
	return ok
}
