package compiler_test

import (
	"context"
	"reflect"
	"strings"
	"testing"
	"testing/fstest"

	"benchproof/compiler"
	"benchproof/compiler/quantity"
	"benchproof/dsl/message"
)

const twinHead = `library "Twin bench" { owner "Workshop" decision guarded }
procedure check-rod "Check the rod" {
  document "WI-1"
  revision A on 2026-01-05 "First issue."
  step "Measure the rod with the @calliper." { measure rod-length in mm with calliper }
  decide rod-length {
    above 100.10 mm { finish refer "Call the supervisor." }
    accept from 99.90 mm to 100.10 mm { finish serviceable }
    below 99.90 mm { finish scrap }
  }
}
`

// A library whose instruments stand in a sheet and one that declares them find
// the same and make the same documents.
func TestASheetIsLikeDeclarations(t *testing.T) {
	declared := checked(t, map[string]string{"a.proc": twinHead + `
tool calliper "slide calliper" { number "T-1" detail "150 mm" reads from 0 mm to 150 mm resolution 0.01 mm uncertainty 0.02 mm due 2025-06-30 }
`})
	listed := checked(t, map[string]string{"a.proc": twinHead + `
catalogue "Instruments" {
  lists tools file "s/i.csv" name column "Name" title column "Title" number column "No." detail column "Type"
  reads column "From" to "To" in mm resolution column "Res." in mm uncertainty column "U" in mm due column "Due"
}
`, "s/i.csv": "Name;Title;No.;Type;From;To;Res.;U;Due\r\ncalliper;slide calliper;T-1;150 mm;0;150;0,01;0,02;30.06.2025\r\nspare;spare calliper;T-2;;0;150;0,01;0,02;\r\n"})
	texts := func(r *compiler.Result) (out []string) {
		for _, m := range r.Messages {
			out = append(out, string(m.Code)+" "+m.Text)
		}
		return out
	}
	a, b := strings.Join(texts(declared), "\n"), strings.Join(texts(listed), "\n")
	if len(declared.Messages) < 2 || len(declared.Messages) != len(listed.Messages) {
		t.Errorf("declared:\n%s\nlisted:\n%s", a, b)
	}
	for _, m := range texts(declared) {
		if !strings.Contains(b, m) {
			t.Errorf("only where it is declared: %s", m)
		}
	}
	one, _ := declared.Document(0, compiler.DocumentOptions{})
	two, _ := listed.Document(0, compiler.DocumentOptions{})
	if one == nil || one.Fingerprint != two.Fingerprint || !reflect.DeepEqual(one, two) {
		t.Errorf("documents differ:\n%+v\n%+v", one, two)
	}
	reach := compiler.NewReacher(listed.Library).Of(0)
	if got := strings.Join(reach.Files, " "); got != "a.proc s/i.csv" {
		t.Errorf("the reach names %s", got)
	}
}

// A cell says what an uncertainty in per cent is of, as a declaration does.
func TestACellSaysWhatAnUncertaintyIsOf(t *testing.T) {
	r := checked(t, map[string]string{"a.proc": `library "Bench" { owner "W" }
catalogue "C" { lists tools file "i.csv" name column "Name" title column "Title" reads column "From" to "To" in % uncertainty column "U" decimal comma }
`, "i.csv": "Name;Title;From;To;U\r\na;one;0;200;2,5 % of reading\r\nb;two;0;200;0,4 % points\r\nc;three;0;200;1 %\r\nd;four;0;200;1 % of it\r\n"})
	for i, want := range []struct {
		value         string
		share, unsaid bool
	}{{"2.5 %", true, false}, {"0.4 %", false, false}, {"1 %", false, true}} {
		tool := r.Library.Tools[i]
		if tool.Uncertainty == nil || strings.ReplaceAll(tool.Uncertainty.String(), quantity.NBSP, " ") != want.value || tool.Share != want.share || tool.Unsaid != want.unsaid {
			t.Errorf("%s: uncertainty %v, of reading %v, unsaid %v; want %v", tool.Name, tool.Uncertainty, tool.Share, tool.Unsaid, want)
		}
	}
	said := ""
	for _, m := range r.Messages {
		said += string(m.Code) + " " + m.Text + "\n"
	}
	if !strings.Contains(said, "BP023 “1 % of it” is no number") || !strings.Contains(said, "BP307 “c” reads in per cent") {
		t.Errorf("what is said:\n%s", said)
	}
}

// A session tells of a cell at the catalogue that reads it, and takes a sheet
// again that has changed.
func TestASessionFollowsASheet(t *testing.T) {
	sheet := func(to string) *fstest.MapFile {
		return &fstest.MapFile{Data: []byte("Name,Title,From,To\ncalliper,slide calliper,0," + to + "\n")}
	}
	fsys := fstest.MapFS{"i.csv": sheet("none"), "a.proc": {Data: []byte(twinHead +
		`catalogue "C" { lists tools file "i.csv" name column "Name" title column "Title" reads column "From" to "To" in mm }`)}}
	s, err := compiler.NewSession(fsys)
	if err != nil {
		t.Fatal(err)
	}
	errors := func() (out []string) {
		if err := s.Check(context.Background(), nil, func(found map[string][]*message.Message, all bool) {
			for _, m := range found["a.proc"] {
				if m.IsError() {
					out = append(out, m.Text)
				}
			}
		}); err != nil {
			t.Fatal(err)
		}
		return out
	}
	if got := errors(); len(got) != 1 || got[0] != "i.csv:D2: “none” is no number" {
		t.Errorf("found %q", got)
	}
	fsys["i.csv"] = sheet("150")
	if err := s.Reload(); err != nil {
		t.Fatal(err)
	}
	if got := errors(); len(got) != 0 {
		t.Errorf("mended, and found %q", got)
	}
}
