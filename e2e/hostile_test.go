package e2e

import (
	"encoding/json"
	"fmt"
	"strings"
	"testing"

	"candleclock/engine/plan"
)

// hostileFiles are files made to break a reader. says is part of what the person
// is told.
func hostileFiles() map[string]struct{ content, says string } {
	loads := func(n int) string {
		var b strings.Builder
		for i := range n {
			if i > 0 {
				b.WriteByte(',')
			}
			fmt.Fprintf(&b, `{"name":"Lamp %d","running_w":5}`, i)
		}
		return b.String()
	}
	with := func(old, new string) string { return strings.Replace(smallPlan, old, new, 1) }
	const first = `"running_w": 40`
	return map[string]struct{ content, says string }{
		"10,000 loads":              {`{"candleclock":1,"name":"Many","loads":[` + loads(10000) + `]}`, fmt.Sprint(plan.MostLoads)},
		"nested lists":              {`{"candleclock":1,"name":"Deep","x":` + strings.Repeat("[", 50000) + strings.Repeat("]", 50000) + `}`, ""},
		"nested objects":            {`{"candleclock":1,"name":"Deep","x":` + strings.Repeat(`{"a":`, 5000) + "1" + strings.Repeat("}", 5000) + `}`, ""},
		"a list never closed":       {strings.Repeat("[", 100000), ""},
		"a huge number":             {with(first, `"running_w": 1e308`), "running_w"},
		"a number beyond all":       {with(first, `"running_w": 1e999`), "running_w"},
		"a negative number":         {with(first, `"running_w": -40`), "running_w"},
		"no number":                 {with(first, `"running_w": NaN`), ""},
		"infinity":                  {with(first, `"running_w": Infinity`), ""},
		"a digit a thousand times":  {with(first, `"running_w": `+strings.Repeat("9", 1000)), "running_w"},
		"a lone surrogate":          {with(`"Radio"`, `"Ra\ud800dio"`), "name"},
		"bytes that are no letters": {with(`"Radio"`, "\"Ra\xff\xfedio\""), "name"},
		"a name turned around":      {with(`"Radio"`, `"oidaR \u202e0001"`), "name"},
		"a name of two lines":       {with(`"Radio"`, `"Radio\n\n\n100 W"`), "name"},
		"a very long name":          {with(`"Radio"`, `"`+strings.Repeat("R", 100000)+`"`), "name"},
		"a long id":                 {with(`"name": "Home"`, `"id": "`+strings.Repeat("0", 5000)+`", "name": "Home"`), "id"},
		"a film":                    {strings.Repeat("\x00\x01\x02film", 1<<18), ""},
		"a page":                    {"<!doctype html><script>document.title = 'taken'</script>", ""},
	}
}

// Files made to break a reader are refused in few words, quickly, and nothing is
// lost or changed by them.
func TestHostileFiles(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := withPlan(t, h, newProfile(t))
	b.turn("more")
	before := b.kept().Plans[0]
	for name, c := range hostileFiles() {
		if b.text("#dismiss") != "" {
			eval[bool](b, `document.getElementById("dismiss").click(), true`)
			b.until(`!document.getElementById("news").checkVisibility()`)
		}
		b.choose("#plan-open", "plan.json", []byte(c.content))
		got := b.news("")
		if !strings.Contains(strings.ToLower(got), c.says) || len(got) > 500 {
			t.Errorf("%s: told is %.600q, want %q in it", name, got, c.says)
		}
		b.on("more")
	}
	if after := b.kept().Plans; len(after) != 1 || after[0].Revision != before.Revision || string(after[0].Data) != string(before.Data) {
		t.Errorf("kept are now %d plans, the first in revision %d, was %d", len(after), after[0].Revision, before.Revision)
	}
	b.turn("tonight")
	b.answer()
}

// Names that look like something else are shown as the letters they are, on
// every page; and one written from right to left stays in its own place.
func TestHostileNames(t *testing.T) {
	t.Parallel()
	names := []string{
		`<img src=x onerror="document.title='taken'">`,
		`</span><script>document.title = "taken"</script>`,
		`&lt;b&gt; &amp; "quotes' ${x} {{.}}`,
		"ثلاجة 120",
		"מקרר",
		"=1+1",
	}
	var doc map[string]any
	if err := json.Unmarshal([]byte(smallPlan), &doc); err != nil {
		t.Fatal(err)
	}
	var loads []any
	for _, n := range names {
		loads = append(loads, map[string]any{"name": n, "running_w": 5})
	}
	doc["name"], doc["loads"] = `<b id=hostile>Home</b>`, loads
	file, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.open(h, "")
	b.choose("#door-file", "plan.json", file)
	b.on("tonight")
	b.answer()
	for _, page := range []string{"tonight", "loads", "load=0", "card", "send", "sources", "more"} {
		b.show(page)
		b.settle()
		if got := eval[string](b, `document.querySelector("#app script, #app img[src=x], #hostile")?.outerHTML ?? ""`); got != "" {
			t.Errorf("%s: a name became %s", page, got)
		}
		if got := eval[string](b, `document.title`); got == "taken" {
			t.Errorf("%s: a name has run as a script", page)
		}
		if page != "tonight" && page != "loads" {
			continue
		}
		for _, n := range names {
			if !eval[bool](b, fmt.Sprintf(`[...document.querySelectorAll("#app .name")].some(e => e.textContent === %q)`, n)) {
				t.Errorf("%s: there is no %s as it is written", page, n)
			}
		}
		if n := eval[int](b, `[...document.querySelectorAll("#app .name, header .plan")].filter(e => getComputedStyle(e).unicodeBidi !== "isolate").length`); n != 0 {
			t.Errorf("%s: %d names could turn what stands beside them", page, n)
		}
	}
	b.follow(b.link())
	b.until(`document.getElementById("look-equal").checkVisibility()`)
}
