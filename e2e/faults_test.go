package e2e

import (
	"bytes"
	"fmt"
	"net/http"
	"path"
	"regexp"
	"strconv"
	"strings"
	"testing"
	"time"
)

// mishap is a way for a host to get a file wrong. It answers for the file at p
// of s, where other is another version of the site.
type mishap struct {
	name     string
	harmless bool // what comes is right in the end
	answer   func(w http.ResponseWriter, r *http.Request, p string, s, other site)
}

var mishaps = []mishap{
	{name: "not found", answer: func(w http.ResponseWriter, r *http.Request, _ string, _, _ site) { http.NotFound(w, r) }},
	{name: "out of order", answer: func(w http.ResponseWriter, _ *http.Request, _ string, _, _ site) {
		http.Error(w, "later", http.StatusServiceUnavailable)
	}},
	{name: "connection cut", answer: func(w http.ResponseWriter, _ *http.Request, p string, s, _ site) {
		w.Header().Set("Content-Length", strconv.Itoa(len(s[p])))
		send(w, p, s[p][:len(s[p])/2])
		panic(http.ErrAbortHandler)
	}},
	{name: "half uploaded", answer: func(w http.ResponseWriter, _ *http.Request, p string, s, _ site) { send(w, p, s[p][:len(s[p])/2]) }},
	{name: "empty", answer: func(w http.ResponseWriter, _ *http.Request, p string, _, _ site) { send(w, p, nil) }},
	{name: "a bit turned", answer: func(w http.ResponseWriter, _ *http.Request, p string, s, _ site) {
		send(w, p, turned(s[p]))
	}},
	{name: "another file", answer: func(w http.ResponseWriter, _ *http.Request, p string, s, _ site) { send(w, p, s[s.sibling(p)]) }},
	{name: "another version", answer: func(w http.ResponseWriter, _ *http.Request, p string, _, other site) { send(w, p, other[p]) }},
	{name: "log-in page", answer: func(w http.ResponseWriter, _ *http.Request, _ string, _, _ site) {
		send(w, "x.html", []byte("<!doctype html><title>Hotel</title><p>Log in to go on."))
	}},
	{name: "sent elsewhere", answer: func(w http.ResponseWriter, r *http.Request, _ string, _, _ site) {
		http.Redirect(w, r, "/hotel", http.StatusFound)
	}},
	// The last one.
	{name: "slow", harmless: true, answer: func(w http.ResponseWriter, _ *http.Request, p string, s, _ site) {
		time.Sleep(100 * time.Millisecond)
		send(w, p, s[p])
	}},
}

func send(w http.ResponseWriter, p string, content []byte) {
	w.Header().Set("Content-Type", mediaTypes[path.Ext(p)])
	w.Header().Set("Cache-Control", "no-cache")
	_, _ = w.Write(content)
}

// turned is the content with one bit turned, in a script one of its code: the
// worker's has no hash, and a letter of a comment does no harm.
func turned(content []byte) []byte {
	c := bytes.Clone(content)
	at := bytes.LastIndex(c, []byte("function "))
	if at < 0 {
		at = len(c) * 4 / 5
	}
	c[at] ^= 1
	return c
}

// sibling is another file of the site, of the same kind where there is one.
func (s site) sibling(p string) string {
	all := s.parts()
	for _, q := range all {
		if q != p && path.Ext(q) == path.Ext(p) {
			return q
		}
	}
	return all[0]
}

// loads reports whether the page cannot be whole without the file at p.
func (s site) loads(p string) bool {
	switch path.Ext(p) {
	case ".js", ".css", ".wasm":
		return p != workerPath
	}
	return p == pagePath
}

// names are the paths of all files.
func (s site) names() []string { return append(s.parts(), workerPath) }

// beset has the host get the file wrong; only for the worker, when told so.
func (h *host) beset(p string, m mishap, s, other site, onlyWorker bool) {
	h.fault(p, func(w http.ResponseWriter, r *http.Request) {
		if onlyWorker && p != workerPath && !strings.HasSuffix(r.Referer(), workerPath) {
			send(w, p, s[p])
			return
		}
		m.answer(w, r, p, s, other)
	})
}

// siteState is what the page is told of its copy on this device.
func (b *tab) siteState() string {
	b.t.Helper()
	return eval[string](b, `new Promise(tell => window.candleclock.onSite(tell))`)
}

