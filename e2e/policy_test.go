package e2e

import (
	"slices"
	"strings"
	"testing"
)

// Every tab of these tests fails on a breach of the content policy. Here the
// page is made to breach it in every way that matters, and each is seen: a
// policy that went missing, or a listener that hears nothing, fails here.
func TestBreachesAreSeen(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.expect("Content Security Policy")
	b.expect("Refused")
	b.expect("request to elsewhere") // begun, and stopped by the policy
	b.open(h, "")
	if got := b.breached(); len(got) != 0 {
		t.Fatalf("before anything is done: %q", got)
	}
	for _, c := range []struct{ directive, script string }{
		{"script-src-elem", `const e = document.createElement("script"); e.textContent = "window.bad = 1"; document.body.append(e)`},
		{"script-src-elem", `const e = document.createElement("script"); e.src = "https://elsewhere.invalid/x.js"; document.body.append(e)`},
		{"script-src-attr", `const e = document.createElement("p"); e.setAttribute("onclick", "window.bad = 1"); document.body.append(e); e.click()`},
		{"script-src", `setTimeout(() => { try { new Function("window.bad = 1")() } catch {} })`},
		{"style-src-elem", `const e = document.createElement("style"); e.textContent = "p { color: red }"; document.head.append(e)`},
		{"style-src-attr", `const e = document.createElement("p"); e.setAttribute("style", "color: red"); document.body.append(e)`},
		{"img-src", `new Image().src = "https://elsewhere.invalid/x.png"`},
		{"img-src", `new Image().src = "data:image/gif;base64,R0lGODlhAQABAAAAACw="`},
		{"connect-src", `fetch("https://elsewhere.invalid/").catch(() => {})`},
		{"frame-src", `const e = document.createElement("iframe"); e.src = "https://elsewhere.invalid/"; document.body.append(e)`},
		{"font-src", `new FontFace("x", "url(https://elsewhere.invalid/x.woff2)").load().catch(() => {})`},
		{"base-uri", `const e = document.createElement("base"); e.href = "https://elsewhere.invalid/"; document.head.append(e)`},
		{"form-action", `const e = document.createElement("form"); e.action = "https://elsewhere.invalid/"; document.body.append(e); e.submit()`},
	} {
		eval[bool](b, `(() => { `+c.script+` })(), true`)
		var seen []string
		eventually(t, c.directive+" by "+c.script, func() bool {
			seen = append(seen, b.breached()...)
			return slices.ContainsFunc(seen, func(s string) bool { return strings.HasPrefix(s, c.directive+" ") })
		})
	}
	if eval[bool](b, `"bad" in window`) {
		t.Error("a script that the policy forbids has run")
	}
	b.breached()
}
