package quantity

import (
	"math"
	"math/big"
	"math/rand/v2"
	"strings"
	"testing"
)

func TestParseNumber(t *testing.T) {
	for _, c := range []struct{ in, want string }{
		{"0", "0"}, {"-0", "0"}, {"31.95", "31.95"}, {"31.950", "31.95"}, {"-5", "-5"}, {"-0.010", "-0.01"},
		{"007", "7"}, {"9223372036854775807", "9223372036854775807"}, {"-9223372036854775808", "-9223372036854775808"},
		{"0.0000000000000000000001", "0.0000000000000000000001"},
		{strings.Repeat("9", MaxDigits), strings.Repeat("9", MaxDigits)},
	} {
		n, err := ParseNumber(c.in)
		if err != nil || n.String() != c.want {
			t.Errorf("%s: %s, %v", c.in, n, err)
		}
	}
	for in, want := range map[string]string{
		"": "a number was expected", "-": "a number was expected", ".5": "before the point: write 0", "5.": "after the point",
		"1,5": "a point, not a comma", "1e5": "no exponent", "1.2.3": "is not a number", "+5": "is not a number", "١٢": "is not a number",
		"--5": "is not a number", " 5": "is not a number", "0x10": "is not a number", "1_000": "is not a number",
		strings.Repeat("1", MaxDigits+1):    "more than 60 digits",
		strings.Repeat("1", 5_000_000):      "more than 60 digits",
		"9" + strings.Repeat("é", 1_000_00): "is not a number",
	} {
		if _, err := ParseNumber(in); err == nil || !strings.Contains(err.Error(), want) || len(err.Error()) > 120 {
			t.Errorf("%.20s…: %v, want …%s…", in, err, want)
		}
	}
}

func FuzzParseNumber(f *testing.F) {
	for _, s := range []string{"0", "-5", "31.95", "9223372036854775807.1", "-0.000", "1e9", "..", "-", "5.", "٣", strings.Repeat("7", 61)} {
		f.Add(s)
	}
	f.Fuzz(func(t *testing.T, s string) {
		n, err := ParseNumber(s)
		if err != nil {
			if len(err.Error()) > 200 {
				t.Errorf("a message of %d bytes", len(err.Error()))
			}
			return
		}
		want, ok := new(big.Rat).SetString(s)
		if !ok || n.rat().Cmp(want) != 0 {
			t.Fatalf("%q is %s", s, n)
		}
		again, err := ParseNumber(n.String())
		if err != nil || !again.Equal(n) {
			t.Errorf("%q is written %q, which is %s, %v", s, n.String(), again, err)
		}
		if places := n.Places(); places < 0 || n.Decimal(places) != n.String() {
			t.Errorf("%q: %d places, %s, %s", s, places, n.Decimal(places), n)
		}
	})
}

// awkward returns numbers on both sides of every boundary in the code: small,
// near the ends of int64, with great denominators, and beyond.
func awkward(r *rand.Rand) Number {
	part := func() int64 {
		switch r.IntN(6) {
		case 0:
			return math.MaxInt64 - r.Int64N(3)
		case 1:
			return math.MinInt64 + r.Int64N(3)
		case 2:
			return int64(1) << r.IntN(63)
		case 3:
			return powersOfTen[r.IntN(len(powersOfTen))]
		}
		return r.Int64N(2001) - 1000
	}
	a, b := part(), part()
	if b == 0 {
		b = 1
	}
	n := NewFrac(a, b)
	if r.IntN(10) == 0 {
		n = n.Mul(n).Add(NewInt(1))
	}
	return n
}

func TestArithmeticAgreesWithBigRationals(t *testing.T) {
	r := rand.New(rand.NewPCG(1, 2))
	for range 50_000 {
		n, m := awkward(r), awkward(r)
		a, b := n.rat(), m.rat()
		check := func(op string, got Number, want *big.Rat) {
			if got.rat().Cmp(want) != 0 {
				t.Fatalf("%s %s %s = %s, want %s", a, op, b, got.rat(), want)
			}
			fits := want.Num().IsInt64() && want.Denom().IsInt64() && want.Num().Int64() != math.MinInt64
			if (got.wide == nil) != fits {
				t.Fatalf("%s %s %s = %s is kept wide: %v", a, op, b, want, got.wide != nil)
			}
		}
		check("+", n.Add(m), new(big.Rat).Add(a, b))
		check("-", n.Sub(m), new(big.Rat).Sub(a, b))
		check("*", n.Mul(m), new(big.Rat).Mul(a, b))
		check("neg", n.Neg(), new(big.Rat).Neg(a))
		check("abs", n.Abs(), new(big.Rat).Abs(a))
		if m.Sign() != 0 {
			check("/", n.Quo(m), new(big.Rat).Quo(a, b))
		}
		if n.Cmp(m) != a.Cmp(b) || n.Equal(m) != (a.Cmp(b) == 0) || n.Sign() != a.Sign() || n.IsInt() != a.IsInt() {
			t.Fatalf("%s against %s: %d, %v", a, b, n.Cmp(m), n.Equal(m))
		}
		floor := n.floor()
		if d := n.Sub(floor); !floor.IsInt() || d.Sign() < 0 || d.Cmp(NewInt(1)) >= 0 {
			t.Fatalf("floor of %s is %s", a, floor)
		}
		if m.Sign() != 0 {
			down, up, step := n.Floor(m), n.Ceil(m), m.Abs()
			if down.Cmp(n) > 0 || n.Sub(down).Cmp(step) >= 0 || up.Cmp(n) < 0 || up.Sub(n).Cmp(step) >= 0 ||
				!down.Quo(m).IsInt() || !up.Quo(m).IsInt() {
				t.Fatalf("%s between multiples of %s: %s, %s", a, b, down, up)
			}
		}
	}
}

