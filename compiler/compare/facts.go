package compare

import (
	"strconv"
	"strings"

	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
)

// A fact is one thing that is said: of a declaration, of an action.
type fact struct {
	kind  Kind
	label string // "torque"
	id    string // with it facts of two versions find each other
	key   string // what it means; equal where nothing differs
	show  string // what a reader sees
	text  []token
	// group is what several facts are one each of: where one of them went and
	// one came, that is one change.
	group string
}

// An item is a declaration's property, an action or a branch's head, as facts.
type item struct {
	kind  Kind
	head  string // with it items of two versions find each other
	what  string // "tighten casing nut P-1005"
	show  string // the whole in words
	facts []fact
	loose bool // its place among others means nothing
}

func (it *item) key() string {
	var b strings.Builder
	b.WriteString(it.head)
	for _, f := range it.facts {
		b.WriteString("\x00" + f.id + "\x01" + f.key)
	}
	return b.String()
}

// facts gathers facts; what is empty is left out.
type facts struct {
	n    *names
	list []fact
}

func (f *facts) add(kind Kind, label, key, show string) {
	if key != "" {
		f.list = append(f.list, fact{kind: kind, label: label, id: label, key: key, show: show})
	}
}

// of adds a fact about something declared, whose title may change.
func (f *facts) of(kind Kind, label string, s library.Symbol, key, show string) {
	if key != "" {
		f.list = append(f.list, fact{kind: kind, label: label + " " + titleOf(s.Declared()), id: label + " " + f.n.key(s), key: key, show: show})
	}
}

func (f *facts) word(kind Kind, label, text string) { f.add(kind, label, text, text) }

func (f *facts) prose(kind Kind, label string, t []token) {
	if len(t) > 0 {
		f.list = append(f.list, fact{kind: kind, label: label, id: label, key: keyOf(t), show: showOf(t), text: t})
	}
}

func (f *facts) value(kind Kind, label string, v library.Value) {
	key, show := f.n.value(v)
	f.add(kind, label, key, show)
}

func (f *facts) quantity(kind Kind, label string, q *quantity.Quantity) {
	if q != nil {
		f.add(kind, label, quantityKey(*q), quantityText(*q))
	}
}

// set adds one fact for each of several symbols, whose order means nothing.
func set[T library.Symbol](f *facts, kind Kind, label string, symbols []T) {
	for _, s := range symbols {
		member(f, kind, label, s, f.n.key(s), symbol(s))
	}
}

// member adds one of several things that are said alike.
func member(f *facts, kind Kind, label string, s library.Symbol, key, show string) {
	f.list = append(f.list, fact{kind: kind, label: label, id: label + " " + f.n.key(s), key: key, show: show, group: label})
}

// one adds a symbol that may be nil.
func one[T interface {
	comparable
	library.Symbol
}](f *facts, kind Kind, label string, s T) {
	var none T
	if s != none {
		f.add(kind, label, f.n.key(s), symbol(s))
	}
}

func (f *facts) allows(list []library.Allow) {
	for _, a := range list {
		f.prose(KindRule, "rule "+a.Code+" turned off", plain(a.Code+": "+a.Reason))
	}
}

func (f *facts) common(c *library.Common) {
	f.prose(KindTitle, "title", plain(c.Title))
	f.word(KindNumber, "number", c.Number)
	f.prose(KindText, "detail", plain(c.Detail))
	f.word(KindTitle, "plural", c.Plural)
	if c.ReplacedBy != nil {
		f.add(KindTool, "replaced by", f.n.key(c.ReplacedBy), symbol(c.ReplacedBy))
	}
}

const decisionRule = "decision rule"

func (n *names) ofLibrary(l *library.Library) []fact {
	f := &facts{n: n}
	f.prose(KindTitle, "title", plain(l.Title))
	f.word(KindOwner, "owner", l.Owner)
	f.word(KindLanguage, "language", l.Language)
	decision := "simple: limits stand as written"
	if l.Decision.Guarded {
		decision = "guarded, factor " + l.Decision.Factor.Exact()
	}
	f.word(KindRule, decisionRule, decision)
	f.allows(l.Allows)
	return f.list
}

