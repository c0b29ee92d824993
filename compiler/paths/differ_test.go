package paths_test

import (
	"fmt"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/quantity"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// What Differ finds over all inputs at once is held against single inputs, one
// after another: a plain interpreter runs both versions on every combination
// of values on both sides of every limit of either, as far as they are asked for.

// A did is what one version did with one input.
type did struct {
	finish string
	counts map[string]int // "part rod", "tool puller", "hazard shock"
	ways   map[int]bool   // branches, by offset
}

// An input gives the values of successive takings by name and number.
type input struct {
	members library.Assignment
	values  map[string]any
}

// missing is the value that a run lacks.
type missing struct{ of library.Symbol }

type runner struct {
	in    input
	taken map[string]int
	now   map[library.Symbol]any
	out   did
}

func keyFor(of library.Symbol, nth int) string { return of.Declared().Name + "#" + strconv.Itoa(nth) }

// runOn runs a version on an input; lacking is the symbol whose value it lacks.
func runOn(p *library.Procedure, in input) (out did, lacking library.Symbol, key string) {
	r := &runner{in: in, taken: map[string]int{}, now: map[library.Symbol]any{}, out: did{finish: "serviceable", counts: map[string]int{}, ways: map[int]bool{}}}
	defer func() {
		if x := recover(); x != nil {
			m, ours := x.(missing)
			if !ours {
				panic(x)
			}
			lacking, key = m.of, keyFor(m.of, r.taken[m.of.Declared().Name])
		}
	}()
	r.body(p.Body)
	return r.out, nil, ""
}

func (r *runner) take(of library.Symbol) {
	v, ok := r.in.values[keyFor(of, r.taken[of.Declared().Name])]
	if !ok {
		panic(missing{of})
	}
	r.taken[of.Declared().Name]++
	r.now[of] = v
}

// body runs statements; false: the work has finished.
func (r *runner) body(list []library.Flow) bool {
	for _, f := range list {
		switch f := f.(type) {
		case *library.Stage:
			if !r.body(f.Body) {
				return false
			}
		case *library.Perform:
			if !r.body(f.Body) {
				return false
			}
		case *library.Step:
			r.step(f)
		case *library.Finish:
			r.out.finish = f.Outcome
			if f.To != nil {
				r.out.finish += " to " + f.To.Name
			}
			return false
		case *library.Decide:
			for _, br := range f.Branches {
				if r.goes(f, br) {
					r.out.ways[br.Span.Start] = true
					if !r.body(br.Body) {
						return false
					}
					break
				}
			}
		case *library.Repeat:
			if !r.repeat(f) {
				return false
			}
		}
	}
	return true
}

func (r *runner) goes(d *library.Decide, br *library.Branch) bool {
	switch {
	case d.Variant != nil:
		return slices.Contains(br.Members, r.in.members.Of(d.Variant))
	case d.Question != nil:
		return slices.ContainsFunc(br.Answers, func(a *library.Answer) bool { return a.Name == r.now[d.Question] })
	}
	rg, _ := br.Range.For(r.in.members, d.Reading.Unit)
	return rg.Contains(r.now[d.Reading].(quantity.Number))
}

func (r *runner) repeat(rp *library.Repeat) bool {
	for turn := 1; ; turn++ {
		for _, f := range rp.Body {
			u, is := f.(*library.Until)
			if !is {
				if !r.body([]library.Flow{f}) {
					return false
				}
				continue
			}
			if r.over(u) {
				r.out.ways[u.Span.Start] = true
				return true
			}
			if turn == rp.Times {
				r.out.ways[paths.OtherwiseOf(rp).Start] = true
				return r.body(rp.Otherwise)
			}
		}
	}
}

// over tells whether a repeat ends.
func (r *runner) over(u *library.Until) bool {
	if u.Question != nil {
		return slices.ContainsFunc(u.Answers, func(a *library.Answer) bool { return a.Name == r.now[u.Question] })
	}
	rg, _ := u.Range.For(r.in.members, u.Reading.Unit)
	return rg.Contains(r.now[u.Reading].(quantity.Number))
}

func (r *runner) step(st *library.Step) {
	hazards := func(list []*library.Hazard) {
		for _, h := range list {
			r.out.counts["hazard "+h.Name] = 1
		}
	}
	for _, a := range st.Actions {
		for _, it := range paths.ToolsOf(a) {
			switch t := it.For(r.in.members).(type) {
			case *library.Tool:
				r.out.counts["tool "+t.Name] = 1
				hazards(t.Carries)
			case *library.Consumable:
				r.out.counts["consumable "+t.Name] = 1
			}
		}
		switch a := a.(type) {
		case *library.Warn:
			for _, h := range a.Hazards {
				hazards([]*library.Hazard{h.Hazard})
			}
		case *library.Remove:
			for _, it := range a.Items {
				if p, ok := it.For(r.in.members).(*library.Part); ok {
					hazards(p.Guards)
					hazards(guardsOfKind(p))
				}
			}
		case *library.Refit:
			r.fitted(a.Items)
		case *library.FitNew:
			r.fitted(a.Items)
		case *library.Measure:
			r.take(a.Reading)
		case *library.Ask:
			r.take(a.Question)
		}
	}
}

func (r *runner) fitted(items []library.Item) {
	for _, it := range items {
		r.out.counts["part "+it.For(r.in.members).Declared().Name] += it.Count
	}
}

// contrastsOf lists what two runs did otherwise, as Differ names it.
func contrastsOf(a, b did) []string {
	var out []string
	if a.finish != b.finish {
		out = append(out, "finish")
	}
	seen := map[string]bool{}
	for _, m := range []map[string]int{a.counts, b.counts} {
		for k := range m {
			if !seen[k] && a.counts[k] != b.counts[k] {
				out = append(out, k)
			}
			seen[k] = true
		}
	}
	slices.Sort(out)
	return out
}

// every calls f for each input that both versions run on; false where there
// are too many.
func every(old, new *library.Procedure, swap map[*library.Member]*library.Member, f func(in input, a, b did)) bool {
	candidates := map[string][]quantity.Number{}
	for _, p := range []*library.Procedure{old, new} {
		n := &naive{p: p}
		for _, r := range p.Readings {
			for _, v := range n.telling(r) {
				if !slices.ContainsFunc(candidates[r.Name], v.Equal) {
					candidates[r.Name] = append(candidates[r.Name], v)
				}
			}
		}
	}
	runs := 0
	var grow func(in input) bool
	grow = func(in input) bool {
		if runs++; runs > 4_000 {
			return false
		}
		a, lacks, key := runOn(old, in)
		var b did
		if lacks == nil {
			// A member of one library is another's by name.
			theirs := input{values: in.values}
			for _, m := range in.members {
				theirs.members = append(theirs.members, swap[m])
			}
			b, lacks, key = runOn(new, theirs)
		}
		if lacks == nil {
			f(in, a, b)
			return true
		}
		with := func(v any) bool {
			next := input{in.members, copied(in.values)}
			next.values[key] = v
			return grow(next)
		}
		if q, ok := lacks.(*library.Question); ok {
			for _, a := range q.Answers {
				if !with(a.Name) {
					return false
				}
			}
			return true
		}
		for _, v := range candidates[lacks.Declared().Name] {
			if !with(v) {
				return false
			}
		}
		return true
	}
	var all []*library.Variant
	for _, a := range old.Applies {
		all = append(all, a.Variant)
	}
	list, _ := paths.Assignments(old, all)
	for _, a := range list {
		if !grow(input{a, map[string]any{}}) {
			return false
		}
	}
	return true
}

// bySort names what is declared as both versions know it.
func bySort(s library.Symbol) string { return s.Sort() + " " + s.Declared().Name }

func byOutcome(f library.Flow) string {
	fin, ok := f.(*library.Finish)
	switch {
	case !ok:
		return ""
	case fin.To != nil:
		return fin.Outcome + " to " + fin.To.Name
	case fin.Outcome == "serviceable":
		return "end"
	}
	return fin.Outcome
}

// mutate changes a procedure in ways that keep it whole more often than not.
func mutate(r *rand.Rand, lines []string) []string {
	out := slices.Clone(lines)
	// Both ends of a limit move together, and branches change places in pairs.
	swaps := []*strings.Replacer{
		strings.NewReplacer("below 10 mm", "below 9 mm", "from 10 mm to", "from 9 mm to"),
		strings.NewReplacer("below 20 mm", "below 21 mm", "at least 20 mm", "at least 21 mm"),
		strings.NewReplacer("at most 15 mm", "at most 16 mm", "above 15 mm", "above 16 mm"),
		strings.NewReplacer("at most 40 degC", "at most 45 degC", " some, yes", " yes", "until u-1 yes", "until u-1 some"),
		strings.NewReplacer("use oil", "use oil, fit.blower"),
		strings.NewReplacer("warn chips", "note \"x\""),
		strings.NewReplacer("finish scrap", "finish refer", "finish refer \"Call.\"", "finish scrap"),
		strings.NewReplacer("yes {", "no {", "no {", "yes {"),
		strings.NewReplacer("small {", "large {", "large {", "small {"),
		strings.NewReplacer("at most 2 times {", "at most 3 times { step \"Oil.\" { use oil }"),
		strings.NewReplacer("fit new fit.seat", "fit new seat-s"),
		strings.NewReplacer("fit.edge", "12 mm"),
	}
	for range 1 + r.IntN(3) {
		s := swaps[r.IntN(len(swaps))]
		for i := range out {
			out[i] = s.Replace(out[i])
		}
	}
	return out
}

func jobOf(lines []string) string {
	return randomHead + "procedure job \"Job\" {\ndocument \"W-1\"\nrevision A on 2026-01-01 \"x\"\napplies to size small, large\n" + strings.Join(lines, "\n") + "\n}\n"
}

// soundJob makes a procedure that has no error; false where it has one.
func soundJob(t *testing.T, lines []string) (*library.Library, *library.Procedure, bool) {
	lib, p, ok := randomLibrary(t, jobOf(lines))
	if !ok || message.HasErrors(paths.Judge(lib, p).Messages) {
		return nil, nil, false
	}
	return lib, p, true
}

// branchWays names the branches of two versions in their order, where they have
// as many: as an alignment would.
func branchWays(old, new *library.Procedure) (a, b map[source.Span]string) {
	read := func(p *library.Procedure) (out []source.Span) {
		paths.Each(p, func(f library.Flow) {
			switch f := f.(type) {
			case *library.Decide:
				for _, br := range f.Branches {
					out = append(out, br.Span)
				}
			case *library.Until:
				out = append(out, f.Span)
			case *library.Repeat:
				out = append(out, paths.OtherwiseOf(f))
			}
		})
		return out
	}
	x, y := read(old), read(new)
	if len(x) != len(y) {
		return nil, nil
	}
	a, b = map[source.Span]string{}, map[source.Span]string{}
	for i := range x {
		a[x[i]], b[y[i]] = strconv.Itoa(i), strconv.Itoa(i)
	}
	return a, b
}

func TestDifferAgreesWithEveryInputTakenSingly(t *testing.T) {
	want := 500
	if v := os.Getenv("BENCHPROOF_RANDOM"); v != "" {
		want, _ = strconv.Atoi(v)
	}
	same, parted, partings, skipped := 0, 0, 0, 0
	for seed := uint64(1); same+parted < want; seed++ {
		r := rand.New(rand.NewPCG(seed, 11))
		w := &writer{Rand: r, open: map[string]bool{}}
		w.body(3)
		lines := mutate(r, w.lines)
		switch seed % 3 {
		case 0: // two procedures that have nothing but names in common
			v := &writer{Rand: r, open: map[string]bool{}}
			v.body(3)
			lines = v.lines
		case 1:
			if i := r.IntN(len(lines)); strings.HasPrefix(lines[i], "step") {
				lines = slices.Insert(slices.Clone(lines), i, []string{"step \"Oil.\" { use oil }", "step \"Look.\" { warn chips }"}[r.IntN(2)])
			}
		}
		oldLib, old, ok1 := soundJob(t, w.lines)
		newLib, new, ok2 := soundJob(t, lines)
		if !ok1 || !ok2 {
			skipped++
			continue
		}
		for _, back := range []bool{false, true} {
			if back {
				oldLib, old, newLib, new = newLib, new, oldLib, old
			}
			found, n, ok := differBoth(t, seed, oldLib, old, newLib, new)
			switch {
			case !ok:
				skipped++
			case found:
				parted++
				partings += n
			default:
				same++
			}
		}
	}
	t.Logf("%d pairs part at %d inputs, %d do not, %d were too large or not sound", parted, partings, same, skipped)
	if same < want/10 || parted < want/4 {
		t.Errorf("the sample is lopsided: %d the same, %d parted", same, parted)
	}
}

// differBoth compares one pair in one direction.
func differBoth(t *testing.T, seed uint64, oldLib *library.Library, old *library.Procedure, newLib *library.Library, new *library.Procedure) (parted bool, partings int, ok bool) {
	t.Helper()
	type one struct {
		contrasts []string
		a, b      did
		in        input
	}
	var singly []one
	all := map[string]bool{}
	swap := map[*library.Member]*library.Member{}
	for i, m := range old.Applies[0].Members {
		swap[m] = new.Applies[0].Members[i]
	}
	if !every(old, new, swap, func(in input, a, b did) {
		if list := contrastsOf(a, b); len(list) > 0 {
			singly = append(singly, one{list, a, b, in})
			for _, c := range list {
				all[c] = true
			}
		}
	}) {
		return false, 0, false
	}
	oldWays, newWays := branchWays(old, new)
	d := paths.Differ(
		paths.Version{Library: oldLib, Procedure: old, Key: bySort, Place: byOutcome, Ways: oldWays},
		paths.Version{Library: newLib, Procedure: new, Key: bySort, Place: byOutcome, Ways: newWays})
	show := func() string {
		return fmt.Sprintf("seed %d\n--- old\n%s\n--- new\n%s", seed, old.Whole.Text(), new.Whole.Text())
	}
	if len(d.Bounds) > 0 || d.More {
		t.Fatalf("%s\nbounded: %v", show(), d.Bounds)
	}
	if len(d.Partings) == 0 != (len(singly) == 0) {
		t.Fatalf("%s\n%d inputs part singly (%v), %d examples", show(), len(singly), all, len(d.Partings))
	}
	told := map[string]bool{}
	for _, x := range d.Partings {
		a, lacks1, _ := runOn(old, inputOf(x.Old))
		b, lacks2, _ := runOn(new, inputOf(x.New))
		if lacks1 != nil || lacks2 != nil {
			t.Fatalf("%s\nan example lacks a value", show())
		}
		var list []string
		for _, c := range x.Contrasts {
			key := c.Key
			if c.Matter == paths.InFinish {
				key = "finish"
			} else if a.counts[key] != c.Old || b.counts[key] != c.New {
				t.Fatalf("%s\n%s is told as %d and %d; it is %d and %d", show(), key, c.Old, c.New, a.counts[key], b.counts[key])
			}
			list = append(list, key)
			told[key] = true
		}
		slices.Sort(list)
		if want := contrastsOf(a, b); !slices.Equal(list, want) {
			t.Fatalf("%s\nan example tells %v; run singly it shows %v", show(), list, want)
		}
	}
	// Every input that parts is told: its contrasts are in an example, or it
	// parts where an example does.
	way := func(ways map[source.Span]string, p *library.Procedure, start int, side string) string {
		for at, name := range ways {
			if at.Start == start {
				return name
			}
		}
		return side + " " + strconv.Itoa(start)
	}
	for _, x := range singly {
		took := func(d did, ways map[source.Span]string, p *library.Procedure, side string) map[string]bool {
			out := map[string]bool{}
			for start := range d.ways {
				out[way(ways, p, start, side)] = true
			}
			return out
		}
		a, b := took(x.a, oldWays, old, "old"), took(x.b, newWays, new, "new")
		covered := slices.ContainsFunc(d.Partings, func(p paths.Parting) bool {
			if p.OldWay == p.NewWay && p.OldWay != "" {
				return a[p.OldWay] && b[p.NewWay]
			}
			return (p.OldWay != "" || p.NewWay != "") &&
				(p.OldWay == "" || a[p.OldWay] && !b[p.OldWay]) && (p.NewWay == "" || b[p.NewWay] && !a[p.NewWay])
		})
		for _, c := range x.contrasts {
			if !covered && !told[c] {
				for _, p := range d.Partings {
					t.Logf("told: %v %v at %q, %q", p.Contrasts, p.Always, p.OldWay, p.NewWay)
				}
				t.Fatalf("%s\n%s differs when %v, and no example tells it", show(), c, x.in.values)
			}
		}
	}
	return len(singly) > 0, len(d.Partings), true
}

func inputOf(c paths.Case) input {
	in := input{members: c.Members, values: map[string]any{}}
	for r, list := range c.Values {
		for i, v := range list {
			in.values[keyFor(r, i)] = v
		}
	}
	for q, list := range c.Answers {
		for i, a := range list {
			in.values[keyFor(q, i)] = a.Name
		}
	}
	return in
}
