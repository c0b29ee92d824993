package record

import (
	"bytes"
	"encoding/csv"
	"fmt"
	"os/exec"
	"slices"
	"strings"
	"testing"

	"benchproof/compiler/quantity"
	"benchproof/compiler/sheet"
)

// calculator reads the CSV with Python's own reader and reckons each row of all
// again from the values with fractions and its statistics module: a program
// that shares nothing with ours. It prints what differs.
const calculator = `
import csv, json, sys, statistics
from fractions import Fraction
from decimal import Decimal, getcontext, ROUND_HALF_EVEN
getcontext().prec = 200
given = json.loads(sys.argv[1])
rows = list(csv.reader(sys.stdin, strict=True))
head, rows = rows[0], rows[1:]
checked = 0
for row in rows:
    r = dict(zip(head, row))
    if len(row) != len(head):
        print("a row of", len(row), "cells"); continue
    values = [Fraction(v) for v in given[r["name"] + "|" + r["by"] + "|" + r["of"]]]
    places = max(max(0, -Decimal(v).as_tuple().exponent) for v in given[r["name"] + "|" + r["by"] + "|" + r["of"]])
    q = Decimal(1).scaleb(-places - 2)
    dec = lambda f: Decimal(f.numerator) / Decimal(f.denominator)
    want = {"count": str(len(values)), "mean": str(dec(statistics.mean(values)).quantize(q, ROUND_HALF_EVEN)),
        "median": str(dec(statistics.median(values)).quantize(q, ROUND_HALF_EVEN)),
        "least": str(dec(min(values)).quantize(Decimal(1).scaleb(-places))), "most": str(dec(max(values)).quantize(Decimal(1).scaleb(-places))),
        "sample standard deviation": str(dec(statistics.variance(values)).sqrt().quantize(q, ROUND_HALF_EVEN)) if len(values) > 1 else ""}
    for k, v in want.items():
        checked += 1
        if r[k] != v: print(r["name"], r["by"], r["of"], k, "is", r[k], "and Python says", v)
    if values and len(values) > 1 and want["sample standard deviation"]:
        f = statistics.stdev([float(v) for v in values])
        if abs(f - float(r["sample standard deviation"])) > float(q): print("stdev differs from the module's floats", f, r)
print("checked", checked)
`

// jobs makes records of many jobs of a saved one, with readings of a fixed
// sequence.
func jobs(t testing.TB, n int, value func(i int) (journal, member string)) []*Record {
	t.Helper()
	var out []*Record
	for i := range n {
		r := saved(t, good)
		v, member := value(i)
		for k := range r.Entries {
			e := &r.Entries[k]
			e.At = strings.Replace(e.At, "2030-01-02", fmt.Sprintf("2030-%02d-%02d", 1+i/28, 1+i%28), 1)
			if strings.HasPrefix(e.ID, "step-8-journal") {
				e.Value = v
			}
			if e.ID == "serial-micrometer" {
				e.Value = fmt.Sprintf("=SN-%d", i%2)
			}
			if e.ID == "member-size" {
				e.Value = member
			}
		}
		r.Saved = r.Entries[len(r.Entries)-1].At
		r.Job.WorkOrder = fmt.Sprintf("4%03d", i)
		r.Members[0].Member = member
		out = append(out, r)
	}
	return out
}

func batchOf(t testing.TB, list []*Record) *Batch {
	t.Helper()
	b := bench(t)
	out := &Batch{}
	for i, r := range list {
		out.Records = append(out.Records, b.Judge(fmt.Sprintf("%d.json", i), r))
	}
	return out
}

