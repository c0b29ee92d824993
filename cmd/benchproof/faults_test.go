package main

import (
	"bytes"
	"fmt"
	"math/rand/v2"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"
)

// oneClearLine is what is said where the program could not do its work.
var oneClearLine = regexp.MustCompile(`^benchproof: [^\n]+\n$`)

// inShell runs a script with the program as $1 and what follows as $2…. With
// mounts it has mounts of its own, which end with it; allowed tells whether the
// system lets it have them.
func inShell(t *testing.T, mounts bool, script string, args ...string) (said string, status int, allowed bool) {
	t.Helper()
	sh := []string{"sh", "-c", script, "sh", linked(t)}
	cmd := exec.Command("sh", append(sh[1:], args...)...)
	if mounts {
		own := []string{"--mount"}
		if os.Getuid() != 0 {
			own = append(own, "--map-root-user")
		}
		if exec.Command("unshare", append(own, "sh", "-c", "mount -t tmpfs -o size=64k none /mnt")...).Run() != nil {
			return "", 0, false
		}
		cmd = exec.Command("unshare", append(append(own, sh...), args...)...)
	}
	cmd.Env = append(os.Environ(), cacheVariable+"="+t.TempDir())
	var b bytes.Buffer
	cmd.Stdout, cmd.Stderr = &b, &b
	err := cmd.Run()
	if e, ok := err.(*exec.ExitError); ok {
		return b.String(), e.ExitCode(), true
	} else if err != nil {
		t.Fatal(err)
	}
	return b.String(), 0, true
}

// twoStates makes a library, its documents, and the library after an edit of
// all documents.
func twoStates(t *testing.T) (lib, out string) {
	t.Helper()
	dir := t.TempDir()
	lib, out = filepath.Join(dir, "lib"), filepath.Join(dir, "out")
	if err := os.CopyFS(lib, os.DirFS("testdata/pump-bench")); err != nil {
		t.Fatal(err)
	}
	runProgram(t, "build", lib, "--out", out)
	edit(t, filepath.Join(lib, "bench.proc"), "Maintenance office", "Repair office")
	return lib, out
}

// TestAFileThatMayNotGrow: the writes of a build fail as on a full disk, at
// every size from nothing to almost enough.
func TestAFileThatMayNotGrow(t *testing.T) {
	lib, out := twoStates(t)
	before := folderOf(t, out)
	failed := 0
	for _, blocks := range []int{0, 1, 10, 40, 80, 120, 160} {
		said, status, _ := inShell(t, false, `ulimit -f `+fmt.Sprint(blocks)+`; exec "$1" build "$2" --out "$3"`, lib, out)
		if status == 0 {
			continue
		}
		failed++
		if status != 2 || !oneClearLine.MatchString(said) {
			t.Errorf("%d blocks: status %d and %q", blocks, status, said)
		}
		unharmed(t, fmt.Sprint(blocks, " blocks"), out, before)
	}
	if failed < 4 {
		t.Errorf("%d builds failed: the limits try too little", failed)
	}
}

func unharmed(t *testing.T, what, out string, before map[string][]byte) {
	t.Helper()
	now := folderOf(t, out)
	for name, data := range before {
		if !bytes.Equal(now[name], data) {
			t.Errorf("%s: %s is not what it was", what, name)
		}
	}
	if left, _ := filepath.Glob(filepath.Join(out, stagingPrefix+"*")); len(left) > 0 || len(now) != len(before) {
		t.Errorf("%s: left behind %q, %d files for %d", what, left, len(now), len(before))
	}
}

