package pdf

import (
	"fmt"
	"strconv"
	"strings"

	"benchproof/compiler/document"
	"benchproof/render/look"
)

// What stands behind the steps: finishes, close-up, record, revisions.

func (g *galley) finishes() {
	if len(g.doc.Finishes) == 0 {
		return
	}
	g.part(g.w.Finishes, "")
	t := g.table(g.left, g.right, false, g.columns(g.left, g.right, []string{g.w.Outcome, g.w.NextStep, g.w.Leaves, capital(g.w.Page)}, 72, -1, -1.5, 34))
	for _, f := range g.doc.Finishes {
		title := f.Title
		if title == "" {
			title = f.Outcome
		}
		to := g.finishTarget(f.ID)
		next := []filling{g.text(plain(f.Text))}
		if f.To != "" {
			line := []piece{plain(f.ToTitle)}
			if f.ToNumber != "" {
				line = append(line, plain(" "), piece{text: f.ToNumber, style: bold, whole: true})
			}
			next = append(next, g.text(line...))
		}
		var left []filling
		for _, s := range f.Leaves {
			left = append(left, g.text(plain(s.ConditionTitle+" "), strong(s.StateTitle)))
		}
		if len(f.Off) > 0 {
			left = append(left, g.text(append([]piece{plain(g.w.OffLabel(f) + g.w.Colon())}, g.counted(f.Off)...)...))
		}
		if len(f.On) > 0 {
			left = append(left, g.text(append([]piece{plain(g.w.LeftOn + g.w.Colon())}, g.counted(f.On)...)...))
		}
		if len(left) == 0 {
			left = append(left, g.endState)
		}
		t.row(g.text(strong(title)), stacked(next...), stacked(left...), g.text(g.pageNumber(to)))
	}
}

// endState is how a serviceable finish leaves the machine.
func (g *galley) endState(e *elem, w float64) []atom {
	var out []atom
	for _, s := range g.doc.Ends {
		out = append(out, g.text(plain(s.ConditionTitle+" "), strong(s.StateTitle))(e, w)...)
	}
	return out
}

// pageNumber is the number alone of the page a target stands on.
func (g *galley) pageNumber(to *target) piece {
	if to == nil {
		return piece{}
	}
	return piece{text: g.room, whole: true, to: to, late: &late{anchor: to.anchor}}
}

// Where a finish leads on to.
const closeUpAnchor, recordAnchor = "close-up", "record"

// closeUp is the count at the end of a serviceable job, a tick for each line.
func (g *galley) closeUp() {
	if len(g.doc.CloseUp) == 0 {
		return
	}
	g.partAt(g.w.CloseUp, "", closeUpAnchor)
	goesOn := g.goesOn(row{padTop: 3, padUnder: 3, cells: []cell{{x: g.left, atoms: g.continued(look.TextSize, g.right-g.left, []piece{strong(g.w.CloseUp)})}}})
	kind := ""
	var list *elem
	for i, c := range g.doc.CloseUp {
		r := row{left: g.left, right: g.right, padTop: 3, padUnder: 3, hand: true, cut: politely, head: goesOn}
		if c.Kind != kind || list == nil {
			kind = c.Kind
			list = g.sect.child("L")
			list.attr = unordered
			if i > 0 {
				r.above = look.ThinLine
			}
		}
		body := list.child("LI").child("LBody")
		words := g.inline(c.Label, evenText)
		if c.Count > 1 {
			words = append(words, plain(" · "+g.w.Count+"\u00a0"), strong(strconv.Itoa(c.Count)))
		}
		if c.Only != "" {
			words = append(words, plain(" · "+c.Only))
		}
		done := g.w.DoneWord(c.Kind)
		if done == "" {
			g.fail(fmt.Errorf("pdf: a line of the close-up of the kind %q", c.Kind))
			continue
		}
		label := capital(done)
		r.cells = []cell{{x: g.textX, top: 0.5, atoms: g.para(body.child("P"), look.TextSize, g.textW, words...)},
			{x: g.boxX, atoms: g.tick(body, "close-up-"+strconv.Itoa(i+1), g.w.CloseUp+g.w.Colon()+flat(c.Label), g.boxW, plain(label))}}
		g.add(r)
	}
}

// record is what was read, answered, fitted and accepted, a box for each.
func (g *galley) record() {
	g.partAt(g.w.Record, "", recordAnchor)
	if len(g.doc.Record) > 0 {
		cols := []column{{x: g.left, w: look.NumberColumn - 4, title: g.stepHead(look.NumberColumn - 4)}, {x: g.textX, w: g.textW, title: ""}, {x: g.boxX, w: g.boxW, title: g.w.Value}}
		t := g.table(g.left, g.right, true, cols)
		for i, l := range g.doc.Record {
			var step filling
			if l.Step > 0 {
				step = g.text(piece{text: strconv.Itoa(l.Step), to: g.stepTarget(l.Step)})
			}
			if l.Of != "" && l.Boxes > 1 && !g.doc.Barred() {
				t.row(step, g.recordLabel(l), g.text(strong(g.ofWord(l.Of))))
				g.recordTakings(t, l, i)
				continue
			}
			t.row(step, g.recordLabel(l), g.recordValue(l, i))
		}
	}
	g.notAsWritten()
	g.signatures()
}

