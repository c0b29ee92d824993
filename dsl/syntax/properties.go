package syntax

import (
	"sort"
	"strings"
	"sync"
)

// A Context is a place in which words start something.
type Context uint8

// The contexts: the file itself, and the braces of each construct.
const (
	InFile Context = iota + 1
	InLibrary
	InVariant
	InCondition
	InHazard
	InTool
	InKit
	InPart
	InConsumable
	InCatalogue
	InTable
	InFigure
	InVideo
	InReleased
	InWithdrawn
	InRoutine
	InProcedure
	InStage
	InBranch
	InRepeat
	InOtherwise
	InStep
	InFinish
	InDecide
	InAnswers
	InTrial
)

// String names the construct, with its article: "a step".
func (c Context) String() string { return contextNames[c] }

var contextNames = [...]string{
	InFile: "a file", InLibrary: "a library", InVariant: "a variant", InCondition: "a condition", InHazard: "a hazard",
	InTool: "a tool", InKit: "a kit", InPart: "a part", InConsumable: "a consumable", InCatalogue: "a catalogue", InTable: "a table",
	InFigure: "a figure", InVideo: "a video", InRoutine: "a routine", InProcedure: "a procedure", InStage: "a stage",
	InBranch: "a branch", InRepeat: "a repeat", InOtherwise: "an otherwise", InStep: "a step", InFinish: "a finish",
	InDecide: "a decide", InAnswers: "an ask", InTrial: "a trial",
	InReleased: "a release", InWithdrawn: "a withdrawal",
}

// A Keyword is a word, or two, that may start something in a context.
type Keyword struct {
	// Key is the word or words: "number", "safe when".
	Key string
	// Syntax shows what stands behind it; places to fill are in capitals.
	Syntax string
	// Meaning says in one line what it is for.
	Meaning string

	form form
}

// A form is the way a property goes on behind its word; forms.go parses it.
type form uint8

const (
	textForm form = iota + 1
	operandForm
	uncertaintyForm
	spanForm
	timesForm
	namesForm
	nameForm // one name
	statesForm
	stateForm // one condition and state
	withoutForm
	flagForm
	threadForm
	tapsForm
	decisionForm
	revisionForm
	appliesForm
	markForm
	allowForm
	dateForm
	fingerprintForm
	overForm
	columnForm
)

// columnSyntax is what stands behind the property of a catalogue.
const columnSyntax = `column "HEADING" [to "HEADING"] [in UNIT | in column "HEADING"]`

var allowKeyword = Keyword{"allow", `CODE "REASON"`, "turns a warning off here, with the reason", allowForm}

