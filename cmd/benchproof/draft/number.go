package draft

import (
	"regexp"
	"strings"

	"benchproof/compiler/quantity"
)

// digitWords are the digits as they are read out.
var digitWords = map[string]string{"zero": "0", "oh": "0", "nought": "0", "naught": "0", "o": "0", "one": "1", "two": "2", "three": "3", "four": "4",
	"five": "5", "six": "6", "seven": "7", "eight": "8", "nine": "9", "niner": "9"}

var smallNumbers = map[string]int64{"zero": 0, "nought": 0, "one": 1, "two": 2, "three": 3, "four": 4, "five": 5, "six": 6, "seven": 7, "eight": 8, "nine": 9,
	"ten": 10, "eleven": 11, "twelve": 12, "thirteen": 13, "fourteen": 14, "fifteen": 15, "sixteen": 16, "seventeen": 17, "eighteen": 18, "nineteen": 19}

var tens = map[string]int64{"twenty": 20, "thirty": 30, "forty": 40, "fourty": 40, "fifty": 50, "sixty": 60, "seventy": 70, "eighty": 80, "ninety": 90}

// numeral tells that a word is a number, or part of one.
func numeral(w string) bool {
	if _, ok := digitWords[w]; ok {
		return w != "o"
	}
	if a, b, ok := strings.Cut(w, "-"); ok {
		return numeral(a) && numeral(b)
	}
	_, small := smallNumbers[w]
	return small || tens[w] > 0 || w == "hundred" || w == "thousand" || w == "point"
}

var (
	plainNumeral = regexp.MustCompile(`^[-−+]?\d+(?:[.,]\d+)?$`)
	leading      = regexp.MustCompile(`^([-−+]?\d+(?:[.,]\d+)?)(\D.*)$`)
	twoNumbers   = regexp.MustCompile(`^(\d+(?:[.,]\d+)?)[-–](\d+(?:[.,]\d+)?)(\D.*)?$`)
	fraction     = regexp.MustCompile(`^(\d+)/(\d+)$`)
)

func plainNumber(s string) bool { return plainNumeral.MatchString(s) }

// decimal reads a written number. A comma is a decimal comma, unless three
// digits stand behind it: then it may also part thousands, and nobody can tell.
func decimal(s string) (value string, ok bool) {
	s = strings.NewReplacer("−", "-", "+", "").Replace(s)
	if i := strings.IndexByte(s, ','); i >= 0 {
		if len(s)-i-1 == 3 && strings.TrimLeft(s[:i], "-0") != "" {
			return "", false
		}
		s = s[:i] + "." + s[i+1:]
	}
	n, err := quantity.ParseNumber(s)
	if err != nil || len(s) > 24 {
		return "", false
	}
	if strings.HasPrefix(strings.TrimPrefix(s, "-"), "0") && !strings.Contains(s, ".") {
		s = n.Exact()
	}
	return s, true
}

// cardinal reads a whole number in words at i: "a hundred and ten". n is how
// many tokens it has.
func cardinal(list []token, i int) (value int64, n int) {
	at := i
	total, current := int64(0), int64(0)
	seen := false
	last := int64(0) // the size of what came last: 100, 10, 1; 0 at the start
	for at < len(list) && list[at].kind == word && total < 1_000_000 {
		w := list[at].low
		a, b, hyphen := strings.Cut(w, "-")
		switch {
		case hyphen && tens[a] > 0 && smallNumbers[b] > 0 && smallNumbers[b] < 10:
			if last == 10 || last == 1 {
				return total + current, at - i
			}
			current += tens[a] + smallNumbers[b]
			last = 1
		case tens[w] > 0:
			if last == 10 || last == 1 {
				return total + current, at - i
			}
			current += tens[w]
			last = 10
		case isSmall(w):
			v := smallNumbers[w]
			if last == 1 || last == 10 && (v > 9 || v == 0) {
				return total + current, at - i
			}
			current += v
			last = 1
		case w == "hundred" && seen && current > 0 && current < 100:
			current *= 100
			last = 100
		case w == "thousand" && seen && current > 0:
			total += current * 1000
			current, last = 0, 1000
		case (w == "a" || w == "one") && !seen && at+1 < len(list) && (list[at+1].low == "hundred" || list[at+1].low == "thousand"):
			current = 1
		case w == "and" && seen && (last == 100 || last == 1000) && at+1 < len(list) && (numeral(list[at+1].low) && list[at+1].low != "point"):
			at++
			continue
		default:
			if !seen {
				return 0, 0
			}
			return total + current, at - i
		}
		seen = true
		at++
	}
	if !seen {
		return 0, 0
	}
	return total + current, at - i
}

