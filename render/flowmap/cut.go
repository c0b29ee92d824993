package flowmap

import (
	"cmp"
	"math"
	"slices"
)

// cut divides the graph into bands no wider than width and, as far as can be
// told before they are laid out, no higher than the given number of lanes.
func (g *graph) cut(t *typist, width float64, lanes int) []*band {
	block := g.blocks(lanes)
	members := map[int][]int{}
	var roots []int
	for _, n := range g.topological() {
		r := block[n]
		if members[r] == nil {
			roots = append(roots, r)
		}
		members[r] = append(members[r], n)
	}
	bandOf := make([]int, len(g.nodes))
	depth := make([]int, len(g.nodes)) // layer within the block
	var groups [][]int                 // nodes of each band
	for _, r := range roots {
		last := 0
		for _, n := range members[r] {
			for _, e := range g.in[n] {
				if from := g.edges[e].from; !g.edges[e].back && block[from] == r {
					depth[n] = max(depth[n], depth[from]+1)
				}
			}
			for _, to := range g.later[n] {
				if block[to] == r {
					depth[to] = max(depth[to], depth[n]+1)
				}
			}
			last = max(last, depth[n])
		}
		starts, widths := g.breaks(members[r], depth, last+1, block, width)
		g.keepEnds(members[r], depth, starts, widths, width)
		for i, s := range starts {
			end := last + 1
			if i+1 < len(starts) {
				end = starts[i+1]
			}
			var nodes []int
			for _, n := range members[r] {
				if depth[n] >= s && depth[n] < end {
					bandOf[n] = len(groups)
					nodes = append(nodes, n)
				}
			}
			if len(nodes) > 0 {
				slices.Sort(nodes)
				groups = append(groups, nodes)
			}
		}
	}
	letters := g.letters(t, groups, bandOf)
	bands := make([]*band, len(groups))
	for i, nodes := range groups {
		b := g.band(t, nodes, bandOf, letters, true)
		crossings := b.order()
		if crossings > 0 {
			apart := g.band(t, nodes, bandOf, letters, false)
			if apart.order() < crossings {
				b = apart
			}
		}
		bands[i] = b
	}
	return bands
}

// blocks finds the parts of the graph that are drawn apart because the whole
// would be too high: block[n] is the node with which n's part begins. A part
// is a node and all that is reached only through it (its dominator subtree),
// so a part has one way in.
func (g *graph) blocks(lanes int) []int {
	order := g.topological()
	above := g.dominators(order)
	children := childrenOf(above, order)
	// How many lanes each subtree takes, from the ends back. Of the ways side
	// by side the widest are drawn apart until the rest fits.
	apart := make([]bool, len(g.nodes))
	high := make([]int, len(g.nodes))
	for _, n := range slices.Backward(order) {
		direct := 0 // lines to where branches join again
		var branches, joins []int
		for _, c := range children[n] {
			alone := true
			for _, e := range g.in[c] {
				alone = alone && (g.edges[e].back || g.edges[e].from == n)
			}
			if alone {
				branches = append(branches, c)
			} else {
				joins = append(joins, c)
			}
		}
		for _, e := range g.out[n] {
			if to := g.edges[e].to; g.edges[e].back || !slices.Contains(branches, to) {
				direct++
			}
		}
		loops := 0
		for _, e := range g.in[n] {
			if g.edges[e].back {
				loops++
			}
		}
		main := -1
		if g.mainOut[n] >= 0 {
			main = g.edges[g.mainOut[n]].to
		}
		high[n] = max(1+loops, direct+g.setApart(branches, lanes-direct, main, high, apart, 1),
			g.setApart(joins, lanes, main, high, apart, 0))
	}
	block := make([]int, len(g.nodes))
	for _, n := range order {
		switch {
		case above[n] < 0 || apart[n]:
			block[n] = n
		default:
			block[n] = block[above[n]]
		}
	}
	return block
}

// setApart marks the highest of the subtrees side by side until the others fit
// the lanes, and returns how many lanes are then taken. The main way is the
// last to go. Each that is set apart leaves lanes behind for its connector:
// one where it is a branch, none where lines join.
func (g *graph) setApart(side []int, lanes, main int, high []int, apart []bool, leaves int) int {
	sum := 0
	for _, c := range side {
		sum += high[c]
	}
	byHeight := slices.Clone(side)
	slices.SortStableFunc(byHeight, func(a, b int) int {
		if (a == main) != (b == main) {
			if b == main {
				return -1
			}
			return 1
		}
		return cmp.Compare(high[b], high[a])
	})
	for _, c := range byHeight {
		if sum <= lanes || high[c] <= leaves {
			break
		}
		apart[c] = true
		sum -= high[c] - leaves
	}
	return sum
}

