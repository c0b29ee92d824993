package compiler_test

import (
	"context"
	"io/fs"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"benchproof/compiler"
	"benchproof/compiler/scale"
	"benchproof/procedures"
)

// FuzzCompile: no text makes the compiler fail, every message has words and a
// place, and a procedure without a message that is an error has a document.
func FuzzCompile(f *testing.F) {
	for _, text := range scale.Generate(1) {
		f.Add(text)
	}
	err := fs.WalkDir(procedures.Files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || !strings.HasSuffix(name, compiler.Suffix) {
			return err
		}
		text, err := fs.ReadFile(procedures.Files, name)
		f.Add(string(text))
		return err
	})
	if err != nil {
		f.Fatal(err)
	}
	for _, s := range stranges() {
		for _, text := range s.files {
			if len(text) < 4000 {
				f.Add(text)
			}
		}
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 1<<16 {
			return
		}
		watch := time.AfterFunc(30*time.Second, func() { panic("no end") })
		defer watch.Stop()
		src, err := compiler.Read(fstest.MapFS{"a.proc": {Data: []byte(text)}})
		if err != nil {
			t.Fatal(err)
		}
		r, err := compiler.Check(context.Background(), src)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range r.Messages {
			if m.Code == "BP001" || m.Text == "" || m.Span.File != nil && (m.Span.Start > m.Span.End || m.Span.End > len(m.Span.File.Text)) {
				t.Fatalf("%+v", m)
			}
		}
		for i := range r.Library.Procedures {
			d, ms := r.Document(i, compiler.DocumentOptions{Draft: !r.Sound()})
			for _, m := range ms {
				if m.Code == "BP001" {
					t.Fatalf("%+v", m)
				}
			}
			if r.Sound() && d == nil && len(ms) == 0 {
				t.Fatalf("%s is sound and has no document", r.Library.Procedures[i].Name)
			}
		}
	})
}
