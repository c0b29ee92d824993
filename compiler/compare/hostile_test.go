package compare_test

import (
	"os"
	"path/filepath"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"

	"benchproof/compiler"
	"benchproof/compiler/compare"
)

// TestBrokenLibrariesAreCompared compares every library of the messages with the
// next, both ways, and with itself: errors of all sorts, and never a panic or
// a difference of a library from itself.
func TestBrokenLibrariesAreCompared(t *testing.T) {
	names, err := filepath.Glob("../testdata/messages/*.txtar")
	if err != nil || len(names) < 50 {
		t.Fatalf("%d archives, %v", len(names), err)
	}
	var last *compiler.Result
	broken := 0
	for _, name := range names {
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		files := map[string]string{}
		for _, f := range txtar.Parse(data).Files {
			if strings.HasSuffix(f.Name, ".proc") || strings.Contains(f.Name, ".svg") {
				files[f.Name] = string(f.Data)
			}
		}
		r := checked(t, files)
		if !r.Sound() {
			broken++
		}
		self := compared(t, r, r)
		if !self.Empty() {
			t.Errorf("%s differs from itself: %v", name, told(self, map[compare.Kind]bool{}))
		}
		if last != nil {
			compared(t, last, r)
			compared(t, r, last)
		}
		last = r
	}
	if broken < 40 {
		t.Errorf("%d libraries have errors", broken)
	}
}
