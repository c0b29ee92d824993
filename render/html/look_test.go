package html

import (
	"bytes"
	"flag"
	"os"
	"path/filepath"
	"testing"

	"benchproof/render/rendertest"
)

var out = flag.String("out", "", "write the sample pages into this folder, to look at")

func TestSamplePages(t *testing.T) {
	for name, doc := range samples() {
		var b bytes.Buffer
		if err := Render(&b, doc, Options{}); err != nil {
			t.Fatalf("%s: %v", name, err)
		}
		if *out != "" {
			if err := os.WriteFile(filepath.Join(*out, name+".html"), b.Bytes(), 0o644); err != nil {
				t.Fatal(err)
			}
		}
	}
	_ = rendertest.Document
}
