package quantity

import "strings"

// The list of units. Factors are exact by definition: the SI Brochure (9th
// edition, 2019) for SI and the units used with it, NIST SP 811 (2008),
// appendix B.8, for inch, pound and the older metric units. Two need a word:
//
//   - π has no exact decimal. Where a radian meets a degree or a turn, π is
//     taken to 40 digits; everything else about the unit is exact.
//   - mmHg and inHg are the conventional ones (13.5951 g/cm³, standard
//     gravity); UCUM rounds its column of mercury to seven digits.

// pi to 40 significant digits (OEIS A000796).
var pi = MustNumber("3.141592653589793238462643383279502884197")

var (
	inchInMetre = MustNumber("0.0254")
	footInMetre = MustNumber("0.3048")
	poundInKilo = MustNumber("0.45359237")
	gravity     = MustNumber("9.80665") // standard acceleration of free fall, m/s²
	poundForce  = poundInKilo.Mul(gravity)
	ounceForce  = poundForce.Quo(NewInt(16))
	gallon      = inchInMetre.Mul(inchInMetre).Mul(inchInMetre).Mul(NewInt(231))
	minute      = NewInt(60)
	hour        = NewInt(3600)
	mercury     = MustNumber("13595.1").Mul(gravity) // Pa per metre of column
	thousandth  = powerOfTen(-3)
	millionth   = powerOfTen(-6)
)

// entry is a line of the list.
type entry struct {
	code, symbol, name, ucum string
	factor                   Number
}

