package record

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/quantity"
)

// A Bench holds a library and the documents of it that records were held to.
type Bench struct {
	result *compiler.Result
	made   map[string]*document.Document
}

// NewBench takes a library that is sound.
func NewBench(r *compiler.Result) *Bench {
	return &Bench{result: r, made: map[string]*document.Document{}}
}

// document gives the document that an edition names, and the place of its
// procedure; nil where the library has none.
func (b *Bench) document(e Edition) (*document.Document, int) {
	at := slices.IndexFunc(b.result.Library.Procedures, func(p *library.Procedure) bool { return p.Name == e.Name })
	if at < 0 {
		return nil, -1
	}
	key := fmt.Sprintf("%q %q", e.Name, e.For)
	if doc, known := b.made[key]; known {
		return doc, at
	}
	var members []*library.Member
	for _, c := range e.For {
		m, err := b.result.Member(c[0], c[1])
		if err != nil {
			return nil, -1
		}
		members = append(members, m)
	}
	doc, _ := b.result.Document(at, compiler.DocumentOptions{For: members})
	if doc != nil && len(b.made) < maxDocuments {
		b.made[key] = doc
	}
	return doc, at
}

// maxDocuments bounds what records of many documents make a run keep.
const maxDocuments = 256

type given struct {
	name  string
	taken *taken
}

// A judge holds what is known while a record is judged.
type judge struct {
	rec  *Record
	rep  *Report
	doc  *document.Document // nil where the record is of another state
	told map[string]bool

	marks   map[string]*mark
	started map[string]time.Time
	late    map[string]bool
	members map[string]string

	now     map[string]*taken
	turns   []int
	visits  []visit
	visited map[int]bool
	choices []choice
	end     *document.Finish
	want    *taken
	given   []given
	answers []given
	takings []Taking
	trace   *paths.Trace
}

// Judge holds a record to the library.
func (b *Bench) Judge(file string, rec *Record) *Report {
	j := &judge{
		rec: rec, told: map[string]bool{}, marks: map[string]*mark{}, started: map[string]time.Time{}, late: map[string]bool{},
		members: map[string]string{}, now: map[string]*taken{}, visited: map[int]bool{},
		rep: &Report{File: file, Document: rec.Document, Job: rec.Job, Members: rec.Members, Saved: rec.Saved,
			Way: []Visit{}, Readings: []Taking{}, Holds: []Held{}, Findings: []Finding{}},
	}
	if j.rep.Document.For == nil {
		j.rep.Document.For = [][]string{}
	}
	if j.rep.Members == nil {
		j.rep.Members = []Member{}
	}
	for _, m := range rec.Members {
		j.members[m.Variant] = m.Member
	}
	doc, at := b.document(rec.Document)
	j.belongs(doc)
	if j.rep.Standing == Present {
		j.doc = doc
		j.checkMembers()
	}
	j.playEntries()
	if j.doc != nil {
		j.replay(b.result, at)
	} else {
		j.alone()
	}
	j.jobNamed()
	j.rep.Readings = append(j.rep.Readings, j.takings...)
	j.rep.InOrder = !slices.ContainsFunc(j.rep.Findings, func(f Finding) bool { return f.Level != Told })
	j.rep.key = fmt.Sprintf("%q %q %q %q", rec.Document.Name, rec.Document.Fingerprint, rec.Job.WorkOrder, rec.Job.Machine)
	if len(rec.Entries) > 0 {
		j.rep.began = rec.Entries[0].At
	}
	j.rep.entries = len(rec.Entries)
	return j.rep
}

// find adds a finding; each is told once for a box or place.
func (j *judge) find(key string, at Finding, format string, args ...any) {
	at.Key, at.Level, at.Text = key, levelOf(key), plainText(fmt.Sprintf(format, args...))
	id := fmt.Sprint(key, at.Step, at.Turn, at.Box)
	if key == "changed" || key == "changed-late" || key == "taken-back" || key == "first-differs" || key == "time-backwards" {
		id += fmt.Sprint(at.Entry)
	}
	if j.told[id] || len(j.rep.Findings) >= maxFindings {
		return
	}
	j.told[id] = true
	j.rep.Findings = append(j.rep.Findings, at)
}

