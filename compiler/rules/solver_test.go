package rules_test

import (
	"bytes"
	"fmt"
	"math/big"
	"math/rand/v2"
	"os/exec"
	"regexp"
	"strings"
	"testing"
	"time"

	"benchproof/compiler/library"
	"benchproof/compiler/rules"
	"benchproof/dsl/message"
	"benchproof/dsl/syntax"
)

// The verdicts on decisions, and the example values in the messages, against
// the z3 solver: random tables of ranges go through the language as source
// text, and the same tables through z3 as formulas over the rationals and the
// whole numbers of the instrument's step. Nothing of package quantity is used
// to write the formulas: units, steps and guard bands are worked out anew.

const tablesForSolver = 10_000

func rat(s string) *big.Rat {
	r, ok := new(big.Rat).SetString(s)
	if !ok {
		panic(s)
	}
	return r
}

func mul(a, b *big.Rat) *big.Rat { return new(big.Rat).Mul(a, b) }
func add(a, b *big.Rat) *big.Rat { return new(big.Rat).Add(a, b) }
func sub(a, b *big.Rat) *big.Rat { return new(big.Rat).Sub(a, b) }
func quo(a, b *big.Rat) *big.Rat { return new(big.Rat).Quo(a, b) }

// A solverUnit turns a value into the base unit (mm, degC) as value·factor + offset.
// The inch is 25.4 mm exactly; 0 degC is 32 degF and a degree Fahrenheit 5/9 K (NIST SP 811).
type solverUnit struct {
	code, symbol   string
	factor, offset *big.Rat
}

func (u solverUnit) base(v *big.Rat) *big.Rat { return add(mul(v, u.factor), u.offset) }
func (u solverUnit) of(v *big.Rat) *big.Rat   { return quo(sub(v, u.offset), u.factor) }

var solverUnits = [][]solverUnit{
	{{"mm", "mm", rat("1"), rat("0")}, {"inch", "in", rat("25.4"), rat("0")}, {"um", "µm", rat("0.001"), rat("0")}},
	{{"degC", "°C", rat("1"), rat("0")}, {"degF", "°F", rat("5/9"), rat("-160/9")}},
}

type solverEnd struct {
	value *big.Rat // in the base unit; nil: open to the instrument's end
	open  bool
}

type solverBranch struct {
	low, high solverEnd
	accept    bool
	line      int
}

type solverTable struct {
	unit, reading  solverUnit
	from, to, step *big.Rat // in the instrument's unit; step zero: continuous
	u              *big.Rat // uncertainty, in the instrument's unit or in per cent
	relative       bool
	factor         *big.Rat // of the guard band; nil: decision simple
	branches       []solverBranch
	first, last    int // lines

	never, emptied   map[int]bool
	overlap          map[[2]int]*big.Rat
	gaps             []*big.Rat
	reversed, gapped bool
}

func decimal(r *big.Rat) string {
	s := r.FloatString(6)
	return strings.TrimSuffix(strings.TrimRight(s, "0"), ".")
}

func pickOf[T any](r *rand.Rand, list ...T) T { return list[r.IntN(len(list))] }

