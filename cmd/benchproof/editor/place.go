package editor

import (
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2/lexer"

	"benchproof/dsl/syntax"
)

// A block is a pair of braces around a place, and what stands before them.
type block struct {
	ctx  syntax.Context
	head []lexer.Token
	// entries are the statements of the block up to the place.
	entries [][]lexer.Token
}

// A place is where in a file something stands: found from the words alone, so
// that it is known while the file is broken.
type place struct {
	blocks []block // the file first, the innermost last
	// entry is the statement up to the place, without the word being written.
	entry []lexer.Token
	// newLine: the place is the first of its line.
	newLine bool
	// prefix is the word being written, up to the place; start is where it begins.
	prefix string
	start  int
	// inText: the place is within a text. text is what of it stands before.
	inText, inComment bool
	text              string
}

func (p *place) block() block { return p.blocks[len(p.blocks)-1] }

// contexts tells what the braces behind a word are.
var contexts = map[string]syntax.Context{
	"library": syntax.InLibrary, "variant": syntax.InVariant, "condition": syntax.InCondition, "hazard": syntax.InHazard,
	"tool": syntax.InTool, "kit": syntax.InKit, "part": syntax.InPart, "consumable": syntax.InConsumable, "catalogue": syntax.InCatalogue, "table": syntax.InTable,
	"figure": syntax.InFigure, "video": syntax.InVideo, "routine": syntax.InRoutine, "procedure": syntax.InProcedure, "trial": syntax.InTrial,
	"released": syntax.InReleased, "withdrawn": syntax.InWithdrawn,
	"stage": syntax.InStage, "step": syntax.InStep, "decide": syntax.InDecide, "repeat": syntax.InRepeat, "otherwise": syntax.InOtherwise,
	"finish": syntax.InFinish, "ask": syntax.InAnswers,
}

// inside tells what the braces behind a head are within a block.
func inside(ctx syntax.Context, head []lexer.Token) syntax.Context {
	if ctx == syntax.InDecide {
		return syntax.InBranch
	}
	if len(head) > 0 {
		if c, ok := contexts[head[0].Value]; ok {
			return c
		}
	}
	return syntax.InFile
}

// placeAt tells where an offset of a file stands.
func placeAt(f *syntax.File, offset int) *place {
	text := f.Source.Text
	p := &place{blocks: []block{{ctx: syntax.InFile}}, start: offset}
	for p.start > 0 {
		r, n := utf8.DecodeLastRuneInString(text[:p.start])
		if !unicode.IsLetter(r) && !unicode.IsDigit(r) && !strings.ContainsRune("-./%", r) {
			break
		}
		p.start -= n
	}
	var before *lexer.Token
	for i := range f.Tokens {
		t := &f.Tokens[i]
		start, end := t.Pos.Offset, t.Pos.Offset+len(t.Value)
		if start >= offset {
			break
		}
		switch t.Type {
		case syntax.CommentToken:
			p.inComment = offset > start && offset <= end && !strings.Contains(text[start:offset], "\n")
			continue
		case syntax.StringToken:
			closed := len(t.Value) > 1 && strings.HasSuffix(t.Value, `"`) && !strings.HasSuffix(t.Value, `\"`)
			if offset < end || offset == end && !closed {
				p.inText, p.text = true, text[start+1:offset]
			}
		case syntax.BadToken:
			continue
		}
		if !p.inText && end > p.start {
			break // the word being written
		}
		p.take(before, t)
		before = t
	}
	p.prefix = text[p.start:offset]
	line := text[strings.LastIndexByte(text[:p.start], '\n')+1 : p.start]
	p.newLine = strings.TrimSpace(line) == ""
	if p.newLine && !p.inText && p.ends(before) {
		p.finish()
	}
	return p
}

