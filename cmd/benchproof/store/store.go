// Package store keeps results of work between runs of the program, in a folder.
//
// Input: keys, which stand for everything that a result depends on, and the
// bytes of results. Output: the bytes again, or nothing. It always holds that
// what is given out is what was put in under that key: each entry carries its
// key and a hash of its bytes, and one that does not agree is taken away and
// counts as not there. No fault of the folder is a fault of the work: a store
// that is damaged, full, read-only or gone has nothing and takes nothing.
// Several programs may use one folder at once: an entry is moved to its place
// whole. A store is bounded: what was not used for longest goes first. The
// hashes find accidents, not enemies: who may write to the folder may put there
// what they like, so it is made for its owner alone.
package store

import (
	"bytes"
	"crypto/sha256"
	"encoding/binary"
	"encoding/hex"
	"io"
	"io/fs"
	"os"
	"path/filepath"
	"slices"
	"strconv"
	"strings"
	"sync/atomic"
	"time"
)

// A Key stands for everything that a result depends on.
type Key [sha256.Size]byte

// KeyOf makes a key of texts. No two lists of texts give the same key.
func KeyOf(texts ...string) Key {
	h := sha256.New()
	var length [8]byte
	for _, t := range texts {
		binary.BigEndian.PutUint64(length[:], uint64(len(t)))
		h.Write(length[:])
		io.WriteString(h, t)
	}
	return Key(h.Sum(nil))
}

func (k Key) String() string { return hex.EncodeToString(k[:]) }

// A Store is a folder of results. The nil Store has nothing and takes nothing.
// All methods may be called from several goroutines.
type Store struct {
	dir    string
	most   int64       // bytes it may have
	closed atomic.Bool // takes nothing more: the folder refused
	put    atomic.Int64

	hits, misses, damaged atomic.Int64
}

// Counts tell how a store has served since it was opened.
type Counts struct {
	Hits, Misses int64
	Damaged      int64 // of the misses: entries that were there and wrong
}

const (
	// header begins every entry; it changes with the form of entries.
	header = "benchproof store 1\n"
	prefix = len(header) + 2*sha256.Size

	// MaxEntry bounds the bytes of one result.
	MaxEntry = 256 << 20

	temporary  = ".new-" // begins the names of entries being written
	staleAfter = time.Hour
	usedEvery  = time.Hour // how fine the time of last use is kept
	written    = "written" // the file that says how much was put since the last pruning
)

// Open gives the store in a folder, which need not be there yet. It holds about
// most bytes; a sixteenth more may be there until the next pruning.
func Open(dir string, most int64) *Store {
	if dir == "" || most <= 0 {
		return nil
	}
	return &Store{dir: dir, most: most}
}

// Counts tells how the store has served.
func (s *Store) Counts() Counts {
	if s == nil {
		return Counts{}
	}
	return Counts{Hits: s.hits.Load(), Misses: s.misses.Load(), Damaged: s.damaged.Load()}
}

func (s *Store) path(k Key) string {
	name := k.String()
	return filepath.Join(s.dir, name[:2], name[2:])
}

// Get gives what was put under a key.
func (s *Store) Get(k Key) ([]byte, bool) {
	if s == nil {
		return nil, false
	}
	path := s.path(k)
	data, there := read(path, k)
	if data != nil {
		s.hits.Add(1)
		return data, true
	}
	s.misses.Add(1)
	if there {
		s.damaged.Add(1)
		os.Remove(path)
	}
	return nil, false
}

