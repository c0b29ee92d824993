package main

import (
	"bytes"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"sync"
	"testing"

	"benchproof/compiler"
	"benchproof/compiler/scale"
	"benchproof/procedures"
)

// An outcome is what a command came to.
type outcome struct {
	status int
	out    string
	said   string
}

// runWith runs the real program with a folder for what it keeps.
func runWith(t *testing.T, cache string, args ...string) outcome {
	t.Helper()
	cmd := program(t, args...)
	cmd.Env = append(os.Environ(), cacheVariable+"="+cache)
	var out, said bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &said
	r := outcome{}
	if err := cmd.Run(); err != nil {
		e, ok := err.(*exec.ExitError)
		if !ok || e.ExitCode() < 0 {
			t.Fatalf("benchproof %s: %v\n%s", strings.Join(args, " "), err, said.String())
		}
		r.status = e.ExitCode()
	}
	r.out, r.said = out.String(), said.String()
	return r
}

func writeLibrary(t *testing.T, dir string, files map[string]string) {
	t.Helper()
	for path, text := range files {
		path = filepath.Join(dir, filepath.FromSlash(path))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}

func edit(t *testing.T, path, from, to string) {
	t.Helper()
	text, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if !bytes.Contains(text, []byte(from)) {
		t.Fatalf("%s does not hold %q", path, from)
	}
	if err := os.WriteFile(path, bytes.ReplaceAll(text, []byte(from), []byte(to)), 0o644); err != nil {
		t.Fatal(err)
	}
}

// TestOnlyWhatChangedIsDone counts what builds do after one change each.
func TestOnlyWhatChangedIsDone(t *testing.T) {
	const n = 12
	dir := t.TempDir()
	lib, out, cache := filepath.Join(dir, "lib"), filepath.Join(dir, "out"), filepath.Join(dir, "cache")
	writeLibrary(t, lib, scale.Generate(n))
	job := filepath.Join(lib, filepath.FromSlash(scale.Path(3)))
	bench := filepath.Join(lib, scale.Bench)
	to := []string{"build", lib, "--out", out, "--to", "html,markdown", "--counts"}
	expect := func(what, want string, args ...string) {
		t.Helper()
		r := runWith(t, cache, args...)
		if r.status != 0 || r.said != want+"\n" {
			t.Errorf("%s: status %d and %q, want %q", what, r.status, r.said, want)
		}
	}
	expect("first", "12 procedures: 12 judged, 12 lowered, 24 rendered, 25 written", to...)
	expect("again", "nothing has changed: 0 judged, 0 lowered, 0 rendered, 0 written", to...)
	edit(t, job, `"Overhaul machine 0004"`, `"Overhaul the machine 0004"`)
	expect("a title", "12 procedures: 1 judged, 1 lowered, 2 rendered, 3 written", to...)
	edit(t, job, `"Overhaul the machine 0004"`, `"Overhaul machine 0004"`)
	expect("back again", "nothing has changed: 0 judged, 0 lowered, 0 rendered, 3 written", to...)
	edit(t, job, "\n", "\n\n")
	expect("lines moved", "12 procedures: 1 judged, 1 lowered, 0 rendered, 0 written", to...)
	edit(t, bench, "library ", "\n# a note of the writer's\n\nlibrary ")
	expect("a note", "12 procedures: 0 judged, 0 lowered, 0 rendered, 0 written", to...)
	edit(t, bench, `number "P-70007"`, `number "P-70007x"`)
	expect("a part of one procedure", "12 procedures: 1 judged, 1 lowered, 2 rendered, 3 written", to...)
	edit(t, bench, `routine make-safe "Make the machine safe"`, `routine make-safe "Make this machine safe"`)
	expect("a routine of all", "12 procedures: 12 judged, 12 lowered, 24 rendered, 24 written", to...)
	if err := os.Remove(filepath.Join(out, scale.Name(5)+".html")); err != nil {
		t.Fatal(err)
	}
	edit(t, filepath.Join(out, scale.Name(6)+".md"), "machine", "MACHINE")
	expect("two documents spoilt", "nothing has changed: 0 judged, 0 lowered, 0 rendered, 2 written", to...)
	expect("another folder", "nothing has changed: 0 judged, 0 lowered, 0 rendered, 25 written", "build", lib, "--out", out+"2", "--to", "html,markdown", "--counts")
	expect("another format", "12 procedures: 0 judged, 12 lowered, 0 rendered, 1 written", "build", lib, "--out", out, "--to", "html", "--counts")
	expect("check", "12 procedures: 0 judged, 0 lowered, 0 rendered, 0 written", "check", lib, "--counts")
	expect("--no-cache", "12 procedures: 12 judged, 12 lowered, 24 rendered, 1 written", append(to, "--no-cache")...)

	runProgram(t, "build", lib, "--out", out+"3", "--to", "html,markdown", "--no-cache")
	sameFiles(t, "after it all", out+"2", out+"3")
}

func sameFiles(t *testing.T, what, a, b string) {
	t.Helper()
	x, y := folderOf(t, a), folderOf(t, b)
	if len(x) != len(y) || len(x) == 0 {
		t.Fatalf("%s: %d and %d files", what, len(x), len(y))
	}
	for name, data := range x {
		if !bytes.Equal(data, y[name]) {
			t.Fatalf("%s: %s differs", what, name)
		}
	}
}

// A scribbler changes a library at random, as a writer might and as no writer
// would.
type scribbler struct {
	*rand.Rand
	t   *testing.T
	dir string
}

var wordsOf = regexp.MustCompile(`[A-Za-z-]{3,}|[0-9]+`)

// change makes one change and gives what takes it back.
func (e *scribbler) change() (what string, undo func()) {
	var names []string
	err := filepath.WalkDir(e.dir, func(path string, d fs.DirEntry, err error) error {
		if err == nil && !d.IsDir() && (strings.HasSuffix(path, ".proc") || strings.HasSuffix(path, ".svg")) {
			names = append(names, path)
		}
		return err
	})
	if err != nil {
		e.t.Fatal(err)
	}
	if e.IntN(2) == 0 { // what many procedures share is of most interest
		var shared []string
		for _, name := range names {
			if text, err := os.ReadFile(name); err == nil && !bytes.Contains(text, []byte("\nprocedure ")) {
				shared = append(shared, name)
			}
		}
		names = shared
	}
	path := names[e.IntN(len(names))]
	old, err := os.ReadFile(path)
	if err != nil {
		e.t.Fatal(err)
	}
	text := string(old)
	write := func(s string) {
		if err := os.WriteFile(path, []byte(s), 0o644); err != nil {
			e.t.Fatal(err)
		}
	}
	undo = func() { write(string(old)) }
	at := func() (int, int) {
		w := wordsOf.FindAllStringIndex(text, -1)
		x := w[e.IntN(len(w))]
		return x[0], x[1]
	}
	base := filepath.Base(path)
	if strings.HasSuffix(path, ".svg") {
		write(strings.Replace(text, "</svg>", fmt.Sprintf("<!-- %d --></svg>", e.IntN(1000)), 1))
		return "figure " + base, undo
	}
	lines := strings.SplitAfter(text, "\n")
	i := e.IntN(len(lines))
	switch e.IntN(8) {
	case 0:
		write(strings.Join(slices.Insert(lines, i, "# a note\n\n"), ""))
		return "note in " + base, undo
	case 1: // one digit
		digits := regexp.MustCompile(`[0-9]`).FindAllStringIndex(text, -1)
		if len(digits) == 0 {
			return "nothing", undo
		}
		d := digits[e.IntN(len(digits))]
		write(text[:d[0]] + fmt.Sprint(e.IntN(10)) + text[d[1]:])
		return "digit in " + base, undo
	case 2: // a word for another
		a, b := at()
		c, d := at()
		write(text[:a] + text[c:d] + text[b:])
		return "word in " + base, undo
	case 3: // a line less
		write(strings.Join(slices.Delete(lines, i, i+1), ""))
		return "line out of " + base, undo
	case 4: // a line twice
		write(strings.Join(slices.Insert(lines, i, lines[i]), ""))
		return "line twice in " + base, undo
	case 5: // the file under another name, which changes the order
		moved := filepath.Join(filepath.Dir(path), fmt.Sprintf("%c-%s", 'a'+rune(e.IntN(26)), base))
		if err := os.Rename(path, moved); err != nil {
			e.t.Fatal(err)
		}
		return "name of " + base, func() { os.Rename(moved, path) }
	case 6: // words of texts
		texts := regexp.MustCompile(`"[^"\n]{8,}"`).FindAllStringIndex(text, -1)
		if len(texts) == 0 {
			return "nothing", undo
		}
		x := texts[e.IntN(len(texts))]
		write(text[:x[1]-2] + " then" + text[x[1]-2:])
		return "text in " + base, undo
	default: // a declaration that nothing uses
		write(text + fmt.Sprintf("\ntool t-%d \"gauge %d\" { number \"T-%d\" }\n", e.IntN(1e6), e.IntN(5), e.IntN(1000)))
		return "tool in " + base, undo
	}
}

var touched = regexp.MustCompile(`[0-9]|[^"\s]"|\n  +[a-z]+  [^\n{}"]*\n`)

// touch changes one digit, one text or takes out one statement, anywhere in what
// procedures share.
func (e *scribbler) touch() (what string, undo func()) {
	type place struct {
		path     string
		from, to int
	}
	var places []place
	texts := map[string]string{}
	err := filepath.WalkDir(e.dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || !strings.HasSuffix(path, ".proc") {
			return err
		}
		text, err := os.ReadFile(path)
		if err != nil || bytes.Contains(text, []byte("\nprocedure ")) {
			return err
		}
		texts[path] = string(text)
		for _, m := range touched.FindAllIndex(text, -1) {
			places = append(places, place{path, m[0], m[1]})
		}
		return nil
	})
	if err != nil {
		e.t.Fatal(err)
	}
	x := places[e.IntN(len(places))]
	text := texts[x.path]
	was := text[x.from:x.to]
	is := fmt.Sprint(e.IntN(10))
	switch {
	case strings.HasSuffix(was, `"`):
		is = was[:len(was)-1] + ` x"`
	case len(was) > 1:
		is = "\n"
	}
	write := func(s string) {
		if err := os.WriteFile(x.path, []byte(s), 0o644); err != nil {
			e.t.Fatal(err)
		}
	}
	write(text[:x.from] + is + text[x.to:])
	return fmt.Sprintf("%q for %q at %s, %d", is, was, filepath.Base(x.path), x.from), func() { write(text) }
}

