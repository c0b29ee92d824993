package pdf

import (
	"fmt"
	"strconv"
	"strings"

	"benchproof/compiler/document"
	"benchproof/render/look"
)

// What stands before the steps: title, job, what changed, the state of the
// machine, the safety summary. The control block is in part_control.go, what is
// needed in part_need.go.

// title is the head of the first page.
func (g *galley) title() {
	d := g.doc
	width := g.right - g.left
	numberW := max(width*0.22, textWidth(bold, look.TitleSize, d.Number)+4)
	numberW = min(numberW, width*0.4)
	titleW := width - numberW - 12
	g.add(row{left: g.left, right: g.right, padUnder: 2, marks: []bookmark{{level: 0, title: strings.TrimSpace(d.Number + " " + d.Title)}},
		cells: []cell{
			{x: g.left, atoms: g.para(g.root.child("H1"), look.TitleSize, titleW, strong(d.Title))},
			{x: g.right - numberW, atoms: g.aligned(g.root.child("P"), look.TitleSize, numberW, rightward, piece{text: d.Number, style: bold})}}})
	g.held = true
	revision := []piece{plain(g.w.Revision + " "), strong(d.Revision)}
	if d.Date != "" {
		revision = append(revision, plain(" · "), piece{text: g.w.DateText(d.Date), whole: true})
	}
	var sub []piece
	if d.Purpose != "" {
		sub = append(sub, plain(d.Purpose))
	}
	for _, c := range d.For {
		if len(sub) > 0 {
			sub = append(sub, plain(" · "))
		}
		sub = append(sub, strong(c.MemberTitle))
	}
	half := 1.0
	for _, p := range revision {
		half += textWidth(p.style, look.TextSize, p.text)
	}
	half = min(half, width/2)
	g.add(row{left: g.left, right: g.right, padUnder: 4,
		cells: []cell{
			{x: g.left, atoms: g.para(g.root.child("P"), look.TextSize, width-half-12, sub...)},
			{x: g.right - half, atoms: g.aligned(g.root.child("P"), look.TextSize, half, rightward, revision...)}}})
}

// draft says on the first page why nobody may work from this.
func (g *galley) draft() {
	if !g.doc.Barred() {
		return
	}
	large, note := g.doc.BarredWords()
	g.part(large, "")
	g.add(row{left: g.left, right: g.right, padTop: 2, padUnder: 4,
		cells: []cell{{x: g.left, atoms: g.para(g.sect.child("P"), look.StepSize, g.right-g.left, plain(note))}}})
	if g.doc.Release.State == document.Withdrawn {
		g.held = true
		g.add(row{left: g.left, right: g.right, padTop: 2, padUnder: 4,
			cells: []cell{{x: g.left, atoms: g.para(g.sect.child("P"), look.StepSize, g.right-g.left, strong(g.doc.Release.Text+". "), plain(g.w.Reason+g.w.Colon()+g.doc.Release.Reason))}}})
	}
	if len(g.doc.Messages) == 0 {
		return
	}
	g.held = true
	g.add(row{left: g.left, right: g.right, padTop: 2, padUnder: 2,
		cells: []cell{{x: g.left, atoms: g.para(g.sect.child("H3"), look.TextSize, g.right-g.left, strong(g.w.WhatIsWrong))}}})
	g.held = true
	list := g.sect.child("L")
	list.attr = unordered
	for _, m := range g.doc.Messages {
		li := list.child("LI")
		lbl := li.child("Lbl")
		g.add(row{left: g.left, right: g.right, padTop: 1, padUnder: 2,
			cells: []cell{{x: g.left, atoms: g.para(lbl, look.TextSize, 12, plain("–"))},
				{x: g.left + 12, atoms: g.para(li.child("LBody"), look.TextSize, g.right-g.left-12, plain(m))}}})
	}
}

func (g *galley) whatChanged() {
	if len(g.doc.Revisions) == 0 {
		return
	}
	r := g.doc.Revisions[0]
	g.part(g.w.WhatChanged, g.w.Revision+" "+r.Revision)
	g.add(row{left: g.left, right: g.right, padTop: 1, padUnder: 3, changed: true,
		cells: []cell{{x: g.left, atoms: g.para(g.sect.child("P"), look.TextSize, g.right-g.left, plain(r.Note))}}})
	if g.doc.Release.Bars != "" {
		g.held = true
		g.add(row{left: g.left, right: g.right, padTop: 1, padUnder: 3,
			cells: []cell{{x: g.left, atoms: g.para(g.sect.child("P"), look.TextSize, g.right-g.left, plain(g.doc.Release.Bars))}}})
	}
}

