package html

import (
	"strconv"

	"benchproof/compiler/document"
	"benchproof/compiler/quantity"
	"benchproof/compiler/record"
	"benchproof/render/look"
)

// The chart's frame in its own units, and where the field for points lies.
const (
	chartHeight           = 352.0
	chartLeft, chartRight = 84.0, 800.0
	chartTop, chartBottom = 18.0, 276.0
	markRadius            = 4.0
	mostMarks             = 400 // beyond it only what lies outside is marked
	labelHeight           = 15.0
	leastTicks            = 4
	runDepth, runRoom     = 6.0, 18.0 // of the brackets under the axis
)

// runChart draws the values in order of time with their median and limits. The
// table of values says the same in words; the title and description of the
// picture say what it is.
func (p *page) runChart(n int, x *record.Series) {
	f := fieldOf(x)
	id := "chart-" + strconv.Itoa(n)
	p.raw(`<div class="chart" tabindex="0" role="group"`)
	p.attr("aria-label", p.w.Sums.RunChart)
	p.raw(`><svg viewBox="0 0 960 352" role="img"`)
	p.attr("aria-labelledby", id+"-title "+id+"-desc")
	p.raw(`><title`)
	p.attr("id", id+"-title")
	p.raw(">")
	p.text(document.Fill(p.w.Sums.Chart, "reading", x.Reading, "unit", x.Unit))
	p.raw("</title><desc")
	p.attr("id", id+"-desc")
	p.raw(">")
	p.text(p.chartWords(x))
	p.raw("</desc>")
	f.grid(p)
	f.lines(p, x)
	f.points(p, x)
	p.raw("</svg></div>\n")
}

// chartWords tells what the picture shows.
func (p *page) chartWords(x *record.Series) string {
	say, r := p.w.Sums, x.Total
	s := document.Fill(say.ChartSays, "count", strconv.Itoa(r.Count), "least", p.w.Numeral(r.Least), "most", p.w.Numeral(r.Most), "unit", x.Unit, "median", p.w.Numeral(r.Median)) + " "
	switch {
	case x.Several:
		s += say.DifferentLimits
	case x.Limits == nil:
		s += say.NoLimits
	default:
		s += document.Fill(say.LimitsAre, "limits", p.limitWords(x.Limits))
	}
	if x.Drawn != nil {
		s += "; " + document.Fill(say.OfDrawing, "limits", p.limitWords(x.Drawn))
	}
	return s + ". " + say.OutsideLimits + ": " + document.Fill(say.OutsideOf, "outside", strconv.Itoa(r.Outside), "judged", strconv.Itoa(r.Judged)) + "."
}

// A field maps values to places in the chart. Places are binary floats: they
// are of the picture; values are exact.
type field struct {
	low, high, step quantity.Number
	count           int
}

func fieldOf(x *record.Series) field {
	low, high := x.Total.LeastNumber, x.Total.MostNum
	for _, l := range []*record.Limits{x.Limits, x.Drawn} {
		for _, v := range l.Ends() {
			if v.Cmp(low) < 0 {
				low = v
			}
			if v.Cmp(high) > 0 {
				high = v
			}
		}
	}
	if low.Equal(high) {
		one := quantity.NewInt(1)
		low, high = low.Sub(one), high.Add(one)
	}
	room := high.Sub(low).Quo(quantity.NewInt(10))
	f := field{low: low.Sub(room), high: high.Add(room), count: len(x.Points)}
	f.step = niceStep(f.high.Sub(f.low))
	return f
}

// niceStep is the largest of 1, 2 and 5 times a power of ten that divides a
// span into at least four.
func niceStep(span quantity.Number) quantity.Number {
	most := span.Quo(quantity.NewInt(leastTicks))
	ten := quantity.NewInt(10)
	step := quantity.NewInt(1)
	for step.Cmp(most) > 0 {
		step = step.Quo(ten)
	}
	for step.Mul(ten).Cmp(most) <= 0 {
		step = step.Mul(ten)
	}
	for _, m := range []int64{5, 2} {
		if s := step.Mul(quantity.NewInt(m)); s.Cmp(most) <= 0 {
			return s
		}
	}
	return step
}

func (f field) x(i int) float64 {
	if f.count < 2 {
		return (chartLeft + chartRight) / 2
	}
	return chartLeft + 12 + (chartRight-chartLeft-24)*float64(i)/float64(f.count-1)
}

func (f field) y(v quantity.Number) float64 {
	part := v.Sub(f.low).Quo(f.high.Sub(f.low)).Float64()
	return chartBottom - part*(chartBottom-chartTop)
}

// at writes a number of the picture.
func (p *page) at(v float64) { p.b = look.AppendNumber(p.b, v) }

func (p *page) horizontal(class markup, y, from, to float64) {
	p.raw(`<path class="`)
	p.raw(class)
	p.raw(`" d="M`)
	p.at(from)
	p.raw(" ")
	p.at(y)
	p.raw("H")
	p.at(to)
	p.raw(`"/>`)
}

