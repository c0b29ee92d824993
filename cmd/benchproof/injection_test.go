package main

import (
	"encoding/csv"
	"encoding/json"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// attackers are texts of a library that would be a formula, markup, an entry of a
// translation or a command of a shell, if a list let them.
var attackers = []string{
	"=1+1", "+1+1", "-2+3", "@SUM", "<script>window.hurt=1</script>", "\\\"><img src=http://127.0.0.1:9/a onerror=hurt>", "</style><style>body{display:none}",
	"| a | b |", "$(touch owned)", "'; touch owned; '", "%s%n", "\\\" msgid \\\"x", "$in : & x", "`touch owned`", "\u2028 x", "\u200bzero\u200d",
}

// attacked is a library each text of which attacks, turn by turn.
func attacked(turn int) string {
	next := func() string {
		turn++
		return `"` + attackers[turn%len(attackers)] + `"`
	}
	// In a running text an @ names a thing.
	plain := func() string { return strings.ReplaceAll(next(), "@", `\\@`) }
	var b strings.Builder
	fmt.Fprintf(&b, "library %s { owner %s language en }\n", next(), next())
	fmt.Fprintf(&b, "tool key %s { number %s }\nkit box %s { number %s holds key }\nconsumable rag %s { number %s }\n", next(), next(), next(), next(), next(), next())
	fmt.Fprintf(&b, "variant size %s { s1 %s s2 %s }\n", next(), next(), next())
	fmt.Fprintf(&b, "procedure job %s { document %s revision A on 2026-01-01 %s applies to size s1, s2\n", next(), next(), next())
	fmt.Fprintf(&b, "step %s { use key, rag x 2 record r %s }\n}\n", plain(), next())
	fmt.Fprintf(&b, "trial %s of job { expect finish serviceable }\n", next())
	return b.String()
}

// TestListsCarryOutNothing: lists for spreadsheets, browsers, translators and
// programs say what a library says, and nothing of it is carried out.
func TestListsCarryOutNothing(t *testing.T) {
	dir := t.TempDir()
	made := 0
	for turn := range attackers {
		writeLibrary(t, filepath.Join(dir, "lib"), map[string]string{"a.proc": attacked(turn)})
		if err := os.RemoveAll(filepath.Join(dir, "lib", "translations")); err != nil {
			t.Fatal(err)
		}
		for _, args := range [][]string{
			{"pick", "--format", "csv", "--in", "lib", "job"}, {"members", "--format", "csv", "lib"},
			{"pick", "--format", "html", "--in", "lib", "job"}, {"members", "--format", "html", "lib"},
			{"where", "--format", "json", "key", "lib"}, {"kits", "--format", "json", "lib"}, {"check", "--format", "sarif", "lib"},
			{"words", "export", "--language", "de", "lib"},
		} {
			said, status := soon(t, dir, args...)
			if status != 0 && !(args[0] == "check" && status == 1) {
				continue // a text of this turn is refused, by check too
			}
			made++
			switch {
			case strings.Contains(strings.Join(args, " "), "csv"):
				rows, err := csv.NewReader(strings.NewReader(said)).ReadAll()
				if err != nil {
					t.Errorf("turn %d, %q: %v", turn, args, err)
				}
				for _, row := range rows {
					for _, cell := range row {
						if cell != "" && strings.ContainsAny(cell[:1], "=+-@\t\r") {
							t.Errorf("turn %d, %q: the cell %q is a formula", turn, args, cell)
						}
					}
				}
			case strings.Contains(strings.Join(args, " "), "html"):
				for _, bad := range []string{"<script>window.hurt", "<img src=http", "</style><style>"} {
					if strings.Contains(said, bad) {
						t.Errorf("turn %d, %q: the page holds %s", turn, args, bad)
					}
				}
			case args[0] == "words":
				mustRun(t, dir, "msgfmt", "-c", "-o", os.DevNull, "lib/translations/de.po")
				if again, status := soon(t, dir, "words", "check", "lib"); status != 0 {
					t.Errorf("turn %d: what was written is not read back: %s", turn, again)
				}
			default:
				if !json.Valid([]byte(said)) {
					t.Errorf("turn %d, %q: this is no JSON: %.200s", turn, args, said)
				}
			}
		}
	}
	if made < 5*len(attackers) {
		t.Errorf("%d lists were made: tries too little", made)
	}
}
