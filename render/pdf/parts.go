package pdf

import (
	"slices"

	"benchproof/render/look"
)

// Where a page may begin within a step, and what is said there: a step whose
// boxes or figure go over a page is better than a page half empty, as long as
// its number stands above what goes on, and above that the branch it is in.

// leastPart is the least height of what is left of a row on either page, mostOver
// the most that a block may reach down beside what goes on on the next page.
const leastPart, mostOver = 34.0, 150.0

// A block is what is never parted in a cell: an atom, or several that are tied.
type block struct {
	from, to float64
	atoms    []atom
}

// blocksOf gives the blocks of a cell with their heights from the top of the row.
func (r row) blocksOf(c cell) (out []block) {
	y := r.padTop + c.top
	open := false
	for _, a := range c.atoms {
		if open || len(a.items) > 0 {
			if !open {
				out = append(out, block{from: y})
			}
			b := &out[len(out)-1]
			b.atoms, b.to = append(b.atoms, a), y+a.h
		}
		open = a.tied
		y += a.h
	}
	return out
}

// A part of a row are the blocks of each cell between two places where a page may
// end, from where it begins in the row.
type part struct {
	from  float64
	cells [][]block
}

// parted gives the parts of a row: a page may end in it where a block of any cell
// begins and none reaches far over.
func (r row) parted(full float64) []part {
	cells := make([][]block, len(r.cells))
	var starts []float64
	for i, c := range r.cells {
		cells[i] = r.blocksOf(c)
		for _, b := range cells[i] {
			starts = append(starts, b.from)
		}
	}
	slices.Sort(starts)
	out := []part{{cells: make([][]block, len(cells))}}
	for _, y := range append(starts, full+1) {
		p := &out[len(out)-1]
		end := y > full
		if !end && (y-p.from < leastPart || full-y < leastPart || slices.ContainsFunc(cells, func(bs []block) bool {
			return slices.ContainsFunc(bs, func(b block) bool { return b.from < y-0.01 && b.to > y+mostOver })
		})) {
			continue
		}
		for i, bs := range cells {
			n := 0
			for n < len(bs) && bs[n].from < y-0.01 {
				n++
			}
			p.cells[i], cells[i] = bs[:n], bs[n:]
		}
		if !end {
			out = append(out, part{from: y, cells: make([][]block, len(cells))})
		}
	}
	return out
}

// addParts sets a row as several bands that hang together more or less; false:
// it has no places for that, or a part that no page holds. On one page the bands
// look like the row: where a block reaches down beside the next band, that begins
// higher.
func (g *galley) addParts(r row, full, room float64) bool {
	parts := r.parted(full)
	if len(parts) < 2 {
		return false
	}
	head := r.goesOn()
	var bands []*band
	end := 0.0 // of the band above, in the row
	for k, p := range parts {
		first, last := k == 0, k == len(parts)-1
		pr := r
		pr.cells = make([]cell, len(p.cells))
		if !first {
			pr.padTop, pr.head, pr.cut, pr.elem, pr.space = 0, head, parting, nil, p.from-end
		}
		to := full - r.padUnder
		if !last {
			to = parts[k+1].from
		}
		for i, bs := range p.cells {
			c := cell{x: r.cells[i].x}
			if first {
				c.elem = r.cells[i].elem
			}
			y := p.from + pr.padTop
			for _, b := range bs {
				c.atoms = append(append(c.atoms, gap(b.from-y)), b.atoms...)
				y = b.to
			}
			to = max(to, y)
			pr.cells[i] = c
		}
		if last {
			to += r.padUnder
		}
		if end = to; to-p.from > room {
			return false
		}
		b := g.rowBand(pr, pr.cells, to-p.from, first, last)
		b.space, b.cut = pr.space, pr.cut
		bands = append(bands, b)
	}
	for _, b := range bands {
		g.put(b, b.cut)
	}
	return true
}

// tie keeps atoms together on a page, unless they are many.
func tie(atoms []atom) []atom {
	const most = 14
	if len(atoms) <= most {
		for i := range atoms[:max(0, len(atoms)-1)] {
			atoms[i].tied = true
		}
	}
	return atoms
}

// stepGoesOn is what stands above the rest of a step.
func (g *galley) stepGoesOn(number string) func() *band {
	return func() *band {
		return g.goesOn(row{padTop: 4, padUnder: 3, hand: true, cells: []cell{
			{x: g.left, atoms: g.para(nil, look.StepSize, look.NumberColumn, piece{text: number, style: bold, whole: true})},
			{x: g.textX, atoms: g.para(nil, look.StepSize, g.textW, piece{text: g.w.Continued, style: italic})}}})
	}
}

// goesOn is a head that stands only above what goes on on a page.
func (g *galley) goesOn(r row) *band {
	r.left, r.right = g.left, g.right
	h := 0.0
	for _, c := range r.cells {
		h = max(h, c.top+height(c.atoms))
	}
	return g.rowBand(r, r.cells, h+r.padTop+r.padUnder, true, true)
}

// continued sets in a few lines what goes on; the whole stands where it begins.
func (g *galley) continued(size, width float64, pieces []piece) []atom {
	const most = 3
	goesOn := piece{text: " · " + g.w.Continued, style: italic}
	atoms := g.para(nil, size, width, append(slices.Clone(pieces), goesOn)...)
	if len(atoms) > most {
		atoms = append(atoms[:most-1], g.para(nil, size, width, plain("…"), goesOn)[:1]...)
	}
	return atoms
}

// A way is the branch or the repeat that is being set; its head says so where a
// page begins in it.
type way struct{ head *band }

// enter goes into a branch; what it gives leads out again.
func (g *galley) enter(pieces []piece) func() {
	outer := g.way
	g.way = &way{g.goesOn(row{padTop: 3, padUnder: 4, ground: &branchGround, above: look.ThinLine,
		cells: []cell{{x: g.textX, atoms: g.continued(look.SmallSize, g.right-g.textX-6, pieces)}}})}
	return func() { g.way = outer }
}

// pageHead is what stands above a band where it begins a page: the branch it is
// in, and under that the head of its table.
func (b *band) pageHead() *band {
	switch {
	case b.way == nil:
		return b.head
	case b.head == nil:
		return b.way.head
	}
	out := &band{h: b.way.head.h + b.head.h, items: slices.Clone(b.way.head.items)}
	for _, it := range b.head.items {
		it.y += b.way.head.h
		out.items = append(out.items, it)
	}
	return out
}
