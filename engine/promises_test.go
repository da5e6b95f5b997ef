package engine_test

import (
	"io/fs"
	"os"
	"regexp"
	"strings"
	"testing"
)

// Each promise of README.md names tests that hold it, and those are there.
func TestPromisesAreHeld(t *testing.T) {
	root := os.DirFS("..")
	tests := map[string]bool{}
	declared := regexp.MustCompile(`(?m)^func ((?:Test|Fuzz)\w+)\(`)
	err := fs.WalkDir(root, ".", func(p string, d fs.DirEntry, err error) error {
		if err != nil {
			return err
		}
		if d.IsDir() && p != "." && strings.HasPrefix(d.Name(), ".") {
			return fs.SkipDir
		}
		if !strings.HasSuffix(p, "_test.go") {
			return nil
		}
		code, err := fs.ReadFile(root, p)
		for _, m := range declared.FindAllSubmatch(code, -1) {
			tests[string(m[1])] = true
		}
		return err
	})
	if err != nil {
		t.Fatal(err)
	}
	readme, err := fs.ReadFile(root, "README.md")
	if err != nil {
		t.Fatal(err)
	}
	_, section, found := strings.Cut(string(readme), "\n## Promises\n")
	if !found {
		t.Fatal("README.md has no promises")
	}
	section, _, _ = strings.Cut(section, "\n## ")
	named := regexp.MustCompile("`((?:Test|Fuzz)\\w+)`")
	promises := 0
	for line := range strings.Lines(section) {
		if !strings.HasPrefix(line, "- ") {
			continue
		}
		promises++
		held := named.FindAllStringSubmatch(line, -1)
		if len(held) == 0 {
			t.Errorf("no test holds this: %s", line)
		}
		for _, m := range held {
			if !tests[m[1]] {
				t.Errorf("there is no %s, which should hold this: %s", m[1], line)
			}
		}
	}
	if promises < 10 {
		t.Errorf("%d promises found", promises)
	}
}
