package record

import (
	"fmt"
	"strings"
	"time"
)

// A mark is what stands in a box at the end.
type mark struct {
	value string
	set   bool
	// first and last are the entries that filled it first and as it is.
	first, last *Entry
	who         string
}

// marks plays the entries in their order and finds where they do not hold
// together: none is ever left out on the page, so each tells what stood there.
func (j *judge) playEntries() {
	var last time.Time
	pausedAt := 0
	again := map[string]bool{}
	for i := range j.rec.Entries {
		e := &j.rec.Entries[i]
		if e.Number != i+1 {
			j.once("entries-gone", Finding{Entry: e.Number}, "entry %d stands where entry %d was expected", e.Number, i+1)
		}
		at := moment(e.At)
		if at.Before(last) {
			j.find("time-backwards", Finding{Step: e.Step, Turn: e.Turn, Box: e.ID, Entry: e.Number}, "%s was entered at %s, before the entry in front of it (%s)", e.name(), e.At, last.Format(layout))
		}
		last = at
		switch {
		case e.Event == longPause:
			pausedAt, again = e.Number, map[string]bool{}
			continue
		case e.Kind == "verified again":
			again[strings.TrimPrefix(e.ID, "again-")] = e.Value == "true"
			continue
		case e.Event == waitStarted:
			j.started[e.ID] = at
			continue
		}
		if pausedAt > 0 && e.Step > 0 {
			j.goneOn(e, pausedAt, again)
			pausedAt = 0
		}
		j.play(e)
	}
	if moment(j.rec.Saved).Before(last) {
		j.find("saved-early", Finding{}, "saved at %s, before its last entry (%s)", j.rec.Saved, last.Format(layout))
	}
	if n := len(j.rec.Entries); n > 0 && j.rec.Document.Date != "" {
		if day, err := time.Parse("2006-01-02", j.rec.Document.Date); err == nil && moment(j.rec.Entries[0].At).Before(day.Add(-24*time.Hour)) {
			j.find("before-issue", Finding{Entry: 1}, "the first entry is of %s, and the document was issued on %s", j.rec.Entries[0].At[:10], j.rec.Document.Date)
		}
	}
	if j.rec.Stopped {
		j.find("stopped", Finding{}, "a value was changed after work was done on it, and nobody said which one holds")
	}
}

// goneOn tells of work that went on after a long pause with a condition not
// verified again.
func (j *judge) goneOn(e *Entry, paused int, again map[string]bool) {
	var left []string
	if j.doc != nil {
		for _, s := range j.doc.Begins {
			if !again[s.Condition] {
				left = append(left, s.ConditionTitle)
			}
		}
	} else if len(again) == 0 {
		left = []string{"nothing"}
	}
	if len(left) > 0 {
		j.find("pause-unverified", Finding{Step: e.Step, Turn: e.Turn, Entry: paused}, "after a long pause (entry %d) the work went on at step %d; not verified again: %s", paused, e.Step, strings.Join(left, ", "))
	}
}

// play takes one entry.
func (j *judge) play(e *Entry) {
	m := j.marks[e.ID]
	if m == nil {
		m = &mark{}
		j.marks[e.ID] = m
	}
	at := Finding{Step: e.Step, Turn: e.Turn, Box: e.ID, Entry: e.Number}
	stood := func(word string) {
		if !m.set || m.value != e.First {
			j.find("first-differs", at, "%s is %s from “%s”, and what stood there was “%s”", e.name(), word, e.First, m.value)
		}
	}
	switch e.Event {
	case entered:
		if m.set && e.Kind != "text" && m.value != e.Value {
			j.find("first-differs", at, "%s is entered as “%s”, and “%s” stood there", e.name(), e.Value, m.value)
		}
		j.set(m, e)
	case changed:
		stood("changed")
		key := "changed"
		if j.late[e.ID] {
			key = "changed-late"
			delete(j.late, e.ID)
		}
		j.find(key, at, "%s was changed from “%s” to “%s” by %s", e.name(), e.First, e.Value, orNobody(e.Who))
		j.set(m, e)
	case takenBack:
		stood("taken back")
		j.find("taken-back", at, "%s, “%s”, was taken back by %s", e.name(), e.First, orNobody(e.Who))
		m.set, m.value = false, ""
	case stopped:
		stood("stopped")
		j.late[e.ID] = true
	case firstHolds:
		if !m.set || m.value != e.Value {
			j.find("first-differs", at, "%s: “%s” is said to hold, and what stood there was “%s”", e.name(), e.Value, m.value)
		}
		j.find("changed-late", at, "%s: another value came after work was done; the first, “%s”, holds", e.name(), e.Value)
		delete(j.late, e.ID)
	}
}

func (j *judge) set(m *mark, e *Entry) {
	m.value, m.set, m.last, m.who = e.Value, e.Value != "", e, e.Who
	if m.first == nil {
		m.first = e
	}
}

// name is an entry as a person finds it.
func (e *Entry) name() string {
	label := e.Label
	if label == "" {
		label = e.ID
	}
	if e.Step == 0 {
		return "“" + short(label) + "”"
	}
	return place(e.Step, e.Turn) + ": “" + short(label) + "”"
}

func place(step int, turn string) string {
	if turn == "" {
		return fmt.Sprintf("step %d", step)
	}
	return fmt.Sprintf("step %d, turn %s", step, turn)
}

func orNobody(who string) string {
	if who == "" {
		return "nobody named"
	}
	return short(who)
}
