package record

import (
	"errors"
	"fmt"
	"io"
	"io/fs"
	"os"
	"regexp"
	"slices"
	"strings"
	"time"
	"unicode/utf8"

	"github.com/go-json-experiment/json"
	"github.com/go-json-experiment/json/jsontext"

	"benchproof/dsl/message"
)

// Bounds of what is read. A page keeps a few kilobytes for a long job.
const (
	MaxSize    = 32 << 20 // bytes of a file
	MaxEntries = 100_000
	MaxText    = 100_000 // bytes of one text
	maxDepth   = 8
)

// A Refusal says why bytes are no record that can be judged, first by a word.
type Refusal struct {
	// Word is one of Refusals.
	Word string
	// Text says more in words, for a person; it may hold what a stranger wrote.
	Text string
}

// Error gives word and text in one line that a terminal can show.
func (r *Refusal) Error() string {
	return r.Word + ": " + message.Printable(strings.Join(strings.Fields(r.Text), " "))
}

// Refusals are the words of a refusal, with what each means.
var Refusals = []struct{ Word, Meaning string }{
	{"missing", "there is no such file, or it cannot be opened"},
	{"folder", "a folder was named; name the records in it"},
	{"link", "the file is a link; name what it leads to"},
	{"device", "not a regular file: a device, a pipe or a socket"},
	{"unreadable", "the file could not be read to its end"},
	{"empty", "nothing is in the file"},
	{"too-large", "larger than any record is"},
	{"not-text", "bytes that are not UTF-8"},
	{"cut-short", "the file ends in the middle"},
	{"not-json", "not JSON"},
	{"twice", "an object has two members of one name"},
	{"too-deep", "nested deeper than any record is"},
	{"unknown", "a member that records do not have"},
	{"wrong-type", "a value of another type than records have there"},
	{"not-a-record", "JSON, but not a record of a job"},
	{"other-version", "a record of a version that this program does not read"},
	{"incomplete", "a member that every record has is missing"},
	{"wrong-value", "a value that no page writes there"},
}

func refuse(word, format string, args ...any) *Refusal {
	return &Refusal{word, fmt.Sprintf(format, args...)}
}

// ReadFile reads the record in a file. It opens regular files only, and waits
// for nothing. The error is a *Refusal.
func ReadFile(path string) (*Record, error) {
	info, err := os.Lstat(path)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		return nil, refuse("missing", "there is no file of this name")
	case err != nil:
		return nil, refuse("missing", "%s", plain(err))
	case info.IsDir():
		return nil, refuse("folder", "name the records in it")
	case info.Mode()&fs.ModeSymlink != 0:
		return nil, refuse("link", "name the file that it leads to")
	case !info.Mode().IsRegular():
		return nil, refuse("device", "not a regular file")
	case info.Size() > MaxSize:
		return nil, refuse("too-large", "%d bytes; a record has at most %d", info.Size(), MaxSize)
	}
	f, err := os.Open(path)
	if err != nil {
		return nil, refuse("missing", "%s", plain(err))
	}
	defer f.Close()
	// Another file may have been put in its place meanwhile.
	if now, err := f.Stat(); err != nil || !os.SameFile(info, now) {
		return nil, refuse("unreadable", "the file was replaced while it was read")
	}
	return Read(f)
}

func plain(err error) error {
	var pe *fs.PathError
	if errors.As(err, &pe) {
		return pe.Err
	}
	return err
}

// Read reads a record. The error is a *Refusal.
func Read(r io.Reader) (*Record, error) {
	data, err := io.ReadAll(io.LimitReader(r, MaxSize+1))
	switch {
	case err != nil:
		return nil, refuse("unreadable", "%s", plain(err))
	case len(data) > MaxSize:
		return nil, refuse("too-large", "more than %d bytes", MaxSize)
	case len(strings.TrimSpace(string(data[:min(len(data), 4096)]))) == 0 && len(data) <= 4096:
		return nil, refuse("empty", "nothing is in the file")
	}
	if !utf8.Valid(data) {
		return nil, refuse("not-text", "bytes that are not UTF-8")
	}
	if refusal := sound(data); refusal != nil {
		return nil, refusal
	}
	rec := &Record{}
	if err := json.Unmarshal(data, rec, json.RejectUnknownMembers(true)); err != nil {
		return nil, meant(err)
	}
	if refusal := rec.complete(data); refusal != nil {
		return nil, refusal
	}
	return rec, nil
}

