package record

import (
	"cmp"
	"math/big"
	"slices"
	"strings"

	"benchproof/compiler/quantity"
)

// Sums are what many records say of each reading.
type Sums struct {
	// Series stand in the order of document number, then of the work.
	Series []*Series
	// Records is how many were summed, ToLookAt how many of them are not in order.
	Records, ToLookAt int
	// Superseded are files of a job that was saved again later with more entries.
	Superseded []string
	// Untold is how many takings have no value that can be told.
	Untold int
}

// A Series is a reading of a document over all records, in order of time.
type Series struct {
	Document, Number, Title string
	Name, Reading, Unit     string
	Step                    int
	// Places are the decimals of the finest value.
	Places int
	Points []Point
	Total  Row
	// ByMember and ByInstrument are the same for parts of it, where there is
	// more than one part.
	ByMember, ByInstrument []Row
	// Limits and Drawn are those that all points have in common, else nil; Several
	// is set where points were held to different limits.
	Limits, Drawn *Limits
	Several       bool
	Signals       []Signal
}

// A Point is one value.
type Point struct {
	At, Value, Job, Member, Instrument, Who, File, Revision string
	Step                                                    int
	// Turn is that of the value; Turns is how many takings of it the record has.
	Turn    string
	Turns   int
	Verdict string
	Limits  *Limits
	Number  quantity.Number
	drawn   *Limits
	places  int
}

// A Row is the sums of some values: exact decimals, mean and spread rounded to
// two decimals more than the finest value has, halves to even (ISO 80000-1,
// rule A). Spread is the sample standard deviation, the root of the sum of
// squares about the mean over n − 1; it is empty for fewer than two values.
type Row struct {
	Of             string // the member or instrument; empty: all
	Records, Count int
	// Turns is how many takings there were, those of turns before the last with them.
	Turns                              int
	Mean, Spread, Least, Most, Median  string
	Outside, Judged                    int // outside limits, of those that have limits
	MedianNumber, LeastNumber, MostNum quantity.Number
}

// Sum puts the readings of many records together. A job that was saved more
// than once counts once, with the record that has most entries. A reading that a
// repeat takes again and again counts with its last taking, which is the one that
// decides, or, where every is set, with each.
func (b *Batch) Sum(every bool) *Sums {
	out := &Sums{}
	latest := map[string]*Report{}
	for _, r := range b.Records {
		id := r.key + r.began
		if have := latest[id]; have == nil || r.began != "" && r.entries >= have.entries {
			latest[id] = r
		}
	}
	index := map[[3]string]*Series{}
	for _, r := range b.Records {
		if latest[r.key+r.began] != r && r.began != "" {
			out.Superseded = append(out.Superseded, r.File)
			continue
		}
		out.Records++
		if !r.InOrder {
			out.ToLookAt++
		}
		last, turns := lastTakings(r)
		for i := range r.Readings {
			t := &r.Readings[i]
			place := placeOf(t)
			if !every && last[place] != i {
				continue
			}
			if !t.known {
				out.Untold++
				continue
			}
			key := [3]string{r.Document.Name, t.Name, t.Unit}
			s := index[key]
			if s == nil {
				s = &Series{Document: r.Document.Name, Number: r.Document.Number, Title: r.Document.Title, Name: t.Name, Reading: t.Title, Unit: t.Unit, Step: t.Step}
				index[key] = s
				out.Series = append(out.Series, s)
			}
			p := pointOf(r, t)
			if p.Turns = 1; !every {
				p.Turns = turns[place]
			}
			s.Points = append(s.Points, p)
		}
	}
	slices.SortStableFunc(out.Series, func(a, b *Series) int {
		return cmp.Or(strings.Compare(a.Number, b.Number), strings.Compare(a.Document, b.Document), cmp.Compare(a.Step, b.Step), strings.Compare(a.Name, b.Name), strings.Compare(a.Unit, b.Unit))
	})
	for _, s := range out.Series {
		s.finish()
	}
	return out
}

// A takingPlace is where a reading is taken: in as many turns as there are.
type takingPlace struct {
	step       int
	name, unit string
}

func placeOf(t *Taking) takingPlace { return takingPlace{t.Step, t.Name, t.Unit} }

