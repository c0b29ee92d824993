package figure

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"math"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"benchproof/render/look"
)

func svg(body string) []byte {
	return []byte(`<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 100 50">` + body + `</svg>`)
}

func one(t *testing.T, body string) Shape {
	t.Helper()
	p, err := Decode("svg", svg(body))
	if err != nil {
		t.Fatal(err)
	}
	if len(p.Shapes) != 1 {
		t.Fatalf("%d shapes from %s", len(p.Shapes), body)
	}
	return p.Shapes[0]
}

// points prints a path to a tenth.
func points(path []look.Segment) string {
	var b strings.Builder
	for _, s := range path {
		n := map[look.Op]int{look.Move: 1, look.Line: 1, look.Cubic: 3}[s.Op]
		b.WriteByte("MLCZ"[s.Op])
		for _, p := range s.P[:n] {
			fmt.Fprintf(&b, " %g,%g", math.Round(p.X*10)/10+0, math.Round(p.Y*10)/10+0)
		}
		b.WriteByte(' ')
	}
	return strings.TrimSpace(b.String())
}

func TestPaths(t *testing.T) {
	// Path data and what SVG 1.1, 8.3 says it draws, in absolute lines and cubics.
	cases := map[string]string{
		"M1 2 3 4-5.5.5z":          "M 1,2 L 3,4 L -5.5,0.5 Z",
		"m1 2 3 4 1 1":             "M 1,2 L 4,6 L 5,7",
		"M10 10h5v5H0V0z l1 1":     "M 10,10 L 15,10 L 15,15 L 0,15 L 0,0 Z L 11,11",
		"M0 0C1 1 2 1 3 0S5-1 6 0": "M 0,0 C 1,1 2,1 3,0 C 4,-1 5,-1 6,0",
		"M0 0q3 3 6 0t6 0":         "M 0,0 C 2,2 4,2 6,0 C 8,-2 10,-2 12,0",
		"M0 0A5 5 0 0 1 10 0":      "M 0,0 C 0,-2.8 2.2,-5 5,-5 C 7.8,-5 10,-2.8 10,0",
		"M0 0a5 5 0 0010 0":        "M 0,0 C 0,2.8 2.2,5 5,5 C 7.8,5 10,2.8 10,0",
		"M0 0A1 1 0 0 1 10 0":      "M 0,0 C 0,-2.8 2.2,-5 5,-5 C 7.8,-5 10,-2.8 10,0", // radii too small are scaled up (F.6.6)
		"M0 0A0 5 0 0 1 10 0":      "M 0,0 L 10,0",
		"M 1e1,2E-1 L +3 -.5":      "M 10,0.2 L 3,-0.5",
	}
	for d, want := range cases {
		if got := points(one(t, `<path d="`+d+`"/>`).Path); got != want {
			t.Errorf("%s draws %s, not %s", d, got, want)
		}
	}
	for _, d := range []string{"L1 1", "M1", "M0 0 L", "M0 0 X 1 1", "M0 0 A1 1 0 2 1 3 3", "1 1", "M0 0z 5 5"} {
		if _, err := Decode("svg", svg(`<path d="`+d+`"/>`)); err == nil {
			t.Errorf("%q is taken for path data", d)
		}
	}
}

func TestShapes(t *testing.T) {
	cases := map[string]string{
		`<rect x="1" y="2" width="3" height="4"/>`:                                                      "M 1,2 L 4,2 L 4,6 L 1,6 Z",
		`<line x1="1" y1="2" x2="3" y2="4" stroke="red"/>`:                                              "M 1,2 L 3,4",
		`<polyline points="0,0 1,1 2,0"/>`:                                                              "M 0,0 L 1,1 L 2,0",
		`<polygon points="0 0,1 1,2 0"/>`:                                                               "M 0,0 L 1,1 L 2,0 Z",
		`<g transform="translate(10)"><rect width="1" height="1" transform="scale(2)"/></g>`:            "M 10,0 L 12,0 L 12,2 L 10,2 Z",
		`<rect width="2" height="1" transform="rotate(90)"/>`:                                           "M 0,0 L 0,2 L -1,2 L -1,0 Z",
		`<rect width="2" height="1" transform="rotate(90 1 1)"/>`:                                       "M 2,0 L 2,2 L 1,2 L 1,0 Z",
		`<rect width="1" height="1" transform="matrix(1 0 0 1 5 6)"/>`:                                  "M 5,6 L 6,6 L 6,7 L 5,7 Z",
		`<rect width="1" height="1" transform="translate(5,6) scale(2 3)"/>`:                            "M 5,6 L 7,6 L 7,9 L 5,9 Z",
		`<defs><rect id="a" width="1" height="1"/></defs><use href="#a" x="5" y="6"/>`:                  "M 5,6 L 6,6 L 6,7 L 5,7 Z",
		`<use xlink:href="#a" x="5"/><defs><symbol id="a"><rect width="1" height="1"/></symbol></defs>`: "M 5,0 L 6,0 L 6,1 L 5,1 Z",
		`<circle cx="5" cy="5" r="2"/>`:                                                                 "M 7,5 C 7,6.1 6.1,7 5,7 C 3.9,7 3,6.1 3,5 C 3,3.9 3.9,3 5,3 C 6.1,3 7,3.9 7,5 Z",
		`<rect width="4" height="4" rx="9"/>`:                                                           "M 2,0 L 2,0 C 3.1,0 4,0.9 4,2 L 4,2 C 4,3.1 3.1,4 2,4 L 2,4 C 0.9,4 0,3.1 0,2 L 0,2 C 0,0.9 0.9,0 2,0 Z",
	}
	for body, want := range cases {
		if got := points(one(t, body).Path); got != want {
			t.Errorf("%s draws %s, not %s", body, got, want)
		}
	}
	// A line under a transform keeps its proportion.
	if s := one(t, `<g transform="scale(3)"><line x2="1" stroke="#000" stroke-width="2" stroke-dasharray="1 2"/></g>`); math.Abs(s.Width-6) > 1e-9 || s.Dash[1] != 6 {
		t.Errorf("width %g, dash %v", s.Width, s.Dash)
	}
}

