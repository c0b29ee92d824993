package compiler

import (
	"benchproof/compiler/crew"
	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/rules"
	"benchproof/compiler/trial"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"context"
	"slices"
)

// Check finds all that can be known of the library as it now is and reports
// the messages of every file, sorted, by path; messages without a place stand
// under the empty path. Where much has to be done, what is found of the urgent
// files is reported before the rest is looked at; all tells which of the two a
// report is. Check ends early with the error of the context, or with
// ErrSuperseded.
func (s *Session) Check(ctx context.Context, urgent []string, report func(found map[string][]*message.Message, all bool)) error {
	w := &work{Session: s, ctx: ctx}
	s.Look(func(*View) { w.generation, w.of = s.generation, s.trialsOf() })
	first, rest := w.unjudged(urgent)
	if err := w.judgeAll(first); err != nil {
		return err
	}
	procedures, trials := w.stale()
	if len(procedures)+len(trials)+len(rest) > 0 && len(urgent) > 0 {
		found := map[string][]*message.Message{}
		if err := w.store(func() {
			all := s.gather(false)
			for _, name := range urgent {
				found[name] = all[name]
			}
		}); err != nil {
			return err
		}
		report(found, false)
	}
	if err := each(w, procedures, w.bind); err != nil {
		return err
	}
	if err := w.bindTrials(); err != nil {
		return err
	}
	if err := w.store(w.close); err != nil {
		return err
	}
	_, rest = w.unjudged(nil)
	if err := w.judgeAll(rest); err != nil {
		return err
	}
	if err := w.judgeFigures(); err != nil {
		return err
	}
	if err := w.judgeReleases(); err != nil {
		return err
	}
	if err := w.judgeTranslations(); err != nil {
		return err
	}
	var open, again []*library.Procedure
	if err := w.look(func() {
		if s.sound() {
			for _, p := range s.lib.Procedures {
				if j := s.judged[p]; j != nil && !j.tried {
					open = append(open, p)
					if j.result == nil {
						again = append(again, p)
					}
				}
			}
		}
	}); err != nil {
		return err
	}
	if err := w.judgeAll(again); err != nil {
		return err
	}
	if err := each(w, open, w.try); err != nil {
		return err
	}
	var found map[string][]*message.Message
	if err := w.store(func() { found = s.gather(true) }); err != nil {
		return err
	}
	report(found, true)
	return nil
}

// work is one check of one generation.
type work struct {
	*Session
	ctx        context.Context
	generation int
	of         map[*library.Procedure][]*library.Trial
}

// look calls f while the session stands still, unless it has been changed.
func (w *work) look(f func()) error {
	if err := w.ctx.Err(); err != nil {
		return err
	}
	w.mu.RLock()
	defer w.mu.RUnlock()
	if w.Session.generation != w.generation {
		return ErrSuperseded
	}
	f()
	return nil
}

// unjudged gives the procedures that can be judged and are not: those of some
// files, and the others.
func (w *work) unjudged(urgent []string) (first, rest []*library.Procedure) {
	_ = w.look(func() {
		for _, p := range w.lib.Procedures {
			switch {
			case p.Broken || w.judged[p] != nil || w.binding.IsStale(p):
			case slices.Contains(urgent, p.File.Path) && len(w.binding.Awaits(p)) == 0:
				first = append(first, p)
			default:
				rest = append(rest, p)
			}
		}
	})
	return first, rest
}

// judgeAll judges procedures, after those are bound again whose places have moved.
func (w *work) judgeAll(list []*library.Procedure) error {
	var moved []*library.Procedure
	if err := w.look(func() {
		for _, p := range list {
			if w.binding.IsMoved(p) {
				moved = append(moved, p)
			}
		}
	}); err != nil {
		return err
	}
	if err := each(w, moved, w.bind); err != nil {
		return err
	}
	if err := w.bindTrials(); err != nil {
		return err
	}
	return each(w, list, w.judge)
}

func (w *work) stale() (procedures []*library.Procedure, trials []*library.Trial) {
	_ = w.look(func() { procedures, trials = w.binding.Stale() })
	return procedures, trials
}

