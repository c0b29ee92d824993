package document

import (
	"slices"
	"strconv"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/quantity"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// Options say what document is wanted.
type Options struct {
	// For are the members the document is for, at most a few of each family. A
	// family of which none is named keeps all that the procedure applies to.
	For []*library.Member
	// Draft marks a document built in spite of errors; Messages are what is
	// wrong, a line each.
	Draft    bool
	Messages []string
	// Source is the library in the language of its sources, where the one at hand
	// is a translation: the fingerprint is of what the sources say.
	Source *library.Library
	// Images reads a figure's file by its path in the library.
	Images func(path string) ([]byte, error)
}

// Lower makes the document of a procedure. res is what holds on its paths; nil
// where they could not be judged: then what only paths tell (times, what holds
// at a stage, what a finish leaves) is missing. The messages tell of images
// that cannot be used (BP206). Nothing in the library is changed.
func Lower(lib *library.Library, p *library.Procedure, res *paths.Result, opts Options) (*Document, []*message.Message) {
	l := lower(lib, p, res, opts)
	return l.doc, l.messages
}

func lower(lib *library.Library, p *library.Procedure, res *paths.Result, opts Options) *lowerer {
	narrowed := narrow(p, opts.For)
	if narrowed != p && res != nil {
		res = paths.Judge(lib, narrowed)
	}
	l := &lowerer{
		lib: lib, proc: narrowed, here: narrowed, res: res, opts: opts,
		things: map[library.Thing]*Thing{}, hazards: map[*library.Hazard]*Hazard{}, bound: map[*Hazard]*library.Hazard{}, figures: map[*library.Figure]*Figure{},
		readings: map[readingKey]*Reading{}, acted: map[actingKey][]quantity.Acting{}, asked: map[*Decision]int{}, shortOf: map[string]string{}, untilAt: map[*Until]int{}, around: map[*Step][]*Repeat{},
		finishOf: map[*Finish]*library.Finish{}, finishGuard: map[*Finish]*guard{},
	}
	l.w, l.ph = phrasesOf(lib.Language)
	l.doc = &Document{
		Name: p.Name, Language: lib.Language, Words: l.w, Library: lib.Title, Owner: lib.Owner,
		Title: p.Title, Purpose: p.Purpose, Number: p.Document, Skill: p.Skill,
		Draft: opts.Draft, Messages: slices.Clone(opts.Messages),
	}
	l.head()
	l.judges()
	l.doc.Body = l.body(narrowed.Body)
	l.runsOff()
	l.resolve(l.doc.Body, l.afterAll())
	l.conditionsOf()
	l.collect()
	l.finishes()
	l.closeUp()
	l.record()
	l.untils()
	l.mapOf()
	l.standing()
	return l
}

// A lowerer holds what is known while a document is made.
type lowerer struct {
	lib *library.Library
	// proc is the procedure for the members asked for, here the same narrowed
	// to the members of the branch at hand.
	proc, here *library.Procedure
	res        *paths.Result
	opts       Options
	w          *Words
	ph         *phrases
	doc        *Document
	messages   []*message.Message

	things   map[library.Thing]*Thing
	hazards  map[*library.Hazard]*Hazard
	bound    map[*Hazard]*library.Hazard
	figures  map[*library.Figure]*Figure
	readings map[readingKey]*Reading
	asked    map[*Decision]int
	shortOf  map[string]string // a question in a word or two, by name
	untilAt  map[*Until]int    // the steps before the end of a turn
	// good are the limits that make a reading good, where one range judges it.
	good map[*library.Reading]*judge
	// acted are the ranges of decisions that have been asked for.
	acted map[actingKey][]quantity.Acting

	telling  int   // combinations of members that were set out
	pictures int64 // bytes of pictures, as often as they are shown

	stages, repeats int
	// sources are the bound steps, by Step.Number - 1; guards what led to each.
	sources []*library.Step
	guards  []*guard
	guard   *guard
	loops   []*Repeat
	around  map[*Step][]*Repeat // the repeats around a step

	placed      []placed
	performs    []*library.Routine // the routines we are in
	uses        []use
	carried     []carried
	moves       []move
	byPlace     map[*library.Part][]move
	conditions  []*library.Condition // that the job deals with, in order
	barred      []barred
	finishOf    map[*Finish]*library.Finish
	finishGuard map[*Finish]*guard
	untilOf     []pendingUntil
	stageOf     []pendingStage
}

// Narrow gives the procedure as the document for some members has it.
func Narrow(p *library.Procedure, members []*library.Member) *library.Procedure {
	return narrow(p, members)
}

// narrow gives the procedure for some members only; p itself where that is
// no change. The statements are shared: nothing may write into them.
func narrow(p *library.Procedure, members []*library.Member) *library.Procedure {
	applies := make([]library.Applies, len(p.Applies))
	changed := false
	for i, a := range p.Applies {
		applies[i] = a
		var some []*library.Member
		for _, m := range a.Members {
			if slices.Contains(members, m) {
				some = append(some, m)
			}
		}
		if len(some) > 0 && len(some) < len(a.Members) {
			applies[i].Members = some
			changed = true
		}
	}
	if !changed {
		return p
	}
	q := *p
	q.Applies = applies
	return &q
}

// members gives the members of a variant for which the branch at hand is.
func (l *lowerer) members(v *library.Variant) []*library.Member { return membersOf(l.here, v) }

// told gives the same, to be set out one by one; none where that would be too much.
func (l *lowerer) told(v *library.Variant) []*library.Member {
	list := l.members(v)
	if !l.tells(len(list)) {
		return nil
	}
	return list
}

func membersOf(p *library.Procedure, v *library.Variant) []*library.Member {
	for _, a := range p.Applies {
		if a.Variant == v {
			return a.Members
		}
	}
	return nil
}

// head fills in the control block.
func (l *lowerer) head() {
	for _, r := range l.proc.Revisions {
		l.doc.Revisions = append(l.doc.Revisions, Revision{r.Name, r.Date, r.Note})
	}
	if len(l.doc.Revisions) > 0 {
		l.doc.Revision, l.doc.Date = l.doc.Revisions[0].Revision, l.doc.Revisions[0].Date
	}
	for _, a := range l.proc.Applies {
		f := Family{Variant: a.Variant.Name, Title: a.Variant.Title}
		for _, m := range a.Members {
			f.Members = append(f.Members, Member{m.Name, m.Title})
			if slices.Contains(l.opts.For, m) {
				l.doc.For = append(l.doc.For, chosen(m))
			}
		}
		l.doc.AppliesTo = append(l.doc.AppliesTo, f)
	}
	if l.res != nil && l.res.Timed {
		l.doc.Time = &TimeSpan{
			LeastMinutes: l.res.Least.Exact(), MostMinutes: l.res.Most.Exact(),
			Least: l.timeText(toMinute(l.res.Least, false)), Most: l.timeText(toMinute(l.res.Most, true)),
		}
	}
	for _, it := range l.proc.BeginsWithout {
		for _, c := range l.thingCases(it.Column, it.Thing) {
			l.doc.BeginsWithout = append(l.doc.BeginsWithout, Counted{l.thing(c.thing), it.Count, memberTitles(c.members)})
		}
	}
}

func chosen(m *library.Member) Chosen {
	return Chosen{Variant: m.Variant.Name, VariantTitle: m.Variant.Title, Member: m.Name, MemberTitle: m.Title}
}

// thing gives the one Thing that stands for a declared thing.
func (l *lowerer) thing(t library.Thing) *Thing {
	if t == nil {
		return nil
	}
	if known, ok := l.things[t]; ok {
		return known
	}
	c := library.CommonOf(t)
	out := &Thing{Name: c.Name, Title: c.Title, Plural: c.Plural, Number: c.Number, Detail: c.Detail, Forms: c.Forms}
	if out.Title == "" {
		out.Title = c.Name
	}
	switch t := t.(type) {
	case *library.Tool:
		out.Kind = Tool
		scale := t.Reads
		if scale == nil {
			scale = t.Sets
		}
		if scale != nil {
			out.Instrument = true
			out.Range = fill(l.ph.span, "low", l.w.Numeral(scale.From.String()), "high", l.w.Numeral(scale.To.String()))
			if t.Resolution != nil {
				out.Scale = fill(l.ph.scale, "step", l.w.Numeral(t.Resolution.String()))
			}
		}
	case *library.Part:
		out.Kind = Part
		out.SingleUse = t.SingleUse || t.Place().SingleUse
		if t.Mass != nil {
			out.Mass = l.w.Numeral(t.Mass.String())
		}
	case *library.Consumable:
		out.Kind = Consumable
	}
	if out.Plural == "" && primary(l.lib.Language) == "en" {
		out.Plural = Plural(out.Title)
	}
	l.things[t] = out
	return out
}

// body lowers statements.
func (l *lowerer) body(list []library.Flow) []Block {
	out := make([]Block, 0, len(list))
	for _, f := range list {
		l.put(f)
		switch f := f.(type) {
		case *library.Stage:
			out = append(out, l.stage(f))
		case *library.Step:
			out = append(out, l.step(f))
		case *library.Decide:
			out = append(out, l.decide(f)...)
		case *library.Repeat:
			out = append(out, l.repeat(f))
		case *library.Until:
			out = append(out, l.until(f))
		case *library.Perform:
			l.performs = append(l.performs, f.Routine)
			out = append(out, &Routine{Name: f.Routine.Name, Title: f.Routine.Title, Body: l.body(f.Body)})
			l.performs = l.performs[:len(l.performs)-1]
		case *library.Finish:
			out = append(out, l.finish(f))
		}
	}
	return out
}

type pendingStage struct {
	stage *Stage
	bound *library.Stage
	// first is the count of steps before it.
	before int
}

func (l *lowerer) stage(f *library.Stage) Block {
	l.stages++
	s := &Stage{Number: l.stages, ID: "stage-" + strconv.Itoa(l.stages), Title: l.text(f.Title).String()}
	l.bars(f, &s.Changed)
	before := len(l.doc.Steps)
	l.stageOf = append(l.stageOf, pendingStage{s, f, before})
	s.Body = l.body(f.Body)
	if len(l.doc.Steps) > before {
		s.First, s.Last = before+1, len(l.doc.Steps)
	}
	return s
}

// A guard is one thing that must have been so for the work to get to a place.
type guard struct {
	outer *guard
	// Of a decision on a reading or an answer.
	decision *Decision
	branch   *Branch
	// Of a decision by members.
	variant *library.Variant
	members []*library.Member
	// Of what stands behind the until of a repeat, or behind its otherwise.
	repeat    *Repeat
	otherwise bool
	// leads tells whether a way leads on from here, or to a serviceable finish;
	// siblings which branches of the decision do.
	leads    bool
	through  bool
	siblings []int
}

// A barred block gets a change bar where its statement is not as at the last
// release.
type barred struct {
	at      source.Span
	changed *bool
}

func (l *lowerer) bars(f library.Flow, changed *bool) {
	l.barred = append(l.barred, barred{f.At(), changed})
}

func (l *lowerer) within(g *guard, f func()) {
	g.outer = l.guard
	l.guard = g
	f()
	l.guard = g.outer
}

// decide lowers a decision. One by members that only one branch is for is no
// decision: the work of that branch stands in its place.
func (l *lowerer) decide(f *library.Decide) []Block {
	if f.Variant != nil {
		return l.decideMember(f)
	}
	d := l.newDecision(ByReading, f)
	if f.Question != nil {
		d.Kind, d.On, d.Title = ByAnswer, f.Question.Name, f.Question.Title
		l.shortOf[f.Question.Name] = f.Question.Short
		for i, br := range f.Branches {
			b := l.branch(d, br, i)
			b.Cases = answersOf(br.Answers)
		}
	} else {
		d.On, d.Reading = f.Reading.Name, l.reading(f.Reading, f.Reading.Of, f.Reading.N)
		d.Title = upperFirst(fill(l.ph.whatIs, "reading", l.readingTitle(d.Reading)))
		for i, br := range f.Branches {
			l.branch(d, br, i)
		}
		l.limits(f, d)
	}
	var leading []int
	for i, br := range f.Branches {
		if leads(br.Body) {
			leading = append(leading, i+1)
		}
	}
	for i, br := range f.Branches {
		g := &guard{decision: d, branch: d.Branches[i], siblings: leading, leads: leads(br.Body), through: fallsThrough(br.Body)}
		l.within(g, func() { d.Branches[i].Body = l.body(br.Body) })
	}
	return []Block{d}
}

func answersOf(list []*library.Answer) (out []Member) {
	for _, a := range list {
		out = append(out, Member{a.Name, a.Title})
	}
	return out
}

func (l *lowerer) newDecision(kind DecisionKind, f *library.Decide) *Decision {
	d := &Decision{ID: "decision-" + strconv.Itoa(len(l.doc.Decisions)+1), Kind: kind}
	l.doc.Decisions = append(l.doc.Decisions, d)
	l.bars(f, &d.Changed)
	return d
}

func (l *lowerer) branch(d *Decision, br *library.Branch, i int) *Branch {
	b := &Branch{Number: i + 1, Accept: br.Accept, Meaning: l.text(br.Meaning).String()}
	d.Branches = append(d.Branches, b)
	return b
}

// decideMember lowers a decision on which member the machine is.
func (l *lowerer) decideMember(f *library.Decide) []Block {
	here := l.members(f.Variant)
	type part struct {
		number  int
		branch  *library.Branch
		members []*library.Member
	}
	var parts []part
	for i, br := range f.Branches {
		var some []*library.Member
		for _, m := range br.Members {
			if slices.Contains(here, m) {
				some = append(some, m)
			}
		}
		if len(some) > 0 {
			parts = append(parts, part{i, br, some})
		}
	}
	inside := func(p part) (out []Block) {
		outer := l.here
		l.here = narrow(l.here, p.members)
		g := &guard{variant: f.Variant, members: p.members, leads: leads(p.branch.Body), through: fallsThrough(p.branch.Body)}
		l.within(g, func() { out = l.body(p.branch.Body) })
		l.here = outer
		return out
	}
	if len(parts) == 0 {
		return nil
	}
	if len(parts) == 1 && len(parts[0].members) == len(here) {
		return l.body(parts[0].branch.Body)
	}
	d := l.newDecision(ByMember, f)
	d.On = f.Variant.Name
	d.Title = upperFirst(fill(l.ph.whichIs, "family", l.inSentence(f.Variant.Title)))
	for _, p := range parts {
		b := l.branch(d, p.branch, p.number)
		for _, m := range p.members {
			b.Cases = append(b.Cases, Member{m.Name, m.Title})
		}
	}
	for i, p := range parts {
		d.Branches[i].Body = inside(p)
	}
	return []Block{d}
}

func (l *lowerer) repeat(f *library.Repeat) Block {
	l.repeats++
	r := &Repeat{ID: "repeat-" + strconv.Itoa(l.repeats), Times: f.Times}
	l.bars(f, &r.Changed)
	l.loops = append(l.loops, r)
	at := slices.IndexFunc(f.Body, func(x library.Flow) bool { _, is := x.(*library.Until); return is })
	if at < 0 { // a draft
		r.Body = l.body(f.Body)
	} else {
		r.Body = l.body(f.Body[:at+1])
		r.Until = r.Body[len(r.Body)-1].(*Until)
		again := &guard{repeat: r, leads: true, through: true}
		l.within(again, func() { r.Body = append(r.Body, l.body(f.Body[at+1:])...) })
	}
	l.loops = l.loops[:len(l.loops)-1]
	last := &guard{repeat: r, otherwise: true, leads: leads(f.Otherwise), through: fallsThrough(f.Otherwise)}
	l.within(last, func() { r.Otherwise = l.body(f.Otherwise) })
	if r.Until != nil {
		l.untilOf = append(l.untilOf, pendingUntil{r, f.HasOtherwise})
	}
	return r
}

func (l *lowerer) finish(f *library.Finish) Block {
	out := l.newFinish(f.Outcome)
	out.Text = l.text(f.Text).String()
	if f.To != nil {
		out.To, out.ToTitle, out.ToNumber = f.To.Name, f.To.Title, f.To.Document
	}
	l.finishOf[out], l.finishGuard[out] = f, l.guard
	l.bars(f, &out.Changed)
	return out
}

func (l *lowerer) newFinish(outcome string) *Finish {
	f := &Finish{ID: "finish-" + strconv.Itoa(len(l.doc.Finishes)+1), Outcome: outcome, Title: l.outcome(outcome)}
	l.doc.Finishes = append(l.doc.Finishes, f)
	return f
}

func (l *lowerer) outcome(name string) string {
	switch name {
	case "serviceable":
		return l.w.Serviceable
	case "scrap":
		return l.w.Scrap
	case "refer":
		return l.w.Refer
	}
	return name
}

// runsOff adds the finish that is understood where the work runs off its end.
func (l *lowerer) runsOff() {
	off := fallsThrough(l.proc.Body)
	if l.res != nil && len(l.res.Messages) == 0 {
		off = l.res.RunsOff != nil
	}
	if off {
		l.newFinish("serviceable").Implied = true
	}
}

// fallsThrough tells whether a way leads out of the end of some statements.
func fallsThrough(list []library.Flow) bool {
	for _, f := range list {
		switch f := f.(type) {
		case *library.Finish:
			return false
		case *library.Stage:
			if !fallsThrough(f.Body) {
				return false
			}
		case *library.Perform:
			if !fallsThrough(f.Body) {
				return false
			}
		case *library.Decide:
			if !slices.ContainsFunc(f.Branches, func(br *library.Branch) bool { return fallsThrough(br.Body) }) {
				return false
			}
		case *library.Repeat:
			at := slices.IndexFunc(f.Body, func(x library.Flow) bool { _, is := x.(*library.Until); return is })
			if at >= 0 && !fallsThrough(f.Body[:at]) {
				return false
			}
		}
	}
	return true
}

// leads tells whether a way leads on from some statements, or to a serviceable
// finish among them.
func leads(list []library.Flow) bool { return fallsThrough(list) || serviceable(list) }

func serviceable(list []library.Flow) bool {
	return slices.ContainsFunc(list, func(f library.Flow) bool {
		switch f := f.(type) {
		case *library.Finish:
			return f.Outcome == "serviceable"
		case *library.Stage:
			return serviceable(f.Body)
		case *library.Perform:
			return serviceable(f.Body)
		case *library.Decide:
			return slices.ContainsFunc(f.Branches, func(br *library.Branch) bool { return serviceable(br.Body) })
		case *library.Repeat:
			return serviceable(f.Body) || serviceable(f.Otherwise)
		}
		return false
	})
}

// wrong adds a message.
func (l *lowerer) wrong(code message.Code, at source.Span, format string, args ...any) *message.Message {
	m := message.New(code, at, format, args...)
	l.messages = append(l.messages, m)
	return m
}
