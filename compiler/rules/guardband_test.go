package rules_test

import (
	"encoding/csv"
	"os"
	"strings"
	"testing"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/quantity"
	"benchproof/compiler/rules"
	"benchproof/dsl/syntax"
)

// TestGuardBandsThroughTheLanguage takes each row of the reference on guard
// bands (JCGM 106:2012, ILAC-G8:09/2019, ISO 14253-1; the source stands in the
// row) as a decision of a guarded library: its reading is accepted where the
// row says that it conforms. Rows that differ from the rule of the language
// are left out: a negative guard band, which no library may ask for, and rows
// that are uncertain.
func TestGuardBandsThroughTheLanguage(t *testing.T) {
	f, err := os.Open("../quantity/testdata/guardband.csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	column := map[string]int{}
	for i, name := range rows[0] {
		column[name] = i
	}
	tried := 0
	for _, row := range rows[1:] {
		get := func(name string) string { return row[column[name]] }
		if get("certainty") != "sure" || strings.HasPrefix(get("r"), "-") {
			continue
		}
		tried++
		unit := get("unit")
		if unit == "1" {
			unit = "mm"
		}
		tl, tu := get("TL"), get("TU")
		word := func(v string) string { return v + " " + unit }
		accept, rest := "", ""
		switch {
		case tl == "":
			accept, rest = "at most "+word(tu), "above "+word(tu)+" { }"
		case tu == "":
			accept, rest = "at least "+word(tl)+" no upper limit", "below "+word(tl)+" { }"
		default:
			accept, rest = "from "+word(tl)+" to "+word(tu), "below "+word(tl)+" { } above "+word(tu)+" { }"
		}
		text := "library \"G\" { decision guarded " + get("r") + " }\n" +
			"tool g \"g\" { reads from -1000 " + unit + " to 1000 " + unit + "  uncertainty " + get("U") + " " + unit + " }\n" +
			"procedure p \"P\" { step \"Measure.\" { measure y in " + unit + " with g allow BP305 \"as the row has it\" }\n" +
			"decide y { accept " + accept + " { finish serviceable } " + rest + " } finish refer }\n"
		sf, _ := syntax.Load([]byte(text), get("id"))
		parsed := syntax.Parse(sf)
		lib, ms := library.Bind([]*syntax.File{parsed})
		for _, m := range append(parsed.Messages, ms...) {
			t.Error(tell(m))
		}
		p := lib.Procedures[0]
		emptied := strings.Contains(get("case"), "acceptance zone empty")
		for _, m := range rules.Check(lib, p, paths.Judge(lib, p)) {
			if !emptied || m.Code != "BP403" || !strings.Contains(m.Text, "the guard band leaves nothing") {
				t.Error(tell(m))
			}
			emptied = false
		}
		if emptied {
			t.Errorf("%s: an empty acceptance zone goes unnoticed", get("id"))
		}
		_, trace := paths.Follow(lib, p, paths.Case{Values: map[*library.Reading][]quantity.Number{p.Readings[0]: {quantity.MustNumber(get("y"))}}})
		conforms := trace.Finish != nil && trace.Finish.Outcome == "serviceable"
		if want := get("decision") == "conforms"; conforms != want {
			t.Errorf("%s (%s): %s reads %s: accepted %v, the row says %s", get("id"), get("source"), get("case"), get("y"), conforms, get("decision"))
		}
	}
	if tried < 20 {
		t.Errorf("only %d rows", tried)
	}
	t.Logf("%d rows", tried)
}
