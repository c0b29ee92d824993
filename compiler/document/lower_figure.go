package document

import (
	"bytes"
	"encoding/xml"
	"errors"
	"fmt"
	"image"
	_ "image/jpeg" // the formats a figure may have
	_ "image/png"
	"io"
	"strconv"
	"strings"

	"benchproof/compiler/library"
	"benchproof/compiler/quantity"
)

// mostPictures bounds the pictures of a document, in bytes. A page has each as
// often as it is shown.
const mostPictures = 64 << 20

// shown gives a figure for a step; without its picture, and with a message, where
// the pictures of the document become too many.
func (l *lowerer) shown(f *library.Figure) *Figure {
	out := l.figure(f)
	before := l.pictures
	if l.pictures += int64(len(out.Data)); l.pictures <= mostPictures {
		return out
	}
	if before <= mostPictures {
		l.wrong("BP206", f.FileSpan, "with the figure's file “%s” the pictures of %s have more than %d MB, each as often as it is shown", f.File, l.proc.Name, mostPictures>>20).
			Helped("make the pictures smaller, or show them in fewer steps")
	}
	bare := *out
	bare.Data = nil
	return &bare
}

// figure gives the one Figure for a figure, with its image. One that cannot be
// used gets a message and stays without data.
func (l *lowerer) figure(f *library.Figure) *Figure {
	if known, ok := l.figures[f]; ok {
		return known
	}
	out := &Figure{Name: f.Name, Title: f.Title, File: f.File}
	l.figures[f] = out
	l.doc.Figures = append(l.doc.Figures, out)
	for _, m := range f.Marks {
		mark := FigureMark{Number: m.Number, X: perMille(m.X), Y: perMille(m.Y)}
		if m.Is != nil {
			mark.Thing = l.thing(m.Is)
			mark.Label = mark.Thing.Title
		}
		out.Marks = append(out.Marks, mark)
	}
	if l.opts.Images == nil || f.File == "" {
		return out
	}
	data, err := l.opts.Images(f.File)
	if err == nil {
		out.Data = data
		out.Format, out.Width, out.Height, err = measureImage(data)
	}
	if err != nil {
		out.Data = nil
		l.wrong("BP206", f.FileSpan, "the figure's file “%s” cannot be used: %v", f.File, err)
	}
	return out
}

// perMille turns per cent into whole per mille.
func perMille(percent quantity.Number) int {
	n, _ := percent.Mul(quantity.NewInt(10)).Round(0).Int()
	return n
}

// measureImage tells the format and size of an image: pixels, or for SVG the
// user units of its view box.
func measureImage(data []byte) (format string, width, height int, err error) {
	head := bytes.TrimLeft(bytes.TrimPrefix(data, []byte("\xEF\xBB\xBF")), " \t\r\n")
	if len(head) > 0 && head[0] == '<' {
		width, height, err = measureSVG(head)
		return "svg", width, height, err
	}
	c, format, err := image.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return "", 0, 0, errors.New("it is no SVG, PNG or JPEG image")
	}
	if c.Width <= 0 || c.Height <= 0 {
		return "", 0, 0, errors.New("it has no size")
	}
	return format, c.Width, c.Height, nil
}

func measureSVG(data []byte) (width, height int, err error) {
	d := xml.NewDecoder(bytes.NewReader(data))
	for {
		t, err := d.Token()
		if errors.Is(err, io.EOF) {
			return 0, 0, errors.New("it holds no drawing")
		}
		if err != nil {
			return 0, 0, fmt.Errorf("it is no SVG image (%v)", err)
		}
		e, ok := t.(xml.StartElement)
		if !ok {
			continue
		}
		if e.Name.Local != "svg" {
			return 0, 0, errors.New("it is no SVG image")
		}
		return sizeOf(e.Attr)
	}
}

func sizeOf(attributes []xml.Attr) (width, height int, err error) {
	var w, h float64
	for _, a := range attributes {
		switch a.Name.Local {
		case "viewBox":
			box := strings.FieldsFunc(a.Value, func(r rune) bool { return r == ',' || r == ' ' || r == '\t' || r == '\n' })
			if len(box) == 4 {
				x, err1 := strconv.ParseFloat(box[2], 64)
				y, err2 := strconv.ParseFloat(box[3], 64)
				if err1 == nil && err2 == nil {
					return whole(x, y)
				}
			}
		case "width":
			w = units(a.Value)
		case "height":
			h = units(a.Value)
		}
	}
	return whole(w, h)
}

// units reads a length in user units; zero where it is in another unit.
func units(s string) float64 {
	n, err := strconv.ParseFloat(strings.TrimSuffix(strings.TrimSpace(s), "px"), 64)
	if err != nil {
		return 0
	}
	return n
}

func whole(w, h float64) (int, int, error) {
	if !(w >= 1 && h >= 1 && w < 1e6 && h < 1e6) {
		return 0, 0, errors.New("the drawing does not say how large it is")
	}
	return int(w + 0.5), int(h + 0.5), nil
}
