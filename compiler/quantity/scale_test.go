package quantity

import (
	"strings"
	"testing"
)

func stepped(from, to, step string) Scale {
	return Scale{From: num(from), To: num(to), Step: num(step)}
}

func TestRangeWords(t *testing.T) {
	a, b := num("31.80"), num("31.95")
	show := func(v Number) string { return v.Decimal(2) + " mm" }
	for _, c := range []struct {
		r    Range
		want string
	}{
		{AtLeast(a), "at least 31.80 mm"}, {Above(a), "above 31.80 mm"}, {AtMost(a), "at most 31.80 mm"}, {Below(a), "below 31.80 mm"},
		{Between(a, false, b, false), "from 31.80 mm to 31.95 mm"}, {Between(a, false, b, true), "from 31.80 mm to below 31.95 mm"},
		{Between(a, true, b, false), "above 31.80 mm to 31.95 mm"}, {Between(a, true, b, true), "above 31.80 mm to below 31.95 mm"},
		{Between(a, false, a, false), "31.80 mm"}, {All(), "any value"},
	} {
		if got := c.r.Words(show); got != c.want {
			t.Errorf("%q, want %q", got, c.want)
		}
	}
	double := AtLeast(a).Map(func(v Number) Number { return v.Mul(NewInt(2)) })
	if double.String() != "at least 63.6" {
		t.Errorf("twice at least 31.80 is %s", double)
	}
}

func TestRangeEmpty(t *testing.T) {
	a, b := num("1"), num("2")
	for r, want := range map[*Range]bool{
		{End{Value: a}, End{Value: b}}: false, {End{Value: b}, End{Value: a}}: true, {End{Value: a}, End{Value: a}}: false,
		{End{Value: a, Open: true}, End{Value: a}}: true, {End{Unbounded: true}, End{Value: a, Open: true}}: false,
	} {
		if r.Empty() != want {
			t.Errorf("%s empty: %v", r, r.Empty())
		}
	}
}

func TestExamplesReadWell(t *testing.T) {
	mic := micrometer()
	for _, c := range []struct {
		scale Scale
		r     Range
		want  string
	}{
		{mic, Between(num("39.80"), false, num("39.954"), true), "39.9"},
		{mic, Below(num("31.80")), "30"},
		{mic, Above(num("32.006")), "40"},
		{mic, Between(num("31.95"), true, num("31.953"), false), "31.952"},
		{mic, Between(num("31.953"), false, num("31.953"), false), "31.953"},
		{stepped("0", "150", "1"), AtMost(num("40")), "20"},
		{stepped("0", "150", "1"), Above(num("40")), "100"},
		{stepped("-40", "60", "0.5"), All(), "0"},
		{stepped("0", "10", "0.01"), AtMost(num("0.05")), "0.02"},
		{stepped("0", "10", "0"), Between(num("0.05"), true, num("0.06"), true), "0.055"},
		{stepped("0", "10", "0"), Between(num("3"), false, num("3"), false), "3"},
		{Scale{Endless: true}, Above(num("5")), "6"},
		{Scale{Endless: true}, Below(num("5")), "4"},
		{Scale{Endless: true}, AtLeast(num("5")), "5"},
		{Scale{Endless: true, Step: num("0.1")}, Above(num("5")), "5.1"},
		{Scale{Endless: true}, All(), "0"},
	} {
		if got, ok := c.scale.Middle(c.r); !ok || got.String() != c.want {
			t.Errorf("%s on %+v: %s, %v, want %s", c.r, c.scale, got, ok, c.want)
		}
	}
}

