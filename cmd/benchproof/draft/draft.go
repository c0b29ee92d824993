// Package draft turns a talk at the bench, or a list of instructions, into the
// first text of a procedure.
//
// Input: the bytes of a transcript with times (WebVTT, SubRip, or lines that
// begin with a time) or of a CommonMark list, in English. Output: the text of
// one source file with its declarations and one procedure, laid out
// canonically, and what was guessed on the way.
//
// What always holds: the text parses; equal bytes in give equal bytes out; no
// value is invented, every number in the text was said; what could not be told
// stands as a comment that begins with "# check:" where it belongs. A draft
// says what was heard, never that it is right. The rules know closed lists of
// words and the order of words, nothing else: no model, no dictionary, no
// network.
package draft

import (
	"errors"
	"fmt"
	"strings"
	"unicode"
	"unicode/utf8"

	layout "benchproof/dsl/format"
	"benchproof/dsl/source"
	"benchproof/dsl/syntax"
)

// MaxSize is the largest input that is read, in bytes: some forty hours of talk.
const MaxSize = 2 << 20

// maxSentences is how many sentences an input may have: some twelve hours of talk.
const maxSentences = 10_000

// Options say what the bytes themselves do not.
type Options struct {
	// Name is the file's name as the person knows it; the title and the form
	// are told from it where the text does not tell them.
	Name string
	// Video is the address of the recording; empty where none was given.
	Video string
}

// A Draft is what could be made of an input.
type Draft struct {
	// Text is the source file.
	Text string
	// Steps, Things, Hazards and Decisions count what the text holds.
	Steps, Things, Hazards, Decisions int
	// Checks are the questions that the text leaves to its writer, in order.
	Checks []string
	// LeftOut counts the sentences of which nothing was made.
	LeftOut int
}

// Make makes a draft. Its errors say in one line what is wrong with the input.
func Make(data []byte, o Options) (*Draft, error) {
	text, err := decode(data)
	if err != nil {
		return nil, err
	}
	o.Name, o.Video = printable(o.Name), printable(o.Video)
	talk, err := read(text, o.Name)
	if err != nil {
		return nil, err
	}
	talk.title = sound(talk.title)
	for i := range talk.passages {
		p := &talk.passages[i]
		p.text, p.speaker = sound(p.text), sound(p.speaker)
	}
	list := sentences(talk)
	if len(list) == 0 {
		return nil, errors.New("there is no sentence in it")
	}
	if len(list) > maxSentences {
		return nil, fmt.Errorf("it has more than %d sentences; split it", maxSentences)
	}
	m := newMaker(talk, list)
	m.names()
	m.steps()
	if m.count.steps == 0 {
		return nil, errors.New("no sentence in it tells what to do; a draft is made from instructions in English")
	}
	w := write(m, o)
	f, list2 := syntax.Load([]byte(w.text()), "draft.proc")
	tree := syntax.Parse(f)
	if all := append(list2, tree.Messages...); len(all) > 0 {
		return nil, fmt.Errorf("a fault of the program: its draft does not parse: %s (line %s)", all[0].Text, lineOf(all[0].Span))
	}
	return &Draft{
		Text: layout.Source(tree), Steps: m.count.steps, Things: w.things, Hazards: len(m.hazards),
		Decisions: m.count.decisions, Checks: w.checks, LeftOut: m.count.left,
	}, nil
}

// sound leaves out of a text what a source file may not hold: it may have been
// written as an entity.
func sound(s string) string {
	return strings.Map(func(r rune) rune {
		if !syntax.MayStand(r) {
			return -1
		}
		return r
	}, s)
}

// printable leaves out of a name what a source file may not hold.
func printable(s string) string {
	return strings.Map(func(r rune) rune {
		if r == utf8.RuneError || !unicode.IsPrint(r) {
			return -1
		}
		return r
	}, s)
}

func lineOf(s source.Span) string {
	if s.File == nil {
		return "?"
	}
	line, _ := s.File.Position(s.Start)
	text, _ := s.File.Line(line)
	return fmt.Sprintf("%d, %q", line, text)
}