// write makes a random table and its source.
func (t *solverTable) write(r *rand.Rand, n int, b *lines) {
	family := pickOf(r, solverUnits...)
	if r.IntN(3) > 0 {
		family = solverUnits[0]
	}
	t.unit = pickOf(r, family...)
	t.reading = t.unit
	if r.IntN(5) < 2 {
		t.reading = pickOf(r, family...)
	}
	t.from = big.NewRat(int64(r.IntN(5)), 1)
	t.to = add(t.from, big.NewRat(int64(1+r.IntN(8)), 1))
	t.step = rat(pickOf(r, "0", "0.05", "0.1", "0.1", "0.25", "0.5", "1", "0.3"))
	t.u = rat(pickOf(r, "0.05", "0.1", "0.2", "0.5", "1"))
	if t.relative = r.IntN(4) == 0; t.relative {
		t.u = rat(pickOf(r, "1", "5", "12.5", "40"))
	}
	b.add("tool t%d \"t\" {", n)
	b.add("  reads from %s %s to %s %s", decimal(t.from), t.unit.code, decimal(t.to), t.unit.code)
	if t.step.Sign() > 0 {
		b.add("  resolution %s %s", decimal(t.step), t.unit.code)
	}
	if t.relative {
		b.add("  uncertainty %s %%", decimal(t.u))
	} else {
		b.add("  uncertainty %s %s", decimal(t.u), t.unit.code)
	}
	b.add("}")
	b.add("procedure p%d \"p\" {", n)
	b.add("  step \"Measure.\" { measure d in %s with t%d }", t.reading.code, n)
	t.first = b.n + 1
	b.add("  decide d {")
	width := sub(t.to, t.from)
	var pool []string
	var values []*big.Rat
	for range 2 + r.IntN(4) {
		v := add(t.from, mul(width, big.NewRat(int64(r.IntN(13)-2), 8)))
		w := t.unit
		if r.IntN(3) == 0 {
			w = pickOf(r, family...)
		}
		text := decimal(w.of(t.unit.base(v)))
		if w.code != t.unit.code {
			text = decimal(rat(w.of(t.unit.base(v)).FloatString(pickOf(r, 2, 3))))
		}
		pool = append(pool, text+" "+w.code)
		values = append(values, w.base(rat(text)))
	}
	for range 1 + r.IntN(4) {
		var br solverBranch
		lo, hi := r.IntN(len(pool)), r.IntN(len(pool))
		if values[lo].Cmp(values[hi]) > 0 && r.IntN(20) > 0 {
			lo, hi = hi, lo
		}
		low, high := values[lo], values[hi]
		words := ""
		switch r.IntN(8) {
		case 0:
			words, br.low = "at least "+pool[lo], solverEnd{low, false}
		case 1:
			words, br.low = "above "+pool[lo], solverEnd{low, true}
		case 2:
			words, br.high = "at most "+pool[hi], solverEnd{high, false}
		case 3:
			words, br.high = "below "+pool[hi], solverEnd{high, true}
		case 4:
			words = "from " + pool[lo] + " to " + pool[hi]
			br.low, br.high = solverEnd{low, false}, solverEnd{high, false}
		case 5:
			words = "from " + pool[lo] + " to below " + pool[hi]
			br.low, br.high = solverEnd{low, false}, solverEnd{high, true}
		case 6:
			words = "above " + pool[lo] + " to " + pool[hi]
			br.low, br.high = solverEnd{low, true}, solverEnd{high, false}
		default:
			words = "above " + pool[lo] + " to below " + pool[hi]
			br.low, br.high = solverEnd{low, true}, solverEnd{high, true}
		}
		accept := ""
		if br.accept = r.IntN(2) == 0; br.accept {
			accept = "accept "
		}
		b.add("    %s%s { }", accept, words)
		br.line = b.n
		t.branches = append(t.branches, br)
		if br.low.value != nil && br.high.value != nil {
			c := br.low.value.Cmp(br.high.value)
			t.reversed = t.reversed || c > 0 || c == 0 && (br.low.open || br.high.open)
		}
	}
	b.add("  }")
	t.last = b.n
	b.add("}")
}

type lines struct {
	strings.Builder
	n int
}

func (l *lines) add(format string, args ...any) {
	fmt.Fprintf(l, format+"\n", args...)
	l.n++
}

var exampleOf = regexp.MustCompile(`(-?[0-9.]+) (mm|in|µm|°C|°F)(?: \((-?[0-9.]+) (mm|in|µm|°C|°F) on the instrument\))?$`)

