package html

import (
	"cmp"
	_ "embed"
	"io"
	"strconv"
	"strings"

	"benchproof/compiler/document"
	"benchproof/compiler/record"
)

//go:embed assets/sums.css
var sumsCSS string

var (
	sumsStyle     = markup(colours() + pageCSS + sumsCSS)
	sumsStyleHash = hash(string(sumsStyle))
)

// Sums writes the readings of many records as one page, with fixed words in a
// language: for each a run chart and, beside it, a table of what it shows. The page
// needs no network and no script. Texts of records and documents stand as they are
// in the sums.
func Sums(w io.Writer, s *record.Sums, words *document.Words) error {
	p := &page{w: words}
	say := words.Sums
	p.raw("<!DOCTYPE html>\n<html")
	p.attr("lang", words.Tag)
	p.raw(">\n<head>\n<meta charset=\"utf-8\">\n")
	p.raw(`<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src `)
	p.b = append(p.b, sumsStyleHash...)
	p.raw("; base-uri 'none'; form-action 'none'\">\n")
	p.raw("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta name=\"color-scheme\" content=\"light dark\">\n<meta name=\"referrer\" content=\"no-referrer\">\n<title>")
	p.text(say.Title)
	p.raw("</title>\n<style>")
	p.raw(sumsStyle)
	p.raw("</style>\n</head>\n<body class=\"sums\">\n<main>\n<header><h1>")
	p.text(say.Title)
	p.raw("</h1><p>")
	p.text(document.Fill(say.Records, "count", strconv.Itoa(s.Records)))
	count := func(phrase string, n int) {
		if n > 0 {
			p.raw(" ")
			p.text(document.Fill(phrase, "count", strconv.Itoa(n)))
		}
	}
	count(say.NotInOrder, s.ToLookAt)
	if len(s.Superseded) > 0 {
		p.raw(" ")
		p.text(document.Fill(say.LeftOut, "files", strings.Join(s.Superseded, ", ")))
	}
	count(say.Untold, s.Untold)
	p.raw("</p></header>\n")
	if len(s.Series) == 0 {
		p.raw("<p>")
		p.text(say.NoReading)
		p.raw("</p>\n")
	} else {
		p.raw("<nav")
		p.attr("aria-label", say.Contents)
		p.raw("><ol>\n")
		for i, x := range s.Series {
			p.raw(`<li><a href="#reading-`)
			p.int(i + 1)
			p.raw(`">`)
			p.text(x.Number + " " + x.Title + ": " + x.Reading)
			p.raw("</a></li>\n")
		}
		p.raw("</ol></nav>\n")
	}
	for i, x := range s.Series {
		p.series(i+1, x)
	}
	p.raw(`<div class="foot small">`)
	for _, text := range []string{say.Exact, say.LimitsFoot, say.RulesFoot} {
		p.raw("<p>")
		p.text(text)
		p.raw("</p>\n")
	}
	p.raw("</div>\n</main>\n</body>\n</html>\n")
	if p.err != nil {
		return p.err
	}
	_, err := w.Write(p.b)
	return err
}

// limitWords says the limits of a record: values that are numbers as the language
// writes them.
func (p *page) limitWords(l *record.Limits) string {
	return p.w.LimitsText(l.Low, l.High, l.LowOpen, l.HighOpen)
}

func (p *page) series(n int, x *record.Series) {
	p.raw(`<section id="reading-`)
	p.int(n)
	p.raw(`"><h2>`)
	p.text(x.Reading)
	p.raw(`</h2><p class="of">`)
	p.text(x.Number + " " + x.Title)
	if x.Step > 0 {
		p.text(", " + p.w.Step + " " + strconv.Itoa(x.Step))
	}
	p.raw("</p>\n")
	p.runChart(n, x)
	if len(x.Signals) > 0 {
		p.raw("<ul>")
		for _, s := range x.Signals {
			p.raw("<li>")
			p.text(p.signalWords(x, s))
			p.raw("</li>")
		}
		p.raw("</ul>\n")
	}
	p.sumRows(x)
	p.values(x)
	p.raw("</section>\n")
}

func (p *page) signalWords(x *record.Series, s record.Signal) string {
	phrase := p.w.Sums.Shift
	if s.Kind == "trend" {
		if phrase = p.w.Sums.Rise; x.Points[s.To].Number.Cmp(x.Points[s.From].Number) < 0 {
			phrase = p.w.Sums.Fall
		}
	}
	return document.Fill(phrase, "points", strconv.Itoa(s.Points), "from", strconv.Itoa(s.From+1), "to", strconv.Itoa(s.To+1),
		"first", p.day(x.Points[s.From].At), "last", p.day(x.Points[s.To].At))
}

