// Package rendertest holds documents that renderers are tried on: a realistic
// one made by hand with every kind of block, box and text, and one of any
// length. It needs no compiler, so a renderer's tests say something about the
// renderer alone. Everything in it is invented.
package rendertest

import (
	_ "embed"
	"strconv"

	"benchproof/compiler/document"
)

//go:embed seal-stack.svg
var sealStack []byte

func itoa(n int) string { return strconv.Itoa(n) }

var (
	size32 = document.Chosen{Variant: "size", VariantTitle: "Pump size", Member: "s32", MemberTitle: "size 32"}
	size40 = document.Chosen{Variant: "size", VariantTitle: "Pump size", Member: "s40", MemberTitle: "size 40"}

	locked  = document.State{Condition: "power", State: "locked-off", ConditionTitle: "Motor supply", StateTitle: "locked off"}
	live    = document.State{Condition: "power", State: "live", ConditionTitle: "Motor supply", StateTitle: "live"}
	drained = document.State{Condition: "water", State: "drained", ConditionTitle: "Casing", StateTitle: "drained"}
	filled  = document.State{Condition: "water", State: "pressurised", ConditionTitle: "Casing", StateTitle: "pressurised"}
)

const electrician = "Electrically competent person"

// things of the sample by name.
func things() map[string]*document.Thing {
	m := map[string]*document.Thing{}
	add := func(t document.Thing) { m[t.Name] = &t }
	tool := func(name, number, title, detail string) {
		add(document.Thing{Kind: document.Tool, Name: name, Number: number, Title: title, Detail: detail})
	}
	instrument := func(name, number, title, detail, span, scale string) {
		add(document.Thing{Kind: document.Tool, Name: name, Number: number, Title: title, Detail: detail, Instrument: true, Range: span, Scale: scale})
	}
	part := func(name, number, title, plural, detail, mass string, single bool) {
		add(document.Thing{Kind: document.Part, Name: name, Number: number, Title: title, Plural: plural, Detail: detail, Mass: mass, SingleUse: single})
	}
	consumable := func(name, number, title string) {
		add(document.Thing{Kind: document.Consumable, Name: name, Number: number, Title: title})
	}
	tool("voltage-tester", "T-0003", "two-pole voltage tester", "")
	tool("bench-vice", "T-0010", "bench vice", "soft jaws")
	tool("socket-13", "T-0044", "13 mm socket", "")
	tool("strap-wrench", "T-0051", "strap wrench", "")
	tool("seal-puller", "T-0062", "seal puller", "two legs")
	tool("fitting-cone", "T-0063", "fitting cone", "")
	tool("sleeve-puller", "T-0066", "sleeve puller", "")
	tool("air-gun", "T-0009", "air gun", "safety nozzle")
	instrument("contact-thermometer", "T-0105", "contact thermometer", "", "0 °C to 150 °C", "to 1 °C")
	instrument("micrometer", "T-0114", "outside micrometer", "25–50 mm", "25 mm to 50 mm", "to 0.001 mm")
	instrument("dial-indicator", "T-0118", "dial indicator", "magnetic base", "0 mm to 10 mm", "to 0.01 mm")
	instrument("torque-wrench", "T-0131", "torque wrench", "click type", "5 N·m to 25 N·m", "")
	part("terminal-cover", "P-1030", "terminal cover", "", "", "", false)
	part("casing-nut", "P-1008", "casing nut", "casing nuts", "", "", false)
	part("rotating-unit", "P-1001", "rotating unit", "", "", "14 kg", false)
	part("casing-gasket", "P-1020", "casing gasket", "", "", "", true)
	part("impeller-nut", "P-1011", "impeller nut", "", "", "", false)
	part("impeller", "P-1012", "impeller", "", "", "", false)
	part("impeller-key", "P-1013", "impeller key", "", "", "", false)
	part("seal", "", "mechanical seal", "", "", "", true)
	part("seal-32", "P-2032", "mechanical seal", "", "32 mm", "", true)
	part("seal-40", "P-2040", "mechanical seal", "", "40 mm", "", true)
	part("sleeve", "", "shaft sleeve", "", "", "", false)
	part("sleeve-32", "P-2132", "shaft sleeve", "", "32 mm", "", false)
	part("sleeve-40", "P-2140", "shaft sleeve", "", "40 mm", "", false)
	consumable("soapy-water", "C-0002", "soapy water")
	consumable("cloth", "C-0011", "lint-free cloth")
	return m
}

