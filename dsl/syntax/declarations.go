package syntax

import (
	"time"

	"github.com/alecthomas/participle/v2/lexer"
)

// kinds tells the context that the braces of each plain declaration are.
var kinds = map[string]Context{
	"library": InLibrary, "variant": InVariant, "condition": InCondition, "hazard": InHazard, "tool": InTool, "kit": InKit,
	"part": InPart, "consumable": InConsumable, "catalogue": InCatalogue, "table": InTable, "figure": InFigure, "video": InVideo,
}

// signalWords are those of ANSI Z535.6 and ISO 3864-2, with notice for damage
// to things.
var signalWords = []string{"danger", "warning", "caution", "notice"}

// declaration parses one declaration of a file; nil where nothing came of it.
func (p *parser) declaration(t *lexer.Token) Declaration {
	if t.Type == WordToken {
		switch t.Value {
		case "routine":
			return p.routine()
		case "procedure":
			return p.procedure()
		case "trial":
			return p.trial()
		case "released":
			return p.released(InReleased)
		case "withdrawn":
			return p.released(InWithdrawn)
		}
		if ctx, ok := kinds[t.Value]; ok {
			return p.thing(ctx)
		}
	}
	if isPunct(t, "}") {
		if p.lex.RawCursor() == 0 || !p.uneven || p.failures == 0 {
			p.at(t.Pos.Offset, t, `a "}" too many: no block is open here`)
		}
		p.lex.Next()
		return nil
	}
	p.stray(InFile, t)
	return nil
}

// damage gives a function that tells whether anything from here to the next
// token could not be read.
func (p *parser) damage() func() bool {
	failures, from := p.failures, p.lex.Peek().Pos.Offset
	return func() bool {
		if p.failures != failures {
			return true
		}
		to := p.lex.Peek().Pos.Offset
		for _, x := range p.faults {
			if x.start >= from && x.start < to {
				return true
			}
		}
		return false
	}
}

func (p *parser) thing(ctx Context) Declaration {
	e, damaged := p.begin(InFile), p.damage()
	v, err := thingGrammar.parse(p.lex)
	if err == nil {
		err = p.checkThing(e, v, ctx)
	}
	opens := p.header(e, ctx, v.Pos, err, true)
	if p.again {
		return nil
	}
	if opens {
		p.block(ctx, v.Pos, func(t *lexer.Token) {
			if q := p.property(ctx, t); q != nil {
				v.Properties = append(v.Properties, q)
			}
		})
	}
	v.close(p.lex)
	if v.Name == nil && !nameless(ctx) {
		return nil
	}
	if v.Title == nil && ctx != InTable {
		at := v.Kind.EndPos
		for _, n := range [...]*Name{v.Name, v.By, v.Signal} {
			if n != nil {
				at = n.EndPos
			}
		}
		v.Title = p.absent(at)
	}
	v.Broken = damaged()
	return v
}

// nameless tells of the declarations that nothing names.
func nameless(ctx Context) bool { return ctx == InLibrary || ctx == InCatalogue }

// checkThing tells whether a head has what its kind asks for and no more: the
// grammar takes them all.
func (p *parser) checkThing(e entry, v *Thing, ctx Context) error {
	extra := func(t *lexer.Token, terms ...string) error {
		if !p.takenForName(e) && !p.takenForName(entry{ctx, e.start, e.from}) {
			p.at(v.Start(), t, "expected %s, found %s", phrase(terms), describe(t))
		}
		return &reported{}
	}
	switch {
	case nameless(ctx) && v.Name != nil:
		return extra(p.read(v.Name.Start()), "Text")
	case !nameless(ctx) && v.Name == nil:
		return p.lacks(e, ctx, v.Kind.EndPos, "Name")
	}
	switch {
	case v.By != nil && ctx != InTable:
		return extra(p.read(v.By.Start()-1), "Text")
	case ctx == InTable && v.By == nil && v.Signal != nil:
		return extra(p.read(v.Signal.Start()), `"by"`)
	case ctx == InTable && v.By == nil:
		return p.lacks(e, ctx, v.Name.EndPos, `"by"`)
	case ctx == InTable && v.Title != nil:
		t := p.read(v.Title.Start())
		p.at(v.Start(), t, `expected "{", found %s: a table has no title`, describe(t))
		v.Title = nil
		return &reported{}
	case ctx == InTable:
		return nil
	case ctx == InHazard && v.Signal == nil:
		return p.lacks(e, ctx, v.Name.EndPos, "Signal")
	case ctx == InHazard && !member(signalWords, v.Signal.Text):
		t := p.read(v.Signal.Start())
		m := p.at(v.Start(), t, "expected %s, found %s", phrase([]string{"Signal"}), describe(t))
		if near := nearest(v.Signal.Text, signalWords); near != "" {
			m.Helped(`write "%s"`, near).Mend(p.span(t), near)
		}
		return &reported{}
	case ctx != InHazard && v.Signal != nil:
		return extra(p.read(v.Signal.Start()), "Text")
	case v.Title == nil:
		if v.Name != nil {
			return p.lacks(e, ctx, v.Name.EndPos, "Text")
		}
		return p.lacks(e, ctx, v.Kind.EndPos, "Text")
	}
	return nil
}

