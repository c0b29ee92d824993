package draft

import (
	"encoding/binary"
	"errors"
	"fmt"
	"html"
	"path"
	"regexp"
	"strconv"
	"strings"
	"unicode"
	"unicode/utf16"
	"unicode/utf8"
)

// A role says what a passage is in its input.
type role uint8

const (
	speech  role = iota // of a recording, or of a paragraph
	item                // of a list
	heading             // of a chapter
	quote               // set apart, as warnings are
)

// A passage is a piece of the input: a cue, a list's item, a paragraph.
type passage struct {
	role    role
	level   int // of a heading; how deep a list's item is
	text    string
	from    int // in milliseconds
	to      int
	speaker string
	line    int
}

// A talk is an input read.
type talk struct {
	title    string
	timed    bool
	passages []passage
}

// decode takes UTF-8, and UTF-16 with its mark, as subtitle editors write it.
func decode(data []byte) (string, error) {
	if len(data) > MaxSize {
		return "", fmt.Errorf("it has %.1f MB, more than the %d MB a draft is made from; split it", float64(len(data))/(1<<20), MaxSize>>20)
	}
	var text string
	switch {
	case len(data) >= 2 && (data[0] == 0xFF && data[1] == 0xFE || data[0] == 0xFE && data[1] == 0xFF):
		var order binary.ByteOrder = binary.LittleEndian
		if data[0] == 0xFE {
			order = binary.BigEndian
		}
		if len(data)%2 != 0 {
			return "", errors.New("it breaks off in the middle of a character (UTF-16)")
		}
		units := make([]uint16, 0, len(data)/2)
		for i := 2; i < len(data); i += 2 {
			units = append(units, order.Uint16(data[i:]))
		}
		text = string(utf16.Decode(units))
	case !utf8.Valid(data):
		return "", errors.New("it is no text in UTF-8; save it as UTF-8")
	default:
		text = strings.TrimPrefix(string(data), "\uFEFF")
	}
	if i := strings.IndexFunc(text, func(r rune) bool { return r < ' ' && r != '\n' && r != '\r' && r != '\t' && r != '\f' }); i >= 0 {
		return "", fmt.Errorf("it is no text: line %d holds a control character", 1+strings.Count(text[:i], "\n"))
	}
	text = strings.NewReplacer("\r\n", "\n", "\r", "\n", "\f", "\n").Replace(text)
	if strings.TrimSpace(text) == "" {
		return "", errors.New("it is empty")
	}
	return text, nil
}

var (
	arrow      = regexp.MustCompile(`^\s*(\S+)\s+-->\s+(\S+)(?:\s.*)?$`)
	timeAhead  = regexp.MustCompile(`^\s*[\[(]?(\d{1,3}(?::\d{2}){1,2}(?:[.,]\d{1,3})?)[\])]?(?:\s*(?:-|–|—|to)\s*[\[(]?(\d{1,3}(?::\d{2}){1,2}(?:[.,]\d{1,3})?)[\])]?)?(?:\s+(?:-|–|—)\s+|\s*:\s+|\s+|$)(.*)$`)
	looksTimed = regexp.MustCompile(`^\s*[\[(]?\d{1,3}:\d`)
	clock      = regexp.MustCompile(`^(?:(\d{1,3}):)?(\d{1,3}):(\d{2})(?:[.,](\d{1,3}))?$`)
)

// read finds out the form of a text and reads it.
func read(text, name string) (*talk, error) {
	lines := strings.Split(text, "\n")
	ext := strings.ToLower(path.Ext(name))
	first := 0
	for first < len(lines) && strings.TrimSpace(lines[first]) == "" {
		first++
	}
	var t *talk
	var err error
	switch {
	case strings.HasPrefix(lines[first], "WEBVTT") || ext == ".vtt":
		t, err = readCues(lines, true)
	case ext == ".srt" || hasArrow(lines):
		t, err = readCues(lines, false)
	case ext != ".md" && ext != ".markdown" && hasTimes(lines):
		t, err = readTimed(lines)
	default:
		if err := shallow(lines); err != nil {
			return nil, err
		}
		t = readMarkdown(text)
	}
	if err != nil {
		return nil, err
	}
	if t.timed && len(t.passages) > 0 {
		namedSpeakers(t)
	}
	if t.title == "" {
		t.title = titleOf(name)
	}
	return t, nil
}

// deepest is how many lists and quotes may begin on one line.
const deepest = 24

