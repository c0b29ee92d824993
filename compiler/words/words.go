// Package words takes the texts of a library to translators and back.
//
// Input: a bound library and translations of it in PO files. Output: a PO file of
// every text that documents print, kept from one export to the next; messages of
// what a translation lacks or says otherwise than the source; and a library that
// says its texts in another language. What is not words (names, numbers, limits,
// units, the order of the work) is never the translator's: it cannot differ.
package words

import (
	"cmp"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"slices"
	"strings"

	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/dsl/source"
)

// Folder is where translations lie in a library: one file a language, de.po.
const Folder = "translations"

// A Unit is one text to translate, wherever it stands.
type Unit struct {
	Context, ID, Plural string
	// Notes tell the translator what the blanks stand for.
	Notes []string
	// Places are where the text stands, first to last.
	Places []source.Span
	// Of are the declarations that it stands in; none: the library's own.
	Of []library.Symbol
	// text is what a translation is held to; nil for plain words.
	text *library.Text
}

// idOf is a saying as a translator sees it.
func idOf(s library.Saying) string {
	if s.Text != nil {
		return s.Text.Source()
	}
	return *s.Word
}

// Units gives the texts of a library, each once, in the order of the work.
func Units(lib *library.Library) []*Unit {
	var list []*Unit
	at := map[string]*Unit{}
	lib.EachSaying(func(s library.Saying) {
		context, id := s.Context(), idOf(s)
		if strings.TrimSpace(id) == "" {
			return
		}
		u := at[key(context, id)]
		if u == nil {
			u = &Unit{Context: context, ID: id}
			at[key(context, id)] = u
			list = append(list, u)
		}
		if s.Counted != nil {
			u.Plural = cmp.Or(s.Counted.Plural, document.Plural(s.Counted.Title), s.Counted.Title)
		}
		if s.Text != nil && u.text == nil {
			u.text = s.Text
			for _, b := range s.Text.Blanks() {
				u.Notes = append(u.Notes, "{"+b.Name+"}: "+means(b.Span))
			}
		}
		if !slices.Contains(u.Places, s.At) {
			u.Places = append(u.Places, s.At)
		}
		if s.Of != nil && !slices.Contains(u.Of, s.Of) {
			u.Of = append(u.Of, s.Of)
		}
	})
	return list
}

// means says what a blank stands for.
func means(s library.TextSpan) string {
	m := s.Mention
	switch {
	case m == nil:
		return strings.ReplaceAll(s.Text, "\u00a0", " ")
	case m.Column != nil:
		return "by member, " + m.Column.Name
	}
	count := ""
	if m.Counted {
		count = fmt.Sprintf("%d × ", m.Count)
	}
	number := ""
	if t, ok := m.Symbol.(library.Thing); ok && library.CommonOf(t).Number != "" {
		number = " " + library.CommonOf(t).Number
	}
	return count + cmp.Or(m.Symbol.Declared().Title, m.Symbol.Declared().Name) + number
}

// Fingerprint tells texts of one library from those of another: twelve
// hexadecimal digits.
func Fingerprint(units []*Unit) string {
	h := sha256.New()
	for _, u := range units {
		fmt.Fprintf(h, "%q %q %q\n", u.Context, u.ID, u.Plural)
	}
	return hex.EncodeToString(h.Sum(nil))[:12]
}

// places are the references of an entry: file and line.
func places(u *Unit) (out []string) {
	for _, p := range u.Places {
		if p.File == nil {
			continue
		}
		line, _ := p.File.Position(p.Start)
		out = append(out, strings.ReplaceAll(p.File.Path, " ", "%20")+fmt.Sprintf(":%d", line))
	}
	return out
}

