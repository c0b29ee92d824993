package document_test

import (
	"fmt"
	"slices"
	"strings"
	"testing"

	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/compiler/paths"
)

const bench = `
library "L" { owner "O" decision simple }
variant size "Pump size" { s1 "size 1" s2 "size 2" s3 "size 3" }
tool gauge "gauge" { number "T-1" reads from 0 mm to 50 mm resolution 0.1 mm }
tool hammer "hammer" { number "T-2" }
tool saw "saw" { number "T-3" }
tool file "file" { number "T-4" }
part pin "pin" { number "P-1" }
part seal "seal" { single-use }
part seal-1 "seal" { number "P-11" kind seal }
part seal-2 "seal" { number "P-12" kind seal }
table fit by size { columns seal  s1 seal-1  s2 seal-2  s3 seal-2 }
`

// job makes a document of a procedure body on the bench above.
func job(t *testing.T, body string, members ...string) *document.Document {
	t.Helper()
	return lower(t, bind(t, map[string]string{"a.proc": bench + "procedure p \"P\" {\n" + body + "\n}\n"}, true), "p", document.Options{}, members...)
}

// outline writes the flow of a document briefly: steps, and where branches,
// decisions and repeats go on.
func outline(list []document.Block) string {
	var out []string
	for _, b := range list {
		switch b := b.(type) {
		case *document.Step:
			out = append(out, fmt.Sprint(b.Number))
		case *document.Stage:
			out = append(out, "stage{"+outline(b.Body)+"}")
		case *document.Routine:
			out = append(out, "routine{"+outline(b.Body)+"}")
		case *document.Decision:
			s := b.ID + "("
			for i, br := range b.Branches {
				if i > 0 {
					s += " | "
				}
				s += fmt.Sprintf("%d→%s: %s", br.Number, target(br.Goes), outline(br.Body))
			}
			out = append(out, s+")→"+target(b.After))
		case *document.Repeat:
			out = append(out, fmt.Sprintf("%s{%s}→%s otherwise{%s}→%s", b.ID, outline(b.Body), target(b.OnSuccess), outline(b.Otherwise), target(b.OnFailure)))
		case *document.Until:
			out = append(out, "until")
		case *document.Finish:
			out = append(out, b.ID)
		}
	}
	return strings.Join(out, " ")
}

func TestTargets(t *testing.T) {
	for _, x := range []struct{ name, body, want string }{
		{"a branch without work goes to what follows the decision", `
			step "Measure." { measure x in mm with gauge }
			decide x { below 1 mm { } at least 1 mm { step "File it." } }
			step "Go."`,
			`1 decision-1(1→"step 3" #3:  | 2→"step 2" #2: 2)→"step 3" #3 3`},
		{"out of a stage into the next", `
			stage "A" { step "Measure." { measure x in mm with gauge } decide x { below 1 mm { } at least 1 mm { finish refer } } }
			stage "B" { step "Go." }`,
			`stage{1 decision-1(1→"step 2" #2:  | 2→"refer" #finish-1: finish-1)→"step 2" #2} stage{2}`},
		{"off the end", `
			step "Measure." { measure x in mm with gauge }
			decide x { below 1 mm { step "File it." } at least 1 mm { } }`,
			`1 decision-1(1→"step 2" #2: 2 | 2→"serviceable" #finish-1: )→"serviceable" #finish-1`},
		{"to a decision, never to a step inside it", `
			step "Measure." { measure x in mm with gauge }
			decide x { below 1 mm { } at least 1 mm { step "File it." } }
			decide size { s1 { step "One." } s2, s3 { step "Two." } }
			step "Go."`,
			`1 decision-1(1→"“Which pump size is it?”" #decision-2:  | 2→"step 2" #2: 2)→"“Which pump size is it?”" #decision-2 ` +
				`decision-2(1→"step 3" #3: 3 | 2→"step 4" #4: 4)→"step 5" #5 5`},
		{"a repeat goes on behind itself, or to its otherwise", `
			repeat at most 3 times {
				step "Measure." { measure x in mm with gauge }
				until x at most 1 mm
				step "File it."
			}
			otherwise { step "Tag it." finish scrap }
			step "Go."`,
			`repeat-1{1 until 2}→"step 4" #4 otherwise{3 finish-1}→"step 3" #3 4`},
		{"a repeat without otherwise goes on in any case", `
			repeat at most 2 times { step "Measure." { measure x in mm with gauge } until x at most 1 mm }
			step "Go."`,
			`repeat-1{1 until}→"step 2" #2 otherwise{}→"step 2" #2 2`},
		{"a branch at the end of a turn leads to the next turn", `
			repeat at most 3 times {
				step "Measure." { measure x in mm with gauge }
				until x at most 1 mm
				decide x { below 2 mm { } at least 2 mm { step "File it." } }
			}
			step "Go."`,
			`repeat-1{1 until decision-1(1→"step 1" #1:  | 2→"step 2" #2: 2)→"step 1" #1}→"step 3" #3 otherwise{}→"step 3" #3 3`},
		{"a routine is set out where it is performed", `
			step "Measure." { measure x in mm with gauge }
			decide x { below 1 mm { perform r } at least 1 mm { } }
			perform r
			}
			routine r "R" { step "Knock." step "Listen."`,
			`1 decision-1(1→"step 2" #2: routine{2 3} | 2→"step 4" #4: )→"step 4" #4 routine{4 5}`},
	} {
		t.Run(x.name, func(t *testing.T) {
			if got := outline(job(t, x.body).Body); got != x.want {
				t.Errorf("got  %s\nwant %s", got, x.want)
			}
		})
	}
}

