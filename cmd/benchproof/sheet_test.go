package main

import (
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
