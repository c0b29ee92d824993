package rendertest

import "benchproof/compiler/document"

// body sets out the work.
func (b *builder) body() {
	livePart, hotWater, particles, faces := hazards()
	b.makeSafe(livePart, hotWater)
	b.takeApart(hotWater, particles)
	b.measureSleeve()
	b.fitSeal(faces)
	b.backToWork()
	b.used = []document.HazardUse{
		{Hazard: livePart, Steps: []int{3}, Always: true},
		{Hazard: hotWater, Steps: []int{4, 7}, Always: true},
		{Hazard: particles, Steps: []int{13}, Always: true},
		{Hazard: faces, Steps: []int{22}, Only: "can stay, worn"},
	}
}

// stage appends a stage whose blocks are all there; its steps are counted from
// first to the last one set out.
func (b *builder) stage(title string, first int, holds []document.State, body ...document.Block) {
	n := 1
	for _, k := range b.doc.Body {
		if _, ok := k.(*document.Stage); ok {
			n++
		}
	}
	b.doc.Body = append(b.doc.Body, &document.Stage{Number: n, ID: "stage-" + itoa(n), Title: title, Holds: holds,
		Body: body, First: first, Last: len(b.doc.Steps)})
}

func (b *builder) makeSafe(livePart, hotWater *document.Hazard) {
	routine := &document.Routine{Name: "make-safe", Title: "Make the pump safe", Body: []document.Block{
		b.step("Tell the operator and stop the pump.", document.Step{}),
		b.step("Open the isolator and put your own lock and tag on it.", document.Step{By: electrician, Time: "5 min",
			Boxes: []document.Box{&document.StateBox{ID: b.next() + "-state-1", State: locked, Label: "motor supply locked off"}}}),
		b.step("Take off the @terminal-cover and prove every terminal dead with the @voltage-tester.", document.Step{
			By: electrician, Time: "5 min", Hazards: []*document.Hazard{livePart},
			Notes: []document.Text{b.text("Prove the tester on a known live source before and after.")},
			Boxes: []document.Box{b.tick(1, "P-1030 off"),
				&document.StateBox{ID: b.next() + "-state-1", State: locked, Verified: true, With: b.things["voltage-tester"], Label: "proved locked off with T-0003"}}}),
		b.step("Lock both valves shut, then open the vent and the drain.", document.Step{Time: "10 min", Hazards: []*document.Hazard{hotWater},
			Boxes: []document.Box{&document.StateBox{ID: b.next() + "-state-1", State: drained, Label: "casing drained"}}}),
	}}

	cool := document.Limits{Text: b.text("[38 °C]* or less"), High: "38"}
	temperature := &document.Reading{Name: "casing-temperature", Title: "casing temperature", Unit: "°C", Boxes: 1,
		Instrument: b.things["contact-thermometer"], From: "0", To: "150", Step: "1", ScaleText: "°C, to 1", RangeText: "0 °C to 150 °C",
		Limits: []document.MemberLimits{{Limits: cool}}, Steps: []int{5}}
	repeat := &document.Repeat{ID: "repeat-1", Times: 4, OnSuccess: toStep(7)}
	b.turn = repeat
	read := b.step("Hold the @contact-thermometer against the casing.", document.Step{Boxes: []document.Box{&document.ReadingBox{Reading: temperature}}})
	until := &document.Until{On: temperature.Name, Reading: temperature, Limits: temperature.Limits,
		Text:      b.text("Go on at step 7 when the reading is [38 °C]* or less; after four readings, refer."),
		Footnotes: []document.Text{append(document.Text{{Kind: document.Mark, Text: "*"}}, b.text(" Limit [40 °C], moved in by the uncertainty of this measurement, [2 °C].")...)}}
	until.Text[0].Text = "Go on at "
	until.Text = append(document.Text{until.Text[0], {Kind: document.StepRef, Text: "step 7", Step: 7}, {Kind: document.Plain, Text: " when the reading is "}}, until.Text[1:]...)
	cooling := b.step("Let the casing cool for [15 min].", document.Step{
		Boxes: []document.Box{&document.WaitBox{ID: b.next() + "-wait-1", Seconds: "900", Label: "15 min waited", Text: "15 min"}}})
	b.turn = nil
	hot := b.finish(document.Finish{Outcome: "refer", Text: "The casing does not cool: hot water is still getting in. Call the supervisor.",
		Leaves: []document.State{locked, drained}, Off: []document.Counted{{Thing: b.things["terminal-cover"], Count: 1}}})
	repeat.Body = []document.Block{read, until, cooling}
	repeat.Otherwise = []document.Block{hot}
	repeat.OnFailure = toFinish(hot)
	b.stage("Make the pump safe", 1, nil, routine, repeat)
}

