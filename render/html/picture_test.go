package html

import (
	"bytes"
	"flag"
	"image"
	"image/png"
	"os"
	"os/exec"
	"path/filepath"
	"testing"

	"github.com/chromedp/chromedp"

	"benchproof/render/rendertest"
)

var update = flag.Bool("update", false, "rewrite the stored pictures, and fail so that they get looked at")

// Pages look as they did when somebody last looked at them: light, dark, on a
// phone and on paper.
func TestPictures(t *testing.T) {
	work := func(width int64, before ...action) []byte {
		h := hand{openPage(t, rendertest.Document(), append(before, chromedp.EmulateViewport(width, 900))...)}
		h.answers("size", "s32")
		h.six("31.9")
		h.types("runout", "12")
		eval[chromedp.Void](h.tab, `document.activeElement.blur(), document.getElementById("lead").hidden = true`)
		return get(h.tab, chromedp.Screenshot(chromedp.CSS("#stage-3")))
	}
	samePicture(t, "work-light", work(1100))
	samePicture(t, "work-dark", work(1100, dark()))
	samePicture(t, "work-phone", work(390))
	h := newHand(t, rendertest.Document())
	eval[chromedp.Void](h.tab, `document.getElementById("lead").hidden = true`)
	samePicture(t, "front", get(h.tab, chromedp.CaptureScreenshot()))

	pdf := filepath.Join(t.TempDir(), "paper.pdf")
	if err := os.WriteFile(pdf, printed(t, rendertest.Document()), 0o644); err != nil {
		t.Fatal(err)
	}
	for _, page := range []string{"1", "8"} {
		out, err := exec.Command("pdftoppm", "-r", "60", "-png", "-f", page, "-l", page, pdf).Output()
		if err != nil {
			t.Fatal(err)
		}
		samePicture(t, "paper-"+page, out)
	}
}

// samePicture compares with a stored picture. Letters may sit a hair
// elsewhere on another machine: what counts is how much of the picture is
// clearly lighter or darker.
func samePicture(t *testing.T, name string, got []byte) {
	t.Helper()
	file := filepath.Join("testdata", "pictures", name+".png")
	if *update {
		if err := os.MkdirAll(filepath.Dir(file), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(file, got, 0o644); err != nil {
			t.Fatal(err)
		}
		t.Errorf("%s is rewritten: look at it", file)
		return
	}
	stored, err := os.ReadFile(file)
	if err != nil {
		t.Error(err)
		return
	}
	a, err := png.Decode(bytes.NewReader(stored))
	if err != nil {
		t.Fatal(err)
	}
	b, err := png.Decode(bytes.NewReader(got))
	if err != nil {
		t.Fatal(err)
	}
	if part := difference(a, b); part > 0.02 {
		kept := filepath.Join(os.TempDir(), "picture-"+name+".png")
		_ = os.WriteFile(kept, got, 0o644)
		t.Errorf("%s: %.1f %% of the picture differs; the new one is %s", name, part*100, kept)
	}
}

// difference is the part of two pictures that differs by over a quarter of the
// way from black to white, in squares of four pixels.
func difference(a, b image.Image) float64 {
	const square = 4
	if dx, dy := a.Bounds().Dx()-b.Bounds().Dx(), a.Bounds().Dy()-b.Bounds().Dy(); dx < -2 || dx > 2 || dy*50 > a.Bounds().Dy() || -dy*50 > a.Bounds().Dy() {
		return 1
	}
	w, h := min(a.Bounds().Dx(), b.Bounds().Dx())/square, min(a.Bounds().Dy(), b.Bounds().Dy())/square
	level := func(m image.Image, x, y int) int {
		sum := 0
		for i := range square {
			for j := range square {
				r, g, b, _ := m.At(m.Bounds().Min.X+x*square+i, m.Bounds().Min.Y+y*square+j).RGBA()
				sum += int(r+g+b) / 3 >> 8
			}
		}
		return sum / square / square
	}
	n := 0
	for y := range h {
		for x := range w {
			if d := level(a, x, y) - level(b, x, y); d > 64 || d < -64 {
				n++
			}
		}
	}
	return float64(n) / float64(w*h)
}

func TestDifference(t *testing.T) {
	white, dark := image.NewGray(image.Rect(0, 0, 100, 100)), image.NewGray(image.Rect(0, 0, 100, 100))
	for i := range white.Pix {
		white.Pix[i] = 255
	}
	copy(dark.Pix, white.Pix)
	for i := range 1000 { // ten rows
		dark.Pix[i] = 0
	}
	if d := difference(white, white); d != 0 {
		t.Errorf("a picture differs from itself by %g", d)
	}
	if d := difference(white, dark); d < 0.07 || d > 0.13 {
		t.Errorf("a tenth differs by %g", d)
	}
	if d := difference(white, image.NewGray(image.Rect(0, 0, 100, 200))); d != 1 {
		t.Errorf("another size differs by %g", d)
	}
}
