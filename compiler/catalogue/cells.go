package catalogue

import (
	"regexp"
	"strings"
	"time"

	"benchproof/compiler/quantity"
	"benchproof/compiler/sheet"
	"benchproof/dsl/source"
)

// maxText is how many characters a text of the language may have.
const maxText = 4000

// good refuses cells that hold nothing that can be meant.
func (t *rowText) good(column int) (sheet.Cell, bool) {
	c := t.row.Cell(column)
	switch {
	case c.Merged != "":
		t.fail("BP023", column, "unmerge it and write into each column what belongs there",
			"the cell is merged over several columns, %s", c.Merged)
	case c.Kind == sheet.Error:
		t.fail("BP023", column, "mend the formula, or write the value", "the cell shows the error %s", c.Text)
	case c.Kind == sheet.Unworked:
		t.fail("BP023", column, "open the workbook in a spreadsheet program and save it, so that the value is in it; or write the value",
			"the cell holds the formula “%s” and no value", brief(c.Text))
	default:
		return c, true
	}
	return c, false
}

// textOf gives the text of a cell; false where it cannot be taken.
func (t *rowText) textOf(column int) (string, bool) {
	c, ok := t.good(column)
	if !ok {
		return "", false
	}
	switch {
	case c.Kind == sheet.Date:
		t.fail("BP023", column, "give the cell the format of a text and write it again",
			"the cell holds the day %s: the spreadsheet may have made it of a text", c.Text)
		return "", false
	case c.Kind == sheet.Bool:
		t.fail("BP023", column, "write a text", "the cell holds %s, expected a text", c.Text)
		return "", false
	case c.Kind == sheet.Number && (c.Value == "" || len(strings.Trim(c.Value, "-.0")) >= 15 || strings.ContainsAny(c.Text, "eE") && c.Text != c.Value):
		t.fail("BP023", column, "give the cell the format of a text and write all digits again",
			"the number %s has more digits than a spreadsheet keeps", c.Text)
		return "", false
	case len([]rune(c.Text)) > maxText:
		t.fail("BP023", column, "shorten it", "the text has %d characters; it may have %d", len([]rune(c.Text)), maxText)
		return "", false
	}
	return c.Text, true
}

// --- numbers --------------------------------------------------------------------

// decimals tells which sign the numbers that are written as text have before their
// decimals; 0: none of them shows it.
type decimals struct{ sign byte }

var (
	// number is one as people write it, digits in threes parted by blanks or not.
	number = regexp.MustCompile(`^[-+−]?(\d+|\d{1,3}( \d{3})+)([.,]\d+)?$`)
	// doubtful is one whose sign may part thousands.
	doubtful = regexp.MustCompile(`^[-+−]?[1-9]\d{0,2}[.,]\d{3}$`)
	// measured is a number with its unit behind it.
	measured = regexp.MustCompile(`^([-+−]?\d[\d .,]*?) ?([\p{L}°µΩ%][^\s]*)$`)
)

// look finds the decimal sign of the numbers that are text.
func (m *maker) look(rows []sheet.Row) decimals {
	switch m.decimal {
	case "comma":
		return decimals{','}
	case "point":
		return decimals{'.'}
	}
	var d decimals
	for i := range rows {
		for _, c := range m.columns {
			if !isMeasured(c.key) {
				continue
			}
			for _, at := range []int{c.at, c.to} {
				x := rows[i].Cell(at)
				s := x.Text
				if n := measured.FindStringSubmatch(s); n != nil {
					s = strings.TrimSpace(n[1])
				}
				if x.Kind != sheet.Text || !number.MatchString(s) || doubtful.MatchString(s) {
					continue
				}
				if j := strings.IndexAny(s, ".,"); j >= 0 && d.sign == 0 {
					d.sign = s[j]
				}
			}
		}
	}
	return d
}

func isMeasured(key string) bool {
	switch key {
	case "reads", "sets", "resolution", "uncertainty", "drills", "lead", "lifts", "length", "extends", "mass":
		return true
	}
	return false
}

