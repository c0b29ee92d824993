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

	"benchproof/compiler/document"
)

// Render writes the document. A block, box or span it does not know is an
// error, never left out: it may carry a hazard. Nothing is written then.
func Render(w io.Writer, doc *document.Document) error {
	r := &renderer{doc: doc, words: doc.Words, b: make([]byte, 0, 1<<14)}
	r.control()
	r.job()
	r.changed()
	r.before()
	r.safety()
	r.needs()
	r.jobMap()
	r.heading(2, plain(r.words.Steps))
	r.blocks(doc.Body, 3)
	r.finishes()
	r.closeUp()
	r.record()
	r.revisions()
	if doc.Draft {
		r.paragraph(strong(r.words.NotForWork))
	}
	if r.err != nil {
		return fmt.Errorf("markdown of %s: %w", doc.Name, r.err)
	}
	_, err := w.Write(r.b)
	return err
}

type renderer struct {
	doc   *document.Document
	words *document.Words
	b     []byte
	err   error
	// turns is how often the steps now written may be done; 0 outside a repeat.
	turns int
	// stage is the title of the stage now written.
	stage string
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
func anchor(id string) []byte {
	b := append([]byte(nil), `<a id="`...)
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
	if r.doc.Draft {
		return label
	}
	return append([]byte("☐ "), label...)
}

// room is a place to write in, or nothing in a draft.
func (r *renderer) room(n int) []byte {
	if r.doc.Draft {
		return nil
	}
	return []byte(blanks(n))
}

func (r *renderer) control() {
	d, w := r.doc, r.words
	r.heading(1, plain(d.Title))
	if d.Draft {
		r.paragraph(strong(w.NotForWork), []byte(" "), plain(w.DraftNote))
		var items [][]byte
		for _, m := range d.Messages {
			items = append(items, appendEscaped(nil, m, true))
		}
		r.list(items)
	}
	if d.Purpose != "" {
		r.paragraph(appendEscaped(nil, d.Purpose, true))
	}
	var t table
	pair := func(label string, value []byte) {
		if len(value) > 0 {
			t.row(plain(label), value)
		}
	}
	t.row(plain(w.Document), strong(orDash(d.Number)))
	pair(w.Revision, strong(d.Revision))
	pair(w.Date, plain(d.Date))
	for _, f := range d.AppliesTo {
		var names [][]byte
		for _, m := range f.Members {
			names = append(names, plain(m.Title))
		}
		pair(w.AppliesTo, join(": ", plain(f.Title), join(", ", names...)))
	}
	for _, c := range d.For {
		pair(c.VariantTitle, strong(c.MemberTitle))
	}
	pair(w.Skill, plain(d.Skill))
	if d.Time != nil {
		span := d.Time.Least
		if d.Time.Most != d.Time.Least {
			span += " – " + d.Time.Most
		}
		pair(w.ExpectedTime, plain(span))
	}
	pair(w.Owner, join(", ", plain(d.Owner), plain(d.Library)))
	pair(w.Fingerprint, plain(d.Fingerprint))
	r.table(&t)
	r.paragraph(plain(w.CheckCurrent))
}

func orDash(s string) string {
	if s == "" {
		return "—"
	}
	return s
}

func (r *renderer) job() {
	d, w := r.doc, r.words
	if d.Draft {
		return
	}
	r.heading(2, plain(w.Job))
	var t table
	t.row(plain(w.WorkOrder), []byte(blank))
	t.row(plain(w.Machine), []byte(blank))
	t.row(plain(w.SerialNumber), []byte(blank))
	plate := r.box(nil)
	for _, f := range d.AppliesTo {
		var parts [][]byte
		for _, m := range f.Members {
			parts = append(parts, r.box(plain(m.Title)))
		}
		plate = join(" ", parts...)
		t.row(join(": ", plain(w.NameplateCheck), plain(f.Title)), plate)
	}
	if len(d.AppliesTo) == 0 {
		t.row(plain(w.NameplateCheck), plate)
	}
	t.row(plain(w.Who), []byte(blank))
	t.row(plain(w.JobDate), []byte(blank))
	r.table(&t)
}

func (r *renderer) changed() {
	d, w := r.doc, r.words
	if len(d.Revisions) == 0 {
		return
	}
	r.heading(2, plain(w.WhatChanged))
	now := d.Revisions[0]
	var list []int
	for _, s := range d.Steps {
		if s.Changed {
			list = append(list, s.Number)
		}
	}
	line := join(": ", strong(now.Revision), plain(now.Note))
	if len(list) > 0 {
		line = join(" ", line, join(": ", plain(w.Steps), r.steps(list)))
	}
	r.paragraph(line)
}

func (r *renderer) before() {
	d, w := r.doc, r.words
	r.heading(2, plain(w.BeforeYouStart))
	var items [][]byte
	for _, s := range d.Begins {
		items = append(items, r.box(state(s)))
	}
	if len(d.BeginsWithout) > 0 {
		items = append(items, r.box(join(": ", plain(w.NotOnMachine), things(d.BeginsWithout))))
	}
	r.list(items)
	r.paragraph(appendEscaped(nil, w.LeaveAsFound, true))
	var t table
	t.head(w.Isolation, w.LockedBy, w.ProvedWith, w.When)
	for _, i := range d.Isolation {
		made, proved := r.ref(i.MadeStep), r.ref(i.ProvedStep)
		var with []byte
		if i.ProvedWith != nil {
			with = join(", ", thing(i.ProvedWith, 1), plain(i.ProvedBy), proved, r.room(1))
		}
		t.row(join(", ", state(i.State), made), join(" ", plain(i.MadeBy), r.room(1)), with, r.room(1))
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
		return strong("⚠ " + w.Danger)
	case "warning":
		return strong("⚠ " + w.Warning)
	case "caution":
		return strong("⚠ " + w.Caution)
	case "notice":
		return strong(w.Notice)
	}
	r.fail(fmt.Errorf("a hazard with the signal word %q", h.Signal))
	return nil
}

func signs(h *document.Hazard, protective bool) []byte {
	var parts [][]byte
	for _, s := range h.Signs {
		if s.Protective == protective {
			part := plain(s.Code)
			if s.Referent != "" {
				part = append(append(append(part, " ("...), plain(s.Referent)...), ')')
			}
			parts = append(parts, part)
		}
	}
	return join(", ", parts...)
}

func (r *renderer) safety() {
	d, w := r.doc, r.words
	r.heading(2, plain(w.SafetySummary))
	var t table
	t.head(w.Signal, w.Hazard, w.WhatToDo, "ISO 7010", w.Protective, w.Steps)
	for _, u := range d.Hazards {
		h := u.Hazard
		where := r.steps(u.Steps)
		if !u.Always {
			where = join("; ", where, plain(u.Only))
		}
		t.row(r.signal(h), join(": ", strong(h.Title), plain(h.Consequence)), plain(h.Avoid), signs(h, false), signs(h, true), where)
	}
	r.table(&t)
	r.paragraph(plain(w.LocalRules))
}

func (r *renderer) needs() {
	d, w := r.doc, r.words
	r.heading(2, plain(w.WhatYouNeed))
	tools, instruments := table{}, table{}
	tools.head(w.Tools, w.Number, w.Quantity, w.UsedFor, w.Kit, w.Steps)
	head := []string{w.Instruments, w.Number, w.Quantity, w.UsedFor, w.Kit, w.Steps, w.Range}
	if !d.Draft {
		head = append(head, w.SerialNumber, w.Calibrated)
	}
	instruments.head(head...)
	for _, n := range d.Tools {
		cells := [][]byte{name(n.Thing), strong(n.Thing.Number), r.quantity(n), plain(n.For), kit(n.Kit), r.steps(n.Steps)}
		if !n.Thing.Instrument {
			tools.row(cells...)
			continue
		}
		cells = append(cells, join(", ", plain(n.Thing.Range), plain(n.Thing.Scale)))
		if !d.Draft {
			cells = append(cells, []byte(blank), []byte(blank))
		}
		instruments.row(cells...)
	}
	parts, consumables := table{}, table{}
	parts.head(w.Parts, w.Number, w.Quantity, w.Steps)
	for _, n := range d.Parts {
		parts.row(name(n.Thing), strong(n.Thing.Number), r.quantity(n), r.steps(n.Steps))
	}
	consumables.head(w.Consumables, w.Number, w.Quantity, w.Steps)
	for _, n := range d.Consumables {
		consumables.row(name(n.Thing), strong(n.Thing.Number), r.quantity(n), r.steps(n.Steps))
	}
	for _, t := range []*table{&tools, &instruments, &parts, &consumables} {
		r.table(t)
	}
	var items [][]byte
	for i := range d.Kits {
		k := &d.Kits[i]
		var holds [][]byte
		for _, t := range k.Holds {
			holds = append(holds, thing(t, 1))
		}
		items = append(items, join(": ", join(" ", plain(w.Kit), kit(k)), join("; ", holds...)))
	}
	r.list(items)
}

// name gives a thing by title, detail and mass, without its number.
func name(t *document.Thing) []byte {
	return join(", ", plain(t.Title), plain(t.Detail), plain(t.Mass))
}

func kit(k *document.Kit) []byte {
	if k == nil {
		return nil
	}
	return join(" ", plain(k.Title), strong(k.Number))
}

// quantity tells how many, and when: "1, always", "1, if worn, size 32".
func (r *renderer) quantity(n document.Need) []byte {
	when := r.words.Always
	if !n.Always {
		when = n.Only
	}
	return join(", ", fmt.Append(nil, max(n.Count, 1)), plain(when))
}

func (r *renderer) jobMap() {
	r.heading(2, plain(r.words.JobMap))
	var items [][]byte
	for _, line := range r.doc.Map.Text {
		items = append(items, appendEscaped(nil, line, true))
	}
	r.list(items)
}

func (r *renderer) finishes() {
	d, w := r.doc, r.words
	r.heading(2, plain(w.Finishes))
	var t table
	t.head(w.Outcome, w.NextStep, w.Leaves, w.LeftOff, w.LeftOn)
	for _, f := range d.Finishes {
		t.row(link(orDash(f.Title), "#"+f.ID), r.next(f), states(f.Leaves), things(f.Off), things(f.On))
	}
	r.table(&t)
}

// next tells what to do after a finish.
func (r *renderer) next(f *document.Finish) []byte {
	var to []byte
	if f.To != "" {
		to = join(" ", append([]byte("→ "), strong(orDash(f.ToNumber))...), plain(f.ToTitle))
	}
	return join(" ", plain(f.Text), to)
}

func (r *renderer) closeUp() {
	d, w := r.doc, r.words
	if len(d.CloseUp) == 0 {
		return
	}
	r.heading(2, plain(w.CloseUp))
	var items [][]byte
	for _, c := range d.CloseUp {
		line := r.spans(c.Label, inText)
		if c.Count > 1 {
			line = append(line, fmt.Sprintf(" (%d)", c.Count)...)
		}
		line = join(": ", line, plain(c.Kind))
		items = append(items, r.box(join("; ", line, plain(c.Only))))
	}
	r.list(items)
}

func (r *renderer) record() {
	d, w := r.doc, r.words
	if d.Draft {
		return
	}
	r.heading(2, plain(w.Record))
	var t table
	t.head(w.Record, w.Steps, w.Limit, w.Value, w.Who)
	for _, l := range d.Record {
		value := join(" ", []byte(blanks(max(l.Boxes, 1))), plain(l.Unit))
		t.row(join("; ", appendEscaped(nil, l.Label, false), plain(l.Only)), r.stepNumber(l.Step), r.limits(l.Limits, inTable), value,
			join(" ", plain(l.Who), []byte(blank)))
	}
	t.row(plain(w.NotAsWritten), nil, nil, []byte(blank), []byte(blank))
	t.row(plain(w.Signature), nil, nil, []byte(blank), []byte(blank))
	r.table(&t)
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
	r.heading(2, plain(w.Revisions))
	var t table
	t.head(w.Revision, w.Date, w.WhatChanged)
	for _, v := range r.doc.Revisions {
		t.row(strong(v.Revision), plain(v.Date), plain(v.Note))
	}
	r.table(&t)
}
