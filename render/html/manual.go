package html

import (
	"bytes"
	_ "embed"
	"fmt"
	"io"
	"regexp"
	"strconv"
	"strings"
	"unicode"

	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"
)

//go:embed assets/manual.css
var manualCSS string

var (
	manualStyle     = markup(colours() + pageCSS + manualCSS)
	manualStyleHash = hash(string(manualStyle))
)

// A Chapter of a manual is a page of CommonMark with tables, our own text. Its
// first heading is its title.
type Chapter struct {
	// ID is the chapter's anchor; those of its headings begin with it.
	ID       string
	Markdown string
	// Parts lists the headings of the second level in the contents, too.
	Parts bool
}

// Manual writes chapters as one page on the same sheet as the work
// instructions: without a network or a script. A word such as BP404 leads to
// the chapter of that ID, where there is one. Raw HTML in a chapter is left out.
func Manual(w io.Writer, title string, chapters []Chapter) error {
	m := &manual{title: title, ids: map[string]bool{}, chapters: map[string]bool{}}
	for _, c := range chapters {
		m.chapters[c.ID] = true
	}
	var body bytes.Buffer
	for i := range chapters {
		if err := m.chapter(&body, &chapters[i]); err != nil {
			return fmt.Errorf("%s: %w", chapters[i].ID, err)
		}
	}
	p := &page{}
	p.raw("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n")
	p.raw(`<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src `)
	p.b = append(p.b, manualStyleHash...)
	p.raw("; base-uri 'none'; form-action 'none'\">\n")
	p.raw("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta name=\"color-scheme\" content=\"light dark\">\n<meta name=\"referrer\" content=\"no-referrer\">\n<title>")
	p.text(title)
	p.raw("</title>\n<style>")
	p.raw(manualStyle)
	p.raw("</style>\n</head>\n<body class=\"manual\">\n<main>\n<header><h1>")
	p.text(title)
	p.raw("</h1></header>\n<nav aria-label=\"Contents\"><ol>\n")
	for _, e := range m.contents {
		p.raw("<li")
		if e.part {
			p.raw(` class="part"`)
		}
		p.raw("><a")
		p.attr("href", "#"+e.id)
		p.raw(">")
		p.text(e.title)
		p.raw("</a></li>\n")
	}
	p.raw("</ol></nav>\n")
	p.b = append(p.b, body.Bytes()...) // written by goldmark, which escapes
	p.raw("</main>\n</body>\n</html>\n")
	if p.err != nil {
		return p.err
	}
	_, err := w.Write(p.b)
	return err
}

type manual struct {
	title    string
	ids      map[string]bool
	chapters map[string]bool
	contents []content
}

// A content is a line of the contents.
type content struct {
	id, title string
	part      bool
}

var commonMark = goldmark.New(goldmark.WithExtensions(extension.Table),
	goldmark.WithParserOptions(parser.WithASTTransformers(util.Prioritized(leadCodes{}, 500))))

func (m *manual) chapter(w io.Writer, c *Chapter) error {
	source := []byte(c.Markdown)
	context := parser.NewContext()
	context.Set(chapterKey, m.chapters)
	tree := commonMark.Parser().Parse(text.NewReader(source), parser.WithContext(context))
	first := true
	if err := ast.Walk(tree, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		h, ok := n.(*ast.Heading)
		if !ok || !entering {
			return ast.WalkContinue, nil
		}
		title := plainText(h, source)
		id := c.ID
		if !first {
			id = m.free(c.ID + "-" + slug(title))
		}
		h.SetAttributeString("id", []byte(id))
		if first || c.Parts && h.Level == 2 {
			m.contents = append(m.contents, content{id, title, !first})
		}
		h.Level++ // below the manual's own title
		first = false
		return ast.WalkContinue, nil
	}); err != nil {
		return err
	}
	if first {
		return fmt.Errorf("the chapter has no heading")
	}
	fmt.Fprint(w, "<section>\n")
	if err := commonMark.Renderer().Render(w, source, tree); err != nil {
		return err
	}
	_, err := fmt.Fprint(w, "</section>\n")
	return err
}

// free gives an anchor that no other heading has.
func (m *manual) free(id string) string {
	if m.ids[id] {
		for n := 2; ; n++ {
			if next := id + "-" + strconv.Itoa(n); !m.ids[next] {
				id = next
				break
			}
		}
	}
	m.ids[id] = true
	return id
}

func slug(title string) string {
	return strings.Trim(strings.Map(func(r rune) rune {
		if unicode.IsLetter(r) || unicode.IsDigit(r) {
			return unicode.ToLower(r)
		}
		return '-'
	}, title), "-")
}

// plainText gives the text of a node without its markup.
func plainText(n ast.Node, source []byte) string {
	var b strings.Builder
	_ = ast.Walk(n, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		switch n := n.(type) {
		case *ast.Text:
			if entering {
				b.Write(n.Segment.Value(source))
			}
		case *ast.String:
			if entering {
				b.Write(n.Value)
			}
		}
		return ast.WalkContinue, nil
	})
	return b.String()
}

var chapterKey = parser.NewContextKey()

// leadCodes makes links of the codes of messages in running text.
type leadCodes struct{}

var codeWord = regexp.MustCompile(`\bBP[0-9]{3}\b`)

func (leadCodes) Transform(tree *ast.Document, reader text.Reader, context parser.Context) {
	chapters, _ := context.Get(chapterKey).(map[string]bool)
	source := reader.Source()
	var found []*ast.Text
	_ = ast.Walk(tree, func(n ast.Node, entering bool) (ast.WalkStatus, error) {
		switch n := n.(type) {
		case *ast.Heading, *ast.Link, *ast.CodeSpan:
			return ast.WalkSkipChildren, nil
		case *ast.Text:
			if entering && codeWord.Match(n.Segment.Value(source)) {
				found = append(found, n)
			}
		}
		return ast.WalkContinue, nil
	})
	for _, n := range found {
		parent, segment := n.Parent(), n.Segment
		at := segment.Start
		for _, m := range codeWord.FindAllIndex(segment.Value(source), -1) {
			from, to := segment.Start+m[0], segment.Start+m[1]
			code := string(source[from:to])
			if !chapters[code] {
				continue
			}
			if from > at {
				parent.InsertBefore(parent, n, ast.NewTextSegment(text.NewSegment(at, from)))
			}
			link := ast.NewLink()
			link.Destination = []byte("#" + code)
			link.AppendChild(link, ast.NewTextSegment(text.NewSegment(from, to)))
			parent.InsertBefore(parent, n, link)
			at = to
		}
		n.Segment = text.NewSegment(at, segment.Stop)
	}
}
