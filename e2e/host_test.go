package e2e

import (
	"bytes"
	"errors"
	"net"
	"net/http"
	"path"
	"strings"
	"sync"
	"testing"
	"time"
)

// under is the path the site is served at.
const under = "/some/sub/path/"

// host serves a site on this machine, and fails when told to.
type host struct {
	t      testing.TB
	origin string
	url    string // of the site

	mu     sync.Mutex
	site   site
	faults map[string]http.HandlerFunc // answer in a file's place
	count  func(p string)              // is told of each request
	server *http.Server
}

// serve starts a host of s, which ends with the test.
func serve(t testing.TB, s site) *host {
	t.Helper()
	h := &host{t: t, site: s, faults: map[string]http.HandlerFunc{}}
	h.start("localhost:0")
	h.origin = "http://" + strings.Replace(h.server.Addr, "127.0.0.1", "localhost", 1)
	h.url = h.origin + under
	t.Cleanup(h.stop)
	return h
}

func (h *host) start(address string) {
	h.t.Helper()
	l, err := net.Listen("tcp4", address)
	if err != nil {
		h.t.Fatalf("the host: %v", err)
	}
	server := &http.Server{Addr: l.Addr().String(), Handler: h}
	h.server = server
	go func() {
		if err := server.Serve(l); !errors.Is(err, http.ErrServerClosed) {
			h.t.Errorf("the host: %v", err)
		}
	}()
}

// stop ends the host and every connection to it: the internet is gone.
func (h *host) stop() { _ = h.server.Close() }

// again starts it anew at the same address.
func (h *host) again() { h.t.Helper(); h.start(h.server.Addr) }

// deploy serves another version from now on.
func (h *host) deploy(s site) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.site = s
}

// fault has answer stand in for the file at p; nil mends it.
func (h *host) fault(p string, answer http.HandlerFunc) {
	h.mu.Lock()
	defer h.mu.Unlock()
	h.faults[p] = answer
}

func (h *host) ServeHTTP(w http.ResponseWriter, r *http.Request) {
	p, ok := strings.CutPrefix(r.URL.Path, under)
	if p == "" {
		p = pagePath
	}
	h.mu.Lock()
	if h.count != nil {
		h.count(p)
	}
	content, found := h.site[p]
	fault := h.faults[p]
	h.mu.Unlock()
	switch {
	case fault != nil:
		fault(w, r)
	case !ok || !found:
		http.NotFound(w, r)
	default:
		w.Header().Set("Content-Type", mediaTypes[path.Ext(p)])
		w.Header().Set("Cache-Control", "no-cache")
		w.Header().Set("X-Content-Type-Options", "nosniff")
		http.ServeContent(w, r, p, time.Time{}, bytes.NewReader(content))
	}
}

var mediaTypes = map[string]string{
	".css":         "text/css; charset=utf-8",
	".html":        "text/html; charset=utf-8",
	".js":          "text/javascript; charset=utf-8",
	".png":         "image/png",
	".svg":         "image/svg+xml",
	".wasm":        "application/wasm",
	".webmanifest": "application/manifest+json",
}

// held answers as the host would, once released.
func (h *host) held(p string, released <-chan struct{}) {
	h.fault(p, func(w http.ResponseWriter, r *http.Request) {
		select {
		case <-released:
			h.fault(p, nil)
			h.ServeHTTP(w, r)
		case <-r.Context().Done():
		}
	})
}
