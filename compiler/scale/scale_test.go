package scale_test

import (
	"context"
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
