package syntax

// An Action is what a step does. Actions happen in the order written.
type Action interface {
	Place
	// Keyword is the word it starts with.
	Keyword() string
	action()
}

// The actions.
type (
	// Use: use TOOL-or-consumable, … .
	Use struct {
		Node
		Items []*Item
	}
	// Fit: fit TOOL on THING, or fit new PART, … (On is nil, New is true).
	Fit struct {
		Node
		New   bool
		Items []*Item
		On    *Name
	}
	// Remove: remove THING, … .
	Remove struct {
		Node
		Items []*Item
	}
	// Refit: refit PART, … .
	Refit struct {
		Node
		Items []*Item
	}
	// Clamp: clamp THING in TOOL.
	Clamp struct {
		Node
		Items []*Item
		Tool  *Name
	}
	// Release: release THING, … .
	Release struct {
		Node
		Items []*Item
	}
	// Make: make CONDITION STATE.
	Make struct {
		Node
		State *StatePair
	}
	// Verify: verify CONDITION STATE with TOOL.
	Verify struct {
		Node
		State *StatePair
		With  *Name
	}
	// Needs: needs CONDITION STATE, … .
	Needs struct {
		Node
		States []*StatePair
	}
	// Measure: measure [smallest|largest|mean of N] NAME in UNIT with TOOL.
	Measure struct {
		Node
		Of    *Name   // smallest, largest, mean; nil for one taking
		Count *Number // with Of
		Name  *Name
		Unit  *Name
		With  *Name
	}
	// Ask: ask NAME "question" { answers }.
	Ask struct {
		Node
		Name     *Name
		Question *Text
		Answers  []*MemberProperty
	}
	// Drill: drill HOLE SIZE deep DEPTH [at SPEED] with TOOL.
	Drill struct {
		Node
		Hole *Name
		Size *Operand
		Deep *Operand
		At   *Operand
		With *Name
	}
	// Tap: tap [existing] HOLE THREAD [for insert] deep DEPTH [at SPEED] with TOOL.
	Tap struct {
		Node
		Existing bool
		Hole     *Name
		Thread   *Name
		Insert   bool
		Deep     *Operand
		At       *Operand
		With     *Name
	}
	// Tighten: tighten THING to 6, 12, 18 N.m [crosswise] with TOOL [through TOOL].
	// A round without a unit has the unit of the last.
	Tighten struct {
		Node
		Item      *Item
		To        []*Operand
		Crosswise bool
		With      *Name
		Through   *Name
	}
	// Heat: heat PART bore D interference I [clearance C] expansion A [from T] [at most T] with TOOL.
	Heat struct {
		Node
		Item         *Item
		Bore         *Operand
		Interference *Operand
		Clearance    *Operand
		Expansion    *Operand
		From         *Operand
		AtMost       *Operand
		With         *Name
	}
	// Lift: lift THING, … with TOOL.
	Lift struct {
		Node
		Items []*Item
		With  *Name
	}
	// Wait: wait TIME.
	Wait struct {
		Node
		Time *Operand
	}
	// Takes: takes TIME.
	Takes struct {
		Node
		Time *Operand
	}
	// Warn: warn HAZARD, … .
	Warn struct {
		Node
		Hazards []*Name
	}
	// Hold: hold "who" "accepts what".
	Hold struct {
		Node
		Who, What *Text
	}
	// Record: record NAME "what to write down".
	Record struct {
		Node
		Name *Name
		What *Text
	}
	// By: by "a qualified person".
	By struct {
		Node
		Who *Text
	}
	// Note: note "text".
	Note struct {
		Node
		Text *Text
	}
	// Show: show FIGURE-or-video, … .
	Show struct {
		Node
		Names []*Name
	}
	// Allow: allow BP803 "reason".
	Allow struct {
		Node
		Code   *Name
		Reason *Text
	}
)

func (*Use) action()     {}
func (*Fit) action()     {}
func (*Remove) action()  {}
func (*Refit) action()   {}
func (*Clamp) action()   {}
func (*Release) action() {}
func (*Make) action()    {}
func (*Verify) action()  {}
func (*Needs) action()   {}
func (*Measure) action() {}
func (*Ask) action()     {}
func (*Drill) action()   {}
func (*Tap) action()     {}
func (*Tighten) action() {}
func (*Heat) action()    {}
func (*Lift) action()    {}
func (*Wait) action()    {}
func (*Takes) action()   {}
func (*Warn) action()    {}
func (*Hold) action()    {}
func (*Record) action()  {}
func (*By) action()      {}
func (*Note) action()    {}
func (*Show) action()    {}
func (*Allow) action()   {}

// Keyword gives the word each action starts with.
func (*Use) Keyword() string     { return "use" }
func (*Fit) Keyword() string     { return "fit" }
func (*Remove) Keyword() string  { return "remove" }
func (*Refit) Keyword() string   { return "refit" }
func (*Clamp) Keyword() string   { return "clamp" }
func (*Release) Keyword() string { return "release" }
func (*Make) Keyword() string    { return "make" }
func (*Verify) Keyword() string  { return "verify" }
func (*Needs) Keyword() string   { return "needs" }
func (*Measure) Keyword() string { return "measure" }
func (*Ask) Keyword() string     { return "ask" }
func (*Drill) Keyword() string   { return "drill" }
func (*Tap) Keyword() string     { return "tap" }
func (*Tighten) Keyword() string { return "tighten" }
func (*Heat) Keyword() string    { return "heat" }
func (*Lift) Keyword() string    { return "lift" }
func (*Wait) Keyword() string    { return "wait" }
func (*Takes) Keyword() string   { return "takes" }
func (*Warn) Keyword() string    { return "warn" }
func (*Hold) Keyword() string    { return "hold" }
func (*Record) Keyword() string  { return "record" }
func (*By) Keyword() string      { return "by" }
func (*Note) Keyword() string    { return "note" }
func (*Show) Keyword() string    { return "show" }
func (*Allow) Keyword() string   { return "allow" }
