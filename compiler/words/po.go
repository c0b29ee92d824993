package words

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
	"unicode/utf8"

	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// A File is a translation: a PO file as GNU gettext describes it. It is read
// here and not by a module because messages point at its lines and because what
// translators wrote, down to comments and texts no longer used, is written back.
type File struct {
	Source *source.File
	// Header is the entry without a msgid; its fields stand in Fields, in order.
	Header  *Entry
	Fields  [][2]string
	Entries []*Entry
}

// An Entry is one text and its translation.
type Entry struct {
	Comments  []string // the translator's, without "# "
	Extracted []string // for the translator: "#."
	Places    []string // "#:"
	Flags     []string // "#,"
	// Before is the msgid that a stale translation is of, BeforePlural its plural.
	Before, BeforePlural string
	Context, ID, Plural  string
	Str                  []string
	Obsolete             bool // "#~"

	// At is where the entry's own lines stand, StrAt each translation.
	At    source.Span
	StrAt []source.Span
}

// Stale tells that a program has guessed the translation, or that its text has
// changed: a person has to look at it.
func (e *Entry) Stale() bool { return slices.Contains(e.Flags, "fuzzy") }

// Empty tells that there is no translation, or not of every plural form.
func (e *Entry) Empty() bool {
	return len(e.Str) == 0 || slices.ContainsFunc(e.Str, func(s string) bool { return strings.TrimSpace(s) == "" })
}

// Field gives a field of the header.
func (f *File) Field(name string) string {
	for _, x := range f.Fields {
		if strings.EqualFold(x[0], name) {
			return x[1]
		}
	}
	return ""
}

// key tells texts apart, as gettext does: by context and text.
func key(context, id string) string { return context + "\x04" + id }

// maxFaults bounds the messages of one file.
const maxFaults = 50

// Read reads a PO file. What is no PO gets a BP031 message at its line, and the
// entry it stands in is left out.
func Read(src *source.File) (*File, []*message.Message) {
	r := &reader{file: &File{Source: src}, entry: &Entry{}}
	for n := 1; n <= src.Lines() && len(r.messages) < maxFaults; n++ {
		text, start := src.Line(n)
		r.line(text, start)
	}
	r.finish()
	seen := map[string]*Entry{}
	r.file.Entries = slices.DeleteFunc(r.file.Entries, func(e *Entry) bool {
		if e.Obsolete {
			return false
		}
		k := key(e.Context, e.ID)
		if first := seen[k]; first != nil {
			if len(r.messages) < maxFaults {
				r.messages = append(r.messages, message.New("BP031", e.At, "the text is translated twice").Relate(first.At, "translated here"))
			}
			return true
		}
		seen[k] = e
		return false
	})
	return r.file, r.messages
}

type reader struct {
	file     *File
	messages []*message.Message
	entry    *Entry
	any      bool    // the entry has a line of its own
	broken   bool    // the entry is left out
	into     *string // what a line of text alone goes on with
	number   int     // of the msgstr at hand
}

func (r *reader) wrong(start, end int, format string, args ...any) {
	r.broken = true
	r.messages = append(r.messages, message.New("BP031", r.file.Source.Span(start, end), format, args...))
}

// finish puts the entry at hand among the others.
func (r *reader) finish() {
	e := r.entry
	r.entry, r.into = &Entry{}, nil
	any, broken := r.any, r.broken
	r.any, r.broken = false, false
	switch {
	case !any || broken:
	case len(e.Str) == 0:
		r.wrong(e.At.Start, e.At.End, "the entry has no msgstr")
		r.broken = false
	case e.ID == "" && e.Context == "" && !e.Obsolete:
		if r.file.Header != nil {
			r.wrong(e.At.Start, e.At.End, "the header stands here a second time")
			r.broken = false
			return
		}
		r.file.Header = e
		for line := range strings.SplitSeq(e.Str[0], "\n") {
			if name, value, ok := strings.Cut(line, ":"); ok {
				r.file.Fields = append(r.file.Fields, [2]string{strings.TrimSpace(name), strings.TrimSpace(value)})
			}
		}
	default:
		r.file.Entries = append(r.file.Entries, e)
	}
}

