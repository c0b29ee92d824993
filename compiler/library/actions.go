package library

import (
	"benchproof/compiler/quantity"
	"benchproof/dsl/syntax"
)

func isPart(t Thing) bool      { _, ok := t.(*Part); return ok }
func isTool(t Thing) bool      { _, ok := t.(*Tool); return ok }
func isUsable(t Thing) bool    { _, ok := t.(*Part); return !ok }
func isRemovable(t Thing) bool { _, ok := t.(*Consumable); return !ok }
func isClampable(t Thing) bool { return isRemovable(t) }

// items binds a list of things with their counts; what is the sort in words.
func (b *binder) items(s *scope, list []*syntax.Item, what string, fits func(Thing) bool) []Item {
	out := make([]Item, 0, len(list))
	for _, it := range list {
		if bound, ok := b.item(s, it.Name, it.Count, what, fits); ok {
			bound.Span = b.at(it)
			out = append(out, bound)
		} else {
			s.broken = true
		}
	}
	return out
}

func (b *binder) item(s *scope, n *syntax.Name, count *syntax.Number, what string, fits func(Thing) bool) (Item, bool) {
	it := Item{Count: 1, Span: b.at(n)}
	if count != nil {
		c, ok := wholeNumber(count)
		if !ok || c < 1 || c > maxCount {
			b.wrong("BP101", b.at(count), "a count is a whole number from 1 to %d", maxCount)
			s.broken = true
			c = 1
		}
		it.Count, it.Counted = c, true
	}
	if sym, known := b.known(n.Text); known {
		th, ok := sym.(Thing)
		if !ok || !fits(th) {
			b.wrong("BP203", b.at(n), "%s is %s; expected %s", quoted(n.Text), article(sym.Sort()), what).
				Relate(sym.Declared().Span, "declared here")
			b.quietUse(sym, b.at(n))
			return it, false
		}
		b.use(th, b.at(n), true)
		it.Thing = th
		if th.Declared().Broken {
			s.broken = true
		}
		return it, true
	}
	if !isColumnName(n.Text) {
		b.unknown(n.Text, b.at(n), what, func(s Symbol) bool { th, is := s.(Thing); return is && fits(th) })
		return it, false
	}
	c, ok := b.column(s, n.Text, b.at(n))
	if !ok {
		return it, false
	}
	if !c.IsThings() {
		if !c.Broken {
			b.wrong("BP203", b.at(n), "%s gives values; expected %s", quoted(n.Text), what).Relate(c.Span, "declared here")
		}
		return it, false
	}
	for i, has := range c.Has {
		if has && !fits(c.Things[i]) {
			b.wrong("BP203", b.at(n), "%s gives %s; expected %s", quoted(n.Text), article(c.Things[i].Sort()), what).Relate(c.Spans[i], "given here")
			return it, false
		}
	}
	if c.Broken {
		s.broken = true
	}
	it.Column = c
	return it, true
}

func isColumnName(name string) bool {
	for i := 0; i < len(name); i++ {
		if name[i] == '.' {
			return true
		}
	}
	return false
}

// named finds a thing of one sort that an action names.
func named[T Symbol](b *binder, s *scope, n *syntax.Name, what string) (T, bool) {
	t, ok := find[T](b, n, what)
	if ok && t.Declared().Broken {
		s.broken = true
	}
	return t, ok
}

