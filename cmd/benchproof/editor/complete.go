package editor

import (
	"fmt"
	"slices"
	"strings"

	"github.com/charmbracelet/x/powernap/pkg/lsp/protocol"

	"benchproof/compiler/library"
	"benchproof/dsl/syntax"
)

// maxItems is how many proposals one reply holds; an editor asks again as more
// letters are typed.
const maxItems = 500

// completion proposes what can stand at a place.
func (s *server) completion(p *protocol.CompletionParams) (any, error) {
	out := protocol.CompletionList{Items: []protocol.CompletionItem{}}
	s.look(p.TextDocument.URI, func(sc *scene) {
		c := &completer{scene: sc, place: placeAt(sc.file, sc.lines.offset(p.Position)), seen: map[string]bool{}, items: out.Items}
		c.end = c.place.start + len(c.place.prefix)
		c.propose()
		out.Items, out.IsIncomplete = c.items, c.more
	})
	return out, nil
}

// A completer gathers proposals.
type completer struct {
	*scene
	place *place
	// start is where what a proposal replaces begins; end is where the cursor is.
	start, end int
	items      []protocol.CompletionItem
	seen       map[string]bool
	more       bool
}

func (c *completer) propose() {
	c.start = c.place.start
	switch {
	case c.place.inComment:
	case c.place.inText:
		c.mentions()
	default:
		c.words()
	}
}

// add proposes a word. Those of a lower rank stand first.
func (c *completer) add(rank int, label, detail, about string, kind protocol.CompletionItemKind) {
	if c.seen[label] || !matches(label, c.File(c.name).Source.Text[c.start:c.end]) {
		return
	}
	if len(c.items) == maxItems {
		c.more = true
		return
	}
	c.seen[label] = true
	item := protocol.CompletionItem{
		Label: label, Detail: detail, Kind: kind, SortText: fmt.Sprintf("%d%04d", rank, len(c.items)),
		TextEdit: &protocol.Or_CompletionItem_textEdit{Value: protocol.TextEdit{Range: c.lines.rangeOf(c.start, c.end), NewText: label}},
	}
	if about != "" {
		item.Documentation = &protocol.Or_CompletionItem_documentation{Value: about}
	}
	c.items = append(c.items, item)
}

// matches tells whether a proposal can be meant by what is typed: that stands
// somewhere in it.
func matches(label, typed string) bool {
	return strings.Contains(strings.ToLower(label), strings.ToLower(typed))
}

// words proposes what can stand in a statement.
func (c *completer) words() {
	b := c.place.block()
	if len(c.place.entry) == 0 {
		c.starts(b)
		return
	}
	key := ""
	if k, ok := keyword(b.ctx, c.place.entry); ok {
		key = k.Key
	} else if half := c.halfKey(b.ctx); half {
		return
	} else if !freeContext(b.ctx) && word(c.place.entry, 0) != "otherwise" {
		return
	}
	p := patternOf(b.ctx, key)
	if p == nil {
		return
	}
	r := p.follow(c.place.entry)
	c.terms(r)
	if r.whole && c.place.newLine {
		c.starts(b)
	}
}

// starts proposes what a statement can begin with.
func (c *completer) starts(b block) {
	if freeContext(b.ctx) {
		c.terms(patternOf(b.ctx, "").follow(nil))
	}
	if n := len(b.entries); n > 0 && word(b.entries[n-1], 0) == "repeat" {
		c.add(1, "otherwise", "otherwise { … }", "what is done when the last turn has failed", protocol.KeywordCompletion)
	}
	for _, k := range syntax.Keywords(b.ctx) {
		c.add(2, k.Key, strings.TrimSpace(k.Key+" "+k.Syntax), k.Meaning, protocol.KeywordCompletion)
	}
}

// halfKey proposes the second word of a key.
func (c *completer) halfKey(ctx syntax.Context) bool {
	found := false
	for _, k := range syntax.Keywords(ctx) {
		first, second, two := strings.Cut(k.Key, " ")
		if two && len(c.place.entry) == 1 && word(c.place.entry, 0) == first {
			c.add(0, second, k.Key+" "+k.Syntax, k.Meaning, protocol.KeywordCompletion)
			found = true
		}
	}
	return found
}

// terms proposes what a pattern takes next.
func (c *completer) terms(r reached) {
	entry := c.place.entry
	if n := len(entry); n > 0 && entry[n-1].Type == syntax.NumberToken && entry[n-1].Pos.Line == c.lineOf(c.place.start) && measured[r.slot()] {
		c.units(0, c.dimensionsOf(r))
	}
	ranges, cases := true, true
	switch b := c.place.block(); {
	case b.ctx == syntax.InDecide && len(entry) == 0:
		ranges, cases = c.takes(word(b.head, 1))
	case word(entry, 0) == "until" && len(entry) == 2:
		ranges, cases = c.takes(word(entry, 1))
	}
	for _, t := range r.next {
		switch {
		case t.word == "{" || t.word == ",":
		case t.word != "" && !ranges, (t.slot == "CASE" || t.slot == "ANSWER") && !cases:
		case t.word != "":
			c.add(1, t.word, "", "", protocol.KeywordCompletion)
		default:
			c.slot(t.slot)
		}
	}
	// The second word of a key whose first is a key of its own: begins without.
	if len(entry) == 1 {
		for _, k := range syntax.Keywords(c.place.block().ctx) {
			if first, second, two := strings.Cut(k.Key, " "); two && first == entry[0].Value {
				c.add(1, second, k.Key+" "+k.Syntax, k.Meaning, protocol.KeywordCompletion)
			}
		}
	}
}

