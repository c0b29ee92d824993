package document

import (
	"regexp"
	"slices"
	"strings"
)

// A language is what the lowering and the renderers say of themselves in one
// language. Texts of the sources are translated elsewhere (package words).
type language struct {
	words   *Words
	phrases *phrases
}

// languages are those that documents have fixed words in, English first.
var languages = []language{
	{English, english},
	{german, germanPhrases},
	{french, frenchPhrases},
	{spanish, spanishPhrases},
	{italian, italianPhrases},
	{polish, polishPhrases},
}

// Languages are the tags of the languages that documents have fixed words in.
func Languages() []string {
	tags := make([]string, len(languages))
	for i, l := range languages {
		tags[i] = l.words.Tag
	}
	return tags
}

// Speaks tells whether there are fixed words in the language of a BCP 47 tag;
// regions and scripts make no difference.
func Speaks(tag string) bool {
	return slices.ContainsFunc(languages, func(l language) bool { return l.words.Tag == primary(tag) })
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
		if l.words.Tag == primary(tag) {
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

// Numeral prints the numbers of a text as the language has them: with its decimal
// mark and, where that is a comma, groups of three from five digits up, with a
// narrow space between them (ISO 80000-1, 7.3). The text is a quantity as it is
// printed in English; nothing in it is another number.
func (w *Words) Numeral(text string) string {
	if w.Decimal == "." {
		return text
	}
	return decimalNumber.ReplaceAllStringFunc(text, func(n string) string {
		whole, part, _ := strings.Cut(n, ".")
		if len(whole) >= 5 {
			var b strings.Builder
			for i, r := range whole {
				if i > 0 && (len(whole)-i)%3 == 0 {
					b.WriteString(groupSpace)
				}
				b.WriteRune(r)
			}
			whole = b.String()
		}
		if part == "" {
			return whole
		}
		return whole + w.Decimal + part
	})
}

// groupSpace is the space between groups of three digits: narrow, and no line
// breaks at it.
const groupSpace = "\u202f"

var decimalNumber = regexp.MustCompile(`\d+(?:\.\d+)?`)

// Several is what a number of a thing is called, without the number.
func (w *Words) Several(t *Thing, count int) string {
	if len(t.Forms) > 0 {
		return t.Forms[min(PluralsOf(w.Tag).Of(count), len(t.Forms)-1)]
	}
	return t.Plural
}

// DoneWord says what is ticked in a line of the close-up; empty for a kind of
// line that is not known.
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
	return ""
}

// Plurals are how a language counts: its number of forms, how gettext writes the
// rule, and the form for a number.
type Plurals struct {
	Forms  int
	Header string
	Of     func(n int) int
}

var (
	oneAndMore = Plurals{2, "nplurals=2; plural=(n != 1);", func(n int) int {
		if n == 1 {
			return 0
		}
		return 1
	}}
	// Zero and one are one: French.
	upToOne = Plurals{2, "nplurals=2; plural=(n > 1);", func(n int) int {
		if n > 1 {
			return 1
		}
		return 0
	}}
	oneFewMany = Plurals{3, "nplurals=3; plural=(n==1 ? 0 : n%10>=2 && n%10<=4 && (n%100<10 || n%100>=20) ? 1 : 2);", func(n int) int {
		switch {
		case n == 1:
			return 0
		case n%10 >= 2 && n%10 <= 4 && (n%100 < 10 || n%100 >= 20):
			return 1
		}
		return 2
	}}
)

// PluralsOf gives how the language of a tag counts. Rules as in the table of the
// GNU gettext manual, "Plural forms".
func PluralsOf(tag string) Plurals {
	switch primary(tag) {
	case "fr":
		return upToOne
	case "pl":
		return oneFewMany
	}
	return oneAndMore
}

// OffLabel is what stands before the parts that are off at a finish.
func (w *Words) OffLabel(f *Finish) string {
	if f.To != "" {
		return w.HandedOver
	}
	return w.LeftOff
}