func TestDecimalAgreesWithBigRationals(t *testing.T) {
	r := rand.New(rand.NewPCG(3, 4))
	for range 20_000 {
		n, places := awkward(r), r.IntN(25)
		want := n.rat().FloatString(places) // also rounds half away from zero
		if strings.Trim(want, "-0.") == "" {
			want = strings.TrimPrefix(want, "-")
		}
		if got := n.Decimal(places); got != want {
			t.Fatalf("%s to %d places: %s, want %s", n.rat(), places, got, want)
		}
		exact, finite := n.rat().FloatPrec()
		if n.Finite() != finite || finite && n.Places() != exact {
			t.Fatalf("%s has %d places, want %d, %v", n.rat(), n.Places(), exact, finite)
		}
		if finite && n.String() != n.rat().FloatString(exact) {
			t.Fatalf("%s is written %s", n.rat(), n)
		}
		if !finite {
			shown := num(n.String())
			off := shown.Sub(n).Abs()
			if half := powerOfTen(n.magnitude() - significant + 1).Mul(NewFrac(1, 2)); off.Cmp(half) > 0 {
				t.Fatalf("%s is written %s, %s off", n.rat(), n, off)
			}
		}
	}
}

func TestNumberText(t *testing.T) {
	for _, c := range []struct{ got, want string }{
		{num("39.9").Decimal(2), "39.90"}, {num("0.005").Decimal(2), "0.01"}, {num("-0.005").Decimal(2), "-0.01"},
		{num("-0.004").Decimal(2), "0.00"}, {num("1234.5").Decimal(0), "1235"}, {num("7").Decimal(-3), "7"},
		{num("1250").Round(-2).String(), "1300"}, {num("-1250").Round(-2).String(), "-1300"}, {num("31.9545").Round(3).String(), "31.955"},
		{NewFrac(1, 3).String(), "0.333333333333"}, {NewFrac(2, 3).String(), "0.666666666667"}, {NewFrac(-200000, 3).String(), "-66666.6666667"},
		{NewFrac(1, 3000000).String(), "0.000000333333333333"}, {NewFrac(1, 8).String(), "0.125"}, {Number{}.String(), "0"},
		{powerOfTen(30).Quo(NewInt(3)).String(), "333333333333" + strings.Repeat("0", 18)},
	} {
		if c.got != c.want {
			t.Errorf("%s, want %s", c.got, c.want)
		}
	}
	if n, ok := num("12").Int(); n != 12 || !ok {
		t.Errorf("12 is the int %d, %v", n, ok)
	}
	for _, s := range []string{"12.5", "9223372036854775808"} {
		if n, ok := num(s).Int(); ok {
			t.Errorf("%s is the int %d", s, n)
		}
	}
	if f := num("-0.375").Float64(); f != -0.375 {
		t.Errorf("-0.375 is drawn at %v", f)
	}
}

func TestDivisionByZeroPanics(t *testing.T) {
	for name, f := range map[string]func(){
		"Quo": func() { NewInt(1).Quo(Number{}) }, "NewFrac": func() { NewFrac(1, 0) }, "MustNumber": func() { MustNumber("x") },
	} {
		func() {
			defer func() {
				if recover() == nil {
					t.Errorf("%s did not panic", name)
				}
			}()
			f()
		}()
	}
}

func TestFastPathDoesNotAllocate(t *testing.T) {
	a, b, c := num("31.954"), num("0.0005"), NewInt(7)
	var sink Number
	var order int
	for name, f := range map[string]func(){
		"add":   func() { sink = a.Add(b) },
		"sub":   func() { sink = a.Sub(b) },
		"mul":   func() { sink = a.Mul(b) },
		"quo":   func() { sink = a.Quo(b) },
		"cmp":   func() { order = a.Cmp(b) + a.Cmp(c) },
		"ceil":  func() { sink = a.Ceil(b) },
		"parse": func() { sink, _ = ParseNumber("31.954") },
	} {
		if n := testing.AllocsPerRun(100, f); n != 0 {
			t.Errorf("%s allocates %v times", name, n)
		}
	}
	_, _ = sink, order
}

func TestExact(t *testing.T) {
	for _, x := range []struct {
		n    Number
		want string
	}{
		{MustNumber("31.950"), "31.95"}, {NewInt(-3), "-3"}, {NewFrac(5, 9), "5/9"}, {NewFrac(-10, 6), "-5/3"}, {Number{}, "0"},
		{MustNumber("1234567890123456789012345678901").Quo(NewInt(7)), "1234567890123456789012345678901/7"},
	} {
		if got := x.n.Exact(); got != x.want {
			t.Errorf("%v is written %q, want %q", x.n, got, x.want)
		}
	}
}
