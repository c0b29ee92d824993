package editor

import (
	"strings"
	"sync"

	"github.com/alecthomas/participle/v2/lexer"

	"benchproof/dsl/syntax"
)

// The syntax of a statement is written in the table of keywords for people:
// capitals are places to fill, brackets hold what may be left out, strokes part
// alternatives, and a comma with dots repeats the element before. Here that
// notation is read, so that what can stand behind a half-written statement is
// told from the same table. A pattern is a machine of states; it follows the
// words of a statement along all ways at once.

// A term is what one step of a pattern takes: a word of the language, or a
// place to fill.
type term struct {
	word string // of the language; or a sign: , {
	slot string // TOOL, "TEXT": the place as the table names it
}

// A state has steps to others: by a term, or freely.
type state struct {
	by    []step
	to    []int // without a word
	final bool
}

type step struct {
	term term
	to   int
}

type pattern struct {
	states []state
	key    string
}

// richer notation for places whose table entry is shortened for people, and for
// statements that begin with a word of the writer's.
var fullSyntax = map[syntax.Context]map[string]string{
	syntax.InTrial: {
		"expect": `EXPECTATION, …`,
		"":       `TAKEN · VALUE, …`,
	},
	syntax.InTable:   {"": `ROW · CELL, …`},
	syntax.InVariant: {"": `NEW "TEXT"`},
	syntax.InAnswers: {"": `NEW "TEXT"`},
	syntax.InDecide:  {"": `[accept] RANGE ["TEXT"] { … } | CASE, … ["TEXT"] { … }`},
	syntax.InRepeat:  {"until": `NAME · RANGE | NAME · ANSWER, …`},
	syntax.InStep: {
		"use":     `USABLE [x N], …`,
		"measure": `[smallest of N | largest of N | mean of N] NAME in UNIT with TOOL`,
		"ask":     `NAME "QUESTION" { … }`,
		"fit":     `TOOL [x N], … on THING | new PART [x N], …`,
		"release": `THING [x N], …`,
		"clamp":   `THING [x N], … in TOOL`,
		"lift":    `THING [x N], … with TOOL`,
		"tighten": `THING [x N] to TORQUE, … [crosswise] with TOOL [through TOOL]`,
		"heat":    `PART [x N] bore D interference I [clearance C] expansion A [from T] [at most T] with TOOL`,
	},
	syntax.InProcedure: {
		"begins without": `PART [x N], …`,
		"applies":        `to VARIANT [MEMBER, …]`,
	},
	syntax.InKit: {"holds": `USABLE, …`},
	syntax.InFile: {
		"trial": `"TEXT" of PROCEDURE { … }`,
	},
}

// shared is the richer notation of statements that stand in many contexts.
var shared = map[string]string{"step": `"TEXT" [{ … }]`}

// parts are the places that have an inner form.
var parts = map[string]string{
	"RANGE": `at least QUANTITY [no upper limit] | at most QUANTITY | above QUANTITY [no upper limit] | above QUANTITY to [below] QUANTITY | below QUANTITY` +
		` | from QUANTITY to [below] QUANTITY | [above | below] limits QUANTITY CLASS [no upper limit]`,
	"EXPECTATION": `MET [not] fitted | MET [not] used | MET [not] met | finish OUTCOME [to PROCEDURE] | time RANGE`,
}

var (
	patternsMu sync.Mutex
	patterns   = map[[2]string]*pattern{}
)

// patternOf gives the pattern of the statements with a key in a context; the
// empty key is that of statements that begin with a word of the writer's.
func patternOf(ctx syntax.Context, key string) *pattern {
	text, given := fullSyntax[ctx][key]
	if !given {
		text, given = shared[key]
	}
	if !given {
		for _, k := range syntax.Keywords(ctx) {
			if k.Key == key {
				text, given = k.Syntax, true
			}
		}
	}
	if !given {
		return nil
	}
	patternsMu.Lock()
	defer patternsMu.Unlock()
	id := [2]string{ctx.String() + key, text}
	p := patterns[id]
	if p == nil {
		p = compile(key, text)
		patterns[id] = p
	}
	return p
}

// A reader reads the notation.
type reader struct {
	words []string
	at    int
	p     *pattern
}

func compile(key, text string) *pattern {
	r := &reader{p: &pattern{key: key}}
	r.words = notation(text)
	start := r.state()
	at := start
	for _, w := range strings.Fields(key) {
		at = r.step(at, term{word: w})
	}
	end := r.alternatives(at)
	r.p.states[end].final = true
	return r.p
}

// notation cuts the notation into its signs and words.
func notation(text string) []string {
	text = strings.NewReplacer("[", " [ ", "]", " ] ", "|", " | ", ", …", " ,… ", "{ … }", " { ").Replace(text)
	return strings.Fields(text)
}

func (r *reader) state() int {
	r.p.states = append(r.p.states, state{})
	return len(r.p.states) - 1
}

func (r *reader) step(from int, t term) int {
	to := r.state()
	r.p.states[from].by = append(r.p.states[from].by, step{t, to})
	return to
}

func (r *reader) free(from, to int) { r.p.states[from].to = append(r.p.states[from].to, to) }

func (r *reader) peek() string {
	if r.at < len(r.words) {
		return r.words[r.at]
	}
	return ""
}

// alternatives reads a | b | … and gives the state behind.
func (r *reader) alternatives(from int) int {
	end := r.state()
	for {
		r.free(r.sequence(from), end)
		if r.peek() != "|" {
			return end
		}
		r.at++
	}
}

