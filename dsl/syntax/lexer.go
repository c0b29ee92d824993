package syntax

import (
	"fmt"
	"io"
	"strings"
	"unicode"
	"unicode/utf8"

	"github.com/alecthomas/participle/v2/lexer"

	"benchproof/dsl/source"
)

// The kinds of tokens. White space is none: it would double the tokens, and
// the ends of nodes are told by the tokens that were read (Node.close).
// Comments and bad tokens are passed over by the grammar; a bad token always
// has a fault.
const (
	CommentToken lexer.TokenType = iota + 1
	WordToken
	NumberToken
	StringToken
	DateToken
	TimeToken
	PercentToken
	PunctToken
	BadToken

	// stopToken is a word on which the parser has decided that it begins the
	// next statement (takenForName).
	stopToken
)

// definition is the language's lexer.Definition: written by hand, because it
// must never give up (lexing ends before parsing starts, and one bad character
// may not hide the other mistakes of a file).
type definition struct{}

var symbols = map[string]lexer.TokenType{
	"EOF": lexer.EOF, "Comment": CommentToken, "Word": WordToken, "Number": NumberToken, "String": StringToken,
	"Date": DateToken, "Time": TimeToken, "Percent": PercentToken, "Punct": PunctToken, "Bad": BadToken,
}

// Symbols names the token types for parser tags.
func (definition) Symbols() map[string]lexer.TokenType { return symbols }

// Lex reads all of r and lexes it.
func (d definition) Lex(name string, r io.Reader) (lexer.Lexer, error) {
	b, err := io.ReadAll(r)
	if err != nil {
		return nil, err
	}
	return d.LexString(name, string(b))
}

// LexString lexes a text.
func (definition) LexString(name, text string) (lexer.Lexer, error) {
	return newScanner(name, text), nil
}

// A fault is a lexical mistake: what stands there, what to do, and the mend
// where one is obvious.
type fault struct {
	start, end int
	text, help string
	mend       bool
	edit       string
	line       int
	// open is a text left open: the other quotes of its line cannot be trusted.
	open bool
	// editStart and editEnd are the span that edit replaces.
	editStart, editEnd int
}

// A scanner cuts a text into tokens that cover all of it but white space.
type scanner struct {
	name   string
	text   string
	at     int
	line   int
	column int
	// faults are the first mistakes, mistakes counts all of them.
	faults   []fault
	mistakes int
	// count is the number of tokens so far, depth that of open braces; uneven
	// tells that a brace was closed that was not open.
	count, depth int
	uneven       bool
	// gaveBack tells that an open text gave back a brace at its line's end, and
	// keeps that none is given back.
	gaveBack, keeps bool
}

func newScanner(name, text string) *scanner {
	return &scanner{name: name, text: text, line: 1, column: 1}
}

// alone makes the fault of an open text that of a quote on its line, of which
// it cannot be told which it is.
func (f *fault) alone() {
	f.text, f.mend = "a quote on this line has no partner", false
	f.help = `a text starts and ends with " on one line; a " inside it is written \"`
}

func (s *scanner) fault(f fault) {
	f.line = s.line
	if s.mistakes++; s.mistakes <= maxMessages {
		s.faults = append(s.faults, f)
	}
}

// classes sorts the ASCII characters of words; what is not ASCII is asked of
// unicode.
const (
	clsOther = iota
	clsLetter
	clsDigit
)

var classes = func() (t [128]uint8) {
	for c := 'a'; c <= 'z'; c++ {
		t[c], t[c-'a'+'A'] = clsLetter, clsLetter
	}
	for c := '0'; c <= '9'; c++ {
		t[c] = clsDigit
	}
	return
}()

func digit(c byte) bool { return c >= '0' && c <= '9' }

// letter tells whether a word may start with the rune. The degree sign and the
// like are let in so that a wrongly spelled unit is seen as one.
func letter(r rune) bool {
	if r < utf8.RuneSelf {
		return classes[r] == clsLetter
	}
	return unicode.IsLetter(r) || r == '°'
}

// wordLength tells how many bytes from i on form a word; 0 is none.
func (s *scanner) wordLength(i int) int {
	text, j := s.text, i
	for j < len(text) {
		c := text[j]
		if c < utf8.RuneSelf {
			switch {
			case classes[c] == clsLetter, c == '_' && j > i:
				j++
			case classes[c] == clsDigit && j > i:
				j++
			case (c == '-' || c == '.' || c == '/') && j > i && s.inner(j+1):
				j++
			default:
				return j - i
			}
			continue
		}
		r, n := utf8.DecodeRuneInString(text[j:])
		switch {
		case r == utf8.RuneError:
			return j - i
		case letter(r):
		case j > i && (unicode.IsMark(r) || unicode.IsNumber(r)):
		case j > i && (r == '·' || r == '⋅') && s.inner(j+n):
		default:
			return j - i
		}
		j += n
	}
	return j - i
}

