package library

import (
	"net/url"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/yuin/goldmark/ast"
	"github.com/yuin/goldmark/parser"
	"github.com/yuin/goldmark/text"
	"github.com/yuin/goldmark/util"

	"benchproof/compiler/quantity"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// markup are the bytes at which markup may begin or end.
const markup = "*_`[]\\&!\n"

// text parses a text once into spans: CommonMark inline markup (emphasis,
// code, links), mentions and quantities. Everything else is kept as written.
func (b *binder) text(s *scope, t *syntax.Text) Text {
	if t == nil {
		return Text{}
	}
	value := t.Value()
	p := &textParser{b: b, scope: s, node: t, value: value, place: source.Span{File: b.file, Start: t.Start(), End: t.End()}}
	marks := 0
	for i := range len(value) {
		if strings.IndexByte(markup, value[i]) >= 0 {
			marks++
		}
	}
	if marks > maxMarks {
		b.wrong("BP101", p.place, "the text has %d signs of markup, such as * and [; it may have %d", marks, maxMarks).
			Helped("say it in several texts")
		p.plain(value, 0, TextPlain, "")
	} else if marks > 0 {
		p.markup()
	} else {
		p.plain(value, 0, TextPlain, "")
	}
	return Text{p.spans, p.place}
}

type textParser struct {
	b     *binder
	scope *scope
	node  *syntax.Text
	value string
	place source.Span
	spans []TextSpan
	// reword is set where a translation is read: it has blanks instead of
	// mentions and quantities, and no places of its own.
	reword *rewording
}

func (p *textParser) at(start, end int) source.Span {
	if p.node == nil {
		return p.place
	}
	return source.Span{File: p.place.File, Start: p.node.Offset(start), End: p.node.Offset(end)}
}

func (p *textParser) add(kind TextKind, text, href string, start, end int) {
	if text == "" {
		return
	}
	p.spans = append(p.spans, TextSpan{Kind: kind, Text: text, Href: href, Span: p.at(start, end)})
}

// plain splits a run of text into words, mentions and quantities. offset is
// where the run starts in the value; kind is what its words are.
func (p *textParser) plain(run string, offset int, kind TextKind, href string) {
	if p.reword != nil {
		p.reword.split(p, run, kind, href)
		return
	}
	start := 0
	for i := 0; i < len(run); {
		c := run[i]
		switch {
		case c == '@' && (i == 0 || !isWordByte(run[i-1])):
			name, count, end := scanMention(run[i:])
			if name == "" {
				i++
				continue
			}
			p.add(kind, run[start:i], href, offset+start, offset+i)
			p.mention(name, count, offset+i, offset+i+end)
			i += end
			start = i
		case (c >= '0' && c <= '9' || c == '-' && i+1 < len(run) && run[i+1] >= '0' && run[i+1] <= '9') && startsNumber(run, i):
			q, end := scanQuantity(run[i:])
			if q == nil {
				i += max(end, 1)
				continue
			}
			p.add(kind, run[start:i], href, offset+start, offset+i)
			p.spans = append(p.spans, TextSpan{Kind: TextQuantity, Text: q.String(), Quantity: q, Span: p.at(offset+i, offset+i+end)})
			i += end
			start = i
		default:
			i++
		}
	}
	p.add(kind, run[start:], href, offset+start, offset+len(run))
}

func isWordByte(c byte) bool {
	return c >= 'a' && c <= 'z' || c >= 'A' && c <= 'Z' || c >= '0' && c <= '9' || c >= 0x80
}

// startsNumber tells that no word or number runs into the place from the left.
func startsNumber(s string, i int) bool {
	if i == 0 {
		return true
	}
	r, _ := utf8.DecodeLastRuneInString(s[:i])
	return unicode.IsSpace(r) || strings.ContainsRune("([{“\"'/", r)
}

// scanMention reads `@name` and `@name x 6` at the start of s. end is the
// length read; an empty name means that none stands there.
func scanMention(s string) (name string, count string, end int) {
	i := 1
	if i >= len(s) {
		return "", "", 0
	}
	if r, _ := utf8.DecodeRuneInString(s[i:]); !unicode.IsLetter(r) {
		return "", "", 0
	}
	for i < len(s) {
		r, n := utf8.DecodeRuneInString(s[i:])
		inner := r == '-' || r == '.'
		if inner {
			next, _ := utf8.DecodeRuneInString(s[i+n:])
			inner = unicode.IsLetter(next) || unicode.IsDigit(next)
		}
		if !inner && !unicode.IsLetter(r) && !unicode.IsDigit(r) {
			break
		}
		i += n
	}
	name, end = s[1:i], i
	rest := s[i:]
	if strings.HasPrefix(rest, " x ") {
		digits := 0
		for 3+digits < len(rest) && rest[3+digits] >= '0' && rest[3+digits] <= '9' {
			digits++
		}
		if digits > 0 {
			return name, rest[3 : 3+digits], end + 3 + digits
		}
	}
	return name, "", end
}

// scanQuantity reads a number and its unit at the start of s. Without a unit
// it gives nil and the length of the number.
func scanQuantity(s string) (*quantity.Quantity, int) {
	i := 0
	if s[0] == '-' {
		i++
	}
	for i < len(s) && s[i] >= '0' && s[i] <= '9' {
		i++
	}
	if i+1 < len(s) && s[i] == '.' && s[i+1] >= '0' && s[i+1] <= '9' {
		i++
		for i < len(s) && s[i] >= '0' && s[i] <= '9' {
			i++
		}
	}
	number := s[:i]
	j := i
	if r, n := utf8.DecodeRuneInString(s[j:]); r == ' ' || r == '\u00a0' || r == '\u202f' {
		j += n
	} else if r != '%' && r != '°' {
		return nil, i
	}
	k := j
	for k < len(s) {
		r, n := utf8.DecodeRuneInString(s[k:])
		inner := r == '.' || r == '/' || r == '·'
		if inner {
			next, _ := utf8.DecodeRuneInString(s[k+n:])
			inner = unicode.IsLetter(next) || unicode.IsDigit(next)
		}
		if !inner && !unicode.IsLetter(r) && !unicode.IsDigit(r) && r != '%' && r != '°' && r != '-' {
			break
		}
		k += n
		if r == '%' {
			break
		}
	}
	u, ok := unitPrinted(s[j:k])
	if !ok {
		return nil, i
	}
	v, err := quantity.ParseNumber(number)
	if err != nil {
		return nil, i
	}
	q := quantity.New(v, u)
	return &q, k
}

var unitSymbols = func() map[string]*quantity.Unit {
	m := map[string]*quantity.Unit{}
	for _, u := range quantity.Units() {
		if _, taken := m[u.Symbol]; !taken {
			m[u.Symbol] = u
		}
	}
	for _, u := range quantity.Units() {
		m[u.Code] = u
	}
	// The symbol of the inch is also a common word: "25 in the box".
	delete(m, "in")
	return m
}()

// unitPrinted finds a unit by its code or by the symbol it is printed with.
func unitPrinted(s string) (*quantity.Unit, bool) {
	u, ok := unitSymbols[s]
	return u, ok
}

// mention binds one mention.
func (p *textParser) mention(name, count string, start, end int) {
	span := p.at(start, end)
	m := &Mention{Count: 1, Span: span}
	if count != "" {
		n, ok := wholeText(count)
		if !ok || n < 1 || n > maxCount {
			p.b.wrong("BP101", span, "a count is a whole number from 1 to %d", maxCount)
			return
		}
		m.Count, m.Counted = n, true
	}
	nameSpan := source.Span{File: span.File, Start: span.Start + 1, End: min(span.End, span.Start+1+len(name))}
	if strings.Contains(name, ".") {
		c, ok := p.b.column(p.scope, name, nameSpan)
		if !ok {
			p.broken()
			return
		}
		m.Column = c
	} else if r := p.scope.taken(name); r != nil {
		p.b.mention(r, nameSpan)
		m.Symbol = r
	} else if s, ok := p.b.known(name); ok {
		// A thing that only texts mention is told of by BP208, not as unused.
		p.b.use(s, nameSpan, true)
		m.Symbol = s
	} else {
		p.b.unknown(name, nameSpan, "thing", func(s Symbol) bool { _, is := s.(Thing); return is })
		p.broken()
		return
	}
	p.spans = append(p.spans, TextSpan{Kind: TextMention, Mention: m, Span: span})
}

func (p *textParser) broken() {
	if p.scope != nil {
		p.scope.broken = true
	}
	p.add(TextPlain, "?", "", len(p.value), len(p.value))
}

// inline is goldmark cut down to what a step's text may hold: raw HTML,
// images, lists and headings stay text as written.
var inline = parser.NewParser(
	parser.WithBlockParsers(util.Prioritized(parser.NewParagraphParser(), 1000)),
	parser.WithInlineParsers(
		util.Prioritized(parser.NewCodeSpanParser(), 100),
		util.Prioritized(parser.NewLinkParser(), 200),
		util.Prioritized(parser.NewEmphasisParser(), 500),
	),
)

// markup walks what goldmark makes of the text.
func (p *textParser) markup() {
	// Leading white space would make a text vanish as an indented block.
	lead := len(p.value) - len(strings.TrimLeft(p.value, " \t"))
	src := []byte(p.value[lead:])
	doc := inline.Parse(text.NewReader(src))
	kind, href := TextPlain, ""
	outer := []TextKind{}
	_ = ast.Walk(doc, func(n ast.Node, enter bool) (ast.WalkStatus, error) {
		push := func(k TextKind) {
			if enter {
				outer = append(outer, kind)
				kind = k
			} else {
				kind, outer = outer[len(outer)-1], outer[:len(outer)-1]
			}
		}
		switch n := n.(type) {
		case *ast.Emphasis:
			if n.Level == 2 || kind == TextStrong {
				push(TextStrong)
			} else {
				push(TextEmphasis)
			}
		case *ast.CodeSpan:
			push(TextCode)
		case *ast.Link:
			if enter {
				href = string(n.Destination)
				if p.reword == nil {
					p.b.link(href, p.place)
				}
			} else {
				href = ""
			}
			push(TextLink)
		case *ast.Image:
			if enter && p.reword != nil {
				p.reword.fault("a text holds no pictures")
			} else if enter {
				p.b.wrong("BP203", p.place, "a text holds no pictures").Helped("declare a figure and write: show NAME")
			}
		case *ast.Text:
			if !enter {
				break
			}
			seg := n.Segment
			raw := string(seg.Value(src))
			if kind == TextCode {
				p.add(TextCode, raw, "", lead+seg.Start, lead+seg.Stop)
			} else if strings.ContainsAny(raw, "\\&") {
				p.escaped(raw, lead+seg.Start, kind, href)
			} else {
				p.plain(raw, lead+seg.Start, kind, href)
			}
			if n.SoftLineBreak() || n.HardLineBreak() {
				p.add(kind, " ", href, lead+seg.Stop, lead+seg.Stop)
			}
		}
		return ast.WalkContinue, nil
	})
}

// escaped handles backslash escapes and entities: what stands between them is
// plain, what they stand for is text and never a mention.
func (p *textParser) escaped(raw string, offset int, kind TextKind, href string) {
	start := 0
	for i := 0; i < len(raw); {
		n := 0
		switch {
		case raw[i] == '\\' && i+1 < len(raw) && util.IsPunct(raw[i+1]):
			n = 2
		case raw[i] == '&':
			if end := strings.IndexByte(raw[i:], ';'); end > 0 && end < 32 {
				n = end + 1
			}
		}
		if n == 0 {
			i++
			continue
		}
		piece := []byte(raw[i : i+n])
		decoded := string(util.ResolveEntityNames(util.ResolveNumericReferences(util.UnescapePunctuations(piece))))
		if decoded == raw[i:i+n] {
			i += n
			continue
		}
		p.plain(raw[start:i], offset+start, kind, href)
		p.add(kind, decoded, href, offset+i, offset+i+n)
		i += n
		start = i
	}
	p.plain(raw[start:], offset+start, kind, href)
}

// link accepts what may be followed safely from a page: the web, mail, and
// files beside the documents.
func (b *binder) link(href string, span source.Span) {
	u, err := url.Parse(href)
	if err == nil {
		switch strings.ToLower(u.Scheme) {
		case "http", "https", "mailto":
			return
		case "":
			if href != "" && !strings.HasPrefix(href, "/") && !strings.Contains(href, "..") && !strings.Contains(href, "\\") {
				return
			}
		}
	}
	b.wrong("BP203", span, "a link leads to the web, to mail or to a file beside the documents, not to %s", quoted(href))
}
