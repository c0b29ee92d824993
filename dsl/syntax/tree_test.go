package syntax

import (
	"go/ast"
	goparser "go/parser"
	"go/token"
	"os"
	"path/filepath"
	"reflect"
	"strings"
	"testing"

	"github.com/alecthomas/participle/v2/lexer"
)

// check holds a tree against what is always true of one: every span lies in
// its parent's and in the file, has no white space at its ends, and children
// stand in order without touching; tokens and the white space between them
// cover the file; edits and messages lie in it.
func check(t testing.TB, tree *File) {
	t.Helper()
	text := tree.Source.Text
	var visit func(n Place, from, to int) int
	visit = func(n Place, from, to int) int {
		start, end := n.Start(), n.End()
		if start < from || end > to || start > end {
			t.Fatalf("%T %d-%d is not within %d-%d", n, start, end, from, to)
		}
		if s := text[start:end]; s != strings.Trim(s, " \t\r\n") {
			t.Fatalf("%T %d-%d has white space at its ends: %q", n, start, end, s)
		}
		at := start
		for _, c := range below(n) {
			at = visit(c, at, end)
		}
		return end
	}
	at := 0
	for _, d := range tree.Declarations {
		at = visit(d, at, len(text))
	}
	at, end := 0, 0
	line, column := 1, 1 // File.Position would count each line again for each token
	for i, tok := range tree.Tokens {
		start := tok.Pos.Offset
		if start < at {
			t.Fatalf("token %d at %d does not follow %d", i, start, at)
		}
		for _, r := range text[at:start] {
			if column++; r == '\n' {
				line, column = line+1, 1
			}
		}
		if tok.Pos.Line != line || tok.Pos.Column != column {
			t.Fatalf("token %q at %d:%d says %d:%d", tok.Value, line, column, tok.Pos.Line, tok.Pos.Column)
		}
		at = start
		if len(tree.Messages) > 0 {
			continue // a corrected word is not that of the text
		}
		if start < end || strings.Trim(text[end:start], " \t\r\n") != "" {
			t.Fatalf("token %d at %d does not follow %d", i, start, end)
		}
		end = start + len(tok.Value)
		if text[start:end] != tok.Value {
			t.Fatalf("token %q stands for %q", tok.Value, text[start:end])
		}
	}
	for _, m := range tree.Messages {
		if m.Code != "BP101" || m.Text == "" || m.Span.File != tree.Source {
			t.Fatalf("message %+v", m)
		}
		if m.Span.Start > m.Span.End || m.Span.End > len(text) {
			t.Fatalf("message %q at %d-%d", m.Text, m.Span.Start, m.Span.End)
		}
		for _, e := range m.Edits {
			if e.Span.Start > e.Span.End || e.Span.End > len(text) {
				t.Fatalf("edit of %q at %d-%d", m.Text, e.Span.Start, e.Span.End)
			}
		}
	}
}

// below gives the children that Walk visits.
func below(n Place) (list []Place) {
	Walk(n, func(c Place) bool {
		if c == n {
			return true
		}
		list = append(list, c)
		return false
	})
	return list
}

// reflected gives the children found by reflection, in the order of fields.
func reflected(n Place) (list []Place) {
	var add func(v reflect.Value)
	add = func(v reflect.Value) {
		switch v.Kind() {
		case reflect.Pointer, reflect.Interface:
			if v.IsNil() {
				return
			}
			if p, ok := v.Interface().(Place); ok {
				list = append(list, p)
			}
		case reflect.Slice:
			for i := range v.Len() {
				add(v.Index(i))
			}
		}
	}
	fields(reflect.ValueOf(n).Elem(), func(_ string, v reflect.Value) { add(v) })
	return list
}

// Walk visits every node that the tree holds, and the forms archive has every
// kind of node with every field filled, so that a field forgotten in Walk, or
// a construct without a parse, is seen.
func TestWalkVisitsEverything(t *testing.T) {
	names, byName := archives(t, "good")
	filled := map[string]bool{}
	for _, path := range names {
		input, _ := part(byName[path], "input.proc")
		tree, _ := load(input, path)
		var visit func(n Place)
		visit = func(n Place) {
			v := reflect.ValueOf(n).Elem()
			filled[v.Type().Name()] = true
			fields(v, func(name string, f reflect.Value) {
				if !f.IsZero() {
					filled[v.Type().Name()+"."+name] = true
				}
			})
			walked := map[Place]bool{}
			for _, c := range below(n) {
				walked[c] = true
			}
			for _, c := range reflected(n) {
				if !walked[c] {
					t.Errorf("%s: Walk of a %T does not visit its %T %q", path, n, c, c.In(tree.Source).Text())
				}
				delete(walked, c)
				visit(c)
			}
			for c := range walked {
				t.Errorf("%s: Walk of a %T visits a %T that it does not hold", path, n, c)
			}
		}
		for _, d := range tree.Declarations {
			visit(d)
		}
	}
	for _, name := range nodeTypes(t) {
		if !filled[name] && name != "Node" && name != "Keyed" {
			t.Errorf("no archive in testdata/good has a %s", name)
		}
	}
	for _, field := range nodeFields(t) {
		if !filled[field] {
			t.Errorf("no archive in testdata/good fills %s", field)
		}
	}
}

