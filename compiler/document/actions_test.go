package document_test

import (
	"bytes"
	"errors"
	"fmt"
	"image"
	"image/color"
	"image/png"
	"slices"
	"strings"
	"testing"

	"benchproof/compiler/document"
	"benchproof/compiler/paths"
)

const shop = `
library "L" { owner "O" decision simple }
variant size "Pump size" { s1 "size 1" s2 "size 2" }
hazard chips warning "Chips" { consequence "Chips can hurt your eyes." avoid "Wear eye protection." signs M004 }
hazard shock danger "Shock" { consequence "A shock will kill you." avoid "Keep out." signs W012 }
hazard burr caution "Burr" { consequence "A burr can cut you." avoid "Wear gloves." signs M009 }
condition power "Motor supply" { states live, locked-off begins live ends live }
tool drill-8-3 "8.3 mm twist drill" { number "T-1" drills 8.3 mm carries burr }
tool tap-8 "M8 tap" { number "T-2" taps M8 for insert }
tool wrench "torque wrench" { number "T-3" sets from 5 N.m to 400 N.m length 320 mm }
tool inch-wrench "inch torque wrench" { number "T-4" sets from 5 lbf.in to 500 lbf.in length 10 inch }
tool extension "extension spanner" { number "T-5" extends 80 mm }
tool inch-extension "inch extension" { number "T-6" extends 4 inch }
tool heater "heater" { number "T-7" carries chips }
tool hoist "hoist" { number "T-8" lifts 500 kg }
tool tester "tester" { }
tool press "press" { number "T-9" carries shock, chips }
part nut "nut" { number "P-1" thread M12 class 10 }
part hub "hub" { number "P-2" mass 30 kg }
part cover "belt cover" { number "P-3" guards shock }
table t by size { columns torque  s1 60 N.m  s2 90.0 N.m }
consumable oil "oil" { number "C-1" }
`

// step makes the document of one step with its actions.
func step(t *testing.T, words, actions string, members ...string) *document.Step {
	t.Helper()
	d := lower(t, bind(t, map[string]string{"a.proc": shop + "procedure p \"P\" { step \"" + words + "\" { " + actions + " } }"}, true), "p", document.Options{Draft: true}, members...)
	return d.Steps[0]
}

func details(s *document.Step) string {
	var out []string
	for _, d := range s.Details {
		out = append(out, text(d))
	}
	return strings.ReplaceAll(strings.Join(out, "\n"), "\u00a0", " ")
}

func TestDetailsOfActions(t *testing.T) {
	for _, x := range []struct{ name, words, actions, want string }{
		// n = 1000 v/(π d): 958.8 and 318.3 1/min (drilling.csv; arithmetic).
		{"drilling speed", "Drill.", "drill hole 8.3 mm deep 25 mm at 25 m/min with drill-8-3", "Hole [8.3 mm], [25 mm] deep, at about [960 rpm] (guide value)."},
		{"tapping speed", "Tap.", "drill hole 8.3 mm deep 25 mm with drill-8-3 tap hole M8 for insert deep 14 mm at 8 m/min with tap-8",
			"Hole [8.3 mm], [25 mm] deep.\nThread M8 for a thread insert, [14 mm] deep, at about [320 rpm] (guide value)."},
		{"what the text says is not said again", "Drill 8.3 mm, 25 mm deep.", "drill hole 8.3 mm deep 25 mm with drill-8-3", ""},
		{"5 mm is not said by 25 mm", "Drill it 25 mm with the 8.3 mm drill.", "drill hole 8.3 mm deep 5 mm with drill-8-3", "Hole [8.3 mm], [5 mm] deep."},
		{"rounds", "Tighten.", "tighten nut to 6, 12, 18 N.m crosswise with wrench", "Tighten in 3 rounds crosswise: [6 N·m], [12 N·m], then [18 N·m]."},
		{"one torque", "Tighten.", "tighten nut to 18 N.m with wrench", "Tighten to [18 N·m]."},
		{"one torque that is said", "Tighten it to 18 N.m.", "tighten nut to 18 N.m with wrench", ""},
		{"by member, as written", "Tighten.", "tighten nut to t.torque with wrench", "Tighten to [60 N·m] (size 1) or [90.0 N·m] (size 2)."},
		// T·L/(L+E) = 60 · 320/400 = 48.
		{"setting", "Tighten to 60 N.m.", "tighten nut to 60 N.m with wrench through extension",
			"Set the torque wrench {T-3} to [48.0 N·m]: with the extension spanner {T-5} the fastener gets [60 N·m]."},
		// torque-240 (TM 1-1500-204-23-9): 300 lbf·in, L = 10 in, A = 4 in: 214.
		{"setting in inches", "Tighten to 300 lbf.in.", "tighten nut to 300 lbf.in with inch-wrench through inch-extension",
			"Set the inch torque wrench {T-4} to [214 lbf·in]: with the inch extension {T-6} the fastener gets [300 lbf·in]."},
		// repair_checks-181: hub 60 H7/s6, 0.072 + 0.05 mm at 11.5 µm/(m·K): 176.8 K above 20 °C, 196.8 °C, upwards to five degrees.
		{"hot fit", "Heat.", "heat hub bore 60 mm interference 0.072 mm clearance 0.05 mm expansion 11.5 um/m/K with heater", "Heat to about [200 °C] (guide value)."},
		{"hot fit with a bound", "Heat.", "heat hub bore 60 mm interference 0.02 mm expansion 11.5 um/m/K from 25 degC at most 110 degC with heater", "Heat to about [55 °C] (guide value), never above [110 °C]."},
		{"mass and hoist", "Lift the @hub.", "lift hub with hoist", "The hub weighs [30 kg].\nThe hoist {T-8} lifts up to [500 kg]."},
		{"state that must be", "Go.", "needs power live", "Motor supply must be live."},
	} {
		t.Run(x.name, func(t *testing.T) {
			if got := details(step(t, x.words, x.actions)); got != x.want {
				t.Errorf("got  %s\nwant %s", got, x.want)
			}
		})
	}
}

