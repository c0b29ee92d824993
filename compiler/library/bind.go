package library

import (
	"cmp"
	"fmt"
	"regexp"
	"slices"
	"strings"
	"unicode"

	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// A binder binds one declaration, or all things together: what it finds is
// put together by the Binding it works for. It writes to nothing that other
// binders read.
type binder struct {
	*Binding
	file     *source.File // of the declaration at hand
	messages []*message.Message
	refs     []Reference
	// uses are the symbols that the declaration makes use of.
	uses []Symbol
	// seen keeps a place from being listed twice.
	seen map[source.Span]bool
	// names are all names looked up, known or not: what is bound depends on them.
	// Of missed ones it also matters whether they are lost.
	names, missed map[string]bool
	// headNames are those of names that stand in a procedure's head.
	headNames map[string]bool
	scope     *scope // of a procedure
	// hints are the messages for which near names are still to be looked for.
	hints []hint
}

func (b *Binding) binder() *binder {
	return &binder{Binding: b, seen: map[source.Span]bool{}, names: map[string]bool{}, missed: map[string]bool{}}
}

// known gives the declared thing of a name.
func (b *binder) known(name string) (Symbol, bool) {
	b.names[name] = true
	s, ok := b.globals[name]
	return s, ok
}

// symbol gives the declared thing of a name, or nil.
func (b *binder) symbol(name string) Symbol {
	s, _ := b.known(name)
	return s
}

// isLost tells of a name that a file which did not parse may have declared:
// that it is unknown follows from that fault and is not told again.
func (b *binder) isLost(name string) bool {
	b.missed[name] = true
	b.missed[anyName] = true
	return b.lost[name] > 0 || b.lost[anyName] > 0
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

// anyName stands among lost names for every name: a sheet that could not be read
// may have declared it.
const anyName = "*"

// lostNames gathers the names behind a declaring word in a file with messages.
func lostNames(f *syntax.File) (lost []string) {
	lost = slices.Clone(f.Lost)
	if f.LostAll {
		lost = append(lost, anyName)
	}
	if len(f.Messages) == 0 {
		return lost
	}
	for i := 0; i+1 < len(f.Tokens); i++ {
		if declaring[f.Tokens[i].Value] {
			lost = append(lost, f.Tokens[i+1].Value)
		}
	}
	return lost
}

var declaring = map[string]bool{
	"variant": true, "condition": true, "hazard": true, "tool": true, "kit": true, "part": true, "consumable": true, "table": true,
	"figure": true, "video": true, "routine": true, "procedure": true, "ask": true, "of": true,
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

// device is a name that some systems keep for a device, whatever its suffix.
var device = regexp.MustCompile(`^(con|prn|aux|nul|com[0-9]|lpt[0-9])$`)

// checkFileName refuses procedures whose documents cannot be files of their
// names on every system, beside the page that lists them.
func (b *binder) checkFileName(name string, span source.Span) {
	switch {
	case device.MatchString(name):
		b.wrong("BP101", span, "%s cannot name a procedure: some systems keep it for a device, and the documents are files of that name", quoted(name)).
			Helped("give the procedure another name")
	case name == "index":
		b.wrong("BP101", span, "%s cannot name a procedure: the page that lists the documents is called so", quoted(name)).
			Helped("give the procedure another name")
	}
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

// quoted is a name in a message; of one longer than names may be, its beginning.
func quoted(name string) string {
	const most = 100
	if len(name) > most {
		if r := []rune(name); len(r) > most {
			name = string(r[:most]) + "…"
		}
	}
	return "“" + name + "”"
}

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
	b.refs = append(b.refs, Reference{span, s})
	d := s.Declared()
	if counts {
		b.uses = append(b.uses, s)
	}
	if by := d.ReplacedBy; by != nil {
		m := b.wrong("BP205", span, "the %s %s has been replaced by %s", s.Sort(), quoted(d.Name), quoted(by.Declared().Name))
		m.About = d.Name
		m.Relate(d.Span, "replaced here").Mend(nameIn(span, d.Name), by.Declared().Name).
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
	s, ok := b.known(name)
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
		b.uses = append(b.uses, s)
	}
}

// A hint is a message about an unknown name, and the sort of name it may mean.
type hint struct {
	index int             // of the message
	bare  message.Message // as it is without near names
	name  string
	span  source.Span
	fits  func(Symbol) bool
	// offered is the list of names from which near ones are offered; 0: none are.
	offered int
}

// unknown says that a name is not declared; the nearest that are get offered
// when all is bound.
func (b *binder) unknown(name string, span source.Span, what string, fits func(Symbol) bool) {
	if b.isLost(name) {
		return
	}
	m := b.wrong("BP201", span, "no %s is called %s", bare(what), quoted(name))
	m.About = name
	for _, d := range declarations {
		if strings.HasPrefix(what, d.what) {
			m.Helped("declare it, in any file: "+d.form, name, words(name))
			break
		}
	}
	b.hints = append(b.hints, hint{index: len(b.messages) - 1, bare: *m, name: name, span: span, fits: fits})
}

// declarations are the shortest ones of what a name may be missing as; each takes
// the name and a title.
var declarations = []struct{ what, form string }{
	{"a tool or a part", `part %s "%s" { number "…" }`}, // of what is removed, mostly
	{"a tool", `tool %s "%s" { number "…" }`},
	{"a part", `part %s "%s" { number "…" }`},
	{"a hazard", `hazard %s warning "%s" { consequence "…"  avoid "…" }`},
	{"a condition", `condition %s "%s" { states …, …  begins …  ends … }`},
	{"a routine", `routine %s "%s" { step "…" }`},
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
		if d.Span.File != nil && d.Span.File.Sheet != nil {
			return // a shop's list holds more than the procedures use
		}
		if b.used[s] > 0 || d.ReplacedBy != nil || b.globals[d.Name] != s {
			return
		}
		b.wrong("BP204", d.Span, "the %s %s is declared and never used", s.Sort(), quoted(d.Name))
	}
	each(b.lib.Variants, warn)
	each(b.lib.Conditions, warn)
	each(b.lib.Hazards, warn)
	each(b.lib.Tools, warn)
	atWork := b.kindsAtWork()
	each(b.lib.Parts, func(s Symbol) {
		// A kind stands for its parts: where the work names it, any of them may be
		// meant, first of all the one that the machine came with.
		if p := s.(*Part); p.IsKind || p.Kind != nil && atWork[p.Kind] {
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
			usedAny = usedAny || b.used[t] > 0
		}
		if !usedAny {
			warn(k)
		}
	}
	for _, t := range b.lib.Tables {
		if b.used[t] == 0 {
			warn(t)
			continue
		}
		for _, c := range t.Columns {
			if b.used[c] == 0 {
				b.wrong("BP204", c.Span, "the column %s is never used", quoted(c.Name))
			}
		}
	}
}

// kindsAtWork are the kinds that procedures and routines name, and not only
// things that are of them or stand behind them.
func (b *binder) kindsAtWork() map[Symbol]bool {
	among := map[Symbol]int{}
	for _, s := range b.Binding.things.uses {
		among[s]++
	}
	out := map[Symbol]bool{}
	for _, p := range b.lib.Parts {
		if p.IsKind && b.used[p] > among[p] {
			out[p] = true
		}
	}
	return out
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
