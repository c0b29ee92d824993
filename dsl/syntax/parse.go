package syntax

import (
	"errors"
	"sort"
	"strings"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2/lexer"

	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

const (
	// MaxDepth is how deep braces may stand in braces.
	MaxDepth = 64
	// maxWord and maxText are how many characters a word and a text may have.
	maxWord = 100
	maxText = 4000
	// maxStrays is how many lines in a row that start with no word of the
	// language are told of: more is one piece of text pasted in.
	maxStrays = 3
	// maxMessages is how many mistakes are told of one file.
	maxMessages = 100
)

// Parse parses a file that Load made. It never fails: what could not be read
// has a message and is left out of the tree, and parsing goes on behind it.
func Parse(f *source.File) *File {
	s := newScanner(f.Path, f.Text)
	lex, _ := lexer.Upgrade(s, CommentToken, BadToken) // a scanner never fails
	if s.gaveBack && (s.uneven || s.depth != 0) {
		// A brace at the end of an open text was text after all, if the braces
		// come out even so.
		kept := newScanner(f.Path, f.Text)
		kept.keeps = true
		if again, _ := lexer.Upgrade(kept, CommentToken, BadToken); !kept.uneven && kept.depth == 0 {
			s, lex = kept, again
		}
	}
	p := &parser{file: f, lex: lex, faults: s.faults, uneven: s.uneven || s.depth != 0, last: -1, quotes: map[int]oddQuotes{}}
	out := &File{Source: f, Tokens: lex.Range(0, lexer.RawCursor(s.count))}
	for _, x := range s.faults {
		if x.open {
			p.quotes[x.line] = quotesOdd
		}
	}
	p.open = append(p.open, opener{ctx: InFile})
	for {
		t := p.lex.Peek()
		if t.EOF() {
			break
		}
		at := p.lex.Cursor()
		if d := p.declaration(t); d != nil {
			out.Declarations = append(out.Declarations, d)
		}
		p.progress(at)
	}
	p.mendEnds(out)
	p.tellFaults()
	out.Messages = message.Sort(p.messages)
	if len(out.Messages) > maxMessages {
		out.Messages = out.Messages[:maxMessages]
	}
	if len(out.Messages) == maxMessages {
		end := len(f.Text)
		out.Messages = append(out.Messages, message.New("BP101", f.Span(end, end), "the file has more mistakes: these are the first %d", maxMessages))
	}
	return out
}

// oddQuotes says what is known of the quotes of a line with an odd number.
type oddQuotes uint8

const (
	quotesOdd   oddQuotes = iota + 1
	quotesWrong           // what stands between them makes no sense
)

// tellFaults makes messages of the lexical mistakes. On a line with a text
// left open, the other signs may be those of a text; and where the line made no
// sense as it was read, another quote may be the one without a partner.
func (p *parser) tellFaults() {
	for _, x := range p.faults {
		state := p.quotes[x.line]
		if state != 0 && !x.open {
			continue
		}
		if state == quotesWrong && x.mend {
			x.alone()
		}
		m := message.New("BP101", p.file.Span(x.start, x.end), "%s", x.text).Helped("%s", x.help)
		if x.mend {
			m.Mend(p.file.Span(x.editStart, x.editEnd), x.edit)
		}
		p.messages = append(p.messages, m)
	}
}

// A parser is the state of one file's parse.
type parser struct {
	file   *source.File
	lex    *lexer.PeekingLexer
	faults []fault
	// quotes are the lines with a text left open, and whether they could be
	// read all the same.
	quotes   map[int]oddQuotes
	messages []*message.Message
	// failures counts what went wrong, messages or not.
	failures int
	// open are the blocks around the place of parsing, the file first.
	open []opener
	// uneven tells that the braces of the file do not match: then the layout
	// helps to find the one that lacks or is too many.
	uneven bool
	// strays counts statements in a row that nothing could be made of.
	strays int
	// again tells that tokens were taken back to be parsed once more.
	again bool
	// last is the offset of the last token that at was asked to tell of: one
	// token has one message, though it may be parsed twice.
	last int
	// told counts the parser's own messages, the first of which are kept.
	told int
	// ends maps where a corrected word would end to where the word in the
	// source does.
	ends map[int]lexer.Position
}

// An opener is a block being parsed.
type opener struct {
	ctx   Context
	head  lexer.Position // of the construct
	brace lexer.Position
}

// progress passes over a token where nothing else has moved on from it.
func (p *parser) progress(at int) {
	if p.lex.Cursor() == at && !p.again {
		p.lex.Next()
	}
	p.again = false
}

// corrected stands in for the file's name in the place of a corrected word, and
// so in those of the nodes that start or end with it, until mendEnds.
const corrected = "\x00"

// set puts the right word in the place of a mistyped one. The tree is that of
// the right word; its spans are mended when it is whole.
func (p *parser) set(t *lexer.Token, word string) {
	right := t.Pos
	right.Offset += len(t.Value)
	right.Column += utf8.RuneCountInString(t.Value)
	if t.Pos.Filename == corrected {
		right = p.ends[right.Offset]
	}
	if p.ends == nil {
		p.ends = map[int]lexer.Position{}
	}
	p.ends[t.Pos.Offset+len(word)] = right
	t.Value = word
	t.Pos.Filename = corrected
}

// mendEnds sets the ends of the nodes that end with a corrected word.
func (p *parser) mendEnds(f *File) {
	if p.ends == nil {
		return
	}
	WalkFile(f, func(n Place) bool {
		x := n.place()
		if x.EndPos.Filename == corrected {
			x.EndPos = p.ends[x.EndPos.Offset]
		}
		x.Pos.Filename, x.EndPos.Filename = f.Source.Path, f.Source.Path
		return true
	})
	for i := range f.Tokens {
		if t := &f.Tokens[i]; t.Pos.Filename == corrected {
			t.Value = f.Source.Text[t.Pos.Offset:p.end(t)]
			t.Pos.Filename = f.Source.Path
		}
	}
}

// report adds a message about a stretch of the file.
func (p *parser) report(span source.Span, format string, args ...any) *message.Message {
	m := message.New("BP101", span, format, args...)
	if p.told++; p.told <= maxMessages {
		p.messages = append(p.messages, m)
	}
	return m
}

// end is the offset behind a token in the file.
func (p *parser) end(t *lexer.Token) int {
	at := t.Pos.Offset + len(t.Value)
	if t.Pos.Filename == corrected {
		at = p.ends[at].Offset
	}
	return at
}

// span is the place of a token in the file.
func (p *parser) span(t *lexer.Token) source.Span { return p.file.Span(t.Pos.Offset, p.end(t)) }

// spanOf is the place of a node in the file, before mendEnds.
func (p *parser) spanOf(n Place) source.Span {
	x := n.place()
	if x.EndPos.Filename == corrected {
		return p.file.Span(x.Start(), p.ends[x.End()].Offset)
	}
	return x.In(p.file)
}

// at adds a message about a token. What a lexical mistake in the same
// statement has led to is not told again.
func (p *parser) at(from int, t *lexer.Token, format string, args ...any) *message.Message {
	p.failures++
	if t.Pos.Offset == p.last {
		return &message.Message{}
	}
	p.last = t.Pos.Offset
	if p.quotes[t.Pos.Line] != 0 {
		p.quotes[t.Pos.Line] = quotesWrong
		return &message.Message{}
	}
	i := sort.Search(len(p.faults), func(i int) bool { return p.faults[i].end > from })
	if i < len(p.faults) {
		next := p.lex.Peek()
		if next.Pos.Offset == t.Pos.Offset {
			next = second(p.lex)
		}
		if p.faults[i].start < next.Pos.Offset {
			return &message.Message{}
		}
	}
	return p.report(p.span(t), format, args...)
}

// before gives the last token of the grammar in front of the next one, or nil.
func (p *parser) before() *lexer.Token {
	all := p.lex.Range(0, p.lex.RawCursor())
	for i := len(all) - 1; i >= 0; i-- {
		switch all[i].Type {
		case CommentToken, BadToken:
		default:
			return &all[i]
		}
	}
	return nil
}

// firstOnLine tells whether the next token starts a line and a statement: the
// line before has not ended in a comma.
func (p *parser) firstOnLine() bool {
	b := p.before()
	return b == nil || b.Pos.Line < p.lex.Peek().Pos.Line && !isPunct(b, ",")
}

// An entry is where the parse of one statement or property began.
type entry struct {
	ctx   Context
	start lexer.Checkpoint
	from  int
}

func (p *parser) begin(ctx Context) entry {
	t := p.lex.Peek()
	e := entry{ctx, p.lex.MakeCheckpoint(), t.Pos.Offset}
	// A bad token before the first good one of a line is part of the entry.
	if bad := p.lex.RawPeek(); bad.Type == BadToken && bad.Pos.Line == t.Pos.Line && bad.Value != ";" {
		e.from = bad.Pos.Offset
	}
	return e
}

// free tells whether the things in a context start with a word of the writer's.
func free(c Context) bool {
	return c == InVariant || c == InTable || c == InDecide || c == InAnswers || c == InTrial
}

// done ends the parse of one entry: it tells what went wrong, moves on to the
// next entry, and gives whether what was read may be kept.
func (p *parser) done(e entry, err error) (keep bool) {
	t := p.lex.Peek()
	if err == nil {
		switch {
		case t.EOF(), isPunct(t, "}"):
		case t.Type == stopToken:
			t.Type = WordToken
		case t.Type == WordToken && (free(e.ctx) || p.firstOnLine() || canStand(e.ctx, t.Value) || p.correct(e.ctx, t.Value) != ""):
		default:
			if p.takenForName(e) {
				return false
			}
			p.junk(e, t)
			p.resync(e)
			return true
		}
		p.strays = 0
		return true
	}
	if p.takenForName(e) {
		return false
	}
	if t.Type == stopToken {
		t.Type = WordToken
	}
	var told *reported
	if !errors.As(err, &told) {
		var w *wanted
		errors.As(err, &w)
		if p.expected(e, w) {
			return false
		}
	}
	p.resync(e)
	return false
}

// A reported is an error whose message is already told.
type reported struct{}

func (*reported) Error() string { return "reported" }

// expected tells what was found and what could have stood there. A mistyped
// word is set right and parsing goes back to the entry's start (true).
func (p *parser) expected(e entry, w *wanted) (again bool) {
	t := p.lex.Peek()
	if t.Type == WordToken {
		words := w.words
		for _, term := range w.terms {
			if strings.HasPrefix(term, `"`) {
				words = append(words, strings.Trim(term, `"`))
			}
		}
		if near := nearest(t.Value, words); near != "" {
			p.at(e.from, t, `expected %s, found %s`, phrase(w.terms), describe(t)).
				Helped(`write "%s"`, near).Mend(p.span(t), near)
			p.set(t, near)
			p.lex.LoadCheckpoint(e.start)
			p.again = true
			return true
		}
	}
	if b := p.before(); b != nil && (b.Pos.Offset >= e.from || len(w.terms) == 1 && w.terms[0] == "Body") && (t.EOF() || b.Pos.Line < t.Pos.Line || isPunct(t, "}")) {
		p.at(e.from, b, "expected %s behind %s", phrase(w.terms), describe(b))
		return false
	}
	m := p.at(e.from, t, "expected %s, found %s", phrase(w.terms), describe(t))
	if len(w.terms) == 1 && w.terms[0] == "Text" && t.Type != PunctToken {
		if next := second(p.lex); next.EOF() || next.Type == PunctToken || next.Pos.Line != t.Pos.Line || canStand(e.ctx, next.Value) {
			m.Helped(`write "%s"`, t.Value).Mend(p.span(t), `"`+t.Value+`"`)
		} else {
			m.Helped(`put the text in double quotes`)
		}
	}
	return false
}

// takenForName finds a keyword that starts a line of a statement that went
// wrong: it was read as a name, because something is missing before it. The
// statement is parsed again (true), and now ends before that keyword.
func (p *parser) takenForName(e entry) bool {
	stopped := p.lex.MakeCheckpoint()
	p.lex.LoadCheckpoint(e.start)
	for p.lex.Cursor() < stopped.Cursor() {
		t := p.lex.Peek()
		if t.Type == WordToken && p.lex.Cursor() > e.start.Cursor() && canStand(e.ctx, t.Value) && p.firstOnLine() {
			t.Type = stopToken
			p.lex.LoadCheckpoint(e.start)
			p.again = true
			return true
		}
		p.lex.Next()
	}
	p.lex.LoadCheckpoint(stopped)
	return false
}

// junk tells of what stands behind a finished entry.
func (p *parser) junk(e entry, t *lexer.Token) {
	b := p.before()
	m := p.at(e.from, t, "%s cannot stand behind %s", describe(t), describe(b))
	if t.Type == WordToken {
		if near := nearest(t.Value, joiners); near != "" {
			m.Helped(`write "%s"`, near).Mend(p.span(t), near)
			return
		}
	}
	if count, ok := strings.CutPrefix(t.Value, "x"); ok && t.Type == WordToken && strings.Trim(count, "0123456789") == "" {
		m.Helped("write x %s", count).Mend(p.span(t), "x "+count)
		return
	}
	if t.Type == WordToken && b.Type == WordToken && !Reserved(b.Value) {
		m.Helped("a comma goes between the names of a list; otherwise %s", canHold(e.ctx))
		return
	}
	m.Helped("%s", canHold(e.ctx))
}

// resync moves on to where the next entry probably starts.
func (p *parser) resync(e entry) {
	depth := 0
	for moved := p.lex.Cursor() != e.start.Cursor(); ; moved = true {
		t := p.lex.Peek()
		switch {
		case t.EOF():
			return
		case isPunct(t, "{"):
			depth++
		case isPunct(t, "}"):
			if depth == 0 {
				return
			}
			depth--
		case depth == 0 && moved && t.Type == WordToken:
			if canStand(e.ctx, t.Value) && !free(e.ctx) || p.firstOnLine() {
				return
			}
		}
		p.lex.Next()
	}
}

// correct gives the keyword that was meant by a mistyped word, if one is near.
func (p *parser) correct(ctx Context, word string) string {
	if free(ctx) || Reserved(word) {
		return ""
	}
	words := make([]string, 0, len(keywords[ctx]))
	for i := range keywords[ctx] {
		first, _, _ := strings.Cut(keywords[ctx][i].Key, " ")
		words = append(words, first)
	}
	return nearest(word, words)
}

// canHold says what can stand in a context.
func canHold(ctx Context) string {
	var b strings.Builder
	b.WriteString(ctx.String())
	b.WriteString(" can hold: ")
	for i := range keywords[ctx] {
		if i > 0 {
			b.WriteString(", ")
		}
		b.WriteString(keywords[ctx][i].Key)
	}
	switch ctx {
	case InVariant:
		return `a variant holds its members, such as s32 "size 32"`
	case InAnswers:
		return `an ask holds its answers, such as dry "dry"`
	case InDecide:
		return "a decide holds its branches: a range, or answers or members, with what is done in braces"
	case InTable:
		return "a table can hold: columns, and a row for each member"
	case InTrial:
		return "a trial can hold: the readings, answers and members of the case, and expect"
	}
	return b.String()
}

// stray deals with a token that starts nothing in its context. A mistyped
// keyword is set right, and parsing goes on with it.
func (p *parser) stray(ctx Context, t *lexer.Token) {
	e := p.begin(ctx)
	if t.Type == WordToken {
		if near := p.correct(ctx, t.Value); near != "" {
			p.misplaced(e, t, near)
			return
		}
	}
	if say := habits[t.Value]; say != "" && t.Type == WordToken && (!Reserved(t.Value) || ctx == InStep) && ctx >= InRoutine && !free(ctx) {
		p.at(e.from, t, "%s is no word of the language: %s", describe(t), say).Helped("%s", canHold(ctx))
	} else if home := homes(ctx, t); home != "" {
		p.at(e.from, t, "%s cannot stand in %s: %s", describe(t), ctx, home).Helped("%s", canHold(ctx))
	} else if p.strays++; p.strays <= maxStrays {
		p.at(e.from, t, "%s cannot stand here, %s", describe(t), canHold(ctx))
	} else {
		p.failures++
	}
	p.resync(e)
}

// misplaced tells of a mistyped keyword and sets it right, to be parsed again.
func (p *parser) misplaced(e entry, t *lexer.Token, keyword string) {
	p.at(e.from, t, `%s cannot stand here, expected "%s"`, describe(t), keyword).
		Helped("%s", canHold(e.ctx)).Mend(p.span(t), keyword)
	p.set(t, keyword)
	p.again = true
}

// homes tells where a keyword that is out of place belongs.
func homes(ctx Context, t *lexer.Token) string {
	if t.Type != WordToken {
		return ""
	}
	switch word := t.Value; {
	case word == "until":
		return "it stands directly in the braces of a repeat"
	case word == "otherwise":
		return "it stands behind the closing brace of a repeat"
	case word == "stage" && ctx == InStage:
		return "close the stage before the next begins"
	case word == "step" && ctx == InStep:
		return "close the step before the next begins"
	case canStand(InStep, word) && ctx >= InRoutine:
		return "it is an action and stands in the braces of a step"
	case canStand(InFile, word) && ctx != InFile:
		return "it is a declaration and stands by itself in the file"
	}
	var in []string
	for c := InLibrary; c <= InTrial; c++ {
		if canStand(c, t.Value) && c != InRoutine && c != InOtherwise && c != InBranch {
			in = append(in, c.String())
		}
	}
	if len(in) == 0 {
		return ""
	}
	return "it belongs in " + strings.Join(in, ", ")
}

// block parses `{ … }`, calling one for each thing in it; head is where the
// construct around it starts. It gives false where no block begins.
func (p *parser) block(ctx Context, head lexer.Position, one func(t *lexer.Token)) bool {
	t := p.lex.Peek()
	implied := false
	switch {
	case isPunct(t, "{"):
		p.lex.Next()
		if len(p.open) > MaxDepth {
			p.at(t.Pos.Offset, t, "blocks stand more than %d deep in each other", MaxDepth).
				Helped("write the inner steps as a routine and perform it")
			p.pass()
			return true
		}
	case p.braceForgotten(ctx, head, t):
		implied = true
		p.expected(p.begin(ctx), &wanted{found: *t, terms: []string{"Body"}})
	default:
		return false
	}
	p.open = append(p.open, opener{ctx, head, t.Pos})
	defer func() { p.open = p.open[:len(p.open)-1] }()
	for {
		t := p.lex.Peek()
		switch {
		case t.EOF():
			if !implied {
				p.unclosed(t)
			}
			return true
		case implied && p.impliedEnds(ctx, head, t):
			return true
		case p.uneven && p.firstOnLine() && p.surplus(t):
			p.at(t.Pos.Offset, t, `a "}" too many`)
			p.lex.Next()
			continue
		case p.uneven && p.firstOnLine() && p.endsHere(t):
			return true
		case isPunct(t, "}"):
			p.lex.Next()
			return true
		}
		at := p.lex.Cursor()
		one(t)
		p.progress(at)
	}
}

// braceForgotten tells whether the next token belongs into a block whose brace
// was not opened, and not into the one around: its word says so, or where the
// words are the writer's, the layout of a file whose braces do not match.
func (p *parser) braceForgotten(ctx Context, head lexer.Position, t *lexer.Token) bool {
	if isPunct(t, "}") {
		return p.uneven && t.Pos.Column == head.Column && p.firstOnLine()
	}
	if t.Type != WordToken {
		return false
	}
	inside := p.uneven && t.Pos.Column > head.Column && p.firstOnLine()
	if free(ctx) {
		return inside
	}
	return canStand(ctx, t.Value) && (inside || !canStand(p.open[len(p.open)-1].ctx, t.Value))
}

// impliedEnds tells whether a block whose brace was forgotten ends before the
// next token, and takes the brace that closes it.
func (p *parser) impliedEnds(ctx Context, head lexer.Position, t *lexer.Token) bool {
	switch {
	case isPunct(t, "}"):
		if p.uneven && (t.Pos.Column == head.Column || t.Pos.Line == head.Line) {
			p.lex.Next()
		}
		return true
	case t.Type != WordToken:
		return false
	case free(ctx):
		return t.Pos.Column <= head.Column && p.firstOnLine()
	}
	return !canStand(ctx, t.Value) && p.correct(ctx, t.Value) == ""
}

// pass skips to the end of the block just opened.
func (p *parser) pass() {
	for depth := 1; depth > 0; {
		t := p.lex.Next()
		switch {
		case t.EOF():
			return
		case isPunct(t, "{"):
			depth++
		case isPunct(t, "}"):
			depth--
		}
	}
}

// unclosed tells of the innermost block that is open at the file's end.
func (p *parser) unclosed(t *lexer.Token) {
	p.failures++
	for i := range p.open {
		if p.open[i].brace.Line < 0 {
			return // told already
		}
	}
	top := &p.open[len(p.open)-1]
	if b := p.before(); b != nil {
		t = b
	}
	m := p.report(p.file.Span(p.end(t), p.end(t)), `expected "}" at the end of the file: %s is not closed`, top.ctx)
	m.Relate(p.file.Span(top.brace.Offset, top.brace.Offset+1), "opened here")
	p.open[0].brace.Line = -1
}

// surplus tells, in a file whose braces do not match, whether a brace is one
// too many: it stands further right than the start of the block it would end.
func (p *parser) surplus(t *lexer.Token) bool {
	top := p.open[len(p.open)-1]
	return isPunct(t, "}") && t.Pos.Column > top.head.Column && t.Pos.Line > top.brace.Line
}

// endsHere tells, in a file whose braces do not match, whether the block ends
// before the next token by the layout: at a closing brace as far left as one
// of the blocks around, or at a keyword that stands no further right than this
// block's own and belongs to a block around.
func (p *parser) endsHere(t *lexer.Token) bool {
	top := p.open[len(p.open)-1]
	if isPunct(t, "}") {
		if t.Pos.Column >= top.head.Column {
			return false
		}
		for _, o := range p.open[1 : len(p.open)-1] {
			if o.head.Column == t.Pos.Column {
				p.missing(t, top)
				return true
			}
		}
		return false
	}
	if t.Type != WordToken || t.Pos.Column > top.head.Column || canStand(top.ctx, t.Value) {
		return false
	}
	ends := top.ctx == InRepeat && t.Value == "otherwise" || top.ctx == InBranch && t.Pos.Column == top.head.Column
	for _, o := range p.open[:len(p.open)-1] {
		ends = ends || canStand(o.ctx, t.Value)
	}
	if ends {
		p.missing(t, top)
	}
	return ends
}

func (p *parser) missing(t *lexer.Token, top opener) {
	p.at(t.Pos.Offset, t, `expected "}" before %s: %s is not closed`, describe(t), top.ctx).
		Relate(p.file.Span(top.brace.Offset, top.brace.Offset+1), "opened here")
}

// header ends the parse of what stands before a block, which needed tells must
// follow. Where it went wrong, it tells so and moves on to the block's brace;
// it gives whether a block follows.
func (p *parser) header(e entry, ctx Context, head lexer.Position, err error, needed bool) (opens bool) {
	t := p.lex.Peek()
	if t.Type == stopToken {
		t.Type = WordToken
	}
	if err == nil && (isPunct(t, "{") || p.braceForgotten(ctx, head, t)) {
		return true
	}
	if err == nil && !needed {
		return false
	}
	if p.again || p.takenForName(e) || p.takenForName(entry{ctx, e.start, e.from}) {
		return false
	}
	var told *reported
	w := &wanted{found: *t, terms: []string{"Body"}}
	if err == nil || !errors.As(err, &told) && errors.As(err, &w) {
		if p.expected(e, w) {
			return false
		}
	}
	for moved := p.lex.Cursor() != e.start.Cursor(); ; moved = true {
		t := p.lex.Peek()
		switch {
		case isPunct(t, "{"):
			return true
		case t.EOF(), isPunct(t, "}"):
			return false
		case moved && t.Type == WordToken && p.firstOnLine():
			return false
		}
		p.lex.Next()
	}
}

// absent makes the text that stands in for one that is missing, so that no
// text in the tree is nil; at is the end of what stands before it.
func (p *parser) absent(at lexer.Position) *Text {
	if at.Filename == corrected {
		at = p.ends[at.Offset]
	}
	at.Filename = p.file.Path
	return &Text{Node: Node{at, at}, Raw: `""`}
}
