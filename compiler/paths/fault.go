package paths

import (
	"fmt"
	"slices"
	"strings"

	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// fault tells of something wrong under a condition, where that can hold here.
// It gives true where it can, told now or before: the state then goes on as if
// mended.
func (e *engine) fault(code message.Code, at source.Span, of any, bad ref, build func() *message.Message) bool {
	if bad == no || e.stopped || !e.possible(bad) {
		return false
	}
	key := toldKey{code, at, of}
	if e.told[key] || len(e.told) >= maxFaults {
		return true
	}
	e.told[key] = true
	m := build()
	if len(e.via) > 0 {
		m.Relate(e.via[len(e.via)-1], "in %s, performed here", quoted(e.proc.Name))
	}
	if e.given == nil {
		e.example(m, bad, at)
	}
	e.result.Messages = append(e.result.Messages, m)
	if e.until != nil && e.until(m) {
		e.stopped = true
	}
	return true
}

// because tells of a fault once for what caused it: of, and where that came to
// be as it is. Other places where it shows are related places of the first.
func (e *engine) because(code message.Code, at source.Span, of any, cause source.Span, bad ref, build func() *message.Message) bool {
	if bad == no || e.stopped || !e.possible(bad) {
		return false
	}
	key := causeKey{toldKey{code, cause, of}}
	if m := e.causes[key]; m != nil {
		if m.Span != at && !slices.ContainsFunc(m.Related, func(r message.Related) bool { return r.Span == at }) {
			m.Relate(at, "%s", alsoHere)
		}
		return true
	}
	before := len(e.result.Messages)
	wrong := e.fault(code, at, of, bad, build)
	if len(e.result.Messages) > before {
		e.causes[key] = e.result.Messages[before]
	}
	return wrong
}

// alsoHere marks the other places where one cause shows.
const alsoHere = "and here"

// example adds the path that leads to a fault, with values that the
// instruments can show.
func (e *engine) example(m *message.Message, bad ref, at source.Span) {
	cond := e.everything(bad)
	solution, ok := e.space.solve(cond, e.prefer)
	if !ok {
		return
	}
	c := e.replay(solution, m.Code, at)
	if words := e.words(solution, c); words != "" {
		m.Note("when %s", words)
	} else {
		m.Note("on every path")
	}
	m.Path = pathOf(e.proc, c)
}

// prefer gives the values of a variable in the order an example should try them.
func (e *engine) prefer(v int32) []int {
	out := make([]int, e.space.sizes[v])
	for i := range out {
		out[i] = i
	}
	return out
}

// words prints what a solution asks for in the reader's terms, with the values
// of the example.
func (e *engine) words(solution map[int32]int, c *Case) string {
	asked := map[library.Symbol]bool{}
	for v := range solution {
		if ch := e.choices[v]; ch.member != nil {
			asked[ch.member] = true
		} else {
			asked[ch.of] = true
		}
	}
	var parts []string
	for _, m := range c.Members {
		if asked[m.Variant] {
			parts = append(parts, m.Variant.Name+" is "+m.Name)
		}
	}
	seen := map[library.Symbol]bool{}
	const most = 12
	more := 0
	for _, ch := range e.choices {
		if ch.member != nil || !asked[ch.of] || seen[ch.of] {
			continue
		}
		seen[ch.of] = true
		var values []string
		switch of := ch.of.(type) {
		case *library.Reading:
			for _, v := range c.Values[of] {
				values = append(values, showReading(of, v))
			}
		case *library.Question:
			for _, a := range c.Answers[of] {
				values = append(values, a.Name)
			}
		}
		switch {
		case len(values) == 0:
		case len(parts) >= most:
			more++
		default:
			parts = append(parts, ch.of.Declared().Name+" is "+strings.Join(values, ", then "))
		}
	}
	if more > 0 {
		parts = append(parts, fmt.Sprintf("%d more as the path asks", more))
	}
	if len(parts) > 1 {
		return strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
	}
	return strings.Join(parts, "")
}

func (e *engine) memberAt(v *library.Variant, i int) *library.Member {
	for _, a := range e.proc.Applies {
		if a.Variant == v {
			return a.Members[i]
		}
	}
	return v.Members[i]
}

// showReading prints a value of a reading to its instrument's resolution.
func showReading(r *library.Reading, v quantity.Number) string {
	return strings.ReplaceAll(ShowValue(r, v), quantity.NBSP, " ")
}

// ShowValue prints a value of a reading to the resolution of its instrument.
func ShowValue(r *library.Reading, v quantity.Number) string {
	q := quantity.New(v, r.Unit)
	if scale, _ := ScaleOf(r); !scale.Continuous() {
		if places := scale.Step.Places(); places >= 0 && v.Places() >= 0 {
			return q.Format(max(places, v.Places()))
		}
	}
	return q.String()
}

// replay works out all values of an example, by walking its one path until
// the fault: what the solution leaves open takes the first value.
func (e *engine) replay(solution map[int32]int, code message.Code, at source.Span) *Case {
	r := &replayer{engine: newEngine(e.ground), from: e, solution: solution}
	return r.run(code, at)
}

// A replayer walks one path of an engine's solution and notes what it takes.
type replayer struct {
	*engine
	from     *engine
	solution map[int32]int
}

func (r *replayer) run(code message.Code, at source.Span) *Case {
	c := &Case{Values: map[*library.Reading][]quantity.Number{}, Answers: map[*library.Question][]*library.Answer{}}
	type taking struct {
		of    library.Symbol
		at    source.Span
		turns string
	}
	chosen := map[taking]int{}
	var members []*library.Member
	for v, ch := range r.from.choices {
		value, solved := r.solution[int32(v)]
		if ch.member != nil {
			members = append(members, r.from.memberAt(ch.member, value))
			continue
		}
		if solved {
			chosen[taking{ch.of, ch.at, fmt.Sprint(ch.turns)}] = value
		}
	}
	c.Members = members
	eng := r.engine
	eng.given = c
	eng.result.trace = newTrace()
	eng.supply = func(of library.Symbol, at source.Span, turns []int) {
		value, ok := chosen[taking{of, at, fmt.Sprint(turns)}]
		// Turns that were not walked go as the last one that was.
		back := slices.Clone(turns)
		for i := len(back) - 1; i >= 0 && !ok; i-- {
			for back[i] > 0 && !ok {
				back[i]--
				value, ok = chosen[taking{of, at, fmt.Sprint(back)}]
			}
		}
		switch of := of.(type) {
		case *library.Reading:
			atoms := r.from.atoms[of]
			var v quantity.Number
			switch {
			case len(atoms) == 0:
				scale, _ := ScaleOf(of)
				v, _ = scale.Middle(quantity.All())
			case ok:
				v = atoms[value].sample
			default:
				v = atoms[r.from.easiest(of)].sample
			}
			c.Values[of] = append(c.Values[of], v)
		case *library.Question:
			if !ok {
				value = r.from.readiest(of)
			}
			c.Answers[of] = append(c.Answers[of], of.Answers[value])
		}
	}
	eng.until = func(m *message.Message) bool { return m.Code == code && m.Span == at }
	eng.walk()
	return c
}

// pathOf writes a case as the values of a trial.
func pathOf(p *library.Procedure, c *Case) *message.Path {
	out := &message.Path{Procedure: p.Name}
	for _, m := range c.Members {
		out.Values = append(out.Values, message.PathValue{Name: m.Variant.Name, Values: []string{m.Name}})
	}
	for _, reading := range p.Readings {
		var list []string
		for _, v := range c.Values[reading] {
			list = append(list, v.String()+" "+reading.Unit.Code)
		}
		if list != nil {
			out.Values = append(out.Values, message.PathValue{Name: reading.Name, Values: list})
		}
	}
	for _, q := range p.Questions {
		var list []string
		for _, a := range c.Answers[q] {
			list = append(list, a.Name)
		}
		if list != nil {
			out.Values = append(out.Values, message.PathValue{Name: q.Name, Values: list})
		}
	}
	return out
}

// easiest picks the atom of a reading that ends repeats and goes on.
func (e *engine) easiest(r *library.Reading) int {
	best, most := 0, -1
	for i, n := range e.ease(r) {
		if n > most {
			best, most = i, n
		}
	}
	return best
}

// readiest picks the answer that ends repeats, else the first.
func (e *engine) readiest(q *library.Question) (best int) {
	each(e.proc.Body, func(f library.Flow) {
		if u, ok := f.(*library.Until); ok && u.Question == q && best == 0 {
			best = u.Answers[0].Index
		}
	})
	return best
}

// ease tells for each atom of a reading how often it ends a repeat or is accepted.
func (e *engine) ease(r *library.Reading) []int {
	out := make([]int, len(e.atoms[r]))
	each(e.proc.Body, func(f library.Flow) {
		switch f := f.(type) {
		case *library.Until:
			if j := e.untils[f]; f.Reading == r && len(j.in) > 0 {
				for i := range out {
					if j.in[0][0][i] {
						out[i] += 2
					}
				}
			}
		case *library.Decide:
			if j := e.decisions[f]; f.Reading == r && len(j.in) > 0 {
				for k, br := range f.Branches {
					for i := range out {
						if br.Accept && j.in[0][k][i] {
							out[i]++
						}
					}
				}
			}
		}
	})
	return out
}
