package figure

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"io"
	"math"
	"strings"

	"benchproof/render/look"
)

// The part of SVG 1.1 (second edition) that line drawings are made of: shapes,
// paths, groups, transforms, use, text, simple style sheets. The libraries
// looked at either lose line widths under a transform and follow a use that
// holds itself for ever, or bring window systems and typesetters with them.

const (
	maxElements = 20_000
	maxDepth    = 64
	maxSegments = 400_000
)

// A node is an element of the file.
type node struct {
	name string
	attr map[string]string
	kids []*node
	text string // of a text node, whose name is empty
}

func decodeSVG(data []byte) (*Picture, error) {
	root, sheet, err := parseSVG(data)
	if err != nil {
		return nil, err
	}
	d := &drawer{ids: map[string]*node{}, rules: parseSheet(sheet), noted: map[string]bool{}}
	d.index(root)
	return d.picture(root)
}

// parseSVG reads the file into nodes and gathers its style sheets.
func parseSVG(data []byte) (*node, string, error) {
	dec := xml.NewDecoder(bytes.NewReader(data))
	dec.CharsetReader = func(label string, r io.Reader) (io.Reader, error) {
		switch strings.ToLower(label) {
		case "utf-8", "us-ascii":
			return r, nil
		}
		return nil, fmt.Errorf("encoding %q: save the file as UTF-8", label)
	}
	var root *node
	var stack []*node
	var sheet strings.Builder
	count := 0
	for {
		t, err := dec.Token()
		if errors.Is(err, io.EOF) {
			break
		}
		if err != nil {
			return nil, "", err
		}
		switch t := t.(type) {
		case xml.StartElement:
			if count++; count > maxElements {
				return nil, "", fmt.Errorf("more than %d elements", maxElements)
			}
			if len(stack) >= maxDepth {
				return nil, "", fmt.Errorf("elements nested deeper than %d", maxDepth)
			}
			n := &node{name: t.Name.Local, attr: make(map[string]string, len(t.Attr))}
			for _, a := range t.Attr {
				n.attr[a.Name.Local] = a.Value
			}
			if root == nil {
				if n.name != "svg" {
					return nil, "", fmt.Errorf("the first element is %s, not svg", n.name)
				}
				root = n
			} else if len(stack) > 0 {
				top := stack[len(stack)-1]
				top.kids = append(top.kids, n)
			}
			stack = append(stack, n)
		case xml.EndElement:
			stack = stack[:len(stack)-1]
		case xml.CharData:
			if len(stack) == 0 {
				continue
			}
			top := stack[len(stack)-1]
			if top.name == "style" {
				sheet.Write(t)
				continue
			}
			top.kids = append(top.kids, &node{text: string(t)})
		}
	}
	if root == nil {
		return nil, "", errors.New("no svg element")
	}
	return root, sheet.String(), nil
}

// A drawer turns nodes into shapes.
type drawer struct {
	ids      map[string]*node
	rules    []rule
	out      Picture
	segments int
	using    int // depth of use
	elements int
	noted    map[string]bool
}

func (d *drawer) index(n *node) {
	if id := n.attr["id"]; id != "" && d.ids[id] == nil {
		d.ids[id] = n
	}
	for _, k := range n.kids {
		d.index(k)
	}
}

func (d *drawer) note(s string) {
	if !d.noted[s] {
		d.noted[s] = true
		d.out.Notes = append(d.out.Notes, s)
	}
}

