package compiler

import (
	"cmp"
	"crypto/sha256"
	"encoding/binary"
	"hash"
	"io"
	"slices"
	"strings"

	"benchproof/compiler/library"
	"benchproof/dsl/source"
)

// A Reach is what one procedure is made of: every declaration whose text can
// affect what is found of the procedure or what its document says.
type Reach struct {
	// Digest stands for the texts of the declarations and their order. Where
	// two digests are equal and both libraries hold together, the same is found
	// and the same is said, files of figures apart.
	Digest [sha256.Size]byte
	// Files are the paths of the source files and sheets that the declarations
	// stand in, and of those whose catalogues name the sheets, sorted.
	Files []string
	// Figures are the files of the figures, as named in the sources, sorted.
	Figures []string
	// Procedures are the names of the procedures that the work goes on in.
	Procedures []string
}

// A Reacher finds the reach of the procedures of one library.
type Reacher struct {
	lib    *library.Library
	common []byte // what every procedure depends on, as a digest
	order  map[*source.File]int
	trials map[*library.Procedure][]library.Symbol
	// back leads from a declaration to those that say something of it: from a
	// kind to its parts, from a hazard to its guards, from a thing to its box.
	back  map[library.Symbol][]library.Symbol
	nodes map[library.Symbol]*reachNode
	// always are hazards, conditions and families: paths ask for all of them.
	always []library.Symbol
}

type reachNode struct {
	text [sha256.Size]byte
	next []library.Symbol
}

// NewReacher looks at a library whose declarations hold together.
func NewReacher(lib *library.Library) *Reacher {
	r := &Reacher{
		lib: lib, order: map[*source.File]int{}, trials: map[*library.Procedure][]library.Symbol{},
		back: map[library.Symbol][]library.Symbol{}, nodes: map[library.Symbol]*reachNode{},
	}
	for i, f := range lib.Files {
		r.order[f.Source] = i
	}
	for _, t := range lib.Trials {
		r.trials[t.Of] = append(r.trials[t.Of], t)
	}
	for _, v := range lib.Variants {
		r.always = append(r.always, v)
	}
	for _, c := range lib.Conditions {
		r.always = append(r.always, c)
	}
	for _, x := range lib.Hazards {
		r.always = append(r.always, x)
	}
	for _, p := range lib.Parts {
		if p.Kind != nil {
			r.back[p.Kind] = append(r.back[p.Kind], p)
		}
		for _, x := range p.Guards {
			r.back[x] = append(r.back[x], p)
		}
	}
	for _, k := range lib.Kits {
		for _, t := range k.Holds {
			r.back[t] = append(r.back[t], k)
		}
	}
	h := sha256.New()
	reachField(h, lib.Title, lib.Owner, lib.Language)
	if lib.Decision.Guarded {
		reachField(h, "guarded", lib.Decision.Factor.Exact())
	}
	for _, a := range lib.Allows {
		reachField(h, "allow", a.Code, a.Reason)
	}
	// Titles tell one thing from another, and rules of wording look for all of
	// them.
	title := func(c *library.Common) { reachField(h, c.Title, c.Plural) }
	for _, t := range lib.Tools {
		title(&t.Common)
	}
	for _, p := range lib.Parts {
		title(&p.Common)
	}
	for _, c := range lib.Consumables {
		title(&c.Common)
	}
	r.common = h.Sum(nil)
	return r
}

// reachField adds texts so that no two lists of texts give the same bytes.
func reachField(h hash.Hash, texts ...string) {
	var n [8]byte
	binary.BigEndian.PutUint64(n[:], uint64(len(texts)))
	h.Write(n[:])
	for _, t := range texts {
		binary.BigEndian.PutUint64(n[:], uint64(len(t)))
		h.Write(n[:])
		io.WriteString(h, t)
	}
}

// node gives what is known of a declaration.
func (r *Reacher) node(s library.Symbol) *reachNode {
	if n := r.nodes[s]; n != nil {
		return n
	}
	whole := s.Declared().Whole
	n := &reachNode{text: sha256.Sum256([]byte(whole.Text()))}
	for _, ref := range r.lib.Named(whole) {
		if d := library.DeclarationOf(ref.To); d != nil && d != s && !slices.Contains(n.next, d) {
			n.next = append(n.next, d)
		}
	}
	n.next = append(n.next, r.back[s]...)
	r.nodes[s] = n
	return n
}

// declarations lists what a procedure is made of, itself and what is said of it
// included; others are the procedures that it names.
func (r *Reacher) declarations(own *library.Procedure) (list []library.Symbol, others []*library.Procedure) {
	seen := map[library.Symbol]bool{}
	add := func(s library.Symbol) bool {
		if seen[s] {
			return false
		}
		seen[s] = true
		list = append(list, s)
		return true
	}
	var visit func(s library.Symbol)
	visit = func(s library.Symbol) {
		if !add(s) {
			return
		}
		if p, ok := s.(*library.Procedure); ok && p != own {
			others = append(others, p)
			return
		}
		for _, next := range r.node(s).next {
			visit(next)
		}
	}
	visit(own)
	for _, t := range r.trials[own] {
		visit(t)
	}
	for _, s := range r.lib.ReleasesOf(own) {
		add(s)
	}
	for _, s := range r.always {
		visit(s)
	}
	return list, others
}

// Of gives the reach of the procedure at an index of Library.Procedures. Of
// another procedure that it names, the text counts and what that text names (the
// parts of a column that it begins without, too), and no more: nothing is judged
// by what lies further. A Reacher serves one goroutine.
func (r *Reacher) Of(i int) Reach {
	own := r.lib.Procedures[i]
	list, others := r.declarations(own)
	seen := map[library.Symbol]bool{}
	for _, s := range list {
		seen[s] = true
	}
	add := func(s library.Symbol) {
		if !seen[s] {
			seen[s] = true
			list = append(list, s)
		}
	}
	for _, p := range others {
		for _, next := range r.node(p).next {
			add(next)
		}
		// What is handed over to it is held to what it begins without.
		for _, it := range p.BeginsWithout {
			if it.Column == nil {
				continue
			}
			for _, t := range it.Column.Things {
				if d := library.DeclarationOf(t); d != nil {
					add(d)
				}
			}
		}
	}
	slices.SortFunc(list, func(a, b library.Symbol) int {
		x, y := a.Declared().Whole, b.Declared().Whole
		return cmp.Or(cmp.Compare(r.order[x.File], r.order[y.File]), cmp.Compare(x.Start, y.Start))
	})
	var reach Reach
	h := sha256.New()
	h.Write(r.common)
	reachField(h, own.Name)
	for _, s := range list {
		d := s.Declared()
		text := r.node(s).text
		reachField(h, s.Sort(), d.Name, string(text[:]))
		if d.Whole.File != nil {
			reach.Files = append(reach.Files, d.Whole.File.Real())
			if of := d.Whole.File.Sheet; of != nil {
				reach.Files = append(reach.Files, of.By.File.Path)
			}
		}
		switch s := s.(type) {
		case *library.Figure:
			reach.Figures = append(reach.Figures, s.File)
		case *library.Procedure:
			if s != own {
				reach.Procedures = append(reach.Procedures, s.Name)
			}
		}
	}
	reach.Digest = [sha256.Size]byte(h.Sum(nil))
	slices.Sort(reach.Files)
	reach.Files = slices.Compact(reach.Files)
	slices.Sort(reach.Figures)
	reach.Figures = slices.Compact(reach.Figures)
	slices.SortFunc(reach.Procedures, strings.Compare)
	return reach
}