func build() []*Unit {
	var all []*Unit
	add := func(d Dimension, list ...entry) {
		for _, e := range list {
			symbol := strings.ReplaceAll(e.symbol, " ", NBSP)
			all = append(all, &Unit{Code: e.code, Symbol: symbol, Name: e.name, Dimension: d, Factor: e.factor, UCUM: e.ucum})
		}
	}
	dec := MustNumber
	one := NewInt(1)
	square := func(n Number) Number { return n.Mul(n) }
	cube := func(n Number) Number { return n.Mul(n).Mul(n) }
	over := func(a, b Number) Number { return a.Quo(b) }

	add(Length,
		entry{"mm", "mm", "millimetre", "mm", thousandth},
		entry{"m", "m", "metre", "m", one},
		entry{"cm", "cm", "centimetre", "cm", dec("0.01")},
		entry{"um", "µm", "micrometre", "um", millionth},
		entry{"nm", "nm", "nanometre", "nm", powerOfTen(-9)},
		entry{"km", "km", "kilometre", "km", NewInt(1000)},
		entry{"inch", "in", "inch", "[in_i]", inchInMetre},
		entry{"thou", "thou", "thousandth of an inch", "[mil_i]", inchInMetre.Mul(thousandth)},
		entry{"uin", "µin", "microinch", "10*-6.[in_i]", inchInMetre.Mul(millionth)},
		entry{"ft", "ft", "foot", "[ft_i]", footInMetre},
		entry{"yd", "yd", "yard", "[yd_i]", footInMetre.Mul(NewInt(3))},
	)
	add(Area,
		entry{"mm2", "mm²", "square millimetre", "mm2", millionth},
		entry{"cm2", "cm²", "square centimetre", "cm2", dec("0.0001")},
		entry{"m2", "m²", "square metre", "m2", one},
		entry{"in2", "in²", "square inch", "[sin_i]", square(inchInMetre)},
		entry{"ft2", "ft²", "square foot", "[sft_i]", square(footInMetre)},
	)
	add(Volume,
		entry{"L", "L", "litre", "L", thousandth},
		entry{"mL", "mL", "millilitre", "mL", millionth},
		entry{"cL", "cL", "centilitre", "cL", powerOfTen(-5)},
		entry{"uL", "µL", "microlitre", "uL", powerOfTen(-9)},
		entry{"m3", "m³", "cubic metre", "m3", one},
		entry{"dm3", "dm³", "cubic decimetre", "dm3", thousandth},
		entry{"cm3", "cm³", "cubic centimetre", "cm3", millionth},
		entry{"mm3", "mm³", "cubic millimetre", "mm3", powerOfTen(-9)},
		entry{"in3", "in³", "cubic inch", "[cin_i]", cube(inchInMetre)},
		entry{"ft3", "ft³", "cubic foot", "[cft_i]", cube(footInMetre)},
		entry{"gal", "gal (US)", "US gallon", "[gal_us]", gallon},
		entry{"qt", "qt (US)", "US quart", "[qt_us]", over(gallon, NewInt(4))},
		entry{"pt", "pt (US)", "US pint", "[pt_us]", over(gallon, NewInt(8))},
		entry{"fl-oz", "fl oz (US)", "US fluid ounce", "[foz_us]", over(gallon, NewInt(128))},
		entry{"gal-uk", "gal (UK)", "imperial gallon", "[gal_br]", dec("0.00454609")},
		entry{"pt-uk", "pt (UK)", "imperial pint", "[pt_br]", dec("0.00056826125")},
	)
	add(Mass,
		entry{"kg", "kg", "kilogram", "kg", one},
		entry{"g", "g", "gram", "g", thousandth},
		entry{"mg", "mg", "milligram", "mg", millionth},
		entry{"t", "t", "tonne", "t", NewInt(1000)},
		entry{"lb", "lb", "pound", "[lb_av]", poundInKilo},
		entry{"oz", "oz", "ounce", "[oz_av]", over(poundInKilo, NewInt(16))},
		entry{"grain", "gr", "grain", "[gr]", over(poundInKilo, NewInt(7000))},
	)
	add(Time,
		entry{"s", "s", "second", "s", one},
		entry{"ms", "ms", "millisecond", "ms", thousandth},
		entry{"min", "min", "minute", "min", minute},
		entry{"h", "h", "hour", "h", hour},
		entry{"d", "d", "day", "d", hour.Mul(NewInt(24))},
	)
	add(Speed,
		entry{"m/s", "m/s", "metre per second", "m/s", one},
		entry{"mm/s", "mm/s", "millimetre per second", "mm/s", thousandth},
		entry{"m/min", "m/min", "metre per minute", "m/min", over(one, minute)},
		entry{"mm/min", "mm/min", "millimetre per minute", "mm/min", over(thousandth, minute)},
		entry{"km/h", "km/h", "kilometre per hour", "km/h", over(NewInt(1000), hour)},
		entry{"ft/s", "ft/s", "foot per second", "[ft_i]/s", footInMetre},
		entry{"ft/min", "ft/min", "foot per minute", "[ft_i]/min", over(footInMetre, minute)},
		entry{"in/min", "in/min", "inch per minute", "[in_i]/min", over(inchInMetre, minute)},
	)
	add(Frequency,
		entry{"Hz", "Hz", "hertz", "Hz", one},
		entry{"kHz", "kHz", "kilohertz", "kHz", NewInt(1000)},
		entry{"MHz", "MHz", "megahertz", "MHz", NewInt(1_000_000)},
	)
	add(RotationSpeed,
		entry{"rpm", "rpm", "revolution per minute", "circ/min", over(one, minute)},
		entry{"rps", "r/s", "revolution per second", "circ/s", one},
		entry{"rad/s", "rad/s", "radian per second", "rad/s", over(one, pi.Mul(NewInt(2)))},
		entry{"deg/s", "°/s", "degree per second", "deg/s", NewFrac(1, 360)},
	)
	add(Flow,
		entry{"L/min", "L/min", "litre per minute", "L/min", over(thousandth, minute)},
		entry{"L/s", "L/s", "litre per second", "L/s", thousandth},
		entry{"L/h", "L/h", "litre per hour", "L/h", over(thousandth, hour)},
		entry{"mL/min", "mL/min", "millilitre per minute", "mL/min", over(millionth, minute)},
		entry{"m3/h", "m³/h", "cubic metre per hour", "m3/h", over(one, hour)},
		entry{"m3/min", "m³/min", "cubic metre per minute", "m3/min", over(one, minute)},
		entry{"m3/s", "m³/s", "cubic metre per second", "m3/s", one},
		entry{"gpm", "gal/min (US)", "US gallon per minute", "[gal_us]/min", over(gallon, minute)},
		entry{"cfm", "ft³/min", "cubic foot per minute", "[cft_i]/min", over(cube(footInMetre), minute)},
	)
	add(Angle,
		entry{"deg", "°", "degree", "deg", one},
		entry{"arcmin", "′", "minute of arc", "'", over(one, minute)},
		entry{"arcsec", "″", "second of arc", "''", over(one, hour)},
		entry{"rad", "rad", "radian", "rad", over(NewInt(180), pi)},
		entry{"mrad", "mrad", "milliradian", "mrad", over(dec("0.18"), pi)},
		entry{"rev", "r", "revolution", "circ", NewInt(360)},
	)
	add(Slope,
		entry{"mm/m", "mm/m", "millimetre per metre", "mm/m", one},
		entry{"um/m", "µm/m", "micrometre per metre", "um/m", thousandth},
		entry{"mm/100mm", "mm/100 mm", "millimetre per 100 millimetres", "mm/(100.mm)", NewInt(10)},
		entry{"in/ft", "in/ft", "inch per foot", "[in_i]/[ft_i]", over(inchInMetre, footInMetre).Mul(NewInt(1000))},
		entry{"thou/ft", "thou/ft", "thousandth of an inch per foot", "[mil_i]/[ft_i]", over(inchInMetre, footInMetre)},
		entry{"thou/inch", "thou/in", "thousandth of an inch per inch", "[mil_i]/[in_i]", one},
	)
	add(Ratio,
		entry{"%", "%", "per cent", "%", one},
		entry{"permille", "‰", "per thousand", "[ppth]", dec("0.1")},
		entry{"ppm", "ppm", "part per million", "[ppm]", dec("0.0001")},
	)
	add(Force,
		entry{"N", "N", "newton", "N", one},
		entry{"mN", "mN", "millinewton", "mN", thousandth},
		entry{"kN", "kN", "kilonewton", "kN", NewInt(1000)},
		entry{"MN", "MN", "meganewton", "MN", NewInt(1_000_000)},
		entry{"lbf", "lbf", "pound-force", "[lbf_av]", poundForce},
		entry{"ozf", "ozf", "ounce-force", "[oz_av].[g]", ounceForce},
		entry{"kip", "kip", "thousand pound-force", "10*3.[lbf_av]", poundForce.Mul(NewInt(1000))},
		entry{"kgf", "kgf", "kilogram-force", "kgf", gravity},
		entry{"gf", "gf", "gram-force", "gf", gravity.Mul(thousandth)},
	)
	add(Torque,
		entry{"N.m", "N·m", "newton metre", "N.m", one},
		entry{"mN.m", "mN·m", "millinewton metre", "mN.m", thousandth},
		entry{"kN.m", "kN·m", "kilonewton metre", "kN.m", NewInt(1000)},
		entry{"N.cm", "N·cm", "newton centimetre", "N.cm", dec("0.01")},
		entry{"N.mm", "N·mm", "newton millimetre", "N.mm", thousandth},
		entry{"lbf.ft", "lbf·ft", "pound-force foot", "[lbf_av].[ft_i]", poundForce.Mul(footInMetre)},
		entry{"lbf.in", "lbf·in", "pound-force inch", "[lbf_av].[in_i]", poundForce.Mul(inchInMetre)},
		entry{"ozf.in", "ozf·in", "ounce-force inch", "[oz_av].[g].[in_i]", ounceForce.Mul(inchInMetre)},
		entry{"kgf.m", "kgf·m", "kilogram-force metre", "kgf.m", gravity},
		entry{"kgf.cm", "kgf·cm", "kilogram-force centimetre", "kgf.cm", gravity.Mul(dec("0.01"))},
	)
	add(Pressure,
		entry{"bar", "bar", "bar", "bar", NewInt(100_000)},
		entry{"mbar", "mbar", "millibar", "mbar", NewInt(100)},
		entry{"Pa", "Pa", "pascal", "Pa", one},
		entry{"hPa", "hPa", "hectopascal", "hPa", NewInt(100)},
		entry{"kPa", "kPa", "kilopascal", "kPa", NewInt(1000)},
		entry{"MPa", "MPa", "megapascal", "MPa", NewInt(1_000_000)},
		entry{"GPa", "GPa", "gigapascal", "GPa", NewInt(1_000_000_000)},
		entry{"N/mm2", "N/mm²", "newton per square millimetre", "N/mm2", NewInt(1_000_000)},
		entry{"psi", "psi", "pound-force per square inch", "[psi]", over(poundForce, square(inchInMetre))},
		entry{"ksi", "ksi", "thousand pound-force per square inch", "10*3.[psi]", over(poundForce, square(inchInMetre)).Mul(NewInt(1000))},
		entry{"kgf/cm2", "kgf/cm²", "kilogram-force per square centimetre", "kgf/cm2", gravity.Mul(NewInt(10_000))},
		entry{"atm", "atm", "standard atmosphere", "atm", NewInt(101_325)},
		entry{"mmHg", "mmHg", "millimetre of mercury", "", mercury.Mul(thousandth)},
		entry{"inHg", "inHg", "inch of mercury", "", mercury.Mul(inchInMetre)},
		entry{"mmH2O", "mmH₂O", "millimetre of water", "mm[H2O]", gravity},
		entry{"inH2O", "inH₂O", "inch of water", "[in_i'H2O]", gravity.Mul(dec("25.4"))},
		entry{"mH2O", "mH₂O", "metre of water", "m[H2O]", gravity.Mul(NewInt(1000))},
	)
	add(Energy,
		entry{"J", "J", "joule", "J", one},
		entry{"kJ", "kJ", "kilojoule", "kJ", NewInt(1000)},
		entry{"MJ", "MJ", "megajoule", "MJ", NewInt(1_000_000)},
		entry{"Wh", "W·h", "watt hour", "W.h", hour},
		entry{"kWh", "kW·h", "kilowatt hour", "kW.h", hour.Mul(NewInt(1000))},
		entry{"ft.lbf", "ft·lbf", "foot pound-force", "[ft_i].[lbf_av]", poundForce.Mul(footInMetre)},
	)
	add(Power,
		entry{"W", "W", "watt", "W", one},
		entry{"mW", "mW", "milliwatt", "mW", thousandth},
		entry{"kW", "kW", "kilowatt", "kW", NewInt(1000)},
		entry{"MW", "MW", "megawatt", "MW", NewInt(1_000_000)},
		entry{"hp", "hp", "horsepower (550 ft·lbf/s)", "[HP]", poundForce.Mul(footInMetre).Mul(NewInt(550))},
		entry{"PS", "PS", "metric horsepower", "75.kgf.m/s", gravity.Mul(NewInt(75))},
	)
	add(Temperature,
		entry{"degC", "°C", "degree Celsius", "Cel", one},
		entry{"K", "K", "kelvin", "K", one},
		entry{"degF", "°F", "degree Fahrenheit", "[degF]", NewFrac(5, 9)},
	)
	add(Expansion,
		entry{"um/m/K", "µm/(m·K)", "micrometre per metre and kelvin", "um/m/K", millionth},
		entry{"mm/m/K", "mm/(m·K)", "millimetre per metre and kelvin", "mm/m/K", thousandth},
		entry{"ppm/K", "ppm/K", "part per million per kelvin", "[ppm]/K", millionth},
		entry{"per-K", "K⁻¹", "per kelvin", "K-1", one},
		entry{"uin/inch/degF", "µin/(in·°F)", "microinch per inch and degree Fahrenheit", "", over(millionth.Mul(NewInt(9)), NewInt(5))},
	)
	add(DynamicViscosity,
		entry{"Pa.s", "Pa·s", "pascal second", "Pa.s", one},
		entry{"mPa.s", "mPa·s", "millipascal second", "mPa.s", thousandth},
		entry{"P", "P", "poise", "P", dec("0.1")},
		entry{"cP", "cP", "centipoise", "cP", thousandth},
	)
	add(Viscosity,
		entry{"mm2/s", "mm²/s", "square millimetre per second", "mm2/s", millionth},
		entry{"m2/s", "m²/s", "square metre per second", "m2/s", one},
		entry{"cm2/s", "cm²/s", "square centimetre per second", "cm2/s", dec("0.0001")},
		entry{"St", "St", "stokes", "St", dec("0.0001")},
		entry{"cSt", "cSt", "centistokes", "cSt", millionth},
	)
	// A drawing writes Ra 0.8; the unit carries the parameter, so that a mean
	// height is never compared with a depth (ISO 21920-2).
	add(Roughness,
		entry{"um.Ra", "µm Ra", "micrometre, mean height Ra", "um", one},
		entry{"uin.Ra", "µin Ra", "microinch, mean height Ra", "10*-6.[in_i]", dec("0.0254")},
	)
	add(RoughnessDepth,
		entry{"um.Rz", "µm Rz", "micrometre, depth Rz", "um", one},
		entry{"uin.Rz", "µin Rz", "microinch, depth Rz", "10*-6.[in_i]", dec("0.0254")},
	)
	add(Voltage,
		entry{"V", "V", "volt", "V", one},
		entry{"mV", "mV", "millivolt", "mV", thousandth},
		entry{"uV", "µV", "microvolt", "uV", millionth},
		entry{"kV", "kV", "kilovolt", "kV", NewInt(1000)},
	)
	add(Current,
		entry{"A", "A", "ampere", "A", one},
		entry{"mA", "mA", "milliampere", "mA", thousandth},
		entry{"uA", "µA", "microampere", "uA", millionth},
		entry{"kA", "kA", "kiloampere", "kA", NewInt(1000)},
	)
	add(Resistance,
		entry{"ohm", "Ω", "ohm", "Ohm", one},
		entry{"uohm", "µΩ", "microhm", "uOhm", millionth},
		entry{"mohm", "mΩ", "milliohm", "mOhm", thousandth},
		entry{"kohm", "kΩ", "kilohm", "kOhm", NewInt(1000)},
		entry{"Mohm", "MΩ", "megohm", "MOhm", NewInt(1_000_000)},
		entry{"Gohm", "GΩ", "gigohm", "GOhm", NewInt(1_000_000_000)},
		entry{"Tohm", "TΩ", "teraohm", "TOhm", powerOfTen(12)},
	)
	add(Density,
		entry{"kg/m3", "kg/m³", "kilogram per cubic metre", "kg/m3", one},
		entry{"g/cm3", "g/cm³", "gram per cubic centimetre", "g/cm3", NewInt(1000)},
		entry{"kg/L", "kg/L", "kilogram per litre", "kg/L", NewInt(1000)},
	)
	for _, u := range all {
		switch u.Code {
		case "degC":
			u.Offset = dec("273.15")
		case "degF":
			u.Offset = dec("459.67").Mul(NewFrac(5, 9))
		}
	}
	return all
}

