package compared

import (
	"io"
	"strings"

	"github.com/mattn/go-runewidth"

	"benchproof/compiler/compare"
	"benchproof/dsl/message"
)

// TextOptions say how a report is written for a person.
type TextOptions struct {
	// Colour writes the escape sequences of ECMA-48. What a colour says, a word
	// says too.
	Colour bool
	// Width is the number of columns of the terminal; zero: nothing is wrapped.
	Width int
}

const leastWidth = 40

type style string

const (
	plainStyle style = ""
	strong     style = "\x1b[1m"
	quiet      style = "\x1b[2m"
	added      style = "\x1b[32m"
	gone       style = "\x1b[31m"
	altered    style = "\x1b[33m"
	reset            = "\x1b[0m"
)

// widths counts columns alike on every machine.
var widths = &runewidth.Condition{EastAsianWidth: false, StrictEmojiNeutral: true}

// A stretch is text in one style.
type stretch struct {
	style style
	text  string
}

type textWriter struct {
	o TextOptions
	b strings.Builder
}

// Text writes a report for a terminal or a pipe.
func Text(w io.Writer, r *compare.Report, o TextOptions) error {
	if o.Width > 0 && o.Width < leastWidth {
		o.Width = leastWidth
	}
	t := &textWriter{o: o}
	t.report(r)
	_, err := io.WriteString(w, t.b.String())
	return err
}

func (t *textWriter) report(r *compare.Report) {
	for _, s := range warnings(r) {
		t.line(0, 9, stretch{altered, "note     "}, stretch{plainStyle, s})
	}
	if r.Empty() && len(r.NotCompared) == 0 {
		return
	}
	for _, d := range r.Shared {
		t.blank()
		t.declaration(d)
	}
	for _, p := range r.Procedures {
		t.blank()
		t.procedure(r, p)
	}
	t.blank()
	t.line(0, 0, stretch{plainStyle, verdict(r)})
}

// blank parts blocks.
func (t *textWriter) blank() {
	if t.b.Len() > 0 {
		t.b.WriteByte('\n')
	}
}

func (t *textWriter) declaration(d compare.Declaration) {
	head := d.Sort
	if d.Name != "" {
		head += " " + d.Name
	}
	list := []stretch{{strong, head}}
	if d.Title != "" && d.Title != d.Name {
		list = append(list, stretch{plainStyle, "  " + d.Title})
	}
	if d.Change == compare.Added || d.Change == compare.Gone {
		list = append(list, stretch{styleOf(d.Change), "  " + string(d.Change)})
	}
	t.line(0, 4, list...)
	t.differences(d.Differences)
	label, rest, _ := strings.Cut(touches(d), " ")
	t.line(2, 11, stretch{quiet, label + "  " + rest})
}

func (t *textWriter) procedure(r *compare.Report, p compare.Procedure) {
	list := []stretch{{strong, "procedure " + p.Name}, {plainStyle, "  " + procedureTitle(p)}}
	if p.Change == compare.Added || p.Change == compare.Gone {
		list = append(list, stretch{styleOf(p.Change), "  " + string(p.Change)})
	}
	t.line(0, 4, list...)
	t.differences(p.Differences)
	if len(p.Shared) > 0 {
		var names []string
		for _, i := range p.Shared {
			names = append(names, strings.TrimSpace(r.Shared[i].Sort+" "+r.Shared[i].Name))
		}
		t.line(2, 11, stretch{quiet, "shares   "}, stretch{plainStyle, strings.Join(names, ", ") + " (above)"})
	}
	if p.Paths != nil {
		t.paths(p.Paths)
	}
}

func (t *textWriter) differences(list []compare.Difference) {
	before := ""
	for _, g := range grouped(list) {
		indent := 2
		again := heading(g.place) == "" && around(g.place) == before
		before = ""
		if heading(g.place) == "" {
			before = around(g.place)
		}
		if h := heading(g.place); h != "" {
			line := []stretch{{strong, h}}
			if a := around(g.place); a != "" {
				line = append(line, stretch{quiet, "  " + a})
			}
			t.line(2, 4, line...)
			if g.place.Text != "" && !says(g) {
				t.line(4, 4, stretch{quiet, "“" + g.place.Text + "”"})
			}
			indent = 4
		} else if a := around(g.place); a != "" {
			if !again {
				t.line(2, 4, stretch{quiet, a})
			}
			indent = 4
		}
		for _, d := range g.list {
			t.difference(indent, g, d)
		}
	}
}

// says tells that a group gives the text of its place anyway.
func says(g group) bool {
	for _, d := range g.list {
		if d.Kind == compare.KindStep && d.Change != compare.Moved {
			return true
		}
	}
	return false
}

func styleOf(c compare.Change) style {
	switch c {
	case compare.Added:
		return added
	case compare.Gone:
		return gone
	}
	return altered
}

