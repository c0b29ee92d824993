package pdf

import (
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"benchproof/compiler/document"
	"benchproof/render/look"
	"benchproof/render/rendertest"
)

var update = flag.Bool("update", false, "rewrite golden files; the run still fails, so that the difference is read")

// dump writes a sheet as lines of text: what stands where, and as what.
func dump(s *sheet) string {
	var b strings.Builder
	kinds := [...]string{textItem: "text", ruleItem: "rule", groundItem: "ground", frameItem: "frame", drawingItem: "drawing", pictureItem: "picture",
		linkItem: "link", fieldItem: "field", openItem: "open"}
	var path func(e *elem) string
	path = func(e *elem) string {
		switch e {
		case nil:
			return "artifact"
		case runningHead, runningFoot:
			return "artifact of the page"
		}
		if e.parent == nil {
			return ""
		}
		return path(e.parent) + "/" + e.tag
	}
	for n, p := range s.pages {
		fmt.Fprintf(&b, "page %d\n", n+1)
		for _, it := range p.items {
			fmt.Fprintf(&b, "  %-7s %6.1f %6.1f", kinds[it.kind], it.x, it.y)
			switch it.kind {
			case textItem:
				fmt.Fprintf(&b, "  %q %s %g", it.text, fonts[it.face].name, it.size)
			case linkItem:
				fmt.Fprintf(&b, "  %.1f × %.1f → %s%s", it.w, it.h, it.to.anchor, it.to.uri)
			case fieldItem:
				fmt.Fprintf(&b, "  %.1f × %.1f %s %q", it.w, it.h, it.field.name, it.field.tip)
			case openItem:
			default:
				fmt.Fprintf(&b, "  %.1f × %.1f", it.w, it.h)
			}
			fmt.Fprintf(&b, "  %s\n", path(it.elem))
		}
	}
	for _, m := range s.marks {
		fmt.Fprintf(&b, "bookmark %d %q page %d at %.1f\n", m.level, m.title, m.at.page+1, m.at.y)
	}
	return b.String()
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	want, err := os.ReadFile(path)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
		t.Errorf("%s is rewritten: read the difference", name)
		return
	}
	if err != nil {
		t.Fatal(err)
	}
	if got == string(want) {
		return
	}
	g, w := strings.Split(got, "\n"), strings.Split(string(want), "\n")
	for i := range max(len(g), len(w)) {
		var a, b string
		if i < len(g) {
			a = g[i]
		}
		if i < len(w) {
			b = w[i]
		}
		if a != b {
			t.Fatalf("%s differs from line %d on:\n  now   %s\n  golden %s", name, i+1, a, b)
		}
	}
}

// small is a document with one of each thing that the place stage sets apart:
// a stage, a hazard, readings, a decision with a branch, a repeat, a finish.
func small() *document.Document {
	full := rendertest.Document()
	d := &document.Document{Name: "small", Language: "en", Words: document.English, Title: "Check the runout", Number: "WI-0001", Revision: "A", Date: "2026-01-15",
		Owner: "Maintenance office", Skill: "Maintenance fitter", Fingerprint: "0123456789ab", AppliesTo: full.AppliesTo}
	d.Body = []document.Block{full.Body[2]}
	d.Steps = full.Steps[:21]
	d.Finishes = full.Finishes[:4]
	return d
}

func TestPlaceGolden(t *testing.T) {
	for _, p := range []Paper{A4, Letter} {
		s, err := place(small(), p.size())
		if err != nil {
			t.Fatal(err)
		}
		golden(t, "place-"+strings.ToLower(p.size().Name)+".golden", dump(s))
	}
}

// Placing is a pure function: the same document gives the same list.
func TestPlaceTwice(t *testing.T) {
	doc := rendertest.Document()
	a, err := place(doc, look.A4)
	if err != nil {
		t.Fatal(err)
	}
	b, err := place(doc, look.A4)
	if err != nil {
		t.Fatal(err)
	}
	if dump(a) != dump(b) {
		t.Error("two lists of one document differ")
	}
}

func TestPageEndsWhereItIsWilling(t *testing.T) {
	g := newGalley(&document.Document{}, look.A4, 2)
	bands := func(spec string) {
		g.bands = nil
		for _, f := range strings.Fields(spec) {
			b := &band{h: 100}
			switch f[0] {
			case 'p':
				b.cut = politely
			case 'i':
				b.cut = inside
			case 'n':
				b.cut = never
			}
			if len(f) > 1 {
				fmt.Sscanf(f[1:], "%f", &b.h)
			}
			g.bands = append(g.bands, b)
		}
	}
	cases := []struct {
		why, spec string
		want      int
	}{
		{"all fits", "f f f", 3},
		{"as full as it gets", "f f f f f f f f", 5},
		{"a heading goes with what follows", "f f f f f500 n", 4},
		{"a chain goes as a whole", "f f f n n n n", 2},
		{"a row moves on where little white is left", "f f f f90 p p", 5},
		{"a table is cut rather than half a page lost", "f p p p p p p p", 5},
		{"a chain longer than a page is cut where it must be", "f n n n n n n n n", 5},
		{"parts of a long row are a better place than a chain", "f n i n n n n n", 2},
		{"a band higher than a page stands alone", "f900 f", 1},
	}
	for _, c := range cases {
		bands(c.spec)
		if got := g.pageEnd(0, 500); got != c.want {
			t.Errorf("%s: the page ends above band %d, not %d", c.why, got, c.want)
		}
	}
}
