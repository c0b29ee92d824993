package trade

import (
	"regexp"
	"strings"
	"testing"

	"benchproof/compiler/quantity"
)

var (
	fitTopic    = regexp.MustCompile(`(\d+) ([A-Z]+\d+)/([a-z]+\d+)`)
	insertTopic = regexp.MustCompile(`(M[\d.x]+)`)
	limitTopic  = regexp.MustCompile(`(shaft|hole) limits (\d+) ([A-Za-z]+\d+)`)
	formTopic   = regexp.MustCompile(`tap chamfer (?:form ([A-F])|(taper|plug|modified bottoming|bottoming))`)
)

func limitsOf(nominal quantity.Number, class string) (l SizeLimits, err error) {
	l.Lower, l.Upper, err = Limits(nominal, class)
	return l, err
}

func TestReferenceRepairChecks(t *testing.T) {
	const engagement = "rules of thumb for the length of engagement, of which two contradict each other; the language states no engagement"
	exclusions := map[string]string{
		"repair_checks-069": "half of a run-out: the language states no eccentricity",
		"repair_checks-130": engagement,
		"repair_checks-131": engagement,
		"repair_checks-132": engagement,
		"repair_checks-133": engagement,
		"repair_checks-134": engagement,
		"repair_checks-182": "pressure in a press fit: the language states none",
	}
	check(t, "repair_checks", exclusions, func(t *testing.T, r row, p *reporter) {
		in := r.inputs("inputs")
		get := func(name string) quantity.Number { return num(in[name]) }
		topic, what := r["topic"], r["quantity"]
		value := func() quantity.Number { return r.num(t, "value") }
		boltOf := func(d, pitch string) Thread {
			th, err := ParseThread("M" + d + "x" + pitch)
			if err != nil {
				p.fail(err)
			}
			return th
		}
		switch {
		case fitTopic.MatchString(topic) && strings.HasPrefix(topic, "fit "), strings.HasPrefix(topic, "new ") && strings.Contains(topic, "max clearance"):
			m := fitTopic.FindStringSubmatch(topic)
			f, err := NewFit(num(m[1]), m[2], m[3])
			if err != nil {
				p.fail(err)
				return
			}
			n := num(m[1])
			um := func(x quantity.Number) quantity.Number { return x.Mul(num("1000")) }
			for name, got := range map[string]quantity.Number{
				"ES": um(f.Hole.Upper.Sub(n)), "EI": um(f.Hole.Lower.Sub(n)),
				"es": um(f.Shaft.Upper.Sub(n)), "ei": um(f.Shaft.Lower.Sub(n)),
			} {
				if in[name] != "" {
					p.equal(name, got, get(name))
				}
			}
			switch what {
			case "max clearance":
				p.equal(what, um(f.Loosest), value())
			case "min clearance":
				p.equal(what, um(f.Tightest), value())
			case "min interference":
				p.equal(what, um(f.Loosest.Neg()), value())
			case "max interference":
				p.equal(what, um(f.Tightest.Neg()), value())
			case "fit type":
				p.text(what, f.Kind.String(), r["value"])
			}
		case limitTopic.MatchString(topic):
			m := limitTopic.FindStringSubmatch(topic)
			l, err := limitsOf(num(m[2]), m[3])
			if err != nil {
				p.fail(err)
				return
			}
			p.equal(what, map[string]quantity.Number{"lower limit": l.Lower, "upper limit": l.Upper}[what], value())
		case topic == "worn shaft 25 h6":
			l, err := limitsOf(num("25"), "h6")
			if err != nil {
				p.fail(err)
				return
			}
			p.equal("lower limit", l.Lower, get("LL"))
			p.text("verdict", l.Judge(get("y")).String(), "too small")
			p.equal(what, l.Lower.Sub(get("y")), value())
		case strings.HasPrefix(topic, "worn bearing seat 30 k6"), strings.HasPrefix(topic, "new bearing fit 30 k6"):
			// ISO 492 bore of the bearing as the row states it.
			l, err := limitsOf(num("30"), "k6")
			if err != nil {
				p.fail(err)
				return
			}
			if in["shaft"] != "" {
				p.text("seat", l.Judge(get("shaft")).String(), "too small")
				p.equal(what, get("bore_max").Sub(get("shaft")), value())
				return
			}
			p.equal(what, l.Upper.Sub(num("30")).Mul(num("1000")).Sub(get("Dmin")), value())
		case topic == "worn bush and journal 20 H7/f7":
			f, err := NewFit(num("20"), "H7", "f7")
			if err != nil {
				p.fail(err)
				return
			}
			worn := get("bush").Sub(get("journal"))
			p.equal(what, worn, value())
			p.text("looser than new", yes(worn.Cmp(f.Loosest) > 0), "yes")
		case strings.HasPrefix(topic, "general circular run-out class "):
			v, _ := GeneralRunOut(topic[len(topic)-1:])
			p.equal(what, v, value())
		case strings.HasPrefix(topic, "general linear tolerance class m "):
			low, high, _ := strings.Cut(strings.TrimSuffix(topic[strings.Index(topic, ">")+1:], " mm"), "-")
			for _, n := range []quantity.Number{num(low).Add(num("0.01")), num(high)} {
				v, _ := GeneralTolerance(n, "m")
				p.equal(what+" at "+n.String(), v, value())
			}
		case strings.HasPrefix(topic, "drilled depth beyond thread"):
			size := map[string]string{"thread below M6": "M5", "M6 to M12": "M8", "above M12": "M14"}[topic[strings.Index(topic, ", ")+2:]]
			th, ok := thread(p, size)
			if ok {
				p.equal(what, OverhangShare(th), value())
			}
		case r["source"] == "BS 1936 rule":
			th, ok := thread(p, strings.Fields(topic)[0])
			if !ok {
				return
			}
			p.equal("share", OverhangShare(th), get("f"))
			p.equal(what, get("L").Mul(num("1").Add(OverhangShare(th))), value())
		case what == "e1":
			for _, th := range Threads() {
				if th.Pitch.Equal(get("P")) {
					e, _ := BlindOverhang(th)
					p.equal("e1 of "+th.String(), e, value())
				}
			}
		case strings.Contains(topic, "DIN 76-1"):
			th, ok := thread(p, strings.Fields(topic)[0])
			if !ok {
				return
			}
			e, _ := BlindOverhang(th)
			p.equal(what, get("L").Add(e), value())
		case formTopic.MatchString(topic):
			m := formTopic.FindStringSubmatch(topic)
			for _, c := range Chamfers() {
				if c.Form == m[1]+m[2] {
					p.equal(what, map[string]quantity.Number{"min pitches": c.Low, "max pitches": c.High}[what], value())
				}
			}
		case strings.Contains(topic, "chamfer") && in["n"] != "":
			th, ok := thread(p, strings.Fields(topic)[0])
			if ok {
				p.equal("P", th.Pitch, get("P"))
				p.equal(what, get("L").Add(LeadOverhang(th, get("n"))), value())
			}
		case strings.Contains(topic, "point 118 deg"):
			h, _ := PointLength(get("d"), 118)
			p.equal(what, h.Round(3), value())
		case topic == "M8 blind hole: depth to drill tip":
			h, _ := PointLength(get("d"), 118)
			p.equal(what, get("depth").Add(h).Round(3), value())
		case strings.HasPrefix(topic, "thread engagement "):
			th := boltOf(in["d"], in["P"])
			p.equal(what, Engagement(th, get("h")).Round(1), value())
		case what == "hole against 6H minor limits":
			th, _ := thread(p, "M8-6H")
			hole, err := TappingHole(th)
			if err != nil {
				p.fail(err)
				return
			}
			p.equal("lower limit", hole.Lower, get("lo"))
			p.equal("upper limit", hole.Upper, get("hi"))
			p.text(what, hole.Judge(get("h")).String(), r["value"])
		case strings.HasPrefix(topic, "insert hole depth G"):
			// The rule at 8 mm and above it, on the length of 1.5 d.
			bottoming := strings.Contains(topic, "bottoming")
			for _, c := range []struct{ thread, extra string }{{"M8", "0.5*d + 6*P"}, {"M10", "6*P"}, {"M8", "4*P"}, {"M10", "4*P"}} {
				if c.extra != r["value"] {
					continue
				}
				th, ok := thread(p, c.thread)
				if !ok {
					return
				}
				length := th.Diameter.Mul(num("1.5"))
				_, drilled := InsertDepths(th, length, bottoming)
				want := map[string]quantity.Number{
					"0.5*d + 6*P": th.Diameter.Quo(num("2")).Add(th.Pitch.Mul(num("6"))),
					"6*P":         th.Pitch.Mul(num("6")), "4*P": th.Pitch.Mul(num("4")),
				}[c.extra]
				p.equal("extra of "+c.thread, drilled.Sub(length), want)
			}
		case strings.Contains(topic, " insert ") && (what == "min drilled depth G" || what == "min tapped depth T"):
			th := boltOf(in["d"], in["P"])
			tapped, drilled := InsertDepths(th, get("L"), strings.Contains(topic, "bottoming"))
			p.equal(what, map[string]quantity.Number{"min drilled depth G": drilled, "min tapped depth T": tapped}[what], value())
		case strings.HasPrefix(topic, "insert (EG/STI) "):
			th, ok := thread(p, insertTopic.FindString(topic))
			if !ok {
				return
			}
			hole, err := InsertHole(th)
			if err != nil {
				p.fail(err)
				return
			}
			switch what {
			case "drill":
				p.equal(what, hole.Recommended, value())
				p.text("drill in the limits", hole.Judge(value()).String(), "inside")
			case "minor diameter min":
				p.equal(what, hole.Lower, value())
			case "tap major diameter basic":
				p.equal(what, InsertMajor(th), value())
			}
		case what == "growth against 20 C":
			a := num(strings.TrimSuffix(in["a"], "e-6"))
			p.equal(what, Growth(get("L"), a, ReferenceTemperature, get("T")).Mul(num("1000")).Round(1), value())
			name := map[bool]string{true: "aluminium", false: "steel"}[strings.Contains(topic, "aluminium")]
			alpha, err := Expansion(name)
			if err != nil {
				p.fail(err)
				return
			}
			p.equal("expansion of "+name, alpha, a)
		case what == "temperature rise":
			a := num(strings.TrimSuffix(in["a"], "e-6"))
			p.equal(what, HotFit(quantity.NewInt(0), get("i"), get("c"), a, get("d")).Round(1), value())
			f, err := NewFit(num("60"), "H7", "s6")
			if err != nil {
				p.fail(err)
				return
			}
			p.equal("greatest interference of 60 H7/s6", f.Tightest.Neg(), get("i"))
		}
	})
}
