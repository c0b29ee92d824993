package pdf

import (
	"strings"
	"unicode"
	"unicode/utf8"
)

// A run is text of one face on one line, at x from the left of its line.
type run struct {
	x, width float64
	text     string
	// actual is what stands in the document where text is a replacement.
	actual string
	face   faceID
	grey   bool
	to     *target
	late   *late
}

// A line is what fits between two edges.
type line struct {
	runs  []run
	width float64 // without the space at its end
}

// A frag is a stretch of a piece in one face, inside one word.
type frag struct {
	piece, start, end int
	face              faceID
	missing           bool
	width, tail       int // in thousandths of the type size; tail is the space behind a word
}

// A word is what stands between two places where a line may break.
type word struct {
	first, end int // frags
	width      int
	space      int // the width of the space behind it
}

// A breaker turns pieces into lines. It keeps its buffers, so one breaker
// serves one document.
type breaker struct {
	frags   []frag
	words   []word
	missing *missingRunes
}

// break breaks pieces into lines of a width. First fit, ragged right: on a
// sheet read from a distance even word spaces count for more than an even
// edge, and words are never divided by hyphens. There is always at least one
// line.
func (b *breaker) lines(pieces []piece, size, width float64) []line {
	limit := int(width * 1000 / size)
	b.cut(pieces)
	b.shorten(pieces, limit)
	var out []line
	for i := 0; i < len(b.words); {
		end, w := i+1, b.words[i].width
		for end < len(b.words) && w+b.words[end-1].space+b.words[end].width <= limit {
			w += b.words[end-1].space + b.words[end].width
			end++
		}
		out = append(out, b.line(pieces, b.words[i].first, b.words[end-1].end, w, size))
		i = end
	}
	if out == nil {
		out = []line{{}}
	}
	return out
}

// cut divides pieces into words. The spaces behind a word belong to its last
// frag, so that text copied out of the file keeps its words apart.
func (b *breaker) cut(pieces []piece) {
	b.frags, b.words = b.frags[:0], b.words[:0]
	open := false // a word is open
	var w word
	spaced := false // spaces have been seen behind the open word
	for pi := range pieces {
		p := &pieces[pi]
		var f frag
		started := false
		flush := func() {
			if started && f.end > f.start {
				b.frags = append(b.frags, f)
			}
			started = false
		}
		for i := 0; i < len(p.text); {
			r, n := rune(p.text[i]), 1
			if r >= utf8.RuneSelf {
				r, n = utf8.DecodeRuneInString(p.text[i:])
			}
			if isSpace(r) && !p.whole && (!open || spaced || !b.glued(pieces, pi, i, i+n)) {
				// A breaking space: it closes the word and is the tail of its frag.
				if open {
					fc, _, sw, _ := choose(p.style, ' ')
					if !spaced {
						if started && f.face == fc && !f.missing {
							f.end = i + n
						} else {
							flush()
							f, started = frag{piece: pi, start: i, end: i + n, face: fc}, true
						}
						f.tail = int(sw)
						w.space = int(sw)
						spaced = true
					}
				}
				i += n
				continue
			}
			if spaced { // the first letter of the next word
				flush()
				w.end = len(b.frags)
				b.words = append(b.words, w)
				w, open, spaced = word{first: len(b.frags)}, false, false
			}
			if isSpace(r) {
				r = ' '
			}
			fc, _, cw, ok := choose(p.style, r)
			if !ok {
				b.missing.add(r, p.text)
			}
			if !started || f.face != fc || f.missing || !ok {
				flush()
				f, started = frag{piece: pi, start: i, face: fc, missing: !ok}, true
			}
			if !open {
				open = true
				w.first = len(b.frags)
			}
			f.end = i + n
			f.width += int(cw)
			w.width += int(cw)
			i += n
		}
		flush()
	}
	if open || spaced {
		w.end = len(b.frags)
		b.words = append(b.words, w)
	}
}

// glued says whether the space at from..to of a piece must not be broken at: a
// number and its unit, a factor and its sign stay together.
func (b *breaker) glued(pieces []piece, pi, from, to int) bool {
	before := lastWord(pieces, pi, from)
	after := firstWord(pieces, pi, to)
	if before == "" || after == "" {
		return false
	}
	if before == "×" || after == "×" || before == "±" {
		return true
	}
	last, _ := utf8.DecodeLastRuneInString(before)
	if !unicode.IsDigit(last) && last != '%' {
		return false
	}
	return units[strings.TrimRight(after, ".,;:)*")]
}

