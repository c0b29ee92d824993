package document

import (
	"slices"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
)

// A Place is a statement of a procedure where the document has it.
type Place struct {
	Flow library.Flow
	// Step is the number of a step; of another statement, that of the first step
	// behind it, which may be one more than the last.
	Step int
	// Routines are those that were performed to get here, outermost first.
	Routines []*library.Routine
	// Hazards are those that a step carries, each once.
	Hazards []*library.Hazard

	at   occurrence
	here *library.Procedure
	l    *lowerer
}

// placed is a statement as it was met.
type placed struct {
	flow     library.Flow
	at       occurrence
	here     *library.Procedure
	routines []*library.Routine
}

// put notes where a statement stands. What the place is for is told on demand.
func (l *lowerer) put(f library.Flow) {
	at := occurrence{step: len(l.doc.Steps) + 1, guard: l.guard}
	l.placed = append(l.placed, placed{f, at, l.here, slices.Clone(l.performs)})
}

// Places gives every statement of a procedure with its place in the document,
// in the order of the document. One that is for no member asked for has none.
// The document is made as Lower makes it.
func Places(lib *library.Library, p *library.Procedure, res *paths.Result, opts Options) (*Document, []Place) {
	l := lower(lib, p, res, opts)
	out := make([]Place, len(l.placed))
	byStep := map[int][]*library.Hazard{}
	for _, c := range l.carried {
		byStep[c.at.step] = appendNew(byStep[c.at.step], c.hazard)
	}
	for i, x := range l.placed {
		out[i] = Place{Flow: x.flow, Step: x.at.step, Routines: x.routines, at: x.at, here: x.here, l: l}
		if _, step := x.flow.(*library.Step); step {
			out[i].Hazards = byStep[x.at.step]
		}
	}
	return l.doc, out
}

// Members gives the members of a variant for which the place is; nil where the
// procedure does not differ by it.
func (p Place) Members(v *library.Variant) []*library.Member { return membersOf(p.here, v) }

// When says whether the work that leads on always gets to the place, for the
// members given (none: all the place is for), and else on which ways, in the
// words of the document: "if worn, size 32".
func (p Place) When(members []*library.Member) (always bool, only string) {
	at := p.at
	if len(members) > 0 && len(members) < len(p.Members(members[0].Variant)) {
		at.members = members
	}
	return p.l.when([]occurrence{at})
}
