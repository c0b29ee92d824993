package flowmap

import (
	"fmt"
	"math"
	"math/rand"
	"reflect"
	"strings"
	"testing"

	"benchproof/compiler/document"
)

type rect struct{ left, top, right, bottom float64 }

func (r rect) meets(s rect) bool {
	return r.left < s.right && s.left < r.right && r.top < s.bottom && s.top < r.bottom
}

func (r rect) shrink(d float64) rect {
	return rect{r.left + d, r.top + d, r.right - d, r.bottom - d}
}

func boxRect(b Box) rect { return rect{b.X, b.Y, b.X + b.W, b.Y + b.H} }

// stretch is the rectangle of a stretch of a line: level or upright, so one of
// its sides is zero.
func stretch(p, q Point) rect {
	return rect{min(p.X, q.X), min(p.Y, q.Y), max(p.X, q.X), max(p.Y, q.Y)}
}

func textRect(t Text) rect {
	w := measure(t.Text, t.Size)
	left := t.X
	switch t.Anchor {
	case Middle:
		left -= w / 2
	case End:
		left -= w
	}
	return rect{left, t.Y - ascent*t.Size, left + w, t.Y}
}

// check tests what must hold of every page.
func check(t *testing.T, p Page) {
	t.Helper()
	const tiny = 0.01
	page := rect{-tiny, -tiny, p.Width + tiny, p.Height + tiny}
	inside := func(r rect) bool {
		return r.left >= page.left && r.right <= page.right && r.top >= page.top && r.bottom <= page.bottom
	}
	for i, b := range p.Boxes {
		if !inside(boxRect(b)) {
			t.Errorf("box %d reaches beyond the page", i)
		}
		for j := range i {
			if boxRect(b).meets(boxRect(p.Boxes[j])) {
				t.Errorf("boxes %d and %d overlap", j, i)
			}
		}
	}
	for i, l := range p.Lines {
		for k := 1; k < len(l.Points); k++ {
			s := stretch(l.Points[k-1], l.Points[k])
			if !inside(s) {
				t.Errorf("line %d reaches beyond the page", i)
			}
			if s.right-s.left > tiny && s.bottom-s.top > tiny {
				t.Errorf("line %d is neither level nor upright at %v", i, s)
			}
			for j, b := range p.Boxes {
				r := boxRect(b).shrink(0.5)
				if s.left < r.right && s.right > r.left && s.top < r.bottom && s.bottom > r.top {
					t.Errorf("line %d (%d to %d) passes through box %d (%d)", i, l.From, l.To, j, b.Node)
				}
			}
		}
	}
	for i, x := range p.Texts {
		r := textRect(x)
		if !inside(r) {
			t.Errorf("text %q reaches beyond the page", x.Text)
		}
		if x.Box >= 0 {
			if b := boxRect(p.Boxes[x.Box]); r.left < b.left || r.right > b.right || r.top < b.top || r.bottom > b.bottom {
				t.Errorf("text %q does not fit its box", x.Text)
			}
			continue
		}
		for j, b := range p.Boxes {
			if r.meets(boxRect(b)) {
				t.Errorf("label %q lies over box %d", x.Text, j)
			}
		}
		for j, y := range p.Texts {
			if j != i && r.meets(textRect(y)) {
				t.Errorf("label %q lies over %q", x.Text, y.Text)
			}
		}
		for j, l := range p.Lines {
			for k := 1; k < len(l.Points); k++ {
				s := stretch(l.Points[k-1], l.Points[k])
				if s.left < r.right && s.right > r.left && s.top < r.bottom && s.bottom > r.top {
					t.Errorf("label %q lies over line %d", x.Text, j)
				}
			}
		}
	}
}

