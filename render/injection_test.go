package render_test

import (
	"bytes"
	"context"
	"encoding/json"
	"fmt"
	"net/http"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"slices"
	"strings"
	"sync/atomic"
	"testing"
	"testing/fstest"

	"github.com/chromedp/chromedp"

	"benchproof/compiler"
	"benchproof/dsl/message"
	"benchproof/render/html"
	"benchproof/render/markdown"
	"benchproof/render/pdf"
	"benchproof/render/rendertest"
)

// attacks are texts of a library that would be markup, script, style, an
// action of a PDF or a command to a terminal, if anything let them; %s is an
// address that nothing may ask for anything.
var attacks = []string{
	`<script>window.hurt=1</script>`,
	`</script><script>window.hurt=1</script>`,
	`</style><style>body{display:none}</style>`,
	`<img src=%s/a onerror=window.hurt=1>`,
	`"><svg onload=window.hurt=1><image href=%s/b />`,
	`' onmouseover='window.hurt=1`,
	`<svg><use href=%s/c /></svg>`,
	`<style>@import url(%s/d);</style>`,
	`} body { background: url(%s/e) } {`,
	`![x](%s/f)`,
	`[x](javascript:window.hurt=1)`,
	`<iframe src=%s/g></iframe>`,
	`) /OpenAction << /S /JavaScript /JS (app.alert(1)) >> (`,
	`endstream endobj 1 0 obj << /AA << /O << /S /Launch /F (x) >> >> >> endobj`,
	"\x1b[2J\x1b]0;owned\x07",
	"\u009b31m\u202eevil\u2066",
	`{{7*7}} ${window.hurt=1} <%%= 1 %%>`,
	"| a | b |\n|---|---|",
}

// TestNothingInjectedTakesEffect compiles a library every text of which
// attacks, and looks for an effect in a browser, in a PDF and on a terminal.
func TestNothingInjectedTakesEffect(t *testing.T) {
	var asked atomic.Int32
	server := httptest.NewServer(http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) { asked.Add(1) }))
	defer server.Close()
	n := 0
	next := func() string {
		text := attacks[n%len(attacks)]
		n++
		if strings.Contains(text, "%") {
			text = strings.ReplaceAll(strings.ReplaceAll(text, "%s", server.URL), "%%", "%")
		}
		text = strings.ReplaceAll(text, "\n", " ")
		return `"` + strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace("x "+text) + `"`
	}
	drawing := `<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 40 30"><text x="1" y="20">&lt;script&gt;window.hurt=1&lt;/script&gt;</text></svg>`
	var found string
	for round := range len(attacks) {
		n = round
		var b strings.Builder
		fmt.Fprintf(&b, "library %s { owner %s language en }\n", next(), next())
		fmt.Fprintf(&b, "tool key %s { number %s detail %s }\npart hub %s { number %s }\n", next(), next(), next(), next(), next())
		fmt.Fprintf(&b, "hazard noise warning %s { consequence %s avoid %s }\n", next(), next(), next())
		fmt.Fprintf(&b, "figure pic %s { file \"<img src=x onerror=hurt>.svg\" }\n", next())
		fmt.Fprintf(&b, "procedure job %s { document %s revision A on 2026-01-01 %s purpose %s skill %s\n", next(), next(), next(), next(), next())
		for i := range 6 {
			fmt.Fprintf(&b, "step %s { use key note %s warn noise show pic record r%d %s }\n", next(), next(), i, next())
		}
		fmt.Fprintf(&b, "step \"Look.\" { ask q%d %s { yes %s no %s } }\ndecide q%d { yes { } no { finish refer %s } }\n}\n", round, next(), next(), next(), round, next())
		folder := fstest.MapFS{"a.proc": {Data: []byte(b.String())}, "<img src=x onerror=hurt>.svg": {Data: []byte(drawing)}}
		src, err := compiler.Read(folder)
		if err != nil {
			t.Fatal(err)
		}
		r, err := compiler.Check(context.Background(), src)
		if err != nil {
			t.Fatal(err)
		}
		var shown bytes.Buffer
		if err := message.WriteText(&shown, r.Messages, message.TextOptions{}); err != nil {
			t.Fatal(err)
		}
		if i := bytes.IndexFunc(shown.Bytes(), func(c rune) bool {
			return c < 0x20 && c != '\n' && c != '\t' || c >= 0x7f && c < 0xa0 || c >= 0x202a && c <= 0x202e || c >= 0x2066 && c <= 0x2069
		}); i >= 0 {
			t.Errorf("round %d: a message commands the terminal: %q", round, shown.Bytes()[max(0, i-30):min(shown.Len(), i+30)])
		}
		if len(r.Library.Procedures) == 0 {
			t.Fatalf("round %d: no procedure\n%s", round, shown.String())
		}
		doc, _ := r.Document(0, compiler.DocumentOptions{Draft: !r.Sound()})
		if doc == nil {
			t.Fatalf("round %d: no document", round)
		}
		found += attacked(t, round, func(w *bytes.Buffer, format string) error {
			switch format {
			case "html":
				return html.Render(w, doc, html.Options{})
			case "markdown":
				return markdown.Render(w, doc)
			}
			_, err := pdf.Render(w, doc, pdf.Options{})
			return err
		})
	}
	if asked.Load() != 0 {
		t.Errorf("%d requests were made", asked.Load())
	}
	if found != "" {
		t.Error(found)
	}
}

