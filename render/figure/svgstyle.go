package figure

import (
	"math"
	"strconv"
	"strings"

	"golang.org/x/image/colornames"

	"benchproof/render/look"
)

// A style is the properties of an element that its children take over, apart
// from hidden, which takes them all away.
type style struct {
	fill, stroke                        *string // paint as written; nil: none
	color                               string
	width                               float64
	cap, join                           int
	miter                               float64
	dash                                []float64
	dashFrom                            float64
	evenOdd                             bool
	opacity, fillOpacity, strokeOpacity float64
	size                                float64
	bold, italic                        bool
	anchor                              Anchor
	hidden                              bool
	// own are the properties set on the element itself.
	own map[string]string
}

var blackPaint = "#000000"

// initial are the initial values of SVG 1.1.
var initial = style{fill: &blackPaint, color: "#000000", width: 1, miter: 4, opacity: 1, fillOpacity: 1, strokeOpacity: 1, size: 16}

func (s style) get(n *node, name string) string {
	if v, ok := s.own[name]; ok {
		return v
	}
	return n.attr[name]
}

// A rule of a style sheet with one simple selector.
type rule struct {
	selector string // "*", "path", ".class" or "#id"
	set      map[string]string
}

// parseSheet reads rules with simple selectors; others are passed over.
func parseSheet(css string) []rule {
	for {
		i := strings.Index(css, "/*")
		if i < 0 {
			break
		}
		j := strings.Index(css[i+2:], "*/")
		if j < 0 {
			css = css[:i]
			break
		}
		css = css[:i] + css[i+2+j+2:]
	}
	var out []rule
	for {
		i := strings.IndexByte(css, '{')
		if i < 0 {
			return out
		}
		j := strings.IndexByte(css[i:], '}')
		if j < 0 {
			return out
		}
		set := declarations(css[i+1 : i+j])
		for _, sel := range strings.Split(css[:i], ",") {
			if sel = strings.TrimSpace(sel); sel != "" && !strings.ContainsAny(sel, " >+~:[@") {
				out = append(out, rule{sel, set})
			}
		}
		css = css[i+j+1:]
	}
}

func declarations(s string) map[string]string {
	out := map[string]string{}
	for _, d := range strings.Split(s, ";") {
		k, v, ok := strings.Cut(d, ":")
		if ok {
			out[strings.ToLower(strings.TrimSpace(k))] = strings.TrimSpace(strings.TrimSuffix(strings.TrimSpace(v), "!important"))
		}
	}
	return out
}

// properties are what an element may set, in the order they are read: the font
// size comes first, since lengths in em lean on it.
var properties = []string{"font-size", "color", "fill", "stroke", "stroke-width", "stroke-linecap", "stroke-linejoin", "stroke-miterlimit",
	"stroke-dasharray", "stroke-dashoffset", "fill-rule", "opacity", "fill-opacity", "stroke-opacity", "font-weight", "font-style",
	"text-anchor", "display", "visibility"}

// style returns the style of an element: attributes, then the style sheet (by
// type, class, name), then its own style.
func (d *drawer) style(n *node, parent style) style {
	st := parent
	own := map[string]string{}
	classes := strings.Fields(n.attr["class"])
	for _, kind := range []byte{'e', '.', '#'} {
		for _, r := range d.rules {
			if matches(r.selector, kind, n, classes) {
				for k, v := range r.set {
					own[k] = v
				}
			}
		}
	}
	for k, v := range declarations(n.attr["style"]) {
		own[k] = v
	}
	st.own = own
	for _, p := range properties {
		if v := st.get(n, p); v != "" && v != "inherit" {
			st.set(p, v)
		}
	}
	return st
}

func matches(sel string, kind byte, n *node, classes []string) bool {
	switch sel[0] {
	case '.':
		if kind != '.' {
			return false
		}
		for _, c := range classes {
			if c == sel[1:] {
				return true
			}
		}
		return false
	case '#':
		return kind == '#' && n.attr["id"] == sel[1:] && len(sel) > 1
	}
	return kind == 'e' && (sel == "*" || sel == n.name)
}

func (st *style) set(name, v string) {
	switch name {
	case "font-size":
		st.size = length(v, st.size)
	case "color":
		st.color = v
	case "fill":
		st.fill = paint(v)
	case "stroke":
		st.stroke = paint(v)
	case "stroke-width":
		st.width = max(0, length(v, st.size))
	case "stroke-linecap":
		st.cap = map[string]int{"round": 1, "square": 2}[v]
	case "stroke-linejoin":
		st.join = map[string]int{"round": 1, "bevel": 2}[v]
	case "stroke-miterlimit":
		st.miter = max(1, length(v, 0))
	case "stroke-dasharray":
		st.dash = nil
		if v != "none" {
			sum := 0.0
			for _, x := range numbers(v) {
				st.dash = append(st.dash, math.Abs(x))
				sum += math.Abs(x)
			}
			if sum == 0 || len(st.dash) > 32 {
				st.dash = nil
			}
		}
	case "stroke-dashoffset":
		st.dashFrom = length(v, st.size)
	case "fill-rule":
		st.evenOdd = v == "evenodd"
	case "opacity": // of a group: each of its shapes is paler
		st.opacity *= fraction(v)
	case "fill-opacity":
		st.fillOpacity = fraction(v)
	case "stroke-opacity":
		st.strokeOpacity = fraction(v)
	case "font-weight":
		w, err := strconv.Atoi(v)
		st.bold = v == "bold" || v == "bolder" || err == nil && w >= 600
	case "font-style":
		st.italic = v == "italic" || v == "oblique"
	case "text-anchor":
		st.anchor = map[string]Anchor{"middle": Middle, "end": End}[v]
	case "display":
		st.hidden = v == "none"
	case "visibility":
		st.hidden = v == "hidden" || v == "collapse"
	}
}

