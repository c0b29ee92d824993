package paths

import (
	"slices"
	"strconv"

	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
	"benchproof/dsl/source"
)

// A side is one of two versions of a procedure that are walked over the same
// inputs: members of families, and the first, second, … taking of each reading
// and answer. Which taking of a reading this is may differ from path to path,
// so that is a fact like any other.
type side struct {
	*product
	version Version
	// alone is what a walk of this version by itself stands on.
	alone  *ground
	engine *engine
	// unwalked tells that turns of a repeat were taken to be like the last one.
	unwalked bool
	// ways name the branches that both versions have.
	ways map[source.Span]string
	// endings are the conditions under which a finish is met, and what held there.
	endings []ending
}

// An ending is one finish as one walk of it met it.
type ending struct {
	cond   ref
	finish string
	s      *state
}

// A product is the inputs that two versions have in common.
type product struct {
	space  *space
	old    *side
	new    *side
	inputs []sharedInput // by variable
	// takes finds the variable of a taking.
	takes map[takingKey]int32
	// cells are the parts of a reading that no limit of either version cuts.
	cells map[string][]atom
	units map[string]*quantity.Unit
	// answers are those that both versions offer.
	answers map[string][]string
	members map[string]int32
	// partial is why an input of one version may not be one of the other.
	partial []string
}

type takingKey struct {
	of  string
	nth int
}

// A sharedInput is what a variable stands for.
type sharedInput struct {
	variant string
	members []string
	of      string
	nth     int
}

// variable makes a variable for an input.
func (p *product) variable(size int, in sharedInput) int32 {
	v := p.space.variable(size)
	p.inputs = append(p.inputs, in)
	return v
}

// over makes a diagram that takes a value for each of a variable's own.
func (p *product) over(v int32, values []int) ref {
	kids := make([]ref, len(values))
	for i, x := range values {
		kids[i] = constant(x)
	}
	return p.space.node(v, kids)
}

// families makes the variables of the members; false where the versions have no
// member of a family in common.
func (p *product) families() bool {
	keys := func(s *side, a library.Applies) []string {
		var out []string
		for _, m := range a.Members {
			out = append(out, s.version.Key(m))
		}
		return out
	}
	for _, s := range []*side{p.old, p.new} {
		for _, a := range s.version.Procedure.Applies {
			key := s.version.Key(a.Variant)
			if _, known := p.members[key]; known || len(a.Members) == 0 {
				continue
			}
			list := keys(s, a)
			if s == p.old {
				for _, b := range p.new.version.Procedure.Applies {
					if p.new.version.Key(b.Variant) == key {
						theirs := keys(p.new, b)
						list = slices.DeleteFunc(list, func(m string) bool { return !slices.Contains(theirs, m) })
					}
				}
			}
			if len(list) == 0 {
				return false
			}
			p.members[key] = p.variable(len(list), sharedInput{variant: key, members: list})
		}
	}
	return true
}

// member gives which of its members a variant is.
func (s *side) member(a library.Applies) ref {
	if len(a.Members) == 0 {
		return constant(0)
	}
	v := s.members[s.version.Key(a.Variant)]
	var own []int
	for _, key := range s.inputs[v].members {
		own = append(own, slices.IndexFunc(a.Members, func(m *library.Member) bool { return s.version.Key(m) == key }))
	}
	return s.over(v, own)
}

// A limited is a reading and the ranges of one version that judge it, as they
// are acted on, in the unit of the old version's reading.
type limited struct {
	reading *library.Reading
	scale   quantity.Scale
}

// prepare cuts every reading that both versions take at every limit of either,
// and finds the answers that both offer.
func (p *product) prepare() {
	find := func(s *side) (map[string]limited, []string) {
		out := map[string]limited{}
		var order []string
		for _, r := range s.version.Procedure.Readings {
			scale, _ := ScaleOf(r)
			key := s.version.Key(r)
			if _, known := out[key]; !known {
				order = append(order, key)
			}
			out[key] = limited{r, scale}
		}
		return out, order
	}
	olds, order := find(p.old)
	news, more := find(p.new)
	for _, key := range append(order, more...) {
		if p.cells[key] != nil || slices.Contains(p.partial, key) {
			continue
		}
		o, inOld := olds[key]
		n, inNew := news[key]
		var scale quantity.Scale
		switch {
		case inOld && inNew && o.reading.Unit.Dimension == n.reading.Unit.Dimension:
			p.units[key] = o.reading.Unit
			theirs, err := quantity.ScaleIn(n.scale, n.reading.Unit, o.reading.Unit)
			var ok bool
			if scale, ok = common(o.scale, theirs); err != nil || !ok {
				p.partial = append(p.partial, key)
				p.apart(key)
				continue
			}
		case inOld && inNew:
			p.partial = append(p.partial, key)
			p.apart(key)
			continue
		case inOld:
			p.units[key], scale = o.reading.Unit, o.scale
		default:
			p.units[key], scale = n.reading.Unit, n.scale
		}
		p.cut(key, scale)
	}
	for _, q := range p.old.version.Procedure.Questions {
		p.offer(p.old, q)
	}
	for _, q := range p.new.version.Procedure.Questions {
		p.offer(p.new, q)
	}
}

