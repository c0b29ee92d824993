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
	// Internal marks a fault of the compiler, not of a library: its page has no
	// examples, since no library is known to show it.
	Internal bool
}

// catalogue holds every code there is, in order. Each has a page under pages/.
var catalogue = []Entry{
	{Code: "BP001", Severity: Error, Title: "a fault of the compiler itself", Internal: true},

	{Code: "BP011", Severity: Error, Title: "not what was released"},
	{Code: "BP012", Severity: Error, Title: "a release of what is not there"},
	{Code: "BP013", Severity: Error, Title: "released or withdrawn twice"},
	{Code: "BP014", Severity: Error, Title: "a day of release that cannot be"},
	{Code: "BP015", Severity: Error, Title: "a release that does not say by whom, when or over what"},
	{Code: "BP016", Severity: Error, Title: "a fingerprint of another method"},
	{Code: "BP017", Severity: Error, Title: "a release that does not agree with itself"},
	{Code: "BP021", Severity: Error, Title: "a sheet that cannot be read"},
	{Code: "BP022", Severity: Error, Title: "a catalogue that does not fit its sheet"},
	{Code: "BP023", Severity: Error, Title: "a cell that cannot be taken"},
	{Code: "BP024", Severity: Error, Title: "one number for two things"},
	{Code: "BP025", Severity: Error, Title: "a row that is not whole"},
	{Code: "BP026", Severity: Warning, Title: "read from a sheet in a way that may not be meant"},
	{Code: "BP027", Severity: Warning, Title: "calibration overdue"},
	{Code: "BP028", Severity: Error, Title: "calibration due before it was done"},
	{Code: "BP031", Severity: Error, Title: "a translation file that cannot be read"},
	{Code: "BP032", Severity: Warning, Title: "a text without a translation"},
	{Code: "BP033", Severity: Warning, Title: "a translation of a text that has changed"},
	{Code: "BP034", Severity: Error, Title: "a translation that says something else"},
	{Code: "BP035", Severity: Warning, Title: "a translation of no text of the library"},
	{Code: "BP036", Severity: Error, Title: "the wrong number of plural forms"},
	{Code: "BP037", Severity: Error, Title: "a translation for another language"},

	{Code: "BP101", Severity: Error, Title: "the text does not follow the grammar"},

	{Code: "BP201", Severity: Error, Title: "unknown name"},
	{Code: "BP202", Severity: Error, Title: "declared twice"},
	{Code: "BP203", Severity: Error, Title: "the wrong sort of thing"},
	{Code: "BP204", Severity: Warning, Title: "declared and never used"},
	{Code: "BP205", Severity: Error, Title: "a tool or part that has been replaced"},
	{Code: "BP206", Severity: Error, Title: "a figure's file that cannot be used"},
	{Code: "BP207", Severity: Error, Title: "a table with a gap"},
	{Code: "BP208", Severity: Error, Title: "the text mentions what the actions do not handle"},
	{Code: "BP209", Severity: Error, Title: "a number in the text differs from the actions'"},

	{Code: "BP301", Severity: Error, Title: "unknown unit"},
	{Code: "BP302", Severity: Error, Title: "dimensions do not agree"},
	{Code: "BP303", Severity: Error, Title: "outside what the instrument sets or reads"},
	{Code: "BP304", Severity: Error, Title: "finer than the instrument can show"},
	{Code: "BP305", Severity: Warning, Title: "instrument too coarse for the limits"},
	{Code: "BP306", Severity: Warning, Title: "uncertainty below what the resolution alone gives"},
	{Code: "BP307", Severity: Warning, Title: "an uncertainty in per cent that may be meant in two ways"},

	{Code: "BP401", Severity: Error, Title: "a value that no branch takes"},
	{Code: "BP402", Severity: Error, Title: "a value that two branches take"},
	{Code: "BP403", Severity: Error, Title: "a branch that cannot happen"},
	{Code: "BP404", Severity: Error, Title: "decided before it is measured or asked"},
	{Code: "BP405", Severity: Error, Title: "answers and branches do not agree"},
	{Code: "BP406", Severity: Error, Title: "an accept range without an upper limit"},
	{Code: "BP407", Severity: Warning, Title: "guarded, and no range says what is accepted"},

	{Code: "BP501", Severity: Error, Title: "removed or released but not there"},
	{Code: "BP502", Severity: Error, Title: "still fitted or clamped where it must not be"},
	{Code: "BP503", Severity: Error, Title: "fitted where the place is taken"},
	{Code: "BP504", Severity: Error, Title: "a part's place empty at the finish"},
	{Code: "BP505", Severity: Error, Title: "a step no path reaches"},
	{Code: "BP506", Severity: Error, Title: "a condition that does not hold where it is needed"},
	{Code: "BP507", Severity: Error, Title: "a condition not as it must be at the finish"},
	{Code: "BP508", Severity: Error, Title: "a routine that performs itself"},
	{Code: "BP509", Severity: Error, Title: "a single-use part put back"},
	{Code: "BP510", Severity: Error, Title: "handled while the part in front is on"},
	{Code: "BP511", Severity: Error, Title: "too intricate to be proved", Internal: true},
	{Code: "BP512", Severity: Error, Title: "handed over otherwise than the next procedure begins"},

	{Code: "BP601", Severity: Error, Title: "a hazard carried without its safe condition"},
	{Code: "BP602", Severity: Error, Title: "a hazard without a consequence or a way to avoid it"},
	{Code: "BP603", Severity: Error, Title: "a sign that ISO 7010 does not register"},
	{Code: "BP604", Severity: Warning, Title: "a heavy part handled without a lifting tool"},
	{Code: "BP605", Severity: Error, Title: "a hazard carried before the proof it asks for"},
	{Code: "BP606", Severity: Error, Title: "signs that contradict each other"},
	{Code: "BP607", Severity: Error, Title: "heavier than the tool lifts"},

	{Code: "BP701", Severity: Error, Title: "drill and thread do not go together"},
	{Code: "BP702", Severity: Error, Title: "hole too shallow for its thread"},
	{Code: "BP703", Severity: Error, Title: "the tool named does not do this"},
	{Code: "BP704", Severity: Error, Title: "a torque that would overload the fastener"},

	{Code: "BP801", Severity: Warning, Title: "a long sentence"},
	{Code: "BP802", Severity: Warning, Title: "an opening that is no instruction"},
	{Code: "BP803", Severity: Warning, Title: "a vague word"},
	{Code: "BP804", Severity: Warning, Title: "more than three instructions in one step"},
	{Code: "BP805", Severity: Warning, Title: "a caution after its action"},
	{Code: "BP806", Severity: Warning, Title: "one thing under two names"},
	{Code: "BP807", Severity: Warning, Title: "told instead of instructed"},

	{Code: "BP901", Severity: Error, Title: "a trial that does not hold"},
	{Code: "BP902", Severity: Error, Title: "a trial that lacks a reading or an answer"},
	{Code: "BP903", Severity: Warning, Title: "a branch that no trial takes"},
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
// belong to the heading they stand under: "## Wrong" or "## Right". An internal
// code has no examples.
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
	if e := byCode[code]; e != nil && e.Internal {
		return nil, nil, nil
	}
	if len(wrong) == 0 || len(right) == 0 {
		return nil, nil, fmt.Errorf("%s: a page needs a wrong and a right example", code)
	}
	return wrong, right, nil
}
