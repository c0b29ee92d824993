package source

import "testing"

// Columns count characters and offsets bytes; a line break may be CRLF, and a
// place behind the end is the end.
func TestPositions(t *testing.T) {
	f := NewFile("a.proc", "tool ø \"µ\"\r\n\n\tx 漢 y")
	for _, c := range []struct {
		offset, line, column int
	}{
		{0, 1, 1}, {5, 1, 6}, {7, 1, 7}, {8, 1, 8}, {14, 2, 1}, {15, 3, 1}, {16, 3, 2}, {18, 3, 4}, {21, 3, 5}, {len(f.Text), 3, 7}, {1000, 3, 7}, {-1, 1, 1},
	} {
		if line, column := f.Position(c.offset); line != c.line || column != c.column {
			t.Errorf("offset %d: found %d:%d, expected %d:%d", c.offset, line, column, c.line, c.column)
		}
	}
	for _, c := range []struct {
		line  int
		text  string
		start int
	}{{1, "tool ø \"µ\"", 0}, {2, "", 14}, {3, "\tx 漢 y", 15}, {0, "", len(f.Text)}, {4, "", len(f.Text)}} {
		if text, start := f.Line(c.line); text != c.text || start != c.start {
			t.Errorf("line %d: found %q at %d, expected %q at %d", c.line, text, start, c.text, c.start)
		}
	}
	if f.Lines() != 3 {
		t.Errorf("found %d lines, expected 3", f.Lines())
	}
}

// Every line starts where its first position lies, in any text.
func FuzzPosition(f *testing.F) {
	f.Add("", 0)
	f.Add("a\nb\r\nc", 3)
	f.Add("漢\n", 2)
	f.Fuzz(func(t *testing.T, text string, offset int) {
		file := NewFile("a.proc", text)
		line, column := file.Position(offset)
		if line < 1 || line > file.Lines() || column < 1 {
			t.Fatalf("%d:%d of %d lines", line, column, file.Lines())
		}
		_, start := file.Line(line)
		if back, first := file.Position(start); back != line || first != 1 {
			t.Fatalf("line %d starts at %d, which is %d:%d", line, start, back, first)
		}
	})
}

func TestSpans(t *testing.T) {
	a, b := NewFile("a.proc", "one two"), NewFile("b.proc", "three")
	first, second := a.Span(0, 3), a.Span(4, 7)
	if first.Text() != "one" || first.To(second).Text() != "one two" {
		t.Errorf("found %q and %q", first.Text(), first.To(second).Text())
	}
	if !first.Less(second) || second.Less(first) || !second.Less(b.Span(0, 1)) || first.Less(first) {
		t.Error("spans are ordered by file, start and end")
	}
	if !first.Contains(3) || first.Contains(4) {
		t.Error("a span contains the place behind its last character and no further")
	}
	if (Span{}).Text() != "" || !(Span{}).IsZero() || !(Span{}).Less(first) {
		t.Error("the zero span points nowhere and comes first")
	}
}
