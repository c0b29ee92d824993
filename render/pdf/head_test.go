package pdf

import (
	"strings"
	"testing"

	"benchproof/compiler/document"
	"benchproof/render/look"
	"benchproof/render/rendertest"
)

// Each sheet has room for the work order, all of them one field: what is filled
// in on one stands on all.
func TestEverySheetHasTheWorkOrder(t *testing.T) {
	doc := rendertest.Document()
	s, err := place(doc, A4.size())
	if err != nil {
		t.Fatal(err)
	}
	for n, p := range s.pages {
		found := 0
		for _, it := range p.items {
			if it.kind == fieldItem && it.field.name == workOrder && it.field.shared {
				found++
			}
		}
		if found != 1 {
			t.Errorf("page %d has %d places for the work order", n+1, found)
		}
	}
	file := render(t, "head", doc, Options{})
	kids, parents := 0, 0
	for _, o := range readObjects(t, file) {
		v, _ := o.(map[string]any)
		d, _ := v["value"].(map[string]any)
		if list, ok := d["/Kids"].([]any); ok && d["/FT"] == "/Tx" {
			parents, kids = parents+1, len(list)
			if text(d["/T"]) != workOrder {
				t.Errorf("places are shared of the field %v", d["/T"])
			}
		}
	}
	if parents != 1 || kids != len(s.pages) {
		t.Errorf("%d fields with places of their own, the last with %d, expected one with %d", parents, kids, len(s.pages))
	}
	for i, p := range strings.Split(strings.TrimSuffix(tool(t, file, "pdftotext", "-raw", "FILE", "-"), "\f"), "\f") {
		if !strings.Contains(p, doc.Words.WorkOrder) {
			t.Errorf("page %d does not name the work order", i+1)
		}
	}
}

// A document for no family asks for the nameplate without a name that is on none.
func TestNameplateWithoutFamily(t *testing.T) {
	doc := rendertest.Document()
	doc.AppliesTo, doc.For = nil, nil
	s, err := place(doc, A4.size())
	if err != nil {
		t.Fatal(err)
	}
	for _, it := range s.pages[0].items {
		if it.kind == fieldItem && strings.HasPrefix(it.field.name, "nameplate") {
			if want := doc.Words.NameplateCheck + ": " + doc.Words.Checked; it.field.tip != want {
				t.Errorf("the box is for %q, expected %q", it.field.tip, want)
			}
			return
		}
	}
	t.Error("no box for the nameplate")
}

// Bars stand beside stages, repeats, their ends and finishes that have changed.
func TestBarsOfStatements(t *testing.T) {
	count := func(doc *document.Document) int {
		s, err := place(doc, A4.size())
		if err != nil {
			t.Fatal(err)
		}
		n := 0
		for _, p := range s.pages {
			for _, it := range p.items {
				if it.kind == ruleItem && it.line == look.ChangeBarLine {
					n++
				}
			}
		}
		return n
	}
	before := count(rendertest.Document())
	doc := rendertest.Document()
	want := 0
	var visit func(list []document.Block)
	visit = func(list []document.Block) {
		for _, b := range list {
			switch b := b.(type) {
			case *document.Stage:
				b.Changed, want = true, want+1
				visit(b.Body)
			case *document.Repeat:
				b.Changed, want = true, want+1
				visit(b.Body)
				visit(b.Otherwise)
			case *document.Until:
				b.Changed, want = true, want+1
			case *document.Finish:
				b.Changed, want = true, want+1
			case *document.Routine:
				visit(b.Body)
			case *document.Decision:
				for _, br := range b.Branches {
					visit(br.Body)
				}
			}
		}
	}
	visit(doc.Body)
	if got := count(doc) - before; got < want || want < 8 {
		t.Errorf("%d bars more, expected at least %d", got, want)
	}
}
