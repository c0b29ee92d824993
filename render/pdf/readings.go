package pdf

import (
	"fmt"
	"strconv"

	"benchproof/compiler/document"
	"benchproof/render/look"
)

// Boxes for readings: one below the other in the hand's column; where several
// places are read turn after turn, a table with a line for each turn.

// readingLabel is what is read, with the instrument and the acting limits.
func (g *galley) readingLabel(body *elem, r *document.Reading) []atom {
	label := []piece{plain(r.Title)}
	if r.Instrument != nil && r.Instrument.Number != "" {
		label = append(label, plain(" "+g.w.Instrument+" "), piece{text: r.Instrument.Number, style: bold, whole: true})
	}
	out := g.para(body.child("P"), look.SmallSize, g.boxW, label...)
	for _, l := range r.Limits {
		var line []piece
		if who := chosenNames(l.Members); who != "" {
			line = append(line, plain(who+g.w.Colon()))
		}
		out = append(out, g.para(body.child("P"), look.SmallSize, g.boxW, append(line, g.limitPieces(l.Limits)...)...)...)
	}
	if g.doc.Barred() {
		return whole(append(out, g.para(body.child("P"), look.SmallSize, g.boxW, piece{text: unitOf(r), grey: true})...))
	}
	atoms := whole(append(out, gap(1.5)))
	atoms[len(atoms)-1].tied = true
	return atoms
}

// unitOf is what is printed in an empty box: the unit and the step of the scale.
func unitOf(r *document.Reading) string {
	if r.ScaleText != "" {
		return r.ScaleText
	}
	return r.Unit
}

// readingNames are the name of a reading's fields and what each is for.
func (g *galley) readingNames(s *document.Step, r *document.Reading) (stem, tip string) {
	tip = fmt.Sprintf("%s %d: %s", g.w.Step, s.Number, r.Title)
	if r.Unit != "" {
		tip += ", " + unitOf(r)
	}
	return s.ID + "-" + r.Name, tip
}

// ofWord is which of several takings counts.
func (g *galley) ofWord(of string) string {
	return map[string]string{"smallest": g.w.Smallest, "largest": g.w.Largest, "mean": g.w.Mean}[of]
}

// reading is a label and a box for each taking; where the smallest, largest or
// mean is asked for, one for that.
func (g *galley) reading(body *elem, s *document.Step, r *document.Reading, turns int) []atom {
	atoms := g.readingLabel(body, r)
	if g.doc.Barred() {
		return atoms
	}
	stem, tip := g.readingNames(s, r)
	unit, n := unitOf(r), max(1, r.Boxes)
	if n == 1 {
		for k := range turns {
			box := g.entry(body, stem+turnName(k, turns), tip+turnTip(k, turns), g.boxW, boxHeight, unit, false)
			if turns > 1 { // the number of the turn stands in its box
				box = beside(box, g.turnNumber(body, k), 5)
				box.h += 1
			}
			atoms = append(atoms, box)
		}
		return atoms
	}
	w := (g.boxW - betweenBoxes) / 2
	for i := 0; i < n; i += 2 {
		line := g.taking(body, stem, tip, r, i, w)
		if i+1 < n {
			line = beside(line, g.taking(body, stem, tip, r, i+1, w), w+betweenBoxes)
		}
		atoms = append(atoms, line)
	}
	if r.Of != "" {
		of := g.ofWord(r.Of)
		last := g.para(body.child("P"), look.SmallSize, g.boxW, strong(of))
		last = append(last, g.entry(body, stem+":"+r.Of, tip+", "+of, g.boxW, boxHeight, unit, false))
		atoms = append(atoms, merge(last))
	}
	return atoms
}

// taking is the box for one of several takings of a reading.
func (g *galley) taking(body *elem, stem, tip string, r *document.Reading, i int, w float64) atom {
	n := strconv.Itoa(i + 1)
	return g.entry(body, stem+":"+n, fmt.Sprintf("%s, %s %s %d", tip, n, g.w.Of, r.Boxes), w, boxHeight, r.Unit, false)
}

// tabled says whether a reading gets a table: several takings, several turns.
func (g *galley) tabled(s *document.Step, r *document.Reading) bool {
	return s.Turn != nil && g.turns > 1 && r.Boxes > 1 && !g.doc.Barred()
}

// turnTable is a line for each turn: its takings beside each other, and in the
// hand's column the one that counts.
func (g *galley) turnTable(body *elem, s *document.Step, r *document.Reading) {
	stem, tip := g.readingNames(s, r)
	number := textWidth(regular, look.TextSize, g.w.Reading+" 99") + 8
	each := evenly(r.Boxes)
	w := (g.textW - number - betweenBoxes*float64(each-1)) / float64(each)
	cols := []column{{x: g.textX, w: number}}
	for i := range each {
		cols = append(cols, column{x: g.textX + number + float64(i)*(w+betweenBoxes), w: w, title: strconv.Itoa(i + 1)})
	}
	if r.Boxes > each { // the numbers go on in a second line
		for i := range cols {
			cols[i].title = ""
		}
	}
	cols = append(cols, column{x: g.boxX, w: g.boxW, title: g.ofWord(r.Of)})
	table := body.child("Table")
	g.held = true
	head := g.tableHead(table, g.textX, g.right, true, cols)
	g.list = nil
	for k := range g.turns {
		tr := table.child("TR")
		th := tr.child("TH")
		th.attr = rowHead
		name, ttip := stem+turnName(k, g.turns), tip+turnTip(k, g.turns)
		rw := row{left: g.left, right: g.right, padTop: 1.5, padUnder: 1.5, hand: true, changed: s.Changed, cut: parting, head: head, elem: tr,
			cells: []cell{{x: g.textX, top: (boxHeight - leading(look.TextSize)) / 2, elem: th,
				atoms: g.para(th.child("P"), look.TextSize, number, plain(g.w.Reading+" "+strconv.Itoa(k+1)))}}}
		for i := range each {
			td := tr.child("TD")
			c := cell{x: cols[i+1].x, elem: td}
			for j := i; j < r.Boxes; j += each {
				c.atoms = append(c.atoms, g.taking(td, name, ttip, r, j, w))
			}
			rw.cells = append(rw.cells, c)
		}
		td := tr.child("TD")
		c := cell{x: g.boxX, elem: td}
		if r.Of != "" {
			c.atoms = []atom{g.entry(td, name+":"+r.Of, ttip+", "+g.ofWord(r.Of), g.boxW, boxHeight, unitOf(r), false)}
		}
		rw.cells = append(rw.cells, c)
		g.add(rw)
	}
}
