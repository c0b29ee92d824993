// Package format gives a source file its one canonical layout.
//
// Input: a parsed file. Output: its text laid out anew. The tokens stay as
// they are and in their order, comments too, so the meaning cannot change, and
// formatting a formatted file changes nothing. A file with mistakes is left
// alone.
//
// The layout: two spaces for each block; one statement a line, properties and
// actions with what they say in a column of its own; the cells of a table in
// columns. What the writer may choose is kept: single blank lines, a line
// break behind a comma, a declaration written on one line, and the distance of
// a comment that stands alone behind a line.
package format

import (
	"sort"
	"strings"

	"github.com/alecthomas/participle/v2/lexer"

	"benchproof/dsl/syntax"
)

const (
	indentation = "  "
	// gap is how many spaces part two columns.
	gap = 2
	// longest is how many columns a declaration on one line may have.
	longest = 120
)

// Source gives the canonical text of a file; that of a file with messages is
// its text as it is.
func Source(f *syntax.File) string {
	if len(f.Messages) > 0 {
		return f.Source.Text
	}
	r := &reader{tokens: f.Tokens, starts: starts(f)}
	items := r.block(nil)
	separate(items, func(a, b *item) bool { return !a.oneLine || !b.oneLine })
	return text(lines(nil, items, ""))
}

// A class says how an item is laid out.
type class uint8

const (
	comment   class = iota // a comment on a line of its own
	plain                  // words with single spaces
	keyed                  // a key, and what it says in a column
	row                    // a key, and cells in columns
	thing                  // a declaration that may stand on one line
	stage                  // plain, with blank lines around
	otherwise              // plain, close to what stands before
)

// A start is what is known of the item that starts at a token.
type start struct {
	class class
	// key is how many tokens the key has.
	key int
	// end is the offset behind the item.
	end int
}

// starts finds where each item of a file starts, by offset.
func starts(f *syntax.File) map[int]start {
	m := map[int]start{}
	syntax.WalkFile(f, func(n syntax.Place) bool {
		s := start{plain, 0, n.End()}
		switch n := n.(type) {
		case *syntax.Thing:
			if n.Keyword() == "table" {
				for _, q := range n.Properties {
					m[q.Start()] = start{row, 1, q.End()}
				}
			} else {
				s.class = thing
			}
		case *syntax.Stage:
			s.class = stage
		case *syntax.Repeat:
			if n.Otherwise != nil {
				s.end = n.Otherwise.Start()
			}
		case *syntax.Otherwise:
			s.class = otherwise
		case *syntax.Trial:
			expectations(f, n, m)
		case syntax.Declaration, syntax.Statement, *syntax.Branch:
		case *syntax.WithoutProperty:
			s.class, s.key = keyed, 1 // in a column with `begins`
		case syntax.Property:
			s.class, s.key = keyed, len(strings.Fields(n.Key()))
		case syntax.Action, *syntax.TrialEntry:
			s.class, s.key = keyed, 1
		default:
			return true
		}
		if _, known := m[n.Start()]; !known {
			m[n.Start()] = s
		}
		return true
	})
	return m
}

// expectations finds the lines of a trial's expectations: they start at the
// word before the first of each line.
func expectations(f *syntax.File, t *syntax.Trial, m map[int]start) {
	at := sort.Search(len(f.Tokens), func(i int) bool { return f.Tokens[i].Pos.Offset >= t.Start() })
	first := 0
	for _, x := range t.Expect {
		for ; f.Tokens[at].Pos.Offset < x.Start(); at++ {
			if tok := &f.Tokens[at]; tok.Type == syntax.WordToken && tok.Value == "expect" {
				first = tok.Pos.Offset
			}
		}
		m[first] = start{keyed, 1, x.End()}
	}
}

// An item is one thing in a block: a comment, or a statement with its own.
type item struct {
	start
	// blank asks for a blank line before the item.
	blank bool
	// words are the tokens before the block.
	words []word
	// note is the comment behind the words, or the comment itself.
	note note
	// block are the items in braces; closing is the comment behind them.
	hasBlock bool
	block    []*item
	closing  note
	oneLine  bool
}

// A word is a token of a statement. Behind a comma the line may break, with
// comments before the next word.
type word struct {
	*lexer.Token
	breaks   bool
	comments []note
}

// A note is a comment with its distance from what stands before it on its
// line. Text is empty for none.
type note struct {
	text     string
	distance int
}

