package trade

import (
	"strings"
	"sync"

	"benchproof/compiler/quantity"
)

// Fastener is a thread with the property class that its head or nut carries:
// what a torque is judged by.
type Fastener struct {
	Thread Thread
	Class  string // as written: 8.8, 8, A2-70
	Bolt   string // the bolt class the load is judged by: the class itself, or the one a nut goes with
	// Stress is the stress under proof load in MPa, and Proof the proof load in kN.
	Stress, Proof quantity.Number
	Source        string
}

var (
	boltTable      = sync.OnceValue(func() table { return load("bolts") })
	proofTable     = sync.OnceValue(func() table { return load("proof") })
	nutTable       = sync.OnceValue(func() table { return load("nuts") })
	stainlessTable = sync.OnceValue(func() table { return load("stainless") })
	bearingTable   = sync.OnceValue(func() table { return load("bearing") })
)

func proofRow(t Thread) (int, bool) {
	name := bare(t).String()
	for i := range proofTable().rows {
		if proofTable().text(i, "thread") == name {
			return i, true
		}
	}
	return 0, false
}

// Classes lists the property classes that ParseFastener knows: bolts of ISO
// 898-1, nuts of ISO 898-2, stainless steel of ISO 3506.
func Classes() []string {
	var out []string
	for i := range boltTable().rows {
		if c := boltTable().text(i, "class"); len(out) == 0 || out[len(out)-1] != c {
			out = append(out, c)
		}
	}
	for i := range nutTable().rows {
		out = append(out, nutTable().text(i, "class"))
	}
	for i := range stainlessTable().rows {
		for _, g := range strings.Fields(stainlessTable().text(i, "grades")) {
			out = append(out, g+"-"+stainlessTable().text(i, "class"))
		}
	}
	return out
}

// ParseFastener looks a thread and property class up. ISO 898-1 covers M1.6 to
// M39; its printed proof load is used where it prints one, else stress area
// times stress, to three significant digits as the standard rounds. A nut (ISO
// 898-2) is judged by the bolt class it goes with, as a nut of full height is
// always stronger; a thin nut (04, 05) by its own stress. Stainless classes (ISO
// 3506-1) have no proof load for bolts: the 0.2 % strain limit stands for it.
func ParseFastener(t Thread, class string) (Fastener, error) {
	f := Fastener{Thread: bare(t), Class: class, Bolt: class}
	if t.Diameter.Cmp(quantity.MustNumber("1.6")) < 0 || t.Diameter.Cmp(quantity.NewInt(39)) > 0 {
		return Fastener{}, &UnknownError{Found: t.String(), Expected: "a fastener of M1.6 to M39: ISO 898-1 has no proof load for others"}
	}
	for i := range nutTable().rows {
		if nutTable().text(i, "class") != class {
			continue
		}
		if sp, ok := nutTable().number(i, "Sp"); ok {
			f.Stress, f.Source = sp, "ISO 898-2, thin nut of class "+class
			f.Proof = f.byArea()
			return f, nil
		}
		bolt, err := ParseFastener(t, nutTable().text(i, "bolt"))
		if err != nil {
			return Fastener{}, err
		}
		bolt.Class = class
		bolt.Source += ", the bolt class a nut of class " + class + " goes with (ISO 898-2)"
		return bolt, nil
	}
	known := false
	for i := range boltTable().rows {
		if boltTable().text(i, "class") != class {
			continue
		}
		known = true
		if t.Diameter.Cmp(boltTable().must(i, "over")) <= 0 || t.Diameter.Cmp(boltTable().must(i, "upto")) > 0 {
			continue
		}
		f.Stress, f.Source = boltTable().must(i, "Sp"), "ISO 898-1 proof load, class "+class
		if row, ok := proofRow(t); ok {
			if n, ok := proofTable().number(row, class); ok {
				f.Proof = n.Quo(quantity.NewInt(1000))
				return f, nil
			}
		}
		f.Proof = f.byArea()
		return f, nil
	}
	if known {
		return Fastener{}, &UnknownError{Found: class, Expected: "a class that ISO 898-1 has for " + t.String() + ": 9.8 ends at M16", Near: []string{"8.8", "10.9"}}
	}
	if grade, number, ok := strings.Cut(class, "-"); ok {
		for i := range stainlessTable().rows {
			if stainlessTable().text(i, "class") != number || !has(strings.Fields(stainlessTable().text(i, "grades")), grade) {
				continue
			}
			f.Stress, f.Source = stainlessTable().must(i, "Rp02"), "ISO 3506-1, stress at 0.2 % strain, class "+class
			f.Proof = f.byArea()
			return f, nil
		}
	}
	return Fastener{}, &UnknownError{Found: class, Expected: "a property class: " + list([]string{"4.6 to 12.9 (ISO 898-1)", "a nut's 4 to 12 (ISO 898-2)", "A2-70 and the like (ISO 3506-1)"}), Near: nearest(class, Classes())}
}