func (r *reader) line(text string, start int) {
	bare := strings.TrimLeft(text, " \t")
	at := start + len(text) - len(bare)
	bare = strings.TrimRight(bare, " \t")
	end := at + len(bare)
	switch {
	case bare == "":
		r.finish()
	case strings.HasPrefix(bare, "#~"):
		rest := strings.TrimLeft(bare[2:], " \t")
		if previous, ok := strings.CutPrefix(rest, "|"); ok {
			r.previous(strings.TrimSpace(previous))
			return
		}
		if strings.HasPrefix(rest, "msgctxt") || strings.HasPrefix(rest, "msgid ") {
			r.begin(rest)
		}
		r.entry.Obsolete = true
		r.statement(rest, end-len(rest), end)
	case strings.HasPrefix(bare, "#"):
		if r.any {
			r.finish()
		}
		r.comment(bare)
	default:
		r.begin(bare)
		r.statement(bare, at, end)
	}
}

// begin ends the entry before where a line begins another without an empty line
// between them.
func (r *reader) begin(bare string) {
	if r.any && len(r.entry.Str) > 0 && (strings.HasPrefix(bare, "msgctxt") || strings.HasPrefix(bare, "msgid ") || strings.HasPrefix(bare, "msgid\"")) {
		r.finish()
	}
}

func (r *reader) comment(bare string) {
	e := r.entry
	kind, rest := "", bare[1:]
	if rest != "" && strings.ContainsRune(".:,|", rune(rest[0])) {
		kind, rest = rest[:1], rest[1:]
	}
	rest = strings.TrimPrefix(rest, " ")
	switch kind {
	case ".":
		e.Extracted = append(e.Extracted, rest)
	case ":":
		e.Places = append(e.Places, strings.Fields(rest)...)
	case ",":
		for flag := range strings.SplitSeq(rest, ",") {
			if flag = strings.TrimSpace(flag); flag != "" {
				e.Flags = append(e.Flags, flag)
			}
		}
	case "|":
		r.previous(rest)
	default:
		e.Comments = append(e.Comments, rest)
	}
}

// previous reads what a stale translation is of.
func (r *reader) previous(rest string) {
	word, quoted, _ := strings.Cut(rest, " ")
	switch word {
	case "msgid":
		r.into = &r.entry.Before
	case "msgid_plural":
		r.into = &r.entry.BeforePlural
	case "msgctxt":
		r.into = new(string)
	default:
		quoted = rest
	}
	if text, ok := unquote(strings.TrimSpace(quoted)); ok && r.into != nil {
		*r.into += text
	}
}

// statement reads a line of an entry itself.
func (r *reader) statement(bare string, start, end int) {
	e := r.entry
	word := bare
	if i := strings.IndexAny(bare, " \t\""); i >= 0 {
		word = bare[:i]
	}
	rest := strings.TrimLeft(bare[len(word):], " \t")
	if !r.any {
		r.any = true
		e.At = r.file.Source.Span(start, end)
	}
	e.At.End = end
	switch {
	case word == "" && r.into != nil:
	case word == "msgctxt":
		r.into = &e.Context
	case word == "msgid":
		r.into = &e.ID
	case word == "msgid_plural":
		r.into = &e.Plural
	case word == "msgstr", strings.HasPrefix(word, "msgstr["):
		n := 0
		if word != "msgstr" {
			var err error
			if n, err = strconv.Atoi(strings.TrimSuffix(word[len("msgstr["):], "]")); err != nil || !strings.HasSuffix(word, "]") {
				n = -1
			}
		}
		if n != len(e.Str) || n > 9 {
			r.wrong(start, end, "%s stands where msgstr[%d] is expected", word, len(e.Str))
			return
		}
		e.Str = append(e.Str, "")
		e.StrAt = append(e.StrAt, r.file.Source.Span(start, end))
		r.number = n
		r.into = &e.Str[n]
	default:
		r.wrong(start, end, "expected msgctxt, msgid, msgid_plural, msgstr or a text in quotes")
		return
	}
	text, ok := unquote(rest)
	if !ok {
		r.wrong(start, end, "expected a text in double quotes, with \\\" for a quote in it")
		return
	}
	// Appending to Str moves its texts, so the last one is found anew.
	if len(e.Str) > 0 && r.into != &e.Context && r.into != &e.ID && r.into != &e.Plural {
		r.into = &e.Str[r.number]
		e.StrAt[r.number].End = end
	}
	*r.into += text
}

