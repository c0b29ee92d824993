// Package rules says what is wrong with a library that its binding and its
// paths do not already say.
//
// Input: a bound library, and for a procedure what package paths found of it.
// Output: messages, in no particular order; none stands twice. A rule looks
// at what is declared and at one statement at a time. What must hold along
// whole paths is told by package paths, and what one of its messages already
// tells is not told again here.
//
// One file holds one family of rules:
//
//	decisions.go    BP401, BP402, BP403, BP405: branches, untils, repeats
//	instruments.go  BP303 to BP307, BP406, BP407: what instruments can judge
//	tools.go        BP303, BP703: what tools can do
//	fasteners.go    BP704, and the class of a fastener
//	loads.go        BP604, BP607: what is lifted, and with what
//	signs.go        BP606: signs that contradict each other
//	mentions.go     BP208, BP209: texts against actions
//	wording.go      BP801 to BP805, BP807: how texts are written (English only)
//	names.go        BP806: one thing under two names (English only)
//	releases.go     BP011 to BP017: what is released and withdrawn
//	figures.go      BP206: the files of figures (pictures.go: what is in them)
//
// What differs by member is judged for every member for whom the statement
// can happen, and several members with the same fault make one message.
package rules

import (
	"slices"
	"strings"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/quantity"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
)

// Check judges one procedure, its routines set out. A procedure that could
// not be bound wholly is not judged: what followed from that would be told
// again.
func Check(lib *library.Library, p *library.Procedure, res *paths.Result) []*message.Message {
	if p.Broken {
		return nil
	}
	c := newChecker(lib)
	c.proc, c.result = p, res
	c.gather()
	w := c.everybody()
	c.body(p.Body, w)
	c.names()
	return c.messages
}

// CheckLibrary judges the declarations alone.
func CheckLibrary(lib *library.Library) []*message.Message {
	c := newChecker(lib)
	for _, t := range lib.Tools {
		c.fineness(t)
	}
	for _, p := range lib.Parts {
		c.class(p)
	}
	for _, h := range lib.Hazards {
		c.ownSigns(h)
	}
	c.numbers(lib)
	return c.messages
}

// A checker gathers the messages of one run.
type checker struct {
	lib      *library.Library
	proc     *library.Procedure
	result   *paths.Result
	messages []*message.Message
	told     map[toldKey]bool

	// universe is every combination of members that the procedure applies to;
	// nil where there are too many, and then nobody is ever left out.
	universe []library.Assignment
	having   map[*library.Member][]int // where in the universe a member is
	weighed  int                       // combinations of members that were looked at
	// routine tells that the statement at hand stands in a routine, which
	// other procedures may perform for other members.
	routine int
	step    *library.Step // at hand
	at      source.Span   // of the statement at hand
	takings map[*library.Reading][]*library.Step
	allowed map[string]bool // by the library or the procedure
	english bool
	all     *everything // that the procedure handles, once asked for
}

type toldKey struct {
	code message.Code
	at   source.Span
	text string
}

func newChecker(lib *library.Library) *checker {
	return &checker{
		lib: lib, told: map[toldKey]bool{}, allowed: allowedBy(nil, lib.Allows), takings: map[*library.Reading][]*library.Step{},
		english: lib.Language == "en" || strings.HasPrefix(lib.Language, "en-"),
	}
}

// wrong adds a message, once for each code, place and text.
func (c *checker) wrong(code message.Code, at source.Span, format string, args ...any) *message.Message {
	m := message.New(code, at, format, args...)
	key := toldKey{code, at, m.Text}
	if !c.told[key] {
		c.told[key] = true
		c.messages = append(c.messages, m)
	}
	return m
}

// gather notes what the rules ask of the whole procedure.
func (c *checker) gather() {
	c.allowed = allowedBy(c.allowed, c.proc.Allows)
	var variants []*library.Variant
	for _, a := range c.proc.Applies {
		variants = append(variants, a.Variant)
	}
	c.universe, _ = paths.Assignments(c.proc, variants)
	paths.Each(c.proc, func(f library.Flow) {
		st, ok := f.(*library.Step)
		if !ok {
			return
		}
		for _, a := range st.Actions {
			if m, ok := a.(*library.Measure); ok {
				c.takings[m.Reading] = append(c.takings[m.Reading], st)
			}
		}
	})
}

func allowedBy(have map[string]bool, list []library.Allow) map[string]bool {
	if len(list) == 0 && have != nil {
		return have
	}
	out := map[string]bool{}
	for code := range have {
		out[code] = true
	}
	for _, a := range list {
		out[a.Code] = true
	}
	return out
}

// allows tells that a rule is turned off, for the library, the procedure or a step.
func (c *checker) allows(code message.Code, st *library.Step) bool {
	if c.allowed[string(code)] {
		return true
	}
	return st != nil && slices.ContainsFunc(st.Allows, func(a library.Allow) bool { return a.Code == string(code) })
}

// namedIn gives the place where an action names a thing; the whole action
// where it cannot be told.
func (c *checker) namedIn(at source.Span, s library.Symbol) source.Span {
	for _, r := range c.lib.Named(at) {
		if r.To == s {
			return r.Span
		}
	}
	return at
}

func quoted(s string) string { return "“" + s + "”" }

// plain prints a quantity for a message, where a line may break anywhere.
func plain(q quantity.Quantity) string { return spaced(q.String()) }

func spaced(s string) string { return strings.ReplaceAll(s, quantity.NBSP, " ") }

// listed joins words: "a, b and c".
func listed(words []string, last string) string {
	if len(words) < 2 {
		return strings.Join(words, "")
	}
	return strings.Join(words[:len(words)-1], ", ") + " " + last + " " + words[len(words)-1]
}
