package document

import (
	"strconv"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/quantity"
)

// mostTold bounds how often a document says what holds for a member. A family of
// thirty with as many decisions has a few thousand.
const mostTold = 200_000

// tells tells whether the document may set out what holds for so many members
// more; the first time that it may not, it says so.
func (l *lowerer) tells(members int) bool {
	if l.telling > mostTold {
		return false
	}
	if l.telling += members; l.telling <= mostTold {
		return true
	}
	l.wrong("BP511", l.proc.Span, "the procedure is too intricate to be set out: members differ in more than %d places", mostTold).
		Helped("split it, or make documents for some members (--for)")
	return false
}

// assignments gives every combination of the members at hand of some variants;
// none where the document would tell more than can be read.
func (l *lowerer) assignments(variants []*library.Variant) []library.Assignment {
	list, _ := paths.Assignments(l.here, variants)
	if !l.tells(len(list)) {
		return nil
	}
	return list
}

// --- readings -------------------------------------------------------------------------

// A readingKey tells the takings of a reading apart that have other boxes.
type readingKey struct {
	reading *library.Reading
	of      string
	boxes   int
}

// reading gives the one Reading for a reading and its boxes.
func (l *lowerer) reading(r *library.Reading, of string, boxes int) *Reading {
	key := readingKey{r, of, max(boxes, 1)}
	if known, ok := l.readings[key]; ok {
		return known
	}
	out := &Reading{Name: r.Name, Title: r.Title, Boxes: key.boxes, Of: of}
	l.readings[key] = out
	if r.With != nil {
		out.Instrument = l.thing(r.With)
	}
	if r.Unit == nil {
		return out
	}
	out.Unit = r.Unit.Symbol
	out.ScaleText = out.Unit
	if scale, known := paths.ScaleOf(r); known {
		out.From, out.To = scale.From.Exact(), scale.To.Exact()
		at := placesOf(scale, nil)
		low, high := scale.From, scale.To
		if scale.Step.Sign() > 0 {
			out.Step = scale.Step.Exact()
			out.ScaleText = fill(l.ph.scaleUnit, "unit", out.Unit, "step", l.w.Numeral(scale.Step.Round(max(at, 0)).String()))
		}
		if scale.Origin.Sign() != 0 {
			out.Origin = scale.Origin.Exact()
		}
		out.RangeText = fill(l.ph.span, "low", l.ended(low, r.Unit), "high", l.ended(high, r.Unit))
	}
	if j := l.good[r]; j != nil && j.ranges == 1 {
		out.Limits = j.limits
	}
	return out
}

// ended prints the end of a scale: a value that no decimal writes is rounded.
func (l *lowerer) ended(n quantity.Number, u *quantity.Unit) string {
	if n.Places() < 0 || n.Places() > 6 {
		n = n.Round(3)
	}
	return l.w.Numeral(quantity.New(n, u).String())
}

// readingTitle is a reading with what is made of its boxes: "smallest sleeve
// diameter".
func (l *lowerer) readingTitle(r *Reading) string {
	switch r.Of {
	case "smallest":
		return fill(l.ph.smallest, "title", r.Title)
	case "largest":
		return fill(l.ph.largest, "title", r.Title)
	case "mean":
		return fill(l.ph.mean, "title", r.Title)
	}
	return r.Title
}

// A judge is what makes a reading good: in how many ranges of decisions and
// untils, and the limits of the one there is.
type judge struct {
	ranges int
	limits []MemberLimits
}

// judges finds the ranges that make readings good, so that the box of a
// reading can say it.
func (l *lowerer) judges() {
	l.good = map[*library.Reading]*judge{}
	of := func(r *library.Reading) *judge {
		if l.good[r] == nil {
			l.good[r] = &judge{}
		}
		return l.good[r]
	}
	paths.Each(l.proc, func(f library.Flow) {
		switch f := f.(type) {
		case *library.Decide:
			if f.Reading == nil {
				return
			}
			for i, br := range f.Branches {
				if br.Accept {
					j := of(f.Reading)
					if j.ranges++; j.ranges == 1 {
						j.limits = l.decided(f)[i]
					}
				}
			}
		case *library.Until:
			if f.Reading == nil {
				return
			}
			j := of(f.Reading)
			if j.ranges++; j.ranges == 1 {
				j.limits, _ = l.untilLimits(f)
			}
		}
	})
}

