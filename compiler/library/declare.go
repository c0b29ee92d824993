package library

import (
	"hash/fnv"
	"slices"

	"github.com/alecthomas/participle/v2/lexer"

	"benchproof/compiler/quantity"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// A declared is one file and what it declares.
type declared struct {
	tree    *syntax.File
	symbols []Symbol // nil where a library or a catalogue is declared
	lost    []string
	// things: it declares things, or the library itself.
	things bool
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
	case *syntax.Released:
		return identity{d.Keyword(), d.Of.Text + " " + d.Revision.Text}
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
			out.things = true // the library's own declaration, or a catalogue
			out.symbols = append(out.symbols, nil)
			continue
		}
		out.symbols = append(out.symbols, s)
		b.nodes[s] = &node{f.Source, d}
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
	case "released":
		return &Released{}
	case "withdrawn":
		return &Released{Withdrawn: true}
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
	if d, ok := n.decl.(*syntax.Released); ok {
		decl = Decl{Name: d.Of.Text + " " + d.Revision.Text, Span: at(d.Of).To(at(d.Revision)), Whole: at(d)}
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
	case *Released:
		*s = Released{Decl: decl, Withdrawn: n.decl.Keyword() == "withdrawn"}
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
				if d.Keyword() == "catalogue" {
					continue // what it lists stands in files of its own
				}
				if library != nil {
					g.wrong("BP202", g.at(d.Kind), "the library is declared twice").Relate(lib.Place, "declared here")
					continue
				}
				library = d
				g.library(d)
				continue
			}
			b.list(s)
			switch s.(type) {
			case *Trial, *Released: // they have no name that others could say
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
	case *Released:
		lib.Releases = append(lib.Releases, s)
	}
}
