package preview

import (
	"context"
	"fmt"
	"io"
	"strings"
	"testing"
	"testing/fstest"

	"benchproof/compiler"
	"benchproof/compiler/words"
)

// translation makes a PO file of a library: each text behind a word.
func translation(t *testing.T, word string, files map[string]string) string {
	t.Helper()
	folder := fstest.MapFS{"figures/lid.svg": {Data: []byte(svg)}}
	for name, text := range files {
		folder[name] = &fstest.MapFile{Data: []byte(text)}
	}
	sources, err := compiler.Read(folder)
	if err != nil {
		t.Fatal(err)
	}
	lib, err := compiler.Outline(context.Background(), sources)
	if err != nil {
		t.Fatal(err)
	}
	f := words.Export(lib, "de", nil)
	for _, e := range f.Entries {
		for i := range e.Str {
			e.Str[i] = word + " " + e.ID
		}
	}
	return f.String()
}

// Documents are shown in the language asked for, the translation is renewed when it
// is saved, and what it lacks is told.
func TestPagesInAnotherLanguage(t *testing.T) {
	text := with(look)
	po := translation(t, "erst", map[string]string{"a.proc": text})
	b := startWith(t, text, "de", map[string]string{"translations/de.po": po})
	page := b.page("/good/check-lid.html")
	for _, want := range []string{`<html lang="de"`, "erst Open the lid", "Arbeitsanweisung"} {
		if !strings.Contains(page, want) {
			t.Errorf("the page lacks %q", want)
		}
	}
	if now := b.server.look(); len(now.Documents) != 1 || now.Documents[0].Title != "erst Check the lid" {
		t.Errorf("%+v", now.Documents)
	}
	n := b.server.look().Number
	b.write("translations/de.po", strings.ReplaceAll(po, "erst ", "dann "))
	b.until("the translation is read again", func(s *state) bool { return s.Number > n })
	if page := b.page("/good/check-lid.html"); !strings.Contains(page, "dann Open the lid") {
		t.Error("the page has the old words")
	}
	// A text that has changed has no words: it is told, and the page is not made.
	b.write("a.proc", with(strings.Replace(look, "Open the lid", "Open the whole lid", 1)))
	b.until("the stale text is told", func(s *state) bool {
		for _, m := range s.Messages {
			if m.Code == "BP032" {
				return true
			}
		}
		return false
	})
	if status, _, _ := b.get("/good/check-lid.html", nil); status != 404 {
		t.Errorf("a page without words: status %d", status)
	}
	for language, want := range map[string]string{"fr": "no translation translations/fr.po"} {
		if _, err := New(context.Background(), Options{Folder: b.dir, Language: language, Log: io.Discard}); err == nil || !strings.Contains(err.Error(), want) {
			t.Errorf("%s: %v", language, err)
		}
	}
}

// A change of one procedure has one judged again, however many there are.
func TestAChangeCostsWhatItTouches(t *testing.T) {
	const many = 60
	files := map[string]string{}
	job := func(i int, step string) string {
		return fmt.Sprintf("procedure job-%d \"Look at lid %d\" {\n  document  \"WI-%d\"\n  revision  A on 2026-01-05 \"First issue.\"\n\n  %s\n}\n\ntrial \"always\" of job-%d {\n  expect  finish serviceable\n}\n", i, i, 100+i, step, i)
	}
	for i := range many {
		files[fmt.Sprintf("jobs/%d.proc", i)] = job(i, other)
	}
	b := startWith(t, with(look), "", files)
	session := b.server.session
	before := session.Counters()
	if before.Judged != many+1 {
		t.Errorf("at first %d were judged, want %d", before.Judged, many+1)
	}
	n := b.server.look().Number
	b.write("jobs/7.proc", job(7, look))
	b.until("the change is seen", func(s *state) bool { return s.Number > n })
	after := session.Counters()
	if got := [3]int{after.Parsed - before.Parsed, after.Judged - before.Judged, after.Tried - before.Tried}; got != [3]int{1, 1, 1} {
		t.Errorf("parsed, judged, tried: %v, want one each", got)
	}
	if page := b.page("/good/job-7.html"); !strings.Contains(page, "Open the lid") {
		t.Error("the page has the old step")
	}
}

// When a state is wrong, each page of the last good one is shown as it was, also one
// that nobody had looked at and one whose picture has gone.
func TestTheLastGoodPagesNeedNoSession(t *testing.T) {
	second := strings.Replace(with(other), "check-lid", "close-lid", 2)
	second = second[strings.Index(second, "procedure"):]
	second = strings.Replace(strings.Replace(second, "WI-1", "WI-2", 1), "Check the lid", "Close the lid up", 1)
	b := startWith(t, with(look), "", map[string]string{"b.proc": second})
	b.write("a.proc", with(wrong))
	b.remove("figures/lid.svg")
	b.until("it is wrong", func(s *state) bool { return s.Errors > 1 && s.Draft })
	page := b.page("/good/close-lid.html")
	if !strings.Contains(page, "Close the lid with the") || !strings.Contains(page, "<rect") {
		t.Errorf("the last good page is not as it was")
	}
}
