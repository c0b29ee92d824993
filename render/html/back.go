package html

import (
	"fmt"
	"strings"

	"benchproof/compiler/document"
)

// back writes everything that stands after the steps.
func (p *page) back() {
	p.finishes()
	p.closeUp()
	p.record()
	p.revisions()
}

func (p *page) finishes() {
	d, w := p.doc, p.w
	if len(d.Finishes) == 0 {
		return
	}
	p.heading("finishes", w.Finishes)
	p.raw("<table><thead><tr>")
	p.th(w.Outcome, w.NextStep)
	p.raw("</tr></thead><tbody>")
	for _, f := range d.Finishes {
		p.raw("<tr")
		if !p.finished[f.ID] {
			// One that is understood has no place among the steps.
			p.raw(` data-kind="finish"`)
			p.attr("id", f.ID)
			p.attr("data-outcome", f.Outcome)
		}
		p.raw(`><th scope="row">`)
		if p.finished[f.ID] {
			p.anchor(f.ID, f.Title)
		} else {
			p.text(f.Title)
		}
		p.raw("</th><td>")
		p.finishText(f)
		p.raw("</td></tr>")
	}
	p.raw("</tbody></table>\n</section>\n")
}

func (p *page) closeUp() {
	if len(p.doc.CloseUp) == 0 {
		return
	}
	p.heading("close-up", p.w.CloseUp)
	for i, c := range p.doc.CloseUp {
		p.raw(`<div class="row plain"><div class="work">`)
		p.spans(c.Label)
		if c.Only != "" {
			p.raw(` <span class="small">(`)
			p.text(c.Only)
			p.raw(")</span>")
		}
		p.hand(func() {
			id := "close-" + itoa(i+1)
			label := p.w.DoneWord(c.Kind)
			if label == "" {
				p.fail(fmt.Errorf("a line of the close-up of the kind %q", c.Kind))
			}
			if c.Count > 1 {
				label = itoa(c.Count) + " × " + label
			}
			p.tick(id, "close:"+itoa(i+1), label)
		})
	}
	p.raw("</section>\n")
}

// record writes the table of everything that is to be kept: empty lines on
// paper, filled in by the page as the work goes on.
func (p *page) record() {
	d, w := p.doc, p.w
	p.heading("record", w.Record)
	if p.leads() {
		p.raw(`<p class="tools"><button type="button" id="save" hidden>`)
		p.text(w.Screen.SaveRecord)
		p.raw(`</button> <button type="button" id="print" hidden>`)
		p.text(w.Screen.PrintRecord)
		p.raw("</button></p>\n")
		p.raw(`<div id="job-line"></div>`)
	}
	if len(d.Record) > 0 {
		p.raw("<table class=\"record\"><thead><tr>")
		p.th(upper(w.Step), w.Name, w.Limit, w.Value, w.Who)
		p.raw("</tr></thead><tbody>")
		for _, r := range d.Record {
			p.recordLine(r)
		}
		p.raw("</tbody></table>\n")
	}
	if !p.leads() {
		p.raw("</section>\n")
		return
	}
	p.raw(`<div class="after"><label class="line"><span>`)
	p.text(w.NotAsWritten)
	p.raw(`</span><textarea rows="3" autocomplete="off" maxlength="20000" id="not-as-written" name="record:not-as-written"></textarea></label>`)
	for _, f := range [...]struct {
		id    markup
		title string
	}{{"signature", w.Signature + ", " + w.Name}, {"checked", w.Checked + ", " + w.Name}} {
		p.raw(`<label class="line"><span>`)
		p.text(f.title)
		p.raw(`</span><input type="text" autocomplete="off" maxlength="200" id="`)
		p.raw(f.id)
		p.raw(`" name="record:`)
		p.raw(f.id)
		p.raw(`"></label>`)
	}
	p.raw("</div>\n<div id=\"entries\"></div>\n</section>\n")
}

func (p *page) recordLine(r document.RecordLine) {
	p.raw("<tr><td>")
	if r.Step > 0 {
		p.stepLinks([]int{r.Step})
	}
	p.raw(`</td><th scope="row">`)
	p.text(r.Label)
	if r.Only != "" {
		p.raw(` <span class="small">(`)
		p.text(r.Only)
		p.raw(")</span>")
	}
	p.raw(`</th><td class="lim">`)
	p.limits(r.Limits)
	p.raw(`</td><td class="value" data-kept="`)
	p.text(r.Kind)
	p.raw(`"`)
	p.attr("data-name", r.Name)
	p.raw(` data-step="`)
	p.int(r.Step)
	p.raw(`"><span class="kept"></span>`)
	// Paper needs room for what is written by hand.
	p.blanks(r)
	if r.Unit != "" {
		p.raw(`<span class="unit">`)
		p.text(r.Unit)
		p.raw("</span>")
	}
	p.raw("</td><td>")
	p.text(r.Who)
	p.raw("</td></tr>")
}

// blanks are boxes for a hand on paper: those of each turn of a repeat in a row,
// with its number.
func (p *page) blanks(r document.RecordLine) {
	if r.Boxes < 2 {
		return
	}
	turns := r.Turns
	if len(turns) < 2 {
		turns = []string{""}
	}
	each := max(1, r.Boxes/len(turns))
	p.raw(`<span class="blank">`)
	for _, turn := range turns[:min(len(turns), paperTurns)] {
		p.raw(`<span class="row-of">`)
		if turn != "" {
			p.raw(`<span class="small">`)
			p.text(fill(p.w.Screen.Turn, "turn", turn))
			p.raw("</span>")
		}
		for range min(each, paperTurns) {
			p.raw("<i></i>")
		}
		p.raw("</span>")
	}
	p.raw("</span>")
}

func (p *page) revisions() {
	w := p.w
	if len(p.doc.Revisions) == 0 {
		return
	}
	p.heading("revisions", w.Revisions)
	p.raw("<table><thead><tr>")
	p.th(w.Revision, w.Date, w.WhatChanged)
	p.raw("</tr></thead><tbody>")
	for _, r := range p.doc.Revisions {
		p.raw(`<tr><th scope="row">`)
		p.text(r.Revision)
		p.raw(`</th><td><span class="v">`)
		p.text(w.DateText(r.Date))
		p.raw("</span></td><td>")
		p.text(r.Note)
		p.raw("</td></tr>")
	}
	p.raw("</tbody></table>\n")
	p.raw(`<p class="small">`)
	p.text(strings.Join([]string{w.Fingerprint, p.doc.Edition(groups)}, " "))
	p.raw("</p>\n</section>\n")
}
