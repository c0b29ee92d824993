package editor

import (
	"fmt"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"
	"time"

	"github.com/charmbracelet/x/powernap/pkg/lsp/protocol"

	"benchproof/compiler/scale"
)

// Messages speak of the text that was typed last, whatever was typed meanwhile.
func TestMessagesSpeakOfTheLastText(t *testing.T) {
	c := begin(t, scale.Generate(30))
	name := scale.Path(3)
	c.open(name)
	c.open(scale.Bench)
	for i := range 40 {
		c.write(name, "Slacken all", "Slacken all") // nothing, but a new version
		if i%2 == 0 {
			c.write(name, "use     socket-13", "use     socket-1")
		} else {
			c.write(name, "use     socket-1", "use     socket-13")
		}
		if i%5 == 0 {
			c.write(scale.Bench, "hat belongs", "hat also belongs")
			c.write(scale.Bench, "hat also belongs", "hat belongs")
		}
		if i%7 == 0 {
			time.Sleep(time.Duration(i) * time.Millisecond)
		}
	}
	if list := c.settled(name); len(list) > 0 {
		t.Errorf("at the end nothing is wrong, and there are messages: %v", list)
	}
	c.write(name, "use     socket-13", "use     socket-1")
	if got := codes(c.settled(name)); !slices.Contains(got, "BP201") {
		t.Errorf("the unknown tool is not told of: %v", got)
	}
	if list := c.settled(scale.Bench); len(list) > 0 {
		t.Errorf("%v", list)
	}
}

// A change of the declarations shows in the files that name them.
func TestAChangeShowsInOtherFiles(t *testing.T) {
	c := begin(t, scale.Generate(5))
	c.open(scale.Bench)
	c.settled(scale.Bench)
	c.write(scale.Bench, "tool air-gun ", "tool air-pistol ")
	c.settled(scale.Bench)
	c.mu.Lock()
	for i := range 5 {
		if got := codes(c.told[scale.Path(i)].Diagnostics); !slices.Contains(got, "BP201") {
			t.Errorf("%s: %v", scale.Path(i), got)
		}
	}
	c.mu.Unlock()
	c.write(scale.Bench, "tool air-pistol ", "tool air-gun ")
	c.settled(scale.Bench)
	c.mu.Lock()
	defer c.mu.Unlock()
	for i := range 5 {
		if list := c.told[scale.Path(i)].Diagnostics; len(list) > 0 {
			t.Errorf("%s: %v", scale.Path(i), list)
		}
	}
}

// Files that others write are taken in when the editor tells of them.
func TestFilesChangedBehindTheEditorsBack(t *testing.T) {
	c := begin(t, scale.Generate(2))
	name := scale.Path(0)
	c.open(name)
	c.settled(name)
	bench := filepath.Join(c.dir, scale.Bench)
	if err := os.WriteFile(bench, []byte(strings.Replace(c.texts[scale.Bench], "tool air-gun ", "tool air-pistol ", 1)), 0o644); err != nil {
		t.Fatal(err)
	}
	c.tell("workspace/didChangeWatchedFiles", fmt.Sprintf(`{"changes":[{"uri":%q,"type":2}]}`, c.uri(scale.Bench)))
	c.write(name, "Slacken all", "Slacken all")
	if got := codes(c.settled(name)); !slices.Contains(got, "BP201") {
		t.Errorf("%v", got)
	}
	// A file that is closed without being saved is again what it was.
	c.tell("textDocument/didClose", c.about(name))
	c.open(scale.Path(1))
	c.settled(scale.Path(1))
}

