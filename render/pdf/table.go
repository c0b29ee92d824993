package pdf

import "benchproof/render/look"

// A column of a table.
type column struct {
	x, w  float64
	title string
}

// columns shares a width out: a positive share is taken as points, a negative
// one as a part of what is left. White stands between columns.
func (g *galley) columns(left, right float64, titles []string, shares ...float64) []column {
	const white = 8.0
	fixed, parts := 0.0, 0.0
	for _, s := range shares {
		if s > 0 {
			fixed += s
		} else {
			parts -= s
		}
	}
	rest := right - left - fixed - white*float64(len(shares)-1)
	x := left
	out := make([]column, len(shares))
	for i, s := range shares {
		w := s
		if s < 0 {
			w = rest * -s / parts
		}
		out[i] = column{x: x, w: w, title: titles[i]}
		x += w + white
	}
	return out
}

// tableHead sets the head of a table and returns it, to be repeated on pages
// that begin with one of its rows. The head hangs on to the first row.
func (g *galley) tableHead(table *elem, left, right float64, hand bool, cols []column) *band {
	tr := table.child("TR")
	r := row{left: left, right: right, padTop: 3, padUnder: 3, hand: hand, elem: tr}
	if !g.held { // under another table: a group of its own
		r.space = 9
	}
	for _, c := range cols {
		th := tr.child("TD") // a column without a name has no head
		ce := cell{x: c.x, elem: th}
		if c.title != "" {
			th.tag, th.attr = "TH", columnHead
			ce.atoms = g.para(th, look.SmallSize, c.w, strong(c.title))
		}
		r.cells = append(r.cells, ce)
	}
	g.add(r)
	g.held = true
	return g.bands[len(g.bands)-1]
}

// A table of the front or back matter.
type table struct {
	g           *galley
	e           *elem
	head        *band
	cols        []column
	left, right float64
	hand        bool
	rows        int
}

func (g *galley) table(left, right float64, hand bool, cols []column) *table {
	g.list = nil
	t := &table{g: g, e: g.sect.child("Table"), cols: cols, left: left, right: right, hand: hand}
	t.head = g.tableHead(t.e, left, right, hand, cols)
	return t
}

// A filling sets the atoms of a cell of some width.
type filling func(e *elem, w float64) []atom

// text fills a cell with a paragraph.
func (g *galley) text(pieces ...piece) filling {
	return func(e *elem, w float64) []atom {
		if len(pieces) == 0 {
			return nil
		}
		return g.para(e.child("P"), look.TextSize, w, pieces...)
	}
}

// stacked fills a cell with one filling under the other.
func stacked(fs ...filling) filling {
	return func(e *elem, w float64) []atom {
		var out []atom
		for _, f := range fs {
			if f != nil {
				out = append(out, f(e, w)...)
			}
		}
		return out
	}
}

// row sets a row; its first cell is its head.
func (t *table) row(fs ...filling) {
	tr := t.e.child("TR")
	r := row{left: t.left, right: t.right, above: look.ThinLine, padTop: 4, padUnder: 4, hand: t.hand, cut: politely, head: t.head, elem: tr}
	for i, f := range fs {
		tag := "TD"
		if i == 0 {
			tag = "TH"
		}
		e := tr.child(tag)
		if i == 0 {
			e.attr = rowHead
		}
		c := cell{x: t.cols[i].x, elem: e}
		if f != nil {
			c.atoms = f(e, t.cols[i].w)
		}
		r.cells = append(r.cells, c)
	}
	t.rows++
	t.g.add(r)
}
