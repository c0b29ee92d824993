package preview

import (
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/chromedp"
)

// tab is a page open in a browser of its own.
type tab struct {
	t      *testing.T
	ctx    context.Context
	mu     sync.Mutex
	faults []string // what the page threw, logged as an error, or was refused
}

func openTab(t *testing.T, address string) *tab {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Fatalf("find Chromium: %v", err)
	}
	options := []chromedp.ExecAllocatorOption{chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()), chromedp.NoFirstRun, chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU}
	for _, name := range []string{"disable-quic", "disable-background-networking", "disable-component-update", "disable-sync", "hide-scrollbars"} {
		options = append(options, chromedp.Flag(name, true))
	}
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(cancel)
	ctx, stop := chromedp.NewContext(ctx)
	t.Cleanup(stop)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("start Chromium: %v", err)
	}
	messages := chromedp.Console(ctx)
	ctx, end := context.WithTimeout(ctx, 3*time.Minute)
	t.Cleanup(end)
	p := &tab{t: t, ctx: ctx}
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			p.mu.Lock()
			if m.IsException() || m.Type == "error" {
				p.faults = append(p.faults, fmt.Sprintf("%s: %s (line %d)", m.Type, m.Text, m.Line))
			}
			p.mu.Unlock()
		}
	}()
	if err := chromedp.Do(ctx, chromedp.EmulateViewport(1100, 800), chromedp.Navigate(address)); err != nil {
		t.Fatal(err)
	}
	return p
}

