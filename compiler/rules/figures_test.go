package rules_test

import (
	"bytes"
	"compress/zlib"
	"encoding/binary"
	"fmt"
	"hash/crc32"
	"image"
	"image/color"
	"image/gif"
	"image/jpeg"
	"image/png"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"syscall"
	"testing"
	"testing/fstest"

	"benchproof/compiler/library"
	"benchproof/compiler/rules"
	"benchproof/dsl/message"
	"benchproof/dsl/syntax"
	"benchproof/procedures"
)

// figure judges a library with one figure.
func figure(t testing.TB, fsys fs.FS, file string) []*message.Message {
	t.Helper()
	quoted := strings.NewReplacer(`\`, `\\`, `"`, `\"`).Replace(file)
	f, ms := syntax.Load([]byte("figure x \"X\" {\n  file \""+quoted+"\"\n}\n"), "x.proc")
	lib, more := library.Bind([]*syntax.File{syntax.Parse(f)})
	for _, m := range append(ms, more...) {
		if m.IsError() {
			t.Fatal(tell(m))
		}
	}
	return rules.CheckFigures(lib, fsys)
}

func encoded(t testing.TB, format string, img image.Image) []byte {
	t.Helper()
	var b bytes.Buffer
	var err error
	switch format {
	case "png":
		err = png.Encode(&b, img)
	case "jpeg":
		err = jpeg.Encode(&b, img, nil)
	case "gif":
		err = gif.Encode(&b, img, nil)
	}
	if err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

func picture(w, h int) image.Image {
	m := image.NewRGBA(image.Rect(0, 0, w, h))
	for x := range w {
		m.Set(x, h/2, color.RGBA{uint8(x), 40, 80, 255})
	}
	return m
}

// sized writes the size into a PNG's header, with a right checksum.
func sized(data []byte, w, h uint32) []byte {
	out := bytes.Clone(data)
	binary.BigEndian.PutUint32(out[16:], w)
	binary.BigEndian.PutUint32(out[20:], h)
	binary.BigEndian.PutUint32(out[29:], crc32.ChecksumIEEE(out[12:29]))
	return out
}

const plainSVG = `<svg xmlns="http://www.w3.org/2000/svg" xmlns:xlink="http://www.w3.org/1999/xlink" viewBox="0 0 10 10">%s</svg>`

func svg(inner string) []byte { return fmt.Appendf(nil, plainSVG, inner) }

// bomb draws ten times what draws ten times …, to a depth.
func bomb(depth int) string {
	var b strings.Builder
	b.WriteString(`<g id="a0"><rect width="1" height="1"/></g>`)
	for i := 1; i <= depth; i++ {
		fmt.Fprintf(&b, `<g id="a%d">%s</g>`, i, strings.Repeat(fmt.Sprintf(`<use href="#a%d"/>`, i-1), 10))
	}
	return b.String()
}

// inflating is a PNG of one pixel whose data unpack to a hundred megabytes.
func inflating(t testing.TB) []byte {
	var packed bytes.Buffer
	z := zlib.NewWriter(&packed)
	if _, err := z.Write(make([]byte, 100<<20)); err != nil {
		t.Fatal(err)
	}
	if err := z.Close(); err != nil {
		t.Fatal(err)
	}
	out := []byte("\x89PNG\r\n\x1a\n")
	chunk := func(kind string, body []byte) {
		out = binary.BigEndian.AppendUint32(out, uint32(len(body)))
		at := len(out)
		out = append(append(out, kind...), body...)
		out = binary.BigEndian.AppendUint32(out, crc32.ChecksumIEEE(out[at:]))
	}
	chunk("IHDR", []byte{0, 0, 0, 1, 0, 0, 0, 1, 8, 2, 0, 0, 0})
	chunk("IDAT", packed.Bytes())
	chunk("IEND", nil)
	return out
}

func TestFigures(t *testing.T) {
	small := encoded(t, "png", picture(40, 30))
	photo := encoded(t, "jpeg", picture(64, 48))
	deep := image.NewNRGBA64(image.Rect(0, 0, 9, 9))
	deep.Set(3, 3, color.NRGBA64{1, 2, 3, 4000})
	damaged := bytes.Clone(small)
	damaged[len(damaged)-20] ^= 0x40
	cases := []struct {
		name string
		data []byte
		want string // empty: nothing is wrong
	}{
		{"small.png", small, ""},
		{"sixteen.png", encoded(t, "png", deep), ""},
		{"photo.jpg", photo, ""},
		{"wrong-name.png", photo, ""}, // what it is counts, not what it is called
		{"plain.svg", svg(`<rect width="5" height="5" fill="url(#g)" style="stroke: url(#g)"/><use href="#g"/><use xlink:href="#g"/>`), ""},
		{"umlaut.svg", svg(`<text>Prüfstück 測定</text>`), ""},
		{"marked.svg", append([]byte("\xef\xbb\xbf<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<!-- drawn by hand -->\n"), svg("<style>a{fill:url( '#g' )}</style>")...), ""},

		{"empty.png", []byte{}, "is empty"},
		{"cut.png", small[:len(small)-9], "cut off"},
		{"half.png", small[:len(small)/2], "PNG"},
		{"damaged.png", damaged, "PNG"},
		{"wide.png", sized(small, 10_000, 10_000), "10000 × 10000 pixels"},
		{"enormous.png", sized(small, 100_000, 100_000), "100000 × 100000 pixels"},
		{"inflating.png", inflating(t), "unpacks to more than its size"},
		{"none.png", sized(small, 0, 10), "PNG"},
		{"cut.jpg", photo[:len(photo)/2], "broken JPEG"},
		{"moving.gif", encoded(t, "gif", picture(9, 9)), "is a GIF"},
		{"page.pdf", []byte("%PDF-1.7 …"), "is a PDF"},
		{"packed.svgz", []byte("\x1f\x8b\x08\x00"), "compressed"},
		{"notes.svg", []byte("no drawing at all"), "is no picture"},
		{"latin.svg", []byte("<svg xmlns=\"http://www.w3.org/2000/svg\"><text>\xfc</text></svg>"), "not UTF-8"},
		{"page.svg", []byte("<html><body/></html>"), "its first element is html"},
		{"bare.svg", []byte("<svg><rect/></svg>"), "svg without xmlns"},
		{"open.svg", []byte(`<svg xmlns="http://www.w3.org/2000/svg"><g>`), "broken drawing: line 1"},
		{"two.svg", append(svg(""), svg("")...), "something follows its end"},
		{"prefix.svg", []byte(`<svg xmlns="http://www.w3.org/2000/svg"><use xlink:href="#a"/></svg>`), "the prefix xlink is not declared"},
		{"twice.svg", svg(`<g id="a" id="b"/>`), "id is given twice"},
		{"entity.svg", []byte(`<!DOCTYPE svg [<!ENTITY a "aaaa">]><svg xmlns="http://www.w3.org/2000/svg"><text>&a;</text></svg>`), "defines entities"},
		{"doctype.svg", []byte(`<!DOCTYPE svg PUBLIC "-//W3C//DTD SVG 1.1//EN" "http://www.w3.org/Graphics/SVG/1.1/DTD/svg11.dtd"><svg xmlns="http://www.w3.org/2000/svg"/>`), "has a DOCTYPE"},
		{"unknown.svg", svg(`<text>&auml;</text>`), "broken drawing"},
		{"sheet.svg", append([]byte(`<?xml-stylesheet href="a.css"?>`), svg("")...), "an instruction for programs"},
		{"script.svg", svg(`<script>alert(1)</script>`), "holds a script"},
		{"nested-script.svg", svg(`<g><s:script xmlns:s="http://www.w3.org/2000/svg"/></g>`), "holds a script"},
		{"foreign.svg", svg(`<foreignObject/>`), "foreign object"},
		{"image.svg", svg(`<image href="data:image/png;base64,AAAA"/>`), "embedded picture"},
		{"click.svg", svg(`<rect onclick="x()"/>`), "onclick"},
		{"link.svg", svg(`<a href="https://example.org/"><rect/></a>`), "outside itself: https://example.org/"},
		{"use.svg", svg(`<use xlink:href="other.svg#a"/>`), "outside itself: other.svg#a"},
		{"fill.svg", svg(`<rect fill="url(http://example.org/g)"/>`), "outside itself in fill"},
		{"styled.svg", svg(`<rect style="fill:URL( 'x.png')"/>`), "outside itself in style"},
		{"style.svg", svg(`<style>@import "a.css";</style>`), "in its styles"},
		{"split-style.svg", svg(`<style>a{fill:u<!-- -->rl(x.png)}</style>`), "in its styles"},
		{"escaped-style.svg", svg(`<style>a{fill:u\72l(x.png)}</style>`), "in its styles"},
		{"image-set.svg", svg(`<rect style="background:image-set('a.png' 1x)"/>`), "outside itself in style"},
		{"set.svg", svg(`<set attributeName="xlink:href" to="javascript:x()"/>`), "changes xlink:href"},
		{"based.svg", svg(`<g xml:base="http://example.org/"/>`), "outside itself"},
		{"deep.svg", svg(strings.Repeat("<g>", 200) + strings.Repeat("</g>", 200)), "nests over 64 deep"},
		{"bomb.svg", svg(bomb(9)), "draws over 20000 elements"},
		{"shared.svg", svg(bomb(3)), ""},
		{"itself.svg", svg(`<g id="a"><g id="b"><use href="#a"/></g></g>`), "within itself"},
		{"circle.svg", svg(`<g id="a"><use href="#b"/></g><g id="b"><use xlink:href="#a"/></g>`), "within itself"},
		{"many.svg", svg(strings.Repeat("<g/>", 20_001)), "over 20000 elements"},
	}
	fsys := fstest.MapFS{}
	for _, x := range cases {
		fsys["figures/"+x.name] = &fstest.MapFile{Data: x.data}
	}
	for _, x := range cases {
		list := figure(t, fsys, "figures/"+x.name)
		switch {
		case x.want == "" && len(list) > 0:
			t.Errorf("%s: %s", x.name, tell(list[0]))
		case x.want != "" && (len(list) != 1 || list[0].Code != "BP206" || !strings.Contains(list[0].Text, x.want) || list[0].Help == ""):
			t.Errorf("%s: want %q, got %d messages", x.name, x.want, len(list))
			for _, m := range list {
				t.Log(tell(m))
			}
		}
	}
}

func TestFigurePaths(t *testing.T) {
	root := t.TempDir()
	dir := filepath.Join(root, "library")
	if err := os.MkdirAll(filepath.Join(dir, "figures", "sub"), 0o755); err != nil {
		t.Fatal(err)
	}
	small := encoded(t, "png", picture(8, 8))
	write := func(name string, data []byte) {
		if err := os.WriteFile(filepath.Join(root, name), data, 0o644); err != nil {
			t.Fatal(err)
		}
	}
	write("secret.png", small)
	write("library/figures/seat.png", small)
	write("library/figures/large.png", nil)
	if err := os.Truncate(filepath.Join(dir, "figures", "large.png"), 21<<20); err != nil {
		t.Fatal(err)
	}
	link := func(to, name string) {
		if err := os.Symlink(to, filepath.Join(dir, name)); err != nil {
			t.Fatal(err)
		}
	}
	link("seat.png", "figures/inside.png")
	link("figures", "pictures")
	link("../../secret.png", "figures/outside.png")
	link(filepath.Join(root, "secret.png"), "figures/absolute.png")
	link("b.png", "figures/a.png")
	link("a.png", "figures/b.png")
	link("gone.png", "figures/dangling.png")
	link("/", "figures/root")
	link("/dev/zero", "figures/zero.png")
	if err := syscall.Mkfifo(filepath.Join(dir, "figures", "pipe.png"), 0o644); err != nil {
		t.Fatal(err)
	}
	fsys := os.DirFS(dir)
	for _, x := range []struct{ name, want, help string }{
		{"figures/seat.png", "", ""},
		{"figures/sub/../seat.png", "", ""},
		{"./figures//seat.png", "", ""},
		{"figures/inside.png", "", ""},
		{"pictures/seat.png", "", ""},
		{"pictures/inside.png", "", ""},
		{"figures/seet.png", "there is no file", "figures/seat.png"},
		{"figures/gone.svg", "there is no file", ""},
		{"nowhere/gone.svg", "there is no file", ""},
		{"figures", "is a folder", ""},
		{"figures/sub", "is a folder", ""},
		{".", "is a folder", ""},
		{"figures/pipe.png", "no plain file", ""},
		{"figures/large.png", "21 MB", ""},
		{"/dev/zero", "outside the library's folder", ""},
		{"figures/zero.png", "outside the library's folder", ""},
		{"figures/root/dev/zero", "outside the library's folder", ""},
		{"../secret.png", "outside the library's folder", ""},
		{"figures/../../secret.png", "outside the library's folder", ""},
		{"/etc/hostname", "outside the library's folder", ""},
		{`C:/secret.png`, "outside the library's folder", ""},
		{`figures\seat.png`, "not written with /", ""},
		{"https://example.org/a.png", "web address", ""},
		{"figures/outside.png", "outside the library's folder", ""},
		{"figures/absolute.png", "outside the library's folder", ""},
		{"figures/root/etc/hostname", "outside the library's folder", ""},
		{"figures/a.png", "in a circle", ""},
		{"figures/dangling.png", "there is no file", ""},
		{"figures/seat.png/x.png", "cannot be read", ""},
	} {
		list := figure(t, fsys, x.name)
		switch {
		case x.want == "" && len(list) == 0:
		case x.want != "" && len(list) == 1 && list[0].Code == "BP206" && strings.Contains(list[0].Text, x.want) && strings.Contains(list[0].Help, x.help):
		default:
			t.Errorf("%s: want %q, got %d messages", x.name, x.want, len(list))
			for _, m := range list {
				t.Log(tell(m))
			}
		}
	}
}

// TestFiguresOfLibraries: the figures of the demonstration and of the example can be used.
func TestFiguresOfLibraries(t *testing.T) {
	for name, fsys := range map[string]fs.FS{"demonstration": procedures.Files, "pump bench": os.DirFS("testdata/pump-bench")} {
		texts, names := sourcesOf(t, fsys)
		var files []*syntax.File
		for _, n := range names {
			f, _ := syntax.Load([]byte(texts[n]), n)
			files = append(files, syntax.Parse(f))
		}
		lib, _ := library.Bind(files)
		if len(lib.Figures) == 0 {
			t.Error(name, "has no figures")
		}
		for _, m := range rules.CheckFigures(lib, fsys) {
			t.Error(name, tell(m))
		}
	}
}

func FuzzPicture(f *testing.F) {
	f.Add(svg(`<rect style="fill:url(#a)"/>`))
	f.Add(encoded(f, "png", picture(3, 3)))
	f.Add(encoded(f, "jpeg", picture(3, 3)))
	f.Fuzz(func(t *testing.T, data []byte) {
		figure(t, fstest.MapFS{"a": {Data: data}}, "a")
	})
}
