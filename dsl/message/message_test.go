package message

import (
	"bytes"
	"encoding/json"
	"flag"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/santhosh-tekuri/jsonschema/v6"

	"benchproof/dsl/source"
)

var update = flag.Bool("update", false, "rewrite the goldens; the run fails all the same, so that the difference gets read")

// find marks a piece of a file.
func find(t *testing.T, f *source.File, piece string) source.Span {
	t.Helper()
	i := strings.Index(f.Text, piece)
	if i < 0 {
		t.Fatalf("%q is not in %s", piece, f.Path)
	}
	return f.Span(i, i+len(piece))
}

func sample(t *testing.T) []*Message {
	t.Helper()
	bench := source.NewFile("bench.proc", "tool seal-puller  \"seal puller\"  { number \"T-0062\" }\n")
	job := source.NewFile("jobs/seal-change.proc", strings.Join([]string{
		"procedure seal-change \"Replace the seal\" {",
		"\tstep \"Draw the seal off.\" {",
		"\t\tremove\tseal-puler",
		"\t}",
		"  step \"Prüfe 測定 den @seal.\" { use 工具-x }",
		"  step \"A \x1b[31mred\x1b[0m \u202ebidi\" {",
		"  }",
		"}",
	}, "\n")+"\n")
	return []*Message{
		New("BP201", find(t, job, "seal-puler"), "no tool or part is called seal-puler").
			Relate(find(t, bench, "seal-puller"), "the nearest name is declared here").
			Helped("write seal-puller").
			Mend(find(t, job, "seal-puler"), "seal-puller"),
		New("BP203", find(t, job, "工具-x"), "a name is written in small latin letters"),
		New("BP501", find(t, job, "bidi"), "the seal puller \x1b]0;title\x07 is removed here and was never fitted").
			Note("when size is s40 and sleeve-diameter is 39.90 mm").
			Note("a second note that is long enough to be wrapped in a terminal of sixty columns, so that its lines hang under one another"),
		New("BP803", find(t, job, "{\n  }"), "a step without actions"),
		New("BP903", source.Span{}, "the library has no trial"),
	}
}

