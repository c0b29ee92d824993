package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path"
	"slices"
	"strconv"
	"strings"
	"time"

	"benchproof/compiler"
	"benchproof/dsl/syntax"
)

// revisionPrefix begins the name of a library that stands in version control:
// `git:REV`, or `git:REV:FOLDER` with a folder as seen from the current one.
const revisionPrefix = "git:"

// openRevision reads the library that a revision of a git repository holds,
// with git's own commands and without touching the work tree or the index. It
// gives the full name of the commit too.
func openRevision(ctx context.Context, name string) (fs.FS, string, error) {
	rev, folder, _ := strings.Cut(strings.TrimPrefix(name, revisionPrefix), ":")
	g := &git{ctx: ctx}
	if rev == "" || strings.HasPrefix(rev, "-") {
		return nil, "", fmt.Errorf("%s names no revision: write git:REV or git:REV:FOLDER, such as git:HEAD~1", name)
	}
	if strings.HasPrefix(folder, "/") {
		return nil, "", fmt.Errorf("%s: name the folder as seen from the current one, not from the root of the disk", name)
	}
	if _, err := exec.LookPath("git"); err != nil {
		return nil, "", fmt.Errorf("%s: git is not installed, or not on the path: a revision cannot be read", name)
	}
	prefix, err := g.line("rev-parse", "--show-prefix")
	if err != nil {
		if strings.Contains(err.Error(), "not a git repository") {
			return nil, "", fmt.Errorf("%s: the current folder is in no git repository", name)
		}
		return nil, "", fmt.Errorf("%s: %w", name, err)
	}
	commit, err := g.line("rev-parse", "--verify", "--quiet", "--end-of-options", rev+"^{commit}")
	if err != nil {
		if shallow, _ := g.line("rev-parse", "--is-shallow-repository"); shallow == "true" {
			return nil, "", fmt.Errorf("%s: there is no revision %s here; this clone is shallow, git fetch --unshallow brings the older ones", name, rev)
		}
		return nil, "", fmt.Errorf("%s: there is no revision %s in this repository", name, rev)
	}
	folder = path.Join(prefix, folder)
	if folder == ".." || strings.HasPrefix(folder, "../") {
		return nil, "", fmt.Errorf("%s: the folder lies outside the repository", name)
	}
	tree, err := g.tree(commit, folder)
	if err != nil {
		return nil, "", fmt.Errorf("%s: %w", name, err)
	}
	return tree, commit, nil
}

const (
	// mostListed is how long the list of a revision's files may be, in bytes: two
	// hundred thousand files. A tree whose folders are the same folder many times, each of
	// them too, lists any number.
	mostListed = 16 << 20
	// mostSaid is how much is taken of anything else that git says: all sources that a
	// library may have, each with its heading.
	mostSaid = compiler.MaxTotal + 64<<20
)

// A bounded buffer takes so many bytes and then no more.
type bounded struct {
	buffer bytes.Buffer
	most   int
	full   bool
}

func (b *bounded) Write(p []byte) (int, error) {
	if b.buffer.Len()+len(p) > b.most {
		b.full = true
		return 0, errors.New("no more is taken")
	}
	return b.buffer.Write(p)
}

// A git runs git's commands for reading.
type git struct{ ctx context.Context }

// run gives what git says, at most so many bytes.
func (g *git) run(stdin string, most int, args ...string) ([]byte, error) {
	cmd := exec.CommandContext(g.ctx, "git", append([]string{"--no-pager", "--literal-pathspecs"}, args...)...)
	// Nothing is fetched, asked for or written while a library is read.
	cmd.Env = append(os.Environ(), "GIT_OPTIONAL_LOCKS=0", "GIT_NO_LAZY_FETCH=1", "GIT_TERMINAL_PROMPT=0", "LC_ALL=C")
	cmd.Stdin = strings.NewReader(stdin)
	out, problem := &bounded{most: most}, &bounded{most: 64 << 10}
	cmd.Stdout, cmd.Stderr = out, problem
	if err := cmd.Run(); err != nil {
		if out.full {
			return nil, fmt.Errorf("git %s lists more than %d MB: that revision has too many files", args[0], most>>20)
		}
		if said := strings.TrimSpace(problem.buffer.String()); said != "" {
			return nil, fmt.Errorf("git says: %s", strings.TrimPrefix(said, "fatal: "))
		}
		return nil, fmt.Errorf("git %s: %w", args[0], err)
	}
	return out.buffer.Bytes(), nil
}

func (g *git) line(args ...string) (string, error) {
	out, err := g.run("", mostSaid, args...)
	return strings.TrimSuffix(string(out), "\n"), err
}