func isSmall(w string) bool { _, ok := smallNumbers[w]; return ok }

// decimals reads the digits behind "point".
func decimals(list []token, i int) (digits string, n int) {
	for i+n < len(list) && list[i+n].kind == word {
		w := list[i+n].low
		if d, ok := digitWords[w]; ok && w != "o" {
			digits += d
			n++
			continue
		}
		// "eight point twenty-five"
		if digits == "" {
			if v, k := cardinal(list, i); k > 0 && v < 1000 {
				return quantity.NewInt(v).Exact(), k
			}
			if plainNumber(w) && strings.Trim(w, "0123456789") == "" {
				return w, 1
			}
		}
		break
	}
	return digits, n
}

// halves are what may follow a whole number, or stand alone before a unit.
var halves = []struct{ phrase, value string }{
	{"three quarters of an", "0.75"}, {"three quarters of a", "0.75"}, {"three-quarters of an", "0.75"}, {"three-quarters of a", "0.75"},
	{"a quarter of an", "0.25"}, {"a quarter of a", "0.25"}, {"half an", "0.5"}, {"half a", "0.5"}, {"a half", "0.5"}, {"a quarter", "0.25"}, {"three quarters", "0.75"}, {"a tenth of a", "0.1"}, {"a hundredth of a", "0.01"},
	{"five hundredths of a", "0.05"}, {"two hundredths of a", "0.02"}, {"two tenths of a", "0.2"}, {"five tenths of a", "0.5"},
}

// readNumber reads a number, written or in words, at i.
func readNumber(list []token, i int) (value string, n int) {
	t := &list[i]
	if t.kind != word {
		return "", 0
	}
	if plainNumber(t.low) {
		v, ok := decimal(t.low)
		if !ok {
			return "", 0
		}
		if k := matches(list, i+1, "and a half"); k > 0 {
			return add(v, "0.5"), 1 + k
		}
		return v, 1
	}
	if m := fraction.FindStringSubmatch(t.low); m != nil && len(m[1]) < 4 && len(m[2]) < 4 && strings.Trim(m[2], "0") != "" {
		a, b := quantity.MustNumber(m[1]), quantity.MustNumber(m[2])
		if q := a.Quo(b); q.Finite() {
			return q.Exact(), 1
		}
		return "", 0
	}
	for _, h := range halves {
		if k := matches(list, i, h.phrase); k > 0 {
			if _, n := unitAt(list, i+k, true); n > 0 {
				return h.value, k
			}
		}
	}
	sign, at := "", i
	if t.is("minus", "negative") {
		sign, at = "-", i+1
	}
	v, k := cardinal(list, at)
	whole := quantity.NewInt(v).Exact()
	if k == 0 && at < len(list) {
		switch {
		case list[at].is("oh") && at+1 < len(list) && list[at+1].is("point"):
			k = 1
		case list[at].is("point"):
		default:
			return "", 0
		}
		whole = "0"
	}
	at += k
	if at < len(list) && list[at].is("point") {
		if d, k := decimals(list, at+1); k > 0 {
			return sign + whole + "." + d, at + 1 + k - i
		}
	}
	if k == 0 {
		return "", 0
	}
	switch {
	case matches(list, at, "and a half") > 0:
		return sign + add(whole, "0.5"), at + 3 - i
	case matches(list, at, "and a quarter") > 0:
		return sign + add(whole, "0.25"), at + 3 - i
	case matches(list, at, "and three quarters") > 0:
		return sign + add(whole, "0.75"), at + 3 - i
	}
	return sign + whole, at - i
}