func eval[T any](p *tab, expression string) T {
	p.t.Helper()
	v, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		p.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// until waits until an expression holds in the page.
func (p *tab) until(expression string) {
	p.t.Helper()
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(20 * time.Millisecond) {
		if eval[bool](p, "Boolean("+expression+")") {
			return
		}
		if time.Now().After(end) {
			p.t.Fatalf("the page never came to %s:\n%s", expression, eval[string](p, "document.body.innerText"))
		}
	}
}

// clean fails the test where the page threw, or was refused something.
func (p *tab) clean() {
	p.t.Helper()
	eval[int](p, "1") // what was said before has arrived
	time.Sleep(50 * time.Millisecond)
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, f := range p.faults {
		p.t.Error(f)
	}
}

const (
	goodText  = `(document.querySelector("#good iframe:not(.coming)")?.contentDocument?.body?.innerText || "")`
	draftText = `(document.querySelector("#draft iframe:not(.coming)")?.contentDocument?.body?.innerText || "")`
	goodView  = `document.querySelector("#good iframe:not(.coming)").contentWindow`
)

// long gives a library with steps enough to scroll; changed are texts of some.
func long(first string, changed map[int]string) string {
	var steps []string
	if first != "" {
		steps = append(steps, fmt.Sprintf("step %q", first))
	}
	for n := range 40 {
		text := fmt.Sprintf("Wipe the lid at place %c%c.", 'A'+n/10, 'a'+n%10)
		if c, ok := changed[n]; ok {
			text = c
		}
		steps = append(steps, fmt.Sprintf("step %q {\n    use  spanner\n    show  lid-view\n  }", text))
	}
	return with(steps...)
}

// Edit a file and the page changes at the same step; break it, and the message
// shows over the last good page; mend it, and it goes.
func TestPreviewInTheBrowser(t *testing.T) {
	b := start(t, long("", nil))
	p := openTab(t, b.server.Address())
	p.until(goodText + `.includes("place Dj")`)
	if got := eval[string](p, `document.getElementById("library").textContent + ": " + document.getElementById("document").selectedOptions[0].textContent + ": " + document.getElementById("verdict").textContent`); got != "Lid bench: Check the lid: 0 errors, 0 warnings" {
		t.Errorf("the head says %q", got)
	}
	if !eval[bool](p, `document.getElementById("messages").hidden && document.getElementById("draft").hidden`) {
		t.Error("messages or a draft are on view")
	}

	// Stand at a step in the midst of the work.
	const at = `[...` + goodView + `.document.querySelectorAll("[id^='step-']")].find(e => e.textContent.includes("place Ce")).getBoundingClientRect().top`
	eval[chromedp.Void](p, `(() => { const w = `+goodView+`; w.scrollTo({top: `+at+` - 120, behavior: "instant"}) })()`)
	top := eval[float64](p, at)
	if top < 60 || top > 180 {
		t.Fatalf("the step stands at %v", top)
	}

	// A step is put in before it: the same step stays where it was, with another number.
	b.write("a.proc", long("Tell the operator.", nil))
	p.until(goodText + `.includes("Tell the operator")`)
	if now := eval[float64](p, at); now < top-2 || now > top+2 {
		t.Errorf("the step has moved from %v to %v", top, now)
	}

	// The step itself is changed.
	b.write("a.proc", long("Tell the operator.", map[int]string{24: "Wipe the lid at place Ce with a rag."}))
	p.until(goodText + `.includes("with a rag")`)
	if now := eval[float64](p, at); now < top-2 || now > top+2 {
		t.Errorf("the changed step has moved from %v to %v", top, now)
	}

	// Break it: the message with its excerpt, the good page as it was, and a draft.
	// What the source says is text, whatever it looks like.
	b.write("a.proc", long("", map[int]string{3: "Wipe <img src=x onerror=alert(1)><b>all</b> with the @rag.", 24: "Wipe the lid at place Ce with a rag."}))
	p.until(`!document.getElementById("messages").hidden`)
	said := eval[string](p, `document.getElementById("messages").innerText`)
	for _, want := range []string{"1 error, 0 warnings", "error BP201", "a.proc:25:63: ", "Wipe <img src=x onerror=alert(1)><b>all</b> with the @rag.", "^^^", "what BP201 means"} {
		if !strings.Contains(said, want) {
			t.Errorf("the messages lack %q:\n%s", want, said)
		}
	}
	if n := eval[int](p, `document.querySelectorAll("#messages img, #messages b").length`); n != 0 {
		t.Error("text of the source became markup")
	}
	if !eval[bool](p, goodText+`.includes("with a rag")`) {
		t.Error("the last good page is gone")
	}
	if now := eval[float64](p, at); now < top-2 || now > top+2 {
		t.Errorf("the good page has moved from %v to %v", top, now)
	}
	p.until(draftText + `.includes("NOT FOR WORK") && !document.getElementById("draft").hidden`)
	if now := eval[float64](p, strings.ReplaceAll(at, "#good", "#draft")); now < top-40 || now > top+40 {
		t.Errorf("the draft shows the step at %v, and the good page at %v", now, top)
	}
	if title := eval[string](p, `document.title`); title != "✗ Lid bench" {
		t.Errorf("the title is %q", title)
	}
	if s := eval[string](p, `document.getElementById("verdict").textContent`); s != "1 error, 0 warnings; shown is the last state without an error" {
		t.Errorf("the verdict is %q", s)
	}
	eval[chromedp.Void](p, `document.getElementById("show-draft").click()`)
	p.until(`document.getElementById("draft").hidden`)
	eval[chromedp.Void](p, `document.querySelector("#messages button").click()`)
	if eval[bool](p, `document.getElementById("messages").innerText.includes("BP201")`) {
		t.Error("the messages cannot be put aside")
	}

	// Mend it: all of that goes.
	b.write("a.proc", long("", map[int]string{24: "Wipe the lid at place Ce with a brush."}))
	p.until(goodText + `.includes("with a brush")`)
	p.until(`document.getElementById("messages").hidden && document.getElementById("draft").hidden`)
	if eval[bool](p, goodText+`.includes("with a rag")`) {
		t.Error("the old page is still there")
	}
	if n := eval[int](p, `document.querySelectorAll("iframe").length`); n != 1 {
		t.Errorf("%d frames are left", n)
	}
	p.clean()

	// When the preview stops, the page says so and keeps what it shows.
	if err := b.stop(); err != nil {
		t.Error(err)
	}
	p.until(`document.getElementById("verdict").textContent.includes("the preview has stopped")`)
	if !eval[bool](p, goodText+`.includes("with a brush")`) {
		t.Error("the page is gone with its server")
	}
}

// A link to another procedure is followed in the frame, and the choice with it.
func TestPreviewFollowsLinksAndChoice(t *testing.T) {
	text := with(look) + `
procedure second "Check the second lid" {
  document  "WI-2"
  revision  A on 2026-01-05 "First issue."

  step "Open the second lid with the @spanner." { use spanner }
  finish refer to check-lid
}

trial "second" of second {
  expect  finish refer
}
`
	b := start(t, text)
	p := openTab(t, b.server.Address())
	p.until(goodText + `.includes("Open the lid")`)
	eval[chromedp.Void](p, `(() => { const c = document.getElementById("document"); c.value = "second"; c.dispatchEvent(new Event("change")) })()`)
	p.until(goodText + `.includes("Open the second lid")`)
	eval[chromedp.Void](p, `document.querySelector("#good iframe").contentDocument.querySelector("a[href='check-lid.html']").click()`)
	p.until(`document.getElementById("document").value === "check-lid" && ` + goodText + `.includes("Open the lid")`)

	// The document that is looked at goes: another is shown, and nothing breaks.
	b.write("a.proc", strings.Replace(strings.ReplaceAll(text, "check-lid", "first"), "Check the lid", "Check the first lid", 1))
	p.until(`document.getElementById("document").value === "first" && ` + goodText + `.includes("Check the first lid")`)
	p.clean()
}

// Another site's page can neither read nor frame the preview.
func TestPreviewInAnotherSitesPage(t *testing.T) {
	b := start(t, with(look))
	page := filepath.Join(t.TempDir(), "evil.html")
	if err := os.WriteFile(page, []byte(`<!DOCTYPE html><title>x</title><iframe src="`+b.server.Address()+`good/check-lid.html"></iframe><iframe src="`+b.server.Address()+`"></iframe>
<script>window.read = fetch("`+b.server.Address()+`state").then(r => r.text(), () => "refused");
window.sent = fetch("`+b.server.Address()+`state", {mode: "no-cors"}).then(r => r.type, () => "refused");</script>`), 0o644); err != nil {
		t.Fatal(err)
	}
	p := openTab(t, "file://"+page)
	p.until(`document.readyState === "complete"`)
	for _, name := range []string{"read", "sent"} {
		got, err := chromedp.Run(p.ctx, chromedp.Evaluate[string](`window.`+name, chromedp.EvalAwaitPromise))
		if err != nil || strings.Contains(got, "Lid") || got == "basic" {
			t.Errorf("%s: %q, %v", name, got, err)
		}
	}
	if n := eval[int](p, `[...document.querySelectorAll("iframe")].filter(f => { try { return f.contentDocument && f.contentDocument.body.innerText.includes("lid") } catch { return false } }).length`); n != 0 {
		t.Error("a frame of another site shows the preview")
	}
}
