package draft

import (
	"strings"

	"benchproof/compiler/quantity"
)

// What has a value: tightening, drilling, tapping.

func (m *maker) tighten(st *step, p *phrase) {
	var rounds []token
	for _, x := range p.values {
		if dimension(x.t.unit) == quantity.Torque {
			rounds = append(rounds, *x.t)
		}
	}
	t := m.thingOf(st, p.object(), true)
	if t == nil || t.sort != part {
		t = m.focus
		if t == nil || t.sort != part {
			st.check("what is tightened? (tighten … to " + amountText(&rounds[0]) + " with …)")
			return
		}
		if p.object() != nil && p.object().pronoun == "" {
			st.check("is it the " + t.title() + " that is tightened?")
		}
	}
	with := m.wrench(st, p)
	a := st.add(&action{verb: "tighten", thing: t, other: with, values: rounds, count: t.count})
	if c := p.object(); c != nil && c.count > 0 {
		a.count = c.count
	}
	if p.words["crosswise"] || p.words["crossways"] || p.words["diagonally"] {
		a.extra = "crosswise"
	}
	m.focus = t
}

func (m *maker) wrench(st *step, p *phrase) *thing {
	names := []*name{p.behind("with", "using")}
	for _, o := range p.objects {
		if h := o.head(); h == "wrench" || h == "driver" || h == "screwdriver" {
			names = append(names, o) // in catchwords, without "with"
		}
	}
	for _, n := range names {
		if n == nil {
			continue
		}
		if t := m.toolOf(st, n); t != nil && t.sort == tool {
			m.torque = t
			return t
		}
	}
	if m.torque != nil {
		st.check("with the " + m.torque.title() + "? the talk does not say")
		return m.torque
	}
	m.torque = m.find([]string{"torque", "wrench"})
	if m.torque == nil {
		m.torque = m.newThing([]string{"torque", "wrench"}, "")
	}
	st.check("with which torque wrench?")
	return m.torque
}

// hole names what is drilled or tapped.
func hole(p *phrase) string {
	if o := p.object(); o != nil && o.pronoun == "" && len(o.words) > 0 && (strings.HasSuffix(o.head(), "hole") || o.head() == "bore" || o.head() == "thread") {
		return identifier(o.words)
	}
	return "hole"
}

func (m *maker) drill(st *step, p *phrase) {
	var size, deep *token
	for _, x := range p.values {
		if dimension(x.t.unit) != quantity.Length {
			continue
		}
		if x.after == "deep" || x.before == "depth" || x.before == "deep" {
			deep = x.t
		} else if size == nil {
			size = x.t
		} else if deep == nil {
			deep = x.t
		}
	}
	with := m.bit(st, p, "drill")
	switch {
	case with == nil:
		st.check("drilled with what? (drill … with …)")
	case size == nil:
		st.check("drilled to what diameter? (drill hole … deep … with …)")
		m.use(st, with)
	case deep == nil:
		st.check("drilled how deep? (drill hole " + amountText(size) + " deep … with …)")
		m.use(st, with)
	default:
		m.hole = hole(p)
		st.add(&action{verb: "drill", extra: hole(p), values: []token{*size, *deep}, other: with})
	}
}

func (m *maker) tap(st *step, p *phrase) {
	var deep *token
	if x := p.value(quantity.Length); x != nil {
		deep = x.t
	}
	with := m.bit(st, p, "tap")
	switch {
	case with == nil:
		st.check("tapped with what? (tap … with …)")
	case deep == nil:
		st.check("tapped how deep? (tap hole " + p.thread + " deep … with …)")
		m.use(st, with)
	default:
		insert := contains(with.words, "insert")
		if insert {
			st.check("is " + p.thread + " the thread for an insert? the tap's name says so")
		}
		name := "hole"
		if m.hole != "" {
			name = m.hole
		}
		st.add(&action{verb: "tap", extra: name + " " + p.thread, values: []token{*deep}, other: with, insert: insert})
	}
}

// bit gives the tool that drills or taps.
func (m *maker) bit(st *step, p *phrase, kind string) *thing {
	n := p.behind("with", "using")
	if n == nil {
		return nil
	}
	t := m.toolOf(st, n)
	if t == nil || t.sort != tool {
		return nil
	}
	return t
}
