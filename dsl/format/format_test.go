package format

import (
	"flag"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"

	"benchproof/dsl/syntax"
)

var update = flag.Bool("update", false, "rewrite the goldens (the run fails all the same, so that the difference gets read)")

func parse(t testing.TB, text string) *syntax.File {
	t.Helper()
	f, list := syntax.Load([]byte(text), "input.proc")
	tree := syntax.Parse(f)
	for _, m := range append(list, tree.Messages...) {
		line, column := f.Position(m.Span.Start)
		t.Fatalf("%d:%d: %s\n%s", line, column, m.Text, text)
	}
	return tree
}

// check holds the layout of a tree against what is always true of one: the
// same tree and the same comments come back, and a second time changes
// nothing. It gives the layout.
func check(t testing.TB, tree *syntax.File) string {
	t.Helper()
	got := Source(tree)
	again := parse(t, got)
	if a, b := syntax.Dump(tree, false), syntax.Dump(again, false); a != b {
		t.Fatalf("another tree after formatting:\n%s\nas\n%s", tree.Source.Text, got)
	}
	if a, b := notes(tree), notes(again); a != b {
		t.Fatalf("comments were\n%s\nare\n%s", a, b)
	}
	if twice := Source(again); twice != got {
		t.Fatalf("formatting\n%s\nonce gives\n%s\ntwice\n%s", tree.Source.Text, got, twice)
	}
	for n, line := range strings.Split(got, "\n") {
		if line != strings.TrimRight(line, " \t") {
			t.Fatalf("line %d ends in white space:\n%s", n+1, got)
		}
	}
	if strings.Contains(got, "\n\n\n") || strings.HasPrefix(got, "\n") || strings.HasSuffix(got, "\n\n") {
		t.Fatalf("blank lines too many:\n%q", got)
	}
	return got
}

func notes(f *syntax.File) string {
	var b strings.Builder
	for _, t := range f.Tokens {
		if t.Type == syntax.CommentToken {
			b.WriteString(strings.TrimRight(t.Value, " \t") + "\n")
		}
	}
	return b.String()
}

// examples are the files that are laid out as they should be.
func examples(t testing.TB) (list []string) {
	paths, _ := filepath.Glob("../syntax/testdata/pump-bench/*.proc")
	if len(paths) != 3 {
		t.Fatalf("%d examples, want 3", len(paths))
	}
	for _, path := range paths {
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		list = append(list, string(b))
	}
	return list
}

// The language's own examples are the golden of the layout.
func TestExamplesStayAsTheyAre(t *testing.T) {
	for _, text := range examples(t) {
		if got := check(t, parse(t, text)); got != text {
			t.Errorf("an example changes to\n%s", got)
		}
	}
}

func TestGoldens(t *testing.T) {
	paths, _ := filepath.Glob("testdata/*.txtar")
	if len(paths) == 0 {
		t.Fatal("no archives")
	}
	for _, path := range paths {
		a, err := txtar.ParseFile(path)
		if err != nil {
			t.Fatal(err)
		}
		got := check(t, parse(t, string(a.Files[0].Data)))
		if len(a.Files) > 1 && string(a.Files[1].Data) == got {
			continue
		}
		if !*update {
			t.Errorf("%s: got\n%s", path, got)
			continue
		}
		t.Errorf("%s was rewritten: read the difference", path)
		a.Files = append(a.Files[:1], txtar.File{Name: "output.proc", Data: []byte(got)})
		if err := os.WriteFile(path, txtar.Format(a), 0o666); err != nil {
			t.Fatal(err)
		}
	}
}

// The white space of the source decides nothing but what the layout keeps:
// with other indents, more blank lines and other distances, the examples come
// back as they are.
func TestLayoutDoesNotDependOnTheSource(t *testing.T) {
	for _, text := range examples(t) {
		want := Source(parse(t, text))
		for seed := range uint64(20) {
			r := rand.New(rand.NewPCG(seed, 1))
			if got := check(t, parse(t, mangle(parse(t, text), r))); loose(got) != loose(want) {
				t.Errorf("mangled with seed %d, an example changes to\n%s", seed, got)
			}
		}
	}
}

// loose leaves out what the layout keeps of the source: how far a comment
// stands behind a line, and columns that line up wider than needed.
func loose(text string) string {
	lines := strings.Split(text, "\n")
	for n, line := range lines {
		indent := len(line) - len(strings.TrimLeft(line, " "))
		if strings.Contains(line, " # ") || strings.HasSuffix(line, " }") {
			line = line[:indent] + strings.Join(strings.Fields(line), " ")
		}
		lines[n] = line
	}
	return strings.Join(lines, "\n")
}

