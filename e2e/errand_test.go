package e2e

import (
	"strings"
	"testing"
)

// watched counts the page's workers and keeps what they say.
const watched = `{
	const Real = Worker;
	window.workers = {begun: 0, ended: 0, said: 0};
	window.Worker = class extends Real {
		constructor(...given) { super(...given); workers.begun++; this.addEventListener("message", () => workers.said++); }
		terminate() { workers.ended++; super.terminate(); }
	};
}`

// sunny opens a plan with panels and shows Sun.
func (b *tab) sunny(h *host) {
	b.t.Helper()
	b.open(h, "")
	b.on("start")
	b.atSun("Harbour", 44.65, -63.57, "2026-04-15T18:00")
}

func TestWorkerAnswers(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.before(watched)
	b.sunny(h)
	b.until(`workers.begun > 0 && workers.ended === workers.begun && workers.said > 0`)
	b.until(`!document.querySelector(".busy").checkVisibility()`)
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
	} {
		b := newProfile(t).newTab()
		b.expect("404")
		b.before(script)
		b.sunny(h)
		b.until(`document.getElementById("busy-0").innerText.includes("could not be had")`)
		if got := b.text("#runs"); !strings.Contains(got, "plan on") {
			t.Errorf("%s: %q", name, got)
		}
	}
}
