package preview

import (
	"bufio"
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"io"
	"net"
	"net/http"
	"os"
	"path/filepath"
	"runtime"
	"strings"
	"sync"
	"testing"
	"time"

	"benchproof/compiler"
	"benchproof/render/html"
)

// source is a small library whose steps can be changed.
const source = `library "Lid bench" {
  owner  "Workshop"
}

tool spanner  "spanner"  { number "T-1" }

figure lid-view "The lid" { file "figures/lid.svg" }

procedure check-lid "Check the lid" {
  document  "WI-1"
  revision  A on 2026-01-05 "First issue."

STEPS
}

trial "always" of check-lid {
  expect  finish serviceable
}
`

const svg = `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 200 100"><rect x="10" y="10" width="180" height="80" fill="none" stroke="#000000"/></svg>`

// with gives the library with these lines as its steps.
func with(steps ...string) string {
	return strings.Replace(source, "STEPS", "  "+strings.Join(steps, "\n  "), 1)
}

var (
	look  = `step "Open the lid with the @spanner." { use spanner  show lid-view }`
	other = `step "Close the lid with the @spanner." { use spanner  show lid-view }`
	wrong = `step "Open the lid with the @spaner." { use spanner  show lid-view }`
)

// A bench is a library on disk and the preview of it.
type bench struct {
	t      *testing.T
	dir    string
	server *Server
	log    *record
	stop   func() error
}

// record is a log that may be read while it is written.
type record struct {
	mu sync.Mutex
	b  bytes.Buffer
}

func (r *record) Write(p []byte) (int, error) {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.b.Write(p)
}

func (r *record) String() string {
	r.mu.Lock()
	defer r.mu.Unlock()
	return r.b.String()
}

func start(t *testing.T, text string) *bench { return startWith(t, text, "", nil) }

// startWith begins with more files beside, in a language.
func startWith(t *testing.T, text, language string, more map[string]string) *bench {
	t.Helper()
	dir := filepath.Join(t.TempDir(), "library")
	b := &bench{t: t, dir: dir, log: &record{}}
	b.write("figures/lid.svg", svg)
	b.write("a.proc", text)
	for name, text := range more {
		b.write(name, text)
	}
	server, err := New(context.Background(), Options{Folder: dir, Language: language, Log: b.log})
	if err != nil {
		t.Fatal(err)
	}
	b.server = server
	ctx, cancel := context.WithCancel(context.Background())
	done := make(chan error, 1)
	go func() { done <- server.Serve(ctx) }()
	b.stop = sync.OnceValue(func() error {
		cancel()
		select {
		case err := <-done:
			return err
		case <-time.After(10 * time.Second):
			return fmt.Errorf("the server does not stop")
		}
	})
	t.Cleanup(func() {
		if err := b.stop(); err != nil {
			t.Error(err)
		}
	})
	return b
}

// write writes a file as an editor does: whole, and moved into its place.
func (b *bench) write(name, text string) {
	b.t.Helper()
	path := filepath.Join(b.dir, filepath.FromSlash(name))
	if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
		b.t.Fatal(err)
	}
	if err := os.WriteFile(path+"~", []byte(text), 0o644); err != nil {
		b.t.Fatal(err)
	}
	if err := os.Rename(path+"~", path); err != nil {
		b.t.Fatal(err)
	}
}

func (b *bench) remove(name string) {
	b.t.Helper()
	if err := os.RemoveAll(filepath.Join(b.dir, filepath.FromSlash(name))); err != nil {
		b.t.Fatal(err)
	}
}

// until waits for a state that fits.
func (b *bench) until(what string, fits func(*state) bool) *state {
	b.t.Helper()
	for end := time.Now().Add(20 * time.Second); ; time.Sleep(5 * time.Millisecond) {
		s := b.server.look()
		if fits(s) {
			return s
		}
		if time.Now().After(end) {
			b.t.Fatalf("no state in which %s: %+v", what, s)
		}
	}
}

// get asks as a browser would; change may alter the request.
func (b *bench) get(path string, change func(*http.Request)) (status int, head http.Header, body string) {
	b.t.Helper()
	r, err := http.NewRequest("GET", strings.TrimSuffix(b.server.Address(), "/")+path, nil)
	if err != nil {
		b.t.Fatal(err)
	}
	if change != nil {
		change(r)
	}
	a, err := http.DefaultClient.Do(r)
	if err != nil {
		b.t.Fatal(err)
	}
	defer a.Body.Close()
	data, err := io.ReadAll(a.Body)
	if err != nil {
		b.t.Fatal(err)
	}
	return a.StatusCode, a.Header, string(data)
}