// crossed names the lines of different origin and different end that cross.
func crossed(p Page) []string {
	var out []string
	for i, l := range p.Lines {
		for _, m := range p.Lines[:i] {
			if l.From == m.From || l.To == m.To {
				continue
			}
			for a := 1; a < len(l.Points); a++ {
				for b := 1; b < len(m.Points); b++ {
					s, q := stretch(l.Points[a-1], l.Points[a]), stretch(m.Points[b-1], m.Points[b])
					if s.left <= q.right && q.left <= s.right && s.top <= q.bottom && q.top <= s.bottom {
						out = append(out, fmt.Sprintf("%d to %d crosses %d to %d", l.From, l.To, m.From, m.To))
					}
				}
			}
		}
	}
	return out
}

// shown checks that the pages hold every node and every line of the map.
func shown(t *testing.T, m document.Map, pages []Page) {
	t.Helper()
	nodes := make([]bool, len(m.Nodes))
	lines := map[[2]int]bool{}
	for _, p := range pages {
		for _, b := range p.Boxes {
			if b.Kind != Connector {
				nodes[b.Node] = true
			}
		}
		for _, l := range p.Lines {
			lines[[2]int{l.From, l.To}] = true
		}
	}
	for i, ok := range nodes {
		if !ok {
			t.Errorf("node %d is not shown", i)
		}
	}
	for _, e := range m.Edges {
		if !lines[[2]int{e.From, e.To}] {
			t.Errorf("the line from %d to %d is not shown", e.From, e.To)
		}
	}
}

func TestStructuredMapsHaveNoCrossings(t *testing.T) {
	for seed := range int64(400) {
		m := structured(rand.New(rand.NewSource(seed)), 5+int(seed)%60)
		for _, o := range []Options{options(), {Width: 540, MaxHeight: 300, Measure: measure}, {Width: 1e6, MaxHeight: 1e6, Measure: measure}} {
			pages, err := Layout(m, o)
			if err != nil {
				t.Fatal(err)
			}
			shown(t, m, pages)
			for i, p := range pages {
				check(t, p)
				for _, c := range crossed(p) {
					t.Errorf("seed %d, room %g, page %d: %s", seed, o.Width, i, c)
				}
				if p.Width > o.Width || p.Height > o.MaxHeight {
					t.Logf("seed %d, page %d: %.0f by %.0f in a room of %.0f by %.0f", seed, i, p.Width, p.Height, o.Width, o.MaxHeight)
				}
			}
			if t.Failed() {
				t.Fatalf("seed %d, room %g by %g", seed, o.Width, o.MaxHeight)
			}
		}
	}
}

// TestAnyGraph lays out graphs that no procedure gives: lines that jump into
// branches, rings without a beginning, pieces apart, lines doubled. They may
// cross, but boxes and labels stay clear of lines.
func TestAnyGraph(t *testing.T) {
	for seed := range int64(300) {
		r := rand.New(rand.NewSource(seed))
		var p plan
		kinds := []document.MapKind{work, decision, loop, finish}
		for range 1 + r.Intn(40) {
			p.node(kinds[r.Intn(4)], strings.Repeat("word ", r.Intn(6)), "")
		}
		for range r.Intn(2 * len(p.Nodes)) {
			p.Edges = append(p.Edges, document.MapEdge{From: r.Intn(len(p.Nodes)), To: r.Intn(len(p.Nodes)),
				Label: strings.Repeat("way ", r.Intn(3)), Back: r.Intn(9) == 0})
		}
		pages, err := Layout(p.Map, options())
		if err != nil {
			t.Fatal(err)
		}
		shown(t, p.Map, pages)
		for _, p := range pages {
			check(t, p)
		}
		if t.Failed() {
			t.Fatalf("seed %d", seed)
		}
	}
}

func TestEqualMapsGiveEqualPages(t *testing.T) {
	m := structured(rand.New(rand.NewSource(11)), 80)
	first, err := Layout(m, options())
	if err != nil {
		t.Fatal(err)
	}
	for range 5 {
		again, _ := Layout(m, options())
		if !reflect.DeepEqual(first, again) {
			t.Fatal("the second layout differs from the first")
		}
	}
}

