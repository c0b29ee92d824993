package html

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"

	"benchproof/compiler"
	"benchproof/compiler/document"
)

// compiled is the document of the one procedure of a small library.
func compiled(t *testing.T, text string) *document.Document {
	t.Helper()
	sources, err := compiler.Read(fstest.MapFS{"lib.proc": {Data: []byte(`
library "Bench" { owner "Office" language en decision simple }
variant size "Size" { a "size a" b "size b" }
condition power "Supply" { states live, off begins live ends live }
tool gauge "gauge" { number "T-1" reads from 0 mm to 10 mm resolution 0.01 mm uncertainty 0.01 mm }
table limit by size { columns most
 a 1 mm
 b 2 mm }
` + text)}})
	if err != nil {
		t.Fatal(err)
	}
	r, err := compiler.Check(context.Background(), sources)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range r.Messages {
		if strings.HasPrefix(m.Severity.String(), "error") {
			t.Fatalf("%s %s", m.Code, m.Text)
		}
	}
	doc, _ := r.Document(0, compiler.DocumentOptions{})
	return doc
}

// A reading taken again decides only what stands behind the second taking; the
// first goes on deciding what stood before it.
func TestReadingTakenAgain(t *testing.T) {
	h := newHand(t, compiled(t, `
procedure p "P" { document "W-1" revision A on 2026-01-01 "First."
  step "Read the gap with the @gauge." { measure gap in mm with gauge }
  decide gap { accept at most 1 mm "good" { step "Mark it." } above 1 mm "wide" { step "Read the gap again with the @gauge." { measure gap in mm with gauge } } }
  step "Wait for the others."
  decide gap { accept at most 1 mm "good" { step "Close it." } above 1 mm "wide" { step "Tag it." } }
}`))
	first, second := func() string { return h.statesIn("decision-1") }, func() string { return h.statesIn("decision-2") }
	want := func(a, b string) {
		t.Helper()
		if first() != a || second() != b {
			t.Errorf("decisions %s and %s, want %s and %s", first(), second(), a, b)
		}
	}
	want("open open", "open open")
	h.typesInto(`document.querySelector("#step-1 input[name=gap]")`, "0.5")
	want("chosen set-aside", "chosen set-aside")
	h.typesInto(`document.querySelector("#step-1 input[name=gap]")`, "1.5")
	want("set-aside chosen", "open open") // it is to be read again
	h.typesInto(`document.querySelector("#step-3 input[name=gap]")`, "0.7")
	want("set-aside chosen", "chosen set-aside")
	h.typesInto(`document.querySelector("#step-3 input[name=gap]")`, "0.705")
	want("set-aside chosen", "open open")
	h.clean()
}

func (h hand) statesIn(id string) string {
	h.t.Helper()
	return strings.Join(eval[[]string](h.tab, `[...document.querySelectorAll('#`+id+` [data-branch]')].sort((a, b) => a.dataset.branch < b.dataset.branch ? -1 : 1).map(e => e.dataset.state)`), " ")
}

// In a repeat everything is done once a turn: ticks, readings, questions,
// decisions, and the turns of a repeat within.
func TestRepeatWithinRepeat(t *testing.T) {
	h := newHand(t, compiled(t, `
procedure p "P" { document "W-1" revision A on 2026-01-01 "First."
  repeat at most 3 times {
    repeat at most 2 times {
      step "Read the play with the @gauge." { measure play in mm with gauge }
      until play at most 1 mm
      step "Press it."
    }
    otherwise { step "Strike it." }
    step "Look at it." { ask clean "Is it clean?" { yes "yes" no "no" } }
    decide clean { yes { step "Oil it." } no { step "Wipe it." } }
    step "Read the gap with the @gauge." { measure gap in mm with gauge }
    until gap at most 1 mm
    step "Turn it over."
  }
  otherwise { finish scrap "It will not come right." }
  step "Put it away."
}`))
	where := func(part string) { t.Helper(); h.wantWhere(part) }
	type_ := func(step, turn, name, value string) {
		t.Helper()
		h.typesInto(`document.querySelector('#`+step+` [data-turn="`+turn+`"] input[name=`+name+`]')`, value)
	}
	do := func(step, turn string) {
		t.Helper()
		eval[int](h.tab, `(() => { let n = 0; for (const e of document.querySelectorAll('#`+step+` [data-turn="`+turn+`"] input[type=checkbox]')) if (!e.checked) { e.click(); n++ } return n })()`)
	}
	where("Step 1")
	type_("step-1", "1.1", "play", "2")
	do("step-1", "1.1")
	where("Step 2")
	do("step-2", "1.1")
	type_("step-1", "1.2", "play", "2")
	do("step-1", "1.2")
	where("Step 3") // struck after two readings that are not good
	do("step-3", "1")
	where("Step 4")
	h.answers("clean", "no")
	do("step-4", "1")
	if got := h.statesIn("decision-1"); got != "set-aside chosen" { // no before yes
		t.Errorf("in the first turn: %s", got)
	}
	do("step-6", "1")
	type_("step-7", "1", "gap", "3")
	do("step-7", "1")
	where("Step 8")
	do("step-8", "1")
	where("Step 1")
	where("turn 2.1")
	if got := h.statesIn("decision-1"); got != "open open" {
		t.Errorf("in the second turn, before the question: %s", got)
	}
	type_("step-1", "2.1", "play", "0,5")
	do("step-1", "2.1")
	where("Step 4")
	eval[bool](h.tab, `document.querySelector('#step-4 [data-turn="2"] input[value=yes]').click() || true`)
	do("step-4", "2")
	if got := h.statesIn("decision-1"); got != "chosen set-aside" {
		t.Errorf("in the second turn: %s", got)
	}
	if !eval[bool](h.tab, `document.querySelector('#step-4 [data-turn="1"] input[value=no]').checked`) {
		t.Error("the answer of the second turn undoes that of the first")
	}
	do("step-5", "2")
	type_("step-7", "2", "gap", "0.9")
	do("step-7", "2")
	where("Step 9")
	do("step-9", "")
	eval[int](h.tab, `(() => { document.querySelector("#step-9 input").click(); return 0 })()`)
	where("Finish: serviceable")
	h.clean()
}

