package main

import (
	"bytes"
	"crypto/sha256"
	"fmt"
	"io"
	"io/fs"
	"slices"
	"sync"

	"benchproof/compiler"
)

// A steadyFS reads a library's folder and remembers what it gave: a file that
// is read twice is the same both times, and at the end it can be said whether
// the folder still holds what was read. A document is made of one state of the
// library or not at all.
type steadyFS struct {
	inner fs.FS

	mu    sync.Mutex
	files map[string]seenFile
	// odd: something was asked for that is no plain file or could not be read.
	odd bool
}

// A seenFile is what was read of a file.
type seenFile struct {
	sum  [sha256.Size]byte
	info fs.FileInfo
}

// mostRead is how much of a file is read, in bytes: more than any source or
// figure may have.
const mostRead = 64 << 20

func newSteadyFS(inner fs.FS) *steadyFS {
	return &steadyFS{inner: inner, files: map[string]seenFile{}}
}

// changedError says that the library did not hold still.
type changedError struct{ name string }

func (e *changedError) Error() string {
	return e.name + " was changed while it was read; run the command again"
}

func (s *steadyFS) Stat(name string) (fs.FileInfo, error)       { return fs.Stat(s.inner, name) }
func (s *steadyFS) Lstat(name string) (fs.FileInfo, error)      { return fs.Lstat(s.inner, name) }
func (s *steadyFS) ReadLink(name string) (string, error)        { return fs.ReadLink(s.inner, name) }
func (s *steadyFS) ReadDir(name string) ([]fs.DirEntry, error)  { return fs.ReadDir(s.inner, name) }
func (s *steadyFS) ReadFile(name string) (data []byte, e error) { return readAll(s, name) }

func readAll(fsys fs.FS, name string) ([]byte, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(f)
}

// Open reads a file whole and gives what it read.
func (s *steadyFS) Open(name string) (fs.File, error) {
	const attempts = 3
	for range attempts {
		f, data, info, err := s.read(name)
		if err != nil {
			s.mark()
			return nil, err
		}
		if f != nil {
			s.mark()
			return f, nil
		}
		if data == nil {
			continue // it was written to meanwhile
		}
		seen := seenFile{sha256.Sum256(data), info}
		s.mu.Lock()
		before, again := s.files[name]
		if !again {
			s.files[name] = seen
		}
		s.mu.Unlock()
		if again && before.sum != seen.sum {
			break
		}
		return &steadyFile{Reader: bytes.NewReader(data), info: info}, nil
	}
	return nil, &fs.PathError{Op: "open", Path: name, Err: &changedError{name}}
}

func (s *steadyFS) mark() {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.odd = true
}

// read gives the bytes of a plain file; none where it was written to at the same
// time; the open file itself where it is no plain one.
func (s *steadyFS) read(name string) (other fs.File, data []byte, info fs.FileInfo, err error) {
	f, err := s.inner.Open(name)
	if err != nil {
		return nil, nil, nil, err
	}
	info, err = f.Stat()
	if err != nil {
		f.Close()
		return nil, nil, nil, err
	}
	if !info.Mode().IsRegular() {
		return f, nil, info, nil
	}
	defer f.Close()
	data = make([]byte, 0, min(info.Size(), mostRead)+512)
	buffer := bytes.NewBuffer(data)
	if _, err := buffer.ReadFrom(io.LimitReader(f, mostRead)); err != nil {
		return nil, nil, nil, err
	}
	after, err := f.Stat()
	if err != nil {
		return nil, nil, nil, err
	}
	if !sameState(info, after) || info.Size() <= mostRead && int64(buffer.Len()) != info.Size() {
		return nil, nil, nil, nil
	}
	return nil, buffer.Bytes(), info, nil
}

func sameState(a, b fs.FileInfo) bool {
	return a.Size() == b.Size() && a.ModTime().Equal(b.ModTime()) && a.Mode() == b.Mode()
}

// unchanged tells whether the folder still holds what was read.
func (s *steadyFS) unchanged() error {
	s.mu.Lock()
	names := make([]string, 0, len(s.files))
	for name := range s.files {
		names = append(names, name)
	}
	s.mu.Unlock()
	slices.Sort(names)
	for _, name := range names {
		seen := s.files[name]
		if now, err := fs.Stat(s.inner, name); err == nil && sameState(now, seen.info) {
			continue
		}
		// Written again with the same bytes is no change.
		if _, data, _, err := s.read(name); err != nil || data == nil || sha256.Sum256(data) != seen.sum {
			return &changedError{name}
		}
	}
	return nil
}

// sums gives what was read, a line each, sorted by name.
func (s *steadyFS) sums() []string {
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []string
	for name, f := range s.files {
		out = append(out, fmt.Sprintf("%x %s", f.sum, name))
	}
	slices.SortFunc(out, func(a, b string) int { return bytes.Compare([]byte(a[2*sha256.Size:]), []byte(b[2*sha256.Size:])) })
	return out
}

// others gives the names of what was read beside the sources, sorted.
func (s *steadyFS) others(sources *compiler.Sources) []string {
	own := map[string]bool{}
	for _, f := range sources.Files {
		own[f.Path] = true
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	var out []string
	for name := range s.files {
		if !own[name] {
			out = append(out, name)
		}
	}
	slices.Sort(out)
	return out
}

// sum gives the hash of a file that was read.
func (s *steadyFS) sum(name string) ([sha256.Size]byte, bool) {
	s.mu.Lock()
	defer s.mu.Unlock()
	f, ok := s.files[name]
	return f.sum, ok
}

// A steadyFile is a file as it was read.
type steadyFile struct {
	*bytes.Reader
	info fs.FileInfo
}

func (f *steadyFile) Close() error               { return nil }
func (f *steadyFile) Stat() (fs.FileInfo, error) { return f.info, nil }
