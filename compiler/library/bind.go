package library

import (
	"cmp"
	"fmt"
	"slices"
	"strings"
	"unicode"

	"benchproof/compiler/quantity"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// Bind makes the library that the files declare. Files are taken in the order
// given, which should be that of their paths. The messages are not sorted.
func Bind(files []*syntax.File) (*Library, []*message.Message) {
	b := &binder{
		lib:     &Library{Files: files, Language: "en", Decision: Decision{Factor: quantity.NewInt(1)}},
		globals: map[string]Symbol{},
		nodes:   map[Symbol]node{},
		lost:    lostNames(files),
		seen:    map[source.Span]bool{},
		scopes:  map[*Procedure]*scope{},
	}
	b.collect()
	b.things()
	b.routines()
	b.procedures()
	b.trials()
	b.unused()
	slices.SortFunc(b.lib.References, func(x, y Reference) int {
		if x.Span.Less(y.Span) {
			return -1
		}
		if y.Span.Less(x.Span) {
			return 1
		}
		return 0
	})
	return b.lib, b.messages
}

// A binder holds what is known while a library is bound.
type binder struct {
	lib      *Library
	messages []*message.Message
	file     *source.File // of the declaration at hand
	globals  map[string]Symbol
	nodes    map[Symbol]node
	// lost are names that a file which did not parse may have declared: that
	// they are unknown follows from that fault and is not told again.
	lost map[string]bool
	// seen keeps a reference in a routine from being listed once for each
	// procedure that performs it.
	seen      map[source.Span]bool
	hints     int
	recursive map[*Routine]bool
	scopes    map[*Procedure]*scope
}

// A node is the syntax a symbol was declared with.
type node struct {
	file *source.File
	decl syntax.Declaration
}

func (b *binder) at(p syntax.Place) source.Span { return p.In(b.file) }

func (b *binder) say(m *message.Message) *message.Message {
	b.messages = append(b.messages, m)
	return m
}

func (b *binder) wrong(code message.Code, span source.Span, format string, args ...any) *message.Message {
	return b.say(message.New(code, span, format, args...))
}

// lostNames gathers the names behind a declaring word in files with messages.
func lostNames(files []*syntax.File) map[string]bool {
	lost := map[string]bool{}
	for _, f := range files {
		if len(f.Messages) == 0 {
			continue
		}
		for i := 0; i+1 < len(f.Tokens); i++ {
			if declaring[f.Tokens[i].Value] {
				lost[f.Tokens[i+1].Value] = true
			}
		}
	}
	return lost
}

var declaring = map[string]bool{
	"variant": true, "condition": true, "hazard": true, "tool": true, "kit": true, "part": true, "consumable": true, "table": true,
	"figure": true, "video": true, "routine": true, "procedure": true, "ask": true, "of": true,
}

// collect makes a symbol of each declaration, so that names are known in any order.
func (b *binder) collect() {
	var library *syntax.Thing
	for _, f := range b.lib.Files {
		b.file = f.Source
		for _, d := range f.Declarations {
			switch d := d.(type) {
			case *syntax.Thing:
				if d.Kind.Text == "library" {
					if library != nil {
						b.wrong("BP202", b.at(d.Kind), "the library is declared twice").Relate(b.lib.Place, "declared here")
						continue
					}
					library = d
					b.library(d)
					continue
				}
				b.collectThing(d)
			case *syntax.Routine:
				r := &Routine{Decl: b.decl(d.Name, d.Title, d), File: b.file}
				b.lib.Routines = append(b.lib.Routines, r)
				b.declare(r, d)
			case *syntax.Procedure:
				p := &Procedure{Decl: b.decl(d.Name, d.Title, d), File: b.file}
				b.lib.Procedures = append(b.lib.Procedures, p)
				b.declare(p, d)
			case *syntax.Trial:
				t := &Trial{Decl: Decl{Title: textValue(d.Title), Name: textValue(d.Title), Span: b.at(d.Title), Whole: b.at(d)}}
				b.lib.Trials = append(b.lib.Trials, t)
				b.nodes[t] = node{b.file, d}
			}
		}
	}
}

func textValue(t *syntax.Text) string {
	if t == nil {
		return ""
	}
	return t.Value()
}

func (b *binder) decl(name *syntax.Name, title *syntax.Text, whole syntax.Place) Decl {
	return Decl{Name: name.Text, Title: textValue(title), Span: b.at(name), Whole: b.at(whole)}
}

func (b *binder) collectThing(d *syntax.Thing) {
	decl := b.decl(d.Name, d.Title, d)
	var s Symbol
	switch d.Kind.Text {
	case "variant":
		v := &Variant{Decl: decl}
		b.lib.Variants = append(b.lib.Variants, v)
		s = v
	case "condition":
		c := &Condition{Decl: decl}
		b.lib.Conditions = append(b.lib.Conditions, c)
		s = c
	case "hazard":
		h := &Hazard{Decl: decl}
		b.lib.Hazards = append(b.lib.Hazards, h)
		s = h
	case "tool":
		t := &Tool{Common: Common{Decl: decl}, Props: map[string]source.Span{}}
		b.lib.Tools = append(b.lib.Tools, t)
		s = t
	case "kit":
		k := &Kit{Decl: decl}
		b.lib.Kits = append(b.lib.Kits, k)
		s = k
	case "part":
		p := &Part{Common: Common{Decl: decl}, Props: map[string]source.Span{}}
		b.lib.Parts = append(b.lib.Parts, p)
		s = p
	case "consumable":
		c := &Consumable{Common: Common{Decl: decl}}
		b.lib.Consumables = append(b.lib.Consumables, c)
		s = c
	case "table":
		t := &Table{Decl: decl}
		b.lib.Tables = append(b.lib.Tables, t)
		s = t
	case "figure":
		f := &Figure{Decl: decl}
		b.lib.Figures = append(b.lib.Figures, f)
		s = f
	case "video":
		v := &Video{Decl: decl}
		b.lib.Videos = append(b.lib.Videos, v)
		s = v
	default:
		return
	}
	b.declare(s, d)
}

// declare makes a symbol known by its name.
func (b *binder) declare(s Symbol, d syntax.Declaration) {
	b.nodes[s] = node{b.file, d}
	decl := s.Declared()
	b.checkName(decl.Name, decl.Span)
	if first, taken := b.globals[decl.Name]; taken {
		b.wrong("BP202", decl.Span, "%s is declared twice", quoted(decl.Name)).
			Relate(first.Declared().Span, "declared here as %s", article(first.Sort()))
		return
	}
	b.globals[decl.Name] = s
}

// checkName holds declared names to one form, so that they read the same everywhere.
func (b *binder) checkName(name string, span source.Span) {
	good := func(r rune) bool {
		return unicode.IsLower(r) || unicode.IsDigit(r) || unicode.Is(unicode.Lo, r) || r == '-'
	}
	if strings.IndexFunc(name, func(r rune) bool { return !good(r) }) < 0 {
		return
	}
	mend := strings.Map(func(r rune) rune {
		if r = unicode.ToLower(r); good(r) {
			return r
		}
		return '-'
	}, name)
	b.wrong("BP101", span, "a declared name is written in lower case with hyphens, %s is not", quoted(name)).Helped("write %s", mend)
}

// local makes a name of a variant, condition or procedure known within it.
func (b *binder) local(known map[string]Symbol, s Symbol) bool {
	d := s.Declared()
	if first, taken := known[d.Name]; taken {
		b.wrong("BP202", d.Span, "%s is declared twice", quoted(d.Name)).Relate(first.Declared().Span, "declared here")
		return false
	}
	known[d.Name] = s
	return true
}

func quoted(name string) string { return "“" + name + "”" }

func article(sort string) string {
	if strings.ContainsRune("aeiou", rune(sort[0])) {
		return "an " + sort
	}
	return "a " + sort
}

// use notes that a symbol is named at a place, and tells where it has been replaced.
func (b *binder) use(s Symbol, span source.Span, counts bool) {
	if b.seen[span] {
		return
	}
	b.seen[span] = true
	b.lib.References = append(b.lib.References, Reference{span, s})
	d := s.Declared()
	if counts {
		d.Used++
	}
	if by := d.ReplacedBy; by != nil {
		b.wrong("BP205", span, "the %s %s has been replaced by %s", s.Sort(), quoted(d.Name), quoted(by.Declared().Name)).
			Relate(d.Span, "replaced here").Mend(nameIn(span, d.Name), by.Declared().Name).
			Helped("use %s", quoted(by.Declared().Name))
	}
}

// nameIn narrows the span of a mention to its name.
func nameIn(span source.Span, name string) source.Span {
	if i := strings.Index(span.Text(), name); i >= 0 {
		return source.Span{File: span.File, Start: span.Start + i, End: span.Start + i + len(name)}
	}
	return span
}

// find gives the declared thing of one sort that a name means. what is the
// sort in words, for the message: "a tool".
func find[T Symbol](b *binder, n *syntax.Name, what string) (T, bool) {
	return findAs[T](b, n.Text, b.at(n), what, true)
}

func findAs[T Symbol](b *binder, name string, span source.Span, what string, counts bool) (T, bool) {
	var none T
	s, ok := b.globals[name]
	if !ok {
		b.unknown(name, span, what, func(s Symbol) bool { _, is := s.(T); return is })
		return none, false
	}
	t, ok := s.(T)
	if !ok {
		b.wrong("BP203", span, "%s is %s; here stands %s", quoted(name), article(s.Sort()), what).
			Relate(s.Declared().Span, "declared here")
		b.quietUse(s, span)
		return none, false
	}
	b.use(t, span, counts)
	return t, true
}

// quietUse keeps a thing named in the wrong place from also being called unused.
func (b *binder) quietUse(s Symbol, span source.Span) {
	if !b.seen[span] {
		b.seen[span] = true
		s.Declared().Used++
	}
}

// maxHints bounds the work of looking for near names in a hostile library.
const maxHints = 200

// unknown says that a name is not declared and offers the nearest that are.
func (b *binder) unknown(name string, span source.Span, what string, fits func(Symbol) bool) {
	if b.lost[name] {
		return
	}
	var names []string
	if b.hints < maxHints {
		b.hints++
		for n, s := range b.globals {
			if fits(s) {
				names = append(names, n)
			}
		}
	}
	offerNames(b.wrong("BP201", span, "no %s is called %s", bare(what), quoted(name)), name, span, names)
}

// bare leaves out the articles of "a tool or a consumable".
func bare(what string) string {
	return strings.TrimPrefix(strings.NewReplacer(" a ", " ", " an ", " ").Replace(" "+what), " ")
}

// offerNames adds the nearest names to a message, as an edit where it is one.
func offerNames(m *message.Message, name string, span source.Span, names []string) {
	near := message.Nearest(name, names)
	switch len(near) {
	case 0:
	case 1:
		m.Helped("did you mean %s?", quoted(near[0])).Mend(nameIn(span, name), near[0])
	default:
		for i := range near {
			near[i] = quoted(near[i])
		}
		m.Helped("did you mean %s?", strings.Join(near[:len(near)-1], ", ")+" or "+near[len(near)-1])
	}
}

// unused warns of what is declared and never used. Where a procedure could not
// be bound wholly, what it would have used is not known.
func (b *binder) unused() {
	for _, p := range b.lib.Procedures {
		if p.Broken {
			return
		}
	}
	warn := func(s Symbol) {
		d := s.Declared()
		if d.Used > 0 || d.ReplacedBy != nil || b.globals[d.Name] != s {
			return
		}
		b.wrong("BP204", d.Span, "the %s %s is declared and never used", s.Sort(), quoted(d.Name))
	}
	each(b.lib.Variants, warn)
	each(b.lib.Conditions, warn)
	each(b.lib.Hazards, warn)
	each(b.lib.Tools, warn)
	each(b.lib.Parts, func(s Symbol) {
		// A kind stands for its parts.
		if p := s.(*Part); p.IsKind {
			return
		}
		warn(s)
	})
	each(b.lib.Consumables, warn)
	each(b.lib.Figures, warn)
	each(b.lib.Videos, warn)
	each(b.lib.Routines, warn)
	for _, k := range b.lib.Kits {
		usedAny := false
		for _, t := range k.Holds {
			usedAny = usedAny || t.Declared().Used > 0
		}
		if !usedAny {
			warn(k)
		}
	}
	for _, t := range b.lib.Tables {
		if t.Used == 0 {
			warn(t)
			continue
		}
		for _, c := range t.Columns {
			if c.Used == 0 {
				b.wrong("BP204", c.Span, "the column %s is never used", quoted(c.Name))
			}
		}
	}
}

func each[T Symbol](list []T, f func(Symbol)) {
	for _, s := range list {
		f(s)
	}
}

// byDateNewest orders revisions.
func byDateNewest(list []Revision) {
	slices.SortStableFunc(list, func(x, y Revision) int { return cmp.Compare(y.Date, x.Date) })
}

// plural gives "1 answer", "2 answers".
func plural(n int, word string) string {
	if n == 1 {
		return "1 " + word
	}
	return fmt.Sprintf("%d %ss", n, word)
}
