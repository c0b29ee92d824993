package library

import (
	"strings"

	"benchproof/dsl/source"
)

// A Saying is one text of a library that its documents print: what a translation
// puts other words in the place of. Exactly one of Text and Word is set.
type Saying struct {
	// Of is the declaration that the text stands in, nil for the library's own;
	// Role says what it is there: "title", "step", "answer seat clean".
	Of   Symbol
	Role string
	// At is where it stands.
	At source.Span
	// Text has markup, mentions and quantities; Word has none.
	Text *Text
	Word *string
	// Counted is set for the title of a thing that is met in numbers: it has a
	// plural.
	Counted *Common
}

// Context names the place of a saying by declared names alone, so that it
// outlives steps that come and go: "procedure seal-change step".
func (s *Saying) Context() string {
	switch {
	case s.Role == "person":
		return s.Role // who does or accepts something is the same everywhere
	case s.Of == nil:
		return "library " + s.Role
	}
	return s.Of.Sort() + " " + s.Of.Declared().Name + " " + s.Role
}

// EachSaying visits every text that documents of the library print, in the order
// of the declarations; of procedures in the order of the work. The texts of a
// routine are visited once for each procedure that performs it, as they are
// bound there. What visit writes through the pointers is what documents print.
func (l *Library) EachSaying(visit func(Saying)) {
	w := &sayer{visit: visit, counted: l.countedThings()}
	w.word(nil, "title", l.Place, &l.Title)
	w.word(nil, "owner", l.Place, &l.Owner)
	for _, v := range l.Variants {
		w.title(v)
		for _, m := range v.Members {
			w.word(v, "member "+m.Name, m.Span, &m.Title)
		}
	}
	for _, c := range l.Conditions {
		w.title(c)
		for _, s := range c.States {
			w.word(c, "state "+s.Name, s.Span, &s.Title)
		}
	}
	for _, h := range l.Hazards {
		w.title(h)
		w.word(h, "consequence", h.Span, &h.Consequence)
		w.word(h, "avoid", h.Span, &h.Avoid)
	}
	for _, t := range l.Tools {
		w.common(t, &t.Common)
	}
	for _, k := range l.Kits {
		w.title(k)
		w.word(k, "detail", k.Span, &k.Detail)
	}
	for _, p := range l.Parts {
		w.common(p, &p.Common)
	}
	for _, c := range l.Consumables {
		w.common(c, &c.Common)
	}
	for _, f := range l.Figures {
		w.title(f)
	}
	for _, v := range l.Videos {
		w.title(v)
	}
	for _, p := range l.Procedures {
		w.procedure(p)
	}
	for _, r := range l.Releases {
		if r.Of != nil {
			w.word(r.Of, "withdrawal of revision "+r.Revision, r.Spans["reason"], &r.Reason)
		}
	}
}

type sayer struct {
	visit   func(Saying)
	counted map[Thing]bool
	of      Symbol // the procedure or routine at hand
	done    map[*string]bool
}

func (w *sayer) word(of Symbol, role string, at source.Span, s *string) {
	if strings.TrimSpace(*s) == "" || w.done[s] {
		return
	}
	if w.done == nil {
		w.done = map[*string]bool{}
	}
	w.done[s] = true
	w.visit(Saying{Of: of, Role: role, At: at, Word: s})
}

func (w *sayer) text(role string, t *Text) {
	if len(t.Spans) > 0 {
		w.visit(Saying{Of: w.of, Role: role, At: t.Span, Text: t})
	}
}

func (w *sayer) title(s Symbol) {
	d := s.Declared()
	w.word(s, "title", d.Span, &d.Title)
}

func (w *sayer) common(t Thing, c *Common) {
	if strings.TrimSpace(c.Title) != "" {
		s := Saying{Of: t, Role: "title", At: c.Span, Word: &c.Title}
		if c.Plural != "" || w.counted[t] {
			s.Counted = c
		}
		w.visit(s)
	}
	w.word(t, "detail", c.Span, &c.Detail)
}

func (w *sayer) procedure(p *Procedure) {
	w.title(p)
	w.word(p, "purpose", p.Span, &p.Purpose)
	w.word(nil, "person", p.Span, &p.Skill)
	for i := range p.Revisions {
		r := &p.Revisions[i]
		w.word(p, "revision "+r.Name, r.Span, &r.Note)
	}
	w.of = p
	w.body(p.Body)
	// What is named in the procedure and no step has shown yet.
	for _, r := range p.Readings {
		w.word(p, "reading "+r.Name, r.Span, &r.Title)
	}
}

