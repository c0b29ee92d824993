package scale_test

import (
	"context"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"

	"benchproof/compiler"
	"benchproof/compiler/scale"
	"benchproof/dsl/message"
)

func folder(files map[string]string) fstest.MapFS {
	fs := fstest.MapFS{}
	for name, text := range files {
		fs[name] = &fstest.MapFile{Data: []byte(text)}
	}
	return fs
}

func TestLibrariesOfAnySizeHaveNoMessage(t *testing.T) {
	for _, n := range []int{1, 2, 40} {
		sources, err := compiler.Read(folder(scale.Generate(n)))
		if err != nil {
			t.Fatal(err)
		}
		r, err := compiler.Check(context.Background(), sources)
		if err != nil {
			t.Fatal(err)
		}
		if len(r.Messages) > 0 {
			var b strings.Builder
			_ = message.WriteText(&b, r.Messages[:min(len(r.Messages), 5)], message.TextOptions{})
			t.Fatalf("%d procedures: %d messages\n%s", n, len(r.Messages), b.String())
		}
		if len(r.Library.Procedures) != n || len(r.Trials) != 6*n {
			t.Errorf("%d procedures: the library has %d, and %d trials", n, len(r.Library.Procedures), len(r.Trials))
		}
	}
}

func TestEqualNumbersGiveEqualSources(t *testing.T) {
	a, b := scale.Generate(7), scale.Generate(7)
	if len(a) != 8 {
		t.Fatalf("%d files", len(a))
	}
	for name, text := range a {
		if b[name] != text {
			t.Errorf("%s differs", name)
		}
		if lines := strings.Count(text, "\n"); lines < 120 {
			t.Errorf("%s has %d lines: too few for what is measured", name, lines)
		}
	}
}

// What a checked library takes to hold is told in bytes of the heap for each byte
// of its sources, which does not depend on the machine.
func TestALibraryTakesLittleMoreThanItsSources(t *testing.T) {
	held := func(n int) (heap, text uint64, r *compiler.Result) {
		files := scale.Generate(n)
		for _, s := range files {
			text += uint64(len(s))
		}
		before := inUse()
		sources, err := compiler.Read(folder(files))
		if err != nil {
			t.Fatal(err)
		}
		if r, err = compiler.Check(context.Background(), sources); err != nil {
			t.Fatal(err)
		}
		return inUse() - before, text, r
	}
	small, less, a := held(20)
	large, more, b := held(120)
	each := float64(large-small) / float64(more-less)
	t.Logf("%.1f bytes of the heap for each byte of the sources", each)
	if each > 12 {
		t.Errorf("a checked library takes %.1f bytes of the heap for each byte of its sources", each)
	}
	for _, r := range []*compiler.Result{a, b} {
		for _, f := range r.Library.Files {
			if len(f.Tokens)+len(f.Declarations) > 0 {
				t.Fatalf("%s: the tree is held on to", f.Source.Path)
			}
		}
	}
}

// inUse is how many bytes of the heap are reached.
func inUse() uint64 {
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return m.HeapAlloc
}
