package html

import (
	"encoding/base64"
	"fmt"

	"benchproof/compiler/document"
)

// Balloons stand above and below the picture, after ISO 6433: a circle with
// the number, a thin leader to the thing. Sizes are in a field 1000 wide.
const (
	fieldWidth    = 1000
	balloonRadius = 26
	balloonRow    = 90 // height of the strip that holds balloons
)

// figure writes an image with its numbered marks. The picture is an image
// element, in which no script runs and nothing is fetched.
func (p *page) figure(f *document.Figure) {
	var mime markup
	switch f.Format {
	case "svg":
		mime = "image/svg+xml"
	case "png":
		mime = "image/png"
	case "jpeg":
		mime = "image/jpeg"
	default:
		p.fail(fmt.Errorf("figure %s: a picture of the format %q, which a page cannot show", f.Name, f.Format))
		return
	}
	if f.Width < 1 || f.Height < 1 {
		p.fail(fmt.Errorf("figure %s: a picture of %d by %d", f.Name, f.Width, f.Height))
		return
	}
	height := fieldWidth * f.Height / f.Width
	placed, above, below := placeBalloons(f.Marks, height)
	top, bottom := 0, 0
	if above {
		top = balloonRow
	}
	if below {
		bottom = balloonRow
	}
	p.raw(`<figure><svg class="figure" role="img"`)
	p.attr("aria-label", f.Title)
	p.raw(` viewBox="0 `)
	p.int(-top)
	p.raw(" ")
	p.int(fieldWidth)
	p.raw(" ")
	p.int(height + top + bottom)
	p.raw(`"><image width="`)
	p.int(fieldWidth)
	p.raw(`" height="`)
	p.int(height)
	p.raw(`" href="data:`)
	p.raw(mime)
	p.raw(";base64,")
	p.b = base64.StdEncoding.AppendEncode(p.b, f.Data)
	p.raw(`"/>`)
	for _, m := range placed {
		p.raw(`<path d="M`)
		p.int(m.bx)
		p.raw(" ")
		p.int(m.edge)
		p.raw("L")
		p.int(m.x)
		p.raw(" ")
		p.int(m.y)
		p.raw(`"/><circle cx="`)
		p.int(m.x)
		p.raw(`" cy="`)
		p.int(m.y)
		p.raw(`" r="5" class="dot"/><circle cx="`)
		p.int(m.bx)
		p.raw(`" cy="`)
		p.int(m.by)
		p.raw(`" r="`)
		p.int(balloonRadius)
		p.raw(`"/><text x="`)
		p.int(m.bx)
		p.raw(`" y="`)
		p.int(m.by + 11)
		p.raw(`">`)
		p.int(m.number)
		p.raw("</text>")
	}
	p.raw("</svg><figcaption>")
	p.text(f.Title)
	for i, m := range f.Marks {
		if i == 0 {
			p.text(p.w.Colon())
		} else {
			p.raw(" · ")
		}
		p.raw("<b>")
		p.int(m.Number)
		p.raw("</b> ")
		p.text(m.Label)
		if m.Thing != nil && m.Thing.Number != "" {
			p.raw(" ")
			p.id(m.Thing.Number)
		}
	}
	p.raw("</figcaption></figure>")
}

// balloon is a mark with the place of its balloon: the thing at x, y, the
// balloon at bx, by, the leader from its edge.
type balloon struct {
	number, x, y, bx, by, edge int
}

// placeBalloons puts the balloons of marks in the upper half above the picture
// and of the others below it, in the order of their marks from left to right,
// so that no two leaders cross.
func placeBalloons(marks []document.FigureMark, height int) (out []balloon, above, below bool) {
	var rows [2][]balloon
	for _, m := range marks {
		b := balloon{number: m.Number, x: m.X * fieldWidth / 1000, y: m.Y * height / 1000}
		row := 0
		if m.Y > 500 {
			row = 1
		}
		rows[row] = append(rows[row], b)
	}
	for i := range rows {
		row := rows[i]
		if len(row) == 0 {
			continue
		}
		insertionSort(row)
		spread(row)
		for j := range row {
			if i == 0 {
				row[j].by = -balloonRow + balloonRadius + 4
				row[j].edge = row[j].by + balloonRadius
				above = true
			} else {
				row[j].by = height + balloonRow - balloonRadius - 4
				row[j].edge = row[j].by - balloonRadius
				below = true
			}
		}
		out = append(out, row...)
	}
	return out, above, below
}

func insertionSort(row []balloon) {
	for i := 1; i < len(row); i++ {
		for j := i; j > 0 && row[j].x < row[j-1].x; j-- {
			row[j], row[j-1] = row[j-1], row[j]
		}
	}
}

// spread sets balloons over their marks and pushes them apart until none
// touches another or leaves the field.
func spread(row []balloon) {
	const gap = 2*balloonRadius + 14
	left := balloonRadius + 2
	for i := range row {
		row[i].bx = max(row[i].x, left)
		left = row[i].bx + gap
	}
	right := fieldWidth - balloonRadius - 2
	for i := len(row) - 1; i >= 0; i-- {
		row[i].bx = min(row[i].bx, right)
		right = row[i].bx - gap
	}
}
