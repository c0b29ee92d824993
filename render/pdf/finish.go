package pdf

import (
	"bytes"
	"fmt"
	"strconv"
)

// The finishing pass takes the bytes that gopdf wrote apart into objects, adds
// what gopdf has no words for, and writes the file anew with object streams.
// gopdf's output is regular; where an object does not look as expected the pass
// fails rather than guess.

// finisher holds the objects of the file; objects[0] is not used.
type finisher struct {
	s       *sheet
	w       *written
	objects [][]byte
	// streams are the objects whose body is a stream still to be compressed.
	streams map[int]stream
	catalog []byte // entries to be added
	annots  [][]int
	// parents are the elements behind the keys of the parent tree that follow
	// the pages: one for each annotation.
	parents []*elem
}

type stream struct {
	dict string
	data []byte
	// plain streams are left uncompressed, to be found by programs that do not
	// read PDF.
	plain bool
}

func finish(s *sheet, w *written) ([]byte, error) {
	objects, err := split(w.bytes)
	if err != nil {
		return nil, err
	}
	f := &finisher{s: s, w: w, objects: objects, streams: map[int]stream{}, annots: make([][]int, len(w.pages))}
	for _, step := range []func() error{f.contents, f.fontMaps, f.linkAnnots, f.form, f.tree, f.outline, f.destinations, f.metadata, f.pageEntries, f.catalogEntries} {
		if err := step(); err != nil {
			return nil, err
		}
	}
	return f.write()
}

// split cuts a file into the bodies of its objects by its table of offsets.
func split(pdf []byte) ([][]byte, error) {
	const key = "startxref\n"
	i := bytes.LastIndex(pdf, []byte(key))
	if i < 0 {
		return nil, fmt.Errorf("pdf: the written file has no startxref")
	}
	rest := pdf[i+len(key):]
	end := bytes.IndexByte(rest, '\n')
	if end < 0 {
		return nil, fmt.Errorf("pdf: the written file ends within startxref")
	}
	table, err := strconv.Atoi(string(bytes.TrimSpace(rest[:end])))
	if err != nil || table < 0 || table > i {
		return nil, fmt.Errorf("pdf: the written file has a bad startxref %q", rest[:end])
	}
	lines := bytes.Split(pdf[table:i], []byte("\n"))
	if len(lines) < 3 {
		return nil, fmt.Errorf("pdf: the written file has a short table of offsets")
	}
	var zero, n int
	if _, err := fmt.Sscanf(string(lines[1]), "%d %d", &zero, &n); err != nil || zero != 0 || n > len(lines)-2 {
		return nil, fmt.Errorf("pdf: the written file has a bad table of offsets %q", lines[1])
	}
	offsets := make([]int, n+1)
	for k := 1; k < n; k++ {
		if len(lines[2+k]) < 10 {
			return nil, fmt.Errorf("pdf: object %d has no offset", k)
		}
		if offsets[k], err = strconv.Atoi(string(lines[2+k][:10])); err != nil {
			return nil, fmt.Errorf("pdf: object %d has a bad offset: %w", k, err)
		}
	}
	offsets[n] = table
	objects := make([][]byte, n)
	for k := 1; k < n; k++ {
		if offsets[k] > offsets[k+1] || offsets[k+1] > len(pdf) {
			return nil, fmt.Errorf("pdf: object %d is out of order", k)
		}
		body := pdf[offsets[k]:offsets[k+1]]
		head, tail := []byte(strconv.Itoa(k)+" 0 obj\n"), []byte("endobj\n\n")
		if !bytes.HasPrefix(body, head) || !bytes.HasSuffix(body, tail) {
			return nil, fmt.Errorf("pdf: object %d does not look as expected", k)
		}
		objects[k] = body[len(head) : len(body)-len(tail)]
	}
	return objects, nil
}

// add appends an object and returns its number.
func (f *finisher) add(body []byte) int {
	f.objects = append(f.objects, body)
	return len(f.objects) - 1
}

func (f *finisher) reserve() int { return f.add(nil) }

func (f *finisher) addStream(s stream) int {
	n := f.reserve()
	f.streams[n] = s
	return n
}

// insert puts entries at the beginning of the dictionary that is object n.
func (f *finisher) insert(n int, entries []byte) error {
	o := f.objects[n]
	i := bytes.Index(o, []byte("<<"))
	if i != 0 {
		return fmt.Errorf("pdf: object %d is no dictionary", n)
	}
	out := make([]byte, 0, len(o)+len(entries)+1)
	out = append(out, o[:2]...)
	out = append(out, entries...)
	f.objects[n] = append(out, o[2:]...)
	return nil
}

