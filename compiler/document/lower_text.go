package document

import (
	"cmp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf8"

	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
	"benchproof/dsl/source"
)

// text resolves a text: mentions become titles and numbers, quantities values.
func (l *lowerer) text(t library.Text) Text {
	var room [usual]Span
	out := Text(room[:0])
	start := true // of a sentence
	for _, s := range t.Spans {
		from := len(out)
		switch s.Kind {
		case library.TextPlain:
			out = appendPlain(out, s.Text)
		case library.TextStrong:
			out = append(out, Span{Kind: Strong, Text: s.Text})
		case library.TextEmphasis:
			out = append(out, Span{Kind: Emphasis, Text: s.Text})
		case library.TextCode:
			out = append(out, Span{Kind: Code, Text: s.Text})
		case library.TextLink:
			out = append(out, Span{Kind: Link, Text: s.Text, Href: s.Href})
		case library.TextQuantity:
			out = append(out, Span{Kind: Value, Text: l.written(*s.Quantity, s.Span)})
		case library.TextMention:
			m := l.mention(s.Mention)
			if start && len(m) > 0 {
				m[0].Text = upperFirst(m[0].Text)
			}
			for _, x := range m {
				if x.Kind == Plain && x.Thing == nil {
					out = appendPlain(out, x.Text)
				} else {
					out = append(out, x)
				}
			}
		}
		if len(out) == from && s.Kind != library.TextPlain {
			continue
		}
		start = endsSentence(out, start)
	}
	return snug(out)
}

// endsSentence tells whether what follows begins a sentence.
func endsSentence(t Text, start bool) bool {
	if len(t) == 0 {
		return start
	}
	s := t[len(t)-1].Text
	trimmed := strings.TrimRight(s, " \u00a0\t\n")
	switch {
	case trimmed == "":
		return start
	case len(trimmed) == len(s):
		return false
	}
	return strings.HasSuffix(trimmed, ".") || strings.HasSuffix(trimmed, "!") || strings.HasSuffix(trimmed, "?")
}

// mention prints what a text mentions.
func (l *lowerer) mention(m *library.Mention) Text {
	count := 0
	if m.Counted {
		count = m.Count
	}
	if m.Column != nil {
		if m.Column.IsThings() {
			return l.thingsText(l.thingCases(m.Column, nil), count)
		}
		return l.valueText(library.Value{Column: m.Column})
	}
	switch s := m.Symbol.(type) {
	case library.Thing:
		if m.Said != "" {
			said := *l.thing(s)
			said.Title, said.Plural, said.Forms = m.Said, m.Said, nil
			out := l.thingText(&said, count)
			for i := range out {
				if out[i].Thing != nil {
					out[i].Thing = l.thing(s)
				}
			}
			return out
		}
		return l.thingText(l.thing(s), count)
	case *library.Question:
		return words(cmp.Or(m.Said, s.Short))
	case *library.Procedure:
		return titled(cmp.Or(m.Said, s.Title), s.Document)
	case *library.Kit:
		return titled(cmp.Or(m.Said, s.Title), s.Number)
	default:
		d := s.Declared()
		if m.Said != "" {
			return words(m.Said)
		}
		if d.Title == "" {
			return words(d.Name)
		}
		return words(d.Title)
	}
}

func titled(title, number string) Text {
	out := words(title)
	if number != "" {
		out = append(appendPlain(out, " "), Span{Kind: ID, Text: number})
	}
	return out
}

// thingText prints a thing: title and number, "6 casing nuts P-1008"; count 0
// where none is said.
func (l *lowerer) thingText(t *Thing, count int) Text {
	out := Text{{Kind: Plain, Text: l.countedTitle(t, count), Thing: t}}
	if t.Number != "" {
		return append(out, Span{Kind: Plain, Text: " "}, Span{Kind: ID, Text: t.Number, Thing: t})
	}
	if t.Detail != "" && l.sameTitle(t) {
		out = append(out, Span{Kind: Plain, Text: ", " + t.Detail})
	}
	return out
}

