package trade

import (
	"strings"
	"sync"

	"benchproof/compiler/quantity"
)

// Thread is an ISO general purpose metric thread. Diameter and Pitch are in mm.
type Thread struct {
	Diameter quantity.Number
	Pitch    quantity.Number
	Coarse   bool   // the pitch is the coarse one of ISO 261
	Class    string // tolerance class of the internal thread where the designation names one, as in M8-6H
}

var threadTable = sync.OnceValue(func() []Thread {
	t := load("threads")
	var out []Thread
	for i := range t.rows {
		d := t.must(i, "d")
		if p, ok := t.number(i, "coarse"); ok {
			out = append(out, Thread{Diameter: d, Pitch: p, Coarse: true})
		}
		for _, p := range strings.Fields(t.text(i, "fine")) {
			out = append(out, Thread{Diameter: d, Pitch: quantity.MustNumber(p)})
		}
	}
	return out
})

// Threads lists every diameter-pitch combination of ISO 261 that the package
// knows, by diameter, the coarse pitch first.
func Threads() []Thread { return append([]Thread(nil), threadTable()...) }

// String gives the designation of ISO 261: M8 for the coarse pitch, M8x1 for a
// fine one, with the tolerance class behind a hyphen where there is one.
func (t Thread) String() string {
	s := "M" + t.Diameter.String()
	if !t.Coarse {
		s += "x" + t.Pitch.String()
	}
	if t.Class != "" {
		s += "-" + t.Class
	}
	return s
}

// ParseThread reads a designation: M8, M8x1, M8×1.25, M10-6H. Without a pitch
// the coarse one is meant. The error is an *UnknownError that names the nearest
// threads of ISO 261.
func ParseThread(designation string) (Thread, error) {
	body, class, classed := strings.Cut(designation, "-")
	size, pitch, pitched := strings.Cut(strings.NewReplacer("×", "x", "X", "x").Replace(body), "x")
	digits, ok := strings.CutPrefix(size, "M")
	d, err := quantity.ParseNumber(digits)
	if !ok || err != nil || d.Sign() <= 0 {
		e := &UnknownError{Found: designation, Expected: "a metric thread such as M8 or M8x1"}
		if up := strings.ToUpper(size); up != size && designation == size {
			if t, err := ParseThread(up); err == nil {
				e.Near = []string{t.String()}
			}
		}
		return Thread{}, e
	}
	if classed {
		if _, _, err := threadClass(class); err != nil {
			return Thread{}, err
		}
	}
	var same []Thread
	for _, t := range threadTable() {
		if t.Diameter.Equal(d) {
			same = append(same, t)
		}
	}
	if len(same) == 0 {
		return Thread{}, unknownDiameter(designation, d)
	}
	if !pitched {
		if same[0].Coarse {
			same[0].Class = class
			return same[0], nil
		}
		return Thread{}, unknownPitch(designation, same, "a pitch, as ISO 261 has no coarse one here: ")
	}
	p, err := quantity.ParseNumber(pitch)
	if err == nil {
		for _, t := range same {
			if t.Pitch.Equal(p) {
				t.Class = class
				return t, nil
			}
		}
	}
	return Thread{}, unknownPitch(designation, same, "a pitch of ISO 261: ")
}

func unknownPitch(found string, same []Thread, why string) error {
	var names []string
	for _, t := range same {
		names = append(names, t.String())
	}
	return &UnknownError{Found: found, Expected: why + list(names), Near: names}
}

// unknownDiameter offers the nearest smaller and larger thread of ISO 261.
func unknownDiameter(found string, d quantity.Number) error {
	var below, above *Thread
	for _, t := range threadTable() {
		if t.Diameter.Cmp(d) < 0 {
			if below == nil || below.Diameter.Cmp(t.Diameter) < 0 {
				below = &t
			}
		} else if above == nil {
			above = &t
		}
	}
	var names []string
	for _, t := range []*Thread{below, above} {
		if t != nil {
			names = append(names, t.String())
		}
	}
	return &UnknownError{Found: found, Expected: "a diameter of ISO 261; the nearest is " + list(names), Near: names}
}

// Shares of the pitch in the basic profile of ISO 68-1, H = √3/2 P: the pitch
// diameter lies 3/4 H, the minor diameter 5/4 H, the thread root of a bolt
// (d3, ISO 898-1) 17/12 H below the major diameter.
var (
	pitchShare = quantity.MustNumber("0.649519052838329")
	minorShare = quantity.MustNumber("1.082531754730548")
	rootShare  = quantity.MustNumber("1.226869322027955")
	quarterPi  = pi.Quo(quantity.NewInt(4))
)

// pi to far more places than any result here keeps.
var pi = quantity.MustNumber("3.14159265358979323846")