// takes tells what a branch of a decision or an until begins with: a range of a
// reading, or answers and members. Where it is not known what it goes by, it may
// be either.
func (c *completer) takes(on string) (ranges, cases bool) {
	cases = c.variant(on) != nil || len(c.answers(on)) > 0
	ranges = c.reading(on) != nil
	if !cases && !ranges {
		return true, true
	}
	return ranges, cases
}

func (c *completer) lineOf(offset int) int {
	line, _ := c.file.Source.Position(offset)
	return line
}

// symbol proposes a declared thing.
func (c *completer) symbol(rank int, s library.Symbol) {
	d := s.Declared()
	if d.ReplacedBy != nil {
		return
	}
	name := d.Name
	detail := s.Sort() + " " + d.Title
	if th, ok := s.(library.Thing); ok {
		common := library.CommonOf(th)
		for _, more := range []string{common.Detail, common.Number} {
			if more != "" {
				detail += ", " + more
			}
		}
	}
	c.add(rank, name, detail, "", completionKinds[s.Sort()])
}

var completionKinds = map[string]protocol.CompletionItemKind{
	"tool": protocol.ClassCompletion, "kit": protocol.ClassCompletion, "part": protocol.StructCompletion, "consumable": protocol.StructCompletion,
	"hazard": protocol.EventCompletion, "condition": protocol.EnumCompletion, "variant": protocol.EnumCompletion,
	"state": protocol.EnumMemberCompletion, "member": protocol.EnumMemberCompletion, "answer": protocol.EnumMemberCompletion,
	"table": protocol.ModuleCompletion, "column": protocol.FieldCompletion, "figure": protocol.FileCompletion, "video": protocol.FileCompletion,
	"routine": protocol.FunctionCompletion, "procedure": protocol.FunctionCompletion, "reading": protocol.VariableCompletion,
	"question": protocol.VariableCompletion, "hole": protocol.VariableCompletion, "record": protocol.VariableCompletion,
}

// mentions proposes what a text can mention behind an @: what the step handles
// first.
func (c *completer) mentions() {
	i := strings.LastIndexByte(c.place.text, '@')
	if i < 0 || i > 0 && c.place.text[i-1] == '\\' || !isMention(c.place.text[i+1:]) {
		return
	}
	typed := c.place.text[i+1:]
	c.start = c.end - len(typed)
	if table, _, dotted := strings.Cut(typed, "."); dotted {
		c.columns(0, table, nil)
		return
	}
	for _, s := range c.handledInStep() {
		c.symbol(0, s)
	}
	if p := c.procedure(); p != nil {
		for _, r := range p.Readings {
			c.symbol(1, r)
		}
		for _, q := range p.Questions {
			c.symbol(1, q)
		}
	}
	for _, t := range c.Library.Tables {
		c.add(2, t.Name, "table by "+variantName(t), "", protocol.ModuleCompletion)
	}
	eachOf(c.Library.Tools, func(s library.Symbol) { c.symbol(2, s) })
	eachOf(c.Library.Parts, func(s library.Symbol) { c.symbol(2, s) })
	eachOf(c.Library.Consumables, func(s library.Symbol) { c.symbol(2, s) })
}

func variantName(t *library.Table) string {
	if t.Variant == nil {
		return "?"
	}
	return t.Variant.Name
}

func isMention(typed string) bool {
	return !strings.ContainsFunc(typed, func(r rune) bool { return strings.ContainsRune(" \t\"@,;:!?()", r) })
}

// handledInStep gives the things named in the braces of the step whose text the
// cursor is in, or that stands around it.
func (c *completer) handledInStep() (out []library.Symbol) {
	at := c.end
	for _, d := range c.file.Declarations {
		syntax.Walk(d, func(n syntax.Place) bool {
			if at < n.Start() || at > n.End() {
				return false
			}
			st, ok := n.(*syntax.Step)
			if !ok {
				return true
			}
			for _, a := range st.Actions {
				syntax.Walk(a, func(n syntax.Place) bool {
					name, ok := n.(*syntax.Name)
					if !ok {
						return true
					}
					for _, r := range c.Library.Named(name.In(c.file.Source)) {
						if th, ok := r.To.(library.Thing); ok && !slices.Contains(out, library.Symbol(th)) {
							out = append(out, th)
						}
					}
					return true
				})
			}
			return false
		})
	}
	return out
}

// procedure gives the procedure that the place stands in, or that the trial
// around it is of, as far as it is bound.
func (c *completer) procedure() *library.Procedure {
	name := ""
	if head := c.place.around(syntax.InProcedure); head != nil {
		name = word(head, 1)
	} else if head := c.place.around(syntax.InTrial); head != nil {
		name = word(head, 3)
	}
	for _, p := range c.Library.Procedures {
		if p.Name == name && name != "" {
			return p
		}
	}
	return nil
}
