//go:build !wasm

package main

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"fmt"
	"maps"
	"net/http/httptest"
	"os"
	"os/exec"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// goSays is what a go command prints.
func goSays(t *testing.T, args ...string) string {
	t.Helper()
	out, err := exec.Command("go", args...).Output()
	if err != nil {
		t.Fatal(err)
	}
	return strings.TrimSpace(string(out))
}

// built is the site made of the real public folder and a program of a few bytes.
func built(t *testing.T, program string) site {
	t.Helper()
	wasm := filepath.Join(t.TempDir(), "program")
	if err := os.WriteFile(wasm, []byte(program), 0o600); err != nil {
		t.Fatal(err)
	}
	out := filepath.Join(t.TempDir(), "site")
	err := build(out, filepath.Join(t.TempDir(), "single.html"), inputs{
		wasm:   wasm,
		public: "../../../public",
		goroot: goSays(t, "env", "GOROOT"),
		vugu:   goSays(t, "list", "-m", "-f", "{{.Dir}}", "github.com/vugu/vugu"),
	})
	if err != nil {
		t.Fatal(err)
	}
	s, err := readFolder(out)
	if err != nil {
		t.Fatal(err)
	}
	return s
}

var (
	listed   = regexp.MustCompile(`(?m)^  "(.*)": "([0-9a-f]{64})",$`)
	versions = regexp.MustCompile(`(?m)^const version = "([0-9a-f]{16})";$`)
)

func TestWorkerListsEveryFile(t *testing.T) {
	s := built(t, "program")
	got := map[string]string{}
	for _, m := range listed.FindAllStringSubmatch(string(s["sw.js"]), -1) {
		got[m[1]] = m[2]
	}
	want := map[string]string{}
	for path, content := range s {
		switch path {
		case "sw.js":
			continue // the browser looks after it
		case "index.html":
			path = "./"
		}
		want[path] = fmt.Sprintf("%x", sha256.Sum256(content))
	}
	if !maps.Equal(got, want) {
		t.Errorf("sw.js lists\n%v\nwant\n%v", got, want)
	}
}

func TestSameSourceSameBytes(t *testing.T) {
	a, b := built(t, "program"), built(t, "program")
	if !maps.EqualFunc(a, b, bytes.Equal) {
		t.Error("two builds of the same inputs differ")
	}
	version := func(s site) string { return string(versions.FindSubmatch(s["sw.js"])[1]) }
	if c := built(t, "another program"); version(a) == version(c) {
		t.Errorf("another program has the same version %s", version(a))
	}
}

func TestPageLoadsOnlyWhatIsThere(t *testing.T) {
	s := built(t, "program")
	html := string(s["index.html"])

	loads := regexp.MustCompile(`(?:src|href)="([^"]*)"(?: integrity="sha256-([^"]*)")?`).FindAllStringSubmatch(html, -1)
	var checked []string
	for _, m := range loads {
		if strings.HasPrefix(m[1], "#") || m[1] == "" {
			continue // a page of the program
		}
		content, ok := s[m[1]]
		if !ok {
			t.Errorf("the page loads %s, which the site has not", m[1])
		}
		if m[2] == "" {
			continue
		}
		sum := sha256.Sum256(content)
		if want := base64.StdEncoding.EncodeToString(sum[:]); m[2] != want {
			t.Errorf("integrity of %s is %s, want %s", m[1], m[2], want)
		}
		checked = append(checked, m[1])
	}
	slices.Sort(checked)
	want := []string{"boot.js", "card.css", "site.css", "style.css", "tokens.css", "vugu.js", "wasm_exec.js"}
	if !slices.Equal(checked, want) {
		t.Errorf("with integrity: %v, want %v", checked, want)
	}
	wasm := regexp.MustCompile(`data-wasm="([^"]*)" data-wasm-integrity="sha256-([^"]*)"`).FindStringSubmatch(html)
	if wasm == nil || string(s[wasm[1]]) != "program" {
		t.Fatalf("data-wasm is %q, want the program", wasm)
	}
	sum := sha256.Sum256([]byte("program"))
	if want := base64.StdEncoding.EncodeToString(sum[:]); wasm[2] != want {
		t.Errorf("the program's hash is %s, want %s", wasm[2], want)
	}
}

// The content policy forbids what stands in the page itself.
func TestPageHasNothingInline(t *testing.T) {
	html := string(built(t, "program")["index.html"])
	for _, bad := range []string{`<style`, `<script>`, `<script [^>]*>[^<]`, ` style=`, ` on[a-z]+=`, `javascript:`} {
		if found := regexp.MustCompile(bad).FindString(html); found != "" {
			t.Errorf("the page has %s", found)
		}
	}
	if !strings.Contains(html, `<div id="app" inert aria-busy="true"`) {
		t.Error("the prerendered page is not inert")
	}
}

func TestReplaceOnce(t *testing.T) {
	for _, c := range []struct{ text, want string }{
		{"one two", "1 two"},
		{"two", ""},
		{"one one", ""},
	} {
		got, err := replaceOnce([]byte(c.text), replacement{"it", "one", "1"})
		if string(got) != c.want || (err == nil) != (c.want != "") {
			t.Errorf("replaceOnce(%q) = %q, %v; want %q", c.text, got, err, c.want)
		}
	}
}

func TestVuguScript(t *testing.T) {
	module := goSays(t, "list", "-m", "-f", "{{.Dir}}", "github.com/vugu/vugu")
	script, err := vuguScript(module)
	if err != nil {
		t.Fatal(err)
	}
	for _, c := range vuguChanges {
		// Comments are dropped after the changes are made.
		if !bytes.Contains(script, withoutComments([]byte(c.new))) {
			t.Errorf("%s: the change is not in the script", c.what)
		}
	}
	if bytes.Contains(script, []byte("DEBUG")) {
		t.Error("lines for debugging are in the script")
	}

	// Another vugu must fail the build.
	dir := t.TempDir()
	if err := os.Mkdir(filepath.Join(dir, "domrender"), 0o700); err != nil {
		t.Fatal(err)
	}
	for _, name := range []string{"renderer-js-script.go", "renderer-js-script.js"} {
		content, err := os.ReadFile(filepath.Join(module, "domrender", name))
		if err != nil {
			t.Fatal(err)
		}
		content = bytes.ReplaceAll(content, []byte("window.vuguRender"), []byte("window.vuguDraw"))
		if err := os.WriteFile(filepath.Join(dir, "domrender", name), content, 0o600); err != nil {
			t.Fatal(err)
		}
		if _, err := vuguScript(dir); err == nil {
			t.Errorf("after changing %s: no error", name)
		}
	}
}

func TestServe(t *testing.T) {
	dir := t.TempDir()
	for path, want := range map[string]string{
		"a.wasm":        "application/wasm",
		"a.js":          "text/javascript; charset=utf-8",
		"a.css":         "text/css; charset=utf-8",
		"a.webmanifest": "application/manifest+json",
		"a.svg":         "image/svg+xml",
	} {
		if err := os.WriteFile(filepath.Join(dir, path), []byte("x"), 0o600); err != nil {
			t.Fatal(err)
		}
		w := httptest.NewRecorder()
		folderHandler(dir).ServeHTTP(w, httptest.NewRequest("GET", "/"+path, nil))
		if got := w.Header().Get("Content-Type"); got != want {
			t.Errorf("%s: type %q, want %q", path, got, want)
		}
		if got := w.Header().Get("Cache-Control"); got != "no-cache" {
			t.Errorf("%s: Cache-Control %q, want no-cache", path, got)
		}
	}
}