// A micrometer that shows 0.0001 in, with its limits in mm: every value that it
// shows is a multiple of 0.00254 mm.
func TestScaleInAnotherUnit(t *testing.T) {
	inch, mm := unit(t, "inch"), unit(t, "mm")
	s, err := ScaleIn(stepped("0", "1", "0.0001"), inch, mm)
	if err != nil {
		t.Fatal(err)
	}
	first, _ := s.First(AtLeast(num("20")))
	last, _ := s.Last(AtMost(num("20.021")))
	if first.String() != "20.0025" || last.String() != "20.02028" {
		t.Errorf("from %s to %s", first, last)
	}
	if n, finite := s.Count(Between(num("20"), false, num("20.021"), false)); !finite || n.String() != "8" {
		t.Errorf("%s values, %v", n, finite)
	}
	if back, err := New(first, mm).In(inch); err != nil || back.String() != "0.7875" {
		t.Errorf("it shows %s in, %v", back, err)
	}
	// The gap between two limits that both lie between neighbouring values is none.
	v := Partition(s, []Range{AtMost(num("20.001")), AtLeast(num("20.0025"))})
	if !v.Sound() {
		t.Errorf("20.001 to 20.0025 mm holds no multiple of 0.00254 mm, but %+v", v)
	}

	// A millimetre display judged in inches has a step without decimals; the
	// example is still round on the display.
	s, err = ScaleIn(stepped("0", "100", "0.01"), mm, inch)
	if err != nil {
		t.Fatal(err)
	}
	example, _ := s.Middle(Between(num("1"), false, num("1.5"), false))
	if shown, err := New(example, inch).In(mm); err != nil || shown.String() != "30" {
		t.Errorf("the example shows %s mm, %v", shown, err)
	}
}

// A Celsius display judged in °F: its whole degrees are 1.8 °F apart and 0 °C is
// one of them, at 32 °F.
func TestScaleWithAnotherZero(t *testing.T) {
	s, err := ScaleIn(stepped("0", "150", "1"), unit(t, "degC"), unit(t, "degF"))
	if err != nil {
		t.Fatal(err)
	}
	for v, want := range map[string]bool{"32": true, "33.8": true, "33": false, "0": false, "302": true, "303.8": false} {
		if s.Shows(num(v)) != want {
			t.Errorf("shows %s °F: %v", v, !want)
		}
	}
	if v, ok := s.Up(num("100")); !ok || v.String() != "100.4" {
		t.Errorf("from 100 °F up: %s", v)
	}
	if v, ok := s.Middle(AtMost(num("104"))); !ok || v.String() != "68" {
		t.Errorf("the example is %s °F", v)
	}
}

func TestScaleWithoutLeastOrGreatest(t *testing.T) {
	smooth := stepped("0", "10", "0")
	if v, ok := smooth.First(Above(num("1"))); ok {
		t.Errorf("the least value above 1 is %s", v)
	}
	if v, ok := smooth.First(AtLeast(num("1"))); !ok || v.String() != "1" {
		t.Errorf("the least value from 1 is %s, %v", v, ok)
	}
	if _, ok := smooth.Next(num("1")); ok {
		t.Error("a continuous display has a next value")
	}
	if v, ok := smooth.Up(num("1.23456")); !ok || v.String() != "1.23456" {
		t.Errorf("up from 1.23456: %s, %v", v, ok)
	}
	if _, finite := smooth.Count(All()); finite {
		t.Error("a continuous display shows finitely many values")
	}
	if n, finite := smooth.Count(Between(num("1"), false, num("1"), false)); !finite || n.String() != "1" {
		t.Errorf("one value counts as %s, %v", n, finite)
	}
	endless := Scale{Endless: true, Step: num("0.5")}
	if v, ok := endless.First(All()); ok {
		t.Errorf("an endless scale begins at %s", v)
	}
	if _, finite := endless.Count(AtLeast(num("1"))); finite {
		t.Error("an endless scale shows finitely many values")
	}
	backwards := stepped("10", "0", "1")
	if backwards.ShowsAny(All()) || !SetOf(backwards, All()).Empty() {
		t.Error("a scale whose end lies before its start shows something")
	}
}

