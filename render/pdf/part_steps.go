package pdf

import (
	"fmt"
	"strconv"

	"benchproof/compiler/document"
	"benchproof/render/look"
)

// The steps: stages, routines, steps with their hazards, finishes. Decisions
// and repeats are in part_flow.go.

const (
	rowTop   = 7.0
	rowUnder = 8.0
	// The base line of a step's words is that of its number; boxes stand with
	// their middle at the middle of the first line.
	textDrop = 3.6
	boxDrop  = 4.4
)

// blocks sets blocks in order. A kind it does not know is an error, never
// skipped: it may carry a hazard.
func (g *galley) blocks(bs []document.Block) {
	for _, b := range bs {
		switch b := b.(type) {
		case *document.Stage:
			g.stage(b)
		case *document.Routine:
			g.routine(b)
		case *document.Step:
			g.step(b)
		case *document.Decision:
			g.decision(b)
		case *document.Repeat:
			g.repeat(b)
		case *document.Until:
			g.until(b, nil)
		case *document.Finish:
			g.finish(b)
		default:
			g.fail(fmt.Errorf("pdf: unknown kind of block %T", b))
		}
	}
}

func (g *galley) stage(s *document.Stage) {
	g.sect = g.root.child("Sect")
	g.list = nil
	g.heading("H2", 1, look.HeadingSize, s.Title, piece{}, s.ID, 16, s.Changed)
	if len(s.Holds) > 0 {
		g.held = true
		words := g.para(g.sect.child("P"), look.SmallSize, g.textW, plain(capital(g.w.MustHoldNow)))
		r := row{left: g.left, right: g.right, padTop: 2, padUnder: 6, hand: true,
			cells: []cell{{x: g.textX, top: 1, atoms: words}}}
		var hand []atom
		for i, h := range s.Holds {
			if i > 0 {
				hand = append(hand, gap(4))
			}
			label := []piece{plain(h.ConditionTitle + " "), strong(h.StateTitle)}
			hand = append(hand, g.tick(g.sect, s.ID+"-"+h.Condition, s.Title+g.w.Colon()+h.ConditionTitle+" "+h.StateTitle, g.boxW, label...)...)
		}
		r.cells = append(r.cells, cell{x: g.boxX, atoms: hand})
		g.add(r)
		g.rather = true
	}
	g.blocks(s.Body)
}

func (g *galley) routine(r *document.Routine) {
	if len(r.Body) > 0 && !g.titled(r.Title) {
		g.list = nil
		h := g.sect.child("H3")
		g.add(row{left: g.left, right: g.right, above: look.ThinLine, padTop: 5, padUnder: 3,
			cells: []cell{{x: g.textX, atoms: g.para(h, look.StepSize, g.textW, strong(r.Title))}},
			marks: []bookmark{{level: 2, title: r.Title}}})
		g.held = true
	}
	g.blocks(r.Body)
}

// titled says whether the last heading already says this title.
func (g *galley) titled(title string) bool {
	for i := len(g.bands) - 1; i >= 0; i-- {
		if ms := g.bands[i].marks; len(ms) > 0 {
			return ms[len(ms)-1].title == title
		}
	}
	return false
}

func (g *galley) step(s *document.Step) {
	for _, h := range s.Hazards {
		g.hazard(h)
		g.held = true
	}
	if g.list == nil || len(s.Hazards) > 0 {
		g.list = g.sect.child("L")
		g.list.attr = numbered
	}
	li := g.list.child("LI")
	number, body := li.child("Lbl"), li.child("LBody")

	r := row{left: g.left, right: g.right, padTop: rowTop, padUnder: rowUnder, hand: true, changed: s.Changed, cut: freely,
		anchors: []anchor{{name: stepAnchor(s.Number)}},
		marks:   []bookmark{{level: 2, title: strconv.Itoa(s.Number) + "  " + flat(s.Text)}}}
	if g.ruled() && len(s.Hazards) == 0 {
		r.above = look.ThinLine
	}
	r.cells = []cell{
		{x: g.left, atoms: g.para(number, look.StepNumberSize, look.NumberColumn, piece{text: strconv.Itoa(s.Number), style: bold, whole: true})},
		{x: g.textX, top: textDrop, atoms: g.stepText(body, s)},
		{x: g.boxX, top: boxDrop},
	}
	r.goesOn = g.stepGoesOn(strconv.Itoa(s.Number))
	boxes := s.Boxes
	for i, b := range boxes {
		if rb, is := b.(*document.ReadingBox); is && g.tabled(s, rb.Reading) {
			hand := g.boxes(body, s, boxes[:i])
			if len(hand) > 0 {
				hand = append(hand, gap(boxGap))
			}
			r.cells[2].atoms = append(hand, g.readingLabel(body, rb.Reading)...)
			g.add(r)
			g.turnTable(body, s, rb.Reading)
			boxes = boxes[i+1:]
			r = row{left: g.left, right: g.right, padUnder: rowUnder, hand: true, changed: s.Changed, cut: parting,
				head: r.goesOn(), goesOn: r.goesOn, cells: []cell{{x: g.left}, {x: g.textX}, {x: g.boxX}}}
			break
		}
	}
	if r.cells[2].atoms = g.boxes(body, s, boxes); len(boxes) > 0 {
		g.add(r)
	}
}

