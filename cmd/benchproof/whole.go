package main

import (
	"errors"
	"fmt"
	"io/fs"
	"os"
	"path/filepath"
)

// writeWhole makes a file, or gives one that is there new contents.
func writeWhole(path string, data []byte) error {
	err := createWhole(path, data)
	if errors.Is(err, fs.ErrExist) {
		err = replaceWhole(path, data)
	}
	return err
}

// replaceWhole gives a file new contents, whole or not at all: they are written
// beside it first and moved over it when they are safe. The file keeps its
// mode; where it is a link, what it leads to is replaced.
func replaceWhole(path string, data []byte) error {
	path, err := filepath.EvalSymlinks(path)
	if err != nil {
		return plainPath(err)
	}
	info, err := os.Stat(path)
	if err != nil {
		return plainPath(err)
	}
	if info.Mode().Perm()&0o222 == 0 {
		// A move would get around what the owner has said.
		return fmt.Errorf("%s: the file is write-protected", path)
	}
	f, err := os.CreateTemp(filepath.Dir(path), stagingPrefix)
	if err != nil {
		return plainPath(err)
	}
	defer os.Remove(f.Name()) // no more there once it is moved
	_, err = f.Write(data)
	if err == nil {
		err = f.Chmod(info.Mode().Perm())
	}
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		return plainPath(err)
	}
	return nil
}

// createWhole makes a file that is not there yet; one that is there stays as it
// is. What could not be written whole is taken away again.
func createWhole(path string, data []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY|os.O_CREATE|os.O_EXCL, 0o666)
	if err != nil {
		return plainPath(err)
	}
	_, err = f.Write(data)
	if err == nil {
		err = f.Sync()
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err != nil {
		os.Remove(path)
		return plainPath(err)
	}
	return nil
}

// A rewritten file has old contents and new ones.
type rewritten struct {
	path     string
	old, new []byte
}

// rewriteAll gives all files their new contents, or leaves all as they were:
// where one cannot be written, those before it get their old contents back.
func rewriteAll(files []rewritten) error {
	for i, f := range files {
		err := replaceWhole(f.path, f.new)
		if err == nil {
			continue
		}
		for _, done := range files[:i] {
			if back := replaceWhole(done.path, done.old); back != nil {
				return fmt.Errorf("%w; and %s could not be put back: %w", err, done.path, back)
			}
		}
		return err
	}
	return nil
}

// readWhole reads a file; the error names it once.
func readWhole(path string) ([]byte, error) {
	data, err := os.ReadFile(path)
	if err != nil {
		return nil, fmt.Errorf("the file cannot be read: %w", plainPath(err))
	}
	return data, nil
}
