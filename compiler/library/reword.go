package library

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"
)

// A Blank is a mention or a quantity of a text as a translation writes it: a name
// in braces. What stands for it is the source's, so that no translation can say
// another tool or another value.
type Blank struct {
	Name string
	Span TextSpan
}

// Blanks names the mentions and quantities of a text, each once: a thing by its
// declared name, a quantity by what it measures. Where a name would stand for
// two, the second is "time#2".
func (t Text) Blanks() []Blank {
	var list []Blank
	seen := map[string]int{}
	for _, s := range t.Spans {
		base := ""
		switch s.Kind {
		case TextMention:
			if base = mentioned(s.Mention).Declared().Name; s.Mention.Column != nil {
				base = s.Mention.Column.Name
			}
		case TextQuantity:
			base = strings.ReplaceAll(s.Quantity.Dimension().String(), " ", "-")
		default:
			continue
		}
		if slices.ContainsFunc(list, func(b Blank) bool { return b.same(s) }) {
			continue
		}
		name := base
		if seen[base]++; seen[base] > 1 {
			name += "#" + strconv.Itoa(seen[base])
		}
		list = append(list, Blank{name, s})
	}
	return list
}

func mentioned(m *Mention) Symbol {
	if m.Column != nil {
		return m.Column
	}
	return m.Symbol
}

// same tells whether a span says what the blank stands for.
func (b Blank) same(s TextSpan) bool {
	if b.Span.Kind != s.Kind {
		return false
	}
	if s.Kind == TextMention {
		x, y := b.Span.Mention, s.Mention
		return mentioned(x) == mentioned(y) && x.Count == y.Count && x.Counted == y.Counted
	}
	return b.Span.Text == s.Text && b.Span.Span.Text() == s.Span.Text()
}

// signs are what a translation writes doubled or behind a backslash to mean the
// sign itself.
var signs = strings.NewReplacer(`\`, `\\`, "*", `\*`, "_", `\_`, "`", "\\`", "[", `\[`, "]", `\]`, "{", "{{", "}", "}}")

// Source writes a text as a translation writes it: with markup, and blanks in
// braces.
func (t Text) Source() string {
	var b strings.Builder
	blanks := t.Blanks()
	open := TextPlain
	// Emphasis goes on over a blank between two stretches of it.
	goesOn := func(i int) bool {
		for _, s := range t.Spans[i:] {
			if s.Kind != TextMention && s.Kind != TextQuantity {
				return s.Kind == open
			}
		}
		return false
	}
	mark := map[TextKind]string{TextStrong: "**", TextEmphasis: "*"}
	for i, s := range t.Spans {
		isBlank := s.Kind == TextMention || s.Kind == TextQuantity
		if open != TextPlain && (isBlank && !goesOn(i) || !isBlank && s.Kind != open) {
			b.WriteString(mark[open])
			open = TextPlain
		}
		if open == TextPlain && mark[s.Kind] != "" {
			b.WriteString(mark[s.Kind])
			open = s.Kind
		}
		switch s.Kind {
		case TextMention, TextQuantity:
			at := slices.IndexFunc(blanks, func(x Blank) bool { return x.same(s) })
			b.WriteString("{" + blanks[at].Name + "}")
		case TextCode:
			b.WriteString("`" + s.Text + "`")
		case TextLink:
			b.WriteString("[" + signs.Replace(s.Text) + "](" + s.Href + ")")
		default:
			b.WriteString(signs.Replace(s.Text))
		}
	}
	b.WriteString(mark[open])
	return b.String()
}

// Reword puts the words of a translation in the place of a text's own. The
// translation names the same blanks, each at least once, in any order;
// "{spanner-13|Schlüsseln}" says a thing with these words instead of its title.
// Numbers that stand in plain words must be the same, too. The faults say in
// words fit for a message what is not so; the text is whole all the same.
func (t Text) Reword(translation string) (Text, []string) {
	r := &rewording{blanks: t.Blanks(), used: map[string]bool{}}
	p := &textParser{value: translation, place: t.Span, reword: r}
	if n := strings.Count(translation, "*") + strings.Count(translation, "_") + strings.Count(translation, "[") + strings.Count(translation, "`"); n > maxMarks {
		r.fault("it has %d signs of markup, such as * and [; it may have %d", n, maxMarks)
		p.plain(translation, 0, TextPlain, "")
	} else if strings.ContainsAny(translation, markup) {
		p.markup()
	} else {
		p.plain(translation, 0, TextPlain, "")
	}
	for _, b := range r.blanks {
		if !r.used[b.Name] {
			r.fault("{%s} is missing", b.Name)
		}
	}
	links := func(spans []TextSpan) (out []string) {
		for _, s := range spans {
			if s.Kind == TextLink {
				out = append(out, s.Href)
			}
		}
		slices.Sort(out)
		return slices.Compact(out)
	}
	if a, b := links(t.Spans), links(p.spans); !slices.Equal(a, b) {
		r.fault("its links lead to %s, those of the text to %s", orNone(b), orNone(a))
	}
	r.faults = append(r.faults, OtherNumbers(wordsOf(t.Spans), wordsOf(p.spans))...)
	return Text{Spans: p.spans, Span: t.Span}, r.faults
}

