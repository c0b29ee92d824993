package document_test

import (
	"maps"
	"strings"
	"testing"

	"benchproof/compiler/document"
)

// printOf gives the fingerprint of the seal change of some sources.
func printOf(t *testing.T, sources map[string]string, images func(string) ([]byte, error), members ...string) string {
	t.Helper()
	return lower(t, bind(t, sources, true), "seal-change", document.Options{Images: images}, members...).Fingerprint
}

func TestFingerprintKnowsWhatMatters(t *testing.T) {
	sources, images := folder(t, "testdata/pump-bench")
	before := printOf(t, sources, images)
	seen := map[string]string{before: "the sources as they are"}
	for _, x := range []struct{ what, file, old, new string }{
		{"a step's words", "seal-change.proc", "Lift the @impeller-key out", "Take the @impeller-key out"},
		{"a torque", "seal-change.proc", "to 6, 12, 18 N.m", "to 6, 12, 17 N.m"},
		{"a number's decimals", "bench.proc", "31.80 mm", "31.8 mm"},
		{"a limit in a table", "bench.proc", "31.95 mm,", "31.94 mm,"},
		{"a step of a routine", "bench.proc", "Tell the operator and stop the pump.", "Stop the pump and tell the operator."},
		{"a tool's number", "bench.proc", `"T-0062"`, `"T-0065"`},
		{"an uncertainty", "bench.proc", "uncertainty  0.004 mm", "uncertainty  0.005 mm"},
		{"a hazard's advice", "bench.proc", "and stand aside", "and stand well aside"},
		{"a tool that a hazard is proved with", "bench.proc", "two-pole voltage tester", "two-pole tester"},
		{"a part of a kind, through a table", "bench.proc", `"P-2132"`, `"P-2133"`},
		{"a state's name", "bench.proc", `condition water "Casing"`, `condition water "Pump casing"`},
		{"a member's title", "bench.proc", `"size 40"`, `"DN 40"`},
		{"the box a tool is in", "bench.proc", `"K-0012"`, `"K-0013"`},
		{"a mark on a figure", "bench.proc", "33 %, 45 %", "34 %, 45 %"},
		{"the library's owner", "bench.proc", "Maintenance office", "Works office"},
		{"the decision rule", "bench.proc", "decision  guarded", "decision  guarded 0.83"},
		{"a revision", "seal-change.proc", "revision  C on 2026-10-02", "revision  D on 2026-10-02"},
	} {
		changed := maps.Clone(sources)
		if !strings.Contains(changed[x.file], x.old) {
			t.Fatalf("%s: %q is not in %s", x.what, x.old, x.file)
		}
		changed[x.file] = strings.Replace(changed[x.file], x.old, x.new, 1)
		got := printOf(t, changed, images)
		if first, same := seen[got]; same {
			t.Errorf("%s: the fingerprint is that of %s", x.what, first)
		}
		seen[got] = x.what
	}
	for _, m := range []string{"s32", "s40"} {
		got := printOf(t, sources, images, m)
		if first, same := seen[got]; same {
			t.Errorf("for %s: the fingerprint is that of %s", m, first)
		}
		seen[got] = m
	}
	other := func(string) ([]byte, error) {
		return []byte(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 320 180"/>`), nil
	}
	if first, same := seen[printOf(t, sources, other)]; same {
		t.Errorf("another picture: the fingerprint is that of %s", first)
	}
}

func TestFingerprintOverlooksTheRest(t *testing.T) {
	sources, images := folder(t, "testdata/pump-bench")
	before := printOf(t, sources, images)
	check := func(what string, changed map[string]string) {
		t.Helper()
		if got := printOf(t, changed, images); got != before {
			t.Errorf("%s: the fingerprint is %s, was %s", what, got, before)
		}
	}
	edit := func(what, file, old, new string) {
		t.Helper()
		changed := maps.Clone(sources)
		if !strings.Contains(changed[file], old) {
			t.Fatalf("%s: %q is not in %s", what, old, file)
		}
		changed[file] = strings.Replace(changed[file], old, new, 1)
		check(what, changed)
	}
	edit("a comment", "bench.proc", "# --- tools", "# --- TOOLS of the bench")
	edit("a comment inside", "seal-change.proc", "repeat at most 4 times {", "repeat at most 4 times { # let it cool")
	edit("white space between words", "seal-change.proc", "document  \"WI-0114\"", "document\n\n\t\"WI-0114\"")
	edit("a tool that this job does not use", "bench.proc", `"T-0208"`, `"T-0999"`)
	edit("another procedure", "stud-hole-repair.proc", "Blow the hole clean", "Blow the hole quite clean")
	edit("a trial", "seal-change.proc", "sleeve-diameter     31.90 mm", "sleeve-diameter     31.91 mm")

	crlf := map[string]string{}
	for n, s := range sources {
		crlf[n] = strings.ReplaceAll(s, "\n", "\r\n")
	}
	check("line ends", crlf)

	joined := map[string]string{"all.proc": sources["seal-change.proc"] + sources["stud-hole-repair.proc"] + sources["bench.proc"]}
	check("all in one file", joined)

	// Every declaration of the bench in a file of its own, in another order.
	apart := map[string]string{"a.proc": sources["seal-change.proc"], "b.proc": sources["stud-hole-repair.proc"]}
	name := 'z'
	for _, part := range strings.SplitAfter(sources["bench.proc"], "\n\n") {
		if strings.Contains(part, "{") {
			apart["m-"+string(name)+".proc"] = part
			name--
		}
	}
	if name > 'z'-10 {
		t.Fatal("the bench was not taken apart")
	}
	check("files moved about", apart)
}