// inner tells whether the character at i may follow an inner mark of a word.
func (s *scanner) inner(i int) bool {
	if i >= len(s.text) {
		return false
	}
	if c := s.text[i]; c < utf8.RuneSelf {
		return classes[c] == clsLetter || classes[c] == clsDigit
	}
	r, _ := utf8.DecodeRuneInString(s.text[i:])
	return r != utf8.RuneError && letter(r)
}

// Next gives the next token; it never fails.
func (s *scanner) Next() (lexer.Token, error) {
	s.space()
	pos := lexer.Position{Filename: s.name, Offset: s.at, Line: s.line, Column: s.column}
	if s.at >= len(s.text) {
		return lexer.EOFToken(pos), nil
	}
	start, text := s.at, s.text
	j, kind := start+1, BadToken
	c := text[start]
	switch {
	case c >= utf8.RuneSelf:
		if n := s.wordLength(start); n > 0 {
			j, kind = start+n, WordToken
		} else {
			j, kind = s.odd(start)
		}
	case classes[c] == clsLetter:
		j, kind = start+s.wordLength(start), WordToken
	case c == '"':
		j, kind = s.quoted(start), StringToken
	case classes[c] == clsDigit, c == '-' && start+1 < len(text) && digit(text[start+1]):
		j, kind = s.number(start)
	case c == '#':
		j, kind = s.lineEnd(start), CommentToken
	case c == '%':
		kind = PercentToken
	case c == '{':
		kind = PunctToken
		s.depth++
	case c == '}':
		kind = PunctToken
		s.depth--
		s.uneven = s.uneven || s.depth < 0
	case c == ',':
		kind = PunctToken
	default:
		j, kind = s.odd(start)
	}
	value := text[start:j]
	s.measure(kind, start, j)
	s.at = j
	s.column += utf8.RuneCountInString(value)
	s.count++
	return lexer.Token{Type: kind, Value: value, Pos: pos}, nil
}

// measure tells of words and texts that nobody writes by hand.
func (s *scanner) measure(kind lexer.TokenType, start, end int) {
	switch {
	case end-start <= maxWord:
	case kind == WordToken:
		if n := utf8.RuneCountInString(s.text[start:end]); n > maxWord {
			s.fault(fault{start: start, end: end, text: fmt.Sprintf("the word has %d letters, more than the %d a word may have", n, maxWord), help: "shorten the name"})
		}
	case kind == StringToken:
		if n := utf8.RuneCountInString(s.text[start:end]) - 2; n > maxText {
			s.fault(fault{start: start, end: end, text: fmt.Sprintf("the text has %d characters, more than the %d a text may have", n, maxText), help: "say it in several steps and notes"})
		}
	}
}

// space passes over white space.
func (s *scanner) space() {
	for ; s.at < len(s.text); s.at++ {
		switch s.text[s.at] {
		case '\n':
			s.line++
			s.column = 1
		case ' ', '\t', '\r':
			s.column++
		default:
			return
		}
	}
}

// lineEnd is the offset of the line's end, its break excluded.
func (s *scanner) lineEnd(i int) int {
	end := len(s.text)
	if n := strings.IndexByte(s.text[i:], '\n'); n >= 0 {
		end = i + n
	}
	for end > i && s.text[end-1] == '\r' {
		end--
	}
	return end
}

// quoted finds the end of a text that starts at i. A text left open ends with
// the line, but gives back a brace at the line's end, which was hardly meant
// as text.
func (s *scanner) quoted(i int) int {
	text := s.text
	for j := i + 1; j < len(text); j++ {
		switch text[j] {
		case '"':
			return j + 1
		case '\\':
			if j+1 < len(text) && text[j+1] != '\n' && text[j+1] != '\r' {
				j++
			}
		case '\n':
			return s.open(i)
		}
	}
	return s.open(i)
}

func (s *scanner) open(i int) int {
	end := s.lineEnd(i)
	line := strings.TrimRight(s.text[i:end], " \t\r")
	if n := len(line); !s.keeps && n > 2 && (line[n-1] == '{' || line[n-1] == '}') && (line[n-2] == ' ' || line[n-2] == '\t') {
		line = strings.TrimRight(line[:n-1], " \t\r")
		s.gaveBack = true
	}
	end = i + len(line)
	f := fault{start: i, end: end, text: "the text is not closed", help: `a text ends with " on the line on which it starts`,
		mend: true, edit: `"`, editStart: end, editEnd: end, open: true}
	before := s.text[strings.LastIndexByte(s.text[:i], '\n')+1 : i]
	switch {
	case end > i+1:
	case strings.IndexByte(before, '"') >= 0:
		f.alone()
	default:
		f.mend, f.text, f.help = false, "a text ends here that does not start", `put a " where it starts`
	}
	s.fault(f)
	return end
}

