// Package paths judges a procedure on every path at once.
//
// Input: a bound library and one of its procedures. Output: what goes wrong
// (BP208 of closing texts, BP403, BP404, BP5xx, BP601, BP605, BP701, BP702), each fault with a
// concrete path that leads there; and which branches and steps can happen at
// all, for whom, and in what time. With the values of a trial given, the same
// walk follows one path and tells what it did.
//
// # How it works
//
// The walk goes through the statements in order and keeps one merged state.
// A state says for every fact (is the tool fitted, how many of the part are
// off, in which state is the condition, which range was the reading in) what
// its value is, as a diagram over the things that differ from path to path:
// the members, and each taking of a reading or an answer. A fact that does
// not depend on them is a constant, so that sixty decisions in a row cost
// sixty times one; a fact that does stays tied to what it depends on, so that
// a tool fitted on one answer and taken off on the same answer later raises no
// false alarm.
//
// What had to be true to get here is kept as a list of conditions, one for
// each branch that is open and one for each decision behind us that did not
// let everything through. A fault is a condition too ("the tool is fitted");
// it is real where it can hold together with those conditions of the list
// that share a variable with it, directly or through others. Its solution is
// the example path.
//
// A repeat is walked turn by turn until a turn begins as the one before did.
// After a fault the state goes on as if it had been mended, so that one
// cause gives one message.
package paths

import (
	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// A Result is what holds of a procedure.
type Result struct {
	Procedure *library.Procedure
	Messages  []*message.Message
	// Reached are the statements and branches that some path reaches.
	reached map[source.Span]bool
	// Least and Most are the expected time over all paths, in minutes; Timed is
	// false where no step gives one.
	Least, Most quantity.Number
	Timed       bool
	// Holds gives for each stage the conditions that are in one state on every
	// path that reaches it and were brought there, verified or asked for.
	Holds map[*library.Stage][]*library.State
	// Finishes tells what is left at each finish, on some path.
	Finishes map[*library.Finish]*Left
	// RunsOff is set where a path runs off the end: a serviceable finish.
	RunsOff *Left
	// Steps counts the work of the walk; it does not depend on the clock.
	Steps  int
	trace  *Trace
	lib    *library.Library
	ground *ground
}

// Left is what is not as it was at the start, at a finish, on some path. Where
// the finish hands over to another procedure it is what that one finds: all that
// is off, and conditions that do not stand as they are declared to begin.
type Left struct {
	States []*library.State // of conditions that do not stand at their begin
	places []leftPlace
}

// LeftOff is a place that is empty, wholly or in part.
type LeftOff struct {
	Part  *library.Part
	Count int
	// Members are those for which it is; none: for all that reach the finish.
	Members []*library.Member
}

// Reached tells whether some path reaches a statement or branch at a place.
func (r *Result) Reached(at source.Span) bool { return r.reached[at] }

// A Case is the values of one path, for a trial.
type Case struct {
	Members []*library.Member
	// Values gives the successive takings of each reading.
	Values map[*library.Reading][]quantity.Number
	// Answers gives the successive answers of each question.
	Answers map[*library.Question][]*library.Answer
}

// A Trace is what happened on one path.
type Trace struct {
	// Missing is the reading or question for which the case has no value (left), or nil.
	Missing   library.Symbol
	MissingAt source.Span
	// Outside is set where the value given is one that the instrument cannot show.
	Outside bool
	// Finish is the finish met, or nil where the procedure ran off its end or did not get there.
	Finish  *library.Finish
	RanOff  bool
	Stopped source.Span // where a value fell in no branch
	Fitted  map[library.Thing]int
	Used    map[library.Thing]bool
	Met     map[*library.Hazard]bool
	Minutes quantity.Number
	Timed   bool
	// Branches are the heads of the branches taken, and Untils whether each
	// until was met (true) or its repeat ran out (false), in order.
	Branches []source.Span
	Taken    []Taken
	// Unused are readings and questions with values left over.
	Unused []library.Symbol
}

// Taken is a value taken on a path.
type Taken struct {
	Of     library.Symbol
	Value  quantity.Number
	Answer *library.Answer
	At     source.Span
}

// Judge walks every path of a procedure.
func Judge(lib *library.Library, p *library.Procedure) *Result {
	e := newEngine(newGround(lib, p))
	e.walk()
	return e.result
}

// Follow walks the one path that a case gives.
func Follow(lib *library.Library, p *library.Procedure, c Case) (*Result, *Trace) {
	return newGround(lib, p).follow(c)
}

// Follow walks the one path that a case gives, of a procedure that was judged.
func (r *Result) Follow(c Case) (*Result, *Trace) {
	if r.ground == nil {
		return Follow(r.lib, r.Procedure, c)
	}
	return r.ground.follow(c)
}

// Rest lets go what only Follow has a use for, which is most of a result. Follow
// still follows, and works it out anew each time.
func (r *Result) Rest() { r.ground = nil }

func (g *ground) follow(c Case) (*Result, *Trace) {
	e := newEngine(g)
	e.given = &c
	e.result.trace = newTrace()
	e.walk()
	e.leftOver()
	return e.result, e.result.trace
}

func newTrace() *Trace {
	return &Trace{Fitted: map[library.Thing]int{}, Used: map[library.Thing]bool{}, Met: map[*library.Hazard]bool{}}
}
