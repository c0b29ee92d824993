package uses

import (
	"fmt"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"benchproof/compiler/library"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// An Edit puts other text in the place of a stretch of a file.
type Edit struct {
	Span source.Span
	Text string
}

// A Change is what puts one thing in another's place.
type Change struct {
	Old, New library.Thing
	// Edits stand in the order of files and places and do not overlap.
	Edits []Edit
	// Left are places in a sheet, which the library only reads; places where the
	// old thing is still meant in words, by its title or number; and declarations
	// of the new one that name the old: nobody but a person can say what is right
	// there.
	Left []source.Span
}

// Replace works out the edits that put a thing in another's place: in actions,
// mentions, boxes, tables, trials and the declarations of other things. The
// declaration of the old one stays, and says what it is replaced by. A list
// that names both keeps the new one once.
func Replace(lib *library.Library, old, by library.Thing) (*Change, error) {
	c := &Change{Old: old, New: by}
	switch {
	case old == by:
		return nil, fmt.Errorf("%s would be replaced by itself", old.Declared().Name)
	case old.Sort() != by.Sort():
		return nil, fmt.Errorf("%s is a %s and %s a %s: a thing is replaced by one of its sort", old.Declared().Name, old.Sort(), by.Declared().Name, by.Sort())
	}
	for s, turns := by.Declared().ReplacedBy, 0; s != nil && turns < 1000; s, turns = s.Declared().ReplacedBy, turns+1 {
		if s == library.Symbol(old) {
			return nil, fmt.Errorf("%s has itself been replaced by %s: take that out of its declaration first", by.Declared().Name, old.Declared().Name)
		}
	}
	both := map[source.Span]Edit{} // by the place of the old name
	// Binding may have let go of the trees.
	trees := make([]*syntax.File, len(lib.Files))
	for i, f := range lib.Files {
		trees[i] = syntax.Parse(f.Source)
		c.lists(trees[i], both)
	}
	lib.EachReference(func(r library.Reference) {
		if r.To != library.Symbol(old) || within(r.Span, old.Declared().Whole) {
			return
		}
		switch e, twice := both[r.Span]; {
		case within(r.Span, by.Declared().Whole):
			c.Left = append(c.Left, r.Span)
		case twice:
			c.Edits = append(c.Edits, e)
		default:
			c.Edits = append(c.Edits, Edit{r.Span, by.Declared().Name})
		}
	})
	for _, f := range trees {
		c.declare(f)
		c.texts(f)
	}
	// A sheet is the shop's own file: what stands in one is changed there, by hand.
	c.Edits = slices.DeleteFunc(c.Edits, func(e Edit) bool {
		if e.Span.File.Sheet == nil {
			return false
		}
		at := e.Span
		if at.Start == at.End {
			at = old.Declared().Span
		}
		c.Left = append(c.Left, at)
		return true
	})
	order := func(a, b source.Span) int {
		if n := strings.Compare(a.File.Path, b.File.Path); n != 0 {
			return n
		}
		return a.Start - b.Start
	}
	slices.SortStableFunc(c.Edits, func(a, b Edit) int { return order(a.Span, b.Span) })
	slices.SortStableFunc(c.Left, order)
	return c, nil
}

func spanOf(f *syntax.File, p syntax.Place) source.Span {
	return source.Span{File: f.Source, Start: p.Start(), End: p.End()}
}

// lists finds lists of names that hold both things: there the old one goes, with
// its comma.
func (c *Change) lists(f *syntax.File, out map[source.Span]Edit) {
	syntax.WalkFile(f, func(n syntax.Place) bool {
		p, ok := n.(*syntax.NamesProperty)
		if !ok {
			return true
		}
		at := slices.IndexFunc(p.Names, func(n *syntax.Name) bool { return n.Text == c.Old.Declared().Name })
		if at < 0 || !slices.ContainsFunc(p.Names, func(n *syntax.Name) bool { return n.Text == c.New.Declared().Name }) {
			return true
		}
		name := spanOf(f, p.Names[at])
		gone := name
		if at+1 < len(p.Names) {
			gone.End = p.Names[at+1].Start()
		} else {
			gone.Start = p.Names[at-1].End()
		}
		// A comment between the names stays: then the person has to see to it.
		if !strings.Contains(gone.Text(), "#") {
			out[name] = Edit{gone, ""}
		}
		return true
	})
}

// declare lets the old thing's declaration say what it is replaced by.
func (c *Change) declare(f *syntax.File) {
	d := c.Old.Declared()
	if f.Source != d.Whole.File || d.ReplacedBy == library.Symbol(c.New) {
		return
	}
	name := c.New.Declared().Name
	if d.ReplacedBy != nil {
		syntax.WalkFile(f, func(n syntax.Place) bool {
			if p, ok := n.(*syntax.NamesProperty); ok && p.Key() == "replaced by" && len(p.Names) > 0 && within(spanOf(f, p), d.Whole) {
				c.Edits = append(c.Edits, Edit{spanOf(f, p.Names[0]), name})
			}
			return true
		})
		return
	}
	text := d.Whole.Text()
	end := d.Whole.End
	if !strings.HasSuffix(text, "}") {
		c.Edits = append(c.Edits, Edit{source.Span{File: f.Source, Start: end, End: end}, "  { replaced by " + name + " }"})
		return
	}
	inner := strings.TrimRight(text[:len(text)-1], " \t\r\n")
	at := d.Whole.Start + len(inner)
	between := f.Source.Text[at : end-1]
	word := "  replaced by " + name
	if strings.Contains(between, "\n") {
		// A line of its own, set in as the one before it. One that ends in a
		// comment takes no more words.
		line, _ := f.Source.Position(at)
		before, _ := f.Source.Line(line)
		indent := before[:len(before)-len(strings.TrimLeft(before, " \t"))]
		lineEnd := "\n"
		if strings.Contains(between, "\r\n") {
			lineEnd = "\r\n"
		}
		if strings.HasSuffix(inner, "{") {
			indent += "  "
		}
		word = lineEnd + indent + "replaced by " + name
	}
	c.Edits = append(c.Edits, Edit{source.Span{File: f.Source, Start: at, End: at}, word})
}

// texts finds where words still say the old thing's title or number.
func (c *Change) texts(f *syntax.File) {
	old := library.CommonOf(c.Old)
	same := strings.EqualFold(old.Title, c.New.Declared().Title)
	syntax.WalkFile(f, func(n syntax.Place) bool {
		t, ok := n.(*syntax.Text)
		if !ok {
			return true
		}
		at := spanOf(f, t)
		if within(at, old.Whole) || within(at, c.New.Declared().Whole) {
			return true
		}
		text := t.Value()
		if says(text, old.Number) || !same && says(text, old.Title) || !same && says(text, old.Plural) {
			c.Left = append(c.Left, at)
		}
		return true
	})
}

// says tells whether a text holds some words by themselves, in any case.
func says(text, words string) bool {
	if words = strings.ToLower(strings.TrimSpace(words)); words == "" {
		return false
	}
	text = strings.ToLower(text)
	for from := 0; ; {
		i := strings.Index(text[from:], words)
		if i < 0 {
			return false
		}
		start, end := from+i, from+i+len(words)
		before, _ := utf8.DecodeLastRuneInString(text[:start])
		after, _ := utf8.DecodeRuneInString(text[end:])
		if !inWord(before) && !inWord(after) {
			return true
		}
		from = end
	}
}

func inWord(r rune) bool { return unicode.IsLetter(r) || unicode.IsDigit(r) || r == '-' }

// Apply gives the text of a file with its edits made; all else stays, byte for
// byte.
func (c *Change) Apply(f *source.File) string {
	var b strings.Builder
	at := 0
	for _, e := range c.Edits {
		if e.Span.File != f {
			continue
		}
		b.WriteString(f.Text[at:e.Span.Start])
		b.WriteString(e.Text)
		at = e.Span.End
	}
	b.WriteString(f.Text[at:])
	return b.String()
}

// Files gives the files that change, in order.
func (c *Change) Files() (out []*source.File) {
	for _, e := range c.Edits {
		if len(out) == 0 || out[len(out)-1] != e.Span.File {
			out = append(out, e.Span.File)
		}
	}
	return out
}
