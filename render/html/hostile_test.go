package html

import (
	"bytes"
	"reflect"
	"strings"
	"testing"

	"github.com/chromedp/chromedp"

	"benchproof/compiler/document"
	"benchproof/render/rendertest"
)

// hostile are texts that would be markup, script, style or an end of one, if
// anything let them.
var hostile = []string{
	`<script>window.hurt=1</script>`,
	`</script><script>window.hurt=1</script>`,
	`</style><script>window.hurt=1</script>`,
	`"><img src=x onerror="window.hurt=1">`,
	`' onmouseover='window.hurt=1' x='`,
	`" autofocus onfocus="window.hurt=1" x="`,
	`<!--<script>`,
	`]]><svg onload=window.hurt=1>`,
	`{{constructor.constructor('window.hurt=1')()}} ${window.hurt=1}`,
	`"}@import url(http://example.invalid/);body{background:url(http://example.invalid/x)}`,
	`\22 }body{display:none}`,
	"javascript:window.hurt=1",
	"a\x00b\x07c\xffd\u202eevil\u2066\ufffe\u0085",
	"\u2028alert(1)\u2029",
	`&lt;b&gt; &amp; &#60;`,
}

// poison sets every text of a document to a hostile one, keeping what must
// stay a keyword or an address within the page.
func poison(v reflect.Value, next func() string, seen map[uintptr]bool) {
	switch v.Kind() {
	case reflect.Pointer, reflect.Interface:
		if v.IsNil() {
			return
		}
		if v.Kind() == reflect.Pointer {
			if seen[v.Pointer()] || v.Type() == reflect.TypeFor[*document.Words]() {
				return
			}
			seen[v.Pointer()] = true
		}
		poison(v.Elem(), next, seen)
	case reflect.Struct:
		for i := range v.NumField() {
			f, name := v.Field(i), v.Type().Field(i).Name
			switch name {
			case "Kind", "Signal", "Of", "Format", "Outcome", "ID", "Finish", "Low", "High", "From", "To", "Step", "Origin", "Seconds", "Code":
				if f.Kind() == reflect.String {
					continue
				}
			}
			poison(f, next, seen)
		}
	case reflect.Slice:
		for i := range v.Len() {
			poison(v.Index(i), next, seen)
		}
	case reflect.String:
		if v.CanSet() && v.String() != "" {
			v.SetString(next())
		}
	}
}