// action binds one action, or gives nil where it lost its meaning.
func (b *binder) action(s *scope, a syntax.Action) Action {
	act := Act{b.at(a)}
	switch a := a.(type) {
	case *syntax.Use:
		return filled(&Use{act, b.items(s, a.Items, "a tool or a consumable", isUsable)}, len(a.Items))
	case *syntax.Fit:
		return b.fit(s, act, a)
	case *syntax.Remove:
		return filled(&Remove{act, b.items(s, a.Items, "a tool or a part", isRemovable)}, len(a.Items))
	case *syntax.Refit:
		return filled(&Refit{act, b.items(s, a.Items, "a part", isPart)}, len(a.Items))
	case *syntax.Clamp:
		items := b.items(s, a.Items, "a part or a tool", isClampable)
		t, ok := named[*Tool](b, s, a.Tool, "a tool")
		if !ok || len(items) == 0 {
			return nil
		}
		return &Clamp{act, items, t}
	case *syntax.Release:
		return filled(&Release{act, b.items(s, a.Items, "a part or a tool", isClampable)}, len(a.Items))
	case *syntax.Make:
		if cs, ok := b.pair(a.State); ok {
			return &Make{act, cs.State}
		}
	case *syntax.Verify:
		cs, ok1 := b.pair(a.State)
		t, ok2 := named[*Tool](b, s, a.With, "a tool")
		if ok1 && ok2 {
			return &Verify{act, cs.State, t}
		}
	case *syntax.Needs:
		out := &Needs{Act: act}
		for _, p := range a.States {
			if cs, ok := b.pair(p); ok {
				out.States = append(out.States, cs)
			} else {
				s.broken = true
			}
		}
		return out
	case *syntax.Measure:
		return b.measure(s, act, a)
	case *syntax.Ask:
		if q, ok := s.known[a.Name.Text].(*Question); ok {
			return &Ask{act, q, b.text(s, a.Question)}
		}
	case *syntax.Drill:
		return b.drill(s, act, a)
	case *syntax.Tap:
		return b.tap(s, act, a)
	case *syntax.Tighten:
		return b.tighten(s, act, a)
	case *syntax.Heat:
		return b.heat(s, act, a)
	case *syntax.Lift:
		items := b.items(s, a.Items, "a part or a tool", isClampable)
		t, ok := named[*Tool](b, s, a.With, "a tool")
		if ok && len(items) > 0 {
			return &Lift{act, items, t}
		}
	case *syntax.Wait:
		if v, ok := b.positiveTime(s, a.Time); ok {
			return &Wait{act, v}
		}
	case *syntax.Takes:
		if v, ok := b.positiveTime(s, a.Time); ok {
			return &Takes{act, v}
		}
	case *syntax.Warn:
		out := &Warn{Act: act}
		for _, n := range a.Hazards {
			if h, ok := named[*Hazard](b, s, n, "a hazard"); ok {
				out.Hazards = append(out.Hazards, HazardRef{h, b.at(n)})
			} else {
				s.broken = true
			}
		}
		return out
	case *syntax.Hold:
		return &Hold{act, b.text(s, a.Who), b.text(s, a.What)}
	case *syntax.Record:
		if r, ok := s.known[a.Name.Text].(*RecordDecl); ok {
			return &Record{act, r, b.text(s, a.What)}
		}
	case *syntax.By:
		return &By{act, textValue(a.Who)}
	case *syntax.Note:
		return &Note{act, b.text(s, a.Text)}
	case *syntax.Show:
		return b.show(s, act, a)
	}
	return nil
}

// filled gives the action unless none of its things could be bound.
func filled[A interface {
	Action
	count() int
}](a A, want int) Action {
	if a.count() == 0 && want > 0 {
		return nil
	}
	return a
}

func (a *Use) count() int     { return len(a.Items) }
func (a *Remove) count() int  { return len(a.Items) }
func (a *Refit) count() int   { return len(a.Items) }
func (a *Release) count() int { return len(a.Items) }

func (b *binder) fit(s *scope, act Act, a *syntax.Fit) Action {
	if a.New {
		items := b.items(s, a.Items, "a part", isPart)
		for _, it := range items {
			if p, ok := it.Thing.(*Part); ok && p.IsKind {
				b.wrong("BP203", it.Span, "%s is a kind; a part of that kind is fitted new", quoted(p.Name)).Relate(p.Span, "declared here")
				s.broken = true
			}
		}
		if len(items) == 0 {
			return nil
		}
		return &FitNew{act, items}
	}
	for _, it := range a.Items {
		if p, ok := b.symbol(it.Name.Text).(*Part); ok {
			b.wrong("BP203", b.at(it), "%s is a part: a part goes back with refit, a new one with fit new", quoted(p.Name)).
				Relate(p.Span, "declared here")
			b.quietUse(p, b.at(it.Name))
			return nil
		}
	}
	items := b.items(s, a.Items, "a tool", isTool)
	if len(items) == 0 {
		return nil
	}
	if a.On == nil {
		b.wrong("BP101", act.Span, "fit says on what the tool goes").Helped("write: fit %s on …", a.Items[0].Name.Text)
		return nil
	}
	on, ok := b.item(s, a.On, nil, "a part or a tool", isRemovable)
	if !ok {
		return nil
	}
	return &Fit{act, items, on}
}

func (b *binder) measure(s *scope, act Act, a *syntax.Measure) Action {
	r, ok := s.known[a.Name.Text].(*Reading)
	if !ok || r.Broken || r.Unit == nil {
		return nil
	}
	out := &Measure{Act: act, Count: 1, Reading: r, With: r.With}
	if a.Of == nil {
		return out
	}
	n, ok := wholeNumber(a.Count)
	if !ok || n < 2 || n > 100 {
		b.wrong("BP101", b.at(a.Count), "the %s is taken of 2 to 100 readings", a.Of.Text)
		return nil
	}
	out.Of, out.Count = a.Of.Text, n
	return out
}

func (b *binder) drill(s *scope, act Act, a *syntax.Drill) Action {
	h, ok0 := s.known[a.Hole.Text].(*Hole)
	size, ok1 := b.positiveValue(s, a.Size, "a drill's size", quantity.Length)
	deep, ok2 := b.positiveValue(s, a.Deep, "a depth", quantity.Length)
	speed, ok3 := b.optional(s, a.At, "a cutting speed", quantity.Speed)
	t, ok4 := named[*Tool](b, s, a.With, "a tool")
	if !(ok0 && ok1 && ok2 && ok3 && ok4) {
		return nil
	}
	return &Drill{act, h, size, deep, speed, t}
}

