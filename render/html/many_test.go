package html

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"benchproof/compiler/document"
	"benchproof/render/rendertest"
)

// nested is a step within repeats of so many turns each.
func nested(turns ...int) *document.Document {
	doc := rendertest.Long(1)
	step := doc.Steps[0]
	var body []document.Block = []document.Block{step}
	for i, n := range turns {
		body = []document.Block{&document.Repeat{ID: "repeat-" + itoa(i+1), Times: n, Body: body}}
	}
	doc.Body = body
	return doc
}

// Repeats within repeats multiply; the boxes for paper stop growing where no
// paper would hold them, and paper says so.
func TestManyTurns(t *testing.T) {
	for _, turns := range [][]int{{99}, {20, 20, 20}, {99, 99, 99, 99}} {
		page := render(t, nested(turns...))
		if len(page) > 400_000 {
			t.Errorf("%v turns make %d bytes", turns, len(page))
		}
		if !strings.Contains(string(page), "on another sheet") {
			t.Errorf("%v turns: paper ends without a word", turns)
		}
	}
}

// The page goes on where the boxes of paper end: it makes those of each
// further turn, and finds them again after a new start.
func TestTurnsBeyondPaper(t *testing.T) {
	h := newHand(t, compiled(t, `
procedure p "P" { document "W-1" revision A on 2026-01-01 "First."
  repeat at most 40 times {
    step "Read the gap with the @gauge." { measure gap in mm with gauge }
    until gap at most 1 mm
    step "Press it." { wait 2 min }
  }
  otherwise { finish scrap "It will not come right." }
}`))
	eval[int](h.tab, `(() => { for (let i = 1; i <= 28; i++) {
		const t = document.querySelector('#step-1 [data-turn="' + i + '"]'), e = t.querySelector("input[name=gap]");
		e.value = "5." + String(i).padStart(2, "0"); e.dispatchEvent(new Event("input", {bubbles: true})); e.dispatchEvent(new Event("change", {bubbles: true}));
		for (const s of [t, document.querySelector('#step-2 [data-turn="' + i + '"]')]) for (const e of s.querySelectorAll("input[type=checkbox]")) e.click();
	} return 0 })()`)
	h.wantWhere("turn 29 of 40")
	if got := eval[string](h.tab, `[...document.querySelectorAll("#step-1 .turn")].filter(e => e.checkVisibility()).pop().innerText`); !strings.Contains(got, "turn 29") {
		t.Errorf("the last turn is %q", got)
	}
	eval[chromedp.Void](h.tab, `document.querySelector('#step-2 [data-turn="29"] button').click()`)
	if got := eval[string](h.tab, `document.querySelector('#step-2 [data-turn="29"] .clock').innerText`); !strings.HasPrefix(got, "2:00") && !strings.HasPrefix(got, "1:5") {
		t.Errorf("the wait of a further turn says %q", got)
	}
	h.do(chromedp.Reload())
	h.wantWhere("turn 29 of 40")
	if got := eval[string](h.tab, `document.querySelector('#step-1 [data-turn="28"] input').value`); got != "5.28" {
		t.Errorf("after a new start turn 28 holds %q", got)
	}
	if n := eval[int](h.tab, `(() => { const ids = [...document.querySelectorAll("[id]")].map(e => e.id); return ids.length - new Set(ids).size })()`); n > 0 {
		t.Errorf("%d IDs are given twice", n)
	}
	h.types("gap", "0.5")
	h.clean()
}