// number reads a number, a date or a time, and what sticks to it.
func (s *scanner) number(i int) (int, lexer.TokenType) {
	text, j := s.text, i+1
	for j < len(text) && digit(text[j]) {
		j++
	}
	if text[i] != '-' {
		if n := dateLength(text[i:]); n > 0 {
			return i + n, DateToken
		}
		if n := timeLength(text, i, j); n > 0 {
			return n, TimeToken
		}
		if n := s.foreignDate(i); n > 0 {
			return n, DateToken
		}
	}
	if j+1 < len(text) && text[j] == '.' && digit(text[j+1]) {
		for j++; j < len(text) && digit(text[j]); j++ {
		}
	}
	if j >= len(text) {
		return j, NumberToken
	}
	switch c := text[j]; {
	case c == ',' && j+1 < len(text) && digit(text[j+1]):
		k := j + 1
		for k < len(text) && digit(text[k]) {
			k++
		}
		s.fault(fault{start: i, end: k, text: "the comma between " + text[i:j] + " and " + text[j+1:k] + " can be read in two ways",
			help: "write a decimal with a point (" + text[i:j] + "." + text[j+1:k] + "), a list with a space behind the comma (" + text[i:j] + ", " + text[j+1:k] + ")"})
	default:
		if n := s.wordLength(j); n > 0 {
			s.fault(fault{start: i, end: j + n, text: "no space between the number " + text[i:j] + " and the unit " + text[j:j+n],
				help: "write " + text[i:j] + " " + text[j:j+n], mend: true, edit: " ", editStart: j, editEnd: j})
		}
	}
	return j, NumberToken
}

// dateLength tells how many bytes form a date such as 2026-10-02.
func dateLength(s string) int {
	if len(s) < 10 || s[4] != '-' || s[7] != '-' {
		return 0
	}
	for _, i := range [...]int{0, 1, 2, 3, 5, 6, 8, 9} {
		if !digit(s[i]) {
			return 0
		}
	}
	if len(s) > 10 && (digit(s[10]) || s[10] == '-') {
		return 0
	}
	return 10
}

// foreignDate gives the end of a date written as 2.10.2026 or 2/10/2026, with
// its fault; 0 is none. With points the day comes first; with strokes that
// depends on the country.
func (s *scanner) foreignDate(i int) int {
	text := s.text[i:]
	var at [4]int // starts of the three numbers, and the end
	for n := range 3 {
		j := at[n]
		for j < len(text) && digit(text[j]) {
			j++
		}
		if w := j - at[n]; n < 2 && (w < 1 || w > 2 || j >= len(text) || text[j] != '.' && text[j] != '/' || n == 1 && text[j] != text[at[1]-1]) || n == 2 && w != 4 {
			return 0
		}
		at[n+1] = j + 1
	}
	at[3]--
	pad := func(n int) string { return ("0" + text[at[n]:at[n+1]-1])[at[n+1]-1-at[n]-1:] }
	f := fault{start: i, end: i + at[3], text: "a date is written year, month, day", help: "write it as 2026-10-02", editStart: i, editEnd: i + at[3]}
	if text[at[1]-1] == '.' {
		f.edit, f.mend = text[at[2]:at[3]]+"-"+pad(1)+"-"+pad(0), true
		f.help = "write " + f.edit
	}
	s.fault(f)
	return i + at[3]
}

// timeLength gives the end of a time such as 1:36 or 1:02:03 whose first
// digits are text[i:j]; 0 is none.
func timeLength(text string, i, j int) int {
	end := 0
	for n := 0; n < 2 && j+2 < len(text) && text[j] == ':' && digit(text[j+1]) && digit(text[j+2]); n++ {
		j += 3
		end = j
	}
	return end
}

// An oddity is a sign that other habits bring along, and what is written here.
type oddity struct {
	sign, text, help string
	mend             bool
	edit             string
}

