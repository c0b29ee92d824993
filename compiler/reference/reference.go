// Package reference is the language's own page: what each word of it is for.
//
// Input: the keyword tables of package syntax, the units, the catalogue of
// messages, and text written by hand under text/. Output: one page of CommonMark
// (LANGUAGE.md, which a test holds up to date), its entries by word, and its
// examples, which a test compiles. Every keyword has exactly one entry, and no
// entry is about a word that is none.
package reference

import (
	"embed"
	"fmt"
	"io/fs"
	"slices"
	"strings"
	"sync"
	"unicode"
	"unicode/utf8"

	"benchproof/compiler/quantity"
	"benchproof/dsl/message"
	"benchproof/dsl/syntax"
)

//go:embed text/*.md
var text embed.FS

// An Entry says what one word of the language is for.
type Entry struct {
	// Word is the word or words: "measure", "safe when".
	Word string
	// In names the constructs in whose braces the word stands, with their
	// articles: "a step". It is empty for a word that only joins.
	In []string
	// Forms show how the statement goes on, each as it is typed; places to fill
	// are in capitals.
	Forms []string
	// Meaning is one sentence.
	Meaning string
	// Text is CommonMark: what else there is to say, with examples. It may be
	// empty.
	Text string
}

// An Example is a fenced block of the page.
type Example struct {
	// Kind is what the block is: the "library" that all others belong to,
	// "declarations" added to it, or the "flow" of a procedure in it.
	Kind string
	Text string
	// Line is where it starts in the page.
	Line int
}

type page struct {
	markdown string
	entries  []Entry
	err      error
}

var built = sync.OnceValue(build)

// Markdown gives the whole page.
func Markdown() string { return built().markdown }

// Entries lists all words, in the order of the page.
func Entries() []Entry { return slices.Clone(built().entries) }

// Find gives the entries of a word: several, where it means one thing in one
// place and another in another.
func Find(word string) []Entry {
	word = strings.ToLower(strings.TrimSpace(word))
	var exact, begins []Entry
	for _, e := range built().entries {
		first, _, more := strings.Cut(e.Word, " ")
		switch {
		case e.Word == word:
			exact = append(exact, e)
		case more && first == word:
			begins = append(begins, e)
		}
	}
	return append(exact, begins...)
}

// Examples lists the page's examples.
func Examples() (list []Example) {
	var at *Example
	for n, line := range strings.Split(Markdown(), "\n") {
		switch {
		case at == nil && strings.HasPrefix(line, "```proc"):
			list = append(list, Example{Kind: strings.TrimSpace(strings.TrimPrefix(line, "```proc")), Line: n + 1})
			at = &list[len(list)-1]
		case at != nil && line == "```":
			at = nil
		case at != nil:
			at.Text += line + "\n"
		}
	}
	return list
}

// contexts are the places in which words start something, by the words that the
// text calls them.
func contexts() map[string]syntax.Context {
	m := map[string]syntax.Context{}
	for c := syntax.InFile; c <= syntax.InTrial; c++ {
		_, name, _ := strings.Cut(c.String(), " ")
		m[name] = c
	}
	return m
}

// directive begins a line of the text that stands for a word's head:
//
//	:: tool,part plural
const directive = ":: "

func build() page {
	p := &builder{contexts: contexts(), told: map[key]bool{}}
	for _, name := range chapters() {
		p.chapter(name)
	}
	p.gaps()
	return page{p.out.String(), p.entries, p.err}
}

// chapters are the texts of the page in order; words.md is set into one of them.
func chapters() []string {
	names, err := fs.Glob(text, "text/[0-9]*.md")
	if err != nil {
		panic(err) // only a malformed pattern
	}
	return names
}

// A key is a word in a place.
type key struct {
	context syntax.Context
	word    string
}

type builder struct {
	contexts map[string]syntax.Context
	out      strings.Builder
	entries  []Entry
	open     *strings.Builder // the text of the last entry, while it goes on
	told     map[key]bool
	err      error
}

func (p *builder) say(s string) { p.out.WriteString(s) }

func (p *builder) fail(format string, args ...any) {
	if p.err == nil {
		p.err = fmt.Errorf(format, args...)
	}
}

func (p *builder) chapter(name string) {
	data, err := text.ReadFile(name)
	if err != nil {
		p.fail("%w", err)
		return
	}
	fenced := false
	for _, line := range strings.Split(strings.TrimRight(string(data), "\n")+"\n", "\n") {
		if strings.HasPrefix(line, "```") {
			fenced = !fenced
		}
		switch {
		case fenced:
		case strings.HasPrefix(line, directive):
			p.head(strings.TrimPrefix(line, directive))
			continue
		case strings.HasPrefix(line, "#"):
			p.end()
		case line == "{{units}}":
			p.units()
			continue
		case line == "{{words}}":
			p.words()
			continue
		case line == "{{codes}}":
			p.codes()
			continue
		}
		p.say(line + "\n")
		if p.open != nil {
			p.open.WriteString(line + "\n")
		}
	}
	p.end()
}