// lacks is the error of something missing at a place that the grammar has
// passed already.
func (p *parser) lacks(e entry, ctx Context, at lexer.Position, term string) error {
	if p.takenForName(e) || p.takenForName(entry{ctx, e.start, e.from}) {
		return &reported{}
	}
	t := p.lex.Peek()
	b := p.read(at.Offset - 1)
	if b.Pos.Offset == p.before().Pos.Offset && b.Pos.Line == t.Pos.Line && !isPunct(t, "{") {
		return &wanted{found: *t, terms: []string{term}}
	}
	p.at(b.Pos.Offset, b, "expected %s behind %s", phrase([]string{term}), describe(b))
	return &reported{}
}

func member(list []string, word string) bool {
	for _, w := range list {
		if w == word {
			return true
		}
	}
	return false
}

// read gives the last token of the grammar read that starts at or before an
// offset.
func (p *parser) read(offset int) *lexer.Token {
	all := p.lex.Range(0, p.lex.RawCursor())
	for i := len(all) - 1; i >= 0; i-- {
		if t := &all[i]; t.Pos.Offset <= offset && t.Type != CommentToken && t.Type != BadToken {
			return t
		}
	}
	return p.before()
}

func (p *parser) routine() Declaration {
	e, damaged := p.begin(InFile), p.damage()
	v, err := routineGrammar.parse(p.lex)
	opens := p.header(e, InRoutine, v.Pos, err, true)
	if p.again {
		return nil
	}
	if opens {
		v.Body = p.body(InRoutine, v.Pos)
	}
	v.close(p.lex)
	if v.Name == nil {
		return nil
	}
	if v.Title == nil {
		v.Title = p.absent(v.Name.EndPos)
	}
	v.Broken = damaged()
	return v
}

func (p *parser) procedure() Declaration {
	e, damaged := p.begin(InFile), p.damage()
	v, err := procedureGrammar.parse(p.lex)
	opens := p.header(e, InProcedure, v.Pos, err, true)
	if p.again {
		return nil
	}
	if opens {
		p.block(InProcedure, v.Pos, func(t *lexer.Token) {
			if t.Type == WordToken && canStand(InRoutine, t.Value) {
				if s := p.statement(InProcedure, t); s != nil {
					v.Body = append(v.Body, s)
				}
				return
			}
			if q := p.property(InProcedure, t); q != nil {
				if len(v.Body) > 0 {
					b := v.Body[0]
					m := p.report(p.spanOf(q), `"%s" stands behind the first step: what is said of the whole procedure stands before it`, q.Key())
					m.Relate(p.spanOf(b), "the steps start here")
				}
				v.Properties = append(v.Properties, q)
			}
		})
	}
	v.close(p.lex)
	if v.Name == nil {
		return nil
	}
	if v.Title == nil {
		v.Title = p.absent(v.Name.EndPos)
	}
	v.Broken = damaged()
	return v
}

func (p *parser) trial() Declaration {
	e, damaged := p.begin(InFile), p.damage()
	v, err := trialGrammar.parse(p.lex)
	opens := p.header(e, InTrial, v.Pos, err, true)
	if p.again {
		return nil
	}
	if opens {
		p.block(InTrial, v.Pos, func(t *lexer.Token) { p.trialLine(v, t) })
	}
	v.close(p.lex)
	if v.Title == nil || v.Of == nil {
		return nil
	}
	v.Broken = damaged()
	return v
}

func (p *parser) released(ctx Context) Declaration {
	e, damaged := p.begin(InFile), p.damage()
	v := &Released{}
	err := v.Parse(p.lex)
	opens := p.header(e, ctx, v.Pos, err, true)
	if p.again {
		return nil
	}
	if opens {
		p.block(ctx, v.Pos, func(t *lexer.Token) {
			if q := p.property(ctx, t); q != nil {
				v.Properties = append(v.Properties, q)
			}
		})
	}
	v.close(p.lex)
	if v.Of == nil || v.Revision == nil {
		return nil
	}
	v.Broken = damaged()
	return v
}

