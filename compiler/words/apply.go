package words

import (
	"strconv"
	"strings"
	"unicode/utf8"

	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/dsl/message"
)

// marker begins and ends the number of a text without a translation, in front
// of it: a code point that no text may hold.
const marker = '\uFDD0'

// Apply lets a library say its texts in the language of the translation. The
// library is one that nobody else uses: its texts are written over. What has no
// translation stays and is marked; Settle finds it in a document.
func (t *Translation) Apply(lib *library.Library) {
	number := map[string]int{}
	for i, u := range t.Units {
		number[key(u.Context, u.ID)] = i
	}
	plurals := document.PluralsOf(t.Language)
	// What is visited is bound to what stood before: all is read first.
	var todo []func()
	lib.EachSaying(func(s library.Saying) {
		i, known := number[key(s.Context(), idOf(s))]
		if !known {
			return
		}
		u := t.Units[i]
		e := t.entry(u)
		if e == nil || e.Empty() || e.Stale() || len(t.judge(u, e)) > 0 {
			mark := string(marker) + strconv.Itoa(i) + string(marker)
			todo = append(todo, func() {
				if s.Word != nil {
					*s.Word = mark + *s.Word
				} else {
					s.Text.Spans = append([]library.TextSpan{{Kind: library.TextPlain, Text: mark, Span: s.At}}, s.Text.Spans...)
				}
				if s.Counted != nil {
					s.Counted.Plural = mark + u.Plural
				}
			})
			return
		}
		todo = append(todo, func() {
			if s.Text != nil {
				*s.Text, _ = s.Text.Reword(e.Str[0])
				return
			}
			*s.Word = e.Str[0]
			if s.Counted != nil {
				s.Counted.Forms = e.Str
				s.Counted.Plural = e.Str[plurals.Of(2)]
			}
		})
	})
	for _, f := range todo {
		f()
	}
	lib.Language = t.Language
}

// Settle takes the marks out of a document: what has no translation is told, and
// shown with the language that it is in, such as ‹en›.
func (t *Translation) Settle(doc *document.Document, language string) (out []*message.Message) {
	told := map[int]bool{}
	doc.EachString(func(s string) string {
		return unmark(s, "‹"+language+"› ", func(n int) {
			if n < len(t.Units) && !told[n] {
				told[n] = true
				out = append(out, t.missed(t.Units[n])...)
			}
		})
	})
	return out
}

// Unmarked gives a text of a library that says it in another language without
// marks, and whether it has a translation.
func Unmarked(s string) (plain string, translated bool) {
	translated = true
	plain = unmark(s, "", func(int) { translated = false })
	return plain, translated
}

// unmark puts other words in the place of each mark and tells its number.
func unmark(s, with string, tell func(n int)) string {
	if !strings.ContainsRune(s, marker) {
		return s
	}
	var b strings.Builder
	for s != "" {
		before, rest, found := strings.Cut(s, string(marker))
		b.WriteString(before)
		if !found {
			break
		}
		digits := 0
		for digits < len(rest) && rest[digits] >= '0' && rest[digits] <= '9' {
			digits++
		}
		if n, err := strconv.Atoi(rest[:digits]); err == nil && strings.HasPrefix(rest[digits:], string(marker)) {
			rest = rest[digits+utf8.RuneLen(marker):]
			b.WriteString(with)
			tell(n)
		}
		s = rest
	}
	return b.String()
}

// missed says as errors why a text that a document prints has no translation.
func (t *Translation) missed(u *Unit) []*message.Message {
	list := []*message.Message{t.lacks(u)}
	if e := t.entry(u); e != nil {
		if found := t.judge(u, e); len(found) > 0 {
			list = found
		}
	}
	for _, m := range list {
		m.Severity = message.Error
	}
	return list
}
