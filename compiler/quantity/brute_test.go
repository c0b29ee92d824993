package quantity

import (
	"math/rand/v2"
	"testing"
)

// The tests here compare with brute force: a scale small enough to walk
// through value by value, and ranges judged by nothing but Range.Contains.

// world is a scale and every place at which an answer can differ.
type world struct {
	scale  Scale
	points []Number
	ends   func(r *rand.Rand) Number // a value for the end of a range
}

// newWorld returns a random stepped or continuous scale. The values of a
// continuous one are walked in halves: its ranges end at whole numbers, so
// between two neighbouring points nothing changes.
func newWorld(r *rand.Rand) world {
	low, n := int64(r.IntN(11)-5), int64(r.IntN(14))
	if r.IntN(3) == 0 {
		w := world{scale: Scale{From: NewInt(low), To: NewInt(low + n)}}
		for k := 2 * low; k <= 2*(low+n); k++ {
			w.points = append(w.points, NewFrac(k, 2))
		}
		w.ends = func(r *rand.Rand) Number { return NewInt(low - 2 + r.Int64N(n+5)) }
		return w
	}
	step := NewFrac(int64(r.IntN(9)+1), int64(r.IntN(9)+1))
	var origin Number
	if r.IntN(3) == 0 {
		origin = NewFrac(int64(r.IntN(19)-9), 7)
	}
	// Ends that are not values of the scale are drawn as often as those that are.
	off := func(r *rand.Rand) Number {
		return step.Mul(NewFrac(int64(r.IntN(3)), 3))
	}
	at := func(k int64) Number { return origin.Add(step.Mul(NewInt(k))) }
	w := world{scale: Scale{From: at(low).Sub(off(r)), To: at(low + n).Add(off(r)), Step: step, Origin: origin}}
	for k := low; k <= low+n; k++ {
		w.points = append(w.points, at(k))
	}
	w.ends = func(r *rand.Rand) Number { return at(low - 2 + r.Int64N(n+5)).Add(off(r)) }
	return w
}

func (w world) randomRange(r *rand.Rand) Range {
	e := func() End {
		if r.IntN(6) == 0 {
			return End{Unbounded: true}
		}
		return End{Value: w.ends(r), Open: r.IntN(2) == 0}
	}
	out := Range{e(), e()}
	if r.IntN(8) > 0 && !out.Low.Unbounded && !out.High.Unbounded && out.Low.Value.Cmp(out.High.Value) > 0 {
		out.Low, out.High = out.High, out.Low
	}
	return out
}

func (w world) randomRanges(r *rand.Rand) []Range {
	out := make([]Range, r.IntN(5))
	for i := range out {
		out[i] = w.randomRange(r)
	}
	return out
}

func inAny(ranges []Range, v Number) bool {
	for _, r := range ranges {
		if r.Contains(v) {
			return true
		}
	}
	return false
}

func TestScaleAgreesWithBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(5, 6))
	for range 5_000 {
		w := newWorld(r)
		rg := w.randomRange(r)
		var in []Number
		for _, v := range w.points {
			if !w.scale.Shows(v) {
				t.Fatalf("%+v does not show %s", w.scale, v)
			}
			if rg.Contains(v) {
				in = append(in, v)
			}
		}
		if got := w.scale.ShowsAny(rg); got != (len(in) > 0) {
			t.Fatalf("%+v shows any of %s: %v", w.scale, rg, got)
		}
		example, ok := w.scale.Middle(rg)
		if ok != (len(in) > 0) || ok && (!w.scale.Shows(example) || !rg.Contains(example)) {
			t.Fatalf("%+v of %s: example %s, %v", w.scale, rg, example, ok)
		}
		other := w.randomRange(r)
		both, any := rg.Intersect(other)
		for _, v := range w.points {
			if both.Contains(v) != (rg.Contains(v) && other.Contains(v)) || both.Contains(v) && !any {
				t.Fatalf("%s and %s: %s, %v, at %s", rg, other, both, any, v)
			}
		}
		if w.scale.Continuous() {
			continue
		}
		if n, finite := w.scale.Count(rg); !finite || !n.Equal(NewInt(int64(len(in)))) {
			t.Fatalf("%+v of %s: %s values, want %d", w.scale, rg, n, len(in))
		}
		first, ok1 := w.scale.First(rg)
		last, ok2 := w.scale.Last(rg)
		if ok1 != (len(in) > 0) || ok2 != ok1 || ok1 && (!first.Equal(in[0]) || !last.Equal(in[len(in)-1])) {
			t.Fatalf("%+v of %s: from %s to %s, want %v", w.scale, rg, first, last, in)
		}
		v := w.ends(r)
		var want [4]*Number // next, previous, up, down
		for i := range w.points {
			p, c := &w.points[i], w.points[i].Cmp(v)
			if c > 0 && want[0] == nil {
				want[0] = p
			}
			if c < 0 {
				want[1] = p
			}
			if c >= 0 && want[2] == nil {
				want[2] = p
			}
			if c <= 0 {
				want[3] = p
			}
		}
		for i, f := range []func(Number) (Number, bool){w.scale.Next, w.scale.Prev, w.scale.Up, w.scale.Down} {
			got, ok := f(v)
			if ok != (want[i] != nil) || ok && !got.Equal(*want[i]) {
				t.Fatalf("%+v at %s, function %d: %s, %v", w.scale, v, i, got, ok)
			}
		}
		if off := v.Add(w.scale.Step.Mul(NewFrac(1, 7))); w.scale.Shows(v) && w.scale.Shows(off) {
			t.Fatalf("%+v shows %s", w.scale, off)
		}
	}
}

func TestSetAgreesWithBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(7, 8))
	for range 10_000 {
		w := newWorld(r)
		ra, rb := w.randomRanges(r), w.randomRanges(r)
		a, b := SetOf(w.scale, ra...), SetOf(w.scale, rb...)
		check := func(name string, s Set, want func(v Number) bool) {
			t.Helper()
			var count int
			for _, v := range w.points {
				if s.Contains(v) != want(v) {
					t.Fatalf("%s of %v and %v on %+v: %s in it: %v", name, ra, rb, w.scale, v, s.Contains(v))
				}
				if want(v) {
					count++
				}
				if inAny(s.Ranges(), v) != want(v) {
					t.Fatalf("%s of %v and %v on %+v: ranges %v at %s", name, ra, rb, w.scale, s.Ranges(), v)
				}
			}
			if s.Empty() != (count == 0) || !s.Empty() && !s.Contains(s.Sample()) {
				t.Fatalf("%s of %v and %v on %+v: empty %v, sample %s", name, ra, rb, w.scale, s.Empty(), s.Sample())
			}
			again := SetOf(w.scale, s.Ranges()...)
			if !again.Equal(s) || again.Key() != s.Key() {
				t.Fatalf("%s of %v and %v on %+v is not normal: %v", name, ra, rb, w.scale, s.Ranges())
			}
			for i, rg := range s.Ranges() {
				if i > 0 && !w.scale.ShowsAny(Range{Low: opposite(s.Ranges()[i-1].High), High: opposite(rg.Low)}) {
					t.Fatalf("%s: ranges touch: %v", name, s.Ranges())
				}
			}
		}
		inA, inB := func(v Number) bool { return inAny(ra, v) }, func(v Number) bool { return inAny(rb, v) }
		check("first", a, inA)
		check("union", a.Union(b), func(v Number) bool { return inA(v) || inB(v) })
		check("intersection", a.Intersect(b), func(v Number) bool { return inA(v) && inB(v) })
		check("difference", a.Minus(b), func(v Number) bool { return inA(v) && !inB(v) })
		same := true
		for _, v := range w.points {
			same = same && inA(v) == inB(v)
		}
		if a.Equal(b) != same || (a.Key() == b.Key()) != same {
			t.Fatalf("%v and %v on %+v equal: %v, keys %q, %q", ra, rb, w.scale, a.Equal(b), a.Key(), b.Key())
		}
	}
}

func opposite(e End) End {
	e.Open = !e.Open
	return e
}

func TestPartitionAgreesWithBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(9, 10))
	sound := 0
	for range 10_000 {
		w := newWorld(r)
		var ranges []Range
		if r.IntN(2) == 0 {
			ranges = w.randomRanges(r)
		} else {
			ranges = w.randomPartition(r)
			if r.IntN(3) == 0 {
				i := r.IntN(len(ranges))
				ranges[i].Low.Open = !ranges[i].Low.Open
			}
		}
		v := Partition(w.scale, ranges)
		if v.Sound() {
			sound++
		}
		happens := make([]bool, len(ranges))
		gaps := make([]Range, len(v.Gaps))
		for i, g := range v.Gaps {
			gaps[i] = g.Range
			if !w.scale.Shows(g.Example) || !g.Range.Contains(g.Example) || inAny(ranges, g.Example) {
				t.Fatalf("%v on %+v: gap %s, example %s", ranges, w.scale, g.Range, g.Example)
			}
		}
		for _, o := range v.Overlaps {
			if o.I >= o.J || !w.scale.Shows(o.Example) || !ranges[o.I].Contains(o.Example) || !ranges[o.J].Contains(o.Example) {
				t.Fatalf("%v on %+v: overlap %+v", ranges, w.scale, o)
			}
		}
		for _, p := range w.points {
			for i, rg := range ranges {
				happens[i] = happens[i] || rg.Contains(p)
				for j := range i {
					var listed []Range
					for _, o := range v.Overlaps {
						if o.I == j && o.J == i {
							listed = append(listed, o.Range)
						}
					}
					if len(listed) > 1 || inAny(listed, p) != (rg.Contains(p) && ranges[j].Contains(p)) {
						t.Fatalf("%v on %+v: overlap of %d and %d: %v, at %s", ranges, w.scale, j, i, listed, p)
					}
				}
			}
			if inAny(gaps, p) == inAny(ranges, p) {
				t.Fatalf("%v on %+v: gaps %v at %s", ranges, w.scale, gaps, p)
			}
		}
		never := make(map[int]bool)
		for _, i := range v.Never {
			never[i] = true
		}
		for i, h := range happens {
			if h == never[i] {
				t.Fatalf("%v on %+v: range %d never happens: %v", ranges, w.scale, i, never[i])
			}
		}
	}
	if sound < 500 {
		t.Errorf("only %d of the decisions were sound: the test hardly looks at those", sound)
	}
}

