package html

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"benchproof/compiler/reference"
	"benchproof/dsl/message"
)

// handbook is the manual that the program writes.
func handbook(t testing.TB) []byte {
	t.Helper()
	chapters := []Chapter{{ID: "language", Markdown: reference.Markdown(), Parts: true}}
	for _, e := range message.Catalogue() {
		chapters = append(chapters, Chapter{ID: string(e.Code), Markdown: message.Page(e.Code)})
	}
	var b bytes.Buffer
	if err := Manual(&b, "Language and messages", chapters); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestManual(t *testing.T) {
	page := string(handbook(t))
	if again := string(handbook(t)); again != page {
		t.Error("a second manual differs")
	}
	for _, want := range []string{
		`<h2 id="language">The language</h2>`, `<h3 id="language-what-a-step-does">What a step does</h3>`, `<h4 id="language-measure">measure</h4>`,
		`<h4 id="language-begins">begins</h4>`, `<h4 id="language-begins-2">begins</h4>`,
		`<h2 id="BP404">BP404: decided before it is measured or asked</h2>`, `<a href="#BP404">`, `(<a href="#BP208">BP208</a>)`,
		`<li class="part"><a href="#language-what-a-step-does">`, `<code class="language-proc">`, `<td><code>N.m</code></td>`,
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the manual lacks %s", want)
		}
	}
	// Every address of the page is one of its anchors.
	for _, part := range strings.Split(page, `href="#`)[1:] {
		id, _, _ := strings.Cut(part, `"`)
		if !strings.Contains(page, ` id="`+id+`"`) {
			t.Errorf("a link leads to #%s, which is not there", id)
		}
	}
	for _, not := range []string{"<script", `href="http`, "url(", "@import", "src=", "<!-- raw"} {
		if strings.Contains(page, not) {
			t.Errorf("the manual holds %s", not)
		}
	}
}

func TestManualTakesNoMarkup(t *testing.T) {
	var b bytes.Buffer
	if err := Manual(&b, "<b>", []Chapter{{ID: "a", Markdown: "# <script>alert(1)</script>\n\n<img src=x onerror=alert(1)>\n\n[x](javascript:alert(1)) BP999 `BP404`"}}); err != nil {
		t.Fatal(err)
	}
	for _, not := range []string{"<script", "<img", "javascript:", "<b>", `href="#BP`} {
		if strings.Contains(b.String(), not) {
			t.Errorf("%s came through:\n%s", not, b.String())
		}
	}
	if err := Manual(&b, "x", []Chapter{{ID: "a", Markdown: "no heading"}}); err == nil {
		t.Error("a chapter without a heading passes")
	}
}

func TestManualIsAccessible(t *testing.T) {
	source, err := os.ReadFile(checker(t, "axe-core", "axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	address := writeFile(t, "manual.html", handbook(t))
	for _, before := range [][]action{nil, {dark(), chromedp.EmulateViewport(390, 844)}} {
		p := openTab(t, 1100, 900)
		p.do(before...)
		p.do(chromedp.Navigate(address))
		axe(p, string(source))
		if wide := eval[int](p, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
			t.Errorf("%d pixels wider than its window", wide)
		}
		p.clean()
	}
}
