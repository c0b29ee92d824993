package sheet

import (
	"archive/zip"
	"bytes"
	"fmt"
	"strings"
	"testing"
	"time"

	"github.com/xuri/excelize/v2"
)

// book makes a workbook with one sheet, Tools.
func book(t testing.TB, fill func(f *excelize.File)) []byte {
	t.Helper()
	f := excelize.NewFile()
	defer f.Close()
	if err := f.SetSheetName("Sheet1", "Tools"); err != nil {
		t.Fatal(err)
	}
	fill(f)
	var b bytes.Buffer
	if err := f.Write(&b); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func must(t testing.TB, err error) {
	t.Helper()
	if err != nil {
		t.Fatal(err)
	}
}

// Cells hold what a person sees: formats, merges, formulas and hidden rows.
func TestWorkbook(t *testing.T) {
	data := book(t, func(f *excelize.File) {
		style := func(code string) int {
			id, err := f.NewStyle(&excelize.Style{CustomNumFmt: &code})
			must(t, err)
			return id
		}
		set := func(at string, v any) { must(t, f.SetCellValue("Tools", at, v)) }
		set("A1", " T-1\u00a0 ")
		set("B1", 0.1+0.2)
		set("C1", 4711)
		must(t, f.SetCellStyle("Tools", "C1", "C1", style("000000")))
		set("D1", 0.04)
		must(t, f.SetCellStyle("Tools", "D1", "D1", style("0%")))
		set("E1", time.Date(2027, 6, 30, 0, 0, 0, 0, time.UTC))
		set("F1", true)
		must(t, f.SetCellFormula("Tools", "G1", "B1*2"))
		set("A3", "over rows")
		must(t, f.MergeCell("Tools", "A3", "A4"))
		set("B4", "x")
		set("C4", "over columns")
		must(t, f.MergeCell("Tools", "C4", "D4"))
		set("A6", "hidden")
		must(t, f.SetRowVisible("Tools", 6, false))
	})
	table, bad := Read(data, "a.xlsx", Options{Tab: "Tools"})
	if bad != nil {
		t.Fatal(bad)
	}
	var got []string
	for _, r := range table.Rows {
		line := fmt.Sprint(r.Number, r.Hidden)
		for _, c := range r.Cells {
			line += fmt.Sprintf(" [%d %s %s %s]", c.Kind, c.Text, c.Value, c.Merged)
		}
		got = append(got, line)
	}
	want := []string{
		"1 false [1 T-1  ] [2 0.3 0.3 ] [2 004711 4711 ] [2 4% 0.04 ] [3 2027-06-30  ] [4 TRUE  ] [6 =B1*2  ]",
		"3 false [1 over rows  ]",
		"4 false [1 over rows  ] [1 x  ] [1 over columns  C4:D4] [0   C4:D4]",
		"6 true [1 hidden  ]",
	}
	if strings.Join(got, "\n") != strings.Join(want, "\n") {
		t.Errorf("found\n%s\nexpected\n%s", strings.Join(got, "\n"), strings.Join(want, "\n"))
	}
}

// zipped makes an archive of parts.
func zipped(t testing.TB, parts ...string) []byte {
	t.Helper()
	var b bytes.Buffer
	z := zip.NewWriter(&b)
	for i := 0; i < len(parts); i += 2 {
		w, err := z.Create(parts[i])
		must(t, err)
		_, err = w.Write([]byte(parts[i+1]))
		must(t, err)
	}
	must(t, z.Close())
	return b.Bytes()
}

// byHand is the least that ECMA-376 calls a workbook, written by no spreadsheet.
func byHand(t testing.TB, rows string) []byte {
	const head = `<?xml version="1.0" encoding="UTF-8"?>`
	return zipped(t,
		"[Content_Types].xml", head+`<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="application/vnd.openxmlformats-officedocument.spreadsheetml.worksheet+xml"/></Types>`,
		"_rels/.rels", head+`<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/officeDocument" Target="xl/workbook.xml"/></Relationships>`,
		"xl/workbook.xml", head+`<workbook xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main" xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"><sheets><sheet name="Tools" sheetId="1" r:id="rId1"/></sheets></workbook>`,
		"xl/_rels/workbook.xml.rels", head+`<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/worksheet" Target="worksheets/sheet1.xml"/></Relationships>`,
		"xl/worksheets/sheet1.xml", head+`<worksheet xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"><sheetData>`+rows+`</sheetData></worksheet>`)
}

func TestWorkbookWrittenByHand(t *testing.T) {
	data := byHand(t, `<row r="2"><c r="A2" t="inlineStr"><is><t>T-1</t></is></c><c r="B2"><v>3.1949999999999999E1</v></c><c r="C2" t="e"><f>[1]List!A1</f><v>#REF!</v></c><c r="D2"><f>[1]List!A2</f><v>7</v></c></row>`)
	table, bad := Read(data, "a.xlsx", Options{})
	if bad != nil {
		t.Fatal(bad)
	}
	c := table.Rows[0].Cells
	if table.Rows[0].Number != 2 || c[0].Text != "T-1" || c[1].Value != "31.95" || c[2].Kind != Error || c[2].Text != "#REF!" || c[3].Value != "7" {
		t.Errorf("found %+v", table.Rows)
	}
}

// What is no sheet, or more than one may be, is refused before it is taken apart.
func TestRefused(t *testing.T) {
	ole := "\xD0\xCF\x11\xE0\xA1\xB1\x1A\xE1"
	good := book(t, func(f *excelize.File) { must(t, f.SetCellValue("Tools", "A1", "x")) })
	two := book(t, func(f *excelize.File) { _, err := f.NewSheet("Parts"); must(t, err) })
	for _, c := range []struct {
		name string
		data []byte
		file string
		o    Options
		want string
	}{
		{"empty", nil, "a.csv", Options{}, "the file is empty"},
		{"old workbook", []byte(ole + "xxxx"), "a.xls", Options{}, "the file is a workbook of the old form (XLS)"},
		{"locked", append([]byte(ole), utf16le("EncryptedPackage")...), "a.xlsx", Options{}, "the workbook is locked with a password"},
		{"other archive", zipped(t, "a.txt", "x"), "a.xlsx", Options{}, "the file is no workbook, but another archive"},
		{"cut", good[:len(good)/2], "a.xlsx", Options{}, "the workbook is damaged"},
		{"no such sheet", good, "a.xlsx", Options{Tab: "Parts"}, "the workbook has no sheet “Parts”"},
		{"two sheets", two, "a.xlsx", Options{}, "the workbook has 2 sheets, and none is named"},
		{"bomb", zipped(t, "[Content_Types].xml", strings.Repeat(" ", maxUnpacked+2)), "a.xlsx", Options{}, "the workbook unpacks to more than 96 MB"},
		{"a text too long", sharing(t, MaxText+1, 1), "a.xlsx", Options{}, "a cell holds 131069 characters, more than a spreadsheet takes"},
		{"a text too long in a cell", byHand(t, `<row r="1"><c r="A1" t="inlineStr"><is><t>`+strings.Repeat("x", MaxText+1)+`</t></is></c></row>`), "a.xlsx", Options{}, "a cell holds 131069 characters, more than a spreadsheet takes"},
		{"one text in very many cells", sharing(t, MaxText, 40_000), "a.xlsx", Options{}, "the sheet holds more than 64 MB of text"},
		{"far row", byHand(t, `<row r="1048576"><c r="A1048576"><v>1</v></c></row>`), "a.xlsx", Options{}, "the sheet goes beyond row 50000"},
		{"far column", byHand(t, `<row r="1"><c r="XFD1"><v>1</v></c></row>`), "a.xlsx", Options{}, "the row has more than 256 columns"},
		{"many cells", byHand(t, wideRows(2_000)), "a.xlsx", Options{}, "the file has more than 500000 cells"},
		{"many rows", []byte(strings.Repeat("a;b\n", MaxRows+1)), "a.csv", Options{}, "the sheet goes beyond row 50000"},
		{"wide row", []byte(strings.Repeat("a;", MaxColumns+1)), "a.csv", Options{}, "the row has more than 256 columns"},
		{"NUL", []byte("a;b\nc\x00;d\n"), "a.csv", Options{}, "a NUL byte stands in the file: it is no text"},
		{"stated otherwise", []byte("a;\xfc\n"), "a.csv", Options{Encoding: "utf-8"}, "the file is not UTF-8"},
	} {
		t.Run(c.name, func(t *testing.T) {
			_, bad := Read(c.data, c.file, c.o)
			if bad == nil || bad.Text != c.want || bad.Help == "" {
				t.Errorf("found %+v, expected %q", bad, c.want)
			}
		})
	}
}

// sharing is a workbook in which n cells share one text of a length.
func sharing(t *testing.T, length, n int) []byte {
	var rows strings.Builder
	for r := 1; r <= n; r++ {
		fmt.Fprintf(&rows, `<row r="%d"><c r="A%[1]d" t="s"><v>0</v></c></row>`, r)
	}
	main := "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
	relation := "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
	types := "application/vnd.openxmlformats-officedocument.spreadsheetml."
	return zipped(t,
		"[Content_Types].xml", `<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types"><Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/><Default Extension="xml" ContentType="application/xml"/><Override PartName="/xl/workbook.xml" ContentType="`+types+`sheet.main+xml"/><Override PartName="/xl/worksheets/sheet1.xml" ContentType="`+types+`worksheet+xml"/></Types>`,
		"_rels/.rels", `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="`+relation+`/officeDocument" Target="xl/workbook.xml"/></Relationships>`,
		"xl/workbook.xml", `<workbook xmlns="`+main+`" xmlns:r="`+relation+`"><sheets><sheet name="S" sheetId="1" r:id="rId1"/></sheets></workbook>`,
		"xl/_rels/workbook.xml.rels", `<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="rId1" Type="`+relation+`/worksheet" Target="worksheets/sheet1.xml"/><Relationship Id="rId2" Type="`+relation+`/sharedStrings" Target="sharedStrings.xml"/></Relationships>`,
		"xl/worksheets/sheet1.xml", `<worksheet xmlns="`+main+`"><sheetData>`+rows.String()+`</sheetData></worksheet>`,
		"xl/sharedStrings.xml", `<sst xmlns="`+main+`"><si><t>`+strings.Repeat("x", length)+`</t></si></sst>`)
}

func wideRows(n int) string {
	var b strings.Builder
	for r := 1; r <= n; r++ {
		fmt.Fprintf(&b, `<row r="%d"><c r="IV%d"><v>1</v></c></row>`, r, r)
	}
	return b.String()
}

// One text in every encoding and with every separator gives the same rows.
func TestTextFiles(t *testing.T) {
	utf16 := func(s string, big bool) []byte {
		var b []byte
		for _, r := range "\ufeff" + s {
			if big {
				b = append(b, byte(r>>8), byte(r))
			} else {
				b = append(b, byte(r), byte(r>>8))
			}
		}
		return b
	}
	latin := func(s string) []byte {
		var b []byte
		for _, r := range s {
			b = append(b, byte(r))
		}
		return b
	}
	const text = "Name;Länge\r\n\"two\r\nlines; one\";0,5\r\n\r\nfür;1\r\n"
	for name, c := range map[string]struct {
		data []byte
		o    Options
	}{
		"UTF-8":          {[]byte(text), Options{}},
		"UTF-8 marked":   {[]byte("\ufeff" + text), Options{}},
		"UTF-16 LE":      {utf16(text, false), Options{}},
		"UTF-16 BE":      {utf16(text, true), Options{}},
		"UTF-16 bare":    {utf16(text, false)[2:], Options{}},
		"Windows-1252":   {latin(text), Options{}},
		"ISO 8859-1":     {latin(text), Options{Encoding: "iso-8859-1"}},
		"separator said": {[]byte(text), Options{Separator: "semicolon"}},
		"tabs":           {[]byte(strings.ReplaceAll(strings.ReplaceAll(text, "; ", "@"), ";", "\t")), Options{}},
	} {
		table, bad := Read(c.data, "a.csv", c.o)
		if bad != nil {
			t.Errorf("%s: %v", name, bad)
			continue
		}
		if n := len(table.Rows); n != 3 || table.Rows[0].Cells[1].Text != "Länge" || table.Rows[1].Cells[1].Text != "0,5" || table.Rows[2].Number != 4 || table.Rows[2].Cells[0].Text != "für" {
			t.Errorf("%s: found %+v", name, table.Rows)
		}
		if (table.Guessed != "") != (name == "Windows-1252") {
			t.Errorf("%s: guessed %q", name, table.Guessed)
		}
	}
}

// Whatever the bytes: rows within their bounds in order, or a fault with a word.
func FuzzRead(f *testing.F) {
	f.Add([]byte("a;b\n1;2\n"), false)
	f.Add([]byte("sep=,\na,\"b\nc\"\n"), false)
	f.Add([]byte("\xff\xfea\x00;\x00"), false)
	f.Add(byHand(f, `<row r="1"><c r="A1"><v>1</v></c></row>`), true)
	f.Add(byHand(f, `<row r="2"><c r="B2" t="s"><v>9</v></c></row>`), true)
	f.Fuzz(func(t *testing.T, data []byte, workbook bool) {
		name := "a.csv"
		if workbook {
			name = "a.xlsx"
		}
		table, bad := Read(data, name, Options{HeaderRow: 1})
		if bad != nil {
			if bad.Text == "" || bad.Help == "" {
				t.Errorf("a fault without words: %+v", bad)
			}
			return
		}
		last := 0
		for _, r := range table.Rows {
			if r.Number <= last || r.Number > MaxRows || len(r.Cells) == 0 || len(r.Cells) > MaxColumns {
				t.Fatalf("row %d behind %d with %d cells", r.Number, last, len(r.Cells))
			}
			last = r.Number
		}
	})
}
