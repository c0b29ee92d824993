package main

import (
	"context"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"
)

// repository makes a git repository in the current folder of the test.
func repository(t *testing.T, files map[string]string) {
	t.Helper()
	dir := t.TempDir()
	t.Chdir(dir)
	gitRun(t, "init", "-q", "-b", "main")
	for name, text := range files {
		if err := os.MkdirAll(filepath.Dir(name), 0o777); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(name, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	commit(t)
}

func gitRun(t *testing.T, args ...string) {
	t.Helper()
	cmd := exec.Command("git", append([]string{"-c", "user.name=S", "-c", "user.email=s@example.org"}, args...)...)
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Fatalf("git %v: %v\n%s", args, err, out)
	}
}

func commit(t *testing.T) {
	t.Helper()
	gitRun(t, "add", "-A")
	gitRun(t, "commit", "-q", "-m", "x")
}

// A tree of a revision is a file system like any: folders, sources and figures
// as they were committed, links and modules left out, attributes not heeded.
func TestARevisionIsAFolder(t *testing.T) {
	files := map[string]string{
		"a.proc": "one\r\ntwo\n", "sub/b.proc": "", "sub/deep/c.proc": "# ü\n", "sub/figures/x.svg": "<svg/>",
		".gitattributes": "*.proc export-ignore text eol=crlf\n", "sub/with space and \"quote\".proc": "# q\n", "sub/ümlaut.proc": "# u\n",
	}
	repository(t, files)
	if err := os.Symlink("a.proc", "link.proc"); err != nil {
		t.Fatal(err)
	}
	gitRun(t, "-c", "core.autocrlf=false", "add", "-A")
	gitRun(t, "commit", "-q", "-m", "link")
	fsys, name, err := openRevision(context.Background(), "git:HEAD")
	if err != nil {
		t.Fatal(err)
	}
	if len(name) != 40 {
		t.Errorf("the commit is called %q", name)
	}
	if err := fstest.TestFS(fsys, "a.proc", "sub/b.proc", "sub/deep/c.proc", "sub/figures/x.svg", "sub/with space and \"quote\".proc", "sub/ümlaut.proc"); err != nil {
		t.Error(err)
	}
	if _, err := fs.Stat(fsys, "link.proc"); err == nil {
		t.Error("a link is followed")
	}
	data, err := fs.ReadFile(fsys, "sub/figures/x.svg")
	if err != nil || string(data) != files["sub/figures/x.svg"] {
		t.Errorf("the figure reads %q, %v", data, err)
	}
	sub, _, err := openRevision(context.Background(), "git:HEAD:sub/deep")
	if err != nil {
		t.Fatal(err)
	}
	if data, err := fs.ReadFile(sub, "c.proc"); err != nil || string(data) != "# ü\n" {
		t.Errorf("%q, %v", data, err)
	}
	if _, err := sub.Open("../a.proc"); err == nil {
		t.Error("a file outside the folder is opened")
	}
}

// Without git a revision is refused in one clear line, and a folder is not.
func TestWithoutGit(t *testing.T) {
	repository(t, map[string]string{"a.proc": "x"})
	t.Setenv("PATH", t.TempDir())
	_, _, err := openLibrary(context.Background(), "git:HEAD")
	if err == nil || !strings.Contains(err.Error(), "git is not installed, or not on the path") {
		t.Errorf("it says %v", err)
	}
	if _, _, err := openLibrary(context.Background(), "."); err != nil {
		t.Error(err)
	}
}

// TestReadmeShowsAComparison holds the comparison in README against the program.
func TestReadmeShowsAComparison(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join(root, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	_, rest, ok := strings.Cut(string(readme), "\n$ benchproof compare git:HEAD~1 .\n")
	shown, _, end := strings.Cut(rest, "\n```\n")
	if !ok || !end {
		t.Fatal("README.md shows no comparison")
	}
	old, err := filepath.Abs(root + "/procedures")
	if err != nil {
		t.Fatal(err)
	}
	repository(t, map[string]string{"README": "x"})
	copyOf := func() {
		if err := os.CopyFS(".", os.DirFS(old)); err != nil {
			t.Fatal(err)
		}
	}
	copyOf()
	commit(t)
	pump, err := os.ReadFile("pump.proc")
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile("pump.proc", []byte(strings.Replace(string(pump), "27.80 mm", "27.82 mm", 1)), 0o666); err != nil {
		t.Fatal(err)
	}
	commit(t)
	cmd := program(t, "compare", "git:HEAD~1", ".")
	said, _ := cmd.Output()
	words := func(s string) string { return strings.Join(strings.Fields(s), " ") }
	if !strings.HasPrefix(words(string(said)), words(shown)) {
		t.Errorf("README.md shows\n%s\nand what comes out is\n%s", shown, said)
	}
}
