package pdf

import (
	"testing"
)

// leftWhite gives for each page but the last the share of its height that is left
// empty at its foot; on the first page, above the control block.
func leftWhite(s *sheet) []float64 {
	var out []float64
	for n, p := range s.pages[:max(0, len(s.pages)-1)] {
		top, bottom, low := s.body.top, s.body.bottom, 0.0
		if n == 0 {
			bottom -= s.body.control
		}
		for _, it := range p.items {
			if it.elem == runningHead || it.elem == runningFoot || it.kind == openItem || it.kind == linkItem || it.kind == fieldItem {
				continue
			}
			end := it.y
			if it.kind != textItem {
				end += it.h
			}
			if end <= bottom+1 {
				low = max(low, end)
			}
		}
		out = append(out, (bottom-low)/(s.body.bottom-top))
	}
	return out
}

// What must stay together must not leave pages half empty: hardly any page but the
// last of a document has more than a third of its height white, none more than two
// fifths (which two warnings with their step, or a figure, may need), and the
// pages of the demonstration library are well filled on the whole.
func TestPagesAreFilled(t *testing.T) {
	const mostOfOne, third, mostOverThird, mostOfAll = 0.4, 1.0 / 3, 0.015, 0.10
	for _, paper := range []Paper{A4, Letter} {
		name, sum, count, over := paper.size().Name, 0.0, 0, 0
		for _, doc := range demonstration(t) {
			s, err := place(doc, paper.size())
			if err != nil {
				t.Fatal(err)
			}
			for n, share := range leftWhite(s) {
				sum, count = sum+share, count+1
				if share > third {
					over++
				}
				if share > mostOfOne {
					t.Errorf("%s, %s, page %d of %d: %.0f %% of the page is white", doc.Name, name, n+1, len(s.pages), 100*share)
				}
			}
		}
		mean := sum / float64(count)
		t.Logf("%s: %.1f %% of %d pages is white", name, 100*mean, count)
		if float64(over) > mostOverThird*float64(count) {
			t.Errorf("%s: %d of %d pages are white for more than a third", name, over, count)
		}
		if mean > mostOfAll {
			t.Errorf("%s: %.1f %% of the pages is white", name, 100*mean)
		}
	}
}
