package pdf

import (
	"strings"
	"testing"
	"unicode/utf8"

	"github.com/signintech/gopdf"

	"benchproof/compiler/document"
)

func broken(width float64, pieces ...piece) []string {
	b := breaker{missing: &missingRunes{}}
	var out []string
	for _, l := range b.lines(pieces, 10, width) {
		s := ""
		for _, r := range l.runs {
			s += r.text
		}
		out = append(out, s)
	}
	return out
}

func TestLinesBreakWhereTheyMay(t *testing.T) {
	whole := func(s string) piece { return piece{text: s, whole: true} }
	cases := []struct {
		why    string
		width  float64
		pieces []piece
		want   string // lines by |
	}{
		{"at spaces, which stay at the end of their line", 60, []piece{plain("Open the drain and wait.")}, "Open the |drain and |wait."},
		{"a number and its unit stay together", 66, []piece{plain("The gap must be 25 mm here")}, "The gap must |be 25 mm |here"},
		{"also over pieces", 52, []piece{plain("A gap of about 25 "), strong("mm"), plain(" here")}, "A gap of |about |25 mm |here"},
		{"a value is whole", 60, []piece{plain("between "), whole("31.954 mm"), plain(" and more")}, "between |31.954 mm |and more"},
		{"a mark stays with its value", 64, []piece{plain("at most it is "), whole("0.04 mm"), whole("*"), plain(" here")}, "at most it is |0.04 mm* |here"},
		{"a count and its sign stay together", 50, []piece{plain("take nut × 6 off")}, "take |nut × 6 off"},
		{"no-break spaces hold", 50, []piece{plain("about 3\u00a0h\u00a025\u00a0min")}, "about |3\u00a0h\u00a025\u00a0min"},
		{"line ends in the text are spaces", 500, []piece{plain("one\ntwo\tthree")}, "one two three"},
		{"an empty text is one line", 50, nil, ""},
		{"no hyphen is added", 30, []piece{plain("mmmmmmmm")}, "mmm|mmm|mm"},
		{"a long word goes behind a sign that divides", 60, []piece{plain("abcdefgh/ijklmnopqr")}, "abcdefgh/|ijklmnopqr"},
		{"a mark is not parted from its letter", 19, []piece{plain("mme\u0301mm")}, "mm|e\u0301m|m"},
		{"a whole piece that is too long is cut all the same", 30, []piece{whole("mm mm mm")}, "mm |mm |mm"},
	}
	for _, c := range cases {
		if got := strings.Join(broken(c.width, c.pieces...), "|"); got != c.want {
			t.Errorf("%s: %q, want %q", c.why, got, c.want)
		}
	}
}

// No line is wider than it may be, and nothing is lost, whatever the width.
func FuzzLines(f *testing.F) {
	for _, s := range []string{"Open the drain.", "25 mm × 6", "Ünïcödé 停止 \u0301\u0301", "a/b-c.d_e", "   ", "\x00\xff\xfe", strings.Repeat("x", 300), "é\u200d\ufe0f z"} {
		f.Add(s, 25.0, uint8(0), false)
		f.Add(s, 80.0, uint8(1), true)
	}
	f.Fuzz(func(t *testing.T, s string, width float64, st uint8, whole bool) {
		if !(width >= 25) || width > 1000 || !utf8.ValidString(s) {
			return
		}
		half := len(s) / 2
		for half > 0 && half < len(s) && !utf8.RuneStart(s[half]) {
			half--
		}
		pieces := []piece{{text: s[:half], style: style(st % uint8(styles)), whole: whole}, {text: s[half:], style: style((st + 1) % uint8(styles))}}
		b := breaker{missing: &missingRunes{}}
		var got strings.Builder
		for _, l := range b.lines(pieces, 10, width) {
			letters := 0
			for _, r := range l.runs {
				text := r.text
				if r.actual != "" {
					text = r.actual
				}
				got.WriteString(text)
				letters += utf8.RuneCountInString(strings.TrimSpace(text))
			}
			if l.width > width+0.01 && letters > 1 {
				// One letter with its marks may be wider than the line.
				marks := 0
				for _, r := range l.runs {
					for _, c := range r.text {
						if isMark(c) {
							marks++
						}
					}
				}
				if letters-marks > 1 {
					t.Errorf("a line of %d letters is %.2f wide, not %.2f", letters, l.width, width)
				}
			}
		}
		strip := func(s string) string {
			return strings.Map(func(r rune) rune {
				if isSpace(r) {
					return -1
				}
				return r
			}, s)
		}
		if strip(got.String()) != strip(s) {
			t.Errorf("%q became %q", s, got.String())
		}
	})
}

// Advances and glyph numbers are those of the library that writes the fonts.
func TestAdvancesAreThoseOfTheFile(t *testing.T) {
	for i, f := range fonts {
		var so gopdf.SubsetFontObj
		so.SetTtfFontOption(gopdf.TtfOption{})
		if err := so.SetTTFData(f.data); err != nil {
			t.Fatal(err)
		}
		seen := 0
		for _, block := range [][2]rune{{0x20, 0x52F}, {0x1E00, 0x2BFF}, {0xFB00, 0xFB06}, {0xFFFD, 0xFFFD}, {0x1D400, 0x1D7FF}} {
			for r := block[0]; r <= block[1]; r++ {
				g, w := f.lookup(r)
				if g == 0 {
					continue
				}
				seen++
				want, err := so.CharCodeToGlyphIndex(r)
				if err != nil || uint(g) != want || uint(w) != so.GlyphIndexToPdfWidth(want) {
					t.Fatalf("%s U+%04X: glyph %d width %d, the library has %d and %d (%v)", f.name, r, g, w, want, so.GlyphIndexToPdfWidth(want), err)
				}
			}
		}
		if seen < 500 {
			t.Errorf("%s (%d) has only %d characters", f.name, i, seen)
		}
	}
}

// Figures in a column stand under each other.
func TestFiguresHaveOneWidth(t *testing.T) {
	for _, s := range []style{regular, bold, italic, mono} {
		_, _, w, _ := choose(s, '0')
		for _, r := range "123456789" {
			if _, _, w2, _ := choose(s, r); w2 != w {
				t.Errorf("style %d: %c is %d wide, 0 is %d", s, r, w2, w)
			}
		}
	}
}

// The signs that the language prints are all there, in some face.
func TestSignsOfTheTradeAreThere(t *testing.T) {
	for _, s := range []style{regular, bold} {
		for _, r := range "·×°±≤≥≈µμΩ℃⌀Ø½¼¾²³–—“”„‘’…†*→←↑↓☐☑⚠√∅‰№" {
			if _, _, _, ok := choose(s, r); !ok {
				t.Errorf("style %d: no font has %c", s, r)
			}
		}
	}
}

func TestQuantitiesInTextAreGlued(t *testing.T) {
	g := newGalley(&document.Document{}, A4.size(), 2)
	pieces := g.inline(document.Text{{Kind: document.Plain, Text: "Tighten to "}, {Kind: document.Value, Text: "18 N·m"}, {Kind: document.Plain, Text: ", then wait"}}, evenText)
	for w := 20.0; w < 200; w += 3 {
		for _, l := range broken(w, pieces...) {
			if strings.HasSuffix(strings.TrimSpace(l), "18") && w > 40 {
				t.Errorf("width %g: %q", w, l)
			}
		}
	}
}
