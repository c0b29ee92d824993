package syntax

import (
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// The limits of a source file have their message at the place, and what can be
// read is read all the same.
func TestLoad(t *testing.T) {
	for _, c := range []struct{ name, input, text, messages string }{
		{"plain", "tool a \"ä\" { }\r\n", "tool a \"ä\" { }\r\n", ""},
		{"byte-order mark", "\xEF\xBB\xBFtool", "tool", ""},
		{"NUL", "a\x00\x00b", "a\uFFFDb", "1:2-3 BP101: a NUL byte stands in the text\n  help: save the file as UTF-8 text\n"},
		{"not UTF-8", "# \xE9\xE8\nx\xFFy", "# \uFFFD\nx\uFFFDy", "1:3-4 BP101: the byte 0xE9 is not UTF-8\n  help: save the file as UTF-8\n2:2-3 BP101: the byte 0xFF is not UTF-8\n  help: save the file as UTF-8\n"},
		{"half a character", "ä\xC3", "ä\uFFFD", "1:2-3 BP101: the byte 0xC3 is not UTF-8\n  help: save the file as UTF-8\n"},
		{"lost character", "a\uFFFDb", "a\uFFFDb", "1:2-3 BP101: a character was lost here when the file was saved (U+FFFD)\n  help: write the character again\n"},
		{"escape", "a \x1b[2J", "a \uFFFD[2J", "1:3-4 BP101: a control character stands in the text (U+001B)\n  help: take it out; no document shows it, and a terminal obeys it\n"},
		{"delete", "a\x7f\u009b", "a\uFFFD\uFFFD", "1:2-3 BP101: a control character stands in the text (U+007F)\n  help: take it out; no document shows it, and a terminal obeys it\n1:3-4 BP101: a control character stands in the text (U+009B)\n  help: take it out; no document shows it, and a terminal obeys it\n"},
		{"turned", "12\u202e21", "12\uFFFD21", "1:3-4 BP101: a character that turns the direction of writing stands in the text (U+202E)\n  help: take it out: what is read would not be what is written\n"},
		{"UTF-16", "\xFF\xFEt\x00", "", "1:1-1 BP101: the file is UTF-16 text, expected UTF-8\n  help: save it as UTF-8\n"},
		{"too large", strings.Repeat("#", MaxSize+1), "", "1:1-1 BP101: the file has 16.0 MB, more than the 16.0 MB a source file may have\n  help: split it: all files under one folder form one library\n"},
		{"empty", "", "", ""},
	} {
		f, list := Load([]byte(c.input), "x.proc")
		if f.Text != c.text {
			t.Errorf("%s: text %q, want %q", c.name, f.Text, c.text)
		}
		if got := show(list); got != c.messages {
			t.Errorf("%s: got\n%swant\n%s", c.name, got, c.messages)
		}
	}
}

// Where Load has put in its mark outside a text, the parser says no more.
func TestUnreadableBytesAreToldOnce(t *testing.T) {
	_, list := load("tool a \"a\" { \x00 number \"1\" } \xFF\xFF # \xFE", "x.proc")
	if len(list) != 3 {
		t.Errorf("%s", show(list))
	}
}

// Whatever the input, the parse ends soon with few messages.
func TestHugeInput(t *testing.T) {
	head := "procedure p \"P\" {\n"
	for name, text := range map[string]string{
		"open braces":       strings.Repeat("{", 300_000),
		"closing braces":    strings.Repeat("}", 300_000),
		"nested repeats":    head + strings.Repeat("repeat at most 2 times {", 64<<10/24),
		"nested and closed": head + strings.Repeat("repeat at most 2 times { ", 20_000) + strings.Repeat("}", 20_001),
		"nested decides":    head + strings.Repeat("decide a { b { ", 100_000),
		"one line":          "tool a \"" + strings.Repeat("x", 5_000_000) + "\" { }",
		"one open line":     "tool a \"" + strings.Repeat("x", 5_000_000),
		"one word":          strings.Repeat("x", 5_000_000),
		"one number":        strings.Repeat("1", 5_000_000),
		"one comment":       "#" + strings.Repeat("x", 5_000_000),
		"many words":        strings.Repeat("x ", 100_000),
		"many lines":        strings.Repeat("x\n", 100_000),
		"many quotes":       strings.Repeat("\" ", 100_001),
		"many bad signs":    strings.Repeat("; ", 100_000),
		"one bad sign":      strings.Repeat(";", 100_000),
		"many numbers":      strings.Repeat("1,", 100_000),
		"many steps":        head + strings.Repeat("stpe \"x\"\n", 100_000) + "}",
		"many names":        head + "step \"x\" { use " + strings.Repeat("a, ", 100_000) + "a } }",
		"many values":       "trial \"t\" of p { r " + strings.Repeat("5 mm, ", 200_000) + "5 mm }",
		"many short values": "trial \"t\" of p { " + strings.Repeat("a b ", 300_000) + "}",
		"keywords":          head + strings.Repeat("perform\n", 100_000) + "}",
		"uneven":            head + strings.Repeat("step \"x\" {\n", 100_000),
	} {
		begin := time.Now()
		tree, list := load(text, "x.proc")
		took := time.Since(begin)
		// A guard against what grows with the square of the input, which
		// would take minutes; not a measure of speed.
		if took > 20*time.Second {
			t.Errorf("%s: took %s", name, took)
		}
		if len(list) > maxMessages+1 {
			t.Errorf("%s: %d messages", name, len(list))
		}
		t.Logf("%s: %d bytes, %d messages, %s", name, len(text), len(list), took.Round(time.Millisecond))
		check(t, tree)
	}
}

func TestSmallInput(t *testing.T) {
	for text, messages := range map[string]string{
		"":               "",
		" \r\n\t":        "",
		"# only":         "",
		"\"":             "1:1-2 BP101: a text ends here that does not start\n  help: put a \" where it starts\n",
		"}":              "1:1-2 BP101: a \"}\" too many: no block is open here\n",
		"tool":           "1:1-5 BP101: expected a name behind \"tool\"\n",
		"# a\nkit a \"x": "2:7-9 BP101: a quote on this line has no partner\n  help: a text starts and ends with \" on one line; a \" inside it is written \\\"\n",
	} {
		tree, list := load(text, "x.proc")
		check(t, tree)
		if got := show(list); got != messages {
			t.Errorf("%q: got\n%swant\n%s", text, got, messages)
		}
	}
}

// FuzzParse holds every parse to what check demands, and to an end.
func FuzzParse(f *testing.F) {
	for _, folder := range []string{"good", "bad"} {
		names, byName := archives(f, folder)
		for _, path := range names {
			input, _ := part(byName[path], "input.proc")
			f.Add(input)
		}
	}
	paths, _ := filepath.Glob("testdata/pump-bench/*.proc")
	for _, path := range paths {
		b, err := os.ReadFile(path)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(string(b))
	}
	f.Fuzz(func(t *testing.T, text string) {
		watch := time.AfterFunc(10*time.Second, func() { panic("no progress") })
		defer watch.Stop()
		tree, _ := load(text, "x.proc")
		check(t, tree)
		WalkFile(tree, func(n Place) bool {
			if text, ok := n.(*Text); ok {
				value := text.Value()
				for i := 0; i <= len(value); i++ {
					if at := text.Offset(i); at < text.Start() || at > text.End() {
						t.Fatalf("byte %d of %q stands at %d, the text at %d-%d", i, value, at, text.Start(), text.End())
					}
				}
			}
			return true
		})
	})
}
