package rules

import (
	"strings"

	"benchproof/compiler/library"
	"benchproof/dsl/message"
)

// A finding is the same fault for one or more combinations of members, with
// the words it has for each.
type finding struct {
	key   any
	who   []library.Assignment
	words []string
	first any // what the first one was found with
}

// findings keeps faults in the order they were found.
type findings struct {
	list  []*finding
	byKey map[any]*finding
}

// add notes a fault for a combination of members.
func (f *findings) add(key any, a library.Assignment, first any, words string) {
	if x := f.byKey[key]; x != nil {
		x.who, x.words = append(x.who, a), append(x.words, words)
		return
	}
	if f.byKey == nil {
		f.byKey = map[any]*finding{}
	}
	x := &finding{key, []library.Assignment{a}, []string{words}, first}
	f.byKey[key] = x
	f.list = append(f.list, x)
}

// called names a combination of members: s40, or s40 with dn80.
func called(a library.Assignment) string {
	names := make([]string, len(a))
	for i, m := range a {
		names[i] = m.Name
	}
	return strings.Join(names, " with ")
}

// text gives the words of a finding: those of the first member, and for whom.
func (f *finding) text() string {
	if len(f.who[0]) == 0 {
		return f.words[0]
	}
	who := []string{called(f.who[0])}
	for i := 1; i < len(f.who); i++ {
		if f.words[i] == f.words[0] {
			who = append(who, called(f.who[i]))
		}
	}
	return f.words[0] + ", for " + listed(who, "and")
}

// mostNotes bounds how many members with words of their own are listed.
const mostNotes = 5

// noted adds the members for whom the words differ.
func (f *finding) noted(m *message.Message) *message.Message {
	n := 0
	for i := 1; i < len(f.who); i++ {
		if f.words[i] == f.words[0] {
			continue
		}
		if n++; n > mostNotes {
			m.Note("and so for others")
			break
		}
		m.Note("for %s: %s", called(f.who[i]), f.words[i])
	}
	return m
}
