package compare

import (
	"strconv"
	"strings"

	"benchproof/compiler/library"
)

// eachAction calls f for every action of a flow, routines set out, in order.
func eachAction(body []library.Flow, f func(library.Action)) {
	for _, st := range body {
		switch st := st.(type) {
		case *library.Stage:
			eachAction(st.Body, f)
		case *library.Step:
			for _, a := range st.Actions {
				f(a)
			}
		case *library.Decide:
			for _, br := range st.Branches {
				eachAction(br.Body, f)
			}
		case *library.Repeat:
			eachAction(st.Body, f)
			eachAction(st.Otherwise, f)
		case *library.Perform:
			eachAction(st.Body, f)
		}
	}
}

// actions gives the actions of a step. An action on several things is one on
// each: `remove lid, gasket` and two lines with remove say the same.
func (n *names) actions(st *library.Step) []item {
	var out []item
	for _, a := range st.Actions {
		out = append(out, n.action(a)...)
	}
	for _, a := range st.Allows {
		f := &facts{n: n}
		f.allows([]library.Allow{a})
		out = append(out, item{kind: KindRule, head: "allow " + a.Code, what: "rule " + a.Code + " turned off", show: f.list[0].show, facts: f.list, loose: true})
	}
	return out
}

// made makes an item; its words are the verb, what it is done to, and the facts.
func made(kind Kind, verb, headKey, headShow string, f *facts, loose bool) item {
	what := verb
	if headShow != "" {
		what += " " + headShow
	}
	show := what
	for _, x := range f.list {
		switch x.label {
		case "torque":
			show += " to " + x.show
		case "with", "on", "in", "through", "deep", "at most", "from", "bore", "interference", "clearance", "expansion", "at":
			show += " " + x.label + " " + x.show
		default:
			show += " " + x.show
		}
	}
	return item{kind: kind, head: verb + " " + headKey, what: what, show: show, facts: f.list, loose: loose}
}

// handled makes one item for each thing that an action takes in hand.
func (n *names) handled(verb string, items []library.Item, more func(*facts)) []item {
	var out []item
	for _, it := range items {
		f := &facts{n: n}
		var s library.Symbol = it.Thing
		if it.Column != nil {
			s = it.Column
		}
		if it.Count > 1 {
			f.add(KindQuantity, "count", strconv.Itoa(it.Count), "× "+strconv.Itoa(it.Count))
		}
		if more != nil {
			more(f)
		}
		out = append(out, made(sortKind(s), verb, n.key(s), symbol(s), f, false))
	}
	return out
}