// of gives what is said of a declaration, flow apart. picture gives the digest
// of a figure's file.
func (n *names) of(s library.Symbol, picture func(*library.Figure) string) []fact {
	f := &facts{n: n}
	switch s := s.(type) {
	case *library.Tool:
		n.tool(f, s)
	case *library.Part:
		n.part(f, s)
	case *library.Consumable:
		f.common(&s.Common)
	case *library.Kit:
		f.prose(KindTitle, "title", plain(s.Title))
		f.word(KindNumber, "number", s.Number)
		f.prose(KindText, "detail", plain(s.Detail))
		set(f, KindKit, "holds", s.Holds)
	case *library.Variant:
		f.prose(KindTitle, "title", plain(s.Title))
		for _, m := range s.Members {
			member(f, KindMembers, "member", m, n.key(m)+" "+m.Title, titleOf(&m.Decl))
		}
	case *library.Condition:
		f.prose(KindTitle, "title", plain(s.Title))
		for _, x := range s.States {
			member(f, KindCondition, "state", x, n.key(x)+" "+x.Title, titleOf(&x.Decl))
		}
		one(f, KindCondition, "begins", s.Begins)
		one(f, KindCondition, "ends", s.Ends)
	case *library.Hazard:
		n.hazard(f, s)
	case *library.Table:
		n.table(f, s)
	case *library.Figure:
		f.prose(KindTitle, "title", plain(s.Title))
		if d := picture(s); d != "" {
			f.add(KindFigure, "picture", d, "the picture in "+s.File)
		}
		for _, m := range s.Marks {
			label := "mark " + strconv.Itoa(m.Number)
			key, show := m.X.Exact()+" "+m.Y.Exact(), "at "+m.X.String()+" %, "+m.Y.String()+" %"
			if m.Is != nil {
				key, show = key+" "+n.key(m.Is), thing(m.Is)+" "+show
			}
			f.add(KindFigure, label, key, show)
		}
	case *library.Video:
		f.prose(KindTitle, "title", plain(s.Title))
		f.word(KindFigure, "link", s.Link)
		f.word(KindFigure, "from", s.From)
		f.word(KindFigure, "to", s.To)
	case *library.Routine:
		f.prose(KindTitle, "title", plain(s.Title))
	}
	return f.list
}

func (n *names) tool(f *facts, t *library.Tool) {
	f.common(&t.Common)
	span := func(label string, s *library.Span) {
		if s != nil {
			f.add(KindInstrument, label, quantityKey(s.From)+" to "+quantityKey(s.To), "from "+quantityText(s.From)+" to "+quantityText(s.To))
		}
	}
	span("reads", t.Reads)
	span("sets", t.Sets)
	f.quantity(KindInstrument, "resolution", t.Resolution)
	if t.Uncertainty != nil {
		of := pick(t.Share, " of reading", "")
		f.add(KindInstrument, "uncertainty", quantityKey(*t.Uncertainty)+of, quantityText(*t.Uncertainty)+of)
	}
	f.quantity(KindInstrument, "drills", t.Drills)
	f.word(KindInstrument, "taps", t.Taps+pick(t.TapsInsert, " for insert", ""))
	if t.Lead != nil {
		f.word(KindInstrument, "lead", t.Lead.Exact())
	}
	f.quantity(KindInstrument, "lifts", t.Lifts)
	f.quantity(KindInstrument, "length", t.Length)
	f.quantity(KindInstrument, "extends", t.Extends)
	f.word(KindInstrument, "calibrated", t.Calibrated)
	f.word(KindInstrument, "calibration due", t.Due)
	set(f, KindHazard, "carries", t.Carries)
}

func (n *names) part(f *facts, p *library.Part) {
	f.common(&p.Common)
	one(f, KindPart, "kind", p.Kind)
	set(f, KindPart, "behind", p.Behind)
	set(f, KindHazard, "guards", p.Guards)
	if p.SingleUse {
		f.word(KindProperty, "single-use", "for single use")
	}
	f.word(KindProperty, "thread", p.Thread)
	f.word(KindProperty, "class", p.Class)
	f.quantity(KindProperty, "mass", p.Mass)
}

func (n *names) hazard(f *facts, h *library.Hazard) {
	f.prose(KindTitle, "title", plain(h.Title))
	f.word(KindHazard, "signal word", h.Signal)
	f.prose(KindText, "consequence", plain(h.Consequence))
	f.prose(KindText, "how it is avoided", plain(h.Avoid))
	for _, s := range h.Signs {
		f.list = append(f.list, fact{kind: KindSign, label: "sign", id: "sign " + s.Code, key: s.Code, show: s.Code, group: "sign"})
	}
	one(f, KindCondition, "safe when", h.Safe)
	one(f, KindTool, "proved with", h.ProvedWith)
}

