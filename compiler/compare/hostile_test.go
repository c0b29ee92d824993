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

// TestARowWithAnErrorIsNotCompared: a thing of a sheet that could not be read is
// said not to be compared where its row is another one.
func TestARowWithAnErrorIsNotCompared(t *testing.T) {
	with := func(cells string) *compiler.Result {
		return checked(t, map[string]string{
			"bench.proc": `library "Bench" { owner "Workshop" }
catalogue "Tools" { lists tools file "tools.csv" name column "Name" title column "Title" reads column "From" to "To" in mm }
procedure job "Job" { document "W-1" revision A on 2026-01-01 "x" step "Use the @key." { use key } }
`,
			"tools.csv": "Name,Title,From,To\nkey,key," + cells + "\n",
		})
	}
	fine := with("0,25")
	if !fine.Sound() {
		t.Fatalf("%v", fine.Messages[0].Text)
	}
	short, shorter := with("25,0"), with("26,0")
	if short.Sound() || shorter.Sound() {
		t.Fatal("a scale that ends before it begins is taken")
	}
	if r := compared(t, short, short); !r.Empty() {
		t.Errorf("it differs from itself: %v", told(r, map[compare.Kind]bool{}))
	}
	for _, r := range []*compare.Report{compared(t, short, shorter), compared(t, fine, short), compared(t, short, fine)} {
		if len(r.NotCompared) == 0 || r.NotCompared[0].Name != "tool key" || !r.Empty() {
			t.Errorf("told: %v, not compared: %v", told(r, map[compare.Kind]bool{}), r.NotCompared)
		}
	}
}

// TestARoutineThatNobodyPerforms is not set out in any procedure: its text counts,
// and neither comments nor layout.
func TestARoutineThatNobodyPerforms(t *testing.T) {
	with := func(routine string) *compiler.Result {
		return checked(t, map[string]string{"bench.proc": `library "Bench" { owner "Workshop" }
procedure job "Job" { document "W-1" revision A on 2026-01-01 "x" step "Look." }
` + routine})
	}
	a := with(`routine clean "Clean" { step "Wipe the lid." }`)
	if r := compared(t, a, with("routine clean # so\n  \"Clean\" {\n step \"Wipe the lid.\"\n}\n")); !r.Empty() {
		t.Errorf("layout differs: %v", told(r, map[compare.Kind]bool{}))
	}
	r := compared(t, a, with(`routine clean "Clean" { step "Wipe the seat." }`))
	if len(r.Shared) != 1 || r.Shared[0].Name != "clean" || len(r.Shared[0].Differences) != 1 {
		t.Errorf("told: %v", told(r, map[compare.Kind]bool{}))
	}
}
