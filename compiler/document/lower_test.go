package document_test

import (
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// bind makes a library of sources by path. Sources that are meant to be sound
// must bind without an error.
func bind(t testing.TB, sources map[string]string, sound bool) *library.Library {
	t.Helper()
	var names []string
	for n := range sources {
		names = append(names, n)
	}
	slices.Sort(names)
	var files []*syntax.File
	var all []*message.Message
	for _, n := range names {
		f, ms := syntax.Load([]byte(sources[n]), n)
		parsed := syntax.Parse(f)
		all = append(append(all, ms...), parsed.Messages...)
		files = append(files, parsed)
	}
	lib, ms := library.Bind(files)
	all = append(all, ms...)
	for _, m := range message.Sort(all) {
		if sound && m.IsError() {
			t.Errorf("%s %s: %s", place(m.Span), m.Code, m.Text)
		}
	}
	if t.Failed() {
		t.FailNow()
	}
	return lib
}

func place(s source.Span) string {
	if s.IsZero() {
		return "?"
	}
	line, _ := s.File.Position(s.Start)
	return s.File.Path + ":" + string(rune('0'+line%10))
}

// folder reads the sources of a folder, and gives a reader of its images.
func folder(t testing.TB, dir string) (map[string]string, func(string) ([]byte, error)) {
	t.Helper()
	names, err := filepath.Glob(filepath.Join(dir, "*.proc"))
	if err != nil || len(names) == 0 {
		t.Fatalf("no sources in %s: %v", dir, err)
	}
	sources := map[string]string{}
	for _, n := range names {
		b, err := os.ReadFile(n)
		if err != nil {
			t.Fatal(err)
		}
		sources[filepath.Base(n)] = string(b)
	}
	return sources, func(p string) ([]byte, error) { return os.ReadFile(filepath.Join(dir, path.Clean(p))) }
}

// lower makes a document of a procedure for some members.
func lower(t testing.TB, lib *library.Library, name string, o document.Options, members ...string) *document.Document {
	t.Helper()
	p := procedure(t, lib, name)
	res := paths.Judge(lib, p)
	if !o.Draft {
		for _, m := range res.Messages {
			if m.IsError() {
				t.Errorf("%s %s: %s", place(m.Span), m.Code, m.Text)
			}
		}
	}
	for _, v := range lib.Variants {
		for _, m := range v.Members {
			if slices.Contains(members, m.Name) {
				o.For = append(o.For, m)
			}
		}
	}
	d, ms := document.Lower(lib, p, res, o)
	for _, m := range ms {
		t.Errorf("%s %s: %s", place(m.Span), m.Code, m.Text)
	}
	return d
}

func procedure(t testing.TB, lib *library.Library, name string) *library.Procedure {
	t.Helper()
	for _, p := range lib.Procedures {
		if p.Name == name {
			return p
		}
	}
	t.Fatalf("no procedure %s", name)
	return nil
}

// golden compares a text with the one that is kept.
func golden(t *testing.T, file, got string) {
	t.Helper()
	want, err := os.ReadFile(file)
	if err == nil && string(want) == got {
		return
	}
	if update {
		if err := os.WriteFile(file, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		t.Errorf("%s was written anew: read the difference", file)
		return
	}
	t.Errorf("%s differs:\n%s", file, difference(string(want), got))
}

// difference shows the first lines that differ.
func difference(want, got string) string {
	a, b := strings.Split(want, "\n"), strings.Split(got, "\n")
	var out strings.Builder
	shown := 0
	for i := 0; i < max(len(a), len(b)) && shown < 20; i++ {
		x, y := "", ""
		if i < len(a) {
			x = a[i]
		}
		if i < len(b) {
			y = b[i]
		}
		if x != y {
			out.WriteString("- " + x + "\n+ " + y + "\n")
			shown++
		}
	}
	return out.String()
}
