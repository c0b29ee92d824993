package syntax

import (
	"os"
	"path/filepath"
	"testing"
)

func TestBench(t *testing.T) {
	files, _ := filepath.Glob("testdata/pump-bench/*.proc")
	for _, name := range files {
		b, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		f, ms := Load(b, name)
		tree := Parse(f)
		for _, m := range append(ms, tree.Messages...) {
			l, c := f.Position(m.Span.Start)
			t.Errorf("%s:%d:%d %s", name, l, c, m.Text)
		}
		t.Log(name, len(tree.Declarations))
	}
}

func TestForms(t *testing.T) {
	f, _ := Load([]byte(`
library "x" { owner "a" allow BP803 "the shop calls it that" }
tool torque-wrench "w" { length 320 mm number "T-1" }
tool ring "w" { extends 80 mm }
procedure p "P" {
  allow BP305 "why"
  applies to size
  revision 1 on 2026-10-02 "x"
  step "do" {
    drill hole 8.3 mm deep 25 mm at 25 m/min with drill-8-3
    tap hole M8 deep 14 mm at 8 m/min with tap-8
    tap existing hole M8 for insert deep 14 mm with tap-8
    tighten casing-nut to 60 N.m with torque-wrench through ring-extension
    heat bearing bore 25 mm interference 0.015 mm clearance 0.05 mm expansion 11.5 um/m/K from 20 degC at most 110 degC with induction-heater
    heat bearing bore 25 mm interference 0.015 mm expansion 11.5 um/m/K with induction-heater
    allow BP803 "the shop calls it that"
    remove a, b x 2, c
    refit a x 2, b
    fit new a x 3, b
    release a, b
    use a, b x 2
    warn h1, h2
    show f1, v1
    measure f in % with humid
    lift a, b with crane
  }
  decide d {
    accept limits 25 k6 "good" { }
    below limits 25 mm k6 { }
    above limits t.c k6 "too big" { }
  }
  decide size { s32, s40 { } }
  decide yes { no { } on { } from { } accept { } at, above "both" { } }
  repeat at most 3 times { step "x" { measure r in mm with m } until r limits 25 k6 no upper limit step "clean" }
  otherwise { finish refer to q "x" { leaves power off } }
}
trial "t" of p {
  size s32
  f 5 %, 6 %
  expect a used, b not used, h met, h not met, time at most 3 h, finish refer to q, c fitted
}
`), "forms.proc")
	tree := Parse(f)
	for _, m := range tree.Messages {
		l, c := f.Position(m.Span.Start)
		t.Errorf("%d:%d %s", l, c, m.Text)
	}
}
