package flowmap

import (
	"math"
	"slices"
)

// Distances in points.
const (
	laneGap      = 12.0 // white between neighbours in a layer
	lineRoom     = 2.0  // over and under a line without a label
	leastHang    = 15.0 // from a box to what hangs on it
	trackGap     = 7.0  // between upright lines in a channel
	arrowRoom    = 11.0 // from the last upright line to the next box
	labelWhite   = 8.0  // about a label, along its line
	leastChannel = 17.0
	trackRoom    = arrowRoom + trackGap // of a channel with one upright line
	mostStretch  = 16.0                 // by which a channel grows to fill the row
)

// segments joins cells into straight stretches: runs of cells in neighbouring
// layers that get the same y. Heavier stretches go first, and none is made
// straight across one that already is.
func (b *band) segments() int {
	r := &b.row
	parent := make([]int, len(r.cells))
	for c := range parent {
		parent[c] = c
	}
	find := func(c int) int {
		for parent[c] != c {
			parent[c] = parent[parent[c]]
			c = parent[c]
		}
		return c
	}
	pos := b.positions()
	for _, pairs := range r.pairs {
		byWeight := slices.Clone(pairs)
		slices.SortStableFunc(byWeight, func(p, q pair) int {
			if p.weight != q.weight {
				return q.weight - p.weight
			}
			// The more direct way first, then the upper one.
			if d := b.items[b.links[p.link].from].layer - b.items[b.links[q.link].from].layer; d != 0 {
				return d
			}
			return pos[p.left] - pos[q.left]
		})
		left, right := map[int]bool{}, map[int]bool{}
		var straight []pair
		for _, p := range byWeight {
			if left[p.left] || right[p.right] || slices.ContainsFunc(straight, func(q pair) bool {
				return (pos[p.left]-pos[q.left])*(pos[p.right]-pos[q.right]) < 0
			}) {
				continue
			}
			left[p.left], right[p.right] = true, true
			straight = append(straight, p)
			parent[find(p.right)] = find(p.left)
		}
	}
	number := map[int]int{}
	for _, layer := range r.inLayer {
		for _, c := range layer {
			root := find(c)
			if _, ok := number[root]; !ok {
				number[root] = len(number)
			}
			r.cells[c].segment = number[root]
		}
	}
	return len(number)
}

// upright finds the y of every segment: the main way at 0, what lies over and
// under it as near as the boxes and labels between allow.
func (b *band) upright() {
	r := &b.row
	n := b.segments()
	type rule struct {
		to  int
		gap float64
	}
	under := make([][]rule, n) // segments right under a segment
	over := make([]int, n)     // how many are right over it
	for _, layer := range r.inLayer {
		for i := 1; i < len(layer); i++ {
			a, c := &r.cells[layer[i-1]], &r.cells[layer[i]]
			under[a.segment] = append(under[a.segment], rule{c.segment, a.down + laneGap + c.up})
			over[c.segment]++
		}
	}
	var order []int
	for s := range n {
		if over[s] == 0 {
			order = append(order, s)
		}
	}
	for i := 0; i < len(order); i++ {
		for _, u := range under[order[i]] {
			if over[u.to]--; over[u.to] == 0 {
				order = append(order, u.to)
			}
		}
	}
	main := b.mainSegment(n)
	y := make([]float64, n)
	known := make([]bool, n)
	known[main] = true
	for _, s := range slices.Backward(order) {
		for _, u := range under[s] {
			if s == main || !known[u.to] {
				continue
			}
			if at := y[u.to] - u.gap; !known[s] || at < y[s] {
				y[s], known[s] = at, true
			}
		}
	}
	fixed := slices.Clone(known)
	least := make([]float64, n)
	for s := range least {
		least[s] = math.Inf(-1)
	}
	for _, s := range order {
		if !fixed[s] {
			if math.IsInf(least[s], -1) {
				y[s] = 0
			} else {
				y[s] = least[s]
			}
		}
		for _, u := range under[s] {
			least[u.to] = max(least[u.to], y[s]+u.gap)
		}
	}
	for c := range r.cells {
		r.cells[c].y = y[r.cells[c].segment]
	}
}

// mainSegment is the segment that holds the most boxes of the main way, or
// where the row has none, the most boxes.
func (b *band) mainSegment(n int) int {
	weight := make([]int, n)
	for i, it := range b.items {
		if it.hangs {
			continue
		}
		w := 1
		if it.spine {
			w += len(b.items)
		}
		weight[b.row.cells[b.row.of[i]].segment] += w
	}
	best := 0
	for s, w := range weight {
		if w > weight[best] {
			best = s
		}
	}
	return best
}

// net is the lines that come together at one cell, with the channel before it.
type net struct {
	left, right []float64 // y of the stretches on either side
	low, high   float64
}

