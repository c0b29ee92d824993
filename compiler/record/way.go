package record

import (
	"fmt"
	"slices"
	"strings"
	"time"

	"benchproof/compiler/document"
	"benchproof/compiler/quantity"
)

// touched tells whether a visit has any entry, lacks what it still wants.
func (j *judge) touched(v visit) bool {
	return slices.ContainsFunc(v.boxes, func(b box) bool { return j.filled(b.id) })
}

func (j *judge) filled(id string) bool {
	m := j.marks[id]
	return m != nil && m.set
}

func (j *judge) lacks(v visit) (out []box) {
	for _, b := range v.boxes {
		if b.missing != "" && !j.filled(b.id) {
			out = append(out, b)
		}
	}
	return out
}

// gaps finds what was left out on the way. What lies behind the last entry of
// a job that says itself that it goes on is not left out yet.
func (j *judge) gaps() {
	last := -1
	for i, v := range j.visits {
		if j.touched(v) {
			last = i
		}
	}
	off := j.offPath()
	if j.rec.Outcome != nil || off {
		last = len(j.visits)
	}
	stands := false
	for i, v := range j.visits {
		left := j.lacks(v)
		j.rep.Way = append(j.rep.Way, Visit{v.step.Number, v.turn, len(left) == 0})
		if len(left) == 0 || stands {
			continue
		}
		at := Finding{Step: v.step.Number, Turn: v.turn}
		switch {
		case i > last, i == last && !off:
			stands = true
			j.find("unfinished", at, "the work stands at %s", place(v.step.Number, v.turn))
		case !j.touched(v):
			j.find("step-skipped", at, "%s has no entry: %s", place(v.step.Number, v.turn), short(words(v.step)))
			j.depart()
		default:
			for _, b := range left {
				at.Box = b.id
				j.find(b.missing, at, "%s: “%s” is empty", place(v.step.Number, v.turn), b.label)
			}
			j.depart()
		}
	}
	if j.end == nil && !stands && !off {
		j.find("unfinished", Finding{}, "the work has come to no finish")
	}
	if stands || j.end == nil {
		// A claim of a finish is compared below.
		j.rep.Outcome = nil
	}
}

// depart notes where the way is left first: the finding told last.
func (j *judge) depart() {
	if n := len(j.rep.Findings); j.rep.Departure == nil && n > 0 {
		f := j.rep.Findings[n-1]
		j.rep.Departure = &f
	}
}

// words are the text of a step.
func words(s *document.Step) string { return s.Text.String() }

// onWay gives the boxes of the way by ID.
func (j *judge) onWay() map[string]*box {
	out := map[string]*box{}
	for i := range j.visits {
		for k := range j.visits[i].boxes {
			b := &j.visits[i].boxes[k]
			out[b.id] = b
		}
	}
	return out
}

// offPath tells whether a step has entries that the way does not come to.
func (j *judge) offPath() bool {
	way := j.onWay()
	return slices.ContainsFunc(j.rec.Entries, func(e Entry) bool {
		return e.Step > 0 && way[e.ID] == nil && j.filled(e.ID)
	})
}

// strays holds each entry to its box, and finds those that the way does not
// come to.
func (j *judge) strays() {
	way := j.onWay()
	outside := map[string]*box{}
	around := j.around()
	for i := range around {
		outside[around[i].id] = &around[i]
	}
	type group struct {
		reason string
		after  int
		at     Finding
		places []string
	}
	var groups []*group
	seen := map[string]bool{}
	for i := range j.rec.Entries {
		e := &j.rec.Entries[i]
		if e.Kind == "verified again" || e.Event == longPause {
			continue
		}
		if b := way[e.ID]; b != nil {
			j.compare(e, b)
			continue
		}
		if b := outside[e.ID]; b != nil && e.Step == 0 {
			j.compare(e, b)
			continue
		}
		at := Finding{Step: e.Step, Turn: e.Turn, Box: e.ID, Entry: e.Number}
		s := j.step(e.Step)
		if s == nil || !slices.ContainsFunc(j.boxesOf(s, e.Turn), func(b box) bool { return b.id == e.ID }) {
			j.find("entry-strange", at, "entry %d is of a box %s, which the document does not have: %s", e.Number, short(e.ID), e.name())
			continue
		}
		where := place(e.Step, e.Turn)
		if !j.filled(e.ID) || seen[where] {
			continue // entered and taken back, or told
		}
		seen[where] = true
		reason, after := j.why(e)
		k := slices.IndexFunc(groups, func(g *group) bool { return g.reason == reason })
		if k < 0 {
			at.Box = ""
			k = len(groups)
			groups = append(groups, &group{reason: reason, after: after, at: at})
		}
		groups[k].places = append(groups[k].places, where)
	}
	for _, g := range groups {
		verb := "has"
		if len(g.places) > 1 {
			verb = "have"
		}
		places := g.places
		if n := len(places); n > 6 {
			places = append(slices.Clone(places[:3]), "…", places[n-1])
		}
		j.find("off-path", g.at, "%s: %s %s entries, and the way does not come there", g.reason, strings.Join(places, ", "), verb)
		// Where a choice leads away, what is empty behind it follows from that.
		if d := j.rep.Departure; d == nil || j.visitOf(d.Step, d.Turn) >= g.after {
			j.rep.Departure = nil
			j.depart()
		}
	}
}