func boxes(s *document.Step) string {
	w := &dumper{}
	for _, b := range s.Boxes {
		w.box(b)
	}
	return strings.NewReplacer("~", " ", `\u00a0`, " ").Replace(w.b.String())
}

func TestBoxesOfActions(t *testing.T) {
	for _, x := range []struct{ name, actions, want string }{
		{"nothing to tick", "use oil", `[ ] step-1-tick-1 "done"`},
		{"in the order of the actions", `wait 90 s hold "Boss" "All well" record lot "Lot number" make power locked-off verify power locked-off with tester`,
			`[ ] step-1-wait-1 90 s "90 s" "90 s waited"
[ ] step-1-hold-1 "All well" by "Boss"
[ ] record lot "Lot number"
[ ] step-1-state-1 power locked-off verified false with - "motor supply locked off"
[ ] step-1-state-2 power locked-off verified true with tester  "motor supply locked off, proved with tester"
[ ] step-1-tick-1 "done"`},
		{"rounds", "tighten nut x 4 to 6, 12 N.m with wrench", `[ ] step-1-round-1 "round 1" all: 6 N·m
[ ] step-1-round-2 "round 2" all: 12 N·m final
[ ] step-1-tick-1 "done"`},
		{"what the hand sets, not only what the nut gets", "tighten nut to t.torque with wrench through extension",
			`[ ] step-1-round-1 "tightened" size=s1: wrench set to 48.0 N·m for 60 N·m; size=s2: wrench set to 72.0 N·m for 90.0 N·m final
[ ] step-1-tick-1 "done"`},
		{"a new part is a tick", "remove nut x 4 fit new nut x 4", `[ ] step-1-tick-1 "4 × P-1 fitted"`},
	} {
		t.Run(x.name, func(t *testing.T) {
			if got := strings.TrimSuffix(boxes(step(t, "Do it.", x.actions)), "\n"); got != x.want {
				t.Errorf("got\n%s\nwant\n%s", got, x.want)
			}
		})
	}
}

// A step carries what it warns of, what its tools carry and that of a guard it
// removes; the worst first (ANSI Z535.6: danger, warning, caution, notice).
func TestHazardsOfAStep(t *testing.T) {
	for _, x := range []struct{ actions, want string }{
		{"warn burr use press", "shock chips burr"},
		{"remove cover", "shock"},
		{"drill hole 8.3 mm deep 25 mm with drill-8-3", "burr"},
		{"use oil", ""},
	} {
		var names []string
		for _, h := range step(t, "Do it.", x.actions).Hazards {
			names = append(names, h.Name)
		}
		if got := strings.Join(names, " "); got != x.want {
			t.Errorf("%s: got %q, want %q", x.actions, got, x.want)
		}
	}
}

func TestTextsOfSteps(t *testing.T) {
	for _, x := range []struct{ words, actions, want, also string }{
		{"@nut x 4 and the @wrench.", "remove nut x 4 use wrench", "4 nuts {P-1} and the torque wrench {T-3}.", "()"},
		{"@nut x 1 comes off. @hub, too.", "remove nut, hub", "1 nut {P-1} comes off. Hub {P-2}, too.", "()"},
		{"@hub off.", "remove hub", "Hub {P-2} off.", "()"},
		{"It *must* be **dry**, `A1`, [see](https://x.example/a), 31.80 mm at 80 degC, 5 % and \\\\@nut.", "use oil",
			"It _must_ be **dry**, `A1`, <see https://x.example/a>, [31.80 mm] at [80 °C], [5 %] and @nut.", "(1 × oil C-1)"},
		{"Tighten to @t.torque.", "tighten nut x 4 to t.torque with wrench", "Tighten to [60 N·m] (size 1) or [90.0 N·m] (size 2).", "(4 × nut P-1, 1 × torque wrench T-3)"},
	} {
		s := step(t, x.words, x.actions)
		if got := strings.ReplaceAll(text(s.Text), "\u00a0", " "); got != x.want {
			t.Errorf("got  %s\nwant %s", got, x.want)
		}
		if got := counted(s.Handled); got != x.also {
			t.Errorf("%s: also %s, want %s", x.words, got, x.also)
		}
	}
	if got := text(step(t, "Tighten to @t.torque.", "tighten nut x 4 to t.torque with wrench", "s2").Text); got != "Tighten to [90.0\u00a0N·m]." {
		t.Errorf("for one member: %s", got)
	}
}

