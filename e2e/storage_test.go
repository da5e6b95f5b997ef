package e2e

import (
	"context"
	"fmt"
	"slices"
	"strings"
	"testing"

	"github.com/chromedp/cdproto/storage"

	"candleclock/engine/plan"
	"candleclock/ui/shelf"
)

// rename gives the plan in view another name, on the page where that is done.
func (b *tab) rename(name string) {
	b.t.Helper()
	b.fill("plan-name", name)
	want(b, `document.querySelector("header .plan").innerText`, name)
}

func (b *tab) names(n int) []string {
	b.t.Helper()
	var all []string
	for _, p := range b.plans(n) {
		all = append(all, p.Name)
	}
	slices.Sort(all)
	return all
}

// A second tab hears of what the first changed.
func TestTwoTabsHearOneAnother(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	p := newProfile(t)
	a := withPlan(t, h, p)
	a.turn("more")
	b := p.newTab()
	b.open(h, "#more")
	b.on("more")
	a.rename("House by the sea")
	want(b, `document.querySelector("header .plan").innerText`, "House by the sea")
	b.news("")
	if got := a.names(1); got[0] != "House by the sea" {
		t.Errorf("kept is %q", got)
	}
}

// Two tabs that did not hear of one another change the same plan: both changes
// are kept, and the second tab is told.
func TestTwoTabsAtOnce(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	p := newProfile(t)
	a := withPlan(t, h, p)
	b := p.newTab()
	b.before(`delete window.BroadcastChannel`)
	b.open(h, "#load=0")
	b.on("load")
	a.show("load=1")
	a.fill("load-watts", "11")
	a.saved("the first tab's change", func(p plan.Plan) bool { return p.Loads[1].Running == 11 })
	b.fill("load-watts", "44")
	told := b.news("")
	if !strings.Contains(told, "Home") {
		t.Errorf("the second tab is told %q", told)
	}
	eventually(t, "both plans", func() bool { return len(b.kept().Plans) == 2 })
	var lamp, radio float64
	for _, p := range b.plans(2) {
		lamp, radio = max(lamp, float64(p.Loads[0].Running)), max(radio, float64(p.Loads[1].Running))
	}
	if lamp != 44 || radio != 11 {
		t.Errorf("kept are a lamp of %v W and a radio of %v W; want 44 and 11", lamp, radio)
	}
	// The form goes on where it was, on the plan that is this tab's own.
	b.focused("load-watts")
	b.key("5")
	want(b, `document.getElementById("load-watts").value`, "445")
	eventually(t, "the next keystroke", func() bool {
		return slices.ContainsFunc(b.plans(2), func(p plan.Plan) bool { return p.Loads[0].Running == 445 })
	})
}

// A page that was left for another comes back from the browser's memory as it
// stood: it goes on, and saves. What another tab changed meanwhile is there too.
func TestBackFromMemory(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	p := ownBrowser(t, t.TempDir())
	b := p.newTab()
	b.before(`addEventListener("pageshow", e => { window.remembered = e.persisted })`)
	withPlanIn(b, h)
	b.turn("more")
	back := func(meanwhile func()) {
		t.Helper()
		b.ask(blank, func(ctx context.Context) error { return b.w.navigate(ctx, blank) })
		b.until(`!document.querySelector("main")`)
		meanwhile()
		b.depart(`history.back()`)
		b.alive()
	}
	back(func() {})
	want(b, `window.remembered`, true)
	b.rename("House by the sea")
	b.saved("the name", hasName("House by the sea"))
	back(func() {
		a := p.newTab()
		a.open(h, "#more")
		a.rename("House on the hill")
		a.saved("the other tab's name", hasName("House on the hill"))
	})
	want(b, `document.querySelector("header .plan").innerText`, "House on the hill")
	b.rename("House in the wood")
	b.saved("the last name", hasName("House in the wood"))
}

