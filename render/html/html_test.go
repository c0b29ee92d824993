package html

import (
	"bytes"
	"encoding/json"
	"errors"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"

	"benchproof/compiler/document"
	"benchproof/render/rendertest"
)

func TestEqualDocumentsGiveEqualPages(t *testing.T) {
	first := render(t, rendertest.Document())
	for range 3 {
		if !bytes.Equal(first, render(t, rendertest.Document())) {
			t.Fatal("two renderings differ")
		}
	}
}

// What a page cannot show is an error, and nothing is written.
func TestUnknownKindsAreErrors(t *testing.T) {
	for name, spoil := range map[string]func(*document.Document){
		"nil block":      func(d *document.Document) { d.Body = append(d.Body, nil) },
		"nil box":        func(d *document.Document) { d.Steps[0].Boxes = append(d.Steps[0].Boxes, nil) },
		"span":           func(d *document.Document) { d.Steps[0].Text = append(d.Steps[0].Text, document.Span{Kind: "blink"}) },
		"signal word":    func(d *document.Document) { d.Steps[2].Hazards[0].Signal = "beware" },
		"close-up":       func(d *document.Document) { d.CloseUp[0].Kind = "polished" },
		"figure format":  func(d *document.Document) { d.Steps[21].Figures[0].Format = "gif" },
		"figure size":    func(d *document.Document) { d.Steps[21].Figures[0].Width = 0 },
		"several of":     func(d *document.Document) { d.Steps[13].Boxes[0].(*document.ReadingBox).Reading.Of = "median" },
		"map, bad edges": func(d *document.Document) { d.Map.Edges[0].To = 999 },
	} {
		doc := rendertest.Document()
		spoil(doc)
		var b bytes.Buffer
		if err := Render(&b, doc, Options{}); err == nil || !strings.HasPrefix(err.Error(), "seal-change: ") {
			t.Errorf("%s: %v", name, err)
		}
		if b.Len() > 0 {
			t.Errorf("%s: %d bytes were written", name, b.Len())
		}
	}
}

type full struct{}

func (full) Write([]byte) (int, error) { return 0, errors.New("disk full") }

func TestWriteErrorIsReported(t *testing.T) {
	if err := Render(full{}, rendertest.Document(), Options{}); err == nil || err.Error() != "disk full" {
		t.Errorf("%v", err)
	}
}

// Everything of the document is in the page: each step, hazard, thing, limit,
// branch, finish, revision and message.
func TestPageHoldsTheDocument(t *testing.T) {
	doc := rendertest.Document()
	page := string(render(t, doc))
	want := func(what, text string) {
		t.Helper()
		if text != "" && !strings.Contains(page, string(appendText(nil, text))) {
			t.Errorf("%s %q is missing", what, text)
		}
	}
	for _, s := range doc.Steps {
		if strings.Count(page, `id="`+s.ID+`"`) != 1 {
			t.Errorf("%s stands %d times", s.ID, strings.Count(page, `id="`+s.ID+`"`))
		}
		for _, span := range s.Text {
			want(s.ID, span.Text)
		}
		// A hazard stands before the words of its step, in the same element.
		at := strings.Index(page, `id="`+s.ID+`"`)
		for _, h := range s.Hazards {
			message, words := strings.Index(page[at:], string(appendText(nil, h.Avoid))), strings.Index(page[at:], `<p class="do">`)
			if message < 0 || message > words {
				t.Errorf("%s: %s does not stand before it", s.ID, h.Title)
			}
		}
	}
	for _, n := range slices.Concat(doc.Tools, doc.Parts, doc.Consumables) {
		want("thing", n.Thing.Title)
		want("number", n.Thing.Number)
	}
	for _, d := range doc.Decisions {
		for _, b := range d.Branches {
			if !strings.Contains(page, `data-branch="`+d.On+":"+itoa(b.Number)+`"`) {
				t.Errorf("branch %s:%d is missing", d.On, b.Number)
			}
			want("meaning", b.Meaning)
			for _, l := range b.Limits {
				for _, s := range l.Limits.Text {
					want("limit", s.Text)
				}
			}
		}
	}
	for _, f := range doc.Finishes {
		want("finish", f.Text)
		if strings.Count(page, `id="`+f.ID+`"`) != 1 {
			t.Errorf("%s stands %d times", f.ID, strings.Count(page, `id="`+f.ID+`"`))
		}
	}
	for _, r := range doc.Revisions {
		want("revision", r.Note)
	}
	for _, line := range doc.Map.Text {
		want("map", line)
	}
	for _, l := range doc.Record {
		want("record", l.Label)
	}
}

