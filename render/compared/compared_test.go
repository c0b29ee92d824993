package compared

import (
	"bytes"
	"context"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"slices"
	"strings"
	"testing"
	"testing/fstest"
	"unicode"

	"github.com/mattn/go-runewidth"
	"github.com/yuin/goldmark"
	"github.com/yuin/goldmark/extension"
	"github.com/yuin/goldmark/renderer/html"

	"benchproof/compiler"
	"benchproof/compiler/compare"
)

var update = flag.Bool("update", false, "rewrite the expected reports; read the difference")

const oldBench = `library "Bench" { owner "Workshop" decision simple }
hazard burn warning "Hot part" { consequence "Burns." avoid "Wear gloves." }
tool gauge "feeler gauge" { number "T-1" reads from 0 mm to 1 mm resolution 0.01 mm uncertainty 0.02 mm }
tool wrench "torque wrench" { number "T-2" sets from 5 N.m to 50 N.m }
tool gun "hot-air gun" { number "T-3" carries burn }
part bolt "lid bolt" { number "P-1" plural "lid bolts" }
part lid "lid" { number "P-2" behind bolt }
routine look "Look" { step "Look at the lid." }
procedure check-lid "Check the lid" {
  document "WI-1"
  revision A on 2026-01-01 "First issue."
  skill "Fitter"
  stage "Measure" {
    perform look
    step "Measure the play of the lid with the @gauge." { measure play in mm with gauge }
    decide play {
      accept at most 0.50 mm "The lid is good." { }
      above 0.50 mm "The lid is worn." { finish refer "Call the supervisor." }
    }
  }
  stage "Open" {
    step "Take off @bolt x 4 and the @lid." { remove bolt x 4, lid }
    step "Wipe the seat, which lies deep in the casing behind the lid and its bolts."
    step "Warm the seat with the @gun." { use gun }
    step "Put back the @lid and @bolt x 4, to 12 N.m with the @wrench." { refit lid, bolt x 4 tighten bolt x 4 to 6, 12 N.m with wrench }
  }
}
procedure gone-job "A job that goes" { document "WI-2" revision A on 2026-01-01 "x" step "Look." }
`

// newBench makes one difference of each sort.
func newBench() string {
	return strings.NewReplacer(
		`"Burns."`, `"Burns your hands."`,
		`at most 0.50 mm`, `at most 0.40 mm`, `above 0.50 mm`, `above 0.40 mm`,
		`"Look at the lid."`, `"Look at the lid and its bolts."`,
		"    step \"Warm the seat with the @gun.\" { use gun }\n", "",
		`to 12 N.m with`, `to 14 N.m with`, `to 6, 12 N.m`, `to 6, 14 N.m`,
		`step "Wipe the seat, which`, `step "Wipe the sealing seat, which`,
		`skill "Fitter"`, `skill "Fitter"`+"\n  purpose \"Finds play.\"",
		`procedure gone-job "A job that goes" { document "WI-2"`, `procedure new-job "A job that comes" { document "WI-3"`,
	).Replace(oldBench)
}

func report(t testing.TB, old, new string) *compare.Report {
	t.Helper()
	var results [2]*compiler.Result
	for i, text := range []string{old, new} {
		src, err := compiler.Read(fstest.MapFS{"bench.proc": &fstest.MapFile{Data: []byte(text)}})
		if err != nil {
			t.Fatal(err)
		}
		if results[i], err = compiler.Check(context.Background(), src); err != nil {
			t.Fatal(err)
		}
		for _, m := range results[i].Messages {
			if m.IsError() {
				t.Fatalf("%s %s", m.Code, m.Text)
			}
		}
	}
	r, err := compare.Compare(context.Background(), results[0], results[1], compare.Options{})
	if err != nil {
		t.Fatal(err)
	}
	r.Old.Name, r.New.Name = "released", "git:HEAD"
	r.New.Commit = strings.Repeat("0123456789abcdef", 3)[:40]
	return r
}

func written(t testing.TB, write func(*bytes.Buffer) error) string {
	t.Helper()
	var b bytes.Buffer
	if err := write(&b); err != nil {
		t.Fatal(err)
	}
	return b.String()
}

