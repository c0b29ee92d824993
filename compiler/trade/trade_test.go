package trade

import (
	"errors"
	"math"
	"os"
	"reflect"
	"strings"
	"testing"

	"benchproof/compiler/quantity"
)

// Every embedded table names its source and the basis of its values.
func TestTablesNameTheirSource(t *testing.T) {
	entries, err := files.ReadDir("data")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		data, err := os.ReadFile("data/" + e.Name())
		if err != nil {
			t.Fatal(err)
		}
		head := ""
		for _, line := range strings.Split(string(data), "\n") {
			if strings.HasPrefix(line, "#") {
				head += line + "\n"
			}
		}
		named := false
		for _, source := range []string{"ISO ", "DIN ", "ASME ", "handbook", "Handbook"} {
			named = named || strings.Contains(head, source)
		}
		if !named || !strings.Contains(strings.ToLower(head), "basis:") {
			t.Errorf("%s does not name its source and basis: %q", e.Name(), head)
		}
		tab := load(strings.TrimSuffix(e.Name(), ".csv"))
		for i := range tab.rows {
			for _, h := range tab.header {
				if cell := tab.text(i, h); cell != strings.TrimSpace(cell) {
					t.Errorf("%s row %d: blanks round %q", e.Name(), i, cell)
				}
			}
		}
	}
}

func TestThreadDesignationsRoundTrip(t *testing.T) {
	for _, th := range Threads() {
		got, err := ParseThread(th.String())
		if err != nil || !reflect.DeepEqual(got, th) {
			t.Errorf("%v reads as %v, %v", th, got, err)
		}
		full := "M" + th.Diameter.String() + "×" + th.Pitch.String()
		if got, err := ParseThread(full); err != nil || got.String() != th.String() {
			t.Errorf("%s reads as %v, %v", full, got, err)
		}
	}
}

// Wrong designations are errors that say what there is.
func TestWrongThreads(t *testing.T) {
	for _, c := range []struct{ in, near string }{
		{"M13", "M12 M14"}, {"M8x1.1", "M8 M8x1 M8x0.75"}, {"M5.5", "M5.5x0.5"}, {"M0.5", "M1"}, {"M500", "M200x8"},
		{"m8", "M8"}, {"", ""}, {"M", ""}, {"Mx1", ""}, {"M-8", ""}, {"8", ""}, {"M8x", "M8 M8x1 M8x0.75"}, {"M8x1x1", "M8 M8x1 M8x0.75"},
		{"M8xø", "M8 M8x1 M8x0.75"}, {"G1/2", ""}, {"Mé", ""}, {"M8-", ""}, {"M8-9H", ""}, {"M8-6g", ""}, {"M" + strings.Repeat("9", 5000), ""},
	} {
		_, err := ParseThread(c.in)
		var unknown *UnknownError
		if !errors.As(err, &unknown) {
			t.Errorf("%q: %v", c.in, err)
			continue
		}
		if got := strings.Join(unknown.Near, " "); got != c.near {
			t.Errorf("%q: near %q, want %q", c.in, got, c.near)
		}
		if len(err.Error()) > 300 {
			t.Errorf("%q: message of %d bytes", c.in[:10], len(err.Error()))
		}
	}
}

