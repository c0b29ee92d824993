// Package message is the one way to say what is wrong with a library.
//
// Input: what a pass found. Output: the same messages, sorted, as text for a
// terminal, as JSON and as SARIF. A message always has a code of the
// catalogue and, except for what concerns the library as a whole, a place.
package message

import (
	"fmt"
	"sort"

	"benchproof/dsl/source"
)

// A Code names a kind of mistake for good: codes are never reused.
type Code string

// Severity says whether a message stops the documents. Ask IsError; the
// values have no order.
type Severity uint8

// The two severities.
const (
	Error Severity = iota + 1
	Warning
)

// String gives the word printed and written to JSON.
func (s Severity) String() string {
	if s == Warning {
		return "warning"
	}
	return "error"
}

// A Message says what was found, where, and what to do.
type Message struct {
	Code     Code
	Severity Severity
	// Text is one clause: lower case, no full stop.
	Text string
	// Span is the exact place.
	Span source.Span
	// Related are other places that matter ("declared here", "fitted here").
	Related []Related
	// Notes are further sentences; the example path of a path error is the
	// first ("when size is s40 and sleeve-diameter is 39.90 mm").
	Notes []string
	// Help says what to do.
	Help string
	// Edits mend the source where one mend is obvious.
	Edits []Edit
	// About is the name that is not declared, or is of a thing that has been
	// replaced, where that is what is wrong: all messages about it have one cause.
	About string
	// Path is the example path of a path error as values a trial can take.
	Path *Path
}

// A Path is a concrete case that leads to a path error: replayed as a trial
// it shows the fault again.
type Path struct {
	Procedure string
	// Values lists members, readings and answers in the order they are met.
	Values []PathValue
}

// A PathValue is what one variant, reading or question is on a path. A
// reading or question met more than once has a value for each taking.
type PathValue struct {
	Name   string
	Values []string
}

// Related is a second place with a word why it matters.
type Related struct {
	Span source.Span
	Text string
}

// An Edit replaces the source under a span.
type Edit struct {
	Span source.Span
	Text string
}

// IsError tells whether the message stops the documents.
func (m *Message) IsError() bool { return m.Severity == Error }

// New makes a message with the severity its code has in the catalogue.
func New(code Code, span source.Span, format string, args ...any) *Message {
	return &Message{Code: code, Severity: SeverityOf(code), Text: fmt.Sprintf(format, args...), Span: span}
}

// Relate adds a related place and returns the message.
func (m *Message) Relate(span source.Span, format string, args ...any) *Message {
	if !span.IsZero() {
		m.Related = append(m.Related, Related{span, fmt.Sprintf(format, args...)})
	}
	return m
}

// Note adds a note and returns the message.
func (m *Message) Note(format string, args ...any) *Message {
	m.Notes = append(m.Notes, fmt.Sprintf(format, args...))
	return m
}

// Helped sets what to do and returns the message.
func (m *Message) Helped(format string, args ...any) *Message {
	m.Help = fmt.Sprintf(format, args...)
	return m
}

// Mend adds an edit and returns the message. A sheet is not edited: its rows are
// mended where it is kept.
func (m *Message) Mend(span source.Span, text string) *Message {
	if span.File != nil && span.File.Sheet != nil {
		return m
	}
	m.Edits = append(m.Edits, Edit{span, text})
	return m
}

// Sort orders messages by file, offset, code and text, and drops repeats.
func Sort(list []*Message) []*Message {
	sort.SliceStable(list, func(i, j int) bool {
		a, b := list[i], list[j]
		if a.Span != b.Span {
			if a.Span.Less(b.Span) {
				return true
			}
			if b.Span.Less(a.Span) {
				return false
			}
		}
		if a.Code != b.Code {
			return a.Code < b.Code
		}
		return a.Text < b.Text
	})
	out := list[:0]
	for i, m := range list {
		if i > 0 && m.Span == list[i-1].Span && m.Code == list[i-1].Code && m.Text == list[i-1].Text {
			continue
		}
		out = append(out, m)
	}
	return out
}

// HasErrors tells whether any message stops the documents.
func HasErrors(list []*Message) bool {
	for _, m := range list {
		if m.IsError() {
			return true
		}
	}
	return false
}
