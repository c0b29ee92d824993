package render_test

import (
	"bytes"
	"context"
	"fmt"
	stdhtml "html"
	"io/fs"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"testing/fstest"
	"time"
	"unicode"

	"github.com/chromedp/chromedp"

	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/compiler/words"
	"benchproof/dsl/message"
	"benchproof/procedures"
	"benchproof/render/html"
	"benchproof/render/markdown"
	"benchproof/render/pdf"
)

// accented has for each letter one that no word of the sources has.
var accented = strings.NewReplacer("a", "á", "e", "ê", "i", "î", "o", "ö", "u", "ů", "y", "ÿ", "c", "č", "d", "ď", "l", "ł", "n", "ñ", "r", "ř", "s", "ş", "t", "ţ", "z", "ž", "g", "ğ", "h", "ħ", "k", "ķ",
	"A", "Á", "E", "Ê", "I", "Î", "O", "Ö", "U", "Ů", "C", "Č", "D", "Ď", "L", "Ł", "N", "Ñ", "R", "Ř", "S", "Ş", "T", "Ţ", "Z", "Ž", "G", "Ğ", "H", "Ħ", "K", "Ķ")

// kept are the blanks, links, code and numbers of a text.
var kept = regexp.MustCompile("\\{\\{|\\}\\}|\\{[^}]*\\}|\\]\\([^)]*\\)|`[^`]*`|\\d+|\\\\.")

// pseudo says a text in no language: with accents, and 40 % longer, in its words.
func pseudo(s string) string {
	var b strings.Builder
	last := 0
	longer := func(part string) {
		for i, w := range strings.SplitAfter(part, " ") {
			said := accented.Replace(w)
			n := 0
			for _, r := range w {
				if unicode.IsLetter(r) {
					n++
				}
			}
			// Two letters more for every five, inside the word.
			if at := strings.IndexFunc(said, unicode.IsLetter); n > 2 && at >= 0 {
				said = said[:at] + strings.Repeat("ẅ", (2*n+i%5)/5) + said[at:]
			}
			b.WriteString(said)
		}
	}
	for _, m := range kept.FindAllStringIndex(s, -1) {
		longer(s[last:m[0]])
		b.WriteString(s[m[0]:m[1]])
		last = m[1]
	}
	longer(s[last:])
	return b.String()
}

// inLanguage gives the demonstration library in a language: its texts made up,
// its fixed words real.
func inLanguage(t *testing.T, language string) (*compiler.Result, []*words.Unit) {
	t.Helper()
	fsys := fstest.MapFS{}
	if err := fs.WalkDir(procedures.Files, ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || strings.HasPrefix(p, words.Folder) {
			return err
		}
		data, err := procedures.Files.ReadFile(p)
		fsys[p] = &fstest.MapFile{Data: data}
		return err
	}); err != nil {
		t.Fatal(err)
	}
	check := func() *compiler.Result {
		src, err := compiler.Read(fsys)
		if err != nil {
			t.Fatal(err)
		}
		r, err := compiler.Check(context.Background(), src)
		if err != nil {
			t.Fatal(err)
		}
		for _, m := range r.Messages {
			if strings.HasPrefix(string(m.Code), "BP03") {
				t.Fatalf("%s: %s: %s", m.Span.Text(), m.Code, m.Text)
			}
		}
		return r
	}
	f := words.Export(check().Library, language, nil)
	for _, e := range f.Entries {
		for i := range e.Str {
			if e.Str[i] = pseudo(e.ID); i > 0 {
				e.Str[i] = pseudo(e.Plural)
			}
		}
	}
	fsys[words.Folder+"/"+language+".po"] = &fstest.MapFile{Data: []byte(f.String())}
	source := check()
	r, err := source.In(context.Background(), language)
	if err != nil {
		t.Fatal(err)
	}
	return r, words.Units(source.Library)
}

func documentOf(t *testing.T, r *compiler.Result, name string) *document.Document {
	t.Helper()
	for i, p := range r.Library.Procedures {
		if p.Name == name {
			doc, ms := r.Document(i, compiler.DocumentOptions{})
			if message.HasErrors(ms) {
				t.Fatalf("%s: %s", name, ms[0].Text)
			}
			return doc
		}
	}
	t.Fatalf("no procedure %s", name)
	return nil
}