func TestColours(t *testing.T) {
	red, grey := look.RGB{R: 255}, look.RGB{R: 128, G: 128, B: 128}
	for body, want := range map[string]look.RGB{
		`<rect width="1" height="1" fill="#f00"/>`:                                                              red,
		`<rect width="1" height="1" fill="RED"/>`:                                                               red,
		`<rect width="1" height="1" fill="rgb(100%, 0%, 0%)"/>`:                                                 red,
		`<rect width="1" height="1" style="fill:rgb(255,0,0)"/>`:                                                red,
		`<g fill="red"><rect width="1" height="1"/></g>`:                                                        red,
		`<g color="red"><rect width="1" height="1" fill="currentColor"/></g>`:                                   red,
		`<style>/* x */ .a, .b { fill: red } rect { fill: blue }</style><rect class="b" width="1" height="1"/>`: red,
		`<style>#q{fill:#ff0000}</style><rect id="q" fill="blue" width="1" height="1"/>`:                        red,
		`<rect width="1" height="1" fill-opacity="0.498"/>`:                                                     grey,
		`<g opacity="0.498"><rect width="1" height="1"/></g>`:                                                   grey,
		`<rect width="1" height="1"/>`:                                                                          {},
	} {
		s := one(t, body)
		if s.Fill == nil || *s.Fill != want {
			t.Errorf("%s is %v, not %v", body, s.Fill, want)
		}
	}
	for _, body := range []string{`<rect width="1" height="1" fill="none"/>`, `<rect width="1" height="1" display="none"/>`, `<rect width="1" height="0"/>`, `<g visibility="hidden"><rect width="1" height="1"/></g>`, `<rect width="1" height="1" fill-opacity="0"/>`} {
		if p, err := Decode("svg", svg(body)); err != nil || len(p.Shapes) != 0 {
			t.Errorf("%s is drawn (%v)", body, err)
		}
	}
}

func TestTexts(t *testing.T) {
	p, err := Decode("svg", svg(`<g transform="translate(10,0) scale(2)"><text x="5" y="6" font-size="4" font-weight="bold" text-anchor="middle" fill="#00f"> Ø 25
		<tspan x="5" dy="5">k6</tspan></text></g><text transform="rotate(90)">up</text>`))
	if err != nil {
		t.Fatal(err)
	}
	want := []Text{
		{X: 20, Y: 12, Size: 8, Anchor: Middle, Bold: true, Fill: look.RGB{B: 255}, Text: "Ø 25"},
		{X: 20, Y: 22, Size: 8, Anchor: Middle, Bold: true, Fill: look.RGB{B: 255}, Text: "k6"},
		{Size: 16, Angle: 90, Text: "up"},
	}
	if len(p.Texts) != len(want) {
		t.Fatalf("texts %+v", p.Texts)
	}
	for i := range want {
		if p.Texts[i] != want[i] {
			t.Errorf("text %+v, want %+v", p.Texts[i], want[i])
		}
	}
}