// Walk has a case for every node type that the package's source declares.
func TestWalkKnowsEveryNode(t *testing.T) {
	src, err := os.ReadFile("walk.go")
	if err != nil {
		t.Fatal(err)
	}
	for _, name := range nodeTypes(t) {
		if name != "Keyed" && !strings.Contains(string(src), "case *"+name+":") && !strings.Contains(string(src), "*"+name+",") && !strings.Contains(string(src), ", *"+name+":") {
			t.Errorf("walk.go has no case for %s", name)
		}
	}
}

// declared calls f for each struct type of the package that is a node.
func declared(t *testing.T, f func(name string, s *ast.StructType)) {
	t.Helper()
	paths, _ := filepath.Glob("*.go")
	for _, path := range paths {
		if strings.HasSuffix(path, "_test.go") {
			continue
		}
		file, err := goparser.ParseFile(token.NewFileSet(), path, nil, 0)
		if err != nil {
			t.Fatal(err)
		}
		ast.Inspect(file, func(n ast.Node) bool {
			spec, ok := n.(*ast.TypeSpec)
			if !ok {
				return true
			}
			s, ok := spec.Type.(*ast.StructType)
			if !ok {
				return true
			}
			for _, field := range s.Fields.List {
				if id, ok := field.Type.(*ast.Ident); ok && len(field.Names) == 0 && (id.Name == "Node" || id.Name == "Keyed") {
					f(spec.Name.Name, s)
				}
			}
			return true
		})
	}
}

func nodeTypes(t *testing.T) (names []string) {
	declared(t, func(name string, _ *ast.StructType) { names = append(names, name) })
	if len(names) < 60 {
		t.Fatalf("only %d node types found", len(names))
	}
	return names
}

func nodeFields(t *testing.T) (names []string) {
	declared(t, func(name string, s *ast.StructType) {
		for _, field := range s.Fields.List {
			for _, id := range field.Names {
				if id.Name != "Broken" && name != "Keyed" {
					names = append(names, name+"."+id.Name)
				}
			}
		}
	})
	return names
}

// Every keyword of the tables is parsed by something: the good archives hold
// each where it can stand.
func TestEveryKeywordIsParsed(t *testing.T) {
	names, byName := archives(t, "good")
	seen := map[string]bool{}
	for _, path := range names {
		input, _ := part(byName[path], "input.proc")
		tree, _ := load(input, path)
		WalkFile(tree, func(n Place) bool {
			switch n := n.(type) {
			case Property:
				seen[n.Key()] = true
			case Declaration:
				seen[n.Keyword()] = true
			case Statement:
				seen[n.Keyword()] = true
			case Action:
				seen[n.Keyword()] = true
			case *Trial:
			case *Expectation:
				seen["expect"] = true
			}
			return true
		})
	}
	for c := InFile; c <= InTrial; c++ {
		for _, k := range Keywords(c) {
			if !seen[k.Key] {
				t.Errorf("no archive in testdata/good has %q, which can stand in %s", k.Key, c)
			}
			if k.Meaning == "" || c.String() == "" {
				t.Errorf("%q has no meaning", k.Key)
			}
		}
	}
}

// But for a number and its unit, which stand on one line, line breaks carry no
// meaning: the same tokens on one line, and each on a line of its own, give the
// same tree.
func TestLineBreaksCarryNoMeaning(t *testing.T) {
	names, byName := archives(t, "good")
	inputs := map[string]string{}
	for _, path := range names {
		inputs[path], _ = part(byName[path], "input.proc")
	}
	paths, _ := filepath.Glob("testdata/pump-bench/*.proc")
	for _, path := range paths {
		b, _ := os.ReadFile(path)
		inputs[path] = string(b)
	}
	for path, input := range inputs {
		tree, _ := load(input, path)
		want := Dump(tree, false)
		for _, between := range []string{" ", "\n", "\r\n", "\t"} {
			again, list := load(join(tree.Tokens, between), path)
			if len(list) > 0 {
				t.Errorf("%s, tokens with %q between: %s", path, between, show(list))
			} else if got := Dump(again, false); got != want {
				t.Errorf("%s, tokens with %q between: another tree\n%s", path, between, got)
			}
		}
	}
}

func join(tokens []lexer.Token, between string) string {
	var b strings.Builder
	for i, t := range tokens {
		switch {
		case t.Type == CommentToken:
		case t.Type == NumberToken && i+1 < len(tokens) && tokens[i+1].Type == WordToken:
			b.WriteString(t.Value + " ") // a unit stands on its number's line
		default:
			b.WriteString(t.Value + between)
		}
	}
	return b.String()
}
