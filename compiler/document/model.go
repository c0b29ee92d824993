// Package document is what the technician reads, before anyone decides how it
// looks.
//
// Input (see lower.go): a bound library and what holds on every path of one of
// its procedures. Output: a Document, in which every reference is resolved,
// every value is known for each member, every number is counted, and nothing
// is left to look up. Renderers see only this package; they decide how a
// thing looks, never what it means. Order matters everywhere: equal sources
// give equal documents.
package document

import (
	"strconv"
	"strings"
)

// A Document is one work instruction.
type Document struct {
	// Name is the procedure's declared name, the stem of its file names.
	Name string
	// For lists the members the document is for, where it was asked for some
	// ("size s32"); empty: for all the procedure applies to.
	For []Chosen
	// Language is a BCP 47 tag of the texts and fixed words.
	Language string
	Words    *Words

	// Control block.
	Library, Owner string
	Title, Purpose string
	Number         string // document number
	Revision       string
	Date           string // ISO 8601
	AppliesTo      []Family
	Skill          string
	Time           *TimeSpan // nil where no step gives a time
	Fingerprint    string    // twelve hexadecimal digits
	Release        Release
	// Translation is the language and the fingerprint of the translation that the
	// document is in; empty: the language of the sources.
	Translation string `json:",omitempty"`

	// Draft marks a document built in spite of errors: NOT FOR WORK on every
	// page, no ticks, no boxes, no signature. Messages are what is wrong.
	Draft    bool
	Messages []string

	Revisions []Revision // newest first; the first is this one

	Begins        []State     // the state the machine must be in
	BeginsWithout []Counted   // what is not on the machine
	Ends          []State     // as it is left at a serviceable finish
	Isolation     []Isolation // what is made safe, by whom, proved with what

	Hazards     []HazardUse // worst first
	Tools       []Need      // instruments are among them, with Instrument set
	Parts       []Need
	Consumables []Need
	Kits        []Kit

	Map  Map
	Body []Block
	// Steps are all steps of Body in order: Steps[i].Number is i+1.
	Steps []*Step
	// Decisions are all decisions of Body in order.
	Decisions []*Decision
	// Finishes are all finishes of Body in order; the last may be the one
	// understood where a procedure runs off its end.
	Finishes []*Finish

	CloseUp []CloseUp
	Record  []RecordLine
	Figures []*Figure // each once, in order of first use
}

// A Release is how the revision of a document stands.
type Release struct {
	State ReleaseState
	// By and Date (ISO 8601) are of the release or the withdrawal, Reason of the
	// withdrawal; empty where not released.
	By, Date, Reason string
	// Text says it in words, for every page: "Released by Ada Marsh, 2026-10-05".
	Text string
	// Bars says against which release steps carry a change bar; empty where there
	// was none before.
	Bars string
}

// A ReleaseState says whether a document may be worked from.
type ReleaseState string

// The states of a release. A withdrawn document is for no work; one that is not
// released says so, and whether it is worked from is for its owner to rule.
const (
	NotReleased ReleaseState = "not released"
	Released    ReleaseState = "released"
	Withdrawn   ReleaseState = "withdrawn"
)

// Edition is the fingerprint as printed, grouped by a function, with that of the
// translation behind it where the document is one.
func (d *Document) Edition(group func(string) string) string {
	language, translation, is := strings.Cut(d.Translation, " ")
	if !is {
		return group(d.Fingerprint)
	}
	return group(d.Fingerprint) + " · " + language + " " + group(translation)
}

// Chosen is a member that a document was asked for.
type Chosen struct {
	Variant, VariantTitle string
	Member, MemberTitle   string
}

// A Family is a variant and the members the document is for.
type Family struct {
	Variant, Title string
	Members        []Member
}

// A Member of a family.
type Member struct{ Name, Title string }

// A TimeSpan is the least and the most expected time over all paths, in minutes
// as exact decimals, and as printed ("1 h 25 min").
type TimeSpan struct {
	LeastMinutes, MostMinutes string
	Least, Most               string
}

// A Revision of the document.
type Revision struct{ Revision, Date, Note string }

