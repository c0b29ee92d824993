package pdf

import (
	"bytes"
	"io"
	"syscall"
	"testing"
	"time"

	"benchproof/compiler/document"
	"benchproof/render/rendertest"
)

func BenchmarkSample(b *testing.B)   { bench(b, rendertest.Document()) }
func BenchmarkLong2000(b *testing.B) { bench(b, rendertest.Long(2000)) }

func processor(b *testing.B) time.Duration {
	b.Helper()
	var u syscall.Rusage
	if err := syscall.Getrusage(syscall.RUSAGE_SELF, &u); err != nil {
		b.Fatal(err)
	}
	return time.Duration(u.Utime.Nano() + u.Stime.Nano())
}

func bench(b *testing.B, doc *document.Document) {
	s, err := place(doc, A4.size())
	if err != nil {
		b.Fatal(err)
	}
	var buf bytes.Buffer
	if _, err := Render(&buf, doc, Options{}); err != nil {
		b.Fatal(err)
	}
	b.ReportAllocs()
	b.ResetTimer()
	before := processor(b)
	for b.Loop() {
		if _, err := Render(io.Discard, doc, Options{}); err != nil {
			b.Fatal(err)
		}
	}
	pages := float64(len(s.pages))
	// On a busy machine the clock says little; the processor's time does.
	b.ReportMetric(float64((processor(b)-before).Microseconds())/float64(b.N)/pages, "cpu-µs/page")
	b.ReportMetric(float64(buf.Len())/pages, "bytes/page")
	b.ReportMetric(pages, "pages")
}