func (b *builder) takeApart(hotWater, particles *document.Hazard) {
	first := len(b.doc.Steps) + 1
	nuts := append(b.text("Slacken all the nuts, break the joint behind two of them, then take off "), b.mention("casing-nut", 6)...)
	body := []document.Block{
		b.step("", document.Step{Time: "10 min", Hazards: []*document.Hazard{hotWater}, Boxes: []document.Box{b.tick(1, "6 × P-1008 off")}}),
		b.step("Draw the @rotating-unit out, clamp it in the @bench-vice with the impeller up, and peel off the @casing-gasket.", document.Step{Time: "10 min",
			Details: []document.Text{b.text("The rotating unit weighs [14 kg].")}}),
		b.step("Hold the impeller with the @strap-wrench and unscrew the @impeller-nut.", document.Step{}),
		b.step("Take off the @strap-wrench and lift off the @impeller.", document.Step{}),
	}
	b.doc.Steps[first-1].Text = append(nuts, b.text(" with the @socket-13.")...)
	key := b.decision(document.Decision{Kind: document.ByMember, On: "size", Title: "Which pump size is it?", After: toStep(12)})
	lift := b.step("Lift the @impeller-key out of the shaft.", document.Step{})
	key.Branches = []*document.Branch{
		{Number: 1, Cases: []document.Member{{Name: "s32", Title: "size 32"}}, Meaning: "The impeller sits on a taper and has no key.", Goes: toStep(12)},
		{Number: 2, Cases: []document.Member{{Name: "s40", Title: "size 40"}}, Meaning: "The impeller is keyed.", Goes: toStep(11), Body: []document.Block{lift}},
	}
	body = append(body, key,
		b.step("Draw the @seal off the shaft with the @seal-puller and push its seat out of the cover.", document.Step{Time: "10 min",
			Boxes: []document.Box{b.tick(1, "done"), b.tick(2, "T-0062 off")}}),
		b.step("Blow the shaft and the seat bore clean with the @air-gun.", document.Step{Time: "5 min", Hazards: []*document.Hazard{particles}}))
	b.stage("Take the pump apart", first, []document.State{locked, drained}, body...)
}

// sleeveLimits are the acting limits of one branch for both sizes.
func (b *builder) sleeveLimits(make func(nominal string) document.Limits) []document.MemberLimits {
	return []document.MemberLimits{
		{Members: []document.Chosen{size32}, Limits: make("31")},
		{Members: []document.Chosen{size40}, Limits: make("39")},
	}
}

// up is the whole number after nominal: the upper limits lie above it.
func up(nominal string) string {
	if nominal == "31" {
		return "32"
	}
	return "40"
}

