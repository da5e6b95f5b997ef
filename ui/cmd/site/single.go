//go:build !wasm

package main

import (
	"bytes"
	"compress/gzip"
	"fmt"

	"candleclock/ui/onefile"
)

// parts are the site's files, for making one file of them.
type parts struct{ site }

func (p parts) Read(path, hash string) ([]byte, error) {
	if path == onefile.Page {
		path = pagePath
	}
	content, ok := p.site[path]
	if !ok || hash != "" && hashOf(content) != hash {
		return nil, fmt.Errorf("the site has no %s with the hash %q", path, hash)
	}
	return content, nil
}

func (p parts) Pack(data []byte) ([]byte, error) {
	var b bytes.Buffer
	w, err := gzip.NewWriterLevel(&b, gzip.BestCompression)
	if err != nil {
		return nil, err
	}
	if _, err := w.Write(data); err != nil {
		return nil, err
	}
	err = w.Close()
	return b.Bytes(), err
}