// tried asks for a newer version and waits until what came of it has settled.
// It returns whether one is offered.
func (b *tab) tried() (offered bool) {
	b.t.Helper()
	eval[bool](b, `navigator.serviceWorker.getRegistration().then(r => r.update()).then(() => true, () => true)`)
	want(b, `navigator.serviceWorker.getRegistration().then(r => !r.installing)`, true)
	return b.siteState() == "outdated"
}

// take takes the version that waits.
func (b *tab) take() {
	b.t.Helper()
	eval[bool](b, `window.gone = false, window.candleclock.update(), true`)
	b.until(`window.gone === undefined`) // another document
}

// becomes waits until the page is told so of its copy on this device.
func (b *tab) becomes(state string) {
	b.t.Helper()
	eval[bool](b, `window.candleclock.onSite(s => { window.heard = s }), true`)
	want(b, `window.heard`, state)
}

var (
	whole       = regexp.MustCompile(`^runs \w+$`)
	wholeOrTold = regexp.MustCompile(`^(runs \w+|runs .*, told|told)$`)
)

// firstVisit has a host get one file wrong at a first visit: the page runs, all
// of one version, or says that it does not; and once the host is well again, it
// installs and opens without it.
func firstVisit(t *testing.T, b *tab, p string, m mishap, one, two site, onlyWorker bool) {
	// Once mended every kept byte is checked; that it opens without its host then
	// is tried after the last mishap of a file.
	t.Helper()
	what := fmt.Sprintf("%s, %s", p, m.name)
	h := serve(t, one)
	defer h.stop()
	h.beset(p, m, one, two, onlyWorker)
	b.load(h, "")
	got := "none"
	if onlyWorker || p != pagePath || m.name != "connection cut" { // then the browser waits for the rest of the page
		got = b.ended()
	}
	switch {
	case onlyWorker && got != "runs one":
		t.Fatalf("%s: the page itself was served well, and %s", what, got)
	case !wholeOrTold.MatchString(got) && (p != pagePath || got != "none"):
		t.Fatalf("%s: the page %s", what, got)
	}
	if strings.HasPrefix(got, "runs") {
		want(b, `navigator.serviceWorker.getRegistration().then(r => !r?.installing)`, true)
		if state := b.siteState(); state == "kept" && !m.harmless {
			if lack := b.keptWhole(one); lack != "" {
				t.Fatalf("%s: it is said to work offline, but %s is not kept", what, lack)
			}
		}
	}
	h.fault(p, nil)
	b.load(h, "")
	if got := b.ended(); got != "runs one" {
		t.Fatalf("%s, mended: the page %s", what, got)
	}
	// The page is looked at again, and asks for the newest version. Where a worker
	// that is none was taken for one, the right one waits for a yes.
	want(b, `navigator.serviceWorker.getRegistration().then(r => !!r)`, true)
	eval[bool](b, `document.dispatchEvent(new Event("visibilitychange")), true`)
	var state string
	eventually(t, what+", mended: kept or offered", func() bool {
		state = b.siteState()
		return state == "kept" || state == "outdated"
	})
	if state == "outdated" {
		b.take()
		if got := b.ended(); got != "runs one" {
			t.Fatalf("%s, mended and taken: the page %s", what, got)
		}
		b.becomes("kept")
	}
	if lack := b.keptWhole(one); lack != "" {
		t.Fatalf("%s, mended: %s is not kept as it is", what, lack)
	}
	if !m.harmless {
		return
	}
	h.stop()
	b.load(h, "")
	if got := b.ended(); got != "runs one" {
		t.Fatalf("%s, mended, without its host: the page %s", what, got)
	}
}

// faultTab is a tab that is bound to complain of what its host does; breaches of
// the content policy are faults all the same. Drawing it would take a third of
// the time, so it isn't; its pages take themselves for seen.
func faultTab(t *testing.T) *tab {
	p := newProfile(t)
	p.windowless = true
	b := p.newTab()
	b.expect("")
	b.before(`Object.defineProperty(document, "hidden", {value: false})`)
	return b
}

// Every file that the page loads and every mishap of a host, for all who ask.
func TestMishapsAtFirst(t *testing.T) { eachMishapAtFirst(t, false) }

// Every file and every mishap where only the worker, which keeps the page for
// offline, is served so.
func TestMishapsOfInstalling(t *testing.T) { eachMishapAtFirst(t, true) }