// ruled says whether a rule is wanted above the next row: not under a heading
// or a panel, which end in a line of their own.
func (g *galley) ruled() bool { return !g.held }

func (g *galley) stepText(body *elem, s *document.Step) []atom {
	var out []atom
	small := func(pieces ...piece) {
		out = append(out, gap(1.5))
		out = append(out, tie(g.para(body.child("P"), look.TextSize, g.textW, pieces...))...)
	}
	if s.By != "" {
		by := []piece{plain(g.w.By + " "), strong(s.By)}
		if s.Time != "" {
			by = append(by, plain(" · "+g.w.Time+" "), piece{text: s.Time, whole: true})
		}
		out = append(out, g.para(body.child("P"), look.TextSize, g.textW, by...)...)
		out = append(out, gap(1))
	}
	out = tie(append(out, g.para(body.child("P"), look.StepSize, g.textW, g.inline(s.Text, evenText)...)...))
	if len(s.Handled) > 0 {
		small(append([]piece{plain(g.w.AlsoHandled + g.w.Colon())}, g.counted(s.Handled)...)...)
	}
	for _, d := range s.Details {
		small(g.inline(d, heavyValues)...)
	}
	for _, n := range s.Notes {
		small(append([]piece{{text: g.w.Note + g.w.Colon(), style: italic}}, g.inline(n, evenText)...)...)
	}
	for _, v := range s.Videos {
		small(g.video(v)...)
	}
	if s.Time != "" && s.By == "" {
		small(piece{text: g.w.Time + " "}, piece{text: s.Time, whole: true})
	}
	for _, f := range s.Figures {
		out = append(out, gap(6))
		out = append(out, g.figure(body, f)...)
	}
	return out
}

func (g *galley) video(v *document.Video) []piece {
	out := []piece{plain(g.w.Video + g.w.Colon()), {text: v.Title, to: videoTarget(v)}}
	if v.From != "" {
		out = append(out, piece{text: ", " + v.From + "–" + v.To, whole: true})
	}
	return out
}

// videoTarget leads to a video that stands on the network; one in a folder of
// the library has no address a reader could open.
func videoTarget(v *document.Video) *target {
	if !outside(v.Link) {
		return nil
	}
	return &target{uri: v.Link, says: v.Title}
}

// counted sets things with their counts: "6 casing nuts P-1008, cloth C-0011".
func (g *galley) counted(cs []document.Counted) []piece {
	var out []piece
	for i, c := range cs {
		if i > 0 {
			out = append(out, plain(", "))
		}
		out = append(out, g.thing(c.Thing, c.Count)...)
		if c.Only != "" {
			out = append(out, plain(" ("+c.Only+")"))
		}
	}
	return out
}

func (g *galley) thing(t *document.Thing, count int) []piece {
	if t == nil {
		return nil
	}
	title := t.Title
	if count > 1 {
		if t.Plural != "" {
			title = g.w.Several(t, count)
		}
		title = strconv.Itoa(count) + "\u00a0" + title
	}
	if t.Number == "" {
		return []piece{plain(title)}
	}
	return []piece{plain(title + " "), {text: t.Number, style: bold, whole: true}}
}

