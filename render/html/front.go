package html

import (
	"slices"
	"strings"

	"benchproof/compiler/document"
	"benchproof/render/flowmap"
	"benchproof/render/look"
)

// front writes everything that stands before the steps.
func (p *page) front() {
	p.title()
	p.control()
	p.job()
	p.changes()
	p.before()
	p.safety()
	p.needs()
	p.jobMap()
}

func (p *page) title() {
	d, w := p.doc, p.w
	if d.Barred() {
		p.raw(`<div class="draft-note" role="note"><p class="not-for-work">`)
		_, note := d.BarredWords()
		p.barred()
		p.raw("</p><p>")
		p.text(note)
		p.raw("</p>")
		if d.Release.State == document.Withdrawn {
			p.raw("<p>")
			p.text(d.Release.Text)
			p.raw("</p><p>")
			p.text(w.Reason + w.Colon() + d.Release.Reason)
			p.raw("</p>")
		}
		if len(d.Messages) > 0 {
			p.raw("<ul>")
			for _, m := range d.Messages {
				p.raw("<li>")
				p.text(m)
				p.raw("</li>")
			}
			p.raw("</ul>")
		}
		p.raw("</div>\n")
	}
	p.raw(`<header><div class="head"><h1>`)
	p.text(d.Title)
	p.raw(`</h1><p class="number"><span class="away">`)
	p.text(w.Document)
	p.raw(" </span>")
	p.text(d.Number)
	p.raw("</p></div>\n<div class=\"head under\"><p>")
	p.appliesTo()
	if d.Purpose != "" {
		if len(d.AppliesTo) > 0 {
			p.raw(" · ")
		}
		p.text(d.Purpose)
	}
	p.raw("</p><p>")
	p.text(w.Revision)
	p.raw(" ")
	p.text(d.Revision)
	p.raw(` · <span class="v">`)
	p.text(p.w.DateText(d.Date))
	p.raw("</span>")
	// The control block says who released it; that nobody did stands here as well.
	if d.Release.Text != "" && d.Release.State != document.Released {
		p.raw(`<br><span class="standing"`)
		p.attr("data-state", string(d.Release.State))
		p.raw(">")
		p.text(d.Release.Text)
		p.raw("</span>")
	}
	p.raw("</p></div>\n")
	if p.leads() {
		p.raw(`<div id="notice"></div>`)
	}
	p.raw("</header>\n")
}

func (p *page) appliesTo() {
	for i, f := range p.doc.AppliesTo {
		if i > 0 {
			p.raw("; ")
		}
		p.text(f.Title)
		p.text(p.w.Colon())
		for j, m := range f.Members {
			if j > 0 {
				p.raw(", ")
			}
			p.text(m.Title)
		}
	}
}

// field writes one field of the control block, after ISO 7200: a small name
// over its value.
func (p *page) field(name, value string, strong bool) {
	p.raw("<div><dt>")
	p.text(name)
	if strong {
		p.raw(`</dt><dd class="strong">`)
	} else {
		p.raw("</dt><dd>")
	}
	p.text(value)
	p.raw("</dd></div>")
}

func (p *page) control() {
	d, w := p.doc, p.w
	p.raw("<dl class=\"block control\">")
	p.field(w.Owner, owner(d), false)
	p.field(w.Screen.DocumentType, w.WorkInstruction, false)
	p.field(w.Document, d.Number, true)
	p.field(w.Revision, d.Revision, true)
	p.field(w.Date, w.DateText(d.Date), false)
	if d.Skill != "" {
		p.field(w.Skill, d.Skill, false)
	}
	if d.Time != nil {
		value := d.Time.Least
		if d.Time.Most != d.Time.Least {
			value += " – " + d.Time.Most
		}
		p.field(w.ExpectedTime, value, false)
	}
	if d.Release.Text != "" {
		p.field(w.Standing, d.Release.Text, false)
	}
	p.field(w.Fingerprint, d.Edition(groups), false)
	p.raw("</dl>\n<p class=\"current\">")
	p.text(w.CheckCurrent)
	p.raw("</p>\n")
}

// owner is who answers for the document: where the library names nobody, the
// library.
func owner(d *document.Document) string {
	if d.Owner == "" {
		return d.Library
	}
	return d.Owner
}

// groups parts a fingerprint every four digits, so that it can be compared.
func groups(s string) string {
	var b strings.Builder
	for i, r := range s {
		if i > 0 && i%4 == 0 {
			b.WriteByte(' ')
		}
		b.WriteRune(r)
	}
	return b.String()
}

