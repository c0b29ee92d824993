package preview

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"time"

	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/dsl/message"
	"benchproof/render/html"
)

// A state is what the page is told of the library at one time.
type state struct {
	Number    int       `json:"number"`
	Library   string    `json:"library"`
	Good      bool      `json:"good"`  // there are documents without an error
	Draft     bool      `json:"draft"` // and drafts of the newest state beside them
	Documents []listed  `json:"documents"`
	Drafts    []listed  `json:"drafts"`
	Errors    int       `json:"errors"`
	Warnings  int       `json:"warnings"`
	Messages  []excerpt `json:"messages"`
	// Fault says why the library could not be read at all.
	Fault string `json:"fault"`
}

// listed is one document to choose.
type listed struct {
	Name  string `json:"name"` // of the procedure
	Title string `json:"title"`
}

// An excerpt is one message: the text is what a terminal shows, source lines and
// markers included.
type excerpt struct {
	Severity string `json:"severity"`
	Code     string `json:"code"`
	Text     string `json:"text"`
}

// mostMessages are the messages sent to the page; the rest is counted.
const mostMessages = 200

// A site is the documents of one state. They are made when they are asked for,
// from what was read when the state was taken: nothing later changes them.
type site struct {
	state     *compiler.State
	kept      pictures
	options   compiler.DocumentOptions
	language  string // of a translation; empty: that of the sources
	documents []listed
	names     map[string]bool

	once   sync.Once
	result *compiler.Result // of the texts, where the session cannot make a document
	fault  error
}

// rebuild takes the state of the library as it is now. The error says that ctx
// is done.
func (s *Server) rebuild(ctx context.Context) error {
	built, err := s.read(ctx)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		s.publish(&state{Library: filepath.Base(s.folder), Fault: err.Error(), Messages: []excerpt{}}, false, nil)
		return nil
	}
	next := &state{Library: built.state.Title, Messages: []excerpt{}}
	for i, m := range message.Gather(built.state.Messages) {
		if m.IsError() {
			next.Errors++
		} else {
			next.Warnings++
		}
		if i < mostMessages {
			next.Messages = append(next.Messages, excerptOf(m))
		}
	}
	s.mu.Lock()
	s.figures = map[string]bool{}
	for _, name := range built.state.Figures {
		s.figures[path.Clean(name)] = true
	}
	s.mu.Unlock()
	s.publish(next, built.state.Sound, built)
	return nil
}

// say logs the newest state in a line.
func (s *Server) say() {
	now := s.look()
	if now.Fault != "" {
		fmt.Fprintf(s.log, "%s\n", message.Printable(now.Fault))
		return
	}
	fmt.Fprintf(s.log, "%d %s, %d %s\n", now.Errors, plural(now.Errors, "error"), now.Warnings, plural(now.Warnings, "warning"))
}

func plural(n int, word string) string {
	if n == 1 {
		return word
	}
	return word + "s"
}

func excerptOf(m *message.Message) excerpt {
	var b bytes.Buffer
	if err := message.WriteText(&b, []*message.Message{m}, message.TextOptions{}); err != nil {
		panic(err) // a buffer takes everything
	}
	return excerpt{m.Severity.String(), string(m.Code), strings.TrimRight(b.String(), "\n")}
}

// A disk is the folder as it is at present: another may have come in its place.
type disk struct{ fs.FS }

// read reads the folder again and checks what has changed.
func (s *Server) read(ctx context.Context) (*site, error) {
	root, err := os.OpenRoot(s.folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("there is no folder %s", s.folder)
	case err != nil:
		return nil, fmt.Errorf("the folder %s cannot be read: %w", s.folder, plain(err))
	}
	defer root.Close()
	s.disk.FS = root.FS()
	defer func() { s.disk.FS = pictures{} }()
	if names, err := compiler.Names(s.disk); err != nil {
		return nil, fmt.Errorf("%s: %w", s.folder, err)
	} else if len(names) == 0 {
		return nil, fmt.Errorf("%s: no source files (*%s) in this folder", s.folder, compiler.Suffix)
	}
	if s.session == nil {
		s.session, err = compiler.NewSession(s.disk)
	} else {
		err = s.session.Reload()
	}
	if err != nil {
		s.session = nil // it may have read a half
		return nil, fmt.Errorf("%s: %w", s.folder, err)
	}
	found, err := s.session.CheckAll(ctx)
	if err != nil {
		return nil, err
	}
	built := &site{state: found, kept: pictures{}, language: s.language, options: compiler.DocumentOptions{Draft: !found.Sound}, names: map[string]bool{}}
	room := int64(mostKept)
	for _, name := range append(slices.Clone(found.Figures), found.Sheets...) {
		name = path.Clean(name)
		if built.kept[name] != nil || !fs.ValidPath(name) {
			continue
		}
		// What cannot be read has a message of its own.
		if data, err := readPicture(s.disk, name, room); err == nil {
			built.kept[name] = data
			room -= int64(len(data))
		}
	}
	found.Sources.FS = built.kept
	if s.language == "" {
		for _, p := range found.Procedures {
			built.list(p[0], p[1])
		}
		return built, nil
	}
	said, err := built.said(ctx)
	if err != nil {
		return nil, err
	}
	for i, p := range said.Library.Procedures {
		if said.Speaks(i) {
			title, _ := said.Said(p.Title)
			built.list(p.Name, title)
		}
	}
	if len(built.documents) == 0 {
		return nil, fmt.Errorf("--language %s: no procedure has any text in the language", s.language)
	}
	return built, nil
}

