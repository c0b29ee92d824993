package look

import (
	"math"
	"strconv"
	"strings"
)

// Paint says which of the colours of its drawing a shape takes.
type Paint uint8

// The paints. PaintSafety and PaintContrast are the colours of the sign's
// family, or of the panel that the drawing stands on.
const (
	PaintNone Paint = iota
	PaintSafety
	PaintContrast
	PaintBlack
	PaintWhite
)

// Op is what a segment of a path does.
type Op uint8

// The four segments that every vector format has.
const (
	Move  Op = iota // to P[0]
	Line            // to P[0]
	Cubic           // by the control points P[0] and P[1] to P[2]
	Close           // back to the last Move
)

// Point is a place in a drawing: x to the right, y down, from the top left
// corner.
type Point struct{ X, Y float64 }

// Segment is one absolute path segment.
type Segment struct {
	Op Op
	P  [3]Point
}

// Shape is one path, filled first (non-zero winding) and then stroked with
// round caps and round joins. Shapes are painted in order.
type Shape struct {
	Path         []Segment
	Fill, Stroke Paint
	StrokeWidth  float64
}

// Drawing is a picture in no particular file format. Nothing in it reaches
// outside its size, so it scales to any width without clipping.
type Drawing struct {
	Width, Height    float64
	Safety, Contrast RGB
	Shapes           []Shape
}

// Colour resolves a paint; false for PaintNone.
func (d Drawing) Colour(p Paint) (RGB, bool) {
	switch p {
	case PaintSafety:
		return d.Safety, true
	case PaintContrast:
		return d.Contrast, true
	case PaintBlack:
		return Black, true
	case PaintWhite:
		return White, true
	}
	return RGB{}, false
}

// SVG writes the drawing as an svg element that fills the box it is put in,
// with title as its accessible name. An empty title makes a decorative image,
// for a drawing whose meaning stands in words beside it.
func (d Drawing) SVG(title string) string {
	var b strings.Builder
	b.WriteString(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ` + Number(d.Width) + " " + Number(d.Height) + `"`)
	if title == "" {
		b.WriteString(` aria-hidden="true" focusable="false">`)
	} else {
		b.WriteString(` role="img" focusable="false"><title>` + Escape(title) + `</title>`)
	}
	for _, s := range d.Shapes {
		b.WriteString(`<path d="` + pathData(s.Path) + `"`)
		if c, ok := d.Colour(s.Fill); ok {
			b.WriteString(` fill="` + c.Hex() + `"`)
		} else {
			b.WriteString(` fill="none"`)
		}
		if c, ok := d.Colour(s.Stroke); ok {
			b.WriteString(` stroke="` + c.Hex() + `" stroke-width="` + Number(s.StrokeWidth) +
				`" stroke-linecap="round" stroke-linejoin="round"`)
		}
		b.WriteString(`/>`)
	}
	b.WriteString(`</svg>`)
	return b.String()
}

var escaper = strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;", `"`, "&#34;", "'", "&#39;")

// Escape writes text for the inside of an element or a quoted attribute.
func Escape(s string) string { return escaper.Replace(s) }

// AppendEscaped adds Escape of a text.
func AppendEscaped(b []byte, s string) []byte {
	if strings.ContainsAny(s, `&<>"'`) {
		s = Escape(s)
	}
	return append(b, s...)
}

func pathData(path []Segment) string {
	var b strings.Builder
	for _, s := range path {
		switch s.Op {
		case Move:
			b.WriteString("M")
			writePoints(&b, s.P[:1])
		case Line:
			b.WriteString("L")
			writePoints(&b, s.P[:1])
		case Cubic:
			b.WriteString("C")
			writePoints(&b, s.P[:3])
		case Close:
			b.WriteString("Z")
		}
	}
	return b.String()
}

func writePoints(b *strings.Builder, points []Point) {
	for i, p := range points {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(Number(p.X) + " " + Number(p.Y))
	}
}

// AppendNumber prints a coordinate to a hundredth of a unit, which is finer than
// any printer at the size of a sign or a page.
func AppendNumber(b []byte, v float64) []byte {
	scaled := math.Round(v * 100)
	if !(math.Abs(scaled) < 1<<53) { // not every hundredth is told apart from here on
		return strconv.AppendFloat(b, scaled/100, 'f', -1, 64)
	}
	n := int64(scaled)
	if n < 0 {
		b = append(b, '-')
		n = -n
	}
	b = strconv.AppendInt(b, n/100, 10)
	switch tens, ones := byte('0'+n/10%10), byte('0'+n%10); {
	case ones != '0':
		b = append(b, '.', tens, ones)
	case tens != '0':
		b = append(b, '.', tens)
	}
	return b
}

// Number is AppendNumber as a text.
func Number(v float64) string { return string(AppendNumber(nil, v)) }
