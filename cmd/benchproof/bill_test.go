package main

import (
	"bytes"
	"encoding/json"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

// The bill of materials of a release is valid by the schema of CycloneDX 1.6
// (testdata/cyclonedx, of the standard's own Go library), names every module
// that the program tells of, and gives each its licence.
func TestTheBillOfMaterialsIsValidAndWhole(t *testing.T) {
	program := filepath.Join(t.TempDir(), "benchproof")
	build := exec.Command("go", "build", "-o", program, ".")
	if out, err := build.CombinedOutput(); err != nil {
		t.Fatalf("go build: %v\n%s", err, out)
	}
	var said bytes.Buffer
	cmd := exec.Command("bash", filepath.Join(root, ".ci", "bill"), program)
	cmd.Stderr = &said
	bill, err := cmd.Output()
	if err != nil || said.Len() > 0 {
		t.Fatalf("bill: %v\n%s", err, said.String())
	}

	c := jsonschema.NewCompiler()
	for id, name := range map[string]string{
		"http://cyclonedx.org/schema/bom-1.6.schema.json":  "bom-1.6.schema.json",
		"http://cyclonedx.org/schema/spdx.schema.json":     "spdx.schema.json",
		"http://cyclonedx.org/schema/jsf-0.82.schema.json": "jsf-0.82.schemax.json",
	} {
		f, err := os.Open(filepath.Join("testdata", "cyclonedx", name))
		if err != nil {
			t.Fatal(err)
		}
		value, err := jsonschema.UnmarshalJSON(f)
		f.Close()
		if err != nil {
			t.Fatal(err)
		}
		if err := c.AddResource(id, value); err != nil {
			t.Fatal(err)
		}
	}
	schema, err := c.Compile("http://cyclonedx.org/schema/bom-1.6.schema.json")
	if err != nil {
		t.Fatal(err)
	}
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(bill))
	if err != nil {
		t.Fatal(err)
	}
	if err := schema.Validate(value); err != nil {
		t.Error(err)
	}
	broken := value.(map[string]any)
	broken["specVersion"] = 1.6
	if schema.Validate(broken) == nil {
		t.Error("the schema takes a version that is no text: it checks nothing")
	}

	var read struct {
		Components []struct {
			Name, Version string
			Licenses      []struct{ License struct{ ID, Name string } }
		}
	}
	if err := json.Unmarshal(bill, &read); err != nil {
		t.Fatal(err)
	}
	listed := map[string]string{}
	for _, x := range read.Components {
		listed[x.Name] = x.Version
		if len(x.Licenses) != 1 || x.Licenses[0].License.ID == "" && x.Licenses[0].License.Name == "" {
			t.Errorf("%s has no licence", x.Name)
		}
	}
	told, err := exec.Command("go", "version", "-m", program).Output()
	if err != nil {
		t.Fatal(err)
	}
	modules := 0
	for _, line := range strings.Split(string(told), "\n") {
		if word := strings.Fields(line); len(word) > 2 && word[0] == "dep" {
			if modules++; listed[word[1]] != word[2] {
				t.Errorf("%s %s is linked and listed as %q", word[1], word[2], listed[word[1]])
			}
		}
	}
	if modules != len(listed) || modules < 5 {
		t.Errorf("%d modules are linked, %d listed", modules, len(listed))
	}
}
