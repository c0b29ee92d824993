package rules

import (
	"fmt"
	"slices"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/quantity"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// checkDecide judges that exactly one branch takes what is decided on.
func (c *checker) checkDecide(d *library.Decide, w crowd) {
	switch {
	case d.Reading != nil:
		if scale, _ := paths.ScaleOf(d.Reading); !scale.ShowsAny(quantity.All()) {
			return // told at the instrument
		}
		c.ranges(d, w)
		c.judges(d, w)
	case d.Question != nil:
		c.answers(d)
	case d.Variant != nil:
		c.members(d, w)
	}
}

// show prints a value of a reading, and beside it what the instrument shows
// where that is in another unit.
func show(r *library.Reading, v quantity.Number) string {
	text := spaced(paths.ShowValue(r, v))
	t := r.With
	if t == nil || t.Reads == nil || t.Reads.From.Unit == r.Unit {
		return text
	}
	n, err := quantity.New(v, r.Unit).In(t.Reads.From.Unit)
	if err != nil {
		return text
	}
	return text + " (" + plain(quantity.New(n, t.Reads.From.Unit)) + " on the instrument)"
}

// inWords prints a range of readings, with an example where it holds more than one.
func inWords(r *library.Reading, scale quantity.Scale, rng quantity.Range, example quantity.Number) string {
	one := func(v quantity.Number) string { return spaced(paths.ShowValue(r, v)) }
	if n, finite := scale.Count(rng); finite && n.Equal(quantity.NewInt(1)) {
		return show(r, example)
	}
	return rng.Words(one) + ", such as " + show(r, example)
}

// mostTold bounds how many gaps and overlaps of one decision are told: who
// mends those sees the rest.
const mostTold = 20

// A gapKey tells gaps apart by the branches on either side.
type gapKey struct{ below, above int }

type overlapKey struct{ i, j int }

type neverKey struct{ i int }

type emptiedKey struct{ i int }

// ranges judges the ranges of a decision on a reading as they are written,
// and for an accept range what the guard band leaves of it.
func (c *checker) ranges(d *library.Decide, w crowd) {
	r := d.Reading
	scale, _ := paths.ScaleOf(r)
	var gaps, overlaps, nevers, emptied findings
	c.each(w, paths.Variants(d), func(a library.Assignment) {
		acting, ok := paths.Acting(c.lib, d, a)
		if !ok {
			return
		}
		drawn := make([]quantity.Range, len(acting))
		reversed := false
		for i, x := range acting {
			drawn[i] = x.Drawn
			reversed = reversed || x.Drawn.Empty()
		}
		v := quantity.Partition(scale, drawn)
		for _, i := range v.Never {
			nevers.add(neverKey{i}, a, drawn[i], c.whyNever(r, scale, drawn[i], written(d.Branches[i].Range, a)))
		}
		for i, x := range acting {
			if x.Emptied && !slices.Contains(v.Never, i) {
				emptied.add(emptiedKey{i}, a, x.Drawn, c.whyEmptied(r, scale, x.Drawn, written(d.Branches[i].Range, a)))
			}
		}
		for _, o := range v.Overlaps[:min(len(v.Overlaps), mostTold)] {
			overlaps.add(overlapKey{o.I, o.J}, a, o, inWords(r, scale, o.Range, o.Example))
		}
		if reversed {
			return // what its right way round would take is no gap
		}
		for _, g := range v.Gaps[:min(len(v.Gaps), mostTold)] {
			gaps.add(neighbours(scale, drawn, g.Range), a, g, inWords(r, scale, g.Range, g.Example))
		}
	})
	for _, f := range gaps.list {
		key := f.key.(gapKey)
		m := f.noted(c.wrong("BP401", d.OnSpan, "no branch takes %s", f.text()))
		help := "let a branch take it"
		if key.below >= 0 {
			m.Relate(d.Branches[key.below].Head, "the branch below ends here")
		} else {
			help = "let the branch above begin lower, or add one below it"
		}
		if key.above >= 0 {
			m.Relate(d.Branches[key.above].Head, "the branch above begins here")
		} else {
			help = "let the branch below go on, or add one above it"
		}
		m.Helped("%s", help)
	}
	type place struct {
		j    int
		text string
	}
	told := map[place]*message.Message{}
	for _, f := range overlaps.list {
		key := f.key.(overlapKey)
		at := place{key.j, f.text()}
		if m := told[at]; m != nil {
			m.Relate(d.Branches[key.i].Head, "and another branch")
			continue
		}
		told[at] = f.noted(c.wrong("BP402", d.Branches[key.j].Head, "two branches take %s", f.text())).
			Relate(d.Branches[key.i].Head, "the other branch").
			Helped("let one of them end where the other begins: to below …, or above …")
	}
	for _, f := range nevers.list {
		m := f.noted(c.wrong("BP403", d.Branches[f.key.(neverKey).i].Head, "this branch can never happen: %s", f.text()))
		if f.first.(quantity.Range).Empty() {
			m.Helped("write the lower end first")
		}
		m.Relate(r.With.Props["reads"], "what it reads")
	}
	for _, f := range emptied.list {
		f.noted(c.wrong("BP403", d.Branches[f.key.(emptiedKey).i].Head, "the guard band leaves nothing of this accept range: %s", f.text())).
			Relate(r.With.Props["uncertainty"], "the uncertainty is given here").
			Helped("measure with an instrument that is good enough for these limits")
	}
}

// neighbours finds the branches on either side of a gap; -1 for none.
func neighbours(scale quantity.Scale, ranges []quantity.Range, gap quantity.Range) gapKey {
	key := gapKey{-1, -1}
	for i, r := range ranges {
		if !scale.ShowsAny(r) {
			continue
		}
		if !gap.Low.Unbounded && !r.High.Unbounded && !between(scale, r.High, gap.Low) {
			key.below = i
		}
		if !gap.High.Unbounded && !r.Low.Unbounded && !between(scale, gap.High, r.Low) {
			key.above = i
		}
	}
	return key
}

// between tells whether the scale shows a value behind one end and before
// another, or whether the first lies above the second.
func between(scale quantity.Scale, low, high quantity.End) bool {
	if low.Value.Cmp(high.Value) > 0 {
		return true
	}
	return scale.ShowsAny(quantity.Between(low.Value, !low.Open, high.Value, !high.Open))
}

// written prints a range with its limits in the units they are written in.
func written(rng *library.Range, a library.Assignment) string {
	var out quantity.Range
	texts := map[string]string{}
	end := func(e *library.RangeEnd) quantity.End {
		if e == nil {
			return quantity.End{Unbounded: true}
		}
		q, _ := e.Value.For(a)
		texts[q.Value.Exact()] = plain(q)
		return quantity.End{Value: q.Value, Open: e.Open}
	}
	out.Low, out.High = end(rng.Low), end(rng.High)
	return out.Words(func(n quantity.Number) string { return texts[n.Exact()] })
}

// whyNever says why the instrument shows nothing of a range.
func (c *checker) whyNever(r *library.Reading, scale quantity.Scale, rng quantity.Range, words string) string {
	if rng.Empty() {
		return "no value is " + words
	}
	text := fmt.Sprintf("%s shows nothing %s", quoted(r.With.Name), words)
	if top, ok := scale.Last(quantity.All()); ok && !rng.Low.Unbounded && rng.Low.Value.Cmp(top) >= 0 {
		return fmt.Sprintf("%s, %s is its highest value", text, show(r, top))
	}
	if low, ok := scale.First(quantity.All()); ok && !rng.High.Unbounded && rng.High.Value.Cmp(low) <= 0 {
		return fmt.Sprintf("%s, %s is its lowest value", text, show(r, low))
	}
	if rng.Low.Unbounded || rng.High.Unbounded {
		return text
	}
	below, ok1 := scale.Down(rng.Low.Value)
	above, ok2 := scale.Up(rng.High.Value)
	if ok1 && ok2 {
		return fmt.Sprintf("%s, only %s and %s", text, show(r, below), show(r, above))
	}
	return text
}

// whyEmptied says why a guard band leaves nothing of a range, with a value in it.
func (c *checker) whyEmptied(r *library.Reading, scale quantity.Scale, rng quantity.Range, words string) string {
	band, _ := paths.BandOf(c.lib, r)
	limit := rng.High
	if limit.Unbounded {
		limit = rng.Low
	}
	v, _ := scale.Middle(rng)
	return fmt.Sprintf("%s is not %s inside %s", show(r, v), plain(quantity.New(band.Width(limit.Value), r.Unit)), words)
}

// checkUntil judges what ends a repeat: it can be met, and missed.
func (c *checker) checkUntil(u *library.Until, w crowd) {
	if q := u.Question; q != nil {
		if len(u.Answers) == len(q.Answers) {
			c.wrong("BP403", u.Head, "there can never be a second turn: every answer to %s ends the repeat", quoted(q.Name)).
				Relate(q.Span, "asked here").Helped("leave out the answers that ask for another turn")
		}
		return
	}
	r := u.Reading
	scale, _ := paths.ScaleOf(r)
	everything := quantity.SetOf(scale, quantity.All())
	if everything.Empty() {
		return // told at the instrument
	}
	var nevers, emptied, always findings
	c.each(w, paths.UntilVariants(u), func(a library.Assignment) {
		x, ok := paths.ActingUntil(c.lib, u, a)
		switch {
		case !ok:
		case !scale.ShowsAny(x.Drawn):
			nevers.add(0, a, x.Drawn, c.whyNever(r, scale, x.Drawn, written(&u.Range, a)))
		case x.Emptied:
			emptied.add(0, a, nil, c.whyEmptied(r, scale, x.Drawn, written(&u.Range, a)))
		case everything.Minus(quantity.SetOf(scale, x.Range)).Empty():
			always.add(0, a, nil, fmt.Sprintf("every value that %s shows is %s, such as %s", quoted(r.With.Name), x.Range.Words(func(v quantity.Number) string { return spaced(paths.ShowValue(r, v)) }), show(r, everything.Sample())))
		}
	})
	for _, f := range nevers.list {
		f.noted(c.wrong("BP403", u.Range.Span, "this can never be met: %s", f.text())).Relate(r.With.Props["reads"], "what it reads")
	}
	for _, f := range emptied.list {
		f.noted(c.wrong("BP403", u.Range.Span, "the guard band leaves nothing of this range: %s", f.text())).
			Relate(r.With.Props["uncertainty"], "the uncertainty is given here").
			Helped("measure with an instrument that is good enough for these limits")
	}
	for _, f := range always.list {
		f.noted(c.wrong("BP403", u.Range.Span, "there can never be a second turn: %s", f.text())).Relate(r.With.Props["reads"], "what it reads")
	}
	c.judgesUntil(u, w)
}

// checkRepeat judges that something is said for the case that the last turn fails.
func (c *checker) checkRepeat(rp *library.Repeat, w crowd) {
	if rp.HasOtherwise {
		return
	}
	at := rp.Span
	at.End = min(at.End, at.Start+len("repeat"))
	example := ""
	for _, f := range rp.Body {
		if u, ok := f.(*library.Until); ok {
			example = c.failing(u, w)
		}
	}
	fails := "the only turn fails"
	if rp.Times > 1 {
		fails = fmt.Sprintf("all %d turns fail", rp.Times)
	}
	c.wrong("BP401", at, "nothing says what to do when %s", fails+example).
		Helped("write behind the repeat: otherwise { … }")
}

// failing gives a value or an answer that does not end a repeat.
func (c *checker) failing(u *library.Until, w crowd) (words string) {
	if q := u.Question; q != nil {
		i := slices.IndexFunc(q.Answers, func(a *library.Answer) bool { return !slices.Contains(u.Answers, a) })
		if i < 0 {
			return ""
		}
		return fmt.Sprintf(", such as with the answer %s to %s", quoted(q.Answers[i].Name), quoted(q.Name))
	}
	scale, _ := paths.ScaleOf(u.Reading)
	c.each(w, paths.UntilVariants(u), func(a library.Assignment) {
		x, ok := paths.ActingUntil(c.lib, u, a)
		if !ok || words != "" {
			return
		}
		left := quantity.SetOf(scale, quantity.All())
		if !x.Emptied {
			left = left.Minus(quantity.SetOf(scale, x.Range))
		}
		if left.Empty() {
			return
		}
		words = fmt.Sprintf(", such as with %s at %s", u.Reading.Name, show(u.Reading, left.Sample()))
		if len(a) > 0 {
			words += " for " + called(a)
		}
	})
	return words
}

// caseAt gives the place of an answer or member in the head of a branch.
func (c *checker) caseAt(br *library.Branch, s library.Symbol) source.Span {
	return c.namedIn(br.Head, s)
}

// answers judges that every answer offered is handled, by one branch.
func (c *checker) answers(d *library.Decide) {
	taken := map[*library.Answer]source.Span{}
	for _, br := range d.Branches {
		for _, a := range br.Answers {
			at := c.caseAt(br, a)
			if first, twice := taken[a]; twice {
				c.wrong("BP402", at, "two branches take the answer %s", quoted(a.Name)).Relate(first, "the other branch")
				continue
			}
			taken[a] = at
		}
	}
	var missing []string
	var first *library.Answer
	for _, a := range d.Question.Answers {
		if _, ok := taken[a]; ok {
			continue
		}
		if first == nil {
			first = a
		}
		missing = append(missing, quoted(a.Name))
	}
	if first != nil {
		c.wrong("BP405", d.OnSpan, "the question %s offers %s, which no branch takes", quoted(d.Question.Name), listed(missing, "and")).
			Relate(first.Span, "offered here").Helped("add a branch: %s { … }", first.Name)
	}
}

// members judges that every member for whom a decision happens is handled, by
// one branch, and that no branch is for a member the procedure is not for.
func (c *checker) members(d *library.Decide, w crowd) {
	taken := map[*library.Member]source.Span{}
	for _, br := range d.Branches {
		for _, m := range br.Members {
			at := c.caseAt(br, m)
			if first, twice := taken[m]; twice {
				c.wrong("BP402", at, "two branches take %s", quoted(m.Name)).Relate(first, "the other branch")
				continue
			}
			taken[m] = at
			// A routine is for the members of all procedures that perform it.
			if a, ok := c.applies(d.Variant); ok && c.routine == 0 && !slices.Contains(a.Members, m) {
				c.wrong("BP403", at, "this branch can never happen: the procedure does not apply to %s", quoted(m.Name)).
					Relate(a.Span, "it applies to these")
			}
		}
	}
	var missing []string
	var first *library.Member
	c.each(w, []*library.Variant{d.Variant}, func(a library.Assignment) {
		m := a.Of(d.Variant)
		if m == nil {
			return
		}
		if _, ok := taken[m]; ok {
			return
		}
		if first == nil {
			first = m
		}
		missing = append(missing, quoted(m.Name))
	})
	if first != nil {
		c.wrong("BP401", d.OnSpan, "no branch takes %s", listed(missing, "and")).
			Relate(first.Span, "declared here").Helped("add a branch: %s { … }", first.Name)
	}
}

func (c *checker) applies(v *library.Variant) (library.Applies, bool) {
	for _, a := range c.proc.Applies {
		if a.Variant == v {
			return a, true
		}
	}
	return library.Applies{}, false
}