// --- limits ----------------------------------------------------------------------------

// actingKey is a decision and whom its ranges are for.
type actingKey struct {
	decide *library.Decide
	who    [2]*library.Member
}

// acting gives the ranges of a decision as they are acted on. It is asked for
// the box of the reading, the decision and its footnotes.
func (l *lowerer) acting(f *library.Decide, a library.Assignment) ([]quantity.Acting, bool) {
	key := actingKey{decide: f}
	if copy(key.who[:], a) < len(a) {
		return paths.Acting(l.lib, f, a)
	}
	list, known := l.acted[key]
	if !known {
		list, _ = paths.Acting(l.lib, f, a)
		l.acted[key] = list
	}
	return list, list != nil
}

// limits fills in the acting limits of a decision on a reading.
func (l *lowerer) limits(f *library.Decide, d *Decision) {
	for i, list := range l.decided(f) {
		d.Branches[i].Limits = list
	}
	var ends []movedEnds
	for _, a := range l.assignments(paths.Variants(f)) {
		acting, ok := l.acting(f, a)
		if !ok {
			continue
		}
		m := movedEnds{who: a}
		for i, x := range acting {
			if f.Branches[i].Accept {
				m.ranges = append(m.ranges, drawnRange{x, f.Branches[i].Range})
			}
		}
		ends = append(ends, m)
	}
	d.Footnotes = l.footnotes(f.Reading, l.placesOfDecision(f), ends)
}

// decided gives the acting limits of each branch of a decision. All are printed
// with the same decimals.
func (l *lowerer) decided(f *library.Decide) [][]MemberLimits {
	out := make([][]MemberLimits, len(f.Branches))
	scale, _ := paths.ScaleOf(f.Reading)
	places := l.placesOfDecision(f)
	list := l.assignments(paths.Variants(f))
	for _, a := range list {
		acting, ok := l.acting(f, a)
		if !ok {
			continue
		}
		for i, x := range acting {
			out[i] = append(out[i], MemberLimits{l.chosenOf(a, list), l.limitsOf(readable(x, scale), scale, f.Reading.Unit, places)})
		}
	}
	for i := range out {
		out[i] = together(out[i])
	}
	return out
}

// chosenOf gives the members of an assignment; none where there is but one.
func (l *lowerer) chosenOf(a library.Assignment, list []library.Assignment) []Chosen {
	if len(list) < 2 {
		return nil
	}
	out := make([]Chosen, len(a))
	for i, m := range a {
		out[i] = chosen(m)
	}
	return out
}

// together makes one entry of limits that are the same for all.
func together(list []MemberLimits) []MemberLimits {
	for i := 1; i < len(list); i++ {
		a, b := list[0].Limits, list[i].Limits
		if a.Text.String() != b.Text.String() || a.Low != b.Low || a.High != b.High || a.Impossible != b.Impossible {
			return list
		}
	}
	if len(list) > 1 {
		list = []MemberLimits{{Limits: list[0].Limits}}
	}
	return list
}

func (l *lowerer) placesOfDecision(f *library.Decide) int {
	scale, _ := paths.ScaleOf(f.Reading)
	var values []quantity.Number
	for _, a := range l.assignments(paths.Variants(f)) {
		acting, _ := l.acting(f, a)
		for _, x := range acting {
			values = appendEnds(values, readable(x, scale))
		}
	}
	return placesOf(scale, values)
}

// readable gives a range the ends that the instrument shows where an end lies
// between two values that it shows and has more decimals than they: "below
// 1.32874 in" on a scale of 0.0001 in is 1.3287 in or less.
func readable(x quantity.Acting, scale quantity.Scale) quantity.Acting {
	if scale.Continuous() || scale.Step.Places() < 0 {
		return x
	}
	between := func(e quantity.End) bool {
		return !e.Unbounded && (e.Value.Places() < 0 || e.Value.Places() > scale.Step.Places()) && !scale.Shows(e.Value)
	}
	low, high := x.Range.Low, x.Range.High
	if between(low) {
		if v, ok := scale.Up(low.Value); ok {
			low = quantity.End{Value: v}
		}
	}
	if between(high) {
		if v, ok := scale.Down(high.Value); ok {
			high = quantity.End{Value: v}
		}
	}
	if !low.Unbounded && !high.Unbounded && low.Value.Cmp(high.Value) > 0 {
		return x // the instrument shows nothing of it
	}
	x.Range = quantity.Range{Low: low, High: high}
	return x
}

