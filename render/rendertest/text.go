package rendertest

import (
	"strings"

	"benchproof/compiler/document"
)

// A writer turns the sample's short notation into spans, the way the lowering
// does from sources: @name prints a thing's title and number, [..] a value,
// *..* a strong word and > n < a link to a step.
type writer struct {
	things map[string]*document.Thing
}

// text reads the notation. A mention that names nothing is a mistake of the
// sample and stops the test that uses it.
func (w writer) text(s string) document.Text {
	var out document.Text
	plain := func(p string) {
		if p != "" {
			out = append(out, document.Span{Kind: document.Plain, Text: p})
		}
	}
	for s != "" {
		i := strings.IndexAny(s, "@[*")
		if i < 0 {
			plain(s)
			break
		}
		plain(s[:i])
		switch s[i] {
		case '@':
			j := i + 1
			for j < len(s) && (s[j] == '-' || s[j] >= '0' && s[j] <= '9' || s[j] >= 'a' && s[j] <= 'z') {
				j++
			}
			out = append(out, w.mention(s[i+1:j], 1)...)
			s = s[j:]
		case '[':
			j := strings.IndexByte(s, ']')
			out = append(out, document.Span{Kind: document.Value, Text: s[i+1 : j]})
			s = s[j+1:]
			if strings.HasPrefix(s, "*") {
				out = append(out, document.Span{Kind: document.Mark, Text: "*"})
				s = s[1:]
			}
		case '*':
			j := i + 1 + strings.IndexByte(s[i+1:], '*')
			out = append(out, document.Span{Kind: document.Strong, Text: s[i+1 : j]})
			s = s[j+1:]
		}
	}
	return out
}

// mention prints a thing as a text does.
func (w writer) mention(name string, count int) document.Text {
	t := w.things[name]
	if t == nil {
		panic("the sample mentions " + name + ", which it does not declare")
	}
	title := t.Title
	if count > 1 && t.Plural != "" {
		title = number(count) + " " + t.Plural
	}
	out := document.Text{{Kind: document.Plain, Text: title, Thing: t}}
	if t.Number != "" {
		out = append(out, document.Span{Kind: document.Plain, Text: " "}, document.Span{Kind: document.ID, Text: t.Number, Thing: t})
	}
	return out
}

func number(n int) string {
	words := [...]string{"no", "one", "two", "three", "four", "five", "six", "seven", "eight"}
	if n < len(words) {
		return words[n]
	}
	return itoa(n)
}