// trialLine parses one entry of a trial: `expect …`, or a name with its values.
func (p *parser) trialLine(v *Trial, t *lexer.Token) {
	if t.Type != WordToken {
		p.stray(InTrial, t)
		return
	}
	e := p.begin(InTrial)
	if p.mistyped(InTrial, t, "expect") {
		return
	}
	if t.Value == "expect" {
		p.lex.Next()
		var list []*Expectation
		var err error
		for {
			x := &Expectation{}
			if err = x.Parse(p.lex); err != nil {
				break
			}
			list = append(list, x)
			if !isPunct(p.lex.Peek(), ",") {
				break
			}
			p.lex.Next()
		}
		if p.done(e, err) {
			v.Expect = append(v.Expect, list...)
		}
		return
	}
	if !p.firstOnLine() && startsExpectation(t, second(p.lex)) {
		p.junk(e, t) // a further one, without its comma
		p.resync(e)
		return
	}
	entry := &TrialEntry{}
	if p.done(e, entry.Parse(p.lex)) {
		v.Entries = append(v.Entries, entry)
	}
}

// mistyped sets a keyword right that stands where words of the writer's do: a
// word much like it that is followed by two words or by a comma behind one, as
// no value is.
func (p *parser) mistyped(ctx Context, t *lexer.Token, keyword string) bool {
	if nearest(t.Value, []string{keyword}) == "" {
		return false
	}
	cp := p.lex.MakeCheckpoint()
	p.lex.Next()
	first := *p.lex.Next()
	second := *p.lex.Peek()
	p.lex.LoadCheckpoint(cp)
	if first.Type != WordToken || second.Type != WordToken && !isPunct(&second, ",") || second.Pos.Line != first.Pos.Line {
		return false
	}
	p.misplaced(p.begin(ctx), t, keyword)
	return true
}

// expectVerbs are what an expectation can say of a thing.
var expectVerbs = []string{"fitted", "used", "met"}

// startsExpectation tells whether two words in a row are the start of an
// expectation rather than a name and its value.
func startsExpectation(t, next *lexer.Token) bool {
	switch {
	case next.Type != WordToken:
		return false
	case t.Value == "finish":
		return member(outcomes, next.Value)
	case t.Value == "time":
		return member(rangeWords, next.Value)
	}
	return next.Value == "not" || member(expectVerbs, next.Value)
}

// Parse reads one expectation:
//
//	THING [not] fitted | THING [not] used | HAZARD [not] met | finish OUTCOME
//	| finish refer to PROCEDURE | time RANGE
func (x *Expectation) Parse(lex *lexer.PeekingLexer) error {
	x.begin(lex)
	if lex.Peek().Type != WordToken {
		return want(lex, "Name", `"finish"`, `"time"`)
	}
	behind := second(lex)
	about := behind.Type == WordToken && (behind.Value == "not" || member(expectVerbs, behind.Value))
	first := &Name{}
	first.Text = first.take(lex)
	switch {
	case first.Text == "finish" && !about:
		x.Verb = first
		x.Outcome = &Name{}
		if t := lex.Peek(); t.Type != WordToken || !member(outcomes, t.Value) {
			return want(lex, outcomeTerms...)
		}
		x.Outcome.Text = x.Outcome.take(lex)
		if isWord(lex.Peek(), "to") {
			lex.Next()
			x.Refer = &Name{}
			if x.Refer.Parse(lex) != nil {
				return want(lex, "Name")
			}
		}
	case first.Text == "time" && !about:
		x.Verb = first
		x.Time = &Range{}
		if err := x.Time.Parse(lex); err != nil {
			if w, ok := err.(*wanted); ok {
				return w
			}
			return want(lex, "Range")
		}
	default:
		x.Name = first
		if isWord(lex.Peek(), "not") {
			lex.Next()
			x.Not = true
		}
		if t := lex.Peek(); t.Type != WordToken || !member(expectVerbs, t.Value) {
			if x.Not {
				return want(lex, `"fitted"`, `"used"`, `"met"`)
			}
			return want(lex, `"fitted"`, `"used"`, `"met"`, `"not"`)
		}
		x.Verb = &Name{}
		x.Verb.Text = x.Verb.take(lex)
	}
	x.close(lex)
	return nil
}

// property parses one property, member or row of a declaration.
func (p *parser) property(ctx Context, t *lexer.Token) Property {
	if t.Type == WordToken {
		if k := p.keyword(ctx, t); k != nil {
			return p.keyed(ctx, k)
		}
		switch {
		case ctx == InVariant:
			if m := p.member(ctx); m != nil {
				return m
			}
			return nil
		case ctx == InTable:
			if p.mistyped(ctx, t, "columns") {
				return nil
			}
			return p.row()
		case len(index()[ctx][t.Value]) > 0:
			return p.halfKey(ctx, t)
		}
	}
	p.stray(ctx, t)
	return nil
}

// keyword finds the keyword that the next tokens are, the longest first.
func (p *parser) keyword(ctx Context, t *lexer.Token) *Keyword {
	var short *Keyword
	for _, k := range index()[ctx][t.Value] {
		if len(k.Key) == len(t.Value) {
			short = k
		} else if next := second(p.lex); next.Type == WordToken && next.Value == k.Key[len(t.Value)+1:] {
			return k
		}
	}
	return short
}

