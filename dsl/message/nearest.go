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
	most := max(1, utf8.RuneCountInString(name)/3)
	type near struct {
		name  string
		edits int
	}
	var found []near
	for _, n := range names {
		d := utf8.RuneCountInString(n) - utf8.RuneCountInString(name)
		if sameWords(n, name) {
			found = append(found, near{n, 1})
			continue
		}
		if d > most || -d > most {
			continue
		}
		if e := levenshtein.ComputeDistance(strings.ToLower(n), strings.ToLower(name)); e <= most {
			found = append(found, near{n, e})
		}
	}
	sort.Slice(found, func(i, j int) bool {
		if found[i].edits != found[j].edits {
			return found[i].edits < found[j].edits
		}
		return found[i].name < found[j].name
	})
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

func sameWords(a, b string) bool {
	if len(a) != len(b) || !strings.Contains(a, "-") {
		return false
	}
	x, y := strings.Split(a, "-"), strings.Split(b, "-")
	sort.Strings(x)
	sort.Strings(y)
	return strings.Join(x, "-") == strings.Join(y, "-")
}
