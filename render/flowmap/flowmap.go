// Package flowmap lays out the job map: a flow chart with the symbols of
// ISO 5807 that SVG and PDF paint alike.
//
// Input is the map of a document and the size of the paper; output is a list
// of pages of boxes, lines and texts in points, which hold no decision for a
// painter to make. The flow runs from left to right in bands that follow each
// other down the page like lines of text; a line that leaves its band ends in
// a lettered connector and goes on from the connector with the same letter.
//
// The layout is the layered one of Sugiyama, Tagawa and Toda (1981): layers by
// longest path, order within a layer, straight segments, orthogonal routes. It
// always holds that no two boxes overlap and that no line passes through a
// box; a structured map (branches that join again or finish, loops that nest)
// has no crossing lines. Equal maps give equal pages.
package flowmap

import (
	"errors"
	"fmt"

	"benchproof/compiler/document"
	"benchproof/render/look"
)

// Options say how much room there is. Lengths are in points.
type Options struct {
	// Width and MaxHeight are the room on one page. A page is wider or higher
	// only where a single decision does not fit; a painter then scales it down.
	Width, MaxHeight float64
	// Size is the type size; 0 is look.SmallSize.
	Size float64
	// Apart puts each band on a page of its own, for a painter that places them
	// itself; a connector's Sheet then tells the band.
	Apart bool
	// Measure gives the width of a text in the regular face.
	Measure func(text string, size float64) float64
}

// BoxKind is the symbol of a box (ISO 5807).
type BoxKind uint8

// The symbols. A connector stands where a line leaves or enters a band.
const (
	Process    BoxKind = iota // rectangle
	Decision                  // diamond
	Terminator                // stadium
	Connector                 // circle
)

// Point is a place on a page: x to the right, y down, from the top left.
type Point struct{ X, Y float64 }

// Box is a symbol, drawn with a line of look.ThickLine (a connector with
// look.ThinLine) and not filled. X and Y are its top left corner.
type Box struct {
	Kind       BoxKind
	X, Y, W, H float64
	// Node is the ID of its node in the map. For a connector it is the node
	// that its line leads to.
	Node int
	// Sheet is for a connector the index of the page where its line goes on,
	// or came from; for other boxes the page they are on.
	Sheet int
}

// Line is a flow line, drawn with look.ThickLine where it is Thick (the main
// way through the job) and with look.ThinLine elsewhere. Lines of the same
// origin or the same end share a stretch.
type Line struct {
	Points []Point
	Arrow  bool // a filled head at the last point
	Thick  bool
	// From and To are the IDs of the nodes that the flow goes between, also
	// where this line is only the stretch to or from a connector.
	From, To int
}

// Anchor says which point of a text its X is.
type Anchor uint8

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// Text is one line of text with its base line at Y.
type Text struct {
	X, Y, Size float64
	Anchor     Anchor
	Bold       bool
	Text       string
	// Box is the index of the box that holds the text, -1 for the label of a
	// line.
	Box int
}

// Page is one page of the map, drawn in this order: lines, boxes, texts.
// Everything lies between 0,0 and Width,Height.
type Page struct {
	Width, Height float64
	Lines         []Line
	Boxes         []Box
	Texts         []Text
}

// ArrowLength and ArrowWidth are the size of an arrow head (ISO 128: a filled
// head about three times as long as wide).
const (
	ArrowLength = 6.0
	ArrowWidth  = 4.0
)

// Layout places the map. It errs where an edge names a node that is not there,
// where a node's ID is not its index, and where the options are unusable.
func Layout(m document.Map, o Options) ([]Page, error) {
	if o.Measure == nil {
		return nil, errors.New("job map: no way to measure text")
	}
	if !(o.Width > 0) || !(o.MaxHeight > 0) {
		return nil, fmt.Errorf("job map: no room: width %g, height %g", o.Width, o.MaxHeight)
	}
	if o.Size == 0 {
		o.Size = look.SmallSize
	}
	if !(o.Size > 0) {
		return nil, fmt.Errorf("job map: type size %g", o.Size)
	}
	for i, n := range m.Nodes {
		if n.ID != i {
			return nil, fmt.Errorf("job map: node %d has the number %d", i, n.ID)
		}
	}
	for _, e := range m.Edges {
		if e.From < 0 || e.From >= len(m.Nodes) || e.To < 0 || e.To >= len(m.Nodes) {
			return nil, fmt.Errorf("job map: a line from %d to %d, but there are %d nodes", e.From, e.To, len(m.Nodes))
		}
	}
	if len(m.Nodes) == 0 {
		return nil, nil
	}
	t := typist{size: o.Size, measure: o.Measure, widths: map[string]float64{}}
	// Branches side by side make a band high, and wide boxes a row long. Where
	// a band comes out larger than the page, the map is cut smaller.
	lanes, branches, width := max(2, int(o.MaxHeight/t.laneHeight())), maxBranches, o.Width
	for {
		g := newGraph(m, &t, branches)
		bands := g.cut(&t, width, lanes)
		high, wide := false, false
		for _, b := range bands {
			b.layout(o.Width)
			high = high || b.row.height > o.MaxHeight
			wide = wide || b.row.width > o.Width+0.01 && b.layers > 3
		}
		if (!high || lanes == 2 && branches == 3) && (!wide || width < o.Width/2) {
			return paginate(g, &t, bands, o), nil
		}
		if high {
			lanes, branches = max(2, lanes*2/3), max(3, min(branches, lanes)*4/5)
		}
		if wide {
			width *= 0.9
		}
	}
}

// maxBranches is the most ways out of one diamond; a decision with more goes
// on in a second diamond to its right.
const maxBranches = 10

// bandGap is the white between two bands.
const bandGap = 20.0

// paginate stacks the bands down the pages.
func paginate(g *graph, t *typist, bands []*band, o Options) []Page {
	sheetOf := make([]int, len(g.nodes))
	tops := make([]float64, len(bands))
	sheet, y := 0, 0.0
	for i, b := range bands {
		if y > 0 && (o.Apart || y+bandGap+b.row.height > o.MaxHeight) {
			sheet, y = sheet+1, 0
		}
		if y > 0 {
			y += bandGap
		}
		tops[i] = y
		y += b.row.height
		for _, it := range b.items {
			if !it.connector {
				sheetOf[it.graphNode] = sheet
			}
		}
	}
	pages := make([]Page, sheet+1)
	for i, b := range bands {
		sheet := 0
		for _, it := range b.items {
			if !it.connector {
				sheet = sheetOf[it.graphNode]
			}
		}
		p := &pages[sheet]
		b.paint(t, p, tops[i], sheetOf)
		p.Width = max(p.Width, o.Width, b.row.width)
		p.Height = max(p.Height, tops[i]+b.row.height)
	}
	return pages
}
