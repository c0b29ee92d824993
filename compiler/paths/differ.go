package paths

import (
	"slices"
	"strings"

	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
	"benchproof/dsl/source"
)

// A Version is one of two procedures that Differ holds against each other.
type Version struct {
	Library   *library.Library
	Procedure *library.Procedure
	// Key gives the name under which both versions know what is declared:
	// families, members, readings, questions, answers, things, hazards.
	Key func(library.Symbol) string
	// Place gives the name under which both versions know a step or a finish;
	// it is empty for one that only this version has.
	Place func(library.Flow) string
	// Ways name the branches that both versions have, by where they stand, as
	// Trace.Branches has them.
	Ways map[source.Span]string
}

// A Matter is what two versions can differ in for one input.
type Matter string

// The matters, in the order in which they are told.
const (
	InFinish Matter = "finish" // another finish
	InPart   Matter = "part"   // a part fitted, or how many
	InTool   Matter = "tool"   // a tool or consumable used
	InHazard Matter = "hazard" // a hazard met
	InStep   Matter = "step"   // a step done that both versions have
)

// A Contrast is one thing that is otherwise for some input.
type Contrast struct {
	Matter Matter
	// Key names the part, tool, hazard or step. Of a finish it is empty.
	Key string
	// Old and New count it: parts fitted; 0 or 1 of the others. Of a finish they
	// mean nothing.
	Old, New int
}

// An Input is a value that a case depends on.
type Input struct {
	Member  *library.Member  // or
	Reading *library.Reading // or
	Answer  *library.Answer  // with its question
	Value   quantity.Number  // in the unit of Reading
	Among   []quantity.Range // of a reading: the values that go the same way
	Nth     int              // which taking, from 0
	// Usual is set for a reading that only lets the work go on.
	Usual bool
	Of    *library.Question // of Answer
}

// A Parting is an input for which two versions part.
type Parting struct {
	// Always is set where they part so on every input.
	Always bool
	// When are the values that this depends on; the old version's symbols where
	// it has them.
	When []Input
	// Old and New are the whole input as each version takes it.
	Old, New Case
	// OldTrace and NewTrace are what Follow says of it.
	OldTrace, NewTrace *Trace
	// OldWay and NewWay are the branches at which the versions first part, as
	// Version.Ways has them; the same where one of them finishes on the way that
	// both go; both empty where they go the same way and do something else on it.
	OldWay, NewWay string
	Contrasts      []Contrast
}

// A Difference is what two versions do differently over all inputs that both take.
type Difference struct {
	Partings []Parting
	// More is set where MostPartings did not hold all contrasts.
	More bool
	// Bounds say which inputs were not looked at, and why. Where it is empty
	// every input was.
	Bounds []string
}

const (
	// MostPartings bounds the inputs that Differ gives as examples.
	MostPartings = 12
	// maxDiffer bounds the diagrams of a comparison, in operations.
	maxDiffer = 4_000_000
)

// Differ walks two versions of a procedure, neither of which has an error, over
// the same inputs: the members of families, and the values of successive
// takings of every reading and answer. Where both take a reading its values are
// cut at every limit of either version, so that no value is left out; inputs of
// one version alone are left free. The result is empty where no input tells the
// versions apart. Each example is walked again by Follow.
func Differ(old, new Version) *Difference {
	out := &Difference{}
	p := &product{
		space: newSpace(), takes: map[takingKey]int32{}, cells: map[string][]atom{}, units: map[string]*quantity.Unit{},
		answers: map[string][]string{}, members: map[string]int32{},
	}
	p.space.most = maxDiffer
	p.old, p.new = &side{product: p, version: old, ways: old.Ways}, &side{product: p, version: new, ways: new.Ways}
	defer func() {
		if r := recover(); r != nil {
			if _, ours := r.(tooMany); !ours {
				panic(r)
			}
			out.Bounds = append(out.Bounds, "the two versions are too intricate to be compared on every input")
		}
	}()
	if !p.families() {
		out.Bounds = append(out.Bounds, "the two versions apply to no member in common")
		return out
	}
	for _, s := range []*side{p.old, p.new} {
		s.alone = newGround(s.version.Library, s.version.Procedure)
		s.engine = newEngine(newGround(s.version.Library, s.version.Procedure))
		s.engine.both, s.engine.space = s, p.space
		s.engine.variants()
	}
	p.prepare()
	for _, s := range []*side{p.old, p.new} {
		s.engine.walk()
		if s.engine.stopped {
			out.Bounds = append(out.Bounds, "the two versions are too intricate to be compared on every input")
			return out
		}
	}
	if p.old.unwalked || p.new.unwalked {
		out.Bounds = append(out.Bounds, "of repeats with more than 50 turns the first 50 were compared")
	}
	for _, key := range p.partial {
		out.Bounds = append(out.Bounds, "what "+bare(key)+" is in one version can not be the same in the other: its values were taken to be independent")
	}
	p.partings(out)
	return out
}