// bindTrials binds the trials that are stale and whose procedures are not.
func (w *work) bindTrials() error {
	_, trials := w.stale()
	_ = w.look(func() {
		trials = slices.DeleteFunc(trials, func(t *library.Trial) bool { return !w.binding.Ready(t) })
	})
	return each(w, trials, w.bind)
}

// bind binds a procedure or trial.
func (w *work) bind(x library.Symbol) (keep func()) {
	var bound func()
	ms := guarded("bind", x.Declared().Span, func() []*message.Message {
		bound = w.binding.Bind(x)
		return nil
	})
	return func() {
		if ms != nil {
			w.failed = append(w.failed, ms...)
			return
		}
		stale := w.binding.IsStale(x)
		bound()
		w.wasBound(x, stale)
	}
}

// close tells what can be told only when nothing is stale.
func (w *work) close() {
	if w.closed || w.failed != nil {
		return
	}
	w.failed = guarded("bind", source.Span{}, func() []*message.Message {
		w.binding.Close()
		return nil
	})
	// A trial that has gone was judged with its procedure's others.
	trials := w.trialsOf()
	for p, j := range w.judged {
		if !slices.Equal(j.of, trials[p]) {
			delete(w.judged, p)
		}
	}
	w.of = trials
	w.closed = true
}

// each works on a list on all processors. A change of the library gets in
// between any two pieces of work.
func each[T library.Symbol](w *work, list []T, f func(library.Symbol) func()) error {
	ctx, stop := context.WithCancelCause(context.Background())
	defer stop(nil)
	_ = crew.Each(ctx, len(list), func(i int) {
		var keep func()
		err := w.look(func() { keep = f(list[i]) })
		if err == nil {
			err = w.store(keep)
		}
		if err != nil {
			stop(err)
		}
	})
	return context.Cause(ctx)
}

// store keeps what was found, unless the session has been changed meanwhile.
func (w *work) store(keep func()) error {
	w.mu.Lock()
	defer w.mu.Unlock()
	if w.Session.generation != w.generation {
		return ErrSuperseded
	}
	keep()
	return nil
}

// judge puts a procedure to paths and rules.
func (w *work) judge(x library.Symbol) (keep func()) {
	p := x.(*library.Procedure)
	j := &judgement{of: w.of[p]}
	j.messages = guarded("paths of "+p.Name, p.Span, func() []*message.Message {
		j.result = paths.Judge(w.lib, p)
		return append(j.result.Messages, rules.Check(w.lib, p, j.result)...)
	})
	j.values = guarded("trial values of "+p.Name, p.Span, func() (out []*message.Message) {
		for _, t := range j.of {
			out = append(out, rules.CheckTrialValues(w.lib, t)...)
		}
		return out
	})
	return func() {
		w.judged[p] = j
		w.counters.Judged++
	}
}

// try runs the trials of a procedure.
func (w *work) try(x library.Symbol) (keep func()) {
	p := x.(*library.Procedure)
	j := w.judged[p]
	var ms []*message.Message
	if j.result != nil {
		ms = guarded("trials of "+p.Name, p.Span, func() []*message.Message {
			_, _, ms := trial.RunAll(w.lib, p, j.result)
			return ms
		})
	}
	return func() {
		j.tried, j.trials = true, ms
		w.counters.Tried++
	}
}

// judgeFigures judges the files of figures, where that is not known.
func (w *work) judgeFigures() error {
	var ms []*message.Message
	known := false
	if err := w.look(func() {
		if known = w.figured; !known {
			ms = guarded("figures", w.lib.Place, func() []*message.Message { return rules.CheckFigures(w.lib, w.fsys) })
		}
	}); err != nil || known {
		return err
	}
	return w.store(func() { w.figures, w.figured = ms, true })
}

// judgeReleases holds procedures against their releases.
func (w *work) judgeReleases() error {
	var ms []*message.Message
	if err := w.look(func() {
		image := func(path string) ([]byte, error) { return readFile(w.fsys, path, maxFigure) }
		ms = guarded("releases", w.lib.Place, func() []*message.Message { return rules.CheckReleases(w.lib, image, "") })
	}); err != nil {
		return err
	}
	return w.store(func() { w.released = ms })
}