// Rows of the same tables that the reference files do not give.
func TestFurtherThreads(t *testing.T) {
	for _, c := range []struct{ thread, d2, d1, as, low, high string }{
		// ISO 724, ISO 898-1, ISO 965-2: from memory.
		{"M3", "2.675", "2.459", "5.03", "2.459", "2.599"},
		{"M5", "4.48", "4.134", "14.2", "4.134", "4.334"},
		{"M8", "7.188", "6.647", "36.6", "6.647", "6.912"},
		{"M12", "10.863", "10.106", "84.3", "10.106", "10.441"},
		{"M14", "12.701", "11.835", "115", "11.835", "12.21"},
		{"M16", "14.701", "13.835", "157", "13.835", "14.21"},
		{"M18", "16.376", "15.294", "192", "15.294", "15.744"},
		{"M20", "18.376", "17.294", "245", "17.294", "17.744"},
		{"M22", "20.376", "19.294", "303", "19.294", "19.744"},
		{"M30", "27.727", "26.211", "561", "26.211", "26.771"},
		{"M42", "39.077", "37.129", "1120", "37.129", "37.799"},
		{"M64", "60.103", "57.505", "2680", "57.505", "58.305"},
		{"M10x1.25", "9.188", "8.647", "61.2", "8.647", "8.912"},
		{"M14x1.5", "13.026", "12.376", "125", "12.376", "12.676"},
	} {
		th, err := ParseThread(c.thread)
		if err != nil {
			t.Fatal(err)
		}
		l, err := th.MinorLimits("6H")
		if err != nil {
			t.Fatal(err)
		}
		got := []string{th.PitchDiameter().String(), th.MinorDiameter().String(), th.StressArea().String(), l.Lower.String(), l.Upper.String()}
		if want := []string{c.d2, c.d1, c.as, c.low, c.high}; !reflect.DeepEqual(got, want) {
			t.Errorf("%s: got %v, want %v", c.thread, got, want)
		}
	}
}

func TestMinorLimitsByClass(t *testing.T) {
	for _, c := range []struct{ thread, class, low, high string }{
		{"M8", "", "6.647", "6.912"}, {"M8", "5H", "6.647", "6.859"}, {"M8", "7H", "6.647", "6.982"}, {"M8-7H", "", "6.647", "6.982"},
		{"M8", "6G", "6.675", "6.94"}, {"M1.4", "", "1.075", "1.142"}, {"M1x0.2", "", "0.783", "0.821"},
	} {
		th, err := ParseThread(c.thread)
		if err != nil {
			t.Fatal(err)
		}
		l, err := th.MinorLimits(c.class)
		if err != nil || l.Lower.String() != c.low || l.Upper.String() != c.high {
			t.Errorf("%s %s: %v to %v, %v", c.thread, c.class, l.Lower, l.Upper, err)
		}
	}
	th, _ := ParseThread("M1x0.2")
	if _, err := th.MinorLimits("6H"); err == nil {
		t.Error("class 6H of pitch 0.2: no error")
	}
}

// The seed states these facts of the trade (common practice).
func TestPilotHoleOfABlindElement(t *testing.T) {
	th, _ := ParseThread("M3")
	hole, err := TappingHole(th)
	if err != nil || hole.Recommended.String() != "2.5" || hole.Judge(num("2.5")) != Inside {
		t.Errorf("M3: %+v, %v", hole, err)
	}
}

func TestInsertHoleTakesTheDrillsInUse(t *testing.T) {
	for _, c := range []struct {
		thread, drill string
		want          Verdict
	}{
		{"M8", "8.3", Inside}, {"M8", "8.4", Inside}, {"M8", "6.8", TooSmall}, {"M8", "8.2", TooSmall}, {"M8", "8.5", TooLarge},
		{"M5", "5.3", Inside}, {"M6", "6.25", Inside}, {"M6", "6.2", TooSmall}, {"M10", "10.4", Inside}, {"M12", "12.4", Inside},
	} {
		th, _ := ParseThread(c.thread)
		hole, err := InsertHole(th)
		if err != nil || hole.Judge(num(c.drill)) != c.want {
			t.Errorf("%s with %s: %v in %v to %v, %v", c.thread, c.drill, hole.Judge(num(c.drill)), hole.Lower, hole.Upper, err)
		}
	}
}