func (s *site) list(name, title string) {
	s.names[name] = true
	s.documents = append(s.documents, listed{name, title})
}

// said binds the texts of the state anew, in the language asked for.
func (s *site) said(ctx context.Context) (*compiler.Result, error) {
	s.once.Do(func() {
		if s.result, s.fault = s.state.Result(ctx); s.fault != nil || s.language == "" {
			return
		}
		if s.result, s.fault = s.result.In(ctx, s.language); s.fault != nil {
			s.fault = fmt.Errorf("--language %s: %w", s.language, s.fault)
		}
	})
	return s.result, s.fault
}

// document makes a document: from the session while it stands at this state, else
// from the texts.
func (s *site) document(name string) (doc *document.Document, messages []*message.Message, err error) {
	if s.language == "" {
		doc, messages, made := s.state.Document(name, s.options, s.kept.read)
		if made {
			return doc, messages, nil
		}
	}
	// Whoever asks may go away; others want it, too.
	result, err := s.said(context.Background())
	if err != nil {
		return nil, nil, err
	}
	i := slices.IndexFunc(result.Library.Procedures, func(p *library.Procedure) bool { return p.Name == name })
	if i < 0 {
		return nil, nil, fs.ErrNotExist
	}
	doc, messages = result.Document(i, s.options)
	return doc, messages, nil
}

func plain(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return p.Err
	}
	return err
}

// page makes the page of a document; nil where there is no such document, or
// none can be made of it.
func (s *site) page(name string) ([]byte, error) {
	if !s.names[name] {
		return nil, fs.ErrNotExist
	}
	doc, messages, err := s.document(name)
	if err != nil {
		return nil, err
	}
	if doc == nil || message.HasErrors(messages) && !s.options.Draft {
		return nil, fs.ErrNotExist
	}
	var b bytes.Buffer
	err = html.Render(&b, doc, html.Options{Href: func(procedure string) string {
		if !s.names[procedure] {
			return ""
		}
		return procedure + ".html"
	}})
	return b.Bytes(), err
}

// mostKept bounds the pictures kept of one state, in bytes.
const mostKept = 512 << 20

func readPicture(from fs.FS, name string, room int64) ([]byte, error) {
	f, err := from.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	info, err := f.Stat()
	if err != nil {
		return nil, err
	}
	if !info.Mode().IsRegular() || info.Size() > room {
		return nil, fs.ErrInvalid
	}
	return io.ReadAll(io.LimitReader(f, room))
}

// pictures are the files of a library's figures and sheets as they were read, by path:
// the last good documents keep theirs, whatever happens to the files.
type pictures map[string][]byte

func (p pictures) read(name string) ([]byte, error) { return fs.ReadFile(p, name) }

// Open opens a picture as it was.
func (p pictures) Open(name string) (fs.File, error) {
	data, ok := p[path.Clean(name)]
	if !ok {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	return &picture{bytes.NewReader(data), path.Base(name)}, nil
}

// A picture is an open file of pictures, and its own description.
type picture struct {
	*bytes.Reader
	name string
}

func (f *picture) Close() error               { return nil }
func (f *picture) Stat() (fs.FileInfo, error) { return f, nil }
func (f *picture) Name() string               { return f.name }
func (f *picture) Mode() fs.FileMode          { return 0o444 }
func (f *picture) ModTime() time.Time         { return time.Time{} }
func (f *picture) IsDir() bool                { return false }
func (f *picture) Sys() any                   { return nil }