// tried are procedures with every construct between them.
var tried = []string{"seal-change", "bearing-change", "gland-packing", "stud-hole-repair", "motor-insulation-test"}

// fileNames are names of files, which Markdown shows as code.
var fileNames = regexp.MustCompile("`[^`\n]*`")

var plainWord = regexp.MustCompile(`[A-Za-z][a-z]{3,}`)

// Every text of a document passes through the translation: of a library whose
// texts have accents throughout, no word of the sources is left in any output.
func TestNothingIsLeftUntranslated(t *testing.T) {
	r, units := inLanguage(t, "de")
	source := map[string]bool{}
	for _, u := range units {
		for _, w := range plainWord.FindAllString(u.ID, -1) {
			source[strings.ToLower(w)] = true
		}
	}
	// Fixed words in German that a source uses as well.
	for _, w := range strings.Fields("start dann falls last code name position video seite montage revision mail null test larkmoor example gauges https maintenance") {
		delete(source, w)
	}
	for i, p := range r.Library.Procedures {
		doc, ms := r.Document(i, compiler.DocumentOptions{})
		if doc == nil || message.HasErrors(ms) {
			t.Fatalf("%s: %v", p.Name, ms)
		}
		var page, text bytes.Buffer
		if err := html.Render(&page, doc, html.Options{}); err != nil {
			t.Fatal(err)
		}
		if err := markdown.Render(&text, doc); err != nil {
			t.Fatal(err)
		}
		shown := stdhtml.UnescapeString(tags.ReplaceAllString(scripts.ReplaceAllString(page.String(), " "), " "))
		for name, output := range map[string]string{"html": shown, "markdown": tags.ReplaceAllString(fileNames.ReplaceAllString(targets.ReplaceAllString(text.String(), "]"), " "), " ")} {
			told := 0
			for _, at := range plainWord.FindAllStringIndex(output, -1) {
				w := output[at[0]:at[1]]
				before, after := []rune(output[:at[0]]), []rune(output[at[1]:])
				if len(before) > 0 && unicode.IsLetter(before[len(before)-1]) || len(after) > 0 && unicode.IsLetter(after[0]) {
					continue // part of a word with an accent
				}
				if source[strings.ToLower(w)] && told < 5 {
					told++
					t.Errorf("%s, %s: %q is left in “%s”", p.Name, name, w, strings.Join(strings.Fields(output[max(0, at[0]-40):min(len(output), at[1]+40)]), " "))
				}
			}
		}
	}
}

// A text that is longer than any of the sources stays within its page, its
// column and its box, in every language, on a phone, a tablet, a desk and printed,
// and the fonts have its letters.
func TestNothingOverflowsInAnyLanguage(t *testing.T) {
	browser := startBrowser(t)
	for _, language := range document.Languages() {
		var r *compiler.Result
		if language == "en" {
			r, _ = inGerman(t)
		} else {
			r, _ = inLanguage(t, language)
		}
		for _, name := range tried {
			doc := documentOf(t, r, name)
			var page, file bytes.Buffer
			if err := html.Render(&page, doc, html.Options{}); err != nil {
				t.Fatal(err)
			}
			dir := t.TempDir()
			put := func(name string, data []byte) string {
				path := filepath.Join(dir, name)
				if err := os.WriteFile(path, data, 0o600); err != nil {
					t.Fatal(err)
				}
				return path
			}
			path := put("page.html", page.Bytes())
			for _, width := range []int64{360, 390, 820, 1180} {
				if err := chromedp.Do(browser, chromedp.EmulateViewport(width, 1100), chromedp.Navigate("file://"+path)); err != nil {
					t.Fatal(err)
				}
				wide, err := chromedp.Run(browser, chromedp.Evaluate[[]string](beyond))
				if err != nil {
					t.Fatal(err)
				}
				for _, w := range wide {
					t.Errorf("%s, %s at %d px: %s", language, name, width, w)
				}
			}
			if language == "fr" {
				frenchColons(t, name, page.String(), doc.Words)
			}
			print, err := chromedp.Run(browser, chromedp.PrintToPDF(chromedp.PDFPaper(chromedp.PaperA4), chromedp.PDFPreferCSSPageSize()))
			if err != nil {
				t.Fatal(err)
			}
			for _, x := range overlaps(t, put("print.pdf", print)) {
				t.Errorf("%s, %s, printed: %s", language, name, x)
			}
			missing, err := pdf.Render(&file, doc, pdf.Options{})
			if err != nil {
				t.Fatal(err)
			}
			for _, m := range missing {
				t.Errorf("%s, %s: %s", language, name, m)
			}
			for _, x := range overlaps(t, put("paper.pdf", file.Bytes())) {
				t.Errorf("%s, %s: %s", language, name, x)
			}
		}
	}
}

