package release

import (
	"fmt"
	"slices"
	"strings"

	"benchproof/compiler/library"
	"benchproof/dsl/source"
)

// A Standing is how the newest revision of a procedure stands.
type Standing struct {
	// Released and Withdrawn are the statements on it, or nil.
	Released, Withdrawn *library.Released
	// Before is the last release of an earlier revision that the steps can be
	// compared with, or nil.
	Before *library.Released
}

// StandingOf looks up what is said of a procedure. Of two statements of one kind
// on one revision the first counts; that there are two is told elsewhere.
func StandingOf(lib *library.Library, p *library.Procedure) (out Standing) {
	list := lib.ReleasesOf(p)
	for i, rev := range p.Revisions {
		for _, r := range list {
			switch {
			case r.Revision != rev.Name:
			case i > 0:
				if out.Before == nil && !r.Withdrawn && r.Method == Method && Sound(r) {
					out.Before = r
				}
			case r.Withdrawn && out.Withdrawn == nil:
				out.Withdrawn = r
			case !r.Withdrawn && out.Released == nil:
				out.Released = r
			}
		}
	}
	return out
}

// Statement gives the statement that a procedure's newest revision is released
// over a manifest, by a person on a day, in the layout of package format.
func Statement(p *library.Procedure, m *Manifest, by, on string) string {
	var b strings.Builder
	head(&b, "released", p, by, on)
	print := m.Fingerprint
	fmt.Fprintf(&b, "  fingerprint  %s \"%s %s %s\"\n", Method, print[:4], print[4:8], print[8:])
	var steps, over []string
	for _, s := range m.Steps {
		steps = append(steps, s.Mark)
	}
	for _, i := range m.Over {
		over = append(over, strings.Join(strings.Fields(i.Sort+" "+i.Name+" "+i.Mark), " "))
	}
	list(&b, "steps", steps, 8)
	list(&b, "over", over, 3)
	b.WriteString("}\n")
	return b.String()
}

// Withdrawal gives the statement that a procedure's newest revision is withdrawn.
func Withdrawal(p *library.Procedure, by, on, reason string) string {
	var b strings.Builder
	head(&b, "withdrawn", p, by, on)
	fmt.Fprintf(&b, "  reason  %s\n}\n", quoted(reason))
	return b.String()
}

func head(b *strings.Builder, word string, p *library.Procedure, by, on string) {
	gap := "           "
	if word == "withdrawn" {
		gap = "      "
	}
	fmt.Fprintf(b, "%s %s %s {\n  by%s%s\n  on%s%s\n", word, p.Name, p.Revisions[0].Name, gap, quoted(by), gap, on)
}

// quoted writes a text as the language does.
func quoted(s string) string {
	return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(s) + `"`
}

// list writes a property of many values, some on each line.
func list(b *strings.Builder, key string, values []string, perLine int) {
	if len(values) == 0 {
		return
	}
	const column = len("fingerprint") + 2
	fmt.Fprintf(b, "  %-*s", column, key)
	for i, v := range values {
		switch {
		case i == 0:
		case i%perLine == 0:
			b.WriteString(",\n" + strings.Repeat(" ", 2+column))
		default:
			b.WriteString(", ")
		}
		b.WriteString(v)
	}
	b.WriteByte('\n')
}

// plainPrint leaves out the spaces that part a fingerprint into fours.
func plainPrint(s string) string { return strings.ToLower(strings.Join(strings.Fields(s), "")) }

// Sound tells whether the fingerprint and the marks of a release are what this
// program writes, whatever they stand for.
func Sound(r *library.Released) bool {
	print := plainPrint(r.Fingerprint)
	if len(print) != 12 || strings.Trim(print, "0123456789abcdef") != "" {
		return false
	}
	for _, m := range r.Steps {
		if !isMark(m) {
			return false
		}
	}
	has := map[string]bool{}
	for _, o := range r.Over {
		if !isMark(o.Mark) {
			return false
		}
		has[o.Sort] = true
	}
	return has[ofLibrary] && has[ofHead] && has[ofOrder]
}

// Same tells whether a procedure is what was released.
func (m *Manifest) Same(r *library.Released) bool { return plainPrint(r.Fingerprint) == m.Fingerprint }

// A Difference is one thing that is not as it was released.
type Difference struct {
	// Text names it: "step 4", "tool puller", "part lid, no longer used".
	Text string
	// At is where it stands now; zero for what has gone.
	At source.Span
}

