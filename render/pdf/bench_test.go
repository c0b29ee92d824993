package pdf

import (
	"bytes"
	"io"
	"testing"

	"benchproof/compiler/document"
	"benchproof/render/rendertest"
)

func BenchmarkSample(b *testing.B)   { bench(b, rendertest.Document()) }
func BenchmarkLong2000(b *testing.B) { bench(b, rendertest.Long(2000)) }

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
	for b.Loop() {
		if _, err := Render(io.Discard, doc, Options{}); err != nil {
			b.Fatal(err)
		}
	}
	pages := float64(len(s.pages))
	b.ReportMetric(float64(b.Elapsed().Microseconds())/float64(b.N)/pages, "µs/page")
	b.ReportMetric(float64(buf.Len())/pages, "bytes/page")
	b.ReportMetric(pages, "pages")
}
