package pdf

import (
	"fmt"
	"strconv"
	"strings"

	"benchproof/compiler/document"
	"benchproof/render/look"
)

// The hand's column: everything the hand does, at the height of its words.

// A field is a place to fill in on a screen.
type field struct {
	name, tip string
	check     bool
	// lines is true for a field of several lines.
	lines bool
	// shared is true for one of several places that show the same field: what is
	// filled in at one stands in all.
	shared bool
}

const (
	boxHeight = 7.2 * look.PointsPerMillimetre // room for a figure written with a glove on
	boxGap    = 1.6 * look.PointsPerMillimetre
)

// name makes a field name that no other field of the file has. A full stop
// would part it into levels.
func (g *galley) name(s string) string {
	s = strings.ReplaceAll(s, ".", "_")
	g.names[s]++
	if n := g.names[s]; n > 1 {
		return s + "~" + strconv.Itoa(n)
	}
	return s
}

// boxes sets boxes of a step.
func (g *galley) boxes(body *elem, s *document.Step, boxes []document.Box) []atom {
	var out []atom
	for _, b := range boxes {
		if len(out) > 0 {
			out = append(out, gap(boxGap))
		}
		out = append(out, g.box(body, s, b)...)
	}
	return out
}

func (g *galley) box(body *elem, s *document.Step, b document.Box) []atom {
	turns := 1
	if s.Turn != nil {
		turns = max(1, g.turns)
	}
	tip := func(label string) string { return fmt.Sprintf("%s %d: %s", g.w.Step, s.Number, label) }
	switch b := b.(type) {
	case *document.Tick:
		return g.ticks(body, b.ID, tip(b.Label), turns, []piece{plain(b.Label)})
	case *document.StateBox:
		return g.ticks(body, b.ID, tip(b.Label), turns, []piece{plain(b.Label)})
	case *document.WaitBox:
		return g.ticks(body, b.ID, tip(b.Label), turns, []piece{plain(b.Label)})
	case *document.RoundBox:
		return g.round(body, b, tip, turns)
	case *document.ReadingBox:
		return g.reading(body, s, b.Reading, turns)
	case *document.AnswerBox:
		return g.answer(body, s, b, turns)
	case *document.RecordBox:
		var out []atom
		out = append(out, g.para(body.child("P"), look.SmallSize, g.boxW, plain(b.Label))...)
		for k := range turns {
			out = append(out, g.entry(body, s.ID+"-"+b.Name+turnName(k, turns), tip(b.Label)+turnTip(k, turns), g.boxW, boxHeight, "", false))
		}
		return whole(out)
	case *document.HoldBox:
		return g.holdPoint(body, b, tip)
	}
	g.fail(fmt.Errorf("pdf: %s has a box of unknown kind %T", s.ID, b))
	return nil
}

func turnName(k, turns int) string {
	if turns == 1 {
		return ""
	}
	return ":" + strconv.Itoa(k+1)
}

func turnTip(k, turns int) string {
	if turns == 1 {
		return ""
	}
	return ", " + strconv.Itoa(k+1)
}

// tickBox is an empty box with its field. A draft has none.
func (g *galley) tickBox(e *elem, name, tip string) atom {
	a := atom{h: look.TickBox}
	if g.doc.Barred() {
		return a
	}
	a.items = []item{
		{kind: frameItem, w: look.TickBox, h: look.TickBox, line: look.ThinLine},
		{kind: fieldItem, elem: e.child("Form"), w: look.TickBox, h: look.TickBox, field: &field{name: g.name(name), tip: tip, check: true}},
	}
	return a
}

const tickGap = 6.0

// tick is a box with words beside it.
func (g *galley) tick(body *elem, name, tip string, width float64, label ...piece) []atom {
	return g.tickOf(body, name, tip, width, [][]piece{label})
}

// tickOf is a box with paragraphs beside it.
func (g *galley) tickOf(body *elem, name, tip string, width float64, label [][]piece) []atom {
	dx := look.TickBox + tickGap
	if g.doc.Barred() {
		dx = 0
	}
	var words []atom
	for _, pieces := range label {
		words = append(words, g.para(body.child("P"), look.SmallSize, width-dx, pieces...)...)
	}
	// The words stand at the middle of the box; more lines follow under it.
	box := g.tickBox(body, name, tip)
	shift := (look.TickBox - leading(look.SmallSize)) / 2
	const first = 12 // lines that stay with their box
	n := min(len(words), first)
	a := beside(atom{h: box.h}, merge(append([]atom{gap(shift)}, words[:n]...)), dx)
	a.items = append(a.items, box.items...)
	return append([]atom{a}, indent(words[n:], dx)...)
}

// ticks is a tick, or one for each turn of a repeat with its number inside.
func (g *galley) ticks(body *elem, name, tip string, turns int, label ...[]piece) []atom {
	if turns == 1 || g.doc.Barred() {
		return g.tickOf(body, name, tip, g.boxW, label)
	}
	var out []atom
	for _, pieces := range label {
		out = append(out, g.para(body.child("P"), look.SmallSize, g.boxW, pieces...)...)
	}
	out = append(out, gap(1))
	return whole(append(out, g.turnBoxes(body, name, tip, turns)...))
}

