package trade

import (
	"math"
	"strings"
	"testing"

	"benchproof/compiler/quantity"
)

// The tables come from the standards; the formulas the standards derived them
// from, with the standards' own rounding, are an independent check on every cell.
// Floats are for the comparison only.

// Tolerance unit and grades: ISO 286-1:1988 annex A (i = 0.45 ∛D + 0.001 D up to
// 500 mm, I = 0.004 D + 2.1 above; D the geometric mean of the range).
func TestStandardTolerancesFollowTheirFormula(t *testing.T) {
	tab := gradeTable()
	factor := map[string]float64{"IT5": 7, "IT6": 10, "IT7": 16, "IT8": 25, "IT9": 40, "IT10": 64, "IT11": 100, "IT12": 160, "IT13": 250, "IT14": 400, "IT15": 640, "IT16": 1000, "IT17": 1600, "IT18": 2500}
	large := map[string]float64{"IT1": 2, "IT2": 2.7, "IT3": 3.7, "IT4": 5}
	for i := range tab.rows {
		low, high := tab.must(i, "over").Float64(), tab.must(i, "upto").Float64()
		if low == 0 {
			low = 1 // the standard's range is 1 to 3
		}
		d := math.Sqrt(low * high)
		unit := 0.45*math.Cbrt(d) + 0.001*d
		if high > 500 {
			unit = 0.004*d + 2.1
		}
		for _, column := range tab.header[2:] {
			v, ok := tab.number(i, column)
			if !ok {
				if high <= 500 || (column != "IT01" && column != "IT0") {
					t.Errorf("no %s up to %v mm", column, high)
				}
				continue
			}
			var want float64
			switch {
			case factor[column] > 0:
				want = factor[column] * unit
			case high > 500:
				want = large[column] * unit
			case column == "IT01":
				want = 0.3 + 0.008*d
			case column == "IT0":
				want = 0.5 + 0.012*d
			case column == "IT1":
				want = 0.8 + 0.020*d
			default: // IT2 to IT4: a geometric series from IT1 to IT5
				it1, it5 := 0.8+0.020*d, 7*unit
				step := float64(column[2] - '1')
				want = it1 * math.Pow(it5/it1, step/4)
			}
			// The standard rounded the first range and the finest grades coarsely.
			share := 0.095
			if i == 0 || len(column) > 3 && column[2] == '0' || column <= "IT4" && len(column) == 3 {
				share = 0.26
			}
			if math.Abs(v.Float64()-want) > math.Max(share*want, 0.51) {
				t.Errorf("%s up to %v mm: table %v, formula %.2f", column, high, v, want)
			}
			// Each grade is wider than the one before, each range than the one before.
			if i > 0 {
				if before, ok := tab.number(i-1, column); ok && before.Cmp(v) > 0 {
					t.Errorf("%s falls at %v mm", column, high)
				}
			}
		}
	}
}

// Fundamental deviations: ISO 286-1:1988 annex A table 7 (up to 500 mm) and
// table 8 (above).
func TestFundamentalDeviationsFollowTheirFormula(t *testing.T) {
	tab := deviationTable()
	checked := 0
	for i := range tab.rows {
		low, high := tab.must(i, "over").Float64(), tab.must(i, "upto").Float64()
		if low == 0 {
			low = 1
		}
		it := func(grade string) float64 {
			n, err := StandardTolerance(tab.must(i, "upto"), grade)
			if err != nil {
				t.Fatal(err)
			}
			return n.Float64()
		}
		own := math.Sqrt(low * high)
		// c and finer steps of a range use the mean of the half range, d to h, k to p
		// that of the whole range.
		wholeLow, wholeHigh := low, high
		if row, ok := gradeTable().span(tab.must(i, "upto")); ok {
			wholeLow, wholeHigh = math.Max(gradeTable().must(row, "over").Float64(), 1), gradeTable().must(row, "upto").Float64()
		}
		d := math.Sqrt(wholeLow * wholeHigh)
		large := high > 500
		pick := func(small, big float64) float64 {
			if large {
				return big
			}
			return small
		}
		c := 95 + 0.8*own
		if high <= 40 {
			c = 52 * math.Pow(own, 0.2)
		}
		e, f, g, dd := 11*math.Pow(d, 0.41), 5.5*math.Pow(d, 0.41), 2.5*math.Pow(d, 0.34), 16*math.Pow(d, 0.44)
		p := it("7") + 3
		s := it("8") + 2.5
		if high > 50 {
			s = it("7") + 0.4*own
		}
		if large {
			p = 0.072*d + 37.8
		}
		a := 265 + 1.3*own
		if high > 120 {
			a = 3.5 * own
		}
		b := 140 + 0.85*own
		if high > 160 {
			b = 1.8 * own
		}
		want := map[string]float64{
			"a": a, "b": b, "c": c, "cd": math.Sqrt(c * dd), "d": dd, "e": e, "ef": math.Sqrt(e * f), "f": f, "fg": math.Sqrt(f * g), "g": g,
			"k": pick(0.6*math.Cbrt(d), 0), "m": pick(it("7")-it("6"), 0.024*d+12.6), "n": pick(5*math.Pow(d, 0.34), 0.04*d+21),
			"p": p, "r": math.Sqrt(p * s), "s": s, "t": it("7") + 0.63*own, "u": it("7") + own, "v": it("7") + 1.25*own, "x": it("7") + 1.6*own,
			"y": it("7") + 2*own, "z": it("7") + 2.5*own, "za": it("8") + 3.15*own, "zb": 0, "zc": 0,
		}
		if !large {
			want["zb"], want["zc"] = it("9")+4*own, it("10")+5*own
		}
		for column, w := range want {
			v, ok := tab.number(i, column)
			if !ok {
				continue
			}
			share := 0.08
			switch {
			case column == "c" || column == "cd":
				share = 0.16 // rounded up to the series of preferred numbers
			case column >= "t" && high <= 18:
				continue // below 18 mm the table keeps older, larger values
			case high <= 3:
				continue // so does the whole first range
			}
			checked++
			if math.Abs(v.Float64()-w) > math.Max(share*w, 3.1) {
				t.Errorf("%s up to %v mm: table %v, formula %.1f", column, high, v, w)
			}
		}
	}
	t.Logf("%d tabulated deviations compared", checked)
	if checked < 650 {
		t.Errorf("only %d deviations compared", checked)
	}
}