// keywords tells which words may start something in each context.
var keywords = [...][]Keyword{
	InFile: {
		{Key: "library", Syntax: `"TITLE" { … }`, Meaning: "names the library and what holds for all of it"},
		{Key: "variant", Syntax: `NAME "TITLE" { … }`, Meaning: "the members of a family, such as the sizes of a pump"},
		{Key: "condition", Syntax: `NAME "TITLE" { … }`, Meaning: "a state of the machine that steps change and ask for"},
		{Key: "hazard", Syntax: `NAME SIGNAL "TITLE" { … }`, Meaning: "what can hurt, and how it is avoided"},
		{Key: "tool", Syntax: `NAME "TITLE" { … }`, Meaning: "a tool or instrument of the bench"},
		{Key: "kit", Syntax: `NAME "TITLE" { … }`, Meaning: "tools that are kept together in a box"},
		{Key: "part", Syntax: `NAME "TITLE" { … }`, Meaning: "a part of the machine"},
		{Key: "consumable", Syntax: `NAME "TITLE" { … }`, Meaning: "what is used up, such as oil or a cloth"},
		{Key: "catalogue", Syntax: `"TITLE" { … }`, Meaning: "tools, parts or consumables kept in a sheet: CSV or XLSX"},
		{Key: "table", Syntax: `NAME by VARIANT { … }`, Meaning: "values that differ by the member of a variant"},
		{Key: "figure", Syntax: `NAME "TITLE" { … }`, Meaning: "a picture with numbered marks"},
		{Key: "video", Syntax: `NAME "TITLE" { … }`, Meaning: "a stretch of a recording"},
		{Key: "routine", Syntax: `NAME "TITLE" { … }`, Meaning: "steps that several procedures share"},
		{Key: "procedure", Syntax: `NAME "TITLE" { … }`, Meaning: "one job, from start to finish"},
		{Key: "trial", Syntax: `"TITLE" of PROCEDURE { … }`, Meaning: "a worked case of a procedure that must hold"},
		{Key: "released", Syntax: `PROCEDURE REVISION { … }`, Meaning: "a revision that somebody has released, and over what; benchproof release writes it"},
		{Key: "withdrawn", Syntax: `PROCEDURE REVISION { … }`, Meaning: "a revision that nobody may work from any more"},
	},
	InLibrary: {
		{"owner", `"TEXT"`, "who answers for the library", textForm},
		{"language", `CODE`, "the language of the documents", nameForm},
		{"decision", `guarded [FACTOR] | simple`, "whether limits move inwards by the measurement's uncertainty", decisionForm},
		allowKeyword,
	},
	InVariant: {},
	InCondition: {
		{"states", `NAME, …`, "the states it can be in", namesForm},
		{"begins", `STATE`, "the state in which it is found", nameForm},
		{"ends", `STATE`, "the state in which it is left", nameForm},
	},
	InHazard: {
		{"consequence", `"TEXT"`, "what happens to whom", textForm},
		{"avoid", `"TEXT"`, "how it is avoided", textForm},
		{"signs", `CODE, …`, "the safety signs of ISO 7010 that go with it", namesForm},
		{"safe when", `CONDITION STATE`, "the condition under which a person is safe from it", stateForm},
		{"proved with", `TOOL`, "the tool that proves that condition", namesForm},
	},
	InTool: {
		{"number", `"TEXT"`, "the number by which it is found", textForm},
		{"detail", `"TEXT"`, "what tells it from others of its title", textForm},
		{"plural", `"TEXT"`, "its title for more than one", textForm},
		{"reads", `from LOW to HIGH`, "the range it reads", spanForm},
		{"sets", `from LOW to HIGH`, "the range it can be set to", spanForm},
		{"resolution", `QUANTITY`, "the smallest difference it shows", operandForm},
		{"uncertainty", `QUANTITY [of reading | points]`, "the expanded uncertainty (k = 2) of the measurement as it is done here", uncertaintyForm},
		{"calibrated", `DATE`, "the day of the last calibration", dateForm},
		{"due", `DATE`, "the day by which calibration is due", dateForm},
		{"drills", `QUANTITY`, "the diameter it drills", operandForm},
		{"taps", `THREAD [for insert]`, "the thread it cuts", tapsForm},
		{"lead", `NUMBER`, "the tap's chamfer lead, in threads", operandForm},
		{"lifts", `QUANTITY`, "the heaviest load it lifts", operandForm},
		{"length", `QUANTITY`, "a torque wrench's length from grip to square", operandForm},
		{"extends", `QUANTITY`, "how far an extension spanner lengthens a torque wrench", operandForm},
		{"carries", `HAZARD, …`, "the hazards that come with its use", namesForm},
		{"replaced by", `TOOL`, "the tool that is used instead", nameForm},
	},
	InKit: {
		{"number", `"TEXT"`, "the number by which it is found", textForm},
		{"detail", `"TEXT"`, "what tells it from others of its title", textForm},
		{"holds", `TOOL, …`, "what lies in the box", namesForm},
	},
	InPart: {
		{"number", `"TEXT"`, "the number by which it is ordered", textForm},
		{"detail", `"TEXT"`, "what tells it from others of its title", textForm},
		{"plural", `"TEXT"`, "its title for more than one", textForm},
		{"kind", `PART`, "the part whose place it fills", nameForm},
		{"behind", `PART, …`, "what must be off before it can be reached", namesForm},
		{"guards", `HAZARD, …`, "the hazards it keeps people from while it is on", namesForm},
		{"single-use", ``, "it is never refitted", flagForm},
		{"thread", `THREAD [class CLASS]`, "its thread and property class", threadForm},
		{"mass", `QUANTITY`, "how heavy it is", operandForm},
		{"replaced by", `PART`, "the part that is fitted instead", nameForm},
	},
	InConsumable: {
		{"number", `"TEXT"`, "the number by which it is ordered", textForm},
		{"detail", `"TEXT"`, "what tells it from others of its title", textForm},
		{"plural", `"TEXT"`, "its title for more than one", textForm},
	},
	InCatalogue: {
		{"lists", `tools | parts | consumables`, "what each row of the sheet is", nameForm},
		{"file", `"PATH"`, "the sheet's file, from the library's folder", textForm},
		{"sheet", `"NAME"`, "the sheet of a workbook; needed where there are several", textForm},
		{"header row", `NUMBER`, "the row with the headings; 1 where it is not said", operandForm},
		{"decimal", `comma | point`, "the decimal sign of numbers that are text, where they do not show it", nameForm},
		{"separator", `comma | semicolon | tab`, "what parts the cells of a CSV file, where the header does not show it", nameForm},
		{"encoding", `utf-8 | utf-16 | windows-1252 | iso-8859-1`, "how a CSV file is written, where its bytes do not show it", nameForm},
		{"name", columnSyntax, "the column of the names that steps use; without it they are made of the titles", columnForm},
		{"title", columnSyntax, "the column of the titles", columnForm},
		{"number", columnSyntax, "the column of the numbers", columnForm},
		{"detail", columnSyntax, "the column of what tells one from others of its title", columnForm},
		{"plural", columnSyntax, "the column of the titles for more than one", columnForm},
		{"reads", columnSyntax, "the columns of the range it reads", columnForm},
		{"sets", columnSyntax, "the columns of the range it can be set to", columnForm},
		{"resolution", columnSyntax, "the column of the smallest difference it shows", columnForm},
		{"uncertainty", columnSyntax, "the column of the expanded uncertainty (k = 2)", columnForm},
		{"calibrated", columnSyntax, "the column of the day of the last calibration", columnForm},
		{"due", columnSyntax, "the column of the day by which calibration is due", columnForm},
		{"drills", columnSyntax, "the column of the diameter it drills", columnForm},
		{"taps", columnSyntax, "the column of the thread it cuts", columnForm},
		{"lead", columnSyntax, "the column of the tap's chamfer lead, in threads", columnForm},
		{"lifts", columnSyntax, "the column of the heaviest load it lifts", columnForm},
		{"length", columnSyntax, "the column of a torque wrench's length", columnForm},
		{"extends", columnSyntax, "the column of how far an extension spanner lengthens a torque wrench", columnForm},
		{"carries", columnSyntax, "the column of the hazards that come with its use", columnForm},
		{"replaced by", columnSyntax, "the column of the name of what is used instead", columnForm},
		{"kind", columnSyntax, "the column of the part whose place it fills", columnForm},
		{"behind", columnSyntax, "the column of what must be off before it can be reached", columnForm},
		{"guards", columnSyntax, "the column of the hazards it keeps people from", columnForm},
		{"single-use", columnSyntax, "the column that says yes or no: it is never refitted", columnForm},
		{"thread", columnSyntax, "the column of its thread, with its property class", columnForm},
		{"mass", columnSyntax, "the column of how heavy it is", columnForm},
	},
	InTable: {
		{"columns", `NAME, …`, "the names of the values in each row", namesForm},
	},
	InFigure: {
		{"file", `"PATH"`, "the image, from the library's folder", textForm},
		{"mark", `NUMBER at X, Y is THING`, "a numbered mark, from the image's left and upper edge", markForm},
	},
	InVideo: {
		{"link", `"ADDRESS"`, "where the recording is", textForm},
		{"from", `TIME to TIME`, "the stretch to watch", timesForm},
	},
	InProcedure: {
		{"document", `"NUMBER"`, "the document's number", textForm},
		{"revision", `NAME on DATE "NOTE"`, "a revision, its date and what changed", revisionForm},
		{"applies", `to VARIANT [MEMBER, …]`, "what the job is for", appliesForm},
		{"skill", `"TEXT"`, "who may do the job", textForm},
		{"purpose", `"TEXT"`, "what the job is good for", textForm},
		{"begins without", `PART, …`, "parts that are off when the job begins", withoutForm},
		{"begins", `CONDITION STATE, …`, "conditions as the job finds them", statesForm},
		{"ends", `CONDITION STATE, …`, "conditions as the job leaves them", statesForm},
		allowKeyword,
		stageKeyword, stepKeyword, decideKeyword, repeatKeyword, performKeyword, finishKeyword,
	},
	InRoutine:   {stageKeyword, stepKeyword, decideKeyword, repeatKeyword, performKeyword, finishKeyword},
	InStage:     {stepKeyword, decideKeyword, repeatKeyword, performKeyword, finishKeyword},
	InBranch:    {stepKeyword, decideKeyword, repeatKeyword, performKeyword, finishKeyword},
	InOtherwise: {stepKeyword, decideKeyword, repeatKeyword, performKeyword, finishKeyword},
	InRepeat: {stepKeyword, decideKeyword, repeatKeyword, performKeyword, finishKeyword,
		{Key: "until", Syntax: `NAME RANGE | NAME ANSWER, …`, Meaning: "the reading or the answer that ends the repeat"}},
	InStep: {
		{Key: "use", Syntax: `TOOL, …`, Meaning: "tools and consumables in hand"},
		{Key: "fit", Syntax: `TOOL on THING | new PART, …`, Meaning: "puts a tool on, or a new part in"},
		{Key: "remove", Syntax: `THING [x N], …`, Meaning: "takes a part or a fitted tool off"},
		{Key: "refit", Syntax: `PART [x N], …`, Meaning: "puts a part back that was taken off"},
		{Key: "clamp", Syntax: `THING in TOOL`, Meaning: "holds a part in a tool until it is released"},
		{Key: "release", Syntax: `THING, …`, Meaning: "takes a part out of the tool that clamps it"},
		{Key: "make", Syntax: `CONDITION STATE`, Meaning: "brings a condition about"},
		{Key: "verify", Syntax: `CONDITION STATE with TOOL`, Meaning: "proves a condition"},
		{Key: "needs", Syntax: `CONDITION STATE, …`, Meaning: "asks that a condition holds"},
		{Key: "measure", Syntax: `[smallest | largest | mean of N] NAME in UNIT with TOOL`, Meaning: "takes a reading"},
		{Key: "ask", Syntax: `NAME "QUESTION" { ANSWER "TEXT" … }`, Meaning: "asks a question with a choice of answers"},
		{Key: "drill", Syntax: `HOLE SIZE deep DEPTH [at SPEED] with TOOL`, Meaning: "drills a hole"},
		{Key: "tap", Syntax: `[existing] HOLE THREAD [for insert] deep DEPTH [at SPEED] with TOOL`, Meaning: "cuts a thread in a hole"},
		{Key: "tighten", Syntax: `THING to TORQUE, … [crosswise] with TOOL [through TOOL]`, Meaning: "tightens to a torque, in rounds"},
		{Key: "heat", Syntax: `PART bore D interference I [clearance C] expansion A [from T] [at most T] with TOOL`, Meaning: "warms a part until it slides on"},
		{Key: "lift", Syntax: `THING, … with TOOL`, Meaning: "lifts a part with a lifting tool"},
		{Key: "wait", Syntax: `TIME`, Meaning: "nothing happens for a time"},
		{Key: "takes", Syntax: `TIME`, Meaning: "how long the step takes"},
		{Key: "warn", Syntax: `HAZARD, …`, Meaning: "the hazards of the step"},
		{Key: "hold", Syntax: `"WHO" "WHAT"`, Meaning: "a hold point: who accepts what before the job goes on"},
		{Key: "record", Syntax: `NAME "WHAT"`, Meaning: "something to write down"},
		{Key: "by", Syntax: `"WHO"`, Meaning: "the qualified person who does the step"},
		{Key: "note", Syntax: `"TEXT"`, Meaning: "a word of advice"},
		{Key: "show", Syntax: `FIGURE, …`, Meaning: "figures and videos beside the step"},
		{Key: "allow", Syntax: `CODE "REASON"`, Meaning: "turns a warning off here, with the reason"},
	},
	InFinish: {
		{"leaves", `CONDITION STATE, …`, "conditions that stand otherwise than they should at this finish", statesForm},
	},
	InDecide:  {},
	InAnswers: {},
	InTrial: {
		{Key: "expect", Syntax: `THING fitted | finish OUTCOME | time RANGE, …`, Meaning: "what must have come true at the end"},
	},
	InReleased: {
		{"by", `"WHO"`, "who released it", textForm},
		{"on", `DATE`, "the day of the release", dateForm},
		{"fingerprint", `N "FINGERPRINT"`, "the fingerprint of what was released, as its documents print it, behind the number of the way it is taken", fingerprintForm},
		{"steps", `MARK, …`, "a mark for each step, in their order", namesForm},
		{"over", `SORT [NAME] MARK, …`, "a mark for everything else that the documents are made of", overForm},
	},
	InWithdrawn: {
		{"by", `"WHO"`, "who withdrew it", textForm},
		{"on", `DATE`, "the day of the withdrawal", dateForm},
		{"reason", `"TEXT"`, "why nobody may work from it", textForm},
	},
}

