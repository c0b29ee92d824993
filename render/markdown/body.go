package markdown

import (
	"fmt"
	"slices"
	"strconv"
	"strings"

	"benchproof/compiler/document"
)

// blocks writes a piece of the work; level is that of the headings in it.
func (r *renderer) blocks(list []document.Block, level int) {
	for _, b := range list {
		switch b := b.(type) {
		case *document.Stage:
			r.writeStage(b, level)
		case *document.Routine:
			if b.Title != r.stage { // the heading above says it already
				r.heading(min(level, 6), r.plain(b.Title))
			}
			r.blocks(b.Body, level+1)
		case *document.Step:
			r.step(b)
		case *document.Decision:
			r.decision(b, level)
		case *document.Repeat:
			r.repeat(b, level)
		case *document.Until:
			r.paragraph(bar(b.Changed), r.spans(b.Text, atStart|weighty))
			r.footnotes(b.Footnotes)
		case *document.Finish:
			r.finish(b)
		default:
			r.fail(fmt.Errorf("a block of type %T", b))
		}
	}
}

func (r *renderer) writeStage(s *document.Stage, level int) {
	r.heading(min(level, 6), r.anchor(s.ID), bar(s.Changed), r.plain(s.Title))
	if r.doc.Barred() {
		r.barred()
	}
	if len(s.Holds) > 0 {
		var parts [][]byte
		for _, h := range s.Holds {
			parts = append(parts, r.box(r.state(h)))
		}
		r.paragraph(appendEscaped(nil, r.words.MustHoldNow, true), []byte(r.words.Colon()), r.join(" ", parts...))
	}
	outer := r.stage
	r.stage = s.Title
	r.blocks(s.Body, level+1)
	r.stage = outer
}

// bar marks what is not as at the last release.
func bar(changed bool) []byte {
	if changed {
		return []byte("▍")
	}
	return nil
}

func (r *renderer) step(s *document.Step) {
	w := r.words
	mark := len(r.inlines) // what is made here is written here: its slots are given back
	defer func() { r.inlines = r.inlines[:min(mark, len(r.inlines))] }()
	for _, h := range s.Hazards {
		line := r.join(" ", r.signal(h), r.join(". ", r.strong(h.Title), r.join(" ", r.plain(h.Consequence), r.plain(h.Avoid))))
		if marks := r.join(", ", r.signs(h, false), r.signs(h, true)); len(marks) > 0 {
			line = r.join(" ", line, append([]byte("ISO 7010: "), marks...))
		}
		r.quote(line)
	}
	line := append(r.slot(512), r.anchor(s.ID)...)
	line = append(line, bar(s.Changed)...)
	line = append(line, "**"...)
	line = strconv.AppendInt(line, int64(s.Number), 10)
	line = append(line, ".** "...)
	if s.By != "" {
		line = appendWeighted(line, r.plain(s.By), false, []byte(":"))
		line = append(line, r.words.Colon()...)
	}
	line = append(line, r.spans(s.Text, inText)...)
	if s.Time != "" {
		line = append(line, " ("...)
		line = appendEscaped(line, s.Time, false)
		line = append(line, ')')
	}
	r.paragraph(line)

	var items [][]byte
	label := func(word string, value []byte) {
		items = append(items, r.join(r.words.Colon(), r.plain(word), value))
	}
	if len(s.Handled) > 0 {
		label(w.AlsoHandled, r.things(s.Handled))
	}
	for _, d := range s.Details {
		items = append(items, r.spans(d, atStart|weighty))
	}
	for _, n := range s.Notes {
		label(w.Note, r.spans(n, inText))
	}
	for _, f := range s.Figures {
		label(w.Figure, r.figure(f))
	}
	for _, v := range s.Videos {
		label(w.Video, r.video(v))
	}
	for _, b := range s.Boxes {
		items = append(items, r.boxLines(b)...)
	}
	r.list(items)
}

