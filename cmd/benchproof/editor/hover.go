package editor

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/x/powernap/pkg/lsp/protocol"

	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
	"benchproof/compiler/trade"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// hover tells of what stands under the cursor: a declared thing, a value, a
// word of the language, or a code.
func (s *server) hover(p *protocol.HoverParams) (any, error) {
	var out *protocol.Hover
	s.look(p.TextDocument.URI, func(sc *scene) {
		text, at := sc.about(sc.lines.offset(p.Position))
		if text == "" {
			return
		}
		kind := protocol.PlainText
		if s.client.markdown {
			kind = protocol.Markdown
		}
		out = &protocol.Hover{Range: sc.lines.rangeOf(at.Start, at.End)}
		out.Contents = protocol.MarkupContent{Kind: kind, Value: text}
	})
	if out == nil {
		return nil, nil
	}
	return out, nil
}

// about gives what is told of an offset, and of which stretch.
func (sc *scene) about(offset int) (string, source.Span) {
	if sym, at := sc.symbolAt(offset); sym != nil {
		return sc.describe(sym), at
	}
	t := sc.tokenAt(offset)
	if t == nil {
		return "", source.Span{}
	}
	at := sc.file.Source.Span(t.Pos.Offset, t.Pos.Offset+len(t.Value))
	switch t.Type {
	case syntax.NumberToken, syntax.PercentToken:
		return sc.value(offset)
	case syntax.WordToken:
	default:
		return "", at
	}
	if text, whole := sc.value(offset); text != "" {
		return text, whole
	}
	if text := code(t.Value); text != "" {
		return text, at
	}
	pl := placeAt(sc.file, t.Pos.Offset+len(t.Value))
	if n := len(pl.entry); n > 0 && pl.begins(&pl.entry[n-1], t) {
		pl.entry = nil
	}
	pl.entry = append(slices.Clone(pl.entry), *t)
	if k, ok := keyword(pl.block().ctx, pl.entry); ok && strings.Contains(k.Key, t.Value) {
		return syntaxOf(k), at
	}
	return "", at
}

func syntaxOf(k syntax.Keyword) string {
	return fmt.Sprintf("`%s`\n\n%s", strings.TrimSpace(k.Key+" "+k.Syntax), k.Meaning)
}

// code tells what a message's or a sign's code means.
func code(word string) string {
	if e, ok := message.Find(word); ok {
		return fmt.Sprintf("**%s** %s\n\n`benchproof explain %s` says more", e.Code, e.Title, e.Code)
	}
	if s, ok := trade.Sign(word); ok {
		return fmt.Sprintf("**%s** %s (ISO 7010)", s.Code, s.Referent)
	}
	return ""
}

// value tells of the number with its unit at an offset: the same in other units.
func (sc *scene) value(offset int) (string, source.Span) {
	var found *syntax.Operand
	syntax.WalkFile(sc.file, func(n syntax.Place) bool {
		if offset < n.Start() || offset > n.End() {
			return false
		}
		if o, ok := n.(*syntax.Operand); ok && o.Number != nil {
			found = o
		}
		return true
	})
	if found == nil || found.Unit == nil {
		return "", source.Span{}
	}
	u, ok := quantity.LookUp(found.Unit.Text)
	if !ok {
		return "", source.Span{}
	}
	n, err := quantity.ParseNumber(found.Number.Text)
	if err != nil {
		return "", source.Span{}
	}
	text := "**" + quantity.New(n, u).String() + "** (" + u.Name + ")"
	if others := inOthers(quantity.New(n, u)); len(others) > 0 {
		text += "\n\n" + strings.Join(others, "  \n")
	}
	return text, found.In(sc.file.Source)
}

// otherUnits are the units in which a value is shown beside its own, by
// dimension: those that drawings and instruments of the trade use.
var otherUnits = map[quantity.Dimension][]string{
	quantity.Length:        {"mm", "inch", "um"},
	quantity.Area:          {"mm2", "cm2", "in2"},
	quantity.Volume:        {"L", "mL", "gal"},
	quantity.Mass:          {"kg", "lb", "g"},
	quantity.Time:          {"min", "s", "h"},
	quantity.Speed:         {"m/min", "m/s", "ft/min"},
	quantity.RotationSpeed: {"rpm", "rad/s"},
	quantity.Flow:          {"L/min", "m3/h", "gpm"},
	quantity.Angle:         {"deg", "rad"},
	quantity.Force:         {"N", "kN", "lbf"},
	quantity.Torque:        {"N.m", "lbf.ft", "lbf.in"},
	quantity.Pressure:      {"bar", "kPa", "psi"},
	quantity.Energy:        {"J", "kWh"},
	quantity.Temperature:   {"degC", "degF", "K"},
}

// figures is with how many figures a converted value is shown.
const figures = 5