func (p *page) label(class markup, anchor markup, x, y float64, text string) {
	p.raw(`<text class="`)
	p.raw(class)
	p.raw(`" text-anchor="`)
	p.raw(anchor)
	p.raw(`" x="`)
	p.at(x)
	p.raw(`" y="`)
	p.at(y)
	p.raw(`">`)
	p.text(text)
	p.raw("</text>")
}

func (f field) grid(p *page) {
	places := max(f.step.Places(), 0)
	for v := f.low.Ceil(f.step); v.Cmp(f.high) <= 0; v = v.Add(f.step) {
		y := f.y(v)
		p.horizontal("grid", y, chartLeft, chartRight)
		p.label("tick", "end", chartLeft-8, y+4, p.w.Numeral(v.Decimal(places)))
	}
	p.raw(`<path class="axis" d="M`)
	p.at(chartLeft)
	p.raw(" ")
	p.at(chartTop)
	p.raw("V")
	p.at(chartBottom)
	p.raw("H")
	p.at(chartRight)
	p.raw(`"/>`)
}

// lines draws median and limits, and names them at the right edge; names that
// would lie on each other move apart.
func (f field) lines(p *page, x *record.Series) {
	type name struct {
		y    float64
		text string
	}
	var names []name
	draw := func(class markup, word string, v quantity.Number, text string) {
		y := f.y(v)
		p.horizontal(class, y, chartLeft, chartRight)
		names = append(names, name{y, word + " " + p.w.Numeral(text)})
	}
	for _, l := range []struct {
		class markup
		word  string
		of    *record.Limits
	}{{"drawn", p.w.Sums.DrawingMark, x.Drawn}, {"limit", p.w.Sums.LimitMark, x.Limits}} {
		ends := l.of.Ends()
		for _, v := range ends {
			draw(l.class, l.word, v, x.Text(v))
		}
	}
	draw("median", p.w.Sums.MedianMark, x.Total.MedianNumber, x.Text(x.Total.MedianNumber))
	for i := range names {
		for k := i; k > 0 && names[k].y < names[k-1].y; k-- {
			names[k], names[k-1] = names[k-1], names[k]
		}
	}
	for i := range names {
		if i > 0 && names[i].y < names[i-1].y+labelHeight {
			names[i].y = names[i-1].y + labelHeight
		}
		p.label("name", "start", chartRight+8, names[i].y+4, names[i].text)
	}
}

func (f field) points(p *page, x *record.Series) {
	p.raw(`<path class="line" d="`)
	for i, v := range x.Points {
		if i == 0 {
			p.raw("M")
		} else {
			p.raw("L")
		}
		p.at(f.x(i))
		p.raw(" ")
		p.at(f.y(v.Number))
	}
	p.raw(`"/>`)
	for i, v := range x.Points {
		if v.Verdict != "outside" && len(x.Points) > mostMarks {
			continue
		}
		f.mark(p, f.x(i), f.y(v.Number), v.Verdict)
	}
	// What is a signal has a bracket under the axis, each kind in a row of its own.
	for _, s := range x.Signals {
		y, word := chartBottom+runRoom, p.w.Sums.ShiftMark
		if s.Kind == "trend" {
			y, word = y+runRoom, p.w.Sums.TrendMark
		}
		p.raw(`<path class="run" d="M`)
		p.at(f.x(s.From))
		p.raw(" ")
		p.at(y - runDepth)
		p.raw("v")
		p.at(runDepth)
		p.raw("H")
		p.at(f.x(s.To))
		p.raw("v")
		p.at(-runDepth)
		p.raw(`"/>`)
		p.label("small", "end", f.x(s.From)-5, y+2, word)
	}
	p.label("small", "start", f.x(0)-12, chartBottom+54, "1: "+p.day(x.Points[0].At))
	if n := len(x.Points); n > 1 {
		p.label("small", "end", f.x(n-1)+12, chartBottom+54, strconv.Itoa(n)+": "+p.day(x.Points[n-1].At))
	}
	p.label("small", "middle", (chartLeft+chartRight)/2, chartBottom+71, p.w.Sums.Axis)
	p.label("small", "start", chartLeft, chartTop-6, x.Unit)
}

// mark draws a point: filled where it lies within its limits, an open square
// where it lies outside, an open circle where it has none.
func (f field) mark(p *page, x, y float64, verdict string) {
	if verdict == "outside" {
		p.raw(`<rect class="outside" x="`)
		p.at(x - markRadius - 1)
		p.raw(`" y="`)
		p.at(y - markRadius - 1)
		p.raw(`" width="10" height="10"/>`)
		return
	}
	if verdict == "within" {
		p.raw(`<circle class="in" cx="`)
	} else {
		p.raw(`<circle class="free" cx="`)
	}
	p.at(x)
	p.raw(`" cy="`)
	p.at(y)
	p.raw(`" r="4"/>`)
}
