package e2e

import (
	"bytes"
	"encoding/json"
	"math"
	"os/exec"
	"regexp"
	"strconv"
	"strings"
	"testing"

	"candleclock/engine/load"
	"candleclock/ui/say"
)

// add puts an entry of the catalogue into the plan, from the page where it is
// searched.
func (b *tab) add(search, key string) {
	b.t.Helper()
	b.fill("search", search)
	before := b.text("#news")
	b.tap("#add-" + key)
	b.news(before)
}

// planAhead makes a plan as someone new would: four things of the list, one of
// their own, and a battery.
func (b *tab) planAhead() {
	b.t.Helper()
	b.tap("#door-plan")
	b.on("loads")
	b.tap("#add-from")
	b.on("add")
	b.add("mask", "cpap")
	b.add("fridge", "fridge")
	b.add("router", "router")
	b.add("phone", "phone")
	b.tap("#add-done")
	b.on("loads")
	b.tap("#add-own")
	b.focused("load-name")
	b.fill("load-name", "Fish tank")
	b.fill("load-watts", "12")
	b.tap("#load-done")
	b.on("loads")
	b.turn("supply")
	b.fill("supply-capacity", "900")
	b.turn("tonight")
}

func TestPlanAhead(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	p := newProfile(t)
	b := p.newTab()
	b.open(h, "")
	b.on("start")
	b.planAhead()
	said := b.answer()

	b.turn("more")
	name, file := b.download("#plan-save")
	if !strings.HasSuffix(name, ".candleclock.json") {
		t.Errorf("the file is called %q", name)
	}
	agree(t, said, file)

	b.offlineReady()
	b.close()
	h.stop()
	c := p.newTab()
	c.open(h, "")
	c.on("tonight")
	if got := c.answer(); got != said {
		t.Errorf("opened again without the host: got %q, want %q", got, said)
	}
	c.turn("loads")
	if got := eval[int](c, `document.querySelectorAll(".rows a").length`); got != 5 {
		t.Errorf("opened again: %d loads, want 5", got)
	}
}

// agree checks what the page says against the command that works out a plan
// file: never more, and less only by the grain that it is said in.
func agree(t *testing.T, said [3]string, file []byte) {
	t.Helper()
	reckon := exec.Command("go", "run", "../engine/cmd/reckon", "-only", "runtime")
	reckon.Stdin = bytes.NewReader(file)
	out, err := reckon.Output()
	if err != nil {
		t.Fatalf("reckon: %v", err)
	}
	var worked struct {
		Runtime struct {
			CountOn float64 `json:"count_on_h"`
			Likely  float64 `json:"likely_h"`
		}
	}
	if err := json.Unmarshal(out, &worked); err != nil {
		t.Fatalf("reckon: %v in %s", err, out)
	}
	countOn, likely := worked.Runtime.CountOn, worked.Runtime.Likely
	grain := grainOf(countOn)
	const sums = 1e-6 // hours: what a rounding may cost
	hours := spans(t, said[0])
	if len(hours) != 1 || hours[0] > countOn+sums || hours[0] < countOn-grain-sums {
		t.Errorf("the page says %q; count on %.3f h, grain %.2f h", said[0], countOn, grain)
	}
	var plan struct{ Outage struct{ Starts string } }
	if err := json.Unmarshal(file, &plan); err != nil {
		t.Fatal(err)
	}
	_, clock, _ := strings.Cut(plan.Outage.Starts, "T")
	starts := minute(t, clock)
	until := minute(t, said[1])
	// How far the clock time said lies before the true end.
	short := math.Mod(starts+countOn*60-until+2*1440, 1440)
	if short > grain*60+sums {
		t.Errorf("the page says %q; from %s, %.3f h make another time (%.0f minutes more)", said[1], clock, countOn, short)
	}
	spread := spans(t, said[2])
	if len(spread) < 2 || spread[0] > countOn+sums || spread[1] < likely-grainOf(likely) {
		t.Errorf("the page says %q; count on %.3f h, likely %.3f h", said[2], countOn, likely)
	}
}

// grainOf is how finely hours ahead are said.
func grainOf(h float64) float64 {
	switch {
	case h < 2:
		return 5.0 / 60
	case h < 12:
		return 0.5
	case h < 48:
		return 1
	}
	return 6
}

var (
	span      = regexp.MustCompile(`\d+ (?:day|hour|minute)s?(?: \d+ (?:hour|minute)s?)?`)
	component = regexp.MustCompile(`(\d+) (day|hour|minute)`)
	timeOfDay = regexp.MustCompile(`\d+(:\d+)?(am|pm)|\d+:\d+|midnight|midday`)
)

// spans reads the lengths of time in a text, in hours.
func spans(t *testing.T, text string) []float64 {
	t.Helper()
	var all []float64
	for _, s := range span.FindAllString(spaces(text), -1) {
		h := 0.0
		for _, c := range component.FindAllStringSubmatch(s, -1) {
			n, err := strconv.ParseFloat(c[1], 64)
			if err != nil {
				t.Fatal(err)
			}
			h += n * map[string]float64{"day": 24, "hour": 1, "minute": 1.0 / 60}[c[2]]
		}
		all = append(all, h)
	}
	return all
}

// spaces makes every space a plain one.
func spaces(s string) string { return strings.Join(strings.Fields(s), " ") }

// minute reads the first time of day in a text, in minutes since midnight.
func minute(t *testing.T, text string) float64 {
	t.Helper()
	m, ok := say.ParseClock(timeOfDay.FindString(text))
	if !ok {
		t.Fatalf("no time of day in %q", text)
	}
	var at load.Minute = m
	return float64(at)
}

// The other door: three questions in the dark.
func TestPowerIsOut(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.open(h, "")
	b.tap("#door-now")
	b.on("out")
	b.tap("#out-cpap")
	b.until(`document.getElementById("out-cpap").checked`)
	b.tap("#out-fridge")
	b.tap("#out-size-lfp-1000")
	b.until(`document.querySelector("main .answer").checkVisibility()`)
	full := b.text("main .answer")
	b.tap("#out-gauge-percent")
	b.fill("out-percent", "60")
	b.until(`document.querySelector("main .answer").innerText !== ` + strconv.Quote(full))
	b.tap("#out-done")
	b.on("tonight")
	b.answer()
	hours := func() float64 {
		t.Helper()
		said := spans(t, b.text("#until"))
		if len(said) == 0 {
			t.Fatalf("no hours in %q", b.text("#until"))
		}
		return said[0]
	}
	at60 := hours()

	// What is left by the gauge later on.
	b.tap("#read")
	b.focused("read-percent")
	b.fill("read-percent", "25")
	b.tap("#read-save")
	b.news("")
	eventually(t, "fewer hours at 25 %", func() bool { return hours() < at60 })

	// The reading was wrong: back to what was, but for the minutes since.
	b.tap("#undo")
	eventually(t, "the hours at 60 %", func() bool { return hours() >= at60-grainOf(at60) })
	b.until(`!document.getElementById("undo").checkVisibility()`)

	// A switch off buys time, and on again costs it.
	b.tap("#sw-1")
	eventually(t, "more hours without the fridge", func() bool { return hours() > at60 })
	b.tap("#sw-1")
	eventually(t, "the hours with it", func() bool { return hours() <= at60 })
}
