package quantity

import (
	"strings"
	"testing"
)

func num(s string) Number { return MustNumber(s) }

func micrometer() Scale { return Scale{From: num("25"), To: num("50"), Step: num("0.001")} }

func TestGuard(t *testing.T) {
	between := func(a, b string) Range { return Between(num(a), false, num(b), false) }
	accept := func(r Range) Branch { return Branch{r, true} }
	other := func(r Range) Branch { return Branch{r, false} }
	smooth := Scale{From: num("25"), To: num("50")}
	for _, c := range []struct {
		name     string
		scale    Scale
		u, r     string
		branches []Branch
		want     string
	}{
		{"a worn sleeve: both ends move, the neighbours take what is left", micrometer(), "0.004", "1",
			[]Branch{other(Above(num("32.01"))), accept(between("31.95", "32.01")), other(Between(num("31.80"), false, num("31.95"), true)), other(Below(num("31.80")))},
			"above 32.006*; from 31.954* to 32.006*; from 31.8 to below 31.954*; below 31.8"},
		{"the 95 % rule: the band 0.00332 goes on to the next value shown", micrometer(), "0.004", "0.83",
			[]Branch{other(Above(num("32.01"))), accept(between("31.95", "32.01")), other(Below(num("31.95")))},
			"above 32.006*; from 31.954* to 32.006*; below 31.954*"},
		{"simple: r = 0 moves nothing", micrometer(), "0.004", "0",
			[]Branch{other(Above(num("32.01"))), accept(between("31.95", "32.01")), other(Below(num("31.95")))},
			"above 32.01; from 31.95 to 32.01; below 31.95"},
		{"an until: one range, the rest is not accepted", stepped("0", "10", "0.01"), "0.01", "1",
			[]Branch{accept(AtMost(num("0.05")))}, "at most 0.04*"},
		{"a whole-degree display", stepped("0", "150", "1"), "2", "1",
			[]Branch{accept(AtMost(num("40")))}, "at most 38*"},
		{"the instrument's ends stay", micrometer(), "0.004", "1",
			[]Branch{accept(between("25", "32.01")), other(Between(num("32.01"), true, num("50"), false))},
			"from 25 to 32.006*; above 32.006* to 50"},
		{"an open end stays", micrometer(), "0.004", "1",
			[]Branch{other(Below(num("30"))), accept(AtLeast(num("30")))}, "below 30.004*; at least 30.004*"},
		{"a limit between two accepting ranges stays", micrometer(), "0.004", "1",
			[]Branch{other(Below(num("30"))), accept(Between(num("30"), false, num("31"), true)), accept(between("31", "32")), other(Above(num("32")))},
			"below 30.004*; from 30.004* to below 31; from 31 to 31.996*; above 31.996*"},
		{"two accepting ranges that meet in neighbouring values", micrometer(), "0.004", "1",
			[]Branch{other(Below(num("30"))), accept(between("30", "30.999")), accept(between("31", "32")), other(Above(num("32")))},
			"below 30.004*; from 30.004* to 30.999; from 31 to 31.996*; above 31.996*"},
		{"open limits stay open", micrometer(), "0.004", "1",
			[]Branch{other(AtMost(num("30"))), accept(Between(num("30"), true, num("31"), true)), other(AtLeast(num("31")))},
			"at most 30.004*; above 30.004* to below 30.996*; at least 30.996*"},
		{"a neighbour written to the value beside the limit", micrometer(), "0.004", "1",
			[]Branch{other(AtMost(num("29.999"))), accept(AtLeast(num("30")))}, "at most 30.003*; at least 30.004*"},
		{"a limit finer than the display", micrometer(), "0.004", "1",
			[]Branch{other(Below(num("30.0004"))), accept(AtLeast(num("30.0004")))}, "below 30.005*; at least 30.005*"},
		{"an accepting range that is emptied keeps its place", micrometer(), "0.004", "1",
			[]Branch{other(Below(num("30"))), accept(between("30", "30.007")), other(Above(num("30.007")))},
			"below 30; from 30 to 30.007 emptied; above 30.007"},
		{"one value is left", micrometer(), "0.004", "1",
			[]Branch{other(Below(num("30"))), accept(between("30", "30.008")), other(Above(num("30.008")))},
			"below 30.004*; 30.004**; above 30.004*"},
		{"per cent of the reading, taken at the limit: 0.48 and 0.52", stepped("0", "60", "0.1"), "2 %", "1",
			[]Branch{other(Below(num("24"))), accept(between("24", "26")), other(Above(num("26")))},
			"below 24.5*; from 24.5* to 25.4*; above 25.4*"},
		{"a continuous display", smooth, "0.004", "0.83",
			[]Branch{other(Above(num("32.01"))), accept(between("31.95", "32.01")), other(Below(num("31.95")))},
			"above 32.00668*; from 31.95332* to 32.00668*; below 31.95332*"},
		{"guarded rejection moves outwards, as far as the instrument", micrometer(), "0.004", "-1",
			[]Branch{other(Below(num("25.002"))), accept(between("25.002", "30")), other(Above(num("30")))},
			"below 25* emptied; from 25* to 30.004*; above 30.004*"},
		{"a range that the instrument cannot show is left alone", micrometer(), "0.004", "1",
			[]Branch{accept(Below(num("20"))), accept(AtLeast(num("20")))}, "below 20; at least 20"},
	} {
		band := Band{Factor: num(c.r)}
		var u string
		u, band.Relative = strings.CutSuffix(c.u, " %")
		band.Uncertainty = num(u)
		var got []string
		for _, a := range Guard(c.scale, c.branches, band) {
			got = append(got, marked(a))
		}
		if s := strings.Join(got, "; "); s != c.want {
			t.Errorf("%s:\n got %s\nwant %s", c.name, s, c.want)
		}
	}
}

// marked writes a range with a star behind each end that moved.
func marked(a Acting) string {
	s := a.Range.Words(Number.String)
	if a.HighMoved {
		s += "*"
	}
	if a.LowMoved {
		low := a.Range.Low.Value.String()
		s = strings.Replace(s, low, low+"*", 1)
	}
	if a.Emptied {
		s += " emptied"
	}
	return s
}

func TestGuardOfManyRanges(t *testing.T) {
	const n = 20_000
	branches := make([]Branch, n)
	for i := range branches {
		k := int64(i)
		branches[i] = Branch{Between(NewInt(10*k), false, NewInt(10*k+10), true), i%2 == 1}
	}
	acting := Guard(stepped("0", "199999", "1"), branches, Band{Uncertainty: NewInt(2), Factor: NewInt(1)})
	if got := marked(acting[n/2]) + "; " + marked(acting[n/2+1]); got != "from 99998* to below 100012*; from 100012* to below 100018*" {
		t.Error(got)
	}
}
