package library_test

import (
	"slices"
	"strings"
	"sync"
	"sync/atomic"
	"testing"

	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
	"benchproof/procedures"
)

// bind binds files, named a.proc, b.proc and so on, in which nothing is wrong.
func bind(t *testing.T, texts ...string) *library.Library {
	t.Helper()
	var files []*syntax.File
	for i, text := range texts {
		f := syntax.Parse(source.NewFile(string(rune('a'+i))+".proc", text))
		for _, m := range f.Messages {
			t.Fatalf("%s %s", m.Code, m.Text)
		}
		files = append(files, f)
	}
	lib, ms := library.Bind(files)
	for _, m := range ms {
		if m.IsError() {
			t.Fatalf("%s %s", m.Code, m.Text)
		}
	}
	return lib
}

const shop = `library "Shop" { owner "Workshop"  language en }

tool spanner  "13 mm spanner"  { number "T-1" }
tool gauge    "depth gauge" {
  number       "T-2"
  reads        from 0 mm to 50 mm
  resolution   0.01 mm
  uncertainty  0.01 mm
}
part bolt  "bolt"  { number "P-1"  plural "bolts" }
part big   "large bolt"  { number "P-2"  plural "large bolts" }

variant size "Size" {
  small  "small"
  large  "large"
}

table wear by size {
  columns  least,  screw
  small    1.5 mm, bolt
  large    0.3 cm, big
}
`

const job = `procedure look "Look at it" {
  document  "WI-1"
  revision  A on 2026-01-05 "First issue."
  applies   to size small, large

  step "Take the @spanner, **not** the hammer, and take off @bolt x 2 within 5 min, see [map](map.pdf)." {
    use     spanner
    remove  bolt x 2
    wait    5 min
  }
  step "Measure it with the @gauge." {
    measure  depth in mm with gauge
  }
  decide depth {
    accept from wear.least to 20 mm "It is good." {
    }
    above 20 mm "It is deep." {
      finish refer "Call the supervisor."
    }
    below wear.least "It is worn." {
      finish scrap "Order a new one."
    }
  }
  step "Put back @bolt x 2." {
    refit  bolt x 2
  }
}
`

// Every reference of the demonstration stands where the name that it leads to is
// written, and Named finds those within a declaration and no others.
func TestReferencesStandAtTheirNames(t *testing.T) {
	var files []*syntax.File
	entries, err := procedures.Files.ReadDir(".")
	if err != nil {
		t.Fatal(err)
	}
	for _, e := range entries {
		if strings.HasSuffix(e.Name(), ".proc") {
			text, err := procedures.Files.ReadFile(e.Name())
			if err != nil {
				t.Fatal(err)
			}
			files = append(files, syntax.Parse(source.NewFile(e.Name(), string(text))))
		}
	}
	// The sheets are not read here: what stands in them is unknown, and no matter.
	lib, _ := library.Bind(files)
	var all []library.Reference
	lib.EachReference(func(r library.Reference) {
		all = append(all, r)
		name := r.To.Declared().Name
		if text := r.Span.Text(); text != name && !strings.HasSuffix(text, "."+name) && !strings.HasSuffix(name, "."+text) {
			t.Errorf("%q leads to %s", text, name)
		}
	})
	if len(all) < 1000 {
		t.Fatalf("%d references", len(all))
	}
	for _, p := range lib.Procedures {
		whole, want := p.Declared().Whole, 0
		for _, r := range all {
			if r.Span.File == whole.File && whole.Start <= r.Span.Start && r.Span.End <= whole.End {
				want++
			}
		}
		if got := len(lib.Named(whole)); got != want {
			t.Errorf("%s names %d, want %d", p.Name, got, want)
		}
	}
}

// A range is of one member, in the unit asked for; a centimetre is ten millimetres.
func TestRangesByMember(t *testing.T) {
	lib := bind(t, shop, job)
	var decide *library.Decide
	for _, f := range lib.Procedures[0].Body {
		if d, ok := f.(*library.Decide); ok {
			decide = d
		}
	}
	unit := func(name string) *quantity.Unit {
		u, ok := quantity.LookUp(name)
		if !ok {
			t.Fatal(name)
		}
		return u
	}
	size := lib.Variants[0]
	for _, x := range []struct {
		branch    int
		member    string
		unit      string
		low, high string // empty: open
		open, ok  bool
	}{
		{0, "small", "mm", "1.5", "20", false, true},
		{0, "large", "mm", "3", "20", false, true},
		{0, "large", "cm", "0.3", "2", false, true},
		{0, "", "mm", "", "", false, false},
		{0, "small", "degC", "", "", false, false},
		{1, "", "mm", "20", "", true, true},
		{2, "small", "mm", "", "1.5", true, true},
	} {
		var a library.Assignment
		for _, m := range size.Members {
			if m.Name == x.member {
				a = append(a, m)
			}
		}
		got, ok := decide.Branches[x.branch].Range.For(a, unit(x.unit))
		if ok != x.ok {
			t.Errorf("%+v: %t", x, ok)
			continue
		}
		if !ok {
			continue
		}
		end := func(e quantity.End, want string) {
			switch {
			case want == "":
				if !e.Unbounded {
					t.Errorf("%+v: bounded at %s", x, e.Value)
				}
			case e.Unbounded || e.Value.String() != want || e.Open != x.open:
				t.Errorf("%+v: %s, open %t, unbounded %t", x, e.Value, e.Open, e.Unbounded)
			}
		}
		end(got.Low, x.low)
		end(got.High, x.high)
	}
	if m := (library.Assignment{size.Members[1]}).Of(size); m == nil || m.Name != "large" {
		t.Errorf("the assignment is of %v", m)
	}
}

