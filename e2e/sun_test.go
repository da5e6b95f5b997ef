package e2e

import (
	"fmt"
	"strings"
	"testing"
)

// withPanels is a plan of a household with four panels, at a place and a time.
func withPanels(name string, lat, lon float64, starts string) []byte {
	return fmt.Appendf(nil, `{"candleclock": 1, "name": %q, "place": {"lat": %v, "lon": %v},
		"loads": [{"name": "Steady thing", "rank": "useful", "running_w": 200, "basis": "measured"}],
		"supply": {"battery": {"chemistry": "lfp", "capacity_wh": 1500}, "inverter": {"continuous_w": 1200, "idle_w": 12, "efficiency": 0.9},
			"inputs": [{"kind": "panel", "min_v": 12, "max_v": 60, "max_a": 12, "max_w": 400}, {"kind": "wall", "watts": 150}]},
		"panels": {"module": {"pmax_w": 100, "vmp_v": 18.2, "imp_a": 5.5, "voc_v": 21.8, "isc_a": 5.9, "voc_pct_per_c": -0.29}, "count": 4},
		"outage": {"hours": 72, "starts": %q, "soc": 1}}`, name, lat, lon, starts)
}

// atSun opens a plan file and shows the page Sun.
func (b *tab) atSun(name string, lat, lon float64, starts string) {
	b.t.Helper()
	before := ""
	opener := "#door-file"
	if eval[bool](b, `!document.querySelector("main").classList.contains("start")`) {
		b.turn("more")
		opener = "#plan-open"
		before = b.text("#news")
	}
	b.choose(opener, "panels.json", withPanels(name, lat, lon, starts))
	b.on("tonight")
	b.news(before)
	b.turn("sun")
	b.until(`document.getElementById("best").innerText`)
}

// A wiring that would damage the input is named before anything else, in words
// that need no colour; what is right is then said and drawn.
func TestSunDangerFirst(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.before(faked)
	b.open(h, "")
	b.clock("2026-03-01T12:00") // a plan of the past would be counted for the next such day
	b.on("start")
	b.atSun("Harbour", 44.65, -63.57, "2026-04-15T18:00")

	said := b.text("main")
	danger := strings.Index(said, "would damage the input")
	if danger < 0 {
		t.Fatalf("four panels in a chain are not called a danger:\n%s", said)
	}
	for _, later := range []string{b.text("#best"), b.text("#place"), b.text("#day")} {
		if later == "" || strings.Index(said, later) < danger {
			t.Errorf("%q stands before the danger", later)
		}
	}
	first := b.text("#danger li")
	for _, part := range []string{"4 panels in a chain", "damage", "60 V"} {
		if !strings.Contains(first, part) {
			t.Errorf("the danger says %q, without %q", first, part)
		}
	}
	// The best way is safe at the limit: two in a chain, never four.
	if best := b.text("#best"); strings.Contains(best, "4 panels in a chain") || !strings.Contains(best, "400 W") {
		t.Errorf("the best way is %q", best)
	}
	if eval[int](b, `document.querySelectorAll(".wiring rect").length`) != 4 {
		t.Error("the drawing does not show four panels")
	}
	if joints := b.text(".sun ol"); !strings.Contains(joints, "Input plus to panel 1 plus") || !strings.Contains(joints, "minus to") {
		t.Errorf("the wires in words: %q", joints)
	}
	// A steady 200 W can't live on 400 W of panels in spring (common practice),
	// and the page says what could.
	enough := b.text("#enough")
	if !strings.HasPrefix(enough, "No.") || !strings.Contains(enough, "W of panels") {
		t.Errorf("a steady 200 W on 400 W of panels: %q", enough)
	}
	if fills := b.text("#fills"); !strings.Contains(fills, "Wall adapter") {
		t.Errorf("filling: %q", fills)
	}
	if eval[int](b, `document.querySelectorAll(".months tbody tr").length`) != 12 {
		t.Error("the year does not have twelve months")
	}
}

// The panel faces the midday sun: south in the north, north in the south, and
// near the equator to the side on which the sun then stands.
func TestSunFaces(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.before(faked)
	b.open(h, "")
	b.clock("2026-03-01T12:00") // a plan of the past would be counted for the next such day
	b.on("start")
	for _, c := range []struct {
		name     string
		lat, lon float64
		starts   string
		faces    string
	}{
		{"North", 52, 13, "2026-03-15T18:00", "south"},
		{"South", -34, 18.4, "2026-06-15T18:00", "north"},
		{"Equator in June", -1.3, 36.8, "2026-06-15T18:00", "north"},
		{"Equator in December", -1.3, 36.8, "2026-12-15T18:00", "south"},
		{"North of it in June", 10, 105, "2026-06-15T18:00", "north"},
	} {
		b.atSun(c.name, c.lat, c.lon, c.starts)
		if lean := b.text("#lean"); !strings.Contains(lean, "Face it "+c.faces+" (") {
			t.Errorf("%s: %q, want it to face %s", c.name, lean, c.faces)
		}
	}
}

// The place is guessed without asking, and changed by picking a town; the watts
// on the display are judged by the sky.
func TestSunPlaceAndCheck(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.before(faked)
	b.open(h, "")
	b.clock("2026-03-01T12:00") // a plan of the past would be counted for the next such day
	b.on("start")
	b.tap("#door-plan")
	b.on("loads")
	b.turn("sun")
	if missing := b.text("#sun-missing"); missing == "" {
		t.Error("nothing is said to be missing")
	}
	b.show("place")
	b.fill("town", "cape t")
	b.tap(".town")
	b.on("sun")
	if place := b.text("#place"); !strings.Contains(place, "Cape Town") {
		t.Errorf("the place is %q", place)
	}
	if lean := b.text("#lean"); !strings.Contains(lean, "Face it north") {
		t.Errorf("in Cape Town: %q", lean)
	}
	b.tap("#undo")
	b.until(`!document.getElementById("place").innerText.includes("Cape Town")`)

	b.show("panels")
	b.fill("panel-count", "2")
	b.fill("panel-watts", "100")
	b.until(`document.querySelector(".note:not([hidden])")`) // still lacks a voltage, and says so
	b.fill("panel-cells", "36")
	b.fill("input-max", "60")
	b.fill("input-watts", "300")
	b.tap("#panels-done")
	b.on("sun")
	b.until(`document.getElementById("best").innerText.includes("200 W")`)
	b.fill("check-watts", "1")
	b.until(`document.getElementById("checked").innerText`)
}
