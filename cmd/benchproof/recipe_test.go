package main

import (
	"bytes"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"

	"go.yaml.in/yaml/v3"
)

// TestTheRecipeNamesTheStage runs ci.sh as a build server does, in a repository of
// its own: a good commit passes, and each slip fails in the stage that it is of.
func TestTheRecipeNamesTheStage(t *testing.T) {
	stages := []string{"format", "meaning", "trials", "releases", "translations", "documents"}
	cases := []struct {
		name   string
		failed []string // stages; the documents are not made then
		slip   func(t *testing.T, dir string)
	}{
		{"a comment", nil, func(t *testing.T, dir string) {
			prepend(t, filepath.Join(dir, "seal-change.proc"), "# Read by the foreman.\n\n")
		}},
		{"not laid out", []string{"format"}, func(t *testing.T, dir string) {
			prepend(t, filepath.Join(dir, "seal-change.proc"), "\n\n\n\n")
		}},
		{"a tool left on", []string{"meaning"}, func(t *testing.T, dir string) {
			edit(t, filepath.Join(dir, "seal-change.proc"), "      remove  seal-puller\n", "")
		}},
		{"not the grammar", []string{"format", "meaning"}, func(t *testing.T, dir string) {
			edit(t, filepath.Join(dir, "seal-change.proc"), "procedure seal-change", "procedure seal-change seal")
		}},
		{"a trial that does not hold", []string{"trials"}, func(t *testing.T, dir string) {
			edit(t, filepath.Join(dir, "seal-change.proc"), "expect              finish serviceable", "expect              finish scrap")
		}},
		{"released", nil, func(t *testing.T, dir string) {
			runProgram(t, "release", "seal-change", dir, "--by", "Ada Marsh", "--on", "2027-01-15")
		}},
		{"released, and changed", []string{"releases"}, func(t *testing.T, dir string) {
			runProgram(t, "release", "seal-change", dir, "--by", "Ada Marsh", "--on", "2027-01-15")
			gitIn(t, dir, "add", ".")
			gitIn(t, dir, "commit", "-qm", "released")
			edit(t, filepath.Join(dir, "seal-change.proc"), "      remove  seal-puller\n", "      remove  seal-puller\n      takes   7 min\n")
		}},
		{"a translation of what was said before", []string{"translations"}, func(t *testing.T, dir string) {
			runProgram(t, "words", "export", "--language", "de", dir)
			name := filepath.Join(dir, "translations", "de.po")
			text, err := os.ReadFile(name)
			if err != nil {
				t.Fatal(err)
			}
			// The words stand in for a translation: they hold all that it has to.
			said := regexp.MustCompile(`(?m)^msgid "(.+)"\nmsgstr ""$`).ReplaceAllString(string(text), "msgid \"$1\"\nmsgstr \"$1\"")
			if err := os.WriteFile(name, []byte(said), 0o666); err != nil {
				t.Fatal(err)
			}
			edit(t, filepath.Join(dir, "seal-change.proc"), "Let the casing cool", "Let the whole casing cool")
		}},
	}
	for _, c := range cases {
		t.Run(c.name, func(t *testing.T) {
			dir, base := ciRepository(t)
			c.slip(t, dir)
			gitIn(t, dir, "add", ".")
			gitIn(t, dir, "commit", "-qm", "a change")
			said, status := runCI(t, dir, "BASE="+base)
			for _, stage := range stages {
				want := stage + ": passed\n"
				switch {
				case stage == "trials" && (slices.Contains(c.failed, "meaning") || slices.Contains(c.failed, "releases")):
					want = "trials: not run, since something else is wrong\n"
				case slices.Contains(c.failed, stage):
					want = stage + ": FAILED\n"
				case stage == "documents" && c.failed != nil:
					want = ""
				}
				if want == "" && strings.Contains(said, stage+":") || !strings.Contains(said, want) {
					t.Errorf("%s: expected %q in\n%s", stage, want, said)
				}
			}
			report := filepath.Join(dir, "out", "report")
			for _, name := range []string{"benchproof.sarif", "messages.txt", "changes.md", "changes.html"} {
				info, err := os.Stat(filepath.Join(report, name))
				if err != nil {
					t.Error(err)
				} else if name == "benchproof.sarif" && info.Size() == 0 {
					t.Errorf("%s is empty", name)
				}
			}
			if c.failed == nil {
				if status != 0 || !strings.HasSuffix(said, "all stages passed\n") {
					t.Errorf("status %d:\n%s", status, said)
				}
				if _, err := os.Stat(filepath.Join(dir, "out", "seal-change.pdf")); err != nil {
					t.Error(err)
				}
			} else if status != 1 || !strings.HasSuffix(said, "not to be merged: "+strings.Join(c.failed, " ")+"\n") {
				t.Errorf("status %d:\n%s", status, said)
			}
		})
	}
}

