package editor

import (
	"bytes"
	"encoding/json"
	"maps"
	"os"
	"regexp"
	"slices"
	"strings"
	"testing"

	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

const grammarFile = "benchproof.tmLanguage.json"

// A rule of a TextMate grammar.
type rule struct {
	Name     string          `json:"name,omitempty"`
	Match    string          `json:"match,omitempty"`
	Begin    string          `json:"begin,omitempty"`
	End      string          `json:"end,omitempty"`
	Captures map[string]rule `json:"captures,omitempty"`
	Patterns []rule          `json:"patterns,omitempty"`
}

// keywordsByKind sorts the words of the keyword table: those of declarations,
// those that lead the work, all others that start something, and those that
// join inside a statement, which the table's notation names.
func keywordsByKind() (declarations, flow, starts, joins []string) {
	kind := map[string]int{}
	note := func(word string, as int) {
		if have, known := kind[word]; syntax.Reserved(word) && (!known || as < have) {
			kind[word] = as
		}
	}
	notations := slices.Collect(maps.Values(parts))
	notations = append(notations, slices.Collect(maps.Values(shared))...)
	for _, byKey := range fullSyntax {
		notations = append(notations, slices.Collect(maps.Values(byKey))...)
	}
	flowWords := map[string]bool{"otherwise": true}
	for _, k := range syntax.Keywords(syntax.InRepeat) {
		flowWords[k.Key] = true
	}
	flowWords["stage"] = true
	for ctx := syntax.InFile; ctx <= syntax.InTrial; ctx++ {
		for _, k := range syntax.Keywords(ctx) {
			for i, w := range strings.Fields(k.Key) {
				switch {
				case ctx == syntax.InFile:
					note(w, 0)
				case flowWords[w]:
					note(w, 1)
				case i == 0:
					note(w, 2)
				default:
					note(w, 3)
				}
			}
			notations = append(notations, k.Syntax)
		}
	}
	note("otherwise", 1)
	for _, n := range notations {
		for _, w := range strings.FieldsFunc(n, func(r rune) bool { return !(r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z' || r == '-') }) {
			if w == strings.ToLower(w) {
				note(w, 3)
			}
		}
	}
	lists := [4][]string{}
	for _, w := range slices.Sorted(maps.Keys(kind)) {
		lists[kind[w]] = append(lists[kind[w]], w)
	}
	return lists[0], lists[1], lists[2], lists[3]
}

// A word ends where no letter, digit or joining sign goes on.
const before, after = `(?<![\w.\-/@])`, `(?![\w\-/]|\.\w)`

func oneOf(words []string) string {
	quoted := make([]string, len(words))
	for i, w := range words {
		quoted[i] = regexp.QuoteMeta(w)
	}
	return "(?:" + strings.Join(quoted, "|") + ")"
}

// textMate makes the grammar from the keyword table.
func textMate(t testing.TB) []byte {
	declarations, flow, starts, joins := keywordsByKind()
	word := func(name string, words []string) rule { return rule{Name: name, Match: before + oneOf(words) + after} }
	grammar := struct {
		Comment   string   `json:"comment"`
		Name      string   `json:"name"`
		ScopeName string   `json:"scopeName"`
		FileTypes []string `json:"fileTypes"`
		Patterns  []rule   `json:"patterns"`
	}{
		Comment: "made from the keyword table by go test ./cmd/benchproof/editor -run TextMate -update",
		Name:    "Benchproof", ScopeName: "source.benchproof", FileTypes: []string{"proc"},
		Patterns: []rule{
			{Name: "comment.line.number-sign.benchproof", Match: `#.*$`},
			{Name: "string.quoted.double.benchproof", Begin: `"`, End: `"|$`, Patterns: []rule{
				{Name: "constant.character.escape.benchproof", Match: `\\.`},
				{Name: "variable.other.mention.benchproof", Match: `(?<!\w)@\p{L}[\p{L}\p{N}]*(?:[-.][\p{L}\p{N}]+)*`},
			}},
			// The name of a declaration stands behind its word, which keeps its colour.
			{Match: `^\s*(` + oneOf(declarations) + `)\s+([\p{Ll}\p{Lo}][\p{Ll}\p{Lo}\p{N}\-]*)`, Captures: map[string]rule{
				"1": {Name: "storage.type.benchproof"}, "2": {Name: "entity.name.type.benchproof"},
			}},
			word("storage.type.benchproof", declarations),
			word("keyword.control.benchproof", flow),
			word("keyword.other.benchproof", starts),
			word("keyword.operator.word.benchproof", joins),
			{Name: "constant.other.date.benchproof", Match: before + `\d{4}-\d{2}-\d{2}` + after},
			{Name: "constant.numeric.benchproof", Match: before + `-?\d+(?:[.:]\d+)*` + after},
		},
	}
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(grammar); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func TestTheTextMateGrammarIsThatOfTheKeywordTable(t *testing.T) {
	want := textMate(t)
	have, err := os.ReadFile(grammarFile)
	if err != nil && !*update {
		t.Fatal(err)
	}
	if bytes.Equal(have, want) {
		return
	}
	if *update {
		if err := os.WriteFile(grammarFile, want, 0o644); err != nil {
			t.Fatal(err)
		}
		t.Fatal("rewritten: read the difference")
	}
	t.Error("the keyword table has changed: go test ./cmd/benchproof/editor -run TextMate -update")
}

// Each word that the language takes as its own in the demonstration library is
// in the grammar, under whatever kind.
func TestTheTextMateGrammarKnowsTheWordsInUse(t *testing.T) {
	declarations, flow, starts, joins := keywordsByKind()
	known := slices.Concat(declarations, flow, starts, joins)
	for name, text := range sources(t) {
		f := syntax.Parse(source.NewFile(name, text))
		own := (&scene{file: f}).ownWords()
		for _, tok := range f.Tokens {
			kind, isName := own[tok.Pos.Offset]
			if tok.Type != syntax.WordToken || isName && kind != "keyword" || !syntax.Reserved(tok.Value) {
				continue
			}
			if !slices.Contains(known, tok.Value) {
				t.Errorf("%s:%d: %q is in no list of the grammar", name, tok.Pos.Line, tok.Value)
			}
		}
	}
	if len(known) < 100 {
		t.Errorf("the grammar knows %d words", len(known))
	}
}