func add(a, b string) string {
	x, err1 := quantity.ParseNumber(a)
	y, err2 := quantity.ParseNumber(b)
	if err1 != nil || err2 != nil {
		return a
	}
	return x.Add(y).Exact()
}

// degrees is the unit of degrees that do not say whether they are of
// temperature or of angle: what is done tells.
const degrees = "degrees"

// spokenUnits are units as they are said, longest first where one begins
// another.
var spokenUnits = []struct{ phrase, code string }{
	{"newton metres", "N.m"}, {"newton meters", "N.m"}, {"newton metre", "N.m"}, {"newton meter", "N.m"}, {"newtonmetres", "N.m"}, {"newtonmeters", "N.m"}, {"newton-metres", "N.m"}, {"newton-meters", "N.m"},
	{"foot pounds", "lbf.ft"}, {"foot-pounds", "lbf.ft"}, {"pound feet", "lbf.ft"},
	{"degrees celsius", "degC"}, {"degrees centigrade", "degC"}, {"degree celsius", "degC"}, {"degrees c", "degC"}, {"degrees fahrenheit", "degF"}, {"celsius", "degC"}, {"centigrade", "degC"}, {"fahrenheit", "degF"},
	{"litres per minute", "L/min"}, {"liters per minute", "L/min"}, {"litres a minute", "L/min"}, {"liters a minute", "L/min"}, {"metres per minute", "m/min"}, {"meters per minute", "m/min"},
	{"revs per minute", "rpm"}, {"revolutions per minute", "rpm"}, {"turns per minute", "rpm"},
	{"degrees", degrees}, {"degree", degrees},
	{"millimetres per metre", "mm/m"}, {"millimeters per meter", "mm/m"}, {"millimetre per metre", "mm/m"}, {"millimeter per meter", "mm/m"}, {"microns per metre", "um/m"}, {"microns per meter", "um/m"},
	{"millimetres", "mm"}, {"millimeters", "mm"}, {"millimetre", "mm"}, {"millimeter", "mm"}, {"centimetres", "cm"}, {"centimeters", "cm"}, {"centimetre", "cm"}, {"centimeter", "cm"},
	{"microns", "um"}, {"micron", "um"}, {"micrometres", "um"}, {"metres", "m"}, {"meters", "m"}, {"metre", "m"}, {"meter", "m"}, {"inches", "inch"}, {"inch", "inch"}, {"thou", "thou"},
	{"millibar", "mbar"}, {"millibars", "mbar"}, {"bars", "bar"}, {"bar", "bar"}, {"pascals", "Pa"}, {"kilopascals", "kPa"}, {"megapascals", "MPa"}, {"psi", "psi"},
	{"hours", "h"}, {"hour", "h"}, {"minutes", "min"}, {"minute", "min"}, {"mins", "min"}, {"seconds", "s"}, {"second", "s"}, {"secs", "s"}, {"hrs", "h"}, {"hr", "h"},
	{"megohms", "Mohm"}, {"megohm", "Mohm"}, {"megaohms", "Mohm"}, {"megaohm", "Mohm"}, {"mega ohms", "Mohm"}, {"mega ohm", "Mohm"}, {"kiloohms", "kohm"}, {"kilohms", "kohm"}, {"kilo ohms", "kohm"}, {"milliohms", "mohm"}, {"gigohms", "Gohm"}, {"ohms", "ohm"}, {"ohm", "ohm"},
	{"millivolts", "mV"}, {"kilovolts", "kV"}, {"volts", "V"}, {"volt", "V"}, {"milliamps", "mA"}, {"amperes", "A"}, {"amps", "A"}, {"amp", "A"}, {"kilowatts", "kW"}, {"watts", "W"},
	{"kilograms", "kg"}, {"kilogram", "kg"}, {"kilos", "kg"}, {"kilo", "kg"}, {"grams", "g"}, {"gram", "g"}, {"tonnes", "t"}, {"pounds", "lb"},
	{"litres", "L"}, {"liters", "L"}, {"litre", "L"}, {"liter", "L"}, {"millilitres", "mL"}, {"milliliters", "mL"},
	{"kilonewtons", "kN"}, {"newtons", "N"}, {"newton", "N"}, {"per cent", "%"}, {"percent", "%"}, {"hertz", "Hz"}, {"kelvin", "K"},
}