func hazards() (live, water, particles, pinch *document.Hazard) {
	live = &document.Hazard{Name: "live-parts", Signal: "danger", Title: "Live parts",
		Consequence: "Touching a live terminal will kill or seriously injure you.",
		Avoid:       "Lock off the isolator and prove the terminals dead before your hands go near them.",
		Signs:       []document.Sign{{Code: "W012", Referent: "Warning; Electricity"}, {Code: "M021", Referent: "Disconnect before carrying out maintenance or repair", Protective: false}}}
	water = &document.Hazard{Name: "hot-water", Signal: "warning", Title: "Hot water under pressure",
		Consequence: "A jet of hot water can scald you badly.",
		Avoid:       "Close and lock both valves, open vent and drain, and stand aside.",
		Signs:       []document.Sign{{Code: "W079", Referent: "Warning; Hot content"}, {Code: "M013", Referent: "Wear a face shield", Protective: true}}}
	particles = &document.Hazard{Name: "flying-particles", Signal: "caution", Title: "Flying particles",
		Consequence: "Chips and dirt can injure your eyes.",
		Avoid:       "Point the jet away from people and wear eye protection.",
		Signs:       []document.Sign{{Code: "M004", Referent: "Wear eye protection", Protective: true}}}
	pinch = &document.Hazard{Name: "seal-faces", Signal: "notice", Title: "Seal faces",
		Consequence: "A fingerprint on a seal face makes a new seal drip.",
		Avoid:       "Hold the seal by its spring end only."}
	return
}

// Document is a seal change on the pump bench, for both sizes.
func Document() *document.Document {
	b := builder{writer: writer{things()}, doc: &document.Document{
		Name: "seal-change", Language: "en", Words: document.English,
		Library: "Larkmoor Waterworks pump bench", Owner: "Maintenance office",
		Title: "Replace the mechanical seal", Purpose: "Stops a leak along the shaft of a circulating pump.",
		Number: "WI-0114", Revision: "C", Date: "2026-10-02",
		AppliesTo: []document.Family{{Variant: "size", Title: "Pump size", Members: []document.Member{{Name: "s32", Title: "size 32"}, {Name: "s40", Title: "size 40"}}}},
		Skill:     "Maintenance fitter", Fingerprint: "7f3a91c204be",
		Time: &document.TimeSpan{LeastMinutes: "85", MostMinutes: "180", Least: "1 h 25 min", Most: "3 h"},
		Revisions: []document.Revision{
			{Revision: "C", Date: "2026-10-02", Note: "Sleeve limits by pump size; runout read on the bare sleeve."},
			{Revision: "B", Date: "2025-03-17", Note: "Casing nuts tightened in three rounds."},
			{Revision: "A", Date: "2023-06-05", Note: "First issue."},
		},
		Release: document.Release{State: document.Released, By: "Ada Marsh", Date: "2026-10-05", Text: "Released by Ada Marsh, 2026-10-05",
			Bars: "A bar at the edge: what stands beside it is not as it was in revision B, released 2025-03-20."},
		Begins: []document.State{live, filled}, Ends: []document.State{live, filled},
	}}
	b.body()
	b.front()
	b.back()
	return b.doc
}

// Draft is the same document built in spite of errors.
func Draft() *document.Document {
	d := Document()
	d.Draft = true
	d.Release = document.Release{State: document.NotReleased, Text: document.English.NotReleased}
	d.Messages = []string{
		"seal-change.proc:66:5: error BP401: between 31.80 mm and 31.95 mm no range takes the reading: when size is s32 and sleeve-diameter is 31.90 mm",
		"seal-change.proc:131:7: warning BP802: \"properly\" does not say what is good: give a limit or what to see",
	}
	return d
}

// Withdrawn is the same document after its revision was withdrawn.
func Withdrawn() *document.Document {
	d := Document()
	d.Release = document.Release{State: document.Withdrawn, By: "Ben Oakes", Date: "2026-11-02", Text: "Withdrawn by Ben Oakes, 2026-11-02",
		Reason: "The torque of the casing nuts is under review."}
	return d
}

type builder struct {
	writer
	doc *document.Document
	// turn is the repeat that steps now stand in.
	turn *document.Repeat
	used []document.HazardUse
}

// step appends a step, counted in the order of the work.
func (b *builder) step(text string, s document.Step) *document.Step {
	s.Number = len(b.doc.Steps) + 1
	s.ID = "step-" + itoa(s.Number)
	s.Turn = b.turn
	s.Text = b.text(text)
	if len(s.Boxes) == 0 {
		s.Boxes = []document.Box{&document.Tick{ID: s.ID + "-tick-1", Label: b.doc.Words.Done}}
	}
	b.doc.Steps = append(b.doc.Steps, &s)
	return &s
}

// tick is the box of the step that comes next.
func (b *builder) tick(n int, label string) *document.Tick {
	return &document.Tick{ID: b.next() + "-tick-" + itoa(n), Label: label}
}

func (b *builder) next() string { return "step-" + itoa(len(b.doc.Steps)+1) }

func (b *builder) decision(d document.Decision) *document.Decision {
	d.ID = "decision-" + itoa(len(b.doc.Decisions)+1)
	b.doc.Decisions = append(b.doc.Decisions, &d)
	return &d
}

func (b *builder) finish(f document.Finish) *document.Finish {
	f.ID = "finish-" + itoa(len(b.doc.Finishes)+1)
	w := b.doc.Words
	f.Title = map[string]string{"serviceable": w.Serviceable, "scrap": w.Scrap, "refer": w.Refer}[f.Outcome]
	b.doc.Finishes = append(b.doc.Finishes, &f)
	return &f
}

func toStep(n int) document.Target { return document.Target{Step: n, Text: "step " + itoa(n)} }
func toFinish(f *document.Finish) document.Target {
	return document.Target{Finish: f.ID, Text: f.Title}
}
