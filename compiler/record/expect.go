package record

import (
	"slices"
	"strconv"
	"strings"

	"benchproof/compiler/document"
)

// A box is one box of the page as the document has it.
type box struct {
	id, kind, label string
	missing         string // the key where it is empty; empty: it may stay so
	reading         *document.Reading
	answers         []document.Member
	torque, role    string
	count           int
	seconds         string // of a wait
	step            int
	turn            string
}

// boxesOf gives the boxes of a step in one turn.
func (j *judge) boxesOf(s *document.Step, turn string) []box {
	var out []box
	for _, b := range s.Boxes {
		x := box{id: s.BoxID(b, turn), kind: "tick", missing: "tick-missing", step: s.Number, turn: turn}
		switch b := b.(type) {
		case *document.Tick:
			x.label = b.Label
		case *document.StateBox:
			x.label = b.Label
		case *document.WaitBox:
			x.label, x.seconds = b.Label, b.Seconds
		case *document.RoundBox:
			x.kind, x.missing = "torque", "torque-missing"
			x.label, x.torque = j.round(b)
		case *document.HoldBox:
			x.kind, x.missing, x.label, x.role = "hold", "hold-open", b.What+" – "+b.Who, b.Who
			name := x
			name.id, name.kind, name.missing = x.id+"-name", "text", ""
			name.label, name.role = j.doc.Words.AcceptedBy+" ("+j.doc.Words.Name+")", ""
			out = append(out, x)
			x = name
		case *document.RecordBox:
			x.kind, x.missing, x.label = "text", "record-missing", b.Label
		case *document.AnswerBox:
			x.kind, x.missing, x.label, x.answers = "answer", "answer-missing", b.Question, b.Answers
		case *document.ReadingBox:
			n := max(1, b.Reading.Boxes)
			x.kind, x.missing, x.reading = "reading", "reading-missing", b.Reading
			for i := 1; i <= n; i++ {
				cell := x
				cell.id += "-" + strconv.Itoa(i)
				if cell.label = b.Reading.Title; n > 1 {
					cell.label += " " + strconv.Itoa(i)
				}
				out = append(out, cell)
			}
			continue
		}
		out = append(out, x)
	}
	return out
}

// round gives the label of a torque round as the page has it, and the value
// for the members at hand.
func (j *judge) round(b *document.RoundBox) (label, torque string) {
	label = b.Label + ": "
	var own []string
	for _, v := range b.Values {
		if len(v.Members) == 0 {
			label += v.Text
			own = append(own, v.Text)
			continue
		}
		var titles []string
		for _, m := range v.Members {
			titles = append(titles, m.MemberTitle)
		}
		label += strings.Join(titles, ", ") + ": " + v.Text + " "
		if j.isFor(v.Members) {
			own = append(own, v.Text)
		}
	}
	return label, strings.Join(own, ", ")
}

// isFor tells whether something is for the members at hand: of each family that
// is named, one of the members named.
func (j *judge) isFor(list []document.Chosen) bool {
	for _, c := range list {
		if !slices.ContainsFunc(list, func(o document.Chosen) bool {
			return o.Variant == c.Variant && j.members[c.Variant] == o.Member
		}) {
			return false
		}
	}
	return true
}

// around gives the boxes that stand outside the steps and have to be filled.
func (j *judge) around() []box {
	d, w := j.doc, j.doc.Words
	out := []box{{id: "nameplate", kind: "tick", label: w.NameplateCheck, missing: "nameplate"}}
	for _, s := range d.Begins {
		out = append(out, box{id: "begins-" + s.Condition, kind: "tick", label: s.ConditionTitle + " " + s.StateTitle, missing: "begins-missing"})
	}
	if len(d.BeginsWithout) > 0 {
		out = append(out, box{id: "begins-without", kind: "tick", label: "what is not on the machine", missing: "begins-missing"})
	}
	for _, n := range d.Tools {
		if !n.Thing.Instrument {
			continue
		}
		missing := ""
		if slices.ContainsFunc(n.Steps, func(s int) bool { return j.visited[s] }) {
			missing = "instrument-missing"
		}
		for _, f := range [...]struct{ id, title string }{{"serial-", w.SerialNumber}, {"calibrated-", w.Calibrated}} {
			out = append(out, box{id: f.id + n.Thing.Name, kind: "text", label: f.title + ", " + n.Thing.Title, missing: missing})
		}
	}
	ended := j.end != nil
	serviceable := ended && j.end.Outcome == "serviceable"
	for i, c := range d.CloseUp {
		x := box{id: "close-" + strconv.Itoa(i+1), kind: "count", label: c.Label.String(), count: c.Count}
		if serviceable && (c.Only == "" || j.applies(c)) {
			x.missing = "close-up"
		}
		out = append(out, x)
	}
	for _, f := range [...]struct{ id, title string }{{"signature", w.Signature}, {"checked", w.Checked}} {
		x := box{id: f.id, kind: "text", label: f.title + ", " + w.Name}
		if ended {
			x.missing = "signature"
		}
		out = append(out, x)
	}
	out = append(out, box{id: "not-as-written", kind: "text", label: w.NotAsWritten})
	for _, f := range d.AppliesTo {
		if len(f.Members) > 1 {
			out = append(out, box{id: "member-" + f.Variant, kind: "member", label: f.Title, answers: f.Members})
		}
	}
	return out
}

