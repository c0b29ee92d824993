package document_test

import (
	"regexp"
	"strconv"
	"strings"
	"testing"

	"benchproof/compiler/document"
)

// wellFormed checks what always holds of a document.
func wellFormed(t *testing.T, d *document.Document) {
	t.Helper()
	c := checker{t: t, d: d, ids: map[string]bool{}, finishes: map[string]bool{}, decisions: map[string]bool{}}
	for i, s := range d.Steps {
		if s.Number != i+1 || s.ID != "step-"+strconv.Itoa(i+1) {
			c.wrong("step %d is numbered %d, %s", i+1, s.Number, s.ID)
		}
	}
	for i, f := range d.Finishes {
		c.id(f.ID)
		c.finishes[f.ID] = true
		if f.Implied && i != len(d.Finishes)-1 {
			c.wrong("%s is understood, but not the last", f.ID)
		}
		if f.Title == "" {
			c.wrong("%s has no title", f.ID)
		}
	}
	for _, x := range d.Decisions {
		c.decisions[x.ID] = true
	}
	c.blocks(d.Body, nil)
	if c.steps != len(d.Steps) {
		c.wrong("the body holds %d steps of %d", c.steps, len(d.Steps))
	}
	c.needs("tool", d.Tools)
	c.needs("part", d.Parts)
	c.needs("consumable", d.Consumables)
	c.kits()
	c.hazards()
	c.worldMap()
	for _, x := range d.CloseUp {
		c.phrase(text(x.Label), x.Only)
	}
	for _, r := range d.Record {
		if r.Step < 1 || r.Step > len(d.Steps) || r.Boxes < 1 {
			c.wrong("record %s: step %d, %d boxes", r.Name, r.Step, r.Boxes)
		}
		c.phrase(r.Only)
	}
	if len(d.Fingerprint) != 12 || strings.Trim(d.Fingerprint, "0123456789abcdef") != "" {
		c.wrong("fingerprint %q", d.Fingerprint)
	}
}

type checker struct {
	t                        *testing.T
	d                        *document.Document
	steps                    int
	ids, finishes, decisions map[string]bool
}

func (c *checker) wrong(format string, args ...any) {
	c.t.Helper()
	c.t.Errorf(c.d.Name+": "+format, args...)
}

func (c *checker) id(id string) {
	if id == "" || c.ids[id] {
		c.wrong("the ID %q stands twice", id)
	}
	c.ids[id] = true
}

// unfilled is a place in a phrase that was left open.
var unfilled = regexp.MustCompile(`\{[a-z]+\}|  `)

// phrase checks that nothing is left to fill in.
func (c *checker) phrase(list ...string) {
	for _, s := range list {
		if unfilled.MatchString(s) {
			c.wrong("a phrase is not filled in: %q", s)
		}
	}
}

func (c *checker) target(what string, x document.Target, must bool) {
	switch {
	case x.Step < 0 || x.Step > len(c.d.Steps):
		c.wrong("%s goes to step %d", what, x.Step)
	case x.Finish != "" && !c.finishes[x.Finish]:
		c.wrong("%s goes to %q", what, x.Finish)
	case x.Decision != "" && !c.decisions[x.Decision]:
		c.wrong("%s goes to %q", what, x.Decision)
	case must && x.Text == "":
		c.wrong("%s does not say where to go", what)
	}
}

func (c *checker) blocks(list []document.Block, turn *document.Repeat) {
	for _, b := range list {
		switch b := b.(type) {
		case *document.Stage:
			c.id(b.ID)
			c.blocks(b.Body, turn)
		case *document.Routine:
			c.blocks(b.Body, turn)
		case *document.Step:
			c.step(b, turn)
		case *document.Decision:
			c.id(b.ID)
			for _, br := range b.Branches {
				c.target(b.ID, br.Goes, !c.d.Draft)
				if b.Kind == document.ByReading && len(br.Limits) == 0 && !c.d.Draft {
					c.wrong("%s: branch %d has no limits", b.ID, br.Number)
				}
				if b.Kind != document.ByReading && len(br.Cases) == 0 {
					c.wrong("%s: branch %d has no cases", b.ID, br.Number)
				}
				c.blocks(br.Body, turn)
			}
			if len(b.Branches) == 0 || b.Title == "" {
				c.wrong("%s: %q with %d branches", b.ID, b.Title, len(b.Branches))
			}
		case *document.Repeat:
			c.id(b.ID)
			c.target(b.ID, b.OnSuccess, !c.d.Draft)
			c.target(b.ID, b.OnFailure, !c.d.Draft)
			c.blocks(b.Body, b)
			c.blocks(b.Otherwise, turn)
			if b.Until == nil && !c.d.Draft {
				c.wrong("%s has no until", b.ID)
			}
		case *document.Until:
			c.phrase(text(b.Text))
			if len(b.Text) == 0 || len(b.Limits) == 0 && len(b.Cases) == 0 && !c.d.Draft || (b.Kind == document.ByAnswer) != (len(b.Cases) > 0) {
				c.wrong("until %s says nothing", b.On)
			}
		}
	}
}

