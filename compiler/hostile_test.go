package compiler_test

import (
	"context"
	"fmt"
	"runtime"
	"strings"
	"testing"
	"testing/fstest"
	"time"

	"benchproof/compiler"
	"benchproof/dsl/message"
)

// A strange is a library that nobody writes by hand, and what is told of it.
type strange struct {
	name  string
	files map[string]string
	// code and text are of a message that must be among those told; empty: no
	// error is told.
	code, text string
	// most bounds what is allocated in all, in bytes for each byte of the
	// sources, beside a fixed 512 MB.
	most int
}

const strangeHead = `library "L" { owner "O" language en decision guarded }
tool gauge "gauge" { number "T-1" reads from 0 mm to 100 mm resolution 0.01 mm uncertainty 0.01 mm }
tool key "key" { number "T-2" }
part hub "hub" { number "P-1" }
`

// aProcedure wraps a body as the only procedure of a library.
func aProcedure(declarations, body string) map[string]string {
	return map[string]string{"a.proc": strangeHead + declarations + "procedure job \"Job\" {\n document \"W-1\"\n revision A on 2026-01-01 \"x\"\n" + body + "\n}\n"}
}

// families declares n variants of m members, each with a table of limits.
func families(n, m int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "variant v%d \"V%d\" {", i, i)
		for j := range m {
			fmt.Fprintf(&b, " m%d-%d \"member %d of %d\"", i, j, j, i)
		}
		fmt.Fprintf(&b, " }\ntable t%d by v%d {\n columns low, high\n", i, i)
		for j := range m {
			fmt.Fprintf(&b, " m%d-%d %d.%02d mm, %d.%02d mm\n", i, j, i+1, j, i+1, 50+j)
		}
		b.WriteString("}\n")
	}
	return b.String()
}