// TestTheRecipeWithoutBase runs where there is nothing to compare with, and where
// there is no library.
func TestTheRecipeWithoutBase(t *testing.T) {
	dir, _ := ciRepository(t)
	if said, status := runCI(t, dir); status != 0 || strings.Contains(said, "compare") {
		t.Errorf("status %d:\n%s", status, said)
	}
	if said, status := runCI(t, dir, "BASE="+strings.Repeat("0", 40)); status != 0 || !strings.Contains(said, "to compare with") {
		t.Errorf("status %d:\n%s", status, said)
	}
	sources, err := filepath.Glob(filepath.Join(dir, "*.proc"))
	if err != nil || len(sources) == 0 {
		t.Fatal(sources, err)
	}
	for _, name := range sources {
		if err := os.Remove(name); err != nil {
			t.Fatal(err)
		}
	}
	if said, status := runCI(t, dir); status != 2 {
		t.Errorf("no library: status %d:\n%s", status, said)
	}
}

// TestTheRecipeTellsWhatIsOverdue: the day is stated or none is; what it brings about
// fails no change.
func TestTheRecipeTellsWhatIsOverdue(t *testing.T) {
	dir, _ := ciRepository(t)
	edit(t, filepath.Join(dir, "bench.proc"), "  uncertainty  0.004 mm\n", "  uncertainty  0.004 mm\n  due          2026-06-30\n")
	for _, x := range []struct{ date, want, without string }{
		{"", "all stages passed", "calibration"},
		{"DATE=2026-06-30", "calibration: nothing is overdue", "BP027"},
		{"DATE=2026-07-01", "calibration: overdue, and named in out/report/calibration.txt", "FAILED"},
	} {
		said, status := runCI(t, dir, x.date)
		if status != 0 || !strings.Contains(said, x.want) || strings.Contains(said, x.without) {
			t.Errorf("%s: status %d:\n%s", x.date, status, said)
		}
	}
	if said, status := runCI(t, dir, "DATE=soon"); status != 2 || !strings.Contains(said, "expected a day") {
		t.Errorf("status %d:\n%s", status, said)
	}
}

// ciRepository makes a repository with a library and the recipe, all committed; it also
// gives the commit.
func ciRepository(t *testing.T) (dir, commit string) {
	t.Helper()
	dir = filepath.Join(t.TempDir(), "bench")
	if err := os.CopyFS(dir, os.DirFS("testdata/pump-bench")); err != nil {
		t.Fatal(err)
	}
	runProgram(t, "new", "ci", dir)
	gitIn(t, dir, "init", "-q")
	gitIn(t, dir, "add", ".")
	gitIn(t, dir, "commit", "-qm", "the library")
	return dir, strings.TrimSpace(gitIn(t, dir, "rev-parse", "HEAD"))
}