// A State is a condition in a state: "motor supply" "locked off".
type State struct {
	Condition, State           string // declared names
	ConditionTitle, StateTitle string
}

// An Isolation tells how a condition is made safe and proved.
type Isolation struct {
	State State
	// MadeBy is the qualified person of the step that makes it, or empty.
	MadeBy     string
	MadeStep   int    // 0: it holds from the start
	ProvedWith *Thing // nil: no proof is asked for
	ProvedBy   string
	ProvedStep int // 0: not proved in this procedure
}

// --- things -------------------------------------------------------------------

// A ThingKind is the sort of a thing.
type ThingKind string

// The sorts of things a technician handles.
const (
	Tool       ThingKind = "tool"
	Part       ThingKind = "part"
	Consumable ThingKind = "consumable"
)

// A Thing is a tool, part or consumable as the technician knows it.
type Thing struct {
	Kind ThingKind
	Name string // declared name
	// Plural is as declared, or the regular one; empty where it is not known.
	Title, Plural string
	// Forms are the title as counted, by the plural forms of the language; nil:
	// Title and Plural.
	Forms          []string `json:",omitempty"`
	Number, Detail string   // either may be empty
	Instrument     bool     // a tool that reads or sets: it has a calibration date
	Range, Scale   string   // "25 mm to 50 mm", "to 0.001 mm"; empty where not an instrument
	Mass           string
	SingleUse      bool
}

// Counted is a thing and how many.
type Counted struct {
	Thing *Thing
	Count int
	// Only are the members for which it is so, as printed; empty: for all.
	Only string
}

// A Need is a thing the job needs, collected from the steps.
type Need struct {
	Thing *Thing
	// Count is how many are needed at once (tools) or in all (parts).
	Count int
	Steps []int
	// Always is false where only some paths need it; Only then says which:
	// "if worn", "size 40".
	Always bool
	Only   string
	// New is true for parts that are fitted new.
	New bool
	// For says what a tool is for: the thing it works on or reads, or empty.
	For string
	Kit *Kit // the box that holds it, or nil
}

// A Kit is a box and what of it the job takes.
type Kit struct {
	Name, Title, Number string
	Detail              string // may be empty
	Holds               []*Thing
}

// --- hazards -------------------------------------------------------------------

// A Hazard is a safety message.
type Hazard struct {
	Name        string
	Signal      string // danger, warning, caution, notice
	Title       string
	Consequence string
	Avoid       string
	Signs       []Sign
}

// A Sign is a registered safety sign.
type Sign struct {
	Code     string // W012
	Referent string // "Warning; electricity"
	// Protective is true where the sign asks for something to be worn.
	Protective bool
}

// A HazardUse is a hazard and the steps that carry it.
type HazardUse struct {
	Hazard *Hazard
	Steps  []int
	Always bool
	Only   string
}

// --- text ------------------------------------------------------------------------

// A SpanKind says what a stretch of text is.
type SpanKind string

// The kinds of text. A renderer that meets another must fail.
const (
	Plain     SpanKind = "plain"
	Strong    SpanKind = "strong"   // emphasis by weight
	Emphasis  SpanKind = "emphasis" // emphasis by slope
	Code      SpanKind = "code"
	Link      SpanKind = "link"   // Href is http, https or mailto
	ID        SpanKind = "id"     // a thing's number: T-0044; set in weight, never broken
	Value     SpanKind = "value"  // a quantity: number and unit never parted; set in weight in limits
	Mark      SpanKind = "mark"   // a footnote mark behind a value: *, never raised
	StepRef   SpanKind = "step"   // a link to step Step
	FinishRef SpanKind = "finish" // a link to finish Finish (its ID)
)

// A Span is a stretch of text of one kind. Text never holds markup.
type Span struct {
	Kind   SpanKind
	Text   string
	Href   string `json:",omitempty"`
	Step   int    `json:",omitempty"`
	Finish string `json:",omitempty"`
	Thing  *Thing `json:",omitempty"` // what an ID or a title stands for
}

