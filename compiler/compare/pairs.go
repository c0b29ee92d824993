package compare

import "slices"

// A pairing says which lines of two flows are one and the same.
type pairing struct {
	old, new []line
	toNew    []int // by old line: the new one, or -1
	toOld    []int
	moved    []bool // by new line
}

// least is how alike two lines must be, of 100, to be taken for one that was
// edited; leastMoved where it stands elsewhere, too.
const (
	least      = 40
	leastMoved = 65
)

// pairLines finds the lines of two flows that are the same: first the heaviest
// common subsequence of equal lines, then between these those that are alike,
// then equal and alike ones anywhere, which have moved.
func pairLines(old, new []line) *pairing {
	p := &pairing{old: old, new: new, toNew: make([]int, len(old)), toOld: make([]int, len(new)), moved: make([]bool, len(new))}
	for i := range p.toNew {
		p.toNew[i] = -1
	}
	for j := range p.toOld {
		p.toOld[j] = -1
	}
	equal := common(len(old), len(new), func(i, j int) int {
		if old[i].key != new[j].key {
			return 0
		}
		// Of two ways to move, that is taken which keeps more where it was.
		return 2*weight[new[j].sort] + same(old[i].around == new[j].around)
	})
	for _, m := range equal {
		p.pair(m[0], m[1])
	}
	p.edited(equal)
	p.elsewhere()
	p.contexts()
	return p
}

func (p *pairing) pair(i, j int) { p.toNew[i], p.toOld[j] = j, i }

// edited pairs lines that are alike between those that are equal.
func (p *pairing) edited(equal [][2]int) {
	i, j := 0, 0
	for _, m := range append(slices.Clone(equal), [2]int{len(p.old), len(p.new)}) {
		rows, columns := m[0]-i, m[1]-j
		if rows > 0 && columns > 0 {
			memo := make([]int16, rows*columns)
			from, to := i, j
			for _, x := range common(rows, columns, func(a, b int) int {
				at := &memo[a*columns+b]
				if *at == 0 {
					*at = int16(p.alike(from+a, to+b)) + 1
				}
				if v := int(*at) - 1; v >= least {
					return v
				}
				return 0
			}) {
				p.pair(from+x[0], to+x[1])
			}
		}
		i, j = m[0]+1, m[1]+1
	}
}

// alike tells how much two lines have in common, from 0 to 100.
func (p *pairing) alike(i, j int) int {
	a, b := &p.old[i], &p.new[j]
	if a.sort != b.sort {
		return 0
	}
	have := alike(a.bag, b.bag)
	sameText := keyOf(a.text) == keyOf(b.text)
	switch a.sort {
	case "otherwise", "repeat":
		return 50 + have/2
	case "until", "decide":
		if sameText {
			return 50 + have/2
		}
	case "branch":
		x, y := &p.old[a.parent], &p.new[b.parent]
		if keyOf(x.text) == keyOf(y.text) {
			return 45 + have/2
		}
	case "perform":
		if !sameText {
			return 0
		}
	case "finish":
		if a.items[0].key() == b.items[0].key() {
			return 45 + have/2
		}
	case "stage":
		if sameText {
			return 70 + have*3/10
		}
	}
	return have
}

// elsewhere pairs lines that have moved: equal ones first, then alike ones, the
// nearest of several.
func (p *pairing) elsewhere() {
	byKey := map[string][]int{}
	for i, l := range p.old {
		if p.toNew[i] < 0 {
			byKey[l.key] = append(byKey[l.key], i)
		}
	}
	for j, l := range p.new {
		if p.toOld[j] >= 0 || len(byKey[l.key]) == 0 || !movable(l.sort) {
			continue
		}
		i := byKey[l.key][0]
		byKey[l.key] = byKey[l.key][1:]
		p.pair(i, j)
		p.moved[j] = true
	}
	for j, l := range p.new {
		if p.toOld[j] >= 0 || !movable(l.sort) {
			continue
		}
		best, at := leastMoved-1, -1
		for i := range p.old {
			if p.toNew[i] >= 0 || p.old[i].sort != l.sort {
				continue
			}
			if v := p.alike(i, j); v > best {
				best, at = v, i
			}
		}
		if at >= 0 {
			p.pair(at, j)
			p.moved[j] = true
		}
	}
}

// movable tells that a line of a sort can stand elsewhere by itself.
func movable(sort string) bool { return sort != "until" && sort != "otherwise" }

// contexts finds lines that stand in another branch or stage than before, and
// takes the mark from those that moved with what they stand in.
func (p *pairing) contexts() {
	for j := range p.new {
		i := p.toOld[j]
		if i < 0 {
			continue
		}
		a, b := p.above(p.old, p.toNew, i), p.above(p.new, p.toOld, j)
		together := a < 0 && b < 0 || a >= 0 && b >= 0 && p.toNew[a] == b
		switch {
		case !together:
			p.moved[j] = movable(p.new[j].sort)
		case p.moved[j] && b >= 0 && p.carried(b):
			p.moved[j] = false
		}
	}
}

// carried tells that a line, or one that it stands in, has moved.
func (p *pairing) carried(j int) bool {
	for ; j >= 0; j = p.new[j].parent {
		if p.moved[j] {
			return true
		}
	}
	return false
}

// above gives the nearest line around one that the other flow has too.
func (p *pairing) above(lines []line, to []int, at int) int {
	for at = lines[at].parent; at >= 0 && to[at] < 0; at = lines[at].parent {
	}
	return at
}
