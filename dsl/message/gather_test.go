package message

import (
	"strings"
	"testing"

	"benchproof/dsl/source"
)

func TestMessagesAboutOneNameAreToldAsOne(t *testing.T) {
	a := source.NewFile("a.proc", "one\ntwo\nthree\n")
	b := source.NewFile("b.proc", "one\ntwo\nthree\n")
	about := func(f *source.File, at int, name, help string) *Message {
		m := New("BP201", f.Span(at, at+3), "no thing is called “%s”", name)
		m.About, m.Help = name, help
		return m
	}
	list := []*Message{
		about(a, 0, "wheel", ""), about(a, 4, "wheel", "declare it"), about(a, 5, "wheel", ""), New("BP204", a.Span(4, 7), "unused"),
		about(a, 8, "belt", ""), about(a, 8, "wheel", ""), about(b, 0, "wheel", ""),
	}
	got := Gather(list)
	if len(got) != 3 || got[0].About != "wheel" || got[1].Code != "BP204" || got[2] != list[4] {
		t.Fatalf("%d messages: %+v", len(got), got)
	}
	if notes := strings.Join(got[0].Notes, "|"); notes != "also on lines 2 and 3; in b.proc on line 1" || got[0].Help != "declare it" {
		t.Errorf("it says %q, %q", notes, got[0].Help)
	}
	if len(list) != 7 || list[0].Notes != nil || list[0].Help != "" {
		t.Error("the list was changed")
	}
	var many []*Message
	long := source.NewFile("a.proc", strings.Repeat("one\n", 40))
	for n := range 40 {
		many = append(many, about(long, 4*n, "wheel", ""))
	}
	if got := Gather(many); len(got) != 1 || got[0].Notes[0] != "also in 39 more places" {
		t.Errorf("%d messages: %v", len(got), got[0].Notes)
	}
}
