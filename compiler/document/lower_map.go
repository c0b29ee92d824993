package document

import (
	"cmp"
	"fmt"
	"slices"
	"strconv"
	"strings"

	"benchproof/compiler/library"
)

// mapOf draws the job as a graph: runs of steps, decisions, repeats and
// finishes. A decision by members that only changes steps is no fork of the
// job and is part of the run around it.
func (l *lowerer) mapOf() {
	m := &mapper{l: l, m: &l.doc.Map}
	ends := m.seq(l.doc.Body, []mapEnd{{node: -1}})
	ends = m.close(ends)
	if n := len(l.doc.Finishes); n > 0 && l.doc.Finishes[n-1].Implied && len(ends) > 0 {
		m.finish(l.doc.Finishes[n-1], ends)
	}
	m.sortEdges()
	m.text()
}

// A mapEnd is a way that leads on from a node; −1: from the start. Order is its
// place among the ways of its node, so that lines come in the order written.
type mapEnd struct {
	node  int
	label string
	order int
}

type mapper struct {
	l *lowerer
	m *Map
	// run is the run of steps that is being gathered.
	run struct {
		steps []*Step
		title string
		in    []mapEnd
	}
	// order is that of each line, as in mapEnd.
	order []int
	// title is that of the stage whose first work is still to come.
	title string
	// branch tells that the steps stand in a branch, where a run is named
	// after what it brings.
	branch int
}

func (m *mapper) node(n MapNode, in []mapEnd) int {
	n.ID = len(m.m.Nodes)
	m.m.Nodes = append(m.m.Nodes, n)
	for i, e := range in {
		if e.node < 0 {
			continue
		}
		joined := false
		for j := range in[:i] {
			joined = joined || in[j].node == e.node
		}
		if joined {
			continue
		}
		// Several ways from one node to the next are one line.
		var labels []string
		for _, x := range in[i:] {
			if x.node == e.node && x.label != "" {
				labels = appendNew(labels, x.label)
			}
		}
		m.edge(MapEdge{From: e.node, To: n.ID, Label: listedWords(labels, m.l.ph.orList, m.l.ph.or)}, e.order)
	}
	return n.ID
}

func (m *mapper) edge(e MapEdge, order int) {
	m.m.Edges = append(m.m.Edges, e)
	m.order = append(m.order, order)
}

// sortEdges puts the lines in the order of their nodes and branches.
func (m *mapper) sortEdges() {
	at := make([]int, len(m.m.Edges))
	for i := range at {
		at[i] = i
	}
	slices.SortStableFunc(at, func(a, b int) int {
		return cmp.Or(m.m.Edges[a].From-m.m.Edges[b].From, m.order[a]-m.order[b])
	})
	sorted := make([]MapEdge, len(at))
	for i, k := range at {
		sorted[i] = m.m.Edges[k]
	}
	m.m.Edges = sorted
}

// seq draws blocks behind some ends and gives the ends behind them. The run at
// the end stays open, so that what follows can join it.
func (m *mapper) seq(list []Block, in []mapEnd) []mapEnd {
	for _, b := range list {
		if len(in) == 0 && len(m.run.steps) == 0 {
			return nil // no way leads here
		}
		switch b := b.(type) {
		case *Step:
			in = m.step(b, in)
		case *Stage:
			in = m.close(in)
			m.title = b.Title
			in = m.close(m.seq(b.Body, in))
			m.title = ""
		case *Routine:
			in = m.seq(b.Body, in)
		case *Decision:
			if b.Kind == ByMember && onlySteps(b.Branches) {
				for _, br := range b.Branches {
					in = m.seq(br.Body, in)
				}
				continue
			}
			in = m.decision(b, m.close(in))
		case *Repeat:
			in = m.repeat(b, m.close(in))
		case *Finish:
			m.finish(b, m.close(in))
			in = nil
		}
	}
	return in
}

// onlySteps tells whether branches hold nothing but steps.
func onlySteps(list []*Branch) bool {
	var plain func(body []Block) bool
	plain = func(body []Block) bool {
		for _, b := range body {
			switch b := b.(type) {
			case *Step:
			case *Routine:
				if !plain(b.Body) {
					return false
				}
			case *Decision:
				if b.Kind != ByMember || !onlySteps(b.Branches) {
					return false
				}
			default:
				return false
			}
		}
		return true
	}
	for _, b := range list {
		if !plain(b.Body) {
			return false
		}
	}
	return true
}

