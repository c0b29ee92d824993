package pdf

import (
	"slices"
	"strconv"
	"strings"

	"benchproof/compiler/document"
	"benchproof/render/look"
)

// A sheet is the whole file as plain data: what stands where on each page.
type sheet struct {
	paper   look.Paper
	pages   []page
	root    *elem
	anchors map[string]spot
	marks   []outlineMark
	doc     *document.Document
	words   *document.Words
	missing missingRunes
	// body is where the bands of a page behind the first stand, and the height of
	// the control block with the white above it.
	body struct{ top, bottom, control float64 }
}

// A page is the items of a page, from the top left corner of the paper.
type page struct {
	items []item
}

// spot is a place on a page.
type spot struct {
	page int // from 0
	y    float64
}

type outlineMark struct {
	level int
	title string
	at    spot
}

// place lays a document out. How many digits a page number has must be known
// before lines are broken; where a document comes out longer than thought, it
// is laid out again with more room.
func place(doc *document.Document, paper look.Paper) (*sheet, error) {
	digits := 2
	if len(doc.Steps) > 500 {
		digits = 3
	}
	for {
		g := newGalley(doc, paper, digits)
		g.document()
		if g.err != nil {
			return nil, g.err
		}
		s := g.pages()
		if need := len(strconv.Itoa(len(s.pages))); need > digits {
			digits = need
			continue
		}
		return s, nil
	}
}

// document sets all parts in the order of the document.
func (g *galley) document() {
	g.title()
	g.controlBlock()
	g.draft()
	g.whatChanged()
	g.before()
	g.safety()
	g.need()
	g.jobMap()
	g.sect = g.root.child("Sect")
	g.blocks(g.doc.Body)
	g.finishes()
	g.closeUp()
	g.record()
	g.revisions()
}

// cost is what ending a page somewhere costs, in hundredths of a page left
// white.
var cost = [...]float64{freely: 0, politely: 20, parting: 18, inside: 300, never: 100000}

// whiteCost is what a share of a page left white costs: little of it is nothing
// to mend, a third of a page is worth nearly any cut.
func whiteCost(w float64) float64 { return 100*w + 150*max(0, w-0.15) + 600*max(0, w-0.3) }

// pages cuts the galley into pages.
func (g *galley) pages() *sheet {
	s := &sheet{paper: g.paper, root: g.root, anchors: map[string]spot{}, doc: g.doc, words: g.w, missing: g.missing}
	g.controlToFlow()
	s.body.top, s.body.bottom = g.top(), g.bottom()
	if g.control != nil {
		s.body.control = g.control.h + controlGap
	}
	for i := 0; i < len(g.bands) || i == 0; {
		room := g.pageRoom()
		first := len(s.pages) == 0
		if first {
			room += g.top() - g.pageTop(0)
			if g.control != nil {
				room -= g.control.h + controlGap
			}
		}
		var head *band
		if i < len(g.bands) {
			head = g.bands[i].pageHead()
		}
		if head != nil {
			room -= head.h
		}
		end := g.pageEnd(i, room)
		s.fill(g, i, end, head)
		if len(g.bands) == 0 {
			break
		}
		i = end
	}
	for n := range s.pages {
		g.running(s, n)
	}
	s.resolve(g.w)
	return s
}

// controlToFlow sets the control block right under the title where both do not
// go on the first page with the block at its foot.
func (g *galley) controlToFlow() {
	if g.control == nil {
		return
	}
	used := g.control.h + controlGap
	for _, b := range g.bands[:g.frontEnd] {
		used += b.space + b.h
	}
	if used <= g.bottom()-g.pageTop(0) {
		return
	}
	g.control.space = controlGap
	g.bands = slices.Insert(g.bands, g.frontEnd, g.control)
	g.control = nil
}

// controlGap is the least white above the control block.
const controlGap = 12.0

// pageEnd says which band begins the next page when a page begins with band i.
func (g *galley) pageEnd(i int, room float64) int {
	used := 0.0
	best, bestCost := i+1, 1e18
	for k := i; k < len(g.bands); k++ {
		b := g.bands[k]
		if k > i {
			// What is left white if the page ends above band k.
			c := cost[b.cut] + whiteCost((room-used)/room)
			if c <= bestCost {
				best, bestCost = k, c
			}
			used += b.space
		}
		used += b.h
		if used > room+0.01 {
			if k == i {
				return i + 1
			}
			return best
		}
	}
	return len(g.bands)
}

// pageTop is where the bands of a page begin: the first page has no running
// head unless nobody may work from it.
func (g *galley) pageTop(n int) float64 {
	if n == 0 && !g.doc.Barred() {
		return look.MarginTop
	}
	return g.top()
}

// fill makes a page of the bands i..end.
func (s *sheet) fill(g *galley, i, end int, head *band) {
	n := len(s.pages)
	room := 24 // of which the running head and foot take most
	for _, b := range g.bands[i:end] {
		room += len(b.items)
	}
	if head != nil {
		room += len(head.items)
	}
	if n == 0 && g.control != nil {
		room += len(g.control.items)
	}
	p := page{items: make([]item, 0, room)}
	y := g.pageTop(n)
	if n > 0 && head != nil {
		for _, it := range head.items {
			// A head that is repeated is read out once, where it first stands.
			it.elem = nil
			it.y += y
			switch it.kind {
			case openItem, linkItem, fieldItem:
				continue
			}
			p.items = append(p.items, it)
		}
		y += head.h
	}
	control := func() {
		if n == 0 && g.control != nil {
			p.add(g.control, g.bottom()-g.control.h)
			g.control = nil
		}
	}
	for k := i; k < end; k++ {
		b := g.bands[k]
		if k > i {
			y += b.space
		}
		if k == g.frontEnd {
			control()
		}
		for _, a := range b.anchors {
			s.anchors[a.name] = spot{n, y + a.y}
		}
		for _, m := range b.marks {
			s.marks = append(s.marks, outlineMark{m.level, m.title, spot{n, y + m.y}})
		}
		p.add(b, y)
		y += b.h
	}
	control()
	s.pages = append(s.pages, p)
}