func TestSize(t *testing.T) {
	for head, want := range map[string][2]float64{
		`viewBox="0 0 100 50"`:                            {100, 50},
		`viewBox="0 0 100 50" width="200"`:                {200, 100},
		`viewBox="0 0 100 50" width="100%" height="100%"`: {100, 50},
		`width="25.4mm" height="1in"`:                     {96, 96},
		`viewBox="0 0 100 50" width="72pt" height="96px"`: {96, 96},
	} {
		p, err := Decode("svg", []byte(`<svg xmlns="http://www.w3.org/2000/svg" `+head+`><rect width="1" height="1"/></svg>`))
		if err != nil || math.Abs(p.Width-want[0]) > 1e-9 || math.Abs(p.Height-want[1]) > 1e-9 {
			t.Errorf("%s: %+v, %v", head, p, err)
		}
	}
	for _, head := range []string{``, `viewBox="0 0 0 0"`, `width="-1" height="5"`, `viewBox="0 0 1e9 1"`, `viewBox="a b c d"`} {
		if _, err := Decode("svg", []byte(`<svg xmlns="http://www.w3.org/2000/svg" `+head+`/>`)); err == nil {
			t.Errorf("%s has a size", head)
		}
	}
}

// What is not drawn is said, and nothing outside the file is read.
func TestNotes(t *testing.T) {
	for body, want := range map[string]string{
		`<image href="file:///etc/passwd"/>`:                          "image",
		`<use href="other.svg#a"/>`:                                   "outside",
		`<foreignObject/>`:                                            "foreignObject",
		`<rect width="1" height="1" clip-path="url(#c)"/>`:            "clip-path",
		`<path d="M0 0L1 1" marker-end="url(#arrow)" stroke="#000"/>`: "marker-end",
		`<rect width="1" height="1" fill="url(#none)"/>`:              "pattern",
		`<rect width="1" height="1" fill="puce"/>`:                    "puce",
		`<linearGradient id="g"><stop stop-color="#000"/><stop stop-color="#fff"/></linearGradient><rect width="1" height="1" fill="url(#g)"/>`: "gradient",
	} {
		p, err := Decode("svg", svg(body))
		if err != nil || len(p.Notes) != 1 || !strings.Contains(p.Notes[0], want) {
			t.Errorf("%s: %v, %v", body, p, err)
		}
	}
	p, err := Decode("svg", svg(`<script>alert(1)</script><title>x</title><rect width="1" height="1" onclick="alert(1)"/>`))
	if err != nil || len(p.Notes) != 0 || len(p.Shapes) != 1 {
		t.Errorf("script: %+v, %v", p, err)
	}
}

func TestLimits(t *testing.T) {
	bomb := `<g id="a0"><rect width="1" height="1"/></g>`
	for i := 1; i < 12; i++ {
		bomb += fmt.Sprintf(`<g id="a%d">`, i) + strings.Repeat(fmt.Sprintf(`<use href="#a%d"/>`, i-1), 10) + `</g>`
	}
	for name, data := range map[string][]byte{
		"a use within itself": svg(`<g id="a"><use href="#a"/></g>`),
		"a use of a use":      svg(bomb),
		"too deep":            svg(strings.Repeat("<g>", 100) + strings.Repeat("</g>", 100)),
		"too many elements":   svg(strings.Repeat("<g/>", maxElements+1)),
		"too many segments":   svg(`<path d="M0 0` + strings.Repeat("L1 1", maxSegments+2) + `"/>`),
		"too long":            bytes.Repeat([]byte(" "), MaxBytes+1),
		"not closed":          []byte("<svg><g>"),
		"an entity":           []byte(`<!DOCTYPE svg [<!ENTITY x "y">]><svg viewBox="0 0 1 1">&x;</svg>`),
		"other encoding":      []byte(`<?xml version="1.0" encoding="UTF-16"?><svg viewBox="0 0 1 1"/>`),
		"no svg":              []byte("<html/>"),
		"empty":               nil,
		"a far coordinate":    svg(`<path d="M0 0L1e300 1"/>`),
		"a transform":         svg(`<rect width="1" height="1" transform="spin(4)"/>`),
		"a use of nothing":    svg(`<use href="#b"/>`),
	} {
		if _, err := Decode("svg", data); err == nil {
			t.Errorf("%s is no error", name)
		}
	}
	if _, err := Decode("gif", []byte("GIF89a")); err == nil {
		t.Error("an unknown format is no error")
	}
}

