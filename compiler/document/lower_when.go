package document

import (
	"slices"
	"strconv"
	"strings"

	"benchproof/compiler/library"
)

// Whether something is always needed, or only on some ways through the job,
// follows from the branches that it stands in.

// An occurrence is where something is needed: a step, what led there, and the
// members for which it is; none: all that the branch is for.
type occurrence struct {
	step    int
	guard   *guard
	members []*library.Member
}

// occurs is an occurrence in the step at hand.
func (l *lowerer) occurs(members []*library.Member) occurrence {
	return occurrence{len(l.doc.Steps), l.guard, members}
}

// A term is one thing that must be so: a branch, a turn, or the members.
type term struct {
	guard   *guard // nil: by members
	variant *library.Variant
	members []*library.Member
}

// key tells which question a term answers.
func (t term) key() any {
	switch {
	case t.guard == nil:
		return t.variant
	case t.guard.repeat != nil:
		return t.guard.repeat
	}
	return t.guard.decision
}

// way is what must be so for one occurrence, outermost first.
type way []term

// wayTo gives the way to an occurrence.
func (l *lowerer) wayTo(o occurrence) way {
	var out way
	if len(o.members) > 0 {
		out = append(out, term{variant: o.members[0].Variant, members: o.members})
	}
	for g := o.guard; g != nil; g = g.outer {
		if g.variant != nil {
			out = append(out, term{variant: g.variant, members: g.members})
		} else {
			out = append(out, term{guard: g})
		}
	}
	slices.Reverse(out)
	return out
}

// when says whether some occurrences together are met on every way that the
// job leads on, and else on which: "if worn, size 32".
func (l *lowerer) when(list []occurrence) (always bool, only string) {
	ways := make([]way, len(list))
	for i, o := range list {
		ways[i] = l.wayTo(o)
	}
	rest, always := l.reduce(ways)
	if always {
		return true, ""
	}
	const most = 3
	var texts []string
	for _, w := range rest {
		texts = appendNew(texts, l.wayText(w))
	}
	if len(texts) > most {
		return false, l.ph.somePaths
	}
	return false, listedWords(texts, l.ph.or, l.ph.or)
}

// reduce takes away questions of which every answer that leads on is met.
func (l *lowerer) reduce(ways []way) (rest []way, always bool) {
	var keys []any
	groups := map[any][]way{}
	for _, w := range ways {
		if len(w) == 0 {
			return nil, true
		}
		k := w[0].key()
		if _, known := groups[k]; !known {
			keys = append(keys, k)
		}
		groups[k] = append(groups[k], w)
	}
	for _, k := range keys {
		some, all := l.reduceOne(groups[k])
		if all {
			return nil, true
		}
		rest = append(rest, some...)
	}
	return rest, false
}

// reduceOne reduces the ways that begin with the same question.
func (l *lowerer) reduceOne(ways []way) (rest []way, always bool) {
	first := ways[0][0]
	type part struct {
		term term
		ways []way
	}
	var parts []part
	for _, w := range ways {
		i := slices.IndexFunc(parts, func(p part) bool { return p.term.same(w[0]) })
		if i < 0 {
			i = len(parts)
			parts = append(parts, part{term: w[0]})
		}
		parts[i].ways = append(parts[i].ways, w[1:])
	}
	var met []term
	for _, p := range parts {
		inner, all := l.reduce(p.ways)
		if all {
			met = append(met, p.term)
			continue
		}
		for _, w := range inner {
			rest = append(rest, append(way{p.term}, w...))
		}
	}
	switch {
	case first.guard == nil:
		var members []*library.Member
		for _, m := range membersOf(l.proc, first.variant) {
			if slices.ContainsFunc(met, func(t term) bool { return slices.Contains(t.members, m) }) {
				members = append(members, m)
			}
		}
		if len(members) == len(membersOf(l.proc, first.variant)) {
			return nil, true
		}
		if len(members) > 0 {
			rest = append([]way{{term{variant: first.variant, members: members}}}, rest...)
		}
		return rest, false
	case first.guard.decision != nil:
		needed := first.guard.siblings
		if len(needed) == 0 {
			for _, b := range first.guard.decision.Branches {
				needed = append(needed, b.Number)
			}
		}
		all := true
		for _, n := range needed {
			all = all && slices.ContainsFunc(met, func(t term) bool { return t.guard.branch.Number == n })
		}
		if all {
			return nil, true
		}
	}
	for i := len(met) - 1; i >= 0; i-- {
		rest = append([]way{{met[i]}}, rest...)
	}
	return rest, false
}

// same tells whether two terms of one question ask for the same answer.
func (t term) same(o term) bool {
	switch {
	case t.guard == nil:
		return slices.Equal(t.members, o.members)
	case t.guard.repeat != nil:
		return t.guard.otherwise == o.guard.otherwise
	}
	return t.guard.branch == o.guard.branch
}

// wayText says what must be so, members last: "if worn, size 32".
func (l *lowerer) wayText(w way) string {
	var so, members []string
	for _, t := range w {
		if t.guard == nil {
			members = append(members, memberTitles(t.members))
		} else {
			so = append(so, l.termText(t.guard))
		}
	}
	var out []string
	if len(so) > 0 {
		out = append(out, fill(l.ph.ifThat, "what", listedWords(so, l.ph.and, l.ph.and)))
	}
	return strings.Join(append(out, members...), ", ")
}

