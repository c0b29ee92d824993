// Package markdown writes a document as CommonMark with tables.
//
// Input: a compiled document. Output: text that reads as it stands, in a
// review or a mail, and that readers of CommonMark, with tables or without,
// show well. One step is one paragraph on one line, so that a changed step is
// one changed line; nothing in the text depends on when or where it was made.
// Whatever the sources say, their texts never become markup.
package markdown

import (
	"fmt"
	"io"
	"strings"
	"sync"

	"benchproof/compiler/document"
)

// Render writes the document. A block, box or span it does not know is an
// error, never left out: it may carry a hazard. Nothing is written then.
func Render(w io.Writer, doc *document.Document) error {
	r := renderers.Get().(*renderer)
	defer renderers.Put(r)
	*r = renderer{doc: doc, words: doc.Words, b: r.b[:0], inlines: r.inlines[:0]}
	r.control()
	r.job()
	r.changed()
	r.before()
	r.safety()
	r.needs()
	r.jobMap()
	r.heading(2, r.plain(r.words.Steps))
	r.blocks(doc.Body, 3)
	r.finishes()
	r.closeUp()
	r.record()
	r.revisions()
	if doc.Barred() {
		r.barred()
	}
	if r.err != nil {
		return fmt.Errorf("markdown of %s: %w", doc.Name, r.err)
	}
	_, err := w.Write(r.b)
	return err
}

var renderers = sync.Pool{New: func() any { return new(renderer) }}

type renderer struct {
	doc   *document.Document
	words *document.Words
	b     []byte
	err   error
	// inlines is where inlines are put together before they are written: one
	// block for many, given back in step and at the end.
	inlines []byte
	// turns is how often the steps now written may be done; 0 outside a repeat.
	turns int
	// stage is the title of the stage now written.
	stage string
}

// slot gives an empty slice with room for n bytes. It stays whole until what
// was asked for before it is given back.
func (r *renderer) slot(n int) []byte {
	at := len(r.inlines)
	if cap(r.inlines)-at < n {
		r.inlines, at = make([]byte, 0, max(1<<16, 2*n)), 0
	}
	r.inlines = r.inlines[:at+n]
	return r.inlines[at : at : at+n]
}

func (r *renderer) fail(err error) {
	if r.err == nil {
		r.err = err
	}
}

// open begins a block: an empty line parts it from the last.
func (r *renderer) open() {
	if len(r.b) > 0 {
		r.b = append(r.b, '\n')
	}
}

func (r *renderer) heading(level int, parts ...[]byte) {
	r.open()
	for i := 0; i < level; i++ {
		r.b = append(r.b, '#')
	}
	r.b = append(r.b, ' ')
	for _, p := range parts {
		r.b = append(r.b, p...)
	}
	if n := len(r.b); r.b[n-1] == '#' {
		r.b = append(r.b[:n-1], `\#`...) // else it is read as the heading's end
	}
	r.b = append(r.b, '\n')
}

func (r *renderer) paragraph(parts ...[]byte) {
	r.open()
	for _, p := range parts {
		r.b = append(r.b, p...)
	}
	r.b = append(r.b, '\n')
}

func (r *renderer) quote(parts ...[]byte) {
	r.open()
	r.b = append(r.b, "> "...)
	for _, p := range parts {
		r.b = append(r.b, p...)
	}
	r.b = append(r.b, '\n')
}

// list writes items as one tight list; without items nothing.
func (r *renderer) list(items [][]byte) {
	if len(items) == 0 {
		return
	}
	r.open()
	for _, item := range items {
		r.b = append(r.b, "- "...)
		r.b = append(r.b, item...)
		r.b = append(r.b, '\n')
	}
}

// anchor is a place that links lead to.
func (r *renderer) anchor(id string) []byte {
	b := append(r.slot(len(id)+16), `<a id="`...)
	for i := 0; i < len(id); i++ {
		c := id[i]
		if isLetter(c) || c >= '0' && c <= '9' || c == '-' || c == '.' {
			b = append(b, c)
		}
	}
	return append(b, `"></a>`...)
}

// box is a tick box in front of its label; a draft has none.
func (r *renderer) box(label []byte) []byte {
	if r.doc.Barred() {
		return label
	}
	return append(append(r.slot(len(label)+4), "☐ "...), label...)
}

// room is a place to write in, or nothing in a draft.
func (r *renderer) room(n int) []byte {
	if r.doc.Barred() {
		return nil
	}
	return []byte(blanks(n))
}

