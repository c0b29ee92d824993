package html

import (
	"bytes"
	"context"
	"encoding/xml"
	"fmt"
	stdhtml "html"
	"os"
	"reflect"
	"regexp"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/compiler/record"
)

// sumsPage makes the page of many jobs of a saved record. Change changes each
// record before it is judged.
func sumsPage(t *testing.T, n int, change func(i int, r *record.Record)) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Sums(&b, sumsBatch(t, n, change).Sum(false), document.English); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func sumsBatch(t *testing.T, n int, change func(i int, r *record.Record)) *record.Batch {
	t.Helper()
	const folder = "../../compiler/record/testdata/"
	sources, err := compiler.Read(os.DirFS(folder + "bench"))
	if err != nil {
		t.Fatal(err)
	}
	r, err := compiler.Check(context.Background(), sources)
	if err != nil {
		t.Fatal(err)
	}
	bench := record.NewBench(r)
	batch := &record.Batch{}
	for i := range n {
		rec, err := record.ReadFile(folder + "records/a-good-rotor-hot-at-first.json")
		if err != nil {
			t.Fatal(err)
		}
		rec.Job.WorkOrder = fmt.Sprint(i)
		for k := range rec.Entries {
			e := &rec.Entries[k]
			e.At = strings.Replace(e.At, "2030-01-02", fmt.Sprintf("2030-03-%02d", 1+i), 1)
			if strings.HasPrefix(e.ID, "step-8-journal") {
				e.Value = fmt.Sprintf("%d.%03d", (19962+4*i)/1000, (19962+4*i)%1000)
			}
		}
		change(i, rec)
		batch.Records = append(batch.Records, bench.Judge(fmt.Sprintf("%d.json", i), rec))
	}
	return batch
}

func unchanged(int, *record.Record) {}

// The page has, for each reading, a picture with title and description, and a
// table that says the same.
func TestSumsPage(t *testing.T) {
	page := string(sumsPage(t, 14, unchanged))
	if again := string(sumsPage(t, 14, unchanged)); again != page {
		t.Error("a second page differs")
	}
	for _, want := range []string{
		"<h1>Readings of jobs</h1>", "Records: 14.", `<title id="chart-2-title">Run chart of journal, mm</title>`,
		"14 values in order of time, from 19.962 to 20.014 mm, median 19.98800. Limits: 19.954 to 20.006; of the drawing: 19.950 to 20.010. Outside limits: 2 of 14.",
		"Trend: 14 in a row rise (values 1 to 14, 2030-03-01 to 2030-03-14)", "Shift: 7 in a row on one side of the median (values 1 to 7",
		`limit 19.954</text>`, `drawing 20.010</text>`, `median 19.988</text>`,
		`<td class="n">19.98800</td>`, `<td class="n">0.01673</td>`, `<span class="out">outside</span>: 19.954 to 20.006`,
		"T-111, SN-1", "BMJ Quality &amp; Safety",
	} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %s", want)
		}
	}
	if n := strings.Count(page, `<rect class="outside"`); n != 2 { // two journals; of the temperature the last turn counts
		t.Errorf("%d marks lie outside", n)
	}
	for _, not := range []string{"<script", `href="http`, "url(", "@import", "src=", "NaN", "Inf"} {
		if strings.Contains(page, not) {
			t.Errorf("the page holds %s", not)
		}
	}
	// The pictures are well-formed by themselves.
	for _, part := range strings.Split(page, "<svg ")[1:] {
		svg, _, _ := strings.Cut(part, "</svg>")
		if err := xml.Unmarshal([]byte("<svg "+svg+"</svg>"), new(struct{})); err != nil {
			t.Error(err)
		}
	}
	if empty := string(sumsPage(t, 0, unchanged)); !strings.Contains(empty, "There is no reading in these records.") {
		t.Error("a page of nothing says nothing")
	}
}

