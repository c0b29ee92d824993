package compiler

import (
	"cmp"
	"io/fs"
	"slices"

	"benchproof/compiler/catalogue"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// An expansion is what was made of one catalogue.
type expansion struct {
	file     *syntax.File
	messages []*message.Message
}

// expand reads the sheet of a catalogue that stands in a file.
func expand(fsys fs.FS, f *syntax.File, d *syntax.Thing) expansion {
	var x expansion
	ms := guarded("sheets", d.In(f.Source), func() []*message.Message {
		var ms []*message.Message
		x.file, ms = catalogue.Expand(fsys, f.Source, d)
		return ms
	})
	x.messages = ms
	return x
}

// withSheets gives files with those made of the sheets that they name, in the
// order of paths. Of two catalogues of one sheet the second is told of and left
// out.
func withSheets(files []*syntax.File, of func(f *syntax.File, d *syntax.Thing) expansion) ([]*syntax.File, []*message.Message) {
	var made []*syntax.File
	var ms []*message.Message
	first := map[string]source.Span{}
	for _, f := range files {
		for _, d := range f.Declarations {
			t, ok := catalogue.Is(d)
			if !ok {
				continue
			}
			x := of(f, t)
			ms = append(ms, x.messages...)
			if x.file == nil {
				continue
			}
			by := x.file.Source.Sheet.By
			if was, twice := first[x.file.Source.Path]; twice {
				ms = append(ms, message.New("BP022", by, "the sheet is read by another catalogue already").
					Relate(was, "read here").Helped("take one of the two out"))
				continue
			}
			first[x.file.Source.Path] = by
			ms = append(ms, x.file.Messages...)
			made = append(made, x.file)
		}
	}
	if len(made) == 0 {
		return files, ms
	}
	all := append(slices.Clone(files), made...)
	slices.SortStableFunc(all, func(a, b *syntax.File) int { return cmp.Compare(a.Source.Path, b.Source.Path) })
	return all, ms
}

// SheetsOf gives the paths of the sheets that a bound library is made of, sorted.
func SheetsOf(files []*syntax.File) (paths []string) {
	for _, f := range files {
		if f.Source.Sheet != nil && f.Source.Sheet.File != "" {
			paths = append(paths, f.Source.Sheet.File)
		}
	}
	slices.Sort(paths)
	return slices.Compact(paths)
}