// On a tablet held upright no table of the demonstration has to be pushed sideways,
// and no table has a column with nothing in it.
func TestTabletReadsWithoutPushing(t *testing.T) {
	own, german := inGerman(t)
	browser := startBrowser(t)
	for language, r := range map[string]*compiler.Result{"en": own, "de": german} {
		names := tried
		if language == "de" {
			names = []string{"gland-packing", "gauge-comparison"}
		}
		for _, name := range names {
			var page bytes.Buffer
			if err := html.Render(&page, documentOf(t, r, name), html.Options{}); err != nil {
				t.Fatal(err)
			}
			path := filepath.Join(t.TempDir(), "page.html")
			if err := os.WriteFile(path, page.Bytes(), 0o600); err != nil {
				t.Fatal(err)
			}
			if err := chromedp.Do(browser, chromedp.EmulateViewport(820, 1180), chromedp.Navigate("file://"+path)); err != nil {
				t.Fatal(err)
			}
			found, err := chromedp.Run(browser, chromedp.Evaluate[[]string](`[...document.querySelectorAll(".scroll:not(.map)")].filter((e) => e.scrollWidth > e.clientWidth + 1)
  .map((e) => "scrolls: " + e.textContent.trim().slice(0, 40)).concat([...document.querySelectorAll(".decision table")].flatMap((t) => [...t.tHead.rows[0].cells]
  .filter((h, i) => [...t.tBodies[0].rows].every((r) => r.cells[i] && !r.cells[i].textContent.trim())).map((h) => "nothing stands under " + h.textContent)))`))
			if err != nil {
				t.Fatal(err)
			}
			for _, f := range found {
				t.Errorf("%s, %s: %s", language, name, f)
			}
		}
	}
}

// frenchColons finds fixed words with a colon that a line could break before.
func frenchColons(t *testing.T, name, page string, w *document.Words) {
	t.Helper()
	text := stdhtml.UnescapeString(tags.ReplaceAllString(scripts.ReplaceAllString(page, " "), ""))
	found := 0
	for _, word := range []string{w.AlsoHandled, w.Leaves, w.LeftOff, w.LeftOn, w.By, w.Time, w.Video, w.MustHoldNow} {
		found += strings.Count(text, word+"\u00a0: ")
		if strings.Contains(text, word+": ") || strings.Contains(text, word+" : ") {
			t.Errorf("%s: no no-break space stands between %q and its colon", name, word)
		}
	}
	if found == 0 {
		t.Errorf("%s: no colon was found", name)
	}
}

// beyond lists elements that reach out of the window or whose words reach out of
// them, but for those that scroll by themselves.
const beyond = `(() => {
  const out = [];
  const scrolls = (e) => { for (; e; e = e.parentElement) if (["auto", "scroll", "hidden", "clip"].includes(getComputedStyle(e).overflowX)) return true; return false; };
  if (document.documentElement.scrollWidth > innerWidth) out.push("the page is " + document.documentElement.scrollWidth + " px wide");
  for (const e of document.body.querySelectorAll("*")) {
    if (e.closest("svg") || !e.getClientRects().length || scrolls(e)) continue;
    const b = e.getBoundingClientRect();
    if (b.right > innerWidth + 1) out.push(e.tagName + "." + e.className + " ends at " + Math.round(b.right) + ": " + e.textContent.trim().slice(0, 60));
    if (["TD", "TH", "P", "LABEL", "BUTTON", "LEGEND", "H1", "H2", "H3"].includes(e.tagName) && e.scrollWidth > e.clientWidth + 2 && e.clientWidth > 0)
      out.push(e.tagName + "." + e.className + " is " + e.clientWidth + " px wide and holds " + e.scrollWidth + ": " + e.textContent.trim().slice(0, 60));
  }
  return out.slice(0, 8);
})()`

