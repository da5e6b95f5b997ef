package e2e

import (
	"fmt"
	"os"
	"testing"
)

// audit loads axe-core into the page; it is asked with violations.
func (b *tab) audit() {
	b.t.Helper()
	file := os.Getenv("CANDLECLOCK_AXE")
	if file == "" {
		file = "../.build/tools/node_modules/axe-core/axe.min.js"
	}
	source, err := os.ReadFile(file)
	if err != nil {
		b.t.Fatalf("axe-core: %v (./build.sh test fetches it)", err)
	}
	eval[bool](b, string(source)+"; true")
}

// Which rules axe-core tries.
const (
	allRules   = `{type: "tag", values: ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa", "best-practice"]}`
	colourOnly = `{type: "rule", values: ["color-contrast", "link-in-text-block"]}`
)

// violations lists what axe-core finds wrong.
func (b *tab) violations(rules string) []string {
	b.t.Helper()
	if !eval[bool](b, `"axe" in window`) {
		b.audit()
	}
	return eval[[]string](b, fmt.Sprintf(`axe.run(document, {runOnly: %s, resultTypes: ["violations"]}).then(r => r.violations.flatMap(v =>
		v.nodes.map(n => v.impact + " " + v.id + ": " + n.target.join(" ") + ": " + (n.failureSummary ?? v.help).replace(/\s+/g, " "))))`, rules))
}

func TestAccessible(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	eachState(t, h, func(b *tab, name string) {
		// On a screen as high as the page, where nothing lies below the foot.
		b.size(360, eval[int64](b, `document.documentElement.scrollHeight + 300`))
		for i, look := range looks {
			b.look(look)
			rules := allRules
			if i > 0 { // the looks differ in their colours alone
				rules = colourOnly
			}
			for _, v := range b.violations(rules) {
				t.Errorf("%s, %s: %s", name, look, v)
			}
		}
		b.look(looks[0])
		b.size(360, 740)
		for _, s := range eval[[]string](b, behindFoot) {
			t.Errorf("%s: with the focus, %s", name, s)
		}
	})
}

// behindFoot is what stays in part below the page's foot, or off the screen, when
// it gets the focus from far away.
const behindFoot = `(() => {
	const out = [], foot = document.querySelector(".foot"), edge = () => foot?.checkVisibility() ? foot.getBoundingClientRect().top : innerHeight;
	for (const e of document.querySelectorAll("main :is(a, button, input, select, summary):not(:disabled)")) {
		if (!e.checkVisibility()) continue;
		for (const from of [0, document.documentElement.scrollHeight]) {
			document.activeElement.blur();
			scrollTo(0, from);
			e.focus();
			const r = e.getBoundingClientRect();
			if (r.top < -1 || r.bottom > edge() + 1) out.push((e.id || e.outerHTML.slice(0, 80)) + " goes from " + r.top + " to " + r.bottom + ", the foot begins at " + edge());
		}
	}
	document.activeElement.blur();
	scrollTo(0, 0);
	return out;
})()`

// overflow is what stands out to the right of the screen; "" when nothing does.
const overflow = `(() => {
	const root = document.documentElement, room = root.clientWidth;
	if (root.scrollWidth <= room) return "";
	const out = [...document.querySelectorAll("body *")].filter(e => e.checkVisibility() && e.getBoundingClientRect().right > room + 1);
	return root.scrollWidth + " of " + room + " px: " + out.slice(-3).map(e => e.tagName + "." + e.className + "#" + e.id + " " + e.innerText?.slice(0, 30)).join("; ");
})()`

// On a narrow screen, and with letters twice the size, nothing is scrolled
// sideways.
func TestReflow(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	eachState(t, h, func(b *tab, name string) {
		b.size(320, 640)
		if s := eval[string](b, overflow); s != "" {
			t.Errorf("%s, 320 px wide: %s", name, s)
		}
		b.size(360, 740)
		eval[bool](b, `document.documentElement.style.fontSize = "32px", true`)
		if s := eval[string](b, overflow); s != "" {
			t.Errorf("%s, letters of 200 %%: %s", name, s)
		}
		eval[bool](b, `document.documentElement.style.fontSize = "", true`)
	})
}
