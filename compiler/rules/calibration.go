package rules

import (
	"cmp"
	"slices"
	"strings"

	"benchproof/compiler/library"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// CheckCalibration warns of instruments whose calibration is overdue on a day
// (2026-11-25) and that one of the procedures uses: one message for each
// instrument, which names the documents. Without a day nothing is overdue.
func CheckCalibration(lib *library.Library, procedures []*library.Procedure, day string) []*message.Message {
	c := newChecker(lib)
	var late []*library.Tool
	for _, t := range lib.Tools {
		if day != "" && t.Due != "" && t.Due < day && t.Due >= t.Calibrated {
			late = append(late, t)
		}
	}
	if len(late) == 0 {
		return nil
	}
	users := map[*library.Tool][]string{}
	for _, p := range procedures {
		for t := range toolsOf(lib, p) {
			if slices.Contains(late, t) {
				users[t] = append(users[t], documentOf(p))
			}
		}
	}
	for _, t := range late {
		if list := users[t]; len(list) > 0 {
			slices.Sort(list)
			c.wrong("BP027", t.Props["due"], "the calibration of %s was due on %s, and %s is past it", quoted(t.Name), t.Due, day).
				Note("used by %s", strings.Join(list, ", ")).
				Helped("have it calibrated and write the new day, or use another instrument")
		}
	}
	return c.messages
}

// documentOf is a procedure's document, by its number where it has one.
func documentOf(p *library.Procedure) string { return cmp.Or(p.Document, p.Name) }

// toolsOf gives the tools that a procedure names, in the routines that it performs
// too.
func toolsOf(lib *library.Library, p *library.Procedure) map[*library.Tool]bool {
	found := map[*library.Tool]bool{}
	seen := map[library.Symbol]bool{}
	var visit func(whole source.Span)
	visit = func(whole source.Span) {
		for _, r := range lib.Named(whole) {
			switch to := r.To.(type) {
			case *library.Tool:
				found[to] = true
			case *library.Routine:
				if !seen[to] {
					seen[to] = true
					visit(to.Whole)
				}
			}
		}
	}
	visit(p.Whole)
	return found
}

// numbers refuses a number that two things have where one of them stands in a
// sheet: there the number is what tells one from another.
func (c *checker) numbers(lib *library.Library) {
	first := map[string]*library.Common{}
	each := func(x *library.Common, at source.Span) {
		if x.Number == "" {
			return
		}
		was := first[x.Number]
		if was == nil {
			first[x.Number] = x
			return
		}
		later, earlier := x, was
		if later.Span.File.Sheet == nil {
			later, earlier = was, x
		}
		if later.Span.File.Sheet == nil || later.Name == earlier.Name {
			return // declared twice is told as that
		}
		c.wrong("BP024", numberOf(later), "the number %s is that of %s, too", quoted(later.Number), quoted(earlier.Name)).
			Relate(numberOf(earlier), "given here").Helped("a number belongs to one thing: mend the one that is wrong")
	}
	for _, t := range lib.Tools {
		each(&t.Common, t.Span)
	}
	for _, p := range lib.Parts {
		each(&p.Common, p.Span)
	}
	for _, x := range lib.Consumables {
		each(&x.Common, x.Span)
	}
}

// numberOf is where the number of a thing stands.
func numberOf(x *library.Common) source.Span {
	text := x.Whole.Text()
	if i := strings.Index(text, ` number "`); i >= 0 {
		at := x.Whole.Start + i + 1
		return source.Span{File: x.Whole.File, Start: at, End: at + len(`number "`) + len(x.Number) + 1}
	}
	return x.Span
}
