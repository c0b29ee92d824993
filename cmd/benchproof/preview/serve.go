package preview

import (
	"crypto/sha256"
	_ "embed"
	"encoding/base64"
	"encoding/json"
	"errors"
	"fmt"
	"io/fs"
	"net/http"
	"strings"
	"time"

	"benchproof/dsl/message"
	"benchproof/render/html"
)

//go:embed assets/page.html
var pageHTML []byte

//go:embed assets/page.css
var pageCSS []byte

//go:embed assets/page.js
var pageJS []byte

const (
	// mostAnswers are the requests answered at once.
	mostAnswers = 64
	// beat is how often an open page is told that the server is there, so that
	// one that is gone is noticed.
	beat = 15 * time.Second

	// The page takes its own script and sheet, speaks to this server and frames
	// its documents; nobody frames it.
	pagePolicy = "default-src 'none'; script-src 'self'; style-src 'self'; connect-src 'self'; img-src data:; frame-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
	// A document's own policy stands in the document; this adds who may frame it.
	framedPolicy = "frame-ancestors 'self'"
)

// handler answers what the page asks for, and nothing else.
func (s *Server) handler() http.Handler {
	mux := http.NewServeMux()
	mux.HandleFunc("GET /{$}", fixed("text/html; charset=utf-8", pagePolicy, pageHTML))
	mux.HandleFunc("GET /page.css", fixed("text/css; charset=utf-8", "", pageCSS))
	mux.HandleFunc("GET /page.js", fixed("text/javascript; charset=utf-8", "", pageJS))
	mux.HandleFunc("GET /state", s.serveState)
	mux.HandleFunc("GET /news", s.serveNews)
	mux.HandleFunc("GET /good/{name}", func(w http.ResponseWriter, r *http.Request) { s.serveDocument(w, r, false) })
	mux.HandleFunc("GET /draft/{name}", func(w http.ResponseWriter, r *http.Request) { s.serveDocument(w, r, true) })
	mux.HandleFunc("GET /explain/{code}", serveExplanation)

	room := make(chan struct{}, mostAnswers)
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		head := w.Header()
		head.Set("X-Content-Type-Options", "nosniff")
		head.Set("Referrer-Policy", "no-referrer")
		head.Set("Cross-Origin-Resource-Policy", "same-origin")
		head.Set("Cross-Origin-Opener-Policy", "same-origin")
		head.Set("Cache-Control", "no-store")
		if why := s.stranger(r); why != "" {
			http.Error(w, why, http.StatusForbidden)
			return
		}
		if r.ContentLength != 0 {
			head.Set("Connection", "close") // nothing here takes a body
			http.Error(w, "a request without a body is expected", http.StatusBadRequest)
			return
		}
		select {
		case room <- struct{}{}:
			defer func() { <-room }()
		default:
			http.Error(w, "too many requests at once", http.StatusServiceUnavailable)
			return
		}
		mux.ServeHTTP(w, r)
	})
}

// stranger tells why a request does not come from a page of this server; empty
// where it does. A name that somebody has pointed at the loopback address is
// refused by the host, and another site's script by its origin.
func (s *Server) stranger(r *http.Request) string {
	_, port, _ := strings.Cut(s.listen.Addr().String(), ":")
	ours := func(host string) bool { return host == "127.0.0.1:"+port || host == "localhost:"+port }
	if !ours(r.Host) {
		return "the preview answers to its own address only"
	}
	if origin, sent := r.Header["Origin"]; sent {
		for _, o := range origin {
			host, http := strings.CutPrefix(o, "http://")
			if !http || !ours(host) {
				return "the preview answers its own page only"
			}
		}
	}
	switch r.Header.Get("Sec-Fetch-Site") {
	case "", "same-origin", "none":
		return ""
	}
	// Another page may lead here, as a person who follows a link, and no more.
	if r.URL.Path == "/" && r.Header.Get("Sec-Fetch-Mode") == "navigate" && r.Header.Get("Sec-Fetch-Dest") == "document" {
		return ""
	}
	return "the preview answers its own page only"
}

func fixed(kind, policy string, body []byte) http.HandlerFunc {
	return func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", kind)
		if policy != "" {
			w.Header().Set("Content-Security-Policy", policy)
		}
		w.Write(body)
	}
}

func (s *Server) serveState(w http.ResponseWriter, _ *http.Request) {
	w.Header().Set("Content-Type", "application/json")
	json.NewEncoder(w).Encode(s.look())
}

// serveNews tells an open page the number of each new state (the event stream of
// the HTML standard).
func (s *Server) serveNews(w http.ResponseWriter, r *http.Request) {
	news, leave := s.wait()
	if news == nil {
		http.Error(w, "too many pages are open", http.StatusServiceUnavailable)
		return
	}
	defer leave()
	w.Header().Set("Content-Type", "text/event-stream")
	out := http.NewResponseController(w)
	alive := time.NewTicker(beat)
	defer alive.Stop()
	for {
		if out.SetWriteDeadline(time.Now().Add(answerTime)) != nil {
			return
		}
		if _, err := fmt.Fprintf(w, "data: %d\n\n", s.look().Number); err != nil || out.Flush() != nil {
			return
		}
		select {
		case <-r.Context().Done():
			return
		case <-news:
		case <-alive.C:
		}
	}
}

func (s *Server) serveDocument(w http.ResponseWriter, r *http.Request, draft bool) {
	name, ok := strings.CutSuffix(r.PathValue("name"), ".html")
	site := s.site(draft)
	if !ok || site == nil {
		http.Error(w, "there is no such document", http.StatusNotFound)
		return
	}
	body, err := site.page(name)
	switch {
	case errors.Is(err, fs.ErrNotExist):
		http.Error(w, "there is no such document", http.StatusNotFound)
		return
	case err != nil:
		http.Error(w, "the document cannot be shown: "+err.Error(), http.StatusInternalServerError)
		return
	}
	sum := sha256.Sum256(body)
	tag := `"` + base64.RawURLEncoding.EncodeToString(sum[:18]) + `"`
	w.Header().Set("ETag", tag)
	w.Header().Set("Content-Security-Policy", framedPolicy)
	if r.Header.Get("If-None-Match") == tag {
		w.WriteHeader(http.StatusNotModified)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Write(body)
}

// serveExplanation shows the page of a code.
func serveExplanation(w http.ResponseWriter, r *http.Request) {
	entry, ok := message.Find(r.PathValue("code"))
	if !ok {
		http.Error(w, "there is no such code", http.StatusNotFound)
		return
	}
	w.Header().Set("Content-Type", "text/html; charset=utf-8")
	w.Header().Set("Content-Security-Policy", "frame-ancestors 'none'")
	chapter := html.Chapter{ID: string(entry.Code), Markdown: message.Page(entry.Code)}
	if err := html.Manual(w, string(entry.Code), []html.Chapter{chapter}); err != nil {
		http.Error(w, err.Error(), http.StatusInternalServerError)
	}
}