func (b *builder) measureSleeve() {
	first := len(b.doc.Steps) + 1
	stay := b.sleeveLimits(func(n string) document.Limits {
		return document.Limits{Text: b.text("[" + n + ".954 mm]* to [" + up(n) + ".006 mm]*"), Low: n + ".954", High: up(n) + ".006"}
	})
	diameter := &document.Reading{Name: "sleeve-diameter", Title: "sleeve diameter", Unit: "mm", Boxes: 6, Of: "smallest",
		Instrument: b.things["micrometer"], From: "25", To: "50", Step: "0.001", ScaleText: "mm, to 0.001", RangeText: "25 mm to 50 mm",
		Limits: stay, Steps: []int{14}}
	measure := b.step("Zero the @micrometer on its [25 mm] standard, then measure the sleeve at *three places, two ways each*.", document.Step{
		Time: "10 min", Changed: true, Boxes: []document.Box{&document.ReadingBox{Reading: diameter}},
		Notes: []document.Text{{{Kind: document.Plain, Text: "Sleeve and micrometer must both be at "}, {Kind: document.Emphasis, Text: "workshop temperature"}, {Kind: document.Plain, Text: ". "},
			{Kind: document.Link, Text: "How to read a micrometer", Href: "https://training.larkmoor.example/micrometer"}, {Kind: document.Plain, Text: ", key "}, {Kind: document.Code, Text: "MIC-25"}, {Kind: document.Plain, Text: "."}}}})
	d := b.decision(document.Decision{Kind: document.ByReading, On: diameter.Name, Reading: diameter, Title: "What is the smallest sleeve diameter?", After: toStep(19)})
	leaves := []document.State{locked, drained}
	off := []document.Counted{{Thing: b.things["rotating-unit"], Count: 1}, {Thing: b.things["casing-nut"], Count: 6}}

	wrong := b.step("Unclamp the @rotating-unit and tag it.", document.Step{})
	wrongEnd := b.finish(document.Finish{Outcome: "refer", Text: "Check the nameplate and the reading with the supervisor.", Leaves: leaves, Off: off})
	draw := b.step("Draw the worn @sleeve off with the @sleeve-puller.", document.Step{Boxes: []document.Box{b.tick(1, "done"), b.tick(2, "T-0066 off")}})
	warm := b.step("Warm a new shaft sleeve to [80 °C], slide it home and let it cool.", document.Step{Time: "10 min", Boxes: []document.Box{
		b.tick(1, "P-2132 fitted (size 32), P-2140 fitted (size 40)"), &document.WaitBox{ID: b.next() + "-wait-1", Seconds: "1200", Label: "20 min waited", Text: "20 min"}}})
	warm.Text = append(b.text("Warm a new "), append(b.mention("sleeve-32", 1), append(document.Text{{Kind: document.Plain, Text: " (size 32) or "}},
		append(document.Text{{Kind: document.ID, Text: "P-2140", Thing: b.things["sleeve-40"]}}, b.text(" (size 40) to [80 °C], slide it home and let it cool.")...)...)...)...)
	damaged := b.step("Unclamp the @rotating-unit and tag it for the machine shop.", document.Step{})
	damagedEnd := b.finish(document.Finish{Outcome: "refer", Text: "Send the rotating unit to the machine shop. Leave the pump locked off and drained.", Leaves: leaves, Off: off})

	d.Branches = []*document.Branch{
		{Number: 1, Meaning: "Wrong sleeve, wrong pump size or a wrong reading.", Goes: toStep(wrong.Number), Body: []document.Block{wrong, wrongEnd},
			Limits: b.sleeveLimits(func(n string) document.Limits {
				return document.Limits{Text: b.text("above [" + up(n) + ".006 mm]*"), Low: up(n) + ".006", LowOpen: true}
			})},
		{Number: 2, Accept: true, Meaning: "The sleeve can stay.", Goes: toStep(19), Limits: stay},
		{Number: 3, Meaning: "The sleeve is worn.", Goes: toStep(draw.Number), Body: []document.Block{draw, warm},
			Limits: b.sleeveLimits(func(n string) document.Limits {
				return document.Limits{Text: b.text("[" + n + ".800 mm] to below [" + n + ".954 mm]*"), Low: n + ".800", High: n + ".954", HighOpen: true}
			})},
		{Number: 4, Meaning: "The shaft under the sleeve may be damaged.", Goes: toStep(damaged.Number), Body: []document.Block{damaged, damagedEnd},
			Limits: b.sleeveLimits(func(n string) document.Limits {
				return document.Limits{Text: b.text("below [" + n + ".800 mm]"), High: n + ".800", HighOpen: true}
			})},
	}
	d.Footnotes = []document.Text{append(document.Text{{Kind: document.Mark, Text: "*"}},
		b.text(" Drawing limits [31.950 mm] and [32.010 mm] (size 32), [39.950 mm] and [40.010 mm] (size 40), moved in by the uncertainty of this measurement, [0.004 mm].")...)}

	runsTrue := []document.MemberLimits{{Limits: document.Limits{Text: b.text("[0.04 mm]* or less"), High: "0.04"}}}
	runout := &document.Reading{Name: "runout", Title: "runout", Unit: "mm", Boxes: 1, Instrument: b.things["dial-indicator"],
		From: "0", To: "10", Step: "0.01", ScaleText: "mm, to 0.01", RangeText: "0 mm to 10 mm", Limits: runsTrue, Steps: []int{19}}
	repeat := &document.Repeat{ID: "repeat-2", Times: 2, OnSuccess: toStep(22)}
	b.turn = repeat
	turn := b.step("Turn the shaft one full turn by hand and read the runout of the sleeve on the @dial-indicator.", document.Step{
		Time: "5 min", Changed: true, Boxes: []document.Box{&document.ReadingBox{Reading: runout}}})
	until := &document.Until{On: runout.Name, Reading: runout, Limits: runsTrue,
		Text: append(document.Text{{Kind: document.Plain, Text: "Go on at "}, {Kind: document.StepRef, Text: "step 22", Step: 22}},
			b.text(" when the reading is [0.04 mm]* or less; after two readings, go on at step 21.")...),
		Footnotes: []document.Text{append(document.Text{{Kind: document.Mark, Text: "*"}}, b.text(" Drawing limit [0.05 mm], moved in by the uncertainty of this measurement, [0.01 mm].")...)}}
	clean := b.step("Clean the sleeve and set the @dial-indicator again.", document.Step{Time: "10 min", Handled: []document.Counted{{Thing: b.things["cloth"], Count: 1}}})
	b.turn = nil
	tag := b.step("Unclamp the @rotating-unit and tag it for the machine shop.", document.Step{})
	tagEnd := b.finish(document.Finish{Outcome: "refer", Text: "The shaft will not run true. Send the rotating unit to the machine shop.", Leaves: leaves, Off: off})
	repeat.Body = []document.Block{turn, until, clean}
	repeat.Otherwise = []document.Block{tag, tagEnd}
	repeat.OnFailure = toStep(tag.Number)
	b.stage("Measure the sleeve", first, leaves, measure, d, repeat)
}

