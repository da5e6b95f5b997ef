package e2e

import (
	"strings"
	"testing"

	"candleclock/engine/plan"
)

// The main story: a plan made by hand, its answer as the sums have it, the same
// without the host, and an update that loses nothing.
func TestEachEngineKeepsThePlan(t *testing.T) {
	t.Parallel()
	inEach(t, func(t *testing.T, e engine) {
		first := built(t).next("one")
		h := serve(t, first)
		p := e.fresh(t)
		b := p.newTab()
		b.open(h, "")
		b.on("start")
		b.planAhead()
		said := b.answer()
		agree(t, said, b.plans(1)[0].Encode())

		b.offlineReady()
		h.stop()
		b.open(h, "")
		b.on("tonight")
		b.shows("one")
		if got := b.answer(); got != said {
			t.Errorf("without the host it says %q, want %q", got, said)
		}
		b.turn("loads")
		want(b, loadsInView, 5)

		// A second tab hears what the first changes, and finds it again.
		b.show("load=4")
		c := p.newTab()
		c.open(h, "#load=4")
		c.on("load")
		b.fill("load-watts", "15")
		want(c, `document.getElementById("load-watts").value`, "15")
		c.close()

		h.again()
		h.deploy(first.next("two"))
		b.open(h, "#load=4")
		b.shows("one")
		b.until(`document.getElementById("take-update").checkVisibility()`)
		b.fill("load-watts", "14")
		b.tap("#take-update")
		b.shows("two")
		b.on("load")
		if got := b.value("load-watts"); got != "14" {
			t.Errorf("after the update the fish tank draws %q, want 14", got)
		}
		h.stop()
		b.open(h, "#load=4")
		b.shows("two")
		b.saved("14 W", func(p plan.Plan) bool { return len(p.Loads) == 5 && p.Loads[4].Running == 14 })
	})
}

// asPrinted takes the page's rules for paper as those in force, and says what
// would then not fit on the sheet.
const asPrinted = `(() => {
	for (const sheet of document.styleSheets) for (const rule of sheet.cssRules)
		if (rule instanceof CSSMediaRule && rule.media.mediaText === "print") rule.media.mediaText = "all";
	const shown = [...document.querySelectorAll(".app > *, main > *, .card-page > *, .desk > *")].filter(e => e.checkVisibility());
	const beside = shown.filter(e => !e.matches("main, .card-page, .desk, .leaf")).map(e => "beside the card: " + e.outerHTML.slice(0, 80));
	const leaf = document.querySelector(".leaf");
	leaf.style.width = "190mm";
	const mm = 96 / 25.4, high = Math.max(leaf.scrollHeight, leaf.getBoundingClientRect().height) / mm, wide = leaf.scrollWidth / mm;
	return [...beside, high > 277 && "it is " + high + " mm high", wide > 190.5 && "it is " + wide + " mm wide"].filter(s => s);
})()`

// A plan goes out by a link and by a file, is looked at and kept elsewhere, and
// its card comes out on one page.
func TestEachEngineHandsOn(t *testing.T) {
	t.Parallel()
	inEach(t, func(t *testing.T, e engine) {
		h := serve(t, built(t))
		sent := stocked(t, 8)
		ann := e.fresh(t).newTab()
		ann.open(h, "")
		ann.choose("#door-file", "plan.json", sent.Encode())
		ann.on("tonight")
		said := ann.answer()
		code := ann.link()
		ann.show("more")
		name, file := ann.download("#plan-save")
		if p, err := plan.Decode(file); err != nil || !strings.HasSuffix(name, ".candleclock.json") || len(p.Loads) != len(sent.Loads) {
			t.Errorf("the file %s: %v, %d loads", name, err, len(p.Loads))
		}

		ann.show("card")
		ann.until(`document.querySelector(".leaf")?.checkVisibility()`)
		ann.settle()
		if e.prints {
			paper := ann.print()
			if pages, _, _ := paper.size(t); pages != 1 {
				t.Errorf("the card takes %d pages", pages)
			}
			for _, fact := range eval[[]string](ann, facts) {
				if !strings.Contains(paper.text, solid(fact)) {
					t.Errorf("not on paper: %q", fact)
				}
			}
		}
		for _, s := range eval[[]string](ann, asPrinted) {
			t.Error("as printed: ", s)
		}

		ben := e.fresh(t).newTab()
		ben.open(h, "#"+code)
		ben.on("look")
		if got := ben.text("#look-name"); got != sent.Name {
			t.Errorf("the link shows the plan %q", got)
		}
		ben.plans(0)
		ben.tap("#look-keep")
		ben.on("tonight")
		if got := ben.answer(); got != said {
			t.Errorf("the plan kept says %q, want %q", got, said)
		}
	})
}