// hazard is a panel after ANSI Z535.6: the signal word on its colour, then
// signs and words in a frame. It ties itself to what follows.
func (g *galley) hazard(h *document.Hazard) {
	panel, ok := look.PanelFor(h.Signal)
	if !ok {
		g.fail(fmt.Errorf("pdf: hazard %s has an unknown signal word %q", h.Name, h.Signal))
		return
	}
	g.list = nil
	div := g.sect.child("Div")
	const headHeight = 21.0
	head := &band{h: headHeight, space: 6}
	head.items = append(head.items, item{kind: groundItem, x: g.left, w: g.right - g.left, h: headHeight, fill: &panel.Ground},
		item{kind: frameItem, x: g.left, w: g.right - g.left, h: headHeight, line: look.ThinLine})
	x := g.left + 8
	if panel.Alert {
		symbol := panel.AlertSymbol()
		const w = 16.0
		dh := w * symbol.Height / symbol.Width
		head.items = append(head.items, item{kind: drawingItem, x: x, y: (headHeight - dh) / 2, w: w, h: dh, drawing: lookDrawing(symbol)})
		x += w + 7
	}
	words := g.label(div.child("P"), bold, look.SignalSize, x, (headHeight-leading(look.SignalSize))/2, g.signal(h.Signal))
	for i := range words {
		words[i].tint = panel.Letters
	}
	head.items = append(head.items, words...)
	g.put(head, freely)

	g.held = true
	r := row{left: g.left, right: g.right, below: look.ThinLine, padTop: 6, padUnder: 6, head: head, sides: true}
	x = g.left + 9
	signs, w := g.signs(div, h.Signs, 38)
	if len(signs) > 0 {
		r.cells = append(r.cells, cell{x: x, atoms: signs})
		x += w + 9
	}
	width := g.right - 9 - x
	var out []atom
	out = append(out, g.para(div.child("P"), look.StepSize, width, strong(h.Title))...)
	out = append(out, g.para(div.child("P"), look.StepSize, width, plain(h.Consequence+" "), plain(h.Avoid))...)
	if len(h.Signs) > 0 {
		line := []piece{plain("ISO 7010 ")}
		for i, s := range h.Signs {
			if i > 0 {
				line = append(line, plain(" · "))
			}
			line = append(line, piece{text: s.Code + "\u00a0", whole: true}, plain(s.Referent))
		}
		out = append(out, g.para(div.child("P"), look.SmallSize, width, line...)...)
	}
	r.cells = append(r.cells, cell{x: x, atoms: out})
	g.add(r)
}

// signal is the signal word in the document's language.
func (g *galley) signal(s string) string {
	switch s {
	case "danger":
		return g.w.Danger
	case "warning":
		return g.w.Warning
	case "caution":
		return g.w.Caution
	}
	return g.w.Notice
}

// signs sets signs up to three abreast and returns the width they take.
func (g *galley) signs(e *elem, signs []document.Sign, size float64) ([]atom, float64) {
	const abreast, white = 3, 6.0
	var out []atom
	w := 0.0
	for i, s := range signs {
		d, ok := look.SignFor(s.Code)
		if !ok {
			g.fail(fmt.Errorf("pdf: no sign has the number %q", s.Code))
			continue
		}
		fig := e.child("Figure")
		fig.alt = s.Code + " " + s.Referent
		scale := size / max(d.Width, d.Height)
		dw, dh := d.Width*scale, d.Height*scale
		column := i % abreast
		x := float64(column) * (size + white)
		it := item{kind: drawingItem, elem: fig, x: x + (size-dw)/2, y: (size - dh) / 2, w: dw, h: dh, drawing: lookDrawing(d)}
		if column == 0 {
			if len(out) > 0 {
				out = append(out, gap(4))
			}
			out = append(out, atom{h: size})
		}
		last := &out[len(out)-1]
		last.items = append(last.items, it)
		w = max(w, x+size)
	}
	return out, w
}

