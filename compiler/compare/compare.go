// Package compare tells how two libraries differ in what they mean.
//
// Input: two checked libraries. Output: a Report: what is shared and differs,
// what differs in each procedure, and for which inputs (members, readings,
// answers) the two versions of a procedure lead to another finish, other parts,
// tools or hazards.
//
// Layout, comments, the files that declarations stand in and their order make no
// difference: what is compared is the bound library. What several procedures
// share is told once, with the procedures it touches. Steps are paired by
// alignment (see pairLines), so that a step which stands elsewhere has moved
// and is not gone and added. What could not be bound is not compared, and said so.
// Equal inputs give equal reports, however many processors work on them.
package compare

import (
	"benchproof/compiler"
	"benchproof/compiler/crew"
	"benchproof/compiler/library"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
	"cmp"
	"context"
	"crypto/sha256"
	"encoding/hex"
	"io/fs"
	"slices"
	"strconv"
	"strings"
)

func itoa(n int) string { return strconv.Itoa(n) }

// Options say what is compared.
type Options struct {
	// Only are names of procedures, in either library; none: all. What is shared
	// is then told where it touches one of them.
	Only []string
}

type comparer struct {
	names    *names
	old, new *compiler.Result
	byKey    map[string]library.Symbol
	// routines are the differences of each routine, by the new one.
	routines map[*library.Routine]*flowDiff
	uses     [2]*uses
	report   *Report
	// bears tells by index in the report's shared declarations whether a
	// difference may make paths go otherwise.
	bears []bool
	// sharedOf gives the index of a declaration that differs.
	sharedOf map[library.Symbol]int
	// judged is set where the rule of decision has changed.
	judged bool
}

// Compare tells how new differs from old. It ends early with the error of the
// context.
func Compare(ctx context.Context, old, new *compiler.Result, o Options) (*Report, error) {
	c := &comparer{
		names: &names{keys: map[library.Symbol]string{}}, old: old, new: new, byKey: map[string]library.Symbol{},
		routines: map[*library.Routine]*flowDiff{}, sharedOf: map[library.Symbol]int{},
		report: &Report{Report: "benchproof comparison", Version: 1, Old: sideOf(old), New: sideOf(new), Shared: []Declaration{}, Procedures: []Procedure{}, NotCompared: []NotCompared{}},
	}
	for k, r := range []*compiler.Result{old, new} {
		c.uses[k] = newUses(r.Library)
	}
	pairs := c.match()
	c.library()
	for _, p := range pairs {
		c.declaration(p)
	}
	if err := c.procedures(ctx, o); err != nil {
		return nil, err
	}
	c.touches(o)
	return c.report, nil
}

func sideOf(r *compiler.Result) Side {
	s := Side{Title: r.Library.Title, Procedures: len(r.Library.Procedures)}
	for _, m := range r.Messages {
		if m.IsError() {
			s.Errors++
		}
	}
	return s
}

// match pairs all declarations but procedures. Things come first: what else is
// declared names them.
func (c *comparer) match() []pair {
	n, o, x := c.names, c.old.Library, c.new.Library
	var out []pair
	add := func(list []pair) { out = append(out, list...) }
	variants := match(n, "variant", o.Variants, x.Variants, sameTitle)
	for _, p := range variants {
		a, _ := p.old.(*library.Variant)
		b, _ := p.new.(*library.Variant)
		if a == nil {
			a = &library.Variant{}
		}
		if b == nil {
			b = &library.Variant{}
		}
		match(n, "member "+cmp.Or(a.Name, b.Name), a.Members, b.Members, sameTitle)
	}
	conditions := match(n, "condition", o.Conditions, x.Conditions, sameTitle)
	for _, p := range conditions {
		a, _ := p.old.(*library.Condition)
		b, _ := p.new.(*library.Condition)
		if a == nil {
			a = &library.Condition{}
		}
		if b == nil {
			b = &library.Condition{}
		}
		match(n, "state "+cmp.Or(a.Name, b.Name), a.States, b.States, sameTitle)
	}
	add(variants)
	add(conditions)
	add(match(n, "hazard", o.Hazards, x.Hazards, sameTitle))
	add(match(n, "tool", o.Tools, x.Tools, sameNumber))
	add(match(n, "kit", o.Kits, x.Kits, func(a, b *library.Kit) bool { return a.Number != "" && a.Number == b.Number }))
	add(match(n, "part", o.Parts, x.Parts, sameNumber))
	add(match(n, "consumable", o.Consumables, x.Consumables, sameNumber))
	tables := match(n, "table", o.Tables, x.Tables, nil)
	for _, p := range tables {
		c.columns(p)
	}
	add(tables)
	add(match(n, "figure", o.Figures, x.Figures, sameTitle))
	add(match(n, "video", o.Videos, x.Videos, sameTitle))
	add(match(n, "routine", o.Routines, x.Routines, sameTitle))
	for _, p := range out {
		if p.new != nil {
			c.byKey[n.key(p.new)] = p.new
		} else {
			c.byKey[n.key(p.old)] = p.old
		}
	}
	return out
}

