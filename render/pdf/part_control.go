package pdf

import (
	"fmt"
	"image/color"
	"strings"

	"github.com/boombuler/barcode"
	"github.com/boombuler/barcode/qr"

	"benchproof/render/look"
)

// The control block at the foot of the first page holds the data fields of
// ISO 7200 and, under them, the fields of the job. It is read right after the
// title.

// A datum is a field of the control block.
type datum struct {
	name  string
	value []piece
	// input is the name of a field to fill in; empty: none.
	input string
	share float64
}

const (
	codeSize  = 74.0
	dataPad   = 4.0
	jobHeight = 21.0
	// workOrder is the field that each sheet shows, so that loose ones can be told
	// apart.
	workOrder = "work-order"
)

// controlBlock sets the block as one band for the foot of the first page.
func (g *galley) controlBlock() {
	d := g.doc
	g.sect = g.root.child("Sect")
	var applies []string
	for _, f := range d.AppliesTo {
		var names []string
		for _, m := range f.Members {
			names = append(names, m.Title)
		}
		applies = append(applies, f.Title+g.w.Colon()+strings.Join(names, ", "))
	}
	code, err := g.code()
	if err != nil {
		g.fail(err)
		return
	}
	width := g.right - g.left
	left := width - codeSize
	var time []piece
	if d.Time != nil {
		time = []piece{{text: strings.ReplaceAll(d.Time.Least, " ", "\u00a0")}}
		if d.Time.Most != d.Time.Least {
			time = append(time, plain(" – "), piece{text: strings.ReplaceAll(d.Time.Most, " ", "\u00a0")})
		}
	}
	sheet := &late{total: true, prefix: "1/"}
	b := &band{}
	y := 0.0
	rows := [][]datum{
		{{name: g.w.Owner, value: []piece{plain(d.Owner)}, share: 1.5}, {name: g.w.DocumentType, value: []piece{plain(g.w.WorkInstruction)}, share: 1.3},
			{name: g.w.Document, value: []piece{{text: d.Number, style: bold}}, share: 1.35}, {name: g.w.Revision, value: []piece{strong(d.Revision)}, share: 0.8}},
		{{name: g.w.Date, value: []piece{{text: g.w.DateText(d.Date), whole: true}}, share: 1}, {name: g.w.Skill, value: []piece{plain(d.Skill)}, share: 1.4},
			{name: g.w.ExpectedTime, value: time, share: 1.5}, {name: g.w.Sheet, value: []piece{{text: "1/" + g.room, late: sheet, whole: true}}, share: 0.55}},
		{{name: g.w.AppliesTo, value: []piece{plain(strings.Join(applies, "; "))}, share: 3.2},
			{name: g.w.Fingerprint, value: []piece{{text: d.Edition(spaced), whole: true}}, share: 1.5}},
	}
	if d.Release.Text != "" {
		rows = append(rows, []datum{{name: g.w.Standing, value: []piece{plain(d.Release.Text)}, share: 1}})
	}
	for _, r := range rows {
		y += g.dataRow(b, y, left, r, 0)
	}
	codeBottom := y
	if !d.Barred() { // else it is for no job
		job := []datum{{name: g.w.WorkOrder, input: workOrder, share: 1}, {name: g.w.Machine, input: "machine", share: 1.3},
			{name: g.w.SerialNumber, input: "machine-serial-number", share: 1.1}, {name: g.w.Who, input: "who", share: 1.2}, {name: g.w.JobDate, input: "job-date", share: 0.9}}
		y += g.dataRow(b, y, width, job, jobHeight)
		y += g.nameplate(b, y, width)
	}

	// The code: it leads back to the released document.
	fig := g.sect.child("Figure")
	fig.alt = g.w.ReleasedDocument + g.w.Colon() + g.codeText()
	h := min(codeBottom, codeSize)
	side := h - 10
	b.items = append(b.items,
		item{kind: drawingItem, elem: fig, x: g.right - codeSize + (codeSize-side)/2, y: (codeBottom - side) / 2, w: side, h: side, drawing: code},
		rule(g.right-codeSize, 0, 0, codeBottom, look.ThinLine),
		item{kind: frameItem, x: g.left, w: width, h: y, line: look.ThickLine})
	b.h = y
	g.control, g.frontEnd = b, len(g.bands)
}

