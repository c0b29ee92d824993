package message

import (
	"embed"
	"fmt"
	"strings"
)

// An Entry of the catalogue is one kind of mistake. Codes are never reused
// and never renumbered: they stand in people's notes and in CI settings.
type Entry struct {
	Code     Code
	Severity Severity
	// Title says what is wrong in a few words, lower case, no full stop.
	Title string
}

// catalogue holds every code there is, in order. Each has a page under pages/.
var catalogue = []Entry{
	{"BP101", Error, "the text does not follow the grammar"},

	{"BP201", Error, "unknown name"},
	{"BP202", Error, "declared twice"},
	{"BP203", Error, "the wrong sort of thing"},
	{"BP204", Warning, "declared and never used"},
	{"BP205", Error, "a tool or part that has been replaced"},
	{"BP206", Error, "a figure's file that cannot be used"},
	{"BP207", Error, "a table with a gap"},
	{"BP208", Error, "the text mentions what the actions do not handle"},
	{"BP209", Error, "a number in the text differs from the actions'"},

	{"BP301", Error, "unknown unit"},
	{"BP302", Error, "dimensions do not agree"},
	{"BP303", Error, "outside what the instrument sets or reads"},
	{"BP304", Error, "finer than the instrument can show"},
	{"BP305", Warning, "instrument too coarse for the limits"},
	{"BP306", Warning, "uncertainty below what the resolution alone gives"},

	{"BP401", Error, "a value that no branch takes"},
	{"BP402", Error, "a value that two branches take"},
	{"BP403", Error, "a branch that cannot happen"},
	{"BP404", Error, "decided before it is measured or asked"},
	{"BP405", Error, "answers and branches do not agree"},
	{"BP406", Error, "an accept range without an upper limit"},
	{"BP407", Warning, "guarded, and no range says what is accepted"},

	{"BP501", Error, "removed or released but not there"},
	{"BP502", Error, "still fitted or clamped where it must not be"},
	{"BP503", Error, "fitted where the place is taken"},
	{"BP504", Error, "a part's place empty at the finish"},
	{"BP505", Error, "a step no path reaches"},
	{"BP506", Error, "a condition that does not hold where it is needed"},
	{"BP507", Error, "a condition not as it must be at the finish"},
	{"BP508", Error, "a routine that performs itself"},
	{"BP509", Error, "a single-use part put back"},
	{"BP510", Error, "handled while the part in front is on"},

	{"BP601", Error, "a hazard carried without its safe condition"},
	{"BP602", Error, "a hazard without a consequence or a way to avoid it"},
	{"BP603", Error, "a sign that ISO 7010 does not register"},
	{"BP604", Warning, "a heavy part handled without a lifting tool"},
	{"BP605", Error, "a hazard carried before the proof it asks for"},
	{"BP606", Error, "signs that contradict each other"},
	{"BP607", Error, "heavier than the tool lifts"},

	{"BP701", Error, "drill and thread do not go together"},
	{"BP702", Error, "hole too shallow for its thread"},
	{"BP703", Error, "the tool named does not do this"},
	{"BP704", Error, "a torque that would overload the fastener"},

	{"BP801", Warning, "a long sentence"},
	{"BP802", Warning, "an opening that is no instruction"},
	{"BP803", Warning, "a vague word"},
	{"BP804", Warning, "more than three instructions in one step"},
	{"BP805", Warning, "a caution after its action"},

	{"BP901", Error, "a trial that does not hold"},
	{"BP902", Error, "a trial that lacks a reading or an answer"},
	{"BP903", Warning, "a branch that no trial takes"},
}

//go:embed pages/*.md
var pages embed.FS

var byCode = func() map[Code]*Entry {
	m := make(map[Code]*Entry, len(catalogue))
	for i := range catalogue {
		m[catalogue[i].Code] = &catalogue[i]
	}
	return m
}()

// Catalogue gives all entries in order of their codes.
func Catalogue() []Entry { return append([]Entry(nil), catalogue...) }

// Find gives the catalogue's entry of a code, however its letters are written.
func Find(code string) (Entry, bool) {
	e, ok := byCode[Code(strings.ToUpper(code))]
	if !ok {
		return Entry{}, false
	}
	return *e, true
}

// SeverityOf gives the severity of a code. A code the catalogue does not hold
// is an error: a message must never be taken for less than it may be.
func SeverityOf(code Code) Severity {
	if e, ok := byCode[code]; ok {
		return e.Severity
	}
	return Error
}

// Page gives the page of a code as CommonMark: what it means, why it matters
// at the bench, a wrong example and a right one. It is empty for a code the
// catalogue does not hold.
func Page(code Code) string {
	if _, ok := byCode[code]; !ok {
		return ""
	}
	text, err := pages.ReadFile("pages/" + string(code) + ".md")
	if err != nil {
		return "" // a test demands a page for each entry
	}
	return string(text)
}

// An Example is a small complete library out of a page: its files by path.
type Example map[string]string

// Examples gives the wrong and the right example of a code's page.
//
// A fenced block opened with "```proc" is the library's example.proc, and one
// opened with, say, "```svg figures/x.svg" is the file of that path. Blocks
// belong to the heading they stand under: "## Wrong" or "## Right".
func Examples(code Code) (wrong, right Example, err error) {
	var (
		current Example
		path    string
		body    strings.Builder
	)
	for n, line := range strings.Split(Page(code), "\n") {
		switch {
		case path == "" && line == "## Wrong":
			wrong = Example{}
			current = wrong
		case path == "" && line == "## Right":
			right = Example{}
			current = right
		case path == "" && strings.HasPrefix(line, "```"):
			language, name, _ := strings.Cut(strings.TrimPrefix(line, "```"), " ")
			if name == "" && language == "proc" {
				name = "example.proc"
			}
			if name == "" || current == nil {
				return nil, nil, fmt.Errorf("%s: line %d: a block that belongs to no example", code, n+1)
			}
			path = name
			body.Reset()
		case path != "" && line == "```":
			current[path] = body.String()
			path = ""
		case path != "":
			body.WriteString(line)
			body.WriteByte('\n')
		}
	}
	if len(wrong) == 0 || len(right) == 0 {
		return nil, nil, fmt.Errorf("%s: a page needs a wrong and a right example", code)
	}
	return wrong, right, nil
}
