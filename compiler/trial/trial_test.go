package trial_test

import (
	"slices"
	"strings"
	"testing"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/trial"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

const bench = `library "Bench" { owner "Workshop" }

tool gauge "depth gauge" {
  number       "T-1"
  reads        from 0 mm to 10 mm
  resolution   0.01 mm
  uncertainty  0.01 mm
}
tool brush  "brush"  { number "T-2" }
part seal   "seal"   { number "P-1"  single-use }

variant size "Size" {
  small  "small"
  large  "large"
}

procedure other "Do the other job" {
  document  "WI-2"
  revision  A on 2026-01-05 "First issue."

  step "Look at it." {
    takes  1 min
  }
}

procedure job "Do the job" {
  document  "WI-1"
  revision  A on 2026-01-05 "First issue."
  applies   to size small, large

  step "Measure it with the @gauge." {
    measure  depth in mm with gauge
    takes    5 min
  }
  decide depth {
    accept at most 5 mm "It is good." {
    }
    above 5 mm "It is deep." {
      step "Take out the @seal, brush the seat with the @brush and put in a new @seal." {
        remove  seal
        use     brush
        fit     new seal
        takes   20 min
        ask     leak "Does it leak?" {
          yes  "yes"
          no   "no"
        }
      }
      decide leak {
        yes {
          finish refer to other "Do the other job next."
        }
        no {
          finish scrap "Order a new one."
        }
      }
    }
  }
}
`

// tried runs the trials of the job.
func tried(t *testing.T, trials string) ([]*trial.Outcome, *trial.Coverage, []string) {
	t.Helper()
	f := syntax.Parse(source.NewFile("bench.proc", bench+trials))
	for _, m := range f.Messages {
		t.Fatalf("%s %s", m.Code, m.Text)
	}
	lib, ms := library.Bind([]*syntax.File{f})
	for _, m := range ms {
		if m.IsError() {
			t.Fatalf("%s %s", m.Code, m.Text)
		}
	}
	p := lib.Procedures[slices.IndexFunc(lib.Procedures, func(p *library.Procedure) bool { return p.Name == "job" })]
	outcomes, c, found := trial.RunAll(lib, p, paths.Judge(lib, p))
	var said []string
	for _, m := range found {
		said = append(said, string(m.Code)+" at "+strings.SplitN(m.Span.Text(), "\n", 2)[0]+": "+m.Text)
	}
	return outcomes, c, said
}

// Each row is one trial: how it ends, whether it holds, and what is said of it beside
// the branches that it does not take.
func TestTrials(t *testing.T) {
	for _, x := range []struct {
		what, body string
		finish     string
		held       bool
		says       string // empty: nothing
		failed     string
	}{
		{"runs off its end", "depth 3 mm expect finish serviceable", "serviceable", true, "", ""},
		{"the limit itself is good", "depth 5 mm expect finish serviceable", "serviceable", true, "", ""},
		{"just above it", "depth 5.01 mm leak no expect finish scrap", "scrap", true, "", ""},
		{"in another unit", "depth 0.3 cm expect finish serviceable", "serviceable", true, "", ""},
		{"goes on in another", "depth 7 mm leak yes expect finish refer to other", "refer to other", true, "", ""},
		{"goes on, wherever", "depth 7 mm leak yes expect finish refer", "refer to other", true, "", ""},
		{"another finish", "depth 7 mm leak no expect finish serviceable", "scrap", false, "but the job finishes scrap", "finish serviceable"},
		{"an answer that is missing", "depth 7 mm expect finish scrap", "stopped at leak", false, "BP902 at “too”: the trial has no value for “leak”", ""},
		{"a value that nobody takes", "depth 3 mm leak no expect finish serviceable", "serviceable", false, "gives “leak” a value that is never taken", "leak taken"},
		{"a part that is not fitted", "depth 3 mm expect seal fitted expect finish serviceable", "serviceable", false, "but “seal” is not fitted on this path", "seal fitted"},
		{"a part that is fitted", "depth 7 mm leak no expect seal fitted, brush used expect finish scrap", "scrap", true, "", ""},
		{"a tool that is used all the same", "depth 7 mm leak no expect brush not used expect finish scrap", "scrap", false, "but “brush” is used on this path", "brush not used"},
		{"in time", "depth 7 mm leak no expect time at most 25 min expect finish scrap", "scrap", true, "", ""},
		{"too slow", "depth 7 mm leak no expect time at most 24 min expect finish scrap", "scrap", false, "but the path takes 25\u00a0min", "time at most 24 min"},
		{"the finish is told first", "depth 7 mm leak no expect time at most 24 min expect finish serviceable", "scrap", false, "but the job finishes scrap", "finish serviceable"},
	} {
		outcomes, _, said := tried(t, "\ntrial \"too\" of job {\n  "+strings.ReplaceAll(strings.ReplaceAll(strings.ReplaceAll(x.body, " expect", "\n  expect"), " leak", "\n  leak"), " time", "  time")+"\n}\n")
		if len(outcomes) != 1 || len(outcomes[0].Runs) != 2 {
			t.Fatalf("%s: %+v", x.what, outcomes)
		}
		o := outcomes[0]
		if got := o.Runs[0].Finish(); got != x.finish || o.Held != x.held {
			t.Errorf("%s: %s, held %t", x.what, got, o.Held)
		}
		said = slices.DeleteFunc(said, func(s string) bool { return strings.HasPrefix(s, "BP903") })
		told := strings.Join(said, "\n")
		if x.says == "" && told != "" || x.says != "" && !strings.Contains(strings.ReplaceAll(told, "BP902 at too", "BP902 at “too”"), strings.TrimPrefix(x.says, "BP902 at “too”: ")) || len(said) > 1 {
			t.Errorf("%s: %q, want %q", x.what, told, x.says)
		}
		if x.failed != "" && (len(o.Runs[0].Failed) == 0 || o.Runs[0].Failed[0] != x.failed) {
			t.Errorf("%s: failed %q, want %q", x.what, o.Runs[0].Failed, x.failed)
		}
	}
}

// A trial is run for each member that it leaves open; branches are counted that can
// happen, and those that no trial takes are named.
func TestCoverage(t *testing.T) {
	const good, no, yes = "\ntrial \"good\" of job {\n  depth   3 mm\n  expect  finish serviceable\n}\n",
		"\ntrial \"no\" of job {\n  size    small\n  depth   7 mm\n  leak    no\n  expect  finish scrap\n}\n",
		"\ntrial \"yes\" of job {\n  size    large\n  depth   7 mm\n  leak    yes\n  expect  finish refer to other\n}\n"
	for _, x := range []struct {
		trials     string
		runs       []int
		taken      int
		says       int
		says1Place string
	}{
		{"", nil, 0, 1, "job"},
		{good, []int{2}, 1, 3, "above 5 mm"},
		{good + no, []int{2, 1}, 3, 1, "yes"},
		{good + no + yes, []int{2, 1, 1}, 4, 0, ""},
	} {
		outcomes, c, said := tried(t, x.trials)
		var runs []int
		for _, o := range outcomes {
			runs = append(runs, len(o.Runs))
		}
		if !slices.Equal(runs, x.runs) || c.All != 4 || c.Taken != x.taken || c.Trials != len(x.runs) || len(said) != x.says {
			t.Errorf("%d trials: runs %v, %d of %d branches, %q", len(x.runs), runs, c.Taken, c.All, said)
		}
		if x.says > 0 && !strings.HasPrefix(said[0], "BP903 at "+x.says1Place) {
			t.Errorf("%q, want it at %s", said[0], x.says1Place)
		}
	}
}
