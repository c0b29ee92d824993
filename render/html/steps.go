package html

import (
	"fmt"
	"strings"

	"benchproof/compiler/document"
)

// steps writes the work.
func (p *page) steps() {
	p.heading("steps", p.w.Steps)
	p.blocks(p.doc.Body)
	p.raw("</section>\n")
}

func (p *page) blocks(list []document.Block) {
	for _, b := range list {
		p.block(b)
	}
}

// block writes one piece of the work. A kind that is not known must not be
// passed over: it may carry a hazard.
func (p *page) block(b document.Block) {
	switch b := b.(type) {
	case *document.Stage:
		p.stage(b)
	case *document.Routine:
		p.routine(b)
	case *document.Step:
		p.step(b)
	case *document.Decision:
		p.decision(b)
	case *document.Repeat:
		p.repeat(b)
	case *document.Until:
		p.until(b)
	case *document.Finish:
		p.finish(b)
	default:
		p.fail(fmt.Errorf("a block of the kind %T, which a page cannot show", b))
	}
}

func (p *page) stage(s *document.Stage) {
	p.raw(`<section class="stage" data-kind="stage"`)
	p.attr("id", s.ID)
	p.raw(`><div class="beside`)
	p.bar(s.Changed)
	p.raw(`"><h3>`)
	p.text(s.Title)
	p.raw("</h3>")
	if len(s.Holds) > 0 {
		p.raw(`<div class="holds" role="group"`)
		p.attr("aria-label", p.w.MustHoldNow)
		p.raw("><span>")
		p.text(p.w.MustHoldNow)
		p.text(p.w.Colon())
		p.raw("</span>")
		for _, h := range s.Holds {
			label := h.ConditionTitle + " " + h.StateTitle
			if p.leads() {
				p.tick(s.ID+"-holds-"+h.Condition, "holds:"+h.Condition, label)
			} else {
				p.raw(" <span>")
				p.text(label)
				p.raw("</span>")
			}
		}
		p.raw("</div>")
	}
	p.raw("</div>\n")
	p.blocks(s.Body)
	p.raw("</section>\n")
}

// bar marks what is not as at the last release.
func (p *page) bar(changed bool) {
	if changed {
		p.raw(" changed")
	}
}

func (p *page) routine(r *document.Routine) {
	p.raw(`<section class="routine" data-kind="routine"`)
	p.raw("><h4>")
	p.text(r.Title)
	p.raw("</h4>\n")
	p.blocks(r.Body)
	p.raw("</section>\n")
}

func (p *page) step(s *document.Step) {
	p.raw(`<div class="step`)
	p.bar(s.Changed)
	p.raw(`" role="group" data-kind="step"`)
	p.attr("id", s.ID)
	p.raw(` aria-labelledby="n-`)
	p.int(s.Number)
	p.raw(`">`)
	for _, h := range s.Hazards {
		p.hazard(h)
	}
	p.raw(`<div class="row"><p class="no" id="n-`)
	p.int(s.Number)
	p.raw(`"><span class="away">`)
	p.text(upper(p.w.Step))
	p.raw(" </span><b>")
	p.int(s.Number)
	p.raw(`</b></p><div class="work"><p class="do">`)
	p.spans(s.Text)
	p.raw("</p>")
	if s.By != "" {
		p.raw(`<p class="by">`)
		p.text(p.w.By)
		p.text(p.w.Colon())
		p.raw("<strong>")
		p.text(s.By)
		p.raw("</strong></p>")
	}
	if len(s.Handled) > 0 {
		p.raw(`<p class="also">`)
		p.text(p.w.AlsoHandled)
		p.text(p.w.Colon())
		p.countedList(s.Handled)
		p.raw("</p>")
	}
	for _, t := range s.Details {
		p.raw(`<p class="detail">`)
		p.spans(t)
		p.raw("</p>")
	}
	for _, t := range s.Notes {
		p.raw(`<p class="note">`)
		p.spans(t)
		p.raw("</p>")
	}
	for _, f := range s.Figures {
		p.figure(f)
	}
	for _, v := range s.Videos {
		p.video(v)
	}
	if s.Time != "" {
		p.raw(`<p class="time">`)
		p.text(p.w.Time)
		p.text(p.w.Colon())
		p.prose(s.Time)
		p.raw("</p>")
	}
	p.hand(func() { p.handOf(s) })
	p.raw("</div>\n")
}

