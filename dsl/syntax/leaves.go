package syntax

import (
	"unicode/utf8"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"
)

// The nodes that are parsed by hand: the leaves, of which a file has the most,
// and those whose next token does not tell which way to go.

// A wanted is the error of a node parsed by hand: what was found, and the
// terms (as expected.go names them) that could have stood there.
type wanted struct {
	found lexer.Token
	terms []string
	// words are all words of the rule, for what was mistyped.
	words []string
}

func (w *wanted) Error() string            { return participle.FormatError(w) }
func (w *wanted) Message() string          { return "unexpected token " + w.found.String() }
func (w *wanted) Position() lexer.Position { return w.found.Pos }

func want(lex *lexer.PeekingLexer, terms ...string) error {
	return &wanted{found: *lex.Peek(), terms: terms}
}

func (n *Node) begin(lex *lexer.PeekingLexer) { n.Pos = lex.Peek().Pos }

// close ends the node directly behind the last token read.
func (n *Node) close(lex *lexer.PeekingLexer) {
	at := lex.RawCursor()
	if at == 0 {
		n.EndPos = n.Pos
		return
	}
	t := &lex.Range(at-1, at)[0]
	n.EndPos = t.Pos
	n.EndPos.Offset += len(t.Value)
	n.EndPos.Column += utf8.RuneCountInString(t.Value)
}

// take makes the next token a leaf's place and text.
func (n *Node) take(lex *lexer.PeekingLexer) string {
	n.begin(lex)
	value := lex.Next().Value
	n.close(lex)
	return value
}

// second gives the token behind the next one.
func second(lex *lexer.PeekingLexer) *lexer.Token {
	cp := lex.MakeCheckpoint()
	lex.Next()
	t := lex.Peek()
	lex.LoadCheckpoint(cp)
	return t
}

func isWord(t *lexer.Token, word string) bool { return t.Type == WordToken && t.Value == word }

func isPunct(t *lexer.Token, sign string) bool { return t.Type == PunctToken && t.Value == sign }

// Parse reads a word, or `%` as a unit.
func (n *Name) Parse(lex *lexer.PeekingLexer) error {
	if t := lex.Peek(); t.Type != WordToken && t.Type != PercentToken {
		return participle.NextMatch
	}
	n.Text = n.take(lex)
	return nil
}

// Parse reads a text in quotes.
func (t *Text) Parse(lex *lexer.PeekingLexer) error {
	if lex.Peek().Type != StringToken {
		return participle.NextMatch
	}
	t.Raw = t.take(lex)
	return nil
}

// Parse reads a decimal.
func (n *Number) Parse(lex *lexer.PeekingLexer) error {
	if lex.Peek().Type != NumberToken {
		return participle.NextMatch
	}
	n.Text = n.take(lex)
	return nil
}

// Parse reads a number with or without a unit, or a name.
func (o *Operand) Parse(lex *lexer.PeekingLexer) error { return o.parse(lex, false) }

// parse reads an operand; entries tells that a word of the writer's may follow
// and start the next entry, as in tables and trials.
func (o *Operand) parse(lex *lexer.PeekingLexer, entries bool) error {
	switch lex.Peek().Type {
	case NumberToken:
		o.begin(lex)
		line := lex.Peek().Pos.Line
		o.Number = &Number{}
		o.Number.Text = o.Number.take(lex)
		if unitFollows(lex, line, entries) {
			o.Unit = &Name{}
			o.Unit.Text = o.Unit.take(lex)
		}
	case WordToken:
		o.begin(lex)
		o.Name = &Name{}
		o.Name.Text = o.Name.take(lex)
	default:
		return participle.NextMatch
	}
	o.close(lex)
	return nil
}

// operands reads the values of a table's row or a trial's entry.
func operands(lex *lexer.PeekingLexer) (list []*Operand, err error) {
	var last *Name // the unit of the value before
	for {
		o := &Operand{}
		if o.parse(lex, true) != nil {
			return list, want(lex, "Operand")
		}
		if o.Number != nil && o.Unit == nil && sameUnit(lex, o.Number.Pos.Line, last) {
			o.Unit = &Name{}
			o.Unit.Text = o.Unit.take(lex)
			o.close(lex)
		}
		last = o.Unit
		list = append(list, o)
		if !isPunct(lex.Peek(), ",") {
			return list, nil
		}
		lex.Next()
	}
}

