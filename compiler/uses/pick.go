package uses

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/dsl/message"
)

// A Job is a procedure that is to be done, and how often.
type Job struct {
	Procedure *library.Procedure
	Times     int
}

// A Line is one thing that a set of jobs takes.
type Line struct {
	Thing library.Thing
	// Instrument is true of a tool that reads or sets.
	Instrument bool
	// Least and Most are how many. Of a tool they are alike: the most that one step
	// of a job takes into the hand, since it goes back after the job. Of parts and
	// consumables they are sums over the jobs, proved over all paths: the least on
	// a way to a serviceable finish, the most on any. Both are zero where a
	// consumable is used without a count.
	Least, Most int
	// Always is true where some job always takes it; Only says else on which ways,
	// a job each.
	Always bool
	Only   []Only
	Kits   []*library.Kit
	Jobs   []*library.Procedure
}

// Only is on which ways a job takes something, in the words of its document.
type Only struct {
	Procedure *library.Procedure
	Text      string
}

// Count says how many: "2", "0 to 4", or nothing where there is no count.
func (l Line) Count(w *document.Words) string {
	switch {
	case l.Most == 0:
		return ""
	case l.Least == l.Most:
		return fmt.Sprint(l.Most)
	}
	return document.Fill(w.Lists.FromTo, "least", fmt.Sprint(l.Least), "most", fmt.Sprint(l.Most))
}

// A List is what a set of jobs takes: tools, then instruments, parts and
// consumables, each by title.
type List struct {
	Jobs    []Job
	Members []*library.Member
	Lines   []Line
}

// Pick works out what some jobs take, for machines that are these members. A
// job may apply to none of them; then it is refused. No job is wrong or reaches
// what is (Result.Faults). The messages tell of what has no translation, or of a
// fault of the compiler.
func Pick(r *compiler.Result, jobs []Job, members []*library.Member) (*List, []*message.Message, error) {
	out := &List{Jobs: jobs, Members: members}
	byName := map[string]library.Thing{}
	for _, s := range Declared(r.Library) {
		if t, ok := s.(library.Thing); ok {
			byName[t.Declared().Name] = t
		}
	}
	at := map[library.Thing]int{}
	var found []*message.Message
	for _, job := range jobs {
		i := slices.Index(r.Library.Procedures, job.Procedure)
		if !r.Applies(i, members) {
			return nil, nil, fmt.Errorf("%s does not apply to %s", job.Procedure.Name, memberNames(members))
		}
		doc, _, ms := r.Places(i, members)
		if len(ms) > 0 {
			found = append(found, ms...)
			continue
		}
		tally, ok := paths.CountAll(r.Library, document.Narrow(job.Procedure, members))
		if !ok {
			return nil, nil, fmt.Errorf("%s has too many ways to count what they take", job.Procedure.Name)
		}
		for _, list := range [][]document.Need{doc.Tools, doc.Parts, doc.Consumables} {
			for _, n := range list {
				t := byName[n.Thing.Name]
				k, known := at[t]
				if !known {
					k = len(out.Lines)
					at[t] = k
					out.Lines = append(out.Lines, Line{Thing: t, Instrument: n.Thing.Instrument, Kits: holding(r.Library, t)})
				}
				out.Lines[k].add(job, n, tally.Of(t))
			}
		}
	}
	if len(found) > 0 {
		return nil, message.Sort(found), nil
	}
	slices.SortStableFunc(out.Lines, func(a, b Line) int {
		x, y := a.Thing.Declared(), b.Thing.Declared()
		return cmp.Or(rank(a)-rank(b), strings.Compare(strings.ToLower(x.Title), strings.ToLower(y.Title)), strings.Compare(NumberOf(a.Thing), NumberOf(b.Thing)))
	})
	return out, nil, nil
}

// add puts what one job needs on the line.
func (l *Line) add(job Job, n document.Need, c paths.Count) {
	always := n.Always
	if _, tool := l.Thing.(*library.Tool); tool {
		l.Most = max(l.Most, n.Count)
		l.Least = l.Most
	} else {
		l.Least += c.Least * job.Times
		l.Most += c.Most * job.Times
		// What the proof finds on every way stands in no words.
		always = always || c.Least > 0
	}
	if always {
		l.Always = true
	} else {
		l.Only = append(l.Only, Only{job.Procedure, n.Only})
	}
	if !slices.Contains(l.Jobs, job.Procedure) {
		l.Jobs = append(l.Jobs, job.Procedure)
	}
}

// rank orders the sorts of things.
func rank(l Line) int {
	switch l.Thing.(type) {
	case *library.Part:
		return 2
	case *library.Consumable:
		return 3
	}
	if l.Instrument {
		return 1
	}
	return 0
}

// Sorts are the headings of a list, by Line.Rank.
func Sorts(w *document.Words) []string {
	return []string{w.Tools, w.Instruments, w.Lists.NewParts, w.Consumables}
}

// Rank is the place of the line's sort among Sorts.
func (l Line) Rank() int { return rank(l) }

func holding(lib *library.Library, t library.Thing) (out []*library.Kit) {
	for _, k := range lib.Kits {
		if slices.Contains(k.Holds, t) {
			out = append(out, k)
		}
	}
	return out
}

func memberNames(members []*library.Member) string {
	var names []string
	for _, m := range members {
		names = append(names, m.Variant.Name+"="+m.Name)
	}
	return strings.Join(names, ", ")
}

// A Box is a kit held against what a set of jobs takes.
type Box struct {
	Kit *library.Kit
	// Held are the lines that it holds enough of, Short those that it holds too
	// few of, Missing those that it does not hold.
	Held, Short, Missing []Line
	// Idle is what it holds and none of the jobs takes.
	Idle []library.Thing
}

// Holds is how many of a thing a kit holds: as often as it is named.
func Holds(k *library.Kit, t library.Thing) int {
	n := 0
	for _, x := range k.Holds {
		if x == t {
			n++
		}
	}
	return n
}

// Box holds a kit against the list. A consumable without a count is held where
// it is named.
func (l *List) Box(k *library.Kit) Box {
	b := Box{Kit: k}
	for _, line := range l.Lines {
		switch n := Holds(k, line.Thing); {
		case n == 0:
			b.Missing = append(b.Missing, line)
		case n < line.Most:
			b.Short = append(b.Short, line)
		default:
			b.Held = append(b.Held, line)
		}
	}
	for i, t := range k.Holds {
		taken := slices.ContainsFunc(l.Lines, func(line Line) bool { return line.Thing == t })
		if !taken && !slices.Contains(k.Holds[:i], t) {
			b.Idle = append(b.Idle, t)
		}
	}
	return b
}
