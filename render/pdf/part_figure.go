package pdf

import (
	"math"
	"strconv"
	"strings"

	"benchproof/compiler/document"
	"benchproof/render/figure"
	"benchproof/render/look"
)

// Figures: an image, its numbered marks as balloons on leader lines (ISO 6433),
// and under it the key.

const (
	balloonRadius = 8.5
	balloonRoom   = 2*balloonRadius + 11 // between the image and the far edge of a balloon
	figureHeight  = 230.0                // the most a figure takes, balloons included, unless it stands alone
)

// decoded is a figure ready to be placed; a figure is decoded once a document.
type decoded struct {
	pic     *figure.Picture
	drawing *drawing
	pixels  *picture
	err     error
}

func (g *galley) decode(f *document.Figure) *decoded {
	if d := g.figures[f]; d != nil {
		return d
	}
	d := &decoded{}
	g.figures[f] = d
	d.pic, d.err = figure.Decode(f.Format, f.Data)
	if d.err != nil {
		g.missing.note(f.Name, "the figure cannot be drawn: "+d.err.Error())
		return d
	}
	for _, n := range d.pic.Notes {
		g.missing.note(f.Name, n)
	}
	if d.pic.Pixels != nil {
		d.pixels = &picture{name: f.Name, data: d.pic.Pixels}
		return d
	}
	d.drawing = &drawing{w: d.pic.Width, h: d.pic.Height, clip: true}
	for _, s := range d.pic.Shapes {
		sh := shape{fill: s.Fill, stroke: s.Stroke, evenOdd: s.EvenOdd, line: s.Width, cap: s.Cap, join: s.Join, miter: s.Miter,
			dash: s.Dash, dashFrom: s.DashFrom, path: make([]segment, len(s.Path))}
		for i, seg := range s.Path {
			sh.path[i] = segment{op: seg.Op, p: seg.P}
		}
		d.drawing.shapes = append(d.drawing.shapes, sh)
	}
	return d
}

// figure sets a figure in the column of texts.
func (g *galley) figure(body *elem, f *document.Figure) []atom {
	d := g.decode(f)
	fig := body.child("Figure")
	fig.alt = figureAlt(f, g.w.Colon())
	if d.err != nil {
		out := g.para(body.child("P"), look.TextSize, g.textW-16, strong(g.w.Figure+g.w.Colon()+f.Title), plain(" "+g.w.NotShown+" ("+f.File+")"))
		atoms := whole(append([]atom{gap(6)}, append(indent(out, 8), gap(6))...))
		if len(atoms) > 1 {
			return atoms
		}
		a := atoms[0]
		a.items = append([]item{{kind: frameItem, w: g.textW, h: a.h, line: look.ThinLine}}, a.items...)
		return []atom{a}
	}
	key := g.figureKey(body, f)
	image := g.image(fig, f, d, figureHeight)
	image.h += 3
	if n := min(len(key), 12); n > 0 { // a long key may be cut, a picture without its title may not
		image = merge(append([]atom{image}, key[:n]...))
		key = key[n:]
	}
	return append([]atom{image}, key...)
}

// figureAlt says in words what a figure shows.
func figureAlt(f *document.Figure, colon string) string {
	var b strings.Builder
	b.WriteString(f.Title)
	for i, m := range f.Marks {
		if i == 0 {
			b.WriteString(colon)
		} else {
			b.WriteString(", ")
		}
		b.WriteString(strconv.Itoa(m.Number) + " " + markLabel(m))
	}
	return b.String()
}

func markLabel(m document.FigureMark) string {
	if m.Label == "" && m.Thing != nil {
		return m.Thing.Title
	}
	return m.Label
}

// figureKey is the title and what the marks point at.
func (g *galley) figureKey(body *elem, f *document.Figure) []atom {
	caption := body.child("P")
	pieces := []piece{strong(f.Title)}
	for _, m := range f.Marks {
		pieces = append(pieces, plain(" · "), piece{text: strconv.Itoa(m.Number) + "\u00a0", style: bold, whole: true}, plain(markLabel(m)))
		if m.Thing != nil && m.Thing.Number != "" {
			pieces = append(pieces, plain(" "), piece{text: m.Thing.Number, whole: true})
		}
	}
	return g.para(caption, look.SmallSize, g.textW, pieces...)
}

