package trade

import (
	"encoding/csv"
	"os"
	"strings"
	"testing"

	"benchproof/compiler/quantity"
)

// The files under testdata are reference tables collected from the standards
// and handbooks that each row names in its column `source`. Every row is either
// checked against a computation of this package or named in an exclusion with
// its reason; a row of neither sort fails. A row marked uncertain is compared
// too, but only reported where it differs.

type row map[string]string

func (r row) num(t *testing.T, column string) quantity.Number {
	t.Helper()
	n, err := quantity.ParseNumber(r[column])
	if err != nil {
		t.Fatalf("%s: column %s: %q: %v", r["id"], column, r[column], err)
	}
	return n
}

// inputs reads `name=value;name=value`.
func (r row) inputs(column string) map[string]string {
	out := make(map[string]string)
	for _, pair := range strings.Split(r[column], ";") {
		if name, value, ok := strings.Cut(pair, "="); ok {
			out[name] = value
		}
	}
	return out
}

func num(s string) quantity.Number { return quantity.MustNumber(s) }

// reporter collects what a check finds about one row.
type reporter struct {
	faults []string
	done   bool
}

func (p *reporter) equal(what string, got, want quantity.Number) {
	p.done = true
	if !got.Equal(want) {
		p.faults = append(p.faults, what+": got "+got.String()+", want "+want.String())
	}
}

// near accepts a relative difference: for printed values that were rounded.
func (p *reporter) near(what string, got, want, relative quantity.Number) {
	p.done = true
	if got.Sub(want).Abs().Cmp(want.Abs().Mul(relative)) > 0 {
		p.faults = append(p.faults, what+": got "+got.Decimal(4)+", want "+want.String()+" within "+relative.String())
	}
}

func (p *reporter) text(what, got, want string) {
	p.done = true
	if got != want {
		p.faults = append(p.faults, what+": got "+got+", want "+want)
	}
}

func (p *reporter) fail(err error) {
	p.done = true
	p.faults = append(p.faults, err.Error())
}

// check walks a reference file. The exclusions are keyed by row id or, for a
// whole kind of row, by "kind:" and its name.
func check(t *testing.T, file string, exclusions map[string]string, one func(*testing.T, row, *reporter)) {
	t.Helper()
	f, err := os.Open("testdata/" + file + ".csv")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	rows, err := csv.NewReader(f).ReadAll()
	if err != nil {
		t.Fatal(err)
	}
	used := make(map[string]bool)
	checked, excluded, uncertain := 0, 0, 0
	for _, cells := range rows[1:] {
		r := make(row)
		for i, h := range rows[0] {
			r[h] = cells[i]
		}
		key := r["id"]
		if _, ok := exclusions[key]; !ok {
			key = "kind:" + r["kind"]
		}
		if reason, ok := exclusions[key]; ok {
			if reason == "" {
				t.Errorf("%s is excluded without a reason", key)
			}
			used[key] = true
			excluded++
			continue
		}
		var p reporter
		one(t, r, &p)
		switch {
		case !p.done:
			t.Errorf("%s is neither checked nor excluded: %v", r["id"], cells)
		case r["certainty"] == "uncertain":
			uncertain++
			if len(p.faults) > 0 {
				t.Logf("%s (uncertain, %s) differs: %s", r["id"], r["source"], strings.Join(p.faults, "; "))
			}
		default:
			checked++
			if len(p.faults) > 0 {
				t.Errorf("%s (%s): %s", r["id"], r["source"], strings.Join(p.faults, "; "))
			}
		}
	}
	for key := range exclusions {
		if !used[key] {
			t.Errorf("exclusion %s fits no row of %s", key, file)
		}
	}
	t.Logf("%s: %d rows: %d checked, %d uncertain compared, %d excluded with a reason", file, len(rows)-1, checked, uncertain, excluded)
}

func thread(p *reporter, designation string) (Thread, bool) {
	th, err := ParseThread(designation)
	if err != nil {
		p.fail(err)
	}
	return th, err == nil
}

func TestReferenceThreads(t *testing.T) {
	check(t, "threads", nil, func(t *testing.T, r row, p *reporter) {
		th, ok := thread(p, r["designation"])
		if !ok {
			return
		}
		p.text("designation", th.String(), r["designation"])
		p.equal("d", th.Diameter, r.num(t, "d_mm"))
		p.equal("P", th.Pitch, r.num(t, "P_mm"))
		p.text("series", map[bool]string{true: "coarse", false: "fine"}[th.Coarse], r["series"])
		p.equal("d2", th.PitchDiameter(), r.num(t, "d2_mm"))
		p.equal("D1", th.MinorDiameter(), r.num(t, "D1_mm"))
		p.equal("As", th.StressArea(), r.num(t, "As_mm2"))
	})
}

