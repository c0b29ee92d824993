package record

import (
	_ "embed"
	"fmt"
	"io"
	"slices"
	"strings"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"benchproof/dsl/message"
)

// ReportSchema is the JSON Schema of what WriteJSON writes.
//
//go:embed report.schema.json
var ReportSchema []byte

// A Refused file is one that holds no record that can be judged.
type Refused struct {
	File string `json:"file"`
	Word string `json:"word"`
	Text string `json:"text"`
}

// A Batch is what came of several files, each list in the order they were given.
type Batch struct {
	Report  string    `json:"report"`
	Version int       `json:"version"`
	Records []*Report `json:"records"`
	Refused []Refused `json:"refused"`
}

// JudgeFiles reads and judges files.
func (b *Bench) JudgeFiles(files []string) *Batch {
	out := &Batch{Report: "benchproof record report", Version: 1, Records: []*Report{}, Refused: []Refused{}}
	for _, name := range files {
		rec, err := ReadFile(name)
		if r, is := err.(*Refusal); is {
			out.Refused = append(out.Refused, Refused{name, r.Word, message.Printable(r.Text)})
			continue
		}
		out.Records = append(out.Records, b.Judge(name, rec))
	}
	return out
}

// InOrder tells whether there is nothing to look at.
func (b *Batch) InOrder() bool {
	return !slices.ContainsFunc(b.Records, func(r *Report) bool { return !r.InOrder })
}

// WriteJSON writes the batch for programs.
func (b *Batch) WriteJSON(w io.Writer) error {
	data, err := json.Marshal(b, jsontext.WithIndent("  "), json.Deterministic(true))
	if err != nil {
		return err
	}
	_, err = w.Write(append(data, '\n'))
	return err
}

// WriteText writes the batch for people.
func (b *Batch) WriteText(w io.Writer) error {
	var out strings.Builder
	for i, r := range b.Records {
		if i > 0 {
			out.WriteByte('\n')
		}
		r.text(&out)
	}
	if len(b.Records) > 0 && len(b.Refused) > 0 {
		out.WriteByte('\n')
	}
	for _, r := range b.Refused {
		line(&out, "%s: refused, %s: %s", r.File, r.Word, r.Text)
	}
	if len(b.Records)+len(b.Refused) > 1 {
		fine := 0
		for _, r := range b.Records {
			if r.InOrder {
				fine++
			}
		}
		line(&out, "\n%d records: %d in order, %d to look at, %d refused", len(b.Records)+len(b.Refused), fine, len(b.Records)-fine, len(b.Refused))
	}
	_, err := io.WriteString(w, out.String())
	return err
}

// line writes a line in which nothing can move a terminal's cursor.
func line(out *strings.Builder, format string, args ...any) {
	text := fmt.Sprintf(format, args...)
	for strings.HasPrefix(text, "\n") {
		out.WriteByte('\n')
		text = text[1:]
	}
	out.WriteString(message.Printable(strings.ReplaceAll(text, "\n", " ")))
	out.WriteByte('\n')
}

func (r *Report) text(out *strings.Builder) {
	verdict := "to look at"
	if r.InOrder {
		verdict = "in order"
	}
	line(out, "%s: %s", r.File, verdict)
	d := r.Document
	line(out, "  document   %s %s, revision %s of %s, fingerprint %s: %s", d.Number, d.Title, d.Revision, d.Date, d.Fingerprint, r.stands())
	var members []string
	for _, m := range r.Members {
		members = append(members, m.Variant+" "+m.Member)
	}
	job := []string{"order " + or(r.Job.WorkOrder, "–"), "machine " + or(r.Job.Machine, "–"), "by " + or(r.Job.Who, "–")}
	line(out, "  job        %s", strings.Join(append(job, members...), ", "))
	if r.Checked {
		allowed := "allowed as far as it goes"
		switch {
		case !r.Allowed && r.Departure != nil && r.Departure.Step > 0:
			allowed = "LEFT at " + place(r.Departure.Step, r.Departure.Turn)
		case !r.Allowed:
			allowed = "NOT allowed"
		case r.Outcome != nil:
			allowed = "allowed, to " + r.Outcome.Outcome
		}
		line(out, "  way        %s: %s", steps(r.Way), allowed)
	}
	within, outside := 0, 0
	for _, t := range r.Readings {
		switch t.Verdict {
		case "within":
			within++
		case "outside":
			outside++
		}
	}
	line(out, "  readings   %d taken, %d within limits, %d outside", len(r.Readings), within, outside)
	for _, h := range r.Holds {
		by := "NOT accepted"
		if h.Accepted {
			by = "accepted by " + or(h.By, "nobody named") + ", " + h.At
		}
		line(out, "  hold       %s: %s: %s", place(h.Step, h.Turn), h.What, by)
	}
	if r.Checked {
		line(out, "  torques    %d of %d rounds; close-up %d of %d counts", r.Torques.Met, r.Torques.Asked, r.Counts.Met, r.Counts.Asked)
	}
	key := 0
	for _, f := range r.Findings {
		key = max(key, len(f.Key))
	}
	for _, f := range r.Findings {
		line(out, "  %-8s   %-*s  %s", f.Level, key, f.Key, f.Text)
	}
}

func (r *Report) stands() string {
	switch r.Standing {
	case Present:
		return "as the library has it"
	case Older:
		return "an earlier revision, now " + r.Now
	case Changed:
		return "this revision, OTHER SOURCES"
	}
	return "NOT of this library"
}

func or(s, instead string) string {
	if strings.TrimSpace(s) == "" {
		return instead
	}
	return s
}

// steps prints a way: "1–4, 5 (turn 1), 5 (turn 2), 8–12".
func steps(way []Visit) string {
	var parts []string
	for i := 0; i < len(way); i++ {
		v := way[i]
		if v.Turn != "" {
			parts = append(parts, fmt.Sprintf("%d (turn %s)", v.Step, v.Turn))
			continue
		}
		k := i
		for k+1 < len(way) && way[k+1].Turn == "" && way[k+1].Step == way[k].Step+1 {
			k++
		}
		if k > i {
			parts = append(parts, fmt.Sprintf("%d–%d", v.Step, way[k].Step))
		} else {
			parts = append(parts, fmt.Sprint(v.Step))
		}
		i = k
	}
	if len(parts) == 0 {
		return "none"
	}
	return strings.Join(parts, ", ")
}
