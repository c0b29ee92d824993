package rendertest

import "benchproof/compiler/document"

// front is what stands before the steps.
func (b *builder) front() {
	d, t := b.doc, b.things
	d.Isolation = []document.Isolation{{State: locked, MadeBy: electrician, MadeStep: 2, ProvedWith: t["voltage-tester"], ProvedBy: electrician, ProvedStep: 3},
		{State: drained, MadeStep: 4}}
	d.Hazards = b.used
	box := &document.Kit{Name: "seal-box", Title: "Seal-change box", Number: "K-0012",
		Holds: []*document.Thing{t["seal-puller"], t["fitting-cone"], t["sleeve-puller"], t["strap-wrench"]}}
	d.Kits = []document.Kit{*box}
	need := func(name string, count int, what string, steps ...int) document.Need {
		return document.Need{Thing: t[name], Count: count, Steps: steps, Always: true, For: what}
	}
	only := func(n document.Need, only string) document.Need { n.Always, n.Only = false, only; return n }
	in := func(n document.Need) document.Need { n.Kit = box; return n }
	fitted := func(n document.Need) document.Need { n.New = true; return n }
	d.Tools = []document.Need{
		need("air-gun", 1, "shaft, seat bore", 13), need("bench-vice", 1, "rotating unit", 8),
		in(need("fitting-cone", 1, "mechanical seal", 22, 23)), in(need("seal-puller", 1, "mechanical seal", 12)),
		only(in(need("sleeve-puller", 1, "shaft sleeve", 16)), "if worn"), need("socket-13", 1, "casing nuts", 7),
		in(need("strap-wrench", 1, "impeller", 9, 10, 25, 26)),
		need("voltage-tester", 1, "proving dead", 3),
		need("contact-thermometer", 1, "casing temperature", 5), need("dial-indicator", 1, "runout", 19, 20),
		need("micrometer", 1, "sleeve diameter", 14), need("torque-wrench", 1, "casing nuts", 28),
	}
	d.Parts = []document.Need{
		fitted(need("casing-gasket", 1, "", 27)),
		only(fitted(need("seal-32", 1, "", 22)), "size 32"), only(fitted(need("seal-40", 1, "", 22)), "size 40"),
		only(fitted(need("sleeve-32", 1, "", 17)), "if worn, size 32"), only(fitted(need("sleeve-40", 1, "", 17)), "if worn, size 40"),
	}
	d.Consumables = []document.Need{only(need("cloth", 1, "", 20), "if the shaft does not run true"), need("soapy-water", 1, "", 22)}
	d.Map = sealMap(d)
}

func sealMap(d *document.Document) document.Map {
	var m document.Map
	node := func(kind document.MapKind, label, detail string, step int, finish string) int {
		n := document.MapNode{ID: len(m.Nodes), Kind: kind, Label: label, Detail: detail, Step: step, Finish: finish}
		if kind == document.MapFinish {
			n.Outcome = label
		}
		m.Nodes = append(m.Nodes, n)
		return len(m.Nodes) - 1
	}
	edge := func(from, to int, label string, back bool) {
		m.Edges = append(m.Edges, document.MapEdge{From: from, To: to, Label: label, Back: back})
	}
	safe := node(document.MapWork, "Make the pump safe", "1–4", 1, "")
	warm := node(document.MapWork, "Measure", "5", 5, "")
	temperature := node(document.MapLoop, "casing temperature", "at most 4 times", 5, "")
	cool := node(document.MapWork, "Cool", "6", 6, "")
	hot := node(document.MapFinish, "refer", "", 0, "finish-1")
	apart := node(document.MapWork, "Take the pump apart", "7–13", 7, "")
	measure := node(document.MapWork, "Measure the sleeve", "14", 14, "")
	diameter := node(document.MapDecision, "sleeve diameter", "", 14, "")
	tag := node(document.MapWork, "Tag", "15", 15, "")
	wrong := node(document.MapFinish, "refer", "", 0, "finish-2")
	sleeve := node(document.MapWork, "New sleeve", "16–17", 16, "")
	shop := node(document.MapWork, "Tag", "18", 18, "")
	damaged := node(document.MapFinish, "refer", "", 0, "finish-3")
	read := node(document.MapWork, "Read the runout", "19", 19, "")
	runout := node(document.MapLoop, "runout", "at most 2 times", 19, "")
	clean := node(document.MapWork, "Clean", "20", 20, "")
	unclamp := node(document.MapWork, "Tag", "21", 21, "")
	bent := node(document.MapFinish, "refer", "", 0, "finish-4")
	fit := node(document.MapWork, "Fit the new seal", "22–26", 22, "")
	back := node(document.MapWork, "Put the pump back to work", "27–34", 27, "")
	leak := node(document.MapDecision, "leak", "", 34, "")
	accept := node(document.MapWork, "Accept", "35", 35, "")
	good := node(document.MapFinish, "serviceable", "", 0, "finish-5")
	look := node(document.MapWork, "Look", "36", 36, "")
	place := node(document.MapDecision, "drip place", "", 36, "")
	again := node(document.MapFinish, "refer", "", 0, "finish-6")
	joint := node(document.MapFinish, "refer", "", 0, "finish-7")
	edge(safe, warm, "", false)
	edge(warm, temperature, "", false)
	edge(temperature, apart, "38 °C or less", false)
	edge(temperature, cool, "else", false)
	edge(cool, warm, "", true)
	edge(temperature, hot, "after four", false)
	edge(apart, measure, "", false)
	edge(measure, diameter, "", false)
	edge(diameter, tag, "too large", false)
	edge(tag, wrong, "", false)
	edge(diameter, read, "can stay", false)
	edge(diameter, sleeve, "worn", false)
	edge(sleeve, read, "", false)
	edge(diameter, shop, "damaged", false)
	edge(shop, damaged, "", false)
	edge(read, runout, "", false)
	edge(runout, fit, "0.04 mm or less", false)
	edge(runout, clean, "else", false)
	edge(clean, read, "", true)
	edge(runout, unclamp, "after two", false)
	edge(unclamp, bent, "", false)
	edge(fit, back, "", false)
	edge(back, leak, "", false)
	edge(leak, accept, "dry", false)
	edge(accept, good, "", false)
	edge(leak, look, "drips", false)
	edge(look, place, "", false)
	edge(place, again, "shaft", false)
	edge(place, joint, "joint", false)
	m.Text = []string{
		"Make the pump safe, steps 1–4, then measure, step 5.",
		"Casing temperature, at most 4 times: 38 °C or less, go on at step 7; else step 6 and again; after four, refer.",
		"Take the pump apart, steps 7–13, then measure the sleeve, step 14.",
		"Sleeve diameter: too large, step 15, refer; can stay, step 19; worn, steps 16–17, then step 19; damaged, step 18, refer.",
		"Runout, at most 2 times: 0.04 mm or less, go on at step 22; else step 20 and again; after two, step 21, refer.",
		"Fit the new seal, steps 22–26, then put the pump back to work, steps 27–34.",
		"Leak: dry, step 35, serviceable; drips, step 36.",
		"Drip place: shaft, refer; joint, refer.",
	}
	return m
}

