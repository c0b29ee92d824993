package rules

import "encoding/xml"

// A usedGroup is an element of a drawing that has a name, or the drawing
// itself: how many elements it holds, those of named ones within it left out,
// and what it draws besides, by name.
type usedGroup struct {
	elements int
	draws    []string
	inner    []*usedGroup
}

// uses follows what a drawing draws by name (use), which a few lines can
// multiply without bound: a reader of the document would never see its end.
type uses struct {
	whole *usedGroup
	named map[string]*usedGroup
	stack []*usedGroup // of the elements open
}

func newUses() *uses {
	return &uses{whole: &usedGroup{}, named: map[string]*usedGroup{}}
}

func (u *uses) open(t xml.StartElement) {
	at := u.whole
	if n := len(u.stack); n > 0 {
		at = u.stack[n-1]
	}
	var id, href string
	for _, a := range t.Attr {
		switch a.Name.Local {
		case "id":
			id = a.Value
		case "href":
			href = a.Value
		}
	}
	if id != "" {
		g := &usedGroup{}
		at.inner = append(at.inner, g)
		if u.named[id] == nil {
			u.named[id] = g
		}
		at = g
	}
	at.elements++
	if t.Name.Local == "use" && len(href) > 1 {
		at.draws = append(at.draws, href[1:])
	}
	u.stack = append(u.stack, at)
}

func (u *uses) close() { u.stack = u.stack[:len(u.stack)-1] }

// judge counts the elements as drawn, each named one once.
func (u *uses) judge() *fileFault {
	known, open := map[*usedGroup]int{}, map[*usedGroup]bool{}
	var bad *fileFault
	var count func(g *usedGroup, nested int) int
	count = func(g *usedGroup, nested int) int {
		if n, ok := known[g]; ok || bad != nil {
			return n
		}
		switch {
		case open[g]:
			bad = fault("take one of the uses out", "draws a part of itself within itself, without end")
			return 0
		case nested > maxUsesSVG:
			bad = fault("make the drawing simpler", "draws parts within parts over %d deep", maxUsesSVG)
			return 0
		}
		open[g] = true
		n := g.elements
		for _, inner := range g.inner {
			n = min(n+count(inner, nested+1), maxElementsSVG+1)
		}
		for _, name := range g.draws {
			if to := u.named[name]; to != nil {
				n = min(n+count(to, nested+1), maxElementsSVG+1)
			}
		}
		open[g] = false
		known[g] = n
		return n
	}
	if n := count(u.whole, 0); bad == nil && n > maxElementsSVG {
		bad = fault("make the drawing simpler", "draws over %d elements, parts counted as often as they are used", maxElementsSVG)
	}
	return bad
}