// hazard writes a safety message: it stands before its step, in the same
// element, so that neither is ever met without the other.
func (p *page) hazard(h *document.Hazard) {
	p.raw(`<div class="hazard `)
	p.text(h.Signal)
	p.raw(`" role="note"`)
	p.attr("aria-label", p.signalWord(h.Signal)+p.w.Colon()+h.Title)
	p.raw(`><p class="band">`)
	p.signal(h)
	p.raw(`</p><div class="message">`)
	if len(h.Signs) > 0 {
		p.raw(`<div class="signs">`)
		for _, s := range h.Signs {
			p.sign(s)
		}
		p.raw("</div>")
	}
	p.raw(`<div><p><strong>`)
	p.text(h.Title)
	p.raw("</strong></p><p>")
	p.text(h.Consequence)
	p.raw(" ")
	p.text(h.Avoid)
	p.raw("</p>")
	if len(h.Signs) > 0 {
		p.raw(`<p class="codes">ISO 7010 `)
		for i, s := range h.Signs {
			if i > 0 {
				p.raw(" · ")
			}
			p.text(s.Code)
			if s.Referent != "" {
				p.raw(" ")
				p.text(referent(s))
			}
		}
		p.raw("</p>")
	}
	p.raw("</div></div></div>")
}

func (p *page) video(v *document.Video) {
	p.raw(`<p class="video">`)
	p.text(p.w.Video)
	p.text(p.w.Colon())
	p.link(v.Link, v.Title)
	if v.From != "" || v.To != "" {
		p.raw(`, <span class="v">`)
		p.text(v.From)
		p.raw("–")
		p.text(v.To)
		p.raw("</span>")
	}
	p.raw("</p>")
}

func (p *page) repeat(r *document.Repeat) {
	p.raw(`<div class="repeat" data-kind="repeat"`)
	p.attr("id", r.ID)
	p.raw(`><p class="again`)
	p.bar(r.Changed)
	p.raw(`">`)
	p.text(fill(p.w.Screen.Repeat, "times", itoa(r.Times)))
	p.raw(`</p>`)
	p.raw("\n")
	p.loops = append(p.loops, loop{r, r.Times})
	for _, b := range r.Body {
		p.block(b)
		if _, ok := b.(*document.Until); ok {
			// After the last reading that is not good the rest is skipped.
			p.loops[len(p.loops)-1].turns = r.Times - 1
		}
	}
	p.loops = p.loops[:len(p.loops)-1]
	p.raw("</div>\n")
	if len(r.Otherwise) > 0 {
		p.raw(`<details class="branch" open data-kind="otherwise" data-state="open"`)
		p.attr("data-repeat", r.ID)
		p.raw("><summary><span>")
		p.text(r.LastTurn(p.w))
		p.raw(`</span><span class="state"></span></summary>`)
		p.raw("\n")
		p.blocks(r.Otherwise)
		p.raw("</details>\n")
	}
}

func (p *page) until(u *document.Until) {
	p.raw(`<div class="until`)
	p.bar(u.Changed)
	p.raw(`" data-kind="until" data-state="open"`)
	p.attr("data-until", u.On)
	p.raw("><p>")
	p.spans(u.Text)
	p.raw("</p>")
	for _, f := range u.Footnotes {
		p.raw(`<p class="foot">`)
		p.spans(f)
		p.raw("</p>")
	}
	p.raw("</div>\n")
}

// fill puts a value into the words of a sentence.
func fill(sentence string, pairs ...string) string {
	for i := 0; i+1 < len(pairs); i += 2 {
		sentence = strings.ReplaceAll(sentence, "{"+pairs[i]+"}", pairs[i+1])
	}
	return sentence
}

func (p *page) finish(f *document.Finish) {
	p.finished[f.ID] = true
	p.raw(`<div class="finish`)
	p.bar(f.Changed)
	p.raw(`" data-kind="finish"`)
	p.attr("id", f.ID)
	p.attr("data-outcome", f.Outcome)
	p.raw(`><p class="outcome">`)
	p.text(f.Title)
	p.raw("</p>")
	p.finishText(f)
	p.raw("</div>\n")
}

// finishText says what to do next and how the machine is left.
func (p *page) finishText(f *document.Finish) {
	w := p.w
	if f.Text != "" {
		p.raw("<p>")
		p.text(f.Text)
		p.raw("</p>")
	}
	if f.To != "" {
		p.raw("<p>")
		p.text(w.GoTo)
		p.raw(" ")
		href := ""
		if p.o.Href != nil {
			href = p.o.Href(f.To)
		}
		p.link(href, f.ToTitle)
		p.raw(" ")
		p.id(f.ToNumber)
		p.raw("</p>")
	}
	if len(f.Leaves) > 0 {
		p.raw("<p>")
		p.text(w.Leaves)
		p.text(p.w.Colon())
		for i, s := range f.Leaves {
			if i > 0 {
				p.raw(", ")
			}
			p.state(s)
		}
		p.raw("</p>")
	}
	if len(f.Off) > 0 {
		p.raw("<p>")
		p.text(w.OffLabel(f))
		p.text(p.w.Colon())
		p.countedList(f.Off)
		p.raw("</p>")
	}
	if len(f.On) > 0 {
		p.raw("<p>")
		p.text(w.LeftOn)
		p.text(p.w.Colon())
		p.countedList(f.On)
		p.raw("</p>")
	}
}
