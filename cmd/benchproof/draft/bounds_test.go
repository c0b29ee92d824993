package draft

import (
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
	"unicode/utf16"

	"benchproof/dsl/format"
	"benchproof/dsl/syntax"
)

func TestWhatIsNoTalkIsRefused(t *testing.T) {
	cases := []struct{ name, data, want string }{
		{"a.vtt", "", "it is empty"},
		{"a.vtt", " \n\t\n", "it is empty"},
		{"a.txt", "\x00\x01\x02", "it is no text: line 1 holds a control character"},
		{"a.png", "\x89PNG\r\n\x1a\n", "it is no text in UTF-8; save it as UTF-8"},
		{"a.txt", "caf\xe9", "it is no text in UTF-8; save it as UTF-8"},
		{"a.txt", "\xff\xfea", "it breaks off in the middle of a character (UTF-16)"},
		{"a.txt", strings.Repeat("x", MaxSize+1), "it has 2.0 MB, more than the 2 MB a draft is made from; split it"},
		{"a.vtt", "WEBVTT\n\n00:01.000 --> 00:99.000\nTake it off.\n", "line 3: 00:99.000 is no time; expected one like 00:01:36.000"},
		{"a.vtt", "WEBVTT\n\n00:05.000 --> 00:01.000\nTake it off.\n", "line 3: the cue ends (00:01.000) before it begins (00:05.000)"},
		{"a.srt", "1\n00:00:01,000 -->\nTake it off.\n", "line 2: expected two times with --> between them, as in 00:01:36.000 --> 00:01:40.000"},
		{"a.srt", "1\nTake it off.\n", "there is no cue with words in it"},
		{"a.vtt", "WEBVTT\n\nNOTE nothing\n", "there is no cue with words in it"},
		{"a.txt", "0:01 Take it off.\n0:71 Put it on.\n", "line 2: 0:71 is no time; expected one like 1:36 or 01:02:03"},
		{"a.txt", "0:10 Take it off.\n0:05 Put it on.\n", "line 2: the time 0:05 lies before that of the line above"},
		{"a.txt", "0:10 Hello there.\n0:15 This is the shop.\n", "no sentence in it tells what to do; a draft is made from instructions in English"},
		{"a.md", "# Only a title\n", "there is no sentence in it"},
		{"a.md", "```\ncode\n```\n", "there is no sentence in it"},
	}
	for _, c := range cases {
		_, err := Make([]byte(c.data), Options{Name: c.name})
		if err == nil || err.Error() != c.want {
			t.Errorf("%.40q: %v, want %s", c.data, err, c.want)
		}
	}
}

func TestFormsOfTime(t *testing.T) {
	const want = "from 1:36 to 1:40"
	for name, data := range map[string]string{
		"a.vtt":  "WEBVTT\n\n01:36.000 --> 01:40.000\nTake the plug out.\n",
		"b.vtt":  "\ufeffWEBVTT Kind: captions\n\nid-1\n00:01:36.000 --> 00:01:40.000 line:0 position:50%\n<v.loud Ines><c.x>Take</c> the <00:01:37.000>plug out.\n",
		"a.srt":  "1\r\n00:01:36,000 --> 00:01:40,000\r\n<i>Take the plug out.</i>\r\n",
		"a.txt":  "1:36 Take the plug out.\n1:40 Thanks.\n",
		"b.txt":  "[01:36] Take the plug out.\n[01:40] Thanks.\n",
		"c.txt":  "1:36 - 1:40 Take the plug out.\n1:50 - 1:51 Thanks.\n",
		"d.txt":  "00:01:36 Take the plug\nout.\n00:01:40 Thanks.\n",
		"utf.le": utf16le("1:36 Take the plug out.\n1:40 Thanks.\n"),
	} {
		d, err := Make([]byte(data), Options{Name: name})
		if err != nil {
			t.Errorf("%s: %v", name, err)
			continue
		}
		if !strings.Contains(strings.Join(strings.Fields(d.Text), " "), want) || !strings.Contains(d.Text, `step "Take the @plug out."`) {
			t.Errorf("%s: no %q in\n%s", name, want, d.Text)
		}
	}
}

func utf16le(s string) string {
	b := []byte{0xff, 0xfe}
	for _, u := range utf16.Encode([]rune(s)) {
		b = append(b, byte(u), byte(u>>8))
	}
	return string(b)
}

func TestCaptionsThatRoll(t *testing.T) {
	d, err := Make([]byte("WEBVTT\n\n00:01.000 --> 00:03.000\nnow take the\n\n00:03.000 --> 00:05.000\nnow take the\ngasket out\n\n00:05.000 --> 00:07.000\ngasket out\nand wipe the face\n"), Options{Name: "x.vtt"})
	if err != nil {
		t.Fatal(err)
	}
	if d.Steps != 1 || !strings.Contains(d.Text, `step "Take the @gasket out and wipe the face."`) {
		t.Errorf("a line shown twice is read twice:\n%s", d.Text)
	}
}

func TestTextStandsForItself(t *testing.T) {
	// Marks that mean something in a procedure's text are kept as words.
	d, err := Make([]byte("0:01 Set the switch to *AUTO* _now_ \\ `x` [y](z) <b> & a@b \"quoted\" ä ö 水.\n0:05 Wipe it.\n"), Options{Name: "x.txt", Video: "https://larkmoor.example/a?b=\"c\""})
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range checked(t, d.Text) {
		if m.Code == "BP101" || m.Code == "BP201" || m.Code == "BP203" {
			t.Errorf("%s: %s\n%s", m.Code, m.Text, d.Text)
		}
	}
	if !strings.Contains(d.Text, `\\*AUTO\\* \\_now\\_`) || !strings.Contains(d.Text, "水") {
		t.Errorf("the words are changed:\n%s", d.Text)
	}
}

