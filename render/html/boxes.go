package html

import (
	"fmt"

	"benchproof/compiler/document"
)

// paperTurns is for how many turns a step has boxes on paper. Repeats within
// repeats multiply; the page makes further boxes when the work gets there.
const paperTurns = 24

// handOf writes the boxes of a step in the hand's column, once for each turn
// of the repeats around it.
func (p *page) handOf(s *document.Step) {
	if len(p.loops) == 0 {
		p.boxesOf(s, "")
		return
	}
	turns := make([]int, len(p.loops))
	for i := range turns {
		turns[i] = 1
		if p.loops[i].turns < 1 {
			return
		}
	}
	for n := 1; ; n++ {
		key := turnKey(turns)
		if n > paperTurns {
			p.raw(`<p class="turn-no more">`)
			p.text(p.w.Screen.FurtherTurns)
			p.raw("</p>")
			return
		}
		p.raw(`<div class="turn" data-turn="`)
		p.text(key)
		p.raw(`"><p class="turn-no">`)
		p.text(fill(p.w.Screen.Turn, "turn", key))
		p.raw("</p>")
		p.boxesOf(s, key)
		p.raw("</div>")
		i := len(turns) - 1
		for ; i >= 0; i-- {
			if turns[i]++; turns[i] <= p.loops[i].turns {
				break
			}
			turns[i] = 1
		}
		if i < 0 {
			return
		}
	}
}

// turnKey names a turn: "2", or "2.1" for the first turn of a repeat in the
// second turn of another.
func turnKey(turns []int) string {
	key := ""
	for i, n := range turns {
		if i > 0 {
			key += "."
		}
		key += itoa(n)
	}
	return key
}

// boxesOf writes the boxes of one turn.
func (p *page) boxesOf(s *document.Step, turn string) {
	w := p.w
	for _, b := range s.Boxes {
		id := s.BoxID(b, turn)
		switch b := b.(type) {
		case *document.Tick:
			p.tick(id, id, b.Label)
		case *document.ReadingBox:
			p.reading(id, b.Reading)
		case *document.RoundBox:
			p.round(id, b)
		case *document.AnswerBox:
			p.answer(id, b, turn != "")
		case *document.HoldBox:
			p.raw(`<div class="hold"`)
			p.attr("data-role", b.Who)
			p.raw(`><p class="what">`)
			p.text(w.HoldPoint)
			p.raw("</p>")
			p.tick(id, id, b.What+" – "+b.Who)
			p.write(id+"-name", id+":name", w.AcceptedBy+" ("+w.Name+")")
			p.raw("</div>")
		case *document.RecordBox:
			p.write(id, b.Name, b.Label)
		case *document.WaitBox:
			p.wait(id, b)
		case *document.StateBox:
			p.raw(`<div class="made" data-condition="`)
			p.text(b.State.Condition)
			p.raw(`"`)
			p.attr("data-state-of", b.State.ConditionTitle+" "+b.State.StateTitle)
			if b.With != nil {
				p.attr("data-with", b.With.Title+" "+b.With.Number)
			}
			p.raw(">")
			p.tick(id, id, b.Label)
			p.raw("</div>")
		default:
			p.fail(fmt.Errorf("step %d: a box of the kind %T, which a page cannot show", s.Number, b))
		}
	}
}

// round writes the tick of a torque round with its value, by member where
// they differ.
func (p *page) round(id string, b *document.RoundBox) {
	p.raw(`<label class="tick round"><input type="checkbox"`)
	p.attr("id", id)
	p.attr("name", id)
	p.raw("><span>")
	p.text(b.Label)
	p.text(p.w.Colon())
	for _, v := range b.Values {
		if len(v.Members) > 0 {
			p.raw(`<span class="one"`)
			p.memberData(v.Members)
			p.raw(`><span class="for">`)
			p.members(v.Members)
			p.text(p.w.Colon())
			p.raw(`</span><span class="torque">`)
			p.prose(v.Text)
			p.raw("</span></span> ")
		} else {
			p.raw(`<span class="torque">`)
			p.prose(v.Text)
			p.raw("</span>")
		}
	}
	p.raw("</span></label>")
}