func (b *binder) tap(s *scope, act Act, a *syntax.Tap) Action {
	h, ok0 := s.known[a.Hole.Text].(*Hole)
	ok1 := b.thread(a.Thread)
	deep, ok2 := b.positiveValue(s, a.Deep, "a depth", quantity.Length)
	speed, ok3 := b.optional(s, a.At, "a cutting speed", quantity.Speed)
	t, ok4 := named[*Tool](b, s, a.With, "a tool")
	if !(ok0 && ok1 && ok2 && ok3 && ok4) {
		return nil
	}
	return &Tap{act, a.Existing, h, a.Thread.Text, b.at(a.Thread), a.Insert, deep, speed, t}
}

func (b *binder) tighten(s *scope, act Act, a *syntax.Tighten) Action {
	items := b.items(s, []*syntax.Item{a.Item}, "a part", isPart)
	t, ok := named[*Tool](b, s, a.With, "a tool")
	ok = ok && len(items) == 1
	out := &Tighten{Act: act, Crosswise: a.Crosswise, With: t}
	if len(items) == 1 {
		out.Item = items[0]
	}
	if a.Through != nil {
		var got bool
		if out.Through, got = named[*Tool](b, s, a.Through, "a tool"); !got {
			ok = false
		}
	}
	var unit *syntax.Name
	for i := len(a.To) - 1; i >= 0; i-- {
		if a.To[i].Unit != nil {
			unit = a.To[i].Unit
		}
		o := a.To[i]
		v, good := b.value(s, o, unit, quantity.Torque)
		if good && v.Column == nil {
			good = b.positive(&v.Quantity, v.Span, "a torque")
		}
		ok = ok && good
		out.To = append(out.To, v)
	}
	for i, j := 0, len(out.To)-1; i < j; i, j = i+1, j-1 {
		out.To[i], out.To[j] = out.To[j], out.To[i]
	}
	if !ok || len(out.To) == 0 {
		return nil
	}
	return out
}

func (b *binder) heat(s *scope, act Act, a *syntax.Heat) Action {
	items := b.items(s, []*syntax.Item{a.Item}, "a part", isPart)
	bore, ok1 := b.positiveValue(s, a.Bore, "a bore", quantity.Length)
	interference, ok2 := b.value(s, a.Interference, nil, quantity.Length)
	clearance, ok3 := b.optional(s, a.Clearance, "", quantity.Length)
	expansion, ok4 := b.positiveValue(s, a.Expansion, "an expansion coefficient", quantity.Expansion)
	from, ok5 := b.optional(s, a.From, "", quantity.Temperature)
	most, ok6 := b.optional(s, a.AtMost, "", quantity.Temperature)
	t, ok7 := named[*Tool](b, s, a.With, "a tool")
	if !(len(items) == 1 && ok1 && ok2 && ok3 && ok4 && ok5 && ok6 && ok7) {
		return nil
	}
	return &Heat{act, items[0], bore, interference, clearance, expansion, from, most, t}
}

func (b *binder) show(s *scope, act Act, a *syntax.Show) Action {
	out := &Show{Act: act}
	for _, n := range a.Names {
		switch sym := b.symbol(n.Text).(type) {
		case *Figure:
			b.use(sym, b.at(n), true)
			out.Figures = append(out.Figures, sym)
		case *Video:
			b.use(sym, b.at(n), true)
			out.Videos = append(out.Videos, sym)
		case nil:
			b.unknown(n.Text, b.at(n), "figure or video", func(s Symbol) bool { return s.Sort() == "figure" || s.Sort() == "video" })
		default:
			b.wrong("BP203", b.at(n), "%s is %s; a figure or a video is shown", quoted(n.Text), article(sym.Sort())).
				Relate(sym.Declared().Span, "declared here")
			b.quietUse(sym, b.at(n))
		}
	}
	return out
}

func (b *binder) positiveTime(s *scope, o *syntax.Operand) (Value, bool) {
	return b.positiveValue(s, o, "a time", quantity.Time)
}

func (b *binder) positiveValue(s *scope, o *syntax.Operand, what string, want quantity.Dimension) (Value, bool) {
	v, ok := b.value(s, o, nil, want)
	if !ok {
		return v, false
	}
	if v.Column == nil {
		return v, b.positive(&v.Quantity, v.Span, what)
	}
	for i, has := range v.Column.Has {
		if has && !b.positive(&v.Column.Values[i], v.Column.Spans[i], what) {
			return v, false
		}
	}
	return v, true
}

// optional binds an operand that may be missing; what is empty where any sign may stand.
func (b *binder) optional(s *scope, o *syntax.Operand, what string, want quantity.Dimension) (*Value, bool) {
	if o == nil {
		return nil, true
	}
	if what == "" {
		v, ok := b.value(s, o, nil, want)
		return &v, ok
	}
	v, ok := b.positiveValue(s, o, what, want)
	return &v, ok
}