// writtenUnits are units as they are written and are no code of the language.
var writtenUnits = map[string]string{
	"nm": "N.m", "n·m": "N.m", "n⋅m": "N.m", "n.m": "N.m", "n-m": "N.m", "°c": "degC", "°f": "degF", "°": degrees, "µm": "um", "μm": "um", "\"": "inch", "″": "inch",
	"l": "L", "ml": "mL", "l/min": "L/min", "ω": "ohm", "mω": "mohm", "kω": "kohm", "sec": "s", "hrs": "h", "mins": "min", "%": "%", "v": "V", "a": "A", "vac": "V", "vdc": "V", "kw": "kW", "w": "W", "mpa": "MPa", "kpa": "kPa", "khz": "kHz", "hz": "Hz",
}

// noUnit are codes of units that are words far more often.
var noUnit = set(`at a in d t`)

// unitAt reads a unit at i. In a list that was written, codes count too.
func unitAt(list []token, i int, written bool) (code string, n int) {
	if i >= len(list) || list[i].kind != word {
		return "", 0
	}
	for _, u := range spokenUnits {
		if k := matches(list, i, u.phrase); k > n {
			code, n = u.code, k
		}
	}
	if n > 0 || !written {
		return code, n
	}
	w := strings.NewReplacer("·", ".", "⋅", ".").Replace(list[i].text)
	if _, ok := quantity.LookUp(w); ok && !noUnit[w] {
		return w, 1
	}
	if list[i].text == "MΩ" || list[i].text == "MOhm" {
		return "Mohm", 1
	}
	if code, ok := writtenUnits[list[i].low]; ok && !noUnit[list[i].text] {
		return code, 1
	}
	// "°" and "C" with a space between them.
	return "", 0
}

// numerals joins what makes a number, and a number and its unit.
func numerals(list []token) []token {
	out := make([]token, 0, len(list))
	for i := 0; i < len(list); {
		t := list[i]
		if t.kind == word {
			// Glued: "25mm", "15°", "5–25".
			if m := twoNumbers.FindStringSubmatch(t.text); m != nil {
				first, second := t, t
				first.text, first.low = m[1], m[1]
				second.text, second.low = m[2], m[2]
				to := token{kind: word, text: "to", low: "to", from: t.from, to: t.to, line: t.line}
				parts := []token{first, to, second}
				if m[3] != "" {
					u := t
					u.text, u.low = m[3], strings.ToLower(m[3])
					parts = append(parts, u)
				}
				list = append(append(append([]token(nil), parts...), list[i+1:]...), []token{}...)
				i = 0
				continue
			}
			if m := leading.FindStringSubmatch(t.text); m != nil {
				u := t
				u.text, u.low = m[2], strings.ToLower(m[2])
				if code, n := unitAt([]token{u}, 0, true); n == 1 && code != "" {
					if v, ok := decimal(m[1]); ok {
						t.kind, t.value, t.unit = amount, v, code
						out = append(out, t)
						i++
						continue
					}
				}
			}
		}
		v, n := readNumber(list, i)
		if n == 0 {
			out = append(out, t)
			i++
			continue
		}
		t.kind, t.value = number, v
		t.to = list[i+n-1].to
		if n > 1 || !plainNumber(t.low) {
			t.text = textOf(list[i : i+n])
		}
		t.low = t.text
		at := i + n
		if at < len(list) && list[at].is("-") {
			at++
		}
		if code, k := unitAt(list, at, true); k > 0 {
			if !(code == "inch" && list[at].low == "in") {
				t.kind, t.unit, t.to = amount, code, list[at+k-1].to
				at += k
				// "80 ° C" and "80 degrees C" are told by unitAt; "°" alone is not.
				if t.unit == degrees && at < len(list) && list[at].text == "C" {
					t.unit = "degC"
					at++
				}
				out = append(out, t)
				i = at
				continue
			}
		}
		out = append(out, t)
		i += n
	}
	return lists(withdrawn(takenBack(out)))
}

