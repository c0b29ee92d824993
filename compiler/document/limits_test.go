package document_test

import (
	"fmt"
	"strings"
	"testing"

	"benchproof/compiler/document"
)

// judged is a library with one decision on one reading.
func judged(rule, unit, tool, branches string) map[string]string {
	return map[string]string{"a.proc": `library "L" { owner "O" decision ` + rule + ` }
variant size "Pump size" { s1 "size 1" s2 "size 2" s3 "size 3" }
table t by size {
  columns  least,    most
  s1       9.0 mm,   11.0 mm
  s2       19.00 mm, 21.0 mm
  s3       19.00 mm, 21.0 mm
}
tool gauge "gauge" { number "T-1" ` + tool + ` }
procedure p "P" {
  step "Measure." { measure x in ` + unit + ` with gauge }
  decide x {
` + branches + `
  }
}
`}
}

func decided(t *testing.T, rule, unit, tool, branches string) *document.Decision {
	t.Helper()
	d := lower(t, bind(t, judged(rule, unit, tool, branches), true), "p", document.Options{})
	if len(d.Decisions) != 1 {
		t.Fatalf("%d decisions", len(d.Decisions))
	}
	return d.Decisions[0]
}

// printed gives the limits of a decision as printed and as compared, a line a
// branch, and its footnotes.
func printed(d *document.Decision) string {
	var out []string
	for _, b := range d.Branches {
		var line []string
		for _, m := range b.Limits {
			s := text(m.Limits.Text)
			if len(m.Members) > 0 {
				s = chosen(m.Members) + ": " + s
			}
			line = append(line, fmt.Sprintf("%s (%s,%s)", s, m.Limits.Low, m.Limits.High))
		}
		out = append(out, strings.Join(line, "; "))
	}
	for _, f := range d.Footnotes {
		out = append(out, text(f))
	}
	return strings.ReplaceAll(strings.Join(out, "\n"), "\u00a0", " ")
}

func TestLimitsAreWordedAsRead(t *testing.T) {
	for _, x := range []struct{ name, rule, unit, tool, branches, want string }{
		{"every form, as written", "simple", "mm", "reads from 0 mm to 50 mm resolution 0.01 mm", `
			below 1 mm { } from 1 mm to below 2 mm { } from 2 mm to 3 mm { } above 3 mm to 4.5 mm { } above 4.5 mm to below 5 mm { } at least 5 mm { }`,
			`below [1.00 mm] (,1.00)
[1.00 mm] to below [2.00 mm] (1.00,2.00)
[2.00 mm] to [3.00 mm] (2.00,3.00)
above [3.00 mm] to [4.50 mm] (3.00,4.50)
above [4.50 mm] to below [5.00 mm] (4.50,5.00)
[5.00 mm] or more (5.00,)`},
		{"at most and above", "simple", "degC", "reads from 0 degC to 150 degC resolution 1 degC", `at most 80 degC { } above 80 degC { }`,
			`[80 °C] or less (,80)
above [80 °C] (80,)`},
		// ILAC-G8:09/2019 table 1 (guardband-007): 10 ± 1 with U = 0.2, r = 1: 9.2 to 10.8.
		{"guarded by U", "guarded", "mm", "reads from 0 mm to 50 mm resolution 0.1 mm uncertainty 0.2 mm", `
			below 9 mm { } accept from 9 mm to 11 mm { } above 11 mm { }`,
			`below [9.2 mm]* (,9.2)
[9.2 mm]* to [10.8 mm]* (9.2,10.8)
above [10.8 mm]* (10.8,)
* Drawing limits [9.0 mm] and [11.0 mm], moved in by the uncertainty of this measurement, [0.2 mm].`},
		// guardband-006: r = 0.83: 9.166 to 10.834.
		{"guarded by a part of U", "guarded 0.83", "mm", "reads from 0 mm to 50 mm resolution 0.001 mm uncertainty 0.2 mm", `
			below 9 mm { } accept from 9 mm to 11 mm { } above 11 mm { }`,
			`below [9.166 mm]* (,9.166)
[9.166 mm]* to [10.834 mm]* (9.166,10.834)
above [10.834 mm]* (10.834,)
* Drawing limits [9.000 mm] and [11.000 mm], moved in by [0.83] times the uncertainty of this measurement, [0.2 mm].`},
		// guardband-015: 24.987 to 25 with U = 0.002, r = 0.825: 24.98865 to 24.99835, and on to what is shown.
		{"on to the next value shown", "guarded 0.825", "mm", "reads from 0 mm to 25 mm resolution 0.001 mm uncertainty 0.002 mm", `
			below 24.987 mm { } accept limits 25 h6 { }`,
			`below [24.989 mm]* (,24.989)
[24.989 mm]* to [25.000 mm] (24.989,25.000)
* Drawing limit [24.987 mm], moved in by [0.825] times the uncertainty of this measurement, [0.002 mm], and on to the next value the instrument shows.`},
		{"of the limit", "guarded", "bar", "reads from 0 bar to 40 bar resolution 0.1 bar uncertainty 2 %", `
			accept at most 10 bar { } above 10 bar { }`,
			`[9.8 bar]* or less (,9.8)
above [9.8 bar]* (9.8,)
* Drawing limit [10.0 bar], moved in by the uncertainty of this measurement, [2 %] of the limit.`},
		{"members that differ", "guarded", "mm", "reads from 0 mm to 50 mm resolution 0.1 mm uncertainty 0.2 mm", `
			below t.least { } accept from t.least to t.most { } above t.most { }`,
			`size=s1: below [9.2 mm]* (,9.2); size=s2: below [19.2 mm]* (,19.2); size=s3: below [19.2 mm]* (,19.2)
size=s1: [9.2 mm]* to [10.8 mm]* (9.2,10.8); size=s2: [19.2 mm]* to [20.8 mm]* (19.2,20.8); size=s3: [19.2 mm]* to [20.8 mm]* (19.2,20.8)
size=s1: above [10.8 mm]* (10.8,); size=s2: above [20.8 mm]* (20.8,); size=s3: above [20.8 mm]* (20.8,)
* Drawing limits [9.0 mm] and [11.0 mm] (size 1), [19.0 mm] and [21.0 mm] (size 2, size 3), moved in by the uncertainty of this measurement, [0.2 mm].`},
		// A drawing in mm, a micrometer in inches: 33.75 mm is 1.328740 in, 34.02 mm is 1.339370 in.
		{"a drawing in another unit", "guarded", "inch", "reads from 1 inch to 2 inch resolution 0.0001 inch uncertainty 0.0002 inch", `
			below 33.75 mm { } accept from 33.75 mm to 34.02 mm { } above 34.02 mm { }`,
			`below [1.3290 in]* (,1.3290)
[1.3290 in]* to [1.3391 in]* (1.3290,1.3391)
above [1.3391 in]* (1.3391,)
* Drawing limits [33.75 mm] and [34.02 mm], moved in by the uncertainty of this measurement, [0.0002 in], and on to the next value the instrument shows.`},
		{"a limit between what is shown", "simple", "inch", "reads from 1 inch to 2 inch resolution 0.0001 inch", `
			below 33.75 mm { } at least 33.75 mm { }`,
			`[1.3287 in] or less (,1.3287)
[1.3288 in] or more (1.3288,)`},
		// 1 °F steps read in °C: 212 − 3 °F is 98 1/3 °C, which no decimal writes.
		{"a limit that no decimal writes", "guarded", "degC", "reads from 32 degF to 400 degF resolution 1 degF uncertainty 3 degF", `
			accept at most 100 degC { } above 100 degC { }`,
			`[98.333 °C]* or less (,295/3)
above [98.333 °C]* (295/3,)
* Drawing limit [100.000 °C], moved in by the uncertainty of this measurement, [1.666667 °C].`},
	} {
		t.Run(x.name, func(t *testing.T) {
			if got := printed(decided(t, x.rule, x.unit, x.tool, x.branches)); got != x.want {
				t.Errorf("got\n%s\nwant\n%s", got, x.want)
			}
		})
	}
}