// image scales the figure to the column and places its balloons.
func (g *galley) image(fig *elem, f *document.Figure, d *decoded, most float64) atom {
	pw, ph := d.pic.Width, d.pic.Height
	marks := placeBalloons(f.Marks, pw, ph)
	var room [4]float64
	for _, m := range marks {
		room[m.side] = balloonRoom
	}
	w, h := g.textW-room[onLeft]-room[onRight], most-room[onTop]-room[onBottom]
	scale := min(w/pw, h/ph, 1.4)
	iw, ih := pw*scale, ph*scale
	x, y := room[onLeft], room[onTop]
	a := atom{h: room[onTop] + ih + room[onBottom]}
	box := item{elem: fig, x: x, y: y, w: iw, h: ih}
	if d.pixels != nil {
		box.kind, box.picture = pictureItem, d.pixels
		a.items = append(a.items, box)
	} else {
		box.kind, box.drawing = drawingItem, d.drawing
		a.items = append(a.items, box)
		for _, t := range d.pic.Texts {
			a.items = append(a.items, g.figureText(fig, t, x, y, scale)...)
		}
	}
	spread(marks, iw, ih, x, y)
	uncross(marks)
	overlay := &drawing{w: g.textW, h: a.h}
	for _, m := range marks {
		overlay.shapes = append(overlay.shapes, leader(m)...)
	}
	if len(marks) > 0 {
		a.items = append(a.items, item{kind: drawingItem, elem: fig, w: g.textW, h: a.h, drawing: overlay})
	}
	for _, m := range marks {
		n := strconv.Itoa(m.number)
		a.items = append(a.items, g.label(fig, bold, look.SmallSize, m.bx-textWidth(bold, look.SmallSize, n)/2, m.by-leading(look.SmallSize)/2, n)...)
	}
	return a
}

// figureText sets a text of an SVG.
func (g *galley) figureText(fig *elem, t figure.Text, x, y, scale float64) []item {
	st := regular
	if t.Bold {
		st = bold
	} else if t.Italic {
		st = italic
	}
	size := t.Size * scale
	if size <= 0 || size > 400 {
		return nil
	}
	lines := g.breaker.lines([]piece{{text: t.Text, style: st, whole: true}}, size, 1e6)
	back := 0.0
	switch t.Anchor {
	case figure.Middle:
		back = lines[0].width / 2
	case figure.End:
		back = lines[0].width
	}
	sin, cos := math.Sincos(t.Angle * math.Pi / 180)
	items := g.runs(fig, nil, lines[0], size, 0)
	for i := range items {
		along := items[i].x - back
		items[i].x = x + t.X*scale + along*cos
		items[i].y = y + t.Y*scale + along*sin
		items[i].angle = t.Angle
		items[i].tint = t.Fill
	}
	return items
}

// --- balloons ------------------------------------------------------------------

type side uint8

const (
	onTop side = iota
	onBottom
	onLeft
	onRight
)

// A balloon is a mark with the place of its number.
type balloon struct {
	number int
	fx, fy float64 // the mark, as fractions of width and height
	side   side
	mx, my float64 // the mark on paper
	bx, by float64 // the middle of the balloon
}

// placeBalloons chooses for each mark the edge of the image it is nearest to.
// An edge takes as many as stand beside each other; more go to the next edge.
func placeBalloons(ms []document.FigureMark, w, h float64) []*balloon {
	out := make([]*balloon, len(ms))
	var taken [4]int
	for i, m := range ms {
		b := &balloon{number: m.Number, fx: clamp(float64(m.X) / 1000), fy: clamp(float64(m.Y) / 1000)}
		// Balloons above and below keep the figure narrow; the sides must be
		// clearly nearer to be chosen.
		near := [4]float64{b.fy * h, (1 - b.fy) * h, b.fx*w + 0.15*w, (1-b.fx)*w + 0.15*w}
		best := -1
		for s := range near {
			if taken[s] >= 8 {
				continue
			}
			if best < 0 || near[s] < near[best] {
				best = s
			}
		}
		if best < 0 {
			best = i % 2
		}
		b.side = side(best)
		taken[best]++
		out[i] = b
	}
	return out
}

func clamp(v float64) float64 { return min(1, max(0, v)) }