func (r *renderer) figure(f *document.Figure) []byte {
	var marks [][]byte
	for _, m := range f.Marks {
		text := r.plain(m.Label)
		if m.Label == "" && m.Thing != nil {
			text = r.plain(m.Thing.Title)
		}
		if m.Thing != nil && m.Thing.Number != "" {
			text = r.join(" ", text, r.strong(m.Thing.Number))
		}
		marks = append(marks, r.join(" ", fmt.Append(nil, m.Number), text))
	}
	return r.join(", ", r.plain(f.Title), appendCode(nil, f.File, false), r.join(" · ", marks...))
}

func (r *renderer) video(v *document.Video) []byte {
	place := appendCode(nil, v.Link, false)
	if strings.HasPrefix(v.Link, "https://") || strings.HasPrefix(v.Link, "http://") {
		place = r.link(v.Link, v.Link)
	}
	var from []byte
	if v.From != "" || v.To != "" {
		from = r.plain(v.From + "–" + v.To)
	}
	return r.join(", ", r.plain(v.Title), place, from)
}

// ticks is a tick box for each turn that the step may have.
func (r *renderer) ticks(label []byte) []byte {
	if r.doc.Barred() {
		return label
	}
	n := max(r.turns, 1)
	b := r.slot(4*n + len(label))
	for range n {
		b = append(b, "☐ "...)
	}
	return append(b, label...)
}

// boxLines give what the hand does for a box. In a draft nothing can be ticked
// or filled in; what the box says about the work stays.
func (r *renderer) boxLines(box document.Box) [][]byte {
	if b, ok := box.(*document.ReadingBox); ok {
		return r.reading(b.Reading)
	}
	if line := r.boxLine(box); len(line) > 0 {
		return [][]byte{line}
	}
	return nil
}

func (r *renderer) boxLine(box document.Box) []byte {
	w := r.words
	switch b := box.(type) {
	case *document.Tick:
		if r.doc.Barred() && b.Label == w.Done {
			return nil
		}
		return r.ticks(r.plain(b.Label))
	case *document.RoundBox:
		var values [][]byte
		for _, v := range b.Values {
			value := r.strong(v.Text)
			if len(v.Members) > 0 {
				value = r.join(r.words.Colon(), r.plain(members(v.Members)), value)
			}
			values = append(values, value)
		}
		return r.ticks(r.join(r.words.Colon(), r.plain(b.Label), r.join("; ", values...)))
	case *document.AnswerBox:
		var answers [][]byte
		for _, a := range b.Answers {
			answers = append(answers, r.ticks(r.plain(a.Title)))
		}
		separator := " "
		if r.doc.Barred() {
			separator = " / "
		}
		return r.join(" ", appendEscaped(nil, b.Question, true), r.join(separator, answers...))
	case *document.HoldBox:
		return r.join(" ", r.strong(w.HoldPoint), r.join(r.words.Colon(), r.plain(b.What), r.join(" ", r.plain(w.AcceptedBy), r.plain(b.Who), r.room(1))))
	case *document.RecordBox:
		return r.join(r.words.Colon(), appendEscaped(nil, b.Label, true), r.room(max(r.turns, 1)))
	case *document.WaitBox:
		return r.ticks(r.plain(b.Label))
	case *document.StateBox:
		return r.ticks(r.plain(b.Label))
	}
	r.fail(fmt.Errorf("a box of type %T", box))
	return nil
}

