package compiler_test

import (
	"context"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"benchproof/compiler"
	"benchproof/compiler/scale"
	"benchproof/dsl/message"
)

// written is a library of n procedures in a session that has checked it.
func written(t testing.TB, n int) (*compiler.Session, map[string]string) {
	t.Helper()
	files := scale.Generate(n)
	folder := fstest.MapFS{}
	for name, text := range files {
		folder[name] = &fstest.MapFile{Data: []byte(text)}
	}
	s, err := compiler.NewSession(folder)
	if err != nil {
		t.Fatal(err)
	}
	check(t, s)
	return s, files
}

// check checks and gives the messages, and when the first and the last report came.
func check(t testing.TB, s *compiler.Session, urgent ...string) (found map[string][]*message.Message, first, last time.Duration) {
	t.Helper()
	began := time.Now()
	err := s.Check(context.Background(), urgent, func(f map[string][]*message.Message, all bool) {
		if first == 0 {
			first = time.Since(began)
		}
		found, last = f, time.Since(began)
	})
	if err != nil {
		t.Fatal(err)
	}
	return found, first, last
}

// keystrokes are what a person may type into a library, and how little of it
// that may cost. The counters do not depend on the machine.
var keystrokes = []struct {
	name     string
	file     func(i int) string
	from, to string
	most     func(n int) compiler.Counters
}{
	{"a word of a step", scale.Path, "Blow the shaft clean", "Blow the shaft quite clean",
		func(int) compiler.Counters { return compiler.Counters{Parsed: 1, Bound: 7, Judged: 1, Tried: 1} }},
	{"a limit", scale.Path, "until runout at most 0.0", "until runout at most 0.00",
		func(int) compiler.Counters { return compiler.Counters{Parsed: 1, Bound: 7, Judged: 1, Tried: 1} }},
	{"a half-written line", scale.Path, "  stage \"Put the machine together\" {", "  stage \"Put the machine together\" {\n    step \"Oil the",
		func(int) compiler.Counters { return compiler.Counters{Parsed: 1, Bound: 7} }},
	{"a name that is not declared", scale.Path, "use     socket-13", "use     socket-1",
		func(int) compiler.Counters { return compiler.Counters{Parsed: 1, Bound: 7} }},
	{"a value of a trial", scale.Path, "29.90 mm", "29.91 mm",
		func(int) compiler.Counters { return compiler.Counters{Parsed: 1, Bound: 7, Judged: 1, Tried: 1} }},
	{"a comment among the declarations", func(int) string { return scale.Bench }, "# A bench of any size", "# A bench of some size, and more",
		func(int) compiler.Counters {
			return compiler.Counters{Parsed: 1, Things: 1, Bound: 7, Judged: 1, Tried: 1}
		}},
	{"the number of a part of one procedure", func(int) string { return scale.Bench }, "\"P-70001\"", "\"P-70001b\"",
		func(int) compiler.Counters {
			return compiler.Counters{Parsed: 1, Things: 1, Bound: 7, Judged: 1, Tried: 1}
		}},
	{"the title of a tool that all use", func(int) string { return scale.Bench }, "\"air gun\"", "\"air gun for dust\"",
		func(n int) compiler.Counters {
			return compiler.Counters{Parsed: 1, Things: 1, Bound: 7 * n, Judged: n, Tried: n}
		}},
}

func TestAKeystrokeCostsWhatItChanges(t *testing.T) {
	const n = 40
	for _, k := range keystrokes {
		t.Run(k.name, func(t *testing.T) {
			s, files := written(t, n)
			name := k.file(0)
			before := s.Counters()
			edit(t, s, name, files[name], k.from, k.to)
			check(t, s, name)
			now := s.Counters()
			cost := compiler.Counters{
				Parsed: now.Parsed - before.Parsed, Things: now.Things - before.Things, Bound: now.Bound - before.Bound,
				Judged: now.Judged - before.Judged, Tried: now.Tried - before.Tried,
			}
			if most := k.most(n); cost.Parsed > most.Parsed || cost.Things > most.Things || cost.Bound > most.Bound || cost.Judged > most.Judged || cost.Tried > most.Tried {
				t.Errorf("it cost %+v, and may cost %+v", cost, most)
			}
			// What is typed and undone leaves nothing behind.
			if err := s.Edit(name, files[name]); err != nil {
				t.Fatal(err)
			}
			if found, _, _ := check(t, s); len(found) > 0 {
				t.Errorf("after undoing it there are messages: %v", found)
			}
		})
	}
}

func edit(t testing.TB, s *compiler.Session, name, text, from, to string) {
	t.Helper()
	if !strings.Contains(text, from) {
		t.Fatalf("%s does not hold %q", name, from)
	}
	if err := s.Edit(name, strings.Replace(text, from, to, 1)); err != nil {
		t.Fatal(err)
	}
}

// The answer to a keystroke in a library of a thousand procedures: when the
// messages of the file typed into are known, and when those of all files are.
func BenchmarkKeystroke(b *testing.B) {
	const n = 1000
	s, files := written(b, n)
	for _, k := range keystrokes {
		b.Run(strings.ReplaceAll(k.name, " ", "-"), func(b *testing.B) {
			b.ReportAllocs()
			name := k.file(0)
			var first, last time.Duration
			for b.Loop() {
				edit(b, s, name, files[name], k.from, k.to)
				_, f, l := check(b, s, name)
				first, last = first+f, last+l
				if err := s.Edit(name, files[name]); err != nil {
					b.Fatal(err)
				}
				check(b, s, name)
			}
			b.ReportMetric(float64(first.Microseconds())/1000/float64(b.N), "ms/answer")
			b.ReportMetric(float64(last.Microseconds())/1000/float64(b.N), "ms/all")
		})
	}
}
