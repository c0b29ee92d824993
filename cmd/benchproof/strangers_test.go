package main

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"time"

	"benchproof/compiler"
	"benchproof/compiler/scale"
)

// soon runs the program and fails the test where it does not end by itself.
func soon(t *testing.T, dir string, args ...string) (said string, status int) {
	t.Helper()
	ctx, cancel := context.WithTimeout(context.Background(), time.Minute)
	defer cancel()
	cmd := exec.CommandContext(ctx, linked(t), args...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), cacheVariable+"="+t.TempDir())
	out, err := cmd.CombinedOutput()
	var exit *exec.ExitError
	switch {
	case ctx.Err() != nil:
		t.Errorf("benchproof %s does not end", strings.Join(args, " "))
	case errors.As(err, &exit):
		status = exit.ExitCode()
	case err != nil:
		t.Fatal(err)
	}
	return string(out), status
}

func mustRun(t *testing.T, dir, name string, args ...string) string {
	t.Helper()
	cmd := exec.Command(name, args...)
	cmd.Dir = dir
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("%s %s: %v\n%s", name, strings.Join(args, " "), err, out)
	}
	return strings.TrimSpace(string(out))
}

// TestPipesAndDevicesAreNotWaitedFor gives commands pipes that nobody writes into
// or reads from, and devices without end, wherever they take a file.
func TestPipesAndDevicesAreNotWaitedFor(t *testing.T) {
	dir := t.TempDir()
	writeLibrary(t, filepath.Join(dir, "lib"), scale.Generate(1))
	mustRun(t, dir, "mkfifo", "pipe")
	mustRun(t, dir, "cp", "-r", "lib", "piped")
	mustRun(t, dir, "mkfifo", "piped/releases.proc", "piped/more.proc")
	mustRun(t, dir, "mkdir", "piped/translations")
	mustRun(t, dir, "mkfifo", "piped/translations/de.po")
	for _, c := range []struct {
		args []string
		want string // of the one line said
	}{
		{[]string{"draft", "pipe"}, "pipe: "},
		{[]string{"draft", "/dev/zero"}, "/dev/zero: "},
		{[]string{"record", "--library", "lib", "pipe"}, "pipe: device"},
		{[]string{"record", "--library", "lib", "/dev/zero"}, "device"},
		{[]string{"format", "pipe"}, "neither a file nor a folder"},
		{[]string{"format", "--check", "/dev/zero"}, "neither a file nor a folder"},
		{[]string{"compare", "lib", "pipe"}, "name the folder"},
		{[]string{"compare", "--out", "pipe", "lib", "piped"}, "the report could not be written: pipe: "},
		{[]string{"check", "/dev/zero"}, "name the folder"},
		{[]string{"words", "export", "--language", "de", "--out", "/dev/zero", "lib"}, "/dev/zero has more than 16 MB"},
		{[]string{"words", "export", "--language", "de", "--out", "pipe", "lib"}, "pipe"},
		{[]string{"words", "export", "--language", "de", "piped"}, "no plain file"},
		{[]string{"release", "--all", "--by", "A", "piped"}, "no plain file"},
		{[]string{"explain", "--html", "pipe"}, "the page cannot be written: pipe: "},
		{[]string{"explain", "--html", "/dev/full"}, "the page cannot be written: /dev/full: "},
	} {
		said, status := soon(t, dir, c.args...)
		lines := strings.SplitAfter(strings.TrimSuffix(said, "\n"), "\n")
		if last := lines[len(lines)-1]; status != 2 || !strings.HasPrefix(last, "benchproof: ") || !strings.Contains(last, c.want) {
			t.Errorf("%q: status %d and %q, expected %q", c.args, status, said, c.want)
		}
	}
	for _, args := range [][]string{{"check", "piped"}, {"format", "piped"}, {"words", "check", "piped"}, {"build", "--only", "procedure-1", "piped"}} {
		if said, status := soon(t, dir, args...); status == 2 && !strings.Contains(said, "no procedure is called") {
			t.Errorf("%q: %q", args, said)
		}
	}
	if info, err := os.Lstat(filepath.Join(dir, "pipe")); err != nil || info.Mode()&os.ModeNamedPipe == 0 {
		t.Errorf("the pipe is gone: %v, %v", info, err)
	}
}

// TestDevicesStayWhatTheyAre: what is to be written into a pipe or a device goes
// through it; no file takes its place.
func TestDevicesStayWhatTheyAre(t *testing.T) {
	dir := t.TempDir()
	writeLibrary(t, filepath.Join(dir, "lib"), scale.Generate(1))
	lib, err := checkFolder(context.Background(), filepath.Join(dir, "lib"))
	if err != nil {
		t.Fatal(err)
	}
	name := lib.Library.Procedures[0].Name
	for what, command := range map[string]string{
		"<!DOCTYPE html>": `"$1" explain --html pipe`,
		"<!doctype html>": `"$1" compare --to html --out pipe lib other; [ $? = 1 ]`,
		".html":           `"$1" build lib --out out --only ` + name + ` --depfile pipe`,
		"msgid":           `"$1" words export --language de --out - lib > pipe`,
	} {
		mustRun(t, dir, "sh", "-c", "rm -rf pipe other out; cp -r lib other; sed -i 's/owner *\"/&New /' other/*.proc; mkfifo pipe")
		// A reader stands at the pipe before the program writes.
		got := mustRun(t, dir, "sh", "-c", "cat pipe & exec 3>pipe; "+command+" || exit 1; exec 3>&-; wait", "sh", linked(t))
		if !strings.Contains(strings.ToLower(got), strings.ToLower(what)) {
			t.Errorf("%s: %.200q comes through", command, got)
		}
		if info, err := os.Lstat(filepath.Join(dir, "pipe")); err != nil || info.Mode()&os.ModeNamedPipe == 0 {
			t.Errorf("%s: the pipe is gone", command)
		}
	}
	if err := writeWhole(os.DevNull, []byte("x")); err != nil {
		t.Error(err)
	}
}