func TestSpineIsStraight(t *testing.T) {
	pages, err := Layout(sealChange(), options())
	if err != nil {
		t.Fatal(err)
	}
	thick := 0
	for _, p := range pages {
		for _, l := range p.Lines {
			if l.Thick {
				thick++
				if len(l.Points) != 2 {
					t.Errorf("the main way bends from %d to %d: %v", l.From, l.To, l.Points)
				}
			}
		}
	}
	if thick < 10 {
		t.Errorf("only %d lines of the main way", thick)
	}
}

func TestConnectorsNameTheOtherPage(t *testing.T) {
	m := structured(rand.New(rand.NewSource(5)), 120)
	pages, err := Layout(m, Options{Width: 400, MaxHeight: 300, Measure: measure})
	if err != nil {
		t.Fatal(err)
	}
	if len(pages) < 3 {
		t.Fatalf("%d pages: the map is too small for this test", len(pages))
	}
	home := map[int]int{}
	for i, p := range pages {
		for _, b := range p.Boxes {
			if b.Kind != Connector {
				home[b.Node] = i
			}
		}
	}
	letters := map[string]int{}
	for i, p := range pages {
		for j, b := range p.Boxes {
			if b.Kind != Connector {
				if b.Sheet != i {
					t.Errorf("box of node %d on page %d says page %d", b.Node, i, b.Sheet)
				}
				continue
			}
			if b.Sheet != i && b.Sheet != home[b.Node] && home[b.Node] != i {
				t.Errorf("connector to node %d on page %d says page %d; the node is on page %d", b.Node, i, b.Sheet, home[b.Node])
			}
			for _, x := range p.Texts {
				if x.Box != j {
					continue
				}
				if n, ok := letters[x.Text]; ok && n != b.Node {
					t.Errorf("letter %s stands for nodes %d and %d", x.Text, n, b.Node)
				}
				letters[x.Text] = b.Node
			}
		}
	}
}

func TestBandsApart(t *testing.T) {
	o := options()
	together, err := Layout(sealChange(), o)
	if err != nil {
		t.Fatal(err)
	}
	o.Apart = true
	apart, err := Layout(sealChange(), o)
	if err != nil {
		t.Fatal(err)
	}
	shown(t, sealChange(), apart)
	high := bandGap * float64(len(apart)-len(together))
	for _, p := range apart {
		check(t, p)
		high += p.Height
	}
	for _, p := range together {
		high -= p.Height
	}
	if len(apart) < 3 || math.Abs(high) > 0.01 {
		t.Errorf("%d bands, %g higher than together", len(apart), high)
	}
}

func TestWideDecisionsGoOn(t *testing.T) {
	var p plan
	d := p.node(decision, "Which fault?", "")
	join := p.node(work, "Go on", "")
	for i := range 60 {
		n := p.node(work, fmt.Sprintf("Fault %d", i), "")
		p.edge(d, n, fmt.Sprintf("fault %d", i))
		p.edge(n, join, "")
	}
	o := options()
	pages, err := Layout(p.Map, o)
	if err != nil {
		t.Fatal(err)
	}
	shown(t, p.Map, pages)
	for _, p := range pages {
		check(t, p)
		if p.Height > o.MaxHeight {
			t.Errorf("a page is %.0f high", p.Height)
		}
	}
}

func TestTexts(t *testing.T) {
	ty := typist{size: 10, measure: measure, widths: map[string]float64{}}
	for _, c := range []struct {
		text  string
		width float64
		want  []string
	}{
		{"", 50, nil},
		{"  ", 50, nil},
		{"Fit the seal", 200, []string{"Fit the seal"}},
		{"Fit the new seal", 50, []string{"Fit the", "new seal"}},
		{"at most 40 °C", 40, []string{"at most", "40\u00a0°C"}},
		{strings.Repeat("x", 60), 50, []string{strings.Repeat("x", 28), strings.Repeat("x", 28), "xxxx"}},
		{"Прокладка корпуса", 60, []string{"Прокладка", "корпуса"}},
	} {
		if got := ty.wrap(c.text, c.width); !reflect.DeepEqual(got, c.want) {
			t.Errorf("wrap %q to %g: %q, want %q", c.text, c.width, got, c.want)
		}
	}
}