// example reads the value at the end of a message, in the base unit: what the
// instrument shows where the message says so.
func (t *solverTable) example(text string) (*big.Rat, error) {
	m := exampleOf.FindStringSubmatch(text)
	if m == nil {
		return nil, fmt.Errorf("no example value in %q", text)
	}
	value, symbol := m[1], m[2]
	// Twelve digits mean a number without an end, such as 1 um in inches, which
	// is then exact on the instrument.
	rounded := len(strings.TrimLeft(strings.NewReplacer("-", "", ".", "").Replace(value), "0")) >= 11
	if m[3] != "" && (t.step.Sign() > 0 || rounded) {
		value, symbol = m[3], m[4]
	}
	for _, u := range []solverUnit{t.unit, t.reading} {
		if u.symbol == symbol {
			return u.base(rat(value)), nil
		}
	}
	return nil, fmt.Errorf("an example in a strange unit in %q", text)
}

// read takes the verdict out of a message.
func (t *solverTable) read(m *message.Message, line int) error {
	branch := func(l int) int {
		for i, b := range t.branches {
			if b.line == l {
				return i
			}
		}
		return -1
	}
	switch m.Code {
	case "BP401":
		e, err := t.example(m.Text)
		t.gaps = append(t.gaps, e)
		return err
	case "BP402":
		e, err := t.example(m.Text)
		for _, r := range m.Related {
			other, _ := r.Span.File.Position(r.Span.Start)
			t.overlap[[2]int{branch(other), branch(line)}] = e
		}
		return err
	case "BP403":
		if strings.HasPrefix(m.Text, "this branch can never happen") {
			t.never[branch(line)] = true
		} else {
			t.emptied[branch(line)] = true
		}
	}
	return nil
}

func smt(r *big.Rat) string {
	n := new(big.Int).Abs(r.Num())
	s := n.String() + ".0"
	if !r.IsInt() {
		s = fmt.Sprintf("(/ %s.0 %s.0)", n, r.Denom())
	}
	if r.Sign() < 0 {
		s = "(- " + s + ")"
	}
	return s
}

// shown gives what must hold of a term for the instrument to show it; k is a
// whole number of its own.
func (t *solverTable) shown(x, k string) string {
	lo, hi := smt(t.unit.base(t.from)), smt(t.unit.base(t.to))
	within := fmt.Sprintf("(<= %s %s %s)", lo, x, hi)
	if t.step.Sign() == 0 {
		return within
	}
	return fmt.Sprintf("(and %s (= %s (+ %s (* (to_real %s) %s))))", within, x, smt(t.unit.offset), k, smt(mul(t.step, t.unit.factor)))
}

func (b *solverBranch) in(x string) string {
	s := "(and true"
	if b.low.value != nil {
		op := ">="
		if b.low.open {
			op = ">"
		}
		s += fmt.Sprintf(" (%s %s %s)", op, x, smt(b.low.value))
	}
	if b.high.value != nil {
		op := "<="
		if b.high.open {
			op = "<"
		}
		s += fmt.Sprintf(" (%s %s %s)", op, x, smt(b.high.value))
	}
	return s + ")"
}

func (b *solverBranch) contains(v *big.Rat) bool {
	if b.low.value != nil {
		if c := v.Cmp(b.low.value); c < 0 || c == 0 && b.low.open {
			return false
		}
	}
	if b.high.value != nil {
		if c := v.Cmp(b.high.value); c > 0 || c == 0 && b.high.open {
			return false
		}
	}
	return true
}

// band is g = r·U at a limit, as a length in the base unit.
func (t *solverTable) band(limit *big.Rat) *big.Rat {
	if t.relative {
		at := new(big.Rat).Abs(t.reading.of(limit))
		return mul(mul(mul(t.factor, t.u), mul(at, rat("1/100"))), t.reading.factor)
	}
	return mul(mul(t.factor, t.u), t.unit.factor)
}

