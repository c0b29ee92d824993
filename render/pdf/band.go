package pdf

import "benchproof/render/look"

// The third stage builds a galley: bands one under the other, each an
// unbreakable strip of the sheet. pages.go cuts the galley into pages.

// A band is a strip that is never cut. Its items are placed from its top left
// corner, y downwards, x from the left edge of the paper.
type band struct {
	h     float64
	space float64 // white above it, left out at the top of a page
	// cut says how willingly a page ends above the band.
	cut   willing
	items []item
	// head is set above the band where it begins a page: the head of its table.
	head    *band
	way     *way // the branch it is in
	anchors []anchor
	marks   []bookmark
}

// willing is how willingly a page ends in a place.
type willing uint8

const (
	freely   willing = iota
	politely         // between rows of a table: rather not, if little room is lost
	parting          // within a step, between a step and what it decides: rather not
	inside           // between the parts of something taller than a page
	never            // between a heading and what it is about, a hazard and its step
)

// An anchor is a place a link leads to.
type anchor struct {
	name string
	y    float64
}

// A bookmark is a line of the file's outline.
type bookmark struct {
	level int
	title string
	y     float64
}

// An item is one thing on the sheet. With an element it belongs to the
// structure tree; without one it is an artifact.
type item struct {
	kind itemKind
	elem *elem

	x, y, w, h float64 // y of text is its base line

	// text
	text, actual string
	face         faceID
	size         float64
	tint         look.RGB
	late         *late
	angle        float64 // degrees clockwise

	// rule, frame, ground
	line float64
	fill *look.RGB

	drawing *drawing
	picture *picture
	to      *target
	field   *field
}

type itemKind uint8

const (
	textItem    itemKind = iota
	ruleItem             // a line from x,y to x+w,y+h
	groundItem           // a filled rectangle
	frameItem            // a drawn rectangle
	drawingItem          // vector shapes in a box
	pictureItem          // pixels in a box
	linkItem             // a place to click
	fieldItem            // a place to fill in
	openItem             // nothing to see: the element begins here, empty or not
)

type align uint8

const (
	leftward align = iota
	rightward
	centred
)

// An atom is a part of a cell that is never cut: a line of text, a box, a
// figure. Its items are placed from its own top left corner.
type atom struct {
	h     float64
	items []item
	tied  bool // a page does not end between it and the atom under it
}

// shifted adds the items of an atom at another place.
func (a atom) shifted(to []item, x, y float64) []item {
	for _, it := range a.items {
		it.x += x
		it.y += y
		to = append(to, it)
	}
	return to
}

// gap is white between atoms; it is no place for a letter.
func gap(h float64) atom { return atom{h: h} }

func height(atoms []atom) float64 {
	h := 0.0
	for _, a := range atoms {
		h += a.h
	}
	return h
}

// A cell is a column of atoms at x from the left edge of the paper.
type cell struct {
	x     float64
	atoms []atom
	top   float64 // white above the atoms, beside the row's own
	elem  *elem   // opened when the row is set, so that an empty cell is there too
}

// A row is cells side by side between two rules.
type row struct {
	cells []cell
	elem  *elem
	// Rules above the row and below it from left to right; 0: none.
	left, right      float64
	above, below     float64
	padTop, padUnder float64
	minimum          float64 // height
	sides            bool    // rules down both edges, as in a frame
	hand             bool    // the line of the hand's column runs through it
	changed          bool    // a change bar stands beside it
	ground           *look.RGB
	space            float64
	cut              willing
	head             *band
	anchors          []anchor
	marks            []bookmark
	free             []item // items placed from the row's top left corner
	// goesOn is set above the row where a page begins within it; nil: it is kept
	// whole where a page can hold it.
	goesOn func() *band
}

