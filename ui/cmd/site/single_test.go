//go:build !wasm

package main

import (
	"bytes"
	"compress/gzip"
	"encoding/base64"
	"io"
	"regexp"
	"slices"
	"strings"
	"testing"

	"candleclock/ui/onefile"
)

var (
	inlined   = regexp.MustCompile(`(?s)<(script|style)>(.*?)</(?:script|style)>`)
	policySet = regexp.MustCompile(`(script|style)-src ([^;"]*)`)
	quoted    = regexp.MustCompile(`'(sha256-[^']*)'`)
)

// The policy of the single file names exactly what stands in it, the program in
// it is the site's, and it loads nothing.
func TestSingleFile(t *testing.T) {
	s := built(t, strings.Repeat("program ", 1000))
	file, err := onefile.Make(parts{s})
	if err != nil {
		t.Fatal(err)
	}
	text := string(file)
	got, want := map[string][]string{}, map[string][]string{}
	for _, m := range inlined.FindAllStringSubmatch(text, -1) {
		want[m[1]] = append(want[m[1]], hashOf([]byte(m[2])))
	}
	for _, m := range policySet.FindAllStringSubmatch(text, -1) {
		for _, h := range quoted.FindAllStringSubmatch(m[2], -1) {
			got[m[1]] = append(got[m[1]], h[1])
		}
	}
	for kind, n := range map[string]int{"script": 3, "style": len(styles)} {
		if !slices.Equal(got[kind], want[kind]) || len(want[kind]) != n {
			t.Errorf("%ss: the policy names\n%q\nin the file stand\n%q", kind, got[kind], want[kind])
		}
	}
	if strings.Contains(text, "unsafe-inline") || strings.Contains(text, "'unsafe-eval'") {
		t.Error("the policy allows too much")
	}
	for _, loads := range []string{" src=", "<link rel=\"stylesheet", "manifest", "url(", "@import"} {
		if strings.Contains(text, loads) {
			t.Errorf("%q is in the file", loads)
		}
	}
	_, packed, _ := strings.Cut(text, `<script type="text/plain" id="program">`)
	packed, _, _ = strings.Cut(packed, "<")
	raw, err := base64.StdEncoding.DecodeString(packed)
	if err != nil {
		t.Fatal(err)
	}
	r, err := gzip.NewReader(bytes.NewReader(raw))
	if err != nil {
		t.Fatal(err)
	}
	program, err := io.ReadAll(r)
	if err != nil || string(program) != strings.Repeat("program ", 1000) {
		t.Errorf("the program in the file: %d bytes, %v", len(program), err)
	}
	for path := range s {
		if strings.HasSuffix(path, ".js") && path != workerPath {
			s[path] = append(slices.Clone(s[path]), "// another version\n"...)
			if _, err := onefile.Make(parts{s}); err == nil {
				t.Errorf("made with another %s than the page names", path)
			}
			s[path] = bytes.TrimSuffix(s[path], []byte("// another version\n"))
		}
	}
}
