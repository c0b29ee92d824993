package document_test

import (
	"flag"
	"os"
	"testing"

	"benchproof/compiler/document"
)

var update = false

func TestMain(m *testing.M) {
	flag.BoolVar(&update, "update", false, "write the kept documents anew; the run still fails")
	flag.Parse()
	os.Exit(m.Run())
}

func TestPumpBench(t *testing.T) {
	sources, images := folder(t, "testdata/pump-bench")
	lib := bind(t, sources, true)
	for _, x := range []struct {
		procedure, file string
		members         []string
	}{
		{"seal-change", "seal-change", nil},
		{"seal-change", "seal-change.s32", []string{"s32"}},
		{"seal-change", "seal-change.s40", []string{"s40"}},
		{"stud-hole-repair", "stud-hole-repair", nil},
	} {
		t.Run(x.file, func(t *testing.T) {
			d := lower(t, lib, x.procedure, document.Options{Images: images}, x.members...)
			golden(t, "testdata/"+x.file+".golden", dump(d))
		})
	}
}