func TestImages(t *testing.T) {
	var dot bytes.Buffer
	img := image.NewGray(image.Rect(0, 0, 7, 5))
	img.Set(1, 1, color.White)
	if err := png.Encode(&dot, img); err != nil {
		t.Fatal(err)
	}
	source := shop + `figure f "F" { file "f.x" mark 1 at 12.3 %, 4 % is nut }
		procedure p "P" { step "Look." { show f } step "Look again." { show f } }`
	for _, x := range []struct {
		name, data    string
		err           error
		format        string
		width, height int
		wrong         string
	}{
		{name: "svg", data: `<?xml version="1.0"?><!-- x --><svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 320.4 180"/>`, format: "svg", width: 320, height: 180},
		{name: "svg without a view box", data: `<svg width="64px" height="32"/>`, format: "svg", width: 64, height: 32},
		{name: "png", data: dot.String(), format: "png", width: 7, height: 5},
		{name: "svg without a size", data: `<svg/>`, wrong: "does not say how large"},
		{name: "not an image", data: "hello", wrong: "no SVG, PNG or JPEG"},
		{name: "broken off", data: dot.String()[:20], wrong: "no SVG, PNG or JPEG"},
		{name: "another drawing", data: "<html/>", wrong: "no SVG image"},
		{name: "no drawing", data: "<!-- -->", wrong: "no drawing"},
		{name: "vanished", err: errors.New("it is not there"), wrong: "it is not there"},
	} {
		t.Run(x.name, func(t *testing.T) {
			lib := bind(t, map[string]string{"a.proc": source}, true)
			p := procedure(t, lib, "p")
			d, ms := document.Lower(lib, p, paths.Judge(lib, p), document.Options{Images: func(name string) ([]byte, error) {
				if name != "f.x" {
					t.Errorf("asked for %q", name)
				}
				return []byte(x.data), x.err
			}})
			f := d.Figures[0]
			if len(d.Figures) != 1 || d.Steps[0].Figures[0] != f || d.Steps[1].Figures[0] != f {
				t.Error("a figure that is shown twice is not one")
			}
			if len(f.Marks) != 1 || f.Marks[0].X != 123 || f.Marks[0].Y != 40 || f.Marks[0].Label != "nut" {
				t.Errorf("marks: %+v", f.Marks)
			}
			if x.wrong != "" {
				if len(ms) != 1 || ms[0].Code != "BP206" || !strings.Contains(ms[0].Text, x.wrong) || f.Data != nil {
					t.Errorf("got %v with %d bytes", ms, len(f.Data))
				}
				return
			}
			if len(ms) != 0 || f.Format != x.format || f.Width != x.width || f.Height != x.height || string(f.Data) != x.data {
				t.Errorf("got %s %d × %d, %d bytes, %v", f.Format, f.Width, f.Height, len(f.Data), ms)
			}
		})
	}
}

// Four bolts of one size and eight of another share a place: the close-up
// counts each by itself.
func TestCloseUpCountsEachSize(t *testing.T) {
	lib := bind(t, map[string]string{"a.proc": `library "L" { owner "O" }
variant size "Size" { s1 "size 1" s2 "size 2" }
part bolt "bolt" { plural "bolts" }
part bolt-1 "bolt" { number "P-1" plural "bolts" kind bolt }
part bolt-2 "bolt" { number "P-2" plural "bolts" kind bolt }
procedure p "P" {
  applies to size s1, s2
  decide size {
    s1 { step "Take out @bolt-1 x 4." { remove bolt-1 x 4 } }
    s2 { step "Take out @bolt-2 x 8." { remove bolt-2 x 8 } }
  }
  decide size {
    s1 { step "Put in @bolt-1 x 4." { refit bolt-1 x 4 } }
    s2 { step "Put in @bolt-2 x 8." { refit bolt-2 x 8 } }
  }
}
`}, true)
	var got []string
	for _, c := range lower(t, lib, "p", document.Options{}).CloseUp {
		got = append(got, fmt.Sprintf("%d %s, %s", c.Count, text(c.Label), c.Only))
	}
	want := []string{"4 bolts {P-1}, size 1", "8 bolts {P-2}, size 2"}
	if !slices.Equal(got, want) {
		t.Errorf("the close-up counts %q, want %q", got, want)
	}
}
