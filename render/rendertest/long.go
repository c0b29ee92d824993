package rendertest

import "benchproof/compiler/document"

// Long is a document of so many steps, in stages of fifty, with a hazard every
// seven steps, a reading with a decision every twenty-five and an answer with
// one every forty.
func Long(steps int) *document.Document {
	b := builder{writer: writer{things()}, doc: &document.Document{
		Name: "long-job", Language: "en", Words: document.English, Library: "Larkmoor Waterworks pump bench", Owner: "Maintenance office",
		Title: "Overhaul a row of pumps", Purpose: "Tries documents of any length.", Number: "WI-0999", Revision: "A", Date: "2026-01-15",
		Skill: "Maintenance fitter", Fingerprint: "0123456789ab",
		Revisions: []document.Revision{{Revision: "A", Date: "2026-01-15", Note: "First issue."}},
		Begins:    []document.State{live, filled}, Ends: []document.State{live, filled},
	}}
	_, water, particles, _ := hazards()
	var carried [2][]int
	var body []document.Block
	first := 1
	for i := 1; i <= steps; i++ {
		s := document.Step{Time: "5 min"}
		if i%7 == 0 {
			n := i / 7 % 2
			s.Hazards = []*document.Hazard{[2]*document.Hazard{water, particles}[n]}
			carried[n] = append(carried[n], i)
		}
		after := document.Target{Step: i + 1, Text: "step " + itoa(i+1)}
		if i == steps {
			after = document.Target{Finish: "finish-1", Text: "serviceable"}
		}
		switch {
		case i%25 == 0:
			r := &document.Reading{Name: "runout-" + itoa(i), Title: "runout " + itoa(i), Unit: "mm", Boxes: 1, Instrument: b.things["dial-indicator"],
				From: "0", To: "10", Step: "0.01", ScaleText: "mm, to 0.01", RangeText: "0 mm to 10 mm", Steps: []int{i}}
			s.Boxes = []document.Box{&document.ReadingBox{Reading: r}}
			body = append(body, b.step("Turn the shaft and read the runout on the @dial-indicator.", s))
			body = append(body, b.decision(document.Decision{Kind: document.ByReading, On: r.Name, Title: "What is the " + r.Title + "?", Reading: r, After: after,
				Branches: []*document.Branch{
					{Number: 1, Accept: true, Meaning: "The shaft runs true.", Goes: after, Limits: []document.MemberLimits{{Limits: document.Limits{Text: b.text("[0.05 mm] or less"), High: "0.05"}}}},
					{Number: 2, Meaning: "The shaft is bent: tag it.", Goes: after, Limits: []document.MemberLimits{{Limits: document.Limits{Text: b.text("above [0.05 mm]"), Low: "0.05", LowOpen: true}}}},
				}}))
			b.doc.Record = append(b.doc.Record, document.RecordLine{Kind: "reading", Step: i, Name: r.Name, Label: r.Title, Unit: "mm", Boxes: 1})
		case i%40 == 0:
			answers := []document.Member{{Name: "yes", Title: "yes"}, {Name: "no", Title: "no"}}
			name := "clean-" + itoa(i)
			s.Boxes = []document.Box{&document.AnswerBox{Name: name, Question: "Is the bore clean?", Answers: answers}}
			body = append(body, b.step("Look into the bore with a lamp.", s), b.decision(document.Decision{Kind: document.ByAnswer, On: name, Title: "Is the bore clean?", After: after,
				Branches: []*document.Branch{{Number: 1, Cases: answers[:1], Goes: after}, {Number: 2, Cases: answers[1:], Meaning: "Wipe it.", Goes: after}}}))
		default:
			body = append(body, b.step("Wipe the seat with @cloth and look at it under a lamp.", s))
		}
		if i%50 == 0 || i == steps {
			if i == steps {
				body = append(body, b.finish(document.Finish{Outcome: "serviceable", Implied: true}))
			}
			b.stage("Pump "+itoa((i+49)/50), first, []document.State{locked}, body...)
			stage := len(b.doc.Map.Nodes)
			b.doc.Map.Nodes = append(b.doc.Map.Nodes, document.MapNode{ID: stage, Kind: document.MapWork, Label: "Pump " + itoa((i+49)/50), Detail: itoa(first) + "–" + itoa(i), Step: first})
			if stage > 0 {
				b.doc.Map.Edges = append(b.doc.Map.Edges, document.MapEdge{From: stage - 1, To: stage})
			}
			b.doc.Map.Text = append(b.doc.Map.Text, "Pump "+itoa((i+49)/50)+", steps "+itoa(first)+"–"+itoa(i)+".")
			body, first = nil, i+1
		}
	}
	end := len(b.doc.Map.Nodes)
	b.doc.Map.Nodes = append(b.doc.Map.Nodes, document.MapNode{ID: end, Kind: document.MapFinish, Label: "serviceable", Finish: "finish-1", Outcome: "serviceable"})
	if end > 0 {
		b.doc.Map.Edges = append(b.doc.Map.Edges, document.MapEdge{From: end - 1, To: end})
	}
	b.doc.Hazards = []document.HazardUse{{Hazard: water, Steps: carried[0], Always: true}, {Hazard: particles, Steps: carried[1], Always: true}}
	b.doc.Tools = []document.Need{{Thing: b.things["dial-indicator"], Count: 1, Always: true}}
	b.doc.Consumables = []document.Need{{Thing: b.things["cloth"], Count: 1, Always: true}}
	return b.doc
}
