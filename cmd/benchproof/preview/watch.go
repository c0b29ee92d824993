package preview

import (
	"context"
	"errors"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"time"

	"github.com/fsnotify/fsnotify"

	"benchproof/compiler"
)

const (
	quiet     = 50 * time.Millisecond // without a change, until the library is read
	longest   = time.Second           // that changes may go on before it is read all the same
	lookAgain = 2 * time.Second       // whether the folder is still the same
	mostDirs  = 4096                  // folders watched
	deepest   = 32                    // folders one in another, as deep as a library may be
)

// A watcher hears of changes in a folder and all under it.
type watcher struct {
	notify  *fsnotify.Watcher
	folder  string
	base    string // the folder itself, where the name given is a link to it
	watched map[string]bool
	root    fs.FileInfo // the folder that is watched; nil where it is not there
}

func newWatcher(folder string) (*watcher, error) {
	notify, err := fsnotify.NewWatcher()
	if err != nil {
		return nil, err
	}
	w := &watcher{notify: notify, folder: folder, watched: map[string]bool{}}
	w.spread()
	return w, nil
}

func (w *watcher) close() { _ = w.notify.Close() } // it never fails

// watch takes a new state whenever something of the library changes, until ctx
// is done.
func (s *Server) watch(ctx context.Context) error {
	w := s.watcher
	settled := time.NewTimer(time.Hour)
	settled.Stop()
	var since time.Time // of the first change not read yet
	again := time.NewTicker(lookAgain)
	defer again.Stop()
	changed := func() {
		now := time.Now()
		if since.IsZero() {
			since = now
		}
		settled.Reset(min(quiet, max(0, longest-now.Sub(since))))
	}
	for {
		select {
		case <-ctx.Done():
			return nil
		case e, ok := <-w.notify.Events:
			if !ok {
				return errors.New("the folder is no longer watched")
			}
			if s.matters(e) {
				changed()
			}
		case _, ok := <-w.notify.Errors:
			if !ok {
				return errors.New("the folder is no longer watched")
			}
			// Too many changes at once, and some went unheard: look at all.
			w.forget()
			changed()
		case <-again.C:
			if w.moved() {
				w.forget()
				changed()
			}
		case <-settled.C:
			since = time.Time{}
			w.spread()
			if err := s.rebuild(ctx); err != nil {
				return nil // done
			}
			s.say()
		}
	}
}

// matters tells whether an event can change the documents: that of a source, of
// a figure's file, or of a folder.
func (s *Server) matters(e fsnotify.Event) bool {
	if e.Op == fsnotify.Chmod {
		return false
	}
	name, err := filepath.Rel(s.watcher.base, e.Name)
	if err != nil {
		return true
	}
	if name == "." || strings.HasSuffix(name, compiler.Suffix) {
		return true
	}
	s.mu.Lock()
	figure := s.figures[filepath.ToSlash(name)]
	s.mu.Unlock()
	if figure || slices.Contains([]string{".po", ".csv", ".tsv", ".txt", ".xlsx", ".xlsm"}, strings.ToLower(filepath.Ext(name))) {
		return true // a sheet or a translation, perhaps
	}
	if strings.HasPrefix(filepath.Base(name), ".") {
		return false
	}
	if info, err := os.Lstat(e.Name); err == nil {
		return info.IsDir() && e.Has(fsnotify.Create)
	}
	// It is gone: it may have been a folder with sources in it.
	return filepath.Ext(name) == ""
}

// spread watches the folder and those under it that are not watched yet. What
// cannot be watched is looked at when something else changes.
func (w *watcher) spread() {
	base, err := filepath.EvalSymlinks(w.folder)
	if err != nil {
		w.forget()
		return
	}
	info, err := os.Stat(base)
	if err != nil {
		w.forget()
		return
	}
	w.base, w.root = base, info
	here := map[string]bool{}
	_ = filepath.WalkDir(base, func(p string, d fs.DirEntry, err error) error {
		if err != nil || !d.IsDir() {
			return nil
		}
		name, err := filepath.Rel(base, p)
		if err != nil || len(here) >= mostDirs {
			return fs.SkipAll
		}
		if name != "." && strings.HasPrefix(d.Name(), ".") || strings.Count(name, string(filepath.Separator)) >= deepest {
			return fs.SkipDir
		}
		here[p] = true
		if !w.watched[p] && w.notify.Add(p) != nil {
			delete(here, p)
		}
		return nil
	})
	for p := range w.watched {
		if !here[p] {
			_ = w.notify.Remove(p) // it is gone already
		}
	}
	w.watched = here
}

// forget lets go of all folders, so that spread watches them anew.
func (w *watcher) forget() {
	for p := range w.watched {
		_ = w.notify.Remove(p) // it may be gone already
	}
	w.watched, w.root = map[string]bool{}, nil
}

// moved tells whether another folder stands in the place of the one watched.
func (w *watcher) moved() bool {
	info, err := os.Stat(w.folder)
	if err != nil {
		return w.root != nil
	}
	return w.root == nil || !os.SameFile(info, w.root)
}