// inOthers gives a quantity in the other units of its dimension.
func inOthers(q quantity.Quantity) (out []string) {
	for _, code := range otherUnits[q.Dimension()] {
		u, _ := quantity.LookUp(code)
		if u == nil || u == q.Unit {
			continue
		}
		n, err := q.In(u)
		if err != nil {
			continue
		}
		rounded := n.Round(placesFor(n))
		sign := "= "
		if !rounded.Equal(n) {
			sign = "≈ "
		}
		out = append(out, sign+quantity.New(rounded, u).String())
	}
	return out
}

// placesFor gives the decimals with which a number has enough figures.
func placesFor(n quantity.Number) int {
	places := figures - 1
	ten := quantity.NewInt(10)
	for limit := ten; places > 0 && n.Abs().Cmp(limit) >= 0; limit = limit.Mul(ten) {
		places--
	}
	for limit := quantity.NewInt(1); places < 12 && n.Sign() != 0 && n.Abs().Cmp(limit) < 0; limit = limit.Quo(ten) {
		places++
	}
	return places
}

// A page is what is told of a declared thing.
type page struct {
	lines []string
}

func (p *page) say(format string, args ...any) {
	p.lines = append(p.lines, fmt.Sprintf(format, args...))
}

// about says a line about a text that is not empty.
func (p *page) about(word, text string) {
	if text != "" {
		p.say("%s", strings.TrimSpace(word+" "+text))
	}
}

func (p *page) quantity(word string, q *quantity.Quantity) {
	if q != nil {
		p.say("%s %s%s", word, q, brackets(inOthers(*q)))
	}
}

func (p *page) span(word string, s *library.Span) {
	if s == nil {
		return
	}
	var others []string
	for _, o := range otherUnits[s.From.Dimension()] {
		u, _ := quantity.LookUp(o)
		if u == s.From.Unit {
			continue
		}
		low, err1 := s.From.In(u)
		high, err2 := s.To.In(u)
		if err1 == nil && err2 == nil {
			others = append(others, fmt.Sprintf("%s to %s", quantity.New(low.Round(placesFor(low)), u), quantity.New(high.Round(placesFor(high)), u)))
			break
		}
	}
	p.say("%s %s to %s%s", word, s.From, s.To, brackets(others))
}

func brackets(list []string) string {
	if len(list) == 0 {
		return ""
	}
	return " (" + strings.Join(list, ", ") + ")"
}

func named[T library.Symbol](list []T) string {
	names := make([]string, len(list))
	for i, s := range list {
		names[i] = s.Declared().Name
	}
	return strings.Join(names, ", ")
}

// describe tells of a declared thing: what it is, its values, and where it is used.
func (sc *scene) describe(s library.Symbol) string {
	p := &page{}
	d := s.Declared()
	head := "**" + d.Name + "** " + s.Sort()
	if d.Title != "" && d.Title != d.Name {
		head += ": " + d.Title
	}
	p.say("%s", head)
	if f := d.Span.File; f != nil && f.Sheet != nil {
		_, row, _, _ := d.Span.Shown()
		p.say("%s%s: %s", f.Path, message.Cell(d.Span), row)
	}
	if d.ReplacedBy != nil {
		p.say("replaced by %s", d.ReplacedBy.Declared().Name)
	}
	switch s := s.(type) {
	case *library.Tool:
		sc.tool(p, s)
		p.about("calibration due", s.Due)
	case *library.Part:
		sc.part(p, s)
	case *library.Consumable:
		p.about("number", s.Number)
		p.about("detail", s.Detail)
	case *library.Kit:
		p.about("number", s.Number)
		p.about("holds", named(s.Holds))
	case *library.Hazard:
		p.about("signal word", s.Signal)
		p.about("", s.Consequence)
		p.about("", s.Avoid)
		if s.Safe != nil {
			p.say("safe when %s %s", s.Safe.Condition.Name, s.Safe.Name)
		}
		if s.ProvedWith != nil {
			p.say("proved with %s", s.ProvedWith.Name)
		}
		for _, sign := range s.Signs {
			known, _ := trade.Sign(sign.Code)
			p.say("%s %s", sign.Code, known.Referent)
		}
	case *library.Variant:
		for _, m := range s.Members {
			p.say("%s: %s", m.Name, m.Title)
		}
	case *library.Member:
		p.say("member of %s", s.Variant.Title)
	case *library.Condition:
		p.about("states", named(s.States))
		if s.Begins != nil {
			p.say("begins %s", s.Begins.Name)
		}
		if s.Ends != nil {
			p.say("ends %s", s.Ends.Name)
		}
	case *library.State:
		p.say("state of %s", s.Condition.Title)
	case *library.Table:
		p.about("by", variantName(s))
		p.about("columns", named(s.Columns))
	case *library.Column:
		p.about("", strings.ReplaceAll(sc.columnWords(s), "\n", "  \n"))
	case *library.Reading:
		sc.reading(p, s)
	case *library.Question:
		for _, a := range s.Answers {
			p.say("%s: %s", a.Name, a.Title)
		}
	case *library.Answer:
		p.say("answer to %s", s.Question.Title)
	case *library.Figure:
		p.about("file", s.File)
		for _, m := range s.Marks {
			p.say("%d: %s", m.Number, m.Is.Declared().Title)
		}
	case *library.Video:
		p.about("link", s.Link)
		if s.From != "" {
			p.say("from %s to %s", s.From, s.To)
		}
	case *library.Procedure:
		p.about("document", s.Document)
		p.about("", s.Purpose)
		if len(s.Revisions) > 0 {
			p.say("revision %s on %s", s.Revisions[0].Name, s.Revisions[0].Date)
		}
	}
	p.about("", sc.used(s))
	return strings.Join(p.lines, "\n\n")
}