// The limits of the drawing office's mock-up and of examples/pump-bench.
func TestLimitsOfTheSleeve(t *testing.T) {
	sources, images := folder(t, "testdata/pump-bench")
	lib := bind(t, sources, true)
	d := lower(t, lib, "seal-change", document.Options{Images: images}, "s32")
	const want = `above [32.006 mm]* (32.006,)
[31.954 mm]* to [32.006 mm]* (31.954,32.006)
[31.800 mm] to below [31.954 mm]* (31.800,31.954)
below [31.800 mm] (,31.800)
* Drawing limits [31.950 mm] and [32.010 mm], moved in by the uncertainty of this measurement, [0.004 mm].`
	if got := printed(d.Decisions[0]); got != want {
		t.Errorf("got\n%s\nwant\n%s", got, want)
	}
	if d.Decisions[0].Title != "What is the smallest sleeve diameter?" {
		t.Errorf("title %q", d.Decisions[0].Title)
	}
}

// A band that leaves nothing of a range is told as an error by the rules; a
// draft shows the range as drawn and that no reading can be in it.
func TestEmptiedRangeIsImpossible(t *testing.T) {
	src := judged("guarded", "mm", "reads from 0 mm to 50 mm resolution 0.1 mm uncertainty 2 mm", `
		below 9 mm { } accept from 9 mm to 11 mm { } above 11 mm { }`)
	d := lower(t, bind(t, src, true), "p", document.Options{Draft: true})
	for i, want := range []bool{false, true, false} {
		if got := d.Decisions[0].Branches[i].Limits[0].Limits.Impossible; got != want {
			t.Errorf("branch %d: impossible %t", i+1, got)
		}
	}
}

func TestReadingSaysWhatItsInstrumentShows(t *testing.T) {
	src := judged("simple", "mm", "reads from 1 inch to 2 inch resolution 0.0001 inch", `below 30 mm { } at least 30 mm { }`)
	d := lower(t, bind(t, src, true), "p", document.Options{})
	r := d.Decisions[0].Reading
	got := fmt.Sprintf("%s %s %s %s|%s|%s|%s", r.From, r.To, r.Step, r.Origin, r.ScaleText, r.RangeText, r.Instrument.Range+" "+r.Instrument.Scale)
	want := "25.4 50.8 0.00254 |mm, to 0.00254|25.4\u00a0mm to 50.8\u00a0mm|1\u00a0in to 2\u00a0in to 0.0001\u00a0in"
	if got != want {
		t.Errorf("got %q, want %q", got, want)
	}
	src = judged("simple", "degF", "reads from 0 degC to 100 degC resolution 1 degC", `below 100 degF { } at least 100 degF { }`)
	r = lower(t, bind(t, src, true), "p", document.Options{}).Decisions[0].Reading
	if got := r.From + " " + r.To + " " + r.Step + " " + r.Origin; got != "32 212 1.8 32" {
		t.Errorf("a Celsius display in °F: %q", got)
	}
}
