package compiler_test

import (
	"context"
	"io/fs"
	"math/rand/v2"
	"regexp"
	"slices"
	"sort"
	"strings"
	"testing"

	"github.com/alecthomas/participle/v2/lexer"

	"benchproof/compiler"
	"benchproof/compiler/quantity"
	"benchproof/dsl/message"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
	"benchproof/procedures"
)

// A slip is one edit of the kind a writer makes without noticing.
type slip struct {
	kind       string
	start, end int
	text       string
	// about is the word the slip is about: the statement's keyword.
	about string
}

// harmless says why a slip that gives no message leaves the procedure right, by
// kind and the keyword of the statement it is in.
var harmless = map[string]string{
	"drop takes":     "the expected time is shorter; nothing depends on it",
	"number takes":   "another expected time; nothing depends on it",
	"unit takes":     "another expected time; nothing depends on it",
	"drop note":      "a remark less; the step says the same",
	"drop show":      "a picture less; the step says the same",
	"drop finish":    "the job runs off its end, which is the same serviceable finish, with less said about what comes next",
	"number measure": "more takings of one reading; the smallest, largest or mean is judged as before",
	"unit measure":   "the reading is taken in another unit; the limits are worked out in it exactly",
	"number drill":   "a deeper hole, within what the drill and the text allow",
	"number mark":    "the mark stands elsewhere on the picture: no machine sees the picture",
}

// saidOnce says why no machine could tell: what the slip changes stands in one
// place of the sources only, so that nothing contradicts it.
var saidOnce = map[string]string{
	"drop by":          "who may do it is a decision of the works",
	"drop hold":        "who accepts what is a decision of the works",
	"drop record":      "what is written down is a decision of the works",
	"drop wait":        "a wait that no text names",
	"number wait":      "a wait that no text names",
	"unit wait":        "a wait that no text names",
	"drop warn":        "a hazard that neither a tool carries nor a guard keeps off",
	"drop use":         "a tool or consumable that only the actions name",
	"drop needs":       "a state that holds here anyway: what is asked for is true",
	"swap name warn":   "a hazard that neither a tool carries nor a guard keeps off",
	"swap name use":    "a tool or consumable that only the actions name",
	"swap name fit":    "what a tool sits on, where no text names it",
	"swap name begins": "what is off when a job begins is known to the writer alone",
	"number repeat":    "how often a reading may fail is a decision of the works",
	"number tighten":   "another torque that wrench and fastener allow and no text names",
	"number heat":      "another figure of the fit, within what the part may take",
	"unit heat":        "another figure of the fit, within what the part may take",
	"number at":        "how often a reading may fail is a decision of the works",
	"swap steps":       "neither step uses what the other does: their order is known to the writer alone",
	"drop step":        "a step with which nothing else in the sources has to do",
	"drop perform":     "a routine with which nothing else in the sources has to do",
	"limit until":      "a limit that stands in one place, and no trial comes near it",
	"limit from":       "a limit that stands in one place, and no trial comes near it",
	"limit above":      "a limit that stands in one place, and no trial comes near it",
	"limit accept":     "a limit that stands in one place, and no trial comes near it",
}

