package look

import (
	"fmt"
	"math"
	"strconv"
	"strings"
)

// The functions here are the pencil of the sign drawings: a sign is written as
// a few discs, boxes, lines and paths in the short notation of SVG path data.

func fill(p Paint, data string) Shape { return Shape{Path: path(data), Fill: p} }

func line(p Paint, width float64, data string) Shape {
	return Shape{Path: path(data), Stroke: p, StrokeWidth: width}
}

func disc(p Paint, x, y, r float64) Shape { return oval(p, x, y, r, r) }

func ring(p Paint, width, x, y, r float64) Shape {
	return Shape{Path: ovalPath(x, y, r, r), Stroke: p, StrokeWidth: width}
}

func oval(p Paint, x, y, rx, ry float64) Shape {
	return Shape{Path: ovalPath(x, y, rx, ry), Fill: p}
}

// box is a rectangle with corners rounded by r.
func box(p Paint, x, y, w, h, r float64) Shape {
	return Shape{Path: boxPath(x, y, w, h, r), Fill: p}
}

func frame(p Paint, width, x, y, w, h, r float64) Shape {
	return Shape{Path: boxPath(x, y, w, h, r), Stroke: p, StrokeWidth: width}
}

// kappa is the control length that makes a cubic a quarter circle to within
// 0.03 % of the radius: 4/3·(√2−1).
const kappa = 0.5522847498307936

func ovalPath(x, y, rx, ry float64) []Segment {
	kx, ky := rx*kappa, ry*kappa
	return []Segment{
		{Op: Move, P: [3]Point{{x + rx, y}}},
		{Op: Cubic, P: [3]Point{{x + rx, y + ky}, {x + kx, y + ry}, {x, y + ry}}},
		{Op: Cubic, P: [3]Point{{x - kx, y + ry}, {x - rx, y + ky}, {x - rx, y}}},
		{Op: Cubic, P: [3]Point{{x - rx, y - ky}, {x - kx, y - ry}, {x, y - ry}}},
		{Op: Cubic, P: [3]Point{{x + kx, y - ry}, {x + rx, y - ky}, {x + rx, y}}},
		{Op: Close},
	}
}

func boxPath(x, y, w, h, r float64) []Segment {
	if r == 0 {
		return []Segment{
			{Op: Move, P: [3]Point{{x, y}}}, {Op: Line, P: [3]Point{{x + w, y}}},
			{Op: Line, P: [3]Point{{x + w, y + h}}}, {Op: Line, P: [3]Point{{x, y + h}}}, {Op: Close},
		}
	}
	k := r * (1 - kappa)
	return []Segment{
		{Op: Move, P: [3]Point{{x + r, y}}},
		{Op: Line, P: [3]Point{{x + w - r, y}}},
		{Op: Cubic, P: [3]Point{{x + w - k, y}, {x + w, y + k}, {x + w, y + r}}},
		{Op: Line, P: [3]Point{{x + w, y + h - r}}},
		{Op: Cubic, P: [3]Point{{x + w, y + h - k}, {x + w - k, y + h}, {x + w - r, y + h}}},
		{Op: Line, P: [3]Point{{x + r, y + h}}},
		{Op: Cubic, P: [3]Point{{x + k, y + h}, {x, y + h - k}, {x, y + h - r}}},
		{Op: Line, P: [3]Point{{x, y + r}}},
		{Op: Cubic, P: [3]Point{{x, y + k}, {x + k, y}, {x + r, y}}},
		{Op: Close},
	}
}

// place moves shapes: turned by deg clockwise about their origin, scaled, then
// shifted to x, y. Line widths scale with them.
func place(x, y, scale, deg float64, shapes ...Shape) []Shape {
	sin, cos := math.Sincos(deg * math.Pi / 180)
	return transform(shapes, scale, func(p Point) Point {
		return Point{x + scale*(p.X*cos-p.Y*sin), y + scale*(p.X*sin+p.Y*cos)}
	})
}

// shrink scales shapes about the point x, y.
func shrink(scale, x, y float64, shapes []Shape) []Shape {
	return place(x*(1-scale), y*(1-scale), scale, 0, shapes...)
}

// mirror turns shapes over about the upright line at x.
func mirror(x float64, shapes ...Shape) []Shape {
	return transform(shapes, 1, func(p Point) Point { return Point{2*x - p.X, p.Y} })
}