func (p *page) add(b *band, y float64) {
	for _, it := range b.items {
		it.y += y
		p.items = append(p.items, it)
	}
}

// running sets the head and foot of a page; they are artifacts.
func (g *galley) running(s *sheet, n int) {
	p := &s.pages[n]
	width := g.right - g.left
	d := g.doc
	const size = look.SmallSize
	where := runningFoot
	put := func(items []item) {
		for _, it := range items {
			it.elem = where
			p.items = append(p.items, it)
		}
	}
	text := func(st style, a align, y float64, str string, width float64) []item {
		lines := g.breaker.lines([]piece{{text: str, style: st, whole: true}}, size, width)
		x := g.left
		if a == rightward {
			x = g.left + width - lines[0].width
		}
		items := g.runs(nil, nil, lines[0], size, x)
		for i := range items {
			items[i].y += y
		}
		return items
	}
	// The foot: is this the current revision, is it released, and which sheet is it.
	foot := g.bottom() + 8
	put([]item{rule(g.left, foot, width, 0, look.ThinLine)})
	id := strings.TrimSpace(d.Number+" "+d.Revision) + " · " + d.Fingerprint
	if d.Fingerprint == "" {
		id = strings.TrimSpace(d.Number + " " + d.Revision)
	}
	right := " · " + g.w.Page + " " + strconv.Itoa(n+1) + " " + g.w.Of + " " + strconv.Itoa(len(s.pages))
	room := width - textWidth(regular, size, g.w.CheckCurrent) - 10
	right = g.cutTo(id, size, room-textWidth(regular, size, right)) + right
	put(text(regular, rightward, foot+3, right, width))
	put(text(regular, leftward, foot+3, g.w.CheckCurrent, width))
	if d.Release.Text != "" {
		how := regular
		if d.Release.State != document.Released {
			how = bold
		}
		put(text(how, leftward, foot+3+leading(size), g.cutTo(d.Release.Text, size, width*0.96), width))
	}
	where = runningHead
	// The head: a draft and what is withdrawn say so; pages behind the first carry the title.
	if d.Barred() {
		put(g.draftHead(width))
		return
	}
	if n > 0 {
		// The head: title, room for the work order, number. Loose sheets of two jobs
		// look alike without it.
		const room, white = 92.0, 14.0
		y := look.MarginTop - 2
		number := g.cutTo(d.Number, size, width/3)
		order := g.cutTo(g.w.WorkOrder, size, width/4)
		blank := g.right - textWidth(bold, size, number) - white - room
		put(text(regular, leftward, y, g.cutTo(d.Title, size, blank-6-textWidth(regular, size, order)-white-g.left), width))
		put(text(regular, rightward, y, order, blank-6-g.left))
		put(text(bold, rightward, y, number, width))
		line := y + baseline(size) + 3
		put([]item{rule(blank, line, room, 0, look.ThinLine)})
		if g.heads == nil {
			g.heads = g.root.child("Sect")
		}
		p.items = append(p.items, item{kind: fieldItem, elem: g.heads.child("Form"), x: blank, y: line - 14, w: room, h: 14,
			field: &field{name: workOrder, tip: g.w.Job + g.w.Colon() + g.w.WorkOrder, shared: true}})
	}
}

// draftHead is a black strip with white words across the head of a page.
func (g *galley) draftHead(width float64) []item {
	const h = 20.0
	y := look.MarginTop - 6
	c := look.Black
	items := []item{{kind: groundItem, x: g.left, y: y, w: width, h: h, fill: &c}}
	large, _ := g.doc.BarredWords()
	w := textWidth(bold, look.HeadingSize, large)
	words := g.label(nil, bold, look.HeadingSize, g.left+(width-w)/2, y+(h-leading(look.HeadingSize))/2, large)
	for i := range words {
		words[i].tint = look.White
	}
	return append(items, words...)
}

// cutTo shortens a title to a width; the whole title stands on the first page.
func (g *galley) cutTo(s string, size, width float64) string {
	limit := int(width * 1000 / size)
	_, _, dots, _ := choose(regular, '…')
	sum, end := 0, 0 // end is where the text may be cut
	for i, r := range s {
		if sum+int(dots) <= limit {
			end = i
		}
		_, _, w, _ := choose(regular, r)
		if sum += int(w); sum > limit {
			return strings.TrimRight(s[:end], " ") + "…"
		}
	}
	return s
}

// resolve fills in the page numbers that were left open, and takes away links
// that lead nowhere.
func (s *sheet) resolve(w *document.Words) {
	for n := range s.pages {
		items := s.pages[n].items
		kept := items[:0]
		for _, it := range items {
			if it.late != nil {
				switch {
				case it.late.total:
					it.text = it.late.prefix + strconv.Itoa(len(s.pages))
				case it.late.anchor != "":
					at, ok := s.anchors[it.late.anchor]
					if !ok || it.late.elsewhere && at.page == n {
						continue
					}
					it.text = it.late.prefix + strconv.Itoa(at.page+1)
				}
			}
			if it.kind == linkItem && it.to.anchor != "" {
				if _, ok := s.anchors[it.to.anchor]; !ok {
					continue
				}
			}
			kept = append(kept, it)
		}
		s.pages[n].items = kept
	}
}
