package document

import "benchproof/compiler/release"

// standing fills in how the revision stands, the bars beside changed steps, and
// the fingerprint, which is that of the release: equal for documents that say
// the same, whatever the sources look like.
func (l *lowerer) standing() {
	manifest := release.Take(l.lib, l.proc, l.opts.Images)
	l.doc.Fingerprint = manifest.Fingerprint
	s := release.StandingOf(l.lib, l.proc)
	if l.opts.Draft && s.Released != nil {
		// A draft may be made of sources that are not what was released.
		whole := *l.proc
		for _, p := range l.lib.Procedures {
			if p.Name == whole.Name {
				whole.Applies = p.Applies
			}
		}
		if !release.Take(l.lib, &whole, l.opts.Images).Same(s.Released) {
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
	changed := manifest.Changed(l.lib, s.Before)
	for i, bound := range l.sources {
		l.doc.Steps[i].Changed = changed[bound]
	}
	for _, d := range l.doc.Decisions {
		d.Changed = changed[l.decides[d]]
	}
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
