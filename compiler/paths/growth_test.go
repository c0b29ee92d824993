package paths_test

import (
	"fmt"
	"math"
	"strings"
	"testing"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// bind makes a library of one source text, which must be free of messages
// other than warnings.
func bind(t testing.TB, text string) *library.Library {
	t.Helper()
	f := syntax.Parse(source.NewFile("test.proc", text))
	lib, ms := library.Bind([]*syntax.File{f})
	for _, m := range append(ms, f.Messages...) {
		if m.IsError() {
			line, _ := m.Span.File.Position(m.Span.Start)
			t.Fatalf("line %d: %s %s", line, m.Code, m.Text)
		}
	}
	return lib
}

const benchHead = `library "Test bench" { owner "Workshop" }
tool gauge "gauge" { reads from 0 mm to 100 mm resolution 0.01 mm uncertainty 0.01 mm }
`

func procedure(body string) string {
	return "procedure job \"Job\" {\n document \"W-1\"\n revision A on 2026-01-01 \"x\"\n" + body + "}\n"
}

// inARow gives n decisions in a row. tied: each fits a tool in one branch that a
// later decision on the same answer takes off; ending: one branch of each finishes.
func inARow(n int, tied, ending bool) string {
	var b, later strings.Builder
	b.WriteString(benchHead)
	b.WriteString("part hub \"hub\" { }\n")
	for i := range n {
		fmt.Fprintf(&b, "tool clip-%d \"clip\" { }\n", i)
	}
	var body strings.Builder
	for i := range n {
		fmt.Fprintf(&body, "step \"Look.\" { ask q-%d \"Which?\" { a \"a\" b \"b\" } }\n", i)
		end := ""
		if ending {
			end = `finish refer "Call."`
		}
		if tied {
			fmt.Fprintf(&body, "decide q-%d { a { step \"Fit.\" { fit clip-%d on hub } } b { %s } }\n", i, i, end)
			fmt.Fprintf(&later, "decide q-%d { a { step \"Off.\" { remove clip-%d } } b { %s } }\n", i, i, "")
		} else {
			fmt.Fprintf(&body, "decide q-%d { a { step \"Fit.\" { fit clip-%d on hub remove clip-%d } } b { %s } }\n", i, i, i, end)
		}
	}
	b.WriteString(procedure(body.String() + later.String()))
	return b.String()
}

// nested gives decisions nested to a depth.
func nested(depth int) string {
	var open, shut strings.Builder
	for i := range depth {
		fmt.Fprintf(&open, "step \"Measure.\" { measure r-%d in mm with gauge }\ndecide r-%d { below 50 mm { step \"Low.\" } at least 50 mm {\n", i, i)
		shut.WriteString("} }\n")
	}
	return benchHead + procedure(open.String()+shut.String())
}

// long gives steps that fit and take off tools by turns.
func long(steps, tools int) string {
	var b strings.Builder
	b.WriteString(benchHead + "part hub \"hub\" { }\n")
	for i := range tools {
		fmt.Fprintf(&b, "tool clip-%d \"clip\" { }\n", i)
	}
	var body strings.Builder
	for i := range steps {
		verb := "fit clip-%d on hub"
		if i/tools%2 == 1 {
			verb = "remove clip-%d"
		}
		fmt.Fprintf(&body, "step \"Go on.\" { "+verb+" }\n", i%tools)
		if i%10 == 9 {
			fmt.Fprintf(&body, "step \"Measure.\" { measure r-%d in mm with gauge }\ndecide r-%d { below 50 mm { step \"Low.\" } at least 50 mm { } }\n", i, i)
		}
	}
	return b.String() + procedure(body.String())
}

func work(t testing.TB, text string) int {
	t.Helper()
	lib := bind(t, text)
	res := paths.Judge(lib, lib.Procedures[0])
	for _, m := range res.Messages {
		line, _ := m.Span.File.Position(m.Span.Start)
		t.Fatalf("line %d: %s %s %v", line, m.Code, m.Text, m.Notes)
	}
	return res.Steps
}

// Work grows no faster than n log n: sixty decisions in a row cost little more
// than sixty times one, however many paths they make (2^60).
func TestWorkGrowsWithTheText(t *testing.T) {
	cases := []struct {
		name string
		make func(n int) string
		n    int
	}{
		{"decisions in a row", func(n int) string { return inARow(n, false, false) }, 60},
		{"decisions in a row that can finish", func(n int) string { return inARow(n, false, true) }, 60},
		{"tools tied to an answer", func(n int) string { return inARow(n, true, false) }, 60},
		{"nested decisions", nested, 7}, // and 28: a file nests no deeper than 64 blocks
		{"steps", func(n int) string { return long(n, 40) }, 2000},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			small, large := work(t, c.make(c.n)), work(t, c.make(4*c.n))
			n := float64(c.n)
			most := 1.3 * float64(small) * (4 * n * math.Log(4*n)) / (n * math.Log(n))
			t.Logf("%d: %d operations; %d: %d operations, at most %.0f", c.n, small, 4*c.n, large, most)
			if float64(large) > most {
				t.Errorf("work for %d is %d, for %d it is %d: faster than n log n", c.n, small, 4*c.n, large)
			}
		})
	}
}

// Repeats inside repeats reach the bound of the proof and are told so.
func TestTooIntricateIsSaid(t *testing.T) {
	var open, shut strings.Builder
	for i := range 20 {
		fmt.Fprintf(&open, "repeat at most 9 times {\n step \"Measure.\" { measure r-%d in mm with gauge }\n until r-%d below 5 mm\n", i, i)
		shut.WriteString("}\notherwise { finish refer \"Call.\" }\n")
	}
	lib := bind(t, benchHead+procedure(open.String()+shut.String()))
	res := paths.Judge(lib, lib.Procedures[0])
	if n := len(res.Messages); n != 1 || res.Messages[0].Code != "BP511" {
		t.Fatalf("expected BP511 alone, found %d messages", n)
	}
}