// end closes the entry that is open.
func (p *builder) end() {
	if p.open != nil {
		p.entries[len(p.entries)-1].Text = strings.TrimSpace(p.open.String())
		p.open = nil
	}
}

// head writes the head of a word: "tool,part plural".
func (p *builder) head(line string) {
	p.end()
	places, word, _ := strings.Cut(line, " ")
	e := Entry{Word: word}
	for _, place := range strings.Split(places, ",") {
		if place == "flow" {
			place = "procedure" // whose words are those of all that flows
		}
		c, known := p.contexts[place]
		k := find(c, word)
		if !known || k == nil {
			p.fail("%q is no word in %q", word, place)
			return
		}
		if p.told[key{c, word}] {
			p.fail("%q in %q is told twice", word, place)
		}
		p.told[key{c, word}] = true
		if strings.HasPrefix(line, "flow ") {
			p.flows(k, &e)
			break
		}
		p.add(&e, c, k)
	}
	p.entries = append(p.entries, e)
	p.open = &strings.Builder{}

	p.say("### " + word + "\n\n")
	for _, f := range e.Forms {
		p.say("`" + f + "`")
		p.say("  \n")
	}
	if !slices.Contains(e.In, syntax.InFile.String()) {
		p.say("In " + strings.Join(e.In, ", ") + ". ")
	}
	p.say(e.Meaning + "\n")
}

// add notes that a word stands in a context, too.
func (p *builder) add(e *Entry, c syntax.Context, k *syntax.Keyword) {
	e.In = append(e.In, c.String())
	form := strings.TrimSpace(k.Key + " " + k.Syntax)
	if !slices.Contains(e.Forms, form) {
		e.Forms = append(e.Forms, form)
	}
	meaning := sentence(k.Meaning)
	switch {
	case e.Meaning == "":
		e.Meaning = meaning
	case !strings.Contains(e.Meaning, meaning):
		e.Meaning += " In " + c.String() + ": " + k.Meaning + "."
	}
}

// flows notes a word of the flow in all the places it may stand in.
func (p *builder) flows(k *syntax.Keyword, e *Entry) {
	for c := syntax.InFile; c <= syntax.InTrial; c++ {
		if other := find(c, k.Key); other != nil && *other == *k {
			p.told[key{c, k.Key}] = true
			p.add(e, c, other)
		}
	}
}

func find(c syntax.Context, word string) *syntax.Keyword {
	for _, k := range syntax.Keywords(c) {
		if k.Key == word {
			return &k
		}
	}
	return nil
}

// sentence makes a sentence of a table's clause.
func sentence(s string) string {
	first, size := utf8.DecodeRuneInString(s)
	return string(unicode.ToUpper(first)) + s[size:] + "."
}

// gaps tells of words of the tables that the text forgets.
func (p *builder) gaps() {
	for c := syntax.InFile; c <= syntax.InTrial; c++ {
		for _, k := range syntax.Keywords(c) {
			if !p.told[key{c, k.Key}] {
				p.fail("nothing is said of %q in %s", k.Key, c)
			}
		}
	}
	for _, word := range syntax.Joiners() {
		if !slices.ContainsFunc(p.entries, func(e Entry) bool { return e.Word == word }) {
			p.fail("nothing is said of %q", word)
		}
	}
}

func (p *builder) words() {
	data, err := text.ReadFile("text/words.md")
	if err != nil {
		p.fail("%w", err)
		return
	}
	for _, line := range strings.Split(strings.TrimSpace(string(data)), "\n") {
		word, meaning, ok := strings.Cut(strings.TrimPrefix(line, "- `"), "`: ")
		if !ok {
			p.fail("%q is not a line of the form - `word`: meaning", line)
			return
		}
		p.entries = append(p.entries, Entry{Word: word, Meaning: meaning})
		p.say(line + "\n")
	}
}

func (p *builder) units() {
	p.say("| unit | printed | what it is | of |\n|---|---|---|---|\n")
	for _, u := range quantity.Units() {
		p.say(fmt.Sprintf("| `%s` | %s | %s | %s |\n", u.Code, strings.ReplaceAll(u.Symbol, quantity.NBSP, " "), u.Name, u.Dimension))
	}
}

func (p *builder) codes() {
	p.say("| code | kind | what is wrong |\n|---|---|---|\n")
	for _, e := range message.Catalogue() {
		p.say(fmt.Sprintf("| %s | %s | %s |\n", e.Code, e.Severity, e.Title))
	}
}
