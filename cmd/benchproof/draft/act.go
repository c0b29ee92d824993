package draft

import (
	"strings"

	"benchproof/compiler/quantity"
)

// thingOf gives the thing a name means here; with declare, one that was not
// known becomes known.
func (m *maker) thingOf(st *step, n *name, declare bool) *thing {
	if n == nil {
		return nil
	}
	var t *thing
	switch {
	case n.pronoun != "":
		t = m.focus
	case n.ref != "":
		t = m.sameNumber(n.ref, n.words)
		if t == nil {
			t = m.find(n.words)
		}
	default:
		t = m.find(n.words)
		if t == nil && declare && !junk[n.head()] {
			t = m.newThing(n.words, "")
		}
	}
	if t == nil {
		return nil
	}
	if n.plural != "" && t.sort == part && t.plural == "" {
		t.plural = strings.Join(t.words[:len(t.words)-1], " ")
		if t.plural != "" {
			t.plural += " "
		}
		t.plural += lastWord(n.plural)
	}
	if st != nil {
		st.names = append(st.names, use{n, t})
		if t.touched < 0 {
			t.touched = m.position
		}
	}
	m.clock++
	m.last[t] = m.clock
	return t
}

func lastWord(s string) string { return s[strings.LastIndexByte(s, ' ')+1:] }

// add adds an action, once.
func (st *step) add(a *action) *action {
	for _, b := range st.actions {
		if a.thing != nil && b.verb == a.verb && b.thing == a.thing && b.fresh == a.fresh {
			return b
		}
	}
	st.actions = append(st.actions, a)
	if a.thing != nil {
		a.thing.handled = true
	}
	if a.other != nil {
		a.other.handled = true
	}
	return a
}

func (st *step) check(text string) {
	if !contains(st.checks, text) {
		st.checks = append(st.checks, text)
	}
}

func (st *step) handles(t *thing) bool {
	for _, a := range st.actions {
		if a.thing == t || a.other == t || a.reading != nil && a.reading.with == t {
			return true
		}
	}
	return false
}

// A before is how a thing stood when a case of a decision began.
type before struct {
	t          *thing
	off, fresh bool
	vice       *thing
	count      int
}

// keep remembers how a thing stands before it changes in a case: what is done
// in one case has not been done in the others.
func (m *maker) keep(t *thing) {
	if m.inCase > 0 {
		m.kept = append(m.kept, before{t, t.off, t.fresh, t.vice, t.count})
	}
}

// restore brings things back to how they stood.
func (m *maker) restore(from int) {
	for i := len(m.kept) - 1; i >= from; i-- {
		b := m.kept[i]
		b.t.off, b.t.fresh, b.t.vice, b.t.count = b.off, b.fresh, b.vice, b.count
	}
	m.kept = m.kept[:from]
}

// use adds that a tool or consumable is in hand, once.
func (m *maker) use(st *step, t *thing) {
	if t == nil || t.sort == part || st.handles(t) {
		return
	}
	st.add(&action{verb: "use", thing: t})
	m.atHand(t)
}

// atHand remembers the instrument that a reading without one is taken with.
func (m *maker) atHand(t *thing) {
	if instruments[t.head()] {
		m.inHand = t
	}
}

// personal are things of the person's own: no part of the machine.
func personal(n *name) bool { return n.det == "your" || n.det == "my" || n.det == "our" }

// effects works out what a step's verbs do to things.
func (m *maker) effects(st *step, verbAt int) {
	for _, p := range phrases(st.tokens, verbAt) {
		m.effect(st, p)
		// Tools that it is done with.
		for _, x := range p.preps {
			if x.prep != "with" && x.prep != "using" && x.prep != "by" {
				continue
			}
			t := m.toolOf(st, x.n)
			if t != nil && t.sort == part && x.n.fresh && !st.handles(t) {
				m.fitPart(st, p, t, x.n, nil) // "lock them with new split pins"
				continue
			}
			m.use(st, t)
		}
		// A number that was said means a thing that is at hand.
		for _, n := range append(append([]*name(nil), p.objects...), prepNames(p)...) {
			if n.ref == "" {
				continue
			}
			switch t := m.thingOf(st, n, false); {
			case t == nil:
			case t.sort != part && t != st.away:
				m.use(st, t)
			case t.sort == part && (picks[p.verb] || n == p.behind("with", "using")):
				st.claimed = append(st.claimed, t)
			}
		}
	}
}

func prepNames(p *phrase) []*name {
	var out []*name
	for _, x := range p.preps {
		out = append(out, x.n)
	}
	return out
}

