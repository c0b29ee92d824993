package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"slices"
	"strings"
	"sync"

	"benchproof/cmd/benchproof/store"
	"benchproof/compiler"
	"benchproof/compiler/crew"
	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/compiler/release"
	"benchproof/dsl/message"
	"benchproof/render/html"
	"benchproof/render/markdown"
	"benchproof/render/pdf"
)

// indexName is the page that lists the documents.
const indexName = "index.html"

// A format is a way to write a document.
type format struct {
	name, suffix, title string
	// write also gives what could not be shown as written, a line each.
	write func(w io.Writer, doc *document.Document, b *builder) ([]string, error)
}

var formats = []format{
	{"html", ".html", "HTML", func(w io.Writer, doc *document.Document, b *builder) ([]string, error) {
		return nil, html.Render(w, doc, html.Options{Href: b.href})
	}},
	{"markdown", ".md", "Markdown", func(w io.Writer, doc *document.Document, _ *builder) ([]string, error) {
		return nil, markdown.Render(w, doc)
	}},
	{"pdf", ".pdf", "PDF", func(w io.Writer, doc *document.Document, b *builder) ([]string, error) {
		missing, err := pdf.Render(w, doc, pdf.Options{Paper: b.paper})
		var lines []string
		for _, m := range missing {
			lines = append(lines, m.String())
		}
		return lines, err
	}},
}

func formatNames() []string {
	var names []string
	for _, f := range formats {
		names = append(names, f.name)
	}
	return names
}

// A builder makes the documents of a library, several at once.
type builder struct {
	result  *compiler.Result
	options compiler.DocumentOptions
	formats []format
	paper   pdf.Paper
	stderr  io.Writer
	memory  *memory
	only    string // the one procedure to make, or the index; empty: everything
	// released: only procedures whose newest revision is.
	released bool

	// language is that of a translation; empty: that of the sources.
	language string

	suffix string          // ".s32" where the documents are for some members, ".de" in a translation
	each   bool            // a document for each machine that a procedure is for
	built  map[string]bool // the documents that are made: procedure and suffix
	order  []target

	documents int
	messages  []*message.Message
	unshown   []string
	files     []keptFile // what was made, in the order of the procedures
}

// A target is one document to be made: a procedure, for some members.
type target struct {
	index   int
	members []*library.Member
}

// mostDocuments bounds what one build is asked for.
const mostDocuments = 100_000

// plan finds which documents are made, and under which names.
func (b *builder) plan() error {
	asked := b.options.For
	b.suffix = b.suffixOf(asked)
	members := strings.TrimPrefix(strings.TrimSuffix(b.suffix, "."+b.language), ".")
	b.built = map[string]bool{}
	any := !b.released
	silent := 0
	for i, p := range b.result.Library.Procedures {
		if !b.result.Speaks(i) && p.Name != b.only {
			silent++
			continue
		}
		if b.released {
			if s := release.StandingOf(b.result.Library, p); s.Released == nil || s.Withdrawn != nil {
				continue
			}
			any = true
		}
		if !b.result.Applies(i, asked) {
			continue
		}
		targets := []target{{i, asked}}
		if b.each {
			targets = eachMachine(i, p, asked)
		}
		if len(b.order)+len(targets) > mostDocuments {
			return fmt.Errorf("--each: these would be more than %d documents; ask for fewer members with --for", mostDocuments)
		}
		for _, t := range targets {
			b.built[p.Name+b.suffixOf(t.members)] = true
		}
		b.order = append(b.order, targets...)
	}
	switch {
	case len(b.result.Library.Procedures) == 0:
		return fmt.Errorf("the library has no procedure, so there is nothing to make")
	case silent == len(b.result.Library.Procedures):
		return fmt.Errorf("--language %s: no procedure has any text in the language", b.language)
	case b.released && b.only != "" && b.only != indexName && !b.built[b.only+b.suffix]:
		return fmt.Errorf("--only %s: its newest revision is not released", b.only)
	case !any:
		return fmt.Errorf("no procedure is released, so there is nothing to make")
	case len(b.order) == 0:
		return fmt.Errorf("no procedure applies to %s", members)
	}
	if silent > 0 && b.only == "" {
		fmt.Fprintf(b.stderr, "%s: no text of it is translated, so no document is made of %s\n", b.language, count(silent, "procedure"))
	}
	if b.only != "" && b.only != indexName {
		b.order = slices.DeleteFunc(b.order, func(t target) bool { return b.result.Library.Procedures[t.index].Name != b.only })
		if len(b.order) == 0 {
			return fmt.Errorf("--only %s: it does not apply to %s", b.only, members)
		}
	}
	return nil
}