// turnBoxes are small boxes in rows, numbered by turn.
func (g *galley) turnBoxes(body *elem, name, tip string, turns int) []atom {
	const pitch = look.TickBox + 6
	perRow := max(1, int((g.boxW+6)/pitch))
	var out []atom
	for k := 0; k < turns; k += perRow {
		line := atom{h: look.TickBox + 3}
		for i := k; i < min(k+perRow, turns); i++ {
			box := g.tickBox(body, name+turnName(i, turns), tip+turnTip(i, turns))
			number := g.aligned(body.child("P"), look.SmallSize, look.TickBox, centred, piece{text: strconv.Itoa(i + 1), grey: true})
			box = beside(box, atom{items: number[0].shifted(nil, 0, (look.TickBox-leading(look.SmallSize))/2)}, 0)
			line = beside(line, box, float64(i-k)*pitch)
		}
		out = append(out, line)
	}
	return out
}

// turnNumber is the number of a turn, for the left edge of its box.
func (g *galley) turnNumber(body *elem, k int) atom {
	p := g.para(body.child("P"), look.SmallSize, 20, piece{text: strconv.Itoa(k + 1), grey: true})
	return atom{items: p[0].shifted(nil, 0, (boxHeight-leading(look.SmallSize))/2)}
}

// entry is a box to write in, with its unit inside at the right.
func (g *galley) entry(body *elem, name, tip string, width, h float64, unit string, lines bool) atom {
	a := atom{h: h + 2}
	if unit != "" {
		words := g.aligned(body.child("P"), look.SmallSize, width-10, rightward, piece{text: unit, grey: !g.doc.Barred()})
		words = words[:1]
		a.items = words[0].shifted(a.items, 5, (h-leading(look.SmallSize))/2)
	}
	if g.doc.Barred() {
		return a
	}
	a.items = append(a.items,
		item{kind: frameItem, w: width, h: h, line: look.ThinLine},
		item{kind: fieldItem, elem: body.child("Form"), w: width, h: h, field: &field{name: g.name(name), tip: tip, lines: lines}})
	return a
}

func (g *galley) round(body *elem, b *document.RoundBox, tip func(string) string, turns int) []atom {
	label := [][]piece{{plain(b.Label)}}
	words := b.Label + ":"
	for i, v := range b.Values {
		var line []piece
		if who := chosenNames(v.Members); who != "" {
			line = append(line, plain(who+g.w.Colon()))
			words += " " + who
		}
		line = append(line, strong(v.Text))
		words += " " + v.Text
		if i == 0 && len(b.Values) == 1 {
			label[0] = append([]piece{plain(b.Label + g.w.Colon())}, line...)
			continue
		}
		label = append(label, line)
	}
	return g.ticks(body, b.ID, tip(words), turns, label...)
}

// chosenNames are the members some value holds for: "size 32, size 40".
func chosenNames(cs []document.Chosen) string {
	var names []string
	for _, c := range cs {
		names = append(names, c.MemberTitle)
	}
	return strings.Join(names, ", ")
}

func (g *galley) answer(body *elem, s *document.Step, b *document.AnswerBox, turns int) []atom {
	out := g.para(body.child("P"), look.SmallSize, g.boxW, plain(b.Question))
	out = append(out, gap(2))
	for _, a := range b.Answers {
		tip := fmt.Sprintf("%s %d: %s %s", g.w.Step, s.Number, b.Question, a.Title)
		out = append(out, g.ticks(body, s.ID+"-"+b.Name+"-"+a.Name, tip, turns, []piece{strong(a.Title)})...)
		out = append(out, gap(3))
	}
	return whole(out)
}

// holdPoint is a box in thick lines: the work stops here.
func (g *galley) holdPoint(body *elem, b *document.HoldBox, tip func(string) string) []atom {
	const pad = 6.0
	w := g.boxW - 2*pad
	out := []atom{gap(4)}
	out = append(out, g.para(body.child("P"), look.TextSize, w, strong(g.w.HoldPoint))...)
	out = append(out, g.para(body.child("P"), look.SmallSize, w, plain(b.What))...)
	out = append(out, g.para(body.child("P"), look.SmallSize, w, plain(g.w.AcceptedBy+" "+b.Who))...)
	if !g.doc.Barred() {
		out = append(out, gap(2), g.entry(body, b.ID, tip(g.w.HoldPoint+g.w.Colon()+b.What+", "+g.w.AcceptedBy+" "+b.Who), w, boxHeight+4, "", false), gap(4))
	}
	atoms := whole(indent(out, pad))
	if len(atoms) > 1 || g.doc.Barred() { // too long for a frame
		return atoms
	}
	a := atoms[0]
	a.items = append([]item{{kind: frameItem, w: g.boxW, h: a.h, line: look.ThickLine}}, a.items...)
	return []atom{a}
}
