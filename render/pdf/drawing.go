package pdf

import (
	"benchproof/render/look"
)

// A drawing is vector shapes in a box of w by h, painted in order. An item
// scales it to its own size.
type drawing struct {
	w, h   float64
	shapes []shape
	clip   bool // nothing may reach outside the box
}

// A picture is pixels: a PNG or JPEG file that gopdf takes as it is.
type picture struct {
	name string
	data []byte
}

// A shape is a path with its colours; a nil colour is not painted.
type shape struct {
	path         []segment
	fill, stroke *look.RGB
	evenOdd      bool
	line         float64
	round        bool // caps and joins
	// cap, join, miter and dash are as ISO 32000-1, 8.4.3 numbers them.
	cap, join int
	miter     float64
	dash      []float64
	dashFrom  float64
}

type segment struct {
	op look.Op
	p  [3]look.Point
}

func lookDrawing(d look.Drawing) *drawing {
	out := &drawing{w: d.Width, h: d.Height}
	for _, s := range d.Shapes {
		sh := shape{line: s.StrokeWidth, round: true, path: make([]segment, len(s.Path))}
		for i, seg := range s.Path {
			sh.path[i] = segment{op: seg.Op, p: seg.P}
		}
		if c, ok := d.Colour(s.Fill); ok {
			sh.fill = &c
		}
		if c, ok := d.Colour(s.Stroke); ok {
			sh.stroke = &c
		}
		out.shapes = append(out.shapes, sh)
	}
	return out
}

func at(x, y float64) [3]look.Point { return [3]look.Point{{X: x, Y: y}} }

func moveTo(x, y float64) segment { return segment{look.Move, at(x, y)} }
func lineTo(x, y float64) segment { return segment{look.Line, at(x, y)} }
func closed() segment             { return segment{op: look.Close} }

func curveTo(x1, y1, x2, y2, x3, y3 float64) segment {
	return segment{look.Cubic, [3]look.Point{{X: x1, Y: y1}, {X: x2, Y: y2}, {X: x3, Y: y3}}}
}

// quarter is the control length of a cubic that stands for a quarter circle.
const quarter = 0.5522847498

// stadiumPath is a rectangle with half circles for its ends.
func stadiumPath(x, y, w, h float64) []segment {
	r := min(h, w) / 2
	k := r * (1 - quarter)
	return []segment{
		moveTo(x+r, y), lineTo(x+w-r, y), curveTo(x+w-k, y, x+w, y+k, x+w, y+r),
		lineTo(x+w, y+h-r), curveTo(x+w, y+h-k, x+w-k, y+h, x+w-r, y+h),
		lineTo(x+r, y+h), curveTo(x+k, y+h, x, y+h-k, x, y+h-r),
		lineTo(x, y+r), curveTo(x, y+k, x+k, y, x+r, y), closed(),
	}
}

func boxPath(x, y, w, h float64) []segment {
	return []segment{moveTo(x, y), lineTo(x+w, y), lineTo(x+w, y+h), lineTo(x, y+h), closed()}
}

func diamondPath(x, y, w, h float64) []segment {
	return []segment{moveTo(x+w/2, y), lineTo(x+w, y+h/2), lineTo(x+w/2, y+h), lineTo(x, y+h/2), closed()}
}

func black() *look.RGB { c := look.Black; return &c }
func white() *look.RGB { c := look.White; return &c }

func stadiumDrawing(w, h float64) *drawing {
	return &drawing{w: w, h: h, shapes: []shape{{path: stadiumPath(0, 0, w, h), stroke: black(), line: look.ThickLine}}}
}
