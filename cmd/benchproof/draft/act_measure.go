package draft

// measure adds the taking of a reading; what is not told of it is asked.
func (m *maker) measure(st *step, p *phrase) {
	o := p.object()
	if o != nil && o.pronoun != "" && m.focus != nil && (m.reading == nil || m.focusAt >= m.readAt) {
		o = &name{words: m.focus.words}
	}
	if o == nil || len(o.words) == 0 {
		if m.reading == nil || o == nil {
			st.check("what is measured? (measure … in … with …)")
			return
		}
		r := *m.reading
		o = &name{words: r.words}
	}
	words := o.words
	var with *thing
	if n := p.behind("with", "using"); n != nil {
		with = m.toolOf(st, n)
	}
	if with == nil && p.verb != "measure" || with == nil {
		if n := p.behind("on", "off", "from"); n != nil {
			if t := m.thingOf(nil, n, false); t != nil && t.sort == tool {
				with = m.thingOf(st, n, false)
			}
		}
	}
	if with != nil && with.sort != tool {
		with = nil
	}
	r := m.readingOf(words)
	if r == nil {
		r = m.newReading(words)
	}
	switch {
	case with != nil:
		r.with = with
		m.inHand = with
	case r.with != nil:
	case m.inHand != nil && instruments[m.inHand.head()]:
		r.with = m.inHand
		st.check("with the " + m.inHand.title() + "? the talk does not say")
	default:
		t := m.find([]string{"measuring", "instrument"})
		if t == nil {
			t = m.newThing([]string{"measuring", "instrument"}, "")
			t.sort = tool
		}
		r.with = t
		st.check(unmeasured)
	}
	r.taken = true
	m.reading = r
	m.readAt = m.position + 1
	st.add(&action{verb: "measure", reading: r})
	r.with.handled = true
}

func (m *maker) readingOf(words []string) *reading {
	for i := len(m.readings) - 1; i >= 0; i-- {
		r := m.readings[i]
		if equalFold(r.words, words) {
			return r
		}
	}
	for i := len(m.readings) - 1; i >= 0; i-- {
		r := m.readings[i]
		if subset(words, r.words) || subset(r.words, words) {
			return r
		}
	}
	return nil
}

func (m *maker) newReading(words []string) *reading {
	r := &reading{words: words, id: m.unique(identifier(words), "reading")}
	m.readings = append(m.readings, r)
	return r
}

// usualUnit is what a quantity is commonly measured in, by its name; a guess.
func usualUnit(words []string) string {
	for i := len(words) - 1; i >= 0; i-- {
		switch words[i] {
		case "pressure":
			return "bar"
		case "temperature":
			return "degC"
		case "resistance":
			if contains(words, "insulation") {
				return "Mohm"
			}
			return "ohm"
		case "voltage":
			return "V"
		case "current":
			return "A"
		case "torque":
			return "N.m"
		case "speed":
			return "rpm"
		case "weight", "mass":
			return "kg"
		case "angle":
			return "deg"
		case "flow":
			return "L/min"
		case "time":
			return "s"
		}
	}
	return "mm"
}