// actions are what a PDF does by itself, or fetches.
var actions = []string{"/OpenAction", "/AA", "/JavaScript", "/JS", "/Launch", "/SubmitForm", "/ImportData", "/GoToR", "/RichMedia", "/EmbeddedFile", "/EmbeddedFiles"}

// does finds an action among the keys and names of a PDF, as qpdf reads it:
// its texts begin with u: or b: there, and are passed over.
func does(v any) string {
	switch v := v.(type) {
	case string:
		if slices.Contains(actions, v) {
			return v
		}
	case []any:
		for _, x := range v {
			if found := does(x); found != "" {
				return found
			}
		}
	case map[string]any:
		for k, x := range v {
			if slices.Contains(actions, k) {
				return k
			}
			if found := does(x); found != "" {
				return found
			}
		}
	}
	return ""
}

// attacked gives what took effect in the documents of one round.
func attacked(t *testing.T, round int, render func(*bytes.Buffer, string) error) (found string) {
	t.Helper()
	dir := t.TempDir()
	var page, text, paper bytes.Buffer
	for format, w := range map[string]*bytes.Buffer{"html": &page, "markdown": &text, "pdf": &paper} {
		if err := render(w, format); err != nil {
			t.Fatalf("round %d, %s: %v", round, format, err)
		}
	}
	file := filepath.Join(dir, "a.pdf")
	if err := os.WriteFile(file, paper.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	data, err := exec.Command("qpdf", "--json", file).Output()
	if err != nil {
		t.Fatalf("qpdf: %v", err)
	}
	var objects map[string]any
	if err := json.Unmarshal(data, &objects); err != nil {
		t.Fatal(err)
	}
	if what := does(objects["qpdf"]); what != "" || objects["qpdf"] == nil {
		found += fmt.Sprintf("round %d: the PDF has %q among %d parts\n", round, what, len(objects))
	}
	if bytes.ContainsAny(text.Bytes(), "\x1b\x07") {
		found += fmt.Sprintf("round %d: the Markdown commands a terminal\n", round)
	}
	address := filepath.Join(dir, "a.html")
	if err := os.WriteFile(address, page.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	ctx := browser(t)
	if err := chromedp.Do(ctx, chromedp.Navigate("file://"+address)); err != nil {
		t.Fatal(err)
	}
	seen, err := chromedp.Run(ctx, chromedp.Evaluate[string](`[window.hurt ? "a script ran" : "",
		getComputedStyle(document.body).display === "none" ? "a style hid the page" : "",
		document.querySelector("iframe, object, embed, base, [onerror], [onload], [onmouseover], a[href^='javascript']") ? "an element came in" : "",
		[...document.images].some(i => /^http/.test(i.src)) ? "a picture came in" : ""].join("")`))
	if err != nil {
		t.Fatal(err)
	}
	if seen != "" {
		found += fmt.Sprintf("round %d: %s\n", round, seen)
	}
	return found
}

var opened context.Context

// browser is one browser for all rounds.
func browser(t *testing.T) context.Context {
	t.Helper()
	if opened != nil {
		return opened
	}
	profile, err := os.MkdirTemp("", "injection-test-")
	if err != nil {
		t.Fatal(err)
	}
	options := []chromedp.ExecAllocatorOption{chromedp.UserDataDir(profile), chromedp.NoFirstRun, chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU}
	for _, name := range []string{"disable-quic", "disable-background-networking", "disable-component-update", "disable-sync"} {
		options = append(options, chromedp.Flag(name, true))
	}
	ctx, cancel := chromedp.NewExecAllocator(context.Background(), options...)
	ctx, _ = chromedp.NewContext(ctx)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatal(err)
	}
	opened = ctx
	t.Cleanup(func() {
		_ = chromedp.Cancel(ctx)
		cancel()
		opened = nil
		_ = os.RemoveAll(profile)
	})
	return ctx
}

// TestInjectionIsNoticed: what the test above looks for is found where it is.
func TestInjectionIsNoticed(t *testing.T) {
	doc := rendertest.Document()
	for _, raw := range []string{"<script>window.hurt=1</script>", "<style>body{display:none}</style>", "<img src=x onerror=1>", "<a href='javascript:1'>x</a>", "<img src=http://127.0.0.1:9/x>"} {
		if attacked(t, 0, func(w *bytes.Buffer, format string) error {
			if format != "pdf" {
				_, err := w.WriteString("<!DOCTYPE html><body>" + raw)
				return err
			}
			_, err := pdf.Render(w, doc, pdf.Options{})
			return err
		}) == "" {
			t.Errorf("%s is not noticed", raw)
		}
	}
	if does([]any{map[string]any{"value": map[string]any{"/S": "/JavaScript"}}}) == "" || does(map[string]any{"/T": "u:/OpenAction"}) != "" {
		t.Error("actions of a PDF are not told from its texts")
	}
}
