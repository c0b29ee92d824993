// Package source holds the text of source files and says where in them a
// thing stands.
//
// Input: the bytes of one file and the path a person knows it by. Output:
// spans of bytes, and lines and columns for people. Offsets always count
// bytes of File.Text; lines and columns always count from one, columns in
// characters. The package imports nothing of the project.
package source

import (
	"sort"
	"strings"
	"unicode/utf8"
)

// A File is one source file of a library.
type File struct {
	// Path is relative to the library's folder, with forward slashes: the
	// name that messages and programs use.
	Path string
	// Text is the file as read, without a byte-order mark.
	Text string
	// Mark is how many bytes of the file stand before Text: those of a
	// byte-order mark.
	Mark int
	// Sheet is set where the text was made of the rows of a sheet. Path is then
	// the sheet's file and, for a workbook, the sheet: tools.xlsx:Tools.
	Sheet *Sheet

	lines []int // offset at which each line starts
}

// NewFile makes a File and finds its lines.
func NewFile(path, text string) *File {
	f := &File{Path: path, Text: text, lines: make([]int, 1, 1+strings.Count(text, "\n"))}
	for i := 0; i < len(text); i++ {
		if text[i] == '\n' {
			f.lines = append(f.lines, i+1)
		}
	}
	return f
}

// Position tells the line and column of a byte offset, both from one; the
// column counts characters. An offset beyond the end is the end.
func (f *File) Position(offset int) (line, column int) {
	if offset > len(f.Text) {
		offset = len(f.Text)
	}
	if offset < 0 {
		offset = 0
	}
	i := sort.SearchInts(f.lines, offset+1) - 1
	return i + 1, utf8.RuneCountInString(f.Text[f.lines[i]:offset]) + 1
}

// Line gives the text of a line (from one) without its line break, and the
// offset at which it starts. A line the file does not have is empty.
func (f *File) Line(n int) (text string, start int) {
	if n < 1 || n > len(f.lines) {
		return "", len(f.Text)
	}
	start = f.lines[n-1]
	end := len(f.Text)
	if n < len(f.lines) {
		end = f.lines[n]
	}
	return strings.TrimRight(f.Text[start:end], "\r\n"), start
}

// Lines tells how many lines the file has.
func (f *File) Lines() int { return len(f.lines) }

// A Span is a stretch of a file, from Start up to but not including End.
type Span struct {
	File       *File
	Start, End int
}

// Span makes a span of the file.
func (f *File) Span(start, end int) Span { return Span{f, start, end} }

// IsZero tells whether the span points nowhere.
func (s Span) IsZero() bool { return s.File == nil }

// Text gives the source under the span.
func (s Span) Text() string {
	if s.File == nil {
		return ""
	}
	return s.File.Text[s.Start:s.End]
}

// Contains tells whether an offset lies in the span, its end included (the
// place where a cursor stands behind the last character).
func (s Span) Contains(offset int) bool { return s.Start <= offset && offset <= s.End }

// To gives the span from the start of s to the end of other, in one file.
func (s Span) To(other Span) Span { return Span{s.File, s.Start, other.End} }

// Less orders spans by file path, then start, then end.
func (s Span) Less(o Span) bool {
	switch {
	case s.File == nil || o.File == nil:
		return s.File == nil && o.File != nil
	case s.File.Path != o.File.Path:
		return s.File.Path < o.File.Path
	case s.Start != o.Start:
		return s.Start < o.Start
	}
	return s.End < o.End
}
