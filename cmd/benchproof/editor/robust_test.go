package editor

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"math/rand/v2"
	"strings"
	"testing"
	"time"
)

// everywhere are the requests about a place, with what they need besides it.
var everywhere = []struct{ method, more string }{
	{"textDocument/completion", ""}, {"textDocument/hover", ""}, {"textDocument/definition", ""},
	{"textDocument/references", `,"context":{"includeDeclaration":true}`}, {"textDocument/documentHighlight", ""},
	{"textDocument/prepareRename", ""}, {"textDocument/rename", `,"newName":"another-name"`},
}

// ofFile are the requests about a whole file.
var ofFile = []struct{ method, more string }{
	{"textDocument/documentSymbol", ""}, {"textDocument/foldingRange", ""}, {"textDocument/semanticTokens/full", ""},
	{"textDocument/formatting", `,"options":{"tabSize":2,"insertSpaces":true}`},
	{"textDocument/inlayHint", `,"range":{"start":{"line":0,"character":0},"end":{"line":100000,"character":0}}`},
	{"textDocument/codeAction", `,"range":{"start":{"line":0,"character":0},"end":{"line":100000,"character":0}},"context":{"diagnostics":[]}`},
}

// sane holds a reply to be a result, or a refusal with a reason; a fault of the
// server is neither.
func sane(t testing.TB, method string, body json.RawMessage) {
	t.Helper()
	var r struct {
		Error *struct {
			Code    int    `json:"code"`
			Message string `json:"message"`
		} `json:"error"`
	}
	if err := json.Unmarshal(body, &r); err != nil {
		t.Fatalf("%s: %v in %s", method, err, body)
	}
	if r.Error != nil && (r.Error.Code != int(requestFailed) || r.Error.Message == "") {
		t.Errorf("%s: %s", method, body)
	}
}

// A file is broken for most of the time that it is written. Whatever stands in
// it, every request is answered.
func TestEveryRequestIsAnsweredWhileAFileIsWritten(t *testing.T) {
	files := folderOf(t, "../testdata/pump-bench")
	c := begin(t, files)
	whole := files["seal-change.proc"]
	c.open("seal-change.proc")
	r := rand.New(rand.NewPCG(7, 7))
	for n := range 60 {
		text := whole[:len(whole)*n/60]
		switch n % 4 {
		case 1:
			text += "\n  step \"Ta" + string(rune(0x80+r.IntN(0x2000)))
		case 2:
			i := r.IntN(len(text))
			text = text[:i] + strings.Repeat("{", 1+r.IntN(70)) + text[i:]
		case 3:
			text = strings.ReplaceAll(text, "}", "")
		}
		c.set("seal-change.proc", text)
		for _, x := range ofFile {
			sane(t, x.method, c.ask(x.method, c.about("seal-change.proc", x.more)))
		}
		for range 3 {
			at := r.IntN(len(text) + 1)
			for _, x := range everywhere {
				sane(t, x.method, c.ask(x.method, c.on("seal-change.proc", at, x.more)))
			}
		}
	}
	c.set("seal-change.proc", whole)
	if list := c.settled("seal-change.proc"); len(list) > 0 {
		t.Errorf("when all is written there are messages: %v", list)
	}
	c.mu.Lock()
	defer c.mu.Unlock()
	for _, said := range c.others {
		if strings.Contains(said, "logMessage") {
			t.Errorf("the server tells of a fault: %s", said)
		}
	}
}

// Where a statement can stand, something is proposed, however little is written.
func TestProposalsAtEveryLineThatIsMissing(t *testing.T) {
	files := folderOf(t, "../testdata/pump-bench")
	c := begin(t, files)
	lines := strings.SplitAfter(files["seal-change.proc"], "\n")
	c.open("seal-change.proc")
	asked, empty := 0, 0
	for i, line := range lines {
		trimmed := strings.TrimSpace(line)
		if trimmed == "" || strings.HasPrefix(trimmed, "}") || strings.HasPrefix(trimmed, "#") {
			continue
		}
		first := strings.Fields(trimmed)[0]
		indent := line[:len(line)-len(strings.TrimLeft(line, " "))]
		before := strings.Join(lines[:i], "")
		c.set("seal-change.proc", before+indent+"\n"+strings.Join(lines[i+1:], ""))
		list := result[struct{ Items []struct{ Label string } }](c, "textDocument/completion", c.on("seal-change.proc", len(before)+len(indent)))
		asked++
		found := false
		for _, item := range list.Items {
			found = found || item.Label == first || strings.HasPrefix(item.Label, first+" ")
		}
		if !found && !strings.HasPrefix(trimmed, "dry ") && !strings.HasPrefix(trimmed, "drips ") {
			// The names of answers that are being declared are the writer's own.
			empty++
			t.Errorf("line %d: %q is not proposed where %q stood", i+1, first, trimmed)
		}
	}
	if asked < 150 {
		t.Errorf("asked at %d lines only", asked)
	}
}

// serve gives the server bytes as they are, and gives what it answers.
func serve(t testing.TB, input string) (string, error) {
	t.Helper()
	var out bytes.Buffer
	done := make(chan error, 1)
	go func() { done <- Serve(context.Background(), strings.NewReader(input), &out, Options{}) }()
	select {
	case err := <-done:
		return out.String(), err
	case <-time.After(30 * time.Second):
		t.Fatalf("the server does not end with its input")
		return "", nil
	}
}