func TestUntilSaysWhereTheWorkGoesOn(t *testing.T) {
	until := func(body string) string {
		var got string
		for _, b := range job(t, body).Body {
			if r, ok := b.(*document.Repeat); ok {
				got = strings.ReplaceAll(text(r.Until.Text), "\u00a0", " ")
			}
		}
		return got
	}
	for _, x := range []struct{ body, want string }{
		{`repeat at most 13 times { step "Measure." { measure x in mm with gauge } until x at most 1 mm step "File it." } otherwise { finish scrap } step "Go."`,
			"Go on at <step 3 #3> when the x is [1.0 mm] or less; otherwise go on at <step 2 #2>; after 13 readings, <scrap #finish-1>."},
		{`repeat at most 2 times { step "Measure." { measure mean of 3 x in mm with gauge } until x from 1 mm to 2 mm } step "Go."`,
			"Go on at <step 2 #2> when the mean x is [1.0 mm] to [2.0 mm]; otherwise go back to <step 1 #1>; after two turns, go on there all the same."},
		{`repeat at most 1 times { step "Measure." { measure x in mm with gauge } until x at most 1 mm } otherwise { finish scrap } step "Go."`,
			"Go on at <step 2 #2> when the x is [1.0 mm] or less; after one reading, <scrap #finish-1>."},
		{`repeat at most 4 times { step "Look." { ask q "Does it leak?" { no "no" weeps "a little" runs "much" } } until q no, weeps step "Wipe it." } otherwise { finish scrap } step "Go."`,
			"Go on at <step 3 #3> when the answer to “Does it leak?” is **“no”** or **“a little”**; otherwise go on at <step 2 #2>; after four turns, <scrap #finish-1>."},
		{`repeat at most 1 times { step "Look." { ask q "Does it leak?" { no "no" yes "yes" } } until q no } step "Go."`,
			"Go on at <step 2 #2> when the answer to “Does it leak?” is **“no”**; after one turn, go on there all the same."},
		{`step "Look." { ask q "Does it leak?" { no "no" yes "yes" } } repeat at most 2 times { until q no step "Look again." { ask q "Does it leak?" { no "no" yes "yes" } } } otherwise { finish scrap } step "Go."`,
			"Go on at <step 3 #3> when the answer to “Does it leak?” is **“no”**; otherwise go on at <step 2 #2>; after two turns, <scrap #finish-1>."},
	} {
		if got := until(x.body); got != x.want {
			t.Errorf("got  %s\nwant %s", got, x.want)
		}
	}
}

