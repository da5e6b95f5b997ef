package e2e

import (
	"fmt"
	"net/http"
	"path"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/emulation"

	"candleclock/ui"
)

// shows waits until the page comes from that version, script and all.
func (b *tab) shows(version string) {
	b.t.Helper()
	b.alive()
	want(b, `document.documentElement.dataset.version + " " + window.version`, version+" "+version)
}

// siteCaches evaluates to the names of the caches that hold versions of the site.
const siteCaches = `caches.keys().then(all => all.filter(name => name.startsWith("candleclock-")))`

// The page opens without its host, whatever stands behind "?" and "#".
func TestOpensOffline(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := withPlan(t, h, newProfile(t))
	b.offlineReady()
	// From the first visit on, though nobody loads the page again.
	b.until(`navigator.serviceWorker.controller`)
	h.stop()
	for _, address := range []string{"", "index.html", "?from=a-friend", "?x=1#loads"} {
		b.open(h, address)
	}
	b.on("loads")
	want(b, loadsInView, 2)
}

// A newer version is taken when the person says so, and not before.
func TestUpdateIsTakenWhole(t *testing.T) {
	t.Parallel()
	first := built(t).next("one")
	h := serve(t, first)
	p := newProfile(t)
	b := withPlan(t, h, p)
	b.shows("one")
	b.offlineReady()

	// Half of it is there: the old one goes on.
	second := first.next("two")
	h.deploy(second.but(scriptPath, first[scriptPath]))
	refused := func() {
		t.Helper()
		eval[bool](b, `navigator.serviceWorker.getRegistration().then(r => r.update()).then(() => true)`)
		want(b, `navigator.serviceWorker.getRegistration().then(r => [r.installing, r.waiting, r.active].map(w => w?.state).join())`, ",,activated")
	}
	refused()
	h.deploy(second.but(scriptPath, second[scriptPath][:99]))
	refused()
	b.open(h, "#loads")
	b.shows("one")
	if b.text("#take-update") != "" {
		t.Error("half a version is offered")
	}
	h.deploy(second)
	h.fault(first.wasmPath(t), func(w http.ResponseWriter, _ *http.Request) { http.Error(w, "later", http.StatusServiceUnavailable) })
	// The program is the same in both, and need not be fetched again.
	b.open(h, "#loads")
	b.until(`document.getElementById("take-update").checkVisibility()`)
	b.shows("one")
	// Not by opening the page anew: once it is closed, browsers may hand over by
	// themselves.
	b.show("load=0")
	b.shows("one")
	b.until(`document.getElementById("take-update").checkVisibility()`)
	b.fill("load-watts", "41")
	b.tap("#take-update")
	b.shows("two")
	b.on("load")
	if got := b.value("load-watts"); got != "41" {
		t.Errorf("after the update the lamp draws %q, want 41", got)
	}
	b.until(`!document.getElementById("take-update").checkVisibility()`)
	if n := eval[int](b, siteCaches+`.then(k => k.length)`); n != 1 {
		t.Errorf("%d versions are kept, want 1", n)
	}
	h.stop()
	b.open(h, "")
	b.shows("two")
}

// A host in the middle of an upload serves an empty worker, which browsers take
// for one: nothing is offered, and the page asks again by itself.
func TestEmptyWorker(t *testing.T) {
	t.Parallel()
	first := built(t).next("one")
	h := serve(t, first)
	b := withPlan(t, h, newProfile(t))
	b.offlineReady()
	second := first.next("two")
	h.deploy(second.but(workerPath, nil))
	eval[bool](b, `document.dispatchEvent(new Event("visibilitychange")), true`)
	want(b, `navigator.serviceWorker.getRegistration().then(r => !!r.waiting)`, true)
	if b.text("#take-update") != "" {
		t.Error("an empty worker is offered")
	}
	h.deploy(second)
	b.tap("#take-update")
	b.shows("two")
	b.offlineReady()
	h.stop()
	b.open(h, "")
	b.shows("two")
}