// breaks chooses the layers a block's bands begin with. Bands hold as much as
// fits; of the choices the one that cuts the fewest lines is taken, then the
// one that leaves the rows most even.
// It returns the widths of the bands, too.
func (g *graph) breaks(nodes, depth []int, layers int, block []int, width float64) ([]int, []float64) {
	column := make([]float64, layers)  // width of the layer's boxes
	channel := make([]float64, layers) // between the layer and the next
	cuts := make([]int, layers)        // lines cut before the layer
	for i := range channel {
		channel[i] = leastChannel
	}
	crossing := make([]int, layers+1) // difference array for lines over a cut
	for _, n := range nodes {
		column[depth[n]] = max(column[depth[n]], g.nodes[n].w)
	}
	for _, n := range nodes {
		for _, e := range g.out[n] {
			ed := &g.edges[e]
			d := depth[n]
			if len(ed.label.lines) == 0 {
				continue
			}
			need := ed.label.w + labelWhite
			if e == g.mainOut[n] {
				need -= (column[d] - g.nodes[n].w) / 2
			} else {
				need -= column[d] / 2
			}
			channel[d] = max(channel[d], need+trackRoom)
		}
		// Lines to the same node are cut once, as they meet in one connector.
		first, last := depth[n], depth[n]
		for _, e := range g.in[n] {
			if from := g.edges[e].from; block[from] == block[n] {
				first, last = min(first, depth[from]), max(last, depth[from])
			}
		}
		crossing[first+1]++
		crossing[last+1]--
	}
	for i, c := 0, 0; i < layers; i++ {
		c += crossing[i]
		cuts[i] = c
	}
	best := make([]float64, layers+1)
	from := make([]int, layers+1)
	wide := make([]float64, layers+1)
	for end := 1; end <= layers; end++ {
		best[end] = math.Inf(1)
		w := 0.0
		for start := end - 1; start >= 0; start-- {
			w += column[start]
			if start < end-1 {
				w += channel[start]
			}
			total := w
			if start > 0 {
				total += connectorSize + leastChannel
			}
			if end < layers {
				total += connectorSize + channel[end-1]
			}
			if total > width && start < end-1 {
				break
			}
			cost := best[start] + 3
			if start > 0 {
				cost += 4 * float64(max(0, cuts[start]-1))
			}
			if end < layers || start == 0 {
				slack := max(0, width-total) / width
				cost += slack * slack
			}
			if cost < best[end] {
				best[end], from[end], wide[end] = cost, start, total
			}
		}
	}
	var starts []int
	var widths []float64
	for end := layers; end > 0; end = from[end] {
		starts, widths = append(starts, from[end]), append(widths, wide[end])
	}
	slices.Reverse(starts)
	slices.Reverse(widths)
	return starts, widths
}

// keepEnds moves finishes that a break would part from the only node that leads
// to them back into its band, where there is room in place of the connector.
func (g *graph) keepEnds(nodes, depth, starts []int, widths []float64, width float64) {
	for _, n := range nodes {
		i, first := slices.BinarySearch(starts, depth[n])
		if !first || i == 0 || len(g.out[n]) > 0 || len(g.in[n]) != 1 {
			continue
		}
		if g.layer[g.edges[g.in[n][0]].from] == g.layer[n]-1 && widths[i-1]+g.nodes[n].w-connectorSize <= width {
			depth[n]--
		}
	}
}

// letters names the nodes that lines lead to from another band, in the order a
// reader meets them.
func (g *graph) letters(t *typist, groups [][]int, bandOf []int) map[int]string {
	letters := map[int]string{}
	for i, nodes := range groups {
		for _, n := range nodes {
			name := func(e int) {
				if to := g.edges[e].to; letters[to] == "" && bandOf[to] != bandOf[g.edges[e].from] {
					letters[to] = letter(len(letters))
				}
			}
			for _, e := range g.in[n] {
				if bandOf[g.edges[e].from] > i {
					name(e)
				}
			}
			for _, e := range g.out[n] {
				name(e)
			}
		}
	}
	return letters
}

// letter counts A to Z, AA, AB and so on.
func letter(i int) string {
	s := ""
	for i++; i > 0; i = (i - 1) / 26 {
		s = string(rune('A'+(i-1)%26)) + s
	}
	return s
}