func TestWhatIsOnlySometimesNeeded(t *testing.T) {
	const ask = `step "Look." { ask q "How is it?" { good "good" bad "bad" ugly "ugly" } } `
	const measure = `step "Measure." { measure x in mm with gauge } `
	const hit = `step "Use the @hammer." { use hammer } `
	for _, x := range []struct{ name, body, want string }{
		{"on the main line", hit, "always"},
		{"behind an early finish", ask + `decide q { good { } bad, ugly { finish refer } } ` + hit, "always"},
		{"by an answer", ask + `decide q { good { } bad { ` + hit + `} ugly { } }`, "if “bad” in step 1"},
		{"by two answers of one branch", ask + `decide q { good { } bad, ugly { ` + hit + `} }`, "if “bad or ugly” in step 1"},
		{"by two branches", ask + `decide q { good { } bad { ` + hit + `} ugly { ` + hit + `} }`, "if “bad” in step 1 or if “ugly” in step 1"},
		{"on every branch", ask + `decide q { good { ` + hit + `} bad { ` + hit + `} ugly { ` + hit + `} }`, "always"},
		{"on every branch that leads on", ask + `decide q { good { ` + hit + `} bad { ` + hit + `} ugly { finish scrap } } step "Go."`, "always"},
		{"only where the job ends badly", ask + `decide q { good { } bad, ugly { ` + hit + ` finish scrap } } step "Go."`, "if “bad or ugly” in step 1"},
		{"by what a range means", measure + `decide x { below 1 mm "The pin is worn." { ` + hit + `} at least 1 mm { } }`, "if worn"},
		{"by a longer meaning", measure + `decide x { below 1 mm "The shaft under the pin may be damaged." { ` + hit + `} at least 1 mm { } }`, "if the shaft under the pin may be damaged"},
		{"by a meaning that is no sentence", measure + `decide x { below 1 mm "Wrong pin or wrong reading." { ` + hit + `} at least 1 mm { } }`, "if “Wrong pin or wrong reading”"},
		{"by a range without a meaning", measure + `decide x { below 1 mm { ` + hit + `} at least 1 mm { } }`, "if x is below 1.0 mm"},
		{"by members", `step "Begin." decide size { s1 { } s2, s3 { ` + hit + `} }`, "size 2, size 3"},
		{"by members on both sides", `step "Begin." decide size { s1 { ` + hit + `} s2, s3 { ` + hit + `} }`, "always"},
		{"by members and a range", measure + `decide x { below 1 mm "The pin is worn." { decide size { s1 { ` + hit + `} s2, s3 { } } } at least 1 mm { } }`, "if worn, size 1"},
		{"in a further turn", `repeat at most 3 times { ` + measure + `until x at most 1 mm ` + hit + `}`, "if the x is not good at once"},
		{"after the last turn", `repeat at most 3 times { ` + measure + `until x at most 1 mm } otherwise { ` + hit + `}`, "if the x does not come right"},
		{"in a further turn by an answer", `repeat at most 3 times { ` + ask + `until q good ` + hit + `}`, "if “bad or ugly” in step 1"},
		{"after the last turn by an answer", `repeat at most 3 times { ` + ask + `until q good, ugly } otherwise { ` + hit + `}`, "if “bad” in step 1 every time"},
		{"in more ways than can be told", ask + `decide q { good { } bad { ` + hit + `} ugly { } } decide q { good { ` + hit + `} bad { } ugly { } } ` +
			measure + `decide x { below 1 mm { ` + hit + `} at least 1 mm { } } decide x { below 2 mm { } at least 2 mm { ` + hit + `} }`, "on some paths only"},
	} {
		t.Run(x.name, func(t *testing.T) {
			for _, n := range job(t, x.body).Tools {
				if n.Thing.Name != "hammer" {
					continue
				}
				got := strings.ReplaceAll(n.Only, "\u00a0", " ")
				if n.Always {
					got = "always"
				}
				if got != x.want {
					t.Errorf("got %q, want %q", got, x.want)
				}
			}
		})
	}
}

func TestDocumentsForMembers(t *testing.T) {
	const body = `
		step "Begin."
		decide size {
			s1 "It has a pin." { step "Pull the @pin." { remove pin } step "Put the @pin back." { refit pin } }
			s2 { step "Use the @saw." { use saw } }
			s3 { finish refer "Not here." }
		}
		step "Take the @seal off." { remove seal }
		step "Fit a new @fit.seal." { fit new fit.seal }`
	for _, x := range []struct {
		members []string
		flow    string
		seal    string
	}{
		{nil, `1 decision-1(1→"step 2" #2: 2 3 | 2→"step 4" #4: 4 | 3→"refer" #finish-1: finish-1)→"step 5" #5 5 6`, "P-11 (size 1) or P-12 (size 2, size 3) fitted"},
		{[]string{"s1"}, `1 2 3 4 5`, "P-11 fitted"},
		{[]string{"s2"}, `1 2 3 4`, "P-12 fitted"},
		{[]string{"s2", "s1"}, `1 decision-1(1→"step 2" #2: 2 3 | 2→"step 4" #4: 4)→"step 5" #5 5 6`, "P-11 (size 1) or P-12 (size 2) fitted"},
		{[]string{"s2", "s3"}, `1 decision-1(2→"step 2" #2: 2 | 3→"refer" #finish-1: finish-1)→"step 3" #3 3 4`, "P-12 fitted"},
	} {
		d := job(t, body, x.members...)
		if got := outline(d.Body); got != x.flow {
			t.Errorf("for %v: got %s, want %s", x.members, got, x.flow)
		}
		last := d.Steps[len(d.Steps)-1]
		if got := last.Boxes[0].(*document.Tick).Label; got != x.seal {
			t.Errorf("for %v: got %q, want %q", x.members, got, x.seal)
		}
		var names []string
		for _, c := range d.For {
			names = append(names, c.Member)
		}
		slices.Sort(names)
		want := slices.Clone(x.members)
		slices.Sort(want)
		if !slices.Equal(names, want) {
			t.Errorf("for %v: the document says %v", x.members, names)
		}
	}
}

