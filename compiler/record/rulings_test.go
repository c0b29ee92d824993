package record

import (
	"fmt"
	"slices"
	"strings"
	"testing"
)

// twice is the end of the run-out check with a second decision on its reading.
func twice(decision string) []string {
	const end = "    record  weight \"Weight of the rotor\"\n  }\n"
	return []string{end, end + decision}
}

// A reading that two decisions judge has the limits of what both find good, which the
// page could not write: only the way tells which of them judge it. Guard bands of
// 0.01 mm by hand: at most 0.05 acts at 0.04, at least 0.02 at 0.03.
func TestAReadingJudgedTwice(t *testing.T) {
	least := "  decide runout {\n    accept at least 0.02 mm no upper limit \"It turns freely.\" {\n    }\n    below 0.02 mm \"It does not turn.\" {\n      finish refer \"Turn it.\"\n    }\n  }\n"
	for _, x := range []struct {
		decision, typed string
		want, drawn     string
		verdict         string
	}{
		{least, "0.03", "from 0.03 to 0.04", "from 0.02 to 0.05", "within"},
		{least, "0.04", "from 0.03 to 0.04", "from 0.02 to 0.05", "within"},
		{least, "0.00", "from 0.03 to 0.04", "from 0.02 to 0.05", "outside"},
		// The first decision ends the way: the second said nothing.
		{least, "0.08", "at most 0.04", "at most 0.05", "outside"},
	} {
		b := bench(t, twice(x.decision)...)
		r := saved(t, "a-true-rotor")
		doc, _ := b.document(r.Document)
		if doc == nil {
			t.Fatal("no document")
		}
		r.Document.Fingerprint = doc.Fingerprint
		for i := range r.Entries {
			e := &r.Entries[i]
			if strings.HasPrefix(e.Name, "runout") {
				e.Value, e.Limits = x.typed, nil
			}
		}
		rep := b.Judge("twice", r)
		if !rep.Checked || len(rep.Readings) != 1 {
			t.Fatalf("%s: %s", x.typed, listed(rep))
		}
		got := rep.Readings[0]
		if got.Limits.Words() != x.want || got.Drawn.Words() != x.drawn || got.Verdict != x.verdict {
			t.Errorf("%s: %s, drawn %s, %s", x.typed, got.Limits.Words(), got.Drawn.Words(), got.Verdict)
		}
		told := slices.ContainsFunc(rep.Findings, func(f Finding) bool { return f.Key == "outside" && strings.Contains(f.Text, x.want) })
		if told != (x.verdict == "outside") {
			t.Errorf("%s: outside told: %t\n%s", x.typed, told, listed(rep))
		}
	}
}

// What lies within both, and within either, by hand.
func TestLimitsOfSeveral(t *testing.T) {
	l := func(low, high string) *Limits {
		out := &Limits{Low: strings.Trim(low, "<"), High: strings.Trim(high, "<")}
		out.LowOpen, out.HighOpen = strings.HasSuffix(low, "<"), strings.HasPrefix(high, "<")
		return out
	}
	for _, x := range []struct {
		a, b           *Limits
		common, joined string
	}{
		{l("1", "3"), l("2", "4"), "from 2 to 3", "from 1 to 4"},
		{l("1", "2"), l("3", "4"), "none", "none"},
		{l("1", "2"), l("2", "4"), "from 2 to 2", "from 1 to 4"},
		{l("1", "<2"), l("2", "4"), "none", "from 1 to 4"},
		{l("1", "<2"), l("2<", "4"), "none", "none"},
		{l("", "2"), l("1", ""), "from 1 to 2", "any value"},
		{l("", "2"), l("", "3"), "at most 2", "at most 3"},
		{l("1", ""), l("1<", ""), "above 1", "at least 1"},
		{l("1", "5"), l("2", "3"), "from 2 to 3", "from 1 to 5"},
		{l("1", "1/3"), l("0", "1"), "none", "from 0 to 1"},
		{l("-0.1", "0.30"), l("-0.10", "0.3"), "from -0.1 to 0.30", "from -0.1 to 0.30"},
	} {
		for _, pair := range [][2]*Limits{{x.a, x.b}, {x.b, x.a}} {
			common, joined := pair[0].common(pair[1]), pair[0].joined(pair[1])
			for _, y := range []struct {
				what string
				got  *Limits
				want string
			}{{"common", common, x.common}, {"joined", joined, x.joined}} {
				words := y.got.Words()
				if x.a.Low == "-0.1" { // equal ends may be written in either way
					words = strings.NewReplacer("-0.10", "-0.1", "0.30", "0.3").Replace(words)
					y.want = strings.NewReplacer("0.30", "0.3").Replace(y.want)
				}
				if words != y.want {
					t.Errorf("%s of %s and %s: %s, want %s", y.what, pair[0].Words(), pair[1].Words(), words, y.want)
				}
			}
		}
	}
}

// Each step that stands wrongly is told once, by the fewest that can: held against
// all choices of steps for short ways.
func TestOutOfOrder(t *testing.T) {
	w := func(pairs ...int) (list []worked) {
		for i := 0; i < len(pairs); i += 2 {
			list = append(list, worked{place: fmt.Sprint("step ", i/2+1), at: Finding{Step: i/2 + 1}, begun: pairs[i], done: pairs[i+1]})
		}
		return list
	}
	for _, x := range []struct {
		list []worked
		want []string
	}{
		{w(1, 2, 3, 3, 4, 6), nil},
		{w(1, 1, 3, 3, 2, 2, 4, 4), []string{"step 3 was begun (entry 2) before step 2 was done (entry 3)"}},
		{w(1, 1, 3, 3, 2, 2, 4, 4, 6, 6, 5, 5, 7, 7), []string{"step 3 was begun (entry 2) before step 2 was done (entry 3)", "step 6 was begun (entry 5) before step 5 was done (entry 6)"}},
		{w(9, 9, 1, 1, 2, 2, 4, 4, 3, 3, 5, 5), []string{"step 1 was done (entry 9) after step 2 was begun (entry 1)", "step 5 was begun (entry 3) before step 4 was done (entry 4)"}},
		{w(1, 9, 2, 3, 4, 5), []string{"step 1 was done (entry 9) after step 2 was begun (entry 2)"}},
		{nil, nil},
	} {
		var got []string
		for _, m := range outOfOrder(x.list) {
			got = append(got, m.text)
		}
		if !slices.Equal(got, x.want) {
			t.Errorf("%v:\n%q, want\n%q", x.list, got, x.want)
		}
	}
	seed := uint32(5)
	next := func(n int) int {
		seed = seed*1664525 + 1013904223
		return int(seed>>16) % n
	}
	for range 3000 {
		var list []worked
		for i := range 1 + next(7) {
			begun := 1 + next(12)
			list = append(list, worked{place: fmt.Sprint(i), begun: begun, done: begun + next(4)})
		}
		fewest := len(list)
		for keep := range 1 << len(list) {
			done, left, ok := 0, 0, true
			for i, x := range list {
				if keep&(1<<i) == 0 {
					left++
					continue
				}
				ok = ok && x.begun >= done
				done = x.done
			}
			if ok {
				fewest = min(fewest, left)
			}
		}
		if got := len(outOfOrder(list)); got != fewest {
			t.Fatalf("%v: %d told, %d are the fewest", list, got, fewest)
		}
	}
}
