package onefile

import (
	"bytes"
	"encoding/base64"
	"errors"
	"html"
	"strings"
	"testing"
	"unicode/utf8"

	"pgregory.net/rapid"

	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
)

// shelf is a small site; packing puts a P before.
type shelf map[string]string

var errAbsent = errors.New("absent")

func (s shelf) Read(path, hash string) ([]byte, error) {
	content, ok := s[path]
	if want := "sha256-" + path; !ok || hash != "" && hash != want {
		return nil, errAbsent
	}
	return []byte(content), nil
}

func (s shelf) Pack(data []byte) ([]byte, error) { return append([]byte("P"), data...), nil }

func small() shelf {
	return shelf{
		Page: `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="script-src 'self'">
<link rel="manifest" href="m.webmanifest">
<link rel="icon" href="i.svg" type="image/svg+xml">
<link rel="apple-touch-icon" href="i.png">
<link rel="stylesheet" href="a.css" integrity="sha256-a.css">
<link rel="stylesheet" href="b.css" integrity="sha256-b.css">
<script src="boot.js" integrity="sha256-boot.js" data-wasm="p.wasm" data-wasm-integrity="sha256-p.wasm" data-errand="e.js" data-errand-integrity="sha256-e.js"></script>
<script src="go.js" integrity="sha256-go.js" defer></script>
</head>
<body>
<div id="app"></div>
<section id="paper">
<noscript><p>no script</p></noscript>
<main class="paper"><h1>sheet</h1></main>
</section>
</body>
</html>
`,
		"i.svg": "<svg/>", "a.css": "a{}", "b.css": "b{}\n", "boot.js": "boot()", "go.js": "go()\n", "e.js": "errand()", "p.wasm": "\x00asm",
	}
}

const whole = `<!doctype html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; script-src 'sha256-boot.js' 'sha256-go.js' 'wasm-unsafe-eval'; style-src 'sha256-a.css' 'sha256-b.css'; worker-src blob:; img-src data:; base-uri 'none'; form-action 'none'">
<link rel="icon" href="data:image/svg+xml;base64,PHN2Zy8+">
<style>a{}</style>
<style>b{}
</style>
<script>boot()</script>
<script>go()
</script>
</head>
<body>
<div id="app"></div>
<section id="paper">
<noscript><p>no script</p></noscript>
<!--card--><!--/card--><main class="paper"><h1>sheet</h1></main>
</section>
<script type="application/json" id="plan"></script>
<script type="text/plain" id="errand">errand()</script>
<script type="text/plain" id="program">UABhc20=</script>
</body>
</html>
`

func TestMake(t *testing.T) {
	got, err := Make(small())
	if err != nil || string(got) != whole {
		t.Errorf("got %v\n%s\nwant\n%s", err, got, whole)
	}
}

// A page or a part that is not as it should be makes no file.
func TestMakeRefuses(t *testing.T) {
	for _, c := range []struct{ what, path, old, new string }{
		{"a style that is another", "a.css", "a{}", "absent"},
		{"a script that ends itself", "go.js", "go()", "'</SCRIPT >'"},
		{"a script that opens a comment", "go.js", "go()", "'<!--'"},
		{"a style that ends itself", "a.css", "a{}", "</style>"},
		{"a file with returns, which browsers change", "a.css", "a{}", "a{\r\n}"},
		{"a script without a hash", Page, ` integrity="sha256-go.js"`, ""},
		{"a program without a hash", Page, ` data-wasm-integrity="sha256-p.wasm"`, ""},
		{"a program of another version", Page, `"sha256-p.wasm"`, `"sha256-q.wasm"`},
		{"a worker's script that ends itself", "e.js", "()", "</script>"},
		{"a worker's script without a hash", Page, ` data-errand-integrity="sha256-e.js"`, ""},
		{"something unknown to load", Page, `<link rel="manifest"`, `<link rel="preload"`},
		{"a script of its own", Page, `<script src="go.js"`, `<script async src="go.js"`},
		{"no policy", Page, `<meta http-equiv="Content-Security-Policy"`, `<meta`},
		{"no sheet", Page, `class="paper"`, ``},
		{"no end", Page, `</body>`, ``},
	} {
		s := small()
		if c.new == "absent" {
			delete(s, c.path)
		} else if s[c.path] = strings.Replace(s[c.path], c.old, c.new, 1); s[c.path] == small()[c.path] {
			t.Fatalf("%s: nothing changed", c.what)
		}
		if got, err := Make(s); err == nil {
			t.Errorf("%s: made\n%s", c.what, got)
		}
	}
	s := small()
	delete(s, Page)
	if _, err := Make(s); !errors.Is(err, errAbsent) {
		t.Errorf("no page: %v", err)
	}
}