func (d *drawer) picture(root *node) (*Picture, error) {
	w, h := length(root.attr["width"], 0), length(root.attr["height"], 0)
	m := identity
	if box := numbers(root.attr["viewBox"]); len(box) == 4 && box[2] > 0 && box[3] > 0 {
		switch {
		case w <= 0 && h <= 0:
			w, h = box[2], box[3]
		case w <= 0:
			w = h * box[2] / box[3]
		case h <= 0:
			h = w * box[3] / box[2]
		}
		sx, sy := w/box[2], h/box[3]
		if root.attr["preserveAspectRatio"] == "none" {
			m = matrix{sx, 0, 0, sy, -box[0] * sx, -box[1] * sy}
		} else {
			s := min(sx, sy)
			m = matrix{s, 0, 0, s, (w-box[2]*s)/2 - box[0]*s, (h-box[3]*s)/2 - box[1]*s}
		}
	}
	if !(w > 0) || !(h > 0) || math.IsInf(w, 0) || math.IsInf(h, 0) || w > 1e6 || h > 1e6 {
		return nil, errors.New("neither viewBox nor width and height give a size")
	}
	d.out.Width, d.out.Height = w, h
	st := initial
	if err := d.kids(root, d.style(root, st), m, 0); err != nil {
		return nil, err
	}
	return &d.out, nil
}

func (d *drawer) kids(n *node, st style, m matrix, depth int) error {
	for _, k := range n.kids {
		if k.name != "" {
			if err := d.draw(k, st, m, depth+1); err != nil {
				return err
			}
		}
	}
	return nil
}

func (d *drawer) draw(n *node, parent style, m matrix, depth int) error {
	if depth > maxDepth {
		return fmt.Errorf("elements nested deeper than %d", maxDepth)
	}
	if d.elements++; d.elements > maxElements {
		return fmt.Errorf("more than %d elements drawn", maxElements)
	}
	switch n.name {
	case "defs", "title", "desc", "metadata", "style", "symbol", "linearGradient", "radialGradient", "namedview", "script", "clipPath", "marker", "mask", "pattern", "filter":
		return nil // definitions are drawn where they are used, or noted there
	}
	st := d.style(n, parent)
	if st.hidden {
		return nil
	}
	if t, ok := n.attr["transform"]; ok {
		tm, err := parseTransform(t)
		if err != nil {
			return err
		}
		m = m.mul(tm)
	}
	for _, a := range []string{"clip-path", "mask", "filter", "marker-start", "marker-mid", "marker-end"} {
		if v := st.get(n, a); v != "" && v != "none" {
			d.note(a + " is not drawn")
		}
	}
	at := func(name string) float64 { return length(n.attr[name], 0) }
	radius := func(name string) float64 {
		if n.attr[name] == "" || n.attr[name] == "auto" {
			return -1
		}
		return at(name)
	}
	switch n.name {
	case "g", "a", "switch":
		return d.kids(n, st, m, depth)
	case "svg":
		m = m.mul(matrix{1, 0, 0, 1, at("x"), at("y")})
		return d.kids(n, st, m, depth)
	case "use":
		return d.use(n, st, m, depth)
	case "path":
		path, err := parsePath(n.attr["d"])
		if err != nil {
			return err
		}
		return d.shape(path, st, m)
	case "rect":
		return d.shape(rectPath(at("x"), at("y"), at("width"), at("height"), radius("rx"), radius("ry")), st, m)
	case "circle":
		return d.shape(ellipsePath(at("cx"), at("cy"), at("r"), at("r")), st, m)
	case "ellipse":
		return d.shape(ellipsePath(at("cx"), at("cy"), at("rx"), at("ry")), st, m)
	case "line":
		st.fill = nil
		return d.shape([]look.Segment{moveTo(at("x1"), at("y1")), lineTo(at("x2"), at("y2"))}, st, m)
	case "polyline", "polygon":
		pts := numbers(n.attr["points"])
		var path []look.Segment
		for i := 0; i+1 < len(pts); i += 2 {
			if i == 0 {
				path = append(path, moveTo(pts[0], pts[1]))
				continue
			}
			path = append(path, lineTo(pts[i], pts[i+1]))
		}
		if n.name == "polygon" && len(path) > 0 {
			path = append(path, look.Segment{Op: look.Close})
		}
		return d.shape(path, st, m)
	case "text":
		d.text(n, st, m)
		return nil
	}
	d.note("the element " + n.name + " is not drawn")
	return nil
}