// IDs are given once, and links within the page lead somewhere.
func TestAnchors(t *testing.T) {
	for name, doc := range samples() {
		page := string(render(t, doc))
		ids := map[string]int{}
		for _, part := range strings.Split(page, ` id="`)[1:] {
			ids[part[:strings.IndexByte(part, '"')]]++
		}
		for id, n := range ids {
			if n > 1 {
				t.Errorf("%s: %s is given %d times", name, id, n)
			}
		}
		for _, part := range strings.Split(page, ` href="#`)[1:] {
			if id := part[:strings.IndexByte(part, '"')]; ids[id] == 0 && !strings.Contains(page, `<symbol id="`+id+`"`) {
				t.Errorf("%s: a link leads to %q, which is not there", name, id)
			}
		}
	}
}

// Which taking decides: the last one on the way, also through branches and
// repeats.
func TestTakings(t *testing.T) {
	r := &document.Reading{Name: "x", Boxes: 1}
	step := func(n int) *document.Step {
		return &document.Step{Number: n, Boxes: []document.Box{&document.ReadingBox{Reading: r}}}
	}
	plain := func(n int) *document.Step { return &document.Step{Number: n} }
	decide := func(id string, bodies ...[]document.Block) *document.Decision {
		d := &document.Decision{ID: id, Kind: document.ByReading, On: "x"}
		for i, b := range bodies {
			d.Branches = append(d.Branches, &document.Branch{Number: i + 1, Body: b})
		}
		return d
	}
	blocks := func(b ...document.Block) []document.Block { return b }
	got := takingsOf(blocks(
		step(1),
		decide("a", blocks(step(2)), blocks(plain(3)), blocks(step(4), &document.Finish{})),
		decide("b", blocks(), blocks()),
		step(5),
		&document.Stage{Body: blocks(decide("c"))},
		&document.Repeat{ID: "r", Times: 3, Body: blocks(decide("d", blocks(), blocks()), &document.Until{On: "x"}, step(6)), Otherwise: blocks(step(7))},
		&document.Routine{Body: blocks(decide("e", blocks(), blocks()))},
	))
	for id, want := range map[string][]int{"a": {1}, "b": {1, 2}, "c": {5}} {
		if !slices.Equal(got[id], want) {
			t.Errorf("%s goes by the takings of steps %v, want %v", id, got[id], want)
		}
	}
	// A decision without branches ends every path, so what follows c hangs on
	// nothing; the same work without it goes on.
	got = takingsOf(blocks(step(5),
		&document.Repeat{ID: "r", Times: 3, Body: blocks(decide("d", blocks(), blocks()), &document.Until{On: "x"}, step(6)), Otherwise: blocks(step(7))},
		decide("e", blocks(), blocks())))
	for id, want := range map[string][]int{"d": {5, 6}, "r": {5, 6}, "e": {5, 6, 7}} {
		if !slices.Equal(got[id], want) {
			t.Errorf("%s goes by the takings of steps %v, want %v", id, got[id], want)
		}
	}
}

// The script gets the words that it says, and no others.
func TestScriptHasItsWords(t *testing.T) {
	p := &page{doc: rendertest.Document(), w: document.English}
	j := &jsonWriter{}
	p.words(j)
	var given map[string]string
	if err := json.Unmarshal(j.b, &given); err != nil {
		t.Fatal(err)
	}
	said := map[string]bool{}
	for _, m := range regexp.MustCompile(`words\.(\w+)`).FindAllStringSubmatch(string(sheetScript), -1) {
		said[m[1]] = true
		if given[m[1]] == "" {
			t.Errorf("the script says words.%s, which it does not get", m[1])
		}
	}
	for name := range given {
		if !said[name] {
			t.Errorf("the script gets words.%s and never says it", name)
		}
	}
}

func TestProseKeepsNumbersTogether(t *testing.T) {
	for text, want := range map[string]string{
		"0 °C to 150 °C": `<span class="v">0 °C</span> to <span class="v">150 °C</span>`,
		"T-0003 off":     `<span class="v">T-0003</span> off`,
		"6 × P-1008 off": `<span class="v">6 ×</span> <span class="v">P-1008</span> off`,
		"a  b ":          "a  b ",
		"on (size 32),":  `on <span class="v">(size 32),</span>`,
		"7":              "7",
		"<b> 5 &":        `&lt;b&gt; <span class="v">5 &amp;</span>`,
	} {
		p := &page{}
		p.prose(text)
		if string(p.b) != want {
			t.Errorf("%q becomes %q, want %q", text, p.b, want)
		}
	}
}

func BenchmarkRender(b *testing.B) {
	doc := rendertest.Document()
	var n bytes.Buffer
	if err := Render(&n, doc, Options{}); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(n.Len()))
	b.ReportAllocs()
	for b.Loop() {
		if err := Render(io.Discard, doc, Options{}); err != nil {
			b.Fatal(err)
		}
	}
}