// A host lets its files be kept for a day, and the browser does: what is kept for
// offline is asked of the host all the same, and an update is found.
func TestHostLetsFilesBeKept(t *testing.T) {
	t.Parallel()
	first := built(t).next("one")
	h := serve(t, first)
	for _, p := range first.parts() {
		h.fault(p, func(w http.ResponseWriter, _ *http.Request) {
			h.mu.Lock()
			content := h.site[p]
			h.mu.Unlock()
			w.Header().Set("Content-Type", mediaTypes[path.Ext(p)])
			if p != pagePath {
				w.Header().Set("Cache-Control", "max-age=86400")
			}
			_, _ = w.Write(content)
		})
	}
	b := withPlan(t, h, newProfile(t))
	b.shows("one")
	b.offlineReady()
	// It is in the browser's own cache too, as when another page asked for it.
	eval[bool](b, fmt.Sprintf(`caches.delete("nothing").then(() => fetch(%q + "?", {cache: "force-cache"})).then(() => true)`, scriptPath))
	h.deploy(first.next("two"))
	eval[bool](b, `document.dispatchEvent(new Event("visibilitychange")), true`)
	b.tap("#take-update")
	b.shows("two")
}

// A host that sends who asks for the page elsewhere, to the same page: such an
// answer may not stand for the page without its host, and is not kept.
func TestPageSentElsewhere(t *testing.T) {
	t.Parallel()
	s := built(t)
	h := serve(t, s)
	h.fault(pagePath, func(w http.ResponseWriter, r *http.Request) {
		if !r.URL.Query().Has("here") {
			http.Redirect(w, r, h.url+"?here", http.StatusFound)
			return
		}
		send(w, pagePath, s[pagePath])
	})
	b := newProfile(t).newTab()
	b.expect("redirect")
	b.expect("fetch") // the worker's own words
	b.open(h, "")
	b.becomes("online")
	if got := eval[int](b, siteCaches+`.then(all => all.length)`); got != 0 {
		t.Errorf("%d versions are kept", got)
	}
}

// Another tab has taken the new version: this one says so, and goes on.
func TestUpdateWithTwoTabs(t *testing.T) {
	t.Parallel()
	first := built(t).next("one")
	h := serve(t, first)
	p := newProfile(t)
	a := withPlan(t, h, p)
	a.offlineReady()
	b := p.newTab()
	b.open(h, "#loads")
	h.deploy(first.next("two"))
	eval[bool](a, `document.dispatchEvent(new Event("visibilitychange")), true`) // the app is looked at again
	a.tap("#take-update")
	a.shows("two")
	b.shows("one")
	b.until(`document.getElementById("take-update").checkVisibility()`)
	b.tap("#take-update")
	b.shows("two")
}

// A damaged file on the device is fetched again.
func TestDamagedFileIsMended(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := withPlan(t, h, newProfile(t))
	b.offlineReady()
	eval[bool](b, siteCaches+`.then(([k]) => caches.open(k)).then(c => c.keys().then(all => Promise.all(all.filter(r => r.url.endsWith(".wasm"))
		.map(r => c.put(r, new Response("junk", {headers: {"Content-Type": "application/wasm"}})))))).then(() => true)`)
	b.expect("integrity") // the browser says what failed,
	b.expect("to fetch")  // and so does the script
	b.load(h, "")
	want(b, `document.documentElement.dataset.run`, "stopped")
	b.until(`document.getElementById("notice").checkVisibility() && document.getElementById("paper").checkVisibility()`)
	told := b.text("#notice-text")
	b.until(fmt.Sprintf(`document.getElementById("notice-text").innerText !== %q`, told))
	b.tap("#notice-reload")
	b.alive()
	b.answer()
}

// A browser that can't keep the page says so, and the page works.
func TestNoServiceWorker(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	p := newProfile(t)
	c := withPlan(t, h, p)
	c.offlineReady()
	c.until(`document.querySelector("header .site").innerText`)
	said := c.text("header .site")
	c.close()
	for _, script := range []string{
		`Object.defineProperty(Navigator.prototype, "serviceWorker", {value: undefined})`,
		`globalThis.ServiceWorkerContainer && (ServiceWorkerContainer.prototype.register = () => Promise.reject(new DOMException("not here", "SecurityError")))`,
	} {
		p := newProfile(t)
		b := p.newTab()
		b.before(script)
		b.open(h, "")
		b.until(`document.querySelector("header .site").innerText`)
		if got := b.text("header .site"); got == said {
			t.Errorf("without a service worker the page says %q", got)
		}
		b.tap("#door-plan")
		b.on("loads")
	}
}

