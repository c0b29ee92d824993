package uses_test

import (
	"context"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/uses"
	"benchproof/procedures"
)

const bench = `library "Bench" { owner "Workshop" }

tool spanner  "13 mm spanner"  { number "T-1" }
tool wrench   "open wrench"    { number "T-2" }
tool gauge    "depth gauge" {
  number       "T-3"
  reads        from 0 mm to 10 mm
  resolution   0.01 mm
  uncertainty  0.01 mm
}

part lid     "lid"     { number "P-1" }
part seal    "seal"    { number "P-2"  plural "seals"  behind lid  single-use }
part pin     "pin"     { number "P-3"  plural "pins"   single-use }
consumable cloth  "cloth"  { number "C-1"  plural "cloths" }
consumable oil    "oil"    { number "C-2" }

kit box "Box" { number "K-1"  holds spanner, wrench }

procedure job "Do the job" {
  document  "WI-1"
  revision  A on 2026-01-05 "First issue."

  step "Look at the seat with the @spanner and a little @oil." {
    use  spanner, oil
    ask  seat "How is the seat?" {
      good  "good"
      bad   "bad"
    }
  }
  decide seat {
    bad {
      step "Wipe it with @cloth x 2." { use cloth x 2 }
    }
    good {
      step "Wipe it with a @cloth." { use cloth x 1 }
    }
  }
  repeat at most 3 times {
    step "Take out @pin x 2, and put in new @pin x 2." {
      remove   pin x 2
      fit      new pin x 2
      measure  depth in mm with gauge
    }
    until depth at most 5.00 mm
  }
  otherwise {
    finish refer "Call the supervisor."
  }
  # The same answer again: one way takes two cloths and then none more, the other
  # one and then three.
  decide seat {
    bad {
    }
    good {
      step "Wipe it again with @cloth x 3." { use cloth x 3 }
    }
  }
}
`

func check(t *testing.T, text string) *compiler.Result {
	t.Helper()
	sources, err := compiler.Read(fstest.MapFS{"bench.proc": {Data: []byte(text)}})
	if err != nil {
		t.Fatal(err)
	}
	r, err := compiler.Check(context.Background(), sources)
	if err != nil {
		t.Fatal(err)
	}
	if !r.Sound() {
		for _, m := range r.Messages {
			t.Errorf("%s %s", m.Code, m.Text)
		}
		t.FailNow()
	}
	return r
}

// TestCounts holds the counts of the proof against those worked out by hand: the
// two decisions go together, and the repeat is done one to three times.
func TestCounts(t *testing.T) {
	r := check(t, bench)
	list, faults, err := uses.Pick(r, []uses.Job{{Procedure: r.Library.Procedures[0], Times: 2}}, nil)
	if err != nil || len(faults) > 0 {
		t.Fatal(err, faults)
	}
	got := map[string]string{}
	for _, l := range list.Lines {
		got[l.Thing.Declared().Name] = l.Count(document.English)
	}
	// Of one job: cloths 2 (bad) or 1+3 (good; 1 where the pins go wrong), pins 2 to 6.
	want := map[string]string{"spanner": "1", "gauge": "1", "cloth": "4 to 8", "oil": "", "pin": "4 to 12"}
	for name, n := range want {
		if got[name] != n {
			t.Errorf("%s: %q, want %q", name, got[name], n)
		}
	}
	if len(got) != len(want) {
		t.Errorf("%v", got)
	}
}

// TestCountsHoldForTrials: what the worked cases of the demonstration fit and use
// lies between the least and the most that the proof gives.
func TestCountsHoldForTrials(t *testing.T) {
	sources, err := compiler.Read(procedures.Files)
	if err != nil {
		t.Fatal(err)
	}
	r, err := compiler.Check(context.Background(), sources)
	if err != nil {
		t.Fatal(err)
	}
	held := 0
	for _, o := range r.Trials {
		tally, ok := paths.CountAll(r.Library, o.Trial.Of)
		if !ok {
			t.Fatalf("%s cannot be counted", o.Trial.Of.Name)
		}
		for _, run := range o.Runs {
			for _, s := range uses.Declared(r.Library) {
				p, part := s.(*library.Part)
				// Of a part for single use every fitting is of a new one.
				if !part || !p.SingleUse && !p.Place().SingleUse {
					continue
				}
				n, c := run.Trace.Fitted[p], tally.Of(p)
				if n > c.Most || n < c.Least && run.Finish() == "serviceable" {
					t.Errorf("%s, %q: %d %s, proved %d to %d", o.Trial.Of.Name, o.Trial.Title, n, p.Name, c.Least, c.Most)
				}
				if n > 0 {
					held++
				}
			}
		}
	}
	if held < 20 {
		t.Errorf("only %d counts were held", held)
	}
}

func TestBox(t *testing.T) {
	r := check(t, bench)
	list, _, err := uses.Pick(r, []uses.Job{{Procedure: r.Library.Procedures[0], Times: 1}}, nil)
	if err != nil {
		t.Fatal(err)
	}
	b := list.Box(r.Library.Kits[0])
	if len(b.Held) != 1 || b.Held[0].Thing.Declared().Name != "spanner" {
		t.Errorf("held: %v", b.Held)
	}
	if len(b.Missing) != 4 || len(b.Short) != 0 {
		t.Errorf("missing %d, short %d", len(b.Missing), len(b.Short))
	}
	if len(b.Idle) != 1 || b.Idle[0].Declared().Name != "wrench" {
		t.Errorf("idle: %v", b.Idle)
	}
}

