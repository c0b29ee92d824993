package compare

import (
	"benchproof/compiler/library"
)

// A Report is what differs in meaning between two libraries. Its lists keep the
// order of the new library; what is gone stands where it stood in the old one's.
type Report struct {
	// Report and Version name the shape of the JSON (report.schema.json).
	Report  string `json:"report"`
	Version int    `json:"version"`
	Old     Side   `json:"old"`
	New     Side   `json:"new"`
	// Shared are the declarations that differ, the library's own first. Each is
	// told here and not again for every procedure that uses it.
	Shared []Declaration `json:"shared"`
	// Procedures are those that differ by themselves or because of what is shared.
	Procedures []Procedure `json:"procedures"`
	// Same counts the procedures that both have and that do not differ.
	Same int `json:"same"`
	// NotCompared are procedures that one side has too broken to be compared.
	NotCompared []NotCompared `json:"notCompared"`
}

// Empty tells that nothing differs. What could not be compared is no difference.
func (r *Report) Empty() bool { return len(r.Shared) == 0 && len(r.Procedures) == 0 }

// A Side is one of the two libraries.
type Side struct {
	// Name is what the library was asked for by: a folder, or a revision.
	Name string `json:"name"`
	// Commit is the full name of the revision in version control, or empty.
	Commit     string `json:"commit,omitempty"`
	Title      string `json:"title"`
	Procedures int    `json:"procedures"`
	// Errors counts what is wrong with the library. Where it is not zero,
	// what is told as gone or added may be what could not be read.
	Errors int `json:"errors"`
}

// NotCompared is a procedure that could not be compared, and why.
type NotCompared struct {
	Name string `json:"name"`
	Why  string `json:"why"`
}

// A Change is how something differs.
type Change string

// The changes.
const (
	Added    Change = "added"
	Gone     Change = "gone"
	Changed  Change = "changed"
	Renamed  Change = "renamed"  // only what it is called by in the sources
	Moved    Change = "moved"    // stands elsewhere
	Reworded Change = "reworded" // says the same in other words, as far as its actions go
)

// A Kind is what a difference is about.
type Kind string

// The kinds. Kinds lists them all.
const (
	KindTitle      Kind = "title"
	KindNumber     Kind = "number"
	KindRevision   Kind = "revision"
	KindSkill      Kind = "skill"
	KindOwner      Kind = "owner"
	KindPurpose    Kind = "purpose"
	KindLanguage   Kind = "language"
	KindRule       Kind = "rule" // how readings are judged; a rule turned off
	KindMembers    Kind = "members"
	KindCondition  Kind = "condition"
	KindHazard     Kind = "hazard"
	KindSign       Kind = "sign"
	KindTool       Kind = "tool"
	KindPart       Kind = "part"
	KindConsumable Kind = "consumable"
	KindKit        Kind = "kit"
	KindInstrument Kind = "instrument" // what a tool reads, sets, lifts, cuts
	KindProperty   Kind = "property"   // of a part
	KindValue      Kind = "value"      // of a table
	KindLimit      Kind = "limit"
	KindTorque     Kind = "torque"
	KindQuantity   Kind = "quantity"
	KindTime       Kind = "time"
	KindHole       Kind = "hole"
	KindReading    Kind = "reading"
	KindQuestion   Kind = "question"
	KindRecord     Kind = "record"
	KindHold       Kind = "hold point"
	KindNote       Kind = "note"
	KindFigure     Kind = "figure"
	KindText       Kind = "text"
	KindStage      Kind = "stage"
	KindStep       Kind = "step"
	KindAction     Kind = "action" // the order of actions in a step
	KindDecision   Kind = "decision"
	KindBranch     Kind = "branch"
	KindRepeat     Kind = "repeat"
	KindRoutine    Kind = "routine"
	KindFinish     Kind = "finish"
	KindTrial      Kind = "trial"
	KindRelease    Kind = "release" // of a revision, or its withdrawal
	KindName       Kind = "name"    // what it is called in the sources
)

// Kinds are all kinds of differences.
var Kinds = []Kind{
	KindTitle, KindNumber, KindRevision, KindSkill, KindOwner, KindPurpose, KindLanguage, KindRule, KindMembers, KindCondition,
	KindHazard, KindSign, KindTool, KindPart, KindConsumable, KindKit, KindInstrument, KindProperty, KindValue, KindLimit, KindTorque,
	KindQuantity, KindTime, KindHole, KindReading, KindQuestion, KindRecord, KindHold, KindNote, KindFigure, KindText, KindStage,
	KindStep, KindAction, KindDecision, KindBranch, KindRepeat, KindRoutine, KindFinish, KindTrial, KindRelease, KindName,
}

