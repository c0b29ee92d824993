package html

import (
	"slices"
	"strings"

	"benchproof/compiler/document"
)

// decision writes the table of a decision and, under it, the work of each
// branch that has some.
func (p *page) decision(d *document.Decision) {
	p.raw(`<div class="decision`)
	p.bar(d.Changed)
	p.raw(`" data-kind="decision"`)
	p.attr("id", d.ID)
	p.raw(`><div class="scroll"><table><caption>`)
	p.text(d.Title)
	p.raw("</caption><thead><tr>")
	columns := memberColumns(d)
	switch {
	case d.Kind == document.ByMember:
		p.th(p.w.AppliesTo)
	case d.Kind == document.ByAnswer:
		p.th(p.w.Screen.Answer)
	case len(columns) == 0:
		p.th(p.w.Range)
	default:
		for _, c := range columns {
			p.raw(`<th scope="col"`)
			p.memberData(c)
			p.raw(">")
			p.members(c)
			p.raw("</th>")
		}
	}
	// A question's answers often say enough: then no column says what they mean.
	says := slices.ContainsFunc(d.Branches, func(b *document.Branch) bool { return b.Meaning != "" })
	if says {
		p.th(p.w.Meaning)
	}
	p.th(p.w.GoTo)
	p.raw("</tr></thead><tbody>")
	for _, b := range d.Branches {
		p.branchRow(d, b, columns, says)
	}
	p.raw("</tbody></table></div>\n")
	for _, f := range d.Footnotes {
		p.raw(`<p class="foot">`)
		p.spans(f)
		p.raw("</p>\n")
	}
	for _, b := range d.Branches {
		if len(b.Body) == 0 {
			continue
		}
		p.raw(`<details class="branch" open`)
		p.branchHook(d, b)
		p.raw("><summary><span>")
		p.branchName(d, b)
		p.raw(`</span><span class="state"></span></summary>`)
		p.raw("\n")
		p.blocks(b.Body)
		p.raw("</details>\n")
	}
	p.raw("</div>\n")
}

// branchHook marks the element that stands for a branch.
func (p *page) branchHook(d *document.Decision, b *document.Branch) {
	p.raw(` data-kind="branch" data-state="open"`)
	p.attr("data-branch", d.On+":"+itoa(b.Number))
}

// branchRow writes the line of a branch in the table. A branch without work of
// its own is that line.
func (p *page) branchRow(d *document.Decision, b *document.Branch, columns [][]document.Chosen, says bool) {
	p.raw(`<tr data-row="`)
	p.int(b.Number)
	p.raw(`"`)
	if len(b.Body) == 0 {
		p.branchHook(d, b)
	}
	p.raw(">")
	switch {
	case d.Kind != document.ByReading:
		p.raw(`<th scope="row">`)
		p.cases(b.Cases)
		p.raw("</th>")
	case len(columns) == 0:
		p.raw(`<th scope="row" class="lim">`)
		p.limits(b.Limits)
		p.raw("</th>")
	case len(b.Limits) == 1 && len(b.Limits[0].Members) == 0:
		p.raw(`<th scope="row" class="lim" colspan="`)
		p.int(len(columns))
		p.raw(`">`)
		p.spans(b.Limits[0].Limits.Text)
		p.raw("</th>")
	default:
		for i, c := range columns {
			if i == 0 {
				p.raw(`<th scope="row" class="lim"`)
			} else {
				p.raw(`<td class="lim"`)
			}
			p.memberData(c)
			p.raw(`><span class="for narrow">`)
			p.members(c)
			p.text(p.w.Colon())
			p.raw("</span>")
			for _, l := range b.Limits {
				if sameMembers(l.Members, c) {
					p.spans(l.Limits.Text)
				}
			}
			if i == 0 {
				p.raw("</th>")
			} else {
				p.raw("</td>")
			}
		}
	}
	if says {
		p.raw("<td>")
		p.text(b.Meaning)
		p.raw("</td>")
	}
	p.raw(`<td class="goes"><span class="square" aria-hidden="true"></span>`)
	p.target(b.Goes)
	p.raw(`<span class="away state"></span></td></tr>`)
}

// memberData lets the page find the values of the member at hand.
func (p *page) memberData(members []document.Chosen) {
	var b strings.Builder
	for i, m := range members {
		if i > 0 {
			b.WriteByte(' ')
		}
		b.WriteString(m.Variant + "=" + m.Member)
	}
	p.attr("data-for", b.String())
}

// branchName says which branch its work belongs to.
func (p *page) branchName(d *document.Decision, b *document.Branch) {
	if d.Kind == document.ByReading {
		p.raw(`<b class="lim">`)
		p.limits(b.Limits)
		p.raw("</b>")
	} else {
		p.raw("<b>")
		p.cases(b.Cases)
		p.raw("</b>")
	}
	if b.Meaning != "" {
		p.raw(" · ")
		p.text(b.Meaning)
	}
}

// memberColumns are the members that get a column each, where all branches
// part them alike; otherwise the values stand in one column with the members
// named.
func memberColumns(d *document.Decision) [][]document.Chosen {
	var columns [][]document.Chosen
	for _, b := range d.Branches {
		if len(b.Limits) == 1 && len(b.Limits[0].Members) == 0 {
			continue
		}
		if columns == nil {
			for _, l := range b.Limits {
				columns = append(columns, l.Members)
			}
			continue
		}
		if len(b.Limits) != len(columns) {
			return nil
		}
		for i, l := range b.Limits {
			if !sameMembers(l.Members, columns[i]) {
				return nil
			}
		}
	}
	if len(columns) > 4 {
		return nil
	}
	return columns
}

func sameMembers(a, b []document.Chosen) bool {
	if len(a) != len(b) {
		return false
	}
	for i := range a {
		if a[i].Variant != b[i].Variant || a[i].Member != b[i].Member {
			return false
		}
	}
	return true
}