// reading gives the boxes of a reading, a line for each turn of a repeat: each
// taking, and the one that counts where there are several; then the limits and
// the instrument.
func (r *renderer) reading(m *document.Reading) [][]byte {
	w := r.words
	unit := m.ScaleText
	if unit == "" {
		unit = m.Unit
	}
	values := r.join(" ", r.room(1), r.plain(unit))
	if m.Boxes > 1 {
		values = r.join(" ", r.room(m.Boxes), r.plain(m.Unit))
		if of := r.of(m.Of); of != "" {
			values = r.join(", ", values, r.join(r.words.Colon(), r.plain(of), r.join(" ", r.room(1), r.plain(unit))))
		}
	}
	var lines [][]byte
	for turn := 1; turn <= max(r.turns, 1); turn++ {
		title := appendEscaped(nil, m.Title, true)
		if r.turns > 1 && !r.doc.Barred() {
			title = r.join(", ", title, fmt.Appendf(nil, "%s %d", w.Reading, turn))
		}
		lines = append(lines, r.join(r.words.Colon(), title, values))
		if r.doc.Barred() {
			break
		}
	}
	var about []byte
	if len(m.Limits) > 0 {
		about = r.join(r.words.Colon(), r.plain(w.Limit), r.limits(m.Limits, inText))
	}
	if m.Instrument != nil {
		about = r.join("; ", about, r.join(", ", r.join(" ", r.plain(w.Instrument), r.thing(m.Instrument, 1)), r.plain(m.RangeText)))
	}
	if len(lines) == 1 {
		lines[0] = r.join("; ", lines[0], about)
	} else if len(about) > 0 {
		lines = append(lines, about)
	}
	return lines
}

// of gives the word for what is made of several takings.
func (r *renderer) of(kind string) string {
	switch kind {
	case "smallest":
		return r.words.Smallest
	case "largest":
		return r.words.Largest
	case "mean":
		return r.words.Mean
	case "":
		return ""
	}
	r.fail(fmt.Errorf("a reading that is the %q of several", kind))
	return ""
}

func (r *renderer) footnotes(list []document.Text) {
	for _, f := range list {
		r.paragraph(r.spans(f, atStart))
	}
}

// memberColumns lists who the branches' limits are for, in order; one empty
// entry where they hold for all alike.
func memberColumns(d *document.Decision) []string {
	var out []string
	seen := map[string]bool{}
	for _, b := range d.Branches {
		for _, l := range b.Limits {
			m := members(l.Members)
			if m != "" && !seen[m] {
				seen[m] = true
				out = append(out, m)
			}
		}
	}
	if len(out) == 0 {
		return []string{""}
	}
	return out
}

// when gives what a branch is taken on, for one of the member columns.
func (r *renderer) when(d *document.Decision, b *document.Branch, column string) []byte {
	switch d.Kind {
	case document.ByReading:
		var parts [][]byte
		for _, l := range b.Limits {
			if m := members(l.Members); m == "" || m == column {
				text := []byte("—")
				if !l.Limits.Impossible {
					text = r.spans(l.Limits.Text, inTable|weighty)
				}
				parts = append(parts, text)
			}
		}
		return r.join(" "+r.words.Or+" ", parts...)
	case document.ByAnswer, document.ByMember:
		var parts [][]byte
		for _, c := range b.Cases {
			parts = append(parts, r.strong(c.Title))
		}
		return r.join(" "+r.words.Or+" ", parts...)
	}
	r.fail(fmt.Errorf("a decision on a %q", d.Kind))
	return nil
}

func (r *renderer) decision(d *document.Decision, level int) {
	w := r.words
	r.paragraph(r.anchor(d.ID), bar(d.Changed), r.strong(d.Title))
	columns := memberColumns(d)
	first := r.plain(w.Answer)
	if d.Kind == document.ByReading {
		first = r.plain(w.Range)
	}
	// A question's answers often say enough: then no column says what they mean.
	says := slices.ContainsFunc(d.Branches, func(b *document.Branch) bool { return b.Meaning != "" })
	var t table
	var head [][]byte
	for _, c := range columns {
		head = append(head, r.join(r.words.Colon(), first, r.plain(c)))
	}
	if says {
		head = append(head, r.plain(w.Meaning))
	}
	t.row(append(head, r.plain(w.GoTo))...)
	for _, b := range d.Branches {
		var cells [][]byte
		for _, c := range columns {
			cells = append(cells, r.when(d, b, c))
		}
		cells[0] = r.choice(cells[0])
		if says {
			cells = append(cells, r.plain(b.Meaning))
		}
		t.row(append(cells, r.target(b.Goes))...)
	}
	r.table(&t)
	r.footnotes(d.Footnotes)
	for _, b := range d.Branches {
		if len(b.Body) == 0 {
			continue
		}
		var parts [][]byte
		for _, c := range columns {
			parts = append(parts, r.join(r.words.Colon(), r.plain(c), r.when(d, b, c)))
		}
		r.paragraph([]byte("▸ "), r.join(" — ", r.join("; ", parts...), r.plain(b.Meaning)))
		r.blocks(b.Body, level)
		if !ends(b.Body) && d.After.Text != "" {
			r.paragraph(r.plain(w.GoOn), []byte(" "), r.target(d.After))
		}
	}
}