// TestReplaceKeepsTheRest: nothing changes but the names, in lists that name both
// and in files with other line ends.
func TestReplaceKeepsTheRest(t *testing.T) {
	text := strings.ReplaceAll(bench, "\n", "\r\n")
	r := check(t, text)
	old, _ := uses.Find(r.Library, "T-1")
	by, _ := uses.Find(r.Library, "wrench")
	c, err := uses.Replace(r.Library, old[0].(library.Thing), by[0].(library.Thing))
	if err != nil {
		t.Fatal(err)
	}
	got := c.Apply(r.Library.Files[0].Source)
	want := strings.NewReplacer(
		"@spanner and", "@wrench and", "use  spanner, oil", "use  wrench, oil", "holds spanner, wrench", "holds wrench",
		`{ number "T-1" }`, `{ number "T-1"  replaced by wrench }`).Replace(text)
	if got != want {
		t.Errorf("got\n%s", got)
	}
	check(t, got)
	if _, err := uses.Replace(r.Library, old[0].(library.Thing), r.Library.Parts[0]); err == nil {
		t.Error("a tool was replaced by a part")
	}
	if _, err := uses.Replace(r.Library, old[0].(library.Thing), old[0].(library.Thing)); err == nil {
		t.Error("a tool was replaced by itself")
	}
	// Back again is refused: the old one says what it was replaced by.
	after := check(t, got)
	a, _ := uses.Find(after.Library, "wrench")
	z, _ := uses.Find(after.Library, "spanner")
	if _, err := uses.Replace(after.Library, a[0].(library.Thing), z[0].(library.Thing)); err == nil {
		t.Error("two tools replace each other")
	}
}

// TestMatrix: a member that no procedure names stands among those without; what
// does not differ by a family is for whoever.
// TestReplaceLeavesSheetsAlone: a thing of a sheet cannot say there what it is
// replaced by; the place is told.
func TestReplaceLeavesSheetsAlone(t *testing.T) {
	src, err := compiler.Read(procedures.Files)
	if err != nil {
		t.Fatal(err)
	}
	lib, err := compiler.Outline(context.Background(), src)
	if err != nil {
		t.Fatal(err)
	}
	tool := func(name string) *library.Tool {
		i := slices.IndexFunc(lib.Tools, func(x *library.Tool) bool { return x.Name == name })
		if i < 0 || lib.Tools[i].Span.File.Sheet == nil {
			t.Fatalf("%s is no tool of a sheet", name)
		}
		return lib.Tools[i]
	}
	old := tool("seat-micrometer")
	c, err := uses.Replace(lib, old, tool("micrometer"))
	if err != nil {
		t.Fatal(err)
	}
	if len(c.Edits) == 0 || !slices.Contains(c.Left, old.Span) {
		t.Errorf("%d edits, left: %v", len(c.Edits), c.Left)
	}
	for _, e := range c.Edits {
		if e.Span.File.Sheet != nil {
			t.Errorf("an edit in %s", e.Span.File.Path)
		}
	}
}

func TestMatrix(t *testing.T) {
	r := check(t, `library "Bench" { owner "Workshop" }
variant size "Size" {
  a  "A"
  b  "B"
  c  "C"
}
procedure later "Look" {
  document    "WI-2"
  revision    A on 2026-01-05 "First issue."
  step "Look at it." { takes 1 min }
}
procedure first "Look" {
  document    "WI-1"
  revision    A on 2026-01-05 "First issue."
  applies to  size a, c
  step "Look at it." { takes 1 min }
}
`)
	m := uses.MatrixOf(r.Library)
	if m.Procedures[0].Name != "first" || !slices.Equal(m.Fits[0], []uses.Fit{uses.For, uses.NotFor, uses.For}) || !slices.Equal(m.Fits[1], []uses.Fit{uses.Whoever, uses.Whoever, uses.Whoever}) {
		t.Errorf("%v", m.Fits)
	}
	if len(m.Without) != 1 || m.Without[0].Name != "b" {
		t.Errorf("without: %v", m.Without)
	}
}

// TestWherePlacesAreThoseOfTheDocument: a step that is said to use a thing mentions
// it, or has it among what it needs, in the document as it is lowered.
func TestWherePlacesAreThoseOfTheDocument(t *testing.T) {
	sources, err := compiler.Read(procedures.Files)
	if err != nil {
		t.Fatal(err)
	}
	r, err := compiler.Check(context.Background(), sources)
	if err != nil {
		t.Fatal(err)
	}
	lib, faults := uses.New(r)
	if len(faults) > 0 {
		t.Fatal(faults)
	}
	held := 0
	for i, p := range r.Library.Procedures {
		doc, _ := r.Document(i, compiler.DocumentOptions{})
		for _, list := range [][]document.Need{doc.Tools, doc.Consumables} {
			for _, n := range list {
				found, _ := uses.Find(r.Library, n.Thing.Name)
				if len(found) != 1 {
					t.Fatalf("%s: %d found", n.Thing.Name, len(found))
				}
				steps := map[int]bool{}
				for _, in := range lib.Where(found[0]).In {
					for _, u := range in.Uses {
						if in.Procedure == p && u.At == "step" {
							steps[u.Step] = true
						}
					}
				}
				for _, s := range n.Steps {
					if held++; !steps[s] {
						t.Errorf("%s: the document has %s in step %d, where does not", p.Name, n.Thing.Name, s)
					}
				}
			}
		}
	}
	if held < 100 {
		t.Errorf("only %d places were held", held)
	}
}
