package quantity

import (
	"encoding/csv"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// rows reads a table of published values; every row carries its source, which
// stands in the name of its test.
func rows(t *testing.T, file string) []map[string]string {
	t.Helper()
	f, err := os.Open(filepath.Join("testdata", file))
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	all, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	var out []map[string]string
	for _, line := range all[1:] {
		row := make(map[string]string)
		for i, head := range all[0] {
			row[head] = line[i]
		}
		out = append(out, row)
	}
	return out
}

func eachCertain(t *testing.T, file string, check func(t *testing.T, row map[string]string)) {
	tried := 0
	for _, row := range rows(t, file) {
		if row["certainty"] != "sure" {
			continue // the table itself doubts it
		}
		tried++
		t.Run(row["id"]+" "+row["source"], func(t *testing.T) { check(t, row) })
	}
	if tried < 30 {
		t.Errorf("%s: only %d rows were tried", file, tried)
	}
}

// The table's spellings where they are not the language's codes.
var tableUnit = map[string]string{
	"in": "inch", "thou (mil)": "thou", "microinch": "uin", "gal (US)": "gal", "qt (US)": "qt", "pt (US)": "pt",
	"gal (UK)": "gal-uk", "pt (UK)": "pt-uk", "fl oz (US)": "fl-oz", "oz (avoirdupois)": "oz", "kgf/cm2 (at)": "kgf/cm2",
	"mmHg (conventional)": "mmHg", "inHg (conventional)": "inHg", "mmH2O (conventional)": "mmH2O", "inH2O (conventional)": "inH2O",
	"rev/min": "rpm", "hp (550 ft.lbf/s)": "hp", "PS (metric horsepower)": "PS", "ft3/min": "cfm", "gal (US)/min": "gpm",
}

func unitOf(t *testing.T, spelling string) *Unit {
	t.Helper()
	code := spelling
	if c, ok := tableUnit[spelling]; ok {
		code = c
	}
	u, ok := LookUp(code)
	if !ok {
		t.Fatalf("no unit for %q", spelling)
	}
	return u
}

// agrees reports whether got is the published figure: exactly, or to the last
// digit printed, which for figures of 16 and more digits is that of a double.
func agrees(got Number, published string, exact bool) bool {
	want := num(published)
	if exact {
		return got.Equal(want)
	}
	off := got.Sub(want).Abs()
	lastDigit := powerOfTen(-want.Places()).Mul(NewFrac(1, 2))
	double := want.Abs().Mul(powerOfTen(-15))
	return off.Cmp(lastDigit) <= 0 || off.Cmp(double) <= 0
}

func TestPublishedConversions(t *testing.T) {
	eachCertain(t, "units.csv", func(t *testing.T, row map[string]string) {
		from, to := unitOf(t, row["unit_from"]), (*Unit)(nil)
		if row["unit_to"] == "Hz" && from.Dimension == RotationSpeed {
			to = unitOf(t, "rps") // a speed of rotation is kept apart from a frequency
		} else {
			to = unitOf(t, row["unit_to"])
		}
		in, published := num(row["value_in"]), row["value_out"]
		if row["kind"] == "factor" {
			published = row["factor"]
			if before, ok := strings.CutSuffix(row["offset"], " before factor"); ok {
				in = in.Sub(num(before))
			} else if row["offset"] != "" {
				t.Fatalf("offset %q is not understood", row["offset"])
			}
		}
		got, err := New(in, from).In(to)
		if err != nil {
			t.Fatal(err)
		}
		if !agrees(got, published, row["exact"] == "yes") {
			t.Errorf("%s %s = %s %s, published %s", in, from.Code, got, to.Code, published)
		}
		back, err := New(got, to).In(from)
		if err != nil || !back.Equal(in) {
			t.Errorf("and back: %s, %v", back, err)
		}
	})
}

func TestWorkedConversionsAgreeWithUCUM(t *testing.T) {
	var asked [][3]any
	var tried []map[string]string
	for _, row := range rows(t, "units.csv") {
		if row["certainty"] == "sure" && row["kind"] == "worked" && row["ucum_from"] != "" {
			asked = append(asked, [3]any{row["ucum_from"], num(row["value_in"]).Float64(), row["ucum_to"]})
			tried = append(tried, row)
		}
	}
	for i, answer := range askUCUM(t, asked) {
		row := tried[i]
		got, err := New(num(row["value_in"]), unitOf(t, row["unit_from"])).In(unitOf(t, row["unit_to"]))
		if err != nil {
			t.Errorf("%s: %v", row["id"], err)
			continue
		}
		want, ok := answer.(float64)
		if off := got.Float64() - want; !ok || off > 1e-9*max(1, want) || off < -1e-9*max(1, want) {
			t.Errorf("%s: %s, UCUM says %v", row["id"], got, answer)
		}
	}
	if len(tried) < 10 {
		t.Errorf("only %d worked conversions were compared", len(tried))
	}
}

// TestPublishedGuardBands works out the acceptance limits and the decision of
// each row. Limits and readings are those of a continuous display, as printed
// examples do not state a resolution.
func TestPublishedGuardBands(t *testing.T) {
	eachCertain(t, "guardband.csv", func(t *testing.T, row map[string]string) {
		end := func(column string) End {
			if row[column] == "" {
				return End{Unbounded: true}
			}
			return End{Value: num(row[column])}
		}
		if u := num(row["u"]).Mul(num(row["k"])); !u.Equal(num(row["U"])) {
			t.Fatalf("U = %s, but k·u = %s", row["U"], u)
		}
		band := Band{Uncertainty: num(row["U"]), Factor: num(row["r"])}
		if g := band.Width(Number{}); !g.Equal(num(row["g"])) {
			t.Errorf("g = %s, published %s", g, row["g"])
		}
		drawn := Range{end("TL"), end("TU")}
		published := Range{end("AL"), end("AU")}
		guarded := func(factor Number) Acting {
			band.Factor = factor
			return Guard(Scale{Endless: true}, []Branch{{Range: drawn, Accept: true}}, band)[0]
		}
		r := num(row["r"])
		a := guarded(r)
		if published.Empty() != a.Emptied {
			t.Fatalf("emptied: %v, published limits %s", a.Emptied, published)
		}
		if !a.Emptied && !a.Range.Equal(published) {
			t.Errorf("acts %s, published %s", a.Range, published)
		}

		// Accepted inside the acting limits, rejected where the band on the
		// other side of the limits is left too, undecided between (ISO 14253-1).
		y, decision := num(row["y"]), "undecided"
		switch {
		case !a.Emptied && a.Range.Contains(y):
			decision = "conforms"
		case !guarded(r.Abs().Neg()).Range.Contains(y):
			decision = "does-not-conform"
		}
		if decision != row["decision"] {
			t.Errorf("reading %s: %s, published %s", y, decision, row["decision"])
		}
	})
}
