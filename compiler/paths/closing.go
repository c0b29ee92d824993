package paths

import (
	"benchproof/compiler/library"
	"benchproof/dsl/message"
)

// Handles gives the things that an action takes in hand: what its text may
// mention. Unlike ToolsOf it holds parts too.
func Handles(a library.Action) []library.Item {
	switch a := a.(type) {
	case *library.Fit:
		return append(a.Items[:len(a.Items):len(a.Items)], a.On)
	case *library.FitNew:
		return a.Items
	case *library.Refit:
		return a.Items
	case *library.Release:
		return a.Items
	case *library.Clamp:
		return append(a.Items[:len(a.Items):len(a.Items)], ToolsOf(a)...)
	case *library.Lift:
		return append(a.Items[:len(a.Items):len(a.Items)], ToolsOf(a)...)
	case *library.Tighten:
		return append([]library.Item{a.Item}, ToolsOf(a)...)
	case *library.Heat:
		return append([]library.Item{a.Item}, ToolsOf(a)...)
	}
	return ToolsOf(a)
}

// closing notes the things that closing texts mention: whether each has been
// handled is a fact like any other. What nobody mentions costs nothing.
func (e *engine) closing() {
	each(e.proc.Body, func(f library.Flow) {
		finish, ok := f.(*library.Finish)
		if !ok {
			return
		}
		for i := range finish.Text.Spans {
			for _, t := range e.mentioned(finish.Text.Spans[i].Mention) {
				e.mentions[t.thing] = true
			}
		}
	})
}

// mentioned gives the things that a mention means.
func (e *engine) mentioned(m *library.Mention) []thingWhen {
	if m == nil {
		return nil
	}
	if m.Column != nil {
		if !m.Column.IsThings() {
			return nil
		}
		return e.thingsOf(library.Item{Column: m.Column})
	}
	if t, ok := m.Symbol.(library.Thing); ok {
		return []thingWhen{{t, yes}}
	}
	return nil
}

// handle notes what an action takes in hand: the thing, and for a part its kind.
func (e *engine) handle(a library.Action, s *state) {
	if len(e.mentions) == 0 {
		return
	}
	note := func(t library.Thing, when ref, it library.Item) {
		if !e.mentions[t] {
			return
		}
		f := fact{handled, t, nil}
		e.set(s, f, e.space.or(e.get(s, f), when), it.Span)
	}
	for _, it := range Handles(a) {
		for _, t := range e.thingsOf(it) {
			note(t.thing, t.when, it)
			if p, ok := t.thing.(*library.Part); ok && p.Kind != nil {
				note(p.Kind, t.when, it)
			}
		}
	}
}

// closed judges a closing text: what it mentions has been handled on every
// path that leads to it. A kind matches its parts, a part only itself.
func (e *engine) closed(f *library.Finish, s *state) {
	if f == nil {
		return
	}
	for i := range f.Text.Spans {
		m := f.Text.Spans[i].Mention
		for _, t := range e.mentioned(m) {
			fact := fact{handled, t.thing, nil}
			bad := e.space.and(t.when, e.space.not(e.get(s, fact)))
			e.fault("BP208", m.Span, t.thing, bad, func() *message.Message {
				return message.New("BP208", m.Span, "the closing text mentions %s, which this path does not handle", quoted(nameOf(t.thing))).
					Relate(e.whence(s, fact), "handled here on another path").
					Helped("mention what this path handles, or write its name without @")
			})
		}
	}
}
