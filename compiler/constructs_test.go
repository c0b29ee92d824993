package compiler_test

import (
	"fmt"
	"io/fs"
	"sort"
	"strings"
	"testing"

	"benchproof/compiler"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
	"benchproof/procedures"
)

// The demonstration library uses every construct of the language at least
// once: every keyword of every context, every form of a range, every optional
// word of an action, every expectation of a trial, every form of a mention.
func TestTheDemonstrationUsesEveryConstruct(t *testing.T) {
	used := map[string]bool{}
	use := func(format string, args ...any) { used[fmt.Sprintf(format, args...)] = true }
	texts := ""
	names, err := fs.Glob(procedures.Files, "*.proc")
	if err != nil || len(names) == 0 {
		t.Fatalf("no sources: %v", err)
	}
	for _, name := range names {
		b, err := fs.ReadFile(procedures.Files, name)
		if err != nil {
			t.Fatal(err)
		}
		f := syntax.Parse(source.NewFile(name, string(b)))
		if len(f.Messages) > 0 {
			t.Fatalf("%s: %s", name, f.Messages[0].Text)
		}
		for _, tok := range f.Tokens {
			if strings.HasPrefix(tok.Value, "#") {
				use("a comment")
			}
		}
		syntax.WalkFile(f, func(p syntax.Place) bool {
			switch n := p.(type) {
			case syntax.Property:
				use("property %s", n.Key())
			}
			switch n := p.(type) {
			case *syntax.Thing:
				use("declaration %s", n.Keyword())
				if n.Signal != nil {
					use("signal %s", n.Signal.Text)
				}
			case syntax.Declaration:
				use("declaration %s", n.Keyword())
			case syntax.Statement:
				use("flow %s", n.Keyword())
			case syntax.Action:
				use("action %s", n.Keyword())
			}
			switch n := p.(type) {
			case *syntax.Text:
				texts += n.Value() + "\n"
			case *syntax.Range:
				use("range %d", n.Kind)
				if n.NoUpper != nil {
					use("no upper limit")
				}
			case *syntax.Item:
				if n.Count != nil {
					use("a count")
				}
			case *syntax.Branch:
				use("a branch of a range: %v", n.Range != nil)
				if n.Accept {
					use("accept")
				}
				if len(n.Cases) > 1 {
					use("a branch of several answers or members")
				}
				if n.Meaning != nil {
					use("a branch with a meaning")
				}
			case *syntax.Repeat:
				if n.Otherwise != nil {
					use("otherwise")
				}
			case *syntax.Until:
				use("until a range: %v", n.Range != nil)
			case *syntax.Finish:
				use("finish %s", n.Outcome.Text)
				if n.To != nil {
					use("finish refer to")
				}
			case *syntax.Fit:
				use("fit new: %v", n.New)
			case *syntax.Measure:
				if n.Of != nil {
					use("measure %s of", n.Of.Text)
				} else {
					use("measure one")
				}
			case *syntax.Drill:
				if n.At != nil {
					use("drill at")
				}
			case *syntax.Tap:
				use("tap existing: %v", n.Existing)
				use("tap for insert: %v", n.Insert)
			case *syntax.Tighten:
				if n.Crosswise {
					use("crosswise")
				}
				if n.Through != nil {
					use("through")
				}
				if len(n.To) > 1 {
					use("torque rounds")
				}
			case *syntax.Heat:
				if n.Clearance != nil && n.AtMost != nil {
					use("heat with clearance and at most")
				}
			case *syntax.DecisionProperty:
				use("decision %s", n.Rule.Text)
			case *syntax.Expectation:
				use("expect %s, not: %v", n.Verb.Text, n.Not)
			}
			return true
		})
	}
	for mark, what := range map[string]string{"@": "a mention", " x ": "a mention with a count", "**": "strong text", "](": "a link in a text", "`": "code in a text"} {
		if strings.Contains(texts, mark) {
			use("%s", what)
		}
	}
	want := []string{
		"a comment", "no upper limit", "a count", "accept", "a branch of a range: true", "a branch of a range: false", "a branch of several answers or members",
		"a branch with a meaning", "otherwise", "until a range: true", "until a range: false", "finish serviceable", "finish scrap", "finish refer", "finish refer to", "fit new: true", "fit new: false",
		"measure one", "measure smallest of", "measure largest of", "measure mean of", "drill at", "tap existing: true", "tap existing: false", "tap for insert: true", "tap for insert: false",
		"crosswise", "through", "torque rounds", "heat with clearance and at most", "decision guarded",
		"expect fitted, not: false", "expect fitted, not: true", "expect used, not: false", "expect used, not: true", "expect met, not: false", "expect met, not: true",
		"expect finish, not: false", "expect time, not: false", "a mention", "a mention with a count", "strong text", "a link in a text", "code in a text",
		"signal danger", "signal warning", "signal caution", "signal notice",
	}
	for kind := syntax.AtLeast; kind <= syntax.AboveLimits; kind++ {
		want = append(want, fmt.Sprintf("range %d", kind))
	}
	for c := syntax.InFile; c <= syntax.InTrial; c++ {
		for _, k := range syntax.Keywords(c) {
			switch c {
			case syntax.InFile:
				want = append(want, "declaration "+k.Key)
			case syntax.InStep:
				want = append(want, "action "+k.Key)
			case syntax.InRoutine, syntax.InStage, syntax.InBranch, syntax.InRepeat, syntax.InOtherwise:
				want = append(want, "flow "+k.Key)
			case syntax.InProcedure:
				if !used["flow "+k.Key] {
					want = append(want, "property "+k.Key)
				}
			case syntax.InTrial, syntax.InDecide, syntax.InAnswers:
			default:
				want = append(want, "property "+k.Key)
			}
		}
	}
	sort.Strings(want)
	last := ""
	for _, w := range want {
		if w != last && !used[w] {
			t.Errorf("the demonstration library never uses: %s", w)
		}
		last = w
	}
}

// The demonstration library is as large as a small workshop's: at least 25
// procedures, seven for each of its families of machines, each tried.
func TestTheDemonstrationIsAWorkshops(t *testing.T) {
	src, err := compiler.Read(procedures.Files)
	if err != nil {
		t.Fatal(err)
	}
	r, err := compiler.Check(t.Context(), src)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range r.Messages {
		t.Errorf("%s: %s", m.Code, m.Text)
	}
	forFamily, tried := map[string]int{}, map[string]int{}
	for _, p := range r.Library.Procedures {
		for _, a := range p.Applies {
			forFamily[a.Variant.Name]++
		}
	}
	for _, o := range r.Trials {
		tried[o.Trial.Of.Name]++
	}
	if n := len(r.Library.Procedures); n < 25 {
		t.Errorf("%d procedures", n)
	}
	if len(forFamily) < 3 {
		t.Errorf("%d families", len(forFamily))
	}
	for family, n := range forFamily {
		if n < 7 {
			t.Errorf("%d procedures for %s", n, family)
		}
	}
	for _, p := range r.Library.Procedures {
		if tried[p.Name] < 2 {
			t.Errorf("%s has %d trials", p.Name, tried[p.Name])
		}
	}
	t.Logf("%d procedures, %v, %d trials, %d figures", len(r.Library.Procedures), forFamily, len(r.Trials), len(r.Library.Figures))
}
