package pdf

import (
	"strconv"
	"strings"

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
	title := g.sect.child("P")
	// A decision would rather stand with the step it decides on.
	g.add(row{left: g.left, right: g.right, padTop: 6, padUnder: 5, hand: true, above: look.ThinLine, changed: d.Changed, cut: parting,
		cells:   []cell{{x: g.textX, atoms: g.para(title, look.StepSize, g.textW, strong(d.Title))}},
		anchors: []anchor{{name: d.ID}}})

	rangeW := g.rangeWidth(d)
	meaningX := g.textX + rangeW + 8
	meaningW := g.textX + g.textW - meaningX
	table := g.sect.child("Table")
	first := g.w.Range
	if d.Kind != document.ByReading {
		first = g.w.Answer
	}
	says := false // whether any branch says what its case means
	for _, b := range d.Branches {
		says = says || b.Meaning != ""
	}
	cols := []column{{x: g.textX, w: rangeW, title: first}, {x: meaningX, w: meaningW, title: g.w.Meaning}, {x: g.boxX, w: g.boxW, title: g.w.GoTo}}
	if !says {
		rangeW = g.textW
		cols = []column{{x: g.textX, w: rangeW, title: first}, cols[2]}
	}
	g.held = true
	head := g.tableHead(table, g.textX, g.right, true, cols)
	for i, b := range d.Branches {
		tr := table.child("TR")
		th := tr.child("TH")
		var td *elem
		if says {
			td = tr.child("TD")
		}
		go_ := tr.child("TD")
		th.attr = rowHead
		g.held = i == 0
		var way []atom
		if goes := g.goesTo(b.Goes); goes != nil {
			way = g.tick(go_, d.ID+"-"+strconv.Itoa(b.Number), d.Title+" "+g.branchWords(d, b)+g.w.Colon()+b.Goes.Text, g.boxW, goes...)
		}
		r := row{left: g.textX, right: g.right, above: look.ThinLine, padTop: 5, padUnder: 5, hand: true, cut: politely, head: head, elem: tr,
			cells: []cell{{x: g.textX, top: 1, elem: th, atoms: g.branchRange(th, d, b, rangeW)}}}
		if says {
			r.cells = append(r.cells, cell{x: meaningX, top: 1, elem: td, atoms: g.para(td.child("P"), look.TextSize, meaningW, plain(b.Meaning))})
		}
		r.cells = append(r.cells, cell{x: g.boxX, elem: go_, atoms: way})
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
		pieces := append([]piece{plain(d.Title + " ")}, g.branchPieces(d, b)...)
		g.branchHead(pieces, b.Meaning)
		leave := g.enter(pieces)
		g.blocks(b.Body)
		if !ends(b.Body) {
			g.goOn(d.After)
		}
		leave()
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
				line = append(line, plain(who+g.w.Colon()))
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
	pieces := []piece{plain(g.w.RepeatAtMost + " "), strong(strconv.Itoa(r.Times) + "\u00a0" + g.w.Times), plain(stepSpan(g.w, r.Body))}
	g.add(row{left: g.left, right: g.right, padTop: 4, padUnder: 5, ground: &branchGround, above: look.ThinLine, changed: r.Changed,
		cells:   []cell{{x: g.textX, atoms: g.para(g.sect.child("P"), look.TextSize, g.right-g.textX-6, pieces...)}},
		anchors: []anchor{{name: r.ID}}})
	g.held = true
	leave := g.enter(pieces)
	outer, back := g.turns, false
	g.turns = max(1, r.Times)
	for i, b := range r.Body {
		if u, ok := b.(*document.Until); ok {
			g.until(u, r)
			// After the last failed reading the rest is skipped: it is done once less.
			g.turns, back = max(1, r.Times-1), true
			continue
		}
		g.blocks(r.Body[i : i+1])
	}
	g.turns = outer
	if n := len(r.Body); back && r.Times > 1 && !ends(r.Body) {
		if _, last := r.Body[n-1].(*document.Until); !last {
			g.backTo(r)
		}
	}
	leave()
	if len(r.Otherwise) > 0 {
		pieces := []piece{strong(r.LastTurn(g.w))}
		g.branchHead(pieces, "")
		leave := g.enter(pieces)
		g.blocks(r.Otherwise)
		if !ends(r.Otherwise) {
			g.goOn(r.OnFailure)
		}
		leave()
	}
	g.list = nil
}

// backTo leads from the end of a turn to the beginning of the next.
func (g *galley) backTo(r *document.Repeat) {
	first, _ := stepsOf(r.Body)
	to := g.stepTarget(first)
	if to == nil {
		return
	}
	g.list = nil
	g.held = true
	g.add(row{left: g.left, right: g.right, padTop: 4, padUnder: 6, hand: true, above: look.ThinLine,
		cells: []cell{{x: g.textX, atoms: g.para(g.sect.child("P"), look.StepSize, g.textW, plain(g.w.BackTo+" "),
			piece{text: g.w.Step + "\u00a0" + strconv.Itoa(first) + ", ", style: bold, whole: true, to: to}, g.pageOf(to))}}})
}

// stepSpan says which steps a repeat is of: " · steps 32–33".
func stepSpan(w *document.Words, list []document.Block) string {
	first, last := stepsOf(list)
	switch {
	case first == 0:
		return ""
	case first == last:
		return " · " + w.Step + "\u00a0" + strconv.Itoa(first)
	}
	return " · " + strings.ToLower(w.Steps) + "\u00a0" + strconv.Itoa(first) + "–" + strconv.Itoa(last)
}

// stepsOf gives the first and the last step in blocks; 0: none.
func stepsOf(list []document.Block) (first, last int) {
	for _, b := range list {
		var parts [][]document.Block
		switch b := b.(type) {
		case *document.Step:
			if first == 0 {
				first = b.Number
			}
			last = b.Number
		case *document.Stage:
			parts = append(parts, b.Body)
		case *document.Routine:
			parts = append(parts, b.Body)
		case *document.Repeat:
			parts = append(parts, b.Body, b.Otherwise)
		case *document.Decision:
			for _, br := range b.Branches {
				parts = append(parts, br.Body)
			}
		}
		for _, p := range parts {
			f, l := stepsOf(p)
			if first == 0 {
				first = f
			}
			last = max(last, l)
		}
	}
	return first, last
}

// until ends the turns of a repeat. It would rather stand with the step that
// reads.
func (g *galley) until(u *document.Until, r *document.Repeat) {
	g.list = nil
	p := g.sect.child("Div")
	rw := row{left: g.left, right: g.right, padTop: 5, padUnder: 6, hand: true, cut: parting, changed: u.Changed,
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
			hand = append(hand, g.tick(p, r.ID+"-"+[]string{"met", "not-met"}[i], u.On+g.w.Colon()+t.Text, g.boxW, goes...)...)
		}
		rw.cells = append(rw.cells, cell{x: g.boxX, atoms: hand})
	}
	g.add(rw)
	g.footnotes(u.Footnotes)
}
