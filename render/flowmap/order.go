package flowmap

import (
	"cmp"
	"slices"
)

// cell is what takes a place in one layer: a box with what hangs on it, or the
// passage of a line.
type cell struct {
	item     int // -1 for a passage
	link     int // of a passage
	layer    int
	up, down float64 // room it takes over and under its line
	rank     int     // order of the first walk
	segment  int
	y        float64
}

// row is a band laid out.
type row struct {
	cells []cell
	of    []int   // cell of each item, -1 for one that hangs
	chain [][]int // cells of each link between its ends, in the direction of the flow
	// inLayer is the order of each layer from top to bottom.
	inLayer [][]int
	pairs   [][]pair // between each layer and the next
	column  []float64
	center  []float64 // x of each layer
	tracks  []map[int]float64
	width   float64
	top     float64
	height  float64
}

// pair is a stretch of a line between neighbouring layers.
type pair struct {
	left, right int // cells
	link        int
	weight      int // how much the line wants to be straight here
}

// makeCells gives every box and every passage of a line its cell. A line that
// leaves upwards or downwards has its corner as a cell in the layer of its
// origin; a way back has cells from the layer of its origin down to the layer
// of its end.
func (b *band) makeCells() {
	r := &b.row
	r.of = make([]int, len(b.items))
	for i := range b.items {
		it := &b.items[i]
		r.of[i] = -1
		if it.hangs {
			continue
		}
		r.of[i] = len(r.cells)
		c := cell{item: i, layer: it.layer, up: it.h / 2, down: it.h / 2}
		if it.above >= 0 {
			c.up += b.hangGap(b.links[it.above]) + b.hung(it.above).h
		}
		if it.below >= 0 {
			c.down += b.hangGap(b.links[it.below]) + b.hung(it.below).h
		}
		r.cells = append(r.cells, c)
	}
	r.chain = make([][]int, len(b.links))
	for i, l := range b.links {
		if l.hangs {
			continue
		}
		from, to := b.items[l.from].layer, b.items[l.to].layer
		pass := func(layer int, up float64) {
			r.chain[i] = append(r.chain[i], len(r.cells))
			r.cells = append(r.cells, cell{item: -1, link: i, layer: layer, up: max(lineRoom, up), down: lineRoom})
		}
		labelled := 0.0
		if len(l.label.lines) > 0 {
			labelled = l.label.h + 2*labelGap
		}
		if l.back {
			pass(from, labelled)
			for k := from - 1; k >= to; k-- {
				pass(k, 0)
			}
			continue
		}
		if l.side != 0 {
			pass(from, labelled)
		} else {
			c := &r.cells[r.of[l.from]]
			c.up = max(c.up, labelled)
		}
		for k := from + 1; k < to; k++ {
			pass(k, 0)
		}
	}
}

// hung is the item at the far end of a hanging link.
func (b *band) hung(l int) *item {
	if from := &b.items[b.links[l].from]; from.hangs {
		return from
	}
	return &b.items[b.links[l].to]
}

// hangGap is the length of a hanging line: room for its label, its arrow head
// and, over a box, for the label of the way straight on.
func (b *band) hangGap(l link) float64 {
	if len(l.label.lines) == 0 {
		return leastHang
	}
	return max(leastHang, l.label.h+2*labelGap+ArrowLength-1) + b.hangLift(l)
}

// hangLift is how far the label of a line that hangs over a box must stand
// clear of it because the label of the way straight on reaches as high.
func (b *band) hangLift(l link) float64 {
	if l.side > 0 || len(l.label.lines) == 0 {
		return 0
	}
	host := &b.items[l.from]
	for _, n := range host.out {
		if m := b.links[n]; m.side == 0 && len(m.label.lines) > 0 && l.label.w > host.w/2 {
			return max(0, m.label.h+labelGap-host.h/2)
		}
	}
	return 0
}

