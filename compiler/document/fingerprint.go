package document

import (
	"benchproof/compiler/library"
	"benchproof/compiler/release"
	"benchproof/dsl/source"
)

// standing fills in how the revision stands, the bars beside changed steps, and
// the fingerprint, which is that of the release: equal for documents that say
// the same, whatever the sources look like.
func (l *lowerer) standing() {
	lib, proc := l.original()
	manifest := release.Take(lib, proc, l.opts.Images)
	l.doc.Fingerprint = manifest.Fingerprint
	s := release.StandingOf(l.lib, l.proc)
	if l.opts.Draft && s.Released != nil {
		// A draft may be made of sources that are not what was released.
		whole := *proc
		for _, p := range lib.Procedures {
			if p.Name == whole.Name {
				whole.Applies = p.Applies
			}
		}
		if !release.Take(lib, &whole, l.opts.Images).Same(s.Released) {
			s.Released = nil
		}
	}
	said := func(text, who, when string) string { return fill(text, "who", who, "when", l.w.DateText(when)) }
	switch {
	case s.Withdrawn != nil:
		l.doc.Release = Release{State: Withdrawn, By: s.Withdrawn.By, Date: s.Withdrawn.Date, Reason: s.Withdrawn.Reason,
			Text: said(l.w.WithdrawnBy, s.Withdrawn.By, s.Withdrawn.Date)}
	case s.Released != nil:
		l.doc.Release = Release{State: Released, By: s.Released.By, Date: s.Released.Date, Text: said(l.w.ReleasedBy, s.Released.By, s.Released.Date)}
	default:
		l.doc.Release = Release{State: NotReleased, Text: l.w.NotReleased}
	}
	if s.Before == nil {
		return
	}
	l.doc.Release.Bars = fill(l.w.Bars, "revision", s.Before.Revision, "when", l.w.DateText(s.Before.Date))
	changed := map[source.Span]bool{}
	for bound, is := range manifest.Changed(lib, s.Before) {
		changed[bound.At()] = changed[bound.At()] || is
	}
	for _, b := range l.barred {
		*b.changed = changed[b.at]
	}
}

// original gives the library and the procedure as the sources say them: where the
// library at hand is a translation, the one that it is of. A release is over what
// the sources say, in whatever language it is read.
func (l *lowerer) original() (*library.Library, *library.Procedure) {
	if l.opts.Source == nil {
		return l.lib, l.proc
	}
	var members []*library.Member
	for _, v := range l.opts.Source.Variants {
		for _, m := range v.Members {
			for _, x := range l.opts.For {
				if x.Variant.Name == v.Name && x.Name == m.Name {
					members = append(members, m)
				}
			}
		}
	}
	for _, p := range l.opts.Source.Procedures {
		if p.Name == l.proc.Name {
			return l.opts.Source, narrow(p, members)
		}
	}
	return l.lib, l.proc
}

// Barred tells whether nobody may work from a document: it was built in spite of
// errors, or its revision is withdrawn. Then it has nothing to tick or to sign.
func (d *Document) Barred() bool { return d.Draft || d.Release.State == Withdrawn }

// BarredWords are what stands large on every page of a document that is barred,
// and the sentence that explains it.
func (d *Document) BarredWords() (large, note string) {
	w := d.Words
	if w == nil {
		w = English
	}
	if d.Release.State == Withdrawn {
		return w.Withdrawn, w.WithdrawnNote
	}
	return w.NotForWork, w.DraftNote
}
