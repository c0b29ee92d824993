package html

import (
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"github.com/chromedp/chromedp"

	"benchproof/compiler/document"
	"benchproof/render/rendertest"
)

// checkers installs the programs of testdata/web where they are not there. A
// checker that is missing fails the test: it is never passed over.
var checkers = sync.OnceValues(func() (string, error) {
	dir := filepath.Join("testdata", "web")
	modules := filepath.Join(dir, "node_modules")
	if _, err := os.Stat(filepath.Join(modules, ".package-lock.json")); err == nil {
		return modules, nil
	}
	c := exec.Command("npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund")
	c.Dir = dir
	if out, err := c.CombinedOutput(); err != nil {
		return "", &checkerError{string(out), err}
	}
	return modules, nil
})

type checkerError struct {
	out string
	err error
}

func (e *checkerError) Error() string {
	return "npm ci in testdata/web: " + e.err.Error() + "\n" + e.out
}

func checker(t *testing.T, path ...string) string {
	t.Helper()
	modules, err := checkers()
	if err != nil {
		t.Fatal(err)
	}
	file := filepath.Join(append([]string{modules}, path...)...)
	if _, err := os.Stat(file); err != nil {
		t.Fatal(err)
	}
	return file
}

// The Nu validator finds nothing to say about any page.
func TestPagesAreValid(t *testing.T) {
	jar := checker(t, "vnu-jar", "build", "dist", "vnu.jar")
	args := []string{"-jar", jar, "--format", "json", "--stdout"}
	for name, page := range checkedPages(t) {
		args = append(args, strings.TrimPrefix(writeFile(t, name+".html", page), "file://"))
	}
	out, err := exec.Command("java", args...).Output()
	var said struct {
		Messages []struct{ Type, URL, Message, Extract string }
	}
	if jsonErr := json.Unmarshal(out, &said); jsonErr != nil {
		t.Fatalf("%v: %v: %s", err, jsonErr, out)
	}
	for _, m := range said.Messages {
		// The validator hashes long texts in pieces and takes data for a script;
		// TestPolicy asks the browser, which is what has to let them in.
		if m.Type == "info" && strings.Contains(m.Message, "violates Content Security Policy") {
			continue
		}
		t.Errorf("%s: %s: %s\n\t%s", filepath.Base(m.URL), m.Type, m.Message, m.Extract)
	}
}

// axe-core finds no violation of WCAG 2.2 AA or of its best practices, in
// light and dark, on a desk and a phone, at the start and in the midst of the
// work.
func TestPagesAreAccessible(t *testing.T) {
	source, err := os.ReadFile(checker(t, "axe-core", "axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	inTheMidst := func(h hand) {
		h.answers("size", "s32")
		h.follow(map[string][]string{"casing-temperature": {"62", "36"}, "sleeve-diameter": {"31.90"}}, nil)
		h.types("sleeve-diameter:1", "31,99") // work was done on 31.90: a stop
		h.types("runout", "12")               // refused
	}
	for name, c := range map[string]struct {
		doc    *document.Document
		before []action
		work   func(hand)
	}{
		"light":           {doc: rendertest.Document()},
		"dark":            {doc: rendertest.Document(), before: []action{dark()}},
		"phone":           {doc: rendertest.Document(), before: []action{chromedp.EmulateViewport(390, 844)}},
		"draft":           {doc: rendertest.Draft()},
		"draft, dark":     {doc: rendertest.Draft(), before: []action{dark()}},
		"at work":         {doc: rendertest.Document(), work: inTheMidst},
		"at work, dark":   {doc: rendertest.Document(), before: []action{dark()}, work: inTheMidst},
		"at work, tablet": {doc: rendertest.Document(), before: []action{chromedp.EmulateViewport(820, 1180)}, work: inTheMidst},
	} {
		t.Run(name, func(t *testing.T) {
			h := hand{openPage(t, c.doc, c.before...)}
			if c.work != nil {
				c.work(h)
			}
			axe(h.tab, string(source))
		})
	}
}

// The same of every page of the demonstration library, in light and dark and
// as wide as a phone.
func TestDemonstrationIsAccessible(t *testing.T) {
	source, err := os.ReadFile(checker(t, "axe-core", "axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	for _, doc := range demonstrated(t) {
		t.Run(doc.Name, func(t *testing.T) {
			t.Parallel()
			page := writePage(t, doc)
			for _, before := range [][]action{nil, {dark(), chromedp.EmulateViewport(390, 844)}} {
				p := openTab(t, 1100, 900)
				p.do(before...)
				p.do(chromedp.Navigate(page))
				axe(p, string(source))
				if wide := eval[int](p, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
					t.Errorf("%d pixels wider than its window: %v", wide, eval[[]string](p, `[...document.querySelectorAll("main *")].filter(e => e.getBoundingClientRect().right > innerWidth + 1 && !e.closest(".scroll")).slice(0, 5).map(e => e.outerHTML.slice(0, 120))`))
				}
				p.clean()
			}
		})
	}
}

// axe runs axe-core in the page. The page's policy lets no script in, so it
// goes in through the debugger.
func axe(p *tab, source string) {
	p.t.Helper()
	p.do(chromedp.Evaluate[chromedp.Void](source))
	found, err := chromedp.Run(p.ctx, chromedp.Evaluate[[]string](`axe.run(document, {resultTypes: ["violations"]}).then(r => r.violations.map(v =>
		v.id + ": " + v.help + ": " + v.nodes.slice(0, 4).map(n => n.html.slice(0, 200) + " — " + n.failureSummary.replace(/\s+/g, " ")).join("\n\t\t")))`, chromedp.EvalAwaitPromise))
	if err != nil {
		p.t.Fatal(err)
	}
	for _, f := range found {
		p.t.Error(f)
	}
}

// A page is never wider than its window, down to 320 pixels (WCAG 1.4.10), and
// what the hand touches is at least 44 by 44 (WCAG 2.5.5).
func TestPagesFitAndAreLargeEnough(t *testing.T) {
	for _, width := range []int64{320, 390, 820, 1100} {
		p := openTab(t, width, 900)
		p.do(chromedp.Navigate(writePage(t, rendertest.Document())))
		if got := eval[int64](p, `document.documentElement.scrollWidth`); got > width {
			t.Errorf("at %d the page is %d wide: %v", width, got, eval[[]string](p, `[...document.querySelectorAll("main *")].filter(e => e.getBoundingClientRect().right > innerWidth + 1 && !e.closest(".scroll")).slice(0, 5).map(e => e.outerHTML.slice(0, 120))`))
		}
		if small := eval[[]string](p, `[...document.querySelectorAll("label.tick, button, .line input, .cell, #go, summary, .job label, .choice label")].filter(e => e.offsetParent && (r => r.height < 43.5 || r.width < 43.5)(e.getBoundingClientRect())).map(e => e.outerHTML.slice(0, 160))`); len(small) > 0 {
			t.Errorf("at %d too small to touch with gloves: %s", width, strings.Join(small, "\n"))
		}
	}
}
