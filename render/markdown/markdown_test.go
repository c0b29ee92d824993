package markdown

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"io"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"

	"benchproof/compiler/document"
	"benchproof/render/rendertest"
)

var update = flag.Bool("update", false, "rewrite the goldens; the run fails all the same, so that the difference gets read")

// --- readers ------------------------------------------------------------------

// seen is a block as a reader sees it.
type seen struct {
	Type   string
	Level  int
	Inside []string
	Text   string
	Links  []string
	HTML   []string
	Other  []string
	Rows   [][]seen
}

type readers struct{ CommonMark, GitHub []seen }

var installed = sync.OnceValue(func() error {
	dir := filepath.Join("testdata", "reader")
	if _, err := os.Stat(filepath.Join(dir, "node_modules", "commonmark", "package.json")); err == nil {
		return nil
	}
	cmd := exec.Command("npm", "ci", "--no-audit", "--no-fund")
	cmd.Dir = dir
	if out, err := cmd.CombinedOutput(); err != nil {
		return fmt.Errorf("npm ci in %s: %v\n%s", dir, err, out)
	}
	return nil
})

// read gives what independent readers see in a text.
func read(t *testing.T, text []byte) readers {
	t.Helper()
	if err := installed(); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("node", filepath.Join("testdata", "reader", "read.mjs"))
	cmd.Stdin = bytes.NewReader(text)
	cmd.Stderr = os.Stderr
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("the readers did not run: %v", err)
	}
	var r readers
	if err := json.Unmarshal(out, &r); err != nil {
		t.Fatal(err)
	}
	return r
}

func render(t *testing.T, d *document.Document) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Render(&b, d); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// words gives the plain words of a text.
func words(text document.Text) string {
	var b strings.Builder
	for _, s := range text {
		b.WriteString(s.Text)
	}
	return b.String()
}

// stepLine is what a reader must see of a step.
func stepLine(s *document.Step) string {
	line := fmt.Sprintf("%d. ", s.Number)
	if s.Changed {
		line = string(bar(true)) + line
	}
	if s.By != "" {
		line += s.By + ": "
	}
	line += words(s.Text)
	if s.Time != "" {
		line += " (" + s.Time + ")"
	}
	return line
}

func fold(s string) string { return strings.Join(strings.Fields(s), " ") }

// --- tests ----------------------------------------------------------------------

func TestGolden(t *testing.T) {
	for name, d := range map[string]*document.Document{"seal-change.md": rendertest.Document(), "draft.md": rendertest.Draft()} {
		got := render(t, d)
		file := filepath.Join("testdata", name)
		want, err := os.ReadFile(file)
		if err == nil && bytes.Equal(got, want) {
			continue
		}
		if *update {
			if err := os.WriteFile(file, got, 0o644); err != nil {
				t.Fatal(err)
			}
		}
		t.Errorf("%s differs%s", name, firstDifference(string(got), string(want)))
	}
}

func firstDifference(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range g {
		if i >= len(w) || g[i] != w[i] {
			other := ""
			if i < len(w) {
				other = w[i]
			}
			return fmt.Sprintf(" at line %d:\n got %q\nwant %q", i+1, g[i], other)
		}
	}
	return " in length"
}