func framed(bodies ...string) string {
	var b strings.Builder
	for _, body := range bodies {
		fmt.Fprintf(&b, "Content-Length: %d\r\n\r\n%s", len(body), body)
	}
	return b.String()
}

func TestBadMessagesDoNotEndTheConversation(t *testing.T) {
	hello := `{"jsonrpc":"2.0","id":1,"method":"initialize","params":{"capabilities":{}}}`
	bye := framed(`{"jsonrpc":"2.0","id":9,"method":"shutdown"}`, `{"jsonrpc":"2.0","method":"exit"}`)
	for name, bad := range map[string]string{
		"no JSON":            framed(`{"jsonrpc":`),
		"an empty message":   framed(``),
		"a list":             framed(`[1,2,3]`),
		"no method":          framed(`{"jsonrpc":"2.0","id":5}`),
		"an odd id":          framed(`{"jsonrpc":"2.0","id":{"a":1},"method":"textDocument/hover"}`),
		"a reply to nothing": framed(`{"jsonrpc":"2.0","id":77,"result":null}`),
		"not UTF-8":          framed("{\"jsonrpc\":\"2.0\",\"id\":3,\"method\":\"\xff\"}"),
		"a cancelled nobody": framed(`{"jsonrpc":"2.0","method":"$/cancelRequest","params":{"id":99}}`),
		"deep nesting":       framed(`{"jsonrpc":"2.0","id":3,"method":"textDocument/hover","params":` + strings.Repeat("[", 100000) + strings.Repeat("]", 100000) + `}`),
	} {
		t.Run(name, func(t *testing.T) {
			out, err := serve(t, framed(hello)+bad+bye)
			if err != nil || !strings.Contains(out, `"id":9`) {
				t.Errorf("%v, and the last request has no reply in %q", err, out)
			}
		})
	}
}

func TestAStreamThatCannotBeReadEndsWithAReason(t *testing.T) {
	for name, input := range map[string]string{
		"no length":    "Content-Type: x\r\n\r\n{}",
		"no header":    "hello\r\n",
		"a bad length": "Content-Length: -5\r\n\r\n",
		"a long line":  strings.Repeat("x", 1<<20),
		"cut off":      "Content-Length: 500\r\n\r\n{",
	} {
		t.Run(name, func(t *testing.T) {
			if _, err := serve(t, input); err == nil {
				t.Error("it ends as if all were well")
			}
		})
	}
	if _, err := serve(t, ""); !errors.Is(err, ErrNoShutdown) {
		t.Errorf("an editor that goes away without a word: %v", err)
	}
	if _, err := serve(t, framed(`{"jsonrpc":"2.0","method":"exit"}`)); !errors.Is(err, ErrNoShutdown) {
		t.Errorf("an exit without a shutdown: %v", err)
	}
}

// A message that is announced larger than what is taken is passed over without
// being held in memory.
func TestAMessageTooLargeIsPassedOver(t *testing.T) {
	n := int64(maxFrame) + 1
	after := framed(`{"jsonrpc":"2.0","id":4,"method":"textDocument/hover"}`)
	in := io.MultiReader(strings.NewReader(fmt.Sprintf("Content-Length: %d\r\n\r\n", n)), io.LimitReader(spaces{}, n), strings.NewReader(after))
	var out bytes.Buffer
	_ = Serve(context.Background(), in, &out, Options{})
	r := bufio.NewReader(&out)
	for _, want := range []string{"longer than", "first request is initialize"} {
		body, err := frame(r)
		if err != nil || !strings.Contains(string(body), want) {
			t.Errorf("%q, %v", body, err)
		}
	}
}

type spaces struct{}

func (spaces) Read(p []byte) (int, error) {
	for i := range p {
		p[i] = ' '
	}
	return len(p), nil
}

// Whatever bytes come, the server neither panics nor hangs, and says nothing
// that is no message of the protocol.
func FuzzMessages(f *testing.F) {
	hello := framed(`{"jsonrpc":"2.0","id":1,"method":"initialize","params":{"capabilities":{},"rootUri":"file:///nowhere"}}`)
	f.Add([]byte(hello))
	for name := range methods {
		f.Add([]byte(hello + framed(fmt.Sprintf(`{"jsonrpc":"2.0","id":2,"method":%q,"params":{"textDocument":{"uri":"file:///nowhere/a.proc","version":1,"text":"tool x"},"position":{"line":0,"character":1}}}`, name))))
	}
	f.Add([]byte("Content-Length: 2\r\n\r\n{}"))
	f.Add([]byte("Content-Length: 99999999999999999999\r\n\r\n{}"))
	f.Fuzz(func(t *testing.T, input []byte) {
		out, _ := serve(t, string(input))
		r := bufio.NewReader(strings.NewReader(out))
		for {
			body, err := frame(r)
			if err != nil {
				if !errors.Is(err, io.EOF) {
					t.Errorf("the answer is cut off: %v", err)
				}
				return
			}
			var m struct {
				Version string `json:"jsonrpc"`
				Error   *struct {
					Code int `json:"code"`
				} `json:"error"`
			}
			if err := json.Unmarshal(body, &m); err != nil || m.Version != "2.0" {
				t.Errorf("%q is no message: %v", body, err)
			}
			if m.Error != nil && m.Error.Code == -32603 {
				t.Errorf("a fault of the server: %s", body)
			}
		}
	})
}