func startBrowser(t *testing.T) context.Context {
	t.Helper()
	path, err := exec.LookPath("chromium")
	if err != nil {
		t.Fatal(err)
	}
	options := []chromedp.ExecAllocatorOption{chromedp.ExecPath(path), chromedp.UserDataDir(t.TempDir()), chromedp.NoFirstRun, chromedp.Headless, chromedp.NoSandbox, chromedp.DisableGPU}
	for _, name := range []string{"disable-quic", "disable-background-networking", "disable-component-update", "disable-sync", "hide-scrollbars"} {
		options = append(options, chromedp.Flag(name, true))
	}
	allocator, stop := chromedp.NewExecAllocator(context.Background(), options...)
	t.Cleanup(stop)
	ctx, cancel := chromedp.NewContext(allocator)
	t.Cleanup(cancel)
	ctx, end := context.WithTimeout(ctx, 10*time.Minute)
	t.Cleanup(end)
	if err := chromedp.Do(ctx); err != nil {
		t.Fatalf("no browser: %v", err)
	}
	return ctx
}

var (
	pageBox = regexp.MustCompile(`<page width="([\d.]+)" height="([\d.]+)">`)
	wordBox = regexp.MustCompile(`<word xMin="([-\d.]+)" yMin="([-\d.]+)" xMax="([-\d.]+)" yMax="([-\d.]+)">(.*?)</word>`)
)

// overlaps lists words of a PDF that reach off the page or into each other.
func overlaps(t *testing.T, path string) (out []string) {
	t.Helper()
	boxes, err := exec.Command("pdftotext", "-bbox", path, "-").Output()
	if err != nil {
		t.Fatal(err)
	}
	type box struct {
		x0, y0, x1, y1 float64
		text           string
	}
	for n, page := range strings.Split(string(boxes), "<page ")[1:] {
		size := pageBox.FindStringSubmatch("<page " + page)
		width, _ := strconv.ParseFloat(size[1], 64)
		var list []box
		for _, m := range wordBox.FindAllStringSubmatch(page, -1) {
			var b box
			for i, v := range []*float64{&b.x0, &b.y0, &b.x1, &b.y1} {
				*v, _ = strconv.ParseFloat(m[i+1], 64)
			}
			b.text = stdhtml.UnescapeString(m[5])
			if b.x0 < 0 || b.x1 > width {
				out = append(out, fmt.Sprintf("page %d: %q reaches off the paper", n+1, b.text))
			}
			for _, o := range list {
				over := min(b.x1, o.x1) - max(b.x0, o.x0)
				down := min(b.y1, o.y1) - max(b.y0, o.y0)
				if over > 1.5 && down > 0.6*min(b.y1-b.y0, o.y1-o.y0) {
					out = append(out, fmt.Sprintf("page %d: %q and %q lie over each other by %.1f pt", n+1, o.text, b.text, over))
				}
			}
			list = append(list, b)
		}
	}
	return out
}

// inGerman checks the demonstration library and gives it as it is and in German.
func inGerman(t *testing.T) (own, german *compiler.Result) {
	t.Helper()
	src, err := compiler.Read(procedures.Files)
	if err != nil {
		t.Fatal(err)
	}
	result, err := compiler.Check(context.Background(), src)
	if err != nil {
		t.Fatal(err)
	}
	r, err := result.In(context.Background(), "de")
	if err != nil {
		t.Fatal(err)
	}
	return result, r
}