// Steps and limits at the bounds of what a source can write stay exact, well
// beyond 64 bits.
func TestScaleBeyondSixtyFourBits(t *testing.T) {
	fine := "0." + strings.Repeat("0", 39) + "1"
	s := stepped("0", "1"+strings.Repeat("0", 19), fine)
	limit := num("5" + "." + strings.Repeat("0", 38) + "11")
	a := SetOf(s, AtMost(limit))
	b := SetOf(s, Above(limit))
	if !a.Intersect(b).Empty() || a.Union(b).Key() != SetOf(s, All()).Key() {
		t.Error("two halves do not make a whole")
	}
	next, ok := s.Next(limit)
	if !ok || !b.Contains(next) || a.Contains(next) || next.Sub(num(fine)).Cmp(limit) != 0 {
		t.Errorf("after %s comes %s", limit, next)
	}
	if v := Partition(s, []Range{Below(limit), Above(limit)}); len(v.Gaps) != 1 || !v.Gaps[0].Example.Equal(limit) {
		t.Errorf("%+v", v)
	}
	if example, ok := s.Middle(Below(num("5"))); !ok || example.String() != "2" {
		t.Errorf("the example is %s", example)
	}
}

func TestSetsOverDifferentScales(t *testing.T) {
	tenths, halves := stepped("0", "10", "0.1"), stepped("0", "10", "0.5")
	a, b := SetOf(tenths, AtLeast(num("1.2"))), SetOf(halves, AtMost(num("2")))
	// On tenths, b is what halves show of it: everything from 0 to 2.
	if got := a.Intersect(b).Ranges(); len(got) != 1 || got[0].String() != "from 1.2 to 2" {
		t.Errorf("%v", got)
	}
	var none Set
	if !none.Empty() || none.Key() != "" || none.Contains(num("1")) || len(none.Ranges()) != 0 || none.Sample().Sign() != 0 {
		t.Error("the zero set is not empty")
	}
	if !none.Union(a).Equal(a) || !a.Union(none).Equal(a) || !none.Intersect(a).Empty() || !none.Minus(a).Empty() || !a.Minus(none).Equal(a) {
		t.Error("the zero set does not behave as an empty one")
	}
}

func TestPartitionNamesRangeAndExample(t *testing.T) {
	mic := micrometer()
	v := Partition(mic, []Range{
		Above(num("32.01")), Between(num("31.95"), false, num("32.00"), false), Between(num("31.80"), false, num("31.96"), false), Below(num("20")),
	})
	if len(v.Gaps) != 2 || v.Gaps[0].Range.String() != "from 25 to 31.799" || v.Gaps[0].Example.String() != "30" ||
		v.Gaps[1].Range.String() != "from 32.001 to 32.01" || v.Gaps[1].Example.String() != "32.005" {
		t.Errorf("gaps %+v", v.Gaps)
	}
	if len(v.Overlaps) != 1 || v.Overlaps[0].I != 1 || v.Overlaps[0].J != 2 || v.Overlaps[0].Range.String() != "from 31.95 to 31.96" {
		t.Errorf("overlaps %+v", v.Overlaps)
	}
	if len(v.Never) != 1 || v.Never[0] != 3 {
		t.Errorf("never %v", v.Never)
	}
	if v := Partition(mic, nil); len(v.Gaps) != 1 || v.Gaps[0].Range.String() != "from 25 to 50" {
		t.Errorf("a decision without ranges: %+v", v)
	}
}

func TestPartitionOfManyRangesIsBounded(t *testing.T) {
	ranges := make([]Range, 20_000)
	for i := range ranges {
		ranges[i] = AtLeast(num("30"))
	}
	v := Partition(micrometer(), ranges)
	if len(v.Overlaps) != MostOverlaps || len(v.Gaps) != 1 {
		t.Errorf("%d overlaps, %d gaps", len(v.Overlaps), len(v.Gaps))
	}
}

func TestShownReachedResolved(t *testing.T) {
	mic := micrometer()
	for _, c := range []struct {
		v                 string
		reaches, resolves bool
	}{{"31.95", true, true}, {"31.9505", true, false}, {"24.999", false, true}, {"50.0001", false, false}, {"25", true, true}, {"50", true, true}} {
		v := num(c.v)
		if mic.Reaches(v) != c.reaches || mic.Resolves(v) != c.resolves || mic.Shows(v) != (c.reaches && c.resolves) {
			t.Errorf("%s: reached %v, resolved %v, shown %v", c.v, mic.Reaches(v), mic.Resolves(v), mic.Shows(v))
		}
	}
}
