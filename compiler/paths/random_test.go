package paths_test

import (
	"fmt"
	"maps"
	"math/rand/v2"
	"os"
	"slices"
	"strconv"
	"strings"
	"testing"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

const randomHead = `library "Test bench" { owner "Workshop" decision simple }
variant size "Size" { small "small" large "large" }
variant frame "Frame" { light "light" heavy "heavy" }
condition power "Power" { states live, off begins live ends live }
condition water "Water" { states full, drained begins full ends full }
hazard shock danger "Shock" { consequence "Kills." avoid "Lock off." safe when power off proved with tester }
hazard scald warning "Scald" { consequence "Burns." avoid "Wait." safe when water drained }
hazard chips caution "Chips" { consequence "Cut." avoid "Wear gloves." }
tool puller "puller" { }
tool strap "strap" { }
tool tester "tester" { }
tool vice "vice" { }
tool lance "lance" { carries scald }
tool hoist "hoist" { lifts 100 kg }
tool wrench "wrench" { sets from 5 N.m to 25 N.m }
tool gauge "gauge" { reads from 0 mm to 50 mm resolution 0.01 mm }
tool probe "probe" { reads from 0 degC to 90 degC resolution 1 degC }
tool drill-5 "5.0 mm drill" { drills 5 mm }
tool drill-6 "6.0 mm drill" { drills 6 mm }
tool tap-6 "tap" { taps M6 }
tool blower-s "blower" { carries chips }
tool blower-l "blower" { carries scald }
part cover "cover" { guards shock }
part lid "lid" { guards scald }
part bolt "bolt" { }
part hub "hub" { behind bolt }
part rod "rod" { }
part pin "pin" { }
part ring "ring" { single-use }
part spare "spare" { }
part seat "seat" { behind rod }
part seat-s "seat" { kind seat }
part seat-l "seat" { kind seat }
consumable oil "oil" { }
part foot "foot" { }
part foot-h "foot" { }
table make by frame { columns foot light foot heavy foot-h }
part peg "peg" { }
part nail "nail" { }
table fit by size { columns seat, edge, blower, peg small seat-s, 12 mm, blower-s, peg large seat-l, 30 mm, blower-l, nail }
figure sketch "Sketch" { file "sketch.svg" }
video film "Film" { link "film.mp4" from 0:01 to 0:09 }
routine drain "Drain" { step "Drain." { make water drained } step "Fill." { needs water drained make water full } }
procedure next-job "Next" { document "W-2" revision A on 2026-01-01 "x" begins power off ends power off step "Look." }
`

// A writer makes random procedures that are mostly right: what is opened is
// shut again, on the same answer where it was opened on one.
type writer struct {
	*rand.Rand
	lines   []string
	names   int
	repeats int
	decided int
	staged  bool
	open    map[string]bool // what is fitted, off, clamped or not as it ends
	stack   []bracket       // the same, in the order in which it was opened
	chains  *chain          // nil: jobs are handed on to next-job only
	fixed   []string        // questions and readings taken on every path here
}

func (w *writer) line(format string, args ...any) {
	w.lines = append(w.lines, fmt.Sprintf(format, args...))
}

func (w *writer) step(format string, args ...any) {
	w.line("step \"Do it.\" { "+format+" }", args...)
}

func (w *writer) name(stem string) string {
	w.names++
	return stem + "-" + strconv.Itoa(w.names)
}

// A bracket is a pair of actions that belong together, with the name of what they hold.
type bracket struct{ what, open, shut string }

var brackets = []bracket{
	{"puller", "fit puller on hub", "remove puller"},
	{"strap", "fit strap x 2 on rod", "remove strap x 2"},
	{"rod", "remove rod", "refit rod"},
	{"pin", "remove pin x 3", "refit pin x 3"},
	{"peg", "remove fit.peg x 2", "refit fit.peg x 2"},
	{"bolt", "remove bolt x 4", "refit bolt x 4 tighten bolt x 4 to 6, 12 N.m with wrench"},
	{"ring", "remove ring", "fit new ring"},
	{"vice", "clamp spare in vice", "release spare"},
	{"power", "make power off", "make power live"},
	{"water", "make water drained", "make water full"},
}

// A chain is the procedures that a random library's jobs are handed on to.
type chain struct {
	texts []string
	slips bool // some of them begin otherwise than they are handed over
}

// begins is how a procedure says that it begins with a bracket open; those that
// are not here cannot be handed over.
var begins = map[string][2]string{
	"power": {"state", "power off"}, "water": {"state", "water drained"}, "rod": {"part", "rod"}, "pin": {"part", "pin x 3"}, "peg": {"part", "fit.peg x 2"},
	"bolt": {"part", "bolt x 4"}, "hub": {"part", "hub"}, "ring": {"part", "ring"}, "seat": {"part", "seat"}, "cover": {"part", "cover"}, "lid": {"part", "lid"},
}

// next writes a procedure that begins with what is open here, and ends it. It
// gives its name, and the states that are handed over.
func (w *writer) next() (name string, states []string) {
	var parts []string
	for _, b := range w.stack {
		how, ok := begins[b.what]
		switch {
		case !ok:
			return "", nil
		case how[0] == "state":
			states = append(states, how[1])
		case b.what == "seat" && w.IntN(2) == 0:
			parts = append(parts, "fit.seat")
		default:
			parts = append(parts, how[1])
		}
	}
	if len(w.stack) == 0 && w.IntN(3) == 0 {
		return "job", nil
	}
	if len(w.chains.texts) > 6 {
		return "", nil
	}
	own, asked := states, parts
	applies := []string{"", "applies to size small, large", "applies to frame", "applies to size"}[w.IntN(4)]
	if w.chains.slips && w.IntN(3) == 0 {
		switch w.IntN(5) {
		case 0:
			asked = append(slices.Clone(parts), []string{"spare", "fit.seat", "make.foot"}[w.IntN(3)])
		case 1:
			asked = slices.Clone(parts)[:len(parts)/2]
		case 2:
			asked = slices.Clone(parts)
			for i := range asked {
				asked[i] = strings.Replace(strings.Replace(asked[i], " x 4", " x 2", 1), " x 3", "", 1)
			}
		case 3:
			own = slices.Clone(states)[:len(states)/2]
		default:
			applies = "applies to size small"
		}
	}
	name = "next-" + strconv.Itoa(len(w.chains.texts)+1)
	text := "procedure " + name + " \"Next\" { document \"W-" + strconv.Itoa(10+len(w.chains.texts)) + "\" revision A on 2026-01-01 \"x\" " + applies
	if len(own) > 0 {
		text += " begins " + strings.Join(own, ", ")
	}
	if len(asked) > 0 {
		text += " begins without " + strings.Join(asked, ", ")
	}
	at := len(w.chains.texts)
	w.chains.texts = append(w.chains.texts, "")
	inner := &writer{Rand: w.Rand, names: 100 * (at + 1), open: maps.Clone(w.open), stack: slices.Clone(w.stack), chains: w.chains, decided: 3, repeats: 1}
	if applies == "applies to size small" {
		inner.decided = 5 // that a branch for the other size is dead is told elsewhere
	}
	inner.body(1)
	for _, b := range slices.Backward(w.stack) {
		inner.step("%s", b.shut)
	}
	w.chains.texts[at] = text + "\n" + strings.Join(inner.lines, "\n") + "\n}\n"
	return name, states
}

// handOn finishes by handing what is open on to a procedure that begins so.
func (w *writer) handOn() bool {
	name, states := w.next()
	if name == "" {
		return false
	}
	if len(states) > 0 && w.IntN(3) == 0 {
		if w.chains.slips && w.IntN(3) == 0 {
			states = []string{[]string{"power live", "water drained"}[w.IntN(2)]}
		}
		w.line("finish refer to %s { leaves %s }", name, strings.Join(states, ", "))
		return true
	}
	w.line("finish refer to %s", name)
	return true
}

// inside are brackets that need another to be open around them.
var inside = map[string][]bracket{
	"bolt":  {{"hub", "remove hub", "refit hub"}, {"hub", "remove hub", "refit hub"}},
	"rod":   {{"seat", "remove fit.seat", "fit new fit.seat"}, {"seat", "remove seat", "refit seat"}},
	"power": {{"cover", "remove cover verify power off with tester", "refit cover"}},
	"water": {{"lid", "remove lid", "refit lid"}},
}

func (w *writer) body(depth int) {
	for range 1 + w.IntN(3) {
		w.one(depth)
	}
}

func (w *writer) one(depth int) {
	switch k := w.IntN(13); {
	case k < 4 && depth > 0:
		w.bracket(depth, brackets[w.IntN(len(brackets))])
	case k < 6 && depth > 0 && w.decided < 5:
		w.decide(depth)
	case k == 6 && depth > 0 && w.repeats < 1:
		w.repeat(depth)
	case k == 7:
		w.hole()
	case k == 8 && depth == 3 && !w.staged:
		w.staged = true
		w.line("stage \"Part\" {")
		w.body(depth)
		w.line("}")
		w.staged = false
	case k == 9 && !w.open["water"]:
		w.line("perform drain")
	default:
		w.plain()
	}
}

func (w *writer) plain() {
	lines := []string{
		"use oil", "use fit.blower warn chips", "lift rod with hoist", "wait 5 min takes 10 min", "hold \"Lead\" \"Seen\"", "record " + w.name("lot") + " \"Lot\"",
		"by \"Fitter\" note \"Look.\"", "show sketch, film", "warn chips",
	}
	if w.open["power"] {
		lines = append(lines, "needs power off", "verify power off with tester", "warn shock verify power off with tester")
	} else {
		lines = append(lines, "needs power live")
	}
	if w.open["water"] {
		lines = append(lines, "use lance", "warn scald", "needs water drained")
	}
	w.step("%s", lines[w.IntN(len(lines))])
}

func (w *writer) hole() {
	h := w.name("bore")
	switch w.IntN(4) {
	case 0:
		w.step("tap existing %s M6 deep 10 mm with tap-6", h)
	case 1:
		w.step("drill %s 5 mm deep 30 mm with drill-5 tap %s M6 deep 12 mm with tap-6", h, h)
	default:
		w.step("drill %s 5 mm deep 30 mm with drill-5", h)
		w.step("tap %s M6 deep 12 mm with tap-6", h)
	}
}

// bracket opens and shuts, sometimes each on the same answer.
func (w *writer) bracket(depth int, b bracket) {
	if w.open[b.what] {
		w.plain()
		return
	}
	w.open[b.what] = true
	w.stack = append(w.stack, b)
	defer func() {
		delete(w.open, b.what)
		w.stack = w.stack[:len(w.stack)-1]
	}()
	if len(w.fixed) > 0 && w.IntN(4) == 0 {
		q := w.fixed[w.IntN(len(w.fixed))]
		w.line("decide %s { yes { step \"Open.\" { %s } } no { } }", q, b.open)
		if w.IntN(2) == 0 {
			w.plainer()
		}
		w.line("decide %s { yes { step \"Shut.\" { %s } } no { step \"Look.\" } }", q, b.shut)
		return
	}
	w.step("%s", b.open)
	if in := inside[b.what]; len(in) > 0 && w.IntN(2) == 0 {
		w.bracket(depth-1, in[w.IntN(len(in))])
	}
	if depth > 1 {
		w.body(depth - 1)
	}
	w.step("%s", b.shut)
}

func (w *writer) plainer() { w.step("use oil") }

func (w *writer) ask() string {
	q := w.name("q")
	w.step("ask %s \"Well?\" { yes \"yes\" no \"no\" }", q)
	return q
}

func (w *writer) decide(depth int) {
	w.decided++
	fixed := len(w.fixed)
	branch := func(head string) {
		w.line("%s {", head)
		switch {
		case w.IntN(3) == 0:
		case w.chains != nil && w.IntN(3) == 0 && w.handOn():
		case w.IntN(5) == 0 && len(w.open) == 0:
			w.line("finish %s", []string{"scrap", "refer \"Call.\"", "serviceable"}[w.IntN(3)])
		case w.IntN(6) == 0 && len(w.open) == 1 && w.open["power"]:
			w.line("%s", []string{"finish refer to next-job", "finish refer { leaves power off }"}[w.IntN(2)])
		default:
			w.body(depth - 1)
		}
		w.line("}")
		w.fixed = w.fixed[:min(fixed+1, len(w.fixed))]
	}
	switch w.IntN(4) {
	case 0:
		w.line("decide size {")
		branch("small")
		branch("large")
		w.line("}")
	case 1:
		q := w.ask()
		w.fixed = append(w.fixed, q)
		w.line("decide %s {", q)
		branch("yes")
		branch("no")
		w.line("}")
	case 2:
		r := w.name("r")
		w.step("measure smallest of 3 %s in mm with gauge", r)
		w.line("decide %s {", r)
		branch("below 10 mm")
		branch("from 10 mm to below 20 mm")
		branch("at least 20 mm no upper limit")
		w.line("}")
		if w.IntN(2) == 0 {
			w.line("decide %s {", r)
			branch("at most 15 mm")
			branch("above 15 mm")
			w.line("}")
		}
	default:
		r := w.name("r")
		w.step("measure %s in mm with gauge", r)
		w.line("decide %s {", r)
		branch("below fit.edge")
		branch("at least fit.edge")
		w.line("}")
	}
	w.fixed = w.fixed[:min(fixed+1, len(w.fixed))]
}

func (w *writer) repeat(depth int) {
	w.repeats++
	r := w.name("t")
	fixed, head := len(w.fixed), len(w.lines)
	w.line("repeat at most %d times {", 1+w.IntN(3))
	if w.IntN(2) == 0 {
		w.body(depth - 1)
	}
	// Sometimes it is taken ahead and then behind the until, in every turn or not.
	take, until := fmt.Sprintf("measure %s in degC with probe", r), fmt.Sprintf("until %s at most 40 degC", r)
	if w.IntN(2) == 0 {
		r = "u" + strings.TrimPrefix(r, "t") // a name is of one sort in every procedure
		take = fmt.Sprintf("ask %s \"Well?\" { no \"no\" some \"some\" yes \"yes\" }", r)
		until = []string{"until " + r + " yes", "until " + r + " some, yes"}[w.IntN(2)]
	}
	again := ""
	if w.IntN(4) == 0 {
		w.lines = slices.Insert(w.lines, head, fmt.Sprintf("step \"Do it.\" { %s }", take))
		again = take
	} else {
		w.step("%s", take)
	}
	w.line("%s", until)
	w.body(depth - 1)
	if again != "" && w.IntN(3) > 0 {
		w.step("%s", again)
	}
	w.line("} otherwise {")
	if w.IntN(2) == 0 && len(w.open) == 0 {
		w.line("finish refer \"Call.\"")
	} else {
		w.plain()
	}
	w.line("}")
	w.fixed = w.fixed[:min(fixed, len(w.fixed))]
}

// slip spoils a procedure in one place: an action gone, doubled or moved.
func slip(r *rand.Rand, lines []string) []string {
	out := slices.Clone(lines)
	var acts []int
	for i, l := range out {
		if strings.HasPrefix(l, "step") || strings.Contains(l, "step \"") {
			acts = append(acts, i)
		}
	}
	if len(acts) == 0 {
		return out
	}
	i := acts[r.IntN(len(acts))]
	switch r.IntN(5) {
	case 3:
		out[i] = strings.Replace(out[i], "deep 30 mm", "deep 13 mm", 1)
		out[i] = strings.Replace(out[i], "fit new ring", "refit ring", 1)
	case 4:
		for j, l := range out {
			out[j] = strings.Replace(l, " verify power off with tester }", " }", 1)
		}
	case 0:
		if strings.HasPrefix(out[i], "step") {
			return slices.Delete(out, i, i+1)
		}
		out[i] = strings.Replace(out[i], "yes {", "no {", 1)
		out[i] = strings.Replace(out[i], "} no {", "} yes {", 1)
	case 1:
		if strings.HasPrefix(out[i], "step") && !strings.Contains(out[i], "ask") && !strings.Contains(out[i], "record") {
			return slices.Insert(out, i, out[i])
		}
	default:
		j := acts[r.IntN(len(acts))]
		if strings.HasPrefix(out[i], "step") && strings.HasPrefix(out[j], "step") {
			out[i], out[j] = out[j], out[i]
		}
	}
	return out
}

// Random procedures, judged on all paths at once and one path at a time: the
// verdicts agree, nothing is missed, and no alarm is false.
func TestVerdictsAgreeWithEveryPathTakenSingly(t *testing.T) {
	want := 6000
	if v := os.Getenv("BENCHPROOF_RANDOM"); v != "" {
		want, _ = strconv.Atoi(v)
	}
	sound, faulty, skipped := 0, 0, 0
	codes := map[message.Code]int{}
	for seed := uint64(1); sound+faulty < want; seed++ {
		w := &writer{Rand: rand.New(rand.NewPCG(seed, 7)), open: map[string]bool{}, chains: &chain{slips: seed%3 != 0}}
		w.body(3)
		lines := w.lines
		if seed%3 != 0 {
			lines = slip(w.Rand, lines)
		}
		text := randomHead + "procedure job \"Job\" {\ndocument \"W-1\"\nrevision A on 2026-01-01 \"x\"\napplies to size small, large\n" + strings.Join(lines, "\n") + "\n}\n" + strings.Join(w.chains.texts, "")
		lib, _, ok := randomLibrary(t, text)
		if !ok {
			skipped++
			continue
		}
		for _, p := range lib.Procedures {
			n, few := enumerate(lib, p)
			if p.Broken || !few {
				skipped++
				continue
			}
			res := agree(t, seed, text, lib, p, n)
			for _, m := range res.Messages {
				codes[m.Code]++
			}
			if len(n.faults) == 0 {
				sound++
				compareReach(t, seed, lines, p, n, res)
			} else {
				faulty++
			}
		}
	}
	t.Logf("%d sound, %d with faults, none differ (%d too large or not bound); %v", sound, faulty, skipped, codes)
	if sound < want/8 || faulty < want/8 || codes["BP512"] < want/100 {
		t.Errorf("the sample is lopsided: %d sound, %d with faults, %d hand-overs among them", sound, faulty, codes["BP512"])
	}
}

// agree holds the verdicts on one procedure against those of its single paths.
func agree(t *testing.T, seed uint64, text string, lib *library.Library, p *library.Procedure, n *naive) *paths.Result {
	t.Helper()
	res := paths.Judge(lib, p)
	found := map[naiveFault]bool{}
	for _, m := range res.Messages {
		if m.Code == "BP403" || m.Code == "BP505" {
			continue
		}
		found[naiveFault{string(m.Code), m.Span.Start}] = true
		for _, r := range m.Related {
			if r.Text == "and here" {
				found[naiveFault{string(m.Code), r.Span.Start}] = true
			}
		}
	}
	for _, f := range n.list() {
		if !found[f] {
			line, _ := p.File.Position(f.at)
			t.Fatalf("seed %d, %s: one path shows %s at line %d (%s), all paths do not\n%s\nfound: %s", seed, p.Name, f.code, line, lineOf(p.File, line), text, codesOf(res.Messages))
		}
	}
	if len(n.faults) == 0 && len(found) > 0 {
		t.Fatalf("seed %d, %s: no path has a fault, all paths do\n%s\nfound: %s", seed, p.Name, text, codesOf(res.Messages))
	}
	for _, m := range res.Messages {
		if m.Path == nil {
			continue
		}
		one := follow(lib, p, caseOf(t, lib, p, m.Path))
		if len(one.faults) == 0 {
			t.Fatalf("seed %d, %s: the example of %s %s (%v) leads to no fault\n%s", seed, p.Name, m.Code, m.Text, m.Notes, text)
		}
	}
	return res
}

func lineOf(f *source.File, n int) string {
	text, _ := f.Line(n)
	return text
}

// compareReach holds the branches and steps that can happen against those that did.
func compareReach(t *testing.T, seed uint64, lines []string, p *library.Procedure, n *naive, res *paths.Result) {
	t.Helper()
	dead := map[int]bool{}
	for _, m := range res.Messages {
		dead[m.Span.Start] = true
	}
	paths.Each(p, func(f library.Flow) {
		if res.Reached(f.At()) != n.reached[f.At().Start] {
			if _, until := f.(*library.Until); until {
				return
			}
			line, _ := p.File.Position(f.At().Start)
			t.Fatalf("seed %d: line %d reached on all paths at once: %v; singly: %v\n%s", seed, line, res.Reached(f.At()), n.reached[f.At().Start], strings.Join(lines, "\n"))
		}
		d, ok := f.(*library.Decide)
		if !ok || !n.reached[d.Span.Start] {
			return
		}
		for _, br := range d.Branches {
			if dead[br.Head.Start] == n.branches[br.Span.Start] {
				line, _ := p.File.Position(br.Span.Start)
				t.Fatalf("seed %d: branch at line %d: told never: %v, taken singly: %v\n%s", seed, line, dead[br.Head.Start], n.branches[br.Span.Start], strings.Join(lines, "\n"))
			}
		}
	})
}

func randomLibrary(t *testing.T, text string) (*library.Library, *library.Procedure, bool) {
	t.Helper()
	f := syntax.Parse(source.NewFile("random.proc", text))
	if len(f.Messages) > 0 {
		line, _ := f.Messages[0].Span.File.Position(f.Messages[0].Span.Start)
		t.Fatalf("line %d: %s\n%s", line, f.Messages[0].Text, text)
	}
	lib, ms := library.Bind([]*syntax.File{f})
	for _, m := range ms {
		// A slip may take away the step that measures.
		if m.IsError() && m.Code != "BP404" {
			line, _ := m.Span.File.Position(m.Span.Start)
			t.Fatalf("line %d: %s %s\n%s", line, m.Code, m.Text, text)
		}
	}
	for _, p := range lib.Procedures {
		if p.Name == "job" {
			return lib, p, !p.Broken
		}
	}
	return nil, nil, false
}