// toolOf gives the tool or consumable that something is done with; one that has
// no number is a tool only by its name.
func (m *maker) toolOf(st *step, n *name) *thing {
	if n == nil || n.pronoun != "" || personal(n) {
		return nil
	}
	if t := m.thingOf(st, n, false); t != nil {
		return t
	}
	if len(n.words) == 0 || sundries[n.head()] || n.det == "" && n.count == 0 {
		return nil
	}
	if s, doubt := sortOf(n.words, ""); s == tool && doubt == "" {
		return m.thingOf(st, n, true)
	}
	return nil
}

// pulled are the last words of what is off when it is pulled.
var pulled = set(`pin plug fuse key clip circlip cotter link`)

// instrumental are verbs with which a torque is no tightening.
var instrumental = set(`set measure read check test turn`)

func (m *maker) effect(st *step, p *phrase) {
	obj := p.object()
	if obj != nil && personal(obj) {
		return
	}
	v := p.verb
	if of := p.behind("of"); of != nil && of.fresh {
		if t := m.thingOf(nil, of, false); t != nil && t.sort == part {
			m.keep(t)
			t.fresh, m.focus = true, t // "cut 600 mm of new hose"
		}
	}
	switch {
	case p.value(quantity.Torque) != nil && !instrumental[v]:
		if !tightens[v] && obj != nil && (fits[v] || goesOn(p)) {
			m.fit(st, p)
		}
		m.tighten(st, p)
	case v == "drill" && p.value(quantity.Length) != nil:
		m.drill(st, p)
	case v == "tap" && p.thread != "":
		m.tap(st, p)
	case v == "measure" || v == "read" && obj != nil && (p.behind("with", "on", "off", "using", "from") != nil) || v == "gauge" && obj != nil:
		m.measure(st, p)
	case v == "clamp" && obj != nil && m.clamp(st, p):
	case (v == "unclamp" || v == "release") && obj != nil:
		m.release(st, p)
	case v == "replace" || v == "change" || v == "exchange" || v == "swap" || v == "renew":
		m.replace(st, p)
	case obj != nil && (removes[v] || removesWith[v] && takesOff(p) || v == "pull" && pulled[obj.head()] && !p.particles["back"]):
		from := p.behind("out of", "from")
		switch {
		case from != nil && storage[from.head()]:
			m.pick(st, p)
		case from == nil || !m.unvice(st, p, from):
			m.remove(st, p)
		}
	case obj != nil && (fits[v] || fitsWith[v] && goesOn(p)):
		m.fit(st, p)
	case v == "use" && obj != nil:
		for _, o := range p.objects {
			t := m.toolOf(st, o)
			if t != nil && t.sort == part && o.fresh {
				m.fitPart(st, p, t, o, nil)
				continue
			}
			m.use(st, t)
		}
	case picks[v] && obj != nil:
		m.pick(st, p)
	default:
		if at := p.behind("at"); at != nil && (obj == nil || partWords[at.head()]) {
			obj = at // "look at the sleeve"
		}
		if obj != nil && obj.pronoun == "" {
			// Of what nothing is known, "it" says nothing either.
			t := m.thingOf(st, obj, false)
			if t == nil && partWords[obj.head()] {
				t = m.thingOf(st, obj, true)
			}
			if t == nil || t.sort == part {
				m.focus = t
				m.focusAt = m.position
			}
			if t != nil && t.sort == part && obj.fresh {
				m.keep(t)
				t.fresh = true // a new one is made ready
			}
		}
	}
	m.times(st, p)
	for _, x := range p.values {
		if dimension(x.t.unit) == quantity.Temperature || x.t.unit == degrees {
			m.heat = m.position
		}
	}
}

// takesOff tells that a phrase says where a thing comes from.
func takesOff(p *phrase) bool {
	return (p.particles["off"] || p.particles["out"] || p.particles["away"]) && !p.particles["back"]
}

// goesOn tells that a phrase says that a thing is put in its place.
func goesOn(p *phrase) bool {
	if p.particles["on"] || p.particles["in"] || p.particles["back"] || p.particles["home"] {
		return true
	}
	if o := p.object(); o != nil && o.fresh && p.behind("under", "between", "around") != nil {
		return true // a new one has its place there
	}
	return p.behind("on", "onto", "in", "into", "over", "behind", "to") != nil
}

