package main

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
	"unicode/utf8"
)

// root is the project's folder as seen from this package.
const root = "../.."

// house says which packages of the project each package may import: text
// becomes a tree, the tree a library, the library paths, the paths a document,
// the document pages, and data flows one way. A new direction is a decision
// about the house, and is made here.
var house = map[string][]string{
	"dsl/source":  {},
	"dsl/message": {"dsl/source"},
	"dsl/syntax":  {"dsl/source", "dsl/message"},
	"dsl/format":  {"dsl/source", "dsl/message", "dsl/syntax"},

	"compiler/crew":     {}, // pieces of work side by side; knows nothing of what is worked on
	"compiler/quantity": {},
	"compiler/trade":    {"compiler/quantity"},
	"compiler/library":  {"compiler/crew", "dsl/source", "dsl/message", "dsl/syntax", "compiler/quantity", "compiler/trade"},
	"compiler/paths":    {"dsl/source", "dsl/message", "compiler/quantity", "compiler/trade", "compiler/library"},
	"compiler/release":  {"dsl/source", "dsl/syntax", "compiler/library"},
	"compiler/rules":    {"dsl/source", "dsl/message", "dsl/syntax", "compiler/quantity", "compiler/trade", "compiler/library", "compiler/paths", "compiler/release"},
	"compiler/trial":    {"dsl/source", "dsl/message", "compiler/quantity", "compiler/trade", "compiler/library", "compiler/paths"},
	"compiler/document": {"dsl/source", "dsl/message", "dsl/syntax", "compiler/quantity", "compiler/trade", "compiler/library", "compiler/paths", "compiler/trial", "compiler/release"},
	"compiler/words":    {"dsl/source", "dsl/message", "compiler/library", "compiler/document"},
	"compiler": {"compiler/crew", "compiler/words", "dsl/source", "dsl/message", "dsl/syntax", "compiler/quantity", "compiler/trade", "compiler/library",
		"compiler/paths", "compiler/rules", "compiler/trial", "compiler/release", "compiler/document", "compiler/catalogue"},
	"compiler/sheet":     {}, // rows and cells of sheets; knows nothing of the language
	"compiler/catalogue": {"dsl/source", "dsl/message", "dsl/syntax", "compiler/quantity", "compiler/rules", "compiler/sheet"},

	"compiler/compare": {"compiler/crew", "dsl/source", "dsl/message", "dsl/syntax", "compiler", "compiler/quantity", "compiler/library", "compiler/paths"},
	"compiler/record":  {"dsl/message", "compiler", "compiler/sheet", "compiler/quantity", "compiler/library", "compiler/paths", "compiler/document"},

	"compiler/reference": {"dsl/message", "dsl/syntax", "compiler/quantity"},

	"compiler/uses": {"dsl/source", "dsl/message", "dsl/syntax", "compiler", "compiler/quantity", "compiler/library", "compiler/paths", "compiler/document"},

	"compiler/scale": {}, // libraries for tests and benchmarks

	"render":            {}, // a test over all renderers, no program
	"render/look":       {},
	"render/list":       {"dsl/message", "render/look"},
	"render/figure":     {"render/look"},
	"render/flowmap":    {"compiler/document", "render/look"},
	"render/html":       {"compiler/document", "compiler/record", "compiler/quantity", "render/look", "render/figure", "render/flowmap"},
	"render/markdown":   {"compiler/document", "render/look", "render/figure", "render/flowmap"},
	"render/pdf":        {"compiler/document", "render/look", "render/figure", "render/flowmap"},
	"render/compared":   {"dsl/message", "compiler/compare", "render/look"},
	"render/rendertest": {"compiler/document"},

	"procedures": {},
	"cmd/benchproof/editor": {"dsl/source", "dsl/message", "dsl/syntax", "dsl/format",
		"compiler", "compiler/quantity", "compiler/trade", "compiler/library", "compiler/paths"},
	"cmd/benchproof/preview": {"dsl/message", "compiler", "compiler/document", "compiler/library", "render/html"},
	"cmd/benchproof/draft":   {"dsl/source", "dsl/message", "dsl/syntax", "dsl/format", "compiler", "compiler/quantity"},
	"cmd/benchproof/store":   {}, // results between runs; knows nothing of documents
	"cmd/benchproof": {"compiler/crew", "compiler/uses", "compiler/sheet", "render/list", "cmd/benchproof/store", "dsl/source", "dsl/message", "dsl/syntax", "dsl/format",
		"compiler", "compiler/quantity", "compiler/library", "compiler/paths", "compiler/trial", "compiler/release", "compiler/document", "compiler/record", "compiler/words", "compiler/reference", "compiler/compare",
		"render/compared", "render/html", "render/markdown", "render/pdf", "procedures", "cmd/benchproof/editor", "cmd/benchproof/preview", "cmd/benchproof/draft"},
}

