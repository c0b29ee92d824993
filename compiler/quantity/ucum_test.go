package quantity

import (
	"bytes"
	"encoding/json"
	"math"
	"os"
	"os/exec"
	"path/filepath"
	"testing"
)

// askUCUM puts conversions to the reference library of the Unified Code for
// Units of Measure (@lhncbc/ucum-lhc, U.S. National Library of Medicine).
func askUCUM(t *testing.T, asked [][3]any) []any {
	t.Helper()
	dir := filepath.Join("testdata", "ucum")
	if _, err := os.Stat(filepath.Join(dir, "node_modules", "@lhncbc", "ucum-lhc")); err != nil {
		install := exec.Command("npm", "ci", "--no-fund", "--no-audit")
		install.Dir = dir
		if out, err := install.CombinedOutput(); err != nil {
			t.Fatalf("npm ci in %s: %v\n%s", dir, err, out)
		}
	}
	in, err := json.Marshal(asked)
	if err != nil {
		t.Fatal(err)
	}
	node := exec.Command("node", "convert.js")
	node.Dir = dir
	node.Stdin = bytes.NewReader(in)
	var complaints bytes.Buffer
	node.Stderr = &complaints
	out, err := node.Output()
	if err != nil {
		t.Fatalf("node convert.js: %v\n%s", err, complaints.String())
	}
	var got []any
	if err := json.Unmarshal(out, &got); err != nil {
		t.Fatal(err)
	}
	if len(got) != len(asked) {
		t.Fatalf("%d answers to %d questions", len(got), len(asked))
	}
	return got
}

// The units that UCUM does not have at equal size; everything else is compared.
var notInUCUM = map[string]string{
	"mmHg":          "conventional column; UCUM's m[Hg] is 133.3220 kPa, rounded in the seventh digit",
	"inHg":          "as mmHg",
	"uin/inch/degF": "UCUM has no products with its Fahrenheit degree; checked against 9/5 in a test of its own",
}

// TestUnitsAgreeWithUCUM compares every unit with every other of its dimension.
func TestUnitsAgreeWithUCUM(t *testing.T) {
	values := []Number{num("1"), num("0.37"), num("250.5")}
	type question struct {
		from, to *Unit
		value    Number
	}
	var questions []question
	var asked [][3]any
	for _, from := range Units() {
		if _, ok := notInUCUM[from.Code]; ok != (from.UCUM == "") {
			t.Errorf("%s: UCUM code %q, and listed as without one: %v", from.Code, from.UCUM, ok)
		}
		for _, to := range Units() {
			if from.Dimension != to.Dimension || from.UCUM == "" || to.UCUM == "" {
				continue
			}
			for _, v := range values {
				questions = append(questions, question{from, to, v})
				asked = append(asked, [3]any{from.UCUM, v.Float64(), to.UCUM})
			}
		}
	}
	for i, answer := range askUCUM(t, asked) {
		q := questions[i]
		want, ok := answer.(float64)
		if !ok {
			t.Errorf("%v %s in %s: UCUM says %v", q.value, q.from.UCUM, q.to.UCUM, answer)
			continue
		}
		exact, err := New(q.value, q.from).In(q.to)
		if err != nil {
			t.Errorf("%v %s in %s: %v", q.value, q.from.Code, q.to.Code, err)
			continue
		}
		// The reference computes in binary floats, with offsets near 273 for
		// temperatures: twelve digits of the larger of the values agree.
		got := exact.Float64()
		size := max(math.Abs(want), math.Abs(got))
		if q.from.Offset.Sign() != 0 || q.to.Offset.Sign() != 0 {
			size = max(size, 273.15)
		}
		if math.Abs(got-want) > 1e-12*size {
			t.Errorf("%v %s in %s: %v, UCUM says %v", q.value, q.from.Code, q.to.Code, got, want)
		}
	}
	t.Logf("%d conversions compared", len(questions))
	if len(questions) < 2000 {
		t.Errorf("only %d conversions were compared", len(questions))
	}
}
