// Package compared writes what compare has found: as text for a terminal, as
// Markdown for a review, and as an HTML page with both versions side by side.
//
// Input: a report of compiler/compare. Output: bytes that depend on it alone.
// Nothing here decides what a difference is. Everything from a source is
// escaped for where it stands: a source steers neither a terminal nor a page.
package compared

import (
	"strconv"
	"strings"

	"benchproof/compiler/compare"
)

// A group is differences at one place of a flow.
type group struct {
	place *compare.Place
	list  []compare.Difference
}

// grouped puts differences that follow each other at one place together.
func grouped(list []compare.Difference) []group {
	var out []group
	for _, d := range list {
		if n := len(out); n > 0 && out[n-1].place == d.Place {
			out[n-1].list = append(out[n-1].list, d)
			continue
		}
		out = append(out, group{d.Place, []compare.Difference{d}})
	}
	return out
}

// heading says in words where a group stands: "step 12 (was 11)".
func heading(p *compare.Place) string {
	if p == nil {
		return ""
	}
	switch {
	case p.Old > 0 && p.New > 0 && p.Old != p.New:
		return "step " + strconv.Itoa(p.New) + " (was " + strconv.Itoa(p.Old) + ")"
	case p.New > 0:
		return "step " + strconv.Itoa(p.New)
	case p.Old > 0:
		return "step " + strconv.Itoa(p.Old) + " of the old version"
	}
	return ""
}

// around says what a place stands in.
func around(p *compare.Place) string {
	if p == nil {
		return ""
	}
	var parts []string
	if p.Stage != "" {
		parts = append(parts, p.Stage)
	}
	parts = append(parts, p.Within...)
	return strings.Join(parts, " › ")
}

// matter says what a difference is about and, where that is short, how.
func matter(d compare.Difference) string {
	what := d.What
	switch d.Change {
	case compare.Added:
		return joined(what, d.New)
	case compare.Gone:
		return joined(what, d.Old)
	case compare.Moved:
		if d.Old != d.New {
			return what + ", from " + d.Old + " to " + d.New
		}
		return what + ", in the order of the actions"
	}
	return what
}

// joined puts a name before a value, unless the value begins with it.
func joined(what, value string) string {
	if value == "" || strings.HasPrefix(value, what) {
		return what + strings.TrimPrefix(value, what)
	}
	return what + ": " + value
}

// both tells that a difference has an old and a new form to show.
func both(d compare.Difference) bool {
	return d.Change == compare.Changed || d.Change == compare.Reworded || d.Change == compare.Renamed
}

// sides parts marked words into those of the old text and those of the new.
func sides(words []compare.Word) (old, new []compare.Word) {
	put := func(list []compare.Word, w compare.Word) []compare.Word {
		if len(list) == 0 {
			w.Text = strings.TrimLeft(w.Text, " ")
		}
		return append(list, w)
	}
	for _, w := range words {
		if w.Change != compare.Added {
			old = put(old, w)
		}
		if w.Change != compare.Gone {
			new = put(new, w)
		}
	}
	return old, new
}

// wordsOf gives both texts of a difference; without marked words they differ whole.
func wordsOf(d compare.Difference) (old, new []compare.Word) {
	if len(d.Words) > 0 {
		return sides(d.Words)
	}
	return []compare.Word{{Text: d.Old}}, []compare.Word{{Text: d.New}}
}

// when says in words which input an example is. Readings that only let the work
// go on are left out where others are named.
func when(p compare.Parting) string {
	if p.Always || len(p.When) == 0 {
		return "on every path"
	}
	named := false
	for _, in := range p.When {
		named = named || !in.Usual
	}
	var parts []string
	for _, in := range p.When {
		if in.Usual && named {
			continue
		}
		s := in.Title + " is " + in.Value
		if in.Taking > 1 {
			s = in.Title + ", taken for the " + ordinal(in.Taking) + " time, is " + in.Value
		}
		if in.Range != "" && in.Range != in.Value {
			s += " (and so " + in.Range + ")"
		}
		parts = append(parts, s)
	}
	if len(parts) > 1 {
		return "when " + strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
	}
	return "when " + parts[0]
}

func ordinal(n int) string {
	switch n {
	case 1:
		return "first"
	case 2:
		return "second"
	case 3:
		return "third"
	}
	return strconv.Itoa(n) + "th"
}

// An effect is what an example does otherwise in one matter, finishes apart.
type effect struct {
	label              string
	lost, came, counts []string
}

// effects gathers the contrasts of an example. Steps are counted where the
// finish says enough.
func effects(p compare.Parting) []effect {
	list := []effect{{label: "parts"}, {label: "tools"}, {label: "hazards"}, {label: "steps"}}
	at := map[string]int{"part": 0, "tool": 1, "hazard": 2, "step": 3}
	for _, c := range p.Differs {
		i, known := at[c.Matter]
		if !known {
			continue
		}
		what := c.What
		if c.Matter == "step" {
			what = "“" + what + "”"
		}
		e := &list[i]
		switch {
		case strings.HasPrefix(c.New, "not "):
			e.lost = append(e.lost, what)
		case strings.HasPrefix(c.Old, "not "):
			e.came = append(e.came, what)
		default:
			e.counts = append(e.counts, what+" "+c.Old+" before, "+c.New+" now")
		}
	}
	var out []effect
	for _, e := range list {
		if len(e.lost)+len(e.came)+len(e.counts) > 0 {
			out = append(out, e)
		}
	}
	return out
}