// halfKey tells of a key of two words whose second is missing.
func (p *parser) halfKey(ctx Context, t *lexer.Token) Property {
	e := p.begin(ctx)
	p.lex.Next()
	word := index()[ctx][t.Value][0].Key[len(t.Value)+1:]
	p.done(e, want(p.lex, `"`+word+`"`))
	return nil
}

func (p *parser) keyed(ctx Context, k *Keyword) Property {
	e := p.begin(ctx)
	word := &Name{}
	word.Text = word.take(p.lex)
	head := Keyed{Node: Node{word.Pos, word.EndPos}, Word: word, Long: k.Key}
	if len(k.Key) > len(word.Text) {
		p.lex.Next()
		head.close(p.lex)
	}
	q, err := p.form(k.form, head)
	if p.done(e, err) {
		return q
	}
	return nil
}

// member parses a member of a variant or an answer of a question.
func (p *parser) member(ctx Context) *MemberProperty {
	e := p.begin(ctx)
	head := p.ownWord()
	v, err := memberGrammar.parse(p.lex)
	if !p.done(e, err) {
		return nil
	}
	head.EndPos = v.EndPos
	v.Keyed = head
	return v
}

// row parses a row of a table.
func (p *parser) row() Property {
	e := p.begin(InTable)
	v := &RowProperty{Keyed: p.ownWord()}
	var err error
	v.Values, err = operands(p.lex)
	v.close(p.lex)
	if !p.done(e, err) {
		return nil
	}
	return v
}

// ownWord reads a word of the writer's that stands where keywords do.
func (p *parser) ownWord() Keyed {
	word := &Name{}
	word.Text = word.take(p.lex)
	return Keyed{Node: Node{Pos: word.Pos}, Word: word, Long: word.Text}
}

// wrong tells of a part of a node that the grammar took but its word does not.
func (p *parser) wrong(node Place, format string, args ...any) error {
	span := p.spanOf(node)
	t := lexer.Token{Pos: node.place().Pos, Value: span.Text()}
	t.Pos.Filename = ""
	p.at(node.Start(), &t, format, args...)
	return &reported{}
}

func oneName(p *parser, v *NamesProperty) error {
	if len(v.Names) > 1 {
		return p.wrong(v.Names[1], `"%s" takes one name`, v.Long)
	}
	return nil
}

func oneState(p *parser, v *StatesProperty) error {
	if len(v.States) > 1 {
		return p.wrong(v.States[1], `"%s" takes one condition and its state`, v.Long)
	}
	return nil
}

func partThread(p *parser, v *ThreadProperty) error {
	if v.Insert {
		return p.wrong(v, `"for insert" belongs to the thread a tool taps, not to that of a part`)
	}
	return nil
}

func tapThread(p *parser, v *ThreadProperty) error {
	if v.Class != nil {
		return p.wrong(v.Class, "a property class belongs to the thread of a part, not to what a tool taps")
	}
	return nil
}

func decisionRule(p *parser, v *DecisionProperty) error {
	switch {
	case v.Rule.Text != "guarded" && v.Rule.Text != "simple":
		return p.wrong(v.Rule, `expected "guarded" or "simple", found "%s"`, shorten(v.Rule.Text))
	case v.Rule.Text == "simple" && v.Factor != nil:
		return p.wrong(v.Factor, "a factor goes with guarded decisions only")
	}
	return nil
}

func revisionDate(p *parser, v *RevisionProperty) error { return p.day(v.Date) }

func calendarDay(p *parser, v *DateProperty) error { return p.day(v.Date) }

func (p *parser) day(date *Name) error {
	if _, err := time.Parse("2006-01-02", date.Text); err != nil {
		return p.wrong(date, "%s is no day of the calendar", date.Text)
	}
	return nil
}

// Of the columns of a catalogue: those with a unit, and those of a range.
var (
	measuredColumns = map[string]bool{"reads": true, "sets": true, "resolution": true, "uncertainty": true, "drills": true,
		"lifts": true, "length": true, "extends": true, "mass": true}
	rangeColumns = map[string]bool{"reads": true, "sets": true}
)

// columnOf holds a column to what its word takes.
func columnOf(p *parser, v *ColumnProperty) error {
	switch {
	case v.To != nil && !rangeColumns[v.Long]:
		return p.wrong(v.To, `"%s" takes one column`, v.Long)
	case v.Unit != nil && !measuredColumns[v.Long]:
		return p.wrong(v.Unit, `"%s" has no unit`, v.Long)
	case v.UnitIn != nil && !measuredColumns[v.Long]:
		return p.wrong(v.UnitIn, `"%s" has no unit`, v.Long)
	}
	return nil
}
