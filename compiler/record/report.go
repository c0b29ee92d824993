package record

import (
	"strings"

	"benchproof/compiler/quantity"
)

// A Level says what a finding is.
type Level string

// The levels. Only Told is nothing to look at.
const (
	Wrong   Level = "wrong"   // contradicts the document or itself
	Missing Level = "missing" // asked for and not there
	Look    Level = "look"    // may be right: somebody has to look
	Told    Level = "told"    // in order, and worth knowing
)

// Keys are the keys of findings, each with its level and what it means. A key
// is never given another meaning.
var Keys = []struct {
	Key     string
	Level   Level
	Meaning string
}{
	// Whether the record belongs to the library.
	{"no-document", Wrong, "the library has no procedure of this name for these members"},
	{"older-revision", Look, "the record is of an earlier revision: not damage, but the way can be checked only in the library as it was then"},
	{"unknown-revision", Wrong, "the library knows no such revision of the document, or gives it another date"},
	{"fingerprint", Wrong, "of the present revision, but made from other sources"},
	{"document-data", Wrong, "number or title are not those of the document"},
	{"member", Wrong, "the document is not for this member, or not for it alone"},
	{"member-missing", Missing, "which member the machine is was not chosen"},

	// Whether the entries hold together.
	{"entries-gone", Wrong, "entries are not numbered one by one: some were taken out, put in or moved"},
	{"first-differs", Wrong, "an entry changes or takes back another value than stood there"},
	{"entry-strange", Wrong, "an entry that no page makes: of no box of the document, or of another kind"},
	{"time-backwards", Wrong, "an entry was made before the one in front of it"},
	{"saved-early", Wrong, "the record was saved before its last entry was made"},
	{"before-issue", Look, "entries were made before the document was issued"},
	{"wait-short", Look, "a wait was ticked sooner than it can have passed"},
	{"pause-unverified", Look, "the work stood still for long and went on before all conditions were verified again"},

	// The way.
	{"step-skipped", Wrong, "a step on the way has no entry, and the work went on behind it"},
	{"off-path", Wrong, "entries at a step that the way does not come to"},
	{"order", Look, "a step was begun before the one in front of it was done"},
	{"no-branch", Wrong, "no branch takes a value"},
	{"outcome", Wrong, "the record names another finish than its values lead to"},
	{"proof-differs", Wrong, "the proof engine, given the same values, goes another way"},
	{"unfinished", Missing, "the work has not come to a finish"},
	{"stopped", Wrong, "two values stood for one box, and nobody said which one holds"},

	// Values.
	{"reading-bad", Wrong, "a reading that the instrument cannot show, or no number"},
	{"answer-strange", Wrong, "an answer that the question does not have"},
	{"limits-differ", Wrong, "the limits that the record carries are not those of the document"},
	{"instrument-differs", Wrong, "the record names another instrument than the document"},
	{"torque-differs", Wrong, "the record has another torque than the document"},
	{"count-differs", Wrong, "the record has another count than the document"},
	{"hold-differs", Wrong, "the record names another person to accept a hold point than the document"},
	{"label-differs", Wrong, "a box is called otherwise than in the document"},
	{"outside", Told, "a reading outside its limits; the way follows it"},

	// What is missing.
	{"reading-missing", Missing, "a reading was not taken, or not in all places"},
	{"answer-missing", Missing, "a question was not answered"},
	{"tick-missing", Missing, "something was not ticked"},
	{"torque-missing", Missing, "a torque round was not ticked"},
	{"hold-open", Missing, "a hold point was passed and nobody accepted it"},
	{"hold-unnamed", Missing, "a hold point is ticked without the name of who accepted it"},
	{"record-missing", Missing, "something to write down was not written"},
	{"job-unnamed", Missing, "neither work order nor machine is named"},
	{"who-missing", Missing, "who did the work is not named"},
	{"nameplate", Missing, "the nameplate was not compared"},
	{"begins-missing", Missing, "a condition at the start was not ticked"},
	{"instrument-missing", Missing, "serial number or calibration of an instrument was not written"},
	{"close-up", Missing, "a line of the close-up was not ticked"},
	{"signature", Missing, "a signature is missing"},

	// What is not as written.
	{"not-as-written", Look, "the technician wrote down what was not done as written"},
	{"changed", Told, "a value was changed"},
	{"changed-late", Look, "a value was changed after work was done on the first"},
	{"taken-back", Told, "something was taken back"},
}