// spread sets the balloons of each edge opposite their marks, no two nearer
// than they are wide.
func spread(bs []*balloon, w, h, x, y float64) {
	const out = balloonRadius + 11
	for _, b := range bs {
		b.mx, b.my = x+b.fx*w, y+b.fy*h
	}
	for s := onTop; s <= onRight; s++ {
		var row []*balloon
		for _, b := range bs {
			if b.side == s {
				row = append(row, b)
			}
		}
		if len(row) == 0 {
			continue
		}
		upright := s == onLeft || s == onRight
		along := func(b *balloon) float64 {
			if upright {
				return b.my
			}
			return b.mx
		}
		sortPairs(row, along)
		lo, hi := x, x+w
		if upright {
			lo, hi = y, y+h
		}
		at := spaced1(row, along, lo+balloonRadius, hi-balloonRadius, 2*balloonRadius+5)
		for i, b := range row {
			switch s {
			case onTop:
				b.bx, b.by = at[i], y-out+1
			case onBottom:
				b.bx, b.by = at[i], y+h+out-1
			case onLeft:
				b.bx, b.by = x-out+1, at[i]
			case onRight:
				b.bx, b.by = x+w+out-1, at[i]
			}
		}
	}
}

// spaced1 moves places apart to a least distance, in order, within lo and hi
// as far as they fit.
func spaced1(row []*balloon, along func(*balloon) float64, lo, hi, least float64) []float64 {
	n := len(row)
	at := make([]float64, n)
	if need := float64(n-1) * least; hi-lo < need {
		mid := (lo + hi) / 2
		lo, hi = mid-need/2, mid+need/2
	}
	for i, b := range row {
		at[i] = along(b)
		if i > 0 {
			at[i] = max(at[i], at[i-1]+least)
		}
		at[i] = max(at[i], lo+float64(i)*least)
	}
	for i := n - 1; i >= 0; i-- {
		at[i] = min(at[i], hi-float64(n-1-i)*least)
	}
	return at
}

// uncross exchanges the places of balloons whose leader lines cross. Each
// exchange makes the lines shorter in all, so it comes to an end; the bound is
// for marks that lie on one line.
func uncross(bs []*balloon) {
	for range 4 * len(bs) * len(bs) {
		crossed := false
		for i := range bs {
			for j := i + 1; j < len(bs); j++ {
				a, b := bs[i], bs[j]
				if crosses(a, b) {
					a.bx, b.bx = b.bx, a.bx
					a.by, b.by = b.by, a.by
					a.side, b.side = b.side, a.side
					crossed = true
				}
			}
		}
		if !crossed {
			return
		}
	}
}

// crosses says whether two leader lines cross.
func crosses(a, b *balloon) bool {
	turn := func(px, py, qx, qy, rx, ry float64) float64 { return (qx-px)*(ry-py) - (qy-py)*(rx-px) }
	d1 := turn(a.mx, a.my, a.bx, a.by, b.mx, b.my)
	d2 := turn(a.mx, a.my, a.bx, a.by, b.bx, b.by)
	d3 := turn(b.mx, b.my, b.bx, b.by, a.mx, a.my)
	d4 := turn(b.mx, b.my, b.bx, b.by, a.bx, a.by)
	return d1*d2 < 0 && d3*d4 < 0
}

// leader is the line from a balloon to its mark, ending in a dot within the
// outline it points at (ISO 128-2), on a white line so that it is seen on dark
// ground.
func leader(m *balloon) []shape {
	dx, dy := m.mx-m.bx, m.my-m.by
	l := math.Hypot(dx, dy)
	if l == 0 {
		l = 1
	}
	sx, sy := m.bx+dx/l*balloonRadius, m.by+dy/l*balloonRadius
	path := []segment{moveTo(sx, sy), lineTo(m.mx, m.my)}
	const dot = 1.7
	circle := func(x, y, r float64) []segment { return stadiumPath(x-r, y-r, 2*r, 2*r) }
	return []shape{
		{path: path, stroke: white(), line: 2.6},
		{path: path, stroke: black(), line: look.ThinLine},
		{path: circle(m.mx, m.my, dot+0.8), fill: white()},
		{path: circle(m.mx, m.my, dot), fill: black()},
		{path: circle(m.bx, m.by, balloonRadius), fill: white(), stroke: black(), line: look.ThinLine},
	}
}

func outside(link string) bool {
	l := strings.ToLower(link)
	return strings.HasPrefix(l, "https://") || strings.HasPrefix(l, "http://")
}