// ISO 286-2 and common tables, from memory: classes the reference files do not give.
func TestFurtherFits(t *testing.T) {
	for _, c := range []struct{ size, class, lower, upper string }{
		{"25", "k6", "2", "15"}, {"25", "u6", "48", "61"}, {"20", "u6", "41", "54"}, {"30", "x7", "64", "85"}, {"50", "e8", "-89", "-50"},
		{"50", "d9", "-142", "-80"}, {"100", "c11", "-390", "-170"}, {"10", "a11", "-370", "-280"}, {"25", "h11", "-130", "0"}, {"12", "j6", "-3", "8"},
		{"40", "j7", "-10", "15"}, {"40", "js7", "-12.5", "12.5"}, {"25", "JS7", "-10.5", "10.5"}, {"40", "J7", "-11", "14"}, {"40", "J8", "-15", "24"},
		{"25", "K6", "-11", "2"}, {"25", "K7", "-15", "6"}, {"25", "K8", "-23", "10"}, {"25", "M7", "-21", "0"}, {"40", "M8", "-34", "5"},
		{"25", "N6", "-24", "-11"}, {"25", "N7", "-28", "-7"}, {"25", "N8", "-36", "-3"}, {"25", "N9", "-52", "0"}, {"25", "P6", "-31", "-18"},
		{"25", "P7", "-35", "-14"}, {"25", "P8", "-55", "-22"}, {"25", "P9", "-74", "-22"}, {"25", "R7", "-41", "-20"}, {"25", "S7", "-48", "-27"},
		{"60", "S7", "-72", "-42"}, {"70", "R7", "-62", "-32"}, {"25", "U7", "-61", "-40"}, {"300", "M6", "-41", "-9"}, {"260", "M7", "-52", "0"},
		{"2", "N7", "-14", "-4"}, {"2", "N9", "-29", "-4"}, {"2", "P7", "-16", "-6"}, {"2", "K7", "-10", "0"}, {"2", "K6", "-6", "0"}, {"2", "M8", "-16", "-2"},
		{"25", "D10", "65", "149"}, {"25", "E9", "40", "92"}, {"25", "F7", "20", "41"}, {"25", "G6", "7", "20"}, {"25", "H11", "0", "130"}, {"25", "C11", "110", "240"},
		{"450", "H7", "0", "63"}, {"450", "p6", "68", "108"}, {"180", "k6", "3", "28"}, {"200", "n6", "31", "60"}, {"250", "r6", "84", "113"},
		{"160", "s6", "100", "125"}, {"400", "f7", "-119", "-62"}, {"315", "g6", "-49", "-17"}, {"630", "H7", "0", "70"}, {"1000", "h6", "-56", "0"}, {"800", "p6", "88", "138"},
		{"800", "P6", "-138", "-88"}, {"560", "k6", "0", "44"}, {"20", "k4", "2", "8"}, {"20", "k8", "0", "33"}, {"20", "m5", "8", "17"}, {"20", "n5", "15", "24"},
		{"6", "H7", "0", "12"}, {"6.001", "H7", "0", "15"}, {"18", "h6", "-11", "0"}, {"3", "s6", "14", "20"}, {"0.5", "H7", "0", "10"}, {"24", "t6", "", ""}, {"8", "ef7", "-33", "-18"},
		{"15", "za8", "77", "104"}, {"15", "zb9", "108", "151"}, {"15", "ZC9", "-193", "-150"}, {"22", "Z8", "-106", "-73"}, {"22", "Z7", "-86", "-65"},
	} {
		lower, upper, err := Deviations(num(c.size), c.class)
		if c.lower == "" {
			if err == nil {
				t.Errorf("%s %s: %v to %v, want an error", c.size, c.class, lower, upper)
			}
			continue
		}
		if err != nil || !lower.Equal(num(c.lower)) || !upper.Equal(num(c.upper)) {
			t.Errorf("%s %s: %v to %v, %v; want %s to %s", c.size, c.class, lower, upper, err, c.lower, c.upper)
		}
	}
}