func TestReadersSeeTheWholeDocument(t *testing.T) {
	d := rendertest.Document()
	// A routine under a title of its own stands below its stage.
	d.Body[0].(*document.Stage).Body[0].(*document.Routine).Title = "Lock and prove"
	r := read(t, render(t, d))
	w := d.Words

	for reader, blocks := range map[string][]seen{"CommonMark": r.CommonMark, "GitHub": r.GitHub} {
		// The headings of the second level are the parts, in order.
		var parts []string
		for _, b := range blocks {
			if b.Type == "heading" && b.Level == 2 {
				parts = append(parts, b.Text)
			}
		}
		want := []string{w.Job, w.WhatChanged, w.BeforeYouStart, w.SafetySummary, w.WhatYouNeed, w.JobMap, w.Steps, w.Finishes, w.CloseUp, w.Record, w.Revisions}
		if fmt.Sprint(parts) != fmt.Sprint(want) {
			t.Errorf("%s: parts\n%q, want\n%q", reader, parts, want)
		}

		// No heading is more than one level below the last.
		level := 0
		for _, b := range blocks {
			if b.Type == "heading" {
				if b.Level > level+1 {
					t.Errorf("%s: the heading %q of level %d follows one of level %d", reader, b.Text, b.Level, level)
				}
				level = b.Level
			}
		}

		// Each step is one paragraph with its anchor, its hazards right before it.
		at := map[string]int{}
		anchors := map[string]bool{}
		for i, b := range blocks {
			for _, h := range b.HTML {
				if id, ok := strings.CutPrefix(h, `<a id="`); ok {
					id = strings.TrimSuffix(id, `">`)
					if anchors[id] {
						t.Errorf("%s: the anchor %s stands twice", reader, id)
					}
					anchors[id] = true
					at[id] = i
				}
			}
		}
		last := -1
		for _, s := range d.Steps {
			i, ok := at[s.ID]
			if !ok {
				t.Errorf("%s: step %d has no anchor", reader, s.Number)
				continue
			}
			if i <= last {
				t.Errorf("%s: step %d stands before the step in front of it", reader, s.Number)
			}
			last = i
			if b := blocks[i]; b.Type != "paragraph" || b.Text != stepLine(s) || len(b.Inside) != 0 {
				t.Errorf("%s: step %d is a %s %q, want %q", reader, s.Number, b.Type, b.Text, stepLine(s))
			}
			for n, h := range s.Hazards {
				b := blocks[i-len(s.Hazards)+n]
				if len(b.Inside) != 1 || !strings.HasPrefix(b.Inside[0], "block") || !strings.Contains(b.Text, h.Title) ||
					!strings.Contains(b.Text, h.Consequence) || !strings.Contains(b.Text, h.Avoid) || !strings.Contains(b.Text, strings.ToUpper(h.Signal)) {
					t.Errorf("%s: before step %d stands %q, not the hazard %s", reader, s.Number, b.Text, h.Name)
				}
			}
		}
		for _, x := range d.Decisions {
			if _, ok := at[x.ID]; !ok {
				t.Errorf("%s: the decision %s has no anchor", reader, x.ID)
			}
		}
		for _, x := range d.Finishes {
			if i, ok := at[x.ID]; !ok || !strings.Contains(blocks[i].Text, x.Title) || !strings.Contains(blocks[i].Text, x.Text) {
				t.Errorf("%s: the finish %s is not where it should be", reader, x.ID)
			}
		}

		// Every link leads somewhere, and no other HTML than anchors came through.
		var check func(b seen)
		check = func(b seen) {
			for _, l := range b.Links {
				if id, ok := strings.CutPrefix(l, "#"); ok && !anchors[id] {
					t.Errorf("%s: a link to %s, which is not there", reader, l)
				}
			}
			for _, h := range b.HTML {
				if !strings.HasPrefix(h, `<a id="`) && h != "</a>" {
					t.Errorf("%s: HTML %q", reader, h)
				}
			}
			if len(b.Other) > 0 {
				t.Errorf("%s: %q in %q", reader, b.Other, b.Text)
			}
			for _, row := range b.Rows {
				for _, cell := range row {
					check(cell)
				}
			}
		}
		for _, b := range blocks {
			check(b)
		}
	}

	// With tables: each has as many cells in each row; the decisions have a row a branch.
	var tables [][][]seen
	for _, b := range r.GitHub {
		if b.Type == "table" {
			tables = append(tables, b.Rows)
		}
	}
	decisions := 0
	for _, rows := range tables {
		for _, row := range rows {
			if len(row) != len(rows[0]) {
				t.Errorf("a row with %d cells under a head with %d", len(row), len(rows[0]))
			}
		}
		if head := rows[0]; head[len(head)-1].Text == w.GoTo {
			x := d.Decisions[decisions]
			decisions++
			if len(rows) != len(x.Branches)+1 {
				t.Errorf("%s: %d rows for %d branches", x.ID, len(rows)-1, len(x.Branches))
			}
			for i, b := range x.Branches {
				row := rows[i+1]
				if row[len(row)-1].Text != b.Goes.Text || b.Meaning != "" && row[len(row)-2].Text != b.Meaning {
					t.Errorf("%s: branch %d reads %v", x.ID, b.Number, row)
				}
				for n, l := range b.Limits {
					if got := strings.TrimPrefix(row[n].Text, "☐ "); got != words(l.Limits.Text) {
						t.Errorf("%s: branch %d has %q, want %q", x.ID, b.Number, got, words(l.Limits.Text))
					}
				}
				for _, c := range b.Cases {
					if !strings.Contains(row[0].Text, c.Title) {
						t.Errorf("%s: branch %d has %q, want %q", x.ID, b.Number, row[0].Text, c.Title)
					}
				}
			}
		}
	}
	if decisions != len(d.Decisions) {
		t.Errorf("%d tables of decisions for %d decisions", decisions, len(d.Decisions))
	}
	// Without tables: each row is a line of its own.
	for _, rows := range tables {
		found := false
		for _, b := range r.CommonMark {
			if b.Type == "paragraph" && strings.HasPrefix(b.Text, "|") && strings.Contains(b.Text, rows[1][0].Text) && strings.Count(b.Text, "\n") == len(rows) {
				found = true
			}
		}
		if !found {
			t.Errorf("without tables the rows of %q run together", rows[0][0].Text)
		}
	}
}

