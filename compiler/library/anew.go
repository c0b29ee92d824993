package library

import (
	"hash/fnv"
)

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
			case nil, *Routine, *Procedure, *Trial, *Released:
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
