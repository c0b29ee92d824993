// Package record reads the records that pages save and judges them.
//
// Input: the bytes of a record (record.schema.json says what is in one) and
// the library it may belong to. Output: a refusal of one word where the bytes
// are no record; else a Report: whether the record belongs to the document,
// whether the way it went is one the procedure allows, what was measured, what
// differs from the document and what is missing; and sums over many reports.
//
// A record is a stranger's file: it is read in bounds and taken for nothing but
// what it says. Every finding has a stable key (see Keys). Values stay exact
// decimals; where a sum has to be rounded, Sums says how. Equal records and
// equal libraries give equal reports.
package record

import _ "embed"

// Schema is the JSON Schema of a record, as the page writes it.
//
//go:embed record.schema.json
var Schema []byte

// Word is the word that every record begins with.
const Word = "benchproof job record"

// Versions are the versions of the schema that are read. The first has no
// torques, counts, roles, instruments and limits in its entries.
const (
	FirstVersion  = 1
	LatestVersion = 2
)

// A Record is what a page saved, as it stands in the file.
type Record struct {
	Record   string   `json:"record"`
	Version  int      `json:"version"`
	Saved    string   `json:"saved"`
	Document Edition  `json:"document"`
	Job      Job      `json:"job"`
	Members  []Member `json:"members"`
	// Outcome is nil while the work goes on.
	Outcome *Outcome `json:"outcome"`
	Stopped bool     `json:"stopped"`
	Entries []Entry  `json:"entries"`
}

// An Edition is the work instruction that a record was made with.
type Edition struct {
	Name        string     `json:"name"`
	Number      string     `json:"number"`
	Title       string     `json:"title"`
	Revision    string     `json:"revision"`
	Date        string     `json:"date"`
	Fingerprint string     `json:"fingerprint"`
	Language    string     `json:"language"`
	For         [][]string `json:"for"`
}

// A Job is whose work it was, on what.
type Job struct {
	WorkOrder       string `json:"workOrder"`
	Machine         string `json:"machine"`
	SerialNumber    string `json:"serialNumber"`
	Who             string `json:"who"`
	Date            string `json:"date"`
	NameplateAgrees bool   `json:"nameplateAgrees"`
}

// A Member of a family, by declared names.
type Member struct {
	Variant string `json:"variant"`
	Member  string `json:"member"`
}

// An Outcome is the finish that a record says the work reached.
type Outcome struct {
	Finish  string `json:"finish"`
	Outcome string `json:"outcome"`
}

// An Entry is one thing that a hand did on the page.
type Entry struct {
	Number int    `json:"number"`
	At     string `json:"at"`
	Who    string `json:"who"`
	Event  string `json:"event"`
	ID     string `json:"id"`
	Kind   string `json:"kind"`
	Name   string `json:"name"`
	Label  string `json:"label"`
	Step   int    `json:"step"`
	Turn   string `json:"turn"`
	Unit   string `json:"unit"`
	Value  string `json:"value"`
	First  string `json:"first"`
	// From the second version on. Torque is that of a round as the document had
	// it, Count that of a line of the close-up, Role who accepts a hold point.
	Torque     string  `json:"torque"`
	Count      int     `json:"count"`
	Role       string  `json:"role"`
	Of         string  `json:"of"`
	Instrument string  `json:"instrument"`
	Limits     *Limits `json:"limits"`
}

// Limits are the acting limits of a reading as the page showed them.
type Limits struct {
	Low      string `json:"low"`
	High     string `json:"high"`
	LowOpen  bool   `json:"lowOpen"`
	HighOpen bool   `json:"highOpen"`
}

// The events of an entry.
const (
	entered     = "entered"
	changed     = "changed"
	takenBack   = "taken back"
	stopped     = "stop"
	firstHolds  = "first holds"
	waitStarted = "wait started"
	longPause   = "long pause"
)