// eachMachine gives a document for each combination of the members that a
// procedure applies to, of the families that it differs by.
func eachMachine(i int, p *library.Procedure, asked []*library.Member) []target {
	out := []target{{index: i}}
	for _, a := range p.Applies {
		some := slices.DeleteFunc(slices.Clone(a.Members), func(m *library.Member) bool {
			of := func(x *library.Member) bool { return x.Variant == a.Variant }
			return slices.ContainsFunc(asked, of) && !slices.Contains(asked, m)
		})
		var next []target
		for _, t := range out {
			for _, m := range some {
				if len(next) <= mostDocuments {
					next = append(next, target{i, append(slices.Clone(t.members), m)})
				}
			}
		}
		out = next
	}
	return out
}

// suffixOf stands in the file names of documents for some members: ".s32". A
// name that members of several families have is told apart by the family.
func (b *builder) suffixOf(members []*library.Member) string {
	suffix := ""
	for _, m := range members {
		suffix += "."
		for _, v := range b.result.Library.Variants {
			if v != m.Variant && slices.ContainsFunc(v.Members, func(o *library.Member) bool { return o.Name == m.Name }) {
				suffix += m.Variant.Name + "-"
				break
			}
		}
		suffix += m.Name
	}
	if b.language != "" {
		suffix += "." + b.language
	}
	return suffix
}

// towards gives the builder of one document.
func (b *builder) towards(t target) *builder {
	one := *b
	one.options.For = t.members
	one.suffix = b.suffixOf(t.members)
	return &one
}

// href is the address of a procedure's page beside the others: of the one for
// the same members, where there is just one.
func (b *builder) href(procedure string) string {
	suffix := b.suffix
	if b.each {
		for _, p := range b.result.Library.Procedures {
			if p.Name != procedure {
				continue
			}
			var same []*library.Member
			for _, a := range p.Applies {
				for _, m := range b.options.For {
					if m.Variant == a.Variant {
						same = append(same, m)
					}
				}
			}
			suffix = b.suffixOf(same)
		}
	}
	if !b.built[procedure+suffix] {
		return ""
	}
	return procedure + suffix + ".html"
}

// piece is what the work on one procedure gave.
type piece struct {
	messages []*message.Message
	unshown  []string
	entry    *html.Entry
	files    []keptFile
	err      error
}

// render writes all documents into the output's staging, on all processors.
// What they give is gathered in the order of the procedures.
func (b *builder) render(ctx context.Context, out *output) error {
	pieces := make([]piece, len(b.order))
	progress := newProgress(b.stderr, len(b.order))
	defer progress.end()
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	stopped := crew.Each(ctx, len(b.order), func(n int) {
		name := b.result.Library.Procedures[b.order[n].index].Name
		if pieces[n] = b.towards(b.order[n]).procedure(b.order[n].index, name, out); pieces[n].err != nil {
			stop()
		}
		progress.step(name)
	})
	var entries []html.Entry
	for _, p := range pieces {
		if p.err != nil {
			return p.err
		}
		b.messages = append(b.messages, p.messages...)
		b.unshown = append(b.unshown, p.unshown...)
		b.files = append(b.files, p.files...)
		if p.entry != nil {
			b.documents += len(b.formats)
			entries = append(entries, *p.entry)
		}
	}
	if stopped != nil {
		return stopped
	}
	if b.only != "" && b.only != indexName {
		return nil
	}
	return b.index(out, entries)
}

// buffers are reused from document to document.
var buffers = sync.Pool{New: func() any { return new(bytes.Buffer) }}