func (n *names) action(a library.Action) []item {
	f := &facts{n: n}
	with := func(label string, t *library.Tool) func(*facts) {
		return func(f *facts) { one(f, KindTool, label, t) }
	}
	switch a := a.(type) {
	case *library.Use:
		return n.handled("use", a.Items, nil)
	case *library.Fit:
		return n.handled("fit", a.Items, func(f *facts) {
			key, show := n.itemOf(library.Item{Thing: a.On.Thing, Column: a.On.Column})
			f.add(KindPart, "on", key, show)
		})
	case *library.FitNew:
		return n.handled("fit new", a.Items, nil)
	case *library.Refit:
		return n.handled("refit", a.Items, nil)
	case *library.Remove:
		return n.handled("remove", a.Items, nil)
	case *library.Clamp:
		return n.handled("clamp", a.Items, with("in", a.In))
	case *library.Release:
		return n.handled("release", a.Items, nil)
	case *library.Lift:
		return n.handled("lift", a.Items, with("with", a.With))
	case *library.Make:
		f.add(KindCondition, "state", n.key(a.State), titleOf(&a.State.Decl))
		return []item{made(KindCondition, "make", n.key(a.State.Condition), titleOf(&a.State.Condition.Decl), f, false)}
	case *library.Verify:
		f.add(KindCondition, "state", n.key(a.State), titleOf(&a.State.Decl))
		one(f, KindTool, "with", a.With)
		return []item{made(KindCondition, "verify", n.key(a.State.Condition), titleOf(&a.State.Condition.Decl), f, false)}
	case *library.Needs:
		var out []item
		for _, c := range a.States {
			f := &facts{n: n}
			f.add(KindCondition, "state", n.key(c.State), titleOf(&c.State.Decl))
			out = append(out, made(KindCondition, "needs", n.key(c.State.Condition), titleOf(&c.State.Condition.Decl), f, false))
		}
		return out
	case *library.Measure:
		if a.Of != "" {
			f.add(KindReading, "of", a.Of+strconv.Itoa(a.Count), a.Of+" of "+strconv.Itoa(a.Count))
		}
		if a.Reading.Unit != nil {
			f.add(KindReading, "unit", a.Reading.Unit.Code, "in "+a.Reading.Unit.Code)
		}
		one(f, KindTool, "with", a.With)
		return []item{made(KindReading, "measure", n.key(a.Reading), titleOf(&a.Reading.Decl), f, false)}
	case *library.Ask:
		f.prose(KindQuestion, "question", n.tokens(a.Text))
		for _, x := range a.Question.Answers {
			member(f, KindQuestion, "answer", x, n.key(x)+" "+x.Title, titleOf(&x.Decl))
		}
		return []item{made(KindQuestion, "ask", n.key(a.Question), a.Question.Name, f, false)}
	case *library.Record:
		f.prose(KindRecord, "what", n.tokens(a.What))
		return []item{made(KindRecord, "record", n.key(a.Record), a.Record.Name, f, true)}
	case *library.Warn:
		var out []item
		for _, h := range a.Hazards {
			out = append(out, made(KindHazard, "warn of", n.key(h.Hazard), titleOf(&h.Hazard.Decl), f, true))
		}
		return out
	case *library.Wait:
		f.value(KindTime, "time", a.Time)
		return []item{made(KindTime, "wait", "", "", f, false)}
	case *library.Takes:
		f.value(KindTime, "time", a.Time)
		return []item{made(KindTime, "takes", "", "", f, true)}
	case *library.Hold:
		f.prose(KindHold, "who", n.tokens(a.Who))
		f.prose(KindHold, "what", n.tokens(a.What))
		return []item{made(KindHold, "hold", "", "", f, false)}
	case *library.By:
		f.prose(KindSkill, "who", plain(a.Who))
		return []item{made(KindSkill, "by", "", "", f, true)}
	case *library.Note:
		f.prose(KindNote, "text", n.tokens(a.Text))
		return []item{made(KindNote, "note", "", "", f, true)}
	case *library.Show:
		var out []item
		for _, x := range a.Figures {
			out = append(out, made(KindFigure, "show", n.key(x), symbol(x), f, true))
		}
		for _, x := range a.Videos {
			out = append(out, made(KindFigure, "show", n.key(x), symbol(x), f, true))
		}
		return out
	}
	return []item{n.cut(a, f)}
}

// cut gives an action on a hole, a fastener or a hot fit.
func (n *names) cut(a library.Action, f *facts) item {
	value := func(kind Kind, label string, v *library.Value) {
		if v != nil {
			f.value(kind, label, *v)
		}
	}
	switch a := a.(type) {
	case *library.Drill:
		f.value(KindHole, "size", a.Size)
		f.value(KindHole, "deep", a.Deep)
		value(KindQuantity, "at", a.Speed)
		one(f, KindTool, "with", a.With)
		return made(KindHole, "drill", n.key(a.Hole), a.Hole.Name, f, false)
	case *library.Tap:
		if a.Existing {
			f.word(KindHole, "existing", "existing")
		}
		f.word(KindHole, "thread", a.Thread+pick(a.Insert, " for insert", ""))
		f.value(KindHole, "deep", a.Deep)
		value(KindQuantity, "at", a.Speed)
		one(f, KindTool, "with", a.With)
		return made(KindHole, "tap", n.key(a.Hole), a.Hole.Name, f, false)
	case *library.Tighten:
		var keys, shows []string
		for _, v := range a.To {
			k, s := n.value(v)
			keys, shows = append(keys, k), append(shows, s)
		}
		if a.Item.Count > 1 {
			f.add(KindQuantity, "count", strconv.Itoa(a.Item.Count), "× "+strconv.Itoa(a.Item.Count))
		}
		f.add(KindTorque, "torque", strings.Join(keys, ", "), strings.Join(shows, ", "))
		if a.Crosswise {
			f.word(KindTorque, "crosswise", "crosswise")
		}
		one(f, KindTool, "with", a.With)
		one(f, KindTool, "through", a.Through)
		key, show := n.itemOf(library.Item{Thing: a.Item.Thing, Column: a.Item.Column})
		return made(KindTorque, "tighten", key, show, f, false)
	case *library.Heat:
		f.value(KindQuantity, "bore", a.Bore)
		f.value(KindQuantity, "interference", a.Interference)
		value(KindQuantity, "clearance", a.Clearance)
		f.value(KindQuantity, "expansion", a.Expansion)
		value(KindQuantity, "from", a.From)
		value(KindQuantity, "at most", a.AtMost)
		one(f, KindTool, "with", a.With)
		key, show := n.itemOf(library.Item{Thing: a.Item.Thing, Column: a.Item.Column})
		return made(KindQuantity, "heat", key, show, f, false)
	}
	return item{kind: KindAction, head: "?", what: "?", show: "?", facts: f.list}
}
