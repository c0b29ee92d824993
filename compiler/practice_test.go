package compiler_test

import (
	"strings"
	"testing"

	"benchproof/dsl/message"
)

// Common practice, no source: a pilot hole of 2.5 mm, at least 10 mm deep, before
// a blind element is tapped and drawn (2.5 mm is the tapping drill of M3, ISO 2306);
// the measured length of the removed element, 27 mm or 30 mm, selects between
// two spares, and a reading that is neither leads somewhere; chips are blown out
// after tapping.
const blindElement = `library "Test bench" {
  owner     "Workshop"
  decision  guarded
}

hazard chips caution "Flying chips" {
  consequence  "Chips can injure your eyes."
  avoid        "Wear eye protection and point the jet away from people."
  signs        M004
}

tool drill-2-5   "2.5 mm twist drill"  { number "T-0301"  drills 2.5 mm }
tool tap-3       "M3 tap"              { number "T-0302"  taps M3 }
tool draw-bolt   "drawing bolt"        { number "T-0303"  detail "M3" }
tool air-gun     "air gun"             { number "T-0304"  carries chips }
tool press-ring  "press-in ring"       { number "T-0305" }

tool caliper "caliper" {
  number       "T-0306"
  reads        from 0 mm to 150 mm
  resolution   0.01 mm
  uncertainty  0.03 mm
}

part element       "guide element"  { }
part element-27    "guide element"  { number "P-0327"  detail "27 mm"  kind element }
part element-30    "guide element"  { number "P-0330"  detail "30 mm"  kind element }

procedure element-change "Replace a blind guide element" {
  document  "WI-0301"
  revision  A on 2026-01-05 "First issue."

  step "Drill a pilot hole into the element with the @drill-2-5, 12 mm deep." {
    drill  pilot 2.5 mm deep 12 mm with drill-2-5
  }
  step "Tap the hole with the @tap-3, 8 mm deep." {
    tap  pilot M3 deep 8 mm with tap-3
  }
  step "Blow the chips out with the @air-gun." {
    use  air-gun
  }
  step "Screw the @draw-bolt in and draw the @element out." {
    fit     draw-bolt on element
    remove  element
  }
  step "Take off the @draw-bolt." {
    remove  draw-bolt
  }
  step "Measure the length of the old element with the @caliper." {
    measure  element-length in mm with caliper
  }
  decide element-length {
    below 26.80 mm "Not an element of this machine." {
      finish refer "Tag the element and call the supervisor."
    }
    accept from 26.80 mm to 27.20 mm "The short element." {
      step "Press a new @element-27 in with the @press-ring." {
        use  press-ring
        fit  new element-27
      }
      finish serviceable "The 27 mm element @element-27 is in."
    }
    above 27.20 mm to below 29.80 mm "Neither length." {
      finish refer "Tag the element and call the supervisor."
    }
    accept from 29.80 mm to 30.20 mm "The long element." {
      step "Press a new @element-30 in with the @press-ring." {
        use  press-ring
        fit  new element-30
      }
      finish serviceable "The 30 mm element @element-30 is in."
    }
    above 30.20 mm "Not an element of this machine." {
      finish refer "Tag the element and call the supervisor."
    }
  }
}

trial "short" of element-change {
  element-length  27.01 mm
  expect          element-27 fitted, element-30 not fitted, finish serviceable
}

trial "long" of element-change {
  element-length  29.98 mm
  expect          element-30 fitted, element-27 not fitted, finish serviceable
}

trial "too short" of element-change {
  element-length  25.00 mm
  expect          finish refer
}

trial "neither" of element-change {
  element-length  28.50 mm
  expect          finish refer
}

trial "too long" of element-change {
  element-length  33.00 mm
  expect          finish refer
}
`

func TestBlindElementOfCommonPractice(t *testing.T) {
	if list := checked(t, map[string]string{"bench.proc": blindElement}).Messages; len(list) > 0 {
		t.Fatalf("the procedure itself has messages:\n%s", printed(t, list))
	}
	slips := []struct {
		what, old, new string
		code           message.Code
	}{
		{"a tool removed that was never fitted", "    fit     draw-bolt on element\n", "    use     draw-bolt\n", "BP501"},
		{"the closing text names the other spare", "The 27 mm element @element-27 is in.", "The 27 mm element @element-30 is in.", "BP208"},
		{"something detached that was never attached", "    measure  element-length in mm with caliper\n", "    remove   press-ring\n    measure  element-length in mm with caliper\n", "BP501"},
		{"a value between the two lengths", "    above 27.20 mm to below 29.80 mm \"Neither length.\" {\n      finish refer \"Tag the element and call the supervisor.\"\n    }\n", "", "BP401"},
		{"a tool left on", "    remove  draw-bolt\n", "    use     draw-bolt\n", "BP502"},
		{"a pilot hole too shallow", "deep 12 mm with drill-2-5", "deep 9 mm with drill-2-5", "BP702"},
		{"a drill for another thread", "drills 2.5 mm", "drills 2.9 mm", "BP703"},
		{"the wrong spare", "fit  new element-27", "fit  new element-30", "BP208"},
	}
	for _, s := range slips {
		t.Run(s.what, func(t *testing.T) {
			if strings.Count(blindElement, s.old) != 1 {
				t.Fatalf("%q stands %d times", s.old, strings.Count(blindElement, s.old))
			}
			list := checked(t, map[string]string{"bench.proc": strings.Replace(blindElement, s.old, s.new, 1)}).Messages
			for _, m := range list {
				if m.Code == s.code {
					return
				}
			}
			t.Errorf("expected %s, found:\n%s", s.code, printed(t, list))
		})
	}
}
