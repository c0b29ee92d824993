package document_test

import (
	"fmt"
	"strings"

	"benchproof/compiler/document"
)

// dump writes a document as text that a person can read and compare.
func dump(d *document.Document) string {
	w := &dumper{}
	w.line("document %s %q, %s, revision %s of %s", d.Number, d.Title, d.Name, d.Revision, d.Date)
	w.line("library %q, owner %q, language %s, skill %q", d.Library, d.Owner, d.Language, d.Skill)
	w.line("purpose %q", d.Purpose)
	if len(d.For) > 0 {
		w.line("for %s", chosen(d.For))
	}
	for _, f := range d.AppliesTo {
		w.line("applies to %s %q: %s", f.Variant, f.Title, members(f.Members))
	}
	if d.Time != nil {
		w.line("time %s to %s (%s to %s min)", d.Time.Least, d.Time.Most, d.Time.LeastMinutes, d.Time.MostMinutes)
	}
	if d.Draft {
		w.line("draft: %s", strings.Join(d.Messages, " | "))
	}
	for _, r := range d.Revisions {
		w.line("revision %s %s %q", r.Revision, r.Date, r.Note)
	}
	w.line("begins %s; without %s; ends %s", states(d.Begins), counted(d.BeginsWithout), states(d.Ends))
	for _, i := range d.Isolation {
		w.line("isolation %s, made by %q in step %d, proved with %s by %q in step %d", state(i.State), i.MadeBy, i.MadeStep, thing(i.ProvedWith), i.ProvedBy, i.ProvedStep)
	}
	for _, h := range d.Hazards {
		w.line("hazard %s %q, steps %v%s", h.Hazard.Signal, h.Hazard.Title, h.Steps, when(h.Always, h.Only))
		for _, s := range h.Hazard.Signs {
			w.line("  sign %s %q protective %t", s.Code, s.Referent, s.Protective)
		}
	}
	w.needs("tool", d.Tools)
	w.needs("part", d.Parts)
	w.needs("consumable", d.Consumables)
	for _, k := range d.Kits {
		var holds []string
		for _, t := range k.Holds {
			holds = append(holds, thing(t))
		}
		w.line("kit %s %q: %s", k.Number, k.Title, strings.Join(holds, ", "))
	}
	w.blank()
	w.blocks(d.Body)
	w.blank()
	for _, f := range d.Finishes {
		w.finish(f)
	}
	w.blank()
	for _, c := range d.CloseUp {
		w.line("close-up %s: %d × %s%s", c.Kind, c.Count, text(c.Label), when(c.Only == "", c.Only))
	}
	for _, r := range d.Record {
		w.line("record %s %s, step %d, %q, unit %s, boxes %d, who %q%s", r.Kind, r.Name, r.Step, r.Label, r.Unit, r.Boxes, r.Who, when(r.Only == "", r.Only))
		w.limits("  ", r.Limits)
	}
	w.blank()
	for _, n := range d.Map.Nodes {
		w.line("map %d %s %q %q step %d %s %s", n.ID, n.Kind, n.Label, n.Detail, n.Step, n.Finish, n.Outcome)
	}
	for _, e := range d.Map.Edges {
		back := ""
		if e.Back {
			back = " back"
		}
		w.line("edge %d-%d %q%s", e.From, e.To, e.Label, back)
	}
	for _, t := range d.Map.Text {
		w.line("says %s", t)
	}
	return w.b.String()
}

type dumper struct {
	b      strings.Builder
	indent int
}

func (w *dumper) line(format string, args ...any) {
	line := strings.Repeat("  ", w.indent) + fmt.Sprintf(format, args...)
	w.b.WriteString(strings.ReplaceAll(strings.TrimRight(line, " "), "\u00a0", "~"))
	w.b.WriteByte('\n')
}

func (w *dumper) blank() { w.b.WriteByte('\n') }

func (w *dumper) needs(kind string, list []document.Need) {
	for _, n := range list {
		box := ""
		if n.Kit != nil {
			box = ", in " + n.Kit.Number
		}
		fresh := ""
		if n.New {
			fresh = ", new"
		}
		w.line("%s %s %s × %d, for %q, steps %v%s%s%s", kind, thing(n.Thing), n.Thing.Detail, n.Count, n.For, n.Steps, when(n.Always, n.Only), box, fresh)
	}
}