// TestRandomEditsGiveWhatACleanBuildGives: whatever the edits before, a build
// that remembers says and makes what one says and makes that does not.
func TestRandomEditsGiveWhatACleanBuildGives(t *testing.T) {
	edits := 40
	if testing.Short() {
		edits = 20
	}
	dir := t.TempDir()
	lib, cache := filepath.Join(dir, "lib"), filepath.Join(dir, "cache")
	if err := os.CopyFS(lib, procedures.Files); err != nil {
		t.Fatal(err)
	}
	e := &scribbler{rand.New(rand.NewPCG(11, 6)), t, lib}
	good, wrong := 0, 0
	var undo func()
	for n := range edits {
		what := "taken back"
		if undo != nil {
			undo()
			undo = nil
		} else {
			what, undo = e.change()
		}
		to := "markdown,html"
		if n%10 == 9 {
			to = "markdown,html,pdf"
		}
		mode := []string{"--to", to}
		if n%7 == 6 {
			mode = append(mode, "--draft")
		}
		known := runWith(t, cache, append([]string{"build", lib, "--out", filepath.Join(dir, "known")}, mode...)...)
		clean := runWith(t, cache, append([]string{"build", lib, "--no-cache", "--out", filepath.Join(dir, fmt.Sprint("clean", n))}, mode...)...)
		if known != clean {
			t.Fatalf("edit %d, %s: with what is kept\n%+v\nand without\n%+v", n, what, known, clean)
		}
		if clean.status == 0 && undo != nil && e.IntN(2) == 0 {
			undo = nil // it stays
		}
		if _, err := os.Stat(filepath.Join(dir, fmt.Sprint("clean", n))); err != nil {
			wrong++
			continue
		}
		good++
		want := folderOf(t, filepath.Join(dir, fmt.Sprint("clean", n)))
		got := folderOf(t, filepath.Join(dir, "known"))
		for name, data := range want {
			if !bytes.Equal(got[name], data) {
				t.Fatalf("edit %d, %s: %s differs", n, what, name)
			}
		}
	}
	t.Logf("%d edits: %d gave documents, %d messages only", edits, good, wrong)
	if good < edits/4 || wrong < edits/20 {
		t.Errorf("%d edits gave documents and %d did not: the edits try too little", good, wrong)
	}
}