func (j *judge) step(number int) *document.Step {
	if number < 1 || number > len(j.doc.Steps) {
		return nil
	}
	return j.doc.Steps[number-1]
}

// visitOf is the place of a step on the way.
func (j *judge) visitOf(step int, turn string) int {
	return slices.IndexFunc(j.visits, func(v visit) bool { return v.step.Number == step && v.turn == turn })
}

// why tells at which choice the way turned away from an entry, and how many
// visits stand before it.
func (j *judge) why(e *Entry) (string, int) {
	for _, c := range j.choices {
		if holdsStep(c.aside, e.Step) || c.repeat != nil && holdsStep(c.repeat.Body, e.Step) && strings.HasPrefix(e.Turn, turnKey(c.outer)) {
			return c.text, c.after
		}
	}
	if w := j.want; w != nil {
		return place(w.step, w.turn) + " decides, and its value is missing", len(j.visits)
	}
	if j.end == nil {
		return "the way cannot be followed further", len(j.visits)
	}
	if n := len(j.choices); n > 0 {
		c := j.choices[n-1]
		return c.text + ", and the job finishes there, " + j.end.Outcome, c.after
	}
	return "the job finishes before, " + j.end.Outcome, len(j.visits)
}

// inOrder looks whether each step was done before the next was begun, and
// whether waits had time to pass.
func (j *judge) inOrder() {
	var list []worked
	var before time.Time
	for _, v := range j.visits {
		w := worked{place: place(v.step.Number, v.turn), at: Finding{Step: v.step.Number, Turn: v.turn}}
		for _, b := range v.boxes {
			m := j.marks[b.id]
			if m == nil || m.first == nil || b.missing == "" {
				continue
			}
			n := m.first.Number
			if w.begun == 0 || n < w.begun {
				w.begun = n
			}
			w.done = max(w.done, n)
			if b.seconds != "" {
				j.waited(&b, m, before)
			}
		}
		for _, b := range v.boxes {
			if m := j.marks[b.id]; m != nil && m.first != nil && b.missing != "" {
				if t := moment(m.first.At); t.After(before) {
					before = t
				}
			}
		}
		if w.begun > 0 {
			list = append(list, w)
		}
	}
	for _, f := range outOfOrder(list) {
		j.find("order", f.at, "%s", f.text)
	}
}

// A worked step has the numbers of its first and last entry.
type worked struct {
	place       string
	at          Finding
	begun, done int
}

type misplaced struct {
	at   Finding
	text string
}

// outOfOrder finds the fewest steps without which each is done before the next is
// begun, and says of each how it stands to the others: one that was done late is one
// finding, and what lies between does not hide another. Of two that changed places
// it is the later.
func outOfOrder(list []worked) (out []misplaced) {
	most := 0
	for _, w := range list {
		most = max(most, w.done)
	}
	// The longest chain to each step, found by a tree of prefix maxima over the
	// numbers of entries (Fenwick, 1994): chain[i] is how long it is, back[i] the
	// step before. In a node stands the step that ends the longest, the first of
	// several.
	chain, back := make([]int, len(list)), make([]int, len(list))
	tree := make([]int, most+1) // indexes into list, plus one
	better := func(a, b int) int {
		if a == 0 || b != 0 && (chain[b-1] > chain[a-1] || chain[b-1] == chain[a-1] && b < a) {
			return b
		}
		return a
	}
	last := 0
	for i, w := range list {
		best := 0
		for n := w.begun; n > 0; n -= n & -n {
			best = better(best, tree[n])
		}
		back[i] = best - 1
		chain[i] = 1
		if best > 0 {
			chain[i] += chain[best-1]
		}
		for n := w.done; n <= most; n += n & -n {
			tree[n] = better(tree[n], i+1)
		}
		last = better(last, i+1)
	}
	kept := make([]bool, len(list))
	for i := last - 1; i >= 0; i = back[i] {
		kept[i] = true
	}
	// Of those kept, the one before each place, and the one behind it.
	behind := make([]int, len(list))
	for i, next := len(list)-1, -1; i >= 0; i-- {
		if behind[i] = next; kept[i] {
			next = i
		}
	}
	before := -1
	for i, w := range list {
		if kept[i] {
			before = i
			continue
		}
		at := w.at
		if before >= 0 && list[before].done > w.begun {
			at.Entry = w.begun
			out = append(out, misplaced{at, fmt.Sprintf("%s was begun (entry %d) before %s was done (entry %d)", w.place, w.begun, list[before].place, list[before].done)})
			continue
		}
		if k := behind[i]; k >= 0 {
			at.Entry = w.done
			out = append(out, misplaced{at, fmt.Sprintf("%s was done (entry %d) after %s was begun (entry %d)", w.place, w.done, list[k].place, list[k].begun)})
		}
	}
	return out
}

