package html

import (
	"bytes"
	"context"
	"os"
	"strings"
	"sync/atomic"
	"testing"

	"github.com/chromedp/chromedp"
	"github.com/santhosh-tekuri/jsonschema/v6"

	"benchproof/compiler"
	"benchproof/compiler/record"
	"benchproof/compiler/trial"
)

// clocked gives a page a clock that the test moves, so that waits pass and
// records come out alike.
const clocked = `{ let now = Date.UTC(2030, 0, 2, 6); const Real = Date;
	window.Date = class extends Real { constructor(...a) { if (a.length) super(...a); else super(now) } static now() { return now } };
	window.passes = ms => { now += ms };
	try { localStorage.clear() } catch {} }`

// starts fills in what stands before the steps, ends what stands behind them.
const (
	starts = `() => { const say = e => e.dispatchEvent(new Event('change', {bubbles: true}));
	for (const [id, v] of [['order', '4711'], ['machine', 'P-12'], ['serial', 'LW-77'], ['who', 'Ada Example'], ['date', '2 January']]) { const e = document.getElementById('job-' + id); e.value = v; say(e); }
	for (const e of document.querySelectorAll('#nameplate, [id^=begins-]')) { passes(5000); e.click(); }
	for (const e of document.querySelectorAll('.instruments input')) { passes(5000); e.value = e.id.startsWith('serial') ? 'SN-1' : '2030-06'; say(e); } }`
	ends = `served => { const say = e => e.dispatchEvent(new Event('change', {bubbles: true}));
	for (const e of document.querySelectorAll('.hold')) if (e.querySelector('[type=checkbox]').checked) { const n = e.querySelector('[type=text]'); passes(5000); n.value = 'Grace Example'; say(n); }
	if (served) for (const e of document.querySelectorAll('[id^=close-]')) { passes(5000); if (e.type === 'checkbox') e.click(); }
	for (const id of ['signature', 'checked']) { const e = document.getElementById(id); passes(5000); e.value = 'Ada Example'; say(e); } }`
)