// job writes the boxes that say which job this sheet belongs to, and the
// choice of the member where the document is for several.
func (p *page) job() {
	if !p.leads() {
		return
	}
	w := p.w
	p.heading("job", w.Job)
	p.raw(`<div class="block job">`)
	for _, f := range [...]struct {
		name  markup
		title string
	}{{"order", w.WorkOrder}, {"machine", w.Machine}, {"serial", w.SerialNumber}, {"who", w.Who}, {"date", w.JobDate}} {
		p.raw(`<label>`)
		p.text(f.title)
		p.raw(`<input type="text" autocomplete="off" maxlength="200" id="job-`)
		p.raw(f.name)
		p.raw(`" name="job:`)
		p.raw(f.name)
		p.raw(`"></label>`)
	}
	p.raw("</div>\n<div class=\"row plain\"><div class=\"work\">")
	p.text(w.AppliesTo)
	p.raw(" ")
	if len(p.doc.For) > 0 {
		for i, c := range p.doc.For {
			if i > 0 {
				p.raw(", ")
			}
			p.raw("<strong>")
			p.text(c.MemberTitle)
			p.raw("</strong>")
		}
	} else {
		p.appliesTo()
	}
	p.raw(`</div><div class="hand">`)
	for _, f := range p.doc.AppliesTo {
		if len(f.Members) < 2 {
			continue
		}
		p.raw(`<fieldset class="choice" data-box`)
		p.attr("id", "member-"+f.Variant)
		p.raw("><legend>")
		p.text(f.Title)
		p.raw("</legend>")
		for i, m := range f.Members {
			p.radio(f.Variant, m.Name, "member-"+f.Variant, i, m.Title)
		}
		p.raw("</fieldset>")
	}
	p.tick("nameplate", "nameplate", w.NameplateCheck)
	p.raw("</div></div>\n</section>\n")
}

// radio writes one of several answers.
func (p *page) radio(name, value, box string, n int, title string) {
	p.raw(`<label class="tick"><input type="radio"`)
	p.attr("name", name)
	p.attr("value", value)
	p.raw(` id="`)
	p.b = appendText(p.b, box)
	p.raw("-")
	p.int(n + 1)
	p.raw(`"><span>`)
	p.text(title)
	p.raw("</span></label>")
}

// tick writes a box to tick, with its label.
func (p *page) tick(id, name, label string) {
	p.raw(`<label class="tick"><input type="checkbox"`)
	p.attr("id", id)
	p.attr("name", name)
	p.raw("><span>")
	p.prose(label)
	p.raw("</span></label>")
}

// heading begins a part of the sheet; the part ends with its section.
func (p *page) heading(id markup, title string) {
	p.raw(`<section class="part" id="`)
	p.raw(id)
	p.raw(`"><h2>`)
	p.text(title)
	p.raw("</h2>\n")
}

func (p *page) changes() {
	if len(p.doc.Revisions) == 0 || p.doc.Revisions[0].Note == "" {
		return
	}
	p.heading("changes", p.w.WhatChanged)
	r := p.doc.Revisions[0]
	p.raw(`<p><strong>`)
	p.text(r.Revision)
	p.raw("</strong> · ")
	p.text(p.w.DateText(r.Date))
	p.raw(" · ")
	p.text(r.Note)
	p.raw("</p>\n")
	if bars := p.doc.Release.Bars; bars != "" {
		p.raw(`<p class="small">`)
		p.text(bars)
		p.raw("</p>\n")
	}
	p.raw("</section>\n")
}

// hand opens the hand's column of a row; in a draft there is none.
func (p *page) hand(write func()) {
	if p.leads() {
		p.raw(`</div><div class="hand">`)
		write()
	}
	p.raw("</div></div>\n")
}