func (r *renderer) control() {
	d, w := r.doc, r.words
	r.heading(1, r.plain(d.Title))
	if d.Barred() {
		large, note := d.BarredWords()
		r.paragraph(r.strong(large), []byte(" "), r.plain(note))
		if d.Release.State == document.Withdrawn {
			r.paragraph(r.plain(w.Reason + w.Colon() + d.Release.Reason))
		}
		var items [][]byte
		for _, m := range d.Messages {
			items = append(items, appendEscaped(nil, m, true))
		}
		r.list(items)
	}
	if d.Release.Text != "" {
		r.paragraph(r.strong(d.Release.Text))
	}
	if d.Purpose != "" {
		r.paragraph(appendEscaped(nil, d.Purpose, true))
	}
	var t table
	pair := func(label string, value []byte) {
		if len(value) > 0 {
			t.row(r.plain(label), value)
		}
	}
	t.row(r.plain(w.Document), r.strong(orDash(d.Number)))
	pair(w.Revision, r.strong(d.Revision))
	pair(w.Date, r.plain(w.DateText(d.Date)))
	for _, f := range d.AppliesTo {
		var names [][]byte
		for _, m := range f.Members {
			names = append(names, r.plain(m.Title))
		}
		pair(w.AppliesTo, r.join(r.words.Colon(), r.plain(f.Title), r.join(", ", names...)))
	}
	for _, c := range d.For {
		pair(c.VariantTitle, r.strong(c.MemberTitle))
	}
	pair(w.Skill, r.plain(d.Skill))
	if d.Time != nil {
		span := d.Time.Least
		if d.Time.Most != d.Time.Least {
			span += " – " + d.Time.Most
		}
		pair(w.ExpectedTime, r.plain(span))
	}
	owner := d.Owner
	if owner == "" {
		owner = d.Library
	}
	pair(w.Owner, r.plain(owner))
	pair(w.Fingerprint, r.plain(d.Edition(func(s string) string { return s })))
	r.table(&t)
	r.paragraph(r.plain(w.CheckCurrent))
}

func orDash(s string) string {
	if s == "" {
		return "—"
	}
	return s
}

func (r *renderer) job() {
	d, w := r.doc, r.words
	if d.Barred() {
		return
	}
	r.heading(2, r.plain(w.Job))
	var t table
	t.row(r.plain(w.WorkOrder), []byte(blank))
	t.row(r.plain(w.Machine), []byte(blank))
	t.row(r.plain(w.SerialNumber), []byte(blank))
	plate := r.box(nil)
	for _, f := range d.AppliesTo {
		var parts [][]byte
		for _, m := range f.Members {
			parts = append(parts, r.box(r.plain(m.Title)))
		}
		plate = r.join(" ", parts...)
		t.row(r.join(r.words.Colon(), r.plain(w.NameplateCheck), r.plain(f.Title)), plate)
	}
	if len(d.AppliesTo) == 0 {
		t.row(r.plain(w.NameplateCheck), plate)
	}
	t.row(r.plain(w.Who), []byte(blank))
	t.row(r.plain(w.JobDate), []byte(blank))
	r.table(&t)
}

// barred says once more that nobody may work from this.
func (r *renderer) barred() {
	large, _ := r.doc.BarredWords()
	r.paragraph(r.strong(large))
}

func (r *renderer) changed() {
	d, w := r.doc, r.words
	if len(d.Revisions) == 0 {
		return
	}
	r.heading(2, r.plain(w.WhatChanged))
	now := d.Revisions[0]
	var list []int
	for _, s := range d.Steps {
		if s.Changed {
			list = append(list, s.Number)
		}
	}
	line := r.join(r.words.Colon(), r.strong(now.Revision), r.plain(now.Note))
	if len(list) > 0 {
		line = r.join(" ", line, r.join(r.words.Colon(), r.plain(w.Steps), r.steps(list)))
	}
	r.paragraph(line)
	if d.Release.Bars != "" {
		r.paragraph(r.plain(d.Release.Bars))
	}
}

func (r *renderer) before() {
	d, w := r.doc, r.words
	if len(d.Begins)+len(d.BeginsWithout)+len(d.Isolation) == 0 {
		return
	}
	r.heading(2, r.plain(w.BeforeYouStart))
	var items [][]byte
	for _, s := range d.Begins {
		items = append(items, r.box(r.state(s)))
	}
	if len(d.BeginsWithout) > 0 {
		items = append(items, r.box(r.join(r.words.Colon(), r.plain(w.NotOnMachine), r.things(d.BeginsWithout))))
	}
	r.list(items)
	r.paragraph(appendEscaped(nil, w.LeaveAsFound, true))
	var t table
	r.head(&t, w.Isolation, w.LockedBy, w.ProvedWith, w.When)
	for _, i := range d.Isolation {
		made, proved := r.ref(i.MadeStep), r.ref(i.ProvedStep)
		var with []byte
		if i.ProvedWith != nil {
			with = r.join(", ", r.thing(i.ProvedWith, 1), r.plain(i.ProvedBy), proved, r.room(1))
		}
		t.row(r.join(", ", r.state(i.State), made), r.join(" ", r.plain(i.MadeBy), r.room(1)), with, r.room(1))
	}
	r.table(&t)
}

