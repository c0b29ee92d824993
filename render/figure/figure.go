// Package figure decodes the figures of a library for renderers that paint
// them themselves.
//
// Input is the bytes of a PNG, JPEG or SVG file. Output is a [Picture]: vector
// shapes and texts for SVG, and for the others a plain 8-bit PNG or a JPEG that
// any PDF reader takes. Nothing outside the bytes is ever read: an SVG that
// refers to another file is drawn without it, and the picture says so. Size,
// depth and number of elements are bounded, so a figure from a stranger can
// neither hang nor exhaust a build.
package figure

import (
	"bytes"
	"fmt"
	"image"
	"image/color"
	"image/draw"
	"image/jpeg"
	"image/png"
	"io"

	xdraw "golang.org/x/image/draw"

	"benchproof/render/look"
)

// Limits of a figure.
const (
	MaxBytes  = 16 << 20 // of the file
	MaxPixels = 50_000_000
	// A picture on paper is never wider than some 180 mm; more pixels than 300
	// an inch over that are thrown away.
	maxSide = 2200
)

// A Picture is a decoded figure. Width and Height are pixels, or user units of
// an SVG; positions in it are in the same units, y downwards.
type Picture struct {
	Width, Height float64
	// Shapes are painted in order, Texts over them.
	Shapes []Shape
	Texts  []Text
	// Pixels is the file to embed where the picture is not drawn: PNG (8 bits,
	// no transparency, not interlaced) or JPEG.
	Pixels []byte
	// Notes say what of the figure is not shown, in the order met.
	Notes []string
}

// A Shape is a path with its colours; a nil colour is not painted.
type Shape struct {
	Path         []look.Segment
	Fill, Stroke *look.RGB
	EvenOdd      bool
	Width        float64
	Cap, Join    int // as SVG and PDF order them: butt, round, square; miter, round, bevel
	Miter        float64
	Dash         []float64
	DashFrom     float64
}

// Anchor says which point of a text its position is.
type Anchor uint8

// The anchors.
const (
	Start Anchor = iota
	Middle
	End
)

// A Text is one line of text with its base line at Y, turned by Angle degrees
// clockwise about its position.
type Text struct {
	X, Y, Size   float64
	Angle        float64
	Anchor       Anchor
	Bold, Italic bool
	Fill         look.RGB
	Text         string
}

// Decode reads a figure. It errs where the bytes are not what the format says
// or go beyond a limit.
func Decode(format string, data []byte) (*Picture, error) {
	if len(data) > MaxBytes {
		return nil, fmt.Errorf("the file has %d bytes, more than %d", len(data), MaxBytes)
	}
	switch format {
	case "svg":
		return decodeSVG(data)
	case "png":
		return decodePixels(data, png.DecodeConfig, png.Decode, false)
	case "jpeg", "jpg":
		return decodePixels(data, jpeg.DecodeConfig, jpeg.Decode, true)
	}
	return nil, fmt.Errorf("unknown format %q", format)
}

func decodePixels(data []byte, config func(io.Reader) (image.Config, error), decode func(io.Reader) (image.Image, error), isJPEG bool) (*Picture, error) {
	c, err := config(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	if c.Width <= 0 || c.Height <= 0 || c.Width > MaxPixels/c.Height {
		return nil, fmt.Errorf("%d × %d pixels, more than %d", c.Width, c.Height, MaxPixels)
	}
	p := &Picture{Width: float64(c.Width), Height: float64(c.Height)}
	small := c.Width <= maxSide && c.Height <= maxSide
	if isJPEG && small && (c.ColorModel == color.YCbCrModel || c.ColorModel == color.GrayModel) {
		// The whole file is read once, to be sure that it can be.
		if _, err := decode(bytes.NewReader(data)); err != nil {
			return nil, err
		}
		p.Pixels = data
		return p, nil
	}
	im, err := decode(bytes.NewReader(data))
	if err != nil {
		return nil, err
	}
	w, h := c.Width, c.Height
	if !small {
		k := maxSide / float64(max(w, h))
		w, h = max(1, int(float64(w)*k)), max(1, int(float64(h)*k))
	}
	p.Pixels, err = flat(im, w, h)
	return p, err
}

// flat lays an image on white paper at a size and encodes it: grey where it
// has no colour.
func flat(im image.Image, w, h int) ([]byte, error) {
	dst := image.NewRGBA(image.Rect(0, 0, w, h))
	draw.Draw(dst, dst.Bounds(), image.White, image.Point{}, draw.Src)
	if b := im.Bounds(); b.Dx() == w && b.Dy() == h {
		draw.Draw(dst, dst.Bounds(), im, b.Min, draw.Over)
	} else {
		xdraw.CatmullRom.Scale(dst, dst.Bounds(), im, b, xdraw.Over, nil)
	}
	var out image.Image = dst
	if grey(dst) {
		g := image.NewGray(dst.Bounds())
		draw.Draw(g, g.Bounds(), dst, image.Point{}, draw.Src)
		out = g
	}
	var buf bytes.Buffer
	if err := png.Encode(&buf, out); err != nil {
		return nil, err
	}
	return buf.Bytes(), nil
}

func grey(im *image.RGBA) bool {
	for i := 0; i+3 < len(im.Pix); i += 4 {
		if im.Pix[i] != im.Pix[i+1] || im.Pix[i] != im.Pix[i+2] {
			return false
		}
	}
	return true
}