// A reader makes items of tokens.
type reader struct {
	tokens []lexer.Token
	starts map[int]start
	at     int
}

func (r *reader) peek() *lexer.Token {
	if r.at < len(r.tokens) {
		return &r.tokens[r.at]
	}
	return nil
}

func is(t *lexer.Token, sign string) bool { return t.Type == syntax.PunctToken && t.Value == sign }

func end(t *lexer.Token) int { return t.Pos.Offset + len(t.Value) }

// comment reads the next token, a comment.
func (r *reader) comment() note {
	t := &r.tokens[r.at]
	n := note{strings.TrimRight(t.Value, " \t"), gap}
	if r.at > 0 && r.tokens[r.at-1].Pos.Line == t.Pos.Line {
		n.distance = max(gap, t.Pos.Offset-end(&r.tokens[r.at-1]))
	}
	r.at++
	return n
}

// behind reads a comment that stands behind the last token on its line.
func (r *reader) behind(list []note) []note {
	if t := r.peek(); t != nil && r.at > 0 && t.Type == syntax.CommentToken && t.Pos.Line == r.tokens[r.at-1].Pos.Line {
		return append(list, r.comment())
	}
	return list
}

// block reads items up to a closing brace or the end of the file.
func (r *reader) block(items []*item) []*item {
	for {
		t := r.peek()
		if t == nil || is(t, "}") {
			return items
		}
		blank := len(items) > 0 && t.Pos.Line > r.tokens[r.at-1].Pos.Line+1
		if t.Type == syntax.CommentToken {
			items = append(items, &item{blank: blank, note: r.comment()})
			continue
		}
		i, more := r.item()
		i.blank = blank && i.class != otherwise
		items = append(append(items, i), comments(more)...)
	}
}

func comments(list []note) (items []*item) {
	for _, n := range list {
		items = append(items, &item{note: n})
	}
	return items
}

// item reads one statement. A comment inside it moves behind the comma or the
// brace that follows, or behind the statement; more are those for which there
// is no room there, and which stand below.
func (r *reader) item() (i *item, more []note) {
	first := r.peek()
	s, ok := r.starts[first.Pos.Offset]
	if !ok {
		s = start{plain, 0, end(first)}
	}
	i = &item{start: s}
	var pending []note
	for t := first; t != nil && t.Pos.Offset < s.end; t = r.peek() {
		switch {
		case t.Type == syntax.CommentToken:
			pending = append(pending, r.comment())
			continue
		case is(t, "{"):
			r.at++
			r.body(i, pending)
			return i, nil
		}
		r.at++
		i.words = append(i.words, word{Token: t})
		if is(t, ",") {
			w := &i.words[len(i.words)-1]
			for n := r.peek(); n != nil && n.Type == syntax.CommentToken; n = r.peek() {
				pending = append(pending, r.comment())
			}
			n := r.peek()
			w.breaks = len(pending) > 0 || n != nil && n.Pos.Line > t.Pos.Line
			w.comments, pending = pending, nil
		}
	}
	if pending = r.behind(pending); len(pending) > 0 {
		i.note, more = pending[0], pending[1:]
	}
	return i, more
}

// body reads a block behind its brace.
func (r *reader) body(i *item, pending []note) {
	i.hasBlock = true
	open := r.tokens[r.at-1].Pos.Line
	pending = r.behind(pending)
	noted := len(pending) > 0
	if noted {
		i.note, pending = pending[0], pending[1:]
	}
	i.block = r.block(comments(pending))
	closing := r.peek()
	r.at++
	if n := r.behind(nil); n != nil {
		i.closing = n[0]
	}
	if i.class == thing && !noted && closing.Pos.Line == open {
		i.oneLine = columns(oneLine(i, nil)) <= longest
	}
	separate(i.block, func(a, b *item) bool {
		return a.class == stage || b.class == stage || a.class == keyed && b.class == plain
	})
}

// separate puts blank lines between items that need one, before the comments
// that stand directly over the second.
func separate(items []*item, need func(a, b *item) bool) {
	var last *item
	over := -1 // the first of the comments directly over the next item
	for n, i := range items {
		if i.class == comment {
			if over < 0 || i.blank {
				over = n
			}
			continue
		}
		if over < 0 || i.blank {
			over = n
		}
		if last != nil && need(last, i) {
			items[over].blank = true
		}
		last, over = i, -1
	}
}
