package flowmap

import "slices"

// findLoops finds the loops each node is in, and what must stand right of it.
// The loop of an edge back is its end and every node that leads to its start
// without passing the end.
func (g *graph) findLoops() {
	g.loops = make([][]int, len(g.nodes))
	g.later = make([][]int, len(g.nodes))
	in := func(n, loop int) bool { // loops come in order: the last tells
		l := g.loops[n]
		return len(l) > 0 && l[len(l)-1] == loop
	}
	reached := make([]int, len(g.nodes)) // loop whose start was found to lead to the node
	for i, e := range g.edges {
		if !e.back {
			continue
		}
		g.loops[e.to] = append(g.loops[e.to], i)
		body := []int{}
		visit := func(n int) {
			if !in(n, i) && g.layer[n] >= g.layer[e.to] {
				g.loops[n] = append(g.loops[n], i)
				body = append(body, n)
			}
		}
		visit(e.from)
		for k := 0; k < len(body); k++ {
			for _, l := range g.in[body[k]] {
				visit(g.edges[l].from)
			}
		}
		// Inner ways back end in nodes that do not lead on to the start.
		after := []int{e.from}
		reached[e.from] = i + 1
		for k := 0; k < len(after); k++ {
			for _, l := range g.out[after[k]] {
				if to := g.edges[l].to; !g.edges[l].back && reached[to] != i+1 && in(to, i) {
					reached[to] = i + 1
					after = append(after, to)
				}
			}
		}
		for _, n := range body {
			if reached[n] != i+1 {
				g.later[n] = append(g.later[n], e.from)
			}
		}
	}
}

// dominators finds for each node the last one that every way to it passes; -1
// where there is none. In an acyclic graph one pass in topological order does
// (Cooper, Harvey and Kennedy 2001).
func (g *graph) dominators(order []int) []int {
	position := make([]int, len(g.nodes))
	for i, n := range order {
		position[n] = i
	}
	above := make([]int, len(g.nodes))
	for _, n := range order {
		above[n] = -1
		first := true
		for _, e := range g.in[n] {
			if g.edges[e].back {
				continue
			}
			p := g.edges[e].from
			if first {
				above[n], first = p, false
				continue
			}
			a := above[n]
			for a != p {
				if p == -1 || a != -1 && position[a] > position[p] {
					a = above[a]
				} else {
					p = above[p]
				}
			}
			above[n] = a
		}
	}
	return above
}

// childrenOf turns a dominator tree round.
func childrenOf(above, order []int) [][]int {
	children := make([][]int, len(above))
	for _, n := range order {
		if a := above[n]; a >= 0 {
			children[a] = append(children[a], n)
		}
	}
	return children
}

// findEnclosed finds dead ends within branches that join others again: the
// join must stand right of them, or the lines that meet there would have to
// cross the lines that lead to them.
func (g *graph) findEnclosed() {
	order := g.topological()
	above := g.dominators(order)
	children := childrenOf(above, order)
	// A line out of the subtree of b leads to a node no deeper in the tree.
	deep := make([]int, len(g.nodes))
	for _, n := range order {
		if above[n] >= 0 {
			deep[n] = deep[above[n]] + 1
		}
	}
	least := make([]int, len(g.nodes))
	var branches []int
	for _, n := range slices.Backward(order) {
		least[n] = len(g.nodes)
		for _, e := range g.out[n] {
			if !g.edges[e].back {
				least[n] = min(least[n], deep[g.edges[e].to])
			}
		}
		for _, c := range children[n] {
			least[n] = min(least[n], least[c])
		}
		if alone := above[n] >= 0 && len(children[above[n]]) == 1; least[n] <= deep[n] && !alone {
			branches = append(branches, n)
		}
	}
	inside := make([]int, len(g.nodes)) // branch that saw the node last
	for _, branch := range branches {
		part := []int{branch}
		inside[branch] = branch + 1
		for k := 0; k < len(part); k++ {
			for _, c := range children[part[k]] {
				inside[c] = branch + 1
				part = append(part, c)
			}
		}
		join := -1
		var ends []int
		for _, p := range part {
			end := true
			for _, l := range g.out[p] {
				to := g.edges[l].to
				if g.edges[l].back {
					continue
				}
				end = false
				if inside[to] != branch+1 && (join < 0 || g.layer[to] < g.layer[join]) {
					join = to
				}
			}
			if end {
				ends = append(ends, p)
			}
		}
		if join < 0 {
			continue
		}
		for _, p := range ends {
			g.later[p] = append(g.later[p], join)
		}
	}
}

// ends lists for each node the dead ends it leads to, in ascending order.
func (g *graph) ends() [][]int {
	ends := make([][]int, len(g.nodes))
	for _, n := range slices.Backward(g.topological()) {
		for _, e := range g.out[n] {
			if !g.edges[e].back {
				ends[n] = append(ends[n], ends[g.edges[e].to]...)
			}
		}
		if len(ends[n]) == 0 {
			ends[n] = []int{n}
		}
		slices.Sort(ends[n])
		ends[n] = slices.Compact(ends[n])
	}
	return ends
}