func TestReferenceTappingDrills(t *testing.T) {
	check(t, "tapping_drills", nil, func(t *testing.T, r row, p *reporter) {
		th, ok := thread(p, r["designation"])
		if !ok {
			return
		}
		hole, err := TappingHole(th)
		if err != nil {
			p.fail(err)
			return
		}
		drill := r.num(t, "drill_mm")
		p.equal("drill", hole.Recommended, drill)
		p.text("drill against the minor limits", hole.Judge(drill).String(), "inside")
	})
}

func TestReferenceMinorLimits(t *testing.T) {
	check(t, "minor_limits", nil, func(t *testing.T, r row, p *reporter) {
		th, ok := thread(p, r["designation"])
		if !ok {
			return
		}
		l, err := th.MinorLimits(r["tol_class"])
		if err != nil {
			p.fail(err)
			return
		}
		p.equal("lower limit", l.Lower, r.num(t, "D1_min_mm"))
		p.equal("upper limit", l.Upper, r.num(t, "D1_max_mm"))
		p.equal("TD1", l.Upper.Sub(l.Lower), micrometres(r.num(t, "TD1_um")))
		p.text("usual class", th.UsualClass(), r["tol_class"])
	})
}

func TestReferenceFits(t *testing.T) {
	check(t, "fits", nil, func(t *testing.T, r row, p *reporter) {
		over, upto := r.num(t, "over_mm"), r.num(t, "upto_mm")
		middle := over.Add(upto).Quo(quantity.NewInt(2))
		just := over.Add(num("0.001"))
		for _, nominal := range []quantity.Number{just, middle, upto} {
			if r["kind"] == "IT" {
				it, err := StandardTolerance(nominal, strings.TrimPrefix(r["tol_class"], "IT"))
				if err != nil {
					p.fail(err)
					return
				}
				p.equal(r["tol_class"]+" at "+nominal.String(), it, r.num(t, "width_um"))
				continue
			}
			lower, upper, err := Deviations(nominal, r["tol_class"])
			if err != nil {
				p.fail(err)
				return
			}
			p.equal(r["tol_class"]+" lower at "+nominal.String(), lower, r.num(t, "lower_um"))
			p.equal(r["tol_class"]+" upper at "+nominal.String(), upper, r.num(t, "upper_um"))
			c, _ := ParseToleranceClass(r["tol_class"])
			p.text("kind", map[bool]string{true: "hole", false: "shaft"}[c.Hole], r["kind"])
		}
	})
}