// unquote reads a text in quotes with the escapes of C that gettext has.
func unquote(s string) (string, bool) {
	if len(s) < 2 || s[0] != '"' || s[len(s)-1] != '"' {
		return "", false
	}
	s = s[1 : len(s)-1]
	if !strings.ContainsAny(s, `\"`) {
		return s, utf8.ValidString(s)
	}
	var b strings.Builder
	for i := 0; i < len(s); i++ {
		switch {
		case s[i] == '"':
			return "", false
		case s[i] != '\\':
			b.WriteByte(s[i])
		case i+1 == len(s):
			return "", false
		default:
			i++
			at := strings.IndexByte(`ntr"\abfv`, s[i])
			if at < 0 {
				return "", false
			}
			b.WriteByte("\n\t\r\"\\\a\b\f\v"[at])
		}
	}
	return b.String(), true
}

// quote writes a text in quotes; one of several lines begins on a line of its
// own.
func quote(b *strings.Builder, prefix, word, s string) {
	fmt.Fprintf(b, "%s%s ", prefix, word)
	lines := strings.SplitAfter(s, "\n")
	if lines[len(lines)-1] == "" && len(lines) > 1 {
		lines = lines[:len(lines)-1]
	}
	if len(lines) > 1 {
		fmt.Fprintf(b, "\"\"\n")
	}
	for i, line := range lines {
		if len(lines) > 1 || i > 0 {
			b.WriteString(prefix)
		}
		b.WriteString(`"` + escapes.Replace(line) + "\"\n")
	}
}

var escapes = strings.NewReplacer("\\", `\\`, `"`, `\"`, "\n", `\n`, "\t", `\t`, "\r", `\r`, "\a", `\a`, "\b", `\b`, "\f", `\f`, "\v", `\v`)

// String writes the file as gettext reads it.
func (f *File) String() string {
	var b strings.Builder
	header := Entry{Str: []string{""}}
	if f.Header != nil {
		header = *f.Header
	}
	header.Str = []string{""}
	for _, x := range f.Fields {
		header.Str[0] += strings.TrimRight(x[0]+": "+x[1], " ") + "\n"
	}
	header.write(&b)
	for _, e := range f.Entries {
		b.WriteByte('\n')
		e.write(&b)
	}
	return b.String()
}

func (e *Entry) write(b *strings.Builder) {
	list := func(sign string, lines []string) {
		for _, line := range lines {
			for part := range strings.SplitSeq(line, "\n") {
				b.WriteString(strings.TrimRight(sign+" "+part, " ") + "\n")
			}
		}
	}
	list("#", e.Comments)
	prefix := ""
	if e.Obsolete {
		prefix = "#~ "
	} else {
		list("#.", e.Extracted)
		for _, place := range e.Places {
			list("#:", []string{place})
		}
	}
	if len(e.Flags) > 0 {
		list("#,", []string{strings.Join(e.Flags, ", ")})
	}
	if e.Before != "" && !e.Obsolete {
		quote(b, "#| ", "msgid", e.Before)
		if e.BeforePlural != "" {
			quote(b, "#| ", "msgid_plural", e.BeforePlural)
		}
	}
	if e.Context != "" {
		quote(b, prefix, "msgctxt", e.Context)
	}
	quote(b, prefix, "msgid", e.ID)
	if e.Plural == "" {
		str := ""
		if len(e.Str) > 0 {
			str = e.Str[0]
		}
		quote(b, prefix, "msgstr", str)
		return
	}
	quote(b, prefix, "msgid_plural", e.Plural)
	for i, s := range e.Str {
		quote(b, prefix, fmt.Sprintf("msgstr[%d]", i), s)
	}
}
