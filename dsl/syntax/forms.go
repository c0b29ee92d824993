package syntax

import "github.com/alecthomas/participle/v2/lexer"

// form parses what stands behind a property's word.
func (p *parser) form(f form, head Keyed) (Property, error) {
	switch f {
	case textForm:
		return keyed(p, textGrammar, head, nil)
	case operandForm:
		return keyed(p, operandGrammar, head, nil)
	case uncertaintyForm:
		return keyed(p, uncertaintyGrammar, head, nil)
	case spanForm:
		return keyed(p, spanGrammar, head, nil)
	case timesForm:
		return byHand(p, &TimesProperty{}, head, nil)
	case namesForm:
		return keyed(p, namesGrammar, head, nil)
	case nameForm:
		return keyed(p, namesGrammar, head, oneName)
	case statesForm:
		return keyed(p, statesGrammar, head, nil)
	case stateForm:
		return keyed(p, statesGrammar, head, oneState)
	case withoutForm:
		return keyed(p, withoutGrammar, head, nil)
	case threadForm:
		return byHand(p, &ThreadProperty{}, head, partThread)
	case tapsForm:
		return byHand(p, &ThreadProperty{}, head, tapThread)
	case decisionForm:
		return keyed(p, decisionGrammar, head, decisionRule)
	case revisionForm:
		return byHand(p, &RevisionProperty{}, head, revisionDate)
	case appliesForm:
		return byHand(p, &AppliesProperty{}, head, nil)
	case markForm:
		return keyed(p, markGrammar, head, nil)
	case fingerprintForm:
		return keyed(p, fingerprintGrammar, head, nil)
	case overForm:
		return keyed(p, overGrammar, head, nil)
	case allowForm:
		return keyed(p, allowedGrammar, head, nil)
	case columnForm:
		return byHand(p, &ColumnProperty{}, head, columnOf)
	case dateForm:
		return byHand(p, &DateProperty{}, head, calendarDay)
	}
	return &FlagProperty{head}, nil
}

// A propertyOf is a pointer to a property.
type propertyOf[T any] interface {
	*T
	Property
	setKey(Keyed)
}

func (k *Keyed) setKey(head Keyed) { *k = head }

// keyed parses a property by its grammar; check may refuse what it holds.
func keyed[T any, P propertyOf[T]](p *parser, g grammar[T], head Keyed, check func(*parser, *T) error) (Property, error) {
	v, err := g.parse(p.lex)
	return finish[T, P](p, v, head, err, check)
}

// byHand parses a property that has its own Parse.
func byHand[T any, P interface {
	propertyOf[T]
	Parse(*lexer.PeekingLexer) error
}](p *parser, v P, head Keyed, check func(*parser, *T) error) (Property, error) {
	err := v.Parse(p.lex)
	if _, ok := err.(*wanted); err != nil && !ok {
		err = want(p.lex, "Thread")
	}
	return finish[T, P](p, (*T)(v), head, err, check)
}

func finish[T any, P propertyOf[T]](p *parser, v *T, head Keyed, err error, check func(*parser, *T) error) (Property, error) {
	if err != nil {
		return nil, err
	}
	head.close(p.lex)
	P(v).setKey(head)
	if check != nil {
		err = check(p, v)
	}
	return P(v), err
}