func textOf(list []token) string {
	var b strings.Builder
	for i, t := range list {
		if i > 0 && t.kind != mark {
			b.WriteByte(' ')
		}
		b.WriteString(t.text)
	}
	return b.String()
}

// retractions take back what was said before.
var retractions = []string{"no sorry", "sorry no", "no wait", "wait no", "no", "sorry", "i mean", "make that", "make it", "or rather", "rather", "wait"}

// withdrawals take back all that was said before them.
var withdrawals = []string{"sorry no", "no sorry", "no wait", "wait no", "scratch that", "forget that", "no no"}

// withdrawn drops what a speaker takes back as a whole: "now the ring goes in,
// sorry, no, first the packing".
func withdrawn(list []token) []token {
	for i := len(list) - 3; i > 0; i-- {
		if list[i].kind != mark || list[i].low != "," && list[i].low != "–" && list[i].low != "…" {
			continue
		}
		for _, w := range withdrawals {
			if n := matchesLoose(list, i+1, w); n > 0 && i+1+n < len(list)-1 {
				rest := list[i+1+n:]
				if rest[0].kind == mark {
					rest = rest[1:]
				}
				return rest
			}
		}
	}
	return list
}

// takenBack drops a value, or a thing, that the speaker corrects: "eight, no,
// nine newton metres", "the nut, sorry, the bolt".
func takenBack(list []token) []token {
	out := make([]token, 0, len(list))
	for i := 0; i < len(list); i++ {
		at := i
		if at < len(list) && list[at].kind == mark && (list[at].low == "," || list[at].low == "–" || list[at].low == "…") {
			at++
		}
		n := 0
		if at > i || i > 0 && (list[i-1].kind == number || list[i-1].kind == amount) {
			for _, r := range retractions {
				if k := matchesLoose(list, at, r); k > n {
					n = k
				}
			}
		}
		if n > 0 && at+n < len(list) {
			next := at + n
			if list[next].kind == mark && list[next].low == "," && next+1 < len(list) {
				next++
			}
			last := len(out) - 1
			switch {
			case last >= 0 && (out[last].kind == number || out[last].kind == amount) && (list[next].kind == number || list[next].kind == amount):
				out = out[:last]
				i = next - 1
				continue
			case last >= 0 && list[next].kind == word && determiners[list[next].low]:
				// Back to the word the new one begins with.
				back := last
				for back >= 0 && back > last-5 && out[back].kind == word && out[back].low != list[next].low {
					back--
				}
				if back >= 0 && out[back].kind == word && out[back].low == list[next].low {
					out = out[:back]
					i = next - 1
					continue
				}
			}
		}
		out = append(out, list[i])
	}
	return out
}

// matchesLoose lets commas stand between the words of a phrase.
func matchesLoose(list []token, i int, phrase string) int {
	n := 0
	for k, w := range strings.Fields(phrase) {
		if k > 0 && i+n < len(list) && list[i+n].kind == mark && list[i+n].low == "," {
			n++
		}
		if i+n >= len(list) || list[i+n].kind == mark || list[i+n].low != w {
			return 0
		}
		n++
	}
	return n
}

