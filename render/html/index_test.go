package html

import (
	"bytes"
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"benchproof/compiler/document"
	"benchproof/render/rendertest"
)

// libraryIndex is an index of a few invented documents.
func libraryIndex(t testing.TB, more int) []byte {
	t.Helper()
	doc := rendertest.Document()
	links := func(name string) []Link {
		return []Link{{"HTML", name + ".html"}, {"PDF", name + ".pdf"}, {"Markdown", name + ".md"}}
	}
	entries := []Entry{EntryOf(doc, links("seal-change")...)}
	other := rendertest.Document()
	other.Name, other.Number, other.Title, other.Purpose, other.Date = "gasket-check", "WI-0102", "Check the gasket face", "Says whether a face still seals: größer als üblich.", "2026-03-01"
	other.Tools, other.Parts, other.Consumables = other.Tools[:2], nil, other.Consumables[:1]
	other.AppliesTo[0].Members = other.AppliesTo[0].Members[:1]
	entries = append(entries, EntryOf(other, links("gasket-check")...))
	for i := range more {
		e := entries[0]
		e.Number, e.Name, e.Title = fmt.Sprintf("WI-%05d", i+1000), fmt.Sprintf("more-%d", i), fmt.Sprintf("Another job %d", i)
		e.Links = links(e.Name)
		entries = append(entries, e)
	}
	var b bytes.Buffer
	if err := Index(&b, entries, IndexOptions{Library: "Larkmoor Waterworks pump bench", Owner: "Maintenance office", Language: "en"}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestIndexFilters(t *testing.T) {
	p := openTab(t, 1100, 900)
	p.do(chromedp.Navigate(writeFile(t, "index.html", libraryIndex(t, 0))))
	shown := func() string {
		return strings.Join(eval[[]string](p, `[...document.querySelectorAll("#documents tbody tr")].filter(e => e.checkVisibility()).map(e => e.cells[0].textContent)`), " ")
	}
	set := func(id, value string) {
		eval[chromedp.Void](p, `(() => { const e = document.getElementById(`+js(id)+`); e.value = e.options ? [...e.options].find(o => o.textContent.includes(`+js(value)+`) || !`+js(value)+`).value : `+js(value)+`; e.dispatchEvent(new Event("input", {bubbles: true})) })()`)
	}
	count := func() string { return eval[string](p, `document.getElementById("count").textContent`) }
	if shown() != "WI-0102 WI-0114" || count() != "2 of 2 work instructions" {
		t.Errorf("at the start: %s, %s", shown(), count())
	}
	for _, c := range []struct{ id, value, want string }{
		{"search", "seal CHANGE", ""}, {"search", "mechanical", "WI-0114"}, {"search", "grosser als", ""}, {"search", "großer ublich", "WI-0102"}, {"search", "wi-0102", "WI-0102"}, {"search", "t-0114", "WI-0114"}, {"search", "", "WI-0102 WI-0114"},
		{"family", "size 40", "WI-0114"}, {"family", "size 32", "WI-0102 WI-0114"}, {"family", "", "WI-0102 WI-0114"},
		{"tool", "T-0062", "WI-0114"}, {"tool", "T-0009", "WI-0102 WI-0114"},
	} {
		set(c.id, c.value)
		if got := shown(); got != c.want {
			t.Errorf("%s %q: %s, want %s", c.id, c.value, got, c.want)
		}
	}
	// Where is this tool used?
	if got := eval[string](p, `document.querySelectorAll("#documents .where")[1].innerText`); got != "used in steps 13" {
		t.Errorf("the air gun is %q", got)
	}
	if got := eval[string](p, `document.querySelectorAll("#documents .where a")[1].getAttribute("href")`); got != "seal-change.html#step-13" {
		t.Errorf("its step is at %q", got)
	}
	set("part", "P-2032")
	if shown() != "WI-0114" {
		t.Errorf("tool and part: %s", shown())
	}
	set("search", "nothing like it")
	if count() != "Nothing fits. Take a filter away." {
		t.Errorf("nothing found: %q", count())
	}
	p.do(chromedp.Click(chromedp.CSS("button[type=reset]")))
	if got := eval[int](p, `new Promise(r => setTimeout(() => r(0), 50)) && 0`); got != 0 || !eval[bool](p, `document.getElementById("search").value === ""`) {
		t.Error("clearing does not clear")
	}
	p.clean()
}

func TestIndexIsAccessible(t *testing.T) {
	source, err := os.ReadFile(checker(t, "axe-core", "axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	for name, before := range map[string][]action{"light": nil, "dark": {dark()}, "phone": {chromedp.EmulateViewport(390, 844)}, "narrow": {chromedp.EmulateViewport(320, 800)}} {
		t.Run(name, func(t *testing.T) {
			p := openTab(t, 1100, 900)
			p.do(before...)
			p.do(chromedp.Navigate(writeFile(t, "index.html", libraryIndex(t, 0))))
			axe(p, string(source))
			if wide := eval[bool](p, `document.documentElement.scrollWidth > innerWidth`); wide {
				t.Error("the index is wider than its window")
			}
			p.clean()
		})
	}
}

func TestIndexOfHostileTexts(t *testing.T) {
	var entries []Entry
	for i, text := range hostile {
		entries = append(entries, Entry{Name: text, Title: text, Number: text, Purpose: text, Revision: text, Date: text,
			Families: []document.Family{{Variant: text, Title: text, Members: []document.Member{{Name: text, Title: text}}}},
			Uses:     []Use{{Kind: document.Tool, Name: itoa(i), Title: text, Number: text, Steps: []int{1}}}, Links: []Link{{text, text}}})
	}
	var b bytes.Buffer
	if err := Index(&b, entries, IndexOptions{Library: hostile[0], Owner: hostile[1], Language: hostile[4]}); err != nil {
		t.Fatal(err)
	}
	p := openTab(t, 1100, 900)
	p.do(chromedp.Navigate(writeFile(t, "index.html", b.Bytes())))
	eval[chromedp.Void](p, `(() => { for (const s of document.querySelectorAll("select")) for (const o of s.options) { s.value = o.value; s.dispatchEvent(new Event("input", {bubbles: true})) } })()`)
	if eval[bool](p, `Boolean(window.hurt) || document.querySelectorAll("script").length !== 2 || document.querySelectorAll("img, a[href^=javascript]").length > 0`) {
		t.Error("a text acts")
	}
	p.clean()
}

// Ten thousand documents: the index opens and answers in reasonable time.
func TestLargeIndex(t *testing.T) {
	page := libraryIndex(t, 10000)
	p := openTab(t, 1100, 900)
	p.do(chromedp.Navigate(writeFile(t, "index.html", page)))
	took := eval[float64](p, `(() => { const t = performance.now(); const e = document.getElementById("search"); e.value = "wi-09999 another"; e.dispatchEvent(new Event("input", {bubbles: true})); document.body.offsetHeight; return performance.now() - t })()`)
	t.Logf("%d kB, a search takes %.0f ms", len(page)/1024, took)
	if got := eval[string](p, `document.getElementById("count").textContent`); !strings.HasPrefix(got, "1 of 10002") {
		t.Errorf("found %s", got)
	}
	p.clean()
}
