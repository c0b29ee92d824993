package syntax

import (
	"strings"
	"testing"
)

func TestTextValue(t *testing.T) {
	for raw, want := range map[string]string{
		`""`:                   "",
		`"plain"`:              "plain",
		`"a \"b\" c"`:          `a "b" c`,
		`"a \\ b"`:             `a \ b`,
		`"\*not emphasis\*"`:   `\*not emphasis\*`,
		`"5 \@ 6"`:             `5 \@ 6`,
		`"\\\"x"`:              `\"x`,
		`"ends in \\"`:         `ends in \`,
		`"left open`:           "left open",
		`"left open \"`:        `left open "`,
		`"left open \\\"`:      `left open \"`,
		`"`:                    "",
		`"ä \"ö\" 漢"`:          `ä "ö" 漢`,
		`“typographic”`:        "typographic",
		"`x`":                  "x",
		`"trailing slash \x\"`: `trailing slash \x"`,
	} {
		if got := (&Text{Raw: raw}).Value(); got != want {
			t.Errorf("%s: got %q, want %q", raw, got, want)
		}
	}
}

// Each byte of the value is the byte of the source to which Offset points.
func TestTextOffset(t *testing.T) {
	src := `tool a "x \"ä\" \\ \@ y" { }`
	tree, list := load(src, "x.proc")
	if len(list) > 0 {
		t.Fatal(show(list))
	}
	title := tree.Declarations[0].(*Thing).Title
	value := title.Value()
	for i := range len(value) {
		at := title.Offset(i)
		if src[at] == '\\' && strings.ContainsRune(`"\`, rune(src[at+1])) {
			at++ // at an escape
		}
		if src[at] != value[i] {
			t.Errorf("byte %d %q of the value points to %q at %d", i, value[i], src[at], at)
		}
	}
	if at := title.Offset(len(value)); src[at] != '"' || at != title.End()-1 {
		t.Errorf("the end of the value points to %d", at)
	}
}