// apart lets each version have a reading of its own where the two have no value
// in common: what the one reads says nothing of the other.
func (p *product) apart(key string) {
	p.old.own(key)
	p.new.own(key)
}

// own keeps the parts that a version alone tells apart.
func (s *side) own(key string) {
	for _, r := range s.version.Procedure.Readings {
		if s.version.Key(r) == key {
			k := s.apartKey(key)
			s.cells[k], s.units[k] = s.engine.atoms[r], r.Unit
		}
	}
}

func (s *side) apartKey(key string) string {
	if s == s.old {
		return "old " + key
	}
	return "new " + key
}

// key is the name under which this version's takings of something are known.
func (s *side) key(of library.Symbol) string {
	key := s.version.Key(of)
	if slices.Contains(s.partial, key) {
		return s.apartKey(key)
	}
	return key
}

// common gives the values that two instruments can both show; ok is false where
// there are none.
func common(a, b quantity.Scale) (quantity.Scale, bool) {
	out := a
	switch {
	case a.Endless:
		out = b
	case !b.Endless:
		if b.From.Cmp(out.From) > 0 {
			out.From = b.From
		}
		if b.To.Cmp(out.To) < 0 {
			out.To = b.To
		}
	}
	switch {
	case a.Endless && b.Endless:
	case a.Step.Sign() == 0:
		out.Step, out.Origin = b.Step, b.Origin
	case b.Step.Sign() == 0:
		out.Step, out.Origin = a.Step, a.Origin
	default:
		step, ok := multiple(a.Step, b.Step)
		if !ok || !a.Origin.Sub(b.Origin).Quo(step).IsInt() {
			return out, false
		}
		out.Step, out.Origin = step, a.Origin
	}
	return out, out.Endless || out.ShowsAny(quantity.All())
}

// multiple gives the least value that is a whole number of both steps; ok is
// false where that is more than ten thousand of one.
func multiple(a, b quantity.Number) (quantity.Number, bool) {
	if a.Cmp(b) < 0 {
		a, b = b, a
	}
	for k := int64(1); k <= 10_000; k++ {
		if m := a.Mul(quantity.NewInt(k)); m.Quo(b).IsInt() {
			return m, true
		}
	}
	return a, false
}

// cut parts the values of a reading at every limit of both versions, for every
// member. Which part lies in which range is noted in both engines.
func (p *product) cut(key string, scale quantity.Scale) {
	parts := []quantity.Set{quantity.SetOf(scale, quantity.All())}
	seen := map[string]bool{}
	type judgement struct {
		of   *judged
		sets [][]quantity.Set
	}
	var list []judgement
	for _, s := range []*side{p.old, p.new} {
		each(s.version.Procedure.Body, func(f library.Flow) {
			var r *library.Reading
			var j *judged
			var acting func(a library.Assignment) ([]quantity.Acting, bool)
			switch f := f.(type) {
			case *library.Decide:
				r, j = f.Reading, s.engine.decisions[f]
				acting = func(a library.Assignment) ([]quantity.Acting, bool) { return Acting(s.version.Library, f, a) }
			case *library.Until:
				r, j = f.Reading, s.engine.untils[f]
				acting = func(a library.Assignment) ([]quantity.Acting, bool) {
					x, ok := ActingUntil(s.version.Library, f, a)
					return []quantity.Acting{x}, ok
				}
			}
			if r == nil || j == nil || s.version.Key(r) != key {
				return
			}
			x := judgement{of: j}
			for k, a := range j.assignments {
				sets := make([]quantity.Set, len(j.in[k]))
				if ranges, ok := acting(a); ok {
					for i, rg := range ranges {
						if !rg.Emptied {
							sets[i] = quantity.SetOf(scale, inUnit(rg.Range, r.Unit, p.units[key]))
						}
					}
				}
				x.sets = append(x.sets, sets)
			}
			list = append(list, x)
		})
	}
	for _, x := range list {
		for _, sets := range x.sets {
			for _, set := range sets {
				if k := set.Key(); !set.Empty() && !seen[k] {
					seen[k] = true
					parts = cutAt(parts, set)
				}
			}
		}
	}
	var cells []atom
	for _, part := range parts {
		if !part.Empty() {
			cells = append(cells, atom{part, part.Sample()})
		}
	}
	if len(cells) == 0 {
		cells = []atom{{}}
	}
	p.cells[key] = cells
	for _, x := range list {
		for k, sets := range x.sets {
			for i, set := range sets {
				in := make([]bool, len(cells))
				for c, cell := range cells {
					in[c] = !cell.set.Intersect(set).Empty()
				}
				x.of.in[k][i] = in
			}
		}
	}
}