// decimalOf gives the exact decimal of a number written as text.
func (t *rowText) decimalOf(column int, s string) (string, bool) {
	if !number.MatchString(s) {
		t.fail("BP023", column, "write a number alone", "“%s” is no number", brief(s))
		return "", false
	}
	i := strings.IndexAny(s, ".,")
	if i >= 0 && t.decimals.sign == 0 {
		t.fail("BP023", column, "state it in the catalogue: decimal comma, or decimal point",
			"“%s” may be a decimal or thousands, and no other number of the sheet shows which", s)
		return "", false
	}
	if i >= 0 && s[i] != t.decimals.sign {
		t.fail("BP023", column, "write it like the others, or state it in the catalogue: decimal comma, or decimal point",
			"“%s” does not have the decimal %s of the sheet", s, map[byte]string{',': "comma", '.': "point"}[t.decimals.sign])
		return "", false
	}
	return strings.NewReplacer(" ", "", ",", ".", "−", "-", "+", "").Replace(s), true
}

// quantityOf gives a number with its unit as the language writes it; empty where
// the cell is.
func (t *rowText) quantityOf(c *column, at int) (string, bool) {
	cell, ok := t.good(at)
	if !ok || cell.Kind == sheet.Empty {
		return "", ok
	}
	unit := c.unit
	if c.unitIn > 0 {
		if unit, ok = t.textOf(c.unitIn); !ok {
			return "", false
		}
		if unit == "" {
			t.fail("BP023", c.unitIn, "write the unit", "the value %s has no unit", brief(cell.Text))
			return "", false
		}
	}
	value, of := "", ""
	switch cell.Kind {
	case sheet.Number:
		if value = cell.Value; value == "" {
			t.fail("BP023", at, "write it with fewer digits", "the number %s is beyond use", cell.Text)
			return "", false
		}
		if cell.Percent {
			if unit != "" && unit != "%" {
				t.fail("BP023", at, "give the cell the format of a number", "the cell is shown in per cent, and its unit is %s", unit)
				return "", false
			}
			value, unit = hundredfold(value), "%"
		}
	case sheet.Text:
		s := cell.Text
		if c.key == "uncertainty" {
			for _, tail := range []string{" of reading", " points"} {
				if rest, ok := strings.CutSuffix(s, tail); ok {
					s, of = strings.TrimSpace(rest), tail
				}
			}
		}
		if n := measured.FindStringSubmatch(s); n != nil {
			switch {
			case unit == "":
				unit = n[2]
			case unit != n[2]:
				t.fail("BP023", at, "write the number alone, in "+unit, "“%s” has a unit that is not %s", brief(s), unit)
				return "", false
			}
			s = strings.TrimSpace(n[1])
		}
		if value, ok = t.decimalOf(at, s); !ok {
			return "", false
		}
	case sheet.Date:
		t.fail("BP023", at, "give the cell the format of a number and write it again",
			"the cell holds the day %s, expected a number: the spreadsheet may have made it of one", cell.Text)
		return "", false
	default:
		t.fail("BP023", at, "write a number", "the cell holds %s, expected a number", cell.Text)
		return "", false
	}
	if c.key == "lead" {
		if unit != "" {
			t.fail("BP023", at, "write the number of threads alone", "the lead has a unit")
			return "", false
		}
		return value, true
	}
	if unit == "" {
		t.fail("BP023", at, "write it behind the number, or state it for the column: in mm", "the value %s has no unit", brief(cell.Text))
		return "", false
	}
	if _, ok := quantity.LookUp(unit); !ok {
		where := at
		if c.unitIn > 0 {
			where = c.unitIn
		}
		t.fail("BP301", where, helpUnit, "“%s” is not a unit known here", brief(unit))
		return "", false
	}
	return value + " " + unit + of, true
}

// hundredfold moves the point of a decimal by two digits.
func hundredfold(s string) string {
	sign := ""
	if strings.HasPrefix(s, "-") {
		sign, s = "-", s[1:]
	}
	whole, part, _ := strings.Cut(s, ".")
	part += "00"
	whole, part = whole+part[:2], strings.TrimRight(part[2:], "0")
	if whole = strings.TrimLeft(whole, "0"); whole == "" {
		whole = "0"
	}
	if part != "" {
		whole += "." + part
	}
	return sign + whole
}

// --- properties -------------------------------------------------------------------

var (
	threadForm = regexp.MustCompile(`^(M\d[\dx.]*)(?:[ -]+(?:class +)?([\d.]+))?$`)
	tapForm    = regexp.MustCompile(`^(M\d[\dx.]*)( for insert)?$`)
	multiply   = strings.NewReplacer(" × ", "x", "×", "x", " x ", "x", "X", "x")
)