// take puts the next token to the place.
func (p *place) take(before, t *lexer.Token) {
	top := &p.blocks[len(p.blocks)-1]
	switch {
	case t.Type == syntax.PunctToken && t.Value == "{":
		head := p.entry
		p.entry = nil
		p.blocks = append(p.blocks, block{ctx: inside(top.ctx, head), head: head})
		return
	case t.Type == syntax.PunctToken && t.Value == "}":
		p.finish()
		if len(p.blocks) > 1 {
			closed := p.blocks[len(p.blocks)-1]
			p.blocks = p.blocks[:len(p.blocks)-1]
			outer := &p.blocks[len(p.blocks)-1]
			outer.entries = append(outer.entries, closed.head)
		}
		return
	}
	if p.begins(before, t) {
		p.finish()
	}
	p.entry = append(p.entry, *t)
}

func (p *place) finish() {
	if len(p.entry) > 0 {
		top := &p.blocks[len(p.blocks)-1]
		top.entries = append(top.entries, p.entry)
		p.entry = nil
	}
}

// begins tells whether a token begins a statement of its own.
func (p *place) begins(before, t *lexer.Token) bool {
	if len(p.entry) == 0 || before == nil {
		return false
	}
	first := before.Pos.Line < t.Pos.Line
	if t.Type != syntax.WordToken || before.Value == "," {
		return false
	}
	ctx := p.block().ctx
	starts := canStart(ctx, t.Value)
	switch {
	case first && (starts || freeContext(ctx) && ctx != syntax.InDecide):
		return true
	case ctx == syntax.InVariant || ctx == syntax.InAnswers:
		return before.Type == syntax.StringToken
	case starts && len(p.entry) > 1:
		// On one line, behind what is whole.
		return before.Type == syntax.StringToken || before.Type == syntax.WordToken && !syntax.Reserved(before.Value) || before.Type == syntax.PercentToken ||
			before.Type == syntax.NumberToken
	case starts:
		return p.entry[0].Value == "single-use"
	}
	return false
}

// ends tells whether the statement before may have ended at the last token, so
// that a new line begins another.
func (p *place) ends(before *lexer.Token) bool {
	if before == nil || len(p.entry) == 0 || before.Value == "," {
		return false
	}
	return freeContext(p.block().ctx) && p.block().ctx != syntax.InDecide
}

// canStart tells whether a word may start something in a context.
func canStart(ctx syntax.Context, word string) bool {
	return slices.ContainsFunc(syntax.Keywords(ctx), func(k syntax.Keyword) bool {
		first, _, _ := strings.Cut(k.Key, " ")
		return first == word
	})
}

// freeContext tells whether things in a context start with a word of the writer's.
func freeContext(ctx syntax.Context) bool {
	switch ctx {
	case syntax.InVariant, syntax.InTable, syntax.InDecide, syntax.InAnswers, syntax.InTrial:
		return true
	}
	return false
}

// around gives the head of the nearest block of a kind around the place.
func (p *place) around(ctx syntax.Context) []lexer.Token {
	for i := len(p.blocks) - 1; i >= 0; i-- {
		if p.blocks[i].ctx == ctx {
			return p.blocks[i].head
		}
	}
	return nil
}

// word gives the n-th word of a list of tokens, or nothing.
func word(tokens []lexer.Token, n int) string {
	if n < len(tokens) && tokens[n].Type == syntax.WordToken {
		return tokens[n].Value
	}
	return ""
}

// keyword finds the keyword that a statement of a context starts with.
func keyword(ctx syntax.Context, entry []lexer.Token) (syntax.Keyword, bool) {
	var found syntax.Keyword
	ok := false
	for _, k := range syntax.Keywords(ctx) {
		words := strings.Fields(k.Key)
		fits := len(words) > 0 && len(entry) >= len(words)
		for i := range words {
			fits = fits && entry[i].Value == words[i]
		}
		if fits && len(k.Key) > len(found.Key) {
			found, ok = k, true
		}
	}
	return found, ok
}