// inUnit carries a range from one unit into another of the same dimension.
func inUnit(r quantity.Range, from, to *quantity.Unit) quantity.Range {
	if from == to {
		return r
	}
	return r.Map(func(v quantity.Number) quantity.Number {
		out, err := quantity.New(v, from).In(to)
		if err != nil {
			return v
		}
		return out
	})
}

// offer notes the answers to a question that both versions offer, or that the
// only one that asks it does.
func (p *product) offer(s *side, q *library.Question) {
	key := s.version.Key(q)
	if p.answers[key] != nil || slices.Contains(p.partial, key) {
		return
	}
	list := s.answersOf(q)
	if s == p.old {
		for _, other := range p.new.version.Procedure.Questions {
			if p.new.version.Key(other) != key {
				continue
			}
			theirs := p.new.answersOf(other)
			shared := slices.DeleteFunc(slices.Clone(list), func(a string) bool { return !slices.Contains(theirs, a) })
			if len(shared) == 0 {
				p.partial = append(p.partial, key)
				p.answers["old "+key], p.answers["new "+key] = list, theirs
				return
			}
			list = shared
		}
	}
	p.answers[key] = list
}

func (s *side) answersOf(q *library.Question) []string {
	var out []string
	for _, a := range q.Answers {
		out = append(out, s.version.Key(a))
	}
	return out
}

// share puts the common parts in the place of the engine's own.
func (s *side) share(e *engine) {
	for r := range e.atoms {
		if cells := s.cells[s.key(r)]; cells != nil {
			e.atoms[r] = cells
		}
	}
}

// take makes the diagram of a taking: on each path the input that its count asks for.
func (s *side) take(e *engine, of library.Symbol, a library.Action, st *state) {
	key := s.key(of)
	count := fact{takings, key, nil}
	have := e.get(st, count)
	var own []int
	switch of := of.(type) {
	case *library.Reading:
		for i := range max(1, len(e.atoms[of])) {
			own = append(own, i+1)
		}
	case *library.Question:
		for _, k := range s.answers[key] {
			own = append(own, 1+slices.IndexFunc(of.Answers, func(a *library.Answer) bool { return s.version.Key(a) == k }))
		}
	}
	if len(own) == 0 {
		own = []int{1}
	}
	value := constant(own[0])
	if len(own) > 1 {
		for _, nth := range e.space.values(have) {
			k := takingKey{key, nth}
			v, known := s.takes[k]
			if !known {
				v = s.variable(len(own), sharedInput{of: key, nth: nth})
				s.takes[k] = v
			}
			value = e.space.pick(e.space.is(have, nth), s.over(v, own), value)
		}
	}
	e.set(st, fact{taken, of, nil}, value, a.At())
	e.set(st, count, e.space.change(have, func(n int) int { return n + 1 }), a.At())
}

// note adds to a fact that is kept for the comparison.
func (s *side) note(e *engine, kind factKind, of library.Symbol, when ref, n int, st *state) {
	f := fact{kind, s.version.Key(of), nil}
	have := e.get(st, f)
	now := constant(n)
	if kind == everFitted {
		now = e.space.change(have, func(v int) int { return v + n })
	}
	e.set(st, f, e.space.pick(when, now, have), e.proc.Span)
}

// uses notes the tools and consumables of an action.
func (s *side) uses(e *engine, a library.Action, st *state) {
	for _, it := range ToolsOf(a) {
		for _, t := range e.thingsOf(it) {
			if _, part := t.thing.(*library.Part); !part {
				s.note(e, everUsed, t.thing, t.when, 1, st)
			}
		}
	}
}

// did notes a step that both versions have.
func (s *side) did(e *engine, f *library.Step, st *state) {
	if key := s.version.Place(f); key != "" {
		e.set(st, fact{everDone, key, nil}, constant(1), f.At())
	}
}

// went notes that a branch is taken, that a repeat ends, or that it runs out.
func (s *side) went(e *engine, at source.Span, st *state) {
	e.set(st, fact{everWent, s.wayOf(at), nil}, constant(1), at)
}

// wayOf names a branch.
func (s *side) wayOf(at source.Span) string {
	if way, ok := s.ways[at]; ok {
		return way
	}
	return s.apartKey(strconv.Itoa(at.Start))
}

// ended notes that a finish is met.
func (s *side) ended(e *engine, f *library.Finish, st *state) {
	key := "end"
	if f != nil {
		if key = s.version.Place(f); key == "" {
			key = s.apartKey(f.Outcome + " " + strconv.Itoa(f.Span.Start))
		}
	}
	s.endings = append(s.endings, ending{e.everything(yes), key, st.clone()})
}