// property writes what a row says of one property; nothing where its cell is empty.
func (t *rowText) property(c *column) bool {
	switch {
	case c.key == "reads" || c.key == "sets":
		from, ok1 := t.quantityOf(c, c.at)
		to, ok2 := t.quantityOf(c, c.to)
		switch {
		case !ok1 || !ok2:
			return false
		case from == "" && to == "":
			return true
		case from == "":
			t.fail("BP023", c.at, "write the lower end of the range", "the cell is empty, though the range ends at %s", to)
			return false
		case to == "":
			t.fail("BP023", c.to, "write the upper end of the range", "the cell is empty, though the range starts at %s", from)
			return false
		}
		t.write(" ")
		t.add(c.at, c.key+" from "+from)
		t.write(" to ")
		t.add(c.to, to)
		return true
	case isMeasured(c.key):
		q, ok := t.quantityOf(c, c.at)
		if q != "" {
			t.put(c, q)
		}
		return ok
	case c.key == "calibrated" || c.key == "due":
		return t.day(c)
	case c.key == "single-use":
		return t.flag(c)
	}
	text, ok := t.textOf(c.at)
	if !ok || text == "" {
		return ok
	}
	switch c.key {
	case "number", "detail", "plural":
		t.put(c, quote(text))
	case "thread", "taps":
		form := threadForm
		if c.key == "taps" {
			form = tapForm
		}
		n := form.FindStringSubmatch(multiply.Replace(text))
		if n == nil {
			t.fail("BP023", c.at, "write a thread such as M8, M10x1 or M8 class 8.8", "“%s” is no thread", brief(text))
			return false
		}
		switch {
		case n[2] == "":
			t.put(c, n[1])
		case c.key == "taps":
			t.put(c, n[1]+" for insert")
		default:
			t.put(c, n[1]+" class "+n[2])
		}
	default:
		return t.names(c, text)
	}
	return true
}

func (t *rowText) put(c *column, words string) {
	t.write(" ")
	t.add(c.at, c.key+" "+words)
}

// names writes names of the library that stand in a cell, parted by commas or
// semicolons.
func (t *rowText) names(c *column, text string) bool {
	list := strings.FieldsFunc(text, func(r rune) bool { return r == ',' || r == ';' })
	for i, n := range list {
		list[i] = strings.TrimSpace(n)
		if !word.MatchString(list[i]) {
			t.fail("BP023", c.at, "write the name by which the library knows it, several with commas between", "“%s” is no name", brief(list[i]))
			return false
		}
	}
	if len(list) > 1 && (c.key == "kind" || c.key == "replaced by") {
		t.fail("BP023", c.at, "write one name", "the cell names several, and there can be one only")
		return false
	}
	t.put(c, strings.Join(list, ", "))
	return true
}

// day writes a day of the calendar. Days parted by points begin with the day.
func (t *rowText) day(c *column) bool {
	cell, ok := t.good(c.at)
	if !ok || cell.Kind == sheet.Empty {
		return ok
	}
	text := cell.Text
	if cell.Kind == sheet.Date {
		text, _, _ = strings.Cut(text, " ")
		text, _, _ = strings.Cut(text, "T")
	}
	for _, layout := range []string{"2006-01-02", "2.1.2006"} {
		if d, err := time.Parse(layout, text); err == nil && (cell.Kind == sheet.Date || cell.Kind == sheet.Text) && d.Year() >= 1900 {
			t.put(c, d.Format("2006-01-02"))
			return true
		}
	}
	t.fail("BP023", c.at, "write it as 2026-10-02, or give the cell the format of a date", "“%s” is no day that can be told", brief(cell.Text))
	return false
}

// flag writes what a cell says yes to.
func (t *rowText) flag(c *column) bool {
	cell, ok := t.good(c.at)
	if !ok {
		return false
	}
	switch strings.ToLower(cell.Text) {
	case "", "no", "n", "false", "0", "-":
	case "yes", "y", "true", "1", "x":
		t.write(" ")
		t.add(c.at, c.key)
	default:
		t.fail("BP023", c.at, "write yes or no", "“%s” is neither yes nor no", brief(cell.Text))
		return false
	}
	return true
}

// Describe gives a row of a sheet as a person sees it, for a place in it.
func Describe(s source.Span) string {
	if s.File == nil || s.File.Sheet == nil {
		return ""
	}
	row, _ := s.File.Position(s.Start)
	return s.File.Sheet.Rows[row]
}
