package quantity

// Scale is what an instrument can show: the values Origin + k·Step for whole k
// that lie from From to To, both included where they are such values. Step
// zero means a continuous display, which shows every value from From to To.
type Scale struct {
	From, To, Step Number
	// Origin is zero except where the scale has been carried into a unit whose
	// zero lies elsewhere (a Celsius display read in °F).
	Origin Number
	// Endless means that the ends are not known; From and To are then ignored.
	Endless bool
}

// ScaleIn carries a scale into another unit of the same dimension, exactly: an
// inch micrometer that shows 0.0001 in shows multiples of 0.00254 mm. The
// error is that of Quantity.In.
func ScaleIn(s Scale, from, to *Unit) (Scale, error) {
	if from == to {
		return s, nil
	}
	if err := commensurable(from, to); err != nil {
		return Scale{}, err
	}
	convert := func(v Number) Number { return from.fromBase(from.toBase(v), to) }
	return Scale{
		From:    convert(s.From),
		To:      convert(s.To),
		Step:    s.Step.Mul(from.factorTo(to)),
		Origin:  convert(s.Origin),
		Endless: s.Endless,
	}, nil
}

// Continuous reports whether the scale shows every value between its ends.
func (s Scale) Continuous() bool { return s.Step.Sign() == 0 }

// A cut is a place between values: just before v, or just behind it. On a
// stepped scale v is the whole number k of the step, and cuts are always
// before. A run of values lies between two cuts, which makes open, closed and
// stepped ends one case.
type cut struct {
	v      Number
	behind bool
	end    int8 // −1 and +1: before and behind every value; v is then unused
}

func (a cut) cmp(b cut) int {
	switch {
	case a.end != b.end:
		return int(a.end) - int(b.end)
	case a.end != 0:
		return 0
	}
	if c := a.v.Cmp(b.v); c != 0 {
		return c
	}
	switch {
	case a.behind == b.behind:
		return 0
	case a.behind:
		return 1
	}
	return -1
}

// index returns how many steps v lies from the origin, whole or not.
func (s *Scale) index(v Number) Number { return v.Sub(s.Origin).Quo(s.Step.Abs()) }

// at returns the value of the k-th step.
func (s *Scale) at(k Number) Number { return k.Mul(s.Step.Abs()).Add(s.Origin) }

// before is the cut just before the first value that is v or above; behind the
// cut just behind the last value that is v or below.
func (s *Scale) before(v Number) cut {
	if s.Continuous() {
		return cut{v: v}
	}
	return cut{v: s.index(v).ceil()}
}

func (s *Scale) behind(v Number) cut {
	if s.Continuous() {
		return cut{v: v, behind: true}
	}
	return cut{v: s.index(v).floor().Add(NewInt(1))}
}

// ends returns the cuts around everything the scale shows.
func (s *Scale) ends() (lo, hi cut) {
	if s.Endless {
		return cut{end: -1}, cut{end: 1}
	}
	return s.before(s.From), s.behind(s.To)
}

// run returns the cuts around what the scale shows of the range; lo is not
// below hi where that is nothing.
func (s *Scale) run(r Range) (lo, hi cut) {
	lo, hi = s.ends()
	return s.within(r, lo, hi)
}

func (s *Scale) within(r Range, lo, hi cut) (cut, cut) {
	if !r.Low.Unbounded {
		c := s.before(r.Low.Value)
		if r.Low.Open {
			c = s.behind(r.Low.Value)
		}
		if c.cmp(lo) > 0 {
			lo = c
		}
	}
	if !r.High.Unbounded {
		c := s.behind(r.High.Value)
		if r.High.Open {
			c = s.before(r.High.Value)
		}
		if c.cmp(hi) < 0 {
			hi = c
		}
	}
	return lo, hi
}

// between returns the values between two cuts as a range: on a stepped scale
// with both ends closed, at values that it shows.
func (s *Scale) between(lo, hi cut) Range {
	var r Range
	switch {
	case lo.end != 0:
		r.Low.Unbounded = true
	case s.Continuous():
		r.Low = End{Value: lo.v, Open: lo.behind}
	default:
		r.Low.Value = s.at(lo.v)
	}
	switch {
	case hi.end != 0:
		r.High.Unbounded = true
	case s.Continuous():
		r.High = End{Value: hi.v, Open: !hi.behind}
	default:
		r.High.Value = s.at(hi.v.Sub(NewInt(1)))
	}
	return r
}

// Shows reports whether the instrument can show v.
func (s Scale) Shows(v Number) bool { return s.Reaches(v) && s.Resolves(v) }

// Reaches reports whether v lies between the scale's ends.
func (s Scale) Reaches(v Number) bool {
	return s.Endless || v.Cmp(s.From) >= 0 && v.Cmp(s.To) <= 0
}

// Resolves reports whether v is no finer than the scale's step.
func (s Scale) Resolves(v Number) bool { return s.Continuous() || s.index(v).IsInt() }

// ShowsAny reports whether the instrument can show any value of the range.
func (s Scale) ShowsAny(r Range) bool {
	lo, hi := s.run(r)
	return lo.cmp(hi) < 0
}