// A Text is a sequence of spans.
type Text []Span

// --- blocks -------------------------------------------------------------------------

// A Block is a piece of the work. Renderers handle every kind and fail on one
// they do not know: it may carry a hazard.
type Block interface{ block() }

// A Stage is a part of the job with a title.
type Stage struct {
	Number int
	ID     string // anchor: stage-1
	Title  string
	// Changed: its title is not as at the last release: a change bar.
	Changed bool
	// Holds are conditions that must hold when the stage begins, to be verified
	// again after a break or a change of shift.
	Holds       []State
	Body        []Block
	First, Last int // its steps; 0 where it has none
}

// A Routine is a block of steps shared by procedures, set out in full.
type Routine struct {
	Name, Title string
	Body        []Block
}

// A Step is one step of the work.
type Step struct {
	Number  int
	ID      string // anchor: step-14
	Changed bool   // does not say what it said at the last release: a change bar
	Hazards []*Hazard
	By      string // a qualified person, or empty
	Text    Text
	// Handled are things the step handles and its text does not mention.
	Handled []Counted
	// Details are facts of the actions worked out for the bench: a drilling
	// speed, a torque setting, a temperature, the acting limit of a loop.
	Details []Text
	Notes   []Text
	Figures []*Figure
	Videos  []*Video
	// Boxes stand in the hand's column, in order. A step always has at least
	// one Tick: where nothing else is ticked it is the last word, "done".
	Boxes []Box
	Time  string   // "5 min", or empty
	Allow []string // rules turned off for the step, each with its reason
	// Turn is true inside a repeat: boxes are ticked once per turn.
	Turn *Repeat `json:"-"`
}

// A Decision sends the work one way by a reading, an answer or the member.
type Decision struct {
	ID string // anchor: decision-2
	// Changed: its ranges, meanings or the values in them are not as at the last
	// release: a change bar.
	Changed bool
	Kind    DecisionKind
	// On is the declared name of the reading, question or variant.
	On    string
	Title string // "What is the smallest sleeve diameter?"
	// Reading tells the instrument where Kind is ByReading.
	Reading   *Reading
	Branches  []*Branch
	Footnotes []Text // each begins with its mark
	// After is where the work goes on behind the decision.
	After Target
}

// A DecisionKind says what a decision is taken on.
type DecisionKind string

// The kinds of decisions.
const (
	ByReading DecisionKind = "reading"
	ByAnswer  DecisionKind = "answer"
	ByMember  DecisionKind = "member"
)

// A Branch of a decision. Number counts from one in the order written.
type Branch struct {
	Number int
	Accept bool
	// Limits are the acting limits by member, for ByReading. One entry without
	// members holds for all.
	Limits []MemberLimits
	// Cases are the answers or members, for the other kinds.
	Cases   []Member
	Meaning string
	Goes    Target
	Body    []Block
}

// MemberLimits are limits for some members of the families the document is for.
type MemberLimits struct {
	// Members are one of each family that the limits differ by: they hold where
	// the machine is all of these. Empty: for all machines.
	Members []Chosen
	Limits  Limits
}

// Limits are the acting limits of a range as the instrument shows them.
type Limits struct {
	// Text is what is printed: "31.954 mm* to 32.006 mm*".
	Text Text
	// Low and High are exact values in the reading's unit: a decimal, or a
	// fraction a/b where no decimal is exact; empty: open to the instrument's end.
	Low, High         string
	LowOpen, HighOpen bool
	// DrawnLow and DrawnHigh are the ends as the drawing has them, exact in the
	// reading's unit, where the guard band moved one of them; else both empty.
	DrawnLow, DrawnHigh string `json:",omitempty"`
	// Impossible is true where the guard band or another range leaves nothing.
	Impossible bool
}

// A Target is where the work goes on.
type Target struct {
	Step   int    // 0: none
	Finish string // the ID of a finish, or empty
	// Decision is the ID of a decision that no step stands before, or empty: a
	// step inside it would be the wrong one for whom another branch is meant.
	Decision string
	// Text is what is printed: "step 17", "refer", "“Which size is it?”".
	Text string
}

