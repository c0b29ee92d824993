package compare_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path"
	"reflect"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"benchproof/compiler"
	"benchproof/compiler/compare"
	"benchproof/compiler/scale"
	"benchproof/dsl/format"
	"benchproof/dsl/syntax"
	"benchproof/procedures"
)

// demonstration gives the files of the built-in library.
func demonstration(t testing.TB) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := fs.WalkDir(procedures.Files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(procedures.Files, name)
		files[name] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

func checked(t testing.TB, files map[string]string) *compiler.Result {
	t.Helper()
	fsys := fstest.MapFS{}
	for name, text := range files {
		fsys[name] = &fstest.MapFile{Data: []byte(text)}
	}
	src, err := compiler.Read(fsys)
	if err != nil {
		t.Fatal(err)
	}
	r, err := compiler.Check(context.Background(), src)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

func sound(t testing.TB, files map[string]string) *compiler.Result {
	t.Helper()
	r := checked(t, files)
	for _, m := range r.Messages {
		if m.IsError() {
			line, _ := m.Span.File.Position(m.Span.Start)
			t.Fatalf("%s:%d: %s %s", m.Span.File.Path, line, m.Code, m.Text)
		}
	}
	return r
}

func compared(t testing.TB, old, new *compiler.Result, only ...string) *compare.Report {
	t.Helper()
	r, err := compare.Compare(context.Background(), old, new, compare.Options{Only: only})
	if err != nil {
		t.Fatal(err)
	}
	validate(t, r)
	return r
}

// validate holds the JSON of a report against the documented schema.
func validate(t testing.TB, r *compare.Report) {
	t.Helper()
	var b bytes.Buffer
	if err := json.NewEncoder(&b).Encode(r); err != nil {
		t.Fatal(err)
	}
	value, err := jsonschema.UnmarshalJSON(&b)
	if err != nil {
		t.Fatal(err)
	}
	if err := schema(t).Validate(value); err != nil {
		t.Fatalf("the report does not keep to its schema: %v", err)
	}
}

var compiled *jsonschema.Schema

func schema(t testing.TB) *jsonschema.Schema {
	t.Helper()
	if compiled == nil {
		s, err := jsonschema.NewCompiler().Compile("report.schema.json")
		if err != nil {
			t.Fatal(err)
		}
		compiled = s
	}
	return compiled
}

// TestSchemaKnowsAllKinds holds the list of kinds in the schema against the model's.
func TestSchemaKnowsAllKinds(t *testing.T) {
	data, err := os.ReadFile("report.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	var s struct {
		Defs struct {
			Kind struct{ Enum []compare.Kind }
		} `json:"$defs"`
	}
	if err := json.Unmarshal(data, &s); err != nil {
		t.Fatal(err)
	}
	if !slices.Equal(s.Defs.Kind.Enum, compare.Kinds) {
		t.Errorf("the schema has %v, the model %v", s.Defs.Kind.Enum, compare.Kinds)
	}
}

// TestLayoutIsNoDifference: comments, layout, the files that declarations stand
// in and their order do not count.
func TestLayoutIsNoDifference(t *testing.T) {
	old := demonstration(t)
	a := sound(t, old)
	for name, change := range map[string]func(map[string]string) map[string]string{
		"nothing":            func(m map[string]string) map[string]string { return m },
		"white space":        squeezed,
		"comments":           commented,
		"formatted":          func(m map[string]string) map[string]string { return formatted(squeezed(m)) },
		"moved files":        moved,
		"one file":           func(m map[string]string) map[string]string { return shuffled(t, m, 1, 1) },
		"shuffled":           func(m map[string]string) map[string]string { return shuffled(t, m, 5, 7) },
		"shuffled otherwise": func(m map[string]string) map[string]string { return shuffled(t, m, 40, 8) },
	} {
		t.Run(name, func(t *testing.T) {
			b := sound(t, change(old))
			for _, r := range []*compare.Report{compared(t, a, b), compared(t, b, a)} {
				if !r.Empty() || len(r.NotCompared) > 0 || r.Same != len(a.Library.Procedures) {
					out, _ := json.MarshalIndent(r, "", " ")
					t.Errorf("%s", out)
				}
			}
		})
	}
}

func each(files map[string]string, f func(string) string) map[string]string {
	out := map[string]string{}
	for name, text := range files {
		if strings.HasSuffix(name, ".proc") {
			text = f(text)
		}
		out[name] = text
	}
	return out
}

// squeezed lays a file out otherwise: tabs, empty lines, brackets on lines of their own.
func squeezed(files map[string]string) map[string]string {
	return each(files, func(text string) string {
		return strings.NewReplacer("\n    ", "\n\t", "\n  ", "\n\n", " {\n", "\n{\n\n\n", ",  ", ",\n").Replace(text)
	})
}

func commented(files map[string]string) map[string]string {
	return each(files, func(text string) string { return "# new\n" + strings.ReplaceAll(text, "\n", "  # and so on\n\n") })
}

func formatted(files map[string]string) map[string]string {
	return each(files, func(text string) string {
		f, _ := syntax.Load([]byte(text), "x.proc")
		return format.Source(syntax.Parse(f))
	})
}

func moved(files map[string]string) map[string]string {
	out := map[string]string{}
	for name, text := range files {
		if strings.HasSuffix(name, ".proc") {
			name = path.Join("deep", "er", "z-"+name)
		}
		out[name] = text
	}
	return out
}

// shuffled deals the declarations of a library out to some files in any order.
func shuffled(t *testing.T, files map[string]string, n int, seed uint64) map[string]string {
	t.Helper()
	r := rand.New(rand.NewPCG(seed, 1))
	var names, pieces []string
	out := map[string]string{}
	for name, text := range files {
		if strings.HasSuffix(name, ".proc") {
			names = append(names, name)
		} else {
			out[name] = text
		}
	}
	slices.Sort(names)
	for _, name := range names {
		f, _ := syntax.Load([]byte(files[name]), name)
		for _, d := range syntax.Parse(f).Declarations {
			start, end := d.Start(), d.End()
			pieces = append(pieces, f.Text[start:end])
		}
	}
	r.Shuffle(len(pieces), func(i, j int) { pieces[i], pieces[j] = pieces[j], pieces[i] })
	for _, p := range pieces {
		out[fmt.Sprintf("f%02d.proc", r.IntN(n))] += p + "\n\n"
	}
	return out
}

// TestOneEditAmongMany edits one procedure of a generated library: it alone is told of.
func TestOneEditAmongMany(t *testing.T) {
	old := scale.Generate(40)
	new := each(old, func(s string) string { return s })
	path := scale.Path(20)
	new[path] = strings.Replace(new[path], "until casing-temperature at most 38 degC", "until casing-temperature at most 39 degC", 1)
	if new[path] == old[path] {
		t.Fatal("nothing was edited")
	}
	r := compared(t, sound(t, old), sound(t, new))
	if len(r.Procedures) != 1 || r.Procedures[0].Name != scale.Name(20) || r.Same != 39 || len(r.Shared) != 0 {
		t.Errorf("%v", told(r, map[compare.Kind]bool{}))
	}
}

// TestReportsAreTheSameEveryTime compares one pair again and again.
func TestReportsAreTheSameEveryTime(t *testing.T) {
	old := demonstration(t)
	new := each(old, func(s string) string {
		return strings.NewReplacer("35 N.m", "36 N.m", "27.80 mm", "27.82 mm", "hot-water warning", "hot-water danger").Replace(s)
	})
	a, b := sound(t, old), sound(t, new)
	first := compared(t, a, b)
	if first.Empty() {
		t.Fatal("nothing differs")
	}
	for range 5 {
		if again := compared(t, a, b); !reflect.DeepEqual(first, again) {
			t.Fatal("two reports of one pair are not the same")
		}
	}
}