func TestBadInput(t *testing.T) {
	var p plan
	p.node(work, "a", "")
	p.edge(0, 4, "")
	var q plan
	q.node(work, "a", "")
	q.Nodes[0].ID = 7
	for name, c := range map[string]struct {
		m    document.Map
		o    Options
		want string
	}{
		"edge":    {p.Map, options(), "job map: a line from 0 to 4, but there are 1 nodes"},
		"id":      {q.Map, options(), "job map: node 0 has the number 7"},
		"measure": {q.Map, Options{Width: 1, MaxHeight: 1}, "job map: no way to measure text"},
		"room":    {q.Map, Options{Width: 0, MaxHeight: 1, Measure: measure}, "job map: no room: width 0, height 1"},
		"nan":     {q.Map, Options{Width: math.NaN(), MaxHeight: 1, Measure: measure}, "job map: no room: width NaN, height 1"},
	} {
		if _, err := Layout(c.m, c.o); err == nil || err.Error() != c.want {
			t.Errorf("%s: %v, want %s", name, err, c.want)
		}
	}
	if pages, err := Layout(document.Map{}, options()); err != nil || pages != nil {
		t.Errorf("empty map: %v, %v", pages, err)
	}
	// A room too small for anything still shows everything.
	m := sealChange()
	pages, err := Layout(m, Options{Width: 10, MaxHeight: 10, Measure: measure})
	if err != nil {
		t.Fatal(err)
	}
	shown(t, m, pages)
}

func TestSVGEscapesText(t *testing.T) {
	var p plan
	p.node(work, `<script>"&'`, "")
	pages, err := Layout(p.Map, options())
	if err != nil {
		t.Fatal(err)
	}
	out := string(AppendSVG(nil, pages[0], `</title><script>`, "img", func(b Box) string { return `#step-"1` }))
	if strings.Contains(out, "<script") || !strings.Contains(out, `href="#step-&#34;1"`) {
		t.Error(out)
	}
}

// BenchmarkLayout reports how the work grows: bands, cells and lines are
// counted, so that a change shows in numbers that do not depend on the machine.
func BenchmarkLayout(b *testing.B) {
	for _, n := range []int{60, 200, 2000} {
		m := structured(rand.New(rand.NewSource(1)), n)
		b.Run(fmt.Sprint(n), func(b *testing.B) {
			b.ReportAllocs()
			pages := 0
			for b.Loop() {
				p, err := Layout(m, options())
				if err != nil {
					b.Fatal(err)
				}
				pages = len(p)
			}
			b.ReportMetric(float64(len(m.Nodes)), "nodes")
			b.ReportMetric(float64(pages), "pages")
		})
	}
}

// TestWorkGrowsWithTheMap counts cells, the unit of all later work: bands are
// short, so even a line back over the whole map adds only two connectors.
func TestWorkGrowsWithTheMap(t *testing.T) {
	for _, nodes := range []int{200, 2000} {
		m := structured(rand.New(rand.NewSource(2)), nodes)
		m.Edges = append(m.Edges, document.MapEdge{From: len(m.Nodes) - 1, To: 0, Back: true})
		ty := typist{size: 10, measure: measure, widths: map[string]float64{}}
		g := newGraph(m, &ty, maxBranches)
		cells, highest := 0, 0
		for _, b := range g.cut(&ty, 510, 14) {
			cells += len(b.row.cells)
			for _, layer := range b.row.inLayer {
				highest = max(highest, len(layer))
			}
		}
		if most := 5 * len(m.Nodes); cells > most {
			t.Errorf("%d nodes take %d cells, more than %d", len(m.Nodes), cells, most)
		}
		if highest > 40 {
			t.Errorf("a layer of %d cells", highest)
		}
	}
}
