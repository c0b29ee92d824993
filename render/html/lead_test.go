package html

import (
	"bytes"
	"context"
	"strings"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	cdppage "github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"

	"benchproof/compiler/document"
	"benchproof/render/rendertest"
)

const (
	allOpen = "1 open, 2 open, 3 open, 4 open"
	worn    = "1 set-aside, 2 set-aside, 3 chosen, 4 set-aside"
)

// before runs a script before any of the page's.
func before(script string) action {
	return func(ctx context.Context, t *chromedp.Target) (v chromedp.Void, err error) {
		_, err = cdp.Call(ctx, t, cdppage.AddScriptToEvaluateOnNewDocument, cdppage.AddScriptToEvaluateOnNewDocumentParams{Source: script})
		return v, err
	}
}

// laterBy lets a test move the clock of the page.
const laterBy = `{ const now = Date.now.bind(Date); window.laterBy = 0; Date.now = () => now() + window.laterBy }`

func (h hand) six(value string) {
	h.t.Helper()
	for i := range 6 {
		h.types("sleeve-diameter:"+itoa(i+1), value)
	}
}

// A reading that the instrument cannot show gets a clear word and no branch.
func TestReadingIsRefused(t *testing.T) {
	h := newHand(t, rendertest.Document())
	h.answers("size", "s32")
	h.six("31.9")
	h.wantStates("sleeve-diameter", worn)
	for typed, word := range map[string]string{
		"abc":                     "not a number",
		"31.9.1":                  "not a number",
		"1,234.5":                 "not a number",
		"1e3":                     "not a number",
		"٣١":                      "not a number",
		"24.999":                  "25 mm to 50 mm",
		"50.001":                  "outside what the instrument can show",
		"-31.9":                   "outside",
		"31.9005":                 "steps of 0.001\u00a0mm: write 31.900 or 31.901",
		strings.Repeat("31", 300): "too long",
		"<img src=x onerror=1>":   "not a number",
	} {
		h.types("sleeve-diameter:6", typed)
		if got := eval[string](h.tab, `document.querySelector('[name="sleeve-diameter:6"]').getAttribute("aria-invalid")`); got != "true" {
			t.Errorf("%.30q: aria-invalid is %q", typed, got)
		}
		h.wantStates("sleeve-diameter", allOpen)
		if got := h.says("sleeve-diameter"); !strings.Contains(got, word) {
			t.Errorf("%.30q: the page says %q, want %q in it", typed, got, word)
		}
	}
	// All these are 31.9.
	for _, typed := range []string{"31,9", " 31.900 ", "31.9000", "+31.9", "31.9 mm", "031.9"} {
		h.types("sleeve-diameter:6", typed)
		h.wantStates("sleeve-diameter", worn)
		if eval[bool](h.tab, `document.querySelector('[name="sleeve-diameter:6"]').hasAttribute("aria-invalid")`) {
			t.Errorf("%q is refused", typed)
		}
	}
	if got := h.says("sleeve-diameter"); !strings.Contains(got, "The sleeve is worn") || !strings.Contains(got, "step 16") {
		t.Errorf("the page says %q", got)
	}
	// Taken back: nothing is decided.
	h.types("sleeve-diameter:6", "")
	h.wantStates("sleeve-diameter", allOpen)
	if got := h.says("sleeve-diameter"); !strings.Contains(got, "1 to fill in") {
		t.Errorf("with one box empty the page says %q", got)
	}
	h.clean()
}

// The ends of ranges are judged exactly, for the member at hand, and the
// smallest of six counts.
func TestReadingPicksBranchByExactLimits(t *testing.T) {
	h := newHand(t, rendertest.Document())
	set := func(size, value, want string) {
		t.Helper()
		h.answers("size", size)
		h.types("sleeve-diameter:4", value)
		h.wantStates("sleeve-diameter", want)
	}
	h.answers("size", "s32")
	h.six("41")
	for _, c := range [][3]string{
		{"s32", "31.799", "1 set-aside, 2 set-aside, 3 set-aside, 4 chosen"}, {"s32", "31.800", worn}, {"s32", "31.953", worn},
		{"s32", "31.954", "1 set-aside, 2 chosen, 3 set-aside, 4 set-aside"}, {"s32", "32.006", "1 set-aside, 2 chosen, 3 set-aside, 4 set-aside"},
		{"s32", "32.007", "1 chosen, 2 set-aside, 3 set-aside, 4 set-aside"},
		{"s40", "39.953", worn}, {"s40", "39.954", "1 set-aside, 2 chosen, 3 set-aside, 4 set-aside"},
	} {
		set(c[0], c[1], c[2])
	}
	if got := eval[string](h.tab, `document.querySelector("#step-14 output").textContent`); got != "39.954" {
		t.Errorf("smallest of six is shown as %q", got)
	}
	h.clean()
}