// A Finding is one thing found in a record.
type Finding struct {
	Key   string `json:"key"`
	Level Level  `json:"level"`
	// Step is 0 where it is of no step; Turn that of the repeats around it.
	Step int    `json:"step,omitzero"`
	Turn string `json:"turn,omitzero"`
	// Box is the ID of the box on the page, Entry the number of the entry.
	Box   string `json:"box,omitzero"`
	Entry int    `json:"entry,omitzero"`
	Text  string `json:"text"`
}

// A Standing says how a record stands to the library.
type Standing string

// How a record stands to the library.
const (
	Present Standing = "present"       // of the document as it is now
	Older   Standing = "older"         // of an earlier revision
	Foreign Standing = "foreign"       // of no revision that the library knows
	Changed Standing = "other sources" // of this revision, from other sources
)

// A Report is what was found in a record.
type Report struct {
	// File is the name of the file as given.
	File string `json:"file"`
	// InOrder is true where there is nothing to look at.
	InOrder  bool     `json:"inOrder"`
	Standing Standing `json:"standing"`
	Document Edition  `json:"document"`
	// Now is the revision of the document as the library has it; empty where it
	// has none.
	Now     string   `json:"now"`
	Job     Job      `json:"job"`
	Members []Member `json:"members"`
	Saved   string   `json:"saved"`
	// Checked is true where the way was replayed: for a record of the present
	// document only.
	Checked bool `json:"checked"`
	// Allowed is true where the way is one that the procedure allows as far as
	// the work has come; Departure is where it leaves it first.
	Allowed   bool     `json:"allowed"`
	Departure *Finding `json:"departure"`
	// Way are the steps in the order of the work.
	Way     []Visit  `json:"way"`
	Outcome *Outcome `json:"outcome"` // where the values lead; null: to no finish yet
	// Finished is that of the document.
	Readings []Taking  `json:"readings"`
	Holds    []Held    `json:"holds"`
	Torques  Tally     `json:"torques"`
	Counts   Tally     `json:"counts"`
	Findings []Finding `json:"findings"`

	key, began string // whose job it is, for Sums
	entries    int
}

// A Visit is a step on the way.
type Visit struct {
	Step int    `json:"step"`
	Turn string `json:"turn,omitzero"`
	Done bool   `json:"done"`
}

// A Tally says how many of what is asked for on the way were met.
type Tally struct {
	Met   int `json:"met"`
	Asked int `json:"asked"`
}

// Held is a hold point on the way.
type Held struct {
	Step     int    `json:"step"`
	Turn     string `json:"turn,omitzero"`
	What     string `json:"what"`
	Role     string `json:"role"`
	Accepted bool   `json:"accepted"`
	By       string `json:"by"` // the name beside it
	At       string `json:"at,omitzero"`
}

// A Taking is a reading as it was taken once.
type Taking struct {
	Name  string `json:"name"`
	Title string `json:"title"`
	Step  int    `json:"step"`
	Turn  string `json:"turn,omitzero"`
	At    string `json:"at"`
	Who   string `json:"who"`
	Unit  string `json:"unit"`
	// Typed are the values of its places as typed; Value is what counts, exact: a
	// decimal, or a fraction a/b for a mean. Empty where it cannot be told.
	Typed []string `json:"typed"`
	Of    string   `json:"of,omitzero"`
	Value string   `json:"value"`
	// Instrument is its number, Serial what the technician wrote beside it.
	Instrument string `json:"instrument,omitzero"`
	Serial     string `json:"serial,omitzero"`
	// Limits are those to act by, Drawn those of the drawing where they were
	// moved; nil where none makes the reading good.
	Limits *Limits `json:"limits"`
	Drawn  *Limits `json:"drawn"`
	// Verdict is within, outside, or empty where nothing makes the reading good.
	// Where several decisions judge it, it is what all of them on the way say.
	Verdict string `json:"verdict"`

	box    string // its ID on the page
	value  quantity.Number
	places int // decimals of the finest place, as typed or as the instrument shows
	known  bool
}

// is gives a taking its value, written with the decimals it was read with.
func (t *Taking) is(v quantity.Number) {
	t.value, t.known, t.Value = v, true, v.Exact()
	if p := v.Places(); p >= 0 {
		t.places = max(t.places, p)
		t.Value = v.Decimal(t.places)
	}
}

// decimals counts the decimals of a number that was typed.
func decimals(typed string) int {
	if i := strings.IndexAny(typed, ".,"); i >= 0 {
		return len(strings.TrimSpace(typed[i+1:]))
	}
	return 0
}

func levelOf(key string) Level {
	for _, k := range Keys {
		if k.Key == key {
			return k.Level
		}
	}
	panic("a finding without a key: " + key)
}