// procedure makes the documents of one procedure.
func (b *builder) procedure(i int, name string, out *output) (p piece) {
	defer func() {
		if fault := recover(); fault != nil {
			p.err = fmt.Errorf("%s: the program failed, which is a fault of its own: %v", name, fault)
		}
	}()
	key, keyed := b.memory.documentKey(b, i)
	if keyed {
		if p, known := b.known(key, out); known {
			return p
		}
	}
	doc, messages := b.result.Document(i, b.options)
	b.memory.counted.lowered.Add(1)
	p.messages = messages
	if doc == nil || message.HasErrors(messages) && !b.options.Draft {
		return p
	}
	var links []html.Link
	for _, f := range b.formats {
		links = append(links, html.Link{Format: f.title, Href: name + b.suffix + f.suffix})
	}
	entry := html.EntryOf(doc, links...)
	p.entry = &entry
	if b.only == indexName {
		return p
	}
	if p.files, p.err = b.write(doc, name, out); p.err != nil {
		return p
	}
	for _, f := range p.files {
		p.unshown = append(p.unshown, f.Unshown...)
	}
	if keyed && len(messages) == 0 {
		b.memory.put(key, keptDocuments{entry, p.files})
	}
	return p
}

// known puts the documents of a procedure in their places as they were made
// before, of exactly the same declarations and figures.
func (b *builder) known(key store.Key, out *output) (p piece, known bool) {
	var kept keptDocuments
	if !b.memory.get(key, &kept) || len(kept.Files) != len(b.formats) {
		return p, false
	}
	if b.only == indexName {
		return piece{entry: &kept.Entry}, true
	}
	var all []fetched
	for _, f := range kept.Files {
		file, ok := b.memory.fetch(f, out.dir)
		if !ok {
			return p, false
		}
		all = append(all, file)
	}
	for _, f := range all {
		if p.err = f.place(out); p.err != nil {
			return p, true
		}
		p.unshown = append(p.unshown, f.Unshown...)
	}
	p.entry, p.files = &kept.Entry, kept.Files
	return p, true
}

// write writes one document in every format. One that was made before of an
// equal document is taken as it was.
func (b *builder) write(doc *document.Document, name string, out *output) ([]keptFile, error) {
	buffer := buffers.Get().(*bytes.Buffer)
	defer buffers.Put(buffer)
	var digest []byte
	if b.memory.store != nil {
		sum := digestOf(doc)
		digest = sum[:]
	}
	var files []keptFile
	for _, f := range b.formats {
		file := name + b.suffix + f.suffix
		key := b.memory.outputKey(b, f, doc, digest)
		var kept keptFile
		if b.memory.get(key, &kept) && kept.Name == file {
			if old, ok := b.memory.fetch(kept, out.dir); ok {
				if err := old.place(out); err != nil {
					return nil, err
				}
				files = append(files, kept)
				continue
			}
		}
		buffer.Reset()
		unshown, err := f.write(buffer, doc, b)
		if err != nil {
			return nil, fmt.Errorf("%s: %w", f.name, err)
		}
		b.memory.counted.rendered.Add(1)
		data := buffer.Bytes()
		kept = keptFile{Name: file, Sum: sumOf(data), Size: int64(len(data))}
		for _, line := range unshown {
			kept.Unshown = append(kept.Unshown, file+": "+line)
		}
		if err := out.write(file, data); err != nil {
			return nil, err
		}
		b.memory.store.Put(b.memory.blobKey(kept.Sum), data)
		b.memory.put(key, kept)
		files = append(files, kept)
	}
	return files, nil
}

// chosenFormats gives the formats asked for, in their fixed order.
func chosenFormats(names []string) []format {
	var out []format
	for _, f := range formats {
		if slices.Contains(names, f.name) {
			out = append(out, f)
		}
	}
	return out
}

// translatedIndex is the page that lists the documents in a language.
func translatedIndex(language string) string {
	return strings.TrimSuffix(indexName, ".html") + "." + language + ".html"
}

// index writes the page that lists the documents.
func (b *builder) index(out *output, entries []html.Entry) error {
	var buffer bytes.Buffer
	lib := b.result.Library
	name := indexName
	if b.language != "" {
		name = translatedIndex(b.language)
	}
	title, _ := b.result.Said(lib.Title)
	owner, _ := b.result.Said(lib.Owner)
	if err := html.Index(&buffer, entries, html.IndexOptions{Library: title, Owner: owner, Language: lib.Language}); err != nil {
		return fmt.Errorf("%s: %w", name, err)
	}
	data := buffer.Bytes()
	kept := keptFile{Name: name, Sum: sumOf(data), Size: int64(len(data))}
	b.memory.store.Put(b.memory.blobKey(kept.Sum), data)
	b.files = append(b.files, kept)
	return out.write(name, data)
}
