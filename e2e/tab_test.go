package e2e

import (
	"context"
	"encoding/base64"
	"errors"
	"fmt"
	"os"
	"path/filepath"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/cdproto/log"
	"github.com/chromedp/cdproto/network"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/cdproto/runtime"
	"github.com/chromedp/cdproto/target"
	"github.com/chromedp/chromedp"
	"github.com/chromedp/chromedp/kb"

	"candleclock/ui/shelf"
)

// patience is how long a state may take to come, on a busy machine.
const patience = time.Minute

// tab is a phone's browser tab: 360 by 740, touched.
type tab struct {
	t      testing.TB
	w      window
	ctx    context.Context
	close  context.CancelFunc
	dir    string // where downloads go
	behind bool   // its window never has the focus

	mu       sync.Mutex
	origin   string   // of the site, once opened
	problems []string // errors and warnings of the page
	expected []string // what those may hold
	breaches []string // of the content security policy; none is ever expected
	bound    map[string]func(said string)
}

// breachName is what a page calls to report a breach of its policy.
const breachName = "candleclockBreach"

// newTab opens an empty tab. At its end the page must have been without errors,
// warnings, and requests to elsewhere.
func (p *profile) newTab() *tab {
	p.t.Helper()
	b := &tab{t: p.t, dir: p.dir}
	p.open(b)
	p.t.Cleanup(func() {
		b.close()
		b.mu.Lock()
		defer b.mu.Unlock()
		for _, s := range b.problems {
			p.t.Errorf("the page: %s", s)
		}
		for _, s := range b.breaches {
			p.t.Errorf("the page breaches its content policy: %s", s)
		}
	})
	return b
}

// openChromium gives b a tab of Chromium with p's profile.
func (p *profile) openChromium(b *tab) {
	p.t.Helper()
	b.w = chromium{}
	options := []chromedp.ContextOption{chromedp.WithListener(b.heed)}
	if p.windowless {
		yes := true
		made, err := chromedp.CallBrowser(p.ctx, target.CreateTarget, target.CreateTargetParams{
			URL: blank, Hidden: &yes, BrowserContextID: chromedp.FromContext(p.ctx).BrowserContextID})
		if err != nil {
			p.t.Fatalf("a new tab: %v", err)
		}
		options = append(options, chromedp.WithTargetID(made.TargetID))
	}
	b.ctx, b.close = chromedp.NewContext(p.ctx, options...)
	// The tab lives as long as the context of its first action.
	if err := chromedp.Do(b.ctx, chromedp.Navigate("about:blank")); err != nil {
		p.t.Fatalf("a new tab: %v", err)
	}
	b.bind(breachName, func(said string) {
		b.mu.Lock()
		defer b.mu.Unlock()
		b.breaches = append(b.breaches, said)
	})
	b.before(fmt.Sprintf(`document.addEventListener("securitypolicyviolation", e => window.%s([e.effectiveDirective, e.blockedURI, e.sample].join(" ")), true)`, breachName))
	b.size(360, 740)
	command(b, emulation.SetTouchEmulationEnabled, emulation.SetTouchEmulationEnabledParams{Enabled: true})
}

// heed collects what a page without faults never says.
func (b *tab) heed(event any) {
	switch e := event.(type) {
	case *runtime.EventConsoleAPICalled:
		if e.Type == "error" || e.Type == "warning" || e.Type == "assert" {
			var words []string
			for _, a := range e.Args {
				words = append(words, string(a.Value)+a.Description)
			}
			b.problem("console: " + strings.Join(words, " "))
		}
	case *runtime.EventExceptionThrown:
		s := "exception: " + e.ExceptionDetails.Text
		if x := e.ExceptionDetails.Exception; x != nil {
			s += " " + x.Description
		}
		b.problem(s)
	case *runtime.EventBindingCalled:
		b.mu.Lock()
		heard := b.bound[e.Name]
		b.mu.Unlock()
		if heard != nil {
			heard(e.Payload)
		}
	case *log.EventEntryAdded:
		if e.Entry.Level == "error" || e.Entry.Level == "warning" {
			b.problem(fmt.Sprintf("%s %s: %s %s", e.Entry.Source, e.Entry.Level, e.Entry.Text, e.Entry.URL))
		}
	case *network.EventRequestWillBeSent:
		b.requested(e.Request.URL)
	}
}

