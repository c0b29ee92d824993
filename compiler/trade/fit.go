package trade

import (
	"strings"
	"sync"

	"benchproof/compiler/quantity"
)

var (
	gradeTable     = sync.OnceValue(func() table { return load("it") })
	deviationTable = sync.OnceValue(func() table { return load("deviations") })
	generalTable   = sync.OnceValue(func() table { return load("general") })
)

// ToleranceClass is a class of ISO 286: a fundamental deviation and a grade.
type ToleranceClass struct {
	Hole      bool   // capital letters
	Deviation string // in lower case: k, js, zc
	Grade     string // 01, 0, 1 to 18
}

func (c ToleranceClass) String() string {
	if c.Hole {
		return strings.ToUpper(c.Deviation) + c.Grade
	}
	return c.Deviation + c.Grade
}

// Letters in the order of ISO 286, and how their deviation is found.
var deviations = []string{"a", "b", "c", "cd", "d", "e", "ef", "f", "fg", "g", "h", "js", "j", "k", "m", "n", "p", "r", "s", "t", "u", "v", "x", "y", "z", "za", "zb", "zc"}

var grades = []string{"01", "0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "10", "11", "12", "13", "14", "15", "16", "17", "18"}

// ParseToleranceClass reads a class such as k6, H7, JS9 or zc8. Small letters are
// shafts, capitals holes. The error is an *UnknownError.
func ParseToleranceClass(class string) (ToleranceClass, error) {
	letters := strings.TrimRight(class, "0123456789")
	c := ToleranceClass{Deviation: strings.ToLower(letters), Grade: class[len(letters):]}
	switch letters {
	case strings.ToUpper(letters):
		c.Hole = true
	case c.Deviation:
	default:
		return ToleranceClass{}, &UnknownError{Found: class, Expected: "a tolerance class of ISO 286 in small letters for a shaft or capitals for a hole", Near: known([]string{c.Deviation + c.Grade, strings.ToUpper(letters) + c.Grade})}
	}
	if letters == "" || !has(deviations, c.Deviation) {
		return ToleranceClass{}, &UnknownError{Found: class, Expected: "a tolerance class of ISO 286 such as k6 or H7: letters a to zc or A to ZC, without i, l, o, q and w"}
	}
	if !has(grades, c.Grade) {
		return ToleranceClass{}, &UnknownError{Found: class, Expected: "a grade of ISO 286 from 01 to 18 behind the letter, such as " + letters + "7"}
	}
	return c, nil
}

// known keeps the candidates that ParseToleranceClass accepts.
func known(names []string) []string {
	var out []string
	for _, n := range names {
		if _, err := ParseToleranceClass(n); err == nil {
			out = append(out, n)
		}
	}
	return out
}

// rank is the place of a grade in the order IT01, IT0, IT1 … so that grades
// compare: IT01 is −1, IT0 is 0, IT7 is 7.
func rank(grade string) int {
	for i, g := range grades {
		if g == grade {
			return i - 1
		}
	}
	return -2
}

// StandardTolerance is the width in um of a standard tolerance grade (01, 0, 1
// to 18) at a nominal size in mm: ISO 286-1 table 1.
func StandardTolerance(nominal quantity.Number, grade string) (quantity.Number, error) {
	row, ok := gradeTable().span(nominal)
	if !ok {
		return quantity.Number{}, outOfRange(nominal)
	}
	if !has(grades, grade) {
		return quantity.Number{}, &UnknownError{Found: "IT" + grade, Expected: "a grade of ISO 286 from IT01 to IT18"}
	}
	if rank(grade) >= 14 && nominal.Cmp(quantity.NewInt(1)) <= 0 {
		return quantity.Number{}, &UnknownError{Found: "IT" + grade + " at " + nominal.String() + " mm", Expected: "a grade up to IT13: ISO 286 has no others up to 1 mm"}
	}
	it, ok := gradeTable().number(row, "IT"+grade)
	if !ok {
		return quantity.Number{}, &UnknownError{Found: "IT" + grade + " at " + nominal.String() + " mm", Expected: "a grade from IT1 on: ISO 286 has no others over 500 mm"}
	}
	return it, nil
}

func outOfRange(nominal quantity.Number) error {
	return &UnknownError{Found: nominal.String() + " mm", Expected: "a nominal size above 0 and up to 3150 mm: ISO 286 has no others"}
}

// Deviations are the limit deviations of a class at a nominal size in mm: lower
// and upper, in um, ISO 286-1 and the tables of ISO 286-2.
func Deviations(nominal quantity.Number, class string) (lower, upper quantity.Number, err error) {
	c, err := ParseToleranceClass(class)
	if err != nil {
		return lower, upper, err
	}
	it, err := StandardTolerance(nominal, c.Grade)
	if err != nil {
		return lower, upper, err
	}
	if c.Deviation == "js" {
		half := it.Quo(quantity.NewInt(2))
		return half.Neg(), half, nil
	}
	row, ok := deviationTable().span(nominal)
	if !ok {
		return lower, upper, outOfRange(nominal)
	}
	d := deviation{nominal: nominal, class: c, rank: rank(c.Grade), row: row}
	if c.Hole {
		return d.hole(it)
	}
	return d.shaft(it)
}

// deviation is one look-up of a fundamental deviation.
type deviation struct {
	nominal quantity.Number
	class   ToleranceClass
	rank    int
	row     int
}

// below reports whether the letter lies on the clearance side: a to h.
func (d deviation) below() bool { return d.class.Deviation <= "h" }

// shaft returns ei and es.
func (d deviation) shaft(it quantity.Number) (lower, upper quantity.Number, err error) {
	switch {
	case d.class.Deviation == "h":
		return it.Neg(), quantity.Number{}, nil
	case d.below():
		v, err := d.tabulated(d.class.Deviation)
		return v.Neg().Sub(it), v.Neg(), err
	case d.class.Deviation == "j":
		column := map[int]string{5: "j5", 6: "j5", 7: "j7", 8: "j8"}[d.rank]
		v, err := d.grade(column, "j5, j6 and j7, and j8 up to 3 mm")
		return v.Neg(), it.Sub(v), err
	case d.class.Deviation == "k" && (d.rank < 4 || d.rank > 7):
		return quantity.Number{}, it, nil
	}
	v, err := d.tabulated(d.class.Deviation)
	return v, v.Add(it), err
}

// hole returns EI and ES. Holes mirror shafts, but for K, M and N to grade 8 and
// P to ZC to grade 7 the upper deviation is larger by Δ, the step from the next
// finer grade, so that H7/p6 and P7/h6 are the same fit (ISO 286-1, 4.1.2.5).
func (d deviation) hole(it quantity.Number) (lower, upper quantity.Number, err error) {
	small := d.nominal.Cmp(quantity.NewInt(3)) <= 0
	large := d.nominal.Cmp(quantity.NewInt(500)) > 0
	switch letter := d.class.Deviation; {
	case letter == "h":
		return quantity.Number{}, it, nil
	case d.below():
		v, err := d.tabulated(letter)
		return v, v.Add(it), err
	case letter == "j":
		column := map[int]string{6: "J6", 7: "J7", 8: "J8"}[d.rank]
		v, err := d.grade(column, "J6, J7 and J8")
		return v.Sub(it), v, err
	case letter == "n" && d.rank > 8 && !small && !large, letter == "k" && d.rank > 8:
		return it.Neg(), quantity.Number{}, nil
	case letter == "n" && d.rank > 8 && d.nominal.Cmp(quantity.NewInt(1)) <= 0:
		return lower, upper, d.missing("a grade up to 8: ISO 286 has no others of N up to 1 mm")
	}
	v, err := d.tabulated(d.class.Deviation)
	if err != nil {
		return lower, upper, err
	}
	upper = v.Neg()
	finest := 7
	if d.class.Deviation == "k" || d.class.Deviation == "m" || d.class.Deviation == "n" {
		finest = 8
	}
	if d.rank <= finest && !small && !large {
		if d.rank < 3 {
			return lower, upper, d.missing("a grade from 3 on: ISO 286 tabulates no others of this letter")
		}
		finer, err := StandardTolerance(d.nominal, grades[d.rank]) // grades starts at IT01: index rank is one grade finer
		if err != nil {
			return lower, upper, err
		}
		upper = upper.Add(it.Sub(finer))
	}
	// ISO 286-1 table 3, note on M6: over 250 up to 315 mm ES is −9 instead of −11.
	if d.class.Deviation == "m" && d.rank == 6 && d.nominal.Cmp(quantity.NewInt(250)) > 0 && d.nominal.Cmp(quantity.NewInt(315)) <= 0 {
		upper = quantity.NewInt(-9)
	}
	return upper.Sub(it), upper, nil
}

// tabulated reads a letter's column.
func (d deviation) tabulated(column string) (quantity.Number, error) {
	if (column == "a" || column == "b") && d.nominal.Cmp(quantity.NewInt(1)) <= 0 {
		return quantity.Number{}, d.missing("another letter: ISO 286 has no a and b up to 1 mm")
	}
	return d.cell(column, "a class that ISO 286 tabulates at "+d.nominal.String()+" mm: "+d.available())
}

// grade reads one of the columns that exist for single grades only.
func (d deviation) grade(column, there string) (quantity.Number, error) {
	const expected = "one of the classes ISO 286 has of this letter: "
	if column == "" {
		return quantity.Number{}, d.missing(expected + there)
	}
	return d.cell(column, expected+there)
}

func (d deviation) cell(column, expected string) (quantity.Number, error) {
	v, ok := deviationTable().number(d.row, column)
	if !ok {
		return quantity.Number{}, d.missing(expected)
	}
	return v, nil
}

func (d deviation) missing(expected string) error {
	return &UnknownError{Found: d.class.String() + " at " + d.nominal.String() + " mm", Expected: expected}
}

// available lists the letters with a value in this range of sizes.
func (d deviation) available() string {
	var names []string
	for _, l := range deviations {
		switch l {
		case "h", "js":
		case "j":
			if _, ok := deviationTable().number(d.row, "j5"); !ok {
				continue
			}
		default:
			if _, ok := deviationTable().number(d.row, l); !ok {
				continue
			}
		}
		if d.class.Hole {
			l = strings.ToUpper(l)
		}
		names = append(names, l)
	}
	return "the letters are " + list(names)
}

// Limits are the limits of size in mm of a nominal size in mm and a class of
// ISO 286, both in: Limits(25, "k6") is 25.002 to 25.015.
func Limits(nominal quantity.Number, class string) (lower, upper quantity.Number, err error) {
	lower, upper, err = Deviations(nominal, class)
	if err != nil {
		return lower, upper, err
	}
	return nominal.Add(micrometres(lower)), nominal.Add(micrometres(upper)), nil
}

// FitKind is the kind of fit between a hole and a shaft.
type FitKind int

// The kinds of fit of ISO 286-1.
const (
	Clearance    FitKind = iota // never tighter than line to line
	Transition                  // either way
	Interference                // never looser than line to line
)

func (k FitKind) String() string { return [...]string{"clearance", "transition", "interference"}[k] }

// Fit is a hole and a shaft together.
type Fit struct {
	Hole, Shaft SizeLimits
	// Loosest and Tightest are the clearances in mm at the extremes; a negative
	// clearance is an interference.
	Loosest, Tightest quantity.Number
	Kind              FitKind
}

// NewFit finds the limits of a hole and a shaft class at a nominal size in mm.
func NewFit(nominal quantity.Number, hole, shaft string) (Fit, error) {
	for _, x := range []struct {
		class string
		hole  bool
		want  string
	}{{hole, true, "a hole's class, in capitals such as H7"}, {shaft, false, "a shaft's class, in small letters such as k6"}} {
		c, err := ParseToleranceClass(x.class)
		if err != nil {
			return Fit{}, err
		}
		if c.Hole != x.hole {
			return Fit{}, &UnknownError{Found: x.class, Expected: x.want}
		}
	}
	f := Fit{Kind: Transition}
	var err error
	if f.Hole.Lower, f.Hole.Upper, err = Limits(nominal, hole); err != nil {
		return Fit{}, err
	}
	if f.Shaft.Lower, f.Shaft.Upper, err = Limits(nominal, shaft); err != nil {
		return Fit{}, err
	}
	f.Loosest, f.Tightest = f.Hole.Upper.Sub(f.Shaft.Lower), f.Hole.Lower.Sub(f.Shaft.Upper)
	switch {
	case f.Tightest.Sign() >= 0:
		f.Kind = Clearance
	case f.Loosest.Sign() <= 0:
		f.Kind = Interference
	}
	return f, nil
}

// GeneralTolerance is the permissible deviation, plus and minus in mm, of a
// dimension without one of its own: ISO 2768-1 table 1, classes f, m, c, v.
func GeneralTolerance(nominal quantity.Number, class string) (quantity.Number, bool) {
	if !has(generalTable().header[2:], class) {
		return quantity.Number{}, false
	}
	// The first range has its lower end in.
	if nominal.Equal(quantity.NewFrac(1, 2)) {
		return generalTable().number(0, class)
	}
	row, ok := generalTable().span(nominal)
	if !ok {
		return quantity.Number{}, false
	}
	return generalTable().number(row, class)
}

// GeneralRunOut is the circular run-out in mm of a part that states none: ISO
// 2768-2:1989 table 4, classes H, K, L (withdrawn in 2021, still on drawings).
func GeneralRunOut(class string) (quantity.Number, bool) {
	switch class {
	case "H":
		return quantity.NewFrac(1, 10), true
	case "K":
		return quantity.NewFrac(1, 5), true
	case "L":
		return quantity.NewFrac(1, 2), true
	}
	return quantity.Number{}, false
}