// A browser that keeps nothing: the page says so, and works.
func TestStorageDenied(t *testing.T) {
	for name, script := range map[string]string{
		"absent":    `Object.defineProperty(window, "indexedDB", {value: undefined})`,
		"forbidden": `IDBFactory.prototype.open = () => { throw new DOMException("not here", "SecurityError") }`,
		"failing": `IDBFactory.prototype.open = () => {
			const r = {error: new DOMException("private", "InvalidStateError")};
			setTimeout(() => r.onerror(), 0);
			return r;
		}`,
		"silent": `IDBFactory.prototype.open = () => ({})`,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			h := serve(t, built(t))
			b := newProfile(t).newTab()
			b.before(script)
			b.open(h, "")
			b.until(`document.getElementById("trouble").checkVisibility() && document.getElementById("trouble").innerText`)
			b.choose("#door-file", "plan.json", []byte(smallPlan))
			b.on("tonight")
			b.answer()
			if b.text("#trouble") == "" {
				t.Error("with a plan in view, nothing says any more that it is not kept")
			}
			b.turn("more")
			_, file := b.download("#plan-save")
			if p, err := plan.Decode(file); err != nil || len(p.Loads) != 2 {
				t.Errorf("the file: %v, %d loads", err, len(p.Loads))
			}
		})
	}
}

// Storage that does not answer when the page is opened, as happens: what is
// kept in it comes when it is asked again.
func TestStorageAnswersLate(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	p := newProfile(t)
	withPlan(t, h, p).close()
	b := p.newTab()
	b.before(`{
		const open = IDBFactory.prototype.open;
		IDBFactory.prototype.open = () => { IDBFactory.prototype.open = open; return {} };
	}`)
	b.open(h, "")
	b.on("tonight")
	b.answer()
	b.until(`!document.getElementById("trouble").checkVisibility()`)
}

// A device that has no room from the start: nothing is said to be kept, the page
// works, and once there is room the plan is.
func TestNoRoomFromTheStart(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	p := newProfile(t)
	b := p.newTab()
	b.expect("uota")
	b.room(h, 1)
	b.open(h, "")
	b.choose("#door-file", "plan.json", []byte(smallPlan))
	b.on("tonight")
	b.until(`document.getElementById("trouble").checkVisibility() && document.getElementById("trouble").innerText`)
	b.answer()
	want(b, `navigator.serviceWorker.getRegistration().then(r => !r)`, true)
	if state := b.siteState(); state != "online" {
		t.Errorf("without room the page counts as %q", state)
	}
	b.turn("more")
	_, file := b.download("#plan-save")
	if p, err := plan.Decode(file); err != nil || len(p.Loads) != 2 {
		t.Errorf("the file: %v, %d loads", err, len(p.Loads))
	}
	b.room(h, 1<<30)
	b.rename("House with room")
	b.saved("the name", hasName("House with room"))
	b.until(`!document.getElementById("trouble").checkVisibility()`)
}

// room has the browser let the site keep so many bytes.
func (b *tab) room(h *host, bytes float64) {
	b.t.Helper()
	command(b, storage.OverrideQuotaForOrigin, storage.OverrideQuotaForOriginParams{Origin: h.origin, QuotaSize: &bytes})
}

// The device fills up under an open page: the page says so, loses nothing while
// it is open, and saves once there is room.
func TestStorageFull(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.expect("uota")
	b.room(h, 32<<20)
	withPlanIn(b, h)
	b.offlineReady()
	b.turn("more")
	b.room(h, 1)
	// Something of the origin asks for more than was left when the browser last
	// looked: it looks again.
	want(b, `new Promise(done => {
		const open = indexedDB.open("other");
		open.onupgradeneeded = () => open.result.createObjectStore("all");
		open.onsuccess = () => {
			const t = open.result.transaction("all", "readwrite");
			t.objectStore("all").put(new Uint8Array(33 << 20), 0);
			t.oncomplete = () => done("written");
			t.onabort = () => done(t.error?.name ?? "given up");
		};
	})`, "QuotaExceededError")
	b.rename("House on the hill")
	b.until(`document.getElementById("trouble").checkVisibility() && document.getElementById("trouble").innerText`)
	if got := b.names(1); got[0] != "Home" {
		t.Fatalf("without room, %q was saved: the device was not full", got[0])
	}
	b.turn("loads")
	want(b, loadsInView, 2)
	b.turn("more")
	if got := b.value("plan-name"); got != "House on the hill" {
		t.Errorf("on the page the plan is called %q", got)
	}
	b.room(h, 1<<30)
	b.rename("House with room")
	b.saved("the name", hasName("House with room"))
	b.until(`!document.getElementById("trouble").checkVisibility()`)
	b.names(1)
}