// before is the state the machine must be in, a tick for each condition, and
// what is made safe on the way.
func (g *galley) before() {
	d := g.doc
	if len(d.Begins)+len(d.BeginsWithout)+len(d.Isolation) == 0 {
		return
	}
	g.part(g.w.BeforeYouStart, g.w.LeaveAsFound)
	list := g.sect.child("L")
	list.attr = unordered
	line := func(id, tip string, words ...piece) {
		body := list.child("LI").child("LBody")
		r := row{left: g.left, right: g.right, padTop: 3, padUnder: 3, hand: true, cut: politely,
			cells: []cell{{x: g.textX, atoms: g.para(body.child("P"), look.StepSize, g.textW, words...)},
				{x: g.boxX, top: 1, atoms: g.tick(body, id, tip, g.boxW, plain(g.w.Checked))}}}
		g.add(r)
	}
	for _, s := range d.Begins {
		line("begins-"+s.Condition, g.w.BeforeYouStart+g.w.Colon()+s.ConditionTitle+" "+s.StateTitle, plain(s.ConditionTitle+" "), strong(s.StateTitle))
	}
	for i, c := range d.BeginsWithout {
		words := append([]piece{plain(g.w.NotOnMachine + g.w.Colon())}, g.counted([]document.Counted{c})...)
		line("without-"+strconv.Itoa(i+1), g.w.NotOnMachine+g.w.Colon()+c.Thing.Title, words...)
	}
	if len(d.Isolation) > 0 {
		g.isolation()
	}
}

func (g *galley) isolation() {
	titles := []string{g.w.Isolation, capital(g.w.LockedBy), capital(g.w.ProvedWith), g.w.Who + ", " + strings.ToLower(g.w.When)}
	cols := g.columns(g.left, g.handX-handPad, titles[:3], -1.1, -1, -1.1)
	cols = append(cols, column{x: g.boxX, w: g.boxW, title: titles[3]})
	t := g.table(g.left, g.right, true, cols)
	for i, s := range g.doc.Isolation {
		stepOf := func(n int) []piece {
			if n == 0 {
				return nil
			}
			return []piece{{text: g.w.Step + "\u00a0" + strconv.Itoa(n), whole: true, to: g.stepTarget(n)}}
		}
		join := func(words string, step []piece) []piece {
			var out []piece
			if words != "" {
				out = append(out, plain(words))
				if step != nil {
					out = append(out, plain(", "))
				}
			}
			return append(out, step...)
		}
		var proof []piece
		if s.ProvedWith != nil {
			proof = append(g.thing(s.ProvedWith, 1), plain(", "))
			proof = append(proof, join(s.ProvedBy, stepOf(s.ProvedStep))...)
			if s.ProvedBy == "" && s.ProvedStep == 0 {
				proof = proof[:len(proof)-1]
			}
		} else {
			proof = []piece{plain("–")}
		}
		name := "isolation-" + strconv.Itoa(i+1)
		tip := s.State.ConditionTitle + " " + s.State.StateTitle
		t.row(
			g.text(plain(s.State.ConditionTitle+" "), strong(s.State.StateTitle)),
			g.text(join(s.MadeBy, stepOf(s.MadeStep))...),
			g.text(proof...),
			func(e *elem, w float64) []atom {
				if g.doc.Barred() {
					return nil
				}
				half := (w - 4) / 2
				a := g.entry(e, name+"-who", tip+", "+g.w.Who, half, boxHeight, "", false)
				return []atom{beside(a, g.entry(e, name+"-when", tip+", "+g.w.When, half, boxHeight, "", false), half+4)}
			})
	}
}

// safety is the grouped safety message of ANSI Z535.6: all hazards, worst
// first, with the steps that carry them.
func (g *galley) safety() {
	g.part(g.w.SafetySummary, "")
	if len(g.doc.Hazards) > 0 {
		cols := g.columns(g.left, g.right, []string{g.w.Signal, g.w.Hazard, g.w.WhatToDo, g.w.Steps}, g.signalWidth(), -1, -2.4, -0.6)
		t := g.table(g.left, g.right, false, cols)
		for _, u := range g.doc.Hazards {
			h := u.Hazard
			t.row(
				func(e *elem, w float64) []atom { return g.signalCell(e, h, w) },
				g.text(strong(h.Title)),
				stacked(g.text(plain(h.Consequence+" "), plain(h.Avoid)), g.text(g.when(u.Always, u.Only)...)),
				g.text(g.stepList(u.Steps)...))
		}
		g.protective()
	}
	g.add(row{left: g.left, right: g.right, above: look.ThinLine, padTop: 5, padUnder: 2,
		cells: []cell{{x: g.left, atoms: g.para(g.sect.child("P"), look.TextSize, g.right-g.left, plain(g.w.LocalRules))}}})
}

