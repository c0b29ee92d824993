package rules

import (
	"strings"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/dsl/source"
)

// names warns of a thing that has two names in one procedure: one in the
// titles of what it handles, or in its texts, and another in a text.
func (c *checker) names() {
	if !c.english || c.allowed["BP806"] {
		return
	}
	type use struct {
		name  string
		at    source.Span
		title bool
	}
	inUse := map[int][]use{} // by group
	note := func(group int, u use) {
		for _, o := range inUse[group] {
			if o.name == u.name {
				return
			}
		}
		inUse[group] = append(inUse[group], u)
	}
	for _, items := range c.everything().items {
		for _, it := range items {
			for _, t := range thingsOf(it) {
				d := t.Declared()
				words := strings.Fields(strings.ToLower(d.Title))
				for i := range words {
					if group, name := named(words, i); name != "" {
						note(group, use{name, d.Span, true})
					}
				}
			}
		}
	}
	// What any title of the library calls so is another thing, not another name.
	own := map[string]bool{}
	for _, title := range c.titles() {
		words := strings.Fields(strings.ToLower(title))
		for i := range words {
			if _, name := named(words, i); name != "" {
				own[name] = true
			}
		}
	}
	paths.Each(c.proc, func(f library.Flow) {
		st, ok := f.(*library.Step)
		if !ok {
			return
		}
		for _, s := range sentencesOf(st.Text) {
			words := make([]string, len(s))
			for i := range s {
				words[i] = s[i].lower
			}
			for i := range words {
				group, name := named(words, i)
				if name == "" || own[name] {
					continue
				}
				at := s[i].span.To(s[i+strings.Count(name, " ")].span)
				for _, o := range inUse[group] {
					if o.name != name {
						m := c.warn("BP806", at, st, "%s here is %s elsewhere: one thing has one name", quoted(name), quoted(o.name))
						m.Relate(o.at, "called so here").Helped("write %s, or @ and its name, if it is the same thing", o.name)
						break
					}
				}
				note(group, use{name, at, false})
			}
		}
	})
}

// titles gives the titles of all things.
func (c *checker) titles() []string {
	var out []string
	for _, t := range c.lib.Tools {
		out = append(out, t.Title, t.Plural)
	}
	for _, p := range c.lib.Parts {
		out = append(out, p.Title, p.Plural)
	}
	for _, x := range c.lib.Consumables {
		out = append(out, x.Title, x.Plural)
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
		parts := strings.Split(n.name, " ")
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
}

// synonyms are the names by their first word, in one or in many.
var synonyms = func() map[string][]synonym {
	out := map[string][]synonym{}
	for group, names := range sameThing {
		for _, n := range names {
			first, _, many := strings.Cut(n, " ")
			out[first] = append(out[first], synonym{group, n})
			if !many {
				out[first+"s"] = append(out[first+"s"], synonym{group, n})
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