func (l *lowerer) termText(g *guard) string {
	if g.repeat != nil {
		u := g.repeat.Until
		if u != nil && u.Kind == ByAnswer {
			return l.untilTerm(u, g.otherwise)
		}
		title := ""
		if u != nil {
			title = l.readingTitle(u.Reading)
		}
		if g.otherwise {
			return fill(l.ph.ifStaysBad, "reading", title)
		}
		return fill(l.ph.ifNotGood, "reading", title)
	}
	d, b := g.decision, g.branch
	if d.Kind == ByReading {
		if c, ok := l.clause(b.Meaning); ok {
			return c
		}
		if b.Meaning != "" {
			return fill(l.ph.question, "title", trimStop(b.Meaning))
		}
		return fill(l.ph.ifReading, "reading", l.readingTitle(d.Reading), "limits", plainLimits(l.limitsText(b.Limits)))
	}
	titles := make([]string, len(b.Cases))
	for i, c := range b.Cases {
		titles[i] = c.Title
	}
	return fill(l.ph.ifAnswer, "answer", listedWords(titles, l.ph.or, l.ph.or), "n", strconv.Itoa(l.askedAt(d)))
}

// askedAt is the step that asks the question of a decision: the last before it.
func (l *lowerer) askedAt(d *Decision) int {
	if n, known := l.asked[d]; known {
		return n
	}
	n := l.findAsked(d)
	l.asked[d] = n
	return n
}

func (l *lowerer) findAsked(d *Decision) int {
	before := len(l.doc.Steps)
	for _, b := range d.Branches {
		if n := firstNumber(b.Body); n > 0 {
			before = n - 1
			break
		}
	}
	n, _ := l.lastAsked(d.On, before)
	return n
}

// lastAsked is the last of the first so many steps that asks a question, and its
// answers; all of these steps and none where none does.
func (l *lowerer) lastAsked(name string, before int) (step int, answers []Member) {
	for n := before; n > 0; n-- {
		for _, x := range l.doc.Steps[n-1].Boxes {
			if a, ok := x.(*AnswerBox); ok && a.Name == name {
				return n, a.Answers
			}
		}
	}
	return before, nil
}

// untilTerm says that an answer which ends a repeat was not given at once, or in no turn.
func (l *lowerer) untilTerm(u *Until, never bool) string {
	step, answers := l.lastAsked(u.On, l.untilAt[u])
	var others []string
	for _, a := range answers {
		if !slices.Contains(u.Cases, a) {
			others = append(others, a.Title)
		}
	}
	said := fill(l.ph.ifAnswer, "answer", listedWords(others, l.ph.or, l.ph.or), "n", strconv.Itoa(step))
	if never {
		return fill(l.ph.ifStays, "what", said)
	}
	return said
}

// firstNumber is the number of the first step in some blocks; 0: none.
func firstNumber(list []Block) int {
	for _, b := range list {
		n := 0
		switch b := b.(type) {
		case *Step:
			n = b.Number
		case *Stage:
			n = firstNumber(b.Body)
		case *Routine:
			n = firstNumber(b.Body)
		case *Repeat:
			if n = firstNumber(b.Body); n == 0 {
				n = firstNumber(b.Otherwise)
			}
		case *Decision:
			for _, br := range b.Branches {
				if n == 0 {
					n = firstNumber(br.Body)
				}
			}
		}
		if n > 0 {
			return n
		}
	}
	return 0
}

// plainLimits leaves out the marks, which lead to no footnote there.
func plainLimits(t Text) string {
	var b strings.Builder
	for _, s := range t {
		if s.Kind != Mark {
			b.WriteString(s.Text)
		}
	}
	return b.String()
}

// --- sentences ---------------------------------------------------------------------------

func trimStop(s string) string {
	s = strings.TrimSpace(s)
	if first, _, ok := strings.Cut(s, ". "); ok {
		s = first
	}
	return strings.TrimRight(s, ".")
}

// clause makes of a sentence what can stand behind "if": "The sleeve is worn."
// becomes "worn", "The shaft may be damaged." becomes "the shaft may be
// damaged". ok is false where the text is no such sentence.
func (l *lowerer) clause(sentence string) (string, bool) {
	s := trimStop(sentence)
	list := strings.Fields(s)
	if len(list) < 3 || !l.ph.openers[strings.ToLower(list[0])] {
		return "", false
	}
	at := l.verb(list)
	if at < 0 {
		return "", false
	}
	if at == len(list)-2 && at <= 3 && l.ph.be[list[at]] {
		return list[len(list)-1], true
	}
	return l.inSentence(s), !l.ph.nouns
}

// verb finds the word of a sentence that says what is; −1: none.
func (l *lowerer) verb(list []string) int {
	for i := 1; i < len(list)-1; i++ {
		if l.ph.verbs[strings.ToLower(list[i])] {
			return i
		}
	}
	return -1
}

// brief makes of a meaning a label for a line of the map: "The sleeve is worn."
// becomes "worn", "The sleeve can stay." becomes "can stay".
func (l *lowerer) brief(sentence string) string {
	s := trimStop(sentence)
	list := strings.Fields(s)
	if len(list) >= 3 && l.ph.openers[strings.ToLower(list[0])] {
		if at := l.verb(list); at > 0 {
			if l.ph.be[list[at]] {
				at++
			}
			s = strings.Join(list[at:], " ")
		}
	}
	return shorten(l.inSentence(s), 28)
}

// shorten cuts a label at the end of a clause or a word.
func shorten(s string, most int) string {
	if len([]rune(s)) <= most {
		return s
	}
	if i := strings.IndexAny(s, ",;:"); i > 2 && len([]rune(s[:i])) <= most {
		return s[:i]
	}
	list := strings.Fields(s)
	out := ""
	for _, w := range list {
		next := strings.TrimSpace(out + " " + w)
		if len([]rune(next)) > most-1 {
			break
		}
		out = next
	}
	if out == "" {
		out = string([]rune(s)[:most-1])
	}
	return strings.TrimRight(out, ",;:") + "…"
}
