//go:build !wasm

package main

import (
	"fmt"
	"mime"
	"net"
	"net/http"
	"os"
)

// serveFolder serves dir at the address and prints where, until it is stopped.
func serveFolder(address, dir string) error {
	if info, err := os.Stat(dir); err != nil || !info.IsDir() {
		return fmt.Errorf("%s is not a folder", dir)
	}
	l, err := net.Listen("tcp", address)
	if err != nil {
		return err
	}
	fmt.Printf("Candleclock is at http://%s/ (stop with Ctrl-C)\n", l.Addr())
	return http.Serve(l, folderHandler(dir))
}

// folderHandler serves dir as a careful static host would: right types, and
// nothing used from a cache without asking.
func folderHandler(dir string) http.Handler {
	// A system's own table may lack these or have them wrong.
	for ext, kind := range map[string]string{
		".css":         "text/css; charset=utf-8",
		".html":        "text/html; charset=utf-8",
		".js":          "text/javascript; charset=utf-8",
		".png":         "image/png",
		".svg":         "image/svg+xml",
		".wasm":        "application/wasm",
		".webmanifest": "application/manifest+json",
	} {
		if err := mime.AddExtensionType(ext, kind); err != nil {
			panic(err) // the table above is wrong
		}
	}
	files := http.FileServer(http.Dir(dir))
	return http.HandlerFunc(func(w http.ResponseWriter, r *http.Request) {
		w.Header().Set("Cache-Control", "no-cache")
		w.Header().Set("X-Content-Type-Options", "nosniff")
		files.ServeHTTP(w, r)
	})
}
