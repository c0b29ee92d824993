package compare

import (
	"strconv"
	"strings"
	"unicode"

	"benchproof/compiler/library"
)

// A token is one word of a text: what it stands for, and what a reader sees. A
// mention stands for the thing, so that a thing's other title rewords nothing.
type token struct {
	key, show string
	glued     bool // no space before it
}

// tokens parts a text into words. Runs of white space are one space.
func (n *names) tokens(t library.Text) []token {
	var out []token
	spaced := true
	add := func(key, show string) {
		out = append(out, token{key, show, !spaced && len(out) > 0})
		spaced = false
	}
	for i := range t.Spans {
		s := &t.Spans[i]
		mark := ""
		switch s.Kind {
		case library.TextStrong:
			mark = "strong "
		case library.TextEmphasis:
			mark = "emphasis "
		case library.TextCode:
			mark = "code "
		case library.TextLink:
			mark = "link " + s.Href + " "
		case library.TextMention:
			key, show := n.mention(s.Mention)
			add("@"+key, show)
			continue
		case library.TextQuantity:
			if s.Quantity != nil {
				add(quantityKey(*s.Quantity), quantityText(*s.Quantity))
				continue
			}
		}
		for _, w := range words(s.Text) {
			spaced = spaced || w.spaced
			text := strings.TrimRight(w.text, ".,;:!?")
			if text != "" {
				add(mark+text, text)
			}
			if end := w.text[len(text):]; end != "" {
				add(mark+end, end)
			}
		}
	}
	return out
}

type word struct {
	text   string
	spaced bool
}

// words parts a text at white space; an empty word at the end says that space
// follows. No-break spaces part too: they differ in layout alone.
func words(s string) []word {
	var out []word
	spaced := false
	start := -1
	for i, r := range s {
		if unicode.IsSpace(r) {
			if start >= 0 {
				out = append(out, word{s[start:i], spaced})
				start = -1
			}
			spaced = true
			continue
		}
		if start < 0 {
			if start = i; len(out) > 0 {
				spaced = true
			}
		}
	}
	switch {
	case start >= 0:
		out = append(out, word{s[start:], spaced})
	case spaced:
		out = append(out, word{"", true})
	}
	return out
}

// plain parts a text that has no mentions.
func plain(s string) []token {
	var out []token
	for _, w := range strings.Fields(s) {
		text := strings.TrimRight(w, ".,;:!?")
		if text != "" {
			out = append(out, token{text, text, false})
		}
		if end := w[len(text):]; end != "" {
			out = append(out, token{end, end, text != ""})
		}
	}
	return out
}

func (n *names) mention(m *library.Mention) (key, show string) {
	if m == nil {
		return "", ""
	}
	if m.Column != nil {
		key, show = n.key(m.Column), m.Column.Name
	} else {
		key, show = n.key(m.Symbol), symbol(m.Symbol)
		if t, ok := m.Symbol.(library.Thing); ok && m.Count > 1 {
			if p := library.CommonOf(t).Plural; p != "" {
				show = strings.Replace(show, titleOf(m.Symbol.Declared()), p, 1)
			}
		}
	}
	if m.Counted {
		key += " x " + strconv.Itoa(m.Count)
		show = strconv.Itoa(m.Count) + " " + show
	}
	return key, show
}

func keyOf(list []token) string {
	var b strings.Builder
	for i, t := range list {
		if i > 0 && !t.glued {
			b.WriteByte(' ')
		}
		b.WriteString(t.key)
	}
	return b.String()
}

func showOf(list []token) string {
	var b strings.Builder
	for i, t := range list {
		if i > 0 && !t.glued {
			b.WriteByte(' ')
		}
		b.WriteString(t.show)
	}
	return b.String()
}

// marked sets the words of two texts in one line and marks those that are gone
// and those that were added.
func marked(old, new []token) []Word {
	var out []Word
	add := func(t token, c Change) {
		text := t.show
		if len(out) > 0 {
			last := &out[len(out)-1]
			if last.Change == c {
				last.Text += pick(t.glued, "", " ") + text
				return
			}
			// The space before a stretch is its own: it comes and goes with it.
			text = pick(t.glued, "", " ") + text
		}
		out = append(out, Word{text, c})
	}
	i, j := 0, 0
	for _, m := range common(len(old), len(new), func(i, j int) int { return same(old[i].key == new[j].key) }) {
		for ; i < m[0]; i++ {
			add(old[i], Gone)
		}
		for ; j < m[1]; j++ {
			add(new[j], Added)
		}
		add(new[j], "")
		i, j = i+1, j+1
	}
	for ; i < len(old); i++ {
		add(old[i], Gone)
	}
	for ; j < len(new); j++ {
		add(new[j], Added)
	}
	return out
}

func same(b bool) int {
	if b {
		return 1
	}
	return 0
}