func eachMishapAtFirst(t *testing.T, onlyWorker bool) {
	t.Parallel()
	one, two := standIn(t, built(t), "one"), standIn(t, built(t), "two")
	b := faultTab(t)
	for _, p := range one.names() {
		if !onlyWorker && !one.loads(p) {
			continue
		}
		for _, m := range mishaps {
			firstVisit(t, b, p, m, one, two, onlyWorker)
		}
	}
}

// Every file and every mishap while a newer version is fetched: the one that is
// there goes on, whole, and the newer one is taken once it comes whole.
func TestMishapsOfUpdating(t *testing.T) {
	t.Parallel()
	now, next := standIn(t, built(t), "one"), standIn(t, built(t), "two")
	nameOf := map[bool]string{false: "one", true: "two"}
	swapped := false
	b := faultTab(t)
	h := serve(t, now)
	b.load(h, "")
	b.ended()
	b.becomes("kept")
	for _, p := range now.names() {
		for _, m := range mishaps {
			what := fmt.Sprintf("%s, %s", p, m.name)
			if m.harmless {
				continue // the taking below
			}
			h.deploy(next)
			h.beset(p, m, next, now, true)
			if b.tried() {
				t.Fatalf("%s: it is offered", what)
			}
			// Browsers take an empty script for a worker, and hand the page over to it
			// once that is closed: then it comes from its host, whole.
			strange := p == workerPath && eval[bool](b, `navigator.serviceWorker.getRegistration().then(r => !!r.waiting)`)
			b.load(h, "")
			got := b.ended()
			if got != "runs "+nameOf[swapped] && !(strange && got == "runs "+nameOf[!swapped]) {
				t.Fatalf("%s: the page %s", what, got)
			}
			if strange {
				h.deploy(now)
				h.fault(p, nil)
				eventually(t, what+": one that is ours is offered", b.tried) // as new
				b.take()
				b.ended()
				b.becomes("kept")
			}
			if lack := b.keptWhole(now); lack != "" {
				t.Fatalf("%s: %s is not as it was", what, lack)
			}
			h.fault(p, nil)
		}
		h.beset(p, mishaps[len(mishaps)-1], next, now, true) // slow
		b.tried()
		b.becomes("outdated")
		b.take()
		now, next, swapped = next, now, !swapped
		if got := b.ended(); got != "runs "+nameOf[swapped] {
			t.Fatalf("%s, taken: the page %s", p, got)
		}
		b.becomes("kept")
		if lack := b.keptWhole(now); lack != "" {
			t.Fatalf("%s, taken: %s is not kept as it is", p, lack)
		}
		h.fault(p, nil)
		h.stop()
		b.load(h, "")
		if got := b.ended(); got != "runs "+nameOf[swapped] {
			t.Fatalf("%s, taken, without its host: the page %s", p, got)
		}
		h.again()
	}
}

// A host deploys another version between any two requests, of a first visit and
// of an update.
func TestDeployedMeanwhile(t *testing.T) {
	t.Parallel()
	one, two, three := standIn(t, built(t), "one"), standIn(t, built(t), "two"), standIn(t, built(t), "three")
	b := faultTab(t)
	for _, update := range []bool{false, true} {
		for at := range 2 * len(one) {
			what := fmt.Sprintf("deployed at request %d, update: %v", at, update)
			h := serve(t, one)
			asked := 0
			count := func(string) { // under the host's lock
				if asked++; asked > at {
					h.site = two
				}
			}
			if update {
				b.load(h, "")
				b.ended()
				b.becomes("kept")
				// The other way round: what is half there is the older one.
				h.deploy(two)
				count = func(string) {
					if asked++; asked > at {
						h.site = three
					}
				}
			}
			h.mu.Lock()
			h.count = count
			h.mu.Unlock()
			if update {
				b.tried()
			}
			b.load(h, "")
			if got := b.ended(); !wholeOrTold.MatchString(got) {
				t.Fatalf("%s: the page %s", what, got)
			}
			h.mu.Lock()
			h.count = nil
			h.mu.Unlock()
			eventually(t, what+", and opened again: runs", func() bool {
				b.load(h, "")
				got := b.ended()
				if !wholeOrTold.MatchString(got) {
					t.Fatalf("%s, and opened again: the page %s", what, got)
				}
				if got == "told" { // while one worker gives way to another
					t.Logf("%s, and opened again: the page %s", what, got)
				}
				return whole.MatchString(got)
			})
			h.stop()
		}
	}
}