func (m *mapper) step(s *Step, in []mapEnd) []mapEnd {
	if len(m.run.steps) == 0 {
		m.run.in, m.run.title = in, m.title
		m.title = ""
	}
	m.run.steps = append(m.run.steps, s)
	return nil
}

// close draws the run that is being gathered.
func (m *mapper) close(in []mapEnd) []mapEnd {
	if len(m.run.steps) == 0 {
		return in
	}
	steps := m.run.steps
	first, last := steps[0].Number, steps[len(steps)-1].Number
	n := MapNode{Kind: MapWork, Label: m.run.title, Detail: numbers(first, last), Step: first}
	if n.Label == "" {
		n.Label = m.l.runLabel(steps, m.branch > 0)
	}
	id := m.node(n, m.run.in)
	m.run.steps, m.run.title, m.run.in = nil, "", nil
	return []mapEnd{{node: id}}
}

func numbers(first, last int) string {
	if first == last {
		return strconv.Itoa(first)
	}
	return fmt.Sprintf("%d–%d", first, last)
}

func (m *mapper) decision(d *Decision, in []mapEnd) []mapEnd {
	m.title = ""
	n := MapNode{Kind: MapDecision, Label: m.l.decisionLabel(d)}
	if in[0].node >= 0 {
		n.Step = lastStep(m.m.Nodes[in[0].node])
	}
	id := m.node(n, in)
	var out []mapEnd
	m.branch++
	for i, b := range d.Branches {
		out = append(out, m.close(m.seq(b.Body, []mapEnd{{id, m.l.branchLabel(d, b), i}}))...)
	}
	m.branch--
	return out
}

// lastStep is the step on which a decision behind a node is taken.
func lastStep(n MapNode) int {
	if n.Kind != MapWork {
		return n.Step
	}
	if _, last, ok := strings.Cut(n.Detail, "–"); ok {
		if k, err := strconv.Atoi(last); err == nil {
			return k
		}
	}
	return n.Step
}

func (m *mapper) repeat(r *Repeat, in []mapEnd) []mapEnd {
	before, rest := r.Body, []Block(nil)
	for i, b := range r.Body {
		if _, ok := b.(*Until); ok {
			before, rest = r.Body[:i], r.Body[i+1:]
			break
		}
	}
	first := len(m.m.Nodes)
	ends := m.close(m.seq(before, in))
	if len(ends) == 0 || r.Until == nil {
		return ends
	}
	m.title = ""
	l := m.l
	n := MapNode{Kind: MapLoop, Label: l.untilLabel(r.Until), Detail: fill(l.ph.atMostTimes, "n", strconv.Itoa(r.Times))}
	if ends[0].node >= 0 {
		n.Step = lastStep(m.m.Nodes[ends[0].node])
	}
	id := m.node(n, ends)
	good := l.ph.good
	if r.Until.Kind == ByAnswer {
		good = l.casesLabel(r.Until.Cases)
	} else if len(r.Until.Limits) == 1 {
		good = shorten(plainLimits(l.limitsText(r.Until.Limits)), 40)
	}
	out := []mapEnd{{id, good, 0}}
	failed := []mapEnd{{id, fill(l.ph.after, "n", l.number(r.Times)), 2}}
	m.branch++
	if r.Times > 1 {
		for _, e := range m.close(m.seq(rest, []mapEnd{{id, l.ph.elseWord, 1}})) {
			m.edge(MapEdge{From: e.node, To: first, Label: e.label, Back: true}, e.order)
		}
	}
	if len(r.Otherwise) > 0 {
		failed = m.close(m.seq(r.Otherwise, failed))
	}
	m.branch--
	return append(out, failed...)
}

func (m *mapper) finish(f *Finish, in []mapEnd) {
	m.node(MapNode{Kind: MapFinish, Label: f.Title, Finish: f.ID, Outcome: f.Outcome}, in)
}

// --- labels -------------------------------------------------------------------------------

// runLabel names a run of steps that is no whole stage: after what it measures
// or fits new, else after its first step.
func (l *lowerer) runLabel(steps []*Step, branch bool) string {
	first := l.sources[steps[0].Number-1]
	for _, a := range first.Actions {
		if m, ok := a.(*library.Measure); ok {
			return fill(l.ph.measure, "title", m.Reading.Title)
		}
	}
	if branch {
		for _, s := range steps {
			for _, a := range l.sources[s.Number-1].Actions {
				if f, ok := a.(*library.FitNew); ok {
					if cases := l.itemCases(f.Items[0]); len(cases) > 0 {
						return fill(l.ph.newPart, "title", l.thing(cases[0].thing).Title)
					}
				}
			}
		}
	}
	return l.firstClause(steps[0].Text)
}

