package pdf

import (
	"strconv"
	"testing"

	"benchproof/render/flowmap"
	"benchproof/render/look"
)

// A connector of the job map names the page where its line goes on, and none where
// that is the page it is on.
func TestConnectorsNameTheirPage(t *testing.T) {
	named, near := 0, 0
	for _, doc := range demonstration(t) {
		s, err := place(doc, A4.size())
		if err != nil {
			t.Fatal(err)
		}
		g := newGalley(doc, A4.size(), 2)
		parts, err := flowmap.Layout(doc.Map, flowmap.Options{Width: g.right - g.left - 4, MaxHeight: g.pageRoom() * 0.34, Size: look.SmallSize, Apart: true,
			Measure: func(text string, size float64) float64 { return textWidth(regular, size, text) }})
		if err != nil {
			t.Fatal(err)
		}
		want := map[int]int{} // connectors that lead off, by page
		for i, p := range parts {
			for _, b := range p.Boxes {
				here, there := s.anchors[mapAnchor(i)].page, s.anchors[mapAnchor(b.Sheet)].page
				switch {
				case b.Kind != flowmap.Connector:
				case here != there:
					want[here]++
				default:
					near++
				}
			}
		}
		for n, p := range s.pages {
			for _, it := range p.items {
				if it.late == nil || !it.late.elsewhere {
					continue
				}
				named++
				want[n]--
				at := s.anchors[it.late.anchor].page
				if it.text != doc.Words.Page+"\u00a0"+strconv.Itoa(at+1) || at == n {
					t.Errorf("%s, page %d: a connector says %q, and its line goes on on page %d", doc.Name, n+1, it.text, at+1)
				}
			}
			if want[n] != 0 {
				t.Errorf("%s, page %d: %d connectors name no page", doc.Name, n+1, want[n])
			}
		}
	}
	if named < 20 || near < 20 {
		t.Errorf("%d connectors lead to another page, %d do not", named, near)
	}
}
