package words

import (
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"path"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// A Translation is a library's words in one language.
type Translation struct {
	Language string
	File     *File
	// Units are the texts of the library, and what the file has for each.
	Units   []*Unit
	entries map[string]*Entry
	// spoken are the procedures that somebody has begun to translate.
	spoken map[string]bool
}

// LanguageOf is the language of a translation file by its name: de for
// translations/de.po.
func LanguageOf(name string) string { return strings.TrimSuffix(path.Base(name), ".po") }

// Of joins a file with the library that it translates.
func Of(lib *library.Library, f *File) *Translation {
	t := &Translation{Language: LanguageOf(f.Source.Path), File: f, Units: Units(lib), entries: map[string]*Entry{}, spoken: map[string]bool{}}
	for _, e := range f.Entries {
		if !e.Obsolete {
			t.entries[key(e.Context, e.ID)] = e
		}
	}
	for _, u := range t.Units {
		if e := t.entry(u); e == nil || e.Empty() {
			continue
		}
		for _, s := range u.Of {
			if p, ok := s.(*library.Procedure); ok {
				t.spoken[p.Name] = true
			}
		}
	}
	return t
}

func (t *Translation) entry(u *Unit) *Entry { return t.entries[key(u.Context, u.ID)] }

// Speaks tells whether somebody has begun to translate a procedure: any text of
// its own has words in the language.
func (t *Translation) Speaks(procedure string) bool { return t.spoken[procedure] }

// Needs gives the texts that the document of a procedure may print.
func (t *Translation) Needs(lib *library.Library, procedure string) []*Unit {
	reached := lib.Reached(procedure, func(*library.Kit) bool { return false })
	holds := map[library.Thing]bool{}
	for _, s := range reached {
		if th, ok := s.(library.Thing); ok {
			holds[th] = true
		}
	}
	reached = lib.Reached(procedure, func(k *library.Kit) bool {
		return slices.ContainsFunc(k.Holds, func(th library.Thing) bool { return holds[th] })
	})
	var out []*Unit
	for _, u := range t.Units {
		switch {
		case len(u.Of) > 0:
			// Of a procedure that the work goes on in, a document says only the title.
			if !slices.ContainsFunc(u.Of, func(s library.Symbol) bool {
				p, other := s.(*library.Procedure)
				return slices.Contains(reached, s) && (!other || p.Name == procedure || u.Context == "procedure "+p.Name+" title")
			}) {
				continue
			}
		case u.Context == "person":
			if !slices.ContainsFunc(u.Places, func(at source.Span) bool {
				return slices.ContainsFunc(reached, func(s library.Symbol) bool {
					w := s.Declared().Whole
					return w.File == at.File && w.Start <= at.Start && at.End <= w.End
				})
			}) {
				continue
			}
		}
		out = append(out, u)
	}
	return out
}

// Fingerprint tells translations of one document apart: twelve hexadecimal
// digits of what it needs and how that is said.
func (t *Translation) Fingerprint(lib *library.Library, procedure string) string {
	h := sha256.New()
	fmt.Fprintf(h, "%q\n", t.Language)
	for _, u := range t.Needs(lib, procedure) {
		if e := t.entry(u); e != nil {
			fmt.Fprintf(h, "%q %q %q %v\n", u.Context, u.ID, e.Str, e.Stale())
		}
	}
	return hex.EncodeToString(h.Sum(nil))[:12]
}

var nplurals = regexp.MustCompile(`nplurals\s*=\s*(\d+)`)

// Check finds what is wrong with a translation: broken or for another language
// (BP031, BP037), texts that are stale (BP033), say something else than their
// source (BP034), are of no text of the library (BP035) or have not the plural
// forms of the language (BP036); and, of procedures that somebody has begun to
// translate, texts that are missing (BP032).
func (t *Translation) Check(lib *library.Library) (out []*message.Message) {
	say := func(code message.Code, at source.Span, format string, args ...any) *message.Message {
		m := message.New(code, at, format, args...)
		out = append(out, m)
		return m
	}
	top := t.File.Source.Span(0, 0)
	if t.File.Header != nil {
		top = t.File.Header.At
	}
	switch named := t.File.Field("Language"); {
	case !document.Speaks(t.Language):
		say("BP037", top, "there are no fixed words in %q", t.Language).Helped("name the file after its language: %s", strings.Join(document.Languages(), ", "))
		return out
	case t.Language == lib.Language:
		say("BP037", top, "the sources are in %s already, and so is this translation", t.Language).Helped("name the file after the language that it translates into")
		return out
	case named != "" && named != t.Language:
		say("BP037", top, "the header says that the language is %s, the file's name says %s", named, t.Language)
		return out
	}
	if c := t.File.Field("Content-Type"); t.File.Header == nil || !strings.Contains(strings.ToLower(c), "utf-8") {
		say("BP031", top, "the header does not say that the text is UTF-8").Helped("write a header: benchproof words export --language %s adds it", t.Language)
	}
	plurals := document.PluralsOf(t.Language)
	if m := nplurals.FindStringSubmatch(t.File.Field("Plural-Forms")); t.File.Header != nil && (m == nil || m[1] != strconv.Itoa(plurals.Forms)) {
		say("BP036", top, "the header does not say the %d plural forms of the language %s", plurals.Forms, t.Language).Helped("write: Plural-Forms: %s", plurals.Header)
	}
	units := map[string]*Unit{}
	for _, u := range t.Units {
		units[key(u.Context, u.ID)] = u
	}
	for _, e := range t.File.Entries {
		if e.Obsolete {
			continue
		}
		u := units[key(e.Context, e.ID)]
		if u == nil && e.Empty() {
			continue // nothing is lost
		}
		if u == nil {
			say("BP035", e.At, "no text of the library is this one, at “%s”", e.Context).
				Helped("benchproof words export --language %s brings the file up to date and keeps what is translated", t.Language)
			continue
		}
		out = append(out, t.judge(u, e)...)
	}
	told := map[*Unit]bool{}
	for _, p := range lib.Procedures {
		if !t.Speaks(p.Name) {
			continue
		}
		for _, u := range t.Needs(lib, p.Name) {
			if e := t.entry(u); !told[u] && (e == nil || e.Empty() && !e.Stale()) {
				told[u] = true
				out = append(out, t.lacks(u))
			}
		}
	}
	return out
}

// lacks is the message of a text without a translation.
func (t *Translation) lacks(u *Unit) *message.Message {
	at := source.Span{}
	if len(u.Places) > 0 {
		at = u.Places[0]
	}
	if e := t.entry(u); e != nil {
		return message.New("BP032", e.At, "the text has no translation, or not of every plural form").Relate(at, "the text")
	}
	return message.New("BP032", at, "the text has no words in %s, at “%s”", t.Language, u.Context).
		Helped("benchproof words export --language %s puts it into the translation file", t.Language)
}

// judge finds what is wrong with one translation.
func (t *Translation) judge(u *Unit, e *Entry) (out []*message.Message) {
	var source source.Span
	if len(u.Places) > 0 {
		source = u.Places[0]
	}
	if e.Stale() {
		m := message.New("BP033", e.At, "the text has changed since it was translated").Relate(source, "the text")
		if e.Before != "" {
			m.Note("it was “%s”", e.Before)
		}
		return append(out, m.Helped("translate it again and take the word fuzzy away"))
	}
	if e.Empty() {
		return nil
	}
	forms := 1
	if u.Plural != "" {
		forms = document.PluralsOf(t.Language).Forms
	}
	if len(e.Str) != forms || (e.Plural == "") != (u.Plural == "") {
		return append(out, message.New("BP036", e.At, "the text has %d plural forms here, expected %d", len(e.Str), forms).Relate(source, "the text"))
	}
	for i, s := range e.Str {
		var faults []string
		if u.text != nil {
			_, faults = u.text.Reword(s)
		} else {
			faults = library.OtherNumbers(u.ID, s)
		}
		if len(faults) > 0 {
			out = append(out, message.New("BP034", e.StrAt[i], "the translation says something else: %s", strings.Join(faults, "; ")).Relate(source, "the text"))
		}
	}
	return out
}