func (b *bench) page(path string) string {
	b.t.Helper()
	status, _, body := b.get(path, nil)
	if status != http.StatusOK {
		b.t.Fatalf("%s: status %d: %s", path, status, body)
	}
	return body
}

func TestDocumentsAreServedAsTheyAreWritten(t *testing.T) {
	b := start(t, with(look, other))
	sources, err := compiler.Read(os.DirFS(b.dir))
	if err != nil {
		t.Fatal(err)
	}
	result, err := compiler.Check(context.Background(), sources)
	if err != nil {
		t.Fatal(err)
	}
	doc, _ := result.Document(0, compiler.DocumentOptions{})
	var want bytes.Buffer
	if err := html.Render(&want, doc, html.Options{}); err != nil {
		t.Fatal(err)
	}
	if b.page("/good/check-lid.html") != want.String() {
		t.Error("the page served is not the page written")
	}
	status, head, _ := b.get("/good/check-lid.html", nil)
	tag := head.Get("ETag")
	if status, _, body := b.get("/good/check-lid.html", func(r *http.Request) { r.Header.Set("If-None-Match", tag) }); status != http.StatusNotModified || body != "" {
		t.Errorf("asked again: status %d", status)
	}
	for name, value := range map[string]string{"Content-Security-Policy": "frame-ancestors 'self'", "X-Content-Type-Options": "nosniff", "Cross-Origin-Resource-Policy": "same-origin", "Cache-Control": "no-store"} {
		if head.Get(name) != value {
			t.Errorf("%s: %q, want %q", name, head.Get(name), value)
		}
	}
	if status != http.StatusOK {
		t.Errorf("status %d", status)
	}
	_, head, _ = b.get("/", nil)
	if p := head.Get("Content-Security-Policy"); !strings.Contains(p, "script-src 'self'") || !strings.Contains(p, "frame-ancestors 'none'") || strings.Contains(p, "unsafe") {
		t.Errorf("the page's policy is %q", p)
	}
	if s := b.page("/explain/BP404"); !strings.Contains(s, "decided before it is measured") {
		t.Error("a message is not explained")
	}
}

func TestTheLastGoodPageStays(t *testing.T) {
	b := start(t, with(look))
	good := b.page("/good/check-lid.html")
	if status, _, _ := b.get("/draft/check-lid.html", nil); status != http.StatusNotFound {
		t.Errorf("a draft of a sound library: status %d", status)
	}

	b.write("a.proc", with(wrong, other))
	s := b.until("there is an error", func(s *state) bool { return s.Errors > 0 })
	if !s.Good || !s.Draft || len(s.Messages) != 1 || s.Messages[0].Code != "BP201" || !strings.Contains(s.Messages[0].Text, "@spaner") || !strings.Contains(s.Messages[0].Text, "^^^") {
		t.Errorf("the state is %+v", s)
	}
	if b.page("/good/check-lid.html") != good {
		t.Error("the good page has changed")
	}
	draft := b.page("/draft/check-lid.html")
	if !strings.Contains(draft, "NOT FOR WORK") || !strings.Contains(draft, "Close the lid") {
		t.Error("the draft is not one of the newest state")
	}

	// Nothing can be read any more, not even the figure: the good page stays.
	b.remove("figures")
	b.write("a.proc", "procedure {")
	b.until("the file does not follow the grammar", func(s *state) bool { return s.Errors > 0 && s.Messages[0].Code == "BP101" })
	if b.page("/good/check-lid.html") != good {
		t.Error("the good page has changed")
	}
	b.remove("a.proc")
	s = b.until("there is no source", func(s *state) bool { return s.Fault != "" })
	if !strings.Contains(s.Fault, "no source files") || !s.Good || s.Draft {
		t.Errorf("the state is %+v", s)
	}
	if b.page("/good/check-lid.html") != good {
		t.Error("the good page has changed")
	}

	b.write("figures/lid.svg", svg)
	b.write("a.proc", with(other))
	s = b.until("all is well", func(s *state) bool { return s.Errors == 0 && s.Fault == "" })
	if !s.Good || s.Draft || len(s.Messages) != 0 {
		t.Errorf("the state is %+v", s)
	}
	if now := b.page("/good/check-lid.html"); now == good || !strings.Contains(now, "Close the lid") {
		t.Error("the page is not that of the newest state")
	}
	if status, _, _ := b.get("/draft/check-lid.html", nil); status != http.StatusNotFound {
		t.Errorf("the draft is still there: status %d", status)
	}
}