func appendEnds(values []quantity.Number, x quantity.Acting) []quantity.Number {
	for _, e := range []quantity.End{x.Range.Low, x.Range.High} {
		if !e.Unbounded {
			values = append(values, e.Value)
		}
	}
	return values
}

// placesOf is with how many decimals the limits of a reading are printed: as
// the instrument shows them, and never fewer than a limit has. What no decimal
// writes is printed to a hundredth of the instrument's step.
func placesOf(scale quantity.Scale, values []quantity.Number) int {
	places := max(scale.Step.Places(), 0)
	endless := scale.Step.Places() < 0
	for _, v := range values {
		if p := v.Places(); p < 0 {
			endless = true
		} else {
			places = max(places, p)
		}
	}
	if !endless {
		return places
	}
	step := scale.Step.Abs()
	if step.Sign() == 0 {
		return max(places, 3)
	}
	fine := 2
	for one := quantity.NewInt(1); step.Cmp(one) < 0 && fine < 12; fine++ {
		step = step.Mul(quantity.NewInt(10))
	}
	return max(places, fine)
}

// limitsOf prints one acting range.
func (l *lowerer) limitsOf(x quantity.Acting, scale quantity.Scale, u *quantity.Unit, places int) Limits {
	out := Limits{
		Text: l.rangeText(x, u, places), LowOpen: x.Range.Low.Open, HighOpen: x.Range.High.Open,
		Impossible: x.Emptied || !scale.ShowsAny(x.Range),
	}
	if e := x.Range.Low; !e.Unbounded {
		out.Low = exact(e.Value, places)
	} else {
		out.LowOpen = false
	}
	if e := x.Range.High; !e.Unbounded {
		out.High = exact(e.Value, places)
	} else {
		out.HighOpen = false
	}
	if x.LowMoved || x.HighMoved {
		if e := x.Drawn.Low; !e.Unbounded {
			out.DrawnLow = exact(e.Value, places)
		}
		if e := x.Drawn.High; !e.Unbounded {
			out.DrawnHigh = exact(e.Value, places)
		}
	}
	return out
}

func exact(n quantity.Number, places int) string {
	if p := n.Places(); p >= 0 {
		return n.Decimal(max(p, places))
	}
	return n.Exact()
}

// rangeText prints a range with a mark behind each end that is not where it
// was drawn.
func (l *lowerer) rangeText(x quantity.Acting, u *quantity.Unit, places int) Text {
	end := func(e quantity.End, moved bool) Text {
		t := value(l.w.Numeral(quantity.New(e.Value, u).Format(places)))
		if moved {
			t = append(t, Span{Kind: Mark, Text: "*"})
		}
		return t
	}
	low, high := x.Range.Low, x.Range.High
	pairs := map[string]Text{}
	if !low.Unbounded {
		pairs["low"] = end(low, x.LowMoved)
	}
	if !high.Unbounded {
		pairs["high"] = end(high, x.HighMoved)
	}
	pattern := l.ph.between
	switch {
	case low.Unbounded && high.Unbounded:
		pattern = l.ph.anyValue
	case low.Unbounded && high.Open:
		pattern = l.ph.below
	case low.Unbounded:
		pattern = l.ph.atMost
	case high.Unbounded && low.Open:
		pattern = l.ph.above
	case high.Unbounded:
		pattern = l.ph.atLeast
	case low.Open && high.Open:
		pattern = l.ph.aboveToBelow
	case low.Open:
		pattern = l.ph.aboveTo
	case high.Open:
		pattern = l.ph.betweenBelow
	case low.Value.Equal(high.Value):
		pattern = l.ph.exactly
	}
	return say(pattern, pairs)
}

// --- footnotes --------------------------------------------------------------------------

// movedEnds are the accepting ranges for one assignment.
type movedEnds struct {
	who    library.Assignment
	ranges []drawnRange
}

// A drawnRange is a range as it is acted on and as it is written.
type drawnRange struct {
	acting quantity.Acting
	drawn  *library.Range
}

