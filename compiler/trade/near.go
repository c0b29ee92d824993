package trade

import "sort"

// nearest returns the three names that take the fewest changes to reach, those
// of one distance in the order given. Long input is not compared.
func nearest(name string, names []string) []string {
	const most, keep = 24, 3
	if len(name) > most {
		return nil
	}
	type candidate struct {
		name string
		far  int
	}
	var c []candidate
	for _, n := range names {
		if far := changes(name, n); far*2 <= max(len(name), len(n)) {
			c = append(c, candidate{n, far})
		}
	}
	sort.SliceStable(c, func(i, j int) bool { return c[i].far < c[j].far })
	var out []string
	for _, x := range c[:min(keep, len(c))] {
		out = append(out, x.name)
	}
	return out
}

// changes is the edit distance: characters to put in, take out or change.
func changes(a, b string) int {
	x, y := []rune(a), []rune(b)
	row := make([]int, len(y)+1)
	for j := range row {
		row[j] = j
	}
	for i := range x {
		diagonal := row[0]
		row[0] = i + 1
		for j := range y {
			cost := diagonal
			if x[i] != y[j] {
				cost++
			}
			diagonal = row[j+1]
			row[j+1] = min(cost, row[j+1]+1, row[j]+1)
		}
	}
	return row[len(y)]
}