// applies tells whether a line of the close-up that holds on some ways only
// holds on this one: the proof engine says what was fitted and used.
func (j *judge) applies(c document.CloseUp) bool {
	if j.trace == nil {
		return false
	}
	for _, s := range c.Label {
		if s.Thing == nil {
			continue
		}
		for thing, n := range j.trace.Fitted {
			if n > 0 && thing.Declared().Name == s.Thing.Name {
				return true
			}
		}
		for thing, used := range j.trace.Used {
			if used && c.Kind == "tool off" && thing.Declared().Name == s.Thing.Name {
				return true
			}
		}
	}
	return false
}

// plainText brings texts of a page and of a document into one form: a page
// keeps numbers and units together with spaces that do not break.
func plainText(s string) string {
	return strings.Join(strings.Fields(strings.Map(func(r rune) rune {
		switch r {
		case '\u00a0', '\u2009', '\u202f':
			return ' '
		}
		return r
	}, s)), " ")
}

// compare holds an entry to the box that it was made in.
func (j *judge) compare(e *Entry, b *box) {
	at := Finding{Step: b.step, Turn: b.turn, Box: b.id, Entry: e.Number}
	kind := b.kind
	if j.rec.Version == FirstVersion && (kind == "torque" || kind == "hold" || kind == "count") {
		kind = "tick"
	}
	if e.Kind != kind || e.Step != b.step || e.Turn != b.turn {
		j.find("entry-strange", at, "entry %d of %s is of the kind %s at %s; the document has a %s at %s", e.Number, b.id, e.Kind, place(e.Step, e.Turn), kind, place(b.step, b.turn))
		return
	}
	if b.kind == "tick" || b.kind == "torque" || b.kind == "hold" || b.kind == "count" {
		if v := e.Value; e.Event != takenBack && e.Event != waitStarted && v != "true" {
			j.find("entry-strange", at, "entry %d of %s is “%s”, and a tick is true", e.Number, b.id, short(v))
		}
	}
	sameWords := j.rec.Document.Language == "" || j.rec.Document.Language == j.doc.Language
	if j.rec.Version == FirstVersion {
		if b.step > 0 && sameWords && plainText(e.Label) != plainText(b.label) {
			key := map[string]string{"torque": "torque-differs", "hold": "hold-differs"}[b.kind]
			if key == "" {
				key = "label-differs"
			}
			j.find(key, at, "%s: the record has “%s”, the document “%s”", place(b.step, b.turn), short(e.Label), short(b.label))
		}
		return
	}
	switch {
	case b.kind == "torque" && sameWords && plainText(e.Torque) != plainText(b.torque):
		j.find("torque-differs", at, "%s: the record has a torque of %s, the document %s", place(b.step, b.turn), short(plainText(e.Torque)), plainText(b.torque))
	case b.kind == "count" && e.Count != b.count:
		j.find("count-differs", at, "close-up, %s: the record counts %d, the document %d", b.label, e.Count, b.count)
	case b.kind == "hold" && sameWords && plainText(e.Role) != plainText(b.role):
		j.find("hold-differs", at, "%s: the record has the hold point accepted by “%s”, the document by “%s”", place(b.step, b.turn), short(e.Role), b.role)
	case b.step > 0 && sameWords && plainText(e.Label) != plainText(b.label):
		j.find("label-differs", at, "%s: the record has “%s”, the document “%s”", place(b.step, b.turn), short(e.Label), short(b.label))
	}
	if b.reading == nil {
		return
	}
	if want := j.acting(b.reading.Limits); !sameLimits(e.Limits, want) {
		j.find("limits-differ", at, "%s: the record has %s as limits of %s, the document %s", place(b.step, b.turn), e.Limits.Words(), b.reading.Title, want.Words())
	}
	number := ""
	if b.reading.Instrument != nil {
		number = b.reading.Instrument.Number
	}
	if e.Instrument != number || e.Unit != b.reading.Unit {
		j.find("instrument-differs", at, "%s: the record has %s read in %s with %s, the document in %s with %s", place(b.step, b.turn), b.reading.Title, short(e.Unit), short(e.Instrument), b.reading.Unit, number)
	}
}