func stranges() []strange {
	var all []strange
	add := func(name string, files map[string]string, code, text string) {
		all = append(all, strange{name, files, code, text, 2000})
	}
	// Variants.
	var rows, one strings.Builder
	for i := range 20 {
		fmt.Fprintf(&rows, "step \"Measure.\" { measure r%d in mm with gauge }\ndecide r%d { below t%d.low { } accept from t%d.low to t%d.high { } above t%d.high { } }\n", i, i, i, i, i, i)
		fmt.Fprintf(&one, "above t%d.high to below t%d.low { }\n", i, i+1)
	}
	add("20 variants of 10, each decided by itself", aProcedure(families(20, 10), rows.String()), "", "")
	add("20 variants of 10 in one decision", aProcedure(families(21, 10),
		"step \"Measure.\" { measure r in mm with gauge }\ndecide r { below t0.low { } accept from t0.low to t0.high { }\n"+one.String()+"from t20.low to t20.high { } above t20.high { } }\n"), "BP511", "combinations")
	add("a variant of 100,000 members", aProcedure(families(1, 100_000),
		"step \"Measure.\" { measure r in mm with gauge }\ndecide r { below t0.low { } accept from t0.low to t0.high { } above t0.high { } }"), "BP203", "it may have 1000")
	add("a text that differs by 12 variants", aProcedure(families(12, 10),
		"step \"Set "+strings.Repeat("@t0.low ", 3)+listed(12, "@t%d.high")+" with the @key.\" { use key }"), "", "")

	// Many members, each with limits of its own, in many statements.
	add("a thousand members in 10 decisions", aProcedure(members(1000), decisions(10)), "", "")
	add("a hundred members in 100 decisions", aProcedure(members(100), decisions(100)), "", "")
	add("a thousand members in 600 decisions", aProcedure(members(1000), decisions(600)), "BP511", "100000 combinations of members, all together")
	add("a thousand members, none like another, in 4 decisions", aProcedure(unlike(1000), decisions(4)), "BP511", "different limits")
	all[len(all)-2].most, all[len(all)-1].most = 10_000, 20_000 // what bounds these is larger than they are
	add("texts that differ by a thousand members in 10,000 places", aProcedure(members(1000),
		strings.Repeat("step \"Set the @key to "+strings.Repeat("@t0.low ", 20)+".\" { use key }\n", 500)), "BP511", "all together")
	add("texts that differ by a thousand members in 400 places", aProcedure(members(1000),
		strings.Repeat("step \"Set the @key to "+strings.Repeat("@t0.low ", 20)+".\" { use key }\n", 20)), "BP511", "set out")

	// Pictures.
	many := aProcedure("figure pic \"P\" { file \"x.png\" }\n", strings.Repeat("step \"Turn the @key.\" { use key show pic }\n", 300))
	many["x.png"] = picture + strings.Repeat("\x00", 15<<20)
	add("a picture of 15 MB in 300 steps", many, "BP206", "more than 64 MB")
	four := aProcedure("figure pic \"P\" { file \"x.png\" }\n", strings.Repeat("step \"Turn the @key.\" { use key show pic }\n", 4))
	four["x.png"] = many["x.png"]
	add("a picture of 15 MB in 4 steps", four, "", "")

	// Routines.
	add("a routine that performs itself", aProcedure("routine a \"R\" { perform a }\n", "perform a"), "BP508", "")
	add("routines in a circle", aProcedure("routine a \"R\" { perform b }\nroutine b \"R\" { perform c }\nroutine c \"R\" { perform a }\n", "perform a"), "BP508", "")
	var doubling, fan strings.Builder
	for i := range 60 {
		fmt.Fprintf(&doubling, "routine r%d \"R\" { perform r%d perform r%d }\n", i, i+1, i+1)
		fmt.Fprintf(&fan, "routine f%d \"R\" {%s }\n", i, strings.Repeat(fmt.Sprintf(" perform f%d", i+1), 50))
	}
	doubling.WriteString("routine r60 \"R\" { step \"Turn the @key.\" { use key } }\n")
	fan.WriteString("routine f60 \"R\" { step \"Turn the @key.\" { use key } }\n")
	add("routines that double 60 times", aProcedure(doubling.String(), "perform r0"), "BP508", "more than 50000 statements")
	add("routines that multiply by 50, 60 times", aProcedure(fan.String(), "perform f0"), "BP508", "more than 50000 statements")
	add("empty routines that double 60 times", aProcedure(strings.Replace(doubling.String(), "step \"Turn the @key.\" { use key }", "", 1), "perform r0"), "BP508", "more than 50000 statements")
	add("a chain of 5,000 routines", aProcedure(chain(5000), "perform c0"), "", "")

	// Repeats.
	add("a repeat without end", aProcedure("", "repeat at most 99999999999999999999 times { step \"Measure.\" { measure r in mm with gauge } until r below 5 mm } otherwise { finish refer \"Call.\" }"), "BP101", "1 to 1000 times")
	var open, shut strings.Builder
	for i := range 12 {
		fmt.Fprintf(&open, "repeat at most 1000 times {\n step \"Measure.\" { measure r%d in mm with gauge }\n until r%d below 5 mm\n", i, i)
		shut.WriteString("}\notherwise { finish refer \"Call.\" }\n")
	}
	add("a thousand times a thousand, twelve deep", aProcedure("", open.String()+shut.String()), "", "")

	// Nesting and length.
	add("deep nesting", aProcedure("", strings.Repeat("repeat at most 2 times { ", 30_000)), "BP101", "deep")
	add("a list of a million tools", aProcedure("", "step \"Turn the @key.\" { use "+strings.Repeat("key, ", 1_000_000)+"key }"), "BP101", "1000000 entries")
	add("a million readings of a trial", map[string]string{"a.proc": aProcedure("", "step \"Measure.\" { measure r in mm with gauge }")["a.proc"] + "trial \"t\" of job { r " + strings.Repeat("5 mm, ", 1_000_000) + "5 mm  expect finish serviceable }"}, "BP901", "never taken")
	add("a hundred thousand steps", aProcedure("", strings.Repeat("step \"Turn the @key.\" { use key }\n", 100_000)), "BP508", "more than 50000 statements")
	add("twenty thousand tools", aProcedure(listed(20_000, "tool k%d \"key %[1]d\" { number \"K-%[1]d\" }\n"), "step \"Turn the @key.\" { use key }"), "", "")
	add("twenty thousand answers", aProcedure("", "step \"Look.\" { ask q \"Which?\" { "+listed(20_000, "a%d \"a%[1]d\"\n")+" } }"), "BP405", "offers 2 to 1000")
	add("one name of a million letters", aProcedure("", "step \"Turn.\" { use "+strings.Repeat("k", 1_000_000)+" }"), "BP101", "1000000 letters")

	// Names that are files.
	for _, name := range []string{"con", "nul", "aux", "com1", "lpt9"} {
		add("a procedure "+name, map[string]string{"a.proc": strings.Replace(aProcedure("", "")["a.proc"], "procedure job", "procedure "+name, 1)}, "BP101", "for a device")
	}
	add("a procedure index", map[string]string{"a.proc": strings.Replace(aProcedure("", "")["a.proc"], "procedure job", "procedure index", 1)}, "BP101", "lists the documents")
	add("procedures job and Job", map[string]string{"a.proc": aProcedure("", "")["a.proc"] + "procedure Job \"J\" { document \"W-2\" revision A on 2026-01-01 \"x\" }\n"}, "BP101", "lower case")
	add("procedures ä in two forms", map[string]string{"a.proc": aProcedure("", "")["a.proc"] + "procedure a\u0308 \"J\" { }\nprocedure \u00e4 \"J\" { }\n"}, "BP101", "")

	// Numbers.
	for _, n := range []string{"1e999999999", "1e-999999999", strings.Repeat("9", 10_000), "0." + strings.Repeat("0", 10_000) + "1", strings.Repeat("9", 61), "1" + strings.Repeat("0", 1_000_000)} {
		name := n[:min(len(n), 14)] + fmt.Sprintf(" (%d characters)", len(n))
		add("a range to "+name, aProcedure("tool far \"far\" { number \"T-9\" reads from 0 mm to "+n+" mm resolution 0.01 mm uncertainty 0.01 mm }\n", "step \"Measure.\" { measure r in mm with far }"), "BP101", "")
		add("a count of "+name, aProcedure("", "step \"Turn the @key.\" { use key x "+n+" }"), "BP101", "")
		add("a limit of "+name, aProcedure("", "step \"Measure.\" { measure r in mm with gauge }\ndecide r { below "+n+" mm { } at least "+n+" mm { } }"), "BP101", "")
	}
	add("a scale of 10^50 values", aProcedure("tool fine \"fine\" { number \"T-9\" reads from 0 mm to 1000000000000000 mm resolution 0.00000000000000000000000000000000001 mm uncertainty 1 mm }\n",
		"step \"Measure.\" { measure r in mm with fine }\ndecide r { below 5 mm { } accept at least 5 mm no upper limit { } }"), "", "")
	add("a hundred takings", aProcedure("", "step \"Measure.\" { measure mean of 100 r in mm with gauge }\ndecide r { below 5 mm { } accept from 5 mm to 6 mm { } above 6 mm { } }"), "", "")

	// Texts.
	for _, mark := range []string{"*", "[", "`", "_", "![", "<", "**a", "[a](", "*a ", "_a_", "\\\\", "@", "@key ", "&amp;", "](", "](a)", "<a href=", "~~"} {
		code, text := "", ""
		if strings.ContainsAny(mark, "*[]`_\\&!") {
			code, text = "BP101", "signs of markup"
		}
		add("4,000 characters of "+mark, aProcedure("", "step \"Turn the @key. "+strings.Repeat(mark, 3900/len(mark))+"\" { use key }"), code, text)
		add("10,000 "+mark, aProcedure("", "step \"Turn the @key. "+strings.Repeat(mark, 10_000)+"\" { use key }"), "BP101", "characters")
		add("many texts of "+mark, aProcedure("", strings.Repeat("step \"Turn the @key. "+strings.Repeat(mark, 190/len(mark))+"\" { use key }\n", 1000)), "", "")
	}
	add("nested marks", aProcedure("", "step \"Turn the @key. "+strings.Repeat("*a **b [c ", 24)+strings.Repeat("](d)** *", 24)+"\" { use key }"), "", "")
	return all
}

