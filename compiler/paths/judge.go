package paths

import (
	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// ScaleOf gives what a reading's instrument can show, in the reading's unit.
// known is false where the instrument does not say what it reads (then every
// value is possible).
func ScaleOf(r *library.Reading) (scale quantity.Scale, known bool) {
	t := r.With
	if t == nil || t.Reads == nil || r.Unit == nil {
		return quantity.Scale{Endless: true}, false
	}
	unit := t.Reads.From.Unit
	from := t.Reads.From.Value
	to, err := t.Reads.To.In(unit)
	if err != nil {
		return quantity.Scale{Endless: true}, false
	}
	s := quantity.Scale{From: from, To: to}
	if t.Resolution != nil {
		// A step is a difference: 1 °C of a scale is 1 K wide.
		if step, err := t.Resolution.SpanIn(unit); err == nil {
			s.Step = step
		}
	}
	out, err := quantity.ScaleIn(s, unit, r.Unit)
	if err != nil {
		return quantity.Scale{Endless: true}, false
	}
	return out, true
}

// BandOf gives the guard band of a reading under the library's decision rule;
// guarded is false where limits stand as written.
func BandOf(lib *library.Library, r *library.Reading) (band quantity.Band, guarded bool) {
	if !lib.Decision.Guarded || r.With == nil || r.With.Uncertainty == nil {
		return band, false
	}
	u := *r.With.Uncertainty
	band.Factor = lib.Decision.Factor
	if r.With.Share {
		percent, _ := quantity.LookUp("%")
		band.Uncertainty, _ = u.In(percent)
		band.Relative = true
		return band, true
	}
	var err error
	if band.Uncertainty, err = u.SpanIn(r.Unit); err != nil {
		return band, false
	}
	return band, true
}

// Acting gives the ranges of a decision on a reading as they are acted on for
// one assignment of members. ok is false where a limit has no value for it.
func Acting(lib *library.Library, d *library.Decide, a library.Assignment) ([]quantity.Acting, bool) {
	scale, _ := ScaleOf(d.Reading)
	branches := make([]quantity.Branch, len(d.Branches))
	for i, br := range d.Branches {
		r, ok := br.Range.For(a, d.Reading.Unit)
		if !ok {
			return nil, false
		}
		branches[i] = quantity.Branch{Range: r, Accept: br.Accept}
	}
	band, guarded := BandOf(lib, d.Reading)
	if !guarded {
		out := make([]quantity.Acting, len(branches))
		for i, b := range branches {
			out[i] = quantity.Acting{Range: b.Range, Drawn: b.Range}
		}
		return out, true
	}
	return quantity.Guard(scale, branches, band), true
}

// ActingUntil gives the range that ends a repeat as it is acted on.
func ActingUntil(lib *library.Library, u *library.Until, a library.Assignment) (quantity.Acting, bool) {
	r, ok := u.Range.For(a, u.Reading.Unit)
	if !ok {
		return quantity.Acting{}, false
	}
	band, guarded := BandOf(lib, u.Reading)
	if !guarded {
		return quantity.Acting{Range: r, Drawn: r}, true
	}
	scale, _ := ScaleOf(u.Reading)
	return quantity.Guard(scale, []quantity.Branch{{Range: r, Accept: true}}, band)[0], true
}

// Variants gives the variants that the limits of a decision differ by.
func Variants(d *library.Decide) []*library.Variant {
	var out []*library.Variant
	for _, br := range d.Branches {
		if br.Range != nil {
			out = addVariants(out, br.Range)
		}
	}
	return out
}

// UntilVariants gives the variants that the range of an until differs by.
func UntilVariants(u *library.Until) []*library.Variant { return addVariants(nil, &u.Range) }

func addVariants(list []*library.Variant, r *library.Range) []*library.Variant {
	for _, e := range []*library.RangeEnd{r.Low, r.High} {
		if e == nil || e.Value.Column == nil {
			continue
		}
		v := e.Value.Column.Table.Variant
		known := v == nil
		for _, o := range list {
			known = known || o == v
		}
		if !known {
			list = append(list, v)
		}
	}
	return list
}

// MaxAssignments bounds how many combinations of members are told apart.
const MaxAssignments = 4096

// Assignments gives every combination of the members of some variants to which
// a procedure applies, in order. ok is false where there are too many: nothing
// can be said then of what differs by them, which has to be told.
func Assignments(p *library.Procedure, variants []*library.Variant) (out []library.Assignment, ok bool) {
	out = []library.Assignment{nil}
	for _, a := range p.Applies {
		wanted := false
		for _, v := range variants {
			wanted = wanted || v == a.Variant
		}
		if !wanted {
			continue
		}
		if len(out)*len(a.Members) > MaxAssignments {
			return nil, false
		}
		next := make([]library.Assignment, 0, len(out)*len(a.Members))
		for _, have := range out {
			for _, m := range a.Members {
				next = append(next, append(have[:len(have):len(have)], m))
			}
		}
		out = next
	}
	return out, true
}

// TooMany says that what a statement does differs by more combinations of
// members than are told apart.
func TooMany(p *library.Procedure, at source.Span) *message.Message {
	return message.New("BP511", p.Span, "the procedure is too intricate to be proved: one statement differs by more than %d combinations of members", MaxAssignments).
		Relate(at, "this is the statement").
		Helped("let its values depend on fewer variants, or say to which members the procedure applies")
}

// tooManyLimits says that the limits of a reading differ by too many members in
// too many places.
func tooManyLimits(p *library.Procedure, r *library.Reading) *message.Message {
	return message.New("BP511", p.Span, "the procedure is too intricate to be proved: the readings have too many different limits").
		Relate(r.Span, "the proof stopped at this one").
		Helped("split the procedure, or say to which members it applies")
}

// tooManyMembers says that the decisions differ by too many members, all together.
func tooManyMembers(p *library.Procedure, at source.Span) *message.Message {
	return message.New("BP511", p.Span, "the procedure is too intricate to be proved: its decisions differ by more than %d combinations of members, all together", maxAssigned).
		Relate(at, "the proof stopped here").
		Helped("split the procedure, or say to which members it applies")
}
