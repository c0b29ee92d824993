package html

import (
	"bytes"
	"testing"

	"benchproof/compiler/document"
	"benchproof/render/rendertest"
)

// samples are the documents that pages are tried on.
func samples() map[string]*document.Document {
	return map[string]*document.Document{
		"sample": rendertest.Document(),
		"draft":  rendertest.Draft(),
		"long":   rendertest.Long(120),
		"short":  rendertest.Long(1),
	}
}

func render(t testing.TB, doc *document.Document) []byte {
	t.Helper()
	var b bytes.Buffer
	if err := Render(&b, doc, Options{}); err != nil {
		t.Fatal(err)
	}
	return b.Bytes()
}

// checkedPages are the pages that checkers look at.
func checkedPages(t *testing.T) map[string][]byte {
	t.Helper()
	pages := map[string][]byte{}
	for name, doc := range samples() {
		pages[name] = render(t, doc)
	}
	for _, doc := range demonstrated(t) {
		pages["demo-"+doc.Name] = render(t, doc)
	}
	pages["index"] = libraryIndex(t, 3)
	pages["manual"] = handbook(t)
	pages["sums"] = sumsPage(t, 14, unchanged)
	return pages
}