// maxFindings bounds the findings of one record.
const maxFindings = 2000

// once adds a finding of which one is enough.
func (j *judge) once(key string, at Finding, format string, args ...any) {
	if j.told[key] {
		return
	}
	j.told[key] = true
	j.find(key, at, format, args...)
}

// belongs tells how the record stands to the library.
func (j *judge) belongs(doc *document.Document) {
	e := j.rec.Document
	if doc == nil {
		j.rep.Standing = Foreign
		j.find("no-document", Finding{}, "the library has no document of the procedure %s for %s", short(e.Name), forNames(e.For))
		return
	}
	j.rep.Now = doc.Revision
	switch at := slices.IndexFunc(doc.Revisions, func(r document.Revision) bool { return r.Revision == e.Revision && r.Date == e.Date }); {
	case at < 0 && !(len(doc.Revisions) == 0 && e.Revision == "" && e.Date == ""):
		j.rep.Standing = Foreign
		j.find("unknown-revision", Finding{}, "%s has no revision %s of %s; its revision now is %s of %s", doc.Number, short(e.Revision), short(e.Date), doc.Revision, doc.Date)
	case at > 0:
		j.rep.Standing = Older
		j.find("older-revision", Finding{}, "of revision %s; the library now has revision %s. That is no damage. Its readings and entries are checked by what the record carries; its way can be checked with the library as it was at revision %s (--library)", e.Revision, doc.Revision, e.Revision)
	case e.Fingerprint != doc.Fingerprint:
		j.rep.Standing = Changed
		j.find("fingerprint", Finding{}, "of revision %s, but of the fingerprint %s; the document of this library has %s: the sources were changed within the revision, or the record is of others", e.Revision, short(e.Fingerprint), doc.Fingerprint)
	default:
		j.rep.Standing = Present
	}
	if e.Number != doc.Number || j.rep.Standing == Present && e.Title != doc.Title && (e.Language == "" || e.Language == doc.Language) {
		j.find("document-data", Finding{}, "the record calls it %s, %s; the document is %s, %s", short(e.Number), short(e.Title), doc.Number, doc.Title)
	}
}

func forNames(list [][]string) string {
	if len(list) == 0 {
		return "all members"
	}
	var out []string
	for _, c := range list {
		out = append(out, short(c[0])+" "+short(c[1]))
	}
	return strings.Join(out, ", ")
}

// checkMembers holds the members to those that the document is for.
func (j *judge) checkMembers() {
	for _, m := range j.rec.Members {
		at := slices.IndexFunc(j.doc.AppliesTo, func(f document.Family) bool { return f.Variant == m.Variant })
		if at < 0 || !slices.ContainsFunc(j.doc.AppliesTo[at].Members, func(x document.Member) bool { return x.Name == m.Member }) {
			j.find("member", Finding{Box: "member-" + m.Variant}, "the document is not for %s %s", short(m.Variant), short(m.Member))
		}
	}
	if len(j.members) != len(j.rec.Members) {
		j.find("member", Finding{}, "a family stands among the members twice")
	}
	for _, f := range j.doc.AppliesTo {
		if j.members[f.Variant] == "" {
			j.find("member-missing", Finding{Box: "member-" + f.Variant}, "%s was not chosen", f.Title)
		}
	}
}

// jobNamed looks for whose work it was.
func (j *judge) jobNamed() {
	if j.rec.Job.WorkOrder == "" && j.rec.Job.Machine == "" {
		j.find("job-unnamed", Finding{}, "neither work order nor machine is named")
	}
	if j.rec.Job.Who == "" {
		j.find("who-missing", Finding{}, "who did the work is not named")
	}
	if m := j.marks["not-as-written"]; m != nil && m.set {
		j.find("not-as-written", Finding{Box: "not-as-written", Entry: m.last.Number}, "not done as written: “%s”", strings.Join(strings.Fields(m.value), " "))
	}
}