// beside tells whether the value just below (−1) or above (+1) an end of a
// branch is one that the instrument shows and that no accept range takes: only
// then does the guard band move the end.
func (t *solverTable) beside(b *solverBranch, direction int) bool {
	if t.step.Sign() > 0 {
		// Walk the steps: the outermost value of the branch, and the next.
		at := t.outermost(b, direction)
		if at == nil {
			return false
		}
		next := add(at, mul(mul(t.step, t.unit.factor), big.NewRat(int64(direction), 1)))
		if next.Cmp(t.unit.base(t.from)) < 0 || next.Cmp(t.unit.base(t.to)) > 0 {
			return false
		}
		for i := range t.branches {
			if o := &t.branches[i]; o.accept && o.contains(next) {
				return false
			}
		}
		return true
	}
	end, limit := b.low, t.unit.base(t.from)
	if direction > 0 {
		end, limit = b.high, t.unit.base(t.to)
	}
	if end.value == nil {
		return false
	}
	if c := limit.Cmp(end.value) * direction; c < 0 || c == 0 && !end.open {
		return false
	}
	for i := range t.branches {
		o := &t.branches[i]
		if !o.accept || o == b {
			continue
		}
		// Does o reach from the far side up to the end, so that nothing lies between?
		oNear, oFar := o.high, o.low
		if direction > 0 {
			oNear, oFar = o.low, o.high
		}
		reaches := oNear.value == nil
		if !reaches {
			c := oNear.value.Cmp(end.value) * direction
			reaches = c < 0 || c == 0 && (!oNear.open || !end.open)
		}
		beyond := oFar.value == nil || oFar.value.Cmp(end.value)*direction > 0
		if !beyond && oFar.value.Cmp(end.value) == 0 {
			// It begins at the very value that the end leaves out.
			beyond = end.open && !oFar.open && o.contains(end.value)
		}
		if reaches && beyond && t.shows(o) {
			return false
		}
	}
	return true
}

// shows tells whether a continuous instrument shows anything of a branch.
func (t *solverTable) shows(b *solverBranch) bool {
	low, high := solverEnd{t.unit.base(t.from), false}, solverEnd{t.unit.base(t.to), false}
	if b.low.value != nil && (b.low.value.Cmp(low.value) > 0 || b.low.value.Cmp(low.value) == 0) {
		low = b.low
	}
	if b.high.value != nil && (b.high.value.Cmp(high.value) < 0 || b.high.value.Cmp(high.value) == 0) {
		high = b.high
	}
	c := low.value.Cmp(high.value)
	return c < 0 || c == 0 && !low.open && !high.open
}

// outermost is the lowest (−1) or highest (+1) value of a branch that a stepped
// instrument shows.
func (t *solverTable) outermost(b *solverBranch, direction int) (out *big.Rat) {
	step := mul(t.step, t.unit.factor)
	k := new(big.Rat).SetInt(new(big.Int).Div(quo(t.from, t.step).Num(), quo(t.from, t.step).Denom()))
	for x := add(mul(k, step), t.unit.offset); x.Cmp(t.unit.base(t.to)) <= 0; x = add(x, step) {
		if x.Cmp(t.unit.base(t.from)) < 0 || !b.contains(x) {
			continue
		}
		if out == nil || direction > 0 {
			out = x
		}
	}
	return out
}

// acting is what a guarded accept range asks of a value.
func (t *solverTable) acting(b *solverBranch, x string) string {
	s := "(and " + b.in(x)
	if b.low.value != nil && t.beside(b, -1) {
		op := ">="
		if b.low.open {
			op = ">"
		}
		s += fmt.Sprintf(" (%s %s %s)", op, x, smt(add(b.low.value, t.band(b.low.value))))
	}
	if b.high.value != nil && t.beside(b, 1) {
		op := "<="
		if b.high.open {
			op = "<"
		}
		s += fmt.Sprintf(" (%s %s %s)", op, x, smt(sub(b.high.value, t.band(b.high.value))))
	}
	return s + ")"
}

