package e2e

import (
	"fmt"
	"strings"
	"testing"

	"candleclock/engine/outage"
	"candleclock/engine/plan"
	"candleclock/engine/plan/plantest"
)

// watched counts the page's workers and what they say, and can make them wait:
// while window.workers.held is set, what they say is heard later.
const watched = `{
	const Real = Worker;
	window.workers = {begun: 0, ended: 0, said: 0, held: false};
	window.Worker = class extends Real {
		constructor(...given) { super(...given); workers.begun++; }
		set onmessage(hear) {
			super.onmessage = hear && (event => { workers.said++; if (!workers.held) hear(event) });
		}
		terminate() { workers.ended++; super.terminate(); }
	};
}`

// heaviest is a plan that keeps a worker busy for long: twenty things, four of
// them with compressors, panels, and 90 days.
func heaviest() []byte {
	p := household()
	p.Name = "Ninety days"
	p.Loads = catalogued("cpap", "cpap-humidifier", "oxygen-5l", "fridge", "freezer-chest", "router", "phone", "lamp-led", "fridge-old", "lantern")
	for _, l := range p.Loads {
		l.Name += " upstairs"
		p.Loads = append(p.Loads, l)
	}
	sunny, err := plan.Decode([]byte(plantest.CottageFile))
	if err != nil {
		panic(err)
	}
	p.Place, p.Panels, p.Supply.Inputs = sunny.Place, sunny.Panels, sunny.Supply.Inputs
	p.Outage.Hours = outage.Horizon
	return p.Encode()
}

// cottage opens a plan of several things and looks ahead.
func (b *tab) cottage(h *host) {
	b.t.Helper()
	b.open(h, "")
	b.choose("#door-file", "plan.json", []byte(plantest.CottageFile))
	b.on("tonight")
	b.answer()
	b.tap(`.links a[href="#ahead"]`)
	b.on("ahead")
	b.until(`document.getElementById("chance").checkVisibility()`)
}

// finely waits until the worker has answered.
func (b *tab) finely() {
	b.t.Helper()
	b.until(`!document.querySelector(".busy").checkVisibility()`)
}

// From Tonight to the whole outage: the quick answer at once, the finer one from
// the worker, which is then let go.
func TestLookAhead(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.before(watched)
	b.cottage(h)
	b.finely()
	b.until(`workers.begun > 0 && workers.ended === workers.begun`)
	if got := b.text("#chance"); !strings.Contains(got, " of 20 outages like this ") {
		t.Errorf("the chance: %q", got)
	}
	if got := b.text("main"); !strings.Contains(got, "Worked out from 511 outages") {
		t.Error("the answer is not the worker's")
	}
	for _, s := range []string{"A poor one", "A usual one", "What goes off and comes back", "Hours without"} {
		if !strings.Contains(b.text("main"), s) {
			t.Errorf("the page does not say %q", s)
		}
	}
	fine := b.text("main")
	begun := eval[int](b, `workers.begun`)

	// The same plan gives the same page.
	b.turn("loads")
	b.show("ahead")
	b.finely()
	if got := b.text("main"); got != fine {
		t.Errorf("opened again the page says\n%s\nit said\n%s", got, fine)
	}

	// A rule of the plan, and what it changes.
	b.tap("#ahead-rules")
	b.on("supply")
	b.fill("rule-comfort", "50")
	b.leave()
	b.show("ahead")
	b.finely()
	if got := b.text("main"); !strings.Contains(got, "Comfort is turned off below 50%") || got == fine {
		t.Error("a rule that drops comfort changes nothing")
	}
	b.until(fmt.Sprintf(`workers.begun > %d && workers.ended === workers.begun`, begun))
}

// Progress is shown, and Stop works: the quick answer stands, and the finer one
// may be asked for again. A page that is left asks for nothing more.
func TestWorkerStops(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.before(watched)
	b.before(`addEventListener("DOMContentLoaded", () => { workers.held = true })`)
	b.cottage(h)
	b.until(`workers.said > 0`)
	quick := b.text("#chance")
	if got := b.text("#busy-0"); got == "" {
		t.Error("nothing says that more is being worked out")
	}
	b.tap("#stop-0")
	b.until(`workers.ended === 1`)
	b.focused("again-0")
	if got := b.text("#busy-0"); !strings.Contains(got, "Stopped") || b.text("#chance") != quick {
		t.Errorf("stopped, it says %q and %q, it said %q", got, b.text("#chance"), quick)
	}
	// One that dies is told of as well.
	b.tap("#again-0")
	b.until(`workers.begun === 2`)
	eval[bool](b, `workers.held = false, true`)
	b.tap("#stop-0")
	b.tap("#again-0")
	b.finely()
	b.until(`workers.ended === workers.begun`)
	eval[bool](b, `workers.held = true`)
	b.turn("loads")
	b.show("ahead")
	b.until(`workers.begun === 4`)
	b.turn("loads")
	b.until(`workers.ended === 4`)
}

// How far it is, in so many words: the heaviest plan takes a while.
func TestWorkerTellsHowFar(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.open(h, "")
	b.choose("#door-file", "plan.json", heaviest())
	b.on("tonight")
	b.answer()
	b.show("ahead")
	b.until(`/[1-9][0-9]?% done/.test(document.getElementById("busy-0").innerText)`)
	// Meanwhile the page answers.
	b.turn("loads")
	b.turn("tonight")
	b.answer()
}

// Without workers, or with some that never start, the page answers as well as
// it can and says so.
func TestWorkerMissing(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	for name, script := range map[string]string{
		"absent":  `delete window.Worker`,
		"blocked": `window.Worker = class { constructor() { throw new Error("blocked") } }`,
		"broken":  `{ const Real = Worker; window.Worker = class extends Real { constructor() { super("nowhere.js") } } }`,
		"dead":    `{ const Real = Worker; window.Worker = class extends Real { postMessage() { super.postMessage({}) } } }`,
	} {
		b := newProfile(t).newTab()
		b.expect("404")
		b.expect("WebAssembly.instantiate()")
		b.before(script)
		b.cottage(h)
		b.until(`document.getElementById("busy-0").innerText.includes("could not be had")`)
		if got := b.text("#chance"); !strings.Contains(got, " of 20 outages like this ") {
			t.Errorf("%s: %q", name, got)
		}
	}
}

// The worker starts without the internet too.
func TestWorkerOffline(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	p := newProfile(t)
	b := p.newTab()
	b.open(h, "")
	b.offlineReady()
	h.stop()
	b.cottage(h)
	b.finely()
}
