package compare

import (
	"slices"
	"sort"
	"strings"

	"benchproof/compiler/library"
)

// uses tell what each procedure of a library is made of: what it names itself,
// and what that names in turn as far as it shows or works in the procedure. A
// part that only stands in front of another one, and what took the place of a
// tool, are not used.
type uses struct {
	lib  *library.Library
	next map[library.Symbol][]library.Symbol
	// performed is the first procedure that performs a routine.
	performed map[*library.Routine]*performance
	// by is all that a procedure uses.
	by map[*library.Procedure]map[library.Symbol]bool
}

type performance struct {
	in   *library.Procedure
	body []library.Flow
}

func newUses(lib *library.Library) *uses {
	u := &uses{lib: lib, next: map[library.Symbol][]library.Symbol{}, performed: map[*library.Routine]*performance{}, by: map[*library.Procedure]map[library.Symbol]bool{}}
	var visit func(p *library.Procedure, body []library.Flow)
	visit = func(p *library.Procedure, body []library.Flow) {
		for _, f := range body {
			switch f := f.(type) {
			case *library.Stage:
				visit(p, f.Body)
			case *library.Decide:
				for _, br := range f.Branches {
					visit(p, br.Body)
				}
			case *library.Repeat:
				visit(p, f.Body)
				visit(p, f.Otherwise)
			case *library.Perform:
				if u.performed[f.Routine] == nil {
					u.performed[f.Routine] = &performance{p, f.Body}
				}
				visit(p, f.Body)
			}
		}
	}
	for _, p := range lib.Procedures {
		if !p.Broken {
			visit(p, p.Body)
		}
	}
	return u
}

// of gives what a declaration uses directly.
func (u *uses) of(s library.Symbol) []library.Symbol {
	if list, ok := u.next[s]; ok {
		return list
	}
	var out []library.Symbol
	add := func(list ...library.Symbol) {
		for _, x := range list {
			out = addNew(out, x)
		}
	}
	switch s := s.(type) {
	case *library.Tool:
		for _, h := range s.Carries {
			add(h)
		}
		for _, k := range s.Kits {
			add(k)
		}
	case *library.Part:
		for _, h := range s.Guards {
			add(h)
		}
		if s.Kind != nil {
			add(s.Kind)
		}
	case *library.Consumable, *library.Kit, *library.Variant, *library.Condition, *library.Video:
	case *library.Hazard:
		if s.Safe != nil {
			add(s.Safe.Condition)
		}
		if s.ProvedWith != nil {
			add(s.ProvedWith)
		}
	default:
		for _, r := range u.lib.Named(s.Declared().Whole) {
			if d := owner(r.To); d != nil && d != s {
				add(d)
			}
		}
	}
	u.next[s] = out
	return out
}

// owner gives the declaration that a symbol is part of, nil for what is
// declared in a procedure, and for a procedure itself.
func owner(s library.Symbol) library.Symbol {
	switch s.(type) {
	case *library.Procedure, *library.Trial:
		return nil
	}
	return library.DeclarationOf(s)
}

// prime works out what every procedure uses, where anybody asks; from then on
// it is only read.
func (u *uses) prime(wanted bool) {
	if wanted {
		for _, p := range u.lib.Procedures {
			u.by[p] = u.all(p)
		}
	}
}

// all gives everything that a procedure uses.
func (u *uses) all(p *library.Procedure) map[library.Symbol]bool {
	out := map[library.Symbol]bool{}
	var visit func(s library.Symbol)
	visit = func(s library.Symbol) {
		for _, x := range u.of(s) {
			if !out[x] {
				out[x] = true
				visit(x)
			}
		}
	}
	visit(p)
	for _, a := range p.Applies {
		out[a.Variant] = true
	}
	return out
}

// sharedBy gives the indexes of what differs and is used by a version of a procedure.
func (c *comparer) sharedBy(o, x *library.Procedure) []int {
	found := []int{}
	for k, p := range []*library.Procedure{o, x} {
		if p == nil || len(c.sharedOf) == 0 {
			continue
		}
		for s := range c.uses[k].by[p] {
			if i, ok := c.sharedOf[s]; ok {
				found = addNew(found, i)
			}
		}
	}
	sort.Ints(found)
	return found
}

// touches fills in which procedures each shared declaration touches, and
// leaves out of a narrowed report what touches none of its procedures.
func (c *comparer) touches(o Options) {
	lists := make([]map[string]bool, len(c.report.Shared))
	for i := range lists {
		lists[i] = map[string]bool{}
	}
	for k, lib := range []*library.Library{c.old.Library, c.new.Library} {
		for _, p := range lib.Procedures {
			if len(o.Only) > 0 && !slices.Contains(o.Only, p.Name) {
				continue
			}
			for i, d := range c.report.Shared {
				if d.Sort == "library" {
					lists[i][p.Name] = true
				}
			}
			if len(c.sharedOf) == 0 {
				continue
			}
			for s := range c.uses[k].by[p] {
				if i, ok := c.sharedOf[s]; ok {
					lists[i][p.Name] = true
				}
			}
		}
	}
	for i := range c.report.Shared {
		for name := range lists[i] {
			c.report.Shared[i].Touches = append(c.report.Shared[i].Touches, name)
		}
		slices.SortFunc(c.report.Shared[i].Touches, strings.Compare)
	}
	if len(o.Only) == 0 {
		return
	}
	at := make([]int, len(c.report.Shared))
	var kept []Declaration
	for i, d := range c.report.Shared {
		at[i] = -1
		if len(d.Touches) > 0 {
			at[i] = len(kept)
			kept = append(kept, d)
		}
	}
	c.report.Shared = append([]Declaration{}, kept...)
	for i := range c.report.Procedures {
		for k, s := range c.report.Procedures[i].Shared {
			c.report.Procedures[i].Shared[k] = at[s]
		}
	}
}
