package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// program gives the real program as a command: the test binary under the
// program's name.
func program(t *testing.T, args ...string) *exec.Cmd {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command(self)
	cmd.Args = append([]string{"benchproof"}, args...)
	cmd.Env = append(os.Environ(), cacheVariable+"="+t.TempDir())
	return cmd
}

func runProgram(t *testing.T, args ...string) {
	t.Helper()
	if out, err := program(t, args...).CombinedOutput(); err != nil {
		t.Fatalf("benchproof %s: %v\n%s", strings.Join(args, " "), err, out)
	}
}

func folderOf(t *testing.T, dir string) map[string][]byte {
	t.Helper()
	files := map[string][]byte{}
	entries, err := os.ReadDir(dir)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if e.IsDir() {
			continue
		}
		data, err := os.ReadFile(filepath.Join(dir, e.Name()))
		if err != nil {
			t.Fatal(err)
		}
		files[e.Name()] = data
	}
	return files
}

// TestAKilledBuildLeavesWholeFiles kills builds that replace old documents, at
// random moments: each document is then the old one or the new one, and the
// next build is right.
func TestAKilledBuildLeavesWholeFiles(t *testing.T) {
	const kills = 200
	dir := t.TempDir()
	lib, out := filepath.Join(dir, "lib"), filepath.Join(dir, "out")
	if err := os.CopyFS(lib, os.DirFS("testdata/pump-bench")); err != nil {
		t.Fatal(err)
	}
	runProgram(t, "build", lib, "--out", out)
	before := folderOf(t, out)

	bench := filepath.Join(lib, "bench.proc")
	text, err := os.ReadFile(bench)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(bench, bytes.ReplaceAll(text, []byte("Maintenance office"), []byte("Repair office")), 0o644); err != nil {
		t.Fatal(err)
	}
	start := time.Now()
	runProgram(t, "build", lib, "--out", filepath.Join(dir, "clean"))
	whole := time.Since(start)
	after := folderOf(t, filepath.Join(dir, "clean"))
	changed := 0
	for name := range before {
		if !bytes.Equal(before[name], after[name]) {
			changed++
		}
	}
	if changed < 6 {
		t.Fatalf("the edit changes %d documents only", changed)
	}

	random := rand.New(rand.NewPCG(3, 4))
	stopped := 0
	shared := filepath.Join(dir, "cache")
	for n := range kills {
		cmd := program(t, "build", lib, "--out", out)
		if n%2 == 0 { // the others keep what they find in a store of their own
			cmd.Env = append(os.Environ(), cacheVariable+"="+shared)
		}
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		time.Sleep(time.Duration(random.Int64N(int64(whole))))
		cmd.Process.Kill()
		if cmd.Wait() != nil {
			stopped++
		}
		now := folderOf(t, out)
		if len(now) != len(before) {
			t.Fatalf("%d files after a kill, %d before", len(now), len(before))
		}
		for name, data := range now {
			if !bytes.Equal(data, before[name]) && !bytes.Equal(data, after[name]) {
				t.Fatalf("%s is neither the old document nor the new one", name)
			}
		}
		for name, data := range before { // the next kill finds old documents again
			if err := os.WriteFile(filepath.Join(out, name), data, 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	t.Logf("%d of %d builds were stopped on their way", stopped, kills)
	if stopped == 0 {
		t.Error("no build was stopped on its way")
	}
	if r := runWith(t, shared, "build", lib, "--out", out); r != (outcome{}) {
		t.Errorf("the next build: %+v", r)
	}
	for name, data := range folderOf(t, out) {
		if !bytes.Equal(data, after[name]) {
			t.Errorf("%s is not right after the next build", name)
		}
	}
	// What killed builds left is taken away once it is old.
	old := time.Now().Add(-2 * staleAfter)
	left, err := filepath.Glob(filepath.Join(out, stagingPrefix+"*"))
	if err != nil {
		t.Fatal(err)
	}
	for _, d := range left {
		if err := os.Chtimes(d, old, old); err != nil {
			t.Fatal(err)
		}
	}
	runProgram(t, "build", lib, "--out", out)
	if left, _ := filepath.Glob(filepath.Join(out, stagingPrefix+"*")); len(left) > 0 {
		t.Errorf("left behind: %q", left)
	}
}

// manyJobs copies the pump bench with its second procedure n times over.
func manyJobs(t *testing.T, n int) string {
	t.Helper()
	lib := filepath.Join(t.TempDir(), "lib")
	if err := os.CopyFS(lib, os.DirFS("testdata/pump-bench")); err != nil {
		t.Fatal(err)
	}
	const name = "seal-change"
	text, err := os.ReadFile(filepath.Join(lib, name+".proc"))
	if err != nil {
		t.Fatal(err)
	}
	for i := range n {
		copied := strings.NewReplacer("procedure "+name, fmt.Sprintf("procedure %s-%d", name, i), "of "+name, fmt.Sprintf("of %s-%d", name, i)).Replace(string(text))
		if err := os.WriteFile(filepath.Join(lib, fmt.Sprintf("%s-%d.proc", name, i)), []byte(copied), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return lib
}

func TestAnInterruptedBuildSaysSoAndLeavesNothing(t *testing.T) {
	lib := manyJobs(t, 120)
	out := filepath.Join(t.TempDir(), "out")
	cmd := program(t, "build", lib, "--out", out)
	var said bytes.Buffer
	cmd.Stderr = &said
	if err := cmd.Start(); err != nil {
		t.Fatal(err)
	}
	// As soon as the first document is staged.
	for begun := time.Now(); ; time.Sleep(time.Millisecond) {
		if staged, _ := filepath.Glob(filepath.Join(out, stagingPrefix+"*", "*")); len(staged) > 0 {
			break
		}
		if time.Since(begun) > time.Minute {
			cmd.Process.Kill()
			t.Fatal("no document was staged")
		}
	}
	if err := cmd.Process.Signal(os.Interrupt); err != nil {
		t.Fatal(err)
	}
	err := cmd.Wait()
	if e, ok := err.(*exec.ExitError); !ok || e.ExitCode() != statusNoRun {
		t.Errorf("ended with %v, want exit status %d", err, statusNoRun)
	}
	if got, want := said.String(), "benchproof: interrupted; nothing was changed\n"; got != want {
		t.Errorf("said %q, want %q", got, want)
	}
	if _, err := os.Stat(out); !os.IsNotExist(err) {
		entries, _ := os.ReadDir(out)
		t.Errorf("left behind: %v", entries)
	}
}

func TestTwoBuildsAtOnceDoNotMix(t *testing.T) {
	dir := t.TempDir()
	out := filepath.Join(dir, "out")
	runProgram(t, "build", "testdata/pump-bench", "--out", filepath.Join(dir, "clean"))
	want := folderOf(t, filepath.Join(dir, "clean"))
	var builds []*exec.Cmd
	for range 4 {
		cmd := program(t, "build", "testdata/pump-bench", "--out", out)
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		builds = append(builds, cmd)
	}
	for _, cmd := range builds {
		if err := cmd.Wait(); err != nil {
			t.Error(err)
		}
	}
	got := folderOf(t, out)
	if len(got) != len(want) {
		t.Errorf("%d files, want %d", len(got), len(want))
	}
	for name, data := range want {
		if !bytes.Equal(got[name], data) {
			t.Errorf("%s differs", name)
		}
	}
}

func TestAnUnchangedDocumentIsNotTouched(t *testing.T) {
	out := filepath.Join(t.TempDir(), "out")
	runProgram(t, "build", "testdata/pump-bench", "--out", out)
	old := time.Now().Add(-time.Hour).Truncate(time.Second)
	for name := range folderOf(t, out) {
		if err := os.Chtimes(filepath.Join(out, name), old, old); err != nil {
			t.Fatal(err)
		}
	}
	runProgram(t, "build", "testdata/pump-bench", "--out", out)
	for name := range folderOf(t, out) {
		if info, err := os.Stat(filepath.Join(out, name)); err != nil || !info.ModTime().Equal(old) {
			t.Errorf("%s was written again", name)
		}
	}
}

// TestEqualSourcesGiveEqualBytes builds in two folders, at two times, in two
// time zones and languages. (That no clock is asked at all, TestDocumentsKnowNoClock
// says.)
func TestEqualSourcesGiveEqualBytes(t *testing.T) {
	build := func(zone, language, processors string) map[string][]byte {
		lib := filepath.Join(t.TempDir(), "a library")
		if err := os.CopyFS(lib, os.DirFS("testdata/pump-bench")); err != nil {
			t.Fatal(err)
		}
		cmd := program(t, "build", "--out", "documents")
		cmd.Dir = lib
		cmd.Env = append(cmd.Env, "TZ="+zone, "LANG="+language, "LC_ALL="+language, "GOMAXPROCS="+processors)
		if out, err := cmd.CombinedOutput(); err != nil {
			t.Fatalf("%v\n%s", err, out)
		}
		return folderOf(t, filepath.Join(lib, "documents"))
	}
	first := build("UTC", "C", "1")
	time.Sleep(1100 * time.Millisecond) // dates in files have seconds
	second := build("Pacific/Auckland", "ja_JP.UTF-8", "4")
	if len(first) != 7 || len(second) != len(first) {
		t.Fatalf("%d and %d files", len(first), len(second))
	}
	for name, data := range first {
		if !bytes.Equal(data, second[name]) {
			t.Errorf("%s differs", name)
		}
	}
}

func TestFileNamesThatNoSystemTakes(t *testing.T) {
	for name, good := range map[string]bool{
		"seal-change.html": true, "seal-change.s32.pdf": true, "console.md": true, "com10.md": true,
		"": false, "..": false, "../x.md": false, "a/b.md": false, `a\b.md`: false, ".hidden": false, "c:x.md": false,
		"con.html": false, "NUL.s32.pdf": false, "com1.md": false, "a?.md": false, strings.Repeat("x", 250) + ".md": false,
	} {
		if err := checkName(name); (err == nil) != good {
			t.Errorf("%.40q: %v", name, err)
		}
	}
}

func TestAWriteThatFailsChangesNothing(t *testing.T) {
	dir := t.TempDir()
	old := filepath.Join(dir, "a.md")
	if err := os.WriteFile(old, []byte("old"), 0o644); err != nil {
		t.Fatal(err)
	}
	o, err := openOutput(dir)
	if err != nil {
		t.Fatal(err)
	}
	if err := o.write("a.md", []byte("new")); err != nil {
		t.Fatal(err)
	}
	if err := o.write("A.md", []byte("new")); err == nil {
		t.Error("two names that differ in case only were taken")
	}
	os.RemoveAll(o.staging) // as a full or broken disk might
	if err := o.write("b.md", []byte("new")); err == nil {
		t.Error("a write into nothing was taken for good")
	} else if strings.Contains(oneLine(err), "\n") {
		t.Errorf("%q", oneLine(err))
	}
	o.close()
	if data, err := os.ReadFile(old); err != nil || string(data) != "old" {
		t.Errorf("the old document is %q, %v", data, err)
	}
	if entries, _ := os.ReadDir(dir); len(entries) != 1 {
		t.Errorf("left behind: %v", entries)
	}
	if got := oneLine(fmt.Errorf("a\n\tb\x1b[31m")); got != "a b␛[31m" {
		t.Errorf("%q", got)
	}
}