func (w *sayer) body(list []Flow) {
	for _, f := range list {
		switch f := f.(type) {
		case *Stage:
			w.text("stage", &f.Title)
			w.body(f.Body)
		case *Step:
			w.text("step", &f.Text)
			for _, a := range f.Actions {
				w.action(a)
			}
		case *Decide:
			for _, br := range f.Branches {
				w.text("meaning", &br.Meaning)
				w.body(br.Body)
			}
		case *Repeat:
			w.body(f.Body)
			w.body(f.Otherwise)
		case *Perform:
			outer := w.of
			w.of = f.Routine
			w.title(f.Routine)
			w.body(f.Body)
			w.of = outer
		case *Finish:
			w.text("finish", &f.Text)
		}
	}
}

func (w *sayer) action(a Action) {
	switch a := a.(type) {
	case *Measure:
		w.word(w.of, "reading "+a.Reading.Name, a.Reading.Span, &a.Reading.Title)
	case *Ask:
		q := a.Question
		w.word(w.of, "question "+q.Name, q.Span, &q.Title)
		w.word(w.of, "question "+q.Name+" in short", q.Span, &q.Short)
		w.text("question "+q.Name, &a.Text)
		for _, x := range q.Answers {
			w.word(w.of, "answer "+q.Name+" "+x.Name, x.Span, &x.Title)
		}
	case *Drill:
		w.word(w.of, "hole "+a.Hole.Name, a.Hole.Span, &a.Hole.Title)
	case *Tap:
		w.word(w.of, "hole "+a.Hole.Name, a.Hole.Span, &a.Hole.Title)
	case *Hold:
		w.person(&a.Who)
		w.text("hold", &a.What)
	case *Record:
		w.word(w.of, "record "+a.Record.Name+" in short", a.Record.Span, &a.Record.Title)
		w.text("record "+a.Record.Name, &a.What)
	case *By:
		w.word(nil, "person", a.Span, &a.Who)
	case *Note:
		w.text("note", &a.Text)
	}
}

// person is one who accepts something.
func (w *sayer) person(t *Text) {
	if len(t.Spans) > 0 {
		w.visit(Saying{Role: "person", At: t.Span, Text: t})
	}
}

// countedThings are the things of which several are named at once somewhere.
func (l *Library) countedThings() map[Thing]bool {
	out := map[Thing]bool{}
	note := func(it Item) {
		if it.Count < 2 {
			return
		}
		if it.Column == nil {
			out[it.Thing] = true
			return
		}
		for _, t := range it.Column.Things {
			out[t] = true
		}
	}
	text := func(t *Text) {
		for _, s := range t.Spans {
			if m := s.Mention; m != nil && m.Counted {
				th, _ := m.Symbol.(Thing)
				note(Item{Thing: th, Column: m.Column, Count: m.Count})
			}
		}
	}
	for _, p := range l.Procedures {
		for _, it := range p.BeginsWithout {
			note(it)
		}
		w := &sayer{of: p, visit: func(s Saying) {
			if s.Text != nil {
				text(s.Text)
			}
		}}
		w.body(p.Body)
		eachItem(p.Body, note)
	}
	delete(out, nil)
	return out
}

// eachItem visits what the actions of some statements name in numbers.
func eachItem(list []Flow, visit func(Item)) {
	items := func(list []Item) {
		for _, it := range list {
			visit(it)
		}
	}
	for _, f := range list {
		switch f := f.(type) {
		case *Stage:
			eachItem(f.Body, visit)
		case *Perform:
			eachItem(f.Body, visit)
		case *Repeat:
			eachItem(f.Body, visit)
			eachItem(f.Otherwise, visit)
		case *Decide:
			for _, br := range f.Branches {
				eachItem(br.Body, visit)
			}
		case *Step:
			for _, a := range f.Actions {
				switch a := a.(type) {
				case *Use:
					items(a.Items)
				case *Fit:
					items(a.Items)
				case *FitNew:
					items(a.Items)
				case *Remove:
					items(a.Items)
				case *Refit:
					items(a.Items)
				case *Clamp:
					items(a.Items)
				case *Release:
					items(a.Items)
				case *Lift:
					items(a.Items)
				case *Tighten:
					visit(a.Item)
				case *Heat:
					visit(a.Item)
				}
			}
		}
	}
}