// write writes a line to write on.
func (p *page) write(id, name, label string) {
	p.raw(`<label class="line"><span>`)
	p.text(label)
	p.raw(`</span><input type="text" autocomplete="off" maxlength="2000"`)
	p.attr("id", id)
	p.attr("name", name)
	p.raw("></label>")
}

func (p *page) reading(box string, r *document.Reading) {
	p.raw(`<div class="reading"`)
	p.attr("id", box)
	p.attr("data-reading", r.Name)
	if r.Instrument != nil {
		p.attr("data-instrument", r.Instrument.Number)
	}
	p.raw(` role="group"`)
	p.attr("aria-label", r.Title)
	p.raw(`><p class="what">`)
	p.text(r.Title)
	p.raw(`</p><div class="cells`)
	if r.Boxes > 1 {
		p.raw(" many")
	}
	p.raw(`">`)
	for i := 1; i <= max(1, r.Boxes); i++ {
		p.raw(`<label class="cell"><span class="away">`)
		p.text(r.Title)
		name := r.Name
		id := box + "-" + itoa(i)
		if r.Boxes > 1 {
			name += ":" + itoa(i)
			p.raw(" ")
			p.int(i)
		}
		p.raw(`</span><input type="text" inputmode="decimal" autocomplete="off"`)
		p.attr("id", id)
		p.attr("name", name)
		p.raw(` aria-describedby="`)
		p.b = appendText(p.b, box)
		p.raw(`-say"><span class="unit">`)
		if r.Boxes > 1 || r.ScaleText == "" {
			p.text(r.Unit)
		} else {
			p.text(r.ScaleText)
		}
		p.raw("</span></label>")
	}
	p.raw("</div>")
	if r.Boxes > 1 {
		p.raw(`<div class="cells one"><label class="cell result"><span class="name">`)
		p.text(p.ofWord(r.Of))
		p.raw(`</span><output></output><span class="unit">`)
		if r.ScaleText != "" {
			p.text(r.ScaleText)
		} else {
			p.text(r.Unit)
		}
		p.raw("</span></label></div>")
	}
	if len(r.Limits) > 0 {
		p.raw(`<p class="good lim">`)
		p.limits(r.Limits)
		p.raw("</p>")
	}
	if r.Instrument != nil {
		p.raw(`<p class="hint">`)
		p.text(p.w.Instrument)
		p.raw(" ")
		p.id(r.Instrument.Number)
		if r.RangeText != "" {
			p.raw(", ")
			p.prose(r.RangeText)
		}
		p.raw("</p>")
	}
	p.raw(`<p class="say"`)
	p.attr("id", box+"-say")
	p.raw("></p></div>")
}

// ofWord is the word for which of several takings counts.
func (p *page) ofWord(of string) string {
	switch of {
	case "smallest":
		return p.w.Smallest
	case "largest":
		return p.w.Largest
	case "mean":
		return p.w.Mean
	case "":
		return ""
	}
	p.fail(fmt.Errorf("a reading that is the %q of several, which is not smallest, largest or mean", of))
	return of
}

func (p *page) answer(box string, a *document.AnswerBox, again bool) {
	// Where a question is put more than once its answers must not undo each
	// other: radio inputs of one name belong together within a form.
	own := p.asked[a.Name] > 1 || again
	if own {
		p.raw("<form>")
	}
	p.raw(`<fieldset class="choice" data-box`)
	p.attr("id", box)
	p.raw("><legend>")
	p.text(a.Question)
	p.raw("</legend>")
	for i, m := range a.Answers {
		p.radio(a.Name, m.Name, box, i, m.Title)
	}
	p.raw(`<p class="say"></p></fieldset>`)
	if own {
		p.raw("</form>")
	}
}

func (p *page) wait(id string, b *document.WaitBox) {
	p.raw(`<div class="wait"`)
	p.attr("data-seconds", b.Seconds)
	p.attr("data-text", b.Text)
	p.raw(">")
	p.tick(id, id, b.Label)
	p.raw(`<button type="button" hidden></button><p class="clock" role="timer" hidden></p></div>`)
}