func TestWrongToleranceClasses(t *testing.T) {
	for _, c := range []struct{ size, class string }{
		{"25", ""}, {"25", "k"}, {"25", "6"}, {"25", "k19"}, {"25", "k06"}, {"25", "i6"}, {"25", "Js6"}, {"25", "hH7"}, {"25", "zd6"}, {"25", "k6x"}, {"25", "6k"},
		{"25", "j9"}, {"25", "J5"}, {"25", "v"}, {"12", "v6"}, {"60", "cd6"}, {"600", "a9"}, {"600", "z6"}, {"0", "h6"}, {"-5", "h6"}, {"3200", "h6"}, {"1", "a11"},
		{"1", "N9"}, {"1", "h14"}, {"25", "P2"}, {"25", "ß6"}, {"25", strings.Repeat("z", 3000) + "6"}, {"600", "h01"},
	} {
		_, _, err := Limits(num(c.size), c.class)
		var unknown *UnknownError
		if !errors.As(err, &unknown) {
			t.Errorf("%s %.20q: %v", c.size, c.class, err)
			continue
		}
		if len(err.Error()) > 300 || strings.HasSuffix(err.Error(), ".") {
			t.Errorf("%s %.20q: %s", c.size, c.class, err)
		}
	}
	if _, err := NewFit(num("25"), "h7", "k6"); err == nil {
		t.Error("a shaft's class for the hole: no error")
	}
}

// A closed look over all classes and sizes: limits in order, width of the grade,
// no panic.
func TestEveryClassHasItsWidth(t *testing.T) {
	sizes := []string{"0.3", "1", "2.9", "3", "5", "6", "14", "14.1", "18", "24", "30", "31.95", "50", "65", "66", "120", "180", "225", "315", "500", "501", "1000", "3150"}
	n := 0
	for _, size := range sizes {
		for _, letter := range deviations {
			for _, class := range []string{letter, strings.ToUpper(letter)} {
				for _, g := range grades {
					l, err := limitsOf(num(size), class+g)
					if err != nil {
						continue
					}
					n++
					it, err := StandardTolerance(num(size), g)
					if err != nil || !l.Upper.Sub(l.Lower).Equal(micrometres(it)) {
						t.Errorf("%s %s: %v to %v is not IT%s", size, class+g, l.Lower, l.Upper, g)
					}
				}
			}
		}
	}
	t.Logf("%d classes and sizes", n)
	if n < 15000 {
		t.Errorf("only %d classes", n)
	}
}

func TestFasteners(t *testing.T) {
	for _, c := range []struct{ thread, class, bolt, proof string }{
		{"M8", "8", "8.8", "21.2"}, {"M8", "8.8", "8.8", "21.2"}, {"M8", "04", "04", "13.9"}, {"M20", "10.9", "10.9", "203"},
		{"M8x0.75", "8.8", "8.8", "24.2"}, {"M8", "A2-70", "A2-70", "16.5"}, {"M10", "A4-80", "A4-80", "34.8"}, {"M2", "8.8", "8.8", "1.2"},
	} {
		th, _ := ParseThread(c.thread)
		f, err := ParseFastener(th, c.class)
		if err != nil || f.Bolt != c.bolt || f.Proof.String() != c.proof {
			t.Errorf("%s class %s: %+v, %v", c.thread, c.class, f, err)
		}
	}
	for _, c := range []struct{ thread, class string }{
		{"M8", ""}, {"M8", "8.9"}, {"M8", "88"}, {"M20", "9.8"}, {"M42", "8.8"}, {"M1", "8.8"}, {"M8", "A2-75"}, {"M8", "A9-70"}, {"M8", "-"}, {"M8", strings.Repeat("8", 9999)},
	} {
		th, _ := ParseThread(c.thread)
		_, err := ParseFastener(th, c.class)
		var unknown *UnknownError
		if !errors.As(err, &unknown) || len(err.Error()) > 300 {
			t.Errorf("%s class %.20q: %v", c.thread, c.class, err)
		}
	}
	for _, class := range Classes() {
		th, _ := ParseThread("M8")
		if _, err := ParseFastener(th, class); err != nil {
			t.Errorf("class %s: %v", class, err)
		}
	}
}