var (
	stageKeyword   = Keyword{Key: "stage", Syntax: `"TITLE" { … }`, Meaning: "a part of the job under a heading"}
	stepKeyword    = Keyword{Key: "step", Syntax: `"TEXT" { … }`, Meaning: "one instruction, and what it does"}
	decideKeyword  = Keyword{Key: "decide", Syntax: `NAME { … }`, Meaning: "goes on by a reading, an answer or a variant"}
	repeatKeyword  = Keyword{Key: "repeat", Syntax: `at most N times { … } [otherwise { … }]`, Meaning: "does steps again until a reading or an answer is right"}
	performKeyword = Keyword{Key: "perform", Syntax: `ROUTINE`, Meaning: "does the steps of a routine"}
	finishKeyword  = Keyword{Key: "finish", Syntax: `OUTCOME [to PROCEDURE] ["TEXT"] [{ … }]`, Meaning: "ends the job"}
)

// joiners are the words that join inside a statement; with the words that
// start something they are the keywords of the language.
var joiners = []string{"above", "accept", "at", "below", "bore", "class", "clearance", "column", "crosswise", "deep", "existing",
	"expansion", "for", "from", "in", "insert", "interference", "is", "limits", "most", "new", "of", "on",
	"otherwise", "points", "reading", "through", "times", "to", "with", "x"}