func (sc *scene) tool(p *page, t *library.Tool) {
	p.about("number", t.Number)
	p.about("detail", t.Detail)
	p.span("reads", t.Reads)
	p.span("sets", t.Sets)
	p.quantity("resolution", t.Resolution)
	label := "uncertainty (k = 2)"
	if t.Share {
		label = "uncertainty (k = 2), of the reading"
	}
	p.quantity(label, t.Uncertainty)
	p.quantity("drills", t.Drills)
	if t.Taps != "" {
		insert := ""
		if t.TapsInsert {
			insert = " for insert"
		}
		p.say("taps %s%s", t.Taps, insert)
	}
	p.quantity("lifts", t.Lifts)
	p.quantity("length", t.Length)
	p.quantity("extends", t.Extends)
	p.about("carries", named(t.Carries))
	p.about("in kit", named(t.Kits))
}

func (sc *scene) part(p *page, t *library.Part) {
	p.about("number", t.Number)
	p.about("detail", t.Detail)
	if t.Kind != nil {
		p.say("of the kind %s", t.Kind.Name)
	}
	p.about("behind", named(t.Behind))
	p.about("guards", named(t.Guards))
	if t.SingleUse {
		p.say("single-use")
	}
	if t.Thread != "" {
		p.about("thread", strings.TrimSpace(t.Thread+" class "+t.Class))
	}
	p.quantity("mass", t.Mass)
}

// columnWords tells the values of a column by member, in other units too.
func (sc *scene) columnWords(c *library.Column) string {
	if c.IsThings() || c.Table.Variant == nil {
		return sc.byMember(c)
	}
	var lines []string
	for i, m := range c.Table.Variant.Members {
		if i < len(c.Has) && c.Has[i] {
			lines = append(lines, fmt.Sprintf("%s: %s%s", m.Name, c.Values[i], brackets(first(inOthers(c.Values[i])))))
		} else {
			lines = append(lines, m.Name+": missing")
		}
	}
	return strings.Join(lines, "\n")
}

func first(list []string) []string { return list[:min(1, len(list))] }

func (sc *scene) reading(p *page, r *library.Reading) {
	if r.Unit != nil {
		of := ""
		if r.Of != "" {
			of = fmt.Sprintf("%s of %d, ", r.Of, r.N)
		}
		p.say("%sin %s", of, r.Unit.Symbol)
	}
	if r.With != nil {
		p.say("measured with %s", r.With.Name)
		p.span("it reads", r.With.Reads)
	}
}

// used tells where a thing is named: how often, and in which procedures.
func (sc *scene) used(s library.Symbol) string {
	places := sc.places(s)
	n := 0
	var names []string
	for _, at := range places {
		if at == s.Declared().Span {
			continue
		}
		n++
		name := sc.declarationAround(at)
		if name != "" && !slices.Contains(names, name) {
			names = append(names, name)
		}
	}
	if n == 0 {
		return "named nowhere else"
	}
	word := "places"
	if n == 1 {
		word = "place"
	}
	const shown = 5
	more := ""
	if len(names) > shown {
		more = fmt.Sprintf(" and %d more", len(names)-shown)
		names = names[:shown]
	}
	return fmt.Sprintf("named in %d %s: %s%s", n, word, strings.Join(names, ", "), more)
}

// declarationAround names the declaration that a place stands in.
func (sc *scene) declarationAround(at source.Span) string {
	f := sc.File(at.File.Path)
	if f == nil {
		return ""
	}
	for _, d := range f.Declarations {
		if d.Start() > at.Start || at.End > d.End() {
			continue
		}
		switch d := d.(type) {
		case *syntax.Thing:
			if d.Name != nil {
				return d.Name.Text
			}
		case *syntax.Routine:
			return d.Name.Text
		case *syntax.Procedure:
			return d.Name.Text
		case *syntax.Trial:
			return "trial " + d.Title.Raw
		case *syntax.Released:
			return d.Keyword() + " " + d.Of.Text + " " + d.Revision.Text
		}
	}
	return ""
}