func (c *comparer) columns(p pair) {
	a, _ := p.old.(*library.Table)
	b, _ := p.new.(*library.Table)
	if a == nil {
		a = &library.Table{}
	}
	if b == nil {
		b = &library.Table{}
	}
	match(c.names, "column", a.Columns, b.Columns, nil)
}

// library compares what the library says of itself.
func (c *comparer) library() {
	o, x := c.old.Library, c.new.Library
	list := differ(c.names.ofLibrary(o), c.names.ofLibrary(x), "", nil)
	if len(list) == 0 {
		return
	}
	for _, d := range list {
		c.judged = c.judged || d.What == decisionRule
	}
	c.report.Shared = append(c.report.Shared, Declaration{Sort: "library", Title: x.Title, Change: Changed, Differences: list, Touches: []string{}})
	c.bears = append(c.bears, c.judged)
}

// declaration compares one pair.
func (c *comparer) declaration(p pair) {
	d := Declaration{Differences: []Difference{}, Touches: []string{}}
	s := p.new
	var rows []Row
	switch {
	case p.old == nil:
		d.Change = Added
	case p.new == nil:
		d.Change, s = Gone, p.old
	default:
		d.Change = Changed
		if p.old.Declared().Broken || p.new.Declared().Broken {
			if tokensOf(p.old) != tokensOf(p.new) {
				c.report.NotCompared = append(c.report.NotCompared, NotCompared{p.new.Sort() + " " + p.new.Declared().Name, "an error stands in it"})
			}
			return
		}
		d.Differences = append(d.Differences, c.calledOtherwise(p)...)
		d.Differences = append(d.Differences, differ(c.names.of(p.old, c.picture(c.old)), c.names.of(p.new, c.picture(c.new)), "", nil)...)
		if r, ok := p.new.(*library.Routine); ok {
			list, side := c.routine(p.old.(*library.Routine), r)
			d.Differences = append(d.Differences, list...)
			rows = side
		}
		if len(d.Differences) == 0 {
			return
		}
		if len(d.Differences) == 1 && d.Differences[0].Change == Renamed {
			d.Change = Renamed
		}
	}
	d.Sort, d.Name, d.Title, d.Rows = s.Sort(), s.Declared().Name, symbol(s), rows
	at := len(c.report.Shared)
	if p.old != nil {
		c.sharedOf[p.old] = at
	}
	if p.new != nil {
		c.sharedOf[p.new] = at
	}
	c.report.Shared = append(c.report.Shared, d)
	c.bears = append(c.bears, bears(d))
}

// calledOtherwise tells that only the name in the sources is another.
func (c *comparer) calledOtherwise(p pair) []Difference {
	a, b := p.old.Declared().Name, p.new.Declared().Name
	if a == b {
		return nil
	}
	return []Difference{{Kind: KindName, Change: Renamed, What: "name in the sources", Old: a, New: b}}
}

// bears tells whether a difference of a declaration may lead a path elsewhere.
func bears(d Declaration) bool {
	if d.Change == Added || d.Change == Gone {
		return false // what uses it has changed as well
	}
	for _, x := range d.Differences {
		switch x.Kind {
		case KindTitle, KindNumber, KindText, KindSign, KindFigure, KindName, KindKit:
		default:
			return true
		}
	}
	return false
}

// routine compares the steps of a routine, as the first procedure has them that
// performs it.
func (c *comparer) routine(o, x *library.Routine) ([]Difference, []Row) {
	a, b := c.uses[0].performed[o], c.uses[1].performed[x]
	if a == nil || b == nil {
		if tokensOf(o) != tokensOf(x) {
			return []Difference{{Kind: KindRoutine, Change: Changed, What: "steps, which one library performs nowhere"}}, nil
		}
		return nil, nil
	}
	c.names.local(a.in, b.in)
	d := differFlows(c.names.set(a.body), c.names.set(b.body))
	c.routines[x] = d
	if len(d.list) == 0 {
		return nil, nil
	}
	return d.list, d.rows
}

