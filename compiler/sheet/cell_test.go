package sheet

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strings"
	"testing"
)

// No text becomes a formula, and no number a text. The characters are those of
// OWASP, “CSV Injection” (from memory): = + - @, tab, carriage return, and their
// full-width forms.
func TestCellText(t *testing.T) {
	for _, x := range [][2]string{
		{"=1+1", "'=1+1"}, {"+1", "'+1"}, {"@SUM(A1)", "'@SUM(A1)"}, {" =1", "' =1"}, {"\u00a0=1", "'\u00a0=1"},
		{"\t=1", "' =1"}, {"\r=1", "' =1"}, {"\n=1", "' =1"}, {"\uff1d1", "'\uff1d1"}, {"\uff0b1", "'\uff0b1"}, {"\uff0d1", "'\uff0d1"}, {"\uff20a", "'\uff20a"}, {"|calc", "'|calc"},
		{"-1+cmd|'/c calc'!A0", "'-1+cmd|'/c calc'!A0"}, {"--1", "'--1"}, {"-", "'-"}, {"-1-1", "'-1-1"}, {"-1e5", "'-1e5"},
		{"-1", "-1"}, {"-0.05", "-0.05"}, {"-12,5", "-12,5"}, {"0", "0"},
		{"a=1", "a=1"}, {"", ""}, {" ", " "}, {"a\nb", "a b"}, {"%", "%"}, {"%=1", "'%=1"}, {"N·m", "N·m"}, {"WI-1: if worn", "WI-1: if worn"},
		{"a; =1", "a; '=1"}, {"a;=1;+2", "a;'=1;'+2"}, {"a; b", "a; b"}, {";", ";"}, {"=1;=2", "'=1;'=2"},
	} {
		if got := CellText(x[0]); got != x[1] {
			t.Errorf("%q: %q, want %q", x[0], got, x[1])
		}
	}
}

// What another reader makes of a row of hostile cells: as many cells, none of which
// begins a formula, also where it parts them at semicolons.
func TestRowsAreReadBack(t *testing.T) {
	row := []string{"=1", "a,=b", "\"=c\"", "d;=e", "f\n=g", "-3.5", "'=h", "\";=i"}
	var b bytes.Buffer
	w := csv.NewWriter(&b)
	if err := w.WriteAll([][]string{CellTexts(row), CellTexts(slices.Clone(row))}); err != nil {
		t.Fatal(err)
	}
	text := b.String()
	for _, comma := range []rune{',', ';'} {
		r := csv.NewReader(strings.NewReader(text))
		r.Comma, r.LazyQuotes, r.FieldsPerRecord = comma, true, -1
		rows, err := r.ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		for _, cells := range rows {
			if comma == ',' && len(cells) != len(row) {
				t.Errorf("%d cells, want %d: %q", len(cells), len(row), cells)
			}
			for i, c := range cells {
				if s := strings.TrimLeft(c, " "); s != "" && strings.ContainsAny(s[:1], "=+@") {
					t.Errorf("parted at %c: %q is a formula", comma, c)
				}
				if comma == ',' && i == 5 && c != "-3.5" {
					t.Errorf("the number became %q", c)
				}
			}
		}
	}
}
