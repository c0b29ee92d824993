package pdf

import (
	"strconv"
	"strings"
	"testing"

	"benchproof/compiler/document"
)

// Each box of a repeat's readings says of which turn it is.
func TestBoxesOfTheRecordNameTheirTurn(t *testing.T) {
	checked := 0
	for _, doc := range demonstration(t) {
		lines := []document.RecordLine{}
		for _, l := range doc.Record {
			if len(l.Turns) > 1 {
				lines = append(lines, l)
			}
		}
		if len(lines) == 0 || checked > 60 {
			continue
		}
		tips := map[string]bool{}
		for _, obj := range readObjects(t, render(t, "record-"+doc.Name, doc, Options{})) {
			v, _ := obj.(map[string]any)
			if d, _ := v["value"].(map[string]any); d["/Subtype"] == "/Widget" {
				tips[text(d["/TU"])] = true
			}
		}
		for _, l := range lines {
			each := l.Boxes / len(l.Turns)
			for i, turn := range l.Turns {
				for k := range each {
					want := doc.Words.Record + ": " + l.Label + ", " + strings.Replace(doc.Words.Screen.Turn, "{turn}", turn, 1)
					if each > 1 {
						want += ", " + strconv.Itoa(i*each+k+1)
					}
					if checked++; !tips[want] {
						t.Errorf("%s: no box %q", doc.Name, want)
					}
				}
			}
		}
	}
	if checked < 20 {
		t.Errorf("%d boxes looked for", checked)
	}
}