// A reading that is judged by member waits for the member, unless all members
// agree.
func TestReadingWaitsForMember(t *testing.T) {
	h := newHand(t, rendertest.Document())
	h.six("31.9")
	h.wantStates("sleeve-diameter", allOpen)
	if got := h.says("sleeve-diameter"); !strings.Contains(got, "choose first: Pump size") {
		t.Errorf("the page says %q", got)
	}
	h.six("45")
	h.wantStates("sleeve-diameter", "1 chosen, 2 set-aside, 3 set-aside, 4 set-aside")
	h.six("31.9")
	h.wantStates("sleeve-diameter", allOpen)
	h.answers("size", "s32")
	h.wantStates("sleeve-diameter", worn)
	h.wantStates("size", "1 chosen, 1 chosen, 2 set-aside, 2 set-aside")
	h.clean()
}

// What is set aside folds and can be read on demand; what is chosen stays.
func TestSetAsideIsReadableOnDemand(t *testing.T) {
	h := newHand(t, rendertest.Document())
	visible := func(id string) bool {
		return eval[bool](h.tab, `document.getElementById(`+js(id)+`).checkVisibility()`)
	}
	for i := 1; i <= 36; i++ {
		if !visible("step-" + itoa(i)) {
			t.Errorf("step %d is hidden before anything is decided", i)
		}
	}
	h.answers("size", "s32")
	h.six("31.9")
	if visible("step-15") || visible("step-18") || !visible("step-16") {
		t.Error("branches set aside do not fold, or the chosen one does")
	}
	eval[chromedp.Void](h.tab, `document.getElementById("step-15").closest("details").querySelector("summary").click()`)
	if !visible("step-15") {
		t.Error("a branch set aside does not open")
	}
	h.answers("leak", "dry")
	if !visible("step-15") {
		t.Error("it folds again while somebody reads it")
	}
	h.wantStates("leak", "1 chosen, 2 set-aside")
	// Reading ahead is free: nothing is disabled, nothing asks to be acknowledged.
	if n := eval[int](h.tab, `document.querySelectorAll("[disabled], [inert], dialog, [aria-modal]").length`); n > 0 {
		t.Errorf("%d things are locked", n)
	}
	h.clean()
}

func (h hand) checked(id string) bool {
	h.t.Helper()
	return eval[bool](h.tab, `document.getElementById(`+js(id)+`).checked`)
}

// field fills in a field of the job.
func (h hand) field(name, value string) {
	h.t.Helper()
	h.typesInto(`document.getElementById("job-`+name+`")`, value)
}

func (h hand) notice() string {
	h.t.Helper()
	return eval[string](h.tab, `document.getElementById("notice").innerText`)
}