func has(names []string, name string) bool {
	for _, n := range names {
		if n == name {
			return true
		}
	}
	return false
}

// byArea is stress area times stress, in kN, to three significant digits.
func (f Fastener) byArea() quantity.Number {
	newtons := f.Thread.StressArea().Mul(f.Stress)
	return significantDigits(newtons, 3).Quo(quantity.NewInt(1000))
}

// Strength returns the minimum tensile strength and the minimum yield (or
// proof) strength of a bolt class in MPa: ISO 898-1 table 3, ISO 3506-1.
func (f Fastener) Strength() (tensile, yield quantity.Number, ok bool) {
	for i := range boltTable().rows {
		if boltTable().text(i, "class") == f.Bolt && f.Thread.Diameter.Cmp(boltTable().must(i, "over")) > 0 && f.Thread.Diameter.Cmp(boltTable().must(i, "upto")) <= 0 {
			return boltTable().must(i, "Rm"), boltTable().must(i, "Re"), true
		}
	}
	grade, number, _ := strings.Cut(f.Bolt, "-")
	for i := range stainlessTable().rows {
		if stainlessTable().text(i, "class") == number && has(strings.Fields(stainlessTable().text(i, "grades")), grade) {
			return stainlessTable().must(i, "Rm"), stainlessTable().must(i, "Rp02"), true
		}
	}
	return quantity.Number{}, quantity.Number{}, false
}

// Friction is the coefficient of friction assumed, in the thread and under the
// head alike, where a source states none: 0.12, clean and lightly oiled steel,
// within class B of VDI 2230-1 table A5 (0.08 to 0.16). A lower friction
// loads a fastener more at the same torque.
var Friction = quantity.MustNumber("0.12")

// ProofShare is the share of the proof load that a torque may load a fastener
// to: 90 %.
var ProofShare = quantity.NewFrac(9, 10)

// torquePerLoad is MA/FM of VDI 2230-1 (R13) in N.m per kN, that is mm:
// 0.16 P + 0.58 d2 µ + DKm/2 µ, DKm = (dw+dh)/2 of a hexagon head.
func (f Fastener) torquePerLoad(friction quantity.Number) quantity.Number {
	p := f.Thread.Pitch.Mul(quantity.MustNumber("0.16"))
	flank := f.Thread.PitchDiameter().Mul(quantity.MustNumber("0.58")).Mul(friction)
	head := BearingDiameter(f.Thread).Quo(quantity.NewInt(2)).Mul(friction)
	return p.Add(flank).Add(head)
}

// BearingDiameter is the mean diameter DKm, in mm, at which the friction under
// a hexagon head or nut acts: (dw+dh)/2, VDI 2230-1, from the least bearing
// diameter of ISO 4014 and the clearance hole of ISO 273; 1.3 d for sizes
// without (common practice).
func BearingDiameter(t Thread) quantity.Number {
	if dw, dh, ok := Bearing(t); ok {
		return dw.Add(dh).Quo(quantity.NewInt(2))
	}
	return t.Diameter.Mul(quantity.MustNumber("1.3"))
}