// sequence reads elements one behind the other. What repeats with a comma is
// the run of places before it.
func (r *reader) sequence(from int) int {
	at, run := from, from
	for {
		switch w := r.peek(); {
		case w == "" || w == "|" || w == "]":
			return at
		case w == "[":
			r.at++
			end := r.alternatives(at)
			r.at++ // ]
			r.free(at, end)
			if r.words[r.at-1] == "]" && at == run {
				// A bracket at the start of a run is no part of what repeats.
				run = end
			}
			at = end
		case w == ",…":
			r.at++
			again := r.step(at, term{word: ","})
			r.free(again, run)
			run = at
		case w == "…":
			r.at++
		case w == "·": // what stands before it does not repeat
			r.at++
			run = at
		case isPlace(w):
			r.at++
			at = r.place(at, w)
		case w == ",":
			r.at++
			at = r.step(at, term{word: ","})
			run = at
		default:
			r.at++
			word := strings.TrimSuffix(w, ",")
			at = r.step(at, term{word: word})
			if word != w {
				at = r.step(at, term{word: ","})
			}
			run = at
		}
	}
}

// isPlace tells a place to fill from a word of the language.
func isPlace(w string) bool {
	bare := strings.Trim(w, `",`)
	return bare != "" && bare == strings.ToUpper(bare) && strings.ToLower(bare) != bare
}

// place reads a place to fill, set out where it has an inner form.
func (r *reader) place(from int, w string) int {
	slot := strings.TrimSuffix(w, ",")
	var end int
	if inner, ok := parts[slot]; ok {
		words, at := r.words, r.at
		r.words, r.at = notation(inner), 0
		end = r.alternatives(from)
		r.words, r.at = words, at
	} else {
		end = r.step(from, term{slot: slot})
	}
	if slot != w {
		end = r.step(end, term{word: ","})
	}
	return end
}

// closure adds what is reached without a word.
func (p *pattern) closure(set []int) []int {
	in := make(map[int]bool, len(set))
	out := set[:0:0]
	var add func(int)
	add = func(i int) {
		if in[i] {
			return
		}
		in[i] = true
		out = append(out, i)
		for _, to := range p.states[i].to {
			add(to)
		}
	}
	for _, i := range set {
		add(i)
	}
	return out
}

// A reached is how far a pattern goes along a statement.
type reached struct {
	// next are the terms that can stand next, in the order of the pattern.
	next []term
	// whole tells that the statement may end here.
	whole bool
	// slots are the places that the statement's words fill, by word.
	slots []string
	// stuck is the first word that the pattern does not take, or -1.
	stuck int
}

// slot is the place that the last word fills.
func (r reached) slot() string {
	if len(r.slots) == 0 {
		return ""
	}
	return r.slots[len(r.slots)-1]
}

// measured are the places that hold a number with its unit.
var measured = map[string]bool{
	"LOW": true, "HIGH": true, "QUANTITY": true, "SIZE": true, "DEPTH": true, "SPEED": true, "TORQUE": true, "TIME": true,
	"X": true, "Y": true, "D": true, "I": true, "C": true, "A": true, "T": true, "VALUE": true, "CELL": true,
}

// follow follows the words of a statement.
func (p *pattern) follow(entry []lexer.Token) reached {
	r := reached{stuck: -1, slots: make([]string, len(entry))}
	now := p.closure([]int{0})
	for i := 0; i < len(entry); i++ {
		var next []int
		for _, s := range now {
			for _, by := range p.states[s].by {
				if by.term.word != "" && by.term.takes(&entry[i]) {
					next = append(next, by.to)
				}
			}
		}
		// A word of the language is not also taken for a name.
		for _, s := range now {
			for _, by := range p.states[s].by {
				if by.term.word == "" && by.term.takes(&entry[i]) && (len(next) == 0 || r.slots[i] != "") {
					next = append(next, by.to)
					r.slots[i] = by.term.slot
				}
			}
		}
		// The unit behind a number belongs to its place.
		if len(next) == 0 && i > 0 && isUnitBehind(entry, i) {
			continue
		}
		if len(next) == 0 {
			r.stuck = i
			return r
		}
		now = p.closure(next)
	}
	seen := map[term]bool{}
	for _, s := range now {
		r.whole = r.whole || p.states[s].final
		for _, by := range p.states[s].by {
			if !seen[by.term] {
				seen[by.term] = true
				r.next = append(r.next, by.term)
			}
		}
	}
	return r
}

// isUnitBehind tells whether a word is the unit of the number before it.
func isUnitBehind(entry []lexer.Token, i int) bool {
	t, before := &entry[i], &entry[i-1]
	return before.Type == syntax.NumberToken && (t.Type == syntax.PercentToken || t.Type == syntax.WordToken && !syntax.Reserved(t.Value))
}

// takes tells whether a token can be what a term stands for.
func (t term) takes(token *lexer.Token) bool {
	if t.word != "" {
		return token.Value == t.word && (token.Type == syntax.WordToken || token.Type == syntax.PunctToken)
	}
	if strings.HasPrefix(t.slot, `"`) {
		return token.Type == syntax.StringToken
	}
	switch t.slot {
	case "N", "FACTOR":
		return token.Type == syntax.NumberToken
	case "NUMBER":
		return token.Type == syntax.NumberToken
	case "DATE":
		return token.Type == syntax.DateToken
	case "CLASS":
		return token.Type == syntax.NumberToken || token.Type == syntax.WordToken
	case "TIME":
		return token.Type == syntax.TimeToken || token.Type == syntax.NumberToken || token.Type == syntax.WordToken
	case "UNIT":
		return token.Type == syntax.WordToken || token.Type == syntax.PercentToken
	case "NAME", "REVISION":
		return token.Type == syntax.WordToken || token.Type == syntax.NumberToken
	}
	return token.Type == syntax.WordToken || measured[t.slot] && token.Type == syntax.NumberToken
}
