package words

import (
	"bytes"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"testing"

	"benchproof/dsl/source"
)

const sample = `# Kept by hand.
msgid ""
msgstr ""
"Language: pl\n"
"Content-Type: text/plain; charset=UTF-8\n"
"Plural-Forms: nplurals=3; plural=(n==1 ? 0 : n%10>=2 && n%10<=4 && (n%100<10 || n%100>=20) ? 1 : 2);\n"
"X-Odd: a: b\n"

# a note
# and another
#. {time}: 10 min
#: a.proc:3
#: b.proc:4
#, fuzzy, no-wrap
#| msgid "Old"
msgctxt "part nut title"
msgid "nut \"quoted\" \\ and\ttab"
msgid_plural "nuts"
msgstr[0] "nakrętka"
msgstr[1] "nakrętki"
msgstr[2] "nakrętek"

msgid "two\n"
"lines"
msgstr ""
"dwie\n"
"linie"

#~ msgctxt "gone"
#~ msgid "gone"
#~ msgstr "nie ma"
`

func read(t *testing.T, text string) *File {
	t.Helper()
	f, ms := Read(source.NewFile("translations/pl.po", text))
	for _, m := range ms {
		line, _ := m.Span.File.Position(m.Span.Start)
		t.Errorf("line %d: %s", line, m.Text)
	}
	return f
}

// What is read is written again as GNU gettext writes it: msgcat lays both out.
func TestFileIsWrittenAsItWasRead(t *testing.T) {
	f := read(t, sample)
	if len(f.Entries) != 3 || f.Entries[0].Str[2] != "nakrętek" || !f.Entries[2].Obsolete || f.Entries[1].ID != "two\nlines" || f.Field("X-Odd") != "a: b" || f.Entries[0].Before != "Old" {
		t.Fatalf("read %+v", f.Entries)
	}
	again := read(t, f.String())
	if f.String() != again.String() {
		t.Errorf("read again:\n%s", again)
	}
	layout := func(text string) string {
		cmd := exec.Command("msgcat", "--no-wrap", "-")
		cmd.Stdin = strings.NewReader(text)
		var errors bytes.Buffer
		cmd.Stderr = &errors
		out, err := cmd.Output()
		if err != nil {
			t.Fatalf("msgcat: %v\n%s", err, errors.String())
		}
		return string(out)
	}
	if a, b := layout(sample), layout(f.String()); a != b {
		t.Errorf("gettext reads\n%s\nof what was written, and\n%s\nof what was read", b, a)
	}
	name := filepath.Join(t.TempDir(), "pl.po")
	if err := os.WriteFile(name, []byte(f.String()), 0o666); err != nil {
		t.Fatal(err)
	}
	if out, err := exec.Command("msgfmt", "-c", "-o", os.DevNull, name).CombinedOutput(); err != nil {
		t.Errorf("msgfmt: %v\n%s", err, out)
	}
}

// Whatever is wrong with a file, and however often, is told a bounded number of
// times.
func TestFaultsOfAFileAreBounded(t *testing.T) {
	for _, text := range []string{"msgid \"a\"\nmsgstr \"b\"\n\n", "msgid \"a\n", "msgid \"a\"\n\n", "\"", "msgstr[3] \"a\"\n", "nonsense\n"} {
		if _, ms := Read(source.NewFile("translations/de.po", strings.Repeat(text, 100_000))); len(ms) == 0 || len(ms) > maxFaults+1 {
			t.Errorf("%q: %d messages", text, len(ms))
		}
	}
}

// Anything may stand in a file; nothing of it may stop the program.
func FuzzRead(f *testing.F) {
	f.Add(sample)
	f.Add("msgid \"\"\nmsgstr \"\"\n\"x")
	f.Add("#~ msgid \"a\"\n#~ msgstr[0] \"b\"\n#| msgid \"")
	f.Add("msgstr[9999999999999999999] \"a\"")
	f.Add("\"alone\"\nmsgctxt\nmsgid\"a\"msgstr\"b\"")
	f.Fuzz(func(t *testing.T, text string) {
		file, ms := Read(source.NewFile("translations/de.po", text))
		if len(ms) > 0 {
			return
		}
		again, ms := Read(source.NewFile("translations/de.po", file.String()))
		if len(ms) > 0 {
			t.Fatalf("%q was written as\n%s\nwhich is refused: %s", text, file, ms[0].Text)
		}
		if len(again.Entries) != len(file.Entries) {
			t.Fatalf("%q: %d entries, read again %d", text, len(file.Entries), len(again.Entries))
		}
	})
}
