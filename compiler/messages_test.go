package compiler_test

import (
	"bytes"
	"context"
	"flag"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/rogpeppe/go-internal/txtar"

	"benchproof/compiler"
	"benchproof/dsl/message"
)

var update = flag.Bool("update", false, "rewrite the expected outputs; the run still fails, so that they get read")

// check runs everything on the files of a library.
func checked(t testing.TB, files map[string]string) *compiler.Result {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	src, err := compiler.Read(fsys)
	if err != nil {
		t.Fatal(err)
	}
	src.Date = "2026-11-25" // for what is overdue
	result, err := compiler.Check(context.Background(), src)
	if err != nil {
		t.Fatal(err)
	}
	return result
}

func printed(t testing.TB, list []*message.Message) string {
	t.Helper()
	var b bytes.Buffer
	if err := message.WriteText(&b, list, message.TextOptions{}); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

var codeInName = regexp.MustCompile(`^BP\d+`)

// Each archive holds a library with mistakes and the messages as a person sees
// them in a terminal. Every code has one, and none is left over.
func TestMessages(t *testing.T) {
	names, err := filepath.Glob("testdata/messages/*.txtar")
	if err != nil || len(names) == 0 {
		t.Fatalf("no archives: %v", err)
	}
	shown := map[message.Code]bool{}
	for _, name := range names {
		t.Run(strings.TrimSuffix(filepath.Base(name), ".txtar"), func(t *testing.T) {
			a, err := txtar.ParseFile(name)
			if err != nil {
				t.Fatal(err)
			}
			files := map[string]string{}
			want, at := "", -1
			for i, f := range a.Files {
				if f.Name == "messages" {
					want, at = string(f.Data), i
					continue
				}
				files[f.Name] = string(f.Data)
			}
			result := checked(t, files)
			got := printed(t, result.Messages)
			code := message.Code(codeInName.FindString(filepath.Base(name)))
			if code != "" {
				if !slices.ContainsFunc(result.Messages, func(m *message.Message) bool { return m.Code == code }) {
					t.Errorf("the archive is named for %s and does not show it", code)
				}
				shown[code] = true
			}
			if got == want {
				return
			}
			if *update {
				out := txtar.File{Name: "messages", Data: []byte(got)}
				if at < 0 {
					a.Files = append(a.Files, out)
				} else {
					a.Files[at] = out
				}
				if err := os.WriteFile(name, txtar.Format(a), 0o644); err != nil {
					t.Fatal(err)
				}
			}
			t.Errorf("messages differ; found:\n%s\nexpected:\n%s", got, want)
		})
	}
	for _, e := range message.Catalogue() {
		if !e.Internal && !shown[e.Code] {
			t.Errorf("no archive shows %s", e.Code)
		}
	}
}
