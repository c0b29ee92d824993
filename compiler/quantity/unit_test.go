package quantity

import (
	"slices"
	"strings"
	"testing"
	"unicode"
)

func unit(t testing.TB, code string) *Unit {
	t.Helper()
	u, ok := LookUp(code)
	if !ok {
		t.Fatalf("no unit %s", code)
	}
	return u
}

func TestUnitsAreWords(t *testing.T) {
	// Every word that starts or joins a statement of the language.
	keywords := strings.Fields(`library owner language decision guarded simple variant condition states begins ends hazard danger warning caution notice
		consequence avoid signs safe when proved with tool number detail reads sets resolution uncertainty drills taps lead lifts carries replaced by kit holds
		part plural kind behind guards single-use thread class mass consumable table columns figure file mark is at video link from to routine step procedure
		document revision on applies skill purpose stage perform repeat most times until otherwise finish serviceable scrap refer leaves use fit remove new refit
		clamp in release make verify needs measure smallest largest mean of ask drill deep tap existing for insert tighten crosswise lift wait takes warn hold
		record note show decide accept above below least no upper limit trial expect fitted not used met time x without limits length extends through heat bore
		interference clearance expansion allow hole`)
	seen := make(map[string]bool)
	for _, u := range Units() {
		if seen[u.Code] {
			t.Errorf("%s is listed twice", u.Code)
		}
		seen[u.Code] = true
		if got, ok := LookUp(u.Code); !ok || got != u {
			t.Errorf("%s is not found", u.Code)
		}
		if slices.Contains(keywords, u.Code) {
			t.Errorf("%s is a keyword of the language", u.Code)
		}
		if u.Code != "%" {
			for i, c := range u.Code {
				inner := i > 0 && i < len(u.Code)-1 && strings.ContainsRune(".-/", c)
				if c > unicode.MaxASCII || !unicode.IsLetter(c) && !(i > 0 && unicode.IsDigit(c)) && !inner {
					t.Errorf("%s is not a word of the language", u.Code)
				}
			}
		}
		if u.Symbol == "" || u.Name == "" || u.Factor.Sign() <= 0 || u.Dimension == Count {
			t.Errorf("%s is incomplete: %+v", u.Code, u)
		}
	}
	if _, ok := LookUp("in"); ok {
		t.Error("in is a unit, but it is a keyword")
	}
	list := Units()
	list[0] = nil
	if Units()[0] == nil {
		t.Error("the list can be changed from outside")
	}
}

func TestEveryDimensionHasAWordAndABase(t *testing.T) {
	for d := Count; d < dimensions; d++ {
		if d.String() == "" {
			t.Errorf("dimension %d has no word", d)
		}
		base := d.Base()
		if d == Count {
			if base != nil {
				t.Error("a count has a unit")
			}
			continue
		}
		if base == nil || base.Dimension != d || !base.Factor.Equal(NewInt(1)) || base.Offset.Sign() != 0 {
			t.Errorf("%s: base %+v", d, base)
		}
	}
	if d := dimensions; d.String() == "" || d.Base() != nil {
		t.Error("an unknown dimension is not called so")
	}
}

func TestNearest(t *testing.T) {
	for in, want := range map[string]string{
		"°C": "degC", "C": "degC", "celsius": "degC", "ºF": "degF", "Nm": "N.m", "N·m": "N.m", "N⋅m": "N.m", "N*m": "N.m",
		"in": "inch", "\"": "inch", "″": "inch", "sec": "s", "µm": "um", "μm": "um", "Ω": "ohm", "\u2126": "ohm", "MΩ": "Mohm", "MOhm": "Mohm",
		"1/min": "rpm", "r/min": "rpm", "min-1": "rpm", "l": "L", "ml": "mL", "ft-lb": "lbf.ft", "in-lbs": "lbf.in", "PSI": "psi", "Kpa": "kPa",
		"mm²": "mm2", "m³/h": "m3/h", "hrs": "h", "kgs": "kg", "mm^2": "mm2", "µm/(m·K)": "um/m/K", "lbf·ft": "lbf.ft", "1/K": "per-K",
		"Ra": "um.Ra", "percent": "%", "µm/m": "um/m", "mm/meter": "mm/m", "mm/100": "mm/100mm", "mils/in": "thou/inch", "mm/m/k": "mm/m/K", "mils": "thou", "mmm": "mm", "bat": "bar", "kPaa": "kPa", "N.mm2": "N/mm2", "lbf.fy": "lbf.ft",
		"inhc": "inch", "degc": "degC", "RPM": "rpm", "Mhom": "Mohm",
	} {
		got := Nearest(in)
		if !slices.Contains(got, want) || len(got) > 3 {
			t.Errorf("%s: %v, want %s", in, got, want)
		}
		for _, code := range got {
			unit(t, code)
		}
	}
	for _, in := range []string{"", "casing-nut", "furlong", strings.Repeat("m", 1_000_000), "\xff\xfe", "火"} {
		if got := Nearest(in); len(got) != 0 {
			t.Errorf("%.20q is near %v", in, got)
		}
	}
	for said, code := range spoken {
		if fold(said) != said {
			t.Errorf("%s is never found: folded it is %s", said, fold(said))
		}
		if _, ok := LookUp(said); ok {
			t.Errorf("%s is a unit itself", said)
		}
		unit(t, code)
	}
	for _, u := range Units() {
		if got := Nearest(u.Symbol); u.Symbol != u.Code && !slices.Contains(got, u.Code) {
			t.Errorf("symbol %s: %v, want %s", u.Symbol, got, u.Code)
		}
	}
}

