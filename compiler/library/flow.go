package library

import (
	"benchproof/compiler/quantity"
	"benchproof/dsl/source"
)

// A Routine is steps that several procedures share. Its bound steps stand in
// the Perform statements of each procedure.
type Routine struct {
	Decl
	File *source.File
}

// A Procedure is one job.
type Procedure struct {
	Decl
	Document      string
	Revisions     []Revision // newest first
	Skill         string
	Purpose       string
	Applies       []Applies // by variant; variants it uses and does not name are here with all members
	Begins        []CondState
	BeginsWithout []Item
	Ends          []CondState
	Allows        []Allow
	Body          []Flow
	// Readings and Questions are those taken anywhere in it, routines included.
	Readings  []*Reading
	Questions []*Question
	// Broken (of Decl) is set where a statement could not be bound: paths are
	// not judged, since what follows from the fault would be told again.
	File *source.File
}

// A Revision of a procedure.
type Revision struct {
	Name, Date, Note string
	Span             source.Span
}

// Applies is a variant and the members a procedure applies to.
type Applies struct {
	Variant *Variant
	Members []*Member
	Span    source.Span
}

// A Reading is measured. One declaration per name and procedure: taken in two
// units or with two instruments it is BP202. A reading taken in a routine is
// one of each procedure that performs it.
type Reading struct {
	Decl
	Unit *quantity.Unit
	With *Tool
	Of   string // smallest, largest, mean or empty, of the first taking
	N    int    // takings at once
}

// A Question is asked.
type Question struct {
	Decl
	// Short is the question in a word or two, from its name.
	Short   string
	Answers []*Answer
}

// An Answer to a question.
type Answer struct {
	Decl
	Question *Question
	Index    int
}

// A Hole joins a drill and a tap action.
type Hole struct{ Decl }

// A RecordDecl is something to write down.
type RecordDecl struct{ Decl }

// --- flow -------------------------------------------------------------------------

// Flow is a bound statement.
type Flow interface {
	// At is where it stands.
	At() source.Span
	flow()
}

// Base is what every flow statement has.
type Base struct{ Span source.Span }

// At is where the statement stands.
func (b *Base) At() source.Span { return b.Span }
func (b *Base) flow()           {}

type (
	// Stage is a part of the job with a title.
	Stage struct {
		Base
		Title Text
		Body  []Flow
	}
	// Step is one step.
	Step struct {
		Base
		Text     Text
		TextSpan source.Span
		Actions  []Action
		Allows   []Allow
	}
	// Decide sends the work one way. Exactly one of Reading, Question and Variant is set.
	Decide struct {
		Base
		OnSpan   source.Span
		Reading  *Reading
		Question *Question
		Variant  *Variant
		Branches []*Branch
	}
	// Repeat is done again until a reading or an answer is good; exactly one Until stands directly in Body.
	Repeat struct {
		Base
		Times     int
		Body      []Flow
		Otherwise []Flow
		// HasOtherwise is false where none is written.
		HasOtherwise bool
	}
	// Until ends the turns. Exactly one of Reading, which has a Range, and
	// Question, which has Answers, is set.
	Until struct {
		Base
		OnSpan   source.Span
		Reading  *Reading
		Range    Range
		Question *Question
		Answers  []*Answer
		Head     source.Span // the range or the answers
	}
	// Perform sets out a routine. Body is the routine bound in this procedure:
	// its readings, questions and holes are the procedure's own.
	Perform struct {
		Base
		Routine *Routine
		Body    []Flow
	}
	// Finish is an outcome.
	Finish struct {
		Base
		Outcome string // serviceable, scrap, refer
		To      *Procedure
		Text    Text
		HasText bool
		Leaves  []CondState
	}
)

// On is what the repeat goes by: the reading or the question.
func (u *Until) On() Symbol {
	if u.Question != nil {
		return u.Question
	}
	return u.Reading
}

// A Branch of a decide.
type Branch struct {
	Span    source.Span
	Head    source.Span // the range or the cases
	Accept  bool
	Range   *Range // of a reading
	Answers []*Answer
	Members []*Member
	Meaning Text
	Body    []Flow
}

