package e2e

import (
	"bytes"
	"crypto/sha256"
	"encoding/base64"
	"encoding/hex"
	"fmt"
	"io/fs"
	"maps"
	"os"
	"path"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// site is a built site: contents by path.
type site map[string][]byte

// The files of a site with a part of their own.
const (
	pagePath   = "index.html"
	workerPath = "sw.js"
	scriptPath = "boot.js"
)

// built reads the site that is tested. It is kept in memory, so that a build
// meanwhile does not matter.
func built(t testing.TB) site {
	t.Helper()
	s := site{}
	root := os.DirFS(siteFolder())
	err := fs.WalkDir(root, ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil || d.IsDir() {
			return err
		}
		s[p], err = fs.ReadFile(root, p)
		return err
	})
	if err != nil {
		t.Fatalf("the site: %v (./build.sh builds it)", err)
	}
	return s
}

func siteFolder() string {
	if dir := os.Getenv("CANDLECLOCK_SITE"); dir != "" {
		return dir
	}
	return "../.build/site"
}

// builtSingle reads the same page as a single file, which lies beside the site.
func builtSingle(t testing.TB) []byte {
	t.Helper()
	file, err := os.ReadFile(filepath.Join(siteFolder(), "..", "candleclock.html"))
	if err != nil {
		t.Fatalf("the single file: %v (./build.sh builds it)", err)
	}
	return file
}

// wasmPath is the path of the site's program.
func (s site) wasmPath(t testing.TB) string {
	t.Helper()
	for p := range s {
		if path.Ext(p) == ".wasm" {
			return p
		}
	}
	t.Fatal("the site has no .wasm file")
	return ""
}

// but returns the site with one file changed and nothing else: half a version.
func (s site) but(p string, content []byte) site {
	n := maps.Clone(s)
	n[p] = content
	return n
}

// with returns the site with one file changed, and told so wherever the site
// names its hash.
func (s site) with(p string, content []byte) site {
	was, is := sha256.Sum256(s[p]), sha256.Sum256(content)
	n := s.but(p, content)
	page := bytes.ReplaceAll(n[pagePath], base64Of(was), base64Of(is))
	if p != pagePath && !bytes.Equal(page, n[pagePath]) {
		n = n.with(pagePath, page)
	}
	n[workerPath] = bytes.ReplaceAll(n[workerPath], hexOf(was), hexOf(is))
	return n
}

func base64Of(sum [32]byte) []byte { return []byte(base64.StdEncoding.EncodeToString(sum[:])) }
func hexOf(sum [32]byte) []byte    { return []byte(hex.EncodeToString(sum[:])) }

// next returns a whole newer version of the site: its page says so with
// <html data-version>, its script with window.version.
func (s site) next(name string) site {
	page := strings.Replace(string(s[pagePath]), "<html ", fmt.Sprintf("<html data-version=%q ", name), 1)
	n := s.with(pagePath, []byte(page))
	n = n.with(scriptPath, fmt.Appendf(slices.Clone(n[scriptPath]), "\nwindow.version = %q;\n", name))
	n[workerPath] = version.ReplaceAll(n[workerPath], fmt.Appendf(nil, `const version = "%s"`, name))
	return n
}

var version = regexp.MustCompile(`const version = "[^"]*"`)