// bare gives the name in a key of the form "sort name".
func bare(key string) string { return key[strings.LastIndexByte(key, ' ')+1:] }

// A contrasted is something that may differ, and when it does.
type contrasted struct {
	Contrast
	old, new, when ref
}

// An outcome is what one version does, over all inputs.
type outcome struct {
	over   ref
	finish ref
	facts  map[fact]ref
}

// outcome gathers what held at the finishes.
func (s *side) outcome(finishes map[string]int) outcome {
	o := outcome{no, constant(0), map[fact]ref{}}
	for _, e := range s.endings {
		if finishes[e.finish] == 0 {
			finishes[e.finish] = len(finishes) + 1
		}
		o.over = s.space.or(o.over, e.cond)
		o.finish = s.space.pick(e.cond, constant(finishes[e.finish]), o.finish)
		for k, f := range s.engine.list {
			if f.kind < everFitted {
				continue
			}
			r := s.engine.begin[k]
			if k < len(e.s.facts) {
				r = e.s.facts[k]
			}
			o.facts[f] = s.space.pick(e.cond, r, o.of(f))
		}
	}
	return o
}

// of gives a fact at the finish; what never came to be is nothing.
func (o *outcome) of(f fact) ref {
	if r, ok := o.facts[f]; ok {
		return r
	}
	return constant(0)
}

// contrasts gives what differs, and when; finishes first.
func (p *product) contrasts(a, b *outcome) []contrasted {
	seen := map[fact]bool{}
	var order []fact
	for _, o := range []*outcome{a, b} {
		for f := range o.facts {
			if f.kind != everWent && !seen[f] {
				seen[f] = true
				order = append(order, f)
			}
		}
	}
	slices.SortFunc(order, func(a, b fact) int {
		if a.kind != b.kind {
			return int(a.kind) - int(b.kind)
		}
		return strings.Compare(a.of.(string), b.of.(string))
	})
	both := p.space.and(a.over, b.over)
	var out []contrasted
	add := func(m Matter, key string, a, b ref) {
		if when := p.space.and(both, p.space.differ(a, b)); when != no {
			out = append(out, contrasted{Contrast{Matter: m, Key: key}, a, b, when})
		}
	}
	add(InFinish, "", a.finish, b.finish)
	matters := map[factKind]Matter{everFitted: InPart, everUsed: InTool, everMet: InHazard, everDone: InStep}
	for _, f := range order {
		add(matters[f.kind], f.of.(string), a.of(f), b.of(f))
	}
	return out
}

// partings gives examples until every contrast is in one of them, or comes of
// two ways parting that an example has shown to part.
func (p *product) partings(out *Difference) {
	finishes := map[string]int{}
	old, new := p.old.outcome(finishes), p.new.outcome(finishes)
	list := p.contrasts(&old, &new)
	left := make([]ref, len(list))
	for i, c := range list {
		left[i] = c.when
	}
	for {
		at := slices.IndexFunc(left, func(r ref) bool { return r != no })
		if at < 0 {
			return
		}
		if len(out.Partings) == MostPartings {
			out.More = true
			return
		}
		always := left[at] == yes
		x, solution, here, full := p.example(list, left[at])
		region := p.apartAt(x.OldWay, x.NewWay, &old, &new)
		// What leads to the fork, or to these finishes where there is none, is what
		// the example depends on; what comes behind it is not.
		narrow := p.space.and(left[at], region)
		if c := list[at]; region == no && c.Matter == InFinish {
			pair := p.space.and(p.space.is(c.old, p.space.at(c.old, full)), p.space.is(c.new, p.space.at(c.new, full)))
			narrow = p.space.and(left[at], pair)
		}
		if narrow != no {
			x, solution, here, full = p.example(list, narrow)
		}
		x.Always = always
		p.inputsOf(&x, solution)
		out.Partings = append(out.Partings, x)
		for i := range left {
			left[i] = p.space.and(left[i], p.space.not(region))
		}
		for _, i := range here {
			c := list[i]
			if c.Matter != InFinish {
				left[i] = no
				continue
			}
			// A finish is told for each pair of finishes.
			same := p.space.and(p.space.is(c.old, p.space.at(c.old, full)), p.space.is(c.new, p.space.at(c.new, full)))
			left[i] = p.space.and(left[i], p.space.not(same))
		}
	}
}