func (b *builder) fitSeal(faces *document.Hazard) {
	first := len(b.doc.Steps) + 1
	figure := &document.Figure{Name: "seal-stack", Title: "How the seal sits on the shaft", File: "figures/seal-stack.svg", Format: "svg", Data: sealStack, Width: 320, Height: 180,
		Marks: []document.FigureMark{
			{Number: 1, X: 330, Y: 450, Thing: b.things["sleeve"], Label: "shaft sleeve"},
			{Number: 2, X: 440, Y: 350, Thing: b.things["seal"], Label: "mechanical seal"},
			{Number: 3, X: 720, Y: 200, Thing: b.things["impeller"], Label: "impeller"},
			{Number: 4, X: 830, Y: 450, Thing: b.things["impeller-nut"], Label: "impeller nut"}}}
	b.doc.Figures = []*document.Figure{figure}
	wet := b.step("", document.Step{Hazards: []*document.Hazard{faces}, Figures: []*document.Figure{figure},
		Videos: []*document.Video{{Name: "seal-fitting", Title: "Fitting a seal", Link: "training/seal-fitting.mp4", From: "1:36", To: "2:10"}},
		Boxes: []document.Box{b.tick(1, "P-2032 fitted (size 32), P-2040 fitted (size 40)"),
			&document.RecordBox{Name: "seal-lot", Label: "Lot number of the seal"}}})
	wet.Text = append(b.text("Wet a new "), append(b.mention("seal-32", 1), append(document.Text{{Kind: document.Plain, Text: " (size 32) or "}, {Kind: document.ID, Text: "P-2040", Thing: b.things["seal-40"]}},
		b.text(" (size 40) with @soapy-water and slide it home over the @fitting-cone without touching its faces.")...)...)...)
	body := []document.Block{wet, b.step("Take off the @fitting-cone.", document.Step{Boxes: []document.Box{b.tick(1, "T-0063 off")}})}
	key := b.decision(document.Decision{Kind: document.ByMember, On: "size", Title: "Which pump size is it?", After: toStep(25)})
	lay := b.step("Lay the @impeller-key in its groove.", document.Step{})
	key.Branches = []*document.Branch{
		{Number: 1, Cases: []document.Member{{Name: "s32", Title: "size 32"}}, Goes: toStep(25)},
		{Number: 2, Cases: []document.Member{{Name: "s40", Title: "size 40"}}, Goes: toStep(24), Body: []document.Block{lay}},
	}
	body = append(body, key,
		b.step("Slide the @impeller on and hold it with the @strap-wrench.", document.Step{}),
		b.step("Screw the @impeller-nut home and take off the @strap-wrench.", document.Step{Time: "10 min",
			Boxes: []document.Box{b.tick(1, "P-1011 on"), b.tick(2, "T-0051 off")}}))
	b.stage("Fit the new seal", first, []document.State{locked, drained}, body...)
}

