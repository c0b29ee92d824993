package html

import (
	_ "embed"
	"io"
	"strconv"
	"strings"

	"benchproof/compiler/record"
)

//go:embed assets/sums.css
var sumsCSS string

var (
	sumsStyle     = markup(colours() + pageCSS + sumsCSS)
	sumsStyleHash = hash(string(sumsStyle))
)

// Sums writes the readings of many records as one page: for each a run chart
// and, beside it, a table of what it shows. The page needs no network and no
// script. It is in English, as the reports of the commands are; texts of
// records and documents stand as they are.
func Sums(w io.Writer, s *record.Sums) error {
	p := &page{}
	p.raw("<!DOCTYPE html>\n<html lang=\"en\">\n<head>\n<meta charset=\"utf-8\">\n")
	p.raw(`<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src `)
	p.b = append(p.b, sumsStyleHash...)
	p.raw("; base-uri 'none'; form-action 'none'\">\n")
	p.raw("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta name=\"color-scheme\" content=\"light dark\">\n<meta name=\"referrer\" content=\"no-referrer\">\n<title>Readings of jobs</title>\n<style>")
	p.raw(sumsStyle)
	p.raw("</style>\n</head>\n<body class=\"sums\">\n<main>\n<header><h1>Readings of jobs</h1><p>")
	p.text(recordsWord(s.Records))
	if s.ToLookAt > 0 {
		p.raw(", of which ")
		p.int(s.ToLookAt)
		p.raw(" not in order: their readings are among these")
	}
	p.raw(".")
	if n := len(s.Superseded); n > 0 {
		p.raw(" Left out, since the same job was saved again later: ")
		p.text(strings.Join(s.Superseded, ", "))
		p.raw(".")
	}
	if s.Untold > 0 {
		p.raw(" Readings without a value that can be told: ")
		p.int(s.Untold)
		p.raw(".")
	}
	p.raw("</p></header>\n")
	if len(s.Series) == 0 {
		p.raw("<p>There is no reading in these records.</p>\n")
	} else {
		p.raw("<nav aria-label=\"Contents\"><ol>\n")
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
	p.raw(sumsFoot)
	p.raw("</main>\n</body>\n</html>\n")
	if p.err != nil {
		return p.err
	}
	_, err := w.Write(p.b)
	return err
}

const sumsFoot markup = `<div class="foot small"><p>Values are exact. Mean and median are rounded to two decimals more than the finest value has, and so is the spread: halves to the even digit (ISO 80000-1, rule A). The spread is the sample standard deviation, with n − 1.</p>
<p>Limits are those to act by as each record carries them; where a guard band moved one, the limit of the drawing is drawn, too. They are limits of the part, not of the process: this page reckons no control limits.</p>
<p>Shift and trend are the rules of Perla, Provost and Murray, “The run chart”, BMJ Quality &amp; Safety 20 (2011) 46–51: six or more points in a row on one side of the median, points on it left out; five or more in a row that rise or fall, like points counted once. Here they are looked for from ten points on (common practice). A trend is a weak sign (Anhøj and Olesen, PLoS ONE 9 (2014) e113825). A signal says where to ask, not what is wrong.</p></div>
`

func recordsWord(n int) string {
	if n == 1 {
		return "1 record"
	}
	return strconv.Itoa(n) + " records"
}

func (p *page) series(n int, x *record.Series) {
	p.raw(`<section id="reading-`)
	p.int(n)
	p.raw(`"><h2>`)
	p.text(x.Reading)
	p.raw(`</h2><p class="of">`)
	p.text(x.Number + " " + x.Title)
	if x.Step > 0 {
		p.text(", step " + strconv.Itoa(x.Step))
	}
	p.raw("</p>\n")
	p.runChart(n, x)
	if len(x.Signals) > 0 {
		p.raw("<ul>")
		for _, s := range x.Signals {
			p.raw("<li>")
			p.text(signalWords(x, s))
			p.raw("</li>")
		}
		p.raw("</ul>\n")
	}
	p.sumRows(x)
	p.values(x)
	p.raw("</section>\n")
}

func signalWords(x *record.Series, s record.Signal) string {
	where := "values " + strconv.Itoa(s.From+1) + " to " + strconv.Itoa(s.To+1) + ", " + day(x.Points[s.From].At) + " to " + day(x.Points[s.To].At)
	if s.Kind == "shift" {
		return "Shift: " + strconv.Itoa(s.Points) + " in a row on one side of the median (" + where + ")"
	}
	way := "rise"
	if x.Points[s.To].Number.Cmp(x.Points[s.From].Number) < 0 {
		way = "fall"
	}
	return "Trend: " + strconv.Itoa(s.Points) + " in a row " + way + " (" + where + ")"
}

// day is the date of a moment as a page writes it; the rest is beside it.
func day(at string) string { return at[:min(len(at), len("2006-01-02"))] }

// minute is date, hour and minute.
func minute(at string) string {
	return strings.Replace(at[:min(len(at), len("2006-01-02T15:04"))], "T", " ", 1)
}

func (p *page) sumRows(x *record.Series) {
	p.raw(`<div class="scroll" tabindex="0" role="group" aria-label="Sums"><table><caption>Sums, in `)
	p.text(x.Unit)
	p.raw(`</caption><thead><tr><th scope="col">Of</th>`)
	for _, h := range []markup{"Records", "Values", "Mean", "Spread", "Least", "Most", "Median", "Outside limits"} {
		p.raw(`<th scope="col" class="n">`)
		p.raw(h)
		p.raw("</th>")
	}
	p.raw("</tr></thead><tbody>")
	row := func(name string, r record.Row) {
		p.raw(`<tr><th scope="row">`)
		p.text(name)
		p.raw("</th>")
		outside := "–"
		if r.Judged > 0 {
			outside = strconv.Itoa(r.Outside) + " of " + strconv.Itoa(r.Judged)
		}
		for _, v := range []string{strconv.Itoa(r.Records), strconv.Itoa(r.Count), r.Mean, r.Spread, r.Least, r.Most, r.Median, outside} {
			if v == "" {
				v = "–"
			}
			p.raw(`<td class="n">`)
			p.text(v)
			p.raw("</td>")
		}
		p.raw("</tr>")
	}
	row("all", x.Total)
	for _, r := range x.ByMember {
		row(orNone(r.Of, "no member"), r)
	}
	for _, r := range x.ByInstrument {
		row(orNone(r.Of, "no instrument"), r)
	}
	p.raw("</tbody></table></div>\n")
}

func orNone(s, none string) string {
	if s == "" {
		return none
	}
	return s
}

func (p *page) values(x *record.Series) {
	p.raw(`<details open><summary>Values in order of time</summary><div class="scroll" tabindex="0" role="group" aria-label="Values in order of time"><table><thead><tr>`)
	p.th("No.", "When (UTC)", "Job", "Member", "Instrument", "By", "Step")
	p.raw(`<th scope="col" class="n">Value, `)
	p.text(x.Unit)
	p.raw(`</th><th scope="col">Limits</th></tr></thead><tbody>`)
	for i, v := range x.Points {
		p.raw(`<tr><td class="n">`)
		p.int(i + 1)
		p.raw(`</td><td class="at">`)
		p.text(minute(v.At))
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
		p.text(x.Text(v.Number))
		p.raw("</td><td>")
		switch v.Verdict {
		case "outside":
			p.raw(`<span class="out">outside</span> `)
			p.text(v.Limits.Words())
		case "within":
			p.raw("within ")
			p.text(v.Limits.Words())
		}
		p.raw("</td></tr>")
	}
	p.raw("</tbody></table></div></details>\n")
}