// damage loses or changes the file at p that the device keeps.
func (b *tab) damage(h *host, p, how string) {
	b.t.Helper()
	at := p
	if p == pagePath {
		at = ""
	}
	there := eval[bool](b, fmt.Sprintf(siteCaches+`.then(([k]) => caches.open(k)).then(async c => {
		const all = await c.keys(), r = all.find(r => r.url.slice(%d) === %q);
		if (!r) return false;
		const was = await c.match(r), type = was.headers.get("Content-Type"), bytes = new Uint8Array(await was.arrayBuffer());
		switch (%q) {
		case "lost": return c.delete(r);
		case "turned": bytes[bytes.length * 4 / 5 | 0] ^= 1; break;
		case "other": bytes.set(new TextEncoder().encode("something else")); break;
		}
		return c.put(r, new Response(bytes, {headers: {"Content-Type": type}})).then(() => true);
	})`, len(h.url), at, how))
	if !there {
		b.t.Fatalf("%s was not kept", p)
	}
}

// A file is lost on the device while the network is there and brings nothing:
// the page does not wait for good, and opens once its host answers.
func TestDamagedAndHostSilent(t *testing.T) {
	t.Parallel()
	one := standIn(t, built(t), "one")
	b := faultTab(t)
	h := serve(t, one)
	b.load(h, "")
	b.ended()
	b.becomes("kept")
	b.damage(h, "site.css", "lost")
	for _, p := range one.names() {
		h.fault(p, func(_ http.ResponseWriter, r *http.Request) { <-r.Context().Done() })
	}
	b.load(h, "")
	if got := b.ended(); got != "lost" {
		t.Errorf("the page %s, want lost", got)
	}
	for _, p := range one.names() {
		h.fault(p, nil)
	}
	b.load(h, "")
	if got := b.ended(); got != "runs one" {
		t.Errorf("once its host answers the page %s", got)
	}
}

// Every file that is kept is lost or damaged on the device, while its host has
// the same version, a newer one, or is gone: the page mends itself, or says what
// is missing, and once the host is there it opens.
func TestDamagedOnTheDevice(t *testing.T) {
	t.Parallel()
	sites := map[string]site{"one": standIn(t, built(t), "one"), "two": standIn(t, built(t), "two")}
	now, next := "one", "two"
	b := faultTab(t)
	h := serve(t, sites[now])
	b.load(h, "")
	b.ended()
	b.becomes("kept")
	for _, p := range sites[now].parts() {
		for _, how := range []string{"lost", "turned", "other"} {
			for _, host := range []string{"the same", "gone", "newer"} {
				what := fmt.Sprintf("%s %s, host %s", p, how, host)
				b.damage(h, p, how)
				program := path.Ext(p) == ".wasm"
				loaded := sites[now].loads(p) && !program
				runs := "runs " + now
				switch {
				case host == "gone" && loaded:
					h.stop()
					runs = "lost"
				case host == "gone":
					h.stop()
				case host == "newer":
					h.deploy(sites[next])
					if loaded {
						runs = "runs " + next
					}
				}
				if program && (how != "lost" || host != "the same") {
					runs = "told"
				}
				b.load(h, "")
				var got string
				eventually(t, what+": "+runs, func() bool { got = b.ended(); return got == runs || got == "runs "+now && runs != "runs "+next })
				if got != runs {
					t.Fatalf("%s: the page %s, want %s", what, got, runs)
				}
				// What the person does next: connects, reloads, takes what is offered.
				switch host {
				case "gone":
					h.again()
					if program {
						b.load(h, "")
						b.ended() // and the program is fetched again
					}
				case "newer":
					if got == "runs "+now || got == "told" {
						b.until(`!document.getElementById("notice-update").hidden`)
						b.take()
						if got := b.ended(); got != "runs "+next {
							t.Fatalf("%s, taken: the page %s", what, got)
						}
					}
					now, next = next, now
				}
				eventually(t, what+": mended", func() bool {
					b.load(h, "")
					return b.ended() == "runs "+now && b.keptWhole(sites[now]) == ""
				})
			}
		}
	}
}
