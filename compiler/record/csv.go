package record

import (
	"encoding/csv"
	"io"
	"strconv"

	"benchproof/compiler/sheet"
)

// WriteCSV writes the sums as RFC 4180 has it: lines end in CR LF, the first is
// the header, quotes where they are needed. A text that a spreadsheet would
// take for a formula gets an apostrophe in front (OWASP, “CSV Injection”).
func (s *Sums) WriteCSV(w io.Writer) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	head := []string{"document", "title", "reading", "name", "unit", "by", "of", "records", "count", "mean", "sample standard deviation", "least", "most", "median", "low limit", "high limit", "outside limits", "with limits", "turns"}
	if err := c.Write(head); err != nil {
		return err
	}
	for _, x := range s.Series {
		low, high := "", ""
		if x.Several {
			low, high = "several", "several"
		} else if x.Limits != nil {
			low, high = x.Limits.Low, x.Limits.High
		}
		write := func(by string, r Row) error {
			return c.Write([]string{
				sheet.CellText(x.Number), sheet.CellText(x.Title), sheet.CellText(x.Reading), sheet.CellText(x.Name), sheet.CellText(x.Unit), by, sheet.CellText(r.Of),
				strconv.Itoa(r.Records), strconv.Itoa(r.Count), r.Mean, r.Spread, r.Least, r.Most, r.Median, sheet.CellText(low), sheet.CellText(high), strconv.Itoa(r.Outside), strconv.Itoa(r.Judged), strconv.Itoa(r.Turns),
			})
		}
		if err := write("all", x.Total); err != nil {
			return err
		}
		for _, r := range x.ByMember {
			if err := write("member", r); err != nil {
				return err
			}
		}
		for _, r := range x.ByInstrument {
			if err := write("instrument", r); err != nil {
				return err
			}
		}
	}
	c.Flush()
	return c.Error()
}
