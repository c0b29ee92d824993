package pdf

import (
	"fmt"
	"sync"
	"sync/atomic"

	"github.com/go-fonts/dejavu/dejavusanscondensed"
	"github.com/go-fonts/dejavu/dejavusanscondensedbold"
	"github.com/go-fonts/dejavu/dejavusanscondensedoblique"
	"github.com/go-fonts/dejavu/dejavusansmono"
	"github.com/go-fonts/liberation/liberationmonoregular"
	"github.com/go-fonts/liberation/liberationsansbold"
	"github.com/go-fonts/liberation/liberationsansitalic"
	"github.com/go-fonts/liberation/liberationsansregular"
	"golang.org/x/image/font"
	"golang.org/x/image/font/sfnt"
	"golang.org/x/image/math/fixed"
)

// A style is what a text asks for; a face is a font that shows it. Each style
// has a first face and one to fall back on for characters the first lacks.
type style uint8

const (
	regular style = iota
	bold
	italic
	mono
	styles
)

type faceID uint8

// fallback turns the first face of a style into the second.
const (
	fallback = faceID(styles)
	faces    = 2 * int(styles)
)

// face is a font with its advances. Tables are made for a block of 256
// characters when one of them is first asked for; what is made never changes.
type face struct {
	name  string // PostScript name
	data  []byte
	once  sync.Once
	font  *sfnt.Font
	err   error
	em    fixed.Int26_6
	upem  int
	table [0x1100]atomic.Pointer[advances]
}

// advances are the glyph number and the width in thousandths of the type size
// of 256 characters in a row. Glyph 0 means that the font lacks it. Widths are
// cut to whole thousandths as the file's width array holds them.
type advances struct {
	glyph [256]uint16
	width [256]uint16
}

// The fonts: a narrow-enough sans with figures of one width, and a condensed
// one with every sign for what the first lacks. Both may be embedded (SIL Open
// Font License 1.1; Bitstream Vera licence).
var fonts = [faces]*face{
	{name: "LiberationSans", data: liberationsansregular.TTF},
	{name: "LiberationSans-Bold", data: liberationsansbold.TTF},
	{name: "LiberationSans-Italic", data: liberationsansitalic.TTF},
	{name: "LiberationMono", data: liberationmonoregular.TTF},
	{name: "DejaVuSansCondensed", data: dejavusanscondensed.TTF},
	{name: "DejaVuSansCondensed-Bold", data: dejavusanscondensedbold.TTF},
	{name: "DejaVuSansCondensed-Oblique", data: dejavusanscondensedoblique.TTF},
	{name: "DejaVuSansMono", data: dejavusansmono.TTF},
}

func (f *face) parse() {
	f.once.Do(func() {
		f.font, f.err = sfnt.Parse(f.data)
		if f.err == nil {
			f.upem = int(f.font.UnitsPerEm())
			f.em = fixed.I(f.upem)
		}
	})
	if f.err != nil {
		// The fonts are compiled in: one that does not parse is a broken build.
		panic(fmt.Sprintf("pdf: font %s: %v", f.name, f.err))
	}
}

// lookup returns the glyph of r and its width in thousandths of the type size.
func (f *face) lookup(r rune) (glyph, width uint16) {
	if r < 0 || r > 0x10FFFF {
		return 0, 0
	}
	t := f.table[r>>8].Load()
	if t == nil {
		t = f.build(r >> 8)
	}
	return t.glyph[r&0xFF], t.width[r&0xFF]
}

func (f *face) build(block rune) *advances {
	f.parse()
	var buf sfnt.Buffer
	t := &advances{}
	for i := range rune(256) {
		g, err := f.font.GlyphIndex(&buf, block<<8|i)
		if err != nil || g == 0 {
			continue
		}
		a, err := f.font.GlyphAdvance(&buf, g, f.em, font.HintingNone)
		if err != nil {
			continue
		}
		t.glyph[i] = uint16(g)
		t.width[i] = uint16(a.Round() * 1000 / f.upem)
	}
	// Two that build the same block at once store equal tables.
	f.table[block].Store(t)
	return t
}

// replacement is shown for a character that no font has; both styles of the
// second font have it.
const replacement = '\uFFFD'

// choose returns the face that shows r in a style, and r's width. A character
// that neither face has, or whose script would need shaping, comes back as the
// replacement character with ok false.
func choose(s style, r rune) (f faceID, shown rune, width uint16, ok bool) {
	f = faceID(s)
	if g, w := fonts[f].lookup(r); g != 0 {
		if !needsShaping(r) {
			return f, r, w, true
		}
	} else if g, w := fonts[f+fallback].lookup(r); g != 0 && !needsShaping(r) {
		return f + fallback, r, w, true
	}
	if invisible(r) {
		return f, 0, 0, true
	}
	f += fallback
	_, w := fonts[f].lookup(replacement)
	return f, replacement, w, false
}

// needsShaping is true for scripts that are wrong when their letters are set
// one after the other from left to right: Hebrew, Arabic and their kin, and the
// scripts of India and South-East Asia.
func needsShaping(r rune) bool {
	switch {
	case r < 0x0590:
		return false
	case r <= 0x08FF, 0xFB1D <= r && r <= 0xFDFF, 0xFE70 <= r && r <= 0xFEFE:
		return true
	case 0x0900 <= r && r <= 0x109F, 0x1780 <= r && r <= 0x18AF:
		return true
	}
	return false
}

// invisible characters show nothing and need no glyph: controls, joiners,
// marks of direction, variation selectors.
func invisible(r rune) bool {
	return r < 0x20 || 0x7F <= r && r < 0xA0 || r == 0xAD || 0x200B <= r && r <= 0x200F || 0x202A <= r && r <= 0x202E ||
		0x2060 <= r && r <= 0x206F || 0xFE00 <= r && r <= 0xFE0F || r == 0xFEFF
}

// textWidth returns the width of a text in points. It is for the fixed words of
// a sheet; texts of a document go through lines.
func textWidth(s style, size float64, text string) float64 {
	sum := 0
	for _, r := range text {
		_, _, w, _ := choose(s, r)
		sum += int(w)
	}
	return float64(sum) * size / 1000
}