func (t *textWriter) difference(indent int, g group, d compare.Difference) {
	label := string(d.Change) + strings.Repeat(" ", max(1, 9-len(d.Change)))
	head := []stretch{{styleOf(d.Change), label}, {plainStyle, matter(d)}}
	if g.place != nil && heading(g.place) == "" && g.place.Text != "" && both(d) {
		head = append(head, stretch{quiet, " of “" + g.place.Text + "”"})
	}
	if both(d) && len(d.Words) == 0 && len(d.Old)+len(d.New) < 60 && d.Old != "" && d.New != "" {
		t.line(indent, indent+9, append(head, stretch{plainStyle, ": was "}, stretch{gone, d.Old}, stretch{plainStyle, ", now "}, stretch{added, d.New})...)
		return
	}
	t.line(indent, indent+9, head...)
	if both(d) {
		old, new := wordsOf(d)
		t.words(indent+9, "was  ", old, gone, len(d.Words) > 0)
		t.words(indent+9, "now  ", new, added, len(d.Words) > 0)
	}
}

// words writes a text; the words that differ stand between ‹ and ›.
func (t *textWriter) words(indent int, label string, list []compare.Word, s style, marks bool) {
	line := []stretch{{quiet, label}}
	for _, w := range list {
		text := w.Text
		if w.Change == "" {
			line = append(line, stretch{plainStyle, text})
			continue
		}
		inner := strings.TrimSpace(text)
		before, after, _ := strings.Cut(text, inner)
		if marks {
			inner = "‹" + inner + "›"
		}
		line = append(line, stretch{plainStyle, before}, stretch{s, inner}, stretch{plainStyle, after})
	}
	t.line(indent, indent+5, line...)
}

func (t *textWriter) paths(p *compare.Paths) {
	for _, x := range p.Partings {
		t.line(2, 11, stretch{altered, "behaves  "}, stretch{plainStyle, when(x)})
		old, new, differ := finishes(x)
		if differ {
			t.line(11, 16, stretch{quiet, "was  "}, stretch{gone, old})
			t.line(11, 16, stretch{quiet, "now  "}, stretch{added, new})
		} else {
			t.line(11, 16, stretch{quiet, "both "}, stretch{plainStyle, old})
		}
		for _, e := range effects(x) {
			for i, c := range e.clauses() {
				label := ""
				if i == 0 {
					label = e.label
				}
				t.line(11, 21, stretch{quiet, label + strings.Repeat(" ", 10-len(label))}, stretch{plainStyle, c})
			}
		}
	}
	if p.More {
		t.line(2, 11, stretch{altered, "behaves  "}, stretch{plainStyle, "otherwise for further inputs, which are not listed"})
	}
	for _, b := range p.Bounds {
		t.line(2, 11, stretch{altered, "note     "}, stretch{plainStyle, b})
	}
}

// line writes stretches, wrapped with a hanging indent where there is a width.
func (t *textWriter) line(indent, hang int, list ...stretch) {
	at := indent
	t.b.WriteString(strings.Repeat(" ", indent))
	fresh := true
	var open style
	turn := func(s style) {
		if !t.o.Colour || s == open {
			return
		}
		if open != plainStyle {
			t.b.WriteString(reset)
		}
		t.b.WriteString(string(s))
		open = s
	}
	space := 0
	put := func(s style, piece string) {
		n := widths.StringWidth(piece)
		if t.o.Width > 0 && !fresh && at+space+n > t.o.Width {
			turn(plainStyle)
			t.b.WriteString("\n" + strings.Repeat(" ", hang))
			at, space, fresh = hang, 0, true
		}
		if space > 0 {
			t.b.WriteString(strings.Repeat(" ", space))
			at += space
			space = 0
		}
		turn(s)
		t.b.WriteString(piece)
		at += n
		fresh = false
	}
	// Pieces that no space parts stay together.
	type part struct {
		s    style
		text string
	}
	var run []part
	flush := func() {
		if len(run) == 0 {
			return
		}
		n := 0
		for _, p := range run {
			n += widths.StringWidth(p.text)
		}
		if t.o.Width > 0 && !fresh && at+space+n > t.o.Width {
			turn(plainStyle)
			t.b.WriteString("\n" + strings.Repeat(" ", hang))
			at, space, fresh = hang, 0, true
		}
		for _, p := range run {
			put(p.s, p.text)
		}
		run = run[:0]
	}
	for _, s := range list {
		text := message.Printable(s.text)
		for text != "" {
			i := strings.IndexByte(text, ' ')
			switch {
			case i < 0:
				run = append(run, part{s.style, text})
				text = ""
			case i > 0:
				run = append(run, part{s.style, text[:i]})
				text = text[i:]
			default:
				flush()
				space++
				text = text[1:]
			}
		}
	}
	flush()
	turn(plainStyle)
	t.b.WriteByte('\n')
}
