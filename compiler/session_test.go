package compiler_test

import (
	"context"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"

	"benchproof/compiler"
	"benchproof/compiler/library"
	"benchproof/compiler/scale"
	"benchproof/dsl/message"
	"benchproof/procedures"
)

// asText prints messages as a person reads them, so that everything in them counts.
func asText(t *testing.T, list []*message.Message) string {
	t.Helper()
	var b strings.Builder
	if err := message.WriteText(&b, list, message.TextOptions{}); err != nil {
		t.Fatal(err)
	}
	for _, m := range list {
		for _, e := range m.Edits {
			fmt.Fprintf(&b, "edit %s:%d-%d %q\n", e.Span.File.Path, e.Span.Start, e.Span.End, e.Text)
		}
	}
	return b.String()
}

// named lists what is named where, and where that is declared.
func named(lib *library.Library) string {
	var b strings.Builder
	lib.EachReference(func(r library.Reference) {
		at := r.To.Declared().Span
		fmt.Fprintf(&b, "%s:%d-%d %s %s %s:%d\n", r.Span.File.Path, r.Span.Start, r.Span.End, r.To.Sort(), r.To.Declared().Name, at.File.Path, at.Start)
	})
	return b.String()
}

// whole is what Check says of the files as they are.
func whole(t *testing.T, files map[string]string, base fs.FS) string {
	t.Helper()
	folder := fstest.MapFS{}
	_ = fs.WalkDir(base, ".", func(name string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && !strings.HasSuffix(name, compiler.Suffix) {
			data, _ := fs.ReadFile(base, name)
			folder[name] = &fstest.MapFile{Data: data}
		}
		return nil
	})
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
	return asText(t, r.Messages) + named(r.Library)
}

// incremental is what a session says.
func incremental(t *testing.T, s *compiler.Session, urgent ...string) string {
	t.Helper()
	var all []*message.Message
	reports := 0
	err := s.Check(context.Background(), urgent, func(found map[string][]*message.Message, final bool) {
		if !final {
			return
		}
		reports++
		for _, ms := range found {
			all = append(all, ms...)
		}
	})
	if err != nil || reports != 1 {
		t.Fatalf("%d reports, %v", reports, err)
	}
	names := ""
	s.Look(func(v *compiler.View) { names = named(v.Library) })
	return asText(t, message.Sort(all)) + names
}

// scramble changes a text as a person at a keyboard might.
func scramble(r *rand.Rand, text string, words []string) string {
	lines := strings.Split(text, "\n")
	i := r.IntN(len(lines))
	switch r.IntN(8) {
	case 0:
		return strings.Join(slices.Delete(lines, i, i+1), "\n")
	case 1:
		return strings.Join(slices.Insert(lines, i, lines[r.IntN(len(lines))]), "\n")
	case 2:
		j := r.IntN(len(lines))
		lines[i], lines[j] = lines[j], lines[i]
		return strings.Join(lines, "\n")
	case 3: // a letter less
		if k := r.IntN(len(text) + 1); k < len(text) && text[k] < 0x80 {
			return text[:k] + text[k+1:]
		}
		return text
	case 4: // a comment, which moves what stands below
		return strings.Join(slices.Insert(lines, i, "# moved"), "\n")
	case 5: // another word
		fields := strings.Fields(lines[i])
		if len(fields) == 0 {
			return text
		}
		lines[i] = strings.Replace(lines[i], fields[r.IntN(len(fields))], words[r.IntN(len(words))], 1)
		return strings.Join(lines, "\n")
	case 6: // another number
		return strings.Replace(text, "0", "9", 1+r.IntN(2))
	default: // a half-written line
		k := r.IntN(len(lines[i]) + 1)
		for k > 0 && k < len(lines[i]) && lines[i][k]&0xC0 == 0x80 {
			k--
		}
		lines[i] = lines[i][:k]
		return strings.Join(lines, "\n")
	}
}

// seed chooses what is typed in the test below; any will do.
var seed = func() uint64 {
	n, _ := strconv.ParseUint(os.Getenv("BENCHPROOF_SEED"), 10, 64)
	return n
}()

// A session must say what a check from nothing says, whatever was typed before.
func TestASessionSaysWhatACheckFromNothingSays(t *testing.T) {
	demo := map[string]string{}
	_ = fs.WalkDir(procedures.Files, ".", func(name string, _ fs.DirEntry, _ error) error {
		if strings.HasSuffix(name, compiler.Suffix) {
			data, _ := fs.ReadFile(procedures.Files, name)
			demo[name] = string(data)
		}
		return nil
	})
	libraries := []struct {
		name  string
		files map[string]string
		base  fs.FS
		steps int
	}{
		{"scale", scale.Generate(3), fstest.MapFS{}, 260},
		{"demonstration", demo, procedures.Files, 60},
	}
	for _, lib := range libraries {
		t.Run(lib.name, func(t *testing.T) {
			var words []string
			var names []string
			for name, text := range lib.files {
				names = append(names, name)
				words = append(words, strings.Fields(text)...)
			}
			slices.Sort(names)
			slices.Sort(words)
			r := rand.New(rand.NewPCG(seed, uint64(len(names))))
			folder := fstest.MapFS{}
			for _, name := range names {
				folder[name] = &fstest.MapFile{Data: []byte(lib.files[name])}
			}
			_ = fs.WalkDir(lib.base, ".", func(name string, d fs.DirEntry, err error) error {
				if err == nil && !d.IsDir() && folder[name] == nil {
					data, _ := fs.ReadFile(lib.base, name)
					folder[name] = &fstest.MapFile{Data: data}
				}
				return nil
			})
			s, err := compiler.NewSession(folder)
			if err != nil {
				t.Fatal(err)
			}
			now := map[string]string{}
			for name, text := range lib.files {
				now[name] = text
			}
			for step := range lib.steps {
				name := names[r.IntN(len(names))]
				text := now[name]
				switch r.IntN(6) {
				case 0:
					text = lib.files[name] // all undone
				case 1:
					// Declarations come in twice, leave, or change their file.
					other := names[r.IntN(len(names))]
					switch r.IntN(3) {
					case 0:
						text += "\n" + now[other]
					case 1:
						text = ""
					default:
						if err := s.Edit(other, text); err != nil {
							t.Fatal(err)
						}
						text, now[other] = now[other], text
					}
				default:
					text = scramble(r, text, words)
				}
				if err := s.Edit(name, text); err != nil {
					t.Fatal(err)
				}
				now[name] = text
				if r.IntN(4) == 0 {
					continue // typed on before anything was said
				}
				if got, want := incremental(t, s, name), whole(t, now, lib.base); got != want {
					t.Fatalf("step %d, %s: the session says\n%s\na check from nothing says\n%s", step, name, got, want)
				}
			}
			for _, name := range names {
				if err := s.Release(name); err != nil {
					t.Fatal(err)
				}
			}
			if got, want := incremental(t, s), whole(t, lib.files, lib.base); got != want {
				t.Fatalf("at the end the session says\n%s\na check from nothing says\n%s", got, want)
			}
		})
	}
}
