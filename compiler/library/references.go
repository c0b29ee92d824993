package library

import (
	"slices"
	"sync"

	"benchproof/dsl/source"
)

// references keeps, for each file that was asked for, what is named in it.
type references struct {
	of func(*source.File) []Reference
	*kept
}

type kept struct {
	mu     sync.Mutex
	byFile map[*source.File][]Reference
}

// forget lets lists be made anew.
func (r *references) forget() { r.kept = &kept{byFile: map[*source.File][]Reference{}} }

func (r *references) in(f *source.File) []Reference {
	if r.kept == nil {
		return nil // a library of no files
	}
	r.mu.Lock()
	defer r.mu.Unlock()
	list, known := r.byFile[f]
	if !known {
		list = r.of(f)
		r.byFile[f] = list
	}
	return list
}

// Named gives the references that begin within a stretch of a file, in order.
// What is measured or asked in a routine is a symbol of each procedure that
// performs it, and has a reference for each.
func (l *Library) Named(whole source.Span) []Reference {
	if whole.IsZero() {
		return nil
	}
	list := l.references.in(whole.File)
	from, _ := slices.BinarySearchFunc(list, whole.Start, func(r Reference, at int) int {
		if r.Span.Start < at {
			return -1
		}
		return 1
	})
	to := from
	for to < len(list) && list[to].Span.Start < whole.End {
		to++
	}
	return list[from:to]
}

// EachReference calls f for every place where a declared thing is named, in
// the order of files and places.
func (l *Library) EachReference(f func(Reference)) {
	for _, file := range l.Files {
		for _, r := range l.references.in(file.Source) {
			f(r)
		}
	}
}