// sound goes through the bytes once: they are JSON in UTF-8, no deeper than a
// record, no object has a name twice, and the outermost object says that it is
// a record, of a version that is read here.
func sound(data []byte) *Refusal {
	d := jsontext.NewDecoder(strings.NewReader(string(data)))
	isRecord, version := false, ""
	entries := 0
	for first := true; ; first = false {
		if d.StackDepth() > maxDepth {
			return refuse("too-deep", "nested more than %d deep at byte %d", maxDepth, d.InputOffset())
		}
		t, err := d.ReadToken()
		switch {
		case errors.Is(err, io.ErrUnexpectedEOF), errors.Is(err, io.EOF) && first:
			return refuse("cut-short", "it ends after %d bytes, in the middle", len(data))
		case errors.Is(err, io.EOF):
			switch {
			case !isRecord:
				return refuse("not-a-record", "it does not begin with the word %q", Word)
			case version != "1" && version != "2":
				return refuse("other-version", "a record of version %s; versions %d and %d are read", short(version), FirstVersion, LatestVersion)
			}
			return nil
		case err != nil:
			return meant(err)
		case first && t.Kind() != '{':
			return refuse("not-a-record", "it is not an object")
		case t.Kind() == '"' && len(t.String()) > MaxText:
			return refuse("too-large", "a text of more than %d bytes at byte %d", MaxText, d.InputOffset())
		}
		if d.StackDepth() == 1 && t.Kind() != '{' && t.Kind() != '}' {
			switch at := string(d.StackPointer()); {
			case at == "/record" && t.Kind() == '"' && t.String() == Word:
				isRecord = true
			case at == "/version" && t.Kind() != '"':
				version = t.String()
			}
		}
		if d.StackDepth() == 3 && t.Kind() == '{' && strings.HasPrefix(string(d.StackPointer()), "/entries/") {
			if entries++; entries > MaxEntries {
				return refuse("too-large", "more than %d entries", MaxEntries)
			}
		}
	}
}

// meant turns an error of the JSON library into a refusal.
func meant(err error) *Refusal {
	var syn *jsontext.SyntacticError
	var sem *json.SemanticError
	switch {
	case errors.Is(err, jsontext.ErrDuplicateName):
		where := ""
		if errors.As(err, &syn) {
			where = string(syn.JSONPointer)
		}
		return refuse("twice", "the member %s stands there twice", short(where))
	case errors.Is(err, io.ErrUnexpectedEOF):
		return refuse("cut-short", "it ends in the middle")
	case errors.Is(err, json.ErrUnknownName) && errors.As(err, &sem):
		return refuse("unknown", "the member %s is none of a record", short(string(sem.JSONPointer)))
	case errors.As(err, &sem):
		return refuse("wrong-type", "the value of %s is of another type than in a record", short(string(sem.JSONPointer)))
	case errors.As(err, &syn):
		if strings.Contains(syn.Error(), "max depth") {
			return refuse("too-deep", "nested far deeper than a record at byte %d", syn.ByteOffset)
		}
		return refuse("not-json", "no JSON at byte %d", syn.ByteOffset)
	}
	return refuse("not-json", "%s", err)
}

// short keeps of a stranger's text what fits into a line.
func short(s string) string {
	if r := []rune(s); len(r) > 60 {
		s = string(r[:60]) + "…"
	}
	if s == "" {
		return "nothing"
	}
	return s
}

// required are the members that stand in every record, by where.
var required = map[string][]string{
	"":          {"record", "version", "saved", "document", "job", "members", "outcome", "stopped", "entries"},
	"/document": {"name", "number", "title", "revision", "date", "fingerprint", "for"},
	"/job":      {"workOrder", "machine", "serialNumber", "who", "date", "nameplateAgrees"},
	"/members/": {"variant", "member"},
	"/outcome":  {"finish", "outcome"},
	"/entries/": {"number", "at", "who", "event", "id", "kind", "label"},
}