// firstClause gives the first few words of a step that stand for themselves,
// without the numbers of things.
func (l *lowerer) firstClause(t Text) string {
	var b strings.Builder
	for _, s := range t {
		if s.Kind != ID && s.Kind != Mark {
			b.WriteString(s.Text)
		}
	}
	said, _, _ := strings.Cut(b.String(), " (")
	var out []string
	for i, w := range strings.Fields(strings.ReplaceAll(said, "\u00a0", " ")) {
		if i >= 3 && l.ph.joining[w] {
			break
		}
		bare := strings.TrimRight(w, ",;.:")
		if bare != "" {
			out = append(out, bare)
		}
		if bare != w {
			break
		}
	}
	return shorten(strings.Join(out, " "), 40)
}

func (l *lowerer) untilLabel(u *Until) string {
	if u.Kind == ByAnswer {
		return l.questionLabel(u.On, u.Title)
	}
	return l.readingTitle(u.Reading)
}

// questionLabel is a question, in a word or two where it is long.
func (l *lowerer) questionLabel(name, title string) string {
	const most = 32
	if len([]rune(title)) <= most {
		return title
	}
	return l.shortOf[name]
}

func (l *lowerer) casesLabel(list []Member) string {
	titles := make([]string, len(list))
	for i, c := range list {
		titles[i] = c.Title
	}
	return shorten(listedWords(titles, l.ph.orList, l.ph.or), 28)
}

func (l *lowerer) decisionLabel(d *Decision) string {
	switch {
	case d.Kind == ByReading:
		return l.readingTitle(d.Reading)
	case d.Kind == ByMember:
		for _, f := range l.doc.AppliesTo {
			if f.Variant == d.On {
				return f.Title
			}
		}
	}
	return l.questionLabel(d.On, d.Title)
}

// branchLabel says briefly when a branch is taken.
func (l *lowerer) branchLabel(d *Decision, b *Branch) string {
	if d.Kind != ByReading {
		return l.casesLabel(b.Cases)
	}
	if b.Meaning != "" {
		return l.brief(b.Meaning)
	}
	return shorten(plainLimits(l.limitsText(b.Limits)), 40)
}

// text writes the map in words, a line a node.
func (m *mapper) text() {
	l := m.l
	name := func(n MapNode) string {
		switch {
		case n.Kind == MapFinish:
			return n.Label
		case n.Kind == MapWork:
			return n.Label + " (" + n.Detail + ")"
		}
		return fill(l.ph.question, "title", n.Label)
	}
	out := make([][]MapEdge, len(m.m.Nodes))
	for _, e := range m.m.Edges {
		out[e.From] = append(out[e.From], e)
	}
	for _, n := range m.m.Nodes {
		line := upperFirst(n.Label)
		switch n.Kind {
		case MapWork:
			pattern := l.ph.steps
			if !strings.Contains(n.Detail, "–") {
				pattern = l.ph.step
			}
			line += ", " + fill(pattern, "n", n.Detail)
		case MapLoop:
			if strings.HasSuffix(line, "?") {
				line += " (" + n.Detail + ")"
			} else {
				line += ", " + n.Detail
			}
		case MapFinish:
			if f := l.finishByID(n.Finish); f != nil && f.Text != "" {
				line += l.w.Colon() + f.Text
			}
		}
		var ways []string
		for _, e := range out[n.ID] {
			way := name(m.m.Nodes[e.To])
			if e.Label != "" {
				way = e.Label + ", " + way
			} else {
				way = fill(l.ph.thenNext, "next", way)
			}
			ways = append(ways, way)
		}
		if len(ways) > 0 {
			separator := l.w.Colon()
			switch {
			case n.Kind == MapWork:
				separator = ", "
			case strings.HasSuffix(line, "?"):
				separator = " "
			}
			line += separator + strings.Join(ways, "; ")
		}
		if !strings.HasSuffix(line, ".") {
			line += "."
		}
		m.m.Text = append(m.m.Text, line)
	}
}

func (l *lowerer) finishByID(id string) *Finish {
	for _, f := range l.doc.Finishes {
		if f.ID == id {
			return f
		}
	}
	return nil
}
