package pdf

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"fmt"
	"slices"
	"strconv"
	"strings"
	"sync"

	"github.com/klauspost/compress/zlib"
)

const producer = "Benchproof"

// metadata writes the XMP packet (ISO 16684-1). Its dates are those of the
// revision, never of the clock.
func (f *finisher) metadata() error {
	d := f.s.doc
	esc := strings.NewReplacer("&", "&amp;", "<", "&lt;", ">", "&gt;").Replace
	// XML has no place for control characters, even escaped.
	clean := func(s string) string {
		return esc(strings.Map(func(r rune) rune {
			if r < 0x20 || r == 0xFFFE || r == 0xFFFF {
				return ' '
			}
			return r
		}, s))
	}
	lang := clean(f.language())
	var b strings.Builder
	b.WriteString(`<?xpacket begin="` + "\uFEFF" + `" id="W5M0MpCehiHzreSzNTczkc9d"?>
<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF xmlns:rdf="http://www.w3.org/1999/02/22-rdf-syntax-ns#">
<rdf:Description rdf:about="" xmlns:dc="http://purl.org/dc/elements/1.1/" xmlns:xmp="http://ns.adobe.com/xap/1.0/" xmlns:pdf="http://ns.adobe.com/pdf/1.3/" xmlns:pdfuaid="http://www.aiim.org/pdfua/ns/id/">
`)
	fmt.Fprintf(&b, "<dc:format>application/pdf</dc:format>\n<dc:title><rdf:Alt><rdf:li xml:lang=\"x-default\">%s</rdf:li></rdf:Alt></dc:title>\n", clean(title(f.s)))
	if d.Owner != "" {
		fmt.Fprintf(&b, "<dc:creator><rdf:Seq><rdf:li>%s</rdf:li></rdf:Seq></dc:creator>\n", clean(d.Owner))
	}
	if d.Purpose != "" {
		fmt.Fprintf(&b, "<dc:description><rdf:Alt><rdf:li xml:lang=\"x-default\">%s</rdf:li></rdf:Alt></dc:description>\n", clean(d.Purpose))
	}
	fmt.Fprintf(&b, "<dc:language><rdf:Bag><rdf:li>%s</rdf:li></rdf:Bag></dc:language>\n<dc:identifier>%s</dc:identifier>\n", lang, clean(strings.TrimSpace(d.Number+" "+d.Revision+" "+d.Fingerprint)))
	if date(d.Date) != "" {
		fmt.Fprintf(&b, "<xmp:CreateDate>%sT00:00:00Z</xmp:CreateDate>\n<xmp:ModifyDate>%sT00:00:00Z</xmp:ModifyDate>\n", d.Date, d.Date)
	}
	fmt.Fprintf(&b, "<pdf:Producer>%s</pdf:Producer>\n<pdfuaid:part>1</pdfuaid:part>\n</rdf:Description></rdf:RDF></x:xmpmeta>\n<?xpacket end=\"r\"?>", producer)
	n := f.addStream(stream{dict: "/Type/Metadata/Subtype/XML", data: []byte(b.String()), plain: true})
	f.catalog = append(f.catalog, "/Metadata "...)
	f.catalog = appendRef(f.catalog, n)
	return nil
}

func title(s *sheet) string { return strings.TrimSpace(s.doc.Number + " " + s.doc.Title) }

// date is a date of the form 2026-10-02 as PDF writes it, or nothing.
func date(iso string) string {
	if len(iso) != 10 || iso[4] != '-' || iso[7] != '-' {
		return ""
	}
	d := iso[:4] + iso[5:7] + iso[8:]
	for _, c := range []byte(d) {
		if c < '0' || c > '9' {
			return ""
		}
	}
	return d
}

func (f *finisher) info() []byte {
	d := f.s.doc
	b := []byte("<</Title")
	b = appendText(b, title(f.s))
	if d.Owner != "" {
		b = append(b, "/Author"...)
		b = appendText(b, d.Owner)
	}
	if d.Purpose != "" {
		b = append(b, "/Subject"...)
		b = appendText(b, d.Purpose)
	}
	b = append(b, "/Producer"...)
	b = appendText(b, producer)
	if s := date(d.Date); s != "" {
		b = append(b, "/CreationDate(D:"...)
		b = append(b, s...)
		b = append(b, "000000Z)/ModDate(D:"...)
		b = append(b, s...)
		b = append(b, "000000Z)"...)
	}
	return append(b, ">>\n"...)
}

// level is where the deflater stops looking for ever longer matches: the files
// are as large as at the middle level of the standard library's, and a page
// takes a tenth less time.
const level = 5

