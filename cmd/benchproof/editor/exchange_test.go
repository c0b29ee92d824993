package editor

import (
	"bytes"
	"encoding/json"
	"flag"
	"fmt"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"golang.org/x/tools/txtar"
)

var update = flag.Bool("update", false, "rewrite the recorded exchanges")

// An exchange is a folder, what an editor does in it step by step, and the
// messages of the protocol that went to and fro.
func TestExchanges(t *testing.T) {
	archives, err := filepath.Glob("testdata/*.txtar")
	if err != nil || len(archives) == 0 {
		t.Fatalf("no archives: %v", err)
	}
	for _, path := range archives {
		t.Run(strings.TrimSuffix(filepath.Base(path), ".txtar"), func(t *testing.T) {
			archive, err := txtar.ParseFile(path)
			if err != nil {
				t.Fatal(err)
			}
			if len(bytes.TrimSpace(archive.Comment)) == 0 {
				t.Error("the archive does not say what it is for")
			}
			files := map[string]string{}
			var steps, want string
			for _, f := range archive.Files {
				switch f.Name {
				case "steps":
					steps = string(f.Data)
				case "exchange":
					want = string(f.Data)
				default:
					files[f.Name] = string(f.Data)
				}
			}
			got := play(t, files, steps)
			if got == want {
				return
			}
			if *update {
				kept := archive.Files[:0]
				for _, f := range archive.Files {
					if f.Name != "exchange" {
						kept = append(kept, f)
					}
				}
				archive.Files = append(kept, txtar.File{Name: "exchange", Data: []byte(got)})
				if err := os.WriteFile(path, txtar.Format(archive), 0o644); err != nil {
					t.Fatal(err)
				}
				t.Errorf("rewritten: read the difference")
				return
			}
			t.Errorf("the exchange is\n%s\nand was recorded as\n%s", got, want)
		})
	}
}

// methodsOf are the steps that ask about a place.
var methodsOf = map[string]string{
	"hover": "textDocument/hover", "definition": "textDocument/definition", "references": "textDocument/references",
	"highlights": "textDocument/documentHighlight", "completion": "textDocument/completion", "prepare": "textDocument/prepareRename",
	"rename": "textDocument/rename",
}

// methodsAbout are the steps that ask about a file.
var methodsAbout = map[string]string{
	"outline": "textDocument/documentSymbol", "folding": "textDocument/foldingRange", "format": "textDocument/formatting",
	"colours": "textDocument/semanticTokens/full",
}

// play plays steps and gives what was said, one message a line, with the folder
// called /library.
func play(t *testing.T, files map[string]string, steps string) string {
	c := begin(t, files)
	var b strings.Builder
	say := func(who string, body any) {
		text, ok := body.(string)
		if !ok {
			raw, err := json.Marshal(body)
			if err != nil {
				t.Fatal(err)
			}
			text = string(raw)
		}
		fmt.Fprintf(&b, "%s %s\n", who, strings.ReplaceAll(text, "file://"+c.dir, "file:///library"))
	}
	asked := func(method, params string) {
		say("-->", fmt.Sprintf(`{"method":%q,"params":%s}`, method, params))
		var reply map[string]json.RawMessage
		if err := json.Unmarshal(c.ask(method, params), &reply); err != nil {
			t.Fatal(err)
		}
		delete(reply, "id")
		delete(reply, "jsonrpc")
		say("<--", reply)
	}
	for _, line := range strings.Split(steps, "\n") {
		words := fields(t, line)
		if len(words) == 0 {
			continue
		}
		fmt.Fprintf(&b, "\n# %s\n", line)
		verb, rest := words[0], words[1:]
		number := func(i int) int {
			n, err := strconv.Atoi(rest[i])
			if err != nil {
				t.Fatalf("%s: %v", line, err)
			}
			return n
		}
		switch {
		case verb == "open":
			c.open(rest[0])
		case verb == "close":
			c.tell("textDocument/didClose", c.about(rest[0]))
		case verb == "change":
			c.write(rest[0], rest[1], rest[2])
		case verb == "messages":
			c.settled(rest[0])
			c.mu.Lock()
			told := c.told[rest[0]]
			c.mu.Unlock()
			say("<--", map[string]any{"method": "textDocument/publishDiagnostics", "params": told})
		case methodsOf[verb] != "":
			var more []string
			if verb == "rename" {
				more = append(more, fmt.Sprintf(`,"newName":%q`, rest[3]))
			}
			if verb == "references" {
				more = append(more, `,"context":{"includeDeclaration":true}`)
			}
			asked(methodsOf[verb], c.at(rest[0], rest[1], number(2), more...))
		case verb == "format":
			asked(methodsAbout[verb], c.about(rest[0], `,"options":{"tabSize":2,"insertSpaces":true}`))
		case methodsAbout[verb] != "":
			asked(methodsAbout[verb], c.about(rest[0]))
		case verb == "hints" || verb == "actions":
			l := linesOf(c.texts[rest[0]])
			from, to := 0, len(l.text)
			if verb == "actions" {
				from = strings.Index(l.text, rest[1])
				to = from
			}
			r, _ := json.Marshal(l.rangeOf(from, to))
			method, more := "textDocument/inlayHint", ""
			if verb == "actions" {
				method, more = "textDocument/codeAction", `,"context":{"diagnostics":[]}`
			}
			asked(method, c.about(rest[0], fmt.Sprintf(`,"range":%s%s`, r, more)))
		case verb == "find":
			asked("workspace/symbol", fmt.Sprintf(`{"query":%q}`, rest[0]))
		case verb == "ask":
			asked(rest[0], strings.ReplaceAll(rest[1], "file:///library", "file://"+c.dir))
		case verb == "raw":
			c.send(strings.TrimPrefix(line, "raw "))
			say("-->", strings.TrimPrefix(line, "raw "))
		default:
			t.Fatalf("%q is no step", line)
		}
	}
	return b.String()
}

// fields cuts a line into words; those with spaces stand in quotes.
func fields(t *testing.T, line string) (out []string) {
	for line = strings.TrimSpace(line); line != ""; line = strings.TrimSpace(line) {
		if strings.HasPrefix(line, "#") {
			return out
		}
		word, err := strconv.QuotedPrefix(line)
		if err != nil {
			word, _, _ = strings.Cut(line, " ")
			line = line[len(word):]
			out = append(out, word)
			continue
		}
		line = line[len(word):]
		word, err = strconv.Unquote(word)
		if err != nil {
			t.Fatal(err)
		}
		out = append(out, word)
	}
	return out
}
