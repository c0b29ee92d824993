package pdf

import (
	"fmt"
	"strconv"

	"benchproof/compiler/document"
)

// A piece is a stretch of text of one style.
type piece struct {
	text  string
	style style
	grey  bool
	// whole pieces are never broken inside, not even at their spaces.
	whole bool
	// to is where a click leads; nil: nowhere.
	to *target
	// late text is known only when the pages are; text holds the room for it.
	late *late
}

// A target is the end of a link: a place in the file by its anchor, or an
// address outside.
type target struct {
	anchor, uri string
	// says is what the link is called by a screen reader.
	says string
}

// late is text that is filled in after the pages are made.
type late struct {
	// anchor is the place whose page is meant; empty: the total of pages if
	// total, else the page the text stands on.
	anchor string
	total  bool
	prefix string
	// elsewhere leaves the text out where it would name the page it stands on.
	elsewhere bool
}

func plain(s string) piece  { return piece{text: s} }
func strong(s string) piece { return piece{text: s, style: bold} }

// weight says what of a text stands out.
type weight uint8

const (
	evenText    weight = iota
	heavyValues        // quantities, as limits do
	heavyText          // all of it
)

// inline turns spans into pieces. A kind of span it does not know is an error:
// it may carry a limit.
func (g *galley) inline(text document.Text, w weight) []piece {
	out := make([]piece, 0, len(text))
	for _, s := range text {
		p := piece{text: s.Text}
		switch s.Kind {
		case document.Plain:
			if w == heavyText {
				p.style = bold
			}
		case document.Strong:
			p.style = bold
		case document.Emphasis:
			p.style = italic
		case document.Code:
			p.style = mono
		case document.Link:
			p.to = &target{uri: s.Href, says: s.Text}
		case document.ID:
			p.style, p.whole = bold, true
		case document.Value:
			p.whole = true
			if w != evenText {
				p.style = bold
			}
		case document.Mark:
			p.whole = true
			if w != evenText {
				p.style = bold
			}
		case document.StepRef:
			p.whole = true
			p.to = g.stepTarget(s.Step)
		case document.FinishRef:
			p.whole = true
			p.to = g.finishTarget(s.Finish)
		default:
			g.fail(fmt.Errorf("pdf: text has a span of unknown kind %q: %q", s.Kind, s.Text))
		}
		out = append(out, p)
	}
	return out
}

// limits are set in weight throughout.
func (g *galley) limitPieces(l document.Limits) []piece { return g.inline(l.Text, heavyText) }

func stepAnchor(n int) string { return "step-" + strconv.Itoa(n) }

func (g *galley) stepTarget(n int) *target {
	if n <= 0 || n > len(g.doc.Steps) {
		return nil
	}
	return &target{anchor: stepAnchor(n), says: g.w.Step + " " + strconv.Itoa(n)}
}

func (g *galley) finishTarget(id string) *target {
	for _, f := range g.doc.Finishes {
		if f.ID == id {
			return &target{anchor: id, says: f.Title}
		}
	}
	return nil
}

// goesTo sets where the work goes on, with the page: "step 17, page 5".
func (g *galley) goesTo(t document.Target) []piece {
	if t.Text == "" {
		return nil
	}
	var to *target
	switch {
	case t.Finish != "":
		to = g.finishTarget(t.Finish)
	case t.Decision != "":
		to = &target{anchor: t.Decision, says: t.Text}
	default:
		to = g.stepTarget(t.Step)
	}
	if to == nil {
		return []piece{{text: t.Text, style: bold}}
	}
	return []piece{
		{text: t.Text + ",", style: bold, whole: t.Decision == "", to: to},
		{text: " ", style: bold, to: to}, // the page may stand on a line of its own
		g.pageOf(to),
	}
}

// pageOf leaves room for the page a target stands on.
func (g *galley) pageOf(to *target) piece {
	l := &late{anchor: to.anchor, prefix: g.w.Page + "\u00a0"}
	return piece{text: l.prefix + g.room, whole: true, to: to, late: l}
}

// steps sets a list of step numbers, each a link.
func (g *galley) stepList(steps []int) []piece {
	var out []piece
	for i, n := range steps {
		p := piece{text: strconv.Itoa(n), to: g.stepTarget(n)}
		if i+1 < len(steps) {
			out = append(out, p, plain(", "))
			continue
		}
		out = append(out, p)
	}
	return out
}
