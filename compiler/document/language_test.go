package document

import (
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
)

var slot = regexp.MustCompile(`\{[a-z]+\}`)

// slots are what a phrase has filled in, without order.
func slots(s string) []string {
	out := slot.FindAllString(s, -1)
	slices.Sort(out)
	return slices.Compact(out)
}

// eachText visits the texts of a table by the name of their field.
func eachText(table any, visit func(name, text string)) {
	v := reflect.ValueOf(table).Elem()
	for i := range v.NumField() {
		name, f := v.Type().Field(i).Name, v.Field(i)
		switch f.Kind() {
		case reflect.String:
			visit(name, f.String())
		case reflect.Slice:
			for j := range f.Len() {
				visit(name, f.Index(j).String())
			}
		case reflect.Map:
			for _, k := range f.MapKeys() {
				visit(name, k.String())
			}
		}
	}
}

// A word that is missing would print nothing where a limit or a target belongs.
func TestLanguagesAreComplete(t *testing.T) {
	for _, l := range languages {
		for _, table := range []any{l.words, l.words.Screen, l.words.Lists, l.words.Sums, l.phrases} {
			v := reflect.ValueOf(table).Elem()
			for i := range v.NumField() {
				if f := v.Field(i); f.Kind() != reflect.Bool && f.IsZero() {
					t.Errorf("%s: %s.%s is empty", l.words.Tag, v.Type().Name(), v.Type().Field(i).Name)
				}
			}
			eachText(table, func(name, text string) {
				if text == "" {
					t.Errorf("%s: %s.%s has an empty text", l.words.Tag, v.Type().Name(), name)
				}
			})
		}
		if n := len(l.phrases.counts); n != len(english.counts) {
			t.Errorf("%s: %d counts, English has %d", l.words.Tag, n, len(english.counts))
		}
	}
}

// What a phrase is filled with must be said in every language.
func TestLanguagesFillTheSameIn(t *testing.T) {
	for _, l := range languages[1:] {
		for _, pair := range [][2]any{{English, l.words}, {englishScreen, l.words.Screen}, {englishLists, l.words.Lists}, {englishSums, l.words.Sums}, {english, l.phrases}} {
			want := map[string]string{}
			eachText(pair[0], func(name, text string) { want[name] = text })
			eachText(pair[1], func(name, text string) {
				a, b := slots(want[name]), slots(text)
				if !slices.Equal(a, b) {
					t.Errorf("%s: %s has %v, English has %v", l.words.Tag, name, b, a)
				}
			})
		}
	}
}

// A word that was never translated would stand there in English. What is the
// same word in both languages is listed.
func TestLanguagesAreTranslated(t *testing.T) {
	same := map[string]string{
		"de": "Revision Name Start Video InBox Median",
		"fr": "Machine Date Instruments Condition Page page Danger DANGER Note Figure Revision Instruments JobDate Video Signature",
		"es": "No", "it": "Video No InBox", "pl": "TrendMark",
	}
	for _, l := range languages[1:] {
		known := strings.Fields(same[l.words.Tag])
		for _, pair := range [][2]any{{English, l.words}, {englishScreen, l.words.Screen}, {englishLists, l.words.Lists}, {englishSums, l.words.Sums}} {
			texts := map[string]string{}
			eachText(pair[0], func(name, text string) { texts[name] = text })
			eachText(pair[1], func(name, text string) {
				if name == "Decimal" || name == "Tag" || name == "DateForm" || name == "Judged" || text != texts[name] || slices.Contains(known, name) {
					return
				}
				t.Errorf("%s: %s is %q as in English", l.words.Tag, name, text)
			})
		}
	}
}

func TestLanguageByItsTag(t *testing.T) {
	for _, x := range []struct {
		tag  string
		want *Words
	}{{"en", English}, {"de", german}, {"de-AT", german}, {"PL", polish}, {"pt", English}, {"", English}, {"fr-CA", french}, {"es-419", spanish}, {"it", italian}} {
		if got := WordsOf(x.tag); got != x.want {
			t.Errorf("%q: %q", x.tag, got.WorkInstruction)
		}
	}
	if Speaks("pt") || !Speaks("de-CH") {
		t.Error("pt is not spoken, de-CH is")
	}
}

// Order of the day: CLDR 46, short and medium dates (from memory).
func TestDates(t *testing.T) {
	for _, x := range []struct{ tag, date, want string }{
		{"en", "2026-03-02", "2026-03-02"}, {"de", "2026-03-02", "02.03.2026"}, {"fr", "2026-03-02", "02/03/2026"},
		{"es", "2026-03-02", "02/03/2026"}, {"it", "2026-03-02", "02/03/2026"}, {"pl", "2026-03-02", "02.03.2026"}, {"de", "", ""}, {"de", "soon", "soon"},
	} {
		if got := WordsOf(x.tag).DateText(x.date); got != x.want {
			t.Errorf("%s, %q: %q, want %q", x.tag, x.date, got, x.want)
		}
	}
}

// Clauses and labels are made by the words of the language.
func TestMeaningsInOtherLanguages(t *testing.T) {
	for _, x := range []struct{ tag, meaning, clause, label string }{
		{"de", "Die Hülse ist verschlissen.", "verschlissen", "verschlissen"},
		{"de", "Die Hülse kann bleiben.", "", "kann bleiben"},
		{"de", "Hülse verschlissen.", "", "Hülse verschlissen"},
		{"fr", "La chemise est usée.", "usée", "usée"},
		{"fr", "La chemise peut rester.", "la chemise peut rester", "peut rester"},
		{"es", "El casquillo está desgastado.", "desgastado", "desgastado"},
		{"it", "La bussola è consumata.", "consumata", "consumata"},
		{"pl", "Tuleja jest zużyta.", "", "tuleja jest zużyta"},
	} {
		_, ph := phrasesOf(x.tag)
		l := &lowerer{ph: ph}
		got, _ := l.clause(x.meaning)
		if ok := got; ok != x.clause && !(x.clause == "" && ph.nouns) {
			t.Errorf("%s, %q: clause %q, want %q", x.tag, x.meaning, got, x.clause)
		}
		if got := l.brief(x.meaning); got != x.label {
			t.Errorf("%s, %q: label %q, want %q", x.tag, x.meaning, got, x.label)
		}
	}
}

// French sets a no-break space before : ; ! ? and within « » (Lexique des règles
// typographiques en usage à l'Imprimerie nationale).
func TestFrenchSpaces(t *testing.T) {
	wrong := regexp.MustCompile(`(^|[^\x{a0}\x{202f}])[:;!?»]|«[^\x{a0}]`)
	l := languages[slices.IndexFunc(languages, func(l language) bool { return l.words.Tag == "fr" })]
	for _, table := range []any{l.words, l.words.Screen, l.words.Lists, l.words.Sums, l.phrases} {
		eachText(table, func(name, text string) {
			if at := wrong.FindString(text); at != "" {
				t.Errorf("%s: %q in %q", name, at, text)
			}
		})
	}
	if got := l.words.Colon(); got != "\u00a0: " || English.Colon() != ": " {
		t.Errorf("the colon is %q in French, %q in English", got, English.Colon())
	}
}