func (p *page) before() {
	d, w := p.doc, p.w
	if len(d.Begins)+len(d.BeginsWithout)+len(d.Isolation) == 0 {
		return
	}
	p.raw(`<section class="part" id="before"><div class="beside"><h2>`)
	p.text(w.BeforeYouStart)
	p.raw("</h2><p>")
	p.text(w.LeaveAsFound)
	p.raw("</p></div>\n")
	for _, s := range d.Begins {
		p.raw(`<div class="row plain"><div class="work">`)
		p.state(s)
		p.hand(func() { p.tick("begins-"+s.Condition, "begins:"+s.Condition, w.Checked) })
	}
	if len(d.BeginsWithout) > 0 {
		p.raw(`<div class="row plain"><div class="work">`)
		p.text(w.NotOnMachine)
		p.text(p.w.Colon())
		p.countedList(d.BeginsWithout)
		p.hand(func() { p.tick("begins-without", "begins:", w.Checked) })
	}
	if len(d.Isolation) > 0 {
		p.raw(`<table class="isolation"><caption>`)
		p.text(w.Isolation)
		p.raw("</caption><thead><tr>")
		p.th(w.Condition, w.By, upper(w.ProvedWith), w.When)
		p.raw("</tr></thead><tbody>")
		for _, i := range d.Isolation {
			p.raw(`<tr><th scope="row">`)
			p.state(i.State)
			p.raw("</th><td>")
			p.text(i.MadeBy)
			p.raw("</td><td>")
			if i.ProvedWith != nil {
				p.thing(i.ProvedWith)
				if i.ProvedBy != "" {
					p.raw(" (")
					p.text(i.ProvedBy)
					p.raw(")")
				}
			} else {
				p.raw("–")
			}
			p.raw("</td><td>")
			var steps []int
			for _, n := range [...]int{i.MadeStep, i.ProvedStep} {
				if n > 0 {
					steps = append(steps, n)
				}
			}
			if i.MadeStep == 0 {
				p.text(w.Start)
				if len(steps) > 0 {
					p.raw(", ")
				}
			}
			if len(steps) > 0 {
				p.text(w.Step)
				p.raw(" ")
				p.stepLinks(steps)
			}
			p.raw("</td></tr>")
		}
		p.raw("</tbody></table>\n")
	}
	p.raw("</section>\n")
}

// th writes the heads of a table.
func (p *page) th(titles ...string) {
	for _, t := range titles {
		p.raw(`<th scope="col">`)
		p.text(t)
		p.raw("</th>")
	}
}

func (p *page) safety() {
	d, w := p.doc, p.w
	p.heading("safety", w.SafetySummary)
	if len(d.Hazards) > 0 {
		p.raw(`<table class="safety"><thead><tr>`)
		p.th(w.Signal, w.Hazard, w.WhatToDo, w.Steps)
		p.raw("</tr></thead><tbody>")
		for _, u := range d.Hazards {
			h := u.Hazard
			p.raw(`<tr><td>`)
			p.signal(h)
			p.raw(`</td><th scope="row">`)
			p.text(h.Title)
			p.raw("</th><td>")
			p.text(h.Consequence)
			p.raw(" ")
			p.text(h.Avoid)
			p.signNumbers(h.Signs)
			p.only(u.Always, u.Only, true)
			p.raw("</td><td")
			p.attr("data-head", w.Steps)
			p.raw(">")
			p.stepLinks(u.Steps)
			p.raw("</td></tr>")
		}
		p.raw("</tbody></table>\n")
	}
	p.protective()
	p.raw(`<p class="rules">`)
	p.text(w.LocalRules)
	p.raw("</p>\n</section>\n")
}

// only says when a thing is needed, where it is not always.
func (p *page) only(always bool, only string, own bool) {
	if always {
		return
	}
	if own {
		p.raw("<br>")
	}
	if only == "" {
		p.text(p.w.OnlyIf)
		return
	}
	p.text(only)
}

// signal writes the signal word on its colour.
func (p *page) signal(h *document.Hazard) {
	word := p.signalWord(h.Signal)
	panel, ok := look.PanelFor(h.Signal)
	if !ok {
		return
	}
	p.raw(`<span class="signal `)
	p.text(h.Signal)
	p.raw(`">`)
	if panel.Alert {
		p.raw(`<svg class="alert" aria-hidden="true" focusable="false"><use href="#alert-`)
		p.text(h.Signal)
		p.raw(`"/></svg>`)
		p.useSign("alert-" + h.Signal)
	}
	p.text(word)
	p.raw("</span>")
}

func (p *page) signNumbers(signs []document.Sign) {
	if len(signs) == 0 {
		return
	}
	p.raw(` <span class="codes">`)
	for i, s := range signs {
		if i > 0 {
			p.raw(", ")
		}
		p.text(s.Code)
	}
	p.raw("</span>")
}

// protective says what is worn, by step: it is not pooled, because gloves that
// one step asks for may be what another forbids.
func (p *page) protective() {
	type worn struct {
		sign  document.Sign
		steps []int
	}
	var list []worn
	at := map[string]int{}
	for _, s := range p.doc.Steps {
		for _, h := range s.Hazards {
			for _, sign := range h.Signs {
				if !sign.Protective {
					continue
				}
				i, ok := at[sign.Code]
				if !ok {
					i = len(list)
					at[sign.Code] = i
					list = append(list, worn{sign: sign})
				}
				if n := len(list[i].steps); n == 0 || list[i].steps[n-1] != s.Number {
					list[i].steps = append(list[i].steps, s.Number)
				}
			}
		}
	}
	if len(list) == 0 {
		return
	}
	p.raw(`<table class="protective"><thead><tr>`)
	p.th(p.w.Protective, p.w.Steps)
	p.raw("</tr></thead><tbody>")
	for _, x := range list {
		p.raw(`<tr><th scope="row">`)
		p.sign(x.sign)
		p.text(referent(x.sign))
		p.raw(` <span class="codes">`)
		p.text(x.sign.Code)
		p.raw("</span></th><td>")
		p.stepLinks(x.steps)
		p.raw("</td></tr>")
	}
	p.raw("</tbody></table>\n")
}