// TestAnEqualReachGivesAnEqualDocument: where the digest of a procedure's reach
// is what it was before an edit, so are its document and whether anything is
// wrong with it. Edits are many and at random, most in what is shared.
func TestAnEqualReachGivesAnEqualDocument(t *testing.T) {
	edits := 100
	if testing.Short() {
		edits = 40
	}
	dir := t.TempDir()
	if err := os.CopyFS(dir, procedures.Files); err != nil {
		t.Fatal(err)
	}
	// What is released may not be edited.
	if err := os.Remove(filepath.Join(dir, releasesFile)); err != nil {
		t.Fatal(err)
	}
	type state struct {
		reach    [32]byte
		figures  string
		clean    bool
		document [32]byte
	}
	look := func() map[string]state {
		sources, err := compiler.Read(os.DirFS(dir))
		if err != nil {
			t.Fatal(err)
		}
		r, err := compiler.Check(t.Context(), sources)
		if err != nil {
			t.Fatal(err)
		}
		if !r.Sound() {
			return nil
		}
		out := map[string]state{}
		reacher := compiler.NewReacher(r.Library)
		for i, p := range r.Library.Procedures {
			reach := reacher.Of(i)
			figures := ""
			for _, name := range reach.Figures {
				data, err := os.ReadFile(filepath.Join(dir, name))
				if err != nil {
					t.Fatal(err)
				}
				figures += sumOf(data)
			}
			doc, _ := r.Document(i, compiler.DocumentOptions{})
			out[p.Name] = state{reach.Digest, figures, r.Clean[i], digestOf(doc)}
		}
		return out
	}
	e := &scribbler{rand.New(rand.NewPCG(3, 9)), t, dir}
	first := look()
	same, changed, idle := 0, 0, 0
	for n := range edits {
		what, undo := e.touch()
		for name, x := range look() {
			switch y := first[name]; {
			case x.reach != y.reach || x.figures != y.figures:
				if changed++; x.document == y.document {
					idle++
				}
			case x != y:
				t.Errorf("edit %d, %s: the reach of %s is what it was, and its document is not", n, what, name)
			default:
				same++
			}
		}
		undo()
	}
	t.Logf("documents looked at: %d of an equal reach, %d of another (%d of which said the same)", same, changed, idle)
	if same < edits || changed-idle < edits/2 {
		t.Error("the edits try too little")
	}
}

