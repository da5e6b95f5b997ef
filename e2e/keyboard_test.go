package e2e

import (
	"context"
	"fmt"
	"testing"

	"github.com/chromedp/chromedp/kb"
)

// stop is where the focus is.
type stop struct {
	There       bool // it is what was looked for
	Main        bool // it is within the page, not at its head or foot
	Top, Bottom float64
	Name        string
	Fault       string // why a person could not tell that it has the focus
}

// focusStop tells where the focus is, seen from what is looked for; focused when
// the window has that of the screen, without which browsers draw no ring.
const focusStop = `((wanted, focused) => {
	const e = document.activeElement, r = e.getBoundingClientRect(), s = getComputedStyle(e);
	const hit = document.elementFromPoint(r.x + r.width / 2, r.y + r.height / 2);
	const seen = hit && (e.contains(hit) || hit.closest("label")?.contains(e));
	return {
		There: e.matches(wanted), Main: !!e.closest("main"), Top: r.top + scrollY, Bottom: r.bottom + scrollY,
		Name: e.id || e.outerHTML.slice(0, 80),
		Fault: e === document.body ? "" :
			focused !== document.hasFocus() ? "whether its window has the focus: " + document.hasFocus() :
			focused && s.outlineStyle === "none" && s.boxShadow === "none" ? "its focus has no ring" :
			!seen ? "it is covered or off the screen" : "",
	};
})`

func (b *tab) focusStop(wanted string) stop {
	b.t.Helper()
	return eval[stop](b, fmt.Sprintf("%s(%q, %t)", focusStop, wanted, !b.behind))
}

// reach moves the focus forward with the keyboard until it is on the element.
// At each stop it must be seen, and it must go down the page as the eye does.
func (b *tab) reach(selector string) {
	b.t.Helper()
	before := b.focusStop(selector)
	for range 80 {
		b.key(kb.Tab)
		b.settle() // WebKit scrolls to it with the next drawing
		s := b.focusStop(selector)
		if s.Fault != "" {
			b.t.Errorf("on the way to %s, at %s: %s", selector, s.Name, s.Fault)
		}
		if before.Main && s.Main && s.Bottom <= before.Top {
			b.t.Errorf("on the way to %s, from %s up to %s", selector, before.Name, s.Name)
		}
		if s.There {
			return
		}
		before = s
	}
	b.t.Fatalf("%s can't be reached with the keyboard", selector)
}

// do presses a key on what has the focus. The focus must still be somewhere
// that is in view.
func (b *tab) do(keys string) {
	b.t.Helper()
	b.key(keys)
	b.settle()
	b.until(`document.activeElement !== document.body && document.activeElement.checkVisibility()`)
}

// back moves the focus back by one.
func (b *tab) back() {
	b.t.Helper()
	b.ask("Shift and Tab", func(ctx context.Context) error { return b.w.press(ctx, kb.Tab, true) })
	b.settle()
}

// A plan, its answer and a reading of the gauge, by the keyboard alone.
func TestKeyboardAlone(t *testing.T) {
	t.Parallel()
	inEach(t, func(t *testing.T, e engine) {
		h := serve(t, built(t))
		b := e.alone(t).newTab()
		b.open(h, "")
		b.reach("#door-plan")
		b.do(kb.Enter)
		b.on("loads")
		b.focused("title")
		b.reach("#add-from")
		b.do(kb.Enter)
		b.on("add")
		b.focused("title")
		b.reach("#search")
		b.do("fridge")
		b.until(`document.getElementById("add-fridge")`)
		b.reach("#add-fridge")
		b.back()
		if s := b.focusStop("#add-fridge"); s.There || s.Fault != "" {
			t.Errorf("a step back from #add-fridge: at %s, %s", s.Name, s.Fault)
		}
		b.reach("#add-fridge")
		b.do(" ")
		b.news("")
		b.reach("#add-done")
		b.do(kb.Enter)
		b.on("loads")
		b.focused("title")
		b.reach(`a[href="#load=0"]`)
		b.do(kb.Enter)
		b.on("load")
		b.focused("title")
		b.reach("#load-rank-useful, #load-rank-vital, #load-rank-comfort")
		b.do(kb.ArrowDown)
		b.reach("#load-cycles")
		b.do(" ")
		b.reach(`nav a[href="#supply"]`)
		b.do(kb.Enter)
		b.on("supply")
		b.focused("title")
		b.reach("#presets")
		b.do(kb.Enter)
		b.until(`document.getElementById("preset-lfp-1000").checkVisibility()`)
		b.reach("#preset-lfp-1000")
		b.do(" ")
		b.news("")
		b.focused("title")
		b.reach(`nav a[href="#tonight"]`)
		b.do(kb.Enter)
		b.on("tonight")
		b.focused("title")
		full := b.answer()
		told := b.text("#news")
		b.reach("#read")
		b.do(kb.Enter)
		b.focused("read-percent")
		b.do("40" + kb.Enter)
		b.news(told)
		b.focused("title")
		if less := b.answer(); less == full {
			t.Errorf("with 40%% left it still says %q", less)
		}
	})
}