// tokensOf gives the text of a declaration without comments and white space, for
// what is not bound. A row of a sheet has the text of a declaration, too.
func tokensOf(s library.Symbol) string {
	var b strings.Builder
	for _, t := range syntax.Parse(source.NewFile("declaration", s.Declared().Whole.Text())).Tokens {
		if t.Type != syntax.CommentToken {
			b.WriteString(t.Value)
			b.WriteByte(0)
		}
	}
	return b.String()
}

// picture gives the digest of a figure's file; moving it is no difference.
func (c *comparer) picture(r *compiler.Result) func(*library.Figure) string {
	return func(f *library.Figure) string {
		data, err := fs.ReadFile(r.Sources.FS, f.File)
		if err != nil {
			return ""
		}
		sum := sha256.Sum256(data)
		return hex.EncodeToString(sum[:])
	}
}

// --- procedures -------------------------------------------------------------------

// procedurePair is a procedure of both libraries, or of one.
type procedurePair struct{ old, new int }

// sameDocument tells that two procedures make the same document.
func sameDocument(a, b *library.Procedure) bool {
	if a.Document != "" || b.Document != "" {
		return a.Document == b.Document
	}
	return sameTitle(a, b)
}

func (c *comparer) procedures(ctx context.Context, o Options) error {
	olds, news := c.old.Library.Procedures, c.new.Library.Procedures
	indexOld, indexNew := map[library.Symbol]int{}, map[library.Symbol]int{}
	for i, p := range olds {
		indexOld[p] = i
	}
	for i, p := range news {
		indexNew[p] = i
	}
	var list []procedurePair
	for _, m := range match(c.names, "procedure", olds, news, sameDocument) {
		x := procedurePair{-1, -1}
		if m.old != nil {
			x.old = indexOld[m.old]
		}
		if m.new != nil {
			x.new = indexNew[m.new]
		}
		if len(o.Only) == 0 || m.old != nil && slices.Contains(o.Only, m.old.Declared().Name) || m.new != nil && slices.Contains(o.Only, m.new.Declared().Name) {
			list = append(list, x)
		}
	}
	same := c.unchanged(list)
	c.uses[0].prime(len(c.sharedOf) > 0)
	c.uses[1].prime(len(c.sharedOf) > 0)
	results := make([]*compared, len(list))
	for i, x := range list {
		// What two procedures measure and ask is paired before they are compared
		// side by side: names are only read from then on.
		if x.old >= 0 && x.new >= 0 && !same[i] {
			results[i] = &compared{renamed: c.localNames(olds[x.old], news[x.new])}
		} else {
			results[i] = &compared{}
		}
	}
	if err := crew.Each(ctx, len(list), func(i int) { c.procedure(list[i], same[i], results[i]) }); err != nil {
		return err
	}
	for _, r := range results {
		switch {
		case r.fault != nil:
			c.report.NotCompared = append(c.report.NotCompared, *r.fault)
		case r.found != nil:
			c.report.Procedures = append(c.report.Procedures, *r.found)
		default:
			c.report.Same++
		}
	}
	return nil
}

// localNames pairs what two versions measure and ask, and gives those that
// are called otherwise.
func (c *comparer) localNames(o, x *library.Procedure) []pair {
	before := len(c.names.renamed)
	c.names.local(o, x)
	return slices.Clone(c.names.renamed[before:])
}

// unchanged tells which procedures have the same reach in both libraries:
// nothing that they are made of has another text.
func (c *comparer) unchanged(list []procedurePair) []bool {
	out := make([]bool, len(list))
	a, b := compiler.NewReacher(c.old.Library), compiler.NewReacher(c.new.Library)
	for i, x := range list {
		if x.old >= 0 && x.new >= 0 {
			out[i] = a.Of(x.old).Digest == b.Of(x.new).Digest
		}
	}
	return out
}

// compared is what came of one pair of procedures.
type compared struct {
	renamed []pair
	found   *Procedure
	fault   *NotCompared
}

