package main

import (
	"bytes"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
)

// TestReadmeTellsTheTruth holds what README shows against the program: its
// source is part of a library that compiles, what it becomes is what comes out,
// and its message is what the program says.
func TestReadmeTellsTheTruth(t *testing.T) {
	readme, err := os.ReadFile(filepath.Join(root, "README.md"))
	if err != nil {
		t.Fatal(err)
	}
	block := func(language string) string {
		m := regexp.MustCompile("(?s)\n```" + language + "\n(.*?)\n```\n").FindSubmatch(readme)
		if m == nil {
			t.Fatalf("README.md has no block of %s", language)
		}
		return string(m[1])
	}
	lib := filepath.Join(t.TempDir(), "lid-bench")
	if err := os.CopyFS(lib, os.DirFS("testdata/readme")); err != nil {
		t.Fatal(err)
	}
	source, err := os.ReadFile(filepath.Join(lib, "lid.proc"))
	if err != nil {
		t.Fatal(err)
	}
	plain := strings.ReplaceAll(string(source), "\n  ", "\n")
	if !strings.Contains(plain, "\n"+block("proc")+"\n") {
		t.Errorf("the procedure in README.md is not the one that is tried")
	}

	out := filepath.Join(t.TempDir(), "out")
	runProgram(t, "build", lib, "--out", out)
	made, err := os.ReadFile(filepath.Join(out, "check-lid.md"))
	if err != nil {
		t.Fatal(err)
	}
	if shown := block("markdown"); !strings.Contains(trimLines(string(made)), shown) {
		t.Errorf("README.md shows\n%s\nand what comes out is\n%s", shown, made)
	}

	wrong := bytes.Replace(source, []byte("    above 0.50 mm"), []byte("    above 0.60 mm"), 1)
	if err := os.WriteFile(filepath.Join(lib, "lid.proc"), wrong, 0o644); err != nil {
		t.Fatal(err)
	}
	cmd := program(t, "check")
	cmd.Dir = lib
	said, err := cmd.CombinedOutput()
	if err == nil {
		t.Error("the wrong library passes")
	}
	if shown := block("text"); !strings.HasPrefix(string(said), shown+"\n") {
		t.Errorf("README.md shows\n%s\nand the program says\n%s", shown, said)
	}

	// Every command has its row.
	for _, c := range newRoot().Commands() {
		if !c.Hidden && c.Name() != "help" && c.Name() != "version" && !bytes.Contains(readme, []byte("\n| `"+c.Name()+" ")) && !bytes.Contains(readme, []byte("\n| `"+c.Name()+"`")) {
			t.Errorf("README.md does not list the command %s", c.Name())
		}
	}

	// Pictures that are shown are there.
	for _, m := range regexp.MustCompile(`!\[[^\]]*\]\(([^)]+)\)`).FindAllSubmatch(readme, -1) {
		if _, err := os.Stat(filepath.Join(root, string(m[1]))); err != nil {
			t.Errorf("README.md shows a picture that is not there: %v", err)
		}
	}
}

// trimLines takes the spaces off the ends of lines, which a page cannot show.
func trimLines(s string) string {
	lines := strings.Split(s, "\n")
	for i := range lines {
		lines[i] = strings.TrimRight(lines[i], " ")
	}
	return strings.Join(lines, "\n")
}
