package main

import (
	"context"
	"errors"
	"fmt"
	"io/fs"
	"os"

	"benchproof/compiler"
)

// openFolder opens a library's folder. Files outside it cannot be reached
// through it, not by ".." and not by links. One that a change was interrupted in is
// refused.
func openFolder(dir string) (fs.FS, error) {
	info, err := os.Stat(dir)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, fmt.Errorf("there is no folder %s", dir)
	case err != nil:
		return nil, fmt.Errorf("the folder cannot be read: %w", plainPath(err))
	case !info.IsDir():
		return nil, fmt.Errorf("%s is a file; name the folder that holds the library", dir)
	}
	if unfinished(dir) {
		return nil, errUnfinished(dir)
	}
	root, err := os.OpenRoot(dir)
	if err != nil {
		return nil, fmt.Errorf("the folder cannot be read: %w", plainPath(err))
	}
	return root.FS(), nil
}

// openMemory opens a library's folder and what earlier runs found of it.
func openMemory(dir string, o remembering) (*memory, error) {
	fsys, err := openFolder(dir)
	if err != nil {
		return nil, err
	}
	return newMemory(fsys, o), nil
}

// checkFolder reads a library and finds all that can be known about it.
func checkFolder(ctx context.Context, dir string) (*compiler.Result, error) {
	return checkFolderOn(ctx, dir, "")
}

// checkFolderOn is checkFolder on a day on which calibration is judged.
func checkFolderOn(ctx context.Context, dir, date string) (*compiler.Result, error) {
	fsys, err := openFolder(dir)
	if err != nil {
		return nil, err
	}
	sources, err := compiler.Read(fsys)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", dir, err)
	}
	sources.Date = date
	return compiler.Check(ctx, sources)
}
