package html

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"benchproof/render/rendertest"
)

// pdfText is the text of a print, with spaces and line ends as one space.
func pdfText(t *testing.T, pdf []byte) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), "print.pdf")
	if err := os.WriteFile(file, pdf, 0o644); err != nil {
		t.Fatal(err)
	}
	out, err := exec.Command("pdftotext", "-layout", file, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	var pages []string
	for _, p := range bytes.Split(bytes.TrimSuffix(out, []byte("\f")), []byte("\f")) {
		pages = append(pages, strings.Join(strings.Fields(string(p)), " "))
	}
	return strings.Join(pages, "\f")
}

// A paper copy has every step with its boxes, each branch and each turn, and
// on every page which document it is.
func TestPaperCopy(t *testing.T) {
	doc := rendertest.Document()
	text := pdfText(t, printed(t, doc))
	pages := strings.Split(text, "\f")
	for i, p := range pages {
		if !strings.Contains(p, "Work order ____") {
			t.Errorf("page %d has no room for the work order", i+1)
		}
		if !strings.Contains(p, "WI-0114 C · 7f3a91c204be · page "+itoa(i+1)+" of "+itoa(len(pages))) {
			t.Errorf("page %d does not say which document it is", i+1)
		}
		if strings.Contains(p, "NOT FOR WORK") {
			t.Errorf("page %d says NOT FOR WORK", i+1)
		}
	}
	if len(pages) > 16 {
		t.Errorf("%d pages", len(pages))
	}
	for _, want := range []string{"turn 4", "Refer", "Serviceable", "The map in words", "along the shaft", "Also: lint-free cloth"} {
		if !strings.Contains(text, want) {
			t.Errorf("paper has no %q", want)
		}
	}
	for _, not := range []string{"Start 15 min", "Save the record", "Go there", "Go to the steps", "chosen"} {
		if strings.Contains(text, not) {
			t.Errorf("paper has %q", not)
		}
	}
}

// A work order that was filled in stands on every printed sheet, whatever it is
// made of.
func TestPaperCopySaysItsJob(t *testing.T) {
	h := hand{openPage(t, rendertest.Document())}
	h.field("order", `4711"} Ü/`)
	text := pdfText(t, get(h.tab, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA4), chromedp.PDFPreferCSSPageSize())))
	for i, p := range strings.Split(text, "\f") {
		if !strings.Contains(p, `Work order 4711"} Ü/`) || strings.Contains(p, "____") {
			t.Errorf("page %d does not say the work order", i+1)
		}
	}
	h.clean()
}

// A draft says NOT FOR WORK at the top and on every printed page, and has no
// box of any sort.
func TestDraftIsNotForWork(t *testing.T) {
	doc := rendertest.Draft()
	for i, p := range strings.Split(pdfText(t, printed(t, doc)), "\f") {
		if !strings.Contains(p, "NOT FOR WORK") {
			t.Errorf("page %d of a draft does not say NOT FOR WORK", i+1)
		}
	}
	p := openPage(t, doc)
	if n := eval[int](p, `document.querySelectorAll("input, textarea, select, button, script, output, .hand").length`); n != 0 {
		t.Errorf("a draft has %d boxes", n)
	}
	text := eval[string](p, `document.body.innerText`)
	for _, m := range append(doc.Messages, "NOT FOR WORK", doc.Words.DraftNote) {
		if !strings.Contains(text, m) {
			t.Errorf("a draft does not show %q", m)
		}
	}
	if strings.Contains(text, doc.Words.Signature) {
		t.Error("a draft has a signature")
	}
	p.clean()
}

// What is withdrawn says so large, at the top and on every printed page, and no
// work can be started on it; what is not says how it stands.
func TestWithdrawnIsForNoWork(t *testing.T) {
	for i, p := range strings.Split(pdfText(t, printed(t, rendertest.Document())), "\f") {
		if !strings.Contains(p, "Released by Ada Marsh, 2026-10-05") || strings.Contains(p, "WITHDRAWN") {
			t.Errorf("page %d of a released document does not say so", i+1)
		}
	}
	doc := rendertest.Withdrawn()
	for i, p := range strings.Split(pdfText(t, printed(t, doc)), "\f") {
		if !strings.Contains(p, "WITHDRAWN") || !strings.Contains(p, doc.Release.Text) {
			t.Errorf("page %d of a withdrawn document does not say so", i+1)
		}
	}
	p := openPage(t, doc)
	if n := eval[int](p, `document.querySelectorAll("input, textarea, select, button, script, output, .hand").length`); n != 0 {
		t.Errorf("a withdrawn document has %d boxes", n)
	}
	text := eval[string](p, `document.body.innerText`)
	for _, want := range []string{"WITHDRAWN", doc.Words.WithdrawnNote, doc.Release.Text, doc.Release.Reason} {
		if !strings.Contains(text, want) {
			t.Errorf("a withdrawn document does not show %q", want)
		}
	}
	p.clean()
}
