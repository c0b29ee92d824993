package compiler

import (
	"context"
	"fmt"
	"path"
	"slices"
	"strings"

	"benchproof/compiler/document"
	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/words"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// readTranslations reads the translations of a library, in the order of their
// names. Faults in them are told by checkTranslations.
func (s *Sources) readTranslations() error {
	names, err := translationNames(s)
	if err != nil {
		return err
	}
	for _, name := range names {
		text, err := readFile(s.FS, name, syntax.MaxSize)
		if err != nil {
			return fmt.Errorf("cannot read %s: %w", name, plain(err))
		}
		f, ms := syntax.Load(text, name)
		s.Translations = append(s.Translations, f)
		s.loaded = append(s.loaded, ms...)
	}
	return nil
}

func translationNames(s *Sources) ([]string, error) {
	entries, err := readDir(s.FS, words.Folder)
	if err != nil {
		return nil, fmt.Errorf("cannot read %s: %w", words.Folder, plain(err))
	}
	var names []string
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), ".po") && e.Type().IsRegular() {
			names = append(names, path.Join(words.Folder, e.Name()))
		}
	}
	slices.Sort(names)
	return names, nil
}

// checkTranslations finds what is wrong with the translations of a library
// whose declarations hold together; loaded is what of them is no text.
func checkTranslations(lib *library.Library, files []*source.File, loaded []*message.Message) []*message.Message {
	out := slices.Clone(loaded)
	for _, src := range files {
		f, ms := words.Read(src)
		out = append(out, ms...)
		if len(ms) == 0 {
			out = append(out, words.Of(lib, f).Check(lib)...)
		}
	}
	return out
}

// A translated result says its library in another language.
type translated struct {
	words  *words.Translation
	source *library.Library
	// faults are what is wrong with the file itself.
	faults []*message.Message
}

// In gives the result for documents in another language, by the library's
// translation into it; the result itself for the library's own. The error says
// that there is no such translation.
func (r *Result) In(ctx context.Context, language string) (*Result, error) {
	if language == r.Library.Language {
		return r, nil
	}
	name := path.Join(words.Folder, language+".po")
	at := slices.IndexFunc(r.Sources.Translations, func(f *source.File) bool { return f.Path == name })
	if at < 0 {
		return nil, fmt.Errorf("the library has no translation %s; benchproof words export --language %s makes one", name, language)
	}
	now, err := bind(ctx, r.Sources)
	if err != nil {
		return nil, err
	}
	f, ms := words.Read(r.Sources.Translations[at])
	t := words.Of(now.Library, f)
	now.translated = &translated{words: t, source: r.Library, faults: ms}
	t.Apply(now.Library)
	now.Messages = r.Messages
	now.Judged, now.Clean, now.Known = make([]*paths.Result, len(r.Judged)), r.Clean, make([]bool, len(r.Known))
	for i := range now.Known {
		// What was judged is bound to the library in its own language.
		now.Known[i] = r.Known[i] || r.Judged[i] != nil
	}
	return now, nil
}

// Speaks tells whether the procedure at an index has words in the language of
// the result: always, in the library's own.
func (r *Result) Speaks(i int) bool {
	return r.translated == nil || r.translated.words.Speaks(r.Library.Procedures[i].Name)
}

// Said gives a text of the library as it is printed, and in which language: that
// of the sources where it has no translation.
func (r *Result) Said(text string) (plain, language string) {
	if r.translated == nil {
		return text, r.Library.Language
	}
	plain, translated := words.Unmarked(text)
	if !translated {
		return plain, r.translated.source.Language
	}
	return plain, r.Library.Language
}

// settle finds what a document has no words for. In a draft it is shown in the
// language of the sources.
func (r *Result) settle(doc *document.Document, draft bool) []*message.Message {
	t := r.translated
	doc.Translation = t.words.Language + " " + t.words.Fingerprint(r.Library, doc.Name)
	ms := t.words.Settle(doc, t.source.Language)
	if draft {
		for _, m := range ms {
			m.Severity = message.Warning
		}
	}
	return append(ms, t.faults...)
}
