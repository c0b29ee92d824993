package compiler_test

import (
	"fmt"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/txtar"

	"benchproof/dsl/message"
)

var marker = regexp.MustCompile(`#! *(BP\d+(?: +BP\d+)*)\s*$`)

// The meaning of the language, sentence by sentence. Each file of an archive is
// a library of its own: its first line says what is meant, `#! BP501` at the end
// of a line says which messages must begin on it, and there must be no other.
//
//   - A file without a library statement stands beside bench.proc.
//   - A file without a procedure is the body of one; BP903 is not asked of it.
//
// What bench.proc declares and the case does not use (BP204) is no matter.
func TestMeaning(t *testing.T) {
	bench, err := os.ReadFile("testdata/meaning/bench.proc")
	if err != nil {
		t.Fatal(err)
	}
	names, err := filepath.Glob("testdata/meaning/*.txtar")
	if err != nil || len(names) == 0 {
		t.Fatalf("no archives: %v", err)
	}
	for _, name := range names {
		a, err := txtar.ParseFile(name)
		if err != nil {
			t.Fatal(err)
		}
		for _, f := range a.Files {
			t.Run(strings.TrimSuffix(filepath.Base(name), ".txtar")+"/"+f.Name, func(t *testing.T) {
				judgeMeaning(t, string(bench), string(f.Data))
			})
		}
	}
}

func judgeMeaning(t *testing.T, bench, text string) {
	lines := strings.Split(text, "\n")
	if !strings.HasPrefix(lines[0], "# ") {
		t.Fatal("the first line does not say what is meant")
	}
	var want []string
	for i, line := range lines {
		if m := marker.FindStringSubmatch(line); m != nil {
			for _, code := range strings.Fields(m[1]) {
				want = append(want, fmt.Sprintf("%d %s", i+1, code))
			}
		}
	}
	body := !regexp.MustCompile(`(?m)^procedure `).MatchString(text)
	if body {
		lines[0] = `procedure job "Do the job" { document "WI-1" revision A on 2026-01-05 "First issue."`
		if at := marker.FindString(strings.SplitN(text, "\n", 2)[0]); at != "" {
			lines[0] += " " + at
		}
		text = strings.Join(lines, "\n") + "}\n"
	}
	files := map[string]string{"case.proc": text}
	if !regexp.MustCompile(`(?m)^library `).MatchString(text) {
		files["bench.proc"] = bench
	}
	result := checked(t, files)
	var got []string
	var told []*message.Message
	for _, m := range message.Gather(result.Messages) {
		if m.Span.IsZero() {
			got = append(got, fmt.Sprintf("nowhere %s", m.Code))
			continue
		}
		file := m.Span.File.Path
		if m.Code == "BP204" && file == "bench.proc" || body && m.Code == "BP903" {
			continue
		}
		told = append(told, m)
		line, _ := m.Span.File.Position(m.Span.Start)
		at := fmt.Sprintf("%d %s", line, m.Code)
		if file != "case.proc" {
			at = file + ":" + at
		}
		got = append(got, at)
	}
	slices.Sort(want)
	slices.Sort(got)
	if !slices.Equal(got, want) {
		t.Errorf("found %q, expected %q:\n%s", got, want, printed(t, told))
	}
}
