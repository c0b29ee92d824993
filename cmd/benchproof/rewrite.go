package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"

	"benchproof/dsl/syntax"
)

// A change of several source files is written in three moves. All new contents, and
// a journal that says what they are to follow, are made safe in a folder of their
// own; that folder gets its name, by which the change is decided; and file by file
// is moved into its place. Killed before the second, the library is as it was;
// killed after it, it is neither old nor new, nothing reads it, and finishChange
// does what is left.

// changeFolder holds a change that is decided and not written to its end.
const changeFolder = stagingPrefix + "change"

// journalFile is its journal. It goes first when the change is written.
const journalFile = "journal.json"

// A rewritten file of a library has old contents and new ones.
type rewritten struct {
	name     string // in the library, with slashes
	old, new []byte
	// made is set for a file that was not there.
	made bool
}

// journaled is a line of the journal: a file, and digests of what it was (empty: it
// was not there) and is to be. Its new contents are the file of the folder that is
// called by the number of the line.
type journaled struct {
	Name string `json:"name"`
	Old  string `json:"old"`
	New  string `json:"new"`
}

func digestText(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

// rewriteAll gives all files their new contents, or leaves all as they were: where
// one cannot be written, those before it get their old contents back. Where the
// process is killed in between, the next one that writes goes on.
func rewriteAll(dir string, files []rewritten) error {
	staging, err := stageChange(dir, files)
	if err != nil {
		return err
	}
	decided := filepath.Join(dir, changeFolder)
	if !unfinished(dir) {
		os.RemoveAll(decided) // of a change that was written
	}
	if err := os.Rename(staging, decided); err != nil {
		os.RemoveAll(staging)
		if unfinished(dir) {
			return errUnfinished(dir)
		}
		return plainPath(err)
	}
	syncFolder(dir)
	for i, f := range files {
		err := moveInto(dir, i, f.name)
		if err == nil {
			continue
		}
		for _, done := range files[:i] {
			if back := putBack(dir, done); back != nil {
				return fmt.Errorf("%w; and %s could not be put back: %w; %w", err, done.name, back, errUnfinished(dir))
			}
		}
		forgetChange(dir)
		return err
	}
	forgetChange(dir)
	return nil
}

// stageChange makes the new contents and the journal safe, in a folder that is not
// decided yet.
func stageChange(dir string, files []rewritten) (staging string, err error) {
	removeStale(dir)
	made, err := os.MkdirTemp(dir, stagingPrefix)
	if err != nil {
		return "", plainPath(err)
	}
	defer func() {
		if err != nil {
			os.RemoveAll(made)
		}
	}()
	var list []journaled
	for i, f := range files {
		path, err := ownFile(dir, f.name)
		if err != nil {
			return "", err
		}
		mode, line := fs.FileMode(0o644), journaled{Name: f.name, New: digestText(f.new)}
		info, err := os.Stat(path)
		switch {
		case f.made && err == nil:
			return "", fmt.Errorf("%s: %w", f.name, fs.ErrExist)
		case f.made && !errors.Is(err, fs.ErrNotExist), !f.made && err != nil:
			return "", plainPath(err)
		case !f.made && info.Mode().Perm()&0o222 == 0:
			// A move would get around what the owner has said.
			return "", fmt.Errorf("%s: the file is write-protected", path)
		case !f.made:
			mode, line.Old = info.Mode().Perm(), digestText(f.old)
		}
		staged := filepath.Join(made, strconv.Itoa(i))
		if err := createWhole(staged, f.new); err != nil {
			return "", err
		}
		if !f.made {
			if err := os.Chmod(staged, mode); err != nil {
				return "", plainPath(err)
			}
		}
		list = append(list, line)
	}
	var b bytes.Buffer
	if err := indented(&b, list); err != nil {
		return "", err
	}
	if err := createWhole(filepath.Join(made, journalFile), b.Bytes()); err != nil {
		return "", err
	}
	syncFolder(made)
	return made, nil
}

// moveInto puts the new contents of a decided change into their place.
func moveInto(dir string, number int, name string) error {
	path, err := ownFile(dir, name)
	if err != nil {
		return err
	}
	if err := os.MkdirAll(filepath.Dir(path), 0o777); err != nil {
		return plainPath(err)
	}
	if err := os.Rename(filepath.Join(dir, changeFolder, strconv.Itoa(number)), path); err != nil {
		return fmt.Errorf("%s cannot be put in its place: %w", name, err)
	}
	syncFolder(filepath.Dir(path))
	return nil
}

func putBack(dir string, f rewritten) error {
	path, err := ownFile(dir, f.name)
	if err != nil {
		return err
	}
	if f.made {
		return plainPath(os.Remove(path))
	}
	return replaceWhole(path, f.old)
}

// syncFolder makes moves in a folder lasting, where the system can.
func syncFolder(dir string) {
	if d, err := os.Open(dir); err == nil {
		_ = d.Sync()
		d.Close()
	}
}

// forgetChange lets go of a change that is written, or undone.
func forgetChange(dir string) {
	os.Remove(filepath.Join(dir, changeFolder, journalFile))
	os.RemoveAll(filepath.Join(dir, changeFolder))
}

// unfinished tells whether a change of a library was decided and not written to its
// end.
func unfinished(dir string) bool {
	_, err := os.Lstat(filepath.Join(dir, changeFolder, journalFile))
	return err == nil
}

// errUnfinished says what to do about it.
func errUnfinished(dir string) error {
	return fmt.Errorf("a change of %s was interrupted while its files were written, so it is neither as before nor as it is to be: benchproof replace --finish %s completes it", dir, dir)
}

// finishChange writes what is left of a change that was interrupted, and says so.
// Where somebody has edited one of its files since, nothing is written.
func finishChange(w io.Writer, dir string) error {
	if !unfinished(dir) {
		return nil
	}
	folder := filepath.Join(dir, changeFolder)
	data, err := readWhole(filepath.Join(folder, journalFile), syntax.MaxSize)
	if err != nil {
		return err
	}
	var list []journaled
	if err := json.Unmarshal(data, &list); err != nil {
		return fmt.Errorf("%s cannot be read: %w", filepath.Join(folder, journalFile), err)
	}
	var left []int
	var edited []string
	for i, x := range list {
		path, err := ownFile(dir, x.Name)
		if err != nil {
			return err
		}
		is := ""
		now, err := readWhole(path, syntax.MaxSize)
		switch {
		case err == nil:
			is = digestText(now)
		case !errors.Is(err, fs.ErrNotExist):
			return err
		}
		staged, lost := readWhole(filepath.Join(folder, strconv.Itoa(i)), syntax.MaxSize)
		switch {
		case is == x.New:
		case is == x.Old && lost == nil && digestText(staged) == x.New:
			left = append(left, i)
		case is == x.Old:
			return fmt.Errorf("the new contents of %s are damaged or gone from %s: put the files back as they were, and remove that folder", x.Name, folder)
		default:
			edited = append(edited, x.Name)
		}
	}
	if len(edited) > 0 {
		return fmt.Errorf("a change of %s was interrupted, and %s edited since, so it is not completed: what was still to be written is in %s; remove that folder when the files are right", dir, wereEdited(edited), folder)
	}
	for _, i := range left {
		if err := moveInto(dir, i, list[i].Name); err != nil {
			return err
		}
	}
	forgetChange(dir)
	fmt.Fprintf(w, "a change that was interrupted is completed: %s written, %d before\n", count(len(left), "file"), len(list)-len(left))
	return nil
}

func wereEdited(names []string) string {
	if len(names) == 1 {
		return names[0] + " was"
	}
	return strings.Join(slices.Compact(names), ", ") + " were"
}