func TestPixels(t *testing.T) {
	// A transparent, an interlaced-free 16-bit and a paletted PNG all come out as
	// 8 bits on white.
	images := map[string]image.Image{}
	n := image.NewNRGBA64(image.Rect(0, 0, 3, 2))
	n.Set(0, 0, color.NRGBA64{0xFFFF, 0, 0, 0x8000})
	images["16 bits with alpha"] = n
	pal := image.NewPaletted(image.Rect(0, 0, 3, 2), color.Palette{color.Transparent, color.NRGBA{255, 0, 0, 128}})
	pal.SetColorIndex(0, 0, 1)
	images["palette"] = pal
	for name, im := range images {
		var b bytes.Buffer
		if err := png.Encode(&b, im); err != nil {
			t.Fatal(err)
		}
		p, err := Decode("png", b.Bytes())
		if err != nil {
			t.Fatal(err)
		}
		out, err := png.Decode(bytes.NewReader(p.Pixels))
		if err != nil {
			t.Fatal(err)
		}
		if _, _, _, a := out.At(2, 1).RGBA(); a != 0xFFFF {
			t.Errorf("%s: still transparent", name)
		}
		if r, g, _, _ := out.At(0, 0).RGBA(); r>>8 != 255 || g>>8 < 125 || g>>8 > 130 {
			t.Errorf("%s: half red on white is %v", name, out.At(0, 0))
		}
		if r, g, b, _ := out.At(2, 1).RGBA(); r != 0xFFFF || g != 0xFFFF || b != 0xFFFF {
			t.Errorf("%s: nothing on white is %v", name, out.At(2, 1))
		}
	}
	var b bytes.Buffer
	if err := png.Encode(&b, image.NewGray(image.Rect(0, 0, 5000, 10))); err != nil {
		t.Fatal(err)
	}
	p, err := Decode("png", b.Bytes())
	if err != nil || p.Width != 5000 || p.Height != 10 {
		t.Fatalf("%+v, %v", p, err)
	}
	if c, err := png.DecodeConfig(bytes.NewReader(p.Pixels)); err != nil || c.Width != maxSide || c.ColorModel != color.GrayModel {
		t.Errorf("a picture of 5000 pixels comes out as %+v, %v", c, err)
	}
	b.Reset()
	if err := jpeg.Encode(&b, image.NewRGBA(image.Rect(0, 0, 8, 8)), nil); err != nil {
		t.Fatal(err)
	}
	whole := b.Bytes()
	if p, err := Decode("jpeg", whole); err != nil || !bytes.Equal(p.Pixels, whole) {
		t.Errorf("a JPEG does not pass as it is: %v", err)
	}
	if _, err := Decode("jpeg", whole[:len(whole)/2]); err == nil {
		t.Error("half a JPEG is no error")
	}
	b.Reset()
	if err := gif.Encode(&b, pal, nil); err != nil {
		t.Fatal(err)
	}
	if _, err := Decode("png", b.Bytes()); err == nil {
		t.Error("a GIF passes for a PNG")
	}
	// A header that promises more pixels than may be is refused unread.
	huge := []byte("\x89PNG\r\n\x1a\n\x00\x00\x00\rIHDR\x7f\xff\xff\xff\x7f\xff\xff\xff\x08\x02\x00\x00\x00")
	if _, err := Decode("png", huge); err == nil {
		t.Error("a picture of four milliard milliard pixels is no error")
	}
}

func FuzzSVG(f *testing.F) {
	f.Add(string(svg(`<rect width="1" height="1"/>`)))
	f.Add(string(svg(`<g id="a" transform="rotate(3 1 1)"><use href="#a"/><text x="1">x<tspan dy="1em">y</tspan></text></g>`)))
	f.Add(string(svg(`<style>.a{fill:red}</style><path class="a" d="M0 0a5 5 0 01 3 3q1 1 2 2t1 1s1 1 2 2z" stroke-dasharray="1 2"/>`)))
	f.Fuzz(func(t *testing.T, s string) {
		p, err := Decode("svg", []byte(s))
		if err != nil {
			return
		}
		if !(p.Width > 0) || !(p.Height > 0) {
			t.Errorf("size %g × %g", p.Width, p.Height)
		}
		for _, sh := range p.Shapes {
			for _, seg := range sh.Path {
				for _, q := range seg.P {
					if bad(q) {
						t.Errorf("a coordinate %v", q)
					}
				}
			}
		}
	})
}

// The figures of the demonstration library are drawn whole.
func TestFiguresOfTheDemonstrationLibrary(t *testing.T) {
	files, err := filepath.Glob("../../procedures/figures/*")
	if err != nil || len(files) == 0 {
		t.Fatalf("no figures: %v", err)
	}
	for _, f := range files {
		data, err := os.ReadFile(f)
		if err != nil {
			t.Fatal(err)
		}
		p, err := Decode(strings.TrimPrefix(filepath.Ext(f), "."), data)
		if err != nil {
			t.Errorf("%s: %v", f, err)
			continue
		}
		if len(p.Notes) > 0 || p.Pixels == nil && len(p.Shapes) == 0 {
			t.Errorf("%s: %d shapes, notes %v", f, len(p.Shapes), p.Notes)
		}
	}
}