// A repeat can end by what a person sees: the answer ticked ends the turn, and
// says where the work goes on.
func TestRepeatUntilAnAnswer(t *testing.T) {
	h := newHand(t, compiled(t, `
procedure p "P" { document "W-1" revision A on 2026-01-01 "First."
  repeat at most 3 times {
    step "Watch the joint." { ask leak "What comes?" { no "nothing" weeps "it weeps" runs "it runs" bursts "it bursts" } }
    decide leak { no, weeps, runs { } bursts { finish refer "Shut it off." } }
    until leak no, weeps
    step "Press it."
  }
  otherwise { finish scrap "It will not come right." }
  step "Put it away."
}`))
	say := func(turn string) string {
		return eval[string](h.tab, `document.querySelector('#step-1 [data-turn="`+turn+`"] .say').textContent`)
	}
	answer := func(turn, value string) {
		t.Helper()
		if !eval[bool](h.tab, `(() => { for (const e of document.querySelectorAll('#step-1 [data-turn="`+turn+`"] input')) if (e.type === "checkbox" ? !e.checked : e.value === "`+value+`") e.click(); return true })()`) {
			t.Fatal("no answer")
		}
	}
	press := func(turn string) {
		t.Helper()
		eval[bool](h.tab, `(() => { document.querySelector('#step-2 [data-turn="`+turn+`"] input').click(); return true })()`)
	}
	until := func() string { return eval[string](h.tab, `document.querySelector("[data-until=leak]").dataset.state`) }
	h.wantWhere("Step 1")
	answer("1", "bursts")
	h.wantWhere("Finish: refer")
	if got := say("1"); got != "" {
		t.Errorf("an answer that ends the job leads on: %q", got)
	}
	answer("1", "runs")
	h.wantWhere("Step 2")
	if got := say("1"); got != "it runs: → step 2" || until() == "met" {
		t.Errorf("an answer that asks for a further turn says %q, until is %s", got, until())
	}
	press("1")
	h.wantWhere("turn 2")
	answer("2", "weeps")
	h.wantWhere("Step 3")
	if got := say("2"); got != "it weeps: → step 3" || until() != "met" {
		t.Errorf("an answer that ends the turns says %q, until is %s", got, until())
	}
	// Another answer is given: the turns go on, and after the last one the work ends.
	answer("2", "runs")
	h.wantWhere("Step 2")
	press("2")
	answer("3", "runs")
	h.wantWhere("Finish: scrap")
	if got := say("3"); got != "it runs: → scrap" || until() != "not-met" {
		t.Errorf("an answer of the last turn says %q, until is %s", got, until())
	}
	if got := say("1"); got != "it runs: → step 2" {
		t.Errorf("the first turn says %q", got)
	}
	h.clean()
}

// A mean of several takings is judged as a whole.
func TestMeanOfSeveral(t *testing.T) {
	h := newHand(t, compiled(t, `
procedure p "P" { document "W-1" revision A on 2026-01-01 "First." applies to size a, b
  step "Read the gap at three places with the @gauge." { measure mean of 3 gap in mm with gauge }
  decide gap { accept at most limit.most "good" { step "Close it." } above limit.most "wide" { step "Tag it." } }
}`))
	for i, v := range []string{"0.90", "1.00", "1.10"} {
		h.types("gap:"+itoa(i+1), v)
	}
	// Both sizes agree on 1.00 mm, not on 1.50 mm.
	h.wantStates("gap", "1 chosen, 2 set-aside")
	h.types("gap:3", "2.6")
	h.wantStates("gap", "1 open, 2 open")
	h.answers("size", "a")
	h.wantStates("gap", "1 set-aside, 2 chosen")
	if got := eval[string](h.tab, `document.querySelector("#step-1 output").textContent`); got != "1.50" {
		t.Errorf("the mean is shown as %q", got)
	}
	h.clean()
}
