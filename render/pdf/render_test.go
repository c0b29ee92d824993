package pdf

import (
	"bytes"
	"errors"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"sync"
	"testing"

	"benchproof/compiler/document"
	"benchproof/render/rendertest"
)

// With -keep DIR the files that tests make are left there to be looked at.
var keep = flag.String("keep", "", "folder to leave the written files in")

// render makes a file in which nothing may be missing.
func render(t testing.TB, name string, doc *document.Document, o Options) []byte {
	t.Helper()
	file, missing := renderAll(t, name, doc, o)
	for _, m := range missing {
		t.Errorf("missing: %s", m)
	}
	return file
}

func renderAll(t testing.TB, name string, doc *document.Document, o Options) ([]byte, []Missing) {
	t.Helper()
	var b bytes.Buffer
	missing, err := Render(&b, doc, o)
	if err != nil {
		t.Fatal(err)
	}
	if *keep != "" {
		if err := os.WriteFile(filepath.Join(*keep, name+".pdf"), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return b.Bytes(), missing
}

func TestFilesAreValid(t *testing.T) {
	for name, doc := range map[string]*document.Document{"sample": rendertest.Document(), "draft": rendertest.Draft(), "long": rendertest.Long(120)} {
		for _, paper := range []Paper{A4, Letter} {
			t.Run(name+" "+paper.size().Name, func(t *testing.T) {
				t.Parallel()
				file := render(t, name+"-"+paper.size().Name, doc, Options{Paper: paper})
				valid(t, file)
				size := map[Paper]string{A4: "595.28 x 841.89 pts (A4)", Letter: "612 x 792 pts (letter)"}[paper]
				if info := tool(t, file, "pdfinfo", "FILE"); !strings.Contains(info, size) {
					t.Errorf("pdfinfo: the page is not %s:\n%s", size, info)
				}
			})
		}
	}
}

func TestInformation(t *testing.T) {
	doc := rendertest.Document()
	file := render(t, "sample", doc, Options{})
	info := tool(t, file, "pdfinfo", "FILE")
	for _, want := range []string{
		"Title:           WI-0114 Replace the mechanical seal", "Author:          Maintenance office",
		"Subject:         Stops a leak along the shaft of a circulating pump.", "CreationDate:    Fri Oct  2 00:00:00 2026", "Form:            AcroForm",
	} {
		if !strings.Contains(info, want) {
			t.Errorf("no %q in\n%s", want, info)
		}
	}
	meta := tool(t, file, "pdfinfo", "-meta", "FILE")
	for _, want := range []string{"<pdfuaid:part>1</pdfuaid:part>", "WI-0114 Replace the mechanical seal", "<xmp:CreateDate>2026-10-02T00:00:00Z", "<dc:identifier>WI-0114 C 7f3a91c204be"} {
		if !strings.Contains(meta, want) {
			t.Errorf("metadata has no %q", want)
		}
	}
	catalog := tool(t, file, "mutool", "show", "FILE", "trailer/Root")
	for _, want := range []string{"/Lang", "/MarkInfo", "/StructTreeRoot", "/DisplayDocTitle true", "/Outlines", "/AcroForm", "/Metadata"} {
		if !strings.Contains(catalog, want) {
			t.Errorf("the catalog has no %s:\n%s", want, catalog)
		}
	}
}

// words are the words of a text as a reader of the file finds them.
func words(s string) []string { return strings.Fields(strings.ReplaceAll(s, "\u00a0", " ")) }

// find looks for words in order from a place on and returns the place behind
// them, or -1.
func find(in []string, from int, want []string) int {
	for i := from; i+len(want) <= len(in); i++ {
		match := true
		for k := range want {
			if in[i+k] != want[k] {
				match = false
				break
			}
		}
		if match {
			return i + len(want)
		}
	}
	return -1
}

func TestWordsOfEveryStepInOrder(t *testing.T) {
	for _, doc := range []*document.Document{rendertest.Document(), rendertest.Draft(), rendertest.Long(150)} {
		file := render(t, "words", doc, Options{})
		for _, how := range []string{"-raw", "structure"} {
			var text string
			if how == "structure" {
				text = structText(tool(t, file, "pdfinfo", "-struct-text", "FILE"))
			} else {
				text = tool(t, file, "pdftotext", how, "FILE", "-")
			}
			in := words(text)
			at := find(in, 0, words(doc.Title))
			if at < 0 {
				t.Fatalf("%s %s: the title is not there", doc.Name, how)
			}
			for _, s := range doc.Steps {
				// A step may run on after the end of a page; its number stands before it.
				want := append([]string{strconv.Itoa(s.Number)}, by(doc, s)...)
				want = append(want, words(flat(s.Text))...)
				next := find(in, at, want)
				if next < 0 {
					t.Fatalf("%s %s: step %d is not there, or out of order: %q", doc.Name, how, s.Number, want)
				}
				at = next
				for _, n := range s.Notes {
					if !strings.Contains(strings.Join(in[at:], ""), strings.Join(words(flat(n)), "")) {
						t.Errorf("%s %s: the note of step %d is not there", doc.Name, how, s.Number)
					}
				}
			}
		}
		layout := words(tool(t, file, "pdftotext", "-layout", "FILE", "-"))
		at := 0
		for _, s := range doc.Steps {
			// Beside the hand's column lines are mixed; the first words are not.
			first := words(flat(s.Text))
			if at = find(layout, at, append([]string{strconv.Itoa(s.Number)}, append(by(doc, s), first[:min(2, len(first))]...)...)); at < 0 && len(by(doc, s)) == 0 {
				t.Fatalf("%s: step %d is not there in the layout", doc.Name, s.Number)
			}
			at = max(at, 0)
		}
	}
}

// by are the words that stand between a step's number and its text.
func by(doc *document.Document, s *document.Step) []string {
	if s.By == "" {
		return nil
	}
	out := words(doc.Words.By + " " + s.By)
	if s.Time != "" {
		out = append(out, words("· "+doc.Words.Time+" "+s.Time)...)
	}
	return out
}

var quoted = regexp.MustCompile(`(?m)^\s+"(.*)"$`)

// structText is the text of the structure tree as pdfinfo prints it.
func structText(s string) string {
	var b strings.Builder
	for _, m := range quoted.FindAllStringSubmatch(s, -1) {
		b.WriteString(m[1])
		b.WriteByte(' ')
	}
	return b.String()
}

func TestStructure(t *testing.T) {
	doc := rendertest.Document()
	tree := tool(t, render(t, "structure", doc, Options{}), "pdfinfo", "-struct-text", "FILE")
	count := func(pattern string) int { return len(regexp.MustCompile(`(?m)`+pattern).FindAllString(tree, -1)) }
	if !strings.HasPrefix(tree, "Document\n  H1 (block)\n    \"Replace the mechanical seal\"\n") {
		t.Errorf("the tree does not begin with the document and its title:\n%.200s", tree)
	}
	if n := count(`^\s+H1 \(block\)`); n != 1 {
		t.Errorf("%d headings of the first level", n)
	}
	stages := 0
	for _, b := range doc.Body {
		if s, ok := b.(*document.Stage); ok {
			stages++
			if !strings.Contains(tree, "    H2 (block)\n      \""+s.Title+"\"\n") {
				t.Errorf("stage %q is no heading", s.Title)
			}
		}
	}
	for _, h := range []string{"What changed", "Before you start", "Safety summary", "What you need", "Job map", "Finishes", "Close-up", "Record", "Revisions"} {
		if !strings.Contains(tree, "    H2 (block)\n      \""+h+"\"\n") {
			t.Errorf("%q is no heading", h)
		}
	}
	labels := count(`^\s+Lbl \(block\)`)
	if labels != len(doc.Steps) {
		t.Errorf("%d list labels for %d steps", labels, len(doc.Steps))
	}
	rows, heads := count(`^\s+TR$`), count(`/Scope /Row$`)
	if rows == 0 || heads == 0 || count(`/Scope /Column$`) == 0 {
		t.Errorf("%d rows, %d row heads", rows, heads)
	}
	if count(`/ListNumbering /Decimal$`) == 0 {
		t.Error("steps are no numbered list")
	}
	if n := count(`^\s+Figure:$`); n < 1+1+len(doc.Figures) {
		t.Errorf("%d figures", n)
	}
	if count(`^\s+Form$`) == 0 || count(`^\s+Link \(inline\)$`) == 0 {
		t.Error("no form elements or no links")
	}
}

// Each figure says in words what it shows.
func TestFiguresHaveAlternativeText(t *testing.T) {
	s, err := place(rendertest.Document(), A4.size())
	if err != nil {
		t.Fatal(err)
	}
	figures := map[*elem]bool{}
	for _, p := range s.pages {
		for _, it := range p.items {
			if it.elem != nil && it.elem.tag == "Figure" {
				figures[it.elem] = true
			}
			if (it.kind == drawingItem || it.kind == pictureItem) && it.elem != nil && it.elem.tag != "Figure" {
				t.Errorf("a drawing is part of a %s", it.elem.tag)
			}
		}
	}
	if len(figures) < 3 {
		t.Errorf("%d figures", len(figures))
	}
	for e := range figures {
		if e.alt == "" {
			t.Error("a figure has no alternative text")
		}
	}
}

func TestEqualBytes(t *testing.T) {
	first := render(t, "equal", rendertest.Document(), Options{})
	var wg sync.WaitGroup
	for range 4 {
		wg.Add(1)
		go func() {
			defer wg.Done()
			var b bytes.Buffer
			if _, err := Render(&b, rendertest.Document(), Options{}); err != nil {
				t.Error(err)
			}
			if !bytes.Equal(first, b.Bytes()) {
				t.Error("two renderings of equal documents differ")
			}
		}()
	}
	wg.Wait()
}

func TestFieldsHaveNames(t *testing.T) {
	doc := rendertest.Document()
	s, err := place(doc, A4.size())
	if err != nil {
		t.Fatal(err)
	}
	names := map[string]bool{}
	for _, p := range s.pages {
		for _, it := range p.items {
			if it.kind != fieldItem {
				continue
			}
			f := it.field
			if f.name == "" || f.tip == "" || strings.Contains(f.name, ".") {
				t.Errorf("field %+v", f)
			}
			if names[f.name] && !f.shared {
				t.Errorf("two fields are named %s", f.name)
			}
			names[f.name] = true
		}
	}
	want := []string{"work-order", "machine", "machine-serial-number", "who", "job-date", "nameplate-size-s32", "begins-power", "step-1-tick-1",
		"step-14-sleeve-diameter:1", "step-14-sleeve-diameter:6", "step-14-sleeve-diameter:smallest", "step-5-casing-temperature:4", "step-22-seal-lot",
		"step-34-leak-dry", "step-35-hold-1", "decision-2-1", "signature-1", "not-as-written", "micrometer-serial", "micrometer-calibrated", "stage-2-power"}
	for _, w := range want {
		if !names[w] {
			t.Errorf("no field is named %s", w)
		}
	}
	var b bytes.Buffer
	if _, err := Render(&b, doc, Options{}); err != nil {
		t.Fatal(err)
	}
	fields := tool(t, b.Bytes(), "mutool", "show", "FILE", "form")
	for _, w := range want {
		if !strings.Contains(fields, w) {
			t.Errorf("MuPDF finds no field %s", w)
		}
	}
}

func TestDraftIsForReading(t *testing.T) {
	doc := rendertest.Draft()
	s, err := place(doc, A4.size())
	if err != nil {
		t.Fatal(err)
	}
	for n, p := range s.pages {
		for _, it := range p.items {
			if it.kind == fieldItem {
				t.Errorf("page %d of a draft has the field %s", n+1, it.field.name)
			}
			if it.kind == frameItem && it.w <= 15 {
				t.Errorf("page %d of a draft has a tick box", n+1)
			}
		}
	}
	file := render(t, "draft", doc, Options{})
	pages := strings.Split(strings.TrimSuffix(tool(t, file, "pdftotext", "-raw", "FILE", "-"), "\f"), "\f")
	if len(pages) != len(s.pages) {
		t.Fatalf("%d pages of text for %d pages", len(pages), len(s.pages))
	}
	for n, p := range pages {
		if !strings.Contains(p, "NOT FOR WORK") {
			t.Errorf("page %d does not say NOT FOR WORK", n+1)
		}
	}
	for _, m := range doc.Messages {
		if find(words(strings.Join(pages, " ")), 0, words(m)) < 0 {
			t.Errorf("the draft does not say %q", m)
		}
	}
}

func TestEachPageSaysWhatItIs(t *testing.T) {
	doc := rendertest.Document()
	for _, o := range []Options{{}, {Paper: Letter}} {
		pages := strings.Split(strings.TrimSuffix(tool(t, render(t, "pages", doc, o), "pdftotext", "-raw", "FILE", "-"), "\f"), "\f")
		for n, p := range pages {
			want := fmt.Sprintf("WI-0114 C · 7f3a91c204be · page %d of %d", n+1, len(pages))
			if !strings.Contains(p, want) || !strings.Contains(p, doc.Words.CheckCurrent) {
				t.Errorf("page %d does not say %q", n+1, want)
			}
		}
	}
}

// Where a table says "step 17, page 5", step 17 is on page 5.
func TestPagesOfTargets(t *testing.T) {
	doc := rendertest.Document()
	s, err := place(doc, A4.size())
	if err != nil {
		t.Fatal(err)
	}
	links := 0
	for n, p := range s.pages {
		for _, it := range p.items {
			if it.kind == linkItem && it.to.anchor != "" {
				links++
				if _, ok := s.anchors[it.to.anchor]; !ok {
					t.Errorf("page %d links to %s, which is nowhere", n+1, it.to.anchor)
				}
			}
			if it.late != nil && it.late.anchor != "" {
				if want := it.late.prefix + strconv.Itoa(s.anchors[it.late.anchor].page+1); it.text != want {
					t.Errorf("page %d says %q for %s, which is %q", n+1, it.text, it.late.anchor, want)
				}
			}
		}
	}
	if links < 2*len(doc.Steps) {
		t.Errorf("only %d links", links)
	}
	for _, st := range doc.Steps {
		at := s.anchors[stepAnchor(st.Number)]
		found := false
		for _, it := range s.pages[at.page].items {
			if it.kind == textItem && it.elem != nil && it.elem.tag == "Lbl" && it.text == strconv.Itoa(st.Number) {
				found = true
			}
		}
		if !found {
			t.Errorf("step %d is not on page %d", st.Number, at.page+1)
		}
	}
}

type failing struct{}

func (failing) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestWriteErrorIsReported(t *testing.T) {
	if _, err := Render(failing{}, rendertest.Document(), Options{}); err == nil || !strings.Contains(err.Error(), "disk full") {
		t.Errorf("error %v", err)
	}
}

type strange struct{ *document.Step }

func TestUnknownKindsAreErrors(t *testing.T) {
	cases := map[string]func(d *document.Document){
		"unknown kind of block": func(d *document.Document) { d.Body = append(d.Body, strange{d.Steps[0]}) },
		"box of unknown kind":   func(d *document.Document) { d.Steps[0].Boxes = append(d.Steps[0].Boxes, nil) },
		"span of unknown kind":  func(d *document.Document) { d.Steps[0].Text = document.Text{{Kind: "loud", Text: "x"}} },
		"close-up of the kind":  func(d *document.Document) { d.CloseUp = []document.CloseUp{{Kind: "polished", Count: 1}} },
		"unknown signal word":   func(d *document.Document) { d.Steps[0].Hazards = []*document.Hazard{{Signal: "beware"}} },
		"no sign has the number": func(d *document.Document) {
			d.Steps[0].Hazards = []*document.Hazard{{Signal: "danger", Signs: []document.Sign{{Code: "12"}}}}
		},
		"do not go into a square code": func(d *document.Document) { d.Number = strings.Repeat("0123456789abcdef", 300) },
	}
	for want, change := range cases {
		d := rendertest.Document()
		change(d)
		var b bytes.Buffer
		if _, err := Render(&b, d, Options{}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: error %v", want, err)
		}
		if b.Len() > 0 {
			t.Errorf("%s: %d bytes were written", want, b.Len())
		}
	}
}
