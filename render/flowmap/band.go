package flowmap

import (
	"cmp"
	"slices"
)

// A band is one row of the map: some layers of the graph, with connectors
// where lines leave and enter.
type band struct {
	g      *graph
	items  []item
	links  []link
	layers int
	row    row // where everything is
}

// item is a box of a band: a node of the graph, or a connector.
type item struct {
	node
	graphNode int // for a connector: where its line leads
	layer     int // in the band
	spine     bool
	loops     []int
	// A connector is an entry where a line comes out of it; source is then the
	// graph node that the line started from.
	connector, entry bool
	source           int
	// above and below are the links to or from the items that hang straight
	// over and under this one, -1 for none. An item that hangs has no place of
	// its own in a layer.
	above, below int
	hangs        bool
	// at orders the beginnings of a band: 0 for the one of the main way, under
	// it 1 for those that join it, 2 for those that join each other and 3 for
	// those that stay alone; negative over it.
	at  int
	out []int // links that leave, top to bottom; not those that hang
}

// link is a line of a band. A hanging link goes straight up or down.
type link struct {
	from, to int // items
	edge     int // of the graph
	label    label
	main     bool // goes straight on from its origin
	thick    bool
	back     bool
	hangs    bool
	ends     bool // does not join the straight way again in this band
	again    bool // stays in a loop that the straight way leaves
	side     int  // -1 leaves upwards, 1 downwards, 0 to the right
}

// connectorSize is the least diameter of a connector in points.
const connectorSize = 16.0

// band builds the row of the given nodes: boxes, connectors, which line goes
// straight, up or down. Lines that leave the band for the same node meet in one
// connector if they are to be shared.
func (g *graph) band(t *typist, nodes, bandOf []int, letters map[int]string, shared bool) *band {
	b := &band{g: g}
	at := map[int]int{} // graph node → item
	for _, n := range nodes {
		at[n] = len(b.items)
		b.items = append(b.items, item{node: g.nodes[n], graphNode: n, spine: g.spine[n],
			loops: g.loops[n], above: -1, below: -1})
	}
	connector := func(leads int, entry bool) int {
		w := max(connectorSize, t.width(letters[leads])+0.7*t.size)
		b.items = append(b.items, item{node: node{id: g.nodes[leads].id, kind: Connector, lines: []string{letters[leads]}, w: w, h: w},
			graphNode: leads, connector: true, entry: entry, above: -1, below: -1})
		return len(b.items) - 1
	}
	leaves := map[int]int{} // graph node a line leads to in another band → connector
	for _, n := range nodes {
		for _, e := range g.out[n] {
			ed := g.edges[e]
			l := link{from: at[n], edge: e, label: ed.label, main: e == g.mainOut[n], back: ed.back}
			if bandOf[ed.to] == bandOf[n] {
				l.to = at[ed.to]
			} else {
				c, ok := leaves[ed.to]
				if !ok || !shared {
					c = connector(ed.to, false)
					leaves[ed.to] = c
					b.items[c].loops = g.loops[ed.to]
				}
				l.to, l.back = c, false
			}
			l.thick = l.main && g.spine[n] && g.spine[ed.to]
			b.links = append(b.links, l)
		}
	}
	b.straighten()
	b.setSides()
	b.hang()
	for _, n := range nodes {
		entry := -1
		for _, e := range g.in[n] {
			from := g.edges[e].from
			if bandOf[from] == bandOf[n] {
				continue
			}
			if entry < 0 {
				entry = connector(n, true)
				b.items[entry].source = from
				b.enter(entry, at[n], e, g.edges[e].back)
			}
			last := &b.links[len(b.links)-1]
			last.thick = last.thick || e == g.mainOut[from] && g.spine[from] && g.spine[n]
		}
	}
	b.setLayers()
	b.orderOut()
	return b
}

// setLayers layers what the band holds, connectors among it, and finds which
// ways join the straight one again within the band.
func (b *band) setLayers() {
	sub := &graph{nodes: make([]node, len(b.items))}
	for _, l := range b.links {
		if !l.hangs {
			sub.edges = append(sub.edges, edge{from: l.from, to: l.to, back: l.back})
		}
	}
	sub.index()
	sub.later = make([][]int, len(sub.nodes))
	sub.findLayers()
	sub.findLoops()
	sub.findEnclosed()
	sub.findLayers()
	for i := range b.items {
		b.items[i].layer = sub.layer[i]
		b.layers = max(b.layers, sub.layer[i]+1)
	}
	for _, l := range b.links {
		switch {
		case !l.hangs && b.items[l.from].entry:
			b.items[l.from].layer = b.items[l.to].layer - 1
		case l.hangs && b.items[l.from].hangs:
			b.items[l.from].layer = b.items[l.to].layer
		case l.hangs:
			b.items[l.to].layer = b.items[l.from].layer
		}
	}
	ends := sub.ends()
	b.orderBeginnings(sub, ends)
	for _, links := range b.linksFrom() {
		for _, m := range links {
			if !b.links[m].main || b.links[m].hangs {
				continue
			}
			for _, n := range links {
				l := &b.links[n]
				l.ends = !l.hangs && !l.back && !meet(ends[l.to], ends[b.links[m].to])
			}
		}
	}
}

// straighten lets the first way out that is no way back go straight where a
// node's main way is not among its links.
func (b *band) straighten() {
	has := make([]bool, len(b.items))
	for _, l := range b.links {
		has[l.from] = has[l.from] || l.main
	}
	for i := range b.links {
		if l := &b.links[i]; !has[l.from] && !b.g.edges[l.edge].back {
			l.main, has[l.from] = true, true
		}
	}
}