// unitFollows tells whether the next token is the unit of a number that stands
// on the given line. A unit stands on its number's line, and a keyword is never
// one. Between the entries of tables and trials, a word may also be the next
// entry's name, even on the same line: a unit is never followed by a number,
// and the words up to the next certain sign must come in pairs of name and
// value without it.
func unitFollows(lex *lexer.PeekingLexer, line int, entries bool) bool {
	w := lex.Peek()
	if w.Type == PercentToken {
		return true
	}
	if w.Type != WordToken || w.Pos.Line != line || Reserved(w.Value) {
		return false
	}
	if !entries {
		return true
	}
	cp := lex.MakeCheckpoint()
	defer lex.LoadCheckpoint(cp)
	lex.Next()
	words := 1
	for t := lex.Peek(); ; t = lex.Peek() {
		switch {
		case t.Type == NumberToken:
			return words%2 == 0
		case t.Type != WordToken, Reserved(t.Value):
			return words%2 == 1
		case words == 1 && t.Pos.Line != line:
			return true // the lines show it, whatever is forgotten further down
		}
		words++
		lex.Next()
	}
}

// sameUnit tells whether the next word, though the rule of pairs takes it for
// the name of the next entry, is a unit behind which a comma is missing: it is
// that of the value before, or that of the number which follows it.
func sameUnit(lex *lexer.PeekingLexer, line int, last *Name) bool {
	w := lex.Peek()
	if w.Type != WordToken || w.Pos.Line != line || Reserved(w.Value) {
		return false
	}
	if last != nil && last.Text == w.Value {
		return true
	}
	cp := lex.MakeCheckpoint()
	defer lex.LoadCheckpoint(cp)
	lex.Next()
	return lex.Next().Type == NumberToken && isWord(lex.Peek(), w.Value)
}

// Parse reads a trial's entry: `NAME VALUE, …`.
func (e *TrialEntry) Parse(lex *lexer.PeekingLexer) (err error) {
	e.begin(lex)
	e.Name = &Name{}
	if e.Name.Parse(lex) != nil {
		return want(lex, "Name")
	}
	e.Values, err = operands(lex)
	e.close(lex)
	return err
}

// Parse reads a thing with its count.
func (i *Item) Parse(lex *lexer.PeekingLexer) error {
	if lex.Peek().Type != WordToken {
		return participle.NextMatch
	}
	i.begin(lex)
	i.Name = &Name{}
	i.Name.Text = i.Name.take(lex)
	if isWord(lex.Peek(), "x") {
		lex.Next()
		i.Count = &Number{}
		if lex.Peek().Type != NumberToken {
			return want(lex, "Number")
		}
		i.Count.Text = i.Count.take(lex)
	}
	i.close(lex)
	return nil
}

// Parse reads a condition and its state.
func (s *StatePair) Parse(lex *lexer.PeekingLexer) error {
	if lex.Peek().Type != WordToken {
		return participle.NextMatch
	}
	s.begin(lex)
	s.Condition = &Name{}
	s.Condition.Text = s.Condition.take(lex)
	if lex.Peek().Type != WordToken {
		return want(lex, "State")
	}
	s.State = &Name{}
	s.State.Text = s.State.take(lex)
	s.close(lex)
	return nil
}

// rangeWords are the words a range starts with.
var rangeWords = []string{"at", "above", "below", "from", "limits"}

// startsRange tells whether a branch goes on with a range. An answer or a
// member may have the name of a range word: it is followed by the next case,
// its meaning or its body.
func startsRange(lex *lexer.PeekingLexer) bool {
	t := lex.Peek()
	if t.Type != WordToken {
		return false
	}
	for _, w := range rangeWords {
		if t.Value == w {
			next := second(lex)
			return next.Type == WordToken || next.Type == NumberToken
		}
	}
	return false
}

