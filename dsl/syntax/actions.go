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
		Items []*Item `parser:"'use' @@ (',' @@)*"`
	}
	// Fit: fit TOOL on THING, or fit new PART, … (On is nil, New is true).
	Fit struct {
		Node
		New   bool    `parser:"'fit' @'new'?"`
		Items []*Item `parser:"@@ (',' @@)*"`
		On    *Name   `parser:"('on' @@)?"`
	}
	// Remove: remove THING, … .
	Remove struct {
		Node
		Items []*Item `parser:"'remove' @@ (',' @@)*"`
	}
	// Refit: refit PART, … .
	Refit struct {
		Node
		Items []*Item `parser:"'refit' @@ (',' @@)*"`
	}
	// Clamp: clamp THING in TOOL.
	Clamp struct {
		Node
		Items []*Item `parser:"'clamp' @@ (',' @@)*"`
		Tool  *Name   `parser:"'in' @@"`
	}
	// Release: release THING, … .
	Release struct {
		Node
		Items []*Item `parser:"'release' @@ (',' @@)*"`
	}
	// Make: make CONDITION STATE.
	Make struct {
		Node
		State *StatePair `parser:"'make' @@"`
	}
	// Verify: verify CONDITION STATE with TOOL.
	Verify struct {
		Node
		State *StatePair `parser:"'verify' @@"`
		With  *Name      `parser:"'with' @@"`
	}
	// Needs: needs CONDITION STATE, … .
	Needs struct {
		Node
		States []*StatePair `parser:"'needs' @@ (',' @@)*"`
	}
	// Measure: measure [smallest|largest|mean of N] NAME in UNIT with TOOL.
	Measure struct {
		Node
		Of    *Name   `parser:"'measure' ( (?= ('smallest' | 'largest' | 'mean') 'of' ) @@"` // smallest, largest, mean; nil for one taking
		Count *Number `parser:"'of' @@ )?"`                                                  // with Of
		Name  *Name   `parser:"@@"`
		Unit  *Name   `parser:"'in' @@"`
		With  *Name   `parser:"'with' @@"`
	}
	// Ask: ask NAME "question" { answers }.
	Ask struct {
		Node
		Name     *Name `parser:"'ask' @@"`
		Question *Text `parser:"@@"`
		Answers  []*MemberProperty
	}
	// Drill: drill HOLE SIZE deep DEPTH [at SPEED] with TOOL.
	Drill struct {
		Node
		Hole *Name    `parser:"'drill' @@"`
		Size *Operand `parser:"@@"`
		Deep *Operand `parser:"'deep' @@"`
		At   *Operand `parser:"('at' @@)?"`
		With *Name    `parser:"'with' @@"`
	}
	// Tap: tap [existing] HOLE THREAD [for insert] deep DEPTH [at SPEED] with TOOL.
	Tap struct {
		Node
		Existing bool     `parser:"'tap' @'existing'?"`
		Hole     *Name    `parser:"@@"`
		Thread   *Name    `parser:"@@"`
		Insert   bool     `parser:"@('for' 'insert')?"`
		Deep     *Operand `parser:"'deep' @@"`
		At       *Operand `parser:"('at' @@)?"`
		With     *Name    `parser:"'with' @@"`
	}
	// Tighten: tighten THING to 6, 12, 18 N.m [crosswise] with TOOL [through TOOL].
	// A round without a unit has the unit of the last.
	Tighten struct {
		Node
		Item      *Item      `parser:"'tighten' @@"`
		To        []*Operand `parser:"'to' @@ (',' @@)*"`
		Crosswise bool       `parser:"@'crosswise'?"`
		With      *Name      `parser:"'with' @@"`
		Through   *Name      `parser:"('through' @@)?"`
	}
	// Heat: heat PART bore D interference I [clearance C] expansion A [from T] [at most T] with TOOL.
	Heat struct {
		Node
		Item         *Item    `parser:"'heat' @@"`
		Bore         *Operand `parser:"'bore' @@"`
		Interference *Operand `parser:"'interference' @@"`
		Clearance    *Operand `parser:"('clearance' @@)?"`
		Expansion    *Operand `parser:"'expansion' @@"`
		From         *Operand `parser:"('from' @@)?"`
		AtMost       *Operand `parser:"('at' 'most' @@)?"`
		With         *Name    `parser:"'with' @@"`
	}
	// Lift: lift THING, … with TOOL.
	Lift struct {
		Node
		Items []*Item `parser:"'lift' @@ (',' @@)*"`
		With  *Name   `parser:"'with' @@"`
	}
	// Wait: wait TIME.
	Wait struct {
		Node
		Time *Operand `parser:"'wait' @@"`
	}
	// Takes: takes TIME.
	Takes struct {
		Node
		Time *Operand `parser:"'takes' @@"`
	}
	// Warn: warn HAZARD, … .
	Warn struct {
		Node
		Hazards []*Name `parser:"'warn' @@ (',' @@)*"`
	}
	// Hold: hold "who" "accepts what".
	Hold struct {
		Node
		Who  *Text `parser:"'hold' @@"`
		What *Text `parser:"@@"`
	}
	// Record: record NAME "what to write down".
	Record struct {
		Node
		Name *Name `parser:"'record' @@"`
		What *Text `parser:"@@"`
	}
	// By: by "a qualified person".
	By struct {
		Node
		Who *Text `parser:"'by' @@"`
	}
	// Note: note "text".
	Note struct {
		Node
		Text *Text `parser:"'note' @@"`
	}
	// Show: show FIGURE-or-video, … .
	Show struct {
		Node
		Names []*Name `parser:"'show' @@ (',' @@)*"`
	}
	// Allow: allow BP803 "reason".
	Allow struct {
		Node
		Code   *Name `parser:"'allow' @@"`
		Reason *Text `parser:"@@"`
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