func golden(t *testing.T, name, got string) {
	t.Helper()
	path := filepath.Join("testdata", name)
	if *update {
		if err := os.WriteFile(path, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	want, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	if got != string(want) || *update {
		t.Errorf("%s: got\n%s", name, got)
	}
}

func TestReportsRead(t *testing.T) {
	r := report(t, oldBench, newBench())
	for name, write := range map[string]func(*bytes.Buffer) error{
		"report.txt":        func(b *bytes.Buffer) error { return Text(b, r, TextOptions{}) },
		"report-80.txt":     func(b *bytes.Buffer) error { return Text(b, r, TextOptions{Width: 80}) },
		"report-colour.txt": func(b *bytes.Buffer) error { return Text(b, r, TextOptions{Width: 80, Colour: true}) },
		"report.md":         func(b *bytes.Buffer) error { return Markdown(b, r) },
		"report.html":       func(b *bytes.Buffer) error { return HTML(b, r) },
	} {
		golden(t, name, written(t, write))
	}
}

// TestNothingIsSaidOfNothing: no difference gives no line for people.
func TestNothingIsSaidOfNothing(t *testing.T) {
	r := report(t, oldBench, oldBench)
	if s := written(t, func(b *bytes.Buffer) error { return Text(b, r, TextOptions{}) }); s != "" {
		t.Errorf("it says %q", s)
	}
	for _, s := range []string{
		written(t, func(b *bytes.Buffer) error { return Markdown(b, r) }),
		written(t, func(b *bytes.Buffer) error { return HTML(b, r) }),
	} {
		if !strings.Contains(s, "No difference in meaning.") {
			t.Errorf("it says %q", s)
		}
	}
}

var escape = regexp.MustCompile("\x1b\\[[0-9;]*m")

// TestTextKeepsToTheWidth: no line is wider than the terminal, but for a word
// that is; colours change no letter.
func TestTextKeepsToTheWidth(t *testing.T) {
	r := report(t, oldBench, newBench())
	for _, width := range []int{40, 60, 80, 120} {
		plain := written(t, func(b *bytes.Buffer) error { return Text(b, r, TextOptions{Width: width}) })
		coloured := written(t, func(b *bytes.Buffer) error { return Text(b, r, TextOptions{Width: width, Colour: true}) })
		if escape.ReplaceAllString(coloured, "") != plain {
			t.Errorf("at %d columns colours change the text", width)
		}
		for _, line := range strings.Split(plain, "\n") {
			if n := runewidth.StringWidth(line); n > width && len(strings.Fields(line)) > 1 {
				t.Errorf("%d columns instead of %d: %s", n, width, line)
			}
		}
	}
}

var hostile = []string{
	`<script>window.hurt=1</script>`, `</td></table><img src=x onerror=hurt>`, `"><svg onload=hurt>`, `</style><style>x{}`, `{{.}} {{print 1}}`,
	"\x1b[2J\x1b]0;owned\x07", "\u202eevil\u2066", "a\x00b", `**x** _y_ ~~z~~ [a](javascript:b) ![c](http://d)`, "| a | b |", "`code` ``", `# h`, `- l`, `1. n`, `> q`,
	`http://example.org/x www.example.org a@example.org @someone #12`, `&lt;b&gt;`, `<!-- -->`, "x\n\n# y\n\n- z", strings.Repeat("w", 300), `\`, ``,
}

// spoil sets every text of a report but those that are words of the model.
func spoil(v reflect.Value, next func() string) {
	switch v.Kind() {
	case reflect.Pointer:
		if !v.IsNil() {
			spoil(v.Elem(), next)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if name := v.Type().Field(i).Name; name == "Change" || name == "Kind" || name == "Sort" || name == "Matter" || name == "Report" {
				continue
			}
			spoil(v.Field(i), next)
		}
	case reflect.Slice:
		for i := range v.Len() {
			spoil(v.Index(i), next)
		}
	case reflect.String:
		if v.Len() > 0 {
			v.SetString(next())
		}
	}
}

var tag = regexp.MustCompile(`<[^>]*>`)

// tags are the elements of a page, what stands in it left out.
func tags(page string) []string { return tag.FindAllString(page, -1) }

// TestSourcesDoNotSteerPages: whatever the texts of a library, the elements of
// the page are the same, and no terminal gets a control character.
func TestSourcesDoNotSteerPages(t *testing.T) {
	reader := goldmark.New(goldmark.WithExtensions(extension.GFM), goldmark.WithRendererOptions(html.WithUnsafe()))
	read := func(r *compare.Report) string {
		md := written(t, func(b *bytes.Buffer) error { return Markdown(b, r) })
		return written(t, func(b *bytes.Buffer) error { return reader.Convert([]byte(md), b) })
	}
	page := func(r *compare.Report) string { return written(t, func(b *bytes.Buffer) error { return HTML(b, r) }) }
	harmless := report(t, oldBench, newBench())
	n := 0
	spoil(reflect.ValueOf(harmless), func() string { return "word" })
	for round := range len(hostile) {
		n = round
		r := report(t, oldBench, newBench())
		spoil(reflect.ValueOf(r), func() string {
			n++
			return "word " + hostile[n%len(hostile)] + " end"
		})
		if a, b := tags(page(harmless)), tags(page(r)); !slices.Equal(a, b) {
			t.Fatalf("round %d: the page has other elements: %s", round, firstOther(a, b))
		}
		apart := func(list []string) []string {
			return slices.DeleteFunc(list, func(s string) bool { return strings.HasPrefix(s, "<!--") })
		}
		if a, b := apart(tags(read(harmless))), apart(tags(read(r))); !slices.Equal(a, b) {
			t.Fatalf("round %d: the Markdown has other elements: %s", round, firstOther(a, b))
		}
		text := written(t, func(b *bytes.Buffer) error { return Text(b, r, TextOptions{Width: 80}) })
		if i := strings.IndexFunc(text, func(r rune) bool { return r != '\n' && !unicode.IsPrint(r) }); i >= 0 {
			t.Fatalf("round %d: %q goes to a terminal", round, text[i:min(len(text), i+9)])
		}
	}
}

func firstOther(a, b []string) string {
	for i := range a {
		if i >= len(b) || a[i] != b[i] {
			return fmt.Sprintf("%d: %q and %q", i, a[i:min(len(a), i+3)], b[min(len(b), i):min(len(b), i+3)])
		}
	}
	return fmt.Sprintf("more: %q", b[len(a):min(len(b), len(a)+3)])
}

// TestThePageNeedsNothing: no script, no address, a policy that forbids both.
func TestThePageNeedsNothing(t *testing.T) {
	page := written(t, func(b *bytes.Buffer) error { return HTML(b, report(t, oldBench, newBench())) })
	for _, word := range []string{"<script", "src=", "http:", "https:", "url(", "@import", "<link", " style="} {
		if strings.Contains(page, word) {
			t.Errorf("the page holds %q", word)
		}
	}
	if !strings.Contains(page, `content="default-src &#39;none&#39;; style-src`) && !strings.Contains(page, `content="default-src 'none'; style-src`) {
		t.Error("the page has no policy")
	}
}
