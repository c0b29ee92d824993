package pdf

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"benchproof/compiler/document"
	"benchproof/render/rendertest"
)

// With -keep DIR the files that tests make are left there to be looked at.
var keep = flag.String("keep", "", "folder to leave the written files in")

func render(t testing.TB, name string, doc *document.Document, o Options) []byte {
	t.Helper()
	var b bytes.Buffer
	missing, err := Render(&b, doc, o)
	if err != nil {
		t.Fatal(err)
	}
	for _, m := range missing {
		t.Log(m)
	}
	if *keep != "" {
		if err := os.WriteFile(filepath.Join(*keep, name+".pdf"), b.Bytes(), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	return b.Bytes()
}

func TestSample(t *testing.T) {
	render(t, "sample", rendertest.Document(), Options{})
	render(t, "letter", rendertest.Document(), Options{Paper: Letter})
	render(t, "draft", rendertest.Draft(), Options{})
}