// waited looks whether a wait can have passed: since its clock was started, or
// since the last entry of the steps before.
func (j *judge) waited(b *box, m *mark, before time.Time) {
	from, clock := j.started[b.id]
	if !clock {
		from = before
	}
	seconds, ok := exactNumber(b.seconds)
	if !ok || from.IsZero() {
		return
	}
	passed := moment(m.last.At).Sub(from)
	// Ticked before what stands in front of it, it is out of order: that is told.
	if passed >= 0 && quantity.NewFrac(int64(passed/time.Millisecond), 1000).Cmp(seconds) < 0 {
		j.find("wait-short", Finding{Step: b.step, Turn: b.turn, Box: b.id, Entry: m.last.Number}, "%s: “%s” was ticked %s after the entry before it", place(b.step, b.turn), b.label, passed.Round(time.Second))
	}
}

// ends compares the finish that the record names with where its values lead.
func (j *judge) ends() {
	claim, came := j.rec.Outcome, j.rep.Outcome
	switch {
	case claim == nil && came == nil:
	case claim == nil && j.rec.Version == FirstVersion && j.end != nil && j.end.Implied:
		// The first version named no finish where the work runs off its end.
	case claim == nil:
		j.find("outcome", Finding{}, "the record names no finish, and its values lead to %s", came.Outcome)
	case came == nil:
		j.find("outcome", Finding{}, "the record names the finish %s, and its values lead to none", claim.Outcome)
	case *claim != *came:
		j.find("outcome", Finding{}, "the record names the finish %s (%s), and its values lead to %s (%s)", claim.Outcome, short(claim.Finish), came.Outcome, came.Finish)
	}
}

// stands counts hold points and torques, and finds what is missing beside the
// steps.
func (j *judge) stands() {
	for _, v := range j.visits {
		for _, b := range v.boxes {
			switch b.kind {
			case "hold":
				h := Held{Step: b.step, Turn: b.turn, What: b.label, Role: b.role, Accepted: j.filled(b.id)}
				if m := j.marks[b.id+"-name"]; m != nil {
					h.By = m.value
				}
				if h.Accepted {
					h.At = j.marks[b.id].last.At
					if strings.TrimSpace(h.By) == "" {
						j.find("hold-unnamed", Finding{Step: b.step, Turn: b.turn, Box: b.id}, "%s: “%s” is ticked, and the name of who accepted it is missing", place(b.step, b.turn), b.label)
					}
				}
				j.rep.Holds = append(j.rep.Holds, h)
			case "torque":
				j.rep.Torques.Asked++
				if j.filled(b.id) {
					j.rep.Torques.Met++
				}
			}
		}
	}
	for _, b := range j.around() {
		if b.kind == "count" && b.missing != "" {
			j.rep.Counts.Asked++
			if j.filled(b.id) {
				j.rep.Counts.Met++
			}
		}
		if b.missing == "" || j.filled(b.id) {
			continue
		}
		text := b.label
		if b.count > 1 {
			text = quantity.NewInt(int64(b.count)).String() + " × " + text
		}
		j.find(b.missing, Finding{Box: b.id}, "“%s” is empty", text)
	}
	for _, f := range j.doc.AppliesTo {
		if m := j.marks["member-"+f.Variant]; m != nil && m.set && m.value != j.members[f.Variant] {
			j.find("member", Finding{Box: "member-" + f.Variant}, "the record is for %s, and “%s” was chosen on the page", short(j.members[f.Variant]), short(m.value))
		}
	}
	if j.rec.Job.NameplateAgrees != j.filled("nameplate") {
		j.find("entry-strange", Finding{Box: "nameplate"}, "the record says of the nameplate what its entries do not")
	}
	bad := []string{"step-skipped", "off-path", "no-branch", "outcome", "proof-differs", "reading-bad", "answer-strange", "entry-strange"}
	j.rep.Allowed = j.rep.Departure == nil && !slices.ContainsFunc(j.rep.Findings, func(f Finding) bool { return slices.Contains(bad, f.Key) })
}