// nasty are words that would break out of where they stand.
var nasty = []string{`</script>`, `</script><!--`, `<!--card-->`, `<!--/card-->`, `<script type="application/json" id="plan"`,
	`<script type="text/plain" id="program">`, `</section>`, "\u2028\u2029", `"`, `\`, `&lt;`, `&amp;`, "'", `\u003c`, "𝄞", "</ſcript>"}

// inside reads what Fill put in, as a browser does: the text of a script element
// goes up to its end tag, and nothing in it is changed.
func inside(t tester, file []byte) (home, plan, card string) {
	text := string(file)
	tag, rest, ok := strings.Cut(text, planOpens)
	if !ok || strings.Contains(tag, `id="program"`) {
		t.Fatalf("no element for the plan")
	}
	tag, rest, _ = strings.Cut(rest, ">")
	plan, rest, _ = strings.Cut(rest, scriptCloses)
	if strings.Contains(rest, planOpens) || strings.Count(rest, programOpens) != 1 {
		t.Fatalf("after the plan:\n%s", rest)
	}
	_, card, _ = strings.Cut(text, cardOpens)
	card, _, _ = strings.Cut(card, cardCloses)
	return html.UnescapeString(attribute(tag, "data-home")), plan, card
}

type tester interface {
	Fatalf(format string, args ...any)
	Errorf(format string, args ...any)
}

// Whatever a plan is called, it comes out as it went in; what was in the file
// before is gone, and nothing else changes.
func TestFillProperty(t *testing.T) {
	rapid.Check(t, func(t *rapid.T) {
		word := rapid.OneOf(rapid.SampledFrom(nasty), rapid.String())
		p := plantest.Any(t)
		p.Name = strings.ToValidUTF8(word.Draw(t, "a")+word.Draw(t, "b"), "")
		if len(p.Loads) > 0 {
			p.Loads[0].Name = strings.ToValidUTF8(word.Draw(t, "load"), "")
		}
		p, err := plan.Decode(p.Encode())
		if err != nil {
			t.Skip("not a name: ", err)
		}
		home := rapid.SampledFrom([]string{"", "https://example.org/a&b/", `https://example.org/"><script>`}).Draw(t, "home")
		in := Inside{Home: home, Plan: p.Encode(), Card: "<p>" + html.EscapeString(p.Name) + "</p>"}

		before := whole
		if rapid.Bool().Draw(t, "twice") {
			first, err := Fill([]byte(whole), Inside{Home: "https://example.com/", Plan: []byte(`{"name":"first"}`), Card: "first"})
			if err != nil {
				t.Fatal(err)
			}
			before = string(first)
		}
		file, err := Fill([]byte(before), in)
		if err != nil {
			t.Fatal(err)
		}
		gotHome, gotPlan, gotCard := inside(t, file)
		if gotHome != home || gotCard != in.Card {
			t.Errorf("home %q, card %q", gotHome, gotCard)
		}
		got, err := plan.Decode([]byte(gotPlan))
		if err != nil || !bytes.Equal(got.Encode(), p.Encode()) {
			t.Errorf("%v: read back\n%s\nwant\n%s", err, gotPlan, in.Plan)
		}
		if strings.ContainsAny(gotPlan, "<>&\u2028\u2029") {
			t.Errorf("in the file stands %s", gotPlan)
		}
		if !utf8.Valid(file) {
			t.Error("the file is not UTF-8")
		}
		if empty, err := Fill(file, Inside{}); err != nil || string(empty) != whole {
			t.Errorf("emptied: %v\n%s", err, empty)
		}
	})
}

func TestFillRefuses(t *testing.T) {
	for what, text := range map[string]string{
		"nothing":        "",
		"some page":      "<!doctype html><p>Hello",
		"a file cut off": whole[:strings.Index(whole, scriptCloses+"\n"+errandOpens)],
		"no card":        strings.Replace(whole, cardOpens, "", 1),
		"two plans":      whole + planOpens + ">" + scriptCloses,
	} {
		if got, err := Fill([]byte(text), Inside{Plan: []byte("{}")}); err == nil {
			t.Errorf("%s: filled\n%s", what, got)
		}
	}
	big := base64.StdEncoding.EncodeToString(make([]byte, plan.MostBytes))
	if _, err := Fill([]byte(whole), Inside{Plan: []byte(big)}); err == nil {
		t.Error("a plan that can't be read again goes in")
	}
}
