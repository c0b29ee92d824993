package paths

import (
	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
	"benchproof/compiler/trade"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

var millimetre, _ = quantity.LookUp("mm")

// tap judges a tapped hole against the drillings that may have made it.
func (e *engine) tap(a *library.Tap, s *state) {
	f := fact{drilled, a.Hole, nil}
	have := e.get(s, f)
	if !a.Existing {
		e.fault("BP701", a.At(), a.Hole, e.space.is(have, 0), func() *message.Message {
			return message.New("BP701", a.At(), "the hole %s is tapped, but it is not drilled", quoted(a.Hole.Name)).
				Relate(e.whence(s, f), "drilled here").
				Helped("drill it first, or write: tap existing %s", a.Hole.Name)
		})
	}
	thread, err := trade.ParseThread(a.Thread)
	if err != nil {
		return
	}
	if outranked(a, thread) {
		return
	}
	for _, v := range e.space.values(have) {
		if v == 0 {
			continue
		}
		d := e.drillings[v-1]
		cond := e.space.is(have, v)
		e.diameter(a, d, thread, cond)
		e.depth(a, d, thread, cond)
	}
}

// outranked tells that the tap named does not cut this thread at all (BP703).
func outranked(a *library.Tap, thread trade.Thread) bool {
	if a.With.Taps == "" || a.With.TapsInsert != a.Insert {
		return true
	}
	t, err := trade.ParseThread(a.With.Taps)
	return err != nil || !t.Diameter.Equal(thread.Diameter) || !t.Pitch.Equal(thread.Pitch)
}

// each member for whom a drilling or tapping differs is judged by itself.
func (e *engine) eachMember(at source.Span, cond ref, values []library.Value, judge func(a library.Assignment, when ref)) {
	var variants []*library.Variant
	for _, v := range values {
		if v.Column != nil && v.Column.Table.Variant != nil {
			known := false
			for _, o := range variants {
				known = known || o == v.Column.Table.Variant
			}
			if !known {
				variants = append(variants, v.Column.Table.Variant)
			}
		}
	}
	for _, a := range e.combinations(variants, at) {
		if when := e.space.and(cond, e.isAssignment(a)); when != no {
			judge(a, when)
		}
	}
}

func inMillimetres(v library.Value, a library.Assignment) (quantity.Number, bool) {
	q, ok := v.For(a)
	if !ok {
		return quantity.Number{}, false
	}
	n, err := q.In(millimetre)
	return n, err == nil
}

func (e *engine) diameter(a *library.Tap, d *library.Drill, thread trade.Thread, cond ref) {
	hole, err := trade.TappingHole(thread)
	kind := ""
	if a.Insert {
		hole, err = trade.InsertHole(thread)
		kind = " for an insert"
	}
	if err != nil {
		return
	}
	e.eachMember(a.Span, cond, []library.Value{d.Size}, func(as library.Assignment, when ref) {
		size, ok := inMillimetres(d.Size, as)
		if !ok {
			return
		}
		verdict := hole.Judge(size)
		if verdict == trade.Inside {
			return
		}
		e.fault("BP701", a.ThreadSpan, d, when, func() *message.Message {
			m := message.New("BP701", a.ThreadSpan, "a hole of %s mm is %s for %s%s, which takes %s to %s mm", size, verdict, thread, kind, hole.Lower, hole.Upper).
				Relate(d.Size.Span, "drilled here").Note("limits: %s", hole.Source)
			if hole.Recommended.Sign() > 0 {
				m.Helped("the usual drill is %s mm", hole.Recommended)
			}
			return m
		})
	})
}

func (e *engine) depth(a *library.Tap, d *library.Drill, thread trade.Thread, cond ref) {
	over, ok := trade.BlindOverhang(thread)
	why := "the run-out of DIN 76-1"
	if a.With.Lead != nil {
		over, ok = trade.LeadOverhang(thread, *a.With.Lead), true
		why = "the tap's lead and one thread"
	}
	if !ok {
		return
	}
	e.eachMember(a.Span, cond, []library.Value{d.Deep, a.Deep}, func(as library.Assignment, when ref) {
		deep, ok1 := inMillimetres(d.Deep, as)
		tapped, ok2 := inMillimetres(a.Deep, as)
		if !ok1 || !ok2 {
			return
		}
		need := tapped.Add(over)
		if deep.Cmp(need) >= 0 {
			return
		}
		e.fault("BP702", a.Deep.Span, d, when, func() *message.Message {
			return message.New("BP702", a.Deep.Span, "a hole %s mm deep is too shallow for a thread %s mm deep: %s more take %s mm", deep, tapped, why, need).
				Relate(d.Deep.Span, "drilled here").Helped("drill at least %s mm deep, or tap less deep", need)
		})
	})
}
