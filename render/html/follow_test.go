package html

import (
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"benchproof/compiler/document"
	"benchproof/render/rendertest"
)

// hand works on a page as a person does: it ticks and types, and reads what
// the page says.
type hand struct {
	*tab
}

func newHand(t *testing.T, doc *document.Document) hand {
	t.Helper()
	return hand{openPage(t, doc)}
}

// types puts a text into the n-th visible box of a name, as typing does.
func (h hand) types(name, text string) {
	h.t.Helper()
	h.typesInto(`[...document.querySelectorAll('input[name=`+js(name)+`]')].filter(e => e.offsetParent)[0]`, text)
}

func (h hand) typesInto(element, text string) {
	h.t.Helper()
	if !eval[bool](h.tab, `(() => { const e = `+element+`; if (!e) return false; e.scrollIntoView({block: "center", behavior: "instant"}); e.focus(); e.select(); return true })()`) {
		h.t.Fatalf("no box %s", element)
	}
	if text == "" {
		h.do(chromedp.KeyEvent("\b"))
	} else {
		h.do(chromedp.KeyEvent(text))
	}
	h.do(chromedp.Evaluate[chromedp.Void](`document.activeElement.blur()`))
}

// ticks ticks a box by the ID of its input.
func (h hand) ticks(id string) {
	h.t.Helper()
	if !eval[bool](h.tab, `(() => { const e = document.getElementById(`+js(id)+`); if (!e) return false; e.click(); return true })()`) {
		h.t.Fatalf("no box %s", id)
	}
}

// answers chooses an answer or a member among those that are to be seen.
func (h hand) answers(name, value string) {
	h.t.Helper()
	if !eval[bool](h.tab, `(() => { const e = [...document.querySelectorAll('input[type=radio][name=`+js(name)+`][value=`+js(value)+`]')].filter(e => e.offsetParent)[0]; if (!e) return false; e.click(); return true })()`) {
		h.t.Fatalf("no answer %s to %s", value, name)
	}
}

// states gives the states of all branches of a name, in the order of the page.
func (h hand) states(name string) string {
	h.t.Helper()
	return strings.Join(eval[[]string](h.tab, `[...document.querySelectorAll('[data-branch]')].filter(e => e.dataset.branch.startsWith(`+js(name)+` + ":")).map(e => e.dataset.branch.split(":").pop() + " " + e.dataset.state).sort()`), ", ")
}

func (h hand) wantStates(name, want string) {
	h.t.Helper()
	if got := h.states(name); got != want {
		h.t.Errorf("branches of %s: %s, want %s", name, got, want)
	}
}

// where is what the strip says of where the work stands.
func (h hand) where() string {
	h.t.Helper()
	return eval[string](h.tab, `document.getElementById("where").innerText.replace(/\n/g, " | ")`)
}

func (h hand) wantWhere(part string) {
	h.t.Helper()
	if got := h.where(); !strings.Contains(got, part) {
		h.t.Errorf("the strip says %q, want %q in it", got, part)
	}
}

// says is the word beside the box of a reading.
func (h hand) says(name string) string {
	h.t.Helper()
	return eval[string](h.tab, `[...document.querySelectorAll('.reading[data-reading=`+js(name)+`] .say')].map(e => e.textContent).filter(Boolean).join(" / ")`)
}

// doStep fills every empty box of a step that is to be seen, in the first turn
// that has one.
func (h hand) doStep(step string) {
	h.t.Helper()
	eval[chromedp.Void](h.tab, `(() => {
		const step = document.getElementById(`+js(step)+`);
		const empty = (root) => [...root.querySelectorAll("input[type=checkbox]")].filter(e => !e.checked && e.offsetParent);
		const turn = [...step.querySelectorAll(".turn")].find(t => empty(t).length) || step;
		for (const e of empty(turn)) e.click();
		for (const e of turn.querySelectorAll(".line input")) if (e.offsetParent && !e.value && !e.closest(".hold")) { e.value = "x"; e.dispatchEvent(new Event("change", {bubbles: true})) }
	})()`)
}