// replay goes through the document with the values of the record.
func (j *judge) replay(r *compiler.Result, at int) {
	j.rep.Checked = true
	if j.walk(j.doc.Body) {
		for _, f := range j.doc.Finishes {
			if f.Implied {
				j.end = f
			}
		}
	}
	if j.end != nil {
		j.rep.Outcome = &Outcome{j.end.ID, j.end.Outcome}
		j.proof(r, at)
	}
	j.ruled()
	j.gaps()
	j.strays()
	j.inOrder()
	j.ends()
	j.stands()
}

// proof gives the same values to the proof engine, which has to come to the
// same finish.
func (j *judge) proof(r *compiler.Result, at int) {
	p := r.Library.Procedures[at]
	c := paths.Case{Values: map[*library.Reading][]quantity.Number{}, Answers: map[*library.Question][]*library.Answer{}}
	for _, a := range p.Applies {
		for _, m := range a.Members {
			if m.Name == j.members[a.Variant.Name] {
				c.Members = append(c.Members, m)
			}
		}
	}
	if len(c.Members) < len(p.Applies) {
		return // told already
	}
	for _, g := range j.given {
		for _, x := range p.Readings {
			if x.Name == g.name && g.taken.known {
				c.Values[x] = append(c.Values[x], toScale(g.taken.value, scaleOf(g.taken.reading)))
			}
		}
	}
	for _, g := range j.answers {
		for _, q := range p.Questions {
			for _, a := range q.Answers {
				if q.Name == g.name && g.taken.known && a.Name == g.taken.answer {
					c.Answers[q] = append(c.Answers[q], a)
				}
			}
		}
	}
	_, trace := paths.Follow(r.Library, p, c)
	if trace.Missing != nil {
		return // a reading that nothing goes by is missing; that is told
	}
	j.trace = trace
	outcome, to := "serviceable", ""
	if trace.Finish != nil {
		outcome = trace.Finish.Outcome
		if trace.Finish.To != nil {
			to = trace.Finish.To.Name
		}
	}
	if trace.Outside || outcome != j.end.Outcome || to != j.end.To || trace.RanOff != j.end.Implied {
		j.find("proof-differs", Finding{}, "the proof engine comes to %s %s, the document to %s %s", outcome, to, j.end.Outcome, j.end.To)
	}
}

// alone checks what a record of another state carries itself.
func (j *judge) alone() {
	type at struct {
		step       int
		turn, name string
	}
	var order []at
	places := map[at][]*Entry{}
	for i := range j.rec.Entries {
		e := &j.rec.Entries[i]
		m := j.marks[e.ID]
		if e.Kind != "reading" || m == nil || !m.set || m.last != e {
			continue
		}
		name, _, _ := strings.Cut(e.Name, ":")
		k := at{e.Step, e.Turn, name}
		if places[k] == nil {
			order = append(order, k)
		}
		places[k] = append(places[k], e)
	}
	for _, k := range order {
		list := places[k]
		e := list[len(list)-1]
		t := Taking{Name: k.name, Title: e.Label, Step: k.step, Turn: k.turn, At: e.At, Who: e.Who, Unit: e.Unit, Of: e.Of, Instrument: e.Instrument, Limits: e.Limits, Typed: []string{}}
		var values []quantity.Number
		for _, e := range list {
			t.Typed = append(t.Typed, e.Value)
			n, ok := readTyped(e.Value, e.Unit)
			if !ok {
				j.find("reading-bad", Finding{Step: k.step, Turn: k.turn, Box: e.ID, Entry: e.Number}, "%s: “%s” is not a number", e.name(), short(e.Value))
				continue
			}
			values = append(values, n)
			t.places = max(t.places, decimals(strings.TrimSuffix(e.Value, e.Unit)))
		}
		// Without its document nobody knows how many places there were, nor, in
		// the first version, what is made of them.
		if len(values) == len(list) && (len(list) == 1 || e.Of != "") {
			t.is(combine(e.Of, values))
			if t.Limits != nil {
				t.Verdict = "within"
				if !t.Limits.take(t.value) {
					t.Verdict = "outside"
					j.find("outside", Finding{Step: k.step, Turn: k.turn, Box: e.ID}, "%s is outside the limits that the record carries, %s", e.name(), t.Limits.Words())
				}
			}
		}
		j.takings = append(j.takings, t)
	}
}