// day is the date of a moment as a page writes it; the rest is beside it.
func (p *page) day(at string) string { return p.w.DateText(at[:min(len(at), len("2006-01-02"))]) }

// minute is date, hour and minute.
func (p *page) minute(at string) string {
	end := min(len(at), len("2006-01-02T15:04"))
	return strings.TrimSpace(p.day(at) + " " + strings.TrimPrefix(at[min(end, len("2006-01-02")):end], "T"))
}

func (p *page) sumRows(x *record.Series) {
	say := p.w.Sums
	p.raw(`<div class="scroll" tabindex="0" role="group"`)
	caption := document.Fill(say.Caption, "unit", x.Unit)
	p.attr("aria-label", caption)
	p.raw("><table><caption>")
	p.text(caption)
	p.raw(`</caption><thead><tr><th scope="col">`)
	p.text(say.Of)
	p.raw("</th>")
	for _, h := range []string{say.RecordCount, say.Values, say.Turns, say.Mean, say.Spread, say.Least, say.Most, say.Median, say.OutsideLimits} {
		p.raw(`<th scope="col" class="n">`)
		p.text(h)
		p.raw("</th>")
	}
	p.raw("</tr></thead><tbody>")
	row := func(name string, r record.Row) {
		p.raw(`<tr><th scope="row">`)
		p.text(name)
		p.raw("</th>")
		outside := "–"
		if r.Judged > 0 {
			outside = document.Fill(say.OutsideOf, "outside", strconv.Itoa(r.Outside), "judged", strconv.Itoa(r.Judged))
		}
		cells := []string{strconv.Itoa(r.Records), strconv.Itoa(r.Count), strconv.Itoa(r.Turns)}
		for _, v := range []string{r.Mean, r.Spread, r.Least, r.Most, r.Median} {
			cells = append(cells, p.w.Numeral(v))
		}
		for _, v := range append(cells, outside) {
			if v == "" {
				v = "–"
			}
			p.raw(`<td class="n">`)
			p.text(v)
			p.raw("</td>")
		}
		p.raw("</tr>")
	}
	row(p.w.Screen.All, x.Total)
	for _, r := range x.ByMember {
		row(cmp.Or(r.Of, say.NoMember), r)
	}
	for _, r := range x.ByInstrument {
		row(cmp.Or(r.Of, say.NoInstrument), r)
	}
	p.raw("</tbody></table></div>\n")
}

func (p *page) values(x *record.Series) {
	say := p.w.Sums
	p.raw("<details open><summary>")
	p.text(say.InTime)
	p.raw(`</summary><div class="scroll" tabindex="0" role="group"`)
	p.attr("aria-label", say.InTime)
	p.raw("><table><thead><tr>")
	p.th(say.No, say.WhenUTC, p.w.Job, p.w.Lists.Member, say.Instrument, say.By, upper(p.w.Step))
	p.raw(`<th scope="col" class="n">`)
	p.text(document.Fill(say.Value, "unit", x.Unit))
	p.raw(`</th><th scope="col">`)
	p.text(say.Limits)
	p.raw(`</th></tr></thead><tbody>`)
	for i, v := range x.Points {
		p.raw(`<tr><td class="n">`)
		p.int(i + 1)
		p.raw(`</td><td class="at">`)
		p.text(p.minute(v.At))
		p.raw("</td><td>")
		p.text(v.Job)
		p.raw("</td><td>")
		p.text(v.Member)
		p.raw("</td><td>")
		p.text(v.Instrument)
		p.raw("</td><td>")
		p.text(v.Who)
		p.raw("</td><td>")
		step := strconv.Itoa(v.Step)
		if v.Turn != "" {
			step += " (" + v.Turn + ")"
		}
		p.text(step)
		p.raw(`</td><td class="n">`)
		p.text(p.w.Numeral(x.Text(v.Number)))
		p.raw("</td><td>")
		switch v.Verdict {
		case "outside":
			p.raw(`<span class="out">`)
			p.text(say.Outside)
			p.raw("</span>")
		case "within":
			p.text(say.Within)
		}
		// Of a reading that several decisions judge, what makes it good may be no one
		// stretch.
		if v.Verdict != "" && v.Limits != nil {
			p.text(": " + p.limitWords(v.Limits))
		}
		p.raw("</td></tr>")
	}
	p.raw("</tbody></table></div></details>\n")
}