// follow works through the procedure from where it stands: it does each
// current step, types the readings given for it in turn and answers, until the
// strip says finish or asks for something that was not given.
func (h hand) follow(readings map[string][]string, answers map[string]string) {
	h.t.Helper()
	for range 200 {
		step := eval[string](h.tab, `(document.querySelector('[aria-current=step]') || {id: ""}).id`)
		if step == "" {
			return
		}
		for _, name := range eval[[]string](h.tab, `[...new Set([...document.querySelectorAll('#`+step+` .reading')].filter(e => e.offsetParent && [...e.querySelectorAll("input")].some(i => !i.value)).map(e => e.dataset.reading))]`) {
			if len(readings[name]) == 0 {
				return
			}
			value := readings[name][0]
			readings[name] = readings[name][1:]
			boxes := eval[[]string](h.tab, `[...[...document.querySelectorAll('#`+step+` .reading[data-reading=`+js(name)+`]')].filter(e => e.offsetParent && [...e.querySelectorAll("input")].some(i => !i.value))[0].querySelectorAll("input")].map(i => i.id)`)
			for _, id := range boxes {
				h.typesInto(`document.getElementById(`+js(id)+`)`, value)
			}
		}
		for _, name := range eval[[]string](h.tab, `[...new Set([...document.querySelectorAll('#`+step+` fieldset input')].map(e => e.name))]`) {
			if answers[name] == "" {
				return
			}
			h.answers(name, answers[name])
		}
		before := h.where() + step
		h.doStep(step)
		if now := h.where() + eval[string](h.tab, `(document.querySelector('[aria-current=step]') || {id: ""}).id`); now == before {
			h.t.Fatalf("the work stands still at %s: %s", step, now)
		}
	}
	h.t.Fatal("the work does not end")
}

func (h hand) finish() string {
	h.t.Helper()
	if !strings.HasPrefix(h.where(), "Finish") {
		h.t.Errorf("the strip says %q, not a finish", h.where())
	}
	return eval[string](h.tab, `document.getElementById("go").getAttribute("href")`)
}

// The worked cases of the sample, played in the page.
func TestFollowToEachFinish(t *testing.T) {
	for name, c := range map[string]struct {
		size     string
		readings map[string][]string
		answers  map[string]string
		finish   string
		done     []string
		not      []string
	}{
		"worn sleeve, small pump": {"s32", map[string][]string{"casing-temperature": {"55", "36"}, "sleeve-diameter": {"31.90"}, "runout": {"0,08", "0,03"}}, map[string]string{"leak": "dry"}, "#finish-5",
			[]string{"step-6", "step-16", "step-17", "step-20"}, []string{"step-11", "step-15", "step-18", "step-24"}},
		"sleeve as good as new, large pump": {"s40", map[string][]string{"casing-temperature": {"30"}, "sleeve-diameter": {"39.99"}, "runout": {"0.02"}}, map[string]string{"leak": "dry"}, "#finish-5",
			[]string{"step-11", "step-24"}, []string{"step-6", "step-16"}},
		"inside the guard band counts as worn": {"s32", map[string][]string{"casing-temperature": {"30"}, "sleeve-diameter": {"31.953"}, "runout": {"0.02"}}, map[string]string{"leak": "dry"}, "#finish-5",
			[]string{"step-16"}, nil},
		"damaged shaft":           {"s32", map[string][]string{"casing-temperature": {"30"}, "sleeve-diameter": {"31.70"}}, nil, "#finish-3", []string{"step-18"}, []string{"step-16"}},
		"a size 40 sleeve":        {"s32", map[string][]string{"casing-temperature": {"30"}, "sleeve-diameter": {"39.97"}}, nil, "#finish-2", []string{"step-15"}, []string{"step-18"}},
		"shaft will not run true": {"s40", map[string][]string{"casing-temperature": {"30"}, "sleeve-diameter": {"39.97"}, "runout": {"0.09", "0.08"}}, nil, "#finish-4", []string{"step-20", "step-21"}, []string{"step-22"}},
		"new seal drips":          {"s40", map[string][]string{"casing-temperature": {"30"}, "sleeve-diameter": {"39.85"}, "runout": {"0.03"}}, map[string]string{"leak": "drips", "drip-place": "joint"}, "#finish-7", []string{"step-17", "step-36"}, []string{"step-35"}},
		"casing stays hot":        {"s32", map[string][]string{"casing-temperature": {"62", "61", "61", "60"}}, nil, "#finish-1", []string{"step-5", "step-6"}, []string{"step-7"}},
	} {
		t.Run(name, func(t *testing.T) {
			h := newHand(t, rendertest.Document())
			h.answers("size", c.size)
			h.follow(c.readings, c.answers)
			if got := h.finish(); got != c.finish {
				t.Errorf("finish %s, want %s", got, c.finish)
			}
			view := func(step string) string {
				return eval[string](h.tab, `document.getElementById(`+js(step)+`).dataset.view`)
			}
			for _, s := range c.done {
				if view(s) != "done" {
					t.Errorf("%s is %s, want done", s, view(s))
				}
			}
			for _, s := range c.not {
				if view(s) == "done" {
					t.Errorf("%s is done", s)
				}
			}
			for r, left := range c.readings {
				if len(left) > 0 {
					t.Errorf("%s: not asked for %v", r, left)
				}
			}
			h.clean()
		})
	}
}
