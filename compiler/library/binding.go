package library

import (
	"context"
	"slices"

	"benchproof/compiler/crew"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// Bind makes the library that the files declare. Files are taken in the order
// given, which should be that of their paths. The messages are not sorted. The
// trees are the larger part of what it takes to bind a library, and it does not
// hold on to them: it takes them out of the files, which are bare sources then,
// and lets that of a procedure go when it is bound.
func Bind(files []*syntax.File) (*Library, []*message.Message) {
	b := NewBinding()
	b.Update(files)
	for _, f := range files {
		f.Tokens, f.Declarations = nil, nil // what is to be bound knows its own
	}
	b.bindAll()
	b.Close()
	lib, found := b.Library(), b.Messages()
	for _, f := range files {
		*f = syntax.File{Source: f.Source}
	}
	// What is kept of the binding is what later passes ask for.
	units, lists := b.unitsByFile(), make([][]Reference, len(files))
	inParallel(len(files), func(i int) func() {
		list := referencesIn(files[i].Source, units[files[i].Source])
		return func() { lists[i] = list }
	})
	lib.references = references{kept: ready(files, lists)}
	return lib, found
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
	nodes   map[Symbol]*node
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
	// trials are those that were bound to a procedure when the update began.
	trials map[*Procedure][]*Trial
	// used counts the uses of a symbol in bound declarations.
	used map[Symbol]int

	things, released        *unit
	general, closing        []*message.Message
	signature, settingsWere uint64
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
		lib: &Library{}, globals: map[string]Symbol{}, nodes: map[Symbol]*node{}, hashes: map[Symbol]uint64{}, lookedUp: map[Symbol]map[string]bool{},
		units: map[Symbol]*unit{}, stale: map[Symbol]bool{}, used: map[Symbol]int{}, things: &unit{}, released: &unit{},
	}
	b.lib.references.units = b.unitsByFile
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
	b.bindReleases()
	b.general, b.closing = g.messages, nil
	b.staleUnits(names, changes.Things)
	signature, settings := b.sign(), b.settings()
	changes.Rules = signature != b.signature || settings != b.settingsWere
	b.signature, b.settingsWere = signature, settings
	b.was, b.shapes = nil, nil
	b.trials = map[*Procedure][]*Trial{}
	for _, t := range b.lib.Trials {
		if t.Of != nil {
			b.trials[t.Of] = append(b.trials[t.Of], t)
		}
	}
	return changes
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
			for _, t := range b.trials[s] {
				b.stale[t] = true
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
	seen := map[*source.File]bool{}
	for i, r := range b.refs {
		if f := r.Span.File; (i == 0 || f != b.refs[i-1].Span.File) && !seen[f] {
			seen[f] = true
			u.files = append(u.files, f)
		}
	}
	return u
}

// bindAll binds all that is stale on all processors, once: the trees of what is
// bound are let go, which nothing but its own binding looks at.
func (b *Binding) bindAll() {
	bind := func(s Symbol) func() {
		keep := b.Bind(s)
		b.nodes[s].decl = nil
		return keep
	}
	procedures, trials := b.Stale()
	inParallel(len(procedures), func(i int) func() { return bind(procedures[i]) })
	inParallel(len(trials), func(i int) func() { return bind(trials[i]) })
}

// inParallel does n pieces of work and then keeps their results in order. A
// panic of one comes out of it.
func inParallel(n int, work func(int) (keep func())) {
	keeps := make([]func(), n)
	_ = crew.Each(context.Background(), n, func(i int) { keeps[i] = work(i) })
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
	f(b.released)
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

// unitsByFile gives for each file the units that name something in it, in order.
func (b *Binding) unitsByFile() map[*source.File][]*unit {
	out := map[*source.File][]*unit{}
	b.eachUnit(func(u *unit) {
		for _, f := range u.files {
			out[f] = append(out[f], u)
		}
	})
	return out
}