// Neighbouring letters never swap places, and a letter never falls with the size.
func TestFundamentalDeviationsAreOrdered(t *testing.T) {
	tab := deviationTable()
	order := []string{"k", "m", "n", "p", "r", "s", "t", "u", "v", "x", "y", "z", "za", "zb", "zc"}
	back := []string{"g", "fg", "f", "ef", "e", "d", "cd", "c", "b", "a"}
	for i := range tab.rows {
		for _, letters := range [][]string{order, back} {
			last := quantity.NewInt(-1)
			for _, l := range letters {
				v, ok := tab.number(i, l)
				if !ok {
					continue
				}
				if v.Cmp(last) <= 0 {
					t.Errorf("row %v: %s is not beyond the letter before it", tab.rows[i], l)
				}
				last = v
			}
		}
		if i == 0 {
			continue
		}
		if !tab.must(i, "over").Equal(tab.must(i-1, "upto")) {
			t.Errorf("gap before %s", tab.text(i, "over"))
		}
		for _, l := range tab.header[2:] {
			v, ok := tab.number(i, l)
			w, ok2 := tab.number(i-1, l)
			if l == "k" && tab.must(i, "over").Float64() == 500 {
				continue
			}
			if ok && ok2 && v.Cmp(w) < 0 {
				t.Errorf("%s falls over %s mm", l, tab.text(i, "over"))
			}
		}
	}
}

// TD1 by ISO 965-1 clause 13 (grade 6): 433 P − 190 P^1.22 um from 0.2 up to
// 0.8 mm, 230 P^0.7 from 1 mm; the other grades are 0.63, 0.8, 1.25 and 1.6 of it.
func TestMinorTolerancesFollowTheirFormula(t *testing.T) {
	tab := pitchTable()
	share := map[string]float64{"TD1_4": 0.63, "TD1_5": 0.8, "TD1_6": 1, "TD1_7": 1.25, "TD1_8": 1.6}
	for i := range tab.rows {
		p := tab.must(i, "P").Float64()
		grade6 := 230 * math.Pow(p, 0.7)
		if p < 1 {
			grade6 = 433*p - 190*math.Pow(p, 1.22)
		}
		for column, k := range share {
			if v, ok := tab.number(i, column); ok && math.Abs(v.Float64()-k*grade6) > 0.07*k*grade6 {
				t.Errorf("%s of P %v: table %v, formula %.1f", column, p, v, k*grade6)
			}
		}
		// Position G: 15 + 11 P.
		if v, ok := tab.number(i, "EI_G"); ok && math.Abs(v.Float64()-(15+11*p)) > 0.06*(15+11*p) {
			t.Errorf("EI of G at P %v: table %v, formula %.1f", p, v, 15+11*p)
		}
		// DIN 76-1: e1 falls smoothly from 6.5 to 4 pitches.
		if v, ok := tab.number(i, "e1"); ok && (v.Float64()/p > 6.6 || v.Float64()/p < 3.9) {
			t.Errorf("e1 at P %v: %v", p, v)
		}
	}
	last := math.Inf(1)
	for i := range tab.rows {
		if v, ok := tab.number(i, "e1"); ok {
			r := v.Float64() / tab.must(i, "P").Float64()
			if r > last+0.12 {
				t.Errorf("e1/P rises at P %s: %.2f after %.2f", tab.text(i, "P"), r, last)
			}
			last = r
		}
	}
}