// A damaged record is told of, its second copy shown, or where that is gone the
// generation before it, and what was damaged set aside.
func TestDamagedRecord(t *testing.T) {
	t.Parallel()
	for _, copied := range []bool{true, false} {
		t.Run(fmt.Sprint("copied ", copied), func(t *testing.T) {
			t.Parallel()
			damagedRecord(t, copied)
		})
	}
}

func damagedRecord(t *testing.T, copied bool) {
	h := serve(t, built(t))
	p := newProfile(t)
	b := withPlan(t, h, p)
	b.turn("more")
	b.rename("Old house")
	b.saved("the old name", hasName("Old house"))
	b.rename("New house")
	b.saved("the new name", hasName("New house"))
	want(b, `document.getElementById("kept").innerText`, savedWords)
	newest := b.kept().Plans[0]
	flipped := eval[int](b, fmt.Sprintf(`new Promise((done, fail) => {
		const open = indexedDB.open("candleclock");
		open.onsuccess = () => {
			const store = open.result.transaction("kept", "readwrite").objectStore("kept");
			let flipped = 0;
			store.openCursor().onsuccess = ({target: {result: at}}) => {
				if (!at) return;
				const r = at.value;
				if (at.key.startsWith("shelf/plan/") && new DataView(r.buffer).getBigUint64(8) === %dn) {
					r[40] ^= 4;
					at.update(r);
					flipped++;
				}
				at.continue();
			};
			store.transaction.oncomplete = () => { open.result.close(); done(flipped) };
		};
	})`, newest.Revision))
	if flipped != 1 {
		t.Fatalf("%d records damaged, want 1", flipped)
	}
	b.close()
	b = p.newTab()
	if !copied {
		b.loses(h, places[1])
	}
	b.open(h, "")
	b.on("tonight")
	earlier := strings.TrimSpace(b.text("header .plan"))
	if (earlier == "New house") != copied || earlier == "My household" {
		t.Errorf("shown is %q", earlier)
	}
	if told := b.news(""); !strings.Contains(told, earlier) {
		t.Errorf("told is %q; it must name %q", told, earlier)
	}
	if n := len(b.kept().Aside); n != 1 {
		t.Errorf("%d records set aside, want 1", n)
	}
	b.turn("more")
	b.rename("Mended house")
	b.saved("a new generation", hasName("Mended house"))
}

// hasName is the condition that a plan is called so.
func hasName(name string) func(plan.Plan) bool {
	return func(p plan.Plan) bool { return p.Name == name }
}

// The browser takes away what was kept, or the connection to it, under an open
// page: what is in view is kept again with the next change, and nothing of it is
// lost.
func TestStorageTaken(t *testing.T) {
	t.Parallel()
	const withDatabase = `new Promise((done, fail) => {
		const open = indexedDB.open("candleclock");
		open.onerror = () => fail(open.error);
		open.onsuccess = () => done(open.result);
	})`
	for name, take := range map[string]func(b *tab, h *host){
		"closed by the page's back": func(b *tab, _ *host) { eval[bool](b, `window.opened.forEach(db => db.close()), true`) },
		"deleted by another page": func(b *tab, _ *host) {
			eval[bool](b, `new Promise(done => { indexedDB.deleteDatabase("candleclock").onsuccess = () => done(true) })`)
		},
		"cleared by its owner": func(b *tab, h *host) {
			command(b, storage.ClearDataForOrigin, storage.ClearDataForOriginParams{Origin: h.origin, StorageTypes: "indexeddb"})
		},
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			h := serve(t, built(t))
			b := newProfile(t).newTab()
			b.before(`window.opened = []; {
				const open = IDBFactory.prototype.open;
				IDBFactory.prototype.open = function (...args) {
					const r = open.apply(this, args);
					r.addEventListener("success", () => window.opened.push(r.result));
					return r;
				};
			}`)
			withPlanIn(b, h)
			b.turn("more")
			take(b, h)
			b.fill("plan-name", "House that stays")
			eventually(t, "the plan in view, kept", func() bool {
				kept, err := try[bool](b, withDatabase+`.then(db => { const there = db.objectStoreNames.contains("kept"); db.close(); return there })`)
				return err == nil && kept && slices.ContainsFunc(b.kept().Plans, func(k shelf.Plan) bool {
					p, err := plan.Decode(k.Data)
					return err == nil && p.Name == "House that stays" && len(p.Loads) == 2
				})
			})
			b.until(`!document.getElementById("trouble").checkVisibility()`)
			b.open(h, "")
			b.on("tonight")
			b.answer()
		})
	}
}

