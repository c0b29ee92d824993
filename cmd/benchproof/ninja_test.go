package main

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"benchproof/compiler/scale"
	"benchproof/procedures"
)

// linked puts the program under its own name into a folder.
func linked(t *testing.T) string {
	t.Helper()
	self, err := os.Executable()
	if err != nil {
		t.Fatal(err)
	}
	bin := filepath.Join(t.TempDir(), "benchproof")
	if err := os.Symlink(self, bin); err != nil {
		t.Fatal(err)
	}
	return bin
}

// withNinja runs ninja in a folder and gives the steps it took, sorted.
func withNinja(t *testing.T, dir, cache string, args ...string) []string {
	t.Helper()
	cmd := exec.Command("ninja", args...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), cacheVariable+"="+cache, "NINJA_STATUS=step ")
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("ninja: %v\n%s", err, out)
	}
	var steps []string
	for _, line := range strings.Split(string(out), "\n") {
		if step, ok := strings.CutPrefix(line, "step "); ok {
			steps = append(steps, step)
		}
	}
	slices.Sort(steps)
	return steps
}

// TestNinjaBuildsWhatBuildBuilds carries a library's build out with ninja, two
// steps at a time, and after each edit only the steps that the edit asks for.
func TestNinjaBuildsWhatBuildBuilds(t *testing.T) {
	const n = 6
	bin := linked(t)
	dir := filepath.Join(t.TempDir(), "a place: $with 'signs'")
	lib, cache := filepath.Join(dir, "my lib"), filepath.Join(dir, "cache")
	writeLibrary(t, lib, scale.Generate(n))
	cmd := exec.Command(bin, "dump", "--stage", "ninja", "--out", "made here", "my lib")
	cmd.Dir = dir
	text, err := cmd.Output()
	if err != nil {
		t.Fatal(err)
	}
	writeLibrary(t, dir, map[string]string{ninjaFile: string(text)})

	var jobs []string
	for i := range n {
		jobs = append(jobs, scale.Name(i))
	}
	all := append([]string{"check", indexName}, jobs...)
	slices.Sort(all)
	expect := func(what string, want ...string) {
		t.Helper()
		slices.Sort(want)
		if got := withNinja(t, dir, cache, "-j2"); !slices.Equal(got, want) {
			t.Fatalf("%s: took the steps %q, want %q", what, got, want)
		}
		clean := filepath.Join(t.TempDir(), "clean")
		runProgram(t, "build", lib, "--no-cache", "--out", clean)
		sameFiles(t, what, filepath.Join(dir, "made here"), clean)
	}
	expect("first", all...)
	expect("again")
	job := filepath.Join(lib, filepath.FromSlash(scale.Path(2)))
	edit(t, job, `"Overhaul machine 0003"`, `"Overhaul the machine 0003"`)
	expect("one title", "check", indexName, scale.Name(2))
	expect("again")
	// The index says nothing of this text: it is looked at once, and not for ever.
	edit(t, job, "Slacken all the nuts", "Slacken all of the nuts")
	expect("one text", "check", indexName, scale.Name(2))
	expect("again")
	edit(t, filepath.Join(lib, scale.Bench), `number "P-70005"`, `number "P-70005x"`)
	expect("what all share", all...)
	expect("again")
	more, err := os.ReadFile(job)
	if err != nil {
		t.Fatal(err)
	}
	writeLibrary(t, lib, map[string]string{"jobs/more.proc": strings.NewReplacer("job-0003", "more", "WI-0003", "WI-more").Replace(string(more))})
	expect("one procedure more", "check", indexName, "more", "regenerate")
	expect("again")

	// What is wrong with the library stops ninja, too.
	edit(t, job, "tighten", "tightn")
	cmd = exec.Command("ninja")
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), cacheVariable+"="+cache)
	if out, err := cmd.CombinedOutput(); err == nil || !bytes.Contains(out, []byte("BP101")) {
		t.Errorf("a wrong library: %v\n%s", err, out)
	}
}

// TestOneDocumentNeedsWhatItsDepfileNames makes each document of the built-in
// library in a folder that holds the files of its depfile and nothing else: the
// same bytes. A change of any other file changes nothing.
func TestOneDocumentNeedsWhatItsDepfileNames(t *testing.T) {
	dir := t.TempDir()
	lib := filepath.Join(dir, "lib")
	if err := os.CopyFS(lib, procedures.Files); err != nil {
		t.Fatal(err)
	}
	cache := filepath.Join(dir, "cache")
	if r := runWith(t, cache, "build", lib, "--out", filepath.Join(dir, "whole")); r.status != 0 {
		t.Fatalf("%+v", r)
	}
	whole := folderOf(t, filepath.Join(dir, "whole"))
	left, figures, made := 0, 0, 0
	for file := range whole {
		name, ok := strings.CutSuffix(file, ".pdf")
		if !ok {
			continue
		}
		made++
		out, depfile := filepath.Join(dir, "one"), filepath.Join(dir, name+".d")
		if r := runWith(t, cache, "build", lib, "--only", name, "--out", out, "--depfile", depfile); r != (outcome{}) {
			t.Fatalf("%s: %+v", name, r)
		}
		text, err := os.ReadFile(depfile)
		if err != nil {
			t.Fatal(err)
		}
		_, list, _ := strings.Cut(strings.ReplaceAll(string(text), "\\\n", ""), ":")
		alone := filepath.Join(dir, "alone-"+name)
		needed := strings.Fields(list)
		for _, path := range needed {
			inside, err := filepath.Rel(lib, path)
			if err != nil {
				t.Fatal(err)
			}
			data, err := os.ReadFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if !strings.HasSuffix(path, ".proc") {
				figures++
			}
			writeLibrary(t, alone, map[string]string{filepath.ToSlash(inside): string(data)})
		}
		files, err := filepath.Glob(filepath.Join(lib, "*.proc"))
		if err != nil {
			t.Fatal(err)
		}
		left += len(files) - len(needed)
		if r := runWith(t, cache, "build", alone, "--no-cache", "--only", name, "--out", out+"-alone", "--strict"); r != (outcome{}) {
			t.Errorf("%s alone: %+v", name, r)
			continue
		}
		for _, f := range []string{name + ".html", name + ".md", name + ".pdf"} {
			for _, out := range []string{out, out + "-alone"} {
				data, err := os.ReadFile(filepath.Join(out, f))
				if err != nil || !bytes.Equal(data, whole[f]) {
					t.Errorf("%s in %s differs: %v", f, filepath.Base(out), err)
				}
			}
		}
	}
	t.Logf("%d procedures; %d files that were not needed; %d figures", made, left, figures)
	if made < 10 || left < made || figures < 5 {
		t.Errorf("%d procedures, %d files that were not needed, %d figures: tries too little", made, left, figures)
	}
	if r := runWith(t, cache, "build", lib, "--only", indexName, "--out", filepath.Join(dir, "index")); r != (outcome{}) {
		t.Errorf("%+v", r)
	}
	if got := folderOf(t, filepath.Join(dir, "index")); len(got) != 1 || !bytes.Equal(got[indexName], whole[indexName]) {
		t.Errorf("%d files, or another index", len(got))
	}
	if r := runWith(t, cache, "build", lib, "--only", "seal-chance", "--out", filepath.Join(dir, "none")); r.status != 2 || r.said != "benchproof: --only: no procedure is called seal-chance; did you mean seal-change?\n" {
		t.Errorf("%+v", r)
	}
}