// The casing nut of a pump, M8 class 8 at 18 N.m, and where it becomes too much.
func TestTorqueLoad(t *testing.T) {
	th, _ := ParseThread("M8")
	f, err := ParseFastener(th, "8")
	if err != nil {
		t.Fatal(err)
	}
	l := f.TorqueLoad(num("18"), Friction)
	if l.TooMuch || l.Preload.Decimal(1) != "13.6" || l.Share.Mul(num("100")).Decimal(0) != "64" {
		t.Errorf("18 N.m: %v kN, %v of proof", l.Preload.Decimal(2), l.Share.Decimal(3))
	}
	most := f.MostTorque(Friction)
	if f.TorqueLoad(most, Friction).TooMuch || !f.TorqueLoad(most.Add(num("0.001")), Friction).TooMuch {
		t.Errorf("the limit is not at %v N.m", most)
	}
	// Handbook charts give M8 8.8 25 N.m: still within 90 % of proof.
	if most.Cmp(num("25")) < 0 || most.Cmp(num("26")) > 0 {
		t.Errorf("most torque %v N.m", most.Decimal(2))
	}
	if !f.TorqueLoad(num("30"), Friction).TooMuch {
		t.Error("30 N.m passes")
	}
	// More friction loads less.
	if f.Preload(num("18"), num("0.14")).Cmp(l.Preload) >= 0 {
		t.Error("friction does not lower the load")
	}
}

func TestSpeedsAndHeat(t *testing.T) {
	n := SpindleSpeed(num("25"), num("8.3"))
	if GuideValue(n).String() != "960" || n.Decimal(2) != "958.76" {
		t.Errorf("25 m/min at 8.3 mm: %v", n.Decimal(2))
	}
	for _, c := range [][2]string{{"958.8", "960"}, {"8", "8"}, {"0.0345", "0.035"}, {"99.6", "100"}, {"2809", "2800"}, {"0", "0"}} {
		if got := GuideValue(num(c[0])).String(); got != c[1] {
			t.Errorf("guide value of %s: %s", c[0], got)
		}
	}
	// 25 mm bore, 15 um interference, 50 um clearance, alloy steel 11.5: 226 K above 20 degC.
	hot := HotFit(num("20"), num("0.015"), num("0.05"), num("11.5"), num("25"))
	if hot.Decimal(1) != "246.1" {
		t.Errorf("hot fit: %v", hot.Decimal(1))
	}
	if s := WrenchSetting(num("60"), num("320"), num("80")); s.String() != "48" {
		t.Errorf("wrench setting: %v", s)
	}
	if _, err := Expansion("cheese"); err == nil || !strings.Contains(err.Error(), "steel") {
		t.Errorf("expansion of cheese: %v", err)
	}
	if got := squareRoot(num("2")).Float64(); math.Abs(got-math.Sqrt2) > 1e-9 {
		t.Errorf("root of 2: %v", got)
	}
	// ResolutionShare: 2·(1/2)/√3.
	if math.Abs(ResolutionShare.Float64()-1/math.Sqrt(3)) > 0.003 {
		t.Errorf("resolution share %v", ResolutionShare)
	}
}

func TestSigns(t *testing.T) {
	last := ""
	for _, s := range Signs() {
		if s.Code <= last || len(s.Code) != 4 || !strings.ContainsRune("EFMPW", rune(s.Code[0])) || s.Referent == "" {
			t.Errorf("%+v after %s", s, last)
		}
		if s.Equipment && s.Code[0] != 'M' {
			t.Errorf("%s asks for equipment", s.Code)
		}
		last = s.Code
	}
	for code, want := range map[string]bool{"W012": true, "M021": true, "W999": false, "w012": false, "": false, "W12": false, "X001": false} {
		if _, ok := Sign(code); ok != want {
			t.Errorf("%q registered: %v", code, ok)
		}
	}
	for code, want := range map[string]string{"w012": "W012", "W12": "W012", "W-012": "W012", "M9": "M009", "W999": "W009 W019 W029", "": "", "Ω": "", strings.Repeat("W", 9999): ""} {
		got := NearestSigns(code)
		if strings.Join(got, " ") != want {
			t.Errorf("nearest to %.20q: %v, want %s", code, got, want)
		}
	}
	for pair := range contradictions {
		if pair[0] >= pair[1] {
			t.Errorf("%v is not in order", pair)
		}
		for _, code := range pair {
			if _, ok := Sign(code); !ok {
				t.Errorf("%s is not registered", code)
			}
		}
	}
	for _, c := range []struct {
		a, b string
		want bool
	}{{"M009", "P028", true}, {"P028", "M009", true}, {"M004", "P028", false}, {"M009", "M009", false}, {"M021", "P031", false}, {"", "", false}} {
		if why, got := Contradict(c.a, c.b); got != c.want || got != (why != "") {
			t.Errorf("%s and %s: %v %q", c.a, c.b, got, why)
		}
	}
}

