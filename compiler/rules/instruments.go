package rules

import (
	"fmt"
	"slices"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/quantity"
	"benchproof/compiler/trade"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// fineness finds an instrument that shows nothing between its ends, and warns
// of one whose stated uncertainty is less than its resolution alone brings or may
// be meant in two ways.
func (c *checker) fineness(t *library.Tool) {
	if t.Reads != nil && t.Resolution != nil && !t.Broken {
		unit := t.Reads.From.Unit
		to, err1 := t.Reads.To.In(unit)
		step, err2 := t.Resolution.SpanIn(unit)
		scale := quantity.Scale{From: t.Reads.From.Value, To: to, Step: step}
		if err1 == nil && err2 == nil && !scale.ShowsAny(quantity.All()) {
			c.wrong("BP304", t.Props["reads"], "in steps of %s, %s shows no value from %s to %s", plain(*t.Resolution), quoted(t.Name), plain(t.Reads.From), plain(t.Reads.To)).
				Relate(t.Props["resolution"], "its resolution")
			return
		}
	}
	if t.Unsaid && !t.Broken {
		u := plain(*t.Uncertainty)
		c.wrong("BP307", t.Props["uncertainty"], "%s reads in per cent: its uncertainty of %s may be of the reading, or points", quoted(t.Name), u).
			Note("points are taken, as the reading is in per cent").
			Helped("write: uncertainty %s of reading, or: uncertainty %s points", u, u)
	}
	if t.Broken || t.Uncertainty == nil || t.Resolution == nil || c.allows("BP306", nil) {
		return
	}
	unit := t.Resolution.Unit
	step, err := t.Resolution.SpanIn(unit)
	if err != nil {
		return
	}
	u, err := t.Uncertainty.SpanIn(unit)
	words := plain(*t.Uncertainty)
	if err != nil || t.Share {
		// A share of the reading is greatest at the end of the scale: only where
		// it is too little even there is it surely too little.
		scale := t.Reads
		if scale == nil {
			scale = t.Sets
		}
		if scale == nil || t.Uncertainty.Dimension() != quantity.Ratio {
			return
		}
		from, err1 := scale.From.In(unit)
		to, err2 := scale.To.In(unit)
		if err1 != nil || err2 != nil {
			return
		}
		most := to.Abs()
		if from.Abs().Cmp(most) > 0 {
			most = from.Abs()
		}
		u = share(*t.Uncertainty, most)
		words += " is at most " + plain(quantity.New(u, unit)) + ", which"
	}
	least := step.Mul(trade.ResolutionShare)
	if u.Cmp(least) >= 0 {
		return
	}
	c.wrong("BP306", t.Props["uncertainty"], "the uncertainty of %s, %s is less than the %s that its resolution alone brings", quoted(t.Name), words, plain(quantity.New(least, unit))).
		Relate(t.Props["resolution"], "its resolution").
		Note("0.58 of the resolution at k = 2: JCGM 100:2008, F.2.2.1")
}

// share is an uncertainty in per cent of a reading.
func share(u quantity.Quantity, of quantity.Number) quantity.Number {
	percent, _ := quantity.LookUp("%")
	n, _ := u.In(percent)
	return n.Mul(of.Abs()).Quo(quantity.NewInt(100))
}

// An end is a limit that a reading is judged by, wherever it is written.
type end struct {
	value library.Value
	at    []source.Span
}

// ends gathers the limits of some ranges; one that stands twice is one.
func ends(list ...*library.Range) []*end {
	var out []*end
	for _, r := range list {
		for _, e := range []*library.RangeEnd{r.Low, r.High} {
			if e == nil {
				continue
			}
			same := slices.IndexFunc(out, func(o *end) bool { return sameValue(o.value, e.Value) })
			if same < 0 {
				out = append(out, &end{e.Value, []source.Span{e.Span}})
			} else if !slices.Contains(out[same].at, e.Span) {
				out[same].at = append(out[same].at, e.Span)
			}
		}
	}
	return out
}

func sameValue(a, b library.Value) bool {
	if a.Column != nil || b.Column != nil {
		return a.Column != nil && b.Column != nil && a.Column.Name == b.Column.Name && slices.EqualFunc(a.Column.Values, b.Column.Values, same)
	}
	return same(a.Quantity, b.Quantity)
}

func same(a, b quantity.Quantity) bool { return a.Unit == b.Unit && a.Value.Equal(b.Value) }

// variantOf gives the variants that some values differ by.
func variantsOf(values ...library.Value) []*library.Variant {
	var out []*library.Variant
	for _, v := range values {
		if v.Column != nil && v.Column.Table.Variant != nil && !slices.Contains(out, v.Column.Table.Variant) {
			out = append(out, v.Column.Table.Variant)
		}
	}
	return out
}

// judges looks at what the instrument can judge of a decision's limits.
func (c *checker) judges(d *library.Decide, w crowd) {
	var list []*library.Range
	accepts := false
	for _, br := range d.Branches {
		list = append(list, br.Range)
		if br.Accept {
			accepts = true
			c.coarse(d.Reading, br.Range, w)
			c.openTop(d.Reading, br.Range, w)
		}
	}
	c.finer(d.Reading, ends(list...), w)
	if !c.lib.Decision.Guarded {
		return
	}
	t := d.Reading.With
	switch {
	case !accepts && refuses(d):
		// No reading is good here: there is nothing to accept wrongly.
	case !accepts:
		c.wrong("BP407", d.OnSpan, "the library decides guarded, but no branch says which readings of %s are accepted", quoted(d.Reading.Name)).
			Helped("write accept before the range of good readings")
	case t.Reads != nil && t.Uncertainty == nil:
		c.wrong("BP407", d.OnSpan, "the library decides guarded, but %s states no uncertainty, so nothing guards these limits", quoted(t.Name)).
			Relate(t.Span, "declared here").Helped("write at the tool: uncertainty …")
	}
}

// refuses tells that no branch of a decision accepts anything: each ends the
// job, and none as serviceable.
func refuses(d *library.Decide) bool {
	return !slices.ContainsFunc(d.Branches, func(br *library.Branch) bool {
		ends, good := ending(br.Body)
		return !ends || good
	})
}

// ending tells whether the job ends somewhere in some statements on every way,
// and whether it may end serviceable there. A repeat is taken to go on.
func ending(list []library.Flow) (ends, good bool) {
	for _, f := range list {
		in, well := false, false
		switch f := f.(type) {
		case *library.Finish:
			in, well = true, f.Outcome == "serviceable"
		case *library.Stage:
			in, well = ending(f.Body)
		case *library.Perform:
			in, well = ending(f.Body)
		case *library.Repeat:
			_, well = ending(f.Body)
			_, last := ending(f.Otherwise)
			well = well || last
		case *library.Decide:
			in = len(f.Branches) > 0
			for _, br := range f.Branches {
				all, some := ending(br.Body)
				in, well = in && all, well || some
			}
		}
		if good = good || well; in {
			return true, good
		}
	}
	return false, good
}

func (c *checker) judgesUntil(u *library.Until, w crowd) {
	c.coarse(u.Reading, &u.Range, w)
	c.finer(u.Reading, ends(&u.Range), w)
}

// finer finds limits that lie between two values of the instrument. Limits in
// a unit that is no power of ten of the instrument's (mm on an inch scale) are
// worked out exactly and are no fault: no decimal limit would be shown.
func (c *checker) finer(r *library.Reading, list []*end, w crowd) {
	scale, known := paths.ScaleOf(r)
	if !known || scale.Continuous() {
		return
	}
	for _, e := range list {
		var found findings
		c.each(w, variantsOf(e.value), func(a library.Assignment) {
			q, ok := e.value.For(a)
			if !ok || !decimalKin(q.Unit, r.With.Reads.From.Unit) {
				return
			}
			n, err := q.In(r.Unit)
			if err != nil || scale.Resolves(n) || !scale.Reaches(n) {
				return
			}
			found.add(0, a, q, c.betweenSteps(r, scale, q, n))
		})
		for _, f := range found.list {
			m := f.noted(c.wrong("BP304", e.at[0], "the limit %s", f.text()))
			for _, at := range e.at[1:] {
				m.Relate(at, "and here")
			}
			c.relateSteps(m, r.With)
			if c.lib.Decision.Guarded {
				m.Note("a guarded limit is judged as it is drawn: write it as the instrument shows it")
			}
		}
	}
}

// betweenSteps says that a value lies between two that the instrument shows.
func (c *checker) betweenSteps(r *library.Reading, scale quantity.Scale, q quantity.Quantity, n quantity.Number) string {
	below, ok1 := scale.Down(n)
	above, ok2 := scale.Up(n)
	words := fmt.Sprintf("%s is finer than %s can show", plain(q), quoted(r.With.Name))
	if ok1 && ok2 {
		words += fmt.Sprintf(": it shows %s and then %s", show(r, below), show(r, above))
	}
	return words
}

func (c *checker) relateSteps(m *message.Message, t *library.Tool) {
	m.Relate(t.Props["resolution"], "its resolution")
}

// decimalKin tells whether two units differ by a power of ten only.
func decimalKin(a, b *quantity.Unit) bool {
	if a == b {
		return true
	}
	if a == nil || b == nil || a.Dimension != b.Dimension || !a.Offset.Equal(b.Offset) {
		return false
	}
	ratio := a.Factor.Quo(b.Factor)
	if ratio.Cmp(quantity.NewInt(1)) < 0 {
		ratio = quantity.NewInt(1).Quo(ratio)
	}
	ten := quantity.NewInt(10)
	for ratio.Cmp(ten) >= 0 {
		ratio = ratio.Quo(ten)
	}
	return ratio.Equal(quantity.NewInt(1))
}

// coarse warns of an instrument whose uncertainty is over a quarter of the
// range that it must judge. A range with an open end is not judged.
func (c *checker) coarse(r *library.Reading, rng *library.Range, w crowd) {
	t := r.With
	if t.Uncertainty == nil || rng.Low == nil || rng.High == nil || c.allows("BP305", nil) {
		return
	}
	for _, st := range c.takings[r] {
		if c.allows("BP305", st) {
			return
		}
	}
	var found findings
	c.each(w, variantsOf(rng.Low.Value, rng.High.Value), func(a library.Assignment) {
		x, ok := rng.For(a, r.Unit)
		if !ok || x.Empty() {
			return
		}
		if band, guarded := paths.BandOf(c.lib, r); guarded {
			scale, _ := paths.ScaleOf(r)
			if quantity.Guard(scale, []quantity.Branch{{Range: x, Accept: true}}, band)[0].Emptied {
				return // that nothing is left of the range says more
			}
		}
		width := x.High.Value.Sub(x.Low.Value)
		u, err := t.Uncertainty.SpanIn(r.Unit)
		if err != nil || t.Share {
			most := x.High.Value.Abs()
			if x.Low.Value.Abs().Cmp(most) > 0 {
				most = x.Low.Value.Abs()
			}
			u = share(*t.Uncertainty, most)
		}
		if width.Sign() == 0 || u.Cmp(width.Mul(trade.UncertaintyShare)) <= 0 {
			return
		}
		found.add(0, a, nil, fmt.Sprintf("an uncertainty of %s is over a quarter of a range of %s",
			roughly(u, r.Unit), roughly(width, r.Unit)))
	})
	for _, f := range found.list {
		f.noted(c.wrong("BP305", rng.Span, "%s is too coarse for this range: %s", quoted(t.Name), f.text())).
			Relate(t.Props["uncertainty"], "its uncertainty").
			Helped("measure with a finer instrument")
	}
}

// roughly prints a value with three digits that count, where it has more: the
// conversion of a short value may go on forever.
func roughly(n quantity.Number, u *quantity.Unit) string {
	ten, hundred := quantity.NewInt(10), quantity.NewInt(100)
	scaled := n.Abs()
	for places := 0; places < 15; places++ {
		if scaled.Cmp(hundred) >= 0 {
			n = n.Round(places)
			break
		}
		scaled = scaled.Mul(ten)
	}
	return plain(quantity.New(n, u))
}

// openTop finds accept ranges that nothing closes at the instrument's upper end.
func (c *checker) openTop(r *library.Reading, rng *library.Range, w crowd) {
	if rng.NoUpper {
		return
	}
	at := rng.Span
	behind := source.Span{File: at.File, Start: at.End, End: at.End}
	scale, known := paths.ScaleOf(r)
	if rng.High == nil {
		m := c.wrong("BP406", at, "this accept range is open to the upper end of %s", quoted(r.With.Name))
		if top, ok := scale.Last(quantity.All()); ok {
			m.Note("%s would be accepted too", show(r, top))
		}
		m.Helped("close it, or say that more is always good: no upper limit").Mend(behind, " no upper limit")
		return
	}
	if !known {
		return
	}
	var found findings
	c.each(w, variantsOf(rng.High.Value), func(a library.Assignment) {
		x, ok := rng.For(a, r.Unit)
		top, bounded := scale.Last(quantity.All())
		if !ok || !bounded || x.High.Value.Cmp(scale.To) <= 0 || !scale.ShowsAny(x) {
			return
		}
		q, _ := rng.High.Value.For(a)
		found.add(0, a, nil, fmt.Sprintf("%s lies beyond %s, the highest value that %s shows", plain(q), show(r, top), quoted(r.With.Name)))
	})
	for _, f := range found.list {
		f.noted(c.wrong("BP406", at, "the upper limit closes nothing: %s", f.text())).
			Relate(r.With.Props["reads"], "what it reads").
			Helped("write a limit that it can show, or say that more is always good: no upper limit")
	}
}

// CheckTrialValues judges the readings of a trial: the instrument must be able
// to show them.
func CheckTrialValues(lib *library.Library, t *library.Trial) []*message.Message {
	c := newChecker(lib)
	for _, tv := range t.Values {
		r := tv.Reading
		if r == nil || r.Broken || r.Unit == nil || r.With == nil {
			continue
		}
		scale, known := paths.ScaleOf(r)
		if !known {
			continue
		}
		for _, v := range tv.Values {
			n, err := v.Quantity.In(r.Unit)
			if err != nil {
				continue
			}
			switch {
			case !scale.Reaches(n):
				c.wrong("BP303", v.Span, "the reading %s is outside what %s reads, %s to %s", plain(v.Quantity), quoted(r.With.Name), plain(r.With.Reads.From), plain(r.With.Reads.To)).
					Relate(r.With.Props["reads"], "what it reads")
			case !scale.Resolves(n):
				c.relateSteps(c.wrong("BP304", v.Span, "the reading %s", c.betweenSteps(r, scale, v.Quantity, n)), r.With)
			}
		}
	}
	return c.messages
}
