package quantity

import "slices"

// Verdict says where the ranges of a decision fail to give every value that
// the instrument can show to exactly one of them. All three lists are empty
// for a sound decision.
type Verdict struct {
	Gaps     []Gap     // in rising order
	Overlaps []Overlap // by I, then J
	Never    []int     // ranges of which the instrument can show nothing
}

// Sound reports whether every value falls in exactly one range and every range
// can happen.
func (v Verdict) Sound() bool {
	return len(v.Gaps) == 0 && len(v.Overlaps) == 0 && len(v.Never) == 0
}

// Gap is values that fall in no range.
type Gap struct {
	Range   Range  // on a stepped scale with closed ends
	Example Number // readable on the instrument
}

// Overlap is values that fall in two ranges, the I-th and the J-th; I < J.
type Overlap struct {
	I, J    int
	Range   Range
	Example Number
}

// MostOverlaps bounds the list of overlaps, which could otherwise grow with the
// square of the number of ranges.
const MostOverlaps = 1000

// Partition judges the ranges of a decision over everything the scale shows.
// At most MostOverlaps overlaps are listed.
func Partition(scale Scale, ranges []Range) Verdict {
	type run struct {
		lo, hi cut
		i      int
	}
	var v Verdict
	first, last := scale.ends()
	runs := make([]run, 0, len(ranges))
	for i, r := range ranges {
		lo, hi := scale.within(r, first, last)
		if lo.cmp(hi) >= 0 {
			v.Never = append(v.Never, i)
			continue
		}
		runs = append(runs, run{lo, hi, i})
	}
	slices.SortFunc(runs, func(a, b run) int {
		if c := a.lo.cmp(b.lo); c != 0 {
			return c
		}
		return a.i - b.i
	})

	gap := func(lo, hi cut) {
		if lo.cmp(hi) < 0 {
			v.Gaps = append(v.Gaps, Gap{scale.between(lo, hi), scale.middle(lo, hi)})
		}
	}
	covered := first
	var open []run // those that may reach beyond the present one's start
	for _, r := range runs {
		gap(covered, r.lo)
		kept := open[:0]
		for _, o := range open {
			if o.hi.cmp(r.lo) <= 0 {
				continue
			}
			kept = append(kept, o)
			if len(v.Overlaps) < MostOverlaps {
				hi := o.hi
				if r.hi.cmp(hi) < 0 {
					hi = r.hi
				}
				v.Overlaps = append(v.Overlaps, Overlap{
					min(o.i, r.i), max(o.i, r.i), scale.between(r.lo, hi), scale.middle(r.lo, hi),
				})
			}
		}
		open = kept
		if len(v.Overlaps) < MostOverlaps {
			open = append(open, r)
		}
		if r.hi.cmp(covered) > 0 {
			covered = r.hi
		}
	}
	gap(covered, last)
	slices.SortFunc(v.Overlaps, func(a, b Overlap) int {
		if a.I != b.I {
			return a.I - b.I
		}
		return a.J - b.J
	})
	return v
}
