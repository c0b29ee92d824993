package syntax

import (
	"slices"

	"github.com/alecthomas/participle/v2/lexer"
)

// outcomes are how a procedure can finish.
var outcomes = []string{"serviceable", "scrap", "refer"}

var outcomeTerms = []string{`"serviceable"`, `"scrap"`, `"refer"`}

// body parses a block of statements.
func (p *parser) body(ctx Context, head lexer.Position) (list []Statement) {
	p.block(ctx, head, func(t *lexer.Token) {
		if s := p.statement(ctx, t); s != nil {
			list = append(list, s)
		}
	})
	return list
}

// statement parses one statement of a flow; nil where nothing came of it.
func (p *parser) statement(ctx Context, t *lexer.Token) Statement {
	if t.Type == WordToken && canStand(ctx, t.Value) {
		switch t.Value {
		case "stage":
			return p.stage(ctx)
		case "step":
			return p.step(ctx)
		case "decide":
			return p.decide(ctx)
		case "repeat":
			return p.repeat(ctx)
		case "finish":
			return p.finish(ctx)
		case "until":
			e := p.begin(ctx)
			v := &Until{}
			err := v.Parse(p.lex)
			if v.close(p.lex); p.done(e, err) {
				return v
			}
			return nil
		case "perform":
			e := p.begin(ctx)
			if v, err := performGrammar.parse(p.lex); p.done(e, err) {
				return v
			}
			return nil
		}
	}
	p.stray(ctx, t)
	return nil
}

func (p *parser) stage(ctx Context) Statement {
	e := p.begin(ctx)
	v, err := stageGrammar.parse(p.lex)
	opens := p.header(e, InStage, v.Pos, err, true)
	if p.again || err != nil && !opens {
		return nil
	}
	v.Body = p.body(InStage, v.Pos)
	v.close(p.lex)
	if v.Title == nil {
		v.Title = p.absent(lexer.Position{Offset: v.Pos.Offset, Line: v.Pos.Line, Column: v.Pos.Column})
	}
	return v
}

func (p *parser) step(ctx Context) Statement {
	e := p.begin(ctx)
	v, err := stepGrammar.parse(p.lex)
	opens := p.header(e, InStep, v.Pos, err, false)
	if p.again || err != nil && !opens {
		return nil
	}
	p.block(InStep, v.Pos, func(t *lexer.Token) {
		if a := p.action(t); a != nil {
			v.Actions = append(v.Actions, a)
		}
	})
	v.close(p.lex)
	if v.Text == nil {
		v.Text = p.absent(lexer.Position{Offset: v.Pos.Offset, Line: v.Pos.Line, Column: v.Pos.Column})
	}
	if !opens && !p.done(e, nil) {
		return nil
	}
	return v
}

func (p *parser) decide(ctx Context) Statement {
	e := p.begin(ctx)
	v, err := decideGrammar.parse(p.lex)
	opens := p.header(e, InDecide, v.Pos, err, true)
	if p.again {
		return nil
	}
	if opens {
		p.block(InDecide, v.Pos, func(t *lexer.Token) {
			if b := p.branch(t); b != nil {
				v.Branches = append(v.Branches, b)
			}
		})
	}
	v.close(p.lex)
	if v.On == nil {
		return nil
	}
	return v
}

// branch parses `[accept] RANGE ["meaning"] { … }` or `CASE, … ["meaning"] { … }`.
func (p *parser) branch(t *lexer.Token) *Branch {
	if t.Type != WordToken {
		p.stray(InDecide, t)
		return nil
	}
	e := p.begin(InDecide)
	b := &Branch{}
	err := b.Parse(p.lex)
	opens := p.header(e, InBranch, b.Pos, err, true)
	if p.again {
		return nil
	}
	if opens {
		b.Body = p.body(InBranch, b.Pos)
	}
	b.close(p.lex)
	if b.Range == nil && len(b.Cases) == 0 || err != nil {
		return nil
	}
	return b
}

// branchWords are the keywords a branch may start with.
var branchWords = append([]string{"accept"}, rangeWords...)

