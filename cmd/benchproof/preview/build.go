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
	"strings"
	"time"

	"benchproof/compiler"
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
	result    *compiler.Result
	options   compiler.DocumentOptions
	documents []listed
	index     map[string]int
}

// rebuild takes the state of the library as it is now. The error says that ctx
// is done.
func (s *Server) rebuild(ctx context.Context) error {
	result, figures, err := read(ctx, s.folder)
	if ctx.Err() != nil {
		return ctx.Err()
	}
	if err != nil {
		s.publish(&state{Library: filepath.Base(s.folder), Fault: err.Error(), Messages: []excerpt{}}, false, nil)
		return nil
	}
	next := &state{Library: result.Library.Title, Messages: []excerpt{}}
	for i, m := range message.Gather(result.Messages) {
		if m.IsError() {
			next.Errors++
		} else {
			next.Warnings++
		}
		if i < mostMessages {
			next.Messages = append(next.Messages, excerptOf(m))
		}
	}
	built := &site{result: result, options: compiler.DocumentOptions{Draft: !result.Sound()}, index: map[string]int{}}
	for i, p := range result.Library.Procedures {
		built.index[p.Name] = i
		built.documents = append(built.documents, listed{p.Name, p.Title})
	}
	s.mu.Lock()
	s.figures = figures
	s.mu.Unlock()
	s.publish(next, result.Sound(), built)
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

// read reads and checks a folder. Figures are the files of its
// figures, by path.
func read(ctx context.Context, folder string) (_ *compiler.Result, figures map[string]bool, err error) {
	root, err := os.OpenRoot(folder)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, nil, fmt.Errorf("there is no folder %s", folder)
	case err != nil:
		return nil, nil, fmt.Errorf("the folder %s cannot be read: %w", folder, plain(err))
	}
	defer root.Close()
	sources, err := compiler.Read(root.FS())
	if err != nil {
		return nil, nil, fmt.Errorf("%s: %w", folder, err)
	}
	result, err := compiler.Check(ctx, sources)
	if err != nil {
		return nil, nil, err
	}
	figures = map[string]bool{}
	kept := pictures{}
	room := int64(mostKept)
	for _, f := range result.Library.Figures {
		name := path.Clean(f.File)
		figures[name] = true
		if kept[name] != nil || !fs.ValidPath(name) {
			continue
		}
		// What cannot be read has a message of its own.
		if data, err := readPicture(root.FS(), name, room); err == nil {
			kept[name] = data
			room -= int64(len(data))
		}
	}
	sources.FS = kept
	return result, figures, nil
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
	i, known := s.index[name]
	if !known {
		return nil, fs.ErrNotExist
	}
	doc, messages := s.result.Document(i, s.options)
	if doc == nil || message.HasErrors(messages) && !s.options.Draft {
		return nil, fs.ErrNotExist
	}
	var b bytes.Buffer
	err := html.Render(&b, doc, html.Options{Href: func(procedure string) string {
		if _, known := s.index[procedure]; !known {
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

// pictures are the files of a library's figures as they were read, by path: the
// last good documents keep theirs, whatever happens to the files.
type pictures map[string][]byte

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