// A Repeat is done again until a reading or an answer is good, a bounded number
// of times.
type Repeat struct {
	ID    string // anchor: repeat-1
	Times int
	// Changed: it is not done as often as at the last release: a change bar.
	Changed bool
	Body    []Block // Until stands in it
	// Until is what ends it.
	Until     *Until
	Otherwise []Block
	// OnSuccess and OnFailure are where the work goes on.
	OnSuccess, OnFailure Target
}

// LastTurn heads what follows the last turn that was not good.
func (r *Repeat) LastTurn(w *Words) string {
	pattern := w.Otherwise
	if r.Until != nil && r.Until.Kind == ByAnswer {
		pattern = w.OtherwiseAnswer
	}
	return fill(pattern, "times", strconv.Itoa(r.Times))
}

// An Until ends the turns of a repeat when a reading is in its range, or one of
// its answers is given.
type Until struct {
	// On is the declared name of the reading or question, Kind ByReading or ByAnswer.
	On   string
	Kind DecisionKind
	// Changed: its limits or answers are not as at the last release: a change bar.
	Changed bool
	// Reading and Limits are those of ByReading.
	Reading *Reading
	Limits  []MemberLimits
	// Title is the question and Cases the answers that end the turns, of ByAnswer.
	Title string
	Cases []Member
	// Again is where the work goes on while it is not met and turns are left:
	// behind it, or back where the turns begin. Empty where there is but one turn.
	Again Target
	// Text says it in words: "Go on at step 18 when the reading is 0.04 mm* or
	// less; otherwise go on at step 17; after two readings, refer."
	Text      Text
	Footnotes []Text
}

// A Finish is an outcome of the job.
type Finish struct {
	ID      string // anchor: finish-1
	Outcome string // serviceable, scrap, refer
	// Changed: it does not say what it said at the last release: a change bar.
	Changed bool
	Title   string // the outcome as printed
	Text    string // what to do next; may be empty
	// To is the procedure that goes on, with its document number.
	To, ToTitle, ToNumber string
	// Leaves are conditions that do not stand as the procedure found them,
	// Off and On what is off or fitted that was not at the start, on some path.
	// Where the work goes on in another procedure, Leaves and Off are all that it
	// finds otherwise than the library says a machine begins.
	Leaves []State
	Off    []Counted
	On     []Counted
	// Implied is true where the procedure runs off its end.
	Implied bool
}

func (*Stage) block()    {}
func (*Routine) block()  {}
func (*Step) block()     {}
func (*Decision) block() {}
func (*Repeat) block()   {}
func (*Until) block()    {}
func (*Finish) block()   {}

// --- boxes -----------------------------------------------------------------------------

// A Box is something the hand does in its column.
type Box interface{ box() }

type (
	// Tick is a plain tick: "done", "P-2132 fitted", "4 tools off".
	Tick struct {
		ID    string // unique in the document: step-16-tick-1
		Label string
	}
	// ReadingBox takes a reading: Boxes boxes and, where there are several, the one
	// for the smallest, largest or mean.
	ReadingBox struct {
		Reading *Reading
	}
	// RoundBox is one torque round of a tightening.
	RoundBox struct {
		ID     string
		Label  string // "round 1", or "tightened" where there is but one
		Values []MemberValue
		Final  bool
	}
	// AnswerBox asks a question.
	AnswerBox struct {
		Name     string
		Question string
		Answers  []Member
	}
	// HoldBox is a hold point: work stops until Who has accepted What.
	HoldBox struct {
		ID        string
		Who, What string
	}
	// RecordBox is something to write down.
	RecordBox struct {
		Name, Label string
	}
	// WaitBox is a wait, in seconds as a decimal and as printed.
	WaitBox struct {
		ID      string
		Seconds string
		Label   string // "20 min waited"
		Text    string // "20 min"
	}
	// StateBox confirms that a condition was made or verified.
	StateBox struct {
		ID       string
		State    State
		Verified bool   // else made
		With     *Thing // of a verification
		Label    string
	}
)