// TestADamagedStoreIsNoHarm flips bits in all that is kept, cuts it, and takes
// parts of it away: what is made stays the same.
func TestADamagedStoreIsNoHarm(t *testing.T) {
	dir := t.TempDir()
	cache := filepath.Join(dir, "cache")
	build := func(out string) outcome {
		return runWith(t, cache, "build", "testdata/pump-bench", "--out", filepath.Join(dir, out))
	}
	build("clean")
	random := rand.New(rand.NewPCG(5, 5))
	const rounds = 12
	for n := range rounds {
		hurt := 0
		err := filepath.WalkDir(cache, func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || random.IntN(2) == 0 {
				return err
			}
			data, err := os.ReadFile(path)
			if err != nil || len(data) == 0 {
				return err
			}
			hurt++
			switch random.IntN(3) {
			case 0:
				data[random.IntN(len(data))] ^= 1 << random.IntN(8)
			case 1:
				data = data[:random.IntN(len(data))]
			case 2:
				return os.Remove(path)
			}
			return os.WriteFile(path, data, 0o600)
		})
		if err != nil {
			t.Fatal(err)
		}
		out := fmt.Sprint("out", n)
		if r := build(out); r != (outcome{}) {
			t.Fatalf("round %d: %+v", n, r)
		}
		if hurt == 0 {
			t.Fatal("nothing was hurt")
		}
		sameFiles(t, out, filepath.Join(dir, out), filepath.Join(dir, "clean"))
	}
	// A store that cannot be: a file in its place, a folder that is no folder.
	file := filepath.Join(dir, "file")
	if err := os.WriteFile(file, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	for _, cache := range []string{file, filepath.Join(file, "in it"), "/dev/full", "/proc/nowhere"} {
		if r := runWith(t, cache, "build", "testdata/pump-bench", "--out", filepath.Join(dir, "x")); r != (outcome{}) {
			t.Errorf("store %s: %+v", cache, r)
		}
		sameFiles(t, cache, filepath.Join(dir, "x"), filepath.Join(dir, "clean"))
	}
}