// deflaters are kept between files: making one costs more than a page of text.
var deflaters = sync.Pool{New: func() any {
	z, err := zlib.NewWriterLevel(nil, level)
	if err != nil {
		panic("pdf: a level that zlib does not know: " + err.Error())
	}
	return z
}}

// deflate compresses what the parts make together into the buffer, anew.
func deflate(buf *bytes.Buffer, parts ...[]byte) []byte {
	buf.Reset()
	z := deflaters.Get().(*zlib.Writer)
	defer deflaters.Put(z)
	z.Reset(buf)
	for _, p := range parts {
		_, _ = z.Write(p) // a buffer takes what it is given
	}
	_ = z.Close()
	return buf.Bytes()
}

// perStream is how many objects share an object stream.
const perStream = 200

// write writes the file: streams as they are, all other objects in object
// streams (ISO 32000-1, 7.5.7), and the cross-reference stream.
func (f *finisher) write() ([]byte, error) {
	info := f.add(f.info())
	var out, short bytes.Buffer
	out.Grow(len(f.w.bytes) / 2)
	out.WriteString("%PDF-1.7\n%\xE2\xE3\xCF\xD3\n")

	type entry struct {
		kind   byte // 1: at offset a; 2: in object stream a as number b
		a, b   int
		filled bool
	}
	entries := make([]entry, len(f.objects))
	streamAt := func(n int, dict string, data []byte) {
		for len(entries) <= n {
			entries = append(entries, entry{})
		}
		entries[n] = entry{kind: 1, a: out.Len(), filled: true}
		fmt.Fprintf(&out, "%d 0 obj\n<<%s/Length %d>>\nstream\n", n, dict, len(data))
		out.Write(data)
		out.WriteString("\nendstream\nendobj\n")
	}
	var numbers []int
	for n := range f.streams {
		numbers = append(numbers, n)
	}
	slices.Sort(numbers)
	for _, n := range numbers {
		s := f.streams[n]
		if s.plain || len(s.data) < 60 {
			streamAt(n, s.dict, s.data)
		} else {
			streamAt(n, s.dict+"/Filter/FlateDecode", deflate(&short, s.data))
		}
	}
	next := len(f.objects)
	var head, body []byte
	var members []int
	flush := func() {
		if len(members) == 0 {
			return
		}
		for i, n := range members {
			entries[n] = entry{kind: 2, a: next, b: i, filled: true}
		}
		dict := fmt.Sprintf("/Type/ObjStm/N %d/First %d/Filter/FlateDecode", len(members), len(head))
		streamAt(next, dict, deflate(&short, head, body))
		next++
		head, body, members = head[:0], body[:0], members[:0]
	}
	for n := 1; n < len(f.objects); n++ {
		if entries[n].filled {
			continue
		}
		o := f.objects[n]
		if bytes.HasSuffix(o, []byte("endstream\n")) {
			// A stream that is compressed already: fonts and pictures.
			entries[n] = entry{kind: 1, a: out.Len(), filled: true}
			fmt.Fprintf(&out, "%d 0 obj\n", n)
			out.Write(o)
			out.WriteString("endobj\n")
			continue
		}
		if len(o) == 0 {
			return nil, fmt.Errorf("pdf: object %d was never written", n)
		}
		head = strconv.AppendInt(head, int64(n), 10)
		head = append(head, ' ')
		head = strconv.AppendInt(head, int64(len(body)), 10)
		head = append(head, ' ')
		body = append(body, o...)
		members = append(members, n)
		if len(members) == perStream {
			flush()
		}
	}
	flush()

	// The cross-reference stream is the last object and lists itself.
	self := next
	for len(entries) <= self {
		entries = append(entries, entry{})
	}
	entries[self] = entry{kind: 1, a: out.Len(), filled: true}
	sum := sha256.Sum256(out.Bytes())
	table := make([]byte, 0, 7*len(entries))
	for i, e := range entries {
		if i == 0 {
			table = append(table, 0, 0, 0, 0, 0, 0xFF, 0xFF)
			continue
		}
		table = append(table, e.kind)
		table = binary.BigEndian.AppendUint32(table, uint32(e.a))
		table = binary.BigEndian.AppendUint16(table, uint16(e.b))
	}
	start := out.Len()
	dict := fmt.Sprintf("/Type/XRef/Size %d/W[1 4 2]/Root 1 0 R/Info %d 0 R/ID[<%X><%X>]/Filter/FlateDecode", len(entries), info, sum[:16], sum[:16])
	streamAt(self, dict, deflate(&short, table))
	fmt.Fprintf(&out, "startxref\n%d\n%%%%EOF\n", start)
	return out.Bytes(), nil
}
