package sheet

import (
	"archive/zip"
	"bytes"
	"encoding/xml"
	"fmt"
	"io"
	"math/big"
	"slices"
	"strconv"
	"strings"

	"github.com/xuri/excelize/v2"
)

// readWorkbook reads a sheet of a workbook. What lies in wait in it, a panic of
// the library included, is a fault of the file.
func readWorkbook(data []byte, o Options) (t *Table, bad *Fault) {
	defer func() {
		if p := recover(); p != nil {
			t, bad = nil, fault(helpOpen, "the workbook is damaged")
		}
	}()
	if bad := bounded(data); bad != nil {
		return nil, bad
	}
	f, err := excelize.OpenReader(bytes.NewReader(data), excelize.Options{UnzipSizeLimit: maxUnpacked, UnzipXMLSizeLimit: maxUnpacked})
	if err != nil {
		return nil, fault(helpOpen, "the workbook is damaged")
	}
	defer f.Close()
	w := &workbook{File: f, formats: map[int]numberFormat{}}
	if w.tab, bad = pickTab(f, o.Tab); bad != nil {
		return nil, bad
	}
	if p, err := f.GetWorkbookProps(); err == nil && p.Date1904 != nil {
		w.from1904 = *p.Date1904
	}
	return w.table()
}

// pickTab finds the sheet asked for.
func pickTab(f *excelize.File, want string) (string, *Fault) {
	tabs := f.GetSheetList()
	switch {
	case len(tabs) == 0:
		return "", fault(helpOpen, "the workbook has no sheet")
	case want != "" && slices.Contains(tabs, want):
		return want, nil
	case want != "":
		return "", &Fault{Text: fmt.Sprintf("the workbook has no sheet “%s”", want), Help: "its sheets are " + strings.Join(tabs, ", "), Tab: true}
	case len(tabs) > 1:
		return "", &Fault{Text: fmt.Sprintf("the workbook has %d sheets, and none is named", len(tabs)), Help: fmt.Sprintf("name one of %s: sheet %q", strings.Join(tabs, ", "), tabs[0]), Tab: true}
	}
	return tabs[0], nil
}

