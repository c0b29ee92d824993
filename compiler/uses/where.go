package uses

import (
	"slices"
	"strings"

	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/dsl/source"
)

// A Use is one place where something is used.
type Use struct {
	// Step is a step's number, or 0: At then says what stands there.
	Step int
	// At is step, stage, decision, until, perform or finish, or "procedure" for
	// what stands before the work.
	At string
	// How are the words by which it is used there: "fit on", "mention", "carried
	// by T-1009".
	How []string
	// Always and Only are as the document says it.
	Always   bool
	Only     string
	Routines []*library.Routine
	// Text is what the step says, as printed.
	Text string
	Span source.Span
}

// In is the uses in one procedure.
type In struct {
	Procedure *library.Procedure
	Uses      []Use
}

// A Naming is a declaration or a trial that names a symbol.
type Naming struct {
	Sort, Name, Title string
	Span              source.Span
}

// A Where is all that is known of where a symbol is used.
type Where struct {
	Symbol  library.Symbol
	Kits    []*library.Kit
	In      []In
	Namings []Naming
}

// Where tells where a symbol is used.
func (l *Library) Where(sym library.Symbol) Where {
	w := Where{Symbol: sym}
	if t, ok := sym.(library.Thing); ok {
		for _, k := range l.Result.Library.Kits {
			if slices.Contains(k.Holds, t) {
				w.Kits = append(w.Kits, k)
			}
		}
	}
	for i := range l.jobs {
		j := &l.jobs[i]
		in := In{Procedure: j.procedure}
		in.Uses = append(in.Uses, l.before(j, sym)...)
		for _, p := range j.places {
			in.Uses = append(in.Uses, l.at(j, p, sym)...)
		}
		if len(in.Uses) > 0 {
			w.In = append(w.In, in)
		}
	}
	w.Namings = l.namings(sym)
	return w
}

// before gives the uses in what a procedure says before its work.
func (l *Library) before(j *job, sym library.Symbol) []Use {
	p := j.procedure
	u := Use{At: "procedure", Always: true}
	for _, r := range l.Result.Library.Named(p.Whole) {
		if slices.ContainsFunc(p.Body, func(f library.Flow) bool { return within(r.Span, f.At()) }) {
			continue
		}
		if ok, _ := means(r.To, sym, j.members); ok {
			u.name(r.Span, propertyWord(r.Span, p.Whole))
		}
	}
	if len(u.How) == 0 {
		return nil
	}
	return []Use{u}
}

func (j *job) members(v *library.Variant) []*library.Member {
	for _, a := range j.procedure.Applies {
		if a.Variant == v {
			return a.Members
		}
	}
	return nil
}

// name adds a word by which something is used; the first place is that of the use.
func (u *Use) name(at source.Span, word string) {
	if len(u.How) == 0 {
		u.Span = at
	}
	if !slices.Contains(u.How, word) {
		u.How = append(u.How, word)
	}
}

func within(inner, outer source.Span) bool {
	return inner.File == outer.File && inner.Start >= outer.Start && inner.End <= outer.End
}

// at gives the uses at one place: one, or one for each set of members.
func (l *Library) at(j *job, p document.Place, sym library.Symbol) []Use {
	var out []Use
	var by [][]*library.Member
	note := func(members []*library.Member, at source.Span, word string) {
		i := slices.IndexFunc(by, func(m []*library.Member) bool { return slices.Equal(m, members) })
		if i < 0 {
			i = len(by)
			by = append(by, members)
			u := Use{Routines: p.Routines}
			u.Always, u.Only = p.When(members)
			out = append(out, u)
		}
		out[i].name(at, word)
	}
	named := func(span source.Span, word func(source.Span) string) {
		for _, r := range l.Result.Library.Named(span) {
			if ok, members := means(r.To, sym, p.Members); ok {
				note(members, r.Span, word(r.Span))
			}
		}
	}
	said := func(word string) func(source.Span) string { return func(source.Span) string { return word } }
	what := ""
	switch f := p.Flow.(type) {
	case *library.Step:
		what = "step"
		named(f.Span, func(at source.Span) string { return actionWord(f, at) })
		if h, ok := sym.(*library.Hazard); ok && len(out) == 0 && slices.Contains(p.Hazards, h) {
			note(nil, f.TextSpan, l.carriedBy(p, h))
		}
	case *library.Stage:
		what = "stage"
		named(f.Title.Span, said("mention"))
	case *library.Decide:
		what = "decision"
		named(f.OnSpan, said("decide"))
		for _, b := range f.Branches {
			named(b.Head, said("branch"))
			named(b.Meaning.Span, said("mention"))
		}
	case *library.Until:
		what = "until"
		named(f.Span, said("until"))
	case *library.Perform:
		what = "perform"
		named(f.Span, said("perform"))
	case *library.Finish:
		what = "finish"
		named(f.Span, func(at source.Span) string {
			switch {
			case within(at, f.Text.Span):
				return "mention"
			case f.To != nil && library.Symbol(f.To) == sym:
				return "refer to"
			}
			return "leaves"
		})
	}
	for i := range out {
		out[i].At = what
		if what == "step" {
			out[i].Text = j.document.Steps[p.Step-1].Text.String()
		}
		// What stands between steps is told by the step that it leads to.
		out[i].Step = p.Step
	}
	return out
}

