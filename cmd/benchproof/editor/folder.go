package editor

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"github.com/charmbracelet/x/powernap/pkg/lsp/protocol"

	"benchproof/compiler"
	"benchproof/dsl/message"
)

const (
	// settle is how long a change waits for the next one before the library is
	// checked; settleMost is how long changes can put a check off.
	settle     = 10 * time.Millisecond
	settleMost = 100 * time.Millisecond
)

// A folder is one library that the editor has files of.
type folder struct {
	server  *server
	dir     string
	root    *os.Root
	session *compiler.Session

	wake   chan struct{}
	cancel context.CancelFunc
	done   chan struct{}

	mu sync.Mutex
	// changes counts the checks asked for; answered is how many of them the
	// editor has been told of.
	changes, answered int
	// urgent are the files changed since the last check.
	urgent []string
	// found are the messages of the last check by file.
	found map[string][]*message.Message
	// told is what the editor was last told of each file.
	told map[string]string
}

func newFolder(s *server, dir string) (*folder, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, err
	}
	session, err := compiler.NewSession(root.FS())
	if err != nil {
		root.Close()
		return nil, err
	}
	ctx, cancel := context.WithCancel(s.ctx)
	f := &folder{
		server: s, dir: dir, root: root, session: session, wake: make(chan struct{}, 1), cancel: cancel, done: make(chan struct{}),
		told: map[string]string{},
	}
	go f.run(ctx)
	return f, nil
}

func (f *folder) stop() {
	f.cancel()
	<-f.done
	f.root.Close()
}

// changed asks for a check, of these files first.
func (f *folder) changed(names ...string) {
	f.mu.Lock()
	f.changes++
	for _, name := range names {
		if !slices.Contains(f.urgent, name) {
			f.urgent = append(f.urgent, name)
		}
	}
	f.mu.Unlock()
	select {
	case f.wake <- struct{}{}:
	default:
	}
}

// run checks the library after each change, until the folder is stopped. A
// check that a change overtakes ends, and a new one begins.
func (f *folder) run(ctx context.Context) {
	defer close(f.done)
	for {
		select {
		case <-ctx.Done():
			return
		case <-f.wake:
		}
		f.settle(ctx)
		f.check(ctx)
	}
}

// settle waits until changes come to rest.
func (f *folder) settle(ctx context.Context) {
	most := time.After(settleMost)
	for {
		select {
		case <-ctx.Done():
			return
		case <-most:
			return
		case <-f.wake:
		case <-time.After(settle):
			return
		}
	}
}

func (f *folder) check(ctx context.Context) {
	f.mu.Lock()
	urgent, changes := slices.Clone(f.urgent), f.changes
	f.mu.Unlock()
	versions := f.versions()
	err := f.session.Check(ctx, urgent, func(found map[string][]*message.Message, all bool) {
		if all {
			f.mu.Lock()
			f.urgent = slices.DeleteFunc(f.urgent, func(name string) bool { return slices.Contains(urgent, name) })
			f.mu.Unlock()
		}
		f.tell(found, all, versions)
	})
	if err == nil {
		f.mu.Lock()
		f.answered = changes
		f.mu.Unlock()
	}
	if err != nil && !errors.Is(err, compiler.ErrSuperseded) && ctx.Err() == nil {
		f.server.log(fmt.Sprintf("the library cannot be checked: %v", err))
	}
}

// versions gives the versions of the folder's open files.
func (f *folder) versions() map[string]int32 {
	f.server.mu.Lock()
	defer f.server.mu.Unlock()
	v := map[string]int32{}
	for _, d := range f.server.docs {
		if d.folder == f {
			v[d.name] = d.version
		}
	}
	return v
}

