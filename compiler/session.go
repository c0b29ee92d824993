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
// whatever the changes that led there.
//
// Changes (Edit, Release, Reload) may come while a check runs; it then ends
// with ErrSuperseded. All methods may be called from several goroutines.
type Session struct {
	fsys fs.FS

	mu    sync.RWMutex
	files map[string]*sessionFile
	// generation counts changes; bound is the generation that lib is of.
	generation, bound int
	lib               *library.Library
	bindMessages      []*message.Message
	// figures are the messages on the files of figures; nil: to be judged anew.
	figures  []*message.Message
	figured  bool
	judged   map[*library.Procedure]*judgement
	counters Counters
}

// Counters tell how much a session has done since it began.
type Counters struct {
	Parsed int // files
	Bound  int // declarations: of things all together one, routines, procedures and trials one each
	Judged int // procedures put to paths and rules
	Tried  int // procedures whose trials were run
}

// A sessionFile is one source file of the library.
type sessionFile struct {
	// open: the text is that of an editor and not of the disk.
	open     bool
	text     string
	tree     *syntax.File // nil: to be parsed
	messages []*message.Message
}

// A judgement is what was found of one procedure, kept until something it
// depends on changes.
type judgement struct {
	result   *paths.Result
	messages []*message.Message
	// tried: the trials have been run.
	tried         bool
	trialMessages []*message.Message
}

// NewSession begins with the files of a folder. It fails where the folder
// cannot be read; a folder without source files is an empty library.
func NewSession(fsys fs.FS) (*Session, error) {
	s := &Session{fsys: fsys, files: map[string]*sessionFile{}, generation: 1}
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
	s.files[name] = &sessionFile{text: text, open: open}
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

// update parses and binds what has changed.
func (s *Session) update() {
	if s.bound == s.generation {
		return
	}
	names := make([]string, 0, len(s.files))
	for name, f := range s.files {
		names = append(names, name)
		if f.tree == nil {
			src, ms := syntax.Load([]byte(f.text), name)
			f.tree, f.messages = parse(src), ms
			// What could not be taken as text is a fault of the file it stands in.
			f.tree.Messages = append(f.tree.Messages, ms...)
			s.counters.Parsed++
		}
	}
	slices.Sort(names)
	trees := make([]*syntax.File, len(names))
	for i, name := range names {
		trees[i] = s.files[name].tree
	}
	s.bindMessages = guarded("bind", source.Span{}, func() []*message.Message {
		lib, ms := library.Bind(trees)
		s.lib = lib
		return ms
	})
	s.counters.Bound += len(s.lib.Procedures) + len(s.lib.Routines) + len(s.lib.Trials) + 1
	s.judged = map[*library.Procedure]*judgement{}
	s.figured = false
	s.bound = s.generation
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
	var lib *library.Library
	var generation int
	var first, rest []*library.Procedure
	s.Look(func(v *View) {
		lib, generation = v.Library, s.generation
		for _, p := range lib.Procedures {
			switch {
			case p.Broken || s.judged[p] != nil:
			case slices.Contains(urgent, p.File.Path):
				first = append(first, p)
			default:
				rest = append(rest, p)
			}
		}
	})
	w := &work{s, ctx, generation}
	if err := w.each(first, w.judge); err != nil {
		return err
	}
	if len(rest) > 0 {
		found := map[string][]*message.Message{}
		if err := w.look(func() {
			all := s.gather(false)
			for _, name := range urgent {
				found[name] = all[name]
			}
		}); err != nil {
			return err
		}
		report(found, false)
		if err := w.each(rest, w.judge); err != nil {
			return err
		}
	}
	if err := w.figures(); err != nil {
		return err
	}
	var open []*library.Procedure
	if err := w.look(func() {
		if s.sound() {
			for _, p := range lib.Procedures {
				if j := s.judged[p]; j != nil && !j.tried {
					open = append(open, p)
				}
			}
		}
	}); err != nil {
		return err
	}
	if err := w.each(open, w.try); err != nil {
		return err
	}
	var found map[string][]*message.Message
	if err := w.look(func() { found = s.gather(true) }); err != nil {
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

// each works on procedures on all processors. A change of the library gets in
// between any two of them.
func (w *work) each(list []*library.Procedure, f func(*library.Procedure) func()) error {
	var wg sync.WaitGroup
	next := make(chan *library.Procedure)
	stop := make(chan struct{})
	var once sync.Once
	var failed error
	for range min(len(list), runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			for p := range next {
				var keep func()
				err := w.look(func() { keep = f(p) })
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
	for _, p := range list {
		select {
		case next <- p:
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
func (w *work) judge(p *library.Procedure) (keep func()) {
	j := &judgement{}
	j.messages = guarded("paths of "+p.Name, p.Span, func() []*message.Message {
		j.result = paths.Judge(w.lib, p)
		return append(j.result.Messages, rules.Check(w.lib, p, j.result)...)
	})
	return func() {
		w.judged[p] = j
		w.counters.Judged++
	}
}

// try runs the trials of a procedure.
func (w *work) try(p *library.Procedure) (keep func()) {
	j := w.judged[p]
	var ms []*message.Message
	if j.result != nil {
		ms = guarded("trials of "+p.Name, p.Span, func() []*message.Message {
			_, _, ms := trial.RunAll(w.lib, p, j.result)
			return ms
		})
	}
	return func() {
		j.tried, j.trialMessages = true, ms
		w.counters.Tried++
	}
}

// figures judges the files of figures, where that is not known.
func (w *work) figures() error {
	var ms []*message.Message
	known := false
	if err := w.look(func() {
		if known = w.figured; !known {
			ms = guarded("figures", w.lib.Place, func() []*message.Message { return rules.CheckFigures(w.lib, w.fsys) })
		}
	}); err != nil || known {
		return err
	}
	return w.store(func() { w.Session.figures, w.figured = ms, true })
}

// everything calls f with every list of messages but those of trials.
func (s *Session) everything(f func([]*message.Message)) {
	for _, file := range s.files {
		f(file.tree.Messages)
	}
	f(s.bindMessages)
	f(guarded("declarations", s.lib.Place, func() []*message.Message { return rules.CheckLibrary(s.lib) }))
	f(s.figures)
	for _, j := range s.judged {
		f(j.messages)
	}
}

// sound tells whether trials may run: nothing is an error.
func (s *Session) sound() bool {
	good := true
	s.everything(func(ms []*message.Message) { good = good && !message.HasErrors(ms) })
	if !good {
		return false
	}
	return !message.HasErrors(s.trialValues())
}

func (s *Session) trialValues() []*message.Message {
	return guarded("trial values", s.lib.Place, func() []*message.Message {
		var out []*message.Message
		for _, t := range s.lib.Trials {
			out = append(out, rules.CheckTrialValues(s.lib, t)...)
		}
		return out
	})
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
		if add(s.trialValues()); good {
			for _, p := range s.lib.Procedures {
				if j := s.judged[p]; j != nil && j.tried {
					add(j.trialMessages)
				}
			}
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
