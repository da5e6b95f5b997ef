package e2e

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"testing"
	"time"

	ics "github.com/arran4/golang-ical"
	"github.com/chromedp/chromedp"
)

// faked lets a test set the page's clock: what is kept under "faked" in this
// browser is how far, in minutes, the clock is off.
const faked = `{
	const real = Date, off = () => Number(localStorage.getItem("faked") ?? 0) * 60e3;
	window.Date = class extends real {
		constructor(...given) { if (given.length) super(...given); else super(real.now() + off()); }
		static now() { return real.now() + off(); }
	};
}`

// clock makes the page's clock show a moment, as if it had come to that while
// the page was hidden and the device slept.
func (b *tab) clock(moment string) {
	b.t.Helper()
	eval[bool](b, fmt.Sprintf(`{
		const now = Date.now() - Number(localStorage.getItem("faked") ?? 0) * 60e3;
		Object.defineProperty(document, "hidden", {configurable: true, get: () => true});
		document.dispatchEvent(new Event("visibilitychange"));
		delete document.hidden;
		localStorage.setItem("faked", (new Date(%q).getTime() - now) / 60e3);
		document.dispatchEvent(new Event("visibilitychange"));
		true
	}`, moment))
	b.settle()
}

const nightPlan = `{
  "candleclock": 1, "name": "The cottage",
  "loads": [
    {"name": "Breathing mask machine", "rank": "vital", "running_w": 30, "basis": "typical"},
    {"name": "Chest freezer", "rank": "useful", "running_w": 90, "starting_w": 560, "duty": 0.35, "cycles_itself": true, "basis": "typical"},
    {"name": "Router", "rank": "useful", "outlet": "12v", "running_w": 9, "basis": "typical"},
    {"name": "Two lamps", "rank": "comfort", "running_w": 28, "basis": "typical"}
  ],
  "supply": {"battery": {"chemistry": "lfp", "capacity_wh": 900}, "inverter": {"continuous_w": 1000, "surge_w": 1700}, "gauge": {"kind": "percent"}},
  "outage": {"hours": 24, "starts": "2026-01-14T18:00", "soc": 1}
}`

// readPercent reads the gauge.
func (b *tab) readPercent(percent string) {
	b.t.Helper()
	before := b.text("#news")
	b.tap("#read")
	b.focused("read-percent")
	b.fill("read-percent", percent)
	b.tap("#read-save")
	b.news(before)
}

// picture saves the whole page where an album is asked for.
func (b *tab) picture(name string) {
	b.t.Helper()
	dir := os.Getenv("CANDLECLOCK_ALBUM")
	if dir == "" {
		return
	}
	for _, look := range looks {
		b.look(look)
		b.settle()
		shot, err := chromedp.Run(b.ctx, chromedp.FullScreenshot(100))
		if err == nil {
			err = os.WriteFile(filepath.Join(dir, name+"-"+look+".png"), shot, 0o644)
		}
		if err != nil {
			b.t.Fatal(err)
		}
	}
	b.look(looks[0])
}

// sound says what axe-core finds wrong, on a screen as high as the page.
func (b *tab) sound(name string) {
	b.t.Helper()
	b.size(360, eval[int64](b, `document.documentElement.scrollHeight + 300`))
	for i, look := range looks {
		b.look(look)
		rules := allRules
		if i > 0 {
			rules = colourOnly
		}
		for _, v := range b.violations(rules) {
			b.t.Errorf("%s, %s: %s", name, look, v)
		}
	}
	b.look(looks[0])
	b.size(360, 740)
	b.picture("night-" + name)
}