// sameTitle tells whether another thing has a thing's title, so that its
// detail tells them apart.
func (l *lowerer) sameTitle(t *Thing) bool { return library.Derived(l.lib, countTitles)[t.Title] > 1 }

// titleCounts counts the things of each title.
type titleCounts map[string]int

func countTitles(lib *library.Library) titleCounts {
	out := titleCounts{}
	for _, x := range lib.Tools {
		out[x.Title]++
	}
	for _, x := range lib.Parts {
		out[x.Title]++
	}
	for _, x := range lib.Consumables {
		out[x.Title]++
	}
	return out
}

func (l *lowerer) countedTitle(t *Thing, count int) string {
	switch {
	case count == 0:
		return t.Title
	case count == 1:
		return "1 " + t.Title
	case t.Plural != "":
		return strconv.Itoa(count) + " " + l.w.Several(t, count)
	}
	return strconv.Itoa(count) + " × " + t.Title
}

// Plural gives the regular English plural of a title; empty where the title is
// not of a form that has one for sure.
func Plural(title string) string {
	if head, tail, ok := strings.Cut(title, " of "); ok {
		if p := Plural(head); p != "" {
			return p + " of " + tail
		}
		return ""
	}
	if title == "" || strings.ContainsAny(title, ",()") {
		return ""
	}
	r, _ := utf8.DecodeLastRuneInString(title)
	if r >= utf8.RuneSelf || !unicode.IsLower(r) {
		return ""
	}
	end := func(list ...string) bool {
		for _, e := range list {
			if strings.HasSuffix(title, e) {
				return true
			}
		}
		return false
	}
	switch {
	case end("ss", "x", "z", "ch", "sh"):
		return title + "es"
	case r == 's':
		return title
	case r == 'y' && !end("ay", "ey", "oy", "uy"):
		return title[:len(title)-1] + "ies"
	}
	return title + "s"
}

// --- values by member ---------------------------------------------------------------

// A thingCase is the thing for some members; no members: for all.
type thingCase struct {
	thing   library.Thing
	members []*library.Member
}

// thingCases gives what an item or a column means for the members at hand.
func (l *lowerer) thingCases(c *library.Column, t library.Thing) []thingCase {
	if c == nil {
		if t == nil {
			return nil
		}
		return []thingCase{{thing: t}}
	}
	var out []thingCase
members:
	for _, m := range l.told(c.Table.Variant) {
		t := library.Item{Column: c}.For(library.Assignment{m})
		if t == nil {
			continue
		}
		for i := range out {
			if out[i].thing == t {
				out[i].members = append(out[i].members, m)
				continue members
			}
		}
		out = append(out, thingCase{t, []*library.Member{m}})
	}
	if len(out) == 1 {
		out[0].members = nil
	}
	return out
}

func (l *lowerer) itemCases(it library.Item) []thingCase { return l.thingCases(it.Column, it.Thing) }

// thingsText prints the things of some cases: "mechanical seal P-2032
// (size 32) or P-2040 (size 40)". The title stands once where it is the same.
func (l *lowerer) thingsText(cases []thingCase, count int) Text {
	if len(cases) == 1 {
		return l.thingText(l.thing(cases[0].thing), count)
	}
	parts := make([]Text, len(cases))
	for i, c := range cases {
		t := l.thing(c.thing)
		if i > 0 && t.Number != "" && t.Title == l.thing(cases[0].thing).Title {
			parts[i] = Text{{Kind: ID, Text: t.Number, Thing: t}}
		} else {
			parts[i] = l.thingText(t, count)
		}
		parts[i] = append(parts[i], Span{Kind: Plain, Text: " (" + memberTitles(c.members) + ")"})
	}
	return listed(parts, l.ph.orList, l.ph.or)
}

func (l *lowerer) itemText(it library.Item) Text {
	count := 0
	if it.Count > 1 {
		count = it.Count
	}
	return l.thingsText(l.itemCases(it), count)
}

func memberTitles(list []*library.Member) string {
	titles := make([]string, len(list))
	for i, m := range list {
		titles[i] = m.Title
	}
	return strings.Join(titles, ", ")
}