// Ticks belong to one job and one edition; the next pump never opens half
// done.
func TestTicksBelongToOneJob(t *testing.T) {
	doc := rendertest.Document()
	url := writePage(t, doc)
	h := hand{openTab(t, 1100, 900)}
	h.do(chromedp.Navigate(url))
	// Without a name first: what was ticked goes along when it is named.
	h.ticks("step-1-tick-1")
	h.field("order", "4711")
	h.field("machine", "Pump 3")
	h.ticks("step-2-state-1")
	if !h.checked("step-1-tick-1") || !h.checked("step-2-state-1") {
		t.Fatal("naming the job loses its ticks")
	}
	// The next pump.
	h.field("machine", "Pump 4")
	if h.checked("step-1-tick-1") || h.checked("step-2-state-1") {
		t.Error("the next pump opens half done")
	}
	if !strings.Contains(h.notice(), "4711 · Pump 3 is kept") {
		t.Errorf("the page says %q", h.notice())
	}
	h.ticks("step-1-tick-1")
	h.field("machine", "Pump 3")
	if !h.checked("step-2-state-1") {
		t.Error("the first job is lost")
	}
	// Opened anew the page asks which job it is.
	h.do(chromedp.Navigate("about:blank"), chromedp.Navigate(url))
	if h.checked("step-1-tick-1") {
		t.Error("the page opens with the ticks of a job that nobody named")
	}
	if !strings.Contains(h.notice(), "Go on with 4711 · Pump 3") || !strings.Contains(h.notice(), "Go on with 4711 · Pump 4") {
		t.Errorf("open jobs are not offered: %q", h.notice())
	}
	h.field("order", "4711")
	h.field("machine", "Pump 3")
	if !h.checked("step-2-state-1") {
		t.Error("the job is not found again by its name")
	}
	h.do(chromedp.Reload())
	if !h.checked("step-2-state-1") {
		t.Error("loading the page again loses the job")
	}
	// Another edition of the same document.
	doc.Fingerprint = "000000000000"
	h.do(chromedp.Navigate("about:blank"), chromedp.Navigate(writePage(t, doc)))
	h.field("order", "4711")
	h.field("machine", "Pump 3")
	if h.checked("step-1-tick-1") {
		t.Error("another edition takes over the ticks")
	}
	h.clean()
}

// A job without a name is kept, and offered for clearing at the next start.
func TestUnnamedJobIsOfferedForClearing(t *testing.T) {
	url := writePage(t, rendertest.Document())
	for _, again := range []action{chromedp.Reload(), chromedp.Steps(chromedp.Navigate("about:blank"), chromedp.Navigate(url))} {
		h := hand{openTab(t, 1100, 900)}
		h.do(chromedp.Navigate(url))
		if h.notice() != "" {
			t.Errorf("at the first start the page says %q", h.notice())
		}
		h.ticks("step-1-tick-1")
		h.types("runout", "0.03")
		h.do(again)
		if !h.checked("step-1-tick-1") || !strings.Contains(h.notice(), "without a name") || !strings.Contains(h.notice(), "2 entries") {
			t.Errorf("at the next start the page says %q", h.notice())
		}
		h.ticks("clear")
		if h.checked("step-1-tick-1") || h.notice() != "" {
			t.Error("clearing does not clear")
		}
		h.do(again)
		if h.checked("step-1-tick-1") || h.notice() != "" {
			t.Error("what was cleared comes back")
		}
		h.clean()
	}
}

// Where the browser keeps nothing the page works all the same and says so.
func TestStorageUnavailable(t *testing.T) {
	for name, script := range map[string]string{
		"forbidden": `for (const n of ["localStorage", "sessionStorage"]) Object.defineProperty(window, n, {get() { throw new DOMException("no", "SecurityError") }})`,
		"full":      `Storage.prototype.setItem = () => { throw new DOMException("full", "QuotaExceededError") }`,
		"broken":    `localStorage.setItem("benchproof " + JSON.stringify(["seal-change", "", "7f3a91c204be", "", ""]), "{nonsense")`,
	} {
		t.Run(name, func(t *testing.T) {
			h := hand{openPage(t, rendertest.Document(), before(script))}
			h.answers("size", "s32")
			h.six("31.9")
			h.wantStates("sleeve-diameter", worn)
			h.ticks("step-1-tick-1")
			h.wantWhere("Step 2")
			if got := strings.Contains(h.notice(), "keeps nothing"); got != (name != "broken") {
				t.Errorf("the page says %q", h.notice())
			}
			h.clean()
		})
	}
}