// spoken maps what people write to the code of this list; keys are folded as
// Nearest folds them. Every spelling here is a common one, none a guess.
var spoken = map[string]string{
	"in": "inch", "\"": "inch", "inches": "inch", "in.": "inch", "''": "inch",
	"millimetre": "mm", "millimeter": "mm", "millimetres": "mm", "millimeters": "mm", "MM": "mm", "Mm": "mm",
	"metre": "m", "meter": "m", "metres": "m", "meters": "m", "cms": "cm",
	"micron": "um", "microns": "um", "micrometre": "um", "micrometer": "um",
	"mil": "thou", "mils": "thou", "feet": "ft", "foot": "ft", "'": "ft", "yard": "yd", "yards": "yd",
	"sqmm": "mm2", "sqin": "in2", "inch2": "in2", "inch3": "in3", "cuin": "in3", "ccm": "cm3", "cc": "cm3",
	"l": "L", "litre": "L", "liter": "L", "litres": "L", "liters": "L", "ltr": "L", "ml": "mL", "cl": "cL", "ul": "uL",
	"gallon": "gal", "gallons": "gal", "USgal": "gal", "floz": "fl-oz",
	"gm": "g", "gr": "grain", "grams": "g", "gram": "g", "kgs": "kg", "kilo": "kg", "kilos": "kg", "Kg": "kg", "KG": "kg", "lbs": "lb", "tonne": "t", "ounce": "oz",
	"sec": "s", "secs": "s", "second": "s", "seconds": "s", "mins": "min", "minute": "min", "minutes": "min",
	"hr": "h", "hrs": "h", "hour": "h", "hours": "h", "day": "d", "days": "d", "msec": "ms",
	"mps": "m/s", "kph": "km/h", "kmh": "km/h", "fpm": "ft/min", "sfm": "ft/min", "ipm": "in/min", "ft/m": "ft/min",
	"hz": "Hz", "HZ": "Hz", "khz": "kHz", "Khz": "kHz", "hertz": "Hz",
	"1/min": "rpm", "min-1": "rpm", "/min": "rpm", "r/min": "rpm", "rev/min": "rpm", "RPM": "rpm", "U/min": "rpm", "1/s": "rps", "r/s": "rps",
	"l/min": "L/min", "lpm": "L/min", "l/s": "L/s", "l/h": "L/h", "ml/min": "mL/min", "gal/min": "gpm", "GPM": "gpm", "ft3/min": "cfm", "CFM": "cfm", "m3/hr": "m3/h", "cum/h": "m3/h",
	"°": "deg", "degree": "deg", "degrees": "deg", "turn": "rev", "turns": "rev",
	"mm/metre": "mm/m", "mm/meter": "mm/m", "mm/mtr": "mm/m", "um/metre": "um/m", "um/meter": "um/m", "mm/100": "mm/100mm", "inch/ft": "in/ft", "in/foot": "in/ft", "inch/foot": "in/ft",
	"thou/in": "thou/inch", "mil/in": "thou/inch", "mils/in": "thou/inch", "mil/inch": "thou/inch", "mils/inch": "thou/inch", "mil/ft": "thou/ft", "mils/ft": "thou/ft", "thou/foot": "thou/ft",
	"percent": "%", "pct": "%", "‰": "permille",
	"newton": "N", "newtons": "N", "kp": "kgf", "KN": "kN", "lbsf": "lbf",
	"Nm": "N.m", "NM": "N.m", "N-m": "N.m", "n.m": "N.m", "Nxm": "N.m", "newton.metre": "N.m", "mNm": "mN.m", "kNm": "kN.m", "Ncm": "N.cm", "Nmm": "N.mm",
	"ftlb": "lbf.ft", "ft.lb": "lbf.ft", "ft-lb": "lbf.ft", "ft-lbs": "lbf.ft", "ftlbs": "lbf.ft", "lbft": "lbf.ft", "lb.ft": "lbf.ft", "lb-ft": "lbf.ft", "lbfft": "lbf.ft", "lbf-ft": "lbf.ft",
	"inlb": "lbf.in", "in.lb": "lbf.in", "in-lb": "lbf.in", "in-lbs": "lbf.in", "lb.in": "lbf.in", "lb-in": "lbf.in", "lbin": "lbf.in", "lbfin": "lbf.in", "lbf-in": "lbf.in", "lbf.inch": "lbf.in",
	"ozin": "ozf.in", "oz.in": "ozf.in", "oz-in": "ozf.in", "in-oz": "ozf.in", "kgm": "kgf.m", "kpm": "kgf.m", "kgcm": "kgf.cm", "kg.cm": "kgf.cm", "kg.m": "kgf.m",
	"bars": "bar", "Bar": "bar", "BAR": "bar", "barg": "bar", "mbars": "mbar", "pa": "Pa", "PA": "Pa", "kpa": "kPa", "KPa": "kPa", "Kpa": "kPa", "hpa": "hPa", "mpa": "MPa", "Mpa": "MPa", "mPa": "MPa",
	"PSI": "psi", "lb/in2": "psi", "lbf/in2": "psi", "psig": "psi", "at": "kgf/cm2", "torr": "mmHg", "Torr": "mmHg", "mmhg": "mmHg", "mmWS": "mmH2O", "mWS": "mH2O", "mWC": "mH2O",
	"j": "J", "joule": "J", "kj": "kJ", "kwh": "kWh", "KWh": "kWh", "kW.h": "kWh", "W.h": "Wh",
	"w": "W", "watt": "W", "watts": "W", "kw": "kW", "KW": "kW", "HP": "hp", "bhp": "hp",
	"°C": "degC", "C": "degC", "c": "degC", "Cel": "degC", "celsius": "degC", "Celsius": "degC", "centigrade": "degC", "deg-C": "degC", "degc": "degC", "DegC": "degC",
	"°F": "degF", "F": "degF", "fahrenheit": "degF", "Fahrenheit": "degF", "deg-F": "degF", "degf": "degF", "DegF": "degF", "k": "K", "°K": "K", "kelvin": "K", "degK": "K",
	"1/K": "per-K", "/K": "per-K", "K-1": "per-K", "um/mK": "um/m/K", "um/(m.K)": "um/m/K", "um/m.K": "um/m/K", "um/m/degC": "um/m/K", "ppm/degC": "ppm/K", "um/m/°C": "um/m/K",
	"mPas": "mPa.s", "Pas": "Pa.s", "cp": "cP", "cst": "cSt", "CST": "cSt",
	"Ra": "um.Ra", "umRa": "um.Ra", "Rz": "um.Rz", "umRz": "um.Rz", "uinRa": "uin.Ra",
	"v": "V", "volt": "V", "volts": "V", "kv": "kV", "KV": "kV", "mv": "mV", "VAC": "V", "VDC": "V", "Vac": "V", "Vdc": "V",
	"a": "A", "amp": "A", "amps": "A", "ampere": "A", "ma": "mA",
	"Ω": "ohm", "Ohm": "ohm", "ohms": "ohm", "Ohms": "ohm", "OHM": "ohm", "mΩ": "mohm", "kΩ": "kohm", "MΩ": "Mohm", "GΩ": "Gohm", "uΩ": "uohm", "TΩ": "Tohm",
	"mOhm": "mohm", "kOhm": "kohm", "MOhm": "Mohm", "GOhm": "Gohm", "megohm": "Mohm", "Mohms": "Mohm", "kohms": "kohm", "milliohm": "mohm",
	"kg/dm3": "kg/L", "g/cc": "g/cm3", "g/ml": "g/cm3",
}