func (*Tick) box()       {}
func (*ReadingBox) box() {}
func (*RoundBox) box()   {}
func (*AnswerBox) box()  {}
func (*HoldBox) box()    {}
func (*RecordBox) box()  {}
func (*WaitBox) box()    {}
func (*StateBox) box()   {}

// A MemberValue is a printed value for some members of one family; no members:
// for all.
type MemberValue struct {
	Members []Chosen
	Text    string
}

// A Reading is what is measured, with what, and what the instrument can show.
type Reading struct {
	Name  string // declared name
	Title string // "sleeve diameter"
	Unit  string // as printed
	// Boxes is how many takings; Of is smallest, largest, mean or empty.
	Boxes int
	Of    string
	// Instrument takes it. From, To and Step are what it can show, in Unit: exact
	// decimals, or fractions a/b; empty where the instrument states none.
	Instrument     *Thing
	From, To, Step string
	// Origin is where the steps of the scale are counted from, in Unit; empty:
	// zero. A Celsius display read in °F counts from 32.
	Origin    string
	ScaleText string // "mm, to 0.001"
	RangeText string // "25 mm to 50 mm"
	// Limits are the acting limits that make the reading good, where one accept
	// range or until judges it; for the box's label.
	Limits []MemberLimits
	Steps  []int // where it is taken
}

// --- figures -----------------------------------------------------------------------------

// A Figure is an image with numbered marks.
type Figure struct {
	Name, Title string
	File        string // the path in the library
	Format      string // svg, png, jpeg
	Data        []byte `json:"-"`
	Width       int    // pixels, or SVG user units
	Height      int
	Marks       []FigureMark
}

// A FigureMark is a numbered mark; X and Y are per mille of width and height.
type FigureMark struct {
	Number int
	X, Y   int
	Thing  *Thing // nil where it marks something else
	Label  string
}

// A Video is a moving picture with its stretch.
type Video struct {
	Name, Title string
	Link        string
	From, To    string // "1:36"
	Step        int
}

// --- close-up, record -----------------------------------------------------------------------

// CloseUp is one line of the count at the end of a serviceable job.
type CloseUp struct {
	Kind  string // "put back", "new", "cover", "tool off", "state"
	Label Text   // without the count: "casing nuts P-1008"
	Count int
	Only  string // empty: always
}

// A RecordLine is one line of the record.
type RecordLine struct {
	Kind  string // reading, torque, answer, record, part, hold
	Step  int
	Name  string
	Label string
	Unit  string
	// Boxes is how many values there may be, Turns the turns they belong to where
	// the step stands in a repeat ("1", "2.1"): each has as many boxes.
	Boxes int
	Turns []string `json:",omitempty"`
	// Of is which of the values of a turn counts: smallest, largest, mean; empty:
	// each.
	Of string `json:",omitempty"`
	// Limits say what is good, as printed, by member.
	Limits []MemberLimits
	Who    string
	Only   string
}

// --- the job map ------------------------------------------------------------------------------

// A Map is the job as a graph: stages, decisions, loops and finishes.
type Map struct {
	Nodes []MapNode
	Edges []MapEdge
	// Text is the map in words, one line a node, for those who do not see it.
	Text []string
}

// A MapKind is what a node of the map stands for.
type MapKind string

// The nodes of the map, with symbols of ISO 5807.
const (
	MapWork     MapKind = "work"     // a stage or a run of steps: process
	MapDecision MapKind = "decision" // decision
	MapLoop     MapKind = "loop"     // a repeat's until: decision with a way back
	MapFinish   MapKind = "finish"   // terminator
)

// A MapNode is a node; IDs are its index in Map.Nodes.
type MapNode struct {
	ID     int
	Kind   MapKind
	Label  string
	Detail string // "7–13", "at most 4 times"
	Step   int    // where it begins, for a link; 0: none
	Finish string // of a finish: its ID
	// Outcome is that of a finish: serviceable, scrap, refer.
	Outcome string
}

// A MapEdge leads from node to node. Back is true for a loop's way back.
type MapEdge struct {
	From, To int
	Label    string
	Back     bool
}
