package compiler

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"sync"

	"benchproof/compiler/crew"
	"benchproof/compiler/library"
	"benchproof/compiler/paths"
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
	figures []*message.Message
	figured bool
	// released are the messages on releases, of the last check.
	released []*message.Message
	// translations are the PO files of the folder, loaded what of them is no text,
	// and translated the messages on them, of the last check.
	translations       []*source.File
	loaded, translated []*message.Message
	// sheets are what was made of catalogues, and sheetMessages what came of them.
	sheets        map[*syntax.Thing]expansion
	sheetMessages []*message.Message
	judged        map[*library.Procedure]*judgement
	counters      Counters
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
	s := &Session{fsys: fsys, files: map[string]*sessionFile{}, generation: 1, judged: map[*library.Procedure]*judgement{}, sheets: map[*syntax.Thing]expansion{}}
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
	total := 0
	for _, name := range names {
		onDisk[name] = true
		if f := s.files[name]; f == nil || !f.open {
			if err := s.load(name); err != nil {
				return err
			}
		}
		if total += len(s.files[name].text); total > MaxTotal {
			return ErrTooLarge
		}
	}
	for name, f := range s.files {
		if !f.open && !onDisk[name] {
			delete(s.files, name)
			s.generation++
		}
	}
	s.figured = false
	s.reread()
	return s.reloadTranslations()
}

// reloadTranslations reads the PO files of the folder: an editor has none open.
func (s *Session) reloadTranslations() error {
	read := &Sources{FS: s.fsys}
	if err := read.readTranslations(); err != nil {
		return err
	}
	same := slices.EqualFunc(read.Translations, s.translations, func(a, b *source.File) bool { return a.Path == b.Path && a.Text == b.Text })
	if !same {
		s.translations, s.loaded = read.Translations, read.loaded
		s.generation++
	}
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
	trees, s.sheetMessages = withSheets(trees, s.expand)
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

// expand gives what was made of a catalogue, once for each text of it and of its
// sheet.
func (s *Session) expand(f *syntax.File, d *syntax.Thing) expansion {
	x, known := s.sheets[d]
	if !known {
		x = expand(s.fsys, f, d)
		s.sheets[d] = x
	}
	return x
}

// reread forgets what was made of sheets; where the sheet says the same as before,
// what was made of it stays the same file.
func (s *Session) reread() {
	for d, x := range s.sheets {
		delete(s.sheets, d)
		var now expansion
		for _, f := range s.files {
			if f.tree != nil && x.file != nil && f.tree.Source == x.file.Source.Sheet.By.File {
				now = expand(s.fsys, f.tree, d)
			}
		}
		if now.file == nil {
			continue // its statement is gone
		}
		if len(now.messages) == 0 && len(x.messages) == 0 && now.file.Source.Text == x.file.Source.Text && reflect.DeepEqual(now.file.Source.Sheet.Rows, x.file.Source.Sheet.Rows) {
			now = x
		} else {
			s.generation++
		}
		s.sheets[d] = now
	}
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
	// Until the next check finds them anew.
	s.released, _ = s.binding.Follow(s.released)
	s.translated, _ = s.binding.Follow(s.translated)
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
	_ = crew.Each(context.Background(), len(names), func(i int) {
		f := s.files[names[i]]
		src, ms := syntax.Load([]byte(f.text), f.name)
		f.tree = parse(src)
		// What could not be taken as text is a fault of the file it stands in.
		f.tree.Messages = append(f.tree.Messages, ms...)
	})
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