// Parse reads a branch up to its braces.
func (b *Branch) Parse(lex *lexer.PeekingLexer) error {
	b.begin(lex)
	if isWord(lex.Peek(), "accept") && second(lex).Type == WordToken {
		lex.Next()
		b.Accept = true
	}
	if startsRange(lex) {
		b.Range = &Range{}
		if err := b.Range.Parse(lex); err != nil {
			return err
		}
	} else if b.Accept {
		return want(lex, "Range")
	} else {
		var err error
		if b.Cases, err = cases(lex, branchWords); err != nil {
			return err
		}
	}
	if lex.Peek().Type == StringToken {
		b.Meaning = &Text{}
		b.Meaning.Raw = b.Meaning.take(lex)
	}
	return nil
}

// cases reads answers or members, parted by commas. A word that is near one of
// some others, and has no name's place, is taken for that.
func cases(lex *lexer.PeekingLexer, others []string) (list []*Name, err error) {
	for {
		if lex.Peek().Type != WordToken {
			return list, want(lex, "Name")
		}
		if t := second(lex); t.Type == NumberToken || t.Type == WordToken && !canStand(InRepeat, t.Value) {
			if near := nearest(lex.Peek().Value, others); near != "" {
				return list, want(lex, `"`+near+`"`)
			}
			if slices.Contains(rangeWords, t.Value) {
				return list, want(lex, "Range") // a range has no name before it
			}
		}
		n := &Name{}
		n.Text = n.take(lex)
		list = append(list, n)
		if !isPunct(lex.Peek(), ",") {
			return list, nil
		}
		lex.Next()
	}
}

// startsWork tells, by what stands behind a keyword, that it is the beginning of
// a statement and no answer of that name.
func startsWork(next *lexer.Token) bool {
	return next.Type == StringToken || next.Type == WordToken && !canStand(InRepeat, next.Value)
}

// Parse reads an until.
func (u *Until) Parse(lex *lexer.PeekingLexer) error {
	u.begin(lex)
	lex.Next()
	if lex.Peek().Type != WordToken {
		return want(lex, "Name")
	}
	u.On = &Name{}
	u.On.Text = u.On.take(lex)
	if startsRange(lex) {
		u.Range = &Range{}
		return u.Range.Parse(lex)
	}
	if t := lex.Peek(); t.Type != WordToken || canStand(InRepeat, t.Value) && startsWork(second(lex)) {
		return want(lex, "Range", "Answer")
	}
	var err error
	u.Cases, err = cases(lex, rangeWords)
	return err
}

func (p *parser) repeat(ctx Context) Statement {
	e := p.begin(ctx)
	v, err := repeatGrammar.parse(p.lex)
	opens := p.header(e, InRepeat, v.Pos, err, true)
	if p.again || err != nil && !opens {
		return nil
	}
	failures := p.failures
	v.Body = p.body(InRepeat, v.Pos)
	p.checkUntil(v, p.failures == failures)
	if t := p.lex.Peek(); isWord(t, "otherwise") {
		o := &Otherwise{}
		o.begin(p.lex)
		oe := p.begin(ctx)
		p.lex.Next()
		if p.header(oe, InOtherwise, o.Pos, nil, true) {
			o.Body = p.body(InOtherwise, o.Pos)
		}
		o.close(p.lex)
		v.Otherwise = o
	}
	v.close(p.lex)
	if v.Times == nil {
		return nil
	}
	return v
}

// checkUntil tells whether a repeat has its one `until`.
func (p *parser) checkUntil(v *Repeat, whole bool) {
	var first *Until
	for _, s := range v.Body {
		u, ok := s.(*Until)
		switch {
		case !ok:
		case first == nil:
			first = u
		default:
			p.failures++
			p.report(p.spanOf(u), `a second "until" in one repeat`).Relate(p.spanOf(first), "the first stands here").
				Helped("a repeat goes on until one reading or answer is right; decide on others behind it")
		}
	}
	if first == nil && whole && v.Times != nil {
		p.failures++
		p.report(p.file.Span(v.Start(), v.Times.End()), `expected an "until" directly in the braces of the repeat`).
			Helped("say which reading or answer ends the repeat: until NAME RANGE, or until NAME ANSWER")
	}
}