// example makes a parting of inputs on which a condition holds: the values it
// needs, the contrasts that it shows, and its value for every input.
func (p *product) example(list []contrasted, cond ref) (x Parting, solution map[int32]int, here []int, full func(v int32) int) {
	solution, _ = p.space.solve(cond, p.old.engine.prefer)
	full = func(v int32) int {
		if value, ok := solution[v]; ok {
			return value
		}
		return p.usual(v)
	}
	for i, c := range list {
		if p.space.at(c.when, full) == 0 {
			continue
		}
		c.Old, c.New = p.space.at(c.old, full), p.space.at(c.new, full)
		x.Contrasts = append(x.Contrasts, c.Contrast)
		here = append(here, i)
	}
	x.Old, x.New = p.old.replay(full), p.new.replay(full)
	_, x.OldTrace = p.old.alone.follow(x.Old)
	_, x.NewTrace = p.new.alone.follow(x.New)
	x.OldWay, x.NewWay = p.fork(&x)
	return x, solution, here, full
}

// fork finds the ways at which two paths first part: branches that both
// versions have, or the last one that only one has before the paths part.
func (p *product) fork(x *Parting) (old, new string) {
	type trail struct {
		shared []string
		own    []string // behind each shared way, the last that this version has alone
	}
	read := func(s *side, t *Trace) trail {
		out := trail{own: []string{""}}
		for _, at := range t.Branches {
			way := s.wayOf(at)
			if _, shared := s.ways[at]; shared {
				out.shared = append(out.shared, way)
				out.own = append(out.own, "")
			} else {
				out.own[len(out.own)-1] = way
			}
		}
		return out
	}
	a, b := read(p.old, x.OldTrace), read(p.new, x.NewTrace)
	n := 0
	for n < len(a.shared) && n < len(b.shared) && a.shared[n] == b.shared[n] {
		n++
	}
	if n == len(a.shared) && n == len(b.shared) && !slices.ContainsFunc(x.Contrasts, func(c Contrast) bool { return c.Matter == InFinish }) {
		return "", ""
	}
	// Where a version has finished on the way that both went last, all that goes
	// that way parts.
	ended := func(t trail) bool { return n == len(t.shared) && t.own[n] == "" }
	if n > 0 && (ended(a) || ended(b)) {
		return a.shared[n-1], a.shared[n-1]
	}
	pick := func(t trail) string {
		if n < len(t.shared) {
			return t.shared[n]
		}
		return t.own[n]
	}
	return pick(a), pick(b)
}

// apartAt gives the inputs on which the old version goes one way and not the
// other, and the new version the other and not the one; or on which both go the
// one way that is given twice.
func (p *product) apartAt(oldWay, newWay string, old, new *outcome) ref {
	if oldWay == "" && newWay == "" {
		return no
	}
	if oldWay == newWay {
		f := fact{everWent, oldWay, nil}
		return p.space.and(p.space.is(old.of(f), 1), p.space.is(new.of(f), 1))
	}
	cond := yes
	for _, w := range []struct {
		way         string
		goes, other *outcome
	}{{oldWay, old, new}, {newWay, new, old}} {
		if w.way != "" {
			f := fact{everWent, w.way, nil}
			cond = p.space.and(cond, p.space.and(p.space.is(w.goes.of(f), 1), p.space.is(w.other.of(f), 0)))
		}
	}
	return cond
}

// usual is the value of an input that does not matter: one that ends repeats
// and is accepted, in both versions where both take it.
func (p *product) usual(v int32) int {
	best, most := 0, -1
	for i, n := range p.eases(v) {
		if n > most {
			best, most = i, n
		}
	}
	return best
}

