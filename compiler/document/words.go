package document

// Words are the fixed words of a document in one language. Renderers print
// no word of their own: what they need and the sources do not give stands here.
type Words struct {
	WorkInstruction, Document, Revision, Date, AppliesTo, Skill, ExpectedTime, Owner, Fingerprint, Sheet string
	CheckCurrent, NotForWork, DraftNote                                                                  string
	Job, WorkOrder, Machine, SerialNumber, NameplateCheck, Who, JobDate                                  string
	WhatChanged, BeforeYouStart, LeaveAsFound, NotOnMachine, Isolation, LockedBy, ProvedWith, When       string
	SafetySummary, Hazard, WhatToDo, Steps, LocalRules                                                   string
	WhatYouNeed, Tools, Instruments, Parts, Consumables, Number, Quantity, Always, OnlyIf, UsedFor       string
	Kit, Calibrated, Name, Condition, State, Signal, Protective                                          string
	JobMap, MapInWords, Start                                                                            string
	Step, Page, Of, Done, MustHoldNow, Reading, Limit, GoTo, GoOn, Meaning, Range, Instrument            string
	AlsoHandled, Note, Figure, Video, By, HoldPoint, AcceptedBy, Round, Wait, Time, Or                   string
	Finishes, Outcome, Leaves, LeftOff, HandedOver, LeftOn, NextStep, Serviceable, Scrap, Refer          string
	CloseUp, Count, Record, Value, Signature, NotAsWritten, Revisions, PartsFitted, Checked              string
	Danger, Warning, Caution, Notice                                                                     string
	Smallest, Largest, Mean                                                                              string
	ReleasedDocument                                                                                     string
	// Standing heads how the revision stands: ReleasedBy and WithdrawnBy take
	// {who} and {when}. Withdrawn stands large on every page of a withdrawn
	// document, WithdrawnNote and Reason explain it. Bars takes {revision} and
	// {when} of the release that change bars compare with.
	Standing, ReleasedBy, NotReleased, WithdrawnBy, Withdrawn, WithdrawnNote, Reason, Bars string
	// RepeatAtMost and Times head the steps of a repeat ("Repeat at most 4
	// times"), BackTo leads from its end to its beginning, Otherwise heads what
	// follows its last failed turn; {times} is how often. DocumentType stands over
	// WorkInstruction in the control block, WhatIsWrong over the messages of a
	// draft, NotShown in the place of a figure that cannot be drawn.
	RepeatAtMost, Times, BackTo, Otherwise, OtherwiseAnswer, DocumentType, WhatIsWrong, NotShown string
	// Answer heads the answers to a question or the members of a family, FillIn
	// leads from a finish to the parts that are filled in behind the steps.
	// Continued stands where a page begins within a step, a branch or a repeat.
	Answer, FillIn, Continued string
	// Decimal is the decimal mark of the language, DateForm the order of year {y},
	// month {m} and day {d}.
	Decimal, DateForm string
	// Tag is the language, a BCP 47 primary subtag.
	Tag string
	// Screen are the words of a page that leads the work.
	Screen *Screen
	// Lists are the words of lists over several documents.
	Lists *Lists
	// Sums are the words of the readings of many records.
	Sums *SumWords
}

// English are the fixed words in English. Signal words after ANSI Z535.6.
var English = &Words{
	WorkInstruction: "Work instruction", Document: "Document number", Revision: "Revision", Date: "Date of issue", AppliesTo: "Applies to",
	Skill: "Who may do it", ExpectedTime: "Expected time", Owner: "Legal owner", Fingerprint: "Fingerprint", Sheet: "Sheet",
	CheckCurrent: "Check that this is the current revision.", NotForWork: "NOT FOR WORK",
	DraftNote: "This draft was built in spite of errors. It is for reading, not for work.",
	Job:       "Job", WorkOrder: "Work order", Machine: "Machine", SerialNumber: "Serial number", NameplateCheck: "Nameplate agrees", Who: "Who", JobDate: "Date",
	WhatChanged: "What changed", BeforeYouStart: "Before you start", LeaveAsFound: "you leave the machine as you found it, unless a finish says otherwise",
	NotOnMachine: "Not on the machine", Isolation: "Isolation", LockedBy: "by", ProvedWith: "proved with", When: "When",
	SafetySummary: "Safety summary", Hazard: "Hazard", WhatToDo: "What to do", Steps: "Steps",
	LocalRules:  "Local rules and licensed practice come first. This sheet has been checked for what a machine can see; whether the repair is right is the responsibility of its owner. It does not replace your judgement.",
	WhatYouNeed: "What you need", Tools: "Tools", Instruments: "Instruments", Parts: "Parts", Consumables: "Consumables", Number: "Number", Quantity: "Quantity",
	Always: "always", OnlyIf: "only if", UsedFor: "For", Kit: "Box", Calibrated: "Calibrated until", Name: "Name", Condition: "Condition", State: "State",
	Signal: "Signal word", Protective: "Protective equipment",
	JobMap: "Job map", MapInWords: "The map in words", Start: "Start",
	Step: "step", Page: "page", Of: "of", Done: "done", MustHoldNow: "must hold now", Reading: "reading", Limit: "Limit", GoTo: "Go to", GoOn: "go on at",
	Meaning: "What it means", Range: "Reading", Instrument: "with", AlsoHandled: "Also", Note: "Note", Figure: "Figure", Video: "Video", By: "By",
	HoldPoint: "Hold point", AcceptedBy: "accepted by", Round: "round", Wait: "wait", Time: "Time", Or: "or",
	Finishes: "Finishes", Outcome: "Outcome", Leaves: "Left as", LeftOff: "Not put back", HandedOver: "Handed over without", LeftOn: "Left fitted", NextStep: "What to do next",
	Serviceable: "serviceable", Scrap: "scrap", Refer: "refer",
	CloseUp: "Close-up", Count: "Count", Record: "Record", Value: "Value", Signature: "Signature", NotAsWritten: "Not done as written",
	Revisions: "Revisions", PartsFitted: "Parts fitted", Checked: "Checked",
	Danger: "DANGER", Warning: "WARNING", Caution: "CAUTION", Notice: "NOTICE",
	Smallest: "smallest", Largest: "largest", Mean: "mean",
	ReleasedDocument: "Released document",
	Standing:         "Release", ReleasedBy: "Released by {who}, {when}", NotReleased: "Not released", WithdrawnBy: "Withdrawn by {who}, {when}",
	Withdrawn: "WITHDRAWN", WithdrawnNote: "This revision has been withdrawn. It is not for work; ask for the current one.", Reason: "Reason",
	Bars:         "A bar at the edge: what stands beside it is not as it was in revision {revision}, released {when}.",
	RepeatAtMost: "Repeat at most", Times: "times", BackTo: "Go back to", Otherwise: "After {times} times without a good reading", OtherwiseAnswer: "After {times} times without a good answer", DocumentType: "Document type",
	Answer: "Answer", FillIn: "Fill in next", Continued: "continued",
	WhatIsWrong: "What is wrong", NotShown: "cannot be shown",
	Tag: "en", Decimal: ".", DateForm: "{y}-{m}-{d}",
	Screen: englishScreen, Lists: englishLists, Sums: englishSums,
}

// Colon parts a word from what it is about. In French a no-break space stands
// before it (Lexique des règles typographiques en usage à l'Imprimerie nationale).
func (w *Words) Colon() string {
	if primary(w.Tag) == "fr" {
		return "\u00a0: "
	}
	return ": "
}
