package pdf

import (
	"bytes"
	"encoding/hex"
	"fmt"
	"math"
	"slices"
	"strconv"
	"sync"
	"unicode/utf16"

	"github.com/signintech/gopdf"

	"benchproof/render/look"
)

// The fourth stage writes the pages. This is the only file that knows gopdf:
// it makes the file, the pages, the subsets of the fonts and the pictures. What
// stands on a page is written as operators of ISO 32000-1 here, because marked
// content, curves and colours of a drawing have no call of their own in gopdf;
// its rectangle call passes a paint style through as it is.

// The fonts are parsed once for the process, each when it is first needed.
var (
	container gopdf.FontContainer
	parsed    [faces]struct {
		once sync.Once
		err  error
	}
)

// family is the name of a face in the file: an embedded subset is named with
// six capitals and a plus sign (ISO 32000-1, 9.6.4).
func family(f faceID) string {
	return "BENCH" + string(rune('A'+f)) + "+" + fonts[f].name
}

func parsedFont(f faceID) error {
	p := &parsed[f]
	p.once.Do(func() {
		p.err = container.AddTTFFontDataWithOption(family(f), fonts[f].data, gopdf.TtfOption{})
	})
	return p.err
}

// written is what painting hands to the finishing pass.
type written struct {
	bytes  []byte
	pages  []int // object numbers
	marked []int // how many marked contents a page has
	owners [][]*elem
	links  []linkMark
	fields []fieldMark
	fonts  []usedFont
}

type linkMark struct {
	page int
	rect [4]float64
	to   *target
	elem *elem
}

type fieldMark struct {
	page  int
	rect  [4]float64
	field *field
	elem  *elem
}

// usedFont is a face of the file with the characters it shows.
type usedFont struct {
	name  string
	runes []rune
}

// paint writes the pages and finishes the file.
func paint(s *sheet) ([]byte, error) {
	gp := &gopdf.GoPdf{}
	gp.Start(gopdf.Config{PageSize: gopdf.Rect{W: s.paper.Width, H: s.paper.Height}})
	gp.SetNoCompression()
	p := painter{sheet: s, gp: gp, holders: map[*picture]gopdf.ImageHolder{}}
	if err := p.useFonts(); err != nil {
		return nil, err
	}
	for n := range s.pages {
		p.out.pages = append(p.out.pages, gp.GetNextObjectID())
		gp.AddPage()
		if err := p.page(n); err != nil {
			return nil, err
		}
	}
	var buf bytes.Buffer
	buf.Grow(1 << 16)
	// gopdf hides write errors; a buffer has none.
	if _, err := gp.WriteTo(&buf); err != nil {
		return nil, fmt.Errorf("pdf: write: %w", err)
	}
	p.out.bytes = buf.Bytes()
	return finish(s, &p.out)
}

type painter struct {
	sheet   *sheet
	gp      *gopdf.GoPdf
	out     written
	font    [faces]int // number of the face in the file; 0: not used
	holders map[*picture]gopdf.ImageHolder

	b       []byte // operators not yet handed over
	n       int    // page
	owners  []*elem
	open    bool // marked content is open
	elem    *elem
	inText  bool
	tint    look.RGB
	face    faceID
	size    float64
	picture bool
}

// useFonts tells gopdf which characters of which face the file needs.
func (p *painter) useFonts() error {
	var used [faces]map[rune]bool
	for _, pg := range p.sheet.pages {
		for i := range pg.items {
			it := &pg.items[i]
			if it.kind != textItem {
				continue
			}
			if used[it.face] == nil {
				used[it.face] = map[rune]bool{}
			}
			for _, r := range it.text {
				used[it.face][r] = true
			}
		}
	}
	for f, set := range used {
		if set == nil {
			continue
		}
		id := faceID(f)
		if err := parsedFont(id); err != nil {
			return fmt.Errorf("pdf: font %s: %w", fonts[f].name, err)
		}
		if err := p.gp.AddTTFFontFromFontContainer(family(id), &container); err != nil {
			return fmt.Errorf("pdf: font %s: %w", fonts[f].name, err)
		}
		var runes []rune
		for r := range set {
			if g, _ := fonts[f].lookup(r); g != 0 {
				runes = append(runes, r)
			}
		}
		slices.Sort(runes)
		if err := p.gp.SetFont(family(id), "", 10.0); err != nil {
			return fmt.Errorf("pdf: font %s: %w", fonts[f].name, err)
		}
		if _, err := p.gp.MeasureTextWidth(string(runes)); err != nil {
			return fmt.Errorf("pdf: font %s: %w", fonts[f].name, err)
		}
		p.out.fonts = append(p.out.fonts, usedFont{family(id), runes})
		p.font[f] = len(p.out.fonts)
	}
	return nil
}

// page paints the items of a page in order.
func (p *painter) page(n int) error {
	p.n, p.owners = n, nil
	p.b = p.b[:0]
	p.tint, p.size = look.Black, 0
	items := p.sheet.pages[n].items
	for i := range items {
		if err := p.item(&items[i]); err != nil {
			return err
		}
	}
	p.close()
	p.flush()
	p.out.owners = append(p.out.owners, p.owners)
	return nil
}