// footnotes give the drawing's limits where they were moved, and why. A limit
// drawn in the unit of the reading has the decimals of the acting limits; in
// another it stands as drawn.
func (l *lowerer) footnotes(r *library.Reading, places int, list []movedEnds) []Text {
	band, guarded := paths.BandOf(l.lib, r)
	if !guarded {
		return nil
	}
	type group struct {
		text Text
		who  []library.Assignment
	}
	var groups []group
	limits, on := 0, false
	for _, m := range list {
		var drawn []Text
		var seen []quantity.Number
		note := func(end *library.RangeEnd, drawing, acting quantity.End) {
			for _, n := range seen {
				if n.Equal(drawing.Value) {
					return
				}
			}
			seen = append(seen, drawing.Value)
			text := quantity.New(drawing.Value, r.Unit).Format(max(places, drawing.Value.Places()))
			if q, ok := end.Value.For(m.who); ok && q.Unit != r.Unit {
				text = q.String()
			}
			drawn = append(drawn, value(l.w.Numeral(text)))
			on = on || !drawing.Value.Sub(acting.Value).Abs().Equal(band.Width(drawing.Value).Abs())
		}
		for _, x := range m.ranges {
			if x.acting.LowMoved {
				note(x.drawn.Low, x.acting.Drawn.Low, x.acting.Range.Low)
			}
			if x.acting.HighMoved {
				note(x.drawn.High, x.acting.Drawn.High, x.acting.Range.High)
			}
		}
		if len(drawn) == 0 {
			continue
		}
		limits = max(limits, len(drawn))
		text := listed(drawn, l.ph.andList, l.ph.and)
		if n := len(groups); n > 0 && groups[n-1].text.String() == text.String() {
			groups[n-1].who = append(groups[n-1].who, m.who)
			continue
		}
		groups = append(groups, group{text, []library.Assignment{m.who}})
	}
	if len(groups) == 0 {
		return nil
	}
	parts := make([]Text, len(groups))
	for i, g := range groups {
		parts[i] = g.text
		if len(groups) > 1 {
			for j, a := range g.who {
				open := ", "
				if j == 0 {
					open = " ("
				}
				parts[i] = appendPlain(parts[i], open+memberTitles(a))
			}
			parts[i] = appendPlain(parts[i], ")")
		}
	}
	pattern := l.ph.drawing
	if limits > 1 || len(groups) > 1 {
		pattern = l.ph.drawings
	}
	moved := ""
	if on {
		moved = l.ph.movedOn
	}
	return []Text{say("{mark}"+pattern, map[string]Text{
		"mark": {{Kind: Mark, Text: "*"}}, "limits": listed(parts, l.ph.andList, l.ph.andList), "by": l.bandText(r, band), "on": words(moved),
	})}
}

// bandText says by how much limits are moved in.
func (l *lowerer) bandText(r *library.Reading, band quantity.Band) Text {
	unit := r.Unit
	if band.Relative {
		unit, _ = quantity.LookUp("%")
	}
	n := band.Uncertainty
	if n.Places() < 0 {
		n = n.Round(6)
	}
	u := value(l.w.Numeral(quantity.New(n, unit).String()))
	if band.Relative {
		u = say(l.ph.ofReading, map[string]Text{"u": u})
	}
	if band.Factor.Equal(quantity.NewInt(1)) {
		return say(l.ph.movedIn, map[string]Text{"u": u})
	}
	return say(l.ph.movedByPart, map[string]Text{"u": u, "r": value(l.w.Numeral(band.Factor.String()))})
}

// --- until ---------------------------------------------------------------------------------

// A pendingUntil waits for the targets of its repeat.
type pendingUntil struct {
	repeat       *Repeat
	hasOtherwise bool
}

func (l *lowerer) until(f *library.Until) Block {
	if q := f.Question; q != nil {
		l.shortOf[q.Name] = q.Short
		u := &Until{On: q.Name, Kind: ByAnswer, Title: q.Title, Cases: answersOf(f.Answers)}
		l.untilAt[u] = len(l.doc.Steps)
		l.bars(f, &u.Changed)
		return u
	}
	u := &Until{On: f.Reading.Name, Kind: ByReading, Reading: l.reading(f.Reading, f.Reading.Of, f.Reading.N)}
	l.bars(f, &u.Changed)
	u.Limits, u.Footnotes = l.untilLimits(f)
	return u
}