// mangle writes the tokens of a file with other white space between them, with
// line breaks where the file has some.
func mangle(f *syntax.File, r *rand.Rand) string {
	var b strings.Builder
	for n, t := range f.Tokens {
		if n > 0 {
			last := f.Tokens[n-1]
			lines := t.Pos.Line - last.Pos.Line
			switch {
			case lines > 1:
				b.WriteString(strings.Repeat("\n", 2+r.IntN(3)) + strings.Repeat("\t", r.IntN(3)))
			case lines == 1:
				b.WriteString("\r\n" + strings.Repeat(" ", r.IntN(9)))
			case t.Value != "," || r.IntN(2) == 0:
				b.WriteString(strings.Repeat(" ", 1+r.IntN(4)))
			}
		}
		b.WriteString(t.Value)
	}
	return b.String()
}

// A comment may stand between any two tokens: it is kept, and the tree with it.
func TestCommentsAnywhere(t *testing.T) {
	texts := examples(t)
	for _, path := range []string{"../syntax/testdata/good/forms.txtar", "testdata/layout.txtar"} {
		a, err := txtar.ParseFile(path)
		if err != nil {
			t.Fatal(err)
		}
		texts = append(texts, string(a.Files[0].Data))
	}
	for _, text := range texts {
		tree := parse(t, text)
		for seed := range uint64(30) {
			r := rand.New(rand.NewPCG(seed, 2))
			var b strings.Builder
			for n, tok := range tree.Tokens {
				b.WriteString(tok.Value)
				switch {
				case tok.Type == syntax.CommentToken:
					b.WriteString("\n")
				case tok.Type == syntax.NumberToken:
					b.WriteString(" ") // a unit stands on its number's line
				case r.IntN(6) == 0:
					fmt.Fprintf(&b, " # comment %d\n", n)
				case r.IntN(9) == 0:
					fmt.Fprintf(&b, "\n\n# comment %d \n # and another\n\n", n)
				default:
					b.WriteString(" ")
				}
			}
			f, _ := syntax.Load([]byte(b.String()), "input.proc")
			commented := syntax.Parse(f)
			if len(commented.Messages) > 0 {
				m := commented.Messages[0]
				t.Fatalf("seed %d: %s: %q", seed, m.Text, f.Text[m.Span.Start:min(len(f.Text), m.Span.Start+60)])
			}
			check(t, commented)
		}
	}
}

// A file with mistakes stays as it is.
func TestFilesWithMistakesAreLeftAlone(t *testing.T) {
	text := "tool  a   \"a\" {\n numbr \"1\" }\n\n\n"
	f, _ := syntax.Load([]byte(text), "input.proc")
	if got := Source(syntax.Parse(f)); got != text {
		t.Errorf("got %q", got)
	}
}

func TestSmallFiles(t *testing.T) {
	for text, want := range map[string]string{
		"":                  "",
		"\n\n":              "",
		"# only":            "# only\n",
		"\n\n#a\n\n\n\n#b ": "#a\n\n#b\n",
		"\xEF\xBB\xBFtool a \"a\" { }\r\n\r\n\r\n# x\r\n": "tool a  \"a\"  { }\n\n# x\n",
	} {
		if got := check(t, parse(t, text)); got != want {
			t.Errorf("%q becomes %q, want %q", text, got, want)
		}
	}
}

func FuzzFormat(f *testing.F) {
	for _, text := range examples(f) {
		f.Add(text)
	}
	for _, folder := range []string{"testdata", "../syntax/testdata/good", "../syntax/testdata/bad"} {
		paths, _ := filepath.Glob(folder + "/*.txtar")
		for _, path := range paths {
			a, err := txtar.ParseFile(path)
			if err != nil {
				f.Fatal(err)
			}
			f.Add(string(a.Files[0].Data))
		}
	}
	f.Fuzz(func(t *testing.T, text string) {
		file, list := syntax.Load([]byte(text), "input.proc")
		tree := syntax.Parse(file)
		if len(list) > 0 || len(tree.Messages) > 0 {
			if Source(tree) != file.Text && len(tree.Messages) > 0 {
				t.Fatal("a file with mistakes changed")
			}
			return
		}
		check(t, tree)
	})
}

func BenchmarkFormat(b *testing.B) {
	var all strings.Builder
	for _, text := range examples(b) {
		all.WriteString(text)
	}
	tree := parse(b, all.String())
	b.SetBytes(int64(all.Len()))
	b.ReportAllocs()
	for b.Loop() {
		Source(tree)
	}
}