// many is how many steps are named one by one.
const many = 3

// parts says what an effect is, in clauses.
func (e effect) clauses() []string {
	var out []string
	add := func(words string, list []string) {
		switch {
		case len(list) == 0:
		case e.label == "steps" && len(list) > many:
			out = append(out, words+" "+count(len(list), "step"))
		default:
			out = append(out, words+" "+strings.Join(list, ", "))
		}
	}
	verb := map[string]string{"parts": "fitted", "tools": "used", "hazards": "met", "steps": "done"}[e.label]
	add("no longer "+verb+":", e.lost)
	add("now "+verb+":", e.came)
	if len(e.counts) > 0 {
		out = append(out, strings.Join(e.counts, "; "))
	}
	return out
}

// finishes gives the finishes of an example where they are not the same.
func finishes(p compare.Parting) (old, new string, differ bool) {
	for _, c := range p.Differs {
		if c.Matter == "finish" {
			return c.Old, c.New, true
		}
	}
	return p.Old.Finish, p.New.Finish, false
}

func count(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return strconv.Itoa(n) + " " + word + "s"
}

// procedureTitle names a procedure: "WI-0301 Replace the seal".
func procedureTitle(p compare.Procedure) string {
	if p.Number == "" {
		return p.Title
	}
	return p.Number + " " + p.Title
}

// sideTitle says which library a side is.
func sideTitle(s compare.Side) string {
	out := s.Name
	if s.Commit != "" {
		out += ", commit " + s.Commit[:min(12, len(s.Commit))]
	}
	return out
}

// warnings say what a reader must know of the two libraries.
func warnings(r *compare.Report) []string {
	var out []string
	for i, s := range []compare.Side{r.Old, r.New} {
		if s.Errors > 0 {
			out = append(out, [...]string{"the old library has ", "the new library has "}[i]+count(s.Errors, "error")+
				": benchproof check tells them, and what they kept from being read may be told as added or gone")
		}
	}
	for _, n := range r.NotCompared {
		out = append(out, n.Name+" was not compared: "+n.Why)
	}
	return out
}

// verdict is the first line of a report.
func verdict(r *compare.Report) string {
	if r.Empty() {
		if len(r.NotCompared) > 0 {
			return "nothing differs of what could be compared"
		}
		return "no difference in meaning"
	}
	var counts [3]int
	for _, p := range r.Procedures {
		switch p.Change {
		case compare.Added:
			counts[0]++
		case compare.Gone:
			counts[1]++
		default:
			counts[2]++
		}
	}
	parts := []string{}
	for i, word := range []string{"added", "gone", "changed"} {
		if counts[i] > 0 {
			parts = append(parts, count(counts[i], "procedure")+" "+word)
		}
	}
	if n := len(r.Shared); n > 0 {
		parts = append(parts, count(n, "shared declaration")+" differ")
		if n == 1 {
			parts[len(parts)-1] += "s"
		}
	}
	return strings.Join(append(parts, count(r.Same, "procedure")+" the same"), ", ")
}

func capital(s string) string {
	if s == "" {
		return s
	}
	return strings.ToUpper(s[:1]) + s[1:]
}

func declarationTitle(d compare.Declaration) string {
	out := strings.TrimSpace(d.Sort + " " + d.Name)
	if d.Title != "" && d.Title != d.Name {
		out += ": " + d.Title
	}
	return out
}

// named is how many procedures are named where a declaration touches more.
const named = 20

// touches says which procedures use a declaration.
func touches(d compare.Declaration) string {
	switch n := len(d.Touches); {
	case d.Sort == "library":
		return "touches every procedure"
	case n == 0:
		return "touches no procedure"
	case n > named:
		return "touches " + strings.Join(d.Touches[:named], ", ") + " and " + strconv.Itoa(n-named) + " more"
	default:
		return "touches " + strings.Join(d.Touches, ", ")
	}
}

// summary says how much a procedure differs.
func summary(p compare.Procedure) string {
	if p.Change == compare.Added || p.Change == compare.Gone {
		return string(p.Change)
	}
	var parts []string
	if n := len(p.Differences); n > 0 {
		parts = append(parts, count(n, "difference"))
	}
	if n := len(p.Shared); n > 0 {
		parts = append(parts, count(n, "shared declaration"))
	}
	if p.Paths != nil && len(p.Paths.Partings) > 0 {
		parts = append(parts, "behaves differently")
	}
	return strings.Join(parts, ", ")
}

// notes say what was not compared on the paths of a procedure.
func notes(p *compare.Paths) []string {
	out := p.Bounds
	if p.More {
		out = append(out[:len(out):len(out)], "it behaves otherwise for further inputs, which are not listed")
	}
	return out
}
