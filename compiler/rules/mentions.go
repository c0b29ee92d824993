package rules

import (
	"slices"
	"strconv"
	"strings"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/quantity"
	"benchproof/compiler/trade"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// mentions judges the texts of a step against its actions, for every member
// for whom the step can happen. The text of the step mentions what its actions
// handle. A note may also mention what another step of the procedure handles
// ("leave the @earth-lead on"); its numbers are free. What the closing text of
// a finish mentions depends on the whole path: package paths judges it.
func (c *checker) mentions(st *library.Step, w crowd) {
	if c.result != nil && !c.result.Reached(st.At()) {
		return // why no path gets here is told
	}
	h := handledBy(st.Actions)
	for i := range st.Text.Spans {
		switch s := &st.Text.Spans[i]; {
		case s.Mention != nil && s.Mention.Column != nil && !s.Mention.Column.IsThings():
			c.mentionedValue(s, h, w)
		case s.Mention != nil:
			c.mentioned(s.Mention, h, w)
		case s.Quantity != nil:
			c.quantityInText(s, h, w)
		}
	}
	c.unsaid(st, h, w)
	for _, a := range st.Actions {
		n, ok := a.(*library.Note)
		if !ok {
			continue
		}
		for i := range n.Text.Spans {
			if m := n.Text.Spans[i].Mention; m != nil {
				c.noted(m, w)
			}
		}
	}
}

// A handling is what the actions of a step take in hand and which values they
// have.
type handling struct {
	items  [][]library.Item // by action
	values []library.Value
	// worked are the actions from which more values follow.
	worked []library.Action
}

func handledBy(actions []library.Action) *handling {
	h := &handling{}
	for _, a := range actions {
		if items := paths.Handles(a); len(items) > 0 {
			h.items = append(h.items, items)
		}
		h.values = append(h.values, valuesOf(a)...)
		switch a.(type) {
		case *library.Heat, *library.Tighten:
			h.worked = append(h.worked, a)
		}
	}
	return h
}

// everything is what a whole procedure handles: things, with the kinds of
// parts, and the columns that give them by member.
type everything struct {
	things  map[library.Thing]bool
	columns []*library.Column
}

func (c *checker) everything() *everything {
	if c.all != nil {
		return c.all
	}
	c.all = &everything{things: map[library.Thing]bool{}}
	paths.Each(c.proc, func(f library.Flow) {
		st, ok := f.(*library.Step)
		if !ok {
			return
		}
		for _, a := range st.Actions {
			for _, it := range paths.Handles(a) {
				if it.Column != nil {
					if !slices.Contains(c.all.columns, it.Column) {
						c.all.columns = append(c.all.columns, it.Column)
					}
					continue
				}
				c.all.things[it.Thing] = true
				if p, ok := it.Thing.(*library.Part); ok && p.Kind != nil {
					c.all.things[p.Kind] = true
				}
			}
		}
	})
	return c.all
}

func (e *everything) holds(t library.Thing, as library.Assignment) bool {
	return e.things[t] || slices.ContainsFunc(e.columns, func(col *library.Column) bool {
		o := library.Item{Column: col}.For(as)
		return o != nil && matches(t, o)
	})
}

// noted judges a mention in a note.
func (c *checker) noted(m *library.Mention, w crowd) {
	t, _ := m.Symbol.(library.Thing)
	if m.Column == nil && t == nil || m.Column != nil && !m.Column.IsThings() {
		return
	}
	all := c.everything()
	var variants []*library.Variant
	for _, col := range append(all.columns[:len(all.columns):len(all.columns)], m.Column) {
		if col != nil && col.Table.Variant != nil {
			variants = addVariant(variants, col.Table.Variant)
		}
	}
	var absent findings
	c.each(w, variants, func(as library.Assignment) {
		if m.Column != nil {
			t = library.Item{Column: m.Column}.For(as)
		}
		if t != nil && !all.holds(t, as) {
			absent.add(0, as, nil, "")
		}
	})
	for _, f := range absent.list {
		who := ""
		if c.differs(f.who, w) {
			who = f.text()
		}
		c.wrong("BP208", m.Span, "the note mentions %s, which the procedure does not handle%s", quoted(strings.TrimPrefix(mentionName(m), "@")), who).
			Helped("write what is done with it as an action, or its name without @")
	}
}

// valuesOf gives the values of an action; how long a step takes is none.
func valuesOf(a library.Action) []library.Value {
	switch a := a.(type) {
	case *library.Wait:
		return []library.Value{a.Time}
	case *library.Drill:
		return some(a.Speed, a.Size, a.Deep)
	case *library.Tap:
		return some(a.Speed, a.Deep)
	case *library.Tighten:
		return a.To
	case *library.Heat:
		out := append(some(a.Clearance, a.Bore, a.Interference, a.Expansion), some(a.From)...)
		return append(out, some(a.AtMost)...)
	}
	return nil
}

func some(optional *library.Value, list ...library.Value) []library.Value {
	if optional != nil {
		list = append(list, *optional)
	}
	return list
}

// matches tells whether a thing handled is what is mentioned: a kind matches
// its parts, a part only itself.
func matches(mentioned, handled library.Thing) bool {
	if mentioned == handled {
		return true
	}
	m, ok1 := mentioned.(*library.Part)
	h, ok2 := handled.(*library.Part)
	return ok1 && ok2 && h.Kind == m
}

// counts gives the counts in which a thing is handled: those of single items,
// and for each action the sum.
func (h *handling) counts(t library.Thing, as library.Assignment) []int {
	var out []int
	for _, items := range h.items {
		sum, n := 0, 0
		for _, it := range items {
			if o := it.For(as); o != nil && matches(t, o) {
				out = append(out, it.Count)
				sum, n = sum+it.Count, n+1
			}
		}
		if n > 1 {
			out = append(out, sum)
		}
	}
	return out
}

func (h *handling) variants(more ...*library.Column) []*library.Variant {
	var out []*library.Variant
	for _, items := range h.items {
		for _, v := range itemVariants(items...) {
			out = addVariant(out, v)
		}
	}
	for _, col := range more {
		if col != nil && col.Table.Variant != nil {
			out = addVariant(out, col.Table.Variant)
		}
	}
	return out
}

// mentioned judges one mention of a thing and its count.
func (c *checker) mentioned(m *library.Mention, h *handling, w crowd) {
	thing, _ := m.Symbol.(library.Thing)
	if m.Column == nil && thing == nil {
		return // figures, procedures, kits, conditions and readings are free
	}
	var absent, miscounted findings
	c.each(w, h.variants(m.Column), func(as library.Assignment) {
		t := thing
		if m.Column != nil {
			t = library.Item{Column: m.Column}.For(as)
		}
		if t == nil {
			return
		}
		counts := h.counts(t, as)
		if len(counts) == 0 {
			absent.add(0, as, t, "")
			return
		}
		if m.Counted && !slices.Contains(counts, m.Count) {
			slices.Sort(counts)
			counts = slices.Compact(counts)
			words := make([]string, len(counts))
			for i, n := range counts {
				words[i] = "x " + strconv.Itoa(n)
			}
			miscounted.add(0, as, counts, "the actions "+listed(words, "and"))
		}
	})
	name := quoted(strings.TrimPrefix(mentionName(m), "@"))
	for _, f := range absent.list {
		who := ""
		if c.differs(f.who, w) {
			who = f.text()
		}
		msg := c.wrong("BP208", m.Span, "the text mentions %s, which the step does not handle%s", name, who)
		for i, as := range f.who {
			if m.Column == nil || i == mostNotes {
				break
			}
			msg.Note("for %s it is %s", called(as), quoted(library.Item{Column: m.Column}.For(as).Declared().Name))
		}
		c.offerHandled(msg, m, h, f.first.(library.Thing), f.who[0])
	}
	for _, f := range miscounted.list {
		msg := f.noted(c.wrong("BP209", m.Span, "the text says %s x %d, %s", name, m.Count, f.text()))
		if counts := f.first.([]int); len(counts) == 1 && len(miscounted.list) == 1 && len(f.who[0]) == 0 {
			msg.Mend(m.Span, mentionName(m)+" x "+strconv.Itoa(counts[0]))
		}
	}
}

// unsaid judges the counts of actions against a text that counts the same
// thing: "put back @nut x 8 and tighten them" with an action that tightens
// three. A count that no action has is told at its mention.
func (c *checker) unsaid(st *library.Step, h *handling, w crowd) {
	var counted []*library.Mention
	for i := range st.Text.Spans {
		m := st.Text.Spans[i].Mention
		if m == nil || !m.Counted || m.Column != nil && !m.Column.IsThings() {
			continue
		}
		if _, thing := m.Symbol.(library.Thing); thing || m.Column != nil {
			counted = append(counted, m)
		}
	}
	thingOf := func(m *library.Mention, as library.Assignment) library.Thing {
		if m.Column != nil {
			return library.Item{Column: m.Column}.For(as)
		}
		return m.Symbol.(library.Thing)
	}
	columns := make([]*library.Column, len(counted))
	for i, m := range counted {
		columns[i] = m.Column
	}
	for _, m := range counted {
		for _, items := range h.items {
			var found findings
			c.each(w, h.variants(columns...), func(as library.Assignment) {
				t := thingOf(m, as)
				if t == nil || !slices.Contains(h.counts(t, as), m.Count) {
					return
				}
				said := func(n int) bool {
					return slices.ContainsFunc(counted, func(o *library.Mention) bool { return o.Count == n && thingOf(o, as) == t })
				}
				sum, odd := 0, -1
				for i, it := range items {
					if o := it.For(as); o != nil && matches(t, o) {
						sum += it.Count
						if !said(it.Count) {
							odd = i
						}
					}
				}
				if odd >= 0 && !said(sum) {
					found.add(odd, as, items[odd], "")
				}
			})
			for _, f := range found.list {
				it, who := f.first.(library.Item), ""
				if c.differs(f.who, w) {
					who = f.text()
				}
				c.wrong("BP209", it.Span, "here stands x %d, the text says %s x %d%s", it.Count, quoted(strings.TrimPrefix(mentionName(m), "@")), m.Count, who).
					Relate(m.Span, "the text")
			}
		}
	}
}

// differs tells that a fault is not that of every member for whom the step is.
func (c *checker) differs(who []library.Assignment, w crowd) bool {
	if len(who) == 0 || len(who[0]) == 0 {
		return false
	}
	var variants []*library.Variant
	for _, m := range who[0] {
		variants = append(variants, m.Variant)
	}
	n := 0
	c.each(w, variants, func(library.Assignment) { n++ })
	return n != len(who)
}

// mentionName is a mention as written, without its count.
func mentionName(m *library.Mention) string {
	name, _, _ := strings.Cut(m.Span.Text(), " x ")
	return name
}

// offerHandled names what the step handles in the stead of what is mentioned.
func (c *checker) offerHandled(msg *message.Message, m *library.Mention, h *handling, t library.Thing, as library.Assignment) {
	msg.Helped("write what is done with it as an action, or its name without @")
	part, ok := t.(*library.Part)
	if !ok {
		return
	}
	for _, items := range h.items {
		for _, it := range items {
			o, ok := it.For(as).(*library.Part)
			if !ok || o.Place() != part.Place() {
				continue
			}
			name := o.Name
			if it.Column != nil {
				name = it.Column.Name
			}
			msg.Helped("the step handles %s", quoted(name)).Relate(it.Span, "handled here")
			if m.Column == nil || it.Column != nil {
				at := m.Span
				msg.Mend(source.Span{File: at.File, Start: at.Start, End: at.Start + len(mentionName(m))}, "@"+name)
			}
			return
		}
	}
}

// accepted gives the values of a dimension that the actions have for one
// combination of members, and tells whether a value in the text is one of them.
func (h *handling) accepted(q quantity.Quantity, as library.Assignment) (have []quantity.Quantity, ok bool) {
	for _, v := range h.values {
		o, has := v.For(as)
		if !has || o.Dimension() != q.Dimension() {
			continue
		}
		have = append(have, o)
		if cmp, err := o.Cmp(q); err == nil && cmp == 0 {
			ok = true
		}
	}
	for _, a := range h.worked {
		ok = ok || followsFrom(a, q, as)
	}
	return have, ok
}

// followsFrom tells whether a value in the text is one that is worked out from
// an action, to the digits written: a wrench's setting through an extension, or
// a temperature that makes a hot fit go and that the part may have.
func followsFrom(a library.Action, q quantity.Quantity, as library.Assignment) bool {
	switch a := a.(type) {
	case *library.Tighten:
		if a.Through == nil || a.Through.Extends == nil || a.With.Length == nil || q.Dimension() != quantity.Torque {
			return false
		}
		length, _ := a.With.Length.In(millimetre)
		extension, _ := a.Through.Extends.In(millimetre)
		for _, to := range a.To {
			t, ok := to.For(as)
			if !ok {
				continue
			}
			if n, err := t.In(q.Unit); err == nil && trade.WrenchSetting(n, length, extension).Round(max(0, q.Value.Places())).Equal(q.Value) {
				return true
			}
		}
	case *library.Heat:
		h, ok := warmthOf(a, as)
		if !ok || q.Dimension() != quantity.Temperature {
			return false
		}
		n, err := q.In(celsius)
		if err != nil {
			return false
		}
		if n.Equal(h.from) || n.Equal(h.need.Round(max(0, n.Places()))) || n.Equal(trade.GuideValue(h.need)) {
			return true
		}
		return h.most != nil && n.Cmp(h.need) >= 0 && n.Cmp(*h.most) <= 0
	}
	return false
}

// quantityInText judges a number that stands in the text.
func (c *checker) quantityInText(s *library.TextSpan, h *handling, w crowd) {
	var found findings
	c.each(w, append(variantsOf(h.values...), h.workedVariants()...), func(as library.Assignment) {
		c.unlike(&found, *s.Quantity, h, as)
	})
	for _, f := range found.list {
		m := f.noted(c.wrong("BP209", s.Span, "the text says %s, %s", plain(*s.Quantity), f.text()))
		if have := f.first.([]quantity.Quantity); len(have) == 1 && len(f.who[0]) == 0 {
			m.Mend(s.Span, have[0].Value.Exact()+" "+have[0].Unit.Code)
		}
	}
}

// workedVariants gives the variants that worked-out values differ by.
func (h *handling) workedVariants() []*library.Variant {
	var out []*library.Variant
	for _, a := range h.worked {
		if heat, ok := a.(*library.Heat); ok {
			out = append(out, heatVariants(heat)...)
		}
	}
	return out
}

// mentionedValue judges a value that the text takes from a table.
func (c *checker) mentionedValue(s *library.TextSpan, h *handling, w crowd) {
	col := s.Mention.Column
	v := library.Value{Column: col}
	var found findings
	c.each(w, variantsOf(append([]library.Value{v}, h.values...)...), func(as library.Assignment) {
		if q, ok := v.For(as); ok {
			c.unlike(&found, q, h, as)
		}
	})
	for _, f := range found.list {
		f.noted(c.wrong("BP209", s.Span, "the text gives %s, %s", quoted(col.Name), f.text()))
	}
}

func (c *checker) unlike(found *findings, q quantity.Quantity, h *handling, as library.Assignment) {
	have, ok := h.accepted(q, as)
	if ok || len(have) == 0 {
		return
	}
	words := make([]string, 0, len(have))
	for _, o := range have {
		if text := plain(o); !slices.Contains(words, text) {
			words = append(words, text)
		}
	}
	found.add(0, as, have, "the actions "+listed(words, "and"))
}