// onlyTests are packages that no program may import.
var onlyTests = []string{"render/rendertest", "compiler/scale"}

type listed struct {
	ImportPath                         string
	Imports, TestImports, XTestImports []string
}

func packages(t *testing.T) []listed {
	t.Helper()
	cmd := exec.Command("go", "list", "-e", "-json=ImportPath,Imports,TestImports,XTestImports", "./...")
	cmd.Dir = root
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("go list: %v", err)
	}
	var all []listed
	for d := json.NewDecoder(bytes.NewReader(out)); ; {
		var p listed
		if err := d.Decode(&p); err == io.EOF {
			return all
		} else if err != nil {
			t.Fatal(err)
		}
		all = append(all, p)
	}
}

const module = "benchproof/"

func TestImportsGoOneWay(t *testing.T) {
	all := packages(t)
	if len(all) < 10 {
		t.Fatalf("go list knows %d packages", len(all))
	}
	for _, p := range all {
		name := strings.TrimPrefix(p.ImportPath, module)
		allowed, known := house[name]
		if !known {
			t.Errorf("%s stands nowhere in the house: say in house_test.go what it may import", name)
			continue
		}
		for _, i := range p.Imports {
			i, ours := strings.CutPrefix(i, module)
			if !ours {
				continue
			}
			if !slices.Contains(allowed, i) {
				t.Errorf("%s imports %s: a new direction", name, i)
			}
			if slices.Contains(onlyTests, i) {
				t.Errorf("%s imports %s, which is for tests", name, i)
			}
		}
		// A test may look down the house as far as it likes, but nothing imports
		// a command, and a package of the language knows nothing of documents.
		for _, i := range append(p.TestImports, p.XTestImports...) {
			i, ours := strings.CutPrefix(i, module)
			if ours && strings.HasPrefix(i, "cmd/") && !strings.HasPrefix(name, "cmd/") {
				t.Errorf("a test of %s imports %s", name, i)
			}
		}
	}
}

func TestTheHouseHasNoCycle(t *testing.T) {
	var visit func(name string, above []string)
	visit = func(name string, above []string) {
		if slices.Contains(above, name) {
			t.Fatalf("a cycle: %v", append(above, name))
		}
		for _, i := range house[name] {
			visit(i, append(slices.Clone(above), name))
		}
	}
	for name := range house {
		visit(name, nil)
	}
}

// text gives the project's own text files by path; what is installed or built
// is left out.
func text(t *testing.T) map[string]string { return textIn(t, root) }