// shallow refuses what no person writes and no reader of Markdown ends with.
func shallow(lines []string) error {
	for i, l := range lines {
		depth := 0
		for _, w := range strings.Fields(l[:min(len(l), 4*deepest+8)]) {
			if strings.Trim(w, ">-*+") == "" || strings.Trim(w, "0123456789.)") == "" {
				depth += len(w)
				continue
			}
			break
		}
		if depth > deepest && strings.TrimLeft(l, "-*_= \t") != "" {
			return fmt.Errorf("line %d: lists or quotes more than %d deep", i+1, deepest)
		}
	}
	return nil
}

func hasArrow(lines []string) bool {
	for i, l := range lines {
		if i > 200 {
			break
		}
		if arrow.MatchString(l) {
			return true
		}
	}
	return false
}

// hasTimes tells that lines begin with times: at least two, or the only one.
func hasTimes(lines []string) bool {
	timed, others := 0, 0
	for _, l := range lines {
		switch {
		case looksTimed.MatchString(l):
			timed++
		case strings.TrimSpace(l) != "":
			others++
		}
	}
	return timed > 1 || timed == 1 && others <= 1
}

// titleOf makes a title of a file's name.
func titleOf(name string) string {
	base := path.Base(strings.ReplaceAll(name, "\\", "/"))
	base = strings.TrimSuffix(base, path.Ext(base))
	base = strings.Join(strings.FieldsFunc(base, func(r rune) bool { return !unicode.IsLetter(r) && !unicode.IsNumber(r) }), " ")
	if base == "" {
		return "Procedure"
	}
	return capital(base)
}

// millis reads a time such as 1:36, 01:02:03,500 or 00:01.000.
func millis(s string) (int, bool) {
	m := clock.FindStringSubmatch(s)
	if m == nil {
		return 0, false
	}
	n := func(s string) int { v, _ := strconv.Atoi(s); return v }
	h, min, sec := n(m[1]), n(m[2]), n(m[3])
	if sec > 59 || m[1] != "" && min > 59 {
		return 0, false
	}
	ms := 0
	if m[4] != "" {
		ms = n((m[4] + "00")[:3])
	}
	return ((h*60+min)*60+sec)*1000 + ms, true
}

// readCues reads WebVTT (strings in angle brackets are markup, some blocks are
// no cues) and SubRip.
func readCues(lines []string, vtt bool) (*talk, error) {
	t := &talk{timed: true}
	number := func(i int) int { return i + 1 }
	for i := 0; i < len(lines); i++ {
		m := arrow.FindStringSubmatch(lines[i])
		if m == nil {
			if strings.Contains(lines[i], "-->") {
				return nil, fmt.Errorf("line %d: expected two times with --> between them, as in 00:01:36.000 --> 00:01:40.000", number(i))
			}
			if vtt {
				if word, _, _ := strings.Cut(strings.TrimSpace(lines[i]), " "); word == "NOTE" || word == "STYLE" || word == "REGION" || word == "WEBVTT" {
					if word == "WEBVTT" && t.title == "" {
						t.title = strings.TrimSpace(strings.TrimLeft(strings.TrimSpace(lines[i])[len("WEBVTT"):], " \t-–—:"))
					}
					for i+1 < len(lines) && strings.TrimSpace(lines[i+1]) != "" && !strings.Contains(lines[i+1], "-->") {
						i++
					}
				}
			}
			continue
		}
		from, ok1 := millis(m[1])
		to, ok2 := millis(m[2])
		switch {
		case !ok1 || !ok2:
			bad := m[1]
			if ok1 {
				bad = m[2]
			}
			return nil, fmt.Errorf("line %d: %s is no time; expected one like 00:01:36.000", number(i), shorten(bad, 40))
		case to < from:
			return nil, fmt.Errorf("line %d: the cue ends (%s) before it begins (%s)", number(i), m[2], m[1])
		}
		start := i
		var cue []string
		for i+1 < len(lines) && strings.TrimSpace(lines[i+1]) != "" {
			// The next cue's number and times may follow without a blank line.
			if arrow.MatchString(lines[i+1]) {
				break
			}
			if i+2 < len(lines) && digitsOnly(lines[i+1]) && arrow.MatchString(lines[i+2]) {
				break
			}
			i++
			cue = append(cue, lines[i])
		}
		t.add(cue, from, to, start+2)
	}
	if len(t.passages) == 0 {
		return nil, errors.New("there is no cue with words in it")
	}
	return t, nil
}

func digitsOnly(s string) bool {
	s = strings.TrimSpace(s)
	return s != "" && strings.Trim(s, "0123456789") == ""
}

var (
	voice  = regexp.MustCompile(`<v(?:\.[^\s>]*)?\s+([^>]*)>`)
	markup = regexp.MustCompile(`<[^<>]*>|\{\\[^{}]*\}`)
)