func TestALibraryThatIsWrongFromTheStart(t *testing.T) {
	b := start(t, with(wrong))
	s := b.server.look()
	if s.Good || !s.Draft || s.Errors != 1 || s.Drafts[0].Title != "Check the lid" {
		t.Errorf("the state is %+v", s)
	}
	if status, _, _ := b.get("/good/check-lid.html", nil); status != http.StatusNotFound {
		t.Errorf("status %d", status)
	}
	b.page("/draft/check-lid.html")
	_, err := New(context.Background(), Options{Folder: filepath.Join(b.dir, "nowhere"), Log: io.Discard})
	if err == nil || !strings.Contains(err.Error(), "there is no folder") {
		t.Errorf("a folder that is not there: %v", err)
	}
	_, port, _ := net.SplitHostPort(b.server.listen.Addr().String())
	var taken int
	fmt.Sscan(port, &taken)
	_, err = New(context.Background(), Options{Folder: b.dir, Port: taken, Log: io.Discard})
	if err == nil || !strings.Contains(err.Error(), "address already in use") {
		t.Errorf("a port that is taken: %v", err)
	}
}

func TestWhatIsNoticed(t *testing.T) {
	b := start(t, with(look))
	changes := func(what string, change func()) {
		t.Helper()
		n := b.server.look().Number
		change()
		b.until(what+" is noticed", func(s *state) bool { return s.Number > n })
	}
	changes("a new file", func() { b.write("more.proc", "tool wrench  \"wrench\"  { number \"T-2\" }\n") })
	changes("a new folder with a file", func() { b.write("deep/er/b.proc", "tool saw  \"saw\"  { number \"T-3\" }\n") })
	b.until("the saw is unused", func(s *state) bool { return s.Warnings == 2 })
	changes("a file that goes", func() { b.remove("more.proc") })
	changes("a folder that goes", func() { b.remove("deep") })
	b.until("nothing is unused", func(s *state) bool { return s.Warnings == 0 })
	changes("another figure", func() { b.write("figures/lid.svg", strings.Replace(svg, "180", "170", 1)) })
	changes("a figure that goes", func() { b.remove("figures/lid.svg") })
	b.until("the figure is missed", func(s *state) bool { return s.Errors == 1 && s.Messages[0].Code == "BP206" })
	changes("a figure that comes", func() { b.write("figures/lid.svg", svg) })
	changes("another folder in the place of this one", func() {
		if err := os.Rename(b.dir, b.dir+"-old"); err != nil {
			t.Fatal(err)
		}
	})
	b.until("the folder is missed", func(s *state) bool { return strings.Contains(s.Fault, "there is no folder") })
	b.write("figures/lid.svg", svg)
	b.write("a.proc", with(other))
	b.until("the new folder is seen", func(s *state) bool { return s.Fault == "" && s.Errors == 0 })
	changes("a change in it", func() { b.write("a.proc", with(look, other)) })

	// What makes no difference to the documents is left alone.
	time.Sleep(300 * time.Millisecond)
	n := b.server.look().Number
	b.write("notes.txt", "x")
	b.write("out/check-lid.html", "x")
	b.write(".git/index", "x")
	time.Sleep(300 * time.Millisecond)
	if now := b.server.look().Number; now > n+1 { // the new folder itself may be looked at
		t.Errorf("%d states for files that do not matter", now-n)
	}
}

