package pdf

import (
	"encoding/json"
	"fmt"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"benchproof/compiler/document"
	"benchproof/render/rendertest"
)

// The conditions here are those of the Matterhorn Protocol 1.1 (PDF
// Association) that a program can judge and that can occur in our files; the
// number of each is given. It is the list that validators of PDF/UA-1
// (ISO 14289-1) go by; none of them can be had where the project is built, so
// this stands in for one as far as it goes.

// objects is a file as qpdf's JSON tells it.
type objects map[string]any

func readObjects(t *testing.T, file []byte) objects {
	t.Helper()
	var v struct {
		QPDF []json.RawMessage `json:"qpdf"`
	}
	if err := json.Unmarshal([]byte(tool(t, file, "qpdf", "--json", "--json-stream-data=none", "FILE")), &v); err != nil {
		t.Fatal(err)
	}
	out := objects{}
	if err := json.Unmarshal(v.QPDF[1], &out); err != nil {
		t.Fatal(err)
	}
	return out
}

var reference = regexp.MustCompile(`^\d+ \d+ R$`)

// get follows references and returns a dictionary or another value.
func (o objects) get(v any) any {
	for {
		s, ok := v.(string)
		if !ok || !reference.MatchString(s) {
			return v
		}
		obj, _ := o["obj:"+s].(map[string]any)
		if st, ok := obj["stream"].(map[string]any); ok {
			v = st["dict"]
		} else {
			v = obj["value"]
		}
	}
}

func (o objects) dict(v any) map[string]any { d, _ := o.get(v).(map[string]any); return d }
func (o objects) list(v any) []any          { l, _ := o.get(v).([]any); return l }

func text(v any) string { s, _ := v.(string); return strings.TrimPrefix(s, "u:") }

func TestConditionsOfTheMatterhornProtocol(t *testing.T) {
	for name, doc := range map[string]*document.Document{"sample": rendertest.Document(), "draft": rendertest.Draft(), "long": rendertest.Long(90)} {
		t.Run(name, func(t *testing.T) {
			file := render(t, "matterhorn-"+name, doc, Options{})
			o := readObjects(t, file)
			root := o.dict(o.dict(o["trailer"].(map[string]any)["value"])["/Root"])
			fail := func(condition, format string, args ...any) {
				t.Helper()
				t.Errorf("%s: %s", condition, fmt.Sprintf(format, args...))
			}
			if o.dict(root["/MarkInfo"])["/Marked"] != true {
				fail("06-001", "not marked as tagged")
			}
			if o.dict(root["/ViewerPreferences"])["/DisplayDocTitle"] != true {
				fail("07-001", "the title is not displayed")
			}
			if text(root["/Lang"]) == "" {
				fail("11-006", "no language")
			}
			meta := tool(t, file, "pdfinfo", "-meta", "FILE")
			if !strings.Contains(meta, "<pdfuaid:part>1</pdfuaid:part>") || !strings.Contains(meta, "<dc:title>") {
				fail("06-002", "metadata: %s", meta)
			}

			// The structure tree, with the element of each marked content and annotation.
			tree := o.dict(root["/StructTreeRoot"])
			marked := map[string]string{} // page/mcid → type of its element
			annots := map[string]string{} // object → type of its element
			ids := map[string]bool{}
			level := 0
			var walk func(ref any, parent string)
			walk = func(ref any, parent string) {
				e := o.dict(ref)
				typ := text(e["/S"])
				if !standardTypes[typ] {
					fail("02-001", "%s is no standard structure type", typ)
				}
				if allowed, ok := parents[typ]; ok && !strings.Contains(allowed, parent+" ") {
					fail("09-004", "%s inside %s", typ, parent)
				}
				attr := o.dict(e["/A"])
				switch typ {
				case "/H1", "/H2", "/H3":
					n := int(typ[2] - '0')
					if level == 0 && n != 1 || n > level+1 {
						fail("14-003", "heading of level %d after one of level %d", n, level)
					}
					level = n
				case "/TH":
					if attr["/Scope"] == nil {
						fail("15-003", "a head cell without scope")
					}
				case "/Figure":
					if text(e["/Alt"]) == "" {
						fail("13-004", "a figure without alternative text")
					}
					if len(o.list(attr["/BBox"])) != 4 {
						fail("13-004", "a figure without its box")
					}
				case "/Note":
					id := text(e["/ID"])
					if id == "" || ids[id] {
						fail("19-003", "note with the ID %q", id)
					}
					ids[id] = true
				}
				page := text(e["/Pg"])
				for _, k := range o.list(e["/K"]) {
					switch v := k.(type) {
					case float64:
						marked[page+"/"+strconv.Itoa(int(v))] = typ
						continue
					case map[string]any:
						switch v["/Type"] {
						case "/MCR":
							marked[text(v["/Pg"])+"/"+strconv.Itoa(int(v["/MCID"].(float64)))] = typ
						case "/OBJR":
							annots[text(v["/Obj"])] = typ
						}
						continue
					}
					walk(k, typ)
				}
			}
			for _, k := range o.list(tree["/K"]) {
				walk(k, "")
			}
			if level == 0 {
				fail("14-002", "no heading")
			}

			// The parent tree leads back to the element of each.
			nums := o.list(o.dict(tree["/ParentTree"])["/Nums"])
			back := map[int]any{}
			for i := 0; i+1 < len(nums); i += 2 {
				back[int(nums[i].(float64))] = nums[i+1]
			}
			pages := 0
			for key, obj := range o {
				v, _ := obj.(map[string]any)
				d, _ := v["value"].(map[string]any)
				switch d["/Type"] {
				case "/Page":
					pages++
					ref := strings.TrimPrefix(key, "obj:")
					if d["/Tabs"] != "/S" {
						fail("28-009", "page %s is not tabbed by structure", ref)
					}
					owners := o.list(back[int(d["/StructParents"].(float64))])
					for mcid, owner := range owners {
						if typ := text(o.dict(owner)["/S"]); marked[ref+"/"+strconv.Itoa(mcid)] != typ {
							fail("01-006", "marked content %d of page %s belongs to %s by one tree, %q by the other", mcid, ref, typ, marked[ref+"/"+strconv.Itoa(mcid)])
						}
					}
				case "/Annot":
					ref := strings.TrimPrefix(key, "obj:")
					owner := text(o.dict(back[int(d["/StructParent"].(float64))])["/S"])
					want := map[any]string{"/Link": "/Link", "/Widget": "/Form"}[d["/Subtype"]]
					if annots[ref] != want || owner != want {
						fail("28-010", "a %v is part of %s and of %s", d["/Subtype"], annots[ref], owner)
					}
					if want == "/Link" && text(d["/Contents"]) == "" {
						fail("28-012", "a link without words")
					}
					if want == "/Form" && text(d["/TU"]) == "" {
						fail("28-005", "a field without words")
					}
				case "/Font":
					if d["/Subtype"] == "/Type0" && d["/ToUnicode"] == nil {
						fail("31-027", "a font without its characters")
					}
					if d["/Subtype"] == "/CIDFontType2" && d["/CIDToGIDMap"] == nil {
						fail("31-006", "a font without its glyph numbers")
					}
				case "/FontDescriptor":
					if d["/FontFile2"] == nil {
						fail("31-009", "a font that is not embedded")
					}
				}
			}
			if pages == 0 {
				t.Error("no pages were seen")
			}
			contents(t, file, fail)
		})
	}
}

