package pdf

import (
	"strconv"
	"strings"

	"benchproof/compiler/document"
	"benchproof/render/flowmap"
	"benchproof/render/look"
)

// jobMap draws the map of the job: each band of its layout is one.
func (g *galley) jobMap() {
	if len(g.doc.Map.Nodes) == 0 {
		return
	}
	g.part(g.w.JobMap, "")
	width := g.right - g.left
	pages, err := flowmap.Layout(g.doc.Map, flowmap.Options{Width: width - 4, MaxHeight: g.pageRoom() * 0.34, Size: look.SmallSize, Apart: true,
		Measure: func(text string, size float64) float64 { return textWidth(regular, size, text) }})
	if err != nil {
		g.fail(err)
		return
	}
	for i, p := range pages {
		fig := g.sect.child("Figure")
		fig.alt = g.w.JobMap
		if i == 0 {
			fig.alt = strings.Join(g.doc.Map.Text, " ")
		}
		b := g.mapBand(fig, p, width, i)
		b.anchors = []anchor{{name: mapAnchor(i)}}
		if i > 0 {
			b.space = 10
		}
		g.put(b, freely)
	}
}

// mapAnchor is the place of a part of the map.
func mapAnchor(i int) string { return "map-" + strconv.Itoa(i+1) }

func (g *galley) mapBand(fig *elem, p flowmap.Page, width float64, sheet int) *band {
	scale := min(1, width/p.Width, (g.pageRoom()-40)/p.Height)
	const above = 6.0
	b := &band{h: p.Height*scale + above + 4}
	dx := g.left + (width-p.Width*scale)/2
	d := &drawing{w: p.Width, h: p.Height}
	for _, l := range p.Lines {
		d.shapes = append(d.shapes, flowLine(l)...)
	}
	for _, bx := range p.Boxes {
		s := shape{stroke: black(), line: look.ThickLine, fill: white()}
		switch bx.Kind {
		case flowmap.Decision:
			s.path = diamondPath(bx.X, bx.Y, bx.W, bx.H)
		case flowmap.Terminator, flowmap.Connector:
			s.path = stadiumPath(bx.X, bx.Y, bx.W, bx.H)
		default:
			s.path = boxPath(bx.X, bx.Y, bx.W, bx.H)
		}
		if bx.Kind == flowmap.Connector {
			s.line = look.ThinLine
		}
		d.shapes = append(d.shapes, s)
	}
	b.items = append(b.items, item{kind: drawingItem, elem: fig, x: dx, y: above, w: p.Width * scale, h: p.Height * scale, drawing: d})
	for _, t := range p.Texts {
		st := regular
		if t.Bold {
			st = bold
		}
		size := t.Size * scale
		x := dx + t.X*scale
		w := textWidth(st, size, t.Text)
		switch t.Anchor {
		case flowmap.Middle:
			x -= w / 2
		case flowmap.End:
			x -= w
		}
		items := g.label(fig, st, size, x, above+t.Y*scale-baseline(size), t.Text)
		b.items = append(b.items, items...)
	}
	for _, bx := range p.Boxes {
		if bx.Kind == flowmap.Connector && bx.Sheet != sheet {
			// Where the other half of the line is, if not on this page.
			to := &late{anchor: mapAnchor(bx.Sheet), prefix: g.w.Page + "\u00a0", elsewhere: true}
			w := textWidth(regular, look.SmallSize, to.prefix+g.room)
			x := min(max(dx+(bx.X+bx.W/2)*scale-w/2, g.left), g.right-w)
			l := g.breaker.lines([]piece{{text: to.prefix + g.room, whole: true, late: to}}, look.SmallSize, width)
			for _, it := range g.runs(fig, nil, l[0], look.SmallSize, x) {
				it.y += above + (bx.Y+bx.H)*scale - 1
				b.items = append(b.items, it)
			}
			b.h = max(b.h, above+(bx.Y+bx.H)*scale+leading(look.SmallSize))
		}
		if bx.Node < 0 || bx.Node >= len(g.doc.Map.Nodes) {
			continue
		}
		if to := g.nodeTarget(g.doc.Map.Nodes[bx.Node]); to != nil {
			b.items = append(b.items, item{kind: linkItem, elem: fig.parent.child("Link"), x: dx + bx.X*scale, y: above + bx.Y*scale, w: bx.W * scale, h: bx.H * scale, to: to})
		}
	}
	return b
}

// nodeTarget is where a click on a box of the map leads.
func (g *galley) nodeTarget(n document.MapNode) *target {
	if n.Finish != "" {
		return g.finishTarget(n.Finish)
	}
	return g.stepTarget(n.Step)
}

// flowLine is a line of the map with its arrow head.
func flowLine(l flowmap.Line) []shape {
	if len(l.Points) < 2 {
		return nil
	}
	s := shape{stroke: black(), line: look.ThinLine}
	if l.Thick {
		s.line = look.ThickLine
	}
	pts := append([]flowmap.Point(nil), l.Points...)
	var head *shape
	if l.Arrow {
		end, before := pts[len(pts)-1], pts[len(pts)-2]
		dx, dy := sign(end.X-before.X), sign(end.Y-before.Y)
		back := flowmap.Point{X: end.X - dx*flowmap.ArrowLength, Y: end.Y - dy*flowmap.ArrowLength}
		const half = flowmap.ArrowWidth / 2
		head = &shape{fill: black(), path: []segment{moveTo(end.X, end.Y),
			lineTo(back.X-dy*half, back.Y+dx*half), lineTo(back.X+dy*half, back.Y-dx*half), closed()}}
		pts[len(pts)-1] = flowmap.Point{X: end.X - dx*flowmap.ArrowLength/2, Y: end.Y - dy*flowmap.ArrowLength/2}
	}
	for i, q := range pts {
		if i == 0 {
			s.path = append(s.path, moveTo(q.X, q.Y))
			continue
		}
		s.path = append(s.path, lineTo(q.X, q.Y))
	}
	if head == nil {
		return []shape{s}
	}
	return []shape{s, *head}
}

func sign(v float64) float64 {
	switch {
	case v > 0.01:
		return 1
	case v < -0.01:
		return -1
	}
	return 0
}