func (n *names) table(f *facts, t *library.Table) {
	one(f, KindMembers, "by", t.Variant)
	for _, c := range t.Columns {
		column := c.Name[strings.LastIndexByte(c.Name, '.')+1:]
		for i, has := range c.Has {
			if !has || t.Variant == nil || i >= len(t.Variant.Members) {
				continue
			}
			m := t.Variant.Members[i]
			if c.IsThings() {
				f.of(sortKind(c.Things[i]), column+" of", m, n.key(c.Things[i]), thing(c.Things[i]))
			} else {
				f.of(KindValue, column+" of", m, quantityKey(c.Values[i]), quantityText(c.Values[i]))
			}
		}
	}
}

// ofProcedure gives what is said of a procedure ahead of its flow.
func (n *names) ofProcedure(p *library.Procedure) []fact {
	f := &facts{n: n}
	f.prose(KindTitle, "title", plain(p.Title))
	f.word(KindNumber, "document number", p.Document)
	for _, r := range p.Revisions {
		f.prose(KindRevision, "revision "+r.Name, plain(r.Name+" on "+r.Date+" "+r.Note))
	}
	f.prose(KindSkill, "skill", plain(p.Skill))
	f.prose(KindPurpose, "purpose", plain(p.Purpose))
	for _, a := range p.Applies {
		for _, m := range a.Members {
			member(f, KindMembers, "applies to "+titleOf(&a.Variant.Decl), m, n.key(m), titleOf(&m.Decl))
		}
	}
	for _, c := range p.Begins {
		f.of(KindCondition, "begins with", c.State.Condition, n.key(c.State), titleOf(&c.State.Decl))
	}
	for _, it := range p.BeginsWithout {
		key, show := n.itemOf(it)
		f.list = append(f.list, fact{kind: KindPart, label: "begins without", id: "begins without " + key, key: key, show: show, group: "begins without"})
	}
	for _, c := range p.Ends {
		f.of(KindCondition, "ends with", c.State.Condition, n.key(c.State), titleOf(&c.State.Decl))
	}
	f.allows(p.Allows)
	return f.list
}

// itemOf gives a thing and its count.
func (n *names) itemOf(it library.Item) (key, show string) {
	if it.Column != nil {
		key, show = n.key(it.Column), it.Column.Name
	} else {
		key, show = n.key(it.Thing), thing(it.Thing)
	}
	if it.Count > 1 {
		key += " x " + strconv.Itoa(it.Count)
		show += " × " + strconv.Itoa(it.Count)
	}
	return key, show
}

// ofReleases gives which revisions are released and withdrawn.
func ofReleases(list []*library.Released) []fact {
	f := &facts{}
	for _, r := range list {
		show := "by " + r.By + " on " + r.Date
		if r.Reason != "" {
			show += ": " + r.Reason
		}
		f.add(KindRelease, "revision "+r.Revision+" "+r.Sort(), show+"\x00"+r.Method+" "+r.Fingerprint, show)
	}
	return f.list
}

func (n *names) ofTrial(t *library.Trial) []fact {
	f := &facts{n: n}
	for _, m := range t.Members {
		f.of(KindMembers, "member of", m.Member.Variant, n.key(m.Member), titleOf(&m.Member.Decl))
	}
	for _, v := range t.Values {
		var keys, shows []string
		var of library.Symbol = v.Question
		if v.Question != nil {
			for _, a := range v.Answers {
				keys, shows = append(keys, n.key(a)), append(shows, titleOf(&a.Decl))
			}
		} else if v.Reading != nil {
			of = v.Reading
			for _, x := range v.Values {
				k, s := n.value(x)
				keys, shows = append(keys, k), append(shows, s)
			}
		}
		f.of(KindTrial, "value of", of, strings.Join(keys, ", "), strings.Join(shows, ", "))
	}
	for _, e := range t.Expect {
		key, show := e.Kind, e.Kind
		switch {
		case e.Thing != nil:
			key, show = key+" "+n.key(e.Thing), thing(e.Thing)+pick(e.Not, " not ", " ")+e.Kind
		case e.Hazard != nil:
			key, show = key+" "+n.key(e.Hazard), titleOf(&e.Hazard.Decl)+pick(e.Not, " not ", " ")+e.Kind
		case e.Time != nil:
			k, s := n.limits(e.Time)
			key, show = key+" "+k, "time "+s
		case e.To != nil:
			key, show = key+" "+e.Outcome+" "+n.key(e.To), "finish "+e.Outcome+" to "+symbol(e.To)
		default:
			key, show = key+" "+e.Outcome, "finish "+e.Outcome
		}
		key += strconv.FormatBool(e.Not)
		f.list = append(f.list, fact{kind: KindTrial, label: "expects", id: "expects " + key, key: key, show: show, group: "expects"})
	}
	return f.list
}
