package quantity

// End is one end of a range of readings. Value and Open have no meaning where
// the end is Unbounded.
type End struct {
	Value     Number
	Open      bool // the value itself is outside the range
	Unbounded bool // the range goes on to the instrument's end
}

// Range is the readings between two ends.
type Range struct{ Low, High End }

// AtLeast is the range from v upwards, v included.
func AtLeast(v Number) Range { return Range{End{Value: v}, End{Unbounded: true}} }

// Above is the range from v upwards, v excluded.
func Above(v Number) Range { return Range{End{Value: v, Open: true}, End{Unbounded: true}} }

// AtMost is the range from v downwards, v included.
func AtMost(v Number) Range { return Range{End{Unbounded: true}, End{Value: v}} }

// Below is the range from v downwards, v excluded.
func Below(v Number) Range { return Range{End{Unbounded: true}, End{Value: v, Open: true}} }

// Between is the range from lo to hi; each end is excluded where it is open.
func Between(lo Number, loOpen bool, hi Number, hiOpen bool) Range {
	return Range{End{Value: lo, Open: loOpen}, End{Value: hi, Open: hiOpen}}
}

// All is the range of every reading.
func All() Range { return Range{End{Unbounded: true}, End{Unbounded: true}} }

// Contains reports whether v is in the range.
func (r Range) Contains(v Number) bool {
	if !r.Low.Unbounded {
		if c := v.Cmp(r.Low.Value); c < 0 || c == 0 && r.Low.Open {
			return false
		}
	}
	if !r.High.Unbounded {
		if c := v.Cmp(r.High.Value); c > 0 || c == 0 && r.High.Open {
			return false
		}
	}
	return true
}

// Empty reports whether no number at all is in the range. Whether an
// instrument can show one is a question to its Scale.
func (r Range) Empty() bool {
	if r.Low.Unbounded || r.High.Unbounded {
		return false
	}
	c := r.Low.Value.Cmp(r.High.Value)
	return c > 0 || c == 0 && (r.Low.Open || r.High.Open)
}

// Intersect returns what is in both ranges, and whether anything is.
func (r Range) Intersect(other Range) (Range, bool) {
	out := r
	if !other.Low.Unbounded {
		if c := cmpEnd(out.Low, other.Low); out.Low.Unbounded || c < 0 || c == 0 && other.Low.Open {
			out.Low = other.Low
		}
	}
	if !other.High.Unbounded {
		if c := cmpEnd(out.High, other.High); out.High.Unbounded || c > 0 || c == 0 && other.High.Open {
			out.High = other.High
		}
	}
	return out, !out.Empty()
}

func cmpEnd(a, b End) int { return a.Value.Cmp(b.Value) }

// Equal reports whether both ranges have the same ends.
func (r Range) Equal(other Range) bool {
	return r.Low.equal(other.Low) && r.High.equal(other.High)
}

func (e End) equal(other End) bool {
	if e.Unbounded || other.Unbounded {
		return e.Unbounded == other.Unbounded
	}
	return e.Open == other.Open && e.Value.Equal(other.Value)
}

// Map returns the range with f applied to both end values. A decreasing f is
// not allowed for.
func (r Range) Map(f func(Number) Number) Range {
	if !r.Low.Unbounded {
		r.Low.Value = f(r.Low.Value)
	}
	if !r.High.Unbounded {
		r.High.Value = f(r.High.Value)
	}
	return r
}

// Words writes the range as the language does, each value by show: "at least
// 5 mm", "from 31.80 mm to below 31.95 mm", "above 32.01 mm". A range of one
// value is that value, and a range without ends is "any value".
func (r Range) Words(show func(Number) string) string {
	switch {
	case r.Low.Unbounded && r.High.Unbounded:
		return "any value"
	case r.High.Unbounded:
		return pick(r.Low.Open, "above ", "at least ") + show(r.Low.Value)
	case r.Low.Unbounded:
		return pick(r.High.Open, "below ", "at most ") + show(r.High.Value)
	case !r.Low.Open && !r.High.Open && r.Low.Value.Equal(r.High.Value):
		return show(r.Low.Value)
	}
	return pick(r.Low.Open, "above ", "from ") + show(r.Low.Value) +
		pick(r.High.Open, " to below ", " to ") + show(r.High.Value)
}

func pick(open bool, yes, no string) string {
	if open {
		return yes
	}
	return no
}

// String writes the range with bare numbers.
func (r Range) String() string { return r.Words(Number.String) }