// A reading changed after work was done on it keeps both, says stop, and opens
// nothing again.
func TestChangedReadingStops(t *testing.T) {
	h := newHand(t, rendertest.Document())
	h.answers("size", "s32")
	h.six("31.900")
	h.types("sleeve-diameter:2", "31.890") // before any work: a correction
	if n := eval[int](h.tab, `document.querySelectorAll(".stop").length`); n > 0 {
		t.Fatal("a correction before any work says stop")
	}
	h.ticks("step-16-tick-1")
	h.types("sleeve-diameter:2", "31.70")
	stop := func() string {
		return eval[string](h.tab, `[...document.querySelectorAll(".stop")].map(e => e.innerText).join("|")`)
	}
	if got := stop(); !strings.Contains(got, "Stop: work was already done on the first") || !strings.Contains(got, "31.890") || !strings.Contains(got, "31.70") {
		t.Errorf("the page says %q", got)
	}
	h.wantStates("sleeve-diameter", worn)
	h.wantWhere("stopped")
	if !h.checked("step-16-tick-1") {
		t.Error("the tick is lost")
	}
	// Both are still there after loading the page again.
	h.do(chromedp.Reload())
	h.wantStates("sleeve-diameter", worn)
	if got := stop(); !strings.Contains(got, "31.890") || !strings.Contains(got, "31.70") {
		t.Errorf("loaded again the page says %q", got)
	}
	// A second value that is refused cannot hold.
	h.types("sleeve-diameter:2", "99")
	if eval[bool](h.tab, `document.querySelectorAll(".stop button")[1].checkVisibility()`) {
		t.Error("a refused value is offered")
	}
	h.wantStates("sleeve-diameter", worn)
	h.types("sleeve-diameter:2", "31.70")
	// The first one holds.
	eval[chromedp.Void](h.tab, `document.querySelectorAll(".stop button")[0].click()`)
	if got := stop(); got != "" {
		t.Errorf("the stop stays: %q", got)
	}
	if got := eval[string](h.tab, `document.querySelector('[name="sleeve-diameter:2"]').value`); got != "31.890" {
		t.Errorf("put back is %q", got)
	}
	// The second one holds: said by hand, and only then.
	h.types("sleeve-diameter:2", "31.70")
	eval[chromedp.Void](h.tab, `document.querySelectorAll(".stop button")[1].click()`)
	h.wantStates("sleeve-diameter", "1 set-aside, 2 set-aside, 3 set-aside, 4 chosen")
	if !h.checked("step-16-tick-1") {
		t.Error("the work done on the first is lost")
	}
	h.clean()
}

func TestChangedReadingOfATurnStops(t *testing.T) {
	h := newHand(t, rendertest.Document())
	h.types("casing-temperature", "60")
	h.ticks("step-6-wait-1-turn-1")
	h.typesInto(`document.getElementById("step-5-casing-temperature-turn-1-1")`, "30")
	if n := eval[int](h.tab, `document.querySelectorAll("#step-5 .stop").length`); n != 1 {
		t.Error("no stop after cooling on the first reading")
	}
	if got := eval[string](h.tab, `document.querySelector("[data-until=casing-temperature]").dataset.state`); got == "met" {
		t.Error("the repeat ends on the second value")
	}
	h.clean()
}

func TestChangedAnswerAndMemberStop(t *testing.T) {
	h := newHand(t, rendertest.Document())
	h.answers("size", "s32")
	h.answers("leak", "dry")
	h.answers("leak", "drips") // before any work
	h.answers("leak", "dry")
	h.wantStates("leak", "1 chosen, 2 set-aside")
	h.ticks("step-35-hold-1")
	h.answers("leak", "drips")
	h.wantStates("leak", "1 chosen, 2 set-aside")
	h.answers("size", "s40")
	h.wantStates("size", "1 chosen, 1 chosen, 2 set-aside, 2 set-aside")
	if got := eval[[]string](h.tab, `[...document.querySelectorAll(".stop")].map(e => e.innerText)`); len(got) != 2 || !strings.Contains(got[0], "First size 32") || !strings.Contains(got[0], "now size 40") || !strings.Contains(got[1], "First dry") {
		t.Errorf("the page says %q", got)
	}
	h.answers("size", "s32") // chosen back by hand
	h.answers("leak", "dry")
	if n := eval[int](h.tab, `document.querySelectorAll(".stop").length`); n != 0 {
		t.Error("the stop stays although the first value is back")
	}
	h.clean()
}