// bounded looks through a workbook before anything is made of it: it adds up
// what its parts unpack to, and how many cells its sheets would be.
func bounded(data []byte) *Fault {
	z, err := zip.NewReader(bytes.NewReader(data), int64(len(data)))
	if err != nil {
		return fault(helpOpen, "the workbook is damaged")
	}
	if len(z.File) > maxParts {
		return fault(helpOpen, "the workbook has more than %d parts", maxParts)
	}
	left, cells, merges := int64(maxUnpacked), 0, 0
	seen := map[string]bool{}
	book := false
	for _, part := range z.File {
		name := strings.ToLower(strings.ReplaceAll(part.Name, `\`, "/"))
		if seen[name] {
			return fault(helpOpen, "the workbook is damaged: it has one part twice")
		}
		seen[name] = true
		book = book || name == "[content_types].xml"
		r, err := part.Open()
		if err != nil {
			return fault(helpOpen, "the workbook is damaged")
		}
		unpacked := &counted{r: io.LimitReader(r, left+1)}
		var bad *Fault
		switch {
		case strings.HasPrefix(name, "xl/worksheets/") && strings.HasSuffix(name, ".xml"):
			bad = countCells(unpacked, &cells, &merges)
		case strings.HasSuffix(name, ".xml"):
			bad = longTexts(unpacked)
		}
		if bad == nil {
			_, err = io.Copy(io.Discard, unpacked)
		}
		r.Close()
		if left -= unpacked.n; left < 0 {
			return fault("keep in it what the library needs", "the workbook unpacks to more than %d MB", maxUnpacked>>20)
		}
		if bad != nil {
			return bad
		}
		if err != nil || uint64(unpacked.n) != part.UncompressedSize64 {
			return fault(helpOpen, "the workbook is damaged")
		}
	}
	if !book {
		return fault(helpOpen, "the file is no workbook, but another archive")
	}
	return nil
}

type counted struct {
	r io.Reader
	n int64
}

func (c *counted) Read(p []byte) (int, error) {
	n, err := c.r.Read(p)
	c.n += int64(n)
	return n, err
}

// tooLong says that a cell holds more than one can.
func tooLong(n int) *Fault {
	return fault("shorten it", "a cell holds %d characters, more than a spreadsheet takes", n)
}

// longTexts looks for a text that no cell can hold, in a part that may be the one
// with the texts that cells share. What is no XML holds none.
func longTexts(r io.Reader) *Fault {
	d := xml.NewDecoder(r)
	length := 0
	for {
		t, err := d.RawToken()
		if err != nil {
			return nil
		}
		switch t := t.(type) {
		case xml.StartElement:
			if t.Name.Local == "si" {
				length = 0
			}
		case xml.CharData:
			length += len(t)
		case xml.EndElement:
			if t.Name.Local == "si" && length > MaxText {
				return tooLong(length)
			}
		}
	}
}

// countCells adds up the cells of a sheet as they will be held: each row up to
// its last cell, each sheet up to its last row.
func countCells(r io.Reader, cells, merges *int) *Fault {
	d := xml.NewDecoder(r)
	row, column, length := 0, 0, 0
	for {
		t, err := d.RawToken()
		if err == io.EOF {
			return nil
		}
		if err != nil {
			return fault(helpOpen, "the workbook is damaged")
		}
		if text, ok := t.(xml.CharData); ok {
			if length += len(text); length > MaxText {
				return tooLong(length)
			}
			continue
		}
		length = 0
		e, ok := t.(xml.StartElement)
		if !ok {
			continue
		}
		switch e.Name.Local {
		case "row":
			row, column = row+1, 0
			if n, ok := attribute(e, "r"); ok {
				at, err := strconv.Atoi(n)
				if err != nil || at < row {
					return fault(helpOpen, "the workbook is damaged: its rows are out of order")
				}
				row = at
			}
		case "c":
			last := column
			column++
			if ref, ok := attribute(e, "r"); ok {
				c, r, err := excelize.CellNameToCoordinates(ref)
				if err != nil || c <= last || r != row {
					return fault(helpOpen, "the workbook is damaged: its cells are out of order")
				}
				column = c
			}
			*cells += column - last
		case "mergeCell":
			*merges++
		}
		if bad := tooMuch(row, column, *cells); bad != nil {
			return bad
		}
		if *merges > maxMerges || *merges**cells > maxMergedCells {
			return fault("unmerge them", "the workbook has too many merged cells")
		}
	}
}

func attribute(e xml.StartElement, name string) (string, bool) {
	for _, a := range e.Attr {
		if a.Name.Local == name && a.Name.Space == "" {
			return a.Value, true
		}
	}
	return "", false
}

// A workbook is one that is being read.
type workbook struct {
	*excelize.File
	tab      string
	from1904 bool
	formats  map[int]numberFormat
}

// A numberFormat is what matters of how a number is shown.
type numberFormat struct{ plain, date, percent bool }

// merge is a merged range, in rows and columns from one.
type merge struct {
	name          string
	left, top     int
	right, bottom int
}

func (w *workbook) table() (*Table, *Fault) {
	damaged := fault(helpOpen, "the sheet is damaged")
	rows, err := w.Rows(w.tab)
	if err != nil {
		return nil, damaged
	}
	defer rows.Close()
	merges, err := w.merges()
	if err != nil {
		return nil, damaged
	}
	t := &Table{Tab: w.tab}
	n, texts := 0, 0
	for rows.Next() {
		n++
		columns, err := rows.Columns(excelize.Options{RawCellValue: true})
		if err != nil {
			return nil, damaged
		}
		width := len(columns)
		for _, m := range merges {
			if m.top <= n && n <= m.bottom {
				width = max(width, min(m.right, MaxColumns))
			}
		}
		row := Row{Number: n}
		for c := 1; c <= width; c++ {
			at := fmt.Sprint(ColumnName(c), n)
			cell := Cell{}
			for _, m := range merges {
				if m.top <= n && n <= m.bottom && m.left <= c && c <= m.right && m.right > m.left {
					cell.Merged = m.name
				}
			}
			// A merged cell says the same in each of its rows, but only in its first column.
			if cell.Merged == "" || w.firstOf(merges, n, c) {
				merged := cell.Merged
				if cell, err = w.cell(at); err != nil {
					return nil, damaged
				}
				cell.Merged = merged
			}
			if texts += len(cell.Text); texts > MaxTexts {
				return nil, fault("shorten its texts", "the sheet holds more than %d MB of text", MaxTexts>>20)
			}
			row.Cells = append(row.Cells, cell)
		}
		if row.Cells = trim(row.Cells); len(row.Cells) == 0 {
			continue
		}
		if seen, err := w.GetRowVisible(w.tab, n); err == nil {
			row.Hidden = !seen
		}
		t.Rows = append(t.Rows, row)
	}
	if rows.Error() != nil {
		return nil, damaged
	}
	return t, nil
}

func (w *workbook) firstOf(merges []merge, row, column int) bool {
	for _, m := range merges {
		if m.top <= row && row <= m.bottom && m.left == column {
			return true
		}
	}
	return false
}

func (w *workbook) merges() ([]merge, error) {
	list, err := w.GetMergeCells(w.tab, true)
	if err != nil {
		return nil, err
	}
	var out []merge
	for _, m := range list {
		x := merge{name: m.GetStartAxis() + ":" + m.GetEndAxis()}
		if x.left, x.top, err = excelize.CellNameToCoordinates(m.GetStartAxis()); err != nil {
			return nil, err
		}
		if x.right, x.bottom, err = excelize.CellNameToCoordinates(m.GetEndAxis()); err != nil {
			return nil, err
		}
		out = append(out, x)
	}
	return out, nil
}

// cell reads one cell; of a merged range any of its cells gives the first.
func (w *workbook) cell(at string) (Cell, error) {
	kind, err := w.GetCellType(w.tab, at)
	if err != nil {
		return Cell{}, err
	}
	raw, err := w.GetCellValue(w.tab, at, excelize.Options{RawCellValue: true})
	if err != nil {
		return Cell{}, err
	}
	if raw == "" {
		if formula, err := w.GetCellFormula(w.tab, at); err != nil || formula != "" {
			return Cell{Kind: Unworked, Text: "=" + clean(formula)}, err
		}
		return Cell{}, nil
	}
	switch kind {
	case excelize.CellTypeError:
		return Cell{Kind: Error, Text: clean(raw)}, nil
	case excelize.CellTypeBool:
		return Cell{Kind: Bool, Text: map[string]string{"1": "TRUE", "TRUE": "TRUE"}[raw]}, nil
	case excelize.CellTypeInlineString, excelize.CellTypeSharedString, excelize.CellTypeFormula:
		return textCell(raw), nil
	case excelize.CellTypeDate:
		return w.day(raw, true), nil
	}
	value, ok := shownDecimal(raw)
	if !ok && !isNumber(raw) {
		return textCell(raw), nil
	}
	format, err := w.format(at)
	if err != nil {
		return Cell{}, err
	}
	if format.date {
		return w.day(raw, false), nil
	}
	c := Cell{Kind: Number, Value: value, Text: value, Percent: format.percent, Plain: format.plain}
	if !ok {
		c.Text = raw
	} else if !format.plain {
		shown, err := w.GetCellValue(w.tab, at)
		if err != nil {
			return Cell{}, err
		}
		c.Text = clean(shown)
	}
	return c, nil
}

// day makes a cell of a day: of its ISO 8601 form, or of the days since the
// workbook's epoch.
func (w *workbook) day(raw string, iso bool) Cell {
	c := Cell{Kind: Date, Text: raw}
	if iso {
		c.Text = strings.TrimSuffix(strings.TrimSuffix(raw, "Z"), "T00:00:00")
		return c
	}
	// Days are whole numbers, the rest is the time of day: a float is exact enough
	// for which day it is.
	days, err := strconv.ParseFloat(raw, 64)
	if err != nil {
		return c
	}
	t, err := excelize.ExcelDateToTime(days, w.from1904)
	if err != nil {
		return c
	}
	c.Text = t.Format("2006-01-02")
	if days != float64(int64(days)) {
		c.Text = t.Format("2006-01-02 15:04")
	}
	return c
}

func isNumber(s string) bool {
	_, err := strconv.ParseFloat(s, 64)
	return err == nil
}

// shownDecimal gives a number as spreadsheets show it: fifteen significant
// digits, without an exponent. A cell holds a binary number in decimals, so
// 0.29999999999999999 is 0.3.
func shownDecimal(raw string) (string, bool) {
	if len(raw) > 40 || !isNumber(raw) {
		return "", false
	}
	x, _, err := big.ParseFloat(raw, 10, 256, big.ToNearestEven)
	if err != nil || x.IsInf() {
		return "", false
	}
	if e := x.MantExp(nil); x.Sign() != 0 && (e > 70 || e < -70) {
		return "", false
	}
	rounded, _, err := big.ParseFloat(x.Text('g', 15), 10, 256, big.ToNearestEven)
	if err != nil {
		return "", false
	}
	s := rounded.Text('f', 40)
	s = strings.TrimRight(s, "0")
	return strings.TrimSuffix(s, "."), true
}

// format tells how the numbers of a cell are shown.
func (w *workbook) format(at string) (numberFormat, error) {
	id, err := w.GetCellStyle(w.tab, at)
	if err != nil {
		return numberFormat{}, err
	}
	if known, ok := w.formats[id]; ok {
		return known, nil
	}
	style, err := w.GetStyle(id)
	if err != nil { // a workbook may have no styles
		return numberFormat{plain: true}, nil
	}
	f := numberFormat{plain: style.NumFmt == 0 && style.CustomNumFmt == nil}
	switch n := style.NumFmt; {
	case style.CustomNumFmt != nil:
		f.date, f.percent = readFormat(*style.CustomNumFmt)
	case n >= 14 && n <= 22, n >= 27 && n <= 36, n >= 45 && n <= 47, n >= 50 && n <= 58:
		f.date = true // ECMA-376-1, 18.8.30
	case n == 9, n == 10:
		f.percent = true
	}
	w.formats[id] = f
	return f, nil
}

// readFormat tells whether the code of a number format shows dates or times, or
// per cent. What stands in quotes, in brackets or behind a backslash is shown as
// it is.
func readFormat(code string) (date, percent bool) {
	for i := 0; i < len(code); i++ {
		switch c := code[i]; c {
		case '"', '[':
			end := byte('"')
			if c == '[' {
				end = ']'
			}
			j := strings.IndexByte(code[i+1:], end)
			if j < 0 {
				return date, percent
			}
			i += j + 1
		case '\\', '_', '*':
			i++
		case 'y', 'Y', 'm', 'M', 'd', 'D', 'h', 'H', 's', 'S':
			date = true
		case '%':
			percent = true
		case 'G', 'g': // General
			if len(code) >= i+7 && strings.EqualFold(code[i:i+7], "general") {
				i += 6
			}
		case 'E', 'e':
			// 0.00E+00 has no letters of a date
		}
	}
	return date, percent
}