// lastWord is the text before a place, back to a space; it does not leave the
// piece unless the piece begins there.
func lastWord(pieces []piece, pi, at int) string {
	t := pieces[pi].text[:at]
	if t == "" && pi > 0 {
		t = pieces[pi-1].text
	}
	return t[strings.LastIndexAny(t, " \u00a0")+1:]
}

func firstWord(pieces []piece, pi, at int) string {
	t := pieces[pi].text[at:]
	if t == "" && pi+1 < len(pieces) {
		t = pieces[pi+1].text
	}
	if i := strings.IndexAny(t, " \u00a0"); i >= 0 {
		t = t[:i]
	}
	return t
}

// isMark is true for marks that belong to the letter before them.
func isMark(r rune) bool { return unicode.Is(unicode.Mn, r) || unicode.Is(unicode.Me, r) }

// units are the symbols that stay with the number before them where a writer
// put a quantity into plain text.
var units = map[string]bool{}

func init() {
	for _, u := range strings.Fields(`mm cm m km µm μm um nm in inch ft yd mil thou °C °F K ° % ‰ N kN MN mN N·m N.m kN·m cN·m lbf·ft lbf·in
		Pa hPa kPa MPa GPa bar mbar psi s ms min h d g kg mg t lb oz l L ml mL m² mm² cm² m³ mm³ cm³ l/s l/min m³/h m/s m/min mm/s mm/min
		r/min rpm 1/min Hz kHz V mV kV A mA W kW MW J kJ Ω kΩ MΩ GΩ F µF ohm kohm Mohm dB lx Ra Rz HB HRC times`) {
		units[u] = true
	}
}

func isSpace(r rune) bool {
	return r == ' ' || r == '\n' || r == '\t' || r == '\r' || r == '\u2003' || r == '\u2002'
}

// shorten cuts words that are wider than a line. It prefers a place behind a
// space, or behind a sign that divides if it stands in the last third of the
// line, and never parts a mark from its letter.
func (b *breaker) shorten(pieces []piece, limit int) {
	for i := range b.words {
		if b.words[i].width > limit {
			b.shortenAll(pieces, limit)
			return
		}
	}
}

func (b *breaker) shortenAll(pieces []piece, limit int) {
	frags, words := b.frags, b.words
	b.frags, b.words = nil, nil
	for _, w := range words {
		if w.width <= limit {
			nw := word{first: len(b.frags), width: w.width, space: w.space}
			b.frags = append(b.frags, frags[w.first:w.end]...)
			nw.end = len(b.frags)
			b.words = append(b.words, nw)
			continue
		}
		b.chop(pieces, frags[w.first:w.end], w.space, limit)
	}
}

// chop lays the letters of a long word out one by one and closes a part of it
// whenever the line is full.
func (b *breaker) chop(pieces []piece, frags []frag, space, limit int) {
	part := word{first: len(b.frags)}
	var divide struct{ frags, end, width, fragWidth, least int } // the last good place
	divide.frags = -1
	for k, f := range frags {
		text := pieces[f.piece].text
		cur := frag{piece: f.piece, start: f.start, end: f.start, face: f.face, missing: f.missing}
		for i := f.start; i < f.end; {
			r, n := utf8.DecodeRuneInString(text[i:])
			cw := 0
			if !isSpace(r) || pieces[f.piece].whole || i+n < f.end {
				_, _, w, _ := choose(pieces[f.piece].style, r)
				cw = int(w)
			}
			if part.width > 0 && !isMark(r) && part.width+cw+marks(pieces, frags[k:], i+n) > limit {
				if divide.frags >= 0 && divide.width*3 > limit*divide.least && divide.frags == len(b.frags) {
					// Go back to the divider: it lies in the frag being filled.
					head := cur
					head.end, head.width = divide.end, divide.fragWidth
					rest := cur
					rest.start, rest.width = divide.end, cur.width-divide.fragWidth
					b.frags = append(b.frags, head)
					part.end, part.width = len(b.frags), divide.width
					b.words = append(b.words, part)
					part = word{first: len(b.frags), width: rest.width}
					cur = rest
				} else {
					if cur.end > cur.start {
						b.frags = append(b.frags, cur)
					}
					part.end = len(b.frags)
					b.words = append(b.words, part)
					part = word{first: len(b.frags)}
					cur = frag{piece: f.piece, start: i, end: i, face: f.face, missing: f.missing}
				}
				divide.frags = -1
			}
			cur.end = i + n
			cur.width += cw
			part.width += cw
			i += n
			if divides(text, i, r) {
				divide.frags, divide.end, divide.width, divide.fragWidth, divide.least = len(b.frags), i, part.width, cur.width, 2
				if isSpace(r) {
					divide.least = 1
				}
			}
		}
		if cur.end > cur.start {
			cur.tail = f.tail
			b.frags = append(b.frags, cur)
		}
	}
	part.end, part.space = len(b.frags), space
	b.words = append(b.words, part)
}