// add sets a row. A row that a page cannot hold is cut between its atoms, all
// cells at the same height; only such a row is.
func (g *galley) add(r row) {
	if g.held {
		r.cut, g.held = never, false
	}
	full := 0.0
	for _, c := range r.cells {
		full = max(full, c.top+height(c.atoms))
	}
	full = max(full+r.padTop+r.padUnder, r.minimum)
	room := g.rowRoom(r)
	if r.goesOn != nil && g.addParts(r, full, room) {
		return
	}
	if full <= room {
		g.put(g.rowBand(r, r.cells, full, true, true), r.cut)
		return
	}
	rest := make([]cell, len(r.cells))
	copy(rest, r.cells)
	for first := true; ; first = false {
		part := make([]cell, len(rest))
		more := false
		h := 0.0
		for i, c := range rest {
			n, used := fit(c.atoms, room-r.padTop-r.padUnder-c.top)
			if first && i == 0 && n == 0 && len(c.atoms) > 0 {
				n, used = 1, c.atoms[0].h
			}
			if !first && n == 0 && len(c.atoms) > 0 {
				n, used = 1, c.atoms[0].h
			}
			part[i] = c
			part[i].atoms = c.atoms[:n]
			rest[i].atoms, rest[i].top = c.atoms[n:], 0
			h = max(h, c.top+used)
			more = more || len(rest[i].atoms) > 0
		}
		cut := r.cut
		if !first {
			cut = inside
		}
		g.put(g.rowBand(r, part, h+r.padTop+r.padUnder, first, !more), cut)
		if !more {
			return
		}
		room = g.pageRoom() - r.headHeight()
		if g.way != nil {
			room -= g.way.head.h
		}
	}
}

func (r row) headHeight() float64 {
	if r.head == nil {
		return 0
	}
	return r.head.h
}

// fit says how many atoms go into a height, and how high they are.
func fit(atoms []atom, room float64) (n int, used float64) {
	for n < len(atoms) && used+atoms[n].h <= room {
		used += atoms[n].h
		n++
	}
	return n, used
}

func (g *galley) rowBand(r row, cells []cell, h float64, first, last bool) *band {
	const rules = 8 // at most, around what the row holds
	room := rules + len(r.free)
	for _, c := range cells {
		room++
		for _, a := range c.atoms {
			room += len(a.items)
		}
	}
	b := &band{h: h, head: r.head, items: make([]item, 0, room)}
	if first {
		b.space, b.anchors, b.marks = r.space, r.anchors, r.marks
	}
	if r.ground != nil {
		b.items = append(b.items, item{kind: groundItem, x: r.left, w: r.right - r.left, h: h, fill: r.ground})
	}
	if r.above > 0 && first {
		b.items = append(b.items, rule(r.left, 0, r.right-r.left, 0, r.above))
	}
	if r.below > 0 && last {
		b.items = append(b.items, rule(r.left, h, r.right-r.left, 0, r.below))
	}
	if r.sides {
		b.items = append(b.items, rule(r.left, 0, 0, h, look.ThinLine), rule(r.right, 0, 0, h, look.ThinLine))
	}
	if r.hand {
		b.items = append(b.items, rule(g.handX, 0, 0, h, look.ThinLine))
	}
	if r.changed {
		b.items = append(b.items, rule(g.left-changeBarGap, 0, 0, h, look.ChangeBarLine))
	}
	if first {
		for _, it := range r.free {
			b.items = append(b.items, it)
		}
	}
	if r.elem != nil {
		b.items = append(b.items, item{kind: openItem, elem: r.elem})
	}
	for _, c := range cells {
		if c.elem != nil {
			b.items = append(b.items, item{kind: openItem, elem: c.elem})
		}
		y := r.padTop + c.top
		for _, a := range c.atoms {
			b.items = a.shifted(b.items, c.x, y)
			y += a.h
		}
	}
	return b
}

// rule is a line; lines are artifacts.
func rule(x, y, w, h, line float64) item {
	return item{kind: ruleItem, x: x, y: y, w: w, h: h, line: line}
}

// put adds a band. kept counts how much already hangs together above it.
func (g *galley) put(b *band, cut willing) {
	switch {
	case g.held:
		cut = never
	case g.rather && cut == freely:
		cut = parting
	}
	g.held, g.rather = false, false
	b.cut, b.way = cut, g.way
	if cut == never {
		g.kept += b.space + b.h
	} else {
		g.kept = b.h
	}
	g.bands = append(g.bands, b)
}

// rowRoom is the height a row may have without being cut: a page, less what it
// must share the page with.
func (g *galley) rowRoom(r row) float64 {
	room := g.pageRoom() - r.headHeight()
	if g.way != nil {
		room -= g.way.head.h
	}
	if r.cut == never {
		room -= g.kept + r.space
	}
	return max(room, g.pageRoom()/4)
}