// contents finds the page contents, which gopdf left uncompressed.
func (f *finisher) contents() error {
	for n := 1; n < len(f.objects); n++ {
		o := f.objects[n]
		if !bytes.HasPrefix(o, []byte("<<\n/Length ")) {
			continue
		}
		i := bytes.Index(o, []byte("stream\n"))
		if i < 0 || !bytes.HasSuffix(o, []byte("endstream\n")) {
			return fmt.Errorf("pdf: object %d is no stream", n)
		}
		f.streams[n] = stream{data: o[i+len("stream\n") : len(o)-len("endstream\n")]}
	}
	return nil
}

// fontMaps writes the map from glyphs to characters of each font anew (gopdf's
// is faulty beyond 100 glyphs and for characters beyond U+FFFF) and says that
// character codes are glyph numbers.
func (f *finisher) fontMaps() error {
	maps, cids := 0, 0
	for n := 1; n < len(f.objects); n++ {
		if s, ok := f.streams[n]; ok && bytes.HasPrefix(s.data, []byte("/CIDInit")) {
			if maps >= len(f.w.fonts) {
				return fmt.Errorf("pdf: more character maps than fonts")
			}
			f.streams[n] = stream{data: toUnicode(f.w.fonts[maps])}
			maps++
			continue
		}
		if bytes.HasPrefix(f.objects[n], []byte("<<\n/BaseFont")) && bytes.Contains(f.objects[n], []byte("/Subtype /CIDFontType2")) {
			if err := f.insert(n, []byte("/CIDToGIDMap/Identity")); err != nil {
				return err
			}
			cids++
		}
	}
	if maps != len(f.w.fonts) || cids != len(f.w.fonts) {
		return fmt.Errorf("pdf: %d fonts, but %d character maps and %d descendants in the written file", len(f.w.fonts), maps, cids)
	}
	return nil
}

// toUnicode is a ToUnicode CMap (ISO 32000-1, 9.10.3).
func toUnicode(u usedFont) []byte {
	face := faceByFamily(u.name)
	type pair struct {
		glyph uint16
		r     rune
	}
	var pairs []pair
	seen := map[uint16]bool{}
	for _, r := range u.runes {
		g, _ := face.lookup(r)
		if g != 0 && !seen[g] {
			seen[g] = true
			pairs = append(pairs, pair{g, r})
		}
	}
	sortPairs(pairs, func(p pair) uint16 { return p.glyph })
	var b []byte
	b = append(b, "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n/CIDSystemInfo<</Registry(Adobe)/Ordering(UCS)/Supplement 0>>def\n/CMapName/Adobe-Identity-UCS def/CMapType 2 def\n1 begincodespacerange\n<0000><FFFF>\nendcodespacerange\n"...)
	for i := 0; i < len(pairs); i += 100 {
		part := pairs[i:min(i+100, len(pairs))]
		b = strconv.AppendInt(b, int64(len(part)), 10)
		b = append(b, " beginbfchar\n"...)
		for _, p := range part {
			b = append(b, '<', digits[p.glyph>>12], digits[p.glyph>>8&15], digits[p.glyph>>4&15], digits[p.glyph&15], '>')
			text := appendText(nil, string(p.r))
			b = append(b, '<')
			b = append(b, text[len("<FEFF"):]...)
			b = append(b, '\n')
		}
		b = append(b, "endbfchar\n"...)
	}
	return append(b, "endcmap CMapName currentdict /CMap defineresource pop end end\n"...)
}

// pageEntries gives each page its annotations, its key in the parent tree and
// the order of tabbing.
func (f *finisher) pageEntries() error {
	for i, n := range f.w.pages {
		b := append([]byte("/StructParents "), strconv.Itoa(i)...)
		b = append(b, "/Tabs/S"...)
		if len(f.annots[i]) > 0 {
			b = append(b, "/Annots["...)
			for _, a := range f.annots[i] {
				b = appendRef(b, a)
			}
			b = append(b, ']')
		}
		if !bytes.Contains(f.objects[n], []byte("/Type /Page\n")) {
			return fmt.Errorf("pdf: object %d is no page", n)
		}
		if err := f.insert(n, b); err != nil {
			return err
		}
	}
	return nil
}

func (f *finisher) catalogEntries() error {
	if !bytes.Contains(f.objects[1], []byte("/Type /Catalog")) {
		return fmt.Errorf("pdf: object 1 is no catalog")
	}
	b := []byte("/Lang")
	b = appendText(b, f.language())
	b = append(b, "/MarkInfo<</Marked true>>/ViewerPreferences<</DisplayDocTitle true>>/PageMode/UseOutlines"...)
	return f.insert(1, append(b, f.catalog...))
}

func (f *finisher) language() string {
	if f.s.doc.Language == "" {
		return "en"
	}
	return f.s.doc.Language
}

func appendRef(b []byte, n int) []byte {
	b = strconv.AppendInt(b, int64(n), 10)
	return append(b, " 0 R "...)
}

func appendRect(b []byte, r [4]float64) []byte {
	b = append(b, "/Rect["...)
	for _, v := range r {
		b = appendNumber(b, v)
		b = append(b, ' ')
	}
	return append(b, ']')
}
