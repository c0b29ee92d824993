package library

import (
	"slices"
	"strings"

	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// A Released says that somebody has released a revision of a procedure, or
// withdrawn it. Its Decl.Name is "PROCEDURE REVISION"; nothing names it.
type Released struct {
	Decl
	Withdrawn bool
	Of        *Procedure // nil where the library has none of that name
	Revision  string
	// RevisionSpan is where the revision stands in the statement.
	RevisionSpan     source.Span
	By, Date, Reason string
	// Spans are where its properties stand, by key; what was left out is missing.
	Spans map[string]source.Span
	// Method is the number of the way in which the fingerprint was taken, as written.
	Method, Fingerprint string
	Steps               []string // marks
	Over                []Stamp
}

// A Stamp stands for one thing that was released.
type Stamp struct {
	Sort, Name string // Name is empty where there is but one, or where order tells
	Mark       string
}

// bindReleases binds what is released and withdrawn. It names procedures only, so
// it is done anew with every update.
func (b *Binding) bindReleases() {
	w := b.binder()
	for _, r := range b.lib.Releases {
		w.released(r)
		delete(b.stale, r)
	}
	b.released = w.found()
}

func (b *binder) released(r *Released) {
	b.reset(r)
	n := b.nodes[r]
	b.file = n.file
	d := n.decl.(*syntax.Released)
	r.Broken = d.Broken
	r.Revision, r.RevisionSpan = d.Revision.Text, b.at(d.Revision)
	r.Spans = map[string]source.Span{}
	b.once(d.Properties)
	for _, p := range d.Properties {
		if _, twice := r.Spans[p.Key()]; twice {
			continue
		}
		r.Spans[p.Key()] = b.at(p)
		switch p := p.(type) {
		case *syntax.TextProperty:
			text := strings.TrimSpace(textValue(p.Text))
			if p.Key() == "reason" {
				r.Reason = text
			} else {
				r.By = text
			}
		case *syntax.DateProperty:
			r.Date = p.Date.Text
		case *syntax.FingerprintProperty:
			r.Method, r.Fingerprint = p.Method.Text, textValue(p.Text)
		case *syntax.NamesProperty:
			for _, m := range p.Names {
				r.Steps = append(r.Steps, m.Text)
			}
		case *syntax.OverProperty:
			for _, m := range p.Items {
				mark := Stamp{Sort: m.Sort.Text, Mark: m.Mark.Text}
				if m.Name != nil {
					mark.Name = m.Name.Text
				}
				r.Over = append(r.Over, mark)
			}
		}
	}
	s, _ := b.known(d.Of.Text)
	if p, ok := s.(*Procedure); ok {
		r.Of = p
		b.use(p, b.at(d.Of), false)
		return
	}
	if b.isLost(d.Of.Text) {
		r.Broken = true
		return
	}
	m := b.wrong("BP012", b.at(d.Of), "%s is %s, and the library has no procedure of that name", quoted(d.Of.Text), r.Sort())
	var names []string
	for _, p := range b.lib.Procedures {
		names = append(names, p.Name)
	}
	slices.Sort(names)
	if offerNames(m, d.Of.Text, b.at(d.Of), names); m.Help == "" {
		m.Helped("where the procedure has a new name, write it here; where it is gone for good, take the statement away")
	}
}

// ReleasesOf gives what is said of the releases of a procedure, in order.
func (l *Library) ReleasesOf(p *Procedure) (list []*Released) {
	all := Derived(l, func(l *Library) releasesByName {
		out := releasesByName{}
		for _, r := range l.Releases {
			if r.Of != nil && !r.Broken {
				out[r.Of.Name] = append(out[r.Of.Name], r)
			}
		}
		return out
	})
	return all[p.Name]
}

type releasesByName map[string][]*Released
