package editor

import (
	"cmp"
	"slices"
	"strings"

	"github.com/charmbracelet/x/powernap/pkg/lsp/protocol"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/quantity"
)

// A hint is what is shown behind a place of the source.
type hint struct {
	at    int
	label string
	why   string
}

// inlayHints shows beside each drawn limit that a guard band moves the limit
// that is acted on.
func (s *server) inlayHints(p *protocol.InlayHintParams) (any, error) {
	out := []protocol.InlayHint{}
	s.look(p.TextDocument.URI, func(sc *scene) {
		start, end := sc.lines.offset(p.Range.Start), sc.lines.offset(p.Range.End)
		for _, h := range sc.hints() {
			if h.at < start || h.at > end {
				continue
			}
			out = append(out, protocol.InlayHint{
				Position: sc.lines.position(h.at), PaddingLeft: true,
				Label:   []protocol.InlayHintLabelPart{{Value: h.label}},
				Tooltip: &protocol.Or_InlayHint_tooltip{Value: h.why},
			})
		}
	})
	return out, nil
}

// hints gives the hints of the file in order, one for a place.
func (sc *scene) hints() []hint {
	byPlace := map[int]hint{}
	for _, p := range sc.Library.Procedures {
		if p.Broken || !sc.shows(p) {
			continue
		}
		paths.Each(p, func(f library.Flow) {
			if f.At().File != sc.file.Source {
				return
			}
			for _, h := range sc.limits(p, f) {
				if _, has := byPlace[h.at]; !has {
					byPlace[h.at] = h
				}
			}
		})
	}
	out := make([]hint, 0, len(byPlace))
	for _, h := range byPlace {
		out = append(out, h)
	}
	slices.SortFunc(out, func(a, b hint) int { return cmp.Compare(a.at, b.at) })
	return out
}

// shows tells whether a procedure or a routine it performs stands in the file.
func (sc *scene) shows(p *library.Procedure) bool {
	if p.File == sc.file.Source {
		return true
	}
	return slices.ContainsFunc(sc.Library.Routines, func(r *library.Routine) bool { return r.File == sc.file.Source })
}

// An end of a range, and what is acted on for one assignment of members.
type moved struct {
	who   string
	value string
}

// limits gives the hints of one decision or until.
func (sc *scene) limits(p *library.Procedure, f library.Flow) []hint {
	var reading *library.Reading
	var ranges []*library.Range
	var variants []*library.Variant
	var acting func(library.Assignment) []quantity.Acting
	switch f := f.(type) {
	case *library.Decide:
		if f.Reading == nil {
			return nil
		}
		reading, variants = f.Reading, paths.Variants(f)
		for _, br := range f.Branches {
			ranges = append(ranges, br.Range)
		}
		acting = func(a library.Assignment) []quantity.Acting {
			list, _ := paths.Acting(sc.Library, f, a)
			return list
		}
	case *library.Until:
		if f.Reading == nil {
			return nil
		}
		reading, variants, ranges = f.Reading, paths.UntilVariants(f), []*library.Range{&f.Range}
		acting = func(a library.Assignment) []quantity.Acting {
			if x, ok := paths.ActingUntil(sc.Library, f, a); ok {
				return []quantity.Acting{x}
			}
			return nil
		}
	default:
		return nil
	}
	band, guarded := paths.BandOf(sc.Library, reading)
	if !guarded {
		return nil
	}
	low, high := make([][]moved, len(ranges)), make([][]moved, len(ranges))
	list, _ := paths.Assignments(p, variants)
	for _, a := range list {
		for i, x := range acting(a) {
			if x.LowMoved {
				low[i] = append(low[i], moved{members(a), quantity.New(x.Range.Low.Value, reading.Unit).String()})
			}
			if x.HighMoved {
				high[i] = append(high[i], moved{members(a), quantity.New(x.Range.High.Value, reading.Unit).String()})
			}
		}
	}
	why := "acting limit: " + bandWords(band, reading) + " inside the drawn limit, so that a reading clears it by the uncertainty of its measurement"
	var out []hint
	add := func(e *library.RangeEnd, list []moved) {
		if e != nil && len(list) > 0 && !e.Span.IsZero() {
			out = append(out, hint{e.Span.End, "acting " + told(list), why})
		}
	}
	for i, r := range ranges {
		if r == nil {
			continue
		}
		if r.Low != nil && r.High != nil && r.Low.Span == r.High.Span {
			// Limits of a class stand at one place.
			if both := append(low[i], high[i]...); len(both) > 0 {
				add(r.Low, both)
			}
			continue
		}
		add(r.Low, low[i])
		add(r.High, high[i])
	}
	return out
}

// bandWords says how wide a guard band is.
func bandWords(b quantity.Band, r *library.Reading) string {
	g := b.Uncertainty.Mul(b.Factor)
	unit := r.Unit
	if b.Relative {
		unit, _ = quantity.LookUp("%")
	}
	if g.Places() < 0 {
		g = g.Round(6)
	}
	return quantity.New(g, unit).String()
}

func members(a library.Assignment) string {
	names := make([]string, len(a))
	for i, m := range a {
		names[i] = m.Name
	}
	return strings.Join(names, " ")
}

// told joins the limits of all members; where all have the same, it is said once.
func told(list []moved) string {
	same := true
	for _, m := range list {
		same = same && m.value == list[0].value
	}
	if same {
		return list[0].value
	}
	parts := make([]string, len(list))
	for i, m := range list {
		parts[i] = strings.TrimSpace(m.who + " " + m.value)
	}
	return strings.Join(parts, ", ")
}
