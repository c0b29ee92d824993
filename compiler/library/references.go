package library

import (
	"slices"
	"sync"

	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// references keeps, for each file that was asked for, what is named in it.
type references struct {
	// units gives, by file, what came of binding the declarations that name
	// something in it.
	units func() map[*source.File][]*unit
	*kept
}

type kept struct {
	mu      sync.Mutex
	byFile  map[*source.File]func() []Reference
	derived map[any]any // by the type of what is derived, what makes it once
}

// forget lets lists be made anew.
func (r *references) forget() { r.kept = &kept{} }

// ready keeps lists that are made: nothing forgets them.
func ready(files []*syntax.File, lists [][]Reference) *kept {
	k := &kept{byFile: map[*source.File]func() []Reference{}}
	for i, f := range files {
		list := lists[i]
		k.byFile[f.Source] = func() []Reference { return list }
	}
	return k
}

func (r *references) in(f *source.File) []Reference {
	if r.kept == nil {
		return nil // a library of no files
	}
	return r.kept.of(f, r.units)()
}

// of gives what makes the list of a file, once. The lock is not held while a
// list is made: procedures are judged side by side, each asking for its own.
func (k *kept) of(f *source.File, units func() map[*source.File][]*unit) func() []Reference {
	k.mu.Lock()
	defer k.mu.Unlock()
	if k.byFile == nil {
		k.byFile = map[*source.File]func() []Reference{}
		for file, list := range units() {
			k.byFile[file] = sync.OnceValue(func() []Reference { return referencesIn(file, list) })
		}
	}
	if list, known := k.byFile[f]; known {
		return list
	}
	return func() []Reference { return nil }
}

// referencesIn gives what is named in a file, in order.
func referencesIn(f *source.File, units []*unit) []Reference {
	var out []Reference
	for _, u := range units {
		for _, r := range u.refs {
			if r.Span.File == f {
				out = append(out, r)
			}
		}
	}
	slices.SortStableFunc(out, func(x, y Reference) int {
		if x.Span.Start != y.Span.Start {
			return x.Span.Start - y.Span.Start
		}
		return x.Span.End - y.Span.End
	})
	// A routine's names are listed once, not once for each procedure that
	// performs it; its own readings are one of each.
	kept := out[:0]
	from := 0
	var named map[Symbol]bool // where one place names many
	for _, r := range out {
		if from < len(kept) && kept[from].Span != r.Span {
			from, named = len(kept), nil
		}
		if len(kept)-from == few {
			named = map[Symbol]bool{}
			for _, k := range kept[from:] {
				named[k.To] = true
			}
		}
		if named != nil && named[r.To] || named == nil && slices.Contains(kept[from:], r) {
			continue
		}
		if named != nil {
			named[r.To] = true
		}
		kept = append(kept, r)
	}
	return slices.Clone(kept) // of its own size
}

// few is how many things a place names before they are looked up by name.
const few = 8

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

// Derived gives what is worked out from the whole library, made once for each
// state of it: what every procedure asks for would else cost procedures times
// things. T is a type of the asker's own. It is shared; nobody writes to it.
func Derived[T any](l *Library, work func(*Library) T) T {
	k := l.references.kept
	if k == nil {
		return work(l) // a library of no files
	}
	k.mu.Lock()
	once, known := k.derived[(*T)(nil)].(func() T)
	if !known {
		once = sync.OnceValue(func() T { return work(l) })
		if k.derived == nil {
			k.derived = map[any]any{}
		}
		k.derived[(*T)(nil)] = once
	}
	k.mu.Unlock()
	return once()
}

// DeclarationOf gives the declaration that a symbol is part of; nil for what is
// declared within a procedure, whose text holds it.
func DeclarationOf(s Symbol) Symbol {
	switch s := s.(type) {
	case *Member:
		return s.Variant
	case *State:
		return s.Condition
	case *Column:
		return s.Table
	case *Reading, *Question, *Answer, *Hole, *RecordDecl:
		return nil
	}
	return s
}
