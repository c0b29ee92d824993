package pdf

import (
	"strconv"

	"benchproof/compiler/document"
	"benchproof/render/look"
)

// Decisions, branches and repeats.

// branchGround is the tint behind the head of a branch: the one grey, thin.
var branchGround = look.RGB{R: 0xEC, G: 0xEC, B: 0xEC}

// decision is a table: the range or answer, what it means, and in the hand's
// column where the work goes on. The bodies of its branches follow.
func (g *galley) decision(d *document.Decision) {
	g.list = nil
	g.held = true // a decision hangs on to the step it decides on
	title := g.sect.child("P")
	g.add(row{left: g.left, right: g.right, padTop: 6, padUnder: 5, hand: true, above: look.ThinLine,
		cells:   []cell{{x: g.textX, atoms: g.para(title, look.StepSize, g.textW, strong(d.Title))}},
		anchors: []anchor{{name: d.ID}}})

	rangeW := g.rangeWidth(d)
	meaningX := g.textX + rangeW + 8
	meaningW := g.textX + g.textW - meaningX
	table := g.sect.child("Table")
	first := g.w.Range
	if d.Kind != document.ByReading {
		first = ""
	}
	g.held = true
	head := g.tableHead(table, g.textX, g.right, true, []column{
		{x: g.textX, w: rangeW, title: first}, {x: meaningX, w: meaningW, title: g.w.Meaning}, {x: g.boxX, w: g.boxW, title: g.w.GoTo}})
	for i, b := range d.Branches {
		tr := table.child("TR")
		th, td, go_ := tr.child("TH"), tr.child("TD"), tr.child("TD")
		th.attr = rowHead
		g.held = i == 0
		var way []atom
		if goes := g.goesTo(b.Goes); goes != nil {
			way = g.tick(go_, d.ID+"-"+strconv.Itoa(b.Number), d.Title+" "+g.branchWords(d, b)+": "+b.Goes.Text, g.boxW, goes...)
		}
		r := row{left: g.textX, right: g.right, above: look.ThinLine, padTop: 5, padUnder: 5, hand: true, cut: politely, head: head, elem: tr,
			cells: []cell{
				{x: g.textX, top: 1, elem: th, atoms: g.branchRange(th, d, b, rangeW)},
				{x: meaningX, top: 1, elem: td, atoms: g.para(td.child("P"), look.TextSize, meaningW, plain(b.Meaning))},
				{x: g.boxX, elem: go_, atoms: way}}}
		if i > 0 && i == len(d.Branches)-1 {
			r.cut = politely
		}
		g.add(r)
	}
	g.footnotes(d.Footnotes)
	for _, b := range d.Branches {
		if len(b.Body) == 0 {
			continue
		}
		g.branchHead(append([]piece{plain(d.Title + " ")}, g.branchPieces(d, b)...), b.Meaning)
		g.blocks(b.Body)
		if !ends(b.Body) {
			g.goOn(d.After)
		}
	}
	g.list = nil
}

// rangeWidth is the room the longest range takes, within reason.
func (g *galley) rangeWidth(d *document.Decision) float64 {
	w := g.textW * 0.3
	for _, b := range d.Branches {
		for _, pieces := range g.branchLines(d, b) {
			for _, l := range g.breaker.lines(pieces, look.TextSize, 10000) {
				w = max(w, l.width+1)
			}
		}
	}
	return min(w, g.textW*0.58)
}

// branchLines are the cases of a branch, a line each.
func (g *galley) branchLines(d *document.Decision, b *document.Branch) [][]piece {
	var out [][]piece
	if d.Kind == document.ByReading {
		for _, l := range b.Limits {
			var line []piece
			if who := chosenNames(l.Members); who != "" {
				line = append(line, plain(who+": "))
			}
			out = append(out, append(line, g.limitPieces(l.Limits)...))
		}
		return out
	}
	for _, c := range b.Cases {
		out = append(out, []piece{strong(c.Title)})
	}
	return out
}

func (g *galley) branchRange(e *elem, d *document.Decision, b *document.Branch, w float64) []atom {
	var out []atom
	for _, line := range g.branchLines(d, b) {
		out = append(out, g.para(e.child("P"), look.TextSize, w, line...)...)
	}
	return out
}

// branchPieces are the cases in one line.
func (g *galley) branchPieces(d *document.Decision, b *document.Branch) []piece {
	var out []piece
	for i, line := range g.branchLines(d, b) {
		if i > 0 {
			sep := "; "
			if d.Kind != document.ByReading {
				sep = ", "
			}
			out = append(out, strong(sep))
		}
		out = append(out, line...)
	}
	return out
}

