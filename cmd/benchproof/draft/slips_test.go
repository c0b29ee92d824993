package draft

import (
	"context"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"benchproof/compiler"
	"benchproof/dsl/message"
)

// checked gives what the compiler says of a draft.
func checked(t *testing.T, text string) []*message.Message {
	t.Helper()
	src, err := compiler.Read(fstest.MapFS{"draft.proc": {Data: []byte(text)}})
	if err != nil {
		t.Fatal(err)
	}
	r, err := compiler.Check(context.Background(), src)
	if err != nil {
		t.Fatal(err)
	}
	return r.Messages
}

// TestCheckShowsWhatTheTalkLeftOut makes the draft of each talk and demands that
// check tells of the slip that was planted in it.
func TestCheckShowsWhatTheTalkLeftOut(t *testing.T) {
	golds, err := filepath.Glob("testdata/*/*.gold")
	if err != nil || len(golds) < 12 {
		t.Fatalf("%d talks: %v", len(golds), err)
	}
	codes := map[string]bool{}
	told, all := 0, 0
	for _, g := range golds {
		marked := readGold(t, g)
		if len(marked.slips) == 0 {
			t.Errorf("%s: no slip is planted in it", g)
		}
		name, data := talkOf(t, g)
		d, err := Make(data, Options{Name: filepath.Base(name)})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		messages := checked(t, d.Text)
		for _, slip := range marked.slips {
			codes[slip[0]] = true
			found := false
			for _, m := range messages {
				line, _ := m.Span.File.Position(m.Span.Start)
				text, _ := m.Span.File.Line(line)
				found = found || string(m.Code) == slip[0] && (strings.Contains(m.Text, slip[1]) || strings.Contains(text, slip[1]))
			}
			all++
			if found {
				told++
				continue
			}
			t.Logf("%s: check does not tell of %s: %s; it says", name, slip[0], slip[1])
			for _, m := range messages {
				t.Logf("  %s: %s", m.Code, m.Text)
			}
		}
		for _, m := range messages {
			if m.Code == "BP101" || m.Code == "BP001" || m.Code == "BP201" || m.Code == "BP203" || m.Code == "BP301" || m.Code == "BP302" {
				t.Errorf("%s: a draft is made wrong: %s: %s", name, m.Code, m.Text)
			}
		}
	}
	// Talks that no rule was made from are among them: what is not told is
	// listed above, and the share is held.
	t.Logf("%d of %d planted slips are told", told, all)
	if 10*told < 7*all {
		t.Errorf("%d of %d planted slips are told, expected seven in ten", told, all)
	}
	for _, code := range []string{"BP501", "BP202", "BP208", "BP401"} {
		if !codes[code] {
			t.Errorf("no talk has a slip that check tells of as %s", code)
		}
	}
}
