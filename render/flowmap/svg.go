package flowmap

import (
	"math"

	"benchproof/render/look"
)

// AppendSVG writes a page as an svg element as wide as the page, in points, that
// may shrink with the box it is put in. Lines and letters take the colour of the
// text around it. title is its accessible name and role what it is to one who
// listens: an image, or a group where it has links in it; link gives the address
// a box leads to, or "" (link may be nil).
func AppendSVG(b []byte, p Page, title, role string, link func(Box) string) []byte {
	w := &svg{b}
	// Half a line stands over at the edges.
	const edge = look.ThickLine
	w.put(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="`).num(-edge).put(" ").num(-edge).put(" ").num(p.Width + 2*edge).put(" ").num(p.Height + 2*edge)
	w.put(`" width="`).num(p.Width + 2*edge).put(`pt" height="`).num(p.Height + 2*edge)
	w.put(`pt" role="`).put(role).put(`" focusable="false" fill="none" stroke="currentColor" font-family="inherit"><title>`).text(title).put(`</title>`)
	for _, l := range p.Lines {
		width := look.ThinLine
		if l.Thick {
			width = look.ThickLine
		}
		w.put(`<path d="`).points(l.Shaft()).put(`" stroke-width="`).num(width).put(`"/>`)
		if l.Arrow {
			w.put(`<path d="`).points(l.Head()).put(`Z" fill="currentColor" stroke="none"/>`)
		}
	}
	texts := make([][]Text, len(p.Boxes))
	for _, t := range p.Texts {
		if t.Box >= 0 && t.Box < len(texts) {
			texts[t.Box] = append(texts[t.Box], t)
		}
	}
	for i, box := range p.Boxes {
		address := ""
		if link != nil {
			address = link(box)
		}
		if address != "" {
			w.put(`<a href="`).text(address).put(`">`)
		}
		w.box(box)
		for _, t := range texts[i] {
			w.line(t)
		}
		if address != "" {
			w.put(`</a>`)
		}
	}
	for _, t := range p.Texts {
		if t.Box < 0 {
			w.line(t)
		}
	}
	return w.put(`</svg>`).b
}

// svg is an element being written.
type svg struct{ b []byte }

func (w *svg) put(s string) *svg  { w.b = append(w.b, s...); return w }
func (w *svg) num(v float64) *svg { w.b = look.AppendNumber(w.b, v); return w }
func (w *svg) text(s string) *svg { w.b = look.AppendEscaped(w.b, s); return w }
func (w *svg) points(list []Point) *svg {
	for i, p := range list {
		if i == 0 {
			w.put("M")
		} else {
			w.put("L")
		}
		w.num(p.X).put(" ").num(p.Y)
	}
	return w
}

// Head is the three points of the line's arrow head, the tip first.
func (l Line) Head() []Point {
	n := len(l.Points)
	if n < 2 {
		return nil
	}
	tip, before := l.Points[n-1], l.Points[n-2]
	dx, dy := tip.X-before.X, tip.Y-before.Y
	length := math.Hypot(dx, dy)
	if length == 0 {
		return nil
	}
	dx, dy = dx/length, dy/length
	x, y := tip.X-dx*ArrowLength, tip.Y-dy*ArrowLength
	const half = ArrowWidth / 2
	return []Point{tip, {x - dy*half, y + dx*half}, {x + dy*half, y - dx*half}}
}

// Shaft is the line's points without the stretch that the arrow head covers,
// so that a thick line does not blunt the tip.
func (l Line) Shaft() []Point {
	n := len(l.Points)
	points := append([]Point(nil), l.Points...)
	if !l.Arrow || n < 2 {
		return points
	}
	before, tip := points[n-2], &points[n-1]
	dx, dy := tip.X-before.X, tip.Y-before.Y
	if length := math.Hypot(dx, dy); length > 0 {
		cut := min(length, ArrowLength-1)
		tip.X, tip.Y = tip.X-dx/length*cut, tip.Y-dy/length*cut
	}
	return points
}

// Corners is the outline of a rectangle or a diamond.
func (b Box) Corners() []Point {
	x, y, w, h := b.X, b.Y, b.W, b.H
	if b.Kind == Decision {
		return []Point{{x + w/2, y}, {x + w, y + h/2}, {x + w/2, y + h}, {x, y + h/2}}
	}
	return []Point{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
}

func (w *svg) box(b Box) {
	// An empty box answers to a click all over.
	const open = ` pointer-events="all" stroke-width="`
	switch b.Kind {
	case Terminator, Connector:
		width := look.ThickLine
		if b.Kind == Connector {
			width = look.ThinLine
		}
		w.put(`<rect x="`).num(b.X).put(`" y="`).num(b.Y).put(`" width="`).num(b.W).put(`" height="`).num(b.H).
			put(`" rx="`).num(b.H / 2).put(`"` + open).num(width).put(`"/>`)
		return
	}
	w.put(`<path d="`).points(b.Corners()).put(`Z"` + open).num(look.ThickLine).put(`"/>`)
}

func (w *svg) line(t Text) {
	anchor := [...]string{Start: "start", Middle: "middle", End: "end"}[t.Anchor]
	w.put(`<text x="`).num(t.X).put(`" y="`).num(t.Y).put(`" font-size="`).num(t.Size).put(`" text-anchor="`).put(anchor).put(`"`)
	if t.Bold {
		w.put(` font-weight="bold"`)
	}
	w.put(` fill="currentColor" stroke="none">`).text(t.Text).put(`</text>`)
}