// referent is what a sign means, without the word of its family in front.
func referent(s document.Sign) string {
	if _, rest, ok := strings.Cut(s.Referent, "; "); ok {
		return upper(rest)
	}
	return s.Referent
}

func (p *page) needs() {
	d, w := p.doc, p.w
	if len(d.Tools)+len(d.Parts)+len(d.Consumables) == 0 {
		return
	}
	p.heading("needs", w.WhatYouNeed)
	var tools, instruments []document.Need
	for _, n := range d.Tools {
		if n.Thing.Instrument {
			instruments = append(instruments, n)
		} else {
			tools = append(tools, n)
		}
	}
	p.raw(`<div class="pair">`)
	p.needTable(w.Tools, tools, true)
	p.raw("<div>")
	p.needTable(w.Parts, d.Parts, false)
	p.needTable(w.Consumables, d.Consumables, false)
	p.raw("</div></div>\n")
	p.instruments(instruments)
	p.kits()
	p.raw("</section>\n")
}

// needTable lists things: those that are always needed first, then those that
// only some ways through the job need.
func (p *page) needTable(title string, needs []document.Need, tools bool) {
	if len(needs) == 0 {
		return
	}
	w := p.w
	p.raw(`<div class="scroll"><table><thead><tr>`)
	if tools {
		p.th(title, w.Number, w.UsedFor, w.Steps)
	} else {
		p.th(title, w.Number, w.Quantity, w.Steps)
	}
	p.raw("</tr></thead>")
	for _, always := range [...]bool{true, false} {
		head := false
		for _, n := range needs {
			if n.Always != always {
				continue
			}
			if !head {
				head = true
				p.raw(`<tbody><tr class="when"><th scope="rowgroup" colspan="4">`)
				if always {
					p.text(w.Always)
				} else {
					p.text(w.OnlyIf)
				}
				p.raw("</th></tr>")
			}
			p.need(n, tools)
		}
		if head {
			p.raw("</tbody>")
		}
	}
	p.raw("</table></div>\n")
}

func (p *page) need(n document.Need, tool bool) {
	t := n.Thing
	p.raw(`<tr><th scope="row">`)
	p.text(t.Title)
	for _, s := range [...]string{t.Detail, t.Mass} {
		if s != "" {
			p.raw(", ")
			p.prose(s)
		}
	}
	if n.Kit != nil {
		p.raw(`<br><span class="small">`)
		p.text(p.w.Kit)
		p.raw(" ")
		p.text(n.Kit.Number)
		p.raw("</span>")
	}
	p.raw("</th><td>")
	if t.Number != "" {
		p.id(t.Number)
	} else {
		p.raw("–")
	}
	p.raw("</td><td>")
	if !tool || n.Count > 1 {
		p.int(n.Count)
	}
	if tool && n.For != "" {
		if n.Count > 1 {
			p.raw(", ")
		}
		p.text(n.For)
	}
	if !n.Always && n.Only != "" {
		if !tool || n.Count > 1 || n.For != "" {
			p.raw(", ")
		}
		p.text(n.Only)
	}
	p.raw("</td><td>")
	p.stepLinks(n.Steps)
	p.raw("</td></tr>")
}

