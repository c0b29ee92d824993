// Package syntax turns source text into a tree.
//
// Input: a source.File. Output: a File with its declarations, all its tokens
// (comments too, for the formatter) and the messages of what did not parse
// (BP101). Parsing goes on after an error at the next statement, so a tree
// always comes back; what could not be read is left out of it, never nil
// inside it.
//
// The tree is the grammar: each node's parser tags are its syntax, and the
// leaves, which are most of a file, and the few nodes that tags cannot say have
// a Parse of their own (leaves.go). Blocks in braces are the parser's own: what
// may stand in each (properties.go), and how parsing goes on after a mistake
// (parse.go). A mistyped keyword is set right and parsed on, so that nothing
// follows from it; a declaration in which something could not be read says so
// (Broken), so that later passes can be quiet about it.
//
// Nothing writes into a tree after parsing; later passes keep side tables.
package syntax

import (
	"github.com/alecthomas/participle/v2/lexer"

	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// A Node is the place of a piece of syntax, byte-exact.
type Node struct {
	Pos    lexer.Position
	EndPos lexer.Position
}

// Start is the byte offset at which the node begins.
func (n *Node) Start() int { return n.Pos.Offset }

// End is the byte offset behind the node's last character.
func (n *Node) End() int { return n.EndPos.Offset }

// In gives the node's span in the file it was parsed from.
func (n *Node) In(f *source.File) source.Span { return f.Span(n.Pos.Offset, n.EndPos.Offset) }

func (n *Node) place() *Node { return n }

// Place is what every node has.
type Place interface {
	Start() int
	End() int
	In(f *source.File) source.Span
	place() *Node
}

// A File is one parsed source file.
type File struct {
	Source       *source.File
	Declarations []Declaration
	// Tokens are all tokens in order, comments included, white space not.
	Tokens   []lexer.Token
	Messages []*message.Message
	// Lost are names that a file made of a sheet may have declared where its rows
	// could not be taken; LostAll: it may have declared any.
	Lost    []string
	LostAll bool
}

// A Declaration is what a file consists of.
type Declaration interface {
	Place
	// Keyword is the word it starts with.
	Keyword() string
	declaration()
}

// --- small things ------------------------------------------------------------

// A Name is one word where it stands: a declared name, a reference to one
// (`table.column` is one word), an answer, a state, a unit.
type Name struct {
	Node
	Text string
}

// A Text is a quoted text. Raw keeps the quotes and escapes.
type Text struct {
	Node
	Raw string
}

// A Number is a decimal as written.
type Number struct {
	Node
	Text string
}

// An Operand is a value: a number with or without a unit, or a name (a table's
// column, a member, a state, an answer). Exactly one of Number and Name is set.
type Operand struct {
	Node
	Number *Number
	Unit   *Name // `%` is a unit too
	Name   *Name
}

// An Item is a thing with its count: `casing-nut x 6`. No count means one.
type Item struct {
	Node
	Name  *Name
	Count *Number
}

// A RangeKind says with which words a range is written.
type RangeKind uint8

// The ranges. Low and High below are the operands in the order written.
const (
	AtLeast      RangeKind = iota + 1 // at least Low
	Above                             // above Low
	AtMost                            // at most High
	Below                             // below High
	FromTo                            // from Low to High
	FromToBelow                       // from Low to below High
	AboveTo                           // above Low to High
	AboveToBelow                      // above Low to below High
	Limits                            // limits Low Class (ISO 286)
	BelowLimits                       // below limits Low Class
	AboveLimits                       // above limits Low Class
)

// A Range is a stretch of values in words.
type Range struct {
	Node
	Kind      RangeKind
	Low, High *Operand
	Class     *Name // of limits: k6, H7
	// NoUpper is the place of `no upper limit`, where it is written.
	NoUpper *Node
}

// A StatePair is a condition and one of its states: `power locked-off`.
type StatePair struct {
	Node
	Condition *Name
	State     *Name
}

// --- declarations --------------------------------------------------------------

// A Thing is a declaration of the form `keyword name "title" { properties }`:
// library (no name), variant, condition, hazard, tool, kit, part, consumable,
// catalogue (no name), table (no title), figure, video. Which properties each may hold is told by
// the table in properties.go.
type Thing struct {
	Node
	Kind       *Name `parser:"@@"`         // the keyword, where it stands
	Name       *Name `parser:"@@?"`        // nil for library and catalogue
	By         *Name `parser:"('by' @@)?"` // table: the variant
	Signal     *Name `parser:"@@?"`        // hazard: danger, warning, caution, notice
	Title      *Text `parser:"@@?"`        // nil for table
	Properties []Property
	Broken     bool // something in it could not be read
}

// A Routine is steps that several procedures share.
type Routine struct {
	Node
	Kind   *Name `parser:"@@"`
	Name   *Name `parser:"@@"`
	Title  *Text `parser:"@@"`
	Body   []Statement
	Broken bool // something in it could not be read
}

// A Procedure is one job.
type Procedure struct {
	Node
	Kind       *Name      `parser:"@@"`
	Name       *Name      `parser:"@@"`
	Title      *Text      `parser:"@@"`
	Properties []Property // document, revision, applies, skill, purpose, begins, ends, allow
	Body       []Statement
	Broken     bool // something in it could not be read: what follows from that is no fault of its own
}

// A Trial is a worked case of a procedure.
type Trial struct {
	Node
	Kind    *Name `parser:"@@"`
	Title   *Text `parser:"@@"`
	Of      *Name `parser:"'of' @@"`
	Entries []*TrialEntry
	Expect  []*Expectation // in the order written; entries of one `expect` are several
	Broken  bool           // something in it could not be read
}

// A Released says that a revision is released, or that it is withdrawn.
type Released struct {
	Node
	Kind       *Name // released or withdrawn
	Of         *Name
	Revision   *Name // may be spelled as a number
	Properties []Property
	Broken     bool // something in it could not be read
}

// A TrialEntry gives a variant its member, a reading its values, a question
// its answers.
type TrialEntry struct {
	Node
	Name   *Name
	Values []*Operand
}

// An Expectation is one thing that must hold at the end of a trial.
type Expectation struct {
	Node
	Name    *Name // the part, tool or hazard; nil for finish and time
	Not     bool
	Verb    *Name // fitted, used, met, finish, time
	Outcome *Name // of finish
	Refer   *Name // of `finish refer to PROCEDURE`
	Time    *Range
}

// --- properties ------------------------------------------------------------------

// A Property is one statement of a declaration's head.
type Property interface {
	Place
	// Key is the property's word or words: "number", "safe when", "begins without".
	Key() string
	// KeySpan is where the word stands.
	KeyNode() *Name
	property()
}

// Keyed is the part that all properties share.
type Keyed struct {
	Node
	Word *Name  // the first word
	Long string // the whole key, "proved with"
}

// The properties by form. The words behind each are those that use the form.
type (
	// TextProperty: owner, number, detail, plural, consequence, avoid, document, skill, purpose, file, link, sheet.
	TextProperty struct {
		Keyed
		Text *Text `parser:"@@"`
	}
	// OperandProperty: resolution, drills, lead, lifts, mass, length, extends, header row.
	OperandProperty struct {
		Keyed
		Value *Operand `parser:"@@"`
	}
	// UncertaintyProperty: uncertainty 0.02 mm, 4 % of reading, 0.4 % points.
	UncertaintyProperty struct {
		Keyed
		Value  *Operand `parser:"@@"`
		Of     bool     `parser:"( @'of' 'reading'"`
		Points bool     `parser:"| @'points' )?"`
	}
	// SpanProperty: reads, sets (`from A to B`).
	SpanProperty struct {
		Keyed
		From *Operand `parser:"'from' @@"`
		To   *Operand `parser:"'to' @@"`
	}
	// TimesProperty: a video's `from 1:36 to 2:10`; the texts of the two time tokens.
	TimesProperty struct {
		Keyed
		From, To *Name
	}
	// NamesProperty: language, lists, decimal, separator, encoding, states, begins and ends of a condition (one name), signs, proved with,
	// carries, replaced by, holds, kind, behind, guards, columns.
	NamesProperty struct {
		Keyed
		Names []*Name `parser:"@@ (',' @@)*"`
	}
	// StatesProperty: safe when (one pair); begins, ends of a procedure; leaves.
	StatesProperty struct {
		Keyed
		States []*StatePair `parser:"@@ (',' @@)*"`
	}
	// WithoutProperty: begins without.
	WithoutProperty struct {
		Keyed
		Items []*Item `parser:"@@ (',' @@)*"`
	}
	// FlagProperty: single-use.
	FlagProperty struct{ Keyed }
	// ThreadProperty: taps M8 [for insert]; thread M8 [class 8.8].
	ThreadProperty struct {
		Keyed
		Thread *Name
		Insert bool
		Class  *Name // may be spelled as a number
	}
	// DecisionProperty: decision guarded [0.83], decision simple.
	DecisionProperty struct {
		Keyed
		Rule   *Name   `parser:"@@"`
		Factor *Number `parser:"@@?"`
	}
	// RevisionProperty: revision C on 2026-10-02 "note".
	RevisionProperty struct {
		Keyed
		Revision *Name // may be spelled as a number
		Date     *Name
		Note     *Text
	}
	// AppliesProperty: applies to size s32, s40.
	AppliesProperty struct {
		Keyed
		Variant *Name
		Members []*Name // none: all
	}
	// MarkProperty: mark 1 at 33 %, 45 % is sleeve.
	MarkProperty struct {
		Keyed
		Number *Number  `parser:"@@"`
		X      *Operand `parser:"'at' @@"`
		Y      *Operand `parser:"',' @@"`
		Is     *Name    `parser:"'is' @@"`
	}
	// MemberProperty: a member of a variant: s32 "size 32". Word is the member's name.
	MemberProperty struct {
		Keyed
		Title *Text `parser:"@@"`
	}
	// RowProperty: a row of a table. Word is the member's name.
	RowProperty struct {
		Keyed
		Values []*Operand
	}
	// ColumnProperty: a property of a catalogue: number column "Item no.".
	ColumnProperty struct {
		Keyed
		Column *Text
		To     *Text // of a range: the column of its upper end
		Unit   *Name // of every value of the column
		UnitIn *Text // the column of the unit
	}
	// DateProperty: on, of a release; calibrated and due of a tool.
	DateProperty struct {
		Keyed
		Date *Name
	}
	// FingerprintProperty: fingerprint 1 "3f9c 22ab 91d0".
	FingerprintProperty struct {
		Keyed
		Method *Number `parser:"@@"`
		Text   *Text   `parser:"@@"`
	}
	// OverProperty: over tool puller bcdfghjk, head klmnpqrs.
	OverProperty struct {
		Keyed
		Items []*Marked `parser:"@@ (',' @@)*"`
	}
	// AllowProperty: allow BP803 "reason".
	AllowProperty struct {
		Keyed
		Code   *Name `parser:"@@"`
		Reason *Text `parser:"@@"`
	}
)

// Marked is a thing that was released, with its mark. Name is nil where there is
// but one of its sort, or where its place tells which it is.
type Marked struct {
	Node
	Sort *Name
	Name *Name
	Mark *Name
}

// Key gives the property's word or words.
func (k *Keyed) Key() string { return k.Long }

// KeyNode gives the first word where it stands.
func (k *Keyed) KeyNode() *Name { return k.Word }

func (k *Keyed) property() {}

// --- flow ----------------------------------------------------------------------------

// A Statement is a piece of a procedure's or routine's flow.
type Statement interface {
	Place
	// Keyword is the word it starts with.
	Keyword() string
	statement()
}

// The flow statements.
type (
	// Stage: stage "title" { … }.
	Stage struct {
		Node
		Title *Text `parser:"'stage' @@"`
		Body  []Statement
	}
	// Step: step "text" [{ actions }].
	Step struct {
		Node
		Text    *Text `parser:"'step' @@"`
		Actions []Action
	}
	// Decide: decide NAME { branches }.
	Decide struct {
		Node
		On       *Name `parser:"'decide' @@"`
		Branches []*Branch
	}
	// Repeat: repeat at most N times { … until … } [otherwise { … }].
	Repeat struct {
		Node
		Times     *Number     `parser:"'repeat' 'at' 'most' @@ 'times'"`
		Body      []Statement // may hold Until
		Otherwise *Otherwise
	}
	// Until: until READING RANGE, until QUESTION ANSWER, ….
	Until struct {
		Node
		On    *Name
		Range *Range
		Cases []*Name // none: Range is given
	}
	// Perform: perform ROUTINE.
	Perform struct {
		Node
		Routine *Name `parser:"'perform' @@"`
	}
	// Finish: finish OUTCOME [to PROCEDURE] ["what to do next"] [{ leaves … }].
	Finish struct {
		Node
		Outcome    *Name      `parser:"'finish' @@"`
		To         *Name      `parser:"('to' @@)?"`
		Text       *Text      `parser:"@@?"`
		Properties []Property // leaves
	}
)

// Otherwise is what follows the last failed turn of a repeat.
type Otherwise struct {
	Node
	Body []Statement
}

// A Branch of a decide: by range, or by one or more answers or members.
type Branch struct {
	Node
	Accept  bool
	Range   *Range
	Cases   []*Name
	Meaning *Text
	Body    []Statement
}

func (*Thing) declaration()     {}
func (*Routine) declaration()   {}
func (*Procedure) declaration() {}
func (*Trial) declaration()     {}
func (*Released) declaration()  {}

// Keyword gives the word the declaration starts with.
func (t *Thing) Keyword() string { return t.Kind.Text }

// Keyword gives the word the declaration starts with.
func (*Routine) Keyword() string { return "routine" }

// Keyword gives the word the declaration starts with.
func (*Procedure) Keyword() string { return "procedure" }

// Keyword gives the word the declaration starts with.
func (*Trial) Keyword() string { return "trial" }

// Keyword gives the word the declaration starts with.
func (r *Released) Keyword() string { return r.Kind.Text }

func (*Stage) statement()   {}
func (*Step) statement()    {}
func (*Decide) statement()  {}
func (*Repeat) statement()  {}
func (*Until) statement()   {}
func (*Perform) statement() {}
func (*Finish) statement()  {}

// Keyword gives the word the statement starts with.
func (*Stage) Keyword() string { return "stage" }

// Keyword gives the word the statement starts with.
func (*Step) Keyword() string { return "step" }

// Keyword gives the word the statement starts with.
func (*Decide) Keyword() string { return "decide" }

// Keyword gives the word the statement starts with.
func (*Repeat) Keyword() string { return "repeat" }

// Keyword gives the word the statement starts with.
func (*Until) Keyword() string { return "until" }

// Keyword gives the word the statement starts with.
func (*Perform) Keyword() string { return "perform" }

// Keyword gives the word the statement starts with.
func (*Finish) Keyword() string { return "finish" }
