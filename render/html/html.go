// Package html writes work instructions as pages for the bench: one file
// each, without a network, readable with scripts off and leading the work
// with scripts on.
//
// Input is a document of package document; output is HTML 5. It always holds
// that text from the sources never becomes markup, style or script; that the
// page forbids itself the network and any script but its own; and that equal
// documents give equal bytes. A block, box or text of a kind that is not known
// here is an error, because it may be a hazard.
//
// The page has these hooks for those who drive it: a step is an element with
// the ID step-N; the boxes of a reading are inputs named after it (NAME, or
// NAME:1 to NAME:N where it is taken in several places); answers are radio
// inputs named after the question, members radio inputs named after the
// variant; a branch is an element with data-branch="NAME:N" and a data-state
// of open, chosen or set-aside; the end of a repeat has data-until="NAME" and
// a data-state of open, met or not-met.
package html

import (
	"fmt"
	"io"
	"strings"
	"sync"

	"benchproof/compiler/document"
)

// Options are what a page needs to know beside its document.
type Options struct {
	// Href gives the address of a procedure's page for a link to it, or an
	// empty text where there is none. Nil: no links to other procedures.
	Href func(procedure string) string
}

// Render writes the page of a document. An error of the document leaves w
// untouched.
func Render(w io.Writer, doc *document.Document, o Options) error {
	p := pages.Get().(*page)
	defer pages.Put(p)
	p.reset(doc, o)
	p.document()
	if p.err != nil {
		return fmt.Errorf("%s: %w", doc.Name, p.err)
	}
	_, err := w.Write(p.b)
	return err
}

var pages = sync.Pool{New: func() any { return new(page) }}

// page is one page being written.
type page struct {
	writer
	doc *document.Document
	w   *document.Words
	o   Options

	signs    []string // codes of the signs used, in order of first use
	figures  map[string]int
	finished map[string]bool // finishes set out in the body
	loops    []loop          // the repeats around what is being written
	asked    map[string]int  // how often a question is put
	boxes    []byte          // scratch for turn keys
	depth    int             // of headings
}

// loop is a repeat around a block; turns is how often the block is done at
// most.
type loop struct {
	repeat *document.Repeat
	turns  int
}

func (p *page) reset(doc *document.Document, o Options) {
	*p = page{writer: writer{b: p.b[:0]}, doc: doc, w: doc.Words, o: o, signs: p.signs[:0], figures: map[string]int{}, finished: map[string]bool{}, asked: map[string]int{}}
	if p.w == nil {
		p.w = document.English
	}
	for _, s := range doc.Steps {
		for _, b := range s.Boxes {
			if a, ok := b.(*document.AnswerBox); ok {
				p.asked[a.Name]++
			}
		}
	}
}

// barred writes the words that nobody may work from this.
func (p *page) barred() {
	large, _ := p.doc.BarredWords()
	p.text(large)
}

// leads tells whether the page takes entries: a draft and what is withdrawn are
// for reading, not for work.
func (p *page) leads() bool { return !p.doc.Barred() }

func (p *page) document() {
	d, w := p.doc, p.w
	p.raw("<!DOCTYPE html>\n<html")
	p.attr("lang", language(d.Language))
	if d.Barred() {
		p.raw(` class="draft"`)
	}
	p.raw(">\n<head>\n<meta charset=\"utf-8\">\n")
	foot := p.paperFoot()
	p.policy(foot, p.leads())
	p.raw("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta name=\"color-scheme\" content=\"light dark\">\n<meta name=\"referrer\" content=\"no-referrer\">\n<title>")
	p.text(d.Number)
	p.raw(" ")
	p.text(d.Revision)
	p.raw(" – ")
	p.text(d.Title)
	if d.Barred() {
		p.raw(" – ")
		p.barred()
	}
	p.raw("</title>\n<style>")
	p.raw(sheetStyle)
	p.raw("</style>\n<style>")
	p.b = append(p.b, foot...)
	p.raw("</style>\n</head>\n<body>\n<a class=\"skip\" href=\"#steps\">")
	p.text(w.Screen.SkipToSteps)
	p.raw("</a>\n")
	if d.Barred() {
		p.raw(`<div class="watermark" aria-hidden="true">`)
		p.barred()
		p.raw("</div>\n")
	}
	body := len(p.b)
	if p.leads() {
		p.raw(`<aside id="lead" hidden`)
		p.attr("aria-label", w.Screen.WhereTheWorkStands)
		p.raw(`><p id="where" role="status"></p><a id="go" href="#steps"></a></aside><div id="aloud" class="away" role="status"></div>`)
		p.raw("\n")
	}
	p.raw("<main id=\"sheet\">\n")
	p.front()
	p.steps()
	p.back()
	p.raw("</main>\n")
	if p.leads() {
		p.raw("<script type=\"application/json\" id=\"model\">")
		p.model()
		p.raw("</script>\n<script>")
		p.raw(sheetScript)
		p.raw("</script>\n")
	}
	p.raw("</body>\n</html>\n")
	p.insertSigns(body)
}

// language is a tag as browsers take it (BCP 47: parts of letters and digits),
// or und for an unknown language.
func language(tag string) string {
	for _, part := range strings.Split(tag, "-") {
		if len(part) < 1 || len(part) > 8 || strings.ContainsFunc(part, func(r rune) bool {
			return !(r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z')
		}) {
			return "und"
		}
	}
	return tag
}

// signalWord is a signal word as printed.
func (p *page) signalWord(signal string) string {
	switch signal {
	case "danger":
		return p.w.Danger
	case "warning":
		return p.w.Warning
	case "caution":
		return p.w.Caution
	case "notice":
		return p.w.Notice
	}
	p.fail(fmt.Errorf("a hazard with the signal word %q, which is not danger, warning, caution or notice", signal))
	return strings.ToUpper(signal)
}

// upper sets a sentence's first letter large.
func upper(s string) string {
	for i, r := range s {
		if i == 0 {
			return strings.ToUpper(string(r)) + s[len(string(r)):]
		}
	}
	return s
}
