package main

import (
	"context"
	"os"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"benchproof/compiler"
	"benchproof/compiler/reference"
	"benchproof/dsl/message"
)

// firstSteps is the bench that the forms on the page of first steps are about.
const firstSteps = `library "Bench" { owner "Workshop"  decision guarded }
condition power "Power" { states on, locked-off  begins on  ends on }
hazard dust caution "Dust" { consequence "Dust can hurt your lungs."  avoid "Wear a mask." }
tool screwdriver "screwdriver" { number "T-1" }
tool puller "puller" { number "T-2" }
tool tester "tester" { number "T-3" }
tool feeler-gauge "feeler gauge" { number "T-4"  reads from 0 mm to 2 mm  resolution 0.05 mm  uncertainty 0.05 mm }
tool torque-wrench "torque wrench" { number "T-5"  sets from 1 N.m to 10 N.m }
part cover-screw "cover screw" { number "P-1" }
part cover "cover" { number "P-2"  behind cover-screw }
part filter "filter" { number "P-3"  behind cover }
part pulley "pulley" { number "P-4" }
procedure change-belt "Change the belt" {
  document "WI-1"
  revision A on 2026-01-05 "First issue."
  step "Measure." { MEASURE  ASK }
  DECIDE-LEAK
  step "Lock the plug." { MAKE  VERIFY }
  step "Take the cover off." { USE  WARN  REMOVE  remove cover, filter }
  DECIDE-GAP
  step "Put the cover back." { FIT-NEW  REFIT  refit cover-screw x 4  TIGHTEN  TAKES }
  step "Put the pulley right." { FIT-ON  make power on  WAIT }
}
TRIAL
THINGS
`

// What the page of first steps says can be written is written here in one
// library, as it stands there.
func TestTheFormsOfTheFirstStepsCompile(t *testing.T) {
	page, err := os.ReadFile("starter/FIRST-STEPS.md")
	if err != nil {
		t.Fatal(err)
	}
	forms := map[string]string{} // by their first words
	words := map[string]bool{}
	for _, row := range regexp.MustCompile("(?m)^\\| (`.*?) \\| .* \\|$").FindAllStringSubmatch(string(page), -1) {
		for _, m := range regexp.MustCompile("`([^`]+)`").FindAllStringSubmatch(row[1], -1) {
			first := strings.Fields(m[1])
			words[first[0]] = true
			if len(first) > 1 {
				forms[first[0]+" "+first[1]] = m[1]
			}
		}
	}
	if len(words) < 20 {
		t.Fatalf("the page shows %d words", len(words))
	}
	for word := range words {
		if len(reference.Find(word)) == 0 {
			t.Errorf("%s is no word of the language", word)
		}
	}
	form := func(start string) string {
		f, ok := forms[start]
		if !ok {
			t.Fatalf("the page does not show %s", start)
		}
		return f
	}
	source := strings.NewReplacer(
		"MEASURE", form("measure gap"), "ASK", form("ask leak"), "MAKE", form("make power"), "VERIFY", form("verify power"),
		"USE", form("use screwdriver"), "WARN", form("warn dust"), "REMOVE", form("remove cover-screw"), "FIT-NEW", form("fit new"),
		"REFIT", form("refit cover"), "TIGHTEN", form("tighten cover-screw"), "TAKES", form("takes 5"), "WAIT", form("wait 10"),
		"FIT-ON", form("fit puller")+"  "+form("remove puller"),
		"DECIDE-LEAK", strings.Replace(form("decide leak"), "{ … }", "{ }", 2),
		"DECIDE-GAP", strings.Replace(strings.Replace(form("decide gap"), "{ … }", "{ }", 1), "{ … }", "{ "+form("finish refer")+" }", 1),
		"TRIAL", form("trial \"worn\""), "THINGS", form("tool spanner-24")+"\n"+form("part flange"),
	).Replace(firstSteps)
	source = strings.Replace(source, "gap 0.30 mm", "gap 0.30 mm leak yes", 1) // which the other decision asks for
	sources, err := compiler.Read(fstest.MapFS{"a.proc": {Data: []byte(source)}})
	if err != nil {
		t.Fatal(err)
	}
	result, err := compiler.Check(context.Background(), sources)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range result.Messages {
		if m.IsError() {
			var b strings.Builder
			if err := message.WriteText(&b, []*message.Message{m}, message.TextOptions{}); err != nil {
				t.Fatal(err)
			}
			t.Error(b.String())
		}
	}
}

// The sheet of the first steps reads a sheet with such columns.
func TestTheCatalogueOfTheFirstStepsCompiles(t *testing.T) {
	page, err := os.ReadFile("starter/FIRST-STEPS.md")
	if err != nil {
		t.Fatal(err)
	}
	m := regexp.MustCompile("(?s)```proc\n(catalogue .*?)```").FindSubmatch(page)
	if m == nil {
		t.Fatal("the page shows no catalogue")
	}
	dir := t.TempDir()
	writeLibrary(t, dir, map[string]string{
		"bench.proc":             "library \"My bench\" {\n  owner  \"Maintenance office\"\n}\n\n" + string(m[1]),
		"sheets/instruments.csv": "Name,Description,Number,From,To,Due\nfeeler-gauge,feeler gauge,T-0003,0,2,2027-06-30\n",
		"job.proc":               "procedure look \"Measure the gap\" {\n  document  \"WI-1\"\n  revision  A on 2026-01-05 \"First issue.\"\n\n  step \"Measure the gap with the @feeler-gauge.\" {\n    measure  gap in mm with feeler-gauge\n  }\n}\n",
	})
	r, err := checkFolderOn(t.Context(), dir, "2027-07-01")
	if err != nil {
		t.Fatal(err)
	}
	overdue := false
	for _, m := range r.Messages {
		overdue = overdue || m.Code == overdueCode
		if m.IsError() {
			t.Errorf("%s %s", m.Code, m.Text)
		}
	}
	if !overdue || len(r.Library.Tools) != 1 {
		t.Errorf("%d tools, overdue: %t", len(r.Library.Tools), overdue)
	}
}