func textIn(t *testing.T, root string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(root, func(path string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		name, err := filepath.Rel(root, path)
		if err != nil {
			return err
		}
		if name == ".git" && !d.IsDir() {
			return nil // of a work tree: it says where the repository is
		}
		if d.IsDir() {
			if d.Name() == "node_modules" || name == ".git" || name == "out" {
				return fs.SkipDir
			}
			return nil
		}
		if !d.Type().IsRegular() || name == "go.sum" {
			return nil
		}
		data, err := os.ReadFile(path)
		if err != nil {
			return err
		}
		if utf8.Valid(data) && !bytes.ContainsRune(data, 0) {
			files[filepath.ToSlash(name)] = string(data)
		}
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}

// A work tree of git has a file where a clone has a folder: neither is the project's.
func TestARepositoryIsNoTextOfTheProject(t *testing.T) {
	for _, name := range []string{".git", ".git/config"} {
		dir := t.TempDir()
		writeLibrary(t, dir, map[string]string{name: "gitdir: elsewhere\n", "a.txt": "a", "b/.git": "kept", "out/c": "", "b/node_modules/d": ""})
		var got []string
		for name := range textIn(t, dir) {
			got = append(got, name)
		}
		slices.Sort(got)
		if want := []string{"a.txt", "b/.git"}; !slices.Equal(got, want) {
			t.Errorf("%s: %q, want %q", name, got, want)
		}
	}
}

func TestFilesAreShortEnoughToRead(t *testing.T) {
	for name, s := range text(t) {
		if strings.HasSuffix(name, ".go") && !strings.HasSuffix(name, "_test.go") {
			if n := strings.Count(s, "\n"); n > 800 {
				t.Errorf("%s has %d lines: split it by construct", name, n)
			}
		}
	}
}

func TestNothingPointsToOneMachine(t *testing.T) {
	// Put together here, so that this file is not found itself.
	folders := regexp.MustCompile(`(^|[^\w.$/-])/(` + strings.Join([]string{"work", "tmp", "root", "home/\\w+"}, "|") + `)/`)
	for name, s := range text(t) {
		if strings.HasSuffix(name, "package-lock.json") {
			if strings.Contains(s, `"resolved"`) {
				t.Errorf("%s names a registry's host", name)
			}
			continue
		}
		lines := bufio.NewScanner(strings.NewReader(s))
		lines.Buffer(nil, 1<<26)
		for n := 1; lines.Scan(); n++ {
			if m := folders.FindString(lines.Text()); m != "" {
				t.Errorf("%s:%d: a path of one machine: %s", name, n, m)
			}
		}
	}
}

func TestNothingIsLeftUnfinished(t *testing.T) {
	words := regexp.MustCompile(`\b(` + strings.Join([]string{"TO" + "DO", "FIX" + "ME", "X" + "XX", "not " + "implemented"}, "|") + `)\b`)
	for name, s := range text(t) {
		if !strings.HasSuffix(name, ".go") {
			continue
		}
		if m := words.FindString(s); m != "" {
			t.Errorf("%s says %q", name, m)
		}
		if strings.HasSuffix(name, "_test.go") && strings.Contains(s, "t."+"Skip") {
			t.Errorf("%s can skip: a missing tool must fail", name)
		}
	}
}

// TestDocumentsKnowNoClock: equal sources give equal documents on any day and
// any machine, so what makes documents asks for neither.
func TestDocumentsKnowNoClock(t *testing.T) {
	ask := regexp.MustCompile(`\b(time\.(Now|Since|Local)|rand\.[A-Z]|os\.(Getenv|Hostname|Getwd|Environ|Getpid)|runtime\.(GOOS|GOARCH))\b`)
	looked := 0
	for name, s := range text(t) {
		top, _, _ := strings.Cut(name, "/")
		if !strings.HasSuffix(name, ".go") || strings.HasSuffix(name, "_test.go") || top != "dsl" && top != "compiler" && top != "render" {
			continue
		}
		looked++
		if m := ask.FindString(s); m != "" {
			t.Errorf("%s asks %s", name, m)
		}
	}
	if looked < 50 {
		t.Errorf("looked at %d files", looked)
	}
}

// TestCIInstallsWhatTestsRun: a program that a test starts is one that .ci/test
// looks for, or comes with Go.
func TestCIInstallsWhatTestsRun(t *testing.T) {
	files := text(t)
	script := files[".ci/test"]
	starts := regexp.MustCompile(`(?:exec\.(?:Command|LookPath)\(|\btool\(t, [\w.]+(?:\(\))?, )"([a-z][a-z0-9]*)"`)
	seen := map[string]bool{}
	for name, s := range files {
		if !strings.HasSuffix(name, "_test.go") {
			continue
		}
		for _, m := range starts.FindAllStringSubmatch(s, -1) {
			seen[m[1]] = true
			if m[1] != "go" && m[1] != "gofmt" && !regexp.MustCompile(`(?m)^  `+m[1]+`:\S+$`).MatchString(script) {
				t.Errorf("%s starts %s, which .ci/test does not look for", name, m[1])
			}
		}
	}
	if len(seen) < 3 {
		t.Errorf("found %v only", seen)
	}
}

func TestTheTopFolderHoldsTheHouseOnly(t *testing.T) {
	want := []string{"cmd", "dsl", "compiler", "procedures", "render", "README.md", "DEVELOPERS.md", "LICENSE", "go.mod", "go.sum"}
	entries, err := os.ReadDir(root)
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		switch filepath.Ext(e.Name()) {
		case ".test", ".prof": // of a benchmark or a fuzz run; not kept by git
			continue
		}
		if !slices.Contains(want, e.Name()) && !strings.HasPrefix(e.Name(), ".") && e.Name() != "out" {
			t.Errorf("%s stands in the top folder", e.Name())
		}
	}
	for _, name := range want {
		if _, err := os.Stat(filepath.Join(root, name)); err != nil {
			t.Errorf("%s is missing", name)
		}
	}
}

// licences are words that stand in a licence's text and in no other's.
var licences = map[string]string{
	"MIT":        "Permission is hereby granted, free of charge, to any person",
	"BSD":        "Redistribution and use in source and binary forms",
	"Apache-2.0": "Apache License",
	"Unlicense":  "This is free and unencumbered software",
	"MPL-2.0":    "Mozilla Public License",
	"ISC":        "Permission to use, copy, modify, and/or distribute this software",
}

func TestEveryDependencyIsAccountedFor(t *testing.T) {
	guide, err := os.ReadFile(filepath.Join(root, "DEVELOPERS.md"))
	if err != nil {
		t.Fatal(err)
	}
	stated, age := map[string]string{}, map[string]string{}
	for _, m := range regexp.MustCompile(`(?m)^\| (\S+\.\S+/\S+) \| (\S+) \| (\d{4}-\d\d-\d\d) \| \S`).FindAllStringSubmatch(string(guide), -1) {
		stated[m[1]], age[m[1]] = m[2], m[3]
	}
	// Of every system that a release has a program for.
	var out []byte
	for _, system := range []string{"linux", "darwin", "windows"} {
		cmd := exec.Command("go", "list", "-e", "-deps", "-test", "-f", `{{with .Module}}{{if not .Main}}{{.Path}} {{with .Time}}{{.Format "2006-01-02"}}{{end}} {{.Dir}}{{end}}{{end}}`, "./...")
		cmd.Dir = root
		cmd.Env = append(os.Environ(), "GOOS="+system, "CGO_ENABLED=0")
		list, err := cmd.Output()
		if err != nil {
			t.Fatalf("go list for %s: %v", system, err)
		}
		out = append(out, list...)
	}
	used := map[string]bool{}
	for _, line := range strings.Split(string(out), "\n") {
		path, dir, ok := strings.Cut(strings.TrimSpace(line), " ")
		if !ok || used[path] {
			continue
		}
		used[path] = true
		day, dir, _ := strings.Cut(dir, " ")
		if day != age[path] {
			t.Errorf("%s: its version is of %s, and the table of DEVELOPERS.md says %s", path, day, age[path])
		}
		licence, ok := stated[path]
		if !ok {
			t.Errorf("%s is used and not in the table of DEVELOPERS.md", path)
			continue
		}
		found := false
		entries, err := os.ReadDir(dir)
		if err != nil {
			t.Fatal(err)
		}
		for _, e := range entries {
			if name := strings.ToLower(e.Name()); strings.HasPrefix(name, "licen") || strings.HasPrefix(name, "copying") {
				text, err := os.ReadFile(filepath.Join(dir, e.Name()))
				if err != nil {
					t.Fatal(err)
				}
				found = found || licences[licence] != "" && bytes.Contains(text, []byte(licences[licence]))
			}
		}
		if !found {
			t.Errorf("%s: its licence file does not read like %s", path, licence)
		}
	}
	for path := range stated {
		if !used[path] {
			t.Errorf("%s stands in the table of DEVELOPERS.md and is not used", path)
		}
	}
	if len(used) < 5 {
		t.Errorf("%d modules are used", len(used))
	}
}
