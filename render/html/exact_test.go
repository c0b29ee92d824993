package html

import (
	"encoding/json"
	"fmt"
	"math/big"
	"math/rand/v2"
	"os/exec"
	"strings"
	"testing"
)

// The script judges as exactly as big.Rat does: random limits, scales and
// typed values, at and around their ends, and fractions no decimal can write.
func TestScriptJudgesExactly(t *testing.T) {
	type limits struct {
		For      [][2]string `json:"for"`
		Low      string      `json:"low"`
		High     string      `json:"high"`
		LowOpen  bool        `json:"lowOpen"`
		HighOpen bool        `json:"highOpen"`
	}
	type judged struct {
		Typed  string            `json:"typed"`
		Scale  map[string]string `json:"scale"`
		Limits limits            `json:"limits"`
		Shown  bool              `json:"shown"` // the instrument can show it
		Holds  bool              `json:"holds"`
	}
	r := rand.New(rand.NewPCG(1, 2))
	number := func() *big.Rat {
		switch r.IntN(3) {
		case 0:
			return big.NewRat(int64(r.IntN(400)-200), 3)
		default:
			return big.NewRat(int64(r.IntN(40000)-20000), []int64{1, 10, 100, 1000}[r.IntN(4)])
		}
	}
	text := func(v *big.Rat) string {
		if exact, n := v.FloatPrec(); n {
			return v.FloatString(exact)
		}
		return v.RatString()
	}
	var cases []judged
	for range 4000 {
		from, step := number(), big.NewRat(1, []int64{1, 2, 10, 20, 100, 1000}[r.IntN(6)])
		to := new(big.Rat).Add(from, big.NewRat(int64(r.IntN(500)), 7))
		low := number()
		high := new(big.Rat).Add(low, big.NewRat(int64(r.IntN(300)), 10))
		value := []*big.Rat{low, high, from, to, number(), new(big.Rat).Add(low, step), new(big.Rat).Sub(high, step)}[r.IntN(7)]
		typed := value.FloatString(4)
		value, _ = new(big.Rat).SetString(typed) // what was typed is what counts
		c := judged{Typed: typed, Scale: map[string]string{"from": text(from), "to": text(to), "step": text(step), "unit": "mm", "range": "", "origin": "", "of": ""},
			Limits: limits{For: [][2]string{}, Low: text(low), High: text(high), LowOpen: r.IntN(2) == 0, HighOpen: r.IntN(2) == 0}}
		if r.IntN(8) == 0 {
			c.Limits.Low = ""
		}
		if r.IntN(2) == 0 {
			c.Typed = strings.Replace(c.Typed, ".", ",", 1)
		}
		c.Shown = value.Cmp(from) >= 0 && value.Cmp(to) <= 0 && new(big.Rat).Quo(value, step).IsInt()
		c.Holds = (c.Limits.Low == "" || value.Cmp(low) > 0 || value.Cmp(low) == 0 && !c.Limits.LowOpen) &&
			(value.Cmp(high) < 0 || value.Cmp(high) == 0 && !c.Limits.HighOpen)
		cases = append(cases, c)
	}
	var result struct {
		Wrong []string
		Shown int
		Held  int
	}
	runScript(t, cases, `
		const words = {notANumber: "", tooLong: "", outOfRange: "", offScale: "{below} {above}"};
		const result = {Wrong: [], Shown: 0, Held: 0};
		for (const c of cases) {
			const j = judgeCell(c.typed, c.scale, words);
			if (Boolean(j.value) !== c.shown) result.Wrong.push("shown " + JSON.stringify(c));
			const v = rat(c.typed.replace(",", "."));
			if (holds(c.limits, v) !== c.holds) result.Wrong.push("holds " + JSON.stringify(c));
			result.Shown += c.shown; result.Held += c.holds;
		}`, &result)
	for i, w := range result.Wrong {
		if i < 5 {
			t.Error(w)
		}
	}
	if len(result.Wrong) > 0 || result.Shown < 100 || result.Held < 400 || result.Held > 3600 {
		t.Errorf("%d wrong of %d; %d shown, %d held", len(result.Wrong), len(cases), result.Shown, result.Held)
	}
}

// Smallest, largest and mean of several takings; a mean that falls between two
// values of the scale is rounded to it, halves to the even one (ISO 80000-1,
// annex B, rule A).
func TestScriptCombinesTakings(t *testing.T) {
	type taken struct {
		Of     string   `json:"of"`
		Values []string `json:"values"`
		Want   string   `json:"want"`
		Scaled string   `json:"scaled"`
	}
	cases := []taken{
		{"smallest", []string{"31.9", "-2", "31.954"}, "-2.000", "-2.000"},
		{"largest", []string{"31.9", "31.954", "31.0"}, "31.954", "31.954"},
		{"mean", []string{"0.1", "0.2"}, "0.150", "0.150"},
		{"mean", []string{"31.953", "31.954"}, "31.9535", "31.954"},
		{"mean", []string{"31.954", "31.955"}, "31.9545", "31.954"},
		{"mean", []string{"1", "1", "2"}, "≈ 1.3333", "1.333"},
		{"", []string{"7"}, "7.000", "7.000"},
	}
	var got []taken
	runScript(t, cases, `const result = cases.map(c => { const v = combine(c.values.map(rat), c.of); return {of: c.of, values: c.values, want: decimal(v, 3), scaled: decimal(toScale(v, {step: "0.001", origin: ""}), 3)} });`, &got)
	for i, c := range cases {
		if fmt.Sprint(got[i]) != fmt.Sprint(c) {
			t.Errorf("got %v, want %v", got[i], c)
		}
	}
}

// runScript runs exact.js outside a browser on cases.
func runScript(t *testing.T, cases any, script string, result any) {
	t.Helper()
	data, err := json.Marshal(cases)
	if err != nil {
		t.Fatal(err)
	}
	c := exec.Command("node", "-")
	c.Stdin = strings.NewReader(`"use strict";` + exactJS + "const cases = " + string(data) + ";" + script + ";console.log(JSON.stringify(result));")
	out, err := c.CombinedOutput()
	if err != nil {
		t.Fatalf("%v: %.2000s", err, out)
	}
	if err := json.Unmarshal(out, result); err != nil {
		t.Fatalf("%v: %.2000s", err, out)
	}
}
