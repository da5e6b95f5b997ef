package e2e

import (
	"fmt"
	"os"
	"strings"
	"testing"

	"github.com/chromedp/chromedp/kb"
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
	})
}

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

// reach moves the focus forward with the keyboard until it is on the element,
// and checks that it can be seen there.
func (b *tab) reach(selector string) {
	b.t.Helper()
	for range 80 {
		b.key(kb.Tab)
		if !eval[bool](b, fmt.Sprintf(`document.activeElement.matches(%q)`, selector)) {
			continue
		}
		seen := eval[string](b, `(s => s.outlineStyle + " " + s.outlineWidth + " " + s.boxShadow)(getComputedStyle(document.activeElement))`)
		if strings.HasPrefix(seen, "none") && strings.HasSuffix(seen, "none") {
			b.t.Errorf("%s: its focus can't be seen (%s)", selector, seen)
		}
		covered := eval[bool](b, `(() => {
			const r = document.activeElement.getBoundingClientRect();
			const hit = document.elementFromPoint(r.x + r.width / 2, r.y + r.height / 2);
			return !hit || !(document.activeElement.contains(hit) || hit.closest("label")?.contains(document.activeElement));
		})()`)
		if covered {
			b.t.Errorf("%s: has the focus, and is covered or off the screen", selector)
		}
		return
	}
	b.t.Fatalf("%s can't be reached with the keyboard", selector)
}

func TestKeyboardAlone(t *testing.T) {
	t.Parallel()
	h := serve(t, built(t))
	b := newProfile(t).newTab()
	b.open(h, "")
	b.reach("#door-plan")
	b.key(kb.Enter)
	b.on("loads")
	b.focused("title")
	b.reach("#add-from")
	b.key(kb.Enter)
	b.on("add")
	b.focused("title")
	b.reach("#search")
	b.key("fridge")
	b.until(`document.getElementById("add-fridge")`)
	b.settle()
	b.reach("#add-fridge")
	b.key(" ")
	b.news("")
	b.reach("#add-done")
	b.key(kb.Enter)
	b.on("loads")
	b.focused("title")
	b.reach(`a[href="#load=0"]`)
	b.key(kb.Enter)
	b.on("load")
	b.focused("title")
	b.reach("#load-rank-useful, #load-rank-vital, #load-rank-comfort")
	b.key(kb.ArrowDown)
	b.settle()
	b.reach("#load-cycles")
	b.key(" ")
	b.reach(`nav a[href="#supply"]`)
	b.key(kb.Enter)
	b.on("supply")
	b.focused("title")
	b.reach("#presets")
	b.key(kb.Enter)
	b.until(`document.getElementById("preset-lfp-1000").checkVisibility()`)
	b.reach("#preset-lfp-1000")
	b.key(" ")
	b.news("")
	b.focused("title")
	b.reach(`nav a[href="#tonight"]`)
	b.key(kb.Enter)
	b.on("tonight")
	b.focused("title")
	b.answer()
}
