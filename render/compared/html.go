package compared

import (
	"bytes"
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"fmt"
	"html/template"
	"io"
	"strconv"
	"strings"

	"benchproof/compiler/compare"
	"benchproof/dsl/message"
	"benchproof/render/look"
)

//go:embed assets/compared.css
var sheet string

//go:embed assets/compared.html
var form string

// pageStyle is the sheet as it stands in the page, with the colour of package look.
var pageStyle = template.CSS("\n" + strings.ReplaceAll(sheet, "{{grey}}", look.Grey.Hex()))

// page is the form of the page. print shows control characters, which no page
// may hold.
var page = template.Must(template.New("page").Funcs(template.FuncMap{"print": message.Printable}).Parse(form))

// HTML writes a page that needs nothing but itself and has no scripts: both
// versions of each procedure side by side, as far as they differ.
func HTML(w io.Writer, r *compare.Report) error {
	var b bytes.Buffer
	if err := page.Execute(&b, pageOf(r)); err != nil {
		return fmt.Errorf("the page cannot be made: %w", err)
	}
	_, err := w.Write(b.Bytes())
	return err
}

type pageData struct {
	Policy     string
	Style      template.CSS
	New        compare.Side
	Sides      []sideData
	Verdict    string
	Warnings   []string
	Shared     []sectionData
	Procedures []sectionData
}

type sideData struct{ Word, Title, Name string }

type sectionData struct {
	ID, Name, Title, Summary string
	Change, Touches          string
	Shared                   []linkData
	Partings                 []partingData
	Notes                    []string
	Groups                   []groupData
	Rows                     []rowData
}

type linkData struct{ ID, Name string }

type partingData struct {
	When, Old, New string
	Differ         bool
	Effects        []effectData
}

type effectData struct {
	Label   string
	Clauses []string
}

type groupData struct {
	Heading, Around string
	List            []differenceData
}

type differenceData struct {
	Change, What string
	Old, New     []compare.Word
}

type rowData struct {
	Same     string
	Old, New lineData
}

type lineData struct {
	Sort, Class, Depth, Number, Change string
	Words                              []compare.Word
	Details                            []compare.Detail
	Differs                            bool
}

func pageOf(r *compare.Report) pageData {
	sum := sha256.Sum256([]byte(pageStyle))
	d := pageData{
		Policy: "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'", Style: pageStyle, New: r.New,
		Sides:   []sideData{{"Was", r.Old.Title, sideTitle(r.Old)}, {"Now", r.New.Title, sideTitle(r.New)}},
		Verdict: capital(verdict(r)) + ".", Warnings: warnings(r),
	}
	for i, x := range r.Shared {
		s := sectionData{ID: "shared-" + strconv.Itoa(i+1), Title: declarationTitle(x), Touches: touches(x), Groups: groupsOf(x.Differences), Rows: rowsOf(x.Rows)}
		if x.Change == compare.Added || x.Change == compare.Gone {
			s.Change = string(x.Change)
		}
		d.Shared = append(d.Shared, s)
	}
	for i, p := range r.Procedures {
		s := sectionData{ID: "procedure-" + strconv.Itoa(i+1), Name: p.Name, Title: procedureTitle(p), Summary: summary(p), Groups: groupsOf(p.Differences), Rows: rowsOf(p.Rows)}
		for _, k := range p.Shared {
			s.Shared = append(s.Shared, linkData{"shared-" + strconv.Itoa(k+1), strings.TrimSpace(r.Shared[k].Sort + " " + r.Shared[k].Name)})
		}
		if p.Paths != nil {
			s.Partings, s.Notes = partingsOf(p.Paths), notes(p.Paths)
		}
		d.Procedures = append(d.Procedures, s)
	}
	return d
}

func partingsOf(p *compare.Paths) []partingData {
	var out []partingData
	for _, x := range p.Partings {
		d := partingData{When: capital(when(x))}
		d.Old, d.New, d.Differ = finishes(x)
		for _, e := range effects(x) {
			d.Effects = append(d.Effects, effectData{e.label, e.clauses()})
		}
		out = append(out, d)
	}
	return out
}

func groupsOf(list []compare.Difference) []groupData {
	var out []groupData
	for _, g := range grouped(list) {
		d := groupData{Heading: capital(heading(g.place)), Around: around(g.place)}
		if d.Heading == "" && g.place != nil {
			d.Heading = g.place.Text
		}
		for _, x := range g.list {
			row := differenceData{Change: string(x.Change), What: x.What}
			switch {
			case x.Change == compare.Added:
				row.New = []compare.Word{{Text: x.New, Change: compare.Added}}
			case x.Change == compare.Gone:
				row.Old = []compare.Word{{Text: x.Old, Change: compare.Gone}}
			default:
				old, new := wordsOf(x)
				row.Old, row.New = unspaced(old), unspaced(new)
			}
			d.List = append(d.List, row)
		}
		out = append(out, d)
	}
	return out
}

// unspaced puts the spaces around a marked stretch beside it: they are not underlined.
func unspaced(list []compare.Word) []compare.Word {
	var out []compare.Word
	for _, w := range list {
		inner := strings.TrimSpace(w.Text)
		if w.Change == "" || inner == "" || inner == w.Text {
			out = append(out, w)
			continue
		}
		before, after, _ := strings.Cut(w.Text, inner)
		out = append(out, compare.Word{Text: before}, compare.Word{Text: inner, Change: w.Change}, compare.Word{Text: after})
	}
	return out
}

// besides is how many lines that are the same stand around those that differ.
const besides = 1

// rowsOf leaves out what is the same, but for a line around what differs.
func rowsOf(rows []compare.Row) []rowData {
	keep := make([]bool, len(rows))
	any := false
	for i, r := range rows {
		if r.Change == "" {
			continue
		}
		any = true
		for k := max(0, i-besides); k <= min(len(rows)-1, i+besides); k++ {
			keep[k] = true
		}
	}
	if !any {
		return nil
	}
	var out []rowData
	for i := 0; i < len(rows); {
		n := 0
		for i+n < len(rows) && !keep[i+n] {
			n++
		}
		if n > 0 {
			out = append(out, rowData{Same: count(n, "line") + " the same"})
			i += n
			continue
		}
		r := rows[i]
		out = append(out, rowData{Old: lineOf(r.Old, r, compare.Added), New: lineOf(r.New, r, compare.Gone)})
		i++
	}
	return out
}

// lineOf makes one side of a row; words of the other side are left out.
func lineOf(l *compare.Line, r compare.Row, other compare.Change) lineData {
	if l == nil {
		return lineData{}
	}
	depth := "d" + strconv.Itoa(min(l.Depth, 5))
	d := lineData{Sort: l.Sort, Class: depth + " " + l.Sort, Depth: depth, Details: l.Details, Differs: r.Change != "", Words: []compare.Word{{Text: l.Text}}}
	if l.Number > 0 {
		d.Number = strconv.Itoa(l.Number)
	}
	if len(r.Words) > 0 && (l.Sort == "step" || l.Sort == "stage") {
		old, new := sides(r.Words)
		if d.Words = unspaced(old); other == compare.Gone {
			d.Words = unspaced(new)
		}
	}
	if r.Change != "" && (r.Old == nil || r.New == nil || r.Change == compare.Moved) {
		d.Change = string(r.Change)
	}
	return d
}