func TestStrangersAreRefused(t *testing.T) {
	b := start(t, with(look))
	_, port, _ := net.SplitHostPort(b.server.listen.Addr().String())
	if host, _, _ := net.SplitHostPort(b.server.listen.Addr().String()); host != "127.0.0.1" {
		t.Errorf("it listens on %s", host)
	}
	paths := []string{"/", "/page.js", "/page.css", "/state", "/news", "/good/check-lid.html", "/draft/check-lid.html", "/explain/BP101"}
	for _, c := range []struct {
		what   string
		change func(*http.Request)
	}{
		{"a name that points here", func(r *http.Request) { r.Host = "bench.example:" + port }},
		{"another port", func(r *http.Request) { r.Host = "127.0.0.1:1" }},
		{"no port", func(r *http.Request) { r.Host = "127.0.0.1" }},
		{"another loopback name", func(r *http.Request) { r.Host = "127.0.0.2:" + port }},
		{"another origin", func(r *http.Request) { r.Header.Set("Origin", "http://bench.example") }},
		{"another port's origin", func(r *http.Request) { r.Header.Set("Origin", "http://127.0.0.1:1") }},
		{"a hidden origin", func(r *http.Request) { r.Header.Set("Origin", "null") }},
		{"an origin with more behind it", func(r *http.Request) { r.Header.Set("Origin", "http://127.0.0.1:"+port+".example") }},
		{"two origins", func(r *http.Request) {
			r.Header["Origin"] = []string{"http://127.0.0.1:" + port, "http://bench.example"}
		}},
		{"another site's frame", func(r *http.Request) {
			r.Header.Set("Sec-Fetch-Site", "cross-site")
			r.Header.Set("Sec-Fetch-Mode", "navigate")
			r.Header.Set("Sec-Fetch-Dest", "iframe")
		}},
		{"another site's script", func(r *http.Request) {
			r.Header.Set("Sec-Fetch-Site", "cross-site")
			r.Header.Set("Sec-Fetch-Mode", "no-cors")
		}},
		{"another port's page", func(r *http.Request) { r.Header.Set("Sec-Fetch-Site", "same-site") }},
	} {
		for _, path := range paths {
			if status, _, body := b.get(path, c.change); status != http.StatusForbidden || strings.Contains(body, "lid") {
				t.Errorf("%s: %s: status %d", c.what, path, status)
			}
		}
	}
	ours := func(r *http.Request) {
		r.Host = "localhost:" + port
		r.Header.Set("Origin", "http://localhost:"+port)
		r.Header.Set("Sec-Fetch-Site", "same-origin")
	}
	if status, _, _ := b.get("/state", ours); status != http.StatusOK {
		t.Errorf("its own page: status %d", status)
	}
	link := func(r *http.Request) {
		r.Header.Set("Sec-Fetch-Site", "cross-site")
		r.Header.Set("Sec-Fetch-Mode", "navigate")
		r.Header.Set("Sec-Fetch-Dest", "document")
	}
	if status, _, _ := b.get("/", link); status != http.StatusOK {
		t.Errorf("a link that a person follows: status %d", status)
	}
	if status, _, _ := b.get("/good/check-lid.html", link); status != http.StatusForbidden {
		t.Errorf("a link past the page: status %d", status)
	}
}

func TestNothingButTheDocumentsIsServed(t *testing.T) {
	b := start(t, with(look))
	b.write("secret.html", "secret")
	for _, path := range []string{
		"/a.proc", "/secret.html", "/good/secret.html", "/good/a.proc", "/good/", "/good/check-lid", "/good/../a.proc", "/good/..%2fa.proc", "/good/..%2f..%2fetc%2fpasswd.html",
		"/good/check-lid.html/x", "/figures/lid.svg", "/good/figures%2flid.svg", "/draft/..%2fsecret.html", "/explain/../a", "/explain/BP999", "/index.html", "/good/%00.html", "//a.proc", "/good/check-lid.html%00",
	} {
		status, _, body := b.get(path, nil)
		if status == http.StatusOK || strings.Contains(body, "secret") || strings.Contains(body, "library \"") || strings.Contains(body, "<rect") {
			t.Errorf("%s: status %d: %.80s", path, status, body)
		}
	}
	for _, method := range []string{"POST", "PUT", "DELETE", "OPTIONS", "CONNECT"} {
		if status, _, _ := b.get("/state", func(r *http.Request) { r.Method = method }); status != http.StatusMethodNotAllowed {
			t.Errorf("%s: status %d", method, status)
		}
	}
	if status, _, _ := b.get("/state", func(r *http.Request) { r.Body = io.NopCloser(strings.NewReader("x")); r.ContentLength = 1 }); status != http.StatusBadRequest {
		t.Errorf("a request with a body: status %d", status)
	}
}

// listen opens the stream of news and gives its lines.
func (b *bench) listen(ctx context.Context) (*http.Response, *bufio.Scanner) {
	b.t.Helper()
	r, err := http.NewRequestWithContext(ctx, "GET", b.server.Address()+"news", nil)
	if err != nil {
		b.t.Fatal(err)
	}
	a, err := http.DefaultClient.Do(r)
	if err != nil {
		b.t.Fatal(err)
	}
	return a, bufio.NewScanner(a.Body)
}

func TestOpenPagesAreBounded(t *testing.T) {
	b := start(t, with(look))
	ctx, cancel := context.WithCancel(context.Background())
	for range mostPages {
		a, lines := b.listen(ctx)
		if a.StatusCode != http.StatusOK || !lines.Scan() || lines.Text() != "data: 1" {
			t.Fatalf("status %d, %q", a.StatusCode, lines.Text())
		}
	}
	over, _ := b.listen(context.Background())
	over.Body.Close()
	if over.StatusCode != http.StatusServiceUnavailable {
		t.Errorf("one page more: status %d", over.StatusCode)
	}
	cancel() // they leave
	for end := time.Now().Add(10 * time.Second); ; time.Sleep(10 * time.Millisecond) {
		a, _ := b.listen(context.Background())
		a.Body.Close()
		if a.StatusCode == http.StatusOK {
			break
		}
		if time.Now().After(end) {
			t.Fatal("there is no room after all have left")
		}
	}
}

