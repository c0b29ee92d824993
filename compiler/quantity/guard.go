package quantity

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
	for i, b := range branches {
		drawn[i].lo, drawn[i].hi = scale.within(b.Range, first, last)
		acting[i] = Acting{Range: b.Range, Drawn: b.Range}
	}
	happens := func(i int) bool { return drawn[i].lo.cmp(drawn[i].hi) < 0 }
	// accepted reports whether a range that accepts goes on across the cut.
	accepted := func(at cut, besides int, downwards bool) bool {
		for j, b := range branches {
			if j == besides || !b.Accept || !happens(j) {
				continue
			}
			below, above := drawn[j].lo.cmp(at), drawn[j].hi.cmp(at)
			if downwards && below < 0 && above >= 0 || !downwards && below <= 0 && above > 0 {
				return true
			}
		}
		return false
	}

	for i, b := range branches {
		if !b.Accept || !happens(i) {
			continue
		}
		now := drawn[i]
		lowMoves := now.lo.cmp(first) > 0 && !accepted(now.lo, i, true)
		highMoves := now.hi.cmp(last) < 0 && !accepted(now.hi, i, false)
		if lowMoves {
			e := b.Range.Low
			now.lo = clamp(scale.cutOf(e.Value.Add(band.Width(e.Value)), e.Open), first, last)
		}
		if highMoves {
			e := b.Range.High
			now.hi = clamp(scale.cutOf(e.Value.Sub(band.Width(e.Value)), !e.Open), first, last)
		}
		if now.lo.cmp(now.hi) >= 0 {
			acting[i].Emptied = true
			continue
		}
		if lowMoves && now.lo.cmp(drawn[i].lo) != 0 {
			acting[i].Range.Low = scale.lowEnd(now.lo, b.Range.Low.Open)
			acting[i].LowMoved = true
			for j, n := range branches {
				if !n.Accept && happens(j) && drawn[j].hi.cmp(drawn[i].lo) == 0 {
					acting[j].Range.High = scale.highEnd(now.lo, n.Range.High.Open)
					acting[j].HighMoved = true
				}
			}
		}
		if highMoves && now.hi.cmp(drawn[i].hi) != 0 {
			acting[i].Range.High = scale.highEnd(now.hi, b.Range.High.Open)
			acting[i].HighMoved = true
			for j, n := range branches {
				if !n.Accept && happens(j) && drawn[j].lo.cmp(drawn[i].hi) == 0 {
					acting[j].Range.Low = scale.lowEnd(now.hi, n.Range.Low.Open)
					acting[j].LowMoved = true
				}
			}
		}
	}
	for j, b := range branches {
		// Only guarded rejection can take everything from a range that does not accept.
		if !b.Accept && happens(j) && !scale.ShowsAny(acting[j].Range) {
			acting[j].Emptied = true
		}
	}
	return acting
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
