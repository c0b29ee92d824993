package quantity

import "slices"

// Branch is one range of a decision, and whether a reading in it accepts.
type Branch struct {
	Range  Range
	Accept bool
}

// Band is what guards a decision: the guard band is g = r·U, the expanded
// uncertainty U (coverage factor k = 2) times the factor r that the decision
// rule sets. ISO 14253-1:2013 is r = 1; JCGM 106:2012, 8.3, names g and r. A
// negative r is guarded rejection (JCGM 106, 8.3.3): the ends move outwards.
type Band struct {
	Uncertainty Number // in the unit of the readings, or in per cent
	Relative    bool   // Uncertainty is in per cent of the reading
	Factor      Number // r
}

// Width returns the guard band at a limit, in the unit of the readings. An
// uncertainty relative to the reading is taken at the limit itself, so that one
// acting limit can be worked out and printed; the error against taking it at
// the acting limit is of second order (the band times r·U once more).
func (b Band) Width(limit Number) Number {
	g := b.Uncertainty.Mul(b.Factor)
	if b.Relative {
		g = g.Mul(limit.Abs()).Mul(NewFrac(1, 100))
	}
	return g
}

// Acting is one range of a guarded decision as it is acted on.
type Acting struct {
	Range Range // as the document prints it
	Drawn Range // as the source writes it, the drawing's limits

	// Which ends are not where they were drawn.
	LowMoved, HighMoved bool

	// Emptied means that the guard band leaves nothing of the range; Range is
	// then still as drawn, and so are the ends it shares with its neighbours.
	Emptied bool
}

// Guard returns the ranges of a decision as they are acted on, in the order of
// the branches; all values are in the unit of the scale.
//
// Each end of an accepting range moves inwards by the guard band and then to
// the next value that the scale shows; the range beside it takes what is left.
// Ends that stay: an open end, an end at which the instrument itself ends, and
// a limit between two accepting ranges. Whether a limit itself belongs to a
// range stays as written: "above 32.01" becomes "above 32.006". A decision
// that was sound in the sense of Partition still is, unless a range is emptied.
func Guard(scale Scale, branches []Branch, band Band) []Acting {
	type run struct{ lo, hi cut }
	drawn := make([]run, len(branches))
	acting := make([]Acting, len(branches))
	first, last := scale.ends()
	var accepted []cut
	for i, b := range branches {
		drawn[i].lo, drawn[i].hi = scale.within(b.Range, first, last)
		acting[i] = Acting{Range: b.Range, Drawn: b.Range}
		if b.Accept && drawn[i].lo.cmp(drawn[i].hi) < 0 {
			accepted = append(accepted, drawn[i].lo, drawn[i].hi)
		}
	}
	// Taken together, the accepting ranges begin at the even cuts and end at the
	// odd ones: only these can move. A limit between two of them is gone.
	accepted = merged(accepted)
	moved := slices.Clone(accepted)
	find := func(at cut, odd int) (int, bool) {
		k, ok := slices.BinarySearchFunc(accepted, at, cut.cmp)
		return k, ok && k%2 == odd
	}

	for i, b := range branches {
		if !b.Accept || drawn[i].lo.cmp(drawn[i].hi) >= 0 {
			continue
		}
		now := drawn[i]
		low, lowMoves := find(now.lo, 0)
		high, highMoves := find(now.hi, 1)
		if lowMoves = lowMoves && now.lo.cmp(first) > 0; lowMoves {
			e := b.Range.Low
			now.lo = clamp(scale.cutOf(e.Value.Add(band.Width(e.Value)), e.Open), first, last)
		}
		if highMoves = highMoves && now.hi.cmp(last) < 0; highMoves {
			e := b.Range.High
			now.hi = clamp(scale.cutOf(e.Value.Sub(band.Width(e.Value)), !e.Open), first, last)
		}
		if now.lo.cmp(now.hi) >= 0 {
			acting[i].Emptied = true
			continue
		}
		if lowMoves {
			moved[low] = now.lo
			acting[i].moveLow(&scale, drawn[i].lo, now.lo)
		}
		if highMoves {
			moved[high] = now.hi
			acting[i].moveHigh(&scale, drawn[i].hi, now.hi)
		}
	}
	for j, b := range branches {
		if b.Accept || drawn[j].lo.cmp(drawn[j].hi) >= 0 {
			continue
		}
		if k, ok := find(drawn[j].lo, 1); ok {
			acting[j].moveLow(&scale, drawn[j].lo, moved[k])
		}
		if k, ok := find(drawn[j].hi, 0); ok {
			acting[j].moveHigh(&scale, drawn[j].hi, moved[k])
		}
		// Only guarded rejection can take everything from a range that does not accept.
		acting[j].Emptied = !scale.ShowsAny(acting[j].Range)
	}
	return acting
}

// moveLow and moveHigh move an end of the range from one cut to another.
func (a *Acting) moveLow(scale *Scale, from, to cut) {
	if from.cmp(to) != 0 {
		a.Range.Low = scale.lowEnd(to, a.Drawn.Low.Open)
		a.LowMoved = true
	}
}

func (a *Acting) moveHigh(scale *Scale, from, to cut) {
	if from.cmp(to) != 0 {
		a.Range.High = scale.highEnd(to, a.Drawn.High.Open)
		a.HighMoved = true
	}
}

// cutOf is the cut at v: behind it where v belongs to what lies below.
func (s *Scale) cutOf(v Number, behind bool) cut {
	if behind {
		return s.behind(v)
	}
	return s.before(v)
}

func clamp(c, lo, hi cut) cut {
	switch {
	case c.cmp(lo) < 0:
		return lo
	case c.cmp(hi) > 0:
		return hi
	}
	return c
}

// lowEnd writes a cut as the lower end of a range, highEnd as the upper end;
// on a stepped scale the writer's open or closed form is kept, and the value is
// one that the scale shows.
func (s *Scale) lowEnd(c cut, open bool) End {
	switch {
	case s.Continuous():
		return End{Value: c.v, Open: c.behind}
	case open:
		return End{Value: s.at(c.v.Sub(NewInt(1))), Open: true}
	}
	return End{Value: s.at(c.v)}
}

func (s *Scale) highEnd(c cut, open bool) End {
	switch {
	case s.Continuous():
		return End{Value: c.v, Open: !c.behind}
	case open:
		return End{Value: s.at(c.v), Open: true}
	}
	return End{Value: s.at(c.v.Sub(NewInt(1)))}
}