// back is what stands after the steps.
func (b *builder) back() {
	d, t := b.doc, b.things
	put := func(name string, n int, only string) document.CloseUp {
		return document.CloseUp{Kind: "put back", Label: b.mention(name, n), Count: n, Only: only}
	}
	tool := func(name string) document.CloseUp {
		return document.CloseUp{Kind: "tool off", Label: b.mention(name, 1), Count: 1}
	}
	fitted := func(name, only string) document.CloseUp {
		return document.CloseUp{Kind: "new", Label: b.mention(name, 1), Count: 1, Only: only}
	}
	d.CloseUp = []document.CloseUp{
		put("rotating-unit", 1, ""), put("impeller", 1, ""), put("impeller-nut", 1, ""), put("impeller-key", 1, "size 40"), put("casing-nut", 6, ""),
		fitted("casing-gasket", ""), fitted("seal-32", "size 32"), fitted("seal-40", "size 40"), fitted("sleeve-32", "if worn, size 32"), fitted("sleeve-40", "if worn, size 40"),
		{Kind: "cover", Label: b.mention("terminal-cover", 1), Count: 1},
		tool("strap-wrench"), tool("seal-puller"), tool("fitting-cone"),
		{Kind: "state", Label: document.Text{{Kind: document.Plain, Text: "Motor supply "}, {Kind: document.Strong, Text: "live"}}, Count: 1},
		{Kind: "state", Label: document.Text{{Kind: document.Plain, Text: "Casing "}, {Kind: document.Strong, Text: "pressurised"}}, Count: 1},
	}
	diameter, temperature, runout := d.Decisions[1].Reading, d.Steps[4].Boxes[0].(*document.ReadingBox).Reading, d.Steps[18].Boxes[0].(*document.ReadingBox).Reading
	reading := func(r *document.Reading, step, boxes int) document.RecordLine {
		return document.RecordLine{Kind: "reading", Step: step, Name: r.Name, Label: r.Title, Unit: r.Unit, Boxes: boxes, Limits: r.Limits}
	}
	d.Record = []document.RecordLine{
		reading(temperature, 5, 4), reading(diameter, 14, 6),
		{Kind: "part", Step: 17, Name: "sleeve-32", Label: t["sleeve-32"].Title + " P-2132", Only: "if worn, size 32"},
		{Kind: "part", Step: 17, Name: "sleeve-40", Label: t["sleeve-40"].Title + " P-2140", Only: "if worn, size 40"},
		reading(runout, 19, 2),
		{Kind: "part", Step: 22, Name: "seal-32", Label: "mechanical seal P-2032", Only: "size 32"},
		{Kind: "part", Step: 22, Name: "seal-40", Label: "mechanical seal P-2040", Only: "size 40"},
		{Kind: "record", Step: 22, Name: "seal-lot", Label: "Lot number of the seal"},
		{Kind: "part", Step: 27, Name: "casing-gasket", Label: "casing gasket P-1020"},
		{Kind: "torque", Step: 28, Name: "casing-nut", Label: "6 casing nuts P-1008, 18 N·m", Unit: "N·m", Who: d.Skill},
		{Kind: "answer", Step: 34, Name: "leak", Label: "Does water drip from the seal?"},
		{Kind: "hold", Step: 35, Name: "step-35-hold-1", Label: "Seal accepted", Who: "Supervisor"},
		{Kind: "answer", Step: 36, Name: "drip-place", Label: "Where does it drip?", Only: "drips"},
	}
}