// Bearing returns the least bearing diameter dw of a hexagon head (ISO 4014,
// ISO 4017) and the clearance hole dh (ISO 273, medium series), in mm.
func Bearing(t Thread) (dw, dh quantity.Number, ok bool) {
	b := bearingTable()
	for i := range b.rows {
		if b.must(i, "d").Equal(t.Diameter) {
			return b.must(i, "dw"), b.must(i, "dh"), true
		}
	}
	return quantity.Number{}, quantity.Number{}, false
}

// Preload is the load in kN that a torque in N.m gives at the friction stated:
// FM = MA / (0.16 P + 0.58 d2 µ + DKm/2 µ), VDI 2230-1.
func (f Fastener) Preload(torque, friction quantity.Number) quantity.Number {
	return torque.Quo(f.torquePerLoad(friction))
}

// Torque is the torque in N.m that gives a load in kN: the inverse of Preload.
func (f Fastener) Torque(preload, friction quantity.Number) quantity.Number {
	return preload.Mul(f.torquePerLoad(friction))
}

// MostTorque is the torque in N.m at which the load reaches 90 % of proof: a
// guide value, as friction is assumed.
func (f Fastener) MostTorque(friction quantity.Number) quantity.Number {
	return f.Torque(f.Proof.Mul(ProofShare), friction)
}

// Load is what a torque does to a fastener.
type Load struct {
	Preload  quantity.Number // kN
	Share    quantity.Number // of the proof load: 0.9 is 90 %
	Friction quantity.Number // assumed
	TooMuch  bool            // above 90 % of proof
}

// TorqueLoad judges a torque in N.m at the friction stated.
func (f Fastener) TorqueLoad(torque, friction quantity.Number) Load {
	l := Load{Preload: f.Preload(torque, friction), Friction: friction}
	l.Share = l.Preload.Quo(f.Proof)
	l.TooMuch = l.Share.Cmp(ProofShare) > 0
	return l
}

// AssemblyPreload is the load in kN of the assembly tables of VDI 2230-1
// (tables A1 and A2): 90 % of yield, tension and torsion together,
// FM = 0.9 Re As / √(1 + 3 [3/2 d2/d0 (P/(π d2) + 1.155 µ)]²).
// False for a class without a yield strength (a thin nut).
func (f Fastener) AssemblyPreload(friction quantity.Number) (quantity.Number, bool) {
	_, yield, ok := f.Strength()
	if !ok {
		return quantity.Number{}, false
	}
	d2, d0 := f.Thread.PitchDiameter(), f.Thread.stressDiameter()
	twist := f.Thread.Pitch.Quo(pi.Mul(d2)).Add(friction.Mul(quantity.MustNumber("1.155")))
	term := d2.Quo(d0).Mul(twist).Mul(quantity.NewFrac(3, 2))
	root := squareRoot(quantity.NewInt(1).Add(term.Mul(term).Mul(quantity.NewInt(3))))
	return yield.Mul(f.Thread.StressArea()).Mul(quantity.NewFrac(9, 10000)).Quo(root), true
}

// squareRoot returns the root of a number between 1 and 100 to 9 decimals, by
// Newton's rule; each step is rounded so that the fractions stay short.
func squareRoot(n quantity.Number) quantity.Number {
	x := n
	for range 20 {
		x = x.Add(n.Quo(x)).Quo(quantity.NewInt(2)).Round(12)
	}
	return x.Round(9)
}

// WrenchSetting is what to set a torque wrench to, in the torque's unit, so
// that the fastener gets the torque through an extension in line with the
// wrench: T·L/(L+E). L is the length from grip to square, E that of the
// extension, in one unit; E is negative for an adapter that points back.
func WrenchSetting(torque, length, extension quantity.Number) quantity.Number {
	return torque.Mul(length).Quo(length.Add(extension))
}

// ToolDeviation is the permissible deviation of a setting torque tool (type II,
// class A) in per cent: ISO 6789-1:2017, 6 % up to 10 N.m and 4 % above.
func ToolDeviation(torque quantity.Number) quantity.Number {
	if torque.Cmp(quantity.NewInt(10)) <= 0 {
		return quantity.NewInt(6)
	}
	return quantity.NewInt(4)
}
