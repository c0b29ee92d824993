package main

import (
	"context"
	"flag"
	"io/fs"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"testing/fstest"

	"benchproof/compiler"
	"benchproof/compiler/release"
	"benchproof/dsl/message"
	"benchproof/procedures"
)

var updateReleases = flag.Bool("update-releases", false, "write the releases of the demonstration library anew; the run still fails, so that they get read")

// demoReleases are the releases of the demonstration library. Nobody works from
// it, so they are taken anew when it changes, which those of a real library
// never are. An earlier revision is the library as it is now with a few edits.
var demoReleases = []struct {
	procedure, by, on string
	edits             [][3]string // file, what stands there now, what stood there
	reason            string      // withdrawn, not released
}{
	{procedure: "valve-reseat", by: "Maren Holt", on: "2025-11-20", edits: earlierReseat},
	{procedure: "valve-reseat", by: "Maren Holt", on: "2026-03-09", edits: earlierReseat, reason: "A blue ring judged by eye lets a seat pass that is too narrow."},
	{procedure: "valve-reseat", by: "Maren Holt", on: "2026-03-12"},
	{procedure: "gasket-face-check", by: "Maren Holt", on: "2025-11-20"},
	{procedure: "gauge-comparison", by: "Piet Olander", on: "2025-12-10"},
}

var earlierReseat = [][3]string{
	{"valve-reseat.proc", `  revision  B on 2026-03-09 "Width of the blue ring measured instead of judged by eye."` + "\n", ""},
	{"valve-reseat.proc", "every twenty strokes", "every thirty strokes"},
	{"valve-reseat.proc", "smallest of 4 contact-width", "smallest of 3 contact-width"},
}

// The releases of the demonstration library are what the release command
// would write for it. After an edit of what they reach:
//
//	go test ./cmd/benchproof -run DemoReleases -update-releases
func TestDemoReleases(t *testing.T) {
	var want strings.Builder
	for i, r := range demoReleases {
		files := fstest.MapFS{}
		if err := fs.WalkDir(procedures.Files, ".", func(path string, d fs.DirEntry, err error) error {
			if err != nil || d.IsDir() || path == releasesFile {
				return err
			}
			data, err := fs.ReadFile(procedures.Files, path)
			files[path] = &fstest.MapFile{Data: data}
			return err
		}); err != nil {
			t.Fatal(err)
		}
		for _, e := range r.edits {
			text := string(files[e[0]].Data)
			if !strings.Contains(text, e[1]) {
				t.Fatalf("%s no longer holds %q: set the edits of the earlier revision right", e[0], e[1])
			}
			files[e[0]] = &fstest.MapFile{Data: []byte(strings.Replace(text, e[1], e[2], 1))}
		}
		sources, err := compiler.Read(files)
		if err != nil {
			t.Fatal(err)
		}
		result, err := compiler.Check(context.Background(), sources)
		if err != nil {
			t.Fatal(err)
		}
		if message.HasErrors(result.Messages) {
			t.Fatalf("%s: %s", r.procedure, result.Messages[0].Text)
		}
		list, err := (&releasing{by: r.by, on: r.on}).chosen(result.Library, []string{r.procedure})
		if err != nil {
			t.Fatal(err)
		}
		text := release.Withdrawal(list[0], r.by, r.on, r.reason)
		if r.reason == "" {
			text = release.Statement(list[0], release.Take(result.Library, list[0], result.Image), r.by, r.on)
		}
		if i > 0 {
			want.WriteString("\n")
		}
		want.WriteString(text)
	}
	found, _ := fs.ReadFile(procedures.Files, releasesFile)
	if string(found) == want.String() {
		return
	}
	if *updateReleases {
		if err := os.WriteFile(filepath.Join(root, "procedures", releasesFile), []byte(want.String()), 0o666); err != nil {
			t.Fatal(err)
		}
	}
	t.Errorf("procedures/%s is not what the library would be released over now; go test ./cmd/benchproof -run DemoReleases -update-releases writes it", releasesFile)
}
