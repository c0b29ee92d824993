package message

import (
	"sort"
	"strings"
	"unicode/utf8"

	"github.com/agnivade/levenshtein"
)

// Nearest gives up to three of the names that are likely meant by a mistyped
// one, nearest first: within a third of its length in edits, or the same
// words in another order.
func Nearest(name string, names []string) []string {
	found := near(name, names, max(1, utf8.RuneCountInString(name)/3))
	var out []string
	for i, f := range found {
		if i == 3 || f.edits > found[0].edits+1 {
			break
		}
		if i == 0 || f.name != found[i-1].name {
			out = append(out, f.name)
		}
	}
	return out
}

// Closest gives the one name within most edits that is nearer than all
// others: what a mistyped word surely means. Where there is none, or the name
// itself is among them, it is empty.
func Closest(name string, names []string, most int) string {
	found := near(name, names, most)
	if len(found) == 0 || found[0].edits == 0 {
		return ""
	}
	for _, f := range found[1:] {
		if f.edits > found[0].edits {
			break
		}
		if f.name != found[0].name {
			return ""
		}
	}
	return found[0].name
}

type nearName struct {
	name  string
	edits int
}

// near gives the names within most edits, nearest first. Two neighbours that
// changed places are one edit.
func near(name string, names []string, most int) (found []nearName) {
	for _, n := range names {
		if sameWords(n, name) {
			edits := 1
			if n == name {
				edits = 0
			}
			found = append(found, nearName{n, edits})
			continue
		}
		if d := utf8.RuneCountInString(n) - utf8.RuneCountInString(name); d > most || -d > most {
			continue
		}
		e := levenshtein.ComputeDistance(strings.ToLower(n), strings.ToLower(name))
		if e == 2 && swapped(n, name) {
			e = 1
		}
		if e <= most {
			found = append(found, nearName{n, e})
		}
	}
	sort.Slice(found, func(i, j int) bool {
		if found[i].edits != found[j].edits {
			return found[i].edits < found[j].edits
		}
		return found[i].name < found[j].name
	})
	return found
}

// swapped tells whether two words differ by one pair of neighbours that have
// changed places.
func swapped(a, b string) bool {
	if len(a) != len(b) {
		return false
	}
	for i := 0; i+1 < len(a); i++ {
		if a[i] != b[i] {
			return a[i] == b[i+1] && a[i+1] == b[i] && a[i+2:] == b[i+2:]
		}
	}
	return false
}

func sameWords(a, b string) bool {
	if len(a) != len(b) || !strings.Contains(a, "-") {
		return false
	}
	x, y := strings.Split(a, "-"), strings.Split(b, "-")
	sort.Strings(x)
	sort.Strings(y)
	return strings.Join(x, "-") == strings.Join(y, "-")
}