// instruments has boxes for the serial number and the calibration of each.
func (p *page) instruments(needs []document.Need) {
	if len(needs) == 0 {
		return
	}
	w := p.w
	p.raw(`<div class="scroll" tabindex="0" role="group"`)
	p.attr("aria-label", w.Instruments)
	p.raw(`><table class="instruments"><thead><tr>`)
	p.th(w.Instruments, w.Number, w.UsedFor, w.Steps)
	if p.leads() {
		p.th(w.SerialNumber, w.Calibrated)
	}
	p.raw("</tr></thead><tbody>")
	for _, n := range needs {
		t := n.Thing
		p.raw(`<tr><th scope="row">`)
		p.text(t.Title)
		for _, s := range [...]string{t.Detail, t.Range, t.Scale} {
			if s != "" {
				p.raw(", ")
				p.prose(s)
			}
		}
		p.raw("</th><td>")
		p.id(t.Number)
		p.raw("</td><td>")
		p.text(n.For)
		if !n.Always && n.Only != "" {
			p.raw(", ")
			p.text(n.Only)
		}
		p.raw("</td><td")
		p.attr("data-head", w.Steps)
		p.raw(">")
		p.stepLinks(n.Steps)
		p.raw("</td>")
		if p.leads() {
			for _, f := range [...]struct {
				kind  markup
				title string
			}{{"serial", w.SerialNumber}, {"calibrated", w.Calibrated}} {
				p.raw(`<td><input type="text" class="write" autocomplete="off" maxlength="200" id="`)
				p.raw(f.kind)
				p.raw("-")
				p.text(t.Name)
				p.raw(`" name="`)
				p.raw(f.kind)
				p.raw(":")
				p.text(t.Name)
				p.raw(`"`)
				p.attr("aria-label", f.title+", "+t.Title)
				p.raw("></td>")
			}
		}
		p.raw("</tr>")
	}
	p.raw("</tbody></table></div>\n")
}

func (p *page) kits() {
	for _, k := range p.doc.Kits {
		p.raw(`<p class="small">`)
		p.text(k.Title)
		if k.Number != "" {
			p.raw(" ")
			p.id(k.Number)
		}
		p.text(p.w.Colon())
		for i, t := range k.Holds {
			if i > 0 {
				p.raw(", ")
			}
			p.thing(t)
		}
		p.raw("</p>\n")
	}
}

// mapWidth is the width of the map in points: that of the sheet at arm's
// length.
const mapWidth = 700

func (p *page) jobMap() {
	m, w := p.doc.Map, p.w
	if len(m.Nodes) == 0 {
		return
	}
	m.Nodes, m.Edges = slices.Clone(m.Nodes), slices.Clone(m.Edges)
	for i := range m.Nodes {
		m.Nodes[i].Label, m.Nodes[i].Detail = clean(m.Nodes[i].Label), clean(m.Nodes[i].Detail)
	}
	for i := range m.Edges {
		m.Edges[i].Label = clean(m.Edges[i].Label)
	}
	sheets, err := flowmap.Layout(m, flowmap.Options{Width: mapWidth, MaxHeight: 900, Measure: measure})
	if err != nil {
		p.fail(err)
		return
	}
	p.heading("map", w.JobMap)
	p.raw(`<div class="map scroll" tabindex="0" role="group"`)
	p.attr("aria-label", w.JobMap)
	p.raw(">")
	for i := range sheets {
		title := w.JobMap
		if len(sheets) > 1 {
			title += " " + itoa(i+1) + " " + w.Of + " " + itoa(len(sheets))
		}
		// An image has no links in it for a screen reader; a group has.
		p.b = flowmap.AppendSVG(p.b, sheets[i], title, "group", func(b flowmap.Box) string {
			switch {
			case b.Node < 0 || b.Node >= len(m.Nodes):
				return ""
			case m.Nodes[b.Node].Finish != "":
				return "#" + m.Nodes[b.Node].Finish
			case m.Nodes[b.Node].Step > 0:
				return "#step-" + itoa(m.Nodes[b.Node].Step)
			}
			return ""
		})
	}
	p.raw("</div>\n")
	if len(m.Text) > 0 {
		p.raw(`<details class="words" open><summary>`)
		p.text(w.MapInWords)
		p.raw("</summary><ol>")
		for _, line := range m.Text {
			p.raw("<li>")
			p.text(line)
			p.raw("</li>")
		}
		p.raw("</ol></details>\n")
	}
	p.raw("</section>\n")
}

// measure gives the width of a text in the widest sans that a device is likely
// to show, so that no label runs over its box: advances of a wide-set humanist
// sans, in thousandths of the size.
func measure(text string, size float64) float64 {
	units := 0
	for _, r := range text {
		switch {
		case r == ' ' || r == '.' || r == ',' || r == ':' || r == 'i' || r == 'j' || r == 'l' || r == 'I' || r == '\'' || r == '|':
			units += 318
		case r == 'm' || r == 'w' || r == 'M' || r == 'W' || r == '@' || r == '%' || r == '—':
			units += 950
		case r >= '0' && r <= '9' || r >= 'a' && r <= 'z':
			units += 620
		case r >= 'A' && r <= 'Z':
			units += 730
		case r < 0x80:
			units += 600
		case r >= 0x2e80:
			units += 1000
		default:
			units += 700
		}
	}
	return float64(units) * size / 1000
}