// times adds the waits and the working times of a phrase.
func (m *maker) times(st *step, p *phrase) {
	for _, x := range p.values {
		if dimension(x.t.unit) != quantity.Time || x.t.value == "0" {
			continue
		}
		switch {
		case x.after == "at a" || x.before == "every" || x.before == "within" || x.before == "than":
			continue
		case x.before == "about" || x.before == "for" || x.before == "another" || lets[p.verb] || x.before == p.verb:
		default:
			continue
		}
		verb := "takes"
		if lets[p.verb] {
			verb = "wait"
		}
		st.add(&action{verb: verb, values: []token{*x.t}})
	}
}

func (m *maker) remove(st *step, p *phrase) {
	for _, o := range p.objects {
		if o.det == "a" || o.det == "an" || junk[o.head()] || personal(o) || o.pronoun == "one" {
			continue
		}
		t := m.thingOf(st, o, true)
		if t == nil || t.sort == consumable {
			continue
		}
		if t.sort == part && t.off && o.pronoun != "" {
			continue // said twice
		}
		if t.sort == part && t.off && p.verb != "remove" && !o.old && m.alreadyOff(st, t) {
			continue
		}
		count := o.count
		if count == 0 && !t.off {
			count = t.count // "eight bolts hold it"
		}
		if t.sort == part && o.ref == "" && count == 0 && t.count == 0 && o.plural != "" {
			st.check("how many " + o.plural + "?")
		}
		st.add(&action{verb: "remove", thing: t, count: count})
		m.keep(t)
		t.off = true
		m.keep(t)
		t.count = count
		if t.sort == part {
			m.focus = t
		}
	}
}

// alreadyOff tells that a thing came off in the step before and this only says
// where it goes: "take off the cover … you lift the cover out".
func (m *maker) alreadyOff(st *step, t *thing) bool {
	nodes := m.open.nodes
	if len(nodes) == 0 {
		return false
	}
	before, ok := nodes[len(nodes)-1].(*step)
	if !ok {
		return false
	}
	for _, a := range before.actions {
		if a.verb == "remove" && a.thing == t {
			return true
		}
	}
	return false
}

// target is what a thing is put on.
func (m *maker) target(p *phrase) (*name, string) {
	for _, x := range p.preps {
		switch x.prep {
		case "on", "onto", "in", "into", "over", "behind", "to", "around", "under":
			return x.n, x.prep
		}
	}
	return nil, ""
}

func (m *maker) fit(st *step, p *phrase) {
	to, prep := m.target(p)
	for _, o := range p.objects {
		if of := p.behind("of"); of != nil && o == p.objects[0] && m.thingOf(nil, o, false) == nil {
			// "the legs of the puller" stand for the puller.
			if t := m.thingOf(nil, of, false); t != nil && t.sort == tool {
				o = of
			}
		}
		if junk[o.head()] || personal(o) {
			continue
		}
		if to != nil && (storage[to.head()] || places[to.head()] && prep != "into" && !p.particles["back"]) && len(to.words) > 0 && m.find(to.words) == nil {
			m.layDown(st, o)
			continue
		}
		t := m.thingOf(st, o, false)
		if t == nil {
			s, doubt := sortOf(o.words, "")
			switch {
			case o.pronoun != "" || len(o.words) == 0:
				continue
			case s == tool && doubt == "" && o.det != "a" && o.det != "an" && !sundries[o.head()]:
				t = m.thingOf(st, o, true)
			case s == part && doubt == "" && (o.fresh || fits[p.verb] || p.particles["back"]):
				t = m.thingOf(st, o, true)
			case s == part && doubt == "" && o.det == "the" && p.verb != "wind" && (p.particles["in"] || p.particles["on"] || p.particles["home"]):
				// It goes in, so it was out: that it came off was not said.
				t = m.thingOf(st, o, true)
				m.keep(t)
				t.off = true
			default:
				continue
			}
		}
		switch t.sort {
		case consumable:
			m.use(st, t)
		case tool:
			m.fitTool(st, t, to, o)
		default:
			m.fitPart(st, p, t, o, to)
		}
	}
}

// layDown is what is done where a thing goes to a table or a cupboard: nothing
// that counts.
func (m *maker) layDown(st *step, o *name) {
	t := m.thingOf(st, o, false)
	if t != nil && t.sort == part {
		m.focus = t
	} else {
		st.away = t
	}
}

func (m *maker) fitTool(st *step, t *thing, to *name, o *name) {
	var on *thing
	if to != nil && to.pronoun == "" {
		on = m.thingOf(st, to, true)
	} else if m.focus != nil && m.focus.sort == part && m.focus != t {
		on = m.focus
		st.check("on what does the " + t.title() + " go?")
	}
	if on == nil || on == t {
		m.use(st, t)
		st.check("is the " + t.title() + " put on something, and on what? (fit … on …)")
		return
	}
	st.add(&action{verb: "fit", thing: t, other: on})
	m.atHand(t)
}

