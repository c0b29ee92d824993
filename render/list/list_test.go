package list

import (
	"bytes"
	"os"
	"strings"
	"testing"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"
)

func sample() *List {
	return &List{
		Language: "en", Title: `<b>Take</b> & "go" \x1b[31m`,
		Facts: []Fact{{"Job", Cell{"Größe | 32 <script>", "de"}}},
		Sections: []Section{
			{Title: Cell{Text: "Tools"}, Tick: true, TickWord: "Taken", Columns: []Column{{Title: Cell{Text: "Number"}, Width: Tenth, Strong: true}, {Title: Cell{"Was", "de"}}},
				Rows: [][]Cell{Cells("T-1", "a | pipe, *star* and [link](http://example.org)"), {{Text: "T-2"}, {"扳手 17 mm", "zh"}}}},
			{Title: Cell{"Teile", "de"}, Columns: []Column{{Title: Cell{Text: "Number"}}}, Empty: "None"},
		},
		Foot: "Local rules come first.",
	}
}

// TestPageTakesNoMarkup: what comes from a source is text in the page, the page has
// no script and forbids itself the network.
func TestPageTakesNoMarkup(t *testing.T) {
	var b bytes.Buffer
	if err := HTML(&b, sample()); err != nil {
		t.Fatal(err)
	}
	got := b.String()
	for _, bad := range []string{"<script", "<b>", "\x1b", "ZgotmplZ", "style=\""} {
		if strings.Contains(got, bad) {
			t.Errorf("the page holds %q", bad)
		}
	}
	for _, want := range []string{"default-src &#39;none&#39;", "&lt;b&gt;Take&lt;/b&gt;", "扳手 17 mm", "Größe | 32 &lt;script&gt;", `<html lang="en">`, "<p>None</p>",
		`<dd lang="de">Größe`, `<th scope="col" lang="de">Was</th>`, `<td lang="zh">扳手`, `<h2 lang="de">Teile</h2>`, `<h2>Tools</h2>`, `<td class="strong">T-2</td>`} {
		if !strings.Contains(got, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if n := strings.Count(got, `class="box"`); n != 2 {
		t.Errorf("%d boxes for 2 rows", n)
	}
	if strings.Contains(got, "{{") {
		t.Error("the page holds a form's word")
	}
}

// TestSharesAreInTheSheet: a share that the sheet does not know would set nothing.
func TestSharesAreInTheSheet(t *testing.T) {
	data, err := os.ReadFile("assets/list.css")
	if err != nil {
		t.Fatal(err)
	}
	for _, share := range []Share{Tenth, Eighth, Fifth, Quarter} {
		if class := "." + (Column{Width: share}).Class() + " {"; !strings.Contains(string(data), class) {
			t.Errorf("the sheet lacks %s", class)
		}
	}
}

// TestMarkdownIsReadBack: an independent reader finds the tables and every cell as
// it was.
func TestMarkdownIsReadBack(t *testing.T) {
	var b, page bytes.Buffer
	if err := Markdown(&b, sample()); err != nil {
		t.Fatal(err)
	}
	if err := goldmark.New(goldmark.WithExtensions(extension.Table)).Convert(b.Bytes(), &page); err != nil {
		t.Fatal(err)
	}
	got := page.String()
	for _, want := range []string{"<td>☐</td>", "<td>a | pipe, *star* and [link](http://example.org)</td>", "<td>扳手 17 mm</td>", "<h2>Teile</h2>", "<p>None</p>", "Größe | 32 &lt;script&gt;"} {
		if !strings.Contains(got, want) {
			t.Errorf("read back without %q:\n%s", want, got)
		}
	}
	if strings.Contains(got, "<a ") || strings.Contains(got, "<em>") {
		t.Errorf("markup came through:\n%s", got)
	}
}