// TestNothingIsWrittenThroughALink: a stranger's library may hold links that lead
// out of it; no command writes where they lead, or through them.
func TestNothingIsWrittenThroughALink(t *testing.T) {
	for _, c := range []struct {
		link, to string
		args     []string
	}{
		{"releases.proc", "../victim", []string{"release", "--all", "--by", "A", "lib"}},
		{"releases.proc", "../absent", []string{"release", "--all", "--by", "A", "lib"}},
		{"translations", "../elsewhere", []string{"words", "export", "--language", "de", "lib"}},
		{"translations/de.po", "../../victim", []string{"words", "export", "--language", "de", "lib"}},
		{"translations/de.po", "../../absent", []string{"words", "export", "--language", "de", "lib"}},
		{".github", "../elsewhere", []string{"new", "ci", "lib"}},
		{"more.proc", "../victim", []string{"format", "lib"}},
		{"job.proc", "../absent", []string{"new", "procedure", "job", "lib"}},
	} {
		dir := t.TempDir()
		writeLibrary(t, filepath.Join(dir, "lib"), scale.Generate(1))
		mustRun(t, dir, "sh", "-c", "mkdir elsewhere; : > victim; mkdir -p lib/"+filepath.Dir(c.link)+" && ln -s "+c.to+" lib/"+c.link)
		said, status := soon(t, dir, c.args...)
		if status == 0 && c.args[0] != "format" {
			t.Errorf("%q through %s: status 0 and %q", c.args, c.link, said)
		}
		left, err := os.ReadDir(filepath.Join(dir, "elsewhere"))
		data, e := os.ReadFile(filepath.Join(dir, "victim"))
		if err != nil || e != nil || len(left) > 0 || len(data) > 0 {
			t.Errorf("%q through %s: %d files outside, %q in one (%v, %v)", c.args, c.link, len(left), data, err, e)
		}
		if _, err := os.Stat(filepath.Join(dir, "absent")); err == nil {
			t.Errorf("%q through %s: a file is made outside", c.args, c.link)
		}
	}
}

// TestARevisionWithoutEndIsRefused reads a tree whose folders hold the same folder
// ten times, ten deep: a few hundred bytes that list ten thousand million files.
func TestARevisionWithoutEndIsRefused(t *testing.T) {
	repository(t, map[string]string{"a.proc": "library \"L\" { owner \"O\" }\n"})
	object := mustRun(t, ".", "sh", "-c", "git rev-parse HEAD:a.proc")
	list := ""
	for i := range 10 {
		list += fmt.Sprintf("100644 blob %s\tf%d.proc\n", object, i)
	}
	for range 10 {
		cmd := exec.Command("git", "mktree")
		cmd.Stdin = strings.NewReader(list)
		tree, err := cmd.Output()
		if err != nil {
			t.Fatal(err)
		}
		list = ""
		for i := range 10 {
			list += fmt.Sprintf("040000 tree %s\td%d\n", bytes.TrimSpace(tree), i)
		}
		gitRun(t, "update-ref", "refs/heads/bomb", mustRun(t, ".", "git", "-c", "user.name=S", "-c", "user.email=s@example.org", "commit-tree", "-m", "x", string(bytes.TrimSpace(tree))))
	}
	said, status := soon(t, ".", "compare", "git:bomb", ".")
	if status != 2 || !oneClearLine.MatchString(said) || !strings.Contains(said, "too many files") {
		t.Errorf("status %d and %q", status, said)
	}
}

// TestALibraryTooLargeIsRefused: files that take no room on the disk and all
// memory when they are read.
func TestALibraryTooLargeIsRefused(t *testing.T) {
	dir := t.TempDir()
	for i := range compiler.MaxTotal>>24 + 1 {
		f, err := os.Create(filepath.Join(dir, fmt.Sprintf("f%d.proc", i)))
		if err != nil {
			t.Fatal(err)
		}
		if err := errors.Join(f.Truncate(16<<20), f.Close()); err != nil {
			t.Fatal(err)
		}
	}
	for _, args := range [][]string{{"check", dir}, {"format", "--check", dir}} {
		said, status := soon(t, ".", args...)
		if status != 2 || !oneClearLine.MatchString(said) || !strings.Contains(said, "more than 512 MB together") {
			t.Errorf("%q: status %d and %q", args, status, said)
		}
	}
	if _, err := compiler.NewSession(os.DirFS(dir)); !errors.Is(err, compiler.ErrTooLarge) {
		t.Errorf("a session says %v", err)
	}
}
