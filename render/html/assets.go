package html

import (
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"strings"

	"benchproof/render/look"
)

//go:embed assets/page.css
var pageCSS string

//go:embed assets/index.css
var indexCSS string

//go:embed assets/exact.js
var exactJS string

//go:embed assets/flow.js
var flowJS string

//go:embed assets/job.js
var jobJS string

//go:embed assets/boxes.js
var boxesJS string

//go:embed assets/entries.js
var entriesJS string

//go:embed assets/show.js
var showJS string

//go:embed assets/page.js
var pageJS string

//go:embed assets/record.js
var recordJS string

//go:embed assets/index.js
var indexJS string

// The sheets and scripts as they stand in a page, made once, with their hashes
// for the content security policy.
var (
	sheetStyle  = markup(colours() + pageCSS)
	sheetScript = markup("\"use strict\";(() => {\n" + exactJS + flowJS + jobJS + recordJS + boxesJS + entriesJS + showJS + pageJS + "})();\n")
	indexStyle  = markup(colours() + indexCSS)
	indexScript = markup("\"use strict\";(() => {\n" + indexJS + "})();\n")

	sheetStyleHash  = hash(string(sheetStyle))
	sheetScriptHash = hash(string(sheetScript))
	indexStyleHash  = hash(string(indexStyle))
	indexScriptHash = hash(string(indexScript))
)

// colours writes the colours of package look as properties of the style sheet,
// so that they have one home.
func colours() string {
	var b strings.Builder
	b.WriteString("\n:root{")
	for _, c := range []struct {
		name string
		rgb  look.RGB
	}{
		{"danger", look.DangerPanel.Ground}, {"on-danger", look.DangerPanel.Letters},
		{"warning", look.WarningPanel.Ground}, {"on-warning", look.WarningPanel.Letters},
		{"caution", look.CautionPanel.Ground}, {"on-caution", look.CautionPanel.Letters},
		{"notice", look.NoticePanel.Ground}, {"on-notice", look.NoticePanel.Letters},
		{"grey-on-white", look.Grey},
	} {
		b.WriteString("--" + c.name + ":" + c.rgb.Hex() + ";")
	}
	b.WriteString("}\n")
	return b.String()
}

// hash is the source expression of a style or script for the policy.
func hash(s string) string {
	sum := sha256.Sum256([]byte(s))
	return "'sha256-" + base64.StdEncoding.EncodeToString(sum[:]) + "'"
}

// policy forbids the page the network and every style and script but its own.
func (p *page) policy(foot string, script bool) {
	p.raw(`<meta http-equiv="Content-Security-Policy" content="default-src 'none'; img-src data:; style-src `)
	p.b = append(append(p.b, sheetStyleHash...), ' ')
	p.b = append(p.b, hash(foot)...)
	if script {
		p.raw("; script-src ")
		p.b = append(p.b, sheetScriptHash...)
	}
	p.raw("; base-uri 'none'; form-action 'none'\">\n")
}

// paperFoot is the style of the margin of a printed page: number, revision,
// fingerprint and page, how the revision stands, room for the work order (which
// the page puts there itself where it was filled in), and NOT FOR WORK over a draft.
func (p *page) paperFoot() string {
	d, w := p.doc, p.w
	var b []byte
	b = append(b, "@page{@bottom-left{content:"...)
	b = appendCSS(b, w.CheckCurrent)
	b = append(b, "}@bottom-right{content:"...)
	b = appendCSS(b, d.Number+" "+d.Revision+" · "+d.Fingerprint+" · "+w.Page+" ")
	b = append(b, "counter(page)"...)
	b = appendCSS(b, " "+w.Of+" ")
	b = append(b, "counter(pages)}"...)
	if d.Barred() {
		large, _ := d.BarredWords()
		b = append(b, "@top-center{content:"...)
		b = appendCSS(b, large)
		b = append(b, "}"...)
	} else {
		b = append(b, "@top-right{content:"...)
		b = appendCSS(b, w.WorkOrder+" "+strings.Repeat("_", 20))
		b = append(b, "}"...)
	}
	if d.Release.Text != "" {
		b = append(b, "@top-left{content:"...)
		b = appendCSS(b, d.Release.Text)
		b = append(b, "}"...)
	}
	b = append(b, '}')
	return string(b)
}

// appendCSS writes s as a CSS string: everything but letters, digits and
// spaces is written as a number, so nothing can end the string.
func appendCSS(b []byte, s string) []byte {
	const hex = "0123456789abcdef"
	b = append(b, '"')
	for _, r := range strings.ToValidUTF8(s, "\uFFFD") {
		switch {
		case r == ' ' || r >= '0' && r <= '9' || r >= 'a' && r <= 'z' || r >= 'A' && r <= 'Z':
			b = append(b, byte(r))
		case r == 0 || notCharacter(r):
			b = append(b, `\fffd `...)
		default:
			b = append(b, '\\')
			for shift := 20; shift >= 0; shift -= 4 {
				b = append(b, hex[r>>shift&15])
			}
			b = append(b, ' ')
		}
	}
	return append(b, '"')
}
