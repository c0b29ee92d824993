package main

import (
	"bytes"
	"encoding/csv"
	"os"
	"path/filepath"
	"reflect"
	"regexp"
	"strings"
	"testing"
	"unicode"

	"benchproof/compiler"
	"benchproof/compiler/document"
	"benchproof/compiler/words"
	"benchproof/procedures"
)

// told runs a command and gives what it writes to standard output.
func told(t *testing.T, args ...string) string {
	t.Helper()
	var out, complaints bytes.Buffer
	root := newRoot()
	root.SetArgs(args)
	root.SetOut(&out)
	root.SetErr(&complaints)
	if err := root.Execute(); err != nil {
		t.Fatalf("%v: %v\n%s", args, err, complaints.String())
	}
	return out.String()
}

var (
	// blanks, targets of links and numbers have to stay in a translation.
	blanks  = regexp.MustCompile(`\{[^}]*\}|\]\([^)]*\)|` + "`[^`]*`" + `|[0-9]+`)
	letters = regexp.MustCompile(`[A-Za-z]`)
	// worded are words of a text; what stands in names and numbers is none.
	worded = regexp.MustCompile(`[A-Za-z]{4,}`)
)

// veiled says a text in no language: no letter of it is left, blanks stay.
func veiled(s string) string {
	var b strings.Builder
	last := 0
	for _, m := range append(blanks.FindAllStringIndex(s, -1), []int{len(s), len(s)}) {
		b.WriteString(letters.ReplaceAllString(s[last:m[0]], "ж"))
		b.WriteString(s[m[0]:m[1]])
		last = m[1]
	}
	return b.String()
}

// Every word of a list is of the language asked for: with a translation that has no
// letter of the sources, none of their words is left, and none of ours in English.
func TestListsSpeakOneLanguage(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, procedures.Files); err != nil {
		t.Fatal(err)
	}
	if err := os.RemoveAll(filepath.Join(dir, words.Folder)); err != nil {
		t.Fatal(err)
	}
	for _, language := range document.Languages()[1:] {
		told(t, "words", "export", "--language", language, dir)
		name := filepath.Join(dir, words.Folder, language+".po")
		f, messages, err := readWords(name)
		if err != nil || len(messages) > 0 {
			t.Fatal(err, messages)
		}
		english := map[string]bool{}
		for _, e := range f.Entries {
			for _, w := range worded.FindAllString(blanks.ReplaceAllString(e.ID+" "+e.Plural, " "), -1) {
				english[strings.ToLower(w)] = true
			}
			for i := range e.Str {
				e.Str[i] = veiled(e.ID)
			}
		}
		if err := os.WriteFile(name, []byte(f.String()), 0o666); err != nil {
			t.Fatal(err)
		}
		for _, table := range []any{document.English, document.English.Lists, document.English.Screen} {
			eachWord(table, func(w string) { english[w] = true })
		}
		own := document.WordsOf(language)
		for _, table := range []any{own, own.Lists, own.Screen} {
			eachWord(table, func(w string) { delete(english, w) })
		}
		// Of phrases ("if", "some paths only") that are the same in another language.
		for _, w := range strings.Fields("dann falls schritt paso passo etape") {
			delete(english, w)
		}
		lists := [][]string{{"pick", "seal-change=2", "stud-hole-repair", "--format", "html"}, {"kits", "hub-change", "--box", "K-1012"}, {"members", "--format", "html"}}
		if language == "de" { // the other forms have the same words
			lists = append(lists, []string{"pick", "bearing-change"}, []string{"pick", "gland-packing", "--format", "markdown"}, []string{"members"})
		}
		for _, args := range lists {
			out := told(t, append(args, "--language", language, dir)...)
			if i := strings.Index(out, "</style>"); i >= 0 {
				out = regexp.MustCompile(`<[^>]*>`).ReplaceAllString(out[i:], " ")
			}
			if !strings.Contains(out, "ж") {
				t.Errorf("%s %v: nothing is translated", language, args)
			}
			out = regexp.MustCompile(`\([a-z-]+\)`).ReplaceAllString(out, "") // names in the sources
			for _, w := range strings.FieldsFunc(out, func(r rune) bool { return unicode.IsSpace(r) || strings.ContainsRune("(),;:.|", r) }) {
				if worded.FindString(w) == w && english[strings.ToLower(w)] {
					t.Errorf("%s %v: %q is left", language, args, w)
				}
			}
		}
	}
}

