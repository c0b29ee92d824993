package document

// Screen are the words that a page says while it leads the work: only a
// renderer whose page can answer needs them. Words in braces are filled in by
// the page: {step}, {value}, {first}, {now}, {time} and the like.
type Screen struct {
	DocumentType, SkipToSteps, WhereTheWorkStands string
	// The strip that shows where the work stands.
	NowAtStep, GoThere, Choose, Finished string
	// Steps and boxes.
	Repeat, Turn, TurnOf, FurtherTurns, SetAside, Chosen string
	// What is wrong with a reading.
	NotANumber, TooLong, OutOfRange, OffScale, NoRange, ChooseFirst, NotAll, Judged, Met, NotMet string
	// A reading changed after work was done on it.
	StopWorkDone, KeptBoth, PutFirstBack, GoOnWithSecond, HeldUp, Emptied string
	// Waits.
	StartWait, TimeLeft, WaitOver string
	// Jobs.
	UnnamedJob, UnnamedLeft, ClearIt, KeepIt, OpenJobs, GoOnWithJob, NewJobOpen, SameJob, NothingKept, OtherEdition, NameTheJob string
	// After a long pause.
	StoodStill, VerifyAgain, VerifiedWith string
	// The record.
	SaveRecord, PrintRecord, Entries, When, What, Entry, TakenBack, Changed string
	// Heads and lines of tables.
	Answer, PutBack, FittedNew, CoverOn, ToolOff string
	// Yes and no of a tick in the record.
	Yes, No string
	// The index of a library.
	Index, Search, Family, Tool, Part, All, Shown, NothingShown, Uses, UsedIn, Issued, Clear string
	Title, Formats                                                                           string
}

// englishScreen are the words of a page in English.
var englishScreen = &Screen{
	DocumentType: "Document type", SkipToSteps: "Go to the steps", WhereTheWorkStands: "Where the work stands",
	NowAtStep: "Step {step} of {steps}", GoThere: "Go there",
	Choose: "{what}: not chosen yet", Finished: "Finish: {outcome}",
	Repeat: "Again, at most {times} times",
	Turn:   "turn {turn}", TurnOf: "turn {turn} of {times}",
	FurtherTurns: "Further turns: on another sheet.",
	SetAside:     "set aside", Chosen: "chosen",
	NotANumber: "“{value}” is not a number: write it like {example}", TooLong: "that is too long for a reading: write it like {example}",
	OutOfRange: "{value} is outside what the instrument can show, {range}: read again",
	OffScale:   "the instrument shows steps of {step}: write {below} or {above}, not {value}",
	NoRange:    "no range takes {value}: stop and call the supervisor", ChooseFirst: "limits differ by member, choose first: {what}",
	NotAll: "{left} to fill in", Judged: "{value}: {meaning} {goes}", Met: "{value} is good: go on at {goes}", NotMet: "{value} is not good yet",
	StopWorkDone: "Stop: work was already done on the first {what}.", KeptBoth: "First {first} at {time}, now {now}. Both are kept, and nothing is opened again. Ask the supervisor which one holds.",
	PutFirstBack: "The first one holds: put it back", GoOnWithSecond: "The second one holds: go on with it", HeldUp: "The work is stopped: two values", Emptied: "nothing",
	StartWait: "Start {time}", TimeLeft: "{time} left", WaitOver: "The wait of {time} is over",
	UnnamedJob: "Job without a name", UnnamedLeft: "A job without a name is still on this page: {count} entries, the last at {time}.",
	ClearIt: "Clear it and start a new job", KeepIt: "Go on with it", OpenJobs: "Jobs on this device", GoOnWithJob: "Go on with {job}, last entry {time}",
	NewJobOpen: "A new job is open and nothing in it is done. {job} is kept.", SameJob: "It is the same job: bring its entries here",
	NothingKept:  "This browser keeps nothing: save or print the record before you close the page.",
	OtherEdition: "{job} was begun on another edition of this document: its entries are not shown here.",
	NameTheJob:   "Fill in work order and machine: then the entries belong to this job.",
	StoodStill:   "The work stood still for {time}.", VerifyAgain: "Verify each condition again before hands go in.", VerifiedWith: "prove with {tool}",
	SaveRecord: "Save the record as a file", PrintRecord: "Print the record", Entries: "Entries in the order made",
	When: "When", What: "What", Entry: "Entry", TakenBack: "taken back", Changed: "changed, first {first}",
	Answer: "Answer", PutBack: "put back", FittedNew: "fitted new", CoverOn: "cover on", ToolOff: "tool off",
	Yes: "yes", No: "no",
	Index: "Work instructions", Search: "Search", Family: "Machine family", Tool: "Tool", Part: "Part or consumable", All: "all",
	Shown: "{count} of {all} work instructions", NothingShown: "Nothing fits. Take a filter away.", Uses: "Where things are used", UsedIn: "used in steps {steps}", Issued: "Issued", Clear: "Clear the filters",
	Title: "Title", Formats: "Open as",
}