// lastTakings gives the index of the last taking at each place, and how many
// there are.
func lastTakings(r *Report) (last, turns map[takingPlace]int) {
	last, turns = map[takingPlace]int{}, map[takingPlace]int{}
	for i := range r.Readings {
		t := &r.Readings[i]
		at := placeOf(t)
		if have, known := last[at]; !known || !turnBefore(t.Turn, r.Readings[have].Turn) {
			last[at] = i
		}
		turns[at]++
	}
	return last, turns
}

// turnBefore tells whether a turn, "2.10", comes before another.
func turnBefore(a, b string) bool {
	x, y := strings.Split(a, "."), strings.Split(b, ".")
	for i := 0; i < len(x) && i < len(y); i++ {
		if n := cmp.Or(cmp.Compare(len(x[i]), len(y[i])), strings.Compare(x[i], y[i])); n != 0 {
			return n < 0
		}
	}
	return len(x) < len(y)
}

func pointOf(r *Report, t *Taking) Point {
	var members []string
	for _, m := range r.Members {
		members = append(members, m.Variant+" "+m.Member)
	}
	instrument := t.Instrument
	if instrument != "" && t.Serial != "" {
		instrument += ", " + t.Serial
	}
	var job []string
	for _, s := range []string{r.Job.WorkOrder, r.Job.Machine} {
		if s != "" {
			job = append(job, s)
		}
	}
	return Point{At: t.At, Value: t.Value, Job: strings.Join(job, " · "), Member: strings.Join(members, ", "), Instrument: instrument, Who: t.Who,
		File: r.File, Revision: r.Document.Revision, Step: t.Step, Turn: t.Turn, Verdict: t.Verdict, Limits: t.Limits, drawn: t.Drawn, Number: t.value, places: t.places}
}

// Text prints a value of the series with no fewer decimals than its values have.
func (s *Series) Text(v quantity.Number) string {
	if p := v.Places(); p >= 0 {
		return v.Decimal(max(p, s.Places))
	}
	return v.Decimal(s.Places + 2)
}

// finish sorts the points by time and sums them.
func (s *Series) finish() {
	slices.SortStableFunc(s.Points, func(a, b Point) int { return strings.Compare(a.At, b.At) })
	for _, p := range s.Points {
		s.Places = max(s.Places, p.places)
	}
	places := s.Places
	s.Total = rowOf("", s.Points, places)
	s.ByMember = parts(s.Points, places, func(p Point) string { return p.Member })
	s.ByInstrument = parts(s.Points, places, func(p Point) string { return p.Instrument })
	s.Limits, s.Drawn = s.Points[0].Limits, s.Points[0].drawn
	for _, p := range s.Points[1:] {
		if !sameLimits(p.Limits, s.Limits) {
			s.Limits, s.Drawn, s.Several = nil, nil, true
			break
		}
		if !sameLimits(p.drawn, s.Drawn) {
			s.Drawn = nil
		}
	}
	s.Signals = signals(s.Points, s.Total.MedianNumber)
}

// parts sums by a name, where points have more than one; by the order of names.
func parts(points []Point, places int, of func(Point) string) []Row {
	by := map[string][]Point{}
	var names []string
	for _, p := range points {
		n := of(p)
		if _, seen := by[n]; !seen {
			names = append(names, n)
		}
		by[n] = append(by[n], p)
	}
	if len(names) < 2 {
		return nil
	}
	slices.Sort(names)
	var out []Row
	for _, n := range names {
		out = append(out, rowOf(n, by[n], places))
	}
	return out
}