var standardTypes = func() map[string]bool {
	m := map[string]bool{}
	for _, s := range strings.Fields("Document Sect Div P H1 H2 H3 L LI Lbl LBody Table TR TH TD Figure Form Link Note Span") {
		m["/"+s] = true
	}
	return m
}()

// parents are where elements may stand (ISO 32000-1, 14.8.4.3).
var parents = map[string]string{"/LI": "/L ", "/Lbl": "/LI ", "/LBody": "/LI ", "/TR": "/Table ", "/TH": "/TR ", "/TD": "/TR "}

// contents looks at what is painted: all of it is marked, marks do not nest
// but for replaced text, and no glyph is the one for missing glyphs.
func contents(t *testing.T, file []byte, fail func(condition, format string, args ...any)) {
	t.Helper()
	flat := tool(t, file, "qpdf", "--qdf", "--object-streams=disable", "FILE", "-")
	n := 0
	for _, s := range regexp.MustCompile(`(?s)\nstream\n(.*?)\nendstream`).FindAllStringSubmatch(flat, -1) {
		if !strings.Contains(s[1], " BDC") && !strings.Contains(s[1], ">>BDC") {
			continue
		}
		n++
		depth := 0
		for _, line := range strings.Split(s[1], "\n") {
			switch {
			case strings.HasSuffix(line, "BDC"), strings.HasSuffix(line, "BMC"):
				if depth > 0 && !strings.HasPrefix(line, "/Span<</ActualText") {
					fail("01-003", "marked content within marked content: %s", line)
				}
				depth++
			case line == "EMC":
				depth--
			case strings.HasSuffix(line, "Tj"), line == "S", line == "f", strings.HasSuffix(line, " S"), strings.HasSuffix(line, "f Q"), strings.HasSuffix(line, " Do"):
				if depth == 0 {
					fail("01-005", "painted without a mark: %s", line)
				}
				if strings.HasSuffix(line, "Tj") {
					hex := strings.TrimSuffix(strings.TrimPrefix(line, "<"), ">Tj")
					for i := 0; i+4 <= len(hex); i += 4 {
						if hex[i:i+4] == "0000" {
							fail("31-030", "the glyph for missing glyphs is shown")
						}
					}
				}
			}
		}
		if depth != 0 {
			fail("01-003", "%d marks are not closed", depth)
		}
	}
	if n == 0 {
		t.Error("no page contents were seen")
	}
}