// lists gives the numbers before an amount its unit: "40, 80 and 120 Nm",
// "between 9.9 and 10.1 bar".
func lists(list []token) []token {
	for i := len(list) - 1; i > 0; i-- {
		if list[i].kind != amount {
			continue
		}
		k := i - 1
		joined := false
		for k >= 0 && (list[k].kind == mark && list[k].low == "," || list[k].is("and", "to", "or", "then")) && i-k <= 2 {
			joined = true
			k--
		}
		if joined && k >= 0 && list[k].kind == number {
			list[k].kind, list[k].unit = amount, list[i].unit
		}
	}
	return list
}

// amountText prints an amount as the language reads it.
func amountText(t *token) string { return t.value + " " + t.unit }

// --- reference numbers ------------------------------------------------------------

var (
	refWhole  = regexp.MustCompile(`^([A-Z]{1,2})-?(\d{2,6})$`)
	refPrefix = regexp.MustCompile(`^[A-Z]{1,2}-?$`)
	refDigits = regexp.MustCompile(`^\d{2,6}$`)
)

// noPrefix are letters before digits that are a size, a standard or a document.
var noPrefix = set(`M G R UN PN DN EN IP RA VG SO WI PH PZ TX SW HT AC DC CA NO UK`)

// references joins what makes a reference number. Spoken variants become one:
// "P 2032", "P-2032", "P2032", "p two oh three two", "P twenty thirty-two".
func references(list []token) []token {
	out := make([]token, 0, len(list))
	for i := 0; i < len(list); {
		ref, n := referenceAt(list, i)
		if n == 0 {
			out = append(out, list[i])
			i++
			continue
		}
		t := list[i]
		t.kind, t.text, t.low, t.value = reference, ref, ref, ref
		t.to = list[i+n-1].to
		out = append(out, t)
		i += n
	}
	return out
}

func referenceAt(list []token, i int) (ref string, n int) {
	t := &list[i]
	if t.kind != word {
		return "", 0
	}
	if m := refWhole.FindStringSubmatch(t.text); m != nil && !noPrefix[m[1]] {
		return m[1] + "-" + m[2], 1
	}
	next := i + 1
	if next >= len(list) {
		return "", 0
	}
	spoken := func(from, least int) (string, int) {
		k := from
		digits := ""
		for k < len(list) && list[k].kind == word && len(digits) < 6 {
			w := list[k].low
			if d, ok := digitWords[w]; ok && w != "o" {
				digits += d
			} else if v, c := cardinal(list, k); c == 1 && v >= 10 && v < 100 {
				digits += quantity.NewInt(v).Exact()
			} else if v, c := cardinal(list, k); c == 2 && v >= 10 && v < 100 && !strings.Contains(w, "-") && tens[w] > 0 {
				digits += quantity.NewInt(v).Exact()
				k++
			} else if refDigits.MatchString(w) || len(w) == 1 && startsDigit(w) {
				digits += w
			} else {
				break
			}
			k++
		}
		if len(digits) < least || len(digits) > 6 {
			return "", 0
		}
		// What follows may make a quantity of it.
		if k < len(list) {
			if _, u := unitAt(list, k, true); u > 0 || list[k].is("point", "hundred", "thousand") {
				return "", 0
			}
		}
		return digits, k - from
	}
	letter := strings.ToUpper(strings.TrimSuffix(t.text, "-"))
	switch {
	case refPrefix.MatchString(t.text) && !noPrefix[letter] && t.text != "I" && t.text != "A":
		if list[next].is("dash", "hyphen", "number") {
			next++
		}
		if next < len(list) {
			if d, k := spoken(next, 2); k > 0 {
				return letter + "-" + d, next + k - i
			}
		}
	case t.is("t", "p", "c", "k") && t.text == t.low:
		if list[next].is("dash", "hyphen", "number") {
			next++
		}
		if d, k := spoken(next, 3); k > 0 {
			return letter + "-" + d, next + k - i
		}
	case t.is("number", "no.", "nr", "nr."):
		// A letter may follow: "number T-0062" is told by the next turn.
		if d, k := spoken(next, 2); k > 0 {
			return d, 1 + k
		}
	}
	return "", 0
}
