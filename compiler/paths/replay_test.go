package paths_test

import (
	"slices"
	"strings"
	"testing"

	"benchproof/compiler/library"
	"benchproof/compiler/paths"
	"benchproof/compiler/quantity"
	"benchproof/dsl/message"
)

const shopHead = `library "Test bench" { owner "Workshop" decision simple }
variant size "Size" { small "small" large "large" }
condition power "Power" { states live, off begins live ends live }
hazard shock danger "Shock" { consequence "Kills." avoid "Lock off." safe when power off proved with tester }
hazard scald warning "Scald" { consequence "Burns." avoid "Wait." safe when power off }
tool puller "puller" { number "T-1" }
tool tester "tester" { number "T-2" }
tool vice "vice" { number "T-3" }
tool lance "lance" { number "T-4" carries scald }
tool gauge "gauge" { number "T-5" reads from 0 mm to 50 mm resolution 0.01 mm }
tool drill-5 "5.0 mm drill" { number "T-6" drills 5 mm }
tool drill-6 "6.0 mm drill" { number "T-7" drills 6 mm }
tool tap-6 "tap" { number "T-8" taps M6 }
part cover "cover" { guards shock }
part bolt "bolt" { }
part hub "hub" { behind bolt }
part ring "ring" { single-use }
part rod "rod" { }
part seat "seat" { }
part seat-s "seat" { kind seat detail "small" }
part seat-l "seat" { kind seat detail "large" }
table fit by size { columns seat small seat-s large seat-l }
`

const measured = `step "Measure." { measure d in mm with gauge }
`

// Each case has one fault of the code, on some path only.
var faultCases = []struct{ code, body string }{
	{"BP404", `decide size { small { ` + measured + ` } large { } } decide d { below 5 mm { } at least 5 mm { } }`},
	{"BP404", `decide d { below 5 mm { } at least 5 mm { } } ` + measured},
	{"BP501", measured + `decide d { below 5 mm { step "Fit." { fit puller on hub } } at least 5 mm { } } step "Off." { remove puller }`},
	{"BP501", measured + `decide d { below 5 mm { step "Off." { remove rod } } at least 5 mm { } } step "Off." { remove rod } step "On." { refit rod }`},
	{"BP501", measured + `decide d { below 5 mm { step "Hold." { clamp rod in vice } } at least 5 mm { } } step "Free." { release rod }`},
	{"BP502", measured + `decide d { below 5 mm { step "Fit." { fit puller on hub } } at least 5 mm { } } step "Look."`},
	{"BP502", measured + `step "Hold." { remove rod clamp rod in vice } decide d { below 5 mm { step "Free." { release rod } } from 5 mm to 7 mm { finish refer "Call." } above 7 mm { step "Free." { release rod } } } step "On." { refit rod }`},
	{"BP502", measured + `step "Hold." { remove rod clamp rod in vice } decide d { below 5 mm { step "Free." { release rod } } at least 5 mm { } } step "On." { refit rod }`},
	{"BP503", measured + `decide d { below 5 mm { step "Fit." { fit puller on hub } } at least 5 mm { } } step "Fit." { fit puller on hub } step "Off." { remove puller }`},
	{"BP503", measured + `decide d { below 5 mm { step "Off." { remove rod } } at least 5 mm { } } step "On." { refit rod }`},
	{"BP504", measured + `decide d { below 5 mm { step "Off." { remove rod } } at least 5 mm { } } step "Look."`},
	{"BP504", `step "Off." { remove bolt x 4 } step "On." { refit bolt x 3 }`},
	{"BP506", measured + `decide d { below 5 mm { step "Make." { make power off } } at least 5 mm { } } step "Need." { needs power off make power live }`},
	{"BP506", measured + `decide d { below 5 mm { step "Make." { make power off } } at least 5 mm { } } step "Prove." { verify power off with tester make power live }`},
	{"BP507", measured + `decide d { below 5 mm { step "Make." { make power off } } at least 5 mm { } } step "Look."`},
	{"BP507", measured + `step "Make." { make power off } decide d { below 5 mm { finish refer "Call." { leaves power off } } at least 5 mm { finish refer "Call." } }`},
	{"BP509", `decide size { small { step "Off." { remove ring } step "On." { refit ring } } large { } }`},
	{"BP510", measured + `decide d { below 5 mm { step "Off." { remove bolt } } at least 5 mm { } } step "Hub." { remove hub } step "Hub." { refit hub } decide d { below 5 mm { step "On." { refit bolt } } at least 5 mm { } }`},
	{"BP601", measured + `decide d { below 5 mm { step "Make." { make power off } } at least 5 mm { } } step "Lance." { use lance } step "Make." { make power live }`},
	{"BP601", measured + `step "Safe." { make power off } step "Off." { remove cover verify power off with tester } decide d { below 5 mm { step "On." { make power live } step "Make." { make power off } } at least 5 mm { } } step "On." { refit cover } step "Live." { make power live }`},
	{"BP605", measured + `step "Safe." { make power off } decide d { below 5 mm { step "Prove." { verify power off with tester } } at least 5 mm { } } step "Off." { remove cover } step "On." { refit cover } step "Live." { make power live }`},
	{"BP605", measured + `step "Safe." { make power off verify power off with tester } decide d { below 5 mm { step "On." { make power live } step "Off." { make power off } } at least 5 mm { } } step "Off." { remove cover } step "On." { refit cover } step "Live." { make power live }`},
	{"BP701", measured + `decide d { below 5 mm { step "Drill." { drill bore 5 mm deep 30 mm with drill-5 } } at least 5 mm { } } step "Tap." { tap bore M6 deep 12 mm with tap-6 }`},
	{"BP701", measured + `decide d { below 5 mm { step "Drill." { drill bore 5 mm deep 30 mm with drill-5 } } at least 5 mm { step "Drill." { drill bore 6 mm deep 30 mm with drill-6 } } } step "Tap." { tap bore M6 deep 12 mm with tap-6 }`},
	{"BP702", measured + `decide d { below 5 mm { step "Drill." { drill bore 5 mm deep 30 mm with drill-5 } } at least 5 mm { step "Drill." { drill bore 5 mm deep 14 mm with drill-5 } } } step "Tap." { tap bore M6 deep 12 mm with tap-6 }`},
}