func orNone(list []string) string {
	if len(list) == 0 {
		return "nowhere"
	}
	return strings.Join(list, ", ")
}

func wordsOf(spans []TextSpan) string {
	var b strings.Builder
	for _, s := range spans {
		if s.Kind != TextMention && s.Kind != TextQuantity {
			b.WriteString(s.Text)
		}
		b.WriteByte(' ')
	}
	return b.String()
}

var number = regexp.MustCompile(`\d+(?:[.,]\d+)*`)

// OtherNumbers tells which numbers stand in one of two texts and not in the
// other; a comma is a point.
func OtherNumbers(text, translation string) (faults []string) {
	find := func(s string) []string {
		list := number.FindAllString(s, -1)
		for i := range list {
			list[i] = strings.ReplaceAll(list[i], ",", ".")
		}
		return list
	}
	a, b := find(text), find(translation)
	for _, n := range a {
		if !slices.Contains(b, n) {
			faults = append(faults, fmt.Sprintf("the number %s is missing", n))
		}
	}
	for _, n := range b {
		if !slices.Contains(a, n) {
			faults = append(faults, fmt.Sprintf("the number %s does not stand in the text", n))
		}
	}
	slices.Sort(faults)
	return slices.Compact(faults)
}

type rewording struct {
	blanks []Blank
	used   map[string]bool
	faults []string
}

func (r *rewording) fault(format string, args ...any) {
	r.faults = append(r.faults, fmt.Sprintf(format, args...))
}

// split takes blanks out of a run of words.
func (r *rewording) split(p *textParser, run string, kind TextKind, href string) {
	var plain strings.Builder
	flush := func() {
		if plain.Len() > 0 {
			p.spans = append(p.spans, TextSpan{Kind: kind, Text: plain.String(), Href: href, Span: p.place})
			plain.Reset()
		}
	}
	for i := 0; i < len(run); {
		switch {
		case strings.HasPrefix(run[i:], "{{"), strings.HasPrefix(run[i:], "}}"):
			plain.WriteByte(run[i])
			i += 2
		case run[i] == '{':
			end := strings.IndexByte(run[i:], '}')
			if end < 0 {
				r.fault("a brace is opened and not closed: {{ is a brace")
				plain.WriteString(run[i:])
				i = len(run)
				continue
			}
			flush()
			if s, ok := r.blank(run[i+1 : i+end]); ok {
				p.spans = append(p.spans, s)
			}
			i += end + 1
		default:
			plain.WriteByte(run[i])
			i++
		}
	}
	flush()
}

// blank gives what a name in braces stands for.
func (r *rewording) blank(inside string) (TextSpan, bool) {
	name, said, worded := strings.Cut(inside, "|")
	name, said = strings.TrimSpace(name), strings.TrimSpace(said)
	at := slices.IndexFunc(r.blanks, func(b Blank) bool { return b.Name == name })
	if at < 0 {
		r.fault("the text has no {%s}", name)
		return TextSpan{}, false
	}
	r.used[name] = true
	s := r.blanks[at].Span
	if worded {
		if s.Kind != TextMention || s.Mention.Column != nil {
			r.fault("{%s} is no thing with a title, so no words can stand behind its |", name)
			return s, true
		}
		m := *s.Mention
		m.Said = said
		s.Mention = &m
	}
	return s, true
}
