package rules

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"encoding/xml"
	"errors"
	"hash/crc32"
	"image/jpeg"
	"image/png"
	"io"
	"regexp"
	"strings"
	"unicode/utf8"
)

const (
	// What renderers draw (render/figure): a drawing that says more is refused
	// here and not found undrawn on paper. Elements count as often as they are used.
	maxDepthSVG    = 64
	maxElementsSVG = 20_000
	maxUsesSVG     = 1000 // of one another, nested
)

// judgePicture judges the bytes of a picture: SVG, PNG or JPEG, whole, and
// with nothing in it that reaches out of the document.
func judgePicture(data []byte) *fileFault {
	switch {
	case bytes.HasPrefix(data, pngSignature):
		return judgePNG(data)
	case bytes.HasPrefix(data, []byte("\xff\xd8\xff")):
		return judgeJPEG(data)
	}
	for _, f := range otherFormats {
		if bytes.HasPrefix(data, []byte(f.signature)) {
			return fault(helpFormat, "is %s, which documents cannot show", f.name)
		}
	}
	text := bytes.TrimLeft(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf")), " \t\r\n")
	if len(text) > 0 && text[0] == '<' && utf8.Valid(data) {
		return judgeSVG(data)
	}
	if bytes.HasPrefix(text, []byte("<")) {
		return fault("save it as UTF-8", "is not UTF-8 text")
	}
	return fault(helpFormat, "is no picture that documents can show")
}

// otherFormats are files by their first bytes.
var otherFormats = []struct{ signature, name string }{
	{"GIF8", "a GIF"}, {"BM", "a bitmap"}, {"RIFF", "a WebP"}, {"II*\x00", "a TIFF"}, {"MM\x00*", "a TIFF"}, {"%PDF", "a PDF"}, {"\x1f\x8b", "compressed (gzip)"},
	{"PK\x03\x04", "a ZIP archive"}, {"%!PS", "PostScript"}, {"8BPS", "a layered drawing"},
}

var pngSignature = []byte("\x89PNG\r\n\x1a\n")

// judgePNG reads the sizes and every chunk: checksums, the end, and that the
// pixels unpack. It never holds the pixels.
func judgePNG(data []byte) *fileFault {
	const broken = "save it again: the file is cut off or damaged"
	cfg, err := png.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return fault(broken, "is a broken PNG: %v", plainPNG(err))
	}
	if bad := judgePixels(cfg.Width, cfg.Height); bad != nil {
		return bad
	}
	var packed []io.Reader
	rest, ended := data[len(pngSignature):], false
	for len(rest) >= 12 && !ended {
		n := binary.BigEndian.Uint32(rest)
		if uint64(n)+12 > uint64(len(rest)) {
			return fault(broken, "is a PNG that is cut off")
		}
		kind, body := string(rest[4:8]), rest[8:8+n]
		if crc32.ChecksumIEEE(rest[4:8+n]) != binary.BigEndian.Uint32(rest[8+n:]) {
			return fault(broken, "is a damaged PNG: a checksum is wrong")
		}
		switch kind {
		case "IDAT":
			packed = append(packed, bytes.NewReader(body))
		case "IEND":
			ended = true
		}
		rest = rest[12+n:]
	}
	if !ended {
		return fault(broken, "is a PNG that is cut off")
	}
	z, err := zlib.NewReader(io.MultiReader(packed...))
	if err != nil {
		return fault(broken, "is a broken PNG: %v", err)
	}
	defer z.Close()
	// Eight bytes a pixel, and at most one filter byte a line and pass.
	most := int64(cfg.Width)*int64(cfg.Height)*8 + 8*int64(cfg.Height) + 64
	n, err := io.Copy(io.Discard, io.LimitReader(z, most+1))
	switch {
	case err != nil:
		return fault(broken, "is a broken PNG: %v", err)
	case n > most:
		return fault(broken, "is a PNG that unpacks to more than its size")
	}
	return nil
}

func plainPNG(err error) string { return strings.TrimPrefix(err.Error(), "png: ") }

func judgeJPEG(data []byte) *fileFault {
	const broken = "save it again: the file is cut off or damaged"
	cfg, err := jpeg.DecodeConfig(bytes.NewReader(data))
	if err != nil {
		return fault(broken, "is a broken JPEG: %s", strings.TrimPrefix(err.Error(), "invalid JPEG format: "))
	}
	if bad := judgePixels(cfg.Width, cfg.Height); bad != nil {
		return bad
	}
	if _, err := jpeg.Decode(bytes.NewReader(data)); err != nil {
		return fault(broken, "is a broken JPEG: %s", strings.TrimPrefix(err.Error(), "invalid JPEG format: "))
	}
	return nil
}

func judgePixels(width, height int) *fileFault {
	if width <= 0 || height <= 0 {
		return fault("save it again", "is a picture without a size")
	}
	if int64(width)*int64(height) > maxFigurePixels {
		return fault("make it smaller", "has %d × %d pixels; a figure may have %d million", width, height, maxFigurePixels/1_000_000)
	}
	return nil
}

const svgSpace = "http://www.w3.org/2000/svg"

// refused are the elements that run, fetch or embed something.
var refused = map[string]string{
	"script": "a script", "foreignObject": "a foreign object", "iframe": "a page in a frame", "object": "an embedded object", "embed": "an embedded object",
	"audio": "sound", "video": "a film", "handler": "an event handler", "listener": "an event listener", "canvas": "a canvas", "image": "an embedded picture",
	"feImage": "an embedded picture",
}

// outside finds what a style reaches for; #… is in the drawing itself.
// An escape could spell any of it, and no drawing needs one.
var outside = regexp.MustCompile(`(?i)url\s*\(\s*["']?\s*[^#"'\s]|@import|expression\s*\(|javascript:|-moz-binding|\b(?:image-set|image|src)\s*\(`)

