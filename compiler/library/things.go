package library

import (
	"strings"

	"benchproof/compiler/quantity"
	"benchproof/compiler/trade"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// library reads the library's own declaration.
func (b *binder) library(d *syntax.Thing) {
	b.lib.Title, b.lib.Place = textValue(d.Title), b.at(d.Title)
	b.once(d.Properties)
	for _, p := range d.Properties {
		switch p := p.(type) {
		case *syntax.TextProperty:
			b.lib.Owner = textValue(p.Text)
		case *syntax.NamesProperty:
			if p.Key() == "language" && len(p.Names) > 0 {
				b.lib.Language = p.Names[0].Text
			}
		case *syntax.DecisionProperty:
			b.decision(p)
		case *syntax.AllowProperty:
			b.lib.Allows = b.allow(b.lib.Allows, p.Code, p.Reason, p)
		}
	}
}

func (b *binder) decision(p *syntax.DecisionProperty) {
	switch p.Rule.Text {
	case "guarded":
		b.lib.Decision.Guarded = true
	case "simple":
	default:
		b.wrong("BP203", b.at(p.Rule), "a decision is guarded or simple, not %s", quoted(p.Rule.Text))
	}
	if p.Factor == nil {
		return
	}
	f, err := quantity.ParseNumber(p.Factor.Text)
	switch {
	case err != nil:
		b.wrong("BP101", b.at(p.Factor), "%v", err)
	case f.Sign() < 0 || f.Cmp(quantity.NewInt(10)) > 0:
		b.wrong("BP203", b.at(p.Factor), "the guard factor lies from 0 to 10, not at %s", f.String())
	default:
		b.lib.Decision.Factor = f
	}
}

// allowable are the rules that may be turned off with a reason.
var allowable = map[string]bool{"BP305": true, "BP306": true, "BP604": true, "BP801": true, "BP802": true, "BP803": true, "BP804": true, "BP805": true, "BP806": true, "BP807": true}

// Allowable tells whether a rule may be turned off with a reason.
func Allowable(code message.Code) bool { return allowable[string(code)] }

func (b *binder) allow(list []Allow, code *syntax.Name, reason *syntax.Text, p syntax.Place) []Allow {
	if !allowable[code.Text] {
		b.wrong("BP203", b.at(code), "%s cannot be turned off", code.Text).Helped("rules of wording (BP801 to BP807), BP305, BP306 and BP604 can")
		return list
	}
	if strings.TrimSpace(textValue(reason)) == "" {
		b.wrong("BP203", b.at(p), "a rule is turned off for a reason; none is given")
		return list
	}
	return append(list, Allow{code.Text, textValue(reason), b.at(p)})
}

// repeatable are the properties that may stand more than once.
var repeatable = map[string]bool{"revision": true, "allow": true, "applies": true, "mark": true, "begins": true, "ends": true, "begins without": true, "leaves": true}

// once refuses a property that is given twice.
func (b *binder) once(list []syntax.Property) {
	first := map[string]source.Span{}
	for _, p := range list {
		switch p.(type) {
		case *syntax.MemberProperty, *syntax.RowProperty:
			continue
		}
		if repeatable[p.Key()] {
			continue
		}
		if at, twice := first[p.Key()]; twice {
			b.wrong("BP202", b.at(p), "%s is given twice", quoted(p.Key())).Relate(at, "given here")
			continue
		}
		first[p.Key()] = b.at(p)
	}
}

// things binds what is declared by properties: first those that others name.
func (b *binder) things() {
	bind := func(s Symbol, f func(*syntax.Thing)) {
		n := b.nodes[s]
		b.file = n.file
		if b.names = b.lookedUp[s]; b.names == nil {
			b.names = map[string]bool{}
			b.lookedUp[s] = b.names
		}
		d := n.decl.(*syntax.Thing)
		b.once(d.Properties)
		f(d)
	}
	for _, v := range b.lib.Variants {
		bind(v, func(d *syntax.Thing) { b.variant(v, d) })
	}
	for _, c := range b.lib.Conditions {
		bind(c, func(d *syntax.Thing) { b.condition(c, d) })
	}
	// What has been replaced is known before anything is named.
	for _, list := range [][]Symbol{symbols(b.lib.Tools), symbols(b.lib.Parts), symbols(b.lib.Consumables)} {
		for _, s := range list {
			bind(s, func(d *syntax.Thing) { b.replacement(s, d) })
		}
	}
	for _, p := range b.lib.Parts {
		bind(p, func(d *syntax.Thing) { b.part(p, d) })
	}
	for _, h := range b.lib.Hazards {
		bind(h, func(d *syntax.Thing) { b.hazard(h, d) })
	}
	for _, t := range b.lib.Tools {
		bind(t, func(d *syntax.Thing) { b.tool(t, d) })
	}
	for _, c := range b.lib.Consumables {
		bind(c, func(d *syntax.Thing) { b.common(&c.Common, d) })
	}
	for _, k := range b.lib.Kits {
		bind(k, func(d *syntax.Thing) { b.kit(k, d) })
	}
	for _, t := range b.lib.Tables {
		bind(t, func(d *syntax.Thing) { b.table(t, d) })
	}
	for _, f := range b.lib.Figures {
		bind(f, func(d *syntax.Thing) { b.figure(f, d) })
	}
	for _, v := range b.lib.Videos {
		bind(v, func(d *syntax.Thing) { b.video(v, d) })
	}
	b.behindItself()
}

func symbols[T Symbol](list []T) []Symbol {
	out := make([]Symbol, len(list))
	for i, s := range list {
		out[i] = s
	}
	return out
}

func (b *binder) variant(v *Variant, d *syntax.Thing) {
	known := map[string]Symbol{}
	for _, p := range d.Properties {
		m, ok := p.(*syntax.MemberProperty)
		if !ok {
			continue
		}
		mem := child(b.was, v, m.Word.Text, &Member{Decl: b.decl(m.Word, m.Title, m), Variant: v, Index: len(v.Members)})
		if b.local(known, mem) {
			v.Members = append(v.Members, mem)
		}
	}
	if len(v.Members) > maxMembers {
		b.wrong("BP203", v.Span, "the variant %s has %d members; it may have %d", quoted(v.Name), len(v.Members), maxMembers).Helped("describe what differs by several variants")
	}
	if len(v.Members) == 0 {
		b.wrong("BP203", v.Span, "the variant %s has no members", quoted(v.Name)).Helped("name them: s32 \"size 32\"")
	}
}

func (b *binder) condition(c *Condition, d *syntax.Thing) {
	known := map[string]Symbol{}
	for _, p := range d.Properties {
		n, ok := p.(*syntax.NamesProperty)
		if !ok || n.Key() != "states" {
			continue
		}
		for _, name := range n.Names {
			s := child(b.was, c, name.Text, &State{Decl: Decl{Name: name.Text, Title: words(name.Text), Span: b.at(name), Whole: b.at(name)}, Condition: c, Index: len(c.States)})
			if b.local(known, s) {
				c.States = append(c.States, s)
			}
		}
	}
	if len(c.States) < 2 {
		b.wrong("BP203", c.Span, "the condition %s has %s; it needs two or more", quoted(c.Name), plural(len(c.States), "state")).
			Helped("write them: states live, locked-off")
	}
	for _, p := range d.Properties {
		n, ok := p.(*syntax.NamesProperty)
		if !ok || len(n.Names) == 0 {
			continue
		}
		switch n.Key() {
		case "begins":
			c.Begins, _ = b.state(c, n.Names[0])
		case "ends":
			c.Ends, _ = b.state(c, n.Names[0])
		}
	}
	if len(c.States) > 0 {
		if c.Begins == nil {
			if !given(d, "begins") {
				b.wrong("BP203", c.Span, "the condition %s does not say how it begins", quoted(c.Name)).Helped("write: begins %s", c.States[0].Name)
			}
			c.Begins = c.States[0]
		}
		if c.Ends == nil {
			c.Ends = c.Begins
		}
	}
}

func given(d *syntax.Thing, key string) bool {
	for _, p := range d.Properties {
		if p.Key() == key {
			return true
		}
	}
	return false
}

// words prints a state or answer without a title of its own.
func words(name string) string { return strings.ReplaceAll(name, "-", " ") }

// state finds a state of a condition.
func (b *binder) state(c *Condition, n *syntax.Name) (*State, bool) {
	var names []string
	for _, s := range c.States {
		if s.Name == n.Text {
			b.use(s, b.at(n), true)
			return s, true
		}
		names = append(names, s.Name)
	}
	m := b.wrong("BP201", b.at(n), "the condition %s has no state %s", quoted(c.Name), quoted(n.Text)).Relate(c.Span, "declared here")
	if offerNames(m, n.Text, b.at(n), names); m.Help == "" && len(names) > 0 {
		m.Helped("its states are %s", strings.Join(names, ", "))
	}
	return nil, false
}

// pair binds `power locked-off`.
func (b *binder) pair(p *syntax.StatePair) (CondState, bool) {
	c, ok := find[*Condition](b, p.Condition, "a condition")
	if !ok {
		return CondState{}, false
	}
	s, ok := b.state(c, p.State)
	return CondState{s, b.at(p)}, ok
}

func (b *binder) hazard(h *Hazard, d *syntax.Thing) {
	if d.Signal != nil {
		h.Signal = d.Signal.Text
	}
	for _, p := range d.Properties {
		switch p := p.(type) {
		case *syntax.TextProperty:
			switch p.Key() {
			case "consequence":
				h.Consequence = textValue(p.Text)
			case "avoid":
				h.Avoid = textValue(p.Text)
			}
		case *syntax.StatesProperty:
			if len(p.States) > 0 {
				if s, ok := b.pair(p.States[0]); ok {
					h.Safe = s.State
				} else {
					h.Broken = true
				}
			}
		case *syntax.NamesProperty:
			switch p.Key() {
			case "signs":
				for _, n := range p.Names {
					b.sign(h, n)
				}
			case "proved with":
				if len(p.Names) > 0 {
					var ok bool
					if h.ProvedWith, ok = find[*Tool](b, p.Names[0], "a tool"); !ok {
						h.Broken = true
					}
				}
			}
		}
	}
	if h.Signal != "notice" && strings.TrimSpace(h.Consequence) == "" || h.Signal == "notice" && h.Consequence == "" && h.Avoid == "" {
		b.wrong("BP602", h.Span, "the hazard %s does not say what can happen", quoted(h.Name)).
			Helped("write: consequence \"…\"")
	}
	if strings.TrimSpace(h.Avoid) == "" {
		b.wrong("BP602", h.Span, "the hazard %s does not say how to avoid it", quoted(h.Name)).Helped("write: avoid \"…\"")
	}
	if h.ProvedWith != nil && h.Safe == nil && !h.Broken {
		b.wrong("BP203", h.Span, "the hazard %s is proved with a tool, but no condition makes it safe", quoted(h.Name)).
			Helped("write: safe when CONDITION STATE")
	}
}

func (b *binder) sign(h *Hazard, n *syntax.Name) {
	for _, s := range h.Signs {
		if s.Code == n.Text {
			b.wrong("BP202", b.at(n), "the sign %s is given twice", n.Text).Relate(s.Span, "given here")
			return
		}
	}
	if _, ok := trade.Sign(n.Text); !ok {
		m := b.wrong("BP603", b.at(n), "ISO 7010 registers no sign %s", quoted(n.Text))
		if near := trade.NearestSigns(n.Text); len(near) > 0 {
			m.Helped("did you mean %s?", strings.Join(near, " or "))
		}
		return
	}
	h.Signs = append(h.Signs, SignRef{n.Text, b.at(n)})
}

// common reads what tools, parts and consumables share.
func (b *binder) common(c *Common, d *syntax.Thing) {
	for _, p := range d.Properties {
		t, ok := p.(*syntax.TextProperty)
		if !ok {
			continue
		}
		switch t.Key() {
		case "number":
			c.Number = textValue(t.Text)
		case "detail":
			c.Detail = textValue(t.Text)
		case "plural":
			c.Plural = textValue(t.Text)
		}
	}
}

func (b *binder) replacement(s Symbol, d *syntax.Thing) {
	for _, p := range d.Properties {
		n, ok := p.(*syntax.NamesProperty)
		if !ok || n.Key() != "replaced by" || len(n.Names) == 0 {
			continue
		}
		name := n.Names[0]
		by, ok := b.known(name.Text)
		switch {
		case !ok:
			b.unknown(name.Text, b.at(name), article(s.Sort()), func(o Symbol) bool { return o.Sort() == s.Sort() })
		case by.Sort() != s.Sort():
			b.wrong("BP203", b.at(name), "%s is %s; %s is replaced by %s", quoted(name.Text), article(by.Sort()), article(s.Sort()), article(s.Sort())).
				Relate(by.Declared().Span, "declared here")
		case by == s:
			b.wrong("BP203", b.at(name), "%s is replaced by itself", quoted(name.Text))
		default:
			b.seen[b.at(name)] = true
			b.refs = append(b.refs, Reference{b.at(name), by})
			s.Declared().ReplacedBy = by
		}
	}
}

func (b *binder) kit(k *Kit, d *syntax.Thing) {
	for _, p := range d.Properties {
		switch p := p.(type) {
		case *syntax.TextProperty:
			switch p.Key() {
			case "number":
				k.Number = textValue(p.Text)
			case "detail":
				k.Detail = textValue(p.Text)
			}
		case *syntax.NamesProperty:
			for _, n := range p.Names {
				t, ok := findAs[Thing](b, n.Text, b.at(n), "a tool, a part or a consumable", false)
				if !ok {
					continue
				}
				k.Holds = append(k.Holds, t)
				if tool, ok := t.(*Tool); ok {
					tool.Kits = append(tool.Kits, k)
				}
			}
		}
	}
}

func (b *binder) figure(f *Figure, d *syntax.Thing) {
	percent, _ := quantity.LookUp("%")
	hundred := quantity.NewInt(100)
	numbers := map[int]source.Span{}
	for _, p := range d.Properties {
		switch p := p.(type) {
		case *syntax.TextProperty:
			f.File, f.FileSpan = textValue(p.Text), b.at(p.Text)
		case *syntax.MarkProperty:
			m := Mark{Span: b.at(p)}
			n, ok := wholeNumber(p.Number)
			if !ok || n < 1 {
				b.wrong("BP101", b.at(p.Number), "marks are numbered 1, 2, 3, …")
				continue
			}
			if at, twice := numbers[n]; twice {
				b.wrong("BP202", b.at(p), "the mark %d is given twice", n).Relate(at, "given here")
				continue
			}
			numbers[n] = b.at(p)
			m.Number = n
			good := true
			for i, o := range []*syntax.Operand{p.X, p.Y} {
				q, ok := b.quantity(o, nil, quantity.Ratio)
				if !ok {
					good = false
					continue
				}
				v, _ := q.In(percent)
				if v.Sign() < 0 || v.Cmp(hundred) > 0 {
					b.wrong("BP203", b.at(o), "a mark lies from 0 %% to 100 %% of the picture, not at %s", q.String())
					good = false
				}
				if i == 0 {
					m.X = v
				} else {
					m.Y = v
				}
			}
			if m.Is, ok = find[Thing](b, p.Is, "a tool, a part or a consumable"); ok && good {
				f.Marks = append(f.Marks, m)
			}
		}
	}
	if f.File == "" {
		b.wrong("BP203", f.Span, "the figure %s names no file", quoted(f.Name)).Helped("write: file \"figures/%s.svg\"", f.Name)
	}
}

func (b *binder) video(v *Video, d *syntax.Thing) {
	for _, p := range d.Properties {
		switch p := p.(type) {
		case *syntax.TextProperty:
			v.Link = textValue(p.Text)
			b.link(v.Link, b.at(p.Text))
		case *syntax.TimesProperty:
			v.From, v.To = p.From.Text, p.To.Text
			if seconds(v.To) <= seconds(v.From) {
				b.wrong("BP203", b.at(p), "the stretch ends at %s, before or where it starts, at %s", v.To, v.From)
			}
		}
	}
	if v.Link == "" {
		b.wrong("BP203", v.Span, "the video %s has no link", quoted(v.Name)).Helped("write: link \"training/%s.mp4\"", v.Name)
	}
}

// seconds reads 1:36 or 1:02:03.
func seconds(t string) int {
	s := 0
	for _, part := range strings.Split(t, ":") {
		n := 0
		for _, r := range part {
			if r >= '0' && r <= '9' {
				n = n*10 + int(r-'0')
			}
		}
		s = s*60 + n
	}
	return s
}
