package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"
)

// fourFiles makes a folder of four files and a change of all of them: one of a
// folder below, one that is not there yet.
func fourFiles(t *testing.T) (dir string, files []rewritten) {
	t.Helper()
	dir = t.TempDir()
	for _, name := range []string{"a.proc", "b.proc", "more/c.proc"} {
		path := filepath.Join(dir, name)
		if err := os.MkdirAll(filepath.Dir(path), 0o755); err != nil {
			t.Fatal(err)
		}
		if err := os.WriteFile(path, []byte("old "+name), 0o640); err != nil {
			t.Fatal(err)
		}
		files = append(files, rewritten{name: name, old: []byte("old " + name), new: []byte("new " + name)})
	}
	return dir, append(files, rewritten{name: "made.proc", new: []byte("new made.proc"), made: true})
}

// holds demands that files hold what a change puts there, or what was there.
func holds(t *testing.T, what, dir string, files []rewritten, changed bool) {
	t.Helper()
	for _, f := range files {
		data, err := os.ReadFile(filepath.Join(dir, f.name))
		switch {
		case changed && (err != nil || !bytes.Equal(data, f.new)), !changed && !f.made && (err != nil || !bytes.Equal(data, f.old)):
			t.Errorf("%s: %s is %q, %v", what, f.name, data, err)
		case !changed && f.made && err == nil:
			t.Errorf("%s: %s was made", what, f.name)
		}
	}
	if left, _ := filepath.Glob(filepath.Join(dir, stagingPrefix+"*")); len(left) > 0 {
		t.Errorf("%s: left behind %q", what, left)
	}
}

// TestAllFilesOrNone: where one of several files cannot be written, all are as they
// were.
func TestAllFilesOrNone(t *testing.T) {
	for what, spoil := range map[string]func(dir string, files []rewritten) error{
		"write-protected":    func(dir string, _ []rewritten) error { return os.Chmod(filepath.Join(dir, "b.proc"), 0o444) },
		"there already":      func(_ string, files []rewritten) error { files[0].made = true; return nil },
		"gone":               func(_ string, files []rewritten) error { files[2].name = "gone.proc"; return nil },
		"leads out":          func(_ string, files []rewritten) error { files[1].name = "../b.proc"; return nil },
		"no folder":          func(_ string, files []rewritten) error { files[3].name = "a.proc/x.proc"; return nil },
		"a folder is a file": func(_ string, files []rewritten) error { files[2].name = "more"; return nil },
	} {
		dir, files := fourFiles(t)
		if err := spoil(dir, files); err != nil {
			t.Fatal(err)
		}
		if err := rewriteAll(dir, files); err == nil {
			t.Errorf("%s: no error", what)
		}
		_, as := fourFiles(t)
		holds(t, what, dir, as, false)
	}
	dir, files := fourFiles(t)
	if err := rewriteAll(dir, files); err != nil {
		t.Fatal(err)
	}
	holds(t, "written", dir, files, true)
	if info, err := os.Stat(filepath.Join(dir, "a.proc")); err != nil || info.Mode().Perm() != 0o640 {
		t.Errorf("the mode became %v", info.Mode())
	}
}

// killedAt leaves a folder as a process that was killed when so many files had been
// moved.
func killedAt(t *testing.T, moved int) (dir string, files []rewritten) {
	t.Helper()
	dir, files = fourFiles(t)
	staging, err := stageChange(dir, files)
	if err == nil {
		err = os.Rename(staging, filepath.Join(dir, changeFolder))
	}
	for i := range moved {
		if err == nil {
			err = moveInto(dir, i, files[i].name)
		}
	}
	if err != nil {
		t.Fatal(err)
	}
	return dir, files
}

// TestAChangeIsCompleted: killed behind any number of moves, the next run writes the
// rest, and does so when it is killed itself.
func TestAChangeIsCompleted(t *testing.T) {
	for moved := range 5 {
		dir, files := killedAt(t, moved)
		if _, err := openFolder(dir); err == nil || !strings.Contains(err.Error(), "benchproof replace --finish "+dir) {
			t.Errorf("%d moved: opened with %v", moved, err)
		}
		if err := rewriteAll(dir, []rewritten{{name: "b.proc", old: files[1].old, new: []byte("other")}}); err == nil {
			t.Errorf("%d moved: another change is written over it", moved)
		}
		var said bytes.Buffer
		if err := finishChange(&said, dir); err != nil {
			t.Fatal(err)
		}
		if want := fmt.Sprintf("%s written, %d before\n", count(4-moved, "file"), moved); !strings.HasSuffix(said.String(), want) {
			t.Errorf("said %q, want %q", said.String(), want)
		}
		holds(t, fmt.Sprint(moved, " moved"), dir, files, true)
		if _, err := openFolder(dir); err != nil {
			t.Error(err)
		}
	}
}