// tree lists a folder of a commit and reads the sources in it. Links and
// modules are passed over, as they are in a folder on disk.
func (g *git) tree(commit, folder string) (*treeFS, error) {
	object := commit + "^{tree}"
	if folder != "" && folder != "." {
		object = commit + ":" + folder
		if kind, err := g.line("cat-file", "-t", object); err != nil || kind != "tree" {
			if err == nil {
				return nil, fmt.Errorf("%s is a file in that revision; name the folder that holds the library", folder)
			}
			return nil, fmt.Errorf("that revision has no folder %s", folder)
		}
	}
	out, err := g.run("", mostListed, "ls-tree", "-r", "-z", "-l", "--full-tree", object)
	if err != nil {
		return nil, err
	}
	t := &treeFS{git: g, files: map[string]*treeFile{}, folders: map[string][]fs.DirEntry{".": nil}}
	total := int64(0)
	var wanted []*treeFile
	for _, entry := range strings.Split(strings.TrimSuffix(string(out), "\x00"), "\x00") {
		about, name, ok := strings.Cut(entry, "\t")
		fields := strings.Fields(about)
		if !ok || len(fields) != 4 || fields[1] != "blob" || !strings.HasPrefix(fields[0], "100") || !fs.ValidPath(name) {
			continue
		}
		size, err := strconv.ParseInt(fields[3], 10, 64)
		if err != nil {
			continue
		}
		f := &treeFile{name: path.Base(name), object: fields[2], size: size}
		t.add(name, f)
		if strings.HasSuffix(name, compiler.Suffix) && size <= syntax.MaxSize {
			if total += size; total > compiler.MaxTotal {
				return nil, compiler.ErrTooLarge
			}
			wanted = append(wanted, f)
		}
	}
	return t, t.read(wanted)
}

// A treeFS is the files of a tree in version control. Sources are read at once;
// figures when somebody asks for them.
type treeFS struct {
	git     *git
	files   map[string]*treeFile
	folders map[string][]fs.DirEntry
}

// A treeFile is a file, and its own information.
type treeFile struct {
	name, object string
	size         int64
	data         []byte
	read         bool
	folder       bool
}

func (f *treeFile) Name() string               { return f.name }
func (f *treeFile) Size() int64                { return f.size }
func (f *treeFile) ModTime() time.Time         { return time.Time{} }
func (f *treeFile) IsDir() bool                { return f.folder }
func (f *treeFile) Sys() any                   { return nil }
func (f *treeFile) Info() (fs.FileInfo, error) { return f, nil }
func (f *treeFile) Type() fs.FileMode          { return f.Mode().Type() }
func (f *treeFile) Mode() fs.FileMode {
	if f.folder {
		return fs.ModeDir | 0o555
	}
	return 0o444
}

// add puts a file and the folders above it in their places.
func (t *treeFS) add(name string, f *treeFile) {
	t.files[name] = f
	var entry fs.DirEntry = f
	for dir := path.Dir(name); ; dir = path.Dir(dir) {
		_, known := t.folders[dir]
		t.folders[dir] = append(t.folders[dir], entry)
		if known || dir == "." {
			return
		}
		entry = &treeFile{name: path.Base(dir), folder: true}
	}
}

// read takes files out of the repository in one go.
func (t *treeFS) read(files []*treeFile) error {
	if len(files) == 0 {
		return nil
	}
	var names strings.Builder
	for _, f := range files {
		names.WriteString(f.object + "\n")
	}
	out, err := t.git.run(names.String(), mostSaid, "cat-file", "--batch")
	if err != nil {
		return err
	}
	r := bytes.NewBuffer(out)
	for _, f := range files {
		head, err := r.ReadString('\n')
		if fields := strings.Fields(head); err != nil || len(fields) != 3 || fields[1] != "blob" || fields[2] != strconv.FormatInt(f.size, 10) {
			return fmt.Errorf("git does not have %s: the clone is partial or damaged", f.name)
		}
		f.data = bytes.Clone(r.Next(int(f.size)))
		f.read = true
		r.Next(1)
	}
	return nil
}

// Open gives a file or a folder.
func (t *treeFS) Open(name string) (fs.File, error) {
	if !fs.ValidPath(name) {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrInvalid}
	}
	if list, ok := t.folders[name]; ok {
		return &openTree{info: &treeFile{name: path.Base(name), folder: true}, list: sorted(list)}, nil
	}
	f, ok := t.files[name]
	if !ok {
		return nil, &fs.PathError{Op: "open", Path: name, Err: fs.ErrNotExist}
	}
	if !f.read {
		if f.size > mostRead {
			return nil, &fs.PathError{Op: "open", Path: name, Err: errors.New("the file is too large")}
		}
		data, err := t.git.run("", mostSaid, "cat-file", "blob", f.object)
		if err != nil {
			return nil, &fs.PathError{Op: "open", Path: name, Err: err}
		}
		return &openTree{info: f, Reader: bytes.NewReader(data)}, nil
	}
	return &openTree{info: f, Reader: bytes.NewReader(f.data)}, nil
}

func sorted(list []fs.DirEntry) []fs.DirEntry {
	out := slices.Clone(list)
	slices.SortFunc(out, func(a, b fs.DirEntry) int { return strings.Compare(a.Name(), b.Name()) })
	return out
}

// An openTree is an open file or folder.
type openTree struct {
	*bytes.Reader
	info *treeFile
	list []fs.DirEntry
}

func (o *openTree) Stat() (fs.FileInfo, error) { return o.info, nil }
func (o *openTree) Close() error               { return nil }

// Read reads a file.
func (o *openTree) Read(b []byte) (int, error) {
	if o.Reader == nil {
		return 0, &fs.PathError{Op: "read", Path: o.info.name, Err: errors.New("is a folder")}
	}
	return o.Reader.Read(b)
}

// ReadDir gives the entries of a folder.
func (o *openTree) ReadDir(n int) ([]fs.DirEntry, error) {
	list := o.list
	if n > 0 && len(list) == 0 {
		return nil, io.EOF
	}
	if n > 0 && n < len(list) {
		list = list[:n]
	}
	o.list = o.list[len(list):]
	return list, nil
}