// requested hears of each address that the page asks for.
func (b *tab) requested(url string) {
	b.mu.Lock()
	origin := b.origin
	b.mu.Unlock()
	own := strings.HasPrefix(url, origin+"/") || strings.HasPrefix(url, "blob:"+origin+"/") || strings.HasPrefix(url, "data:") || url == blank ||
		strings.HasPrefix(origin, "file:") && strings.HasPrefix(url, "blob:null/") // what a file makes itself
	if origin != "" && !own {
		b.problem("request to elsewhere: " + url)
	}
}

// blank is a page without anything.
const blank = "about:blank"

func (b *tab) problem(s string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	for _, e := range b.expected {
		if strings.Contains(s, e) {
			return
		}
	}
	b.problems = append(b.problems, s)
}

// breached returns the breaches of the content policy so far, and forgets them.
func (b *tab) breached() []string {
	b.mu.Lock()
	defer b.mu.Unlock()
	all := b.breaches
	b.breaches = nil
	return all
}

// expect lets the page complain with words that hold s: the test gives it reason to.
func (b *tab) expect(s string) {
	b.mu.Lock()
	defer b.mu.Unlock()
	b.expected = append(b.expected, s)
}

// command sends one of the browser's own commands.
func command[P, R any](b *tab, c cdp.Command[P, R], params P) R {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	r, err := chromedp.Call(ctx, c, params)
	if err != nil {
		b.t.Fatalf("%s: %v", c.Method, err)
	}
	return r
}

// ask asks the window for something, and is patient.
func (b *tab) ask(what string, work func(ctx context.Context) error) {
	b.t.Helper()
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	if err := work(ctx); err != nil {
		b.t.Fatalf("%s: %v", what, err)
	}
}

// size makes the screen so wide and high, in CSS pixels.
func (b *tab) size(width, height int64) {
	b.t.Helper()
	b.ask(fmt.Sprint("a room of ", width, " by ", height), func(ctx context.Context) error { return b.w.resize(ctx, width, height) })
}

// bind gives the page a function that tells heard what it is called with.
func (b *tab) bind(name string, heard func(said string)) {
	b.t.Helper()
	b.mu.Lock()
	if b.bound == nil {
		b.bound = map[string]func(string){}
	}
	b.bound[name] = heard
	b.mu.Unlock()
	command(b, runtime.AddBinding, runtime.AddBindingParams{Name: name})
}

// before has a script run in the page ahead of its own, from the next load on.
func (b *tab) before(script string) {
	b.t.Helper()
	command(b, page.AddScriptToEvaluateOnNewDocument, page.AddScriptToEvaluateOnNewDocumentParams{Source: script})
}

// load goes to an address of a site and does not wait.
func (b *tab) load(h *host, address string) {
	b.t.Helper()
	b.visit(h.origin, h.url+address)
}

// visit goes to an address and does not wait. Nothing may be asked of any other
// origin.
func (b *tab) visit(origin, address string) {
	b.t.Helper()
	b.mu.Lock()
	b.origin = origin
	b.mu.Unlock()
	// From an empty page: an address that differs behind "#" only loads nothing.
	for _, to := range []string{blank, address} {
		navigate := func(ctx context.Context) error { return b.w.navigate(ctx, to) }
		// Now and then Chromium does not start the worker of a page again that it has
		// just stopped because another waits for its place. People then reload.
		ctx, cancel := context.WithTimeout(b.ctx, patience/2)
		err := navigate(ctx)
		cancel()
		if errors.Is(err, context.DeadlineExceeded) {
			b.t.Logf("%s did not begin to load, and is loaded again", to)
			b.ask(to, navigate)
		} else if err != nil {
			b.t.Fatalf("%s: %v", to, err)
		}
	}
}

// open goes to an address of the site and waits until the page is alive and
// what is kept has been read.
func (b *tab) open(h *host, address string) {
	b.t.Helper()
	b.load(h, address)
	b.alive()
}

// alive waits until the page runs and shows one of its pages.
func (b *tab) alive() {
	b.t.Helper()
	var state string
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		if state, _ = try[string](b, standing); state == "alive" {
			return
		}
	}
	b.t.Fatalf("the page did not come alive: %q, %s", state, b.arrivals())
}

// standing is "alive", or "told" where the page says that it has not started.
const standing = `(() => {
	const run = document.documentElement.dataset.run;
	if (run === "running" && document.querySelector("main").classList.length > 1) return "alive";
	const told = run === "stopped" || !run && document.readyState === "complete" && document.getElementById("unstarted")?.checkVisibility();
	return told ? "told" : "";
})()`

// arrivals tells how the page stands, and what came of all that it asked for.
func (b *tab) arrivals() string {
	s, err := try[string](b, `[location.href, document.readyState, document.documentElement.dataset.run, navigator.serviceWorker?.controller?.state,
		...performance.getEntriesByType("resource").map(e => [e.name, e.responseStatus, e.decodedBodySize].join(" "))].join(", ")`)
	if err != nil {
		return err.Error()
	}
	return s
}

