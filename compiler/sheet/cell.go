package sheet

import (
	"regexp"
	"strings"
)

// number is a plain number: what a spreadsheet makes of it is the number.
var number = regexp.MustCompile(`^-?[0-9]+(?:[.,][0-9]+)?$`)

// risky are the characters that begin a formula in one spreadsheet or another, the
// full-width ones of East Asian input among them.
const risky = "=+-@|%\uff1d\uff0b\uff0d\uff20"

// CellText makes a text safe in a cell of a file that spreadsheets open: one that
// would begin a formula there gets an apostrophe in front, behind a semicolon as
// well, since some take that for the end of a cell; a character that moves
// anything becomes a space. A plain number stands as it is, below zero too, and so
// does a lone percent sign. After OWASP, “CSV Injection” (from memory).
func CellText(s string) string {
	s = strings.Map(func(r rune) rune {
		if r < 0x20 || r == 0x7f {
			return ' '
		}
		return r
	}, s)
	if s == "%" || number.MatchString(s) {
		return s
	}
	var b strings.Builder
	for i, part := range strings.SplitAfter(s, ";") {
		inner := strings.TrimLeft(part, " \u00a0")
		if inner != "" && strings.ContainsRune(risky, []rune(inner)[0]) {
			if i > 0 {
				b.WriteString(part[:len(part)-len(inner)])
				part = inner
			}
			b.WriteByte('\'')
		}
		b.WriteString(part)
	}
	return b.String()
}

// CellTexts makes a row of texts safe, each by CellText.
func CellTexts(row []string) []string {
	out := make([]string, len(row))
	for i, s := range row {
		out[i] = CellText(s)
	}
	return out
}
