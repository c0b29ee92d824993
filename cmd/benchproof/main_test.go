package main

import (
	"flag"
	"os"
	"path/filepath"
	"strconv"
	"strings"
	"testing"

	"github.com/rogpeppe/go-internal/testscript"

	"benchproof/procedures"
)

var update = flag.Bool("update", false, "rewrite the expected outputs of the scripts; read the difference")

func TestMain(m *testing.M) {
	testscript.Main(m, map[string]func(){"benchproof": main})
}

// TestScripts runs the real program as a person would: each archive under
// testdata/script is a folder and the commands tried in it.
func TestScripts(t *testing.T) {
	testscript.Run(t, testscript.Params{
		Dir:           "testdata/script",
		UpdateScripts: *update,
		Setup: func(e *testscript.Env) error {
			e.Setenv(cacheVariable, filepath.Join(e.WorkDir, ".cache"))
			records, err := filepath.Abs(root + "/compiler/record/testdata")
			if err != nil {
				return err
			}
			e.Setenv("RECORDS", records)
			// The pump bench is the library that every version must accept.
			if err := os.CopyFS(e.WorkDir+"/pump-bench", os.DirFS("testdata/pump-bench")); err != nil {
				return err
			}
			return os.CopyFS(e.WorkDir+"/larkmoor", procedures.Files)
		},
		Cmds: map[string]func(ts *testscript.TestScript, neg bool, args []string){
			"status": status,
			"same":   sameFolders,
			"edit":   editFile,
		},
	})
}

// status runs a command and demands its exit status: status 2 benchproof …
func status(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) < 2 {
		ts.Fatalf("usage: status NUMBER COMMAND [ARGUMENT...]")
	}
	want, err := strconv.Atoi(args[0])
	ts.Check(err)
	err = ts.Exec(args[1], args[2:]...)
	got := 0
	if e, ok := err.(interface{ ExitCode() int }); ok {
		got = e.ExitCode()
	} else if err != nil {
		ts.Fatalf("%v", err)
	}
	if got != want {
		ts.Fatalf("exit status %d, want %d", got, want)
	}
}

// editFile puts one text in the place of another that a file holds, with \n for a new line: edit FILE OLD NEW.
func editFile(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 3 {
		ts.Fatalf("usage: edit FILE OLD NEW")
	}
	text := ts.ReadFile(args[0])
	for i := range args {
		args[i] = strings.ReplaceAll(args[i], `\n`, "\n")
	}
	if !strings.Contains(text, args[1]) {
		ts.Fatalf("%s does not hold %q", args[0], args[1])
	}
	ts.Check(os.WriteFile(ts.MkAbs(args[0]), []byte(strings.ReplaceAll(text, args[1], args[2])), 0o666))
}

// sameFolders demands that two folders hold the same files with the same bytes.
func sameFolders(ts *testscript.TestScript, neg bool, args []string) {
	if neg || len(args) != 2 {
		ts.Fatalf("usage: same FOLDER FOLDER")
	}
	read := func(dir string) map[string]string {
		files := map[string]string{}
		entries, err := os.ReadDir(ts.MkAbs(dir))
		ts.Check(err)
		for _, e := range entries {
			files[e.Name()] = ts.ReadFile(dir + "/" + e.Name())
		}
		return files
	}
	a, b := read(args[0]), read(args[1])
	for name, text := range a {
		if other, ok := b[name]; !ok || other != text {
			ts.Fatalf("%s differs", name)
		}
	}
	if len(a) != len(b) || len(a) == 0 {
		ts.Fatalf("%d and %d files", len(a), len(b))
	}
}