// add takes the lines of a cue, without those that the cue before showed
// already: captions made by machine roll.
func (t *talk) add(cue []string, from, to, line int) {
	var kept []string
	speaker := ""
	for _, l := range cue {
		if m := voice.FindStringSubmatch(l); m != nil {
			speaker = strings.TrimSpace(m[1])
		}
		l = html.UnescapeString(markup.ReplaceAllString(l, ""))
		if l = strings.TrimSpace(l); l == "" {
			continue
		}
		kept = append(kept, l)
	}
	if n := len(t.passages); n > 0 {
		before := strings.Split(t.passages[n-1].text, "\n")
		for k := min(len(before), len(kept)); k > 0; k-- {
			if strings.Join(before[len(before)-k:], "\n") == strings.Join(kept[:k], "\n") && (k < len(kept) || len(kept[0]) > 12) {
				kept = kept[k:]
				break
			}
		}
	}
	if len(kept) == 0 {
		return
	}
	t.passages = append(t.passages, passage{text: strings.Join(kept, "\n"), from: from, to: to, speaker: speaker, line: line})
}

// readTimed reads lines that begin with a time; a line without one goes on
// with the last, and before the first it is the title.
func readTimed(lines []string) (*talk, error) {
	t := &talk{timed: true}
	open := false // the last passage's end is not known yet
	for i, l := range lines {
		if strings.TrimSpace(l) == "" {
			continue
		}
		m := timeAhead.FindStringSubmatch(l)
		if m == nil {
			if looksTimed.MatchString(l) {
				return nil, fmt.Errorf("line %d: it begins with what is no time: %s; expected one like 1:36 or 01:02:03", i+1, shorten(strings.Fields(l)[0], 40))
			}
			switch n := len(t.passages); {
			case n > 0:
				t.passages[n-1].text += "\n" + strings.TrimSpace(l)
			case t.title == "":
				t.title = strings.TrimSpace(strings.TrimLeft(strings.TrimSpace(l), "#"))
			}
			continue
		}
		from, ok := millis(m[1])
		to := from
		if ok && m[2] != "" {
			to, ok = millis(m[2])
		}
		switch n := len(t.passages); {
		case !ok:
			return nil, fmt.Errorf("line %d: %s is no time; expected one like 1:36 or 01:02:03", i+1, shorten(strings.Fields(l)[0], 40))
		case to < from:
			return nil, fmt.Errorf("line %d: the stretch ends (%s) before it begins (%s)", i+1, m[2], m[1])
		case n > 0 && from < t.passages[n-1].from:
			return nil, fmt.Errorf("line %d: the time %s lies before that of the line above", i+1, m[1])
		}
		if n := len(t.passages); n > 0 && open {
			t.passages[n-1].to = from
		}
		open = m[2] == ""
		t.passages = append(t.passages, passage{text: strings.TrimSpace(m[3]), from: from, to: to, line: i + 1})
	}
	if n := len(t.passages); n > 0 && open {
		// How long the last words take is not written: about three words a second.
		words := len(strings.Fields(t.passages[n-1].text))
		t.passages[n-1].to = t.passages[n-1].from + 1000 + words*350
	}
	return t, nil
}

var named = regexp.MustCompile(`^(?:>>\s*)?(\p{Lu}[\p{L}.'-]{0,20}(?: \p{Lu}[\p{L}.'-]{0,20})?):\s+`)

// namedSpeakers takes "Ines: " off the words where the same name stands there
// twice and is none of the words that announce a warning.
func namedSpeakers(t *talk) {
	count := map[string]int{}
	for _, p := range t.passages {
		if m := named.FindStringSubmatch(p.text); m != nil {
			count[m[1]]++
		}
	}
	for i := range t.passages {
		p := &t.passages[i]
		p.text = strings.TrimSpace(strings.TrimPrefix(p.text, ">>"))
		m := named.FindStringSubmatch(p.text)
		if m == nil || count[m[1]] < 2 || alarms[strings.ToLower(m[1])] || verbs[strings.ToLower(m[1])] {
			continue
		}
		p.speaker = m[1]
		p.text = p.text[len(m[0]):]
	}
}

func shorten(s string, runes int) string {
	if utf8.RuneCountInString(s) <= runes {
		return s
	}
	r := []rune(s)
	return string(r[:runes-1]) + "…"
}

func capital(s string) string {
	r, n := utf8.DecodeRuneInString(s)
	if n == 0 {
		return s
	}
	return string(unicode.ToUpper(r)) + s[n:]
}
