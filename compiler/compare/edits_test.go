package compare_test

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"

	"benchproof/compiler"
	"benchproof/compiler/compare"
)

var update = flag.Bool("update", false, "rewrite what edits give; read the difference")

// An edit is one change of the demonstration library and all that is told of it.
type edit struct {
	name     string
	only     []string
	file     string
	all      bool // replaced wherever it stands, not only where it stands first
	from, to []string
	next     *edit
	want     []string
	head     []string // as in the file
}

// readEdits reads testdata/edits.txt: `== name`, then `only NAME` (* for all), `in FILE`
// or `all FILE` for every place in it, lines with `<` that are replaced by lines with `>`, and lines with `=` for what is told.
func readEdits(t *testing.T) []*edit {
	t.Helper()
	data, err := os.ReadFile("testdata/edits.txt")
	if err != nil {
		t.Fatal(err)
	}
	var out []*edit
	var e, part *edit
	for n, line := range strings.Split(string(data), "\n") {
		mark, rest, _ := strings.Cut(line, " ")
		switch mark {
		case "==":
			e = &edit{name: rest, only: []string{"seal-change"}}
			part = e
			out = append(out, e)
		case "only":
			if e.only = strings.Fields(rest); rest == "*" {
				e.only = nil
			}
		case "in", "all":
			if part.file != "" {
				part.next = &edit{}
				part = part.next
			}
			part.file, part.all = rest, mark == "all"
		case "<":
			part.from = append(part.from, rest)
		case ">":
			part.to = append(part.to, rest)
		case "=":
			e.want = append(e.want, rest)
		case "", "#":
		default:
			t.Fatalf("line %d: %q", n+1, line)
		}
		if e != nil && mark != "=" && line != "" {
			e.head = append(e.head, line)
		}
	}
	return out
}