// Printed stress areas against the formula of ISO 898-1, to their three digits.
func TestStressAreasFollowTheFormula(t *testing.T) {
	tab := proofTable()
	for i := range tab.rows {
		th, err := ParseThread(tab.text(i, "thread"))
		if err != nil {
			t.Fatal(err)
		}
		d0 := th.stressDiameter()
		byFormula := significantDigits(quarterPi.Mul(d0).Mul(d0), 3)
		if !byFormula.Equal(tab.must(i, "As")) {
			t.Errorf("%v: table %s, formula %v", th, tab.text(i, "As"), byFormula)
		}
	}
}

// Printed proof loads are stress area times stress within the standard's rounding.
func TestProofLoadsFollowTheFormula(t *testing.T) {
	tab := proofTable()
	n, other := 0, 0
	for i := range tab.rows {
		th, _ := ParseThread(tab.text(i, "thread"))
		for _, class := range tab.header[2:] {
			f, err := ParseFastener(th, class)
			if tab.text(i, class) == "" {
				if err == nil {
					t.Errorf("%v %s has no printed load and no error", th, class)
				}
				continue
			}
			if err != nil {
				t.Errorf("%v %s: %v", th, class, err)
				continue
			}
			n++
			if !f.Proof.Equal(tab.must(i, class).Quo(quantity.NewInt(1000))) {
				t.Errorf("%v %s: %v, printed %s", th, class, f.Proof, tab.text(i, class))
			}
			off := math.Abs(f.byArea().Float64()/f.Proof.Float64() - 1)
			if off > 0.0101 {
				t.Errorf("%v %s: printed %v kN, area times stress %v kN", th, class, f.Proof, f.byArea())
			}
			if off > 1e-12 {
				other++
			}
		}
	}
	t.Logf("%d printed proof loads, %d with another last digit than area times stress", n, other)
}

// Every recommended drill lies inside the limits of what it is recommended for,
// and every thread up to M52 that has limits has a drill.
func TestRecommendedDrillsFit(t *testing.T) {
	cut, insert := 0, 0
	for _, th := range Threads() {
		hole, err := TappingHole(th)
		if err != nil {
			t.Errorf("%v: %v", th, err)
			continue
		}
		if hole.Recommended.Sign() == 0 {
			if th.Diameter.Cmp(quantity.NewInt(52)) <= 0 {
				t.Errorf("%v has no recommended drill", th)
			}
		} else {
			cut++
			if v := hole.Judge(hole.Recommended); v != Inside {
				t.Errorf("%v: drill %v is %v for %v to %v", th, hole.Recommended, v, hole.Lower, hole.Upper)
			}
		}
		ins, err := InsertHole(th)
		if err != nil {
			if th.Pitch.Float64() >= 0.25 {
				t.Errorf("%v insert: %v", th, err)
			}
			continue
		}
		if ins.Recommended.Sign() > 0 {
			insert++
			if v := ins.Judge(ins.Recommended); v != Inside {
				t.Errorf("insert %v: drill %v is %v for %v to %v", th, ins.Recommended, v, ins.Lower, ins.Upper)
			}
		}
		// The receiving thread's minor diameter is above the insert's major one.
		if ins.Lower.Cmp(th.Diameter) <= 0 {
			t.Errorf("insert %v: hole from %v", th, ins.Lower)
		}
	}
	if cut != len(drillTable()) || insert != len(insertTable()) {
		t.Errorf("%d of %d drills and %d of %d insert drills belong to known threads", cut, len(drillTable()), insert, len(insertTable()))
	}
}

// The Δ rule makes a hole-based and a shaft-based fit of the same letters and
// grades equal: H(n)/p(n−1) and P(n)/h(n−1), ISO 286-1 clause 4.1.2.5.
func TestDeltaRuleKeepsFitsEqual(t *testing.T) {
	n := 0
	for _, size := range []string{"4", "8", "12", "16", "20", "28", "35", "45", "60", "70", "90", "110", "130", "150", "170", "190", "210", "240", "260", "300", "330", "380", "420", "480"} {
		for _, letter := range []string{"p", "r", "s", "u", "x", "z", "zc"} {
			for _, g := range []string{"5", "6", "7"} {
				fine := string(g[0] - 1)
				a, err := NewFit(num(size), "H"+g, letter+fine)
				if err != nil {
					t.Fatal(err)
				}
				b, err := NewFit(num(size), strings.ToUpper(letter)+g, "h"+fine)
				if err != nil {
					t.Fatal(err)
				}
				n++
				if !a.Tightest.Equal(b.Tightest) || !a.Loosest.Equal(b.Loosest) || a.Kind != b.Kind {
					t.Errorf("%s mm: H%s/%s%s is %v to %v, %s%s/h%s is %v to %v", size, g, letter, fine, a.Tightest, a.Loosest, strings.ToUpper(letter), g, fine, b.Tightest, b.Loosest)
				}
			}
		}
	}
	t.Logf("%d pairs of fits", n)
}