func (b *builder) backToWork() {
	first := len(b.doc.Steps) + 1
	body := []document.Block{
		b.step("Unclamp the @rotating-unit and lift it into the casing on a new @casing-gasket.", document.Step{Time: "10 min", Boxes: []document.Box{b.tick(1, "P-1020 fitted"), b.tick(2, "P-1001 on")}}),
		b.step("", document.Step{Time: "10 min", Details: []document.Text{b.text("Set the wrench to [6 N·m], [12 N·m], then [18 N·m], crosswise.")}, Boxes: []document.Box{
			b.tick(1, "6 × P-1008 on"),
			&document.RoundBox{ID: b.next() + "-round-1", Label: "round 1", Values: []document.MemberValue{{Text: "6 N·m"}}},
			&document.RoundBox{ID: b.next() + "-round-2", Label: "round 2", Values: []document.MemberValue{{Text: "12 N·m"}}},
			&document.RoundBox{ID: b.next() + "-round-3", Label: "round 3", Values: []document.MemberValue{{Text: "18 N·m"}}, Final: true}}}),
		b.step("Put back the @terminal-cover.", document.Step{By: electrician, Boxes: []document.Box{b.tick(1, "P-1030 on")}}),
		b.step("Close the drain and crack the suction valve open until water comes from the vent.", document.Step{Time: "5 min",
			Boxes: []document.Box{&document.StateBox{ID: b.next() + "-state-1", State: filled, Label: "casing pressurised"}}}),
		b.step("Close the vent and open both valves.", document.Step{Time: "5 min"}),
		b.step("See that tools and people are clear of the pump.", document.Step{}),
		b.step("Take your tagged lock off, close the isolator and tell the operator.", document.Step{By: electrician,
			Boxes: []document.Box{&document.StateBox{ID: b.next() + "-state-1", State: live, Label: "motor supply live"}}}),
	}
	nuts := b.doc.Steps[first]
	nuts.Text = append(b.text("Put back "), append(b.mention("casing-nut", 6), b.text(" and tighten them crosswise with the @torque-wrench.")...)...)
	yes := []document.Member{{Name: "dry", Title: "dry"}, {Name: "drips", Title: "drips"}}
	run := b.step("Run the pump for [10 min] and watch the shaft.", document.Step{Boxes: []document.Box{
		&document.WaitBox{ID: b.next() + "-wait-1", Seconds: "600", Label: "10 min waited", Text: "10 min"},
		&document.AnswerBox{Name: "leak", Question: "Does water drip from the seal?", Answers: yes}}})
	leak := b.decision(document.Decision{Kind: document.ByAnswer, On: "leak", Title: "Does water drip from the seal?"})
	hold := b.step("Let the supervisor see the running pump.", document.Step{Boxes: []document.Box{
		&document.HoldBox{ID: b.next() + "-hold-1", Who: "Supervisor", What: "Seal accepted"}}})
	good := b.finish(document.Finish{Outcome: "serviceable", Text: "Hand the pump back to the operator."})
	places := []document.Member{{Name: "shaft", Title: "along the shaft"}, {Name: "joint", Title: "from the casing joint"}}
	look := b.step("Look where the water comes from.", document.Step{Boxes: []document.Box{
		&document.AnswerBox{Name: "drip-place", Question: "Where does it drip?", Answers: places}}})
	where := b.decision(document.Decision{Kind: document.ByAnswer, On: "drip-place", Title: "Where does it drip?"})
	again := b.finish(document.Finish{Outcome: "refer", Text: "Stop the pump and call the supervisor: the job starts again from the top.",
		To: "seal-change", ToTitle: "Replace the mechanical seal", ToNumber: "WI-0114"})
	joint := b.finish(document.Finish{Outcome: "refer", Text: "Stop the pump and tighten the casing nuts with the supervisor."})
	where.Branches = []*document.Branch{
		{Number: 1, Cases: places[:1], Meaning: "The new seal does not hold.", Goes: toFinish(again), Body: []document.Block{again}},
		{Number: 2, Cases: places[1:], Meaning: "The joint was not tight.", Goes: toFinish(joint), Body: []document.Block{joint}},
	}
	leak.Branches = []*document.Branch{
		{Number: 1, Accept: true, Cases: yes[:1], Meaning: "The seal is good.", Goes: toStep(hold.Number), Body: []document.Block{hold, good}},
		{Number: 2, Cases: yes[1:], Goes: toStep(look.Number), Body: []document.Block{look, where}},
	}
	b.stage("Put the pump back to work", first, []document.State{locked, drained}, append(body, run, leak)...)
}