func (l *lowerer) untilLimits(f *library.Until) ([]MemberLimits, []Text) {
	scale, _ := paths.ScaleOf(f.Reading)
	list := l.assignments(paths.UntilVariants(f))
	var values []quantity.Number
	var ends []movedEnds
	for _, a := range list {
		if x, ok := paths.ActingUntil(l.lib, f, a); ok {
			values = appendEnds(values, readable(x, scale))
			ends = append(ends, movedEnds{a, []drawnRange{{x, &f.Range}}})
		}
	}
	places := placesOf(scale, values)
	var out []MemberLimits
	for _, e := range ends {
		out = append(out, MemberLimits{l.chosenOf(e.who, list), l.limitsOf(readable(e.ranges[0].acting, scale), scale, f.Reading.Unit, places)})
	}
	return together(out), l.footnotes(f.Reading, places, ends)
}

// limitsText prints limits in a sentence: "0.04 mm* or less (size 32), …".
func (l *lowerer) limitsText(list []MemberLimits) Text {
	parts := make([]Text, len(list))
	for i, m := range list {
		parts[i] = say("{t}", map[string]Text{"t": m.Limits.Text})
		for j, c := range m.Members {
			open := ", "
			if j == 0 {
				open = " ("
			}
			parts[i] = appendPlain(parts[i], open+c.MemberTitle)
		}
		if len(m.Members) > 0 {
			parts[i] = appendPlain(parts[i], ")")
		}
	}
	return listed(parts, l.ph.orList, l.ph.or)
}

// untils writes the sentences that end the turns, once it is known where the
// work goes on.
func (l *lowerer) untils() {
	for _, p := range l.untilOf {
		r, u := p.repeat, p.repeat.Until
		failure := words(l.ph.untilSame)
		switch {
		case p.hasOtherwise && r.OnFailure.Finish != "":
			failure = l.targetText(r.OnFailure)
		case p.hasOtherwise:
			failure = say(l.ph.goOn, map[string]Text{"target": l.targetText(r.OnFailure)})
		}
		pairs := map[string]Text{"target": l.targetText(r.OnSuccess), "failure": failure}
		pattern := l.ph.untilGo
		if u.Kind == ByAnswer {
			pattern = l.ph.untilAnswer
			pairs["question"] = words(fill(l.ph.question, "title", u.Title))
			pairs["answer"] = l.answersText(u.Cases)
			pairs["readings"] = words(l.turnsWord(r.Times, l.ph.turn, l.ph.turns))
		} else {
			one, several := l.ph.reading, l.ph.readings
			if u.Reading.Boxes > 1 { // each turn takes several
				one, several = l.ph.turn, l.ph.turns
			}
			pairs["reading"] = words(l.readingTitle(u.Reading))
			pairs["limits"] = l.limitsText(u.Limits)
			pairs["readings"] = words(l.turnsWord(r.Times, one, several))
		}
		if u.Again.Text != "" {
			pattern += l.ph.untilElse
			pairs["again"] = say(l.goesOn(r), map[string]Text{"target": l.targetText(u.Again)})
		}
		u.Text = say(pattern+l.ph.untilAfter, pairs)
	}
}

// goesOn is how to say where the work goes on while turns are left: back where
// no work stands behind the until.
func (l *lowerer) goesOn(r *Repeat) string {
	if _, last := r.Body[len(r.Body)-1].(*Until); last {
		return l.ph.goBack
	}
	return l.ph.goOn
}

// answersText prints answers in a sentence: "“dry” or “damp”".
func (l *lowerer) answersText(list []Member) Text {
	parts := make([]Text, len(list))
	for i, a := range list {
		parts[i] = Text{{Kind: Strong, Text: fill(l.ph.question, "title", a.Title)}}
	}
	return listed(parts, l.ph.orList, l.ph.or)
}

// turnsWord is "one reading", "four readings", "four turns".
func (l *lowerer) turnsWord(n int, one, several string) string {
	if n == 1 {
		return one
	}
	return fill(several, "n", l.number(n))
}

// number writes a small number as a word.
func (l *lowerer) number(n int) string {
	if n >= 0 && n < len(l.ph.counts) {
		return l.ph.counts[n]
	}
	return strconv.Itoa(n)
}

func (l *lowerer) targetText(t Target) Text {
	switch {
	case t.Decision != "":
		return words(fill(l.ph.theQuestion, "question", t.Text))
	case t.Step != 0:
		return Text{{Kind: StepRef, Text: t.Text, Step: t.Step}}
	case t.Finish != "":
		return Text{{Kind: FinishRef, Text: t.Text, Finish: t.Finish}}
	}
	return words(t.Text)
}
