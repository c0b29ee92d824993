package main

import (
	"fmt"
	"io"
	"sync"
	"time"
)

// progress shows on a terminal how far a long build is. In a pipe, and in a
// build that is over soon, it is silent.
type progress struct {
	w     io.Writer // nil: silent
	total int

	mu    sync.Mutex
	done  int
	begun time.Time
	shown time.Time
}

const (
	quietFor  = time.Second            // no progress before this
	showEvery = 100 * time.Millisecond // and not more often than this
	clearLine = "\r\x1b[K"
)

func newProgress(w io.Writer, total int) *progress {
	p := &progress{total: total, begun: time.Now()}
	if _, _, ok := terminal(w); ok {
		p.w = w
	}
	return p
}

// step counts one document as done.
func (p *progress) step(name string) {
	p.mu.Lock()
	defer p.mu.Unlock()
	p.done++
	now := time.Now()
	if p.w == nil || now.Sub(p.begun) < quietFor || now.Sub(p.shown) < showEvery {
		return
	}
	p.shown = now
	fmt.Fprintf(p.w, "%s%d of %d  %.40s", clearLine, p.done, p.total, name)
}

// end takes the line away.
func (p *progress) end() {
	p.mu.Lock()
	defer p.mu.Unlock()
	if p.w != nil && !p.shown.IsZero() {
		fmt.Fprint(p.w, clearLine)
	}
	p.w = nil
}