// carriedBy says what brings a hazard into a step that does not warn of it: a tool
// that carries it, or a part that guards against it and comes off.
func (l *Library) carriedBy(p document.Place, h *library.Hazard) string {
	for _, t := range l.handled(p) {
		switch t := t.(type) {
		case *library.Tool:
			if slices.Contains(t.Carries, h) {
				return "carried by " + t.Name
			}
		case *library.Part:
			if slices.Contains(t.Guards, h) || slices.Contains(t.Place().Guards, h) {
				return "guarded by " + t.Name
			}
		}
	}
	return "carried"
}

// actionWord says by which words of an action something is named: "use",
// "measure with"; what only the text names is a mention.
func actionWord(f *library.Step, at source.Span) string {
	for _, a := range f.Actions {
		if within(at, a.At()) {
			return wordsBefore(a.At(), at)
		}
	}
	return "mention"
}

// wordsBefore gives the word that an action begins with, and the small word in
// front of the name where there is one.
func wordsBefore(action, at source.Span) string {
	text := action.File.Text[action.Start:at.Start]
	list := strings.Fields(text)
	if len(list) == 0 {
		return "names"
	}
	verb := list[0]
	if verb == "fit" && len(list) > 1 && list[1] == "new" {
		return "fit new"
	}
	if strings.Contains(text, "\"") {
		return "mention"
	}
	for _, w := range slices.Backward(list[1:]) {
		switch w {
		case "with", "on", "in", "through", "to":
			return verb + " " + w
		}
	}
	return verb
}

// propertyWord gives the word of a procedure's property that names something:
// the first of its line.
func propertyWord(at, whole source.Span) string {
	line, _ := at.File.Position(at.Start)
	text, _ := at.File.Line(line)
	if list := strings.Fields(text); len(list) > 0 {
		if list[0] == "begins" && len(list) > 1 && list[1] == "without" {
			return "begins without"
		}
		return list[0]
	}
	return "names"
}

// means tells whether a name of another symbol stands for the one looked for,
// and for which members; none: all. A column of things stands for each of them.
func means(to, sym library.Symbol, members func(*library.Variant) []*library.Member) (bool, []*library.Member) {
	if to == sym {
		return true, nil
	}
	switch t := to.(type) {
	case *library.State:
		return library.Symbol(t.Condition) == sym, nil
	case *library.Member:
		return library.Symbol(t.Variant) == sym, nil
	case *library.Column:
		if library.Symbol(t.Table) == sym {
			return true, nil
		}
		thing, ok := sym.(library.Thing)
		if !ok || t.Table.Variant == nil || members == nil {
			return false, nil
		}
		var some []*library.Member
		for _, m := range members(t.Table.Variant) {
			if m.Index < len(t.Things) && t.Has[m.Index] && t.Things[m.Index] == thing {
				some = append(some, m)
			}
		}
		return len(some) > 0, some
	}
	return false, nil
}

// namings gives the declarations and trials that name a symbol.
func (l *Library) namings(sym library.Symbol) (out []Naming) {
	lib := l.Result.Library
	add := func(s library.Symbol, sort, name string) {
		d := s.Declared()
		for _, r := range lib.Named(d.Whole) {
			if ok, _ := means(r.To, sym, nil); ok && r.Span != d.Span {
				out = append(out, Naming{sort, name, d.Title, r.Span})
				return
			}
		}
	}
	for _, s := range Declared(lib) {
		switch s.(type) {
		case *library.Procedure, *library.Routine:
			continue // its steps are told where they are performed
		}
		if s == sym || within(sym.Declared().Span, s.Declared().Whole) {
			continue
		}
		add(s, s.Sort(), s.Declared().Name)
	}
	for _, t := range lib.Trials {
		add(t, "trial", t.Of.Name)
	}
	return out
}

// Unused gives the tools, parts and consumables that no procedure uses, and
// the boxes that hold any of them with those.
func (l *Library) Unused() (things []library.Thing, kits []Idle) {
	used := map[library.Thing]bool{}
	for i := range l.jobs {
		for _, p := range l.jobs[i].places {
			for _, t := range l.handled(p) {
				used[t] = true
			}
		}
	}
	lib := l.Result.Library
	for _, s := range Declared(lib) {
		if t, ok := s.(library.Thing); ok && !used[t] {
			if p, part := t.(*library.Part); part && p.IsKind {
				continue // stands for the parts of its kind
			}
			things = append(things, t)
		}
	}
	for _, k := range lib.Kits {
		idle := Idle{Kit: k}
		for _, t := range k.Holds {
			if !used[t] {
				idle.Things = append(idle.Things, t)
			}
		}
		if len(idle.Things) > 0 {
			kits = append(kits, idle)
		}
	}
	return things, kits
}

// Idle is a box and what it holds for no procedure.
type Idle struct {
	Kit    *library.Kit
	Things []library.Thing
}

// handled gives the things that a place names in an action or a text.
func (l *Library) handled(p document.Place) (out []library.Thing) {
	f, ok := p.Flow.(*library.Step)
	if !ok {
		return nil
	}
	for _, r := range l.Result.Library.Named(f.Span) {
		switch t := r.To.(type) {
		case library.Thing:
			out = append(out, t)
		case *library.Column:
			if t.Table.Variant == nil {
				continue
			}
			for _, m := range p.Members(t.Table.Variant) {
				if m.Index < len(t.Things) && t.Has[m.Index] {
					out = append(out, t.Things[m.Index])
				}
			}
		}
	}
	return out
}
