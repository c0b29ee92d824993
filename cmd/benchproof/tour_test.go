package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	layout "benchproof/dsl/format"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

const tour = "dsl/TOUR.md"

func readTour(t *testing.T) string {
	t.Helper()
	page, err := os.ReadFile(filepath.Join(root, tour))
	if err != nil {
		t.Fatal(err)
	}
	return string(page)
}

// TestTheTourIsALibrary takes all blocks of the tour as one source: it
// passes check without a message, and stands as the formatter writes it.
func TestTheTourIsALibrary(t *testing.T) {
	var b strings.Builder
	blocks := regexp.MustCompile("(?s)\n```proc\n(.*?)```\n").FindAllStringSubmatch(readTour(t), -1)
	for i, m := range blocks {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(m[1])
	}
	lib := filepath.Join(t.TempDir(), "tour")
	if err := os.MkdirAll(lib, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(lib, "tour.proc"), []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := program(t, "check", "--strict", lib).CombinedOutput(); err != nil || len(out) > 0 {
		t.Errorf("%v\n%s", err, out)
	}
	if laid := layout.Source(syntax.Parse(source.NewFile("tour.proc", b.String()))); laid != b.String() {
		t.Errorf("the formatter lays the tour's library out otherwise%s", difference(laid, b.String()))
	}
}

// TestTheExamplesOfPagesAreLaidOut: what people copy from a page stands as the
// formatter writes it. What does not parse has no layout.
func TestTheExamplesOfPagesAreLaidOut(t *testing.T) {
	for _, e := range message.Catalogue() {
		wrong, right, err := message.Examples(e.Code)
		if err != nil {
			t.Fatal(err)
		}
		for _, example := range []message.Example{wrong, right} {
			text := example["example.proc"]
			tree := syntax.Parse(source.NewFile("example.proc", text))
			if len(tree.Messages) > 0 {
				continue
			}
			if laid := layout.Source(tree); laid != text {
				t.Errorf("%s: an example is laid out otherwise%s", e.Code, difference(laid, text))
			}
		}
	}
}

func difference(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range g {
		if i >= len(w) || g[i] != w[i] {
			return fmt.Sprintf(", from line %d on: %q", i+1, g[i])
		}
	}
	return ""
}
