package e2e

import (
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

// Every component in every state can be read by all, in each look and on paper,
// and stands out to no side.
func TestComponents(t *testing.T) {
	t.Parallel()
	b := newProfile(t).newTab()
	b.enter(hung(t))
	for name, broken := range map[string]string{"the styles": `[...document.styleSheets].some(s => !s.cssRules.length)`, "the ids": twice} {
		if eval[bool](b, broken) {
			t.Errorf("%s are not whole", name)
		}
	}
	stays := func(manner string) {
		if s := eval[string](b, overflow); s != "" {
			t.Errorf("%s: %s", manner, s)
		}
		for _, s := range eval[[]string](b, cutOff) {
			t.Errorf("%s: cut off in its picture: %s", manner, s)
		}
	}
	reads := func(manner, rules string) {
		for _, v := range b.violations(rules) {
			t.Errorf("%s: %s", manner, v)
		}
	}
	b.size(320, 740)
	stays("320 px wide")
	b.size(360, 740)
	b.eachManner(stays)
	b.look(looks[0])
	reads(looks[0], allRules+besideOthers)
	// The others differ in their colours, and in what paper leaves out; whole
	// pages are read in each look by TestAccessible.
	eval[bool](b, `document.querySelectorAll(".whole-page").forEach(e => e.remove()), true`)
	b.eachManner(func(manner string) {
		if manner != looks[0] {
			reads(manner, colourOnly)
		}
	})
}

// twice is whether an id is there twice.
const twice = `new Set([...document.querySelectorAll("[id]")].map(e => e.id)).size < document.querySelectorAll("[id]").length`
