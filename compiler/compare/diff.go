package compare

import "strings"

// pairFacts gives pairs of places of facts with the same id, and of the only one
// of a group that went and the only one that came, in the order of
// the new list; -1 where one side has none.
func pairFacts(old, new []fact) [][2]int {
	var out [][2]int
	used := make([]bool, len(old))
	i := 0
	gone := func(until int) {
		for ; i < until; i++ {
			if !used[i] {
				out = append(out, [2]int{i, -1})
				used[i] = true
			}
		}
	}
	var partner []int
	for _, f := range new {
		at := -1
		for k, o := range old {
			if !used[k] && o.id == f.id {
				at = k
				used[k] = true
				break
			}
		}
		partner = append(partner, at)
	}
	alone := func(group string, facts []fact, free func(int) bool) int {
		at := -1
		for k, f := range facts {
			if f.group == group && free(k) {
				if at >= 0 {
					return -1
				}
				at = k
			}
		}
		return at
	}
	for j, f := range new {
		if f.group == "" || partner[j] >= 0 || alone(f.group, new, func(k int) bool { return partner[k] < 0 }) != j {
			continue
		}
		if at := alone(f.group, old, func(k int) bool { return !used[k] }); at >= 0 {
			partner[j], used[at] = at, true
		}
	}
	// What is gone is told where it stood.
	for j := range new {
		if at := partner[j]; at >= 0 {
			gone(at)
		}
		out = append(out, [2]int{partner[j], j})
	}
	gone(len(old))
	return out
}

// differ tells what two lists of facts say otherwise. what stands before the label.
func differ(old, new []fact, what string, place *Place) []Difference {
	var out []Difference
	name := func(label string) string {
		if what == "" {
			return label
		}
		return what + ": " + label
	}
	for _, m := range pairFacts(old, new) {
		switch {
		case m[0] < 0:
			f := new[m[1]]
			out = append(out, Difference{Kind: f.kind, Change: Added, Place: place, What: name(f.label), New: f.show})
		case m[1] < 0:
			f := old[m[0]]
			out = append(out, Difference{Kind: f.kind, Change: Gone, Place: place, What: name(f.label), Old: f.show})
		default:
			a, b := old[m[0]], new[m[1]]
			if a.key == b.key {
				continue
			}
			d := Difference{Kind: b.kind, Change: Changed, Place: place, What: name(b.label), Old: a.show, New: b.show}
			if len(a.text) > 1 && len(b.text) > 1 {
				d.Change, d.Words = Reworded, marked(a.text, b.text)
			}
			out = append(out, d)
		}
	}
	return out
}

// pairItems gives pairs of places of items: equal ones in their order, loose
// ones wherever they stand, then those with one head, then those with one verb.
// moved tells, by new item, that an equal one stands in another order.
func pairItems(old, new []item) (pairs [][2]int, moved map[int]bool) {
	toOld := make([]int, len(new))
	used := make([]bool, len(old))
	moved = map[int]bool{}
	for j := range toOld {
		toOld[j] = -1
	}
	for _, m := range common(len(old), len(new), func(i, j int) int { return same(old[i].key() == new[j].key()) }) {
		toOld[m[1]], used[m[0]] = m[0], true
	}
	seek := func(fits func(o, x *item) bool, then func(j int)) {
		for j := range new {
			for i := range old {
				if toOld[j] < 0 && !used[i] && fits(&old[i], &new[j]) {
					toOld[j], used[i] = i, true
					then(j)
				}
			}
		}
	}
	seek(func(o, x *item) bool { return o.key() == x.key() }, func(j int) { moved[j] = !new[j].loose })
	seek(func(o, x *item) bool { return o.head == x.head }, func(int) {})
	verb := func(it *item) string { v, _, _ := strings.Cut(it.what, " "); return v }
	seek(func(o, x *item) bool { return verb(o) == verb(x) && o.kind == x.kind }, func(int) {})
	i := 0
	for j := range new {
		if toOld[j] >= 0 && !moved[j] {
			for ; i < toOld[j]; i++ {
				if !used[i] {
					pairs = append(pairs, [2]int{i, -1})
				}
			}
		}
		pairs = append(pairs, [2]int{toOld[j], j})
	}
	for ; i < len(old); i++ {
		if !used[i] {
			pairs = append(pairs, [2]int{i, -1})
		}
	}
	return pairs, moved
}

