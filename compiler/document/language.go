package document

import (
	"slices"
	"strings"
)

// A language is what the lowering and the renderers say of themselves in one
// language. Texts of the sources are translated elsewhere (package words).
type language struct {
	tag     string // BCP 47, primary subtag
	words   *Words
	phrases *phrases
}

// languages are those that documents have fixed words in, English first.
var languages = []language{
	{"en", English, english},
	{"de", german, germanPhrases},
	{"fr", french, frenchPhrases},
	{"es", spanish, spanishPhrases},
	{"it", italian, italianPhrases},
	{"pl", polish, polishPhrases},
}

// Languages are the tags of the languages that documents have fixed words in.
func Languages() []string {
	tags := make([]string, len(languages))
	for i, l := range languages {
		tags[i] = l.tag
	}
	return tags
}

// Speaks tells whether there are fixed words in the language of a BCP 47 tag;
// regions and scripts make no difference.
func Speaks(tag string) bool {
	return slices.ContainsFunc(languages, func(l language) bool { return l.tag == primary(tag) })
}

// WordsOf gives the fixed words of the language of a tag: English where there
// are none.
func WordsOf(tag string) *Words {
	w, _ := phrasesOf(tag)
	return w
}

// phrasesOf gives the fixed words and phrases of a language: English ones where
// there are none of its own.
func phrasesOf(tag string) (*Words, *phrases) {
	for _, l := range languages {
		if l.tag == primary(tag) {
			return l.words, l.phrases
		}
	}
	return English, english
}

// primary is the first subtag of a tag, in small letters: the language alone.
func primary(tag string) string {
	first, _, _ := strings.Cut(tag, "-")
	return strings.ToLower(first)
}

// DateText prints an ISO 8601 date in the order of the language; what is no such
// date is printed as it is.
func (w *Words) DateText(date string) string {
	if len(date) != len("2006-01-02") || date[4] != '-' || date[7] != '-' {
		return date
	}
	return fill(w.DateForm, "y", date[:4], "m", date[5:7], "d", date[8:])
}

// DoneWord says what is ticked in a line of the close-up.
func (w *Words) DoneWord(kind string) string {
	switch kind {
	case "put back":
		return w.Screen.PutBack
	case "new":
		return w.Screen.FittedNew
	case "cover":
		return w.Screen.CoverOn
	case "tool off":
		return w.Screen.ToolOff
	case "state":
		return w.Checked
	}
	return kind
}