// The demonstration library's own translation: German throughout, by a list of
// English words that any page of it would have.
func TestDemonstrationInGerman(t *testing.T) {
	result, r := inGerman(t)
	english := regexp.MustCompile(`(?i)(^|[^\p{L}])(the|and|with|from|of|to|off|out|is|are|has|have|must|step|steps|page|done|reading|limit|tool|tools|part|parts|take|put|back|when|if|than|less|more|below|above|by|on|at|check|wear|gauge|valve)([^\p{L}]|$)`)
	for _, name := range []string{"gland-packing", "gauge-comparison"} {
		doc := documentOf(t, r, name)
		if doc.Language != "de" || !strings.HasPrefix(doc.Translation, "de ") {
			t.Errorf("%s is in %q, translation %q", name, doc.Language, doc.Translation)
		}
		own := documentOf(t, result, name)
		if doc.Fingerprint != own.Fingerprint {
			t.Errorf("%s: the fingerprint is that of the sources, whatever the language: %s and %s", name, doc.Fingerprint, own.Fingerprint)
		}
		var page, text, file bytes.Buffer
		if err := html.Render(&page, doc, html.Options{}); err != nil {
			t.Fatal(err)
		}
		if err := markdown.Render(&text, doc); err != nil {
			t.Fatal(err)
		}
		if missing, err := pdf.Render(&file, doc, pdf.Options{}); err != nil || len(missing) > 0 {
			t.Fatal(err, missing)
		}
		path := filepath.Join(t.TempDir(), "doc.pdf")
		if err := os.WriteFile(path, file.Bytes(), 0o600); err != nil {
			t.Fatal(err)
		}
		paper, err := exec.Command("pdftotext", "-layout", path, "-").Output()
		if err != nil {
			t.Fatal(err)
		}
		shown := stdhtml.UnescapeString(tags.ReplaceAllString(scripts.ReplaceAllString(page.String(), " "), " "))
		for form, output := range map[string]string{"html": shown, "markdown": tags.ReplaceAllString(targets.ReplaceAllString(text.String(), "]"), " "), "pdf": string(paper)} {
			output = strings.ReplaceAll(output, "gauges@", "")
			for _, m := range english.FindAllString(output, 5) {
				t.Errorf("%s, %s: English is left: %q", name, form, m)
			}
		}
		info, err := exec.Command("qpdf", "--json", "--json-key=qpdf", path).Output()
		if err != nil {
			t.Fatal(err)
		}
		if !strings.Contains(page.String(), `<html lang="de"`) || !bytes.Contains(info, []byte(`"/Lang": "u:de"`)) {
			t.Errorf("%s: page or paper do not say that they are German", name)
		}
	}
}

// A page takes both marks and answers with that of its language.
func TestPageReadsCommaAndPoint(t *testing.T) {
	_, r := inGerman(t)
	var page bytes.Buffer
	if err := html.Render(&page, documentOf(t, r, "gland-packing"), html.Options{}); err != nil {
		t.Fatal(err)
	}
	path := filepath.Join(t.TempDir(), "page.html")
	if err := os.WriteFile(path, page.Bytes(), 0o600); err != nil {
		t.Fatal(err)
	}
	browser := startBrowser(t)
	if err := chromedp.Do(browser, chromedp.Navigate("file://"+path)); err != nil {
		t.Fatal(err)
	}
	said, err := chromedp.Run(browser, chromedp.Evaluate[[]string](`(() => {
  const box = document.querySelector("[data-reading=stem-diameter]");
  const typed = ["17,951", "17.953", "17,950", "17.952"], cells = [...box.querySelectorAll("input")];
  cells.forEach((c, i) => { c.value = typed[i]; for (const e of ["input", "change"]) c.dispatchEvent(new Event(e, { bubbles: true })); });
  const good = box.querySelector("output").textContent;
  cells[0].value = "17,9505"; for (const e of ["input", "change"]) cells[0].dispatchEvent(new Event(e, { bubbles: true }));
  const between = box.querySelector(".say").textContent;
  cells[0].value = "achtzehn"; for (const e of ["input", "change"]) cells[0].dispatchEvent(new Event(e, { bubbles: true }));
  return [good, between, box.querySelector(".say").textContent];
})()`))
	if err != nil {
		t.Fatal(err)
	}
	for i, want := range []string{"17,950", "das Messmittel zeigt Schritte von 0,001\u00a0mm: 17,950 oder 17,951 schreiben, nicht 17,9505", "„achtzehn“ ist keine Zahl: schreiben wie 0,000"} {
		if !strings.Contains(said[i], want) {
			t.Errorf("the page says %q, expected %q", said[i], want)
		}
	}
}