func (c *comparer) procedure(x procedurePair, same bool, out *compared) {
	var o, n *library.Procedure
	if x.old >= 0 {
		o = c.old.Library.Procedures[x.old]
	}
	if x.new >= 0 {
		n = c.new.Library.Procedures[x.new]
	}
	p := &Procedure{Differences: []Difference{}, Shared: []int{}}
	shown := n
	switch {
	case o == nil:
		p.Change = Added
	case n == nil:
		p.Change, shown = Gone, o
	default:
		p.Change = Changed
	}
	p.Name, p.Title, p.Number = shown.Name, titleOf(&shown.Decl), shown.Document
	if p.Change != Changed {
		out.found = p
		return
	}
	if c.isBroken(o, n, x, out) {
		return
	}
	p.Shared = c.sharedBy(o, n)
	releases := differ(ofReleases(c.old.Library.ReleasesOf(o)), ofReleases(c.new.Library.ReleasesOf(n)), "", nil)
	if same && len(p.Shared)+len(releases) == 0 && !c.judged {
		return
	}
	if o.Name != n.Name {
		p.OldName, p.Change = o.Name, Renamed
		p.Differences = append(p.Differences, Difference{Kind: KindName, Change: Renamed, What: "name in the sources", Old: o.Name, New: n.Name})
	}
	for _, m := range out.renamed {
		p.Differences = append(p.Differences, Difference{Kind: KindName, Change: Renamed, What: m.new.Sort(), Old: m.old.Declared().Name, New: m.new.Declared().Name})
	}
	heads := differ(c.names.ofProcedure(o), c.names.ofProcedure(n), "", nil)
	d := differFlows(c.names.set(o.Body), c.names.set(n.Body))
	p.Differences = append(append(append(p.Differences, heads...), releases...), d.list...)
	p.Differences = append(p.Differences, c.trials(o, n)...)
	p.Rows = d.rows
	if len(p.Differences) == 0 && len(p.Shared) == 0 && !c.judged {
		return
	}
	if c.mayPart(heads, d, p) {
		p.Paths = c.behaviour(o, n, d)
		if len(p.Paths.Partings) == 0 && len(p.Paths.Bounds) == 0 && len(p.Differences) == 0 && len(p.Shared) == 0 {
			return
		}
	}
	out.found = p
}

// mayPart tells whether anything differs that could lead a path elsewhere.
func (c *comparer) mayPart(heads []Difference, d *flowDiff, p *Procedure) bool {
	may := c.judged
	for _, x := range heads {
		may = may || x.Kind == KindMembers || x.Kind == KindCondition || x.Kind == KindPart
	}
	for _, x := range d.list {
		switch x.Kind {
		case KindNote, KindRecord, KindTime, KindSkill, KindFigure, KindRule:
		default:
			may = may || x.Change != Reworded
		}
	}
	for _, i := range p.Shared {
		may = may || c.bears[i]
	}
	return may
}

// isBroken tells that a procedure has an error on one side, and says so.
func (c *comparer) isBroken(o, n *library.Procedure, x procedurePair, out *compared) bool {
	sides := []struct {
		p *library.Procedure
		r *compiler.Result
		i int
	}{{o, c.old, x.old}, {n, c.new, x.new}}
	words := []string{"the old library", "the new library"}
	for k, s := range sides {
		broken := s.p.Broken
		if j := s.r.Judged[s.i]; j != nil {
			broken = broken || message.HasErrors(j.Messages)
		}
		if broken {
			out.fault = &NotCompared{n.Name, "it has an error in " + words[k]}
			return true
		}
	}
	return false
}

// trials tells which worked cases differ.
func (c *comparer) trials(o, x *library.Procedure) []Difference {
	find := func(lib *library.Library, p *library.Procedure) []*library.Trial {
		var out []*library.Trial
		for _, t := range lib.Trials {
			if t.Of == p {
				out = append(out, t)
			}
		}
		return out
	}
	olds, news := find(c.old.Library, o), find(c.new.Library, x)
	byTitle := map[string]*library.Trial{}
	for _, t := range olds {
		byTitle[t.Title] = t
	}
	var out []Difference
	for _, t := range news {
		old := byTitle[t.Title]
		if old == nil {
			out = append(out, Difference{Kind: KindTrial, Change: Added, What: "trial", New: t.Title})
			continue
		}
		delete(byTitle, t.Title)
		out = append(out, differ(c.names.ofTrial(old), c.names.ofTrial(t), "trial “"+t.Title+"”", nil)...)
	}
	for _, t := range olds {
		if byTitle[t.Title] == t {
			out = append(out, Difference{Kind: KindTrial, Change: Gone, What: "trial", Old: t.Title})
		}
	}
	return out
}
