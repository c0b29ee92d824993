package quantity

import (
	"slices"
	"sort"
	"strings"
	"unicode"
)

// Dimension is the sort of a quantity: only quantities of one dimension can be
// compared or converted. Torque and energy are two dimensions although both
// are a force times a length, and so are the roughness parameters Ra and Rz,
// which measure different things of a surface. A slope is no angle, of which it
// is the tangent, and no ratio: per cent of a reading in mm/m is a share of it.
type Dimension uint8

const (
	Count Dimension = iota // a bare number
	Length
	Area
	Volume
	Mass
	Time
	Speed
	Frequency
	RotationSpeed
	Flow
	Angle
	Slope // rise per length along, as a spirit level shows it
	Ratio
	Force
	Torque
	Pressure
	Energy
	Power
	Temperature
	Expansion // change of length per length and kelvin
	DynamicViscosity
	Viscosity // kinematic, as oils are graded by
	Roughness // the arithmetic mean Ra
	RoughnessDepth
	Voltage
	Current
	Resistance
	Density
	dimensions
)

var dimensionNames = [dimensions]struct{ name, base string }{
	Count:            {"count", ""},
	Length:           {"length", "m"},
	Area:             {"area", "m2"},
	Volume:           {"volume", "m3"},
	Mass:             {"mass", "kg"},
	Time:             {"time", "s"},
	Speed:            {"speed", "m/s"},
	Frequency:        {"frequency", "Hz"},
	RotationSpeed:    {"speed of rotation", "rps"},
	Flow:             {"flow", "m3/s"},
	Angle:            {"angle", "deg"},
	Slope:            {"slope", "mm/m"},
	Ratio:            {"ratio", "%"},
	Force:            {"force", "N"},
	Torque:           {"torque", "N.m"},
	Pressure:         {"pressure", "Pa"},
	Energy:           {"energy", "J"},
	Power:            {"power", "W"},
	Temperature:      {"temperature", "K"},
	Expansion:        {"thermal expansion", "per-K"},
	DynamicViscosity: {"dynamic viscosity", "Pa.s"},
	Viscosity:        {"viscosity", "m2/s"},
	Roughness:        {"roughness", "um.Ra"},
	RoughnessDepth:   {"roughness depth", "um.Rz"},
	Voltage:          {"voltage", "V"},
	Current:          {"current", "A"},
	Resistance:       {"resistance", "ohm"},
	Density:          {"density", "kg/m3"},
}

// String gives the plain word: "length", "speed of rotation".
func (d Dimension) String() string {
	if d >= dimensions {
		return "unknown dimension"
	}
	return dimensionNames[d].name
}

// Base returns the unit in which the factors of the dimension's units are
// given; nil for a count.
func (d Dimension) Base() *Unit {
	if d >= dimensions {
		return nil
	}
	return byCode[dimensionNames[d].base]
}

// Unit is one unit of the closed list. Units are compared by address: LookUp
// gives the same one for the same code, always.
type Unit struct {
	Code      string // as a source writes it: N.m, degC, inch
	Symbol    string // as a document prints it: N·m, °C, in
	Name      string // in words: newton metre
	Dimension Dimension

	// A value in the dimension's base unit is value·Factor + Offset, exactly.
	Factor, Offset Number

	// UCUM is the same unit in the Unified Code for Units of Measure; empty
	// where that has none of equal size.
	UCUM string
}

func (u *Unit) toBase(v Number) Number { return v.Mul(u.Factor).Add(u.Offset) }

func (u *Unit) fromBase(v Number, to *Unit) Number { return v.Sub(to.Offset).Quo(to.Factor) }

// factorTo returns how many of the unit to make one of u.
func (u *Unit) factorTo(to *Unit) Number { return u.Factor.Quo(to.Factor) }

// LookUp returns the unit that a source writes as code.
func LookUp(code string) (*Unit, bool) {
	u, ok := byCode[code]
	return u, ok
}

// Units returns every unit, by dimension and then as the list has them. The
// slice is the caller's, the units are not to be modified.
func Units() []*Unit { return append([]*Unit(nil), units...) }

var (
	units  = build()
	byCode = func() map[string]*Unit {
		m := make(map[string]*Unit, len(units))
		for _, u := range units {
			m[u.Code] = u
		}
		return m
	}()
)

// nearestMost is how many proposals a message can carry and still be read.
const nearestMost = 3

// Nearest returns up to three unit codes that were probably meant by what
// stands where a unit was expected, best first; none where nothing is near.
func Nearest(code string) []string {
	const longest = 40 // anything longer is no slip of the pen
	if code == "" || len(code) > longest {
		return nil
	}
	said := fold(code)
	var out []string
	if c, ok := spoken[said]; ok {
		out = append(out, c)
	}
	for _, u := range units {
		if fold(u.Symbol) == said && len(out) < nearestMost && !slices.Contains(out, u.Code) {
			out = append(out, u.Code)
		}
	}
	if len(out) > 0 {
		return out
	}
	type candidate struct {
		code string
		cost int
	}
	var near []candidate
	for _, u := range units {
		// A slip in a short code leaves little of it, so short codes must be nearer.
		if cost := slips(said, u.Code); cost <= max(1, len(u.Code)/3) && cost < len(u.Code) {
			near = append(near, candidate{u.Code, cost})
		}
	}
	sort.SliceStable(near, func(i, j int) bool { return near[i].cost < near[j].cost })
	for i := 0; i < len(near) && i < nearestMost; i++ {
		out = append(out, near[i].code)
	}
	return out
}

// fold makes spellings that differ only in habit the same: signs for
// multiplication, raised digits, the two micro signs, spaces.
func fold(s string) string { return folder.Replace(s) }

var folder = strings.NewReplacer(
	"·", ".", "⋅", ".", "*", ".", "×", ".", " ", "", "\u00a0", "",
	"²", "2", "³", "3", "^", "", "\u00b5", "u", "\u03bc", "u", "º", "°", "˚", "°", "\u2126", "\u03a9",
	"’", "'", "′", "'", "″", "\"", "”", "\"",
)

// slips is the number of letters to add, drop, change or swap with their
// neighbour to make b of a; a change of case alone counts as half, so that
// every other slip counts two.
func slips(a, b string) int {
	x, y := []rune(a), []rune(b)
	earlier, before, last := make([]int, len(y)+1), make([]int, len(y)+1), make([]int, len(y)+1)
	for j := range last {
		last[j] = 2 * j
	}
	for i := 1; i <= len(x); i++ {
		earlier, before, last = before, last, earlier
		last[0] = 2 * i
		for j := 1; j <= len(y); j++ {
			change := 2
			switch {
			case x[i-1] == y[j-1]:
				change = 0
			case unicode.ToLower(x[i-1]) == unicode.ToLower(y[j-1]):
				change = 1
			}
			last[j] = min(before[j]+2, last[j-1]+2, before[j-1]+change)
			if i > 1 && j > 1 && x[i-1] == y[j-2] && x[i-2] == y[j-1] {
				last[j] = min(last[j], earlier[j-2]+2)
			}
		}
	}
	return (last[len(y)] + 1) / 2
}