// dataRow sets fields side by side and returns the height.
func (g *galley) dataRow(b *band, y, width float64, data []datum, blank float64) float64 {
	total := 0.0
	for _, d := range data {
		total += d.share
	}
	type set struct {
		x, w  float64
		atoms []atom
	}
	var sets []set
	x, h := g.left, 0.0
	for _, d := range data {
		w := width * d.share / total
		p := g.sect.child("P")
		atoms := g.para(p, look.SmallSize, w-2*dataPad, piece{text: d.name, grey: true})
		if len(d.value) > 0 {
			atoms = append(atoms, g.short(g.sect.child("P"), w-2*dataPad, d.value)...)
		}
		sets = append(sets, set{x, w, atoms})
		h = max(h, height(atoms))
		x += w
	}
	h += 2*2.5 + blank
	for i, s := range sets {
		top := y + 2.5
		for _, a := range s.atoms {
			b.items = a.shifted(b.items, s.x+dataPad, top)
			top += a.h
		}
		if data[i].input != "" {
			b.items = append(b.items, item{kind: fieldItem, elem: g.sect.child("Form"), x: s.x + 1.5, y: top, w: s.w - 3, h: y + h - top - 1.5,
				field: &field{name: g.name(data[i].input), tip: g.w.Job + g.w.Colon() + data[i].name, shared: data[i].input == workOrder}})
		}
		if i > 0 {
			b.items = append(b.items, rule(s.x, y, 0, h, look.ThinLine))
		}
	}
	b.items = append(b.items, rule(g.left, y+h, width, 0, look.ThinLine))
	return h
}

// short sets a value in a few lines. A longer one ends in an ellipsis: a block
// higher than the page would be no help to anybody.
func (g *galley) short(e *elem, width float64, value []piece) []atom {
	const most = 8
	atoms := g.para(e, look.TextSize, width, value...)
	if len(atoms) <= most {
		return atoms
	}
	return append(atoms[:most-1], g.para(e, look.TextSize, width, plain("…"))...)
}

// nameplate is a tick for each member of the family, or one where the document
// is for no family.
func (g *galley) nameplate(b *band, y, width float64) float64 {
	var labels, names []string
	if len(g.doc.For) == 0 {
		for _, f := range g.doc.AppliesTo {
			for _, m := range f.Members {
				labels, names = append(labels, m.Title), append(names, f.Variant+"-"+m.Name)
			}
		}
	}
	if len(labels) == 0 {
		for _, c := range g.doc.For {
			labels, names = append(labels, c.MemberTitle), append(names, c.Variant+"-"+c.Member)
		}
	}
	if len(labels) == 0 {
		labels, names = []string{g.w.Checked}, []string{"document"}
	}
	const pad = 5.0
	word := g.para(g.sect.child("P"), look.SmallSize, 110, piece{text: g.w.NameplateCheck, grey: true})
	b.items = word[0].shifted(b.items, g.left+dataPad, y+pad+(look.TickBox-leading(look.SmallSize))/2)
	x0 := g.left + dataPad + textWidth(regular, look.SmallSize, g.w.NameplateCheck) + 14
	x, top, high := x0, y+pad, look.TickBox
	for i, l := range labels {
		w := min(look.TickBox+tickGap+textWidth(regular, look.SmallSize, l)+1, g.left+width-x0-4)
		if x+w > g.left+width-4 && x > x0 {
			x, top, high = x0, top+high+4, look.TickBox
		}
		t := g.tick(g.sect, "nameplate-"+names[i], g.w.NameplateCheck+g.w.Colon()+l, w, plain(l))[0]
		b.items = t.shifted(b.items, x, top)
		high = max(high, t.h)
		x += w + 16
	}
	return top + high + pad - y
}

// spaced parts a fingerprint into fours.
func spaced(s string) string {
	var out []string
	for len(s) > 4 {
		out, s = append(out, s[:4]), s[4:]
	}
	return strings.Join(append(out, s), "\u00a0")
}

// codeText is what the square code holds.
func (g *galley) codeText() string {
	return strings.TrimSpace(g.doc.Number + " " + g.doc.Revision + " " + g.doc.Fingerprint)
}

// code is a QR code (ISO/IEC 18004) of the document's number, revision and
// fingerprint; a quarter of it may be dirty.
func (g *galley) code() (*drawing, error) {
	bc, err := qr.Encode(g.codeText(), qr.Q, qr.Auto)
	if err != nil {
		return nil, fmt.Errorf("pdf: the document's number, revision and fingerprint do not go into a square code: %w", err)
	}
	return modules(bc), nil
}

// modules draws the dark modules of a code, a run of them as one rectangle.
func modules(bc barcode.Barcode) *drawing {
	n := bc.Bounds().Dx()
	d := &drawing{w: float64(n), h: float64(n)}
	s := shape{fill: black()}
	dark := func(x, y int) bool {
		return color.GrayModel.Convert(bc.At(x, y)).(color.Gray).Y < 128
	}
	for y := range n {
		for x := 0; x < n; x++ {
			if !dark(x, y) {
				continue
			}
			end := x
			for end < n && dark(end, y) {
				end++
			}
			s.path = append(s.path, boxPath(float64(x), float64(y), float64(end-x), 1)...)
			x = end
		}
	}
	d.shapes = []shape{s}
	return d
}
