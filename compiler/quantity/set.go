package quantity

import "slices"

// Set is what remains possible of a reading: any union of ranges, as far as a
// scale shows them. It is immutable, and normalised, so that two sets over one
// scale hold the same values exactly when they are Equal and have equal Keys.
// The zero Set is empty.
type Set struct {
	scale *Scale
	// Cuts in rising order; the set holds what lies between the first and the
	// second, the third and the fourth, and so on.
	cuts []cut
}

// SetOf returns the values that the scale shows of any of the ranges.
func SetOf(scale Scale, ranges ...Range) Set {
	s := Set{scale: &scale}
	first, last := scale.ends()
	for _, r := range ranges {
		if lo, hi := scale.within(r, first, last); lo.cmp(hi) < 0 {
			s.cuts = append(s.cuts, lo, hi)
		}
	}
	if len(s.cuts) > 2 {
		s.cuts = merged(s.cuts)
	}
	return s
}

// merged puts runs given in any order, which may overlap or touch, in order.
func merged(cuts []cut) []cut {
	type run struct{ lo, hi cut }
	runs := make([]run, 0, len(cuts)/2)
	for i := 0; i < len(cuts); i += 2 {
		runs = append(runs, run{cuts[i], cuts[i+1]})
	}
	slices.SortFunc(runs, func(a, b run) int { return a.lo.cmp(b.lo) })
	out := cuts[:0]
	for _, r := range runs {
		if n := len(out); n > 0 && out[n-1].cmp(r.lo) >= 0 {
			if r.hi.cmp(out[n-1]) > 0 {
				out[n-1] = r.hi
			}
			continue
		}
		out = append(out, r.lo, r.hi)
	}
	return out
}

// Which values an operation keeps: bit 1 for those in the first set alone, bit
// 2 for those in the second alone, bit 3 for those in both.
const (
	keepUnion     = 0b1110
	keepIntersect = 0b1000
	keepMinus     = 0b0010
)

func (s Set) combine(t Set, keep uint8) Set {
	t = t.on(s.scale)
	out := make([]cut, 0, len(s.cuts)+len(t.cuts))
	var state uint8 // bit 0: in s; bit 1: in t
	in := false
	for i, j := 0, 0; i < len(s.cuts) || j < len(t.cuts); {
		var at cut
		var order int
		switch {
		case i == len(s.cuts):
			order = 1
		case j == len(t.cuts):
			order = -1
		default:
			order = s.cuts[i].cmp(t.cuts[j])
		}
		if order <= 0 {
			at = s.cuts[i]
			state ^= 1
			i++
		}
		if order >= 0 {
			at = t.cuts[j]
			state ^= 2
			j++
		}
		if now := keep>>state&1 != 0; now != in {
			out = append(out, at)
			in = now
		}
	}
	return Set{scale: s.scale, cuts: out}
}

// on returns the set as the scale shows it, so that sets over different scales
// may meet; the usual case costs a comparison.
func (s Set) on(scale *Scale) Set {
	if s.scale == scale || len(s.cuts) == 0 || s.scale.same(scale) {
		return s
	}
	return SetOf(*scale, s.Ranges()...)
}

func (s *Scale) same(t *Scale) bool {
	return s.Endless == t.Endless && s.Step.Equal(t.Step) && s.Origin.Equal(t.Origin) &&
		(s.Endless || s.From.Equal(t.From) && s.To.Equal(t.To))
}

// Union returns the values in s or t, on the scale of s.
func (s Set) Union(t Set) Set {
	switch {
	case s.scale == nil || len(s.cuts) == 0 && t.scale == s.scale:
		return t
	case len(t.cuts) == 0:
		return s
	}
	return s.combine(t, keepUnion)
}

// Intersect returns the values in both s and t, on the scale of s.
func (s Set) Intersect(t Set) Set {
	if len(s.cuts) == 0 || len(t.cuts) == 0 {
		return Set{scale: s.scale}
	}
	return s.combine(t, keepIntersect)
}

// Meets reports whether a value is in both s and t; it makes no set to find out.
func (s Set) Meets(t Set) bool {
	if len(s.cuts) == 0 || len(t.cuts) == 0 {
		return false
	}
	t = t.on(s.scale)
	for i, j := 0, 0; i < len(s.cuts) && j < len(t.cuts); {
		switch {
		case s.cuts[i+1].cmp(t.cuts[j]) <= 0:
			i += 2
		case t.cuts[j+1].cmp(s.cuts[i]) <= 0:
			j += 2
		default:
			return true
		}
	}
	return false
}

// Minus returns the values in s that are not in t, on the scale of s.
func (s Set) Minus(t Set) Set {
	if len(s.cuts) == 0 || len(t.cuts) == 0 {
		return s
	}
	return s.combine(t, keepMinus)
}

// Empty reports whether the set holds nothing.
func (s Set) Empty() bool { return len(s.cuts) == 0 }

// Equal reports whether s and t, which are over one scale, hold the same values.
func (s Set) Equal(t Set) bool {
	return slices.EqualFunc(s.cuts, t.cuts, func(a, b cut) bool { return a.cmp(b) == 0 })
}

// Contains reports whether v is in the set; a value that the scale does not
// show never is.
func (s Set) Contains(v Number) bool {
	if s.scale == nil || !s.scale.Shows(v) {
		return false
	}
	// Between the cut before v and the one behind it lies v alone.
	behind := s.scale.behind(v)
	i, _ := slices.BinarySearchFunc(s.cuts, behind, cut.cmp)
	return i%2 == 1
}

// Ranges returns the set as ranges in rising order that neither overlap nor
// touch; over a stepped scale all their ends are closed.
func (s Set) Ranges() []Range {
	out := make([]Range, 0, len(s.cuts)/2)
	for i := 0; i < len(s.cuts); i += 2 {
		out = append(out, s.scale.between(s.cuts[i], s.cuts[i+1]))
	}
	return out
}

// Sample returns a value of the set to serve as an example, from the middle of
// its first range; 0 where the set is empty.
func (s Set) Sample() Number {
	if s.Empty() {
		return Number{}
	}
	return s.scale.middle(s.cuts[0], s.cuts[1])
}

// Key returns a short text that is equal for two sets over one scale exactly
// when they hold the same values. It is for maps, not for people.
func (s Set) Key() string {
	if len(s.cuts) == 0 {
		return ""
	}
	b := make([]byte, 0, 64)
	for _, c := range s.cuts {
		switch {
		case c.end < 0:
			b = append(b, '<')
		case c.end > 0:
			b = append(b, '>')
		default:
			if c.behind {
				b = append(b, '+')
			}
			b = c.v.append(b)
		}
	}
	return string(b)
}