// stepHead is the word over a column of step numbers, or a sign where the column
// is too narrow for it.
func (g *galley) stepHead(width float64) string {
	if word := capital(g.w.Step); textWidth(bold, look.SmallSize, word) <= width {
		return word
	}
	return "#"
}

func (g *galley) recordLabel(l document.RecordLine) filling {
	words := []piece{plain(l.Label)}
	if l.Only != "" {
		words = append(words, plain(" · "+l.Only))
	}
	fs := []filling{g.text(words...)}
	for _, m := range l.Limits {
		var line []piece
		if who := chosenNames(m.Members); who != "" {
			line = append(line, plain(who+g.w.Colon()))
		}
		fs = append(fs, g.text(append(line, g.limitPieces(m.Limits)...)...))
	}
	if l.Kind == "hold" && l.Who != "" {
		fs = append(fs, g.text(plain(g.w.HoldPoint+", "+g.w.AcceptedBy+" "+l.Who)))
	}
	return stacked(fs...)
}

// recordValue has as many boxes as there are readings to write down.
func (g *galley) recordValue(l document.RecordLine, i int) filling {
	return func(e *elem, w float64) []atom {
		if g.doc.Barred() {
			return g.para(e.child("P"), look.SmallSize, w, piece{text: l.Unit, grey: true})
		}
		name := "record-" + strconv.Itoa(i+1) + "-" + l.Name
		tip := g.w.Record + g.w.Colon() + l.Label
		if l.Kind == "part" {
			return g.tick(e, name, tip, w, plain(capital(g.w.Done)))
		}
		if max(1, l.Boxes) == 1 {
			return []atom{g.entry(e, name, tip, w, boxHeight-2, l.Unit, false)}
		}
		if len(l.Turns) > 1 {
			return g.recordTurns(e, l, name, tip, w)
		}
		return g.recordBoxes(e, name, tip, w, 1, l.Boxes, l.Unit)
	}
}

// recordTakings are the boxes of a reading of which one value counts: a line for
// each turn, and in the hand's column the value that counts.
func (g *galley) recordTakings(t *table, l document.RecordLine, i int) {
	name, tip := "record-"+strconv.Itoa(i+1)+"-"+l.Name, g.w.Record+g.w.Colon()+l.Label
	turns := max(1, len(l.Turns))
	each := max(1, l.Boxes/turns)
	margin := 0.0
	for _, turn := range l.Turns {
		margin = max(margin, textWidth(regular, look.SmallSize, turn)+8)
	}
	inLine := evenly(each)
	w := min(look.HandColumn/2, (g.textW-margin-betweenBoxes*float64(inLine-1))/float64(inLine))
	for k := range turns {
		tr := t.e.child("TR")
		th, td, value := tr.child("TH"), tr.child("TD"), tr.child("TD")
		th.attr = rowHead
		tipOf := tip
		left := cell{x: g.textX, elem: td}
		if len(l.Turns) > 0 {
			tipOf += ", " + strings.Replace(g.w.Screen.Turn, "{turn}", l.Turns[k], 1)
			left.top = (boxHeight - 2 - leading(look.SmallSize)) / 2
			left.atoms = g.para(td.child("P"), look.SmallSize, margin, piece{text: l.Turns[k], grey: true})
		}
		r := row{left: t.left, right: t.right, padUnder: 3, hand: t.hand, cut: politely, head: t.head, elem: tr, cells: []cell{{x: g.left, elem: th}, left}}
		for j := range inLine {
			c := cell{x: g.textX + margin + float64(j)*(w+betweenBoxes)}
			for n := j; n < each; n += inLine {
				number := strconv.Itoa(k*each + n + 1)
				c.atoms = append(c.atoms, g.entry(td, name+":"+number, tipOf+", "+number, w, boxHeight-2, l.Unit, false))
			}
			r.cells = append(r.cells, c)
		}
		of := name + ":" + l.Of
		if len(l.Turns) > 0 {
			of += ":" + strconv.Itoa(k+1)
		}
		r.cells = append(r.cells, cell{x: g.boxX, elem: value,
			atoms: []atom{g.entry(value, of, tipOf+", "+g.ofWord(l.Of), g.boxW, boxHeight-2, l.Unit, false)}})
		g.held = k == 0
		g.add(r)
	}
}