// TestEachEditGivesItsDifferenceAlone makes one edit at a time and holds all
// that is told of it against the table, there and back.
func TestEachEditGivesItsDifferenceAlone(t *testing.T) {
	files := demonstration(t)
	base := sound(t, files)
	edits := readEdits(t)
	var b strings.Builder
	changed := false
	kinds := map[compare.Kind]bool{}
	for _, e := range edits {
		new := map[string]string{}
		for name, text := range files {
			new[name] = text
		}
		for p := e; p != nil; p = p.next {
			from, to := strings.Join(p.from, "\n"), strings.Join(p.to, "\n")
			if !strings.Contains(new[p.file], from) {
				t.Fatalf("%s: %s does not hold\n%s", e.name, p.file, from)
			}
			n := 1
			if p.all {
				n = -1
			}
			new[p.file] = strings.Replace(new[p.file], from, to, n)
		}
		other := bound(t, e.name, new)
		r := compared(t, base, other, e.only...)
		got := told(r, kinds)
		b.WriteString(strings.Join(e.head, "\n") + "\n")
		for _, line := range got {
			b.WriteString("= " + line + "\n")
		}
		b.WriteByte('\n')
		if strings.Join(got, "\n") != strings.Join(e.want, "\n") {
			changed = true
			t.Errorf("%s gives\n%s\nexpected\n%s", e.name, strings.Join(got, "\n"), strings.Join(e.want, "\n"))
		}
		backwards(t, e, base, other, r)
	}
	if *update && changed {
		if err := os.WriteFile("testdata/edits.txt", []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if len(edits) < 60 {
		t.Errorf("%d edits", len(edits))
	}
	for _, k := range compare.Kinds {
		if !kinds[k] {
			t.Errorf("no edit gives a difference of the kind %q", k)
		}
	}
}

// bound checks an edited library; its trials and releases need not hold any more.
func bound(t *testing.T, name string, files map[string]string) *compiler.Result {
	t.Helper()
	r := checked(t, files)
	for _, m := range r.Messages {
		if m.IsError() && m.Code[:3] != "BP9" && m.Code[:4] != "BP01" {
			line, _ := m.Span.File.Position(m.Span.Start)
			t.Errorf("%s: %s:%d: %s %s", name, m.Span.File.Path, line, m.Code, m.Text)
		}
	}
	return r
}

// backwards compares the other way round: as much differs, in as many procedures,
// and it parts or does not.
func backwards(t *testing.T, e *edit, base, other *compiler.Result, there *compare.Report) {
	t.Helper()
	back := compared(t, other, base, e.only...)
	if len(back.Shared) != len(there.Shared) || len(back.Procedures) != len(there.Procedures) {
		t.Errorf("%s: there %d and %d, back %d and %d", e.name, len(there.Shared), len(there.Procedures), len(back.Shared), len(back.Procedures))
		return
	}
	count := func(r *compare.Report) (n, parts int) {
		for _, d := range r.Shared {
			n += len(d.Differences)
		}
		for _, p := range r.Procedures {
			n += len(p.Differences)
			if p.Paths != nil && len(p.Paths.Partings) > 0 {
				parts++
			}
		}
		return n, parts
	}
	n1, p1 := count(there)
	n2, p2 := count(back)
	if n1 != n2 || p1 != p2 {
		t.Errorf("%s: there %d differences and %d procedures that part, back %d and %d", e.name, n1, p1, n2, p2)
	}
}

// told writes a report on short lines.
func told(r *compare.Report, kinds map[compare.Kind]bool) []string {
	var out []string
	differences := func(of string, list []compare.Difference) {
		for _, d := range list {
			kinds[d.Kind] = true
			at := ""
			if d.Place != nil && d.Place.Old+d.Place.New > 0 {
				at = fmt.Sprintf(" step %d>%d", d.Place.Old, d.Place.New)
			}
			line := fmt.Sprintf("%s:%s %s %s, %s: %s -> %s", of, at, d.Kind, d.Change, d.What, d.Old, d.New)
			if len(d.Words) > 0 {
				var words []string
				for _, w := range d.Words {
					if w.Change != "" {
						words = append(words, string(w.Change)+" “"+strings.TrimSpace(w.Text)+"”")
					}
				}
				line = fmt.Sprintf("%s:%s %s %s, %s: %s", of, at, d.Kind, d.Change, d.What, strings.Join(words, ", "))
			}
			out = append(out, line)
		}
	}
	for _, d := range r.Shared {
		of := strings.TrimSpace(d.Sort + " " + d.Name)
		if d.Change != compare.Changed {
			out = append(out, of+" "+string(d.Change))
		}
		if len(d.Touches) == 0 {
			out = append(out, of+" touches nothing")
		}
		differences(of, d.Differences)
	}
	for _, p := range r.Procedures {
		if p.Change != compare.Changed {
			out = append(out, p.Name+" "+string(p.Change))
		}
		differences(p.Name, p.Differences)
		if p.Paths == nil {
			continue
		}
		for _, x := range p.Paths.Partings {
			var when, what []string
			for _, in := range x.When {
				if !in.Usual {
					when = append(when, in.Name+" "+in.Value)
				}
			}
			if len(when) == 0 {
				when = []string{"mostly"}
			}
			if x.Always {
				when = []string{"always"}
			}
			steps := 0
			for _, c := range x.Differs {
				switch c.Matter {
				case "step":
					steps++
				case "finish":
					cut := func(s string) string { s, _, _ = strings.Cut(s, "."); return s }
					what = append(what, cut(c.Old)+" -> "+cut(c.New))
				default:
					what = append(what, c.What+" "+c.New)
				}
			}
			if steps > 0 {
				what = append(what, fmt.Sprintf("%d steps", steps))
			}
			out = append(out, p.Name+" parts, "+strings.Join(when, ", ")+": "+strings.Join(what, "; "))
		}
		for _, b := range p.Paths.Bounds {
			out = append(out, p.Name+" bound: "+b)
		}
	}
	for _, n := range r.NotCompared {
		out = append(out, n.Name+" not compared: "+n.Why)
	}
	return out
}
