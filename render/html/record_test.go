package html

import (
	"bytes"
	"encoding/json"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"benchproof/render/rendertest"
)

// caught lets a test read the files that a page hands out.
const caught = `{ const make = URL.createObjectURL; URL.createObjectURL = b => { window.file = b; return make(b) };
	window.addEventListener("click", e => { if (e.target.download) { window.fileName = e.target.download; e.preventDefault() } });
	window.print = () => { window.printed = true; window.dispatchEvent(new Event("beforeprint")) } }`

type saved struct {
	Stopped bool
	Outcome *struct{ Finish, Outcome string }
	Job     struct{ WorkOrder, Machine, Who string }
	Members []struct{ Variant, Member string }
	Entries []struct {
		Number                                                      int
		Event, Kind, Name, Label, Turn, Unit, Value, First, Who, At string
		Step                                                        int
	}
}

func (h hand) save() (saved, string) {
	h.t.Helper()
	h.ticks("save")
	text, err := chromedp.Run(h.ctx, chromedp.Evaluate[string](`file.text()`, chromedp.EvalAwaitPromise))
	if err != nil {
		h.t.Fatal(err)
	}
	schemaFile, err := os.ReadFile("../../compiler/record/record.schema.json")
	if err != nil {
		h.t.Fatal(err)
	}
	schema, err := jsonschema.UnmarshalJSON(bytes.NewReader(schemaFile))
	if err != nil {
		h.t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("record.schema.json", schema); err != nil {
		h.t.Fatal(err)
	}
	s, err := c.Compile("record.schema.json")
	if err != nil {
		h.t.Fatal(err)
	}
	value, err := jsonschema.UnmarshalJSON(strings.NewReader(text))
	if err != nil {
		h.t.Fatal(err)
	}
	if err := s.Validate(value); err != nil {
		h.t.Error(err)
	}
	var r saved
	if err := json.Unmarshal([]byte(text), &r); err != nil {
		h.t.Fatal(err)
	}
	return r, eval[string](h.tab, `window.fileName`)
}

// The record is saved as a file of the documented shape, with every entry in
// order, both values of a change, who and when.
func TestRecordIsSaved(t *testing.T) {
	h := hand{openPage(t, rendertest.Document(), before(caught+laterBy))}
	if r, _ := h.save(); len(r.Entries) != 0 || r.Outcome != nil || r.Stopped {
		t.Errorf("an empty job is saved as %+v", r)
	}
	h.field("order", "4711/a <b>")
	h.field("who", "Ada")
	h.answers("size", "s32")
	h.follow(map[string][]string{"casing-temperature": {"55", "36"}, "sleeve-diameter": {"31,90"}, "runout": {"0.03"}}, nil)
	h.field("who", "Grace")
	h.types("sleeve-diameter:3", "31.70")
	r, name := h.save()
	if !strings.HasPrefix(name, "WI-0114-C-4711-a-b-") || !strings.HasSuffix(name, ".json") {
		t.Errorf("the file is called %q", name)
	}
	if r.Job.WorkOrder != "4711/a <b>" || r.Job.Who != "Grace" || !r.Stopped || r.Outcome != nil {
		t.Errorf("the job is %+v, stopped %v, outcome %v", r.Job, r.Stopped, r.Outcome)
	}
	if len(r.Members) != 1 || r.Members[0].Member != "s32" {
		t.Errorf("members %+v", r.Members)
	}
	find := func(event, name, turn string) string {
		for _, e := range r.Entries {
			if e.Event == event && e.Name == name && e.Turn == turn {
				return e.Value + "|" + e.First + "|" + e.Unit + "|" + e.Who
			}
		}
		return "missing"
	}
	for _, c := range [][4]string{
		{"entered", "casing-temperature", "1", "55||°C|Ada"}, {"entered", "casing-temperature", "2", "36||°C|Ada"},
		{"entered", "sleeve-diameter:3", "", "31,90||mm|Ada"}, {"stop", "sleeve-diameter:3", "", "31.70|31,90|mm|Grace"},
		{"entered", "step-2-state-1", "", "true|||Ada"},
	} {
		if got := find(c[0], c[1], c[2]); got != c[3] {
			t.Errorf("%s %s: %s, want %s", c[0], c[1], got, c[3])
		}
	}
	for i, e := range r.Entries {
		if e.Number != i+1 || e.Label == "" && e.Kind != "page" {
			t.Errorf("entry %d is %+v", i+1, e)
		}
	}
	// The second value holds; a tick is taken back.
	eval[chromedp.Void](h.tab, `document.querySelectorAll(".stop button")[1].click()`)
	h.ticks("step-1-tick-1")
	r, _ = h.save()
	if got := find("changed", "sleeve-diameter:3", ""); got != "31.70|31,90|mm|Grace" || r.Stopped {
		t.Errorf("the second value is kept as %s, stopped %v", got, r.Stopped)
	}
	if got := find("taken back", "step-1-tick-1", ""); got != "|true||Grace" {
		t.Errorf("the tick taken back is kept as %s", got)
	}
	h.clean()
}

// The print-out holds the job, the table of the record and every entry, and
// nothing else; the whole page comes back after it.
func TestRecordIsPrinted(t *testing.T) {
	h := hand{openPage(t, rendertest.Document(), before(caught))}
	h.field("order", "4711")
	h.answers("size", "s32")
	h.follow(map[string][]string{"casing-temperature": {"30"}, "sleeve-diameter": {"31.90"}, "runout": {"0.03"}}, map[string]string{"leak": "dry"})
	h.finish()
	if got := eval[string](h.tab, `document.querySelector("td[data-name=sleeve-diameter] .kept").textContent`); got != "31.90, 31.90, 31.90, 31.90, 31.90, 31.90: 31.900" {
		t.Errorf("the record's line is %q", got)
	}
	h.ticks("print")
	if !eval[bool](h.tab, `window.printed && document.documentElement.classList.contains("record-only")`) {
		t.Fatal("the record is not printed")
	}
	text := pdfText(t, get(h.tab, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA4), chromedp.PDFPreferCSSPageSize())))
	for _, want := range []string{"WI-0114", "4711", "7f3a91c204be", "page 1 of", "Entries in the order made", "31.900", "Lot number of the seal", "Not done as written", "Signature"} {
		if !strings.Contains(text, want) {
			t.Errorf("the print-out has no %q", want)
		}
	}
	for _, not := range []string{"Draw the rotating unit", "Safety summary", "Job map"} {
		if strings.Contains(text, not) {
			t.Errorf("the print-out has %q", not)
		}
	}
	eval[chromedp.Void](h.tab, `window.dispatchEvent(new Event("afterprint"))`)
	if eval[bool](h.tab, `document.documentElement.classList.contains("record-only")`) {
		t.Error("the page does not come back")
	}
	h.clean()
}
