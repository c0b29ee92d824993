package editor

import (
	"slices"

	"github.com/alecthomas/participle/v2/lexer"
	"github.com/charmbracelet/x/powernap/pkg/lsp/protocol"

	"benchproof/compiler/library"
	"benchproof/dsl/syntax"
)

// The kinds of words that are coloured: the protocol's own names, so that every
// colour scheme knows them.
var (
	tokenTypes = []string{
		"keyword", "comment", "string", "number", "type", "class", "struct", "interface", "event", "enum", "enumMember",
		"property", "variable", "function",
	}
	tokenModifiers = []string{"declaration", "deprecated"}
)

// tokenTypeOf tells how a declared thing is coloured.
var tokenTypeOf = map[string]string{
	"tool": "class", "kit": "class", "part": "struct", "consumable": "interface", "hazard": "event", "condition": "enum", "variant": "enum",
	"member": "enumMember", "state": "enumMember", "answer": "enumMember", "table": "type", "column": "property", "figure": "type", "video": "type",
	"routine": "function", "procedure": "function", "reading": "variable", "question": "variable", "hole": "variable", "record": "variable",
}

// A stroke is a stretch of the file in one colour.
type stroke struct {
	start, end int
	kind       string
	modifiers  uint32
}

// colours colours a whole file.
func (s *server) colours(p *protocol.SemanticTokensParams) (any, error) {
	out := protocol.SemanticTokens{Data: []uint32{}}
	s.look(p.TextDocument.URI, func(sc *scene) {
		var last protocol.Position
		for _, k := range sc.strokes() {
			from, to := sc.lines.position(k.start), sc.lines.position(k.end)
			if from.Line != to.Line || to.Character <= from.Character {
				continue // an editor takes none that goes over a line's end
			}
			delta := from.Character
			if from.Line == last.Line {
				delta -= last.Character
			}
			out.Data = append(out.Data, from.Line-last.Line, delta, to.Character-from.Character, uint32(slices.Index(tokenTypes, k.kind)), k.modifiers)
			last = from
		}
	})
	return out, nil
}

// strokes gives the coloured stretches of the file in order; none overlap.
func (sc *scene) strokes() []stroke {
	named := sc.namedHere()
	words := sc.ownWords()
	var out []stroke
	for _, t := range sc.file.Tokens {
		start, end := t.Pos.Offset, t.Pos.Offset+len(t.Value)
		switch t.Type {
		case syntax.CommentToken:
			out = append(out, stroke{start, end, "comment", 0})
		case syntax.NumberToken, syntax.DateToken, syntax.TimeToken, syntax.PercentToken:
			out = append(out, stroke{start, end, "number", 0})
		case syntax.StringToken:
			out = append(out, parted(stroke{start, end, "string", 0}, within(named, start, end))...)
		case syntax.WordToken:
			kind, known := words[start]
			switch inner := within(named, start, end); {
			case len(inner) > 0:
				out = append(out, inner...)
			case known && kind != "":
				out = append(out, stroke{start, end, kind, 0})
			case !known && syntax.Reserved(t.Value):
				out = append(out, stroke{start, end, "keyword", 0})
			}
		}
	}
	return out
}

// parted cuts what is in a text out of the text.
func parted(text stroke, inner []stroke) []stroke {
	var out []stroke
	at := text.start
	for _, k := range inner {
		if k.start > at {
			out = append(out, stroke{at, k.start, text.kind, 0})
		}
		out = append(out, k)
		at = k.end
	}
	if at < text.end {
		out = append(out, stroke{at, text.end, text.kind, 0})
	}
	return out
}

func within(list []stroke, start, end int) []stroke {
	from, _ := slices.BinarySearchFunc(list, start, func(k stroke, at int) int { return k.start - at })
	to := from
	for to < len(list) && list[to].start < end {
		to++
	}
	return list[from:to]
}

// namedHere gives every name of the file that means a declared thing.
func (sc *scene) namedHere() []stroke {
	var out []stroke
	add := func(sym library.Symbol, start, end int, declared bool) {
		k := stroke{start, end, tokenTypeOf[sym.Sort()], 0}
		if declared {
			k.modifiers |= 1
		}
		if sym.Declared().ReplacedBy != nil {
			k.modifiers |= 2
		}
		if k.kind != "" {
			out = append(out, k)
		}
	}
	for _, r := range sc.Library.Named(sc.whole()) {
		add(r.To, r.Span.Start, r.Span.End, r.Span == r.To.Declared().Span)
	}
	each(sc.Library, func(sym library.Symbol) {
		if at := sym.Declared().Span; at.File == sc.file.Source {
			add(sym, at.Start, at.End, true)
		}
	})
	slices.SortStableFunc(out, func(a, b stroke) int { return a.start - b.start })
	kept := out[:0]
	for _, k := range out {
		if len(kept) == 0 || k.start >= kept[len(kept)-1].end {
			kept = append(kept, k)
		}
	}
	return kept
}

// ownWords tells of the words that are no keywords where they stand: names,
// units and codes. A unit or a code has a colour of its own.
func (sc *scene) ownWords() map[int]string {
	own := map[int]string{}
	syntax.WalkFile(sc.file, func(n syntax.Place) bool {
		switch n := n.(type) {
		case *syntax.Operand:
			if n.Unit != nil {
				own[n.Unit.Start()] = "type"
			}
		case *syntax.Measure:
			if n.Unit != nil {
				own[n.Unit.Start()] = "type"
			}
		case *syntax.Name:
			if _, known := own[n.Start()]; !known {
				own[n.Start()] = ""
			}
		case syntax.Property:
			switch n.(type) {
			case *syntax.MemberProperty, *syntax.RowProperty:
			default:
				own[n.KeyNode().Start()] = "keyword"
			}
		case syntax.Declaration:
			own[n.Start()] = "keyword"
		}
		return true
	})
	return own
}

// tokenAt gives the token an offset stands in or directly behind, or nil.
func (sc *scene) tokenAt(offset int) *lexer.Token {
	for i := range sc.file.Tokens {
		t := &sc.file.Tokens[i]
		if t.Pos.Offset <= offset && offset <= t.Pos.Offset+len(t.Value) {
			if next := i + 1; next < len(sc.file.Tokens) && sc.file.Tokens[next].Pos.Offset == offset {
				return &sc.file.Tokens[next]
			}
			return t
		}
	}
	return nil
}
