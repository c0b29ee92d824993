package rules

import (
	"strings"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/dsl/source"
)

// A naming is a name of the groups where it stands.
type naming struct {
	group int
	name  string
	at    source.Span
	step  *library.Step // nil: a title
}

// names warns of a thing that has two names in one procedure: one in the
// titles of what it handles, or in its texts, and another in a text.
func (c *checker) names() {
	if !c.english || c.allowed["BP806"] {
		return
	}
	var list []naming
	seen := map[library.Thing]bool{}
	paths.Each(c.proc, func(f library.Flow) {
		st, ok := f.(*library.Step)
		if !ok {
			return
		}
		for _, a := range st.Actions {
			for _, it := range paths.Handles(a) {
				for _, t := range thingsOf(it) {
					if d := t.Declared(); !seen[t] {
						seen[t] = true
						list = namings(list, strings.Fields(strings.ToLower(d.Title)), func(int, int) source.Span { return d.Span }, nil)
					}
				}
			}
		}
	})
	titles := len(list)
	paths.Each(c.proc, func(f library.Flow) {
		if st, ok := f.(*library.Step); ok {
			for _, s := range sentencesOf(st.Text) {
				words := make([]string, len(s))
				for i := range s {
					words[i] = s[i].lower
				}
				list = namings(list, words, func(from, to int) source.Span { return s[from].span.To(s[to].span) }, st)
			}
		}
	})
	first := map[int][]naming{} // by group, the first of each name
	for i, n := range list {
		other := -1
		known := false
		for k, o := range first[n.group] {
			if o.name == n.name {
				known = true
			} else if other < 0 {
				other = k
			}
		}
		if i >= titles && other >= 0 {
			// What a title of the library calls so is another thing, not another name.
			if c.isTitle(n.name) {
				continue
			}
			o := first[n.group][other]
			m := c.warn("BP806", n.at, n.step, "%s here is %s elsewhere: one thing has one name", quoted(n.name), quoted(o.name))
			m.Relate(o.at, "called so here").Helped("write %s, or @ and its name, if it is the same thing", o.name)
		}
		if !known {
			first[n.group] = append(first[n.group], n)
		}
	}
}

// namings adds the names of the groups among some words.
func namings(list []naming, words []string, at func(from, to int) source.Span, st *library.Step) []naming {
	for i := range words {
		if group, name := named(words, i); name != "" {
			list = append(list, naming{group, name, at(i, i+strings.Count(name, " ")), st})
		}
	}
	return list
}

// isTitle tells whether a title of the library has a name.
func (c *checker) isTitle(name string) bool { return library.Derived(c.lib, namedByTitles)[name] }

// ownNames are the names of the groups that titles of the library have.
type ownNames map[string]bool

func namedByTitles(lib *library.Library) ownNames {
	out := ownNames{}
	note := func(title string) {
		for _, n := range namings(nil, strings.Fields(strings.ToLower(title)), func(int, int) source.Span { return source.Span{} }, nil) {
			out[n.name] = true
		}
	}
	for _, t := range lib.Tools {
		note(t.Title)
		note(t.Plural)
	}
	for _, p := range lib.Parts {
		note(p.Title)
		note(p.Plural)
	}
	for _, x := range lib.Consumables {
		note(x.Title)
		note(x.Plural)
	}
	return out
}

// thingsOf gives the things of an item, for all members.
func thingsOf(it library.Item) []library.Thing {
	if it.Column == nil {
		return []library.Thing{it.Thing}
	}
	var out []library.Thing
	for i, has := range it.Column.Has {
		if has {
			out = append(out, it.Column.Things[i])
		}
	}
	return out
}

// named finds a name of the groups at a place among words, one or many of it.
func named(words []string, i int) (group int, name string) {
	if i > 0 && compound[words[i-1]] {
		return 0, "" // a torque wrench is no spanner
	}
	for _, n := range synonyms[words[i]] {
		parts := n.parts
		if i+len(parts) > len(words) {
			continue
		}
		same := true
		for k, p := range parts {
			same = same && (words[i+k] == p || k == len(parts)-1 && words[i+k] == p+"s")
		}
		if same {
			return n.group, n.name
		}
	}
	return 0, ""
}

// compound are words that make another tool of the name behind them.
var compound = wordSet(`torque strap tap impact chain pipe oil filter`)

type synonym struct {
	group int
	name  string
	parts []string
}

// synonyms are the names by their first word, in one or in many.
var synonyms = func() map[string][]synonym {
	out := map[string][]synonym{}
	for group, names := range sameThing {
		for _, n := range names {
			parts := strings.Fields(n)
			first := parts[0]
			out[first] = append(out[first], synonym{group, n, parts})
			if len(parts) == 1 {
				out[first+"s"] = append(out[first+"s"], synonym{group, n, parts})
			}
		}
	}
	return out
}()

// sameThing lists names that mean one thing at a bench. Words that may also
// mean two things there (housing and casing, seal and gasket) are not on it.
var sameThing = [][]string{
	{"spanner", "wrench"},
	{"lid", "cover"},
	{"cloth", "rag"},
	{"circlip", "snap ring", "retaining ring"},
	{"dial indicator", "dial gauge", "clock gauge"},
	{"feeler gauge", "thickness gauge"},
	{"micrometer", "mike"},
	{"caliper", "calliper", "vernier"},
	{"vice", "vise"},
	{"grub screw", "set screw"},
	{"split pin", "cotter pin"},
	{"hex key", "hexagon key"},
	{"chain hoist", "chain block"},
	{"eye bolt", "lifting eye"},
	{"motor", "engine"},
	{"bush", "bushing"},
	{"pulley", "sheave"},
	{"axle", "shaft"},
	{"straightedge", "straight edge"},
	{"jack screw", "jacking screw"},
	{"lock washer", "spring washer"},
	{"wire brush", "steel brush"},
	{"plain washer", "flat washer"},
}