func (m *maker) fitPart(st *step, p *phrase, t *thing, o, to *name) {
	// Onto a heater, a press, a stand: the part is worked on there, not fitted.
	if to != nil {
		if on := m.thingOf(nil, to, false); on != nil && on.sort == tool && !p.particles["back"] {
			if to.ref != "" || len(on.numbers) > 0 {
				m.thingOf(st, to, false)
				m.use(st, on)
				if o.fresh {
					m.keep(t)
					t.fresh = true
				}
				m.focus = t
				return
			}
		}
		if on := m.thingOf(nil, to, false); on == t {
			return
		}
	}
	if !o.fresh && !t.fresh && !t.off && !p.particles["back"] && !p.particles["again"] && !fits[p.verb] && t.touched < m.position {
		m.focus = t // it never came off: it is only moved
		return
	}
	fresh := o.fresh || t.fresh
	back := p.particles["back"] || p.particles["again"] || strings.HasPrefix(p.verb, "re")
	if p.verb == "put" && p.particles["together"] {
		return
	}
	m.focus = t
	count := o.count
	if count == 0 {
		count = t.count
	}
	if fresh && !back || !t.off && !back {
		if !fresh {
			st.check("is the " + t.title() + " a new one? nothing was said of it before")
		}
		st.add(&action{verb: "fit", fresh: true, thing: t, count: count})
		m.keep(t)
		t.fresh = false
	} else {
		st.add(&action{verb: "refit", thing: t, count: count})
	}
	m.keep(t)
	t.off = false
}

func (m *maker) pick(st *step, p *phrase) {
	for _, o := range p.objects {
		t := m.toolOf(st, o)
		if t == nil {
			if o.fresh && len(o.words) > 0 && o.pronoun == "" && partWords[o.head()] {
				t = m.thingOf(st, o, true)
			} else {
				continue
			}
		}
		switch t.sort {
		case part:
			m.keep(t)
			t.fresh = t.fresh || o.fresh || !t.off
			m.focus = t
		default:
			m.use(st, t)
		}
	}
}

func (m *maker) replace(st *step, p *phrase) {
	o := p.object()
	if o == nil || o.pronoun == "one" {
		return
	}
	t := m.thingOf(st, o, true)
	if t == nil || t.sort != part {
		m.use(st, t)
		return
	}
	with := t
	if n := p.behind("with", "by", "for"); n != nil && n.pronoun == "" {
		if w := m.thingOf(st, n, false); w != nil && w.sort == part {
			with = w
		}
	}
	if !t.off {
		st.add(&action{verb: "remove", thing: t, count: o.count})
	}
	st.add(&action{verb: "fit", fresh: true, thing: with, count: o.count})
	m.keep(t)
	t.off = with != t
	m.focus = with
}

func (m *maker) clamp(st *step, p *phrase) bool {
	in := p.behind("in", "into", "under", "with", "on", "to", "between")
	if in == nil || in.pronoun != "" {
		return false
	}
	v := m.thingOf(st, in, false)
	if v == nil {
		if s, doubt := sortOf(in.words, ""); s != tool || doubt != "" {
			return false
		}
		v = m.thingOf(st, in, true)
	}
	if v == nil || v.sort != tool {
		return false
	}
	for _, o := range p.objects {
		t := m.thingOf(st, o, true)
		if t == nil || t == v || t.sort == consumable {
			continue
		}
		st.add(&action{verb: "clamp", thing: t, other: v})
		m.keep(t)
		t.vice = v
		m.focus = t
	}
	return true
}

func (m *maker) release(st *step, p *phrase) {
	for _, o := range p.objects {
		if t := m.thingOf(st, o, false); t != nil && (t.vice != nil || p.verb == "unclamp") {
			st.add(&action{verb: "release", thing: t})
			m.keep(t)
			t.vice = nil
			m.focus = t
		}
	}
}

// unvice reads "take the unit out of the vice".
func (m *maker) unvice(st *step, p *phrase, from *name) bool {
	v := m.thingOf(nil, from, false)
	if v == nil || v.sort != tool {
		return false
	}
	t := m.thingOf(st, p.object(), false)
	if t == nil || t.vice != v {
		return false
	}
	m.thingOf(st, from, false)
	st.add(&action{verb: "release", thing: t})
	m.keep(t)
	t.vice = nil
	m.focus = t
	return true
}