// What a translation may say of a text, and what is told of one that says something
// else.
func TestRewording(t *testing.T) {
	lib := bind(t, shop, job)
	text := lib.Procedures[0].Body[0].(*library.Step).Text
	const says = "Take the {spanner}, **not** the hammer, and take off {bolt} within {time}, see [map](map.pdf)."
	if got := text.Source(); got != says {
		t.Fatalf("%q", got)
	}
	for _, x := range []struct {
		translation string
		faults      string
	}{
		{says, ""},
		{"In {time}: {bolt} ab mit {spanner}; **kein** Hammer, [Plan](map.pdf).", ""},
		{"{spanner|Mit dem Schlüssel} {bolt} in {time} lösen, {bolt} ablegen, [Plan](map.pdf).", ""},
		{"{bolt} in {time} lösen, [Plan](map.pdf).", "{spanner} is missing"},
		{"{spanner} {bolt} {time}", "its links lead to nowhere, those of the text to map.pdf"},
		{"{spanner} {bolt} {time} [Plan](other.pdf)", "its links lead to other.pdf"},
		{"{spanner} {bolt} {time} 7 [Plan](map.pdf)", "the number 7 does not stand in the text"},
		{"{spanner} {bolt} {time} {hammer} [Plan](map.pdf)", "hammer"},
	} {
		out, faults := text.Reword(x.translation)
		told := strings.Join(faults, "; ")
		if x.faults == "" && told != "" || !strings.Contains(told, x.faults) {
			t.Errorf("%q: %q, want %q", x.translation, told, x.faults)
		}
		if len(out.Spans) == 0 {
			t.Errorf("%q: no text", x.translation)
		}
	}
	// What is said again from its own source is the same.
	again, _ := text.Reword(says)
	if again.Source() != says {
		t.Errorf("%q", again.Source())
	}
}

func TestOtherNumbers(t *testing.T) {
	for _, x := range []struct {
		a, b string
		want []string
	}{
		{"turn 2 times", "2 Mal drehen", nil},
		{"0.5 and 0.5", "0,5", nil},
		{"size 32", "Größe 40", []string{"the number 32 is missing", "the number 40 does not stand in the text"}},
		{"none", "3 3", []string{"the number 3 does not stand in the text"}},
		{"", "", nil},
		{"1.2.3", "1,2,3", nil},
	} {
		if got := library.OtherNumbers(x.a, x.b); !slices.Equal(got, x.want) {
			t.Errorf("%q, %q: %q, want %q", x.a, x.b, got, x.want)
		}
	}
}

// What all procedures ask for is worked out once, however many ask at once.
func TestDerivedIsWorkedOutOnce(t *testing.T) {
	lib := bind(t, shop, job)
	type count int
	var runs atomic.Int32
	var wg sync.WaitGroup
	for range 32 {
		wg.Go(func() {
			if n := library.Derived(lib, func(l *library.Library) count { runs.Add(1); return count(len(l.Tools)) }); n != 2 {
				t.Errorf("%d tools", n)
			}
		})
	}
	wg.Wait()
	if runs.Load() != 1 {
		t.Errorf("worked out %d times", runs.Load())
	}
}

// Binding again tells what a change touches: the procedures of the file that changed
// and those that name what did, and no others.
func TestWhatAChangeTouches(t *testing.T) {
	tools := syntax.Parse(source.NewFile("a.proc", shop))
	file := func(text string) *syntax.File { return syntax.Parse(source.NewFile("b.proc", text)) }
	other := syntax.Parse(source.NewFile("c.proc", "procedure idle \"Rest\" {\n  document  \"WI-2\"\n  revision  A on 2026-01-05 \"First issue.\"\n\n  step \"Rest.\" {\n    takes  1 min\n  }\n}\n"))
	for _, x := range []struct {
		what  string
		tools *syntax.File
		job   *syntax.File
		stale []string
	}{
		{"nothing", tools, nil, nil},
		{"a comment in its file", tools, file("# moved\n\n" + job), []string{"look"}},
		{"its words", tools, file(strings.Replace(job, "Put back", "Now put back", 1)), []string{"look"}},
		{"a tool that it names", syntax.Parse(source.NewFile("a.proc", strings.Replace(shop, "13 mm spanner", "ring spanner", 1))), nil, []string{"look"}},
		{"a column that it goes by", syntax.Parse(source.NewFile("a.proc", strings.Replace(shop, "1.5 mm", "1.4 mm", 1))), nil, []string{"look"}},
		{"a comment behind all that it names", syntax.Parse(source.NewFile("a.proc", shop+"# the end\n")), nil, nil},
	} {
		first := file(job)
		b := library.NewBinding()
		b.Update([]*syntax.File{tools, first, other})
		for _, p := range b.Library().Procedures {
			b.Bind(p)()
		}
		b.Close()
		if x.job == nil {
			x.job = first
		}
		b.Update([]*syntax.File{x.tools, x.job, other})
		var stale []string
		for _, p := range b.Library().Procedures {
			if b.IsStale(p) {
				stale = append(stale, p.Name)
			}
		}
		if !slices.Equal(stale, x.stale) {
			t.Errorf("%s: stale %q, want %q", x.what, stale, x.stale)
		}
	}
}