// TestTwoBuildsMayShareAStore: several at once, of two states of a library,
// into folders of their own.
func TestTwoBuildsMayShareAStore(t *testing.T) {
	dir := t.TempDir()
	cache := filepath.Join(dir, "cache")
	libs := []string{filepath.Join(dir, "a"), filepath.Join(dir, "b")}
	for _, lib := range libs {
		if err := os.CopyFS(lib, os.DirFS("testdata/pump-bench")); err != nil {
			t.Fatal(err)
		}
	}
	edit(t, filepath.Join(libs[1], "bench.proc"), "Maintenance office", "Repair office")
	for _, lib := range libs {
		runProgram(t, "build", lib, "--out", lib+"-clean", "--no-cache")
	}
	for round := range 2 {
		var wg sync.WaitGroup
		for n := range 4 {
			wg.Go(func() {
				lib := libs[n%2]
				out := fmt.Sprintf("%s-%d-%d", lib, n, round)
				if r := runWith(t, cache, "build", lib, "--out", out); r != (outcome{}) {
					t.Errorf("%+v", r)
				}
			})
		}
		wg.Wait()
		for n := range 4 {
			lib := libs[n%2]
			sameFiles(t, "two at once", fmt.Sprintf("%s-%d-%d", lib, n, round), lib+"-clean")
		}
	}
}

// TestKeptMessagesStandWhereTheyStood: a library with a warning says the same
// when nothing has changed.
func TestKeptMessagesStandWhereTheyStood(t *testing.T) {
	dir := t.TempDir()
	lib, cache := filepath.Join(dir, "lib"), filepath.Join(dir, "cache")
	if err := os.CopyFS(lib, os.DirFS("testdata/pump-bench")); err != nil {
		t.Fatal(err)
	}
	writeLibrary(t, lib, map[string]string{"more.proc": "# Ünused\n\ntool unused \"ünused\" { number \"T-0\" }\n"})
	for _, form := range []string{"text", "json", "sarif"} {
		first := runWith(t, cache, "build", lib, "--out", filepath.Join(dir, "out"), "--format", form)
		again := runWith(t, cache, "build", lib, "--out", filepath.Join(dir, "out"), "--format", form)
		clean := runWith(t, cache, "build", lib, "--out", filepath.Join(dir, "out"), "--format", form, "--no-cache")
		if first != again || first != clean || !strings.Contains(first.said+first.out, "BP204") {
			t.Errorf("%s: first\n%+v\nthen\n%+v\nwithout a store\n%+v", form, first, again, clean)
		}
	}
	if r := runWith(t, cache, "build", lib, "--out", filepath.Join(dir, "out"), "--strict"); r.status != 1 {
		t.Errorf("--strict: %+v", r)
	}
}