// playRecord plays a run of a trial in its page, from the first field to the
// signature, and gives the record that the page saves.
func playRecord(t *testing.T, tab *tab, page string, run trial.Run) []byte {
	t.Helper()
	arguments := argumentsOf(t, run)
	tab.do(chromedp.Navigate("about:blank"), chromedp.Navigate(page))
	eval[chromedp.Void](tab, `(`+starts+`)()`)
	got := eval[played](tab, `(`+player+`)(...`+arguments+`)`)
	if got.Lacks != "" {
		t.Fatalf("stands still at %s for want of %s", got.Step, got.Lacks)
	}
	served := "false"
	if f := run.Trace.Finish; f == nil || f.Outcome == "serviceable" {
		served = "true"
	}
	eval[chromedp.Void](tab, `(`+ends+`)(`+served+`)`)
	hand{tab}.ticks("save")
	text, err := chromedp.Run(tab.ctx, chromedp.Evaluate[string](`file.text()`, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatal(err)
	}
	return []byte(text)
}

// schemaOf compiles a JSON Schema.
func schemaOf(t *testing.T, text []byte) *jsonschema.Schema {
	t.Helper()
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("schema.json", value); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func validate(t *testing.T, s *jsonschema.Schema, text []byte) {
	t.Helper()
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	if err := s.Validate(value); err != nil {
		t.Error(err)
	}
}

// Every trial of the demonstration library is played in its page, of the
// family and of the member, to the signature. The record that the page saves
// is of the documented shape, is read back, is in order, and ends as the
// compiler says.
func TestRecordsOfTrialsAreInOrder(t *testing.T) {
	r, err := demonstration()
	if err != nil {
		t.Fatal(err)
	}
	var played count
	t.Run("procedures", func(t *testing.T) {
		for i, p := range r.Library.Procedures {
			t.Run(p.Name, func(t *testing.T) {
				t.Parallel()
				recordsOf(t, r, i, &played)
			})
		}
	})
	t.Logf("%d records: %d readings, %d hold points, %d torque rounds", played.runs.Load(), played.readings.Load(), played.holds.Load(), played.torques.Load())
	if played.runs.Load() < 20 || played.readings.Load() < 20 || played.holds.Load() < 5 || played.torques.Load() < 20 {
		t.Error("hardly anything was played")
	}
}

// A count says how much was played.
type count struct{ runs, readings, holds, torques atomic.Int64 }

// recordsOf plays the trials of procedure i: each for one of the members it
// holds for, in the page of the family and in that of the member by turns.
func recordsOf(t *testing.T, r *compiler.Result, i int, n *count) {
	bench := record.NewBench(r)
	recordSchema, reportSchema := schemaOf(t, record.Schema), schemaOf(t, record.ReportSchema)
	tab := openTab(t, 1100, 900)
	tab.do(before(caught), before(clocked))
	pages := map[string]string{}
	turn := 0
	for _, outcome := range r.Trials {
		if outcome.Trial.Of != r.Library.Procedures[i] {
			continue
		}
		run := outcome.Runs[turn%len(outcome.Runs)]
		o := compiler.DocumentOptions{}
		if turn%2 == 1 {
			o.For = run.Members
		}
		turn++
		n.runs.Add(1)
		name := outcome.Trial.Title
		doc, _ := r.Document(i, o)
		if pages[doc.Fingerprint] == "" {
			pages[doc.Fingerprint] = writePage(t, doc)
		}
		text := playRecord(t, tab, pages[doc.Fingerprint], run)
		validate(t, recordSchema, text)
		rec, err := record.Read(bytes.NewReader(text))
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		rep := bench.Judge(name, rec)
		for _, f := range rep.Findings {
			if f.Level != record.Told {
				t.Errorf("%s: %s: %s", name, f.Key, f.Text)
			}
		}
		want := "serviceable"
		if f := run.Trace.Finish; f != nil {
			want = f.Outcome
		}
		if !rep.InOrder || !rep.Checked || !rep.Allowed || rep.Outcome == nil || rep.Outcome.Outcome != want || rec.Outcome == nil {
			t.Errorf("%s: in order %v, allowed %v, ends %+v (record %+v), want %s", name, rep.InOrder, rep.Allowed, rep.Outcome, rec.Outcome, want)
		}
		if rep.Torques.Met != rep.Torques.Asked || rep.Counts.Met != rep.Counts.Asked {
			t.Errorf("%s: torques %+v, counts %+v", name, rep.Torques, rep.Counts)
		}
		for _, h := range rep.Holds {
			if n.holds.Add(1); !h.Accepted || h.By != "Grace Example" {
				t.Errorf("%s: hold point %+v", name, h)
			}
		}
		n.readings.Add(int64(len(rep.Readings)))
		n.torques.Add(int64(rep.Torques.Met))
		var out bytes.Buffer
		batch := record.Batch{Report: "benchproof record report", Version: 1, Records: []*record.Report{rep}, Refused: []record.Refused{}}
		if err := batch.WriteJSON(&out); err != nil {
			t.Fatal(err)
		}
		validate(t, reportSchema, out.Bytes())
	}
	tab.clean()
}

// The records that the tests of package record are held to are those that the
// page saves today, byte for byte.
func TestRecordsOfTheBench(t *testing.T) {
	const folder = "../../compiler/record/testdata/"
	sources, err := compiler.Read(os.DirFS(folder + "bench"))
	if err != nil {
		t.Fatal(err)
	}
	r, err := compiler.Check(context.Background(), sources)
	if err != nil || !r.Sound() {
		t.Fatalf("%v %+v", err, r.Messages)
	}
	tab := openTab(t, 1100, 900)
	tab.do(before(caught), before(clocked))
	for i, p := range r.Library.Procedures {
		doc, _ := r.Document(i, compiler.DocumentOptions{})
		page := writePage(t, doc)
		for _, outcome := range r.Trials {
			if outcome.Trial.Of != p {
				continue
			}
			run := outcome.Runs[0]
			file := folder + "records/" + strings.NewReplacer(" ", "-", ",", "").Replace(outcome.Trial.Title) + ".json"
			text := playRecord(t, tab, page, run)
			if *update {
				if err := os.WriteFile(file, text, 0o644); err != nil {
					t.Fatal(err)
				}
				t.Errorf("%s was written anew: read the difference", file)
				continue
			}
			want, err := os.ReadFile(file)
			if err != nil {
				t.Fatal(err)
			}
			if !bytes.Equal(text, want) {
				t.Errorf("the page saves another record than %s; -update writes it anew", file)
			}
		}
	}
	tab.clean()
}
