package record

import (
	"bytes"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"

	"github.com/santhosh-tekuri/jsonschema/v6"
)

func schema(t testing.TB, text []byte) *jsonschema.Schema {
	t.Helper()
	value, err := jsonschema.UnmarshalJSON(bytes.NewReader(text))
	if err != nil {
		t.Fatal(err)
	}
	c := jsonschema.NewCompiler()
	if err := c.AddResource("schema.json", value); err != nil {
		t.Fatal(err)
	}
	s, err := c.Compile("schema.json")
	if err != nil {
		t.Fatal(err)
	}
	return s
}

func text(t testing.TB, name string) string {
	t.Helper()
	b, err := os.ReadFile("testdata/records/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	return string(b)
}

// Each hostile or damaged file is refused with its word. What JSON Schema can
// tell of it, it tells, too: the reader is no laxer than the schema.
func TestHostileRecordsAreRefused(t *testing.T) {
	whole := text(t, "a-true-rotor")
	with := func(old, now string) string {
		out := strings.Replace(whole, old, now, 1)
		if out == whole {
			t.Fatalf("%q does not stand there", old)
		}
		return out
	}
	deep := strings.Repeat(`{"a":`, 5000) + "1" + strings.Repeat("}", 5000)
	for _, x := range []struct{ what, text, word string }{
		{"nothing", "", "empty"},
		{"white space", " \n\t", "empty"},
		{"a word", "record", "not-json"},
		{"markup", "<html></html>", "not-json"},
		{"a list", "[1, 2]", "not-a-record"},
		{"a number", "12", "not-a-record"},
		{"an empty object", "{}", "not-a-record"},
		{"another object", `{"record": "invoice", "version": 1}`, "not-a-record"},
		{"two objects", whole + whole, "not-json"},
		{"words behind it", whole + "x", "not-json"},
		{"half of it", whole[:len(whole)/2], "cut-short"},
		{"all but its end", strings.TrimSpace(whole)[:len(strings.TrimSpace(whole))-1], "cut-short"},
		{"version 3", with(`"version": 2`, `"version": 3`), "other-version"},
		{"version as a text", with(`"version": 2`, `"version": "2"`), "other-version"},
		{"version as a fraction", with(`"version": 2`, `"version": 2.0`), "other-version"},
		{"no version", with(`"version": 2,`, ``), "other-version"},
		{"a member twice", with(`"stopped": false`, `"stopped": false, "stopped": true`), "twice"},
		{"a member twice, written otherwise", with(`"stopped": false`, `"stopped": false, "st\u006fpped": true`), "twice"},
		{"a member twice in an entry", with(`"event": "entered"`, `"event": "entered", "event": "changed"`), "twice"},
		{"an unknown member", with(`"stopped": false`, `"stopped": false, "path": "../../etc/passwd"`), "unknown"},
		{"an unknown member of an entry", with(`"event": "entered"`, `"event": "entered", "__proto__": "x"`), "unknown"},
		{"a member in capitals", with(`"stopped": false`, `"Stopped": false`), "unknown"},
		{"no UTF-8", with("Ada", "Ad\xff"), "not-text"},
		{"half a surrogate", with("Ada", `Ad\ud800`), "not-json"},
		{"NUL in a text", with("Ada", "Ad\x00"), "not-json"},
		{"a byte order mark in UTF-16", "\xff\xfe{\x00}\x00", "not-text"},
		{"not a number", with(`"number": 1`, `"number": NaN`), "not-json"},
		{"endless", with(`"number": 1`, `"number": Infinity`), "not-json"},
		{"a number beyond all", with(`"number": 1`, `"number": 1e999999999`), "wrong-type"},
		{"a number with many digits", with(`"number": 1`, `"number": 1`+strings.Repeat("0", 10000)), "wrong-type"},
		{"a fraction", with(`"number": 1`, `"number": 1.5`), "wrong-type"},
		{"a text for a number", with(`"number": 1`, `"number": "1"`), "wrong-type"},
		{"a number for a text", with(`"value": "0.03"`, `"value": 0.03`), "wrong-type"},
		{"null for a text", with(`"value": "0.03"`, `"value": null`), "wrong-type"},
		{"null for the entries", with(`"members": []`, `"members": null`), "wrong-type"},
		{"a text for a list", with(`"members": []`, `"members": ""`), "wrong-type"},
		{"a list for an object", with(`"members": []`, `"members": [[]]`), "wrong-type"},
		{"far too deep", deep, "too-deep"},
		{"deeper than JSON libraries go", strings.Repeat("[", 1<<20), "not-a-record"},
		{"deep inside", with(`"stopped": false`, `"stopped": `+strings.Repeat("[", 100000)), "too-deep"},
		{"a member left out", with(`"stopped": false,`, ``), "incomplete"},
		{"a member left out of an entry", with(`"event": "entered",`, ``), "incomplete"},
		{"entry 0", with(`"number": 1`, `"number": 0`), "wrong-value"},
		{"an entry before zero", with(`"number": 1`, `"number": -1`), "wrong-value"},
		{"an event that is none", with(`"event": "entered"`, `"event": "forged"`), "wrong-value"},
		{"a kind that is none", with(`"kind": "tick"`, `"kind": "script"`), "wrong-value"},
		{"a time that is none", with(`"at": "2030-01-02T`, `"at": "2030-02-31T`), "wrong-value"},
		{"a time of another shape", with(`"at": "2030-01-02T06:00:05.000Z"`, `"at": "2 January"`), "wrong-value"},
		{"an outcome that is none", with(`"outcome": "serviceable"`, `"outcome": "perfect"`), "wrong-value"},
		{"version 2 inside version 1", with(`"version": 2`, `"version": 1`), "wrong-value"},
		{"a text without end", with("Ada", strings.Repeat("A", MaxText)), "too-large"},
		{"too large", with("Ada", strings.Repeat("A", MaxSize)), "too-large"},
		{"white space without end", strings.Repeat(" ", MaxSize+1), "too-large"},
		{"entries without end", with(`"entries": [`, `"entries": [`+strings.Repeat(`{},`, MaxEntries+1)), "too-large"},
	} {
		_, err := Read(strings.NewReader(x.text))
		r, is := err.(*Refusal)
		if !is || r.Word != x.word {
			t.Errorf("%s: %.200v, want the word %s", x.what, err, x.word)
			continue
		}
		if strings.ContainsAny(r.Error(), "\n\x00\x1b\xff") || len(r.Error()) > 300 {
			t.Errorf("%s: %q is no line for a terminal", x.what, r.Error())
		}
	}
	if _, err := Read(strings.NewReader(whole)); err != nil {
		t.Error(err)
	}
}

// What stands in no record of the schema is refused, and what the reader takes
// is of the schema.
func TestTheReaderHoldsToTheSchema(t *testing.T) {
	s := schema(t, Schema)
	whole := text(t, "a-true-rotor")
	taken, refused := 0, 0
	try := func(text string) {
		_, err := Read(strings.NewReader(text))
		value, bad := jsonschema.UnmarshalJSON(strings.NewReader(text))
		if bad == nil {
			bad = s.Validate(value)
		}
		switch {
		case err == nil && bad != nil:
			t.Errorf("the reader takes what the schema does not: %v", bad)
		case err == nil:
			taken++
		default:
			refused++
		}
	}
	// Each value of the record is replaced by values of every type, and each
	// member is left out.
	lines := strings.Split(whole, "\n")
	for i, line := range lines {
		name, value, is := strings.Cut(line, ": ")
		if !is || strings.HasSuffix(value, "{") || strings.HasSuffix(value, "[") {
			continue
		}
		comma := ""
		if strings.HasSuffix(value, ",") {
			comma = ","
		}
		for _, now := range []string{`""`, `"x"`, `"1"`, `0`, `-1`, `1`, `1.5`, `true`, `false`, `null`, `[]`, `{}`, `"\u001b[2J"`} {
			lines[i] = name + ": " + now + comma
			try(strings.Join(lines, "\n"))
		}
		lines[i] = ""
		try(strings.Join(lines, "\n"))
		lines[i] = line
	}
	t.Logf("%d taken, %d refused", taken, refused)
	if taken < 100 || refused < 100 {
		t.Error("hardly anything was tried")
	}
}

// Only regular files are opened; nothing is waited for.
func TestOnlyFilesAreOpened(t *testing.T) {
	dir := t.TempDir()
	file := filepath.Join(dir, "a.json")
	if err := os.WriteFile(file, []byte(text(t, good)), 0o644); err != nil {
		t.Fatal(err)
	}
	pipe, link, big := filepath.Join(dir, "pipe"), filepath.Join(dir, "link"), filepath.Join(dir, "big")
	if err := os.Symlink(file, link); err != nil {
		t.Fatal(err)
	}
	if err := syscall.Mkfifo(pipe, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.WriteFile(big, nil, 0o644); err != nil {
		t.Fatal(err)
	}
	if err := os.Truncate(big, 1<<40); err != nil {
		t.Fatal(err)
	}
	for path, word := range map[string]string{dir: "folder", link: "link", pipe: "device", os.DevNull: "device", filepath.Join(dir, "none"): "missing", big: "too-large", file + "\x00": "missing"} {
		_, err := ReadFile(path)
		if r, is := err.(*Refusal); !is || r.Word != word {
			t.Errorf("%q: %v, want %s", path, err, word)
		}
	}
	if _, err := ReadFile(file); err != nil {
		t.Error(err)
	}
}

// FuzzRead: no bytes make the reader or the judge fail; what is taken is of the
// schema, and a report of it has a level and words in every finding.
func FuzzRead(f *testing.F) {
	names, err := filepath.Glob("testdata/records/*.json")
	if err != nil || len(names) == 0 {
		f.Fatal(names, err)
	}
	for _, name := range names {
		b, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		// A long seed keeps the fuzzer at making it shorter.
		if len(b) < 5000 {
			f.Add(b)
		}
	}
	b := bench(f)
	s := schema(f, Schema)
	report := schema(f, ReportSchema)
	f.Fuzz(func(t *testing.T, data []byte) {
		if len(data) > 1<<17 {
			return
		}
		rec, err := Read(bytes.NewReader(data))
		if err != nil {
			if r, is := err.(*Refusal); !is || r.Word == "" || r.Text == "" {
				t.Fatalf("%v", err)
			}
			return
		}
		value, err := jsonschema.UnmarshalJSON(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		if err := s.Validate(value); err != nil {
			t.Fatal(err)
		}
		batch := Batch{Report: "benchproof record report", Version: 1, Records: []*Report{b.Judge("a.json", rec)}, Refused: []Refused{}}
		for _, x := range batch.Records[0].Findings {
			if x.Level == "" || x.Text == "" {
				t.Fatalf("%+v", x)
			}
		}
		var out bytes.Buffer
		if err := batch.WriteText(&out); err != nil {
			t.Fatal(err)
		}
		if strings.ContainsRune(out.String(), 0x1b) {
			t.Fatal("an escape reaches the terminal")
		}
		out.Reset()
		if err := batch.WriteJSON(&out); err != nil {
			t.Fatal(err)
		}
		value, err = jsonschema.UnmarshalJSON(bytes.NewReader(out.Bytes()))
		if err != nil {
			t.Fatal(err)
		}
		if err := report.Validate(value); err != nil {
			t.Fatal(err)
		}
	})
}
