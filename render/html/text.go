package html

import (
	"fmt"
	"strings"

	"benchproof/compiler/document"
)

// spans writes a text.
func (p *page) spans(t document.Text) {
	for i := range t {
		p.span(&t[i])
	}
}

func (p *page) span(s *document.Span) {
	switch s.Kind {
	case document.Plain:
		p.text(s.Text)
	case document.Strong:
		p.raw("<strong>")
		p.text(s.Text)
		p.raw("</strong>")
	case document.Emphasis:
		p.raw("<em>")
		p.text(s.Text)
		p.raw("</em>")
	case document.Code:
		p.raw("<code>")
		p.text(s.Text)
		p.raw("</code>")
	case document.Link:
		p.link(s.Href, s.Text)
	case document.ID:
		p.id(s.Text)
	case document.Value:
		p.raw(`<span class="v">`)
		p.text(s.Text)
		p.raw("</span>")
	case document.Mark:
		p.raw(`<span class="mark">`)
		p.text(s.Text)
		p.raw("</span>")
	case document.StepRef:
		p.stepLink(s.Step, s.Text)
	case document.FinishRef:
		p.anchor(s.Finish, s.Text)
	default:
		p.fail(fmt.Errorf("a text of the kind %q, which a page cannot show", s.Kind))
	}
}

// prose writes a plain text in which a number stays with what it counts (20 min,
// size 32), and a thing's number in one piece.
func (p *page) prose(s string) {
	for s != "" {
		word, rest, _ := strings.Cut(s, " ")
		joined := word
		if rest != "" {
			next, _, more := strings.Cut(rest, " ")
			bare := strings.TrimRight(next, ".,;:)")
			if startsWithDigit(word) || allDigits(bare) && (!more || bare != next) {
				joined = s[:len(word)+1+len(next)]
			}
		}
		if joined != word || strings.ContainsAny(word, "0123456789") && strings.Contains(word, "-") {
			p.raw(`<span class="v">`)
			p.text(joined)
			p.raw("</span>")
		} else {
			p.text(word)
		}
		if s = s[len(joined):]; s != "" {
			p.raw(" ")
			s = s[1:]
		}
	}
}

func startsWithDigit(s string) bool { return s != "" && s[0] >= '0' && s[0] <= '9' }

func allDigits(s string) bool {
	return s != "" && !strings.ContainsFunc(s, func(r rune) bool { return r < '0' || r > '9' })
}

// id writes the number of a thing, which is never broken.
func (p *page) id(number string) {
	p.raw(`<b class="id">`)
	p.text(number)
	p.raw("</b>")
}

// link writes a link to somewhere else, or its text alone where the address
// is of a scheme that could do more than lead there.
func (p *page) link(href, text string) {
	if !leadsAway(href) {
		p.text(text)
		return
	}
	p.raw("<a")
	p.attr("href", href)
	p.raw(` rel="noreferrer">`)
	p.text(text)
	p.raw("</a>")
}

// leadsAway holds for http, https and mailto addresses and for paths beside
// the page.
func leadsAway(href string) bool {
	if href == "" || strings.ContainsFunc(href, func(r rune) bool { return r <= ' ' || r == '\\' || r == '\uFFFD' || notCharacter(r) }) {
		return false
	}
	scheme, _, found := strings.Cut(href, ":")
	if !found || strings.ContainsAny(scheme, "/?#") {
		return !strings.HasPrefix(href, "//")
	}
	switch strings.ToLower(scheme) {
	case "http", "https", "mailto":
		return true
	}
	return false
}

func (p *page) stepLink(step int, text string) {
	p.raw(`<a href="#step-`)
	p.int(step)
	p.raw(`">`)
	p.text(text)
	p.raw("</a>")
}

// stepLinks lists steps by number.
func (p *page) stepLinks(steps []int) {
	for i, n := range steps {
		if i > 0 {
			p.raw(", ")
		}
		p.raw(`<a class="n" href="#step-`)
		p.int(n)
		p.raw(`">`)
		p.int(n)
		p.raw("</a>")
	}
}

func (p *page) anchor(id, text string) {
	p.raw("<a")
	p.attr("href", "#"+id)
	p.raw(">")
	p.text(text)
	p.raw("</a>")
}

// target writes where the work goes on.
func (p *page) target(t document.Target) {
	switch {
	case t.Step > 0:
		p.stepLink(t.Step, t.Text)
	case t.Finish != "":
		p.anchor(t.Finish, t.Text)
	default:
		p.text(t.Text)
	}
}

// thing writes a thing's title, detail and number.
func (p *page) thing(t *document.Thing) {
	p.text(t.Title)
	if t.Detail != "" {
		p.raw(", ")
		p.prose(t.Detail)
	}
	if t.Number != "" {
		p.raw(" ")
		p.id(t.Number)
	}
}

// counted writes how many of a thing.
func (p *page) counted(c document.Counted) {
	if c.Count > 1 {
		p.raw(`<span class="v">`)
		p.int(c.Count)
		p.raw("</span> ")
		if c.Thing.Plural != "" {
			p.text(p.w.Several(c.Thing, c.Count))
			if c.Thing.Number != "" {
				p.raw(" ")
				p.id(c.Thing.Number)
			}
			return
		}
	}
	p.thing(c.Thing)
}

func (p *page) countedList(list []document.Counted) {
	for i, c := range list {
		if i > 0 {
			p.raw(", ")
		}
		p.counted(c)
		if c.Only != "" {
			p.raw(" (")
			p.text(c.Only)
			p.raw(")")
		}
	}
}

// state writes a condition and the state it is in.
func (p *page) state(s document.State) {
	p.text(s.ConditionTitle)
	p.raw(" <strong>")
	p.text(s.StateTitle)
	p.raw("</strong>")
}

// members writes which members a value is for.
func (p *page) members(list []document.Chosen) {
	for i, m := range list {
		if i > 0 {
			p.raw(", ")
		}
		p.text(m.MemberTitle)
	}
}

// cases writes the answers or members of a branch.
func (p *page) cases(list []document.Member) {
	for i, m := range list {
		if i > 0 {
			p.raw(" ")
			p.text(p.w.Or)
			p.raw(" ")
		}
		p.text(m.Title)
	}
}

// limits writes limits, by member where they differ, each in an element of its
// own that the page can find for the member at hand.
func (p *page) limits(list []document.MemberLimits) {
	for _, m := range list {
		p.raw(`<span class="one"`)
		if len(m.Members) > 0 {
			p.memberData(m.Members)
			p.raw(`><span class="for">`)
			p.members(m.Members)
			p.text(p.w.Colon())
			p.raw("</span>")
		} else {
			p.raw(">")
		}
		p.spans(m.Limits.Text)
		p.raw("</span> ")
	}
}