func (p *painter) item(it *item) error {
	switch it.kind {
	case openItem:
		it.elem.hang()
		return nil
	case linkItem:
		p.out.links = append(p.out.links, linkMark{p.n, p.rect(it), it.to, it.elem})
		it.elem.hang()
		return nil
	case fieldItem:
		p.out.fields = append(p.out.fields, fieldMark{p.n, p.rect(it), it.field, it.elem})
		it.elem.hang()
		return nil
	}
	p.mark(it.elem)
	if it.elem != nil && it.elem.tag == "Figure" && it.elem.attr == "" {
		r := p.rect(it)
		it.elem.attr = fmt.Sprintf("/O/Layout/BBox[%s %s %s %s]", num(r[0]), num(r[1]), num(r[2]), num(r[3]))
	}
	switch it.kind {
	case textItem:
		p.text(it)
	case ruleItem:
		p.endText()
		p.number(it.line)
		p.op("w")
		p.point(it.x, it.y)
		p.op("m")
		p.point(it.x+it.w, it.y+it.h)
		p.op("l S")
	case groundItem:
		p.endText()
		p.op("q")
		p.colour(*it.fill, "rg")
		p.box(it)
		p.op("f Q")
	case frameItem:
		p.endText()
		p.number(it.line)
		p.op("w")
		p.box(it)
		p.op("S")
	case drawingItem:
		p.endText()
		p.drawing(it)
	case pictureItem:
		p.endText()
		return p.pixels(it)
	default:
		return fmt.Errorf("pdf: unknown kind of item %d", it.kind)
	}
	return nil
}

// mark opens the marked content of an element, or of an artifact.
func (p *painter) mark(e *elem) {
	if p.open && p.elem == e {
		return
	}
	p.close()
	p.open, p.elem = true, e
	switch e {
	case nil:
		p.op("/Artifact BMC")
		return
	case runningHead, runningFoot:
		p.op("/Artifact<</Type/Pagination" + e.tag + ">>BDC")
		return
	}
	mcid := len(p.owners)
	p.owners = append(p.owners, e)
	e.mark(p.n, mcid)
	p.b = append(p.b, '/')
	p.b = append(p.b, e.tag...)
	p.b = append(p.b, "<</MCID "...)
	p.b = strconv.AppendInt(p.b, int64(mcid), 10)
	p.op(">>BDC")
}

func (p *painter) close() {
	p.endText()
	if p.open {
		p.op("EMC")
	}
	p.open = false
}

func (p *painter) text(it *item) {
	if !p.inText {
		p.op("BT")
		p.inText = true
	}
	if p.size != it.size || p.face != it.face {
		p.b = append(p.b, "/F"...)
		p.b = strconv.AppendInt(p.b, int64(p.font[it.face]), 10)
		p.b = append(p.b, ' ')
		p.number(it.size)
		p.op("Tf")
		p.size, p.face = it.size, it.face
	}
	if p.tint != it.tint {
		p.colour(it.tint, "rg")
		p.tint = it.tint
	}
	if it.angle != 0 {
		sin, cos := math.Sincos(it.angle * math.Pi / 180)
		p.number(cos)
		p.number(-sin)
		p.number(sin)
		p.number(cos)
	} else {
		p.b = append(p.b, "1 0 0 1 "...)
	}
	p.point(it.x, it.y)
	p.op("Tm")
	if it.actual != "" {
		p.b = append(p.b, "/Span<</ActualText"...)
		p.b = appendText(p.b, it.actual)
		p.op(">>BDC")
	}
	p.b = append(p.b, '<')
	f := fonts[it.face]
	for _, r := range it.text {
		if g, _ := f.lookup(r); g != 0 {
			p.b = append(p.b, digits[g>>12], digits[g>>8&15], digits[g>>4&15], digits[g&15])
		}
	}
	p.op(">Tj")
	if it.actual != "" {
		p.op("EMC")
	}
}

const digits = "0123456789ABCDEF"

func (p *painter) endText() {
	if p.inText {
		p.op("ET")
		p.inText = false
		// Text state outlives the text object, so face, size and colour stand.
	}
}

// drawing paints vector shapes, scaled into the item's box.
func (p *painter) drawing(it *item) {
	d := it.drawing
	if d.w <= 0 || d.h <= 0 {
		return
	}
	p.op("q")
	if d.clip {
		p.box(it)
		p.op("W n")
	}
	p.number(it.w / d.w)
	p.b = append(p.b, "0 0 "...)
	p.number(-it.h / d.h)
	p.point(it.x, it.y)
	p.op("cm")
	for i := range d.shapes {
		p.shape(&d.shapes[i])
	}
	p.op("Q")
}

