package html

import (
	"cmp"
	"io"
	"slices"

	"benchproof/compiler/document"
)

// An Entry is what the index says of one work instruction. It holds no part of
// the document it was made of, so a large library can be written one document
// at a time.
type Entry struct {
	Name     string // of the procedure
	Title    string
	Purpose  string
	Number   string // document number
	Revision string
	Date     string // ISO 8601
	Draft    bool
	Release  document.Release
	For      []document.Chosen
	Families []document.Family
	Uses     []Use
	// Links lead to the forms of the document; the first is what its title
	// leads to.
	Links []Link
}

// A Use is a thing that a document handles and the steps that do.
type Use struct {
	Kind                document.ThingKind
	Name, Title, Number string
	Steps               []int
}

// A Link is one form of a document.
type Link struct {
	Format string // as printed: HTML, PDF, Markdown
	Href   string // beside the index
}

// EntryOf makes the entry of a document.
func EntryOf(d *document.Document, links ...Link) Entry {
	e := Entry{Name: d.Name, Title: d.Title, Purpose: d.Purpose, Number: d.Number, Revision: d.Revision, Date: d.Date, Draft: d.Draft, Release: d.Release, For: d.For, Families: d.AppliesTo, Links: links}
	for _, list := range [...][]document.Need{d.Tools, d.Parts, d.Consumables} {
		for _, n := range list {
			title := n.Thing.Title
			if n.Thing.Detail != "" {
				title += ", " + n.Thing.Detail
			}
			e.Uses = append(e.Uses, Use{Kind: n.Thing.Kind, Name: n.Thing.Name, Title: title, Number: n.Thing.Number, Steps: n.Steps})
		}
	}
	return e
}

// IndexOptions say whose library it is. Words nil: English.
type IndexOptions struct {
	Library, Owner string
	Language       string
	Words          *document.Words
}

// used is a thing and the entries that use it.
type used struct {
	Use
	by []usedBy
}

type usedBy struct {
	entry int
	steps []int
}

// Index writes the page that lists a library: with search and filters where
// scripts are on, and as tables of documents and of things where they are off.
func Index(w io.Writer, entries []Entry, o IndexOptions) error {
	p := &page{o: Options{}, w: o.Words}
	if p.w == nil {
		p.w = document.WordsOf(o.Language)
	}
	p.doc = &document.Document{Language: o.Language}
	entries = slices.Clone(entries)
	slices.SortStableFunc(entries, func(a, b Entry) int {
		return cmp.Or(cmp.Compare(a.Number, b.Number), cmp.Compare(a.Name, b.Name), cmp.Compare(forText(a.For), forText(b.For)))
	})
	p.index(entries, o)
	if p.err != nil {
		return p.err
	}
	_, err := w.Write(p.b)
	return err
}

func forText(list []document.Chosen) string {
	s := ""
	for i, c := range list {
		if i > 0 {
			s += ", "
		}
		s += c.MemberTitle
	}
	return s
}

func (p *page) index(entries []Entry, o IndexOptions) {
	w, s := p.w, p.w.Screen
	p.raw("<!DOCTYPE html>\n<html")
	p.attr("lang", language(o.Language))
	p.raw(">\n<head>\n<meta charset=\"utf-8\">\n<meta http-equiv=\"Content-Security-Policy\" content=\"default-src 'none'; style-src ")
	p.b = append(p.b, indexStyleHash...)
	p.raw("; script-src ")
	p.b = append(p.b, indexScriptHash...)
	p.raw("; base-uri 'none'; form-action 'none'\">\n<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<meta name=\"color-scheme\" content=\"light dark\">\n<meta name=\"referrer\" content=\"no-referrer\">\n<title>")
	p.text(s.Index)
	if o.Library != "" {
		p.raw(" – ")
		p.text(o.Library)
	}
	p.raw("</title>\n<style>")
	p.raw(indexStyle)
	p.raw("</style>\n</head>\n<body>\n<main>\n<header><h1>")
	p.text(s.Index)
	p.raw("</h1><p>")
	p.text(o.Library)
	if o.Owner != "" && o.Library != "" {
		p.raw(" · ")
	}
	p.text(o.Owner)
	p.raw("</p></header>\n")
	things := thingsOf(entries)
	p.filters(entries, things)
	p.raw(`<div class="scroll"><table id="documents"><thead><tr>`)
	p.th(w.Document, s.Title, w.AppliesTo, w.Revision, s.Issued, s.Formats)
	p.raw("</tr></thead><tbody>\n")
	for i := range entries {
		p.entry(&entries[i])
	}
	p.raw("</tbody></table></div>\n")
	p.uses(entries, things)
	p.raw("</main>\n<script type=\"application/json\" id=\"uses-model\">")
	p.usesModel(things)
	p.raw("</script>\n<script>")
	p.raw(indexScript)
	p.raw("</script>\n</body>\n</html>\n")
}