// marks gives the width of the marks that stand behind byte i of the first frag:
// they go where their letter goes.
func marks(pieces []piece, frags []frag, i int) (width int) {
	for k, f := range frags {
		if k > 0 {
			i = f.start
		}
		for i < f.end {
			r, n := utf8.DecodeRuneInString(pieces[f.piece].text[i:])
			if !isMark(r) {
				return width
			}
			_, _, w, _ := choose(pieces[f.piece].style, r)
			width += int(w)
			i += n
		}
	}
	return width
}

// divides says whether a long word may go on in the next line behind r, which
// ends at byte i: never inside a number.
func divides(text string, i int, r rune) bool {
	if (r == '.' || r == ',') && i < len(text) && text[i] >= '0' && text[i] <= '9' {
		return false
	}
	return strings.ContainsRune("/-_.,;:+=&?)", r) || isSpace(r)
}

// line makes the runs of the frags first..end.
func (b *breaker) line(pieces []piece, first, end, width int, size float64) line {
	out := line{width: float64(width) * size / 1000}
	x := 0
	for i := first; i < end; {
		f := b.frags[i]
		j, w := i+1, f.width+f.tail
		// Frags that follow each other in one piece and face are one run.
		for j < end && !f.missing && b.frags[j].piece == f.piece && b.frags[j].face == f.face && !b.frags[j].missing &&
			b.frags[j].start == b.frags[j-1].end {
			w += b.frags[j].width + b.frags[j].tail
			j++
		}
		p := pieces[f.piece]
		r := run{x: float64(x) * size / 1000, width: float64(w) * size / 1000, text: p.text[f.start:b.frags[j-1].end],
			face: f.face, grey: p.grey, to: p.to, late: p.late}
		if f.missing {
			r.actual, r.text = r.text, strings.Repeat(string(replacement), utf8.RuneCountInString(strings.TrimRight(r.text, " ")))
		}
		if strings.ContainsAny(r.text, "\n\t\r") {
			r.text = spaces.Replace(r.text)
		}
		out.runs = append(out.runs, r)
		x += w
		i = j
	}
	return out
}

var spaces = strings.NewReplacer("\n", " ", "\t", " ", "\r", " ", "\u2002", " ", "\u2003", " ")

// missingRunes counts characters that could not be shown.
type missingRunes struct {
	order []rune
	found map[rune]*Missing
	notes []Missing
}

func (m *missingRunes) add(r rune, text string) {
	if m.found == nil {
		m.found = map[rune]*Missing{}
	}
	f := m.found[r]
	if f == nil {
		f = &Missing{Rune: r, Text: text, Reason: "no font has it"}
		if needsShaping(r) {
			f.Reason = "its script needs shaping, which is not done here"
		}
		m.found[r] = f
		m.order = append(m.order, r)
	}
	f.Count++
}

// note adds something else that is not shown as it should be.
func (m *missingRunes) note(text, reason string) {
	m.notes = append(m.notes, Missing{Text: text, Reason: reason, Count: 1})
}

// list returns the missing characters in the order they were met.
func (m *missingRunes) list() []Missing {
	var out []Missing
	for _, r := range m.order {
		out = append(out, *m.found[r])
	}
	return append(out, m.notes...)
}
