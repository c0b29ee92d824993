package html

import (
	"fmt"
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

// A family of a thousand members, decided by each: the page is in proportion to
// them, a browser shows it, and a machine can be chosen.
func TestManyMembers(t *testing.T) {
	page := func(n int) (string, int) {
		var members, rows strings.Builder
		for i := range n {
			fmt.Fprintf(&members, " m%d \"member %[1]d\"\n", i)
			fmt.Fprintf(&rows, " m%d %d.%02d mm\n", i, i/100%9, i%100)
		}
		doc := compiled(t, "variant model \"Model\" {"+members.String()+"}\ntable play by model {\n columns high\n"+rows.String()+`}
procedure p "P" { document "W-1" revision A on 2026-01-01 "First."
  step "Read the gap with the @gauge." { measure gap in mm with gauge }
  decide gap { accept at most play.high "Good." { } above play.high "Worn." { finish scrap "Order one." } }
}`)
		made := render(t, doc)
		return writeFile(t, fmt.Sprint("many", n, ".html"), made), len(made)
	}
	_, few := page(100)
	address, many := page(1000)
	if many > 10*few || many > 4_000_000 {
		t.Errorf("100 members make %d bytes, 1000 make %d", few, many)
	}
	p := openTab(t, 1100, 900)
	p.do(chromedp.Navigate(address))
	if n := eval[int](p, `document.querySelectorAll("*").length`); n > 40_000 {
		t.Errorf("the page has %d elements", n)
	}
	if got := eval[string](p, `document.body.innerText`); !strings.Contains(got, "member 999") {
		t.Error("the last member is missing")
	}
	p.clean()
}