// read gives the bytes of an entry, nil where there is none or it is wrong.
func read(path string, k Key) (data []byte, there bool) {
	info, err := os.Lstat(path)
	if err != nil {
		return nil, false
	}
	if !info.Mode().IsRegular() || info.Size() < int64(prefix) || info.Size() > MaxEntry+int64(prefix) {
		return nil, true
	}
	all, err := os.ReadFile(path)
	if err != nil {
		return nil, true
	}
	if len(all) < prefix || string(all[:len(header)]) != header || !bytes.Equal(all[len(header):len(header)+len(k)], k[:]) {
		return nil, true
	}
	data = all[prefix:]
	if sum := sha256.Sum256(data); !bytes.Equal(sum[:], all[prefix-sha256.Size:prefix]) {
		return nil, true
	}
	if time.Since(info.ModTime()) > usedEvery {
		now := time.Now()
		_ = os.Chtimes(path, now, now) // only the order of pruning hangs on it
	}
	return data[:len(data):len(data)], true
}

// Put keeps bytes under a key. What the folder refuses is not kept, and nothing
// more is tried.
func (s *Store) Put(k Key, data []byte) {
	if s == nil || s.closed.Load() || len(data) > MaxEntry {
		return
	}
	if err := s.write(s.path(k), k, data); err != nil {
		s.closed.Store(true)
		return
	}
	s.put.Add(int64(len(data) + prefix))
}

func (s *Store) write(path string, k Key, data []byte) error {
	dir := filepath.Dir(path)
	f, err := os.CreateTemp(dir, temporary)
	if os.IsNotExist(err) {
		if err = os.MkdirAll(dir, 0o700); err == nil {
			f, err = os.CreateTemp(dir, temporary)
		}
	}
	if err != nil {
		return err
	}
	sum := sha256.Sum256(data)
	head := make([]byte, 0, prefix)
	head = append(append(append(head, header...), k[:]...), sum[:]...)
	_, err = f.Write(head)
	if err == nil {
		_, err = f.Write(data)
	}
	if e := f.Close(); err == nil {
		err = e
	}
	if err == nil {
		err = os.Rename(f.Name(), path)
	}
	if err != nil {
		os.Remove(f.Name())
	}
	return err
}

// Close ends the use of the store and prunes it where much has been put.
func (s *Store) Close() {
	if s == nil || s.put.Load() == 0 {
		return
	}
	path := filepath.Join(s.dir, written)
	total := s.put.Swap(0)
	if text, err := os.ReadFile(path); err == nil {
		before, err := strconv.ParseInt(strings.TrimSpace(string(text)), 10, 64)
		if err != nil || before < 0 || before > s.most {
			before = s.most // what cannot be read calls for a pruning
		}
		total += before
	}
	if total > s.most/16 {
		s.Prune()
		total = 0
	}
	// Two runs that end at once may lose one of their numbers; the next pruning
	// counts what is there.
	_ = os.WriteFile(path, []byte(strconv.FormatInt(total, 10)+"\n"), 0o600)
}

// Prune takes away what was not used for longest until four fifths of the bound
// are left, and what killed programs have left half written.
func (s *Store) Prune() {
	if s == nil {
		return
	}
	type entry struct {
		path string
		size int64
		used time.Time
	}
	var all []entry
	var total int64
	_ = filepath.WalkDir(s.dir, func(path string, d fs.DirEntry, err error) error {
		if err != nil || !d.Type().IsRegular() || filepath.Dir(path) == s.dir {
			return nil // what cannot be seen cannot be pruned
		}
		info, err := d.Info()
		if err != nil {
			return nil
		}
		if strings.HasPrefix(d.Name(), temporary) {
			if time.Since(info.ModTime()) > staleAfter {
				os.Remove(path)
			}
			return nil
		}
		all = append(all, entry{path, info.Size(), info.ModTime()})
		total += info.Size()
		return nil
	})
	if total <= s.most {
		return
	}
	slices.SortFunc(all, func(a, b entry) int {
		if c := a.used.Compare(b.used); c != 0 {
			return c
		}
		return strings.Compare(a.path, b.path)
	})
	for _, e := range all {
		if total <= s.most/5*4 {
			return
		}
		if os.Remove(e.path) == nil {
			total -= e.size
		}
	}
}
