package editor

import (
	"bufio"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/charmbracelet/x/powernap/pkg/lsp/protocol"
)

// A talk is an editor, as the tests play it, in conversation with a server.
type talk struct {
	t    testing.TB
	dir  string
	in   io.WriteCloser
	next int
	done chan error
	s    *server

	mu      sync.Mutex
	arrived *sync.Cond
	replies map[int]json.RawMessage
	// told is the last word on each file, and versions of which text.
	told     map[string]protocol.PublishDiagnosticsParams
	tellings int
	others   []string // notifications and requests of the server
	ended    bool

	texts    map[string]string
	versions map[string]int32
}

// able is what a well-equipped editor says of itself.
const able = `{"textDocument":{"publishDiagnostics":{"relatedInformation":true},"hover":{"contentFormat":["markdown","plaintext"]}},"workspace":{"workspaceEdit":{"documentChanges":true}}}`

// begin starts a server over a folder with these files.
func begin(t testing.TB, files map[string]string) *talk {
	t.Helper()
	dir := t.TempDir()
	// A link on the way to the folder would give its files two addresses.
	dir, err := filepath.EvalSymlinks(dir)
	if err != nil {
		t.Fatal(err)
	}
	for name, text := range files {
		path := filepath.Join(dir, filepath.FromSlash(name))
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte(text), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	c := start(t, dir, Options{Version: "test"})
	for name, text := range files {
		c.texts[name] = text
	}
	c.ask("initialize", fmt.Sprintf(`{"processId":null,"rootUri":%q,"capabilities":%s}`, c.uri(""), able))
	c.tell("initialized", `{}`)
	return c
}

// start starts a server and says nothing to it.
func start(t testing.TB, dir string, options Options) *talk {
	t.Helper()
	toServer, in := io.Pipe()
	out, fromServer := io.Pipe()
	c := &talk{
		t: t, dir: dir, in: in, done: make(chan error, 1), replies: map[int]json.RawMessage{},
		s: newServer(options), told: map[string]protocol.PublishDiagnosticsParams{}, texts: map[string]string{}, versions: map[string]int32{},
	}
	c.arrived = sync.NewCond(&c.mu)
	go func() {
		err := c.s.serve(context.Background(), toServer, fromServer)
		fromServer.Close()
		toServer.Close()
		c.done <- err
	}()
	go c.listen(bufio.NewReader(out))
	t.Cleanup(func() {
		in.Close()
		select {
		case <-c.done:
		case <-time.After(20 * time.Second):
			t.Error("the server does not end with its input")
		}
	})
	return c
}

func (c *talk) listen(r *bufio.Reader) {
	defer func() {
		c.mu.Lock()
		c.ended = true
		c.arrived.Broadcast()
		c.mu.Unlock()
	}()
	for {
		body, err := frame(r)
		if err != nil {
			return
		}
		var m struct {
			ID     *int            `json:"id"`
			Method string          `json:"method"`
			Params json.RawMessage `json:"params"`
		}
		if err := json.Unmarshal(body, &m); err != nil {
			c.t.Errorf("the server says %q: %v", body, err)
			return
		}
		c.mu.Lock()
		switch {
		case m.Method == "textDocument/publishDiagnostics":
			var p protocol.PublishDiagnosticsParams
			if err := json.Unmarshal(m.Params, &p); err != nil {
				c.t.Error(err)
			}
			c.told[c.name(p.URI)] = p
			c.tellings++
		case m.Method != "":
			c.others = append(c.others, string(body))
		case m.ID != nil:
			c.replies[*m.ID] = body
		default:
			c.others = append(c.others, string(body))
		}
		c.arrived.Broadcast()
		c.mu.Unlock()
	}
}

// frame reads one message.
func frame(r *bufio.Reader) ([]byte, error) {
	length := 0
	for {
		line, err := r.ReadString('\n')
		if err != nil {
			return nil, err
		}
		line = strings.TrimSpace(line)
		if line == "" {
			break
		}
		if value, ok := strings.CutPrefix(line, "Content-Length: "); ok {
			if length, err = strconv.Atoi(value); err != nil {
				return nil, err
			}
		}
	}
	body := make([]byte, length)
	_, err := io.ReadFull(r, body)
	return body, err
}

func (c *talk) send(body string) {
	if _, err := fmt.Fprintf(c.in, "Content-Length: %d\r\n\r\n%s", len(body), body); err != nil {
		c.t.Logf("the server takes nothing more: %v", err)
	}
}

// tell sends a notification.
func (c *talk) tell(method, params string) {
	c.send(fmt.Sprintf(`{"jsonrpc":"2.0","method":%q,"params":%s}`, method, params))
}

// ask sends a request and gives the whole reply.
func (c *talk) ask(method, params string) json.RawMessage {
	c.t.Helper()
	c.next++
	c.send(fmt.Sprintf(`{"jsonrpc":"2.0","id":%d,"method":%q,"params":%s}`, c.next, method, params))
	return c.reply(c.next)
}

func (c *talk) reply(id int) json.RawMessage {
	c.t.Helper()
	c.mu.Lock()
	defer c.mu.Unlock()
	late := time.AfterFunc(60*time.Second, func() { c.mu.Lock(); c.ended = true; c.arrived.Broadcast(); c.mu.Unlock() })
	defer late.Stop()
	for c.replies[id] == nil && !c.ended {
		c.arrived.Wait()
	}
	if c.replies[id] == nil {
		c.t.Fatalf("no reply to request %d", id)
	}
	return c.replies[id]
}

// result asks and decodes the result; an error reply fails the test.
func result[T any](c *talk, method, params string) T {
	c.t.Helper()
	var r struct {
		Result T               `json:"result"`
		Error  json.RawMessage `json:"error"`
	}
	body := c.ask(method, params)
	if err := json.Unmarshal(body, &r); err != nil {
		c.t.Fatalf("%s: %v in %s", method, err, body)
	}
	if r.Error != nil {
		c.t.Fatalf("%s: %s", method, r.Error)
	}
	return r.Result
}

func (c *talk) uri(name string) string {
	return string(protocol.URIFromPath(filepath.Join(c.dir, filepath.FromSlash(name))))
}

func (c *talk) name(uri protocol.DocumentURI) string {
	path, err := uri.Path()
	if err != nil {
		return string(uri)
	}
	name, err := filepath.Rel(c.dir, path)
	if err != nil {
		return path
	}
	return filepath.ToSlash(name)
}

// open opens a file with the text it has in the folder.
func (c *talk) open(name string) {
	c.versions[name] = 1
	c.tell("textDocument/didOpen", fmt.Sprintf(`{"textDocument":{"uri":%q,"languageId":"benchproof","version":1,"text":%s}}`, c.uri(name), quote(c.texts[name])))
}

func quote(s string) string {
	b, _ := json.Marshal(s)
	return string(b)
}

// write replaces the first place of a text by another, as an editor tells it.
func (c *talk) write(name, from, to string) {
	c.t.Helper()
	text := c.texts[name]
	i := strings.Index(text, from)
	if i < 0 {
		c.t.Fatalf("%s does not hold %q", name, from)
	}
	l := linesOf(text)
	c.versions[name]++
	r, _ := json.Marshal(l.rangeOf(i, i+len(from)))
	c.texts[name] = text[:i] + to + text[i+len(from):]
	c.tell("textDocument/didChange", fmt.Sprintf(`{"textDocument":{"uri":%q,"version":%d},"contentChanges":[{"range":%s,"text":%s}]}`,
		c.uri(name), c.versions[name], r, quote(to)))
}

// set replaces the whole text of an open file.
func (c *talk) set(name, text string) {
	c.versions[name]++
	c.texts[name] = text
	c.tell("textDocument/didChange", fmt.Sprintf(`{"textDocument":{"uri":%q,"version":%d},"contentChanges":[{"text":%s}]}`,
		c.uri(name), c.versions[name], quote(text)))
}

// at gives the parameters of a request about the place some letters into the
// first place of a text.
func (c *talk) at(name, text string, in int, more ...string) string {
	c.t.Helper()
	i := strings.Index(c.texts[name], text)
	if i < 0 {
		c.t.Fatalf("%s does not hold %q", name, text)
	}
	return c.on(name, i+in, more...)
}

// on gives the parameters of a request about an offset.
func (c *talk) on(name string, offset int, more ...string) string {
	p, _ := json.Marshal(linesOf(c.texts[name]).position(offset))
	return fmt.Sprintf(`{"textDocument":{"uri":%q},"position":%s%s}`, c.uri(name), p, strings.Join(more, ""))
}

// about gives the parameters of a request about a file.
func (c *talk) about(name string, more ...string) string {
	return fmt.Sprintf(`{"textDocument":{"uri":%q}%s}`, c.uri(name), strings.Join(more, ""))
}

// settled waits until the server has told of the file's last text and all that
// follows from it.
func (c *talk) settled(name string) []protocol.Diagnostic {
	c.t.Helper()
	// What was sent before a request has been taken when it is answered, and what
	// was told before its answer has arrived.
	flush := func() { c.ask("workspace/symbol", `{"query":"no such name"}`) }
	flush()
	for deadline := time.Now().Add(60 * time.Second); ; time.Sleep(time.Millisecond) {
		idle := true
		for _, f := range c.s.inOrder() {
			f.mu.Lock()
			idle = idle && f.answered == f.changes
			f.mu.Unlock()
		}
		if idle {
			flush()
			c.mu.Lock()
			told, has := c.told[name]
			c.mu.Unlock()
			if has && told.Version == c.versions[name] {
				return told.Diagnostics
			}
		}
		if time.Now().After(deadline) {
			c.t.Fatalf("nothing is told of %s, version %d", name, c.versions[name])
		}
	}
}

// codes are the codes of messages in their order.
func codes(list []protocol.Diagnostic) []string {
	out := make([]string, len(list))
	for i, d := range list {
		out[i] = fmt.Sprint(d.Code)
	}
	return out
}

// applied makes the edits of a file in its text, as an editor would.
func applied(text string, edits []protocol.TextEdit) string {
	l := linesOf(text)
	slices.SortStableFunc(edits, func(a, b protocol.TextEdit) int {
		return l.offset(b.Range.Start) - l.offset(a.Range.Start)
	})
	for _, e := range edits {
		text = text[:l.offset(e.Range.Start)] + e.NewText + text[l.offset(e.Range.End):]
	}
	return text
}

// folderOf reads a folder of the project into files.
func folderOf(t testing.TB, dir string) map[string]string {
	t.Helper()
	files := map[string]string{}
	err := filepath.WalkDir(dir, func(path string, d os.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		data, err := os.ReadFile(path)
		name, _ := filepath.Rel(dir, path)
		files[filepath.ToSlash(name)] = string(data)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	return files
}