// differItems tells what the actions of two versions of a step do otherwise.
func differItems(old, new []item, place *Place) []Difference {
	var out []Difference
	pairs, moved := pairItems(old, new)
	for _, m := range pairs {
		switch {
		case m[0] < 0:
			it := new[m[1]]
			out = append(out, Difference{Kind: it.kind, Change: Added, Place: place, What: it.what, New: it.show})
		case m[1] < 0:
			it := old[m[0]]
			out = append(out, Difference{Kind: it.kind, Change: Gone, Place: place, What: it.what, Old: it.show})
		case moved[m[1]]:
			it := new[m[1]]
			out = append(out, Difference{Kind: KindAction, Change: Moved, Place: place, What: it.what, Old: it.show, New: it.show})
		case old[m[0]].head != new[m[1]].head:
			a, b := old[m[0]], new[m[1]]
			verb, _, _ := strings.Cut(b.what, " ")
			out = append(out, Difference{Kind: b.kind, Change: Changed, Place: place, What: verb, Old: a.show, New: b.show})
		default:
			out = append(out, differ(old[m[0]].facts, new[m[1]].facts, new[m[1]].what, place)...)
		}
	}
	return out
}

// A flowDiff is what differs between two flows.
type flowDiff struct {
	*pairing
	list []Difference
	rows []Row
}

// differFlows tells what two flows do otherwise, and sets them side by side.
func differFlows(old, new []line) *flowDiff {
	d := &flowDiff{pairing: pairLines(old, new)}
	i := 0
	for j := range new {
		if at := d.toOld[j]; at >= 0 && !d.moved[j] {
			d.gone(&i, at)
			i = max(i, at+1)
		}
		d.line(j)
	}
	d.gone(&i, len(old))
	return d
}

// gone tells of the old lines up to a place that the new flow has not.
func (d *flowDiff) gone(i *int, until int) {
	for ; *i < until; *i++ {
		if d.toNew[*i] >= 0 {
			continue
		}
		l := &d.old[*i]
		d.rows = append(d.rows, Row{Old: d.show(l, nil), Change: Gone})
		if d.implied(d.old, d.toNew, *i) {
			continue
		}
		place := d.place(*i, -1)
		d.list = append(d.list, Difference{Kind: l.kind, Change: Gone, Place: place, What: whole(l), Old: l.title()})
	}
}

// implied tells that a line comes and goes with what it stands in.
func (d *flowDiff) implied(lines []line, to []int, at int) bool {
	l := &lines[at]
	switch l.sort {
	case "branch", "until", "otherwise":
		return l.parent >= 0 && to[l.parent] < 0
	}
	return false
}

// whole names a statement that was added or is gone.
func whole(l *line) string {
	switch l.sort {
	case "decide":
		return "decision"
	case "perform":
		return "routine performed"
	}
	return l.sort
}

