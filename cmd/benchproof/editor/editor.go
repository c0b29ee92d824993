// Package editor answers an editor by the Language Server Protocol, version
// 3.17, while a library is written.
//
// Input: messages of the protocol on a stream, and the source files of the
// library that a file belongs to. Output: replies, and the messages of the
// compiler as diagnostics. What is said of a library is decided by the packages
// below and here only put into the protocol's words. Nothing is read but the
// files of the libraries, and nothing is written: changes are offered to the
// editor as edits.
//
// What always holds: a request is answered from the text as it was last sent,
// in the order in which requests come; a wrong request gets an error reply and
// the server goes on; positions are counted in UTF-16 code units, as the
// protocol demands.
package editor

import (
	"context"
	"encoding/json"
	"errors"
	"fmt"
	"io"
	"runtime/debug"
	"strings"
	"sync"

	"github.com/charmbracelet/x/powernap/pkg/lsp/protocol"
	"go.lsp.dev/jsonrpc2"

	"benchproof/dsl/message"
)

// ErrNoShutdown says that the editor went away without saying goodbye.
var ErrNoShutdown = errors.New("the editor ended without a shutdown request")

// Options are what a server is started with.
type Options struct {
	// Folder is the library's folder; empty: the nearest one around each file
	// that holds the declaration of a library.
	Folder string
	// Version is told to the editor.
	Version string
}

// Serve answers an editor until it says exit or the stream ends.
func Serve(ctx context.Context, in io.Reader, out io.Writer, options Options) error {
	return newServer(options).serve(ctx, in, out)
}

func (s *server) serve(ctx context.Context, in io.Reader, out io.Writer) error {
	defer s.stop()
	conn := jsonrpc2.NewConn(newStream(in, out), jsonrpc2.WithCodec(codec{}))
	s.conn = conn
	ctx, cancel := context.WithCancel(ctx)
	defer cancel()
	s.ctx, s.exit = ctx, cancel
	conn.Go(ctx, s.handle)
	select {
	case <-conn.Done():
	case <-ctx.Done():
	}
	s.mu.Lock()
	defer s.mu.Unlock()
	switch {
	case s.phase == ended || s.phase == shut:
		return nil
	case conn.Err() != nil:
		return fmt.Errorf("the connection to the editor broke: %w", conn.Err())
	}
	return ErrNoShutdown
}

// codec is encoding/json: the protocol's types are written for it.
type codec struct{}

func (codec) Marshal(v any) ([]byte, error)      { return json.Marshal(v) }
func (codec) Unmarshal(data []byte, v any) error { return json.Unmarshal(data, v) }

// A phase of a server's life.
type phase int

const (
	fresh phase = iota
	running
	shut
	ended
)

// A server is one connection to an editor.
type server struct {
	options Options
	conn    jsonrpc2.Conn
	ctx     context.Context
	exit    context.CancelFunc

	mu      sync.Mutex
	phase   phase
	client  client
	roots   []string // folders that the editor has open
	folders map[string]*folder
	docs    map[string]*document // by absolute path
}

// client is what the editor can do.
type client struct {
	relatedInformation bool
	versionedEdits     bool
	watchesFiles       bool
	markdown           bool
}

func newServer(options Options) *server {
	return &server{options: options, folders: map[string]*folder{}, docs: map[string]*document{}}
}

// stop ends the work in the background.
func (s *server) stop() {
	s.mu.Lock()
	all := s.folders
	s.folders = map[string]*folder{}
	s.mu.Unlock()
	for _, f := range all {
		f.stop()
	}
}

// A method answers one kind of request from its parameters.
type method func(s *server, params []byte) (any, error)

// on makes a method of a function of typed parameters.
func on[P any](f func(*server, *P) (any, error)) method {
	return func(s *server, params []byte) (any, error) {
		p := new(P)
		if len(params) > 0 {
			if err := json.Unmarshal(params, p); err != nil {
				return nil, jsonrpc2.Errorf(jsonrpc2.InvalidParams, "the parameters cannot be read: %v", err)
			}
		}
		return f(s, p)
	}
}

// methods are all that the server answers to.
var methods map[string]method

func init() {
	methods = map[string]method{
		"initialize":  on((*server).initialize),
		"initialized": on((*server).initialized),
		"shutdown":    on((*server).shutdown),
		"exit":        on((*server).end),

		"textDocument/didOpen":            on((*server).didOpen),
		"textDocument/didChange":          on((*server).didChange),
		"textDocument/didClose":           on((*server).didClose),
		"textDocument/didSave":            on((*server).didSave),
		"workspace/didChangeWatchedFiles": on((*server).didChangeWatchedFiles),

		"textDocument/completion":          on((*server).completion),
		"textDocument/hover":               on((*server).hover),
		"textDocument/definition":          on((*server).definition),
		"textDocument/references":          on((*server).references),
		"textDocument/documentHighlight":   on((*server).highlights),
		"textDocument/prepareRename":       on((*server).prepareRename),
		"textDocument/rename":              on((*server).rename),
		"textDocument/documentSymbol":      on((*server).outline),
		"textDocument/foldingRange":        on((*server).folding),
		"textDocument/formatting":          on((*server).formatting),
		"textDocument/codeAction":          on((*server).codeActions),
		"textDocument/semanticTokens/full": on((*server).colours),
		"textDocument/inlayHint":           on((*server).inlayHints),
		"workspace/symbol":                 on((*server).find),
	}
}

// The protocol's own error codes.
const (
	notInitialized jsonrpc2.Code = -32002
	requestFailed  jsonrpc2.Code = -32803
)

// refused is the reply to a request that cannot be granted, with the reason.
func refused(format string, args ...any) error {
	return jsonrpc2.Errorf(requestFailed, format, args...)
}

// handle answers one request or takes one notification. It never fails the
// connection, whatever the request.
func (s *server) handle(_ context.Context, req *jsonrpc2.Request) (result any, err error) {
	name := req.Method()
	defer func() {
		if p := recover(); p != nil {
			result, err = nil, jsonrpc2.Errorf(jsonrpc2.InternalError, "the server failed in %s: %v", name, p)
			s.log(fmt.Sprintf("fault in %s: %v\n%s", name, p, debug.Stack()))
		}
		if !req.IsCall() {
			result, err = nil, nil
		}
	}()
	f, known := methods[name]
	if !known {
		if strings.HasPrefix(name, "$/") && !req.IsCall() {
			return nil, nil // optional by the protocol
		}
		return nil, jsonrpc2.Errorf(jsonrpc2.MethodNotFound, "there is no method %s", message.Printable(name))
	}
	s.mu.Lock()
	now := s.phase
	s.mu.Unlock()
	switch {
	case name == "exit":
	case now == fresh && name != "initialize":
		return nil, jsonrpc2.Errorf(notInitialized, "the first request is initialize, not %s", name)
	case now >= shut:
		return nil, jsonrpc2.Errorf(jsonrpc2.InvalidRequest, "the server has been shut down")
	}
	return f(s, req.Params())
}

// log tells the editor of a fault of ours.
func (s *server) log(text string) {
	_ = s.conn.Notify(s.ctx, "window/logMessage", protocol.LogMessageParams{Type: protocol.Error, Message: text})
}

// notify sends a notification; that the editor is gone shows elsewhere.
func (s *server) notify(name string, params any) { _ = s.conn.Notify(s.ctx, name, params) }
