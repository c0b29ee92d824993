package main

import (
	"bytes"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"sync"
	"sync/atomic"

	"github.com/spf13/pflag"

	"benchproof/cmd/benchproof/store"
	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/compiler/words"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/render/html"
)

// cacheVariable names the folder that results are kept in between runs; where
// it is not set, a folder of the program's own in the user's cache folder.
const cacheVariable = "BENCHPROOF_CACHE"

// mostKept bounds that folder, in bytes: twice what ten thousand procedures take.
const mostKept = 8 << 30

// remembering are the options of commands that use what earlier runs found.
type remembering struct {
	noCache, counts bool
}

func (r *remembering) flags(f *pflag.FlagSet) {
	f.BoolVar(&r.noCache, "no-cache", false, "use nothing that an earlier run has kept, and keep nothing ($"+cacheVariable+" names the folder)")
	f.BoolVar(&r.counts, "counts", false, "say on standard error how much was done and how much was known")
}

// A memory is what earlier runs have found, and the library as this run reads
// it. What is known is kept under keys made of the program itself and of
// everything that the result depends on. There are three kinds: what was found of a
// whole library, that a procedure is clean and which documents it gives, and the
// bytes of documents.
type memory struct {
	fsys     *steadyFS
	store    *store.Store
	identity string
	counted  counters
	// date is the day on which calibration is judged, or empty.
	date string

	once    sync.Once
	reaches []compiler.Reach
}

// counters tell how much a run has done.
type counters struct {
	whole    atomic.Bool // nothing was done: the whole library was known
	judged   atomic.Int64
	lowered  atomic.Int64
	rendered atomic.Int64
	written  atomic.Int64
}

// newMemory opens what was kept. Without a store it remembers nothing, and only
// sees to it that the library holds still.
func newMemory(fsys fs.FS, o remembering) *memory {
	m := &memory{fsys: newSteadyFS(fsys)}
	if o.noCache {
		return m
	}
	dir := os.Getenv(cacheVariable)
	if dir == "" {
		cache, err := os.UserCacheDir()
		if err != nil {
			return m
		}
		dir = filepath.Join(cache, "benchproof")
	}
	identity, err := programIdentity()
	if err != nil {
		return m
	}
	m.identity = identity
	m.store = store.Open(dir, mostKept)
	return m
}

func (m *memory) close() { m.store.Close() }

func (m *memory) say(w io.Writer, procedures int) {
	c := &m.counted
	if c.whole.Load() {
		fmt.Fprintf(w, "nothing has changed: 0 judged, 0 lowered, 0 rendered, %d written\n", c.written.Load())
		return
	}
	fmt.Fprintf(w, "%s: %d judged, %d lowered, %d rendered, %d written\n",
		count(procedures, "procedure"), c.judged.Load(), c.lowered.Load(), c.rendered.Load(), c.written.Load())
}

// programIdentity tells this program from every other build of it: a hash of
// its file. The recorded version is the same for many builds.
var programIdentity = sync.OnceValues(func() (string, error) {
	path, err := os.Executable()
	if err != nil {
		return "", err
	}
	f, err := os.Open(path)
	if err != nil {
		return "", err
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return "", err
	}
	return hex.EncodeToString(h.Sum(nil)), nil
})

func (m *memory) key(texts ...string) store.Key {
	return store.KeyOf(append([]string{m.identity}, texts...)...)
}

// get reads a kept value.
func (m *memory) get(k store.Key, into any) bool {
	data, ok := m.store.Get(k)
	return ok && json.Unmarshal(data, into) == nil
}

func (m *memory) put(k store.Key, v any) {
	if m.store == nil {
		return
	}
	data, err := json.Marshal(v)
	if err == nil {
		m.store.Put(k, data)
	}
}

// check reads the library and finds all that can be known about it.
func (m *memory) check(ctx context.Context, name string) (*compiler.Result, error) {
	sources, err := m.read(name)
	if err != nil {
		return nil, err
	}
	return m.checkSources(ctx, sources)
}

func (m *memory) read(name string) (*compiler.Sources, error) {
	sources, err := compiler.Read(m.fsys)
	if err != nil {
		return nil, fmt.Errorf("%s: %w", name, err)
	}
	sources.Date = m.date
	return sources, nil
}

func (m *memory) checkSources(ctx context.Context, sources *compiler.Sources) (*compiler.Result, error) {
	var known func(*library.Library) []bool
	if m.store != nil {
		known = m.known
	}
	result, err := compiler.CheckKnowing(ctx, sources, known)
	if err != nil {
		return nil, err
	}
	m.learn(result)
	return result, nil
}