// signalWidth is what the longest signal word of the language takes, with the
// alert symbol before it.
func (g *galley) signalWidth() float64 {
	const least, around = 82, 26
	w := float64(least)
	for _, word := range []string{g.w.Danger, g.w.Warning, g.w.Caution, g.w.Notice} {
		w = max(w, textWidth(bold, look.SmallSize, word)+around)
	}
	return w
}

// when says that something is needed on some paths only.
func (g *galley) when(always bool, only string) []piece {
	if always || only == "" {
		return nil
	}
	return []piece{{text: only, style: italic}}
}

// signalCell is a signal word on its colour, its signs under it.
func (g *galley) signalCell(e *elem, h *document.Hazard, w float64) []atom {
	panel, ok := look.PanelFor(h.Signal)
	if !ok {
		g.fail(fmt.Errorf("pdf: hazard %s has an unknown signal word %q", h.Name, h.Signal))
		return nil
	}
	const high = 17.0
	a := atom{h: high}
	a.items = append(a.items, item{kind: groundItem, w: w, h: high, fill: &panel.Ground})
	x := 5.0
	if panel.Alert {
		s := panel.AlertSymbol()
		const sw = 11.0
		sh := sw * s.Height / s.Width
		a.items = append(a.items, item{kind: drawingItem, x: x, y: (high - sh) / 2, w: sw, h: sh, drawing: lookDrawing(s)})
		x += sw + 4
	}
	words := g.label(e.child("P"), bold, look.SmallSize, x, (high-leading(look.SmallSize))/2, g.signal(h.Signal))
	for i := range words {
		words[i].tint = panel.Letters
	}
	a.items = append(a.items, words...)
	out := []atom{a}
	if len(h.Signs) > 0 {
		const size = 24.0
		per := max(1, int((w+3)/(size+3)))
		out = append(out, gap(4))
		for i := 0; i < len(h.Signs); i += per {
			line := atom{h: size + 2}
			for j, s := range h.Signs[i:min(i+per, len(h.Signs))] {
				signs, _ := g.signs(e, []document.Sign{s}, size)
				for _, sa := range signs {
					line = beside(line, sa, float64(j)*(size+3))
				}
			}
			line.h = size + 2
			out = append(out, line)
		}
	}
	return []atom{merge(out)}
}

// protective is what must be worn, with the steps that ask for it: it is never
// pooled into one list for the whole job.
func (g *galley) protective() {
	type wear struct {
		sign  document.Sign
		steps []int
	}
	var all []*wear
	byCode := map[string]*wear{}
	for _, s := range g.doc.Steps {
		for _, h := range s.Hazards {
			for _, sign := range h.Signs {
				if !sign.Protective {
					continue
				}
				w := byCode[sign.Code]
				if w == nil {
					w = &wear{sign: sign}
					byCode[sign.Code] = w
					all = append(all, w)
				}
				if n := len(w.steps); n == 0 || w.steps[n-1] != s.Number {
					w.steps = append(w.steps, s.Number)
				}
			}
		}
	}
	if len(all) == 0 {
		return
	}
	cols := g.columns(g.left, g.right, []string{g.w.Protective, "", g.w.Steps}, 24, -2, -1.2)
	cols[0].w = 200 // the title may reach over the words; the sign does not
	t := g.table(g.left, g.right, false, cols)
	for _, w := range all {
		t.row(
			func(e *elem, _ float64) []atom { s, _ := g.signs(e, []document.Sign{w.sign}, 22); return s },
			g.text(plain(w.sign.Referent+" "), piece{text: "(" + w.sign.Code + ")", whole: true}),
			g.text(g.stepList(w.steps)...))
	}
}

// capital gives a fixed word its first capital.
func capital(s string) string {
	for i, r := range s {
		if i == 0 {
			return strings.ToUpper(string(r)) + s[len(string(r)):]
		}
	}
	return s
}

// flat is a text without its styles.
func flat(t document.Text) string {
	var b strings.Builder
	for _, s := range t {
		b.WriteString(s.Text)
	}
	return b.String()
}