// thingsOf collects the things of all entries, tools first, by title.
func thingsOf(entries []Entry) []*used {
	at := map[[2]string]*used{}
	var out []*used
	for i := range entries {
		for _, u := range entries[i].Uses {
			key := [2]string{string(u.Kind), u.Name}
			t := at[key]
			if t == nil {
				t = &used{Use: u}
				at[key] = t
				out = append(out, t)
			}
			t.by = append(t.by, usedBy{i, u.Steps})
		}
	}
	rank := func(k document.ThingKind) int {
		return slices.Index([]document.ThingKind{document.Tool, document.Part, document.Consumable}, k)
	}
	slices.SortStableFunc(out, func(a, b *used) int {
		return cmp.Or(cmp.Compare(rank(a.Kind), rank(b.Kind)), cmp.Compare(a.Title, b.Title), cmp.Compare(a.Number, b.Number))
	})
	return out
}

func (p *page) filters(entries []Entry, things []*used) {
	s := p.w.Screen
	p.raw(`<form id="filters" hidden><label class="search">`)
	p.text(s.Search)
	p.raw(`<input type="search" id="search" autocomplete="off" maxlength="200"></label><label>`)
	p.text(s.Family)
	p.raw(`<select id="family"><option value="">`)
	p.text(s.All)
	p.raw("</option>")
	seen := map[[2]string]bool{}
	var families []document.Chosen
	for i := range entries {
		for _, f := range entries[i].Families {
			for _, m := range f.Members {
				if key := [2]string{f.Variant, m.Name}; !seen[key] {
					seen[key] = true
					families = append(families, document.Chosen{Variant: f.Variant, VariantTitle: f.Title, Member: m.Name, MemberTitle: m.Title})
				}
			}
		}
	}
	slices.SortStableFunc(families, func(a, b document.Chosen) int { return cmp.Compare(a.VariantTitle, b.VariantTitle) })
	for _, c := range families {
		p.raw("<option")
		p.attr("value", c.Variant+"="+c.Member)
		p.raw(">")
		p.text(c.VariantTitle)
		p.text(p.w.Colon())
		p.text(c.MemberTitle)
		p.raw("</option>")
	}
	p.raw("</select></label>")
	for _, f := range [...]struct {
		id    markup
		title string
		tool  bool
	}{{"tool", s.Tool, true}, {"part", s.Part, false}} {
		p.raw("<label>")
		p.text(f.title)
		p.raw(`<select id="`)
		p.raw(f.id)
		p.raw(`"><option value="">`)
		p.text(s.All)
		p.raw("</option>")
		for i, t := range things {
			if (t.Kind == document.Tool) != f.tool {
				continue
			}
			p.raw(`<option value="`)
			p.int(i)
			p.raw(`">`)
			p.text(t.Title)
			if t.Number != "" {
				p.raw(" · ")
				p.text(t.Number)
			}
			p.raw("</option>")
		}
		p.raw("</select></label>")
	}
	p.raw(`<p><span id="count" role="status"`)
	p.attr("data-shown", s.Shown)
	p.attr("data-none", s.NothingShown)
	p.attr("data-used", s.UsedIn)
	p.raw(`></span> <button type="reset">`)
	p.text(s.Clear)
	p.raw("</button></p></form>\n")
}