// checkOne finds all that can be known of one procedure.
func (m *memory) checkOne(ctx context.Context, sources *compiler.Sources, name string) (*compiler.Result, int, error) {
	var known func(*library.Library) []bool
	if m.store != nil {
		known = m.known
	}
	result, at, err := compiler.CheckOne(ctx, sources, name, known)
	if err != nil {
		return nil, 0, err
	}
	m.learn(result)
	return result, at, nil
}

// learn keeps which procedures are clean.
func (m *memory) learn(result *compiler.Result) {
	for i, known := range result.Known {
		if known {
			continue
		}
		m.counted.judged.Add(1)
		if result.Clean[i] && m.store != nil {
			m.reach(result.Library)
			m.store.Put(m.cleanKey(i), nil)
		}
	}
}

func (m *memory) cleanKey(i int) store.Key { return m.key("clean", string(m.reaches[i].Digest[:])) }

// reach finds what each procedure is made of.
func (m *memory) reach(lib *library.Library) {
	m.once.Do(func() {
		r := compiler.NewReacher(lib)
		for i := range lib.Procedures {
			m.reaches = append(m.reaches, r.Of(i))
		}
	})
}

// known tells which procedures an earlier run has found clean.
func (m *memory) known(lib *library.Library) []bool {
	m.reach(lib)
	out := make([]bool, len(lib.Procedures))
	for i := range out {
		_, out[i] = m.store.Get(m.cleanKey(i))
	}
	return out
}

// --- documents ---------------------------------------------------------------

// A keptFile is a document as it was written.
type keptFile struct {
	Name    string
	Sum     string // SHA-256, hexadecimal
	Size    int64
	Unshown []string `json:",omitempty"`
}

// keptDocuments are the documents of one procedure.
type keptDocuments struct {
	Entry html.Entry
	Files []keptFile
}

func sumOf(data []byte) string {
	sum := sha256.Sum256(data)
	return hex.EncodeToString(sum[:])
}

func (m *memory) blobKey(sum string) store.Key { return store.KeyOf("bytes", sum) }

// blob gives the bytes of a document by their hash.
func (m *memory) blob(f keptFile) ([]byte, bool) {
	data, ok := m.store.Get(m.blobKey(f.Sum))
	return data, ok && int64(len(data)) == f.Size
}

// documentKey stands for all that the documents of a procedure are made of, or
// is false where a figure has not been read.
func (m *memory) documentKey(b *builder, i int) (store.Key, bool) {
	if m.store == nil || b.options.Draft {
		return store.Key{}, false
	}
	m.reach(b.result.Library)
	reach := m.reaches[i]
	texts := []string{"documents", string(reach.Digest[:]), b.asked()}
	if b.language != "" {
		sum, ok := m.fsys.sum(words.Folder + "/" + b.language + ".po")
		if !ok {
			return store.Key{}, false
		}
		texts = append(texts, "in "+b.language, string(sum[:]))
	}
	for _, p := range reach.Procedures {
		texts = append(texts, p, b.href(p))
	}
	for _, name := range reach.Figures {
		sum, ok := m.fsys.sum(name)
		if !ok {
			if _, err := m.fsys.ReadFile(name); err != nil {
				return store.Key{}, false
			}
			sum, _ = m.fsys.sum(name)
		}
		texts = append(texts, name, string(sum[:]))
	}
	return m.key(texts...), true
}

// outputKey stands for all that one file is made of.
func (m *memory) outputKey(b *builder, f format, doc *document.Document, digest []byte) store.Key {
	texts := []string{"output", f.name, fmt.Sprint(b.paper), string(digest)}
	for _, finish := range doc.Finishes {
		texts = append(texts, b.href(finish.To))
	}
	return m.key(texts...)
}

// --- whole libraries -----------------------------------------------------------

// A keptLibrary is what a build of a whole library came to.
type keptLibrary struct {
	Messages  []keptMessage
	Unshown   []string
	Files     []keptFile
	Documents int
}

// sourcesKey stands for all that was read up to now.
func (m *memory) sourcesKey() store.Key {
	return m.key(append([]string{"figures of"}, m.fsys.sums()...)...)
}

// libraryKey stands for all that a build is made of: sources, figures, options.
func (m *memory) libraryKey(asked string) store.Key {
	return m.key(append([]string{"library", asked}, m.fsys.sums()...)...)
}

// recall gives what a build of exactly this library with these options came to.
// Only the sources have been read; which figures there are was kept with them.
func (m *memory) recall(asked string) (*keptLibrary, bool) {
	var figures []string
	if m.store == nil || !m.get(m.sourcesKey(), &figures) {
		return nil, false
	}
	for _, name := range figures {
		if info, err := fs.Stat(m.fsys, name); err != nil || !info.Mode().IsRegular() {
			return nil, false
		}
		if _, err := m.fsys.ReadFile(name); err != nil {
			return nil, false
		}
	}
	k := &keptLibrary{}
	return k, m.get(m.libraryKey(asked), k)
}