// ref links to a step with the word for it; step 0 is none.
func (r *renderer) ref(step int) []byte {
	if step == 0 {
		return nil
	}
	return r.stepLink(step, fmt.Sprintf("%s %d", r.words.Step, step))
}

// signal gives the signal word of a hazard, with the safety alert symbol where
// ANSI Z535.6 puts it: not with NOTICE, which is not about injury.
func (r *renderer) signal(h *document.Hazard) []byte {
	w := r.words
	switch h.Signal {
	case "danger":
		return r.strong("⚠ " + w.Danger)
	case "warning":
		return r.strong("⚠ " + w.Warning)
	case "caution":
		return r.strong("⚠ " + w.Caution)
	case "notice":
		return r.strong(w.Notice)
	}
	r.fail(fmt.Errorf("a hazard with the signal word %q", h.Signal))
	return nil
}

func (r *renderer) signs(h *document.Hazard, protective bool) []byte {
	var parts [][]byte
	for _, s := range h.Signs {
		if s.Protective == protective {
			part := r.plain(s.Code)
			if s.Referent != "" {
				part = append(append(append(part, " ("...), r.plain(s.Referent)...), ')')
			}
			parts = append(parts, part)
		}
	}
	return r.join(", ", parts...)
}

func (r *renderer) safety() {
	d, w := r.doc, r.words
	r.heading(2, r.plain(w.SafetySummary))
	var t table
	r.head(&t, w.Signal, w.Hazard, w.WhatToDo, "ISO 7010", w.Protective, w.Steps)
	for _, u := range d.Hazards {
		h := u.Hazard
		where := r.steps(u.Steps)
		if !u.Always {
			where = r.join("; ", where, r.plain(u.Only))
		}
		t.row(r.signal(h), r.join(r.words.Colon(), r.strong(h.Title), r.plain(h.Consequence)), r.plain(h.Avoid), r.signs(h, false), r.signs(h, true), where)
	}
	r.table(&t)
	r.paragraph(r.plain(w.LocalRules))
}

func (r *renderer) needs() {
	d, w := r.doc, r.words
	if len(d.Tools)+len(d.Parts)+len(d.Consumables)+len(d.Kits) == 0 {
		return
	}
	r.heading(2, r.plain(w.WhatYouNeed))
	tools, instruments := table{}, table{}
	r.head(&tools, w.Tools, w.Number, w.Quantity, w.UsedFor, w.Kit, w.Steps)
	head := []string{w.Instruments, w.Number, w.Quantity, w.UsedFor, w.Kit, w.Steps, w.Range}
	if !d.Barred() {
		head = append(head, w.SerialNumber, w.Calibrated)
	}
	r.head(&instruments, head...)
	for _, n := range d.Tools {
		cells := [][]byte{r.name(n.Thing), r.strong(n.Thing.Number), r.quantity(n), r.plain(n.For), r.kit(n.Kit), r.steps(n.Steps)}
		if !n.Thing.Instrument {
			tools.row(cells...)
			continue
		}
		cells = append(cells, r.join(", ", r.plain(n.Thing.Range), r.plain(n.Thing.Scale)))
		if !d.Barred() {
			cells = append(cells, []byte(blank), []byte(blank))
		}
		instruments.row(cells...)
	}
	parts, consumables := table{}, table{}
	r.head(&parts, w.Parts, w.Number, w.Quantity, w.Steps)
	for _, n := range d.Parts {
		parts.row(r.name(n.Thing), r.strong(n.Thing.Number), r.quantity(n), r.steps(n.Steps))
	}
	r.head(&consumables, w.Consumables, w.Number, w.Quantity, w.Steps)
	for _, n := range d.Consumables {
		consumables.row(r.name(n.Thing), r.strong(n.Thing.Number), r.quantity(n), r.steps(n.Steps))
	}
	for _, t := range []*table{&tools, &instruments, &parts, &consumables} {
		r.table(t)
	}
	var items [][]byte
	for i := range d.Kits {
		k := &d.Kits[i]
		var holds [][]byte
		for _, t := range k.Holds {
			holds = append(holds, r.thing(t, 1))
		}
		items = append(items, r.join(r.words.Colon(), r.join(" ", r.plain(w.Kit), r.kit(k)), r.join("; ", holds...)))
	}
	r.list(items)
}