// members is a family of n, whose limits are of fifty sorts.
func members(n int) string { return family(n, 50) }

// unlike is a family of n, of which no two have a limit in common.
func unlike(n int) string { return family(n, n) }

func family(n, sorts int) string {
	var b, rows strings.Builder
	b.WriteString("variant v0 \"V\" {")
	for i := range n {
		fmt.Fprintf(&b, " m%d \"member %[1]d\"\n", i)
		fmt.Fprintf(&rows, " m%d %d.%02d mm, %d.%02d mm\n", i, i%sorts/20+1, i%sorts%20*2, i%sorts/20+2, i%sorts%20*2+1)
	}
	b.WriteString("}\ntable t0 by v0 {\n columns low, high\n" + rows.String() + "}\n")
	return b.String()
}

// decisions takes n readings and decides each by the family.
func decisions(n int) string {
	return listed(n, "step \"Measure.\" { measure r%d in mm with gauge }\ndecide r%[1]d { below t0.low { } accept from t0.low to t0.high { } above t0.high { } }\n")
}

// picture is a PNG of one pixel.
const picture = "\x89\x50\x4e\x47\x0d\x0a\x1a\x0a\x00\x00\x00\x0d\x49\x48\x44\x52\x00\x00\x00\x01\x00\x00\x00\x01\x08\x00\x00\x00\x00\x3a\x7e\x9b\x55\x00\x00\x00\x0a\x49\x44\x41\x54\x78\x9c\x63\x60\x00\x00\x00\x02\x00\x01\x48\xaf\xa4\x71\x00\x00\x00\x00\x49\x45\x4e\x44\xae\x42\x60\x82"

