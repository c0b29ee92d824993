package flowmap

import (
	"math"
	"strings"

	"benchproof/render/look"
)

// SVG writes a page as an svg element as wide as the page, in points, that may
// shrink with the box it is put in. Lines and letters take the colour of the
// text around it. title is its accessible name; link gives the address a box
// leads to, or "" (link may be nil).
func SVG(p Page, title string, link func(Box) string) string {
	var b strings.Builder
	// Half a line stands over at the edges.
	const edge = look.ThickLine
	b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="` + look.Number(-edge) + " " + look.Number(-edge) + " " +
		look.Number(p.Width+2*edge) + " " + look.Number(p.Height+2*edge) + `" width="` + look.Number(p.Width+2*edge) + `pt" height="` + look.Number(p.Height+2*edge) +
		`pt" role="img" focusable="false" fill="none" stroke="currentColor" font-family="inherit"><title>` + look.Escape(title) + `</title>`)
	for _, l := range p.Lines {
		width := look.ThinLine
		if l.Thick {
			width = look.ThickLine
		}
		b.WriteString(`<path d="` + linePath(l) + `" stroke-width="` + look.Number(width) + `"/>`)
		if l.Arrow {
			b.WriteString(`<path d="` + polygon(l.Head()) + `" fill="currentColor" stroke="none"/>`)
		}
	}
	texts := map[int][]Text{}
	for _, t := range p.Texts {
		if t.Box >= 0 {
			texts[t.Box] = append(texts[t.Box], t)
		}
	}
	for i, box := range p.Boxes {
		address := ""
		if link != nil {
			address = link(box)
		}
		if address != "" {
			b.WriteString(`<a href="` + look.Escape(address) + `">`)
		}
		b.WriteString(boxElement(box))
		for _, t := range texts[i] {
			writeText(&b, t)
		}
		if address != "" {
			b.WriteString(`</a>`)
		}
	}
	for _, t := range p.Texts {
		if t.Box < 0 {
			writeText(&b, t)
		}
	}
	b.WriteString(`</svg>`)
	return b.String()
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

func linePath(l Line) string {
	var b strings.Builder
	for i, p := range l.Shaft() {
		if i == 0 {
			b.WriteString("M")
		} else {
			b.WriteString("L")
		}
		b.WriteString(look.Number(p.X) + " " + look.Number(p.Y))
	}
	return b.String()
}

func polygon(points []Point) string {
	var b strings.Builder
	for i, p := range points {
		if i == 0 {
			b.WriteString("M")
		} else {
			b.WriteString("L")
		}
		b.WriteString(look.Number(p.X) + " " + look.Number(p.Y))
	}
	b.WriteString("Z")
	return b.String()
}

// Corners is the outline of a rectangle or a diamond.
func (b Box) Corners() []Point {
	x, y, w, h := b.X, b.Y, b.W, b.H
	if b.Kind == Decision {
		return []Point{{x + w/2, y}, {x + w, y + h/2}, {x + w/2, y + h}, {x, y + h/2}}
	}
	return []Point{{x, y}, {x + w, y}, {x + w, y + h}, {x, y + h}}
}

func boxElement(b Box) string {
	// An empty box answers to a click all over.
	const open = ` pointer-events="all" stroke-width="`
	switch b.Kind {
	case Terminator, Connector:
		width := look.ThickLine
		if b.Kind == Connector {
			width = look.ThinLine
		}
		return `<rect x="` + look.Number(b.X) + `" y="` + look.Number(b.Y) + `" width="` + look.Number(b.W) + `" height="` + look.Number(b.H) +
			`" rx="` + look.Number(b.H/2) + `"` + open + look.Number(width) + `"/>`
	}
	return `<path d="` + polygon(b.Corners()) + `"` + open + look.Number(look.ThickLine) + `"/>`
}

func writeText(b *strings.Builder, t Text) {
	anchor := [...]string{Start: "start", Middle: "middle", End: "end"}[t.Anchor]
	b.WriteString(`<text x="` + look.Number(t.X) + `" y="` + look.Number(t.Y) + `" font-size="` + look.Number(t.Size) + `" text-anchor="` + anchor + `"`)
	if t.Bold {
		b.WriteString(` font-weight="bold"`)
	}
	b.WriteString(` fill="currentColor" stroke="none">` + look.Escape(t.Text) + `</text>`)
}
