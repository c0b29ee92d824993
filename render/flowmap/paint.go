package flowmap

// place is where an item's middle is, from the left and top of its band.
func (b *band) place(i int) (x, y float64) {
	r, it := &b.row, &b.items[i]
	x = r.center[it.layer]
	if !it.hangs {
		return x, r.cells[r.of[i]].y - r.top
	}
	for n, l := range b.links {
		if !l.hangs || l.from != i && l.to != i {
			continue
		}
		host := l.from + l.to - i
		_, y = b.place(host)
		away := b.items[host].h/2 + b.hangGap(b.links[n]) + it.h/2
		return x, y + float64(l.side)*away
	}
	return x, y
}

// paint puts the band on a page, dy below its top.
func (b *band) paint(t *typist, p *Page, dy float64, sheetOf []int) {
	for i := range b.links {
		l := &b.links[i]
		e := b.g.edges[l.edge]
		p.Lines = append(p.Lines, Line{Points: shift(b.route(i), dy), Arrow: true, Thick: l.thick,
			From: b.g.nodes[e.from].id, To: b.g.nodes[e.to].id})
	}
	for i := range b.items {
		it := &b.items[i]
		x, y := b.place(i)
		y += dy
		sheet := sheetOf[it.graphNode]
		if it.entry {
			sheet = sheetOf[it.source]
		}
		p.Boxes = append(p.Boxes, Box{Kind: it.kind, X: x - it.w/2, Y: y - it.h/2, W: it.w, H: it.h, Node: it.id, Sheet: sheet})
		_, h := t.block(it.lines)
		t.write(p, it.lines, x, y-h/2+ascent*t.size, Middle, it.connector, len(p.Boxes)-1)
	}
	for i := range b.links {
		b.paintLabel(t, p, i, dy)
	}
}

// paintLabel writes a line's label where the line begins: over its level
// stretch, or beside it where it hangs.
func (b *band) paintLabel(t *typist, p *Page, i int, dy float64) {
	l := &b.links[i]
	if len(l.label.lines) == 0 {
		return
	}
	from := &b.items[l.from]
	x, y := b.place(l.from)
	y += dy
	last := float64(len(l.label.lines)-1) * t.lineHeight()
	switch {
	case l.hangs:
		// In the middle of the line without its arrow head.
		lift := b.hangLift(*l)
		gap := b.hangGap(*l) - ArrowLength - lift
		middle := y + from.h/2 + gap/2
		if l.side < 0 {
			middle = y - from.h/2 - lift - gap/2
		}
		t.write(p, l.label.lines, x+labelWhite/2, middle-l.label.h/2+ascent*t.size, Start, false, -1)
	case l.side == 0:
		t.write(p, l.label.lines, x+from.w/2+labelWhite/2, y-labelGap-last, Start, false, -1)
	default:
		lane := b.row.cells[b.row.chain[i][0]].y - b.row.top + dy
		if l.back {
			t.write(p, l.label.lines, x-labelWhite/2, lane-labelGap-last, End, false, -1)
		} else {
			t.write(p, l.label.lines, x+labelWhite/2, lane-labelGap-last, Start, false, -1)
		}
	}
}

// write adds lines of text, the first with its base line at y.
func (t *typist) write(p *Page, lines []string, x, y float64, a Anchor, bold bool, box int) {
	for _, s := range lines {
		p.Texts = append(p.Texts, Text{X: x, Y: y, Size: t.size, Anchor: a, Bold: bold, Text: s, Box: box})
		y += t.lineHeight()
	}
}

// route is the way of a line from the edge of its first box to that of its
// last.
func (b *band) route(i int) []Point {
	r, l := &b.row, &b.links[i]
	from, to := &b.items[l.from], &b.items[l.to]
	fx, fy := b.place(l.from)
	tx, ty := b.place(l.to)
	if l.hangs {
		// Upwards from or to what hangs over, downwards under.
		if fy < ty {
			return []Point{{fx, fy + from.h/2}, {tx, ty - to.h/2}}
		}
		return []Point{{fx, fy - from.h/2}, {tx, ty + to.h/2}}
	}
	level := func(c int) float64 { return r.cells[c].y - r.top }
	var points []Point
	chain := r.chain[i]
	y := fy
	if l.side == 0 {
		points = append(points, Point{fx + from.w/2, fy})
	} else {
		y = level(chain[0])
		points = append(points, Point{fx, fy + float64(l.side)*from.h/2}, Point{fx, y})
	}
	turn := func(channel, c int, next float64) {
		if x, ok := r.tracks[channel][c]; ok && next != y {
			points = append(points, Point{x, y}, Point{x, next})
			y = next
		}
	}
	if l.back {
		for k := 1; k < len(chain); k++ {
			right := chain[k-1]
			turn(r.cells[right].layer, right, level(chain[k]))
		}
		turn(to.layer, r.of[l.to], ty)
	} else {
		if l.side != 0 {
			chain = chain[1:]
		}
		for _, c := range chain {
			turn(r.cells[c].layer, c, level(c))
		}
		turn(to.layer, r.of[l.to], ty)
	}
	return append(points, Point{tx - to.w/2, ty})
}

func shift(points []Point, dy float64) []Point {
	for i := range points {
		points[i].Y += dy
	}
	return points
}
