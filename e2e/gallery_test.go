package e2e

import (
	"fmt"
	"os"
	"path/filepath"
	"testing"

	"github.com/chromedp/cdproto/emulation"
)

// The page of every component in every state lies beside the site, as it may
// not be a part of it.
const galleryPath = "gallery/components.html"

// hung serves that page and the site, as they lie beside each other.
func hung(t *testing.T) *host {
	t.Helper()
	page, err := os.ReadFile(filepath.Join(siteFolder(), "..", galleryPath))
	if err != nil {
		t.Fatalf("the gallery: %v (./build.sh components makes it)", err)
	}
	s := site{galleryPath: page}
	for p, content := range built(t) {
		s["site/"+p] = content
	}
	return serve(t, s)
}

// enter opens it in a tab.
func (b *tab) enter(h *host) {
	b.t.Helper()
	b.load(h, galleryPath)
	b.until(`document.readyState === "complete" && document.querySelector(".a-piece .exhibit") && document.querySelector(".whole-page .exhibit") && document.styleSheets.length > 1`)
}

// eachManner shows the page in each look, and as it is printed.
func (b *tab) eachManner(visit func(manner string)) {
	b.t.Helper()
	for _, look := range looks {
		b.look(look)
		visit(look)
	}
	b.look(looks[0])
	b.size(718, 1047) // A4 without its margins
	command(b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{Media: "print"})
	visit("print")
	command(b, emulation.SetEmulatedMedia, emulation.SetEmulatedMediaParams{})
	b.size(360, 740)
}

// cutOff is what stands out of its picture, whose edges cut it off.
const cutOff = `[...document.querySelectorAll("svg text")].filter(e => {
	const t = e.getBoundingClientRect(), s = e.ownerSVGElement.getBoundingClientRect();
	return e.textContent && e.checkVisibility() && (t.left < s.left - 1 || t.right > s.right + 1 || t.top < s.top - 1 || t.bottom > s.bottom + 1);
}).map(e => e.closest(".exhibit").ariaLabel + ": " + e.textContent)`

// besideOthers are the rules that nothing can keep to which stands on one page
// with others of its kind: what frames a page is there once on a page of its own.
const besideOthers = `, rules: {"landmark-no-duplicate-main": {enabled: false}, "landmark-main-is-top-level": {enabled: false},
	"landmark-complementary-is-top-level": {enabled: false}, "landmark-unique": {enabled: false}}`

// pieces shows or hides the whole pages: in each look TestAccessible reads those.
func (b *tab) pieces(alone bool) {
	b.t.Helper()
	eval[bool](b, fmt.Sprintf(`document.querySelectorAll(".whole-page").forEach(e => e.hidden = %t), true`, alone))
}

// Every component in every state can be read by all, in each look and on paper,
// and stands out to no side.
func TestComponents(t *testing.T) {
	t.Parallel()
	b := newProfile(t).newTab()
	b.enter(hung(t))
	for _, width := range []int64{320, 360} {
		b.size(width, 740)
		if s := eval[string](b, overflow); s != "" {
			t.Errorf("%d px wide: %s", width, s)
		}
	}
	for _, s := range eval[[]string](b, cutOff) {
		t.Errorf("cut off in its picture: %s", s)
	}
	for name, broken := range map[string]string{"the styles": `[...document.styleSheets].some(s => !s.cssRules.length)`, "the ids": twice} {
		if eval[bool](b, broken) {
			t.Errorf("%s are not whole", name)
		}
	}
	b.eachManner(func(manner string) {
		rules := colourOnly
		if manner == looks[0] { // the others differ in their colours, and in what paper leaves out
			rules = allRules + besideOthers
		}
		b.pieces(manner != looks[0])
		for _, v := range b.violations(rules) {
			t.Errorf("%s: %s", manner, v)
		}
		b.pieces(false)
		if s := eval[string](b, overflow); s != "" {
			t.Errorf("%s: %s", manner, s)
		}
	})
}

// twice is whether an id is there twice.
const twice = `new Set([...document.querySelectorAll("[id]")].map(e => e.id)).size < document.querySelectorAll("[id]").length`
