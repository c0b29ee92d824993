package draft

import (
	"benchproof/compiler/quantity"
)

// A phrase is a verb with what it acts on: "screw | the nut | home | with the
// spanner".
type phrase struct {
	verb    string
	at      int // the verb's token
	objects []*name
	// preps are the things behind a preposition.
	preps     []prepName
	particles map[string]bool
	values    []valueAt
	thread    string
	words     map[string]bool
}

type prepName struct {
	prep string
	n    *name
}

type valueAt struct {
	t *token
	// before is the word before the value, after the one behind it.
	before, after string
}

func (p *phrase) object() *name {
	if len(p.objects) == 0 {
		return nil
	}
	return p.objects[0]
}

func (p *phrase) behind(preps ...string) *name {
	for _, x := range p.preps {
		for _, w := range preps {
			if x.prep == w {
				return x.n
			}
		}
	}
	return nil
}

// value gives the first value of a dimension.
func (p *phrase) value(d quantity.Dimension) *valueAt {
	for i := range p.values {
		if dimension(p.values[i].t.unit) == d && d != quantity.Count {
			return &p.values[i]
		}
	}
	return nil
}

// breaks are words at which what a verb acts on ends.
var breaks = set(`until till because when while if so that which unless before after where as than`)

// phrases parts an instruction at its verbs. from is the first verb's token.
func phrases(list []token, from int) []*phrase {
	var out []*phrase
	i := from
	for i < len(list) {
		p, next := readPhrase(list, i)
		out = append(out, p)
		i = next
	}
	return out
}

// verbHere tells that at i, behind "and" or a comma, another verb begins.
func verbHere(list []token, i int) bool {
	t := &list[i]
	if t.kind != word || !verbs[t.low] || i == 0 {
		return false
	}
	b := &list[i-1]
	if !(b.kind == mark && (b.low == "," || b.low == ";" || b.low == ")") || b.is("and", "then", "or", "but", "now", "also", "always", "to")) {
		return false
	}
	if i+1 >= len(list) {
		return b.is("and", "then") && !partWords[t.low] && !toolWords[t.low] || intransitive[t.low]
	}
	n := &list[i+1]
	switch {
	case n.kind == mark:
		return !partWords[t.low] && !toolWords[t.low] && b.is("and", "then")
	case n.kind != word:
		return n.kind != reference
	case determiners[n.low] || pronouns[n.low] || particles[n.low] || passing[n.low] || prepositions[n.low] && n.low != "of":
		return true
	}
	return !partWords[t.low] && !toolWords[t.low]
}

func readPhrase(list []token, at int) (*phrase, int) {
	p := &phrase{verb: list[at].low, at: at, particles: map[string]bool{}, words: map[string]bool{}}
	prep, stopped := "", false
	lastRole := ""
	i := at + 1
	for i < len(list) {
		t := &list[i]
		if t.kind == mark && t.low == "(" {
			// What stands in brackets is told beside.
			for i < len(list) && !(list[i].kind == mark && list[i].low == ")") {
				i++
			}
			continue
		}
		if verbHere(list, i) {
			return p, i
		}
		if t.kind == word {
			p.words[t.low] = true
			if threadWord(t.low) && p.thread == "" {
				p.thread = "M" + t.low[1:]
				i++
				continue
			}
			if i+2 < len(list) && list[i+1].is("by") && list[i+2].low == t.low {
				i += 3 // "bit by bit"
				continue
			}
			if breaks[t.low] && !(t.is("after") && i+2 < len(list) && list[i+2].is("other")) {
				stopped = true
			}
		}
		if t.kind == amount && !(sizes[dimension(t.unit)] && i+1 < len(list) && list[i+1].kind == word && startsName(list, i)) || t.kind == number && !startsName(list, i) {
			v := valueAt{t: t}
			if i > at {
				v.before = list[i-1].low
			}
			if i+1 < len(list) {
				v.after = list[i+1].low
				if v.after == "at" && i+2 < len(list) && list[i+2].is("a") {
					v.after = "at a" // "at a time"
				}
			}
			if t.kind == amount {
				p.values = append(p.values, v)
			}
			prep = ""
			i++
			continue
		}
		if stopped {
			i++
			continue
		}
		if t.kind == mark || t.is("and", "or") {
			if !t.is("and", "or", ",") {
				lastRole = ""
			}
			i++
			continue
		}
		if t.kind == word {
			switch {
			case t.is("back", "straight", "right") && i+1 < len(list) && list[i+1].is("on", "onto", "in", "into", "off", "over", "up", "down", "out", "to", "home"):
				p.particles[t.low] = true
				i++
				continue
			case t.is("out", "off") && i+1 < len(list) && list[i+1].is("of"):
				p.particles[t.low] = true
				prep, lastRole = "out of", ""
				i += 2
				continue
			case particles[t.low]:
				named := i+1 < len(list) && startsName(list, i+1)
				asPrep := named && prepositions[t.low] && (len(p.objects) > 0 || !t.is("off", "out", "on", "in", "up", "down", "over"))
				if t.is("on", "in") && named && len(p.objects) == 0 && !separable[p.verb] {
					asPrep = true
				}
				if t.is("off", "out", "up", "down") {
					asPrep = named && len(p.objects) > 0
				}
				if asPrep {
					prep, lastRole = t.low, ""
					if t.is("off") {
						p.particles["off"] = true
					}
				} else {
					p.particles[t.low] = true
					prep, lastRole = "", ""
				}
				i++
				continue
			case prepositions[t.low]:
				prep, lastRole = t.low, ""
				i++
				continue
			}
		}
		n, next := readName(list, i)
		if n == nil || next <= i {
			i++
			continue
		}
		beside := i > 0 && list[i-1].kind == mark && (i < 2 || list[i-2].kind == reference || closed[list[i-2].low])
		role := prep
		if prep == "" {
			role = lastRole
		}
		if role == "" && beside && n.count > 0 && n.det == "" && len(p.objects) > 0 {
			// "take the cover off, four screws" tells what holds the cover.
		} else if role == "" {
			p.objects = append(p.objects, n)
		} else {
			p.preps = append(p.preps, prepName{role, n})
			lastRole = role
		}
		prep = ""
		i = next
	}
	return p, i
}

// separable are verbs whose "on" and "in" belong to them: "put on the cover".
var separable = set(`plug put screw lay set push press slide place slip fit bolt clip hook drop wind tap drive take thread hang`)

// startsName tells that a thing's name begins at i.
func startsName(list []token, i int) bool {
	n, next := readName(list, i)
	return n != nil && next > i
}