func (p *parser) finish(ctx Context) Statement {
	e := p.begin(ctx)
	v, err := finishGrammar.parse(p.lex)
	if err == nil && !member(outcomes, v.Outcome.Text) {
		t := p.read(v.Outcome.Start())
		m := p.at(e.from, t, "expected %s, found %s", phrase(outcomeTerms), describe(t))
		if near := nearest(t.Value, outcomes); near != "" {
			m.Helped(`write "%s"`, near).Mend(p.span(t), near)
		}
		err = &reported{}
	}
	opens := p.header(e, InFinish, v.Pos, err, false)
	if p.again || err != nil && !opens && (v.Outcome == nil || !member(outcomes, v.Outcome.Text)) {
		return nil
	}
	p.block(InFinish, v.Pos, func(t *lexer.Token) {
		if q := p.property(InFinish, t); q != nil {
			v.Properties = append(v.Properties, q)
		}
	})
	v.close(p.lex)
	if v.Outcome == nil {
		return nil
	}
	if !opens && err == nil && !p.done(e, nil) {
		return nil
	}
	return v
}

// actionOf is a pointer to an action.
type actionOf[T any] interface {
	*T
	Action
}

// act parses an action by its grammar; check may refuse what it holds.
func act[T any, P actionOf[T]](p *parser, e entry, g grammar[T], check func(*parser, *T) error) Action {
	v, err := g.parse(p.lex)
	if err == nil && check != nil {
		err = check(p, v)
	}
	if !p.done(e, err) {
		return nil
	}
	return P(v)
}

// action parses one action of a step; nil where nothing came of it.
func (p *parser) action(t *lexer.Token) Action {
	if t.Type == WordToken {
		e := p.begin(InStep)
		switch t.Value {
		case "use":
			return act(p, e, useGrammar, nil)
		case "fit":
			return act(p, e, fitGrammar, fitOn)
		case "remove":
			return act(p, e, removeGrammar, nil)
		case "refit":
			return act(p, e, refitGrammar, nil)
		case "clamp":
			return act(p, e, clampGrammar, nil)
		case "release":
			return act(p, e, releaseGrammar, nil)
		case "make":
			return act(p, e, makeGrammar, nil)
		case "verify":
			return act(p, e, verifyGrammar, nil)
		case "needs":
			return act(p, e, needsGrammar, nil)
		case "measure":
			return act(p, e, measureGrammar, nil)
		case "ask":
			return p.ask(e)
		case "drill":
			return act(p, e, drillGrammar, nil)
		case "tap":
			return act(p, e, tapGrammar, nil)
		case "tighten":
			return act(p, e, tightenGrammar, nil)
		case "heat":
			return act(p, e, heatGrammar, nil)
		case "lift":
			return act(p, e, liftGrammar, nil)
		case "wait":
			return act(p, e, waitGrammar, nil)
		case "takes":
			return act(p, e, takesGrammar, nil)
		case "warn":
			return act(p, e, warnGrammar, nil)
		case "hold":
			return act(p, e, holdGrammar, nil)
		case "record":
			return act(p, e, recordGrammar, nil)
		case "by":
			return act(p, e, byGrammar, nil)
		case "note":
			return act(p, e, noteGrammar, nil)
		case "show":
			return act(p, e, showGrammar, nil)
		case "allow":
			return act(p, e, allowGrammar, nil)
		}
	}
	p.stray(InStep, t)
	return nil
}

// fitOn tells whether a fit says on what, and only where it must.
func fitOn(p *parser, v *Fit) error {
	switch {
	case v.New && v.On != nil:
		return p.wrong(v.On, `a new part is fitted in its own place, without "on"`)
	case !v.New && v.On == nil:
		last := v.Items[len(v.Items)-1]
		p.failures++
		p.report(p.spanOf(last), `expected "on" and the thing it is fitted on behind "%s"`, shorten(last.Name.Text)).
			Helped("write fit TOOL on THING for a tool, fit new PART for a part")
		return &reported{}
	}
	return nil
}

func (p *parser) ask(e entry) Action {
	v, err := askGrammar.parse(p.lex)
	opens := p.header(e, InAnswers, v.Pos, err, true)
	if p.again {
		return nil
	}
	if opens {
		p.block(InAnswers, v.Pos, func(t *lexer.Token) {
			if t.Type != WordToken {
				p.stray(InAnswers, t)
				return
			}
			if m := p.member(InAnswers); m != nil {
				v.Answers = append(v.Answers, m)
			}
		})
	}
	v.close(p.lex)
	if v.Name == nil {
		return nil
	}
	if v.Question == nil {
		v.Question = p.absent(v.Name.EndPos)
	}
	return v
}
