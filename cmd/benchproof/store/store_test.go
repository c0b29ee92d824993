package store

import (
	"bytes"
	"fmt"
	"io/fs"
	"math/rand/v2"
	"os"
	"path/filepath"
	"sync"
	"testing"
	"time"
)

func entries(t *testing.T, dir string) (paths []string, total int64) {
	t.Helper()
	err := filepath.WalkDir(dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() || filepath.Dir(path) == dir {
			return err
		}
		info, err := d.Info()
		if err != nil {
			return err
		}
		paths = append(paths, path)
		total += info.Size()
		return nil
	})
	if err != nil {
		t.Fatal(err)
	}
	return paths, total
}

func TestWhatWasPutIsGiven(t *testing.T) {
	s := Open(filepath.Join(t.TempDir(), "not", "there", "yet"), 1<<20)
	for i := range 50 {
		s.Put(KeyOf("n", fmt.Sprint(i)), []byte(fmt.Sprint("result ", i)))
	}
	s.Put(KeyOf("empty"), nil)
	for i := range 50 {
		if data, ok := s.Get(KeyOf("n", fmt.Sprint(i))); !ok || string(data) != fmt.Sprint("result ", i) {
			t.Errorf("%d: %q, %v", i, data, ok)
		}
	}
	if data, ok := s.Get(KeyOf("empty")); !ok || len(data) != 0 {
		t.Errorf("empty: %q, %v", data, ok)
	}
	if _, ok := s.Get(KeyOf("other")); ok {
		t.Error("given what was never put")
	}
	if KeyOf("ab", "c") == KeyOf("a", "bc") || KeyOf("a") == KeyOf("a", "") {
		t.Error("two lists of texts have one key")
	}
	var none *Store
	none.Put(KeyOf("x"), nil)
	if _, ok := none.Get(KeyOf("x")); ok {
		t.Error("the nil store has something")
	}
	none.Close()
}

// TestDamageIsNeverGiven flips every bit of the head and random bits beyond,
// cuts entries, swaps them, and puts folders and links in their places.
func TestDamageIsNeverGiven(t *testing.T) {
	dir := t.TempDir()
	s := Open(dir, 1<<20)
	k, other := KeyOf("k"), KeyOf("other")
	want := bytes.Repeat([]byte("a result\n"), 100)
	s.Put(k, want)
	s.Put(other, []byte("another result"))
	whole, err := os.ReadFile(s.path(k))
	if err != nil {
		t.Fatal(err)
	}
	swapped, err := os.ReadFile(s.path(other))
	if err != nil {
		t.Fatal(err)
	}
	damaged := 0
	try := func(what string, data []byte) {
		t.Helper()
		damaged++
		if err := os.WriteFile(s.path(k), data, 0o600); err != nil {
			t.Fatal(err)
		}
		if got, ok := s.Get(k); ok {
			t.Fatalf("%s: given %.40q", what, got)
		}
		if _, err := os.Lstat(s.path(k)); err == nil {
			t.Fatalf("%s: the damaged entry was left", what)
		}
	}
	for bit := range prefix * 8 {
		data := bytes.Clone(whole)
		data[bit/8] ^= 1 << (bit % 8)
		try(fmt.Sprint("bit ", bit), data)
	}
	random := rand.New(rand.NewPCG(1, 2))
	for range 500 {
		data := bytes.Clone(whole)
		data[random.IntN(len(data))] ^= 1 << random.IntN(8)
		try("a random bit", data)
		try("cut", whole[:random.IntN(len(whole))])
	}
	try("longer", append(bytes.Clone(whole), 0))
	try("swapped", swapped)
	if got := s.Counts().Damaged; got != int64(damaged) {
		t.Errorf("counted %d damaged entries, want %d", got, damaged)
	}
	t.Logf("%d kinds of damage", damaged)

	if err := os.Mkdir(s.path(k), 0o700); err != nil {
		t.Fatal(err)
	}
	if _, ok := s.Get(k); ok {
		t.Error("a folder was given")
	}
	if err := os.Symlink(s.path(other), s.path(k)); err != nil {
		t.Fatal(err)
	}
	if _, ok := s.Get(k); ok {
		t.Error("a link was given")
	}
	s.Put(k, want)
	if got, ok := s.Get(k); !ok || !bytes.Equal(got, want) {
		t.Error("after all that, the right entry is not given")
	}
}

func TestAStoreIsBoundedAndKeepsWhatIsUsed(t *testing.T) {
	dir := t.TempDir()
	const most = 100_000
	s := Open(dir, most)
	data := make([]byte, 1000)
	s.Put(KeyOf("kept"), data)
	long := time.Now().Add(-48 * time.Hour)
	for i := range 300 {
		k := KeyOf(fmt.Sprint(i))
		s.Put(k, data)
		if err := os.Chtimes(s.path(k), long, long); err != nil {
			t.Fatal(err)
		}
		if i%20 == 0 {
			if err := os.Chtimes(s.path(KeyOf("kept")), long.Add(-time.Hour), long.Add(-time.Hour)); err != nil {
				t.Fatal(err)
			}
			if _, ok := s.Get(KeyOf("kept")); !ok { // which says that it is used
				t.Fatalf("what is used was pruned, after %d", i)
			}
			s.Close()
		}
	}
	stale := filepath.Join(filepath.Dir(s.path(KeyOf("kept"))), temporary+"1")
	if err := os.WriteFile(stale, data, 0o600); err != nil {
		t.Fatal(err)
	}
	if err := os.Chtimes(stale, long, long); err != nil {
		t.Fatal(err)
	}
	s.Prune()
	if _, err := os.Stat(stale); err == nil {
		t.Error("what a killed program left is still there")
	}
	paths, total := entries(t, dir)
	if total > most || len(paths) < 50 {
		t.Errorf("%d entries of %d bytes in a store of %d", len(paths), total, most)
	}
	if _, ok := s.Get(KeyOf("kept")); !ok {
		t.Error("what is used was pruned")
	}
}

// TestAFolderThatRefusesIsNoFault: a file in the folder's place, as good as
// read-only or full to one who may do everything.
func TestAFolderThatRefusesIsNoFault(t *testing.T) {
	dir := filepath.Join(t.TempDir(), "file")
	if err := os.WriteFile(dir, []byte("a file"), 0o600); err != nil {
		t.Fatal(err)
	}
	s := Open(dir, 1<<20)
	s.Put(KeyOf("k"), []byte("x"))
	if _, ok := s.Get(KeyOf("k")); ok {
		t.Error("given from nowhere")
	}
	s.Close()
	s.Prune()
}

func TestManyAtOnce(t *testing.T) {
	dir := t.TempDir()
	var wg sync.WaitGroup
	for g := range 8 {
		wg.Go(func() {
			s := Open(dir, 40_000) // so that they prune under each other's hands
			random := rand.New(rand.NewPCG(uint64(g), 1))
			for range 300 {
				n := random.IntN(60)
				k, want := KeyOf(fmt.Sprint(n)), bytes.Repeat([]byte{byte(n)}, 500+n)
				if got, ok := s.Get(k); ok && !bytes.Equal(got, want) {
					t.Errorf("given the wrong bytes under %d", n)
				}
				s.Put(k, want)
				if random.IntN(20) == 0 {
					s.Close()
				}
			}
			if s.Counts().Damaged > 0 {
				t.Errorf("%d entries were seen half written", s.Counts().Damaged)
			}
		})
	}
	wg.Wait()
}
