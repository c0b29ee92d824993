// Package render_test holds the three renderers against one another: what
// matters in a document stands in all three outputs.
package render_test

import (
	"bytes"
	"context"
	"fmt"
	stdhtml "html"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/procedures"
	"benchproof/render/html"
	"benchproof/render/markdown"
	"benchproof/render/pdf"
	"benchproof/render/rendertest"
)

// letters leaves of a text its letters and digits, so that line breaks, hyphens
// and markup of the outputs do not count.
func letters(s string) string {
	return strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return -1
	}, s)
}

var (
	scripts = regexp.MustCompile(`(?s)<(script|style)[^>]*>.*?</(script|style)>`)
	tags    = regexp.MustCompile(`<[^>]*>`)
	// Where a Markdown link leads is no part of the text it stands in.
	targets = regexp.MustCompile(`\]\([^)]*\)`)
)

// outputs gives the letters of a document's three outputs.
func outputs(t *testing.T, doc *document.Document) map[string]string {
	t.Helper()
	var page, text, file bytes.Buffer
	if err := html.Render(&page, doc, html.Options{}); err != nil {
		t.Fatal(err)
	}
	if err := markdown.Render(&text, doc); err != nil {
		t.Fatal(err)
	}
	if _, err := pdf.Render(&file, doc, pdf.Options{}); err != nil {
		t.Fatal(err)
	}
	name := filepath.Join(t.TempDir(), "doc.pdf")
	if err := os.WriteFile(name, file.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	words, err := exec.Command("pdftotext", "-raw", name, "-").Output()
	if err != nil {
		t.Fatalf("pdftotext (package poppler-utils) is needed: %v", err)
	}
	plain := stdhtml.UnescapeString(tags.ReplaceAllString(scripts.ReplaceAllString(page.String(), " "), " "))
	// Running heads and feet stand between the lines of a text that goes over a page.
	var lines []string
	for _, l := range strings.Split(string(words), "\n") {
		foot := strings.Contains(l, doc.Words.CheckCurrent) || strings.Contains(l, doc.Fingerprint) || strings.TrimSpace(l) == doc.Title || strings.TrimSpace(l) == doc.Number
		if !foot {
			lines = append(lines, l)
		}
	}
	return map[string]string{"HTML": letters(plain), "Markdown": letters(stdhtml.UnescapeString(targets.ReplaceAllString(tags.ReplaceAllString(text.String(), " "), " "))), "PDF": letters(strings.Join(lines, " ") + " " + string(words))}
}

// essential lists every text of a document that a technician must not miss.
func essential(doc *document.Document) map[string]string {
	out := map[string]string{}
	add := func(what, text string) {
		if letters(text) != "" {
			out[what] = text
		}
	}
	plain := func(text document.Text) string {
		var b strings.Builder
		for _, s := range text {
			b.WriteString(s.Text)
		}
		return b.String()
	}
	add("title", doc.Title)
	add("number", doc.Number)
	add("fingerprint", doc.Fingerprint)
	add("release", doc.Release.Text)
	add("reason of the withdrawal", doc.Release.Reason)
	add("what the bars say", doc.Release.Bars)
	for _, s := range doc.Steps {
		at := fmt.Sprintf("step %d ", s.Number)
		add(at+"text", plain(s.Text))
		add(at+"by", s.By)
		for i, d := range s.Details {
			add(fmt.Sprint(at, "detail ", i), plain(d))
		}
		for i, n := range s.Notes {
			add(fmt.Sprint(at, "note ", i), plain(n))
		}
		for _, h := range s.Handled {
			add(at+"handles "+h.Thing.Name, h.Thing.Number)
		}
		for _, f := range s.Figures {
			add(at+"figure "+f.Name, f.Title)
		}
		for i, b := range s.Boxes {
			box := fmt.Sprint(at, "box ", i)
			switch b := b.(type) {
			case *document.ReadingBox:
				add(box, b.Reading.ScaleText)
			case *document.AnswerBox:
				add(box, b.Question)
				for _, a := range b.Answers {
					add(box+" "+a.Name, a.Title)
				}
			case *document.HoldBox:
				add(box+" who", b.Who)
				add(box+" what", b.What)
			case *document.RecordBox:
				add(box, b.Label)
			case *document.RoundBox:
				for j, v := range b.Values {
					add(fmt.Sprint(box, " value ", j), v.Text)
				}
			}
		}
	}
	for _, h := range doc.Hazards {
		add("hazard "+h.Hazard.Name+" title", h.Hazard.Title)
		add("hazard "+h.Hazard.Name+" consequence", h.Hazard.Consequence)
		add("hazard "+h.Hazard.Name+" avoid", h.Hazard.Avoid)
		for _, s := range h.Hazard.Signs {
			add("hazard "+h.Hazard.Name+" sign "+s.Code, s.Code)
		}
	}
	for what, needs := range map[string][]document.Need{"tool ": doc.Tools, "part ": doc.Parts, "consumable ": doc.Consumables} {
		for _, n := range needs {
			add(what+n.Thing.Name, n.Thing.Title)
			add(what+n.Thing.Name+" number", n.Thing.Number)
			add(what+n.Thing.Name+" only", n.Only)
		}
	}
	limits := func(at string, list []document.MemberLimits) {
		for i, l := range list {
			add(fmt.Sprint(at, " limits ", i), plain(l.Limits.Text))
			for _, m := range l.Members {
				add(fmt.Sprint(at, " limits ", i, " for ", m.Member), m.MemberTitle)
			}
		}
	}
	for _, d := range doc.Decisions {
		add(d.ID, d.Title)
		for _, b := range d.Branches {
			at := fmt.Sprintf("%s branch %d", d.ID, b.Number)
			limits(at, b.Limits)
			add(at+" meaning", b.Meaning)
			add(at+" goes", b.Goes.Text)
			for _, c := range b.Cases {
				add(at+" case "+c.Name, c.Title)
			}
		}
		for i, f := range d.Footnotes {
			add(fmt.Sprint(d.ID, " footnote ", i), plain(f))
		}
	}
	for _, f := range doc.Finishes {
		add(f.ID, f.Title)
		add(f.ID+" text", f.Text)
		add(f.ID+" to", f.ToNumber)
		for _, s := range f.Leaves {
			add(f.ID+" leaves "+s.Condition, s.ConditionTitle+" "+s.StateTitle)
		}
		if len(f.Off) > 0 {
			add(f.ID+" off", doc.Words.OffLabel(f))
		}
		for _, c := range f.Off {
			add(f.ID+" off "+c.Thing.Name, c.Thing.Number)
			if c.Only != "" {
				add(f.ID+" off only "+c.Thing.Name, "("+c.Only+")")
			}
		}
	}
	for _, s := range doc.Begins {
		add("begins "+s.Condition, s.ConditionTitle+" "+s.StateTitle)
	}
	for _, r := range doc.Record {
		if doc.Barred() {
			break // nothing is written down
		}
		add("record "+r.Name, r.Label)
	}
	for _, r := range doc.Revisions {
		add("revision "+r.Revision, r.Note)
	}
	return out
}

func compare(t *testing.T, doc *document.Document) {
	t.Helper()
	outs := outputs(t, doc)
	facts := essential(doc)
	for what, text := range facts {
		for _, name := range []string{"HTML", "Markdown", "PDF"} {
			if !strings.Contains(outs[name], letters(text)) {
				t.Errorf("%s: %s does not have the %s: %q", doc.Name, name, what, text)
			}
		}
	}
	if len(facts) < 20 {
		t.Errorf("%s: only %d facts were compared", doc.Name, len(facts))
	}
}

// Nothing that matters is in one output and not in another: each step, hazard,
// tool, part, limit, branch and finish of every document stands in all three.
func TestAllThreeSayTheSame(t *testing.T) {
	src, err := compiler.Read(procedures.Files)
	if err != nil {
		t.Fatal(err)
	}
	result, err := compiler.Check(context.Background(), src)
	if err != nil {
		t.Fatal(err)
	}
	for i, p := range result.Library.Procedures {
		t.Run(p.Name, func(t *testing.T) {
			doc, ms := result.Document(i, compiler.DocumentOptions{})
			if len(ms) > 0 {
				t.Fatal(ms[0].Text)
			}
			compare(t, doc)
		})
		for _, a := range p.Applies {
			t.Run(p.Name+"."+a.Members[0].Name, func(t *testing.T) {
				doc, _ := result.Document(i, compiler.DocumentOptions{For: a.Members[:1]})
				compare(t, doc)
			})
		}
	}
	t.Run("sample", func(t *testing.T) { compare(t, rendertest.Document()) })
	t.Run("withdrawn", func(t *testing.T) { compare(t, rendertest.Withdrawn()) })
}