// finish is a terminator: the outcome in a rounded frame, what to do next and
// how the machine stands.
func (g *galley) finish(f *document.Finish) {
	g.list = nil
	div := g.sect.child("Div")
	r := row{left: g.left, right: g.right, above: look.ThinLine, padTop: rowTop, padUnder: rowUnder, hand: true, changed: f.Changed,
		anchors: []anchor{{name: f.ID}}, marks: []bookmark{{level: 2, title: g.outcome(f)}}}
	if g.held {
		r.above = 0
	}
	title := f.Title
	if title == "" {
		title = f.Outcome
	}
	out := g.stadium(div, title)
	if f.Text != "" {
		out = append(out, gap(3))
		out = append(out, g.para(div.child("P"), look.StepSize, g.textW, plain(f.Text))...)
	}
	out = tie(out)
	for _, line := range g.finishFacts(f) {
		out = append(out, tie(g.para(div.child("P"), look.TextSize, g.textW, line...))...)
	}
	if !g.doc.Barred() {
		out = append(out, gap(2))
		out = append(out, g.para(div.child("P"), look.TextSize, g.textW, g.fillIn(f)...)...)
	}
	r.goesOn = func() *band {
		return g.goesOn(row{padTop: 4, padUnder: 3, hand: true,
			cells: []cell{{x: g.textX, atoms: g.continued(look.StepSize, g.textW, []piece{strong(title)})}}})
	}
	r.cells = []cell{{x: g.textX, atoms: out},
		{x: g.boxX, top: 2, atoms: g.tick(div, f.ID, g.outcome(f), g.boxW, strong(title))}}
	g.add(r)
}

// fillIn leads from a finish to what is filled in behind the steps, so that
// nobody reads on into another branch: "Fill in next: Record, page 12".
func (g *galley) fillIn(f *document.Finish) []piece {
	line := []piece{plain(g.w.FillIn + g.w.Colon())}
	if f.Outcome == "serviceable" && len(g.doc.CloseUp) > 0 {
		to := &target{anchor: closeUpAnchor, says: g.w.CloseUp}
		line = append(line, piece{text: g.w.CloseUp + ", ", style: bold, whole: true, to: to}, g.pageOf(to), plain("; "))
	}
	to := &target{anchor: recordAnchor, says: g.w.Record}
	return append(line, piece{text: g.w.Record + ", ", style: bold, whole: true, to: to}, g.pageOf(to))
}

// outcome is a finish in a line: "refer: Call the supervisor."
func (g *galley) outcome(f *document.Finish) string {
	t := f.Title
	if t == "" {
		t = f.Outcome
	}
	if f.Text != "" {
		t += g.w.Colon() + f.Text
	}
	return t
}

// finishFacts are how the machine is left and where the work goes on.
func (g *galley) finishFacts(f *document.Finish) [][]piece {
	var out [][]piece
	if f.To != "" {
		line := []piece{plain(g.w.NextStep + g.w.Colon()), plain(f.ToTitle)}
		if f.ToNumber != "" {
			line = append(line, plain(" "), piece{text: f.ToNumber, style: bold, whole: true})
		}
		out = append(out, line)
	}
	if len(f.Leaves) > 0 {
		line := []piece{plain(g.w.Leaves + g.w.Colon())}
		for i, s := range f.Leaves {
			if i > 0 {
				line = append(line, plain(", "))
			}
			line = append(line, plain(s.ConditionTitle+" "), strong(s.StateTitle))
		}
		out = append(out, line)
	}
	if len(f.Off) > 0 {
		out = append(out, append([]piece{plain(g.w.OffLabel(f) + g.w.Colon())}, g.counted(f.Off)...))
	}
	if len(f.On) > 0 {
		out = append(out, append([]piece{plain(g.w.LeftOn + g.w.Colon())}, g.counted(f.On)...))
	}
	return out
}

// stadium is the terminator of ISO 5807 around a word; a title of more than a
// line does not go into one.
func (g *galley) stadium(e *elem, title string) []atom {
	const h, pad = 19.0, 10.0
	lines := g.breaker.lines([]piece{strong(title)}, look.StepSize, g.textW-2*pad)
	if len(lines) > 1 {
		return g.para(e.child("P"), look.StepSize, g.textW, strong(title))
	}
	w := lines[0].width + 2*pad
	a := atom{h: h + 1}
	a.items = append(a.items, item{kind: drawingItem, y: 0.5, w: w, h: h, drawing: stadiumDrawing(w, h)})
	y := (h-leading(look.StepSize))/2 + 0.5
	for _, it := range g.runs(e.child("P"), nil, lines[0], look.StepSize, pad) {
		it.y += y
		a.items = append(a.items, it)
	}
	return []atom{a}
}
