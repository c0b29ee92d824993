package document

import (
	"strings"
	"testing"
)

func TestFillLooksAtNothingTwice(t *testing.T) {
	if got := fill("{a} and {b}, {c}", "a", "{b}", "b", "x{"); got != "{b} and x{, " {
		t.Errorf("got %q", got)
	}
}

func TestPlurals(t *testing.T) {
	for _, x := range []struct{ title, want string }{
		{"casing nut", "casing nuts"}, {"wave washer", "wave washers"}, {"bush", "bushes"}, {"box", "boxes"}, {"body", "bodies"}, {"key", "keys"},
		{"jacking screws", "jacking screws"}, {"pair of V-blocks", "pairs of V-blocks"}, {"glass", "glasses"},
		{"stud M8 × 20", ""}, {"O-ring (nitrile)", ""}, {"", ""}, {"Шайба", ""},
	} {
		if got := Plural(x.title); got != x.want {
			t.Errorf("%q: %q, want %q", x.title, got, x.want)
		}
	}
}

func TestTitlesInSentences(t *testing.T) {
	for _, x := range []struct{ title, want string }{
		{"Motor supply", "motor supply"}, {"DN 80", "DN 80"}, {"V-belt", "V-belt"}, {"A valve", "a valve"}, {"Öldruck", "öldruck"}, {"", ""}, {"x", "x"},
	} {
		if got := (&lowerer{ph: english}).inSentence(x.title); got != x.want {
			t.Errorf("%q: %q, want %q", x.title, got, x.want)
		}
	}
}

func TestMeaningsAsConditionsAndLabels(t *testing.T) {
	l := &lowerer{ph: english}
	for _, x := range []struct{ meaning, clause, label string }{
		{"The sleeve is worn.", "worn", "worn"},
		{"The sleeve can stay.", "the sleeve can stay", "can stay"},
		{"The shaft under the sleeve may be damaged.", "the shaft under the sleeve may be damaged", "may be damaged"},
		{"The stud goes too deep.", "the stud goes too deep", "goes too deep"},
		{"Wrong sleeve, wrong pump size or a wrong reading.", "", "wrong sleeve"},
		{"Worn.", "", "worn"},
		{"The bearing runs hot. Stop it.", "the bearing runs hot", "runs hot"},
		{"", "", ""},
	} {
		got, _ := l.clause(x.meaning)
		if got != x.clause {
			t.Errorf("%q: clause %q, want %q", x.meaning, got, x.clause)
		}
		if got := l.brief(x.meaning); got != x.label {
			t.Errorf("%q: label %q, want %q", x.meaning, got, x.label)
		}
	}
	if got := shorten(strings.Repeat("ä", 50), 28); len([]rune(got)) > 28 {
		t.Errorf("a long word stays long: %q", got)
	}
}
