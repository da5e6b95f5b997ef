// Package onefile makes one HTML file of the page, with the program, styles and
// scripts inside: it opens from a memory stick or an attachment and asks nothing
// of any host. The build makes it, and so does the page itself when a plan is
// handed on in that way: by the same steps, from the same files.
//
// The file's content policy names each script and style by its hash and allows
// nothing else. The hashes are those by which the page names its files, so what
// goes in is those files, byte for byte.
package onefile

import (
	"encoding/base64"
	"fmt"
	"slices"
	"strings"
)

// Page is the path of the page among the files of the site.
const Page = "./"

// Parts are the files that the page is made of.
type Parts interface {
	// Read returns the file at a path, which must have the hash ("sha256-" and
	// the sum in base64) unless that is "".
	Read(path, hash string) ([]byte, error)
	// Pack packs data as gzip.
	Pack(data []byte) ([]byte, error)
}

// Make puts the page and all that it loads into one file, without a plan. It
// fails, with the error of parts, when one can't be had, or when the page is not
// of the kind it knows.
func Make(parts Parts) ([]byte, error) {
	page, err := parts.Read(Page, "")
	if err != nil {
		return nil, err
	}
	m := maker{parts: parts}
	lines := strings.SplitAfter(string(page), "\n")
	policy := -1
	for i, line := range lines {
		if strings.HasPrefix(line, `<meta http-equiv="Content-Security-Policy"`) {
			policy = i
			continue
		}
		if lines[i], err = m.line(line); err != nil {
			return nil, err
		}
	}
	if policy < 0 || !m.sheet || !m.program || len(m.styles) == 0 {
		return nil, unfit("it lacks a policy, a style, the sheet or the program")
	}
	lines[policy] = m.policy()
	return []byte(strings.Join(lines, "")), nil
}

func unfit(format string, a ...any) error {
	return fmt.Errorf("this page can't be made one file: "+format, a...)
}

// The marks by which a plan is put into the file. The page's script and the
// program look for the ids.
const (
	cardOpens    = `<!--card-->`
	cardCloses   = `<!--/card-->`
	planOpens    = `<script type="application/json" id="plan"`
	errandOpens  = `<script type="text/plain" id="errand">`
	programOpens = `<script type="text/plain" id="program">`
	scriptCloses = `</script>`
)

// maker goes through a page line by line.
type maker struct {
	parts           Parts
	scripts, styles []string // hashes of what has gone in
	names           string   // the tag that names the program and the worker's script
	sheet, program  bool     // have been met
}

// line returns what stands in the file in place of a line of the page.
func (m *maker) line(line string) (string, error) {
	begins := func(with string) bool { return strings.HasPrefix(line, with) }
	switch {
	case begins(`<link rel="manifest"`), begins(`<link rel="apple-touch-icon"`):
		return "", nil // of an app that is installed
	case begins(`<link rel="icon"`):
		icon, err := m.parts.Read(attribute(line, "href"), "")
		if err != nil {
			return "", err
		}
		return `<link rel="icon" href="data:image/svg+xml;base64,` + base64.StdEncoding.EncodeToString(icon) + "\">\n", nil
	case begins(`<link rel="stylesheet"`):
		return m.style(attribute(line, "href"), attribute(line, "integrity"))
	case begins(`<script src="`):
		if attribute(line, "data-wasm") != "" {
			m.names = line
		}
		return m.script(attribute(line, "src"), attribute(line, "integrity"))
	case begins(`<link`), begins(`<script`):
		return "", unfit("it loads something unknown: %s", line)
	case begins(`<main class="paper">`):
		m.sheet = true
		return cardOpens + cardCloses + line, nil
	case begins(`</body>`):
		errand, err := m.inline(attribute(m.names, "data-errand"), attribute(m.names, "data-errand-integrity"), scriptEnders...)
		if err != nil {
			return "", err
		}
		program, err := m.packed()
		return planOpens + ">" + scriptCloses + "\n" + errandOpens + errand + scriptCloses + "\n" +
			programOpens + program + scriptCloses + "\n" + line, err
	}
	return line, nil
}

// attribute is the value of an attribute in a tag; "" when it has none.
func attribute(tag, name string) string {
	_, value, _ := strings.Cut(tag, " "+name+`="`)
	value, _, _ = strings.Cut(value, `"`)
	return value
}

func (m *maker) style(path, hash string) (string, error) {
	content, err := m.inline(path, hash, "</style")
	m.styles = append(m.styles, hash)
	return "<style>" + content + "</style>\n", err
}

func (m *maker) script(path, hash string) (string, error) {
	content, err := m.inline(path, hash, scriptEnders...)
	m.scripts = append(m.scripts, hash)
	return "<script>" + content + scriptCloses + "\n", err
}

// scriptEnders are what a script element must not hold (HTML, restrictions for
// contents of script elements).
var scriptEnders = []string{"</script", "<script", "<!--"}

// inline returns a file that is to stand in the page itself, where it must not
// hold any of the words that would end it.
func (m *maker) inline(path, hash string, enders ...string) (string, error) {
	if hash == "" {
		return "", unfit("it names no hash of %s", path)
	}
	content, err := m.parts.Read(path, hash)
	if err != nil {
		return "", err
	}
	for _, e := range slices.Concat(enders, []string{"\r", "\x00"}) { // a browser changes the last two
		if strings.Contains(strings.ToLower(string(content)), e) {
			return "", unfit("%s has %q in it", path, e)
		}
	}
	return string(content), nil
}

// packed returns the program as text.
func (m *maker) packed() (string, error) {
	wasm, hash := attribute(m.names, "data-wasm"), attribute(m.names, "data-wasm-integrity")
	if hash == "" {
		return "", unfit("it names no hash of the program")
	}
	content, err := m.parts.Read(wasm, hash)
	if err != nil {
		return "", err
	}
	small, err := m.parts.Pack(content)
	m.program = true
	return base64.StdEncoding.EncodeToString(small), err
}

// policy allows what has gone in, and nothing else.
func (m *maker) policy() string {
	list := func(hashes []string) string { return "'" + strings.Join(hashes, "' '") + "'" }
	return `<meta http-equiv="Content-Security-Policy" content="default-src 'none'; script-src ` + list(m.scripts) +
		` 'wasm-unsafe-eval'; style-src ` + list(m.styles) + `; worker-src blob:; img-src data:; base-uri 'none'; form-action 'none'">` + "\n"
}