func head(applies bool) string {
	if applies {
		return " applies to size small, large\n"
	}
	return ""
}

// Every path error comes alone, and its example, replayed as a trial, shows
// the same fault at the same place.
func TestExamplesShowTheFault(t *testing.T) {
	codes := map[message.Code]bool{}
	for _, c := range faultCases {
		lib := bind(t, shopHead+procedure(head(strings.Contains(c.body, "decide size"))+c.body))
		p := lib.Procedures[0]
		res := paths.Judge(lib, p)
		if len(res.Messages) != 1 || res.Messages[0].Code != message.Code(c.code) {
			t.Errorf("%s: expected it alone, found %s", c.body, codesOf(res.Messages))
			continue
		}
		m := res.Messages[0]
		codes[m.Code] = true
		if len(m.Notes) == 0 || m.Path == nil {
			t.Errorf("%s %s: no example path", m.Code, m.Text)
			continue
		}
		again, _ := paths.Follow(lib, p, caseOf(t, lib, p, m.Path))
		if !slices.ContainsFunc(again.Messages, func(x *message.Message) bool { return x.Code == m.Code && x.Span == m.Span }) {
			t.Errorf("%s %s: its example (%s) does not show it again: %v", m.Code, m.Text, m.Notes[0], codesOf(again.Messages))
		}
	}
	for _, code := range []message.Code{"BP404", "BP501", "BP502", "BP503", "BP504", "BP506", "BP507", "BP509", "BP510", "BP601", "BP605", "BP701", "BP702"} {
		if !codes[code] {
			t.Errorf("no case shows %s", code)
		}
	}
}

func codesOf(list []*message.Message) string {
	var out []string
	for _, m := range list {
		out = append(out, string(m.Code)+" "+m.Text+" ["+strings.Join(m.Notes, "; ")+"]")
	}
	return strings.Join(out, " / ")
}

// caseOf reads the values of an example path as a trial would.
func caseOf(t *testing.T, lib *library.Library, p *library.Procedure, path *message.Path) paths.Case {
	t.Helper()
	c := paths.Case{Values: map[*library.Reading][]quantity.Number{}, Answers: map[*library.Question][]*library.Answer{}}
	for _, v := range path.Values {
		found := false
		for _, a := range p.Applies {
			for _, m := range a.Members {
				if a.Variant.Name == v.Name && m.Name == v.Values[0] {
					c.Members = append(c.Members, m)
					found = true
				}
			}
		}
		for _, r := range p.Readings {
			if r.Name != v.Name {
				continue
			}
			found = true
			scale, _ := paths.ScaleOf(r)
			for _, text := range v.Values {
				n := quantity.MustNumber(strings.Fields(text)[0])
				if !scale.Shows(n) {
					t.Errorf("the example value %s of %s cannot be read on the instrument", text, r.Name)
				}
				c.Values[r] = append(c.Values[r], n)
			}
		}
		for _, q := range p.Questions {
			for _, a := range q.Answers {
				if q.Name == v.Name && slices.Contains(v.Values, a.Name) {
					found = true
				}
			}
			if q.Name == v.Name {
				for _, name := range v.Values {
					c.Answers[q] = append(c.Answers[q], q.Answers[slices.IndexFunc(q.Answers, func(a *library.Answer) bool { return a.Name == name })])
				}
			}
		}
		if !found {
			t.Errorf("the example names %s, which the procedure does not have", v.Name)
		}
	}
	return c
}
