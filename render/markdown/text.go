package markdown

import (
	"fmt"
	"strconv"
	"strings"

	"benchproof/compiler/document"
)

// A setting says where an inline stands.
type setting uint8

const (
	inText  setting = 0
	inTable setting = 1 << iota // bars are escaped, line breaks impossible
	atStart                     // first on its line
	weighty                     // values are set in weight: limits and torques
)

// spans gives the inlines of a text.
func (r *renderer) spans(text document.Text, s setting) []byte {
	if len(text) == 1 && text[0].Kind == document.Plain {
		return appendEscaped(r.slot(len(text[0].Text)+4), text[0].Text, s&atStart != 0)
	}
	var few [16][]byte
	pieces := few[:]
	if len(text) >= len(few) {
		pieces = make([][]byte, len(text)+1)
	}
	size := 4
	for i := range text {
		pieces[i] = r.span(&text[i], s)
		size += len(pieces[i]) + 4
	}
	b := r.slot(size)
	for i := range text {
		if n := len(b); n > 0 && b[n-1] == '!' && len(pieces[i]) > 0 && pieces[i][0] == '[' {
			b = append(b[:n-1], `\!`...) // else the link behind it is read as an image
		}
		switch text[i].Kind {
		case document.Strong, document.ID:
			b = appendWeighted(b, pieces[i], true, pieces[i+1])
		case document.Emphasis:
			b = appendWeighted(b, pieces[i], false, pieces[i+1])
		case document.Value:
			if s&weighty != 0 {
				b = appendWeighted(b, pieces[i], true, pieces[i+1])
			} else {
				b = append(b, pieces[i]...)
			}
		case document.Plain:
			if i == 0 && s&atStart != 0 {
				b = appendEscaped(b, text[i].Text, true)
			} else {
				b = append(b, pieces[i]...)
			}
		default:
			b = append(b, pieces[i]...)
		}
	}
	return b
}

// span gives one inline without its weight.
func (r *renderer) span(s *document.Span, where setting) []byte {
	switch s.Kind {
	case document.Plain, document.Strong, document.Emphasis, document.ID, document.Value, document.Mark:
		return r.plain(s.Text)
	case document.Code:
		return appendCode(r.slot(len(s.Text)+4), s.Text, where&inTable != 0)
	case document.Link:
		if !leads(s.Href) {
			return r.plain(s.Text)
		}
		return r.link(s.Text, s.Href)
	case document.StepRef:
		return r.stepLink(s.Step, s.Text)
	case document.FinishRef:
		return r.link(s.Text, "#"+s.Finish)
	}
	r.fail(fmt.Errorf("a span of kind %q", s.Kind))
	return nil
}

// leads holds for http, https and mailto addresses and for paths beside the
// document. The text of any other link stands without it.
func leads(href string) bool {
	scheme, _, found := strings.Cut(href, ":")
	if !found || strings.ContainsAny(scheme, "/?#") {
		return href != "" && !strings.HasPrefix(href, "//")
	}
	switch strings.ToLower(scheme) {
	case "http", "https", "mailto":
		return true
	}
	return false
}

func (r *renderer) link(text, address string) []byte {
	b := append(r.slot(len(text)+len(address)+8), '[')
	b = appendEscaped(b, text, false)
	b = append(b, "]("...)
	b = appendAddress(b, address)
	return append(b, ')')
}

func (r *renderer) stepLink(n int, text string) []byte {
	b := append(r.slot(len(text)+20), '[')
	b = appendEscaped(b, text, false)
	b = append(b, "](#step-"...)
	b = strconv.AppendInt(b, int64(n), 10)
	return append(b, ')')
}

// strong gives words of ours or of the sources in weight.
func (r *renderer) strong(text string) []byte {
	inline := appendEscaped(r.slot(len(text)+4), text, false)
	return appendWeighted(r.slot(len(inline)+4), inline, true, nil)
}

func (r *renderer) plain(text string) []byte {
	return appendEscaped(r.slot(len(text)+4), text, false)
}

// join puts inlines one behind the other with a separator, leaving out empty ones.
func (r *renderer) join(separator string, parts ...[]byte) []byte {
	n := 0
	for _, p := range parts {
		n += len(p) + len(separator)
	}
	b := r.slot(n)
	for _, p := range parts {
		if len(p) == 0 {
			continue
		}
		if len(b) > 0 {
			b = append(b, separator...)
		}
		b = append(b, p...)
	}
	return b
}

// thing gives a thing by title, number and detail.
func (r *renderer) thing(t *document.Thing, count int) []byte {
	b := r.slot(len(t.Title) + len(t.Plural) + len(t.Number) + len(t.Detail) + 24)
	title := t.Title
	if count > 1 {
		b = fmt.Appendf(b, "%d × ", count)
		if t.Plural != "" {
			title = r.words.Several(t, count)
		}
	}
	b = appendEscaped(b, title, false)
	if t.Number != "" {
		b = append(b, ' ')
		b = append(b, r.strong(t.Number)...)
	}
	if t.Detail != "" {
		b = append(b, ", "...)
		b = appendEscaped(b, t.Detail, false)
	}
	return b
}

// things gives several, with their counts.
func (r *renderer) things(list []document.Counted) []byte {
	var parts [][]byte
	for _, c := range list {
		thing := r.thing(c.Thing, c.Count)
		if c.Only != "" {
			thing = r.join(" ", thing, r.plain("("+c.Only+")"))
		}
		parts = append(parts, thing)
	}
	return r.join("; ", parts...)
}

// steps gives links to steps by their numbers.
func (r *renderer) steps(list []int) []byte {
	b := r.slot(24 * len(list))
	for i, n := range list {
		if i > 0 {
			b = append(b, ", "...)
		}
		b = append(b, r.stepLink(n, strconv.Itoa(n))...)
	}
	return b
}

// target gives where the work goes on.
func (r *renderer) target(t document.Target) []byte {
	switch {
	case t.Finish != "":
		return r.link(t.Text, "#"+t.Finish)
	case t.Step != 0:
		return r.stepLink(t.Step, t.Text)
	case t.Decision != "":
		return r.link(t.Text, "#"+t.Decision)
	}
	return r.plain(t.Text)
}

func (r *renderer) state(s document.State) []byte {
	return r.join(r.words.Colon(), r.plain(s.ConditionTitle), r.strong(s.StateTitle))
}

func (r *renderer) states(list []document.State) []byte {
	var parts [][]byte
	for _, s := range list {
		parts = append(parts, r.state(s))
	}
	return r.join("; ", parts...)
}

// members names the members that something holds for; none: all.
func members(list []document.Chosen) string {
	var titles []string
	for _, c := range list {
		titles = append(titles, c.MemberTitle)
	}
	return strings.Join(titles, ", ")
}

// limits gives limits by member: "size 32: 31.954 mm* to 32.006 mm*; size 40: …".
func (r *renderer) limits(list []document.MemberLimits, s setting) []byte {
	var parts [][]byte
	for _, m := range list {
		text := r.spans(m.Limits.Text, s|weighty)
		if m.Limits.Impossible {
			text = []byte("—")
		}
		parts = append(parts, r.join(r.words.Colon(), r.plain(members(m.Members)), text))
	}
	return r.join("; ", parts...)
}