// Whatever is written, the parsers answer with a value or an error.
func FuzzNames(f *testing.F) {
	for _, s := range []string{"M8x1", "M8-6H", "k6", "JS9", "8.8", "A2-70", "W012", "M×", "--", "\xff", "M1e9", "zc18"} {
		f.Add(s)
	}
	m8, err := ParseThread("M8")
	if err != nil {
		f.Fatal(err)
	}
	f.Fuzz(func(t *testing.T, s string) {
		if th, err := ParseThread(s); err == nil {
			if _, err := ParseThread(th.String()); err != nil {
				t.Errorf("%q reads as %v, which does not read: %v", s, th, err)
			}
			_, _ = TappingHole(th)
			_, _ = InsertHole(th)
		}
		if c, err := ParseToleranceClass(s); err == nil && c.String() != s {
			t.Errorf("%q reads as %v", s, c)
		}
		_, _, _ = Limits(quantity.NewInt(25), s)
		_, _ = ParseFastener(m8, s)
		_ = NearestSigns(s)
	})
}

// VDI 2230-1 tables A1 and A2, friction 0.12: sizes the reference files do not
// give, from memory. The printed values are rounded to two or three digits.
func TestFurtherAssemblyTorques(t *testing.T) {
	for _, c := range []struct{ thread, class, load, torque string }{
		{"M18", "8.8", "102", "295"}, {"M18", "10.9", "145", "421"}, {"M20", "8.8", "130", "415"}, {"M20", "10.9", "186", "592"}, {"M20", "12.9", "217", "692"},
		{"M22", "8.8", "162", "567"}, {"M24", "8.8", "188", "714"}, {"M24", "10.9", "267", "1017"}, {"M24", "12.9", "313", "1190"}, {"M27", "8.8", "246", "1050"},
		{"M30", "8.8", "300", "1428"}, {"M33", "8.8", "373", "1928"}, {"M36", "8.8", "438", "2482"}, {"M39", "8.8", "525", "3208"},
		{"M18x1.5", "8.8", "117", "327"}, {"M20x1.5", "8.8", "148", "454"}, {"M22x1.5", "8.8", "182", "613"}, {"M24x2", "8.8", "209", "769"},
	} {
		th, _ := ParseThread(c.thread)
		f, err := ParseFastener(th, c.class)
		if err != nil {
			t.Fatal(err)
		}
		load, _ := f.AssemblyPreload(Friction)
		var p reporter
		p.near("load", load, num(c.load), num("0.01"))
		p.near("torque", f.Torque(load, Friction), num(c.torque), num("0.01"))
		if len(p.faults) > 0 {
			t.Errorf("%s %s: %s", c.thread, c.class, strings.Join(p.faults, "; "))
		}
	}
}

func BenchmarkLimits(b *testing.B) {
	b.ReportAllocs()
	size := num("31.95")
	for b.Loop() {
		if _, _, err := Limits(size, "P7"); err != nil {
			b.Fatal(err)
		}
	}
}

func BenchmarkFastener(b *testing.B) {
	b.ReportAllocs()
	torque := num("18")
	for b.Loop() {
		th, err := ParseThread("M20x1.5")
		if err != nil {
			b.Fatal(err)
		}
		f, err := ParseFastener(th, "10")
		if err != nil {
			b.Fatal(err)
		}
		_ = f.TorqueLoad(torque, Friction)
	}
}