func TestStoppingWithPagesOpen(t *testing.T) {
	before := runtime.NumGoroutine()
	b := start(t, with(look))
	_, lines := b.listen(context.Background())
	lines.Scan()
	begun := time.Now()
	if err := b.stop(); err != nil {
		t.Fatal(err)
	}
	if took := time.Since(begun); took > shutdownTime {
		t.Errorf("it took %v to stop", took)
	}
	for lines.Scan() {
	}
	if _, err := net.DialTimeout("tcp", b.server.listen.Addr().String(), time.Second); err == nil {
		t.Error("it still listens")
	}
	http.DefaultClient.CloseIdleConnections()
	for end := time.Now().Add(5 * time.Second); runtime.NumGoroutine() > before; time.Sleep(10 * time.Millisecond) {
		if time.Now().After(end) {
			var stacks [1 << 16]byte
			t.Fatalf("%d goroutines before, %d after:\n%s", before, runtime.NumGoroutine(), stacks[:runtime.Stack(stacks[:], true)])
		}
	}
}

// counters are what a long session could pile up.
type counters struct {
	goroutines, files int
	heap              uint64
}

func (b *bench) count() counters {
	b.t.Helper()
	http.DefaultClient.CloseIdleConnections()
	time.Sleep(50 * time.Millisecond)
	files, err := os.ReadDir("/proc/self/fd")
	if err != nil {
		b.t.Fatal(err)
	}
	runtime.GC()
	runtime.GC()
	var m runtime.MemStats
	runtime.ReadMemStats(&m)
	return counters{runtime.NumGoroutine(), len(files), m.HeapAlloc}
}

// A long session leaves nothing behind: pages come and go, the library is right
// and wrong by turns, folders come and go, and the counters stay where they are.
func TestALongSessionLeaksNothing(t *testing.T) {
	b := start(t, with(look))
	edit := func(n int) {
		text, errors := with(look, strings.Replace(other, "lid", fmt.Sprintf("lid number %d", n), 1)), 0
		if n%3 == 0 {
			text, errors = with(wrong, strings.Replace(other, "lid", fmt.Sprintf("lid number %d", n), 1)), 1
		}
		folder := fmt.Sprintf("more/f%d", n%5)
		b.remove(folder)
		b.write(folder+"/b.proc", fmt.Sprintf("tool wrench-%d  \"wrench %d\"  { number \"W-%d\" }\n", n, n, n))
		b.write("a.proc", text)
		ctx, cancel := context.WithCancel(context.Background())
		a, lines := b.listen(ctx)
		b.until(fmt.Sprintf("edit %d shows", n), func(s *state) bool {
			site := b.server.site(errors > 0)
			if site == nil || s.Errors != errors {
				return false
			}
			page, err := site.page("check-lid")
			return err == nil && strings.Contains(string(page), fmt.Sprintf("lid number %d ", n))
		})
		lines.Scan()
		b.page("/good/check-lid.html")
		cancel()
		a.Body.Close()
	}
	n := 1
	for ; n < 20; n++ {
		edit(n)
	}
	before := b.count()
	for ; n < 170; n++ {
		edit(n)
	}
	after := b.count()
	t.Logf("before %+v, after 150 more edits %+v", before, after)
	if after.goroutines > before.goroutines+2 {
		t.Errorf("%d goroutines became %d", before.goroutines, after.goroutines)
	}
	if after.files > before.files+2 {
		t.Errorf("%d open files became %d", before.files, after.files)
	}
	if after.heap > before.heap+4<<20 {
		t.Errorf("%d bytes became %d", before.heap, after.heap)
	}
	if logged := strings.Count(b.log.String(), "\n"); logged < 150 {
		t.Errorf("%d states were logged", logged)
	}
}

func TestTheStateIsSentAsJSON(t *testing.T) {
	b := start(t, with(wrong))
	var s state
	if err := json.Unmarshal([]byte(b.page("/state")), &s); err != nil {
		t.Fatal(err)
	}
	if s.Library != "Lid bench" || s.Errors != 1 || !s.Draft || s.Good || len(s.Messages) != 1 || s.Messages[0].Severity != "error" {
		t.Errorf("%+v", s)
	}
}
