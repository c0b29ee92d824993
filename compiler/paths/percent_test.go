package paths_test

import (
	"testing"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
)

// What an uncertainty in per cent is of. The limits are reckoned by hand: a
// limit of 150 % moves by 10 points to 160 %, by 10 % of it to 165 %; a limit of
// 10 mm by 4 % of it to 10.4 mm. JCGM 106:2012, 8.3: the guard band is r·U.
func TestPerCentOfTheReadingAndPoints(t *testing.T) {
	for _, x := range []struct{ tool, unit, limit, want string }{
		{"reads from 10 % to 2000 % resolution 1 % uncertainty 10 % of reading", "%", "150 %", "165"},
		{"reads from 10 % to 2000 % resolution 1 % uncertainty 10 % points", "%", "150 %", "160"},
		{"reads from 10 % to 2000 % resolution 1 % uncertainty 10 %", "%", "150 %", "160"},
		{"reads from 0 mm to 50 mm resolution 0.1 mm uncertainty 4 %", "mm", "10 mm", "10.4"},
		{"reads from 0 mm to 50 mm resolution 0.1 mm uncertainty 4 % of reading", "mm", "10 mm", "10.4"},
		{"reads from 0 mm to 50 mm resolution 0.1 mm uncertainty 0.4 mm", "mm", "10 mm", "10.4"},
	} {
		lib, p, ok := randomLibrary(t, `library "Bench" { owner "Workshop" decision guarded }
tool meter "meter" { `+x.tool+` }
procedure job "Job" { document "W-1" revision A on 2026-01-01 "x"
step "Read." { measure v in `+x.unit+` with meter }
decide v { accept at least `+x.limit+` no upper limit { } below `+x.limit+` { } } }
`)
		if !ok {
			t.Fatal(x.tool)
		}
		acting, ok := paths.Acting(lib, p.Body[1].(*library.Decide), nil)
		if !ok || acting[0].Range.Low.Value.String() != x.want || acting[1].Range.High.Value.String() != x.want {
			t.Errorf("%s: at least %s acts as %+v, want %s", x.tool, x.limit, acting, x.want)
		}
	}
}
