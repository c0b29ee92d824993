package figure

import (
	"fmt"
	"math"
	"strconv"
	"strings"

	"benchproof/render/look"
)

func point(x, y float64) [3]look.Point { return [3]look.Point{{X: x, Y: y}} }

func moveTo(x, y float64) look.Segment { return look.Segment{Op: look.Move, P: point(x, y)} }
func lineTo(x, y float64) look.Segment { return look.Segment{Op: look.Line, P: point(x, y)} }

func cubicTo(x1, y1, x2, y2, x, y float64) look.Segment {
	return look.Segment{Op: look.Cubic, P: [3]look.Point{{X: x1, Y: y1}, {X: x2, Y: y2}, {X: x, Y: y}}}
}

// quarter is the control length of a cubic that stands for a quarter circle.
const quarter = 0.5522847498

func ellipsePath(cx, cy, rx, ry float64) []look.Segment {
	if !(rx > 0) || !(ry > 0) {
		return nil
	}
	kx, ky := rx*quarter, ry*quarter
	return []look.Segment{
		moveTo(cx+rx, cy),
		cubicTo(cx+rx, cy+ky, cx+kx, cy+ry, cx, cy+ry), cubicTo(cx-kx, cy+ry, cx-rx, cy+ky, cx-rx, cy),
		cubicTo(cx-rx, cy-ky, cx-kx, cy-ry, cx, cy-ry), cubicTo(cx+kx, cy-ry, cx+rx, cy-ky, cx+rx, cy),
		{Op: look.Close},
	}
}

// rectPath is a rectangle; a negative radius is one that was not given.
func rectPath(x, y, w, h, rx, ry float64) []look.Segment {
	if !(w > 0) || !(h > 0) {
		return nil
	}
	if rx < 0 {
		rx = ry
	}
	if ry < 0 {
		ry = rx
	}
	rx, ry = min(max(rx, 0), w/2), min(max(ry, 0), h/2)
	if rx == 0 || ry == 0 {
		return []look.Segment{moveTo(x, y), lineTo(x+w, y), lineTo(x+w, y+h), lineTo(x, y+h), {Op: look.Close}}
	}
	kx, ky := rx*(1-quarter), ry*(1-quarter)
	return []look.Segment{
		moveTo(x+rx, y), lineTo(x+w-rx, y), cubicTo(x+w-kx, y, x+w, y+ky, x+w, y+ry),
		lineTo(x+w, y+h-ry), cubicTo(x+w, y+h-ky, x+w-kx, y+h, x+w-rx, y+h),
		lineTo(x+rx, y+h), cubicTo(x+kx, y+h, x, y+h-ky, x, y+h-ry),
		lineTo(x, y+ry), cubicTo(x, y+ky, x+kx, y, x+rx, y), {Op: look.Close},
	}
}

// A scanner reads numbers off path data and lists.
type scanner struct {
	s string
	i int
}

func (p *scanner) space() {
	for p.i < len(p.s) && strings.IndexByte(" \t\r\n,", p.s[p.i]) >= 0 {
		p.i++
	}
}

// number reads the next number; false at anything else.
func (p *scanner) number() (float64, bool) {
	p.space()
	start := p.i
	i := p.i
	if i < len(p.s) && (p.s[i] == '+' || p.s[i] == '-') {
		i++
	}
	digits := 0
	for ; i < len(p.s) && p.s[i] >= '0' && p.s[i] <= '9'; i++ {
		digits++
	}
	if i < len(p.s) && p.s[i] == '.' {
		for i++; i < len(p.s) && p.s[i] >= '0' && p.s[i] <= '9'; i++ {
			digits++
		}
	}
	if digits == 0 {
		return 0, false
	}
	if i+1 < len(p.s) && (p.s[i] == 'e' || p.s[i] == 'E') {
		j := i + 1
		if p.s[j] == '+' || p.s[j] == '-' {
			j++
		}
		if j < len(p.s) && p.s[j] >= '0' && p.s[j] <= '9' {
			for i = j; i < len(p.s) && p.s[i] >= '0' && p.s[i] <= '9'; i++ {
			}
		}
	}
	v, err := strconv.ParseFloat(p.s[start:i], 64)
	if err != nil {
		return 0, false
	}
	p.i = i
	return v, true
}

// flag reads a flag of an arc, which may stand without a space behind it.
func (p *scanner) flag() (bool, bool) {
	p.space()
	if p.i < len(p.s) && (p.s[p.i] == '0' || p.s[p.i] == '1') {
		p.i++
		return p.s[p.i-1] == '1', true
	}
	return false, false
}