func gitIn(t *testing.T, dir string, args ...string) string {
	t.Helper()
	cmd := exec.Command("git", append([]string{"-c", "user.name=Ada Marsh", "-c", "user.email=ada@example.org", "-c", "commit.gpgsign=false"}, args...)...)
	cmd.Dir = dir
	cmd.Env = append(os.Environ(), "GIT_CONFIG_NOSYSTEM=1", "GIT_CONFIG_GLOBAL="+os.DevNull)
	out, err := cmd.CombinedOutput()
	if err != nil {
		t.Fatalf("git %v: %v\n%s", args, err, out)
	}
	return string(out)
}

// runCI runs the recipe with this program in front of the path.
func runCI(t *testing.T, dir string, env ...string) (said string, status int) {
	t.Helper()
	bin := t.TempDir()
	self := program(t, "version")
	// The program goes by the name it is called by.
	if err := os.Symlink(self.Path, filepath.Join(bin, "benchproof")); err != nil {
		t.Fatal(err)
	}
	cmd := exec.Command("sh", filepath.Join(dir, "ci.sh"))
	cmd.Env = append(append(self.Environ(), "PATH="+bin+string(os.PathListSeparator)+os.Getenv("PATH"), cacheVariable+"="+filepath.Join(bin, "cache")), env...)
	var b bytes.Buffer
	cmd.Stdout, cmd.Stderr = &b, &b
	err := cmd.Run()
	if _, exited := err.(*exec.ExitError); err != nil && !exited {
		t.Fatal(err)
	}
	return b.String(), cmd.ProcessState.ExitCode()
}

func prepend(t *testing.T, name, text string) {
	t.Helper()
	old, err := os.ReadFile(name)
	if err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(name, append([]byte(text), old...), 0o666); err != nil {
		t.Fatal(err)
	}
}

// TestTheRecipesOfServersAreYAML reads the two files as YAML 1.2 readers do and looks
// for what makes them of use: the script is run, the base is named, reports are kept.
func TestTheRecipesOfServersAreYAML(t *testing.T) {
	read := func(name string) map[string]any {
		data, err := fs.ReadFile(recipe, name)
		if err != nil {
			t.Fatal(err)
		}
		var out map[string]any
		if err := yaml.Unmarshal(data, &out); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		return out
	}
	at := func(v any, path ...any) any {
		for _, p := range path {
			switch p := p.(type) {
			case string:
				m, _ := v.(map[string]any)
				v = m[p]
			case int:
				l, _ := v.([]any)
				if p >= len(l) {
					return nil
				}
				v = l[p]
			}
		}
		return v
	}
	hub := read("recipe/github.yml")
	job := at(hub, "jobs", "check")
	if base := at(job, "env", "BASE"); base == nil || !strings.Contains(base.(string), "pull_request.base.sha") {
		t.Errorf("BASE is %v", base)
	}
	steps, _ := at(job, "steps").([]any)
	ran, sarif, kept := false, false, false
	for _, s := range steps {
		if at(s, "run") == `sh "$LIBRARY/ci.sh"` {
			ran = true
		}
		if f, ok := at(s, "with", "sarif_file").(string); ok {
			sarif = strings.HasSuffix(f, "/out/report/benchproof.sarif") && strings.HasPrefix(at(s, "if").(string), "always()")
		}
		if p, ok := at(s, "with", "path").(string); ok {
			kept = strings.HasSuffix(p, "/out")
		}
	}
	if !ran || !sarif || !kept || at(hub, "permissions", "security-events") != "write" || at(hub, "on") == nil {
		t.Errorf("ran %v, messages shown %v, documents kept %v: %v", ran, sarif, kept, hub)
	}
	lab := read("recipe/gitlab.yml")
	if at(lab, "library", "script", 0) != `sh "$LIBRARY/ci.sh"` || at(lab, "library", "artifacts", "when") != "always" ||
		at(lab, "library", "artifacts", "paths", 0) != "$LIBRARY/out/" || at(lab, "library", "rules", 0, "variables", "BASE") == nil ||
		at(lab, "library", "variables", "GIT_DEPTH") != "0" {
		t.Errorf("%v", lab)
	}
}
