package main

import (
	"bytes"
	"encoding/json"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
	"go.yaml.in/yaml/v3"
)

// A workflow as the parser of the server's maker reads it.
type workflow struct {
	Errors, Events []string
	Jobs           []struct {
		ID    string
		Steps []struct{ Run, Uses, If string }
	}
}

// readWorkflow reads a workflow with @actions/workflow-parser (npm, of the server's
// maker): its schema, its expressions and functions.
func readWorkflow(t *testing.T, text []byte) workflow {
	t.Helper()
	const dir = "testdata/servers"
	if _, err := os.Stat(filepath.Join(dir, "node_modules")); err != nil {
		install := exec.Command("npm", "ci", "--ignore-scripts", "--no-audit", "--no-fund")
		install.Dir = dir
		if out, err := install.CombinedOutput(); err != nil {
			t.Fatalf("npm ci: %v\n%s", err, out)
		}
	}
	cmd := exec.Command("node", "workflow.mjs")
	cmd.Dir, cmd.Stdin = dir, bytes.NewReader(text)
	out, err := cmd.Output()
	if err != nil {
		t.Fatalf("node: %v", err)
	}
	var w workflow
	if err := json.Unmarshal(out, &w); err != nil {
		t.Fatalf("%v: %s", err, out)
	}
	return w
}

func TestTheWorkflowIsOneToItsServer(t *testing.T) {
	text, err := fs.ReadFile(recipe, "recipe/github.yml")
	if err != nil {
		t.Fatal(err)
	}
	w := readWorkflow(t, text)
	if len(w.Errors) > 0 || strings.Join(w.Events, " ") != "pull_request push" || len(w.Jobs) != 1 || len(w.Jobs[0].Steps) != 5 {
		t.Fatalf("%+v", w)
	}
	for _, slip := range [][2]string{{"runs-on", "runs-of"}, {"always() &&", "alway() &&"}, {"uses: actions/checkout@v4", "use: actions/checkout@v4"}, {"pull_request:", "pull_requests:"}} {
		if now := strings.Replace(string(text), slip[0], slip[1], 1); now == string(text) || len(readWorkflow(t, []byte(now)).Errors) == 0 {
			t.Errorf("%q for %q: nothing is wrong", slip[1], slip[0])
		}
	}

	// Its own lines, run as the server runs them: bash -e, one after another.
	dir, base := ciRepository(t)
	edit(t, filepath.Join(dir, "seal-change.proc"), "Let the casing cool", "Let the whole casing cool")
	gitIn(t, dir, "commit", "-qam", "a change")
	summary := filepath.Join(t.TempDir(), "summary.md")
	for _, s := range w.Jobs[0].Steps {
		if s.Run != "" {
			inRepository(t, dir, s.Run, "LIBRARY=.", "BASE="+base, "GITHUB_STEP_SUMMARY="+summary)
		}
	}
	if said, err := os.ReadFile(summary); err != nil || !strings.Contains(string(said), "seal-change") {
		t.Errorf("the summary says %q, %v", said, err)
	}
	if data, err := os.ReadFile(filepath.Join(dir, "out", "report", "benchproof.sarif")); err != nil || len(data) == 0 {
		t.Errorf("no messages for the review: %v", err)
	}
}

// The other server's schema is its own, as its runners carry it (draft 07, MIT; by way
// of the npm package gitlab-ci-local 4.61.1).
func TestThePipelineIsOneToItsServer(t *testing.T) {
	f, err := os.Open("testdata/servers/gitlab-ci.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	defer f.Close()
	value, err := jsonschema.UnmarshalJSON(f)
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("pipeline.json", value); err != nil {
		t.Fatal(err)
	}
	schema, err := c.Compile("pipeline.json")
	if err != nil {
		t.Fatal(err)
	}
	text, err := fs.ReadFile(recipe, "recipe/gitlab.yml")
	if err != nil {
		t.Fatal(err)
	}
	valid := func(text string) error {
		var tree any
		if err := yaml.Unmarshal([]byte(text), &tree); err != nil {
			return err
		}
		plain, err := json.Marshal(tree)
		if err != nil {
			return err
		}
		value, err := jsonschema.UnmarshalJSON(bytes.NewReader(plain))
		if err != nil {
			return err
		}
		return schema.Validate(value)
	}
	if err := valid(string(text)); err != nil {
		t.Error(err)
	}
	for _, slip := range [][2]string{{"script:", "scripts:"}, {"when: always", "when: ever"}, {"- if: $CI_COMMIT", "- iff: $CI_COMMIT"}, {"artifacts:", "artefacts:"}} {
		if now := strings.Replace(string(text), slip[0], slip[1], 1); now == string(text) || valid(now) == nil {
			t.Errorf("%q for %q: nothing is wrong", slip[1], slip[0])
		}
	}

	var tree struct {
		Library struct {
			Script    []string
			Artifacts struct{ Paths []string }
		}
	}
	if err := yaml.Unmarshal(text, &tree); err != nil {
		t.Fatal(err)
	}
	dir, base := ciRepository(t)
	for _, line := range tree.Library.Script {
		inRepository(t, dir, line, "LIBRARY=.", "BASE="+base)
	}
	for _, name := range tree.Library.Artifacts.Paths {
		if info, err := os.Stat(filepath.Join(dir, strings.TrimPrefix(name, "$LIBRARY/"))); err != nil || !info.IsDir() {
			t.Errorf("%s is to be kept: %v", name, err)
		}
	}
}

// inRepository runs a line of a server's file in the repository, with this program in
// the path.
func inRepository(t *testing.T, dir, line string, env ...string) {
	t.Helper()
	bin := filepath.Dir(linked(t))
	cmd := exec.Command("bash", "-e", "-c", line)
	cmd.Dir = dir
	cmd.Env = append(append(program(t, "version").Environ(), "PATH="+bin+string(os.PathListSeparator)+os.Getenv("PATH"), cacheVariable+"="+filepath.Join(bin, "cache")), env...)
	if out, err := cmd.CombinedOutput(); err != nil {
		t.Errorf("%s: %v\n%s", line, err, out)
	}
}
