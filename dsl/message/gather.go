package message

import (
	"fmt"
	"slices"
	"strconv"
	"strings"
)

// Gather makes one message of all that are about one name, for a
// person who reads them one after the other: the first of them, which tells
// where else the name stands. Programs get every message, since each has its
// place. The list is sorted, and is left as it is.
func Gather(list []*Message) []*Message {
	more := map[string][]*Message{}
	for _, m := range list {
		if m.About != "" {
			more[m.About] = append(more[m.About], m)
		}
	}
	var out []*Message
	for _, m := range list {
		same := more[m.About]
		switch {
		case m.About == "" || len(same) == 1:
			out = append(out, m)
		case same[0] == m:
			out = append(out, gathered(same))
		}
	}
	return out
}

func gathered(same []*Message) *Message {
	m := *same[0]
	if also := alsoIn(&m, same[1:]); also != "" {
		m.Notes = append(slices.Clone(m.Notes), also)
	}
	for _, other := range same[1:] {
		if m.Help == "" {
			m.Help, m.Edits = other.Help, other.Edits
		}
	}
	return &m
}

// mostPlaces are the lines that alsoIn lists.
const mostPlaces = 12

// alsoIn says where else a name stands: "also on lines 31, 32 and 50; in
// bench.proc on line 4". It is empty where the name stands on the first one's line
// only.
func alsoIn(first *Message, others []*Message) string {
	lines := map[string][]string{}
	var files []string
	place := first.Span.File.Path
	begin, _ := first.Span.File.Position(first.Span.Start)
	last, n := 0, 0
	for _, m := range others {
		path := m.Span.File.Path
		line, _ := m.Span.File.Position(m.Span.Start)
		if path == place && line == begin || lines[path] != nil && line == last {
			continue
		}
		if lines[path] == nil {
			files = append(files, path)
		}
		if n++; n > mostPlaces {
			return fmt.Sprintf("also in %d more places", len(others))
		}
		lines[path] = append(lines[path], strconv.Itoa(line))
		last = line
	}
	if n == 0 {
		return ""
	}
	var parts []string
	for _, path := range files {
		word := "on line "
		if len(lines[path]) > 1 {
			word = "on lines "
		}
		if path != place {
			word = "in " + path + " " + word
		}
		parts = append(parts, word+and(lines[path]))
	}
	return "also " + strings.Join(parts, "; ")
}

func and(words []string) string {
	if n := len(words) - 1; n > 0 {
		return strings.Join(words[:n], ", ") + " and " + words[n]
	}
	return words[0]
}
