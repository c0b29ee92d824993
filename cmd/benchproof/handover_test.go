package main

import (
	"path/filepath"
	"strings"
	"testing"
)

// A job that is handed on is held to the beginning of the next one: whatever
// changes there, what is kept of the first job must not be believed any more.
func TestAHandOverIsJudgedAnewWhenTheNextJobChanges(t *testing.T) {
	dir := t.TempDir()
	lib, cache := filepath.Join(dir, "lib"), filepath.Join(dir, "cache")
	writeLibrary(t, lib, map[string]string{
		"bench.proc": `library "Bench" { owner "Workshop" }
variant size "Size" { small "small" large "large" }
condition power "Supply" { states live, off begins live ends live }
part lid "lid" { number "P-1" }
part pin "pin" { number "P-2" }
part pin-l "long pin" { number "P-3" }
table fit by size { columns pin small pin large pin-l }
`,
		"first.proc": `procedure first "First" { document "W-1" revision A on 2026-01-01 "x" applies to size small
step "Take the @lid and the @pin off." { make power off remove lid, pin }
finish refer to second }
trial "t" of first { expect finish refer to second }
`,
		"second.proc": `procedure second "Second" { document "W-2" revision A on 2026-01-01 "x"
applies to size small, large
begins power off
begins without lid, fit.pin
step "Put the @fit.pin back." { refit fit.pin }
step "Put the @lid back." { refit lid make power live } }
trial "t" of second { size small expect finish serviceable }
`,
	})
	second, bench := filepath.Join(lib, "second.proc"), filepath.Join(lib, "bench.proc")
	check := func(what string, wrong ...string) {
		t.Helper()
		known := runWith(t, cache, "check", lib)
		if clean := runWith(t, filepath.Join(dir, "none"), "check", lib, "--no-cache"); known != clean {
			t.Errorf("%s: with what is kept\n%+v\nand without\n%+v", what, known, clean)
		}
		if (known.status == 0) != (len(wrong) == 0) {
			t.Errorf("%s: status %d\n%s", what, known.status, known.said)
		}
		for _, w := range wrong {
			if !strings.Contains(known.said, w) {
				t.Errorf("%s: %q is not said\n%s", what, w, known.said)
			}
		}
	}
	check("as written")
	for _, x := range []struct{ what, file, from, to, wrong string }{
		{"another state", second, "begins power off", "begins power live", "first.proc:3:1: error BP507"},
		{"begins with the lid on", second, "begins without lid, fit.pin", "begins without fit.pin", "“lid” is off at the finish, and “second” begins with it on"},
		{"another number", second, "begins without lid,", "begins without lid x 2,", "1 “lid” off, where it begins without 2"},
		{"not for this member", second, "applies to size small, large", "applies to size large", "“second” is not for size small"},
		{"another row of the table", bench, "small pin large", "small pin-l large", "“pin” is off at the finish"},
		{"another place", bench, `part pin "pin" { number "P-2" }`, `part bore "bore" { } part pin "pin" { number "P-2" kind bore }`, ""},
		{"the condition itself", bench, "begins live ends live", "begins off ends live", ""},
	} {
		edit(t, x.file, x.from, x.to)
		if x.wrong == "" {
			check(x.what)
		} else {
			check(x.what, x.wrong)
		}
		edit(t, x.file, x.to, x.from)
		check(x.what + ", and back")
	}
}