// Parse reads a range in words:
//
//	at least A | at most A | above A [to [below] B] | below A | from A to [below] B
//	| [above | below] limits A CLASS, each with `no upper limit` behind it or not.
func (r *Range) Parse(lex *lexer.PeekingLexer) error {
	t := lex.Peek()
	if t.Type != WordToken {
		return participle.NextMatch
	}
	r.begin(lex)
	var err error
	switch t.Value {
	case "at":
		lex.Next()
		switch {
		case isWord(lex.Peek(), "least"):
			lex.Next()
			r.Kind = AtLeast
			r.Low, err = operand(lex)
		case isWord(lex.Peek(), "most"):
			lex.Next()
			r.Kind = AtMost
			r.High, err = operand(lex)
		default:
			return want(lex, `"least"`, `"most"`)
		}
	case "above":
		lex.Next()
		if limitsFollow(lex) {
			err = r.limits(lex, AboveLimits)
			break
		}
		r.Kind = Above
		if r.Low, err = operand(lex); err == nil && isWord(lex.Peek(), "to") {
			err = r.upTo(lex, AboveTo, AboveToBelow)
		}
	case "below":
		lex.Next()
		if limitsFollow(lex) {
			err = r.limits(lex, BelowLimits)
			break
		}
		r.Kind = Below
		r.High, err = operand(lex)
	case "from":
		lex.Next()
		if r.Low, err = operand(lex); err == nil {
			err = r.upTo(lex, FromTo, FromToBelow)
		}
	case "limits":
		err = r.limits(lex, Limits)
	default:
		return participle.NextMatch
	}
	if err != nil {
		return err
	}
	if isWord(lex.Peek(), "no") && isWord(second(lex), "upper") {
		r.NoUpper = &Node{}
		r.NoUpper.begin(lex)
		lex.Next()
		lex.Next()
		if !isWord(lex.Peek(), "limit") {
			return want(lex, `"limit"`)
		}
		lex.Next()
		r.NoUpper.close(lex)
	}
	r.close(lex)
	return nil
}

func limitsFollow(lex *lexer.PeekingLexer) bool {
	if !isWord(lex.Peek(), "limits") {
		return false
	}
	t := second(lex)
	return t.Type == NumberToken || t.Type == WordToken && !Reserved(t.Value)
}

// upTo reads `to B` or `to below B`.
func (r *Range) upTo(lex *lexer.PeekingLexer, closed, open RangeKind) (err error) {
	if !isWord(lex.Peek(), "to") {
		return want(lex, `"to"`)
	}
	lex.Next()
	r.Kind = closed
	if t := lex.Peek(); isWord(t, "below") {
		if n := second(lex); n.Type == NumberToken || n.Type == WordToken {
			lex.Next()
			r.Kind = open
		}
	}
	r.High, err = operand(lex)
	return err
}

// limits reads `limits 25 k6`: the nominal size, its unit (millimetres, where
// none is written) and the class.
func (r *Range) limits(lex *lexer.PeekingLexer, kind RangeKind) error {
	lex.Next()
	r.Kind = kind
	r.Low = &Operand{}
	r.Low.begin(lex)
	switch lex.Peek().Type {
	case NumberToken:
		line := lex.Peek().Pos.Line
		r.Low.Number = &Number{}
		r.Low.Number.Text = r.Low.Number.take(lex)
		if w := lex.Peek(); w.Type == WordToken && w.Pos.Line == line {
			if c := second(lex); c.Type == WordToken && !Reserved(c.Value) && c.Value != "no" && (c.Pos.Line == line || nearest(c.Value, reservedWords()) == "") {
				r.Low.Unit = &Name{}
				r.Low.Unit.Text = r.Low.Unit.take(lex)
			}
		}
	case WordToken:
		r.Low.Name = &Name{}
		r.Low.Name.Text = r.Low.Name.take(lex)
	default:
		return want(lex, "Operand")
	}
	r.Low.close(lex)
	if t := lex.Peek(); t.Type != WordToken || Reserved(t.Value) {
		return want(lex, "Class")
	}
	r.Class = &Name{}
	r.Class.Text = r.Class.take(lex)
	return nil
}

func operand(lex *lexer.PeekingLexer) (*Operand, error) {
	o := &Operand{}
	if err := o.Parse(lex); err != nil {
		return nil, want(lex, "Operand")
	}
	return o, nil
}

// numbered reads a name that may be spelled as a number, such as a revision or
// a property class.
func numbered(lex *lexer.PeekingLexer, term string) (*Name, error) {
	if t := lex.Peek(); t.Type != WordToken && t.Type != NumberToken {
		return nil, want(lex, term)
	}
	n := &Name{}
	n.Text = n.take(lex)
	return n, nil
}

// Parse reads `M8 [for insert] [class 8.8]`; which of them goes with the
// property's word is told by the property table.
func (p *ThreadProperty) Parse(lex *lexer.PeekingLexer) (err error) {
	if lex.Peek().Type != WordToken {
		return participle.NextMatch
	}
	p.Thread = &Name{}
	p.Thread.Text = p.Thread.take(lex)
	if isWord(lex.Peek(), "for") {
		lex.Next()
		if !isWord(lex.Peek(), "insert") {
			return want(lex, `"insert"`)
		}
		lex.Next()
		p.Insert = true
	}
	if isWord(lex.Peek(), "class") {
		lex.Next()
		p.Class, err = numbered(lex, "PropertyClass")
	}
	return err
}