func (c *checker) step(s *document.Step, turn *document.Repeat) {
	c.id(s.ID)
	c.steps++
	if s.Number != c.steps {
		c.wrong("step %d stands in place %d", s.Number, c.steps)
	}
	if s.Turn != turn {
		c.wrong("step %d has the wrong turn", s.Number)
	}
	for i := 1; i < len(s.Hazards); i++ {
		if worse(s.Hazards[i].Signal) < worse(s.Hazards[i-1].Signal) {
			c.wrong("step %d: %s before %s", s.Number, s.Hazards[i-1].Name, s.Hazards[i].Name)
		}
	}
	ticks := 0
	for _, b := range s.Boxes {
		switch b := b.(type) {
		case *document.Tick:
			ticks++
			c.id(b.ID)
			c.phrase(b.Label)
		case *document.RoundBox:
			c.id(b.ID)
		case *document.HoldBox:
			c.id(b.ID)
		case *document.WaitBox:
			c.id(b.ID)
			c.phrase(b.Label)
		case *document.StateBox:
			c.id(b.ID)
			c.phrase(b.Label)
		case *document.ReadingBox:
			if b.Reading == nil {
				c.wrong("step %d has a box without its reading", s.Number)
			}
		}
	}
	if ticks == 0 {
		c.wrong("step %d has no tick", s.Number)
	}
	for _, x := range s.Details {
		c.phrase(text(x))
	}
}

func worse(signal string) int { return strings.Index("danger warning caution notice", signal) }

func (c *checker) needs(kind string, list []document.Need) {
	for _, n := range list {
		last := 0
		for _, s := range n.Steps {
			if s <= last || s > len(c.d.Steps) {
				c.wrong("%s %s: steps %v", kind, n.Thing.Name, n.Steps)
			}
			last = s
		}
		if last == 0 || n.Count < 1 || n.Always == (n.Only != "") {
			c.wrong("%s %s: %d in steps %v, always %t, only %q", kind, n.Thing.Name, n.Count, n.Steps, n.Always, n.Only)
		}
		c.phrase(n.Only)
	}
}

// hazards checks that the summary and the steps say the same.
func (c *checker) hazards() {
	inSteps, inSummary := 0, 0
	for _, s := range c.d.Steps {
		inSteps += len(s.Hazards)
	}
	for i, u := range c.d.Hazards {
		inSummary += len(u.Steps)
		for _, n := range u.Steps {
			found := false
			for _, h := range c.d.Steps[n-1].Hazards {
				found = found || h == u.Hazard
			}
			if !found {
				c.wrong("step %d does not carry %s", n, u.Hazard.Name)
			}
		}
		if i > 0 && worse(u.Hazard.Signal) < worse(c.d.Hazards[i-1].Hazard.Signal) {
			c.wrong("%s stands behind a lesser hazard", u.Hazard.Name)
		}
	}
	if inSteps != inSummary {
		c.wrong("the steps carry %d hazards, the summary tells of %d", inSteps, inSummary)
	}
}

// worldMap checks that the map holds each step and finish once.
func (c *checker) worldMap() {
	m := c.d.Map
	steps, finishes := map[int]bool{}, map[string]bool{}
	for i, n := range m.Nodes {
		if n.ID != i || n.Label == "" {
			c.wrong("map: node %d is %+v", i, n)
		}
		switch n.Kind {
		case document.MapWork:
			first, last, run := strings.Cut(n.Detail, "–")
			a, _ := strconv.Atoi(first)
			b := a
			if run {
				b, _ = strconv.Atoi(last)
			}
			for k := a; k <= b; k++ {
				if steps[k] {
					c.wrong("map: step %d stands twice", k)
				}
				steps[k] = true
			}
		case document.MapFinish:
			finishes[n.Finish] = true
		}
	}
	for _, e := range m.Edges {
		if e.From < 0 || e.From >= len(m.Nodes) || e.To < 0 || e.To >= len(m.Nodes) {
			c.wrong("map: a line from %d to %d", e.From, e.To)
		}
		if !e.Back && e.To <= e.From {
			c.wrong("map: a line back from %d to %d is not called one", e.From, e.To)
		}
		c.phrase(e.Label)
	}
	if len(m.Text) != len(m.Nodes) {
		c.wrong("map: %d lines for %d nodes", len(m.Text), len(m.Nodes))
	}
	c.phrase(m.Text...)
	if c.d.Draft {
		return // what no path reaches is not on the map
	}
	if len(steps) != len(c.d.Steps) || len(finishes) != len(c.d.Finishes) {
		c.wrong("map: %d steps of %d, %d finishes of %d", len(steps), len(c.d.Steps), len(finishes), len(c.d.Finishes))
	}
}

// kits lists of each box what the job takes of it, once, and nothing else.
func (c *checker) kits() {
	needed := map[*document.Thing]bool{}
	for _, list := range [][]document.Need{c.d.Tools, c.d.Parts, c.d.Consumables} {
		for _, n := range list {
			needed[n.Thing] = true
		}
	}
	for _, k := range c.d.Kits {
		seen := map[*document.Thing]bool{}
		for _, t := range k.Holds {
			if !needed[t] || seen[t] {
				c.wrong("kit %s lists %s, which the job does not take, or twice", k.Name, t.Name)
			}
			seen[t] = true
		}
		if len(seen) == 0 {
			c.wrong("kit %s is listed for nothing", k.Name)
		}
	}
}