// PitchDiameter is the basic pitch diameter d2 in mm, to 0.001 (ISO 724).
func (t Thread) PitchDiameter() quantity.Number {
	return t.Diameter.Sub(t.Pitch.Mul(pitchShare)).Round(3)
}

// MinorDiameter is the basic minor diameter D1 of the internal thread in mm, to
// 0.001 (ISO 724).
func (t Thread) MinorDiameter() quantity.Number {
	return t.Diameter.Sub(t.Pitch.Mul(minorShare)).Round(3)
}

// StressArea is the nominal stress area As in mm2: as ISO 898-1 tables 4 to 7
// print it, and for other threads by the formula of its clause 9.1.6.1,
// π/4·((d2+d3)/2)², to three significant digits as the tables have it.
func (t Thread) StressArea() quantity.Number {
	if row, ok := proofRow(t); ok {
		return proofTable().must(row, "As")
	}
	d0 := t.stressDiameter()
	return significantDigits(quarterPi.Mul(d0).Mul(d0), 3)
}

// stressDiameter is (d2+d3)/2 = d − 0.938194 P in mm, not rounded: only so does
// the formula give the areas that ISO 898-1 prints.
func (t Thread) stressDiameter() quantity.Number {
	return t.Diameter.Sub(t.Pitch.Mul(pitchShare.Add(rootShare)).Quo(quantity.NewInt(2)))
}

var pitchTable = sync.OnceValue(func() table { return load("pitches") })

func pitchRow(p quantity.Number) int {
	t := pitchTable()
	for i := range t.rows {
		if t.must(i, "P").Equal(p) {
			return i
		}
	}
	panic("trade: pitch " + p.String() + " without a row") // a test walks all threads
}

// UsualClass is the tolerance class of an internal thread that names none:
// 6H, and 5H up to M1.4 (ISO 965-1, tolerance quality medium); 4H or 5H where
// the pitch is too fine for more.
func (t Thread) UsualClass() string {
	row := pitchRow(t.Pitch)
	if _, ok := pitchTable().number(row, "TD1_6"); ok && t.Diameter.Cmp(quantity.MustNumber("1.4")) > 0 {
		return "6H"
	}
	if _, ok := pitchTable().number(row, "TD1_5"); ok {
		return "5H"
	}
	return "4H"
}

// threadClass splits a tolerance class of an internal thread: grade and position.
func threadClass(class string) (grade, position string, err error) {
	if len(class) == 2 && class[0] >= '4' && class[0] <= '8' && (class[1] == 'H' || class[1] == 'G') {
		return class[:1], class[1:], nil
	}
	return "", "", &UnknownError{Found: class, Expected: "a tolerance class of an internal thread: grade 4 to 8 with H or G, such as 6H"}
}

// MinorLimits are the limits of the internal thread's minor diameter D1 in mm
// (ISO 965-1): what a hole may measure before it is tapped. An empty class means
// the one the thread names, else the usual one.
func (t Thread) MinorLimits(class string) (SizeLimits, error) {
	if class == "" {
		class = t.Class
	}
	if class == "" {
		class = t.UsualClass()
	}
	grade, position, err := threadClass(class)
	if err != nil {
		return SizeLimits{}, err
	}
	row := pitchRow(t.Pitch)
	tol, ok := pitchTable().number(row, "TD1_"+grade)
	if !ok {
		return SizeLimits{}, &UnknownError{Found: class, Expected: "a class that ISO 965-1 has for pitch " + t.Pitch.String() + " mm, such as " + t.UsualClass(), Near: []string{t.UsualClass()}}
	}
	low := t.MinorDiameter()
	if position == "G" {
		ei, ok := pitchTable().number(row, "EI_G")
		if !ok {
			return SizeLimits{}, &UnknownError{Found: class, Expected: "a class with H for pitch " + t.Pitch.String() + " mm", Near: []string{t.UsualClass()}}
		}
		low = low.Add(micrometres(ei))
	}
	return SizeLimits{Lower: low, Upper: low.Add(micrometres(tol))}, nil
}

// micrometres turns um into mm.
func micrometres(n quantity.Number) quantity.Number { return n.Quo(quantity.NewInt(1000)) }

// significantDigits rounds a positive number to so many significant digits.
func significantDigits(n quantity.Number, digits int) quantity.Number {
	if n.Sign() <= 0 {
		return n
	}
	places := digits - 1
	ten := quantity.NewInt(10)
	for m := n; m.Cmp(ten) >= 0; m = m.Quo(ten) {
		places--
	}
	for m := n; m.Cmp(quantity.NewInt(1)) < 0; m = m.Mul(ten) {
		places++
	}
	return n.Round(places)
}
