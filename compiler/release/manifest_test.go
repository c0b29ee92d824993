package release_test

import (
	"context"
	"slices"
	"strings"
	"testing"
	"testing/fstest"

	"benchproof/compiler"
	"benchproof/compiler/library"
	"benchproof/compiler/release"
	"benchproof/dsl/message"
)

const bench = `library "Example bench" { owner "Workshop" }
variant size "Size" { s1 "size 1"  s2 "size 2" }
table limits by size {
  columns worn, torque
  s1 0.50 mm, 20 N.m
  s2 0.60 mm, 25 N.m
}
hazard hot warning "Hot lid" { consequence "It burns your hands." avoid "Wear gloves." }
tool lamp "work lamp" { number "T-1" carries hot }
tool hook "long hook" { number "T-2" }
tool gauge "feeler gauge" { number "T-3" reads from 0 mm to 1 mm resolution 0.05 mm uncertainty 0.05 mm }
routine clean "Clean it" {
  step "Wipe the seat."
  step "Hang up the @hook." { use hook }
}
procedure look "Look at the lid" {
  document "WI-1"
  revision A on 2026-01-05 "First issue."
  applies to size s1, s2
  step "Light the seat with the @lamp." { use lamp }
  perform clean
  step "Measure the gap with the @gauge." { measure gap in mm with gauge }
  decide gap {
    accept at most limits.worn { }
    above limits.worn { finish refer "Call the supervisor." }
  }
  step "Wipe the lid."
}
trial "a good lid" of look { gap 0.10 mm expect finish serviceable }
trial "a worn lid" of look { gap 0.90 mm expect finish refer }
`

// checked finds all that is wrong with sources.
func checked(t *testing.T, text string) *compiler.Result {
	t.Helper()
	src, err := compiler.Read(fstest.MapFS{"bench.proc": &fstest.MapFile{Data: []byte(text)}})
	if err != nil {
		t.Fatal(err)
	}
	r, err := compiler.Check(context.Background(), src)
	if err != nil {
		t.Fatal(err)
	}
	return r
}

// taken gives the manifest of the procedure of some sources, with the library.
func taken(t *testing.T, text string) (*library.Library, *release.Manifest) {
	t.Helper()
	r := checked(t, text)
	for _, m := range r.Messages {
		if m.Code != "BP011" && m.Code != "BP204" {
			t.Fatal(m.Text)
		}
	}
	return r.Library, release.Take(r.Library, r.Library.Procedures[0], nil)
}

// signed gives the bench with its release.
func signed(t *testing.T) string {
	t.Helper()
	lib, m := taken(t, bench)
	return bench + release.Statement(lib.Procedures[0], m, `Ada "Addy" Marsh`, "2026-02-01")
}

