package document_test

import (
	"context"
	"io/fs"
	"testing"

	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/procedures"
)

// demonstration binds the demonstration library.
func demonstration(t testing.TB) (*library.Library, func(string) ([]byte, error)) {
	t.Helper()
	src, err := compiler.Read(procedures.Files)
	if err != nil {
		t.Fatal(err)
	}
	lib, err := compiler.Outline(context.Background(), src)
	if err != nil {
		t.Fatal(err)
	}
	return lib, func(p string) ([]byte, error) { return fs.ReadFile(procedures.Files, p) }
}

func TestDemonstration(t *testing.T) {
	lib, images := demonstration(t)
	for _, p := range lib.Procedures {
		t.Run(p.Name, func(t *testing.T) {
			d := lower(t, lib, p.Name, document.Options{Images: images})
			wellFormed(t, d)
		})
	}
}

// Every member's document of every procedure is well formed too.
func TestDemonstrationForMembers(t *testing.T) {
	lib, images := demonstration(t)
	for _, p := range lib.Procedures {
		for _, a := range p.Applies {
			for _, m := range a.Members {
				d := lower(t, lib, p.Name, document.Options{Images: images}, m.Name)
				wellFormed(t, d)
				for _, dec := range d.Decisions {
					if dec.Kind == document.ByMember && dec.On == a.Variant.Name {
						t.Errorf("%s for %s asks which member it is: %s", p.Name, m.Name, dec.ID)
					}
				}
			}
		}
	}
}