// eachWord visits the words of a table of texts, in small letters.
func eachWord(table any, visit func(string)) {
	v := reflect.ValueOf(table).Elem()
	for i := range v.NumField() {
		if f := v.Field(i); f.Kind() == reflect.String {
			for _, w := range worded.FindAllString(blanks.ReplaceAllString(f.String(), " "), -1) {
				visit(strings.ToLower(w))
			}
		}
	}
}

// A title that is a formula to a spreadsheet is none in the file, and comes back as
// it was behind its apostrophe.
func TestListsHoldNoFormulas(t *testing.T) {
	dir := t.TempDir()
	const source = `library "Bench" { owner "Workshop" }
variant size "Size" {
  small  "small"
  large  "large"
}
tool spanner  "=HYPERLINK(\"x\")"  { number "-5"  detail "13 mm" }
tool hammer   "+hammer"  { number "@T-2" }
procedure look "-1+1|look" {
  document  "=WI-1"
  revision  A on 2026-01-05 "First issue."
  applies   to size small
  step "Look at it with the @spanner and the @hammer." {
    use  spanner, hammer
  }
}
`
	if err := os.WriteFile(filepath.Join(dir, "a.proc"), []byte(source), 0o666); err != nil {
		t.Fatal(err)
	}
	for _, args := range [][]string{{"pick", "look", "--format", "csv", dir}, {"members", "--format", "csv", dir}} {
		out := told(t, args...)
		rows, err := csv.NewReader(strings.NewReader(out)).ReadAll()
		if err != nil {
			t.Fatal(err)
		}
		risky := 0
		for _, row := range rows {
			for _, c := range row {
				if strings.HasPrefix(c, "'") {
					risky++
				}
				if c != "-5" && c != "" && strings.ContainsRune("=+-@|", rune(c[0])) {
					t.Errorf("%v: %q begins a formula", args, c)
				}
			}
		}
		if risky < 2 {
			t.Errorf("%v: %q", args, rows)
		}
		if args[0] == "pick" && (!strings.Contains(out, ",-5,") || !strings.Contains(out, `'=HYPERLINK(""x"")`)) {
			t.Error(out)
		}
	}
}

// An error counts for the procedures that reach it, and for no others: each of the
// declarations of a library is spoilt by turns.
func TestFaultsAreThoseOfWhatIsReached(t *testing.T) {
	dir := t.TempDir()
	if err := os.CopyFS(dir, procedures.Files); err != nil {
		t.Fatal(err)
	}
	names, err := compiler.Names(os.DirFS(dir))
	if err != nil || len(names) == 0 {
		t.Fatal(err)
	}
	const tool = "seal-puller"
	data, err := os.ReadFile(filepath.Join(dir, "tools.proc"))
	if err != nil {
		t.Fatal(err)
	}
	spoilt := regexp.MustCompile(`(tool `+tool+`\s+"[^"]*"\s*\{)`).ReplaceAllString(string(data), "$1 replaced by nobody-knows ")
	if spoilt == string(data) {
		t.Fatal("nothing is spoilt")
	}
	if err := os.WriteFile(filepath.Join(dir, "tools.proc"), []byte(spoilt), 0o666); err != nil {
		t.Fatal(err)
	}
	r, err := checkFolder(t.Context(), dir)
	if err != nil || r.Sound() {
		t.Fatal("the library is sound", err)
	}
	reach := compiler.NewReacher(r.Library)
	wrong := 0
	for i, faults := range r.Faults() {
		text := ""
		for _, f := range reach.Of(i).Files {
			if f == r.Library.Procedures[i].Whole.File.Path {
				text = r.Library.Procedures[i].Whole.Text()
			}
		}
		if strings.Contains(text, tool) && len(faults) == 0 {
			t.Errorf("%s names the tool and has no fault", r.Library.Procedures[i].Name)
		}
		if len(faults) > 0 {
			wrong++
		}
	}
	if wrong == 0 || wrong == len(r.Library.Procedures) {
		t.Errorf("%d of %d procedures have faults", wrong, len(r.Library.Procedures))
	}
}