func (p *page) entry(e *Entry) {
	p.raw("<tr")
	data := ""
	for _, f := range e.Families {
		for _, m := range f.Members {
			data += " " + f.Variant + "=" + m.Name
		}
	}
	p.attr("data-families", data)
	p.raw("><td>")
	p.id(e.Number)
	p.raw(`</td><th scope="row">`)
	if len(e.Links) > 0 {
		p.link(e.Links[0].Href, e.Title)
	} else {
		p.text(e.Title)
	}
	if len(e.For) > 0 {
		p.raw(" – ")
		p.text(forText(e.For))
	}
	if e.Draft {
		p.raw(" – <strong>")
		p.text(p.w.NotForWork)
		p.raw("</strong>")
	} else if e.Release.State == document.Withdrawn {
		p.raw(" – <strong>")
		p.text(p.w.Withdrawn)
		p.raw("</strong>")
	}
	if e.Release.Text != "" {
		p.raw(`<br><span class="standing">`)
		p.text(e.Release.Text)
		p.raw("</span>")
	}
	if e.Purpose != "" {
		p.raw("<br><span>")
		p.text(e.Purpose)
		p.raw("</span>")
	}
	p.raw(`<span class="where"></span></th><td>`)
	for i, f := range e.Families {
		if i > 0 {
			p.raw("; ")
		}
		p.text(f.Title)
		p.text(p.w.Colon())
		for j, m := range f.Members {
			if j > 0 {
				p.raw(", ")
			}
			p.text(m.Title)
		}
	}
	p.raw("</td><td>")
	p.text(e.Revision)
	p.raw(`</td><td class="v">`)
	p.text(p.w.DateText(e.Date))
	p.raw(`</td><td class="forms">`)
	for _, l := range e.Links {
		p.link(l.Href, l.Format)
		p.raw(" ")
	}
	p.raw("</td></tr>\n")
}

// uses answers where a thing is used with scripts off. With scripts on the
// filters do, and the browser does not build this table.
func (p *page) uses(entries []Entry, things []*used) {
	if len(things) == 0 {
		return
	}
	p.raw("<noscript><section><h2>")
	p.text(p.w.Screen.Uses)
	p.raw(`</h2><table id="uses"><tbody>`)
	for _, t := range things {
		p.raw(`<tr><th scope="row">`)
		p.text(t.Title)
		if t.Number != "" {
			p.raw(" ")
			p.id(t.Number)
		}
		p.raw("</th><td>")
		for j, by := range t.by {
			e := &entries[by.entry]
			if j > 0 {
				p.raw("; ")
			}
			if len(e.Links) > 0 {
				p.link(e.Links[0].Href, e.Number)
			} else {
				p.text(e.Number)
			}
			if len(e.For) > 0 {
				p.raw(" ")
				p.text(forText(e.For))
			}
			for k, n := range by.steps {
				if k == 0 {
					p.text(p.w.Colon())
				} else {
					p.raw(", ")
				}
				p.int(n)
			}
		}
		p.raw("</td></tr>\n")
	}
	p.raw("</tbody></table></section></noscript>\n")
}

// usesModel gives the script the things by number of their option, each with
// its names and, by entry, its steps.
func (p *page) usesModel(things []*used) {
	j := &jsonWriter{b: p.b}
	j.open('[')
	for _, t := range things {
		j.open('[')
		j.string(t.Title + " " + t.Number)
		for _, by := range t.by {
			j.open('[')
			j.int(by.entry)
			for _, n := range by.steps {
				j.int(n)
			}
			j.close(']')
		}
		j.close(']')
	}
	j.close(']')
	p.b = j.b
}