// What strangers wrote into records is text, and stays in its place.
func TestSumsPageTakesNoMarkup(t *testing.T) {
	const evil = `</title><script>window.hit=1</script><img src=x onerror="window.hit=1">` + "\u202e\x00"
	page := sumsPage(t, 3, func(i int, r *record.Record) {
		r.Document.Fingerprint, r.Document.Title, r.Document.Number = "0", evil, evil // judged by itself
		r.Job.WorkOrder, r.Job.Machine = evil+fmt.Sprint(i), evil
		r.Members[0].Member = evil
		for k := range r.Entries {
			e := &r.Entries[k]
			e.Label, e.Who, e.Unit, e.Instrument = evil, evil, evil, evil
			if e.Kind == "reading" {
				e.Value, e.Limits = "1", &record.Limits{Low: evil, High: "1e9"}
			}
		}
	})
	if !bytes.Contains(page, []byte("&lt;script&gt;")) {
		t.Error("the text is not there at all")
	}
	for _, not := range []string{"<script", "<img", "\x00"} {
		if bytes.Contains(page, []byte(not)) {
			t.Errorf("%q came through", not)
		}
	}
	p := openTab(t, 1100, 900)
	p.do(chromedp.Navigate(writeFile(t, "sums.html", page)))
	if eval[bool](p, `window.hit === 1`) {
		t.Error("a script ran")
	}
	p.clean()
}

func TestSumsPageIsAccessible(t *testing.T) {
	source, err := os.ReadFile(checker(t, "axe-core", "axe.min.js"))
	if err != nil {
		t.Fatal(err)
	}
	address := writeFile(t, "sums.html", sumsPage(t, 14, unchanged))
	for _, before := range [][]action{nil, {dark(), chromedp.EmulateViewport(390, 844)}, {chromedp.EmulateViewport(820, 1180)}} {
		p := openTab(t, 1100, 900)
		p.do(before...)
		p.do(chromedp.Navigate(address))
		axe(p, string(source))
		if wide := eval[int](p, `document.documentElement.scrollWidth - innerWidth`); wide > 0 {
			t.Errorf("%d pixels wider than its window", wide)
		}
		p.clean()
	}
}

// In each language the page says everything in it: nothing that English says is left,
// and numbers and days are written as there.
func TestSumsPageInEachLanguage(t *testing.T) {
	batch := sumsBatch(t, 14, unchanged)
	slots := regexp.MustCompile(`\{[a-z]+\}`)
	for _, tag := range document.Languages()[1:] {
		w := document.WordsOf(tag)
		var b bytes.Buffer
		if err := Sums(&b, batch.Sum(true), w); err != nil {
			t.Fatal(err)
		}
		page := stdhtml.UnescapeString(b.String())
		english, own := reflect.ValueOf(document.English.Sums).Elem(), reflect.ValueOf(w.Sums).Elem()
		for i := range english.NumField() {
			name := english.Type().Field(i).Name
			for _, part := range slots.Split(english.Field(i).String(), -1) {
				if part = strings.TrimSpace(part); len(part) > 5 && !strings.Contains(own.Field(i).String(), part) && strings.Contains(page, ">"+part) {
					t.Errorf("%s: %s in English is left: %q", tag, name, part)
				}
			}
		}
		for _, want := range []string{`<html lang="` + tag + `">`, "<h1>" + w.Sums.Title + "</h1>", w.DateText("2030-03-01"), "19,98800", w.LimitsText("19.954", "20.006", false, false),
			w.Sums.RulesFoot, w.Sums.Exact, w.Sums.OutsideLimits, w.Sums.InTime, w.Sums.ShiftMark, w.Sums.Axis} {
			if !strings.Contains(page, want) {
				t.Errorf("%s: the page lacks %q", tag, want)
			}
		}
		for _, not := range []string{"19.98", "2030-03-01", "{"} {
			if strings.Contains(regexp.MustCompile(`(?s)<style>.*?</style>`).ReplaceAllString(page, ""), not) {
				t.Errorf("%s: the page holds %q", tag, not)
			}
		}
	}
}