// use draws a definition again. A use within itself ends at the depth limit of
// uses, and every use counts its elements.
func (d *drawer) use(n *node, st style, m matrix, depth int) error {
	ref := n.attr["href"]
	if !strings.HasPrefix(ref, "#") {
		d.note("what stands outside the file is not drawn")
		return nil
	}
	target := d.ids[ref[1:]]
	if target == nil {
		return fmt.Errorf("use of %s, which is not there", ref)
	}
	if d.using > 16 {
		return fmt.Errorf("use of %s within itself", ref)
	}
	d.using++
	defer func() { d.using-- }()
	m = m.mul(matrix{1, 0, 0, 1, length(n.attr["x"], 0), length(n.attr["y"], 0)})
	if target.name == "symbol" {
		return d.kids(target, d.style(target, st), m, depth+1)
	}
	return d.draw(target, st, m, depth+1)
}

// shape puts a path onto the picture.
func (d *drawer) shape(path []look.Segment, st style, m matrix) error {
	if d.segments += len(path); d.segments > maxSegments {
		return fmt.Errorf("more than %d path segments", maxSegments)
	}
	if len(path) == 0 {
		return nil
	}
	s := Shape{EvenOdd: st.evenOdd, Cap: st.cap, Join: st.join, Miter: st.miter}
	if c, ok := d.colour(st.fill, st.color); ok {
		s.Fill = blend(c, st.fillOpacity*st.opacity)
	}
	scale := m.scale()
	if c, ok := d.colour(st.stroke, st.color); ok && st.width > 0 {
		s.Stroke = blend(c, st.strokeOpacity*st.opacity)
		s.Width = st.width * scale
		for _, v := range st.dash {
			s.Dash = append(s.Dash, v*scale)
		}
		s.DashFrom = st.dashFrom * scale
	}
	if s.Fill == nil && s.Stroke == nil {
		return nil
	}
	s.Path = make([]look.Segment, len(path))
	for i, seg := range path {
		s.Path[i].Op = seg.Op
		for k := range seg.P {
			s.Path[i].P[k] = m.at(seg.P[k])
			if bad(s.Path[i].P[k]) {
				return errors.New("a coordinate is out of all bounds")
			}
		}
	}
	d.out.Shapes = append(d.out.Shapes, s)
	return nil
}

func bad(p look.Point) bool {
	const far = 1e7
	return !(math.Abs(p.X) < far) || !(math.Abs(p.Y) < far)
}

// text sets a text element: its own letters and those of tspans, each at its
// place.
func (d *drawer) text(n *node, st style, m matrix) {
	x, y := first(n.attr["x"]), first(n.attr["y"])
	var walk func(n *node, st style)
	pending := ""
	px, py, pst := x, y, st
	flush := func() {
		s := strings.Join(strings.Fields(pending), " ")
		pending = ""
		if s == "" {
			return
		}
		c, ok := d.colour(pst.fill, pst.color)
		if !ok {
			return
		}
		p := m.at(look.Point{X: px, Y: py})
		if bad(p) {
			return
		}
		d.out.Texts = append(d.out.Texts, Text{X: p.X, Y: p.Y, Size: pst.size * m.scale(), Angle: m.angle(),
			Anchor: pst.anchor, Bold: pst.bold, Italic: pst.italic, Fill: *blend(c, pst.fillOpacity*pst.opacity), Text: s})
	}
	walk = func(n *node, st style) {
		for _, k := range n.kids {
			if k.name == "" {
				if pending == "" {
					pst = st
				}
				pending += k.text
				continue
			}
			if k.name != "tspan" {
				continue
			}
			kst := d.style(k, st)
			_, hasX := k.attr["x"]
			_, hasY := k.attr["y"]
			dy, hasDY := k.attr["dy"]
			if hasX || hasY || hasDY {
				flush()
				if hasX {
					px = first(k.attr["x"])
				}
				if hasY {
					py = first(k.attr["y"])
				}
				if hasDY {
					py += length(dy, kst.size)
				}
			}
			walk(k, kst)
		}
	}
	walk(n, st)
	flush()
}

func first(s string) float64 {
	if n := numbers(s); len(n) > 0 {
		return n[0]
	}
	return 0
}