// listed writes a format for each number from 0.
func listed(n int, format string) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, format, i)
	}
	return b.String()
}

// chain declares routines of which each performs the next.
func chain(n int) string {
	var b strings.Builder
	for i := range n {
		fmt.Fprintf(&b, "routine c%d \"R\" { perform c%d }\n", i, i+1)
	}
	fmt.Fprintf(&b, "routine c%d \"R\" { step \"Turn the @key.\" { use key } }\n", n)
	return b.String()
}

func TestStrangeLibraries(t *testing.T) {
	for _, s := range stranges() {
		t.Run(s.name, func(t *testing.T) {
			size, folder := 0, fstest.MapFS{}
			for name, text := range s.files {
				size += len(text)
				folder[name] = &fstest.MapFile{Data: []byte(text)}
			}
			watch := time.AfterFunc(2*time.Minute, func() { panic("no end") })
			defer watch.Stop()
			var before, after runtime.MemStats
			runtime.ReadMemStats(&before)
			begin := time.Now()
			src, err := compiler.Read(folder)
			if err != nil {
				t.Fatal(err)
			}
			r, err := compiler.Check(context.Background(), src)
			if err != nil {
				t.Fatal(err)
			}
			made, messages := 0, r.Messages
			for i := range r.Library.Procedures {
				d, ms := r.Document(i, compiler.DocumentOptions{Draft: !r.Sound()})
				messages = append(messages, ms...)
				if d != nil {
					made++
				}
			}
			runtime.ReadMemStats(&after)
			used := after.TotalAlloc - before.TotalAlloc
			t.Logf("%d bytes, %d messages, %d documents, %d MB allocated, %s", size, len(messages), made, used>>20, time.Since(begin).Round(time.Millisecond))
			if most := uint64(512<<20 + s.most*size); used > most {
				t.Errorf("%d MB were allocated, at most %d expected", used>>20, most>>20)
			}
			if most := 1000 + size/40; len(messages) > most {
				t.Errorf("%d messages, at most %d expected", len(messages), most)
			}
			for _, m := range messages {
				if len(m.Text) > 2000 {
					t.Errorf("a message of %d bytes: %.100s", len(m.Text), m.Text)
					break
				}
			}
			found := s.code == "" && !message.HasErrors(messages)
			for _, m := range messages {
				found = found || s.code != "" && string(m.Code) == s.code && strings.Contains(m.Text, s.text)
				if m.Code == "BP001" {
					t.Errorf("a fault of the compiler: %s", m.Text)
				}
			}
			if !found {
				t.Errorf("expected %s %q", s.code, s.text)
				for _, m := range messages[:min(len(messages), 6)] {
					t.Logf("%s %.200s", m.Code, m.Text)
				}
			}
		})
	}
}
