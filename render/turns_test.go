package render_test

import (
	"bytes"
	"context"
	"strings"
	"testing"

	"benchproof/compiler"
	"benchproof/procedures"
	"benchproof/render/html"
	"benchproof/render/markdown"
)

// The record has room for each turn of a repeat, with its number. What is in
// the PDF is looked for in package pdf.
func TestRecordNumbersTheTurns(t *testing.T) {
	src, err := compiler.Read(procedures.Files)
	if err != nil {
		t.Fatal(err)
	}
	result, err := compiler.Check(context.Background(), src)
	if err != nil {
		t.Fatal(err)
	}
	lines := 0
	for i := range result.Library.Procedures {
		doc, _ := result.Document(i, compiler.DocumentOptions{})
		var page, text bytes.Buffer
		if err := html.Render(&page, doc, html.Options{}); err != nil {
			t.Fatal(err)
		}
		if err := markdown.Render(&text, doc); err != nil {
			t.Fatal(err)
		}
		_, record, _ := strings.Cut(text.String(), "## "+doc.Words.Record)
		_, paper, _ := strings.Cut(page.String(), `<table class="record">`)
		for _, l := range doc.Record {
			if len(l.Turns) < 2 {
				continue
			}
			lines++
			if l.Boxes%len(l.Turns) != 0 {
				t.Errorf("%s, %s: %d boxes for %d turns", doc.Name, l.Label, l.Boxes, len(l.Turns))
			}
			each := l.Boxes / len(l.Turns)
			var md, rows strings.Builder
			for i, turn := range l.Turns {
				if i > 0 {
					md.WriteString("; ")
				}
				word := strings.Replace(doc.Words.Screen.Turn, "{turn}", turn, 1)
				md.WriteString(word + ": " + strings.TrimSpace(strings.Repeat("______ ", each)))
				if l.Unit != "" {
					md.WriteString(" " + l.Unit)
				}
				rows.WriteString(`<span class="row-of"><span class="small">` + word + `</span>` + strings.Repeat("<i></i>", each) + `</span>`)
			}
			if !strings.Contains(record, md.String()) {
				t.Errorf("%s: the Markdown has no %q", doc.Name, md.String())
			}
			if !strings.Contains(paper, rows.String()) {
				t.Errorf("%s: the page has no %s", doc.Name, rows.String())
			}
		}
	}
	if lines < 5 {
		t.Errorf("%d lines in repeats", lines)
	}
}