func transform(shapes []Shape, scale float64, to func(Point) Point) []Shape {
	out := make([]Shape, len(shapes))
	for i, s := range shapes {
		moved := make([]Segment, len(s.Path))
		for j, seg := range s.Path {
			moved[j].Op = seg.Op
			for k := range points(seg.Op) {
				moved[j].P[k] = to(seg.P[k])
			}
		}
		s.Path, s.StrokeWidth = moved, s.StrokeWidth*scale
		out[i] = s
	}
	return out
}

// points is how many points a segment uses.
func points(op Op) int {
	switch op {
	case Cubic:
		return 3
	case Close:
		return 0
	}
	return 1
}

// join strings groups of shapes together in painting order.
func join(groups ...[]Shape) []Shape {
	var out []Shape
	for _, g := range groups {
		out = append(out, g...)
	}
	return out
}

func group(shapes ...Shape) []Shape { return shapes }

// path reads SVG path data with the commands M, L, H, V, C, S, Q and Z, large
// and small. The data are constants of this package, so a mistake in them is a
// programming error.
func path(data string) []Segment {
	segments, err := parsePath(data)
	if err != nil {
		panic(fmt.Sprintf("look: path %q: %v", data, err))
	}
	return segments
}

func parsePath(data string) ([]Segment, error) {
	var (
		out        []Segment
		at, start  Point
		lastCubic  Point // second control point of the segment before, for S
		wasCubic   bool
		command    byte
		rest       = data
		take       func() (float64, error)
		takePoint  func(relative bool) (Point, error)
		skipSpaces = func() { rest = strings.TrimLeft(rest, " ,\n\t") }
	)
	take = func() (float64, error) {
		skipSpaces()
		i := 0
		for i < len(rest) && (rest[i] >= '0' && rest[i] <= '9' || rest[i] == '.' || rest[i] == '-' && i == 0) {
			i++
		}
		v, err := strconv.ParseFloat(rest[:i], 64)
		rest = rest[i:]
		return v, err
	}
	takePoint = func(relative bool) (Point, error) {
		x, err := take()
		if err != nil {
			return Point{}, err
		}
		y, err := take()
		if relative {
			x, y = x+at.X, y+at.Y
		}
		return Point{x, y}, err
	}
	for {
		skipSpaces()
		if rest == "" {
			return out, nil
		}
		if c := rest[0]; c >= 'A' && c <= 'z' {
			command, rest = c, rest[1:]
		}
		relative := command >= 'a'
		var err error
		cubic := false
		switch command {
		case 'M', 'm', 'L', 'l':
			var p Point
			p, err = takePoint(relative)
			op := Line
			if command == 'M' || command == 'm' {
				op, start = Move, p
				command-- // to L or l: further pairs are lines
			}
			out, at = append(out, Segment{Op: op, P: [3]Point{p}}), p
		case 'H', 'h', 'V', 'v':
			var v float64
			v, err = take()
			p := at
			switch command {
			case 'H':
				p.X = v
			case 'h':
				p.X += v
			case 'V':
				p.Y = v
			case 'v':
				p.Y += v
			}
			out, at = append(out, Segment{Op: Line, P: [3]Point{p}}), p
		case 'C', 'c', 'S', 's', 'Q', 'q':
			var c1, c2, p Point
			switch command {
			case 'C', 'c', 'Q', 'q':
				c1, err = takePoint(relative)
			default:
				c1 = at
				if wasCubic {
					c1 = Point{2*at.X - lastCubic.X, 2*at.Y - lastCubic.Y}
				}
			}
			if err == nil && command != 'Q' && command != 'q' {
				c2, err = takePoint(relative)
			}
			if err == nil {
				p, err = takePoint(relative)
			}
			if command == 'Q' || command == 'q' {
				q := c1
				c1 = Point{at.X + 2*(q.X-at.X)/3, at.Y + 2*(q.Y-at.Y)/3}
				c2 = Point{p.X + 2*(q.X-p.X)/3, p.Y + 2*(q.Y-p.Y)/3}
			}
			out = append(out, Segment{Op: Cubic, P: [3]Point{c1, c2, p}})
			at, lastCubic, cubic = p, c2, true
		case 'Z', 'z':
			out, at, command = append(out, Segment{Op: Close}), start, 0
		default:
			err = fmt.Errorf("unknown command %q", command)
		}
		if err != nil {
			return nil, err
		}
		wasCubic = cubic
	}
}
