// Package preview shows a library in a browser while it is written.
//
// Input: a library's folder. Output: a server on the loopback address whose
// page shows the documents, renews them at the step that is looked at when a
// source changes, and shows messages over them. It always holds that the last
// documents without an error stay on view while a newer state is wrong, with a
// draft of that state beside them; that documents are served as they are
// written, without a script put in; that only pages made from the library are
// served, and only to a page of this very address; and that what one state
// needed is let go when the next has come.
package preview

import (
	"context"
	"errors"
	"fmt"
	"io"
	"net"
	"net/http"
	"sync"
	"time"

	"benchproof/compiler"
)

// Options say what is shown, and where.
type Options struct {
	// Folder is the library's folder.
	Folder string
	// Port to listen on; 0 takes one that is free.
	Port int
	// Language of a translation to show the documents in; empty: that of the sources.
	Language string
	// Log takes a line for each state of the library.
	Log io.Writer
}

// A Server shows one library.
type Server struct {
	folder   string
	language string
	log      io.Writer
	watcher  *watcher
	listen   net.Listener

	// disk and session are of one goroutine: the one that takes states.
	disk    *disk
	session *compiler.Session

	mu      sync.Mutex
	number  int // of the state, from 1
	state   *state
	good    *site                  // the last without an error, or nil
	draft   *site                  // of the newest state where that is wrong, or nil
	figures map[string]bool        // the files of the newest state's figures
	waiting map[chan struct{}]bool // of the pages that are open
}

// New checks the library for the first time and begins to listen. An error says
// that nothing can be shown at all.
func New(ctx context.Context, o Options) (*Server, error) {
	s := &Server{folder: o.Folder, language: o.Language, log: o.Log, disk: &disk{pictures{}}, waiting: map[chan struct{}]bool{}}
	w, err := newWatcher(o.Folder) // before the first look, so that no change is lost
	if err != nil {
		return nil, fmt.Errorf("the folder cannot be watched: %w", err)
	}
	s.watcher = w
	if err := s.begin(ctx, o.Port); err != nil {
		w.close()
		return nil, err
	}
	return s, nil
}

func (s *Server) begin(ctx context.Context, port int) error {
	if err := s.rebuild(ctx); err != nil {
		return err
	}
	if s.state.Fault != "" {
		return errors.New(s.state.Fault)
	}
	l, err := net.Listen("tcp4", fmt.Sprintf("127.0.0.1:%d", port))
	if err != nil {
		return fmt.Errorf("the preview cannot be served: %w", plainListen(err))
	}
	s.listen = l
	s.say()
	return nil
}

// plainListen leaves the address out of an error: "bind: address already in use".
func plainListen(err error) error {
	var op *net.OpError
	if errors.As(err, &op) {
		return op.Err
	}
	return err
}

// Address is where the page is.
func (s *Server) Address() string { return "http://" + s.listen.Addr().String() + "/" }

const (
	mostHeader   = 16 << 10         // bytes of a request's head
	headTime     = 5 * time.Second  // for it to come in
	answerTime   = 30 * time.Second // for an answer to go out
	idleTime     = 60 * time.Second
	shutdownTime = 2 * time.Second
)

// Serve serves until ctx is done, and watches the folder meanwhile. Whatever it
// started has ended when it returns.
func (s *Server) Serve(ctx context.Context) error {
	defer s.watcher.close()
	ctx, stop := context.WithCancel(ctx)
	defer stop()
	server := &http.Server{
		Handler: s.handler(), BaseContext: func(net.Listener) context.Context { return ctx },
		MaxHeaderBytes: mostHeader, ReadHeaderTimeout: headTime, WriteTimeout: answerTime, IdleTimeout: idleTime,
	}
	var wg sync.WaitGroup
	faults := make(chan error, 2)
	wg.Go(func() {
		defer stop()
		if err := server.Serve(s.listen); !errors.Is(err, http.ErrServerClosed) {
			faults <- err
		}
	})
	wg.Go(func() {
		defer stop()
		if err := s.watch(ctx); err != nil {
			faults <- err
		}
	})
	<-ctx.Done()
	last, cancel := context.WithTimeout(context.Background(), shutdownTime)
	defer cancel()
	if server.Shutdown(last) != nil {
		server.Close()
	}
	wg.Wait()
	close(faults)
	return <-faults // nil where nothing failed
}

// publish puts a new state in place of the old one and tells the open pages.
func (s *Server) publish(next *state, sound bool, built *site) {
	s.mu.Lock()
	defer s.mu.Unlock()
	s.number++
	next.Number = s.number
	switch {
	case sound:
		s.good, s.draft = built, nil
	default:
		s.draft = built // nil where nothing could be read
	}
	next.Good, next.Draft = s.good != nil, s.draft != nil
	if s.good != nil {
		next.Documents = s.good.documents
	}
	if next.Draft {
		next.Drafts = s.draft.documents
	}
	s.state = next
	for c := range s.waiting {
		select {
		case c <- struct{}{}:
		default: // it has not seen the last one yet
		}
	}
}

// look gives the newest state.
func (s *Server) look() *state {
	s.mu.Lock()
	defer s.mu.Unlock()
	return s.state
}

// site gives the documents to serve: the good ones, or the drafts.
func (s *Server) site(draft bool) *site {
	s.mu.Lock()
	defer s.mu.Unlock()
	if draft {
		return s.draft
	}
	return s.good
}

// mostPages are the pages that may be open at once.
const mostPages = 16

// wait gives a channel that hears of each new state until leave is called; nil
// where too many listen already.
func (s *Server) wait() (news chan struct{}, leave func()) {
	s.mu.Lock()
	defer s.mu.Unlock()
	if len(s.waiting) >= mostPages {
		return nil, nil
	}
	news = make(chan struct{}, 1)
	s.waiting[news] = true
	return news, func() {
		s.mu.Lock()
		defer s.mu.Unlock()
		delete(s.waiting, news)
	}
}