// nets collects the lines of the channel before layer k by the cell they come
// together at, in the order of the layer.
func (b *band) nets(k int) (order []int, nets map[int]*net) {
	r := &b.row
	nets = map[int]*net{}
	at := func(c int) *net {
		if nets[c] == nil {
			y := r.cells[c].y
			nets[c] = &net{right: []float64{y}, low: y, high: y}
		}
		return nets[c]
	}
	add := func(n *net, y float64) {
		n.low, n.high = min(n.low, y), max(n.high, y)
	}
	if k > 0 {
		for _, p := range r.pairs[k-1] {
			n, y := at(p.right), r.cells[p.left].y
			n.left = append(n.left, y)
			add(n, y)
		}
	}
	for i, l := range b.links {
		if l.back && b.items[l.to].layer == k {
			chain := r.chain[i]
			n, y := at(r.of[l.to]), r.cells[chain[len(chain)-1]].y
			n.right = append(n.right, y)
			add(n, y)
		}
	}
	for _, c := range r.inLayer[k] {
		if n := nets[c]; n != nil && n.high > n.low {
			order = append(order, c)
		}
	}
	return order, nets
}

// assignTracks places the upright stretches of the channel before layer k side
// by side, so that they cross no line they need not cross, and returns the
// track of each cell that has one, from the left, and how many there are.
func (b *band) assignTracks(k int) (map[int]int, int) {
	order, nets := b.nets(k)
	n := len(order)
	leftOf := make([][]int, n) // those that must be right of a net
	within := func(m *net, ys []float64) bool {
		return slices.ContainsFunc(ys, func(y float64) bool { return y >= m.low && y <= m.high })
	}
	before := make([]int, n)
	meet := func(i, j int) bool {
		return nets[order[i]].low <= nets[order[j]].high && nets[order[j]].low <= nets[order[i]].high
	}
	for i := range order {
		for j := range i {
			p, q := nets[order[i]], nets[order[j]]
			if !meet(i, j) {
				continue
			}
			iLeft := within(q, p.left) || within(p, q.right)
			jLeft := within(p, q.left) || within(q, p.right)
			switch {
			case iLeft && !jLeft:
				leftOf[i] = append(leftOf[i], j)
				before[j]++
			case jLeft && !iLeft:
				leftOf[j] = append(leftOf[j], i)
				before[i]++
			}
		}
	}
	track := make([]int, n)
	done := make([]bool, n)
	var sequence []int
	for len(sequence) < n {
		next := -1
		for i := range order {
			if !done[i] && (next < 0 || before[i] < before[next]) {
				next = i // one that must be right of the fewest
			}
		}
		done[next] = true
		for again := true; again; {
			again = false
			for _, s := range sequence {
				if track[s] == track[next] && meet(s, next) {
					track[next]++
					again = true
				}
			}
		}
		for _, j := range leftOf[next] {
			before[j]--
			track[j] = max(track[j], track[next]+1)
		}
		sequence = append(sequence, next)
	}
	tracks, count := map[int]int{}, 0
	for i, c := range order {
		tracks[c] = track[i]
		count = max(count, track[i]+1)
	}
	return tracks, count
}

// along finds the x of layers and channels.
func (b *band) along(width float64) {
	r := &b.row
	r.column = make([]float64, b.layers)
	for i := range b.items {
		r.column[b.items[i].layer] = max(r.column[b.items[i].layer], b.items[i].w)
	}
	for _, l := range b.links {
		if k := b.items[l.from].layer; l.back && len(l.label.lines) > 0 {
			r.column[k] = max(r.column[k], 2*(l.label.w+labelWhite))
		}
	}
	// zone is the first part of the channel behind a layer, kept free of
	// upright lines for labels.
	zone := make([]float64, b.layers)
	for _, l := range b.links {
		if len(l.label.lines) == 0 || l.back {
			continue
		}
		at := &b.items[l.from]
		need := l.label.w + labelWhite - r.column[at.layer]/2
		if !l.hangs && l.side == 0 {
			need += at.w / 2
		}
		zone[at.layer] = max(zone[at.layer], need)
	}
	count := make([]int, b.layers)
	tracks := make([]map[int]int, b.layers)
	for k := range b.layers {
		tracks[k], count[k] = b.assignTracks(k)
	}
	channel := func(k int) float64 { // before layer k
		w := 0.0
		if k > 0 {
			w = zone[k-1]
		}
		if count[k] > 0 {
			w = max(w, leastChannel-trackRoom) + float64(count[k])*trackGap + arrowRoom
		} else if k > 0 {
			w += arrowRoom
		}
		if k > 0 {
			w = max(w, leastChannel)
		}
		return w
	}
	total := zone[b.layers-1]
	for k := range b.layers {
		total += channel(k) + r.column[k]
	}
	stretch := 0.0
	if b.layers > 1 {
		stretch = min(mostStretch, max(0, width-total)/float64(b.layers-1))
	}
	r.center = make([]float64, b.layers)
	r.tracks = make([]map[int]float64, b.layers)
	x := 0.0
	for k := range b.layers {
		x += channel(k)
		if k > 0 {
			x += stretch
		}
		r.tracks[k] = map[int]float64{}
		for c, t := range tracks[k] {
			r.tracks[k][c] = x - arrowRoom - float64(count[k]-1-t)*trackGap
		}
		r.center[k] = x + r.column[k]/2
		x += r.column[k]
	}
	r.width = x + zone[b.layers-1]
}

// layout places everything in the band, which has its order; width is what it
// may take.
func (b *band) layout(width float64) {
	b.upright()
	b.along(width)
	r := &b.row
	top, bottom := math.Inf(1), math.Inf(-1)
	for _, c := range r.cells {
		top, bottom = min(top, c.y-c.up), max(bottom, c.y+c.down)
	}
	r.top, r.height = top, bottom-top
}