// After a pause of hours the page asks to verify each condition again.
func TestLongPauseAsksToVerifyAgain(t *testing.T) {
	h := hand{openPage(t, rendertest.Document(), before(laterBy))}
	for _, s := range []string{"step-1", "step-2", "step-3", "step-4"} {
		h.doStep(s)
	}
	touch := func() { eval[chromedp.Void](h.tab, `document.dispatchEvent(new Event("pointerdown"))`) }
	eval[int](h.tab, `window.laterBy = 30 * 60000`)
	touch()
	if eval[bool](h.tab, `document.getElementById("again") !== null`) {
		t.Error("half an hour is no long pause")
	}
	eval[int](h.tab, `window.laterBy += 5 * 3600000`)
	touch()
	got := eval[string](h.tab, `document.getElementById("again").innerText`)
	for _, want := range []string{"The work stood still for 5", "Verify each condition again", "Motor supply locked off – prove with two-pole voltage tester T-0003", "Casing drained"} {
		if !strings.Contains(got, want) {
			t.Errorf("the page says %q, want %q in it", got, want)
		}
	}
	if next := eval[string](h.tab, `document.getElementById("again").nextElementSibling.id`); next != "step-5" {
		t.Errorf("it is asked before %q, want the current step", next)
	}
	// It stays until it is done, also over a new start, and locks nothing.
	h.do(chromedp.Reload())
	h.ticks("again-power")
	h.types("casing-temperature", "30")
	h.wantWhere("Step 7")
	if !h.checked("again-power") {
		t.Error("what was verified is lost")
	}
	h.ticks("again-water")
	h.doStep("step-7")
	if eval[bool](h.tab, `document.getElementById("again") !== null`) {
		t.Error("it is asked again although all is verified")
	}
	h.clean()
}

// A wait counts down, goes on over a new start, and says when it is over.
func TestWaitCountsDown(t *testing.T) {
	h := hand{openPage(t, rendertest.Document(), before(laterBy))}
	h.answers("size", "s32")
	h.six("31.9")
	eval[chromedp.Void](h.tab, `document.querySelector("#step-17 .wait button").click()`)
	clock := func() string { return eval[string](h.tab, `document.querySelector("#step-17 .clock").innerText`) }
	if got := clock(); !strings.HasPrefix(got, "20:00 left") && !strings.HasPrefix(got, "19:59 left") {
		t.Errorf("the clock says %q", got)
	}
	eval[int](h.tab, `window.laterBy = 19 * 60000`)
	time.Sleep(700 * time.Millisecond)
	if got := clock(); !strings.HasPrefix(got, "0:5") && got != "1:00 left" {
		t.Errorf("after 19 minutes the clock says %q", got)
	}
	h.do(chromedp.Reload())
	if got := clock(); !strings.HasPrefix(got, "19:5") && !strings.HasPrefix(got, "20:00") {
		t.Errorf("loaded again the clock says %q", got)
	}
	eval[int](h.tab, `window.laterBy = 21 * 60000`)
	time.Sleep(700 * time.Millisecond)
	if got := clock(); got != "The wait of 20 min is over" {
		t.Errorf("at the end the clock says %q", got)
	}
	if got := eval[string](h.tab, `document.getElementById("aloud").textContent`); got != "The wait of 20 min is over" {
		t.Errorf("aloud it says %q", got)
	}
	h.clean()
}