// Parse reads `C on 2026-10-02 "what changed"`.
func (p *RevisionProperty) Parse(lex *lexer.PeekingLexer) (err error) {
	if p.Revision, err = numbered(lex, "Revision"); err != nil {
		return err
	}
	if !isWord(lex.Peek(), "on") {
		return want(lex, `"on"`)
	}
	lex.Next()
	if lex.Peek().Type != DateToken {
		return want(lex, "<date>")
	}
	p.Date = &Name{}
	p.Date.Text = p.Date.take(lex)
	p.Note = &Text{}
	if p.Note.Parse(lex) != nil {
		return want(lex, "Text")
	}
	return nil
}

// Parse reads `column "From" [to "To"] [in mm | in column "Unit"]`; which of them
// goes with the property's word is told by columnOf.
func (p *ColumnProperty) Parse(lex *lexer.PeekingLexer) error {
	text := func(into **Text) error {
		*into = &Text{}
		if (*into).Parse(lex) != nil {
			return want(lex, "Text")
		}
		return nil
	}
	if !isWord(lex.Peek(), "column") {
		return want(lex, `"column"`)
	}
	lex.Next()
	if err := text(&p.Column); err != nil {
		return err
	}
	if isWord(lex.Peek(), "to") {
		lex.Next()
		if err := text(&p.To); err != nil {
			return err
		}
	}
	if !isWord(lex.Peek(), "in") {
		return nil
	}
	lex.Next()
	t := lex.Peek()
	switch {
	case isWord(t, "column"):
		lex.Next()
		return text(&p.UnitIn)
	case t.Type == PercentToken, t.Type == WordToken && !Reserved(t.Value):
		p.Unit = &Name{}
		p.Unit.Text = p.Unit.take(lex)
		return nil
	}
	return want(lex, "Unit", `"column"`)
}

// Parse reads a day.
func (p *DateProperty) Parse(lex *lexer.PeekingLexer) error {
	if lex.Peek().Type != DateToken {
		return want(lex, "<date>")
	}
	p.Date = &Name{}
	p.Date.Text = p.Date.take(lex)
	return nil
}

// Parse reads `SORT [NAME] MARK`.
func (m *Marked) Parse(lex *lexer.PeekingLexer) error {
	if lex.Peek().Type != WordToken {
		return participle.NextMatch
	}
	m.begin(lex)
	m.Sort, m.Mark = &Name{}, &Name{}
	m.Sort.Text = m.Sort.take(lex)
	if lex.Peek().Type != WordToken {
		return want(lex, "Mark")
	}
	m.Mark.Text = m.Mark.take(lex)
	// No mark is a word of the language.
	if t := lex.Peek(); t.Type == WordToken && !canStand(InReleased, t.Value) {
		m.Name, m.Mark = m.Mark, &Name{}
		m.Mark.Text = m.Mark.take(lex)
	}
	m.close(lex)
	return nil
}

// Parse reads `released PROCEDURE REVISION`.
func (r *Released) Parse(lex *lexer.PeekingLexer) (err error) {
	r.begin(lex)
	r.Kind = &Name{}
	r.Kind.Text = r.Kind.take(lex)
	if lex.Peek().Type != WordToken {
		return want(lex, "Procedure")
	}
	r.Of = &Name{}
	r.Of.Text = r.Of.take(lex)
	r.Revision, err = numbered(lex, "Revision")
	return err
}

// Parse reads a video's `1:36 to 2:10`.
func (p *TimesProperty) Parse(lex *lexer.PeekingLexer) error {
	for i, n := range [...]**Name{&p.From, &p.To} {
		if i == 1 {
			if !isWord(lex.Peek(), "to") {
				return want(lex, `"to"`)
			}
			lex.Next()
		}
		if lex.Peek().Type != TimeToken {
			return want(lex, "<time>")
		}
		*n = &Name{}
		(*n).Text = (*n).take(lex)
	}
	return nil
}

// Parse reads `to VARIANT [MEMBER, …]`. No member has the name of what may
// follow.
func (p *AppliesProperty) Parse(lex *lexer.PeekingLexer) error {
	if !isWord(lex.Peek(), "to") {
		return want(lex, `"to"`)
	}
	lex.Next()
	p.Variant = &Name{}
	if p.Variant.Parse(lex) != nil {
		return want(lex, "Name")
	}
	if t := lex.Peek(); t.Type != WordToken || canStand(InProcedure, t.Value) {
		return nil
	}
	for {
		m := &Name{}
		if m.Parse(lex) != nil {
			return want(lex, "Name")
		}
		p.Members = append(p.Members, m)
		if !isPunct(lex.Peek(), ",") {
			return nil
		}
		lex.Next()
	}
}
