package e2e

import (
	"context"
	"fmt"
	"math/rand/v2"
	"os"
	"strconv"
	"strings"
	"sync"
	"testing"
	"time"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/inspector"
	"github.com/chromedp/cdproto/page"
	"github.com/chromedp/chromedp"
)

// soak is n, or as many times more as CANDLECLOCK_SOAK tells.
func soak(t testing.TB, n int) int {
	t.Helper()
	times := os.Getenv("CANDLECLOCK_SOAK")
	if times == "" {
		return n
	}
	k, err := strconv.Atoi(times)
	if err != nil || k < 1 {
		t.Fatalf("CANDLECLOCK_SOAK is %q, want a number from 1", times)
	}
	return n * k
}

// typist is a page that types one name of its plan after the other, as fast as
// it is told, and tells each name that it typed and each of which it said to the
// person that it is saved.
type typist struct {
	b *tab

	mu           sync.Mutex
	typed, saved int           // the numbers in the names
	next         chan struct{} // is closed by the next name that is typed
}

const houses = "House "

// savedWords are what the page says when all is stored.
const savedWords = "Saved on this device."

// typing makes window.typeOn(number, gaps, most): from that number on, with so
// many ms between two names, so many names, or as many as it can.
const typing = `window.typeOn = (n, gaps, most = Infinity) => {
	const field = document.getElementById("plan-name"), name = document.querySelector("header .plan"), kept = document.getElementById("kept");
	const saved = "` + savedWords + `";
	let told = name.innerText;
	new MutationObserver(() => {
		if (kept.innerText === saved && name.innerText !== told) window.candleclockSaved(told = name.innerText);
	}).observe(document.getElementById("app"), {subtree: true, childList: true, characterData: true, attributes: true});
	const next = () => {
		if (most-- <= 0) return;
		field.value = "House " + n++;
		field.dispatchEvent(new Event("input", {bubbles: true}));
		window.candleclockTyped(field.value);
		setTimeout(next, gaps[n % gaps.length]);
	};
	next();
}`

func newTypist(b *tab) *typist {
	y := &typist{b: b, next: make(chan struct{})}
	heard := func(number *int, then func()) func(string) {
		return func(said string) {
			n, err := strconv.Atoi(strings.TrimPrefix(said, houses))
			if err != nil {
				b.t.Errorf("the page tells of %q", said)
			}
			y.mu.Lock()
			defer y.mu.Unlock()
			*number = n
			then()
		}
	}
	b.bind("candleclockTyped", heard(&y.typed, func() {
		close(y.next)
		y.next = make(chan struct{})
	}))
	b.bind("candleclockSaved", heard(&y.saved, func() {}))
	b.before(typing)
	return y
}

// told returns the numbers last typed and last said to be saved.
func (y *typist) told() (typed, saved int) {
	y.mu.Lock()
	defer y.mu.Unlock()
	return y.typed, y.saved
}

// housed waits until the page shows its plan, saved, and returns its number.
func (b *tab) housed() int {
	b.t.Helper()
	want(b, `document.getElementById("kept")?.innerText ?? ""`, savedWords)
	n, err := strconv.Atoi(strings.TrimPrefix(b.text("header .plan"), houses))
	if err != nil {
		b.t.Fatalf("the plan is called %q", b.text("header .plan"))
	}
	return n
}

// deaths counts kills, those that met a save under way, those before which
// something was said to be saved, and openings that had to be done again.
type deaths struct{ all, midway, promised, again int }

// reopen opens the page after a death. Now and then the browser, which has just
// lost a process, loses a script too: the page says that it has not started, and
// is loaded again, as it asks for.
func (b *tab) reopen(h *host, d *deaths) {
	b.t.Helper()
	b.expect("Go is not defined") // what is lost may be that
	b.load(h, "#more")
	eventually(b.t, "the page, opened again", func() bool {
		state, _ := try[string](b, standing)
		if state == "told" {
			b.t.Logf("after kill %d the page has not started: %s", d.all, b.arrivals())
			d.again++
			b.load(h, "#more")
		}
		return state == "alive"
	})
}

// checked holds what is there after a kill against what was told before it:
// nothing that was said to be saved may be lost. More may be there than was heard
// of: the last words of a page that dies do not all come through.
func (d *deaths) checked(t *testing.T, what string, before, typed, saved, found int) {
	t.Helper()
	if found < saved {
		t.Fatalf("%s, kill %d: house %d was said to be saved and %d was typed, but house %d is there", what, d.all, saved, typed, found)
	}
	d.all++
	if typed > saved {
		d.midway++
	}
	if saved > before {
		d.promised++
	}
}

// enough checks that the kills had something to lose.
func (d *deaths) enough(t *testing.T) {
	t.Helper()
	t.Logf("%d kills, %d of them while a save was under way, %d after something was said to be saved", d.all, d.midway, d.promised)
	if d.again > d.all/20 {
		t.Errorf("after %d of %d kills the page had to be loaded again", d.again, d.all)
	}
	if d.midway < d.all/4 || d.promised < d.all/8 {
		t.Errorf("of %d kills only %d met a save, and %d something that was said to be saved", d.all, d.midway, d.promised)
	}
}