// A Range has ends that may differ by member.
type Range struct {
	Span      source.Span
	Low, High *RangeEnd // nil: open to the instrument's end
	NoUpper   bool
	Words     string // as written
}

// A RangeEnd is one end.
type RangeEnd struct {
	Value Value
	Open  bool
	// Unit-free limits of an ISO 286 class are already worked out into Value.
	Span source.Span
}

// For gives the range for one assignment of members, in the unit given. ok is
// false where a value is missing (a message was raised) or does not convert.
func (r *Range) For(a Assignment, u *quantity.Unit) (out quantity.Range, ok bool) {
	out = quantity.All()
	end := func(e *RangeEnd) (quantity.End, bool) {
		q, ok := e.Value.For(a)
		if !ok {
			return quantity.End{}, false
		}
		n, err := q.In(u)
		if err != nil {
			return quantity.End{}, false
		}
		return quantity.End{Value: n, Open: e.Open}, true
	}
	if r.Low != nil {
		if out.Low, ok = end(r.Low); !ok {
			return out, false
		}
	}
	if r.High != nil {
		if out.High, ok = end(r.High); !ok {
			return out, false
		}
	}
	return out, true
}

// An Assignment says which member each variant of a procedure is.
type Assignment []*Member

// Of gives the member of a variant, or nil.
func (a Assignment) Of(v *Variant) *Member {
	for _, m := range a {
		if m.Variant == v {
			return m
		}
	}
	return nil
}

// A Value is a quantity, or a column that gives one for each member.
type Value struct {
	Quantity quantity.Quantity
	Column   *Column // nil: Quantity holds
	Span     source.Span
}

// For gives the value for one assignment.
func (v Value) For(a Assignment) (quantity.Quantity, bool) {
	if v.Column == nil {
		return v.Quantity, true
	}
	m := a.Of(v.Column.Table.Variant)
	if m == nil || v.Column.Values == nil || !v.Column.Has[m.Index] {
		return quantity.Quantity{}, false
	}
	return v.Column.Values[m.Index], true
}

// An Item is a thing and how many, or a column that gives the thing for each member.
type Item struct {
	Thing  Thing
	Column *Column // nil: Thing holds
	Count  int
	// Counted tells whether a count is written.
	Counted bool
	Span    source.Span
}

// For gives the thing for one assignment, or nil.
func (i Item) For(a Assignment) Thing {
	if i.Column == nil {
		return i.Thing
	}
	m := a.Of(i.Column.Table.Variant)
	if m == nil || i.Column.Things == nil || !i.Column.Has[m.Index] {
		return nil
	}
	return i.Column.Things[m.Index]
}

// --- actions ---------------------------------------------------------------------------

// An Action is a bound action of a step.
type Action interface {
	At() source.Span
	action()
}

// Act is what every action has.
type Act struct{ Span source.Span }

// At is where the action stands.
func (a *Act) At() source.Span { return a.Span }
func (a *Act) action()         {}

