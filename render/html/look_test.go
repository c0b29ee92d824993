package html

import (
	"flag"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"

	"benchproof/compiler/document"
	"benchproof/render/rendertest"
)

var out = flag.String("out", "", "write pictures of the sample pages into this folder, to look at")

// TestLook writes what people look at: pages in light and dark, on a tablet
// and a phone, and on paper.
func TestLook(t *testing.T) {
	if *out == "" {
		return
	}
	shoot := func(name string, doc *document.Document, width int64, actions ...action) {
		p := openTab(t, width, 900)
		p.do(actions...)
		p.do(chromedp.Navigate(writePage(t, doc)))
		save(t, name+".png", get(p, chromedp.FullScreenshot(100)))
		p.clean()
	}
	doc := rendertest.Document()
	shoot("light", doc, 1100)
	shoot("dark", doc, 1100, dark())
	shoot("tablet", doc, 820)
	shoot("phone", doc, 390)
	shoot("draft", rendertest.Draft(), 1100)
	for name, before := range map[string][]action{"work": nil, "work-dark": {dark()}} {
		h := atWork(t, before...)
		save(t, name+".png", get(h.tab, chromedp.FullScreenshot(100)))
	}
	for _, doc := range demonstrated(t) {
		shoot("demo-"+doc.Name, doc, 1100)
	}
	for name, width := range map[string]int64{"index": 1100, "index-phone": 390} {
		p := openTab(t, width, 900)
		p.do(chromedp.Navigate(writeFile(t, "index.html", libraryIndex(t, 8))))
		save(t, name+".png", get(p, chromedp.FullScreenshot(100)))
	}
	save(t, "paper.pdf", printed(t, doc))
	save(t, "paper-draft.pdf", printed(t, rendertest.Draft()))
}

// printed is a page on A4.
func printed(t *testing.T, doc *document.Document) []byte {
	t.Helper()
	p := openPage(t, doc)
	return get(p, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA4), chromedp.PDFPreferCSSPageSize()))
}

func save(t *testing.T, name string, b []byte) {
	t.Helper()
	if err := os.WriteFile(filepath.Join(*out, name), b, 0o644); err != nil {
		t.Fatal(err)
	}
}

// atWork is the sample in the midst of a job: one turn of cooling, a worn
// sleeve, a second value for it after work was done, and a reading refused.
func atWork(t *testing.T, before ...action) hand {
	t.Helper()
	h := hand{openPage(t, rendertest.Document(), before...)}
	h.field("order", "4711")
	h.field("machine", "Pump 3")
	h.answers("size", "s32")
	h.follow(map[string][]string{"casing-temperature": {"62", "36"}, "sleeve-diameter": {"31.90"}}, nil)
	h.types("sleeve-diameter:1", "31,99")
	h.types("runout", "12")
	return h
}
