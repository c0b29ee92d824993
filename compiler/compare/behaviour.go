package compare

import (
	"slices"
	"strconv"
	"strings"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/quantity"
	"benchproof/dsl/source"
)

// finishKey is what a finish means: equal ones are one finish, wherever they stand.
func (n *names) finishKey(f *library.Finish) string {
	to := n.referred(f)
	text := keyOf(n.tokens(f.Text))
	if f.Outcome == "serviceable" && to == "" && text == "" {
		return "end"
	}
	return f.Outcome + "\x00" + to + "\x00" + text
}

// referred is the procedure that a finish hands the job on to.
func (n *names) referred(f *library.Finish) string {
	if f.To == nil {
		return ""
	}
	return n.key(f.To)
}

// places name the steps and finishes of two versions of a procedure: those that
// are the same have one name, routines set out.
type places struct {
	n        *names
	old, new map[library.Flow]string
	texts    map[string]string // of steps, by name
	// ways name the branches, titles say what they are by name.
	oldWays, newWays map[source.Span]string
	titles           map[string]string
	routines         map[*library.Routine]*flowDiff
}

func (c *comparer) places(d *flowDiff) *places {
	p := &places{n: c.names, old: map[library.Flow]string{}, new: map[library.Flow]string{}, texts: map[string]string{}, routines: c.routines,
		oldWays: map[source.Span]string{}, newWays: map[source.Span]string{}, titles: map[string]string{}}
	p.name(d.pairing, d.old, d.new, "")
	return p
}

// name goes through two flows that were paired. The lines of a performed
// routine are those of the routine, in their order.
func (p *places) name(d *pairing, old, new []line, prefix string) {
	for i := range old {
		l := &old[i]
		id := prefix + itoa(i)
		if j := d.toNew[i]; j >= 0 && !l.way.IsZero() {
			p.oldWays[l.way], p.newWays[new[j].way] = id, id
			p.titles[id] = wayTitle(old, i)
		}
		switch f := l.flow.(type) {
		case *library.Step:
			if d.toNew[i] >= 0 {
				p.old[f] = id
				p.texts[id] = showOf(l.text)
			}
		case *library.Finish:
			p.old[f] = p.n.finishKey(f)
		case *library.Perform:
			if d.toNew[i] < 0 {
				p.alone(p.old, f.Body)
			}
		}
	}
	for j := range new {
		l := &new[j]
		i := d.toOld[j]
		switch f := l.flow.(type) {
		case *library.Step:
			if i >= 0 {
				p.new[f] = prefix + itoa(i)
			}
		case *library.Finish:
			p.new[f] = p.n.finishKey(f)
			if i >= 0 {
				// In other words it is the same finish still.
				if g := old[i].flow.(*library.Finish); g.Outcome == f.Outcome && p.n.referred(g) == p.n.referred(f) {
					p.new[f] = p.old[g]
				}
			}
		case *library.Perform:
			if i < 0 {
				p.alone(p.new, f.Body)
				continue
			}
			g := old[i].flow.(*library.Perform)
			if r := p.routines[f.Routine]; r != nil {
				p.name(r.pairing, p.n.set(g.Body), p.n.set(f.Body), prefix+itoa(i)+"/")
			}
		}
	}
}

// wayTitle says in words which branch this is.
func wayTitle(lines []line, at int) string {
	l := &lines[at]
	switch l.sort {
	case "branch":
		return showOf(lines[l.parent].text) + " " + l.title()
	case "otherwise":
		return lines[l.parent].title() + ", otherwise"
	}
	return l.title()
}

// alone names the finishes of a routine that only one version performs.
func (p *places) alone(in map[library.Flow]string, body []library.Flow) {
	for _, l := range p.n.set(body) {
		switch f := l.flow.(type) {
		case *library.Finish:
			in[f] = p.n.finishKey(f)
		case *library.Perform:
			p.alone(in, f.Body)
		}
	}
}

// behaviour finds the inputs for which two versions of a procedure part.
func (c *comparer) behaviour(o, x *library.Procedure, d *flowDiff) *Paths {
	pl := c.places(d)
	found := paths.Differ(
		paths.Version{Library: c.old.Library, Procedure: o, Key: c.names.key, Place: func(f library.Flow) string { return pl.old[f] }, Ways: pl.oldWays},
		paths.Version{Library: c.new.Library, Procedure: x, Key: c.names.key, Place: func(f library.Flow) string { return pl.new[f] }, Ways: pl.newWays})
	out := &Paths{Partings: []Parting{}, Bounds: append([]string{}, found.Bounds...), More: found.More}
	for _, part := range found.Partings {
		out.Partings = append(out.Partings, c.parting(o, x, &part, pl))
	}
	return out
}

