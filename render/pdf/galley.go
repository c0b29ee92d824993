package pdf

import (
	"strings"

	"benchproof/compiler/document"
	"benchproof/render/look"
)

// A galley is the whole document in bands, before it is cut into pages.
type galley struct {
	doc   *document.Document
	w     *document.Words
	paper look.Paper

	left, right  float64 // edges of the sheet
	textX, textW float64 // the column of texts
	handX        float64 // the line of the hand's column
	boxX, boxW   float64 // what stands in it

	bands   []*band
	held    bool    // the next band hangs on to the one above
	rather  bool    // the next band would rather stand with the one above
	notes   int     // footnotes set so far
	turns   int     // how often the steps being set may be done, inside a repeat
	way     *way    // the branch or repeat being set; nil: none
	kept    float64 // height of the bands that hang together at the end
	control *band   // the block at the foot of the first page
	// frontEnd is the band before which the control block is read.
	frontEnd int
	root     *elem
	sect     *elem // the part of the document being set
	heads    *elem // what is filled in in the heads of the sheets
	list     *elem // the list of steps being set; nil between lists
	missing  missingRunes
	breaker  breaker
	room     string // digits that are left for a page number
	names    map[string]int
	figures  map[*document.Figure]*decoded
	err      error
}

const (
	changeBarGap = 4 * look.PointsPerMillimetre
	handPad      = 3 * look.PointsPerMillimetre
	headRoom     = 19.0 // the running head with the white under it
	footRoom     = 32.0 // the two lines of the running foot with the white above them
)

func newGalley(doc *document.Document, paper look.Paper, digits int) *galley {
	g := &galley{doc: doc, w: doc.Words, paper: paper, names: map[string]int{}, figures: map[*document.Figure]*decoded{}}
	if g.w == nil {
		g.w = document.English
	}
	g.left, g.right = look.MarginLeft, paper.Width-look.MarginRight
	g.handX = g.right - look.HandColumn
	g.boxX, g.boxW = g.handX+handPad, look.HandColumn-handPad
	g.textX = g.left + look.NumberColumn
	g.textW = g.handX - handPad - g.textX
	g.root = &elem{tag: "Document"}
	g.sect = g.root
	g.breaker.missing = &g.missing
	g.room = strings.Repeat("0", digits)
	return g
}

// top and bottom are where the bands of a page begin and end.
func (g *galley) top() float64      { return look.MarginTop + headRoom }
func (g *galley) bottom() float64   { return g.paper.Height - look.MarginBottom - footRoom + 12 }
func (g *galley) pageRoom() float64 { return g.bottom() - g.top() }

// fail keeps the first thing that went wrong.
func (g *galley) fail(err error) {
	if g.err == nil {
		g.err = err
	}
}

func leading(size float64) float64 { return size * look.LineSpacing }

// baseline is how far below the top of its line a text stands.
func baseline(size float64) float64 { return leading(size)/2 + size*0.345 }

// para sets pieces as lines of an element, each an atom.
func (g *galley) para(e *elem, size, width float64, pieces ...piece) []atom {
	return g.aligned(e, size, width, leftward, pieces...)
}

func (g *galley) aligned(e *elem, size, width float64, a align, pieces ...piece) []atom {
	lines := g.breaker.lines(pieces, size, width)
	out := make([]atom, len(lines))
	links := map[*target]*elem{}
	for i, l := range lines {
		x := 0.0
		switch a {
		case rightward:
			x = width - l.width
		case centred:
			x = (width - l.width) / 2
		}
		out[i] = atom{h: leading(size), items: g.runs(e, links, l, size, x)}
	}
	return out
}

// runs makes the items of one line.
func (g *galley) runs(e *elem, links map[*target]*elem, l line, size, x float64) []item {
	out := make([]item, 0, len(l.runs))
	for _, r := range l.runs {
		it := item{kind: textItem, elem: e, x: x + r.x, y: baseline(size), w: r.width, text: r.text, actual: r.actual, face: r.face, size: size, late: r.late}
		if r.grey {
			it.tint = look.Grey
		}
		if r.to != nil && e != nil {
			le := links[r.to]
			if le == nil {
				le = e.child("Link")
				links[r.to] = le
			}
			it.elem = le
			out = append(out, it, item{kind: linkItem, elem: le, x: it.x, y: 0, w: r.width, h: leading(size), to: r.to})
			continue
		}
		out = append(out, it)
	}
	return out
}

// label is one line of artifact text at a place, for running heads and the like.
func (g *galley) label(e *elem, s style, size, x, y float64, text string) []item {
	l := g.breaker.lines([]piece{{text: text, style: s, whole: true}}, size, g.paper.Width)
	items := g.runs(e, nil, l[0], size, x)
	for i := range items {
		items[i].y += y
	}
	return items
}

// indent moves atoms to the right.
func indent(atoms []atom, dx float64) []atom {
	for i := range atoms {
		for j := range atoms[i].items {
			atoms[i].items[j].x += dx
		}
	}
	return atoms
}

// merge makes one atom of several, so that they are never parted.
func merge(atoms []atom) atom {
	var out atom
	for _, a := range atoms {
		out.items = a.shifted(out.items, 0, out.h)
		out.h += a.h
	}
	return out
}

// whole merges atoms that are not too high to be kept whole; a label of some
// hundred words is cut where it must be.
func whole(atoms []atom) []atom {
	const most = 240
	if height(atoms) <= most {
		return []atom{merge(atoms)}
	}
	return atoms
}

// beside lays atoms over each other at the same height.
func beside(a, b atom, dx float64) atom {
	a.items = b.shifted(a.items, dx, 0)
	a.h = max(a.h, b.h)
	return a
}

// part opens a part of the document with its heading, and a note beside it.
// The heading hangs on to what follows it.
func (g *galley) part(title, note string) { g.partAt(title, note, "") }

// partAt is a part that can be led to.
func (g *galley) partAt(title, note, anchorName string) {
	g.sect = g.root.child("Sect")
	g.list = nil
	g.heading("H2", 1, look.HeadingSize, title, plain(note), anchorName, 14, false)
}

// heading sets a heading between a rule and what follows.
func (g *galley) heading(tag string, level int, size float64, title string, note piece, anchorName string, space float64, changed bool) {
	h := g.sect.child(tag)
	r := row{left: g.left, right: g.right, above: look.ThickLine, padTop: 5, padUnder: 4, space: space, cut: freely, changed: changed,
		marks: []bookmark{{level: level, title: title}}}
	if anchorName != "" {
		r.anchors = []anchor{{name: anchorName}}
	}
	width := g.right - g.left
	titleW := min(width*0.62, g.titleWidth(title, size)+18)
	if note.text == "" {
		titleW = width
	}
	r.cells = []cell{{x: g.left, atoms: g.para(h, size, titleW, strong(title))}}
	if note.text != "" {
		r.cells = append(r.cells, cell{x: g.left + titleW, top: (leading(size) - leading(look.SmallSize)) / 2 * 1.3,
			atoms: g.aligned(g.sect.child("P"), look.SmallSize, width-titleW, rightward, note)})
	}
	g.add(r)
	g.hold()
}

func (g *galley) titleWidth(title string, size float64) float64 { return textWidth(bold, size, title) }

// hold ties the next band to the ones above: see keep.
func (g *galley) hold() { g.held = true }