// name gives a thing by title, detail and mass, without its number.
func (r *renderer) name(t *document.Thing) []byte {
	return r.join(", ", r.plain(t.Title), r.plain(t.Detail), r.plain(t.Mass))
}

func (r *renderer) kit(k *document.Kit) []byte {
	if k == nil {
		return nil
	}
	return r.join(" ", r.plain(k.Title), r.strong(k.Number))
}

// quantity tells how many, and when: "1, always", "1, if worn, size 32".
func (r *renderer) quantity(n document.Need) []byte {
	when := r.words.Always
	if !n.Always {
		when = n.Only
	}
	return r.join(", ", fmt.Append(nil, max(n.Count, 1)), r.plain(when))
}

func (r *renderer) jobMap() {
	r.heading(2, r.plain(r.words.JobMap))
	var items [][]byte
	for _, line := range r.doc.Map.Text {
		items = append(items, appendEscaped(nil, line, true))
	}
	r.list(items)
}

func (r *renderer) finishes() {
	d, w := r.doc, r.words
	r.heading(2, r.plain(w.Finishes))
	var t table
	r.head(&t, w.Outcome, w.NextStep, w.Leaves, w.LeftOff, w.LeftOn)
	for _, f := range d.Finishes {
		off := r.things(f.Off)
		if f.To != "" && len(off) > 0 {
			off = r.join(r.words.Colon(), r.plain(w.HandedOver), off)
		}
		t.row(r.link(orDash(f.Title), "#"+f.ID), r.next(f), r.states(f.Leaves), off, r.things(f.On))
	}
	r.table(&t)
}

// next tells what to do after a finish.
func (r *renderer) next(f *document.Finish) []byte {
	var to []byte
	if f.To != "" {
		to = r.join(" ", append([]byte("→ "), r.strong(orDash(f.ToNumber))...), r.plain(f.ToTitle))
	}
	return r.join(" ", r.plain(f.Text), to)
}

func (r *renderer) closeUp() {
	d, w := r.doc, r.words
	if len(d.CloseUp) == 0 {
		return
	}
	r.heading(2, r.plain(w.CloseUp))
	var items [][]byte
	for _, c := range d.CloseUp {
		line := r.spans(c.Label, inText)
		if c.Count > 1 {
			line = append(line, fmt.Sprintf(" (%d)", c.Count)...)
		}
		done := w.DoneWord(c.Kind)
		if done == "" {
			r.fail(fmt.Errorf("a line of the close-up of the kind %q", c.Kind))
		}
		line = r.join(r.words.Colon(), line, r.plain(done))
		items = append(items, r.box(r.join("; ", line, r.plain(c.Only))))
	}
	r.list(items)
}

func (r *renderer) record() {
	d, w := r.doc, r.words
	if d.Barred() {
		return
	}
	r.heading(2, r.plain(w.Record))
	var t table
	r.head(&t, w.Record, w.Steps, w.Limit, w.Value, w.Who)
	for _, l := range d.Record {
		value := r.recordValue(l)
		t.row(r.join("; ", appendEscaped(nil, l.Label, false), r.plain(l.Only)), r.stepNumber(l.Step), r.limits(l.Limits, inTable), value,
			r.join(" ", r.plain(l.Who), []byte(blank)))
	}
	t.row(r.plain(w.NotAsWritten), nil, nil, []byte(blank), []byte(blank))
	t.row(r.plain(w.Signature), nil, nil, []byte(blank), []byte(blank))
	r.table(&t)
}

// recordValue is room for the values of a line, turn by turn in a repeat.
func (r *renderer) recordValue(l document.RecordLine) []byte {
	if len(l.Turns) < 2 {
		return r.join(" ", []byte(blanks(max(l.Boxes, 1))), r.plain(l.Unit))
	}
	each := max(1, l.Boxes/len(l.Turns))
	parts := make([][]byte, len(l.Turns))
	for i, turn := range l.Turns {
		parts[i] = r.join(" ", r.plain(strings.Replace(r.words.Screen.Turn, "{turn}", turn, 1)+":"), []byte(blanks(each)), r.plain(l.Unit))
	}
	return r.join("; ", parts...)
}

func (r *renderer) stepNumber(n int) []byte {
	if n == 0 {
		return nil
	}
	return r.stepLink(n, fmt.Sprint(n))
}

func (r *renderer) revisions() {
	w := r.words
	if len(r.doc.Revisions) == 0 {
		return
	}
	r.heading(2, r.plain(w.Revisions))
	var t table
	r.head(&t, w.Revision, w.Date, w.WhatChanged)
	for _, v := range r.doc.Revisions {
		t.row(r.strong(v.Revision), r.plain(w.DateText(v.Date)), r.plain(v.Note))
	}
	r.table(&t)
}
