package flowmap

import (
	"flag"
	"fmt"
	"math/rand"
	"os"
	"strings"
	"testing"
	"unicode/utf8"

	"benchproof/compiler/document"
)

var sheet = flag.String("sheet", "", "write the sample maps to this HTML file")

// measure stands in for a font: about as wide as a narrow sans.
func measure(s string, size float64) float64 {
	return float64(utf8.RuneCountInString(s)) * size * 0.5
}

func options() Options { return Options{Width: 510, MaxHeight: 640, Measure: measure} }

// plan writes maps briefly.
type plan struct{ document.Map }

func (p *plan) node(kind document.MapKind, label, detail string) int {
	n := document.MapNode{ID: len(p.Nodes), Kind: kind, Label: label, Detail: detail}
	if kind == document.MapFinish {
		n.Outcome = label
	}
	p.Nodes = append(p.Nodes, n)
	return n.ID
}

func (p *plan) edge(from, to int, label string) {
	p.Edges = append(p.Edges, document.MapEdge{From: from, To: to, Label: label})
}

func (p *plan) back(from, to int, label string) {
	p.Edges = append(p.Edges, document.MapEdge{From: from, To: to, Label: label, Back: true})
}

const (
	work     = document.MapWork
	decision = document.MapDecision
	loop     = document.MapLoop
	finish   = document.MapFinish
)

// sealChange is the map of a seal change as the compiler may give it.
func sealChange() document.Map {
	var p plan
	safe := p.node(work, "Make the pump safe", "1–4")
	cool := p.node(work, "Read the casing temperature", "5")
	hot := p.node(loop, "at most 40 °C?", "")
	wait := p.node(work, "Let it cool", "6")
	refer1 := p.node(finish, "refer", "")
	apart := p.node(work, "Take the pump apart", "7–13")
	sleeve := p.node(decision, "Sleeve diameter", "14")
	refer2 := p.node(finish, "refer", "")
	fresh := p.node(work, "New sleeve", "15–16")
	refer3 := p.node(finish, "refer", "")
	runout := p.node(work, "Read the runout", "17")
	until := p.node(loop, "at most 0.05 mm?", "")
	clean := p.node(work, "Clean, set again", "18")
	refer4 := p.node(finish, "refer", "")
	fit := p.node(work, "Fit the new seal", "19–22")
	back := p.node(work, "Put the pump back to work", "23–29")
	leak := p.node(decision, "Does it leak?", "")
	done := p.node(finish, "serviceable", "")
	refer5 := p.node(finish, "refer", "")
	p.edge(safe, cool, "")
	p.edge(cool, hot, "")
	p.edge(hot, apart, "yes")
	p.edge(hot, wait, "no")
	p.back(wait, cool, "")
	p.edge(hot, refer1, "after 4 times")
	p.edge(apart, sleeve, "")
	p.edge(sleeve, refer2, "too big")
	p.edge(sleeve, runout, "can stay")
	p.edge(sleeve, fresh, "worn")
	p.edge(sleeve, refer3, "damaged")
	p.edge(fresh, runout, "")
	p.edge(runout, until, "")
	p.edge(until, fit, "yes")
	p.edge(until, clean, "no")
	p.back(clean, runout, "")
	p.edge(until, refer4, "after 2 times")
	p.edge(fit, back, "")
	p.edge(back, leak, "")
	p.edge(leak, done, "dry")
	p.edge(leak, refer5, "drips")
	return p.Map
}

// structured grows a random map of the kind the language can say: branches
// that join again or finish, loops with a way out and one for the last failed
// turn.
func structured(r *rand.Rand, nodes int) document.Map {
	var p plan
	text := func(most int) string {
		var w []string
		for range 1 + r.Intn(most) {
			w = append(w, []string{"fit", "seal", "the impeller nut", "sleeve", "31.8 mm", "measure", "Ø 40"}[r.Intn(7)])
		}
		return strings.Join(w, " ")
	}
	type end struct {
		node  int
		label string
	}
	// block grows from open ends and returns the ends that go on.
	var block func(ends []end, budget, depth int) []end
	enter := func(ends []end, n int) {
		for _, e := range ends {
			p.edge(e.node, n, e.label)
		}
	}
	block = func(ends []end, budget, depth int) []end {
		for budget > 0 && len(ends) > 0 {
			switch k := r.Intn(10); {
			case k < 5 || depth > 5:
				n := p.node(work, text(4), fmt.Sprint(len(p.Nodes)))
				enter(ends, n)
				ends = []end{{n, ""}}
				budget--
			case k < 8:
				d := p.node(decision, text(3), "")
				enter(ends, d)
				budget--
				ends = nil
				ways := 2 + r.Intn(3)
				for w := range ways {
					share := r.Intn(budget/ways + 1)
					out := block([]end{{d, text(2)}}, share, depth+1)
					if w > 0 && r.Intn(3) == 0 && len(out) > 0 {
						f := p.node(finish, "refer", "")
						enter(out, f)
						out = nil
						budget--
					}
					ends = append(ends, out...)
					budget -= share
				}
			default:
				head := p.node(work, text(3), "")
				enter(ends, head)
				inner := block([]end{{head, ""}}, r.Intn(min(budget, 5)), depth+1)
				if len(inner) == 0 {
					return nil
				}
				u := p.node(loop, text(2), "")
				enter(inner, u)
				budget -= 2
				if r.Intn(2) == 0 {
					again := p.node(work, text(2), "")
					p.edge(u, again, "no")
					p.back(again, head, "")
					budget--
				} else {
					p.back(u, head, "no")
				}
				ends = []end{{u, "yes"}}
				if r.Intn(2) == 0 {
					f := p.node(finish, "refer", "")
					p.edge(u, f, "after 3")
				} else {
					o := p.node(work, text(2), "")
					p.edge(u, o, "after 3")
					ends = append(ends, end{o, ""})
				}
			}
		}
		return ends
	}
	start := p.node(work, "Start", "1")
	ends := block([]end{{start, ""}}, nodes, 0)
	if len(ends) > 0 {
		enter(ends, p.node(finish, "serviceable", ""))
	}
	return p.Map
}

// TestSamples lays out the maps people look at when the layout changes.
func TestSamples(t *testing.T) {
	maps := []document.Map{sealChange(), structured(rand.New(rand.NewSource(3)), 18), structured(rand.New(rand.NewSource(8)), 40)}
	var b strings.Builder
	b.WriteString(`<!doctype html><meta charset="utf-8"><title>maps</title><style>body{font-family:"Liberation Sans";margin:20px}svg{display:block;margin-bottom:30px}</style>`)
	for _, m := range maps {
		pages, err := Layout(m, options())
		if err != nil {
			t.Fatal(err)
		}
		for _, p := range pages {
			check(t, p)
			b.Write(append(AppendSVG(nil, p, "Job map", "img", nil), "<hr>"...))
		}
	}
	if *sheet != "" {
		if err := os.WriteFile(*sheet, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
