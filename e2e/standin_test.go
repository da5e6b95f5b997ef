package e2e

import (
	"bytes"
	"encoding/base64"
	"fmt"
	"maps"
	"path"
	"slices"
	"strconv"
	"strings"
	"testing"
)

// standIn returns a whole version of the site that takes a moment to start: the
// page, its script and its worker are the real ones, and so is the list of
// files; the program and what runs it are stand-ins. Every file tells which
// version it is of.
func standIn(t testing.TB, s site, name string) site {
	t.Helper()
	n := s.next(name)
	for _, p := range slices.Sorted(maps.Keys(s)) {
		switch {
		case p == pagePath || p == workerPath || p == scriptPath:
			continue // next has marked them
		case p == "wasm_exec.js":
			n = n.with(p, fmt.Appendf(nil, `globalThis.Go = class {
				importObject = {};
				async run(instance) {
					window.drawer.length; // as the real one would miss it
					window.program = new TextDecoder().decode(instance.exports.memory.buffer.slice(0, %d));
					document.querySelector("main").classList.add("stand-in");
					window.candleclock.usable();
					return new Promise(() => {});
				}
			};
			window.runner = %q;
			`, len(name), name))
		case path.Ext(p) == ".js":
			n = n.with(p, fmt.Appendf(nil, "window.drawer = %q;\n", name))
		case path.Ext(p) == ".wasm":
			n = n.with(p, program(name))
		case path.Ext(p) == ".css":
			n = n.with(p, fmt.Appendf(slices.Clone(n[p]), "\n:root { --%s: %s; }\n", base(p), name))
		default: // icons and the manifest are not looked into
			n = n.with(p, fmt.Appendf(slices.Clone(n[p]), "\n%s", name))
		}
	}
	return n
}

// base is a file's name without what follows its dot.
func base(p string) string { return p[:len(p)-len(path.Ext(p))] }

// program is the smallest one that can tell its version: a page of memory that
// begins with the name.
func program(name string) []byte {
	section := func(id byte, content ...byte) []byte { return append([]byte{id, byte(len(content))}, content...) }
	return slices.Concat(
		[]byte("\x00asm\x01\x00\x00\x00"),
		section(5, 1, 0, 1), // one memory of one page
		section(7, slices.Concat([]byte{1, 6}, []byte("memory"), []byte{2, 0})...),
		section(11, slices.Concat([]byte{1, 0, 0x41, 0, 0x0b, byte(len(name))}, []byte(name))...), // name at 0
	)
}

// parts evaluates to the versions of all that runs and dresses the page.
const parts = `[document.documentElement.dataset.version, window.version, window.runner, window.drawer, window.program,
	...[...document.querySelectorAll("link[rel=stylesheet]")].map(l => getComputedStyle(document.documentElement).getPropertyValue("--" + l.getAttribute("href").replace(".css", "")).trim())]`

// endState is how an opened page of a stand-in ended: "runs" and its versions,
// each once, and ", told" where it says that something is missing; "told" where
// it says that it can't run; "lost" where the worker says so in its stead; and
// "none" where there is no page of ours, because its host gave none.
const endState = `(() => {
	const run = document.documentElement.dataset.run;
	if (run === "running") return "runs " + [...new Set(` + parts + `)].map(v => v || "?").join("+") + (document.getElementById("notice").checkVisibility() ? ", told" : "");
	if (run === "stopped" && document.getElementById("notice").checkVisibility()) return "told";
	if (document.getElementById("cut-off")) return "told";
	if (document.readyState !== "complete") return "";
	if (!document.getElementById("app")) return /Candleclock/.test(document.title) ? (document.querySelector("meta[http-equiv=refresh]") ? "" : "lost") : "none";
	if (!run && document.getElementById("unstarted").checkVisibility() && document.getElementById("paper").checkVisibility()) return "told";
	return "";
})()`

// ended waits until the page has come to an end state.
func (b *tab) ended() string {
	b.t.Helper()
	var got string
	eventually(b.t, "the page's end", func() bool {
		got, _ = try[string](b, endState)
		return got != ""
	})
	return got
}

// keptWhole checks that the worker answers with every file of the version, and
// no other bytes.
func (b *tab) keptWhole(s site) string {
	b.t.Helper()
	var quoted []string
	for _, p := range s.parts() {
		quoted = append(quoted, strconv.Quote(p))
	}
	got := eval[map[string]string](b, fmt.Sprintf(`Promise.all([%s].map(p => fetch(p).then(r => r.arrayBuffer()).then(
		a => [p, btoa(Array.from(new Uint8Array(a), c => String.fromCharCode(c)).join(""))], () => [p, ""]))).then(Object.fromEntries)`, strings.Join(quoted, ",")))
	for _, p := range s.parts() {
		if was, err := base64.StdEncoding.DecodeString(got[p]); err != nil || !bytes.Equal(was, s[p]) {
			return p
		}
	}
	return ""
}

// parts are the paths of all files but the worker, which the browser looks after.
func (s site) parts() []string {
	return slices.DeleteFunc(slices.Sorted(maps.Keys(s)), func(p string) bool { return p == workerPath })
}
