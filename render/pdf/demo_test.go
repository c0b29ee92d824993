package pdf

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/procedures"
)

// demonstration compiles the demonstration library.
func demonstration(t *testing.T) []*document.Document {
	t.Helper()
	src, err := compiler.Read(procedures.Files)
	if err != nil {
		t.Fatal(err)
	}
	r, err := compiler.Check(context.Background(), src)
	if err != nil {
		t.Fatal(err)
	}
	if !r.Sound() {
		t.Fatalf("the demonstration library is wrong: %v", r.Messages[0])
	}
	var out []*document.Document
	for i := range r.Library.Procedures {
		doc, ms := r.Document(i, compiler.DocumentOptions{})
		if len(ms) > 0 {
			t.Fatalf("document %d: %v", i, ms[0])
		}
		out = append(out, doc)
	}
	return out
}

// Every document of the demonstration library is set whole: nothing is
// missing, falls off, or is parted from what it belongs to.
func TestDemonstrationLibrary(t *testing.T) {
	docs := demonstration(t)
	if len(docs) < 10 {
		t.Fatalf("only %d documents", len(docs))
	}
	for _, doc := range docs {
		t.Run(doc.Name, func(t *testing.T) {
			t.Parallel()
			checkSheet(t, doc)
			file := render(t, "demo-"+doc.Name, doc, Options{})
			valid(t, file)
			text := tool(t, file, "pdftotext", "-raw", "FILE", "-")
			in := strings.Join(words(text), "")
			at := 0
			for _, s := range doc.Steps {
				want := strings.Join(words(flat(s.Text)), "")
				k := strings.Index(in[at:], want)
				if k < 0 {
					t.Fatalf("step %d is not there, or out of order: %s", s.Number, flat(s.Text))
				}
				at += k
			}
			for _, m := range everyWord(doc) {
				if want := strings.Join(words(m), ""); !strings.Contains(in, want) {
					t.Errorf("the file does not say %q", m)
				}
			}
		})
	}
}

// everyWord is what a document must say besides its steps.
func everyWord(doc *document.Document) []string {
	out := []string{doc.Title, doc.Number, doc.Owner, doc.Skill, doc.Purpose}
	for _, h := range doc.Hazards {
		out = append(out, h.Hazard.Title, h.Hazard.Consequence, h.Hazard.Avoid)
		for _, s := range h.Hazard.Signs {
			out = append(out, s.Code+" "+s.Referent)
		}
	}
	for _, list := range [][]document.Need{doc.Tools, doc.Parts, doc.Consumables} {
		for _, n := range list {
			out = append(out, n.Thing.Title, n.Thing.Number, n.Only, n.For)
		}
	}
	for _, d := range doc.Decisions {
		out = append(out, d.Title)
		for _, b := range d.Branches {
			out = append(out, b.Meaning)
			for _, l := range b.Limits {
				out = append(out, flat(l.Limits.Text))
			}
			for _, c := range b.Cases {
				out = append(out, c.Title)
			}
		}
		for _, f := range d.Footnotes {
			out = append(out, flat(f))
		}
	}
	for _, f := range doc.Finishes {
		out = append(out, f.Title, f.Text)
	}
	for _, f := range doc.Figures {
		out = append(out, f.Title)
	}
	for _, c := range doc.CloseUp {
		out = append(out, flat(c.Label), c.Only)
	}
	for _, r := range doc.Record {
		out = append(out, r.Label, r.Only)
	}
	for _, r := range doc.Revisions {
		out = append(out, r.Note)
	}
	for _, s := range doc.Steps {
		for _, n := range append(append([]document.Text{}, s.Details...), s.Notes...) {
			out = append(out, flat(n))
		}
		for _, b := range s.Boxes {
			switch b := b.(type) {
			case *document.Tick:
				out = append(out, b.Label)
			case *document.StateBox:
				out = append(out, b.Label)
			case *document.WaitBox:
				out = append(out, b.Label)
			case *document.RecordBox:
				out = append(out, b.Label)
			case *document.HoldBox:
				out = append(out, b.What, b.Who)
			case *document.AnswerBox:
				out = append(out, b.Question)
			case *document.RoundBox:
				out = append(out, b.Label)
				for _, v := range b.Values {
					out = append(out, v.Text)
				}
			case *document.ReadingBox:
				out = append(out, b.Reading.Title)
			}
		}
	}
	return out
}

func TestDemonstrationDocumentsOnLetterAreEqualEachTime(t *testing.T) {
	first := map[string][]byte{}
	for range 2 {
		for _, doc := range demonstration(t) {
			var b bytes.Buffer
			if _, err := Render(&b, doc, Options{Paper: Letter}); err != nil {
				t.Fatal(err)
			}
			if old := first[doc.Name]; old != nil && !bytes.Equal(old, b.Bytes()) {
				t.Errorf("%s differs the second time", doc.Name)
			}
			first[doc.Name] = b.Bytes()
		}
	}
}