func (p *painter) shape(s *shape) {
	if len(s.path) == 0 || s.fill == nil && s.stroke == nil {
		return
	}
	if s.fill != nil {
		p.colour(*s.fill, "rg")
	}
	if s.stroke != nil {
		p.colour(*s.stroke, "RG")
		p.number(s.line)
		p.op("w")
		if s.round {
			p.op("1 J 1 j")
		} else {
			p.number(float64(s.cap))
			p.op("J")
			p.number(float64(s.join))
			p.op("j")
			if s.miter > 0 {
				p.number(s.miter)
				p.op("M")
			}
		}
		p.b = append(p.b, '[')
		for _, d := range s.dash {
			p.number(d)
		}
		p.b = append(p.b, ']')
		p.number(s.dashFrom)
		p.op("d")
	}
	for _, seg := range s.path {
		switch seg.op {
		case look.Move:
			p.pair(seg.p[0])
			p.op("m")
		case look.Line:
			p.pair(seg.p[0])
			p.op("l")
		case look.Cubic:
			p.pair(seg.p[0])
			p.pair(seg.p[1])
			p.pair(seg.p[2])
			p.op("c")
		case look.Close:
			p.op("h")
		}
	}
	switch {
	case s.fill != nil && s.stroke != nil && s.evenOdd:
		p.op("B*")
	case s.fill != nil && s.stroke != nil:
		p.op("B")
	case s.fill != nil && s.evenOdd:
		p.op("f*")
	case s.fill != nil:
		p.op("f")
	default:
		p.op("S")
	}
}

// pixels paints a picture through gopdf, which puts each into the file once.
func (p *painter) pixels(it *item) error {
	h := p.holders[it.picture]
	if h == nil {
		var err error
		if h, err = gopdf.ImageHolderByBytes(it.picture.data); err != nil {
			return fmt.Errorf("pdf: figure %s: %w", it.picture.name, err)
		}
		p.holders[it.picture] = h
	}
	p.flush()
	if err := p.gp.ImageByHolder(h, it.x, it.y, &gopdf.Rect{W: it.w, H: it.h}); err != nil {
		return fmt.Errorf("pdf: figure %s: %w", it.picture.name, err)
	}
	return nil
}

// flush hands the operators to the page.
func (p *painter) flush() {
	if len(p.b) == 0 {
		return
	}
	style := make([]byte, 0, len(p.b)+8)
	style = append(style, "n Q\n"...)
	style = append(style, p.b...)
	style = append(style, 'q')
	p.b = p.b[:0]
	// The rectangle call saves and restores the graphics state around its own
	// path, which is dropped; what stands between is at the page's own level.
	if err := p.gp.RectFromLowerLeftWithOpts(gopdf.DrawableRectOptions{PaintStyle: gopdf.PaintStyle(style)}); err != nil {
		panic("pdf: a rectangle without transparency cannot fail: " + err.Error())
	}
}

// --- operators -------------------------------------------------------------

func (p *painter) op(s string) {
	p.b = append(p.b, s...)
	p.b = append(p.b, '\n')
}

func (p *painter) number(v float64) {
	p.b = appendNumber(p.b, v)
	p.b = append(p.b, ' ')
}

// point is a place of the sheet in the file's coordinates, y upwards.
func (p *painter) point(x, y float64) {
	p.number(x)
	p.number(p.sheet.paper.Height - y)
}

func (p *painter) pair(q look.Point) {
	p.number(q.X)
	p.number(q.Y)
}

func (p *painter) box(it *item) {
	p.point(it.x, it.y+it.h)
	p.number(it.w)
	p.number(it.h)
	p.op("re")
}

func (p *painter) colour(c look.RGB, op string) {
	if c.R == c.G && c.G == c.B {
		p.number(float64(c.R) / 255)
		if op == "rg" {
			p.op("g")
		} else {
			p.op("G")
		}
		return
	}
	p.number(float64(c.R) / 255)
	p.number(float64(c.G) / 255)
	p.number(float64(c.B) / 255)
	p.op(op)
}

func (p *painter) rect(it *item) [4]float64 {
	h := p.sheet.paper.Height
	return [4]float64{it.x, h - it.y - it.h, it.x + it.w, h - it.y}
}

// appendNumber writes a number to a thousandth, the shortest way.
func appendNumber(b []byte, v float64) []byte {
	n := int64(math.Round(v * 1000))
	if n < 0 {
		b = append(b, '-')
		n = -n
	}
	b = strconv.AppendInt(b, n/1000, 10)
	if f := n % 1000; f != 0 {
		b = append(b, '.', byte('0'+f/100))
		if f%100 != 0 {
			b = append(b, byte('0'+f/10%10))
			if f%10 != 0 {
				b = append(b, byte('0'+f%10))
			}
		}
	}
	return b
}

func num(v float64) string { return string(appendNumber(nil, v)) }

// appendText writes a text string in UTF-16 and hexadecimal digits, in which
// nothing of it can be mistaken for syntax.
func appendText(b []byte, s string) []byte {
	b = append(b, "<FEFF"...)
	for _, u := range utf16.Encode([]rune(s)) {
		b = append(b, digits[u>>12], digits[u>>8&15], digits[u>>4&15], digits[u&15])
	}
	return append(b, '>')
}

// appendBytes writes a byte string in hexadecimal digits.
func appendBytes(b []byte, s string) []byte {
	b = append(b, '<')
	b = hex.AppendEncode(b, []byte(s))
	return append(b, '>')
}
