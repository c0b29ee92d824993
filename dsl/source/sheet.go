package source

import "sort"

// A Sheet says that a file's text was made of the rows of a sheet: line N of
// the text is row N of the sheet. A place in it is a cell for people, and its
// row is shown as the sheet has it.
type Sheet struct {
	// File is the path of the sheet's file in the library's folder.
	File string
	// Tab is the name of the sheet within a workbook; empty for a file of text.
	Tab string
	// By is where the library asks for the sheet.
	By Span
	// Cells are the cells that the text was made of, in its order.
	Cells []Cell
	// Rows are the rows as a person sees them, by number from one.
	Rows map[int]string
}

// A Cell is one cell of a sheet: Start to End in the file's text, From to To in
// its row as shown.
type Cell struct {
	Start, End  int
	Name        string // C14
	Row, Column int    // from one
	From, To    int
}

// cells gives the cells that a stretch of the text was made of: those it
// touches, or the nearest before it on its row.
func (f *File) cells(start, end int) []Cell {
	list := f.Sheet.Cells
	first := sort.Search(len(list), func(i int) bool { return list[i].End > start })
	last := first
	for last < len(list) && list[last].Start < max(end, start+1) {
		last++
	}
	if first < last {
		return list[first:last]
	}
	row, _ := f.Position(start)
	if first > 0 && list[first-1].Row == row {
		return list[first-1 : first]
	}
	if first < len(list) && list[first].Row == row {
		return list[first : first+1]
	}
	return nil
}

// Cell gives the cell at which a span of a sheet starts; false where it is no
// cell's.
func (s Span) Cell() (Cell, bool) {
	if s.File == nil || s.File.Sheet == nil {
		return Cell{}, false
	}
	if list := s.File.cells(s.Start, s.End); len(list) > 0 {
		return list[0], true
	}
	return Cell{}, false
}

// Place tells the line and column of a span's start and end, from one: of a
// sheet the row and the number of the column, and the end is behind the last
// cell.
func (s Span) Place() (line, column, endLine, endColumn int) {
	if s.File.Sheet == nil {
		line, column = s.File.Position(s.Start)
		endLine, endColumn = s.File.Position(s.End)
		return line, column, endLine, endColumn
	}
	list := s.File.cells(s.Start, s.End)
	if len(list) == 0 {
		row, _ := s.File.Position(s.Start)
		return row, 1, row, 1
	}
	last := list[len(list)-1]
	return list[0].Row, list[0].Column, last.Row, last.Column + 1
}

// Shown gives the line at which a span starts as a person sees it, and which
// bytes of that line the span is.
func (s Span) Shown() (number int, line string, from, to int) {
	number, _ = s.File.Position(s.Start)
	if s.File.Sheet == nil {
		line, start := s.File.Line(number)
		from = min(s.Start-start, len(line))
		return number, line, from, max(min(s.End-start, len(line)), from)
	}
	line = s.File.Sheet.Rows[number]
	for i, c := range s.File.cells(s.Start, s.End) {
		if c.Row != number {
			break
		}
		if i == 0 {
			from, to = c.From, c.To
		}
		from, to = min(from, c.From), max(to, c.To)
	}
	return number, line, from, to
}

// Real is the path of the file in the library's folder.
func (f *File) Real() string {
	if f.Sheet != nil {
		return f.Sheet.File
	}
	return f.Path
}
