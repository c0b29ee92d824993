package rules_test

import (
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"testing/fstest"

	"benchproof/compiler/catalogue"
	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/rules"
	"benchproof/dsl/message"
	"benchproof/dsl/syntax"
	"benchproof/procedures"
)

// judge runs some sources, by path, through everything up to the rules.
func judge(t testing.TB, sources map[string]string, order []string) []*message.Message {
	t.Helper()
	var files []*syntax.File
	var out []*message.Message
	folder := fstest.MapFS{}
	for _, name := range order {
		f, ms := syntax.Load([]byte(sources[name]), name)
		out = append(out, ms...)
		parsed := syntax.Parse(f)
		out = append(out, parsed.Messages...)
		files = append(files, parsed)
		for _, d := range parsed.Declarations {
			if c, ok := catalogue.Is(d); ok { // only the demonstration has any
				made, ms := catalogue.Expand(procedures.Files, f, c)
				out = append(append(out, ms...), made.Messages...)
				files = append(files, made)
			}
		}
		folder[name] = &fstest.MapFile{Data: []byte(sources[name])}
	}
	lib, ms := library.Bind(files)
	out = append(out, ms...)
	out = append(out, rules.CheckLibrary(lib)...)
	for _, p := range lib.Procedures {
		if p.Broken {
			continue
		}
		res := paths.Judge(lib, p)
		out = append(out, res.Messages...)
		out = append(out, rules.Check(lib, p, res)...)
	}
	for _, tr := range lib.Trials {
		out = append(out, rules.CheckTrialValues(lib, tr)...)
	}
	return message.Sort(out)
}

func judgeOne(t testing.TB, text string) []*message.Message {
	return judge(t, map[string]string{"x.proc": text}, []string{"x.proc"})
}

var wanted = regexp.MustCompile(`(BP\d\d\d)(?: "([^"]*)")?`)

type want struct {
	code, part string
	met        bool
}

// wants reads the messages that a file's comments ask for, by line.
func wants(text string) map[int][]*want {
	out := map[int][]*want{}
	for i, line := range strings.Split(text, "\n") {
		_, comment, ok := strings.Cut(line, "# want ")
		if !ok {
			continue
		}
		for _, m := range wanted.FindAllStringSubmatch(comment, -1) {
			out[i+1] = append(out[i+1], &want{code: m[1], part: m[2]})
		}
	}
	return out
}

func tell(m *message.Message) string {
	line, column := m.Span.File.Position(m.Span.Start)
	s := fmt.Sprintf("%s:%d:%d: %s: %s", m.Span.File.Path, line, column, m.Code, m.Text)
	for _, n := range m.Notes {
		s += "\n      note: " + n
	}
	for _, r := range m.Related {
		l, _ := r.Span.File.Position(r.Span.Start)
		s += fmt.Sprintf("\n      %s:%d: %s", r.Span.File.Path, l, r.Text)
	}
	if m.Help != "" {
		s += "\n      help: " + m.Help
	}
	return s
}

// TestExpectedMessages runs every file of testdata: the messages that its
// comments name must come, on their lines, and no others.
func TestExpectedMessages(t *testing.T) {
	names, err := filepath.Glob("testdata/*.proc")
	if err != nil || len(names) == 0 {
		t.Fatal("no test inputs", err)
	}
	for _, name := range names {
		t.Run(filepath.Base(name), func(t *testing.T) {
			data, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			expect(t, string(data))
		})
	}
}

// expect compares the messages of a text with those its comments ask for.
func expect(t *testing.T, text string) {
	t.Helper()
	list := wants(text)
	for _, m := range judgeOne(t, text) {
		line, _ := m.Span.File.Position(m.Span.Start)
		found := false
		for _, w := range list[line] {
			if !w.met && w.code == string(m.Code) && strings.Contains(m.Text, w.part) {
				w.met, found = true, true
				break
			}
		}
		if !found {
			t.Errorf("one too many: %s", tell(m))
		} else {
			t.Log(tell(m))
		}
	}
	for line, ws := range list {
		for _, w := range ws {
			if !w.met {
				t.Errorf("missing: line %d: %s %q", line, w.code, w.part)
			}
		}
	}
}

// sourcesOf reads the sources of a folder.
func sourcesOf(t testing.TB, fsys fs.FS) (map[string]string, []string) {
	t.Helper()
	texts := map[string]string{}
	names, err := fs.Glob(fsys, "*.proc")
	if err != nil || len(names) == 0 {
		t.Fatal("no sources", err)
	}
	for _, n := range names {
		data, err := fs.ReadFile(fsys, n)
		if err != nil {
			t.Fatal(err)
		}
		texts[n] = string(data)
	}
	return texts, names
}

// TestDemonstrationIsClean: no correct procedure is refused.
func TestDemonstrationIsClean(t *testing.T) {
	texts, names := sourcesOf(t, procedures.Files)
	for _, m := range judge(t, texts, names) {
		t.Error(tell(m))
	}
}

// TestPumpBenchIsClean: the language by example compiles without a message.
func TestPumpBenchIsClean(t *testing.T) {
	texts, names := sourcesOf(t, os.DirFS("testdata/pump-bench"))
	for _, m := range judge(t, texts, names) {
		t.Error(tell(m))
	}
}