// complete refuses what decodes and still is nothing that a page writes:
// members left out, null where none may stand, times and words of no shape.
func (r *Record) complete(data []byte) *Refusal {
	if refusal := present(data); refusal != nil {
		return refusal
	}
	wrong := func(where, value string) *Refusal {
		return refuse("wrong-value", "%s is “%s”, which no page writes there", where, short(value))
	}
	if !isTime(r.Saved) {
		return wrong("/saved", r.Saved)
	}
	for i, c := range r.Document.For {
		if len(c) != 2 {
			return wrong(fmt.Sprintf("/document/for/%d", i), fmt.Sprint(len(c), " names"))
		}
	}
	if o := r.Outcome; o != nil && !slices.Contains([]string{"serviceable", "scrap", "refer"}, o.Outcome) {
		return wrong("/outcome/outcome", o.Outcome)
	}
	for i := range r.Entries {
		e, at := &r.Entries[i], fmt.Sprintf("/entries/%d/", i)
		switch {
		case e.Number < 1:
			return wrong(at+"number", fmt.Sprint(e.Number))
		case !isTime(e.At):
			return wrong(at+"at", e.At)
		case !slices.Contains(events, e.Event):
			return wrong(at+"event", e.Event)
		case !slices.Contains(kinds, e.Kind):
			return wrong(at+"kind", e.Kind)
		case e.Of != "" && !slices.Contains([]string{"smallest", "largest", "mean"}, e.Of):
			return wrong(at+"of", e.Of)
		case e.Turn != "" && !turnShape.MatchString(e.Turn):
			return wrong(at+"turn", e.Turn)
		case e.Step < 0 || e.Count < 0:
			return wrong(at+"step", fmt.Sprint(e.Step))
		case r.Version == FirstVersion && (e.Kind == "torque" || e.Kind == "hold" || e.Kind == "count" || e.Torque != "" || e.Count != 0 || e.Role != "" || e.Of != "" || e.Instrument != "" || e.Limits != nil):
			return wrong(at+"kind", e.Kind+" in version 1")
		}
	}
	return nil
}

var (
	events    = []string{entered, changed, takenBack, stopped, firstHolds, waitStarted, longPause}
	kinds     = []string{"tick", "text", "reading", "answer", "member", "verified again", "page", "torque", "hold", "count"}
	turnShape = regexp.MustCompile(`^[0-9]+(\.[0-9]+)*$`)
	timeShape = regexp.MustCompile(`^[0-9]{4}-[0-9]{2}-[0-9]{2}T[0-9]{2}:[0-9]{2}:[0-9]{2}\.[0-9]{3}Z$`)
)

// layout is how a page writes a moment: ISO 8601, milliseconds, UTC.
const layout = "2006-01-02T15:04:05.000Z"

func isTime(s string) bool {
	_, err := time.Parse(layout, s)
	return err == nil && timeShape.MatchString(s)
}

// moment is a time that was read.
func moment(s string) time.Time {
	t, _ := time.Parse(layout, s)
	return t
}

// present goes through the objects of a record and refuses the first that lacks
// a member, and null where a value must stand.
func present(data []byte) *Refusal {
	d := jsontext.NewDecoder(strings.NewReader(string(data)))
	have := map[string]map[string]bool{}
	for {
		t, err := d.ReadToken()
		if err != nil {
			return nil
		}
		at := string(d.StackPointer())
		switch t.Kind() {
		case 'n':
			if at != "/outcome" {
				return refuse("wrong-type", "%s is null", short(at))
			}
		case '{':
			have[at] = map[string]bool{}
		case '}':
			for _, name := range required[general(at)] {
				if !have[at][name] {
					return refuse("incomplete", "%s has no member %s", short(at), name)
				}
			}
			delete(have, at)
		}
		// A name is read as a token of its own; its value names it again.
		up, name, ok := cutLast(at)
		if ok && have[up] != nil {
			have[up][name] = true
		}
		// What may be left out is left out, and never empty.
		empty := t.Kind() == '"' && t.String() == "" && (name == "turn" || name == "of")
		if empty || t.Kind() == '0' && t.String() == "0" && name == "step" {
			return refuse("wrong-value", "%s is empty, and no page writes that there", short(at))
		}
	}
}

func cutLast(pointer string) (up, last string, ok bool) {
	i := strings.LastIndexByte(pointer, '/')
	if i < 0 {
		return "", "", false
	}
	return pointer[:i], pointer[i+1:], true
}

// general is a pointer with the index of a list left out.
func general(pointer string) string {
	up, last, ok := cutLast(pointer)
	if ok && last != "" && strings.Trim(last, "0123456789") == "" {
		return up + "/"
	}
	return pointer
}