// evenly is how many boxes stand in a line, so that no line has many and the
// lines have as many each.
func evenly(n int) int {
	const most = 5
	lines := (n + most - 1) / most
	return (n + lines - 1) / lines
}

const betweenBoxes = 4.0

// recordBoxes are n boxes, two beside each other, named from a number on.
func (g *galley) recordBoxes(e *elem, name, tip string, w float64, from, n int, unit string) (out []atom) {
	half := (w - betweenBoxes) / 2
	box := func(k int) atom {
		return g.entry(e, name+":"+strconv.Itoa(k), tip+", "+strconv.Itoa(k), half, boxHeight-2, unit, false)
	}
	for k := from; k < from+n; k += 2 {
		a := box(k)
		if k+1 < from+n {
			a = beside(a, box(k+1), half+betweenBoxes)
		}
		out = append(out, a)
	}
	return out
}

// recordTurns are the boxes of a line turn by turn, each turn with its number:
// two turns beside each other where a turn has one box.
func (g *galley) recordTurns(e *elem, l document.RecordLine, name, tip string, w float64) (out []atom) {
	each := max(1, l.Boxes/len(l.Turns))
	margin := 10.0 + 5*float64(strings.Count(l.Turns[0], "."))*2
	number := func(turn string) atom {
		p := g.para(e.child("P"), look.SmallSize, margin, piece{text: turn, grey: true})
		return atom{items: p[0].shifted(nil, 0, (boxHeight-2-leading(look.SmallSize))/2)}
	}
	tipOf := func(turn string) string {
		return tip + ", " + strings.Replace(g.w.Screen.Turn, "{turn}", turn, 1)
	}
	if each > 1 {
		for i, turn := range l.Turns {
			boxes := g.recordBoxes(e, name, tipOf(turn), w-margin, i*each+1, each, l.Unit)
			boxes = indent(boxes, margin)
			boxes[0] = beside(boxes[0], number(turn), 0)
			out = append(out, boxes...)
		}
		return out
	}
	half := (w - betweenBoxes) / 2
	one := func(i int) atom {
		a := g.entry(e, name+":"+strconv.Itoa(i+1), tipOf(l.Turns[i]), half-margin, boxHeight-2, l.Unit, false)
		return beside(number(l.Turns[i]), a, margin)
	}
	for i := 0; i < len(l.Turns); i += 2 {
		a := one(i)
		if i+1 < len(l.Turns) {
			a = beside(a, one(i+1), half+betweenBoxes)
		}
		out = append(out, a)
	}
	return out
}

func (g *galley) notAsWritten() {
	if g.doc.Barred() {
		return
	}
	width := g.right - g.left
	out := g.para(g.sect.child("P"), look.TextSize, width, strong(g.w.NotAsWritten))
	out = append(out, gap(3), g.entry(g.sect, "not-as-written", g.w.NotAsWritten, width, 62, "", true))
	g.add(row{left: g.left, right: g.right, above: look.ThinLine, padTop: 6, padUnder: 6, cells: []cell{{x: g.left, atoms: []atom{merge(out)}}}})
}

// signatures are lines for who did the work and for each who accepted a hold
// point.
func (g *galley) signatures() {
	if g.doc.Barred() {
		return
	}
	var who []string
	seen := map[string]bool{}
	add := func(s string) {
		if s != "" && !seen[s] {
			seen[s] = true
			who = append(who, s)
		}
	}
	add(g.doc.Skill)
	for _, s := range g.doc.Steps {
		add(s.By)
	}
	for _, l := range g.doc.Record {
		if l.Kind == "hold" {
			add(l.Who)
		}
	}
	if len(who) == 0 {
		who = []string{g.w.Who}
	}
	cols := g.columns(g.left, g.right, []string{"", g.w.Who, g.w.Signature, g.w.JobDate}, -1.1, -1.2, -1.4, -0.8)
	t := g.table(g.left, g.right, false, cols)
	for i, s := range who {
		line := "signature-" + strconv.Itoa(i+1)
		box := func(part, title string) filling {
			return func(e *elem, w float64) []atom {
				return []atom{g.entry(e, line+part, s+g.w.Colon()+title, w, boxHeight+2, "", false)}
			}
		}
		t.row(g.text(plain(s)), box("-who", g.w.Who), box("", g.w.Signature), box("-date", g.w.JobDate))
	}
}

func (g *galley) revisions() {
	if len(g.doc.Revisions) == 0 {
		return
	}
	g.part(g.w.Revisions, "")
	t := g.table(g.left, g.right, false, g.columns(g.left, g.right, []string{g.w.Revision, g.w.Date, g.w.WhatChanged}, 56, 84, -1))
	for _, r := range g.doc.Revisions {
		t.row(g.text(strong(r.Revision)), g.text(piece{text: g.w.DateText(r.Date), whole: true}), g.text(plain(r.Note)))
	}
}