// keep keeps what a build came to. The sources' key is that of before the
// figures were read.
func (m *memory) keep(key store.Key, sources *compiler.Sources, asked string, k *keptLibrary) {
	if m.store == nil || m.fsys.odd {
		return
	}
	m.put(key, m.fsys.others(sources))
	m.put(m.libraryKey(asked), k)
}

// --- messages --------------------------------------------------------------------

// A keptMessage is a message with its places as paths and offsets.
type keptMessage struct {
	Message message.Message // without places
	At      keptSpan
	Related []keptSpan
	Edits   []keptSpan
}

type keptSpan struct {
	Path       string
	Start, End int
}

func keepSpan(s source.Span) keptSpan {
	if s.File == nil {
		return keptSpan{Start: s.Start, End: s.End}
	}
	return keptSpan{s.File.Path, s.Start, s.End}
}

func keepMessages(list []*message.Message) []keptMessage {
	var out []keptMessage
	for _, m := range list {
		k := keptMessage{Message: *m, At: keepSpan(m.Span)}
		k.Message.Span = source.Span{}
		k.Message.Related = slices.Clone(m.Related)
		for i := range k.Message.Related {
			k.Related = append(k.Related, keepSpan(m.Related[i].Span))
			k.Message.Related[i].Span = source.Span{}
		}
		k.Message.Edits = slices.Clone(m.Edits)
		for i := range k.Message.Edits {
			k.Edits = append(k.Edits, keepSpan(m.Edits[i].Span))
			k.Message.Edits[i].Span = source.Span{}
		}
		out = append(out, k)
	}
	return out
}

// messages gives kept messages their places in the sources again.
func (k *keptLibrary) messages(sources *compiler.Sources) ([]*message.Message, bool) {
	files := map[string]*source.File{}
	for _, f := range slices.Concat(sources.Files, sources.Translations) {
		files[f.Path] = f
	}
	ok := true
	span := func(s keptSpan) source.Span {
		if s.Path != "" && files[s.Path] == nil {
			ok = false
		}
		return source.Span{File: files[s.Path], Start: s.Start, End: s.End}
	}
	var out []*message.Message
	for i := range k.Messages {
		x := &k.Messages[i]
		m := &x.Message
		if len(x.Related) != len(m.Related) || len(x.Edits) != len(m.Edits) {
			return nil, false
		}
		m.Span = span(x.At)
		for j := range m.Related {
			m.Related[j].Span = span(x.Related[j])
		}
		for j := range m.Edits {
			m.Edits[j].Span = span(x.Edits[j])
		}
		out = append(out, m)
	}
	return out, ok
}

// sameSum tells whether a file stands there with exactly the bytes of a kept one.
func sameSum(path string, k keptFile) bool {
	info, err := os.Lstat(path)
	if err != nil || !info.Mode().IsRegular() || info.Size() != k.Size {
		return false
	}
	f, err := os.Open(path)
	if err != nil {
		return false
	}
	defer f.Close()
	h := sha256.New()
	if _, err := io.Copy(h, f); err != nil {
		return false
	}
	return bytes.Equal(h.Sum(nil), unhex(k.Sum))
}

func unhex(s string) []byte {
	b, err := hex.DecodeString(s)
	if err != nil {
		return nil // of no length, so it equals no hash
	}
	return b
}

// asked gives the options that decide what is made, as a text.
func (b *builder) asked() string {
	var out strings.Builder
	for _, m := range b.options.For {
		fmt.Fprintf(&out, "for %s=%s ", m.Variant.Name, m.Name)
	}
	for _, f := range b.formats {
		fmt.Fprintf(&out, "to %s ", f.name)
	}
	fmt.Fprintf(&out, "on %v", b.paper)
	return out.String()
}

// A fetched file stands in the output already or is on its way there.
type fetched struct {
	keptFile
	there bool
	data  []byte
}

// fetch looks for the bytes of a kept file, in the output and in the store.
func (m *memory) fetch(f keptFile, dir string) (fetched, bool) {
	if sameSum(filepath.Join(dir, f.Name), f) {
		return fetched{keptFile: f, there: true}, true
	}
	data, ok := m.blob(f)
	return fetched{keptFile: f, data: data}, ok
}

// place puts a fetched file into the output.
func (f fetched) place(out *output) error {
	if f.there {
		return out.claim(f.Name)
	}
	return out.write(f.Name, f.data)
}