// A whole night at a phone: the power fails at 6pm, the gauge is read, things
// are switched, held until 7am, and the tab is killed in between.
func TestWholeNight(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	p := newProfile(t)
	b := p.newTab()
	b.before(faked)
	b.open(h, "")
	b.clock("2026-01-14T18:00")
	b.choose("#door-file", "plan.json", []byte(nightPlan))
	b.on("tonight")
	b.answer()
	before := b.text("#news")
	b.tap("#power")
	b.news(before)
	b.readPercent("100")
	full := b.answer()

	b.clock("2026-01-14T20:00")
	b.readPercent("78")
	if got := b.text("#learned"); !strings.Contains(got, "planned") {
		t.Errorf("after two readings it says %q", got)
	}
	if two := b.answer(); two[0] == full[0] {
		t.Errorf("a reading of 78%% after two hours changes nothing: %v", two)
	}
	b.sound("readings")

	// The start order, ticked.
	b.tap("#start-0")
	b.until(`document.getElementById("start-0").checked`)
	b.settle()
	b.until(`document.getElementById("start-0").checked && document.getElementById("start-again").checkVisibility()`)

	// Held until the small hours: what to turn off, done with one tap.
	b.tap("#hold")
	b.focused("hold-until")
	b.fill("hold-until", "4am")
	b.tap("#hold-save")
	b.until(`document.getElementById("hold-says").innerText`)
	says := b.text("#hold-says")
	if !strings.Contains(says, "Turn off: ") || !strings.Contains(says, "until 4am") || strings.Contains(says, "reathing") {
		t.Errorf("hold until 4am: %q", says)
	}
	b.sound("hold")
	before = b.text("#news")
	b.tap("#hold-do")
	b.news(before)
	held := b.answer()

	// The phone's own clock wakes people: a general library reads the file.
	name, file := b.download("#alarms")
	calendar, err := ics.ParseCalendar(bytes.NewReader(file))
	if err != nil || name != "tonight.ics" {
		t.Fatalf("%s: %v\n%s", name, err, file)
	}
	read := false
	for _, e := range calendar.Events() {
		at, err := time.Parse("20060102T150405", e.GetProperty(ics.ComponentPropertyDtStart).Value)
		if night := time.Date(2026, 1, 14, 20, 0, 0, 0, time.UTC); err != nil || at.Before(night) || at.After(night.Add(48*time.Hour)) || len(e.Alarms()) != 1 {
			t.Errorf("an event at %v, %v, with %d alarms", at, err, len(e.Alarms()))
		}
		read = read || strings.Contains(e.GetProperty(ics.ComponentPropertySummary).Value, "Read the gauge")
	}
	if len(calendar.Events()) < 3 || !read {
		t.Errorf("the alarms: %s", file)
	}

	// The tab is killed, and opened later in the night.
	b.until(`!document.body.innerText.includes("Saving")`)
	kept := b.text("#readings")
	b.kept()
	b.close()
	b = p.newTab()
	b.before(faked)
	b.open(h, "")
	b.on("tonight")
	if got := b.answer(); got[0] != held[0] {
		t.Errorf("opened again it says %v, it said %v", got, held)
	}
	if got := b.text("#readings"); got != kept {
		t.Errorf("opened again the readings are %q, they were %q", got, kept)
	}
	b.clock("2026-01-14T23:00")
	b.readPercent("99") // misread
	if !eval[bool](b, `document.getElementById("recount").checkVisibility()`) || !strings.Contains(b.text("#clash"), "don’t fit together") {
		t.Errorf("a charge that rose: %q", b.text("#clash"))
	}
	b.sound("doubt")
	b.tap("#undo")
	b.until(`!document.getElementById("recount").checkVisibility()`)
	b.tap("#hold")
	b.focused("hold-until")
	b.fill("hold-until", "3 days")
	b.tap("#hold-save")
	b.until(`document.getElementById("hold-says").innerText.includes("more would have to be put")`)
	b.sound("hold-not")

	// One more thing to plug in, and the small sums.
	b.show("plug")
	b.fill("plug-what", "kettle")
	b.tap("#plug-kettle")
	b.until(`document.getElementById("plug-says").innerText.includes("Kettle")`)
	b.sound("plug")
	b.show("aids")
	b.tap("#oxygen-by-us")
	b.tap("#oxygen-size-E")
	b.fill("oxygen-gauge", "2000")
	b.fill("oxygen-flow", "2")
	b.until(`document.querySelector("main").innerText.includes("down to the reserve")`)
	b.sound("aids")

	// The power is back: the night is remembered.
	b.turn("tonight")
	before = b.text("#news")
	b.tap("#power")
	b.news(before)
	b.until(`document.getElementById("mains").checkVisibility()`)
	b.sound("back")
	b.turn("more")
	if got := b.text("#past"); !strings.Contains(got, "6pm to 11pm") {
		t.Errorf("the night that is over: %q", got)
	}
	b.sound("more")
}

// set puts the device's clock on under an open page, or back.
func (b *tab) set(minutes int) {
	b.t.Helper()
	eval[bool](b, fmt.Sprintf(`{
		localStorage.setItem("faked", Number(localStorage.getItem("faked") ?? 0) + %d);
		document.dispatchEvent(new Event("visibilitychange"));
		true
	}`, minutes))
	b.settle()
}

// The page's own timer tells when the clock was set: put back, no time stands
// until the gauge is read; put on, it says so. One that is before the last
// reading is found when the page is opened, too. A device that slept is none.
func TestClockThatWasSet(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.before(faked)
	b.open(h, "")
	b.clock("2026-01-14T18:00")
	b.choose("#door-file", "plan.json", []byte(nightPlan))
	b.on("tonight")
	before := b.text("#news")
	b.tap("#power")
	b.news(before)
	b.readPercent("90")
	b.clock("2026-01-14T20:00")
	if said := b.text("#clocks"); said != "" {
		t.Errorf("after two hours asleep: %q", said)
	}
	b.set(-60)
	b.until(`document.getElementById("missing").checkVisibility() && document.getElementById("missing").innerText.includes("set back")`)
	if said := b.text("#answer"); said != "" {
		t.Errorf("set back by an hour it says %q", said)
	}
	b.sound("clock-set-back")
	b.readPercent("80")
	b.answer()
	b.set(90)
	b.until(`document.getElementById("clocks").innerText.includes("went forward by 1")`)
	b.sound("clock-set-forward")
	b.readPercent("75")
	b.until(`!document.getElementById("clocks").checkVisibility()`)
	b.set(-365 * 24 * 60)
	b.open(h, "#tonight")
	b.until(`document.getElementById("missing").innerText.includes("before")`)
	b.sound("clock-before")
}

// The device knows when its clocks are put back: in Halifax at 2:00 on 1 November
// 2026, by the time zone database.
func TestClocksPutBack(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	for evening, warned := range map[string]bool{"2026-10-29T20:00": false, "2026-10-31T20:00": true} {
		b := newProfile(t).newTab()
		b.before(faked)
		b.open(h, "")
		b.choose("#door-file", "plan.json", []byte(nightPlan))
		b.on("tonight")
		b.clock(evening)
		b.tap("#power")
		b.until(`document.getElementById("until").innerText.includes("from now")`)
		if said := b.text("#clocks"); strings.Contains(said, "back 1") != warned {
			t.Errorf("on %s it says %q", evening, said)
		}
	}
}
