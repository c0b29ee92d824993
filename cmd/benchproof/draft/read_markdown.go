package draft

import (
	"bytes"
	"html"
	"strings"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
)

// readMarkdown reads headings, items of lists, paragraphs and quotes. Stress
// and links are read as their words; code blocks, tables and HTML are no
// instructions and are passed over.
func readMarkdown(src string) *talk {
	t := &talk{}
	source := []byte(src)
	doc := goldmark.DefaultParser().Parse(text.NewReader(source))
	lines := newLines(source)
	_ = ast.Walk(doc, func(n ast.Node, enter bool) (ast.WalkStatus, error) {
		if !enter {
			return ast.WalkContinue, nil
		}
		switch n.Kind() {
		case ast.KindHeading, ast.KindParagraph, ast.KindTextBlock:
		case ast.KindCodeBlock, ast.KindFencedCodeBlock, ast.KindHTMLBlock:
			return ast.WalkSkipChildren, nil
		default:
			return ast.WalkContinue, nil
		}
		p := passage{text: words(n, source)}
		if n.Lines().Len() > 0 {
			p.line = lines.of(n.Lines().At(0).Start)
		}
		for a := n.Parent(); a != nil; a = a.Parent() {
			switch a.Kind() {
			case ast.KindListItem:
				p.role = item
			case ast.KindList:
				p.level++
			case ast.KindBlockquote:
				if p.role != item {
					p.role = quote
				}
			}
		}
		if h, ok := n.(*ast.Heading); ok {
			p.role, p.level = heading, h.Level
			if t.title == "" && len(t.passages) == 0 {
				t.title = strings.Join(strings.Fields(p.text), " ")
				return ast.WalkSkipChildren, nil
			}
		}
		if a := n.Parent(); p.role == item && a != nil && a.Kind() == ast.KindBlockquote && p.text != "" && p.text[0] >= '0' && p.text[0] <= '9' {
			p.text = "> " + p.text // "- > 60 mm" is a limit, and no quote
		}
		if strings.TrimSpace(p.text) != "" {
			t.passages = append(t.passages, p)
		}
		return ast.WalkSkipChildren, nil
	})
	return t
}

// words gives the plain words of a block.
func words(n ast.Node, source []byte) string {
	var b strings.Builder
	_ = ast.Walk(n, func(c ast.Node, enter bool) (ast.WalkStatus, error) {
		if !enter {
			return ast.WalkContinue, nil
		}
		switch c := c.(type) {
		case *ast.RawHTML, *ast.Image:
			return ast.WalkSkipChildren, nil
		case *ast.AutoLink:
			b.Write(c.Label(source))
		case *ast.Text:
			raw := c.Segment.Value(source)
			if c.Parent().Kind() == ast.KindCodeSpan {
				b.Write(raw)
			} else {
				b.WriteString(html.UnescapeString(string(util.UnescapePunctuations(raw))))
			}
			if c.SoftLineBreak() || c.HardLineBreak() {
				b.WriteByte('\n')
			}
		case *ast.String:
			b.Write(c.Value)
		}
		return ast.WalkContinue, nil
	})
	return b.String()
}

// lineIndex tells the line of an offset.
type lineIndex struct{ starts []int }

func newLines(source []byte) *lineIndex {
	x := &lineIndex{starts: []int{0}}
	for i := 0; ; {
		k := bytes.IndexByte(source[i:], '\n')
		if k < 0 {
			return x
		}
		i += k + 1
		x.starts = append(x.starts, i)
	}
}

func (x *lineIndex) of(offset int) int {
	low, high := 0, len(x.starts)
	for high-low > 1 {
		if mid := (low + high) / 2; x.starts[mid] <= offset {
			low = mid
		} else {
			high = mid
		}
	}
	return low + 1
}
