package syntax

import (
	"fmt"
	"go/format"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"testing"

	"github.com/alecthomas/participle/v2/lexer"

	"benchproof/dsl/source"
)

// bulk makes a source file of about the given size out of the example library,
// its declarations renamed so that no two files of it are alike.
func bulk(t testing.TB, size int) string {
	var all strings.Builder
	paths, _ := filepath.Glob("testdata/pump-bench/*.proc")
	for _, path := range paths {
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		all.Write(b)
	}
	var b strings.Builder
	for i := 0; b.Len() < size; i++ {
		b.WriteString(strings.NewReplacer("seal", fmt.Sprint("seal", i), "casing", fmt.Sprint("casing", i)).Replace(all.String()))
	}
	return b.String()
}

func BenchmarkLex(b *testing.B) {
	text := bulk(b, 1<<20)
	b.SetBytes(int64(len(text)))
	b.ReportAllocs()
	for b.Loop() {
		s := newScanner("x", text)
		for {
			if t, _ := s.Next(); t.Type == lexer.EOF {
				break
			}
		}
	}
}

func BenchmarkParse(b *testing.B) {
	f := source.NewFile("bulk.proc", bulk(b, 1<<20))
	if n := len(Parse(f).Messages); n > 0 {
		b.Fatalf("%d messages", n)
	}
	b.SetBytes(int64(len(f.Text)))
	b.ReportAllocs()
	for b.Loop() {
		Parse(f)
	}
}

// BenchmarkGofmt is what the speed of the front end is measured against.
func BenchmarkGofmt(b *testing.B) {
	var all []byte
	paths, _ := filepath.Glob("*.go")
	for _, path := range paths {
		text, err := os.ReadFile(path)
		if err != nil {
			b.Fatal(err)
		}
		all = append(all, text...)
		if _, err := format.Source(text); err != nil {
			b.Fatal(err)
		}
	}
	b.SetBytes(int64(len(all)))
	b.ReportAllocs()
	for b.Loop() {
		for _, path := range paths {
			text, _ := os.ReadFile(path)
			if _, err := format.Source(text); err != nil {
				b.Fatal(err)
			}
		}
	}
}

// What parsing allocates is held by counters, which are alike on every
// machine: half an allocation and a hundred bytes for each byte of source.
func TestParseAllocates(t *testing.T) {
	f := source.NewFile("bulk.proc", bulk(t, 1<<16))
	Parse(f)
	allocs := testing.AllocsPerRun(5, func() { Parse(f) })
	if most := 0.7 * float64(len(f.Text)); allocs > most {
		t.Errorf("%.0f allocations for %d bytes, more than %.0f", allocs, len(f.Text), most)
	}
	var before, after runtime.MemStats
	runtime.ReadMemStats(&before)
	Parse(f)
	runtime.ReadMemStats(&after)
	if bytes := after.TotalAlloc - before.TotalAlloc; bytes > uint64(100*len(f.Text)) {
		t.Errorf("%d bytes allocated for %d of source", bytes, len(f.Text))
	}
}
