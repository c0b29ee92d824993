package editor

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"

	"github.com/charmbracelet/x/powernap/pkg/lsp/protocol"

	"benchproof/compiler"
	"benchproof/compiler/library"
)

// Every name of a library can be changed, and nothing is wrong with it then:
// the compiler finds no place where the old name was left.
func TestEveryNameCanBeChanged(t *testing.T) {
	files := folderOf(t, "../testdata/pump-bench")
	c := begin(t, files)
	names := map[string][]int{} // by file, where names are declared or used
	folder := fstest.MapFS{}
	for name, text := range files {
		folder[name] = &fstest.MapFile{Data: []byte(text)}
	}
	s, err := compiler.NewSession(folder)
	if err != nil {
		t.Fatal(err)
	}
	s.Look(func(v *compiler.View) {
		once := map[library.Symbol]bool{}
		add := func(sym library.Symbol) {
			if !once[sym] {
				once[sym] = true
				at := sym.Declared().Span
				names[at.File.Path] = append(names[at.File.Path], at.Start)
			}
		}
		each(v.Library, add)
		v.Library.EachReference(func(r library.Reference) { add(r.To) })
	})
	for name := range files {
		if strings.HasSuffix(name, ".proc") {
			c.open(name)
		}
	}
	changed := 0
	for name, starts := range names {
		for _, start := range starts {
			edit := result[protocol.WorkspaceEdit](c, "textDocument/rename", c.on(name, start, `,"newName":"quite-another"`))
			after := map[string]string{}
			for file, text := range files {
				after[file] = text
			}
			n := 0
			for _, change := range edit.DocumentChanges {
				var edits []protocol.TextEdit
				for _, e := range change.TextDocumentEdit.Edits {
					one, err := e.AsTextEdit()
					if err != nil {
						t.Fatal(err)
					}
					edits = append(edits, one)
				}
				file := c.name(change.TextDocumentEdit.TextDocument.URI)
				after[file] = applied(after[file], edits)
				n += len(edits)
			}
			if n == 0 {
				t.Errorf("%s at %d: nothing is changed", name, start)
			}
			if said := wrong(t, after); said != "" {
				t.Errorf("%s, %q: after %d edits the compiler says %s", name, wordAt(files[name], start), n, said)
			}
			changed++
		}
	}
	if changed < 70 {
		t.Errorf("only %d names were changed", changed)
	}
}

func wordAt(text string, at int) string {
	end := at + strings.IndexFunc(text[at:], func(r rune) bool { return strings.ContainsRune(" \n\"{},", r) })
	return text[at:end]
}

// wrong is the first message of a library, or nothing.
func wrong(t testing.TB, files map[string]string) string {
	t.Helper()
	folder := fstest.MapFS{}
	for name, text := range files {
		folder[name] = &fstest.MapFile{Data: []byte(text)}
	}
	sources, err := compiler.Read(folder)
	if err != nil {
		t.Fatal(err)
	}
	r, err := compiler.Check(context.Background(), sources)
	if err != nil {
		t.Fatal(err)
	}
	if len(r.Messages) == 0 {
		return ""
	}
	return string(r.Messages[0].Code) + " " + r.Messages[0].Text
}
