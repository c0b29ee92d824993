package main

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// TestSheetsKeepTheirColumns: wide letters, long words and control characters leave
// columns in line and lines no wider than the terminal.
func TestSheetsKeepTheirColumns(t *testing.T) {
	s := &sheet{width: 60}
	s.line("", 2, "tool 扳手: "+strings.Repeat("schlüssel ", 20))
	s.table(2, [][]string{
		{"T-1", "扳手", strings.Repeat("für die große Mutter ", 8)},
		{"T-1234567", "wrench", "plain"},
		{"T-2", strings.Repeat("é", 90), "after a long one"},
		{"T-3", "a\x1b[31mb", "\x07"},
	})
	out := s.b.String()
	if strings.ContainsAny(out, "\x1b\x07") {
		t.Errorf("control characters were sent: %q", out)
	}
	at := -1
	for _, line := range strings.Split(strings.TrimSuffix(out, "\n"), "\n") {
		if w := cells.StringWidth(line); w > 60 {
			t.Errorf("%d columns: %s", w, line)
		}
		for _, word := range []string{"für die große", "plain", "after a"} {
			before, _, ok := strings.Cut(line, word)
			if !ok || strings.TrimSpace(before) == "" {
				continue
			}
			if w := cells.StringWidth(before); at >= 0 && w != at {
				t.Errorf("the last column begins at %d and at %d:\n%s", at, w, out)
			} else {
				at = w
			}
			break
		}
	}
	if at < 0 {
		t.Error("no row was found")
	}
}

// TestAllFilesOrNone: where one of several files cannot be written, those before it
// are as they were.
func TestAllFilesOrNone(t *testing.T) {
	dir := t.TempDir()
	path := func(name string) string { return filepath.Join(dir, name) }
	for _, name := range []string{"a", "b", "c"} {
		if err := os.WriteFile(path(name), []byte("old "+name), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if err := os.Chmod(path("c"), 0o444); err != nil {
		t.Fatal(err)
	}
	files := func(names ...string) (out []rewritten) {
		for _, name := range names {
			out = append(out, rewritten{path(name), []byte("old " + name), []byte("new " + name)})
		}
		return out
	}
	for _, names := range [][]string{{"a", "b", "c"}, {"a", "gone"}, {"c", "a"}} {
		if err := rewriteAll(files(names...)); err == nil {
			t.Errorf("%v: no error", names)
		}
		for _, name := range []string{"a", "b", "c"} {
			if data, err := os.ReadFile(path(name)); err != nil || string(data) != "old "+name {
				t.Errorf("%v: %s is %q, %v", names, name, data, err)
			}
		}
	}
	if err := rewriteAll(files("a", "b")); err != nil {
		t.Error(err)
	}
	if data, _ := os.ReadFile(path("b")); string(data) != "new b" {
		t.Errorf("b is %q", data)
	}
	left, err := os.ReadDir(dir)
	if err != nil || len(left) != 3 {
		t.Errorf("%d files are left: %v", len(left), err)
	}
}