// Slips of the demonstration library, each checked as a writer would check it:
// almost all that change the meaning for the worse are told.
func TestSlipsAreCaught(t *testing.T) {
	files := map[string]string{}
	err := fs.WalkDir(procedures.Files, ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		b, err := fs.ReadFile(procedures.Files, p)
		files[p] = string(b)
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	if list := checked(t, files).Messages; len(list) > 0 {
		t.Fatalf("the library itself has messages:\n%s", printed(t, list))
	}
	names := make([]string, 0, len(files))
	for name := range files {
		if strings.HasSuffix(name, ".proc") {
			names = append(names, name)
		}
	}
	sort.Strings(names)
	// One session serves all slips. It says what a check from nothing says (a
	// test of its own holds it to that), and does again only what the slip asks
	// for: the time does not grow with slips times procedures.
	session, err := compiler.NewSession(procedures.Files)
	if err != nil {
		t.Fatal(err)
	}
	last := names[0]
	// speaks edits one file, the others being as they were, and says whether that
	// gives a message.
	speaks := func(name, text string) bool {
		if err := session.Edit(last, files[last]); err != nil {
			t.Fatal(err)
		}
		last = name
		if err := session.Edit(name, text); err != nil {
			t.Fatal(err)
		}
		said := 0
		err := session.Check(context.Background(), nil, func(found map[string][]*message.Message, all bool) {
			for _, list := range found {
				said += len(list)
			}
		})
		if err != nil {
			t.Fatal(err)
		}
		return said > 0
	}
	r := rand.New(rand.NewPCG(1, 2))
	type where struct {
		file string
		slip slip
	}
	byKind := map[string][]where{}
	known := thingsOf(names, files)
	for _, name := range names {
		for _, s := range slipsOf(name, files[name], known) {
			byKind[s.kind] = append(byKind[s.kind], where{name, s})
		}
	}
	kinds := make([]string, 0, len(byKind))
	for k := range byKind {
		kinds = append(kinds, k)
	}
	sort.Strings(kinds)
	const perKind = 200
	total, missed, caughtAll, onceAll := 0, 0, 0, 0
	survivors := map[string]int{}
	for _, kind := range kinds {
		list := byKind[kind]
		r.Shuffle(len(list), func(i, j int) { list[i], list[j] = list[j], list[i] })
		list = list[:min(perKind, len(list))]
		caught, right, once, lost := 0, 0, 0, 0
		for _, w := range list {
			text := files[w.file]
			if speaks(w.file, text[:w.slip.start]+w.slip.text+text[w.slip.end:]) {
				caught++
				continue
			}
			if reason := reasonFor(harmless, kind, w.slip.about); reason != "" {
				right++
				survivors["harmless: "+reason]++
				continue
			}
			if reason := reasonFor(saidOnce, kind, w.slip.about); reason != "" {
				once++
				survivors["said once: "+reason]++
				continue
			}
			f := source.NewFile(w.file, text)
			line, _ := f.Position(w.slip.start)
			lost++
			t.Logf("missed: %s %s:%d: %q -> %q", kind, w.file, line, short(text[w.slip.start:w.slip.end]), short(w.slip.text))
		}
		t.Logf("%-14s %4d slips: %4d caught, %3d harmless, %3d said once, %3d missed", kind, len(list), caught, right, once, lost)
		total += len(list)
		missed += lost
		caughtAll += caught
		onceAll += once
	}
	reasons := make([]string, 0, len(survivors))
	for reason := range survivors {
		reasons = append(reasons, reason)
	}
	sort.Strings(reasons)
	for _, reason := range reasons {
		t.Logf("%4d survived: %s", survivors[reason], reason)
	}
	told := 100 * float64(caughtAll) / float64(caughtAll+missed)
	all := 100 * float64(caughtAll) / float64(caughtAll+missed+onceAll)
	t.Logf("%d slips; of those that change the meaning and that something in the sources contradicts, %.1f %% are caught; of all that change the meaning, %.1f %%", total, told, all)
	if total < 1000 {
		t.Errorf("only %d slips were made", total)
	}
	if told < 98 {
		t.Errorf("%.1f %% of the slips that a machine can see are caught, expected 98", told)
	}
}

// reasonFor finds the reason for a kind of slip, or for one statement of it.
func reasonFor(table map[string]string, kind, about string) string {
	if r := table[kind+" "+about]; r != "" {
		return r
	}
	return table[kind]
}

func short(s string) string {
	s = strings.Join(strings.Fields(s), " ")
	if len(s) > 70 {
		s = s[:70] + "…"
	}
	return s
}

// slipsOf lists the slips that can be made in a file.
func slipsOf(name, text string, known things) []slip {
	f := syntax.Parse(source.NewFile(name, text))
	var out []slip
	add := func(kind string, p syntax.Place, about, with string) {
		out = append(out, slip{kind, p.Start(), p.End(), with, about})
	}
	var flow func(list []syntax.Statement)
	flow = func(list []syntax.Statement) {
		var last *syntax.Step
		for _, st := range list {
			switch st := st.(type) {
			case *syntax.Step:
				for _, a := range st.Actions {
					add("drop", a, a.Keyword(), "")
				}
				if len(st.Actions) > 0 {
					add("drop step", st, "step", "")
				}
				if last != nil && len(last.Actions) > 0 && len(st.Actions) > 0 {
					out = append(out, slip{"swap steps", last.Start(), st.End(), text[st.Start():st.End()] + "\n" + text[last.Start():last.End()], "step"})
				}
				last = st
				continue
			case *syntax.Stage:
				flow(st.Body)
			case *syntax.Decide:
				for _, br := range st.Branches {
					add("drop branch", br, "branch", "")
					flow(br.Body)
				}
			case *syntax.Repeat:
				flow(st.Body)
				if st.Otherwise != nil {
					flow(st.Otherwise.Body)
				}
			case *syntax.Finish:
				add("drop finish", st, "finish", "")
			case *syntax.Perform:
				add("drop perform", st, "perform", "")
			}
			last = nil
		}
	}
	for _, d := range f.Declarations {
		switch d := d.(type) {
		case *syntax.Procedure:
			flow(d.Body)
		case *syntax.Routine:
			flow(d.Body)
		}
	}
	return append(out, tokenSlips(f, known)...)
}

var wordLike = regexp.MustCompile(`^[a-z][a-z0-9.-]*$`)

// things are what a library declares: names by their sort, in the order in
// which they are declared; the sort of each; and the kind of parts that have one.
type things struct {
	bySort     map[string][]string
	sort, kind map[string]string
}

func thingsOf(names []string, files map[string]string) things {
	out := things{map[string][]string{}, map[string]string{}, map[string]string{}}
	for _, name := range names {
		for _, d := range syntax.Parse(source.NewFile(name, files[name])).Declarations {
			t, ok := d.(*syntax.Thing)
			if !ok || t.Name == nil {
				continue
			}
			sort := t.Kind.Text
			out.sort[t.Name.Text] = sort
			out.bySort[sort] = append(out.bySort[sort], t.Name.Text)
			for _, p := range t.Properties {
				if p, ok := p.(*syntax.NamesProperty); ok && p.Key() == "kind" && len(p.Names) > 0 {
					out.kind[t.Name.Text] = p.Names[0].Text
				}
			}
		}
	}
	return out
}

// instead gives the next thing of the same sort. A part that fills the place of
// the one named is none: to take off the seal is to take off the seal of that size.
func (t things) instead(name string) string {
	list := t.bySort[t.sort[name]]
	at := slices.Index(list, name)
	for k := 1; k < len(list); k++ {
		if other := list[(at+k)%len(list)]; t.kind[other] != name {
			return other
		}
	}
	return ""
}

// tokenSlips changes names, numbers and units in the bodies of procedures.
func tokenSlips(f *syntax.File, known things) []slip {
	var out []slip
	for _, d := range f.Declarations {
		p, ok := d.(*syntax.Procedure)
		if !ok {
			continue
		}
		keyword := ""
		var before lexer.Token
		for i, tok := range f.Tokens {
			at := tok.Pos.Offset
			if at < p.Start() || at >= p.End() {
				continue
			}
			v := tok.Value
			// The first word of a line is the keyword of its statement.
			if i == 0 || tok.Pos.Line != f.Tokens[i-1].Pos.Line || before.Value == "{" {
				keyword = v
			}
			before = tok
			switch {
			case v == "" || v[0] == '"' || v[0] == '#':
			case v[0] >= '0' && v[0] <= '9' && !strings.ContainsAny(v, ":"):
				if n, err := quantity.ParseNumber(v); err == nil {
					limit := keyword == "from" || keyword == "above" || keyword == "below" || keyword == "at" || keyword == "accept" || keyword == "until" || keyword == "limits"
					kind := "number"
					if limit {
						kind = "limit"
					}
					more := n.Add(n.Quo(quantity.NewInt(2))).Round(max(n.Places(), 0))
					if more.Equal(n) {
						more = n.Add(quantity.NewInt(1))
					}
					out = append(out, slip{kind, at, at + len(v), more.Decimal(max(n.Places(), 0)), keyword})
				}
			case isUnit(v) && keyword != v:
				with := map[string]string{"mm": "inch", "min": "h", "N.m": "kN.m", "degC": "degF", "bar": "mbar"}[v]
				if with != "" {
					out = append(out, slip{"unit", at, at + len(v), with, keyword})
				}
			case wordLike.MatchString(v) && keyword != v && known.instead(v) != "":
				out = append(out, slip{"swap name", at, at + len(v), known.instead(v), keyword})
			}
		}
	}
	return out
}

func isUnit(s string) bool {
	_, ok := quantity.LookUp(s)
	return ok
}