// Export makes the translation file of a library in a language. What an older
// file has is kept: translations of unchanged texts as they are; of a changed
// text as stale, with what it was of; of a text that is gone as obsolete; and
// the translators' comments and header fields.
func Export(lib *library.Library, language string, old *File) *File {
	units := Units(lib)
	plurals := document.PluralsOf(language)
	f := &File{Fields: header(lib, language, plurals.Header, Fingerprint(units), old)}
	f.Header = &Entry{}
	free := map[string][]*Entry{} // of the older file, by context
	known := map[string]*Entry{}
	if old != nil {
		if old.Header != nil {
			f.Header.Comments = old.Header.Comments
		}
		for _, e := range old.Entries {
			if k := key(e.Context, e.ID); !e.Obsolete || known[k] == nil {
				known[k] = e
			}
		}
	}
	wanted := map[string]bool{}
	for _, u := range units {
		wanted[key(u.Context, u.ID)] = true
	}
	if old != nil {
		for _, e := range old.Entries {
			if !wanted[key(e.Context, e.ID)] && !e.Empty() {
				free[e.Context] = append(free[e.Context], e)
			}
		}
	}
	used := map[*Entry]bool{}
	for _, u := range units {
		e := &Entry{Context: u.Context, ID: u.ID, Plural: u.Plural, Extracted: u.Notes, Places: places(u)}
		e.Str = make([]string, 1)
		if u.Plural != "" {
			e.Str = make([]string, plurals.Forms)
		}
		f.Entries = append(f.Entries, e)
		if was := known[key(u.Context, u.ID)]; was != nil {
			used[was] = true
			e.Comments, e.Flags = was.Comments, slices.Clone(was.Flags)
			e.Before, e.BeforePlural = was.Before, was.BeforePlural
			take(e, was)
			continue
		}
		if was := nearest(u, free[u.Context], used); was != nil {
			used[was] = true
			e.Comments, e.Flags = was.Comments, slices.Clone(was.Flags)
			if !e.Stale() {
				e.Flags = append([]string{"fuzzy"}, e.Flags...)
			}
			e.Before, e.BeforePlural = cmp.Or(was.Before, was.ID), was.Plural
			take(e, was)
		}
	}
	if old != nil {
		for _, e := range old.Entries {
			if used[e] || e.Empty() {
				continue
			}
			gone := *e
			gone.Obsolete = true
			f.Entries = append(f.Entries, &gone)
		}
	}
	return f
}

// take puts translations of one entry into another; where one of them counts
// and the other does not, into its first form, which is stale then.
func take(e, was *Entry) {
	if (e.Plural == "") == (was.Plural == "") && (e.Plural == "" || len(was.Str) == len(e.Str)) {
		copy(e.Str, was.Str)
		return
	}
	if len(was.Str) > 0 && was.Str[0] != "" {
		e.Str[0] = was.Str[0]
		if !e.Stale() {
			e.Flags = append([]string{"fuzzy"}, e.Flags...)
			e.Before = was.ID
		}
	}
}

// nearest finds the translation that a changed text most likely had: of a text
// at the same place that is gone and has most words in common, at least every
// second.
func nearest(u *Unit, list []*Entry, used map[*Entry]bool) *Entry {
	var best *Entry
	most := 0.5
	for _, e := range list {
		if used[e] {
			continue
		}
		if n := alike(u.ID, e.ID); n >= most && (best == nil || n > most) {
			best, most = e, n
		}
	}
	// A place that holds but one text keeps its translation whatever is said.
	if best == nil && len(list) == 1 && !used[list[0]] && single(u.Context) {
		best = list[0]
	}
	return best
}

// single tells whether a context holds one text at a time.
func single(context string) bool {
	role := context[strings.LastIndexByte(context, ' ')+1:]
	return !slices.Contains([]string{"step", "note", "stage", "meaning", "finish", "hold", "person"}, role)
}

// alike is how many words two texts share, of all that they have.
func alike(a, b string) float64 {
	x, y := strings.Fields(a), strings.Fields(b)
	left := slices.Clone(y)
	shared := 0
	for _, w := range x {
		if i := slices.Index(left, w); i >= 0 {
			left = slices.Delete(left, i, i+1)
			shared++
		}
	}
	if len(x)+len(y) == 0 {
		return 0
	}
	return 2 * float64(shared) / float64(len(x)+len(y))
}

// header gives the fields of a file: what the library says, and of an older
// file what its translators say.
func header(lib *library.Library, language, plurals, fingerprint string, old *File) [][2]string {
	newest := "2000-01-01"
	for _, p := range lib.Procedures {
		if len(p.Revisions) > 0 && p.Revisions[0].Date > newest {
			newest = p.Revisions[0].Date
		}
	}
	fields := [][2]string{
		{"Project-Id-Version", cmp.Or(lib.Title, "library")},
		{"Report-Msgid-Bugs-To", ""},
		{"PO-Revision-Date", newest + " 00:00+0000"},
		{"Last-Translator", ""},
		{"Language-Team", ""},
		{"Language", language},
		{"MIME-Version", "1.0"},
		{"Content-Type", "text/plain; charset=UTF-8"},
		{"Content-Transfer-Encoding", "8bit"},
		{"Plural-Forms", plurals},
		{"X-Fingerprint", fingerprint},
	}
	own := []string{"Language", "MIME-Version", "Content-Type", "Content-Transfer-Encoding", "Plural-Forms", "X-Fingerprint", "Project-Id-Version"}
	if old == nil {
		return fields
	}
	for _, x := range old.Fields {
		i := slices.IndexFunc(fields, func(y [2]string) bool { return strings.EqualFold(x[0], y[0]) })
		switch {
		case i < 0:
			fields = append(fields, x)
		case !slices.Contains(own, fields[i][0]) && x[1] != "":
			fields[i][1] = x[1]
		}
	}
	return fields
}
