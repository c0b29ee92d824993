package editor

import (
	"fmt"

	"github.com/charmbracelet/x/powernap/pkg/lsp/protocol"

	"benchproof/compiler"
	"benchproof/dsl/format"
	"benchproof/dsl/syntax"
)

func (s *server) didOpen(p *protocol.DidOpenTextDocumentParams) (any, error) {
	path, ok := pathOf(p.TextDocument.URI)
	if !ok {
		return nil, nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	f, name, err := s.open(path)
	if err != nil {
		s.log(fmt.Sprintf("%s is not looked at: %v", p.TextDocument.URI, err))
		return nil, nil
	}
	d := &document{folder: f, name: name, version: p.TextDocument.Version, text: p.TextDocument.Text}
	s.docs[path] = d
	s.edited(d)
	return nil, nil
}

// edited passes the text of a document on to its library.
func (s *server) edited(d *document) {
	if err := d.folder.session.Edit(d.name, d.text); err != nil {
		s.log(err.Error())
		return
	}
	d.folder.changed(d.name)
}

// changing is a change of a document: of a stretch of it, or of all.
type changing struct {
	TextDocument struct {
		URI     string `json:"uri"`
		Version int32  `json:"version"`
	} `json:"textDocument"`
	ContentChanges []struct {
		Range *protocol.Range `json:"range"`
		Text  string          `json:"text"`
	} `json:"contentChanges"`
}

func (s *server) didChange(p *changing) (any, error) {
	path, ok := pathOf(protocol.DocumentURI(p.TextDocument.URI))
	if !ok {
		return nil, nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	d := s.docs[path]
	if d == nil {
		return nil, nil
	}
	for _, c := range p.ContentChanges {
		if c.Range == nil {
			d.text = c.Text
			continue
		}
		l := linesOf(d.text)
		start, end := l.offset(c.Range.Start), l.offset(c.Range.End)
		if end < start {
			start, end = end, start
		}
		d.text = d.text[:start] + c.Text + d.text[end:]
	}
	d.version = p.TextDocument.Version
	s.edited(d)
	return nil, nil
}

func (s *server) didClose(p *protocol.DidCloseTextDocumentParams) (any, error) {
	path, ok := pathOf(p.TextDocument.URI)
	if !ok {
		return nil, nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	d := s.docs[path]
	if d == nil {
		return nil, nil
	}
	delete(s.docs, path)
	if err := d.folder.session.Release(d.name); err != nil {
		s.log(err.Error())
	}
	d.folder.changed(d.name)
	return nil, nil
}

// didSave looks at the folder again where the editor does not watch it.
func (s *server) didSave(p *protocol.DidSaveTextDocumentParams) (any, error) {
	path, ok := pathOf(p.TextDocument.URI)
	if !ok {
		return nil, nil
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	if d := s.docs[path]; d != nil && !s.client.watchesFiles {
		s.reload(d.folder)
	}
	return nil, nil
}

func (s *server) didChangeWatchedFiles(p *protocol.DidChangeWatchedFilesParams) (any, error) {
	s.mu.Lock()
	defer s.mu.Unlock()
	for dir, f := range s.folders {
		for _, c := range p.Changes {
			if path, ok := pathOf(c.URI); ok {
				if _, inside := nameIn(dir, path); inside {
					s.reload(f)
					break
				}
			}
		}
	}
	return nil, nil
}

func (s *server) reload(f *folder) {
	if err := f.session.Reload(); err != nil {
		s.log(err.Error())
	}
	f.changed()
}

// A scene is an open document and its library as it is now, for one request.
type scene struct {
	*compiler.View
	server *server
	folder *folder
	name   string
	file   *syntax.File
	lines  *lines
	pos    positions
}

// look calls f with the library of a document. A file that is none of a library
// has nothing to be said of: f is not called.
func (s *server) look(uri protocol.DocumentURI, f func(*scene)) {
	path, ok := pathOf(uri)
	if !ok {
		return
	}
	s.mu.Lock()
	d := s.docs[path]
	s.mu.Unlock()
	if d == nil {
		return
	}
	d.folder.session.Look(func(v *compiler.View) {
		file := v.File(d.name)
		if file == nil {
			return
		}
		sc := &scene{View: v, server: s, folder: d.folder, name: d.name, file: file, pos: positions{}}
		sc.lines = sc.pos.of(file.Source)
		f(sc)
	})
}

// formatting gives the edits that lay a file out. Of a file with mistakes there
// are none.
func (s *server) formatting(p *protocol.DocumentFormattingParams) (any, error) {
	edits := []protocol.TextEdit{}
	s.look(p.TextDocument.URI, func(sc *scene) {
		edits = append(edits, rewrite(sc.file.Source.Text, format.Source(sc.file), sc.lines)...)
	})
	return edits, nil
}

// rewrite gives the edits from one text to another: one for each run of lines
// that differ, found from both ends, so that the cursor stays where it is.
func rewrite(from, to string, l *lines) []protocol.TextEdit {
	if from == to {
		return nil
	}
	start := 0
	for start < len(from) && start < len(to) && from[start] == to[start] {
		start++
	}
	for start > 0 && from[start-1] != '\n' {
		start--
	}
	end, other := len(from), len(to)
	for end > start && other > start && from[end-1] == to[other-1] {
		end--
		other--
	}
	for end < len(from) && (end == 0 || from[end-1] != '\n') {
		end++
		other++
	}
	return []protocol.TextEdit{{Range: l.rangeOf(start, end), NewText: to[start:other]}}
}