func (c *comparer) parting(o, x *library.Procedure, part *paths.Parting, pl *places) Parting {
	out := Parting{Always: part.Always, When: []Input{}, Differs: []Contrast{}}
	for _, in := range part.When {
		out.When = append(out.When, input(in))
	}
	out.Old = Outcome{finishText(part.OldTrace), pathValues(o, part.Old)}
	out.New = Outcome{finishText(part.NewTrace), pathValues(x, part.New)}
	contrasts := slices.Clone(part.Contrasts)
	slices.SortStableFunc(contrasts, func(a, b paths.Contrast) int {
		if a.Matter == paths.InStep && b.Matter == paths.InStep {
			return slices.Compare(order(a.Key), order(b.Key))
		}
		return 0
	})
	for _, k := range contrasts {
		t := Contrast{Matter: string(k.Matter), What: pl.texts[k.Key]}
		switch k.Matter {
		case paths.InFinish:
			t.What, t.Old, t.New = "finish", out.Old.Finish, out.New.Finish
		case paths.InPart:
			t.What = c.shown(k.Key)
			t.Old, t.New = fitted(k.Old), fitted(k.New)
		case paths.InTool:
			t.What = c.shown(k.Key)
			t.Old, t.New = pick(k.Old > 0, "used", "not used"), pick(k.New > 0, "used", "not used")
		case paths.InHazard:
			t.What = c.shown(k.Key)
			t.Old, t.New = pick(k.Old > 0, "met", "not met"), pick(k.New > 0, "met", "not met")
		case paths.InStep:
			t.Old, t.New = pick(k.Old > 0, "done", "not done"), pick(k.New > 0, "done", "not done")
		}
		out.Differs = append(out.Differs, t)
	}
	return out
}

// order gives the places in a step's name, to put steps in their order.
func order(name string) (out []int) {
	for _, s := range strings.Split(name, "/") {
		n, _ := strconv.Atoi(s)
		out = append(out, n)
	}
	return out
}

func fitted(n int) string {
	switch n {
	case 0:
		return "not fitted"
	case 1:
		return "fitted"
	}
	return itoa(n) + " fitted"
}

// shown gives a thing or hazard by its key, as a reader sees it.
func (c *comparer) shown(key string) string {
	if s := c.byKey[key]; s != nil {
		return symbol(s)
	}
	return key
}

func finishText(t *paths.Trace) string {
	switch f := t.Finish; {
	case f == nil && t.RanOff:
		return "serviceable"
	case f == nil:
		return "no finish"
	default:
		s := f.Outcome
		if f.To != nil {
			s += " to " + symbol(f.To)
		}
		if text := showOf((&names{}).tokens(f.Text)); text != "" {
			s += ": " + text
		}
		return s
	}
}

func input(in paths.Input) Input {
	switch {
	case in.Member != nil:
		v := in.Member.Variant
		return Input{Name: v.Name, Title: titleOf(&v.Decl), Value: titleOf(&in.Member.Decl)}
	case in.Answer != nil:
		return Input{Name: in.Of.Name, Title: titleOf(&in.Of.Decl), Value: titleOf(&in.Answer.Decl), Taking: in.Nth + 1}
	}
	out := Input{Name: in.Reading.Name, Title: titleOf(&in.Reading.Decl), Value: shownValue(in.Reading, in.Value), Taking: in.Nth + 1}
	var ranges []string
	for _, r := range in.Among {
		ranges = append(ranges, r.Words(func(v quantity.Number) string { return shownValue(in.Reading, v) }))
	}
	out.Range, out.Usual = strings.Join(ranges, ", or "), in.Usual
	return out
}

func shownValue(r *library.Reading, v quantity.Number) string {
	return strings.ReplaceAll(paths.ShowValue(r, v), quantity.NBSP, " ")
}

// pathValues writes a whole path as the values of a trial.
func pathValues(p *library.Procedure, c paths.Case) []PathValue {
	out := []PathValue{}
	for _, m := range c.Members {
		out = append(out, PathValue{m.Variant.Name, []string{m.Name}})
	}
	for _, r := range p.Readings {
		var list []string
		for _, v := range c.Values[r] {
			list = append(list, v.String()+" "+r.Unit.Code)
		}
		if list != nil {
			out = append(out, PathValue{r.Name, list})
		}
	}
	for _, q := range p.Questions {
		var list []string
		for _, a := range c.Answers[q] {
			list = append(list, a.Name)
		}
		if list != nil {
			out = append(out, PathValue{q.Name, list})
		}
	}
	return out
}
