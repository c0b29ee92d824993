package look

import (
	"flag"
	"os"
	"slices"
	"strings"
	"testing"
)

var sheet = flag.String("sheet", "", "write the contact sheet of all drawings to this HTML file")

// TestContactSheet writes what people look at when a drawing is changed; it
// also proves that every drawing can be written.
func TestContactSheet(t *testing.T) {
	var codes []string
	for code := range pictures {
		codes = append(codes, code)
	}
	slices.Sort(codes)
	codes = append(codes, "E999", "F999", "M999", "P999", "W999")
	var b strings.Builder
	b.WriteString(`<!doctype html><meta charset="utf-8"><title>signs</title><style>body{font:11px sans-serif;margin:8px}
div{display:inline-block;width:118px;text-align:center;margin:2px}div svg{height:100px;width:100px}i svg{width:12mm;height:12mm}i{display:inline-block;margin:1px}b{color:#fff;padding:4px 10px;display:inline-block;width:150px}b svg{height:14px;vertical-align:-2px}</style>`)
	for _, word := range []string{"danger", "warning", "caution", "notice"} {
		p, _ := PanelFor(word)
		b.WriteString(`<b style="background:` + p.Ground.Hex() + `;color:` + p.Letters.Hex() + `">` + p.AlertSymbol().SVG("") + " " + p.Word + `</b>`)
	}
	b.WriteString("<br>")
	for _, size := range []string{"div", "i"} {
		for _, code := range codes {
			d, ok := SignFor(code)
			if !ok || len(d.Shapes) < 2 {
				t.Errorf("%s: drawn, but SignFor gives ok=%v and %d shapes", code, ok, len(d.Shapes))
			}
			b.WriteString("<" + size + ">" + d.SVG(code))
			if size == "div" {
				b.WriteString("<br>" + code)
			}
			b.WriteString("</" + size + ">")
		}
		b.WriteString("<hr>")
	}
	if *sheet != "" {
		if err := os.WriteFile(*sheet, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
}