// setSides decides which lines leave upwards and which downwards. Ways out
// keep the order of the document from top to bottom about the one that goes
// straight on, but under a loop runs its way back: what leaves a loop leaves
// upwards, what alone stays in one goes downwards.
func (b *band) setSides() {
	for _, links := range b.linksFrom() {
		straight, again := -1, false
		for i, n := range links {
			if b.links[n].main {
				straight = i
			}
		}
		for _, n := range links {
			l := &b.links[n]
			l.again = b.g.edges[l.edge].back || straight >= 0 && !l.main && b.loopsApart(*l, b.links[links[straight]])
			again = again || l.again || l.back
		}
		for i, n := range links {
			l := &b.links[n]
			switch {
			case l.main:
				l.side = 0
			case l.again || l.back:
				l.side = 1
			case again || straight >= 0 && b.loopsApart(b.links[links[straight]], *l):
				l.side = -1
			case i < straight:
				l.side = -1
			default:
				l.side = 1
			}
		}
	}
}

// loopsApart tells whether a line stays in a loop that the other leaves.
func (b *band) loopsApart(l, other link) bool {
	return slices.ContainsFunc(b.items[l.from].loops, func(loop int) bool {
		return slices.Contains(b.items[l.to].loops, loop) && !slices.Contains(b.items[other.to].loops, loop)
	})
}

func (b *band) linksFrom() [][]int {
	from := make([][]int, len(b.items))
	for i, l := range b.links {
		from[l.from] = append(from[l.from], i)
	}
	return from
}

// hang hangs finishes and connectors straight under or over the box their only
// line comes from, where it is the only line on that side.
func (b *band) hang() {
	into := make([]int, len(b.items))
	for _, l := range b.links {
		into[l.to]++
	}
	for i, it := range b.items {
		if !it.connector {
			into[i] = len(b.g.in[it.graphNode]) // also from other bands
		}
	}
	from := b.linksFrom()
	for n := range b.items {
		for _, side := range []int{-1, 1} {
			only, count := -1, 0
			for _, l := range from[n] {
				if b.links[l].side == side {
					only = l
					count++
				}
			}
			if count != 1 || b.links[only].back {
				continue
			}
			if to := b.links[only].to; into[to] == 1 && len(from[to]) == 0 {
				b.attach(n, only, side)
			}
		}
	}
}

// attach hangs the other end of a link on item n.
func (b *band) attach(n, l, side int) {
	other := b.links[l].to
	if other == n {
		other = b.links[l].from
	}
	b.links[l].hangs, b.links[l].side = true, side
	b.items[other].hangs = true
	if side < 0 {
		b.items[n].above = l
	} else {
		b.items[n].below = l
	}
}

// enter adds the link from an entry connector to item n: straight from the
// left where nothing else leads to n, else from a free side, below first for
// the way back of a loop.
func (b *band) enter(connector, n, edge int, back bool) {
	l := link{from: connector, to: n, edge: edge, main: true}
	b.links = append(b.links, l)
	led, taken := false, map[int]bool{}
	for _, l := range b.links[:len(b.links)-1] {
		led = led || l.to == n && !l.back
		if l.from == n && l.side != 0 {
			taken[l.side] = true
		}
	}
	if !led {
		return
	}
	sides := []int{-1, 1}
	if back {
		sides = []int{1, -1}
	}
	for _, side := range sides {
		if !taken[side] {
			b.attach(n, len(b.links)-1, side)
			return
		}
	}
}

// meet tells whether two lists have a member in common.
func meet(a, b []int) bool {
	return slices.ContainsFunc(a, func(n int) bool { return slices.Contains(b, n) })
}

// orderBeginnings puts where more than one line enters the band those that join
// the main way nearest to it.
func (b *band) orderBeginnings(sub *graph, ends [][]int) {
	var roots []int
	for _, n := range sub.beginnings() {
		if !b.items[n].hangs {
			roots = append(roots, n)
		}
	}
	if len(roots) < 2 {
		return
	}
	slices.SortStableFunc(roots, func(x, y int) int { return cmp.Compare(b.items[x].graphNode, b.items[y].graphNode) })
	// Where the main way leads to; without one in the band, where the first
	// beginning does.
	way := ends[roots[0]]
	for n, it := range b.items {
		if it.spine && !it.hangs {
			way = ends[n]
			break
		}
	}
	main := roots[0]
	for _, n := range slices.Backward(roots) {
		if b.g.spine[b.items[n].graphNode] || !b.g.spine[b.items[main].graphNode] && meet(ends[n], way) {
			main = n
		}
	}
	side := -1
	for _, n := range roots {
		switch {
		case n == main:
			side = 1
		case meet(ends[n], way):
			b.items[n].at = side
		case slices.ContainsFunc(roots, func(m int) bool { return m != n && meet(ends[n], ends[m]) }):
			b.items[n].at = 2 * side
		default:
			b.items[n].at = 3 * side
		}
	}
}

// orderOut lists the links that leave each item from top to bottom. Ways that
// join again are nearer than dead ends. Downwards come then the ways that stay
// in a loop, then the ways back, the shortest nearest.
func (b *band) orderOut() {
	rank := func(n int) int {
		l := b.links[n]
		switch {
		case l.side < 0 && l.ends:
			return -2
		case l.side < 0:
			return -1
		case l.side == 0:
			return 0
		case l.back:
			return 4 + b.items[l.from].layer - b.items[l.to].layer
		case l.again:
			return 3
		case l.ends:
			return 2
		}
		return 1
	}
	for i, l := range b.links {
		if !l.hangs {
			b.items[l.from].out = append(b.items[l.from].out, i)
		}
	}
	for i := range b.items {
		slices.SortStableFunc(b.items[i].out, func(x, y int) int { return cmp.Compare(rank(x), rank(y)) })
	}
}
