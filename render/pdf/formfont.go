package pdf

import (
	"bytes"
	"encoding/binary"
	"fmt"
	"slices"
	"strconv"
	"sync"

	"golang.org/x/text/encoding/charmap"
)

// The font of what is typed into a field must have a simple encoding and be
// embedded whole for that encoding, whoever types whatever later. gopdf's
// subsets hold only what the page shows and no map of characters, so this one
// is cut here: the first face with the glyphs of Windows-1252 and its own
// tables. It is made once for the process.

type embeddedFont struct {
	file       []byte // deflated
	length     int    // before that
	widths     []byte // of the characters 32 to 255
	descriptor []byte // without its file and its brackets
}

var formFont = sync.OnceValues(func() (*embeddedFont, error) { return cutFont(fonts[regular]) })

// winAnsi is the character of a code of WinAnsiEncoding.
func winAnsi(code int) rune { return charmap.Windows1252.DecodeByte(byte(code)) }

// A ttf is a TrueType font by its tables (OpenType specification 1.9, chapter
// "OpenType font file").
type ttf struct {
	tables map[string][]byte
	long   bool // offsets in loca are 32 bits
	glyphs int
}

func readTTF(data []byte) (*ttf, error) {
	if len(data) < 12 {
		return nil, fmt.Errorf("font file too short")
	}
	f := &ttf{tables: map[string][]byte{}}
	n := int(binary.BigEndian.Uint16(data[4:]))
	for i := range n {
		e := 12 + 16*i
		if e+16 > len(data) {
			return nil, fmt.Errorf("font directory too short")
		}
		from, size := int(binary.BigEndian.Uint32(data[e+8:])), int(binary.BigEndian.Uint32(data[e+12:]))
		if from > len(data) || size > len(data)-from {
			return nil, fmt.Errorf("font table %q lies outside the file", data[e:e+4])
		}
		f.tables[string(data[e:e+4])] = data[from : from+size]
	}
	for _, t := range []string{"head", "maxp", "loca", "glyf", "hhea", "hmtx", "cmap"} {
		if f.tables[t] == nil {
			return nil, fmt.Errorf("font has no table %s", t)
		}
	}
	f.long = binary.BigEndian.Uint16(f.tables["head"][50:]) != 0
	f.glyphs = int(binary.BigEndian.Uint16(f.tables["maxp"][4:]))
	return f, nil
}

// outline returns the bytes of a glyph.
func (f *ttf) outline(g int) []byte {
	loca, at := f.tables["loca"], func(i int) int { return 0 }
	if f.long {
		at = func(i int) int { return int(binary.BigEndian.Uint32(loca[4*i:])) }
	} else {
		at = func(i int) int { return 2 * int(binary.BigEndian.Uint16(loca[2*i:])) }
	}
	return f.tables["glyf"][at(g):at(g+1)]
}

// parts are the glyphs that a composite glyph is made of.
func parts(outline []byte) []int {
	if len(outline) < 10 || int16(binary.BigEndian.Uint16(outline)) >= 0 {
		return nil
	}
	const words, scale, more, xyScale, twoByTwo = 1, 8, 32, 64, 128
	var out []int
	for i := 10; i+4 <= len(outline); {
		flags := binary.BigEndian.Uint16(outline[i:])
		out = append(out, int(binary.BigEndian.Uint16(outline[i+2:])))
		i += 6
		if flags&words != 0 {
			i += 2
		}
		switch {
		case flags&scale != 0:
			i += 2
		case flags&xyScale != 0:
			i += 4
		case flags&twoByTwo != 0:
			i += 8
		}
		if flags&more == 0 {
			break
		}
	}
	return out
}