func (w *dumper) blocks(list []document.Block) {
	for _, b := range list {
		switch b := b.(type) {
		case *document.Stage:
			w.line("stage %d %s %q, steps %d to %d, holds %s", b.Number, b.ID, b.Title, b.First, b.Last, states(b.Holds))
			w.under(b.Body)
		case *document.Routine:
			w.line("routine %s %q", b.Name, b.Title)
			w.under(b.Body)
		case *document.Step:
			w.step(b)
		case *document.Decision:
			w.line("decision %s by %s on %s %q, after: %s", b.ID, b.Kind, b.On, b.Title, target(b.After))
			for _, br := range b.Branches {
				accept := ""
				if br.Accept {
					accept = " accept"
				}
				w.line("branch %d%s %s %q goes to %s", br.Number, accept, members(br.Cases), br.Meaning, target(br.Goes))
				w.limits("  ", br.Limits)
				w.under(br.Body)
			}
			for _, f := range b.Footnotes {
				w.line("footnote %s", text(f))
			}
		case *document.Repeat:
			w.line("repeat %s at most %d, then %s, else %s", b.ID, b.Times, target(b.OnSuccess), target(b.OnFailure))
			w.under(b.Body)
			w.line("otherwise")
			w.under(b.Otherwise)
		case *document.Until:
			w.line("until %s: %s", b.On, text(b.Text))
			w.limits("  ", b.Limits)
			for _, f := range b.Footnotes {
				w.line("footnote %s", text(f))
			}
		case *document.Finish:
			w.line("finish %s", b.ID)
		}
	}
}

func (w *dumper) under(list []document.Block) {
	w.indent++
	w.blocks(list)
	w.indent--
}

func (w *dumper) limits(indent string, list []document.MemberLimits) {
	for _, m := range list {
		impossible := ""
		if m.Limits.Impossible {
			impossible = " impossible"
		}
		open := func(o bool) string {
			if o {
				return " open"
			}
			return ""
		}
		w.line("%slimits %s: %s [%s%s, %s%s]%s", indent, chosen(m.Members), text(m.Limits.Text), m.Limits.Low, open(m.Limits.LowOpen), m.Limits.High, open(m.Limits.HighOpen), impossible)
	}
}

func (w *dumper) step(s *document.Step) {
	w.line("%d. %s", s.Number, text(s.Text))
	w.indent++
	for _, h := range s.Hazards {
		w.line("carries %s", h.Name)
	}
	if s.By != "" {
		w.line("by %q", s.By)
	}
	if len(s.Handled) > 0 {
		w.line("also %s", counted(s.Handled))
	}
	for _, t := range s.Details {
		w.line("detail %s", text(t))
	}
	for _, t := range s.Notes {
		w.line("note %s", text(t))
	}
	for _, f := range s.Figures {
		w.line("figure %s %q %s %s %d × %d, %d bytes", f.Name, f.Title, f.File, f.Format, f.Width, f.Height, len(f.Data))
		for _, m := range f.Marks {
			w.line("  mark %d at %d, %d: %q %s", m.Number, m.X, m.Y, m.Label, thing(m.Thing))
		}
	}
	for _, v := range s.Videos {
		w.line("video %s %q %s %s to %s", v.Name, v.Title, v.Link, v.From, v.To)
	}
	for _, b := range s.Boxes {
		w.box(b)
	}
	if s.Time != "" {
		w.line("time %s", s.Time)
	}
	for _, a := range s.Allow {
		w.line("allow %s", a)
	}
	w.indent--
}

