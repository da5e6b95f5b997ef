//go:build !wasm

package main

import (
	"crypto/sha256"
	"fmt"
	"maps"
	"slices"
	"strings"
)

// worker fills in the service worker's version and list of files: every file
// of the site but the worker itself. The page goes by the name "./", since
// some hosts redirect index.html.
func worker(s site) ([]byte, error) {
	var list, all strings.Builder
	for _, path := range slices.Sorted(maps.Keys(s)) {
		sum := sha256.Sum256(s[path])
		fmt.Fprintf(&all, "%s %x\n", path, sum)
		switch path {
		case workerPath:
			continue
		case pagePath:
			path = "./"
		}
		fmt.Fprintf(&list, "  %q: \"%x\",\n", path, sum)
	}
	version := sha256.Sum256([]byte(all.String()))
	return replaceOnce(s[workerPath],
		replacement{"the version", `const version = "";`, fmt.Sprintf(`const version = "%.8x";`, version)},
		replacement{"the list of files", `const files = {};`, "const files = {\n" + list.String() + "};"},
	)
}