// judgeTranslations holds the PO files against the texts, where the declarations
// hold together.
func (w *work) judgeTranslations() error {
	var moved []*library.Procedure
	sound := true
	if err := w.look(func() {
		w.declarations(func(ms []*message.Message) { sound = sound && !message.HasErrors(ms) })
		if sound && len(w.translations) > 0 {
			// Their messages show where a text stands.
			for _, p := range w.lib.Procedures {
				if w.binding.IsMoved(p) {
					moved = append(moved, p)
				}
			}
		}
	}); err != nil {
		return err
	}
	if err := each(w, moved, w.bind); err != nil {
		return err
	}
	var ms []*message.Message
	if err := w.look(func() {
		if sound {
			ms = guarded("translations", w.lib.Place, func() []*message.Message { return checkTranslations(w.lib, w.translations, w.loaded) })
		}
	}); err != nil {
		return err
	}
	return w.store(func() { w.translated = ms })
}

// everything calls f with every list of messages but those of trials.
func (s *Session) everything(f func([]*message.Message)) {
	s.declarations(f)
	f(s.figures)
	f(s.released)
	f(s.translated)
	s.eachJudged(func(j *judgement) { f(j.messages) })
}

// declarations calls f with the messages on whether the declarations hold together.
func (s *Session) declarations(f func([]*message.Message)) {
	for _, file := range s.lib.Files {
		if file.Source.Sheet == nil {
			f(file.Messages)
		}
	}
	f(s.sheetMessages)
	f(s.failed)
	if s.failed == nil {
		f(s.binding.Messages())
	}
	f(guarded("declarations", s.lib.Place, func() []*message.Message { return rules.CheckLibrary(s.lib) }))
}

// eachJudged calls f for what was found of each procedure, in order: of one
// fault of a routine that several show, the first tells.
func (s *Session) eachJudged(f func(*judgement)) {
	for _, p := range s.lib.Procedures {
		if j := s.judged[p]; j != nil {
			f(j)
		}
	}
}

// sound tells whether trials may run: nothing is an error.
func (s *Session) sound() bool {
	good := true
	look := func(ms []*message.Message) { good = good && !message.HasErrors(ms) }
	s.everything(look)
	s.eachJudged(func(j *judgement) { look(j.values) })
	return good
}

// atStatement gives a message about a cell the place of the catalogue that reads
// it, for those who look at source files only; the text then tells the cell.
func atStatement(m *message.Message) *message.Message {
	in := func(s source.Span) bool { return s.File != nil && s.File.Sheet != nil }
	if !in(m.Span) && !slices.ContainsFunc(m.Related, func(r message.Related) bool { return in(r.Span) }) {
		return m
	}
	now := *m
	if in(m.Span) {
		now.Text = m.Span.File.Path + message.Cell(m.Span) + ": " + m.Text
		now.Span = m.Span.File.Sheet.By
	}
	now.Related = nil
	for _, r := range m.Related {
		if in(r.Span) {
			r.Text = r.Span.File.Path + message.Cell(r.Span) + ": " + r.Text
			r.Span = r.Span.File.Sheet.By
		}
		now.Related = append(now.Related, r)
	}
	return &now
}

// gather sorts the messages by file.
func (s *Session) gather(all bool) map[string][]*message.Message {
	found := map[string][]*message.Message{}
	s.eachMessage(all, func(ms []*message.Message) {
		for _, m := range ms {
			m = atStatement(m)
			name := ""
			if m.Span.File != nil {
				name = m.Span.File.Path
			}
			found[name] = append(found[name], m)
		}
	})
	for name, ms := range found {
		found[name] = message.Sort(ms)
	}
	return found
}

// eachMessage calls f with every list of messages. Trials speak when nothing else is
// wrong.
func (s *Session) eachMessage(all bool, f func([]*message.Message)) {
	good := true
	add := func(ms []*message.Message) {
		good = good && !message.HasErrors(ms)
		f(ms)
	}
	s.everything(add)
	if all && good {
		s.eachJudged(func(j *judgement) { add(j.values) })
		if good {
			s.eachJudged(func(j *judgement) { add(j.trials) })
		}
	}
}