func golden(t *testing.T, name string, got []byte) {
	t.Helper()
	file := filepath.Join("testdata", name)
	want, err := os.ReadFile(file)
	if err == nil && bytes.Equal(got, want) {
		return
	}
	if *update {
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	t.Errorf("%s differs; got:\n%s\nwant:\n%s", name, got, want)
}

func TestTextAsAPersonSeesIt(t *testing.T) {
	for name, options := range map[string]TextOptions{
		"plain.txt":  {},
		"narrow.txt": {Width: 60, Folder: "libs/pump"},
		"colour.txt": {Width: 80, Colour: true},
	} {
		var b bytes.Buffer
		if err := WriteText(&b, sample(t), options); err != nil {
			t.Fatal(err)
		}
		golden(t, name, b.Bytes())
	}
}

func TestNothingFromASourceSteersTheTerminal(t *testing.T) {
	evil := "\x1b[2J\x07\x08\u009b31m\u202e\u2066\r\x7f"
	f := source.NewFile("a"+evil+".proc", "step \""+evil+"\"\n")
	m := New("BP101", f.Span(0, 6), "found %s", evil).Relate(f.Span(0, 3), "here %s", evil).Note("%s", evil).Helped("%s", evil)
	var text, js bytes.Buffer
	if err := WriteText(&text, []*Message{m}, TextOptions{Width: 80}); err != nil {
		t.Fatal(err)
	}
	if err := WriteJSON(&js, []*Message{m}); err != nil {
		t.Fatal(err)
	}
	for _, r := range text.String() + js.String() {
		if r != '\n' && r < 0x20 || r >= 0x7f && r < 0xa0 || r >= 0x202a && r <= 0x202e || r >= 0x2066 && r <= 0x2069 {
			t.Fatalf("U+%04X reached the terminal:\n%q\n%q", r, text.String(), js.String())
		}
	}
}

func TestTheMarkerStandsUnderItsText(t *testing.T) {
	for _, line := range []string{
		"\tuse\ttool",
		"  漢字 テスト tool",
		"é e\u0301 \u200b tool",
		strings.Repeat("x", 400) + " tool " + strings.Repeat("y", 400),
		"tool",
		strings.Repeat("漢", 300) + "tool",
	} {
		f := source.NewFile("a.proc", line+"\n")
		var b bytes.Buffer
		if err := WriteText(&b, []*Message{New("BP201", find(t, f, "tool"), "x")}, TextOptions{Width: 80}); err != nil {
			t.Fatal(err)
		}
		rows := strings.Split(b.String(), "\n")
		at := strings.Index(rows[1], "tool")
		if at < 0 {
			t.Fatalf("the marked text is not shown:\n%s", b.String())
		}
		if got, want := strings.Index(rows[2], "^"), widths.StringWidth(rows[1][:at]); got != want {
			t.Errorf("%.40q: marker in column %d, text in column %d:\n%s", line, got, want, b.String())
		}
		if !strings.HasSuffix(rows[2], " ^^^^") && !strings.HasSuffix(rows[2], "|^^^^") {
			t.Errorf("%.40q: the marker is not as long as its text:\n%s", line, b.String())
		}
		if w := widths.StringWidth(rows[1]); w > 80 {
			t.Errorf("%.40q: %d columns", line, w)
		}
	}
}

func TestALineOfMegabytesIsCut(t *testing.T) {
	f := source.NewFile("a.proc", strings.Repeat("word ", 1_000_000))
	var b bytes.Buffer
	list := []*Message{New("BP101", f.Span(4_999_000, 4_999_004), "x"), New("BP101", f.Span(0, len(f.Text)), "y")}
	if err := WriteText(&b, list, TextOptions{}); err != nil {
		t.Fatal(err)
	}
	if b.Len() > 4000 {
		t.Errorf("%d bytes for two messages", b.Len())
	}
}

func TestJSONReadsBackAsItWasWritten(t *testing.T) {
	list := sample(t)
	var b bytes.Buffer
	if err := WriteJSON(&b, list); err != nil {
		t.Fatal(err)
	}
	golden(t, "sample.json", b.Bytes())
	var back []Report
	d := json.NewDecoder(&b)
	d.DisallowUnknownFields()
	if err := d.Decode(&back); err != nil {
		t.Fatal(err)
	}
	if want := Reports(list); !reflect.DeepEqual(back, want) {
		t.Errorf("read back\n%+v\nwritten\n%+v", back, want)
	}
	// What is in the report is what is in the message.
	for i, m := range list {
		r := back[i]
		if r.Code != m.Code || r.Message != m.Text || r.Severity != m.Severity.String() || r.Help != m.Help ||
			len(r.Related) != len(m.Related) || len(r.Notes) != len(m.Notes) || len(r.Edits) != len(m.Edits) {
			t.Errorf("%s: %+v", m.Code, r)
		}
		if m.Span.IsZero() {
			continue
		}
		text, _ := m.Span.File.Line(r.Line)
		if got := string([]rune(text)[r.Column-1:]); !strings.HasPrefix(m.Span.Text(), got) && !strings.HasPrefix(got, m.Span.Text()) {
			t.Errorf("%s: %d:%d points at %q, the message at %q", m.Code, r.Line, r.Column, got, m.Span.Text())
		}
	}
}

func TestNoMessageIsAnEmptyArray(t *testing.T) {
	var b bytes.Buffer
	if err := WriteJSON(&b, nil); err != nil {
		t.Fatal(err)
	}
	if b.String() != "[]\n" {
		t.Errorf("%q", b.String())
	}
	b.Reset()
	if err := WriteJSON(&b, []*Message{New("BP101", source.Span{}, "x")}); err != nil {
		t.Fatal(err)
	}
	if strings.Contains(b.String(), "null") {
		t.Errorf("null in %s", b.String())
	}
}

// The schema is that of OASIS; testdata/README.md says where it comes from.
func TestSARIFIsValidBySchema(t *testing.T) {
	schema, err := jsonschema.NewCompiler().Compile("testdata/sarif-schema-2.1.0.json")
	if err != nil {
		t.Fatal(err)
	}
	for name, list := range map[string][]*Message{"sample": sample(t), "none": nil} {
		var b bytes.Buffer
		if err := WriteSARIF(&b, list, "1.2.3"); err != nil {
			t.Fatal(err)
		}
		for i, m := range list {
			result := parsed(t, b.Bytes()).Runs[0].Results[i]
			if result.RuleID != string(m.Code) || result.Level != m.Severity.String() || !strings.HasPrefix(result.Message.Text, m.Text) ||
				len(result.Related) != len(m.Related) || len(result.Fixes) != min(len(m.Edits), 1) {
				t.Errorf("%s: %+v", m.Code, result)
			}
			if m.Span.IsZero() {
				continue
			}
			place := result.Locations[0].Physical
			line, column := m.Span.File.Position(m.Span.Start)
			if place.Artifact.URI != m.Span.File.Path || place.Region.StartLine != line || place.Region.StartColumn != column {
				t.Errorf("%s: %+v", m.Code, place)
			}
		}
		value, err := jsonschema.UnmarshalJSON(&b)
		if err != nil {
			t.Fatal(err)
		}
		if err := schema.Validate(value); err != nil {
			t.Errorf("%s: %v", name, err)
		}
		// The validator must be able to say no.
		value.(map[string]any)["runs"].([]any)[0].(map[string]any)["columnKind"] = "furlongs"
		if schema.Validate(value) == nil {
			t.Errorf("%s: a wrong report passes the schema", name)
		}
	}
}

// sarifLog is as much of the format as the test looks at.
type sarifLog struct {
	Runs []struct {
		Results []struct {
			RuleID    string
			Level     string
			Message   struct{ Text string }
			Related   []any `json:"relatedLocations"`
			Fixes     []any
			Locations []struct {
				Physical struct {
					Artifact struct{ URI string } `json:"artifactLocation"`
					Region   struct{ StartLine, StartColumn int }
				} `json:"physicalLocation"`
			}
		}
	}
}

func parsed(t *testing.T, text []byte) (log sarifLog) {
	t.Helper()
	if err := json.Unmarshal(text, &log); err != nil {
		t.Fatal(err)
	}
	return log
}

func TestCatalogueIsInOrderAndHasAPageForEachCode(t *testing.T) {
	form := regexp.MustCompile(`^BP[0-9]{3}$`)
	last := Code("")
	for _, e := range Catalogue() {
		if !form.MatchString(string(e.Code)) || e.Code <= last {
			t.Errorf("%s stands behind %s", e.Code, last)
		}
		last = e.Code
		page := Page(e.Code)
		title := "# " + string(e.Code) + ": " + e.Title + "\n"
		if !strings.HasPrefix(page, title) {
			t.Errorf("%s: the page does not begin with %q", e.Code, title)
		}
		at := 0
		headings := []string{"\n## What it means\n", "\n## Why it matters at the bench\n", "\n## Wrong\n", "\n## Right\n"}
		if e.Internal {
			headings = []string{"\n## What it means\n", "\n## Why it matters at the bench\n", "\n## What to do\n"}
		}
		for _, heading := range headings {
			i := strings.Index(page[at:], heading)
			if i < 0 {
				t.Errorf("%s: %q is missing or out of order", e.Code, heading)
				continue
			}
			at += i
		}
		if !utf8.ValidString(page) || !strings.HasSuffix(page, "\n") {
			t.Errorf("%s: the page is no text", e.Code)
		}
		wrong, right, err := Examples(e.Code)
		if err != nil {
			t.Errorf("%v", err)
			continue
		}
		if e.Internal {
			continue
		}
		if reflect.DeepEqual(wrong, right) {
			t.Errorf("%s: the examples are the same", e.Code)
		}
		for _, x := range []Example{wrong, right} {
			if !strings.HasPrefix(x["example.proc"], "library ") || !strings.Contains(x["example.proc"], "\nprocedure ") {
				t.Errorf("%s: an example is no complete library:\n%s", e.Code, x["example.proc"])
			}
		}
		warning := strings.Contains(page, "This is a warning")
		if warning != (e.Severity == Warning) {
			t.Errorf("%s: is a %s, and its page says otherwise", e.Code, e.Severity)
		}
	}
	files, err := pages.ReadDir("pages")
	if err != nil {
		t.Fatal(err)
	}
	for _, f := range files {
		if _, ok := Find(strings.TrimSuffix(f.Name(), ".md")); !ok {
			t.Errorf("%s is the page of no code", f.Name())
		}
	}
}

func TestAnUnknownCodeIsTakenForAnError(t *testing.T) {
	if SeverityOf("BP000") != Error || Page("BP000") != "" || Page("../catalogue.go") != "" {
		t.Error("a code outside the catalogue")
	}
	if e, ok := Find("bp803"); !ok || e.Code != "BP803" || e.Severity != Warning {
		t.Errorf("bp803 finds %+v", e)
	}
}

func TestSortOrdersByPlaceAndDropsRepeats(t *testing.T) {
	a, b := source.NewFile("a.proc", "one two"), source.NewFile("b.proc", "one")
	list := Sort([]*Message{
		New("BP201", b.Span(0, 3), "x"),
		New("BP301", a.Span(4, 7), "x"), New("BP201", a.Span(4, 7), "x"), New("BP301", a.Span(4, 7), "x"),
		New("BP201", source.Span{}, "x"), New("BP201", a.Span(0, 3), "x"),
	})
	var got []string
	for _, m := range list {
		path := ""
		if !m.Span.IsZero() {
			path = m.Span.File.Path
		}
		got = append(got, path+" "+m.Span.Text()+" "+string(m.Code))
	}
	want := []string{"  BP201", "a.proc one BP201", "a.proc two BP201", "a.proc two BP301", "b.proc one BP201"}
	if !reflect.DeepEqual(got, want) {
		t.Errorf("%q", got)
	}
}

func TestEditsCountTheByteOrderMark(t *testing.T) {
	raw := "\uFEFFtool drll"
	f := source.NewFile("a.proc", raw[3:])
	f.Mark = 3
	m := New("BP201", f.Span(5, 9), "unknown name").Mend(f.Span(5, 9), "drill")
	e := Reports([]*Message{m})[0].Edits[0]
	if got := raw[:e.Start] + e.Text + raw[e.End:]; got != "\uFEFFtool drill" {
		t.Errorf("the edit gives %q", got)
	}
}
