package pdf

import (
	"bytes"
	"fmt"
	"image"
	"image/png"
	"os"
	"path/filepath"
	"strings"
	"testing"

	"benchproof/render/rendertest"
)

// shot draws a page with poppler.
func shot(t *testing.T, file []byte, page, dpi int) image.Image {
	t.Helper()
	stem := filepath.Join(t.TempDir(), "shot")
	tool(t, file, "pdftoppm", "-r", fmt.Sprint(dpi), "-f", fmt.Sprint(page), "-l", fmt.Sprint(page), "-singlefile", "-png", "FILE", stem)
	data, err := os.ReadFile(stem + ".png")
	if err != nil {
		t.Fatal(err)
	}
	im, err := png.Decode(bytes.NewReader(data))
	if err != nil {
		t.Fatal(err)
	}
	return im
}

// The square code is read by another program than wrote it.
func TestSquareCodeCanBeRead(t *testing.T) {
	doc := rendertest.Document()
	stem := filepath.Join(t.TempDir(), "code")
	file := render(t, "code", doc, Options{})
	tool(t, file, "pdftoppm", "-r", "150", "-f", "1", "-l", "1", "-singlefile", "-png", "FILE", stem)
	got := strings.TrimSpace(tool(t, file, "zbarimg", "-q", "--nodbus", "--raw", stem+".png"))
	if want := "WI-0114 C 7f3a91c204be"; got != want {
		t.Errorf("the code says %q, not %q", got, want)
	}
}

// Pages look as they did: the mean difference of small areas is compared with
// a tolerance, so that another release of poppler may smooth edges its own way.
func TestPagesLookAsTheyDid(t *testing.T) {
	file := render(t, "pictures", rendertest.Document(), Options{})
	for _, n := range []int{1, 5, 7, 10} {
		name := filepath.Join("testdata", fmt.Sprintf("page-%d.png", n))
		got := shot(t, file, n, 40)
		if *update {
			var b bytes.Buffer
			if err := (&png.Encoder{CompressionLevel: png.BestCompression}).Encode(&b, got); err != nil {
				t.Fatal(err)
			}
			if err := os.WriteFile(name, b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
			t.Errorf("%s is rewritten: look at it", name)
			continue
		}
		data, err := os.ReadFile(name)
		if err != nil {
			t.Fatal(err)
		}
		want, err := png.Decode(bytes.NewReader(data))
		if err != nil {
			t.Fatal(err)
		}
		if worst, where := difference(got, want); worst > 24 {
			t.Errorf("page %d differs from %s by %d of 255 around %v", n, name, worst, where)
		}
	}
}

// difference is the greatest difference of the means of areas of 8 by 8 pixels.
func difference(a, b image.Image) (worst int, where image.Point) {
	if a.Bounds() != b.Bounds() {
		return 255, a.Bounds().Max
	}
	const side = 8
	for y := 0; y < a.Bounds().Dy(); y += side {
		for x := 0; x < a.Bounds().Dx(); x += side {
			var sum [3]int
			for dy := range side {
				for dx := range side {
					r1, g1, b1, _ := a.At(x+dx, y+dy).RGBA()
					r2, g2, b2, _ := b.At(x+dx, y+dy).RGBA()
					sum[0] += int(r1>>8) - int(r2>>8)
					sum[1] += int(g1>>8) - int(g2>>8)
					sum[2] += int(b1>>8) - int(b2>>8)
				}
			}
			for _, s := range sum {
				if d := max(s, -s) / (side * side); d > worst {
					worst, where = d, image.Pt(x, y)
				}
			}
		}
	}
	return worst, where
}

// Without colour every signal word stands out from its ground: a copy in black
// and white loses nothing that the words do not say.
func TestSignalWordsStandOutInBlackAndWhite(t *testing.T) {
	s, err := place(rendertest.Document(), A4.size())
	if err != nil {
		t.Fatal(err)
	}
	grey := func(r, g, b uint8) float64 { return 0.299*float64(r) + 0.587*float64(g) + 0.114*float64(b) }
	seen := 0
	for n, p := range s.pages {
		for i, ground := range p.items {
			if ground.kind != groundItem {
				continue
			}
			for _, it := range p.items[i+1:] {
				if it.kind == textItem && it.x >= ground.x && it.x < ground.x+ground.w && it.y > ground.y && it.y < ground.y+ground.h {
					seen++
					a, b := grey(ground.fill.R, ground.fill.G, ground.fill.B), grey(it.tint.R, it.tint.G, it.tint.B)
					if max(a-b, b-a) < 100 {
						t.Errorf("page %d: %q is hard to read on its ground: %.0f on %.0f", n+1, it.text, b, a)
					}
				}
			}
		}
	}
	if seen < 10 {
		t.Errorf("only %d words on grounds", seen)
	}
}
