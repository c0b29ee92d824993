package format

import (
	"os"
	"path/filepath"
	"testing"

	"benchproof/dsl/syntax"
)

func TestExamplesStayAsTheyAre(t *testing.T) {
	paths, _ := filepath.Glob("../syntax/testdata/pump-bench/*.proc")
	for _, path := range paths {
		b, _ := os.ReadFile(path)
		f, _ := syntax.Load(b, path)
		got := Source(syntax.Parse(f))
		if got != string(b) {
			os.WriteFile("/tmp/out-"+filepath.Base(path), []byte(got), 0o666)
			t.Errorf("%s differs", path)
		}
	}
}