// Within a branch for some members only their values are given.
func TestBranchesForMembersHaveTheirValues(t *testing.T) {
	d := job(t, `
		step "Begin."
		decide size {
			s1 { step "Take the @seal off." { remove seal } step "Fit a new @fit.seal." { fit new fit.seal } }
			s2, s3 { }
		}`)
	if got := text(d.Steps[2].Text); got != "Fit a new seal {P-11}." {
		t.Errorf("got %s", got)
	}
	if len(d.Parts) != 1 || d.Parts[0].Only != "size 1" {
		t.Errorf("parts: %+v", d.Parts)
	}
}

func TestPartsAreCountedOnTheWayThatTakesMost(t *testing.T) {
	pin := `step "Fit @pin x 2." { remove pin x 2 fit new pin x 2 } `
	d := job(t, `
		step "Measure." { measure x in mm with gauge }
		decide x { below 1 mm { `+pin+`} at least 1 mm { `+pin+pin+`} }
		repeat at most 3 times { step "Measure." { measure x in mm with gauge } until x at most 1 mm `+pin+`}`)
	if got := d.Parts[0].Count; got != 4+2*2 {
		t.Errorf("%d pins, want 8: four on the longer branch, two in each of two further turns", got)
	}
}

// A decision by members that stands in the flow map must fork it only where
// the members' ways differ by more than steps.
func TestMapFoldsStepsByMembers(t *testing.T) {
	d := job(t, `stage "All of it" { step "Begin." decide size { s1 { step "One." } s2, s3 { } } step "Go." }`)
	if len(d.Map.Nodes) != 2 || d.Map.Nodes[0].Label != "All of it" || d.Map.Nodes[0].Detail != "1–3" {
		t.Errorf("%+v", d.Map.Nodes)
	}
	d = job(t, `step "Begin." decide size { s1 { finish refer } s2, s3 { } } step "Go."`)
	var kinds []string
	for _, n := range d.Map.Nodes {
		kinds = append(kinds, string(n.Kind))
	}
	if got := strings.Join(kinds, " "); got != "work decision finish work finish" {
		t.Errorf("got %s", got)
	}
}

func TestLoweringLeavesTheLibraryAlone(t *testing.T) {
	sources, images := folder(t, "testdata/pump-bench")
	lib := bind(t, sources, true)
	first := dump(lower(t, lib, "seal-change", document.Options{Images: images}))
	lower(t, lib, "seal-change", document.Options{Images: images}, "s40")
	lower(t, lib, "stud-hole-repair", document.Options{Images: images})
	if again := dump(lower(t, lib, "seal-change", document.Options{Images: images})); again != first {
		t.Errorf("the second document differs:\n%s", difference(first, again))
	}
}

// A library with faults still gives a draft: what is left of each procedure,
// whatever line is missing.
func TestDraftsOfBrokenSources(t *testing.T) {
	sources, images := folder(t, "testdata/pump-bench")
	for name, src := range sources {
		lines := strings.SplitAfter(src, "\n")
		for i, line := range lines {
			if strings.TrimSpace(line) == "" || strings.HasPrefix(strings.TrimSpace(line), "#") {
				continue
			}
			broken := map[string]string{}
			for n, s := range sources {
				broken[n] = s
			}
			broken[name] = strings.Join(lines[:i], "") + strings.Join(lines[i+1:], "")
			lib := bind(t, broken, false)
			for _, p := range lib.Procedures {
				draft(t, lib, p, images, fmt.Sprintf("%s without line %d", name, i+1))
			}
		}
	}
}

func draft(t *testing.T, lib *library.Library, p *library.Procedure, images func(string) ([]byte, error), what string) {
	t.Helper()
	defer func() {
		if r := recover(); r != nil {
			t.Errorf("%s: %s: %v", what, p.Name, r)
		}
	}()
	var res *paths.Result
	if !p.Broken {
		res = paths.Judge(lib, p)
	}
	d, _ := document.Lower(lib, p, res, document.Options{Draft: true, Messages: []string{"wrong"}, Images: images})
	if !d.Draft || len(d.Messages) != 1 || dump(d) == "" {
		t.Errorf("%s: no draft of %s", what, p.Name)
	}
	wellFormed(t, d)
}