// formulas writes two questions about a table: whether anything that the
// messages deny can be after all (no is right), and whether all that they
// claim, with their examples, can be (yes is right).
func (t *solverTable) formulas() (denied, claimed string) {
	var no, yes strings.Builder
	vars := ""
	n := 0
	fresh := func() (x, k string) {
		n++
		x, k = fmt.Sprintf("x%d", n), fmt.Sprintf("k%d", n)
		vars += fmt.Sprintf("(declare-const %s Real)(declare-const %s Int)", x, k)
		return x, k
	}
	none := "true"
	for i := range t.branches {
		none += " (not " + t.branches[i].in("x") + ")"
	}
	some := func(what func(x string) string, really bool) {
		if !really {
			fmt.Fprintf(&no, " %s", what("x"))
			return
		}
		x, k := fresh()
		fmt.Fprintf(&yes, "(assert (and %s %s))", t.shown(x, k), what(x))
	}
	example := func(v *big.Rat, what func(x string) string) {
		x, k := fresh()
		fmt.Fprintf(&yes, "(assert (and (= %s %s) %s %s))", x, smt(v), t.shown(x, k), what(x))
	}
	for i := range t.branches {
		b := &t.branches[i]
		some(b.in, !t.never[i])
		if t.factor != nil && b.accept && !t.never[i] {
			some(func(x string) string { return t.acting(b, x) }, !t.emptied[i])
		}
		for j := i + 1; j < len(t.branches); j++ {
			both := func(x string) string { return "(and " + b.in(x) + " " + t.branches[j].in(x) + ")" }
			if e := t.overlap[[2]int{i, j}]; e != nil {
				example(e, both)
			} else {
				some(both, false)
			}
		}
	}
	for _, e := range t.gaps {
		example(e, func(x string) string {
			s := "(and true"
			for i := range t.branches {
				s += " (not " + t.branches[i].in(x) + ")"
			}
			return s + ")"
		})
	}
	// Where a range is written the wrong way round, what it leaves out is not
	// told as a gap.
	if len(t.gaps) == 0 && !t.reversed {
		fmt.Fprintf(&no, " (and %s)", none)
	}
	denied = fmt.Sprintf("(push)(declare-const x Real)(declare-const k Int)(assert (and %s (or false%s)))(check-sat)(pop)\n", t.shown("x", "k"), no.String())
	claimed = fmt.Sprintf("(push)%s%s(check-sat)(pop)\n", vars, yes.String())
	return denied, claimed
}

// solved puts questions to z3 in one batch and gives its answers.
func solved(t *testing.T, questions string) []string {
	t.Helper()
	path, err := exec.LookPath("z3")
	if err != nil {
		t.Fatal("z3 is missing: install the package z3")
	}
	cmd := exec.Command(path, "-in", "-smt2")
	cmd.Stdin = strings.NewReader(questions)
	var out, errs bytes.Buffer
	cmd.Stdout, cmd.Stderr = &out, &errs
	if err := cmd.Run(); err != nil {
		t.Fatalf("z3: %v %s %.500s", err, errs.String(), out.String())
	}
	return strings.Fields(out.String())
}

