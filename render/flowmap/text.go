package flowmap

import (
	"math"
	"slices"
	"strings"
	"unicode"
	"unicode/utf8"

	"benchproof/compiler/document"
)

// typist wraps the texts of the map and sizes the boxes around them.
type typist struct {
	size    float64
	measure func(string, float64) float64
	widths  map[string]float64
}

// Room in and around text, as multiples of the type size.
const (
	leading      = 1.2  // from base line to base line
	ascent       = 0.72 // cap height: what a line of text looks as high as
	boxText      = 7.6  // widest text in a rectangle before it wraps
	labelText    = 7.6  // widest label of a line before it wraps
	widestWord   = 14.0 // a word is broken only beyond this
	boxSide      = 0.6  // white left and right of the text in a rectangle
	boxRise      = 0.65 // white above and below it
	labelGap     = 3.5  // points between a label and its line
	leastWidth   = 58.0 // points: small boxes still make a calm row
	leastHeight  = 30.0
	mostDiamond  = 15.0
	diamondWhite = 4.0
)

func (t *typist) width(s string) float64 {
	w, ok := t.widths[s]
	if !ok {
		w = t.measure(s, t.size)
		if !(w >= 0) || math.IsInf(w, 0) {
			w = float64(utf8.RuneCountInString(s)) * t.size / 2
		}
		t.widths[s] = w
	}
	return w
}

// laneHeight is the least height of one branch beside another.
func (t *typist) laneHeight() float64 { return t.lineHeight() + 2*boxRise*t.size + laneGap }

func (t *typist) lineHeight() float64 { return t.size * leading }

// block is the size of wrapped lines.
func (t *typist) block(lines []string) (w, h float64) {
	for _, l := range lines {
		w = max(w, t.width(l))
	}
	if len(lines) > 0 {
		h = float64(len(lines)-1)*t.lineHeight() + t.size*ascent
	}
	return w, h
}

func (t *typist) label(s string) label {
	lines := t.wrap(s, labelText*t.size)
	w, h := t.block(lines)
	return label{lines, w, h}
}

func (t *typist) node(n document.MapNode) node {
	out := node{id: n.ID}
	switch n.Kind {
	case document.MapDecision, document.MapLoop:
		out.kind = Decision
	case document.MapFinish:
		out.kind = Terminator
		out.serviceable = n.Outcome == "serviceable"
	default:
		out.kind = Process
	}
	if out.kind == Decision {
		t.diamond(&out, n.Label, n.Detail)
		return out
	}
	out.lines = t.wrap(n.Label, boxText*t.size)
	if n.Detail != "" {
		out.lines = append(out.lines, t.wrap(n.Detail, boxText*t.size)...)
	}
	w, h := t.block(out.lines)
	out.w, out.h = max(leastWidth, w+2*boxSide*t.size), max(leastHeight, h+2*boxRise*t.size)
	if out.kind == Terminator {
		out.h = max(h+2*boxRise*t.size, 0.85*leastHeight)
		// The round ends take a third of their radius from the text.
		out.w = max(leastWidth, w+2*boxSide*t.size+out.h/3)
	}
	return out
}

// diamond wraps the text of a decision so that its diamond is smallest. A line
// whose outer edge is y from the middle fits where w/W + 2y/H is at most 1.
func (t *typist) diamond(n *node, text, detail string) {
	n.kind = Decision
	best := math.Inf(1)
	words, more := t.words(text), t.words(detail)
	var before []string
	for room := 4.0; room <= mostDiamond; room++ {
		lines := append(t.wrapWords(words, room*t.size), t.wrapWords(more, room*t.size)...)
		if slices.Equal(lines, before) {
			continue // the same diamond again
		}
		before = lines
		_, height := t.block(lines)
		for h := height + 1.6*t.size; h <= height+5*t.size; h += t.size * 0.2 {
			h := max(h, 1.3*leastHeight)
			w := 0.0
			for i, l := range lines {
				top := math.Abs(float64(i)*t.lineHeight() - height/2)
				bottom := math.Abs(float64(i)*t.lineHeight() + ascent*t.size - height/2)
				w = max(w, (t.width(l)+2*diamondWhite)/(1-2*max(top, bottom)/h))
			}
			w = max(w, 1.4*h, leastWidth)
			// A row has less room along than up and down.
			if cost := w * w * h; cost < best-1e-9 {
				best, n.lines, n.w, n.h = cost, lines, w, h
			}
		}
	}
}

// again is the second diamond of a decision with many ways out.
func (t *typist) again(n node) node {
	text := "… " + strings.TrimPrefix(strings.Join(n.lines, " "), "… ")
	second := node{id: n.id}
	t.diamond(&second, text, "")
	return second
}

// wrap breaks a text into as few lines as fit the width, of lengths as even as
// may be. A number stays with its unit; a word longer than widestWord is
// broken where it must be.
func (t *typist) wrap(text string, width float64) []string {
	return t.wrapWords(t.words(text), width)
}

// spaced is a text with one space between its words: a line of it is a stretch
// of it, so that trying many costs no memory.
type spaced struct {
	text string
	ends []int // behind each word
}

func (t *typist) wrapWords(words spaced, width float64) []string {
	if len(words.ends) == 0 {
		return nil
	}
	lines := t.fill(nil, words, width)
	var spare []string
	// Tighten until one more line would be needed.
	for {
		widest, _ := t.block(lines)
		next := t.fill(spare, words, min(widest, width)-0.01)
		if w, _ := t.block(next); len(next) > len(lines) || w >= widest {
			return lines
		}
		lines, spare = next, lines[:0]
	}
}

// fill sets words greedily, and adds the lines to those given.
func (t *typist) fill(lines []string, words spaced, width float64) []string {
	start := 0
	for i, end := range words.ends[1:] {
		if t.width(words.text[start:end]) > width {
			lines = append(lines, words.text[start:words.ends[i]])
			start = words.ends[i] + 1
		}
	}
	return append(lines, words.text[start:])
}

// words splits a text at its spaces, except between a number and what follows
// it, and breaks words that are too long for any box.
func (t *typist) words(text string) spaced {
	var out []string
	glue := false
	for _, w := range strings.FieldsFunc(text, func(r rune) bool { return r != '\u00a0' && r != '\u202f' && unicode.IsSpace(r) }) {
		if glue && utf8.RuneCountInString(w) <= 5 {
			out[len(out)-1] += "\u00a0" + w
			glue = false
		} else {
			out = append(out, w)
			last, _ := utf8.DecodeLastRuneInString(w)
			glue = unicode.IsDigit(last)
		}
	}
	most := widestWord * t.size
	var fitting []string
	for _, w := range out {
		if t.width(w) <= most {
			fitting = append(fitting, w)
			continue
		}
		start, sum := 0, 0.0
		for i, r := range w {
			rw := t.width(string(r))
			if sum+rw > most && i > start {
				fitting = append(fitting, w[start:i])
				start, sum = i, 0
			}
			sum += rw
		}
		fitting = append(fitting, w[start:])
	}
	joined := spaced{text: strings.Join(fitting, " ")}
	end := -1
	for _, w := range fitting {
		end += 1 + len(w)
		joined.ends = append(joined.ends, end)
	}
	return joined
}
