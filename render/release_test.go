package render_test

import (
	"bytes"
	"context"
	"fmt"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/procedures"
	"benchproof/render/markdown"
	"benchproof/render/pdf"
	"benchproof/render/rendertest"
)

// sheets gives the Markdown of every procedure of a library without its
// fingerprint, and the fingerprints.
func sheets(t *testing.T, files fstest.MapFS) (text, prints map[string]string) {
	t.Helper()
	src, err := compiler.Read(files)
	if err != nil {
		t.Fatal(err)
	}
	r, err := compiler.Check(context.Background(), src)
	if err != nil {
		t.Fatal(err)
	}
	text, prints = map[string]string{}, map[string]string{}
	for i, p := range r.Library.Procedures {
		doc, _ := r.Document(i, compiler.DocumentOptions{Draft: !r.Sound()})
		prints[p.Name] = doc.Fingerprint
		doc.Fingerprint, doc.Messages = "", nil
		var b bytes.Buffer
		if err := markdown.Render(&b, doc); err != nil {
			t.Fatal(err)
		}
		text[p.Name] = b.String()
	}
	return text, prints
}

// TestNoDifferenceWithoutAnotherFingerprint changes what procedures share, one
// thing after another: wherever a document comes to say something else, its
// fingerprint is another, so a release over it no longer holds; and where no
// procedure can reach the thing, none is.
func TestNoDifferenceWithoutAnotherFingerprint(t *testing.T) {
	files := fstest.MapFS{}
	if err := fs.WalkDir(procedures.Files, ".", func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || path == "releases.proc" {
			return err
		}
		data, err := fs.ReadFile(procedures.Files, path)
		files[path] = &fstest.MapFile{Data: data}
		return err
	}); err != nil {
		t.Fatal(err)
	}
	before, printed := sheets(t, files)
	edits := []struct {
		file string
		at   *regexp.Regexp
		to   string
	}{
		{"tools.proc", regexp.MustCompile(`"T-\d+"`), `"T-9%03d"`},
		{"pump.proc", regexp.MustCompile(`"P-\d+"`), `"P-9%03d"`},
		{"valve.proc", regexp.MustCompile(`"P-\d+"`), `"P-8%03d"`},
		{"hazards.proc", regexp.MustCompile(`avoid +"`), `avoid "Number %d. `},
		{"routines.proc", regexp.MustCompile(`step "`), `step "Read line %d and `},
	}
	changed, silent, wide := 0, 0, 0
	for _, e := range edits {
		text := string(files[e.file].Data)
		places := e.at.FindAllStringIndex(text, -1)
		for n := 0; n < len(places); n += max(1, len(places)/5) {
			edited := fstest.MapFS{}
			for name, f := range files {
				edited[name] = f
			}
			to := fmt.Sprintf(e.to, n)
			edited[e.file] = &fstest.MapFile{Data: []byte(text[:places[n][0]] + to + text[places[n][1]:])}
			after, prints := sheets(t, edited)
			for name := range before {
				switch {
				case after[name] != before[name] && prints[name] == printed[name]:
					t.Errorf("%s with %s: %s says something else and has its old fingerprint", e.file, to, name)
				case after[name] != before[name]:
					changed++
				case prints[name] == printed[name]:
					silent++
				default:
					wide++
				}
			}
		}
	}
	t.Logf("documents that changed: %d, that did not: %d, with another fingerprint all the same: %d", changed, silent, wide)
	if changed < 40 || silent < 200 {
		t.Errorf("the edits tried too little: %d documents changed, %d did not", changed, silent)
	}
	if wide > changed/2 {
		t.Errorf("%d documents have another fingerprint and say the same, %d say something else", wide, changed)
	}
}

// TestEveryPageSaysHowItStands reads each page of the PDF with a reader of its own.
func TestEveryPageSaysHowItStands(t *testing.T) {
	none := rendertest.Document()
	none.Release = document.Release{State: document.NotReleased, Text: document.English.NotReleased}
	for _, x := range []struct {
		doc  *document.Document
		want []string
		not  string
	}{
		{rendertest.Document(), []string{"Released by Ada Marsh, 2026-10-05"}, "WITHDRAWN"},
		{none, []string{"Not released"}, "Released by"},
		{rendertest.Withdrawn(), []string{"WITHDRAWN", "Withdrawn by Ben Oakes, 2026-11-02"}, "Released by"},
	} {
		for _, paper := range []pdf.Paper{pdf.A4, pdf.Letter} {
			var b bytes.Buffer
			if _, err := pdf.Render(&b, x.doc, pdf.Options{Paper: paper}); err != nil {
				t.Fatal(err)
			}
			name := filepath.Join(t.TempDir(), "doc.pdf")
			if err := os.WriteFile(name, b.Bytes(), 0o600); err != nil {
				t.Fatal(err)
			}
			out, err := exec.Command("pdftotext", "-layout", name, "-").Output()
			if err != nil {
				t.Fatalf("pdftotext (package poppler-utils) is needed: %v", err)
			}
			pages := strings.Split(strings.TrimSuffix(string(out), "\f"), "\f")
			if len(pages) < 3 {
				t.Fatalf("%d pages", len(pages))
			}
			for n, page := range pages {
				for _, want := range x.want {
					if !strings.Contains(page, want) {
						t.Errorf("%s, page %d of %d does not say %q", x.doc.Release.State, n+1, len(pages), want)
					}
				}
				if strings.Contains(page, x.not) {
					t.Errorf("%s, page %d says %q", x.doc.Release.State, n+1, x.not)
				}
			}
		}
	}
}