// All that the browser keeps for the page is cleared under it: every plan that it
// holds is saved again, without a change or with one, no other page is blamed, and
// the page itself is kept for offline again.
func TestAllIsCleared(t *testing.T) {
	t.Parallel()
	for _, edit := range []bool{false, true} {
		t.Run(fmt.Sprint("changed ", edit), func(t *testing.T) {
			t.Parallel()
			h := serve(t, built(t))
			b := withPlan(t, h, newProfile(t))
			for _, name := range []string{"Cabin", "Grandma"} {
				b.turn("more")
				b.tap("#plan-new")
				b.on("loads")
				b.turn("more")
				b.rename(name)
			}
			want(b, `document.getElementById("kept").innerText`, savedWords)
			b.becomes("kept")
			works := b.text("header .site")
			names := []string{"Cabin", "Grandma", "Home"}
			command(b, storage.ClearDataForOrigin, storage.ClearDataForOriginParams{Origin: h.origin, StorageTypes: "all"})
			if edit {
				names[1] = "Grandma’s"
				b.rename(names[1])
			}
			var got []string
			eventually(t, "all plans, kept again", func() bool {
				there, err := try[bool](b, `indexedDB.databases().then(all => all.some(d => d.name === "candleclock"))`)
				if err != nil || !there || len(b.kept().Plans) != 3 {
					return false
				}
				got = b.names(3)
				return slices.Equal(got, names)
			})
			want(b, `document.getElementById("kept").innerText`, savedWords)
			if told := b.news(""); strings.Contains(told, "another page") {
				t.Errorf("told is %q", told)
			}
			b.becomes("kept")
			want(b, `document.querySelector("header .site").innerText`, works)
			if lack := b.keptWhole(h.site); lack != "" {
				t.Errorf("it is said to work offline, and %s is not kept", lack)
			}
			b.open(h, "#more")
			if got := eval[int](b, `document.querySelectorAll("main .rows button.row").length`); got != 3 {
				t.Errorf("%d plans are listed", got)
			}
		})
	}
}

// The database is gone when the page is opened, or the second copies are: the
// other place stands in, and both are there again.
func TestOnePlaceLost(t *testing.T) {
	t.Parallel()
	for _, place := range places {
		t.Run(place, func(t *testing.T) {
			t.Parallel()
			h := serve(t, built(t))
			p := newProfile(t)
			b := withPlan(t, h, p)
			b.turn("more")
			b.rename("House that stays")
			want(b, `document.getElementById("kept").innerText`, savedWords)
			b.close()
			for range 2 {
				for _, gone := range places { // one after the other: each is filled by the other
					if gone == place {
						b = p.newTab()
						b.loses(h, gone)
					}
				}
				b.open(h, "#more")
				want(b, `document.querySelector("header .plan").innerText`, "House that stays")
				want(b, `document.getElementById("kept").innerText`, savedWords)
				b.names(1)
				b.until(copied + `.then(n => n === 1)`)
				b.close()
			}
		})
	}
}

// places are where plans are kept.
var places = []string{"the database", "the second copies"}

// noLast clears the last resort.
const noLast = `Object.keys(localStorage).filter(key => key.startsWith("candleclock.copy/")).forEach(key => localStorage.removeItem(key)), true`

// copied evaluates to the number of second copies.
const copied = `caches.open("candleclock.plans").then(c => c.keys()).then(all => all.length)`