// parsePath reads path data (SVG 1.1, 8.3). As the standard asks, what stands
// before a mistake would be drawn; here a mistake is an error, so that no
// figure is half there.
func parsePath(d string) ([]look.Segment, error) {
	p := &scanner{s: d}
	var out []look.Segment
	var x, y, startX, startY, cx, cy float64 // current point, start of the subpath, last control point
	var last byte
	for {
		p.space()
		if p.i >= len(p.s) {
			return out, nil
		}
		cmd := p.s[p.i]
		if strings.IndexByte("MmLlHhVvCcSsQqTtAaZz", cmd) >= 0 {
			p.i++
		} else if last == 0 || last == 'Z' || last == 'z' {
			return nil, fmt.Errorf("path data: %q is no command", string(cmd))
		} else {
			cmd = last
			if cmd == 'M' {
				cmd = 'L'
			} else if cmd == 'm' {
				cmd = 'l'
			}
		}
		if len(out) == 0 && cmd != 'M' && cmd != 'm' {
			return nil, fmt.Errorf("path data begins with %q, not with M", string(cmd))
		}
		if len(out) > maxSegments {
			return nil, fmt.Errorf("more than %d path segments", maxSegments)
		}
		rel := cmd >= 'a'
		ok := true
		num := func(base float64) float64 {
			v, good := p.number()
			ok = ok && good
			if rel {
				return v + base
			}
			return v
		}
		switch cmd | 0x20 {
		case 'm':
			x, y = num(x), num(y)
			startX, startY = x, y
			out = append(out, moveTo(x, y))
		case 'l':
			x, y = num(x), num(y)
			out = append(out, lineTo(x, y))
		case 'h':
			x = num(x)
			out = append(out, lineTo(x, y))
		case 'v':
			y = num(y)
			out = append(out, lineTo(x, y))
		case 'c', 's':
			x1, y1 := x, y
			if cmd|0x20 == 'c' {
				x1, y1 = num(x), num(y)
			} else if l := last | 0x20; l == 'c' || l == 's' {
				x1, y1 = 2*x-cx, 2*y-cy
			}
			x2, y2 := num(x), num(y)
			nx, ny := num(x), num(y)
			out = append(out, cubicTo(x1, y1, x2, y2, nx, ny))
			cx, cy, x, y = x2, y2, nx, ny
		case 'q', 't':
			qx, qy := x, y
			if cmd|0x20 == 'q' {
				qx, qy = num(x), num(y)
			} else if l := last | 0x20; l == 'q' || l == 't' {
				qx, qy = 2*x-cx, 2*y-cy
			}
			nx, ny := num(x), num(y)
			out = append(out, cubicTo(x+2*(qx-x)/3, y+2*(qy-y)/3, nx+2*(qx-nx)/3, ny+2*(qy-ny)/3, nx, ny))
			cx, cy, x, y = qx, qy, nx, ny
		case 'a':
			rel0 := rel
			rel = false
			rx, ry, turn := num(0), num(0), num(0)
			large, good1 := p.flag()
			sweep, good2 := p.flag()
			ok = ok && good1 && good2
			rel = rel0
			nx, ny := num(x), num(y)
			out = append(out, arc(x, y, rx, ry, turn, large, sweep, nx, ny)...)
			x, y = nx, ny
		case 'z':
			out = append(out, look.Segment{Op: look.Close})
			x, y = startX, startY
		}
		if !ok {
			return nil, fmt.Errorf("path data: a number is missing behind %q", string(cmd))
		}
		last = cmd
	}
}

// arc turns an elliptical arc into cubics of at most a quarter turn each
// (SVG 1.1, appendix F.6).
func arc(x1, y1, rx, ry, turn float64, large, sweep bool, x2, y2 float64) []look.Segment {
	rx, ry = math.Abs(rx), math.Abs(ry)
	if x1 == x2 && y1 == y2 {
		return nil
	}
	if rx == 0 || ry == 0 {
		return []look.Segment{lineTo(x2, y2)}
	}
	sin, cos := math.Sincos(turn * math.Pi / 180)
	dx, dy := (x1-x2)/2, (y1-y2)/2
	px, py := cos*dx+sin*dy, -sin*dx+cos*dy
	if l := px*px/(rx*rx) + py*py/(ry*ry); l > 1 {
		rx, ry = rx*math.Sqrt(l), ry*math.Sqrt(l)
	}
	f := (rx*rx*ry*ry - rx*rx*py*py - ry*ry*px*px) / (rx*rx*py*py + ry*ry*px*px)
	f = math.Sqrt(max(0, f))
	if large == sweep {
		f = -f
	}
	qx, qy := f*rx*py/ry, -f*ry*px/rx
	cx, cy := cos*qx-sin*qy+(x1+x2)/2, sin*qx+cos*qy+(y1+y2)/2
	a1 := math.Atan2((py-qy)/ry, (px-qx)/rx)
	a2 := math.Atan2((-py-qy)/ry, (-px-qx)/rx)
	da := a2 - a1
	if sweep && da < 0 {
		da += 2 * math.Pi
	} else if !sweep && da > 0 {
		da -= 2 * math.Pi
	}
	n := max(1, int(math.Ceil(math.Abs(da)/(math.Pi/2)-1e-9)))
	step := da / float64(n)
	k := 4.0 / 3 * math.Tan(step/4)
	at := func(a float64) (x, y, tx, ty float64) {
		s, c := math.Sincos(a)
		ex, ey := rx*c, ry*s
		ux, uy := -rx*s, ry*c
		return cos*ex - sin*ey + cx, sin*ex + cos*ey + cy, cos*ux - sin*uy, sin*ux + cos*uy
	}
	var out []look.Segment
	for i := range n {
		ax, ay, atx, aty := at(a1 + float64(i)*step)
		bx, by, btx, bty := at(a1 + float64(i+1)*step)
		if i == n-1 {
			bx, by = x2, y2
		}
		out = append(out, cubicTo(ax+k*atx, ay+k*aty, bx-k*btx, by-k*bty, bx, by))
	}
	return out
}