func reaches(style string) bool { return outside.MatchString(style) || strings.Contains(style, `\`) }

// judgeSVG reads a drawing as XML within bounds. It refuses what would reach
// out of the document or run in it: the sheet must look the same everywhere.
func judgeSVG(data []byte) *fileFault {
	const self = "save it as a plain drawing, with everything in it"
	d := xml.NewDecoder(bytes.NewReader(bytes.TrimPrefix(data, []byte("\xef\xbb\xbf"))))
	d.CharsetReader = func(charset string, _ io.Reader) (io.Reader, error) {
		return nil, errors.New("it is written in " + charset + ", not in UTF-8")
	}
	depth, elements := 0, 0
	uses := newUses()
	var style strings.Builder // of the style element at hand, comments left out
	inStyle := false
	for {
		tok, err := d.Token()
		if err == io.EOF {
			break
		}
		if err != nil {
			var s *xml.SyntaxError
			if errors.As(err, &s) {
				return fault("save it again as SVG", "is a broken drawing: line %d: %s", s.Line, s.Msg)
			}
			return fault("save it again as SVG", "is a broken drawing: %s", strings.TrimPrefix(err.Error(), "xml: "))
		}
		switch tok := tok.(type) {
		case xml.Directive:
			if word := strings.ToUpper(string(tok)); strings.HasPrefix(word, "DOCTYPE") {
				if strings.Contains(word, "<!ENTITY") || strings.Contains(word, "[") {
					return fault("take the DOCTYPE out", "defines entities")
				}
				return fault("take the DOCTYPE out", "has a DOCTYPE")
			}
			return fault(self, "has a declaration that a drawing has no use for")
		case xml.ProcInst:
			if tok.Target != "xml" {
				return fault(self, "has an instruction for programs: %s", tok.Target)
			}
		case xml.StartElement:
			if depth == 0 && elements > 0 {
				return fault("save it again as SVG", "is a broken drawing: something follows its end")
			}
			if depth++; depth > maxDepthSVG {
				return fault(self, "nests over %d deep", maxDepthSVG)
			}
			if elements++; elements > maxElementsSVG {
				return fault("make the drawing simpler", "has over %d elements", maxElementsSVG)
			}
			if elements == 1 && (tok.Name.Local != "svg" || tok.Name.Space != svgSpace) {
				return fault(helpFormat, "is no SVG: its first element is %s", rootName(tok))
			}
			if what, bad := refused[tok.Name.Local]; bad {
				return fault(self, "holds %s (%s)", what, tok.Name.Local)
			}
			if tok.Name.Local == "style" {
				inStyle = true
				style.Reset()
			}
			if bad := judgeAttributes(tok); bad != nil {
				return bad
			}
			uses.open(tok)
		case xml.EndElement:
			depth--
			uses.close()
			if tok.Name.Local != "style" {
				break
			}
			if inStyle = false; reaches(style.String()) {
				return fault(self, "reaches outside itself in its styles")
			}
		case xml.CharData:
			if inStyle {
				style.Write(tok)
			}
			if depth == 0 && len(bytes.TrimSpace(tok)) > 0 {
				return fault("save it again as SVG", "is a broken drawing: text stands outside of it")
			}
		}
	}
	if elements == 0 {
		return fault(helpFormat, "is no SVG: it holds no drawing")
	}
	return uses.judge()
}

func rootName(t xml.StartElement) string {
	if t.Name.Local == "svg" {
		return "svg without xmlns=" + svgSpace
	}
	return t.Name.Local
}

func judgeAttributes(t xml.StartElement) *fileFault {
	const self = "save it as a plain drawing, with everything in it"
	if bare(t.Name.Space) {
		return fault("save it again as SVG", "is a broken drawing: the prefix %s is not declared", t.Name.Space)
	}
	seen := map[xml.Name]bool{}
	for _, a := range t.Attr {
		if seen[a.Name] {
			return fault("save it again as SVG", "is a broken drawing: %s is given twice", a.Name.Local)
		}
		seen[a.Name] = true
		if bare(a.Name.Space) && a.Name.Space != "xmlns" && a.Name.Space != "xml" {
			return fault("save it again as SVG", "is a broken drawing: the prefix %s is not declared", a.Name.Space)
		}
		name, value := strings.ToLower(a.Name.Local), strings.TrimSpace(a.Value)
		switch {
		case a.Name.Space == "xmlns" || name == "xmlns":
		case name == "href" || name == "src" || name == "base" && strings.Contains(strings.ToLower(a.Name.Space), "xml"):
			if value != "" && !strings.HasPrefix(value, "#") {
				return fault(self, "refers to something outside itself: %s", short(value))
			}
		case a.Name.Space == "" && strings.HasPrefix(name, "on"):
			return fault(self, "runs something when it is shown or touched (%s)", a.Name.Local)
		case name == "attributename" && (strings.EqualFold(value, "href") || strings.EqualFold(value, "xlink:href") || strings.HasPrefix(strings.ToLower(value), "on")):
			return fault(self, "changes %s while it is shown", value)
		case name == "style" && reaches(value), outside.MatchString(value):
			return fault(self, "reaches outside itself in %s: %s", a.Name.Local, short(value))
		}
	}
	return nil
}

// bare tells that a namespace is still the prefix it was written with.
func bare(space string) bool { return space != "" && !strings.ContainsAny(space, ":/#.") }

func short(s string) string {
	const most = 40
	r := []rune(strings.ToValidUTF8(s, "?"))
	if len(r) > most {
		return string(r[:most]) + "…"
	}
	return string(r)
}
