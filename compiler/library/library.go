// Package library is what the sources declare, with names bound and values
// typed.
//
// Input: the parsed files of one folder. Output: a Library in which every
// reference points at the thing it names, every quantity has its unit, and
// every statement is in the form the later passes work on; and the messages
// of what does not hold together (BP2xx, BP3xx, BP602, BP603). What could
// not be bound is left out of the lists it stands in, so a later pass never
// meets a nil; where a whole statement lost its meaning it is left out and
// its procedure is marked Broken.
package library

import (
	"benchproof/compiler/quantity"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// A Library is all that one folder declares. The lists keep the order of file
// paths and places.
type Library struct {
	Files    []*syntax.File
	Title    string
	Owner    string
	Language string
	Decision Decision
	Place    source.Span // of the library declaration's title; zero if none
	Allows   []Allow

	Variants    []*Variant
	Conditions  []*Condition
	Hazards     []*Hazard
	Tools       []*Tool
	Kits        []*Kit
	Parts       []*Part
	Consumables []*Consumable
	Tables      []*Table
	Figures     []*Figure
	Videos      []*Video
	Routines    []*Routine
	Procedures  []*Procedure
	Trials      []*Trial
	Releases    []*Released

	references references
}

// Decision is how readings are judged.
type Decision struct {
	Guarded bool
	// Factor is r of the guard band g = r·U.
	Factor quantity.Number
}

// An Allow turns a rule off for a stated reason.
type Allow struct {
	Code   string
	Reason string
	Span   source.Span
}

// A Decl is what every declared thing has.
type Decl struct {
	Name  string
	Title string
	// Span is where the name stands in the declaration.
	Span source.Span
	// Whole is the whole declaration.
	Whole source.Span
	// ReplacedBy is the thing that took its place, or nil (tools, parts, consumables).
	ReplacedBy Symbol
	// Broken is set where part of the declaration could not be bound: what
	// relies on it is not judged, since the fault would be told again.
	Broken bool
}

// A Symbol is a declared thing of any sort.
type Symbol interface {
	Declared() *Decl
	// Sort is the word of its declaration: "tool".
	Sort() string
}

// Declared gives the common part.
func (d *Decl) Declared() *Decl { return d }

// A Reference is a place where a symbol is named.
type Reference struct {
	Span source.Span
	To   Symbol
}

// A Variant is a family; its members differ in values.
type Variant struct {
	Decl
	Members []*Member
}

// A Member of a family.
type Member struct {
	Decl
	Variant *Variant
	Index   int
}

// A Condition is a named state of the machine.
type Condition struct {
	Decl
	States []*State
	Begins *State
	Ends   *State
}

// A State of a condition.
type State struct {
	Decl
	Condition *Condition
	Index     int
}

// A CondState is a condition in a state, where it is asked for.
type CondState struct {
	State *State
	Span  source.Span
}

// A Hazard can hurt.
type Hazard struct {
	Decl
	Signal      string // danger, warning, caution, notice
	Consequence string
	Avoid       string
	Signs       []SignRef
	Safe        *State // nil: no condition makes it safe
	ProvedWith  *Tool
}

// A SignRef names a sign of ISO 7010.
type SignRef struct {
	Code string
	Span source.Span
}

// A Thing is a tool, part or consumable.
type Thing interface {
	Symbol
	thing()
}

// Common is what tools, parts and consumables share.
type Common struct {
	Decl
	Number, Detail, Plural string
	// Forms are the title as counted in the language of a translation, in the
	// order of its plural forms; nil in the library's own.
	Forms []string
}

// A Tool is used, or fitted and taken off again; some read or set.
type Tool struct {
	Common
	Reads       *Span
	Sets        *Span
	Resolution  *quantity.Quantity
	Uncertainty *quantity.Quantity // expanded, k = 2; in the scale's dimension, or a ratio
	// Share tells that the uncertainty is a share of the reading, not a difference.
	Share bool
	// Unsaid tells that an instrument that reads in per cent has one in per cent,
	// and nobody says of what: it counts as points.
	Unsaid     bool
	Drills     *quantity.Quantity
	Taps       string // thread designation
	TapsInsert bool
	Lead       *quantity.Number // of a tap, in threads
	Lifts      *quantity.Quantity
	Length     *quantity.Quantity // of a torque wrench, grip to square
	Extends    *quantity.Quantity // of an extension spanner
	Carries    []*Hazard
	Kits       []*Kit
	// Calibrated and Due are days as 2026-10-02: of the last calibration, and by
	// which the next is due. Empty where they are not said.
	Calibrated, Due string
	// Where properties stand, by key, for messages.
	Props map[string]source.Span
}

// A Span of quantities, both ends in.
type Span struct{ From, To quantity.Quantity }

// A Kit is a box and what it holds.
type Kit struct {
	Decl
	Number, Detail string
	Holds          []Thing
}

// A Part is on the machine, or goes on it.
type Part struct {
	Common
	Kind      *Part // fills the same place as its kind; nil: a place of its own
	IsKind    bool  // other parts are of this kind
	Behind    []*Part
	Guards    []*Hazard
	SingleUse bool
	Thread    string // designation, or empty
	Class     string // property class, or empty
	Mass      *quantity.Quantity
	Props     map[string]source.Span
}

// Place is the part whose place this part fills: its kind, or itself.
func (p *Part) Place() *Part {
	if p.Kind != nil {
		return p.Kind
	}
	return p
}

// A Consumable is used up.
type Consumable struct{ Common }

func (*Tool) thing()       {}
func (*Part) thing()       {}
func (*Consumable) thing() {}

// CommonOf gives the shared part of a thing.
func CommonOf(t Thing) *Common {
	switch t := t.(type) {
	case *Tool:
		return &t.Common
	case *Part:
		return &t.Common
	case *Consumable:
		return &t.Common
	}
	return nil
}

// A Table gives values by the members of a variant.
type Table struct {
	Decl
	Variant *Variant
	Columns []*Column
}

// A Column of a table holds one value for each member, by Member.Index. Its
// Decl.Name is "table.column". All its values are of one sort: things, or
// quantities of one dimension. A value that could not be bound is zero, and
// its member is missing from Has.
type Column struct {
	Decl
	Table  *Table
	Things []Thing             // of a column of things
	Values []quantity.Quantity // of a column of quantities
	Has    []bool
	Spans  []source.Span
}

// IsThings tells whether the column holds things.
func (c *Column) IsThings() bool { return c.Things != nil }

// A Figure is an image with numbered marks.
type Figure struct {
	Decl
	File     string
	FileSpan source.Span
	Marks    []Mark
}

// A Mark is a numbered mark on a figure; X and Y in per cent.
type Mark struct {
	Number int
	X, Y   quantity.Number
	Is     Thing
	Span   source.Span
}

// A Video is a link with its stretch.
type Video struct {
	Decl
	Link     string
	From, To string
}

func (*Variant) Sort() string    { return "variant" }
func (*Member) Sort() string     { return "member" }
func (*Condition) Sort() string  { return "condition" }
func (*State) Sort() string      { return "state" }
func (*Hazard) Sort() string     { return "hazard" }
func (*Tool) Sort() string       { return "tool" }
func (*Kit) Sort() string        { return "kit" }
func (*Part) Sort() string       { return "part" }
func (*Consumable) Sort() string { return "consumable" }
func (*Table) Sort() string      { return "table" }
func (*Column) Sort() string     { return "column" }
func (*Figure) Sort() string     { return "figure" }
func (*Video) Sort() string      { return "video" }
func (*Routine) Sort() string    { return "routine" }
func (*Procedure) Sort() string  { return "procedure" }
func (*Trial) Sort() string      { return "trial" }
func (r *Released) Sort() string {
	if r.Withdrawn {
		return "withdrawn"
	}
	return "released"
}
func (*Reading) Sort() string    { return "reading" }
func (*Question) Sort() string   { return "question" }
func (*Answer) Sort() string     { return "answer" }
func (*Hole) Sort() string       { return "hole" }
func (*RecordDecl) Sort() string { return "record" }
