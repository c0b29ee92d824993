package editor

import (
	"slices"
	"strings"

	"github.com/alecthomas/participle/v2/lexer"
	"github.com/charmbracelet/x/powernap/pkg/lsp/protocol"

	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
	"benchproof/compiler/trade"
	"benchproof/dsl/message"
	"benchproof/dsl/syntax"
)

// slot proposes what can fill a place of a statement, by the name that the
// place has in the table of keywords.
func (c *completer) slot(name string) {
	lib := c.Library
	key := word(c.place.entry, 0)
	switch name {
	case "TOOL":
		c.tools(key)
	case "USABLE":
		eachOf(lib.Tools, func(s library.Symbol) { c.symbol(1, s) })
		eachOf(lib.Consumables, func(s library.Symbol) { c.symbol(1, s) })
		if key == "holds" {
			eachOf(lib.Parts, func(s library.Symbol) { c.symbol(2, s) })
		}
		c.columns(3, "", isThings)
	case "PART":
		eachOf(lib.Parts, func(s library.Symbol) { c.symbol(1, s) })
		c.columns(2, "", isThings)
	case "THING":
		eachOf(lib.Parts, func(s library.Symbol) { c.symbol(1, s) })
		eachOf(lib.Tools, func(s library.Symbol) { c.symbol(2, s) })
		c.columns(3, "", isThings)
	case "MET":
		eachOf(lib.Parts, func(s library.Symbol) { c.symbol(1, s) })
		eachOf(lib.Tools, func(s library.Symbol) { c.symbol(2, s) })
		eachOf(lib.Hazards, func(s library.Symbol) { c.symbol(2, s) })
	case "CONDITION":
		eachOf(lib.Conditions, func(s library.Symbol) { c.symbol(1, s) })
	case "STATE":
		c.states()
	case "HAZARD":
		eachOf(lib.Hazards, func(s library.Symbol) { c.symbol(1, s) })
	case "VARIANT":
		eachOf(lib.Variants, func(s library.Symbol) { c.symbol(1, s) })
	case "ROUTINE":
		eachOf(lib.Routines, func(s library.Symbol) { c.symbol(1, s) })
	case "PROCEDURE":
		eachOf(lib.Procedures, func(s library.Symbol) { c.symbol(1, s) })
	case "FIGURE":
		eachOf(lib.Figures, func(s library.Symbol) { c.symbol(1, s) })
		eachOf(lib.Videos, func(s library.Symbol) { c.symbol(1, s) })
	case "MEMBER":
		if n := len(c.place.entry); n > 0 {
			c.members(c.variantIn(c.place.entry))
		}
	case "ROW":
		c.members(c.variant(word(c.place.block().head, 3)))
	case "CASE":
		c.cases()
	case "ANSWER":
		if key == "until" {
			c.ends()
		}
	case "TAKEN":
		c.taken()
	case "NAME":
		c.names(key)
	case "HOLE":
		c.holes()
	case "CELL":
		eachOf(lib.Parts, func(s library.Symbol) { c.symbol(2, s) })
		eachOf(lib.Tools, func(s library.Symbol) { c.symbol(2, s) })
		eachOf(lib.Consumables, func(s library.Symbol) { c.symbol(2, s) })
	case "VALUE":
		c.values(key)
	case "UNIT":
		c.units(1, nil)
	case "OUTCOME":
		c.list(1, protocol.EnumMemberCompletion, "serviceable", "scrap", "refer")
	case "SIGNAL":
		c.list(1, protocol.EnumMemberCompletion, "danger", "warning", "caution", "notice")
	case "CODE":
		c.codes(key)
	case "CLASS":
		c.classes(key)
	case "THREAD":
		c.threads()
	case "QUANTITY", "SIZE", "DEPTH", "TORQUE", "SPEED", "D", "I", "C":
		c.quantities(name)
	}
}

func (c *completer) list(rank int, kind protocol.CompletionItemKind, words ...string) {
	for _, w := range words {
		c.add(rank, w, "", "", kind)
	}
}

// tools proposes tools, those that do what the statement asks for first.
func (c *completer) tools(key string) {
	for _, t := range c.Library.Tools {
		rank := 2
		if c.does(t, key) {
			rank = 1
		}
		c.symbol(rank, t)
	}
}

