package compiler

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"regexp"
	"runtime"
	"slices"
	"strings"
	"sync"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/rules"
	"benchproof/compiler/trial"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// ErrSuperseded says that a library was changed while it was being checked:
// what was found up to then is kept for the next check.
var ErrSuperseded = errors.New("the library was changed while it was being checked")

// A Session keeps one library checked while it is written. It does again only
// what a change asks for, and finds what Check finds: the same messages,
// whatever the changes that led there. A test holds it to that.
//
// What a change of a file asks for: that file is parsed, its procedures and
// trials are bound, and so is what names a thing that has changed; what was
// bound is judged, and everything where the conditions, hazards, guards or the
// library's own declaration have changed. All else is kept.
//
// Changes (Edit, Release, Reload) may come while a check runs; it then ends
// with ErrSuperseded. All methods may be called from several goroutines.
type Session struct {
	fsys fs.FS

	mu    sync.RWMutex
	files map[string]*sessionFile
	// generation counts changes; bound is the generation that the things and
	// the files edited are of.
	generation, bound int
	binding           *library.Binding
	lib               *library.Library
	// failed is what is told where binding failed by a fault of ours.
	failed []*message.Message
	// closed: nothing is stale, and what can be told only then is told.
	closed bool
	// figures are the messages on the files of figures, once figured.
	figures  []*message.Message
	figured  bool
	judged   map[*library.Procedure]*judgement
	counters Counters
}

// Counters tell how much a session has done since it began.
type Counters struct {
	Parsed int // files
	Things int // times that all things were bound
	Bound  int // procedures and trials bound
	Judged int // procedures put to paths and rules
	Tried  int // procedures whose trials were run
}

// A sessionFile is one source file of the library.
type sessionFile struct {
	name string
	// open: the text is that of an editor and not of the disk.
	open bool
	text string
	tree *syntax.File // nil: to be parsed
}

// A judgement is what was found of one procedure, kept until something it
// depends on changes.
type judgement struct {
	of []*library.Trial // its trials
	// result is nil where the procedure has been bound again since.
	result   *paths.Result
	messages []*message.Message
	// values are the messages on the values of its trials, and trials those of
	// their runs, once tried.
	values []*message.Message
	tried  bool
	trials []*message.Message
}

// NewSession begins with the files of a folder. It fails where the folder
// cannot be read; a folder without source files is an empty library.
func NewSession(fsys fs.FS) (*Session, error) {
	s := &Session{fsys: fsys, files: map[string]*sessionFile{}, generation: 1, judged: map[*library.Procedure]*judgement{}}
	s.restart()
	return s, s.Reload()
}