// order finds the order of each layer. The first order comes from a walk over
// the row with the lower ways first; it has no crossings where the map is
// structured (for two boxes of a plane row neither of which leads to the
// other, the one the walk reaches later lies higher). Any crossings left are
// reduced by barycentre sweeps; order returns how many remain.
func (b *band) order() int {
	b.makeCells()
	r := &b.row
	b.rank()
	layers := make([][][]int, b.layers) // groups of cells that stay together
	byRank := make([]int, 0, len(r.cells))
	for c := range r.cells {
		if r.cells[c].rank >= 0 {
			byRank = append(byRank, c)
		}
	}
	slices.SortFunc(byRank, func(x, y int) int { return cmp.Compare(r.cells[x].rank, r.cells[y].rank) })
	for _, c := range byRank {
		layer := r.cells[c].layer
		layers[layer] = append(layers[layer], b.cluster(c))
	}
	b.makePairs()
	b.setOrder(layers)
	best := b.crossings()
	kept := cloneLayers(layers)
	for sweep := 0; sweep < 8 && best > 0; sweep++ {
		down := sweep%2 == 0
		for k := range b.layers {
			if !down {
				k = b.layers - 1 - k
			}
			b.barycentre(layers, k, down)
		}
		b.setOrder(layers)
		if c := b.crossings(); c < best {
			best, kept = c, cloneLayers(layers)
		}
	}
	b.setOrder(kept)
	return best
}

// rank walks the row depth first, lowest way first, and numbers cells in
// reverse post-order. Corners get no rank of their own (-1): they stay with
// their box.
func (b *band) rank() {
	r := &b.row
	next := make([][]int, len(r.cells))
	entered := make([]bool, len(r.cells))
	lead := func(from, to int) {
		next[from] = append(next[from], to)
		entered[to] = true
	}
	corner := make([]bool, len(r.cells))
	type way struct{ from, span, first, last int }
	var backs []way
	for i := range b.items {
		if b.items[i].hangs {
			continue
		}
		for _, l := range b.items[i].out {
			ln, chain := b.links[l], r.chain[l]
			if ln.back {
				corner[chain[0]], corner[chain[len(chain)-1]] = true, true
				backs = append(backs, way{r.of[ln.to], len(chain), l, r.of[ln.from]})
				continue
			}
			if ln.side != 0 {
				corner[chain[0]] = true
				chain = chain[1:]
			}
			at := r.of[i]
			for _, c := range chain {
				lead(at, c)
				at = c
			}
			lead(at, r.of[ln.to])
		}
	}
	// Ways back count as the lowest ways out of the box they end at, the
	// longest lowest.
	slices.SortStableFunc(backs, func(x, y way) int { return cmp.Compare(x.span, y.span) })
	for _, w := range backs {
		chain := r.chain[w.first]
		if len(chain) < 3 {
			continue
		}
		at := w.from
		for k := len(chain) - 2; k >= 1; k-- {
			lead(at, chain[k])
			at = chain[k]
		}
		next[at] = append(next[at], w.last)
	}
	for c := range r.cells {
		r.cells[c].rank = -1
	}
	count := 0
	seen := make([]bool, len(r.cells))
	type frame struct{ cell, next int }
	visit := func(root int) {
		if seen[root] {
			return
		}
		seen[root] = true
		stack := []frame{{root, len(next[root]) - 1}}
		for len(stack) > 0 {
			f := &stack[len(stack)-1]
			if f.next < 0 {
				r.cells[f.cell].rank = len(r.cells) - count
				count++
				stack = stack[:len(stack)-1]
				continue
			}
			to := next[f.cell][f.next]
			f.next--
			if !seen[to] {
				seen[to] = true
				stack = append(stack, frame{to, len(next[to]) - 1})
			}
		}
	}
	var roots []int
	for c := range r.cells {
		if !corner[c] && !entered[c] {
			roots = append(roots, c)
		}
	}
	item := func(c int) *item { return &b.items[r.cells[c].item] }
	slices.SortStableFunc(roots, func(x, y int) int {
		return cmp.Or(cmp.Compare(item(x).at, item(y).at), cmp.Compare(item(x).graphNode, item(y).graphNode))
	})
	for _, c := range slices.Backward(roots) {
		visit(c)
	}
	for c := len(r.cells) - 1; c >= 0; c-- {
		if !corner[c] {
			visit(c)
		}
	}
}