// does tells whether a tool is made for a statement, as far as that is declared.
func (c *completer) does(t *library.Tool, key string) bool {
	last := ""
	if n := len(c.place.entry); n > 0 {
		last = c.place.entry[n-1].Value
	}
	switch key {
	case "measure":
		u, known := quantity.LookUp(c.wordBehind("in"))
		return t.Reads != nil && (!known || t.Reads.From.Dimension() == u.Dimension)
	case "tighten":
		if last == "through" {
			return t.Extends != nil
		}
		return t.Sets != nil && t.Sets.From.Dimension() == quantity.Torque
	case "drill":
		return t.Drills != nil
	case "tap":
		return t.Taps != ""
	case "lift":
		return t.Lifts != nil
	case "verify":
		return slices.ContainsFunc(c.Library.Hazards, func(h *library.Hazard) bool {
			return h.ProvedWith == t && h.Safe != nil && h.Safe.Condition.Name == word(c.place.entry, 1)
		})
	}
	return false
}

// wordBehind gives the word behind a word of the statement.
func (c *completer) wordBehind(of string) string {
	for i, t := range c.place.entry {
		if t.Value == of && i+1 < len(c.place.entry) {
			return c.place.entry[i+1].Value
		}
	}
	return ""
}

// states proposes the states of the condition before, or of the condition that
// is being declared.
func (c *completer) states() {
	name := ""
	if n := len(c.place.entry); n > 0 {
		name = c.place.entry[n-1].Value
	}
	b := c.place.block()
	if b.ctx == syntax.InCondition {
		name = word(b.head, 1)
		for _, e := range b.entries {
			if word(e, 0) == "states" {
				for _, t := range e[1:] {
					if t.Type == syntax.WordToken {
						c.add(1, t.Value, "state of "+name, "", protocol.EnumMemberCompletion)
					}
				}
			}
		}
	}
	for _, cond := range c.Library.Conditions {
		if cond.Name == name {
			for _, s := range cond.States {
				c.add(1, s.Name, "state of "+cond.Title, "", protocol.EnumMemberCompletion)
			}
		}
	}
}

func (c *completer) variant(name string) *library.Variant {
	for _, v := range c.Library.Variants {
		if v.Name == name {
			return v
		}
	}
	return nil
}

// variantIn gives the variant that a statement names.
func (c *completer) variantIn(entry []lexer.Token) *library.Variant {
	for i := range entry {
		if v := c.variant(word(entry, i)); v != nil {
			return v
		}
	}
	return nil
}

func (c *completer) members(v *library.Variant) {
	if v == nil {
		return
	}
	used := map[string]bool{}
	b := c.place.block()
	for _, e := range b.entries {
		if b.ctx == syntax.InTable {
			used[word(e, 0)] = true
		}
	}
	for _, t := range c.place.entry {
		used[t.Value] = true
	}
	for _, m := range v.Members {
		if !used[m.Name] {
			c.add(1, m.Name, "member of "+v.Title+": "+m.Title, "", protocol.EnumMemberCompletion)
		}
	}
}

// cases proposes the answers or members that the decision has not handled yet.
func (c *completer) cases() {
	b := c.place.block()
	on := word(b.head, 1)
	used := map[string]bool{}
	for _, e := range append(b.entries, c.place.entry) {
		for _, t := range e {
			used[t.Value] = true
		}
	}
	for _, a := range c.answers(on) {
		if !used[a.Name] {
			c.add(0, a.Name, "answer of "+on+": "+a.Title, "", protocol.EnumMemberCompletion)
		}
	}
	if v := c.variant(on); v != nil {
		for _, m := range v.Members {
			if !used[m.Name] {
				c.add(0, m.Name, "member of "+v.Title+": "+m.Title, "", protocol.EnumMemberCompletion)
			}
		}
	}
}

// ends proposes the answers to a question that a repeat does not end with yet.
func (c *completer) ends() {
	of := word(c.place.entry, 1)
	for _, a := range c.answers(of) {
		if !slices.ContainsFunc(c.place.entry, func(t lexer.Token) bool { return t.Value == a.Name }) {
			c.add(0, a.Name, "answer of "+of+": "+a.Title, "", protocol.EnumMemberCompletion)
		}
	}
}