// The sums agree with Python's fractions, decimals and statistics module to the
// last digit, for all values, by member and by instrument.
func TestSumsAgainstAnIndependentCalculator(t *testing.T) {
	checked := 0
	for _, n := range []int{1, 2, 3, 10, 57} {
		seed := uint32(n)
		list := jobs(t, n, func(i int) (string, string) {
			seed = seed*1664525 + 1013904223
			k := 19900 + int(seed>>16)%120
			if i%3 == 2 {
				return fmt.Sprintf("23.%03d", 900+k%120), "r24"
			}
			return fmt.Sprintf("%d.%03d", k/1000, k%1000), "r20"
		})
		sums := batchOf(t, list).Sum(false)
		var table bytes.Buffer
		if err := sums.WriteCSV(&table); err != nil {
			t.Fatal(err)
		}
		if bytes.Count(table.Bytes(), []byte("\n")) != bytes.Count(table.Bytes(), []byte("\r\n")) {
			t.Error("a line does not end in CR LF")
		}
		given := map[string][]string{}
		for _, s := range sums.Series {
			for _, p := range s.Points {
				all, member, instrument := s.Name+"|all|", s.Name+"|member|"+sheet.CellText(p.Member), s.Name+"|instrument|"+sheet.CellText(p.Instrument)
				for _, k := range []string{all, member, instrument} {
					given[k] = append(given[k], p.Value)
				}
			}
		}
		var arguments strings.Builder
		arguments.WriteByte('{')
		keys := make([]string, 0, len(given))
		for k := range given {
			keys = append(keys, k)
		}
		slices.Sort(keys)
		for i, k := range keys {
			if i > 0 {
				arguments.WriteByte(',')
			}
			fmt.Fprintf(&arguments, "%q:[\"%s\"]", k, strings.Join(given[k], `","`))
		}
		arguments.WriteByte('}')
		cmd := exec.Command("python3", "-c", calculator, arguments.String())
		cmd.Stdin = &table
		out, err := cmd.CombinedOutput()
		if err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		var k int
		if _, err := fmt.Sscanf(string(out), "checked %d", &k); err != nil {
			t.Errorf("%d records:\n%s", n, out)
		}
		checked += k
	}
	t.Logf("%d sums compared", checked)
	if checked < 100 {
		t.Error("hardly anything was compared")
	}
}

// A job that was saved more than once counts once.
func TestAJobCountsOnce(t *testing.T) {
	list := jobs(t, 3, func(int) (string, string) { return "19.990", "r20" })
	half := *list[1]
	half.Entries = half.Entries[:30]
	half.Outcome = nil
	s := batchOf(t, append(list, &half)).Sum(false)
	if s.Records != 3 || len(s.Superseded) != 1 || s.Superseded[0] != "3.json" {
		t.Errorf("%d records, superseded %v", s.Records, s.Superseded)
	}
}

// Values of a known square root, and halves: (RFC 4180, ISO 80000-1 rule A).
func TestRounding(t *testing.T) {
	n := func(s string) quantity.Number {
		v, ok := exactNumber(s)
		if !ok {
			t.Fatal(s)
		}
		return v
	}
	for _, x := range []struct {
		q      string
		places int
		want   string
	}{{"2", 10, "1.4142135624"}, {"4", 0, "2"}, {"0", 2, "0.00"}, {"0.0001", 3, "0.010"}, {"6.25", 0, "2"}, {"12.25", 0, "4"}, {"0.000625", 2, "0.02"}, {"1/9", 4, "0.3333"}, {"2000000000000000000000000", 2, "1414213562373.10"}} {
		if got := root(n(x.q), x.places); got != x.want {
			t.Errorf("root of %s: %s, want %s", x.q, got, x.want)
		}
	}
	for _, x := range [][2]string{{"0.125", "0.12"}, {"0.135", "0.14"}, {"-0.125", "-0.12"}, {"0.1251", "0.13"}, {"2", "2.00"}, {"1/3", "0.33"}} {
		if got := rounded(n(x[0]), 2); got != x[1] {
			t.Errorf("%s rounded: %s, want %s", x[0], got, x[1])
		}
	}
}