// tell publishes what was found, of each file for which that has changed.
// What was found of a text that the editor has since changed is not told.
func (f *folder) tell(found map[string][]*message.Message, all bool, versions map[string]int32) {
	for name, v := range f.versions() {
		if old, open := versions[name]; open && old != v {
			return
		}
	}
	if nowhere := found[""]; len(nowhere) > 0 {
		// What has no place stands at the top of the first file.
		delete(found, "")
		f.session.Look(func(v *compiler.View) {
			if files := v.Library.Files; len(files) > 0 {
				first := files[0].Source
				for _, m := range nowhere {
					moved := *m
					moved.Span = first.Span(0, 0)
					found[first.Path] = append([]*message.Message{&moved}, found[first.Path]...)
				}
			}
		})
	}
	f.mu.Lock()
	if f.found == nil || all {
		f.found = found
	} else {
		for name, ms := range found {
			f.found[name] = ms
		}
	}
	names := make([]string, 0, len(found)+len(f.told))
	for name := range found {
		names = append(names, name)
	}
	if all {
		for name := range f.told {
			if _, has := found[name]; !has {
				names = append(names, name)
			}
		}
		for name := range versions {
			if _, has := f.told[name]; !has && !slices.Contains(names, name) {
				names = append(names, name) // of an open file it is told that nothing is wrong
			}
		}
	}
	slices.Sort(names)
	pos := positions{}
	var params []protocol.PublishDiagnosticsParams
	for _, name := range names {
		p := protocol.PublishDiagnosticsParams{URI: f.uri(name), Diagnostics: f.diagnostics(found[name], pos), Version: versions[name]}
		text, _ := json.Marshal(p)
		_, open := versions[name]
		if f.told[name] == string(text) {
			continue
		}
		if len(p.Diagnostics) == 0 && !open {
			delete(f.told, name)
		} else {
			f.told[name] = string(text)
		}
		params = append(params, p)
	}
	f.mu.Unlock()
	for _, p := range params {
		f.server.notify("textDocument/publishDiagnostics", p)
	}
}

func (f *folder) uri(name string) protocol.DocumentURI {
	return protocol.URIFromPath(filepath.Join(f.dir, filepath.FromSlash(name)))
}

// A document is a file that is open in the editor.
type document struct {
	folder  *folder
	name    string // path within the library
	version int32
	text    string
}

// nameIn gives the path of a file within a folder, with forward slashes.
func nameIn(dir, path string) (string, bool) {
	name, err := filepath.Rel(dir, path)
	if err != nil || !filepath.IsLocal(name) {
		return "", false
	}
	return filepath.ToSlash(name), true
}

// open gives the folder of the library that a file belongs to, and its path
// within it.
func (s *server) open(path string) (*folder, string, error) {
	if !strings.HasSuffix(path, compiler.Suffix) {
		return nil, "", fmt.Errorf("%s is no source file: those end in %s", filepath.Base(path), compiler.Suffix)
	}
	dir := s.options.Folder
	if dir == "" {
		dir = s.home(filepath.Dir(path))
	}
	name, ok := nameIn(dir, path)
	if !ok {
		return nil, "", fmt.Errorf("%s lies outside the library", filepath.Base(path))
	}
	if f := s.folders[dir]; f != nil {
		return f, name, nil
	}
	f, err := newFolder(s, dir)
	if err != nil {
		return nil, "", fmt.Errorf("the library's folder cannot be read: %w", err)
	}
	s.folders[dir] = f
	return f, name, nil
}

// home finds the folder of the library that a folder lies in: the nearest one,
// going up, with a source file that declares a library; where there is none,
// the outermost folder that the editor has open, or else the folder itself.
// Going up ends at the folders that the editor has open.
func (s *server) home(dir string) string {
	for d := dir; ; d = filepath.Dir(d) {
		if _, known := s.folders[d]; known || declaresLibrary(d) {
			return d
		}
		if slices.Contains(s.roots, d) {
			return d
		}
		if filepath.Dir(d) == d || !s.within(filepath.Dir(d)) {
			break
		}
	}
	return dir
}

// within tells whether a folder lies in one that the editor has open.
func (s *server) within(dir string) bool {
	return slices.ContainsFunc(s.roots, func(root string) bool {
		_, ok := nameIn(root, dir)
		return ok
	})
}

// declaresLibrary tells whether a source file directly in a folder declares a library.
func declaresLibrary(dir string) bool {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return false
	}
	defer root.Close()
	return compiler.Declares(root.FS())
}