// answers gives the answers of a question of the procedure around the place. In
// a routine, which has no names of its own, it is any question asked in the file.
func (c *completer) answers(of string) []*library.Answer {
	for _, q := range c.questions() {
		if q.Name == of {
			return q.Answers
		}
	}
	return nil
}

func (c *completer) questions() (out []*library.Question) {
	if p := c.procedure(); p != nil {
		return p.Questions
	}
	for _, p := range c.Library.Procedures {
		for _, q := range p.Questions {
			if q.Span.File == c.file.Source {
				out = append(out, q)
			}
		}
	}
	return out
}

func (c *completer) readings() (out []*library.Reading) {
	if p := c.procedure(); p != nil {
		return p.Readings
	}
	for _, p := range c.Library.Procedures {
		for _, r := range p.Readings {
			if r.Span.File == c.file.Source {
				out = append(out, r)
			}
		}
	}
	return out
}

func (c *completer) reading(name string) *library.Reading {
	for _, r := range c.readings() {
		if r.Name == name {
			return r
		}
	}
	return nil
}

// names proposes what a decision or an until is taken on, and for what is taken
// again the name that it has.
func (c *completer) names(key string) {
	switch key {
	case "decide":
		for _, r := range c.readings() {
			c.symbol(1, r)
		}
		for _, q := range c.questions() {
			c.symbol(1, q)
		}
		eachOf(c.Library.Variants, func(s library.Symbol) { c.symbol(2, s) })
	case "measure":
		for _, r := range c.readings() {
			c.symbol(1, r)
		}
	case "until":
		for _, r := range c.readings() {
			c.symbol(1, r)
		}
		for _, q := range c.questions() {
			c.symbol(1, q)
		}
	case "ask":
		for _, q := range c.questions() {
			c.symbol(1, q)
		}
	}
}

// taken proposes what a trial gives values: what it has not given yet.
func (c *completer) taken() {
	p := c.procedure()
	if p == nil {
		return
	}
	used := map[string]bool{}
	for _, e := range c.place.block().entries {
		used[word(e, 0)] = true
	}
	var list []library.Symbol
	for _, a := range p.Applies {
		list = append(list, a.Variant)
	}
	for _, r := range p.Readings {
		list = append(list, r)
	}
	for _, q := range p.Questions {
		list = append(list, q)
	}
	for _, s := range list {
		if !used[s.Declared().Name] {
			c.symbol(1, s)
		}
	}
}

// values proposes the answers or members that an entry of a trial can give.
func (c *completer) values(of string) {
	for _, a := range c.answers(of) {
		c.add(1, a.Name, "answer: "+a.Title, "", protocol.EnumMemberCompletion)
	}
	if v := c.variant(of); v != nil {
		for _, m := range v.Members {
			c.add(1, m.Name, "member of "+v.Title+": "+m.Title, "", protocol.EnumMemberCompletion)
		}
	}
}

// holes proposes the holes that the procedure drills or taps before.
func (c *completer) holes() {
	for _, r := range c.Library.Named(c.whole()) {
		if h, ok := r.To.(*library.Hole); ok {
			c.symbol(1, h)
		}
	}
}

func (c *completer) codes(key string) {
	switch key {
	case "allow":
		for _, e := range message.Catalogue() {
			if library.Allowable(e.Code) {
				c.add(1, string(e.Code), e.Title, "", protocol.ConstantCompletion)
			}
		}
	case "signs":
		for _, s := range trade.Signs() {
			c.add(1, s.Code, s.Referent, "", protocol.ConstantCompletion)
		}
	}
}

func (c *completer) classes(key string) {
	if key == "thread" {
		return // property classes are many and short
	}
	for _, class := range trade.Classes() {
		c.add(1, class, "ISO 286 tolerance class", "", protocol.ConstantCompletion)
	}
}

// threads proposes the threads that the library knows.
func (c *completer) threads() {
	for _, p := range c.Library.Parts {
		if p.Thread != "" {
			c.add(1, p.Thread, "thread of "+p.Title, "", protocol.ConstantCompletion)
		}
	}
	for _, t := range c.Library.Tools {
		if t.Taps != "" {
			c.add(1, t.Taps, "thread cut by "+t.Title, "", protocol.ConstantCompletion)
		}
	}
}