func TestQuantityText(t *testing.T) {
	q := func(v, u string) Quantity { return New(num(v), unit(t, u)) }
	for _, c := range []struct{ got, want string }{
		{q("-5", "degC").String(), "-5\u00a0°C"}, {q("18", "N.m").String(), "18\u00a0N·m"}, {q("4", "%").String(), "4\u00a0%"},
		{q("39.9", "mm").Format(2), "39.90\u00a0mm"}, {q("118", "deg").String(), "118°"}, {q("30", "arcmin").String(), "30′"},
		{q("0.5", "inch").String(), "0.5\u00a0in"}, {q("11.5", "um/m/K").String(), "11.5\u00a0µm/(m·K)"}, {q("10", "Mohm").String(), "10\u00a0MΩ"},
		{q("0.8", "um.Ra").String(), "0.8\u00a0µm\u00a0Ra"}, {q("90", "deg/s").String(), "90\u00a0°/s"}, {q("0.05", "mm/m").String(), "0.05\u00a0mm/m"}, {q("2", "mm/100mm").String(), "2\u00a0mm/100\u00a0mm"}, {New(num("6"), nil).String(), "6"},
	} {
		if c.got != c.want {
			t.Errorf("%q, want %q", c.got, c.want)
		}
	}
}

func TestConversion(t *testing.T) {
	for _, c := range []struct{ value, from, to, in, span string }{
		{"20", "degC", "degF", "68", "36"}, {"2", "degC", "degF", "35.6", "3.6"}, {"-40", "degF", "degC", "-40", "-22.2222222222"},
		{"20", "degC", "K", "293.15", "20"}, {"1", "inch", "mm", "25.4", "25.4"}, {"32", "uin.Ra", "um.Ra", "0.8128", "0.8128"},
		{"1", "uin/inch/degF", "um/m/K", "1.8", "1.8"}, {"360", "deg", "rev", "1", "1"}, {"2", "MPa", "N/mm2", "2", "2"},
		{"0.05", "mm/m", "um/m", "50", "50"}, {"0.02", "mm/100mm", "mm/m", "0.2", "0.2"}, {"1", "thou/inch", "mm/m", "1", "1"}, {"3", "in/ft", "mm/m", "250", "250"}, {"6", "thou/ft", "um/m", "500", "500"},
		{"1", "gal-uk", "pt-uk", "8", "8"}, {"1", "mmHg", "Pa", "133.322387415", "133.322387415"}, {"1", "inHg", "kPa", "3.386388640341", "3.386388640341"},
	} {
		q, to := New(num(c.value), unit(t, c.from)), unit(t, c.to)
		v, err := q.In(to)
		if err != nil || v.String() != c.in {
			t.Errorf("%s %s in %s: %s, %v; want %s", c.value, c.from, c.to, v, err, c.in)
		}
		v, err = q.SpanIn(to)
		if err != nil || v.String() != c.span {
			t.Errorf("a difference of %s %s in %s: %s, %v; want %s", c.value, c.from, c.to, v, err, c.span)
		}
	}
	for _, c := range []struct{ from, to, want string }{
		{"N.m", "J", "N.m (torque) is no energy"}, {"um", "um.Ra", "um (length) is no roughness"}, {"um.Ra", "um.Rz", "um.Ra (roughness) is no roughness depth"},
		{"mm/m", "%", "mm/m (slope) is no ratio"}, {"mrad", "mm/m", "mrad (angle) is no slope"},
		{"rpm", "Hz", "rpm (speed of rotation) is no frequency"}, {"", "mm", "a bare number is no length"}, {"mm", "", "mm (length) is no count"},
	} {
		var from, to *Unit
		if c.from != "" {
			from = unit(t, c.from)
		}
		if c.to != "" {
			to = unit(t, c.to)
		}
		q := New(NewInt(1), from)
		if _, err := q.In(to); err == nil || err.Error() != c.want {
			t.Errorf("%s in %s: %v", c.from, c.to, err)
		}
		if _, err := q.SpanIn(to); err == nil || err.Error() != c.want {
			t.Errorf("a difference of %s in %s: %v", c.from, c.to, err)
		}
		if _, err := ScaleIn(Scale{}, from, to); err == nil {
			t.Errorf("a scale in %s is carried into %s", c.from, c.to)
		}
	}
	if c, err := New(num("1"), unit(t, "inch")).Cmp(New(num("25.4"), unit(t, "mm"))); c != 0 || err != nil {
		t.Errorf("1 inch against 25.4 mm: %d, %v", c, err)
	}
	if c, err := New(num("41"), nil).Cmp(New(num("40"), nil)); c != 1 || err != nil {
		t.Errorf("41 against 40: %d, %v", c, err)
	}
	if _, err := New(num("1"), unit(t, "inch")).Cmp(New(num("1"), unit(t, "s"))); err == nil {
		t.Error("an inch is compared with a second")
	}
}

// Everything converts to everything of its dimension and back without loss.
func TestConversionIsExact(t *testing.T) {
	v := num("-31.957")
	for _, a := range Units() {
		for _, b := range Units() {
			if a.Dimension != b.Dimension {
				continue
			}
			there, err := New(v, a).In(b)
			if err != nil {
				t.Fatal(err)
			}
			if back, err := New(there, b).In(a); err != nil || !back.Equal(v) {
				t.Errorf("%s %s in %s and back is %s, %v", v, a.Code, b.Code, back, err)
			}
		}
	}
}
