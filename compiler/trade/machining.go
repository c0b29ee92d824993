package trade

import (
	"sync"

	"benchproof/compiler/quantity"
)

// SpindleSpeed is the speed in 1/min at which a tool of a diameter in mm cuts
// at a speed in m/min: n = 1000 vc / (π d).
func SpindleSpeed(cutting, diameter quantity.Number) quantity.Number {
	return quantity.NewInt(1000).Mul(cutting).Quo(pi.Mul(diameter))
}

// GuideValue rounds a positive value to the two significant digits that a
// value to set a machine by deserves: 958.8 becomes 960.
func GuideValue(n quantity.Number) quantity.Number { return significantDigits(n, 2) }

// FeedRate is the feed in mm/min from the feed per turn in mm and the speed in
// 1/min: vf = f n.
func FeedRate(feed, speed quantity.Number) quantity.Number { return feed.Mul(speed) }

// CuttingTime is the time in minutes to feed through a depth in mm at a feed
// per turn in mm and a speed in 1/min: l / (f n).
func CuttingTime(depth, feed, speed quantity.Number) quantity.Number {
	return depth.Quo(FeedRate(feed, speed))
}

// CuttingSpeed is a range of cutting speeds for twist drills of high-speed
// steel, in m/min: handbook guide values.
type CuttingSpeed struct {
	Material  string
	Low, High quantity.Number
}

// CuttingSpeeds lists the guide values by material.
func CuttingSpeeds() []CuttingSpeed {
	t := load("cutting")
	var out []CuttingSpeed
	for i := range t.rows {
		out = append(out, CuttingSpeed{Material: t.text(i, "material"), Low: t.must(i, "low"), High: t.must(i, "high")})
	}
	return out
}

var expansionTable = sync.OnceValue(func() table { return load("expansion") })

// Expansion is the mean linear expansion of a material in um/m/K: a handbook
// value for 20 to 100 degC. The error names the materials there are.
func Expansion(material string) (quantity.Number, error) {
	var names []string
	for i := range expansionTable().rows {
		name := expansionTable().text(i, "material")
		if name == material {
			return expansionTable().must(i, "alpha"), nil
		}
		names = append(names, name)
	}
	return quantity.Number{}, &UnknownError{Found: material, Expected: "a material with a known expansion: " + list(names), Near: nearest(material, names)}
}

// micro turns um/m/K into 1/K.
func micro(alpha quantity.Number) quantity.Number { return alpha.Quo(quantity.NewInt(1_000_000)) }

// Growth is the change of a length (same unit) from one temperature to another
// in degC, at an expansion in um/m/K: L α ΔT. The reference temperature of drawings
// is 20 degC (ISO 1).
func Growth(length, alpha, from, to quantity.Number) quantity.Number {
	return length.Mul(micro(alpha)).Mul(to.Sub(from))
}

// ReferenceTemperature is 20 degC: ISO 1, at which drawings hold.
var ReferenceTemperature = quantity.NewInt(20)

// HotFit is the temperature in degC to heat a bore to so that it slides on:
// from + (interference + clearance) / (α bore), in mm and um/m/K. The interference
// is the greatest there can be, the clearance what is wanted for assembly.
func HotFit(from, interference, clearance, alpha, bore quantity.Number) quantity.Number {
	return from.Add(interference.Add(clearance).Quo(micro(alpha).Mul(bore)))
}

// ResolutionShare is the expanded uncertainty (k = 2) that resolution alone
// brings, as a share of the resolution: the reading lies anywhere within half a
// step either way, so u = (1/2)/√3 of a step (JCGM 100:2008, F.2.2.1) and
// U = 2 u = 0.577, rounded to 0.58.
var ResolutionShare = quantity.MustNumber("0.58")

// UncertaintyShare is the largest expanded uncertainty an instrument may have, as
// a share of the range it judges: one quarter (JCGM 106:2012, 7.6.3: a measuring
// capability index T/(2U) of at least 2).
var UncertaintyShare = quantity.NewFrac(1, 4)

// ReferenceMass is the mass in kg above which a part is not lifted by hand
// alone: 25 kg, ISO 11228-1.
var ReferenceMass = quantity.NewInt(25)