func isThings(col *library.Column) bool { return col.IsThings() }

// columns proposes `table.column`, of one table or of all.
func (c *completer) columns(rank int, table string, fits func(*library.Column) bool) {
	for _, t := range c.Library.Tables {
		if table != "" && t.Name != table {
			continue
		}
		for _, col := range t.Columns {
			if fits == nil || fits(col) {
				c.add(rank, col.Name, "column by "+variantName(t), c.byMember(col), protocol.FieldCompletion)
			}
		}
	}
}

// byMember tells the values of a column, a member a line.
func (sc *scene) byMember(col *library.Column) string {
	if col.Table.Variant == nil {
		return ""
	}
	var lines []string
	for i, m := range col.Table.Variant.Members {
		switch {
		case i >= len(col.Has) || !col.Has[i]:
			lines = append(lines, m.Name+": missing")
		case col.IsThings():
			lines = append(lines, m.Name+": "+col.Things[i].Declared().Name)
		default:
			lines = append(lines, m.Name+": "+col.Values[i].String())
		}
	}
	return strings.Join(lines, "\n")
}

// quantities proposes the columns whose values have the dimension of a place.
func (c *completer) quantities(slot string) {
	want := c.wanted(slot)
	c.columns(2, "", func(col *library.Column) bool {
		if col.IsThings() || len(want) == 0 {
			return !col.IsThings()
		}
		for i, has := range col.Has {
			if has {
				return slices.Contains(want, col.Values[i].Dimension())
			}
		}
		return false
	})
}

// wanted gives the dimensions that a place asks for; none: any.
func (c *completer) wanted(slot string) []quantity.Dimension {
	key := word(c.place.entry, 0)
	switch slot {
	case "SIZE", "DEPTH", "D", "I", "C":
		return []quantity.Dimension{quantity.Length}
	case "TORQUE":
		return []quantity.Dimension{quantity.Torque}
	case "SPEED":
		return []quantity.Dimension{quantity.Speed, quantity.RotationSpeed}
	case "TIME":
		return []quantity.Dimension{quantity.Time}
	case "T":
		return []quantity.Dimension{quantity.Temperature}
	case "A":
		return []quantity.Dimension{quantity.Expansion}
	case "X", "Y":
		return []quantity.Dimension{quantity.Ratio}
	case "VALUE":
		if r := c.reading(key); r != nil && r.Unit != nil {
			return []quantity.Dimension{r.Unit.Dimension}
		}
	case "QUANTITY":
		switch key {
		case "drills", "length", "extends":
			return []quantity.Dimension{quantity.Length}
		case "lifts", "mass":
			return []quantity.Dimension{quantity.Mass}
		case "time":
			return []quantity.Dimension{quantity.Time}
		}
		on := key
		if b := c.place.block(); b.ctx == syntax.InDecide {
			on = word(b.head, 1)
		} else if key == "until" {
			on = word(c.place.entry, 1)
		}
		if r := c.reading(on); r != nil && r.Unit != nil {
			return []quantity.Dimension{r.Unit.Dimension}
		}
	}
	return nil
}

// dimensionsOf gives the dimensions of the place that the number before the
// cursor fills.
func (c *completer) dimensionsOf(r reached) []quantity.Dimension {
	return c.wanted(r.slot())
}

// units proposes units, those of a dimension asked for alone. The unit of the
// reading at hand stands first.
func (c *completer) units(rank int, want []quantity.Dimension) {
	first := ""
	on := word(c.place.entry, 0)
	if b := c.place.block(); b.ctx == syntax.InDecide {
		on = word(b.head, 1)
	} else if on == "until" {
		on = word(c.place.entry, 1)
	}
	if r := c.reading(on); r != nil && r.Unit != nil {
		first = r.Unit.Code
	}
	for _, u := range quantity.Units() {
		if len(want) > 0 && !slices.Contains(want, u.Dimension) {
			continue
		}
		at := rank + 1
		if u.Code == first {
			at = rank
		}
		c.add(at, u.Code, u.Name, "", protocol.UnitCompletion)
	}
}