var oddities = []oddity{
	{";", "a statement ends by itself, without ;", "leave out the ;", true, ""},
	{":", "no : stands between a word and what it says", "leave out the :", true, " "},
	{"==", "no = stands between a word and what it says", "leave out the =", true, " "},
	{"=", "no = stands between a word and what it says", "leave out the =", true, " "},
	{"<=", "limits are written in words, not with <=", "write at most", true, "at most "},
	{">=", "limits are written in words, not with >=", "write at least", true, "at least "},
	{"≤", "limits are written in words, not with ≤", "write at most", true, "at most "},
	{"≥", "limits are written in words, not with ≥", "write at least", true, "at least "},
	{"<", "limits are written in words, not with <", "write below", true, "below "},
	{">", "limits are written in words, not with >", "write above", true, "above "},
	{"±", "a tolerance is written as a range, not with ±", "write from the lower limit to the upper limit", false, ""},
	{"+/-", "a tolerance is written as a range, not with +/-", "write from the lower limit to the upper limit", false, ""},
	{"×", "a count is written with the letter x, not with ×", "write x", true, "x"},
	{"−", "a minus is written as -, not as −", "write -", true, "-"},
	{"...", "a range is written in words, not with dots", "write from … to …", true, " to "},
	{"..", "a range is written in words, not with dots", "write from … to …", true, " to "},
	{"…", "a range is written in words, not with dots", "write from … to …", true, " to "},
	{"–", "a range is written in words, not with a dash", "write from … to …", true, " to "},
	{"—", "a range is written in words, not with a dash", "write from … to …", true, " to "},
	{"(", "lists and values stand without brackets", "leave out the (", true, ""},
	{")", "lists and values stand without brackets", "leave out the )", true, ""},
	{"[", "lists and values stand without brackets", "leave out the [", true, ""},
	{"]", "lists and values stand without brackets", "leave out the ]", true, ""},
	{"@", "@ marks a thing inside a text only", "leave out the @", true, ""},
}

// quotes pairs the opening quotes of other keyboards with what may close them.
var quotes = map[rune]string{'“': "”“\"", '”': "”\"", '„': "“”\"", '«': "»", '»': "«", '‘': "’‘", '\'': "'", '`': "`"}

// odd reads what no token starts with.
func (s *scanner) odd(i int) (int, lexer.TokenType) {
	text := s.text
	r, n := utf8.DecodeRuneInString(text[i:])
	if closing, ok := quotes[r]; ok {
		end := s.lineEnd(i)
		if k := strings.IndexAny(text[i+n:end], closing); k >= 0 {
			_, m := utf8.DecodeRuneInString(text[i+n+k:])
			inner := strings.ReplaceAll(text[i+n:i+n+k], `"`, `\"`)
			j := i + n + k + m
			s.fault(fault{start: i, end: j, text: "a text stands in straight double quotes",
				help: `write "` + inner + `"`, mend: true, edit: `"` + inner + `"`, editStart: i, editEnd: j})
			return j, StringToken
		}
	}
	if strings.HasPrefix(text[i:], "//") || strings.HasPrefix(text[i:], "/*") {
		j := s.lineEnd(i)
		if k := strings.Index(text[i:], "*/"); text[i+1] == '*' && k >= 0 {
			j = i + k + 2
		}
		s.fault(fault{start: i, end: i + 2, text: "a comment starts with #", help: "write #", mend: text[i+1] == '/', edit: "#", editStart: i, editEnd: i + 2})
		return j, BadToken
	}
	for _, o := range oddities {
		if strings.HasPrefix(text[i:], o.sign) {
			j := i + len(o.sign)
			for strings.HasPrefix(text[j:], o.sign) {
				j += len(o.sign)
			}
			s.fault(fault{start: i, end: j, text: o.text, help: o.help, mend: o.mend, edit: o.edit, editStart: i, editEnd: j})
			return j, BadToken
		}
	}
	// A run of one sign is one mistake. What Load has put in for unreadable
	// bytes has its message already.
	j := i + n
	for j < len(text) {
		q, m := utf8.DecodeRuneInString(text[j:])
		if q != r {
			break
		}
		j += m
	}
	if text[i:i+n] == "\uFFFD" {
		return j, BadToken
	}
	s.fault(fault{start: i, end: j, text: "nothing in the language starts with " + charName(r), help: "leave it out, or put it into a text"})
	return j, BadToken
}

// charName gives a character a name that a terminal can print.
func charName(r rune) string {
	if unicode.IsGraphic(r) && r != utf8.RuneError {
		return string(r)
	}
	const hex = "0123456789ABCDEF"
	b := []byte("U+0000")
	for i, v := 5, r; i >= 2 || v > 0; i, v = i-1, v>>4 {
		if i < 2 {
			b = append(b[:2], append([]byte{hex[v&15]}, b[2:]...)...)
			continue
		}
		b[i] = hex[v&15]
	}
	return "the character " + string(b)
}

// AppendWords adds the words of a stretch of a file, as they are written, without
// its comments. The stretch begins and ends where words do.
func AppendWords(out []string, whole source.Span) []string {
	s := scanner{name: whole.File.Path, text: whole.File.Text[whole.Start:whole.End], line: 1, column: 1}
	for {
		t, _ := s.Next() // a scanner never fails
		if t.EOF() {
			return out
		}
		if t.Type != CommentToken {
			out = append(out, t.Value)
		}
	}
}