type (
	// Use uses tools or consumables.
	Use struct {
		Act
		Items []Item
	}
	// Fit fits a tool on a thing.
	Fit struct {
		Act
		Items []Item // tools
		On    Item
	}
	// FitNew fits new parts.
	FitNew struct {
		Act
		Items []Item // parts
	}
	// Remove removes tools or parts.
	Remove struct {
		Act
		Items []Item
	}
	// Refit puts parts back.
	Refit struct {
		Act
		Items []Item
	}
	// Clamp clamps things in a tool.
	Clamp struct {
		Act
		Items []Item
		In    *Tool
	}
	// Release releases clamped things.
	Release struct {
		Act
		Items []Item
	}
	// Make brings a condition to a state.
	Make struct {
		Act
		State *State
	}
	// Verify verifies that a condition holds, with a tool.
	Verify struct {
		Act
		State *State
		With  *Tool
	}
	// Needs asks that conditions hold.
	Needs struct {
		Act
		States []CondState
	}
	// Measure takes a reading.
	Measure struct {
		Act
		Of      string // smallest, largest, mean or empty
		Count   int    // 1 without Of
		Reading *Reading
		With    *Tool
	}
	// Ask asks a question.
	Ask struct {
		Act
		Question *Question
		Text     Text
	}
	// Drill drills a hole.
	Drill struct {
		Act
		Hole  *Hole
		Size  Value
		Deep  Value
		Speed *Value
		With  *Tool
	}
	// Tap taps a hole.
	Tap struct {
		Act
		Existing   bool
		Hole       *Hole
		Thread     string
		ThreadSpan source.Span
		Insert     bool
		Deep       Value
		Speed      *Value
		With       *Tool
	}
	// Tighten tightens in rounds; the last is final.
	Tighten struct {
		Act
		Item      Item
		To        []Value
		Crosswise bool
		With      *Tool
		Through   *Tool
	}
	// Heat warms a part for a hot fit.
	Heat struct {
		Act
		Item         Item
		Bore         Value
		Interference Value
		Clearance    *Value
		Expansion    Value
		From         *Value
		AtMost       *Value
		With         *Tool
	}
	// Lift lifts with a lifting tool.
	Lift struct {
		Act
		Items []Item
		With  *Tool
	}
	// Wait waits.
	Wait struct {
		Act
		Time Value
	}
	// Takes says how long the step is expected to take.
	Takes struct {
		Act
		Time Value
	}
	// Warn gives hazards that the step carries.
	Warn struct {
		Act
		Hazards []HazardRef
	}
	// Hold is a hold point.
	Hold struct {
		Act
		Who, What Text
	}
	// Record is something to write down.
	Record struct {
		Act
		Record *RecordDecl
		What   Text
	}
	// By names a qualified person.
	By struct {
		Act
		Who string
	}
	// Note is a remark.
	Note struct {
		Act
		Text Text
	}
	// Show shows figures and videos.
	Show struct {
		Act
		Figures []*Figure
		Videos  []*Video
	}
)

// A HazardRef is a hazard where it is named.
type HazardRef struct {
	Hazard *Hazard
	Span   source.Span
}

// --- text ----------------------------------------------------------------------------------

// A Text is spans of a parsed text, and where the whole stands.
type Text struct {
	Spans []TextSpan
	Span  source.Span
}

// A TextKind is what a stretch of text is.
type TextKind uint8

// The stretches of a text.
const (
	TextPlain TextKind = iota + 1
	TextStrong
	TextEmphasis
	TextCode
	TextLink
	TextMention  // Mention
	TextQuantity // Quantity: a number with a unit
)

// A TextSpan is a stretch of a text.
type TextSpan struct {
	Kind     TextKind
	Text     string
	Href     string
	Mention  *Mention
	Quantity *quantity.Quantity
	Span     source.Span
}

// A Mention is `@name`, `@name x 6` or `@table.column` in a text. Exactly one
// of Symbol and Column is set.
type Mention struct {
	Symbol  Symbol
	Column  *Column
	Count   int
	Counted bool
	// Said are the words that a translation has for the thing at this place;
	// empty: its title.
	Said string
	Span source.Span
}

// A Trial is a worked case of a procedure.
type Trial struct {
	Decl
	Of      *Procedure
	Members []TrialMember
	Values  []TrialValues
	Expect  []Expect
}

// A TrialMember says which member a variant is.
type TrialMember struct {
	Member *Member
	Span   source.Span
}

// TrialValues are the values of successive takings of a reading or question.
type TrialValues struct {
	Reading  *Reading
	Values   []Value
	Question *Question
	Answers  []*Answer
	Span     source.Span
	Spans    []source.Span
}

// Expect is one thing that must hold at the end of a trial.
type Expect struct {
	Kind    string // fitted, used, met, finish, time
	Not     bool
	Thing   Thing
	Hazard  *Hazard
	Outcome string
	To      *Procedure
	Time    *Range
	Span    source.Span
}