// loses has the browser lose one of the places, while the page is not open, and
// the last resort with it: the other one must do.
func (b *tab) loses(h *host, place string) {
	b.t.Helper()
	b.expect("favicon.ico") // a picture has none of its own
	b.load(h, "icon.svg")   // of the same origin, and without the program
	b.until(`document.documentElement.localName === "svg" && document.readyState === "complete"`)
	eval[bool](b, noLast)
	if place == places[0] {
		want(b, `new Promise(done => { const r = indexedDB.deleteDatabase("candleclock"); r.onsuccess = r.onerror = r.onblocked = e => done(e.type) })`, "success")
	} else {
		eval[bool](b, `caches.delete("candleclock.plans")`)
	}
}

// A phone at the end of its battery may die the next second: what is said to be
// saved has been written through to the disk.
func TestWrittenThrough(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.before(`window.durabilities = []; {
		const begin = IDBDatabase.prototype.transaction;
		IDBDatabase.prototype.transaction = function (...args) {
			const t = begin.apply(this, args);
			if (t.mode === "readwrite") window.durabilities.push(t.durability);
			return t;
		};
	}`)
	withPlanIn(b, h)
	b.turn("more")
	b.rename("House written through")
	b.saved("the name", hasName("House written through"))
	if got := eval[string](b, `[...new Set(window.durabilities)].join()`); got != "strict" {
		t.Errorf("the transactions were %q", got)
	}
}

// A transaction that never ends is given up, and does not stand in the way of the
// next.
func TestTransactionWithoutEnd(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := withPlan(t, h, newProfile(t))
	b.turn("more")
	eval[bool](b, `{
		const get = IDBObjectStore.prototype.get;
		IDBObjectStore.prototype.get = function (key) {
			IDBObjectStore.prototype.get = get;
			const spin = () => { get.call(this, key).onsuccess = spin };
			spin();
			return {};
		};
	} true`)
	b.rename("House that waited")
	b.saved("the name", hasName("House that waited"))
	want(b, `document.getElementById("kept").innerText`, savedWords)
}

// A database of a later version, or one that never answers, cannot be written:
// the page says so, and what is in view stays and can be saved as a file.
func TestStorageBlocked(t *testing.T) {
	t.Parallel()
	for name, block := range map[string]string{
		"a later version":   `new Promise(done => { indexedDB.open("candleclock", 2).onsuccess = () => done(true) })`,
		"it never answers":  `IDBObjectStore.prototype.get = function (k) { return {} }, true`,
		"it is not allowed": `IDBDatabase.prototype.transaction = () => { throw new DOMException("closing", "InvalidStateError") }, true`,
	} {
		t.Run(name, func(t *testing.T) {
			t.Parallel()
			h := serve(t, built(t))
			b := withPlan(t, h, newProfile(t))
			b.turn("more")
			eval[bool](b, block)
			b.fill("plan-name", "House in view")
			b.until(`document.getElementById("trouble").checkVisibility() && document.getElementById("trouble").innerText`)
			if got := b.text("#kept"); got != "" {
				t.Errorf("beside the trouble it says %q", got)
			}
			_, file := b.download("#plan-save")
			if p, err := plan.Decode(file); err != nil || p.Name != "House in view" || len(p.Loads) != 2 {
				t.Errorf("the file: %v, %q with %d loads", err, p.Name, len(p.Loads))
			}
		})
	}
}

// A clock set back by years does not make an older save the newer one.
func TestClockSetBack(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	p := newProfile(t)
	b := withPlan(t, h, p)
	b.turn("more")
	b.rename("As of today")
	b.saved("the first name", hasName("As of today"))
	b.close()
	for _, year := range []int{1970, 2009} {
		name := fmt.Sprintf("As of %d", year)
		b := p.newTab()
		b.before(fmt.Sprintf(`{ const back = Date.now() - Date.UTC(%d, 0, 2), now = Date.now; Date.now = () => now() - back;
			window.Date = new Proxy(Date, {construct: (D, args) => args.length ? new D(...args) : new D(D.now())}); }`, year))
		b.open(h, "#more")
		b.rename(name)
		b.saved("the name of "+name, hasName(name))
		b.close()
	}
	b = p.newTab()
	b.open(h, "#more")
	want(b, `document.querySelector("header .plan").innerText`, "As of 2009")
}