// try evaluates a JavaScript expression; a promise is waited for.
func try[T any](b *tab, js string) (T, error) {
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	return decode[T](b.w.evaluate(ctx, js))
}

// eval is try for what must not fail.
func eval[T any](b *tab, js string) T {
	b.t.Helper()
	v, err := try[T](b, js)
	if err != nil {
		b.t.Fatalf("%s: %v", js, err)
	}
	return v
}

// want waits until the expression has the value.
func want[T comparable](b *tab, js string, value T) {
	b.t.Helper()
	var got T
	var err error
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(5 * time.Millisecond) {
		// While a page is loading there may be nothing to ask.
		if got, err = try[T](b, js); err == nil && got == value {
			return
		}
	}
	if err != nil {
		b.t.Fatalf("%s: %v", js, err)
	}
	b.t.Fatalf("%s: got %v, want %v", js, got, value)
}

// depart runs what takes the tab to another document, and waits until the old one
// is gone. Only after its answer: one that is under way is lost with the document.
func (b *tab) depart(js string) {
	b.t.Helper()
	eval[bool](b, `window.departed = true, setTimeout(() => `+js+`), true`)
	b.until(`!window.departed`)
}

// until waits until the condition holds.
func (b *tab) until(condition string) {
	b.t.Helper()
	want(b, "!!("+condition+")", true)
}

// settle waits until what was asked of the page so far has been drawn.
func (b *tab) settle() {
	b.t.Helper()
	eval[bool](b, `new Promise(r => requestAnimationFrame(() => requestAnimationFrame(() => setTimeout(r, 0, true))))`)
}

// text is what the first element that fits the selector shows; "" when hidden.
func (b *tab) text(selector string) string {
	b.t.Helper()
	return eval[string](b, fmt.Sprintf(`document.querySelector(%q)?.checkVisibility() ? document.querySelector(%[1]q).innerText : ""`, selector))
}

// value is what stands in the field with the id.
func (b *tab) value(id string) string {
	b.t.Helper()
	return eval[string](b, fmt.Sprintf(`document.getElementById(%q).value`, id))
}

// place finds where an element can be touched, having scrolled it into view;
// a word when it can't.
const place = `(selector => {
	const e = document.querySelector(selector);
	if (!e) return "absent";
	if (!e.checkVisibility()) return "hidden";
	e.scrollIntoView({block: "center", behavior: "instant"});
	const r = e.getBoundingClientRect();
	const x = r.x + r.width / 2, y = r.y + r.height / 2;
	const hit = document.elementFromPoint(x, y);
	if (!hit || !(e.contains(hit) || hit.closest("label")?.contains(e))) return "covered by " + hit?.outerHTML.slice(0, 80);
	return x + " " + y;
})`

// touchable waits until the element can be touched, and stands still for longer
// than the page takes to draw itself once more; it tells where.
func (b *tab) touchable(selector string) (x, y float64) {
	b.t.Helper()
	var was, at string
	for end := time.Now().Add(patience); time.Now().Before(end); time.Sleep(20 * time.Millisecond) {
		was = at
		at, _ = try[string](b, fmt.Sprintf("%s(%q)", place, selector))
		if _, err := fmt.Sscan(at, &x, &y); err == nil && at == was {
			return x, y
		}
	}
	b.t.Fatalf("%s: %s", selector, at)
	return 0, 0
}

// tap touches an element.
func (b *tab) tap(selector string) {
	b.t.Helper()
	x, y := b.touchable(selector)
	b.touch(x, y)
}

// touch touches a point of the screen.
func (b *tab) touch(x, y float64) {
	b.t.Helper()
	b.ask("a touch", func(ctx context.Context) error { return b.w.touch(ctx, x, y) })
}

// key presses keys, one after the other.
func (b *tab) key(keys string) {
	b.t.Helper()
	b.ask(fmt.Sprintf("keys %q", keys), func(ctx context.Context) error { return b.w.press(ctx, keys, false) })
}

// focused waits until the element with the id has the focus.
func (b *tab) focused(id string) {
	b.t.Helper()
	want(b, "document.activeElement.id", id)
}

// fill types text into the field with the id, in place of what stands there.
func (b *tab) fill(id, text string) {
	b.t.Helper()
	b.tap("#" + id)
	b.focused(id)
	eval[bool](b, fmt.Sprintf(`document.getElementById(%q).select(), true`, id))
	if text == "" {
		b.key(kb.Backspace)
	} else {
		b.key(text)
	}
	want(b, fmt.Sprintf(`document.getElementById(%q).value`, id), text)
	b.settle()
}