// TestFaultsOfDisks: a full disk, a read-only one, a file that cannot be read,
// and a store on such disks. They are real ones where the system lets a test
// mount; TestAFileThatMayNotGrow needs no leave.
func TestFaultsOfDisks(t *testing.T) {
	const mount = `size=$(du -sk "$4" | cut -f1); mount -t tmpfs -o size=$((size * %s / 100))k none "$3" && cp -p "$4"/* "$3" && `
	const away = `; s=$?; cp -rp "$3/." "$5"; exit $s`
	for _, c := range []struct {
		name, script string
		status       int
	}{
		{"full", fmt.Sprintf(mount, "110") + `"$1" build "$2" --out "$3"` + away, 2},
		{"nearly full", fmt.Sprintf(mount, "180") + `"$1" build "$2" --out "$3"` + away, 2},
		{"read-only", fmt.Sprintf(mount, "400") + `mount -o remount,ro "$3" && "$1" build "$2" --out "$3"` + away, 2},
		{"unreadable source", fmt.Sprintf(mount, "400") + `mount --bind /proc/self/mem "$2/seal-change.proc" && "$1" build "$2" --out "$3"` + away, 2},
		{"unreadable figure", fmt.Sprintf(mount, "400") + `mount --bind /proc/self/mem "$2/figures/seal-stack.svg" && "$1" build "$2" --out "$3"` + away, 1},
	} {
		lib, out := twoStates(t)
		before := folderOf(t, out)
		disk, after := t.TempDir(), t.TempDir()
		said, status, allowed := inShell(t, true, c.script, lib, disk, out, after)
		if !allowed {
			t.Log("this system lets no test mount: only limits on files were tried")
			return
		}
		if status != c.status || c.status == 2 && !oneClearLine.MatchString(said) {
			t.Errorf("%s: status %d and %q", c.name, status, said)
		}
		unharmed(t, c.name, after, before)
		t.Logf("%s: %s", c.name, strings.TrimSpace(said))
	}
	// A store on such disks is no fault at all.
	for name, script := range map[string]string{
		"full store":      `mount -t tmpfs -o size=64k none "$3" && BENCHPROOF_CACHE="$3" "$1" build "$2" --out "$4"`,
		"read-only store": `mount -t tmpfs -o size=9m none "$3" && export BENCHPROOF_CACHE="$3" && "$1" build "$2" --out "$4" && mount -o remount,ro "$3" && rm "$4"/*.md && "$1" build "$2" --out "$4"`,
	} {
		lib, out := twoStates(t)
		said, status, _ := inShell(t, true, script, lib, t.TempDir(), out)
		if status != 0 || said != "" {
			t.Errorf("%s: status %d and %q", name, status, said)
		}
		clean := filepath.Join(t.TempDir(), "clean")
		runProgram(t, "build", lib, "--no-cache", "--out", clean)
		sameFiles(t, name, out, clean)
	}
}

// TestALibraryThatIsWrittenToWhileItIsRead: a build makes documents of one state
// of the library or none at all.
func TestALibraryThatIsWrittenToWhileItIsRead(t *testing.T) {
	const builds = 40
	dir := t.TempDir()
	lib := filepath.Join(dir, "lib")
	if err := os.CopyFS(lib, os.DirFS("testdata/pump-bench")); err != nil {
		t.Fatal(err)
	}
	bench := filepath.Join(lib, "bench.proc")
	text, err := os.ReadFile(bench)
	if err != nil {
		t.Fatal(err)
	}
	other := bytes.ReplaceAll(text, []byte("Maintenance office"), []byte("Maintenance centre"))
	var want []map[string][]byte
	for i, state := range [][]byte{text, other} {
		if err := os.WriteFile(bench, state, 0o644); err != nil {
			t.Fatal(err)
		}
		out := filepath.Join(dir, fmt.Sprint("state", i))
		runProgram(t, "build", lib, "--out", out)
		want = append(want, folderOf(t, out))
	}
	stop, stopped := make(chan struct{}), make(chan error)
	random := rand.New(rand.NewPCG(8, 1))
	go func() {
		var err error
		for n := 0; err == nil; n++ {
			select {
			case <-stop:
				stopped <- nil
				return
			default:
			}
			state := [][]byte{text, other}[n%2]
			if random.IntN(2) == 0 { // as some editors do
				if err = os.WriteFile(bench+"~", state, 0o644); err == nil {
					err = os.Rename(bench+"~", bench)
				}
			} else { // and as others do
				var f *os.File
				if f, err = os.OpenFile(bench, os.O_WRONLY, 0); err == nil {
					_, err = f.WriteAt(state, 0)
					f.Close()
				}
			}
			time.Sleep(time.Duration(random.IntN(40)) * time.Millisecond)
		}
		stopped <- err
	}()
	refused, made := 0, 0
	cache := filepath.Join(dir, "cache")
	for n := range builds {
		out := filepath.Join(dir, fmt.Sprint("out", n))
		r := runWith(t, cache, "build", lib, "--out", out, "--to", "markdown,html")
		if r.status == 2 && r.said == "benchproof: bench.proc was changed while it was read; run the command again\n" {
			refused++
			if _, err := os.Stat(out); err == nil {
				t.Error("a refused build has left something")
			}
			continue
		}
		if r != (outcome{}) {
			t.Errorf("%+v", r)
			continue
		}
		made++
		state := 0
		got := folderOf(t, out)
		if !bytes.Equal(got["seal-change.md"], want[0]["seal-change.md"]) {
			state = 1
		}
		for name, data := range got {
			if name != indexName && !bytes.Equal(data, want[state][name]) {
				t.Errorf("build %d: %s is not of state %d", n, name, state)
			}
		}
	}
	close(stop)
	if err := <-stopped; err != nil {
		t.Fatal(err)
	}
	t.Logf("%d builds while the library was written to: %d made documents, %d were refused", builds, made, refused)
	if refused == 0 || made == 0 {
		t.Error("tries too little")
	}
}