// No text of a record becomes a formula.
func TestCellsAreNoFormulas(t *testing.T) {
	list := jobs(t, 2, func(int) (string, string) { return "19.990", "r20" })
	for _, r := range list {
		for i := range r.Entries {
			r.Entries[i].Label = `=HYPERLINK("x")`
		}
		r.Document.Number, r.Document.Fingerprint, r.Document.Title = "=cmd|'/c calc'!A0", "0", "a,\"b\"\r\n@x"
	}
	var b bytes.Buffer
	if err := batchOf(t, list).Sum(false).WriteCSV(&b); err != nil {
		t.Fatal(err)
	}
	rows, err := csv.NewReader(&b).ReadAll()
	if err != nil || len(rows) < 2 {
		t.Fatal(rows, err)
	}
	for _, row := range rows {
		for _, c := range row {
			if strings.IndexAny(c, "=+@") == 0 {
				t.Errorf("%q is a formula", c)
			}
		}
	}
}

// The rules of run charts, on made-up sequences.
func TestSignals(t *testing.T) {
	for _, x := range []struct{ values, want string }{
		{"1 2 1 2 1 2 1 2 1 2", ""},
		{"1 1 1 1 1 1 3 3 3 3 3 3", "shift 1–6 shift 7–12"},
		{"1 1 1 1 1 2 3 3 3 3 3", ""},                           // five on each side
		{"1 1 1 2 1 1 1 3 3 3 2 3 3 3", "shift 1–7 shift 8–14"}, // on the median: left out
		{"5 1 2 3 4 5 1 5 2 4 1 5", "trend 2–6"},
		{"5 1 2 3 4 1 5 2 4 1 5 3", ""},            // four are no trend
		{"5 1 2 2 3 4 5 1 5 2 4 1 5", "trend 2–7"}, // like points once
		{"1 5 4 3 2 1 5 1 5 2 4 1", "trend 2–6"},   // falling
		{"1 1 1 1 1 1 3 3 3", ""},                  // too few points
	} {
		var points []Point
		for _, f := range strings.Fields(x.values) {
			v, _ := exactNumber(f)
			points = append(points, Point{Number: v})
		}
		row := rowOf("", points, 0)
		var got []string
		for _, s := range signals(points, row.MedianNumber) {
			got = append(got, fmt.Sprintf("%s %d–%d", s.Kind, s.From+1, s.To+1))
		}
		if strings.Join(got, " ") != x.want {
			t.Errorf("%s: %q, want %q", x.values, strings.Join(got, " "), x.want)
		}
	}
}

// A reading that a repeat takes again counts once, with the taking that decides; how
// many turns there were is told apart.
func TestTheLastTurnCounts(t *testing.T) {
	var list []*Record
	for _, name := range []string{good, "a-housing-that-stays-hot", "a-worn-rotor"} {
		r := saved(t, name)
		r.Job.WorkOrder = name
		list = append(list, r)
	}
	batch := batchOf(t, list)
	of := func(s *Sums) *Series {
		t.Helper()
		for _, x := range s.Series {
			if x.Name == "housing-temperature" {
				return x
			}
		}
		t.Fatal("no temperature")
		return nil
	}
	values := func(x *Series) (out []string) {
		for _, p := range x.Points {
			out = append(out, p.Value+"/"+p.Turn)
		}
		slices.Sort(out)
		return out
	}
	// 62 then 35; 70, 69, 69; 30.
	last, every := of(batch.Sum(false)), of(batch.Sum(true))
	if got, want := values(last), []string{"30/1", "35/2", "69/3"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if got, want := values(every), []string{"30/1", "35/2", "62/1", "69/2", "69/3", "70/1"}; !slices.Equal(got, want) {
		t.Errorf("%q, want %q", got, want)
	}
	if last.Total.Count != 3 || last.Total.Turns != 6 || last.Total.Outside != 1 || every.Total.Count != 6 || every.Total.Turns != 6 || every.Total.Outside != 4 {
		t.Errorf("%+v\n%+v", last.Total, every.Total)
	}
	for _, x := range []struct {
		a, b   string
		before bool
	}{{"1", "2", true}, {"9", "10", true}, {"10", "9", false}, {"1.2", "1.10", true}, {"2", "1.9", false}, {"", "1", true}, {"1", "1", false}, {"1", "1.1", true}} {
		if got := turnBefore(x.a, x.b); got != x.before {
			t.Errorf("turn %s before %s: %t", x.a, x.b, got)
		}
	}
}
