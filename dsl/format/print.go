package format

import (
	"strings"

	"github.com/mattn/go-runewidth"
)

// widths counts the columns of a text alike on every machine.
var widths = &runewidth.Condition{StrictEmojiNeutral: true}

func columns(s string) int { return widths.StringWidth(s) }

// pad fills a text with spaces up to a number of columns.
func pad(s string, width int) string { return s + strings.Repeat(" ", max(0, width-columns(s))) }

// A line is one line of the result before its comment has its place.
type line struct {
	indent, text string
	note         note
	blank        bool
}

// lines lays out the items of a block.
func lines(out []line, items []*item, indent string) []line {
	for n := 0; n < len(items); {
		group := together(items[n:])
		key, cells := measure(group)
		for _, i := range group {
			from := len(out)
			switch {
			case i.class == comment:
				out = append(out, line{indent: indent, text: i.note.text})
			case i.oneLine:
				out = append(out, line{indent: indent, text: oneLine(i, cells), note: i.closing})
			default:
				out = statement(out, i, indent, key, cells)
				if i.hasBlock {
					out = lines(out, i.block, indent+indentation)
					out = append(out, line{indent: indent, text: "}", note: i.closing})
				}
			}
			out[from].blank = i.blank
		}
		n += len(group)
	}
	return out
}

// together gives the items at the start of a list that share columns: up to a
// blank line, a block or an item of another sort. Comments between do not part
// them.
func together(items []*item) []*item {
	first := items[0]
	if first.class == comment || first.class != keyed && first.class != row && !first.oneLine {
		return items[:1]
	}
	n := 0
	for k, i := range items {
		switch {
		case k > 0 && i.blank:
			return items[:n]
		case i.class == comment:
			continue
		case first.oneLine:
			if !i.oneLine || i.words[0].Value != first.words[0].Value || len(i.words) != len(first.words) {
				return items[:n]
			}
		case i.class != first.class:
			return items[:n]
		}
		n = k + 1
		if i.hasBlock && !i.oneLine {
			return items[:n]
		}
	}
	return items[:n]
}

// measure gives the width of the key's column, and those of the cells.
func measure(group []*item) (key int, cells []int) {
	broken := false
	for _, i := range group {
		for _, w := range i.words {
			broken = broken || i.class == row && w.breaks
		}
	}
	for _, i := range group {
		if i.class == keyed || i.class == row {
			key = max(key, columns(join(i.words[:i.key])))
		}
		if i.class == row && broken || i.class != row && !i.oneLine {
			continue
		}
		for n, c := range split(i) {
			if n == len(cells) {
				cells = append(cells, 0)
			}
			cells[n] = max(cells[n], columns(c))
		}
	}
	for n := range cells {
		if w := asWritten(group, n); w > cells[n] && w <= cells[n]+gap {
			cells[n] = w
		}
	}
	return key, cells
}

// asWritten gives the width of a cell of declarations on one line, where the
// source has it alike in all of them; else 0. A column that lines up a little
// wider than it need be is the writer's choice.
func asWritten(group []*item, cell int) int {
	width, known := 0, 0
	for _, i := range group {
		if i.class == comment {
			continue
		}
		if !i.oneLine || cell+2 >= len(i.words) {
			return 0
		}
		w := i.words[cell+2].Pos.Column - i.words[cell+1].Pos.Column - gap
		if i.words[cell+2].Pos.Line != i.words[cell+1].Pos.Line || known > 0 && w != width {
			return 0
		}
		width = w
		known++
	}
	if known < 2 {
		return 0
	}
	return width
}

// split gives the cells of a row, commas included, or of the head of a
// declaration on one line.
func split(i *item) (cells []string) {
	if i.oneLine || i.class == thing {
		for _, w := range i.words[1:] {
			cells = append(cells, w.Value)
		}
		return cells
	}
	from := i.key
	for n := from; n < len(i.words); n++ {
		if is(i.words[n].Token, ",") || n == len(i.words)-1 {
			cells = append(cells, join(i.words[from:n+1]))
			from = n + 1
		}
	}
	return cells
}

// statement lays out the words of an item, over several lines where they
// break.
func statement(out []line, i *item, indent string, key int, cells []int) []line {
	var b strings.Builder
	deeper := indent + indentation + indentation
	words := i.words
	if i.key > 0 {
		head := join(words[:i.key])
		if words = words[i.key:]; len(words) > 0 || i.hasBlock {
			head = pad(head, key+gap)
		}
		b.WriteString(head)
		deeper = indent + strings.Repeat(" ", key+gap)
	}
	if i.class == row && cells != nil {
		list := split(i)
		for n, c := range list {
			if n < len(list)-1 {
				c = pad(c, cells[n]+1)
			}
			b.WriteString(c)
		}
		return append(out, line{indent: indent, text: b.String(), note: i.note})
	}
	at := indent
	for n, w := range words {
		if n > 0 && !is(w.Token, ",") && b.Len() > 0 && !words[n-1].breaks {
			b.WriteByte(' ')
		}
		b.WriteString(w.Value)
		if !w.breaks {
			continue
		}
		l := line{indent: at, text: b.String()}
		b.Reset()
		at = deeper
		if len(w.comments) > 0 {
			l.note = w.comments[0]
		}
		out = append(out, l)
		for _, c := range w.comments[min(1, len(w.comments)):] {
			out = append(out, line{indent: deeper, text: c.text})
		}
	}
	if i.hasBlock {
		b.WriteString(" {")
	}
	return append(out, line{indent: at, text: b.String(), note: i.note})
}

// join puts single spaces between words, none before a comma.
func join(words []word) string {
	var b strings.Builder
	for n, w := range words {
		if n > 0 && !is(w.Token, ",") {
			b.WriteByte(' ')
		}
		b.WriteString(w.Value)
	}
	return b.String()
}

// oneLine lays out a declaration on one line, the cells of its head at the
// widths given.
func oneLine(i *item, cells []int) string {
	var b strings.Builder
	b.WriteString(i.words[0].Value + " ")
	for n, c := range split(i) {
		if n < len(cells) {
			c = pad(c, cells[n])
		}
		b.WriteString(c + strings.Repeat(" ", gap))
	}
	b.WriteString("{ ")
	for n, p := range i.block {
		if n > 0 {
			b.WriteString(strings.Repeat(" ", gap))
		}
		b.WriteString(join(p.words))
	}
	if len(i.block) > 0 {
		b.WriteByte(' ')
	}
	b.WriteByte('}')
	return b.String()
}

// text writes the lines, each comment in its place: at its own distance where
// it stands alone, in a column where several lines in a row have one.
func text(list []line) string {
	var b strings.Builder
	column, until := 0, 0
	for n, l := range list {
		if n >= until && l.note.text != "" {
			column, until = 0, n
			for until < len(list) && list[until].note.text != "" && list[until].indent == l.indent && (until == n || !list[until].blank) {
				column = max(column, columns(list[until].text))
				until++
			}
			if until == n+1 {
				column = columns(l.text) + l.note.distance - gap
			}
		}
		if l.blank && n > 0 {
			b.WriteByte('\n')
		}
		b.WriteString(l.indent)
		if l.note.text != "" {
			b.WriteString(pad(l.text, column+gap))
			b.WriteString(l.note.text)
		} else {
			b.WriteString(l.text)
		}
		b.WriteByte('\n')
	}
	return b.String()
}