// A Difference is one thing that differs.
type Difference struct {
	Kind   Kind   `json:"kind"`
	Change Change `json:"change"`
	// Place is where it stands in the flow; nil for what has no place there.
	Place *Place `json:"place,omitempty"`
	// What it is that differs, in words: "torque of casing nut P-1005".
	What string `json:"what"`
	// Old and New are what it was and is, as a reader sees it; empty where it is
	// not there.
	Old string `json:"old,omitempty"`
	New string `json:"new,omitempty"`
	// Words mark a text that was reworded.
	Words []Word `json:"words,omitempty"`
}

// A Place is where something stands in a flow.
type Place struct {
	// Old and New are the numbers of the step as the documents print them; 0
	// where it is not a step or not there.
	Old int `json:"old,omitempty"`
	New int `json:"new,omitempty"`
	// Stage is its stage, Within the branches and repeats it stands in, outermost first.
	Stage  string   `json:"stage,omitempty"`
	Within []string `json:"within,omitempty"`
	// Text is the step's text or what heads the statement.
	Text string `json:"text,omitempty"`
}

// A Word is a stretch of a text that was reworded; Change is Added, Gone or empty.
type Word struct {
	Text   string `json:"text"`
	Change Change `json:"change,omitempty"`
}

// A Declaration is something that procedures share.
type Declaration struct {
	Sort   string `json:"sort"` // the word of its declaration: "tool"
	Name   string `json:"name"`
	Title  string `json:"title"`
	Change Change `json:"change"`
	// Differences are empty where it was added or is gone.
	Differences []Difference `json:"differences"`
	// Touches are the names of the procedures that use it, in either library.
	Touches []string `json:"touches"`
	// Rows set both versions of a routine side by side.
	Rows []Row `json:"-"`
}

// A Procedure differs.
type Procedure struct {
	Name string `json:"name"`
	// OldName is what it was called, where that is another name.
	OldName string `json:"oldName,omitempty"`
	Title   string `json:"title"`
	Number  string `json:"number"` // of its document
	Change  Change `json:"change"`
	// Differences are its own.
	Differences []Difference `json:"differences"`
	// Shared are the indexes in Report.Shared of what differs and is used here.
	Shared []int `json:"shared"`
	// Paths are the inputs for which the two versions part; nil where they were
	// not compared because nothing differs that could part them.
	Paths *Paths `json:"paths,omitempty"`
	// Rows set both versions side by side.
	Rows []Row `json:"-"`
}

// Paths say for which inputs two versions of a procedure behave differently.
type Paths struct {
	Partings []Parting `json:"partings"`
	// More is set where there are further inputs of other sorts.
	More bool `json:"more,omitempty"`
	// Bounds say which inputs were not compared, and why. Where it is empty,
	// every input that both versions take was.
	Bounds []string `json:"bounds"`
}

// A Parting is an input, and what each version does of it.
type Parting struct {
	// Always is set where the versions part so on every input.
	Always bool `json:"always"`
	// When are the values that it depends on, in the order in which they are taken.
	When []Input `json:"when"`
	// Old and New are the whole path, each as the values of a trial.
	Old Outcome `json:"old"`
	New Outcome `json:"new"`
	// Differs says in what.
	Differs []Contrast `json:"differs"`
}

// An Input is one value.
type Input struct {
	Name  string `json:"name"` // of the family, reading or question
	Title string `json:"title"`
	Value string `json:"value"`
	// Range are the values that go the same way, of a reading.
	Range string `json:"range,omitempty"`
	// Usual is set for a reading that only lets the work go on to where the
	// versions part.
	Usual bool `json:"usual,omitempty"`
	// Taking counts the takings of this reading or answer, from 1; 0 of a family.
	Taking int `json:"taking,omitempty"`
}

// An Outcome is where one version's path leads.
type Outcome struct {
	Finish string      `json:"finish"` // as words: "refer: Call the supervisor."
	Values []PathValue `json:"values"`
}

// PathValue is what a trial would say of one name to take this path.
type PathValue struct {
	Name   string   `json:"name"`
	Values []string `json:"values"`
}

// A Contrast is one thing that an input makes otherwise.
type Contrast struct {
	Matter string `json:"matter"` // finish, part, tool, hazard, step
	What   string `json:"what"`
	Old    string `json:"old"`
	New    string `json:"new"`
}

// A Row sets a line of the old version beside one of the new; either may be nil.
type Row struct {
	Old, New *Line
	Change   Change // empty where nothing differs
	// Words mark the line's text where it was reworded.
	Words []Word
}

// A Line is one statement as a reader sees it.
type Line struct {
	Depth   int
	Number  int    // of a step
	Sort    string // stage, step, decide, branch, repeat, until, otherwise, perform, finish
	Text    string
	Details []Detail
}

// A Detail is one action below a line.
type Detail struct {
	Text   string
	Differ bool
}

// names of things in words
func titleOf(d *library.Decl) string {
	if d.Title != "" {
		return d.Title
	}
	return d.Name
}
