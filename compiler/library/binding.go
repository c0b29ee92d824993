package library

import (
	"hash/fnv"
	"runtime"
	"slices"
	"sync"

	"github.com/alecthomas/participle/v2/lexer"

	"benchproof/compiler/quantity"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// Bind makes the library that the files declare. Files are taken in the order
// given, which should be that of their paths. The messages are not sorted.
func Bind(files []*syntax.File) (*Library, []*message.Message) {
	b := NewBinding()
	b.Update(files)
	b.bindAll()
	b.Close()
	return b.Library(), b.Messages()
}

// A Binding keeps a library bound while its files change. What is declared
// keeps its identity as long as its file, sort and name stay; what is bound is
// bound anew where its own text or something it names has changed.
//
// Update takes in changed files and binds the things; it says which procedures
// and trials are stale. Bind binds one of them, several at a time if need be;
// what it returns puts the result in its place. Close tells what can be told
// only when nothing is stale. Nothing but Bind may run beside another method.
type Binding struct {
	lib     *Library
	files   []*declared
	trees   map[*source.File]*syntax.File
	globals map[string]Symbol
	// namesAt counts the changes of the names that are declared.
	namesAt int
	nodes   map[Symbol]node
	// hashes tell whether the text of a declaration has changed: of a thing all
	// of it, of a procedure what stands before its first step.
	hashes map[Symbol]uint64
	// lost counts the files that may declare a name where they did not parse.
	lost      map[string]int
	recursive map[*Routine]bool
	// lookedUp are the names that each thing has looked up.
	lookedUp map[Symbol]map[string]bool
	// was and shapes are, during an update, what the things were before: their
	// members, states and columns, and what others made of them.
	was    map[Symbol]map[string]Symbol
	shapes map[Symbol]shape
	// moves tell where declarations went whose text is the same in a changed
	// file; lostNow are the names that have become lost or were found again.
	moves   map[*source.File][]move
	lostNow map[string]bool
	units   map[Symbol]*unit
	stale   map[Symbol]bool
	// used counts the uses of a symbol in bound declarations.
	used map[Symbol]int

	things                  *unit
	general, closing        []*message.Message
	signature, settingsWere uint64
}

// A declared is one file and what it declares.
type declared struct {
	tree    *syntax.File
	symbols []Symbol // nil where a library is declared
	lost    []string
	// things: it declares things, or the library itself.
	things bool
}

// A unit is what came of binding one declaration.
type unit struct {
	messages []*message.Message
	refs     []Reference
	uses     []Symbol
	names    map[string]bool
	missed   map[string]bool
	// headNames are those looked up in the head of a procedure.
	headNames map[string]bool
	hints     []hint
	scope     *scope
	files     []*source.File // in which refs stand
	// moved: a routine set out in it stands elsewhere now. What is bound holds,
	// but the places in its flow do not.
	moved bool
}

// A move is where a declaration stood in a file that has changed, and the
// symbol that says where it stands now; nil: its text has changed.
type move struct {
	start, end int
	to         Symbol
}

// Changes tell what an update has changed for those who keep what they found
// of bound procedures.
type Changes struct {
	// Rules: something changed that may bear on every procedure.
	Rules bool
	// Things: the things were bound anew, and their places may have moved.
	Things bool
	// Figures: a figure has changed.
	Figures bool
}

// NewBinding makes a binding of no files.
func NewBinding() *Binding {
	b := &Binding{
		lib: &Library{}, globals: map[string]Symbol{}, nodes: map[Symbol]node{}, hashes: map[Symbol]uint64{}, lookedUp: map[Symbol]map[string]bool{},
		units: map[Symbol]*unit{}, stale: map[Symbol]bool{}, used: map[Symbol]int{}, things: &unit{},
	}
	b.lib.references.of = b.referencesIn
	return b
}

// Library gives the library as it now is: the same one after every update.
func (b *Binding) Library() *Library { return b.lib }

// Update takes in the files of the library, of which most are those it knows.
func (b *Binding) Update(files []*syntax.File) Changes {
	b.was, b.shapes = map[Symbol]map[string]Symbol{}, map[Symbol]shape{}
	b.moves, b.lostNow = map[*source.File][]move{}, map[string]bool{}
	names, thingFiles := b.take(files)
	b.lib.Files = files
	b.lib.references.forget()
	g := b.binder()
	b.collect(g, names)
	changes := Changes{}
	if thingFiles || b.lookUpAny(names) || meet(b.things.missed, b.lostNow) || !b.follow(b.things) {
		changes.Things = true
		changes.Figures = b.bindThings(names)
	}
	b.routines(g, names)
	b.general, b.closing = g.messages, nil
	b.staleUnits(names, changes.Things)
	signature, settings := b.sign(), b.settings()
	changes.Rules = signature != b.signature || settings != b.settingsWere
	b.signature, b.settingsWere = signature, settings
	b.was, b.shapes = nil, nil
	return changes
}

// take makes the files those of the library. It gives the names whose meaning
// has changed with the files, and tells whether files that declare things have
// come, gone or changed.
func (b *Binding) take(files []*syntax.File) (names map[string]bool, things bool) {
	names = map[string]bool{}
	known := make(map[*syntax.File]*declared, len(b.files))
	byPath := make(map[string]*declared, len(b.files))
	for _, d := range b.files {
		known[d.tree] = d
		byPath[d.tree.Source.Path] = d
	}
	now := make([]*declared, len(files))
	b.trees = make(map[*source.File]*syntax.File, len(files))
	kept := map[*declared]bool{}
	for i, f := range files {
		b.trees[f.Source] = f
		if d := known[f]; d != nil {
			now[i] = d
			kept[d] = true
		}
	}
	for i, f := range files {
		if now[i] != nil {
			continue
		}
		was := byPath[f.Source.Path]
		if was != nil && kept[was] {
			was = nil
		}
		now[i] = b.declare(f, was, names)
		things = things || now[i].things
		if was != nil {
			things = things || was.things
			kept[was] = true // what remains of it is in the new one
			b.drop(was, now[i])
		}
	}
	for _, d := range b.files {
		if !kept[d] {
			things = things || d.things
			b.drop(d, nil)
		}
	}
	lost := map[string]int{}
	for _, d := range now {
		for _, name := range d.lost {
			lost[name]++
		}
	}
	for name := range lost {
		if b.lost[name] == 0 {
			b.lostNow[name] = true
		}
	}
	for name := range b.lost {
		if lost[name] == 0 {
			b.lostNow[name] = true
		}
	}
	b.lost, b.files = lost, now
	return names, things
}

// drop forgets what a file declared and what has taken its place does not.
func (b *Binding) drop(was, now *declared) {
	keeps := map[Symbol]bool{}
	if now != nil {
		for _, s := range now.symbols {
			keeps[s] = true
		}
	}
	for _, s := range was.symbols {
		if s == nil || keeps[s] {
			continue
		}
		b.put(s, nil)
		delete(b.nodes, s)
		delete(b.hashes, s)
		delete(b.lookedUp, s)
		delete(b.stale, s)
	}
}

// put puts what came of a declaration in the place of what came of it before.
func (b *Binding) put(s Symbol, u *unit) {
	if old := b.units[s]; old != nil {
		for _, x := range old.uses {
			b.used[x]--
		}
	}
	if u == nil {
		delete(b.units, s)
		return
	}
	b.units[s] = u
	for _, x := range u.uses {
		b.used[x]++
	}
	delete(b.stale, s)
}

// identity is what a declaration is recognised by within its file.
type identity struct{ sort, name string }

func identityOf(d syntax.Declaration) identity {
	switch d := d.(type) {
	case *syntax.Thing:
		if d.Name != nil {
			return identity{d.Keyword(), d.Name.Text}
		}
	case *syntax.Routine:
		return identity{d.Keyword(), d.Name.Text}
	case *syntax.Procedure:
		return identity{d.Keyword(), d.Name.Text}
	case *syntax.Trial:
		return identity{d.Keyword(), d.Title.Value()}
	}
	return identity{sort: d.Keyword()}
}

// declare makes symbols of what a file declares. Those that it declared before
// are the same again.
func (b *Binding) declare(f *syntax.File, was *declared, names map[string]bool) *declared {
	before := map[identity][]Symbol{}
	if was != nil {
		for _, s := range was.symbols {
			if s != nil {
				id := identityOf(b.nodes[s].decl)
				before[id] = append(before[id], s)
			}
		}
	}
	out := &declared{tree: f, lost: lostNames(f)}
	for _, d := range f.Declarations {
		id := identityOf(d)
		var s Symbol
		var stood source.Span
		if same := before[id]; len(same) > 0 {
			s, before[id] = same[0], same[1:]
			stood = s.Declared().Whole
		} else if s = blank(d); s == nil {
			out.things = true // the library's own declaration
			out.symbols = append(out.symbols, nil)
			continue
		}
		out.symbols = append(out.symbols, s)
		b.nodes[s] = node{f.Source, d}
		b.stale[s] = true
		switch d := d.(type) {
		case *syntax.Thing:
			out.things = true
		case *syntax.Procedure:
			end := d.End()
			if len(d.Body) > 0 {
				end = d.Body[0].Start()
			}
			if hash := hashOf(f, d.Start(), end); hash != b.hashes[s] {
				b.hashes[s] = hash
				names[id.name] = true
			}
		}
		b.reset(s)
		same := !stood.IsZero() && stood.Text() == s.Declared().Whole.Text()
		if r, ok := s.(*Routine); ok && (!same || faulty(was.tree, stood) || faulty(f, r.Whole)) {
			names[id.name] = true
		}
		if same {
			b.moves[stood.File] = append(b.moves[stood.File], move{stood.Start, stood.End, s})
		}
	}
	return out
}

// faulty tells whether something in a stretch of a file did not parse.
func faulty(f *syntax.File, whole source.Span) bool {
	return slices.ContainsFunc(f.Messages, func(m *message.Message) bool {
		return m.IsError() && m.Span.Start <= whole.End && m.Span.End >= whole.Start
	})
}

// Moved gives where a stretch of a file stands now that was changed in the last
// update; false where that cannot be told.
func (b *Binding) Moved(s source.Span) (source.Span, bool) {
	if s.File == nil || b.trees[s.File] != nil {
		return s, true
	}
	for _, m := range b.moves[s.File] {
		if m.start <= s.Start && s.End <= m.end {
			now := m.to.Declared().Whole
			return now.File.Span(now.Start+s.Start-m.start, now.Start+s.End-m.start), true
		}
	}
	return s, false
}

// Follow gives messages with their places as they are after the last update;
// false where that cannot be told. A message once told is not written to.
func (b *Binding) Follow(list []*message.Message) ([]*message.Message, bool) {
	var out []*message.Message
	for i, m := range list {
		good, moved := true, false
		at := func(s source.Span) source.Span {
			now, ok := b.Moved(s)
			good, moved = good && ok, moved || now != s
			return now
		}
		now := *m
		now.Span = at(m.Span)
		now.Related, now.Edits = slices.Clone(m.Related), slices.Clone(m.Edits)
		for i := range now.Related {
			now.Related[i].Span = at(now.Related[i].Span)
		}
		for i := range now.Edits {
			now.Edits[i].Span = at(now.Edits[i].Span)
		}
		if !good {
			return nil, false
		}
		if moved {
			if out == nil {
				out = slices.Clone(list)
			}
			out[i] = &now
		}
	}
	if out == nil {
		return list, true
	}
	return out, true
}

// follow brings the places that a unit names up to date.
func (b *Binding) follow(u *unit) bool {
	if len(b.moves) == 0 && !slices.ContainsFunc(u.files, func(f *source.File) bool { return b.trees[f] == nil }) {
		return len(u.messages) == 0 || b.followMessages(u)
	}
	for _, h := range u.hints {
		if b.trees[h.span.File] == nil {
			return false
		}
	}
	for i := range u.refs {
		if b.trees[u.refs[i].Span.File] != nil {
			continue
		}
		now, ok := b.Moved(u.refs[i].Span)
		if !ok {
			return false
		}
		u.refs[i].Span = now
	}
	if u.scope != nil && !b.followScope(u.scope) {
		return false
	}
	for i, f := range u.files {
		if b.trees[f] == nil {
			u.files[i] = b.moves[f][0].to.Declared().Whole.File
		}
	}
	return b.followMessages(u)
}

// followScope brings the places up to date where a procedure's own names are
// declared: in a routine, as it may be.
func (b *Binding) followScope(s *scope) bool {
	good := true
	move := func(x Symbol) {
		d := x.Declared()
		var ok1, ok2 bool
		d.Span, ok1 = b.Moved(d.Span)
		d.Whole, ok2 = b.Moved(d.Whole)
		good = good && ok1 && ok2
	}
	for _, x := range s.known {
		move(x)
		if q, ok := x.(*Question); ok {
			for _, a := range q.Answers {
				move(a)
			}
		}
	}
	return good
}

func (b *Binding) followMessages(u *unit) (ok bool) {
	u.messages, ok = b.Follow(u.messages)
	return ok
}

// hashOf sums up the words of a stretch of a file, without comments and layout.
func hashOf(f *syntax.File, start, end int) uint64 {
	h := fnv.New64a()
	i, _ := slices.BinarySearchFunc(f.Tokens, start, func(t lexer.Token, at int) int { return t.Pos.Offset - at })
	for ; i < len(f.Tokens) && f.Tokens[i].Pos.Offset < end; i++ {
		if t := &f.Tokens[i]; t.Type != syntax.CommentToken {
			h.Write([]byte(t.Value))
			h.Write([]byte{0})
		}
	}
	return h.Sum64()
}

// blank makes the symbol of a declaration; nil for the library itself.
func blank(d syntax.Declaration) Symbol {
	switch d.Keyword() {
	case "variant":
		return &Variant{}
	case "condition":
		return &Condition{}
	case "hazard":
		return &Hazard{}
	case "tool":
		return &Tool{}
	case "kit":
		return &Kit{}
	case "part":
		return &Part{}
	case "consumable":
		return &Consumable{}
	case "table":
		return &Table{}
	case "figure":
		return &Figure{}
	case "video":
		return &Video{}
	case "routine":
		return &Routine{}
	case "procedure":
		return &Procedure{}
	case "trial":
		return &Trial{}
	}
	return nil
}

// reset makes a symbol what its declaration alone says, and notes what it was.
func (b *Binding) reset(s Symbol) {
	b.shapes[s], b.was[s] = shapeOf(s), children(s)
	n := b.nodes[s]
	at := func(p syntax.Place) source.Span { return p.In(n.file) }
	var decl Decl
	switch d := n.decl.(type) {
	case *syntax.Thing:
		decl = Decl{Name: d.Name.Text, Title: textValue(d.Title), Span: at(d.Name), Whole: at(d)}
	case *syntax.Routine:
		decl = Decl{Name: d.Name.Text, Title: textValue(d.Title), Span: at(d.Name), Whole: at(d)}
	case *syntax.Procedure:
		decl = Decl{Name: d.Name.Text, Title: textValue(d.Title), Span: at(d.Name), Whole: at(d)}
	case *syntax.Trial:
		decl = Decl{Name: textValue(d.Title), Title: textValue(d.Title), Span: at(d.Title), Whole: at(d)}
	}
	switch s := s.(type) {
	case *Variant:
		*s = Variant{Decl: decl}
	case *Condition:
		*s = Condition{Decl: decl}
	case *Hazard:
		*s = Hazard{Decl: decl}
	case *Tool:
		*s = Tool{Common: Common{Decl: decl}, Props: map[string]source.Span{}}
	case *Kit:
		*s = Kit{Decl: decl}
	case *Part:
		*s = Part{Common: Common{Decl: decl}, Props: map[string]source.Span{}}
	case *Consumable:
		*s = Consumable{Common: Common{Decl: decl}}
	case *Table:
		*s = Table{Decl: decl}
	case *Figure:
		*s = Figure{Decl: decl}
	case *Video:
		*s = Video{Decl: decl}
	case *Routine:
		*s = Routine{Decl: decl, File: n.file}
	case *Procedure:
		*s = Procedure{Decl: decl, File: n.file}
	case *Trial:
		*s = Trial{Decl: decl}
	}
}

// collect lists all symbols and makes them known by their names, in order.
func (b *Binding) collect(g *binder, names map[string]bool) {
	lib := b.lib
	*lib = Library{Files: lib.Files, Language: "en", Decision: Decision{Factor: quantity.NewInt(1)}, references: lib.references}
	globals := make(map[string]Symbol, len(b.globals))
	var library *syntax.Thing
	for _, f := range b.files {
		g.file = f.tree.Source
		for i, s := range f.symbols {
			if s == nil {
				d := f.tree.Declarations[i].(*syntax.Thing)
				if library != nil {
					g.wrong("BP202", g.at(d.Kind), "the library is declared twice").Relate(lib.Place, "declared here")
					continue
				}
				library = d
				g.library(d)
				continue
			}
			b.list(s)
			if _, trial := s.(*Trial); trial {
				continue
			}
			d := s.Declared()
			g.checkName(d.Name, d.Span)
			if _, procedure := s.(*Procedure); procedure {
				g.checkFileName(d.Name, d.Span)
			}
			if first, taken := globals[d.Name]; taken {
				g.wrong("BP202", d.Span, "%s is declared twice", quoted(d.Name)).
					Relate(first.Declared().Span, "declared here as %s", article(first.Sort()))
				continue
			}
			globals[d.Name] = s
		}
	}
	same := true
	for name, s := range globals {
		if b.globals[name] != s {
			names[name] = true
			same = false
		}
	}
	for name := range b.globals {
		if globals[name] == nil {
			names[name] = true
			same = false
		}
	}
	if !same {
		b.namesAt++
	}
	b.globals = globals
}

// list adds a symbol to the list of its sort.
func (b *Binding) list(s Symbol) {
	lib := b.lib
	switch s := s.(type) {
	case *Variant:
		lib.Variants = append(lib.Variants, s)
	case *Condition:
		lib.Conditions = append(lib.Conditions, s)
	case *Hazard:
		lib.Hazards = append(lib.Hazards, s)
	case *Tool:
		lib.Tools = append(lib.Tools, s)
	case *Kit:
		lib.Kits = append(lib.Kits, s)
	case *Part:
		lib.Parts = append(lib.Parts, s)
	case *Consumable:
		lib.Consumables = append(lib.Consumables, s)
	case *Table:
		lib.Tables = append(lib.Tables, s)
	case *Figure:
		lib.Figures = append(lib.Figures, s)
	case *Video:
		lib.Videos = append(lib.Videos, s)
	case *Routine:
		lib.Routines = append(lib.Routines, s)
	case *Procedure:
		lib.Procedures = append(lib.Procedures, s)
	case *Trial:
		lib.Trials = append(lib.Trials, s)
	}
}

// lookUpAny tells whether a thing has looked up one of these names.
func (b *Binding) lookUpAny(names map[string]bool) bool {
	for _, looked := range b.lookedUp {
		if meet(looked, names) {
			return true
		}
	}
	return false
}

func meet(a, b map[string]bool) bool {
	if len(b) < len(a) {
		a, b = b, a
	}
	for name := range a {
		if b[name] {
			return true
		}
	}
	return false
}

// eachThing calls f for every thing, in the order in which they are declared.
func (b *Binding) eachThing(f func(Symbol)) {
	for _, file := range b.files {
		for _, s := range file.symbols {
			switch s.(type) {
			case nil, *Routine, *Procedure, *Trial:
			default:
				f(s)
			}
		}
	}
}

// A shape is what other declarations make of a thing.
type shape struct {
	kind, kindOf, replaced Symbol
	broken                 bool
	behind, kits           int
}

func shapeOf(s Symbol) shape {
	out := shape{broken: s.Declared().Broken, replaced: s.Declared().ReplacedBy}
	switch s := s.(type) {
	case *Part:
		if s.Kind != nil {
			out.kind = s.Kind
		}
		if s.IsKind {
			out.kindOf = s
		}
		out.behind = len(s.Behind)
	case *Tool:
		out.kits = len(s.Kits)
	}
	return out
}

// bindThings binds all things anew and adds the names of those that have
// changed, or that name one that has. It tells whether a figure is among them.
func (b *Binding) bindThings(names map[string]bool) (figures bool) {
	b.eachThing(func(s Symbol) {
		if _, renewed := b.shapes[s]; !renewed {
			b.reset(s)
		}
	})
	clear(b.lookedUp)
	for _, s := range b.things.uses {
		b.used[s]--
	}
	t := b.binder()
	t.things()
	b.things = t.found()
	for _, s := range b.things.uses {
		b.used[s]++
	}
	changed := map[Symbol]bool{}
	b.eachThing(func(s Symbol) {
		n := b.nodes[s]
		hash := hashOf(b.trees[n.file], n.decl.Start(), n.decl.End())
		if hash != b.hashes[s] || b.shapes[s] != shapeOf(s) {
			changed[s] = true
			names[s.Declared().Name] = true
		}
		b.hashes[s] = hash
		delete(b.stale, s)
	})
	for grown := true; grown; {
		grown = false
		b.eachThing(func(s Symbol) {
			if !changed[s] && meet(b.lookedUp[s], names) {
				changed[s], grown = true, true
				names[s.Declared().Name] = true
			}
		})
	}
	for _, f := range b.lib.Figures {
		figures = figures || changed[f]
	}
	return figures
}

// children gives what is declared within a thing, by name.
func children(s Symbol) map[string]Symbol {
	out := map[string]Symbol{}
	switch s := s.(type) {
	case *Variant:
		for _, c := range s.Members {
			out[c.Name] = c
		}
	case *Condition:
		for _, c := range s.States {
			out[c.Name] = c
		}
	case *Table:
		for _, c := range s.Columns {
			out[c.Name] = c
		}
	default:
		return nil
	}
	return out
}

// child puts what a thing declares in the place of what it declared by that
// name before, so that it is the same thing.
func child[T any, P interface {
	*T
	Symbol
}](was map[Symbol]map[string]Symbol, of Symbol, name string, now P) P {
	old, ok := was[of][name].(P)
	if !ok {
		return now
	}
	delete(was[of], name) // a second one of this name is another
	*old = *now
	return old
}

// routines finds the routines that perform themselves.
func (b *Binding) routines(g *binder, names map[string]bool) {
	was := b.recursive
	b.recursive = map[*Routine]bool{}
	g.routines()
	for _, r := range b.lib.Routines {
		if was[r] != b.recursive[r] {
			names[r.Name] = true
		}
	}
}

// staleUnits marks what is to be bound anew.
func (b *Binding) staleUnits(names map[string]bool, things bool) {
	for _, p := range b.lib.Procedures {
		if u := b.units[p]; u != nil && meet(u.headNames, names) {
			names[p.Name] = true
		}
	}
	touched := func(s Symbol) bool {
		u := b.units[s]
		return u == nil || b.stale[s] || things && len(u.messages) > 0 || meet(u.names, names) || meet(u.missed, b.lostNow) || !b.follow(u)
	}
	moved := map[*Routine]bool{}
	for _, list := range b.moves {
		for _, m := range list {
			if r, ok := m.to.(*Routine); ok {
				moved[r] = true
			}
		}
	}
	for _, p := range b.lib.Procedures {
		if touched(p) {
			b.stale[p] = true
			continue
		}
		for r := range b.units[p].scope.performed {
			b.units[p].moved = b.units[p].moved || moved[r]
		}
	}
	for _, t := range b.lib.Trials {
		if touched(t) || t.Of == nil || b.stale[t.Of] {
			b.stale[t] = true
		}
	}
	for _, r := range b.lib.Routines {
		if b.units[r] != nil && touched(r) {
			b.stale[r] = true
		}
	}
}

// Stale gives the procedures, then the trials that are to be bound; trials are
// bound when their procedures are.
func (b *Binding) Stale() (procedures []*Procedure, trials []*Trial) {
	if len(b.stale) == 0 {
		return nil, nil
	}
	for _, p := range b.lib.Procedures {
		if b.stale[p] {
			procedures = append(procedures, p)
		}
	}
	for _, t := range b.lib.Trials {
		if b.stale[t] {
			trials = append(trials, t)
		}
	}
	return procedures, trials
}

// IsStale tells whether a procedure or trial is to be bound.
func (b *Binding) IsStale(s Symbol) bool { return b.stale[s] }

// IsMoved tells whether the places in the flow of a bound procedure are those of
// an earlier text: it is bound again before they are made use of.
func (b *Binding) IsMoved(p *Procedure) bool { return b.units[p] != nil && b.units[p].moved }

// Shows gives a procedure that sets out a routine; nil where none does.
func (b *Binding) Shows(r *Routine) *Procedure {
	for _, p := range b.lib.Procedures {
		if u := b.units[p]; u != nil && u.scope.performed[r] {
			return p
		}
	}
	return nil
}

// Awaits gives the procedures that a bound procedure names and that are to be
// bound: until they are, it cannot be judged.
func (b *Binding) Awaits(p *Procedure) (list []*Procedure) {
	u := b.units[p]
	if u == nil || len(b.stale) == 0 {
		return nil
	}
	for name := range u.names {
		if other, ok := b.globals[name].(*Procedure); ok && other != p && b.stale[other] {
			list = append(list, other)
		}
	}
	return list
}

// Ready tells whether the procedure of a trial is bound, so that the trial can be.
func (b *Binding) Ready(t *Trial) bool {
	p, ok := b.globals[b.nodes[t].decl.(*syntax.Trial).Of.Text].(*Procedure)
	return !ok || !b.stale[p]
}

// Bind binds a procedure or a trial. What it found is put in its place by keep.
func (b *Binding) Bind(s Symbol) (keep func()) {
	w := b.binder()
	var replace func()
	switch s := s.(type) {
	case *Procedure:
		now := &Procedure{Decl: s.Decl, File: s.File}
		now.Broken = false
		sc := w.procedure(s, now)
		replace = func() {
			*s = *now
			sc.proc = s
			// Its trials name what it measures and asks, which is new.
			for _, t := range b.lib.Trials {
				if t.Of == s {
					b.stale[t] = true
				}
			}
		}
	case *Trial:
		now := &Trial{Decl: s.Decl}
		now.Broken = false
		w.trial(s, now)
		replace = func() { *s = *now }
	}
	u := w.found()
	return func() {
		replace()
		b.put(s, u)
		b.lib.references.forget()
		b.closing = nil
	}
}

// found gives what a binder found.
func (b *binder) found() *unit {
	u := &unit{messages: b.messages, refs: b.refs, uses: b.uses, names: b.names, missed: b.missed, headNames: b.headNames, hints: b.hints, scope: b.scope}
	for _, r := range b.refs {
		if !slices.Contains(u.files, r.Span.File) {
			u.files = append(u.files, r.Span.File)
		}
	}
	return u
}

// bindAll binds all that is stale on all processors.
func (b *Binding) bindAll() {
	procedures, trials := b.Stale()
	inParallel(len(procedures), func(i int) func() { return b.Bind(procedures[i]) })
	inParallel(len(trials), func(i int) func() { return b.Bind(trials[i]) })
}

// inParallel does n pieces of work and then keeps their results in order. A
// panic of one comes out of it.
func inParallel(n int, work func(int) (keep func())) {
	keeps := make([]func(), n)
	var failed any
	var once sync.Once
	var wg sync.WaitGroup
	next := make(chan int)
	for range min(n, runtime.GOMAXPROCS(0)) {
		wg.Go(func() {
			for i := range next {
				func() {
					defer func() {
						if p := recover(); p != nil {
							once.Do(func() { failed = p })
						}
					}()
					keeps[i] = work(i)
				}()
			}
		})
	}
	for i := range n {
		next <- i
	}
	close(next)
	wg.Wait()
	if failed != nil {
		panic(failed)
	}
	for _, keep := range keeps {
		keep()
	}
}

// maxHints bounds the work of looking for near names in a hostile library.
const maxHints = 200

// Close tells what is known when nothing is stale: the faults of routines that
// nobody performs, names given twice and things never used, near names.
func (b *Binding) Close() {
	performed := map[*Routine]bool{}
	for _, p := range b.lib.Procedures {
		for r := range b.units[p].scope.performed {
			performed[r] = true
		}
	}
	for _, r := range b.lib.Routines {
		switch {
		case performed[r]:
			b.put(r, nil)
			delete(b.stale, r)
		case b.stale[r] || b.units[r] == nil:
			w := b.binder()
			w.routine(r)
			b.put(r, w.found())
		}
	}
	b.offer()
	b.close()
	b.lib.references.forget()
}

// close tells of names given twice and of what is never used.
func (b *Binding) close() {
	c := b.binder()
	c.titles()
	c.unused()
	b.closing = append([]*message.Message{}, c.messages...)
}

// offer adds the nearest names to the first messages about unknown ones, where
// it was not done from the names that are declared now. A message once told is
// not written to: another takes its place.
func (b *Binding) offer() {
	n := 0
	b.eachUnit(func(u *unit) {
		for i := range u.hints {
			h := &u.hints[i]
			from := b.namesAt
			if n++; n > maxHints {
				from = 0
			}
			if h.offered == from {
				continue
			}
			h.offered = from
			m := h.bare
			u.messages[h.index] = &m
			if from == 0 {
				continue
			}
			var names []string
			for name, s := range b.globals {
				if h.fits(s) {
					names = append(names, name)
				}
			}
			offerNames(&m, h.name, h.span, names)
		}
	})
}

// eachUnit calls f for what came of every declaration, in order.
func (b *Binding) eachUnit(f func(*unit)) {
	f(b.things)
	each := func(s Symbol) {
		if u := b.units[s]; u != nil {
			f(u)
		}
	}
	for _, p := range b.lib.Procedures {
		each(p)
	}
	for _, r := range b.lib.Routines {
		each(r)
	}
	for _, t := range b.lib.Trials {
		each(t)
	}
}

// Messages gives all messages, not sorted. While something is stale they are
// those of what was bound before it.
func (b *Binding) Messages() []*message.Message {
	if b.closing == nil {
		b.close()
	}
	out := slices.Clone(b.general)
	b.eachUnit(func(u *unit) { out = append(out, u.messages...) })
	return append(out, b.closing...)
}

// referencesIn gives what is named in a file, in order.
func (b *Binding) referencesIn(f *source.File) []Reference {
	var out []Reference
	b.eachUnit(func(u *unit) {
		if !slices.Contains(u.files, f) {
			return
		}
		for _, r := range u.refs {
			if r.Span.File == f {
				out = append(out, r)
			}
		}
	})
	slices.SortStableFunc(out, func(x, y Reference) int {
		if x.Span.Start != y.Span.Start {
			return x.Span.Start - y.Span.Start
		}
		return x.Span.End - y.Span.End
	})
	// A routine's names are listed once, not once for each procedure that
	// performs it; its own readings are one of each.
	kept := out[:0]
	from := 0
	for _, r := range out {
		if from < len(kept) && kept[from].Span != r.Span {
			from = len(kept)
		}
		if !slices.Contains(kept[from:], r) {
			kept = append(kept, r)
		}
	}
	return kept
}

// sign sums up what of the things bears on procedures that do not name them:
// the conditions, the hazards they make safe, and what guards those.
func (b *Binding) sign() uint64 {
	h := fnv.New64a()
	say := func(words ...string) {
		for _, w := range words {
			h.Write([]byte(w))
			h.Write([]byte{0})
		}
	}
	stateName := func(s *State) string {
		if s == nil {
			return ""
		}
		return s.Condition.Name + " " + s.Name
	}
	for _, c := range b.lib.Conditions {
		say("condition", c.Name, stateName(c.Begins), stateName(c.Ends))
		for _, s := range c.States {
			say(s.Name)
		}
	}
	for _, z := range b.lib.Hazards {
		say("hazard", z.Name, stateName(z.Safe))
	}
	for _, p := range b.lib.Parts {
		for _, z := range p.Guards {
			say("guards", p.Name, z.Name)
		}
	}
	return h.Sum64()
}

// settings sums up what the library's own declaration says.
func (b *Binding) settings() uint64 {
	h := fnv.New64a()
	h.Write([]byte(b.lib.Language + "\x00" + b.lib.Decision.Factor.Exact() + "\x00"))
	if b.lib.Decision.Guarded {
		h.Write([]byte("guarded"))
	}
	for _, a := range b.lib.Allows {
		h.Write([]byte(a.Code + "\x00"))
	}
	return h.Sum64()
}
