package compare

import (
	"cmp"
	"slices"
	"strconv"
	"strings"

	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
)

// names give everything that is declared a key that both libraries know it by:
// its sort and its old name. What is called otherwise in the sources and is
// the same by number or title has one key.
type names struct {
	keys map[library.Symbol]string
	// renamed are pairs that differ in their name only by it.
	renamed []pair
}

type pair struct{ old, new library.Symbol }

func (n *names) key(s library.Symbol) string {
	if k, ok := n.keys[s]; ok {
		return k
	}
	return s.Sort() + " " + s.Declared().Name
}

// match pairs the declarations of one sort: by name, then those left over that
// alike says are one, where that is clear. It gives the pairs in the order of
// the new list, what is gone before what it stood before.
func match[T library.Symbol](n *names, prefix string, olds, news []T, alike func(a, b T) bool) []pair {
	byName := map[string]T{}
	for _, o := range olds {
		byName[o.Declared().Name] = o
	}
	matched := map[string]T{} // old name -> new
	taken := map[string]bool{}
	for _, x := range news {
		if _, ok := byName[x.Declared().Name]; ok {
			matched[x.Declared().Name] = x
			taken[x.Declared().Name] = true
		}
	}
	if alike != nil {
		for _, o := range olds {
			if _, done := matched[o.Declared().Name]; done {
				continue
			}
			var found []T
			for _, x := range news {
				if !taken[x.Declared().Name] && alike(o, x) {
					found = append(found, x)
				}
			}
			rivals := 0
			for _, other := range olds {
				if _, done := matched[other.Declared().Name]; !done && len(found) == 1 && alike(other, found[0]) {
					rivals++
				}
			}
			if len(found) == 1 && rivals == 1 {
				matched[o.Declared().Name] = found[0]
				taken[found[0].Declared().Name] = true
				n.renamed = append(n.renamed, pair{o, found[0]})
			}
		}
	}
	partner := map[string]T{} // new name -> old
	for old, x := range matched {
		partner[x.Declared().Name] = byName[old]
	}
	key := func(name string) string { return prefix + " " + name }
	var out []pair
	i := 0
	gone := func(until string) {
		for i < len(olds) && olds[i].Declared().Name != until {
			o := olds[i]
			i++
			n.keys[o] = key(o.Declared().Name)
			if _, has := matched[o.Declared().Name]; !has {
				out = append(out, pair{o, nil})
			}
		}
	}
	for _, x := range news {
		o, has := partner[x.Declared().Name]
		if !has {
			n.keys[x] = key(x.Declared().Name)
			out = append(out, pair{nil, x})
			continue
		}
		if slices.ContainsFunc(olds[i:], func(t T) bool { return t.Declared().Name == o.Declared().Name }) {
			gone(o.Declared().Name)
			i++
		}
		n.keys[o] = key(o.Declared().Name)
		n.keys[x] = n.keys[o]
		out = append(out, pair{o, x})
	}
	gone("")
	return out
}

// sameNumber tells that two things bear the same number.
func sameNumber[T library.Thing](a, b T) bool {
	x, y := library.CommonOf(a), library.CommonOf(b)
	if x.Number == "" && y.Number == "" {
		return x.Title != "" && x.Title == y.Title && x.Detail == y.Detail
	}
	return x.Number == y.Number
}

func sameTitle[T library.Symbol](a, b T) bool {
	return a.Declared().Title != "" && a.Declared().Title == b.Declared().Title
}

// local pairs what two versions of a procedure measure, ask, drill and record.
func (n *names) local(o, x *library.Procedure) {
	match(n, "reading", o.Readings, x.Readings, func(a, b *library.Reading) bool {
		return a.Unit == b.Unit && a.Of == b.Of && a.N == b.N && (a.With == nil) == (b.With == nil) && (a.With == nil || n.key(a.With) == n.key(b.With))
	})
	for _, p := range match(n, "question", o.Questions, x.Questions, sameTitle) {
		a, _ := p.old.(*library.Question)
		b, _ := p.new.(*library.Question)
		if a != nil && b != nil {
			match(n, "answer "+a.Name, a.Answers, b.Answers, sameTitle)
		}
	}
	holesO, recordsO := marks(o)
	holesX, recordsX := marks(x)
	match(n, "hole", holesO, holesX, nil)
	match(n, "record", recordsO, recordsX, nil)
}