// habits are words that a writer may bring along for what a procedure says in
// others.
var habits = map[string]string{
	"if": "decide chooses between branches", "when": "decide chooses between branches", "case": "decide chooses between branches",
	"else": "a decide has a branch for each case", "elseif": "a decide has a branch for each case",
	"while": "repeat at most N times does steps again until a reading or an answer is right", "loop": "repeat at most N times does steps again until a reading or an answer is right",
	"goto": "repeat goes back, finish ends the job", "call": "perform does the steps of a routine", "end": "finish ends the job",
	"stop": "finish ends the job", "exit": "finish ends the job", "section": "stage is a part of the job under a heading",
	"phase": "stage is a part of the job under a heading", "task": "step is one instruction, and what it does",
	"torque": "tighten … to TORQUE with TOOL", "install": "fit new puts a new part in, refit puts one back",
	"replace": "remove takes the old part off, fit new puts a new one in", "unscrew": "remove takes a part off", "loosen": "remove takes a part off",
	"unclamp": "release takes a part out of the tool that clamps it", "check": "measure takes a reading, ask asks, verify proves a condition",
	"inspect": "measure takes a reading, ask asks, verify proves a condition", "danger": "warn names the hazards of the step",
	"warning": "warn names the hazards of the step", "caution": "warn names the hazards of the step",
	"hazard": "warn names the hazards of the step", "time": "takes says how long the step takes", "duration": "takes says how long the step takes",
	"image": "show puts figures and videos beside the step", "picture": "show puts figures and videos beside the step",
	"figure": "show puts figures and videos beside the step", "video": "show puts figures and videos beside the step",
	"tools": "use names the tools in hand", "tool": "use names the tools in hand", "set": "make brings a condition about",
}