// Differences names what is not as a release has it: steps, what else the
// procedure says, then declarations. It is empty where only what the marks do
// not tell apart is different.
func (m *Manifest) Differences(r *library.Released) (out []Difference) {
	old := stamps(r.Over)
	routines := map[string]bool{}
	for _, i := range m.Over {
		if i.Sort == "routine" && old[i.Stamp] == 0 {
			routines[i.Name] = true
		}
	}
	out = append(out, m.steps(r, routines)...)
	counted := map[library.Stamp]int{}
	var order []Difference
	key := func(s library.Stamp) library.Stamp { return library.Stamp{Sort: s.Sort, Name: s.Name} }
	keysOld, keysNow := map[library.Stamp]int{}, map[library.Stamp]int{}
	for _, s := range r.Over {
		keysOld[key(s)]++
	}
	for _, i := range m.Over {
		keysNow[key(i.Stamp)]++
	}
	for _, i := range m.Over {
		if counted[i.Stamp]++; counted[i.Stamp] <= old[i.Stamp] {
			continue
		}
		text := i.Text
		if i.Name != "" && keysOld[key(i.Stamp)] == 0 {
			text += ", which is new to it"
		}
		d := Difference{text, i.At}
		if i.Sort == ofOrder {
			order = append(order, d)
			continue
		}
		out = append(out, d)
	}
	gone := map[library.Stamp]bool{}
	for _, s := range r.Over {
		k := key(s)
		if keysOld[k] <= keysNow[k] || gone[k] {
			continue
		}
		gone[k] = true
		if s.Name == "" {
			out = append(out, Difference{Text: fmt.Sprintf("a %s that has gone", s.Sort)})
		} else {
			out = append(out, Difference{Text: fmt.Sprintf("%s %s, which it no longer uses", s.Sort, s.Name)})
		}
	}
	if len(out) == 0 {
		return order
	}
	return out
}

// steps names the steps that differ. What differs in a routine that is named
// itself is not named again.
func (m *Manifest) steps(r *library.Released, routines map[string]bool) (out []Difference) {
	left := map[string]int{}
	for _, mark := range r.Steps {
		left[mark]++
	}
	for n, s := range m.Steps {
		if left[s.Mark] > 0 {
			left[s.Mark]--
			continue
		}
		if routines[s.In] {
			continue
		}
		out = append(out, Difference{fmt.Sprintf("step %d", n+1), s.Bound.Span})
	}
	if gone := len(r.Steps) - len(m.Steps); gone > 0 {
		text := "a step that has gone"
		if gone > 1 {
			text = fmt.Sprintf("%d steps that have gone", gone)
		}
		out = append(out, Difference{Text: text})
	}
	return out
}

func stamps(list []library.Stamp) map[library.Stamp]int {
	out := make(map[library.Stamp]int, len(list))
	for _, s := range list {
		out[s]++
	}
	return out
}

// Changed gives the steps, decisions, stages, repeats, their ends and finishes that
// do not say what one of a release said: their words are new, or something that
// they name has changed. What has only moved or has another number is not among
// them.
func (m *Manifest) Changed(lib *library.Library, r *library.Released) map[library.Flow]bool {
	old := stamps(r.Over)
	same := map[library.Stamp]bool{} // by sort and name
	for _, i := range m.Over {
		same[library.Stamp{Sort: i.Sort, Name: i.Name}] = old[i.Stamp] > 0
	}
	other := func(x library.Symbol) bool {
		return !same[library.Stamp{Sort: x.Sort(), Name: x.Declared().Name}]
	}
	out := map[library.Flow]bool{}
	left := map[string]int{}
	for _, mark := range r.Steps {
		left[mark]++
	}
	for _, s := range m.Steps {
		left[s.Mark]--
		if left[s.Mark] < 0 || slices.ContainsFunc(shown(lib, s.Bound.Span, nil), other) {
			out[s.Bound] = true
		}
	}
	for _, i := range m.Over {
		var inside []source.Span
		switch f := i.Bound.(type) {
		case *library.Decide:
			inside = bodies(f)
		case *library.Stage:
			inside = spans(f.Body)
		case *library.Repeat:
			inside = slices.Concat(spans(f.Body), spans(f.Otherwise))
		case *library.Finish:
			// It prints the title and number of the job that goes on.
			if f.To != nil && other(f.To) {
				out[f] = true
			}
		case *library.Until:
		default:
			continue
		}
		old[i.Stamp]--
		if old[i.Stamp] < 0 || slices.ContainsFunc(shown(lib, i.Bound.At(), inside), other) {
			out[i.Bound] = true
		}
	}
	return out
}

// shown gives the declarations that a statement shows something of: those it
// names, and the hazards that come with them. What stands inside is left out.
func shown(lib *library.Library, whole source.Span, inside []source.Span) (out []library.Symbol) {
	add := func(x library.Symbol) {
		if _, other := x.(*library.Procedure); x != nil && !other && !slices.Contains(out, x) {
			out = append(out, x)
		}
	}
	thing := func(x library.Symbol) {
		add(x)
		switch x := x.(type) {
		case *library.Tool:
			for _, h := range x.Carries {
				add(h)
			}
		case *library.Part:
			for _, h := range x.Guards {
				add(h)
			}
		}
	}
	for _, r := range lib.Named(whole) {
		if slices.ContainsFunc(inside, func(s source.Span) bool { return r.Span.Start >= s.Start && r.Span.End <= s.End }) {
			continue
		}
		if c, ok := r.To.(*library.Column); ok {
			for _, t := range c.Things {
				if t != nil {
					thing(t)
				}
			}
		}
		if d := declaration(r.To); d != nil {
			thing(d)
		}
	}
	return out
}
