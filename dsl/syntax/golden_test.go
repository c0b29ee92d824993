package syntax

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"sort"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"

	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

var update = flag.Bool("update", false, "rewrite the goldens (the run fails all the same, so that the difference gets read)")

// load parses a text as a user's file is.
func load(text, name string) (*File, []*message.Message) {
	f, list := Load([]byte(text), name)
	tree := Parse(f)
	return tree, message.Sort(append(list, tree.Messages...))
}

// archives gives the archives of a folder by name.
func archives(t testing.TB, folder string) (names []string, byName map[string]*txtar.Archive) {
	t.Helper()
	paths, err := filepath.Glob(filepath.Join("testdata", folder, "*.txtar"))
	if err != nil || len(paths) == 0 {
		t.Fatalf("no archives in testdata/%s (%v)", folder, err)
	}
	byName = map[string]*txtar.Archive{}
	for _, path := range paths {
		a, err := txtar.ParseFile(path)
		if err != nil {
			t.Fatal(err)
		}
		if strings.TrimSpace(string(a.Comment)) == "" {
			t.Errorf("%s: the archive does not say what it is for", path)
		}
		names = append(names, path)
		byName[path] = a
	}
	return names, byName
}

func part(a *txtar.Archive, name string) (string, bool) {
	for _, f := range a.Files {
		if f.Name == name {
			return string(f.Data), true
		}
	}
	return "", false
}

// compare holds a result against an archive's part.
func compare(t *testing.T, path string, a *txtar.Archive, name, got string) {
	t.Helper()
	if got != "" && !strings.HasSuffix(got, "\n") {
		got += "\n"
	}
	want, ok := part(a, name)
	if ok && want == got {
		return
	}
	if !*update {
		t.Errorf("%s of %s differs: got\n%swant\n%s", name, path, got, want)
		return
	}
	t.Errorf("%s of %s was rewritten: read the difference", name, path)
	if !ok {
		a.Files = append(a.Files, txtar.File{Name: name})
	}
	for i := range a.Files {
		if a.Files[i].Name == name {
			a.Files[i].Data = []byte(got)
		}
	}
	if err := os.WriteFile(path, txtar.Format(a), 0o666); err != nil {
		t.Fatal(err)
	}
}

// show writes messages with everything a writer would show of them.
func show(list []*message.Message) string {
	var b strings.Builder
	for _, m := range list {
		fmt.Fprintf(&b, "%s %s: %s\n", place(m.Span), m.Code, m.Text)
		for _, r := range m.Related {
			fmt.Fprintf(&b, "  %s: %s\n", place(r.Span), r.Text)
		}
		if m.Help != "" {
			fmt.Fprintf(&b, "  help: %s\n", m.Help)
		}
		for _, e := range m.Edits {
			fmt.Fprintf(&b, "  edit: %s %q -> %q\n", place(e.Span), e.Span.Text(), e.Text)
		}
	}
	return b.String()
}

func place(s source.Span) string {
	line, column := s.File.Position(s.Start)
	endLine, endColumn := s.File.Position(s.End)
	if line == endLine {
		return fmt.Sprintf("%d:%d-%d", line, column, endColumn)
	}
	return fmt.Sprintf("%d:%d-%d:%d", line, column, endLine, endColumn)
}

// Every construct parses into the tree shown, without a message.
func TestGood(t *testing.T) {
	names, byName := archives(t, "good")
	for _, path := range names {
		a := byName[path]
		input, ok := part(a, "input.proc")
		if !ok {
			t.Fatalf("%s: no input.proc", path)
		}
		tree, list := load(input, "input.proc")
		if len(list) > 0 {
			t.Errorf("%s:\n%s", path, show(list))
		}
		check(t, tree)
		compare(t, path, a, "tree", Dump(tree, false))
	}
}

// Each mistake gives its message, at its place, and no other. `#! TEXT` at a
// line's end expects a message on that line that holds TEXT, `#^ TEXT` on a
// line of its own one on the line before that is no such line.
func TestBad(t *testing.T) {
	names, byName := archives(t, "bad")
	for _, path := range names {
		a := byName[path]
		input, ok := part(a, "input.proc")
		if !ok {
			t.Fatalf("%s: no input.proc", path)
		}
		tree, list := load(input, "input.proc")
		check(t, tree)
		for _, problem := range unexpected(input, list) {
			t.Errorf("%s: %s", path, problem)
		}
		compare(t, path, a, "messages", show(list))
	}
}

// unexpected compares messages with those that an input expects on its lines.
func unexpected(input string, list []*message.Message) (problems []string) {
	wanted := map[int][]string{}
	last := 0
	for i, line := range strings.Split(input, "\n") {
		if text, ok := strings.CutPrefix(strings.TrimSpace(line), "#^ "); ok {
			wanted[last] = append(wanted[last], text)
			continue
		}
		last = i + 1
		if _, text, ok := strings.Cut(line, "#! "); ok {
			wanted[last] = append(wanted[last], text)
		}
	}
	for _, m := range list {
		line, _ := m.Span.File.Position(m.Span.Start)
		found := false
		for i, text := range wanted[line] {
			if strings.Contains(m.Text, text) {
				wanted[line] = append(wanted[line][:i:i], wanted[line][i+1:]...)
				found = true
				break
			}
		}
		if !found {
			problems = append(problems, fmt.Sprintf("line %d: not expected: %s", line, m.Text))
		}
	}
	for line, texts := range wanted {
		for _, text := range texts {
			problems = append(problems, fmt.Sprintf("line %d: no message with %q", line, text))
		}
	}
	sort.Strings(problems)
	return problems
}

// The library of the language's own examples parses without a message.
func TestBench(t *testing.T) {
	paths, _ := filepath.Glob("testdata/pump-bench/*.proc")
	if len(paths) != 3 {
		t.Fatalf("%d files, want 3", len(paths))
	}
	for _, path := range paths {
		b, err := os.ReadFile(path)
		if err != nil {
			t.Fatal(err)
		}
		tree, list := load(string(b), path)
		if len(list) > 0 {
			t.Errorf("%s:\n%s", path, show(list))
		}
		check(t, tree)
	}
}
