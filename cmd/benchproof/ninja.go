package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"path/filepath"
	"slices"
	"strings"

	"benchproof/compiler"
	"benchproof/compiler/library"
	"benchproof/compiler/words"
	"benchproof/dsl/source"
)

// writeDepfile says, in the form that make and ninja read, which files others
// are made of. It is written whole or not at all.
func writeDepfile(name string, made, from []string) error {
	var b bytes.Buffer
	for i, list := range [][]string{made, from} {
		for j, path := range list {
			escaped, err := makePath(path)
			if err != nil {
				return fmt.Errorf("--depfile: %w", err)
			}
			if j > 0 || i > 0 {
				b.WriteString(" ")
			}
			if i > 0 {
				b.WriteString("\\\n  ")
			}
			b.WriteString(escaped)
		}
		if i == 0 {
			b.WriteString(":")
		}
	}
	b.WriteString("\n")
	if err := writeWhole(name, b.Bytes()); err != nil {
		return fmt.Errorf("the depfile cannot be written: %w", err)
	}
	return nil
}

// makePath gives a path as make reads it.
func makePath(p string) (string, error) {
	if strings.ContainsAny(p, "\n\r") {
		return "", fmt.Errorf("%q has a line break in its name, which such a file cannot say", p)
	}
	return strings.NewReplacer(`\`, `/`, " ", `\ `, "#", `\#`, "$", "$$").Replace(filepath.ToSlash(p)), nil
}

// ninjaOptions are what a build by ninja makes.
type ninjaOptions struct {
	out, paper string
	to         []string
	// languages to make documents in; none: that of the sources.
	languages []string
}

// ninjaFile is the name that the file has to have to be made anew when source
// files come or go.
const ninjaFile = "build.ninja"

// writeNinja writes the build of a library for ninja: a step for each procedure,
// one for the index and one that checks the whole library. Each procedure's step
// says by its depfile what it is made of.
func writeNinja(ctx context.Context, w io.Writer, dir string, o ninjaOptions) error {
	fsys, err := openFolder(dir)
	if err != nil {
		return err
	}
	sources, err := compiler.Read(fsys)
	if err != nil {
		return fmt.Errorf("%s: %w", dir, err)
	}
	lib, err := compiler.Outline(ctx, sources)
	if err != nil {
		return err
	}
	if len(lib.Procedures) == 0 {
		return fmt.Errorf("the library has no procedure, so there is nothing to make")
	}
	program, err := ownPath()
	if err != nil {
		return err
	}
	n := &ninja{dir: dir}
	options := fmt.Sprintf("--out %s --to %s --paper %s", n.word(o.out), n.word(strings.Join(o.to, ",")), n.word(o.paper))
	var spoken []spokenIn
	again := ""
	if len(o.languages) > 0 {
		again = " --language " + n.word(strings.Join(o.languages, ","))
		if spoken, err = spokenBy(sources, lib, o.languages); err != nil {
			return err
		}
	} else {
		spoken = []spokenIn{{index: indexName, all: true}}
	}
	library := n.word(dir)
	inner := filepath.Join(o.out, ".ninja")

	run := n.word(program)
	fmt.Fprintf(&n.b, "# Made by benchproof dump --stage ninja. Keep it as %s.\nninja_required_version = 1.8\nbuilddir = %s\nbenchproof = %s\n\n", ninjaFile, n.path(inner), n.path(program))
	// Names of procedures are words without a space; paths are not.
	fmt.Fprintf(&n.b, "rule document\n  command = %s build %s --only $name %s$in_language --depfile %s/$name$suffix.d\n  depfile = $builddir/$name$suffix.d\n  deps = gcc\n  restat = 1\n  description = $name\n\n", run, library, options, n.word(filepath.ToSlash(inner)))
	fmt.Fprintf(&n.b, "rule index\n  command = %s build %s --only %s %s$in_language\n  restat = 1\n  description = %s\n\n", run, library, indexName, options, indexName)
	fmt.Fprintf(&n.b, "rule check\n  command = %s check %s && : > $out\n  description = check\n\n", run, library)
	fmt.Fprintf(&n.b, "rule regenerate\n  command = %s dump --stage ninja %s %s > $out.new && mv -f $out.new $out && touch $out\n  generator = 1\n  description = regenerate\n\n", run, library, options+again)

	var all, folders []string
	add := func(name string) {
		all = append(all, n.path(n.in(name)))
		if d := n.path(n.in(path.Dir(name))); !slices.Contains(folders, d) {
			folders = append(folders, d)
		}
	}
	for _, f := range sources.Files {
		add(f.Path)
	}
	for _, f := range sources.Translations {
		add(f.Path)
	}
	if top := n.path(dir); !slices.Contains(folders, top) {
		folders = append(folders, top)
	}
	figures := map[string]bool{}
	for _, f := range lib.Figures {
		name := path.Clean(f.File)
		// One that is not there cannot be waited for; its folder can.
		if info, err := fs.Stat(fsys, name); err == nil && info.Mode().IsRegular() && !figures[name] {
			figures[name] = true
			add(name)
		}
	}
	for _, name := range compiler.SheetsOf(lib.Files) {
		name = path.Clean(name)
		if info, err := fs.Stat(fsys, name); err == nil && info.Mode().IsRegular() {
			add(name)
		}
	}
	fmt.Fprintf(&n.b, "build all-sources: phony %s\n\n", strings.Join(all, " "))
	fmt.Fprintf(&n.b, "build %s: regenerate | $benchproof %s\n\n", ninjaFile, strings.Join(folders, " "))
	stamp := n.path(filepath.Join(inner, "checked"))
	fmt.Fprintf(&n.b, "build %s: check | $benchproof all-sources\n", stamp)
	for _, s := range spoken {
		b := &n.b
		in := ""
		if s.language != "" {
			in = "  in_language = $ --language " + s.language + "\n"
		}
		// Each source by itself: of an index that is left as it was, ninja notes the
		// time of its newest input, and a phony one has none.
		fmt.Fprintf(b, "build %s: index | $benchproof %s\n%s", n.path(filepath.Join(o.out, s.index)), strings.Join(all, " "), in)
		for _, p := range lib.Procedures {
			if !s.all && !s.procedures[p.Name] {
				continue
			}
			b.WriteString("build")
			for _, f := range chosenFormats(o.to) {
				b.WriteString(" " + n.path(filepath.Join(o.out, p.Name+s.suffix+f.suffix)))
			}
			fmt.Fprintf(b, ": document %s | $benchproof\n  name = %s\n%s", n.path(n.in(p.Whole.File.Path)), p.Name, in)
			if s.suffix != "" {
				fmt.Fprintf(b, "  suffix = %s\n", s.suffix)
			}
		}
	}
	if n.fault != nil {
		return n.fault
	}
	_, err = w.Write(n.b.Bytes())
	return err
}

// spokenIn is a language that documents are made in, and for which procedures.
type spokenIn struct {
	language, suffix, index string
	all                     bool // procedures
	procedures              map[string]bool
}

// spokenBy finds for which procedures there are words in some languages.
func spokenBy(sources *compiler.Sources, lib *library.Library, languages []string) (out []spokenIn, err error) {
	for _, language := range slices.Compact(slices.Sorted(slices.Values(languages))) {
		if language == lib.Language {
			out = append(out, spokenIn{language: language, index: indexName, all: true})
			continue
		}
		s := spokenIn{language: language, suffix: "." + language, index: translatedIndex(language), procedures: map[string]bool{}}
		name := words.Folder + "/" + language + ".po"
		at := slices.IndexFunc(sources.Translations, func(f *source.File) bool { return f.Path == name })
		if at < 0 {
			return nil, fmt.Errorf("--language %s: the library has no translation %s", language, name)
		}
		f, _ := words.Read(sources.Translations[at])
		t := words.Of(lib, f)
		for _, p := range lib.Procedures {
			s.procedures[p.Name] = t.Speaks(p.Name)
		}
		out = append(out, s)
	}
	return out, nil
}

// A ninja is a file of ninja in the making.
type ninja struct {
	dir   string
	b     bytes.Buffer
	fault error
}

// in gives the path of a file of the library.
func (n *ninja) in(name string) string { return filepath.Join(n.dir, filepath.FromSlash(name)) }

// path gives a path as ninja reads it.
func (n *ninja) path(p string) string {
	if strings.ContainsAny(p, "\n\r") && n.fault == nil {
		n.fault = fmt.Errorf("%q has a line break in its name, which ninja cannot read", p)
	}
	return strings.NewReplacer("$", "$$", " ", "$ ", ":", "$:").Replace(filepath.ToSlash(p))
}

// word gives one word of a command, for a shell behind ninja.
func (n *ninja) word(s string) string {
	if strings.ContainsAny(s, "\n\r") && n.fault == nil {
		n.fault = fmt.Errorf("%q has a line break in its name, which ninja cannot read", s)
	}
	return strings.ReplaceAll("'"+strings.ReplaceAll(s, "'", `'\''`)+"'", "$", "$$")
}

// ownPath is the path of this program: as it was called, where that leads to it.
func ownPath() (string, error) {
	if p, err := exec.LookPath(os.Args[0]); err == nil {
		return filepath.Abs(p)
	}
	return os.Executable()
}