// randomPartition returns ranges that share their ends, the last of one closed
// where the first of the next is open.
func (w world) randomPartition(r *rand.Rand) []Range {
	out := []Range{All()}
	for range r.IntN(5) {
		v, open := w.ends(r), r.IntN(2) == 0
		for i, rg := range out {
			lower, upper := rg, rg
			lower.High, upper.Low = End{Value: v, Open: !open}, End{Value: v, Open: open}
			if w.scale.ShowsAny(lower) && w.scale.ShowsAny(upper) && rg.Contains(v) {
				out[i] = lower
				out = append(out, upper)
				break
			}
		}
	}
	return out
}

// TestGuardAgreesWithBruteForce compares with the meaning of a guard band: a
// reading is accepted when every value that it may stand for, within g on
// either side and as far as the instrument goes, is accepted as drawn.
func TestGuardAgreesWithBruteForce(t *testing.T) {
	r := rand.New(rand.NewPCG(11, 12))
	var moved, emptied, kept int
	for range 10_000 {
		// Limits and guard bands are whole; readings whole, or (continuous) halves.
		n := int64(r.IntN(20) + 1)
		scale := Scale{From: NewInt(0), To: NewInt(n), Step: NewInt(1)}
		den := int64(1)
		if r.IntN(3) == 0 {
			scale.Step, den = Number{}, 2
		}
		w := world{scale: scale, ends: func(r *rand.Rand) Number { return NewInt(r.Int64N(n + 1)) }}
		var branches []Branch
		for _, rg := range w.randomPartition(r) {
			branches = append(branches, Branch{rg, r.IntN(2) == 0})
		}
		r.Shuffle(len(branches), func(i, j int) { branches[i], branches[j] = branches[j], branches[i] })
		g := int64(r.IntN(4))
		acting := Guard(scale, branches, Band{Uncertainty: NewFrac(g, 2), Factor: NewInt(2)})

		drawnAccepts := func(v Number) bool {
			for _, b := range branches {
				if b.Accept && b.Range.Contains(v) {
					return true
				}
			}
			return false
		}
		accepted := func(v Number) bool {
			// Quarters reach into every open interval between limits.
			for k := int64(-4 * g); k <= 4*g; k++ {
				w := v.Add(NewFrac(k, 4))
				if w.Cmp(scale.From) >= 0 && w.Cmp(scale.To) <= 0 && !drawnAccepts(w) {
					return false
				}
			}
			return true
		}
		left := make([]bool, len(branches))
		ranges := make([]Range, len(branches))
		anyEmptied := false
		for k := int64(0); k <= n*den; k++ {
			v := NewFrac(k, den)
			for i, b := range branches {
				left[i] = left[i] || b.Accept && b.Range.Contains(v) && accepted(v)
			}
		}
		for i, a := range acting {
			ranges[i] = a.Range
			anyEmptied = anyEmptied || a.Emptied
			if !a.Drawn.Equal(branches[i].Range) || a.LowMoved == a.Range.Low.equal(a.Drawn.Low) || a.HighMoved == a.Range.High.equal(a.Drawn.High) {
				t.Fatalf("%v, g = %d: %+v", branches, g, a)
			}
			if a.LowMoved || a.HighMoved {
				moved++
			}
		}
		anyLost := false
		for i, b := range branches {
			anyLost = anyLost || b.Accept && !left[i]
		}
		if anyLost != anyEmptied {
			t.Fatalf("%v on %+v, g = %d: emptied %v, want %v (%v)", branches, scale, g, anyEmptied, anyLost, ranges)
		}
		if anyEmptied {
			emptied++
			continue
		}
		kept++
		for k := int64(0); k <= n*den; k++ {
			v := NewFrac(k, den)
			holds := 0
			for i, a := range acting {
				if !a.Range.Contains(v) {
					continue
				}
				holds++
				if branches[i].Accept != accepted(v) {
					t.Fatalf("%v on %+v, g = %d: %s is in %s", branches, scale, g, v, a.Range)
				}
			}
			if holds != 1 {
				t.Fatalf("%v on %+v, g = %d: %s is in %d of %v", branches, scale, g, v, holds, ranges)
			}
		}
		if v := Partition(scale, ranges); !v.Sound() {
			t.Fatalf("%v on %+v, g = %d: %v, %+v", branches, scale, g, ranges, v)
		}
	}
	t.Logf("%d ends moved, %d decisions emptied, %d kept", moved, emptied, kept)
	if moved < 2000 || emptied < 500 || kept < 2000 {
		t.Error("the test hardly looks at one of these")
	}
}