func TestReferenceTorque(t *testing.T) {
	const joint = "the language states no working load or tightening method, so nothing computes it"
	exclusions := map[string]string{
		"torque-001": "the formula itself: Preload and the vdi rows check it",
		"torque-003": "the formula itself: BearingDiameter and the bearing rows check it",
		"torque-004": "nut-factor formula: the load is computed with friction stated, never with a K that hides it",
		"torque-005": "the formula itself: StressArea and the rows of threads.csv check it",
		"torque-244": "tightening factor: " + joint,
		"torque-247": "nut-factor formula: as torque-004",
	}
	check(t, "torque", exclusions, func(t *testing.T, r row, p *reporter) {
		fastener := func() (Fastener, bool) {
			th, ok := thread(p, r["thread"])
			if !ok {
				return Fastener{}, false
			}
			if r["P_mm"] != "" {
				p.equal("P", th.Pitch, r.num(t, "P_mm"))
			}
			f, err := ParseFastener(th, r["property_class"])
			if err != nil {
				p.fail(err)
			}
			return f, err == nil
		}
		switch r["kind"] {
		case "vdi-coarse", "vdi-fine":
			f, ok := fastener()
			if !ok {
				return
			}
			mu, want := r.num(t, "mu"), r.num(t, "value")
			fm, ok := f.AssemblyPreload(mu)
			if !ok {
				p.text("yield strength", "none", "known")
				return
			}
			// Printed to two or three digits; MA from the printed FM.
			if r["quantity"] == "FM" {
				p.near("FM in kN", fm, want, num("0.012"))
			} else {
				p.near("MA in N.m", f.Torque(fm, mu), want, num("0.025"))
			}
		case "proof-load":
			if f, ok := fastener(); ok {
				p.equal("proof load in N", f.Proof.Mul(quantity.NewInt(1000)), r.num(t, "value"))
				byArea := f.Thread.StressArea().Mul(f.Stress)
				p.near("area times stress", byArea, r.num(t, "value"), num("0.01"))
			}
		case "strength":
			class, at, _ := strings.Cut(r["property_class"], " ")
			size := map[string]string{"": "M12", "(d<=16)": "M16", "(d>16)": "M20"}[at]
			th, ok := thread(p, size)
			if !ok {
				return
			}
			f, err := ParseFastener(th, class)
			if err != nil {
				p.fail(err)
				return
			}
			rm, re, _ := f.Strength()
			got := map[string]quantity.Number{"Rm,min": rm, "Rp0.2,min": re, "Sp": f.Stress}[r["quantity"]]
			p.equal(r["quantity"], got, r.num(t, "value"))
		case "bearing":
			th, ok := thread(p, r["thread"])
			if !ok {
				return
			}
			dw, dh, ok := Bearing(th)
			if !ok {
				p.text("bearing", "none", "known")
			}
			p.equal(r["quantity"], map[string]quantity.Number{"dw,min": dw, "dh": dh}[r["quantity"]], r.num(t, "value"))
		case "tool-limit":
			p.equal("above 10 N.m", ToolDeviation(num("10.1")), r.num(t, "value"))
			p.equal("10 N.m and below", ToolDeviation(num("10")), num("6"))
		case "worked":
			in := r.inputs("inputs")
			want := r.num(t, "value")
			switch {
			case r["quantity"] == "TW":
				a := num(in["A"])
				if strings.Contains(r["expression"], "L-A") {
					a = a.Neg()
				}
				places := want.Places()
				p.equal("setting", WrenchSetting(num(in["TA"]), num(in["L"]), a).Round(places), want)
			case r["quantity"] == "TA":
				p.equal("setting for the torque", WrenchSetting(want, num(in["L"]), num(in["A"])), num(in["TW"]))
			case r["expression"] == "0.75*Fp":
				if f, ok := fastener(); ok {
					p.equal("75 % of proof in N", f.Proof.Mul(num("750")), want)
				}
			}
		}
	})
}

func TestReferenceDrilling(t *testing.T) {
	exclusions := map[string]string{
		"drilling-045": "the formula itself: FeedRate and drilling-058 check it",
		"drilling-046": "the formula in inches: SpindleSpeed and the worked rows in ft/min check it",
	}
	// Which guide range a material of the reference table belongs to.
	material := map[string]string{
		"unhardened stainless steel": "stainless steel", "stainless 304/316": "stainless steel", "austenitic stainless steel": "stainless steel",
		"mild steel": "unalloyed steel", "unalloyed steel, Rm up to 700 MPa": "unalloyed steel",
		"medium carbon steel":        "medium carbon steel",
		"alloy steel, annealed":      "alloy steel",
		"tough alloy steel":          "alloy steel",
		"copper":                     "copper",
		"copper and phosphor bronze": "copper",
		"other brass and bronze":     "brass", "brass, short-chipping": "brass",
		"bronze": "bronze", "aluminium, brass, bronze": "bronze",
		"wood and plastic":    "plastics",
		"grey cast iron":      "grey cast iron",
		"aluminium 6061/7075": "aluminium", "aluminium": "aluminium", "aluminium wrought alloy": "aluminium",
		"tool steel 196 HB": "tool steel", "tool steel 241 HB": "tool steel",
		"titanium, pure 110-200 HB": "titanium", "titanium alpha/alpha-beta 300-360 HB": "titanium",
		"precipitation hardened steel 150-200 HB":   "tempered steel",
		"hardened/tempered steel, Rm 1000-1300 MPa": "tempered steel",
	}
	foot := num("0.3048")
	metres := func(r row, n quantity.Number) quantity.Number {
		if r["vc_unit"] == "ft/min" {
			return n.Mul(foot)
		}
		return n
	}
	check(t, "drilling", exclusions, func(t *testing.T, r row, p *reporter) {
		in := r.inputs("extra")
		switch r["kind"] {
		case "range":
			// Sources differ by up to two: the ranges must overlap once a
			// source's is widened by a quarter, for cutters that only mill too.
			for _, c := range CuttingSpeeds() {
				if c.Material != material[r["material"]] {
					continue
				}
				low, high := metres(r, r.num(t, "vc_min")).Mul(num("0.8")), metres(r, r.num(t, "vc_max")).Mul(num("1.25"))
				p.text(c.Material+" and "+r["material"]+" overlap", yes(c.High.Cmp(low) >= 0 && c.Low.Cmp(high) <= 0), "yes")
			}
		case "rpm-table":
			d1, d2, _ := strings.Cut(r["d_mm"], "-")
			n1, n2, _ := strings.Cut(r["n_rpm"], "-")
			p.near("speed at the thin end", SpindleSpeed(r.num(t, "vc"), num(d1)), num(n1), num("0.3"))
			p.near("speed at the thick end", SpindleSpeed(r.num(t, "vc"), num(d2)), num(n2), num("0.3"))
		case "worked":
			got := SpindleSpeed(metres(r, r.num(t, "vc")), r.num(t, "d_mm"))
			// Printed whole; some sources reckon with 3.14 or 3.82.
			p.near("speed", got, r.num(t, "n_rpm"), num("0.001"))
		case "worked-vf":
			p.equal("feed", FeedRate(num(in["f"]), r.num(t, "n_rpm")), num(in["vf"]))
		case "worked-time":
			n := SpindleSpeed(r.num(t, "vc"), r.num(t, "d_mm"))
			p.near("seconds", CuttingTime(num(in["depth"]), num(in["f"]), n).Mul(num("60")), num(in["t_s"]), num("0.005"))
		case "point", "point-worked":
			angle, _ := num(in["angle"]).Int()
			d, want := num("1"), num(orElse(in["h_over_d"], in["h"]))
			if r["d_mm"] != "" {
				d = r.num(t, "d_mm")
			}
			h, ok := PointLength(d, angle)
			p.text("angle known", yes(ok), "yes")
			p.equal("point", h.Round(len(strings.SplitN(orElse(in["h_over_d"], in["h"]), ".", 2)[1])), want)
		}
	})
}

