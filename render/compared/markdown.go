package compared

import (
	"io"
	"strings"
	"unicode/utf8"

	"benchproof/compiler/compare"
	"benchproof/dsl/message"
)

// Markdown writes a report as CommonMark for a review.
func Markdown(w io.Writer, r *compare.Report) error {
	m := &markdown{}
	m.report(r)
	_, err := io.WriteString(w, m.b.String())
	return err
}

type markdown struct{ b strings.Builder }

func (m *markdown) line(parts ...string) {
	for _, p := range parts {
		m.b.WriteString(p)
	}
	m.b.WriteByte('\n')
}

// escaped writes text so that a reader shows exactly it: a backslash goes before
// every sign of ASCII, and addresses and names that some readers link by
// themselves are kept apart.
func escaped(s string) string {
	var b strings.Builder
	s = message.Printable(s)
	for i, r := range s {
		switch {
		case r == '@' || r == ':' && strings.HasPrefix(s[i:], "://") || r == '.' && strings.HasSuffix(strings.ToLower(s[:i]), "www"):
			b.WriteString("<!-- -->\\" + string(r) + "<!-- -->")
		case r < utf8.RuneSelf && strings.ContainsRune("\\`*_{}[]<>()#+-.!|~&^$=", r):
			b.WriteString("\\" + string(r))
		default:
			b.WriteRune(r)
		}
	}
	return b.String()
}

func (m *markdown) report(r *compare.Report) {
	m.line("# What differs in meaning")
	m.line()
	m.line("Was ", escaped(sideTitle(r.Old)), ", now ", escaped(sideTitle(r.New)), ". ", capital(verdict(r)), ".")
	for _, s := range warnings(r) {
		m.line()
		m.line("> ", escaped(s))
	}
	if len(r.Shared) > 0 {
		m.line()
		m.line("## Shared by procedures")
	}
	for _, d := range r.Shared {
		m.line()
		m.line("### ", escaped(declarationTitle(d)), mark(d.Change))
		m.line()
		m.differences(d.Differences)
		m.line("- ", escaped(touches(d)))
	}
	for _, p := range r.Procedures {
		m.line()
		m.line("## ", escaped(procedureTitle(p)), mark(p.Change))
		m.line()
		m.line("`", strings.ReplaceAll(message.Printable(p.Name), "`", "'"), "`")
		if p.Paths != nil || len(p.Shared)+len(p.Differences) > 0 {
			m.line()
		}
		if p.Paths != nil {
			m.paths(p.Paths)
		}
		for _, i := range p.Shared {
			m.line("- by what it shares: ", escaped(strings.TrimSpace(r.Shared[i].Sort+" "+r.Shared[i].Name)))
		}
		m.differences(p.Differences)
	}
}

// mark says that a whole was added or is gone.
func mark(c compare.Change) string {
	if c == compare.Added || c == compare.Gone {
		return " – " + string(c)
	}
	return ""
}

func (m *markdown) differences(list []compare.Difference) {
	for _, g := range grouped(list) {
		indent := ""
		if g.place != nil {
			h := heading(g.place)
			if h == "" {
				h = g.place.Text
			}
			if a := around(g.place); a != "" {
				h += ", " + a
			}
			m.line("- ", escaped(h))
			indent = "  "
		}
		for _, d := range g.list {
			m.difference(indent, d)
		}
	}
}

func (m *markdown) difference(indent string, d compare.Difference) {
	m.line(indent, "- **", string(d.Change), "** ", escaped(matter(d)))
	if !both(d) {
		return
	}
	old, new := wordsOf(d)
	m.line(indent, "  - was ", words(old, len(d.Words) > 0))
	m.line(indent, "  - now ", words(new, len(d.Words) > 0))
}

// words writes a text; those words that differ are strong.
func words(list []compare.Word, marks bool) string {
	var b strings.Builder
	for _, w := range list {
		inner := strings.TrimSpace(w.Text)
		if !marks || w.Change == "" || inner == "" {
			b.WriteString(escaped(w.Text))
			continue
		}
		before, after, _ := strings.Cut(w.Text, inner)
		b.WriteString(before + "<strong>" + escaped(inner) + "</strong>" + after)
	}
	return b.String()
}

func (m *markdown) paths(p *compare.Paths) {
	for _, x := range p.Partings {
		m.line("- **behaves differently** ", escaped(when(x)))
		old, new, differ := finishes(x)
		if differ {
			m.line("  - was ", escaped(old))
			m.line("  - now ", escaped(new))
		} else {
			m.line("  - both finish ", escaped(old))
		}
		for _, e := range effects(x) {
			for _, c := range e.clauses() {
				m.line("  - ", e.label, " ", escaped(c))
			}
		}
	}
	for _, n := range notes(p) {
		m.line("- **note** ", escaped(n))
	}
}
