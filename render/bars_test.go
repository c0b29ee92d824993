package render_test

import (
	"bytes"
	"context"
	"fmt"
	"strings"
	"testing"
	"testing/fstest"

	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/compiler/release"
	"benchproof/render/html"
	"benchproof/render/markdown"
)

const barred = `library "Example bench" { owner "Workshop" }
tool gauge "feeler gauge" { number "T-3" reads from 0 mm to 1 mm resolution 0.05 mm uncertainty 0.05 mm }
procedure look "Look at the lid" {
  document "WI-1"
  revision A on 2026-01-05 "First issue."
  stage "Look" {
    step "Look at the lid."
    repeat at most 3 times {
      step "Measure the gap with the @gauge." { measure gap in mm with gauge }
      until gap at most 0.50 mm
      step "Dress the lid."
    } otherwise {
      finish refer "Call the supervisor."
    }
    step "Wipe the lid."
    finish serviceable "Hand it over."
  }
}
trial "good" of look { gap 0.10 mm expect finish serviceable }
trial "bad" of look { gap 0.90 mm, 0.90 mm, 0.90 mm expect finish refer }
`

func documentOfText(t *testing.T, text string) (*document.Document, *compiler.Result) {
	t.Helper()
	src, err := compiler.Read(fstest.MapFS{"bench.proc": &fstest.MapFile{Data: []byte(text)}})
	if err != nil {
		t.Fatal(err)
	}
	r, err := compiler.Check(context.Background(), src)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range r.Messages {
		t.Fatalf("%s: %s: %s", m.Span.Text(), m.Code, m.Text)
	}
	doc, _ := r.Document(0, compiler.DocumentOptions{})
	return doc, r
}

// A change bar stands beside each statement of the work that is not as at the last
// release: titles of stages, how often a repeat is done, what ends it, finishes.
func TestBarsBesideWhatChanged(t *testing.T) {
	_, r := documentOfText(t, barred)
	p := r.Library.Procedures[0]
	released := barred + release.Statement(p, release.Take(r.Library, p, nil), "Ada Marsh", "2026-02-01")
	next := strings.Replace(released, "  revision A on", "  revision B on 2026-03-01 \"Second.\"\n  revision A on", 1)
	for _, x := range []struct{ was, is, html, markdown string }{
		{`stage "Look"`, `stage "Look well"`, `class="beside changed"`, `▍Look well`},
		{`repeat at most 3 times`, `repeat at most 2 times`, `class="again changed"`, `▍↻ `},
		{`until gap at most 0.50 mm`, `until gap at most 0.40 mm`, `class="until changed"`, "▍Go on at"},
		{`refer "Call the supervisor."`, `refer "Tell the supervisor."`, `class="finish changed"`, "▍■ **refer**"},
		{`serviceable "Hand it over."`, `serviceable "Hand it back."`, `class="finish changed"`, "▍■ **serviceable**"},
		{`step "Wipe the lid."`, `step "Dust the lid."`, `class="step changed"`, "▍**4.**"},
	} {
		text := strings.Replace(next, x.was, x.is, 1)
		if x.is == "repeat at most 2 times" {
			text = strings.Replace(text, "0.90 mm, 0.90 mm, 0.90 mm", "0.90 mm, 0.90 mm", 1)
		}
		doc, _ := documentOfText(t, text)
		var page, plain bytes.Buffer
		if err := html.Render(&page, doc, html.Options{}); err != nil {
			t.Fatal(err)
		}
		if err := markdown.Render(&plain, doc); err != nil {
			t.Fatal(err)
		}
		if n := strings.Count(page.String(), ` changed"`); n != 1 || !strings.Contains(page.String(), x.html) {
			t.Errorf("%s: the page has %d bars, expected one in %s", x.is, n, x.html)
		}
		if n := strings.Count(plain.String(), "▍"); n != 1 || !strings.Contains(plain.String(), x.markdown) {
			t.Errorf("%s: the Markdown has %d bars, expected one as %s in\n%s", x.is, n, x.markdown, lines(plain.String(), "▍"))
		}
	}
}

func lines(text, with string) string {
	var out []string
	for _, l := range strings.Split(text, "\n") {
		if strings.Contains(l, with) {
			out = append(out, fmt.Sprintf("%q", l))
		}
	}
	return strings.Join(out, "\n")
}
