package flowmap

import (
	"slices"

	"benchproof/compiler/document"
)

// node is a box of the map before it has a place.
type node struct {
	id    int // in the document's map
	kind  BoxKind
	lines []string
	w, h  float64
	// serviceable marks a finish that puts the machine back to work; the main
	// way leads to one.
	serviceable bool
}

// edge is a flow line before it has a route.
type edge struct {
	from, to int
	label    label
	back     bool
}

// label is the text of a line, wrapped.
type label struct {
	lines []string
	w, h  float64
}

// graph is the map without its cycles, with everything about it that does not
// depend on the room there is.
type graph struct {
	nodes   []node
	edges   []edge
	out, in [][]int // edges by node, in the order of the map
	layer   []int   // longest way from a beginning, over edges that are not back
	mainOut []int   // the edge that goes straight on; -1 where none does
	spine   []bool  // nodes of the main way through the whole job
	loops   [][]int // the loops a node is in, each by its edge back
	// later are nodes that must stand right of a node although no line leads
	// there, so that lines round it need not cross any.
	later [][]int
}

func newGraph(m document.Map, t *typist, branches int) *graph {
	g := &graph{}
	for _, n := range m.Nodes {
		g.nodes = append(g.nodes, t.node(n))
	}
	for _, e := range m.Edges {
		g.edges = append(g.edges, edge{from: e.From, to: e.To, label: t.label(e.Label), back: e.Back || e.From == e.To})
	}
	g.index()
	g.splitWide(t, branches)
	g.later = make([][]int, len(g.nodes))
	g.markCycles()
	g.findLayers()
	g.findLoops()
	g.findEnclosed()
	g.findLayers()
	g.findMain()
	return g
}

func (g *graph) index() {
	g.out, g.in = make([][]int, len(g.nodes)), make([][]int, len(g.nodes))
	for i, e := range g.edges {
		g.out[e.from] = append(g.out[e.from], i)
		g.in[e.to] = append(g.in[e.to], i)
	}
}

// splitWide lets a node with too many ways out go on in a second diamond. The
// first keeps its number of ways, the last of which leads to the second.
func (g *graph) splitWide(t *typist, most int) {
	for n := 0; n < len(g.nodes); n++ { // grows as it goes
		if len(g.out[n]) <= most {
			continue
		}
		moved := g.out[n][most-1:]
		second := t.again(g.nodes[n])
		g.nodes = append(g.nodes, second)
		for _, e := range moved {
			g.edges[e].from = len(g.nodes) - 1
		}
		g.edges = append(g.edges, edge{from: n, to: len(g.nodes) - 1, label: label{}})
		g.index()
	}
}

// beginnings are the nodes no line leads to, or the first of a closed ring.
func (g *graph) beginnings() []int {
	var b []int
	for n := range g.nodes {
		if !slices.ContainsFunc(g.in[n], func(e int) bool { return !g.edges[e].back }) {
			b = append(b, n)
		}
	}
	return b
}

// markCycles marks as back every edge that closes a cycle of those not yet
// marked: the ones that a depth-first walk finds leading to a node that it is
// still in.
func (g *graph) markCycles() {
	const (
		fresh = iota
		open
		done
	)
	state := make([]uint8, len(g.nodes))
	type frame struct{ node, next int }
	walk := func(root int) {
		stack := []frame{{root, 0}}
		state[root] = open
		for len(stack) > 0 {
			f := &stack[len(stack)-1]
			if f.next == len(g.out[f.node]) {
				state[f.node] = done
				stack = stack[:len(stack)-1]
				continue
			}
			e := &g.edges[g.out[f.node][f.next]]
			f.next++
			switch {
			case e.back:
			case state[e.to] == open:
				e.back = true
			case state[e.to] == fresh:
				state[e.to] = open
				stack = append(stack, frame{e.to, 0})
			}
		}
	}
	for _, n := range g.beginnings() {
		walk(n)
	}
	for n := range g.nodes {
		if state[n] == fresh {
			walk(n)
		}
	}
}

// topological returns the nodes so that every edge that is not back leads
// forward, earlier nodes first where there is a choice. What must stand right
// of a node comes after it, unless the graph contradicts itself there.
func (g *graph) topological() []int {
	order := g.sorted(g.later)
	if len(order) < len(g.nodes) {
		g.later = make([][]int, len(g.nodes))
		order = g.sorted(g.later)
	}
	return order
}

func (g *graph) sorted(later [][]int) []int {
	missing := make([]int, len(g.nodes))
	for _, e := range g.edges {
		if !e.back {
			missing[e.to]++
		}
	}
	for _, l := range later {
		for _, n := range l {
			missing[n]++
		}
	}
	var order []int
	for n := range g.nodes {
		if missing[n] == 0 {
			order = append(order, n)
		}
	}
	reach := func(n int) {
		if missing[n]--; missing[n] == 0 {
			order = append(order, n)
		}
	}
	for i := 0; i < len(order); i++ {
		for _, e := range g.out[order[i]] {
			if !g.edges[e].back {
				reach(g.edges[e].to)
			}
		}
		for _, n := range later[order[i]] {
			reach(n)
		}
	}
	return order
}

func (g *graph) findLayers() {
	g.layer = make([]int, len(g.nodes))
	for _, n := range g.topological() {
		for _, e := range g.out[n] {
			if to := g.edges[e].to; !g.edges[e].back {
				g.layer[to] = max(g.layer[to], g.layer[n]+1)
			}
		}
		for _, to := range g.later[n] {
			g.layer[to] = max(g.layer[to], g.layer[n]+1)
		}
	}
	// An edge that the document calls a way back but that leads forward is a
	// way forward.
	for i := range g.edges {
		e := &g.edges[i]
		e.back = g.layer[e.to] <= g.layer[e.from]
	}
}

// findMain chooses the edge that goes straight on from each node: the one that
// leads furthest towards a serviceable finish, and of those the most direct
// one, so that the main way runs past the extra work of the branches.
func (g *graph) findMain() {
	order := g.topological()
	// reach is the layer of the deepest serviceable finish a node leads to,
	// above all layers; without one, of the deepest node.
	reach := make([]int, len(g.nodes))
	for _, n := range slices.Backward(order) {
		reach[n] = g.layer[n]
		if g.nodes[n].serviceable {
			reach[n] += len(g.nodes)
		}
		for _, e := range g.out[n] {
			if !g.edges[e].back {
				reach[n] = max(reach[n], reach[g.edges[e].to])
			}
		}
	}
	g.mainOut = make([]int, len(g.nodes))
	for n := range g.nodes {
		g.mainOut[n] = -1
		for _, e := range g.out[n] {
			if g.edges[e].back {
				continue
			}
			to := g.edges[e].to
			if best := g.mainOut[n]; best < 0 || reach[to] > reach[g.edges[best].to] ||
				reach[to] == reach[g.edges[best].to] && g.layer[to] > g.layer[g.edges[best].to] {
				g.mainOut[n] = e
			}
		}
	}
	g.spine = make([]bool, len(g.nodes))
	n := 0
	for i := range g.nodes {
		if g.layer[i] == 0 && (g.layer[n] != 0 || reach[i] > reach[n]) {
			n = i
		}
	}
	for g.spine[n] = true; g.mainOut[n] >= 0; g.spine[n] = true {
		n = g.edges[g.mainOut[n]].to
	}
}
