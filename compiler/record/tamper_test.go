package record

import (
	"bytes"
	"context"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"benchproof/compiler"
)

// bench is the library that the records of testdata were saved with.
func bench(t testing.TB, change ...string) *Bench {
	t.Helper()
	dir := os.DirFS("testdata/bench")
	sources, err := compiler.Read(dir)
	if err != nil {
		t.Fatal(err)
	}
	if len(change) > 0 {
		text, err := os.ReadFile("testdata/bench/bench.proc")
		if err != nil {
			t.Fatal(err)
		}
		folder := t.TempDir()
		now := strings.NewReplacer(change...).Replace(string(text))
		if now == string(text) {
			t.Fatalf("nothing of %q is there to be changed", change)
		}
		if err := os.WriteFile(folder+"/bench.proc", []byte(now), 0o644); err != nil {
			t.Fatal(err)
		}
		if sources, err = compiler.Read(os.DirFS(folder)); err != nil {
			t.Fatal(err)
		}
	}
	r, err := compiler.Check(context.Background(), sources)
	if err != nil || !r.Sound() {
		t.Fatalf("%v %+v", err, r.Messages)
	}
	return NewBench(r)
}

func saved(t testing.TB, name string) *Record {
	t.Helper()
	rec, err := ReadFile("testdata/records/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	return rec
}

// entry gives the last entry of a box.
func (r *Record) entry(t testing.TB, id string) *Entry {
	t.Helper()
	for i := len(r.Entries) - 1; i >= 0; i-- {
		if r.Entries[i].ID == id {
			return &r.Entries[i]
		}
	}
	t.Fatalf("no entry of %s", id)
	return nil
}

// drop takes out every entry for which is holds, and numbers the rest anew: the
// tampering of somebody who knows that entries are counted.
func (r *Record) drop(t testing.TB, is func(*Entry) bool) {
	t.Helper()
	n := len(r.Entries)
	r.Entries = slices.DeleteFunc(r.Entries, func(e Entry) bool { return is(&e) })
	if len(r.Entries) == n {
		t.Fatal("nothing to drop")
	}
	r.number()
}

func (r *Record) number() {
	for i := range r.Entries {
		r.Entries[i].Number = i + 1
	}
}

// add puts an entry behind another.
func (r *Record) add(t testing.TB, after string, change func(*Entry)) {
	t.Helper()
	i := slices.IndexFunc(r.Entries, func(e Entry) bool { return e.ID == after })
	if i < 0 {
		t.Fatalf("no entry of %s", after)
	}
	e := r.Entries[i]
	change(&e)
	r.Entries = slices.Insert(r.Entries, i+1, e)
	r.number()
}

const good = "a-good-rotor-hot-at-first"

// Each row is one tampering with a record that is in order. Its key is found,
// and what it says names the place.
func TestTamperings(t *testing.T) {
	type row struct {
		what, of  string
		tamper    func(t *testing.T, r *Record)
		key, says string
		departs   int // the step named as the first departure; 0: none
	}
	id := func(id string) func(*Entry) bool { return func(e *Entry) bool { return e.ID == id } }
	rows := []row{
		// Whose record it is.
		{"wrong fingerprint", good, func(t *testing.T, r *Record) { r.Document.Fingerprint = "000000000000" }, "fingerprint", "of the fingerprint 000000000000", 0},
		{"a revision that never was", good, func(t *testing.T, r *Record) { r.Document.Revision = "Q" }, "unknown-revision", "no revision Q", 0},
		{"a revision of another day", good, func(t *testing.T, r *Record) { r.Document.Date = "2026-03-03" }, "unknown-revision", "revision B of 2026-03-03", 0},
		{"another procedure", good, func(t *testing.T, r *Record) { r.Document.Name = "pump-service" }, "no-document", "pump-service", 0},
		{"another number", good, func(t *testing.T, r *Record) { r.Document.Number = "WI-0001" }, "document-data", "WI-0001", 0},
		{"another title", good, func(t *testing.T, r *Record) { r.Document.Title = "Service the fan" }, "document-data", "Service the fan", 0},
		{"another member", good, func(t *testing.T, r *Record) { r.Members[0].Member = "r24" }, "member", "“r20” was chosen", 11},
		{"a member that is none", good, func(t *testing.T, r *Record) { r.Members[0].Member = "r99" }, "member", "not for size r99", 11},
		{"no member", good, func(t *testing.T, r *Record) { r.Members = nil }, "member-missing", "Rotor size", 11},
		{"a member of no family", good, func(t *testing.T, r *Record) { r.Members = append(r.Members, Member{"colour", "red"}) }, "member", "colour red", 0},

		// The entries.
		{"an entry taken out", good, func(t *testing.T, r *Record) { r.Entries = slices.Delete(r.Entries, 5, 6) }, "entries-gone", "entry 7 stands where entry 6", 0},
		{"two entries swapped", good, func(t *testing.T, r *Record) { r.Entries[5], r.Entries[6] = r.Entries[6], r.Entries[5] }, "entries-gone", "entry 7", 0},
		{"time backwards", good, func(t *testing.T, r *Record) { r.entry(t, "step-8-journal-2").At = "2030-01-02T05:00:00.000Z" }, "time-backwards", "step 8: “journal 2”", 0},
		{"saved before its end", good, func(t *testing.T, r *Record) { r.Saved = "2030-01-02T06:00:00.000Z" }, "saved-early", "06:00:00", 0},
		{"work before the document", good, func(t *testing.T, r *Record) {
			for i := range r.Entries {
				r.Entries[i].At = strings.Replace(r.Entries[i].At, "2030", "2020", 1)
			}
		}, "before-issue", "2020-01-02", 0},
		{"a change of what never stood there", good, func(t *testing.T, r *Record) {
			r.add(t, "step-8-journal-3", func(e *Entry) { e.Event, e.First, e.Value = changed, "19.970", "19.980" })
		}, "first-differs", "19.970", 0},
		{"a box that is none", good, func(t *testing.T, r *Record) { r.entry(t, "step-5-tick-1").ID = "step-5-tick-9" }, "entry-strange", "step-5-tick-9", 5},
		{"a tick that is a text", good, func(t *testing.T, r *Record) { r.entry(t, "step-5-tick-1").Kind = "text" }, "entry-strange", "of the kind text", 0},
		{"an entry moved to another step", good, func(t *testing.T, r *Record) { r.entry(t, "step-5-tick-1").Step = 6 }, "entry-strange", "step 6", 0},
		{"two values, none said to hold", good, func(t *testing.T, r *Record) { r.Stopped = true }, "stopped", "which one holds", 0},

		// The way.
		{"a step skipped", good, func(t *testing.T, r *Record) { r.drop(t, func(e *Entry) bool { return e.Step == 6 }) }, "step-skipped", "step 6 has no entry", 6},
		{"the last step skipped", good, func(t *testing.T, r *Record) { r.drop(t, func(e *Entry) bool { return e.Step == 19 }) }, "step-skipped", "step 19", 19},
		{"a turn skipped", good, func(t *testing.T, r *Record) { r.drop(t, func(e *Entry) bool { return e.Turn == "2" }) }, "step-skipped", "step 3, turn 2", 3},
		{"a turn too many", good, func(t *testing.T, r *Record) {
			r.add(t, "step-3-housing-temperature-turn-2-1", func(e *Entry) { e.ID, e.Turn = "step-3-housing-temperature-turn-3-1", "3" })
		}, "off-path", "35 °C ends the turns in turn 2", 3},
		{"a value that would end the job", good, func(t *testing.T, r *Record) {
			for _, n := range []string{"1", "2", "3"} {
				r.entry(t, "step-8-journal-"+n).Value = "19.800"
			}
		}, "off-path", "journal 19.800 mm leads to “The rotor is worn out.”", 11},
		{"a value that the loop does not take", good, func(t *testing.T, r *Record) { r.entry(t, "step-3-housing-temperature-turn-2-1").Value = "60" }, "step-skipped", "step 4, turn 2", 4},
		{"answers swapped", "a-pitted-seat", func(t *testing.T, r *Record) { r.entry(t, "step-13-seat").Value = "clean" }, "step-skipped", "step 19", 19},
		{"answers swapped the other way", good, func(t *testing.T, r *Record) { r.entry(t, "step-13-seat").Value = "pitted" }, "off-path", "“pitted” leads to", 19},
		{"an answer that ends the turns sooner", "a-rotor-that-comes-free", func(t *testing.T, r *Record) { r.entry(t, "step-1-turning-turn-2").Value = "freely" }, "off-path", "“freely” ends the turns in turn 2", 2},
		{"an answer that ends the turns no more", "a-rotor-that-comes-free", func(t *testing.T, r *Record) { r.entry(t, "step-1-turning-turn-3").Value = "rubs" }, "outcome", "its values lead to refer", 0},
		{"an answer of a turn left out", "a-rotor-that-stays-stiff", func(t *testing.T, r *Record) { r.drop(t, id("step-1-turning-turn-2")) }, "answer-missing", "turn 2: “How does it turn?”", 1},
		{"an answer that is none", good, func(t *testing.T, r *Record) { r.entry(t, "step-13-seat").Value = "dusty" }, "answer-strange", "dusty", 19},
		{"an answer left out", good, func(t *testing.T, r *Record) { r.drop(t, id("step-13-seat")) }, "answer-missing", "How does the seat look?", 13},
		{"another finish", good, func(t *testing.T, r *Record) { r.Outcome = &Outcome{"finish-2", "scrap"} }, "outcome", "names the finish scrap", 0},
		{"no finish", good, func(t *testing.T, r *Record) { r.Outcome = nil }, "outcome", "names no finish", 0},
		{"no finish at the end of a document without one", "a-true-rotor", func(t *testing.T, r *Record) { r.Outcome = nil }, "outcome", "names no finish", 0},
		{"steps in another order", good, func(t *testing.T, r *Record) {
			a, b := slices.IndexFunc(r.Entries, func(e Entry) bool { return e.Step == 6 }), slices.IndexFunc(r.Entries, func(e Entry) bool { return e.Step == 7 })
			r.Entries[a], r.Entries[b] = r.Entries[b], r.Entries[a]
			r.Entries[a].At, r.Entries[b].At = r.Entries[b].At, r.Entries[a].At
			r.number()
		}, "order", "step 7 was begun", 0},

		// Values.
		{"a value finer than the instrument", good, func(t *testing.T, r *Record) { r.entry(t, "step-8-journal-1").Value = "19.9905" }, "reading-bad", "finer than the instrument", 11},
		{"a value outside the instrument", good, func(t *testing.T, r *Record) { r.entry(t, "step-8-journal-1").Value = "199.90" }, "reading-bad", "outside what the instrument can show", 11},
		{"no number", good, func(t *testing.T, r *Record) { r.entry(t, "step-8-journal-1").Value = "1e9" }, "reading-bad", "not a number", 11},
		{"an extra reading", good, func(t *testing.T, r *Record) {
			r.add(t, "step-8-journal-3", func(e *Entry) { e.ID, e.Name, e.Label = "step-8-journal-4", "journal:4", "journal 4" })
		}, "entry-strange", "step-8-journal-4", 0},
		{"a reading of a step that takes none", good, func(t *testing.T, r *Record) {
			r.add(t, "step-7-tick-1", func(e *Entry) { *e = *r.entry(t, "step-8-journal-3"); e.ID, e.Step = "step-7-journal-1", 7 })
		}, "entry-strange", "step-7-journal-1", 0},
		{"a reading left out", good, func(t *testing.T, r *Record) { r.drop(t, id("step-8-journal-2")) }, "reading-missing", "journal 2", 8},
		{"limits made wider", good, func(t *testing.T, r *Record) { r.entry(t, "step-8-journal-1").Limits.Low = "19.900" }, "limits-differ", "19.900", 0},
		{"another instrument", good, func(t *testing.T, r *Record) { r.entry(t, "step-8-journal-1").Instrument = "T-999" }, "instrument-differs", "T-999", 0},
		{"another unit", good, func(t *testing.T, r *Record) { r.entry(t, "step-8-journal-1").Unit = "in" }, "instrument-differs", "read in in", 0},
		{"torque lowered", good, func(t *testing.T, r *Record) { r.entry(t, "step-16-round-2").Torque = "12 N·m" }, "torque-differs", "a torque of 12 N·m, the document 16 N·m", 0},
		{"torque left out", good, func(t *testing.T, r *Record) { r.drop(t, id("step-16-round-2")) }, "torque-missing", "round 2", 16},
		{"count less", good, func(t *testing.T, r *Record) { r.entry(t, "close-3").Count = 5 }, "count-differs", "the record counts 5, the document 6", 0},
		{"count left out", good, func(t *testing.T, r *Record) { r.drop(t, id("close-3")) }, "close-up", "6 × lid bolts", 0},
		{"a box called otherwise", good, func(t *testing.T, r *Record) { r.entry(t, "step-12-tick-1").Label = "P-999 fitted" }, "label-differs", "P-999", 0},

		// Hold points, waits, pauses.
		{"hold point unsigned", good, func(t *testing.T, r *Record) { r.drop(t, id("step-19-hold-1")) }, "hold-open", "Machine accepted", 19},
		{"hold point without a name", good, func(t *testing.T, r *Record) { r.drop(t, id("step-19-hold-1-name")) }, "hold-unnamed", "name of who accepted", 0},
		{"hold point of another", good, func(t *testing.T, r *Record) { r.entry(t, "step-19-hold-1").Role = "Apprentice" }, "hold-differs", "Apprentice", 0},
		{"a wait that cannot have passed", good, func(t *testing.T, r *Record) {
			r.entry(t, "step-4-wait-1-turn-1").At = "2030-01-02T06:02:45.000Z"
		}, "wait-short", "10 min waited", 0},
		{"a long pause without looking again", good, func(t *testing.T, r *Record) {
			r.add(t, "step-7-tick-1", func(e *Entry) {
				*e = Entry{At: e.At, Event: longPause, ID: "pause", Kind: "page", Value: "300 min"}
			})
		}, "pause-unverified", "Motor supply", 0},

		// What is missing beside the steps.
		{"nobody named", good, func(t *testing.T, r *Record) { r.Job.Who = "" }, "who-missing", "who did the work", 0},
		{"no job named", good, func(t *testing.T, r *Record) { r.Job.WorkOrder, r.Job.Machine = "", "" }, "job-unnamed", "neither", 0},
		{"nameplate not compared", good, func(t *testing.T, r *Record) { r.Job.NameplateAgrees = false; r.drop(t, id("nameplate")) }, "nameplate", "is empty", 0},
		{"nameplate said otherwise", good, func(t *testing.T, r *Record) { r.Job.NameplateAgrees = false }, "entry-strange", "nameplate", 0},
		{"start not looked at", good, func(t *testing.T, r *Record) { r.drop(t, id("begins-power")) }, "begins-missing", "Motor supply live", 0},
		{"an instrument without a number", good, func(t *testing.T, r *Record) { r.drop(t, id("serial-micrometer")) }, "instrument-missing", "outside micrometer", 0},
		{"unsigned", good, func(t *testing.T, r *Record) { r.drop(t, id("signature")) }, "signature", "Signature", 0},
		{"something not written", "a-true-rotor", func(t *testing.T, r *Record) { r.drop(t, id("step-2-weight")) }, "record-missing", "Weight of the rotor", 2},
		{"a tick left out of several", good, func(t *testing.T, r *Record) { r.drop(t, id("step-2-state-1")) }, "tick-missing", "proved with T-121", 2},

		// What was changed.
		{"not as written", good, func(t *testing.T, r *Record) {
			r.add(t, "signature", func(e *Entry) { e.ID, e.Name, e.Value = "not-as-written", "record:not-as-written", "Used five bolts." })
		}, "not-as-written", "Used five bolts.", 0},
	}
	b := bench(t)
	for _, name := range []string{good, "a-pitted-seat", "a-worn-rotor", "a-rotor-of-another-size", "a-housing-that-stays-hot", "a-true-rotor", "a-bent-rotor", "a-rotor-that-comes-free", "a-rotor-that-stays-stiff"} {
		if rep := b.Judge(name, saved(t, name)); !rep.InOrder || !rep.Allowed || rep.Departure != nil {
			t.Errorf("%s is not in order: %+v", name, rep.Findings)
		}
	}
	seen := map[string]bool{}
	for _, x := range rows {
		r := saved(t, x.of)
		x.tamper(t, r)
		rep := b.Judge(x.what, r)
		seen[x.key] = true
		at := slices.IndexFunc(rep.Findings, func(f Finding) bool { return f.Key == x.key && strings.Contains(f.Text, x.says) })
		if at < 0 || rep.InOrder {
			t.Errorf("%s: not told as %s %q (in order: %v)\n%s", x.what, x.key, x.says, rep.InOrder, listed(rep))
			continue
		}
		departs := 0
		if rep.Departure != nil {
			departs = rep.Departure.Step
		}
		if departs != x.departs {
			t.Errorf("%s: the way is left at step %d, want %d\n%s", x.what, departs, x.departs, listed(rep))
		}
	}
	t.Logf("%d tamperings", len(rows))
}

func listed(rep *Report) string {
	var b bytes.Buffer
	for _, f := range rep.Findings {
		b.WriteString("    " + string(f.Level) + " " + f.Key + " " + strconv.Itoa(f.Step) + ": " + f.Text + "\n")
	}
	return b.String()
}
