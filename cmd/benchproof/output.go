package main

import (
	"bytes"
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"time"
)

// An output is a folder that documents are written into. Files are staged in
// a folder beside their place first, and moved there when all are ready: a
// build that fails or is killed leaves every old file as it was, and no file
// is ever half written. Files of other builds are left alone.
type output struct {
	dir     string
	staging string

	mu    sync.Mutex
	files map[string]bool // the names staged or unchanged
	ready []string        // the names to move, any order
	made  []string        // folders made for the staging, outermost first
}

// stagingPrefix begins the name of a staging folder.
const stagingPrefix = ".benchproof-"

// staleAfter is how long a staging folder may have been left alone until it is
// taken for that of a build that was killed.
const staleAfter = time.Hour

// openOutput makes the folder where it is not there, and a staging folder in it.
func openOutput(dir string) (*output, error) {
	o := &output{dir: dir, files: map[string]bool{}}
	for d := filepath.Clean(dir); ; d = filepath.Dir(d) {
		if _, err := os.Lstat(d); err == nil || filepath.Dir(d) == d {
			break
		}
		o.made = append([]string{d}, o.made...)
	}
	if err := os.MkdirAll(dir, 0o777); err != nil {
		return nil, fmt.Errorf("the output folder cannot be made: %w", plainPath(err))
	}
	removeStale(dir)
	staging, err := os.MkdirTemp(dir, stagingPrefix)
	if err != nil {
		o.undo()
		return nil, fmt.Errorf("the output folder cannot be written to: %w", plainPath(err))
	}
	o.staging = staging
	return o, nil
}

// plainPath leaves the operation out of a path's error: "out: permission denied".
func plainPath(err error) error {
	var p *fs.PathError
	if errors.As(err, &p) {
		return fmt.Errorf("%s: %w", p.Path, p.Err)
	}
	return err
}

// removeStale removes what killed builds have left.
func removeStale(dir string) {
	entries, err := os.ReadDir(dir)
	if err != nil {
		return // the staging that follows says so
	}
	for _, e := range entries {
		info, err := e.Info()
		if err == nil && e.IsDir() && strings.HasPrefix(e.Name(), stagingPrefix) && time.Since(info.ModTime()) > staleAfter {
			os.RemoveAll(filepath.Join(dir, e.Name()))
		}
	}
}

// write stages a file. Where the file stands there already with these bytes,
// it is left untouched. Safe for several goroutines at once.
func (o *output) write(name string, data []byte) error {
	if err := o.claim(name); err != nil {
		return err
	}
	if same(filepath.Join(o.dir, name), data) {
		return nil
	}
	f, err := os.OpenFile(filepath.Join(o.staging, name), os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return fmt.Errorf("%s cannot be written: %w", name, plainPath(err))
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err != nil {
		return fmt.Errorf("%s cannot be written: %w", name, plainPath(err))
	}
	o.mu.Lock()
	o.ready = append(o.ready, name)
	o.mu.Unlock()
	return nil
}

// claim takes a name for one file of this build.
func (o *output) claim(name string) error {
	if err := checkName(name); err != nil {
		return err
	}
	o.mu.Lock()
	defer o.mu.Unlock()
	if o.files[strings.ToLower(name)] {
		return fmt.Errorf("%s would be written twice", name)
	}
	o.files[strings.ToLower(name)] = true
	return nil
}

// same tells whether a file holds exactly these bytes.
func same(path string, data []byte) bool {
	info, err := os.Lstat(path)
	if err != nil || !info.Mode().IsRegular() || info.Size() != int64(len(data)) {
		return false
	}
	old, err := os.ReadFile(path)
	return err == nil && bytes.Equal(old, data)
}

// reserved are names that some systems keep for devices, whatever stands
// behind the first dot.
var reserved = map[string]bool{"con": true, "prn": true, "aux": true, "nul": true,
	"com1": true, "com2": true, "com3": true, "com4": true, "com5": true, "com6": true, "com7": true, "com8": true, "com9": true,
	"lpt1": true, "lpt2": true, "lpt3": true, "lpt4": true, "lpt5": true, "lpt6": true, "lpt7": true, "lpt8": true, "lpt9": true}

// checkName refuses a file name that would leave the folder or that some system
// cannot hold.
func checkName(name string) error {
	stem, _, _ := strings.Cut(name, ".")
	switch {
	case name == "" || !filepath.IsLocal(name) || strings.ContainsAny(name, `/\:*?"<>|`) || strings.HasPrefix(name, "."):
		return fmt.Errorf("%q cannot be the name of a file", name)
	case reserved[strings.ToLower(stem)]:
		return fmt.Errorf("%s cannot be the name of a file on every system: give the procedure another name than %s", name, stem)
	case len(name) > 200:
		return fmt.Errorf("the name %.40s… is too long for a file", name)
	}
	return nil
}

// commit moves the staged files to their places. Each move is whole; all are
// ready before the first.
func (o *output) commit() error {
	for _, name := range o.ready {
		if info, err := os.Lstat(filepath.Join(o.dir, name)); err == nil && info.IsDir() {
			return fmt.Errorf("%s cannot be written: a folder of that name stands there", name)
		}
	}
	for _, name := range o.ready {
		if err := os.Rename(filepath.Join(o.staging, name), filepath.Join(o.dir, name)); err != nil {
			return fmt.Errorf("%s cannot be put in its place: %w", name, err)
		}
	}
	o.made = nil
	if d, err := os.Open(o.dir); err == nil {
		// Makes the moves lasting. Not every system can do it for a folder; the
		// files themselves are safe already.
		_ = d.Sync()
		d.Close()
	}
	return nil
}

// close removes the staging folder and, where nothing was committed, the
// folders made for it.
func (o *output) close() {
	os.RemoveAll(o.staging)
	o.undo()
}

func (o *output) undo() {
	for i := len(o.made) - 1; i >= 0; i-- {
		os.Remove(o.made[i]) // only where it is empty
	}
	o.made = nil
}
