package main

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
)

// writeWhole makes a file, or gives one that is there new contents. A device or
// a pipe is written into.
func writeWhole(path string, data []byte) error {
	if info, err := os.Stat(path); err == nil && info.Mode().Type()&^fs.ModeDir != 0 {
		return writeInto(path, data)
	}
	err := createWhole(path, data)
	if errors.Is(err, fs.ErrExist) {
		err = replaceWhole(path, data)
	}
	return err
}

// writeInto writes into what is no plain file: putting another in the place of
// /dev/null would harm everybody. It does not wait for a reader to come.
func writeInto(path string, data []byte) error {
	f, err := os.OpenFile(path, os.O_WRONLY|noWaiting, 0)
	if err != nil {
		return plainPath(err)
	}
	_, err = f.Write(data)
	if e := f.Close(); err == nil {
		err = e
	}
	return plainPath(err)
}

// replaceWhole gives a plain file new contents, whole or not at all: they are
// written beside it first and moved over it when they are safe. The file keeps
// its mode; where it is a link, what it leads to is replaced.
func replaceWhole(path string, data []byte) error {
	path, err := filepath.EvalSymlinks(path)
	if err != nil {
		return plainPath(err)
	}
	info, err := os.Stat(path)
	if err != nil {
		return plainPath(err)
	}
	if !info.Mode().IsRegular() {
		return fmt.Errorf("%s: no plain file stands there", path)
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

// readWhole reads a file of at most most bytes; the error names it once. It does
// not wait for somebody to write into a pipe.
func readWhole(path string, most int64) ([]byte, error) {
	f, err := os.OpenFile(path, os.O_RDONLY|noWaiting, 0)
	if err != nil {
		return nil, fmt.Errorf("the file cannot be read: %w", plainPath(err))
	}
	defer f.Close()
	data, err := io.ReadAll(io.LimitReader(f, most+1))
	if err != nil {
		return nil, fmt.Errorf("the file cannot be read: %w", plainPath(err))
	}
	if int64(len(data)) > most {
		return nil, fmt.Errorf("the file cannot be read: %s has more than %d MB", path, most>>20)
	}
	return data, nil
}

// ownFile gives the path of a file that is written into a library, there or to
// come. A link in its way is refused, whatever it leads to: the library may be a
// stranger's, and lead out.
func ownFile(dir, name string) (string, error) {
	root, err := os.OpenRoot(dir)
	if err != nil {
		return "", fmt.Errorf("the folder cannot be read: %w", plainPath(err))
	}
	defer root.Close()
	parts := strings.Split(name, "/")
	for i := range parts {
		at := strings.Join(parts[:i+1], "/")
		info, err := root.Lstat(at)
		switch {
		case errors.Is(err, fs.ErrNotExist):
			return filepath.Join(dir, filepath.FromSlash(name)), nil
		case err != nil:
			return "", fmt.Errorf("%s cannot be written: %w", name, plainPath(err))
		case info.Mode()&fs.ModeSymlink != 0:
			return "", fmt.Errorf("%s cannot be written: %s is a link; put the file or folder itself there", name, at)
		case i+1 < len(parts) && !info.IsDir():
			return "", fmt.Errorf("%s cannot be written: %s is no folder", name, at)
		case i+1 == len(parts) && !info.Mode().IsRegular():
			return "", fmt.Errorf("%s cannot be written: no plain file stands there", name)
		}
	}
	return filepath.Join(dir, filepath.FromSlash(name)), nil
}