// With scripts off everything is there and readable, every branch shown.
func TestScriptsOff(t *testing.T) {
	p := openTab(t, 1100, 900)
	p.do(func(ctx context.Context, t *chromedp.Target) (v chromedp.Void, err error) {
		_, err = cdp.Call(ctx, t, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
		return v, err
	}, chromedp.Navigate(writePage(t, rendertest.Document())))
	hidden := eval[[]string](p, `[...document.querySelectorAll("main .step, main .hazard, main input, main tr, main .finish, main .until, main p:not(.say):not(.clock), main li")].filter(e => !e.checkVisibility()).map(e => e.outerHTML.slice(0, 100))`)
	if len(hidden) > 0 {
		t.Errorf("hidden: %s", strings.Join(hidden, "\n"))
	}
	if n := eval[int](p, `document.querySelectorAll("[data-branch][data-state=open]").length`); n != 12 {
		t.Errorf("%d branches are open, want 12", n)
	}
	if n := eval[int](p, `[...document.querySelectorAll("button")].filter(e => e.checkVisibility()).length`); n != 0 {
		t.Errorf("%d buttons that can do nothing", n)
	}
}

// A script that breaks hides nothing either.
func TestScriptsBroken(t *testing.T) {
	page := render(t, rendertest.Document())
	broken := bytes.Replace(page, []byte(`id="model">{`), []byte(`id="model">nonsense{`), 1)
	if bytes.Equal(page, broken) {
		t.Fatal("nothing is broken")
	}
	p := openTab(t, 1100, 900)
	p.do(chromedp.Navigate(writeFile(t, "broken.html", broken)))
	if hidden := eval[[]string](p, `[...document.querySelectorAll("main .step, main .hazard, main input, main tr, main .finish, main .until")].filter(e => !e.checkVisibility()).map(e => e.outerHTML.slice(0, 100))`); len(hidden) > 0 {
		t.Errorf("hidden: %s", strings.Join(hidden, "\n"))
	}
}

// The keyboard alone reaches every box in the order of the page and ticks.
func TestKeyboardAlone(t *testing.T) {
	h := newHand(t, rendertest.Document())
	eval[chromedp.Void](h.tab, `window.reached = []; document.addEventListener("focusin", e => window.reached.push(e.target)); document.getElementById("step-1-tick-1").focus()`)
	h.do(chromedp.KeyEvent(" "))
	if !h.checked("step-1-tick-1") {
		t.Error("space does not tick")
	}
	for range 80 {
		h.do(chromedp.KeyEvent("\t"))
	}
	if !eval[bool](h.tab, `window.reached.every((e, i) => i === 0 || window.reached[i-1].compareDocumentPosition(e) & Node.DOCUMENT_POSITION_FOLLOWING)`) {
		t.Error("the keyboard jumps back")
	}
	if !eval[bool](h.tab, `[...document.querySelectorAll("#step-14 input")].every(e => window.reached.includes(e))`) {
		t.Error("the keyboard does not reach all boxes of step 14")
	}
	// What has the focus is not under the strip (WCAG 2.4.11).
	if !eval[bool](h.tab, `document.activeElement.getBoundingClientRect().bottom <= document.getElementById("lead").getBoundingClientRect().top + 1`) {
		t.Errorf("the focus is under the strip: %s", eval[string](h.tab, `(r => document.activeElement.outerHTML.slice(0,200) + r.top + " " + r.bottom + " " + innerHeight + " " + document.getElementById("lead").getBoundingClientRect().top + " " + getComputedStyle(document.documentElement).scrollPadding)(document.activeElement.getBoundingClientRect())`))
	}
	h.clean()
}

// Two thousand steps stay fast: a tick costs no more than ten times what it does
// among two hundred, with room for a machine that has other work.
func TestLongDocumentStaysFast(t *testing.T) {
	tick := func(h hand) float64 {
		return eval[float64](h.tab, `(() => { const t = performance.now(); for (let i = 1; i <= 20; i++) document.getElementById("step-" + i + "-tick-1").click(); document.body.offsetHeight; return (performance.now() - t) / 20 })()`)
	}
	short := newHand(t, rendertest.Long(200))
	small := tick(short)
	short.clean()
	h := newHand(t, rendertest.Long(2000))
	large := tick(h)
	t.Logf("a tick among 200 steps: %.1f ms, among 2000: %.1f ms", small, large)
	if large > 20*small+50 {
		t.Errorf("a tick among 200 steps takes %.1f ms, among 2000 %.1f ms", small, large)
	}
	h.wantWhere("Step 21 of 2000")
	h.clean()
}

// One member's document needs no choice of a member.
func TestOneMember(t *testing.T) {
	doc := rendertest.Document()
	doc.For = []document.Chosen{{Variant: "size", VariantTitle: "Pump size", Member: "s40", MemberTitle: "size 40"}}
	doc.AppliesTo[0].Members = doc.AppliesTo[0].Members[1:]
	h := newHand(t, doc)
	h.six("39.9")
	h.wantStates("sleeve-diameter", worn)
	h.clean()
}