// cutFont keeps the glyphs of Windows-1252 under their own numbers.
func cutFont(f *face) (*embeddedFont, error) {
	t, err := readTTF(f.data)
	if err != nil {
		return nil, fmt.Errorf("pdf: font %s: %w", f.name, err)
	}
	keep := map[int]bool{0: true}
	var widths []byte
	for code := 32; code <= 255; code++ {
		g, w := f.lookup(winAnsi(code))
		widths = append(strconv.AppendInt(widths, int64(w), 10), ' ')
		keep[int(g)] = true
	}
	for more := true; more; {
		more = false
		for _, g := range sortedKeys(keep) {
			for _, p := range parts(t.outline(g)) {
				if !keep[p] {
					keep[p], more = true, true
				}
			}
		}
	}
	var glyf []byte
	loca := make([]byte, 0, 4*(t.glyphs+1))
	for g := range t.glyphs {
		loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
		if keep[g] {
			glyf = append(glyf, t.outline(g)...)
			for len(glyf)%4 != 0 {
				glyf = append(glyf, 0)
			}
		}
	}
	loca = binary.BigEndian.AppendUint32(loca, uint32(len(glyf)))
	head := slices.Clone(t.tables["head"])
	binary.BigEndian.PutUint16(head[50:], 1)
	file := writeTTF(map[string][]byte{"cmap": t.tables["cmap"], "cvt ": t.tables["cvt "], "fpgm": t.tables["fpgm"], "glyf": glyf, "head": head,
		"hhea": t.tables["hhea"], "hmtx": t.tables["hmtx"], "loca": loca, "maxp": t.tables["maxp"], "prep": t.tables["prep"]})

	em := int(binary.BigEndian.Uint16(head[18:]))
	number := func(table []byte, at int) []byte {
		return strconv.AppendInt(nil, int64(int(int16(binary.BigEndian.Uint16(table[at:])))*1000/em), 10)
	}
	d := append([]byte("/Type/FontDescriptor/FontName/BENCHZ+"), f.name...)
	d = append(d, "/Flags 32/ItalicAngle 0/StemV 80/CapHeight 729/Ascent "...)
	d = append(d, number(t.tables["hhea"], 4)...)
	d = append(d, "/Descent "...)
	d = append(d, number(t.tables["hhea"], 6)...)
	d = append(d, "/FontBBox["...)
	for i := range 4 {
		d = append(append(d, number(head, 36+2*i)...), ' ')
	}
	d = append(d, ']')
	return &embeddedFont{file: deflate(new(bytes.Buffer), file), length: len(file), widths: widths, descriptor: d}, nil
}

func sortedKeys(m map[int]bool) []int {
	out := make([]int, 0, len(m))
	for k := range m {
		out = append(out, k)
	}
	slices.Sort(out)
	return out
}

// writeTTF puts tables into a file, in order of their names.
func writeTTF(tables map[string][]byte) []byte {
	var names []string
	for n, t := range tables {
		if t != nil {
			names = append(names, n)
		}
	}
	slices.Sort(names)
	n := len(names)
	power := 1
	log := 0
	for power*2 <= n {
		power, log = power*2, log+1
	}
	out := binary.BigEndian.AppendUint32(nil, 0x00010000)
	for _, v := range []int{n, power * 16, log, (n - power) * 16} {
		out = binary.BigEndian.AppendUint16(out, uint16(v))
	}
	at := 12 + 16*n
	var body []byte
	for _, name := range names {
		t := tables[name]
		padded := append([]byte(nil), t...)
		for len(padded)%4 != 0 {
			padded = append(padded, 0)
		}
		sum := uint32(0)
		for i := 0; i < len(padded); i += 4 {
			sum += binary.BigEndian.Uint32(padded[i:])
		}
		out = append(out, name...)
		out = binary.BigEndian.AppendUint32(out, sum)
		out = binary.BigEndian.AppendUint32(out, uint32(at+len(body)))
		out = binary.BigEndian.AppendUint32(out, uint32(len(t)))
		body = append(body, padded...)
	}
	return append(out, body...)
}

// addFormFont puts the font into the file and returns its object.
func (f *finisher) addFormFont() (int, error) {
	ef, err := formFont()
	if err != nil {
		return 0, err
	}
	file := f.addStream(stream{dict: "/Filter/FlateDecode/Length1 " + strconv.Itoa(ef.length), data: ef.file, plain: true})
	d := append([]byte("<<"), ef.descriptor...)
	d = append(d, "/FontFile2 "...)
	d = appendRef(d, file)
	descriptor := f.add(append(d, ">>\n"...))
	b := append([]byte("<</Type/Font/Subtype/TrueType/BaseFont/BENCHZ+"), fonts[regular].name...)
	b = append(b, "/FirstChar 32/LastChar 255/Encoding/WinAnsiEncoding/Widths["...)
	b = append(b, ef.widths...)
	b = append(b, "]/FontDescriptor "...)
	b = appendRef(b, descriptor)
	return f.add(append(b, ">>\n"...)), nil
}