// line tells of one line of the new flow.
func (d *flowDiff) line(j int) {
	b := &d.new[j]
	i := d.toOld[j]
	if i < 0 {
		d.rows = append(d.rows, Row{New: d.show(b, nil), Change: Added})
		if !d.implied(d.new, d.toOld, j) {
			d.list = append(d.list, Difference{Kind: b.kind, Change: Added, Place: d.place(-1, j), What: whole(b), New: b.title()})
		}
		return
	}
	a := &d.old[i]
	row := Row{Old: d.show(a, b.items), New: d.show(b, a.items)}
	before := len(d.list)
	place := d.place(i, j)
	if d.moved[j] {
		row.Change = Moved
		d.list = append(d.list, Difference{Kind: b.kind, Change: Moved, Place: place, What: whole(b), Old: d.where(d.old, i), New: d.where(d.new, j)})
	}
	if keyOf(a.text) != keyOf(b.text) {
		row.Words = marked(a.text, b.text)
		change := Reworded
		switch {
		case len(a.text) == 0:
			change = Added
		case len(b.text) == 0:
			change = Gone
		case b.sort == "decide" || b.sort == "until":
			change = Changed
		}
		x := Difference{Kind: b.kind, Change: change, Place: place, What: textOf(b), Old: showOf(a.text), New: showOf(b.text)}
		if change == Reworded {
			x.Words = row.Words
		}
		d.list = append(d.list, x)
	}
	if b.sort == "step" {
		d.list = append(d.list, differItems(a.items, b.items, place)...)
	} else if len(a.items) > 0 {
		d.list = append(d.list, differ(a.items[0].facts, b.items[0].facts, "", place)...)
	}
	if row.Change == "" && len(d.list) > before {
		row.Change = Changed
		if len(d.list) == before+1 && d.list[before].Change == Reworded {
			row.Change = Reworded
		}
	}
	d.rows = append(d.rows, row)
}

// textOf names the text of a statement.
func textOf(l *line) string {
	switch l.sort {
	case "stage":
		return "title of the stage"
	case "branch":
		return "meaning of the branch"
	case "finish":
		return "text of the finish"
	case "decide":
		return "what is decided on"
	case "until":
		return "what ends the repeat"
	}
	return "text"
}

// where says in words where a line stands.
func (d *flowDiff) where(lines []line, at int) string {
	var parts []string
	if n := lines[at].number; n > 0 {
		parts = append(parts, "step "+itoa(n))
	}
	stage, within := around(lines, at)
	if stage != "" {
		parts = append(parts, "in “"+stage+"”")
	}
	if len(within) > 0 {
		parts = append(parts, within[len(within)-1])
	}
	if lines[at].number == 0 {
		n := 0
		for i := 0; i <= at; i++ {
			if lines[i].parent == lines[at].parent {
				n++
			}
		}
		parts = append([]string{"place " + itoa(n)}, parts...)
	}
	return strings.Join(parts, ", ")
}

// around gives the stage of a line and the branches and repeats around it.
func around(lines []line, at int) (stage string, within []string) {
	for i := lines[at].parent; i >= 0; i = lines[i].parent {
		l := &lines[i]
		switch l.sort {
		case "stage":
			stage = showOf(l.text)
		case "branch":
			within = append(within, showOf(lines[l.parent].text)+" "+l.title())
		case "repeat":
			within = append(within, l.title())
		case "otherwise":
			within = append(within, "otherwise")
		}
	}
	for i, j := 0, len(within)-1; i < j; i, j = i+1, j-1 {
		within[i], within[j] = within[j], within[i]
	}
	return stage, within
}

// place says where a difference is: in the new flow, or in the old where only
// that has it.
func (d *flowDiff) place(i, j int) *Place {
	p := &Place{}
	if i >= 0 {
		p.Old = d.old[i].number
		p.Stage, p.Within = around(d.old, i)
		p.Text = d.old[i].title()
	}
	if j >= 0 {
		p.New = d.new[j].number
		p.Stage, p.Within = around(d.new, j)
		p.Text = d.new[j].title()
	}
	return p
}

// show makes the line a reader sees; what the other version has not is marked.
func (d *flowDiff) show(l *line, others []item) *Line {
	out := &Line{Depth: l.depth, Number: l.number, Sort: l.sort, Text: l.title()}
	if l.sort != "step" {
		return out
	}
	for _, it := range l.items {
		differ := true
		for k := range others {
			differ = differ && others[k].key() != it.key()
		}
		out.Details = append(out.Details, Detail{Text: it.show, Differ: differ && others != nil})
	}
	return out
}
