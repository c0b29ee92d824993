package compare

import (
	"context"
	"strings"
	"testing"

	"benchproof/compiler"
	"benchproof/compiler/library"
	"benchproof/procedures"
)

// TestStepsAreNumberedAsInDocuments holds the number of each step against the
// document of its procedure, for the whole built-in library.
func TestStepsAreNumberedAsInDocuments(t *testing.T) {
	src, err := compiler.Read(procedures.Files)
	if err != nil {
		t.Fatal(err)
	}
	r, err := compiler.Check(context.Background(), src)
	if err != nil {
		t.Fatal(err)
	}
	n := &names{keys: map[library.Symbol]string{}}
	looked := 0
	for i, p := range r.Library.Procedures {
		doc, _ := r.Document(i, compiler.DocumentOptions{Draft: true})
		if got := steps(p.Body); got != len(doc.Steps) {
			t.Errorf("%s has %d steps, its document %d", p.Name, got, len(doc.Steps))
			continue
		}
		for _, l := range n.set(p.Body) {
			if l.sort != "step" {
				continue
			}
			looked++
			word, _, _ := strings.Cut(showOf(l.text), " ")
			if said := doc.Steps[l.number-1].Text.String(); !strings.HasPrefix(said, word) {
				t.Errorf("%s: step %d is “%s”, in the document “%s”", p.Name, l.number, showOf(l.text), said)
			}
		}
	}
	if looked < 200 {
		t.Errorf("looked at %d steps", looked)
	}
}