// cluster is a cell with the corners over and under it, top to bottom: first
// the ways out, then the ways back that end at the box.
func (b *band) cluster(c int) []int {
	r := &b.row
	i := r.cells[c].item
	if i < 0 {
		return []int{c}
	}
	var over, under []int
	for _, l := range b.items[i].out {
		switch b.links[l].side {
		case -1:
			over = append(over, r.chain[l][0])
		case 1:
			under = append(under, r.chain[l][0])
		}
	}
	type way struct{ span, cell int }
	var ends []way
	for l, ln := range b.links {
		if ln.back && ln.to == i && len(r.chain[l]) > 1 {
			ends = append(ends, way{len(r.chain[l]), r.chain[l][len(r.chain[l])-1]})
		}
	}
	slices.SortStableFunc(ends, func(x, y way) int { return cmp.Compare(x.span, y.span) })
	out := append(append(over, c), under...)
	for _, w := range ends {
		out = append(out, w.cell)
	}
	return out
}

// makePairs lists the stretches of all lines between neighbouring layers.
func (b *band) makePairs() {
	r := &b.row
	r.pairs = make([][]pair, b.layers)
	add := func(left, right, link, weight int) {
		k := r.cells[left].layer
		r.pairs[k] = append(r.pairs[k], pair{left, right, link, weight})
	}
	for i, l := range b.links {
		if l.hangs {
			continue
		}
		chain := r.chain[i]
		if l.back {
			for k := 1; k < len(chain); k++ {
				add(chain[k], chain[k-1], i, passWeight)
			}
			continue
		}
		at, weight := r.of[l.from], 0
		switch {
		case l.thick:
			weight = thickWeight
		case l.main:
			weight = mainWeight
		}
		if l.side != 0 {
			at, chain = chain[0], chain[1:]
		}
		for k, c := range chain {
			w := weight
			if k > 0 || l.side != 0 {
				w = max(w, passWeight)
			}
			add(at, c, i, w)
			at = c
		}
		add(at, r.of[l.to], i, weight)
	}
}

// Weights of stretches, heaviest straightened first.
const (
	mainWeight = iota + 1
	passWeight
	thickWeight
)

func (b *band) setOrder(layers [][][]int) {
	b.row.inLayer = make([][]int, len(layers))
	for k, clusters := range layers {
		for _, c := range clusters {
			b.row.inLayer[k] = append(b.row.inLayer[k], c...)
		}
	}
}

func cloneLayers(layers [][][]int) [][][]int {
	out := make([][][]int, len(layers))
	for k := range layers {
		out[k] = slices.Clone(layers[k])
	}
	return out
}

// positions gives each cell's place in the order of its layer.
func (b *band) positions() []int {
	pos := make([]int, len(b.row.cells))
	for _, layer := range b.row.inLayer {
		for i, c := range layer {
			pos[c] = i
		}
	}
	return pos
}

// crossings counts pairs of stretches that cross.
func (b *band) crossings() int {
	pos := b.positions()
	n := 0
	for _, pairs := range b.row.pairs {
		for i, p := range pairs {
			for _, q := range pairs[:i] {
				if (pos[p.left]-pos[q.left])*(pos[p.right]-pos[q.right]) < 0 {
					n++
				}
			}
		}
	}
	return n
}

// barycentre orders a layer by the mean place of each cluster's neighbours in
// the layer before it (or after it); clusters without any stay where they are.
func (b *band) barycentre(layers [][][]int, k int, down bool) {
	b.setOrder(layers)
	pos := b.positions()
	sum, count := map[int]float64{}, map[int]float64{}
	if down && k > 0 {
		for _, p := range b.row.pairs[k-1] {
			sum[p.right] += float64(pos[p.left])
			count[p.right]++
		}
	} else if !down && k+1 < b.layers {
		for _, p := range b.row.pairs[k] {
			sum[p.left] += float64(pos[p.right])
			count[p.left]++
		}
	} else {
		return
	}
	type placed struct {
		cluster []int
		at      float64
	}
	var list []placed
	for _, cluster := range layers[k] {
		var s, n float64
		for _, c := range cluster {
			s, n = s+sum[c], n+count[c]
		}
		at := float64(pos[cluster[0]])
		if n > 0 {
			at = s / n
		}
		list = append(list, placed{cluster, at})
	}
	slices.SortStableFunc(list, func(x, y placed) int { return cmp.Compare(x.at, y.at) })
	for i, p := range list {
		layers[k][i] = p.cluster
	}
}