// numbers reads a list of numbers, up to the first that is none.
func numbers(s string) []float64 {
	p := &scanner{s: s}
	var out []float64
	for {
		v, ok := p.number()
		if !ok {
			return out
		}
		out = append(out, v)
		for p.i < len(p.s) && (p.s[p.i] >= 'a' && p.s[p.i] <= 'z' || p.s[p.i] == '%') {
			p.i++ // a unit
		}
	}
}

// length reads a length in user units, at 96 to the inch; em is the size of an
// em. A length that is missing, in per cent or none at all is 0.
func length(s string, em float64) float64 {
	p := &scanner{s: strings.TrimSpace(s)}
	v, ok := p.number()
	if !ok {
		return 0
	}
	switch p.s[p.i:] {
	case "mm":
		return v * 96 / 25.4
	case "cm":
		return v * 96 / 2.54
	case "in":
		return v * 96
	case "pt":
		return v * 96 / 72
	case "pc":
		return v * 16
	case "em":
		return v * em
	case "%":
		return 0
	}
	return v
}

// A matrix maps x, y to a·x + c·y + e, b·x + d·y + f.
type matrix struct{ a, b, c, d, e, f float64 }

var identity = matrix{1, 0, 0, 1, 0, 0}

func (m matrix) mul(n matrix) matrix {
	return matrix{m.a*n.a + m.c*n.b, m.b*n.a + m.d*n.b, m.a*n.c + m.c*n.d, m.b*n.c + m.d*n.d,
		m.a*n.e + m.c*n.f + m.e, m.b*n.e + m.d*n.f + m.f}
}

func (m matrix) at(p look.Point) look.Point {
	return look.Point{X: m.a*p.X + m.c*p.Y + m.e, Y: m.b*p.X + m.d*p.Y + m.f}
}

// scale is how much longer lines get, on the mean over all directions.
func (m matrix) scale() float64 { return math.Sqrt(math.Abs(m.a*m.d - m.b*m.c)) }

// angle is the turn of a horizontal line in degrees clockwise.
func (m matrix) angle() float64 { return math.Atan2(m.b, m.a) * 180 / math.Pi }

func parseTransform(s string) (matrix, error) {
	m := identity
	for {
		s = strings.TrimLeft(s, " \t\r\n,")
		if s == "" {
			return m, nil
		}
		name, rest, ok := strings.Cut(s, "(")
		args, after, ok2 := strings.Cut(rest, ")")
		if !ok || !ok2 {
			return m, fmt.Errorf("transform %q is not closed", s)
		}
		s = after
		v := numbers(args)
		arg := func(i int, fallback float64) float64 {
			if i < len(v) {
				return v[i]
			}
			return fallback
		}
		if len(v) == 0 {
			return m, fmt.Errorf("transform %s has no numbers", strings.TrimSpace(name))
		}
		var t matrix
		switch strings.TrimSpace(name) {
		case "matrix":
			if len(v) != 6 {
				return m, fmt.Errorf("transform matrix has %d numbers, not 6", len(v))
			}
			t = matrix{v[0], v[1], v[2], v[3], v[4], v[5]}
		case "translate":
			t = matrix{1, 0, 0, 1, v[0], arg(1, 0)}
		case "scale":
			t = matrix{v[0], 0, 0, arg(1, v[0]), 0, 0}
		case "rotate":
			sin, cos := math.Sincos(v[0] * math.Pi / 180)
			x, y := arg(1, 0), arg(2, 0)
			t = matrix{1, 0, 0, 1, x, y}.mul(matrix{cos, sin, -sin, cos, 0, 0}).mul(matrix{1, 0, 0, 1, -x, -y})
		case "skewX":
			t = matrix{1, 0, math.Tan(v[0] * math.Pi / 180), 1, 0, 0}
		case "skewY":
			t = matrix{1, math.Tan(v[0] * math.Pi / 180), 0, 1, 0, 0}
		default:
			return m, fmt.Errorf("unknown transform %s", strings.TrimSpace(name))
		}
		m = m.mul(t)
	}
}
