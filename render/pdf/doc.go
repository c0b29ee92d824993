// Package pdf sets a document as a sheet of A4 or Letter paper: one tagged,
// fillable PDF file.
//
// Input is a [document.Document] and nothing else. Output is the bytes of a
// PDF 1.7 file and the characters that no font at hand can show. Equal
// documents give equal bytes: no clock, no random number and no map order
// gets in.
//
// The work is done in four stages, each of which sees only what the one
// before it made:
//
//  1. inline: the texts of the document are spans already; inline.go turns
//     spans into styled pieces with the places where a line may break.
//  2. measure: font.go holds immutable advance tables, lines.go breaks pieces
//     into lines. A number is never parted from its unit.
//  3. place: everything named part_*.go makes bands (unbreakable strips of the
//     sheet) from the document, pages.go shares them out over pages. The
//     result is a list of pages with runs, rules, drawings, links and fields,
//     each with its element of the structure tree; it is plain data.
//  4. paint: paint.go writes the pages and is the only file that knows gopdf.
//
// A finishing pass (finish.go and its neighbours) then adds to the written
// file what the library has no words for: the structure tree, bookmarks,
// links, form fields, metadata, character maps and object streams.
//
// The structure aims at PDF/UA-1 (ISO 14289-1): headings, lists, tables with
// head cells, figures with alternative text, artifacts, language, order of
// reading and tabbing, and fields and links with words. A test judges the
// conditions of the Matterhorn Protocol that a program can judge; no validator
// could be had to confirm it, and what needs a person (whether an alternative
// text says the right thing) is open.
//
// What always holds: a hazard message stands on the page of the step it
// belongs to unless it alone is taller than a page; a heading stands with what
// follows it; no row of a table is cut unless it alone is taller than a page;
// table heads are repeated; no text is under 10 pt.
package pdf

import (
	"fmt"
	"io"

	"benchproof/compiler/document"
	"benchproof/render/look"
)

// Paper is a size of paper, always upright.
type Paper int

// The papers a document can be set on.
const (
	A4 Paper = iota
	Letter
)

func (p Paper) size() look.Paper {
	if p == Letter {
		return look.Letter
	}
	return look.A4
}

// Options say how a document is set.
type Options struct {
	Paper Paper
}

// Missing is something of the document that is not shown as written: a
// character that no font at hand can show, or a figure that could not be drawn
// whole. For a character the sheet shows U+FFFD, and what is copied out of the
// file is the character.
type Missing struct {
	Rune  rune // 0: a figure
	Count int
	// Text is the first text the character stands in, or the figure's name.
	Text string
	// Reason says why.
	Reason string
}

func (m Missing) String() string {
	if m.Rune == 0 {
		return fmt.Sprintf("figure %s: %s", m.Text, m.Reason)
	}
	often := "once"
	if m.Count > 1 {
		often = fmt.Sprintf("%d times, first", m.Count)
	}
	return fmt.Sprintf("%s (U+%04X, %s in %q): %s", string(m.Rune), m.Rune, often, m.Text, m.Reason)
}

// Render writes the document to w. What is missing is no error: the file is
// complete apart from it, with a mark where it should stand. An error means that
// nothing useful was written: a kind of block, box or text this package does
// not know, or a failing writer.
func Render(w io.Writer, doc *document.Document, opts Options) ([]Missing, error) {
	set, err := place(doc, opts.Paper.size())
	if err != nil {
		return nil, err
	}
	out, err := paint(set)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(out); err != nil {
		return nil, fmt.Errorf("pdf: write: %w", err)
	}
	return set.missing.list(), nil
}