// Reload reads from the folder again what no editor has open.
func (s *Session) Reload() error {
	names, err := Names(s.fsys)
	if err != nil {
		return err
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	onDisk := make(map[string]bool, len(names))
	for _, name := range names {
		onDisk[name] = true
		if f := s.files[name]; f != nil && f.open {
			continue
		}
		if err := s.load(name); err != nil {
			return err
		}
	}
	for name, f := range s.files {
		if !f.open && !onDisk[name] {
			delete(s.files, name)
			s.generation++
		}
	}
	s.figured = false
	return nil
}

// load takes a file from the folder.
func (s *Session) load(name string) error {
	text, err := readFile(s.fsys, name, syntax.MaxSize)
	if err != nil {
		return fmt.Errorf("cannot read %s: %w", name, plain(err))
	}
	s.put(name, string(text), false)
	return nil
}

func (s *Session) put(name, text string, open bool) {
	f := s.files[name]
	if f != nil && f.text == text {
		f.open = open
		return
	}
	s.files[name] = &sessionFile{name: name, text: text, open: open}
	s.generation++
}

// Edit gives a file the text it has in an editor. The name is a path within
// the library's folder, with forward slashes, and ends in Suffix.
func (s *Session) Edit(name, text string) error {
	if !fs.ValidPath(name) || !strings.HasSuffix(name, Suffix) {
		return fmt.Errorf("%s is no source file of the library", name)
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	s.put(name, text, true)
	return nil
}

// Release takes the text of a file from the folder again; one that the folder
// does not have leaves the library.
func (s *Session) Release(name string) error {
	s.mu.Lock()
	defer s.mu.Unlock()
	err := s.load(name)
	if errors.Is(err, fs.ErrNotExist) {
		delete(s.files, name)
		s.generation++
		return nil
	}
	return err
}

// Counters tells how much has been done so far.
func (s *Session) Counters() Counters {
	s.mu.RLock()
	defer s.mu.RUnlock()
	return s.counters
}

// A View is a library as it is bound: for looking, while the session stands still.
type View struct {
	Library *library.Library
	files   map[string]*sessionFile
	session *Session
}

// File gives the tree of a file, nil where the library has none of that path.
func (v *View) File(name string) *syntax.File {
	if f := v.files[name]; f != nil {
		return f.tree
	}
	return nil
}

// Look brings the library up to date and calls f with it. What f is given must
// not be kept beyond the call.
func (s *Session) Look(f func(*View)) {
	for {
		s.mu.RLock()
		if s.bound == s.generation {
			break
		}
		s.mu.RUnlock()
		s.mu.Lock()
		s.update()
		s.mu.Unlock()
	}
	defer s.mu.RUnlock()
	f(&View{Library: s.lib, files: s.files, session: s})
}

// restart begins to bind from nothing.
func (s *Session) restart() {
	s.binding = library.NewBinding()
	s.lib = s.binding.Library()
	clear(s.judged)
}

// update parses what has changed, binds the things where it must, and the
// procedures and trials of the files that have changed.
func (s *Session) update() {
	if s.bound == s.generation {
		return
	}
	names := make([]string, 0, len(s.files))
	var fresh []string
	now := map[string]bool{} // what is bound at once
	for name, f := range s.files {
		names = append(names, name)
		if f.tree == nil {
			fresh = append(fresh, name)
		}
		if f.open {
			now[name] = true
		}
	}
	slices.Sort(names)
	s.parse(fresh)
	if len(fresh) <= maxFresh {
		for _, name := range fresh {
			now[name] = true
		}
	}
	trees := make([]*syntax.File, len(names))
	for i, name := range names {
		trees[i] = s.files[name].tree
	}
	if s.failed != nil {
		s.restart()
	}
	s.failed = guarded("bind", source.Span{}, func() []*message.Message {
		s.keep(s.binding.Update(trees))
		s.bindFiles(now)
		return nil
	})
	if s.failed != nil {
		s.lib = &library.Library{Files: trees}
		clear(s.judged)
	}
	s.closed = false
	s.bound = s.generation
}

// maxFresh is how many files changed at once are bound before a request is
// answered: more are not typed but read.
const maxFresh = 8

// keep keeps of what was judged what a change leaves as it is.
func (s *Session) keep(c library.Changes) {
	listed := make(map[*library.Procedure]bool, len(s.lib.Procedures))
	for _, p := range s.lib.Procedures {
		listed[p] = true
	}
	for p, j := range s.judged {
		if c.Rules || !listed[p] || s.binding.IsStale(p) || !s.follow(j) || c.Things && j.offersTools() {
			delete(s.judged, p)
		} else if s.binding.IsMoved(p) {
			j.result = nil
		}
	}
	if c.Things {
		s.counters.Things++
		var ok bool
		s.figures, ok = s.binding.Follow(s.figures)
		s.figured = s.figured && !c.Figures && ok
	}
}

// follow brings the places of what was found up to date.
func (s *Session) follow(j *judgement) bool {
	for _, list := range []*[]*message.Message{&j.messages, &j.values, &j.trials} {
		var ok bool
		if *list, ok = s.binding.Follow(*list); !ok {
			return false
		}
	}
	return true
}

// offersTools tells whether what was found may offer a tool, which depends on
// tools that the procedure does not name.
func (j *judgement) offersTools() bool {
	return slices.ContainsFunc(j.messages, func(m *message.Message) bool { return m.Code == "BP303" || m.Code == "BP703" })
}

// bindFiles binds what is stale in some files, and the trials of its procedures.
func (s *Session) bindFiles(names map[string]bool) {
	procedures, _ := s.binding.Stale()
	bind := func(x library.Symbol) {
		stale := s.binding.IsStale(x)
		s.binding.Bind(x)()
		s.wasBound(x, stale)
	}
	for _, p := range procedures {
		if names[p.File.Path] && s.binding.IsStale(p) {
			bind(p)
			for _, other := range s.binding.Awaits(p) {
				bind(other)
			}
		}
	}
	// What stands in a routine is shown as the first procedure has it.
	var shown []*library.Procedure
	for _, r := range s.lib.Routines {
		if p := s.binding.Shows(r); names[r.File.Path] && p != nil && s.binding.IsMoved(p) {
			bind(p)
			shown = append(shown, p)
		}
	}
	_, trials := s.binding.Stale()
	for _, t := range trials {
		if s.binding.Ready(t) && (names[t.Whole.File.Path] || slices.Contains(shown, t.Of)) {
			bind(t)
		}
	}
}

// wasBound forgets what rested on what has been bound anew.
func (s *Session) wasBound(x library.Symbol, stale bool) {
	s.counters.Bound++
	switch x := x.(type) {
	case *library.Procedure:
		if stale {
			delete(s.judged, x)
		}
	case *library.Trial:
		delete(s.judged, x.Of)
	}
}

// trialsOf gives the trials of each procedure.
func (s *Session) trialsOf() map[*library.Procedure][]*library.Trial {
	out := map[*library.Procedure][]*library.Trial{}
	for _, t := range s.lib.Trials {
		out[t.Of] = append(out[t.Of], t)
	}
	return out
}

// parse parses files on all processors.
func (s *Session) parse(names []string) {
	var wg sync.WaitGroup
	next := make(chan *sessionFile)
	for range min(len(names), runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			for f := range next {
				src, ms := syntax.Load([]byte(f.text), f.name)
				f.tree = parse(src)
				// What could not be taken as text is a fault of the file it stands in.
				f.tree.Messages = append(f.tree.Messages, ms...)
			}
		})
	}
	for _, name := range names {
		next <- s.files[name]
	}
	close(next)
	wg.Wait()
	s.counters.Parsed += len(names)
}

