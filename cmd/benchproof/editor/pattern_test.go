package editor

import (
	"io/fs"
	"maps"
	"slices"
	"strings"
	"testing"

	"github.com/alecthomas/participle/v2/lexer"

	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
	"benchproof/procedures"
)

// sources are the demonstration library and the examples of this package.
func sources(t testing.TB) map[string]string {
	t.Helper()
	files := folderOf(t, "../testdata/pump-bench")
	_ = fs.WalkDir(procedures.Files, ".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && strings.HasSuffix(name, ".proc") {
			data, _ := fs.ReadFile(procedures.Files, name)
			files["demo/"+name] = string(data)
		}
		return err
	})
	for name := range files {
		if !strings.HasSuffix(name, ".proc") {
			delete(files, name)
		}
	}
	return files
}

// The notation of the keyword table must take every statement that is sound:
// then what it proposes next is what the language takes.
func TestPatternsTakeEveryStatement(t *testing.T) {
	seen := map[string]int{}
	for _, name := range slices.Sorted(maps.Keys(sources(t))) {
		text := sources(t)[name]
		f := syntax.Parse(source.NewFile(name, text))
		if len(f.Messages) > 0 {
			t.Fatalf("%s does not parse", name)
		}
		syntax.WalkFile(f, func(n syntax.Place) bool {
			ctx, key := contextOf(n)
			if ctx == 0 {
				return true
			}
			entry := head(f, n)
			p := patternOf(ctx, key)
			if p == nil {
				t.Fatalf("%s: no pattern of %q in %s", name, key, ctx)
			}
			r := p.follow(entry)
			opens := slices.ContainsFunc(r.next, func(x term) bool { return x.word == "{" })
			line, _ := f.Source.Position(n.Start())
			if r.stuck >= 0 || !r.whole && !opens {
				t.Errorf("%s:%d: the pattern of %q does not take %q (word %d)", name, line, key, f.Source.Text[entry[0].Pos.Offset:end(entry)], r.stuck)
			}
			seen[ctx.String()+" "+key]++
			return true
		})
	}
	if len(seen) < 60 {
		t.Errorf("only %d kinds of statements were met: %v", len(seen), seen)
	}
}

func end(entry []lexer.Token) int {
	last := entry[len(entry)-1]
	return last.Pos.Offset + len(last.Value)
}

// head gives the words of a statement up to its braces, without comments.
func head(f *syntax.File, n syntax.Place) (out []lexer.Token) {
	for _, tok := range f.Tokens {
		switch {
		case tok.Pos.Offset < n.Start() || tok.Type == syntax.CommentToken:
		case tok.Pos.Offset >= n.End() || tok.Value == "{" && tok.Type == syntax.PunctToken:
			return out
		default:
			out = append(out, tok)
		}
	}
	return out
}

// contextOf tells where a node stands and with which key it begins; 0 for what
// is no statement.
func contextOf(n syntax.Place) (syntax.Context, string) {
	switch n := n.(type) {
	case syntax.Declaration:
		return syntax.InFile, n.Keyword()
	case syntax.Action:
		return syntax.InStep, n.Keyword()
	case *syntax.Until:
		return syntax.InRepeat, "until"
	case *syntax.Repeat:
		return syntax.InProcedure, "repeat"
	case syntax.Statement:
		return syntax.InProcedure, n.Keyword()
	case *syntax.Branch:
		return syntax.InDecide, ""
	case *syntax.TrialEntry:
		return syntax.InTrial, ""
	case *syntax.MemberProperty:
		return syntax.InVariant, ""
	case *syntax.RowProperty:
		return syntax.InTable, ""
	case syntax.Property:
		for ctx := syntax.InLibrary; ctx <= syntax.InTrial; ctx++ {
			for _, k := range syntax.Keywords(ctx) {
				if k.Key == n.Key() && fits(ctx, n) {
					return ctx, k.Key
				}
			}
		}
	}
	return 0, ""
}

// fits tells contexts apart that have a key in common and say other things with it.
func fits(ctx syntax.Context, n syntax.Property) bool {
	_, pairs := n.(*syntax.StatesProperty)
	if _, column := n.(*syntax.ColumnProperty); columnKeys[n.Key()] && column != (ctx == syntax.InCatalogue) {
		return false
	}
	switch n.Key() {
	case "begins", "ends":
		return pairs == (ctx == syntax.InProcedure)
	}
	return true
}

func TestTermsOfHalfWrittenStatements(t *testing.T) {
	for _, x := range []struct{ key, written, next string }{
		{"measure", "measure", "smallest largest mean NAME"},
		{"measure", "measure smallest", "of"},
		{"measure", "measure smallest of 6", "NAME"},
		{"measure", "measure smallest of 6 bore in mm", "with"},
		{"fit", "fit new seal", "x ,"},
		{"fit", "fit cone on", "THING"},
		{"tighten", "tighten nut x 6 to 6, 12, 18 N.m", ", crosswise with"},
		{"tighten", "tighten nut to 5 N.m with wrench", "through"},
		{"needs", "needs power", "STATE"},
		{"needs", "needs power live,", "CONDITION"},
		{"heat", "heat ring bore 5 mm interference 0.1 mm", "clearance expansion"},
	} {
		f := syntax.Parse(source.NewFile("x.proc", x.written))
		r := patternOf(syntax.InStep, x.key).follow(f.Tokens)
		var got []string
		for _, n := range r.next {
			got = append(got, n.word+n.slot)
		}
		if s := strings.Join(got, " "); s != x.next {
			t.Errorf("behind %q can stand %q, not %q", x.written, s, x.next)
		}
	}
}

// columnKeys are the keys of a catalogue that name a column there.
var columnKeys = func() map[string]bool {
	keys := map[string]bool{}
	for _, k := range syntax.Keywords(syntax.InCatalogue) {
		keys[k.Key] = strings.HasPrefix(k.Syntax, "column ")
	}
	return keys
}()