func paint(v string) *string {
	if v == "none" || v == "transparent" {
		return nil
	}
	return &v
}

func fraction(v string) float64 {
	f, err := strconv.ParseFloat(strings.TrimSuffix(v, "%"), 64)
	if err != nil || math.IsNaN(f) {
		return 1
	}
	if strings.HasSuffix(v, "%") {
		f /= 100
	}
	return min(1, max(0, f))
}

// colour reads a paint. A gradient is painted as the middle of its stops.
func (d *drawer) colour(p *string, current string) (look.RGB, bool) {
	if p == nil {
		return look.RGB{}, false
	}
	v := strings.ToLower(strings.TrimSpace(*p))
	if v == "currentcolor" {
		v = strings.ToLower(current)
	}
	if rest, ok := strings.CutPrefix(strings.TrimSpace(*p), "url("); ok {
		ref, after, _ := strings.Cut(rest, ")")
		ref = strings.Trim(ref, `"' `)
		if strings.HasPrefix(ref, "#") {
			if n := d.ids[ref[1:]]; n != nil {
				if c, ok := d.stops(n, 0); ok {
					d.note("a gradient is drawn as one colour")
					return c, true
				}
			}
		}
		if after = strings.TrimSpace(after); after != "" && !strings.HasPrefix(after, "url(") {
			return d.colour(&after, current)
		}
		d.note("a pattern is not drawn")
		return look.RGB{}, false
	}
	if c, ok := parseColour(v); ok {
		return c, true
	}
	d.note("the colour " + strconv.Quote(v) + " is not known")
	return look.RGB{}, true
}

// stops is the mean of the stops of a gradient.
func (d *drawer) stops(n *node, depth int) (look.RGB, bool) {
	if n.name != "linearGradient" && n.name != "radialGradient" || depth > 4 {
		return look.RGB{}, false
	}
	var r, g, b, count float64
	for _, k := range n.kids {
		if k.name != "stop" {
			continue
		}
		v := k.attr["stop-color"]
		if s, ok := declarations(k.attr["style"])["stop-color"]; ok {
			v = s
		}
		if c, ok := parseColour(strings.ToLower(v)); ok {
			r, g, b, count = r+float64(c.R), g+float64(c.G), b+float64(c.B), count+1
		}
	}
	if count == 0 {
		if ref := n.attr["href"]; strings.HasPrefix(ref, "#") && d.ids[ref[1:]] != nil {
			return d.stops(d.ids[ref[1:]], depth+1)
		}
		return look.RGB{}, false
	}
	return look.RGB{R: uint8(r / count), G: uint8(g / count), B: uint8(b / count)}, true
}

func parseColour(v string) (look.RGB, bool) {
	if h, ok := strings.CutPrefix(v, "#"); ok {
		if len(h) == 3 || len(h) == 4 {
			h = string([]byte{h[0], h[0], h[1], h[1], h[2], h[2]})
		}
		if len(h) == 8 {
			h = h[:6]
		}
		n, err := strconv.ParseUint(h, 16, 32)
		if err != nil || len(h) != 6 {
			return look.RGB{}, false
		}
		return look.RGB{R: uint8(n >> 16), G: uint8(n >> 8), B: uint8(n)}, true
	}
	for _, f := range []string{"rgb(", "rgba("} {
		if rest, ok := strings.CutPrefix(v, f); ok {
			parts := strings.FieldsFunc(strings.TrimSuffix(rest, ")"), func(r rune) bool { return r == ',' || r == ' ' || r == '/' })
			if len(parts) < 3 {
				return look.RGB{}, false
			}
			var c [3]uint8
			for i := range c {
				if strings.HasSuffix(parts[i], "%") {
					c[i] = uint8(fraction(parts[i])*255 + 0.5)
					continue
				}
				f, err := strconv.ParseFloat(parts[i], 64)
				if err != nil {
					return look.RGB{}, false
				}
				c[i] = uint8(min(255, max(0, f)))
			}
			return look.RGB{R: c[0], G: c[1], B: c[2]}, true
		}
	}
	if c, ok := colornames.Map[v]; ok {
		return look.RGB{R: c.R, G: c.G, B: c.B}, true
	}
	return look.RGB{}, false
}

// blend lays a colour on white paper.
func blend(c look.RGB, opacity float64) *look.RGB {
	if opacity <= 0 {
		return nil
	}
	mix := func(v uint8) uint8 { return uint8(255 - (255-float64(v))*opacity + 0.5) }
	return &look.RGB{R: mix(c.R), G: mix(c.G), B: mix(c.B)}
}
