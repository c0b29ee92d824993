package trade

import (
	"sort"
	"strings"
	"sync"
)

// SafetySign is a safety sign that ISO 7010 registers.
type SafetySign struct {
	Code      string // W012
	Referent  string // what it means, in the standard's words: Electricity
	Equipment bool   // asks a person to wear or use protective equipment
}

// SignCategory is the kind of sign that the letter of its number says, with
// its shape and colour (ISO 7010, ISO 3864-1).
type SignCategory struct {
	Letter, Meaning, Shape, Colour string
	RAL                            string // ISO 3864-4 example: the number of the safety colour
}

// SignCategories lists the letters of ISO 7010.
func SignCategories() []SignCategory {
	return []SignCategory{
		{"E", "safe condition", "square or rectangle", "green", "RAL 6032"},
		{"F", "fire equipment", "square", "red", "RAL 3001"},
		{"M", "mandatory action", "circle", "blue", "RAL 5005"},
		{"P", "prohibition", "circle with diagonal bar", "red", "RAL 3001"},
		{"W", "warning", "triangle", "yellow", "RAL 1003"},
	}
}

type register struct {
	signs []SafetySign
	at    map[string]int
}

var signRegister = sync.OnceValue(func() register {
	t := load("signs")
	r := register{at: make(map[string]int, len(t.rows))}
	for i := range t.rows {
		r.at[t.text(i, "code")] = i
		r.signs = append(r.signs, SafetySign{Code: t.text(i, "code"), Referent: t.text(i, "referent"), Equipment: t.text(i, "equipment") == "yes"})
	}
	return r
})

// Signs lists the register by number.
func Signs() []SafetySign { return append([]SafetySign(nil), signRegister().signs...) }

// Sign finds a registered sign by its number.
func Sign(code string) (SafetySign, bool) {
	r := signRegister()
	i, ok := r.at[code]
	if !ok {
		return SafetySign{}, false
	}
	return r.signs[i], true
}

// NearestSigns offers the numbers of up to three registered signs for one that is
// none: the same number written otherwise (w12, W-012), else the nearest by spelling.
func NearestSigns(code string) []string {
	tidy := strings.ToUpper(strings.NewReplacer("-", "", ".", "", "/", "", " ", "").Replace(code))
	if letter := strings.TrimRight(tidy, "0123456789"); len(letter) == 1 && len(tidy) < 4 {
		tidy = letter + strings.Repeat("0", 4-len(tidy)) + tidy[1:]
	}
	if _, ok := Sign(tidy); ok {
		return []string{tidy}
	}
	var codes []string
	for _, s := range signRegister().signs {
		codes = append(codes, s.Code)
	}
	return nearest(tidy, codes)
}

// Pairs of signs that ask a person for the opposite: the same act asked for and
// forbidden, or two acts that exclude each other. Read from the referents of
// ISO 7010, which itself names no such pairs. Signs about different things at one
// place, such as P004 with M024 (no way here, the way is there) or P031 with
// M021 (locked off, leave the switch alone), go together and are not here.
var contradictions = map[[2]string]string{
	{"M009", "P028"}: "gloves asked for and forbidden",
	{"M019", "P003"}: "welding asked for and ignition sources forbidden",
	{"M019", "P039"}: "welding asked for and hot work forbidden",
	{"M033", "M034"}: "the safety bar closed and opened",
	{"M043", "P016"}: "water spray asked for and forbidden",
	{"M050", "M051"}: "off to the left and off to the right",
	{"M054", "P036"}: "children under supervision and no children",
	{"E015", "P005"}: "drinking water and not drinking water",
	{"E018", "E019"}: "anticlockwise and clockwise to open",
	{"E022", "E023"}: "pushed on the left and pushed on the right",
	{"E033", "E034"}: "slides right and slides left to open",
	{"E057", "E058"}: "pulled on the left and pulled on the right",
}

// Contradict reports whether two signs contradict each other, and how, in
// words for a message. The order of the two does not matter.
func Contradict(a, b string) (why string, ok bool) {
	pair := []string{a, b}
	sort.Strings(pair)
	why, ok = contradictions[[2]string{pair[0], pair[1]}]
	return why, ok
}
