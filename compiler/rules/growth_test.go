package rules_test

import (
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"benchproof/compiler/library"
	"benchproof/compiler/rules"
	"benchproof/dsl/syntax"
)

// long writes a procedure of many steps, decisions and tools that differs by
// two variants.
func long(steps int) string {
	var b strings.Builder
	b.WriteString("library \"Long\" { language en  decision guarded }\nvariant size \"S\" { a \"a\" b \"b\" c \"c\" }\nvariant make \"M\" { x \"x\" y \"y\" }\n")
	b.WriteString("table fit by size {\n  columns most\n  a 5 mm\n  b 6 mm\n  c 7 mm\n}\n")
	b.WriteString("tool gauge \"gauge\" { reads from 0 mm to 10 mm  resolution 0.01 mm  uncertainty 0.01 mm }\n")
	for i := range 40 {
		fmt.Fprintf(&b, "tool t%d \"spanner %d\" { number \"T-%d\" }\n", i, i, i)
	}
	b.WriteString("procedure p \"P\" {\n  applies to make x, y\n")
	for i := range steps {
		fmt.Fprintf(&b, "  step \"Turn the shaft %d times with the @t%d and the @gauge, then read it.\" { use t%d  measure r%d in mm with gauge  note \"Lay the @t%d aside.\" }\n", i, i%40, i%40, i, (i+1)%40)
		if i%10 == 0 {
			fmt.Fprintf(&b, "  decide r%d { accept at most fit.most { } above fit.most { } }\n", i)
		}
	}
	b.WriteString("}\n")
	return b.String()
}

func bound(t testing.TB, text string) *library.Library {
	t.Helper()
	f, _ := syntax.Load([]byte(text), "x.proc")
	parsed := syntax.Parse(f)
	lib, ms := library.Bind([]*syntax.File{parsed})
	for _, m := range append(parsed.Messages, ms...) {
		if m.IsError() {
			t.Fatal(tell(m))
		}
	}
	return lib
}

func BenchmarkCheck(b *testing.B) {
	for _, steps := range []int{250, 500, 1000, 2000} {
		text := long(steps)
		lib := bound(b, text)
		b.Run(fmt.Sprint(steps), func(b *testing.B) {
			b.SetBytes(int64(len(text)))
			b.ReportAllocs()
			for b.Loop() {
				if ms := rules.Check(lib, lib.Procedures[0], nil); len(ms) > 0 {
					b.Fatal(tell(ms[0]))
				}
			}
		})
	}
}

// TestWorkGrowsWithTheText compares what is allocated, which does not depend
// on the clock: twice the steps, about twice the work.
func TestWorkGrowsWithTheText(t *testing.T) {
	work := func(steps int) float64 {
		lib := bound(t, long(steps))
		return testing.AllocsPerRun(1, func() { rules.Check(lib, lib.Procedures[0], nil) })
	}
	small, large := work(400), work(1600)
	t.Logf("%.0f and %.0f allocations for 400 and 1600 steps", small, large)
	if large > 5*small {
		t.Errorf("four times the steps take %.1f times the work", large/small)
	}
}

// FuzzCheck: whatever a source says, the rules answer with messages that have
// a place, a known code and words.
func FuzzCheck(f *testing.F) {
	names, _ := filepath.Glob("testdata/*.proc")
	for _, n := range names {
		data, err := os.ReadFile(n)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(data))
	}
	f.Fuzz(func(t *testing.T, text string) {
		if len(text) > 1<<16 {
			return
		}
		for _, m := range judgeOne(t, text) {
			if m.Text == "" || m.Span.File == nil || m.Span.Start > m.Span.End || m.Span.End > len(m.Span.File.Text) {
				t.Fatalf("%+v", m)
			}
		}
	})
}