// leave moves the focus on, as people do with the key for it.
func (b *tab) leave() {
	b.t.Helper()
	b.key(kb.Tab)
	b.settle()
}

// on waits until the page of that name is in view.
func (b *tab) on(name string) {
	b.t.Helper()
	b.until(fmt.Sprintf(`document.querySelector("main").classList.contains(%q)`, name))
}

// show goes to a page by its address, and waits for it.
func (b *tab) show(address string) {
	b.t.Helper()
	eval[bool](b, fmt.Sprintf(`location.hash = %q, true`, address))
	name, _, _ := strings.Cut(address, "=")
	b.on(name)
}

// turn goes to one of the main pages by the links at the foot, or to More by the
// one at the head.
func (b *tab) turn(name string) {
	b.t.Helper()
	b.tap(fmt.Sprintf(`nav a[href="#%s"], .top a[href="#%[1]s"]`, name))
	b.on(name)
}

// answer waits for an answer and returns its figures: the big one, the line
// below it, and the range.
func (b *tab) answer() [3]string {
	b.t.Helper()
	b.until(`document.getElementById("answer").innerText`)
	return [3]string{b.text("#answer"), b.text("#until"), b.text("#range")}
}

// news waits until something new is told, and returns it.
func (b *tab) news(old string) string {
	b.t.Helper()
	b.until(fmt.Sprintf(`document.getElementById("news").checkVisibility() && document.getElementById("news").innerText !== %q`, old))
	return b.text("#news")
}

// choose answers the browser's file chooser, which a tap on the element opens.
func (b *tab) choose(selector string, name string, content []byte) {
	b.t.Helper()
	file := filepath.Join(b.t.TempDir(), name)
	if err := os.WriteFile(file, content, 0o600); err != nil {
		b.t.Fatal(err)
	}
	x, y := b.touchable(selector)
	b.ask(selector, func(ctx context.Context) error { return b.w.choose(ctx, file, func() { b.touch(x, y) }) })
}

// download taps an element and returns the file that the page hands over.
func (b *tab) download(selector string) (name string, content []byte) {
	b.t.Helper()
	x, y := b.touchable(selector)
	ctx, cancel := context.WithTimeout(b.ctx, 3*patience) // a file may have to be packed first
	defer cancel()
	name, err := b.w.download(ctx, b.dir, func() { b.touch(x, y) })
	if err != nil {
		b.t.Fatalf("%s: no file came: %v; the page says %q", selector, err, b.text("#news"))
	}
	file := filepath.Join(b.dir, name)
	if content, err = os.ReadFile(file); err != nil {
		b.t.Fatal(err)
	}
	_ = os.Remove(file) // a second one of the name gets the same name
	return name, content
}

// offlineReady waits until the page is kept on the device.
func (b *tab) offlineReady() {
	b.t.Helper()
	want(b, `navigator.serviceWorker.ready.then(r => r.active.state)`, "activated")
}

// kept is what lies in the browser's storage.
func (b *tab) kept() shelf.Contents {
	b.t.Helper()
	records := eval[map[string]string](b, `new Promise((done, fail) => {
		const open = indexedDB.open("candleclock");
		open.onerror = () => fail(open.error);
		open.onsuccess = () => {
			const store = open.result.transaction("kept").objectStore("kept");
			const keys = store.getAllKeys(), values = store.getAll();
			store.transaction.oncomplete = () => {
				open.result.close();
				done(Object.fromEntries(keys.result.map((k, i) => [k, btoa(String.fromCharCode(...values.result[i]))])));
			};
		};
	})`)
	memory := new(shelf.Memory)
	err := memory.Txn(nil, func(map[string][]byte) (map[string][]byte, error) {
		put := map[string][]byte{}
		for key, value := range records {
			raw, err := base64.StdEncoding.DecodeString(value)
			if err != nil {
				return nil, err
			}
			put[key] = raw
		}
		return put, nil
	})
	if err != nil {
		b.t.Fatal(err)
	}
	c, err := shelf.New(memory).Load()
	if err != nil {
		b.t.Fatal(err)
	}
	return c
}

// eventually waits until done.
func eventually(t testing.TB, what string, done func() bool) {
	t.Helper()
	for end := time.Now().Add(patience); !done(); time.Sleep(5 * time.Millisecond) {
		if time.Now().After(end) {
			t.Fatalf("never came: %s", what)
		}
	}
}
