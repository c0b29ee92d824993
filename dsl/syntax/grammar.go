package syntax

import (
	"fmt"
	"strings"
	"sync"

	"github.com/alecthomas/participle/v2"
	"github.com/alecthomas/participle/v2/lexer"
)

// A grammar is the participle parser of one kind of node, made when it is
// first needed (which costs a good part of a millisecond) and shared.
//
// A lookahead of nothing makes participle commit to an optional group or an
// alternative with its first token, so that an error is told where it is and
// not where the group began.
//
// Participle ends a node at the next token, white space included; so every
// node either goes through grammar.parse or has a Parse of its own, and both
// close it themselves.
type grammar[T any] struct {
	parser func() *participle.Parser[T]
	first  func() []string
}

func newGrammar[T any]() grammar[T] {
	g := grammar[T]{parser: sync.OnceValue(func() *participle.Parser[T] {
		return participle.MustBuild[T](participle.Lexer(definition{}), participle.Elide("Comment", "Bad"), participle.UseLookahead(0))
	})}
	g.first = func() []string {
		_, rule, _ := strings.Cut(g.parser().String(), " = ")
		return firstTerms(rule)
	}
	return g
}

var trailing = participle.AllowTrailing(true)

// parse reads one node. What was read up to an error comes back with it; an
// error is always a *wanted.
func (g grammar[T]) parse(lex *lexer.PeekingLexer) (*T, error) {
	v, err := g.parser().ParseFromLexer(lex, trailing)
	any(v).(interface{ close(*lexer.PeekingLexer) }).close(lex)
	if err != nil {
		terms := expectedTerms(err, g.first)
		if strings.Contains(err.Error(), "too many iterations") {
			terms = []string{fmt.Sprintf("at most %d entries", participle.MaxIterations)}
		}
		err = &wanted{*lex.Peek(), terms, literals(g.parser().String())}
	}
	return v, err
}

// The grammars of what a file is made of.
var (
	thingGrammar     = newGrammar[Thing]()
	routineGrammar   = newGrammar[Routine]()
	procedureGrammar = newGrammar[Procedure]()
	trialGrammar     = newGrammar[Trial]()

	textGrammar        = newGrammar[TextProperty]()
	operandGrammar     = newGrammar[OperandProperty]()
	uncertaintyGrammar = newGrammar[UncertaintyProperty]()
	spanGrammar        = newGrammar[SpanProperty]()
	timesGrammar       = newGrammar[TimesProperty]()
	namesGrammar       = newGrammar[NamesProperty]()
	statesGrammar      = newGrammar[StatesProperty]()
	withoutGrammar     = newGrammar[WithoutProperty]()
	threadGrammar      = newGrammar[ThreadProperty]()
	decisionGrammar    = newGrammar[DecisionProperty]()
	revisionGrammar    = newGrammar[RevisionProperty]()
	appliesGrammar     = newGrammar[AppliesProperty]()
	markGrammar        = newGrammar[MarkProperty]()
	memberGrammar      = newGrammar[MemberProperty]()
	allowedGrammar     = newGrammar[AllowProperty]()

	fingerprintGrammar = newGrammar[FingerprintProperty]()
	overGrammar        = newGrammar[OverProperty]()

	stageGrammar   = newGrammar[Stage]()
	stepGrammar    = newGrammar[Step]()
	decideGrammar  = newGrammar[Decide]()
	repeatGrammar  = newGrammar[Repeat]()
	performGrammar = newGrammar[Perform]()
	finishGrammar  = newGrammar[Finish]()

	useGrammar     = newGrammar[Use]()
	fitGrammar     = newGrammar[Fit]()
	removeGrammar  = newGrammar[Remove]()
	refitGrammar   = newGrammar[Refit]()
	clampGrammar   = newGrammar[Clamp]()
	releaseGrammar = newGrammar[Release]()
	makeGrammar    = newGrammar[Make]()
	verifyGrammar  = newGrammar[Verify]()
	needsGrammar   = newGrammar[Needs]()
	measureGrammar = newGrammar[Measure]()
	askGrammar     = newGrammar[Ask]()
	drillGrammar   = newGrammar[Drill]()
	tapGrammar     = newGrammar[Tap]()
	tightenGrammar = newGrammar[Tighten]()
	heatGrammar    = newGrammar[Heat]()
	liftGrammar    = newGrammar[Lift]()
	waitGrammar    = newGrammar[Wait]()
	takesGrammar   = newGrammar[Takes]()
	warnGrammar    = newGrammar[Warn]()
	holdGrammar    = newGrammar[Hold]()
	recordGrammar  = newGrammar[Record]()
	byGrammar      = newGrammar[By]()
	noteGrammar    = newGrammar[Note]()
	showGrammar    = newGrammar[Show]()
	allowGrammar   = newGrammar[Allow]()
)
