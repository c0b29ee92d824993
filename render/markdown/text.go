package markdown

import (
	"fmt"
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
		return appendEscaped(nil, text[0].Text, s&atStart != 0)
	}
	// From the end, since what follows decides how emphasis can be written.
	pieces := make([][]byte, len(text)+1)
	for i := len(text) - 1; i >= 0; i-- {
		pieces[i] = r.span(&text[i], s&^atStart, pieces[i+1])
	}
	var b []byte
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
			b = appendEscaped(b, text[i].Text, s&atStart != 0 && i == 0)
		default:
			b = append(b, pieces[i]...)
		}
	}
	return b
}

// span gives one inline without its weight.
func (r *renderer) span(s *document.Span, where setting, next []byte) []byte {
	switch s.Kind {
	case document.Plain, document.Strong, document.Emphasis, document.ID, document.Value, document.Mark:
		return appendEscaped(nil, s.Text, false)
	case document.Code:
		return appendCode(nil, s.Text, where&inTable != 0)
	case document.Link:
		scheme, _, ok := strings.Cut(s.Href, ":")
		if scheme = strings.ToLower(scheme); !ok || scheme != "http" && scheme != "https" && scheme != "mailto" {
			r.fail(fmt.Errorf("a link to %q", s.Href))
			return nil
		}
		return link(s.Text, s.Href)
	case document.StepRef:
		return r.stepLink(s.Step, s.Text)
	case document.FinishRef:
		return link(s.Text, "#"+s.Finish)
	}
	r.fail(fmt.Errorf("a span of kind %q", s.Kind))
	return nil
}

func link(text, address string) []byte {
	b := append([]byte(nil), '[')
	b = appendEscaped(b, text, false)
	b = append(b, "]("...)
	b = appendAddress(b, address)
	return append(b, ')')
}

func (r *renderer) stepLink(n int, text string) []byte {
	return link(text, fmt.Sprintf("#step-%d", n))
}

// strong gives words of ours or of the sources in weight.
func strong(text string) []byte {
	return appendWeighted(nil, appendEscaped(nil, text, false), true, nil)
}

func plain(text string) []byte { return appendEscaped(nil, text, false) }

// join puts inlines one behind the other with a separator, leaving out empty ones.
func join(separator string, parts ...[]byte) []byte {
	var b []byte
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
func thing(t *document.Thing, count int) []byte {
	var b []byte
	title := t.Title
	if count > 1 {
		b = fmt.Appendf(b, "%d × ", count)
		if t.Plural != "" {
			title = t.Plural
		}
	}
	b = appendEscaped(b, title, false)
	if t.Number != "" {
		b = append(b, ' ')
		b = append(b, strong(t.Number)...)
	}
	if t.Detail != "" {
		b = append(b, ", "...)
		b = appendEscaped(b, t.Detail, false)
	}
	return b
}

// things gives several, with their counts.
func things(list []document.Counted) []byte {
	var parts [][]byte
	for _, c := range list {
		parts = append(parts, thing(c.Thing, c.Count))
	}
	return join("; ", parts...)
}

// steps gives links to steps by their numbers.
func (r *renderer) steps(list []int) []byte {
	var b []byte
	for i, n := range list {
		if i > 0 {
			b = append(b, ", "...)
		}
		b = append(b, r.stepLink(n, fmt.Sprint(n))...)
	}
	return b
}

// target gives where the work goes on.
func (r *renderer) target(t document.Target) []byte {
	switch {
	case t.Finish != "":
		return link(t.Text, "#"+t.Finish)
	case t.Step != 0:
		return r.stepLink(t.Step, t.Text)
	}
	return plain(t.Text)
}

func state(s document.State) []byte {
	return join(": ", plain(s.ConditionTitle), strong(s.StateTitle))
}

func states(list []document.State) []byte {
	var parts [][]byte
	for _, s := range list {
		parts = append(parts, state(s))
	}
	return join("; ", parts...)
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
		parts = append(parts, join(": ", plain(members(m.Members)), text))
	}
	return join("; ", parts...)
}