// What a translation lacks is told at its own lines, when it is saved and when a text
// that it translates is changed, saved or not.
func TestATranslationIsToldOf(t *testing.T) {
	const po = "msgid \"\"\nmsgstr \"\"\n\"Language: de\\n\"\n\"Content-Type: text/plain; charset=UTF-8\\n\"\n\"Plural-Forms: nplurals=2; plural=(n != 1);\\n\"\n\n" +
		"msgctxt \"tool air-gun title\"\nmsgid \"air gun\"\nmsgstr \"%s\"\n"
	const name = "translations/de.po"
	files := scale.Generate(1)
	files[name] = fmt.Sprintf(po, "Luftpistole")
	c := begin(t, files)
	about := func(what string, want ...string) {
		t.Helper()
		c.settled(scale.Bench)
		c.mu.Lock()
		defer c.mu.Unlock()
		if got := codes(c.told[name].Diagnostics); !slices.Equal(got, want) {
			t.Errorf("%s: %v, want %v", what, got, want)
		}
	}
	if !strings.Contains(files[scale.Bench], `"air gun"`) {
		t.Fatal("the bench has no air gun")
	}
	c.open(scale.Bench)
	about("as it is")
	c.write(scale.Bench, `"air gun"`, `"air pistol"`)
	about("another text", "BP035")
	c.write(scale.Bench, `"air pistol"`, `"air gun"`)
	about("the text again")
	if err := os.WriteFile(filepath.Join(c.dir, name), []byte("msgid \"half"), 0o644); err != nil {
		t.Fatal(err)
	}
	c.tell("workspace/didChangeWatchedFiles", fmt.Sprintf(`{"changes":[{"uri":%q,"type":2}]}`, c.uri(name)))
	c.write(scale.Bench, `"air gun"`, `"air gun"`)
	about("half a file", "BP031")
}

// The library is the folder around a file in which a library is declared, and
// nothing outside it is looked at.
func TestNothingOutsideTheLibraryIsLookedAt(t *testing.T) {
	files := map[string]string{"private/secret.proc": `tool secret-tool "secret tool" { number "T-0001" }`, "notes.txt": "x"}
	for name, text := range scale.Generate(1) {
		files["shop/"+name] = text
	}
	c := begin(t, files)
	name := "shop/" + scale.Path(0)
	c.open(name)
	if list := c.settled(name); len(list) > 0 {
		t.Errorf("%v", list)
	}
	type list struct{ Items []struct{ Label string } }
	c.write(name, "use     socket-13", "use     se")
	for _, item := range result[list](c, "textDocument/completion", c.at(name, "use     se", 10)).Items {
		if item.Label == "secret-tool" {
			t.Error("a tool of another folder is proposed")
		}
	}
	for _, other := range []string{"notes.txt", "../elsewhere.proc"} {
		c.texts[other] = "x"
		c.open(other)
		if body := c.ask("textDocument/documentSymbol", c.about(other)); !strings.Contains(string(body), `"result":[]`) {
			t.Errorf("%s: %s", other, body)
		}
	}
	// With a folder given, files of others are not looked at.
	d := start(t, c.dir, Options{Folder: filepath.Join(c.dir, "shop")})
	d.texts = c.texts
	d.ask("initialize", `{"capabilities":{}}`)
	d.open("private/secret.proc")
	if body := d.ask("textDocument/documentSymbol", d.about("private/secret.proc")); !strings.Contains(string(body), `"result":[]`) {
		t.Errorf("%s", body)
	}
	d.open(name)
	if body := d.ask("textDocument/documentSymbol", d.about(name)); strings.Contains(string(body), `"result":[]`) {
		t.Errorf("%s", body)
	}
}

// The answer to a keystroke in a library of a thousand procedures, as an editor
// sees it: from the change to the messages of the file typed into.
func BenchmarkTyping(b *testing.B) {
	c := begin(b, scale.Generate(1000))
	for _, k := range []struct{ name, file, from, to string }{
		{"procedure", scale.Path(500), "Blow the shaft", "Blow the shafft"},
		{"declarations", scale.Bench, "\"two-pole voltage tester\"", "\"two-pole voltage testerr\""},
	} {
		b.Run(k.name, func(b *testing.B) {
			c.open(k.file)
			c.settled(k.file)
			var told, proposed time.Duration
			for b.Loop() {
				began := time.Now()
				c.write(k.file, k.from, k.to)
				result[protocol.CompletionList](c, "textDocument/completion", c.at(k.file, k.to, 3))
				proposed += time.Since(began)
				c.mu.Lock()
				for c.told[k.file].Version != c.versions[k.file] && !c.ended {
					c.arrived.Wait()
				}
				c.mu.Unlock()
				told += time.Since(began)
				c.write(k.file, k.to, k.from)
				c.settled(k.file)
			}
			b.ReportMetric(float64(told.Microseconds())/1000/float64(b.N), "ms/messages")
			b.ReportMetric(float64(proposed.Microseconds())/1000/float64(b.N), "ms/proposals")
		})
	}
}
