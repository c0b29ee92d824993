package rules_test

import (
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
)

const wordingHead = `library "W" { language en }
part cover "cover" { number "P-1" }
part nut "nut" { number "P-2"  plural "nuts" }
part seal "seal" { number "P-3" }
tool wrench "wrench" { number "T-1" }
consumable oil "oil" { number "C-1" }
procedure p "P" {
  document "W-1"
  revision A on 2026-01-05 "First issue."
`

// wordingOf gives the codes of the wording rules for one step text.
func wordingOf(t testing.TB, text string) []string {
	t.Helper()
	var out []string
	for _, m := range judgeOne(t, wordingHead+"  step "+strconv.Quote(text)+"\n}\n") {
		code := string(m.Code)
		if strings.HasPrefix(code, "BP1") {
			t.Fatal(tell(m))
		}
		if strings.HasPrefix(code, "BP8") && !slices.Contains(out, code) {
			out = append(out, code)
		}
	}
	slices.Sort(out)
	return out
}

// TestWordingOnMarkedSet judges the rules of wording on texts marked by hand,
// and prints where they differ. A false alarm is a code that the marking does
// not have; a miss is one that it has and the rules do not find.
func TestWordingOnMarkedSet(t *testing.T) {
	data, err := os.ReadFile("testdata/wording.txt")
	if err != nil {
		t.Fatal(err)
	}
	texts, marks, found, alarms, misses := 0, 0, 0, 0, 0
	for _, line := range strings.Split(string(data), "\n") {
		if line == "" || line[0] == '#' {
			continue
		}
		codes, text, ok := strings.Cut(line, "\t")
		if !ok {
			t.Fatalf("no tab: %s", line)
		}
		var want []string
		if codes != "-" {
			want = strings.Split(codes, ",")
		}
		texts++
		marks += len(want)
		got := wordingOf(t, text)
		for _, g := range got {
			if slices.Contains(want, g) {
				found++
			} else {
				alarms++
				t.Logf("false alarm %s: %s", g, text)
			}
		}
		for _, w := range want {
			if !slices.Contains(got, w) {
				misses++
				t.Logf("miss %s: %s", w, text)
			}
		}
	}
	t.Logf("%d texts, %d marks: %d found, %d missed (%.1f %%), %d false alarms (%.1f %% of the texts, %.1f %% of the warnings)",
		texts, marks, found, misses, 100*float64(misses)/float64(marks), alarms, 100*float64(alarms)/float64(texts), 100*float64(alarms)/float64(max(1, alarms+found)))
	if texts < 200 {
		t.Errorf("only %d texts are marked", texts)
	}
	if alarms*20 >= texts || alarms*20 >= alarms+found {
		t.Errorf("%d false alarms, over 5 %%", alarms)
	}
	if misses*5 > marks {
		t.Errorf("%d of %d marks missed", misses, marks)
	}
}
