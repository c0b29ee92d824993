package document_test

import (
	"fmt"
	"strings"
	"testing"

	"benchproof/compiler/document"
	"benchproof/compiler/paths"
)

// longJob is a procedure of about so many steps with a decision in ten.
func longJob(steps int) map[string]string {
	var b strings.Builder
	b.WriteString(bench + "procedure p \"P\" {\n")
	for i := 0; i < steps; i += 10 {
		fmt.Fprintf(&b, "stage \"Part %d\" {\n", i/10)
		for k := range 7 {
			fmt.Fprintf(&b, "step \"Use the @hammer, blow %d.\" { use hammer takes 1 min }\n", k)
		}
		fmt.Fprintf(&b, "step \"Measure it.\" { measure x%d in mm with gauge }\n", i)
		fmt.Fprintf(&b, "decide x%d { below 1 mm { } at least 1 mm \"It is too long.\" { step \"Use the @saw.\" { use saw } step \"Use the @file.\" { use file } } }\n}\n", i)
	}
	b.WriteString("}\n")
	return map[string]string{"a.proc": b.String()}
}

// The lowering must stay linear: its allocations for four times the steps are
// at most five times as many.
func TestLongProcedures(t *testing.T) {
	count := func(steps int) float64 {
		lib := bind(t, longJob(steps), true)
		p := procedure(t, lib, "p")
		res := paths.Judge(lib, p)
		return testing.AllocsPerRun(1, func() { document.Lower(lib, p, res, document.Options{}) })
	}
	small, large := count(500), count(2000)
	if large > 5*small {
		t.Errorf("500 steps take %.0f allocations, 2000 steps %.0f", small, large)
	}
}

func BenchmarkLower(b *testing.B) {
	for _, steps := range []int{200, 2000} {
		lib := bind(b, longJob(steps), true)
		p := procedure(b, lib, "p")
		res := paths.Judge(lib, p)
		b.Run(fmt.Sprint(steps), func(b *testing.B) {
			b.ReportAllocs()
			for b.Loop() {
				document.Lower(lib, p, res, document.Options{})
			}
		})
	}
}
