package html

import (
	"bytes"
	"context"
	"fmt"
	"os"
	"os/exec"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"

	"benchproof/compiler/document"
)

// action is something done in a tab.
type action = chromedp.Action[chromedp.Void]

// One browser serves all tests; each test has a profile of its own in it.
var browser = sync.OnceValues(func() (context.Context, error) {
	path, err := exec.LookPath("chromium")
	if err != nil {
		return nil, err
	}
	profile, err := os.MkdirTemp("", "page-test-")
	if err != nil {
		return nil, err
	}
	options := []chromedp.ExecAllocatorOption{chromedp.ExecPath(path), chromedp.UserDataDir(profile), chromedp.NoFirstRun, chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU}
	for _, name := range []string{"disable-quic", "disable-background-networking", "disable-component-update", "disable-sync", "hide-scrollbars"} {
		options = append(options, chromedp.Flag(name, true))
	}
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, _ = chromedp.NewContext(ctx)
	if err := chromedp.Do(ctx); err != nil {
		cancel()
		return nil, err
	}
	stopBrowser = func() {
		_ = chromedp.Cancel(ctx)
		cancel()
		_ = os.RemoveAll(profile)
	}
	return ctx, nil
})

var stopBrowser = func() {}

func TestMain(m *testing.M) {
	code := m.Run()
	stopBrowser()
	os.Exit(code)
}

// tab is a page open in the browser.
type tab struct {
	t      *testing.T
	ctx    context.Context
	mu     sync.Mutex
	faults []string // what the page threw, logged as an error, or was refused
}

// openTab opens an empty tab in a browser profile of its own, so that no test
// finds what another kept.
func openTab(t *testing.T, width, height int64) *tab {
	t.Helper()
	parent, err := browser()
	if err != nil {
		t.Fatalf("start Chromium: %v", err)
	}
	ctx, cancel := chromedp.NewContext(parent, chromedp.WithNewBrowserContext())
	t.Cleanup(cancel)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	messages := chromedp.Console(ctx)
	ctx, stop := context.WithTimeout(ctx, 5*time.Minute)
	t.Cleanup(stop)
	p := &tab{t: t, ctx: ctx}
	go func() {
		for m, err := range messages {
			if err != nil {
				return
			}
			p.mu.Lock()
			if m.IsException() || m.Type == "error" {
				p.faults = append(p.faults, fmt.Sprintf("%s: %s (line %d)", m.Type, m.Text, m.Line))
			}
			p.mu.Unlock()
		}
	}()
	p.do(chromedp.EmulateViewport(width, height))
	return p
}

// openPage renders a document into a file and opens it.
func openPage(t *testing.T, doc *document.Document, before ...action) *tab {
	t.Helper()
	p := openTab(t, 1100, 900)
	p.do(before...)
	p.do(chromedp.Navigate(writePage(t, doc)))
	return p
}

// writePage renders a document into a file and returns its address.
func writePage(t *testing.T, doc *document.Document) string {
	t.Helper()
	var b bytes.Buffer
	if err := Render(&b, doc, Options{}); err != nil {
		t.Fatal(err)
	}
	return writeFile(t, doc.Name+".html", b.Bytes())
}

func writeFile(t *testing.T, name string, content []byte) string {
	t.Helper()
	file := filepath.Join(t.TempDir(), name)
	if err := os.WriteFile(file, content, 0o644); err != nil {
		t.Fatal(err)
	}
	return "file://" + file
}

func (p *tab) do(actions ...action) {
	p.t.Helper()
	if err := chromedp.Do(p.ctx, actions...); err != nil {
		p.t.Fatal(err)
	}
}

// get runs an action and returns what it gives.
func get[T any](p *tab, a chromedp.Action[T]) T {
	p.t.Helper()
	v, err := chromedp.Run(p.ctx, a)
	if err != nil {
		p.t.Fatal(err)
	}
	return v
}

// eval runs an expression in the page and returns its value.
func eval[T any](p *tab, expression string) T {
	p.t.Helper()
	v, err := chromedp.Run(p.ctx, chromedp.Evaluate[T](expression))
	if err != nil {
		p.t.Fatalf("%s: %v", expression, err)
	}
	return v
}

// clean fails the test where the page threw, or was refused something.
func (p *tab) clean() {
	p.t.Helper()
	eval[int](p, "1") // what was said before has arrived
	time.Sleep(20 * time.Millisecond)
	p.mu.Lock()
	defer p.mu.Unlock()
	for _, f := range p.faults {
		p.t.Error(f)
	}
}

// dark makes the tab prefer dark pages.
func dark() action {
	return func(ctx context.Context, t *chromedp.Target) (v chromedp.Void, err error) {
		_, err = cdp.Call(ctx, t, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Features: []*emulation.MediaFeature{{Name: "prefers-color-scheme", Value: "dark"}}})
		return v, err
	}
}

// js writes a string as one of JavaScript.
func js(s string) string { return string(appendJSON(nil, s)) }

func contains(s, part string) bool { return strings.Contains(s, part) }
