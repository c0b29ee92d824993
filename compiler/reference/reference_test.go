package reference

import (
	"bytes"
	"context"
	"flag"
	"os"
	"strings"
	"testing"
	"testing/fstest"

	"benchproof/compiler"
	"benchproof/dsl/format"
	"benchproof/dsl/message"
	"benchproof/dsl/syntax"
)

var update = flag.Bool("update", false, "rewrite LANGUAGE.md; the run still fails, so that the difference gets read")

func TestEveryWordIsToldOnce(t *testing.T) {
	if err := built().err; err != nil {
		t.Fatal(err)
	}
	if n := len(Entries()); n < 100 {
		t.Errorf("%d entries", n)
	}
	for _, e := range Entries() {
		if e.Meaning == "" {
			t.Errorf("%s has no meaning", e.Word)
		}
	}
}

func TestTheLanguagePageIsUpToDate(t *testing.T) {
	const name = "LANGUAGE.md"
	got := "<!-- Generated from the tables of the language and from text/; go test ./compiler/reference -update writes it. -->\n\n" + Markdown()
	want, err := os.ReadFile(name)
	if err == nil && string(want) == got {
		return
	}
	if *update {
		if err := os.WriteFile(name, []byte(got), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	t.Errorf("%s is not what the tables and the text make: run go test ./compiler/reference -update, and read the difference (%v)", name, err)
}

// unused are the warnings that an example cannot but raise: it shows one thing
// of a library, and has no trials.
var unused = map[message.Code]bool{"BP204": true, "BP903": true}

func TestEveryExampleCompiles(t *testing.T) {
	examples := Examples()
	if len(examples) < 25 || examples[0].Kind != "library" {
		t.Fatalf("%d examples, the first of kind %q", len(examples), examples[0].Kind)
	}
	base := examples[0].Text
	for _, x := range examples {
		files := fstest.MapFS{
			"base.proc":              {Data: []byte(base)},
			"sheets/instruments.csv": {Data: []byte("Instruments\n\nShort name,Description,Item no.,From,To,Res. mm,U (k = 2),Calibration due\nslide-calliper,slide calliper,T-901,0,150,0.02,0.05 mm,2027-06-30\n")},
			"figures/pump.svg":       {Data: []byte(`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 100"><rect x="10" y="10" width="180" height="80" fill="none" stroke="#000000"/></svg>`)},
		}
		source := ""
		switch x.Kind {
		case "library":
			delete(files, "base.proc")
			source = base
		case "declarations":
			source = x.Text
		case "flow":
			body := strings.TrimSuffix(strings.ReplaceAll("  "+x.Text, "\n", "\n  "), "  ")
			source = "procedure example \"Example\" {\n  document  \"WI-0\"\n  revision  A on 2026-01-05 \"First issue.\"\n\n" + body + "}\n"
		default:
			t.Errorf("line %d: an example of kind %q", x.Line, x.Kind)
			continue
		}
		files["example.proc"] = &fstest.MapFile{Data: []byte(source)}
		sources, err := compiler.Read(files)
		if err != nil {
			t.Fatal(err)
		}
		result, err := compiler.Check(context.Background(), sources)
		if err != nil {
			t.Fatal(err)
		}
		var said []*message.Message
		for _, m := range result.Messages {
			if !unused[m.Code] {
				said = append(said, m)
			}
		}
		if len(said) > 0 {
			var b bytes.Buffer
			if err := message.WriteText(&b, said, message.TextOptions{}); err != nil {
				t.Fatal(err)
			}
			t.Errorf("the example on line %d does not compile:\n%s", x.Line, b.String())
			continue
		}
		// What is shown is laid out as the formatter does.
		f, _ := syntax.Load([]byte(source), "example.proc")
		if laid := format.Source(syntax.Parse(f)); laid != source {
			t.Errorf("the example on line %d is not laid out as the formatter does it:\n%s", x.Line, laid)
		}
	}
}

func TestFindingAWord(t *testing.T) {
	for word, want := range map[string]int{"measure": 1, "Measure ": 1, "allow": 1, "begins": 3, "safe": 1, "safe when": 1, "number": 1, "x": 1, "soup": 0} {
		if got := len(Find(word)); got != want {
			t.Errorf("%q has %d entries, want %d: %v", word, got, want, Find(word))
		}
	}
	e := Find("measure")[0]
	if e.In[0] != "a step" || !strings.HasPrefix(e.Forms[0], "measure ") || e.Meaning != "Takes a reading." || !strings.Contains(e.Text, "```proc flow") {
		t.Errorf("measure is told as %+v", e)
	}
	if e := Find("step")[0]; len(e.In) < 6 {
		t.Errorf("a step stands in %v", e.In)
	}
}