func rowOf(of string, points []Point, places int) Row {
	r := Row{Of: of, Count: len(points)}
	files := map[string]bool{}
	values := make([]quantity.Number, len(points))
	sum := quantity.Number{}
	for i, p := range points {
		files[p.File] = true
		r.Turns += p.Turns
		values[i] = p.Number
		sum = sum.Add(p.Number)
		if p.Verdict != "" {
			r.Judged++
		}
		if p.Verdict == "outside" {
			r.Outside++
		}
	}
	r.Records = len(files)
	n := quantity.NewInt(int64(len(values)))
	mean := sum.Quo(n)
	slices.SortFunc(values, quantity.Number.Cmp)
	k := len(values) / 2
	r.MedianNumber = values[k]
	if len(values)%2 == 0 {
		r.MedianNumber = values[k-1].Add(values[k]).Quo(quantity.NewInt(2))
	}
	r.LeastNumber, r.MostNum = values[0], values[len(values)-1]
	r.Mean, r.Median = rounded(mean, places+2), rounded(r.MedianNumber, places+2)
	r.Least, r.Most = rounded(r.LeastNumber, places), rounded(r.MostNum, places)
	if len(values) > 1 {
		squares := quantity.Number{}
		for _, v := range values {
			d := v.Sub(mean)
			squares = squares.Add(d.Mul(d))
		}
		r.Spread = root(squares.Quo(n.Sub(quantity.NewInt(1))), places+2)
	}
	return r
}

// rounded writes a number with so many decimals, halves to even.
func rounded(n quantity.Number, places int) string {
	return roundEven(n.Mul(powerOfTen(places))).Quo(powerOfTen(places)).Decimal(places)
}

func powerOfTen(places int) quantity.Number {
	n := quantity.NewInt(1)
	for range places {
		n = n.Mul(quantity.NewInt(10))
	}
	return n
}

// root writes the square root of a number that is not negative with so many
// decimals, halves to even. It reckons with whole numbers alone: of q·10^2p it
// takes the whole root r, and goes one up where q·10^2p lies beyond (r + ½)²,
// that is where 4·q·10^2p > (2r + 1)².
func root(q quantity.Number, places int) string {
	scaled, ok := new(big.Rat).SetString(q.Mul(powerOfTen(2 * places)).Exact())
	if !ok {
		return ""
	}
	r := new(big.Int).Sqrt(new(big.Int).Quo(scaled.Num(), scaled.Denom()))
	odd := new(big.Int).Add(new(big.Int).Lsh(r, 1), big.NewInt(1))
	four := new(big.Rat).Mul(scaled, big.NewRat(4, 1))
	if c := four.Cmp(new(big.Rat).SetInt(odd.Mul(odd, odd))); c > 0 || c == 0 && r.Bit(0) == 1 {
		r.Add(r, big.NewInt(1))
	}
	digits := r.String()
	if len(digits) <= places {
		digits = strings.Repeat("0", places+1-len(digits)) + digits
	}
	if places == 0 {
		return digits
	}
	return digits[:len(digits)-places] + "." + digits[len(digits)-places:]
}

// A Signal is a pattern in a run chart that is seldom chance.
type Signal struct {
	Kind     string // shift, trend
	From, To int    // indexes of its first and last point
	Points   int    // that count for it
}

// The rules are those of Perla, Provost and Murray, “The run chart: a simple
// analytical tool for learning from variation in healthcare processes”, BMJ
// Quality & Safety 20 (2011) 46–51: a shift is six or more consecutive points
// all above or all below the median, points on it not counted; a trend is five
// or more consecutive points all going up or all going down, like points
// counted once. They are looked for from ten points on
// (common practice).
const (
	leastPoints = 10
	shiftPoints = 6
	trendPoints = 5
)

// signals looks for shifts and trends.
func signals(points []Point, median quantity.Number) []Signal {
	if len(points) < leastPoints {
		return nil
	}
	var out []Signal
	keep := func(s Signal, least int) {
		if s.Points >= least {
			out = append(out, s)
		}
	}
	run, side := Signal{Kind: "shift"}, 0
	for i, p := range points {
		now := p.Number.Cmp(median)
		switch {
		case now == 0:
		case now == side:
			run.To = i
			run.Points++
		default:
			keep(run, shiftPoints)
			run, side = Signal{"shift", i, i, 1}, now
		}
	}
	keep(run, shiftPoints)
	run, side = Signal{"trend", 0, 0, 1}, 0
	last := 0
	for i := 1; i < len(points); i++ {
		way := points[i].Number.Cmp(points[last].Number)
		switch {
		case way == 0:
			continue
		case way == side:
			run.To = i
			run.Points++
		default:
			keep(run, trendPoints)
			run, side = Signal{"trend", last, i, 2}, way
		}
		last = i
	}
	keep(run, trendPoints)
	slices.SortStableFunc(out, func(a, b Signal) int { return cmp.Compare(a.From, b.From) })
	return out
}
