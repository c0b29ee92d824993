package compiler_test

import (
	"context"
	"io/fs"
	"math/rand/v2"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"

	"benchproof/compiler"
	"benchproof/procedures"
)

// A state of a session has the messages of a check from nothing and makes its
// documents, drafts too: from the session at once, and from the texts when the
// session has gone on.
func TestAStateMakesWhatACheckMakes(t *testing.T) {
	folder := fstest.MapFS{}
	var names []string
	if err := fs.WalkDir(procedures.Files, ".", func(name string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := fs.ReadFile(procedures.Files, name)
		folder[name] = &fstest.MapFile{Data: data}
		if strings.HasSuffix(name, compiler.Suffix) {
			names = append(names, name)
		}
		return err
	}); err != nil {
		t.Fatal(err)
	}
	s, err := compiler.NewSession(folder)
	if err != nil {
		t.Fatal(err)
	}
	ctx := context.Background()
	random := rand.New(rand.NewPCG(3, 5))
	var before *compiler.State
	var was *compiler.Result
	made, drafts, later := 0, 0, 0
	same := func(what string, state *compiler.State, whole *compiler.Result, session bool) {
		t.Helper()
		o := compiler.DocumentOptions{Draft: !whole.Sound()}
		var other *compiler.Result
		if !session {
			if other, err = state.Result(ctx); err != nil {
				t.Fatal(err)
			}
		}
		for i, p := range whole.Library.Procedures {
			if !session && i%5 != 0 {
				continue
			}
			want, ms := whole.Document(i, o)
			doc, found, ok := state.Document(p.Name, o, whole.Image)
			switch {
			case ok != session:
				t.Fatalf("%s: %s is made from the session: %t", what, p.Name, ok)
			case !session:
				doc, found = other.Document(i, o)
				later++
			case o.Draft:
				drafts++
			default:
				made++
			}
			if !reflect.DeepEqual(doc, want) || asText(t, found) != asText(t, ms) {
				t.Errorf("%s: %s differs", what, p.Name)
			}
		}
	}
	for n := range 10 {
		what, changed := "as it is", false
		if n > 0 {
			name := names[random.IntN(len(names))]
			what = name
			text := string(folder[name].Data)
			switch n % 3 {
			case 0:
				folder[name] = &fstest.MapFile{Data: []byte("# moved\n" + text)}
			case 1:
				folder[name] = &fstest.MapFile{Data: []byte(strings.Replace(text, `step "`, `step "Now look. `, 1))}
			default:
				folder[name] = &fstest.MapFile{Data: []byte(scramble(random, text, []string{"tool", "size", "fit"}))}
			}
			changed = string(folder[name].Data) != text
			if err := s.Reload(); err != nil {
				t.Fatal(err)
			}
		}
		state, err := s.CheckAll(ctx)
		if err != nil {
			t.Fatal(err)
		}
		sources, err := compiler.Read(folder)
		if err != nil {
			t.Fatal(err)
		}
		whole, err := compiler.Check(ctx, sources)
		if err != nil {
			t.Fatal(err)
		}
		if got, want := asText(t, state.Messages), asText(t, whole.Messages); got != want {
			t.Fatalf("%s: %s\nwant\n%s", what, got, want)
		}
		if state.Title != whole.Library.Title || state.Sound != whole.Sound() || len(state.Procedures) != len(whole.Library.Procedures) {
			t.Errorf("%s: %q, %t, %d", what, state.Title, state.Sound, len(state.Procedures))
		}
		same(what, state, whole, true)
		if changed && n%2 == 1 {
			same(what+", the state before", before, was, false)
		}
		before, was = state, whole
	}
	t.Logf("%d documents, %d drafts, %d of states that had gone", made, drafts, later)
	if made == 0 || drafts == 0 || later == 0 {
		t.Error("tries too little")
	}
}
