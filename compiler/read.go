package compiler

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"path"
	"sort"
	"strings"

	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// Suffix ends the name of every source file.
const Suffix = ".proc"

// MaxTotal is how much text a library may have, in bytes: ten thousand procedures
// have a fifth of it, and what is read takes about three times as much memory.
const MaxTotal = 512 << 20

// ErrTooLarge says that a library has more text than MaxTotal.
var ErrTooLarge = fmt.Errorf("the source files have more than %d MB together", MaxTotal>>20)

const (
	maxFiles  = 100_000
	maxFigure = 20 << 20 // bytes; the rules on figures refuse larger ones
	maxDepth  = 32
)

// Sources are the files of one library as read.
type Sources struct {
	// FS is the library's folder; figures are read from it.
	FS    fs.FS
	Files []*source.File // by path
	// Date is the day, as 2026-11-25, on which calibration is judged; empty: it is
	// not. Nothing else depends on it.
	Date string
	// Messages are what could not be taken as text.
	Messages []*message.Message
	// Translations are the PO files of the library, by path.
	Translations []*source.File
	loaded       []*message.Message // what of these could not be taken as text
}

// Read reads every source file under a folder, in the order of paths. Folders
// whose names begin with a dot are passed over, and so are links: a library
// holds its own files. The error says that the library could not be read at
// all; it is not a message about the library.
func Read(fsys fs.FS) (*Sources, error) {
	names, err := Names(fsys)
	if err != nil {
		return nil, err
	}
	if len(names) == 0 {
		return nil, errors.New("no source files (*" + Suffix + ") in this folder")
	}
	s := &Sources{FS: fsys}
	total := 0
	for _, name := range names {
		text, err := readFile(fsys, name, syntax.MaxSize)
		if err != nil {
			return nil, fmt.Errorf("cannot read %s: %w", name, plain(err))
		}
		if total += len(text); total > MaxTotal {
			return nil, ErrTooLarge
		}
		f, ms := syntax.Load(text, name)
		s.Files = append(s.Files, f)
		s.Messages = append(s.Messages, ms...)
	}
	return s, s.readTranslations()
}

// readDir lists a folder; one that is not there is empty.
func readDir(fsys fs.FS, name string) ([]fs.DirEntry, error) {
	entries, err := fs.ReadDir(fsys, name)
	if errors.Is(err, fs.ErrNotExist) {
		return nil, nil
	}
	return entries, err
}

// readFile reads at most one byte more than a file may have, so that a
// stranger's file of any size costs no more.
func readFile(fsys fs.FS, name string, most int64) ([]byte, error) {
	f, err := fsys.Open(name)
	if err != nil {
		return nil, err
	}
	defer f.Close()
	return io.ReadAll(io.LimitReader(f, most+1))
}

// Names gives the paths of the source files under a folder, sorted: those that
// Read reads.
func Names(fsys fs.FS) ([]string, error) {
	var names []string
	err := fs.WalkDir(fsys, ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return fmt.Errorf("cannot read %s: %w", p, plain(err))
		}
		if d.IsDir() {
			if p != "." && strings.HasPrefix(path.Base(p), ".") {
				return fs.SkipDir
			}
			if strings.Count(p, "/") >= maxDepth {
				return fmt.Errorf("%s lies more than %d folders deep", p, maxDepth)
			}
			return nil
		}
		if !strings.HasSuffix(p, Suffix) || !d.Type().IsRegular() {
			return nil
		}
		if names = append(names, p); len(names) > maxFiles {
			return fmt.Errorf("more than %d source files", maxFiles)
		}
		return nil
	})
	sort.Strings(names)
	return names, err
}

// plain leaves out the path that an error of the file system repeats.
func plain(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}
