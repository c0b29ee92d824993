package main

import (
	"bytes"
	"context"
	"fmt"
	"io"
	"runtime"
	"slices"
	"strings"
	"sync"

	"benchproof/compiler"
	"benchproof/compiler/document"
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

	suffix string          // ".s32" where the documents are for some members
	built  map[string]bool // the procedures that get a document
	order  []int           // their indices

	documents int
	messages  []*message.Message
	unshown   []string
}

// plan finds which procedures get documents, and under which names.
func (b *builder) plan() error {
	for _, m := range b.options.For {
		b.suffix += "." + m.Name
	}
	b.built = map[string]bool{}
	for i, p := range b.result.Library.Procedures {
		if b.result.Applies(i, b.options.For) {
			b.built[p.Name] = true
			b.order = append(b.order, i)
		}
	}
	switch {
	case len(b.result.Library.Procedures) == 0:
		return fmt.Errorf("the library has no procedure, so there is nothing to make")
	case len(b.order) == 0:
		return fmt.Errorf("no procedure applies to %s", strings.TrimPrefix(b.suffix, "."))
	}
	return nil
}

// href is the address of a procedure's page beside the others.
func (b *builder) href(procedure string) string {
	if !b.built[procedure] {
		return ""
	}
	return procedure + b.suffix + ".html"
}

// piece is what the work on one procedure gave.
type piece struct {
	messages []*message.Message
	unshown  []string
	entry    *html.Entry
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
	next := make(chan int)
	var wg sync.WaitGroup
	for range min(len(b.order), runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			for n := range next {
				name := b.result.Library.Procedures[b.order[n]].Name
				if pieces[n] = b.procedure(b.order[n], name, out); pieces[n].err != nil {
					stop()
				}
				progress.step(name)
			}
		})
	}
	for n := range b.order {
		select {
		case next <- n:
			continue
		case <-ctx.Done():
		}
		break
	}
	close(next)
	wg.Wait()
	var entries []html.Entry
	for _, p := range pieces {
		if p.err != nil {
			return p.err
		}
		b.messages = append(b.messages, p.messages...)
		b.unshown = append(b.unshown, p.unshown...)
		if p.entry != nil {
			b.documents += len(b.formats)
			entries = append(entries, *p.entry)
		}
	}
	if err := ctx.Err(); err != nil {
		return err
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
	doc, messages := b.result.Document(i, b.options)
	p.messages = messages
	if doc == nil || message.HasErrors(messages) && !b.options.Draft {
		return p
	}
	buffer := buffers.Get().(*bytes.Buffer)
	defer buffers.Put(buffer)
	var links []html.Link
	for _, f := range b.formats {
		buffer.Reset()
		unshown, err := f.write(buffer, doc, b)
		if err != nil {
			p.err = fmt.Errorf("%s: %w", f.name, err)
			return p
		}
		file := name + b.suffix + f.suffix
		links = append(links, html.Link{Format: f.title, Href: file})
		for _, line := range unshown {
			p.unshown = append(p.unshown, file+": "+line)
		}
		if p.err = out.write(file, buffer.Bytes()); p.err != nil {
			return p
		}
	}
	entry := html.EntryOf(doc, links...)
	p.entry = &entry
	return p
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

// index writes the page that lists the documents.
func (b *builder) index(out *output, entries []html.Entry) error {
	var buffer bytes.Buffer
	lib := b.result.Library
	if err := html.Index(&buffer, entries, html.IndexOptions{Library: lib.Title, Owner: lib.Owner, Language: lib.Language}); err != nil {
		return fmt.Errorf("%s: %w", indexName, err)
	}
	return out.write(indexName, buffer.Bytes())
}