// Text from sources never becomes markup, style or script: not in the page,
// nor in anything its script makes of it.
func TestHostileTexts(t *testing.T) {
	for _, draft := range []bool{false, true} {
		doc := rendertest.Document()
		if draft {
			doc = rendertest.Draft()
		}
		plain := render(t, doc)
		n := 0
		poison(reflect.ValueOf(doc), func() string { n++; return hostile[n%len(hostile)] }, map[uintptr]bool{})
		if n < 300 {
			t.Fatalf("only %d texts are hostile", n)
		}
		doc.Name = "hostile"
		page := render(t, doc)
		p := openTab(t, 1100, 900)
		p.do(chromedp.Navigate(writeFile(t, "hostile.html", page)))
		// The page has the elements it has with harmless texts, and no others.
		count := func(p *tab) map[string]int {
			return eval[map[string]int](p, `(() => { const n = {}; for (const e of document.querySelectorAll("*")) n[e.localName] = (n[e.localName] || 0) + 1; return n })()`)
		}
		harmless := openTab(t, 1100, 900)
		harmless.do(chromedp.Navigate(writeFile(t, "plain.html", plain)))
		if !draft {
			// It is worked in, so that the script shows names and values.
			eval[chromedp.Void](p, `(() => { for (const e of document.querySelectorAll("main input[type=checkbox]")) e.click(); for (const e of document.querySelectorAll("main input[type=text]")) { e.value = "<img src=x onerror=window.hurt=1>"; for (const k of ["input", "change"]) e.dispatchEvent(new Event(k, {bubbles: true})) } for (const e of document.querySelectorAll("main input[type=radio]")) e.click(); window.print = () => {}; document.getElementById("print").click(); document.getElementById("save").click() })()`)
		}
		if n := eval[int](p, `window.hurt || 0`); n != 0 {
			t.Error("a text ran")
		}
		got, want := count(p), count(harmless)
		for _, name := range []string{"script", "style", "img", "iframe", "link", "meta", "base", "object", "embed", "image", "b", "strong"} {
			if got[name] > want[name] && name != "b" && name != "strong" {
				t.Errorf("%d elements %s, want %d", got[name], name, want[name])
			}
		}
		if !draft && got["b"] > want["b"] {
			t.Errorf("%d elements b, want %d", got["b"], want["b"])
		}
		if bad := eval[[]string](p, `[...document.querySelectorAll("*")].flatMap(e => [...e.attributes].filter(a => /^on/i.test(a.name) || a.name === "style" || a.name === "autofocus" || /^\s*(javascript|data:text|vbscript)/i.test(a.value) && (a.name === "href" || a.name === "src")).map(a => a.name + "=" + a.value))`); len(bad) > 0 {
			t.Errorf("attributes that act: %q", bad)
		}
		if got := eval[string](p, `getComputedStyle(document.body).display`); got != "block" {
			t.Errorf("a text is style: the body is displayed as %s", got)
		}
		if bytes.ContainsAny(page, "\x00\x07") || bytes.Contains(page, []byte("\u202e")) {
			t.Error("controls pass through")
		}
		p.clean()
	}
}

// The page's own policy forbids the network and any script or style but its
// own, and lets in what it needs.
func TestPolicy(t *testing.T) {
	p := openPage(t, rendertest.Document())
	p.clean() // no violation by the page itself
	if got := eval[string](p, `getComputedStyle(document.querySelector(".hand")).borderLeftStyle`); got != "solid" {
		t.Error("the page's style is refused")
	}
	tried, err := chromedp.Run(p.ctx, chromedp.Evaluate[[]string](`(async () => {
		const refused = new Set();
		document.addEventListener("securitypolicyviolation", e => refused.add(e.effectiveDirective));
		const s = document.createElement("script"); s.textContent = "window.ran = 1"; document.body.append(s);
		const c = document.createElement("style"); c.textContent = "body{}"; document.head.append(c);
		const i = new Image(); i.src = "http://example.invalid/x.png"; document.body.append(i);
		const f = document.createElement("iframe"); f.src = "http://example.invalid/"; document.body.append(f);
		try { await fetch("http://example.invalid/") } catch {}
		try { new WebSocket("ws://example.invalid/") } catch {}
		await new Promise(r => setTimeout(r, 200));
		return [...refused].sort().concat(window.ran ? ["ran"] : []);
	})()`, chromedp.EvalAwaitPromise))
	if err != nil {
		t.Fatal(err)
	}
	if got := strings.Join(tried, " "); got != "connect-src frame-src img-src script-src-elem style-src-elem" {
		t.Errorf("refused: %s", got)
	}
}

func TestLinksLeadAway(t *testing.T) {
	for href, want := range map[string]bool{
		"https://larkmoor.example/x": true, "http://a": true, "mailto:a@b.example": true, "HTTPS://A": true, "training/seal.mp4": true, "seal-change.html#step-3": true, "a/b:c": true,
		"": false, "javascript:alert(1)": false, "JaVaScRiPt:alert(1)": false, " javascript:alert(1)": false, "java\nscript:alert(1)": false, "data:text/html,x": false, "file:///etc/passwd": false,
		"//example.invalid/x": false, `\\example.invalid\x`: false, "vbscript:x": false, "blob:x": false, "\u202ehttp://a": false,
	} {
		if got := leadsAway(href); got != want {
			t.Errorf("%q leads away: %v", href, got)
		}
	}
}