// A valueCase is a printed value for some members; no members: for all.
type valueCase struct {
	text    string
	value   quantity.Quantity
	members []*library.Member
}

// valueCases gives a value for the members at hand, as it is written.
func (l *lowerer) valueCases(v library.Value) []valueCase {
	if v.Column == nil {
		return []valueCase{{text: l.written(v.Quantity, v.Span), value: v.Quantity}}
	}
	var out []valueCase
members:
	for _, m := range l.told(v.Column.Table.Variant) {
		q, ok := v.For(library.Assignment{m})
		if !ok {
			continue
		}
		text := l.written(q, v.Column.Spans[m.Index])
		for i := range out {
			if out[i].text == text {
				out[i].members = append(out[i].members, m)
				continue members
			}
		}
		out = append(out, valueCase{text, q, []*library.Member{m}})
	}
	if len(out) == 1 {
		out[0].members = nil
	}
	return out
}

// valueText prints a value: "60 N·m (frame 132) or 110 N·m (frame 160)".
func (l *lowerer) valueText(v library.Value) Text { return l.casesText(l.valueCases(v)) }

func (l *lowerer) casesText(cases []valueCase) Text {
	parts := make([]Text, len(cases))
	for i, c := range cases {
		parts[i] = value(c.text)
		if len(c.members) > 0 {
			parts[i] = appendPlain(parts[i], " ("+memberTitles(c.members)+")")
		}
	}
	return listed(parts, l.ph.orList, l.ph.or)
}

// valuesBy works a value out of several for each member that one of them
// differs by. f gets the assignment and gives what is printed.
func (l *lowerer) valuesBy(values []*library.Value, f func(library.Assignment) (string, bool)) []valueCase {
	var variants []*library.Variant
	for _, v := range values {
		if v != nil && v.Column != nil {
			variants = appendNew(variants, v.Column.Table.Variant)
		}
	}
	if len(variants) == 0 {
		text, ok := f(nil)
		if !ok {
			return nil
		}
		return []valueCase{{text: text}}
	}
	// Values that differ by two families at once are told by the first only
	// where the second makes no difference; else each is told by all members.
	var out []valueCase
	for _, a := range l.assignments(variants) {
		text, ok := f(a)
		if !ok {
			continue
		}
		found := false
		for i := range out {
			if out[i].text == text {
				out[i].members, found = append(out[i].members, a...), true
				break
			}
		}
		if !found {
			out = append(out, valueCase{text: text, members: a})
		}
	}
	if len(out) == 1 {
		out[0].members = nil
	}
	return out
}

func appendNew[T comparable](list []T, x T) []T {
	for _, o := range list {
		if o == x {
			return list
		}
	}
	return append(list, x)
}

// written prints a quantity with the decimals it is written with at a place:
// 31.80 stays 31.80.
func (l *lowerer) written(q quantity.Quantity, at source.Span) string {
	places, exact := decimals(at.Text()), q.Value.Places()
	if exact < 0 || exact > places {
		return l.w.Numeral(q.String())
	}
	return l.w.Numeral(q.Format(places))
}

// decimals counts the decimals of the number that a text begins with.
func decimals(s string) int {
	_, s, ok := strings.Cut(s, ".")
	n := 0
	for ok && n < len(s) && s[n] >= '0' && s[n] <= '9' {
		n++
	}
	return n
}

// --- letters --------------------------------------------------------------------------

func upperFirst(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if !unicode.IsLower(r) {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}

// inSentence writes a title as it stands within a sentence: "Motor supply"
// loses its capital, "DN 80" and "V-belt" keep theirs. Where nouns have one of
// their own, only an article loses it.
func (l *lowerer) inSentence(s string) string {
	if first, _, _ := strings.Cut(s, " "); l.ph.nouns && !l.ph.openers[strings.ToLower(first)] {
		return s
	}
	r, n := utf8.DecodeRuneInString(s)
	next, _ := utf8.DecodeRuneInString(s[n:])
	if unicode.IsUpper(r) && (unicode.IsLower(next) || next == ' ') {
		return string(unicode.ToLower(r)) + s[n:]
	}
	return s
}
