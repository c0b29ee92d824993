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

// example adds the path that leads to a fault, with values that the
// instruments can show.
func (e *engine) example(m *message.Message, bad ref, at source.Span) {
	cond := e.everything(bad)
	solution, ok := e.space.solve(cond, e.prefer)
	if !ok {
		return
	}
	if words := e.words(solution); words != "" {
		m.Note("when %s", words)
	} else {
		m.Note("on every path")
	}
	m.Path = e.replay(solution, m.Code, at)
}

// prefer gives the values of a variable in the order an example should try them.
func (e *engine) prefer(v int32) []int {
	out := make([]int, e.space.sizes[v])
	for i := range out {
		out[i] = i
	}
	return out
}

// words prints a solution in the reader's terms.
func (e *engine) words(solution map[int32]int) string {
	vars := make([]int32, 0, len(solution))
	for v := range solution {
		vars = append(vars, v)
	}
	slices.Sort(vars)
	type clause struct {
		name   string
		values []string
	}
	var clauses []clause
	for _, v := range vars {
		name, value := e.printed(v, solution[v])
		i := slices.IndexFunc(clauses, func(c clause) bool { return c.name == name })
		if i < 0 {
			clauses = append(clauses, clause{name, []string{value}})
		} else {
			clauses[i].values = append(clauses[i].values, value)
		}
	}
	const most = 12
	var parts []string
	for i, c := range clauses {
		if i == most {
			parts = append(parts, fmt.Sprintf("%d more as the path asks", len(clauses)-most))
			break
		}
		parts = append(parts, c.name+" is "+strings.Join(c.values, ", then "))
	}
	if len(parts) > 1 {
		return strings.Join(parts[:len(parts)-1], ", ") + " and " + parts[len(parts)-1]
	}
	return strings.Join(parts, "")
}

// printed gives the name and value of a variable as a reader knows them.
func (e *engine) printed(v int32, value int) (name, text string) {
	c := e.choices[v]
	if c.member != nil {
		return c.member.Name, e.memberAt(c.member, value).Name
	}
	switch of := c.of.(type) {
	case *library.Reading:
		return of.Name, showReading(of, e.atoms[of][value].sample)
	case *library.Question:
		return of.Name, of.Answers[value].Name
	}
	return "", ""
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
func (e *engine) replay(solution map[int32]int, code message.Code, at source.Span) *message.Path {
	r := &replayer{engine: newEngine(e.lib, e.proc), from: e, solution: solution}
	return r.run(code, at)
}

// A replayer walks one path of an engine's solution and notes what it takes.
type replayer struct {
	*engine
	from     *engine
	solution map[int32]int
}

func (r *replayer) run(code message.Code, at source.Span) *message.Path {
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
				value = 0
			}
			c.Answers[of] = append(c.Answers[of], of.Answers[value])
		}
	}
	eng.until = func(m *message.Message) bool { return m.Code == code && m.Span == at }
	eng.walk()
	out := &message.Path{Procedure: r.from.proc.Name}
	for _, m := range members {
		out.Values = append(out.Values, message.PathValue{Name: m.Variant.Name, Values: []string{m.Name}})
	}
	for _, reading := range r.from.proc.Readings {
		var list []string
		for _, v := range c.Values[reading] {
			list = append(list, v.String()+" "+reading.Unit.Code)
		}
		if list != nil {
			out.Values = append(out.Values, message.PathValue{Name: reading.Name, Values: list})
		}
	}
	for _, q := range r.from.proc.Questions {
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
	for i := range e.atoms[r] {
		n := 0
		each(e.proc.Body, func(f library.Flow) {
			switch f := f.(type) {
			case *library.Until:
				if j := e.untils[f]; f.Reading == r && len(j.in) > 0 && j.in[0][0][i] {
					n += 2
				}
			case *library.Decide:
				if j := e.decisions[f]; f.Reading == r && len(j.in) > 0 {
					for k, br := range f.Branches {
						if j.in[0][k][i] && br.Accept {
							n++
						}
					}
				}
			}
		})
		if n > most {
			best, most = i, n
		}
	}
	return best
}
