package document

// Lists are the words of lists over several documents: what to take for a set of
// jobs, boxes held against it, which procedure is for which member.
type Lists struct {
	// What to take. OnlyThat takes {ways}, InBox {boxes}, FromTo {least} and {most},
	// TimesJob {times} and {job}.
	TakeAlong, LocalFirst, HowMany, What, Needed, Taken, NewParts, Library string
	OnlyThat, InBox, FromTo, TimesJob, NothingTaken                        string
	// Boxes. BoxHolds takes {count}.
	Held, Short, Missing, Idle, HoldsAll, BoxHolds string
	// Which procedure is for which member. Any stands where a procedure does not
	// differ by the family.
	ByMember, NoneDiffers, AnyMachine, Without, None, Procedure, Member, Any, NoFamilies, AllHave, NoneFor string
}

// englishLists are the words of lists in English.
var englishLists = &Lists{
	TakeAlong: "Take along", LocalFirst: "Check each document's revision before work. Local rules and licensed practice come first.", HowMany: "How many", What: "What",
	Needed: "Needed", Taken: "Taken", NewParts: "Parts fitted new", Library: "Library", OnlyThat: "only {ways}",
	InBox: "in {boxes}", FromTo: "{least} to {most}", TimesJob: "{times} times {job}", NothingTaken: "Nothing is taken.",
	Held: "taken, and in the box", Short: "too few in the box", Missing: "taken, and not in the box",
	Idle: "in the box, and taken by none of these jobs", HoldsAll: "The box holds all that these jobs take.", BoxHolds: "the box holds {count}",
	ByMember: "Procedures by member", NoneDiffers: "No procedure differs by it.", AnyMachine: "For any machine", Without: "Members without a procedure",
	None: "None", Procedure: "Procedure", Member: "Member", Any: "any",
	NoFamilies: "The library has no families; each procedure is for all machines.", AllHave: "Every member has a procedure of its own.", NoneFor: "No procedure is for",
}

// Fill puts words in the places of a phrase, such as one of Lists, given as name
// and word by turns. What is filled in is not looked at again.
func Fill(phrase string, pairs ...string) string { return fill(phrase, pairs...) }