// worksOnPaper checks that the sheet for paper and the cautions can be read.
func (b *tab) worksOnPaper() {
	b.t.Helper()
	b.until(`document.readyState === "complete"`) // the styles are there
	b.until(`document.getElementById("paper").checkVisibility()`)
	text := spaces(b.text("#paper"))
	for _, c := range new(ui.App).Cautions() {
		if !strings.Contains(text, spaces(c)) {
			b.t.Errorf("on the sheet for paper there is no %q", c)
		}
	}
	if n := eval[int](b, `document.querySelectorAll("#paper ol li").length`); n < 4 {
		b.t.Errorf("the sheet for paper has %d steps", n)
	}
	if b.text("#app") != "" {
		b.t.Error("the dead planner is shown beside the sheet")
	}
}

func TestNoWebAssembly(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.before(`delete window.WebAssembly`)
	b.load(h, "")
	b.until(`document.getElementById("notice").checkVisibility()`)
	b.worksOnPaper()
	b.offlineReady()
	h.stop()
	b.load(h, "")
	b.worksOnPaper()
}

func TestNoScript(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	command(b, emulation.SetScriptExecutionDisabled, emulation.SetScriptExecutionDisabledParams{Value: true})
	b.load(h, "")
	b.until(`document.getElementById("unstarted").checkVisibility()`)
	b.worksOnPaper()
	if pages, _, _ := b.print().size(t); pages != 1 {
		t.Errorf("the sheet for paper takes %d pages", pages)
	}
}

// Words stand on the screen while the program is still on its way, and the sheet
// for paper when that takes long.
func TestSlowProgram(t *testing.T) {
	t.Parallel()
	s := built(t)
	h := serve(t, s)
	b := newProfile(t).newTab()
	released := make(chan struct{})
	h.held(s.wasmPath(t), released)
	b.load(h, "")
	want(b, `document.documentElement.dataset.run`, "starting")
	b.until(`performance.getEntriesByName("first-contentful-paint").length`)
	if b.text("#title") == "" {
		t.Error("no title stands on the page")
	}
	b.until(`document.getElementById("notice").checkVisibility() && document.getElementById("paper").checkVisibility()`)
	b.until(`document.getElementById("paper").getBoundingClientRect().top < innerHeight`) // at a glance
	b.until(`document.getElementById("app").inert`)                                       // nobody types into it too early
	close(released)
	b.alive()
	b.until(`!document.getElementById("app").inert`)
	b.until(`!document.getElementById("notice").checkVisibility() && !document.getElementById("paper").checkVisibility()`)
}

// A script that gets lost once is asked for again.
func TestScriptLost(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	for _, script := range []string{"wasm_exec.js", "vugu.js"} {
		b := newProfile(t).newTab()
		b.expect(" 503 ")
		b.expect("MIME type")
		h.fault(script, func(w http.ResponseWriter, _ *http.Request) {
			h.fault(script, nil)
			http.Error(w, "later", http.StatusServiceUnavailable)
		})
		b.open(h, "")
		b.tap("#door-plan")
		b.on("loads")
	}
}

// When the program never comes, there is the sheet.
func TestNoProgram(t *testing.T) {
	t.Parallel()
	s := built(t)
	h := serve(t, s)
	b := newProfile(t).newTab()
	b.expect(" 404 ")
	b.expect("integrity")
	b.expect("to fetch") // the script says what failed
	h.fault(s.wasmPath(t), http.NotFound)
	b.load(h, "")
	want(b, `document.documentElement.dataset.run`, "stopped")
	b.until(`document.getElementById("notice").checkVisibility() && document.getElementById("paper").checkVisibility()`)
}

// A host that calls the program by a wrong type is no obstacle.
func TestWrongMediaType(t *testing.T) {
	t.Parallel()
	s := built(t)
	h := serve(t, s)
	program := s.wasmPath(t)
	h.fault(program, func(w http.ResponseWriter, _ *http.Request) {
		w.Header().Set("Content-Type", "application/octet-stream")
		_, _ = w.Write(s[program])
	})
	b := newProfile(t).newTab()
	b.open(h, "")
	b.on("start")
}