func (g *galley) branchWords(d *document.Decision, b *document.Branch) string {
	s := ""
	for _, p := range g.branchPieces(d, b) {
		s += p.text
	}
	return s
}

// branchHead stands above steps that only some paths take.
func (g *galley) branchHead(pieces []piece, meaning string) {
	g.list = nil
	p := g.sect.child("P")
	atoms := g.para(p, look.TextSize, g.right-g.textX-6, pieces...)
	if meaning != "" {
		atoms = append(atoms, g.para(g.sect.child("P"), look.TextSize, g.right-g.textX-6, plain(meaning))...)
	}
	g.add(row{left: g.left, right: g.right, padTop: 4, padUnder: 5, ground: &branchGround, above: look.ThinLine, space: 0,
		cells: []cell{{x: g.textX, atoms: atoms}}})
	g.held = true
}

// goOn says where the work goes on at the end of a branch.
func (g *galley) goOn(t document.Target) {
	goes := g.goesTo(t)
	if goes == nil {
		return
	}
	g.list = nil
	g.held = true
	g.add(row{left: g.left, right: g.right, padTop: 4, padUnder: 5, hand: true, above: look.ThinLine,
		cells: []cell{{x: g.textX, atoms: g.para(g.sect.child("P"), look.TextSize, g.textW, append([]piece{plain(capital(g.w.GoOn) + " ")}, goes...)...)}}})
}

// ends says whether blocks lead nowhere but to a finish.
func ends(bs []document.Block) bool {
	if len(bs) == 0 {
		return false
	}
	switch b := bs[len(bs)-1].(type) {
	case *document.Finish:
		return true
	case *document.Decision:
		for _, br := range b.Branches {
			if !ends(br.Body) {
				return false
			}
		}
		return len(b.Branches) > 0
	case *document.Routine:
		return ends(b.Body)
	}
	return false
}

func (g *galley) footnotes(notes []document.Text) {
	for _, n := range notes {
		g.list = nil
		g.held = true
		g.notes++
		note := g.sect.child("Note")
		note.id = "note-" + strconv.Itoa(g.notes)
		g.add(row{left: g.left, right: g.right, padTop: 3, padUnder: 5,
			cells: []cell{{x: g.textX, atoms: g.para(note, look.SmallSize, g.right-g.textX, g.inline(n, evenText)...)}}})
	}
}

// repeat is steps that are done again: a head that says how often at most, the
// steps, and the line that ends the turns.
func (g *galley) repeat(r *document.Repeat) {
	g.list = nil
	g.add(row{left: g.left, right: g.right, padTop: 4, padUnder: 5, ground: &branchGround, above: look.ThinLine,
		cells: []cell{{x: g.textX, atoms: g.para(g.sect.child("P"), look.TextSize, g.right-g.textX-6,
			plain(g.w.RepeatAtMost+" "), strong(strconv.Itoa(r.Times)+"\u00a0"+g.w.Times))}},
		anchors: []anchor{{name: r.ID}}})
	g.held = true
	for i, b := range r.Body {
		if u, ok := b.(*document.Until); ok {
			g.until(u, r)
			continue
		}
		g.blocks(r.Body[i : i+1])
	}
	if len(r.Otherwise) > 0 {
		g.branchHead([]piece{strong(g.w.Otherwise)}, "")
		g.blocks(r.Otherwise)
		if !ends(r.Otherwise) {
			g.goOn(r.OnFailure)
		}
	}
	g.list = nil
}

// until ends the turns of a repeat. It hangs on to the step that reads.
func (g *galley) until(u *document.Until, r *document.Repeat) {
	g.list = nil
	g.held = true
	p := g.sect.child("Div")
	rw := row{left: g.left, right: g.right, padTop: 5, padUnder: 6, hand: true,
		cells: []cell{{x: g.textX, top: 2, atoms: g.para(p.child("P"), look.StepSize, g.textW, g.inline(u.Text, heavyValues)...)}}}
	if r != nil {
		var hand []atom
		for i, t := range []document.Target{r.OnSuccess, r.OnFailure} {
			goes := g.goesTo(t)
			if goes == nil {
				continue
			}
			if len(hand) > 0 {
				hand = append(hand, gap(4))
			}
			hand = append(hand, g.tick(p, r.ID+"-"+[]string{"met", "not-met"}[i], u.On+": "+t.Text, g.boxW, goes...)...)
		}
		rw.cells = append(rw.cells, cell{x: g.boxX, atoms: hand})
	}
	g.add(rw)
	g.footnotes(u.Footnotes)
}