// meantime lets the page type for a moment that chance chooses; every other time
// it ends soon after a name was typed, since saving is quick.
func (y *typist) meantime(chance *rand.Rand, from int) {
	y.b.t.Helper()
	var gaps []string
	for i := range 7 {
		gap := chance.IntN(40)
		if i%3 == 2 { // long enough for all to be saved, and that to be said
			gap += 150
		}
		gaps = append(gaps, strconv.Itoa(gap))
	}
	eval[bool](y.b, fmt.Sprintf(`typeOn(%d, [%s]), true`, from, strings.Join(gaps, ",")))
	moment := func(from, most int) { // it is what is tested
		time.Sleep(time.Duration(from)*time.Millisecond + time.Duration(chance.IntN(most*1000))*time.Microsecond)
	}
	moment(100, 500)
	if chance.IntN(2) == 0 {
		return
	}
	y.mu.Lock()
	next := y.next
	y.mu.Unlock()
	select {
	case <-next:
	case <-time.After(patience):
		y.b.t.Fatal("the page types no more")
	}
	moment(0, 20)
}

// The tab dies at any moment of saving, in each way that tabs die; what the page
// said was saved is there, though either place where it is kept is lost too, and
// nothing is damaged.
func TestTabKilledWhileSaving(t *testing.T) {
	for part := range 4 {
		t.Run(strconv.Itoa(part), func(t *testing.T) {
			t.Parallel()
			chance := rand.New(rand.NewPCG(uint64(part), 1))
			h := serve(t, built(t))
			p := newProfile(t)
			b := withPlan(t, h, p)
			b.turn("more")
			b.rename(houses + "0")
			b.saved("the first name", hasName(houses+"0"))
			b.close()
			var d deaths
			before, typed, saved := 0, 0, 0
			for round := range soak(t, 71) {
				b := p.newTab()
				y := newTypist(b)
				// What was said to be saved is in both places: every third time the
				// database is gone too, every third the second copies.
				if lost := round % 3; lost < len(places) && round > 0 {
					b.loses(h, places[lost])
				}
				b.reopen(h, &d)
				found := b.housed()
				if typed > 0 {
					d.checked(t, "the tab", before, typed, saved, found)
				}
				before, y.saved, y.typed = found, found, found
				y.meantime(chance, found+1)
				switch chance.IntN(3) {
				case 0:
					crash(b)
				case 1:
					command(b, page.Navigate, page.NavigateParams{URL: "about:blank"})
				}
				b.close()
				typed, saved = y.told()
			}
			last := p.newTab()
			last.open(h, "#more")
			d.checked(t, "the tab", before, typed, saved, last.housed())
			sound(t, last)
			d.enough(t)
		})
	}
}

// crash has the tab's process die on the spot, and waits until it has: what is
// opened next must not be given the dying one.
func crash(b *tab) {
	b.t.Helper()
	gone := make(chan struct{})
	var once sync.Once
	if err := chromedp.Listen(b.ctx, func(event any) {
		if _, ok := event.(*inspector.EventTargetCrashed); ok {
			once.Do(func() { close(gone) })
		}
	}); err != nil {
		b.t.Fatal(err)
	}
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	go func() { _, _ = chromedp.Call(ctx, page.Crash, cdp.Empty{}) }() // no answer comes from the dead
	select {
	case <-gone:
	case <-ctx.Done():
		b.t.Fatal("the tab did not crash")
	}
}

// sound checks that one plan is kept, and no record was found damaged.
func sound(t *testing.T, b *tab) {
	t.Helper()
	c := b.kept()
	if len(c.Plans) != 1 || len(c.Damaged) != 0 || len(c.Aside) != 0 {
		t.Errorf("kept are %d plans, %d damaged and %d aside; want one plan", len(c.Plans), len(c.Damaged), len(c.Aside))
	}
}

// The whole browser is killed, as by a phone that wants its memory back or a
// battery that ends.
func TestBrowserKilledWhileSaving(t *testing.T) {
	t.Parallel()
	chance := rand.New(rand.NewPCG(7, 1))
	h := serve(t, built(t))
	dir := t.TempDir()
	var d deaths
	before, typed, saved := 0, 0, 0
	for round := range soak(t, 20) + 1 {
		p := ownBrowser(t, dir)
		b := p.newTab()
		y := newTypist(b)
		if round == 0 {
			withPlanIn(b, h)
			b.turn("more")
			b.rename(houses + "0")
			b.saved("the first name", hasName(houses+"0"))
		} else {
			if lost := round % 3; lost < len(places) {
				b.loses(h, places[lost])
			}
			b.reopen(h, &d)
			d.checked(t, "the browser", before, typed, saved, b.housed())
			sound(t, b)
		}
		found := b.housed()
		before, y.saved, y.typed = found, found, found
		y.meantime(chance, found+1)
		browser := chromedp.FromContext(p.ctx).Browser
		_ = browser.Process().Kill()
		<-browser.LostConnection
		typed, saved = y.told()
	}
	d.enough(t)
}