// Keywords lists what may start something in a context, in the order in which
// a person would look for it.
func Keywords(c Context) []Keyword { return keywords[c] }

// index is keywords by context and first word, made once.
var index = sync.OnceValue(func() (table [len(keywords)]map[string][]*Keyword) {
	for c := range keywords {
		table[c] = map[string][]*Keyword{}
		for i := range keywords[c] {
			k := &keywords[c][i]
			word, _, _ := strings.Cut(k.Key, " ")
			table[c][word] = append(table[c][word], k)
		}
	}
	return table
})

// canStand tells whether a word may start something in a context.
func canStand(c Context, word string) bool { return len(index()[c][word]) > 0 }

var reserved = sync.OnceValue(func() map[string]bool {
	m := map[string]bool{}
	for c := range keywords {
		for word := range index()[c] {
			m[word] = true
		}
	}
	for _, w := range joiners {
		m[w] = true
	}
	return m
})

// Reserved tells whether a word is a keyword somewhere: it can be a name all
// the same, but never a unit.
func Reserved(word string) bool { return reserved()[word] }

var reservedWords = sync.OnceValue(func() []string {
	list := make([]string, 0, len(reserved()))
	for w := range reserved() {
		list = append(list, w)
	}
	sort.Strings(list)
	return list
})
