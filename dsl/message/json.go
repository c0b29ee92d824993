package message

import (
	"bytes"
	"encoding/json"
	"io"
	"unicode/utf8"

	"benchproof/dsl/source"
)

// A Report is a message as programs read it. Lines and columns count from
// one, columns in characters; where a message concerns the library as a whole,
// File is empty and they are zero. Lists are empty, never null.
type Report struct {
	Code      Code   `json:"code"`
	Severity  string `json:"severity"` // error or warning
	Message   string `json:"message"`
	File      string `json:"file"` // relative to the library's folder, with /
	Line      int    `json:"line"`
	Column    int    `json:"column"`
	EndLine   int    `json:"endLine"`
	EndColumn int    `json:"endColumn"`
	// Cell is the place in a sheet, Tools!C14 or C14; Line is then the row and
	// Column the number of the column.
	Cell    string          `json:"cell,omitempty"`
	Related []ReportRelated `json:"related"`
	Notes   []string        `json:"notes"`
	Help    string          `json:"help"`
	Edits   []ReportEdit    `json:"edits"`
}

// ReportRelated is a second place.
type ReportRelated struct {
	File    string `json:"file"`
	Line    int    `json:"line"`
	Column  int    `json:"column"`
	Message string `json:"message"`
}

// ReportEdit replaces the bytes from Start up to End of a file, a byte-order
// mark counted like all others.
type ReportEdit struct {
	File  string `json:"file"`
	Start int    `json:"start"`
	End   int    `json:"end"`
	Text  string `json:"text"`
}

// Reports gives messages as programs read them, in the same order.
func Reports(list []*Message) []Report {
	out := make([]Report, 0, len(list))
	for _, m := range list {
		r := Report{
			Code: m.Code, Severity: m.Severity.String(), Message: m.Text, Help: m.Help,
			Related: []ReportRelated{}, Notes: append([]string{}, m.Notes...), Edits: []ReportEdit{},
		}
		r.File, r.Line, r.Column = where(m.Span)
		if !m.Span.IsZero() {
			_, _, r.EndLine, r.EndColumn = m.Span.Place()
			r.Cell = cellName(m.Span)
		}
		for _, x := range m.Related {
			file, line, column := where(x.Span)
			r.Related = append(r.Related, ReportRelated{file, line, column, x.Text})
		}
		for _, e := range m.Edits {
			file, _, _ := where(e.Span)
			r.Edits = append(r.Edits, ReportEdit{file, mark(e.Span) + e.Span.Start, mark(e.Span) + e.Span.End, e.Text})
		}
		out = append(out, r)
	}
	return out
}

func mark(s source.Span) int {
	if s.IsZero() {
		return 0
	}
	return s.File.Mark
}

func where(s source.Span) (file string, line, column int) {
	if s.IsZero() {
		return "", 0, 0
	}
	line, column, _, _ = s.Place()
	return s.File.Real(), line, column
}

// cellName gives the place of a span in its sheet, empty where it is in none.
func cellName(s source.Span) string {
	c, ok := s.Cell()
	if ok && s.File.Sheet.Tab != "" {
		return s.File.Sheet.Tab + "!" + c.Name
	}
	return c.Name
}

// WriteJSON writes messages as an array of Reports; no message is `[]`.
func WriteJSON(w io.Writer, list []*Message) error {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(Reports(list)); err != nil {
		return err
	}
	_, err := w.Write(escapeControls(b.Bytes()))
	return err
}

// escapeControls writes the control characters that JSON allows in a string as
// escapes, since the output may be looked at in a terminal. Outside strings
// there are none.
func escapeControls(text []byte) []byte {
	const hex = "0123456789abcdef"
	out := text[:0:0]
	for i := 0; i < len(text); {
		r, size := utf8.DecodeRune(text[i:])
		if r >= 0x7f && r < 0x2070 && visible(r) != string(r) {
			out = append(out, '\\', 'u', hex[r>>12&15], hex[r>>8&15], hex[r>>4&15], hex[r&15])
		} else {
			out = append(out, text[i:i+size]...)
		}
		i += size
	}
	return out
}
