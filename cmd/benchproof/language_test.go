package main

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"

	"benchproof/compiler/quantity"
	layout "benchproof/dsl/format"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

const languagePage = "dsl/LANGUAGE.md"

func readLanguage(t *testing.T) string {
	t.Helper()
	page, err := os.ReadFile(filepath.Join(root, languagePage))
	if err != nil {
		t.Fatal(err)
	}
	return string(page)
}

// TestTheLanguagePageIsALibrary takes all blocks of the page as one source: it
// passes check without a message, and stands as the formatter writes it.
func TestTheLanguagePageIsALibrary(t *testing.T) {
	var b strings.Builder
	blocks := regexp.MustCompile("(?s)\n```proc\n(.*?)```\n").FindAllStringSubmatch(readLanguage(t), -1)
	for i, m := range blocks {
		if i > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(m[1])
	}
	lib := filepath.Join(t.TempDir(), "language")
	if err := os.MkdirAll(lib, 0o755); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(filepath.Join(lib, "page.proc"), []byte(b.String()), 0o644); err != nil {
		t.Fatal(err)
	}
	if out, err := program(t, "check", "--strict", lib).CombinedOutput(); err != nil || len(out) > 0 {
		t.Errorf("%v\n%s", err, out)
	}
	if laid := layout.Source(syntax.Parse(source.NewFile("page.proc", b.String()))); laid != b.String() {
		t.Errorf("the formatter lays the page's library out otherwise%s", difference(laid, b.String()))
	}
}

// TestTheExamplesOfPagesAreLaidOut: what people copy from a page stands as the
// formatter writes it. What does not parse has no layout.
func TestTheExamplesOfPagesAreLaidOut(t *testing.T) {
	for _, e := range message.Catalogue() {
		wrong, right, err := message.Examples(e.Code)
		if err != nil {
			t.Fatal(err)
		}
		for _, example := range []message.Example{wrong, right} {
			text := example["example.proc"]
			tree := syntax.Parse(source.NewFile("example.proc", text))
			if len(tree.Messages) > 0 {
				continue
			}
			if laid := layout.Source(tree); laid != text {
				t.Errorf("%s: an example is laid out otherwise%s", e.Code, difference(laid, text))
			}
		}
	}
}

func difference(got, want string) string {
	g, w := strings.Split(got, "\n"), strings.Split(want, "\n")
	for i := range g {
		if i >= len(w) || g[i] != w[i] {
			return fmt.Sprintf(", from line %d on: %q", i+1, g[i])
		}
	}
	return ""
}

// TestTheLanguagePageListsEveryWord holds the page's second half, which is
// generated, against the tables of words and units.
func TestTheLanguagePageListsEveryWord(t *testing.T) {
	page := readLanguage(t)
	at := strings.Index(page, "## All words\n")
	if at < 0 {
		at = len(page)
	}
	want := page[:at] + allWords() + allUnits()
	if page == want {
		return
	}
	if *update {
		if err := os.WriteFile(filepath.Join(root, languagePage), []byte(want), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	t.Errorf("%s is not what the tables of words and units say; -update writes it", languagePage)
}

func allWords() string {
	var b strings.Builder
	b.WriteString("## All words\n\nMade from the tables that the compiler reads by. Places to fill are in capitals;\nwhat stands in brackets may be left out; `…` is more of the same.\n")
	cell := strings.NewReplacer("|", `\|`)
	for c := syntax.InFile; c <= syntax.InTrial; c++ {
		words := syntax.Keywords(c)
		if len(words) == 0 {
			continue
		}
		fmt.Fprintf(&b, "\n### In %s\n\n| word | goes on with | for |\n|---|---|---|\n", c)
		for _, k := range words {
			rest := ""
			if k.Syntax != "" {
				rest = "`" + cell.Replace(k.Syntax) + "`"
			}
			fmt.Fprintf(&b, "| `%s` | %s | %s |\n", k.Key, rest, k.Meaning)
		}
	}
	return b.String()
}

func allUnits() string {
	var b strings.Builder
	b.WriteString("\n## All units\n\nA quantity is a number, a space and a unit: `31.95 mm`, `-5 degC`, `4 %`.\n\n| written | printed | is |\n|---|---|---|\n")
	for _, u := range quantity.Units() {
		fmt.Fprintf(&b, "| `%s` | %s | %s |\n", u.Code, u.Symbol, u.Name)
	}
	return b.String()
}
