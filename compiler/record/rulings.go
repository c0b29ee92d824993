package record

import (
	"slices"

	"benchproof/compiler/document"
)

// A ruling is what one decision or until said of a value: whether it is good, and
// the limits that make it so, in one stretch; nil where there are several.
type ruling struct {
	good          bool
	limits, drawn *Limits
}

// ruling says what ranges that make a value good said of one.
func (j *judge) ruling(ranges [][]document.MemberLimits, good bool) ruling {
	out := ruling{good: good}
	for i, list := range ranges {
		limits, drawn := j.acting(list), j.drawn(list)
		if limits == nil {
			return ruling{good: good}
		}
		if drawn == nil {
			drawn = limits
		}
		if i == 0 {
			out.limits, out.drawn = limits, drawn
			continue
		}
		if out.limits, out.drawn = out.limits.joined(limits), out.drawn.joined(drawn); out.limits == nil || out.drawn == nil {
			return ruling{good: good}
		}
	}
	return out
}

// ruled gives limits and a verdict to readings that more than one decision or until
// of a document judges. The page cannot write limits beside these, since only the
// way tells which of them judge the value; where the way came to several, a value is
// good that all find good.
func (j *judge) ruled() {
	for _, g := range j.given {
		t := g.taken
		if t.at == 0 || len(t.rulings) == 0 || !t.known || j.takings[t.at-1].Limits != nil {
			continue
		}
		out := &j.takings[t.at-1]
		first := t.rulings[0]
		good, limits, drawn := first.good, first.limits, first.drawn
		for _, r := range t.rulings[1:] {
			good = good && r.good
			limits, drawn = limits.common(r.limits), drawn.common(r.drawn)
		}
		out.Limits = limits
		if !sameLimits(drawn, limits) {
			out.Drawn = drawn
		}
		if out.Verdict = "within"; !good {
			out.Verdict = "outside"
			text := "what makes it good"
			if limits != nil {
				text = "its limits, " + limits.Words() + " " + t.reading.Unit
			}
			j.find("outside", Finding{Step: t.step, Turn: t.turn, Box: out.box}, "%s: %s is outside %s", place(t.step, t.turn), t.says, text)
		}
	}
}

// common gives the limits of what lies within both; nil where that is nothing, or
// where one is not known.
func (l *Limits) common(m *Limits) *Limits {
	if l == nil || m == nil {
		return nil
	}
	out := *l
	if low, ok := exactNumber(m.Low); ok {
		if mine, have := exactNumber(l.Low); !have || low.Cmp(mine) > 0 || low.Cmp(mine) == 0 && m.LowOpen {
			out.Low, out.LowOpen = m.Low, m.LowOpen
		}
	}
	if high, ok := exactNumber(m.High); ok {
		if mine, have := exactNumber(l.High); !have || high.Cmp(mine) < 0 || high.Cmp(mine) == 0 && m.HighOpen {
			out.High, out.HighOpen = m.High, m.HighOpen
		}
	}
	low, bounded := exactNumber(out.Low)
	high, bounded2 := exactNumber(out.High)
	if bounded && bounded2 && (low.Cmp(high) > 0 || low.Cmp(high) == 0 && (out.LowOpen || out.HighOpen)) {
		return nil
	}
	return &out
}

// joined gives the limits of what lies within either, where that is one stretch;
// nil where there is a gap between them.
func (l *Limits) joined(m *Limits) *Limits {
	list := []*Limits{l, m}
	slices.SortStableFunc(list, func(a, b *Limits) int {
		x, ok := exactNumber(a.Low)
		y, ok2 := exactNumber(b.Low)
		switch {
		case !ok && !ok2:
			return 0
		case !ok:
			return -1
		case !ok2:
			return 1
		}
		return x.Cmp(y)
	})
	low, high := list[0], list[1]
	end, ends := exactNumber(low.High)
	begin, begins := exactNumber(high.Low)
	if ends && begins && (end.Cmp(begin) < 0 || end.Cmp(begin) == 0 && low.HighOpen && high.LowOpen) {
		return nil
	}
	out := *low
	if start, starts := exactNumber(low.Low); starts && begins && start.Cmp(begin) == 0 && !high.LowOpen {
		out.LowOpen = false
	}
	if !ends {
		return &out
	}
	if top, tops := exactNumber(high.High); !tops || top.Cmp(end) > 0 || top.Cmp(end) == 0 && !high.HighOpen {
		out.High, out.HighOpen = high.High, high.HighOpen
	}
	return &out
}