func TestDifferencesAreNamed(t *testing.T) {
	text := signed(t)
	for _, x := range []struct {
		what string
		edit []string
		want string
		bars []int // steps that differ in what they show; 0 is another statement
	}{
		{"nothing", nil, "", nil},
		{"a comment and the layout", []string{"perform clean", "perform # so\n\n clean"}, "", nil},
		{"a step", []string{"Wipe the lid.", "Dust the lid."}, "step 5", []int{5}},
		{"a step of a routine", []string{"Wipe the seat.", "Dust the seat."}, "routine clean", []int{2}},
		{"a tool's number", []string{`"T-2"`, `"T-9"`}, "tool hook", []int{3}},
		{"a hazard that a tool carries", []string{"Wear gloves.", "Wear thick gloves."}, "hazard hot", []int{1}},
		{"a limit", []string{"0.60 mm", "0.65 mm"}, "table limits (worn)", []int{0}},
		{"a column that nobody uses", []string{"25 N.m", "26 N.m"}, "", nil},
		{"a member's title", []string{`"size 2"`, `"DN 2"`}, "variant size", nil},
		{"a finish", []string{"Call the supervisor.", "Tell the supervisor."}, "the finish refer", []int{0}},
		{"a decision", []string{"accept at most limits.worn {", `accept at most limits.worn "Good." {`}, "the decision on gap", []int{0}},
		{"the head", []string{"First issue.", "First."}, "the head of the procedure", nil},
		{"the owner", []string{`"Workshop"`, `"Works"`}, "the library's own declaration", nil},
		{"a new step", []string{`step "Wipe the lid."`, `step "Wipe the lid." step "Close it."`}, "step 6", []int{6}},
		{"the same step twice", []string{`step "Wipe the lid."`, `step "Wipe the lid." step "Wipe the lid."`}, "step 6", []int{6}},
		{"a step less", []string{`step "Wipe the lid."`, ""}, "a step that has gone", nil},
		{"a moved step", []string{`step "Wipe the lid."`, "", "perform clean", `step "Wipe the lid." perform clean`}, "the order of the work", nil},
		{"another tool", []string{"with the @lamp", "with the @hook", "use lamp", "use hook"},
			"step 1, hazard hot, which it no longer uses, tool lamp, which it no longer uses", []int{1}},
	} {
		now := text
		for i := 0; i+1 < len(x.edit); i += 2 {
			if !strings.Contains(now, x.edit[i]) {
				t.Fatalf("%s: no %q", x.what, x.edit[i])
			}
			now = strings.Replace(now, x.edit[i], x.edit[i+1], 1)
		}
		lib, m := taken(t, now)
		r := release.StandingOf(lib, lib.Procedures[0]).Released
		if r == nil || !release.Sound(r) || r.By != `Ada "Addy" Marsh` {
			t.Fatalf("%s: the release is %+v", x.what, r)
		}
		var got []string
		for _, d := range m.Differences(r) {
			got = append(got, d.Text)
		}
		if s := strings.Join(got, ", "); s != x.want || m.Same(r) != (x.want == "") {
			t.Errorf("%s: %q and same is %v, want %q", x.what, s, m.Same(r), x.want)
		}
		changed := m.Changed(lib, r)
		var bars []int
		for _, i := range m.Over {
			if changed[i.Bound] {
				bars = append(bars, 0)
			}
		}
		for i, s := range m.Steps {
			if changed[s.Bound] {
				bars = append(bars, i+1)
			}
		}
		if !slices.Equal(bars, x.bars) {
			t.Errorf("%s: bars beside %v, want %v", x.what, bars, x.bars)
		}
	}
}

func TestStandings(t *testing.T) {
	text := signed(t)
	of := func(text string) release.Standing {
		lib, _ := taken(t, text)
		return release.StandingOf(lib, lib.Procedures[0])
	}
	if s := of(bench); s.Released != nil || s.Withdrawn != nil || s.Before != nil {
		t.Errorf("nothing is said, and it stands as %+v", s)
	}
	next := strings.Replace(text, "revision A on", `revision B on 2026-03-02 "Second." revision A on`, 1)
	if s := of(next); s.Released != nil || s.Before == nil || s.Before.Revision != "A" {
		t.Errorf("a new revision stands as %+v", s)
	}
	lib, _ := taken(t, text)
	gone := text + release.Withdrawal(lib.Procedures[0], "Ben", "2026-04-01", `A "why" and a \.`)
	if s := of(gone); s.Withdrawn == nil || s.Withdrawn.Reason != `A "why" and a \.` || s.Released == nil {
		t.Errorf("withdrawn, it stands as %+v", s)
	}
	if s := of(strings.Replace(next, "fingerprint  1", "fingerprint  7", 1)); s.Before != nil {
		t.Errorf("steps are compared with a release of another method: %+v", s)
	}
}

// A statement that a person or a merge has changed is told of.
func TestDamagedStatementsAreNotSound(t *testing.T) {
	text := signed(t)
	for _, x := range [][2]string{{"order ", "disorder "}, {"over         library ", "over         lubrary "}, {"fingerprint  1 \"", "fingerprint  1 \"0"}} {
		r := checked(t, strings.Replace(text, x[0], x[1], 1))
		if release.Sound(r.Library.Releases[0]) {
			t.Errorf("with %q for %q it is sound", x[1], x[0])
		}
		if !slices.ContainsFunc(r.Messages, func(m *message.Message) bool { return m.Code == "BP017" }) {
			t.Errorf("with %q for %q: BP017 does not tell of it: %v", x[1], x[0], r.Messages)
		}
	}
}