func TestTablesAlign(t *testing.T) {
	var width []int
	for n, line := range strings.Split(string(render(t, rendertest.Document())), "\n") {
		if !strings.HasPrefix(line, "|") {
			width = nil
			continue
		}
		var bars []int
		column := 0
		escaped := false
		for _, r := range line {
			if r == '|' && !escaped {
				bars = append(bars, column)
			}
			escaped = r == '\\' && !escaped
			column += widths.RuneWidth(r)
		}
		if width != nil && fmt.Sprint(bars) != fmt.Sprint(width) {
			t.Errorf("line %d: borders in columns %v, above in %v", n+1, bars, width)
		}
		width = bars
	}
}

func TestADraftHasNothingToTickOrSign(t *testing.T) {
	d := rendertest.Draft()
	text := string(render(t, d))
	for _, no := range []string{"☐", "__", d.Words.Signature, d.Words.WorkOrder} {
		if strings.Contains(text, no) {
			t.Errorf("a draft with %q", no)
		}
	}
	if n := strings.Count(text, d.Words.NotForWork); n < 2+len(d.Map.Text)/4 {
		t.Errorf("%q stands %d times", d.Words.NotForWork, n)
	}
	for _, m := range d.Messages {
		r := read(t, []byte(text))
		found := false
		for _, b := range r.CommonMark {
			found = found || b.Text == m
		}
		if !found {
			t.Errorf("the message %q is missing", m)
		}
	}
	for _, s := range d.Steps {
		if !strings.Contains(text, fmt.Sprintf("**%d.** ", s.Number)) {
			t.Errorf("step %d is missing", s.Number)
		}
	}
}

type oddBlock struct{ document.Block }
type oddBox struct{ document.Box }

func TestWhatIsUnknownIsAnError(t *testing.T) {
	for name, spoil := range map[string]func(*document.Document){
		"block":        func(d *document.Document) { d.Body = append(d.Body, oddBlock{}) },
		"nested block": func(d *document.Document) { d.Decisions[0].Branches[1].Body = []document.Block{oddBlock{}} },
		"box":          func(d *document.Document) { d.Steps[3].Boxes = []document.Box{oddBox{}} },
		"span": func(d *document.Document) {
			d.Steps[3].Text = document.Text{{Kind: document.Plain, Text: "x"}, {Kind: "picture"}}
		},
		"lone span":   func(d *document.Document) { d.Steps[3].Text = document.Text{{Kind: "picture"}} },
		"signal word": func(d *document.Document) { d.Hazards[0].Hazard.Signal = "peril" },
		"close-up":    func(d *document.Document) { d.CloseUp[0].Kind = "polished" },
		"decision":    func(d *document.Document) { d.Decisions[0].Kind = "mood" },
		"several":     func(d *document.Document) { d.Steps[13].Boxes[0].(*document.ReadingBox).Reading.Of = "median" },
	} {
		d := rendertest.Document()
		spoil(d)
		var b bytes.Buffer
		if err := Render(&b, d); err == nil || b.Len() > 0 {
			t.Errorf("%s: error %v, %d bytes written", name, err, b.Len())
		}
	}
}

// nasty are texts that would be markup if they were not escaped.
var nasty = []string{
	"# no heading", "> 60 V on the terminals", "1. Open", "12) Open", "- drain", "+5 V", "* star", "=== rule", "--- rule", "___", "***",
	"<script>alert(1)</script>", "<!-- gone", "<b>bold</b>", "<https://a.example>", "a | b || c", "`code`", "``", "`", "\\", "\\*", "*a*", "**a**", "_a_", "a_b_c", "__a__",
	"~~gone~~", "~a~", "[a](https://b.example)", "![a](b.png)", "[a][b]", "[a]: https://b.example", "[^1]", "[x] done", "- [ ] done",
	"&amp; &lt; &#65; &copy", "AT&T", "www.example.com", "see WWW.example.com now", "https://example.com/x", "Http://example.com", "ftp://x.example", "a.b@example.com", "mailto:a@b.example", "@everyone", "xmpp:a@b.example",
	"$x^2$", "```go", "~~~", "    indented", "\ttab", "two\nlines", "two  \nlines\\\nthree", "line\r\n# heading", "{{ x }}", "<?php", "<![CDATA[x]]>", "a\u2028b", "\x1b[31m", "é ü 漢字 ☐", "\u00a0x",
	"|", "||", "\\|", "|---|", "a\\", "`|`", "x*", "*x", "(*)", "a*b*c", "*", "**", "_", "<", ">", "&", "!", "![", "](", "5 * 4 * 3", "<a id=\"step-1\">",
}

