package syntax

import "fmt"

// WalkFile walks every declaration of a file.
func WalkFile(f *File, visit func(Place) bool) {
	for _, d := range f.Declarations {
		Walk(d, visit)
	}
}

// Walk calls visit for a node and then, where visit gives true, for every node
// below it, in the order of the source. Where a node holds no other, as a part
// that was not written, nothing is visited.
func Walk(node Place, visit func(Place) bool) {
	w := walker(visit)
	if !visit(node) {
		return
	}
	switch n := node.(type) {
	case *Name, *Text, *Number, *Node:
	case *Operand:
		w.number(n.Number)
		w.name(n.Unit, n.Name)
	case *Item:
		w.name(n.Name)
		w.number(n.Count)
	case *Range:
		w.operand(n.Low, n.High)
		w.name(n.Class)
		if n.NoUpper != nil {
			visit(n.NoUpper)
		}
	case *StatePair:
		w.name(n.Condition, n.State)

	case *Thing:
		w.name(n.Kind, n.Name, n.By, n.Signal)
		w.text(n.Title)
		list(w, n.Properties)
	case *Routine:
		w.name(n.Kind, n.Name)
		w.text(n.Title)
		list(w, n.Body)
	case *Procedure:
		w.name(n.Kind, n.Name)
		w.text(n.Title)
		merge(w, n.Properties, n.Body)
	case *Trial:
		w.name(n.Kind)
		w.text(n.Title)
		w.name(n.Of)
		merge(w, n.Entries, n.Expect)
	case *Released:
		w.name(n.Kind, n.Of, n.Revision)
		list(w, n.Properties)
	case *TrialEntry:
		w.name(n.Name)
		list(w, n.Values)
	case *Expectation:
		w.name(n.Name, n.Verb, n.Outcome, n.Refer)
		if n.Time != nil {
			Walk(n.Time, visit)
		}

	case *TextProperty:
		w.name(n.Word)
		w.text(n.Text)
	case *OperandProperty:
		w.name(n.Word)
		w.operand(n.Value)
	case *UncertaintyProperty:
		w.name(n.Word)
		w.operand(n.Value)
	case *SpanProperty:
		w.name(n.Word)
		w.operand(n.From, n.To)
	case *TimesProperty:
		w.name(n.Word, n.From, n.To)
	case *NamesProperty:
		w.name(n.Word)
		w.name(n.Names...)
	case *StatesProperty:
		w.name(n.Word)
		list(w, n.States)
	case *WithoutProperty:
		w.name(n.Word)
		list(w, n.Items)
	case *FlagProperty:
		w.name(n.Word)
	case *ThreadProperty:
		w.name(n.Word, n.Thread, n.Class)
	case *DecisionProperty:
		w.name(n.Word, n.Rule)
		w.number(n.Factor)
	case *RevisionProperty:
		w.name(n.Word, n.Revision, n.Date)
		w.text(n.Note)
	case *AppliesProperty:
		w.name(n.Word, n.Variant)
		w.name(n.Members...)
	case *MarkProperty:
		w.name(n.Word)
		w.number(n.Number)
		w.operand(n.X, n.Y)
		w.name(n.Is)
	case *MemberProperty:
		w.name(n.Word)
		w.text(n.Title)
	case *RowProperty:
		w.name(n.Word)
		list(w, n.Values)
	case *DateProperty:
		w.name(n.Word, n.Date)
	case *FingerprintProperty:
		w.name(n.Word)
		w.number(n.Method)
		w.text(n.Text)
	case *OverProperty:
		w.name(n.Word)
		list(w, n.Items)
	case *Marked:
		w.name(n.Sort, n.Name, n.Mark)
	case *ColumnProperty:
		w.name(n.Word)
		w.text(n.Column, n.To)
		w.name(n.Unit)
		w.text(n.UnitIn)
	case *AllowProperty:
		w.name(n.Word, n.Code)
		w.text(n.Reason)

	case *Stage:
		w.text(n.Title)
		list(w, n.Body)
	case *Step:
		w.text(n.Text)
		list(w, n.Actions)
	case *Decide:
		w.name(n.On)
		list(w, n.Branches)
	case *Branch:
		if n.Range != nil {
			Walk(n.Range, visit)
		}
		w.name(n.Cases...)
		w.text(n.Meaning)
		list(w, n.Body)
	case *Repeat:
		w.number(n.Times)
		list(w, n.Body)
		if n.Otherwise != nil {
			Walk(n.Otherwise, visit)
		}
	case *Otherwise:
		list(w, n.Body)
	case *Until:
		w.name(n.On)
		if n.Range != nil {
			Walk(n.Range, visit)
		}
		w.name(n.Cases...)
	case *Perform:
		w.name(n.Routine)
	case *Finish:
		w.name(n.Outcome, n.To)
		w.text(n.Text)
		list(w, n.Properties)

	case *Use:
		list(w, n.Items)
	case *Fit:
		list(w, n.Items)
		w.name(n.On)
	case *Remove:
		list(w, n.Items)
	case *Refit:
		list(w, n.Items)
	case *Clamp:
		list(w, n.Items)
		w.name(n.Tool)
	case *Release:
		list(w, n.Items)
	case *Make:
		w.pair(n.State)
	case *Verify:
		w.pair(n.State)
		w.name(n.With)
	case *Needs:
		list(w, n.States)
	case *Measure:
		w.name(n.Of)
		w.number(n.Count)
		w.name(n.Name, n.Unit, n.With)
	case *Ask:
		w.name(n.Name)
		w.text(n.Question)
		list(w, n.Answers)
	case *Drill:
		w.name(n.Hole)
		w.operand(n.Size, n.Deep, n.At)
		w.name(n.With)
	case *Tap:
		w.name(n.Hole, n.Thread)
		w.operand(n.Deep, n.At)
		w.name(n.With)
	case *Tighten:
		w.item(n.Item)
		list(w, n.To)
		w.name(n.With, n.Through)
	case *Heat:
		w.item(n.Item)
		w.operand(n.Bore, n.Interference, n.Clearance, n.Expansion, n.From, n.AtMost)
		w.name(n.With)
	case *Lift:
		list(w, n.Items)
		w.name(n.With)
	case *Wait:
		w.operand(n.Time)
	case *Takes:
		w.operand(n.Time)
	case *Warn:
		w.name(n.Hazards...)
	case *Hold:
		w.text(n.Who, n.What)
	case *Record:
		w.name(n.Name)
		w.text(n.What)
	case *By:
		w.text(n.Who)
	case *Note:
		w.text(n.Text)
	case *Show:
		w.name(n.Names...)
	case *Allow:
		w.name(n.Code)
		w.text(n.Reason)
	default:
		panic(fmt.Sprintf("syntax: walk does not know %T", node))
	}
}

// A walker visits the nodes that may be nil.
type walker func(Place) bool

func (w walker) name(names ...*Name) {
	for _, n := range names {
		if n != nil {
			w(n)
		}
	}
}

func (w walker) text(texts ...*Text) {
	for _, t := range texts {
		if t != nil {
			w(t)
		}
	}
}

func (w walker) number(n *Number) {
	if n != nil {
		w(n)
	}
}

func (w walker) operand(operands ...*Operand) {
	for _, o := range operands {
		if o != nil {
			Walk(o, w)
		}
	}
}

func (w walker) item(i *Item) {
	if i != nil {
		Walk(i, w)
	}
}

func (w walker) pair(s *StatePair) {
	if s != nil {
		Walk(s, w)
	}
}

func list[T Place](w walker, nodes []T) {
	for _, n := range nodes {
		Walk(n, w)
	}
}

// merge walks two lists in the order of the source.
func merge[A, B Place](w walker, a []A, b []B) {
	for len(a) > 0 || len(b) > 0 {
		if len(b) == 0 || len(a) > 0 && a[0].Start() < b[0].Start() {
			Walk(a[0], w)
			a = a[1:]
		} else {
			Walk(b[0], w)
			b = b[1:]
		}
	}
}
