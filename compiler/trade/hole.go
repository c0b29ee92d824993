package trade

import (
	"sync"

	"benchproof/compiler/quantity"
)

// Hole is what must be drilled before a thread is tapped. All in mm.
type Hole struct {
	SizeLimits                  // what the hole may measure
	Recommended quantity.Number // the tapping drill of the table; zero where the table has none
	Source      string          // where the limits come from
}

var (
	drillTable  = sync.OnceValue(func() map[string]quantity.Number { return drills("drills") })
	insertTable = sync.OnceValue(func() map[string]quantity.Number { return drills("inserts") })
)

func drills(name string) map[string]quantity.Number {
	t := load(name)
	out := make(map[string]quantity.Number, len(t.rows))
	for i := range t.rows {
		out[t.text(i, "thread")] = t.must(i, "drill")
	}
	return out
}

// TappingHole says what to drill before a thread is cut: the minor diameter
// limits of ISO 965-1 in the thread's class (the usual one where it names
// none), and the drill that ISO 2306 and DIN 336 recommend.
func TappingHole(t Thread) (Hole, error) {
	l, err := t.MinorLimits("")
	if err != nil {
		return Hole{}, err
	}
	class := t.Class
	if class == "" {
		class = t.UsualClass()
	}
	return Hole{
		SizeLimits:  l,
		Recommended: drillTable()[bare(t).String()],
		Source:      "ISO 965-1 minor diameter limits, class " + class,
	}, nil
}

// InsertHole says what to drill before the thread of a wire thread insert (EG,
// also called STI) is tapped: the minor limits of DIN 8140-2, from d + 0.2165 P
// upwards by the minor diameter tolerance of grade 5 of ISO 965-1, and the drill
// in common use. Thread inserts are not made for pitches below 0.25 mm.
func InsertHole(t Thread) (Hole, error) {
	tol, ok := pitchTable().number(pitchRow(t.Pitch), "TD1_5")
	if !ok {
		return Hole{}, &UnknownError{Found: t.String(), Expected: "a thread with a pitch of at least 0.25 mm: thread inserts are not made for finer ones"}
	}
	low := t.Diameter.Add(t.Pitch.Mul(insertShare.Sub(minorShare))).Round(3)
	return Hole{
		SizeLimits:  SizeLimits{Lower: low, Upper: low.Add(micrometres(tol))},
		Recommended: insertTable()[bare(t).String()],
		Source:      "DIN 8140-2 minor diameter limits of EG " + bare(t).String(),
	}, nil
}

// The thread that takes an insert is larger by twice the height of the insert's
// wire profile: D_EG = d + 2·0.649519 P.
var insertShare = quantity.MustNumber("1.299038105676658")

// InsertMajor is the basic major diameter in mm, to 0.001, of the thread that
// takes a wire thread insert (DIN 8140-2; STI in ASME B18.29.2M).
func InsertMajor(t Thread) quantity.Number {
	return t.Diameter.Add(t.Pitch.Mul(insertShare)).Round(3)
}

func bare(t Thread) Thread {
	t.Class = ""
	return t
}

// Engagement is the height of the thread that a tapping drill leaves, in per
// cent of the basic height 5/8 H of ISO 68-1 (not of the 3/4 H of some tables):
// 100 (d − drill) / (1.082532 P). Drill in mm.
func Engagement(t Thread, drill quantity.Number) quantity.Number {
	return quantity.NewInt(100).Mul(t.Diameter.Sub(drill)).Quo(t.Pitch.Mul(minorShare))
}

// BlindOverhang is how far a blind hole must go beyond the last full thread, in
// mm: e1, regular run-out, DIN 76-1 (from memory, by pitch). False for a pitch
// that the standard does not list.
func BlindOverhang(t Thread) (quantity.Number, bool) {
	return pitchTable().number(pitchRow(t.Pitch), "e1")
}

// LeadOverhang is the same where the tap's lead is stated: the lead and one
// thread more (common practice). Lead in threads, result in mm.
func LeadOverhang(t Thread, lead quantity.Number) quantity.Number {
	return lead.Add(quantity.NewInt(1)).Mul(t.Pitch)
}

// OverhangShare is the share of the thread depth to add to a blind hole by the
// rule of thumb of BS 1936: 1/4 below 6 mm, 1/5 to 12 mm, 0.15 above.
func OverhangShare(t Thread) quantity.Number {
	switch {
	case t.Diameter.Cmp(quantity.NewInt(6)) < 0:
		return quantity.NewFrac(1, 4)
	case t.Diameter.Cmp(quantity.NewInt(12)) <= 0:
		return quantity.NewFrac(1, 5)
	}
	return quantity.NewFrac(3, 20)
}

// InsertDepths are the least depths in mm for a wire thread insert of the given
// installed length, ASME B18.29.2M: what is tapped (length and one pitch) and
// what is drilled. A plug tap needs six pitches more than the length, and half
// the diameter besides up to 8 mm; a bottoming tap four pitches.
func InsertDepths(t Thread, length quantity.Number, bottoming bool) (tapped, drilled quantity.Number) {
	tapped = length.Add(t.Pitch)
	if bottoming {
		return tapped, length.Add(t.Pitch.Mul(quantity.NewInt(4)))
	}
	drilled = length.Add(t.Pitch.Mul(quantity.NewInt(6)))
	if t.Diameter.Cmp(quantity.NewInt(8)) <= 0 {
		drilled = drilled.Add(t.Diameter.Quo(quantity.NewInt(2)))
	}
	return tapped, drilled
}

// Chamfer is the lead of a form of tap, in pitches.
type Chamfer struct {
	Form      string // A to F (DIN 2197, ISO 8830), or taper, plug, modified bottoming, bottoming (ASME B94.9)
	Low, High quantity.Number
	Use       string
}

// Chamfers lists the forms of tap leads.
func Chamfers() []Chamfer {
	t := load("chamfers")
	var out []Chamfer
	for i := range t.rows {
		out = append(out, Chamfer{Form: t.text(i, "form"), Low: t.must(i, "low"), High: t.must(i, "high"), Use: t.text(i, "use")})
	}
	return out
}

// PointLength is the height in mm of a drill's point: diameter / 2 / tan(angle/2).
// The angles that drills are ground to are known: 118°, 130°, 135° and 140°.
func PointLength(diameter quantity.Number, angle int) (quantity.Number, bool) {
	cot, ok := halfCotangent[angle]
	if !ok {
		return quantity.Number{}, false
	}
	return diameter.Mul(cot), true
}

// half the cotangent of half the point angle
var halfCotangent = map[int]quantity.Number{
	118: quantity.MustNumber("0.300430309513780"),
	130: quantity.MustNumber("0.233153829077499"),
	135: quantity.MustNumber("0.207106781186548"),
	140: quantity.MustNumber("0.181985117133101"),
}