// TestAChangeThatIsNoLongerRight: where a person has edited a file since, or what was
// to be written is damaged, nothing more is written and it is said.
func TestAChangeThatIsNoLongerRight(t *testing.T) {
	for _, x := range []struct {
		file, text, want string
	}{
		{"b.proc", "mine", "b.proc was edited since"},
		{"made.proc", "mine", "made.proc was edited since"},
		{changeFolder + "/2", "damaged", "the new contents of more/c.proc are damaged"},
		{changeFolder + "/" + journalFile, "[{", "cannot be read"},
		{changeFolder + "/" + journalFile, `[{"name":"../out.proc","old":"","new":""}]`, "out.proc"},
	} {
		dir, _ := killedAt(t, 1)
		if err := os.WriteFile(filepath.Join(dir, x.file), []byte(x.text), 0o644); err != nil {
			t.Fatal(err)
		}
		before := map[string][]byte{}
		for _, name := range []string{"a.proc", "b.proc", "more/c.proc"} {
			before[name], _ = os.ReadFile(filepath.Join(dir, name))
		}
		if err := finishChange(&bytes.Buffer{}, dir); err == nil || !strings.Contains(err.Error(), x.want) {
			t.Errorf("%s: %v, want %q", x.file, err, x.want)
		}
		for name, data := range before {
			if now, _ := os.ReadFile(filepath.Join(dir, name)); !bytes.Equal(now, data) {
				t.Errorf("%s: %s became %q", x.file, name, now)
			}
		}
	}
}

// TestAKilledReplacement kills replacements in many files, half of them at any moment
// of the run and half while the files are moved: the library is the old one, or the
// next run makes it the new one.
func TestAKilledReplacement(t *testing.T) {
	const files, kills = 60, 40
	write := func(dir string) {
		t.Helper()
		texts := map[string]string{"tools.proc": "library \"Bench\" { owner \"Workshop\" }\n\ntool spanner  \"spanner\"  { number \"T-1\" }\ntool wrench   \"wrench\"   { number \"T-2\" }\n"}
		for i := range files {
			texts[fmt.Sprintf("job-%d.proc", i)] = fmt.Sprintf("procedure job-%d \"Turn the nut of place %d\" {\n  document  \"WI-%d\"\n  revision  A on 2026-01-05 \"First issue.\"\n\n  step \"Turn it with the @spanner.\" {\n    use  spanner\n  }\n  step \"Hold it with the @wrench.\" {\n    use  wrench\n  }\n}\n", i, i, i)
		}
		writeLibrary(t, dir, texts)
	}
	dir := t.TempDir()
	lib, goal := filepath.Join(dir, "lib"), filepath.Join(dir, "goal")
	write(lib)
	write(goal)
	old := folderOf(t, lib)
	begun := time.Now()
	runProgram(t, "replace", "spanner", "with", "wrench", goal, "--write")
	whole := time.Since(begun)
	want := folderOf(t, goal)
	if bytes.Equal(old["job-1.proc"], want["job-1.proc"]) {
		t.Fatal("nothing was replaced")
	}
	random := rand.New(rand.NewPCG(7, 11))
	before, between, after := 0, 0, 0
	for n := range kills {
		cmd := program(t, "replace", "spanner", "with", "wrench", lib, "--write")
		if err := cmd.Start(); err != nil {
			t.Fatal(err)
		}
		ended := make(chan error, 1)
		go func() { ended <- cmd.Wait() }()
		if n%2 == 0 {
			time.Sleep(time.Duration(random.Int64N(int64(whole))))
		} else {
			for alive := true; alive && !unfinished(lib); {
				select {
				case err := <-ended:
					ended <- err
					alive = false
				default:
				}
			}
			time.Sleep(time.Duration(random.Int64N(int64(whole / 50))))
		}
		cmd.Process.Kill()
		<-ended
		if unfinished(lib) {
			between++
			if out, err := program(t, "check", lib).CombinedOutput(); err == nil || !strings.Contains(string(out), "replace --finish "+lib) {
				t.Errorf("check of a half change: %v\n%s", err, out)
			}
			runProgram(t, "replace", "--finish", lib)
		}
		now := folderOf(t, lib)
		state := want
		switch {
		case bytes.Equal(now["job-1.proc"], old["job-1.proc"]):
			state = old
			before++
		default:
			after++
		}
		for name, data := range state {
			if !bytes.Equal(now[name], data) {
				t.Errorf("kill %d: %s is of another state than job-1.proc", n, name)
			}
		}
		if len(now) != len(state) {
			t.Errorf("kill %d: %d files, want %d", n, len(now), len(state))
		}
		runProgram(t, "check", lib)
		if err := os.RemoveAll(lib); err != nil {
			t.Fatal(err)
		}
		write(lib)
	}
	t.Logf("%d kills: %d left the old library, %d the new one, of these %d completed by the next run", kills, before, after, between)
	if between == 0 {
		t.Error("no kill met the moving of files")
	}
}