func orElse(a, b string) string {
	if a != "" {
		return a
	}
	return b
}

func yes(b bool) string {
	if b {
		return "yes"
	}
	return "no"
}

func TestReferenceSignals(t *testing.T) {
	check(t, "signals", nil, func(t *testing.T, r row, p *reporter) {
		switch r["kind"] {
		case "signal-word":
			w, ok := LookUpSignalWord(r["code"])
			if !ok {
				p.text("word", "unknown", r["code"])
				return
			}
			alert := "not allowed"
			if w.AlertSymbol {
				alert = "required"
			}
			p.text(r["attribute"], map[string]string{"probability": w.Probability, "alert_symbol": alert, "consequence": w.Consequence}[r["attribute"]], r["value"])
		case "decision":
			if r["attribute"] != "signal_word" {
				return
			}
			if r["code"] == "DANGER" && r["value"] != "DANGER" {
				return
			}
			if r["referent"] == "several hazards in one message" {
				p.text("the word of the most serious hazard ranks first", SignalWords()[0].Word, "DANGER")
				for i, w := range SignalWords() {
					p.text("rank of "+w.Word, string(rune('0'+w.Rank)), string(rune('1'+i)))
				}
				return
			}
			consequence, probability, _ := strings.Cut(r["referent"], " / ")
			p.text("word", SignalFor(consequence, probability == "will").Word, r["value"])
		case "colour":
			if r["attribute"] == "munsell" {
				for _, w := range SignalWords() {
					if w.ANSIColour == r["code"] {
						p.text("Munsell", w.Munsell, r["value"])
					}
				}
				if r["code"] == "safety green" {
					p.done = true // no signal word is green: nothing shows it
				}
				return
			}
			w, ok := LookUpSignalWord(r["code"])
			if !ok {
				return
			}
			p.text(r["attribute"], map[string]string{"srgb": w.SRGB, "panel": w.Panel, "letters": w.Letters, "ansi_name": w.ANSIColour}[r["attribute"]], r["value"])
		case "sign-colour":
			for _, c := range SafetyColours() {
				if c.RAL == r["code"] {
					p.text(r["attribute"], map[string]string{"ral_name": c.Name, "srgb": c.SRGB}[r["attribute"]], r["value"])
					p.text("use", c.Use, r["referent"])
				}
			}
		case "message-part":
			place := int(r["value"][0] - '1')
			p.text("part "+r["value"], MessageParts()[place], r["referent"])
		case "sign-category":
			for _, c := range SignCategories() {
				if c.Letter != r["code"] {
					continue
				}
				p.text("meaning", c.Meaning, r["referent"])
				// The reference says plainly square where ISO 3864-1 allows a rectangle.
				p.text(r["attribute"], strings.TrimSuffix(map[string]string{"shape": c.Shape, "colour": c.Colour}[r["attribute"]], " or rectangle"), strings.TrimSuffix(r["value"], " or rectangle"))
			}
		case "sign":
			s, ok := Sign(r["code"])
			p.text("registered", yes(ok), "yes")
			p.text("referent", s.Referent, r["referent"])
		}
	})
}