// eases tells for each value of a reading how far it lets the work go on in the
// version where it does so less; nothing for other inputs.
func (p *product) eases(v int32) []int {
	in := p.inputs[v]
	if in.variant != "" {
		return nil
	}
	var out []int
	for _, s := range []*side{p.old, p.new} {
		for _, r := range s.version.Procedure.Readings {
			if s.key(r) != in.of {
				continue
			}
			list := s.engine.ease(r)
			for i := range list {
				if i < len(out) {
					list[i] = min(list[i], out[i])
				}
			}
			out = list
		}
	}
	return out
}

// isUsual tells that a value of a reading lets the work go on as far as any
// does, in both versions.
func (p *product) isUsual(v int32, value int) bool {
	list := p.eases(v)
	return value < len(list) && list[value] > 0 && list[value] == slices.Max(list)
}

// inputsOf tells what an example depends on, in the order of the inputs.
func (p *product) inputsOf(x *Parting, solution map[int32]int) {
	for v, in := range p.inputs {
		value, asked := solution[int32(v)]
		if !asked {
			continue
		}
		for _, s := range []*side{p.old, p.new} {
			if i, ok := s.inputAs(in, value); ok {
				i.Usual = p.isUsual(int32(v), value)
				x.When = append(x.When, i)
				break
			}
		}
	}
}

// inputAs gives an input as one version knows it.
func (s *side) inputAs(in sharedInput, value int) (Input, bool) {
	proc := s.version.Procedure
	if in.variant != "" {
		for _, a := range proc.Applies {
			for _, m := range a.Members {
				if s.version.Key(a.Variant) == in.variant && s.version.Key(m) == in.members[value] {
					return Input{Member: m}, true
				}
			}
		}
		return Input{}, false
	}
	for _, r := range proc.Readings {
		if s.key(r) == in.of {
			cell := s.cells[in.of][value]
			out := Input{Reading: r, Value: s.valueOf(r, cell.sample), Nth: in.nth}
			for _, rg := range cell.set.Ranges() {
				out.Among = append(out.Among, inUnit(rg, s.units[in.of], r.Unit))
			}
			return out, true
		}
	}
	for _, q := range proc.Questions {
		if s.key(q) == in.of {
			for _, a := range q.Answers {
				if s.version.Key(a) == s.answers[in.of][value] {
					return Input{Answer: a, Of: q, Nth: in.nth}, true
				}
			}
		}
	}
	return Input{}, false
}

// valueOf carries a shared value into the unit of this version's reading.
func (s *side) valueOf(r *library.Reading, v quantity.Number) quantity.Number {
	unit := s.units[s.key(r)]
	if unit == nil || unit == r.Unit {
		return v
	}
	out, err := quantity.New(v, unit).In(r.Unit)
	if err != nil {
		return v
	}
	return out
}

// replay works out the values that one version takes of an input.
func (s *side) replay(full func(v int32) int) Case {
	c := Case{Values: map[*library.Reading][]quantity.Number{}, Answers: map[*library.Question][]*library.Answer{}}
	proc := s.version.Procedure
	for _, a := range proc.Applies {
		if len(a.Members) == 0 {
			continue
		}
		in := s.inputs[s.members[s.version.Key(a.Variant)]]
		key := in.members[full(s.members[s.version.Key(a.Variant)])]
		for _, m := range a.Members {
			if s.version.Key(m) == key {
				c.Members = append(c.Members, m)
			}
		}
	}
	e := newEngine(s.alone)
	e.given = &c
	e.result.trace = newTrace()
	e.supply = func(of library.Symbol, _ source.Span, _ []int) {
		key := s.key(of)
		switch of := of.(type) {
		case *library.Reading:
			c.Values[of] = append(c.Values[of], s.reads(of, key, len(c.Values[of]), full))
		case *library.Question:
			value := 0
			if v, known := s.takes[takingKey{key, len(c.Answers[of])}]; known {
				value = full(v)
			}
			want := s.answers[key]
			for _, a := range of.Answers {
				if value < len(want) && s.version.Key(a) == want[value] {
					c.Answers[of] = append(c.Answers[of], a)
					return
				}
			}
		}
	}
	e.walk()
	return c
}

// reads gives the value of one taking of a reading.
func (s *side) reads(r *library.Reading, key string, nth int, full func(v int32) int) quantity.Number {
	cells := s.cells[key]
	if v, known := s.takes[takingKey{key, nth}]; known {
		return s.valueOf(r, cells[full(v)].sample)
	}
	if len(cells) > 0 {
		return s.valueOf(r, cells[0].sample)
	}
	scale, _ := ScaleOf(r)
	v, _ := scale.Middle(quantity.All())
	return v
}
