package html

import (
	"strconv"
	"strings"
	"sync"

	"benchproof/compiler/document"
	"benchproof/render/look"
)

func itoa(n int) string { return strconv.Itoa(n) }

// sign writes the drawing of a safety sign. Its meaning stands in words beside
// it, so it says nothing to a screen reader.
func (p *page) sign(s document.Sign) {
	if _, ok := symbol(s.Code); !ok {
		return
	}
	p.raw(`<svg class="sign" aria-hidden="true" focusable="false"><use href="#sign-`)
	p.text(s.Code)
	p.raw(`"/></svg>`)
	p.useSign("sign-" + s.Code)
}

// useSign notes that a drawing must be in the page.
func (p *page) useSign(id string) {
	for _, s := range p.signs {
		if s == id {
			return
		}
	}
	p.signs = append(p.signs, id)
}

// insertSigns puts the drawings that were used, once each, at the start of
// the body.
func (p *page) insertSigns(at int) {
	if len(p.signs) == 0 {
		return
	}
	var b []byte
	b = append(b, `<svg class="store" aria-hidden="true" focusable="false">`...)
	for _, id := range p.signs {
		var s string
		if signal, ok := strings.CutPrefix(id, "alert-"); ok {
			s = alerts[signal]
		} else {
			s, _ = symbol(strings.TrimPrefix(id, "sign-"))
		}
		b = append(b, `<symbol id="`...)
		b = append(b, id...)
		b = append(b, s...)
		b = append(b, "</symbol>"...)
	}
	b = append(b, "</svg>\n"...)
	n := len(p.b)
	p.b = append(p.b, b...)
	copy(p.b[at+len(b):], p.b[at:n])
	copy(p.b[at:], b)
}

var symbols sync.Map // code to the text of its symbol, behind the ID

// symbol is the drawing of a sign as the rest of a symbol element.
func symbol(code string) (string, bool) {
	if s, ok := symbols.Load(code); ok {
		return s.(string), true
	}
	d, ok := look.SignFor(code)
	if !ok {
		return "", false
	}
	s := symbolOf(d)
	symbols.Store(code, s)
	return s, true
}

// symbolOf turns an svg element into what stands in a symbol: the view box
// goes over, the element falls away.
func symbolOf(d look.Drawing) string {
	s := d.SVG("")
	box := s[strings.Index(s, "viewBox="):]
	box = box[:strings.Index(box[len(`viewBox="`):], `"`)+len(`viewBox="`)+1]
	inner := s[strings.IndexByte(s, '>')+1 : strings.LastIndex(s, "</svg>")]
	return `" ` + box + ">" + inner
}

var alerts = map[string]string{
	"danger":  symbolOf(look.DangerPanel.AlertSymbol()),
	"warning": symbolOf(look.WarningPanel.AlertSymbol()),
	"caution": symbolOf(look.CautionPanel.AlertSymbol()),
}