// marks gives the holes and records of a procedure.
func marks(p *library.Procedure) (holes []*library.Hole, records []*library.RecordDecl) {
	eachAction(p.Body, func(a library.Action) {
		switch a := a.(type) {
		case *library.Drill:
			holes = addNew(holes, a.Hole)
		case *library.Tap:
			holes = addNew(holes, a.Hole)
		case *library.Record:
			records = addNew(records, a.Record)
		}
	})
	return holes, records
}

func addNew[T comparable](list []T, x T) []T {
	if slices.Contains(list, x) {
		return list
	}
	return append(list, x)
}

// --- how things are shown -------------------------------------------------------

// thing shows a thing as documents do: its title and number, or what else tells
// it from others.
func thing(t library.Thing) string {
	c := library.CommonOf(t)
	switch {
	case c.Number != "":
		return titleOf(&c.Decl) + " " + c.Number
	case c.Detail != "":
		return titleOf(&c.Decl) + ", " + c.Detail
	}
	return titleOf(&c.Decl)
}

// symbol shows anything that is declared.
func symbol(s library.Symbol) string {
	switch s := s.(type) {
	case library.Thing:
		return thing(s)
	case *library.Kit:
		if s.Number != "" {
			return titleOf(&s.Decl) + " " + s.Number
		}
	case *library.Procedure:
		if s.Document != "" {
			return titleOf(&s.Decl) + " " + s.Document
		}
	case *library.State:
		return state(s)
	case *library.Column:
		return s.Name
	}
	return titleOf(s.Declared())
}

func state(s *library.State) string { return titleOf(&s.Condition.Decl) + ": " + titleOf(&s.Decl) }

// sortKind is the kind of difference that is about a thing.
func sortKind(t library.Symbol) Kind {
	switch t := t.(type) {
	case *library.Part:
		return KindPart
	case *library.Consumable:
		return KindConsumable
	case *library.Column:
		if t.IsThings() && len(t.Things) > 0 && t.Things[0] != nil {
			return sortKind(t.Things[0])
		}
		return KindPart
	}
	return KindTool
}

// quantityKey stands for a value and the unit it is printed in.
func quantityKey(q quantity.Quantity) string {
	if q.Unit == nil {
		return q.Value.Exact()
	}
	return q.Value.Exact() + " " + q.Unit.Code
}

func quantityText(q quantity.Quantity) string {
	return strings.ReplaceAll(q.String(), quantity.NBSP, " ")
}

func (n *names) value(v library.Value) (key, show string) {
	if v.Column != nil {
		return n.key(v.Column), v.Column.Name
	}
	return quantityKey(v.Quantity), quantityText(v.Quantity)
}

// limits writes a range as the language does.
func (n *names) limits(r *library.Range) (key, show string) {
	if r == nil {
		return "", ""
	}
	end := func(e *library.RangeEnd) (string, string) {
		if e == nil {
			return "none", ""
		}
		k, s := n.value(e.Value)
		return k + strconv.FormatBool(e.Open), s
	}
	lowKey, low := end(r.Low)
	highKey, high := end(r.High)
	key = lowKey + " to " + highKey + strconv.FormatBool(r.NoUpper)
	switch {
	case r.Low != nil && r.High != nil:
		show = pick(r.Low.Open, "above ", "from ") + low + pick(r.High.Open, " to below ", " to ") + high
	case r.Low != nil:
		show = pick(r.Low.Open, "above ", "at least ") + low
	case r.High != nil:
		show = pick(r.High.Open, "below ", "at most ") + high
	default:
		show = "any value"
	}
	if r.NoUpper {
		show += ", no upper limit"
	}
	return key, show
}

func pick(b bool, yes, no string) string {
	if b {
		return yes
	}
	return no
}

// list joins keys or words of a set in a fixed order.
func list(texts []string) string {
	out := slices.Clone(texts)
	slices.SortFunc(out, cmp.Compare)
	return strings.Join(out, ", ")
}
