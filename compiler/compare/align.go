package compare

// largestTable bounds the table of an alignment, in cells: beyond it the longest
// stretches in common are found greedily.
const largestTable = 16 << 20

// common gives the pairs of places of a heaviest common subsequence of two
// sequences, in order. weight is 0 for two that do not go together.
func common(n, m int, weight func(i, j int) int) [][2]int {
	var head, tail [][2]int
	lo := 0
	for lo < n && lo < m && weight(lo, lo) > 0 {
		head = append(head, [2]int{lo, lo})
		lo++
	}
	for n > lo && m > lo && weight(n-1, m-1) > 0 {
		n, m = n-1, m-1
		tail = append(tail, [2]int{n, m})
	}
	out := head
	if rows, columns := n-lo, m-lo; rows > 0 && columns > 0 {
		if rows*columns <= largestTable {
			out = append(out, table(lo, n, m, weight)...)
		} else {
			out = append(out, greedy(lo, n, m, weight)...)
		}
	}
	for i := len(tail) - 1; i >= 0; i-- {
		out = append(out, tail[i])
	}
	return out
}

// table finds the heaviest common subsequence of what lies from lo to n and m.
func table(lo, n, m int, weight func(i, j int) int) [][2]int {
	columns := m - lo + 1
	best := make([]int32, (n-lo+1)*columns)
	at := func(i, j int) *int32 { return &best[(i-lo)*columns+j-lo] }
	for i := n - 1; i >= lo; i-- {
		for j := m - 1; j >= lo; j-- {
			v := max(*at(i+1, j), *at(i, j+1))
			if w := weight(i, j); w > 0 {
				v = max(v, *at(i+1, j+1)+int32(w))
			}
			*at(i, j) = v
		}
	}
	var out [][2]int
	for i, j := lo, lo; i < n && j < m; {
		w := weight(i, j)
		switch {
		case w > 0 && *at(i, j) == *at(i+1, j+1)+int32(w):
			out = append(out, [2]int{i, j})
			i, j = i+1, j+1
		case *at(i, j) == *at(i+1, j):
			i++
		default:
			j++
		}
	}
	return out
}

// greedy goes on to the next place of the second sequence that goes with one of
// the first, for sequences too long for a table.
func greedy(lo, n, m int, weight func(i, j int) int) [][2]int {
	const ahead = 2000
	var out [][2]int
	j := lo
	for i := lo; i < n; i++ {
		for k := j; k < min(m, j+ahead); k++ {
			if weight(i, k) > 0 {
				out = append(out, [2]int{i, k})
				j = k + 1
				break
			}
		}
	}
	return out
}

// alike tells how much two bags of keys have in common, from 0 to 100.
func alike(a, b []string) int {
	if len(a)+len(b) == 0 {
		return 100
	}
	count := map[string]int{}
	for _, k := range a {
		count[k]++
	}
	both := 0
	for _, k := range b {
		if count[k] > 0 {
			count[k]--
			both++
		}
	}
	return 200 * both / (len(a) + len(b))
}