func (w *dumper) box(b document.Box) {
	switch b := b.(type) {
	case *document.Tick:
		w.line("[ ] %s %q", b.ID, b.Label)
	case *document.ReadingBox:
		r := b.Reading
		w.line("[ ] reading %s %q %s of %d, %s; %s to %s step %s origin %s; %q %q, steps %v", r.Name, r.Title, r.Of, r.Boxes, r.Unit, r.From, r.To, r.Step, r.Origin, r.ScaleText, r.RangeText, r.Steps)
		w.limits("    ", r.Limits)
	case *document.RoundBox:
		final := ""
		if b.Final {
			final = " final"
		}
		w.line("[ ] %s %q %s%s", b.ID, b.Label, memberValues(b.Values), final)
	case *document.AnswerBox:
		w.line("[ ] answer %s %q: %s", b.Name, b.Question, members(b.Answers))
	case *document.HoldBox:
		w.line("[ ] %s %q by %q", b.ID, b.What, b.Who)
	case *document.RecordBox:
		w.line("[ ] record %s %q", b.Name, b.Label)
	case *document.WaitBox:
		w.line("[ ] %s %s s %q %q", b.ID, b.Seconds, b.Text, b.Label)
	case *document.StateBox:
		w.line("[ ] %s %s verified %t with %s %q", b.ID, state(b.State), b.Verified, thing(b.With), b.Label)
	default:
		w.line("[ ] %T", b)
	}
}

func (w *dumper) finish(f *document.Finish) {
	implied := ""
	if f.Implied {
		implied = ", implied"
	}
	w.line("finish %s %s %q %q%s", f.ID, f.Outcome, f.Title, f.Text, implied)
	if f.To != "" {
		w.line("  to %s %q %s", f.To, f.ToTitle, f.ToNumber)
	}
	w.line("  leaves %s; off %s; on %s", states(f.Leaves), counted(f.Off), counted(f.On))
}

// text writes spans: [value], {number}, <link>, *strong* and so on.
func text(t document.Text) string {
	var b strings.Builder
	for _, s := range t {
		switch s.Kind {
		case document.Plain:
			b.WriteString(s.Text)
		case document.Strong:
			b.WriteString("**" + s.Text + "**")
		case document.Emphasis:
			b.WriteString("_" + s.Text + "_")
		case document.Code:
			b.WriteString("`" + s.Text + "`")
		case document.Link:
			b.WriteString("<" + s.Text + " " + s.Href + ">")
		case document.ID:
			b.WriteString("{" + s.Text + "}")
		case document.Value:
			b.WriteString("[" + s.Text + "]")
		case document.Mark:
			b.WriteString(s.Text)
		case document.StepRef:
			b.WriteString(fmt.Sprintf("<%s #%d>", s.Text, s.Step))
		case document.FinishRef:
			b.WriteString("<" + s.Text + " #" + s.Finish + ">")
		default:
			b.WriteString("?" + string(s.Kind))
		}
	}
	return b.String()
}

func target(t document.Target) string {
	switch {
	case t.Step != 0:
		return fmt.Sprintf("%q #%d", t.Text, t.Step)
	case t.Finish != "":
		return fmt.Sprintf("%q #%s", t.Text, t.Finish)
	case t.Decision != "":
		return fmt.Sprintf("%q #%s", t.Text, t.Decision)
	}
	return fmt.Sprintf("%q", t.Text)
}

func when(always bool, only string) string {
	switch {
	case always:
		return ""
	case only == "":
		return ", only ?"
	}
	return ", only " + only
}

func chosen(list []document.Chosen) string {
	if len(list) == 0 {
		return "all"
	}
	var out []string
	for _, c := range list {
		out = append(out, c.Variant+"="+c.Member)
	}
	return strings.Join(out, " ")
}

func members(list []document.Member) string {
	var out []string
	for _, m := range list {
		out = append(out, fmt.Sprintf("%s %q", m.Name, m.Title))
	}
	return strings.Join(out, ", ")
}

func memberValues(list []document.MemberValue) string {
	var out []string
	for _, v := range list {
		out = append(out, chosen(v.Members)+": "+v.Text)
	}
	return strings.Join(out, "; ")
}

func state(s document.State) string { return s.Condition + " " + s.State }

func states(list []document.State) string {
	var out []string
	for _, s := range list {
		out = append(out, state(s))
	}
	return "(" + strings.Join(out, ", ") + ")"
}

func counted(list []document.Counted) string {
	var out []string
	for _, c := range list {
		text := fmt.Sprintf("%d × %s", c.Count, thing(c.Thing))
		if c.Only != "" {
			text += " only " + c.Only
		}
		out = append(out, text)
	}
	return "(" + strings.Join(out, ", ") + ")"
}

func thing(t *document.Thing) string {
	if t == nil {
		return "-"
	}
	return t.Title + " " + t.Number
}