// TestNoTextBecomesMarkup puts hostile texts wherever a source's text goes and
// demands that independent readers give back exactly these characters.
func TestNoTextBecomesMarkup(t *testing.T) {
	random := rand.New(rand.NewPCG(1, 2))
	alphabet := []rune("*_`~[]()<>|\\!#-+=.:@&;$^\"'/ \n\tab1wx漢é")
	texts := append([]string(nil), nasty...)
	for len(texts) < 900 {
		var b strings.Builder
		for n := random.IntN(14) + 1; n > 0; n-- {
			b.WriteRune(alphabet[random.IntN(len(alphabet))])
		}
		if strings.TrimSpace(b.String()) != "" {
			texts = append(texts, b.String())
		}
	}
	kinds := []document.SpanKind{document.Plain, document.Strong, document.Emphasis, document.Code, document.ID, document.Value, document.Mark, document.StepRef, document.Link}
	d := &document.Document{Name: "x", Title: "x", Words: document.English}
	want := map[string]string{}
	for i, s := range texts {
		n := i + 1
		text := document.Text{{Kind: document.Plain, Text: s}}
		// Every kind of span next to every other, without a space between.
		a, b := kinds[random.IntN(len(kinds))], kinds[random.IntN(len(kinds))]
		for k, kind := range []document.SpanKind{a, document.Plain, b} {
			text = append(text, document.Span{Kind: kind, Text: texts[(i*7+k*13)%len(texts)], Step: 1, Href: "https://a.example/x(y)?a=1&copy=2|<>\"`\\ *_"})
		}
		step := &document.Step{Number: n, ID: fmt.Sprintf("step-%d", n), Text: text, By: s,
			Notes: []document.Text{{{Kind: document.Plain, Text: s}}},
			Boxes: []document.Box{&document.Tick{Label: s}, &document.RecordBox{Label: s}, &document.AnswerBox{Question: s}}}
		d.Steps = append(d.Steps, step)
		d.Body = append(d.Body, step)
		want[step.ID] = clean(fmt.Sprintf("%d. %s: ", n, s) + words(text))
		d.Revisions = append(d.Revisions, document.Revision{Revision: fmt.Sprint(n), Date: s, Note: words(text)})
	}
	for i, s := range texts {
		d.Body = append(d.Body, &document.Stage{ID: fmt.Sprintf("stage-%d", i+1), Title: s},
			&document.Until{Text: document.Text{{Kind: document.Plain, Text: s}}})
	}
	r := read(t, render(t, d))
	for reader, blocks := range map[string][]seen{"CommonMark": r.CommonMark, "GitHub": r.GitHub} {
		steps, stages := 0, 0
		for i, b := range blocks {
			for _, h := range b.HTML {
				switch {
				case strings.HasPrefix(h, `<a id="st`), h == "</a>", h == "<!-- -->",
					h == "<strong>", h == "</strong>", h == "<em>", h == "</em>", h == "<code>", h == "</code>":
				default:
					t.Errorf("%s: HTML %q in %q", reader, h, b.Text)
				}
			}
			for _, l := range b.Links {
				if !strings.HasPrefix(l, "#step-") && !strings.HasPrefix(l, "https://a.example/x%28y%29?a=1&copy=2") {
					t.Errorf("%s: link %q in %q", reader, l, b.Text)
				}
			}
			if b.Type != "heading" && b.Type != "paragraph" && b.Type != "table" || len(b.Other) > 0 && b.Type == "heading" {
				t.Errorf("%s: a %s with %q: %q", reader, b.Type, b.Other, b.Text)
			}
			if len(b.HTML) > 0 && strings.HasPrefix(b.HTML[0], `<a id="step-`) {
				id := strings.TrimSuffix(strings.TrimPrefix(b.HTML[0], `<a id="`), `">`)
				if clean(b.Text) != want[id] {
					t.Errorf("%s: %s reads\n%q, want\n%q", reader, id, clean(b.Text), want[id])
				}
				source := d.Steps[steps].Text[0].Text
				for n, item := range blocks[i+1 : i+5] { // note, tick, record, question
					got := clean(item.Text)
					if expect := clean(source); !strings.Contains(squash(got), squash(expect)) {
						t.Errorf("%s: item %d of %s reads %q, want %q", reader, n+1, id, got, expect)
					}
				}
				steps++
			}
			if b.Type == "heading" && len(b.HTML) > 0 {
				if expect := clean(texts[stages]); clean(b.Text) != expect {
					t.Errorf("%s: heading %q, want %q", reader, clean(b.Text), expect)
				}
				if got, expect := clean(blocks[i+1].Text), clean(texts[stages]); got != expect {
					t.Errorf("%s: paragraph %q, want %q", reader, got, expect)
				}
				stages++
			}
		}
		if steps != len(texts) || stages != len(texts) {
			t.Errorf("%s: %d steps and %d stages of %d", reader, steps, stages, len(texts))
		}
	}
	for _, b := range r.GitHub {
		if b.Type != "table" || b.Rows[0][0].Text != d.Words.Revision {
			continue
		}
		for i, row := range b.Rows[1:] {
			if len(row) != 3 || clean(row[1].Text) != clean(texts[i]) || clean(row[2].Text) != clean(d.Revisions[i].Note) {
				t.Errorf("row %d reads %v, want %q and %q", i+1, row, texts[i], d.Revisions[i].Note)
			}
			for _, cell := range row {
				if len(cell.Links) > 0 || len(cell.Other) > 0 {
					t.Errorf("row %d has markup: %+v", i+1, cell)
				}
			}
		}
		return
	}
	t.Error("the table of revisions is not there")
}