// choice puts the box of a branch in front of what it is taken on.
func (r *renderer) choice(cell []byte) []byte {
	if r.doc.Barred() {
		return cell
	}
	return r.ticks(cell)
}

// ends tells whether no way leads out of the end of some blocks.
func ends(list []document.Block) bool {
	if len(list) == 0 {
		return false
	}
	switch b := list[len(list)-1].(type) {
	case *document.Finish:
		return true
	case *document.Routine:
		return ends(b.Body)
	case *document.Stage:
		return ends(b.Body)
	case *document.Decision:
		for _, branch := range b.Branches {
			if !ends(branch.Body) {
				return false
			}
		}
		return len(b.Branches) > 0
	}
	return false
}

func (r *renderer) repeat(p *document.Repeat, level int) {
	w := r.words
	r.paragraph(bar(p.Changed), []byte("↻ "), r.plain(w.RepeatAtMost), fmt.Appendf(nil, " %d ", p.Times), r.plain(w.Times))
	outer := r.turns
	// After the last failed reading the rest of the body is skipped, so what
	// stands behind the until is done once less.
	r.turns = p.Times
	for i, b := range p.Body {
		r.blocks(p.Body[i:i+1], level)
		if _, ok := b.(*document.Until); ok {
			r.turns = max(p.Times-1, 1)
		}
	}
	if n := len(p.Body); n > 0 && !ends(p.Body) {
		if _, last := p.Body[n-1].(*document.Until); !last {
			if again := firstStep(p.Body); again != 0 {
				r.paragraph([]byte("↺ "), r.plain(w.BackTo), []byte(" "), r.ref(again))
			}
		}
	}
	r.turns = outer
	if len(p.Otherwise) > 0 {
		r.paragraph([]byte("▸ "), r.strong(p.LastTurn(w)))
	}
	r.blocks(p.Otherwise, level)
}

// firstStep gives the number of the first step in some blocks; 0: none.
func firstStep(list []document.Block) int {
	for _, b := range list {
		n := 0
		switch b := b.(type) {
		case *document.Step:
			n = b.Number
		case *document.Stage:
			n = firstStep(b.Body)
		case *document.Routine:
			n = firstStep(b.Body)
		case *document.Repeat:
			n = firstStep(b.Body)
		case *document.Decision:
			for _, branch := range b.Branches {
				if n == 0 {
					n = firstStep(branch.Body)
				}
			}
		}
		if n != 0 {
			return n
		}
	}
	return 0
}

func (r *renderer) finish(f *document.Finish) {
	w := r.words
	line := r.join(" ", append([]byte("■ "), r.strong(orDash(f.Title))...), r.next(f))
	label := func(word string, value []byte) {
		if len(value) > 0 {
			line = r.join(" · ", line, r.join(r.words.Colon(), r.plain(word), value))
		}
	}
	label(w.Leaves, r.states(f.Leaves))
	label(w.OffLabel(f), r.things(f.Off))
	label(w.LeftOn, r.things(f.On))
	r.paragraph(r.anchor(f.ID), bar(f.Changed), line)
}
