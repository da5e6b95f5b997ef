package e2e

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"

	"candleclock/engine/plan"
)

// A plan goes out as a file, is changed elsewhere, and comes back as a second
// one. What this version does not know goes with it.
func TestFileThereAndBack(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := withPlan(t, h, newProfile(t))
	b.turn("more")
	_, file := b.download("#plan-save")
	var doc map[string]any
	if err := json.Unmarshal(file, &doc); err != nil {
		t.Fatalf("the file: %v", err)
	}
	doc["name"] = "Summer house"
	doc["wish"] = map[string]any{"what": "a windmill", "blades": 3}
	first := doc["loads"].([]any)[0].(map[string]any)
	first["running_w"] = 55
	first["colour"] = "yellow"
	changed, err := json.Marshal(doc)
	if err != nil {
		t.Fatal(err)
	}
	b.choose("#plan-open", "changed.json", changed)
	b.on("look")
	b.tap("#look-keep")
	b.on("tonight")
	b.news("")
	want(b, `document.querySelector("header .plan").innerText`, "Summer house")
	b.show("load=0")
	if got := b.value("load-watts"); got != "55" {
		t.Errorf("the second plan's lamp draws %q, want 55", got)
	}
	b.fill("load-watts", "56")
	b.turn("more")
	_, again := b.download("#plan-save")
	for _, part := range []string{"windmill", "blades", "yellow", "56", "Summer house"} {
		if !bytes.Contains(again, []byte(part)) {
			t.Errorf("%s is not in the file of the second plan:\n%s", part, again)
		}
	}
	names := map[string]bool{}
	for _, p := range b.plans(2) {
		names[p.Name] = true
	}
	if !names["Home"] || !names["Summer house"] {
		t.Errorf("kept are %v", names)
	}
}

// A slow browser comes to the file long after the tap: its address stands for as
// long, and is let go in the end.
func TestFileStaysForTheBrowser(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.before(`window.revoked = 0; { const revoke = URL.revokeObjectURL; URL.revokeObjectURL = a => { window.revoked++; revoke.call(URL, a) } }`)
	withPlanIn(b, h)
	b.turn("more")
	b.download("#plan-save")
	b.settle()
	if eval[int](b, `window.revoked`) != 0 {
		t.Error("the file's address was taken back at once")
	}
	b.pass(2)
	want(b, `window.revoked`, 1)
}

// A film picked by mistake is refused by its size, and not read into memory.
func TestFilmIsNotRead(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.before(`window.read = 0; for (const how of ["arrayBuffer", "text", "stream", "slice"]) {
		const was = Blob.prototype[how];
		Blob.prototype[how] = function (...args) { if (this instanceof File) window.read++; return was.apply(this, args) };
	}`)
	withPlanIn(b, h)
	b.turn("more")
	if eval[int](b, `window.read`) == 0 {
		t.Error("a plan was opened, and no reading was seen")
	}
	eval[bool](b, `window.read = 0, true`)
	b.choose("#plan-open", "film.json", bytes.Repeat([]byte(" "), plan.MostBytes+1))
	b.news("")
	if n := eval[int](b, `window.read`); n != 0 {
		t.Errorf("it was read %d times", n)
	}
}

// What is no plan is refused in words, and nothing is lost by trying.
func TestBadFiles(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := withPlan(t, h, newProfile(t))
	b.turn("more")
	before := b.plans(1)[0]
	for _, c := range []struct{ name, content, says string }{
		{"film.json", strings.Repeat("film", 5<<18), ""},
		{"truncated.json", smallPlan[:len(smallPlan)/2], ""},
		{"newer.json", strings.Replace(smallPlan, `"candleclock": 1`, `"candleclock": 2`, 1), "newer"},
		{"twice.json", strings.Replace(smallPlan, `"Radio"`, `"Lamp"`, 1), "Lamp"},
		{"control.json", strings.Replace(smallPlan, `"Radio"`, `"Ra\u0007dio"`, 1), "name"},
		{"words.json", strings.Replace(smallPlan, `40`, `"forty"`, 1), "running_w"},
		{"empty.json", "", ""},
	} {
		old := b.text("#news")
		b.choose("#plan-open", c.name, []byte(c.content))
		got := b.news(old)
		if !strings.Contains(got, c.says) {
			t.Errorf("%s: %q, want %q in it", c.name, got, c.says)
		}
		if n := b.text("#undo"); n != "" {
			t.Errorf("%s: there is an undo of nothing", c.name)
		}
		b.on("more")
	}
	if got := b.plans(1)[0]; got.Name != before.Name || len(got.Loads) != len(before.Loads) {
		t.Errorf("the plan became %+v", got)
	}
	b.turn("tonight")
	b.answer()
}