func TestDecisionsAgainstSolver(t *testing.T) {
	r := rand.New(rand.NewPCG(2, 25))
	var tables []*solverTable
	start := time.Now()
	for _, decision := range []string{"simple", "guarded", "guarded 0.83", "guarded 2"} {
		var b lines
		b.add("library \"Random\" { decision %s }", decision)
		from := len(tables)
		for range tablesForSolver / 4 {
			x := &solverTable{never: map[int]bool{}, emptied: map[int]bool{}, overlap: map[[2]int]*big.Rat{}}
			if rule, factor, ok := strings.Cut(decision, " "); ok {
				x.factor = rat(factor)
			} else if rule == "guarded" {
				x.factor = rat("1")
			}
			x.write(r, len(tables), &b)
			tables = append(tables, x)
		}
		verdicts(t, b.String(), tables[from:])
	}
	kinds := map[string]int{}
	for _, x := range tables {
		switch {
		case len(x.gaps)+len(x.overlap)+len(x.never)+len(x.emptied) == 0:
			kinds["sound"]++
		default:
			kinds["gaps"] += min(1, len(x.gaps))
			kinds["overlaps"] += min(1, len(x.overlap))
			kinds["never"] += min(1, len(x.never))
			kinds["emptied"] += min(1, len(x.emptied))
		}
	}
	t.Logf("%d tables judged in %v: %v", len(tables), time.Since(start).Round(time.Millisecond), kinds)
	for kind, least := range map[string]int{"sound": 100, "gaps": 1000, "overlaps": 1000, "never": 1000, "emptied": 300} {
		if kinds[kind] < least {
			t.Errorf("only %d tables are %s: the test shows little", kinds[kind], kind)
		}
	}

	var q strings.Builder
	for _, x := range tables {
		denied, claimed := x.formulas()
		q.WriteString(denied)
		q.WriteString(claimed)
	}
	// The solver must notice: verdicts spoilt on purpose.
	spoilt := 0
	for i := 0; spoilt < 200 && i < len(tables); i++ {
		x := *tables[i]
		switch {
		case len(x.gaps) > 0 && !x.reversed:
			x.gaps = nil
		case len(x.overlap) > 0:
			x.overlap = nil
		case len(x.never) > 0:
			x.never = nil
		default:
			continue
		}
		denied, claimed := x.formulas()
		q.WriteString(denied)
		q.WriteString(claimed)
		spoilt++
	}
	start = time.Now()
	answers := solved(t, q.String())
	if len(answers) != 2*(len(tables)+spoilt) {
		t.Fatalf("%d answers to %d questions", len(answers), 2*(len(tables)+spoilt))
	}
	differ := 0
	for i, x := range tables {
		if denied, claimed := answers[2*i], answers[2*i+1]; denied != "unsat" || claimed != "sat" {
			if differ++; differ <= 5 {
				t.Errorf("table %d differs (denied: %s, claimed: %s): %+v", i, denied, claimed, describe(x))
			}
		}
	}
	for i := len(tables); i < len(tables)+spoilt; i++ {
		if answers[2*i] == "unsat" && answers[2*i+1] == "sat" {
			t.Error("a verdict spoilt on purpose goes unnoticed")
		}
	}
	t.Logf("z3 answered %d questions in %v: %d of %d tables differ, and %d spoilt ones are noticed", len(answers), time.Since(start).Round(time.Millisecond), differ, len(tables), spoilt)
}

// verdicts puts a library of tables through the rules and reads the messages.
func verdicts(t *testing.T, text string, tables []*solverTable) {
	t.Helper()
	f, ms := syntax.Load([]byte(text), "random.proc")
	parsed := syntax.Parse(f)
	lib, more := library.Bind([]*syntax.File{parsed})
	for _, m := range append(append(ms, parsed.Messages...), more...) {
		if m.IsError() {
			t.Fatal(tell(m))
		}
	}
	byLine := map[int]*solverTable{}
	for _, x := range tables {
		for l := x.first; l <= x.last; l++ {
			byLine[l] = x
		}
	}
	for _, p := range lib.Procedures {
		for _, m := range rules.Check(lib, p, nil) {
			line, _ := f.Position(m.Span.Start)
			x := byLine[line]
			if x == nil {
				t.Fatal("a message beside the tables:", tell(m))
			}
			if err := x.read(m, line); err != nil {
				t.Error(err)
			}
		}
	}
}

func describe(x *solverTable) string {
	s := fmt.Sprintf("%s read in %s, from %s to %s by %s, U %s relative %v, factor %v", x.unit.code, x.reading.code, x.from.RatString(), x.to.RatString(), x.step.RatString(), x.u.RatString(), x.relative, x.factor)
	for i := range x.branches {
		b := &x.branches[i]
		s += fmt.Sprintf("\n  %d accept %v: %s", i, b.accept, b.in("x"))
	}
	return s + fmt.Sprintf("\n  never %v emptied %v overlaps %v gaps %v", x.never, x.emptied, x.overlap, x.gaps)
}