// clean folds white space and control characters, which no reader shows.
func clean(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < 0x20 || r >= 0x7f && r < 0xa0 || r == 0x2028 || r == 0x2029 {
			return ' '
		}
		return r
	}, s)
	return fold(s)
}

func squash(s string) string { return strings.ReplaceAll(s, " ", "") }

func TestOnlyAddressesThatLeadSomewhereAreLinks(t *testing.T) {
	cases := map[string]bool{
		"https://a.example": true, "HTTP://a.example": true, "mailto:a@b.example": true, "training/a.pdf": true, "a.pdf#p=1:2": true,
		"javascript:alert(1)": false, "JAVASCRIPT:x": false, "data:text/html,x": false, "file:///x": false, "//a.example": false, "": false,
	}
	for href, links := range cases {
		d := rendertest.Document()
		d.Steps[0].Text = document.Text{{Kind: document.Link, Text: "the sheet", Href: href}}
		if got := strings.Contains(string(render(t, d)), "[the sheet]("); got != links {
			t.Errorf("%s: a link %v, want %v", href, got, links)
		}
	}
}

func TestEqualDocumentsGiveEqualBytes(t *testing.T) {
	if !bytes.Equal(render(t, rendertest.Document()), render(t, rendertest.Document())) {
		t.Error("two renderings differ")
	}
}

func TestAChangedStepIsAChangedLine(t *testing.T) {
	before := strings.Split(string(render(t, rendertest.Document())), "\n")
	d := rendertest.Document()
	d.Steps[5].Text = append(d.Steps[5].Text, document.Span{Kind: document.Plain, Text: " Then wait."})
	after := strings.Split(string(render(t, d)), "\n")
	changed := 0
	for i := range before {
		if before[i] != after[i] {
			changed++
		}
	}
	if len(before) != len(after) || changed != 1 {
		t.Errorf("%d lines changed, %d and %d in all", changed, len(before), len(after))
	}
}

func BenchmarkRender(b *testing.B) {
	d := rendertest.Long(2000)
	var buffer bytes.Buffer
	if err := Render(&buffer, d); err != nil {
		b.Fatal(err)
	}
	b.SetBytes(int64(buffer.Len()))
	b.ReportAllocs()
	for b.Loop() {
		if err := Render(io.Discard, d); err != nil {
			b.Fatal(err)
		}
	}
}

// What is empty is not there: no heading over nothing, no column of nothing.
func TestNothingStandsOverNothing(t *testing.T) {
	d := &document.Document{Title: "Try", Language: "en", Words: document.English,
		Finishes: []*document.Finish{{ID: "finish-1", Outcome: "serviceable", Title: "serviceable", Text: "Hand over."}}}
	var b bytes.Buffer
	if err := Render(&b, d); err != nil {
		t.Fatal(err)
	}
	out := b.String()
	for _, absent := range []string{d.Words.WhatYouNeed, d.Words.Leaves, d.Words.LeftOff, d.Words.LeftOn} {
		if strings.Contains(out, absent) {
			t.Errorf("%q stands over nothing in\n%s", absent, out)
		}
	}
	if !strings.Contains(out, d.Words.Outcome) || !strings.Contains(out, d.Words.NextStep) {
		t.Errorf("the finishes have lost a column:\n%s", out)
	}
}