// Shown returns the range narrowed to what the instrument can show of it, and
// whether that is anything. On a stepped scale both ends are then values it shows.
func (s Scale) Shown(r Range) (Range, bool) {
	lo, hi := s.run(r)
	if lo.cmp(hi) >= 0 {
		return Range{}, false
	}
	return s.between(lo, hi), true
}

// Count returns how many values of the range the instrument can show, and
// whether that number is finite.
func (s Scale) Count(r Range) (Number, bool) {
	lo, hi := s.run(r)
	switch {
	case lo.cmp(hi) >= 0:
		return Number{}, true
	case lo.end != 0 || hi.end != 0:
		return Number{}, false
	case s.Continuous():
		if lo.v.Equal(hi.v) {
			return NewInt(1), true
		}
		return Number{}, false
	}
	return hi.v.Sub(lo.v), true
}

// First returns the least value of the range that the instrument can show, and
// whether there is one: a continuous display has none above an open end.
func (s Scale) First(r Range) (Number, bool) {
	shown, ok := s.Shown(r)
	return shown.Low.Value, ok && !shown.Low.Unbounded && !shown.Low.Open
}

// Last returns the greatest value of the range that the instrument can show,
// and whether there is one.
func (s Scale) Last(r Range) (Number, bool) {
	shown, ok := s.Shown(r)
	return shown.High.Value, ok && !shown.High.Unbounded && !shown.High.Open
}

// Next returns the least value above v that the instrument can show, and
// whether there is one.
func (s Scale) Next(v Number) (Number, bool) { return s.First(Above(v)) }

// Prev returns the greatest value below v that the instrument can show, and
// whether there is one.
func (s Scale) Prev(v Number) (Number, bool) { return s.Last(Below(v)) }

// Up returns the least value at or above v that the instrument can show, and
// whether there is one.
func (s Scale) Up(v Number) (Number, bool) { return s.First(AtLeast(v)) }

// Down returns the greatest value at or below v that the instrument can show,
// and whether there is one.
func (s Scale) Down(v Number) (Number, bool) { return s.Last(AtMost(v)) }

// Middle returns a value of the range that the instrument can show, to serve
// as an example, and whether there is one. Of the middle half it takes the
// roundest value, so that it reads well: 39.9 rather than 39.877.
func (s Scale) Middle(r Range) (Number, bool) {
	lo, hi := s.run(r)
	if lo.cmp(hi) >= 0 {
		return Number{}, false
	}
	return s.middle(lo, hi), true
}

func (s *Scale) middle(lo, hi cut) Number {
	shown := s.between(lo, hi)
	switch {
	case shown.Low.Unbounded && shown.High.Unbounded:
		return s.Origin
	case shown.High.Unbounded:
		return s.nearEnd(shown.Low, 1)
	case shown.Low.Unbounded:
		return s.nearEnd(shown.High, -1)
	}
	// Round values are round in the instrument's own unit, so count from its origin.
	low, high := shown.Low.Value.Sub(s.Origin), shown.High.Value.Sub(s.Origin)
	quarter := high.Sub(low).Mul(NewFrac(1, 4))
	mid := low.Add(high).Mul(NewFrac(1, 2))
	if v, ok := s.roundest(low.Add(quarter), mid, high.Sub(quarter)); ok {
		return v.Add(s.Origin)
	}
	return mid.Floor(s.Step).Add(s.Origin)
}

// nearEnd returns a value beside the one end that a run of values has.
func (s *Scale) nearEnd(e End, direction int64) Number {
	if !e.Open {
		return e.Value
	}
	return e.Value.Add(NewInt(direction))
}

// roundest returns the multiple of the greatest round number (1, 2, 5 and their
// tenfolds) that lies from low to high, nearest to mid, and that the scale
// shows; all three counted from the origin. It reports false where only the
// step itself is left.
func (s *Scale) roundest(low, mid, high Number) (Number, bool) {
	if low.Equal(high) {
		return low, s.Continuous() || low.Quo(s.Step).IsInt()
	}
	// A step that has no decimals is round in no decimal unit: count in steps.
	unit, step := NewInt(1), s.Step.Abs()
	if !s.Continuous() && !step.Finite() {
		unit, step = step, NewInt(1)
	}
	greatest := low.Abs()
	if a := high.Abs(); a.Cmp(greatest) > 0 {
		greatest = a
	}
	half := NewFrac(1, 2)
	for power := greatest.Quo(unit).magnitude() + 1; ; power-- {
		for _, lead := range [...]int64{5, 2, 1} {
			g := powerOfTen(power).Mul(NewInt(lead))
			if !s.Continuous() {
				if g.Cmp(step) <= 0 {
					return Number{}, false
				}
				if !g.Quo(step).IsInt() {
					continue
				}
			}
			grain := g.Mul(unit)
			v := mid.Quo(grain).Add(half).floor().Mul(grain)
			if v.Cmp(low) >= 0 && v.Cmp(high) <= 0 {
				return v, true
			}
		}
	}
}
