package e2e

import (
	"bytes"
	"encoding/json"
	"strings"
	"testing"
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