func TestHugeTalksEnd(t *testing.T) {
	for name, data := range map[string]string{
		"words.txt":     "0:01 " + strings.Repeat("take the nut off ", 30_000),
		"sentences.txt": "0:01 " + strings.Repeat("Take the nut off. ", 11_000),
		"numbers.txt":   "0:01 " + strings.Repeat("Take the puller T-0062, P 1234. ", 9_500),
		"parts.txt":     "0:01 " + many("Take the part%d cover off. ", 9_500),
		"digits.txt":    "0:01 Wait " + strings.Repeat("one hundred and ", 30_000),
		"one.txt":       "0:01 Take " + strings.Repeat("x", 1_900_000) + " off.",
		"deep.md":       strings.Repeat("> ", 500_000) + "Take it off.",
		"lists.md":      strings.Repeat("- ", 500_000) + "Take it off.",
		"stars.md":      "Take " + strings.Repeat("*a _b ", 50_000),
		"brackets.md":   "Take " + strings.Repeat("[", 200_000),
		"ranges.txt":    "0:01 " + strings.Repeat("Wait 1-2 min. ", 9_500),
		"ifs.txt":       "0:01 Measure the gap with the gauge. " + strings.Repeat("If it is below 2 mm, if it leaks, wipe it. ", 9_500),
		"warnings.txt":  "0:01 Wipe it. " + strings.Repeat("Never touch the face, it cuts. ", 9_500),
	} {
		start := time.Now()
		d, err := Make([]byte(data), Options{Name: name})
		took := time.Since(start)
		t.Logf("%s: %d bytes in %v, %v", name, len(data), took.Round(time.Millisecond), err)
		if took > 2*time.Minute {
			t.Errorf("%s takes %v", name, took)
		}
		if err == nil && len(d.Text) > syntax.MaxSize {
			t.Errorf("%s: a draft of %d bytes", name, len(d.Text))
		}
	}
}

func many(format string, n int) string {
	var b strings.Builder
	for i := range n {
		b.WriteString(strings.ReplaceAll(format, "%d", strings.Repeat(string(rune('a'+i%26)), 1+i/26%9)+string(rune('a'+i/234%26))+string(rune('a'+i/6084%26))))
	}
	return b.String()
}

func TestEqualTalksMakeEqualDrafts(t *testing.T) {
	golds, _ := filepath.Glob("testdata/*/*.gold")
	for _, g := range golds {
		name, data := talkOf(t, g)
		a, err1 := Make(data, Options{Name: name})
		b, err2 := Make(data, Options{Name: name})
		if err1 != nil || err2 != nil || a.Text != b.Text {
			t.Errorf("%s: two drafts differ (%v, %v)", name, err1, err2)
		}
	}
}

// TestWordsInAnyOrder makes drafts of the talks with their words shaken: what
// is made of nonsense must parse too.
func TestWordsInAnyOrder(t *testing.T) {
	golds, _ := filepath.Glob("testdata/*/*.gold")
	r := rand.New(rand.NewPCG(1, 2))
	for _, g := range golds {
		name, data := talkOf(t, g)
		words := strings.Fields(string(data))
		for range 40 {
			for k := 0; k < len(words)/4; k++ {
				a, b := r.IntN(len(words)), r.IntN(len(words))
				words[a], words[b] = words[b], words[a]
			}
			text := "0:01 " + strings.NewReplacer("-->", "", "0:", "").Replace(strings.Join(words, " "))
			if _, err := Make([]byte(text), Options{Name: "shaken.txt"}); err != nil && strings.Contains(err.Error(), "fault") {
				t.Fatalf("%s: %v", name, err)
			}
		}
	}
}

// FuzzMake holds what always holds: no panic, and a text that parses and is laid
// out canonically.
func FuzzMake(f *testing.F) {
	talks, err := filepath.Glob("testdata/*/*.*")
	if err != nil {
		f.Fatal(err)
	}
	for _, name := range talks {
		if ext := filepath.Ext(name); ext == ".gold" || len(ext) > 4 {
			continue
		}
		data, err := os.ReadFile(name)
		if err != nil {
			f.Fatal(err)
		}
		f.Add(data, filepath.Ext(name))
	}
	f.Add([]byte("1:36 Now take the puller, T-0062, off and tighten it to 5, 10 Nm. If it's over 2 mm, scrap it."), ".txt")
	f.Fuzz(func(t *testing.T, data []byte, ext string) {
		d, err := Make(data, Options{Name: "talk" + ext})
		if err != nil {
			if strings.Contains(err.Error(), "fault of the program") {
				t.Fatal(err)
			}
			if strings.ContainsAny(err.Error(), "\n\r") {
				t.Errorf("an error of several lines: %q", err)
			}
			return
		}
		file, list := syntax.Load([]byte(d.Text), "draft.proc")
		tree := syntax.Parse(file)
		if len(list)+len(tree.Messages) > 0 {
			t.Fatalf("the draft does not parse\n%s", d.Text)
		}
		if format.Source(tree) != d.Text {
			t.Errorf("the draft is not laid out canonically")
		}
	})
}
