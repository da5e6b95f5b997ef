package e2e

import (
	"context"
	"testing"

	"github.com/chromedp/cdproto/cdp"
	"github.com/chromedp/cdproto/emulation"
	"github.com/chromedp/chromedp"
)

// counting counts what a page at rest must not do: timers that fire, frames
// that it draws, changes of the document.
const counting = `{
	window.counts = {timers: 0, frames: 0, changes: 0};
	for (const [name, what] of [["setTimeout", "timers"], ["setInterval", "timers"], ["requestAnimationFrame", "frames"], ["requestIdleCallback", "frames"]]) {
		const real = window[name];
		window[name] = (work, ...args) => real((...given) => { counts[what]++; work(...given) }, ...args);
	}
	new MutationObserver(all => { counts.changes += all.length }).observe(document, {subtree: true, childList: true, attributes: true, characterData: true});
}`

// pass lets minutes go by as fast as the page allows.
func (b *tab) pass(minutes float64) {
	b.t.Helper()
	before := eval[float64](b, `Date.now()`)
	budget := minutes * 60e3
	ctx, cancel := context.WithTimeout(b.ctx, patience)
	defer cancel()
	_, err := chromedp.Run(ctx, chromedp.WaitEvent(emulation.VirtualTimeBudgetExpired, nil,
		func(ctx context.Context, target *chromedp.Target) (chromedp.Void, error) {
			_, err := cdp.Call(ctx, target, emulation.SetVirtualTimePolicy, emulation.SetVirtualTimePolicyParams{
				Policy: emulation.VirtualTimePolicyAdvance, Budget: &budget})
			return chromedp.Void{}, err
		}))
	if err != nil {
		b.t.Fatalf("time that passes: %v", err)
	}
	if passed := eval[float64](b, `Date.now()`) - before; passed < budget*0.99 {
		b.t.Fatalf("only %.0f s passed", passed/1e3)
	}
}

// An open page that nobody touches wakes once a minute and draws only
// what has changed: the phone's own battery is the last reserve.
func TestRest(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.before(counting)
	b.open(h, "")
	b.choose("#door-file", "plan.json", []byte(smallPlan))
	b.on("tonight")
	b.answer()
	b.offlineReady()
	b.settle()
	b.pass(2) // what was still under way comes to its end
	for n := 0; eval[string](b, `document.getElementById("status").textContent`) != ""; n++ {
		if n == 5 {
			t.Fatal("what was spoken stays")
		}
		b.pass(1) // no frame comes while such time stands still
	}
	const minutes = 10
	eval[bool](b, `counts.timers = counts.frames = counts.changes = 0, true`)
	b.pass(minutes)
	type counts struct{ Timers, Frames, Changes int }
	got := eval[counts](b, `counts`)
	t.Logf("in %d minutes: %+v", minutes, got)
	// Where a browser's timer comes a moment early, Go sets another for the rest.
	if got.Timers > 2*minutes || got.Timers < minutes-1 {
		t.Errorf("in %d minutes %d timers fired, want one a minute", minutes, got.Timers)
	}
	if got.Frames > 1 { // one where the start of the outage is told otherwise from then on
		t.Errorf("in %d minutes before the outage %d drawings", minutes, got.Frames)
	}
	if got.Changes > 0 {
		t.Errorf("in %d minutes before the outage the page changed itself %d times", minutes, got.Changes)
	}
}