// parse parses a file; a fault of ours becomes a message of that file.
func parse(src *source.File) (tree *syntax.File) {
	tree = &syntax.File{Source: src}
	ms := guarded("parse", src.Span(0, 0), func() []*message.Message {
		tree = syntax.Parse(src)
		return nil
	})
	tree.Messages = append(tree.Messages, ms...)
	return tree
}

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
	if len(list) == 0 {
		return nil
	}
	var wg sync.WaitGroup
	next := make(chan T)
	stop := make(chan struct{})
	var once sync.Once
	var failed error
	for range min(len(list), runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			for x := range next {
				var keep func()
				err := w.look(func() { keep = f(x) })
				if err == nil {
					err = w.store(keep)
				}
				if err != nil {
					once.Do(func() { failed = err; close(stop) })
					return
				}
			}
		})
	}
feed:
	for _, x := range list {
		select {
		case next <- x:
		case <-stop:
			break feed
		}
	}
	close(next)
	wg.Wait()
	return failed
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

// everything calls f with every list of messages but those of trials.
func (s *Session) everything(f func([]*message.Message)) {
	for _, file := range s.lib.Files {
		f(file.Messages)
	}
	f(s.failed)
	if s.failed == nil {
		f(s.binding.Messages())
	}
	f(guarded("declarations", s.lib.Place, func() []*message.Message { return rules.CheckLibrary(s.lib) }))
	f(s.figures)
	s.eachJudged(func(j *judgement) { f(j.messages) })
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

// gather sorts the messages by file. Trials speak when nothing else is wrong.
func (s *Session) gather(all bool) map[string][]*message.Message {
	found := map[string][]*message.Message{}
	good := true
	add := func(ms []*message.Message) {
		good = good && !message.HasErrors(ms)
		for _, m := range ms {
			name := ""
			if m.Span.File != nil {
				name = m.Span.File.Path
			}
			found[name] = append(found[name], m)
		}
	}
	s.everything(add)
	if all && good {
		s.eachJudged(func(j *judgement) { add(j.values) })
		if good {
			s.eachJudged(func(j *judgement) { add(j.trials) })
		}
	}
	for name, ms := range found {
		found[name] = message.Sort(ms)
	}
	return found
}

var libraryHead = regexp.MustCompile(`(?m)^\s*library\s*"`)

// Declares tells whether a source file directly in a folder declares a library.
func Declares(fsys fs.FS) bool {
	entries, err := fs.ReadDir(fsys, ".")
	if err != nil {
		return false
	}
	for _, e := range entries {
		if !strings.HasSuffix(e.Name(), Suffix) || !e.Type().IsRegular() {
			continue
		}
		text, err := readFile(fsys, e.Name(), syntax.MaxSize)
		if err != nil {
			continue
		}
		if libraryHead.Match(text) {
			return true
		}
	}
	return false
}
